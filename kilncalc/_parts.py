"""Parts of a piece file: frozen dataclasses whose fields say how they are written in TOML, what is allowed.

A class derives from `Part`; each field is made by one of the functions here (`length`, `words`, `tables`
...), which is all that reading, checking and writing need. `tomllib` tells no line numbers: `lines_of` finds
them with `tomllib` itself, as the first line with which the file so far holds the entry.
"""

import dataclasses
import datetime
import math
import tomllib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Self

from kilncalc._ranges import did_you_mean
from kilncalc.quantities import QuantityError, as_text, exact_text, read

Path = tuple[str | int, ...]
"""Where something stands in a file: ("hole", 1, "at") is "at" in the second [[hole]]."""


class PartError(ValueError):
    """A part that cannot be used: where it stands (its line, where that is known already), and a sentence."""

    def __init__(self, path: Path, sentence: str, line: int = 0) -> None:
        super().__init__(sentence)
        self.path = path
        self.line = line


@dataclass(frozen=True)
class Kind:
    """How one kind of value is read from TOML, checked, and written."""

    read: Callable[[str, Any], Any]
    """From TOML's value; the name goes into the sentence of a ValueError."""
    check: Callable[[str, Any], Any]
    """The value as it is kept, or a ValueError."""
    write: Callable[[Any, str], str]
    """As TOML, in a system of units."""
    part: type["Part"] | None = None
    """The class, where the value is a table or a list of them."""
    many: bool = False
    """Whether it is a list of tables."""
    options: tuple[str, ...] = ()
    """The words that are allowed, where they are a few."""
    dimension: str = ""
    """Of a quantity."""
    low: float = -math.inf
    high: float = math.inf
    """What a number may be, in SI units."""


_MISSING: Any = dataclasses.MISSING


def _entry(kind: Kind, default: Any, key: str = "") -> Any:
    return field(default=default, metadata={"kind": kind, "key": key})


# ------------------------------------------------------------------------------------- kinds of value


def _shown(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _is_words(name: str, value: Any) -> str:
    if not isinstance(value, str):
        raise ValueError(f'{name} is {_shown(value)}; write words in quotes, {name} = "..."')
    control = any(ord(letter) < 32 and letter not in "\n\t" for letter in value)
    if len(value) > 2000 or control or any("\ud800" <= letter <= "\udfff" for letter in value):
        raise ValueError(f"{name} is longer than 2000 letters or holds signs that cannot be printed")
    return value


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\t", "\\t").replace("\x7f", "\\u007f")
    return '"' + escaped.replace("\n", "\\n") + '"'


_WORDS = Kind(_is_words, _is_words, lambda value, units: _quoted(value))


def words(default: str = _MISSING) -> Any:
    """Any words."""
    return _entry(_WORDS, default)


def choice(options: Iterable[str], default: str | None = _MISSING) -> Any:
    """One of a few words."""
    known = tuple(options)

    def check(name: str, value: Any) -> Any:
        if value is None and default is None:
            return None
        if value not in known:
            listed = ", ".join(f'"{one}"' for one in known)
            raise ValueError(f"{name} is {_shown(value)}; allowed are {listed}.{did_you_mean(value, known)}")
        return value

    return _entry(Kind(check, check, lambda value, units: _quoted(value), options=known), default)


def _quantity_kind(dimension: str, low: float, high: float) -> Kind:
    def check(name: str, value: Any) -> float:
        if isinstance(value, bool | str) or not isinstance(value, int | float):
            raise ValueError(f"{name} is {_shown(value)}, not a number")
        if not low <= value <= high:
            shown, least, most = (as_text(end, dimension) for end in (value, low, high))
            raise ValueError(f"{name} is {shown}; allowed is {least} to {most}")
        return float(value) + 0.0  # no minus zero

    def from_toml(name: str, value: Any) -> float:
        try:
            return check(name, read(value, dimension))
        except QuantityError as error:
            raise ValueError(f"{name} = {_shown(value)}: {error}") from None

    def write(value: float, units: str) -> str:
        return _quoted(exact_text(value, dimension, units))

    return Kind(from_toml, check, write, dimension=dimension, low=low, high=high)


def quantity(dimension: str, low: float, high: float, default: float | None = _MISSING) -> Any:
    """A quantity with its unit, as text in the file and in SI units here."""
    return _entry(_or_nothing(_quantity_kind(dimension, low, high), default), default)


def length(low: float, high: float, default: float | None = _MISSING) -> Any:
    """A length."""
    return quantity("length", low, high, default)


def _or_nothing(kind: Kind, default: Any) -> Kind:
    if default is not None:
        return kind
    return dataclasses.replace(
        kind, check=lambda name, value: None if value is None else kind.check(name, value)
    )


def _row_kind(one: Kind, exactly: int | None, what: str, most: int = 500) -> Kind:
    def each(name: str, value: Any, how: Callable[[str, Any], Any]) -> tuple[Any, ...]:
        if isinstance(value, str) or not isinstance(value, Sequence):
            raise ValueError(f"{name} is {_shown(value)}; write {what}")
        if (exactly is not None and len(value) != exactly) or len(value) > most:
            raise ValueError(f"{name} has {len(value)} entries; write {what}")
        return tuple(how(name, entry) for entry in value)

    return Kind(
        lambda name, value: each(name, value, one.read),
        lambda name, value: each(name, value, one.check),
        lambda value, units: "[" + ", ".join(one.write(entry, units) for entry in value) + "]",
        dimension=one.dimension,
        low=one.low,
        high=one.high,
    )


def pair(low: float, high: float, default: Any = _MISSING) -> Any:
    """Two lengths: along and across."""
    kind = _row_kind(_quantity_kind("length", low, high), 2, 'two lengths, ["240 mm", "180 mm"]')
    return _entry(_or_nothing(kind, default), default)


def points(low: float, high: float) -> Any:
    """Points, each as two lengths."""
    point = _row_kind(_quantity_kind("length", low, high), 2, 'points, [["0 mm", "0 mm"], ...]')
    return _entry(_row_kind(point, None, 'points, [["0 mm", "0 mm"], ...]'), ())


def lengths(low: float, high: float) -> Any:
    """A row of lengths."""
    kind = _row_kind(_quantity_kind("length", low, high), None, 'lengths, ["3.4 mm", "3.4 mm"]')
    return _entry(kind, ())


def texts() -> Any:
    """A row of words."""
    return _entry(_row_kind(_WORDS, None, 'words in quotes, ["...", "..."]'), ())


def count(low: int, high: int, default: int | None = _MISSING) -> Any:
    """A whole number."""

    def check(name: str, value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise ValueError(f"{name} is {_shown(value)}; allowed are whole numbers from {low} to {high}")
        return value

    kind = Kind(check, check, lambda value, units: str(value), low=low, high=high)
    return _entry(_or_nothing(kind, default), default)


def number(low: float, high: float, default: float | None = _MISSING) -> Any:
    """A plain number: a price, or what a meter counts."""

    def check(name: str, value: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            raise ValueError(f"{name} is {_shown(value)}; allowed is a number from {low:g} to {high:g}")
        return float(value) + 0.0

    def write(value: float, units: str) -> str:
        return str(int(value)) if value == int(value) and abs(value) < 1e15 else repr(value)

    return _entry(_or_nothing(Kind(check, check, write, low=low, high=high), default), default)


def flag(default: bool | None) -> Any:
    """Yes or no."""

    def check(name: str, value: Any) -> bool:
        if not isinstance(value, bool):
            raise ValueError(f"{name} is {_shown(value)}; write true or false, without quotes")
        return value

    return _entry(_or_nothing(Kind(check, check, lambda value, units: str(value).lower()), default), default)


def date() -> Any:
    """A day."""

    def check(name: str, value: Any) -> datetime.date:
        if isinstance(value, datetime.datetime) or not isinstance(value, datetime.date):
            raise ValueError(f"{name} is {_shown(value)}; write year-month-day without quotes: 2026-03-05")
        return value

    return _entry(Kind(check, check, lambda value, units: value.isoformat()), _MISSING)


def written(
    from_text: Callable[[str], Any], check: Callable[[Any], Any], to_text: Callable[[Any, str], str]
) -> Any:
    """Something that has words of its own, such as a schedule."""

    def read_words(name: str, value: Any) -> Any:
        try:
            return check(from_text(_is_words(name, value)))
        except ValueError as error:
            raise ValueError(f"{name}: {error}") from None

    kind = Kind(read_words, lambda name, value: check(value), lambda v, units: _quoted(to_text(v, units)))
    return _entry(kind, _MISSING)


def table(part: type["Part"], key: str = "") -> Any:
    """A table of its own, [key], or nothing."""

    def check(name: str, value: Any) -> Any:
        if value is not None and not isinstance(value, part):
            raise ValueError(f"{name} must be a {part.__name__}, got {_shown(value)}")
        return value

    return _entry(Kind(check, check, lambda value, units: "", part=part), None, key)


def tables(part: type["Part"], key: str) -> Any:
    """Tables of their own, each [[key]]."""

    def check(name: str, value: Any) -> tuple[Any, ...]:
        row = tuple(value)
        if not all(isinstance(one, part) for one in row):
            raise ValueError(f"{name} must be a row of {part.__name__}, got {_shown(value)}")
        if len(row) > 500:
            raise ValueError(f"there are {len(row)} of [[{name}]]; up to 500 can be used")
        return row

    return _entry(Kind(check, check, lambda value, units: "", part=part, many=True), (), key)


# ------------------------------------------------------------------------------------------- the parts


@dataclass(frozen=True, kw_only=True)
class Part:
    """A table of a piece file. Each field is checked when the part is made."""

    def __post_init__(self) -> None:
        for one in dataclasses.fields(self):
            name = _key(one)
            try:
                value = one.metadata["kind"].check(name, getattr(self, one.name))
            except PartError:
                raise
            except ValueError as error:
                raise PartError((name,), str(error)) from None
            object.__setattr__(self, one.name, value)
        self._check()

    def _check(self) -> None:
        """Raise PartError where the fields do not go together."""

    @classmethod
    def from_table(cls, given: Mapping[str, Any], path: Path, faults: list[PartError]) -> Self | None:
        """Return the part that a table of TOML describes; None, with faults added, where it is none."""
        before = len(faults)
        fields = {_key(one): one for one in dataclasses.fields(cls)}
        for key in given:
            if key not in fields:
                listed = ", ".join(fields)
                table = ".".join(step for step in path if isinstance(step, str))
                where = f"[{table}]" if table else "a piece file"
                sentence = f'"{key}" is no part of {where}.{did_you_mean(key, fields)} There are: {listed}'
                faults.append(PartError((*path, key), sentence))
        values: dict[str, Any] = {}
        for key, one in fields.items():
            kind: Kind = one.metadata["kind"]
            if key not in given:
                if one.default is _MISSING:
                    faults.append(PartError(path, f"{key} is missing"))
                continue
            try:
                values[one.name] = _value(kind, key, given[key], (*path, key), faults)
            except ValueError as error:
                faults.append(PartError((*path, key), str(error)))
        if len(faults) > before:
            return None
        try:
            return cls(**values)
        except PartError as error:
            faults.append(PartError((*path, *error.path), str(error)))
            return None

    def to_toml(self, units: str, path: tuple[str, ...] = ()) -> str:
        """Return the part as TOML; what has its default value is left out."""
        plain, below = [], []
        for one in dataclasses.fields(self):
            kind, value, key = one.metadata["kind"], getattr(self, one.name), _key(one)
            if value is None or (one.default is not _MISSING and value == one.default):
                continue
            if kind.part is None:
                plain.append(f"{key} = {kind.write(value, units)}\n")
                continue
            name = ".".join((*path, key))
            for part in value if kind.many else (value,):
                head = f"[[{name}]]" if kind.many else f"[{name}]"
                below.append(f"\n{head}\n" + part.to_toml(units, (*path, key)))
        return "".join(plain + below)


def _key(one: "dataclasses.Field[Any]") -> str:
    return one.metadata["key"] or one.name


def _value(kind: Kind, key: str, value: Any, path: Path, faults: list[PartError]) -> Any:
    if kind.part is None:
        return kind.read(key, value)
    if not kind.many:
        if not isinstance(value, Mapping):
            raise ValueError(f"{key} is a table of its own: begin it with a line [{key}]")
        return kind.part.from_table(value, path, faults)
    if not isinstance(value, list) or not all(isinstance(one, Mapping) for one in value):
        raise ValueError(f"each {key} is a table of its own: begin it with a line [[{key}]]")
    made = [kind.part.from_table(one, (*path, place), faults) for place, one in enumerate(value)]
    return tuple(one for one in made if one is not None)


# --------------------------------------------------------------------------------------------- lines


def lines_of(text: str, paths: Iterable[Path]) -> dict[Path, int]:
    """Return the line, from 1, on which each entry of a TOML text begins; of one not there, its table's."""
    lines = text.split("\n")
    parsed: dict[int, Any] = {}

    def first(end: int) -> Any:
        """The first lines, or None where they are no TOML by themselves: they end within an entry."""
        if end not in parsed:
            try:
                parsed[end] = tomllib.loads("\n".join(lines[:end]))
            except (tomllib.TOMLDecodeError, RecursionError):
                parsed[end] = None
        return parsed[end]

    def line(path: Path) -> int:
        if not path:
            return 1
        if not _holds(first(len(lines)), path):
            return line(path[:-1])
        before, low, high = 0, 0, len(lines)  # lines without it; up to low they lack it or are no TOML
        while high - low > 1:
            middle = (low + high) // 2
            end = middle
            while end > low and first(end) is None:
                end -= 1
            if end > low and _holds(first(end), path):
                high = end
            else:
                before, low = (end if end > low else before), middle
        return before + 1

    return {path: line(path) for path in paths}


def _holds(so_far: Any, path: Path) -> bool:
    for step in path:
        try:
            so_far = so_far[step]
        except (KeyError, IndexError, TypeError):
            return False
    return True
