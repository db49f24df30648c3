"""What the server does for a page: which code may run by itself, what is done, what is saved and printed."""

import copy
import html
import json
import os
import re
from pathlib import Path

import nbformat
import pytest
from jupyter_client.manager import start_new_kernel
from nbconvert import HTMLExporter

from kilncalc import exercises, page
from kilncalc.classroom import handout, roster
from kilncalc.exercises import exercise
from kilncalc.page import lessons, printing
from kilncalc.page.server import forget_widgets
from kilncalc.panels import lesson2, show
from kilncalc.quantities import as_text

WIDGET = "application/vnd.jupyter.widget-view+json"


def notebook(*outputs, **metadata):
    cells = [nbformat.v4.new_code_cell("x", outputs=list(outputs)), nbformat.v4.new_markdown_cell("words")]
    return {"type": "notebook", "content": nbformat.v4.new_notebook(cells=cells, metadata=metadata)}


def output(kinds):
    return nbformat.v4.new_output("execute_result", kinds, execution_count=1)


@pytest.mark.parametrize("shown", [lambda: show(lesson2.packing), lambda: exercise("2.1")])
def test_the_words_beside_a_widget_are_kept_and_the_widget_is_not(shown):
    kinds = shown()._repr_mimebundle_()
    assert WIDGET in kinds
    model = notebook(output(kinds))
    forget_widgets(model=model, path="lesson.ipynb", contents_manager=None)
    (kept,) = model["content"].cells[0].outputs
    assert kept.data == {kind: words for kind, words in kinds.items() if kind != WIDGET}
    assert kept.data["text/plain"] and "VBox" not in kept.data["text/plain"]
    nbformat.validate(model["content"])


@pytest.mark.parametrize(
    "model",
    [
        notebook(output({WIDGET: {"model_id": "a"}})),  # nothing would be left
        notebook(output({WIDGET: {"model_id": "a"}, "text/plain": "x"}), widgets={"state": {}}),
        notebook(nbformat.v4.new_output("stream", text="x"), output({"text/plain": "x"})),
        {"type": "file", "content": "text"},
        {"type": "notebook", "content": None},
        {"type": "directory"},
    ],
)
def test_everything_else_is_saved_as_it_is(model):
    before = copy.deepcopy(model)
    forget_widgets(model=model, path="x", contents_manager=None)
    assert model == before


# Whether code is a lesson's


def code_of(notebook, tag=None):
    return [
        "".join(cell["source"])
        for cell in notebook["cells"]
        if cell["cell_type"] == "code" and tag not in cell["metadata"].get("tags", [])
    ]


SHIPPED = handout.shipped_lessons()


@pytest.mark.parametrize("lesson", SHIPPED, ids=lambda lesson: lesson.label)
def test_every_lesson_and_its_student_copy_may_run(lesson):
    assert lessons.check(code_of(lesson.notebook)) == lessons.Checked(lesson.label, "")
    copied = handout.student_copy(lesson, roster.Student("S01", "", "metric"))
    assert lessons.check(code_of(copied)) == lessons.Checked(lesson.label, "")


def test_line_ends_and_empty_cells_do_not_count():
    code = [source.replace("\n", "\r\n") for source in code_of(SHIPPED[1].notebook)]
    assert lessons.check([*code, "", " \n"]).lesson == SHIPPED[1].label


@pytest.mark.parametrize("lesson", SHIPPED, ids=lambda lesson: lesson.label)
def test_anything_else_may_not_and_it_is_said_where_it_differs(lesson):
    code = code_of(lesson.notebook)
    planted = "import os; os.system('touch planted')"
    for wrong, place in (
        ([planted, *code], 1),
        ([*code, planted], len(code) + 1),
        ([*code[:-1], f"{code[-1]}\n{planted}"], len(code)),
        ([*code[:1], f" {code[1]}", *code[2:]], 2),
        (code[:-1], len(code)),
        ([code[1], code[0], *code[2:]], 1),
    ):
        checked = lessons.check(wrong, lesson.label)
        assert checked.lesson == ""
        assert f"not that of lesson {lesson.label} " in checked.why
        assert f"it differs from code cell {place} on" in checked.why
    assert lessons.check([planted]) == lessons.Checked("", "It is not a lesson of this kilncalc.")
    assert lessons.check([]) == lessons.Checked("", "It is not a lesson of this kilncalc.")


# What is done of each lesson


def test_a_folder_is_told_by_its_files(tmp_path):
    for lesson in SHIPPED[:3]:
        (tmp_path / lesson.file).write_text("not even a notebook", encoding="utf-8")
    told = lessons.folder(tmp_path)
    assert told.units == "metric"
    assert [one.file for one in told.lessons] == [lesson.file for lesson in SHIPPED[:3]]
    assert [one.answered for one in told.lessons] == [0, 0, 0]
    lesson = told.lessons[2]
    assert (lesson.label, lesson.title) == ("2", "Lesson 2 · Volume to weight")  # exact: its first heading
    core = [
        key
        for cell in SHIPPED[2].notebook["cells"]
        if "further" not in cell["metadata"].get("tags", []) and (key := handout.exercise_key(cell))
    ]
    assert lesson.exercises == len(core) == 3  # exact: three exercises on every core path
    rows = ["key,text,numbers,new_numbers,version,time"]
    rows += [
        f"{key},1 kg,{{}},0,0.1.0,2026-01-01T00:00:00+00:00" for key in (core[0], core[1], core[0], "2.99")
    ]
    (tmp_path / "answers.csv").write_text("\r\n".join(rows), encoding="utf-8")
    assert [(one.answered, one.right) for one in lessons.folder(tmp_path).lessons] == [(0, 0), (0, 0), (2, 0)]


def test_what_is_right_is_told_of_the_student_who_works_there(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (lesson,) = [one for one in SHIPPED if one.label == "2"]
    (tmp_path / lesson.file).write_text("not even a notebook", encoding="utf-8")

    def told():
        (one,) = lessons.folder(tmp_path).lessons
        return one.answered, one.right

    def right(key, times=1.0):
        asked = exercises.question(key)
        value = times * asked.value(asked.numbers_for(exercises.session().student, "metric"))
        return as_text(value, asked.dimension, "metric")

    (core,) = [one.core for one in lessons.shipped() if one.label == "2"]
    exercises.student("S01")
    exercises.answer(core[0], right(core[0], 1.37))
    assert told() == (1, 0)
    exercises.answer(core[0], right(core[0]))
    assert told() == (1, 1)
    exercises.answer(core[0], right(core[0], 1.37))
    exercises.answer(core[1], "a handful")
    assert told() == (2, 1)  # a right answer was right, whatever was tried after it
    exercises.student("S02")
    assert told() == (0, 0)
    other = (tmp_path / "answers.csv").read_bytes().replace(b"S01", b"s02")
    (tmp_path / "answers-more.csv").write_bytes(other)
    assert told() == (2, 1)  # marked with the numbers that were answered


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_hostile_files_neither_stop_nor_run(tmp_path):
    (tmp_path / SHIPPED[0].file).write_text("x", encoding="utf-8")
    os.mkfifo(tmp_path / "answers.csv")
    (tmp_path / "session.json").write_bytes(b"{" * 200_000)
    (tmp_path / "kilncalc.py").write_text("raise SystemExit('planted')", encoding="utf-8")
    told = lessons.folder(tmp_path)
    assert (told.units, [one.answered for one in told.lessons]) == ("metric", [0])
    os.remove(tmp_path / "answers.csv")
    (tmp_path / "answers.csv").write_bytes(b"key,text\n\xff\xfe")
    assert lessons.folder(tmp_path).lessons[0].answered == 0


# On paper


def test_a_lesson_is_printed_without_code_or_scripts(tmp_path):
    for lesson in SHIPPED:
        notebook = nbformat.reads(json.dumps(lesson.notebook), as_version=4)
        exporter = HTMLExporter(
            template_name="kilncalc",
            preprocessors=["kilncalc.page.printing.Plain"],
            extra_template_basedirs=[str(page.FOLDERS["JUPYTER_PATH"] / "nbconvert" / "templates")],
        )
        text, _ = exporter.from_notebook_node(notebook, {"metadata": {"name": "x", "path": str(tmp_path)}})
        assert "<script" not in text and ' src="http' not in text and "@import" not in text
        body = re.sub(r"<style.*?</style>", "", text, flags=re.DOTALL)
        assert "Run All" not in body
        assert "import " not in body and "show(" not in body and "exercise(" not in body
        assert body.count("<img") == sum(
            "picture" in c["metadata"].get("kilncalc", {}) for c in notebook.cells
        )
        for cell in lesson.notebook["cells"]:
            if key := handout.exercise_key(cell):
                assert html.escape(exercises.question(key).heading, quote=False) in body.replace("&#39;", "'")


def test_another_notebook_is_printed_as_it_is():
    model = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell("1 + 1")])
    assert printing.Plain().preprocess(copy.deepcopy(model), {}) == (model, {})


# Where JupyterLab finds it


def test_the_page_stands_before_what_a_person_has_set():
    made = page.environment({"JUPYTER_PATH": "/theirs", "OTHER": "x"})
    assert made["JUPYTER_PATH"].split(os.pathsep)[1:] == ["/theirs"]
    assert os.pathsep not in made["JUPYTER_CONFIG_PATH"]
    share = Path(made["JUPYTER_PATH"].split(os.pathsep)[0])
    told = json.loads((share / "labextensions/kilncalc/package.json").read_text(encoding="utf-8"))
    assert (share / "labextensions/kilncalc" / told["jupyterlab"]["_build"]["load"]).is_file()


def test_a_kernel_imports_nothing_from_the_folder_of_the_lesson(tmp_path, monkeypatch):
    """A page that runs by itself must not run what somebody has put beside it."""
    for name in ("kilncalc", "numpy", "planted"):
        (tmp_path / f"{name}.py").write_text("raise SystemExit('planted')", encoding="utf-8")
    for name, path in page.FOLDERS.items():
        monkeypatch.setenv(name, str(path))
    manager, client = start_new_kernel(kernel_name="python3", cwd=str(tmp_path))
    try:
        code = "import importlib.util, kilncalc, numpy\nassert importlib.util.find_spec('planted') is None"
        said = client.execute_interactive(code, timeout=60, output_hook=lambda message: None)
    finally:
        client.stop_channels()
        manager.shutdown_kernel(now=True)
    assert said["content"]["status"] == "ok"
