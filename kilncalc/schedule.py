"""A kiln's schedule: its segments, how long they take, the temperature they ask for.

In words a schedule is one segment after another, with a semicolon or a new line between them:

    start at 20 C; 150 C/h to 540 C, 20 min; as fast as the kiln does to 800 C, 10 min; 80 C/h to 20 C

"start at" may be left out for 20 °C, the hold where there is none. As a file it is a table of comma-separated
values, in UTF-8, whose header says the units (`_degF_per_h` and `_degF` for °F):

    segment,rate_degC_per_h,target_degC,hold_min,reason
    start,,20,,
    1,150,540,20,dry the shelf
    2,as fast as the kiln does,800,10,
"""

import csv
import io
import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any, Self

import numpy as np

from kilncalc._ranges import ArrayLike, in_range, like_input, scalar_in_range
from kilncalc.quantities import as_text, exact_number, read, unit_system

if TYPE_CHECKING:
    import pandas as pd

UNLIMITED_RATE = 600.0
"""Rate [degC/h] at which "as fast as the kiln does" is counted where no kiln limits it."""

ROOM = 20.0
"""Room temperature [degC] below which no schedule goes, unless it starts colder."""

HOTTEST = 1300.0
"""Highest temperature [degC] a schedule may ask for: about what kiln elements bear (no source)."""

HOT = 1000.0
"""Temperature [degC] above which `Schedule.warnings` doubts the unit (common practice, no source)."""

FASTEST = "as fast as the kiln does"
"""The words for a segment without a rate."""

_EXAMPLE = "150 C/h to 540 C, 20 min"
_SYMBOLS = {"metric": ("C/h", "C"), "inches": ("F/h", "F")}
_HEADERS = {
    "metric": ["segment", "rate_degC_per_h", "target_degC", "hold_min", "reason"],
    "inches": ["segment", "rate_degF_per_h", "target_degF", "hold_min", "reason"],
}


def degrees_per_second(rate: float | None) -> float:
    """Return a kiln rate in degrees per second: rate / 3600, and None counts as `UNLIMITED_RATE`.

    Parameters
    ----------
    rate : float or None
        Kiln rate [degC/h], 0.01 to 100000; None is "as fast as the kiln does".

    Returns
    -------
    float
        The rate [degC/s].

    Raises
    ------
    ValueError
        For a rate outside its range.

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
        How long it stays there [min], 0 to 100000.
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
        hold = scalar_in_range("hold", self.hold_min, "min", 0.0, 1e5)
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
            target = as_text(segment.target, "temperature")
            if segment.target < coldest:
                raise ValueError(
                    f"segment {number}: target is {target}, colder than the room, "
                    f"{as_text(coldest, 'temperature')}; a kiln cools no further than the room it stands in"
                )
            if segment.target == before:
                raise ValueError(
                    f"segment {number} goes nowhere: the kiln is already at {target}. "
                    "Add its hold to the segment before it, or change its target"
                )
            before = segment.target

    @cached_property
    def corners(self) -> tuple[np.ndarray, np.ndarray]:
        """Times [s] and temperatures [degC] at which the programme bends, start and end included."""
        time, temperature = [0.0], [self.start]
        for segment, change in zip(self.segments, self._changes, strict=True):
            time.append(time[-1] + change)
            temperature.append(segment.target)
            if segment.hold_min:
                time.append(time[-1] + 60.0 * segment.hold_min)
                temperature.append(segment.target)
        corners = np.array(time), np.array(temperature)
        for array in corners:
            array.setflags(write=False)
        return corners

    @property
    def duration(self) -> float:
        """Time from the start to the end of the last hold [s]."""
        return float(self.corners[0][-1])

    @property
    def _before(self) -> list[float]:
        return [self.start, *(segment.target for segment in self.segments[:-1])]

    @property
    def _changes(self) -> list[float]:
        return [
            abs(segment.target - before) / degrees_per_second(segment.rate)
            for before, segment in zip(self._before, self.segments, strict=True)
        ]

    def temperature(self, t: ArrayLike) -> Any:
        """Return the temperature the schedule asks for at a time, straight lines between its corners.

        Parameters
        ----------
        t : float or array
            Time since the start [s], 0 to the schedule's `duration`.

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
        This is what is asked for; whether kiln and glass can follow is for `kilncalc.firing.fire` to say.

        Examples
        --------
        >>> Schedule((Segment(150, 545, 30), Segment(100, 20))).temperature(3600)
        170.0
        """
        time, temperature = self.corners
        end = self.duration * (1 + 1e-12)  # hours times 3600 may miss the end by the last bit
        return like_input(np.interp(in_range("t", t, "s", 0.0, end), time, temperature))

    def warnings(self, controller_segments: int | None = None) -> list[str]:
        """Return sentences about what may be a slip or too much for a controller, none where all is well.

        Parameters
        ----------
        controller_segments : int or None
            How many segments the controller's programme holds [-], 1 to 1000; a change of temperature and the
            hold after it are one segment. None leaves this out.

        Returns
        -------
        list of str
            One sentence for each thing to heed.

        Raises
        ------
        ValueError
            For a number outside its range.

        Examples
        --------
        >>> Schedule((Segment(150, 545, 30), Segment(100, 20))).warnings(controller_segments=1)
        ['The schedule has 2 segments, the controller holds 1: join segments or fire it in two programmes.']
        """
        sentences = []
        count = len(self.segments)
        if controller_segments is not None:
            most = scalar_in_range("controller_segments", controller_segments, "segments", 1, 1000)
            if count > most:
                sentences.append(
                    f"The schedule has {count} segments, the controller holds {most:g}: "
                    "join segments or fire it in two programmes."
                )
        for number, segment in enumerate(self.segments, start=1):
            if segment.target > HOT:
                target = as_text(segment.target, "temperature")
                question = _meant_fahrenheit(segment.target) or "Check its unit."
                sentences.append(
                    f"Segment {number} goes to {target}, hotter than most glass is fired. {question}"
                )
        return sentences

    def table(self, units: str = "both") -> "pd.DataFrame":
        """Return the schedule as a table to read, one row for each segment.

        Parameters
        ----------
        units : str
            "metric", "inches" or "both".

        Returns
        -------
        pandas.DataFrame
            Words in every cell, rounded for reading: what happens, rate, target, time the change takes, hold,
            time since the start at the segment's end, and the reason if any segment has one.

        Raises
        ------
        ValueError
            For other units.

        Notes
        -----
        A segment without a rate is counted at `UNLIMITED_RATE`, and its row says so: the clock of a real kiln
        will differ.

        Examples
        --------
        >>> Schedule((Segment(150, 545, 30), Segment(100, 20))).table("metric")
                    what happens      rate  target change takes    hold since the start
        segment
        1        heat, then hold  150 °C/h  545 °C   3 h 30 min  30 min             4 h
        2                   cool  100 °C/h   20 °C   5 h 15 min          9 h 15 min
        """
        rows = []
        clock = 0.0
        for before, segment, change in zip(self._before, self.segments, self._changes, strict=True):
            hold = 60.0 * segment.hold_min
            clock += change + hold
            rate = as_text(UNLIMITED_RATE if segment.rate is None else segment.rate, "rate", units)
            rows.append(
                {
                    "what happens": ("heat" if segment.target > before else "cool")
                    + (", then hold" if hold else ""),
                    "rate": f"{FASTEST}, counted as {rate}" if segment.rate is None else rate,
                    "target": as_text(segment.target, "temperature", units),
                    "change takes": as_text(change, "time"),
                    "hold": as_text(hold, "time") if hold else "",
                    "since the start": as_text(clock, "time"),
                    "reason": segment.reason,
                }
            )
        import pandas as pd  # only where a table is shown

        table = pd.DataFrame(rows, index=pd.RangeIndex(1, len(rows) + 1, name="segment"))
        return table if any(table["reason"]) else table.drop(columns="reason")

    def _numbers(self, units: str) -> tuple[str, list[tuple[str, str, str]]]:
        """Return the start and each segment's rate ("" for none), target and hold as exact decimals."""
        rate_symbol, symbol = _symbols(units)
        rows = [
            (
                "" if segment.rate is None else exact_number(segment.rate, "rate", rate_symbol),
                exact_number(segment.target, "temperature", symbol),
                exact_number(segment.hold_min, "count", ""),
            )
            for segment in self.segments
        ]
        return exact_number(self.start, "temperature", symbol), rows

    def to_text(self, units: str = "metric") -> str:
        """Return the schedule in one line that `from_text` reads back to exactly the same numbers.

        Parameters
        ----------
        units : str
            "metric" or "inches".

        Returns
        -------
        str
            The segments, without their reasons; the start only where it is not 20 °C.

        Raises
        ------
        ValueError
            For other units.

        Notes
        -----
        Each number is written with as few digits as bring back the very same number: 1450 °F stays 1450 °F,
        and in °C it is 787.7777777777778. For reading there is `table`.

        Examples
        --------
        >>> schedule = Schedule.from_text("150 C/h to 540 C, 20 min; as fast as the kiln does to 800 C")
        >>> schedule.to_text("inches")
        '270 F/h to 1004 F, 20 min; as fast as the kiln does to 1472 F'
        """
        rate_symbol, symbol = _symbols(units)
        start, rows = self._numbers(units)
        parts = [] if self.start == ROOM else [f"start at {start} {symbol}"]
        for rate, target, hold in rows:
            how_fast = f"{rate} {rate_symbol}" if rate else FASTEST
            parts.append(f"{how_fast} to {target} {symbol}" + (f", {hold} min" if hold != "0" else ""))
        return "; ".join(parts)

    @classmethod
    def from_text(cls, text: str) -> Self:
        """Return the schedule that a text describes: "RATE to TARGET, HOLD" for each segment.

        Parameters
        ----------
        text : str
            Segments such as "150 C/h to 540 C, 20 min" or "as fast as the kiln does to 800 C", with
            semicolons or new lines between them; before them "start at 25 C", if it is not 20 °C. Every
            number has its unit; °C, °F and all units of time may be mixed.

        Returns
        -------
        Schedule
            The schedule, without reasons.

        Raises
        ------
        ValueError
            For a text that cannot be read, naming the segment, and for all that `Segment` and `Schedule`
            refuse.

        Examples
        --------
        >>> Schedule.from_text("270 F/h to 1004 F, 1 h 30 min").segments
        (Segment(rate=150.0, target=540.0, hold_min=90.0, reason=''),)
        """
        if not isinstance(text, str):
            raise ValueError(f"a schedule is written as text, such as “{_EXAMPLE}”, got {text!r}")
        parts = [part for part in (" ".join(part.split()) for part in re.split(r"[;\n]", text)) if part]
        start = ROOM
        if parts and (match := re.fullmatch(r"start at (.+)", parts[0], re.IGNORECASE)):
            with _naming("the start"):
                start = _checked_temperature("start", read(match[1], "temperature"))
            del parts[0]
        if not parts:
            raise ValueError(f"the schedule is empty: write at least one segment, such as “{_EXAMPLE}”")
        segments = []
        for number, part in enumerate(parts, start=1):
            with _naming(f"segment {number}"):
                segments.append(_segment_from_text(part))
        return cls(tuple(segments), start)

    def to_csv(self, path: str | PathLike[str], units: str = "metric", overwrite: bool = False) -> None:
        """Write the schedule with its reasons to a file that `from_csv` reads back to exactly the same.

        Parameters
        ----------
        path : path
            The file to write.
        units : str
            "metric" or "inches".
        overwrite : bool
            Whether a file that is there already may be replaced.

        Raises
        ------
        FileExistsError
            If the file is there already and `overwrite` is not set.
        ValueError
            For other units.

        Examples
        --------
        >>> import tempfile
        >>> schedule = Schedule((Segment(150, 545, 30, "dry the shelf"), Segment(None, 20)), start=25)
        >>> with tempfile.TemporaryDirectory() as folder:
        ...     schedule.to_csv(f"{folder}/drying.csv", units="inches")
        ...     Schedule.from_csv(f"{folder}/drying.csv") == schedule
        True
        """
        start, numbers = self._numbers(units)
        rows = [_HEADERS[units], ["start", "", start, "", ""]]
        for count, (segment, (rate, target, hold)) in enumerate(
            zip(self.segments, numbers, strict=True), start=1
        ):
            rows.append([str(count), rate or FASTEST, target, hold, segment.reason])
        lines = io.StringIO(newline="")
        csv.writer(lines).writerows(rows)
        content = lines.getvalue().encode()
        try:
            with Path(path).open("wb" if overwrite else "xb") as file:
                file.write(content)
        except FileExistsError:
            raise FileExistsError(
                f"{path} is there already and stays as it is; choose another name, or say overwrite=True"
            ) from None

    @classmethod
    def from_csv(cls, path: str | PathLike[str]) -> Self:
        """Return the schedule in a file as `to_csv` writes it, in °C or °F as its header says.

        Parameters
        ----------
        path : path
            The file to read.

        Returns
        -------
        Schedule
            The schedule with its reasons.

        Raises
        ------
        OSError
            If the file cannot be opened.
        ValueError
            For a file that is no schedule, naming the segment, and for all that `Segment` and `Schedule`
            refuse.

        Examples
        --------
        >>> import pathlib, tempfile
        >>> with tempfile.TemporaryDirectory() as folder:
        ...     path = pathlib.Path(folder, "drying.csv")
        ...     header = "segment,rate_degF_per_h,target_degF,hold_min,reason"
        ...     _ = path.write_text("\\n".join([header, "start,,68,,", "1,270,1004,20,"]))
        ...     Schedule.from_csv(path).to_text()
        '150 C/h to 540 C, 20 min'
        """
        with _naming(str(path)):
            start, segments = _schedule_from_cells(_csv_rows(path))
            return cls(segments, start)


def _checked_rate(rate: float) -> float:
    return scalar_in_range("rate", rate, "degC/h", 0.01, 1e5, hint=_meant_by_rate)


def _meant_by_rate(rate: float) -> str | None:
    if rate == 0:
        return "A kiln at a rate of zero never arrives; to stay somewhere, give the segment before it a hold"
    if rate < 0:
        return "Write the rate without a minus: whether it heats or cools follows from the target"
    return None


def _checked_temperature(name: str, temperature: float) -> float:
    return scalar_in_range(name, temperature, "degC", 0.0, HOTTEST, hint=_meant_fahrenheit)


def _meant_fahrenheit(temperature: float) -> str | None:
    if temperature <= HOT or not temperature.is_integer():
        return None
    meant = f"{temperature:.0f} °F"
    in_celsius = read(meant, "temperature")
    return f"Did you mean {meant}, that is {as_text(in_celsius, 'temperature', 'metric')}?"


@contextmanager
def _naming(where: str) -> Iterator[None]:
    """Put the place in front of what is wrong there."""
    try:
        yield
    except ValueError as error:
        raise ValueError(f"{where}: {error}") from None


def _symbols(units: str) -> tuple[str, str]:
    """Return the units of rate and temperature; both systems at once could not be read back."""
    return _SYMBOLS[unit_system(units)]


def _segment_from_text(text: str) -> Segment:
    # a comma after a digit is a decimal comma, after a unit it begins the hold
    match = re.fullmatch(r"(.+?) to (.+?)(?:(?<=[^\d\s]) ?, ?(.+))?", text, re.IGNORECASE)
    if not match:
        raise ValueError(f"“{_shortened(text)}” cannot be read; a segment is written “{_EXAMPLE}”")
    rate, target, hold = match.groups()
    return Segment(_read_rate(rate), read(target, "temperature"), _read_hold(hold) if hold else 0.0)


def _schedule_from_cells(rows: list[list[str]]) -> tuple[float, tuple[Segment, ...]]:
    header = rows[0] if rows else []
    units = next((units for units, expected in _HEADERS.items() if header == expected), None)
    if units is None:
        raise ValueError(
            f"the first line must be {','.join(_HEADERS['metric'])} or {','.join(_HEADERS['inches'])}, "
            f"not “{_shortened(','.join(header))}”"
        )
    start, segments = ROOM, []
    for number, row in enumerate(rows[1:] or [[]]):
        name = str(number) if number else "start"
        with _naming(f"segment {name}" if number else "the start"):
            if len(row) != len(header) or row[0].strip() != name:
                raise ValueError(
                    f"here the line must begin with “{name}” and have {len(header)} cells, "
                    f"not “{_shortened(','.join(row))}”"
                )
            rate, target, hold, reason = row[1:]
            temperature = read(f"{target} {_symbols(units)[1]}", "temperature")
            if number:
                how_fast = rate if _is_fastest(rate) else f"{rate} {_symbols(units)[0]}"
                segments.append(Segment(_read_rate(how_fast), temperature, _read_hold(f"{hold} min"), reason))
            elif rate.strip() or hold.strip() or reason.strip():
                raise ValueError("only a temperature belongs here, no rate, hold or reason")
            else:
                start = _checked_temperature("start", temperature)
    return start, tuple(segments)


def _is_fastest(text: str) -> bool:
    return text.strip().casefold() == FASTEST


def _read_rate(text: str) -> float | None:
    if _is_fastest(text):
        return None
    if not re.search(r"\d", text):
        raise ValueError(f"“{_shortened(text)}” is no rate; write one such as “150 C/h”, or “{FASTEST}”")
    return read(text, "rate")


def _read_hold(text: str) -> float:
    minutes = read(text, "time") / 60.0
    # plain minutes are taken as they stand: to seconds and back would round twice
    match = re.fullmatch(r"([\d.,]+) ?min", text.strip())
    return read(match[1], "count") if match else minutes


def _csv_rows(path: str | PathLike[str]) -> list[list[str]]:
    with Path(path).open(encoding="utf-8-sig", newline="") as file:
        try:
            return [row for row in csv.reader(file, strict=True) if row]
        except (csv.Error, UnicodeDecodeError):
            raise ValueError("this is no table of comma-separated values in UTF-8") from None


def _shortened(text: str) -> str:
    return text if len(text) <= 80 else text[:77] + "..."
