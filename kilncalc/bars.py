"""Test bars read back: what the light through an edge, a bow, and a whole class say about two glasses."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from kilncalc._ranges import ArrayLike, in_range, like_input, scalar_in_range
from kilncalc._tables import as_number, rows
from kilncalc.compatibility import (
    THICKNESS,
    bilayer,
    curvature_from_bow,
    setting_temperature,
)
from kilncalc.materials import ALLOWED_TENSION, Glass
from kilncalc.polariscope import FULL_WAVE, just_as_bright, retardation_from_analyser
from kilncalc.quantities import Show
from kilncalc.uncertainty import Spread, spread

if TYPE_CHECKING:
    import pandas as pd


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

    @property
    def share_of_limit(self) -> Any:
        """The stress as a share of the tension that is allowed for good [-]."""
        return like_input(np.asarray(self.stress) / ALLOWED_TENSION)


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

    def sigma(retardation: Any, width: Any, optic: Any) -> Any:
        return retardation / (optic * width)

    def difference(
        retardation: Any,
        width: Any,
        thickness_a: Any,
        thickness_b: Any,
        optic: Any,
        stiffness: Any,
        cooling: Any,
    ) -> Any:
        one = bilayer(_UNIT, thickness_a, thickness_b, glass, bending=bending).a_joint / _UNIT
        return sigma(retardation, width, optic) / (one * stiffness / glass.youngs_modulus) / cooling

    numbers = {
        "retardation": in_range("retardation", retardation, "m", -10e-6, 10e-6),
        "width": in_range("path", path, "m", 0.3e-3, 0.5),
        "thickness_a": in_range("thickness_a", thickness_a, *THICKNESS),
        "thickness_b": in_range("thickness_b", thickness_b, *THICKNESS),
        "optic": glass.stress_optic_coefficient,
        "stiffness": glass.youngs_modulus,
        "cooling": cooling,
    }
    sure = {
        "retardation": _above_zero("retardation_uncertainty", retardation_uncertainty, "m"),
        "width": _above_zero("path_uncertainty", path_uncertainty, "m"),
        "thickness_a": _above_zero("thickness_uncertainty", thickness_uncertainty, "m"),
        "thickness_b": thickness_uncertainty,
        "optic": _above_zero("stress_optic_uncertainty", stress_optic_uncertainty, "1/Pa"),
        "stiffness": _above_zero("modulus_uncertainty", modulus_uncertainty, "Pa"),
        "cooling": _above_zero("setting_uncertainty", setting_uncertainty, "K"),
    }
    stress = sigma(numbers["retardation"], numbers["width"], numbers["optic"])
    return _reading(stress, spread(difference, numbers, sure), cooling)


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
    curvature_from_bow(bow, span)  # its range checks, before the uncertainties are added

    def difference(bow: Any, span: Any, thickness_a: Any, thickness_b: Any, cooling: Any) -> Any:
        one = bilayer(_UNIT, thickness_a, thickness_b, glass).curvature / _UNIT
        return curvature_from_bow(bow, span) / one / cooling

    found = spread(
        difference,
        {
            "bow": bow,
            "span": span,
            "thickness_a": in_range("thickness_a", thickness_a, *THICKNESS),
            "thickness_b": in_range("thickness_b", thickness_b, *THICKNESS),
            "cooling": cooling,
        },
        {
            "bow": _above_zero("bow_uncertainty", bow_uncertainty, "m"),
            "span": _above_zero("span_uncertainty", span_uncertainty, "m"),
            "thickness_a": _above_zero("thickness_uncertainty", thickness_uncertainty, "m"),
            "thickness_b": thickness_uncertainty,
            "cooling": _above_zero("setting_uncertainty", setting_uncertainty, "K"),
        },
    )
    joint = bilayer(found.value * cooling, thickness_a, thickness_b, glass).a_joint
    return _reading(joint, found, cooling)


_UNIT = 1e-4
"""A mismatch to divide by, where what a mismatch of 1 would do is wanted."""

_PART_NAMES = {
    "retardation": "turn of the analyser",
    "width": "width of the bar",
    "bow": "gap",
    "span": "span",
    "thickness_a": "thickness of the colour",
    "thickness_b": "thickness of the clear",
    "optic": "glass: light",
    "stiffness": "glass: stiffness",
    "cooling": "setting temperature",
}


def _reading(stress: Any, found: Spread, cooling: float) -> Reading:
    parts = {_PART_NAMES[name]: part for name, part in found.parts.items()}
    mismatch = np.asarray(found.value) * cooling
    return Reading(like_input(stress), like_input(mismatch), found.value, found.uncertainty, parts)


def _cooling(glass: Glass, room: float, setting: float | None) -> float:
    warm = setting_temperature(glass) if setting is None else setting
    return scalar_in_range("setting", warm, "degC", 200, 1200) - scalar_in_range(
        "room", room, "degC", -20, 50
    )


def _above_zero(name: str, value: float, unit: str) -> float:
    return scalar_in_range(name, value, unit, 0, np.inf, open_low=True)


@dataclass(frozen=True, eq=False)
class BarByLight:
    """A test bar of two like strips, read through its edge with a turning analyser.

    Parameters
    ----------
    retardation : float
        Retardation at the joint [m], 0 to 10e-6.
    alike : array
        Other retardations that look just as bright in light of one colour [m], 0 to 1.2e-6.
    reading : Reading
        What the bar says.
    """

    retardation: float
    alike: np.ndarray
    reading: Reading


def bar_by_light(turn: float, width: float, sheet: float, sure: float, glass: Glass) -> BarByLight:
    """Return what a turn of the analyser says about a bar of two like strips: delta = lambda turn/180.

    Parameters
    ----------
    turn : float
        Turn of the analyser that makes the joint dark, 180 more for a whole fringe [degree], 0 to 2000.
    width : float
        Width of the bar, the way of the light [m], 0.3e-3 to 0.5.
    sheet : float
        Thickness of each glass [m], 0.3e-3 to 0.15.
    sure : float
        Standard uncertainty of the turn [degree], > 0 up to 180.
    glass : Glass
        The clear glass, for which both are taken.

    Returns
    -------
    BarByLight
        Retardation [m] and reading.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> bar = bar_by_light(240, 0.025, 0.003, 3, glass("kiln glass A"))
    >>> print(f"{bar.retardation * 1e9:.0f} nm, {bar.reading.difference * 1e7:.1f} e-7 per K")
    753 nm, 5.3 e-7 per K

    References
    ----------
    As for `read_edge`.
    """
    whole, rest = divmod(scalar_in_range("turn", turn, "degree", 0, 2000), 180)
    delta = float(retardation_from_analyser(rest, whole))
    off = float(retardation_from_analyser(scalar_in_range("sure", sure, "degree", 0, 180, open_low=True)))
    reading = read_edge(delta, width, sheet, sheet, glass, retardation_uncertainty=off)
    return BarByLight(delta, just_as_bright(delta, 1.2e-6, FULL_WAVE), reading)


@dataclass(frozen=True, eq=False)
class BarByBow:
    """A test bar of two like strips, read under a straight edge.

    Parameters
    ----------
    bow : float
        Gap in the middle [m], -0.05 to 0.05.
    span : float
        Distance of the points where the straight edge rests [m], 0.02 to 2.
    reading : Reading
        What the bar says.
    """

    bow: float
    span: float
    reading: Reading


def bar_by_bow(bow: float, span: float, sheet: float, sure: float, glass: Glass) -> BarByBow:
    """Return what a gap under a straight edge says about a bar of two like strips: `read_bow`.

    Parameters
    ----------
    bow : float
        Gap in the middle, on the hollow side of the colour [m], -0.05 to 0.05.
    span : float
        Distance of the two points where the straight edge rests [m], 0.02 to 2.
    sheet : float
        Thickness of each glass [m], 0.3e-3 to 0.15.
    sure : float
        Standard uncertainty of the gap [m], > 0.
    glass : Glass
        The clear glass, for which both are taken.

    Returns
    -------
    BarByBow
        Gap and span [m], and the reading.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> bar = bar_by_bow(0.25e-3, 0.180, 0.003, 0.03e-3, glass("kiln glass A"))
    >>> print(f"{bar.reading.difference * 1e7:.1f} +- {bar.reading.uncertainty * 1e7:.1f} e-7 per K")
    5.2 +- 0.7 e-7 per K

    References
    ----------
    As for `read_bow`.
    """
    return BarByBow(bow, span, read_bow(bow, span, sheet, sheet, glass, bow_uncertainty=sure))


# ------------------------------------------------------------------ a class


@dataclass(frozen=True)
class ClassBar:
    """One student's bar as it was written down: coloured glass fused on clear, read by light and by bow.

    Parameters
    ----------
    student : str
        Who.
    thickness_coloured, thickness_clear, width : float
        Thickness of each strip, and the width of the bar [m], 0.3e-3 to 0.5.
    fringe_order : int
        Whole fringes at the joint [-], 0 to 10.
    analyser_angle : float
        Turn of the analyser beyond them [degree], -180 to 180.
    span, bow : float
        Where the straight edge rests, and the gap under its middle [m], -0.05 to 2.
    """

    student: str
    thickness_coloured: float
    thickness_clear: float
    width: float
    fringe_order: int
    analyser_angle: float
    span: float
    bow: float


def class_bars() -> tuple[ClassBar, ...]:
    """Return the class's twelve bars as they were written down, two mistakes included.

    Returns
    -------
    tuple of ClassBar
        The rows of `class_strip_tests.csv`. Invented.

    Examples
    --------
    >>> len(class_bars())
    12
    """
    return tuple(
        ClassBar(
            student=row["student"],
            thickness_coloured=as_number(row["thickness_coloured_mm"]) / 1000,
            thickness_clear=as_number(row["thickness_clear_mm"]) / 1000,
            width=as_number(row["width_mm"]) / 1000,
            fringe_order=int(row["fringe_order"]),
            analyser_angle=as_number(row["analyser_angle_degree"]),
            span=as_number(row["span_mm"]) / 1000,
            bow=as_number(row["bow_mm"]) / 1000,
        )
        for row in rows("class_strip_tests.csv")
    )


@dataclass(frozen=True, eq=False)
class ClassReading:
    """What the bars of a class say, by light and by bow, and the means of those that count.

    Parameters
    ----------
    bars : tuple of ClassBar
        As written down.
    by_light, by_bow : Reading
        What each bar says, arrays in the order of the bars.
    counts : array
        Which bars count in the means (1) and which do not (0) [-], 0 to 1.
    """

    bars: tuple[ClassBar, ...]
    by_light: Reading
    by_bow: Reading
    counts: np.ndarray

    def mean(self, by: str) -> float:
        """Return the mean difference of the bars that count.

        Parameters
        ----------
        by : str
            "light" or "bow".

        Returns
        -------
        float
            Mean of colour minus clear [1/K].
        """
        return float(self._counted(by).mean())

    def scatter(self, by: str) -> float:
        """Return the standard deviation of one bar among those that count.

        Parameters
        ----------
        by : str
            "light" or "bow".

        Returns
        -------
        float
            Standard deviation [1/K].
        """
        return float(self._counted(by).std(ddof=1))

    def _counted(self, by: str) -> np.ndarray:
        reading = {"light": self.by_light, "bow": self.by_bow}[by]
        return np.asarray(reading.difference)[self.counts]

    def table(self, units: str = "metric") -> pd.DataFrame:
        """Return what was written down, and what it says, as a table with units in its column names.

        Parameters
        ----------
        units : str
            "metric" or "inches".

        Returns
        -------
        pandas.DataFrame
            A row a bar; differences and uncertainties in points, 1e-7/K.
        """
        import pandas as pd  # only where a table is shown

        show = Show(units)
        unit = show.symbol("length")
        return pd.DataFrame(
            {
                "student": [bar.student for bar in self.bars],
                f"width {unit}": [show.number(bar.width, "length") for bar in self.bars],
                "whole fringes": [bar.fringe_order for bar in self.bars],
                "turn °": [bar.analyser_angle for bar in self.bars],
                f"gap {unit}": [show.number(bar.bow, "length") for bar in self.bars],
                _LIGHT: np.asarray(self.by_light.difference) * 1e7,
                _BOW: np.asarray(self.by_bow.difference) * 1e7,
            }
        ).round({f"width {unit}": 2, f"gap {unit}": 2 if show.metric else 3, _LIGHT: 2, _BOW: 2})


_LIGHT, _BOW = "points by light", "points by bow"


def read_class(bars: Sequence[ClassBar], clear: Glass, left_out: Sequence[str] = ()) -> ClassReading:
    """Return what each bar of a class says, from `read_edge` and `read_bow`.

    Parameters
    ----------
    bars : sequence of ClassBar
        Two at least that count.
    clear : Glass
        The glass whose stiffness, stress-optic coefficient and setting temperature count.
    left_out : sequence of str
        Students whose bars do not count in the means.

    Returns
    -------
    ClassReading
        Both readings of every bar.

    Raises
    ------
    ValueError
        If a number is outside what a bar can have, a student is not there, or fewer than two bars count.

    Notes
    -----
    It judges nothing: which bars were written down wrongly is for the class to find.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> result = read_class(class_bars(), glass("kiln glass A"))
    >>> print(f"{result.mean('bow') * 1e7:.1f} points")
    5.2 points

    References
    ----------
    As for `read_edge` and `read_bow`.
    """
    names = [bar.student for bar in bars]
    if strangers := [name for name in left_out if name not in names]:
        raise ValueError(f"left_out names {', '.join(strangers)}; there are {', '.join(names)}")
    counts = np.array([name not in left_out for name in names])
    if counts.sum() < 2:
        raise ValueError(f"bars must leave two at least that count, got {counts.sum()}")

    def column(field: str) -> np.ndarray:
        return np.array([getattr(bar, field) for bar in bars], dtype=float)

    coloured, plain = column("thickness_coloured"), column("thickness_clear")
    delta = retardation_from_analyser(column("analyser_angle"), column("fringe_order"))
    return ClassReading(
        tuple(bars),
        read_edge(delta, column("width"), coloured, plain, clear),
        read_bow(column("bow"), column("span"), coloured, plain, clear),
        counts,
    )
