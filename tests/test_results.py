"""What a class handed in: marked again, whatever the files look like; nothing run, every problem named."""

import csv
import html
import io
import json
import os
import random
import re
import stat
import struct
import time
import tracemalloc
import warnings
import zipfile
from datetime import datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kilncalc import __version__, cli
from kilncalc.classroom import handed_in, key, results, results_page, tables
from kilncalc.classroom.roster import Student
from kilncalc.exercises import lesson_labels, question, questions
from kilncalc.quantities import as_text

# invented: a class of thirty, half of it working in inches
CLASS = tuple(Student(f"S{n:02d}", f"Name {n}", ("metric", "inches")[n % 2]) for n in range(1, 31))
S01, S02, S03 = CLASS[:3]
HEADER = "key,text,numbers,new_numbers,version,time"
ASKED = tuple(one for label in lesson_labels() for one in questions(label))
RIGHT, WRONG = 0.0, 1.0


def own(student, key, new_numbers=0):
    return question(key).numbers_for(student.id, student.units, new_numbers)


def typed(student, key, what=RIGHT, new_numbers=0, numbers=None):
    """What a student types: the right answer, a slip by name, or one far off."""
    asked = question(key)
    numbers = numbers or own(student, key, new_numbers)
    value = asked.value(numbers)
    if isinstance(what, str):
        value = asked.slips(numbers)[what].value
    elif what == WRONG:
        taken = [value, *(slip.value for slip in asked.slips(numbers).values())]
        value = max(abs(one) for one in taken) * 7.77 + (7 if asked.dimension == "count" else 0)
    return as_text(value, asked.dimension, units="metric")


def row(student, key, what=RIGHT, new_numbers=0, text=None, numbers=None, version=__version__, time="t"):
    text = typed(student, key, what, new_numbers, numbers) if text is None else text
    numbers = numbers or own(student, key, new_numbers)
    return [key, text, numbers.to_json(), new_numbers, version, time]


def file_of(*rows, header=HEADER):
    text = io.StringIO(newline="")
    text.write(header + "\r\n")
    csv.writer(text).writerows(rows)
    return text.getvalue().encode()


def put(folder, student, content, name="answers.csv", session=None):
    path = folder / (student if isinstance(student, str) else student.id) / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    if session:
        path.with_name("session.json").write_text(json.dumps({"student": session, "units": "metric"}))
    return path


def zipped(path, members, **keywords):
    """A zip with these names and contents; a ZipInfo may stand for a name."""
    if not isinstance(path, io.BytesIO):
        path.parent.mkdir(parents=True, exist_ok=True)
    with zipfile.ZipFile(path, "w", **{"compression": zipfile.ZIP_DEFLATED, **keywords}) as archive:
        for name, content in members:
            archive.writestr(name, content)
    return path


def collect(folder, students=CLASS, **keywords):
    return results.collect(students, folder, **keywords)


def told(found):
    return [str(problem) for problem in found.problems]


def one_problem(found):
    (problem,) = told(found)
    return problem


# ============================================================================================== marking


def test_every_exercise_is_marked_for_a_class_of_thirty(tmp_path):
    """A third is right, a third makes each slip in turn, a third is far off: found again, every one."""
    wanted = {}
    for number, student in enumerate(CLASS):
        rows = []
        for asked in ASKED:
            slips = list(asked.slips(own(student, asked.key)))
            what = (RIGHT, slips[number // 3 % len(slips)], WRONG)[number % 3]
            rows.append(row(student, asked.key, what))
            wanted[student.id, asked.key] = ("right", what, "wrong")[number % 3]
        put(tmp_path, student, file_of(*rows))
    found = collect(tmp_path)
    assert told(found) == [] and found.files == 30
    assert [asked.key for asked in found.questions] == [asked.key for asked in ASKED]
    for student in CLASS:
        for asked in ASKED:
            mark = found.mark(student, asked)
            assert (mark.slip or mark.state) == wanted[student.id, asked.key], (student.id, asked.key)
            assert mark.tries == 1 and mark.own_numbers
    for asked in ASKED:
        assert found.states(asked) == {"right": 10, "slip": 10, "wrong": 10}  # exact: thirds of thirty
    assert sum(found.slips.values()) == 10 * len(ASKED)  # exact: one slip a question and third student


def test_the_last_own_answer_counts_tries_are_counted_and_practice_is_apart(tmp_path):
    rows = [
        row(S01, "2.1", RIGHT),
        row(S01, "2.1", "diameter for radius"),
        row(S01, "2.1", RIGHT, new_numbers=1),
        row(S01, "2.1", "taper forgotten", new_numbers=2),
        row(S01, "2.2", text="no idea"),
        row(S01, "2.3", text="5 mm"),
        row(S01, "2.4", new_numbers=4),
    ]
    put(tmp_path, S01, file_of(*rows))
    found = collect(tmp_path)
    assert told(found) == []
    # exact: counted in the rows above
    assert found.marks["S01", "2.1"] == results.Mark(
        "slip", "diameter for radius", rows[1][1], tries=2, practice_tries=2, practice_right=1
    )
    assert found.marks["S01", "2.2"] == results.Mark("unread", "", "no idea", tries=1)
    assert found.marks["S01", "2.3"] == results.Mark("unread", "", "5 mm", tries=1)
    assert found.marks["S01", "2.4"] == results.Mark("missing", practice_tries=1, practice_right=1)
    assert found.slips == {("2.1", "diameter for radius"): 1}
    assert found.mark(S01, question("2.5")) == found.mark(S02, question("2.1")) == results.Mark()


def test_a_slip_made_over_and_over_by_one_student_counts_once(tmp_path):
    slip = "diameter for radius"
    put(tmp_path, S01, file_of(*[row(S01, "2.1", slip)] * 5, row(S01, "2.1")))
    put(tmp_path, S02, file_of(row(S02, "2.1", slip)))
    found = collect(tmp_path)
    assert found.slips == {("2.1", slip): 2}  # exact: two students
    assert found.marks["S01", "2.1"].state == "right" and found.marks["S01", "2.1"].tries == 6


def test_changing_units_in_the_box_is_no_foreign_copy(tmp_path):
    numbers = question("2.1").numbers_for("S01", "metric")
    assert S01.units == "inches"
    put(tmp_path, S01, file_of(row(S01, "2.1", numbers=numbers)))
    assert told(collect(tmp_path)) == []


def test_questions_are_those_of_the_lessons_answered_or_asked_for(tmp_path):
    put(tmp_path, S01, file_of(row(S01, "2.1")))
    assert {one.key.partition(".")[0] for one in collect(tmp_path).questions} == {"2"}
    assert {one.key for one in collect(tmp_path, labels=["0"]).questions} == {"0.1"}
    with pytest.raises(ValueError, match="no lesson 99 has exercises"):
        collect(tmp_path, labels=["99"])
    assert collect(tmp_path / "S01", [S02]).questions == []


# ============================================================================================ whose it is


@pytest.mark.parametrize(
    "name",
    [
        "S01/answers.csv",
        "s01/Answers.CSV",
        "S01.csv",
        "S01_answers.csv",
        "answers-S01.csv",
        "answers S01 (2).csv",
        "week 3/S01/lessons/answers.csv",
        "S01 (1)/answers (3).csv",
        "S01_answers/answers.csv",
    ],
)
def test_the_place_tells_whose_answers_they_are(tmp_path, name):
    path = tmp_path / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(file_of(row(S01, "2.1")))
    found = collect(tmp_path)
    assert set(found.marks) == {("S01", "2.1")} and told(found) == []


def test_else_the_session_file_tells_it(tmp_path):
    put(tmp_path, "upload 7", file_of(row(S01, "2.1")), session="s01")
    found = collect(tmp_path)
    assert set(found.marks) == {("S01", "2.1")} and told(found) == []


def test_a_file_of_nobody_is_named_and_not_counted(tmp_path):
    put(tmp_path, "upload 7", file_of(row(S01, "2.1")), session="X99")
    found = collect(tmp_path)
    assert found.marks == {}
    assert one_problem(found).startswith("upload 7/answers.csv: no name around this file")
    assert "says X99" in one_problem(found)


def test_ids_of_any_script_are_found_in_either_form(tmp_path):
    zoe = Student("Zoë-美")
    put(tmp_path, "ZOE\u0308-美", file_of(row(zoe, "2.1")))
    assert set(collect(tmp_path, [zoe]).marks) == {("Zoë-美", "2.1")}


def others_numbers():
    """A student whose numbers in 2.1 are not S01's."""
    return next(s for s in CLASS if s.units == S01.units and own(s, "2.1").texts != own(S01, "2.1").texts)


def test_a_file_is_counted_by_its_session_before_its_place_and_that_is_said(tmp_path):
    other = others_numbers()
    put(tmp_path, S01, file_of(row(other, "2.1")), session=other.id)
    found = collect(tmp_path)
    assert found.marks[other.id, "2.1"].state == "right" and list(found.handed_in) == [other.id]
    assert f"counted for {other.id} by its session file, though it lies at a place of S01" in one_problem(
        found
    )


def test_answers_with_another_students_numbers_are_marked_said_and_not_credited(tmp_path):
    other = others_numbers()
    put(tmp_path, S01, file_of(row(other, "2.1"), row(other, "2.1"), row(S01, "2.2"), row(S01, "2.3")))
    found = collect(tmp_path)
    mark = found.marks["S01", "2.1"]
    assert mark.state == "right" and not mark.own_numbers and found.right(S01) == 2
    problem = one_problem(found)  # once, though two rows have them
    assert problem.startswith(
        "S01/answers.csv, line 2: exercise 2.1 was answered with numbers that are not S01's"
    )
    assert other.id in problem and "would have them" in problem


def test_what_was_answered_with_anothers_numbers_does_not_undo_ones_own(tmp_path):
    other = others_numbers()
    put(tmp_path, S01, file_of(row(S01, "2.1"), row(other, "2.1", WRONG), row(S01, "2.2"), row(S01, "2.3")))
    assert collect(tmp_path).marks["S01", "2.1"].state == "right"


def test_numbers_of_nobody_and_of_another_version_are_said_to_be_so(tmp_path):
    printed = question("2.1").numbers_for("", "metric")
    changed = json.loads(own(S02, "2.1").to_json()) | {"depth": "44.5 mm"}
    rows = [
        row(S02, "2.1", numbers=question("2.1").numbers_from_json(json.dumps(changed)), version="0.0.7"),
        row(S02, "2.1"),
    ]
    put(tmp_path, S02, file_of(*rows))
    assert one_problem(collect(tmp_path)).endswith("are not S02's (written by kilncalc 0.0.7)")
    nobody = next(s for s in CLASS if own(s, "2.1").texts != printed.texts)
    alone = [s for s in CLASS if question("2.1").numbers_for(s.id, "metric").texts != printed.texts]
    put(tmp_path / "b", nobody, file_of(row(nobody, "2.1", numbers=printed)))
    assert "printed in the lessons for nobody" in one_problem(collect(tmp_path / "b", alone))


def test_two_files_of_one_student_are_joined_in_order_of_time_without_counting_copies_twice(tmp_path):
    both = row(S01, "2.1", WRONG, time="2026-03-01T19:00:00+00:00")
    earlier = row(S01, "2.1", "taper forgotten", time="2026-03-01T19:05:00+00:00")
    later = row(S01, "2.1", time="2026-03-08T19:00:00+00:00")
    put(tmp_path / "a", S01, file_of(both, later))
    put(tmp_path / "b", S01, file_of(both, earlier))
    found = collect(tmp_path)
    assert found.marks["S01", "2.1"].state == "right"
    assert found.marks["S01", "2.1"].tries == 3  # exact: three different answers in four rows
    assert "S01 handed in 2 files" in one_problem(found)


# ====================================================================== on a shared laptop; whose it is

FULL = "student,key,text,numbers,new_numbers,version,time"
SIX = ("2.1", "2.2", "2.3", "2.4", "2.5", "2.6")


def stamped(*rows):
    """A file in which each row says whose it is; a row comes with that id in front."""
    return file_of(*rows, header=FULL)


def test_another_students_row_neither_overrides_nor_replaces_nor_credits_ones_own(tmp_path):
    rows = [["S01", *row(S01, "2.1")], ["S02", *row(S02, "2.1", WRONG)], ["S02", *row(S02, "2.2")]]
    put(tmp_path, S01, stamped(*rows))
    put(tmp_path, S02, stamped(["S02", *row(S02, "2.1", "taper forgotten")]))
    found = collect(tmp_path)
    assert found.marks["S01", "2.1"].state == "right" and ("S01", "2.2") not in found.marks
    assert found.marks["S02", "2.1"].slip == "taper forgotten"  # not overridden from another's place
    assert found.marks["S02", "2.2"].state == "right"  # a gap filled
    assert "holds the answers of several students, each counted as theirs: S01 1, S02 2" in one_problem(found)


def test_rows_of_a_shared_laptop_count_for_each_wherever_the_file_is_handed_in(tmp_path):
    both = stamped(["S01", *row(S01, "2.1")], ["S02", *row(S02, "2.1", "taper forgotten")])
    for student in (S01, S02):
        put(tmp_path, student, both)
    found = collect(tmp_path)
    assert (found.marks["S01", "2.1"].state, found.marks["S02", "2.1"].state) == ("right", "slip")
    assert found.marks["S01", "2.1"].tries == found.marks["S02", "2.1"].tries == 1  # exact: copies count once


def test_what_lies_at_anothers_place_with_numbers_of_nobody_fills_no_gap(tmp_path):
    theirs = [["S01", *row(others_numbers(), "2.2")], ["S01", *row(S01, "2.3")]]
    put(tmp_path, S02, stamped(["S02", *row(S02, "2.1")], *theirs))
    found = collect(tmp_path)
    assert {key for who, key in found.marks if who == "S01"} == {"2.3"}


def test_numbers_of_another_in_a_minority_of_the_answers_say_less_than_a_name(tmp_path):
    """Three answers of seven carry S02's numbers, the others nobody's: the folder decides."""
    nobodys = [
        row(S01, key, version="0.0.7", numbers=question(key).numbers_from_json(changed))
        for key, name, value in (
            *(("2.1", "depth", "1.77 in"), ("2.1", "depth", "1.78 in"), ("2.1", "depth", "1.79 in")),
            ("2.1", "depth", "1.81 in"),
        )
        for changed in [json.dumps(json.loads(own(S01, key).to_json()) | {name: value})]
    ]
    put(tmp_path, S01, file_of(*[row(S02, key) for key in SIX[1:4]], *nobodys))
    found = collect(tmp_path)
    assert list(found.handed_in) == ["S01"] and not any("carry" in one for one in told(found))
    put(tmp_path, S01, file_of(*[row(S02, key) for key in SIX[1:4]], *nobodys[:2]))
    assert list(collect(tmp_path).handed_in) == ["S02"]  # three of five


def test_an_id_typed_nearly_right_is_matched_and_said(tmp_path):
    typed_so = Student("S1", units=S01.units)
    put(tmp_path, S01, stamped(["S1", *row(typed_so, "2.1")]))
    put(tmp_path, "s 2 Ann", stamped(["", *row(S02, "2.1")]))
    found = collect(tmp_path)
    mark = found.marks["S01", "2.1"]
    assert mark.state == "right" and mark.own_numbers  # its numbers are those of the id as it was typed
    assert found.marks["S02", "2.1"].state == "right"
    assert "S1 is not in the class list; these answers were counted for S01" in told(found)[0]
    assert "taken for a file of S02" in told(found)[1]


def test_the_numbers_of_the_questions_say_more_than_a_name(tmp_path):
    put(tmp_path, S01, file_of(*[row(S02, key) for key in SIX], row(S01, "2.1")))
    put(tmp_path, "upload 7", file_of(*[row(S03, key) for key in SIX]))
    found = collect(tmp_path)
    assert all(found.marks["S02", key].state == found.marks["S03", key].state == "right" for key in SIX)
    assert "6 of 7 answers carry S02's numbers: counted for S02" in told(found)[0]
    assert "6 of 6 answers carry S03's numbers: counted for S03" in told(found)[-1]


@pytest.mark.parametrize(
    "name",
    [
        "answers (1).csv",
        "answers 2.csv",
        "answers-2.csv",
        "Answers(3).CSV",
        "answers-more.csv",
        "answers copy.csv",
    ],
)
def test_copies_of_a_file_are_never_those_of_a_student_with_a_number(tmp_path, name):
    students = (Student("1"), Student("2"), Student("3"))
    path = tmp_path / "Ann" / name
    path.parent.mkdir()
    path.write_bytes(file_of(row(students[0], "2.1")))
    found = collect(tmp_path, students)
    assert found.marks == {} and "no name around this file" in one_problem(found)
    path.rename(tmp_path / name)
    (tmp_path / "Ann").rmdir()
    (tmp_path / "2").mkdir()
    (tmp_path / name).rename(tmp_path / "2" / name)
    assert set(collect(tmp_path, students).marks) == {("2", "2.1")}


@pytest.mark.parametrize(
    ("ids", "name"),
    [
        (("S04", "S05"), "S04 Ann Lee/answers.csv"),
        (("S04", "S05"), "S05-S04/answers_S04.csv"),
        (("S04", "S05"), "S04-2026-11-27-190501.zip/S04/answers.csv"),
        (("S04", "S05"), "Ann Lee S04/answers (2).csv"),
        (("S04", "S05"), "S04.txt"),
        (("S04", "S05"), "S04.csv.txt"),
        (("S04", "S05"), "answers_S04"),
        (("S04", "S05"), "week 5/S04/answers.csv"),
        (("1", "5"), "week 5/1/answers.csv"),
        (("1", "5"), "01 Ann/answers 5.csv"),
        (("1", "11"), "001.csv"),
        (("Ann", "Ann Lee"), "Ann Lee/answers.csv"),
    ],
)
def test_names_with_other_words_around_an_id_are_matched(tmp_path, ids, name):
    students = tuple(map(Student, ids))
    wanted = students[1] if ids[1] == "Ann Lee" else students[0]
    content = file_of(row(wanted, "2.1"))
    archive, _, member = name.rpartition(".zip/")
    if archive:
        zipped(tmp_path / f"{archive}.zip", [(member, content)])
    else:
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(content)
    assert {who for who, _ in collect(tmp_path, students).marks} == {wanted.id}


def test_a_right_answer_is_not_undone_by_one_that_cannot_be_read_but_by_a_wrong_one(tmp_path):
    rows = [row(S01, "2.1"), row(S01, "2.1", text="hm"), row(S01, "2.2"), row(S01, "2.2", WRONG)]
    put(tmp_path, S01, file_of(*rows, row(S01, "2.3", "air for glass"), row(S01, "2.3", text="hm")))
    found = collect(tmp_path)
    states = [found.marks["S01", key].state for key in ("2.1", "2.2", "2.3")]
    assert states == ["right", "wrong", "unread"] and found.marks["S01", "2.1"].tries == 2


def test_two_computers_are_joined_by_the_order_in_each_file_and_by_time_between_them(tmp_path):
    def at(hour, what):
        return row(S01, "2.1", what, time=f"2026-03-01T{hour}:00:00+00:00")

    put(tmp_path / "a", S01, file_of(at(19, WRONG), at(21, "taper forgotten")))
    put(tmp_path / "b", S01, file_of(at(20, RIGHT)))
    found = collect(tmp_path)
    assert found.marks["S01", "2.1"].slip == "taper forgotten" and "order of time" in one_problem(found)
    assert "guess" not in one_problem(found)
    # A clock put back: within a file the order of the rows stays, and the doubt is named.
    put(tmp_path / "b", S01, file_of(at(22, WRONG), at(18, RIGHT)))
    found = collect(tmp_path)
    assert found.marks["S01", "2.1"].state == "right"
    assert "run backwards in b/S01/answers.csv, so this order is a guess" in one_problem(found)


# ============================================================================ saved again by a spreadsheet


def saved_by_a_spreadsheet(student):
    """Ways in which programs have been seen to save a table again: name -> (file name, bytes).

    For a student with metric units: the letters of such numbers stand in every encoding.
    """
    rows = [[student.id, *row(student, key)] for key in SIX]
    made = {}

    def add(name, rows=rows, header=FULL, delimiter=",", encoding="utf-8", file="answers.csv", **ways):
        text = io.StringIO(newline="")
        text.write(ways.pop("before", ""))
        writer = csv.writer(text, delimiter=delimiter, **ways)
        writer.writerow(header.split(","))
        writer.writerows(rows)
        made[name] = (file, text.getvalue().encode(encoding))

    for mark, delimiter in (("commas", ","), ("semicolons", ";"), ("tabs", "\t")):
        for encoding in ("utf-8", "utf-8-sig", "utf-16", "utf-16-be", "utf-16-le", "cp1252"):
            add(f"{mark}, {encoding}", delimiter=delimiter, encoding=encoding)
    for name, change in {
        "decimal comma": lambda key: key.replace(".", ","),
        "day and month": lambda key: f"0{key[2]}.0{key[0]}.2026",
        "month and day": lambda key: f"{key[0]}/{key[2]}/2026",
        "a date by the standard": lambda key: f"2026-0{key[0]}-0{key[2]}",
        "a month in English": lambda key: f"{key[2]}-{['Jan', 'Feb', 'Mar'][int(key[0]) - 1]}",
        "a month in German": lambda key: f"0{key[0]}. {'JanFebMärAprMaiJun'[3 * int(key[2]) - 3 :][:3]}",
        "a month in French": lambda key: f"{key[2]}-{['janv', 'févr', 'mars'][int(key[0]) - 1]}",
        "year first": lambda key: f"2026/{key[0]}/{key[2]}",
        "an apostrophe": lambda key: f"'{key}",
        "blanks": lambda key: f" {key} ",
    }.items():
        add(f"keys as {name}", [[r[0], change(r[1]), *r[2:]] for r in rows], delimiter=";")
    add("counts as 0.0", [[*r[:4], "0.0", *r[5:]] for r in rows])
    add("counts as 0,0", [[*r[:4], "0,0", *r[5:]] for r in rows], delimiter=";")
    add("counts empty", [[*r[:4], "", *r[5:]] for r in rows])
    add("columns added", [["", *r, "x", "y"] for r in rows], f",{FULL},note,mark")
    add("columns sorted", [[r[i] for i in (3, 0, 6, 1, 2)] for r in rows], "numbers,student,time,key,text")
    add("columns in capitals", header=FULL.upper())
    add("columns with blanks", header=FULL.replace(",", " , "))
    add("no ids and times", [r[1:4] for r in rows], "key,text,numbers")
    add("a row that says what parts the cells", before="sep=;\r\n", delimiter=";")
    add("blank rows first", before="\r\n,,,\r\n\r\n")
    add("every cell in quotes", quoting=csv.QUOTE_ALL)
    add("line feeds", lineterminator="\n")
    add("carriage returns", lineterminator="\r")
    add("a text file", file="answers.txt", delimiter="\t", encoding="utf-16")
    add("two endings", file="answers.csv.txt")
    add("no ending", file="answers")
    add("an ending of its own", file="answers.tsv", delimiter="\t")
    add("empty cells at the end", [[*r, "", "", ""] for r in rows], delimiter=";")
    return made


SAVED = saved_by_a_spreadsheet(CLASS[1])


def test_at_least_as_many_ways_to_save_are_tried_as_when_answers_were_lost():
    assert len(SAVED) >= 34


@pytest.mark.parametrize("way", SAVED)
def test_no_answer_is_lost_that_a_spreadsheet_has_saved_again(tmp_path, way):
    name, content = SAVED[way]
    put(tmp_path, CLASS[1], content, name)
    found = collect(tmp_path)
    assert {key: found.mark(CLASS[1], question(key)).state for key in SIX} == dict.fromkeys(SIX, "right")
    assert told(found) == []


def mangled(content, chance, most):
    """The bytes with a few of them changed and, half of the time, an end cut off."""
    content = bytearray(content)
    for _ in range(chance.randrange(1, most)):
        content[chance.randrange(len(content))] = chance.randrange(256)
    return bytes(content[: chance.randrange(len(content))] if chance.random() < 0.5 else content)


def hostile(folder, student, content, chance):
    """Something in the place of a hand-in that is damaged, or was made to do harm."""
    archive = folder / f"{student.id}.zip"
    outside = ("../answers.csv", "/answers.csv", "C:\\answers.csv", "..\\..\\answers.csv")
    link = zipfile.ZipInfo("answers.csv")
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    inner = io.BytesIO()
    zipped(inner, [("answers.csv", content)])
    members = [
        [(chance.choice(outside), content)],
        [(link, b"/etc/passwd")],
        [("answers.csv", bytes(6_000_000))],  # a bomb
        [(f"{number}/answers.csv", b"x") for number in range(300)],
        [("S01.zip", inner.getvalue()), ("answers.csv", content[:-9])],
        [("answers.csv", content), ("answers.csv", content[:99]), ("session.json", b"[" * 99_000)],
    ]
    if (kind := chance.randrange(12)) < len(members):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of two members with one name
            zipped(archive, members[kind])
    elif kind < 9:
        archive.write_bytes(mangled(inner.getvalue(), chance, 9))
    else:
        noise = (mangled(content, chance, 40), chance.randbytes(500), content.replace(b"\n", b'"\n'))
        put(folder, student, noise[kind - 9], session=chance.choice([None, "S001", "\0", "S" * 5000]))


@pytest.mark.parametrize("seed", range(3))
def test_a_class_of_intact_and_hostile_hand_ins_loses_no_right_answer_of_an_intact_one(tmp_path, seed):
    """A hundred hand-ins: folders, flat files and zips, saved again or not, among hostile ones."""
    chance = random.Random(seed)
    students = [Student(f"S{n:03d}") for n in range(100)]
    intact = {}
    for student in students:
        rows = [[student.id, *row(student, key)] for key in SIX]
        content = chance.choice([stamped(*rows), file_of(*[r[1:] for r in rows])])
        if chance.random() < 0.4:
            hostile(tmp_path, student, content, chance)
        elif (how := chance.randrange(5)) == 0:
            intact[student.id] = put(tmp_path, student, content)
        elif how == 1:
            intact[student.id] = tmp_path / f"answers_{student.id}.csv"
            intact[student.id].write_bytes(content)
        elif how == 2:
            members = [("lessons/answers.csv", content), ("x.ipynb", b"{")]
            intact[student.id] = zipped(tmp_path / f"{student.id} Name.zip", members)
        elif how == 3:
            name = chance.choice(["answers (1).csv", "answers.txt"])
            intact[student.id] = put(tmp_path, f"{student.id}-name", content, name)
        else:
            name, content = chance.choice(list(saved_by_a_spreadsheet(student).values()))
            intact[student.id] = put(tmp_path, student, content, name)
    put(tmp_path, "junk", SAVED[chance.choice(sorted(SAVED))][1][: chance.randrange(300)])
    started = time.process_time()
    found, peak = peak_of(lambda: collect(tmp_path, students))
    assert time.process_time() - started < 50 and peak < 200e6  # own prototype: seconds and bytes, for all
    assert 40 < len(intact) < 80
    for who, where in intact.items():
        assert [found.marks[who, key].state for key in SIX] == ["right"] * 6, where
    page = results_page.page(found)
    assert "\0" not in page and page.encode("utf-8") and found.to_csv() and found.grades()


def test_wherever_a_file_is_cut_the_rows_before_count_and_the_cut_one_counts_against_nobody(tmp_path):
    rows = [["S02", *row(S02, name)] for name in SIX[:2]]
    content = stamped(*rows)
    begins, ends = [[len(stamped(*rows[:count])) for count in counts] for counts in ((0, 1), (1, 2))]
    for cut in range(len(content) + 1):
        put(tmp_path, S02, content[:cut])
        found = collect(tmp_path, [S02])
        for name, begin, end in zip(SIX, begins, ends, strict=False):
            state = found.mark(S02, question(name)).state
            # A right answer may stand without the version and the time after it.
            assert state == "right" or (state == "missing" and cut < end - 2), (cut, name)
            assert state == "right" or cut <= begin or found.problems, (cut, name)


def workbook():
    content = io.BytesIO()
    zipped(content, [("[Content_Types].xml", "<Types/>"), ("xl/worksheets/sheet1.xml", "<worksheet/>")])
    return content.getvalue()


@pytest.mark.parametrize(
    ("name", "content"),
    [
        *((name, workbook()) for name in ("answers.xlsx", "S01.xlsx", "answers.csv", "answers.ods")),
        (
            "answers.xls",
            bytes.fromhex("d0cf11e0a1b11ae1") + bytes(4000),
        ),  # published: [MS-CFB] 2.2, from memory
    ],
)
def test_a_workbook_is_named_as_what_it_is_and_what_to_do_is_said(tmp_path, name, content):
    put(tmp_path, S01, content, name)
    assert one_problem(collect(tmp_path)) == (
        f"S01/{name}: this file is a workbook of a spreadsheet program, which is not read here; open it "
        "there, save it as “CSV UTF-8” and put that file in its place"
    )


# ================================================================================ broken and hostile files

GOOD = file_of(row(S01, "2.1"))


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "answers.csv: this file is empty"),
        (b"\xef\xbb\xbf", "answers.csv: this file is empty"),
        (bytes(range(256)) * 20, "this file has no row that names the columns key and text"),
        (b"PK\x03\x04" + bytes(200), "this file is a workbook of a spreadsheet program"),
        (b"id,name\nS01,Ann\n\n", "no row that names the columns key and text, so none of its 2 lines"),
        ("key,Zoë".encode("cp1252"), "no row that names the columns key and text, so none of its 1 lines"),
        (HEADER.encode(), "this file holds no answer yet"),
        (GOOD + b'2.2,"cut in the mid', "line 3: this row was cut off: 2 columns of 6"),
        (GOOD + b"x" * 200_000, "line 3: this row is too long"),
        (GOOD + b"2.2,1 g\r\n", "line 3: this row was cut off: 2 columns of 6"),
        (GOOD + b" ,1 g,{},0,v,t\r\n", "line 3: this row names no exercise"),
        (GOOD + b"2.2,1 g,{},-1,v,t\r\n", "line 3: new_numbers is '-1', which is no count"),
        (GOOD + b"9.9,1 g,{},0,v,t\r\n", "line 3: not counted: kilncalc"),
        (GOOD + b"../../x,1 g,{},0,v,t\r\n", "line 3: not counted: kilncalc"),
        (GOOD + b"2.2,1 g,{},0,v,t\r\n", "line 3: not counted: units is ''"),
        (GOOD + b"2.2,1 g,[1],0,v,t\r\n", "line 3: not counted: the numbers of exercise 2.2 are not a list"),
        (
            GOOD + b"2.2,1 g," + b"[" * 1900 + b",0,v,t\r\n",
            "line 3: not counted: the numbers of exercise 2.2",
        ),
        (
            GOOD + b"2.2,1 g," + b"9" * 5000 + b",0,v,t\r\n",
            "line 3: not counted: the numbers of exercise 2.2",
        ),
    ],
)
def test_a_broken_file_is_named_with_its_line_and_what_can_be_read_counts(tmp_path, content, words):
    put(tmp_path, S01, content)
    put(tmp_path, S02, file_of(row(S02, "2.1")))
    found = collect(tmp_path)
    assert words in one_problem(found) and one_problem(found).startswith("S01/answers.csv")
    assert found.marks["S02", "2.1"].state == "right"
    assert (("S01", "2.1") in found.marks) == content.startswith(GOOD)


def test_numbers_that_were_tampered_with_are_not_marked_as_right(tmp_path):
    easy = question("2.1").numbers_from_json(own(S01, "2.1").to_json())
    texts = {**easy.texts, "rim": "1e300 mm"}
    stored = json.dumps({"units": "inches", **texts})
    rows = [
        ["2.1", "1 g", stored, 0, __version__, "t"],
        ["2.1", "1 g", stored.replace("e300", ""), 0, "v", "t"],
    ]
    put(tmp_path, S01, file_of(*rows))
    found = collect(tmp_path)
    assert found.marks == {}
    assert all("S01/answers.csv, line" in one and "not counted" in one for one in told(found))
    assert len(told(found)) == 2


def test_a_huge_file_is_refused_without_being_read(tmp_path):
    path = put(tmp_path, S01, GOOD)
    with path.open("r+b") as file:
        file.truncate(200_000_000)  # 200 MB, of which the disk holds next to nothing
    tracemalloc.start()
    found = collect(tmp_path)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert one_problem(found) == "S01/answers.csv: this file is larger than 5 MB, so it was not read"
    assert peak < 30e6  # own prototype: bytes; six times the largest file that is read


def test_thousands_of_problems_in_a_file_are_counted_and_the_first_are_told(tmp_path):
    put(tmp_path, S01, GOOD + b"2.1,1 g\r\n" * 3000)
    found = collect(tmp_path)
    assert len(told(found)) == 21 and told(found)[-1].endswith("and 2980 more problems in this file")


def test_a_file_with_more_answers_than_a_class_gives_in_a_year_stops(tmp_path, monkeypatch):
    monkeypatch.setattr(results, "_MOST_ROWS", 10)
    put(tmp_path, S01, file_of(*[row(S01, "2.1")] * 12))
    found = collect(tmp_path)
    assert found.marks["S01", "2.1"].tries == 10 and "more than 10 answers" in one_problem(found)


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
def test_no_link_is_followed(tmp_path):
    outside, folder = tmp_path / "outside", tmp_path / "in"
    put(outside, S02, file_of(row(S02, "2.1")))
    put(folder, S01, GOOD)
    (folder / "S02").symlink_to(outside / "S02", target_is_directory=True)
    (folder / "S03.csv").symlink_to(outside / "S02" / "answers.csv")
    (folder / "S01" / "around").symlink_to(folder, target_is_directory=True)
    found = collect(folder)
    assert set(found.marks) == {("S01", "2.1")}
    assert sorted(told(found)) == [
        f"{name}: this is a link, and links are not followed" for name in ("S01/around", "S02", "S03.csv")
    ]


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
def test_a_session_file_that_is_a_link_tells_nothing(tmp_path):
    put(tmp_path / "outside", "S01", GOOD, session="S01")
    put(tmp_path / "in", "upload", GOOD)
    (tmp_path / "in/upload/session.json").symlink_to(tmp_path / "outside/S01/session.json")
    found = collect(tmp_path / "in")
    assert found.marks == {}
    assert "no name around" in told(found)[0] and "session.json: this is a link" in told(found)[1]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes there")
def test_a_pipe_is_not_opened(tmp_path):
    (tmp_path / "S01").mkdir()
    os.mkfifo(tmp_path / "S01" / "answers.csv")
    assert one_problem(collect(tmp_path)) == "S01/answers.csv: this is not a file, so it was not read"


def test_a_folder_named_like_a_file_and_very_deep_folders(tmp_path):
    (tmp_path / "S01" / "answers.csv").mkdir(parents=True)
    deep = tmp_path.joinpath(*["d"] * 25)
    deep.mkdir(parents=True)
    (deep / "S02.csv").write_bytes(GOOD)
    found = collect(tmp_path)
    assert found.marks == {} and "lies too deep" in one_problem(found)


def test_a_missing_folder_is_an_error_of_the_person_at_the_keyboard(tmp_path):
    with pytest.raises(FileNotFoundError):
        collect(tmp_path / "nothing")


@settings(deadline=None, max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    content=st.binary(max_size=400)
    | st.binary(max_size=400).map(lambda tail: GOOD + tail)
    | st.lists(st.lists(st.text(max_size=30), min_size=6, max_size=6), max_size=4).map(lambda r: file_of(*r))
    | st.tuples(st.text(max_size=60), st.text(max_size=60)).map(
        lambda pair: file_of(["2.1", pair[0], pair[1], "0", "v", "t"], row(S01, "2.1", text=pair[0]))
    )
)
def test_any_bytes_give_marks_or_sentences(tmp_path_factory, content):
    folder = tmp_path_factory.mktemp("any")
    put(folder, S01, content)
    found = collect(folder, CLASS[:2])
    assert found.marks or found.problems
    page = results_page.page(found)
    page.encode("utf-8")
    assert found.to_csv()


# ================================================================================================= zips


def test_answers_in_zips_count_like_those_in_folders(tmp_path):
    zipped(tmp_path / "S01.zip", [("answers.csv", GOOD), ("2-volume-to-weight.ipynb", b"{}")])
    zipped(tmp_path / "all.zip", [("S02/answers.csv", file_of(row(S02, "2.1"))), ("S02/session.json", b"{")])
    session = json.dumps({"student": "S03", "units": "inches"})
    zipped(
        tmp_path / "x.zip",
        [("up/answers.csv", file_of(row(S03, "2.1"))), ("up/session.json", session.encode())],
    )
    before = sorted(path.name for path in tmp_path.rglob("*"))
    found = collect(tmp_path)
    assert set(found.marks) == {(name, "2.1") for name in ("S01", "S02", "S03")}
    assert told(found) == [] and found.files == 3 and found.others == 1
    assert sorted(path.name for path in tmp_path.rglob("*")) == before  # nothing was unpacked


@pytest.mark.parametrize(
    "name",
    [
        "../S01/answers.csv",
        "S01/../../answers.csv",
        "/tmp/S01/answers.csv",
        "..\\S01\\answers.csv",
        "C:\\S01\\answers.csv",
        "C:/S01/answers.csv",
    ],
)
def test_a_member_whose_name_points_out_is_named_and_not_read(tmp_path, name):
    zipped(tmp_path / "in" / "S01.zip", [(name, GOOD)])
    found = collect(tmp_path / "in")
    assert found.marks == {} and "points out of the zip" in one_problem(found)
    assert [path.name for path in tmp_path.rglob("*")] == ["in", "S01.zip"]


def test_a_link_in_a_zip_is_not_followed(tmp_path):
    link = zipfile.ZipInfo("S01/answers.csv")
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    session = zipfile.ZipInfo("up/session.json")
    session.external_attr = link.external_attr
    zipped(
        tmp_path / "a.zip",
        [
            (link, b"/etc/passwd"),
            ("up/answers.csv", GOOD),
            (session, b'{"student": "S01", "units": "inches"}'),
        ],
    )
    found = collect(tmp_path)
    assert found.marks == {}
    assert told(found)[0] == "a.zip/S01/answers.csv: this is a link, and links are not followed"
    assert "no name around" in told(found)[1]


def peak_of(function):
    tracemalloc.start()
    value = function()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return value, peak


def test_a_huge_member_is_not_unpacked_even_if_it_lies_about_its_size(tmp_path):
    path = zipped(tmp_path / "S01.zip", [("answers.csv", bytes(300_000_000))])
    assert path.stat().st_size < 1e6  # a bomb: 300 MB in less than 1 MB
    found, peak = peak_of(lambda: collect(tmp_path))
    assert "S01.zip/answers.csv: this file is larger than 5 MB" in one_problem(found)
    assert peak < 30e6  # own prototype: bytes
    content = bytearray(path.read_bytes())
    at = content.rfind(b"PK\1\2")
    struct.pack_into("<L", content, at + 24, 100)
    path.write_bytes(content)
    found, peak = peak_of(lambda: collect(tmp_path))
    assert found.marks == {} and one_problem(found) and peak < 30e6


def test_a_zip_with_very_many_members_is_not_opened(tmp_path):
    zipped(tmp_path / "S01.zip", [(f"{n}", b"") for n in range(20_000)])  # a list of 1.02 MB
    content = bytearray(zipped(tmp_path / "S02.zip", [("answers.csv", GOOD)]).read_bytes())
    at = content.rfind(b"PK\5\6")
    content[at:at] = b"PK\6\7" + bytes(16)  # published: APPNOTE 6.3, 4.3.15, from memory: a longer list
    (tmp_path / "S02.zip").write_bytes(content)
    found, peak = peak_of(lambda: collect(tmp_path))
    assert [one.split(": ")[1] for one in told(found)] == [
        "this zip has too many members and was not opened"
    ] * 2
    assert peak < 5e6  # own prototype: bytes


def test_limits_hold_over_all_files_and_the_smallest_are_read_first(tmp_path, monkeypatch):
    monkeypatch.setattr(handed_in, "_MOST_IN_ALL", len(GOOD) * 3)
    for number in range(3):
        put(tmp_path / f"large {number}", S02, file_of(*[row(S02, "2.1", WRONG)] * 5))
    put(tmp_path, S01, GOOD)
    found = collect(tmp_path)
    assert found.marks["S01", "2.1"].state == "right" and ("S02", "2.1") not in found.marks
    assert len(told(found)) == 3 and all(
        "this file was not read: there are more than" in one for one in told(found)
    )
    monkeypatch.setattr(results, "_MOST_ROWS_IN_ALL", 0)
    assert "all files together have more than 0 answers" in told(collect(tmp_path))[0]


def test_a_zip_of_thousands_of_files_is_opened_once(tmp_path, monkeypatch):
    opened = []
    real = zipfile.ZipFile
    monkeypatch.setattr(handed_in.zipfile, "ZipFile", lambda path: opened.append(path) or real(path))
    zipped_with = real(tmp_path / "S01.zip", "w")
    with zipped_with as archive:
        for number in range(2000):
            archive.writestr(f"{number}/answers.csv", GOOD)
    started = time.process_time()
    found, peak = peak_of(lambda: collect(tmp_path))
    assert time.process_time() - started < 20  # own prototype: seconds; a tenth of it, untraced and alone
    assert len(opened) == 1 and peak < 60e6  # own prototype: bytes
    assert found.marks["S01", "2.1"].state == "right" and found.marks["S01", "2.1"].tries == 1


def test_a_zip_with_too_much_in_it_is_read_so_far_and_the_rest_named(tmp_path):
    zipped(tmp_path / "S01.zip", [(f"{n}/answers.csv", GOOD + bytes(4_900_000)) for n in range(8)])
    found, peak = peak_of(lambda: collect(tmp_path))
    assert found.marks["S01", "2.1"].state == "right" and peak < 60e6  # own prototype: bytes
    assert (
        sum("there are more than 25 MB in this zip" in one for one in told(found)) == 2
    )  # exact: 6 x 4.9 > 25


@pytest.mark.parametrize("method", [zipfile.ZIP_LZMA, zipfile.ZIP_BZIP2])
def test_unusual_ways_to_pack_are_refused(tmp_path, method):
    zipped(tmp_path / "S01.zip", [("answers.csv", GOOD)], compression=method)
    assert "packed in an unusual way" in one_problem(collect(tmp_path))


def test_a_zip_in_a_zip_and_a_password(tmp_path):
    inner = io.BytesIO()
    with zipfile.ZipFile(inner, "w") as archive:
        archive.writestr("answers.csv", GOOD)
    zipped(tmp_path / "all.zip", [("S01.zip", inner.getvalue())])
    path = zipped(tmp_path / "S02.zip", [("answers.csv", GOOD)])
    content = bytearray(path.read_bytes())
    content[content.rfind(b"PK\1\2") + 8] |= 1  # published: APPNOTE 6.3, 4.4.4, from memory: encrypted
    path.write_bytes(content)
    found = collect(tmp_path)
    assert "S02.zip/answers.csv: it is locked with a password" in told(found)[0]
    assert "all.zip/S01.zip: this is a zip inside a zip" in told(found)[1]


@pytest.mark.parametrize("damage", ["cut", "noise", "checksum", "version", "patched", "nothing", "text"])
def test_a_damaged_zip_is_named(tmp_path, damage):
    path = zipped(tmp_path / "S01.zip", [("answers.csv", GOOD)])
    content = bytearray(path.read_bytes())
    if damage == "cut":
        content = content[: len(content) // 2]
    elif damage == "noise":
        content[45:60] = bytes(15)
    elif damage == "checksum":
        at = content.rfind(b"PK\1\2")
        content[at + 16] ^= 1
    elif damage in (
        "version",
        "patched",
    ):  # APPNOTE 4.4.3, 4.4.4, from memory
        at = content.rfind(b"PK\1\2") + {"version": 6, "patched": 8}[damage]
        content[at] = {"version": 99, "patched": 1 << 5}[damage]
    else:
        content = bytearray(b"" if damage == "nothing" else b"no zip at all" * 30)
    path.write_bytes(content)
    found = collect(tmp_path)
    assert found.marks == {} and "S01.zip" in one_problem(found) and "damaged" in one_problem(found)


def test_a_zip_with_a_member_without_a_name_is_read(tmp_path):
    with zipfile.ZipFile(tmp_path / "S01.zip", "w") as archive:
        archive.writestr("answers.csv", GOOD)
        nameless = zipfile.ZipInfo("x")
        nameless.filename = ""
        archive.writestr(nameless, b"something")
    found = collect(tmp_path)
    assert found.problems == [] and found.marks


@settings(deadline=None, max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_a_zip_with_any_bytes_changed_gives_marks_or_sentences(tmp_path_factory, data):
    folder = tmp_path_factory.mktemp("zip")
    path = zipped(folder / "S01.zip", [("answers.csv", GOOD), ("session.json", b"{}"), ("a/b.csv", GOOD)])
    content = bytearray(path.read_bytes())
    places = st.integers(0, len(content) - 1) | st.integers(len(content) - 250, len(content) - 1)
    for place, byte in data.draw(st.lists(st.tuples(places, st.integers(0, 255)), max_size=8)):
        content[place] = byte
    path.write_bytes(content[: data.draw(st.integers(0, len(content)) | st.just(len(content)))])
    collect(folder, CLASS[:1])


# ================================================================================== what the teacher reads

NASTY = '=HYPERLINK("x")<script>alert(1)</script>\x1b[31m\u202e'


def test_the_table_holds_no_formula_and_the_page_no_code(tmp_path):
    students = (Student("S01", "=1+1 <img src=x onerror=alert(1)>"), Student("S02", "@x"))
    put(tmp_path, S01, file_of(row(students[0], "2.1", text=NASTY)))
    put(tmp_path, "<b>&S77", file_of())
    found = collect(tmp_path, students)
    rows = list(csv.reader(io.StringIO(found.to_csv().decode("utf-8-sig"), newline="")))
    assert rows[0] == list(results.COLUMNS)
    assert all(not cell.startswith(("=", "+", "-", "@")) for one in rows for cell in one)
    assert "HYPERLINK" in found.to_csv().decode()
    cells = dict(zip(rows[0], rows[1], strict=True))
    assert cells["answer"].startswith("'=HYPERLINK") and "\x1b" not in cells["answer"]
    assert cells["name"] == "'=1+1 <img src=x onerror=alert(1)>"
    page = results_page.page(found)
    assert "<script" not in page and "<img" not in page and "<b>&S77" not in page and "\x1b" not in page
    assert html.escape('=HYPERLINK("x")<script>') in page and "&lt;b&gt;&amp;S77" in page


@settings(deadline=None, max_examples=200)
@given(
    cells=st.lists(
        st.lists(st.sampled_from(list("=+-@ a1,;\t|'\"\r\n")) | st.characters(), max_size=12).map("".join),
        min_size=1,
        max_size=3,
    ),
    delimiter=st.sampled_from([",", ";"]),
)
def test_no_cell_is_live_however_a_program_splits_the_table(cells, delimiter):
    table = tables.to_csv(["id", "name", "x"], [cells], delimiter).decode("utf-8-sig")
    for splits_at in ",;\t":
        for row in csv.reader(io.StringIO(table, newline=""), delimiter=splits_at):
            for cell in row:
                assert not cell.lstrip(' "').startswith(("=", "+", "-", "@")), row


@pytest.mark.parametrize("sign", "=+-@＝＋－＠")
def test_a_sign_that_a_program_takes_for_that_of_a_formula_is_led_by_a_quote(sign):
    """The wide signs, too: with an East Asian keyboard they begin a formula as the narrow ones do."""
    table = tables.to_csv(["id", "name"], [["S01", f"{sign}1+1"], ["S02", f"a;{sign}1"]]).decode("utf-8-sig")
    assert table.splitlines()[1:] == [f"S01,'{sign}1+1", f"S02,a;'{sign}1"]


def test_the_tables_of_a_class_with_hostile_names_and_answers_are_not_live(tmp_path):
    students = tuple(Student(s.id, f'a{mark}{quote}=cmd|"/c calc"', s.units) for s, mark, quote in HOSTILE)
    for student, mark, quote in HOSTILE:
        put(tmp_path, student, file_of(row(student, "2.1", text=f"x{mark}{quote}=1+1"), row(student, "2.2")))
    found = collect(tmp_path, students)
    for table in (found.to_csv(), found.grades(), key.to_csv(students, questions("2")), found.to_csv(";")):
        text = table.decode("utf-8-sig")
        assert "cmd|" in text
        for splits_at in ",;\t":
            for cells in csv.reader(io.StringIO(text, newline=""), delimiter=splits_at):
                assert all(not cell.strip(' "').startswith(("=", "+", "-", "@")) for cell in cells)


HOSTILE = [
    (student, mark, quote)
    for student, (mark, quote) in zip(
        CLASS, [(mark, quote) for mark in ",;\t" for quote in ("", '"', " ", "'")], strict=False
    )
]


def test_the_page_says_first_who_handed_in_when_and_how_many_are_right(tmp_path):
    when = "2026-11-27T19:05:00+00:00"
    count = len(questions("2"))
    shown_so = f"{datetime.fromisoformat(when).astimezone():%Y-%m-%d %H:%M}"
    put(tmp_path, S01, file_of(row(S01, "2.1", time=when), row(S01, "2.2", WRONG), row(S01, "2.3")))
    put(tmp_path, S03, file_of(row(S03, "2.1", WRONG, time="no time")))
    found = collect(tmp_path, CLASS[:4])
    page = results_page.page(found)
    top = page[page.index("<h2>Who handed in</h2>") : page.index("<h2>Which question stumbled</h2>")]
    top = re.sub(r"</?span[^>]*>", "", top)
    assert "Nothing from 2 of 4: S02 · Name 2; S04 · Name 4." in top
    assert re.findall(
        r"<tr><th>([^<]*)</th><td>(.*?)</td><td>(.*?)</td><td>(.*?)</td><td>(.*?)</td>", top
    ) == [
        # exact: counted in the rows above
        ("S01 · Name 1", "1", shown_so, f"3 of {count}", f"2 of {count}"),
        ("S03 · Name 3", "1", "", f"1 of {count}", f"0 of {count}"),
    ]
    assert f'<span class="when">{shown_so}</span>' in page
    assert "every file that was found could be read" in page
    (tmp_path / "empty").mkdir()
    assert "No file of answers was found" in results_page.page(collect(tmp_path / "empty"))


@pytest.mark.parametrize("delimiter", [",", ";"])
def test_the_grades_are_a_row_a_student_with_score_and_share(tmp_path, delimiter):
    put(tmp_path, S01, file_of(row(S01, "2.1"), row(S01, "2.2"), row(S01, "2.3", text="hm")))
    put(tmp_path, S02, file_of(row(others_numbers(), "2.1")))
    text = collect(tmp_path, CLASS[:3]).grades(delimiter).decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text, newline=""), delimiter=delimiter))
    count = len(questions("2"))
    assert [r["id"] for r in rows] == ["S01", "S02", "S03"]
    first = {name: rows[0][name] for name in ("files", "right", "answered", "of", "percent_right")}
    assert first == {
        "files": "1",
        "right": "2",
        "answered": "3",
        "of": str(count),
        "percent_right": f"{200 / count:.0f}",
    }  # exact: two right
    assert rows[0]["exercise 2.1"] == "right" and rows[0]["exercise 2.3"] == "unread"
    assert rows[1]["right"] == "0" and rows[1]["exercise 2.1"].endswith("not own numbers")
    assert rows[2]["files"] == "0" and rows[2]["exercise 2.1"] == "missing"
    assert not any(re.fullmatch(r"[\d.,/ -]+", name) for name in rows[0])  # nothing to take for a date


def test_the_table_says_what_the_page_says(tmp_path):
    put(tmp_path, S01, file_of(row(S01, "2.1", "diameter for radius"), row(S01, "2.1", new_numbers=1)))
    put(tmp_path, S02, file_of(row(S02, "2.1")))
    found = collect(tmp_path)
    rows = list(csv.DictReader(io.StringIO(found.to_csv().decode("utf-8-sig"), newline="")))
    assert len(rows) == 30 * len(questions("2"))  # exact: a row a student and question of the lesson
    first = {name: rows[0][name] for name in ("id", "question", "state", "slip", "tries", "numbers")}
    assert first == {
        **{"id": "S01", "question": "exercise 2.1", "state": "slip", "slip": "diameter for radius"},
        **{"tries": "1", "numbers": "own"},
    }
    assert not any(re.fullmatch(r"[\d.,/ -]+", r["question"]) for r in rows)  # nothing to take for a date
    assert rows[0]["practice_tries"] == rows[0]["practice_right"] == "1"
    page = results_page.page(found)
    assert "<td>≈ 1 (1 of 1) diameter for radius</td>" in page and "<td>✓ 1</td>" in page
    assert re.findall(r"<title>2\.1 [^<]*: ([^<]*)</title>", page) == [
        # exact: two of thirty have answered
        *("right, 1", "a slip with a name, 1", "no answer, 28", "a slip with a name, 1"),
    ]


def test_bars_are_as_long_as_what_they_count(tmp_path):
    for student in CLASS[:12]:
        put(tmp_path, student, file_of(row(student, "2.1", RIGHT if student is not S01 else WRONG)))
    page = results_page.page(collect(tmp_path))
    widths = [float(w) for w in re.findall(r'<rect x="[\d.]+" y="3" width="([\d.]+)"', page)]
    assert widths == pytest.approx([220, 20, 360], rel=0, abs=0.1)  # exact: 600 x 11, 1 and 18 thirtieths


def test_bars_are_shares_of_the_class_that_is_there(tmp_path):
    put(tmp_path, S01, file_of(row(S01, "2.1")))
    page = results_page.page(collect(tmp_path, CLASS[:8]))
    widths = [float(w) for w in re.findall(r'<rect x="[\d.]+" y="3" width="([\d.]+)"', page)]
    assert widths == pytest.approx([75, 525], rel=0, abs=0.1)  # exact: 600 x 1 and 7 eighths


def test_the_page_loads_nothing_and_its_states_are_told_apart_without_colour(tmp_path):
    put(tmp_path, S01, GOOD)
    page = results_page.page(collect(tmp_path))
    assert not re.search(r"<(script|img|link|iframe)|\bon\w+=|https?://|@import", page)
    assert set(re.findall(r"url\(#(\w+)\)", page)) <= set(re.findall(r'id="(\w+)"', page))
    assert len({fill for fill, _ in results_page._LOOKS.values()}) == len(results.STATES)
    assert len(set(results_page.SIGNS.values())) == len(results.STATES)


def test_of_very_many_problems_the_page_lists_the_first_and_counts_the_rest(tmp_path, monkeypatch):
    put(tmp_path, S01, GOOD + b"2.2,1 g\r\n" * 4)
    problems = results_page.page(collect(tmp_path)).partition("What to look at")[2]
    assert problems.count("<li>") == 4 and "more" not in problems
    monkeypatch.setattr(results_page, "_MOST_PROBLEMS_SHOWN", 2)
    problems = results_page.page(collect(tmp_path)).partition("What to look at")[2]
    assert re.findall("line [0-9]|and 2 more", problems) == ["line 3", "line 4", "and 2 more"]


def test_an_empty_folder_gives_a_page_too(tmp_path):
    page = results_page.page(collect(tmp_path))
    assert "Nobody has answered anything yet" in page


def test_the_command_reads_marks_and_writes(tmp_path, capsys):
    roster = tmp_path / "class.csv"
    roster.write_text("id,units\nS01,us\nS02,\n", encoding="utf-8")
    put(tmp_path / "in", S01, GOOD)
    (tmp_path / "in" / "S02.zip").write_bytes(b"broken")
    arguments = ["results", str(roster), str(tmp_path / "in"), "--to", str(tmp_path / "out")]
    assert cli.main(arguments) == 0
    told = capsys.readouterr().out
    assert "1 student of 2 handed in answers" in told and "Nothing from: S02" in told
    assert "2.1 glass for the bookend: 1 right" in told and "1 no answer" in told
    assert "! S02.zip: this zip is damaged" in told and "1 file of answers read" in told
    assert {path.name for path in (tmp_path / "out").iterdir()} == {
        "results.html",
        "results.csv",
        "grades.csv",
    }
    before = (tmp_path / "out" / "results.csv").read_bytes()
    (tmp_path / "in" / "S01" / "answers.csv").unlink()
    assert cli.main(arguments) == 2
    assert "nothing was written" in capsys.readouterr().err
    assert (tmp_path / "out" / "results.csv").read_bytes() == before
    assert cli.main([*arguments, "--replace"]) == 0
    assert (tmp_path / "out" / "results.csv").read_bytes() != before


def test_results_written_where_the_answers_lie_are_not_taken_for_answers(tmp_path, capsys):
    roster = tmp_path / "class answers.csv"
    roster.write_text("id,units\nS01,us\ngrades,\n", encoding="utf-8")  # an id that is the name of a table
    put(tmp_path, S01, GOOD)
    arguments = ["results", str(roster), str(tmp_path), "--to", str(tmp_path), "--replace"]
    for _ in range(2):
        assert cli.main(arguments) == 0
        assert "!" not in capsys.readouterr().out
