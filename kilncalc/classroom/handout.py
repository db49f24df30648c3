"""Hand-outs: for each student a folder or a zip with the lessons, that student's own numbers in them."""

import functools
import io
import json
import os
import re
import stat
import zipfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import Any

from kilncalc import __version__, _resources
from kilncalc.classroom import files, notebooks, printable, tables
from kilncalc.classroom.roster import Student
from kilncalc.exercises import SESSION_FILE, Question, Session, question
from kilncalc.exercises.own import QUESTIONS_FILE

_EXERCISE = re.compile(r"^\s*exercise\(\s*[\"']([^\"']*)[\"']\s*\)", re.MULTILINE)
_ZIP_DATE = (1980, 1, 1, 0, 0, 0)
"""The same for every zip, so that the same roster gives the same bytes."""

Progress = Callable[[int, int], None]
"""Called with how many are done, and of how many."""


@dataclass(frozen=True)
class Lesson:
    """A lesson as shipped, or as a teacher has changed it."""

    file: str
    label: str
    notebook: Mapping[str, Any]
    own: Mapping[str, Question] = field(default_factory=dict)
    """The teacher's own questions, by key."""

    @property
    def keys(self) -> list[str]:
        """The exercises it asks, in order."""
        return [key for cell in self.notebook["cells"] if (key := exercise_key(cell))]


@dataclass(frozen=True)
class HandedOut:
    """What was written."""

    students: int
    notebooks: int
    pages: int
    sheets: int
    files: int


def exercise_key(cell: Mapping[str, Any]) -> str | None:
    """Return the key of the exercise that a cell shows, or None."""
    if cell["cell_type"] != "code" or not (found := _EXERCISE.search("".join(cell["source"]))):
        return None
    return found[1]


def shipped_lessons(labels: Sequence[str] = (), folder: Path | None = None) -> list[Lesson]:
    """Return the lessons of this package or those in `folder`, all or those with the labels.

    Raises ValueError for an unknown label, a folder without notebooks and a notebook that cannot be read.
    """
    every = []
    paths = sorted((folder or _resources.lessons()).glob("*.ipynb"))
    if not paths:
        raise ValueError(f"there is no notebook in {folder}")
    for path in paths:
        notebook = notebooks.read(path)
        origin = notebooks.origin(notebook)
        every.append(Lesson(path.name, origin.lesson if origin else path.stem, notebook))
    known = [lesson.label for lesson in every]
    if missing := [label for label in labels if label not in known]:
        raise ValueError(f"there is no lesson {', '.join(missing)}; there are: {', '.join(known)}")
    return [lesson for lesson in every if not labels or lesson.label in labels]


def with_own(lessons: Sequence[Lesson], own: Sequence[Question]) -> list[Lesson]:
    """Return lessons in which the teacher's own questions can be asked.

    Where no notebook among them asks any, one more is added that asks them all. Raises ValueError with a
    sentence for a notebook that asks what does not exist.
    """
    by_key = {asked.key: asked for asked in own}
    made = [replace(lesson, own=by_key) for lesson in lessons]
    for lesson in made:
        for key in lesson.keys:
            try:
                _question(lesson, key)
            except ValueError as error:
                raise ValueError(f"{lesson.file}: {error}") from None
    if own and not any(key in by_key for lesson in made for key in lesson.keys):
        made.append(Lesson("own-questions.ipynb", "own", _notebook_of(own), by_key))
    return made


def _question(lesson: Lesson, key: str) -> Question:
    if key.startswith("own.") and key not in lesson.own:
        raise ValueError(f"there is no exercise {key!r} in the file of own questions")
    return lesson.own.get(key) or question(key)


def _notebook_of(own: Sequence[Question]) -> dict[str, Any]:
    words = "# Questions of our own\n\nType an answer **with its unit** and press Enter."
    sources = ["from kilncalc.exercises import exercise, student_box\n\nstudent_box()"]
    sources += [f'exercise("{asked.key}")' for asked in own]
    cells: list[dict[str, Any]] = [
        {"cell_type": "markdown", "id": "own-0", "metadata": {}, "source": [words]}
    ]
    for number, source in enumerate(sources, 1):
        cells.append(
            {
                "cell_type": "code",
                "id": f"own-{number}",
                "metadata": {"tags": ["exercise"]},
                "source": source.splitlines(keepends=True),
                "outputs": [],
                "execution_count": None,
            }
        )
    spec = {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"}
    return {
        "cells": cells,
        "metadata": {"kernelspec": spec, "language_info": {"name": "python"}},
        "nbformat": 4,
        "nbformat_minor": 5,
    }


def student_copy(lesson: Lesson, student: Student) -> dict[str, Any]:
    """Return the notebook for one student, in the student's units, its cells locked.

    Own numbers as text, no teacher notes, no answers; of pictures and words in two systems only one.
    """
    return _with_questions(lesson, student, _shared_cells(lesson, student.units))


def _shared_cells(lesson: Lesson, units: str) -> list[dict[str, Any]]:
    """Return the cells of a copy that all have who work in these units."""
    cells = []
    for shipped in lesson.notebook["cells"]:
        tags = shipped["metadata"].get("tags", [])
        if "teacher" in tags:
            continue
        cell = _in_units(shipped, units)
        if "exercise" in tags or exercise_key(cell):
            cell["outputs"], cell["execution_count"] = [], None
        cells.append(cell)
    return cells


def _with_questions(lesson: Lesson, student: Student, shared: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """Return the copy that has these cells and, above each box, the question with the student's numbers."""
    cells = []
    for cell in shared:
        if key := exercise_key(cell):
            asked = _question(lesson, key)
            text = asked.markdown(asked.numbers_for(student.id, student.units))
            cells.append(
                {
                    "cell_type": "markdown",
                    "id": f"{cell['id']}-question",
                    "metadata": {"kilncalc": {"question": key}, **notebooks.LOCKED},
                    "source": text.splitlines(keepends=True),
                }
            )
        cells.append(cell)
    made = {**lesson.notebook, "cells": cells}
    origin = notebooks.Origin(lesson.label, __version__, notebooks.digest(made), student.id)
    made["metadata"] = {**lesson.notebook["metadata"], "kilncalc": asdict(origin)}
    return made


def _in_units(shipped: Mapping[str, Any], units: str) -> dict[str, Any]:
    """Return a cell, locked, with the words and the pictures of one unit system only."""
    cell = dict(shipped)
    ours = dict(cell["metadata"].get("kilncalc", {}))
    words = ours.pop("inches", None)
    if units == "inches" and words is not None:
        cell["source"] = "".join(words).splitlines(keepends=True)
    if pictures := cell.get("attachments"):
        inches = units == "inches" and any(name.startswith("inches.") for name in pictures)
        other = "picture." if inches else "inches."
        cell["attachments"] = {name: kept for name, kept in pictures.items() if not name.startswith(other)}
    cell["metadata"] = {**cell["metadata"], **notebooks.LOCKED} | ({"kilncalc": ours} if ours else {})
    if not ours:
        cell["metadata"].pop("kilncalc", None)
    return cell


def hand_out(
    students: Sequence[Student],
    lessons: Sequence[Lesson],
    folder: Path,
    *,
    zipped: bool = False,
    pages: bool = False,
    sheets: bool = False,
    own_questions: bytes = b"",
    replace: bool = False,
    progress: Progress | None = None,
) -> HandedOut:
    """Write a folder (or a zip) per student into `folder`; with `pages`, a page to print for each notebook.

    `own_questions` is the teacher's file of them, of which each student gets a copy.
    With `sheets`, a page with the exercises alone for each notebook that has some. Unless `replace` is true,
    nothing at all is written where one of the files is there already and is another: FileExistsError lists
    them. So a run that was stopped halfway is finished by the next. Answers are never touched. The same
    roster gives the same bytes.
    """
    making = _Making(lessons, pages, sheets, own_questions)
    if not replace:
        _refuse_to_overwrite(students, making, folder, zipped)
    files.make_folder(folder)
    files.sweep(folder)
    written = 0
    for number, student in enumerate(students):
        if progress:
            progress(number, len(students))
        made = making.contents(student)
        own = folder / student.id
        if zipped:
            made = {f"{student.id}.zip": _zip(student.id, made)}
            own = folder
        else:
            files.make_folder(own)
            files.sweep(own)
        for name, content in made.items():
            if _is_there(own / name, content, student):
                continue
            try:
                files.write(own / name, content, replace=replace or _is_empty(own / name))
            except FileExistsError:
                if not _is_there(own / name, content, student):  # else another run has just written it
                    raise
                continue
            written += 1
    if progress:
        progress(len(students), len(students))
    count = len(students) * len(lessons)
    sheet_count = len(students) * sum(bool(lesson.keys) for lesson in lessons)
    return HandedOut(len(students), count, count * pages, sheet_count * sheets, written)


class _Making:
    """Makes the files of one student after another; what is the same for the whole class is made once."""

    def __init__(
        self, lessons: Sequence[Lesson], pages: bool, sheets: bool, own_questions: bytes = b""
    ) -> None:
        self.lessons, self.pages, self.sheets, self.own_questions = lessons, pages, sheets, own_questions
        self.drawn = printable.Pages()
        self.shared = functools.lru_cache(maxsize=None)(self._shared)

    def contents(self, student: Student) -> dict[str, bytes]:
        """Return what goes into a student's folder, by name."""
        session = Session(student.id, student.units, made_for=student.id)
        made = {SESSION_FILE: session.to_json().encode()}
        if self.own_questions:
            made[QUESTIONS_FILE] = self.own_questions
        for number, lesson in enumerate(self.lessons):
            stem = Path(lesson.file).stem
            cells, texts = self.shared(number, student.units)
            notebook = _with_questions(lesson, student, cells)
            made[lesson.file] = _written(notebook, texts).encode()
            if self.pages:
                made[f"{stem}.html"] = self.drawn.page(notebook, student).encode()
            if self.sheets and lesson.keys:
                made[f"{stem}-sheet.html"] = self.drawn.sheet(notebook, student).encode()
        return made

    def _shared(self, number: int, units: str) -> tuple[list[dict[str, Any]], dict[str, str]]:
        """Return the cells of a lesson that all have with these units, and the text of each by its id."""
        cells = _shared_cells(self.lessons[number], units)
        return cells, {cell["id"]: _as_json(cell) for cell in cells}


def _written(notebook: Mapping[str, Any], texts: Mapping[str, str]) -> str:
    """Return the notebook's text, that of some cells being known already."""
    cells = ",\n".join(texts.get(cell["id"]) or _as_json(cell) for cell in notebook["cells"])
    rest = json.dumps({**notebook, "cells": []}, indent=1, sort_keys=True, ensure_ascii=False)
    return rest.replace('"cells": []', f'"cells": [\n{cells}\n ]', 1) + "\n"


def _as_json(cell: Mapping[str, Any]) -> str:
    text = json.dumps(cell, indent=1, sort_keys=True, ensure_ascii=False)
    return "  " + text.replace("\n", "\n  ")


def _refuse_to_overwrite(students: Sequence[Student], making: _Making, folder: Path, zipped: bool) -> None:
    targets: list[Path] = []
    for student in students:
        own = folder if zipped else folder / student.id
        if not os.path.lexists(folder / f"{student.id}.zip" if zipped else own):
            continue
        made = making.contents(student)
        if zipped:
            made = {f"{student.id}.zip": _zip(student.id, made)}
        targets += [
            own / name
            for name, content in made.items()
            if os.path.lexists(own / name)  # first: another run may be writing it just now
            and not (_is_there(own / name, content, student) or _is_empty(own / name))
        ]
    files.check_absent(targets)


def _is_there(path: Path, content: bytes, student: Student) -> bool:
    """Return whether a file is as it is to be; a session may count "new numbers" by now."""
    if path.name == SESSION_FILE:
        return _is_session_of(student, path)
    try:
        return not path.is_symlink() and path.stat().st_size == len(content) and path.read_bytes() == content
    except OSError:
        return False


def _is_empty(path: Path) -> bool:
    """Return whether it is what a run leaves that was stopped where files cannot be given two names."""
    try:
        return not path.is_symlink() and path.is_file() and path.stat().st_size == 0
    except OSError:
        return False


def _is_session_of(student: Student, path: Path) -> bool:
    try:
        session = Session.from_json(tables.read_bytes(path, 100_000))
    except (OSError, ValueError):
        return False
    return (session.student, session.units) == (student.id, student.units)


def _zip(folder: str, made: Mapping[str, bytes]) -> bytes:
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in made.items():
            entry = zipfile.ZipInfo(f"{folder}/{name}", _ZIP_DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = (stat.S_IFREG | 0o644) << 16
            entry.create_system = 3
            archive.writestr(entry, data, compresslevel=1)  # pictures: more takes long and gains little
    return content.getvalue()
