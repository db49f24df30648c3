"""What stands in for a server and for a folder in the browser edition, as far as it is Python."""

import json

import pytest

from kilncalc import cli
from kilncalc.exercises import _answers, question, session, student
from kilncalc.page import carried, lessons
from kilncalc.quantities import as_text


@pytest.fixture(autouse=True)
def here(tmp_path, monkeypatch):
    """A lesson folder, in which the kernel works."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def answer(key, who, right=True):
    """Keep an answer of a student, as the box does."""
    asked = question(key)
    numbers = asked.numbers_for(who, "metric")
    text = as_text(asked.value(numbers) * (1 if right else 7), asked.dimension, "metric")
    student(who)
    verdict, problem = _answers.mark_and_keep(asked, numbers, text, session())
    assert (verdict.right, problem) == (right, "")


def test_what_is_handed_in_is_one_file_that_results_reads(here, capsys):
    answer("2.1", "S04")
    answer("2.2", "S04", right=False)
    (here / "answers-more.csv").write_bytes((here / "answers.csv").read_bytes())
    answer("2.2", "S04")
    name, content = _answers.to_save(session())
    assert name == "answers_S04.csv"
    (here / "in").mkdir()
    (here / "in" / name).write_bytes(content)
    assert len(list(_answers.read_answers(content))) == 5  # hand: three answers, two of them in both files
    (here / "class.csv").write_text("id\nS04\n", encoding="utf-8")
    assert cli.main(["results", "class.csv", "in", "--to", "results"]) == 0
    grades = (here / "results/results.csv").read_text(encoding="utf-8-sig")
    states = {
        line.split(",")[2]: line.split(",")[4] for line in grades.splitlines() if line.startswith("S04")
    }
    assert (states["exercise 2.1"], states["exercise 2.3"]) == ("right", "missing")


def test_what_waits_in_memory_is_handed_in_too(here):
    (here / "answers.csv").mkdir()
    (here / "answers-more.csv").mkdir()
    student("S04")
    asked = question("2.1")
    numbers = asked.numbers_for("S04", "metric")
    _, problem = _answers.mark_and_keep(asked, numbers, "1 kg", session())
    assert "waits in memory" in problem
    _, content = _answers.to_save(session())
    assert [row.text for _, row in _answers.read_answers(content)] == ["1 kg"]


def test_nothing_to_hand_in_is_said():
    with pytest.raises(ValueError, match="set your id first"):
        _answers.to_save(session())
    student("S04")
    with pytest.raises(ValueError, match="no answer in this folder yet"):
        _answers.to_save(session())


def test_the_page_carries_the_files_of_a_kernel_that_reaches_nothing(here, tmp_path, monkeypatch):
    answer("2.1", "S04")
    before = json.loads(carried.lying())
    assert set(before) == {"answers.csv", "session.json"}
    assert before["answers.csv"].endswith("\r\n")
    other = tmp_path / "another kernel"
    other.mkdir()
    monkeypatch.chdir(other)
    carried.lay(json.dumps(before))
    assert (other / "answers.csv").read_bytes() == (here / "answers.csv").read_bytes()
    assert session().student == "S04"
    assert json.loads(lessons.answered_here()) == {"answered": ["2.1"], "right": ["2.1"]}


def test_nothing_is_carried_where_the_kernel_reaches_what_is_kept(here, monkeypatch):
    monkeypatch.setattr(carried, "_REACHED", here)
    answer("2.1", "S04")
    assert carried.lying() == "null"
