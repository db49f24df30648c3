"""After the kiln: square it, drill it, hang it, grind and polish it.

Sawing: `square_up`, `corners_from_diagonals`; the blank it takes: `blank_before`. Holes: `hole_limits`,
`check_holes`, `paired_holes`, `drill_speed`, `drill_plan`, `hanging_load`. Grinding: `grit_size`, `damage`,
`damage_left`, `polish_time`, `preston_factor`, `grit_sequence`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from math import hypot, pi

import numpy as np
from shapely import Point, Polygon, box

from kilncalc import _outlines
from kilncalc._ranges import SAME_LENGTH, ArrayLike, in_range, like_input, scalar_in_range
from kilncalc._tables import Row, named, rows
from kilncalc.cutting import Allowance, blank_size

GRAVITY = 9.80665
"""Standard gravity [m/s2]."""

_STRAIGHT = 0.1e-3
"""Edges whose departures from straight differ by less than this [m] are equally straight."""

_SET_OUT = 0.05e-3
"""A limit for holes missed by less than this [m] is kept; 1/16 in stands as 1.6 mm in one of them."""

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
            f"nothing is left of the piece: {rounded * 1e3:.4g} mm off its datum edge is too much"
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
    """

    squared: Squared
    made: int

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
    lengths = in_range("sides", sides, "m", 0.0, 5.0, open_low=True)
    across = in_range("diagonals", diagonals, "m", 0.0, 8.0, open_low=True)
    if lengths.shape != (4,) or across.shape != (2,):
        raise ValueError(
            f"give four sides and two diagonals, got {lengths.size} sides and {across.size} diagonals"
        )
    allowed = scalar_in_range("tolerance", tolerance, "m", 0.0, 0.05)
    corners = _outlines.quadrilateral([float(side) for side in lengths], float(across[0]))
    other = _outlines.distance(corners[1], corners[3])
    off = float(across[1]) - other
    if abs(off) > allowed:
        raise ValueError(
            f"the diagonals contradict the sides: with these sides and AC of {across[0] * 1e3:.1f} mm, BD "
            f"would be {other * 1e3:.1f} mm, but {across[1] * 1e3:.1f} mm was measured, "
            f"{abs(off) * 1e3:.1f} mm {'more' if off > 0 else 'less'}; measure again"
        )
    return corners


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


# ------------------------------------------------------------------------------------------------- holes


@dataclass(frozen=True)
class Hole:
    """A round hole.

    Parameters
    ----------
    x, y : float
        Where its centre is [m], -5 to 5.
    diameter : float
        Its diameter [m], 0.5e-3 to 0.5.

    Raises
    ------
    ValueError
        If a number is out of range.

    Examples
    --------
    >>> Hole(0.020, 0.045, 0.008).diameter
    0.008
    """

    x: float
    y: float
    diameter: float

    def __post_init__(self) -> None:
        scalar_in_range("x of a hole", self.x, "m", -5.0, 5.0)
        scalar_in_range("y of a hole", self.y, "m", -5.0, 5.0)
        scalar_in_range("diameter of a hole", self.diameter, "m", 0.5e-3, 0.5)


@dataclass(frozen=True)
class HoleLimits:
    """Least sizes and distances of round holes by one standard, for one thickness of glass.

    Attributes
    ----------
    standard : str
        Its name.
    diameter : float
        Least diameter [m].
    edge : float
        Least distance from the rim of a hole to the edge of the glass [m].
    between : float
        Least distance from rim to rim of two holes [m].
    corner : float
        Least distance from the rim of a hole to a corner of the glass [m].
    """

    standard: str
    diameter: float
    edge: float
    between: float
    corner: float


HOLE_STANDARDS = ("EN 12150-1", "ASTM C1048")
"""The standards whose limits for holes are known."""


def hole_limits(thickness: float, standard: str) -> HoleLimits:
    """Return the least sizes and distances of holes, each the greater of n t + plus and a least value.

    Parameters
    ----------
    thickness : float
        Thickness t of the glass [m], 1e-3 to 0.1.
    standard : str
        "EN 12150-1" or "ASTM C1048".

    Returns
    -------
    HoleLimits
        Four limits [m], distances from the rim of the hole.

    Raises
    ------
    ValueError
        If the thickness is out of range or the standard unknown.

    Notes
    -----
    Both are written for glass that is to be toughened, where a hole too near an edge breaks in the
    furnace. For annealed craft glass they are guidance, not a verdict. Table `hole_rules.csv`.

    Examples
    --------
    >>> limits = hole_limits(0.006, "EN 12150-1")
    >>> limits.edge, limits.corner
    (0.012, 0.036)

    References
    ----------
    EN 12150-1; ASTM C1048.
    """
    t = scalar_in_range("thickness", thickness, "m", 1e-3, 0.1)
    if standard not in HOLE_STANDARDS:
        raise ValueError(f"there is no standard {standard!r} here; there are: {', '.join(HOLE_STANDARDS)}")
    values = {
        row["rule"]: round(
            max(float(row["thicknesses"]) * t + float(row["plus_mm"]) * 1e-3, float(row["least_mm"]) * 1e-3),
            9,
        )
        for row in rows("hole_rules.csv")
        if row["standard"] == standard
    }
    return HoleLimits(standard, **values)


@dataclass(frozen=True)
class HoleRule:
    """One limit held against one hole.

    Attributes
    ----------
    hole : int
        Number of the hole, from 1.
    rule : str
        "diameter", "edge", "between", "corner" or "hollow".
    other : int
        For "between" the number of the other hole, for "corner" that of the corner, for "hollow" that of
        the hollow, all from 1; otherwise 0.
    found : float
        What was found, from the rim of the hole [m]; negative where the rim lies outside.
    least : float
        What the standard asks for [m].
    """

    hole: int
    rule: str
    other: int
    found: float
    least: float

    @property
    def missing(self) -> float:
        """What is missing [m]; 0 where the limit is kept within 0.05 mm: no hole is set out more exactly."""
        short = self.least - self.found
        return short if short > _SET_OUT else 0.0


@dataclass(frozen=True)
class HoleCheck:
    """All limits of a standard held against all holes of a piece.

    Attributes
    ----------
    outline : tuple of tuple of float
        Corners of the piece [m].
    holes : tuple of Hole
        Its holes.
    limits : HoleLimits
        What the standard asks for.
    rules : tuple of HoleRule
        Every limit and hole, the nearest corner and hollow of each, and every two holes.
    """

    outline: tuple[tuple[float, float], ...]
    holes: tuple[Hole, ...]
    limits: HoleLimits
    rules: tuple[HoleRule, ...]

    @property
    def missed(self) -> tuple[HoleRule, ...]:
        """Those that are not kept."""
        return tuple(rule for rule in self.rules if rule.missing)

    def worst(self, name: str) -> HoleRule:
        """Return the hole that comes nearest to a limit, or misses it by most.

        Parameters
        ----------
        name : str
            A `rule` of `HoleRule` that this check holds.

        Returns
        -------
        HoleRule
            The limit and what was found.
        """
        return min(
            (rule for rule in self.rules if rule.rule == name), key=lambda rule: rule.found - rule.least
        )


def check_holes(
    outline: ArrayLike,
    holes: Sequence[Hole],
    thickness: float,
    standard: str,
    *,
    hollows: Sequence[ArrayLike] = (),
) -> HoleCheck:
    """Return every limit of a standard beside what the holes of a piece keep, rim distance = centre - d/2.

    Parameters
    ----------
    outline : array
        Corners of the piece around it [m], -5 to 5.
    holes : sequence of Hole
        The holes, up to 50.
    thickness : float
        Thickness of the glass [m], 1e-3 to 0.1.
    standard : str
        "EN 12150-1" or "ASTM C1048".
    hollows : sequence of arrays
        Outlines of hollows formed in the piece, seen from the front [m], -5 to 5. Their sides are held to
        the limit for an edge: our own choice, no standard speaks of them.

    Returns
    -------
    HoleCheck
        The limits and, for each hole, what was found [m].

    Raises
    ------
    ValueError
        If a number is out of range, or a hole is larger than the piece or lies outside it.

    Notes
    -----
    A corner is where the outline turns by more than 20 degrees. Limits are for glass to be toughened:
    guidance here.

    Examples
    --------
    >>> sign = [(0, 0), (0.300, 0), (0.300, 0.090), (0, 0.090)]
    >>> check = check_holes(sign, [Hole(0.020, 0.020, 0.008)], 0.006, "EN 12150-1")
    >>> [(rule.rule, round(rule.missing * 1e3, 1)) for rule in check.missed]
    [('corner', 11.7)]
    """
    points = _outlines.checked(outline)
    limits = hole_limits(thickness, standard)
    if not 1 <= len(holes) <= 50:
        raise ValueError(f"holes must be a list of 1 to 50 holes, got {len(holes)}")
    glass = Polygon(points)
    x1, y1, x2, y2 = glass.bounds
    corners = _sharp_corners(points)
    inner = [Polygon(_outlines.checked(hollow)) for hollow in hollows]
    rules = []
    for number, hole in enumerate(holes, 1):
        radius, centre = hole.diameter / 2, Point(hole.x, hole.y)
        if hole.diameter >= min(x2 - x1, y2 - y1):
            raise ValueError(
                f"hole {number} is {hole.diameter * 1e3:.4g} mm wide, the piece only "
                f"{min(x2 - x1, y2 - y1) * 1e3:.4g} mm"
            )
        if not glass.contains(centre):
            raise ValueError(
                f"hole {number} at x {hole.x * 1e3:.4g} mm, y {hole.y * 1e3:.4g} mm lies outside the piece"
            )

        def rule(
            name: str, other: int, to_centre: float, least: float, n: int = number, r: float = radius
        ) -> HoleRule:
            return HoleRule(n, name, other, to_centre - r, least)

        rules.append(HoleRule(number, "diameter", 0, hole.diameter, limits.diameter))
        rules.append(rule("edge", 0, float(glass.exterior.distance(centre)), limits.edge))
        for name, least, places in (
            ("corner", limits.corner, [hypot(x - hole.x, y - hole.y) for x, y in corners]),
            ("hollow", limits.edge, [float(hollow.exterior.distance(centre)) for hollow in inner]),
        ):
            if places:
                nearest = int(np.argmin(places))
                rules.append(rule(name, nearest + 1, places[nearest], least))
    for (one, first), (other, second) in combinations(enumerate(holes, 1), 2):
        apart = hypot(first.x - second.x, first.y - second.y)
        rims = apart - (first.diameter + second.diameter) / 2
        rules.append(HoleRule(one, "between", other, rims, limits.between))
    return HoleCheck(tuple((float(x), float(y)) for x, y in points), tuple(holes), limits, tuple(rules))


def paired_holes(
    left: float, right: float, inset: float, height: float, diameter: float
) -> tuple[Hole, Hole]:
    """Return two hanging holes symmetric to the clear width of a hollow, at left + inset and right - inset.

    Parameters
    ----------
    left, right : float
        Where the clear width of the hollow begins and ends, from the same edge [m], -5 to 5.
    inset : float
        Distance of each centre from its end of the clear width [m], 0 to 2.
    height : float
        Where the centres lie across it [m], -5 to 5.
    diameter : float
        Diameter of each hole [m], 0.5e-3 to 0.5.

    Returns
    -------
    tuple of two Hole
        The left and the right hole.

    Raises
    ------
    ValueError
        If a number is out of range, or the two holes meet.

    Notes
    -----
    Common practice, no source: the hollow decides, not the piece. A hollow that came out 6 mm off the
    middle of its piece, with holes set out from the piece, hangs crooked on its fixing.

    Examples
    --------
    >>> one, other = paired_holes(0.036, 0.270, 0.040, 0.120, 0.006)
    >>> round(one.x, 6), round(other.x, 6)
    (0.076, 0.23)
    """
    start = scalar_in_range("left", left, "m", -5.0, 5.0)
    end = scalar_in_range("right", right, "m", -5.0, 5.0)
    step = scalar_in_range("inset", inset, "m", 0.0, 2.0)
    one, other = Hole(start + step, height, diameter), Hole(end - step, height, diameter)
    if other.x - one.x <= diameter:
        raise ValueError(
            f"with {step * 1e3:.4g} mm from each end of a clear width of {(end - start) * 1e3:.4g} mm the "
            "two holes meet"
        )
    return one, other


def drill_speed(diameter: ArrayLike, surface_speed: ArrayLike) -> ArrayLike:
    """Return the speed of a drill, n = 60 v/(pi D).

    Parameters
    ----------
    diameter : float or array
        Outer diameter D of the drill, not its radius [m], 0.5e-3 to 0.5.
    surface_speed : float or array
        Speed v of its rim over the glass [m/s], 0.05 to 10.

    Returns
    -------
    float or array
        Speed of the spindle [rev/min], shape to which the two broadcast.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    For diamond drills in glass by hand 0.5 to 1.5 m/s, always wet (common practice, no source). What the
    maker of the drill says comes first.

    Examples
    --------
    >>> round(drill_speed(0.010, 0.8))
    1528
    """
    d = in_range("diameter", diameter, "m", 0.5e-3, 0.5)
    v = in_range("surface_speed", surface_speed, "m/s", 0.05, 10.0)
    return like_input(60 * v / (pi * d))


@dataclass(frozen=True)
class DrillStep:
    """One drill through the glass.

    Attributes
    ----------
    diameter : float
        Its outer diameter [m].
    speed : float
        Speed of the spindle [rev/min].
    time : float
        Time until it is through, slow at the exit [s].
    """

    diameter: float
    speed: float
    time: float


def drill_plan(
    diameter: float,
    thickness: float,
    *,
    surface_speed: float = 0.8,
    feed: float = 5e-3 / 60,
    owned: Sequence[float] = (),
) -> tuple[DrillStep, ...]:
    """Return the drills of one hole with speed and time, t = 0.8 t_glass/feed + 0.2 t_glass/(feed/3).

    Parameters
    ----------
    diameter : float
        Diameter of the hole [m], 0.5e-3 to 0.5.
    thickness : float
        Thickness of the glass [m], 1e-3 to 0.1.
    surface_speed : float
        Speed of the rim over the glass [m/s], 0.05 to 10.
    feed : float
        How fast the drill goes down [m/s], 1e-6 to 1e-3.
    owned : sequence
        Smaller drills at hand [m], 0.5e-3 to 0.5; the largest that is at most half the hole drills the
        pilot. Without one the hole is drilled at once, as with a core drill.

    Returns
    -------
    tuple of DrillStep
        Pilot, if any, and drill.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    The last fifth of the thickness is drilled at a third of the feed, for there the glass breaks out. Feed,
    share and pilot are a choice of ours; common practice, no source: started dry and light to keep the
    mark, then under water, lifted every few seconds, turned over or backed for the exit.

    Examples
    --------
    >>> steps = drill_plan(0.010, 0.006, owned=[0.004])
    >>> [(step.diameter, round(step.speed), round(step.time)) for step in steps]
    [(0.004, 3820, 101), (0.01, 1528, 101)]
    """
    d = scalar_in_range("diameter", diameter, "m", 0.5e-3, 0.5)
    t = scalar_in_range("thickness", thickness, "m", 1e-3, 0.1)
    f = scalar_in_range("feed", feed, "m/s", 1e-6, 1e-3)
    smaller = [float(x) for x in in_range("owned", list(owned), "m", 0.5e-3, 0.5) if x <= d / 2]
    time = 0.8 * t / f + 0.2 * t / (f / 3)
    return tuple(
        DrillStep(drill, drill_speed(drill, surface_speed), time) for drill in (*sorted(smaller)[-1:], d)
    )


@dataclass(frozen=True)
class DrillChart:
    """The speed of drills of all sizes, and one of them.

    Attributes
    ----------
    surface_speed : float
        Speed of the rim over the glass [m/s].
    step : DrillStep
        The one drill.
    diameters : array
        Diameters [m].
    speeds : array
        Speed of the spindle for each [rev/min].
    usual : tuple of two arrays
        The same for the slow and for the fast end of what is usual [rev/min].
    """

    surface_speed: float
    step: DrillStep
    diameters: np.ndarray
    speeds: np.ndarray
    usual: tuple[np.ndarray, np.ndarray]


USUAL_SURFACE_SPEEDS = (0.5, 1.5)
"""Slow and fast end for diamond drills in glass by hand [m/s]; common practice, no source."""


def drill_chart(diameter: float, surface_speed: float, thickness: float) -> DrillChart:
    """Return one drill among drills of 3 to 60 mm at the same surface speed, n = 60 v/(pi D).

    Parameters
    ----------
    diameter : float
        Outer diameter of the drill [m], 0.5e-3 to 0.5.
    surface_speed : float
        Speed of its rim over the glass [m/s], 0.05 to 10.
    thickness : float
        Thickness of the glass [m], 1e-3 to 0.1.

    Returns
    -------
    DrillChart
        The drill with speed [rev/min] and time [s], and the curves.

    Raises
    ------
    ValueError
        If a number is out of range.

    Examples
    --------
    >>> chart = drill_chart(0.010, 0.8, 0.006)
    >>> round(chart.step.speed), round(chart.speeds[0])
    (1528, 5093)
    """
    (step,) = drill_plan(diameter, thickness, surface_speed=surface_speed)
    sizes = np.geomspace(3e-3, 60e-3, 60)
    slow, fast = (drill_speed(sizes, speed) for speed in USUAL_SURFACE_SPEEDS)
    return DrillChart(surface_speed, step, sizes, drill_speed(sizes, surface_speed), (slow, fast))


@dataclass(frozen=True)
class HangingLoad:
    """What hangs on two fixings.

    Attributes
    ----------
    piece : float
        Mass of the piece [kg].
    contents : float
        Mass of what it can hold [kg].
    left, right : float
        Pull on the left and on the right fixing, contents included [N].
    """

    piece: float
    contents: float
    left: float
    right: float


def hanging_load(
    mass: float, hollow: float, left: float, right: float, *, density: float = 1000.0
) -> HangingLoad:
    """Return the pull on two fixings of a hanging piece with its hollow full, F_left = m g b/(a + b).

    Parameters
    ----------
    mass : float
        Mass of the piece [kg], above 0 to 50.
    hollow : float
        Volume of all hollows that could fill [m3], 0 to 0.05.
    left, right : float
        Level distance a, b from the centre of gravity to the left and to the right fixing [m], 0 to 2.
    density : float
        Density of what is in it [kg/m3], 0 to 20e3; water unless told otherwise.

    Returns
    -------
    HangingLoad
        Masses [kg] and pulls [N].

    Raises
    ------
    ValueError
        If a number is out of range, or both fixings are in one place.

    Notes
    -----
    By the law of the lever; the nearer fixing carries more. A stiff piece on three or four fixings rests
    on two of them, so give the two that carry. Strength of fixing and wall is not in it.

    Examples
    --------
    >>> load = hanging_load(1.2, 300e-6, 0.100, 0.100)
    >>> round(load.left, 2), round(load.right, 2)
    (7.35, 7.35)
    """
    m = scalar_in_range("mass", mass, "kg", 0.0, 50.0, open_low=True)
    contents = scalar_in_range("hollow", hollow, "m3", 0.0, 0.05)
    contents *= scalar_in_range("density", density, "kg/m3", 0.0, 20e3)
    a = scalar_in_range("left", left, "m", 0.0, 2.0)
    b = scalar_in_range("right", right, "m", 0.0, 2.0)
    if a + b <= 0:
        raise ValueError("left and right are both 0: two fixings in one place are one")
    weight = (m + contents) * GRAVITY
    return HangingLoad(m, contents, weight * b / (a + b), weight * a / (a + b))


def _sharp_corners(points: np.ndarray) -> list[tuple[float, float]]:
    before, after = np.roll(points, 1, axis=0), np.roll(points, -1, axis=0)
    one, other = points - before, after - points
    cross = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    turn = np.degrees(np.abs(np.arctan2(cross, (one * other).sum(axis=1))))
    return [(float(x), float(y)) for x, y in points[turn > 20]]


# -------------------------------------------------------------------------------------------------- grit


def grit_size(label: str) -> float:
    """Return the mean grain size of an abrasive from the label it is sold under.

    Parameters
    ----------
    label : str
        The standard and the number: "F240", "P400", "JIS 400", "CAMI 400", a diamond grit as "D126", or
        "cerium oxide". A row of `grits.csv`.

    Returns
    -------
    float
        Mean grain size [m].

    Raises
    ------
    ValueError
        If the label has no standard (the message lists what it may be), or is not in the table.

    Notes
    -----
    The standards measure differently (sieves, sedimentation, electric resistance), so sizes of different
    standards compare within 10 % or so.

    Examples
    --------
    >>> [round(grit_size(label) * 1e6, 1) for label in ("F400", "CAMI 400", "JIS 400", "P400")]
    [17.3, 23.0, 30.0, 35.0]

    References
    ----------
    ISO 8486-1, -2 (F); ISO 6344 (P); JIS R6001; ANSI B74.18 (CAMI); ISO 6106 (D).
    """
    return float(_grit(label)["size_um"]) * 1e-6


def mesh_size(number: ArrayLike) -> ArrayLike:
    """Return the hole of a woven sieve with N wires to the inch, 0.6 x 25.4 mm/N.

    Parameters
    ----------
    number : float or array
        Number N of wires to the inch [-], 4 to 10e3.

    Returns
    -------
    float or array
        Width of a hole [m], shape of `number`.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    The wires take about 0.4 of the inch: within 16 % of the sieves of ASTM E11 from No. 20 to No. 400. Grains
    finer than about 50 um are not sieved at all; their numbers are names.

    Examples
    --------
    >>> round(mesh_size(100) * 1e6, 1)
    152.4
    """
    return like_input(0.6 * 25.4e-3 / in_range("number", number, "", 4.0, 10e3))


@dataclass(frozen=True)
class GritChart:
    """The grain sizes of several standards over the number of the grit, beside the rule of the sieve.

    Attributes
    ----------
    number : float
        The number that is looked at [-].
    sizes : dict
        Label with that number to grain size [m].
    series : dict
        Standard's letters to the numbers [-] and sizes [m] of its grits.
    mesh : float
        What the rule of the sieve gives for the number [m].
    """

    number: int
    sizes: dict[str, float]
    series: dict[str, tuple[np.ndarray, np.ndarray]]
    mesh: float


def grit_chart(number: int) -> GritChart:
    """Return what a number means in each standard, beside a sieve's hole of 0.6 x 25.4 mm/N.

    Parameters
    ----------
    number : int
        Number of the grit [-], 4 to 10000.

    Returns
    -------
    GritChart
        Sizes [m] by label and by standard.

    Raises
    ------
    ValueError
        If the number is out of range.

    Examples
    --------
    >>> {label: round(size * 1e6, 1) for label, size in grit_chart(400).sizes.items()}
    {'F400': 17.3, 'P400': 35.0, 'CAMI 400': 23.0, 'JIS 400': 30.0}
    """
    mesh = float(mesh_size(number))
    found: dict[str, list[tuple[float, float]]] = {}
    sizes = {}
    for label in grit_labels():
        letters = label.rstrip("0123456789").strip()
        if letters == label or letters == "D":  # named by a size, not by a count of wires
            continue
        count = int(label[len(letters) :])
        found.setdefault(letters, []).append((count, grit_size(label)))
        if count == number:
            sizes[label] = grit_size(label)
    series = {
        letters: (np.array([count for count, _ in each], dtype=float), np.array([size for _, size in each]))
        for letters, each in found.items()
    }
    return GritChart(number, sizes, series, mesh)


def grit_labels() -> tuple[str, ...]:
    """Return all labels of the table of grits, in its order.

    Returns
    -------
    tuple of str
        Labels that `grit_size` knows.

    Examples
    --------
    >>> "F240" in grit_labels()
    True
    """
    return tuple(row["name"] for row in rows("grits.csv"))


@dataclass(frozen=True)
class Damage:
    """How deep cracks reach below a ground surface: between these two depths.

    Attributes
    ----------
    least, most : float or array
        Depth [m].
    """

    least: ArrayLike
    most: ArrayLike


def damage(size: ArrayLike) -> Damage:
    """Return how deep cracks reach below a surface ground with grains L, 0.3 L^0.68 to 2 L^0.85, all in um.

    Parameters
    ----------
    size : float or array
        Grain size L [m], 0.3e-6 to 3e-3.

    Returns
    -------
    Damage
        Least and greatest depth [m], shape of `size`.

    Raises
    ------
    ValueError
        If a size is out of range.

    Notes
    -----
    Bounds of measurements on optical glasses ground with grains of some um to some 100 um; coarser is an
    extrapolation. The greatest depth is about the size of the grain, 1 to 2 times for fine ones: the
    trade's rule to take off one to three times the size of the grain before.

    Examples
    --------
    >>> cracks = damage(100e-6)
    >>> round(cracks.least * 1e6, 1), round(cracks.most * 1e6, 1)
    (6.9, 100.2)

    References
    ----------
    J. C. Lambropoulos 2000, From abrasive size to subsurface damage in grinding (from memory).
    """
    um = in_range("size", size, "m", 0.3e-6, 3e-3) * 1e6
    return Damage(like_input(0.3 * um**0.68 * 1e-6), like_input(2.0 * um**0.85 * 1e-6))


@dataclass(frozen=True)
class Ground:
    """A surface after one step of grinding.

    Attributes
    ----------
    label : str
        The grit of the step.
    size : float
        Its grain size [m].
    removed : float
        What the step took off [m].
    own : float
        How deep its own cracks reach at most [m].
    left : float
        How deep the deepest crack reaches, whichever step made it [m].
    culprit : str
        The grit that made it.
    """

    label: str
    size: float
    removed: float
    own: float
    left: float
    culprit: str


def damage_left(labels: Sequence[str], removals: Sequence[float]) -> tuple[Ground, ...]:
    """Return how deep the cracks of every grit reach after each step, left = max(own, before - removed).

    Parameters
    ----------
    labels : sequence of str
        Grits in their order, from coarse to fine, the first one what the surface was made with.
    removals : sequence
        What each step after the first takes off [m], 0 to 0.02.

    Returns
    -------
    tuple of Ground
        The surface after each step [m], the first one as it was found.

    Raises
    ------
    ValueError
        If a step is coarser than the one before it, the numbers do not match, or one is out of range.

    Examples
    --------
    F80 followed by F400 that takes off 100 um, though cracks reach 169 um:

    >>> ground = damage_left(["F80", "F400"], [100e-6])[-1]
    >>> round(ground.left * 1e6), ground.culprit
    (69, 'F80')
    """
    sizes = [grit_size(label) for label in labels]
    if len(sizes) < 2 or len(removals) != len(sizes) - 1:
        raise ValueError(
            f"{len(sizes)} grits need {max(len(sizes) - 1, 1)} removals, one for each step after the first, "
            f"got {len(removals)}"
        )
    taken = [float(r) for r in in_range("removals", list(removals), "m", 0.0, 0.02)]
    for k in range(1, len(sizes)):
        if sizes[k] >= sizes[k - 1]:
            raise ValueError(
                f"{_size_words(labels[k])} after {_size_words(labels[k - 1])} goes coarser or stays: each "
                "step must be finer than the one before"
            )
    own = damage(np.array(sizes)).most
    found = [Ground(labels[0], sizes[0], 0.0, float(own[0]), float(own[0]), labels[0])]
    for label, size, cracks, removed in zip(labels[1:], sizes[1:], own[1:], taken, strict=True):
        rest = found[-1].left - removed
        deeper = rest > cracks
        left, culprit = (rest, found[-1].culprit) if deeper else (float(cracks), label)
        found.append(Ground(label, size, removed, float(cracks), left, culprit))
    return tuple(found)


_WEAR = 2e-6
"""Preston's coefficient over the size of the grain [1/(Pa m)]: a first guess, within a factor of 3."""

_UNSURE = 3.0


@dataclass(frozen=True)
class PolishTime:
    """How long a removal takes.

    Attributes
    ----------
    least, likely, most : float
        Time [s]; a factor of 3 either way until a time has been measured, then the same.
    """

    least: float
    likely: float
    most: float


def polish_time(
    removal: float, size: float, pressure: float, speed: float, *, factor: float | None = None
) -> PolishTime:
    """Return how long grinding or polishing takes, by Preston's law: t = z/(K p v) with K = 2e-6 L factor.

    Parameters
    ----------
    removal : float
        What must come off [m], 0 to 0.02.
    size : float
        Grain size L [m], 0.3e-6 to 3e-3.
    pressure : float
        Pressure p on the glass [Pa], 100 to 5e5.
    speed : float
        Speed v of the abrasive over the glass [m/s], 0.01 to 50.
    factor : float, optional
        From `preston_factor` [-], 0.01 to 100; left out: 1, and the time is uncertain by 3 either way.

    Returns
    -------
    PolishTime
        Least, likely and greatest time [s].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    That removal goes with pressure and speed is Preston's law; that it goes with the size of the grain, and
    how fast, is a round number from memory. Grit that is worn or dry, or an edge instead of a face, changes
    it by more than 3. One measured time is worth more than the formula.

    Examples
    --------
    >>> time = polish_time(50e-6, 109e-6, 7e3, 2.0)
    >>> round(time.least), round(time.likely), round(time.most)
    (5, 16, 49)

    References
    ----------
    F. W. Preston 1927, J. Soc. Glass Technol. 11, 214.
    """
    z = scalar_in_range("removal", removal, "m", 0.0, 0.02)
    grain = scalar_in_range("size", size, "m", 0.3e-6, 3e-3)
    p = scalar_in_range("pressure", pressure, "Pa", 100.0, 5e5)
    v = scalar_in_range("speed", speed, "m/s", 0.01, 50.0)
    k = 1.0 if factor is None else scalar_in_range("factor", factor, "", 0.01, 100.0)
    likely = z / (_WEAR * grain * k * p * v)
    spread = _UNSURE if factor is None else 1.0
    return PolishTime(likely / spread, likely, likely * spread)


def preston_factor(removal: float, size: float, pressure: float, speed: float, time: float) -> float:
    """Return by how much a workshop grinds faster than the first guess, z/(t K p v).

    Parameters
    ----------
    removal : float
        What came off, measured with callipers [m], 1e-6 to 0.02.
    size : float
        Grain size [m], 0.3e-6 to 3e-3.
    pressure : float
        Pressure on the glass [Pa], 100 to 5e5.
    speed : float
        Speed of the abrasive over the glass [m/s], 0.01 to 50.
    time : float
        How long it took [s], 1 to 1e5.

    Returns
    -------
    float
        Factor for `polish_time` [-].

    Raises
    ------
    ValueError
        If a number is out of range.

    Examples
    --------
    >>> round(preston_factor(50e-6, 109e-6, 7e3, 2.0, time=32.8), 2)
    0.5
    """
    scalar_in_range("removal", removal, "m", 1e-6, 0.02)
    taken = scalar_in_range("time", time, "s", 1.0, 1e5)
    return polish_time(removal, size, pressure, speed).likely / taken


@dataclass(frozen=True)
class GritStep:
    """One step of a grit sequence.

    Attributes
    ----------
    label : str
        The grit.
    size : float
        Its grain size [m].
    removal : float
        What it must take off, so that nothing is left of the step before [m].
    time : PolishTime
        How long that takes [s].
    worth : float
        What the whole sequence takes longer without this step [s]; infinite for the last.
    """

    label: str
    size: float
    removal: float
    time: PolishTime
    worth: float


@dataclass(frozen=True)
class GritSequence:
    """The grits of a workshop that bring a surface to its finish in the least time.

    Attributes
    ----------
    steps : tuple of GritStep
        The steps in their order.
    skipped : tuple of tuple
        Grits that could be left out, and what the whole would take longer with each [s].
    time : float
        Likely time of all steps, with the washing between them [s].
    removal : float
        What is taken off in all [m].
    """

    steps: tuple[GritStep, ...]
    skipped: tuple[tuple[str, float], ...]
    time: float
    removal: float


def grit_sequence(
    start: str,
    finish: str,
    owned: Sequence[str],
    *,
    marks: float = 0.0,
    tool: str = "flat lap",
    washing: float = 300.0,
    factor: float | None = None,
) -> GritSequence:
    """Return the fastest way from one surface to another with the grits that a workshop owns.

    Each step takes off the cracks of the step before, 2 L^0.85, in the time of Preston's law; between two
    steps everything is washed. The shortest way through the sizes is found by dynamic programming.

    Parameters
    ----------
    start : str
        The grit that made the surface, such as that of the saw blade, "D181".
    finish : str
        The last grit, one of those owned or not.
    owned : sequence of str
        Labels of the grits at hand, standards mixed as they come, up to 40.
    marks : float
        Depth of what must come off first [m], 0 to 0.02: saw marks, or a skin of crystals; the cracks of
        `start` if they are deeper.
    tool : str
        "flat lap", "wheel", "wet belt" or "hand pad", for pressure and speed.
    washing : float
        Time for washing tool, hands and piece before each step [s], 0 to 3600.
    factor : float, optional
        From `preston_factor` [-], 0.01 to 100, once a time has been measured.

    Returns
    -------
    GritSequence
        Steps with removal [m] and time [s], and why each is worth it or can be skipped.

    Raises
    ------
    ValueError
        If the finish is not finer than the start, a label or tool is unknown, or a number is out of range.

    Notes
    -----
    Without washing nearly every grit is worth its step. Grits coarser than the start are left alone, deep
    marks or not: they make deeper cracks than they find. For deep marks give the coarser one as the start.

    Examples
    --------
    >>> sequence = grit_sequence("F80", "F600", ["F120", "F220", "F400", "F600"])
    >>> [(step.label, round(step.removal * 1e6)) for step in sequence.steps]
    [('F220', 169), ('F600', 63)]
    """
    first, last = grit_size(start), grit_size(finish)
    if last >= first:
        raise ValueError(
            f"{_size_words(finish)} is not finer than {_size_words(start)}: a sequence goes from coarse to "
            "fine"
        )
    depth = scalar_in_range("marks", marks, "m", 0.0, 0.02)
    wash = scalar_in_range("washing", washing, "s", 0.0, 3600.0)
    if len(owned) > 40:
        raise ValueError(f"owned lists {len(owned)} grits; allowed are up to 40")
    pressure, speed = tool_settings(tool)
    between = {grit_size(label): label for label in owned if last < grit_size(label) < first}
    sizes = [first, *sorted(between, reverse=True), last]
    labels = [start, *(between[size] for size in sizes[1:-1]), finish]
    removals = [float(cracks) for cracks in damage(np.array(sizes)).most]
    removals[0] = max(removals[0], depth)
    times = [
        [polish_time(removals[k], sizes[to], pressure, speed, factor=factor) for to in range(len(sizes))]
        for k in range(len(sizes))
    ]

    def shortest(without: int | None = None, through: int | None = None) -> tuple[float, list[int]]:
        reached: list[tuple[float, list[int]]] = [(0.0, [0])]
        for to in range(1, len(sizes)):
            ways = [
                (total + times[path[-1]][to].likely + wash, [*path, to])
                for total, path in reached
                if path[-1] != without and not (through and path[-1] < through < to)
            ]
            reached.append(min(ways))
        return reached[-1]

    total, path = shortest()
    last_step = len(sizes) - 1
    steps = tuple(
        GritStep(
            labels[to],
            sizes[to],
            removals[k],
            times[k][to],
            float("inf") if to == last_step else shortest(without=to)[0] - total,
        )
        for k, to in pairwise(path)
    )
    skipped = tuple((labels[k], shortest(through=k)[0] - total) for k in range(1, last_step) if k not in path)
    return GritSequence(steps, skipped, total, sum(step.removal for step in steps))


def tool_settings(tool: str) -> tuple[float, float]:
    """Return the usual pressure and speed of a tool of the cold shop, from `grinding_tools.csv`.

    Parameters
    ----------
    tool : str
        A name of that table, such as "flat lap".

    Returns
    -------
    tuple of two floats
        Pressure on the glass [Pa] and speed of the abrasive over it [m/s].

    Raises
    ------
    ValueError
        If there is no such tool; the message lists the names.

    Examples
    --------
    >>> tool_settings("flat lap")
    (7000.0, 2.0)
    """
    row = named(tool, rows("grinding_tools.csv"), "tool")
    return float(row["pressure_kPa"]) * 1e3, float(row["speed_m_per_s"])


def _grit(label: str) -> Row:
    if not isinstance(label, str):
        raise ValueError(f'the label of a grit is text with its standard, such as "F400", got {label!r}')
    table = {_plain(row["name"]): row for row in rows("grits.csv")}
    if _plain(label) in table:
        return table[_plain(label)]
    number = _plain(label).lstrip("#")
    if number.isdigit():
        may_be = [row for key, row in table.items() if key.lstrip("abcdefghijklmnopqrstuvwxyz") == number]
        if may_be:
            names = ", ".join(f"{row['name']} is {float(row['size_um']):g} µm" for row in may_be)
            raise ValueError(
                f"“{label}” has no standard, so it is no size: {names}. Which is on the packet? "
                "Write the standard with the number"
            )
    standards = "F240, P400, JIS 1000, CAMI 400, D126 (diamond), cerium oxide"
    raise ValueError(f"there is no grit “{label}” in the table; labels look like these: {standards}")


def _plain(label: str) -> str:
    return "".join(label.split()).casefold()


def _size_words(label: str) -> str:
    return f"{label} ({float(_grit(label)['size_um']):g} µm)"


def _pair(name: str, values: ArrayLike, low: float, high: float, *, open_low: bool) -> tuple[float, float]:
    pair = in_range(name, values, "m", low, high, open_low=open_low)
    if pair.shape != (2,):
        raise ValueError(f"{name} must be a length and a width in m, got {pair.size} numbers")
    return float(pair[0]), float(pair[1])
