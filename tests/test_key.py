"""The key: the answers it gives are the ones that are marked as right, for everybody and every exercise."""

import csv
import html
import io
import re

import pytest

from kilncalc import cli
from kilncalc.classroom import handout, key
from kilncalc.classroom.roster import Student
from kilncalc.exercises import lesson_labels, mark, question, questions

# invented: a class of thirty, half of it working in inches
CLASS = tuple(Student(f"S{n:02d}", f"Name {n} & <Co>", ("metric", "inches")[n % 2]) for n in range(1, 31))
ASKED = key.asked_in()


@pytest.fixture(scope="module")
def rows():
    text = key.to_csv(CLASS, ASKED).decode("utf-8-sig")
    told = list(csv.DictReader(io.StringIO(text, newline="")))
    for row in told:  # a bare key would be taken for a date
        before, row["question"] = row["question"].split(" ")
        assert before == "exercise"
    return told


@pytest.fixture(scope="module")
def page():
    return key.page(CLASS, ASKED)


def words_of(text):
    return html.unescape(re.sub(r"<[^>]*>", " ", text))


def test_the_key_has_everybody_and_every_exercise(rows):
    wanted = {
        (student.id, one.key) for student in CLASS for label in lesson_labels() for one in questions(label)
    }
    assert {(row["id"], row["question"]) for row in rows} == wanted and len(rows) == len(wanted)


def test_each_answer_of_the_key_is_marked_as_right(rows):
    """As a student would type it."""
    units = {student.id: student.units for student in CLASS}
    for row in rows:
        verdict = mark(row["question"], row["answer"], student=row["id"], units=units[row["id"]])
        assert verdict.right, (row["id"], row["question"], row["answer"], str(verdict))
        assert row["answer"] in row["working"]


def test_an_answer_agrees_with_the_sum_done_here(rows):
    """Two sheets: 2 x length x width x measured thickness x density, from the numbers as printed."""
    seen = 0
    for row in rows:
        if row["question"] == "2.2" and "in;" not in row["numbers"]:
            length, width, _nominal, thickness, density = (
                float(n) for n in re.findall(r": ([\d.]+) ", row["numbers"])
            )
            grams = (
                2 * (length / 10) * (width / 10) * (thickness / 10) * density
            )  # exact: formula, in cm and g
            assert float(row["answer"].partition(" g")[0]) == pytest.approx(grams, rel=0.005)  # three figures
            seen += 1
    assert seen == 15  # exact: half of thirty


def test_tolerances_are_those_of_the_students_units(rows):
    """Where a tolerance is an amount, an inch student's key says it in inches, ounces or °F, and no other."""
    units = {student.id: student.units for student in CLASS}
    seen = {"metric": 0, "inches": 0}
    for row in rows:
        tolerance = question(row["question"]).tolerance
        if tolerance.relative or question(row["question"]).dimension == "count":
            continue
        amount, symbol = re.fullmatch(
            r"An answer within (.*) ([^ ]+) counts as right\.", row["tolerance"]
        ).groups()
        assert amount
        inch = symbol in ("in", "oz", "lb", "psi") or symbol.startswith("°F") or symbol.startswith("ft")
        if symbol not in ("s", "min", "h", "%", "°", "nm"):
            assert inch == (units[row["id"]] == "inches"), row
            seen[units[row["id"]]] += 1
    assert min(seen.values()) > 30  # at least two questions for each of fifteen students


def test_the_numbers_of_the_key_are_those_handed_out(rows):
    by_id = {student.id: student for student in CLASS}
    copies = {
        student.id: "\n".join(
            "".join(cell["source"])
            for lesson in handout.shipped_lessons()
            for cell in handout.student_copy(lesson, student)["cells"]
            if "question" in cell["metadata"].get("kilncalc", {})
        )
        for student in CLASS
    }
    handed_out = {one for lesson in handout.shipped_lessons() for one in lesson.keys}
    for row in rows:
        asked, student = question(row["question"]), by_id[row["id"]]
        numbers = asked.numbers_for(student.id, student.units)
        assert row["numbers"] == "; ".join(f"{name}: {text}" for name, text in numbers.texts.items())
        if asked.key in handed_out:
            assert asked.markdown(numbers) in copies[student.id]


def test_the_page_shows_every_answer_and_working(rows, page):
    words = " ".join(words_of(page).split())
    for row in rows:
        assert row["answer"] in words
    for asked in ASKED:
        assert asked.heading in words
        for student in CLASS:
            for step in asked.worked(asked.numbers_for(student.id, student.units)).steps:
                assert " ".join(step.split()) in words


def test_the_table_of_a_question_shows_each_number(page):
    for asked in ASKED:
        part = page[page.index(f"<h2>{html.escape(asked.heading)}") :].partition("</table>")[0]
        for student in CLASS:
            cells = re.search(f"<th><span[^>]*>{student.id}[ <].*?</tr>", part)[0]
            for text in asked.numbers_for(student.id, student.units).texts.values():
                assert html.escape(text) in cells, (asked.key, student)


def test_students_with_the_same_numbers_share_a_working(page):
    for asked in ASKED:
        part = page[page.index(f"<h2>{html.escape(asked.heading)}") :].partition("<h2>")
        part = f"{part[1]}{part[2].partition('<h2>')[0]}"
        ids = [one.split(", ") for one in re.findall(r'class="working"><strong>([^<]*)</strong>', part)]
        sets = {asked.numbers_for(student.id, student.units).to_json() for student in CLASS}
        assert len(ids) == len(sets)
        assert sorted(one for group in ids for one in group) == [student.id for student in CLASS]


def test_the_page_loads_nothing_and_shows_names_as_text(page):
    assert not re.search(r"<(script|img|link|iframe)|\bon\w+=|https?://|@import|<Co>", page)
    assert "S01 · Name 1 & <Co>" in words_of(page)


def test_the_command_writes_a_page_and_a_table_for_some_lessons(tmp_path, capsys):
    roster = tmp_path / "class.csv"
    roster.write_text("id,name,units\nS01,=1+1,us\n", encoding="utf-8")
    arguments = ["key", str(roster), "--to", str(tmp_path / "key"), "--lesson", "2"]
    assert cli.main(arguments) == 0
    assert f"1 student, {len(questions('2'))} questions" in capsys.readouterr().out
    assert {path.name for path in (tmp_path / "key").iterdir()} == {"key.html", "key.csv"}
    rows = list(csv.DictReader((tmp_path / "key" / "key.csv").open(encoding="utf-8-sig", newline="")))
    assert [row["question"] for row in rows] == [f"exercise {one.key}" for one in questions("2")]
    assert {row["name"] for row in rows} == {"'=1+1"}
    assert cli.main(arguments) == 2 and "nothing was written" in capsys.readouterr().err
    assert cli.main([*arguments, "--replace"]) == 0
    assert cli.main([*arguments, "--replace", "--lesson", "77"]) == 2
    assert "no lesson '77'" in capsys.readouterr().err
