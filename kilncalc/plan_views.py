"""A piece as it is drawn: seen from above with all that lies on it, cut through the middle, on its shelf."""

from dataclasses import dataclass
from math import cos, pi, sin

from shapely import Geometry
from shapely.geometry import LineString, box

from kilncalc.plan_laid import field_of, rods_of
from kilncalc.project import Project
from kilncalc.project_parts import Rods, shape_of

Outline = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Drawn:
    """One part of a piece seen from above.

    Attributes
    ----------
    name : str
        What it is.
    kind : str
        "laid", "rods", "frit", "sleeve", "hollow" or "hole".
    outlines : tuple
        Its outlines, each a row of points [m].
    second : bool
        Whether it is of another glass than the piece.
    """

    name: str
    kind: str
    outlines: tuple[Outline, ...]
    second: bool = False


@dataclass(frozen=True)
class FromAbove:
    """A piece seen from above, to scale.

    Attributes
    ----------
    name : str
        What it is called.
    size : tuple of two floats
        Length and width of the finished piece, of a cone its wider diameter twice [m].
    round : bool
        Whether it is round.
    parts : tuple of Drawn
        What is on it, from the lowest up.
    shelf : tuple of two floats or None
        Length and width of the kiln's shelf, the piece laid along it [m]; None: not known.
    turned : bool
        Whether the piece fits on the shelf only with its length along the shelf's width.
    """

    name: str
    size: tuple[float, float]
    round: bool
    parts: tuple[Drawn, ...]
    shelf: tuple[float, float] | None
    turned: bool

    @property
    def area(self) -> float:
        """Area of the piece [m2]."""
        long, wide = self.size
        return long * wide * (pi / 4 if self.round else 1.0)

    @property
    def outline(self) -> Outline:
        """Its outline [m]."""
        long, wide = self.size
        if self.round:
            return circle(long / 2, long / 2, long)
        return ((0.0, 0.0), (long, 0.0), (long, wide), (0.0, wide), (0.0, 0.0))


def circle(x: float, y: float, diameter: float) -> Outline:
    """Return a circle as a row of points: (x + d/2 cos a, y + d/2 sin a).

    Parameters
    ----------
    x, y : float
        Its middle [m], -10 to 10.
    diameter : float
        Its diameter [m], 0 to 10.

    Returns
    -------
    tuple of points
        49 points, the last the first [m].

    Examples
    --------
    >>> circle(0.0, 0.0, 0.02)[0]
    (0.01, 0.0)
    """
    around = (2 * pi * step / 48 for step in range(49))
    return tuple((x + diameter / 2 * cos(angle), y + diameter / 2 * sin(angle)) for angle in around)


def from_above(project: Project) -> FromAbove:
    """Return a piece as it is seen from above.

    Parameters
    ----------
    project : Project
        The piece.

    Returns
    -------
    FromAbove
        Its outline and parts [m].

    Raises
    ------
    ValueError
        As the functions of `laying`.

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> tray = from_above(scenario("relief-tray"))
    >>> [part.kind for part in tray.parts], len(tray.parts[4].outlines)
    (['laid', 'laid', 'laid', 'laid', 'rods', 'frit'], 15)
    """
    size, is_round = _size(project)
    shelf = project.kiln.shelf if project.kiln else None
    turned = bool(shelf) and (size[0] > shelf[0] or size[1] > shelf[1])  # type: ignore[index]
    return FromAbove(project.name, size, is_round, tuple(_parts_of(project)), shelf, turned)


def _size(project: Project) -> tuple[tuple[float, float], bool]:
    casting = project.casting
    if casting is None:
        assert project.size
        return project.size, False
    if casting.size:
        return casting.size, False
    widest = max(casting.bottom or 0.0, casting.top or 0.0)
    return (widest, widest), True


def _parts_of(project: Project) -> list[Drawn]:
    parts = [
        Drawn(
            part.name or part.shape,
            "laid",
            _rings(shape_of(part).outline),
            part.glass not in ("", project.glass),
        )
        for part in project.laid
    ]
    for rods in project.rods:
        outlines = tuple(one for rod in rods_of(rods, project) for one in _rings(_as_thick(rod, rods)))
        parts.append(Drawn(rods.name or "rods", "rods", outlines, rods.glass not in ("", project.glass)))
    for frit in project.frit:
        rings = _rings(field_of(frit, project))
        parts.append(Drawn(frit.name or "frit", "frit", rings, frit.glass not in ("", project.glass)))
    drape = project.drape
    if drape and drape.at:
        long, across = drape.along, drape.across
        x, y, half = *drape.at, (drape.across - drape.former_width) / 2
        strip, hollow = (0.0, 0.0, long, across), (0.0, half, long, half + drape.former_width)
        for name, kind, (left, low, right, high) in (
            (drape.name or "sleeve", "sleeve", strip),
            ("hollow", "hollow", hollow),
        ):
            sides = (low, left, high, right) if drape.lies == "across" else (left, low, right, high)
            corners = box(x + sides[0], y + sides[1], x + sides[2], y + sides[3])
            parts.append(Drawn(name, kind, _rings(corners), drape.glass not in ("", project.glass)))
    holes = tuple(circle(*hole.at, hole.diameter) for hole in project.holes)
    return [*parts, Drawn("holes", "hole", holes)] if holes else parts


def _as_thick(rod: LineString, rods: Rods) -> Geometry:
    """Return a rod as wide as it is thick."""
    return rod.buffer(rods.diameter / 2, cap_style="flat")


def _rings(geometry: Geometry) -> tuple[Outline, ...]:
    """Return the outlines of a geometry: of a ring the outer one and the inner ones as one line."""
    found = []
    for one in getattr(geometry, "geoms", (geometry,)):
        if one.is_empty or not hasattr(one, "exterior"):
            continue
        points = [*one.exterior.coords]
        for hole in one.interiors:  # there and back along one line: the filled area has the hole
            points += [*hole.coords, one.exterior.coords[-1]]
        found.append(tuple((float(x), float(y)) for x, y in points))
    return tuple(found)


# ------------------------------------------------------------------------------------------ cut through


@dataclass(frozen=True)
class Block:
    """A rectangle of a section.

    Attributes
    ----------
    name : str
        What it is.
    kind : str
        "sheet", "laid", "rods" or "frit".
    left, right, bottom, top : float
        Its sides, from the left edge of the piece and from the shelf [m].
    second : bool
        Whether it is of another glass than the piece.
    """

    name: str
    kind: str
    left: float
    right: float
    bottom: float
    top: float
    second: bool


@dataclass(frozen=True)
class Section:
    """A piece cut through its middle, lengthwise, before its first firing.

    Attributes
    ----------
    length : float
        Of the piece [m].
    blocks : tuple of Block
        What the cut meets, from the shelf upwards.
    body : float
        Thickness of its sheets [m].
    """

    length: float
    blocks: tuple[Block, ...]
    body: float

    @property
    def highest(self) -> float:
        """The highest point of all [m]."""
        return max(block.top for block in self.blocks)


@dataclass(frozen=True)
class MouldSection:
    """A mould cut through its middle.

    Attributes
    ----------
    bottom, top : float
        Its width at the floor and at the line that the glass is to reach [m].
    depth : float
        From the floor to that line [m].
    """

    bottom: float
    top: float
    depth: float


def mould_section(project: Project) -> MouldSection:
    """Return the mould of a casting cut through its middle, of a box along its length.

    Parameters
    ----------
    project : Project
        A casting.

    Returns
    -------
    MouldSection
        Its widths and depth [m].

    Raises
    ------
    ValueError
        If the piece is no casting.

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> mould_section(scenario("bookend")).depth
    0.045
    """
    casting = project.casting
    if casting is None:
        raise ValueError("the piece is no casting: it has no mould to cut through")
    if casting.size:
        return MouldSection(casting.size[0], casting.size[0], casting.depth)
    return MouldSection(casting.bottom or 0.0, casting.top or 0.0, casting.depth)


def section(project: Project) -> Section:
    """Return a piece of sheets cut through its middle, along its length.

    Parameters
    ----------
    project : Project
        A piece of sheets.

    Returns
    -------
    Section
        Its sheets and what lies on them there [m].

    Raises
    ------
    ValueError
        If the piece is a casting, or as the functions of `laying`.

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> cut = section(scenario("relief-tray"))
    >>> round(cut.body * 1e3, 1), round(cut.highest * 1e3, 1)
    (6.8, 10.2)
    """
    if not project.sheets or project.size is None:
        raise ValueError("a casting has no sheets to cut through: its mould gives its shape")
    length, width = project.size
    blocks, high = [], 0.0
    for number, sheet in enumerate(project.sheets, 1):
        second = sheet.glass not in ("", project.glass)
        for _ in range(sheet.count):
            top = high + sheet.thickness
            blocks.append(Block(sheet.name or f"sheet {number}", "sheet", 0.0, length, high, top, second))
            high = top
    cut = LineString([(0.0, width / 2), (length, width / 2)])
    for name, kind, geometry, thickness, second in _met(project):
        for left, right in _spans(geometry, cut):
            below = [b.top for b in blocks if b.left < right - 1e-9 and b.right > left + 1e-9]
            bottom = max(below)
            blocks.append(Block(name, kind, left, right, bottom, bottom + thickness, second))
    return Section(length, tuple(blocks), high)


def _met(project: Project) -> list[tuple[str, str, Geometry, float, bool]]:
    """Return name, kind, outline, thickness and glass of all that lies on the sheets."""
    found = []
    for part in project.laid:
        second = part.glass not in ("", project.glass)
        found.append((part.name or part.shape, "laid", shape_of(part).outline, part.thickness, second))
    for rods in project.rods:
        second = rods.glass not in ("", project.glass)
        for rod in rods_of(rods, project):
            found.append((rods.name or "rods", "rods", _as_thick(rod, rods), rods.diameter, second))
    for frit in project.frit:
        second = frit.glass not in ("", project.glass)
        found.append((frit.name or "frit", "frit", field_of(frit, project), frit.grain, second))
    return found


def _spans(geometry: Geometry, cut: LineString) -> list[tuple[float, float]]:
    """Return from where to where along the cut a part lies."""
    met = geometry.intersection(cut)
    ends = [one.bounds for one in getattr(met, "geoms", (met,)) if one.length > 0]
    return sorted((left, right) for left, _, right, _ in ends)
