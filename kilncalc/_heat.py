"""Heat in a kiln: what the air does, what a face exchanges with it, and conduction through the layers.

Every zone of a piece is a column of nodes from the underside of its shelf (or of the glass) up to its top
face. The columns do not touch each other, so all of them are one tridiagonal system.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from scipy.linalg.lapack import dgtsv

from kilncalc._ranges import ArrayLike
from kilncalc.materials import KELVIN, Glass, Refractory
from kilncalc.piece import Zone
from kilncalc.quantities import Units, as_text
from kilncalc.schedule import Schedule, degrees_per_second

STEFAN_BOLTZMANN = 5.670374419e-8
"""Constant of radiation [W/m2/K4], exact in the SI of 2019; `scipy.constants` takes long to load."""

COLD = 100.0
"""A kiln this cold or colder at the end of a schedule has come down [degC]; own choice, no source."""

ARRIVED = 5.0
"""A cooling kiln counts as arrived this close to the room [K]: it would take for ever to reach it."""

FUSED_RESISTANCE = 1e-6
"""Contact resistance between sheets that have become one [m2K/W], as good as none."""

ORDER = 3
"""Order of the backward differences in time, that is, how many earlier times a step looks back at."""

FIRST_STEP, GROWTH = 0.15, 1.4
"""The first time step after a corner of the programme, as a share of the time in which the thinnest sheet
takes on the temperature of the air; and how fast steps grow after it."""

SETTLED, LARGEST_WHILE_SETTLING = 5.0, 0.9
"""For how long in a hold the thickest zone still settles, and the largest step meanwhile, in its settling
times."""

LARGEST_CHANGE, LARGEST_CHANGE_SETTING = 0.03, 0.008
"""The largest change in one step, as a share of the absolute temperature: of the air; and of the glass while
some of it sets or softens."""

LARGEST_SURPRISE = 0.35
"""How far a node may end a step from where the steps before let it expect to be [K]. A step that ends farther
is taken again, smaller: it is what keeps a step small enough, however fast the air changes."""

SURPRISE_OF_LAG, SMALLEST_SURPRISE = 0.04, 0.06
"""While the air changes, less is allowed where the glass is close behind it: that share of how far the
thickest zone falls behind, rate times its settling time, but not less than that [K]. A slow kiln makes small
differences, and the stress is made of them."""

SHORTEST = 1e-3
"""The shortest step [s]."""


def exchange_coefficient(surface: ArrayLike, air: float, film: ArrayLike, emissivity: float) -> Any:
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

    It ends with the hold at the highest temperature: glass that is still behind when the air arrives there
    is being heated.

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
        corners.append((arrival, target))
        legs += moves
        clock = arrival
        if segment.hold_min:
            legs.append(Leg(60.0 * segment.hold_min, air))
            clock += 60.0 * segment.hold_min
            corners.append((clock, target))
        if heating_end is None and target == hottest:
            heating_end = clock
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


def hot_end(air: float, units: Units) -> str:
    """Return the sentence about a schedule that stops while the kiln is still at `air` [degC]."""
    return (
        f"The schedule ends hot, at {as_text(air, 'temperature', units)}: what the glass "
        f"bears on the rest of the way down to {as_text(COLD, 'temperature', units)} is not known. "
        'Add that segment, "off, closed" if the kiln does it alone.'
    )


# ------------------------------------------------------------------ conduction


@dataclass(frozen=True)
class Columns:
    """The nodes of all columns in one row, zone after zone and upwards in each, and what joins them.

    A node carries a cell of glass, a cell of shelf, or nothing (the outer face of a paper). A link joins a
    node to the next one up: through glass, or through something of fixed conductance, or not at all.
    """

    glass_cell: np.ndarray  # thickness of the glass of a node [m]
    shelf_capacity: np.ndarray  # heat capacity of the shelf of a node [J/m2/K]
    glass_link: np.ndarray  # share of conductivity/spacing of the link above a node, through glass [1/m]
    fixed_link: np.ndarray  # conductance of the link above a node, where it does not [W/m2/K]
    loose: np.ndarray  # the links that are contacts between loose sheets
    view: (
        np.ndarray
    )  # how much of the kiln a node has before it [-]: 1 at faces, the shelf's `underside`, else 0
    share: np.ndarray  # share of the area of every node [-]
    film: np.ndarray  # heat exchange of every node's face with moving air [W/m2/K]
    glass: np.ndarray  # the nodes that carry glass
    starts: np.ndarray  # the first node of each case: firings that differ in small things run side by side

    @classmethod
    def together(cls, cases: Sequence["Columns"]) -> "Columns":
        """Return the columns of several cases in one row, with nothing between them."""
        if len(cases) == 1:
            return cases[0]
        sizes = [len(case.glass_cell) for case in cases]
        first = np.cumsum([0, *sizes[:-1]])

        def row(name: str) -> np.ndarray:
            return np.concatenate([getattr(case, name) for case in cases])

        def links(name: str) -> np.ndarray:
            return np.concatenate([np.append(getattr(case, name), 0.0) for case in cases])[:-1]

        def places(name: str) -> np.ndarray:
            return np.concatenate([getattr(case, name) + at for case, at in zip(cases, first, strict=True)])

        return cls(
            glass_cell=row("glass_cell"),
            shelf_capacity=row("shelf_capacity"),
            glass_link=links("glass_link"),
            fixed_link=links("fixed_link"),
            loose=places("loose"),
            view=row("view"),
            share=row("share"),
            film=row("film"),
            glass=places("glass"),
            starts=first,
        )

    def stored(self, table: "GlassTable", temperature: np.ndarray) -> np.ndarray:
        """Return the heat that the columns of each case hold more than at the first time (time, case), per
        area of the piece [J/m2]."""
        glass = table.heat(temperature) - table.heat(temperature[0])
        shelf = temperature - temperature[0]
        each = self.share * (self.glass_cell * glass + self.shelf_capacity * shelf)
        return np.add.reduceat(each, self.starts, axis=1)


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
    film: float,
    conductivity_share: float,
    glass_nodes: int,
    shelf_nodes: int,
) -> Columns:
    """Lay out the nodes of every zone on its support.

    `conductivity_share` is that of the glass to the one in the `GlassTable` [-].
    """
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
                through[-1] = conductivity_share / gap
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
        film=np.full(len(cell), film),
        glass=np.flatnonzero(cell),
        starts=np.zeros(1, dtype=int),
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


def backward_difference(ago: Sequence[float]) -> tuple[float, np.ndarray]:
    """Return what makes time derivative and extrapolation from the last times, `ago` [s], oldest first.

    Extrapolated T = history[0] . T before; dT/dt = rate T - history[1] . T before. With h_j for `ago`: e_j =
    product over m of h_m/(h_m - h_j) for the extrapolation, rate = sum of 1/h_j, e_j/h_j for the derivative.
    """
    if len(ago) == 1:
        (a,) = ago
        return 1.0 / a, np.array([[1.0], [1.0 / a]])
    if len(ago) == 2:
        a, b = ago
        p, q = b / (b - a), a / (a - b)
        return 1.0 / a + 1.0 / b, np.array([[p, q], [p / a, q / b]])
    a, b, c = ago
    p, q, r = b * c / ((b - a) * (c - a)), a * c / ((a - b) * (c - b)), a * b / ((a - c) * (b - c))
    return 1.0 / a + 1.0 / b + 1.0 / c, np.array([[p, q, r], [p / a, q / b, r / c]])


@dataclass(frozen=True)
class Heat:
    """The heat of a firing."""

    time: np.ndarray  # (time) [s]
    air: np.ndarray  # (time) [degC]
    temperature: np.ndarray  # of every node (time, node) [degC]
    taken: np.ndarray  # heat that has flowed in through the faces (time, case) [J/m2]
    fused: int  # the step at which loose sheets have become one; the number of steps, if never


def conduct(
    col: Columns,
    table: GlassTable,
    legs: Sequence[Leg],
    *,
    emissivity: float,
    fuse_at: float,
    fastest: float,
    slowest: Callable[[float], float],
    setting: tuple[float, float],
    fineness: int,
) -> Heat:
    """Return what the legs of the air do to the temperature of every node.

    Each step is a backward difference over unequal steps (BDF3). Conductivity, heat capacity and radiation
    are taken at the temperatures extrapolated to the end of the step, so that a step is one linear
    tridiagonal solve. How far the result is from that extrapolation is what the step is judged by: farther
    than `LARGEST_SURPRISE` and `SURPRISE_OF_LAG` allow, and it is taken again, smaller. Loose sheets become
    one where the coldest glass passes `fuse_at`.

    `fastest` is the settling time of the thinnest sheet [s], `slowest` that of the thickest zone at a
    temperature. Steps stay small while glass is in `setting`, from lower to upper temperature [degC].
    """
    clock, air, count = 0.0, legs[0].start, 1
    times, airs, into = [clock], [air], [np.zeros(len(col.glass_cell))]
    course = np.empty((256, len(col.glass_cell)))
    course[0] = air
    glass = course[0, col.glass]
    fused = None if len(col.loose) else 0
    fixed_link = col.fixed_link.copy()
    half_link = 0.5 * col.glass_link
    weightless = np.flatnonzero(col.glass_cell + col.shelf_capacity == 0)
    papered = len(weightless) > 0
    largest_setting = LARGEST_CHANGE_SETTING / fineness * (setting[1] + KELVIN)
    growth = GROWTH ** (1.0 / fineness)
    for leg in legs:
        first, settling = FIRST_STEP * fastest / fineness, slowest(leg.start)
        step, done = first, 0.0
        while done < leg.duration:
            slope = leg.slope_at(done)
            allowed = LARGEST_SURPRISE / fineness**2
            if slope:
                lag = SURPRISE_OF_LAG * abs(slope) * settling
                allowed = min(allowed, max(lag, SMALLEST_SURPRISE) / fineness**2)
                step = min(step, LARGEST_CHANGE / fineness * (air + KELVIN) / abs(slope))
            elif done < SETTLED * settling:
                step = min(step, max(first, LARGEST_WHILE_SETTLING / fineness * settling))
            rest = leg.duration - done
            last = step > 0.9 * rest
            step = rest if last else min(step, 0.5 * rest)
            air_then = leg.air(done + step)
            order = min(count, ORDER)
            end = clock + (leg.duration if last else done + step)
            rate, history = backward_difference([end - t for t in times[-order:]])
            guess, before = history @ course[count - order : count]
            if papered and order == ORDER:  # a curve through three times would swing a node without heat
                share = (end - times[-1]) / (times[-1] - times[-2])
                latest, earlier = course[count - 1, weightless], course[count - 2, weightless]
                guess[weightless] = latest + share * (latest - earlier)
            k, c = table.conductivity_and_capacity(guess)
            capacity = col.glass_cell * c + col.shelf_capacity
            link = (k[1:] + k[:-1]) * half_link + fixed_link
            h = col.view * exchange_coefficient(guess, air_then, col.film, emissivity)
            # capacity (rate T - before) = heat from below and above + h (air - T)
            diagonal = capacity * rate + h
            diagonal[:-1] += link
            diagonal[1:] += link
            link *= -1.0
            now = dgtsv(link, diagonal, link, capacity * before + h * air_then)[3]
            # how far a step may go on: the surprise grows with a power of it, a change in proportion to it
            guess -= now
            if papered:
                guess[weightless] = 0.0
            reach = (allowed / max(np.abs(guess).max(), 1e-9)) ** (1.0 / order)
            glass_then = now[col.glass]
            coldest = glass_then.min()
            if coldest <= setting[1] and glass_then.max() > setting[0]:
                reach = min(reach, largest_setting / max(np.abs(glass_then - glass).max(), 1e-9))
            if reach < 1 and step > SHORTEST:
                step *= max(0.2, 0.9 * reach)
                continue
            if count == len(course):
                course = np.concatenate([course, np.empty_like(course)])
            course[count] = now
            count += 1
            times.append(end)
            airs.append(air_then)
            into.append(h * (air_then - now))
            air, glass = air_then, glass_then
            done = leg.duration if last else done + step
            step = max(SHORTEST, step * min(growth, 0.95 * reach))
            if fused is None and coldest >= fuse_at:
                fixed_link[col.loose] = 1.0 / FUSED_RESISTANCE
                fused = count - 1
        clock += leg.duration
    time, passed = np.array(times), np.add.reduceat(np.array(into) * col.share, col.starts, axis=1)
    taken = np.zeros_like(passed)
    taken[1:] = np.cumsum(0.5 * (passed[1:] + passed[:-1]) * np.diff(time)[:, None], axis=0)
    return Heat(time, np.array(airs), course[:count], taken, count if fused is None else fused)
