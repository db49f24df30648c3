"""From what a student typed to a verdict, without judging more than the number and its unit."""

import html
from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from typing import NamedTuple

from kilncalc.exercises._questions import Numbers, Question
from kilncalc.quantities import QuantityError, Show

SELF_CHECK = "This is a self-check, not an examination."

FACTORS: Mapping[float, str] = {
    2: "Was a diameter taken for a radius, or a half, a second face or a second piece left out or added?",
    4: "Was a diameter taken for a radius in something that is squared?",
    10: "Did the decimal point slip, or were millimetres and centimetres mixed?",
    25.4: "That is the number of millimetres in an inch: were the two mixed?",
    28.35: "That is the number of grams in an ounce of weight: were the two mixed?",
    60: "That is the minutes in an hour and the seconds in a minute: were two of these mixed?",
    1.8: "That is how many degrees of °F go into one of °C: were the two mixed?",
}
"""Ratios that mixed units and forgotten halves leave behind, with the question to ask."""

_OF_DEGREES = 1.8, ("rate", "temperature_difference")
"""The ratio that only an answer in degrees can have by mixing them; a temperature is off by degrees."""

_WIDEST_FACTOR = 0.05
"""A bench factor is recognised within the tolerance of the question, and within this share at most."""

_HEADINGS = {"unread": "Could not be read", "other quantity": "Another kind of quantity", "right": "Right"}
_SIGNS = {"unread": "?", "other quantity": "?", "right": "✓"}
_INK, _RIGHT, _NOT_YET = "#1f2a36", "#14507f", "#b0480c"


@dataclass(frozen=True, repr=False)
class Verdict:
    """What became of an answer; prints as plain sentences, in a notebook as a framed note.

    `kind` is "unread", "other quantity", "right", "slip", "factor", "higher" or "lower". `value` is what
    was typed, in SI, and `expected` the computed answer, which is printed only where `kind` is "right".
    `slip` is the name of the slip, `factor` the bench factor that was recognised.
    """

    key: str
    text: str
    expected: float
    kind: str
    sentence: str
    value: float | None = None
    slip: str | None = None
    factor: float | None = None

    @property
    def right(self) -> bool:
        """Whether the answer counts as right."""
        return self.kind == "right"

    @property
    def heading(self) -> str:
        """The verdict in a few words."""
        return _HEADINGS.get(self.kind, "Not yet")

    def __str__(self) -> str:
        return f"{self.heading}. {self.sentence}\n{SELF_CHECK}"

    __repr__ = __str__

    def _repr_html_(self) -> str:
        sign = _SIGNS.get(self.kind, "✗")
        colour, line = (_RIGHT, "solid") if self.right else (_NOT_YET, "dashed")
        return (
            f'<div style="border-left:6px {line} {colour};background:#ffffff;color:{_INK};padding:6px 12px;'
            'max-width:860px;font-size:17px;line-height:1.4">'
            f'<strong style="color:{colour}">{sign} {self.heading}.</strong> {html.escape(self.sentence)}'
            f'<br><span style="font-size:16px">{SELF_CHECK}</span></div>'
        )


class Judged(NamedTuple):
    """What became of an answer: `kind` is "unread", "other quantity", "right", "slip" or "wrong"."""

    kind: str
    expected: float
    value: float | None = None
    slip: str | None = None
    problem: str = ""
    """Why it could not be read."""


def mark_numbers(question: Question, numbers: Numbers, text: str) -> Verdict:
    """Mark a typed answer to a question with these numbers.

    Raises ValueError where the numbers make no sense for the question, which those it lists never do.
    """
    kind, expected, value, slip, problem = judge(question, numbers, text)
    verdict = partial(Verdict, question.key, text, expected)
    if value is None:
        return verdict(kind, problem)
    if kind == "right":
        return verdict(kind, f"The computed answer is {question.said(expected, numbers)}.", value)
    if slip is not None:
        return verdict(kind, question.answers(numbers)[1][slip].say, value, slip)
    return _by_size(question, numbers.show, value, expected, verdict)


def judge(question: Question, numbers: Numbers, text: str) -> Judged:
    """Judge a typed answer as `mark_numbers` does, for who needs no words.

    Raises ValueError as `mark_numbers`.
    """
    try:
        expected, slips = question.answers(numbers)
    except ArithmeticError as error:
        raise ValueError(f"with these numbers exercise {question.key} cannot be computed: {error}") from error
    if not question.low <= expected <= question.high:
        raise ValueError(f"with these numbers exercise {question.key} has no answer in its range")
    try:
        value = question.read(text, numbers)
    except QuantityError as error:
        kind = "other quantity" if error.kind == "other dimension" else "unread"
        return Judged(kind, expected, problem=str(error))
    tolerance = question.tolerance
    if abs(value - expected) <= tolerance.around(expected, numbers.units):
        return Judged("right", expected, value)
    nearest = min(slips, key=lambda name: abs(value - slips[name].value))
    slip = slips[nearest].value
    if abs(value - slip) <= tolerance.around(slip, numbers.units):
        return Judged("slip", expected, value, nearest)
    return Judged("wrong", expected, value)


def _by_size(
    question: Question, show: Show, value: float, expected: float, verdict: "partial[Verdict]"
) -> Verdict:
    kind = "higher" if value > expected else "lower"
    too = "Too high" if kind == "higher" else "Too low"
    if question.dimension == "temperature":
        off = show.text(abs(value - expected), "temperature_difference")
        return verdict(kind, f"{too}, by {off}.", value)
    if value * expected <= 0:
        return verdict(kind, f"{too}: the computed answer is on the other side of zero.", value)
    ratio = abs(value / expected)
    tolerance = question.tolerance.around(expected, show.units) / abs(expected)
    factor = _bench_factor(max(ratio, 1 / ratio), tolerance, question.dimension)
    if question.dimension == "count":  # a ratio would give a whole number away
        return verdict(
            "factor" if factor else kind,
            f"{too}. {FACTORS[factor] if factor else ''}".rstrip(),
            value,
            factor=factor,
        )
    times = f"{too}: your answer is {_times(ratio)} the computed one."
    if ratio < 1:
        times = f"{too}: the computed answer is {_times(1 / ratio)} yours."
    if factor:
        return verdict("factor", f"{times} {FACTORS[factor]}", value, factor=factor)
    return verdict(kind, times, value)


def _bench_factor(ratio: float, tolerance: float, dimension: str) -> float | None:
    window = min(tolerance, _WIDEST_FACTOR)
    of_degrees, dimensions = _OF_DEGREES
    asked = [factor for factor in FACTORS if factor != of_degrees or dimension in dimensions]
    nearest = min(asked, key=lambda factor: abs(ratio / factor - 1))
    return nearest if abs(ratio / nearest - 1) <= window else None


def _times(ratio: float) -> str:
    return f"{ratio:,.0f} times" if ratio >= 100 else f"{ratio:.3g} times"
