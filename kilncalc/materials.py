"""Glass and kiln furniture: what they are made of, in numbers.

The numbers lie in `datasets/glasses.csv` and `datasets/refractories.csv`, every row with its source.
A glass is added by adding a row.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

from kilncalc import _resources
from kilncalc._ranges import ArrayLike, in_range, like_input, scalar_in_range
from kilncalc._tables import as_number, named, rows

if TYPE_CHECKING:
    import pandas as pd

KELVIN = 273.15
"""Add to a temperature in degC to get kelvin."""

LOG10_VISCOSITY = {"strain": 13.5, "annealing": 12.0, "softening": 6.6, "working": 3.0}
"""log10(viscosity/Pa.s) that defines each fixed point of a glass."""

ALLOWED_TENSION = 3.5e6
"""Tension glass may carry for good [Pa], after EN 16612: 45 MPa for new float x 0.29 for a load that stays
x 0.8 for an edge (from memory) x 0.6 for a scratched surface / 1.8 = 3.48 MPa. A limit for judging, not for
structures that carry people: glass breaks from tension at a flaw in its surface, and flaws differ."""

ALLOWED_RESIDUAL = 0.5e6
"""Stress that may stay in an annealed piece [Pa]: common practice, no source."""

_STIFFEST = 16.0  # log10(viscosity/Pa.s): far below the annealing point nothing flows in a firing
_COLDEST, _HOTTEST = -50.0, 1500.0  # degC, where the conductivity and heat capacity laws may be used


def _logarithm_hint(value: float) -> str | None:
    return "Give the logarithm, to base 10, of the viscosity in Pa.s." if value > 20 else None


def _celsius_hint(value: float) -> str | None:
    return "Is it in degF? Temperatures are in degC here." if value > 1100 else None


@dataclass(frozen=True)
class Glass:
    """A glass as the calculations need it.

    Viscosity for forming follows Vogel, Fulcher and Tammann: log10(eta/Pa.s) = A + B/(T - T0).

    Parameters
    ----------
    name : str
        What the glass is called.
    density : float
        Density of the solid glass [kg/m3], 2000 to 6500.
    expansion : float
        Mean linear expansion of the solid glass, room temperature to about 300 degC [1/K], 0.3e-6 to 20e-6.
    expansion_liquid : float
        Linear expansion above the annealing range [1/K], 0.3e-6 to 100e-6, at least `expansion`. Where
        nobody measured it, three times `expansion` is a usual assumption.
    youngs_modulus : float
        Young's modulus [Pa], 40e9 to 120e9.
    poissons_ratio : float
        Poisson's ratio [-], 0.1 to 0.35.
    strain_point : float
        Temperature at a viscosity of 10^13.5 Pa.s [degC], 200 to 1100.
    annealing_point : float
        Temperature at a viscosity of 10^12 Pa.s [degC], 200 to 1200, above the strain point.
    softening_point : float
        Temperature at a viscosity of 10^6.6 Pa.s [degC], 300 to 1700, above the annealing point.
    viscosity : tuple of three floats
        The constants A [log10(Pa.s)], -15 to 5, B [K], 500 to 30000, and T0 [degC], -273 to `strain_point`.
    stress_optic_coefficient : float
        Retardation per path and per difference of principal stresses [1/Pa], -2e-12 to 10e-12.
    surface_tension : float
        Surface tension of the melt [N/m], 0.1 to 0.6.
    least_log10_viscosity : float
        Where the constants stop being good, at the hot end: log10(viscosity/Pa.s) [-], -1 to 6. It is 3 for
        constants fitted up to the working point.
    conductivity_share : float
        Thermal conductivity as a share of that of soda-lime glass [-], 0.5 to 2.
    heat_capacity_share : float
        Specific heat capacity as a share of that of soda-lime glass [-], 0.5 to 2.

    Raises
    ------
    ValueError
        If a number is outside its range, if the fixed points are not in order, or if the liquid expands
        less than the solid.

    Notes
    -----
    Nothing here compares the viscosity constants with the fixed points: they come from different
    measurements. A Vogel-Fulcher-Tammann curve does not pass through the strain point (ISO 7884-7): that of
    NBS 710 gives 529 degC for 10^13.5 Pa.s, measured 504. Do not use it for stress relaxation.

    Examples
    --------
    >>> lamp = glass("lamp soda-lime")
    >>> lamp.annealing_point
    514.0
    >>> round(lamp.log10_viscosity(696), 3)
    6.6
    """

    name: str
    density: float
    expansion: float
    expansion_liquid: float
    youngs_modulus: float
    poissons_ratio: float
    strain_point: float
    annealing_point: float
    softening_point: float
    viscosity: tuple[float, float, float]
    stress_optic_coefficient: float
    surface_tension: float
    least_log10_viscosity: float = LOG10_VISCOSITY["working"]
    conductivity_share: float = 1.0
    heat_capacity_share: float = 1.0

    def __post_init__(self) -> None:
        def check(field: str, unit: str, low: float, high: float, **keywords: Any) -> None:
            value = scalar_in_range(field, getattr(self, field), unit, low, high, **keywords)
            object.__setattr__(self, field, value)

        check("density", "kg/m3", 2000, 6500)
        check("expansion", "1/K", 0.3e-6, 20e-6)
        check("expansion_liquid", "1/K", 0.3e-6, 100e-6)
        check("youngs_modulus", "Pa", 40e9, 120e9)
        check("poissons_ratio", "", 0.1, 0.35)
        check("strain_point", "degC", 200, 1100, hint=_celsius_hint)
        check("annealing_point", "degC", 200, 1200, hint=_celsius_hint)
        check("softening_point", "degC", 300, 1700)
        check("stress_optic_coefficient", "1/Pa", -2e-12, 10e-12)
        check("surface_tension", "N/m", 0.1, 0.6)
        check("least_log10_viscosity", "", -1, 6)
        check("conductivity_share", "", 0.5, 2)
        check("heat_capacity_share", "", 0.5, 2)
        if self.expansion_liquid < self.expansion:
            raise ValueError(
                f"expansion_liquid is {self.expansion_liquid:g} 1/K, less than expansion "
                f"({self.expansion:g} 1/K); molten glass expands more than solid glass"
            )
        if not self.strain_point < self.annealing_point < self.softening_point:
            raise ValueError(
                f"strain_point ({self.strain_point:g} degC), annealing_point ({self.annealing_point:g} degC) "
                f"and softening_point ({self.softening_point:g} degC) must rise in this order"
            )
        try:
            a, b, t0 = self.viscosity
        except (TypeError, ValueError):
            raise ValueError(
                f"viscosity must be three numbers (A, B [K], T0 [degC]), got {self.viscosity!r}"
            ) from None
        a = scalar_in_range("viscosity A", a, "log10(Pa.s)", -15, 5)
        b = scalar_in_range("viscosity B", b, "K", 500, 30000)
        t0 = scalar_in_range("viscosity T0", t0, "degC", -KELVIN, self.strain_point)
        object.__setattr__(self, "viscosity", (a, b, t0))

    def log10_viscosity(self, temperature: ArrayLike) -> Any:
        """Return the logarithm of the viscosity, log10(eta/Pa.s) = A + B/(T - T0).

        Parameters
        ----------
        temperature : float or array
            Glass temperature T [degC], `strain_point` to `temperature_at(least_log10_viscosity)`; from
            `temperature_at(16)` where that is colder.

        Returns
        -------
        float or array
            log10(viscosity/Pa.s) [-], shape of `temperature`.

        Raises
        ------
        ValueError
            If the glass is practically solid (it is at every temperature below T0), or hotter than the
            constants are good for.

        Notes
        -----
        Good from about the annealing point upwards. Colder, it is too high (for NBS 710 at the strain point
        by 1.7): there the law only says that nothing flows during a firing.

        Examples
        --------
        >>> round(glass("NBS 710").log10_viscosity(1018.97), 2)
        3.0

        References
        ----------
        Napolitano & Hawkins 1964, Journal of Research of the NBS 68A, 439; ISO 7884-2.
        """
        coldest, hottest = self._viscosity_limits()
        values = in_range(
            f"temperature for the viscosity of {self.name}",
            temperature,
            "degC",
            coldest,
            hottest + 1e-6,
            hint=lambda bad: (
                "The glass is practically solid there, and the law does not hold."
                if bad < coldest
                else "The viscosity of this glass is not known at higher temperatures."
            ),
        )
        a, b, t0 = self.viscosity
        return like_input(a + b / (values - t0))

    def viscosity_at(self, temperature: ArrayLike) -> Any:
        """Return the viscosity, eta = 10^(A + B/(T - T0)).

        Parameters
        ----------
        temperature : float or array
            Glass temperature T [degC], `strain_point` to `temperature_at(least_log10_viscosity)`; from
            `temperature_at(16)` where that is colder.

        Returns
        -------
        float or array
            Viscosity eta [Pa.s], shape of `temperature`.

        Raises
        ------
        ValueError
            If the glass is practically solid (it is at every temperature below T0), or hotter than the
            constants are good for.

        Notes
        -----
        As for `log10_viscosity`.

        Examples
        --------
        >>> print(f"{glass('lamp soda-lime').viscosity_at(514):.2e}")
        1.00e+12
        """
        return like_input(10.0 ** np.asarray(self.log10_viscosity(temperature)))

    def temperature_at(self, log10_viscosity: ArrayLike) -> Any:
        """Return the temperature of a viscosity, T = T0 + B/(log10(eta/Pa.s) - A).

        Parameters
        ----------
        log10_viscosity : float or array
            log10(viscosity/Pa.s) [-], `least_log10_viscosity` to 16.

        Returns
        -------
        float or array
            Temperature [degC], shape of `log10_viscosity`.

        Raises
        ------
        ValueError
            If the viscosity is lower than the constants are good for, or so high that the glass is solid.

        Notes
        -----
        The strain point is `strain_point`, not `temperature_at(13.5)`: above 12 this is an extrapolation.

        Examples
        --------
        >>> round(glass("borosilicate 3.3").temperature_at(6.6), 1)
        825.0
        """
        a, b, t0 = self.viscosity
        coldest, _ = self._viscosity_limits()
        values = in_range(
            f"log10_viscosity of {self.name}",
            log10_viscosity,
            "",
            self.least_log10_viscosity,
            a + b / (coldest - t0),
            hint=_logarithm_hint,
        )
        return like_input(t0 + b / (values - a))

    def _viscosity_limits(self) -> tuple[float, float]:
        a, b, t0 = self.viscosity
        return min(self.strain_point, t0 + b / (_STIFFEST - a)), t0 + b / (self.least_log10_viscosity - a)

    def conductivity(self, temperature: ArrayLike) -> Any:
        """Return the thermal conductivity, k = `conductivity_share` (0.741 + 8.58e-4 T_K).

        Parameters
        ----------
        temperature : float or array
            Glass temperature [degC], -50 to 1500 (T_K is the same in kelvin).

        Returns
        -------
        float or array
            Conductivity [W/m/K], shape of `temperature`.

        Raises
        ------
        ValueError
            If the temperature is outside its range.

        Notes
        -----
        Measured on soda-lime glass; its rise with temperature serves for every glass, times the glass's own
        share where that is known (borosilicate 3.3: 1.14, from 1.2 at 90 degC). Even for soda-lime, sources
        differ: at 220 degC this gives 1.16, the median of 22 glasses in the SciGlass open data is 1.00. Heat
        that shines through hot clear glass is not in it: above about 600 degC thick glass evens out faster
        than this says.

        Examples
        --------
        >>> round(glass("float").conductivity(20), 3)
        0.993

        References
        ----------
        Nielsen, Olesen, Poulsen & Stang 2010, Finite element implementation of a glass tempering model in
        three dimensions, Computers & Structures 88, 963.
        """
        values = in_range("temperature", temperature, "degC", _COLDEST, _HOTTEST)
        return like_input(self.conductivity_share * (0.741 + 8.58e-4 * (values + KELVIN)))

    def heat_capacity(self, temperature: ArrayLike) -> Any:
        """Return the specific heat capacity, c = `heat_capacity_share` (893 + 0.4 T_K - 1.8e7/T_K^2).

        The equation holds up to 850 K (577 degC); above, the bracket is 1433 + 6.5e-3 T_K.

        Parameters
        ----------
        temperature : float or array
            Glass temperature [degC], -50 to 1500 (T_K is the same in kelvin).

        Returns
        -------
        float or array
            Heat capacity [J/kg/K], shape of `temperature`.

        Raises
        ------
        ValueError
            If the temperature is outside its range.

        Notes
        -----
        Measured on soda-lime glass; its shape serves for every glass, times the glass's own share. The jump
        at 577 degC, from 1208 to 1439, is in the source: the glass transition, which is gradual in reality.

        Examples
        --------
        >>> round(glass("float").heat_capacity(20))
        801

        References
        ----------
        Nielsen, Olesen, Poulsen & Stang 2010, Finite element implementation of a glass tempering model in
        three dimensions, Computers & Structures 88, 963.
        """
        kelvin = in_range("temperature", temperature, "degC", _COLDEST, _HOTTEST) + KELVIN
        solid = 893 + 0.4 * kelvin - 1.8e7 / kelvin**2
        return like_input(self.heat_capacity_share * np.where(kelvin <= 850, solid, 1433 + 6.5e-3 * kelvin))


@dataclass(frozen=True)
class Refractory:
    """A shelf, a fibre paper or a board: what glass lies on or under in a kiln.

    Parameters
    ----------
    name : str
        What it is called.
    form : str
        "shelf", "paper" or "board".
    density : float
        Density [kg/m3], 50 to 4500.
    heat_capacity : float
        Specific heat capacity [J/kg/K], 500 to 1500.
    conductivity : float
        Thermal conductivity when warm [W/m/K], 0.02 to 30.
    thickness : float
        Measured thickness [m], 0.2e-3 to 0.2.

    Raises
    ------
    ValueError
        If a number is outside its range, or the form is another one.

    Notes
    -----
    One conductivity for all temperatures: that of fibre doubles between 300 and 800 degC.

    Examples
    --------
    >>> refractory("fibre paper 2 mm").thickness
    0.0023
    """

    name: str
    form: str
    density: float
    heat_capacity: float
    conductivity: float
    thickness: float

    def __post_init__(self) -> None:
        if self.form not in ("shelf", "paper", "board"):
            raise ValueError(f'form must be "shelf", "paper" or "board", got {self.form!r}')
        for field, unit, low, high in (
            ("density", "kg/m3", 50, 4500),
            ("heat_capacity", "J/kg/K", 500, 1500),
            ("conductivity", "W/m/K", 0.02, 30),
            ("thickness", "m", 0.2e-3, 0.2),
        ):
            value = scalar_in_range(field, getattr(self, field), unit, low, high)
            object.__setattr__(self, field, value)


def fit_viscosity(points: Sequence[tuple[float, float]]) -> tuple[float, float, float]:
    """Return the constants of log10(eta/Pa.s) = A + B/(T - T0) from measured points.

    Through three points the curve is exact; through more it is the best one, by least squares of
    log10(eta/Pa.s).

    Parameters
    ----------
    points : sequence of pairs
        Three or more pairs: temperature [degC], -50 to 2000, and log10(viscosity/Pa.s) [-], -2 to 16.

    Returns
    -------
    tuple of three floats
        A [log10(Pa.s)], B [K] and T0 [degC].

    Raises
    ------
    ValueError
        With fewer than three different temperatures, when the viscosity does not fall with temperature, or
        when no such curve bends like the points.

    Notes
    -----
    Take softening point (6.6), working point (3) and annealing point (12). Leave the strain point out: the
    curve of a glass does not pass through it.

    Examples
    --------
    >>> a, b, t0 = fit_viscosity([(514, 12), (696, 6.6), (1005, 3)])
    >>> round(a, 4), round(b, 2), round(t0, 2)
    (-2.8188, 4704.23, 196.55)

    References
    ----------
    ISO 7884-2; Vogel 1921, Fulcher 1925, Tammann & Hesse 1926.
    """
    try:
        pairs = np.array(sorted(tuple(map(float, pair)) for pair in points))
    except (TypeError, ValueError):
        raise ValueError(
            "points must be pairs (temperature in degC, log10 of the viscosity in Pa.s)"
        ) from None
    if pairs.ndim != 2 or pairs.shape[1] != 2 or len(pairs) < 3:
        raise ValueError(
            f"fit_viscosity needs three or more pairs (temperature, log10 viscosity), got {len(pairs)}"
        )
    t = in_range("temperature of a point", pairs[:, 0], "degC", -50, 2000)
    log10 = in_range(
        "log10 viscosity of a point",
        pairs[:, 1],
        "",
        -2,
        16,
        hint=_logarithm_hint,
    )
    if (np.diff(t) <= 0).any() or (np.diff(log10) >= 0).any():
        raise ValueError(
            "the viscosity must fall from each point to the next hotter one, at three or more temperatures"
        )
    constants = _through_three(t, log10) if len(t) == 3 else _least_squares(t, log10)
    a, b, t0 = (float(number) for number in constants)
    if not (b > 0 and t0 < t[0]):
        raise ValueError("no curve A + B/(T - T0) bends like these points; check them for a slip")
    return a, b, t0


_WRONG_WAY = (
    "these points bend the wrong way: the viscosity of glass falls fast at first and then slowly; "
    "check them for a slip"
)


def _through_three(t: np.ndarray, log10: np.ndarray) -> np.ndarray:
    # (T3 - T0)/(T1 - T0) follows from the ratio of the two slopes
    ratio = (log10[0] - log10[1]) / (t[1] - t[0]) * (t[2] - t[1]) / (log10[1] - log10[2])
    if ratio <= 1:
        raise ValueError(_WRONG_WAY)
    t0 = (ratio * t[0] - t[2]) / (ratio - 1)
    b = (log10[0] - log10[2]) / (1 / (t[0] - t0) - 1 / (t[2] - t0))
    return np.array([log10[0] - b / (t[0] - t0), b, t0])


def _least_squares(t: np.ndarray, log10: np.ndarray) -> np.ndarray:
    """For one T0 the best A and B are a straight line over 1/(T - T0); the best T0 is searched for."""

    def line(t0: float) -> tuple[np.ndarray, float]:
        design = np.column_stack([np.ones_like(t), 1 / (t - t0)])
        best = np.linalg.lstsq(design, log10, rcond=None)[0]
        return best, float(np.sum((design @ best - log10) ** 2))

    nearest, farthest = 1e-3, t[0] + KELVIN  # K, from T0 up to the coldest point
    while farthest / nearest > 1 + 1e-12:
        apart = np.geomspace(nearest, farthest, 25)
        best = int(np.argmin([line(t[0] - each)[1] for each in apart]))
        nearest, farthest = apart[max(best - 1, 0)], apart[min(best + 1, 24)]
    t0 = t[0] - apart[best]
    if t0 < 1e-6 - KELVIN:
        raise ValueError(_WRONG_WAY)
    return np.array([*line(t0)[0], t0])


def glasses() -> pd.DataFrame:
    """Return the table of glasses, one row a glass, with units in the column names and a source each.

    Returns
    -------
    pandas.DataFrame
        The rows of `glasses.csv`, index: name.

    Examples
    --------
    >>> print(glasses().loc["kiln glass B", "expansion_1e-7_per_K"])
    96.0
    """
    import pandas as pd  # only where a table is shown

    return pd.read_csv(_resources.datasets() / "glasses.csv", index_col="name")


@lru_cache
def glass(name: str) -> Glass:
    """Return the glass of that name from the table of glasses.

    Parameters
    ----------
    name : str
        A name in `glasses()`, exactly as written there.

    Returns
    -------
    Glass
        The glass. Where its row has no viscosity constants, they are fitted through its annealing,
        softening and working points.

    Raises
    ------
    ValueError
        If there is no glass of that name; the message lists the names.

    Examples
    --------
    >>> glass("float").density
    2500.0
    """
    row = named(name, rows("glasses.csv"), "glass")
    constants = tuple(as_number(row[f"viscosity_{each}"]) for each in ("A", "B_K", "T0_degC"))
    if np.isnan(constants).all():
        fixed = ("annealing", "softening", "working")
        constants = fit_viscosity(
            [(as_number(row[f"{point}_point_degC"]), LOG10_VISCOSITY[point]) for point in fixed]
        )
    return Glass(
        name=name,
        density=as_number(row["density_kg_per_m3"]),
        expansion=as_number(row["expansion_1e-7_per_K"]) * 1e-7,
        expansion_liquid=as_number(row["expansion_liquid_1e-7_per_K"]) * 1e-7,
        youngs_modulus=as_number(row["youngs_modulus_GPa"]) * 1e9,
        poissons_ratio=as_number(row["poissons_ratio"]),
        strain_point=as_number(row["strain_point_degC"]),
        annealing_point=as_number(row["annealing_point_degC"]),
        softening_point=as_number(row["softening_point_degC"]),
        viscosity=constants,  # type: ignore[arg-type]
        stress_optic_coefficient=as_number(row["stress_optic_coefficient_1e-12_per_Pa"]) * 1e-12,
        surface_tension=as_number(row["surface_tension_N_per_m"]),
        least_log10_viscosity=as_number(row["least_log10_viscosity"]),
        conductivity_share=as_number(row["conductivity_share"]),
        heat_capacity_share=as_number(row["heat_capacity_share"]),
    )


@lru_cache
def refractory(name: str) -> Refractory:
    """Return the shelf, paper or board of that name from the table of refractories.

    Parameters
    ----------
    name : str
        A name in `refractories.csv`, exactly as written there.

    Returns
    -------
    Refractory
        The material with its measured thickness.

    Raises
    ------
    ValueError
        If there is no material of that name; the message lists the names.

    Examples
    --------
    >>> refractory("cordierite shelf 18 mm").conductivity
    1.3
    """
    row = named(name, rows("refractories.csv"), "refractory")
    return Refractory(
        name=name,
        form=row["form"],
        density=as_number(row["density_kg_per_m3"]),
        heat_capacity=as_number(row["heat_capacity_J_per_kg_K"]),
        conductivity=as_number(row["conductivity_W_per_m_K"]),
        thickness=as_number(row["thickness_mm"]) / 1000,
    )
