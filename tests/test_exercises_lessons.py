"""Every exercise of every lesson, with every set of numbers that any student can get."""

import itertools
import math
import string

import pytest

from kilncalc.exercises import lesson_labels, mark_numbers, question, questions
from kilncalc.exercises._sweep import complaints
from kilncalc.quantities import SYSTEMS, Show, as_text, read

ALL = [found for label in lesson_labels() for found in questions(label)]
BY_UNITS = [pytest.param(found, units, id=f"{found.key}-{units}") for found in ALL for units in SYSTEMS]
EACH = pytest.mark.parametrize("asked", [pytest.param(found, id=found.key) for found in ALL])


def variants(asked, units):
    return (asked.variant(units, index) for index in range(asked.variants(units)))


def closest(asked, numbers):
    """Return the smallest distance, in tolerances, between answer and slips, and which two these are."""
    points = {"the answer": asked.value(numbers)}
    points |= {name: slip.value for name, slip in asked.slips(numbers).items()}
    return min(
        (
            abs(a - b)
            / max(asked.tolerance.around(a, numbers.units), asked.tolerance.around(b, numbers.units)),
            one,
            other,
        )
        for (one, a), (other, b) in itertools.combinations(points.items(), 2)
    )


def test_the_lessons_are_found_in_the_folder():
    assert "2" in lesson_labels()
    assert all(question(found.key) is found for found in ALL)


@pytest.mark.parametrize("asked", ALL, ids=lambda asked: asked.key)
def test_new_numbers_come_back_only_when_all_sets_were_seen(asked):
    for units in SYSTEMS:
        count = min(asked.variants(units), 3000)
        seen = {asked.numbers_for("S04", units, pressed).to_json() for pressed in range(count)}
        assert len(seen) == count  # exact: the stride shares no factor with the count


@pytest.mark.parametrize("label", lesson_labels())
def test_keys_are_the_places_in_the_lesson_and_the_time_is_bounded(label):
    found = questions(label)
    assert [asked.key for asked in found] == [f"{label}.{place}" for place in range(1, len(found) + 1)]
    assert sum(asked.minutes for asked in found) <= 90
    assert len({asked.title for asked in found}) == len(found)


@EACH
def test_an_exercise_is_complete(asked):
    assert asked.minutes > 0 and asked.title and asked.low < asked.high
    assert (asked.tolerance.relative > 0) != (asked.tolerance.absolute > 0)
    assert len(asked.hints) >= 2 and all(hint[-1] in ".?!" for hint in asked.hints)
    names = [given.name for given in asked.given]
    asked_for = {field for _, field, _, _ in string.Formatter().parse(asked.text) if field}
    assert asked_for == set(names) and len(set(names)) == len(names) and "units" not in names
    for given in asked.given:
        for listed in (given.metric, given.inches):
            assert len(set(listed)) == len(listed), given.name
            assert all(math.isfinite(read(text, given.dimension)) for text in listed), given.name


@EACH
def test_the_sweep_that_checks_a_teachers_own_questions_finds_nothing(asked):
    assert list(complaints(asked)) == []


@pytest.mark.parametrize(("asked", "units"), BY_UNITS)
def test_every_answer_is_in_range(asked, units):
    for numbers in variants(asked, units):
        assert asked.low <= asked.value(numbers) <= asked.high, numbers.texts


@pytest.mark.parametrize(("asked", "units"), BY_UNITS)
def test_every_slip_is_told_from_the_answer_and_from_the_others(asked, units):
    for numbers in variants(asked, units):
        assert len(asked.slips(numbers)) >= 3
        distance, one, other = closest(asked, numbers)
        assert distance > 3, f"{one} and {other} with {numbers.texts}"


@pytest.mark.parametrize(("asked", "units"), BY_UNITS)
def test_an_answer_is_right_in_either_unit_system_and_a_slip_is_named(asked, units):
    for numbers in variants(asked, units):
        for system in SYSTEMS:
            typed = as_text(asked.value(numbers), asked.dimension, units=system)
            assert mark_numbers(asked, numbers, typed).right, (typed, numbers.texts)
            for name, slip in asked.slips(numbers).items():
                typed = as_text(slip.value, asked.dimension, units=system)
                verdict = mark_numbers(asked, numbers, typed)
                assert (verdict.kind, verdict.slip) == ("slip", name), (typed, numbers.texts)
                assert slip.say.endswith((".", "?"))


@pytest.mark.parametrize(("asked", "units"), BY_UNITS)
def test_question_and_working_are_whole_sentences_with_the_numbers_in_them(asked, units):
    for numbers in variants(asked, units):
        text = asked.question_text(numbers)
        assert "{" not in text and text.endswith(".") and "?" in text
        assert all(shown in text for shown in numbers.texts.values())
        steps = asked.worked(numbers).steps
        assert len(steps) >= 2 and all(step.endswith(".") for step in steps)
        assert (
            steps[-1]
            == f"Answer: {Show(units).text(asked.value(numbers), asked.dimension, like=asked.like)}."
        )


@pytest.mark.parametrize(("asked", "units"), BY_UNITS)
def test_new_numbers_differ_each_time_until_all_were_seen(asked, units):
    count = asked.variants(units)
    seen = {asked.numbers_for("S04", units, pressed).to_json() for pressed in range(count)}
    assert len(seen) == count


FIRST_ANSWERS = {
    # hand: pi x 45 x (60^2 + 60 x 40 + 40^2) / 3 = 358 142 mm3, x 2.5 g/cm3
    ("2.1", "metric"): "895.35 g",
    # hand: pi x 1.75 x (2.375^2 + 2.375 x 1.625 + 1.625^2) / 3 = 22.2488 in3, x 1.445 oz/in3
    ("2.1", "inches"): "32.1496 oz",
    # hand: 2 x 24 x 18 x 0.34 = 293.76 cm3, x 2.5
    ("2.2", "metric"): "734.4 g",
    # hand: 2 x 9.5 x 7 x 0.136 = 18.088 in3, x 1.445
    ("2.2", "inches"): "26.13716 oz",
    # hand: 900 / 2.5 / 0.55
    ("2.3", "metric"): "654.545 ml",
    # hand: 32 / 1.445 / 0.55
    ("2.3", "inches"): "40.2642 in3",
    # hand: (500 - 180) x 1 x 2.5
    ("2.4", "metric"): "800 g",
    # hand: (16 - 6.5) x 1.043 x 2.5
    ("2.4", "inches"): "24.7713 oz",
    # hand: 90 x 80 / 2 x 1.8 = 6480 mm3, x 0.7 x 0.55 = 2494.8 mm3, x 2.5 g/cm3
    ("2.5", "metric"): "6.237 g",
    # hand: 3.5 x 3.125 / 2 x 0.07 x 0.7 x 0.55 = 0.1473828 in3, x 1.445
    ("2.5", "inches"): "0.2129682 oz",
    # hand: (200 - 2 x 25) x (6 / 2)^2
    ("2.6", "metric"): "1350 mm",
    # hand: (8 - 2 x 1) x (1/4 / (3/32))^2 = 6 x 64/9
    ("2.6", "inches"): "42.6667 in",
    # hand: pi x 40 x (3 x 80^2 + 40^2) / 6 = 435 634 mm3, x 2.5 g/cm3
    ("2.7", "metric"): "1089.09 g",
    # hand: pi x 1.5 x (3 x 3.125^2 + 1.5^2) / 6 = 24.77686 in3, x 1.445
    ("2.7", "inches"): "35.80256 oz",
}


@pytest.mark.parametrize(("key", "units"), FIRST_ANSWERS)
def test_the_printed_numbers_lead_to_the_answer_worked_by_hand(key, units):
    asked = question(key)
    by_hand = read(FIRST_ANSWERS[key, units], asked.dimension)
    assert asked.value(asked.variant(units, 0)) == pytest.approx(by_hand, rel=1e-5, abs=0)
