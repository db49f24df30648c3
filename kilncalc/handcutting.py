"""Cutting by hand before the kiln: curves that run, circles, small parts, and how many to cut."""

from dataclasses import dataclass
from math import acos, asin, ceil, comb, cos, floor, pi, sqrt, tan

from kilncalc._ranges import SAME_LENGTH, scalar_in_range, whole_in_range


def least_radius(thickness: float, *, inside: bool = False) -> float:
    """Return the smallest radius of a score that still runs by hand, 8 t outside and 16 t inside.

    Parameters
    ----------
    thickness : float
        Thickness t of the sheet [m], 1e-3 to 0.015.
    inside : bool
        True for a hollow curve, from which the waste has to come out.

    Returns
    -------
    float
        Radius [m].

    Raises
    ------
    ValueError
        If the thickness is out of range.

    Notes
    -----
    Common practice, no source: a choice of ours, for a practised hand and fresh scores. Find your own with
    a few offcuts.

    Examples
    --------
    >>> least_radius(0.003), least_radius(0.003, inside=True)
    (0.024, 0.048)
    """
    t = scalar_in_range("thickness", thickness, "m", 1e-3, 0.015)
    return round((16 if inside else 8) * t, 9)


@dataclass(frozen=True)
class Bite:
    """A hollow curve cut into an edge.

    Attributes
    ----------
    chord : float
        Width of the curve at the edge of the sheet [m].
    radius : float
        Radius of the curve [m].
    least : float
        Least radius that runs [m].
    runs : bool
        Whether it runs at once.
    depths : tuple of float
        Depth of each score from the first relief cut to the curve itself [m].
    """

    chord: float
    radius: float
    least: float
    runs: bool
    depths: tuple[float, ...]


def bite(chord: float, depth: float, thickness: float) -> Bite:
    """Return the relief cuts of a hollow curve, radius r = c^2/(8 s) + s/2.

    Parameters
    ----------
    chord : float
        Width c of the curve at the edge of the sheet [m], 5e-3 to 2.
    depth : float
        Depth s of the curve [m], 0.5e-3 to 1, at most half of `chord`.
    thickness : float
        Thickness of the sheet [m], 1e-3 to 0.015.

    Returns
    -------
    Bite
        Radius [m] and depths of the scores [m]; one score where the curve runs at once.

    Raises
    ------
    ValueError
        If a number is out of range, or the curve is deeper than a half circle.

    Notes
    -----
    Where the radius is below `least_radius`, the waste comes out in slices: each no deeper than the arc of
    least radius on the same chord. Common practice, no source.

    Examples
    --------
    >>> curve = bite(0.060, 0.024, 0.003)
    >>> round(curve.radius, 5), [round(depth * 1e3, 2) for depth in curve.depths]
    (0.03075, [8.0, 16.0, 24.0])
    """
    c = scalar_in_range("chord", chord, "m", 5e-3, 2.0)
    s = scalar_in_range("depth", depth, "m", 0.5e-3, 1.0)
    if s > c / 2 + SAME_LENGTH:
        raise ValueError(
            f"depth is {s * 1e3:.4g} mm, more than half of the chord of {c * 1e3:.4g} mm: deeper than a half "
            "circle the waste does not come out"
        )
    least = least_radius(thickness, inside=True)
    radius = c**2 / (8 * s) + s / 2
    if radius >= least - SAME_LENGTH:
        return Bite(c, radius, least, True, (s,))
    slice_ = least - sqrt(least**2 - c**2 / 4)
    count = ceil(s / slice_ - 1e-9)
    return Bite(c, radius, least, False, tuple(s * (k + 1) / count for k in range(count)))


@dataclass(frozen=True)
class Circle:
    """A disc cut by hand.

    Attributes
    ----------
    radius : float
        Its radius [m].
    runs : bool
        Whether its score runs by hand.
    tangents : int
        Number of straight cuts along its rim.
    stands : float
        How far the corners between them stand over the rim [m].
    waste : float
        Area between the straight cuts and the rim [m2].
    """

    radius: float
    runs: bool
    tangents: int
    stands: float
    waste: float


def cut_circle(radius: float, thickness: float, *, nip: float = 2e-3) -> Circle:
    """Return how a disc is cut by hand: n straight cuts leave corners r (1/cos(pi/n) - 1) high.

    Parameters
    ----------
    radius : float
        Radius r of the disc [m], 5e-3 to 1.
    thickness : float
        Thickness of the sheet [m], 1e-3 to 0.015.
    nip : float
        How high a corner may be nipped and ground away [m], 0.2e-3 to 0.01.

    Returns
    -------
    Circle
        Straight cuts, the corners they leave [m], waste [m2].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    A disc whose score runs (`least_radius`) is scored round and freed with four straight relief cuts to the
    edge of its square. A smaller one is cut straight all round, as many cuts as `nip` asks for, then
    nipped and ground.

    Examples
    --------
    >>> disc = cut_circle(0.015, 0.003)
    >>> disc.runs, disc.tangents, round(disc.stands * 1e3, 2)
    (False, 7, 1.65)
    """
    r = scalar_in_range("radius", radius, "m", 5e-3, 1.0)
    high = scalar_in_range("nip", nip, "m", 0.2e-3, 0.01)
    runs = r >= least_radius(thickness) - SAME_LENGTH
    count = 4 if runs else max(3, ceil(pi / acos(r / (r + high)) - 1e-9))
    stands = r * (1 / cos(pi / count) - 1)
    return Circle(r, runs, count, stands, r**2 * (count * tan(pi / count) - pi))


def wedges(radius: float, width: float) -> int:
    """Return how many equal wedges of at least a width a disc gives, n = pi / arcsin(w / 2r), rounded down.

    Parameters
    ----------
    radius : float
        Radius r of the disc [m], 5e-3 to 1.
    width : float
        Least width w of a wedge across its round side, corner to corner [m], 1e-3 to 2.

    Returns
    -------
    int
        Number of wedges, at least 2.

    Raises
    ------
    ValueError
        If a number is out of range, or the disc is narrower than the wedge.

    Notes
    -----
    Cut the disc in half, then each part in half, as far as the number allows: the middle breaks least.

    Examples
    --------
    >>> wedges(0.040, 0.030)
    8
    """
    r = scalar_in_range("radius", radius, "m", 5e-3, 1.0)
    w = scalar_in_range("width", width, "m", 1e-3, 2.0)
    if w > 2 * r:
        raise ValueError(f"width is {w * 1e3:.4g} mm, wider than the disc of {2 * r * 1e3:.4g} mm")
    return floor(pi / asin(w / (2 * r)) + 1e-9)


def chance(cut: int, wanted: int, breakage: float) -> float:
    """Return the chance that enough parts survive, sum over k >= wanted of C(n, k) (1 - b)^k b^(n - k).

    Parameters
    ----------
    cut : int
        Number n of parts that are cut [-], 1 to 2000.
    wanted : int
        Number of good parts wanted [-], 1 to 1000.
    breakage : float
        Share b of parts that break [-], 0 to 0.9.

    Returns
    -------
    float
        Chance [-], 0 to 1.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    Each part breaks by itself, independent of the others. A bad sheet or a blunt wheel breaks many.

    Examples
    --------
    >>> round(chance(5, 4, 0.2), 5)
    0.73728
    """
    n, k = whole_in_range("cut", cut, 1, 2000), whole_in_range("wanted", wanted, 1, 1000)
    b = scalar_in_range("breakage", breakage, "", 0.0, 0.9)
    return float(sum(comb(n, good) * (1 - b) ** good * b ** (n - good) for good in range(k, n + 1)))


def parts_to_cut(wanted: int, breakage: float, sure: float | None = None) -> int:
    """Return how many parts to cut, n = wanted/(1 - b) rounded up, or the least n that is as sure as asked.

    Parameters
    ----------
    wanted : int
        Number of good parts wanted [-], 1 to 1000.
    breakage : float
        Share b of parts that break [-], 0 to 0.9.
    sure : float, optional
        Chance of having enough [-], 0.5 to 0.999; left out: enough on the average.

    Returns
    -------
    int
        Number of parts to cut.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    Enough on the average is too few once in two to six times.

    Examples
    --------
    >>> parts_to_cut(24, 0.2), parts_to_cut(24, 0.2, sure=0.9)
    (30, 34)
    """
    k = whole_in_range("wanted", wanted, 1, 1000)
    b = scalar_in_range("breakage", breakage, "", 0.0, 0.9)
    count = ceil(k / (1 - b) - 1e-9)
    if sure is None:
        return count
    least = scalar_in_range("sure", sure, "", 0.5, 0.999)
    count = k
    while chance(count, k, b) < least:
        count += 1
        if count == 2000:
            raise ValueError(f"not even 2000 parts give {k} good ones with a breakage of {b:g}")
    return count


@dataclass(frozen=True)
class Enough:
    """How sure it is to have enough good parts, over the number that are cut.

    Attributes
    ----------
    wanted : int
        Number of good parts wanted [-].
    breakage : float
        Share of parts that break [-].
    counts : tuple of int
        Numbers of parts cut [-], from `wanted` up.
    chances : tuple of float
        Chance of enough for each [-].
    average : int
        Number that is enough on the average [-].
    sure : int
        Least number that is enough nine times in ten [-].
    """

    wanted: int
    breakage: float
    counts: tuple[int, ...]
    chances: tuple[float, ...]
    average: int
    sure: int


def enough(wanted: int, breakage: float) -> Enough:
    """Return the chance of enough good parts over the number that are cut, until it is sure.

    Parameters
    ----------
    wanted : int
        Number of good parts wanted [-], 1 to 500.
    breakage : float
        Share of parts that break [-], 0 to 0.9.

    Returns
    -------
    Enough
        Chances [-], and two ways to choose a number [-].

    Raises
    ------
    ValueError
        If a number is out of range.

    Examples
    --------
    >>> found = enough(24, 0.2)
    >>> found.average, found.sure, round(found.chances[found.average - 24], 2)
    (30, 34, 0.61)
    """
    k = whole_in_range("wanted", wanted, 1, 500)
    sure = parts_to_cut(k, breakage, sure=0.9)
    counts = tuple(range(k, max(sure, k + 8) + 5))
    return Enough(
        k,
        breakage,
        counts,
        tuple(chance(count, k, breakage) for count in counts),
        parts_to_cut(k, breakage),
        sure,
    )
