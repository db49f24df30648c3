"""Whether a notebook's code is that of a lesson, and what is done of each lesson in a folder.

Nothing here runs or imports anything of the folder: its files are looked for by name, and of two of them,
`session.json` and `answers.csv`, the content is read as data; answers are marked, as everywhere.
"""

import functools
import itertools
import json
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kilncalc import __version__, _resources
from kilncalc.classroom import notebooks, tables
from kilncalc.classroom.handout import exercise_key
from kilncalc.exercises import (
    ANSWERS_FILE,
    SECOND_FILE,
    SESSION_FILE,
    Answer,
    Session,
    mark_numbers,
    question,
    read_answers,
    same_id,
)

_LARGEST_SESSION = 100_000
_LARGEST_ANSWERS = 5_000_000


@dataclass(frozen=True)
class Shipped:
    """A lesson of this package, as far as a page needs it."""

    file: str
    label: str
    title: str
    minutes: int
    """What the core path takes, as counted when the lesson was written (0: not counted)."""
    core: tuple[str, ...]
    """The exercises of the core path, by key."""
    code: tuple[str, ...]
    """What its code cells hold, in order."""
    code_without_notes: tuple[str, ...]
    """The same without the teacher's: what a student's copy holds."""
    digest: str
    """Of the sources of all its cells, as the lesson itself names it."""
    version: str = __version__


@dataclass(frozen=True)
class Checked:
    """Whether code may run by itself: the lesson it is, or why not."""

    lesson: str
    why: str


@dataclass(frozen=True)
class Listed:
    """A lesson that lies in a folder, and how much of its core path is answered there."""

    file: str
    label: str
    title: str
    minutes: int
    exercises: int
    answered: int
    right: int
    """Of these, how many were right once, with the numbers that the answer was given to."""


@dataclass(frozen=True)
class Folder:
    """The lessons of a folder, and the units chosen there."""

    units: str
    lessons: tuple[Listed, ...]


def shipped() -> list[Shipped]:
    """Return the lessons of this package."""
    return [_read(path, path.stat().st_mtime_ns) for path in sorted(_resources.lessons().glob("*.ipynb"))]


def check(code: Sequence[str], claimed: str = "") -> Checked:
    """Return whether these code cells, in this order, are all those of one lesson or of its student's copy.

    `claimed` is the lesson that the notebook says it is; it only serves to say where the two differ.
    """
    wanted = _code(code)
    every = shipped()
    for lesson in every:
        if wanted in (lesson.code, lesson.code_without_notes):
            return Checked(lesson.label, "")
    for lesson in every:
        if lesson.label == claimed:
            same = itertools.takewhile(
                lambda pair: pair[0] == pair[1], zip(lesson.code, wanted, strict=False)
            )
            return Checked(
                "",
                f"Its code is not that of lesson {claimed} in kilncalc {__version__}: it differs from code "
                f"cell {len(list(same)) + 1} on.",
            )
    return Checked("", "It is not a lesson of this kilncalc.")


def folder(path: Path) -> Folder:
    """Return what a folder holds of the lessons, and which of their exercises have an answer there."""
    session = _session(path / SESSION_FILE)
    answered, right = _answered(path, session.student)
    listed = [
        Listed(
            lesson.file,
            lesson.label,
            lesson.title,
            lesson.minutes,
            len(lesson.core),
            len(answered.intersection(lesson.core)),
            len(right.intersection(lesson.core)),
        )
        for lesson in shipped()
        if (path / lesson.file).is_file()
    ]
    return Folder(session.units, tuple(listed))


def answered_here() -> str:
    """Return, as JSON, the exercises answered in the folder the kernel works in, and those right once.

    The page of the browser edition asks its kernel, because it has no server to ask.
    """
    here = Path.cwd()
    answered, right = _answered(here, _session(here / SESSION_FILE).student)
    return json.dumps({"answered": sorted(answered), "right": sorted(right)})


@functools.lru_cache(maxsize=100)
def _read(path: Path, _changed: int) -> Shipped:
    notebook = notebooks.read(path)
    claimed = notebooks.origin(notebook)
    minutes = notebook["metadata"]["kilncalc"].get("minutes", 0)
    code = [cell for cell in notebook["cells"] if cell["cell_type"] == "code"]
    core = [cell for cell in code if "further" not in _tags(cell)]
    first = "".join(notebook["cells"][0]["source"]).partition("\n")[0]
    return Shipped(
        path.name,
        claimed.lesson if claimed else path.stem,
        first.lstrip("# "),
        minutes,
        tuple(key for cell in core if (key := exercise_key(cell))),
        _code("".join(cell["source"]) for cell in code),
        _code("".join(cell["source"]) for cell in code if "teacher" not in _tags(cell)),
        claimed.digest if claimed else "",
    )


def _tags(cell: Mapping[str, Any]) -> list[str]:
    return cell["metadata"].get("tags", [])


def _code(sources: Any) -> tuple[str, ...]:
    """Return what would run: cells without a word in them run nothing."""
    return tuple(text for source in sources if (text := source.replace("\r\n", "\n")).strip())


def _answered(folder: Path, student: str) -> tuple[set[str], set[str]]:
    """Return the exercises to which a student gave an answer, and those to which a right one."""
    answered: set[str] = set()
    right: set[str] = set()
    whose = ("", same_id(student))  # older files do not say whose answer it is
    for path in (folder / ANSWERS_FILE, folder / SECOND_FILE):
        if not path.is_file():  # nor anything that a read would wait for
            continue
        with suppress(OSError, ValueError):  # a damaged file: as far as it can be read
            for _, row in read_answers(tables.read_bytes(path, _LARGEST_ANSWERS)):
                if isinstance(row, str) or row.new_numbers or same_id(row.student) not in whose:
                    continue
                answered.add(row.key)
                if row.key not in right and _is_right(row):
                    right.add(row.key)
    return answered, right


@functools.lru_cache(maxsize=2000)
def _is_right(row: Answer) -> bool:
    try:
        asked = question(row.key)
        return mark_numbers(asked, asked.numbers_from_json(row.numbers), row.text).right
    except ValueError:  # no exercise of this kilncalc, or numbers that are none
        return False


def _session(path: Path) -> Session:
    if not path.is_file():
        return Session()
    try:
        return Session.from_json(tables.read_bytes(path, _LARGEST_SESSION))
    except (OSError, ValueError):
        return Session()
