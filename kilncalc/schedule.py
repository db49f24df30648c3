"""A kiln's schedule: its segments, how long they take, the temperature they ask for."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from kilncalc._ranges import ArrayLike, in_range, like_input, scalar_in_range

UNLIMITED_RATE = 600.0
"""Rate [degC/h] at which "as fast as the kiln does" is counted where no kiln limits it."""

ROOM = 20.0
"""Room temperature [degC] below which no schedule goes, unless it starts colder."""

HOTTEST = 1300.0
"""Highest temperature [degC] a schedule may ask for."""


def degrees_per_second(rate: float | None) -> float:
    """Return a kiln rate in degrees per second: rate / 3600, and None counts as `UNLIMITED_RATE`.

    Parameters
    ----------
    rate : float or None
        Kiln rate [degC/h], > 0; None is "as fast as the kiln does".

    Returns
    -------
    float
        The rate [degC/s].

    Raises
    ------
    ValueError
        For a rate of zero, below zero, not a number or without end.

    Notes
    -----
    The only place where a rate changes its unit of time. A kiln that has a limit of its own replaces
    `UNLIMITED_RATE` by it.

    Examples
    --------
    >>> degrees_per_second(180)
    0.05
    """
    if rate is None:
        return UNLIMITED_RATE / 3600.0
    return _checked_rate(rate) / 3600.0


@dataclass(frozen=True)
class Segment:
    """One step of a schedule: change at a rate to a target, then hold there.

    Parameters
    ----------
    rate : float or None
        How fast the temperature changes [degC/h], 0.01 to 100000, never negative: whether the segment heats
        or cools follows from its target. None is "as fast as the kiln does".
    target : float
        The temperature it goes to [degC], 0 to 1300.
    hold_min : float
        How long it stays there [min], 0 to 1000000.
    reason : str
        Why the segment is there, in words; empty where nobody said.

    Raises
    ------
    ValueError
        For a number outside its range, in a sentence that says which.

    Notes
    -----
    A hold starts when the kiln arrives at the target.

    Examples
    --------
    >>> Segment(150, 540, 20)
    Segment(rate=150.0, target=540.0, hold_min=20.0, reason='')
    """

    rate: float | None
    target: float
    hold_min: float = 0.0
    reason: str = ""

    def __post_init__(self) -> None:
        if self.rate is not None:
            object.__setattr__(self, "rate", _checked_rate(self.rate))
        object.__setattr__(self, "target", _checked_temperature("target", self.target))
        hold = scalar_in_range("hold", self.hold_min, "min", 0.0, 1e6)
        object.__setattr__(self, "hold_min", hold)
        if not isinstance(self.reason, str):
            raise ValueError(f"reason must be words, got {self.reason!r}")


@dataclass(frozen=True)
class Schedule:
    """A kiln's programme: segments one after another from a start temperature.

    Parameters
    ----------
    segments : tuple of Segment
        The segments in their order, at least one.
    start : float
        Temperature of the kiln when the schedule starts [degC], 0 to 1300.

    Raises
    ------
    ValueError
        For no segment at all, a target below the room, a segment that goes nowhere.

    Examples
    --------
    >>> schedule = Schedule((Segment(150, 545, 30), Segment(100, 20)))
    >>> schedule.duration / 3600
    9.25
    """

    segments: tuple[Segment, ...]
    start: float = ROOM

    def __post_init__(self) -> None:
        if isinstance(self.segments, Segment | str) or not isinstance(self.segments, Iterable):
            raise ValueError(f"segments must be a row of Segment, got {self.segments!r}")
        object.__setattr__(self, "segments", tuple(self.segments))
        object.__setattr__(self, "start", _checked_temperature("start", self.start))
        if not self.segments:
            raise ValueError("the schedule is empty: it needs at least one segment")
        before = self.start
        coldest = min(self.start, ROOM)
        for number, segment in enumerate(self.segments, start=1):
            if not isinstance(segment, Segment):
                raise ValueError(f"segment {number} must be a Segment, got {segment!r}")
            if segment.target < coldest:
                raise ValueError(
                    f"segment {number}: target is {segment.target:g} degC, below the room ({coldest:g} degC); "
                    "a kiln cannot cool further than the room it stands in"
                )
            if segment.target == before:
                raise ValueError(
                    f"segment {number} goes nowhere: the kiln is already at {before:g} degC. "
                    "Add its hold to the segment before it, or change its target"
                )
            before = segment.target

    @cached_property
    def corners(self) -> tuple[np.ndarray, np.ndarray]:
        """Times [s] and temperatures [degC] at which the programme bends, start and end included."""
        time, temperature = [0.0], [self.start]
        for segment in self.segments:
            change = abs(segment.target - temperature[-1]) / degrees_per_second(segment.rate)
            time.append(time[-1] + change)
            temperature.append(segment.target)
            if segment.hold_min:
                time.append(time[-1] + 60.0 * segment.hold_min)
                temperature.append(segment.target)
        return np.array(time), np.array(temperature)

    @property
    def duration(self) -> float:
        """Time from the start to the end of the last hold [s]."""
        return float(self.corners[0][-1])

    def temperature(self, t: ArrayLike) -> Any:
        """Return the temperature the schedule asks for at a time, straight lines between its corners.

        Parameters
        ----------
        t : float or array
            Time since the start [s], 0 to `duration`.

        Returns
        -------
        float or array
            Temperature [degC], same shape as `t`.

        Raises
        ------
        ValueError
            For a time before the start or after the end.

        Notes
        -----
        What is asked for: whether kiln and glass follow is for `kilncalc.firing` to say.

        Examples
        --------
        >>> Schedule((Segment(150, 545, 30), Segment(100, 20))).temperature(3600)
        170.0
        """
        time, temperature = self.corners
        return like_input(np.interp(in_range("t", t, "s", 0.0, self.duration), time, temperature))


def _checked_rate(rate: float) -> float:
    return scalar_in_range("rate", rate, "degC/h", 0.01, 1e5)


def _checked_temperature(name: str, temperature: float) -> float:
    return scalar_in_range(name, temperature, "degC", 0.0, HOTTEST)
