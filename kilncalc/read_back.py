"""A firing read back: its log laid over its plan, what the glass bore and flowed, what went wrong, where.

The log becomes straight lines (`firing_log`), and those a schedule: so the very `fire` and `fluidity` that
plan a firing say what it did. The plan is followed along the log segment by segment: an arrival, a hold, a
departure.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

import numpy as np

from kilncalc import forming, own_piece
from kilncalc._heat import air_legs
from kilncalc._ranges import scalar_in_range
from kilncalc._tables import rows
from kilncalc.fired import Pull
from kilncalc.firing import SMALL_BRICK_KILN, Kiln, fire
from kilncalc.firing_log import FiringLog
from kilncalc.materials import ALLOWED_RESIDUAL, ALLOWED_TENSION, glass
from kilncalc.piece import Piece
from kilncalc.quantities import Show, as_text
from kilncalc.schedule import Schedule, Segment

Kind = Literal["too hot", "too cold", "reads low", "reads high"]

NEAR = 6.0
"""A kiln this near to a segment's target has arrived there, and holds while it stays so [K]; own choice, near
the class 2 tolerance of a type K thermocouple at 800 degC."""

OFF = 15.0
"""A kiln this far from what is asked has gone wrong [K]; own choice: overshoot and noise stay below it."""

SENSOR_OFF = 10.0
"""A sensor that shows a cold kiln this much off its room is off itself [K]; own choice."""

SAME_REST = 10.0
"""As near as this, a kiln begins and comes to rest at one temperature [K]; own choice: one that was warm from
before begins warmer, thick brick comes to rest warmer, and hardly both by as much."""

_SLACK = 360.0  # s: a controller may count a hold from a little sooner than NEAR
_STEP = 20.0  # s
_SETTLES = 300.0  # s after a kiln is left alone until the rest of the controller's heat has gone
_LEAST_FALL, _LEAST_TIME = 50.0, 1200.0  # K, s: a stretch of free cooling that is worth a fit
_SHORTEST, _LONGEST = 300.0, 4e5  # s: between these a free cooling's time is looked for
_BEHIND = 18.0  # K: a kiln this far behind a falling programme is off; less may be noise
_ABOVE_ROOM = 15.0  # K: nearer to the room a fit tells nothing
_FIRST_LEVEL = 30.0  # K above the start: where log and plan are laid upon each other


@dataclass(frozen=True)
class Stage:
    """What became of one segment of the plan.

    Attributes
    ----------
    number : int
        Its place in the plan, from 1.
    asked : Segment
        What was asked for.
    began : float
        When the kiln set out for it, since the plan began [s].
    arrived : float or None
        When it came within `NEAR` of the target [s]; None where the log does not show it.
    late : float or None
        How much later that is than its rate asks, counted from `began` [s]; None where it has none.
    overshoot : float or None
        How far it climbed beyond the target [K]; None where it did not climb, or went on climbing.
    held : float or None
        How long it stayed within `NEAR` of the target [s], its ways in and out included; None where no hold
        is asked for.
    """

    number: int
    asked: Segment
    began: float
    arrived: float | None
    late: float | None
    overshoot: float | None
    held: float | None


@dataclass(frozen=True)
class Fault:
    """Something that went wrong, and where.

    Attributes
    ----------
    kind : str
        "too hot": hotter than asked, as with a relay that is stuck on. "too cold": colder than asked, as with
        a broken element or a cut of power. "reads low", "reads high": the sensor shows less, or more, than
        there is.
    segment : int or None
        In which segment of the plan, from 1 [-]; None for a sensor, which is wrong all the way.
    time : float
        When it shows, since the plan began [s].
    by : float
        By how much, when it shows [K]; of a sensor, its error.
    """

    kind: Kind
    segment: int | None
    time: float
    by: float

    def words(self, units: str = "metric") -> str:
        """Return what is wrong as a sentence.

        Parameters
        ----------
        units : str
            "metric" or "inches".

        Returns
        -------
        str
            A sentence with its full stop.

        Examples
        --------
        >>> Fault("too hot", 3, 21600.0, 15.0).words()
        'Segment 3: 15 °C hotter than asked, 6 h in: a relay that is stuck on does this.'
        """
        show = Show(units)
        by = f"{show.number(self.by, 'temperature_difference'):.0f} {show.symbol('temperature_difference')}"
        if self.kind == "reads low":
            return (
                f"Cold, the log shows {by} less than the room has: the sensor reads low, and the kiln was "
                "hotter than the log says all the way."
            )
        if self.kind == "reads high":
            return (
                f"Cold, the log shows {by} more than the room has, at its start and where its cooling comes "
                "to rest: the sensor reads high, and the kiln was colder than the log says all the way. Or "
                "it was warm both times: look again when it has stood open for a night."
            )
        after = show.text(60.0 * round(self.time / 60), "time")
        if self.kind == "too hot":
            return (
                f"Segment {self.segment}: {by} hotter than asked, {after} in: a relay that is stuck on does "
                "this."
            )
        return (
            f"Segment {self.segment}: {by} colder than asked, {after} in: a broken element, a cut of power "
            "or an open lid does this."
        )


@dataclass(frozen=True)
class FreeCooling:
    """How a kiln cools that is left alone, T = room + (T0 - room) exp(-t/time).

    Attributes
    ----------
    time : float
        In which its difference to the room falls to 0.37 of what it was [s]: `Kiln.cooling_time`.
    length : float
        Of the stretches of the log it is fitted to [s].
    off : float
        By how much the readings scatter about the fit [K]; a kiln of thick brick may be 10 and more off.
    """

    time: float
    length: float
    off: float


@dataclass(frozen=True)
class ReadBack:
    """A log beside its plan.

    Attributes
    ----------
    log : FiringLog
        The log, with the error of the sensor added.
    plan : Schedule
        What was asked for.
    fired : Schedule
        What the kiln did, in straight lines; it begins at `fired_from`.
    zero : float
        When the plan began, since the first reading [s].
    stages : tuple of Stage
        The segments one by one, up to the one that went wrong.
    planned, suffered : Pull
        The piece fired as planned, and as the log says.
    planned_fluidity, fluidity : float
        What the glass should have flowed, and what it flowed [1/Pa].
    free_cooling : FreeCooling or None
        Fitted to where the kiln was left alone; None where it never was for long enough.
    faults : tuple of Fault
        What went wrong; empty for a firing that went as planned.
    kiln : Kiln
        The kiln of the plan.
    """

    log: FiringLog
    plan: Schedule
    fired: Schedule
    zero: float
    stages: tuple[Stage, ...]
    planned: Pull
    suffered: Pull
    planned_fluidity: float
    fluidity: float
    free_cooling: FreeCooling | None
    faults: tuple[Fault, ...]
    kiln: Kiln

    @property
    def fired_from(self) -> float:
        """When `fired` begins, since the plan began [s]; before it where the kiln idled first."""
        return self.log.begins - self.zero

    @property
    def hottest(self) -> Stage | None:
        """The segment with the plan's highest target; None where the log does not come to it."""
        top = max(segment.target for segment in self.plan.segments)
        return next((stage for stage in self.stages if stage.asked.target == top), None)

    @property
    def latest(self) -> Stage | None:
        """The segment that arrived latest for its rate; None where none has a rate."""
        timed = [stage for stage in self.stages if stage.late is not None]
        return max(timed, key=lambda stage: stage.late or 0.0) if timed else None

    @property
    def flowed(self) -> float:
        """How many times what was planned the glass flowed [-]; infinite where it should not flow at all."""
        return self.fluidity / self.planned_fluidity if self.planned_fluidity else np.inf


def read_back(
    log: FiringLog,
    plan: Schedule,
    piece: Piece,
    kiln: Kiln = SMALL_BRICK_KILN,
    sensor_error: float = 0.0,
    allowed_tension: float = ALLOWED_TENSION,
    allowed_residual: float = ALLOWED_RESIDUAL,
) -> ReadBack:
    """Return what a firing did, from its log: lag, holds, fluidity, tension, free cooling, faults.

    Parameters
    ----------
    log : FiringLog
        The log, from before the kiln began to climb.
    plan : Schedule
        What the kiln was asked for.
    piece : Piece
        What was in it.
    kiln : Kiln
        Where; its room, and for the plan how fast it heats and cools.
    sensor_error : float
        By how much the kiln's sensor, whose log this is, is known to read too low [K], -100 to 100. What it
        showed was the plan's all the same: stages and faults of the kiln are by the log as it is.
    allowed_tension, allowed_residual : float
        The limits for what passes and for what stays [Pa], 0.01e6 to 50e6.

    Returns
    -------
    ReadBack
        Stages, both firings, fluidities [1/Pa], free cooling, faults.

    Raises
    ------
    ValueError
        For a number outside its range, or a log that begins hotter than the plan's first target.

    Notes
    -----
    Log and plan are laid upon each other where they pass 30 K above the start. As in the plan, a hold counts
    from the arrival. A log that follows its plan may still be wrong by its sensor: nothing but the cold kiln
    shows that here. Colder than its room no kiln is; warmer may be one that was fired before, so a sensor is
    said to read high only where the log begins as warm as its cooling would end, T = rest + A exp(-t/time).
    What the thermometer shows is taken for the air.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> from kilncalc.piece import Zone
    >>> plan = Schedule((Segment(150, 620, 20), Segment(None, 40)))
    >>> time = [600.0 * n for n in range(70)]
    >>> shown = [min(20 + 25.0 * n, 620.0) if n < 26 else 20 + 600 * 0.95 ** (n - 26) for n in range(70)]
    >>> back = read_back(FiringLog(time, shown), plan, Piece(glass("float"), (Zone(0.006, 1.0),)))
    >>> back.faults, round(back.free_cooling.time / 3600, 2)
    ((), 3.25)
    """
    limits = tuple(
        scalar_in_range(name, value, "Pa", 0.01e6, 50e6)
        for name, value in (("allowed_tension", allowed_tension), ("allowed_residual", allowed_residual))
    )
    true = log.warmer_by(sensor_error)
    fired = true.schedule()
    unlimited = replace(kiln, fastest_heating=None, cooling_time=None)
    zero = _plan_begins(log, plan, kiln)
    stages, faults, free = _follow(log, plan, zero)
    return ReadBack(
        log=true,
        plan=plan,
        fired=fired,
        zero=zero,
        stages=tuple(stages),
        planned=Pull(fire(plan, piece, kiln), *limits),
        suffered=Pull(fire(fired, piece, unlimited), *limits),
        planned_fluidity=float(forming.fluidity(_as_fired(plan, kiln), piece.glass)),
        fluidity=float(forming.fluidity(fired, piece.glass)),
        free_cooling=free_cooling(true, free, kiln.room),
        faults=(*_sensor(log, sensor_error, kiln.room, zero, free), *faults),
        kiln=kiln,
    )


def suspect(
    log: FiringLog, plan: Schedule, kiln: Kiln = SMALL_BRICK_KILN, sensor_error: float = 0.0
) -> tuple[Fault, ...]:
    """Return what went wrong in a firing, with the segment in which it began.

    Parameters
    ----------
    log : FiringLog
        The log, from before the kiln began to climb.
    plan : Schedule
        What the kiln was asked for.
    kiln : Kiln
        Where; its room.
    sensor_error : float
        By how much the sensor is known to read too low [K], -100 to 100.

    Returns
    -------
    tuple of Fault
        Of the sensor, and the first of the kiln; after that one the plan was not followed. Empty where
        nothing was wrong.

    Raises
    ------
    ValueError
        For a number outside its range, or a log that begins hotter than the plan's first target.

    Examples
    --------
    >>> plan = Schedule((Segment(150, 620, 20), Segment(None, 40)))
    >>> log = FiringLog([600.0 * n for n in range(40)], [20 + 25.0 * n for n in range(40)])
    >>> suspect(log, plan)
    (Fault(kind='too hot', segment=1, time=14760.0, by=15.000000000000227),)
    """
    known = scalar_in_range("sensor_error", sensor_error, "K", -100.0, 100.0)
    zero = _plan_begins(log, plan, kiln)
    _, faults, free = _follow(log, plan, zero)
    return (*_sensor(log, known, kiln.room, zero, free), *faults)


def free_cooling(log: FiringLog, stretches: list[tuple[float, float]], room: float) -> FreeCooling | None:
    """Return how a kiln cools by itself, fitted to the stretches of a log in which it was left alone.

    Least squares of T = room + (T0 - room) exp(-t/time), with a T0 of its own for each stretch.

    Parameters
    ----------
    log : FiringLog
        The log.
    stretches : list of pairs of float
        From when to when, since the first reading [s], 0 to 3e6.
    room : float
        Temperature of the room [degC], -20 to 50.

    Returns
    -------
    FreeCooling or None
        Time [s], length [s] and scatter [K]; None where no stretch is long enough for a fit.

    Raises
    ------
    ValueError
        If the room is outside its range.

    Notes
    -----
    The first five minutes of a stretch and what is less than 15 K above the room do not count. A stretch
    needs 20 minutes and a fall of 50 K.

    Examples
    --------
    >>> time = np.arange(0.0, 20000.0, 60.0)
    >>> log = FiringLog(time, 20 + 500 * np.exp(-time / 10800))
    >>> round(free_cooling(log, [(0.0, 20000.0)], 20.0).time)
    10800
    """
    cold = scalar_in_range("room", room, "degC", -20.0, 50.0)
    parts = []
    for begin, end in stretches:
        inside = (log.time >= begin + _SETTLES) & (log.time <= end) & (log.temperature > cold + _ABOVE_ROOM)
        time, above = log.time[inside], log.temperature[inside] - cold
        if len(time) > 3 and np.ptp(time) >= _LEAST_TIME and np.ptp(above) >= _LEAST_FALL:
            parts.append((time - time[0], above))
    if not parts:
        return None

    def left(cooling: float) -> list[tuple[np.ndarray, np.ndarray]]:
        found = []
        for time, above in parts:
            shape = np.exp(-time / cooling)
            fit = shape * (shape @ above) / (shape @ shape)
            found.append((above - fit, fit * time))
        return found

    cooling = _best_time(lambda cooling: sum(float(rest @ slower) for rest, slower in left(cooling)))
    rests = np.concatenate([rest for rest, _ in left(cooling)])
    return FreeCooling(
        time=cooling,
        length=float(sum(np.ptp(time) for time, _ in parts)),
        off=float(np.sqrt((rests**2).mean())),
    )


def _best_time(gain: Callable[[float], float]) -> float:
    """Return the time [s] of the exponential that fits best, between `_SHORTEST` and `_LONGEST`.

    `gain` is what of the rests points where a longer time would move the fit: positive where the best
    time is longer. With the heights of the fit at their best for each time, nothing else changes the squares.
    """
    short, long = _SHORTEST, _LONGEST
    while long > short * (1 + 1e-10):
        middle = math.sqrt(short * long)
        short, long = (middle, long) if gain(middle) > 0 else (short, middle)
    return math.sqrt(short * long)


# ------------------------------------------------------------------ the plan followed along the log


def _as_fired(plan: Schedule, kiln: Kiln) -> Schedule:
    """Return the plan as the kiln can follow it: without a rate it cools by itself."""
    legs, _, _ = air_legs(plan, kiln.room, kiln.fastest_heating, kiln.cooling_time)
    segments: list[Segment] = []
    level = plan.start
    for leg in legs:
        pieces = 12 if leg.cooling_time is not None else 1
        for part in range(1, pieces + 1):
            target = float(leg.air(leg.duration * part / pieces))
            minutes = leg.duration / pieces / 60
            if abs(target - level) < 1e-6:
                before = segments[-1]
                segments[-1] = replace(before, hold_min=before.hold_min + minutes)
            else:
                segments.append(Segment(abs(target - level) / minutes * 60, target))
            level = target
    return Schedule(tuple(segments), plan.start)


def _plan_begins(log: FiringLog, plan: Schedule, kiln: Kiln) -> float:
    """Return when the plan began [s], from where log and plan pass the same temperature."""
    _, (time, asked), _ = air_legs(plan, kiln.room, kiln.fastest_heating, kiln.cooling_time)
    shown, degrees = log.corners
    first = float(log.at(log.begins))
    level = max(plan.start, first) + _FIRST_LEVEL
    if plan.segments[0].target < level:
        raise ValueError(
            f"the log begins at {as_text(first, 'temperature')}, hotter than the plan's first target, "
            f"{as_text(plan.segments[0].target, 'temperature')}, less "
            f"{as_text(_FIRST_LEVEL, 'temperature_difference')}: it must show how the firing begins"
        )
    return _first_above(shown, degrees, level) - _first_above(time, asked, level)


def _first_above(time: np.ndarray, degrees: np.ndarray, level: float) -> float:
    """Return when straight lines first come up to a temperature."""
    above = np.flatnonzero(degrees >= level)
    if not above.size:
        raise ValueError(
            f"the log never comes up to {as_text(level, 'temperature')}, so it cannot be laid over a plan"
        )
    at = max(int(above[0]), 1)
    return float(np.interp(level, degrees[at - 1 : at + 1], time[at - 1 : at + 1]))


def _sensor(
    log: FiringLog, known: float, room: float, zero: float, free: list[tuple[float, float]]
) -> Iterator[Fault]:
    """Yield the fault of a sensor that shows a cold kiln off its room, beyond what is known."""
    begins, ends = float(log.at(0.0)), float(log.at(log.duration))
    low, high = room - min(begins, ends) - known, begins + known - room
    if low > SENSOR_OFF:
        yield Fault("reads low", None, max(-zero, 0.0), low)
    elif high > SENSOR_OFF:
        rest = _rest(log, free)
        if rest is not None and rest + known - room > SENSOR_OFF and abs(rest - begins) <= SAME_REST:
            yield Fault("reads high", None, max(-zero, 0.0), high)


def _rest(log: FiringLog, free: list[tuple[float, float]]) -> float | None:
    """Return where the last free cooling would end [degC], by least squares of T = rest + A exp(-t/time).

    None where it does not go far enough to tell: to a quarter of where it began, as an excess over `rest`.
    """
    begin, end = free[-1] if free else (0.0, 0.0)
    inside = (log.time >= begin + _SETTLES) & (log.time <= end)
    time, shown = log.time[inside] - begin, log.temperature[inside]
    if len(time) < 4 or np.ptp(time) < _LEAST_TIME or np.ptp(shown) < _LEAST_FALL:
        return None

    def fitted(cooling: float) -> tuple[float, np.ndarray]:
        shape = np.exp(-time / cooling)
        around = shape - shape.mean()
        fall = float(around @ shown / (around @ around)) * shape
        return float(shown.mean() - fall.mean()), fall

    def gain(cooling: float) -> float:
        rest, fall = fitted(cooling)
        return float((shown - rest - fall) @ (fall * time))

    rest, _ = fitted(_best_time(gain))
    above = shown - rest
    return rest if above[-1] < 0.25 * above[0] else None


def _follow(
    log: FiringLog, plan: Schedule, zero: float
) -> tuple[list[Stage], list[Fault], list[tuple[float, float]]]:
    """Return the stages of a log, its first fault, and when the kiln was left alone [s]."""
    clock = np.arange(max(zero, 0.0), log.duration, _STEP)
    time, degrees = clock - zero, log.at(clock)
    stages: list[Stage] = []
    free: list[tuple[float, float]] = []
    targets = [plan.start, *(segment.target for segment in plan.segments)]
    at, last = 0, len(time) - 1
    for number, segment in enumerate(plan.segments, 1):
        sign = 1.0 if segment.target > targets[number - 1] else -1.0  # +1 up, -1 down
        beyond = sign * (degrees - segment.target)  # above zero: past the target
        come = np.flatnonzero(beyond[at:] >= -NEAR)
        arrived = at + int(come[0]) if come.size else None
        stop = last if arrived is None else arrived
        asked = degrees[at] + sign * np.full(stop + 1 - at, np.inf)
        if segment.rate is not None:
            asked = degrees[at] + sign * segment.rate / 3600 * (time[at : stop + 1] - time[at])
        asked = np.minimum(asked, segment.target) if sign > 0 else np.maximum(asked, segment.target)
        way = degrees[at : stop + 1]
        if sign > 0:
            fell = np.maximum.accumulate(way) - way
            if arrived is None:
                fell = np.maximum(fell, asked - way)
            fault = _earlier(
                _first("too hot", way - asked, number, time[at:]), _first("too cold", fell, number, time[at:])
            )
        else:
            fault = _first("too hot", way - np.minimum.accumulate(way), number, time[at:])
            if segment.rate is not None:
                fault = _earlier(fault, _first("too cold", asked - way, number, time[at:]))
            behind = (
                np.flatnonzero(way > asked + _BEHIND) if segment.rate is not None else np.arange(way.size)
            )
            if behind.size and not fault:
                free.append((float(clock[at + behind[0]]), float(clock[stop])))
        leave = last
        if arrived is not None and not fault:
            leave, fault = _hold(time, degrees, arrived, at, number, plan)
        stages.append(_stage(time, degrees, at, arrived, leave, number, plan))
        if fault:
            return stages, [fault], free
        if arrived is None or leave >= last:
            break
        at = leave
    return stages, [], free


def _hold(
    time: np.ndarray, degrees: np.ndarray, arrived: int, began: int, number: int, plan: Schedule
) -> tuple[int, Fault | None]:
    """Return when the kiln leaves a target for the next one, and what went wrong until then."""
    segment = plan.segments[number - 1]
    last = len(time) - 1
    if number == len(plan.segments):
        stay = slice(arrived, last + 1)
        return last, _first("too hot", degrees[stay] - segment.target, number, time[stay])
    onward = 1.0 if plan.segments[number].target > segment.target else -1.0
    hold = 60.0 * segment.hold_min
    # a controller that counts from when it should have arrived lets a late kiln hold for less
    due = time[began] + abs(segment.target - degrees[began]) / segment.rate * 3600 if segment.rate else np.inf
    enough = min(hold, max(hold - max(time[arrived] - due, 0.0), 0.0)) - _SLACK
    soonest = arrived + max(int(enough / _STEP), 0)
    gone = np.flatnonzero(onward * (degrees[soonest:] - segment.target) > NEAR)
    leave = soonest + int(gone[0]) if gone.size else last
    if onward > 0:
        kinds = (("too hot", soonest), ("too cold", leave))
    else:
        kinds = (("too hot", leave), ("too cold", soonest))
    fault = None
    for kind, until in kinds:
        stay = slice(arrived, until + 1)
        off = (degrees[stay] - segment.target) * (1 if kind == "too hot" else -1)
        fault = _earlier(fault, _first(kind, off, number, time[stay]))
    if fault and fault.time > time[arrived] + hold + _SLACK:
        fault = replace(fault, segment=number + 1)  # it should have set out for the next target
    return leave, fault


def _first(kind: str, off: np.ndarray, number: int, time: np.ndarray) -> Fault | None:
    """Return the fault that begins where something is first farther off than `OFF`."""
    over = np.flatnonzero(off > OFF)
    if not over.size:
        return None
    at = int(over[0])
    return Fault(kind, number, float(time[at]), float(off[at]))  # type: ignore[arg-type]


def _earlier(one: Fault | None, other: Fault | None) -> Fault | None:
    if one and other:
        return one if one.time <= other.time else other
    return one or other


def _stage(
    time: np.ndarray,
    degrees: np.ndarray,
    at: int,
    arrived: int | None,
    leave: int,
    number: int,
    plan: Schedule,
) -> Stage:
    """Return what became of a segment."""
    segment = plan.segments[number - 1]
    until = degrees[at : leave + 1]
    onward = plan.segments[number].target if number < len(plan.segments) else -np.inf
    top = onward < segment.target > degrees[at]
    late = held = None
    if arrived is not None and segment.hold_min:
        inside = np.abs(degrees[arrived : leave + 1] - segment.target) <= NEAR
        held = max(float(inside.sum() - 1), 0.0) * _STEP
    if arrived is not None and segment.rate is not None:
        way = max(abs(segment.target - degrees[at]) - NEAR, 0.0)
        late = float(time[arrived] - time[at] - way / segment.rate * 3600)
    return Stage(
        number=number,
        asked=segment,
        began=float(time[at]),
        arrived=None if arrived is None else float(time[arrived]),
        late=late,
        overshoot=float((until - segment.target).max()) if top else None,
        held=held,
    )


# ------------------------------------------------------------------ a class's firings


@dataclass(frozen=True)
class ClassFiring:
    """One of the class's six firings.

    Attributes
    ----------
    name : str
        A letter.
    what : str
        What was fired, and for what.
    plan : Schedule
        What the kiln was asked for.
    piece : Piece
        What was in it.
    kiln : Kiln
        The small brick kiln, in the room of that day.
    log : FiringLog
        What its thermometer showed.
    """

    name: str
    what: str
    plan: Schedule
    piece: Piece
    kiln: Kiln
    log: FiringLog


@lru_cache
def class_firings() -> tuple[ClassFiring, ...]:
    """Return the six firings of firings.csv and firing_logs.csv, two of which went wrong.

    Returns
    -------
    tuple of ClassFiring
        Invented: computed by datasets/make_firing_logs.py.

    Examples
    --------
    >>> [firing.name for firing in class_firings()]
    ['A', 'B', 'C', 'D', 'E', 'F']
    """
    readings: dict[str, list[tuple[float, float]]] = {}
    for row in rows("firing_logs.csv"):
        reading = 60 * float(row["time_min"]), float(row["temperature_degC"])
        readings.setdefault(row["firing"], []).append(reading)
    return tuple(
        ClassFiring(
            name=row["name"],
            what=row["what"],
            plan=Schedule.from_text(row["plan"]),
            piece=own_piece.build(
                glass("kiln glass A"),
                float(row["thickness_mm"]) / 1000,
                relief=row["relief"],
                length=float(row["length_mm"]) / 1000,
            ),
            kiln=replace(SMALL_BRICK_KILN, room=float(row["room_degC"])),
            log=FiringLog(*np.array(readings[row["name"]]).T),
        )
        for row in rows("firings.csv")
    )
