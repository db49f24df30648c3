"""An outline measured point by point, as pasted lines or the text of a CSV file, read."""

import re

from kilncalc._units import find_unit
from kilncalc.quantities import QuantityError, read

_MOST_POINTS = 400
_LONGEST = 40_000
_WORDS = re.compile(r"[^\W\d_]+|[\"']")
_TWO_DECIMALS = re.compile(r"\S?\d+(,\d+)?\s+\S?\d+(,\d+)?")
"""Two whole numbers or decimals with a comma, a space between them: 12,5 30."""
_MINUS = "-\N{MINUS SIGN}\N{EN DASH}"
_EXAMPLE = "write the two measures of a point with a semicolon between them, such as 12.5; 30"


def read_outline(text: str) -> tuple[tuple[float, float], ...]:
    """Return the points of an outline, one a line: along and across, in the order around the piece.

    Parameters
    ----------
    text : str
        Lines as typed, or pasted from a spreadsheet or a CSV file. The two measures are parted by a
        semicolon, a tab, one comma, or a space. The first line may say the unit for all, alone ("mm") or
        above the columns ("x mm; y mm"); else each measure has its own.

    Returns
    -------
    tuple of tuple of float
        Along and across [m].

    Raises
    ------
    ValueError
        With the number of the line, for a measure without a unit, one that cannot be read, a line that does
        not hold two of them; and for a text without a point or with more than 400.

    Notes
    -----
    One comma parts the two measures: "12,5" alone on a line is the point 12 and 5. It marks decimals where
    something else parts them, a semicolon, a tab or a space: "12,5 30". "12,5,30,2" is refused.

    Examples
    --------
    >>> read_outline("mm\\n0; 0\\n320; -1,5")
    ((0.0, 0.0), (0.32, -0.0015))
    >>> read_outline("4 3/4 in, 10 mm")
    ((0.12065, 0.01),)
    """
    if len(text) > _LONGEST:
        raise ValueError(f"these are {len(text)} characters; an outline has up to {_MOST_POINTS} points")
    points: list[tuple[float, float]] = []
    unit = ""
    for number, line in enumerate(text.lstrip("\ufeff").splitlines(), 1):
        line = line.strip()
        if not line.strip(";, \t"):
            continue
        try:
            if not points and not any(letter.isdigit() for letter in line):
                unit = _named_unit(line)
            else:
                points.append(_point(line, unit))
        except ValueError as problem:
            raise ValueError(f"line {number} of the points: {problem}") from None
        if len(points) > _MOST_POINTS:
            raise ValueError(f"there are more than {_MOST_POINTS} points; measure every fourth of them")
    if not points:
        raise ValueError(f"there is no point yet: {_EXAMPLE}, one point a line, and the unit above them")
    return tuple(points)


def _named_unit(line: str) -> str:
    """Return the unit of length that a line without a number names, or "" where it names none."""
    found = [unit for word in _WORDS.findall(line) if (unit := find_unit(word))]
    named = {unit.symbol for unit in found if unit.dimension == "length"}
    if len(named) > 1:
        raise ValueError(f"“{line[:40]}” names {' and '.join(sorted(named))}; write one unit for all")
    return next(iter(named), "")


def _point(line: str, unit: str) -> tuple[float, float]:
    parts = _parts(line)
    if len(parts) != 2:
        what = "is one measure" if len(parts) == 1 else f"holds {len(parts)}"
        raise ValueError(f"“{line[:40]}” {what}; {_EXAMPLE}")
    along, across = (_measure(part, unit) for part in parts)
    return along, across


def _parts(line: str) -> list[str]:
    """Return what stands between the marks of a line, by the first kind of mark that it has."""
    for mark in (";", "\t"):
        if mark in line:
            return [part.strip() for part in line.rstrip(f"{mark} ").split(mark)]
    if line.count(",") == 1 and not _TWO_DECIMALS.fullmatch(line):
        return [part.strip() for part in line.split(",")]
    return line.split()


def _measure(part: str, unit: str) -> float:
    plain = part.lstrip(_MINUS).strip()
    if plain and not any(letter.isalpha() or letter in "\"'”″" for letter in plain):
        if not unit:
            raise ValueError(f"“{part}” has no unit: write mm or in on a line of its own above the points")
        plain = f"{plain} {unit}"
    try:
        size = read(plain, "length")
    except QuantityError as problem:
        raise ValueError(str(problem).removesuffix(".")) from None
    return -size if part[:1] in _MINUS else size
