"""Questions of a teacher's own, in TOML: never run as code, swept like ours, each fault named by its line."""

import json
import re
import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kilncalc import cli
from kilncalc.classroom import handout, notebooks
from kilncalc.exercises import exercise, mark, own, question, session, student
from kilncalc.quantities import SYSTEMS

TEXT = own.EXAMPLE.read_text(encoding="utf-8")


@pytest.fixture
def write(tmp_path):
    def written(text):
        path = tmp_path / "questions.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return written


def faults(path):
    with pytest.raises(own.OwnError) as caught:
        own.check_own(path)
    return str(caught.value).splitlines()


def line_of(text, words):
    return text[: text.index(words)].count("\n") + 1


# =========================================================== six of our own questions, written that way


@pytest.mark.parametrize("units", SYSTEMS)
@pytest.mark.parametrize("number", range(1, 7))
def test_the_example_is_six_of_our_own_questions(number, units):
    """Value, slips and what they say agree with the question in the package, for every set of numbers."""
    theirs, ours = own.read_own(own.EXAMPLE)[number - 1], question(f"2.{number}")
    assert theirs.variants(units) == ours.variants(units)
    for index in range(ours.variants(units)):
        numbers, same = ours.variant(units, index), theirs.variant(units, index)
        assert same.texts == numbers.texts
        assert theirs.value(same) == pytest.approx(ours.value(numbers), rel=1e-12, abs=0)
        wanted, found = ours.slips(numbers), theirs.slips(same)
        assert {name: slip.say for name, slip in found.items()} == {
            name: slip.say for name, slip in wanted.items()
        }
        for name, slip in wanted.items():
            assert found[name].value == pytest.approx(slip.value, rel=1e-9, abs=0), name
    assert len(theirs.worked(theirs.variant(units, 0)).steps) >= 3


def test_the_example_has_no_fault_and_the_sweep_is_the_one_for_ours():
    assert [asked.key for asked in own.check_own(own.EXAMPLE)] == [f"own.{n}" for n in range(1, 7)]


# ================================================================================= never a line of code

HOSTILE = [
    "__import__('os').system('true')",
    "().__class__.__base__.__subclasses__()",
    "length.__class__",
    "length.real",
    "(lambda: 1)()",
    "[1 for i in (1, 2)][0]",
    "open('x')",
    "eval('1')",
    "exec('1')",
    "getattr(length, 'real')",
    "'a' * 10",
    "f'{length}'",
    "length if length else 1",
    "length and 1",
    "length == 1",
    "{1: 2}[1]",
    "max(*(1, 2))",
    "glass_mass(**{'volume': 1, 'density': 1})",
    "length := 1",
    "length; length",
    "print(1)",
    "9 << 9",
    "True",
    "None",
    "1j",
    "nowhere(1)",
    "volume.box(1, 1, 1)",
]


@pytest.mark.parametrize("formula", HOSTILE)
def test_what_is_more_than_arithmetic_is_refused_with_its_line(write, formula):
    text = TEXT.replace('"2 * sheet_mass(length * width, thickness, density)"', json.dumps(formula), 1)
    path = write(text)
    (fault,) = faults(path)
    assert fault.startswith(f"questions.toml, line {line_of(text, f'answer = {json.dumps(formula)}')}: ")


@pytest.mark.parametrize(
    "formula", ["9 ** 9 ** 9", "1 / 0", "sqrt(-1)", "length ** 1e9", "nothing", "-1e308 * 10"]
)
def test_what_has_no_value_is_a_sentence(write, formula):
    path = write(TEXT.replace('"2 * sheet_mass(length * width, thickness, density)"', json.dumps(formula), 1))
    assert any("cannot be computed" in one for one in faults(path))


@settings(deadline=None, max_examples=200)
@given(st.text(st.sampled_from(string.ascii_letters[:6] + "0123456789.+-*/() _['\"]{}:=,\n"), max_size=40))
def test_any_formula_is_a_number_or_a_fault(formula):
    try:
        checked = own._formula("answer", formula)
        assert isinstance(own._value(checked, {"a": 1.0, "b": 2.0}), float)
    except ValueError as error:
        assert str(error)


@settings(deadline=None, max_examples=100)
@given(st.integers(0, len(TEXT) - 1), st.text(max_size=3), st.integers(0, 30))
def test_a_file_changed_anywhere_is_read_or_its_faults_are_named(tmp_path_factory, place, put_in, left_out):
    path = tmp_path_factory.mktemp("any") / "questions.toml"
    text = TEXT[:place] + put_in + TEXT[place + left_out :]
    path.write_text(text, encoding="utf-8", errors="replace")
    try:
        assert own.read_own(path)
    except own.OwnError as error:
        assert all(line.startswith("questions.toml") for line in str(error).splitlines())


# ================================================================================== faults, by their line


@pytest.mark.parametrize(
    ("was", "now", "line", "words"),
    [
        ('key = "own.2"', 'key = "own.1"', 'title = "two sheets', "there are two questions own.1"),
        ('key = "own.2"', 'key = "2.2"', None, "'2.2' is not a key"),
        ('dimension = "mass"', 'dimension = "weight"', None, "'weight' is none"),
        ("{length} by {width}", "{long} by {width}", "text = ", "{long} is no name here"),
        ("{length} by {width}", "{length.real} by {width}", "text = ", "{length.real} is no name here"),
        ("{length} by {width}", "{length!r} by {width}", "text = ", "{length} is no name here"),
        ('"240 mm", "250 mm"', '"240", "250 mm"', "length = {", "240"),
        ('tolerance = "2 %"', 'tolerance = "200 %"', None, "allowed are above 0 to 20 %"),
        ('low = "400 g"', 'low = "0.78 kg"', None, "not between"),
        ("minutes = 6", "minutes = 600", None, "allowed are 1 to 90"),
        ('name = "one sheet for two"', 'name = ""', None, "needs name, formula and say"),
        ("[[question]]", "[[question]]\nfavourite = 1", "favourite", "favourite is no part of a question"),
        ("minutes = 6", "minuts = 6", "minuts", 'minuts is no part of a question. Did you mean "minutes"?'),
        (
            'answer = "2 * sheet_mass(',
            'answer = "2 * sheetmass(',
            'answer = "2 * sheetmass(',
            'Did you mean "sheet_mass"?',
        ),
    ],
)
def test_a_fault_is_named_with_its_line(write, was, now, line, words):
    assert was in TEXT
    text = TEXT.replace(was, now, 1) if "own.2" in was else _in_the_second(TEXT, was, now)
    found = [one for one in faults(write(text)) if words in one]
    assert found, faults(write(text))
    assert re.match(r"questions\.toml, line \d+: ", found[0])
    if line and "two questions" not in words:
        begin = text.index('key = "own.2"') if 'key = "own.2"' in text else 0
        begin = text.rindex("[[question]]", 0, begin)
        assert found[0].startswith(
            f"questions.toml, line {text[: text.index(line, begin)].count(chr(10)) + 1}:"
        )


def test_a_step_that_has_no_value_is_named(write):
    text = TEXT.replace("frustum(floor / 2, rim / 2, depth)", "frustum(floor / 0, rim / 2, depth)", 1)
    assert text != TEXT
    assert any("(step space, " in one and "division by zero" in one for one in faults(write(text)))


def _in_the_second(text, was, now):
    begin = text.rindex("[[question]]", 0, text.index('key = "own.2"'))
    return text[:begin] + text[begin:].replace(was, now, 1)


def slip_of(share):
    """The example, the slip of its second question at this share of the answer, which counts within 2 %."""
    return TEXT.replace(
        'formula = "sheet_mass(length * width, thickness, density)"',
        f'formula = "{2 * share} * sheet_mass(length * width, thickness, density)"',
    )


@pytest.mark.parametrize("share", [0.99, 0.945])  # exact: 0.5 and 2.75 tolerances of the answer away
def test_a_slip_too_near_to_the_answer_is_named_with_the_numbers(write, share):
    text = slip_of(share)
    (fault,) = [one for one in faults(write(text)) if "3 tolerances of the answer" in one]
    line = line_of(text, 'name = "one sheet for two"')
    assert fault.startswith(f"questions.toml, line {line}: slip “one sheet for two” is within 3 tolerances")
    assert "for length 240 mm, width 180 mm" in fault


@pytest.mark.parametrize("count", [2, 3])
def test_a_question_with_fewer_than_three_slips_is_named(write, count):
    begin = TEXT.rindex("[[question]]", 0, TEXT.index('key = "own.2"'))
    end = TEXT.index("[[question]]", begin + 1)
    head, *slips = TEXT[begin:end].split("[[question.slip]]")
    assert len(slips) >= 3
    text = TEXT[:begin] + "[[question.slip]]".join([head, *slips[:count]]) + TEXT[end:]
    told = [one for one in (faults(write(text)) if count < 3 else []) if "slips; a class makes three" in one]
    assert len(told) == (count < 3)
    if count == 3:
        assert own.read_own(write(text))


def test_a_slip_three_and_a_half_tolerances_away_is_far_enough(write):
    assert not any("3 tolerances of the answer" in one for one in faults(write(slip_of(0.93))))


@pytest.mark.parametrize("text", ["", "a = 1", "[[question]]", "question = 3", "= 3", "x = [" * 3000])
def test_a_file_without_a_question_is_a_sentence(write, text):
    assert all(one.startswith("questions.toml") for one in faults(write(text)))


# ============================================================================ from the file to the class


def test_the_command_writes_an_example_and_checks_it(tmp_path, capsys):
    path = tmp_path / "questions.toml"
    assert cli.main(["check", str(path), "--example"]) == 0
    assert "6 questions: nothing to complain about" in capsys.readouterr().out
    assert cli.main(["check", str(path), "--example"]) == 2  # not over what a teacher has written
    assert "left as it is" in capsys.readouterr().err
    path.write_text(TEXT.replace('"own.2"', '"own.1"'), encoding="utf-8")
    assert cli.main(["check", str(path)]) == 2
    assert re.search(r"questions\.toml, line \d+: there are two questions own\.1", capsys.readouterr().err)


def test_own_questions_are_handed_out_answered_and_read(tmp_path, capsys, monkeypatch, write):
    path, roster = write(TEXT), tmp_path / "class.csv"
    roster.write_text("id,units\nS01,inches\nS02,\n", encoding="utf-8")
    more = ["--questions", str(path)]
    out = tmp_path / "out"
    assert cli.main(["handout", str(roster), "--to", str(out), "--lesson", "0", "--sheet", *more]) == 0
    names = {entry.name for entry in (out / "S01").iterdir()}
    assert {"questions.toml", "own-questions.ipynb", "own-questions-sheet.html"} <= names
    made = notebooks.read(out / "S01" / "own-questions.ipynb")
    asked = own.read_own(path)[0]
    words = ["".join(cell["source"]) for cell in made["cells"]]
    assert asked.markdown(asked.numbers_for("S01", "inches")) in words
    monkeypatch.chdir(out / "S01")
    assert session().student == "S01"
    box = exercise("own.1")
    assert box.markdown in words
    key_of = cli.main(["key", str(roster), "--to", str(tmp_path / "key"), "--lesson", "0", *more])
    assert key_of == 0 and "own.6" in (tmp_path / "key" / "key.csv").read_text(encoding="utf-8-sig")
    numbers = asked.numbers_for("S01", "inches")
    box.answer.value = numbers.show.text(asked.value(numbers), "mass")
    assert "Right" in box.message.value
    student("S01")
    assert mark("own.2", "1 kg").kind != "right"
    with pytest.raises(ValueError, match=r"no exercise 'own\.9'; questions\.toml has own\.1, "):
        exercise("own.9")
    monkeypatch.chdir(tmp_path)
    capsys.readouterr()
    assert cli.main(["results", str(roster), str(out), "--to", str(tmp_path / "r"), *more]) == 0
    told = capsys.readouterr().out
    assert "own.1 glass for the bookend: 1 right" in told and "Nothing from: S02" in told


def test_a_teachers_own_copy_of_a_lesson_is_handed_out_and_its_exercises_are_read(tmp_path, capsys, write):
    copies, roster = tmp_path / "mine", tmp_path / "class.csv"
    copies.mkdir()
    roster.write_text("id\nS01\n", encoding="utf-8")
    (lesson,) = handout.shipped_lessons(["2"])
    cells = [cell for cell in lesson.notebook["cells"] if handout.exercise_key(cell) in (None, "2.1", "2.3")]
    cells[0] = {**cells[0], "source": "# Our own words"}
    last = next(cell for cell in cells if handout.exercise_key(cell) == "2.3")
    cells.append({**last, "id": "mine", "source": 'exercise("own.4")'})
    (copies / "mine.ipynb").write_text(json.dumps({**lesson.notebook, "cells": cells}), encoding="utf-8")
    own_questions = write(TEXT)
    more = ["--lessons", str(copies), "--questions", str(own_questions)]
    assert cli.main(["handout", str(roster), "--to", str(tmp_path / "out"), *more]) == 0
    assert {entry.name for entry in (tmp_path / "out" / "S01").iterdir()} == {
        *("mine.ipynb", "questions.toml", "session.json")
    }
    made = notebooks.read(tmp_path / "out" / "S01" / "mine.ipynb")
    assert "".join(made["cells"][0]["source"]) == "# Our own words"
    assert cli.main(["key", str(roster), "--to", str(tmp_path / "key"), *more]) == 0
    assert "1 student, 3 questions" in capsys.readouterr().out
    (tmp_path / "in").mkdir()
    assert cli.main(["results", str(roster), str(tmp_path / "in"), "--to", str(tmp_path / "r"), *more]) == 0
    header = (tmp_path / "r" / "grades.csv").read_text(encoding="utf-8-sig").splitlines()[0]
    assert header.endswith("exercise 2.1,exercise 2.3,exercise own.4")
    assert cli.main(["handout", str(roster), "--to", str(tmp_path / "x"), "--lessons", str(copies)]) == 2
    assert "mine.ipynb: there is no exercise 'own.4'" in capsys.readouterr().err
    assert cli.main(["handout", str(roster), "--to", str(tmp_path / "x"), "--lessons", str(tmp_path)]) == 2
    assert "there is no notebook in" in capsys.readouterr().err
