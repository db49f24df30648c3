"""Do two glasses agree? Mismatch, the stress and the bend it leaves, and how much of it is allowed.

Everywhere tension is positive, and a mismatch is positive when the first glass named shrinks more in cooling
and so ends in tension.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from kilncalc._ranges import ArrayLike, in_range, like_input, scalar_in_range
from kilncalc.materials import ALLOWED_TENSION, Glass

THICKNESS = ("m", 0.3e-3, 0.15)
"""Unit and range of the thickness of a glass."""


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
    t_a = in_range("thickness_a", thickness_a, *THICKNESS)
    t_b = in_range("thickness_b", thickness_b, *THICKNESS)
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
    t = in_range("thickness", thickness, *THICKNESS)
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


@dataclass(frozen=True, eq=False)
class Chip:
    """Stress of a round chip of one glass that stands fused on a large base of another.

    Parameters
    ----------
    top, joint : float or array
        Stress in the chip at its top and at the joint, the same in every direction [Pa], -1e9 to 1e9.
    base_joint, underside : float or array
        Stress in the base under the chip, at the joint and at the underside [Pa], -1e9 to 1e9.
    rim : float or array
        Mean stress through the base just outside, round the chip [Pa], -1e9 to 1e9; towards the chip it is
        the reverse. Light shows this one and nothing else.
    """

    top: Any
    joint: Any
    base_joint: Any
    underside: Any
    rim: Any

    @property
    def largest_tension(self) -> Any:
        """The largest tension in and under the chip [Pa]."""
        return like_input(np.max([self.top, self.joint, self.base_joint, self.underside], axis=0))


def chip_stress(mismatch: ArrayLike, base: Glass, thickness: ArrayLike, base_thickness: ArrayLike) -> Chip:
    """Return the stress in, under and beside a chip: sigma = E' (e0 + kappa z - eps in it), E' = E/(1 - nu).

    z is counted from the middle of the base, t is the thickness of the chip, b of the base, c = (t + b)/2:
    E' [(t + b) e0 + t c kappa - t eps] = -E b e0/(1 + nu),
    E' [t c e0 + (b^3/12 + t^3/12 + t c^2) kappa - t c eps] = -E b^3 kappa/(12 (1 + nu)):
    pull and bending at the rim meet those of the base outside, whose resistance stands on the right.

    Parameters
    ----------
    mismatch : float or array
        `mismatch_strain(base, chip)` [-], -0.01 to 0.01: positive when the chip wants to be larger.
    base : Glass
        The glass of the base; the chip is taken as equally stiff.
    thickness : float or array
        Thickness t of the chip [m], 0.3e-3 to 0.15.
    base_thickness : float or array
        Thickness b of the base [m], 0.3e-3 to 0.15.

    Returns
    -------
    Chip
        Stresses [Pa], broadcast shape.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    Thin-plate theory: it holds for a chip much wider than thick, on a base much larger than the chip, both
    free to bend. Compared with an axisymmetric finite element solution, for a chip 19 mm across, 2 or 3 mm
    thick, on 3 mm: stress at the joint and in the middle of the faces within 4 % of the largest, the rim 13
    to 15 % too high (30 % on a base of 6 mm; 8 % for a chip of 38 mm). A chip that stands on its base shows
    much less light than one that has sunk in level (`inclusion_stress`), because the base gives way by
    bending. The wall of the chip is upright; rounded by fusing it pulls a little less.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> chip = chip_stress(-2.841e-4, glass("kiln glass A"), 0.003, 0.003)
    >>> print(f"joint {chip.joint / 1e6:.1f} MPa, all that light shows is {chip.rim / 1e6:.1f} MPa")
    joint 13.6 MPa, all that light shows is -1.6 MPa

    References
    ----------
    Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, symmetrical bending of circular plates.
    """
    eps = _check_mismatch(mismatch)
    t = in_range("thickness", thickness, *THICKNESS)
    b = in_range("base_thickness", base_thickness, *THICKNESS)
    nu = base.poissons_ratio
    plate = base.youngs_modulus / (1 - nu)
    outside = (1 - nu) / (1 + nu)  # resistance of the base outside, as a share of that under the chip
    c = (t + b) / 2
    pull, both, turn = t + b * (1 + outside), t * c, (b**3 * (1 + outside) + t**3) / 12 + t * c**2
    load, load_turn = t * eps, t * c * eps
    determinant = pull * turn - both**2
    e0 = (load * turn - both * load_turn) / determinant
    kappa = (pull * load_turn - both * load) / determinant

    def stress(z: Any, swelling: Any) -> Any:
        return like_input(plate * (e0 + kappa * z - swelling))

    return Chip(
        stress(b / 2 + t, eps),
        stress(b / 2, eps),
        stress(b / 2, 0.0),
        stress(-b / 2, 0.0),
        like_input(base.youngs_modulus * e0 / (1 + nu)),
    )


# ------------------------------------------------------------------ limits


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
    t_a = in_range("thickness_a", thickness_a, *THICKNESS)
    t_b = in_range("thickness_b", thickness_b, *THICKNESS)
    limit = _check_allowed(allowed_tension)
    free = _check_bending(bending)
    unit = _unit_bilayer(t_a, t_b, _stiffness(a, form), _stiffness(b or a, form), free)
    faces = np.stack(np.broadcast_arrays(*unit[1:]))
    return like_input(limit / faces.min(axis=0)), like_input(limit / faces.max(axis=0))


# ------------------------------------------------------------------ a bend and the gap under a straight edge


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
