"""What of a piece is in the kiln at each firing: zones from what lies on its sheets, or a thickness map."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from shapely import Geometry
from shapely.geometry import MultiPolygon, Polygon, box

from kilncalc import layers, laying
from kilncalc.own_piece import PAPER
from kilncalc.piece import Feature, FeaturePlace, Layer, Piece, Support, Zone
from kilncalc.plan_forms import forms_of
from kilncalc.plan_laid import added, field_of, levelled, rods_of
from kilncalc.project import Project
from kilncalc.project_parts import shape_of

THINNEST = 0.3e-3
"""What adds less [m] is no zone of its own: fine frit and powder."""

LONG = 3.0
"""From this ratio of its sides a narrow part counts as a rib, below it as a spot [-]; own choice."""


@dataclass(frozen=True)
class _Region:
    """A part of the piece under one stack of what was laid on."""

    outline: Geometry
    share: float  # of the outline: frit and rods cover a share of their field
    on_top: tuple[tuple[float, int], ...] = ()  # thickness, and the firing in which it joins
    width: float | None = None
    feature: Feature = "rib"
    length: float | None = None  # of a rib
    place: FeaturePlace = "inside"

    @property
    def area(self) -> float:
        return float(self.outline.area) * self.share


def _narrow(outline: Geometry) -> tuple[float, Feature, float | None]:
    """Return the width of a part, whether it is a rib or a spot, and the length of a rib; a ring has none."""
    if isinstance(outline, Polygon) and outline.interiors:  # a ring: as wide as its band
        ring = 2 * outline.area / outline.length
        return float(ring), "rib", None
    around = outline.minimum_rotated_rectangle
    sides = np.linalg.norm(np.diff(np.array(around.exterior.coords)[:3], axis=0), axis=1)
    bent = outline.area < 0.5 * around.area and not isinstance(outline, MultiPolygon)
    if bent:  # a line with corners, or a thin triangle
        return float(2 * outline.area / outline.length), "rib", float(outline.length / 2)
    wide, long = round(float(sides.min()), 6), round(float(sides.max()), 6)
    return (wide, "rib", long) if long >= LONG * wide else (wide, "spot", None)


def _sides(outline: Geometry, size: tuple[float, float]) -> set[str]:
    """Return along which sides of the piece a rib runs, no further from them than it is wide."""
    width, feature, _ = _narrow(outline)
    if feature != "rib":
        return set()
    wide, high = size
    strips = {
        "left": (box(0, 0, 2 * width, high), high),
        "right": (box(wide - 2 * width, 0, wide, high), high),
        "lower": (box(0, 0, wide, 2 * width), wide),
        "upper": (box(0, high - 2 * width, wide, high), wide),
    }
    return {
        name
        for name, (strip, along) in strips.items()
        if outline.intersection(strip).area > width * along / 2
    }


def _place(sides: set[str]) -> FeaturePlace:
    """Return what ribs along these sides of a piece are."""
    if len(sides) == 1:
        return "side"
    return "both sides" if sides in ({"left", "right"}, {"lower", "upper"}) else "frame"


def _laid_over(
    regions: list[_Region],
    outline: Geometry,
    cover: float,
    adds: tuple[float, int],
    width: float,
    feature: Feature,
    length: float | None = None,
    place: FeaturePlace = "inside",
) -> list[_Region]:
    """Return the regions with something on top that covers a share of an outline."""
    after = []
    for one in regions:
        inside, outside = one.outline.intersection(outline), one.outline.difference(outline)
        narrowest = one.width is None or width <= one.width
        if outside.area > 0:
            after.append(replace(one, outline=outside))
        if inside.area > 0:
            top = replace(
                one,
                outline=inside,
                share=one.share * cover,
                on_top=(*one.on_top, adds),
                width=width if narrowest else one.width,
                feature=feature if narrowest else one.feature,
                length=length if narrowest else one.length,
                place=place if narrowest else one.place,
            )
            after.append(top)
            if cover < 1:
                after.append(replace(one, outline=inside, share=one.share * (1 - cover)))
    return after


def _regions(project: Project, since: int, until: int) -> list[_Region]:
    """Return the regions of what joined the piece in the firings from one to another, from 1."""
    assert project.size is not None
    regions = [_Region(box(0, 0, *project.size), 1.0)]
    laid = [(part, shape_of(part)) for part in project.laid if since <= part.firing <= until]
    sides = [_sides(shape.outline, project.size) for _, shape in laid]
    for (part, shape), own in zip(laid, sides, strict=True):
        place = _place({side for one in sides for side in one}) if own else "inside"
        width, feature, length = _narrow(shape.outline)
        length = None if place == "frame" else length  # a frame has no ends
        adds = shape.thickness, part.firing
        regions = _laid_over(regions, shape.outline, 1.0, adds, width, feature, length, place)
    for rods in project.rods:
        if since <= rods.firing <= until and rods.directions * rods.diameter >= THINNEST:
            cover = min(rods.directions * rods.diameter / rods.pitch, 0.99)
            high = rods.directions * rods.diameter
            field = field_of(rods, project)
            regions = _laid_over(
                regions, field, cover, (high, rods.firing), rods.diameter, "rib", _longest(field)
            )
    for frit in project.frit:
        if since <= frit.firing <= until and frit.grain >= THINNEST:
            field = field_of(frit, project)
            regions = _laid_over(regions, field, frit.cover, (frit.grain, frit.firing), frit.grain, "spot")
    return regions


def _longest(field: Geometry) -> float:
    left, low, right, high = field.bounds
    return float(max(right - left, high - low))


def bodies_of(project: Project) -> tuple[Piece, ...]:
    """Return the piece as it is in each of its firings, as zones.

    Parameters
    ----------
    project : Project
        The piece.

    Returns
    -------
    tuple of Piece
        One for each firing, thicknesses [m].

    Raises
    ------
    ValueError
        As `piece.Zone` and `piece.Piece`.

    Notes
    -----
    Rods count as high as their crossings and frit as its grains, on the safe side. Strips that run along the
    rim count as ribs along one side, both or all the way round. A full fuse levels what
    was on the piece, every other process leaves it standing. What joins a piece that has a relief already
    counts as one with it. A strip that is draped lies loose until it bonds; where it bonds it makes ribs
    beside the former, whose paper covers the sheet below. The walls and the floor of a mould are not in the
    model.

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> [(len(one.body), one.loose) for one in bodies_of(scenario("relief-tray"))]
    [(4, True), (4, False)]
    """
    return tuple(_body(project, number) for number in range(1, len(project.firings) + 1))


@lru_cache(maxsize=64)
def _body(project: Project, number: int) -> Piece:
    firing = project.firings[number - 1]
    glass = project.glass_of()
    support: Support = "open" if firing.support == "posts" else "shelf"
    under = firing.support == "paper on the shelf"
    thick = (layers.paper(firing.paper).fired if firing.paper else PAPER) if under else 0.0

    def zone(
        layer: tuple[float, ...],
        share: float,
        width: float | None,
        feature: Feature,
        length: float | None,
        place: FeaturePlace,
    ) -> Zone:
        stack = tuple(Layer(one) for one in layer)
        return Zone(
            sum(layer),
            share,
            width,
            feature,
            length,
            place,
            below="paper" if under else None,
            paper=thick,
            layers=stack if loose and stack else None,
        )

    if project.casting:
        loose = False
        return Piece(
            glass, (zone((project.casting.depth,), 1.0, None, "rib", None, "inside"),), "shelf", "flat"
        )
    if firing.zones:
        loose = bool(firing.loose) if firing.loose is not None else any(one.layers for one in firing.zones)
        given = tuple(
            zone(one.layers or (one.thickness,), one.share, one.width, one.feature, one.length, one.place)  # type: ignore[arg-type]
            for one in firing.zones
        )
        return Piece(glass, given, support, loose=loose)
    level = levelled(project, number)
    base = _base(project, number, level)
    rows = _rows(project, number, level, base)
    one_body = len({row[0][0] for row in rows}) == 1
    joins = one_body and any(len(row[0]) > 1 for row in rows)
    loose = joins if firing.loose is None else firing.loose
    if not loose:
        rows = [((sum(row[0]),), *row[1:]) for row in rows]
    zones = [zone(*row) for row in rows]
    if project.drape and firing.process.startswith("drape"):
        # a zone has one thickness of paper, so that of the former also counts for paper under the piece
        zones = [
            *zones[:-1],
            replace(zones[-1], above="paper", paper=max(project.drape.former_height, thick)),
        ]
    return Piece(glass, tuple(zones), support, loose=loose)


def _base(project: Project, number: int, level: int) -> tuple[float, ...]:
    """Return the sheets of the body [m]: loose before the first firing, one afterwards."""
    sheets = tuple(sheet.thickness for sheet in project.sheets for _ in range(sheet.count))
    if number == 1:
        return sheets
    return (sum(sheets) + added(project, 1, level),)


_Row = tuple[tuple[float, ...], float, float | None, Feature, float | None, FeaturePlace]


def _rows(project: Project, number: int, level: int, base: tuple[float, ...]) -> list[_Row]:
    """Return layers, share, width, feature, length and place of each zone, the bare one first."""
    assert project.size is not None
    area = project.size[0] * project.size[1]
    together: dict[tuple[tuple[float, ...], float | None, Feature, float | None, FeaturePlace], float] = {}
    for one in _regions(project, level + 1, number):
        fused = sum(on for on, firing in one.on_top if firing < number)
        new = tuple(on for on, firing in one.on_top if firing == number)
        below = (*base[:-1], base[-1] + fused) if fused else base
        key = ((*below, *new), one.width, one.feature, one.length, one.place)
        together[key] = together.get(key, 0.0) + one.area / area
    rows: list[_Row] = [(key[0], share, *key[1:]) for key, share in together.items() if share > 1e-6]
    total = sum(row[1] for row in rows)
    rows = [(row[0], row[1] / total, *row[2:]) for row in rows]
    if all(row[2] for row in rows):  # something covers all of it: that is the body
        widest = max(range(len(rows)), key=lambda place: rows[place][1])
        rows[widest] = (*rows[widest][:2], None, "rib", None, "inside")
    rows.sort(key=lambda row: (row[2] is not None, -row[1]))
    draped = [place for place, one in enumerate(project.firings, 1) if one.process.startswith("drape")]
    if project.drape and number >= draped[0]:
        rows = _with_sleeve(project, rows, base, joins=number == draped[0])
    return rows


def _with_sleeve(project: Project, rows: list[_Row], base: tuple[float, ...], joins: bool) -> list[_Row]:
    """Return the zones with those of a sleeve: bonded feet, and what its former covers, last."""
    drape, size = project.drape, project.size
    sleeve = forms_of(project).sleeve
    assert drape and size and sleeve
    area = size[0] * size[1]
    foot = sleeve.run.overhang
    covered = drape.former_width * drape.along / area
    feet = 2 * foot * drape.along / area
    if covered + feet >= 1:
        raise ValueError("the strip of the sleeve covers the whole piece: nothing is left bare beside it")
    high = (*base, drape.thickness) if joins else (base[0] + drape.thickness,)
    return [
        *((row[0], row[1] * (1 - covered - feet), *row[2:]) for row in rows),
        (high, feet, foot, "rib", drape.along, "inside"),
        (base, covered, drape.former_width, "rib", drape.along, "inside"),
    ]


def map_of(project: Project, number: int) -> laying.Laid:
    """Return the thickness map of a piece in one of its firings, as one solid piece.

    Parameters
    ----------
    project : Project
        The piece; the firing says the side of a `cell`.
    number : int
        Which firing, in their order [-], at least 1.

    Returns
    -------
    Laid
        The map [m], and what hangs over the rim [m2].

    Raises
    ------
    ValueError
        If the firing has no cell, there is no such firing, the piece is a casting, or as `laying.lay`.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from kilncalc.project import scenario
    >>> tray = scenario("relief-tray")
    >>> mapped = replace(tray, firings=(tray.firings[0], replace(tray.firings[1], cell=0.004)))
    >>> relief = map_of(mapped, 2).map
    >>> relief.shape, round(float(relief.thickness[0, 0]) * 1e3, 1)
    ((45, 60), 10.2)
    """
    if not 1 <= number <= len(project.firings):
        raise ValueError(f"firing is {number}; there are 1 to {len(project.firings)}")
    cell = project.firings[number - 1].cell
    if cell is None or project.size is None:
        raise ValueError('a thickness map needs a cell in that firing, cell = "4 mm", and a piece of sheets')
    level = levelled(project, number)
    thickness = sum(sheet.count * sheet.thickness for sheet in project.sheets) + added(project, 1, level)
    return laying.lay(*project.size, thickness, list(_shapes(project, level + 1, number)), cell)


def _shapes(project: Project, since: int, until: int) -> Iterator[laying.Shape]:
    """Yield the outlines of all that lies on the piece: rods one by one, frit grain by grain."""
    for part in project.laid:
        if since <= part.firing <= until:
            yield shape_of(part)
    for rods in project.rods:
        if since <= rods.firing <= until:
            for rod in rods_of(rods, project):
                yield laying.line(list(rod.coords), rods.diameter, rods.diameter)
    for frit in project.frit:
        if since <= frit.firing <= until:
            field = laying.Shape(field_of(frit, project), frit.grain, frit.name or "frit")
            yield laying.grains(field, frit.grain, frit.cover)
