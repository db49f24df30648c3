"""Annealing: closed forms for a slab, the numbers that a pocket calculator can check."""

import math
from typing import Any, NamedTuple

import numpy as np

from kilncalc._ranges import ArrayLike, in_range, like_input
from kilncalc.materials import Glass
from kilncalc.schedule import degrees_per_second

NEUTRAL_DEPTH = (1 - 1 / math.sqrt(3)) / 2
"""Where the stress of a slab changes its sign: 0.2113 of the thickness below each face [-]."""


# ------------------------------------------------------------------ closed forms for a slab


class SlabStress(NamedTuple):
    """Stress of a slab while its temperature changes steadily, tension positive.

    Parameters
    ----------
    middle : float or array
        At half the thickness [Pa], -1e12 to 1e12.
    face : float or array
        At both faces [Pa], -1e12 to 1e12.
    """

    middle: Any
    face: Any

    def at(self, position: ArrayLike) -> Any:
        """Return the stress at a place in the slab, sigma = middle (1 - 3 position^2).

        Parameters
        ----------
        position : float or array
            Distance from the middle over the half-thickness [-], -1 to 1.

        Returns
        -------
        float or array
            Stress [Pa].

        Raises
        ------
        ValueError
            Outside the slab.
        """
        xi = in_range("position", position, "", -1.0, 1.0)
        return like_input(np.asarray(self.middle) * (1 - 3 * xi**2))


def diffusivity(glass: Glass, temperature: ArrayLike) -> Any:
    """Return how fast heat spreads in a glass, a = k/(rho c).

    Parameters
    ----------
    glass : Glass
        The glass.
    temperature : float or array
        Its temperature [degC], -50 to 1500.

    Returns
    -------
    float or array
        Thermal diffusivity [m2/s], shape of `temperature`.

    Raises
    ------
    ValueError
        If the temperature is outside its range.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> print(f"{diffusivity(glass('float'), 500):.2e}")
    4.79e-07
    """
    k, c = glass.conductivity(temperature), glass.heat_capacity(temperature)
    return like_input(np.asarray(k) / (glass.density * np.asarray(c)))


def slab_lag(rate: ArrayLike, half_thickness: ArrayLike, diffusivity: ArrayLike) -> Any:
    """Return how far the middle of a slab is behind its faces, R L^2/(2 a), once heating or cooling is
    steady.

    Parameters
    ----------
    rate : float or array
        Rate of both faces R [degC/h], -100000 to 100000; positive heats.
    half_thickness : float or array
        Half the thickness L [m], 0.1e-3 to 0.15. The whole thickness, if heat passes one face only.
    diffusivity : float or array
        Thermal diffusivity a [m2/s], 1e-8 to 1e-5.

    Returns
    -------
    float or array
        Temperature of the faces less that of the middle [K].

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    Reached after about 2 L^2/a. It grows with the square of the thickness.

    Examples
    --------
    >>> round(slab_lag(100, 0.006, 4.8e-7), 2)
    1.04

    References
    ----------
    Adams & Williamson 1920, J. Franklin Inst. 190, 597.
    """
    r, half, a = _slab(rate, half_thickness, diffusivity)
    return like_input(r * half**2 / (2 * a))


def slab_stress(
    rate: ArrayLike, half_thickness: ArrayLike, glass: Glass, temperature: float | None = None
) -> SlabStress:
    """Return the stress of a slab heated or cooled steadily through both faces, free to stretch.

    Middle: E alpha R L^2/(6 a (1 - nu)); faces: twice that with the other sign.

    Parameters
    ----------
    rate : float or array
        Rate R [degC/h], -100000 to 100000; positive heats.
    half_thickness : float or array
        Half the thickness L [m], 0.1e-3 to 0.15.
    glass : Glass
        The glass.
    temperature : float or None
        Where its diffusivity is taken [degC], -50 to 1500. None: its strain point.

    Returns
    -------
    SlabStress
        `middle` and `face` [Pa], tension positive.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    Elastic: it goes away when the rate stops. What a slab keeps when it was cooled through its annealing
    range at this rate has the same size and the other sign, times about 1.7: structural
    relaxation makes 40 % of the total (Gardon & Narayanaswamy 1970).

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> heating = slab_stress(100, 0.006, glass("float"))
    >>> print(f"{heating.middle / 1e6:.2f} and {heating.face / 1e6:.2f} MPa")
    0.27 and -0.55 MPa

    References
    ----------
    Adams & Williamson 1920, J. Franklin Inst. 190, 597.
    """
    a = diffusivity(glass, glass.strain_point if temperature is None else temperature)
    lag = np.asarray(slab_lag(rate, half_thickness, a))
    middle = glass.youngs_modulus * glass.expansion / (1 - glass.poissons_ratio) * lag / 3
    return SlabStress(like_input(middle), like_input(-2 * middle))


def _slab(
    rate: ArrayLike, half_thickness: ArrayLike, diffusivity: ArrayLike
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    per_hour = in_range("rate", rate, "degC/h", -1e5, 1e5)
    half = in_range("half_thickness", half_thickness, "m", 0.1e-3, 0.15)
    a = in_range("diffusivity", diffusivity, "m2/s", 1e-8, 1e-5)
    return per_hour * degrees_per_second(1.0), half, a


# ------------------------------------------------------------------ how much, for how long


def tension_for(time: ArrayLike) -> Any:
    """Return the tension that annealed glass may carry for a time, 45 MPa k_mod x 0.8 x 0.6/1.8.

    k_mod = 0.663 t^(-1/16) with t in hours, at most 1 (5 s and shorter) and at least 0.25.

    Parameters
    ----------
    time : float or array
        How long the tension lasts [s], > 0, at most 1e11.

    Returns
    -------
    float or array
        The tension [Pa], shape of `time`.

    Raises
    ------
    ValueError
        If the time is outside its range.

    Notes
    -----
    0.8 for an edge, 0.6 for an abraded surface, 1.8 for safety. For fifty years it is `ALLOWED_TENSION`,
    3.5 MPa; a pull that lasts hours, as in a firing, would bear twice that, if the surface is no worse than
    an abraded one. Glass tires in moist air: hot dry glass is on the safe side. A rule for window panes,
    used here as a scale.

    Examples
    --------
    >>> print(f"{tension_for(6 * 3600) / 1e6:.1f} MPa")
    7.1 MPa

    References
    ----------
    EN 16612, annealed float (45 MPa; k_mod, formula from memory; 0.8 from memory).
    """
    hours = in_range("time", time, "s", 0.0, 1e11, open_low=True) / 3600.0
    k_mod = np.clip(0.663 * hours ** (-1 / 16), 0.25, 1.0)
    return like_input(45e6 * k_mod * 0.8 * 0.6 / 1.8)
