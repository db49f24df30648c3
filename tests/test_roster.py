"""The class list: read as spreadsheet programs write it, refused with every problem and its line."""

import csv
import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kilncalc.classroom.roster import Student, read_roster
from kilncalc.classroom.tables import TableError, shown, to_csv


def roster(folder, content):
    path = folder / "class.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def problems(folder, content):
    with pytest.raises(TableError) as caught:
        read_roster(roster(folder, content))
    return [(problem.line, problem.sentence) for problem in caught.value.problems]


PLAIN = "id,name,units\nS01,Ann,us\nŁódź 3,,\n"
READ = (Student("S01", "Ann", "inches"), Student("Łódź 3", "", "metric"))


@pytest.mark.parametrize(
    "content",
    [
        PLAIN.encode(),
        PLAIN.encode("utf-8-sig"),
        PLAIN.encode("utf-16"),
        PLAIN.replace("\n", "\r\n").encode(),
        PLAIN.replace("\n", "\r").encode(),
        PLAIN.replace(",", ";").encode(),
        PLAIN.replace(",", "\t").encode(),
        b"\n\n" + PLAIN.encode() + b",,\n  , ,\n\n",
        PLAIN.replace("id,name,units", " ID , Name,UNITS").encode(),
        "units,id,name\nUS, S01 ,  Ann \nmetric,Łódź 3".encode(),
    ],
)
def test_a_class_list_is_read_as_spreadsheets_write_it(tmp_path, content):
    assert read_roster(roster(tmp_path, content)).students == READ  # exact: what was written


def test_names_keep_commas_quotes_and_formulas_as_text(tmp_path):
    text = 'id,name\nS1,"Moss, Ann ""A."""\nS2,=1+1\nS3,"two\nlines"\nS4\n'
    names = [student.name for student in read_roster(roster(tmp_path, text)).students]
    assert names == ['Moss, Ann "A."', "=1+1", "two lines", ""]  # exact: RFC 4180


def test_columns_nobody_asked_for_are_named(tmp_path):
    read = read_roster(roster(tmp_path, "id,unit,e-mail\nS01,us,a@b\n"))
    assert read.students == (Student("S01"),) and read.unused == ("unit", "e-mail")


@pytest.mark.parametrize(
    "row", ["../x", "a/b", "a\\b", "C:x", "..", ".x", "x.", "=1+1", "-1", "@x", "a\x1bb"]
)
def test_an_id_is_no_path_and_no_formula(tmp_path, row):
    (found,) = problems(tmp_path, f"id\nS01\n{row}\n")
    assert found[0] == 3 and found[1].startswith("an id cannot")  # exact: the third line


@pytest.mark.parametrize("row", ["CON", "nul", "Aux.txt", "lpt1"])
def test_an_id_is_no_device_of_windows(tmp_path, row):
    (found,) = problems(tmp_path, f"id\n{row}\n")
    assert found == (2, f"the id {row} cannot name a folder on Windows; choose another")


@pytest.mark.parametrize(
    ("first", "second"), [("S01", "s01"), ("Zoë", "Zoe\u0308"), ("Straße", "STRASSE"), ("S1", " S1 ")]
)
def test_ids_that_differ_only_in_writing_are_one(tmp_path, first, second):
    (found,) = problems(tmp_path, f"id\n{first}\nS99\n{second}\n")
    assert found[0] == 4 and "in line 2 already" in found[1]


def test_every_problem_is_told_with_its_line(tmp_path):
    text = 'id,name,units\n,Ann,\nS1,Moss, Ann,us\nS2,"a\nb",feet\nS3,,\nS3,,\n'
    found = problems(tmp_path, text)
    assert [line for line, _ in found] == [2, 3, 5, 7]  # exact: counted by hand
    for words, (_, sentence) in zip(
        ["id is missing (name: Ann)", "4 cells under 3", "units are 'feet'", "stands in line 6"],
        found,
        strict=True,
    ):
        assert words in sentence


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is empty"),
        (b"\xef\xbb\xbf \n", "is empty"),
        (b"id\n", "no student"),
        (b"name,units\nAnn,us\n", "no column is called"),
        (b"id,name,id\nS1,a,b\n", "two columns"),
        ("id,name\nS1,Zoë\n".encode("cp1252"), "not UTF-8 text from line 2 on"),
        (b"PK\x03\x04\x00\x00id\n", "not text but a file of some other kind"),
        (b"\xff\xfe\x00", "not UTF-8"),
        (b'id,name\nS1,"never closed\n', "cannot be read to its end"),
        (b"id\n" + b"S" * 200_000, "cannot be read to its end"),
        (b"id\n" + b"S1\n" * 800_000, "larger than 2 MB"),
    ],
)
def test_a_file_that_is_no_class_list_is_refused_in_a_sentence(tmp_path, content, words):
    found = problems(tmp_path, content)
    assert words in found[-1][1]


def test_thousands_of_rows(tmp_path):
    text = "id,name\n" + "".join(f"S{n},Name {n}\n" for n in range(5000))
    assert len(read_roster(roster(tmp_path, text)).students) == 5000  # exact: as many as written


def test_ids_of_any_script(tmp_path):
    ids = ("Łukasz", "Зоя", "美玲", "أحمد", "प्रिया", "O'Neil", "Jean-Luc", "a.b@c")
    read = read_roster(roster(tmp_path, "id\n" + "\n".join(ids)))
    assert tuple(student.id for student in read.students) == ids  # exact: as written


@settings(deadline=None, max_examples=200)
@given(content=st.binary(max_size=300) | st.text(max_size=300).map(lambda text: f"id,name\n{text}".encode()))
def test_any_bytes_give_students_or_sentences(tmp_path_factory, content):
    path = roster(tmp_path_factory.mktemp("any"), content)
    try:
        assert read_roster(path).students
    except TableError as error:
        assert error.problems and all(problem.sentence for problem in error.problems)


@given(text=st.text(max_size=20))
def test_no_cell_is_a_formula_and_nothing_is_lost(text):
    (back,) = csv.reader(io.StringIO(to_csv([text], []).decode("utf-8-sig"), newline=""))
    assert back == [text]  # exact: a header is ours and goes through as it is
    _, (cell,) = csv.reader(io.StringIO(to_csv(["x"], [[text]]).decode("utf-8-sig"), newline=""))
    assert cell.replace("'", "") == text.replace("'", "")  # apostrophes alone are added
    # published: OWASP, "CSV Injection", from memory
    assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))


def test_what_is_shown_holds_no_control_character_and_is_cut():
    assert shown("a\x1b[31mb\u202ec") == "a\ufffd[31mb\ufffdc"
    assert len(shown("x" * 1000)) == 80
