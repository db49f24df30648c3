"""Hand-outs: every lesson for a class of thirty, each with its own numbers; nothing overwritten unasked."""

import base64
import html
import io
import json
import os
import re
import subprocess
import sys
import zipfile
from html.parser import HTMLParser
from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient
from nbconvert import HTMLExporter
from playwright.sync_api import sync_playwright

from kilncalc import __version__, cli, page
from kilncalc.classroom import files, handout, key, lesson_folder, notebooks, printable
from kilncalc.classroom.roster import Student
from kilncalc.exercises import exercise, lesson_labels, question, questions

# invented: a class of thirty, ids of several scripts, half of it working in inches
CLASS = tuple(
    Student(identifier, f"Name {number} <b>&amp;</b>", ("metric", "inches")[number % 2])
    for number, identifier in enumerate(
        [f"S{n:02d}" for n in range(1, 28)] + ["Łódź-3", "美玲", "Zoë O'N."[:-1]]
    )
)
ANN, BO = CLASS[0], CLASS[1]
LESSONS = handout.shipped_lessons()
LESSON_2 = handout.shipped_lessons(["2"])


def text_of(cell):
    return "".join(cell["source"])


def tree(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


@pytest.fixture(scope="module")
def handed(tmp_path_factory):
    folder = tmp_path_factory.mktemp("class") / "out"
    made = handout.hand_out(CLASS, LESSONS, folder, pages=True)
    return folder, made


@pytest.fixture(scope="module")
def copies(handed):
    """Every student's every notebook; of pictures the names alone, for they are half a gigabyte."""
    folder, _ = handed
    found = []
    for student in CLASS:
        for lesson in LESSONS:
            made = notebooks.read(folder / student.id / lesson.file)
            for cell in made["cells"]:
                for kinds in cell.get("attachments", {}).values():
                    kinds.update(dict.fromkeys(kinds, ""))
            found.append((student, lesson, made))
    return found


def test_there_is_a_folder_a_student_with_every_lesson_and_page(handed):
    folder, made = handed
    assert sorted(path.name for path in folder.iterdir()) == sorted(student.id for student in CLASS)
    stems = [Path(lesson.file).stem for lesson in LESSONS]
    wanted = {"session.json", *(f"{stem}{ending}" for stem in stems for ending in (".ipynb", ".html"))}
    for student in CLASS:
        assert {path.name for path in (folder / student.id).iterdir()} == wanted
    count = len(CLASS) * len(LESSONS)  # exact: 30 students
    assert (made.students, made.notebooks, made.pages, made.files) == (30, count, count, 30 + 2 * count)


def test_all_exercises_of_the_package_are_handed_out():
    """A lesson without its exercises, or an exercise without its lesson, would be lost silently."""
    handed_out = {key for lesson in LESSONS for key in lesson.keys}
    written = {one.key for label in lesson_labels() for one in questions(label)}
    shipped = {lesson.label for lesson in LESSONS}
    assert handed_out == {key for key in written if key.partition(".")[0] in shipped}


def test_copies_are_valid_notebooks_without_teacher_cells_or_answers(copies):
    for student, lesson, made in copies:
        if student in (ANN, BO, CLASS[-1]):  # takes a while, and copies differ in words alone
            nbformat.validate(nbformat.from_dict(made))
        ids = [cell["id"] for cell in made["cells"]]
        assert len(ids) == len(set(ids))
        for cell in made["cells"]:
            assert "teacher" not in cell["metadata"].get("tags", [])
            assert "For the teacher" not in text_of(cell)
            if handout.exercise_key(cell) or "exercise" in cell["metadata"].get("tags", []):
                assert cell["outputs"] == [] and cell["execution_count"] is None
        kept = [
            text_of(cell) for cell in made["cells"] if "question" not in cell["metadata"].get("kilncalc", {})
        ]
        assert kept == [
            in_units(cell, student.units)
            for cell in lesson.notebook["cells"]
            if "teacher" not in cell["metadata"].get("tags", [])
        ]


def in_units(cell, units):
    metric = text_of(cell)
    return (
        "".join(cell["metadata"].get("kilncalc", {}).get("inches", metric)) if units == "inches" else metric
    )


def test_pictures_and_words_are_in_the_students_units_alone(copies):
    seen = {"metric": 0, "inches": 0}
    both = {
        (lesson.label, cell["id"])
        for lesson in LESSONS
        for cell in lesson.notebook["cells"]
        if "inches.png" in cell.get("attachments", {})
    }
    for student, lesson, made in copies:
        for cell in made["cells"]:
            assert "inches" not in cell["metadata"].get("kilncalc", {})
            pictures = cell.get("attachments")
            if pictures and (lesson.label, cell["id"]) in both:
                stem = {"metric": "picture", "inches": "inches"}[student.units]
                assert set(pictures) == {f"{stem}.png", f"{stem}.svg"}
                assert f"attachment:{stem}.png" in text_of(cell)
                seen[student.units] += 1
    assert min(seen.values()) >= 15 * len(both) > 0  # exact: half of thirty students


def test_every_cell_is_locked(copies):
    for _, _, made in copies:
        assert all(
            cell["metadata"]["editable"] is False and cell["metadata"]["deletable"] is False
            for cell in made["cells"]
        )


def test_the_lessons_themselves_have_teacher_cells():
    """Else the test above would pass with nothing to find."""
    for lesson in LESSONS:
        assert any("teacher" in cell["metadata"].get("tags", []) for cell in lesson.notebook["cells"])


def test_metadata_names_lesson_student_and_version(copies):
    for student, lesson, made in copies:
        digest = notebooks.digest(made)
        assert notebooks.origin(made) == notebooks.Origin(lesson.label, __version__, digest, student.id)


def test_each_question_stands_above_its_box_with_the_numbers_the_box_will_show(copies, handed, monkeypatch):
    """The box is built in the student's folder, from the session that was handed out with it."""
    folder, _ = handed
    seen = 0
    for student, _, made in copies:
        monkeypatch.chdir(folder / student.id)
        for above, cell in zip(made["cells"], made["cells"][1:], strict=False):
            if key := handout.exercise_key(cell):
                box = exercise(key)
                assert above["cell_type"] == "markdown" and text_of(above) == box.markdown
                for name, text in question(key).numbers_for(student.id, student.units).texts.items():
                    if f"{{{name}}}" in question(key).text:
                        assert text in re.sub(r"\\(.)", r"\1", text_of(above))
                seen += 1
    assert seen == 30 * sum(len(lesson.keys) for lesson in LESSONS)


def test_students_have_different_numbers(copies):
    made = {
        tuple(
            text_of(cell) for cell in notebook["cells"] if "question" in cell["metadata"].get("kilncalc", {})
        )
        for _, lesson, notebook in copies
        if lesson.label == "2"
    }
    assert len(made) > 25  # own prototype: of thirty, hardly two agree in all six questions


def test_the_same_roster_gives_the_same_bytes_and_the_order_of_students_does_not_matter(handed, tmp_path):
    folder, _ = handed
    some = CLASS[-1:-12:-1]
    handout.hand_out(some, LESSONS, tmp_path / "again", pages=True)
    names = {student.id for student in some}
    assert tree(tmp_path / "again") == {
        name: content for name, content in tree(folder).items() if name.partition("/")[0] in names
    }


def test_zips_hold_what_folders_hold_and_are_the_same_each_time(handed, tmp_path):
    folder, _ = handed
    for name in ("one", "two"):
        made = handout.hand_out(CLASS[:3], LESSONS, tmp_path / name, zipped=True, pages=True)
        assert made.files == 3
    assert tree(tmp_path / "one") == tree(tmp_path / "two")
    for student in CLASS[:3]:
        with zipfile.ZipFile(tmp_path / "one" / f"{student.id}.zip") as archive:
            assert {info.external_attr >> 16 for info in archive.infolist()} == {0o100644}  # exact: rw-r--r--
            archive.extractall(tmp_path / "unpacked")
        assert tree(tmp_path / "unpacked" / student.id) == tree(folder / student.id)


def test_a_copy_runs_and_its_boxes_show_the_students_numbers(handed):
    folder, _ = handed
    path = folder / BO.id / LESSON_2[0].file
    made = nbformat.read(path, as_version=4)
    NotebookClient(
        made, timeout=300, kernel_name="python3", resources={"metadata": {"path": str(path.parent)}}
    ).execute()
    shown = [
        output["data"]["text/markdown"]
        for cell in made.cells
        if handout.exercise_key(cell)
        for output in cell.outputs
        if "text/markdown" in output.get("data", {})
    ]
    written = [text_of(cell) for cell in made.cells if "question" in cell.metadata.get("kilncalc", {})]
    assert len(shown) == len(LESSON_2[0].keys) and shown == written


def test_the_text_of_a_copy_is_what_json_writes(handed):
    folder, _ = handed
    text = (folder / ANN.id / LESSON_2[0].file).read_text(encoding="utf-8")
    assert text == json.dumps(json.loads(text), indent=1, sort_keys=True, ensure_ascii=False) + "\n"


# ================================================================================== nothing is overwritten


@pytest.mark.parametrize("written", [1, 30, 90])
@pytest.mark.skipif(os.name == "nt", reason="a process is stopped otherwise there")
def test_a_run_stopped_halfway_is_finished_by_the_next(tmp_path, written):
    """Stopped by kill -9 at any moment: the next needs no --replace, and nothing half written stays."""
    (tmp_path / "class.csv").write_text("id\n" + "".join(f"S{n:03d}\n" for n in range(200)), encoding="utf-8")
    command = [sys.executable, "-m", "kilncalc", "handout", "class.csv", "--to", "out", "--lesson", "0"]
    process = subprocess.Popen(command, cwd=tmp_path, stdout=subprocess.DEVNULL)
    while not (tmp_path / "out" / f"S{written - 1:03d}" / "session.json").exists():
        assert process.poll() is None
    process.kill()  # by what it has written, never by a clock: machines differ
    assert process.wait() == -9
    assert not (tmp_path / "out" / "S199").exists()
    (tmp_path / "out" / "S000" / ".0-start-here.ipynb.77-0a1b2c3d.part").write_bytes(b"half")
    (tmp_path / "out" / "S000" / "0-start-here.ipynb").write_bytes(b"")  # where no file can have two names
    subprocess.run(command, cwd=tmp_path, stdout=subprocess.DEVNULL, check=True)
    names = {path.name for path in (tmp_path / "out").rglob("*") if path.is_file()}
    assert names == {"0-start-here.ipynb", "session.json"}
    whole = handout.student_copy(handout.shipped_lessons(["0"])[0], Student("S000"))
    for student in ("S000", "S199"):
        assert notebooks.read(tmp_path / "out" / student / "0-start-here.ipynb")["cells"]
    assert notebooks.read(tmp_path / "out" / "S000" / "0-start-here.ipynb") == whole
    # What a student has worked on is still not written over.
    (tmp_path / "out" / "S001" / "0-start-here.ipynb").write_text("a student's work", encoding="utf-8")
    assert subprocess.run(command, cwd=tmp_path, stderr=subprocess.DEVNULL).returncode == 2


def test_two_runs_at_the_same_time_hand_out_both_lessons(tmp_path):
    (tmp_path / "class.csv").write_text("id\n" + "".join(f"S{n:03d}\n" for n in range(60)), encoding="utf-8")
    command = [sys.executable, "-m", "kilncalc", "handout", "class.csv", "--to", "out", "--lesson"]
    both = [subprocess.Popen([*command, label], cwd=tmp_path, stdout=subprocess.DEVNULL) for label in "02"]
    assert [process.wait() for process in both] == [0, 0]
    names = ["0-start-here.ipynb", "2-volume-to-weight.ipynb", "session.json"]
    for number in range(60):
        own = tmp_path / "out" / f"S{number:03d}"
        assert sorted(path.name for path in own.iterdir()) == names
        assert all(notebooks.read(own / name)["cells"] for name in names[:2])


def test_a_file_that_another_run_writes_meanwhile_is_taken_if_it_is_the_same(tmp_path, monkeypatch):
    real = files.write

    def late(path, content, *, replace=False):
        monkeypatch.undo()
        path.write_bytes(content if same else b"a student's work")
        real(path, content, replace=replace)

    for same in (True, False):
        monkeypatch.setattr(files, "write", late)
        if same:
            assert handout.hand_out([ANN], LESSON_2, tmp_path / "same").files == 1  # the other of the two
        else:
            with pytest.raises(FileExistsError):
                handout.hand_out([ANN], LESSON_2, tmp_path / "another")


def test_a_file_that_another_run_writes_while_it_is_looked_for_is_no_reason_to_refuse(tmp_path, monkeypatch):
    handout.hand_out([ANN], handout.shipped_lessons(["0"]), tmp_path)
    real = handout._is_there

    def meanwhile(path, content, student):
        found = real(path, content, student)
        if not path.exists():
            path.write_bytes(content)
        return found

    monkeypatch.setattr(handout, "_is_there", meanwhile)
    handout.hand_out([ANN], LESSON_2, tmp_path)
    assert notebooks.read(tmp_path / ANN.id / LESSON_2[0].file)["cells"]


@pytest.mark.parametrize("known", [True, False])
def test_without_second_names_a_file_is_written_all_the_same(tmp_path, monkeypatch, known):
    if known:
        monkeypatch.setattr(files.os, "link", lambda *_: (_ for _ in ()).throw(PermissionError(1, "no")))
    else:
        monkeypatch.delattr(files.os, "link")
    files.write(tmp_path / "a", b"new")
    with pytest.raises(FileExistsError):
        files.write(tmp_path / "a", b"newer")
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("a", b"new")]


def test_a_second_run_writes_nothing_and_lists_what_is_there(tmp_path):
    handout.hand_out([ANN], LESSON_2, tmp_path)
    path = tmp_path / ANN.id / LESSON_2[0].file
    path.write_text("a student's work")
    before = tree(tmp_path)
    with pytest.raises(FileExistsError) as caught:
        handout.hand_out([BO, ANN], LESSONS, tmp_path)
    assert str(path) in str(caught.value)
    assert tree(tmp_path) == before


def test_replacing_has_to_be_asked_for_and_spares_answers_and_session(tmp_path):
    handout.hand_out([ANN], LESSON_2, tmp_path)
    own = tmp_path / ANN.id
    (own / LESSON_2[0].file).write_text("damaged")
    (own / "answers.csv").write_text("mine")
    session = json.loads((own / "session.json").read_text())
    (own / "session.json").write_text(json.dumps({**session, "new_numbers": {"2.1": 3}}))
    handout.hand_out([ANN], LESSON_2, tmp_path, replace=True)
    assert notebooks.read(own / LESSON_2[0].file)
    assert (own / "answers.csv").read_text() == "mine"
    assert json.loads((own / "session.json").read_text())["new_numbers"] == {"2.1": 3}


def test_another_lesson_joins_the_folder_later_unless_it_is_somebody_elses(tmp_path):
    handout.hand_out([ANN], LESSON_2, tmp_path)
    others = [lesson for lesson in LESSONS if lesson.label != "2"]
    handout.hand_out([ANN], others, tmp_path)
    assert {lesson.file for lesson in LESSONS} < {path.name for path in (tmp_path / ANN.id).iterdir()}
    (tmp_path / BO.id).mkdir()
    (tmp_path / BO.id / "session.json").write_bytes((tmp_path / ANN.id / "session.json").read_bytes())
    with pytest.raises(FileExistsError, match="session"):
        handout.hand_out([BO], LESSON_2, tmp_path)


def test_a_folder_made_in_other_units_is_not_added_to_unasked(tmp_path):
    """Else the words would be in one system and the boxes, which read the session, in the other."""
    handout.hand_out([ANN], handout.shipped_lessons(["0"]), tmp_path)
    other = Student(ANN.id, ANN.name, {"metric": "inches", "inches": "metric"}[ANN.units])
    with pytest.raises(FileExistsError, match="session"):
        handout.hand_out([other], LESSON_2, tmp_path)
    assert not (tmp_path / ANN.id / LESSON_2[0].file).exists()


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
def test_a_link_in_the_way_is_not_written_through(tmp_path):
    (tmp_path / "out" / ANN.id).mkdir(parents=True)
    target = tmp_path / "elsewhere"
    (tmp_path / "out" / ANN.id / LESSON_2[0].file).symlink_to(target)
    with pytest.raises(FileExistsError):
        handout.hand_out([ANN], LESSON_2, tmp_path / "out")
    assert not target.exists()


def test_opening_a_handed_out_folder_leaves_the_copies_alone(tmp_path):
    handout.hand_out([ANN], LESSON_2, tmp_path)
    before = tree(tmp_path / ANN.id)
    laid = lesson_folder.lay(tmp_path / ANN.id)
    assert tree(tmp_path / ANN.id) == before  # no other lesson, least of all with a teacher's notes
    assert laid == lesson_folder.Laid(kept=[LESSON_2[0].file])


def test_unknown_lessons_are_refused():
    with pytest.raises(ValueError, match=r"no lesson 99; there are: 0, "):
        handout.shipped_lessons(["2", "99"])


# ====================================================================================== pages to print


class Page(HTMLParser):
    """What matters of a page: ids, references, tags, text."""

    def __init__(self, text):
        super().__init__()
        self.ids, self.references, self.tags, self.words = [], [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        self.tags.append(tag)
        for name, value in attributes:
            if name == "id":
                self.ids.append(value)
            if name in ("src", "href", "xlink:href", "srcset", "data", "action", "poster", "background"):
                self.references.append(value)
            self.references += re.findall(r"url\(['\"]?([^)'\"]*)", value or "")
            assert not name.startswith("on"), name

    def handle_data(self, data):
        self.words.append(data)


def pages_of(folder, students=CLASS):
    for student in students:
        for lesson in LESSONS:
            yield (
                student,
                lesson,
                (folder / student.id / f"{Path(lesson.file).stem}.html").read_text(encoding="utf-8"),
            )


def test_two_pictures_on_a_page_do_not_take_each_others_parts():
    drawing = (
        '<svg xmlns="http://www.w3.org/2000/svg"><defs><path id="a"/><pattern id="b"/></defs>'
        '<use href="#a"/><use xlink:href="#a"/><rect fill="url(http://localhost/page#b)"/>'
        "<rect style=\"clip-path: url('#a'); fill: url(#gone)\"/></svg>"
    )
    encoded = base64.b64encode(drawing.encode()).decode()
    assert printable.inline_svg(encoded, "p1-", "a < b") == (  # by hand: names and what points at them agree
        '<svg role="img" aria-label="a &lt; b"><defs><path id="p1-a"/><pattern id="p1-b"/></defs>'
        '<use href="#p1-a"/><use xlink:href="#p1-a"/><rect fill="url(#p1-b)"/>'
        '<rect style="clip-path: url(#p1-a); fill: none"/></svg>'
    )


def test_pages_load_nothing_and_run_nothing(handed):
    for student, lesson, text in pages_of(handed[0], (ANN, BO, CLASS[-1])):
        page = Page(text)
        where = (student.id, lesson.file)
        assert len(page.ids) == len(set(page.ids)), where
        inside = [ref for ref in page.references if not ref.startswith("data:image/png;base64,")]
        assert all(ref.startswith("#") and ref[1:] in page.ids for ref in inside), where
        assert not {"script", "iframe", "object", "embed", "link", "img", "base"} & set(page.tags), where
        assert not any(words in text for words in ("Run All", "import ", "print(", "show(", "exercise(")), (
            where
        )
        assert "@import" not in text and "default-src 'none'" in text


def test_pages_show_every_picture_and_question_with_lines_to_write_on(handed):
    for student, lesson, text in pages_of(handed[0]):
        pictures = [cell for cell in lesson.notebook["cells"] if cell.get("attachments")]
        assert text.count("<figure>") == len(pictures)
        assert text.count('<svg role="img" aria-label=') == len(pictures)
        assert text.count('<section class="exercise">') == len(lesson.keys)
        words = html.unescape(re.sub(r"<[^>]*>", "", text)).replace("\N{NO-BREAK SPACE}", " ")
        for name in lesson.keys:
            asked = question(name)
            assert asked.question_text(asked.numbers_for(student.id, student.units)) in words
        assert f"{student.id} · {student.name}" in words  # escaped once, so read as it was written
        assert "For the teacher" not in words


def long_names():
    return Student("W" * 64, "Wolfeschlegelsteinhausen" * 4)


CHROMIUM = os.environ.get("KILNCALC_CHROMIUM", "/usr/bin/chromium")


@pytest.mark.skipif(not os.access(CHROMIUM, os.X_OK), reason="needs a Chromium")
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_sheets_are_two_pages_a_lesson_and_nothing_runs_off_the_paper(tmp_path, paper):
    """For a student with the longest id and name, the key's page for one student too; no word is cut."""
    student = long_names()
    making = handout._Making(LESSONS, False, True)
    sheets = {
        name: text.decode() for name, text in making.contents(student).items() if name.endswith(".html")
    }
    assert len(sheets) == sum(bool(lesson.keys) for lesson in LESSONS)
    of_key = key.sheets([student], key.asked_in())
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 600, "height": 900})  # narrower than the paper
        for name, text in (*sheets.items(), ("key", of_key)):
            page.set_content(text)
            pages = len(re.findall(rb"/Type\s*/Page\b", page.pdf(format=paper, prefer_css_page_size=True)))
            assert pages <= (1 if name == "key" else 2), (name, pages)
            assert page.evaluate("document.documentElement.scrollWidth") <= 600, name
        browser.close()


BROKEN = """() => {
  const parts = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const range = document.createRange();
  const box = (node, at, end) => {
    range.setStart(node, at);
    range.setEnd(node, end);
    return range.getClientRects()[0];
  };
  while (walk.nextNode()) {
    const node = walk.currentNode;
    if (node.parentElement.closest('svg, style, pre code')) continue;
    for (const { 0: word, index } of node.data.matchAll(/[^\\s\u00a0]+/g))
      for (let at = index + 1; at < index + word.length; at++) {
        const [before, after] = [box(node, at - 1, at), box(node, at, at + 1)];
        const parted = before?.width && after?.width && after.top - before.top > 3;
        if (parted && !/[-–—/]/.test(node.data[at - 1])) parts.push(word);
      }
  }
  return parts;
}"""
"""Words that go on in the next line without a sign of it."""


@pytest.mark.slow
@pytest.mark.skipif(not os.access(CHROMIUM, os.X_OK), reason="needs a Chromium")
def test_no_word_of_a_printed_page_breaks_in_its_middle_and_nothing_runs_off(tmp_path):
    students = [Student("S01", "Ann Lee"), Student("S02", "Bartholomew Featherstone-Longbottom", "inches")]
    texts = {"key": key.page(students, key.asked_in())}
    for student in students:
        made = handout._Making(LESSONS, True, False).contents(student)
        texts |= {f"{student.id} {n}": t.decode() for n, t in made.items() if n.endswith(".html")}
    exporter = HTMLExporter(
        template_name="kilncalc",
        preprocessors=["kilncalc.page.printing.Plain"],
        extra_template_basedirs=[str(page.FOLDERS["JUPYTER_PATH"] / "nbconvert" / "templates")],
    )
    for lesson in LESSONS:
        notebook = nbformat.reads(json.dumps(lesson.notebook), as_version=4)
        resources = {"metadata": {"name": "x", "path": str(tmp_path)}}
        texts[f"File > Print {lesson.label}"] = exporter.from_notebook_node(notebook, resources)[0]
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        paper = browser.new_page(viewport={"width": 680, "height": 960})  # exact: 180 mm at 96 px an inch
        paper.emulate_media(media="print")
        paper.set_content("<p style='width: 3ch; overflow-wrap: anywhere'>bookend</p>")
        assert "bookend" in paper.evaluate(BROKEN)
        for name, text in texts.items():
            paper.set_content(text)
            assert paper.evaluate(BROKEN) == [], name
            assert paper.evaluate("document.documentElement.scrollWidth") <= 680, name
        browser.close()


def test_a_sheet_has_the_exercises_alone(tmp_path, capsys):
    arguments = ["handout", class_list(tmp_path), "--to", str(tmp_path / "out"), "--lesson", "2", "--sheet"]
    assert cli.main(arguments) == 0
    assert "1 sheet of exercises to print" in capsys.readouterr().out
    text = (tmp_path / "out" / "S01" / f"{Path(LESSON_2[0].file).stem}-sheet.html").read_text(
        encoding="utf-8"
    )
    assert text.count('<section class="exercise">') == len(LESSON_2[0].keys) and "<figure" not in text
    assert "Sources" not in text and "S01 · Ann" in text


def test_a_page_renders_no_html_of_a_cell_and_keeps_addresses_as_words():
    cells = [
        {"cell_type": "markdown", "metadata": {}, "source": source}
        for source in (
            "# Title\n\n<script>alert(1)</script><img src=x onerror=alert(1)>",
            "![alt <i>](https://example.org/x.png) [words](https://example.org/a?b=1&c=2) "
            "[x](javascript:alert)",
            "| a | b |\n|---|---|\n| 1 | 7 1/2 in |",
        )
    ]
    cells.append(
        {
            "cell_type": "code",
            "metadata": {},
            "source": "print('<b>')",
            "outputs": [{"output_type": "stream", "name": "stdout", "text": "<b>bold</b>"}],
        }
    )
    text = printable.Pages().page({"cells": cells}, Student("S01", "<script>"))
    page = Page(text)
    assert not {"script", "img", "a", "b", "i"} & set(page.tags)
    assert page.references == []
    assert "words (https://example.org/a?b=1&c=2)" in "".join(page.words)
    assert "table" in page.tags and "7\N{NO-BREAK SPACE}1/2 in" in text
    assert "<b>bold</b>" in "".join(page.words)


# ============================================================================================ the command


def class_list(folder, text="id,name,units\nS01,Ann,us\nS02,,\n"):
    path = folder / "class.csv"
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_the_command_makes_what_was_asked_for_and_sums_up(tmp_path, capsys):
    arguments = [
        "handout",
        class_list(tmp_path),
        "--to",
        str(tmp_path / "out"),
        "--lesson",
        "2",
        "--printable",
    ]
    assert cli.main(arguments) == 0
    told = capsys.readouterr().out
    assert "2 folders" in told and "1 lesson (2)" in told and "1 page to print" in told
    assert f"{len(LESSON_2[0].keys)} exercises" in told
    names = {"session.json", LESSON_2[0].file, f"{Path(LESSON_2[0].file).stem}.html"}
    assert set(tree(tmp_path / "out")) == {f"{who}/{name}" for who in ("S01", "S02") for name in names}
    assert cli.main(arguments) == 0  # the same again changes nothing
    (tmp_path / "out" / "S01" / LESSON_2[0].file).write_text("a student's work")
    assert cli.main(arguments) == 2
    assert "nothing was written" in capsys.readouterr().err
    assert cli.main([*arguments, "--replace"]) == 0


def test_the_command_takes_some_students_and_makes_zips(tmp_path, capsys):
    arguments = ["handout", class_list(tmp_path), "--to", str(tmp_path / "out"), "--zip"]
    assert cli.main([*arguments, "--student", "s02"]) == 0
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["S02.zip"]
    assert cli.main([*arguments, "--student", "S77"]) == 2
    assert "no student S77" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("id\n../S01\n", "line 2: an id cannot begin with '.'"),
        ("name\nAnn\n", "no column is called"),
        ("", "empty"),
    ],
)
def test_the_command_writes_nothing_for_a_roster_with_a_problem(tmp_path, capsys, text, words):
    assert cli.main(["handout", class_list(tmp_path, text), "--to", str(tmp_path / "out")]) == 2
    assert words in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_a_bar_is_drawn_on_a_terminal_only(monkeypatch):
    class Terminal(io.StringIO):
        def isatty(self):
            return True

    assert cli._bar("hand-outs") is None
    monkeypatch.setattr("sys.stderr", terminal := Terminal())
    draw = cli._bar("hand-outs")
    for done in range(4):
        draw(done, 3)
    assert terminal.getvalue().count("\r") == 4 and terminal.getvalue().endswith("] 3 of 3\n")
