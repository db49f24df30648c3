"""Every lesson: in its one stored form, executed, within bounds, its pictures in step with the package."""

import json
import re
from pathlib import Path

import nbformat
import pytest
from normalise import gist, normal_form, picture_name, picture_sources, pictures

from kilncalc import exercises
from kilncalc.classroom.notebooks import edited

LESSONS = sorted((Path(__file__).parents[2] / "lessons").glob("*.ipynb"))
NUMBERED = [path for path in LESSONS if not path.name.startswith("0-")]


def named(path: Path) -> str:
    return path.name


def cells(path: Path, kind: str | None = None) -> list[dict]:
    notebook = json.loads(path.read_text(encoding="utf-8"))
    return [cell for cell in notebook["cells"] if kind in (None, cell["cell_type"])]


def source(cell: dict) -> str:
    return "".join(cell["source"])


def tags(cell: dict) -> list[str]:
    return cell["metadata"].get("tags", [])


def exercise_keys(path: Path, core_only: bool = False) -> list[str]:
    found = []
    for cell in cells(path, "code"):
        if not (core_only and "further" in tags(cell)):
            found += re.findall(r'^exercise\("([^"]+)"\)', source(cell), re.MULTILINE)
    return found


def test_there_are_lessons() -> None:
    assert {path.name[0] for path in LESSONS} >= {"0", "2"}


@pytest.mark.parametrize("path", LESSONS, ids=named)
def test_is_in_normal_form(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    notebook = json.loads(text)
    nbformat.validate(nbformat.reads(text, as_version=4))
    assert not edited(notebook), "cell sources differ from the digest: run tests/lessons/normalise.py on it"
    assert text == normal_form(notebook), "not in its stored form: run tests/lessons/normalise.py on it"
    assert "widgets" not in notebook["metadata"]


@pytest.mark.parametrize("path", LESSONS, ids=named)
def test_was_executed_in_order_without_an_error(path: Path) -> None:
    code = cells(path, "code")
    assert [cell["execution_count"] for cell in code] == list(range(1, len(code) + 1))
    assert not [
        o
        for cell in code
        for o in cell["outputs"]
        if o["output_type"] == "error" or o.get("name") == "stderr"
    ]


@pytest.mark.parametrize("path", LESSONS, ids=named)
def test_keeps_code_small_and_words_before_it(path: Path) -> None:
    code = cells(path, "code")
    assert len(code) <= 20
    for cell in code:
        assert len(source(cell).splitlines()) <= 5, source(cell)
        for output in cell["outputs"]:
            assert not set(output.get("data", {})) - {"text/plain", "text/html", "text/markdown"}
    before = None
    for cell in cells(path):
        if cell["cell_type"] == "code" and "exercise" not in tags(cell):
            assert before is not None and before["cell_type"] == "markdown", (
                f"no words before: {source(cell)}"
            )
        before = cell


@pytest.mark.parametrize("path", LESSONS, ids=named)
def test_pictures_and_panels_belong_together(path: Path) -> None:
    every = cells(path)
    for place, cell in enumerate(every):
        if "panel" in tags(cell):
            assert "nbval-ignore-output" in tags(cell)
            assert cell["metadata"]["jupyter"] == {"source_hidden": True}
            assert cell["outputs"] == []
            shown = re.fullmatch(r"show\(([\w.]+), .*units\)", source(cell))
            assert shown and picture_name(every[place - 1]) == shown[1], source(cell)
        if name := picture_name(cell):
            shown = {"metric": source(cell), "inches": cell["metadata"]["kilncalc"]["inches"]}
            figures = pictures(name)
            assert shown == picture_sources(figures), f"{name} says otherwise now: normalise the lesson"
            for units, figure in figures.items():
                was, now = cell["metadata"]["kilncalc"]["drawn"][units], gist(figure)
                assert now["words"] == was["words"], f"{name} is drawn otherwise now: normalise the lesson"
                numbers, stood = ([float(one) for one in each["numbers"].split()] for each in (now, was))
                assert numbers == pytest.approx(stood, rel=2e-3, abs=1e-9), f"{name}: normalise the lesson"
            assert set(cell["attachments"]) == {"picture.png", "picture.svg", "inches.png", "inches.svg"}


@pytest.mark.parametrize("path", LESSONS, ids=named)
def test_speaks_to_the_teacher_and_says_the_cautions(path: Path) -> None:
    words = [source(cell) for cell in cells(path, "markdown")]
    assert any("teacher" in tags(cell) for cell in cells(path, "markdown"))
    assert any(re.match(r"## Cautions$", line) for text in words for line in text.splitlines())


@pytest.mark.parametrize("path", NUMBERED, ids=named)
def test_has_the_parts_of_a_lesson_in_order(path: Path) -> None:
    headings = [
        line[3:].lower()
        for cell in cells(path, "markdown")
        for line in source(cell).splitlines()
        if line.startswith("## ")
    ]
    wanted = ["at the bench", "rule of thumb", "worked example", "explore", "worked exercise", "exercises"]
    wanted += ["cautions", "sources", "own piece"]
    places = []
    for part in wanted:
        found = [place for place, heading in enumerate(headings) if part in heading]
        if part == "exercises":
            found = [place for place, heading in enumerate(headings) if heading == "exercises"]
        assert found, f"no heading with {part!r} among {headings}"
        places.append(found[0])
    assert places == sorted(places), list(zip(wanted, places, strict=True))


@pytest.mark.parametrize("path", NUMBERED, ids=named)
def test_fits_an_evening(path: Path) -> None:
    keys = exercise_keys(path)
    label = path.name.partition("-")[0]
    asked = {question.key: question for question in exercises.questions(label)}
    assert len(set(keys)) == len(keys) >= 4
    assert set(keys) == set(asked), "exercises in the package and on the page differ"
    assert sum(asked[key].minutes for key in keys) <= 90
    core = [cell for cell in cells(path, "code") if "further" not in tags(cell)]
    assert sum("panel" in tags(cell) for cell in core) <= 3
    assert len(exercise_keys(path, core_only=True)) <= 3
    assert sum(asked[key].minutes for key in exercise_keys(path, core_only=True)) <= 60


def test_the_check_of_form_refuses_other_forms() -> None:
    notebook = json.loads(LESSONS[0].read_text(encoding="utf-8"))
    stored = normal_form(notebook)
    notebook["metadata"]["widgets"] = {"state": {}}
    notebook["cells"][0]["metadata"]["trusted"] = True
    assert normal_form(notebook) == stored
    assert json.dumps(notebook) != stored
    assert not edited(notebook)
    notebook["cells"][0]["source"] = ["changed"]
    assert edited(notebook)


@pytest.mark.parametrize("path", LESSONS, ids=named)
def test_a_worked_exercise_has_numbers_of_its_own(path: Path) -> None:
    for cell in cells(path, "code"):
        for call in re.findall(r"\b(?:working|mark|question_text)\([^)]*\)", source(cell)):
            assert 'student="example"' in call, f"{call} would give away a reader's own answer"
