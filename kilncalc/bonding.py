"""Cold bonding: how wide a bead spreads, how much adhesive it takes, how long it cures."""

from dataclasses import dataclass
from math import pi

import numpy as np

from kilncalc._ranges import ArrayLike, in_range, like_input, scalar_in_range

DAY = 86400.0

WIDEST = 0.1
"""Width of a pressed bead up to which its cure is computed [m]."""
"""Seconds in a day."""


@dataclass(frozen=True)
class Bead:
    """A bead of adhesive pressed flat between two pieces.

    Attributes
    ----------
    width : float
        Width to which it spreads [m].
    volume : float
        Volume of adhesive [m3].
    """

    width: float
    volume: float


def pressed_bead(diameter: float, length: float, gap: float) -> Bead:
    """Return the width of a round bead pressed to a gap, w = pi d^2/(4 g), and its volume pi d^2 l/4.

    Parameters
    ----------
    diameter : float
        Diameter d of the bead as laid [m], 0.5e-3 to 0.03.
    length : float
        Its length l [m], 1e-3 to 10.
    gap : float
        Gap g that stays between the two pieces [m], 0.05e-3 to below `diameter`.

    Returns
    -------
    Bead
        Width [m] and volume [m3].

    Raises
    ------
    ValueError
        If a number is out of range, or the gap is wider than the bead.

    Examples
    --------
    A bead of 4 mm pressed to 1 mm, 200 mm long:

    >>> bead = pressed_bead(0.004, 0.200, 0.001)
    >>> round(bead.width * 1e3, 2), round(bead.volume * 1e6, 2)
    (12.57, 2.51)
    """
    d = scalar_in_range("diameter", diameter, "m", 0.5e-3, 0.03)
    l = scalar_in_range("length", length, "m", 1e-3, 10.0)
    g = scalar_in_range("gap", gap, "m", 0.05e-3, 0.03)
    if g >= d:
        raise ValueError(
            f"gap is {g * 1e3:g} mm, not below the bead of {d * 1e3:g} mm: it would not touch both pieces"
        )
    area = pi * d**2 / 4
    return Bead(area / g, area * l)


def cure_time(width: ArrayLike, first_day: float = 2.5e-3) -> ArrayLike:
    """Return how long a bead cures that takes moisture from its two rims, t = (w / (2 z))^2 days.

    Parameters
    ----------
    width : float or array
        Width w of the pressed bead [m], 0.5e-3 to 0.1.
    first_day : float
        Depth z to which the adhesive cures on the first day [m], 0.5e-3 to 10e-3; read it on the tube.

    Returns
    -------
    float or array
        Time until the middle is cured [s], shape of `width`.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    Moisture diffuses through what has cured, so depth goes with the root of time. Glass lets none through:
    a wide bead between two panes takes weeks. 2 to 3 mm on the first day is usual for silicone (common
    practice, no source). Adhesives that cure by light or by mixing do not follow it.

    Examples
    --------
    >>> round(cure_time(0.010) / DAY, 6)
    4.0
    """
    w = in_range("width", width, "m", 0.5e-3, WIDEST)
    z = scalar_in_range("first_day", first_day, "m", 0.5e-3, 10e-3)
    return like_input((w / (2 * z)) ** 2 * DAY)


@dataclass(frozen=True)
class Bond:
    """A bead pressed between two panes, and how it cures.

    Attributes
    ----------
    diameter, length, gap : float
        Bead as laid, its length, and the gap that stays [m].
    bead : Bead
        Width [m] and volume [m3].
    first_day : float
        Depth to which it cures on the first day [m].
    cured_days : float
        Number of days until its middle is cured [-].
    days : array
        Numbers of days from laying it [-].
    depths : array
        Depth from each rim to which it is cured by then [m].
    """

    diameter: float
    length: float
    gap: float
    bead: Bead
    first_day: float
    cured_days: float
    days: np.ndarray
    depths: np.ndarray


def bond(diameter: float, length: float, gap: float, first_day: float = 2.5e-3) -> Bond:
    """Return a pressed bead and its cure from both rims, depth z sqrt(t/day) until half the width.

    Parameters
    ----------
    diameter : float
        Diameter of the bead as laid [m], 0.5e-3 to 0.03.
    length : float
        Its length [m], 1e-3 to 10.
    gap : float
        Gap that stays between the two pieces [m], 0.05e-3 to below `diameter`.
    first_day : float
        Depth z to which the adhesive cures on the first day [m], 0.5e-3 to 10e-3; read it on the tube.

    Returns
    -------
    Bond
        Width [m], volume [m3], days [-] and the curve.

    Raises
    ------
    ValueError
        If a number is out of range, or the gap is wider than the bead, or the bead would spread wider than
        0.1 m.

    Examples
    --------
    >>> pressed = bond(0.004, 0.080, 0.0005)
    >>> round(pressed.bead.width * 1e3, 1), round(pressed.cured_days, 1)
    (25.1, 25.3)
    """
    bead = pressed_bead(diameter, length, gap)
    if bead.width > WIDEST:
        raise ValueError(
            f"pressed to a gap of {1000 * gap:g} mm, a bead of {1000 * diameter:g} mm spreads "
            f"{1000 * bead.width:.0f} mm wide; its cure is computed for at most {1000 * WIDEST:g} mm. Lay a "
            "thinner bead, or leave a wider gap"
        )
    cured = float(cure_time(bead.width, first_day)) / DAY
    shares = np.linspace(0.0, 1.0, 61)
    return Bond(diameter, length, gap, bead, first_day, cured, cured * shares**2, bead.width / 2 * shares)
