"""Heat in a kiln: what the air does, what a face exchanges with it, and conduction through the layers.

Every zone of a piece is a column of nodes from the underside of its shelf (or of the glass) up to its top
face. The columns do not touch each other, so all of them are one tridiagonal system.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from scipy.constants import sigma as STEFAN_BOLTZMANN
from scipy.linalg.lapack import dgtsv

from kilncalc._ranges import ArrayLike
from kilncalc.materials import KELVIN, Glass, Refractory
from kilncalc.piece import Zone
from kilncalc.schedule import Schedule, degrees_per_second

ARRIVED = 5.0
"""A cooling kiln counts as arrived this close to the room [K]: it would take for ever to reach it."""

FUSED_RESISTANCE = 1e-6
"""Contact resistance between sheets that have become one [m2K/W], as good as none."""

ORDER = 3
"""Order of the backward differences in time, that is, how many earlier times a step looks back at."""

FIRST_STEP, GROWTH = 0.15, 1.4
"""The first time step after a corner of the programme, as a share of the time in which the thinnest sheet
takes on the temperature of the air; and how the steps grow after it."""

SETTLED, LARGEST_WHILE_SETTLING = 5.0, 0.9
"""For how long in a hold the thickest zone still settles, and the largest step meanwhile, in its settling
times."""

LARGEST_CHANGE, LARGEST_CHANGE_SETTING = 0.04, 0.012
"""The largest change of the air in one step, as a share of its absolute temperature; and while the glass
sets."""


def exchange_coefficient(surface: ArrayLike, air: float, film: float, emissivity: float) -> Any:
    """Heat a face takes per degree between it and the kiln [W/m2/K]: h_c + e sigma (Ts^2 + Ta^2)(Ts + Ta)."""
    s, a = surface + KELVIN, air + KELVIN
    return film + emissivity * STEFAN_BOLTZMANN * (s * s + a * a) * (s + a)


# ------------------------------------------------------------------ the air


@dataclass(frozen=True)
class Leg:
    """A stretch of time in which the air follows one law: a straight line, or a fall towards the room."""

    duration: float  # [s]
    start: float  # [degC]
    slope: float = 0.0  # [K/s]
    room: float = 0.0  # [degC]
    cooling_time: float | None = None  # [s]; then start -> room + (start - room) exp(-t/cooling_time)

    def air(self, t: ArrayLike) -> Any:
        if self.cooling_time is None:
            return self.start + self.slope * t
        return self.room + (self.start - self.room) * np.exp(-t / self.cooling_time)

    def slope_at(self, t: float) -> float:
        return self.slope if self.cooling_time is None else (self.room - self.air(t)) / self.cooling_time


def air_legs(
    schedule: Schedule, room: float, fastest_heating: float | None, cooling_time: float | None
) -> tuple[list[Leg], tuple[np.ndarray, np.ndarray], float]:
    """Return the legs of the air, the corners (time, temperature) of the programme, and when heating ends.

    The air follows the programme, but heats no faster than `fastest_heating` [degC/h] and cools no faster
    than (air - room)/`cooling_time`. A hold starts when the air arrives. A segment without a rate goes as
    fast as the kiln does.
    """
    legs: list[Leg] = []
    air = schedule.start
    clock = 0.0
    corners = [(0.0, air)]
    hottest = max([schedule.start, *(segment.target for segment in schedule.segments)])
    heating_end = 0.0 if schedule.start == hottest else None
    for segment in schedule.segments:
        target, begin, asked = segment.target, air, degrees_per_second(segment.rate)
        if target > air:
            rate = asked
            if fastest_heating is not None:
                limit = degrees_per_second(fastest_heating)
                rate = limit if segment.rate is None else min(asked, limit)
            moves = [Leg((target - air) / rate, air, rate)]
            air = target
        elif cooling_time is None:
            moves = [Leg((air - target) / asked, air, -asked)]
            air = target
        else:
            moves = []
            # the kiln keeps up with the programme down to `onset` and falls behind below it
            onset = np.inf if segment.rate is None else room + asked * cooling_time
            if air > target and onset < air:
                stop = max(onset, target)
                moves.append(Leg((air - stop) / asked, air, -asked))
                air = stop
            stop = max(target, room + ARRIVED)
            if air > stop:
                duration = cooling_time * np.log((air - room) / (stop - room))
                moves.append(Leg(duration, air, room=room, cooling_time=cooling_time))
                air = stop
        arrival = clock + sum(move.duration for move in moves)
        ramp = arrival - clock if segment.rate is None else abs(target - begin) / asked
        if 0 < ramp < arrival - clock:
            corners.append((clock + ramp, target))
        if heating_end is None and target == hottest:
            heating_end = clock + min(ramp, arrival - clock)
        corners.append((arrival, target))
        legs += moves
        clock = arrival
        if segment.hold_min:
            legs.append(Leg(60.0 * segment.hold_min, air))
            clock += 60.0 * segment.hold_min
            corners.append((clock, target))
    assert heating_end is not None
    time, temperature = np.array(corners).T
    return [leg for leg in legs if leg.duration > 0], (time, temperature), heating_end


def settling_time(
    glass: Glass, thickness: float, temperature: float, film: float, emissivity: float
) -> float:
    """Return about the time [s] in which a sheet takes on the temperature of the kiln, from both faces."""
    exchange = exchange_coefficient(temperature, temperature, film, emissivity)
    capacity = glass.density * glass.heat_capacity(temperature)
    return float(
        capacity * thickness * (0.5 / exchange + 0.125 * thickness / glass.conductivity(temperature))
    )


def step_times(
    legs: Sequence[Leg],
    fastest: float,
    slowest: Callable[[float], float],
    setting: tuple[float, float],
    fineness: int,
) -> tuple[np.ndarray, np.ndarray]:
    """Return the times [s] and the air [degC] of all steps: small after a corner, then growing.

    `fastest` is the settling time of the thinnest sheet [s], `slowest` that of the thickest zone at a
    temperature. Steps stay small where the air cools through `setting`, from lower to upper temperature
    [degC].
    """
    times, airs, clock = [np.zeros(1)], [np.array([legs[0].start])], 0.0
    for leg in legs:
        first, settling = FIRST_STEP * fastest, slowest(leg.start)
        steps, step, total = [], first, 0.0
        while total < leg.duration:
            air, slope = leg.air(total), leg.slope_at(total)
            if slope:
                sets = slope < 0 and setting[0] < air <= setting[1]
                largest = LARGEST_CHANGE_SETTING if sets else LARGEST_CHANGE
                step = min(step, largest * (air + KELVIN) / abs(slope))
            elif total < SETTLED * settling:
                step = min(step, max(first, LARGEST_WHILE_SETTLING * settling))
            steps.append(step)
            total += step
            step *= GROWTH
        ends = np.cumsum(steps) * (leg.duration / total)
        if fineness > 1:
            ends = np.interp(
                np.arange(1, fineness * len(ends) + 1) / fineness, np.arange(len(ends) + 1), [0.0, *ends]
            )
        times.append(clock + ends)
        airs.append(leg.air(ends))
        clock += leg.duration
    return np.concatenate(times), np.concatenate(airs)


# ------------------------------------------------------------------ conduction


@dataclass(frozen=True)
class Columns:
    """The nodes of all columns in one row, zone after zone and upwards in each, and what joins them.

    A node carries a cell of glass, a cell of shelf, or nothing (the outer face of a paper). A link joins a
    node to the next one up: through glass, or through something of fixed conductance, or not at all.
    """

    glass_cell: np.ndarray  # thickness of the glass of a node [m]
    shelf_capacity: np.ndarray  # heat capacity of the shelf of a node [J/m2/K]
    glass_link: np.ndarray  # 1/spacing of the link above a node, where it runs through glass [1/m]
    fixed_link: np.ndarray  # conductance of the link above a node, where it does not [W/m2/K]
    loose: np.ndarray  # the links that are contacts between loose sheets
    view: (
        np.ndarray
    )  # how much of the kiln a node has before it [-]: 1 at faces, the shelf's `underside`, else 0
    share: np.ndarray  # share of the area of every node [-]
    glass: np.ndarray  # the nodes that carry glass

    def stored(self, table: "GlassTable", temperature: np.ndarray) -> np.ndarray:
        """Return the heat that the columns hold more than at the first time, per area of the piece [J/m2]."""
        glass = table.heat(temperature) - table.heat(temperature[0])
        shelf = temperature - temperature[0]
        return glass @ (self.share * self.glass_cell) + shelf @ (self.share * self.shelf_capacity)


def columns(
    zones: Sequence[Zone],
    sheets: Sequence[Sequence[float]],
    support: str,
    shelf: Refractory,
    *,
    underside: float,
    contact: float,
    loose_contact: float,
    paper_conductivity: float,
    glass_nodes: int,
    shelf_nodes: int,
) -> Columns:
    """Lay out the nodes of every zone on its support."""
    cell: list[float] = []
    capacity: list[float] = []
    through: list[float] = []
    fixed: list[float] = []
    share: list[float] = []
    view: list[float] = []
    loose: list[int] = []

    def node(glass: float = 0.0, shelf_heat: float = 0.0) -> None:
        cell.append(glass)
        capacity.append(shelf_heat)
        through.append(0.0)
        fixed.append(0.0)
        share.append(zone.share)
        view.append(0.0)

    for zone, thicknesses in zip(zones, sheets, strict=True):
        below = support if zone.below in (None, "paper") else zone.below
        paper = zone.paper / paper_conductivity
        paper_below = paper if zone.below == "paper" else 0.0
        if below == "shelf":
            gap = shelf.thickness / (shelf_nodes - 1)
            for i in range(shelf_nodes):
                half = 0.5 if i in (0, shelf_nodes - 1) else 1.0
                node(shelf_heat=half * gap * shelf.density * shelf.heat_capacity)
                fixed[-1] = shelf.conductivity / gap
                if i == 0:
                    view[-1] = underside
            fixed[-1] = 1.0 / (contact + paper_below)
        elif paper_below:
            node()
            view[-1] = 1.0
            fixed[-1] = 1.0 / paper_below
        for level, thickness in enumerate(thicknesses):
            gap = thickness / (glass_nodes - 1)
            if level:
                fixed[-1] = 1.0 / loose_contact
                loose.append(len(cell) - 1)
            for i in range(glass_nodes):
                half = 0.5 if i in (0, glass_nodes - 1) else 1.0
                node(glass=half * gap)
                through[-1] = 1.0 / gap
                if level == i == 0 and below == "open" and not paper_below:
                    view[-1] = 1.0
            through[-1] = 0.0
        if zone.above == "paper" and paper:
            fixed[-1] = 1.0 / paper
            node()
        view[-1] = 1.0
    return Columns(
        glass_cell=np.array(cell),
        shelf_capacity=np.array(capacity),
        glass_link=np.array(through[:-1]),
        fixed_link=np.array(fixed[:-1]),
        loose=np.array(loose, dtype=int),
        view=np.array(view),
        share=np.array(share),
        glass=np.flatnonzero(cell),
    )


class GlassTable:
    """Conductivity [W/m/K], heat capacity [J/m3/K] and heat content [J/m3] of a glass, by temperature.

    Read from the glass once, at every tenth of a degree, because a firing asks ten thousand times.
    """

    def __init__(self, glass: Glass) -> None:
        self.coldest = -50.0
        self.temperature = self.coldest + np.arange(14501) / 10
        capacity = glass.density * glass.heat_capacity(self.temperature)
        self.both = np.stack([glass.conductivity(self.temperature), capacity])
        self.content = np.concatenate([[0.0], np.cumsum(0.05 * (capacity[1:] + capacity[:-1]))])

    @classmethod
    @lru_cache(maxsize=32)
    def of(cls, glass: Glass) -> "GlassTable":
        """Return the table of a glass."""
        return cls(glass)

    def conductivity_and_capacity(self, temperature: np.ndarray) -> np.ndarray:
        """Return conductivity and heat capacity as two rows."""
        return self.both.take(((temperature - self.coldest) * 10 + 0.5).astype(int), axis=1, mode="clip")

    def heat(self, temperature: np.ndarray) -> np.ndarray:
        """Return the heat content."""
        return np.interp(temperature, self.temperature, self.content)


def backward_differences(times: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return, for each time, what makes extrapolation and time derivative there from the times before.

    Extrapolated T = history[i, 0] . T before; dT/dt = rate[i] T_i - history[i, 1] . T before, oldest first.
    With distances h_j to the times before: e_j = product over m of h_m/(h_m - h_j), rate = sum of 1/h_j,
    and e_j/h_j for the derivative.
    """
    rate = np.zeros(len(times))
    history = np.zeros((len(times), 2, ORDER))
    for order in range(1, ORDER + 1):
        rows = np.arange(order, len(times)) if order == ORDER else np.array([order])
        rows = rows[rows < len(times)]
        h = times[rows, None] - times[rows[:, None] + np.arange(-order, 0)]
        rate[rows] = (1.0 / h).sum(axis=1)
        for j in range(order):
            others = np.delete(h, j, axis=1)
            history[rows, 0, j] = np.prod(others / (others - h[:, [j]]), axis=1)
        history[rows, 1, :order] = history[rows, 0, :order] / h
    return rate, history


def conduct(
    col: Columns,
    table: GlassTable,
    times: np.ndarray,
    air: np.ndarray,
    *,
    film: float,
    emissivity: float,
    fuse_at: float,
) -> tuple[np.ndarray, np.ndarray, int]:
    """Return the temperature of every node at every time [degC], the heat flowing in [W/m2], the fusing step.

    Each step is a backward difference over unequal steps (BDF3). Conductivity, heat capacity and radiation
    are taken at the temperatures extrapolated to the end of the step, so that a step is one linear
    tridiagonal solve. Loose sheets become one where the coldest glass passes `fuse_at`; the step at which
    they have (or the number of steps, if never) is returned.
    """
    result = np.empty((len(times), len(col.glass_cell)))
    result[0] = air[0]
    exchange = np.zeros_like(result)
    fused = len(times) if len(col.loose) else 0
    fixed_link = col.fixed_link.copy()
    half_link = 0.5 * col.glass_link
    rate, history = backward_differences(times)
    for i in range(1, len(times)):
        order = min(i, ORDER)
        guess, known = history[i, :, :order] @ result[i - order : i]
        k, c = table.conductivity_and_capacity(guess)
        capacity = col.glass_cell * c + col.shelf_capacity
        link = (k[1:] + k[:-1]) * half_link + fixed_link
        exchange[i] = h = col.view * exchange_coefficient(guess, air[i], film, emissivity)
        # capacity (rate T - known) = heat from below and above + h (air - T)
        diagonal = capacity * rate[i] + h
        diagonal[:-1] += link
        diagonal[1:] += link
        link *= -1.0
        result[i] = dgtsv(link, diagonal, link, capacity * known + h * air[i])[3]
        if fused > i and result[i, col.glass].min() >= fuse_at:
            fixed_link[col.loose] = 1.0 / FUSED_RESISTANCE
            fused = i
    flow = (exchange * (air[:, None] - result)) @ col.share
    return result, flow, fused
