"""The firing of a thickness map: heat that also flows sideways, stress of the real ribs, patches and dots.

Every cell has a mean temperature and, through its thickness, a parabola that carries what flows in through
both faces. Heat flows from cell to cell; a step in thickness adds the resistance of its corner. The glass
strains as one plate that is flush on z = 0 (`_plate.py`), or is held flat; structure and stress relax by the
one model of `_relaxation.py`, for the mean temperature of each cell.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import scipy.sparse as sparse
from numpy.lib.stride_tricks import sliding_window_view
from scipy.sparse.linalg import LinearOperator, SuperLU, cg, splu

from kilncalc._heat import (
    COLD,
    ORDER,
    SETTLED,
    GlassTable,
    Leg,
    air_legs,
    backward_difference,
    exchange_coefficient,
    hot_end,
    settling_time,
)
from kilncalc._plate import Plate
from kilncalc._relaxation import FROZEN, WEIGHTS, Relaxation
from kilncalc.materials import Glass, Refractory
from kilncalc.piece import ReliefMap
from kilncalc.quantities import Units

LEVELS = np.array([-1.0, -0.5, 0.0, 0.5, 1.0])
"""Where in the thickness stress is looked at: -1 the underside, 1 the top face."""

MOST_CELLS = {"free": 20_000, "flat": 80_000}
"""Cells of the largest map that is fired, by bending: measured, about 1 GB of memory and half a minute."""

_FIRST_STEP, _GROWTH = 0.2, 1.4  # of the settling time of the thinnest glass; how fast steps grow
# the largest step, in K of the air: in cold glass, where it hardly relaxes, where it does, where it is liquid
_COLD_STEP, _SOFT_STEP, _SETTING_STEP, _LIQUID_STEP = 6.0, 10.0, 6.0, 40.0
_HARDLY = 100.0  # K below the strain point: cooling glass hardly relaxes any more
_LIQUID_WITHIN = 30.0  # s in which the slowest term of liquid glass is gone
_LOOK = 2  # in cold glass the stress of every second step is looked at, and that of the last before a corner
_SETTLING = 0.8  # the largest step in a hold, in settling times of the thickest glass
_LONGEST = 1800.0  # s
_SMALL = 1e-5  # what is left of the residual of a solve


@dataclass(frozen=True, eq=False)
class MapMoment:
    """A moment of a firing and what the map shows then.

    Attributes
    ----------
    time : float
        Since the start [s].
    air : float
        Of the kiln [degC].
    temperature : ndarray
        Mean of each cell (ny, nx) [degC].
    tension : ndarray
        Largest principal stress through the thickness of each cell (ny, nx) [Pa]; glass above its strain
        point counts as zero.
    peak : float
        The largest of them [Pa].
    row, column : int
        The cell where it is [-].
    level : float
        Its height there, from -1, the underside, to 1, the top face [-].
    """

    time: float
    air: float
    temperature: np.ndarray
    tension: np.ndarray
    peak: float
    row: int
    column: int
    level: float


@dataclass(frozen=True, eq=False)
class MapMemory:
    """What a map carries into its next firing.

    Attributes
    ----------
    structure : ndarray
        Fictive temperatures (term, cell) [degC].
    terms : ndarray
        Maxwell terms of the stress once all is cold (term, row, cell) [Pa].
    thickness : ndarray
        Of the map (ny, nx) [m].
    glass : Glass
        What it is of.
    bends : bool
        Whether it was free to bend.
    """

    structure: np.ndarray
    terms: np.ndarray
    thickness: np.ndarray
    glass: Glass
    bends: bool

    def check(self, relief: ReliefMap, glass: Glass, *, bends: bool) -> None:
        """Refuse to be carried into a firing of something else.

        Parameters
        ----------
        relief : ReliefMap
            What is fired next.
        glass : Glass
            Its glass.
        bends : bool
            Whether it is free to bend.

        Raises
        ------
        ValueError
            If map, glass or bending are not the same.
        """
        if relief.shape != self.thickness.shape or not np.allclose(relief.thickness, self.thickness):
            raise ValueError("after: that firing was of a map with other cells or thicknesses")
        if glass != self.glass:
            raise ValueError(f"after: that firing was of {self.glass.name}, this piece is of {glass.name}")
        if bends != self.bends:
            words = {True: "free to bend", False: "held flat"}
            raise ValueError(
                f"after: the map was {words[self.bends]} in that firing and is {words[bends]} in this one"
            )


@dataclass(frozen=True, eq=False)
class MapFiring:
    """What a firing does to a thickness map, from moment to moment.

    Attributes
    ----------
    time, air : ndarray
        Moments [s] and the air then [degC] (time).
    tension, averaged : ndarray
        Largest tension of any cell, and of the map averaged over about the base thickness (time) [Pa].
    heating, cooling : MapMoment
        The moments of the largest tension.
    averaged_heating, averaged_cooling : float
        The largest averaged tension in each phase [Pa].
    uneven : ndarray
        The tension an uneven kiln adds where the glass is below its strain point (time) [Pa], an estimate
        that is in none of the others.
    residual : MapMoment
        What stays at room temperature.
    averaged_residual : float
        The largest averaged tension of it [Pa].
    heat_in, heat_stored : float
        Heat that has flowed in through the faces and heat that is in glass and shelf more than at the start,
        for all the map [J].
    program : tuple of arrays
        Corners of the programme: times [s] and temperatures [degC].
    heating_end : float
        When heating ends [s].
    memory : MapMemory
        What the glass carries into its next firing.
    """

    time: np.ndarray
    air: np.ndarray
    tension: np.ndarray
    averaged: np.ndarray
    heating: MapMoment
    cooling: MapMoment
    averaged_heating: float
    averaged_cooling: float
    uneven: np.ndarray
    residual: MapMoment
    averaged_residual: float
    heat_in: float
    heat_stored: float
    program: tuple[np.ndarray, np.ndarray]
    heating_end: float
    memory: MapMemory

    @property
    def ends_hot(self) -> bool:
        """Whether the schedule stops before the kiln is cold: the rest of the way down is not in it."""
        return bool(self.air[-1] > COLD)

    def warnings(self, units: Units = "both") -> list[str]:
        """Return sentences about what makes the numbers doubtful, none where all is well.

        Parameters
        ----------
        units : str
            "metric", "inches" or "both".

        Returns
        -------
        list of str
            A schedule that ends hot.
        """
        return [hot_end(self.air[-1], units)] if self.ends_hot else []

    def peak_with_unevenness(self, phase: str) -> float:
        """Return the largest sum of the averaged tension and that of an uneven kiln.

        Parameters
        ----------
        phase : str
            "heating" or "cooling"; what stays in the cold piece counts with cooling.

        Returns
        -------
        float
            The tension [Pa].

        Raises
        ------
        ValueError
            For another phase.
        """
        end = self.heating_end
        heats = self.time <= end * (1 + 1e-9)
        during = heats if _phase(phase) == "heating" else self.time >= end * (1 - 1e-9)
        return float(max((self.averaged + self.uneven)[during].max(initial=0.0), self.averaged_peak(phase)))

    def peak_tension(self, phase: str) -> float:
        """Return the largest principal tension of any cell below its strain point, unaveraged.

        Parameters
        ----------
        phase : str
            "heating" or "cooling"; cooling includes what stays.

        Returns
        -------
        float
            The tension [Pa].

        Raises
        ------
        ValueError
            For another phase.

        Notes
        -----
        At square corners, and where a step meets the rim, it grows without end as cells get smaller: judge
        by `averaged_peak`.
        """
        return {"heating": self.heating, "cooling": self.cooling}[_phase(phase)].peak

    def averaged_peak(self, phase: str) -> float:
        """Return the largest tension of the map averaged over a square about as wide as the base is thick.

        Parameters
        ----------
        phase : str
            "heating" or "cooling"; cooling includes what stays.

        Returns
        -------
        float
            The tension [Pa].

        Raises
        ------
        ValueError
            For another phase.
        """
        return {"heating": self.averaged_heating, "cooling": self.averaged_cooling}[_phase(phase)]


def _phase(phase: str) -> str:
    if phase not in ("heating", "cooling"):
        raise ValueError(f'phase must be "heating" or "cooling", got {phase!r}')
    return phase


def _constriction(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """Resistance times conductivity of a flush step between two thicknesses, for a unit of its length [-]."""
    e = np.minimum(np.minimum(one, other) / np.maximum(one, other), 1 - 1e-9)
    return ((e * e + 1) / e * np.log((1 + e) / (1 - e)) - 2 * np.log(4 * e / (1 - e * e))) / np.pi


class _Heat:
    """Mean temperatures of glass and shelf cells, and the parabola through the glass."""

    def __init__(
        self, relief: ReliefMap, glass: Glass, kiln: Any, shelf: Refractory | None, walls: bool, start: float
    ) -> None:
        d = relief.thickness
        self.d, self.cell, self.shape = d, relief.cell, d.shape
        self.kiln, self.shelf, self.table = kiln, shelf, GlassTable.of(glass)
        self.above = np.zeros_like(d) if relief.above is None else relief.above / kiln.paper_conductivity
        below = np.zeros_like(d) if relief.below is None else relief.below / kiln.paper_conductivity
        self.below = below + (kiln.contact_resistance if shelf else 0.0)
        self.corner = _constriction(d[:, 1:], d[:, :-1]), _constriction(d[1:], d[:-1])
        self.walls = _wall_area(d, self.cell) if walls else None
        self.glass = np.full(self.shape, start)
        self.mould = np.full(self.shape, start)
        self.faces = [np.full(self.shape, start) for _ in range(3)]  # what sees the kiln: top, under, shelf
        self.line = self.parabola = np.zeros(self.shape)
        self.past: list[tuple[float, np.ndarray, np.ndarray]] = []
        self.clock, self.flow, self.taken = 0.0, 0.0, 0.0
        self._inverse: LinearOperator | None = None

    def stored(self, start: float) -> float:
        """Heat in glass and shelf more than at the start [J]."""
        heat = self.d * (self.table.heat(self.glass) - self.table.heat(np.array(start)))
        if self.shelf:
            heat = heat + self.shelf.density * self.shelf.heat_capacity * self.shelf.thickness * (
                self.mould - start
            )
        return float(heat.sum() * self.cell**2)

    def fields(self) -> np.ndarray:
        """Mean, half the difference between the faces, and parabola (3, cell) [degC]."""
        return np.stack([self.glass, self.line, self.parabola]).reshape(3, -1)

    def step(self, dt: float, air: float) -> None:
        """Go on by one backward difference (BDF3), coefficients taken at the end of the step."""
        now = self.glass
        self.past = [*self.past[1 - ORDER :], (self.clock, now, self.mould)]
        self.clock += dt
        rate, history = backward_difference([self.clock - then for then, _, _ in self.past])
        glass, mould = (np.stack([one[place] for one in self.past]) for place in (1, 2))
        guess, before = np.tensordot(history, glass, 1)
        mould_before = np.tensordot(history[1], mould, 1)
        k, capacity = self.table.conductivity_and_capacity(guess.ravel()).reshape(2, *self.shape)
        film, emissivity = self.kiln.film, self.kiln.emissivity
        ahead = guess - now  # a face goes with the mean of its cell, and that of the shelf with it
        top, under, foot = (exchange_coefficient(face + ahead, air, film, emissivity) for face in self.faces)
        d = self.d
        a, b = d / (3 * k), d / (6 * k)
        half = 0.5 * self.cell / (k * d)
        # from cell to cell, for each area of a cell [W/m2/K]
        across = 1 / (half[:, 1:] + half[:, :-1] + self.corner[0] / k[:, 1:]) / self.cell
        along = 1 / (half[1:] + half[:-1] + self.corner[1] / k[1:]) / self.cell
        wall = 0.0
        if self.walls is not None:
            wall = self.walls / (1 / top + self.cell / (2 * k))
        rt = 1 / top + self.above + a
        c = rate * d * capacity
        if self.shelf is None:
            rb = 1 / under + self.below + a
            det = rt * rb - b * b
            qt, qb = (rb + b) / det, (rt + b) / det  # heat in through a face, per degree to the air
            diagonal, right = c + qt + qb + wall, d * capacity * before + (qt + qb + wall) * air
        else:
            s = self.shelf
            sa, sb = s.thickness / (3 * s.conductivity), s.thickness / (6 * s.conductivity)
            m = self.below + a + sa
            foot = foot * self.kiln.underside
            n = 1 / np.maximum(foot, 1e-9) + sa
            det = rt * (m * n - sb * sb) - b * b * n
            g11, g12, g13 = (m * n - sb * sb) / det, b * n / det, -b * sb / det
            g22, g23, g33 = rt * n / det, -rt * sb / det, (rt * m - b * b) / det
            shelf_heat = s.density * s.heat_capacity * s.thickness
            d12 = -(g12 + g22 - g13 - g23)
            d22 = rate * shelf_heat + g22 - 2 * g23 + g33
            right_below = shelf_heat * mould_before + (g13 - g12 + g33 - g23) * air
            diagonal = c + g11 + 2 * g12 + g22 + wall - d12 * d12 / d22
            right = d * capacity * before + (g11 + g12 + g13 + g23 + wall) * air - d12 * right_below / d22
        self.glass = self._solved(diagonal, across, along, right, guess)
        if self.shelf is None:
            in_top, in_below = qt * (air - self.glass), qb * (air - self.glass)
            in_foot = in_below
        else:
            self.mould = (right_below - d12 * self.glass) / d22
            one, two, three = air - self.glass, self.mould - self.glass, air - self.mould
            in_top = g11 * one + g12 * two + g13 * three
            in_below = g12 * one + g22 * two + g23 * three
            in_foot = g13 * one + g23 * two + g33 * three
            self.faces[2] = air - in_foot / np.maximum(foot, 1e-9)
        self.faces[0] = air - in_top / top
        self.faces[1] = air - in_below / under
        hot_top = self.glass + d / k * (in_top / 3 - in_below / 6)
        hot_below = self.glass + d / k * (in_below / 3 - in_top / 6)
        self.line, self.parabola = (hot_top - hot_below) / 2, (hot_top + hot_below) / 2 - self.glass
        flow = float((in_top + in_foot + wall * (air - self.glass)).sum() * self.cell**2)
        self.taken += dt * (flow + self.flow) / 2
        self.flow = flow

    def corner_ahead(self) -> None:
        """Forget the steps before: at a corner of the programme they say nothing of what comes."""
        self.past = []

    def _solved(
        self,
        diagonal: np.ndarray,
        across: np.ndarray,
        along: np.ndarray,
        right: np.ndarray,
        guess: np.ndarray,
    ) -> np.ndarray:
        total = diagonal.copy()
        total[:, :-1] += across
        total[:, 1:] += across
        total[:-1] += along
        total[1:] += along

        def flow(x: np.ndarray) -> np.ndarray:
            x = x.reshape(self.shape)
            out = total * x
            out[:, :-1] -= across * x[:, 1:]
            out[:, 1:] -= across * x[:, :-1]
            out[:-1] -= along * x[1:]
            out[1:] -= along * x[:-1]
            return out.ravel()

        if self._inverse is None:
            self._inverse = LinearOperator((total.size,) * 2, _factor(total, across, along).solve)
        found, failed = cg(
            LinearOperator((total.size,) * 2, flow),
            right.ravel(),
            x0=guess.ravel(),
            rtol=0.0,
            atol=_SMALL * float(np.sqrt(right.size) * total.mean()),
            M=self._inverse,
        )
        if failed:
            found = _factor(total, across, along).solve(right.ravel())
        return found.reshape(self.shape)


def _factor(total: np.ndarray, across: np.ndarray, along: np.ndarray) -> SuperLU:
    """Factorise what carries heat from cell to cell."""
    nx = total.shape[1]
    beside = np.pad(across, ((0, 0), (0, 1))).ravel()[:-1]
    over = along.ravel()
    matrix = sparse.diags([-over, -beside, total.ravel(), -beside, -over], [-nx, -1, 0, 1, nx], format="csc")
    return splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})


def _wall_area(d: np.ndarray, cell: float) -> np.ndarray:
    """Area of upright wall, steps and rim, for each area of its thicker cell [-]."""
    padded = np.pad(d, 1)
    middle = padded[1:-1, 1:-1]
    neighbours = padded[1:-1, :-2], padded[1:-1, 2:], padded[:-2, 1:-1], padded[2:, 1:-1]
    return sum(np.maximum(middle - other, 0.0) for other in neighbours) / cell


class _Stress:
    """Stress of the cells, term by term, in the rows that `Plate` counts by."""

    def __init__(self, plate: Plate, glass: Glass, temperature: np.ndarray, after: MapMemory | None) -> None:
        self.plate, self.glass, self.relaxation = plate, glass, Relaxation.of(glass)
        self.per_kelvin = float(plate.elastic[0, 0] + plate.elastic[0, 1])  # both ways, for a unit of strain
        n = plate.thickness.size
        if after:
            self.structure, self.terms = after.structure, after.terms.copy()
        else:
            self.structure = self.relaxation.annealed(temperature)
            self.terms = np.zeros((len(WEIGHTS), plate.rows, n))
        self.zero = np.stack([temperature, np.zeros(n), np.zeros(n)])  # since when it is elastic
        self.largest = 0.0  # energy so far
        # what the step before says of the next one
        self.before = 1.0  # its length [s]
        self.middle = self.slope = np.full(
            n, glass.expansion
        )  # strain for a degree, in its middle, at its end
        self.pace = np.zeros(n)  # how fast the mean fictive temperature changed [K/s]
        self.moving = np.zeros(plate.free.size)  # how fast the unknowns moved

    def held(self, thermal: np.ndarray) -> np.ndarray:
        """Stress of cells that are held and want to strain so: mean, line and parabola (3, cell)."""
        stress = np.zeros(self.terms.shape[1:])
        stress[[0, 1]], stress[[3, 4]], stress[6] = -self.per_kelvin * thermal
        return stress

    def elastic(self, now: np.ndarray) -> np.ndarray:
        """Stress while nothing relaxes since `zero`; `now` is mean, line and parabola (3, cell) [degC]."""
        held = self.held(self.glass.expansion * (now - self.zero))
        answer, energy = self.plate.spring(held)
        self.largest = max(self.largest, energy)
        return held + answer + self.terms.sum(axis=0)

    def hold(self, now: np.ndarray) -> None:
        """Let the terms carry the stress of now; from here on it is counted."""
        self.terms += WEIGHTS[:, None, None] * (self.elastic(now) - self.terms.sum(axis=0))
        self.zero = now

    def melt(self, now: np.ndarray) -> None:
        """Nothing is carried by liquid glass."""
        self.structure = np.tile(now[0], (len(WEIGHTS), 1))
        self.terms[:] = 0.0
        self.zero = now

    def relax(self, dt: float, now: np.ndarray) -> np.ndarray:
        """Follow structure and stress over one step, from `zero` to `now`."""
        glass, old = self.glass, self.zero
        fictive, reduced, self.structure = self.relaxation.structure(
            np.array([0.0, dt]), np.stack([old[0], now[0]]), self.structure, self.pace
        )
        self.pace = (fictive[1] - fictive[0]) / dt
        left, taken = (one[0] for one in self.relaxation.stress_factors(reduced))
        between = glass.expansion, glass.expansion_liquid
        warmer = now[0] - old[0]
        thermal = glass.expansion * warmer + (between[1] - between[0]) * (fictive[1] - fictive[0])
        moved = np.abs(warmer) > 1e-3
        middle = np.where(moved, np.clip(thermal / np.where(moved, warmer, 1.0), *between), self.middle)
        slope = np.clip(middle + (middle - self.middle) * dt / (dt + self.before), *between)
        held = self.held(np.stack([thermal, *(slope * now[1:] - self.slope * old[1:])]))
        self.terms *= left[:, None]
        share = taken.sum(axis=0)
        unbalanced = self.terms.sum(axis=0) + share * held
        moves, answer, energy = self.plate.answer(unbalanced, share, self.moving * dt, self.largest)
        self.terms += taken[:, None] * (held + answer)
        self.zero, self.before, self.middle, self.slope = now, dt, middle, slope
        self.moving, self.largest = moves / dt, max(self.largest, energy)
        return self.terms.sum(axis=0)


def _principal(stress: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Largest principal stress through the thickness of each cell [Pa], and the level where it is [-]."""
    z = LEVELS[:, None]
    x, y, shear = (stress[i] + stress[3 + i] * z for i in range(3))
    stress = (x + y) / 2 + stress[6] * (1.5 * z * z - 0.5) + np.sqrt((x - y) ** 2 / 4 + shear**2)
    worst = stress.argmax(axis=0)
    return np.take_along_axis(stress, worst[None], axis=0)[0], LEVELS[worst]


def _steps(
    legs: list[Leg],
    fastest: float,
    slowest: Callable[[float], float],
    largest: Callable[[float], float],
) -> list[list[float]]:
    """Return the lengths of the steps of each leg [s]: small after a corner and while glass sets."""
    found = []
    for leg in legs:
        step, done, of_leg = _FIRST_STEP * fastest, 0.0, []
        slow = slowest(leg.start)
        while done < leg.duration:
            slope = leg.slope_at(done)
            if slope:
                step = min(step, largest(float(leg.air(done))) / abs(slope))
            elif done < SETTLED * slow:
                step = min(step, _SETTLING * slow)
            rest = leg.duration - done
            step = rest if step > 0.7 * rest else min(step, _LONGEST)
            of_leg.append(step)
            done += step
            step *= _GROWTH
        found.append(of_leg)
    return found


def averaged(tension: np.ndarray, relief: ReliefMap) -> np.ndarray:
    """Return a map averaged over a square about as wide as the base is thick, by which it is judged.

    Parameters
    ----------
    tension : ndarray
        Of the cells (ny, nx) [Pa], -1e12 to 1e12.
    relief : ReliefMap
        Whose it is.

    Returns
    -------
    ndarray
        The averaged map (ny, nx) [Pa].

    Examples
    --------
    >>> tile = ReliefMap(np.full((3, 3), 0.006), 0.002)
    >>> averaged(np.array([[0.0, 0, 0], [0, 9, 0], [0, 0, 0]]), tile)[1, 1].item()
    1.0
    """
    cells = max(1, round(relief.base / relief.cell))
    before = cells // 2
    padded = np.pad(tension, (before, cells - 1 - before), mode="edge")
    return sliding_window_view(padded, (cells, cells)).mean(axis=(-2, -1))


def fire_map(
    schedule: Any,
    relief: ReliefMap,
    glass: Glass,
    kiln: Any,
    shelf: Refractory | None,
    *,
    bends: bool,
    walls: bool = False,
    after: MapMemory | None = None,
    progress: Callable[[float], None] | None = None,
    watch: Callable[[MapMoment], None] | None = None,
) -> MapFiring:
    """Return what a schedule does to a thickness map.

    Heat: rho c d dT/dt = div(k d grad T) + q_top + q_bottom. Stress: D (eps0 + z kappa - eps_th), relaxing.

    Parameters
    ----------
    schedule : Schedule
        The programme.
    relief : ReliefMap
        What is fired.
    glass : Glass
        Its glass.
    kiln : Kiln
        Where it is fired.
    shelf : Refractory or None
        What it lies on; None: the open.
    bends : bool
        False: held flat.
    walls : bool
        Whether upright walls exchange heat as well.
    after : MapMemory or None
        What the firing before left; None: annealed glass.
    progress : function or None
        Called with the share that is done [-], 0 to 1.
    watch : function or None
        Called with every moment that is looked at, in order; what stays is none of them.

    Returns
    -------
    MapFiring
        Tension in time [Pa], maps at the worst moments, what stays.

    Raises
    ------
    ValueError
        If the map has more than `MOST_CELLS`, or the firing before was of something else.

    Notes
    -----
    `firing.fire` is the way to it: it checks what it is given. Glass comes into the kiln annealed, or as the
    firing before left it. Peaks at square corners, and where a step meets the rim, do not converge; cells at
    a step show up to 15 % of false bending. Without `walls` a narrow rib reads too high: 10 mm wide on 3 mm,
    by two fifths if it is 3 mm high and two thirds if it is 6.

    Measured on a busy machine, one thread: through a whole schedule 60 x 60 cells take 1 s and 25 MB held
    flat, 1.9 s and 125 MB free; 120 x 120 cells some 4 and 10 s, 110 and 580 MB
    (`tests/benchmarks/bench_relief.py`).

    Examples
    --------
    >>> from kilncalc.firing import Kiln
    >>> from kilncalc.materials import glass
    >>> from kilncalc.schedule import Schedule, Segment
    >>> tile = np.full((10, 10), 0.003)
    >>> tile[:, 4:6] = 0.006
    >>> relief = ReliefMap(tile, 0.01)
    >>> float_glass = glass("float")
    >>> heated = fire_map(Schedule([Segment(150, 300)]), relief, float_glass, Kiln(), None, bends=False)
    >>> f"{heated.peak_tension('heating') / 1e6:.1f} MPa in column {heated.heating.column}"
    '1.4 MPa in column 4'

    References
    ----------
    Own derivation, verified against full three-dimensional finite elements (-2 to +7 % on seven cases).
    """
    bending = "free" if bends else "flat"
    if relief.thickness.size > MOST_CELLS[bending]:
        raise ValueError(
            f"thickness has {relief.shape[0]} x {relief.shape[1]} cells; a piece whose bending is "
            f'"{bending}" is fired with at most {MOST_CELLS[bending]}: take larger cells'
        )
    if after:
        after.check(relief, glass, bends=bends)
    legs, program, heating_end = air_legs(schedule, kiln.room, kiln.fastest_heating, kiln.cooling_time)
    heat = _Heat(relief, glass, kiln, shelf, walls, schedule.start)
    plate = Plate(relief.thickness, relief.cell, glass.youngs_modulus, glass.poissons_ratio, bends=bends)
    stress = _Stress(plate, glass, heat.glass.ravel(), after)
    cold, liquid = glass.strain_point - FROZEN, stress.relaxation.gone_within(_LIQUID_WITHIN)
    thinnest, thickest = float(relief.thickness.min()), float(relief.thickness.max())
    fastest = settling_time(glass, thinnest, schedule.start, kiln.film, kiln.emissivity)

    def largest(air: float) -> float:
        if air < cold:
            return _COLD_STEP
        if air >= liquid:
            return _LIQUID_STEP
        return _SOFT_STEP if air < glass.strain_point - _HARDLY else _SETTING_STEP

    steps = _steps(
        legs,
        fastest,
        lambda air: settling_time(glass, thickest, air, kiln.film, kiln.emissivity),
        largest,
    )
    whole = sum(map(len, steps))
    clock, done, state = 0.0, 0, "cold"
    times, airs, tension, evened, uneven = [], [], [], [], []
    volume = relief.thickness / relief.thickness.sum()
    worst: dict[str, MapMoment | None] = {"heating": None, "cooling": None}
    even = {"heating": 0.0, "cooling": 0.0}

    def look(stress_now: np.ndarray, air: float) -> None:
        value, level = _principal(stress_now)
        counted = np.where(heat.glass.ravel() <= glass.strain_point, value, 0.0)
        place = int(counted.argmax())
        peak = float(counted[place])
        smooth = float(averaged(counted.reshape(relief.shape), relief).max())
        phase = "heating" if clock <= heating_end * (1 + 1e-9) else "cooling"
        even[phase] = max(even[phase], smooth)
        times.append(clock)
        airs.append(air)
        tension.append(max(peak, 0.0))
        evened.append(max(smooth, 0.0))
        mean = float((heat.glass * volume).sum())
        pull = glass.youngs_modulus * glass.expansion * kiln.unevenness * abs(air - mean) / 2
        uneven.append(pull if mean < glass.strain_point else 0.0)
        row, column = divmod(place, relief.shape[1])
        moment = MapMoment(
            clock, air, heat.glass, counted.reshape(relief.shape), peak, row, column, float(level[place])
        )
        if watch and clock > 0:
            watch(moment)
        best = worst[phase]
        if best is None or peak > best.peak:
            worst[phase] = moment

    now = heat.fields()
    look(stress.terms.sum(axis=0), schedule.start)
    for leg, of_leg in zip(legs, steps, strict=True):
        heat.corner_ahead()
        within = 0.0
        for number, dt in enumerate(of_leg, start=1):
            within += dt
            clock += dt
            air = float(leg.air(within))
            heat.step(dt, air)
            before, now = now, heat.fields()
            if now[0].max() <= cold:
                state = "cold"
                if number % _LOOK == 0 or number == len(of_leg):
                    look(stress.elastic(now), air)
            elif now[0].min() >= liquid:
                state = "liquid"
                stress.melt(now)
            else:
                if state == "cold":
                    stress.hold(before)
                state = "setting"
                look(stress.relax(dt, now), air)
            done += 1
            if progress:
                progress(done / whole)
    # what stays: the last temperatures evened out to the air's
    flat = np.zeros_like(now)
    flat[0] = now[0].mean()
    if state != "liquid":
        stress.hold(flat)
    left = stress.terms.sum(axis=0)
    value, level = _principal(left)
    place = int(value.argmax())
    row, column = divmod(place, relief.shape[1])
    cold_map = flat[0].reshape(relief.shape)
    stays = MapMoment(
        clock,
        airs[-1],
        cold_map,
        value.reshape(relief.shape),
        float(value[place]),
        row,
        column,
        float(level[place]),
    )
    cooling = worst["cooling"]
    if cooling is None or stays.peak > cooling.peak:
        cooling = stays
    smooth = float(averaged(stays.tension, relief).max())
    return MapFiring(
        time=np.array(times),
        air=np.array(airs),
        tension=np.array(tension),
        averaged=np.array(evened),
        heating=worst["heating"] or stays,
        cooling=cooling,
        averaged_heating=even["heating"],
        averaged_cooling=max(even["cooling"], smooth),
        uneven=np.array(uneven),
        residual=stays,
        averaged_residual=max(smooth, 0.0),
        heat_in=heat.taken,
        heat_stored=heat.stored(schedule.start),
        program=program,
        heating_end=float(heating_end),
        memory=MapMemory(stress.structure, stress.terms, relief.thickness, glass, bends),
    )
