"""What lies on the sheets of a piece: fields of rods and frit, each rod, and how thick it makes them."""

from collections.abc import Iterator
from math import cos, pi, sin

import numpy as np
from shapely import Geometry
from shapely.geometry import LineString, Point, Polygon, box

from kilncalc import layers, volume
from kilncalc.project import Project
from kilncalc.project_parts import Frit, Rods, Slump, shape_of

_LEVEL = "full fuse"


def field_of(part: Rods | Frit, project: Project) -> Geometry:
    """Return the field that rods or frit cover.

    Parameters
    ----------
    part : Rods or Frit
        The part.
    project : Project
        The piece it lies on: all of it, where the part does not say.

    Returns
    -------
    shapely geometry
        The field, as far as it lies on the piece [m].

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> tray = scenario("relief-tray")
    >>> round(field_of(tray.frit[0], tray).area * 1e4)
    36
    """
    assert project.size is not None
    whole = box(0, 0, *project.size)
    if isinstance(part, Frit) and part.points:
        return Polygon(part.points).intersection(whole)
    if part.at is None or part.size is None:
        return whole
    return box(*part.at, part.at[0] + part.size[0], part.at[1] + part.size[1]).intersection(whole)


def rods_of(rods: Rods, project: Project) -> tuple[LineString, ...]:
    """Return the middle line of each rod: rows turned by 180/n degrees, each rod a pitch from the next.

    Parameters
    ----------
    rods : Rods
        The rods.
    project : Project
        The piece they lie on.

    Returns
    -------
    tuple of shapely lines
        The row along the piece first, each rod as long as its field there [m].

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> tray = scenario("relief-tray")
    >>> grid = rods_of(tray.rods[0], tray)
    >>> len(grid), round(sum(rod.length for rod in grid), 3)
    (15, 1.602)
    """
    field = field_of(rods, project)
    corners = np.array(field.exterior.coords)[:-1]
    middle, lines = corners.mean(axis=0), []
    for row in range(rods.directions):
        angle = pi * row / rods.directions
        along = np.round((cos(angle), sin(angle)), 15)
        across = np.array((-along[1], along[0]))
        if across.sum() < 0:  # the first rod lies by the left or the lower side
            across = -across
        reach, sides = np.ptp(corners @ along), corners @ across
        for place in np.arange(sides.min() + rods.pitch / 2, sides.max(), rods.pitch):
            foot = middle + across * (place - middle @ across)
            rod = LineString([foot - along * reach, foot + along * reach]).intersection(field)
            if rod.length > 0:
                lines.append(rod)
    return tuple(lines)


def levelled(project: Project, number: int) -> int:
    """Return the last firing before one that left the piece level.

    Parameters
    ----------
    project : Project
        The piece.
    number : int
        Which firing, from 1 [-], at least 1.

    Returns
    -------
    int
        Its number, from 1 [-]; 0 for none.

    Notes
    -----
    A full fuse levels what was on the piece, every other process leaves it standing.

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> levelled(scenario("relief-tray"), 2), levelled(scenario("door-sign"), 3)
    (0, 1)
    """
    done = [place for place, one in enumerate(project.firings[: number - 1], 1) if one.process == _LEVEL]
    return done[-1] if done else 0


def added(project: Project, since: int, until: int) -> float:
    """Return the mean thickness of what joined the piece in these firings, its volume over the piece's area.

    Parameters
    ----------
    project : Project
        The piece.
    since, until : int
        From which firing to which, from 1 [-], at least 0.

    Returns
    -------
    float
        The mean thickness [m].

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> round(added(scenario("relief-tray"), 1, 1) * 1e3, 2)
    0.94
    """
    assert project.size is not None
    lying = _lying(project, since, until)
    return sum(outline.area * mean for outline, mean, _ in lying) / (project.size[0] * project.size[1])


def _lying(project: Project, since: int, until: int) -> Iterator[tuple[Geometry, float, int]]:
    """Yield outline on the piece, mean thickness and firing of what joined it in these firings."""
    assert project.size is not None
    whole, density = box(0, 0, *project.size), project.glass_of().density
    for part in project.laid:
        if since <= part.firing <= until:
            shape = shape_of(part)
            yield shape.outline.intersection(whole), shape.thickness, part.firing
    for rods in project.rods:
        if since <= rods.firing <= until:
            mean = float(layers.rods_thickness(rods.diameter, rods.pitch, directions=rods.directions))
            yield field_of(rods, project), mean, rods.firing
    for frit in project.frit:
        if since <= frit.firing <= until:
            field, packing = field_of(frit, project), volume.frit_packing(frit.packing)
            mass = volume.texture_mass(field.area, frit.grain, frit.cover, packing, density)
            yield field, float(mass) / density / field.area, frit.firing


def sagging_thickness(project: Project) -> float:
    """Return the thickness of an even sheet that would sag like the piece, h^2 = 1/(<w> <1/h^3>).

    Parameters
    ----------
    project : Project
        A piece with a slump.

    Returns
    -------
    float
        The thickness [m].

    Notes
    -----
    <> is the mean over the opening of the mould, whose middle lies under that of the piece: what lies on the
    ledges does not sag. An even sheet of thickness h bends under its own weight at a rate that goes with
    h/h^3. Here one moment bends all parts: each gives way by its own thickness h, and the weight w of all
    bends them. Rods and frit count by their mean thickness; what a full fuse has levelled is sheet; what lies
    loose weighs and does not stiffen. Right for ribs across the span; one along the span stiffens more.

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> tray = scenario("relief-tray")
    >>> round(sagging_thickness(tray) * 1e3, 2)  # its two sheets are 6.8 mm
    7.11
    """
    assert project.slump and project.size
    number = 1 + [one.process for one in project.firings].index("slump")
    level = levelled(project, number)
    bare = sum(sheet.count * sheet.thickness for sheet in project.sheets) + added(project, 1, level)
    regions = [(_opening(project.slump, project.size), bare, bare)]
    for outline, mean, firing in _lying(project, level + 1, number):
        stiff = mean if firing < number else 0.0
        inside = [(one.intersection(outline), w + mean, h + stiff) for one, w, h in regions]
        outside = [(one.difference(outline), w, h) for one, w, h in regions]
        regions = [one for one in (*inside, *outside) if one[0].area > 0]
    area = sum(one.area for one, _, _ in regions)
    weight = sum(one.area * w for one, w, _ in regions) / area
    gives = sum(one.area / h**3 for one, _, h in regions) / area
    return float((weight * gives) ** -0.5)


def _opening(slump: Slump, size: tuple[float, float]) -> Geometry:
    """Return the opening of a mould under the middle of a piece; a long one lies across the narrow side."""
    x, y, half = size[0] / 2, size[1] / 2, slump.span / 2
    whole = box(0, 0, *size)
    if slump.rim.startswith("round"):
        return Point(x, y).buffer(half, quad_segs=32).intersection(whole)
    across_y = (size[1] <= size[0]) == (slump.span <= min(size))
    return (
        box(0, y - half, size[0], y + half) if across_y else box(x - half, 0, x + half, size[1])
    ).intersection(whole)
