"""What every question must stand, our own and a teacher's: tried with every set of numbers that it has."""

import itertools
import math
import string
from collections.abc import Iterator

from kilncalc.exercises._marking import mark_numbers
from kilncalc.exercises._questions import Numbers, Question
from kilncalc.quantities import SYSTEMS, read

MOST_SETS = 20_000
"""A question with more sets of numbers is tried with this many, spread evenly."""


def complaints(asked: Question) -> Iterator[tuple[str, str]]:
    """Yield what is wrong with a question: which part of it, and a sentence; of each kind the first only."""
    names = [given.name for given in asked.given]
    used = {field for _, field, _, _ in string.Formatter().parse(asked.text) if field}
    for name in sorted(set(names) ^ used):
        what = "is not given" if name in used else "stands nowhere in the text"
        yield "text", f"{name} {what}"
    if "?" not in asked.text:
        yield "text", "it asks nothing: there is no question mark"
    if not asked.low < asked.high:
        yield "low", "the lowest answer is not below the highest"
    if len(asked.hints) < 2:
        yield "hints", f"there are {len(asked.hints)} hints; a student needs two or more"
    for given in asked.given:
        for listed in (given.metric, given.inches):
            if len(set(listed)) != len(listed):
                yield given.name, "a value is listed twice"
            for text in listed:
                try:
                    read(text, given.dimension)
                except ValueError as error:
                    yield given.name, str(error)
                    return
    found: set[str] = set()
    for units in SYSTEMS:
        for numbers in _sets(asked, units):
            for part, sentence in _of_numbers(asked, numbers):
                if part not in found:
                    found.add(part)
                    yield part, f"{sentence} for {', '.join(f'{k} {v}' for k, v in numbers.texts.items())}"


def _sets(asked: Question, units: str) -> Iterator[Numbers]:
    count = asked.variants(units)
    for index in range(min(count, MOST_SETS)):
        yield asked.variant(units, index * max(count, MOST_SETS) // MOST_SETS if count > MOST_SETS else index)


def _of_numbers(asked: Question, numbers: Numbers) -> Iterator[tuple[str, str]]:
    try:
        value = asked.value(numbers)
    except (ArithmeticError, ValueError) as error:
        yield "answer", f"it cannot be computed ({error})"
        return
    show = numbers.show
    if not (math.isfinite(value) and asked.low <= value <= asked.high):
        low, high = show.text(asked.low, asked.dimension), show.text(asked.high, asked.dimension)
        yield "answer", f"it is {asked.said(value, numbers)}, not between {low} and {high}"
        return
    try:
        slips = asked.slips(numbers)
    except (ArithmeticError, ValueError) as error:
        yield "slips", f"a slip cannot be computed ({error})"
        return
    if len(slips) < 3:
        yield "slips", f"there are {len(slips)} slips; a class makes three or more"
    points = [("answer", value), *((name, slip.value) for name, slip in slips.items())]
    around = asked.tolerance.around
    for (one, a), (other, b) in itertools.combinations(points, 2):
        if abs(a - b) / max(around(a, numbers.units), around(b, numbers.units)) <= 3:
            yield (
                other,
                f"slip “{other}” is within 3 tolerances of {'the answer' if one == 'answer' else f'“{one}”'}",
            )
    if not mark_numbers(asked, numbers, asked.said(value, numbers)).right:
        yield "answer", f"{asked.said(value, numbers)}, as the key says it, is not marked as right"
    try:
        steps = asked.working(numbers)
    except (ArithmeticError, ValueError, KeyError) as error:
        yield "working", f"it cannot be written ({error})"
        return
    if not steps or not all(step.endswith((".", ":")) for step in steps):
        yield "working", "its steps are not whole sentences"
