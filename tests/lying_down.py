"""A thin viscous sheet of small slope that lies down in a mould: bending and contact, without the package.

The elastic-viscous correspondence: the rates of a viscous sheet are the deflections of an elastic beam or
plate with 3 eta for Young's modulus and one half for Poisson's ratio. At each moment the sheet moves so that
it bends with the least effort, and nowhere through the mould. Counted in half spans, in q/D and in depths,
in all of which it is linear.
"""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import lsq_linear

NU = 0.5


@dataclass
class LyingDown:
    """Times are in those of first contact; places in half spans; gaps in depths."""

    first: np.ndarray  # speed downwards at the start, over q half^4/D
    touched: np.ndarray  # the same just after first contact
    times: np.ndarray
    gaps: np.ndarray  # between sheet and mould, (time, place)
    places: np.ndarray

    def open_at(self, time):
        """The widest gap below the sheet."""
        return float(np.interp(time, self.times, self.gaps.max(axis=1)))

    def lies_to(self, time, near=0.1):
        """How far from the middle the gap stays below a share of the depth; the middle itself lifts a bit."""
        row = self.gaps[np.searchsorted(self.times, time)]
        return float(self.places[np.argmax(row > near)])


def trapezoid(x):
    """A mould with a floor of half its width and straight flanks."""
    return np.where(x <= 0.5, 1.0, 2 * (1 - x))


def flat(x):
    """A floor below the ledges."""
    return np.ones_like(x)


def bending(places, round_):
    """Rows whose squares add up to twice the work of bending, for speeds of all places; the load on each."""
    n, h = len(places) - 1, places[1]
    curving, sloping = np.zeros((n + 1, n + 1)), np.zeros((n + 1, n + 1))
    curving[0, :2] = -2, 2  # symmetric about the middle
    for i in range(1, n):
        curving[i, i - 1 : i + 2] = 1, -2, 1
        sloping[i, i - 1 : i + 2] = -0.5, 0, 0.5
    curving, sloping = curving / h**2, sloping / h
    share = np.full(n + 1, h)
    share[0] = h / 2
    if not round_:
        return (np.sqrt(share)[:, None] * curving)[:-1], share  # no moment at the rim
    share = share * places
    share[0] = h**2 / 8
    across = np.vstack([curving[:1], sloping[1:n] / places[1:n, None]])
    end = np.zeros(n + 1)
    end[-3:] = np.array([0.5, -2, 1.5]) / h
    rows = np.sqrt(share[:n])[:, None]
    side = np.sqrt(1 - NU**2)
    return np.vstack(
        [rows * (curving[:n] + NU * across), rows * side * across, np.sqrt(h / 2) * side * end]
    ), share


def lie_down(round_, mould, until, cells=40):
    places = np.linspace(0, 1, cells + 1)
    rows, load = bending(places, round_)
    rows, load, floor = rows[:, :cells], load[:cells], -mould(places)[:cells]
    stiff = rows.T @ rows
    free = np.linalg.solve(stiff, -load)
    root = np.linalg.cholesky(stiff)
    pull = -np.linalg.solve(root, load)
    first = (floor / free).min()
    sheet, time, step = free * first, first, 0.02 * first
    times, gaps, touched = [1.0], [sheet - floor], None
    while time < until * first:
        lowest = np.minimum((floor - sheet) / step, 0.0) - 1e-12
        speed = lsq_linear(root.T, pull, bounds=(lowest, np.inf), method="bvls").x
        touched = -speed if touched is None else touched
        sheet, time, step = np.maximum(sheet + step * speed, floor), time + step, 1.06 * step
        times.append(time / first)
        gaps.append(sheet - floor)
    return LyingDown(-free, touched, np.array(times), np.array(gaps), places[:cells])
