"""Shapes of glass laid on a sheet, or a grey-scale picture, become a thickness map.

Needs shapely for the shapes and, only where a picture is read, Pillow.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, pi, sqrt
from pathlib import Path
from typing import BinaryIO, Literal, get_args

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPoint, Point, Polygon, box

from kilncalc._ranges import SAME_LENGTH, scalar_in_range
from kilncalc.piece import LARGEST_MAP, ReliefMap

_SAMPLES, _FINEST, _POINTS = 4, 16, 200_000
"""A cell that a rim cuts takes its share of the thickness, by so many points a side of the cell: more where
the map has few cells, as long as all points are about so many."""
_LARGEST = 2.0  # m
Stuff = Literal["glass", "paper above", "paper below"]
"""What a shape is of: glass, or fibre paper on the glass or under it."""

_LARGEST_PICTURE = 50_000_000  # dots that are averaged to fewer


@dataclass(frozen=True)
class Shape:
    """A piece of glass laid on a sheet, or fibre paper on it or under it.

    Parameters
    ----------
    outline : shapely geometry
        Seen from above, the lower left corner of the sheet is (0, 0) [m].
    thickness : float
        That it adds [m], 0.1e-3 to 0.1.
    name : str
        What it is called in a report.
    of : str
        "glass", "paper above" or "paper below".

    Raises
    ------
    ValueError
        If the outline crosses itself or has no area, the thickness is out of range, or it is of something
        else.

    Examples
    --------
    >>> Shape(box(0, 0, 0.02, 0.03), 0.003, "patch").name
    'patch'
    """

    outline: shapely.Geometry
    thickness: float
    name: str
    of: Stuff = "glass"

    def __post_init__(self) -> None:
        if self.of not in get_args(Stuff):
            words = ", ".join(f'"{one}"' for one in get_args(Stuff))
            raise ValueError(f"the {self.name} is of {self.of!r}; it can be of {words}")
        thickness = scalar_in_range(f"thickness of the {self.name}", self.thickness, "m", 0.1e-3, 0.1)
        object.__setattr__(self, "thickness", thickness)
        if not self.outline.is_valid:
            where = shapely.is_valid_reason(self.outline)
            raise ValueError(f"the outline of the {self.name} crosses itself: {where}")
        if self.outline.area <= 0:
            raise ValueError(f"the {self.name} has no area")


def rectangle(x: float, y: float, width: float, height: float, thickness: float) -> Shape:
    """Return a rectangle by its lower left corner, its sides and the thickness it adds.

    Parameters
    ----------
    x, y : float
        Its lower left corner [m], -2 to 2.
    width, height : float
        Its sides [m], above 0 to 2.
    thickness : float
        That it adds [m], 0.1e-3 to 0.1.

    Returns
    -------
    Shape
        The rectangle, lengths in [m].

    Raises
    ------
    ValueError
        If a number is out of range.

    Examples
    --------
    >>> round(rectangle(0, 0, 0.2, 0.1, 0.003).outline.area, 6)
    0.02
    """
    left, low = _place(x, y)
    wide, high = _side("width", width), _side("height", height)
    return Shape(box(left, low, left + wide, low + high), thickness, "rectangle")


def disc(x: float, y: float, diameter: float, thickness: float) -> Shape:
    """Return a round piece by its middle.

    Parameters
    ----------
    x, y : float
        Its middle [m], -2 to 2.
    diameter : float
        Its diameter [m], above 0 to 2.
    thickness : float
        That it adds [m], 0.1e-3 to 0.1.

    Returns
    -------
    Shape
        The disc, lengths in [m].

    Raises
    ------
    ValueError
        If a number is out of range.

    Examples
    --------
    >>> f"{disc(0.1, 0.1, 0.03, 0.003).outline.area * 1e6:.0f} mm2"
    '707 mm2'
    """
    radius = _side("diameter", diameter) / 2
    return Shape(Point(*_place(x, y)).buffer(radius, quad_segs=64), thickness, "disc")


def ring(x: float, y: float, outside: float, width: float, thickness: float) -> Shape:
    """Return a ring by its middle, its outer diameter and the width of its band.

    Parameters
    ----------
    x, y : float
        Its middle [m], -2 to 2.
    outside : float
        Its outer diameter [m], above 0 to 2.
    width : float
        Of the band [m], above 0 to half of `outside`.
    thickness : float
        That it adds [m], 0.1e-3 to 0.1.

    Returns
    -------
    Shape
        The ring, lengths in [m].

    Raises
    ------
    ValueError
        If a number is out of range.

    Examples
    --------
    >>> f"{ring(0.1, 0.1, 0.060, 0.010, 0.003).outline.area * 1e6:.0f} mm2"
    '1571 mm2'
    """
    radius = _side("outside", outside) / 2
    band = scalar_in_range("width", width, "m", 0.0, radius, open_low=True)
    middle = Point(*_place(x, y))
    inner = middle.buffer(radius - band, quad_segs=64) if band < radius else Polygon()
    return Shape(middle.buffer(radius, quad_segs=64).difference(inner), thickness, "ring")


def line(points: Sequence[tuple[float, float]], width: float, thickness: float) -> Shape:
    """Return a strip along a line, with square ends.

    Parameters
    ----------
    points : sequence of pairs
        Corners of its middle line [m], two or more, each -2 to 2.
    width : float
        Of the strip [m], above 0 to 2.
    thickness : float
        That it adds [m], 0.1e-3 to 0.1.

    Returns
    -------
    Shape
        The strip, lengths in [m].

    Raises
    ------
    ValueError
        If there are fewer than two points or a number is out of range.

    Examples
    --------
    >>> round(line([(0, 0), (0.1, 0)], 0.004, 0.003).outline.area * 1e6)
    400
    """
    if len(points) < 2:
        raise ValueError(f"a line needs two points or more, got {len(points)}")
    course = LineString([_place(*point) for point in points])
    outline = course.buffer(_side("width", width) / 2, cap_style="flat", join_style="mitre")
    return Shape(outline, thickness, "line")


def polygon(points: Sequence[tuple[float, float]], thickness: float) -> Shape:
    """Return a piece by the corners of its outline.

    Parameters
    ----------
    points : sequence of pairs
        Corners in order [m], three or more, each -2 to 2.
    thickness : float
        That it adds [m], 0.1e-3 to 0.1.

    Returns
    -------
    Shape
        The piece, lengths in [m].

    Raises
    ------
    ValueError
        If there are fewer than three corners, the outline crosses itself or a number is out of range.

    Examples
    --------
    >>> round(polygon([(0, 0), (0.09, 0), (0, 0.08)], 0.001).outline.area * 1e6)
    3600
    """
    if len(points) < 3:
        raise ValueError(f"an outline needs three corners or more, got {len(points)}")
    return Shape(Polygon([_place(*point) for point in points]), thickness, "polygon")


def grains(area: Shape, grain: float, coverage: float) -> Shape:
    """Return grains strewn over an area: discs side by side that cover a share of it.

    A hexagonal lattice of discs with the pitch grain sqrt(pi/(2 sqrt(3) coverage)); each disc counts with the
    mean height of a ball, 2/3 of the grain.

    Parameters
    ----------
    area : Shape
        Where they lie; its thickness does not count.
    grain : float
        Size of a grain [m], 0.1e-3 to 0.02.
    coverage : float
        Share of the area that they cover [-], above 0 to 0.9.

    Returns
    -------
    Shape
        The grains, lengths in [m].

    Raises
    ------
    ValueError
        If a number is out of range, or no grain falls into the area.

    Examples
    --------
    >>> tray = rectangle(0, 0, 0.2, 0.2, 0.001)
    >>> strewn = grains(tray, 0.003, 0.5)
    >>> f"{strewn.outline.area / tray.outline.area:.1f}, {strewn.thickness * 1e3:.2f} mm"
    '0.5, 2.00 mm'
    """
    size = scalar_in_range("grain", grain, "m", 0.1e-3, 0.02)
    share = scalar_in_range("coverage", coverage, "", 0.0, 0.9, open_low=True)
    pitch = size * sqrt(pi / (2 * sqrt(3) * share))
    rise = pitch * sqrt(3) / 2
    left, low, right, high = area.outline.bounds
    columns, rows = np.arange(left, right + pitch, pitch), np.arange(ceil((high - low) / rise) + 1)
    x, j = np.meshgrid(columns, rows)
    places = np.column_stack([(x + 0.5 * pitch * (j % 2)).ravel(), (low + j * rise).ravel()])
    inside = places[shapely.contains_xy(area.outline, *places.T)]
    if not len(inside):
        raise ValueError(f"no grain of {size * 1e3:g} mm falls into the {area.name} at this coverage")
    return Shape(MultiPoint(inside).buffer(size / 2, quad_segs=6), 2 / 3 * size, f"grains on the {area.name}")


def together(shapes: Sequence[Shape], name: str) -> Shape:
    """Return several pieces that add the same thickness as one shape; where they meet they count once.

    Parameters
    ----------
    shapes : sequence of Shape
        One or more.
    name : str
        What they are called together.

    Returns
    -------
    Shape
        All of them, lengths in [m].

    Raises
    ------
    ValueError
        If there is none, or their thicknesses differ.

    Examples
    --------
    >>> dots = [disc(x, 0.05, 0.01, 0.003) for x in (0.02, 0.05, 0.08)]
    >>> together(dots, "dots").outline.geom_type
    'MultiPolygon'
    """
    if not shapes:
        raise ValueError(f"{name}: there is no shape to take together")
    first = shapes[0].thickness
    for one in shapes:
        if abs(one.thickness - first) > SAME_LENGTH:
            raise ValueError(
                f"{name}: the {one.name} adds {one.thickness:g} m and the {shapes[0].name} {first:g} m; "
                "shapes taken together add the same thickness"
            )
    return Shape(shapely.union_all([one.outline for one in shapes]), first, name)


@dataclass(frozen=True, eq=False)
class Laid:
    """A thickness map and what of the shapes does not lie on the sheet.

    Attributes
    ----------
    map : ReliefMap
        The map.
    cut : tuple of pairs
        Name and area [m2] of each shape's part that hangs over the rim of the sheet and was cut off.
    """

    map: ReliefMap
    cut: tuple[tuple[str, float], ...]


def lay(width: float, height: float, thickness: float, shapes: Sequence[Shape], cell: float) -> Laid:
    """Return the thickness map of a sheet with shapes on it; where they lie over each other they add up.

    Fibre paper adds to the map's paper on the glass or under it.

    Parameters
    ----------
    width, height : float
        Sides of the sheet [m], above 0 to 2; whole numbers of cells.
    thickness : float
        Of the sheet [m], 0.3e-3 to 0.15.
    shapes : sequence of Shape
        What lies on it.
    cell : float
        Side of a cell [m], 0.1e-3 to 0.1.

    Returns
    -------
    Laid
        The map [m], and what was cut off [m2].

    Raises
    ------
    ValueError
        If a number is out of range or the map would have too many cells.

    Notes
    -----
    A cell that a rim cuts takes its share of the added thickness, by points a quarter of a cell apart; a
    sixteenth in a small map.

    Examples
    --------
    >>> laid = lay(0.15, 0.15, 0.003, [rectangle(0.07, -0.01, 0.01, 0.2, 0.003)], 0.005)
    >>> round(float(laid.map.thickness.max()), 6), [(name, round(area, 6)) for name, area in laid.cut]
    (0.006, [('rectangle', 0.0005)])
    """
    wide, high = _side("width", width), _side("height", height)
    side = scalar_in_range("cell", cell, "m", 0.1e-3, 0.1)
    nx, ny = round(wide / side), round(high / side)
    for name, length, count in (("width", wide, nx), ("height", high, ny)):
        if count < 3 or abs(count * side - length) > 1e-6:
            raise ValueError(
                f"{name} is {length:g} m, which is {length / side:.4g} cells of {side:g} m; take a cell that "
                "goes into it three times or more, without rest"
            )
    if nx * ny > LARGEST_MAP:
        raise ValueError(f"that would be {nx} x {ny} cells; at most {LARGEST_MAP} fit: take larger cells")
    sheet = box(0, 0, wide, high)
    total = {"glass": np.full((ny, nx), scalar_in_range("thickness", thickness, "m", 0.3e-3, 0.15))}
    cut = []
    for shape in shapes:
        there = total.get(shape.of, np.zeros((ny, nx)))
        total[shape.of] = there + shape.thickness * covered(shape, (ny, nx), side)
        outside = shape.outline.difference(sheet).area
        if outside > 1e-9:
            cut.append((shape.name, float(outside)))
    relief = ReliefMap(total["glass"], side, total.get("paper above"), total.get("paper below"))
    return Laid(relief, tuple(cut))


def covered(shape: Shape, cells: tuple[int, int], side: float) -> np.ndarray:
    """Return the share of each cell of a map that a shape covers.

    Parameters
    ----------
    shape : Shape
        The shape.
    cells : tuple of two ints
        Rows and columns of the map [-], at least 1.
    side : float
        Of a cell [m], above 0.

    Returns
    -------
    ndarray
        The shares (ny, nx) [-], 0 to 1.

    Examples
    --------
    >>> covered(rectangle(0, 0, 0.03, 0.02, 0.003), (3, 3), 0.02)[0].tolist()
    [1.0, 0.5, 0.0]
    """
    ny, nx = cells
    samples = min(max(_SAMPLES, int(sqrt(_POINTS / (nx * ny)))), _FINEST)
    left, low, right, high = shape.outline.bounds
    columns = slice(max(floor(left / side), 0), min(ceil(right / side), nx))  # all others it leaves bare
    rows = slice(max(floor(low / side), 0), min(ceil(high / side), ny))
    share = np.zeros(cells)
    if columns.start < columns.stop and rows.start < rows.stop:
        x, y = (
            (np.arange(samples * some.start, samples * some.stop) + 0.5) * side / samples
            for some in (columns, rows)
        )
        hits = shapely.contains_xy(shape.outline, *(every.ravel() for every in np.meshgrid(x, y)))
        share[rows, columns] = hits.reshape(len(y) // samples, samples, -1, samples).mean(axis=(1, 3))
    return share


def from_picture(
    picture: str | Path | BinaryIO, width: float, thinnest: float, thickest: float, cells: int | None = None
) -> ReliefMap:
    """Return the thickness map that a grey-scale picture shows: white is thinnest, black thickest.

    Parameters
    ----------
    picture : str, Path or open binary file
        A picture that Pillow reads (PNG, JPEG ...); colours are turned to grey.
    width : float
        Of the piece [m], above 0 to 2: the width of the picture.
    thinnest, thickest : float
        Thickness of white and of black [m], 0.3e-3 to 0.15.
    cells : int or None
        A picture with more dots is averaged to about so many cells [-], 100 to 250000. None: it is refused
        where it has too many.

    Returns
    -------
    ReliefMap
        The map, a cell for each dot of the picture or for several [m].

    Raises
    ------
    ValueError
        If it is no picture, is transparent in places, has more than 256 greys, holds several pictures or too
        many dots, or a number is out of range.

    Examples
    --------
    >>> import tempfile
    >>> from PIL import Image
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     Image.new("L", (30, 20), 0).save(f"{folder}/black.png")
    ...     relief = from_picture(f"{folder}/black.png", 0.3, 0.003, 0.006)
    >>> float(relief.thickness.max()), relief.cell
    (0.006, 0.01)
    """
    from PIL import Image, UnidentifiedImageError  # not for every lesson

    name = "the picture" if hasattr(picture, "read") else str(picture)
    wide = _side("width", width)
    low = scalar_in_range("thinnest", thinnest, "m", 0.3e-3, 0.15)
    high = scalar_in_range("thickest", thickest, "m", low, 0.15)
    try:
        with Image.open(picture) as opened:
            dots = opened.width * opened.height
            if dots > (LARGEST_MAP if cells is None else _LARGEST_PICTURE):
                most = LARGEST_MAP if cells is None else _LARGEST_PICTURE
                raise ValueError(
                    f"{name} has {opened.width} x {opened.height} dots; at most {most} fit: make it smaller"
                )
            if opened.has_transparency_data and np.asarray(opened.convert("RGBA"))[..., 3].min() < 255:
                raise ValueError(f"{name} is transparent in places: is that an opening? Fill it with a grey")
            if opened.mode.startswith(("I", "F")):
                raise ValueError(
                    f'{name} counts its greys in finer steps than 256 (its kind is "{opened.mode}"): save it '
                    "as a picture of 8 bits"
                )
            if getattr(opened, "n_frames", 1) > 1:
                raise ValueError(f"{name} holds several pictures: save the one that is meant by itself")
            shown = opened.convert("L")
    except (UnidentifiedImageError, OSError, Image.DecompressionBombError) as problem:
        raise ValueError(f"{name} cannot be read as a picture: {problem}") from None
    if cells is not None and dots > scalar_in_range("cells", cells, "", 100, LARGEST_MAP):
        share = sqrt(cells / dots)
        size = max(3, round(shown.width * share)), max(3, round(shown.height * share))
        shown = shown.resize(size, Image.Resampling.BOX)
    grey = np.asarray(shown, dtype=float) / 255
    return ReliefMap(high - (high - low) * grey[::-1], wide / grey.shape[1])


def _place(x: float, y: float) -> tuple[float, float]:
    return scalar_in_range("x", x, "m", -_LARGEST, _LARGEST), scalar_in_range(
        "y", y, "m", -_LARGEST, _LARGEST
    )


def _side(name: str, value: float) -> float:
    return scalar_in_range(name, value, "m", 0.0, _LARGEST, open_low=True)
