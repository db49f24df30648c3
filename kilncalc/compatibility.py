"""Do two glasses agree? Mismatch, the stress it leaves, what crossed polarisers show, tests read back.

Everywhere tension is positive, and a mismatch is positive when the first glass named shrinks more in cooling
and so ends in tension.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from kilncalc import _resources
from kilncalc._polariscope import (
    FULL_WAVE,
    View,
    brightness,
    edge_view,
    interference_colour,
    polariscope_image,
    retardation,
    retardation_from_brightness,
    slab_profile,
    spot_view,
    strip_view,
)
from kilncalc._ranges import ArrayLike, in_range, like_input, scalar_in_range
from kilncalc.materials import Glass

__all__ = [
    "FULL_WAVE",
    "Bilayer",
    "Inclusion",
    "Laminate",
    "Reading",
    "View",
    "allowed_mismatch",
    "analyse_strip_tests",
    "analyser_angle",
    "bilayer",
    "bow_from_curvature",
    "brightness",
    "curvature_from_bow",
    "edge_view",
    "inclusion_stress",
    "interference_colour",
    "laminate",
    "mismatch_strain",
    "polariscope_image",
    "read_bow",
    "read_edge",
    "real_temper_number",
    "retardation",
    "retardation_from_analyser",
    "retardation_from_brightness",
    "setting_temperature",
    "share_of_limit",
    "slab_profile",
    "soda_lime_glasses",
    "spot_view",
    "strip_tests",
    "strip_view",
]

ALLOWED_TENSION = 3.5e6
"""Tension glass may carry for good, with an edge factor and an abraded surface (after EN 16612) [Pa]."""

_THICKNESS = ("m", 0.3e-3, 0.15)


# ------------------------------------------------------------------ mismatch


def setting_temperature(*glasses: Glass) -> float:
    """Return the temperature at which glasses fused together begin to pull on one another: the lowest middle
    of strain and annealing point, T_set = min (T_strain + T_annealing)/2.

    Parameters
    ----------
    *glasses : Glass
        One glass or more.

    Returns
    -------
    float
        Setting temperature [degC].

    Raises
    ------
    ValueError
        Without any glass.

    Notes
    -----
    Above it at least one of them still flows within minutes and lets go of any stress; so the glass that sets
    last decides. To see what the choice does, give `mismatch_strain` another `setting`. Glass sets over a
    range, not at a point: half the distance between strain and annealing point, about 20 K, is the
    uncertainty, 4 % of the stress. The slower the cooling, the lower it sets.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> setting_temperature(glass("float"), glass("kiln glass A"))
    493.5

    References
    ----------
    Varshneya 1980, The set point of glass in glass-to-metal sealing, Journal of the American Ceramic Society
    63, 311.
    """
    if not glasses:
        raise ValueError("setting_temperature needs at least one glass")
    return min((each.strain_point + each.annealing_point) / 2 for each in glasses)


def mismatch_strain(
    a: Glass | ArrayLike, b: Glass | ArrayLike, room: float = 20.0, setting: ArrayLike | None = None
) -> Any:
    """Return how much more glass a shrinks than glass b, from the setting temperature to room temperature.

    eps = integral of (alpha_a - alpha_b) dT; with one mean expansion for each glass it is
    (alpha_a - alpha_b)(T_set - T_room).

    Parameters
    ----------
    a, b : Glass, float or array
        The two glasses, or their expansions [1/K], 0.3e-6 to 20e-6; with bare expansions `setting` is needed.
    room : float
        Room temperature [degC], -20 to 50.
    setting : float or array
        Where they begin to pull on one another [degC], 200 to 1200; without it, `setting_temperature(a, b)`.

    Returns
    -------
    float or array
        Mismatch strain [-]; positive puts a in tension after cooling.

    Raises
    ------
    ValueError
        If a number is outside its range, or no setting temperature is known.

    Notes
    -----
    A label gives the mean expansion from room temperature to 300 degC; above, glass expands more, most of all
    near its strain point, and not all glasses alike. Two labels that agree therefore promise little, and one
    label can stand for glasses that differ. Only a fired test decides.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> print(f"{mismatch_strain(glass('kiln glass B'), glass('kiln glass A')):.3e}")
    2.841e-04

    References
    ----------
    Timoshenko 1925, Journal of the Optical Society of America 11, 233.
    """
    if setting is None:
        if not (isinstance(a, Glass) and isinstance(b, Glass)):
            raise ValueError("setting is needed, in degC, when an expansion is given instead of a glass")
        setting = setting_temperature(a, b)
    warm = in_range("setting", setting, "degC", 200, 1200)
    cold = scalar_in_range("room", room, "degC", -20, 50)
    return like_input((_expansion("a", a) - _expansion("b", b)) * (warm - cold))


def _expansion(name: str, glass: Glass | ArrayLike) -> np.ndarray:
    if isinstance(glass, Glass):
        return np.asarray(glass.expansion)
    return in_range(f"expansion {name}", glass, "1/K", 0.3e-6, 20e-6)


def _check_mismatch(mismatch: ArrayLike) -> np.ndarray:
    hint = "A mismatch is a strain: expansion difference times some 470 K, for example 0.0002."
    return in_range("mismatch", mismatch, "", -0.01, 0.01, hint=lambda bad: hint)


# ------------------------------------------------------------------ layers


@dataclass(frozen=True, eq=False)
class Bilayer:
    """Stress and shape of two glasses fused face to face, glass a below.

    Parameters
    ----------
    curvature : float or array
        Curvature, 1/radius [1/m], -100 to 100; positive: glass a lies on the inside of the bend, so that with
        a below the stack arches and its middle stands clear of the table.
    a_outer, a_joint, b_joint, b_outer : float or array
        Stress at the free face of a, in a and in b where they meet, at the free face of b [Pa], -1e9 to 1e9.
    thickness_a, thickness_b : float or array
        Thicknesses [m], 0.3e-3 to 0.15.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> stack = bilayer(2.5e-4, 0.003, 0.003, glass("float"), form="beam")
    >>> print(f"{1 / stack.curvature:.1f} m, {stack.a_joint / 1e6:.2f} MPa, {stack.a_outer / 1e6:.2f} MPa")
    16.0 m, 8.75 MPa, -4.38 MPa
    """

    curvature: Any
    a_outer: Any
    a_joint: Any
    b_joint: Any
    b_outer: Any
    thickness_a: Any
    thickness_b: Any

    @property
    def largest_tension(self) -> Any:
        """The largest tension at any of the four faces [Pa]."""
        return like_input(np.max([self.a_outer, self.a_joint, self.b_joint, self.b_outer], axis=0))

    def profile(self) -> tuple[np.ndarray, np.ndarray]:
        """Return the stress through one stack from the underside up, straight in each glass.

        Returns
        -------
        tuple of two arrays
            Height z [m] and stress [Pa], 4 values each; the joint comes twice.

        Raises
        ------
        ValueError
            If this is not one stack but an array of them.
        """
        if np.ndim(self.a_outer):
            raise ValueError("profile shows one stack; this result holds an array of them")
        joint, top = self.thickness_a, self.thickness_a + self.thickness_b
        return (
            np.array([0.0, joint, joint, top]),
            np.array([self.a_outer, self.a_joint, self.b_joint, self.b_outer]),
        )


def bilayer(
    mismatch: ArrayLike,
    thickness_a: ArrayLike,
    thickness_b: ArrayLike,
    a: Glass,
    b: Glass | None = None,
    bending: str = "free",
    form: str = "plate",
) -> Bilayer:
    """Return stress and curvature of two glasses fused face to face (Timoshenko).

    Free: 1/rho = 6 eps (1 + m)^2/(h [3 (1 + m)^2 + (1 + m n)(m^2 + 1/(m n))]), m = t_a/t_b, n = E_a/E_b,
    h = t_a + t_b. They pull on one another with P = (E_a t_a^3 + E_b t_b^3)/(6 h rho) a width; stress
    P/t_a +- E_a t_a/(2 rho) in a, -P/t_b +- E_b t_b/(2 rho) in b.
    Flat: sigma_a = eps/(1/E_a + t_a/(E_b t_b)), sigma_b = -sigma_a t_a/t_b.

    Parameters
    ----------
    mismatch : float or array
        `mismatch_strain(a, b)` [-], -0.01 to 0.01.
    thickness_a, thickness_b : float or array
        Thickness of each glass [m], 0.3e-3 to 0.15.
    a : Glass
        The first glass, below.
    b : Glass
        The second; without it, as stiff as a.
    bending : str
        "free" to bend, or held "flat".
    form : str
        "plate": wider than about five thicknesses, E becomes E/(1 - nu); or narrow "beam".

    Returns
    -------
    Bilayer
        Curvature [1/m] and stresses [Pa], broadcast shape.

    Raises
    ------
    ValueError
        If a number is outside its range or a word is another one.

    Notes
    -----
    Elastic, joined without a gap, away from the rim. Within about one thickness of the rim the stress fades,
    and there the joint is pulled open or sheared as well. Ground or chipped edges break first.
    The outer face of the glass in tension is in *compression* when a stack of two like thicknesses is free to
    bend: the joint is where it hurts.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> stack = bilayer(2.841e-4, 0.003, 0.003, glass("kiln glass B"), glass("kiln glass A"), bending="flat")
    >>> bool(stack.a_outer == stack.a_joint == -stack.b_joint)
    True

    References
    ----------
    Timoshenko 1925, Analysis of bi-metal thermostats, Journal of the Optical Society of America 11, 233.
    """
    strain = _check_mismatch(mismatch)
    t_a = in_range("thickness_a", thickness_a, *_THICKNESS)
    t_b = in_range("thickness_b", thickness_b, *_THICKNESS)
    free = _check_bending(bending)
    unit = _unit_bilayer(t_a, t_b, _stiffness(a, form), _stiffness(b or a, form), free)
    curvature, a_outer, a_joint, b_joint, b_outer = (like_input(strain * each) for each in unit)
    return Bilayer(curvature, a_outer, a_joint, b_joint, b_outer, like_input(t_a), like_input(t_b))


def _unit_bilayer(t_a: Any, t_b: Any, e_a: Any, e_b: Any, free: bool) -> tuple[Any, Any, Any, Any, Any]:
    """Curvature, then stress at a's face, a's joint, b's joint, b's face, for a mismatch of 1."""
    h = t_a + t_b
    if not free:
        sigma_a = 1 / (1 / e_a + t_a / (e_b * t_b))
        sigma_b = -sigma_a * t_a / t_b
        return 0.0 * h, sigma_a, sigma_a, sigma_b, sigma_b
    m, n = t_a / t_b, e_a / e_b
    curvature = 6 * (1 + m) ** 2 / (h * (3 * (1 + m) ** 2 + (1 + m * n) * (m**2 + 1 / (m * n))))
    pull = (e_a * t_a**3 + e_b * t_b**3) * curvature / (6 * h)
    bend_a, bend_b = e_a * t_a * curvature / 2, e_b * t_b * curvature / 2
    return curvature, pull / t_a - bend_a, pull / t_a + bend_a, -pull / t_b - bend_b, -pull / t_b + bend_b


def _stiffness(glass: Glass, form: str) -> float:
    if form == "plate":
        return glass.youngs_modulus / (1 - glass.poissons_ratio)
    if form == "beam":
        return glass.youngs_modulus
    raise ValueError(f'form must be "plate" or "beam", got {form!r}')


def _check_bending(bending: str) -> bool:
    if bending not in ("free", "flat"):
        raise ValueError(f'bending must be "free" or "flat", got {bending!r}')
    return bending == "free"


@dataclass(frozen=True, eq=False)
class Laminate:
    """Stress and shape of a stack of layers, the first one at the bottom.

    Parameters
    ----------
    curvature : float
        Curvature, 1/radius [1/m], -100 to 100; positive: the stack arches, its middle clear of the table.
    bottom, top : array
        Stress at the lower and upper face of each layer [Pa], -1e9 to 1e9.
    thickness : array
        Thickness of each layer [m], 0.3e-3 to 0.15.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> stack = laminate([2e-4, 0, 2e-4], [0.002, 0.004, 0.002], [glass("float")] * 3)
    >>> print(f"{stack.top[1] / 1e6:.3f} MPa in the middle layer")
    -8.750 MPa in the middle layer
    """

    curvature: float
    bottom: np.ndarray
    top: np.ndarray
    thickness: np.ndarray

    @property
    def largest_tension(self) -> float:
        """The largest tension at any face [Pa]."""
        return float(max(self.bottom.max(), self.top.max()))

    def profile(self) -> tuple[np.ndarray, np.ndarray]:
        """Return the stress through the stack from the underside up, straight in each layer.

        Returns
        -------
        tuple of two arrays
            Height z [m] and stress [Pa], two values a layer; every joint comes twice.
        """
        upper = np.cumsum(self.thickness)
        z = np.column_stack([upper - self.thickness, upper]).ravel()
        z[2::2] = z[1:-1:2]  # the very same number on both sides of a joint
        return z, np.column_stack([self.bottom, self.top]).ravel()


def laminate(
    mismatch: ArrayLike,
    thickness: ArrayLike,
    glasses: Sequence[Glass],
    bending: str = "free",
    form: str = "plate",
) -> Laminate:
    """Return stress and curvature of any number of layers: sigma_i = E_i (e0 + kappa z + eps_i).

    Balance of pull and bending, sum of integral sigma dz = 0 and sum of integral sigma z dz = 0, gives the
    common e0 and kappa; held flat, kappa = 0 and only the pull balances.

    Parameters
    ----------
    mismatch : array
        For each layer from the bottom up, `mismatch_strain(layer, reference)` [-], -0.01 to 0.01; any one
        glass serves as reference.
    thickness : array
        Thickness of each layer [m], 0.3e-3 to 0.15.
    glasses : sequence of Glass
        The glass of each layer: its stiffness is used.
    bending : str
        "free" to bend, or held "flat".
    form : str
        "plate": E becomes E/(1 - nu); or narrow "beam".

    Returns
    -------
    Laminate
        Curvature [1/m] and stresses [Pa], one for each layer.

    Raises
    ------
    ValueError
        If a number is outside its range, the three lists differ in length, or a word is another one.

    Notes
    -----
    As for `bilayer`. A stack that is the same from above as from below stays flat by itself.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> stack = laminate([2e-4, 0], [0.003, 0.003], [glass("float")] * 2)
    >>> print(f"{stack.curvature:.4f} per metre")
    0.0500 per metre

    References
    ----------
    Timoshenko 1925, Journal of the Optical Society of America 11, 233 (two layers); classical lamination
    theory.
    """
    strain = _check_mismatch(mismatch)
    t = in_range("thickness", thickness, *_THICKNESS)
    free = _check_bending(bending)
    if not (strain.ndim == t.ndim == 1 and len(strain) == len(t) == len(glasses) > 0):
        raise ValueError(
            f"mismatch, thickness and glasses must name the same layers; got {strain.size}, {t.size} and "
            f"{len(glasses)}"
        )
    e = np.array([_stiffness(each, form) for each in glasses])
    top = np.cumsum(t)
    bottom = top - t
    s0, s1, s2 = e * t, e * (top**2 - bottom**2) / 2, e * (top**3 - bottom**3) / 3
    if free:
        balance = np.array([[s0.sum(), s1.sum()], [s1.sum(), s2.sum()]])
        e0, kappa = np.linalg.solve(balance, [-(s0 @ strain), -(s1 @ strain)])
    else:
        e0, kappa = -(s0 @ strain) / s0.sum(), 0.0
    return Laminate(float(kappa), e * (e0 + kappa * bottom + strain), e * (e0 + kappa * top + strain), t)


# ------------------------------------------------------------------ a piece of one glass let into another


@dataclass(frozen=True)
class Inclusion:
    """Stress in and round a piece of one glass let into a large sheet of another.

    Parameters
    ----------
    along, across : float or array
        Stress inside, along and across the long direction [Pa], -1e9 to 1e9.
    sheet_at_end, sheet_at_side : float or array
        Stress in the sheet just outside, round the tip of the long direction and beside the middle, running
        along the outline [Pa], -1e9 to 1e9. Square to the outline it is `along` and `across`.
    """

    along: Any
    across: Any
    sheet_at_end: Any
    sheet_at_side: Any

    @property
    def largest_tension(self) -> Any:
        """The largest tension inside or outside [Pa]."""
        return like_input(np.max([self.along, self.across, self.sheet_at_end, self.sheet_at_side], axis=0))


def inclusion_stress(
    mismatch: ArrayLike, sheet: Glass, shape: str = "spot", aspect: ArrayLike | None = None
) -> Inclusion:
    """Return the stress in and round a spot, a strip or an inlay in a large sheet of another glass.

    An ellipse of length/width r: inside, along -E eps r/(1 + r), across -E eps/(1 + r), the same everywhere;
    outside at the outline the stress along it is +E eps r/(1 + r) at the tips, +E eps/(1 + r) beside the
    middle. A spot has r = 1 (p = E eps/2, Lame), a long strip r without end (-E eps along, nothing across).

    Parameters
    ----------
    mismatch : float or array
        `mismatch_strain(sheet, piece)` [-], -0.01 to 0.01: positive when the piece wants to be larger than
        its hole, so that the sheet is pulled round it.
    sheet : Glass
        The glass of the sheet; the piece is taken as equally stiff.
    shape : str
        "spot" (round), "strip" (long) or "inlay" (an ellipse; say its `aspect`).
    aspect : float or array
        Length divided by width of an inlay [-], 1 to 1000.

    Returns
    -------
    Inclusion
        Stresses [Pa], broadcast shape.

    Raises
    ------
    ValueError
        If a number is outside its range, a word is another one, or `aspect` is missing or not wanted.

    Notes
    -----
    Plane stress: the piece goes through the whole thickness, flush, and the sheet is large (at a distance of
    three radii from a spot a ninth of the stress is left). A piece that takes only a share of the thickness
    counts with that share on average; it bends the sheet besides. Letters are not ellipses: at a square inner
    corner the stress is higher still, and rounding it helps. Stiffness of the two within a few per cent.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> spot = inclusion_stress(1e-4, glass("float"))
    >>> print(f"inside {spot.along / 1e6:.2f}, sheet {spot.sheet_at_end / 1e6:+.2f} MPa")
    inside -3.50, sheet +3.50 MPa

    References
    ----------
    Eshelby 1957, Proceedings of the Royal Society A 241, 376; Goodier 1937, Philosophical Magazine 23, 1017;
    Timoshenko & Goodier, Theory of Elasticity (Lame).
    """
    pressure = sheet.youngs_modulus * _check_mismatch(mismatch)
    if shape not in ("spot", "strip", "inlay"):
        raise ValueError(f'shape must be "spot", "strip" or "inlay", got {shape!r}')
    if (shape == "inlay") != (aspect is not None):
        raise ValueError('aspect, length divided by width, belongs to shape "inlay" and only to it')
    if shape == "strip":
        length_share = np.asarray(1.0)
    else:
        r = in_range("aspect", 1.0 if aspect is None else aspect, "", 1, 1000)
        length_share = r / (1 + r)
    along = like_input(-pressure * length_share)
    across = like_input(-pressure * (1 - length_share))
    return Inclusion(along, across, like_input(-np.asarray(along)), like_input(-np.asarray(across)))


# ------------------------------------------------------------------ limits


def share_of_limit(stress: ArrayLike, allowed_tension: ArrayLike = ALLOWED_TENSION) -> Any:
    """Return a stress as a share of the tension that is allowed, with its sign: sigma/sigma_allowed.

    Parameters
    ----------
    stress : float or array
        Stress, tension positive [Pa], -1e9 to 1e9.
    allowed_tension : float or array
        Tension the glass may carry for good [Pa], 0.1e6 to 50e6.

    Returns
    -------
    float or array
        Share [-], broadcast shape: above 1 too much tension, below 0 compression.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    Glass breaks from tension at a flaw in its surface. Compression is no danger where it is (a face in
    compression is harder to break), but it is paid for by tension elsewhere: look for that. The default comes
    from 45 MPa for new float, times 0.29 for a load that stays, 0.8 for an edge, 0.6 for a scratched surface,
    divided by 1.8. It is a limit for judging, not for structures that carry people.

    Examples
    --------
    >>> share_of_limit([1.75e6, -7e6]).tolist()
    [0.5, -2.0]

    References
    ----------
    EN 16612.
    """
    sigma = in_range("stress", stress, "Pa", -1e9, 1e9)
    return like_input(sigma / _check_allowed(allowed_tension))


def _check_allowed(allowed_tension: ArrayLike) -> np.ndarray:
    return in_range(
        "allowed_tension",
        allowed_tension,
        "Pa",
        0.1e6,
        50e6,
    )


def allowed_mismatch(
    thickness_a: ArrayLike,
    thickness_b: ArrayLike,
    a: Glass,
    b: Glass | None = None,
    allowed_tension: ArrayLike = ALLOWED_TENSION,
    bending: str = "free",
    form: str = "plate",
) -> tuple[Any, Any]:
    """Return how far apart two glasses may be: eps = sigma_allowed/(largest tension for a mismatch of 1).

    Parameters
    ----------
    thickness_a, thickness_b : float or array
        Thickness of each glass [m], 0.3e-3 to 0.15.
    a : Glass
        The first glass.
    b : Glass
        The second; without it, as stiff as a.
    allowed_tension : float or array
        Tension the glass may carry for good [Pa], 0.1e6 to 50e6.
    bending : str
        "free" to bend, or held "flat".
    form : str
        "plate" or narrow "beam".

    Returns
    -------
    tuple of two floats or arrays
        The most negative mismatch strain (b in tension at the joint) and the most positive one (a in tension)
        [-], broadcast shape. Divided by the cooling from setting to room temperature they are expansion
        differences.

    Raises
    ------
    ValueError
        If a number is outside its range or a word is another one.

    Notes
    -----
    Away from the rim, as for `bilayer`. A thin layer can be far off as long as it is the one in compression.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> low, high = allowed_mismatch(0.003, 0.003, glass("kiln glass A"))
    >>> print(f"{low / 473.5 * 1e7:.1f} to {high / 473.5 * 1e7:+.1f} x 1e-7 per K")
    -1.6 to +1.6 x 1e-7 per K

    References
    ----------
    Timoshenko 1925, Journal of the Optical Society of America 11, 233.
    """
    t_a = in_range("thickness_a", thickness_a, *_THICKNESS)
    t_b = in_range("thickness_b", thickness_b, *_THICKNESS)
    limit = _check_allowed(allowed_tension)
    free = _check_bending(bending)
    unit = _unit_bilayer(t_a, t_b, _stiffness(a, form), _stiffness(b or a, form), free)
    faces = np.stack(np.broadcast_arrays(*unit[1:]))
    return like_input(limit / faces.min(axis=0)), like_input(limit / faces.max(axis=0))


# ------------------------------------------------------------------ tests read back


def curvature_from_bow(bow: ArrayLike, span: ArrayLike) -> Any:
    """Return the curvature from the gap under a straight edge: kappa = 8 b/(s^2 + 4 b^2).

    Parameters
    ----------
    bow : float or array
        Largest gap b between the straight edge and the hollow side, in the middle of the span
        [m], -0.05 to 0.05; the sign is carried over to the curvature.
    span : float or array
        Distance s of the two points where the straight edge rests [m], 0.02 to 2.

    Returns
    -------
    float or array
        Curvature [1/m], broadcast shape.

    Raises
    ------
    ValueError
        If a number is outside its range, or the bow is deeper than half the span.

    Notes
    -----
    A circle through three points. Lay the straight edge on the hollow side and find the thickest feeler gauge
    that passes under its middle; turn the bar over to see that the other side is round. A bar that was
    not flat before it was fused, or sagged in the kiln, spoils the test: fuse one of two equal strips of the
    same glass beside it.

    Examples
    --------
    >>> print(f"{1 / curvature_from_bow(0.25e-3, 0.180):.2f} m")
    16.20 m

    References
    ----------
    Geometry of the circle (sagitta).
    """
    b = in_range("bow", bow, "m", -0.05, 0.05)
    s = in_range("span", span, "m", 0.02, 2)
    if (2 * np.abs(b) > s).any():
        raise ValueError("bow is more than half the span; no arc is that deep. Are bow and span swapped?")
    return like_input(_curvature(b, s))


def _curvature(bow: Any, span: Any) -> Any:
    return 8 * bow / (span**2 + 4 * bow**2)


def bow_from_curvature(curvature: ArrayLike, span: ArrayLike) -> Any:
    """Return the gap under a straight edge: b = kappa s^2/4/(1 + sqrt(1 - kappa^2 s^2/4)).

    Parameters
    ----------
    curvature : float or array
        Curvature kappa [1/m], -100 to 100.
    span : float or array
        Distance s of the two points where the straight edge rests [m], 0.02 to 2.

    Returns
    -------
    float or array
        Gap b in the middle [m], broadcast shape, with the sign of the curvature.

    Raises
    ------
    ValueError
        If a number is outside its range, or the span is longer than the circle is wide.

    Notes
    -----
    The inverse of `curvature_from_bow`; nearly kappa s^2/8 for shallow arcs.

    Examples
    --------
    >>> print(f"{bow_from_curvature(1 / 16, 0.180) * 1e3:.3f} mm")
    0.253 mm

    References
    ----------
    Geometry of the circle (sagitta).
    """
    kappa = in_range("curvature", curvature, "1/m", -100, 100)
    s = in_range("span", span, "m", 0.02, 2)
    root = 1 - (kappa * s / 2) ** 2
    if (root < 0).any():
        raise ValueError("span is longer than the circle of this curvature is wide")
    return like_input(kappa * s**2 / 4 / (1 + np.sqrt(root)))


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


def real_temper_number(apparent: ArrayLike, thickness: ArrayLike) -> Any:
    """Return the temper number that does not depend on thickness: real = apparent x 4.06 mm/t.

    Parameters
    ----------
    apparent : float or array
        Temper number as read in the polariscope [-], 0 to 15.
    thickness : float or array
        Way t of the light through the glass where it was read [m], 0.3e-3 to 0.15.

    Returns
    -------
    float or array
        Real temper number [-], broadcast shape.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    Made for bottoms of soda-lime containers. A number stands for 22.8 nm, 7.3 degrees of the analyser.

    Examples
    --------
    >>> real_temper_number(4, 8.12e-3)
    2.0

    References
    ----------
    ASTM C148.
    """
    number = in_range("apparent", apparent, "", 0, 15)
    t = in_range("thickness", thickness, *_THICKNESS)
    return like_input(number * 4.06e-3 / t)


@dataclass(frozen=True, eq=False)
class Reading:
    """What a test bar says about two glasses, and how sure it is.

    Parameters
    ----------
    stress : float or array
        Stress in glass a at the joint [Pa], -1e9 to 1e9.
    mismatch : float or array
        Mismatch strain, positive when a shrinks more [-], -0.01 to 0.01.
    difference : float or array
        Expansion of a minus that of b [1/K], -20e-6 to 20e-6.
    uncertainty : float or array
        One standard uncertainty of `difference` [1/K], > 0.
    parts : dict
        What each uncertain number adds to it, name to [1/K]; their squares add up to that of `uncertainty`.
    """

    stress: Any
    mismatch: Any
    difference: Any
    uncertainty: Any
    parts: dict[str, Any]


def read_edge(
    retardation: ArrayLike,
    path: ArrayLike,
    thickness_a: ArrayLike,
    thickness_b: ArrayLike,
    glass: Glass,
    bending: str = "free",
    room: float = 20.0,
    setting: float | None = None,
    retardation_uncertainty: float = 10e-9,
    path_uncertainty: float = 0.3e-3,
    thickness_uncertainty: float = 0.1e-3,
    stress_optic_uncertainty: float = 0.1e-12,
    modulus_uncertainty: float = 2e9,
    setting_uncertainty: float = 20.0,
) -> Reading:
    """Return the expansion difference from the light through the edge of a two-layer bar.

    sigma = delta/(C path) in glass a at the joint; eps = sigma/(sigma for a mismatch of 1, `bilayer`);
    alpha_a - alpha_b = eps/(T_set - T_room).

    Parameters
    ----------
    retardation : float or array
        Retardation in glass a right beside the joint, mid-length [m], -10e-6 to 10e-6; positive for tension.
    path : float or array
        Way of the light, the width of the bar [m], 0.3e-3 to 0.5.
    thickness_a, thickness_b : float or array
        Thickness of each glass [m], 0.3e-3 to 0.15.
    glass : Glass
        Both glasses are taken to have its stiffness, stress-optic coefficient and setting temperature.
    bending : str
        "free" to bend, or held "flat" while read and while cooled.
    room : float
        Room temperature [degC], -20 to 50.
    setting : float
        Setting temperature [degC], 200 to 1200; without it, that of `glass`.
    retardation_uncertainty : float
        Standard uncertainty of the retardation [m], > 0: 3 degrees of the analyser are 10e-9.
    path_uncertainty, thickness_uncertainty : float
        Standard uncertainty of the width, and of each thickness [m], > 0.
    stress_optic_uncertainty : float
        Standard uncertainty of the stress-optic coefficient [1/Pa], > 0.
    modulus_uncertainty : float
        Standard uncertainty of Young's modulus [Pa], > 0.
    setting_uncertainty : float
        Standard uncertainty of the setting temperature [K], > 0.

    Returns
    -------
    Reading
        Stress [Pa], expansion difference [1/K] and its standard uncertainty, broadcast shape.

    Raises
    ------
    ValueError
        If a number is outside its range or a word is another one.

    Notes
    -----
    First-order propagation: each number moved by its uncertainty both ways, half the change taken, squares
    added. The default uncertainties are those of careful work with a caliper and a turning analyser (common
    practice, no source). Read mid-length, two thicknesses from the ends, on a well annealed bar wider than
    four thicknesses: what is left from annealing adds to the reading.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> clear = glass("kiln glass A")
    >>> bar = read_edge(retardation_from_analyser(60, order=1), 0.025, 0.003, 0.003, clear)
    >>> print(f"{bar.stress / 1e6:.1f} MPa, {bar.difference * 1e7:.1f} +- {bar.uncertainty * 1e7:.1f} e-7/K")
    11.2 MPa, 5.3 +- 0.4 e-7/K

    References
    ----------
    JCGM 100 (GUM), first-order propagation; ASTM F218; Timoshenko 1925.
    """
    cooling = _cooling(glass, room, setting)
    free = _check_bending(bending)
    nu = glass.poissons_ratio

    def stress(delta: Any, way: Any, optic: Any) -> Any:
        return delta / (optic * way)

    def difference(delta: Any, way: Any, t_a: Any, t_b: Any, optic: Any, modulus: Any, drop: Any) -> Any:
        plate = modulus / (1 - nu)
        return stress(delta, way, optic) / _unit_bilayer(t_a, t_b, plate, plate, free)[2] / drop

    numbers = {
        "retardation": (
            in_range("retardation", retardation, "m", -10e-6, 10e-6),
            _above_zero("retardation_uncertainty", retardation_uncertainty, "m"),
        ),
        "path": (
            in_range("path", path, "m", 0.3e-3, 0.5),
            _above_zero("path_uncertainty", path_uncertainty, "m"),
        ),
        **_thicknesses(thickness_a, thickness_b, thickness_uncertainty),
        "stress-optic coefficient": (
            glass.stress_optic_coefficient,
            _above_zero("stress_optic_uncertainty", stress_optic_uncertainty, "1/Pa"),
        ),
        "Young's modulus": (
            glass.youngs_modulus,
            _above_zero("modulus_uncertainty", modulus_uncertainty, "Pa"),
        ),
        "setting temperature": (
            cooling,
            _above_zero("setting_uncertainty", setting_uncertainty, "K"),
        ),
    }
    value, uncertainty, parts = _propagate(difference, numbers)
    sigma = stress(numbers["retardation"][0], numbers["path"][0], glass.stress_optic_coefficient)
    return Reading(like_input(sigma), like_input(value * cooling), value, uncertainty, parts)


def read_bow(
    bow: ArrayLike,
    span: ArrayLike,
    thickness_a: ArrayLike,
    thickness_b: ArrayLike,
    glass: Glass,
    room: float = 20.0,
    setting: float | None = None,
    bow_uncertainty: float = 0.03e-3,
    span_uncertainty: float = 1e-3,
    thickness_uncertainty: float = 0.1e-3,
    setting_uncertainty: float = 20.0,
) -> Reading:
    """Return the expansion difference from the bow of a two-layer bar under a straight edge.

    kappa = 8 b/(s^2 + 4 b^2); eps = kappa/(kappa for a mismatch of 1, `bilayer`);
    alpha_a - alpha_b = eps/(T_set - T_room).

    Parameters
    ----------
    bow : float or array
        Gap b in the middle, on the hollow side [m], -0.05 to 0.05; positive when glass a is the hollow side.
    span : float or array
        Distance s of the two points where the straight edge rests [m], 0.02 to 2.
    thickness_a, thickness_b : float or array
        Thickness of each glass [m], 0.3e-3 to 0.15.
    glass : Glass
        Both glasses are taken to have its stiffness and setting temperature.
    room : float
        Room temperature [degC], -20 to 50.
    setting : float
        Setting temperature [degC], 200 to 1200; without it, that of `glass`.
    bow_uncertainty, span_uncertainty, thickness_uncertainty : float
        Standard uncertainty of the bow, of the span, and of each thickness [m], > 0.
    setting_uncertainty : float
        Standard uncertainty of the setting temperature [K], > 0.

    Returns
    -------
    Reading
        Stress [Pa], expansion difference [1/K] and its standard uncertainty, broadcast shape.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    First-order propagation as for `read_edge`. The bow needs neither stiffness nor light, but a bar that was
    flat when it set and was free to bend while it cooled. Its own weight (for a bar of 6 mm over 200 mm some
    micrometres) is left out.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> bar = read_bow(0.25e-3, 0.180, 0.003, 0.003, glass("kiln glass A"))
    >>> print(f"{bar.difference * 1e7:.1f} +- {bar.uncertainty * 1e7:.1f} e-7 per K")
    5.2 +- 0.7 e-7 per K

    References
    ----------
    JCGM 100 (GUM), first-order propagation; Timoshenko 1925.
    """
    cooling = _cooling(glass, room, setting)
    curvature_from_bow(bow, span)  # its range checks

    def difference(gap: Any, rest: Any, t_a: Any, t_b: Any, drop: Any) -> Any:
        return _curvature(gap, rest) / _unit_bilayer(t_a, t_b, 1.0, 1.0, True)[0] / drop

    numbers = {
        "bow": (np.asarray(bow, dtype=float), _above_zero("bow_uncertainty", bow_uncertainty, "m")),
        "span": (np.asarray(span, dtype=float), _above_zero("span_uncertainty", span_uncertainty, "m")),
        **_thicknesses(thickness_a, thickness_b, thickness_uncertainty),
        "setting temperature": (
            cooling,
            _above_zero("setting_uncertainty", setting_uncertainty, "K"),
        ),
    }
    value, uncertainty, parts = _propagate(difference, numbers)
    strain = value * cooling
    plate = _stiffness(glass, "plate")
    t_a, t_b = numbers["thickness a"][0], numbers["thickness b"][0]
    joint = _unit_bilayer(t_a, t_b, plate, plate, True)[2]
    return Reading(like_input(strain * joint), like_input(strain), value, uncertainty, parts)


def _cooling(glass: Glass, room: float, setting: float | None) -> float:
    warm = setting_temperature(glass) if setting is None else setting
    return scalar_in_range("setting", warm, "degC", 200, 1200) - scalar_in_range(
        "room", room, "degC", -20, 50
    )


def _above_zero(name: str, value: float, unit: str) -> float:
    return scalar_in_range(name, value, unit, 0, np.inf, open_low=True)


def _thicknesses(a: ArrayLike, b: ArrayLike, uncertainty: float) -> dict[str, tuple[np.ndarray, float]]:
    sure = _above_zero("thickness_uncertainty", uncertainty, "m")
    return {
        "thickness a": (in_range("thickness_a", a, *_THICKNESS), sure),
        "thickness b": (in_range("thickness_b", b, *_THICKNESS), sure),
    }


def _propagate(
    function: Callable[..., Any], numbers: dict[str, tuple[Any, float]]
) -> tuple[Any, Any, dict[str, Any]]:
    """Return value, standard uncertainty and its parts: half the change when a number moves by +-u."""
    values = {name: value for name, (value, _) in numbers.items()}
    parts = {}
    for name, (value, uncertainty) in numbers.items():
        high = function(*(values | {name: value + uncertainty}).values())
        low = function(*(values | {name: value - uncertainty}).values())
        parts[name] = like_input(np.abs(high - low) / 2)
    together = np.sqrt(sum(np.square(part) for part in parts.values()))
    return like_input(function(*values.values())), like_input(together), parts


# ------------------------------------------------------------------ tables


def soda_lime_glasses() -> pd.DataFrame:
    """Return some forty measured soda-lime glasses: fixed points, expansion and density, units in the names.

    Returns
    -------
    pandas.DataFrame
        The rows of `sciglass_soda_lime.csv`.

    Notes
    -----
    From the SciGlass open database, under its own licence (ODbL 1.0). They all are "soda-lime", and they
    scatter: this is why a name or a number on a label does not certify a match.

    Examples
    --------
    >>> bool(soda_lime_glasses()["expansion_1e-7_per_K"].between(70, 105).all())
    True
    """
    return pd.read_csv(_resources.datasets() / "sciglass_soda_lime.csv")


def strip_tests() -> pd.DataFrame:
    """Return the class's twelve strip tests as they were written down, two mistakes included.

    Returns
    -------
    pandas.DataFrame
        The rows of `class_strip_tests.csv`: one two-layer bar a student, coloured glass a on clear glass b,
        read through the edge beside the joint and under a straight edge. Invented.

    Examples
    --------
    >>> len(strip_tests())
    12
    """
    return pd.read_csv(_resources.datasets() / "class_strip_tests.csv")


def analyse_strip_tests(table: pd.DataFrame, clear: Glass) -> pd.DataFrame:
    """Return the table and what each bar says: the expansion difference by light and by bow.

    Parameters
    ----------
    table : pandas.DataFrame
        With the columns of `strip_tests()`.
    clear : Glass
        The glass whose stiffness, stress-optic coefficient and setting temperature count.

    Returns
    -------
    pandas.DataFrame
        `table` and, from `read_edge` and `read_bow`, `by_light`, `by_light_uncertainty`, `by_bow` and
        `by_bow_uncertainty`, all in 1e-7/K.

    Raises
    ------
    ValueError
        If a number is outside what a bar can have.

    Notes
    -----
    It judges nothing: which bars were read wrongly is for the class to find.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> result = analyse_strip_tests(strip_tests(), glass("kiln glass A"))
    >>> bool(4 < result["by_light"].median() < 6)
    True
    """
    a, b = table["thickness_coloured_mm"] / 1000, table["thickness_clear_mm"] / 1000
    delta = retardation_from_analyser(table["analyser_angle_degree"], table["fringe_order"])
    light = read_edge(delta, table["width_mm"] / 1000, a, b, clear)
    bow = read_bow(table["bow_mm"] / 1000, table["span_mm"] / 1000, a, b, clear)
    return table.assign(
        by_light=light.difference * 1e7,
        by_light_uncertainty=light.uncertainty * 1e7,
        by_bow=bow.difference * 1e7,
        by_bow_uncertainty=bow.uncertainty * 1e7,
    )
