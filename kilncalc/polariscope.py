"""What crossed polarisers show: stress, retardation, colours in daylight, pictures of test pieces."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from kilncalc._ranges import ArrayLike, in_range, like_input, scalar_in_range
from kilncalc.compatibility import chip_stress, inclusion_stress
from kilncalc.materials import Glass

FULL_WAVE = 565e-9
"""Retardation of the full-wave plate (tint plate, first-order red) of a polariscope [m]."""

LARGEST_RETARDATION = 10e-6
"""Beyond this [m] the colours of daylight have long merged into white, and nothing can be read."""

_STEP = 1e-9  # of the colour tables [m]; a screen colour changes by about one shade a step
_FINE = 100  # steps of the colour tables in a coarse one
_SHADES = 16384  # of linear light, in the table that codes it for a screen

_WAVELENGTH = np.arange(380, 781, 4.0)  # [nm]

# CIE standard illuminant D65, relative power every 10 nm from 380 to 780 nm (CIE 15, Table T.1); between them
# the CIE itself interpolates linearly
# fmt: off
_D65 = np.array([
    49.9755, 54.6482, 82.7549, 91.486, 93.4318, 86.6823, 104.865, 117.008, 117.812, 114.861,
    115.923, 108.811, 109.354, 107.802, 104.79, 107.689, 104.405, 104.046, 100.0, 96.3342,
    95.788, 88.6856, 90.0062, 89.5991, 87.6987, 83.2886, 83.6992, 80.0268, 80.2146, 82.2778,
    78.2842, 69.7213, 71.6091, 74.349, 61.604, 69.8856, 75.087, 63.5927, 46.4182, 66.8054,
    63.3828,
])
# fmt: on

_SRGB_FROM_XYZ = np.array(  # IEC 61966-2-1
    [[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]]
)


def _colour_matching(wavelength: np.ndarray) -> np.ndarray:
    """Return the CIE 1931 observer x, y, z at wavelengths in nm: the multi-lobe fit of Wyman et al. 2013."""

    def lobe(peak: float, left: float, right: float) -> np.ndarray:
        t = (wavelength - peak) / np.where(wavelength < peak, left, right)
        return np.exp(-0.5 * t * t)

    x = 1.056 * lobe(599.8, 37.9, 31.0) + 0.362 * lobe(442.0, 16.0, 26.7) - 0.065 * lobe(501.1, 20.4, 26.2)
    y = 0.821 * lobe(568.8, 46.9, 40.5) + 0.286 * lobe(530.9, 16.3, 31.1)
    z = 1.217 * lobe(437.0, 11.8, 36.0) + 0.681 * lobe(459.0, 26.0, 13.8)
    return np.stack([x, y, z], axis=-1)


@lru_cache(maxsize=1)
def _daylight() -> np.ndarray:
    """Share of each wavelength in linear red, green and blue of daylight: (wavelength, 3), each sums to 1."""
    power = np.interp(_WAVELENGTH, np.arange(380, 781, 10.0), _D65)
    linear = (power[:, None] * _colour_matching(_WAVELENGTH)) @ _SRGB_FROM_XYZ.T
    return linear / linear.sum(axis=0)


@lru_cache(maxsize=8)
def _colour_tables(plate: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return the linear light that comes through, as t0 + s t1 + s^2 t2, against retardation in steps.

    s = sin(2 x angle from slow axis to polariser), t0 (3,), t1 and t2 (3, retardation). The Jones
    product of the glass and a plate at 45 degrees, a and b half their phases: the share of the light is
    sin^2 b + (s/2) sin 2a sin 2b + s^2 sin^2 a cos 2b, and sin^2 a = (1 - cos 2a)/2. Each retardation is a
    coarse step and fine ones: the sine and cosine of the sum are products of theirs.
    """
    light, b = _daylight().T, np.pi * plate * 1e9 / _WAVELENGTH
    count = round(LARGEST_RETARDATION / _STEP) + 1
    fine = 2 * np.pi * np.arange(_FINE)[:, None] * _STEP * 1e9 / _WAVELENGTH
    coarse = 2 * np.pi * np.arange(0, count, _FINE)[:, None] * _STEP * 1e9 / _WAVELENGTH

    def summed(first: np.ndarray, second: np.ndarray) -> np.ndarray:
        """Sum (coarse, wavelength) times cos fine and (coarse, wavelength) times sin fine over the light."""
        both = first @ np.cos(fine).T + second @ np.sin(fine).T
        return both.reshape(len(both), -1)[:, :count]

    cos, sin = np.cos(coarse), np.sin(coarse)
    across, along = (light * np.sin(2 * b) / 2)[:, None], (light * np.cos(2 * b))[:, None]
    t0 = light @ np.sin(b) ** 2
    t1 = summed(across * sin, across * cos)
    t2 = (along.sum(axis=-1) - summed(along * cos, -along * sin)) / 2
    return t0.astype(np.float32), t1.astype(np.float32), t2.astype(np.float32)


def _coded(linear: np.ndarray) -> np.ndarray:
    """Code linear light, 0 to 1, for a screen (IEC 61966-2-1); colours a screen has not are cut off."""
    light = np.clip(linear, 0, 1)
    return np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)


@lru_cache(maxsize=1)
def _screen_codes() -> np.ndarray:
    return np.rint(255 * _coded(np.linspace(0, 1, _SHADES))).astype(np.uint8)


def _check_plate(plate: float) -> float:
    return scalar_in_range("plate", plate, "m", 0, 1.2e-6)


def retardation(
    stress_1: ArrayLike, stress_2: ArrayLike, path: ArrayLike, stress_optic_coefficient: ArrayLike
) -> Any:
    """Return by how much one half of the light lags behind the other: delta = C (sigma_1 - sigma_2) t.

    Parameters
    ----------
    stress_1, stress_2 : float or array
        Principal stresses across the ray, tension positive [Pa], -1e9 to 1e9.
    path : float or array
        Way t of the light through the stressed glass [m], 0 to 2.
    stress_optic_coefficient : float or array
        Stress-optic coefficient C [1/Pa], -2e-12 to 10e-12: soda-lime 2.7e-12.

    Returns
    -------
    float or array
        Retardation delta [m], broadcast shape. Positive if the light polarised along `stress_1` is the
        slower one, as it is along a tension.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    Stress along the ray changes nothing. Where stress changes along the ray, its parts add up; equal stress
    in both directions stays dark whatever its size. Retardations add up in this simple way as long as the
    principal directions do not turn along the ray, or the sum stays well below a wavelength.

    Examples
    --------
    >>> print(f"{retardation(1e6, 0, 0.01, 2.7e-12) * 1e9:.0f} nm")  # 1 MPa through 1 cm
    27 nm

    References
    ----------
    ASTM F218; Aben & Guillemet 1993, Photoelasticity of Glass.
    """
    one = in_range("stress_1", stress_1, "Pa", -1e9, 1e9)
    two = in_range("stress_2", stress_2, "Pa", -1e9, 1e9)
    t = in_range("path", path, "m", 0, 2)
    c = in_range("stress_optic_coefficient", stress_optic_coefficient, "1/Pa", -2e-12, 10e-12)
    return like_input(c * (one - two) * t)


def interference_colour(retardation: ArrayLike, plate: float = 0.0) -> np.ndarray:
    """Return the colour of stressed glass in daylight between crossed polarisers, at its brightest.

    The share of the light that comes through at each wavelength is sin^2(pi (delta + plate)/lambda),
    summed over daylight.

    Parameters
    ----------
    retardation : float or array
        Retardation delta of the glass [m], -10e-6 to 10e-6 together with the plate; positive when the slow
        axes of glass and plate are parallel.
    plate : float
        Retardation of a full-wave plate [m], 0 to 1.2e-6: 0 without one, usually 565e-9.

    Returns
    -------
    array
        sRGB red, green, blue [-], 0 to 1, coded for a screen; shape of `retardation` and 3.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    "At its brightest" is with the stress at 45 degrees to the polarisers. Daylight is CIE D65, the eye the
    CIE 1931 observer, and white is the light between parallel polarisers without glass. The plate is taken
    as equally strong at every wavelength. Some colours (blue at 600 nm, yellow at 430 nm) are purer than a
    screen can show and are cut off. Printed colour charts differ among each other just as much.

    Examples
    --------
    >>> (interference_colour(0) * 255).round().tolist()
    [0.0, 0.0, 0.0]
    >>> red, green, blue = interference_colour(0, plate=565e-9)  # the sensitive tint: violet
    >>> bool(blue > red > green)
    True

    References
    ----------
    Wyman, Sloan & Shirley 2013, Journal of Computer Graphics Techniques 2 (2), 1; CIE 15; IEC 61966-2-1;
    Sorensen 2013, European Journal of Mineralogy 25, 5.
    """
    delta = in_range("retardation", retardation, "m", -LARGEST_RETARDATION, LARGEST_RETARDATION)
    total = in_range(
        "retardation with the plate",
        np.abs(delta + _check_plate(plate)),
        "m",
        0,
        LARGEST_RETARDATION,
    )
    table = _colour_tables(0.0)[2]
    where = total / _STEP
    return _coded(np.stack([np.interp(where, np.arange(len(channel)), channel) for channel in table], -1))


def brightness(retardation: ArrayLike, wavelength: float = FULL_WAVE) -> Any:
    """Return the share of one-coloured light that crossed polarisers let through: sin^2(pi delta/lambda).

    Parameters
    ----------
    retardation : float or array
        Retardation delta, stress at 45 degrees to the polarisers [m], -10e-6 to 10e-6.
    wavelength : float
        Wavelength lambda of the light [m], 380e-9 to 780e-9.

    Returns
    -------
    float or array
        Share of the light between parallel polarisers without glass [-], 0 to 1.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    Ideal polarisers; what real ones leak has to be measured without glass and taken off.

    Examples
    --------
    >>> round(brightness(565e-9 / 4), 12)
    0.5

    References
    ----------
    Hecht, Optics, chapter on polarisation.
    """
    delta = in_range("retardation", retardation, "m", -LARGEST_RETARDATION, LARGEST_RETARDATION)
    return like_input(np.sin(np.pi * delta / _check_wavelength(wavelength)) ** 2)


def just_as_bright(retardation: float, end: float, wavelength: float = FULL_WAVE) -> np.ndarray:
    """Return the other retardations that light of one colour shows just as bright: N lambda +- delta.

    Parameters
    ----------
    retardation : float
        Retardation delta, stress at 45 degrees to the polarisers [m], -10e-6 to 10e-6.
    end : float
        Up to where they are wanted [m], 0 to 10e-6.
    wavelength : float
        Wavelength lambda of the light [m], 380e-9 to 780e-9.

    Returns
    -------
    array
        Retardations from 0 to `end`, rising, delta itself left out [m].

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    A photograph in one colour cannot tell them apart; the colour in white light can.

    Examples
    --------
    >>> (just_as_bright(100e-9, 1.2e-6) * 1e9).round().tolist()
    [465.0, 665.0, 1030.0]
    """
    light = _check_wavelength(wavelength)
    delta = (
        scalar_in_range("retardation", retardation, "m", -LARGEST_RETARDATION, LARGEST_RETARDATION) % light
    )
    last = scalar_in_range("end", end, "m", 0, LARGEST_RETARDATION)
    orders = np.arange(np.ceil(last / light) + 1) * light
    alike = np.unique(np.concatenate([orders + delta, orders - delta]))
    return alike[(alike >= 0) & (alike <= last) & ~np.isclose(alike, abs(retardation), rtol=0, atol=1e-12)]


def _check_wavelength(wavelength: float) -> float:
    return scalar_in_range("wavelength", wavelength, "m", 380e-9, 780e-9)


def retardation_from_analyser(angle: ArrayLike, order: ArrayLike = 0, wavelength: float = FULL_WAVE) -> Any:
    """Return the retardation from the turn of the analyser that makes a place dark: lambda (N + angle/180).

    Parameters
    ----------
    angle : float or array
        Turn of the analyser from its crossed position [degree], -180 to 180; positive for tension.
    order : int or array
        Whole fringes N between a dark place without stress and the place read [-], -10 to 10, with the sign
        of the angle.
    wavelength : float
        Wavelength lambda of the light [m], 380e-9 to 780e-9; 565e-9 stands for white light.

    Returns
    -------
    float or array
        Retardation [m], broadcast shape.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    With a quarter-wave plate made for that wavelength between glass and analyser, its axis along the
    polariser, and the stress at 45 degrees (de Senarmont, Friedel). The turn alone never shows the order:
    count the fringes from a place known to be free of stress, or look at the colours. 3.14 nm a degree at
    565 nm.

    Examples
    --------
    >>> print(f"{retardation_from_analyser(10) * 1e9:.1f} nm")
    31.4 nm

    References
    ----------
    ASTM F218; ASTM C148, method B.
    """
    turn = in_range("angle", angle, "degree", -180, 180)
    fringes = in_range("order", order, "", -10, 10)
    light = scalar_in_range("wavelength", wavelength, "m", 380e-9, 780e-9)
    return like_input(light * (fringes + turn / 180))


def analyser_angle(retardation: ArrayLike, wavelength: float = FULL_WAVE) -> Any:
    """Return how far the analyser must be turned to make a place dark: 180 delta/lambda.

    Parameters
    ----------
    retardation : float or array
        Retardation delta [m], -10e-6 to 10e-6.
    wavelength : float
        Wavelength lambda of the light [m], 380e-9 to 780e-9.

    Returns
    -------
    float or array
        Angle [degree]; beyond 180 a whole fringe has passed.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    As for `retardation_from_analyser`, of which it is the inverse.

    Examples
    --------
    >>> round(analyser_angle(22.8e-9), 2)
    7.26

    References
    ----------
    ASTM F218.
    """
    delta = in_range("retardation", retardation, "m", -10e-6, 10e-6)
    light = scalar_in_range("wavelength", wavelength, "m", 380e-9, 780e-9)
    return like_input(180 * delta / light)


# ------------------------------------------------------------------ pictures


@dataclass(frozen=True, eq=False)
class View:
    """What one sees through a piece of glass: how much each point retards light, and in which direction.

    Parameters
    ----------
    x : array
        Places of the columns, left to right [m], -1 to 1.
    y : array
        Places of the rows, top to bottom [m], -1 to 1.
    retardation : array
        Retardation [m], 0 to 10e-6, shape (rows, columns).
    axis : array
        Direction of the slow axis, anticlockwise from x [degree], -180 to 180, shape (rows, columns): in
        soda-lime glass the direction of the larger tension (or smaller compression).

    Raises
    ------
    ValueError
        If there is more retardation than a picture can show.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> spot_view(1e-4, glass("float"), radius=0.01, thickness=0.006, pixels=100).retardation.shape
    (100, 100)
    """

    x: np.ndarray
    y: np.ndarray
    retardation: np.ndarray
    axis: np.ndarray

    def __post_init__(self) -> None:
        largest = float(self.retardation.max())
        if not largest <= LARGEST_RETARDATION:
            raise ValueError(
                f"the retardation reaches {largest * 1e9:.0f} nm; allowed is up to "
                f"{LARGEST_RETARDATION * 1e9:.0f} nm: no colours are left there. "
                "Use less mismatch or thinner glass"
            )


def _view(x: np.ndarray, y: np.ndarray, difference: np.ndarray, shear: np.ndarray, optics: float) -> View:
    """Build a view from sigma_xx - sigma_yy and sigma_xy, `optics` = C x path."""
    dx, dy = optics * difference, 2 * optics * shear
    return View(x, y, np.hypot(dx, dy), np.degrees(0.5 * np.arctan2(dy, dx)))


def _pixels(size: float, count: int) -> np.ndarray:
    return (np.arange(count) + 0.5) * (size / count)


def _check_pixels(pixels: int) -> int:
    if not isinstance(pixels, int | np.integer) or not 10 <= pixels <= 2000:
        raise ValueError(f"pixels must be a whole number, 10 to 2000, got {pixels!r}")
    return int(pixels)


def spot_view(
    mismatch: float,
    sheet: Glass,
    radius: float,
    thickness: float,
    field: float | None = None,
    pixels: int = 300,
) -> View:
    """Return the view of a round spot of another glass in a large sheet, seen from above.

    Inside, the stress is the same in every direction: dark. Outside, radial -p (r0/r)^2 and round the spot
    +p (r0/r)^2, with p = E mismatch/2 (Lame).

    Parameters
    ----------
    mismatch : float
        `mismatch_strain(sheet, spot)` [-], -0.01 to 0.01: positive when the sheet shrinks more.
    sheet : Glass
        The glass of the sheet; the spot is taken as equally stiff.
    radius : float
        Radius r0 of the spot [m], 0.5e-3 to 0.2.
    thickness : float
        Thickness of sheet and spot [m], 0.3e-3 to 0.15.
    field : float
        Side of the square that is seen [m], 1e-3 to 1; without it, four diameters.
    pixels : int
        Rows and columns of the picture [-], 10 to 2000.

    Returns
    -------
    View
        Retardation [m] and slow axis [degree], (pixels, pixels), the spot in the middle.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    As for `inclusion_stress`: the spot goes through the whole thickness and lies far from edges and from
    other spots. Within about one thickness of the rim the real stress is smoother.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> view = spot_view(1e-4, glass("float"), radius=0.01, thickness=0.006)
    >>> float(view.retardation[150, 150])  # inside
    0.0
    >>> print(f"{view.retardation.max() * 1e9:.0f} nm")  # at the rim
    113 nm

    References
    ----------
    Timoshenko & Goodier, Theory of Elasticity, thick-walled cylinder.
    """
    strain = scalar_in_range("mismatch", mismatch, "", -0.01, 0.01)
    r0 = scalar_in_range("radius", radius, "m", 0.5e-3, 0.2)
    t = scalar_in_range("thickness", thickness, "m", 0.3e-3, 0.15)
    pressure = inclusion_stress(strain, sheet).sheet_at_end
    return _halo(pressure, sheet, r0, t, 8 * r0 if field is None else field, pixels)


def _halo(pressure: float, glass: Glass, r0: float, path: float, field: float, pixels: int) -> View:
    """Dark inside r0; outside radial -p (r0/r)^2 and round the spot +p (r0/r)^2, in components."""
    side = scalar_in_range("field", field, "m", 1e-3, 2)
    across = _pixels(side, _check_pixels(pixels)) - side / 2
    x, y = across[None, :], -across[:, None]
    square = x * x + y * y
    fall = np.where(square > r0 * r0, r0 * r0 / square**2, 0)
    return _view(
        across,
        -across,
        -2 * pressure * fall * (x * x - y * y),
        -2 * pressure * fall * x * y,
        glass.stress_optic_coefficient * path,
    )


def strip_view(
    mismatch: float,
    sheet: Glass,
    length: float,
    width: float,
    depth: float,
    thickness: float,
    field: float | None = None,
    pixels: int = 300,
) -> View:
    """Return the view of a strip test from above: a strip of another glass, fused flush into a clear sheet.

    The stress is that of a rectangle which wants to be larger, in an endless sheet (Goodier):
    sigma_xx - sigma_yy = E eps (S_x - S_y)/(2 pi), with eps = mismatch x depth/thickness and S_x, S_y the
    sums of the angles under which a point sees the two ends and the two sides of the strip.

    Parameters
    ----------
    mismatch : float
        `mismatch_strain(sheet, strip)` [-], -0.01 to 0.01: positive when the sheet shrinks more.
    sheet : Glass
        The clear glass; the strip is taken as equally stiff.
    length : float
        Length of the strip, left to right [m], 1e-3 to 1.
    width : float
        Width of the strip [m], 1e-3 to 1.
    depth : float
        Thickness of the strip within the sheet [m], > 0 up to `thickness`.
    thickness : float
        Thickness of the sheet, strip included [m], 0.3e-3 to 0.15.
    field : float
        Side of the square that is seen [m], 1e-3 to 1; without it, 1.4 lengths.
    pixels : int
        Rows and columns of the picture [-], 10 to 2000.

    Returns
    -------
    View
        Retardation [m] and slow axis [degree], (pixels, pixels), the strip in the middle.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    The light adds up the stress through the whole thickness, and this sum is the same whether the sheet bends
    or not, because a sheet of even thickness can bend without stretching its middle. Compared with a 3-D
    finite element solution (strip 3 mm deep in a free sheet of 6 mm): within 6 % from a third of the
    thickness away from the outline of the strip, within 15 % at a sixth. The corners, where the closed form
    grows without limit, are smoothed over half a pixel.
    A strip that stands proud on its base bends it, which takes away most of the light: 3 mm on 3 mm, free to
    bend, shows 15 to 40 % of the retardation of 3 mm let into 6 (the same finite elements), in much the same
    pattern. Fuse a strip test fully, or read it through the edge.
    The sheet is much larger than the strip, and no other strip lies near.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> view = strip_view(1e-4, glass("float"), 0.060, 0.012, depth=0.003, thickness=0.006)
    >>> print(f"{view.retardation[150, 150] * 1e9:.0f} nm")  # in the middle of the strip
    42 nm

    References
    ----------
    Goodier 1937, Philosophical Magazine 23, 1017; Timoshenko & Goodier, Theory of Elasticity, thermal stress.
    """
    strain = scalar_in_range("mismatch", mismatch, "", -0.01, 0.01)
    a = scalar_in_range("length", length, "m", 1e-3, 1) / 2
    b = scalar_in_range("width", width, "m", 1e-3, 1) / 2
    t = scalar_in_range("thickness", thickness, "m", 0.3e-3, 0.15)
    share = scalar_in_range("depth", depth, "m", 0, t, open_low=True) / t
    side = scalar_in_range("field", 2.8 * a if field is None else field, "m", 1e-3, 2)
    across = _pixels(side, _check_pixels(pixels)) - side / 2
    x, y = across[None, :], -across[:, None]
    smooth = side / pixels / 4
    right, left, above, below = a - x, a + x, b - y, b + y
    right, left, above, below = (np.where(d == 0, 1e-12, d) for d in (right, left, above, below))
    ends = np.zeros((pixels, pixels))
    sides = np.zeros((pixels, pixels))
    for u in (right, left):
        for v in (above, below):
            angle = np.arctan(v / u)
            ends += angle
            sides += np.copysign(np.pi / 2, u * v) - angle  # arctan(u/v)

    def square(u: np.ndarray, v: np.ndarray) -> np.ndarray:
        return u * u + v * v + smooth * smooth

    corners = square(right, above) * square(left, below) / (square(left, above) * square(right, below))
    scale = sheet.youngs_modulus * strain * share / (2 * np.pi)
    return _view(
        across,
        -across,
        scale * (ends - sides),
        scale * 0.5 * np.log(corners),
        sheet.stress_optic_coefficient * t,
    )


def chip_view(
    mismatch: float,
    base: Glass,
    radius: float,
    thickness: float,
    base_thickness: float,
    field: float | None = None,
    pixels: int = 300,
) -> View:
    """Return the view from above of a round chip of another glass that stands fused on a large base.

    The stress in and under the chip is the same in every direction: dark. In the base around it the stress is
    radial -p (r0/r)^2 and round the chip +p (r0/r)^2, with p from `chip_stress`: the halo.

    Parameters
    ----------
    mismatch : float
        `mismatch_strain(base, chip)` [-], -0.01 to 0.01: positive when the base shrinks more.
    base : Glass
        The glass of the base; the chip is taken as equally stiff.
    radius : float
        Radius r0 of the chip [m], 0.5e-3 to 0.2.
    thickness : float
        Thickness of the chip, which stands on the base [m], 0.3e-3 to 0.15.
    base_thickness : float
        Thickness b of the base [m], 0.3e-3 to 0.15.
    field : float
        Side of the square that is seen [m], 1e-3 to 1; without it, four diameters.
    pixels : int
        Rows and columns of the picture [-], 10 to 2000.

    Returns
    -------
    View
        Retardation [m] and slow axis [degree], (pixels, pixels), the chip in the middle.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    The light adds up the stress through the thickness, so that the bending of the base does not show: the
    halo is weak, while the joint under the dark chip may be near breaking. How good it is stands with
    `chip_stress`; beside the rim, within half a thickness, the real halo is up to a quarter weaker and
    smoother. Near the edge of a real base it is cut short.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> view = chip_view(-2.8e-4, glass("kiln glass A"), radius=0.010, thickness=0.003, base_thickness=0.003)
    >>> print(f"{view.retardation.max() * 1e9:.0f} nm")  # just outside the rim
    26 nm

    References
    ----------
    As for `chip_stress`.
    """
    strain = scalar_in_range("mismatch", mismatch, "", -0.01, 0.01)
    r0 = scalar_in_range("radius", radius, "m", 0.5e-3, 0.2)
    b = scalar_in_range("base_thickness", base_thickness, "m", 0.3e-3, 0.15)
    t = scalar_in_range("thickness", thickness, "m", 0.3e-3, 0.15)
    pressure = chip_stress(strain, base, t, b).rim
    return _halo(pressure, base, r0, b, 8 * r0 if field is None else field, pixels)


def slab_profile(thickness: float, middle: float, points: int = 61) -> tuple[np.ndarray, np.ndarray]:
    """Return the stress through a slab that was cooled too fast: sigma = middle (1 - 3 (2z/d - 1)^2).

    Parameters
    ----------
    thickness : float
        Thickness d [m], 0.3e-3 to 0.15.
    middle : float
        Stress at mid-thickness, tension positive [Pa], -1e8 to 1e8; the faces have twice that, reversed.
    points : int
        How many heights [-], 21 to 1001.

    Returns
    -------
    tuple of two arrays
        Height z from the underside [m] and stress [Pa], as `edge_view` takes them.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    What a slab keeps that passed its annealing range at a steady rate; zero at 21 % of the thickness.

    Examples
    --------
    >>> z, stress = slab_profile(0.010, 1e6)
    >>> stress[[0, 30, 60]].tolist()
    [-2000000.0, 1000000.0, -2000000.0]

    References
    ----------
    Adams & Williamson 1920, Journal of the Franklin Institute 190, 597.
    """
    d = scalar_in_range("thickness", thickness, "m", 0.3e-3, 0.15)
    sigma = scalar_in_range("middle", middle, "Pa", -1e8, 1e8)
    count = int(scalar_in_range("points", points, "", 21, 1001))
    zeta = np.linspace(-1, 1, count)
    return d * (zeta + 1) / 2, sigma * (1 - 3 * zeta**2)


def edge_view(
    z: np.ndarray, stress: np.ndarray, glass: Glass, length: float, width: float, pixels: int = 300
) -> View:
    """Return the view through the edge of a bar or slab whose stress through the thickness is known.

    Far from the ends the stress is the profile sigma(z). Near a free end it fades: with F'' = sigma,
    sigma_xx = F'' f, sigma_zz = F f'', sigma_xz = -F' f' and f = 1 - exp(-p x)(cos q x + (p/q) sin q x),
    p^2 - q^2 = A1/A0, p^2 + q^2 = sqrt(A2/A0), where A0, A1, A2 are the integrals of F^2, F'^2, F''^2.

    Parameters
    ----------
    z : array
        Heights from the underside, rising; the same height twice where the stress jumps [m], 0 to 0.15.
    stress : array
        Stress along the bar at these heights, tension positive [Pa], -1e9 to 1e9. It must balance: no pull
        and no bending left over, as in a free bar.
    glass : Glass
        Its stress-optic coefficient is used.
    length : float
        Length of the bar, left to right, four thicknesses or more [m], 1e-3 to 2.
    width : float
        Way of the light through the bar, from one edge to the other [m], 1e-4 to 2.
    pixels : int
        Rows and columns of the picture [-], 10 to 2000.

    Returns
    -------
    View
        Retardation [m] and slow axis [degree], (pixels, pixels); it shows the bar from end to end and from
        the underside (last row) to the top.

    Raises
    ------
    ValueError
        If a number is outside its range, the heights do not rise, the profile does not balance, or the bar
        is too short.

    Notes
    -----
    The end has no traction anywhere and every point is in balance; how fast the stress fades follows from
    least energy (for a slab p = 2.075, q = 1.143 per half-thickness; exact 2.106, 1.125). Compared with a 2-D
    finite element solution: a slab within 5 % of its largest value everywhere; two layers within 5 % from
    half a thickness from the end on, nearer to it only within a third, because theory has a singularity
    where the joint meets the end.
    The bar is wide across the sheet and the light runs its whole width at the same stress: near the two
    edges where it enters and leaves, the real stress is up to a fifth lower, so that a bar four thicknesses
    wide reads 1 to 3 % low.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> bar = edge_view(*slab_profile(0.012, 1e6), glass("float"), length=0.08, width=0.05)
    >>> print(f"{bar.retardation[0, 150] * 1e9:.0f} nm")  # at the top face, mid-length
    267 nm
    >>> print(f"{bar.retardation[0, 0] * 1e9:.0f} nm")  # at the end
    0 nm

    References
    ----------
    Horvay 1953, Journal of Applied Mechanics 20, 87; Timoshenko & Goodier, Theory of Elasticity, energy
    methods.
    """
    heights = in_range("z", z, "m", 0, 0.15)
    sigma = in_range("stress", stress, "Pa", -1e9, 1e9)
    if heights.ndim != 1 or heights.shape != sigma.shape or len(heights) < 2 or (np.diff(heights) < 0).any():
        raise ValueError(
            "z and stress must be two rows of equal length, z rising from the underside to the top"
        )
    bar = scalar_in_range("length", length, "m", 1e-3, 2)
    path = scalar_in_range("width", width, "m", 1e-4, 2)
    count = _check_pixels(pixels)
    thickness = heights[-1] - heights[0]
    if not 0 < 4 * thickness <= bar:
        raise ValueError(
            f"length is {bar:g} m; the two ends reach one another unless it is four thicknesses, "
            f"{4 * thickness:g} m, or more"
        )
    rows = heights[-1] - _pixels(thickness, count)
    columns = _pixels(bar, count)
    optics = glass.stress_optic_coefficient * path
    largest = np.abs(sigma).max()
    if largest == 0:
        dark = np.zeros((count, count))
        return _view(columns, rows, dark, dark, optics)

    stress_function, (a0, a1, a2) = _stress_function(heights, sigma, largest)
    p = np.sqrt((np.sqrt(a2 / a0) + a1 / a0) / 2)
    q = np.sqrt((np.sqrt(a2 / a0) - a1 / a0) / 2)

    def fade(x: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        decay, both = np.exp(-p * x), (p * p + q * q) / q
        return (
            decay * (np.cos(q * x) + p / q * np.sin(q * x)),
            -decay * both * np.sin(q * x),
            decay * both * (p * np.sin(q * x) - q * np.cos(q * x)),
        )

    near, far = fade(columns), fade(bar - columns)
    f, slope, bend = 1 - near[0] - far[0], -near[1] + far[1], -near[2] - far[2]
    profile, first, second = (part[:, None] for part in stress_function(rows))
    return _view(columns, rows, profile * f - second * bend, -first * slope, optics)


def _stress_function(
    heights: np.ndarray, sigma: np.ndarray, largest: float
) -> tuple[Callable[[np.ndarray], np.ndarray], tuple[float, float, float]]:
    """Return sigma and its integrals F' and F as a function of z; and the integrals of F^2, F'^2, F''^2."""
    keep = np.diff(heights) > 0
    low, step = heights[:-1][keep], np.diff(heights)[keep]
    left, slope = sigma[:-1][keep], np.diff(sigma)[keep] / step
    thickness = heights[-1] - heights[0]

    def at(z: np.ndarray) -> np.ndarray:
        first = np.cumsum(left * step + slope * step**2 / 2)
        first = np.concatenate([[0.0], first[:-1]])
        second = np.cumsum(first * step + left * step**2 / 2 + slope * step**3 / 6)
        second = np.concatenate([[0.0], second[:-1]])
        i = np.clip(np.searchsorted(low, z, side="right") - 1, 0, len(low) - 1)
        d = z - low[i]
        return np.array(
            [
                left[i] + slope[i] * d,
                first[i] + left[i] * d + slope[i] * d**2 / 2,
                second[i] + first[i] * d + left[i] * d**2 / 2 + slope[i] * d**3 / 6,
            ]
        )

    _, pull, turn = at(heights[-1:])[:, 0] / [1, thickness, thickness**2]
    turn -= pull / 2
    if max(abs(pull), 6 * abs(turn)) > 0.03 * largest:
        raise ValueError(
            f"stress must balance through the thickness, as in a free bar; a mean of {pull / 1e6:.3g} MPa "
            f"and a bending stress of {6 * abs(turn) / 1e6:.3g} MPa at the faces are left over"
        )
    # what rounding leaves over is taken off, so that F and F' vanish at both faces
    left = left - pull + 12 * turn * ((low - heights[0]) / thickness - 0.5)
    slope = slope + 12 * turn / thickness
    nodes, weights = np.polynomial.legendre.leggauss(4)
    z = (low[:, None] + step[:, None] * (nodes + 1) / 2).ravel()
    w = (step[:, None] * weights / 2).ravel()
    a2, a1, a0 = (float(w @ part**2) for part in at(z))
    return at, (a0, a1, a2)


def polariscope_image(view: View, polariser: float = 45.0, plate: float = 0.0) -> np.ndarray:
    """Return the picture in daylight between crossed polarisers: light sin^2(2 theta) sin^2(pi delta/lambda).

    With a plate, the light of glass and plate one behind the other (Jones): retardations add where the two
    slow axes are parallel and subtract where they are crossed.

    Parameters
    ----------
    view : View
        From `spot_view`, `strip_view` or `edge_view`.
    polariser : float
        Direction of the first polariser, anticlockwise from x [degree], -360 to 360; the second is crossed.
    plate : float
        Retardation of the full-wave plate [m], 0 to 1.2e-6: 0 without one, usually 565e-9. Its slow axis lies
        45 degrees clockwise from the first polariser: along x when `polariser` is 45.

    Returns
    -------
    array
        sRGB picture [-], uint8, shape (rows, columns, 3), top row first.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    Ideal polarisers, parallel light, daylight D65, white as for `interference_colour`. With the plate and
    tension along its slow axis the violet turns blue and green, with compression orange and yellow.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> view = spot_view(1e-4, glass("float"), radius=0.01, thickness=0.006)
    >>> picture = polariscope_image(view, polariser=0)
    >>> picture.shape, picture.dtype.name, int(picture[150, 150].max())  # equal stress all round: black
    ((300, 300, 3), 'uint8', 0)

    References
    ----------
    As for `interference_colour`.
    """
    angle = scalar_in_range("polariser", polariser, "degree", -360, 360)
    t0, t1, t2 = _colour_tables(_check_plate(plate))
    step = (view.retardation * (1 / _STEP) + 0.5).astype(np.intp)
    s = np.sin(np.radians(2 * (angle - view.axis))).astype(np.float32)
    picture = np.empty((*step.shape, 3), dtype=np.uint8)
    for colour in range(3):
        light = t2[colour].take(step) * (s * s)
        if plate:
            light += t1[colour].take(step) * s + t0[colour]
        np.clip(light, 0, 1, out=light)
        picture[..., colour] = _screen_codes().take((light * (_SHADES - 1)).astype(np.intp))
    return picture
