"""From the space in a mould, a model or a sieve to the weight of glass that is needed.

A shape is a function that returns its volume: `box`, `cylinder`, `frustum` (a cone is one whose bottom
radius is 0), `spherical_cap`, `revolve` (any profile turned about an upright axis). With the keyword
`fill` it returns the volume up to that level, and `fill_height` is the way back.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import pi

import numpy as np

from kilncalc._ranges import ArrayLike, in_range, like_input
from kilncalc._tables import named, rows

WATER_DENSITY = 998.2
"""Density of water at 20 degC [kg/m3]; 999.7 at 10 degC, 995.7 at 30 degC."""

_ROUNDING = 1e-9
"""The share by which a number may lie beyond the brim, or a measured end, and count as being there."""


# ---------------------------------------------------------------------------------------------- shapes


def box(length: ArrayLike, width: ArrayLike, height: ArrayLike, *, fill: ArrayLike = None) -> ArrayLike:
    """Return the volume of a box with upright walls, V = l w h.

    Parameters
    ----------
    length : float or array
        Inside length [m], above 0 to 2.
    width : float or array
        Inside width [m], above 0 to 2.
    height : float or array
        Inside height up to the brim [m], above 0 to 2.
    fill : float or array, optional
        Level up to which the volume is taken [m], 0 to 2, not above `height`. Left out: up to the brim.

    Returns
    -------
    float or array
        Volume [m3], in the shape to which the arguments broadcast.

    Raises
    ------
    ValueError
        If a dimension is out of range, or the level above the brim.

    Notes
    -----
    Inside dimensions: an outside dimension counts the walls as glass. Level floor, walls at right angles.

    Examples
    --------
    >>> round(box(0.24, 0.18, 0.006) * 1e6, 3)
    259.2
    """
    l, w, h = _length("length", length), _length("width", width), _length("height", height)
    return like_input(l * w * _level(fill, h))


def cylinder(radius: ArrayLike, height: ArrayLike, *, fill: ArrayLike = None) -> ArrayLike:
    """Return the volume of an upright round cylinder, V = pi r^2 h.

    Parameters
    ----------
    radius : float or array
        Inside radius, half the inside diameter [m], above 0 to 2.
    height : float or array
        Inside height up to the brim [m], above 0 to 2.
    fill : float or array, optional
        Level up to which the volume is taken [m], 0 to 2, not above `height`. Left out: up to the brim.

    Returns
    -------
    float or array
        Volume [m3], in the shape to which the arguments broadcast.

    Raises
    ------
    ValueError
        If a dimension is out of range, or the level above the brim.

    Notes
    -----
    A diameter taken for the radius gives four times the glass.

    Examples
    --------
    >>> round(cylinder(0.05, 0.02) * 1e6, 1)
    157.1
    """
    r, h = _length("radius", radius), _length("height", height)
    return like_input(pi * r**2 * _level(fill, h))


def frustum(
    bottom_radius: ArrayLike, top_radius: ArrayLike, height: ArrayLike, *, fill: ArrayLike = None
) -> ArrayLike:
    """Return the volume of a round mould with straight sloping walls, V = pi h (r1^2 + r1 r2 + r2^2) / 3.

    Parameters
    ----------
    bottom_radius : float or array
        Inside radius at the bottom [m], 0 to 2. With 0 the mould is a cone.
    top_radius : float or array
        Inside radius at the brim [m], 0 to 2.
    height : float or array
        Inside height, measured upright and not along the slope [m], above 0 to 2.
    fill : float or array, optional
        Level up to which the volume is taken [m], 0 to 2, not above `height`. Left out: up to the brim.

    Returns
    -------
    float or array
        Volume [m3], in the shape to which the arguments broadcast.

    Raises
    ------
    ValueError
        If a dimension is out of range, or the level above the brim.

    Notes
    -----
    The cylinder of the mean radius is always too small, by pi h (r2 - r1)^2 / 12.

    Examples
    --------
    A cone holds a third of the cylinder around it:

    >>> round(frustum(0.0, 0.05, 0.06) / cylinder(0.05, 0.06), 6)
    0.333333
    """
    r1, r2 = _radius("bottom_radius", bottom_radius), _radius("top_radius", top_radius)
    h = _length("height", height)
    level = _level(fill, h)
    return like_input(_frustum_volume(r1, r1 + (r2 - r1) * (level / h), level))


def spherical_cap(rim_radius: ArrayLike, height: ArrayLike, *, fill: ArrayLike = None) -> ArrayLike:
    """Return the volume of a bowl that is part of a ball, V = pi h^2 (3 R - h) / 3.

    R = (a^2 + H^2) / (2 H) is the radius of the ball, a the rim radius, H the height of the bowl.

    Parameters
    ----------
    rim_radius : float or array
        Inside radius of the opening at the brim [m], above 0 to 2.
    height : float or array
        Inside height from the lowest point to the brim [m], above 0 to 2. More than `rim_radius` makes a
        bowl that closes in again towards its brim.
    fill : float or array, optional
        Level up to which the volume is taken [m], 0 to 2, not above `height`. Left out: up to the brim.

    Returns
    -------
    float or array
        Volume [m3], in the shape to which the arguments broadcast.

    Raises
    ------
    ValueError
        If a dimension is out of range, or the level above the brim.

    Notes
    -----
    Many slumping moulds are flatter in the middle than a ball: fill such a mould with water, or measure
    its profile and use `revolve`.

    Examples
    --------
    >>> round(spherical_cap(0.10, 0.02) * 1e6, 1)
    318.3
    """
    a, h = _length("rim_radius", rim_radius), _length("height", height)
    level = _level(fill, h)
    return like_input(pi * level**2 * (3 * _ball_radius(a, h) - level) / 3)


def revolve(radii: ArrayLike, heights: ArrayLike, *, fill: ArrayLike = None) -> ArrayLike:
    """Return the volume of a profile turned about an upright axis, V = integral of pi r(z)^2 dz.

    Parameters
    ----------
    radii : sequence
        Inside radius at each point of the profile, from the bottom to the brim [m], 0 to 2. Only the
        first and the last may be 0.
    heights : sequence
        Height of each point, never falling, from any zero [m], -2 to 2. Two points of equal height make
        a level step.
    fill : float or array, optional
        Level above the lowest point up to which the volume is taken [m], 0 to 2, not above the brim.
        Left out: up to the brim.

    Returns
    -------
    float or array
        Volume [m3], in the shape of `fill`.

    Raises
    ------
    ValueError
        If the profile is not one, or the level lies above its brim.

    Notes
    -----
    Exact for straight lines between the points. A smooth curve measured at points on it bulges beyond
    those lines: half a ball measured at 10 equal steps of height comes out 0.9 % too small. Put the
    points closer together where the wall lies flat.

    Examples
    --------
    A cup with a cone below and an upright wall above:

    >>> round(revolve([0.0, 0.03, 0.03], [0.0, 0.03, 0.05]) * 1e6, 2)
    84.82
    """
    r1, r2, rise = _profile(radii, heights)
    level = np.asarray(_level(fill, rise.sum()))[..., np.newaxis]
    foot = np.cumsum(rise) - rise
    inside = np.clip(level - foot, 0.0, rise)
    return like_input(_frustum_volume(r1, r1 + (r2 - r1) * (inside / rise), inside).sum(axis=-1))


def fill_height(volume: ArrayLike, shape: Callable[..., ArrayLike], *dimensions: ArrayLike) -> ArrayLike:
    """Return the level to which a volume fills a mould: the h with shape(*dimensions, fill=h) = volume.

    Box and cylinder: h = H V / V_brim. Frustum: r^3 = r1^3 + 3 V (r2 - r1) / (pi H), then
    h = 3 V / [pi (r1^2 + r1 r + r^2)]; a turned profile the same within one of its steps. Bowl: with
    sin(q) = sqrt(3 V / (4 pi R^3)), h = R [2 sin^2(q/3) + sqrt(3) sin(2q/3)].

    Parameters
    ----------
    volume : float or array
        Volume of glass, water or frit in the mould [m3], 0 to 0.1, not above its volume up to the brim.
    shape : function
        `box`, `cylinder`, `frustum`, `spherical_cap` or `revolve`.
    *dimensions : float or array
        What that function takes, in the same order [m], each in the range given there (0 to 2).

    Returns
    -------
    float or array
        Level above the lowest point of the mould [m], in the shape to which the arguments broadcast
        (for `revolve` the shape of `volume`).

    Raises
    ------
    ValueError
        If the volume does not fit below the brim (the sentence says how much is left over; one part in
        1e9 counts as rounding), or a dimension is out of range.

    Notes
    -----
    The surface is taken as level: the glass is hot enough to flow out, and its rim is not drawn up.
    Where a mould closes to a point at its top, the last of the level is as uncertain as the last drop.

    Examples
    --------
    1.2 kg of glass in a conical mould:

    >>> mould = 0.03, 0.06, 0.09
    >>> round(fill_height(1.2 / 2500, frustum, *mould), 4)
    0.0793
    >>> fill_height(2.0 / 2500, frustum, *mould)
    Traceback (most recent call last):
    ValueError: volume is 800 cm3, but the mould holds 593.8 cm3 up to its brim: 206.2 cm3 do not fit
    """
    if shape not in (box, cylinder, frustum, spherical_cap, revolve):
        raise ValueError(
            "shape must be one of the functions box, cylinder, frustum, spherical_cap, revolve, "
            f"without quotes, got {shape!r}"
        )
    brim = np.asarray(shape(*dimensions))
    v = _fitting(_volume("volume", volume), brim)
    sizes = [np.asarray(dimension, dtype=float) for dimension in dimensions]
    if shape is revolve:
        r1, r2, rise = _profile(*sizes)
        foot = np.cumsum(rise) - rise
        below = np.cumsum(_frustum_volume(r1, r2, rise)) - _frustum_volume(r1, r2, rise)
        step = np.searchsorted(below, v, side="right") - 1
        return like_input(foot[step] + _frustum_level(v - below[step], r1[step], r2[step], rise[step]))
    if shape is frustum:
        return like_input(_frustum_level(v, *sizes))
    if shape is spherical_cap:
        ball = _ball_radius(*sizes)
        q = np.arcsin(np.sqrt(3 * v / (4 * pi * ball**3)))
        return like_input(ball * (2 * np.sin(q / 3) ** 2 + np.sqrt(3) * np.sin(2 * q / 3)))
    return like_input(sizes[-1] * v / brim)


# ------------------------------------------------------------------------------- glass, sheet and frit


def glass_mass(volume: ArrayLike, density: ArrayLike) -> ArrayLike:
    """Return the mass of a volume of solid glass, m = rho V.

    Parameters
    ----------
    volume : float or array
        Volume of glass [m3], 0 to 0.1.
    density : float or array
        Density of the glass [kg/m3], 2000 to 7000. Soda-lime glass has about 2500, that is 2.5 g/cm3
        or 1.445 oz (weight) per cubic inch.

    Returns
    -------
    float or array
        Mass [kg], in the shape to which the arguments broadcast.

    Raises
    ------
    ValueError
        If an argument is out of range.

    Notes
    -----
    At room temperature. The mould's own growth and the glass's shrinkage in the kiln change the weight by
    less than 1 % and are left out. For a jug reading of displaced or poured water in cm3 or ml this is all
    that is needed.

    Examples
    --------
    >>> glass_mass(250e-6, 2500)
    0.625
    """
    return like_input(_volume("volume", volume) * _density("density", density))


def sheet_mass(area: ArrayLike, thickness: ArrayLike, density: ArrayLike) -> ArrayLike:
    """Return the mass of a sheet, m = rho A t.

    Parameters
    ----------
    area : float or array
        Area of the sheet [m2], 0 to 4.
    thickness : float or array
        Measured thickness, not the nominal one [m], 0.3e-3 to 0.15.
    density : float or array
        Density of the glass [kg/m3], 2000 to 7000.

    Returns
    -------
    float or array
        Mass [kg], in the shape to which the arguments broadcast.

    Raises
    ------
    ValueError
        If an argument is out of range.

    Notes
    -----
    A hand-rolled sheet sold as 3 mm may measure anything near it; the weight errs by the same per cent.

    Examples
    --------
    >>> round(sheet_mass(0.24 * 0.18, 3e-3, 2500), 3)
    0.324
    """
    t = in_range("thickness", thickness, "m", 0.3e-3, 0.15)
    return like_input(_area("area", area) * t * _density("density", density))


def frit_volume(mass: ArrayLike, density: ArrayLike, packing: ArrayLike) -> ArrayLike:
    """Return the space that loose frit takes up, V = m / (rho p).

    Parameters
    ----------
    mass : float or array
        Mass of the frit [kg], 0 to 300.
    density : float or array
        Density of the solid glass [kg/m3], 2000 to 7000.
    packing : float or array
        Packing: the share of the heap that is glass and not air [-], 0.2 to 0.74. Poured frit 0.45 to 0.60.

    Returns
    -------
    float or array
        Volume of the heap, air included [m3], in the shape to which the arguments broadcast.

    Raises
    ------
    ValueError
        If an argument is out of range.

    Notes
    -----
    Equal balls poured at random pack at 0.60 to 0.64, stacked by hand at 0.74 at most. Crushed glass has
    corners and packs looser; mixed sizes pack closer, tapping and shaking too. To measure it: fill a cup
    of known volume level to the brim, weigh, and divide by density times volume.

    Examples
    --------
    A mould filled level with frit of packing 0.5 ends half full:

    >>> frit_volume(0.625, 2500, 0.5) / 250e-6
    2.0

    References
    ----------
    G. D. Scott 1960, Nature 188, 908 (loose); G. D. Scott & D. M. Kilgour 1969, J. Phys. D 2, 863, and
    J. G. Berryman 1983, Phys. Rev. A 27, 1053 (close).
    """
    m, rho = _mass("mass", mass), _density("density", density)
    return like_input(m / (rho * _packing("packing", packing)))


def frit_packing(name: str) -> float:
    """Return a usual packing of frit or balls from `datasets/frit_packing.csv`.

    Parameters
    ----------
    name : str
        A name in that table, exactly as written there.

    Returns
    -------
    float
        Packing: the share of the heap that is glass [-].

    Raises
    ------
    ValueError
        If there is no such row; the message lists the names.

    Examples
    --------
    >>> frit_packing("crushed glass, poured")
    0.45
    """
    return float(named(name, rows("frit_packing.csv"), "frit")["packing_fraction"])


def reservoir_volume(loose_volume: ArrayLike, mould_volume: ArrayLike) -> ArrayLike:
    """Return the space that loose frit needs above the brim, max(0, V_frit - V_mould).

    Parameters
    ----------
    loose_volume : float or array
        Volume of the heap, air included, from `frit_volume` [m3], 0 to 0.1.
    mould_volume : float or array
        Volume of the mould up to the brim [m3], 0 to 0.1.

    Returns
    -------
    float or array
        Volume that a reservoir on the mould must hold [m3], 0 where the frit fits, in the shape to which
        the arguments broadcast.

    Raises
    ------
    ValueError
        If an argument is out of range.

    Notes
    -----
    The reservoir must drain into the mould: sloping walls, no ledge.

    Examples
    --------
    >>> round(reservoir_volume(500e-6, 300e-6) * 1e6, 6)
    200.0
    """
    loose, room = _volume("loose_volume", loose_volume), _volume("mould_volume", mould_volume)
    return like_input(np.maximum(loose - room, 0.0))


def fillings(glass_volume: ArrayLike, mould_volume: ArrayLike, packing: ArrayLike) -> ArrayLike:
    """Return how many times to fill a mould level with frit and fire it, until it holds the glass wanted.

    The least whole n with V (1 - (1 - p)^n) >= V_glass.

    Parameters
    ----------
    glass_volume : float or array
        Volume of solid glass wanted in the mould [m3], 0 to 0.1, not above `mould_volume`.
    mould_volume : float or array
        Volume of the mould up to the brim [m3], above 0 to 0.1.
    packing : float or array
        Packing of the frit [-], 0.2 to 0.74.

    Returns
    -------
    float or array
        Number of fillings, a whole number [-]; infinite for a mould wanted full to its brim, which level
        fillings approach and never reach: heap the last one, or use a reservoir. In the shape to which
        the arguments broadcast.

    Raises
    ------
    ValueError
        If an argument is out of range, or more glass is wanted than the mould holds.

    Notes
    -----
    Every filling adds p times the space that is still free, so filling k takes rho p (1 - p)^(k-1) V of
    frit, less for the last. Each further firing is a full firing: a glass that crystallises shows it.

    Examples
    --------
    >>> fillings(200e-6, 250e-6, 0.5)
    3.0
    """
    room = in_range("mould_volume", mould_volume, "m3", 0.0, 0.1, open_low=True)
    glass = _fitting(_volume("glass_volume", glass_volume), room, "glass_volume")
    p = _packing("packing", packing)
    with np.errstate(divide="ignore"):
        exact = np.log1p(-glass / room) / np.log1p(-p)
    return like_input(np.ceil(exact - _ROUNDING) + 0.0)


def cost(mass: ArrayLike, price: ArrayLike) -> ArrayLike:
    """Return what a mass of glass costs, mass times price per kilogram.

    Parameters
    ----------
    mass : float or array
        Mass to buy, losses included [kg], 0 to 300.
    price : float or array
        Price of one kilogram, in any currency [money/kg], 0 to 1e6.

    Returns
    -------
    float or array
        Cost, in the currency of the price [money], in the shape to which the arguments broadcast.

    Raises
    ------
    ValueError
        If an argument is out of range.

    Notes
    -----
    A price per pound times 2.2046 is a price per kilogram.

    Examples
    --------
    >>> cost(0.625, 24.0)
    15.0
    """
    return like_input(_mass("mass", mass) * in_range("price", price, "money/kg", 0.0, 1e6))


# ------------------------------------------------------------------- a model of wax, water, displacement


def mass_from_wax(wax_mass: ArrayLike, wax_density: ArrayLike, density: ArrayLike) -> ArrayLike:
    """Return the mass of glass that replaces a wax model, m = m_wax rho / rho_wax.

    Parameters
    ----------
    wax_mass : float or array
        Mass of the wax model [kg], 0 to 300.
    wax_density : float or array
        Density of the wax [kg/m3], 800 to 1200. Beeswax 958 to 970, paraffin wax about 880 to 940.
    density : float or array
        Density of the glass [kg/m3], 2000 to 7000.

    Returns
    -------
    float or array
        Mass of glass [kg], in the shape to which the arguments broadcast.

    Raises
    ------
    ValueError
        If an argument is out of range.

    Notes
    -----
    Solid wax only: a core, an armature or an air bubble makes the answer wrong. Weigh sprues and reservoir
    with the model if glass is to fill them. For a wax of unknown density weigh a block of measured
    size.

    Examples
    --------
    >>> round(mass_from_wax(0.096, 960, 2500), 6)
    0.25
    """
    wax_rho = in_range("wax_density", wax_density, "kg/m3", 800.0, 1200.0)
    return like_input(_mass("wax_mass", wax_mass) * _density("density", density) / wax_rho)


def mass_from_water(
    water_mass: ArrayLike, density: ArrayLike, water_density: ArrayLike = WATER_DENSITY
) -> ArrayLike:
    """Return the mass of glass for the water that fills a mould, m = m_water rho / rho_water.

    Parameters
    ----------
    water_mass : float or array
        Mass of the water: mould full less mould empty, or what was poured from a jug [kg], 0 to 300.
    density : float or array
        Density of the glass [kg/m3], 2000 to 7000.
    water_density : float or array
        Density of the water [kg/m3], 980 to 1000. From 5 to 30 degC it stays between 1000 and 995.6:
        less than half a per cent, below any error of pouring, so the default serves.

    Returns
    -------
    float or array
        Mass of glass [kg], in the shape to which the arguments broadcast.

    Raises
    ------
    ValueError
        If an argument is out of range.

    Notes
    -----
    Only for a mould that does not soak up water: glazed, metal, or sealed and later dried by weight.
    Plaster drinks water for as long as it stands, and a damp mould in the kiln makes steam: for plaster
    measure the inside, or weigh the wax before it goes.

    Examples
    --------
    >>> round(mass_from_water(0.2496, 2500), 3)
    0.625
    """
    water_rho = _water("water_density", water_density)
    return like_input(_mass("water_mass", water_mass) * _density("density", density) / water_rho)


def mass_by_displacement(
    reading_before: ArrayLike, reading_after: ArrayLike, density: ArrayLike
) -> ArrayLike:
    """Return the mass of glass for a model lowered into a measuring jug, m = rho (V_after - V_before).

    Parameters
    ----------
    reading_before : float or array
        Reading of the jug with water only [m3], 0 to 0.1. When the water that runs over is caught and
        measured instead: 0.
    reading_after : float or array
        Reading with the model wholly under water, or the volume of water caught [m3], 0 to 0.1.
    density : float or array
        Density of the glass [kg/m3], 2000 to 7000.

    Returns
    -------
    float or array
        Mass of glass [kg], in the shape to which the arguments broadcast.

    Raises
    ------
    ValueError
        If an argument is out of range, or the water has fallen.

    Notes
    -----
    Shake off bubbles; push a floating model under with a thin wire; wrap or wax one that soaks up water.
    The error of the difference of two readings counts in full however small the model is, so use the
    narrowest jug that takes it.

    Examples
    --------
    >>> round(mass_by_displacement(500e-6, 750e-6, 2500), 6)
    0.625
    """
    before, after = _volume("reading_before", reading_before), _volume("reading_after", reading_after)
    if np.any(after < before):
        raise ValueError(
            "reading_after is below reading_before, but a model under water raises the level. "
            "Were the two swapped?"
        )
    return like_input((after - before) * _density("density", density))


# ------------------------------------------------------------------------------ texture, sieve, stringer


def texture_mass(
    area: ArrayLike, grain: ArrayLike, coverage: ArrayLike, packing: ArrayLike, density: ArrayLike
) -> ArrayLike:
    """Return the mass of frit for a texture one grain deep, m = rho p c d A.

    Parameters
    ----------
    area : float or array
        Area to be textured [m2], 0 to 4.
    grain : float or array
        Grain size d: midway between the sieve it fell through and the sieve it stayed on [m], 20e-6 to 0.02.
    coverage : float or array
        Share of the area that is strewn [-], 0 to 1; the gaps between neighbouring grains belong to it.
    packing : float or array
        Share of the strewn layer, one grain high, that is glass [-], 0.2 to 0.74.
    density : float or array
        Density of the glass [kg/m3], 2000 to 7000.

    Returns
    -------
    float or array
        Mass of frit [kg], in the shape to which the arguments broadcast.

    Raises
    ------
    ValueError
        If an argument is out of range.

    Notes
    -----
    One layer of grains of one size, side by side. For balls it is exact in three cases worth knowing:
    packed as closely as coins on a table, p = pi / (3 sqrt 3) = 0.605; dropped at random until no further
    one finds room (they cover 0.547 of the ground), p = 2/3 x 0.547 = 0.36; and with p = 2/3 the coverage
    becomes the share of ground hidden when seen from above, however sparsely they lie. Crushed glass is no
    ball: a flake lies flat and is thinner than its sieve (p falls), a splinter passes a sieve narrower than
    its length (p rises). Weigh one trial square and divide by rho c d A to get the p of your own frit.
    More than one layer: add their masses.

    Examples
    --------
    >>> round(texture_mass(0.04, 2e-3, 0.5, 0.5, 2500), 6)
    0.05

    References
    ----------
    J. Feder 1980, J. Theor. Biol. 87, 237 (0.547: discs dropped at random).
    """
    d = in_range("grain", grain, "m", 20e-6, 0.02)
    c = in_range("coverage", coverage, "", 0.0, 1.0)
    p, rho = _packing("packing", packing), _density("density", density)
    return like_input(rho * p * c * d * _area("area", area))


def added_thickness(mass: ArrayLike, area: ArrayLike, density: ArrayLike) -> ArrayLike:
    """Return the mean thickness that a mass of glass adds to an area, t = m / (rho A).

    Parameters
    ----------
    mass : float or array
        Mass of frit, powder or stringer on the area [kg], 0 to 300.
    area : float or array
        The whole area, bare patches included [m2], above 0 to 4.
    density : float or array
        Density of the glass [kg/m3], 2000 to 7000.

    Returns
    -------
    float or array
        Mean thickness added [m], in the shape to which the arguments broadcast.

    Raises
    ------
    ValueError
        If an argument is out of range.

    Notes
    -----
    What a full fuse would make of it. After a tack fuse the grains still stand up: the mean serves for the
    heat and the weight, the grain's own height for the stress where a single grain stands.

    Examples
    --------
    >>> round(added_thickness(0.05, 0.04, 2500) * 1e3, 6)
    0.5
    """
    ground = in_range("area", area, "m2", 0.0, 4.0, open_low=True)
    return like_input(_mass("mass", mass) / (ground * _density("density", density)))


def sieve_opening(name: str) -> float:
    """Return the nominal opening of a sieve from `datasets/sieves.csv`.

    Parameters
    ----------
    name : str
        Designation as written there, such as "No. 20". Numbers rise as openings fall.

    Returns
    -------
    float
        Opening [m].

    Raises
    ------
    ValueError
        If there is no such sieve; the message lists the names.

    Examples
    --------
    >>> sieve_opening("No. 20")
    0.00085

    References
    ----------
    ASTM E11.
    """
    return float(named(name, rows("sieves.csv"), "sieve")["opening_mm"]) / 1000


def cumulative_passing(retained: ArrayLike, pan: float) -> np.ndarray:
    """Return the share of a batch that passes each sieve of a stack.

    1 - (all that stayed on this sieve or above it) / total.

    Parameters
    ----------
    retained : sequence
        Mass left on each sieve, from the coarsest down [kg], 0 to 300.
    pan : float
        Mass in the pan under the finest sieve [kg], 0 to 300.

    Returns
    -------
    array
        Share passing each sieve [-], in the order of `retained`.

    Raises
    ------
    ValueError
        If a mass is out of range, or all are 0.

    Notes
    -----
    Weigh the batch first as well: what is missing afterwards is dust in the air or grains stuck in the mesh.

    Examples
    --------
    >>> cumulative_passing([0.02, 0.05], 0.03).round(6).tolist()
    [0.8, 0.3]
    """
    masses = np.atleast_1d(_mass("retained", retained))
    total = masses.sum() + _mass("pan", pan)
    if not total > 0:
        raise ValueError("retained and pan are all 0 kg: nothing was sieved")
    return np.asarray(1 - np.cumsum(masses) / total)


@dataclass(frozen=True)
class SieveYield:
    """What two sieves make of a batch.

    Parameters
    ----------
    fines : float or array
        Mass that falls through the fine sieve [kg], 0 to 300.
    kept : float or array
        Mass that passes the coarse sieve and stays on the fine one [kg], 0 to 300.
    chunks : float or array
        Mass that stays on the coarse sieve [kg], 0 to 300.

    Examples
    --------
    >>> SieveYield(fines=0.1, kept=0.7, chunks=0.2).kept
    0.7
    """

    fines: ArrayLike
    kept: ArrayLike
    chunks: ArrayLike


def sieve_yield(
    mass: ArrayLike, openings: ArrayLike, passing: ArrayLike, fine: ArrayLike, coarse: ArrayLike
) -> SieveYield:
    """Return what two sieves leave of a batch of crushed glass: fines, grains kept, chunks.

    With P the share that passes an opening: fines m P(fine), kept m [P(coarse) - P(fine)], chunks
    m [1 - P(coarse)]. Between measured openings P is read on a straight line over log(opening).

    Parameters
    ----------
    mass : float or array
        Mass of the batch [kg], 0 to 300.
    openings : sequence
        Sieve openings at which the crushed glass was measured, in any order [m], 20e-6 to 0.125.
    passing : sequence
        Share of the batch that passes each of them, from `cumulative_passing` [-], 0 to 1.
    fine : float or array
        Opening of the sieve that lets the fines go [m], within the measured openings, 20e-6 to 0.125.
    coarse : float or array
        Opening of the sieve that holds the chunks back [m], above `fine`, within the measured openings,
        20e-6 to 0.125.

    Returns
    -------
    SieveYield
        Three masses [kg], each in the shape to which mass, fine and coarse broadcast.

    Raises
    ------
    ValueError
        If the curve is not one, a sieve lies outside it, or the sieves are swapped.

    Notes
    -----
    Holds for glass crushed the same way as the measured batch. Between two sieves it is an estimate; at the
    measured openings exact. To end with a mass wanted, weigh out wanted / (kept / mass).
    Sieving raises dust: respirator, damp cloth, no dry sweeping.

    Examples
    --------
    >>> batch = sieve_yield(1.0, [4.75e-3, 2.36e-3, 1.18e-3, 0.6e-3], [1.0, 0.8, 0.3, 0.1], 1.18e-3, 2.36e-3)
    >>> round(batch.fines, 6), round(batch.kept, 6), round(batch.chunks, 6)
    (0.3, 0.5, 0.2)

    References
    ----------
    ASTM E11 (openings); ASTM C136 (sieve analysis).
    """
    m, sizes, shares = _mass("mass", mass), _opening("openings", openings), _share("passing", passing)
    if sizes.ndim != 1 or sizes.shape != shares.shape or sizes.size < 2:
        raise ValueError(
            "openings and passing must be two lists of the same length, two or more, "
            f"got {sizes.size} and {shares.size}"
        )
    order = np.argsort(sizes)
    sizes, shares = sizes[order], shares[order]
    if np.any(np.diff(sizes) == 0):
        raise ValueError("openings holds the same opening twice")
    if np.any(np.diff(shares) < 0):
        raise ValueError(
            "passing falls from a smaller to a larger opening, but a larger opening lets more through. "
            "Are these the shares that stayed on each sieve? Then use cumulative_passing."
        )
    small, large = (
        in_range(name, value, "m", float(sizes[0]) * (1 - _ROUNDING), float(sizes[-1]) * (1 + _ROUNDING))
        for name, value in (("fine", fine), ("coarse", coarse))
    )
    if np.any(small >= large):
        raise ValueError("fine must be a smaller opening than coarse. Were the two swapped?")
    through_fine, through_coarse = (np.interp(np.log(x), np.log(sizes), shares) for x in (small, large))
    return SieveYield(
        fines=like_input(m * through_fine),
        kept=like_input(m * (through_coarse - through_fine)),
        chunks=like_input(m * (1 - through_coarse)),
    )


def stringer_length(
    rod_diameter: ArrayLike, rod_length: ArrayLike, stringer_diameter: ArrayLike, loss: ArrayLike = 0.0
) -> ArrayLike:
    """Return the length of stringer drawn from a rod, l = L (D/d)^2 (1 - loss): length x diameter^2 is kept.

    Parameters
    ----------
    rod_diameter : float or array
        Diameter D of the rod [m], above 0 to 0.05.
    rod_length : float or array
        Length L of the rod that is drawn out [m], above 0 to 2.
    stringer_diameter : float or array
        Diameter d of the stringer [m], above 0 to 0.05, not above `rod_diameter`.
    loss : float or array
        Share of the rod that ends as stub, drop and waste [-], 0 to 0.9.

    Returns
    -------
    float or array
        Length of stringer [m], in the shape to which the arguments broadcast.

    Raises
    ------
    ValueError
        If an argument is out of range, or the stringer is thicker than the rod.

    Notes
    -----
    An even stringer. Hand-drawn ones taper: a diameter 10 % off changes the length by 20 %.

    Examples
    --------
    >>> round(stringer_length(6e-3, 0.10, 1e-3), 6)
    3.6
    """
    d_rod, d = (
        in_range(name, value, "m", 0.0, 0.05, open_low=True)
        for name, value in (("rod_diameter", rod_diameter), ("stringer_diameter", stringer_diameter))
    )
    if np.any(d > d_rod):
        raise ValueError(
            "stringer_diameter is above rod_diameter, but drawing makes glass thinner. Were the two swapped?"
        )
    share = in_range("loss", loss, "", 0.0, 0.9)
    return like_input(_length("rod_length", rod_length) * (d_rod / d) ** 2 * (1 - share))


# --------------------------------------------------------------------------------------- formulas inside


def _frustum_volume(r1: np.ndarray, r2: np.ndarray, height: np.ndarray) -> np.ndarray:
    return pi * height * (r1**2 + r1 * r2 + r2**2) / 3


def _frustum_level(volume: np.ndarray, r1: np.ndarray, r2: np.ndarray, height: np.ndarray) -> np.ndarray:
    r = np.cbrt(r1**3 + 3 * volume * (r2 - r1) / (pi * height))
    spread = r1**2 + r1 * r + r**2
    empty = spread == 0  # nothing yet in the tip of a cone
    return np.where(empty, 0.0, 3 * volume / (pi * np.where(empty, 1.0, spread)))


def _ball_radius(rim_radius: np.ndarray, height: np.ndarray) -> np.ndarray:
    return (rim_radius**2 + height**2) / (2 * height)


def _profile(radii: ArrayLike, heights: ArrayLike) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return lower radius, upper radius and rise of each step of a profile that rises."""
    r, z = _radius("radii", radii), in_range("heights", heights, "m", -2.0, 2.0)
    if r.ndim != 1 or r.shape != z.shape or r.size < 2:
        raise ValueError(
            f"radii and heights must be two lists of the same length, two or more, got {r.size} and {z.size}"
        )
    rise = np.diff(z)
    if np.any(rise < 0) or not np.any(rise > 0):
        raise ValueError("heights must rise from the bottom of the profile to its brim")
    if np.any(r[1:-1] == 0) or not np.any(r > 0):
        raise ValueError(
            "radii may be 0 only at the first or the last point: elsewhere the profile is pinched off"
        )
    rises = rise > 0
    return r[:-1][rises], r[1:][rises], rise[rises]


# ------------------------------------------------------------------------------------------------ ranges


def _packing_hint(bad: float) -> str | None:
    return None if bad > 1 else "Poured frit packs at 0.45 to 0.60; equal balls stacked by hand at 0.74"


def _length(name: str, value: ArrayLike) -> np.ndarray:
    return in_range(name, value, "m", 0.0, 2.0, open_low=True)


def _radius(name: str, value: ArrayLike) -> np.ndarray:
    return in_range(name, value, "m", 0.0, 2.0)


def _opening(name: str, value: ArrayLike) -> np.ndarray:
    return in_range(name, value, "m", 20e-6, 0.125)


def _area(name: str, value: ArrayLike) -> np.ndarray:
    return in_range(name, value, "m2", 0.0, 4.0)


def _volume(name: str, value: ArrayLike) -> np.ndarray:
    return in_range(name, value, "m3", 0.0, 0.1)


def _mass(name: str, value: ArrayLike) -> np.ndarray:
    return in_range(name, value, "kg", 0.0, 300.0)


def _density(name: str, value: ArrayLike) -> np.ndarray:
    return in_range(name, value, "kg/m3", 2000.0, 7000.0)


def _water(name: str, value: ArrayLike) -> np.ndarray:
    return in_range(name, value, "kg/m3", 980.0, 1000.0)


def _packing(name: str, value: ArrayLike) -> np.ndarray:
    return in_range(name, value, "", 0.2, 0.74, hint=_packing_hint)


def _share(name: str, value: ArrayLike) -> np.ndarray:
    return in_range(name, value, "", 0.0, 1.0)


def _level(fill: ArrayLike, height: np.ndarray) -> np.ndarray:
    """Return the level, or the brim when none is given; refuse one above the brim."""
    if fill is None:
        return height
    level = in_range("fill", fill, "m", 0.0, 2.0)
    above = level > height * (1 + _ROUNDING)
    if np.any(above):
        high, brim = (float(np.broadcast_to(x, above.shape)[above][0]) for x in (level, height))
        raise ValueError(f"fill is {high:g} m, above the brim at {brim:g} m")
    return level


def _fitting(volume: np.ndarray, brim: np.ndarray, name: str = "volume") -> np.ndarray:
    """Return the volume, at most the brim's; refuse one that overflows by more than rounding."""
    over = volume > brim * (1 + _ROUNDING)
    if np.any(over):
        much, room = (float(np.broadcast_to(x, over.shape)[over][0]) * 1e6 for x in (volume, brim))
        raise ValueError(
            f"{name} is {much:.4g} cm3, but the mould holds {room:.4g} cm3 up to its brim: "
            f"{much - room:.4g} cm3 do not fit"
        )
    return np.minimum(volume, brim)
