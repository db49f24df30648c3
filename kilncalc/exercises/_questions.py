"""What an exercise is, where it is found, and which numbers a student gets."""

import functools
import hashlib
import html
import json
import math
import re
import textwrap
import unicodedata
from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from kilncalc.quantities import Show, as_text, read, unit_system

_LONGEST_JSON = 2000
_CLOCK = re.compile(r"^\s*(\d+)\s*(?::|h)\s*([0-5]\d)(?:\s*h)?\s*$")
"""Hours and minutes as a kiln's clock shows them, 6:05 or 5h20: only a question about hours reads them so."""


@dataclass(frozen=True)
class Given:
    """One number of a question: its name, its kind, and the values it may take, as a student reads them."""

    name: str
    dimension: str
    metric: tuple[str, ...]
    inches: tuple[str, ...] = ()
    """For those who work in inches; empty where the metric list serves both."""

    def listed(self, units: str) -> tuple[str, ...]:
        """Return the values of one unit system."""
        return self.inches if units == "inches" and self.inches else self.metric


@dataclass(frozen=True)
class Numbers:
    """The numbers of one student's question: `numbers["depth"]` in SI, `numbers.texts["depth"]` as shown."""

    units: str
    texts: Mapping[str, str]
    values: Mapping[str, float]

    def __getitem__(self, name: str) -> float:
        return self.values[name]

    @property
    def show(self) -> Show:
        """The question's own unit system, in which all its words are."""
        return Show(self.units)

    def to_json(self) -> str:
        """Return the numbers as they are kept beside an answer."""
        return self._json

    @functools.cached_property
    def _json(self) -> str:
        return json.dumps({"units": self.units, **self.texts}, ensure_ascii=False)


@dataclass(frozen=True)
class Tolerance:
    """How far from the computed answer still counts as right: a share of it, or an amount (SI).

    `inches` is the amount (SI) for those who work in inches, a round number there: 1/64 in, 0.05 oz.
    """

    relative: float = 0.0
    absolute: float = 0.0
    inches: float = 0.0

    def around(self, value: float, units: str = "metric") -> float:
        """Return the width, either way, in the unit of the value."""
        return self.relative * abs(value) if self.relative else self.amount(units)

    def amount(self, units: str) -> float:
        """Return the amount in one unit system."""
        return self.inches if self.inches and units == "inches" else self.absolute


@dataclass(frozen=True)
class Slip:
    """A known way to go wrong: the answer it gives, and what to say to who gave it."""

    value: float
    say: str


@dataclass(frozen=True, repr=False)
class Working:
    """A worked solution; prints as numbered lines, in a notebook as a numbered list."""

    key: str
    steps: tuple[str, ...]

    def __str__(self) -> str:
        lines = [f"{number}. {step}" for number, step in enumerate(self.steps, 1)]
        return "\n".join([f"Working of exercise {self.key}", *lines])

    __repr__ = __str__

    def _repr_html_(self) -> str:
        items = "".join(f"<li>{html.escape(step)}</li>" for step in self.steps)
        return f"<p><strong>Working of exercise {self.key}</strong></p><ol>{items}</ol>"


class Question(ABC):
    """One exercise: subclass it, fill the attributes, put an instance into the lesson's QUESTIONS.

    `text` is a template: each `{name}` is replaced by that number of `given`, in the student's units.
    `low` and `high` (SI) bound the answer of every variant, so that nobody is asked for a nonsense. `like` is
    a size (SI) whose unit the answer is said in, where that is not the usual one: grains are micrometres.
    """

    key: str
    title: str
    minutes: int
    given: tuple[Given, ...]
    text: str
    dimension: str
    tolerance: Tolerance
    low: float
    high: float
    hints: tuple[str, ...]
    like: float | None = None

    @abstractmethod
    def value(self, numbers: Numbers) -> float:
        """Return the answer in SI, computed by the package."""

    @abstractmethod
    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return the wrong answers a class really gives, by the name the teacher's table shows."""

    @abstractmethod
    def working(self, numbers: Numbers) -> list[str]:
        """Return the solution, one step a line, with these numbers in it."""

    def read(self, text: str, _numbers: Numbers) -> float:
        """Return a typed answer in SI; QuantityError with a sentence where it cannot be read."""
        return _read(_CLOCK.sub(r"\1 h \2 min", text) if self.dimension == "time" else text, self.dimension)

    def numbers(self, units: str, texts: Mapping[str, str]) -> Numbers:
        """Return written numbers as Numbers; ValueError where they cannot belong to this question."""
        units = unit_system(units)
        names = [given.name for given in self.given]
        if set(texts) != set(names):
            raise ValueError(
                f"exercise {self.key} has the numbers {', '.join(names)}, not {', '.join(texts)}"
            )
        values = {}
        for given in self.given:
            try:
                values[given.name] = _read(texts[given.name], given.dimension)
            except ValueError as error:
                raise ValueError(f"the number {given.name!r} of exercise {self.key}: {error}") from error
        return Numbers(units, {name: texts[name] for name in names}, values)

    def numbers_from_json(self, text: str) -> Numbers:
        """Return the numbers that `Numbers.to_json` wrote; ValueError with a sentence for anything else."""
        if len(text) > _LONGEST_JSON:
            raise ValueError(f"the numbers of exercise {self.key} are {len(text)} characters long")
        try:
            content: Any = json.loads(text)
        except (ValueError, RecursionError):
            raise ValueError(f"the numbers of exercise {self.key} cannot be read") from None
        if not isinstance(content, dict) or not all(isinstance(value, str) for value in content.values()):
            raise ValueError(f"the numbers of exercise {self.key} are not a list of names and texts")
        return self.numbers(content.pop("units", ""), content)

    def variants(self, units: str) -> int:
        """Return how many different sets of numbers there are."""
        return _variants(self, units)

    def variant(self, units: str, index: int) -> Numbers:
        """Return one set of numbers; 0 is the first of every list."""
        return _variant(self, units, index)

    def answers(self, numbers: Numbers) -> tuple[float, Mapping[str, Slip]]:
        """Return value and slips; computed once for all who have the same numbers."""
        return _answers(self, numbers.units, tuple(numbers.texts.items()))

    def numbers_for(self, student: str, units: str = "metric", new_numbers: int = 0) -> Numbers:
        """Return a student's numbers: always the same for the same id, key and count of "new numbers".

        A student "" gets the first of every list, as printed in the lessons. Each "new numbers" moves on by
        a fixed stride that shares no factor with the count of variants, so none comes back before all were
        seen.
        """
        count = self.variants(units)
        start = 0
        if student := same_id(student):
            digest = hashlib.sha256(f"{student}\n{self.key}".encode()).digest()
            start = int.from_bytes(digest, "big")
        return self.variant(units, (start + new_numbers * _stride(count)) % count)

    @property
    def heading(self) -> str:
        """Key, title and time on one line."""
        return f"Exercise {self.key}: {self.title} (about {self.minutes} minutes)"

    def question_text(self, numbers: Numbers) -> str:
        """Return the question in words, with these numbers and the tolerance."""
        return f"{self.text.format(**numbers.texts)} {self.tolerance_text(numbers.units)}"

    def plain(self, numbers: Numbers) -> str:
        """Return heading and question as lines that fit a printed page."""
        return f"{self.heading}\n{textwrap.fill(self.question_text(numbers), 90)}"

    def markdown(self, numbers: Numbers) -> str:
        """Return heading and question as Markdown."""
        return f"**{_escaped(self.heading)}**\n\n{_escaped(self.question_text(numbers))}"

    def worked(self, numbers: Numbers) -> Working:
        """Return the working with these numbers, the answer as its last step."""
        answer = self.said(self.value(numbers), numbers)
        return Working(self.key, (*self.working(numbers), f"Answer: {answer}."))

    def said(self, value: float, numbers: Numbers) -> str:
        """Return an answer, right or wrong, in words."""
        return numbers.show.text(value, self.dimension, like=self.like)

    def tolerance_text(self, units: str) -> str:
        """Return what counts as right, as a sentence."""
        if self.tolerance.relative:
            return f"An answer within {100 * self.tolerance.relative:g} % counts as right."
        if self.dimension == "count":
            return "A whole number is asked for."
        dimension = "temperature_difference" if self.dimension == "temperature" else self.dimension
        return f"An answer within {as_text(self.tolerance.amount(units), dimension, units)} counts as right."


@functools.lru_cache(maxsize=500)
def _variants(asked: Question, units: str) -> int:
    return math.prod(len(given.listed(units)) for given in asked.given)


@functools.lru_cache(maxsize=500)
def _stride(count: int) -> int:
    """Return the first number from 0.618 of the count on that shares no factor with it."""
    return next(n for n in range(int(0.618 * count) + 1, 2 * count + 2) if math.gcd(n, count) == 1)


@functools.lru_cache(maxsize=5000)
def _variant(asked: Question, units: str, index: int) -> Numbers:
    texts = {}
    for given in asked.given:
        listed = given.listed(units)
        index, place = divmod(index, len(listed))
        texts[given.name] = listed[place]
    return asked.numbers(units, texts)


@functools.lru_cache(maxsize=5000)
def _answers(
    asked: Question, units: str, texts: tuple[tuple[str, str], ...]
) -> tuple[float, Mapping[str, Slip]]:
    numbers = asked.numbers(units, dict(texts))
    return asked.value(numbers), asked.slips(numbers)


@functools.lru_cache(maxsize=10_000)
def _read(text: str, dimension: str) -> float:
    """Return `quantities.read`, remembered: a class has few different texts among its numbers and answers."""
    return read(text, dimension)


def _escaped(text: str) -> str:
    return re.sub(r"([\\`*_{}\[\]<>#|~$&])", r"\\\1", text)


@functools.lru_cache(maxsize=2000)
def same_id(student: str) -> str:
    """Return a roster id as it is hashed: trimmed, case-folded, in composed form (NFC)."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", student.strip()).casefold())
