"""One sentence for every number that a calculation cannot use."""

import difflib
from collections.abc import Callable, Iterable
from typing import Any

import numpy as np

ArrayLike = Any
"""A float, or anything that numpy makes a float array of."""

SAME_LENGTH = 1e-9
"""Metres by which two lengths may differ and count as equal."""


def in_range(
    name: str,
    value: ArrayLike,
    unit: str,
    low: float,
    high: float,
    *,
    open_low: bool = False,
    hint: Callable[[float], str | None] | None = None,
) -> np.ndarray:
    """Return `value` as a float array, or raise ValueError with a sentence naming what is allowed.

    `unit` is the unit of `value`, as shown. `open_low` leaves `low` itself out. A number that would be in
    range in another unit of `_SLIPS` is taken for a slip and asked about; `hint` gets the first bad number
    and may return other advice.
    """
    if type(value) is float and (low < value if open_low else low <= value) and value <= high:
        return np.array(value)  # as nearly always, and several times as quick
    try:
        given = np.asarray(value)
        if given.dtype.kind in "bUS":  # numpy would take True for 1 and "150" for 150
            raise TypeError
        array = given.astype(float, copy=False)
    except (TypeError, ValueError):
        raise ValueError(f"{name} must be a number{_in(unit)}, got {value!r}") from None
    good = (array > low) if open_low else (array >= low)
    good &= array <= high
    if good.all():
        return array
    bad = float(np.atleast_1d(array)[~np.atleast_1d(good)][0])
    span = f"{'above ' if open_low else ''}{low:g} to {high:g} {unit}".rstrip()
    sentence = f"{name} is {bad:g} {unit}".rstrip() + f"; allowed is {span}"
    meant = (hint and hint(bad)) or _meant(bad, unit, low, high)
    raise ValueError(f"{sentence}. {meant}" if meant else sentence)


def scalar_in_range(
    name: str, value: ArrayLike, unit: str, low: float, high: float, **keywords: Any
) -> float:
    """Return `value` as one float, or raise ValueError as `in_range` does."""
    array = in_range(name, value, unit, low, high, **keywords)
    if array.ndim:
        raise ValueError(f"{name} must be one number{_in(unit)}, got {array.size} of them")
    return float(array)


def whole_in_range(name: str, value: ArrayLike, low: int, high: int) -> int:
    """Return `value` as a whole number, or raise ValueError as `in_range` does."""
    number = scalar_in_range(name, value, "", low, high)
    if number != int(number):
        raise ValueError(f"{name} must be a whole number, got {number:g}")
    return int(number)


def did_you_mean(word: object, known: Iterable[str]) -> str:
    """Return a question with the nearest of the known words, with a space before it, or nothing."""
    small = {one.casefold(): one for one in known}
    near = difflib.get_close_matches(str(word).casefold(), small, n=1)
    return f' Did you mean "{small[near[0]]}"?' if near else ""


def like_input(result: ArrayLike) -> Any:
    """Return a Python float for a result without dimensions, else the array itself."""
    array = np.asarray(result, dtype=float)
    return float(array) if array.ndim == 0 else array


def _in(unit: str) -> str:
    return f" in {unit}" if unit else ""


_SLIPS = {
    "m": {"mm": 1e-3, "nm": 1e-9},
    "m2": {"cm2": 1e-4},
    "m3": {"cm3": 1e-6},
    "kg": {"g": 1e-3},
    "kg/m3": {"g/cm3": 1e3},
    "Pa": {"MPa": 1e6, "GPa": 1e9},
    "1/K": {"×10⁻⁶ /K": 1e-6, "×10⁻⁷ /K": 1e-7},
    "s": {"h": 3600.0},
    "": {"%": 1e-2},
}
"""What a number is written in by those who forget that calculations count in SI: word and size."""


def _meant(bad: float, unit: str, low: float, high: float) -> str | None:
    for word, size in _SLIPS.get(unit, {}).items():
        if low <= bad * size <= high and bad:
            number = f"{bad * size:g}".replace("e+0", "e").replace("e-0", "e-")
            return f"Did you mean {bad:g} {word}, that is {number} {unit}".rstrip() + "?"
    return None
