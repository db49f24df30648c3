"""Where molten glass goes: how thick a pool comes to rest, and where the edge of a stack ends."""

from dataclasses import dataclass
from math import radians, sin, sqrt
from typing import Any

import numpy as np

from kilncalc._ranges import SAME_LENGTH, ArrayLike, in_range, like_input, scalar_in_range, whole_in_range
from kilncalc.materials import Glass

GRAVITY = 9.80665
"""Standard acceleration of gravity [m/s2] (CGPM 1901)."""

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
    better than about 15 degrees, which is 5 % of the thickness.

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

    def across(slope: Any) -> Any:
        return a * (np.log(np.tan(slope / 4)) + 2 * np.cos(slope / 2))

    return across(phi) - across(theta), top - 2 * a * np.sin(phi / 2)


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
    This is how float glass gets its thickness of about 7 mm on tin (Pilkington 1969). On a rigid shelf there
    is no bath that gives way, and Young's law turns the sum of tensions into gamma (1 - cos theta):
    `settled_thickness`.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> round(floating_thickness(glass("float"), 6500, 0.50, 0.50) * 1e3, 2)
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
    return sqrt(2 * inward * heavy / (GRAVITY * glass.density * (heavy - glass.density)))


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
    Every free edge moves alike, corners round off, and the volume in the rounded edge is neglected: 1 to
    2 mm of outline. Dams stop what spreads; they cannot hold back a thin stack that draws in, unless it
    sticks. How far the edge gets in a real firing is a matter of time and viscosity; this is where it would
    stop.

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


def _angle(value: ArrayLike) -> np.ndarray:
    return in_range("contact_angle", value, "degree", 1.0, 180.0)


def _capillary_length(glass: Glass) -> float:
    return sqrt(glass.surface_tension / (glass.density * GRAVITY))
