"""A second way to the same firing, for tests only: scipy's LSODA through each zone, finely cut, and a stress
that is followed in very small steps. Solid pieces; nothing of `_heat`, `_relaxation` or `_stress` is used but
what the air does. Slow, and written for being right."""

from dataclasses import dataclass

import numpy as np
from scipy.constants import sigma
from scipy.integrate import solve_ivp

from kilncalc._heat import air_legs
from kilncalc.materials import refractory

WEIGHTS = np.array([0.05523, 0.08205, 0.1215, 0.2286, 0.2860, 0.2265])
WEIGHTS = WEIGHTS / WEIGHTS.sum()
STRESS_TIMES = np.array([6.658e-5, 1.197e-3, 1.514e-2, 0.1672, 0.7497, 3.292])
STRUCTURE_TIMES = np.array([5.965e-4, 1.077e-2, 0.1362, 1.505, 6.747, 29.63])


@dataclass(frozen=True)
class Reference:
    """Largest tension of heating and cooling, the residual's ends, and the range of the glass."""

    heating: float
    cooling: float
    most: float
    least: float
    coldest: float
    hottest: float


class _Column:
    """One zone from its shelf to its top face, as an ordinary differential equation."""

    def __init__(self, piece, zone, kiln, cells):
        glass, shelf = piece.glass, refractory("cordierite shelf 18 mm")
        paper = zone.paper / kiln.paper_conductivity
        below = piece.support if zone.below in (None, "paper") else zone.below
        under = paper if zone.below == "paper" else 0.0
        spacing = zone.thickness / cells
        half = np.ones(cells + 1)
        half[[0, -1]] = 0.5
        mass, capacity, link, fixed = list(half * spacing), [0.0] * (cells + 1), [1 / spacing] * cells, []
        fixed = [0.0] * cells
        self.first = 0
        self.bottom = 1.0
        if below == "shelf":
            n = cells // 2
            gap = shelf.thickness / n
            ends = np.ones(n + 1)
            ends[[0, -1]] = 0.5
            mass = [0.0] * (n + 1) + mass
            capacity = list(ends * gap * shelf.density * shelf.heat_capacity) + capacity
            link = [0.0] * (n + 1) + link
            fixed = [shelf.conductivity / gap] * n + [1 / (kiln.contact_resistance + under)] + fixed
            self.first = n + 1
            self.bottom = kiln.underside
            under = 0.0
        self.under = under  # paper between glass and air
        self.over = paper if zone.above == "paper" else 0.0
        self.mass, self.capacity, self.link, self.fixed = map(np.array, (mass, capacity, link, fixed))
        self.glass, self.kiln, self.size = glass, kiln, len(mass)

    def _flux(self, surface, air, resistance):
        """From the air into a face, through paper whose outer face is in balance."""
        s, a = surface + 273.15, air + 273.15
        outer = s
        for _ in range(30 if resistance else 1):
            h = self.kiln.film + self.kiln.emissivity * sigma * (outer**2 + a**2) * (outer + a)
            flux = h * (a - s) / (1 + h * resistance)
            outer = s + flux * resistance
        return flux

    def slope(self, t, temperature, air_at):
        air = air_at(t)
        k = self.glass.conductivity(temperature)
        c = self.glass.heat_capacity(temperature)
        upward = (0.5 * (k[1:] + k[:-1]) * self.link + self.fixed) * (temperature[:-1] - temperature[1:])
        heat = np.zeros(self.size)
        heat[1:] += upward
        heat[:-1] -= upward
        heat[0] += self.bottom * self._flux(temperature[0], air, self.under)
        heat[-1] += self._flux(temperature[-1], air, self.over)
        return heat / (self.mass * self.glass.density * c + self.capacity)


def reference(schedule, piece, kiln, cells=20, rtol=1e-7):
    """Fire a solid piece the slow way."""
    legs, _, heating_end = air_legs(schedule, kiln.room, kiln.fastest_heating, kiln.cooling_time)
    columns = [_Column(piece, zone, kiln, cells) for zone in piece.body]
    state = [np.full(column.size, schedule.start) for column in columns]
    times, courses, airs, clock = [], [[] for _ in columns], [], 0.0
    for leg in legs:
        dense = []
        for i, column in enumerate(columns):
            done = solve_ivp(
                column.slope,
                (0.0, leg.duration),
                state[i],
                method="LSODA",
                lband=1,
                uband=1,
                rtol=rtol,
                atol=1e-5,
                dense_output=True,
                args=(leg.air,),
            )
            assert done.success, done.message
            dense.append(done)
            state[i] = done.y[:, -1]
        own = np.unique(np.concatenate([one.t for one in dense]))
        own = np.unique(np.concatenate([own, np.linspace(0, leg.duration, 150)]))
        own = np.unique(np.concatenate([own, 0.5 * (own[1:] + own[:-1])]))[0 if not times else 1 :]
        times.append(clock + own)
        airs.append(leg.air(own))
        for i, (column, one) in enumerate(zip(columns, dense, strict=True)):
            courses[i].append(one.sol(own)[column.first :].T)
        clock += leg.duration
    time = np.concatenate(times)
    temperature = np.stack([np.concatenate(course) for course in courses], axis=1)  # time, zone, node
    return _stress(piece, time, temperature, heating_end)


def _stress(piece, time, temperature, heating_end):
    glass = piece.glass
    n = temperature.shape[2]
    simpson = np.ones(n)
    simpson[1:-1:2], simpson[2:-1:2] = 4, 2
    simpson /= simpson.sum()
    thickness = np.array([zone.thickness for zone in piece.body])
    z = np.linspace(0, 1, n) * thickness[:, None]
    weight = np.array([zone.share for zone in piece.body])[:, None] * thickness[:, None] * simpson
    shapes = [np.ones_like(z), z] if piece.bending == "free" else [np.ones_like(z)]
    shear = glass.youngs_modulus / (2 * (1 + glass.poissons_ratio))
    scale = 1e12 / shear / (WEIGHTS @ STRESS_TIMES)
    annealing, strain_point = glass.annealing_point + 273.15, glass.strain_point + 273.15
    h = np.log(10**1.5) / (1 / strain_point - 1 / annealing)
    tau = (scale * STRESS_TIMES)[:, None, None]
    tau_s = (scale * STRUCTURE_TIMES)[:, None, None]
    modulus = glass.youngs_modulus / (1 - glass.poissons_ratio)
    w = WEIGHTS[:, None, None]
    alpha, rest = glass.expansion, glass.expansion_liquid - glass.expansion

    def speed(t, fictive):
        return np.exp(h * (1 / annealing - 0.5 / (t + 273.15) - 0.5 / (fictive + 273.15)))

    def structure_step(fictive, t0, t1, dt):
        """Second order: the speed at the middle of the step, found from half a step."""
        after = fictive
        for _ in range(2):
            middle = 0.5 * (fictive + after)
            reduced = dt * speed(0.5 * (t0 + t1), (w * middle).sum(axis=0))
            r = reduced / tau_s + 1e-200
            gone = -np.expm1(-r)
            after = t1 + (fictive - t0) * (1 - gone) - (t1 - t0) * gone / r
        return after, reduced

    def balanced(stiffness, stress):
        """The strain that takes the forces of a stress away."""
        a = np.array([[(weight * stiffness * p * q).sum() for p in shapes] for q in shapes])
        b = -np.array([(weight * stress * q).sum() for q in shapes])
        return sum(x * p for x, p in zip(np.linalg.solve(a, b), shapes, strict=True))

    # the glass before: cooled at 30 degC/h from equilibrium at the annealing point
    start = float(temperature[0, 0, 0])
    fictive = np.full((6, len(z), n), max(glass.annealing_point, start))
    warm = glass.annealing_point
    while warm > start:
        cool = max(warm - 0.25, start)
        fictive, _ = structure_step(fictive, warm, cool, (warm - cool) / 30 * 3600)
        warm = cool

    terms = np.zeros_like(fictive)
    heating = cooling = 0.0
    before = np.zeros_like(z)
    for i in range(len(time) - 1):
        t0, t1, dt = temperature[i], temperature[i + 1], time[i + 1] - time[i]
        old = (w * fictive).sum(axis=0)
        fictive, reduced = structure_step(fictive, t0, t1, dt)
        thermal = alpha * (t1 - t0) + rest * ((w * fictive).sum(axis=0) - old)
        r = reduced / tau + 1e-200
        gone = -np.expm1(-r)
        terms = terms * (1 - gone)
        taken = modulus * w * gone / r
        stiffness = taken.sum(axis=0)
        free = terms.sum(axis=0) - stiffness * thermal
        strain = balanced(stiffness, free) - thermal
        terms = terms + taken * strain
        stress = terms.sum(axis=0)
        tension = np.where(t1 < glass.strain_point, stress, 0.0)
        crossing = (t0 - glass.strain_point) * (t1 - glass.strain_point) < 0
        if crossing.any():
            share = (glass.strain_point - t0) / np.where(t1 == t0, 1, t1 - t0)
            tension = np.maximum(tension, np.where(crossing, before + share * (stress - before), 0.0))
        if time[i + 1] <= heating_end * (1 + 1e-12):
            heating = max(heating, tension.max())
        else:
            cooling = max(cooling, tension.max())
        before = stress
    last = modulus * alpha * (temperature[-1] - temperature[-1].mean())
    residual = stress + last + balanced(np.ones_like(z), stress + last)
    return Reference(
        heating,
        max(cooling, residual.max()),
        residual.max(),
        residual.min(),
        temperature.min(),
        temperature.max(),
    )
