"""A colour on a clear: what they do to each other, how far apart they may be, what their labels promise."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from kilncalc._ranges import scalar_in_range
from kilncalc._tables import as_number, rows
from kilncalc.compatibility import (
    Bilayer,
    allowed_mismatch,
    bilayer,
    bow_from_curvature,
    setting_temperature,
)
from kilncalc.materials import ALLOWED_TENSION, Glass

ROOM = 20.0
"""Temperature at which a piece ends up [degC]."""

_ANY_THICKNESS = 0.02  # m, of a stack of which only the shares count


@dataclass(frozen=True, eq=False)
class FusedBar:
    """A bar of clear glass with a colour fused on it, as it lies on the table.

    Parameters
    ----------
    difference : float
        Expansion of the colour minus that of the clear [1/K], -20e-6 to 20e-6.
    stack : Bilayer
        Its stress and shape; the clear is glass a, below.
    length : float
        Length of the bar [m], 0.02 to 2.
    bow : float
        Gap under a straight edge as long as the bar [m], -0.05 to 0.05; negative when its ends curl up.
    flat : bool
        Whether it is held flat.
    """

    difference: float
    stack: Bilayer
    length: float
    bow: float
    flat: bool

    @property
    def worst(self) -> int:
        """Where the tension is largest, as a place in `stack.profile()`: 0 underside ... 3 top."""
        return int(np.argmax(self.stack.profile()[1]))

    @property
    def where(self) -> str:
        """Where the tension is largest, in words."""
        return ("underside of the clear", "clear, at the joint", "colour, at the joint", "top of the colour")[
            self.worst
        ]

    @property
    def share_of_limit(self) -> float:
        """The largest tension as a share of what is allowed for good [-]."""
        return float(self.stack.largest_tension / ALLOWED_TENSION)


def fused_bar(
    difference: float,
    colour_thickness: float,
    clear_thickness: float,
    colour: Glass,
    clear: Glass,
    bending: str = "free",
    length: float = 0.2,
) -> FusedBar:
    """Return what a colour and a clear do to each other: `bilayer` with eps = difference (T_set - 20 degC).

    Parameters
    ----------
    difference : float
        Expansion of the colour minus that of the clear [1/K], -2e-6 to 2e-6.
    colour_thickness, clear_thickness : float
        Thickness of each glass [m], 0.3e-3 to 0.15.
    colour, clear : Glass
        Their stiffness and setting temperature count; `difference` stands in for their expansions.
    bending : str
        "free" to bend, or held "flat".
    length : float
        Length of the bar [m], 0.02 to 2.

    Returns
    -------
    FusedBar
        Stress [Pa] and bow [m].

    Raises
    ------
    ValueError
        If a number is outside its range or a word is another one.

    Notes
    -----
    As for `bilayer`.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> clear = glass("kiln glass A")
    >>> bar = fused_bar(6e-7, 0.003, 0.003, clear, clear)
    >>> print(f"{bar.stack.largest_tension / 1e6:.1f} MPa in the {bar.where}; {bar.bow * 1e3:.2f} mm")
    12.7 MPa in the colour, at the joint; -0.36 mm

    References
    ----------
    As for `bilayer`.
    """
    stack = bilayer(
        -mismatch_of(difference, colour, clear), clear_thickness, colour_thickness, clear, colour, bending
    )
    return FusedBar(
        difference,
        stack,
        length,
        bow_from_curvature(stack.curvature, length),
        bending == "flat",
    )


def mismatch_of(difference: float, colour: Glass, clear: Glass) -> float:
    """Return how much more a colour shrinks than the clear: eps = difference (T_set - 20 degC).

    Parameters
    ----------
    difference : float
        Expansion of the colour minus that of the clear [1/K], -2e-6 to 2e-6.
    colour, clear : Glass
        Their setting temperature counts; `difference` stands in for their expansions.

    Returns
    -------
    float
        Mismatch strain [-].

    Raises
    ------
    ValueError
        If the difference is outside its range.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> clear = glass("kiln glass A")
    >>> print(f"{mismatch_of(1e-7, clear, clear) * 1e6:.1f} millionths for a point")
    47.4 millionths for a point
    """
    apart = scalar_in_range("difference", difference, "1/K", -2e-6, 2e-6)
    return apart * _cooling(colour, clear)


def _cooling(colour: Glass, clear: Glass) -> float:
    return setting_temperature(colour, clear) - ROOM


@dataclass(frozen=True, eq=False)
class HowFar:
    """How far the expansion of a colour may lie from that of the clear.

    Parameters
    ----------
    share : float
        Share of the colour in the thickness [-], 0 to 1.
    lowest, highest : float
        Least and largest expansion of the colour minus that of the clear [1/K], -20e-6 to 20e-6.
    shares, lowest_at, highest_at : array
        The same for all shares [-] and [1/K], -20e-6 to 20e-6.
    labels_differ : float
        What the two labels say [1/K], -20e-6 to 20e-6.
    allowed : float
        Tension that is allowed [Pa], 0.1e6 to 50e6.
    """

    share: float
    lowest: float
    highest: float
    shares: np.ndarray
    lowest_at: np.ndarray
    highest_at: np.ndarray
    labels_differ: float
    allowed: float

    @property
    def labels_allowed(self) -> bool:
        """Whether the two labels lie within it."""
        return self.lowest <= self.labels_differ <= self.highest


def how_far(
    colour_thickness: float,
    clear_thickness: float,
    colour: Glass,
    clear: Glass,
    allowed_tension: float = ALLOWED_TENSION,
    bending: str = "free",
) -> HowFar:
    """Return how far apart colour and clear may be: `allowed_mismatch`/(T_set - 20 degC), for all shares too.

    Parameters
    ----------
    colour_thickness, clear_thickness : float
        Thickness of each glass [m], 0.3e-3 to 0.15.
    colour, clear : Glass
        The two glasses.
    allowed_tension : float
        Tension the glass may carry for good [Pa], 0.1e6 to 50e6.
    bending : str
        "free" to bend, or held "flat".

    Returns
    -------
    HowFar
        Differences [1/K].

    Raises
    ------
    ValueError
        If a number is outside its range or a word is another one.

    Notes
    -----
    As for `allowed_mismatch`: only the share of the thickness counts, not the thickness itself.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> clear = glass("kiln glass A")
    >>> apart = how_far(0.003, 0.003, clear, clear)
    >>> print(f"{apart.lowest * 1e7:.1f} to {apart.highest * 1e7:+.1f} x 1e-7 per K")
    -1.6 to +1.6 x 1e-7 per K

    References
    ----------
    As for `allowed_mismatch`.
    """

    def between(a: Any, b: Any) -> tuple[Any, Any]:
        low, high = allowed_mismatch(a, b, colour, clear, allowed_tension, bending)
        return low / _cooling(colour, clear), high / _cooling(colour, clear)

    shares = np.linspace(0.04, 0.96, 93)
    lowest_at, highest_at = between(_ANY_THICKNESS * shares, _ANY_THICKNESS * (1 - shares))
    lowest, highest = between(colour_thickness, clear_thickness)
    return HowFar(
        colour_thickness / (colour_thickness + clear_thickness),
        lowest,
        highest,
        shares,
        lowest_at,
        highest_at,
        colour.expansion - clear.expansion,
        allowed_tension,
    )


@dataclass(frozen=True, eq=False)
class JointExample:
    """Tension at the joint of two like sheets against their mismatch, with a published value beside it.

    Parameters
    ----------
    mismatch, plate, beam : array
        Mismatch [-], -0.01 to 0.01, and the tension of a wide plate and of a narrow bar [Pa], 0 to 1e9.
    published_at, published : float
        Mismatch [-], -0.01 to 0.01, and tension of a narrow bar [Pa], 0 to 1e9, by the published formula.
    computed, wide : float
        What a narrow bar and a wide plate have there, computed here [Pa], 0 to 1e9.
    """

    mismatch: np.ndarray
    plate: np.ndarray
    beam: np.ndarray
    published_at: float
    published: float
    computed: float
    wide: float


LIKELY_TO_FRACTURE = 300e-6
"""Mismatch above which glass is likely to fracture [-]: ASTM F144, scope, as its publisher states it."""


def joint_example(glass: Glass) -> JointExample:
    """Return the tension at the joint of 3 + 3 mm beside Timoshenko's: E eps/2 for two like layers.

    Parameters
    ----------
    glass : Glass
        Both sheets.

    Returns
    -------
    JointExample
        Tensions [Pa].

    Notes
    -----
    The published value is his formula for equal layers, worked by hand for E = 70 GPa and 0.5e-6/K over
    500 K: 70 GPa x 250e-6/2 = 8.75 MPa. The glass given should have that stiffness.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> print(f"{joint_example(glass('kiln glass A')).computed / 1e6:.2f} MPa")
    8.75 MPa

    References
    ----------
    Timoshenko 1925, Journal of the Optical Society of America 11, 233.
    """

    def joint(mismatch: Any, form: str) -> Any:
        return bilayer(mismatch, 0.003, 0.003, glass, form=form).a_joint

    strain, here = np.linspace(0, 400e-6, 41), 0.5e-6 * 500
    return JointExample(
        strain,
        joint(strain, "plate"),
        joint(strain, "beam"),
        here,
        8.75e6,
        joint(here, "beam"),
        joint(here, "plate"),
    )


# ------------------------------------------------------------------ labels


@dataclass(frozen=True, eq=False)
class LabelPromise:
    """What a number on a label promises: which measured glasses it covers, how two of them may still pull.

    Parameters
    ----------
    label, within : float
        The expansion on the label, and how far it may be off, up and down [1/K], 0 to 20e-6.
    expansion, setting : array
        Measured soda-lime glasses: expansion [1/K], 0.3e-6 to 20e-6, and setting temperature [degC], 200 to
        1200.
    covered : array
        Which of them the label covers [-], 0 to 1.
    joint : float
        Tension at the joint of two like sheets of the two that differ most [Pa], 0 to 1e9.
    """

    label: float
    within: float
    expansion: np.ndarray
    setting: np.ndarray
    covered: np.ndarray
    joint: float

    @property
    def share_of_limit(self) -> float:
        """That tension as a share of what is allowed for good [-]."""
        return self.joint / ALLOWED_TENSION


_LABELLED_TO = 300.0  # degC, up to where the expansion on a label is measured


def label_promise(label: float, within: float, beyond: float, glass: Glass) -> LabelPromise:
    """Return which measured glasses a label covers, and how hard two that it covers may pull at their joint.

    eps = 2 within (300 - 20 degC) + (2 within + beyond)(T_set - 300 degC), then `bilayer` of two like sheets.

    Parameters
    ----------
    label : float
        Expansion on the label [1/K], 0.3e-6 to 20e-6.
    within : float
        How far a glass may be off its label, up and down [1/K], 0 to 2e-6.
    beyond : float
        How much more the two may differ above 300 degC, where no label was measured [1/K], 0 to 5e-6.
    glass : Glass
        Its stiffness and setting temperature count.

    Returns
    -------
    LabelPromise
        The measured glasses, and the tension [Pa].

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    The glasses are those of `sciglass_soda_lime.csv`: soda-lime glasses of the SciGlass open database of
    which strain, annealing and softening point and expansion are all recorded. They all are "soda-lime", and
    they scatter: a name or a number on a label does not certify a match.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> promise = label_promise(84e-7, 0.5e-7, 0.0, glass("kiln glass A"))
    >>> int(promise.covered.sum()), len(promise.covered), round(promise.joint / 1e6, 2)
    (9, 44, 2.12)

    References
    ----------
    SciGlass open database (ODbL 1.0).
    """
    number = scalar_in_range("label", label, "1/K", 0.3e-6, 20e-6)
    off = scalar_in_range("within", within, "1/K", 0, 2e-6)
    more = scalar_in_range("beyond", beyond, "1/K", 0, 5e-6)
    table = rows("sciglass_soda_lime.csv")

    def column(name: str) -> np.ndarray:
        return np.array([as_number(row[name]) for row in table])

    expansion = column("expansion_1e-7_per_K") * 1e-7
    strain = 2 * off * (_LABELLED_TO - ROOM) + (2 * off + more) * (setting_temperature(glass) - _LABELLED_TO)
    return LabelPromise(
        number,
        off,
        expansion,
        (column("strain_point_degC") + column("annealing_point_degC")) / 2,
        np.abs(expansion - number) <= off + 1e-16,
        bilayer(strain, 0.003, 0.003, glass).a_joint,
    )
