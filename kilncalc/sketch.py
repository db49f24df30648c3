"""From the sketch to the gram: the area of a drawing in three ways, the frit for it, its rods."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isclose, sqrt

import numpy as np

from kilncalc._ranges import ArrayLike, in_range, scalar_in_range, whole_in_range
from kilncalc.handcutting import parts_to_cut
from kilncalc.uncertainty import spread
from kilncalc.volume import sieve_opening, sieve_yield, stringer_length, texture_mass

MOST_POINTS = 500
"""Points of an outline that can be used [-]."""

MOST_SQUARES = 40_000
"""Squares of a paper that are counted [-]."""

_TOUCHES = 1e-9  # m: a line along a grid line passes through no square


# ------------------------------------------------------------------ areas


@dataclass(frozen=True)
class Area:
    """An area and how far it may be off.

    Attributes
    ----------
    value : float
        The area [m2].
    uncertainty : float
        How far it may be off, as a standard uncertainty [m2].
    """

    value: float
    uncertainty: float


def traced_area(points: Sequence[tuple[float, float]], off: float = 0.0) -> Area:
    """Return the area inside points traced round a drawing, A = |sum of (x_i y_i+1 - x_i+1 y_i)|/2.

    Points off by e each way make it uncertain by u^2 = e^2/4 sum of |p_i+1 - p_i-1|^2.

    Parameters
    ----------
    points : sequence of pairs
        Where the points lie, in the order of the outline; the last is joined to the first [m], -10 to 10.
    off : float
        How far a point may be off in each direction [m], 0 to 0.02.

    Returns
    -------
    Area
        The area and its uncertainty [m2].

    Raises
    ------
    ValueError
        For fewer than three points, more than `MOST_POINTS`, or an outline that crosses itself.

    Notes
    -----
    Straight lines cut the curves between the points: a circle traced with 12 points comes out 4.5 % too
    small, with 24 points 1.1 %. Set more of them where the outline is bent.

    Examples
    --------
    >>> print(f"{traced_area([(0, 0), (0.08, 0), (0.08, 0.05), (0, 0.05)]).value * 1e4:.1f} cm2")
    40.0 cm2
    """
    x, y = _outline(points)
    error = scalar_in_range("off", off, "m", 0.0, 0.02)
    after, before = (np.roll(x, -1), np.roll(y, -1)), (np.roll(x, 1), np.roll(y, 1))
    twice = float((x * after[1] - after[0] * y).sum())
    across = float(((after[0] - before[0]) ** 2 + (after[1] - before[1]) ** 2).sum())
    return Area(abs(twice) / 2, error / 2 * sqrt(across))


def counted_area(whole: int, cut: int, side: float) -> Area:
    """Return the area of a drawing on squared paper, A = (whole + cut/2) side^2.

    A cut square holds anything between nothing and all: u = side^2 sqrt(cut/12).

    Parameters
    ----------
    whole : int
        Squares that lie inside the outline [-], 0 to 40000.
    cut : int
        Squares that the outline passes through [-], 0 to 40000.
    side : float
        Side of a square [m], 0.5e-3 to 0.1.

    Returns
    -------
    Area
        The area and its uncertainty [m2].

    Raises
    ------
    ValueError
        If a number is outside its range, or none is counted.

    Notes
    -----
    However the paper lies, it comes out one square too large on the average (of the squares that a rounded
    outline cuts, a little less than half lies inside): take squares so small that one does not matter.

    Examples
    --------
    >>> area = counted_area(38, 22, 0.010)
    >>> print(f"{area.value * 1e4:.1f} +- {area.uncertainty * 1e4:.1f} cm2")
    49.0 +- 1.4 cm2

    References
    ----------
    Santalo 1976, Integral Geometry and Geometric Probability (kinematic formula; from memory): squares met
    and squares inside number A/side^2 + 1 +- 2 P/(pi side) on the average, P the length of the outline.
    """
    inside = whole_in_range("whole", whole, 0, MOST_SQUARES)
    through = whole_in_range("cut", cut, 0, MOST_SQUARES)
    square = scalar_in_range("side", side, "m", 0.5e-3, 0.1) ** 2
    if inside + through == 0:
        raise ValueError("whole and cut are both 0: no square was counted")
    return Area((inside + through / 2) * square, square * sqrt(through / 12))


def weighed_area(cutout: float, card: float, card_area: float, balance_error: float = 0.0) -> Area:
    """Return the area of a drawing cut out of card, A = card_area cutout/card.

    Parameters
    ----------
    cutout : float
        Mass of what is cut out [kg], > 0, at most `card`.
    card : float
        Mass of the whole card before [kg], > 0, at most 10.
    card_area : float
        Area of the whole card [m2], > 0, at most 4.
    balance_error : float
        How far a reading of the balance may be off [kg], 0 to 0.1.

    Returns
    -------
    Area
        The area and its uncertainty [m2].

    Raises
    ------
    ValueError
        If a number is outside its range, or the cut-out is heavier than the card.

    Notes
    -----
    Card is even within 1 to 2 % (from memory); a kitchen balance that reads whole grams is too coarse for
    a small drawing: use heavy card, or draw larger and divide by the square of the enlargement.

    Examples
    --------
    >>> area = weighed_area(0.0031, 0.0125, 0.210 * 0.297, 0.0001)
    >>> print(f"{area.value * 1e4:.0f} +- {area.uncertainty * 1e4:.0f} cm2")
    155 +- 5 cm2
    """
    whole = scalar_in_range("card", card, "kg", 0.0, 10.0, open_low=True)
    part = scalar_in_range("cutout", cutout, "kg", 0.0, whole, open_low=True)
    size = scalar_in_range("card_area", card_area, "m2", 0.0, 4.0, open_low=True)
    error = scalar_in_range("balance_error", balance_error, "kg", 0.0, 0.1)
    found = spread(
        lambda cutout, card: size * cutout / card,
        {"cutout": part, "card": whole},
        {"cutout": error, "card": min(error, 0.5 * whole)},
    )
    return Area(float(found.value), float(found.uncertainty))


@dataclass(frozen=True)
class Squares:
    """A drawing on squared paper.

    Attributes
    ----------
    side : float
        Side of a square [m].
    whole, cut : ndarray
        Lower left corners of the squares inside the outline, and of those it passes through (square, 2) [m].
    """

    side: float
    whole: np.ndarray
    cut: np.ndarray


def count_squares(points: Sequence[tuple[float, float]], side: float) -> Squares:
    """Return which squares of a paper lie inside an outline, and through which it passes.

    Parameters
    ----------
    points : sequence of pairs
        The outline, as for `traced_area`; the paper's lines pass through (0, 0) [m], -10 to 10.
    side : float
        Side of a square [m], 0.5e-3 to 0.1.

    Returns
    -------
    Squares
        Where they lie [m].

    Raises
    ------
    ValueError
        As `traced_area`, or for more than `MOST_SQUARES` squares.

    Examples
    --------
    >>> triangle = count_squares([(0, 0), (0.04, 0), (0, 0.04)], 0.01)
    >>> len(triangle.whole), len(triangle.cut)
    (6, 4)
    """
    x, y = _outline(points)
    step = scalar_in_range("side", side, "m", 0.5e-3, 0.1)
    columns, rows = (np.arange(np.floor(part.min() / step), np.ceil(part.max() / step)) for part in (x, y))
    if columns.size * rows.size > MOST_SQUARES:
        raise ValueError(
            f"the drawing covers {columns.size * rows.size} squares of {1000 * step:g} mm; up to "
            f"{MOST_SQUARES} can be counted. Take larger squares"
        )
    corner = np.stack(np.meshgrid(columns, rows), axis=-1).reshape(-1, 2) * step
    # the share of each line, from begin to end, that lies within the strip of a column or row
    begin = np.stack([x, y], axis=-1)
    way = np.roll(begin, -1, axis=0) - begin
    enter, leave = np.zeros((2, len(corner), len(x)))
    leave += 1.0
    for axis in (0, 1):
        low = corner[:, axis, None] + _TOUCHES - begin[:, axis]
        high = corner[:, axis, None] + step - _TOUCHES - begin[:, axis]
        along = np.where(way[:, axis] == 0, 1e-300, way[:, axis])
        first, last = np.sort([low / along, high / along], axis=0)
        enter, leave = np.maximum(enter, first), np.minimum(leave, last)
    through = (leave > enter).any(axis=1)
    inside = ~through & _inside(corner + step / 2, begin, way)
    return Squares(step, corner[inside], corner[through])


def _inside(places: np.ndarray, begin: np.ndarray, way: np.ndarray) -> np.ndarray:
    """Return which places lie inside an outline: a ray to the right crosses it an odd number of times."""
    height = places[:, 1, None] - begin[:, 1]
    crosses = (height >= 0) != (height - way[:, 1] >= 0)
    slope = way[:, 0] / np.where(way[:, 1] == 0, 1.0, way[:, 1])
    right = begin[:, 0] + height * slope > places[:, 0, None]
    inside: np.ndarray = (crosses & right).sum(axis=1) % 2 == 1
    return inside


def _outline(points: Sequence[tuple[float, float]]) -> tuple[np.ndarray, np.ndarray]:
    """Return the corners of an outline that does not cross itself."""
    corners = in_range("points", np.asarray(points, dtype=float), "m", -10.0, 10.0)
    if corners.ndim != 2 or corners.shape[1] != 2 or not 3 <= len(corners) <= MOST_POINTS:
        raise ValueError(
            f"points must be 3 to {MOST_POINTS} pairs (x, y), got an array of shape {corners.shape}"
        )
    if np.array_equal(corners[0], corners[-1]):
        corners = corners[:-1]
    x, y = corners.T
    begin, end = corners, np.roll(corners, -1, axis=0)

    def side_of(place: np.ndarray) -> np.ndarray:
        """On which side of each line (row) each place (column) lies."""
        line = end - begin
        apart = place[None, :, :] - begin[:, None, :]
        return np.sign(line[:, 0, None] * apart[..., 1] - line[:, 1, None] * apart[..., 0])

    parted = side_of(begin) * side_of(end) < 0  # the ends of a line lie on both sides of another
    crossing = np.argwhere(parted & parted.T)
    if crossing.size:
        one, other = (int(number) + 1 for number in crossing[0])
        raise ValueError(
            f"the outline crosses itself: the line after point {one} and the line after point {other}. Trace "
            "the points in their order round the drawing, and each closed shape by itself"
        )
    return x, y


# ------------------------------------------------------------------ frit


@dataclass(frozen=True)
class Frit:
    """One of several frits of a texture.

    Parameters
    ----------
    name : str
        What it is called.
    share : float
        Share of the area it is strewn on [-], > 0, at most 1.
    through, on : str
        The sieves it fell through and stayed on, as in sieves.csv, such as "No. 8" and "No. 16".

    Raises
    ------
    ValueError
        For a sieve that is not there, sieves in the wrong order, or a share out of range.

    Examples
    --------
    >>> Frit("medium", 0.7, "No. 6", "No. 12").grain
    0.002525
    """

    name: str
    share: float
    through: str
    on: str

    def __post_init__(self) -> None:
        scalar_in_range(f"share of {self.name}", self.share, "", 0.0, 1.0, open_low=True)
        if sieve_opening(self.through) <= sieve_opening(self.on):
            raise ValueError(
                f"{self.name} cannot fall through {self.through} and stay on {self.on}: the second sieve is "
                "not finer. Were the two swapped?"
            )

    @property
    def grain(self) -> float:
        """Size of its grains, midway between the two openings [m]."""
        return (sieve_opening(self.through) + sieve_opening(self.on)) / 2


@dataclass(frozen=True)
class WeighedOut:
    """What to weigh out of one frit.

    Attributes
    ----------
    frit : Frit
        Which.
    mass : float
        On the piece [kg].
    uncertainty : float
        How far that may be off because the area is [kg].
    raw : float
        Of crushed glass before sieving [kg].
    kept : float
        Share of the crushed glass that the two sieves keep [-].
    """

    frit: Frit
    mass: float
    uncertainty: float
    raw: float
    kept: float


def weigh_out(
    area: Area,
    frits: Sequence[Frit],
    coverage: float,
    packing: float,
    density: float,
    openings: ArrayLike,
    passing: ArrayLike,
) -> tuple[WeighedOut, ...]:
    """Return what a texture of several frits weighs, and the crushed glass to weigh out before sieving.

    Each takes its share s of the area, m = rho p c d s A; crushed, m divided by the share its sieves keep.

    Parameters
    ----------
    area : Area
        Of the drawing.
    frits : sequence of Frit
        The frits; their shares add up to 1. Each is crushed and sieved from a glass of its own.
    coverage : float
        Share of the area that is strewn [-], 0 to 0.9.
    packing : float
        Share of the strewn layer, one grain high, that is glass [-], 0.2 to 0.74.
    density : float
        Of the glass [kg/m3], 2000 to 7000.
    openings : sequence
        Openings at which the crushed glass was measured [m], 20e-6 to 0.125.
    passing : sequence
        Share of it that passes each of them, from `volume.cumulative_passing` [-], 0 to 1.

    Returns
    -------
    tuple of WeighedOut
        One a frit [kg].

    Raises
    ------
    ValueError
        If the shares do not add up to 1, a sieve lies outside the measured curve, or a number out of range.

    Examples
    --------
    >>> frits = (Frit("medium", 0.7, "No. 6", "No. 12"), Frit("fine", 0.3, "No. 12", "No. 20"))
    >>> curve = [3.35e-3, 1.7e-3, 0.85e-3], [0.9, 0.45, 0.2]
    >>> for part in weigh_out(Area(0.006, 0.0002), frits, 0.6, 0.5, 2500, *curve):
    ...     print(part.frit.name, round(part.mass * 1e3, 2), round(part.raw * 1e3, 1))
    medium 7.95 17.7
    fine 1.72 6.9
    """
    total = sum(frit.share for frit in frits)
    if not isclose(total, 1.0, abs_tol=1e-6):
        shares = " + ".join(f"{frit.share:g}" for frit in frits)
        raise ValueError(f"the shares of the frits must add up to 1, and {shares} = {total:g}")
    strewn = scalar_in_range("coverage", coverage, "", 0.0, 0.9)
    parts = []
    for frit in frits:
        mass = float(texture_mass(area.value * frit.share, frit.grain, strewn, packing, density))
        kept = float(
            sieve_yield(1.0, openings, passing, sieve_opening(frit.on), sieve_opening(frit.through)).kept
        )
        if kept <= 0:
            raise ValueError(f"the crushed glass holds no {frit.name}: crush it finer or coarser")
        off = mass * area.uncertainty / area.value
        parts.append(WeighedOut(frit, mass, off, mass / kept, kept))
    return tuple(parts)


@dataclass(frozen=True)
class Sketch:
    """A drawing measured in three ways, and the frit for it.

    Attributes
    ----------
    points : tuple of pairs
        Its outline [m].
    squares : Squares
        On squared paper.
    traced, counted, weighed : Area
        Its area in three ways [m2].
    frits : tuple of WeighedOut
        What to weigh out for the traced area.
    """

    points: tuple[tuple[float, float], ...]
    squares: Squares
    traced: Area
    counted: Area
    weighed: Area
    frits: tuple[WeighedOut, ...]


def measure_sketch(
    points: Sequence[tuple[float, float]],
    side: float,
    off: float,
    balance_error: float,
    card_weight: float,
    card_area: float,
    frits: Sequence[Frit],
    *,
    coverage: float,
    packing: float,
    density: float,
    openings: ArrayLike,
    passing: ArrayLike,
) -> Sketch:
    """Return how sure each way of measuring a drawing is, and the frit that it takes.

    Parameters
    ----------
    points : sequence of pairs
        Its outline [m], -10 to 10.
    side : float
        Side of the paper's squares [m], 0.5e-3 to 0.1.
    off : float
        How far a traced point may be off in each direction [m], 0 to 0.02.
    balance_error : float
        How far a reading of the balance may be off [kg], 0 to 0.1.
    card_weight : float
        Mass of the card per area [kg/m2], 0.05 to 5.
    card_area : float
        Area of the card it is cut from [m2], at least that of the drawing, at most 4.
    frits : sequence of Frit
        Frits, whose shares add up to 1.
    coverage, packing : float
        As for `weigh_out` [-], 0 to 0.9, 0.2 to 0.74.
    density : float
        Of the glass [kg/m3], 2000 to 7000.
    openings, passing : sequence
        Curve of the crushed glass [m], [-], 20e-6 to 0.125, 0 to 1.

    Returns
    -------
    Sketch
        Three areas [m2], and what to weigh out [kg].

    Raises
    ------
    ValueError
        As the functions it is made of, or where the drawing is larger than the card.

    Examples
    --------
    >>> frits = (Frit("medium", 1.0, "No. 6", "No. 12"),)
    >>> corners = [(0, 0), (0.08, 0), (0.08, 0.08), (0, 0.08)]
    >>> square = measure_sketch(
    ...     corners, 0.01, 0.001, 0.0001, 0.3, 0.0624, frits,
    ...     coverage=0.6, packing=0.5, density=2500, openings=[3.35e-3, 1.7e-3], passing=[0.9, 0.45],
    ... )
    >>> [round(way.value * 1e4, 1) for way in (square.traced, square.counted, square.weighed)]
    [64.0, 64.0, 64.0]
    """
    squares = count_squares(points, side)
    traced = traced_area(points, off)
    weight = scalar_in_range("card_weight", card_weight, "kg/m2", 0.05, 5.0)
    size = scalar_in_range("card_area", card_area, "m2", traced.value, 4.0)
    return Sketch(
        points=tuple((float(x), float(y)) for x, y in points),
        squares=squares,
        traced=traced,
        counted=counted_area(len(squares.whole), len(squares.cut), side),
        weighed=weighed_area(traced.value * weight, size * weight, size, balance_error),
        frits=weigh_out(traced, frits, coverage, packing, density, openings, passing),
    )


LEAF = (
    *((0.00, 0.00), (0.06, -0.07), (0.14, -0.13), (0.23, -0.15), (0.31, -0.13), (0.38, -0.17), (0.47, -0.20)),
    *((0.56, -0.18), (0.63, -0.14), (0.71, -0.15), (0.80, -0.13), (0.89, -0.08), (0.96, -0.03), (1.00, 0.01)),
    *((0.95, 0.05), (0.87, 0.10), (0.78, 0.13), (0.70, 0.13), (0.63, 0.17), (0.55, 0.21), (0.46, 0.22)),
    *((0.37, 0.18), (0.30, 0.14), (0.22, 0.15), (0.13, 0.13), (0.05, 0.07)),
)
"""A leaf drawn by hand, as points in shares of its length; invented."""


# ------------------------------------------------------------------ rods and stringers


@dataclass(frozen=True)
class Lines:
    """The rods, or the stringer, for a layout of lines.

    Attributes
    ----------
    lines, to_cut : int
        Lines of the layout, and how many to cut for them.
    line, rod : float
        Length of a line and of a rod [m].
    a_rod : int
        Lines that a rod gives.
    rods : int
        Rods to have ready.
    metres : float
        Length of all that is cut [m].
    drawn_from : float
        Length of thick rod that is drawn out for so much stringer [m].
    """

    lines: int
    to_cut: int
    line: float
    rod: float
    a_rod: int
    rods: int
    metres: float
    drawn_from: float


def rods_for(
    lines: int,
    line: float,
    breakage: float,
    rod: float = 0.5,
    thickness: float = 0.002,
    rod_thickness: float = 0.006,
    loss: float = 0.1,
) -> Lines:
    """Return how many rods a layout of equal lines takes, or how much thick rod if they are drawn.

    Cut: `handcutting.parts_to_cut`; a rod gives the whole part of rod/line; for so many metres of stringer
    metres (d/D)^2/(1 - loss) of thick rod are drawn out.

    Parameters
    ----------
    lines : int
        Lines of the layout [-], 1 to 1000.
    line : float
        Length of each [m], 0.003 to 2.
    breakage : float
        Share of the cuts that break or go astray [-], 0 to 0.9.
    rod : float
        Length of a rod or of a straight stringer [m], 0.003 to 2.
    thickness : float
        Of the lines [m], 0.2e-3 to 0.02.
    rod_thickness : float
        Of the thick rod that is drawn out for them [m], `thickness` to 0.05.
    loss : float
        Share of the thick rod that ends as stub and waste [-], 0 to 0.9.

    Returns
    -------
    Lines
        Numbers and lengths [m].

    Raises
    ------
    ValueError
        If a number is outside its range, or a line is longer than a rod.

    Examples
    --------
    >>> grid = rods_for(24, 0.120, 0.10)
    >>> grid.to_cut, grid.a_rod, grid.rods, round(grid.metres, 2)
    (27, 4, 7, 3.24)
    """
    wanted = whole_in_range("lines", lines, 1, 1000)
    length = scalar_in_range("line", line, "m", 0.003, 2.0)
    whole = scalar_in_range("rod", rod, "m", 0.003, 2.0)
    fine = scalar_in_range("thickness", thickness, "m", 0.2e-3, 0.02)
    if length > whole * (1 + 1e-9):
        raise ValueError(
            f"a line is {1000 * length:g} mm long and a rod {1000 * whole:g} mm: lay it of several pieces, "
            "and count those"
        )
    cut = parts_to_cut(wanted, breakage)
    a_rod = int(whole / length * (1 + 1e-9))
    metres = cut * length
    stringer = float(stringer_length(rod_thickness, 1.0, fine, loss))
    return Lines(wanted, cut, length, whole, a_rod, -(-cut // a_rod), metres, metres / stringer)
