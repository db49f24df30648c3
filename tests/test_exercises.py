"""Marking, numbers, session, kept answers and the text box: the machinery behind every exercise."""

import contextlib
import csv
import hashlib
import json
import os
import re
import subprocess
import sys
import tempfile
import zipfile
from dataclasses import FrozenInstanceError
from pathlib import Path

import nbformat
import pytest

import kilncalc
from kilncalc import exercises
from kilncalc.exercises import (
    Given,
    Question,
    Slip,
    Tolerance,
    _answers,
    _box,
    _marking,
    _session,
    exercise,
    judge,
    mark,
    mark_numbers,
    question,
    question_text,
    read_answers,
    session,
    student,
    student_box,
    units,
    working,
)
from kilncalc.figures import style
from kilncalc.quantities import as_text


@pytest.fixture(autouse=True)
def lesson_folder(tmp_path, monkeypatch):
    """Each test works in a lesson folder of its own, with a kernel that remembers nothing."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(_session, "_unsaved", {})
    monkeypatch.setattr(_answers, "_waiting", {})
    return tmp_path


class OneNumber(Question):
    """As plain as can be: the answer is the number given."""

    key, title, minutes = "9.1", "one number", 1
    text, hints = "How much is {it}?", ("Read.", "Read again.")
    low, high = 0.0, 1e9
    tolerance = Tolerance(relative=0.02)

    def __init__(self, dimension="mass", text="1 kg", tolerance=tolerance, slip=7.0):
        self.dimension, self.tolerance, self.slip = dimension, tolerance, slip
        self.given = (Given("it", dimension, (text,)),)

    def value(self, numbers):
        return numbers["it"]

    def slips(self, numbers):
        return {"sevenfold": Slip(self.slip * numbers["it"], "You took it seven times.")}

    def working(self, numbers):
        return ["It is given."]

    def mark(self, text):
        return mark_numbers(self, self.variant("metric", 0), text)


# ---------------------------------------------------------------------------------------------- marking


@pytest.mark.parametrize(
    "text", ["895 g", "895,35 g", "0.895 kg", "31.6 oz", "1 lb 15.6 oz", " 895 grams ", "880 g", "912 g"]
)
def test_right_within_the_tolerance_in_any_unit(text):
    # hand: pi x 45 x (60^2 + 60 x 40 + 40^2) / 3 mm3 x 2.5 g/cm3 = 895.35 g; 2 % is 877.4 to 913.3 g
    verdict = mark("2.1", text, student="", units="metric")
    assert verdict.kind == "right" and verdict.right and verdict.slip is None
    assert verdict.expected == pytest.approx(0.89535, rel=1e-5, abs=0)  # hand: as above
    assert "895 g" in str(verdict)


@pytest.mark.parametrize(("text", "kind"), [("876 g", "lower"), ("915 g", "higher")])
def test_just_outside_the_tolerance_is_not_right(text, kind):
    # hand: 2 % of 895.35 g is 877.4 to 913.3 g
    assert mark("2.1", text, student="", units="metric").kind == kind


@pytest.mark.parametrize(
    ("text", "slip"),
    [
        ("3581 g", "diameter for radius"),  # hand: 4 x 895.35 g
        ("1614 g", "outside for inside"),  # hand: pi 45 (78^2 + 78 x 58 + 58^2) / 3 x 2.5e-3 g
        ("1272 g", "taper forgotten"),  # hand: pi x 45 x 60^2 x 2.5e-3 g
        ("424 g", "pointed cone"),  # hand: a third of the one before
    ],
)
def test_a_slip_is_named_before_a_bench_factor_is_thought_of(text, slip):
    verdict = mark("2.1", text, student="", units="metric")
    assert (verdict.kind, verdict.slip, verdict.factor) == ("slip", slip, None)


@pytest.mark.parametrize("factor", [2, 4, 10, 25.4, 28.35, 60])
@pytest.mark.parametrize("way", [1, -1])
def test_each_bench_factor_is_recognised_either_way(factor, way):
    verdict = OneNumber().mark(f"{1000 * factor**way:.6g} g")
    assert (verdict.kind, verdict.factor) == ("factor", factor)
    assert verdict.sentence.startswith("Too high" if way > 0 else "Too low")
    assert _marking.FACTORS[factor] in verdict.sentence


@pytest.mark.parametrize(
    ("dimension", "answer", "typed", "factor"),
    [
        ("rate", "100 °C/h", "180 °C/h", 1.8),  # exact: 9/5 °F to a °C
        ("temperature_difference", "18 °C", "10 °C", 1.8),
        ("mass", "1000 g", "1800 g", None),
        ("length", "18 mm", "10 mm", None),
    ],
)
def test_degrees_are_thought_mixed_only_where_the_answer_has_degrees(dimension, answer, typed, factor):
    verdict = OneNumber(dimension, answer).mark(typed)
    assert verdict.factor == factor and ("°F" in verdict.sentence) == bool(factor)


@pytest.mark.parametrize(
    ("text", "kind", "part"),
    [
        ("1300 g", "higher", "1.3 times"),  # hand: 1300 / 1000
        ("800 g", "lower", "1.25 times"),  # hand: 1000 / 800
        ("500 kg", "higher", "500 times"),  # hand: 500 000 / 1000
        ("0 g", "lower", "Too low"),
    ],
)
def test_everything_else_is_higher_or_lower_and_by_what_ratio(text, kind, part):
    verdict = OneNumber().mark(text)
    assert (verdict.kind, verdict.factor, verdict.slip) == (kind, None, None)
    assert part in verdict.sentence


@pytest.mark.parametrize(
    ("tolerance", "off", "factor"),
    [(0.02, 1.015, 60), (0.02, 1.025, None), (0.2, 1.045, 60), (0.2, 1.06, None)],
)
def test_a_bench_factor_is_meant_within_the_tolerance_and_within_5_per_cent_at_most(tolerance, off, factor):
    assert OneNumber(tolerance=Tolerance(relative=tolerance)).mark(f"{60 * off} kg").factor == factor


def test_a_temperature_is_off_by_degrees_and_not_by_a_ratio():
    asked = OneNumber("temperature", "510 °C", Tolerance(absolute=5))
    assert asked.mark("950 °F").right  # exact: (950 - 32) / 1.8 = 510
    assert asked.mark("506 °C").right and not asked.mark("504 °C").right
    verdict = asked.mark("1020 °C")  # twice the number, which means nothing for a temperature
    assert verdict.kind == "higher" and "510 °C" in verdict.sentence  # exact: 510 x 1.8 = 918
    assert "5" in asked.question_text(asked.variant("metric", 0))


def test_a_count_is_exact_and_its_neighbours_are_wrong():
    asked = OneNumber("count", "5", Tolerance(absolute=0.25))
    assert asked.mark("5").right and asked.mark("5 sheets").right
    assert asked.mark("6").kind == "higher" and asked.mark("4").kind == "lower"
    assert asked.mark("10").factor == 2
    assert "whole number" in asked.question_text(asked.variant("metric", 0))


@pytest.mark.parametrize(
    ("text", "kind", "part"),
    [
        ("", "unread", ""),
        ("895", "unread", "no unit"),
        ("a good handful", "unread", "a good handful"),
        ("895 gramsies", "unread", "gramsies"),
        ("1,250 g", "unread", "two ways"),
        ("-895 g", "unread", "negative"),
        ("inf g", "unread", ""),
        ("nan", "unread", ""),
        ("__import__('os').getcwd()", "unread", ""),
        ("=895+0", "unread", ""),
        ("9" * 5000 + " g", "unread", "too long"),
        ("3 mm", "other quantity", "a length"),
        ("358 ml", "other quantity", "a volume"),
        ("8 fl oz", "other quantity", "volume"),
    ],
)
def test_what_cannot_be_read_and_what_is_another_quantity_is_said_and_not_marked(text, kind, part):
    verdict = mark("2.1", text, student="", units="metric")
    assert verdict.kind == kind and verdict.value is None and part in verdict.sentence


@pytest.mark.parametrize("text", ["886.5", "3 mm", "3581 g", "1 kg", "22.74 kg", "500 g"])
def test_no_verdict_but_right_shows_the_answer(text):
    verdict = mark("2.1", text, student="", units="metric")
    assert not verdict.right
    for shown in (str(verdict), repr(verdict), f"{verdict!r}", verdict._repr_html_()):
        assert "895" not in shown and "0.89" not in shown and "31.6" not in shown


@pytest.mark.parametrize(
    "text", ["412 g", "1 lb 2 oz", "3 mm", "rubbish", "", "1 kg", "949 g", "0 g", "2.9 kg"]
)
def test_an_answer_judged_without_words_is_judged_alike(text):
    asked = question("2.1")
    for variant in range(0, asked.variants("metric"), 7):
        numbers = asked.variant("metric", variant)
        slips = [as_text(slip.value, "mass", units="metric") for slip in asked.slips(numbers).values()]
        for typed in (text, as_text(asked.value(numbers), "mass", units="metric"), *slips):
            verdict, judged = mark_numbers(asked, numbers, typed), judge(asked, numbers, typed)
            words = {"factor": "wrong", "higher": "wrong", "lower": "wrong"}
            assert judged[:4] == (
                words.get(verdict.kind, verdict.kind),
                verdict.expected,
                verdict.value,
                verdict.slip,
            )


def test_a_verdict_is_a_self_check_and_says_so_the_same_way_each_time():
    one, other = (mark("2.1", "1 kg", student="S04", units="inches") for _ in range(2))
    assert one == other and repr(one) == repr(other) and one._repr_html_() == other._repr_html_()
    assert "self-check, not an examination" in str(one) and "self-check" in one._repr_html_()
    with pytest.raises(FrozenInstanceError):
        one.kind = "right"


def test_what_was_typed_cannot_become_a_part_of_the_page():
    verdict = mark("2.1", "<img src=x onerror=alert(1)>", student="", units="metric")
    assert "<img" not in verdict._repr_html_() and "&lt;img" in verdict._repr_html_()


def test_right_and_wrong_differ_in_words_and_sign_and_not_in_colour_alone():
    right, wrong = (mark("2.1", text, student="", units="metric")._repr_html_() for text in ("895 g", "1 kg"))
    assert "✓ Right" in right and "✗ Not yet" in wrong and "solid" in right and "dashed" in wrong


def luminance(colour):
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("ground", ["#ffffff", "#dde2e6"])
def test_text_is_large_and_stands_out_from_its_ground(ground):
    inks = {_marking._INK, _marking._RIGHT, _marking._NOT_YET} if ground == "#ffffff" else {_marking._INK}
    for ink in inks | set(re.findall(r"[^-]color: (#\w{6})", _box._STYLE)) - (
        {style.QUIET} if ground != "#ffffff" else set()
    ):
        # published: WCAG 2.2, success criterion 1.4.3 (contrast 4.5:1) and its definition of contrast ratio
        assert (luminance(ground) + 0.05) / (luminance(ink) + 0.05) >= 4.5, ink
    verdict = mark("2.1", "1 kg", student="", units="metric")
    sizes = [int(size) for size in re.findall(r"font-size: ?(\d+)px", _box._STYLE + verdict._repr_html_())]
    assert len(sizes) >= 4 and min(sizes) >= 16  # common practice, no source: readable from a projector


def test_the_colours_are_those_of_the_pictures():
    assert (_marking._INK, _marking._RIGHT, _marking._NOT_YET) == (style.INK, style.FIRST, style.SECOND)
    known = {style.INK, style.QUIET, style.PAPER, style.GRID, style.FIRST, style.SECOND}
    assert set(re.findall(r"#\w{6}", _box._STYLE)) <= known


# ---------------------------------------------------------------------------------------------- numbers


def test_numbers_come_from_sha_256_of_id_and_key():
    asked = question("2.3")  # 6 masses, 4 packings, 1 density: 24 sets
    digest = hashlib.sha256(b"s04\n2.3").digest()
    index = int.from_bytes(digest, "big") % 24  # exact: the rule itself, spelt out
    mass, packing = asked.given[0].metric[index % 6], asked.given[1].metric[index // 6]
    assert dict(asked.numbers_for("S04").texts) == {"mass": mass, "packing": packing, "density": "2.5 g/cm³"}


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("S04", "  s04\t"),
        ("Jos\u00e9", "Jose\u0301"),  # composed and decomposed
        ("STRASSE", "straße"),
        ("\u1e9b\u0323", "\u1e69"),  # long s with dots: folds and composes to s with dots
        ("Ωμέγα", "ΩΜΈΓΑ"),
    ],
)
def test_the_same_id_written_otherwise_gets_the_same_numbers(one, other):
    assert exercises.same_id(one) == exercises.same_id(other)
    assert question("2.5").numbers_for(one) == question("2.5").numbers_for(other)


def test_different_ids_and_different_exercises_get_different_numbers():
    ids = [f"S{number:02d}" for number in range(1, 13)] + ["محمد", "李雷", "Ольга", "ஆ"]
    assert len({exercises.same_id(name) for name in ids}) == 16
    # 216 sets for 16 students: more than three pairs alike has a chance of a few in ten thousand
    assert len({question("2.5").numbers_for(name).to_json() for name in ids}) >= 13
    places = {question(f"2.{n}").numbers_for("S04").texts["density"] for n in (1, 2, 3, 5)}
    assert places == {"2.5 g/cm³"}


def test_without_an_id_the_numbers_are_the_first_of_each_list():
    for system in ("metric", "inches"):
        numbers = question("2.1").numbers_for("", system)
        assert list(numbers.texts.values()) == [given.listed(system)[0] for given in question("2.1").given]
    assert numbers.texts["rim"] == "4 3/4 in" and numbers["rim"] == pytest.approx(0.12065, rel=1e-12, abs=0)
    # exact: 4.75 x 25.4 mm = 120.65 mm


def test_numbers_survive_being_written_down():
    for system in ("metric", "inches"):
        numbers = question("2.5").numbers_for("S07", system, 3)
        assert question("2.5").numbers_from_json(numbers.to_json()) == numbers
        assert json.loads(numbers.to_json())["units"] == system


GOOD = {
    "units": "metric",
    "rim": "120 mm",
    "floor": "80 mm",
    "depth": "45 mm",
    "wall": "18 mm",
    "density": "2.5 g/cm3",
}


@pytest.mark.parametrize(
    "told",
    [
        "",
        "{",
        "[]",
        "null",
        '"text"',
        "[" * 100_000,
        json.dumps(GOOD)[:-5],
        json.dumps({**GOOD, "rim": 120}),
        json.dumps({**GOOD, "rim": "120"}),
        json.dumps({**GOOD, "rim": "120 g"}),
        json.dumps({**GOOD, "rim": "__import__('os')"}),
        json.dumps({**GOOD, "rim": None}),
        json.dumps({**GOOD, "units": "cubits"}),
        json.dumps({**GOOD, "more": "1 mm"}),
        json.dumps({name: text for name, text in GOOD.items() if name != "wall"}),
        json.dumps({name: text for name, text in GOOD.items() if name != "units"}),
        json.dumps({**GOOD, "rim": "1" * 3000}),
    ],
)
def test_written_numbers_that_are_none_are_refused_in_a_sentence(told):
    with pytest.raises(ValueError, match=r"exercise 2\.1|units is"):
        question("2.1").numbers_from_json(told)


@pytest.mark.parametrize("name", ["rim", "depth", "density"])
@pytest.mark.parametrize("text", ["0", "1e-25", "1e25"])
def test_numbers_that_make_no_sense_are_refused_and_never_mark_an_answer(name, text):
    unit = "g/cm3" if name == "density" else "mm"
    numbers = question("2.1").numbers_from_json(json.dumps({**GOOD, name: f"{text} {unit}"}))
    with pytest.raises(ValueError):
        mark_numbers(question("2.1"), numbers, "0 g")


def test_a_division_by_zero_in_an_exercise_is_a_sentence_too():
    class Divides(OneNumber):
        def value(self, numbers):
            return 1 / (numbers["it"] - 1)

    with pytest.raises(ValueError, match=r"exercise 9\.1 cannot be computed"):
        Divides().mark("1 kg")


@pytest.mark.parametrize(
    "key",
    [
        "2.9",
        "77.1",
        "2",
        "2.0",
        "2.01",
        "",
        "two",
        "2.1.1",
        "os.1",
        "../2.1",
        "2b.1",
        "٢.1",
        "2.1; import os",
    ],
)
def test_a_key_that_does_not_exist_is_a_sentence(key):
    for function in (exercise, working, question_text):
        with pytest.raises(ValueError, match="exercise"):
            function(key)


def test_a_key_without_quotes_is_told_about_the_quotes():
    with pytest.raises(ValueError, match="double quotes"):
        exercise(2.1)


def test_working_ends_with_the_answer_and_is_escaped():
    shown = working("2.1", student="", units="metric")
    assert "R = 120 mm / 2 = 60 mm" in str(shown)  # hand
    assert "Answer: 895 g." in str(shown)  # hand: 895.35 g / 28.3495 = 31.58 oz
    assert shown._repr_html_().count("<li>") == len(shown.steps)
    assert "a &lt; b" in exercises.Working("9.1", ("a < b",))._repr_html_()


# ---------------------------------------------------------------------------------------------- session


def in_a_fresh_kernel(code, folder):
    """Run code in a new process that works in `folder`, as a notebook's kernel does."""
    done = subprocess.run(
        [sys.executable, "-c", f"from kilncalc.exercises import *\n{code}"],
        cwd=folder,
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONIOENCODING": "utf-8", "PYTHONHASHSEED": "random"},
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def test_without_a_session_nobody_is_set_and_nothing_is_written(lesson_folder):
    assert session() == exercises.Session("", "metric")
    assert "No student is set" in str(session())
    assert list(lesson_folder.iterdir()) == []


def test_numbers_outlive_the_kernel(lesson_folder):
    student("S04", "inches")
    box = exercise("2.5")
    box.on_fresh()
    before = box.plain
    after = in_a_fresh_kernel('print(repr(exercise("2.5")), end="")', lesson_folder)
    assert after == before
    assert before != question("2.5").plain(question("2.5").numbers_for("S04", "inches"))  # it was practice


def test_two_open_notebooks_agree(lesson_folder):
    student("S04")
    in_a_fresh_kernel('units("inches")', lesson_folder)
    assert session() == exercises.Session("S04", "inches")
    in_a_fresh_kernel('box = exercise("2.1"); box.on_fresh()', lesson_folder)
    exercise("2.2").on_fresh()
    assert session().new_numbers == {"2.1": 1, "2.2": 1}


def test_the_folder_is_where_the_kernel_works_at_the_time_of_the_call(lesson_folder, monkeypatch):
    student("S04")
    other = lesson_folder / "other"
    other.mkdir()
    monkeypatch.chdir(other)
    assert session().student == ""
    student("S05")
    monkeypatch.chdir(lesson_folder)
    assert session().student == "S04"


def test_another_student_begins_with_own_numbers_and_the_same_one_keeps_theirs():
    student("S04")
    exercise("2.1").on_fresh()
    assert student("S04").new_numbers == {"2.1": 1}
    assert student("S05").new_numbers == {}


@pytest.mark.parametrize(
    "name", ["S04", "محمد علی", "李雷", "Ольга-2", "José", "ஆதி", "می‌خواهم", "a.b_c", "o'neil", "s04@class"]
)
def test_an_id_of_any_script_is_taken_and_read_again(name, lesson_folder):
    assert student(f" {name} ").problem == ""
    assert session().student == exercises.checked_id(name)
    shown = in_a_fresh_kernel("print(session().student)", lesson_folder)
    assert exercises.same_id(shown) == exercises.same_id(name)


@pytest.mark.parametrize(
    "name",
    [
        *["../S04", "a/b", "a\\b", "C:x", "..", ".hidden", "=1+1", "+1", "-1", "@x", "'x", "<b>", "a*", "a?"],
        *["a.", "a\nb", "a\x00b", "a\u202eb", "\u0301a", "a\ud800", "x" * 65],
    ],
)
def test_an_id_that_is_a_path_or_a_formula_or_invisible_is_refused(name, lesson_folder):
    with pytest.raises(ValueError, match="an id"):
        student(name)
    assert list(lesson_folder.iterdir()) == []


def test_wrong_arguments_of_student_and_units_are_sentences():
    with pytest.raises(ValueError, match="double quotes"):
        student(4)
    with pytest.raises(ValueError, match=r'units\("inches"\)'):
        units("imperial")
    with pytest.raises(ValueError, match=r"units (are|is)"):
        mark("2.1", "1 kg", units="imperial")


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"{",
        b"\xff\xfe\x00",
        b"[]",
        b"[" * 50_000,
        b'{"student": 4}',
        b'{"student": "../x"}',
        b'{"units": "cubits"}',
        b'{"units": ["inches"]}',
        b'{"new_numbers": {"2.1": -1}}',
        b'{"new_numbers": {"2.1": "1"}}',
        b'{"new_numbers": {"2.1": true}}',
        b'{"new_numbers": [1]}',
        b" " * 200_000 + b"{}",
    ],
)
def test_a_damaged_session_file_is_said_and_laid_aside_and_never_stops_the_lesson(content, lesson_folder):
    path = lesson_folder / "session.json"
    path.write_bytes(content)
    assert session() == exercises.Session() and "session.json" in session().problem
    assert "session.json" in exercise("2.1").note.value
    assert path.read_bytes() == content
    assert student("S04").problem == ""
    assert session().student == "S04"
    assert (lesson_folder / "session-damaged.json").read_bytes() == content


def test_a_failed_write_leaves_the_session_file_whole(lesson_folder, monkeypatch):
    student("S04")
    before = (lesson_folder / "session.json").read_bytes()

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    assert "No space left" in student("S05").problem
    assert (lesson_folder / "session.json").read_bytes() == before
    assert [path.name for path in lesson_folder.iterdir()] == ["session.json"]
    assert session().student == "S05"  # remembered by this kernel


@contextlib.contextmanager
def somebody_elses_folder():
    """A folder that can be read and not written, also where the tests run as root."""
    root = os.geteuid() == 0
    folder = Path(tempfile.mkdtemp())
    here = Path.cwd()
    try:
        folder.chmod(0o555)
        os.chdir(folder)
        if root:
            os.seteuid(65534)
        yield folder
    finally:
        if root:
            os.seteuid(0)
        os.chdir(here)
        folder.chmod(0o755)
        for path in folder.iterdir():
            path.unlink()
        folder.rmdir()


@pytest.mark.skipif(os.name != "posix", reason="permissions are told otherwise there")
def test_in_a_read_only_folder_all_goes_on_and_nothing_is_lost():
    student("S03")
    exercise("2.1").answer.value = "1 kg"  # so that all modules are loaded before the rights go
    with somebody_elses_folder() as folder:
        assert "cannot be written" in student("S04", "inches").problem
        assert session().student == "S04" and session().units == "inches"
        box = exercise("2.1")
        assert "cannot be written" in box.note.value
        box.answer.value = "1 lb"
        box.answer.value = "2 lb"
        assert "answers.csv" in box.note.value and "memory" in box.note.value
        assert "Answers so far: 2" in box.note.value
        assert list(folder.iterdir()) == []
        if os.geteuid() == 65534:
            os.seteuid(0)
            folder.chmod(0o777)
            os.seteuid(65534)
        else:
            folder.chmod(0o755)
        box.answer.value = "3 lb"
        assert "memory" not in box.note.value
        kept = [row.text for _, row in read_answers((folder / "answers.csv").read_bytes())]
        assert kept == ["1 lb", "2 lb", "3 lb"]


# ---------------------------------------------------------------------------------------- kept answers


def rows(folder):
    with (folder / "answers.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_answers_are_added_with_numbers_version_and_time(lesson_folder):
    student("S04")
    box = exercise("2.1")
    box.answer.value = "1 kg"
    box.answer.value = "3 mm"
    other = exercise("2.3")
    other.on_fresh()
    other.answer.value = "500 ml"
    first, second, third = rows(lesson_folder)
    assert [row["key"] for row in (first, second, third)] == ["2.1", "2.1", "2.3"]
    assert [row["text"] for row in (first, second, third)] == ["1 kg", "3 mm", "500 ml"]
    assert [row["new_numbers"] for row in (first, second, third)] == ["0", "0", "1"]
    assert first["version"] == kilncalc.__version__
    assert re.fullmatch(r"20\d\d-\d\d-\d\dT\d\d:\d\d:\d\d\+00:00", first["time"])
    for row in (first, second, third):
        asked = question(row["key"])
        wanted = asked.numbers_for("S04", "metric", int(row["new_numbers"]))
        assert asked.numbers_from_json(row["numbers"]) == wanted
    assert {row["student"] for row in (first, second, third)} == {"S04"}


def test_without_a_student_nothing_is_kept(lesson_folder):
    box = exercise("2.1")
    box.answer.value = "895 g"
    assert "Right" in box.message.value and "not kept" in box.note.value
    assert list(lesson_folder.iterdir()) == []


@pytest.mark.parametrize(
    "text",
    [
        "=1+1",
        "=HYPERLINK(1)",
        '"',
        '""',
        "a,b",
        "a;b",
        "a\nb",
        "a\r\nb",
        "a\rb",
        "\ta",
        "'",
        "१२ ग्राम",
        "\x00",
        "\ufeffa",
    ],
)
def test_any_text_comes_back_as_it_was_typed_but_on_one_line(text, lesson_folder):
    assert _answers.keep("S04", "2.1", text, "{}", 0) == ""
    assert _answers.keep("S04", "2.1", "1 kg", "{}", 0) == ""
    line = re.sub("\r\n|\n|\r", " ", text)
    assert [row.text for row in _answers.kept("2.1", "S04")] == [line, "1 kg"]
    assert (lesson_folder / "answers.csv").read_bytes().count(b"\n") == 3  # exact: the header and two rows


def test_half_a_character_and_endless_text_are_kept_as_far_as_they_can_be():
    assert _answers.keep("S04", "2.1", "a\ud800b", "{}", 0) == ""
    assert _answers.keep("S04", "2.1", "9" * 10_000_000, "{}", 0) == ""
    assert [len(row.text) for row in _answers.kept("2.1", "S04")] == [3, _answers.LONGEST_TEXT]


HEADER = ",".join(_answers.COLUMNS).encode() + b"\r\n"
OLD_HEADER = b"key,text,numbers,new_numbers,version,time\r\n"
"""Of files from before the student's id stood in each row."""


@pytest.mark.parametrize(
    "content",
    [
        b"name,mark\nA,1\n",
        b"\xff\xfe\x00\x01binary",
        HEADER + b"x" * 6_000_000,
        HEADER.decode().encode("utf-16"),
    ],
    ids=["other columns", "binary", "huge", "UTF-16"],
)
def test_what_cannot_be_added_to_the_file_goes_to_a_second_one_beside_it(content, lesson_folder):
    path = lesson_folder / "answers.csv"
    path.write_bytes(content)
    student("S04")
    box = exercise("2.1")
    box.answer.value = "1 kg"
    assert "Not yet" in box.message.value
    assert "left alone" in box.note.value and "answers-more.csv" in box.note.value
    assert path.read_bytes() == content
    path.rename(lesson_folder / "renamed.csv")
    box.answer.value = "2 kg"
    assert [row["text"] for row in rows(lesson_folder)] == ["2 kg"]
    assert [row.text for row in _answers.kept("2.1", "S04")] == ["2 kg", "1 kg"]


def test_a_folder_of_that_name_is_left_alone_too(lesson_folder):
    (lesson_folder / "answers.csv").mkdir()
    assert "not a file" in _answers.keep("S04", "2.1", "1 kg", "{}", 0)
    (lesson_folder / "answers-more.csv").unlink()
    (lesson_folder / "answers-more.csv").mkdir()
    assert "waits in memory" in _answers.keep("S04", "2.1", "2 kg", "{}", 0)
    (lesson_folder / "answers.csv").rmdir()
    assert _answers.keep("S04", "2.1", "3 kg", "{}", 0) == ""
    assert [row["text"] for row in rows(lesson_folder)] == ["2 kg", "3 kg"]


def test_a_file_saved_again_by_a_spreadsheet_is_still_ours(lesson_folder):
    _answers.keep("S04", "2.1", "1 kg", "{}", 0)
    path = lesson_folder / "answers.csv"
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b",", b";"))
    assert _answers.keep("S04", "2.1", "2 kg", "{}", 0) == ""
    assert [row.text for row in _answers.kept("2.1", "S04")] == ["1 kg", "2 kg"]


def test_a_file_from_before_ids_were_kept_goes_on_under_a_new_header(lesson_folder):
    path = lesson_folder / "answers.csv"
    path.write_bytes(OLD_HEADER + b"2.1,1 kg,{},0,0.1,now\r\n")
    assert _answers.keep("S04", "2.1", "2 kg", "{}", 0) == ""
    assert _answers.keep("S05", "2.1", "3 kg", "{}", 0) == ""
    found = [row for _, row in read_answers(path.read_bytes())]
    assert [(row.student, row.text) for row in found] == [("", "1 kg"), ("S04", "2 kg"), ("S05", "3 kg")]
    assert [row.text for row in _answers.kept("2.1", "S05")] == ["1 kg", "3 kg"]


TEXTS = ["1 kg", "895 g, cm\N{SUPERSCRIPT THREE} °"]
WHOLE = HEADER + b"".join(
    _answers._row(
        ["S04", "2.1", text, '{"units": "metric", "rim": "120 mm"}', 0, "0.1.0", "2026-11-27T19:00"]
    )
    for text in TEXTS
)


@pytest.mark.parametrize("zeros", [0, 100], ids=["cut", "cut and filled with zeros"])
def test_wherever_a_file_was_cut_the_next_answer_is_read(zeros, lesson_folder):
    """A power cut or a full disk ends the file at any byte; what follows is a fresh, readable row."""
    path = lesson_folder / "answers.csv"
    assert len(WHOLE) > 183  # the positions tried when the fault was found
    ends = [place for place in range(len(WHOLE)) if WHOLE[: place + 1].endswith(b"\r\n")]
    for cut in range(len(WHOLE) + 1):
        path.write_bytes(WHOLE[:cut] + bytes(zeros))
        assert _answers.keep("S04", "2.1", "2 kg", "{}", 0) == "", cut
        found = [row for _, row in read_answers(path.read_bytes())]
        texts = [row.text for row in found if not isinstance(row, str)]
        whole = [text for text, end in zip(TEXTS, ends[1:], strict=True) if end < cut]
        assert texts[-1] == "2 kg" and texts[: len(whole)] == whole, cut
        assert not (lesson_folder / "answers-more.csv").exists()


def test_a_row_cut_off_does_not_swallow_the_next(lesson_folder):
    path = lesson_folder / "answers.csv"
    path.write_bytes(HEADER + b'S04,2.1,1 kg,{},0,0.1,now\nS04,2.1,"1')
    assert _answers.keep("S04", "2.1", "2 kg", "{}", 0) == ""
    found = list(read_answers(path.read_bytes()))
    assert [row if isinstance(row, str) else row.text for _, row in found] == [
        "1 kg",
        "this row was cut off: 3 columns of 7",
        "2 kg",
    ]
    assert [line for line, _ in found] == [2, 3, 4]


def test_a_full_disk_is_said(lesson_folder, monkeypatch):
    monkeypatch.setattr(os, "write", lambda _handle, row: len(row) - 1)
    assert "disk is full" in _answers.keep("S04", "2.1", "1 kg", "{}", 0)


def test_rows_that_are_none_are_told_with_their_line():
    row = b"S04,2.1,1 kg,{},%s,0.1,now\n"
    content = HEADER + row % b"0" + row % b"minus one" + HEADER + b"a\n" + row % b"0.0"
    found = [(line, isinstance(row, str)) for line, row in read_answers(content)]
    assert found == [(2, False), (3, True), (5, True), (6, False)]  # line 4 is a second header


def test_answering_from_code_marks_and_keeps_as_the_box_does(lesson_folder):
    assert exercises.answer("2.1", "895 g").right
    assert list(lesson_folder.iterdir()) == []
    student("S04", "inches")
    asked = question("2.1")
    right = as_text(asked.value(asked.numbers_for("S04", "inches")), "mass", "inches")
    assert exercises.answer("2.1", right).right
    exercise("2.1").answer.value = right
    first, second = rows(lesson_folder)
    assert first | {"time": ""} == second | {"time": ""}
    (lesson_folder / "answers.csv").unlink()
    (lesson_folder / "answers.csv").mkdir()
    with pytest.warns(UserWarning, match=r"added to answers-more\.csv"):
        assert not exercises.answer("2.1", "1 g").right


def test_the_hand_in_button_makes_a_file_with_name_and_date(lesson_folder, monkeypatch):
    box = student_box()
    box.on_hand_in()
    assert "set your id first" in box.message.value
    box.name.value = "S04"
    box.on_hand_in()
    assert "no answer in this folder yet" in box.message.value
    exercises.answer("2.1", "1 kg")
    box.on_hand_in()
    (path,) = lesson_folder.glob("*.zip")
    assert re.fullmatch(r"S04-20\d\d-\d\d-\d\d-\d{6}\.zip", path.name) and path.name in box.message.value
    for _ in range(3):  # all within a second or two
        box.on_hand_in()
        assert "Your answers are in S04-" in box.message.value
    paths = list(lesson_folder.glob("*.zip"))
    assert len(paths) == 4
    for path in paths:
        assert re.fullmatch(r"S04-20\d\d-\d\d-\d\d-\d{6}\.zip", path.name)
        path.unlink()

    def locked(*_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(_answers, "_append", locked)
    with pytest.warns(UserWarning):
        exercises.answer("2.1", "2 kg")
    box.on_hand_in()
    (path,) = lesson_folder.glob("*.zip")
    with zipfile.ZipFile(path) as archive:
        assert json.loads(archive.read("S04/session.json"))["student"] == "S04"
        names = ["S04/answers.csv", "S04/answers-waiting.csv"]
        found = [row.text for name in names for _, row in read_answers(archive.read(name))]
    assert found == ["1 kg", "2 kg"]  # what only waits in memory is handed in, too


@pytest.mark.parametrize("typed", ["s1", "S1", "S-01", "s 01"])
def test_the_box_questions_an_id_near_the_one_the_folder_was_made_for(typed, lesson_folder):
    made = _session.Session("S01", "metric", {}, "S01")
    (lesson_folder / "session.json").write_text(made.to_json(), encoding="utf-8")
    box = student_box()
    assert "?" not in box.message.value
    box.name.value = typed
    assert "Did you mean S01?" in box.message.value
    box.name.value = "S01"
    assert "?" not in box.message.value
    box.name.value = "S02"
    assert "made for S01" in box.message.value and "does not count for S01" in box.message.value
    assert session().made_for == "S01"


def test_many_kernels_write_at_the_same_time_and_lose_nothing(lesson_folder):
    code = (
        "from kilncalc.exercises import _answers\n"
        "import sys\n"
        "for n in range(50): assert _answers.keep('S04', '2.1', f'{sys.argv[1]}-{n} g', '{}', 0) == ''"
    )
    kernels = [
        subprocess.Popen([sys.executable, "-c", code, str(number)], cwd=lesson_folder) for number in range(3)
    ]
    assert [kernel.wait(timeout=120) for kernel in kernels] == [0, 0, 0]
    texts = [row.text for _, row in read_answers((lesson_folder / "answers.csv").read_bytes())]
    assert sorted(texts) == sorted(f"{number}-{n} g" for number in range(3) for n in range(50))


# ---------------------------------------------------------------------------------------------- the box


def test_a_box_marks_what_is_typed_and_an_empty_one_is_told():
    box = exercise("2.1")
    box.on_check()
    assert "Type an answer first" in box.message.value
    box.answer.value = "895 g"
    assert "Right" in box.message.value and 'aria-live="polite"' in box.message.value
    box.answer.value = " "
    assert box.message.value == ""  # "Right" goes when the box is emptied
    box.answer.value = "895 g"
    assert "Right" in box.message.value


def test_check_after_leaving_the_text_box_does_not_mark_twice(lesson_folder):
    student("S04")
    box = exercise("2.1")
    box.answer.value = "1 kg"
    box.on_check()
    box.on_check()
    assert len(rows(lesson_folder)) == 1


def test_hints_come_one_at_a_time():
    box = exercise("2.1")
    hints = box.question.hints
    for shown in range(1, len(hints) + 1):
        box.on_hint()
        assert box.hints.value.count("<li>") == shown
    assert box.hint.disabled
    box.on_hint()
    assert box.hints.value.count("<li>") == len(hints)


def test_the_working_opens_after_a_right_answer():
    box = exercise("2.1")
    assert box.solution.disabled
    box.answer.value = "895 g"
    assert not box.solution.disabled
    box.on_working()
    assert "Answer: 895 g" in box.steps.value


def test_the_working_opens_after_three_tries_that_could_be_read():
    box = exercise("2.1")
    for text in ("1 kg", "rubbish", "2 kg", "3 mm"):
        box.answer.value = text
    assert box.solution.disabled
    box.answer.value = "3 kg"
    assert not box.solution.disabled


def test_tries_and_a_right_answer_outlive_the_kernel(lesson_folder):
    student("S04")
    box = exercise("2.1")
    box.answer.value = as_text(box.question.value(box.numbers), "mass", units="inches")
    again = exercise("2.1")
    assert not again.solution.disabled and "Answers so far: 1" in again.note.value
    assert exercise("2.2").solution.disabled


def test_new_numbers_are_practice_and_the_own_ones_come_back(lesson_folder):
    student("S04")
    box = exercise("2.5")
    own = box.plain
    assert box.own.layout.display == "none"
    box.on_hint()
    seen = {own}
    for _ in range(5):
        box.on_fresh()
        assert box.plain not in seen and "practice" in box.note.value
        assert box.hints.value == "" and box.answer.value == "" and box.solution.disabled
        seen.add(box.plain)
    assert mark("2.5", "1 g").expected == box.question.value(box.numbers)
    assert str(working("2.5")) == str(box.question.worked(box.numbers))
    box.on_own()
    assert box.plain == own and "practice" not in box.note.value and box.own.layout.display == "none"


def test_explicit_student_and_units_take_no_notice_of_the_folder():
    before = str(mark("2.1", "1 kg", student="", units="metric"))
    student("S04", "inches")
    exercise("2.1").on_fresh()
    assert str(mark("2.1", "1 kg", student="", units="metric")) == before
    assert "rim" in question_text("2.1") and " in across" in question_text("2.1")
    assert "120 mm" in question_text("2.1", student="", units="metric")


def test_a_change_made_elsewhere_is_said_and_the_old_answer_is_not_marked(lesson_folder):
    student("S04")
    box = exercise("2.1")
    in_a_fresh_kernel('student("S05", "inches")', lesson_folder)
    box.answer.value = "895 <g>"
    assert "changed elsewhere" in box.message.value and "895 &lt;g&gt;" in box.message.value
    assert " in across" in box.asked.value
    assert not (lesson_folder / "answers.csv").exists()
    box.answer.value = "1 lb"
    assert len(rows(lesson_folder)) == 1


def test_an_exception_in_a_handler_is_a_sentence_in_the_box(monkeypatch, caplog):
    box = exercise("2.1")

    def broken(*_):
        raise RuntimeError("<boom>")

    monkeypatch.setattr(_answers, "mark_numbers", broken)
    box.answer.value = "1 kg"
    assert "Something went wrong" in box.message.value and "RuntimeError: &lt;boom&gt;" in box.message.value
    assert "boom" in caplog.text


def test_what_a_student_typed_is_escaped_wherever_it_is_shown(lesson_folder):
    student("S04")
    box = exercise("2.1")
    box.answer.value = "<script>alert(1)</script> g"
    again = exercise("2.1")
    for part in (box.message, box.note, again.note):
        assert "<script" not in part.value and "&lt;script" in part.value


def test_the_text_box_has_a_name_and_sends_on_enter():
    box = exercise("2.1")
    assert box.answer.description == "Answer" and box.answer.continuous_update is False
    assert "2.1" in box.answer.tooltip


def test_buttons_are_wired():
    box = exercise("2.1")
    box.hint.click()
    assert "<li>" in box.hints.value
    box.fresh.click()
    assert "practice" in box.note.value
    box.own.click()
    assert "practice" not in box.note.value
    box.check.click()
    assert "Type an answer first" in box.message.value
    box.solution.click()
    assert "Answer:" in box.steps.value


def test_the_student_box_sets_id_and_units_and_explains_a_bad_id(lesson_folder):
    box = student_box()
    assert "No student is set" in box.message.value
    box.name.value = "S04"
    assert session() == exercises.Session("S04", "metric") and "S04" in box.message.value
    box.units.value = "inches"
    assert session() == exercises.Session("S04", "inches")
    box.name.value = "../S05"
    assert "not taken" in box.message.value and session().student == "S04"
    box.name.value = ""
    assert session() == exercises.Session("", "inches")
    box.name.value = "<b>"
    assert "<b>" not in box.message.value
    assert student_box().units.value == "inches"


def test_exercises_on_the_page_follow_the_student_box(lesson_folder):
    box, other = exercise("2.1"), student_box()
    other.name.value = "S04"
    assert box.plain == question("2.1").plain(question("2.1").numbers_for("S04"))
    box.answer.value = "1 kg"
    assert len(rows(lesson_folder)) == 1
    other.units.value = "inches"
    assert " in across" in box.asked.value and box.answer.value == ""


def test_the_stored_text_of_the_boxes_does_not_depend_on_answers(lesson_folder):
    before = repr(student_box()), exercise("2.1").markdown
    student("S04")
    exercise("2.1").answer.value = "1 kg"
    student("")
    assert (repr(student_box()), exercise("2.1").markdown) == before


def test_the_markdown_shows_every_sign_as_it_is():
    asked = OneNumber()
    asked.title, asked.text = "a_b", "1*2 <b> # $x$ {it}?"
    assert asked.markdown(asked.variant("metric", 0)).startswith(
        "**Exercise 9.1: a\\_b (about 1 minutes)**\n\n1\\*2 \\<b\\> \\# \\$x\\$ 1 kg?"
    )


def test_a_stored_question_is_compared_when_a_notebook_is_checked(lesson_folder):
    """The widget's random id is left out of the comparison by nbval; the question is not."""
    cells = [nbformat.v4.new_code_cell("from kilncalc.exercises import exercise", execution_count=1)]
    for key, printed in (("2.1", "120 mm"), ("2.6", "21 mm")):  # 2.6 says 25 mm
        box = exercise(key)
        data = {"text/plain": box.plain, "text/markdown": box.markdown}
        data = {kind: text.replace("25 mm", printed) for kind, text in data.items()}
        output = nbformat.v4.new_output("execute_result", data, execution_count=2)
        cells.append(nbformat.v4.new_code_cell(f'exercise("{key}")', execution_count=2, outputs=[output]))
    nbformat.write(nbformat.v4.new_notebook(cells=cells), lesson_folder / "one.ipynb")
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "--nbval", "--nbval-current-env", "-q", "one.ipynb"],
        cwd=lesson_folder,
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert "1 failed, 2 passed" in done.stdout and "21 mm" in done.stdout, done.stdout
