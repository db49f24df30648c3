"""The answers given in a lesson folder, in its `answers.csv`: a row for each answer, only ever added.

Columns: student, key, text as typed, the numbers of the question (JSON), how often "new numbers" had been
pressed (0: the student's own numbers; more: practice), package version, time (UTC). A row is one line, so
that one cut off by a power cut spoils none after it. What cannot be added to the file goes to a second file
beside it, and where that cannot be, waits in memory for the next answer. A file that is something else is not
touched.

A file is read as a spreadsheet program may have saved it: parted by commas, semicolons or tabs, in UTF-8,
UTF-16 or cp1252, its columns in any order among others.
"""

import csv
import functools
import io
import operator
import os
import re
import zipfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import NamedTuple

from kilncalc import __version__
from kilncalc.exercises._marking import Verdict, mark_numbers
from kilncalc.exercises._questions import Numbers, Question, same_id
from kilncalc.exercises._session import SESSION_FILE, Session, folder

ANSWERS_FILE = "answers.csv"
SECOND_FILE = "answers-more.csv"
COLUMNS = ("student", "key", "text", "numbers", "new_numbers", "version", "time")
LONGEST_TEXT = 500
"""An answer longer than this is kept cut off."""
LARGEST_FILE = 5_000_000

_NEEDED = {"key", "text"}
_DELIMITERS = (",", ";", "\t", "|")
_LONGEST_LINE = 20_000
_WORKBOOKS = (b"PK\3\4", b"\xd0\xcf\x11\xe0")
"""How their files begin: .xlsx and .ods, which are zips, and .xls."""
_COUNT = re.compile(r"\s*(\d{1,9})([.,]0*)?\s*", re.ASCII)
_MARKS_OF_UTF_16 = (b"\xff\xfe", b"\xfe\xff")
_LINE_ENDS = re.compile("\r\n|\n|\r")

_waiting: dict[Path, list["Answer"]] = {}


class Answer(NamedTuple):
    """One row: who typed what, to which question, and when."""

    student: str
    key: str
    text: str
    numbers: str
    new_numbers: int = 0
    version: str = ""
    time: str = ""


def mark_and_keep(question: Question, numbers: Numbers, text: str, session: Session) -> tuple[Verdict, str]:
    """Mark an answer and, where a student is set, keep it; return the verdict and what `keep` says."""
    verdict = mark_numbers(question, numbers, text)
    if not session.student:
        return verdict, ""
    pressed = session.new_numbers.get(question.key, 0)
    return verdict, keep(session.student, question.key, text, numbers.to_json(), pressed)


def keep(student: str, key: str, text: str, numbers: str, new_numbers: int) -> str:
    """Add an answer to the folder's file; return "" or a sentence saying where it is instead."""
    time = datetime.now(UTC).isoformat(timespec="seconds")
    where = folder()
    waiting = _waiting.setdefault(where, [])
    line = " ".join(_LINE_ENDS.split(text[:LONGEST_TEXT]))
    waiting.append(Answer(student, key, line, numbers, new_numbers, __version__, time))
    reasons = []
    for name in (ANSWERS_FILE, SECOND_FILE):
        try:
            while waiting:
                _append(where / name, waiting[0])
                del waiting[0]
        except (OSError, ValueError) as error:
            reasons.append(error.strerror if isinstance(error, OSError) and error.strerror else str(error))
    if not reasons:
        return ""
    sentence = (
        f"Your answer was marked, but it could not be added to {ANSWERS_FILE} in this folder: {reasons[0]}."
    )
    if not waiting:
        return f"{sentence} It was added to {SECOND_FILE} beside it; hand in both."
    return (
        f"{sentence} It waits in memory until the kernel is stopped, and is added with your next answer if "
        "possible."
    )


def kept(key: str, student: str) -> list[Answer]:
    """Return a student's answers to one exercise in this folder, in order, those that wait in memory last."""
    where = folder()
    rows: list[Answer | str] = []
    for name in (ANSWERS_FILE, SECOND_FILE):
        with suppress(OSError, ValueError):  # `keep` says what is wrong with the file
            rows.extend(row for _, row in read_answers(_content(where / name)))
    rows.extend(_waiting.get(where, []))
    return [
        row
        for row in rows
        if isinstance(row, Answer)
        and row.key == key
        and same_id(row.student) in ("", same_id(student))  # older files do not say whose answer it is
    ]


def hand_in(session: Session) -> Path:
    """Put the answers of this folder into a zip beside them, named by student and time, and return its path.

    Raises ValueError with a sentence where there is nothing to hand in, OSError where it cannot be written.
    """
    where = folder()
    names, waiting = _to_hand_in(session, where)
    path, archive = _new_zip(where, session.student)
    with archive:
        archive.writestr(f"{session.student}/{SESSION_FILE}", session.to_json())
        for name in names:
            archive.write(where / name, f"{session.student}/{name}")
        if waiting:
            archive.writestr(f"{session.student}/answers-waiting.csv", _rows(waiting))
    return path


def _new_zip(where: Path, student: str) -> tuple[Path, zipfile.ZipFile]:
    """Return a new zip named by student and time; pressed twice within a second, the next second's."""
    made = datetime.now()
    while True:
        path = where / f"{student}-{made:%Y-%m-%d-%H%M%S}.zip"
        try:
            return path, zipfile.ZipFile(path, "x", zipfile.ZIP_DEFLATED)
        except FileExistsError:
            made += timedelta(seconds=1)


def to_save(session: Session) -> tuple[str, bytes]:
    """Return name and content of one file with the answers of this folder, for a browser to save.

    Raises ValueError with a sentence where there is nothing to hand in.
    """
    where = folder()
    names, waiting = _to_hand_in(session, where)
    lines = [line for name in names for line in _lines(_content(where / name)) if line]
    content = "".join(f"{line}\r\n" for line in lines).encode()
    return f"answers_{session.student}.csv", content + (_rows(waiting) if waiting else b"")


def _to_hand_in(session: Session, where: Path) -> tuple[list[str], list[Answer]]:
    """Return the files of answers, and the answers that wait in memory; ValueError where there are none."""
    if not session.student:
        raise ValueError("set your id first, so that your teacher knows whose answers these are")
    names = [name for name in (ANSWERS_FILE, SECOND_FILE) if (where / name).is_file()]
    waiting = _waiting.get(where, [])
    if not names and not waiting:
        raise ValueError("there is no answer in this folder yet")
    return names, waiting


def _rows(answers: list[Answer]) -> bytes:
    return b"".join([_row(COLUMNS), *map(_row, answers)])


def read_answers(content: bytes) -> Iterator[tuple[int, Answer | str]]:
    """Yield line number and answer, or line number and a sentence for a row that is none.

    A header row says what the columns after it are; there may be several, where older and newer rows meet.
    Raises ValueError where nowhere a row names the columns; what it says follows on "this file".
    """
    columns = None
    lines = 0
    for number, line in enumerate(_lines(content), 1):
        if len(line) > _LONGEST_LINE:
            yield number, "this row is too long to be an answer"
            continue
        if found := _header(line):
            columns = found
            continue
        cells = _cells(line, columns.delimiter if columns else ",")
        if not any(cells) or (not columns and line.casefold().startswith("sep=")):
            continue
        lines += 1
        if columns:
            yield number, _answer(cells, columns)
    if not columns:
        raise ValueError(_what_it_is(content, lines))


@dataclass(frozen=True)
class _Columns:
    """What a header row says of the rows after it."""

    delimiter: str
    places: Mapping[str, int]
    """Where each of COLUMNS stands, of those that are there."""
    pick: Callable[[list[str]], tuple[str, ...]] = field(init=False, compare=False)
    """Takes the cells of COLUMNS out of a row; the row's last one for those that are not there."""

    def __post_init__(self) -> None:
        places = (self.places.get(name, -1) for name in COLUMNS)
        object.__setattr__(self, "pick", operator.itemgetter(*places))

    @functools.cached_property
    def width(self) -> int:
        """How many cells a row has that has them all."""
        return max(self.places.values()) + 1

    @functools.cached_property
    def least(self) -> int:
        """How many cells a row needs to be an answer: to the last of key, text and numbers."""
        needed = ("key", "text", "numbers")
        return max(place for name, place in self.places.items() if name in needed) + 1


def _answer(cells: list[str], columns: _Columns) -> Answer | str:
    there = len(cells)
    if there < columns.least:
        return f"this row was cut off: {there} columns of {len(columns.places)}"
    cells.extend([""] * max(columns.width - there, 1))
    student, key, text, numbers, count, version, time = columns.pick(cells)
    if not (key := key.strip()):
        return "this row names no exercise"
    pressed = 0
    if count not in ("0", ""):
        if not (counted := _COUNT.fullmatch(count)):
            return f"new_numbers is {count[:20]!r}, which is no count"
        pressed = int(counted[1])
    return Answer(student.strip(), key, text, numbers, pressed, version, time)


def _header(line: str) -> _Columns | None:
    """Return what a line says of the columns, if it names them."""
    if "key" not in (lower := line.casefold()) or "text" not in lower:
        return None
    for delimiter in _DELIMITERS:
        names = [cell.strip("\ufeff \t'").casefold() for cell in _cells(line, delimiter)]
        if set(names) >= _NEEDED:
            return _Columns(delimiter, {name: names.index(name) for name in COLUMNS if name in names})
    return None


def _cells(line: str, delimiter: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=delimiter), [])
    except csv.Error:  # a cell longer than somebody else has allowed
        return line.split(delimiter)


def _lines(content: bytes) -> Iterator[str]:
    """Yield the lines of a file in the encodings that spreadsheet programs write."""
    if _is_utf_16(content):
        marked = content[:2] in _MARKS_OF_UTF_16
        encoding = "utf-16" if marked else "utf-16-be" if content[0] == 0 else "utf-16-le"
        yield from _LINE_ENDS.split(content.decode(encoding, "replace"))
    else:
        for line in content.removeprefix(b"\xef\xbb\xbf").splitlines():  # of bytes: at \r and \n only
            try:
                yield line.decode("utf-8")
            except UnicodeDecodeError:  # an older spreadsheet's, or a letter cut in two
                yield line.decode("cp1252", "replace")


def _is_utf_16(content: bytes) -> bool:
    without_mark = content[:40:2].count(0) > 15 or content[1:40:2].count(0) > 15
    return content[:2] in _MARKS_OF_UTF_16 or (without_mark and content[:40].count(0) < 30)


def _what_it_is(content: bytes, lines: int) -> str:
    if content.startswith(_WORKBOOKS):
        return (
            "is a workbook of a spreadsheet program, which is not read here; open it there, save it as "
            "“CSV UTF-8” and put that file in its place"
        )
    if not content.strip(b"\xef\xbb\xbf\r\n\t ,;\0"):
        return "is empty"
    return (
        f"has no row that names the columns key and text, so none of its {lines} lines was read as an answer"
    )


def _content(path: Path) -> bytes:
    if not path.exists():
        return b""
    if not path.is_file():
        raise ValueError("something of that name is there that is not a file")
    with path.open("rb") as file:
        content = file.read(LARGEST_FILE + 1)
    if len(content) > LARGEST_FILE:
        raise ValueError("the file there is too large and was left alone; rename it")
    return content


def _append(path: Path, answer: Answer) -> None:
    """Add one row, on a line of its own, under a header that says what its columns are."""
    content = _content(path)
    header = _row(COLUMNS)
    if _is_utf_16(content):
        raise ValueError("the file there was saved as UTF-16 by another program and was left alone")
    last = None
    for line in _lines(content):
        last = _header(line) or last
    if last is None and content.strip(b"\0\r\n ") and not header.startswith(content.rstrip(b"\0")):
        raise ValueError("the file there is not one of answers and was left alone; rename it")
    row = b"" if not content or content.endswith((b"\n", b"\r")) else b"\r\n"
    if last is None or last != _header(header.decode()):
        row += header
    row += _row(answer)
    handle = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o666)
    try:
        if os.write(handle, row) != len(row):
            raise ValueError("the disk is full")
    finally:
        os.close(handle)


def _row(cells: Sequence[object]) -> bytes:
    text = io.StringIO(newline="")
    csv.writer(text).writerow(cells)
    return text.getvalue().encode("utf-8", "replace")
