"""The data tables as plain rows, and the look-up of one row by its name, which never guesses."""

import csv
import math
from collections.abc import Iterable, Mapping
from functools import lru_cache

from kilncalc import _resources
from kilncalc._ranges import did_you_mean

Row = Mapping[str, str]
"""Column to what is written in the cell, "" where it is empty."""


@lru_cache
def rows(table: str) -> tuple[Row, ...]:
    """Return the rows of a table, such as "glasses.csv", in its order."""
    with (_resources.datasets() / table).open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


def named(name: str, among: Iterable[Row], what: str) -> Row:
    """Return the row of that name; ValueError, listing the names, where there is none. `what` is a row."""
    known = {row["name"]: row for row in among}
    if name in known:
        return known[name]
    names = ", ".join(f'"{each}"' for each in known)
    raise ValueError(f'there is no {what} called "{name}".{did_you_mean(name, known)} There are: {names}')


def as_number(cell: str) -> float:
    """Return a cell as a number; not-a-number where it is empty."""
    return float(cell) if cell else math.nan
