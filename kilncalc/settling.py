"""Where molten glass goes: how thick a pool comes to rest, and where the edge of a stack ends."""

from dataclasses import dataclass
from math import cos, pi, radians, sin, sqrt
from typing import Any

import numpy as np

from kilncalc._ranges import SAME_LENGTH, ArrayLike, in_range, like_input, scalar_in_range, whole_in_range
from kilncalc.materials import Glass

GRAVITY = 9.80665
"""Standard acceleration of gravity [m/s2] (CGPM 1901)."""

TIN_DENSITY = 6500.0
"""Density of liquid tin near 1000 degC [kg/m3]; from memory."""

TIN_TENSION = 0.50
"""Surface tension of liquid tin near 1000 degC [N/m]; from memory. The tension between glass and tin, which
nobody has measured well, is taken to be as large."""

FLOAT_THICKNESS = 7e-3
"""Thickness at which float glass comes to rest on tin [m]: about 7 mm, Pilkington 1969; from memory."""

_NARROWEST_POOL = 4.0
"""A pool of molten glass is flat in its middle if it is at least this many times wider than thick."""


def fused_thickness(volume: ArrayLike, area: ArrayLike) -> ArrayLike:
    """Return the thickness after a full fuse inside a given outline, t = V / A.

    Parameters
    ----------
    volume : float or array
        Volume of all glass inside the outline: its mass divided by its density [m3], 0 to 0.1.
    area : float or array
        Area of the outline that dams or the mould's wall hold [m2], above 0 to 4.

    Returns
    -------
    float or array
        Thickness [m], in the shape to which the arguments broadcast.

    Raises
    ------
    ValueError
        If an argument is out of range.

    Notes
    -----
    Volume is kept; air that was between the sheets is not glass. Without dams the outline changes too:
    `settled_size`.

    Examples
    --------
    Two sheets of 3.4 mm, and strips of the same glass over a quarter of the area:

    >>> round(fused_thickness(0.04 * (2 * 3.4e-3 + 0.25 * 3.4e-3), 0.04) * 1e3, 6)
    7.65
    """
    v = in_range("volume", volume, "m3", 0.0, 0.1)
    return like_input(v / in_range("area", area, "m2", 0.0, 4.0, open_low=True))


def settled_thickness(glass: Glass, contact_angle: ArrayLike) -> ArrayLike:
    """Return the thickness at which a wide pool of molten glass comes to rest on a shelf.

    h = 2 sqrt(gamma/(rho g)) sin(theta/2): weight, which spreads the pool, against surface tension.

    Parameters
    ----------
    glass : Glass
        The glass, for its surface tension gamma and its density rho.
    contact_angle : float or array
        Angle theta between shelf and edge, measured through the glass [degree], 1 to 180. More than 90 on
        what glass does not wet: about 120 gives the "about 6 mm" of the trade.

    Returns
    -------
    float or array
        Thickness [m], shape of `contact_angle`.

    Raises
    ------
    ValueError
        If the angle is out of range.

    Notes
    -----
    Of a pool much wider than thick, after so long a time that it moves no more. A real firing ends before:
    the value says which way the edge moves and where it would stop. The density is that of cold glass; hot
    glass is 3 to 4 % lighter and settles 2 % thicker. The contact angle on kiln wash or paper is not known to
    better than about 15 degrees, which is 5 % of the thickness. The 120 degrees for kiln wash are no
    measurement: they are fitted to the "about 6 mm" of the trade (common practice, no source).

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> round(settled_thickness(glass("kiln glass A"), 120) * 1e3, 2)
    6.16

    References
    ----------
    P.-G. de Gennes, F. Brochard-Wyart & D. Quere 2004, Capillarity and Wetting Phenomena, chapter 2.
    """
    theta = np.radians(_angle(contact_angle))
    return like_input(2 * _capillary_length(glass) * np.sin(theta / 2))


def edge_spread(glass: Glass, contact_angle: float) -> tuple[float, float]:
    """Return how far a rounded edge reaches beyond an upright one of the same volume: foot, widest place.

    The foot by a cos(theta/2), with a = sqrt(gamma/(rho g)); the widest place, where the slope phi is 90
    degrees, by x(90) - x(theta) more, if theta is above 90. x(phi) is that of `settled_edge`.

    Parameters
    ----------
    glass : Glass
        The glass, for its surface tension gamma and its density rho.
    contact_angle : float
        Angle theta between shelf and edge, measured through the glass [degree], 1 to 180.

    Returns
    -------
    tuple of two floats
        Where the glass meets the shelf, and its widest place, beyond the upright edge [m].

    Raises
    ------
    ValueError
        If the angle is out of range.

    Notes
    -----
    Of a straight edge. Under a rounded edge the section lacks a^2 sin(theta): the weight that the tension
    holds up along the line where glass meets shelf.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> [round(reach * 1e3, 2) for reach in edge_spread(glass("kiln glass A"), 120)]
    [1.78, 2.07]

    References
    ----------
    As for `settled_thickness`.
    """
    theta = radians(float(_angle(scalar_in_range("contact_angle", contact_angle, "degree", 1, 180))))
    a = _capillary_length(glass)
    foot = a * cos(theta / 2)
    bulge = float(_across(a, pi / 2) - _across(a, theta)) if theta > pi / 2 else 0.0
    return foot, foot + bulge


def settled_edge(glass: Glass, contact_angle: float, *, points: int = 60) -> tuple[np.ndarray, np.ndarray]:
    """Return the profile of the edge of a settled pool, from the shelf to where its top is flat.

    With the slope phi and a = sqrt(gamma/(rho g)): depth below the top y = 2 a sin(phi/2), and
    x = a [ln tan(phi/4) + 2 cos(phi/2)], the exact solution of Laplace's equation for a straight edge.

    Parameters
    ----------
    glass : Glass
        The glass, for its surface tension and its density.
    contact_angle : float
        Angle between shelf and edge, measured through the glass [degree], 1 to 180.
    points : int
        Number of points [-], 5 to 1000.

    Returns
    -------
    tuple of two arrays
        Distance from the line where the glass meets the shelf, outwards positive [m], and height above the
        shelf [m], each of shape (points,). The last point lies 1 % below the flat top.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    With an angle above 90 degrees the edge bulges out over the line where it stands.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> x, z = settled_edge(glass("kiln glass A"), 120)
    >>> print(f"{z[0] * 1e3:.2f} {z[-1] * 1e3:.2f} {x.max() * 1e3:.2f} {x[-1] * 1e3:.2f}")
    0.00 6.10 0.29 -13.84

    References
    ----------
    As for `settled_thickness`.
    """
    theta = radians(float(_angle(scalar_in_range("contact_angle", contact_angle, "degree", 1, 180))))
    n = whole_in_range("points", points, 5, 1000)
    a = _capillary_length(glass)
    top = 2 * a * sin(theta / 2)
    flat = 2 * np.arcsin(0.01 * sin(theta / 2))
    phi = theta * (flat / theta) ** (np.arange(n) / (n - 1))
    return _across(a, phi) - _across(a, theta), top - 2 * a * np.sin(phi / 2)


def floating_thickness(
    glass: Glass, bath_density: float, bath_tension: float, interface_tension: float
) -> float:
    """Return the thickness at which molten glass comes to rest floating on a heavier melt.

    h^2 = 2 (gamma + gamma_i - gamma_b) rho_b / [g rho (rho_b - rho)], Langmuir's lens of liquid on liquid.

    Parameters
    ----------
    glass : Glass
        The glass, for its surface tension gamma and its density rho.
    bath_density : float
        Density rho_b of the melt below [kg/m3], above that of the glass, 2000 to 20000.
    bath_tension : float
        Surface tension gamma_b of the melt below [N/m], 0.1 to 2.
    interface_tension : float
        Tension gamma_i between glass and melt [N/m], 0 to 2.

    Returns
    -------
    float
        Thickness [m].

    Raises
    ------
    ValueError
        If a number is out of range, the glass sinks, or it spreads without end.

    Notes
    -----
    This is how float glass gets its thickness on tin, about 7 mm (Pilkington 1969; the number from memory).
    On a rigid shelf there is no bath that gives way, and Young's law turns the sum of tensions into
    gamma (1 - cos theta): `settled_thickness`.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> round(floating_thickness(glass("float"), TIN_DENSITY, TIN_TENSION, TIN_TENSION) * 1e3, 2)
    6.41

    References
    ----------
    I. Langmuir 1933, J. Chem. Phys. 1, 756; L. A. B. Pilkington 1969, Proc. R. Soc. Lond. A 314, 1.
    """
    heavy = scalar_in_range("bath_density", bath_density, "kg/m3", 2000, 20000)
    if heavy <= glass.density:
        raise ValueError(
            f"bath_density is {heavy:g} kg/m3, not above that of the glass ({glass.density:g}): it would sink"
        )
    below = scalar_in_range("bath_tension", bath_tension, "N/m", 0.1, 2)
    between = scalar_in_range("interface_tension", interface_tension, "N/m", 0, 2)
    inward = glass.surface_tension + between - below
    if inward <= 0:
        raise ValueError(
            f"the tensions add up to {inward:g} N/m: nothing holds the edge, the glass spreads without end"
        )
    return float(_balanced(inward, glass, heavy))


@dataclass(frozen=True)
class Settled:
    """Where a rectangular stack ends, given time.

    Attributes
    ----------
    length, width : float
        Outline [m].
    thickness : float
        Thickness [m].
    draw_in : float
        Inward move of each edge along the length [m]; negative where it spreads.
    """

    length: float
    width: float
    thickness: float
    draw_in: float


def settled_size(
    length: float,
    width: float,
    thickness: float,
    settled: float,
    *,
    dam: tuple[float, float] | None = None,
) -> Settled:
    """Return where a rectangular stack ends that has time to settle, (l - 2x)(b - 2x) h = l b t.

    A thinner stack draws in (x > 0), a thicker one spreads (x < 0) until it is settled or a dam stops it.

    Parameters
    ----------
    length : float
        Length l of the stack [m], above 0 to 2.
    width : float
        Width b of the stack [m], above 0 to 2.
    thickness : float
        Thickness t of its glass, full over the outline [m], 0.3e-3 to 0.15.
    settled : float
        Settled thickness h, from `settled_thickness` [m], 1e-3 to 0.02.
    dam : tuple of two floats, optional
        Length and width inside dams around the stack [m], `length` to 2 and `width` to 2.

    Returns
    -------
    Settled
        Length, width, thickness and draw-in [m].

    Raises
    ------
    ValueError
        If a number is out of range, the dams stand inside the stack, or the outline would become so small
        that it is a drop and not a pool.

    Notes
    -----
    Every free edge moves alike. Edges are reckoned upright and corners square: a rounded edge reaches 1.5 to
    2.5 mm further (`edge_spread`, and `come_to_rest` for a square stack). Dams stop what spreads; they cannot
    hold back a thin stack that draws in, unless it sticks. How far the edge gets in a real firing is a matter
    of time and viscosity; this is where it would stop.

    Examples
    --------
    One sheet, and five in dams that leave 5 mm all round:

    >>> one = settled_size(0.20, 0.10, 3e-3, 6.2e-3)
    >>> round(one.length, 4), round(one.width, 4), round(one.draw_in, 4)
    (0.1604, 0.0604, 0.0198)
    >>> five = settled_size(0.20, 0.10, 15e-3, 6.2e-3, dam=(0.21, 0.11))
    >>> five.length, five.width, round(five.thickness, 5)
    (0.21, 0.11, 0.01299)
    """
    l = scalar_in_range("length", length, "m", 0.0, 2.0, open_low=True)
    b = scalar_in_range("width", width, "m", 0.0, 2.0, open_low=True)
    t = scalar_in_range("thickness", thickness, "m", 0.3e-3, 0.15)
    h = scalar_in_range("settled", settled, "m", 1e-3, 0.02)
    volume = l * b * t
    grow = (sqrt((l - b) ** 2 + 4 * volume / h) - (l + b)) / 2
    end_l, end_b = l + grow, b + grow
    if dam is not None:
        inside_l = scalar_in_range("dam length", dam[0], "m", 0.0, 2.0, open_low=True)
        inside_b = scalar_in_range("dam width", dam[1], "m", 0.0, 2.0, open_low=True)
        if inside_l < l - SAME_LENGTH or inside_b < b - SAME_LENGTH:
            raise ValueError(
                f"dam is {inside_l:g} by {inside_b:g} m inside, smaller than the stack of {l:g} by {b:g} m"
            )
        if end_l > inside_l:
            end_l, end_b = inside_l, min(volume / (h * inside_l), inside_b)
        if end_b > inside_b:
            end_l, end_b = min(volume / (h * inside_b), inside_l), inside_b
    if min(end_l, end_b) < _NARROWEST_POOL * h:
        raise ValueError(
            f"the stack would draw in to {end_l:.3g} by {end_b:.3g} m, a drop and not a pool: this "
            f"calculation needs at least {_NARROWEST_POOL:g} times the settled thickness"
        )
    return Settled(end_l, end_b, volume / (end_l * end_b), (l - end_l) / 2)


@dataclass(frozen=True)
class SettledStack:
    """A square stack as it is laid up, and where it comes to rest, its rounded edge included.

    Attributes
    ----------
    side, thickness : float
        As laid up [m].
    settled : float
        Thickness at which this glass comes to rest where nothing holds it [m].
    dam : float or None
        Side of the square inside the dams [m]; None without dams.
    end_side : float
        Side at the end, at the widest place of the edge [m].
    end_thickness : float
        Thickness in the middle at the end [m].
    held : bool
        Whether the dams keep it thicker than it would be without them.
    outline : tuple of two arrays
        Its right half in section: distance from the middle [m], height above the shelf [m], from the foot of
        the edge upwards and inwards.
    """

    side: float
    thickness: float
    settled: float
    dam: float | None
    end_side: float
    end_thickness: float
    held: bool
    outline: tuple[np.ndarray, np.ndarray]

    @property
    def draw_in(self) -> float:
        """Inward move of each edge, at its widest place [m]; negative where it spreads."""
        return (self.side - self.end_side) / 2


def come_to_rest(
    glass: Glass, side: float, thickness: float, contact_angle: float, *, gap: float | None = None
) -> SettledStack:
    """Return where a square stack ends that has time to settle: s = side sqrt(t/h) + 2 (reach of the edge).

    Parameters
    ----------
    glass : Glass
        The glass, for its surface tension and its density.
    side : float
        Side of the square [m], above 0 to 2.
    thickness : float
        Thickness t of its glass [m], 0.3e-3 to 0.15.
    contact_angle : float
        Angle between shelf and edge, measured through the glass [degree], 1 to 180.
    gap : float, optional
        Room between the stack and dams all round [m], 0 to 1; left out: no dams.

    Returns
    -------
    SettledStack
        Side, thickness and section at the end.

    Raises
    ------
    ValueError
        If a number is out of range, or the stack would draw in to a drop.

    Notes
    -----
    h is `settled_thickness`, the reach of the rounded edge is `edge_spread`. Corners are taken as square.
    Where glass only just touches the dams its edge stays rounded, and some of its volume is left out. Its
    flat middle is never thinner than h. How far a real firing gets is a matter of time: this is where it
    would stop.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> one = come_to_rest(glass("kiln glass A"), 0.100, 3.2e-3, 120)
    >>> round(one.draw_in * 1e3, 1), round(one.end_thickness * 1e3, 2)
    (11.9, 6.16)
    >>> five = come_to_rest(glass("kiln glass A"), 0.100, 16e-3, 120, gap=0.0)
    >>> five.held, round(five.end_thickness * 1e3, 1)
    (True, 16.0)

    References
    ----------
    As for `settled_thickness`.
    """
    h = settled_thickness(glass, scalar_in_range("contact_angle", contact_angle, "degree", 1, 180))
    upright = settled_size(side, side, thickness, h)
    foot, widest = edge_spread(glass, contact_angle)
    x, z = settled_edge(glass, contact_angle)
    free = upright.length / 2 + widest
    wall = None if gap is None else side / 2 + scalar_in_range("gap", gap, "m", 0.0, 1.0)
    end = free if wall is None else min(free, wall)
    thick = max(h, side**2 * thickness / (2 * end) ** 2) if end < free else h
    held = thick > h * (1 + 1e-9)
    foot_at = end - (widest - foot)
    outline = (np.array([end, end]), np.array([0.0, thick])) if held else (foot_at + x, z)
    return SettledStack(
        float(side), float(thickness), h, None if wall is None else 2 * wall, 2 * end, thick, held, outline
    )


@dataclass(frozen=True)
class PoolsCompared:
    """Molten glass at rest on a kiln shelf and on tin: the same balance, with a published value beside it.

    Attributes
    ----------
    contact_angle : float
        Angle between shelf and edge [degree].
    edge : tuple of two arrays
        The edge of the pool on the shelf, as `settled_edge` gives it [m].
    on_shelf, on_tin : tuple of two floats
        Tension that holds the edge [N/m] and settled thickness [m].
    published : float
        Published thickness of float glass on tin [m].
    tension : array
        Tensions that may hold an edge [N/m].
    shelf_curve, tin_curve : array
        The thickness that each of them holds on a shelf and on tin [m].
    """

    contact_angle: float
    edge: tuple[np.ndarray, np.ndarray]
    on_shelf: tuple[float, float]
    on_tin: tuple[float, float]
    published: float
    tension: np.ndarray
    shelf_curve: np.ndarray
    tin_curve: np.ndarray

    @property
    def difference(self) -> float:
        """By how much the computed thickness on tin differs, as a share of the published one [-]."""
        return self.on_tin[1] / self.published - 1


def compare_pools(glass: Glass, contact_angle: float) -> PoolsCompared:
    """Return a pool on a shelf beside one on tin, h^2 = 2 T/(rho g), on tin / (1 - rho/rho_tin).

    Parameters
    ----------
    glass : Glass
        The glass, for its surface tension and its density.
    contact_angle : float
        Angle theta between shelf and edge, measured through the glass [degree], 60 to 180.

    Returns
    -------
    PoolsCompared
        Both pools, the curves they lie on, and the published thickness on tin.

    Raises
    ------
    ValueError
        If the angle is out of range.

    Notes
    -----
    T is the tension that holds the edge: gamma (1 - cos theta) on a shelf; on tin gamma, since the tension
    between glass and tin is taken to be that of the tin (see `TIN_TENSION`).

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> found = compare_pools(glass("float"), 120)
    >>> round(found.on_shelf[1] * 1e3, 2), round(found.on_tin[1] * 1e3, 2), round(found.difference, 3)
    (6.16, 6.41, -0.084)

    References
    ----------
    As for `settled_thickness` and `floating_thickness`.
    """
    angle = scalar_in_range("contact_angle", contact_angle, "degree", 60, 180)
    on_tin = floating_thickness(glass, TIN_DENSITY, TIN_TENSION, TIN_TENSION)
    tension = np.linspace(0.15, 0.65, 41)
    return PoolsCompared(
        angle,
        settled_edge(glass, angle),
        (glass.surface_tension * (1 - cos(radians(angle))), settled_thickness(glass, angle)),
        (glass.surface_tension, on_tin),
        FLOAT_THICKNESS,
        tension,
        _balanced(tension, glass, None),
        _balanced(tension, glass, TIN_DENSITY),
    )


def _balanced(tension: Any, glass: Glass, bath_density: float | None) -> Any:
    """Return the thickness whose weight spreads as hard as the tension pulls; a bath gives way under it."""
    given_way = 1.0 if bath_density is None else 1 - glass.density / bath_density
    return np.sqrt(2 * tension / (glass.density * GRAVITY * given_way))


def _across(a: float, slope: Any) -> Any:
    """Return where along the shelf the edge has a slope [rad], for a capillary length a."""
    return a * (np.log(np.tan(slope / 4)) + 2 * np.cos(slope / 2))


def _angle(value: ArrayLike) -> np.ndarray:
    return in_range("contact_angle", value, "degree", 1.0, 180.0)


def _capillary_length(glass: Glass) -> float:
    return sqrt(glass.surface_tension / (glass.density * GRAVITY))
