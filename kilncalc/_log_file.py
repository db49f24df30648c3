"""A file of a kiln's log in rows and columns: which is which, and in what units."""

import csv
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

import numpy as np

from kilncalc.quantities import as_text
from kilncalc.schedule import HOTTEST

MOST_READINGS, FEWEST_READINGS = 200_000, 10
"""How many readings a log may have."""

LEAST_CHANGE = 100.0
"""A firing changes the temperature by at least this [K]; what changes less is no log of one."""

SLOWEST_FIRING, FASTEST_FIRING = 15.0, 900.0
"""Between these a firing climbs from its start to its hottest, on the whole [degC/h]. No more than sixty
times apart: so seconds are not taken for minutes, nor minutes for hours."""

DAY = 86400.0
_LOOKED_AT = 1000  # lines that tell the separator
_SHOWN = 40  # letters of a file that are quoted

# ------------------------------------------------------------------ rows and columns


@dataclass(frozen=True)
class Column:
    """A column of a log's file."""

    number: int
    name: str
    kind: str  # "clock", "moment", "date", "number", "words"
    cells: tuple[str, ...]

    @cached_property
    def numbers(self) -> tuple[np.ndarray, list[str]]:
        """Its cells as numbers, and what was assumed about their marks."""
        return numbers(self.cells)


@dataclass(frozen=True)
class Rows:
    """A log's file in columns."""

    columns: tuple[Column, ...]
    count: int
    skipped: int
    before: str  # what stands above them

    def chosen(self, wanted: str | int, argument: str) -> Column:
        """Return the column that a person has named."""
        for column in self.columns:
            if wanted in (column.number, column.name) or str(wanted).casefold() == column.name.casefold():
                return column
        raise ValueError(f"{argument} is {wanted!r}; the file has {self.listed()}")

    def listed(self) -> str:
        return ", ".join(f"{column.number}: “{said(column.name)}”" for column in self.columns[:8])


_CLOCK = re.compile(r"(\d{1,3}):([0-5]\d)(?::([0-5]\d(?:[.,]\d+)?))?\s*([ap])?\.?m?\.?", re.IGNORECASE)
_DATE = re.compile(r"(\d{1,4})(?P<mark>[-./])(\d{1,2})(?P=mark)(\d{1,4})")
_MOMENT = re.compile(
    rf"(?P<date>{_DATE.pattern})[T ,]+(?P<clock>{_CLOCK.pattern})\s*(?:Z|[+-]\d\d:?\d\d)?", re.IGNORECASE
)
_NUMBER = re.compile(
    r"([-+]?\d+(?:[.,]\d+)*(?:e[-+]?\d+)?)\s*(?:[°º]|deg)?\s*(c|f|s|sec|min|h)?", re.IGNORECASE
)
_THOUSANDS = re.compile(r"[-+]?\d{1,3}(?:,\d{3})+(?:\.\d+)?")
_KINDS: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("moment", _MOMENT),
    ("clock", _CLOCK),
    ("date", _DATE),
    ("number", _NUMBER),
)
_SEPARATORS = (";", "\t", ",", " ")


def _kind(cell: str) -> str:
    return next((kind for kind, pattern in _KINDS if pattern.fullmatch(cell)), "words")


def decoded(content: bytes) -> tuple[str, tuple[str, ...]]:
    """Return a file's text, and what had to be assumed about its letters."""
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return content.decode("utf-16", errors="replace"), ()
    if b"\0" in content:
        raise ValueError(
            "this is no text; save the log as CSV, a table of comma-separated values, from the logger's "
            "program or from a spreadsheet"
        )
    try:
        return content.decode("utf-8-sig"), ()
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace"), ("letters read as Western European (cp1252)",)


def rows_of(text: str) -> Rows:
    """Return the rows of a text in columns, by the separator that makes most rows of readings."""
    lines = text.splitlines()
    if len(lines) > MOST_READINGS:
        raise ValueError(f"the log has {len(lines)} lines; up to {MOST_READINGS} can be read")
    some = lines[:_LOOKED_AT]
    separator = max(_SEPARATORS, key=lambda mark: sum(map(_is_reading, _cut(some, mark))))
    rows = _cut(lines, separator)
    best = [(at, row) for at, row in enumerate(rows) if _is_reading(row)]
    if len(best) < FEWEST_READINGS:
        raise ValueError(
            f"this is no log: {counted(len(lines), 'line')}, and {len(best) or 'none'} of them with a time "
            f"and a temperature; a log needs {FEWEST_READINGS} or more, in columns separated by commas, "
            "semicolons, tabs or blanks"
        )
    widths = [len(row) for _, row in best]
    width = max(set(widths), key=widths.count)
    first = next(at for at, row in best if len(row) == width)
    heads = []
    for at in range(first - 1, max(first - 3, -1), -1):
        if len(rows[at]) == width and not _is_reading(rows[at]):
            heads.append(rows[at])
        elif any(rows[at]):
            if separator == "," and 2 * len(rows[at]) == width:
                raise ValueError(
                    f"the heading has {len(rows[at])} columns and the rows have {width}: a decimal comma in "
                    "columns that are separated by commas. Save the log with semicolons or decimal points"
                )
            break
    names = [" ".join(head[place] for head in reversed(heads)).strip() for place in range(width)]
    body = [row for _, row in best if len(row) == width]
    columns = []
    for place in range(width):
        cells = tuple(row[place] for row in body)
        kinds = [_kind(cell) for cell in cells[:500] if cell]
        common = max(set(kinds), key=kinds.count) if kinds else "words"
        columns.append(Column(place + 1, names[place] or f"column {place + 1}", common, cells))
    filled = sum(1 for row in rows[first:] if any(row))
    return Rows(tuple(columns), len(body), filled - len(body), "\n".join(lines[:first]))


def _cut(lines: Sequence[str], separator: str) -> list[list[str]]:
    """Return the cells of every line."""
    if separator == " ":
        return [line.split() for line in lines]
    try:
        return [[cell.strip() for cell in row] for row in csv.reader(_clean(lines), delimiter=separator)]
    except csv.Error as error:
        raise ValueError(f"this is no table of separated values ({error})") from None


def _clean(lines: Sequence[str]) -> Iterable[str]:
    """Yield lines of which none runs on into the next: a lone quotation mark is only a mark."""
    return (line if line.count('"') % 2 == 0 else line.replace('"', "") for line in lines)


def _is_reading(row: Sequence[str]) -> bool:
    """Whether two cells of a row may be a time and a temperature."""
    kinds = [_kind(cell) for cell in row]
    numbers = kinds.count("number")
    return numbers >= 2 or (numbers == 1 and any(kind in ("clock", "moment") for kind in kinds))


def numbers(cells: Sequence[str]) -> tuple[np.ndarray, list[str]]:
    """Return a column's numbers, not-a-number for anything else, and what was assumed about their marks.

    The last mark of a number is its decimal mark, unless it stands before three digits in a column where
    other numbers have none: then it counts thousands.
    """
    found = [match[1] if (match := _NUMBER.fullmatch(cell)) else "" for cell in cells]
    marked = [text for text in found if "," in text]
    plain = [text for text in found if text and "," not in text]
    thousands = bool(marked and plain) and all(_THOUSANDS.fullmatch(text) for text in marked)
    values = np.array([_value(text, thousands) for text in found])
    return values, [f"“{said(marked[0])}” read with a mark of thousands"] if thousands else []


def _value(text: str, thousands: bool) -> float:
    decimal = "." if thousands else max(".,", key=text.rfind)
    try:
        return float(text.replace("," if decimal == "." else ".", "").replace(decimal, "."))
    except ValueError:
        return np.nan


# ------------------------------------------------------------------ which column is which

_TIME_WORDS = re.compile(
    r"time|clock|elapsed|since|date|zeit|uhr|dauer|heure|temps|durée|hora|tiempo|ora|"
    r"(?:^|[^a-z])(?:t|s|secs?|seconds?|mins?|minutes?|h|hrs?|hours?|ms)(?:[^a-z]|$)"
)
_INDEX_WORDS = re.compile(
    r"^(?:#|no\.?|nr\.?|n°|n|index|record|row|id|count|sample|reading|lfd.*|segment|step)$"
)
_TEMPERATURE_WORDS = re.compile(
    r"temp|°|º|celsius|fahrenheit|degc|degf|deg |thermo|(?:^|[^a-z])(?:tc|pv|c|f|actual|ist|kiln|oven|ofen|"
    r"air|chamber|four|horno|forno)(?:[^a-z]|$)"
)
_OTHER_WORDS = re.compile(
    r"set|soll|target|program|plan|consigne|demand|(?:^|[^a-z])(?:sp|room|ambient|junction|cj|output|power|"
    r"duty|amps?|volts?|kwh?|w|error|dev|battery|humidity|rh)(?:[^a-z]|$)|%"
)


def columns_of(rows: Rows, time: str | int | None, temperature: str | int | None) -> tuple[Column, Column]:
    """Return the columns of times and of temperatures, those named by a person or those found out."""
    times = _time_column(rows) if time is None else rows.chosen(time, "time_column")
    if temperature is not None:
        return times, rows.chosen(temperature, "temperature_column")
    return times, _temperature_column(rows, times)


def _time_column(rows: Rows) -> Column:
    """Return the column that holds the times."""
    for kind in ("moment", "clock"):
        found = [column for column in rows.columns if column.kind == kind]
        if found:
            return found[0]
    counting = [column for column in rows.columns if column.kind == "number"]
    rising = [
        column
        for column in counting
        if _rises(column)
        and not _TEMPERATURE_WORDS.search(column.name.casefold())
        and not _INDEX_WORDS.search(column.name.casefold())
    ]
    named = [column for column in rising if _TIME_WORDS.search(column.name.casefold())]
    if named or len(counting) == 2:
        rising = (named or rising)[:1]
    if len(rising) > 1:
        names = ", ".join(f"“{said(one.name)}”" for one in rising[:6])
        raise ValueError(f"several columns may be the time ({names}); say which: time_column=...")
    if rising:
        return rising[0]
    raise ValueError(
        f"there is no column of times, of those there are ({rows.listed()}): a clock such as 18:05, a date "
        "with a clock, or a number of seconds, minutes or hours that goes up"
    )


def _readable(column: Column) -> np.ndarray:
    values = column.numbers[0]
    return values[np.isfinite(values)]


def _rises(column: Column) -> bool:
    steps = np.diff(_readable(column))
    return bool(steps.size and ((steps >= 0).all() or (steps <= 0).all()) and np.any(steps))


def _temperature_column(rows: Rows, times: Column) -> Column:
    """Return the column that holds what the thermometer showed."""
    rest = [
        column
        for column in rows.columns
        if column.kind == "number"
        and column is not times
        and not (_INDEX_WORDS.search(column.name.casefold()) and _rises(column))
    ]
    spread = [column for column in rest if _spread(column) >= LEAST_CHANGE]
    shown = [column for column in spread if not _OTHER_WORDS.search(column.name.casefold())]
    named = [column for column in shown if _TEMPERATURE_WORDS.search(column.name.casefold())]
    for found in (named, shown):
        if len(found) == 1:
            return found[0]
        if found:
            names = ", ".join(f"“{said(one.name)}”" for one in found[:6])
            raise ValueError(
                f"several columns may be the temperature ({names}); say which: temperature_column=..."
            )
    raise ValueError(
        f"there is no column of a kiln's temperatures, of those there are ({rows.listed()}): it must change "
        f"by {as_text(LEAST_CHANGE, 'temperature_difference')} at least, and not be what the programme asks "
        "for. If it is one of these: temperature_column=..."
    )


def _spread(column: Column) -> float:
    values = _readable(column)
    return float(np.ptp(values)) if values.size else 0.0


# ------------------------------------------------------------------ units

SECONDS: dict[str, float] = {"ms": 1e-3, "s": 1.0, "min": 60.0, "h": 3600.0}
_UNIT_OF_TIME: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("ms", re.compile(r"(?:^|[^a-z])(?:ms|millisec\w*)(?:[^a-z]|$)")),
    ("s", re.compile(r"(?:^|[^a-z])(?:s|secs?|seconds?|sekunden|secondes?|segundos)(?:[^a-z]|$)")),
    ("min", re.compile(r"(?:^|[^a-z])(?:mins?|minutes?|minuten|minutos)(?:[^a-z]|$)")),
    ("h", re.compile(r"(?:^|[^a-z])(?:h|hrs?|hours?|std|stunden|heures?|horas?)(?:[^a-z]|$)")),
)


def seconds(
    rows: Rows, column: Column, time_unit: str | None, temperature: np.ndarray
) -> tuple[np.ndarray, list[str]]:
    """Return the times of a column [s], and what was assumed about them."""
    if column.kind == "clock":
        dates = next((one for one in rows.columns if one.kind == "date"), None)
        clock = np.array([_time_of_day(cell) for cell in column.cells])
        if dates is None:
            return clock, ["times such as 1:30 read as hours and minutes"] * _two_parts(column)
        days, how = _days(dates.cells)
        return clock + DAY * (days - days[0]), how
    if column.kind == "moment":
        found = [_MOMENT.fullmatch(cell) for cell in column.cells]
        days, how = _days([match["date"] if match else "" for match in found])
        clock = np.array([_time_of_day(match["clock"]) if match else np.nan for match in found])
        return clock + DAY * (days - days[0]), how
    values, how = column.numbers
    if time_unit is None:
        units = [word for word, pattern in _UNIT_OF_TIME if pattern.search(column.name.casefold())]
        if not units:
            found = [_NUMBER.fullmatch(cell) for cell in column.cells]
            units = sorted({_SHORT.get(match[2].casefold(), "") for match in found if match and match[2]})
        if len(units) == 1 and units[0] in SECONDS:
            return values * SECONDS[units[0]], how
        time_unit = _likely_unit(values, temperature)
        how = [*how, f"times read as {_WORD[time_unit]}: no other unit makes a firing of them"]
    return values * SECONDS[time_unit], how


_SHORT = {"s": "s", "sec": "s", "min": "min", "h": "h"}
_WORD = {"s": "seconds", "min": "minutes", "h": "hours"}


def _two_parts(column: Column) -> bool:
    """Whether the times of a column are given as two numbers, of which the first begins at zero."""
    match = _CLOCK.fullmatch(column.cells[0])
    return bool(match and match[3] is None and int(match[1]) == 0 and all(":" in c for c in column.cells[:5]))


def _likely_unit(values: np.ndarray, temperature: np.ndarray) -> str:
    """Return the unit of time with which a log climbs as firings do."""
    good = np.isfinite(values) & np.isfinite(temperature)
    moments, degrees = values[good], temperature[good]
    hottest = int(degrees.argmax()) if degrees.size else 0
    coldest = int(degrees[: hottest + 1].argmin()) if degrees.size else 0
    apart = abs(float(moments[hottest] - moments[coldest])) if degrees.size else 0.0
    climb = float(degrees[hottest] - degrees[coldest]) if degrees.size else 0.0
    if apart and climb > LEAST_CHANGE:
        for word in _WORD:
            if SLOWEST_FIRING <= climb / (apart * SECONDS[word]) * 3600 <= FASTEST_FIRING:
                return word
    raise ValueError(
        "the unit of the times is not said, and none of seconds, minutes and hours makes a firing of them; "
        'say it: time_unit="s", "min" or "h"'
    )


def _time_of_day(cell: str) -> float:
    """Return the seconds since midnight, or since the start; not-a-number for anything else."""
    match = _CLOCK.fullmatch(cell)
    if not match:
        return np.nan
    hours, half = int(match[1]), (match[4] or "").casefold()
    if half:
        hours = hours % 12 + (12 if half == "p" else 0)
    return 3600.0 * hours + 60.0 * int(match[2]) + float((match[3] or "0").replace(",", "."))


def _days(dates: Sequence[str]) -> tuple[np.ndarray, list[str]]:
    """Return the days of a row of dates, counted from some day, and what was assumed of their order.

    Year first is plain. Else day and month may stand either way: the order that makes the shorter firing.
    """
    found = [_DATE.fullmatch(text) for text in dates]
    orders: list[tuple[float, str, np.ndarray]] = []
    for order, parts in _ORDERS:
        days = np.array([_day(parts(match)) if match else np.nan for match in found])
        good = days[np.isfinite(days)]
        if good.size and good.size == sum(1 for match in found if match):
            orders.append((float(np.ptp(good)), order, days))
    if not orders:
        raise ValueError(f"“{said(next(iter(dates), ''))}” is no date; write 2026-03-01 18:05")
    _, order, days = min(orders, key=lambda one: one[0])
    assumed = len(orders) > 1 and any(span for span, _, _ in orders)
    return days, [f"dates read as {order}: the shortest firing"] * assumed


_ORDERS: tuple[tuple[str, Callable[[re.Match[str]], tuple[str, str, str]]], ...] = (
    ("year, month, day", lambda match: (match[1], match[3], match[4])),
    ("day, month, year", lambda match: (match[4], match[3], match[1])),
    ("month, day, year", lambda match: (match[4], match[1], match[3])),
)


def _day(parts: tuple[str, str, str]) -> float:
    year, month, day = (int(part) for part in parts)
    if len(parts[0]) == 2:
        year += 2000
    try:
        return float(date(year, month, day).toordinal()) if year >= 1900 else np.nan
    except ValueError:
        return np.nan


def is_fahrenheit(
    rows: Rows, column: Column, unit: str | None, temperature: np.ndarray
) -> tuple[bool, list[str]]:
    """Return whether a column counts in degrees Fahrenheit, and what was assumed about it."""
    if unit:
        return unit == "degF", []
    for text in (column.name, *column.cells[:3], rows.before):
        said = set(_DEGREES.findall(text.casefold()))
        if len(letters := {letter[0] for letter in said}) == 1:
            return letters == {"f"}, []
    if temperature.size:
        start, hottest = float(temperature[0]), float(temperature.max())
        if start < 45 and hottest <= HOTTEST:
            return False, ["temperatures read as °C: the cold kiln shows less than 45"]
        if start >= 45 and hottest > 1000:
            return True, ["temperatures read as °F: the cold kiln shows 45 or more, the hot one over 1000"]
    raise ValueError(
        "whether the temperatures are in °C or in °F is not said, and the numbers may be either; say it: "
        'unit="degC" or unit="degF"'
    )


_DEGREES = re.compile(r"(?:^|[^a-z])(?:deg(?:rees)?[ _.]?)?(celsius|fahrenheit|[cf])(?=[^a-z]|$)")


def said(text: str) -> str:
    """Return what a file says so that it can be quoted: printable, and not long."""
    plain = "".join(letter if letter.isprintable() else " " for letter in text)
    return plain if len(plain) <= _SHOWN else plain[: _SHOWN - 1] + "…"


def counted(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"
