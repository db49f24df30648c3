"""The class list: a CSV file with a column `id` and, if wanted, `name` (for display) and `units`."""

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from kilncalc.classroom.tables import Problem, TableError, decoded, read_bytes, shown
from kilncalc.exercises import checked_id, same_id
from kilncalc.quantities import unit_system

COLUMNS = ("id", "name", "units")

_LONGEST_CELL = 100_000
_LARGEST_FILE = 2_000_000
_LONGEST_NAME = 100
_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)
"""What Windows takes for a device instead of a folder, whatever follows the full stop."""


@dataclass(frozen=True)
class Student:
    """One line of the class list."""

    id: str
    name: str = ""
    units: str = "metric"


@dataclass(frozen=True)
class Roster:
    """The students in the order of the file, and the names of columns nobody asked for."""

    students: tuple[Student, ...]
    unused: tuple[str, ...] = ()


def read_roster(path: Path) -> Roster:
    """Read a class list; TableError with every problem, by line, unless all of it can be used.

    Columns may be parted by commas, semicolons or tabs. Units left empty are metric.
    """
    name = path.name
    try:
        text = decoded(read_bytes(path, _LARGEST_FILE))
    except ValueError as error:
        raise TableError([Problem(name, None, f"this file {error}")]) from None
    if not text.strip():
        raise TableError(
            [Problem(name, None, "this file is empty; it needs a line “id” and a line a student")]
        )
    students: list[Student] = []
    problems: list[Problem] = []
    lines_of_ids: dict[str, int] = {}
    columns: list[str] = []
    try:
        for line, row in _rows(text):
            if not columns:
                columns = [column.strip().casefold() for column in row]
                _check_columns(name, line, columns)
                continue
            try:
                student = _student(dict(zip(columns, row, strict=False)), len(row), len(columns))
            except ValueError as error:
                problems.append(Problem(name, line, str(error)))
                continue
            if earlier := lines_of_ids.get(same_id(student.id)):
                problems.append(Problem(name, line, f"the id {student.id} stands in line {earlier} already"))
                continue
            lines_of_ids[same_id(student.id)] = line
            students.append(student)
    except csv.Error as error:
        problems.append(Problem(name, None, f"the table cannot be read to its end: {error}"))
    if not students and not problems:
        problems.append(Problem(name, None, "there is no student in this file"))
    if problems:
        raise TableError(problems)
    return Roster(tuple(students), tuple(shown(c) for c in columns if c and c not in COLUMNS))


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """Yield the number of its last line and the cells of each row that is not empty."""
    head = text.lstrip("\r\n").splitlines()[0]
    delimiter = max(",;\t", key=head.count)
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    for row in rows:
        if any(len(cell) > _LONGEST_CELL for cell in row):  # csv's own limit is anybody's to change
            raise csv.Error(f"a cell of line {rows.line_num} is too long")
        if any(cell.strip() for cell in row):
            yield rows.line_num, row


def _check_columns(name: str, line: int, columns: list[str]) -> None:
    if "id" not in columns:
        sentence = f"no column is called “id”; here stands: {shown(', '.join(columns))}"
        raise TableError([Problem(name, line, sentence)])
    for column in COLUMNS:
        if columns.count(column) > 1:
            raise TableError([Problem(name, line, f"two columns are called “{column}”")])


def _student(cells: dict[str, str], found: int, expected: int) -> Student:
    if found > expected:
        raise ValueError(
            f"there are {found} cells under {expected} column names; a comma inside a name needs "
            '"quotation marks" around the name'
        )
    if not cells.get("id", "").strip():
        raise ValueError(f"the id is missing (name: {shown(cells.get('name', '').strip() or 'none')})")
    identifier = checked_id(cells["id"])
    if _DEVICES.fullmatch(identifier):
        raise ValueError(f"the id {identifier} cannot name a folder on Windows; choose another")
    units = cells.get("units", "").strip().casefold() or "metric"
    try:
        units = unit_system(units)
    except ValueError:
        raise ValueError(f"units are {shown(units)!r}; write metric or inches, or leave them out") from None
    return Student(identifier, shown(" ".join(cells.get("name", "").split()), _LONGEST_NAME), units)
