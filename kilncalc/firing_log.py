"""A kiln's temperature log: read as any logger writes it, mended by name, and put into straight lines.

A log is a text file of rows: one column of times (clock, date and clock, or time since the start), one of
temperatures. Names of columns, unit, separator and decimal mark are found out; what had to be assumed is in
`FiringLog.assumed`, what was mended in `FiringLog.mended`, and what leaves two readings is refused with the
argument that settles it. Whatever stands in a file is data: it is taken apart by fixed patterns, never run.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from os import PathLike
from pathlib import Path
from typing import Literal

import numpy as np
from scipy.linalg import solveh_banded

from kilncalc import _log_file
from kilncalc._log_file import FEWEST_READINGS, LEAST_CHANGE, MOST_READINGS, counted
from kilncalc._ranges import ArrayLike, in_range, scalar_in_range
from kilncalc.quantities import as_text, from_unit
from kilncalc.schedule import HOTTEST, ROOM, Schedule, Segment

Unit = Literal["degC", "degF"]
TimeUnit = Literal["s", "min", "h"]

LARGEST_FILE = 5_000_000
"""The largest file that is read [bytes]: a reading every second for two days."""

COLDEST = -40.0
"""Below this no workshop is [degC]: a reading outside `COLDEST` to `schedule.HOTTEST` is a sensor's cry."""

LONGEST_SPIKE = 3
"""So many readings that jump away and come back are a spike [-]; more of them are taken for the kiln."""

_SPIKE = 20.0  # K: less is no spike
_GAP = 900.0  # s: a shorter break between two readings is not worth a word
_LEAST_TOLERANCE = 1.0  # K: straight lines come as near as this to quiet readings
_SAME_TEMPERATURE = 0.01  # K: less than this between two corners is a hold
_MOST_CORNERS = 400


@dataclass(frozen=True, eq=False)
class FiringLog:
    """What a kiln's thermometer showed over time.

    Parameters
    ----------
    time : array
        Times of the readings since the first one (reading) [s], 0 to 3e6, each later than the one before.
    temperature : array
        What it showed (reading) [degC], -40 to 1300.
    assumed : tuple of str
        What the file did not say and had to be assumed, a sentence each.
    mended : tuple of str
        What was left out, filled in or turned round, a sentence each.

    Raises
    ------
    ValueError
        For times that do not go up, temperatures outside their range, fewer than `FEWEST_READINGS` readings,
        or a temperature that changes by less than `LEAST_CHANGE`.

    Examples
    --------
    >>> log = FiringLog([600.0 * n for n in range(20)], [20 + 25.0 * n for n in range(20)])
    >>> log.duration / 3600
    3.1666666666666665
    """

    time: np.ndarray
    temperature: np.ndarray
    assumed: tuple[str, ...] = field(default=(), repr=False)
    mended: tuple[str, ...] = field(default=(), repr=False)

    def __post_init__(self) -> None:
        time = in_range("time", self.time, "s", 0.0, 3e6).copy()
        temperature = in_range("temperature", self.temperature, "degC", COLDEST, HOTTEST).copy()
        if time.ndim != 1 or time.shape != temperature.shape:
            raise ValueError("time and temperature must be two rows of equal length")
        if not FEWEST_READINGS <= time.size <= MOST_READINGS:
            raise ValueError(
                f"the log has {time.size} readings; from {FEWEST_READINGS} to {MOST_READINGS} can be used"
            )
        if not (np.diff(time) > 0).all():
            raise ValueError("the times of a log must go up from reading to reading")
        if np.ptp(temperature) < LEAST_CHANGE:
            low, high = (as_text(t, "temperature") for t in (temperature.min(), temperature.max()))
            least = as_text(LEAST_CHANGE, "temperature_difference")
            raise ValueError(
                f"this is no log of a firing: the temperature stays between {low} and {high}, and a firing "
                f"changes it by {least} at least"
            )
        for name, array in (("time", time), ("temperature", temperature)):
            array.setflags(write=False)
            object.__setattr__(self, name, array)

    @property
    def duration(self) -> float:
        """Time from the first reading to the last [s]."""
        return float(self.time[-1] - self.time[0])

    @cached_property
    def noise(self) -> float:
        """By how much a reading scatters about a smooth course, as a standard deviation [K].

        From second differences, whose median size is 0.6745 sqrt(6) of it.
        """
        bend = self.temperature[:-2] - 2 * self.temperature[1:-1] + self.temperature[2:]
        return float(np.median(np.abs(bend)) / (0.6745 * np.sqrt(6)))

    @cached_property
    def corners(self) -> tuple[np.ndarray, np.ndarray]:
        """Times [s] and temperatures [degC] of the straight lines that stand for the log.

        Corners are added where readings are farthest from the lines so far, until none is farther than four
        times the noise, the step in which the log counts, or 1 K; then the corners' temperatures are those
        that fit all readings best (least squares).
        """
        time, temperature = _thinned(self.time, self.temperature)
        steps = np.abs(np.diff(temperature))
        counted = float(np.median(steps[steps > 0])) if (steps == 0).mean() > 0.3 else 0.0
        tolerance = max(_LEAST_TOLERANCE, 4 * self.noise, min(counted, 10.0))
        knots = _knots(time, temperature, tolerance)
        return time[knots], _fitted(time, temperature, knots)

    def at(self, time: ArrayLike) -> np.ndarray:
        """Return the temperature by the straight lines that stand for the log.

        Parameters
        ----------
        time : float or array
            Time since the first reading [s], 0 to 3e6; after the last reading it stays as it was.

        Returns
        -------
        array
            Temperature [degC], shape of `time`.

        Raises
        ------
        ValueError
            For a time outside its range.
        """
        return np.interp(in_range("time", time, "s", 0.0, 3e6), *self.corners)

    @cached_property
    def begins(self) -> float:
        """When the kiln begins to climb, or then passes 0 degC [s]; 0 if it only cools."""
        time, temperature = self.corners
        climbing = np.flatnonzero(temperature > max(temperature[0] + 10, 0.0))
        at = int(climbing[0]) if climbing.size else 0
        if at == 0 or temperature[at - 1] >= 0:
            return float(time[max(at - 1, 0)])
        return float(np.interp(0.0, temperature[at - 1 : at + 1], time[at - 1 : at + 1]))

    def schedule(self) -> Schedule:
        """Return the log as a schedule that asks for just what the thermometer showed.

        Returns
        -------
        Schedule
            It starts at `begins`, and ends where the kiln has come down to within 5 K of the room or of
            where it began: what it does from there does nothing to glass.

        Examples
        --------
        >>> log = FiringLog([600.0 * n for n in range(20)], [20 + 25.0 * n for n in range(20)])
        >>> log.schedule().to_text()
        '150 C/h to 495 C'
        """
        time, temperature = self.corners
        later = time > self.begins
        temperature = np.round(np.append(self.at(self.begins), temperature[later]), 6)
        time = np.append(self.begins, time[later])
        hottest = int(temperature.argmax())
        cold = max(ROOM, temperature[0]) + 5.0
        down = np.flatnonzero(temperature[hottest:] <= cold)
        last = hottest + int(down[0]) if down.size else len(time) - 1
        segments: list[Segment] = []
        level = start = float(temperature[0])
        for step in range(1, last + 1):
            target, minutes = float(temperature[step]), float(time[step] - time[step - 1]) / 60
            if step == last and down.size and target < cold < level:
                minutes *= (level - cold) / (level - target)
                target = cold
            rate = abs(target - level) / minutes * 60
            if (abs(target - level) < _SAME_TEMPERATURE or rate < _SAME_TEMPERATURE) and segments:
                before = segments[-1]
                segments[-1] = Segment(before.rate, before.target, before.hold_min + minutes)
                continue
            segments.append(Segment(rate, target))
            level = target
        return Schedule(tuple(segments), start)

    def warmer_by(self, degrees: float) -> "FiringLog":
        """Return the log with the error of its sensor added.

        Parameters
        ----------
        degrees : float
            By how much the sensor reads too low [K], -100 to 100.

        Returns
        -------
        FiringLog
            The log, with a sentence more in `mended`.

        Raises
        ------
        ValueError
            If the number is outside its range.
        """
        error = scalar_in_range("degrees", degrees, "K", -100.0, 100.0)
        if not error:
            return self
        amount = as_text(abs(error), "temperature_difference")
        how = f"{amount} {'added to' if error > 0 else 'taken from'} every reading, the error of the sensor"
        return FiringLog(self.time, self.temperature + error, self.assumed, (*self.mended, how))


# ------------------------------------------------------------------ straight lines for readings


def _thinned(time: np.ndarray, temperature: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return a log of many readings as means of a few at a time, the ends kept."""
    few = -(-len(time) // 5000)
    if few == 1:
        return time, temperature
    starts = np.arange(0, len(time), few)
    counts = np.diff(np.append(starts, len(time)))
    means = [np.add.reduceat(row, starts) / counts for row in (time, temperature)]
    means[0][0], means[0][-1] = time[0], time[-1]
    return means[0], means[1]


def _knots(time: np.ndarray, temperature: np.ndarray, tolerance: float) -> np.ndarray:
    """Return the readings at which straight lines bend: the one farthest off becomes a corner, again and
    again, until none is farther than the tolerance or there are `_MOST_CORNERS`."""
    knots = {0, len(time) - 1}
    waiting = [_farthest(time, temperature, 0, len(time) - 1)]
    while waiting and len(knots) < _MOST_CORNERS:
        waiting.sort()
        off, place, first, last = waiting.pop()
        if off <= tolerance:
            break
        knots.add(place)
        waiting += [_farthest(time, temperature, *ends) for ends in ((first, place), (place, last))]
    return np.array(sorted(knots))


def _farthest(
    time: np.ndarray, temperature: np.ndarray, first: int, last: int
) -> tuple[float, int, int, int]:
    """Return how far a reading is off the straight line between two others at most, which, and the two."""
    ends = [first, last]
    off = np.abs(
        temperature[first : last + 1] - np.interp(time[first : last + 1], time[ends], temperature[ends])
    )
    place = int(off.argmax())
    return float(off[place]), first + place, first, last


def _fitted(time: np.ndarray, temperature: np.ndarray, knots: np.ndarray) -> np.ndarray:
    """Return the temperatures of the corners whose straight lines fit all readings best."""
    piece = np.clip(np.searchsorted(time[knots], time, side="right") - 1, 0, len(knots) - 2)
    begin, end = time[knots][piece], time[knots][piece + 1]
    after = (time - begin) / (end - begin)
    before = 1 - after
    count = len(knots)

    def total(values: np.ndarray, place: np.ndarray) -> np.ndarray:
        return np.bincount(place, values, count)

    diagonal = total(before**2, piece) + total(after**2, piece + 1)
    beside = total(before * after, piece)
    right = total(before * temperature, piece) + total(after * temperature, piece + 1)
    fitted = solveh_banded(np.stack([diagonal, beside]), right, lower=True)
    return np.asarray(fitted)


# ------------------------------------------------------------------ reading a file


def read_log(
    path: str | PathLike[str],
    *,
    time_column: str | int | None = None,
    temperature_column: str | int | None = None,
    time_unit: TimeUnit | None = None,
    unit: Unit | None = None,
) -> FiringLog:
    """Return the log in a file, whatever logger wrote it.

    Parameters
    ----------
    path : path
        A text file of rows, separated by commas, semicolons, tabs or blanks.
    time_column, temperature_column : str, int or None
        Name or number (from 1) of the columns [-], 1 to 100. None: found out.
    time_unit : str or None
        "s", "min" or "h", where times are numbers. None: found out.
    unit : str or None
        "degC" or "degF". None: found out.

    Returns
    -------
    FiringLog
        Times [s], temperatures [degC], what was assumed and what was mended.

    Raises
    ------
    OSError
        If the file cannot be opened.
    ValueError
        For a file that is no log, in a sentence that says what was found and what is allowed.

    Notes
    -----
    Its readings are mended, and each mending named: a clock that passes midnight, lines that are no
    readings, the newest reading first, several readings of one time, spikes, gaps.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = pathlib.Path(folder, "monday.csv")
    ...     lines = [f"{18 + n // 6}:{n % 6}0;{20 + 25 * n},0" for n in range(24)]
    ...     _ = path.write_text("\\n".join(["Clock;Kiln °C", *lines]), encoding="utf-8")
    ...     log = read_log(path)
    >>> log.temperature[-1], log.assumed
    (np.float64(595.0), ('time from “Clock”, temperature from “Kiln °C”',))
    """
    file = Path(path)
    size = file.stat().st_size
    if size > LARGEST_FILE:
        raise ValueError(
            f"{file.name} is {size / 1e6:.1f} MB long; a log of up to {LARGEST_FILE / 1e6:g} MB can be read. "
            "Let the logger write a reading every half minute"
        )
    try:
        text, note = _log_file.decoded(file.read_bytes())
        return log_from_text(
            text,
            time_column=time_column,
            temperature_column=temperature_column,
            time_unit=time_unit,
            unit=unit,
            assumed=note,
        )
    except ValueError as error:
        raise ValueError(f"{file.name}: {error}") from None


def log_from_text(
    text: str,
    *,
    time_column: str | int | None = None,
    temperature_column: str | int | None = None,
    time_unit: TimeUnit | None = None,
    unit: Unit | None = None,
    assumed: tuple[str, ...] = (),
) -> FiringLog:
    """Return the log in a text, as `read_log` does.

    Parameters
    ----------
    text : str
        The rows.
    time_column, temperature_column : str, int or None
        Name or number (from 1) of the columns [-], 1 to 100. None: found out.
    time_unit : str or None
        "s", "min" or "h", where times are numbers. None: found out.
    unit : str or None
        "degC" or "degF". None: found out.
    assumed : tuple of str
        What was assumed already.

    Returns
    -------
    FiringLog
        Times [s], temperatures [degC], what was assumed and what was mended.

    Raises
    ------
    ValueError
        For a text that is no log.

    Examples
    --------
    >>> rows = "\\n".join(f"{10 * n},{68 + 45 * n}" for n in range(20))
    >>> log = log_from_text(f"minutes,kiln F\\n{rows}")
    >>> round(float(log.temperature[-1]), 6), float(log.time[-1])
    (495.0, 11400.0)
    """
    for name, given, allowed in (
        ("time_unit", time_unit, ("s", "min", "h")),
        ("unit", unit, ("degC", "degF")),
    ):
        if given is not None and given not in allowed:
            raise ValueError(f"{name} must be one of {', '.join(allowed)}, got {given!r}")
    mended: list[str] = []
    rows = _log_file.rows_of(text)
    times, degrees = _log_file.columns_of(rows, time_column, temperature_column)
    notes = [
        *assumed,
        f"time from “{_log_file.said(times.name)}”, temperature from “{_log_file.said(degrees.name)}”",
    ]
    temperature, how = degrees.numbers
    notes += how
    seconds, how = _log_file.seconds(rows, times, time_unit, temperature)
    notes += how
    usable = np.isfinite(temperature) & np.isfinite(seconds)
    fahrenheit, how = _log_file.is_fahrenheit(rows, degrees, unit, temperature[usable])
    notes += how
    if fahrenheit:
        temperature = np.asarray(from_unit(temperature, "temperature", "°F"))
    usable &= (temperature >= COLDEST) & (temperature <= HOTTEST)
    lost = len(usable) - int(usable.sum())
    if lost > rows.count // 2:
        raise ValueError(
            f"this is no log of a firing: {lost} of {rows.count} rows are no readings between "
            f"{as_text(COLDEST, 'temperature')} and {as_text(HOTTEST, 'temperature')}"
        )
    if lost + rows.skipped:
        mended.append(f"{counted(lost + rows.skipped, 'line')} left out, which held no reading")
    seconds, temperature = seconds[usable], temperature[usable]
    if len(seconds) > 1 and np.median(np.diff(seconds)) < 0:
        mended.append("the newest reading stood first; the rows are turned round")
        seconds, temperature = seconds[::-1], temperature[::-1]
    if times.kind == "clock":
        seconds, how = _past_midnight(seconds)
        mended += how
    back = np.flatnonzero(np.diff(seconds) < 0)
    if back.size:
        at = int(back[0])
        since = seconds[at] - seconds[0]
        raise ValueError(
            f"the time goes back by {as_text(seconds[at] - seconds[at + 1], 'time')} after reading {at + 1}, "
            f"{as_text(max(60.0, since), 'time')} into the log; times must go up. If the clock was set back, "
            "correct the times after it"
        )
    return _mended(seconds, temperature, notes, mended)


def _mended(
    seconds: np.ndarray, temperature: np.ndarray, notes: Iterable[str], mended: list[str]
) -> FiringLog:
    """Return readings as a log: one for each time, without spikes, counted from the first."""
    if len(seconds):
        moments, place, count = np.unique(seconds, return_inverse=True, return_counts=True)
        if (count > 1).any():
            mended.append(
                f"{counted(int((count - 1).sum()), 'reading')} had the time of another; their mean counts"
            )
            temperature = np.bincount(place, temperature) / count
        seconds = moments - moments[0]
    if len(seconds) >= FEWEST_READINGS:
        spikes = _spikes(temperature)
        if spikes.any():
            where = np.flatnonzero(spikes)
            first = int(where[0])
            at = as_text(60 * round(seconds[first] / 60), "time")
            mended.append(
                f"{counted(len(where), 'reading')} jumped away and back, the first to "
                f"{as_text(float(round(temperature[first])), 'temperature')} after {at}; bridged by a "
                "straight line"
            )
            temperature = temperature.copy()
            temperature[spikes] = np.interp(seconds[spikes], seconds[~spikes], temperature[~spikes])
        wait = np.diff(seconds)
        gaps = np.flatnonzero(wait > max(_GAP, 5 * float(np.median(wait))))
        for gap in gaps[:3]:
            at = as_text(60 * round(seconds[gap] / 60), "time")
            mended.append(
                f"no reading for {as_text(60 * round(wait[gap] / 60), 'time')} after {at}; bridged by a "
                "straight line"
            )
        if len(gaps) > 3:
            mended.append(f"{counted(len(gaps) - 3, 'gap')} more, bridged likewise")
    return FiringLog(seconds, temperature, tuple(notes), tuple(mended))


def _spikes(temperature: np.ndarray) -> np.ndarray:
    """Return which readings jump away from their neighbours and come back within `LONGEST_SPIKE` readings.

    A reading is off where it leaves the median of itself and three on either side by more than `_SPIKE` and
    three times the usual step there: at the corner of a ramp it leaves that by two steps or three.
    """
    width = 2 * LONGEST_SPIKE + 1
    padded = np.pad(temperature, LONGEST_SPIKE, mode="reflect", reflect_type="odd")
    around = np.lib.stride_tricks.sliding_window_view(padded, width)
    step = np.median(np.abs(np.diff(around, axis=1)), axis=1)
    return np.abs(temperature - np.median(around, axis=1)) > _SPIKE + 3 * step


def _past_midnight(seconds: np.ndarray) -> tuple[np.ndarray, list[str]]:
    """Return times of day counted on over midnight; a step back of more than half a day is a new day."""
    days = np.cumsum(np.concatenate([[0], np.diff(seconds) < -_log_file.DAY / 2]))
    if not days[-1]:
        return seconds, []
    times = "once" if days[-1] == 1 else f"{days[-1]} times"
    return seconds + _log_file.DAY * days, [f"the clock passes midnight {times}; the hours are counted on"]
