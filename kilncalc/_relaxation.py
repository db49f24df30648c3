"""How glass relaxes: the one model of structure and stress behind every firing.

Tool's fictive temperature, Narayanaswamy's reduced time, a spectrum of Maxwell elements. A fictive
temperature is the temperature at which the structure that the glass now has would be in equilibrium.
"""

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from kilncalc._ranges import ArrayLike
from kilncalc.materials import KELVIN, Glass

WEIGHTS = np.array([0.05523, 0.08205, 0.1215, 0.2286, 0.2860, 0.2265])
WEIGHTS = WEIGHTS / WEIGHTS.sum()
STRESS_TIMES = np.array([6.658e-5, 1.197e-3, 1.514e-2, 0.1672, 0.7497, 3.292])
STRUCTURE_TIMES = np.array([5.965e-4, 1.077e-2, 0.1362, 1.505, 6.747, 29.63])
"""Proportions of the spectrum (Carre & Daudeville; Nielsen et al. 2010); the scale follows from the glass."""

SHARE_OF_TEMPERATURE = 0.5
"""x: how far the temperature, not the structure, sets the speed of relaxation [-]."""

FROZEN = 250.0
"""Glass this far below its strain point no longer relaxes [K]."""

ANNEALED_AT = 30.0
"""How fast the glass that comes into the kiln was once cooled through its annealing range [degC/h]: an
assumption, near what sheet glass and well annealed pieces get (no source)."""


@dataclass(frozen=True)
class Relaxation:
    """The relaxation of one glass.

    The mean stress relaxation time at the annealing point is (10^12 Pa.s)/G. Elsewhere relaxation runs
    phi = exp[(H/R)(1/Ta - x/T - (1 - x)/Tf)] times as fast, with kelvin inside and H/R from strain and
    annealing point.
    """

    stress_times: np.ndarray  # at the annealing point [s]
    structure_times: np.ndarray  # at the annealing point [s]
    activation: float  # H/R [K]
    annealing_point: float  # [K]

    @classmethod
    def of(cls, glass: Glass) -> "Relaxation":
        shear_modulus = glass.youngs_modulus / (2 * (1 + glass.poissons_ratio))
        scale = 1e12 / shear_modulus / (WEIGHTS @ STRESS_TIMES)
        annealing, strain = glass.annealing_point + KELVIN, glass.strain_point + KELVIN
        activation = np.log(10**1.5) / (1 / strain - 1 / annealing)
        return cls(scale * STRESS_TIMES, scale * STRUCTURE_TIMES, activation, annealing)

    @property
    def liquid(self) -> float:
        """The temperature at which even the slowest term is gone within a second [degC]."""
        return self.gone_within(1.0)

    def gone_within(self, seconds: float) -> float:
        """Return the temperature at which even the slowest term is gone within a time [degC]."""
        slowest = self.structure_times.max()
        return 1 / (1 / self.annealing_point - np.log(slowest / seconds) / self.activation) - KELVIN

    def structure(
        self, times: np.ndarray, temperature: np.ndarray, start: np.ndarray, pace: ArrayLike = 0.0
    ) -> tuple[np.ndarray, ...]:
        """Follow the structure over the rows of `temperature` (time, node) [degC].

        `start` (term, node) are the fictive temperatures at the first row. Returns their weighted mean
        (time, node), the reduced time passed in each step (time - 1, node) [s], and the fictive
        temperatures at the end. dTf_i/dt = phi (T - Tf_i)/tau_i is integrated exactly for a temperature
        that changes in proportion to reduced time; phi is averaged over the step as an exponential between
        its ends, for the structure in its middle, which the step before points to: `pace` is how fast the
        weighted mean changed before the first row [K/s].
        """
        steps = np.diff(times)
        speed = self._speed(temperature) * steps[:, None]
        change = np.diff(temperature, axis=0)
        ahead = [
            0.5,
            *(0.5 * steps[1:] / steps[:-1]),
        ]  # extrapolates the last change to the middle of the step
        mean = np.empty_like(temperature)
        reduced = np.empty_like(speed)
        lag = start - temperature[0]  # Tf_i - T
        mean[0] = temperature[0] + WEIGHTS @ lag
        mean_change = np.asarray(pace) * steps[0] + 0.0 * mean[0]
        for i, share in enumerate(ahead):
            middle = mean[i] + share * mean_change
            reduced[i] = speed[i] * self._share_of_structure(middle)
            lag += self._caught_up(lag, change[i], reduced[i])
            mean[i + 1] = temperature[i + 1] + WEIGHTS @ lag
            mean_change = mean[i + 1] - mean[i]
        return mean, reduced, temperature[-1] + lag

    def _speed(self, temperature: np.ndarray) -> np.ndarray:
        """Return the part of phi that the temperature sets, its mean over each step (time - 1, node) [-]."""
        exponent = self.activation * (
            1 / self.annealing_point - SHARE_OF_TEMPERATURE / (temperature + KELVIN)
        )
        return _mean_exponential(exponent[:-1], exponent[1:])

    def _share_of_structure(self, fictive: np.ndarray) -> np.ndarray:
        """Return the part of phi that the structure sets [-]; with `_speed` it makes phi."""
        return np.exp(-self.activation * (1 - SHARE_OF_TEMPERATURE) / (fictive + KELVIN))

    def _caught_up(self, lag: np.ndarray, change: ArrayLike, reduced: np.ndarray) -> np.ndarray:
        """Return what a step of temperature and of reduced time adds to each Tf_i - T (term, node) [K]."""
        ratio = reduced / self.structure_times[:, None] + 1e-300  # never divides by zero
        return np.expm1(-ratio) * (lag + change / ratio)

    def annealed(self, temperature: np.ndarray) -> np.ndarray:
        """Return the fictive temperatures (term, node) of glass that was cooled evenly at `ANNEALED_AT`, from
        equilibrium at the annealing point down to its `temperature` (node) [degC]; hotter glass is at
        equilibrium.
        """
        course, structure = _annealed_course(
            tuple(self.structure_times.tolist()), self.activation, self.annealing_point
        )
        if temperature.min() >= course[-1]:
            return np.tile(temperature, (len(WEIGHTS), 1))
        cooled = np.array([np.interp(temperature, course, term) for term in structure])
        return np.where(temperature >= course[-1], temperature, cooled)

    def stress_factors(self, reduced: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return what is left of each Maxwell term after a step, and what it takes up of a strain during it.

        Both (time, term, node) [-]: exp(-r) and w (1 - exp(-r))/r with r = reduced time / stress time.
        """
        ratio = reduced[:, None, :] / self.stress_times[:, None] + 1e-300  # never divides by zero
        gone = np.expm1(-ratio)  # exp(-r) - 1
        return 1.0 + gone, WEIGHTS[:, None] * (-gone / ratio)


@lru_cache(maxsize=64)
def _annealed_course(
    structure_times: tuple[float, ...], activation: float, annealing_point: float
) -> tuple[np.ndarray, np.ndarray]:
    """Return temperatures, rising [degC], and there the fictive temperatures (term, temperature) [degC] of a
    slow uniform cooling from the annealing point."""
    relaxation = Relaxation(np.empty(0), np.array(structure_times), activation, annealing_point)
    hot = annealing_point - KELVIN
    down = hot - np.arange(0.0, hot + 50.0)
    passed = relaxation._speed(down[:, None]) * 3600.0 / ANNEALED_AT  # one kelvin a step
    structure = np.full((len(structure_times), 1), hot)
    course = [structure]
    for (warm, cool), reduced in zip(pairwise(down.tolist()), passed, strict=True):
        lag = structure - warm
        reduced = reduced * relaxation._share_of_structure(WEIGHTS @ structure)
        structure = cool + lag + relaxation._caught_up(lag, cool - warm, reduced)
        course.append(structure)
    return down[::-1], np.hstack(course)[:, ::-1]


def _mean_exponential(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Mean of exp() on a straight line from a to b."""
    difference = b - a
    near = np.abs(difference) < 1e-4
    safe = np.where(near, 1.0, difference)
    return np.where(near, np.exp(0.5 * (a + b)), (np.exp(b) - np.exp(a)) / safe)
