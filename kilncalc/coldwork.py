"""After the kiln: a crooked piece made square, and the blank that a finished size takes.

Holes, drilling and hanging stand in `holes`, grinding and polishing in `grit`; the names that a workshop
needs most are here as well.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

import numpy as np
from shapely import Polygon, box

from kilncalc import _outlines
from kilncalc._ranges import SAME_LENGTH, ArrayLike, in_range, scalar_in_range
from kilncalc.cutting import Allowance, blank_size
from kilncalc.grit import grit_sequence, grit_size, polish_time
from kilncalc.holes import check_holes, drill_speed, hole_limits

__all__ = [
    "BlankBefore",
    "SawCut",
    "Squared",
    "Squaring",
    "Taped",
    "blank_before",
    "check_holes",
    "corners_from_diagonals",
    "drill_speed",
    "grit_sequence",
    "grit_size",
    "hole_limits",
    "polish_time",
    "square_up",
    "tape",
]

_STRAIGHT = 0.1e-3
"""Edges whose departures from straight differ by less than this [m] are equally straight."""

_REMOVES = 1e-6
"""A cut that takes away less than this [m] is none."""


# --------------------------------------------------------------------------------------------- squaring up


@dataclass(frozen=True)
class SawCut:
    """One straight cut of a piece that is being squared.

    Attributes
    ----------
    name : str
        What it makes: "first end", "second end", "far edge" or "datum edge".
    guide : str
        What lies against the fence or the square: "datum edge", "first end", "second end" or "far edge".
    start, end : tuple of float
        Where its finished face begins and ends [m], x along the datum edge and y into the glass.
    setting : float
        Distance of the finished face [m]: of the first end from the outermost glass on its side, of the
        second end from the first, of the far edge from the datum edge, of the datum edge from the far edge.
    most : float
        Greatest width of glass that it takes off [m].
    ground : bool
        Whether so little comes off that the blade has no glass on both sides: grind it instead.
    remaining : tuple of tuple of float
        Outline of the piece after the cut [m].
    """

    name: str
    guide: str
    start: tuple[float, float]
    end: tuple[float, float]
    setting: float
    most: float
    ground: bool
    remaining: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Squared:
    """A crooked piece, the cuts that make it square, and what is left of it.

    Attributes
    ----------
    outline : tuple of tuple of float
        The piece as measured, turned so that its datum edge lies on y = 0 [m].
    corners : tuple of int
        Which points of the outline are the four corners, from the start of the datum edge [-].
    datum : int
        Which side of the outline as given is the datum edge: 0 for the side after the first corner.
    departures : tuple of float
        How far each side departs from a straight line, in the order given [m].
    x, y : float
        Lower left corner of the finished rectangle [m].
    length, width : float
        Its size along the datum edge and across [m].
    cuts : tuple of SawCut
        The cuts in their order.
    area : float
        Area of the piece before [m2].
    finished : float
        Area of the finished rectangle [m2].
    dust : float
        Area that the blade turns into slurry [m2].
    offcuts : float
        Area that falls off in pieces [m2].
    short : tuple of float
        For a wanted size that does not fit: by how much the piece is too short for it along the datum
        edge, with that width, and too narrow, with that length [m]; both 0 where it fits.
    """

    outline: tuple[tuple[float, float], ...]
    corners: tuple[int, ...]
    datum: int
    departures: tuple[float, ...]
    x: float
    y: float
    length: float
    width: float
    cuts: tuple[SawCut, ...]
    area: float
    finished: float
    dust: float
    offcuts: float
    short: tuple[float, float]

    @property
    def fits(self) -> bool:
        """Whether the wanted size can be cut."""
        return not any(self.short)

    @property
    def trims(self) -> tuple[float, float]:
        """What the length and the width lose per edge, for the `Allowance` of the next blank [m]."""
        x, y = np.array(self.outline).T
        return float(np.ptp(x) - self.length) / 2, float(np.ptp(y) - self.width) / 2

    @property
    def lost(self) -> float:
        """Share of the area that is lost [-]."""
        return 1 - self.finished / self.area


def square_up(
    outline: ArrayLike,
    kerf: float,
    *,
    size: tuple[float, float] | None = None,
    datum_cut: float = 0.0,
) -> Squared:
    """Return the cuts that make a crooked piece square, and the largest rectangle they leave.

    The datum edge is the side that departs least from a straight line. Two cuts square to it follow, the
    last is square to those. The rectangle is the largest that stands on the datum edge.

    Parameters
    ----------
    outline : array
        Corners of the piece around it, or a traced outline of up to 400 points [m], -5 to 5.
    kerf : float
        Width of glass that the saw takes away [m], 0 to 0.01; the blade stands outside the finished piece.
    size : tuple of two floats, optional
        A wanted length and width [m], above 0 to 5, in either direction; left out: the largest rectangle.
    datum_cut : float
        What is cut off the datum edge as well, at least [m], 0 to 0.2: for a rounded edge. An edge that
        departs from straight by 0.1 mm or more is cut by that much in any case.

    Returns
    -------
    Squared
        Datum edge, cuts in their order, finished rectangle, what is lost [m], [m2].

    Raises
    ------
    ValueError
        If the outline crosses itself or has no four sides, or a number is out of range, or nothing is left.

    Notes
    -----
    Of sides that are equally straight within 0.1 mm, as with four measured corners, the one that leaves the
    largest rectangle, or on which the wanted size fits, is the datum edge. A rectangle at another angle may
    be larger still; it needs a fourth cut and a line to guide the first (common practice, no source).

    Examples
    --------
    A piece 300 mm long, 200 mm high on the left and 190 on the right, on which the long side is straight:

    >>> squared = square_up([(0, 0), (0.300, 0), (0.300, 0.190), (0, 0.200)], 0.002)
    >>> round(squared.length, 6), round(squared.width, 6), len(squared.cuts)
    (0.3, 0.19, 1)
    """
    points = _outlines.checked(outline)
    blade = scalar_in_range("kerf", kerf, "m", 0.0, 0.01)
    rounded = scalar_in_range("datum_cut", datum_cut, "m", 0.0, 0.2)
    wanted = None
    if size is not None:
        wanted = _pair("size", size, 0.0, 5.0, open_low=True)
    corners = _outlines.four_corners(points)
    sides = [_side(points, corners, place) for place in range(4)]
    lines = [_outlines.straightest_line(side) for side in sides]
    departures = tuple(departure for _, departure in lines)
    lengths = [_outlines.distance(side[0], side[-1]) for side in sides]
    if all(departure > 0.1 * length for departure, length in zip(departures, lengths, strict=True)):
        raise ValueError(
            "no side of the outline is straight enough to cut by: each departs from a line by more than a "
            f"tenth of its length, at least {min(departures) * 1e3:.3g} mm"
        )
    tries = [
        _stand_on(points, corners, place, lines[place][0], departures[place], rounded, wanted)
        for place in range(4)
        if departures[place] < min(departures) + _STRAIGHT
    ]
    tries = [found for found in tries if found.length > 0 and found.width > 0]
    if not tries:
        raise ValueError(
            "nothing is left of the piece above its datum edge, cut back by "
            f"{max(rounded, min(departures)) * 1e3:.3g} mm"
        )
    best = min(tries, key=lambda found: (sum(found.short), -round(found.length * found.width, 9)))
    cuts, dust = _saw_cuts(best, blade)
    area, finished = float(Polygon(points).area), best.length * best.width
    return Squared(
        outline=tuple((float(x), float(y)) for x, y in best.points),
        corners=tuple(corners[(best.place + k) % 4] for k in range(4)),
        datum=best.place,
        departures=departures,
        x=best.x,
        y=best.y,
        length=best.length,
        width=best.width,
        cuts=tuple(cuts),
        area=area,
        finished=finished,
        dust=dust,
        offcuts=max(area - finished - dust, 0.0),
        short=best.short,
    )


@dataclass(frozen=True)
class Squaring:
    """A piece that is being squared.

    Attributes
    ----------
    squared : Squared
        The piece with all its cuts.
    made : int
        How many of them have been made [-].
    wanted : bool
        Whether the finished size was asked for, and is not the largest there is.
    """

    squared: Squared
    made: int
    wanted: bool = False

    @property
    def remaining(self) -> tuple[tuple[float, float], ...]:
        """Outline of what is left by now [m]."""
        return self.squared.cuts[self.made - 1].remaining if self.made else self.squared.outline


def corners_from_diagonals(
    sides: Sequence[float], diagonals: Sequence[float], *, tolerance: float = 1e-3
) -> np.ndarray:
    """Return the four corners of a piece from its sides and diagonals, by the law of cosines.

    Parameters
    ----------
    sides : sequence
        Sides AB, BC, CD, DA around the piece [m], above 0 to 5.
    diagonals : sequence
        Diagonals AC and BD [m], above 0 to 8.
    tolerance : float
        By how much the second diagonal may miss what the sides and the first one say [m], 0 to 0.05.

    Returns
    -------
    array
        Corners A, B, C, D [m], shape (4, 2), A at the origin and B along x.

    Raises
    ------
    ValueError
        If a number is out of range, or the diagonals contradict the sides; the message says by how much.

    Notes
    -----
    Four sides and one diagonal make the piece; the other diagonal is the check on the tape measure.

    Examples
    --------
    >>> corners_from_diagonals([0.4, 0.3, 0.4, 0.3], [0.5, 0.5]).round(6)[2]
    array([0.4, 0.3])
    """
    allowed = scalar_in_range("tolerance", tolerance, "m", 0.0, 0.05)
    corners, other, off = _by_diagonals(sides, diagonals)
    if abs(off) > allowed:
        raise ValueError(
            f"the diagonals contradict the sides: with these sides and AC of {diagonals[0] * 1e3:.1f} mm, BD "
            f"would be {other * 1e3:.1f} mm, but {diagonals[1] * 1e3:.1f} mm was measured, "
            f"{abs(off) * 1e3:.1f} mm {'more' if off > 0 else 'less'}; measure again"
        )
    return corners


def _by_diagonals(sides: Sequence[float], diagonals: Sequence[float]) -> tuple[np.ndarray, float, float]:
    """Return the corners by AC, what BD must be, and by how much the measured one is longer [m]."""
    lengths = in_range("sides", sides, "m", 0.0, 5.0, open_low=True)
    across = in_range("diagonals", diagonals, "m", 0.0, 8.0, open_low=True)
    if lengths.shape != (4,) or across.shape != (2,):
        raise ValueError(
            f"give four sides and two diagonals, got {lengths.size} sides and {across.size} diagonals"
        )
    corners = _outlines.quadrilateral([float(side) for side in lengths], float(across[0]))
    other = _outlines.distance(corners[1], corners[3])
    return corners, other, float(across[1]) - other


@dataclass(frozen=True)
class Taped:
    """A piece measured with a tape: four sides and two diagonals.

    Attributes
    ----------
    sides : tuple of float
        Sides AB, BC, CD, DA [m].
    diagonals : tuple of float
        Diagonals AC and BD as measured [m].
    corners : tuple of tuple of float
        Corners A, B, C, D by the sides and AC [m].
    second : float
        What BD must be with them [m].
    off : float
        By how much the measured BD is longer [m].
    angles : tuple of float
        Angle between the sides at A, B, C, D [degree].
    squared : Squared or None
        The piece made square; None where the diagonals contradict the sides.
    """

    sides: tuple[float, ...]
    diagonals: tuple[float, ...]
    corners: tuple[tuple[float, float], ...]
    second: float
    off: float
    angles: tuple[float, ...]
    squared: Squared | None


def tape(
    sides: Sequence[float], diagonals: Sequence[float], kerf: float, *, tolerance: float = 1e-3
) -> Taped:
    """Return a piece measured with a tape, whether its six measures can be true, and how it is squared.

    Angles by the law of cosines, cos A = (DA^2 + AB^2 - BD^2)/(2 DA AB), and so on round the piece.

    Parameters
    ----------
    sides : sequence
        Sides AB, BC, CD, DA around the piece [m], above 0 to 5.
    diagonals : sequence
        Diagonals AC and BD [m], above 0 to 8.
    kerf : float
        Width of glass that the saw takes away [m], 0 to 0.01.
    tolerance : float
        By how much BD may miss what the sides and AC say [m], 0 to 0.05.

    Returns
    -------
    Taped
        Corners [m], the second diagonal [m], angles [degree], cuts.

    Raises
    ------
    ValueError
        If a number is out of range, or no piece has such sides and such a diagonal AC.

    Examples
    --------
    A slab whose far side is 6 mm shorter, and whose BD was read 5 mm too long:

    >>> slab = tape([0.400, 0.300, 0.394, 0.300], [0.497, 0.503], 0.002)
    >>> round(slab.second, 4), round(slab.off, 4), slab.squared is None
    (0.4982, 0.0048, True)
    """
    allowed = scalar_in_range("tolerance", tolerance, "m", 0.0, 0.05)
    blade = scalar_in_range("kerf", kerf, "m", 0.0, 0.01)
    corners, second, off = _by_diagonals(sides, diagonals)
    before, after = np.roll(corners, 1, axis=0) - corners, np.roll(corners, -1, axis=0) - corners
    cosines = (before * after).sum(axis=1) / np.hypot(*before.T) / np.hypot(*after.T)
    return Taped(
        sides=tuple(float(side) for side in sides),
        diagonals=tuple(float(diagonal) for diagonal in diagonals),
        corners=tuple((float(x), float(y)) for x, y in corners),
        second=second,
        off=off,
        angles=tuple(float(angle) for angle in np.degrees(np.arccos(cosines))),
        squared=square_up(corners, blade) if abs(off) <= allowed else None,
    )


@dataclass(frozen=True)
class _Standing:
    """A piece turned so that one side lies on y = 0, and the rectangle on it."""

    place: int
    points: np.ndarray
    x: float
    y: float
    length: float
    width: float
    short: tuple[float, float]


def _side(points: np.ndarray, corners: list[int], place: int) -> np.ndarray:
    start, end = corners[place], corners[(place + 1) % 4]
    count = (end - start) % len(points) + 1
    return points[(start + np.arange(count)) % len(points)]


def _stand_on(
    points: np.ndarray,
    corners: list[int],
    place: int,
    direction: float,
    departure: float,
    rounded: float,
    wanted: tuple[float, float] | None,
) -> _Standing:
    if Polygon(points).exterior.is_ccw:
        standing = _outlines.turned(points, direction)
    else:  # seen in a mirror, so that glass lies above the datum edge
        standing = _outlines.turned(points, direction) * (1.0, -1.0)
    side = _side(standing, corners, place)
    standing = standing - (float(standing[:, 0].min()), float(side[:, 1].min()))
    base = max(rounded, departure if departure >= _STRAIGHT else 0.0)
    rooms = _outlines.rooms_above(standing, base)
    if wanted is None:
        x, length, width = _outlines.largest_box(rooms)
        return _Standing(place, standing, x, base, length, width, (0.0, 0.0))
    tries = []
    highest = max((max(room.height, room.height_end) for room in rooms), default=0.0)
    for length, width in (wanted, wanted[::-1]):
        start, room = _outlines.longest(rooms, width)
        if room + SAME_LENGTH >= length:
            middle = start + (room - length) / 2
            tries.append(_Standing(place, standing, middle, base, length, width, (0.0, 0.0)))
        else:
            short = length - room, width - _widest(rooms, length, highest)
            tries.append(_Standing(place, standing, max(start, 0.0), base, length, width, short))
    return min(tries, key=lambda found: sum(found.short))


def _widest(rooms: list[_outlines.Room], length: float, highest: float) -> float:
    """Return the greatest width of a rectangle of this length, by halving: it falls with the height."""
    low, high = 0.0, highest
    for _ in range(60):
        middle = (low + high) / 2
        if _outlines.longest(rooms, middle)[1] >= length:
            low = middle
        else:
            high = middle
    return low


def _saw_cuts(piece: _Standing, kerf: float) -> tuple[list[SawCut], float]:
    """Return the cuts in their order and the area of glass that the blade takes [m2]."""
    if any(piece.short):
        return [], 0.0
    left, right, bottom, top = piece.x, piece.x + piece.length, piece.y, piece.y + piece.width
    plans = [
        ("first end", "x", left, -1, left),
        ("second end", "x", right, 1, piece.length),
        ("far edge", "y", top, 1, top),
        ("datum edge", "y", bottom, -1, piece.width),
    ]
    glass = Polygon(piece.points)
    cuts: list[SawCut] = []
    dust = 0.0
    for name, axis, at, sign, setting in plans:
        x1, y1, x2, y2 = glass.bounds
        low, high = (x1, x2) if axis == "x" else (y1, y2)
        most = high - at if sign > 0 else at - low
        if most < _REMOVES:
            continue
        waste = (at, high + 1) if sign > 0 else (low - 1, at)
        blade = (at, at + kerf) if sign > 0 else (at - kerf, at)
        dust += float(glass.intersection(_band(axis, *blade)).area)
        glass = glass.difference(_band(axis, *waste))
        if glass.geom_type != "Polygon":  # a hollow outline falls apart: the part with the rectangle stays
            finished = box(left, bottom, right, top)
            glass = max(glass.geoms, key=lambda part: part.intersection(finished).area)
        x1, y1, x2, y2 = glass.bounds
        made = [cut.name for cut in cuts]
        guide = "datum edge" if axis == "x" or not made else made[-1]
        cuts.append(
            SawCut(
                name=name,
                guide=guide,
                start=(at, y1) if axis == "x" else (x1, at),
                end=(at, y2) if axis == "x" else (x2, at),
                setting=setting,
                most=most,
                ground=most < kerf,
                remaining=tuple((float(x), float(y)) for x, y in list(glass.exterior.coords)[:-1]),
            )
        )
    return cuts, dust


def _band(axis: str, low: float, high: float) -> Polygon:
    far = 20.0
    return box(low, -far, high, far) if axis == "x" else box(-far, low, far, high)


# ------------------------------------------------------------------------------------ back to the blank


@dataclass(frozen=True)
class BlankBefore:
    """What must be cut, fired and weighed for a size after cold work.

    Attributes
    ----------
    length, width : float
        Size to cut [m].
    thickness : float
        Thickness of sheet in all [m]: the glass that draws in makes the piece thicker.
    mass : float
        Mass of the blank and of the fired piece [kg].
    finished : float
        Mass of the finished piece, holes taken out [kg].
    """

    length: float
    width: float
    thickness: float
    mass: float
    finished: float


def blank_before(
    length: float,
    width: float,
    thickness: float,
    density: float,
    allowance: Allowance,
    *,
    faces: float = 0.0,
    holes: Sequence[float] = (),
) -> BlankBefore:
    """Return the blank for a size after cold work, fired mass = rho (l + 2 trim)(w + 2 trim)(t + faces).

    Parameters
    ----------
    length, width : float
        Finished size [m], above 0 to 2.
    thickness : float
        Finished thickness [m], 1e-3 to 0.15.
    density : float
        Density of the glass [kg/m3], 1500 to 8000.
    allowance : Allowance
        What an edge draws in while hot and what is trimmed off it cold.
    faces : float
        What is ground off both faces together [m], 0 to 0.02.
    holes : sequence
        Diameters of the holes that are drilled [m], 0.5e-3 to 0.5.

    Returns
    -------
    BlankBefore
        Size to cut [m] and masses [kg].

    Raises
    ------
    ValueError
        If a number is out of range, or the holes are more than the piece.

    Notes
    -----
    Trimming takes glass away; drawing in only moves it, so a blank that draws in by much may be thinner.

    Examples
    --------
    >>> from kilncalc.cutting import Allowance
    >>> blank = blank_before(0.240, 0.180, 0.006, 2500, Allowance(draw_in=2e-3, trim=1.5e-3), faces=0.2e-3)
    >>> round(blank.length, 6), round(blank.width, 6), round(blank.thickness, 5), round(blank.mass, 3)
    (0.247, 0.187, 0.00597, 0.689)
    """
    t = scalar_in_range("thickness", thickness, "m", 1e-3, 0.15)
    rho = scalar_in_range("density", density, "kg/m3", 1500.0, 8000.0)
    ground = scalar_in_range("faces", faces, "m", 0.0, 0.02)
    diameters = in_range("holes", list(holes), "m", 0.5e-3, 0.5)
    cut_length, cut_width = blank_size(length, width, allowance)
    trimmed = allowance.edges * allowance.trim
    mass = rho * (length + trimmed) * (width + trimmed) * (t + ground)
    finished = rho * t * (length * width - float((pi * diameters**2 / 4).sum()))
    if finished <= 0:
        raise ValueError("the holes take away all of the piece")
    sheet = mass / (rho * cut_length * cut_width)
    return BlankBefore(float(cut_length), float(cut_width), float(sheet), float(mass), float(finished))


def _pair(name: str, values: ArrayLike, low: float, high: float, *, open_low: bool) -> tuple[float, float]:
    pair = in_range(name, values, "m", low, high, open_low=open_low)
    if pair.shape != (2,):
        raise ValueError(f"{name} must be a length and a width in m, got {pair.size} numbers")
    return float(pair[0]), float(pair[1])
