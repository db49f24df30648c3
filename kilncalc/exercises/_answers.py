"""The answers of one student, in `answers.csv` of the lesson folder: a row for each answer, only ever added.

Columns: key, text as typed, the numbers of the question (JSON), how often "new numbers" had been pressed (0:
the student's own numbers; more: practice), package version, time (UTC). The last row of a key counts. A file
that is not one of these is never touched; answers that could not be written wait in memory and are written
together with the next one.
"""

import csv
import io
import os
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from kilncalc import __version__
from kilncalc.exercises._session import folder

ANSWERS_FILE = "answers.csv"
COLUMNS = ("key", "text", "numbers", "new_numbers", "version", "time")
LONGEST_TEXT = 500
"""An answer longer than this is kept cut off."""

_LARGEST_FILE = 5_000_000
_LONGEST_FIELD = 100_000

_waiting: dict[Path, list["Answer"]] = {}


@dataclass(frozen=True)
class Answer:
    """One row: what was typed, to which question, and when."""

    key: str
    text: str
    numbers: str
    new_numbers: int
    version: str
    time: str


def keep(key: str, text: str, numbers: str, new_numbers: int) -> str:
    """Add an answer to the folder's file; return "" or a sentence saying why it had to wait in memory."""
    time = datetime.now(UTC).isoformat(timespec="seconds")
    where = folder()
    waiting = _waiting.setdefault(where, [])
    waiting.append(Answer(key, text[:LONGEST_TEXT], numbers, new_numbers, __version__, time))
    try:
        while waiting:
            _append(where / ANSWERS_FILE, waiting[0])
            del waiting[0]
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        return (
            f"Your answer was marked, but it could not be added to {ANSWERS_FILE} in this folder: {reason}. "
            "It waits in memory until the kernel is stopped, and is added with your next answer if possible."
        )
    return ""


def kept(key: str) -> list[Answer]:
    """Return the answers to one exercise in this folder, in order, those that wait in memory last."""
    where = folder()
    rows: list[Answer | str] = []
    with suppress(OSError, ValueError):  # `keep` says what is wrong with the file
        rows.extend(row for _, row in read_answers(_content(where / ANSWERS_FILE)))
    rows.extend(_waiting.get(where, []))
    return [row for row in rows if isinstance(row, Answer) and row.key == key]


def read_answers(content: bytes) -> Iterator[tuple[int, Answer | str]]:
    """Yield line number and answer, or line number and a sentence for a row that is none.

    Raises ValueError where the content is not, or from there on no longer, a file of answers; what it says
    follows on "the file": "is damaged at line 7 (...)".
    """
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ValueError("is damaged (not UTF-8)") from None
    lines = csv.reader(io.StringIO(text, newline=""), strict=True)
    first = True
    while True:
        try:
            row = next(lines, None)
        except csv.Error as error:
            raise ValueError(f"is damaged at line {lines.line_num} ({error})") from None
        if row is None:
            return
        if any(len(field) > _LONGEST_FIELD for field in row):  # csv's own limit is anybody's to change
            raise ValueError(f"is damaged at line {lines.line_num} (a field is too long)")
        if first and tuple(row) != COLUMNS:
            raise ValueError("has other columns")
        if tuple(row) != COLUMNS and row:  # a second header: two notebooks began the file at the same time
            yield lines.line_num, _answer(row)
        first = False


def _answer(row: list[str]) -> Answer | str:
    if len(row) != len(COLUMNS):
        return f"this row has {len(row)} columns instead of {len(COLUMNS)}"
    key, text, numbers, new_numbers, version, time = row
    if not (new_numbers.isascii() and new_numbers.isdigit() and len(new_numbers) < 10):
        return f"new_numbers is {new_numbers[:20]!r}, which is no count"
    return Answer(key, text, numbers, int(new_numbers), version, time)


def _content(path: Path) -> bytes:
    if not path.exists():
        return b""
    if not path.is_file():
        raise ValueError("something of that name is there that is not a file")
    with path.open("rb") as file:
        content = file.read(_LARGEST_FILE + 1)
    if len(content) > _LARGEST_FILE:
        raise ValueError("the file there is too large and was left alone; rename it")
    return content


def _append(path: Path, answer: Answer) -> None:
    content = _content(path)
    try:
        for _ in read_answers(content):
            pass
    except ValueError as error:  # not one of ours
        raise ValueError(f"the file there {error} and was left alone; rename it") from None
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    if not content:
        writer.writerow(COLUMNS)
    elif not content.endswith(b"\n"):
        text.write("\r\n")
    writer.writerow(
        (answer.key, answer.text, answer.numbers, answer.new_numbers, answer.version, answer.time)
    )
    row = text.getvalue().encode("utf-8", "replace")
    handle = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o666)
    try:
        if os.write(handle, row) != len(row):
            raise ValueError("the disk is full")
    finally:
        os.close(handle)
