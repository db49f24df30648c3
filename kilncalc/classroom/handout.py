"""Hand-outs: for each student a folder or a zip with the lessons, that student's own numbers in them."""

import io
import json
import re
import stat
import zipfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from kilncalc import __version__, _resources
from kilncalc.classroom import files, notebooks, printable, tables
from kilncalc.classroom.roster import Student
from kilncalc.exercises import SESSION_FILE, Session, question

_EXERCISE = re.compile(r"^\s*exercise\(\s*[\"']([^\"']*)[\"']\s*\)", re.MULTILINE)
_ZIP_DATE = (1980, 1, 1, 0, 0, 0)
"""The same for every zip, so that the same roster gives the same bytes."""

Progress = Callable[[int, int], None]
"""Called with how many are done, and of how many."""


@dataclass(frozen=True)
class Lesson:
    """A lesson as shipped."""

    file: str
    label: str
    notebook: Mapping[str, Any]

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
    files: int


def exercise_key(cell: Mapping[str, Any]) -> str | None:
    """Return the key of the exercise that a cell shows, or None."""
    if cell["cell_type"] != "code" or not (found := _EXERCISE.search("".join(cell["source"]))):
        return None
    return found[1]


def shipped_lessons(labels: Sequence[str] = ()) -> list[Lesson]:
    """Return the lessons of this package, all or those with the labels; ValueError for an unknown label."""
    every = []
    for path in sorted(_resources.lessons().glob("*.ipynb")):
        notebook = notebooks.read(path)
        told = notebooks.origin(notebook)
        every.append(Lesson(path.name, told.lesson if told else path.stem, notebook))
    known = [lesson.label for lesson in every]
    if missing := [label for label in labels if label not in known]:
        raise ValueError(f"there is no lesson {', '.join(missing)}; there are: {', '.join(known)}")
    return [lesson for lesson in every if not labels or lesson.label in labels]


def student_copy(lesson: Lesson, student: Student) -> dict[str, Any]:
    """Return the notebook for one student: own numbers as text, no teacher notes, no answers."""
    cells: list[dict[str, Any]] = []
    for shipped in lesson.notebook["cells"]:
        if "teacher" in shipped["metadata"].get("tags", []):
            continue
        cell = dict(shipped)
        key = exercise_key(cell)
        if key:
            asked = question(key)
            text = asked.markdown(asked.numbers_for(student.id, student.units))
            cells.append(
                {
                    "cell_type": "markdown",
                    "id": f"{cell['id']}-question",
                    "metadata": {"kilncalc": {"question": key}},
                    "source": text.splitlines(keepends=True),
                }
            )
        if key or "exercise" in cell["metadata"].get("tags", []):
            cell["outputs"], cell["execution_count"] = [], None
        cells.append(cell)
    made = {**lesson.notebook, "cells": cells}
    origin = notebooks.Origin(lesson.label, __version__, notebooks.digest(made), student.id)
    made["metadata"] = {**lesson.notebook["metadata"], "kilncalc": asdict(origin)}
    return made


def hand_out(
    students: Sequence[Student],
    lessons: Sequence[Lesson],
    folder: Path,
    *,
    zipped: bool = False,
    pages: bool = False,
    replace: bool = False,
    progress: Progress | None = None,
) -> HandedOut:
    """Write a folder (or a zip) per student into `folder`; with `pages`, a page to print for each notebook.

    Unless `replace` is true, nothing at all is written where one of the files is there already:
    FileExistsError lists them. Answers are never touched. The same roster gives the same bytes.
    """
    names = [SESSION_FILE]
    for lesson in lessons:
        names += [lesson.file, _page_name(lesson)][: 1 + pages]
    if not replace:
        _refuse_to_overwrite(students, names, folder, zipped)
    files.make_folder(folder)
    drawn = printable.Pages() if pages else None
    written = 0
    for number, student in enumerate(students):
        if progress:
            progress(number, len(students))
        made = _contents(student, lessons, drawn)
        if zipped:
            files.write(folder / f"{student.id}.zip", _zip(student.id, made), replace=replace)
            written += 1
            continue
        own = folder / student.id
        files.make_folder(own)
        if _is_session_of(student, own / SESSION_FILE):
            del made[SESSION_FILE]  # it may count "new numbers" by now
        for name, content in made.items():
            files.write(own / name, content, replace=replace)
        written += len(made)
    if progress:
        progress(len(students), len(students))
    count = len(students) * len(lessons)
    return HandedOut(len(students), count, count * pages, written)


def _page_name(lesson: Lesson) -> str:
    return f"{Path(lesson.file).stem}.html"


def _contents(
    student: Student, lessons: Sequence[Lesson], drawn: "printable.Pages | None"
) -> dict[str, bytes]:
    made = {SESSION_FILE: Session(student.id, student.units, made_for=student.id).to_json().encode()}
    for lesson in lessons:
        notebook = student_copy(lesson, student)
        made[lesson.file] = (
            json.dumps(notebook, indent=1, sort_keys=True, ensure_ascii=False) + "\n"
        ).encode()
        if drawn:
            made[_page_name(lesson)] = drawn.page(notebook, student).encode()
    return made


def _refuse_to_overwrite(
    students: Sequence[Student], names: Sequence[str], folder: Path, zipped: bool
) -> None:
    targets: list[Path] = []
    for student in students:
        own = folder / student.id
        if zipped:
            targets.append(own.with_name(f"{student.id}.zip"))
        else:
            ready = _is_session_of(student, own / SESSION_FILE)
            targets += [own / name for name in names if not (ready and name == SESSION_FILE)]
    files.check_absent(targets)


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
