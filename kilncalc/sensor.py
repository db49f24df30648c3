"""What a kiln's sensor that reads wrong does to the glass: how much faster or slower it flows."""

from dataclasses import dataclass

import numpy as np

from kilncalc._ranges import scalar_in_range
from kilncalc.materials import Glass

SHARE, FLOOR = 0.0075, 2.5
"""Tolerance of a class 2 thermocouple of type K, as a share of the reading in °C, at least so many K
(EN 60584-1, from memory)."""


@dataclass(frozen=True)
class SensorOff:
    """Two glasses that a kiln holds at a temperature its sensor shows wrong.

    Attributes
    ----------
    temperature : float
        What the sensor shows [degC].
    tolerance : float
        How far off it may be [K].
    off : array
        By how much the glass is hotter than shown [K].
    faster : array
        How many times as fast the glass flows as at the temperature shown [-].
    reference : array
        The same for the other glass, at the temperature at which it is as stiff [-].
    reference_temperature : float
        That temperature [degC].
    """

    temperature: float
    tolerance: float
    off: np.ndarray
    faster: np.ndarray
    reference: np.ndarray
    reference_temperature: float

    def at_tolerance(self) -> tuple[float, float]:
        """Return how many times as fast both flow when the sensor is as far off as it may be.

        Returns
        -------
        tuple of two floats
            Of the glass and of the other one [-].
        """
        ours, theirs = (
            float(np.interp(self.tolerance, self.off, one)) for one in (self.faster, self.reference)
        )
        return ours, theirs


def tolerance(temperature: float) -> float:
    """Return how far off a class 2 thermocouple of type K may be, max(2.5, 0.0075 T).

    Parameters
    ----------
    temperature : float
        What it shows [degC], 0 to 1200.

    Returns
    -------
    float
        Either way [K].

    Raises
    ------
    ValueError
        If the temperature is out of range.

    Examples
    --------
    >>> round(tolerance(800), 1)
    6.0

    References
    ----------
    EN 60584-1 (from memory).
    """
    return max(FLOOR, SHARE * scalar_in_range("temperature", temperature, "degC", 0.0, 1200.0))


def sensor_off(glass: Glass, reference: Glass, temperature: float) -> SensorOff:
    """Return how the flow changes with the error of a sensor, eta(T) / eta(T + dT).

    Parameters
    ----------
    glass : Glass
        The glass.
    reference : Glass
        Another one, taken where it is as stiff.
    temperature : float
        What the sensor shows [degC], 550 to 900.

    Returns
    -------
    SensorOff
        Errors from -10 to 10 K, and what they do [-].

    Raises
    ------
    ValueError
        If the temperature is out of range.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> off = sensor_off(glass("kiln glass A"), glass("NBS 710"), 680.0)
    >>> round(off.tolerance, 1)
    5.1
    """
    shown = scalar_in_range("temperature", temperature, "degC", 550.0, 900.0)
    other = float(reference.temperature_at(glass.log10_viscosity(shown)))
    off = np.linspace(-10.0, 10.0, 201)
    return SensorOff(
        temperature=shown,
        tolerance=tolerance(shown),
        off=off,
        faster=np.asarray(glass.viscosity_at(shown) / glass.viscosity_at(shown + off)),
        reference=np.asarray(reference.viscosity_at(other) / reference.viscosity_at(other + off)),
        reference_temperature=other,
    )
