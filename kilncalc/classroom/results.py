"""What a class answered, by student and question, marked again from what was typed; nothing is run."""

import functools
import itertools
import re
import sys
from collections import Counter
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

from kilncalc import __version__
from kilncalc.classroom import tables
from kilncalc.classroom.handed_in import Found, Ids, Search
from kilncalc.classroom.roster import Student
from kilncalc.classroom.tables import Problem, shown
from kilncalc.exercises import (
    Answer,
    Numbers,
    Question,
    judge,
    lesson_labels,
    questions,
    read_answers,
    same_id,
)

STATES = ("right", "slip", "wrong", "unread", "missing")
"""Of the last answer with a student's own numbers: right; a slip that has a name; another number; no quantity
that can be read, or one of another kind; no answer."""

COLUMNS = (
    *("id", "name", "question", "title", "state", "slip", "answer", "time", "tries", "numbers"),
    *("practice_tries", "practice_right"),
)

_MOST_ROWS = 5_000
"""Of one file: a class day gives a hundred."""
_MOST_ROWS_IN_ALL = 300_000
_LONGEST_TEXT = 500
_MOST_PROBLEMS = 20
_LEAST_NUMBERS = 3
"""As many answers have to carry a student's numbers before these say more than a name does."""

_MONTHS = {
    month: number
    for number, names in enumerate(
        (
            "jan gen ene janv",
            "feb fév fev",
            "mar mär mrt mars",
            "apr abr avr",
            "may mai mei mag",
            "jun giu juin",
            "jul lug juil",
            "aug ago août aou",
            "sep set sept",
            "oct okt ott",
            "nov",
            "dec dez dic déc",
        ),
        1,
    )
    for month in names.split()
}
"""How spreadsheet programs of several languages begin the month when they take an exercise 2.1 for a date."""


@dataclass(slots=True)
class Mark:
    """One student and one question."""

    state: str = "missing"
    slip: str = ""
    text: str = ""
    tries: int = 0
    own_numbers: bool = True
    practice_tries: int = 0
    practice_right: int = 0
    time: str = ""
    """When the answer that counts was given, by this machine's clock; empty if that is not known."""


@dataclass
class Results:
    """What the class answered."""

    students: Sequence[Student]
    questions: Sequence[Question]
    marks: dict[tuple[str, str], Mark]
    """By id and key; a question without any answer has no entry."""
    slips: Counter[tuple[str, str]]
    """By key and name of the slip: how many students made it at least once, with their own numbers."""
    problems: list[Problem]
    files: int
    others: int
    """Files in the folder that were not looked at."""
    handed_in: dict[str, int] = field(default_factory=dict)
    """How many files hold answers of a student, by id; who handed in nothing has no entry."""

    def mark(self, student: Student, asked: Question) -> Mark:
        """Return the mark of one student in one question."""
        return self.marks.get((student.id, asked.key), Mark())

    def states(self, asked: Question) -> Counter[str]:
        """Return how many students are in which state of a question."""
        return Counter(self.mark(student, asked).state for student in self.students)

    def right(self, student: Student) -> int:
        """Return how many of the questions a student has right, with the student's own numbers."""
        marks = (self.mark(student, asked) for asked in self.questions)
        return sum(mark.state == "right" and mark.own_numbers for mark in marks)

    def answered(self, student: Student) -> int:
        """Return how many of the questions a student has answered at all."""
        return sum(self.mark(student, asked).state != "missing" for asked in self.questions)

    def last_time(self, student: Student) -> str:
        """Return when a student gave the last of the answers that count."""
        return max((self.mark(student, asked).time for asked in self.questions), default="")

    @property
    def missing(self) -> list[Student]:
        """The students of whom no answer was found."""
        return [student for student in self.students if student.id not in self.handed_in]

    def to_csv(self, delimiter: str = ",") -> bytes:
        """Return one row a student and question."""
        return tables.to_csv(COLUMNS, self._rows(), delimiter)

    def grades(self, delimiter: str = ",") -> bytes:
        """Return one row a student: files, questions right and answered, per cent right, and each state."""
        keys = [tables.named(asked.key) for asked in self.questions]
        columns = ("id", "name", "files", "right", "answered", "of", "percent_right", "last_answer", *keys)
        return tables.to_csv(columns, self._grades(), delimiter)

    def _grades(self) -> Iterator[Sequence[object]]:
        count = len(self.questions)
        for student in self.students:
            right = self.right(student)
            marks = [self.mark(student, asked) for asked in self.questions]
            yield (
                *(student.id, student.name, self.handed_in.get(student.id, 0), right),
                *(self.answered(student), count, round(100 * right / count) if count else 0),
                self.last_time(student),
                *(mark.state if mark.own_numbers else f"{mark.state}, not own numbers" for mark in marks),
            )

    def _rows(self) -> Iterator[Sequence[object]]:
        for student, asked in itertools.product(self.students, self.questions):
            mark = self.mark(student, asked)
            numbers = "" if mark.state == "missing" else "own" if mark.own_numbers else "not this student's"
            yield (
                *(student.id, student.name, tables.named(asked.key), asked.title),
                *(mark.state, mark.slip, mark.text),
                *(mark.time, mark.tries, numbers, mark.practice_tries, mark.practice_right),
            )


class _Marked(NamedTuple):
    """What was answered to which exercise, and what became of it: kept once for all who answered so."""

    key: str
    text: str
    units: str
    numbers: str
    """As JSON, which takes less room than the numbers."""
    state: str
    slip: str


class _Row(NamedTuple):
    """One answer, marked: the verdict depends on its numbers, not on whose it is."""

    line: int
    given_by: str
    marked: _Marked
    new_numbers: int
    time: str
    version: str

    @property
    def same(self) -> tuple[object, ...]:
        """What a copy of this row has in common with it."""
        return self.given_by, self.marked, self.new_numbers, self.time


@dataclass
class _File:
    """A file that was read: its rows, what is wrong with it (the first problems in words), whose it is."""

    found: Found
    rows: list[_Row] = field(default_factory=list)
    first: list[Problem] = field(default_factory=list)
    count: int = 0
    owner: Student | None = None
    lines: int = 0
    """How many answers it holds, those that could not be counted included."""

    def add(self, line: int | None, sentence: str) -> None:
        self.count += 1
        if self.count <= _MOST_PROBLEMS:
            self.first.append(Problem(self.found.name, line, sentence))

    def all(self) -> list[Problem]:
        more = self.count - _MOST_PROBLEMS
        sentence = f"and {more} more problems in this file"
        return [*self.first, *[Problem(self.found.name, None, sentence)] * (more > 0)]


def collect(
    students: Sequence[Student],
    folder: Path,
    labels: Sequence[str] = (),
    leave_out: Collection[Path] = (),
    progress: Callable[[int, int], None] | None = None,
    asked: Sequence[Question] = (),
    own: Sequence[Question] = (),
) -> Results:
    """Read and mark every file of answers in `folder`.

    The questions shown are those `asked`; without these, those of the lessons with `labels`; without either,
    those of every lesson that somebody has answered; and the teacher's `own` besides. One file is read at a
    time, and of it only the marked rows are kept.

    Raises ValueError for an unknown lesson, OSError where there is no such folder.
    """
    every = {asked.key: asked for label in lesson_labels() for asked in questions(label)}
    every |= {question.key: question for question in own}
    if unknown := [label for label in labels if label not in lesson_labels()]:
        raise ValueError(
            f"no lesson {', '.join(unknown)} has exercises; these have: {', '.join(lesson_labels())}"
        )
    ids = Ids(students)
    search = Search(folder, ids, leave_out)
    marking = _Marking(every, students)
    files: list[_File] = []
    for found in search.found():
        if progress:
            progress(min(len(files), len(students) - 1), len(students))
        files.append(marking.read_file(found))
    files.sort(key=lambda one: one.found.name)
    result = Results(students, [], {}, Counter(), search.problems, len(files), search.others)
    _share_out(files, ids, marking, result)
    for one in files:
        result.problems += one.all()
    result.problems.sort(key=lambda problem: problem.file)  # a folder has no order of its own
    if progress:
        progress(len(students), len(students))
    answered = {key for _, key in result.marks}
    of_lessons = [
        question
        for label in lesson_labels()
        if label in labels or (not labels and any(one.key in answered for one in questions(label)))
        for question in questions(label)
    ]
    result.questions = list(asked) or [*of_lessons, *own]
    return result


# ------------------------------------------------------------------------------------------------ one file


class _Marking:
    """Marks answers; what many answers share (numbers, verdicts) is computed once."""

    def __init__(self, every: Mapping[str, Question], students: Sequence[Student]) -> None:
        self.every, self.students = every, students
        self.rows = 0
        self.asked = functools.lru_cache(maxsize=5000)(self._asked)
        self.own = functools.lru_cache(maxsize=1000)(self._own)
        self.marked = functools.lru_cache(maxsize=50_000)(self._marked)
        self.owners = functools.lru_cache(maxsize=200)(self._owners)

    def read_file(self, found: Found) -> _File:
        """Return the rows of a file, marked, and what is wrong with others."""
        file = _File(found)
        try:
            for line, answer in read_answers(found.content):
                if file.lines == _MOST_ROWS or self.rows >= _MOST_ROWS_IN_ALL:
                    most = _MOST_ROWS if file.lines == _MOST_ROWS else _MOST_ROWS_IN_ALL
                    where = "this file has" if file.lines == _MOST_ROWS else "all files together have"
                    file.add(line, f"{where} more than {most} answers; the rest was not read")
                    break
                file.lines += 1
                self.rows += 1
                if isinstance(answer, str):
                    file.add(line, answer)
                    continue
                try:
                    file.rows.append(self._row(line, answer))
                except ValueError as error:
                    file.add(line, f"not counted: {shown(str(error), 200)}")
            if not file.lines:
                raise ValueError("holds no answer yet")
        except ValueError as error:
            file.add(None, f"this file {error}")
        file.found = Found(found.name, b"", found.places, found.session)
        return file

    def _row(self, line: int, answer: Answer) -> _Row:
        given_by, key, text, stored, new_numbers, version, time = answer
        marked = self.marked(key, stored, text[:_LONGEST_TEXT])
        return _Row(line, sys.intern(given_by), marked, new_numbers, time, sys.intern(version))

    def _marked(self, key: str, stored: str, text: str) -> _Marked:
        """Return an answer marked; who has the same numbers often types the same."""
        asked, numbers, stored = self.asked(key, stored)
        judged = judge(asked, numbers, text)
        state = "unread" if judged.kind == "other quantity" else judged.kind
        return _Marked(asked.key, text, numbers.units, stored, state, judged.slip or "")

    def _asked(self, key: str, stored: str) -> tuple[Question, Numbers, str]:
        """Return which exercise was answered, whatever a spreadsheet made of its key, and its numbers."""
        problem = None
        for name in self._keys(key):
            try:
                numbers = self.every[name].numbers_from_json(stored)
                return self.every[name], numbers, numbers.to_json()
            except ValueError as error:
                problem = problem or error
        raise problem or ValueError(f"kilncalc {__version__} has no exercise {shown(key, 20)!r}")

    def _keys(self, key: str) -> list[str]:
        """Return which exercises a key may stand for: 2,1 and 2. Jan and 2026-01-02 for 2.1."""
        words = re.findall(r"\d+[a-z]?(?![^\W\d_])|[^\W\d_]+", key.casefold())
        parts = [str(_MONTHS.get(word[:4]) or _MONTHS.get(word[:3]) or word.lstrip("0")) for word in words]
        parts = [part for part in parts if len(part) < 4]
        pairs = [f"{one}.{other}" for one, other in itertools.permutations(parts[:3], 2)]
        tens = [f"{name}0" for name in (key, *pairs)]  # 2.10 is the number 2.1
        return [name for name in dict.fromkeys((key, *pairs, *tens)) if name in self.every]

    def _own(self, key: str, student: str, units: str, new_numbers: int) -> str:
        return self.every[key].numbers_for(student, units, new_numbers).to_json()

    def is_own(self, row: _Row, student: str) -> bool:
        """Return whether the numbers of an answer are those of this id."""
        marked = row.marked
        return self.own(marked.key, student, marked.units, row.new_numbers) == marked.numbers

    def _owners(self, key: str, units: str) -> dict[str, list[str]]:
        owners: dict[str, list[str]] = {}
        for student in self.students:
            owners.setdefault(self._own(key, student.id, units, 0), []).append(student.id)
        return owners

    def whose(self, row: _Row) -> list[str]:
        """Return the ids of the students who would have these numbers."""
        return self.owners(row.marked.key, row.marked.units).get(row.marked.numbers, [])

    def say_foreign(self, student: Student, row: _Row) -> str:
        """Return a sentence on an answer with numbers that are not this student's."""
        theirs = self.whose(row)
        whose = ""
        if theirs:
            others = f" and {len(theirs) - 3} others" if len(theirs) > 3 else ""
            whose = f"; {', '.join(theirs[:3])}{others} would have them"
        elif self.is_own(row, ""):
            whose = "; they are those printed in the lessons for nobody in particular"
        version = f" (written by kilncalc {shown(row.version, 20)})" * (row.version != __version__)
        return (
            f"exercise {row.marked.key} was answered with numbers that are not {student.id}'s{whose}{version}"
        )


# ------------------------------------------------------------------------------------------- whose answers


def _share_out(files: Sequence[_File], ids: Ids, marking: _Marking, result: Results) -> None:
    """Give each row to the student whose it is, and mark the students one by one."""
    of_student: dict[str, list[tuple[_File, list[_Row], bool]]] = {}
    for file in files:
        hosts = _find_owner(file, ids, marking)
        shares: dict[str, list[_Row]] = {}
        for row in file.rows:
            giver = ids.named(row.given_by)[0] or file.owner
            if giver:
                shares.setdefault(giver.id, []).append(row)
        if len(shares) > 1:
            sentence = ", ".join(f"{who} {len(rows)}" for who, rows in shares.items())
            file.add(
                None, f"this file holds the answers of several students, each counted as theirs: {sentence}"
            )
        for who, rows in shares.items():
            of_student.setdefault(who, []).append((file, rows, not hosts or who in hosts))
    for student in result.students:
        own = [(file, rows) for file, rows, is_own in of_student.get(student.id, []) if is_own]
        guest = [(file, rows) for file, rows, is_own in of_student.get(student.id, []) if not is_own]
        if not own and not guest:
            continue
        marks = _mark_all(student, own, marking, result)
        for key, mark in _mark_all(student, guest, marking, result).items():
            if key not in marks and mark.own_numbers:  # what lies at another's place fills gaps only
                marks[key] = mark
        result.handed_in[student.id] = len(own) + len(guest)
        result.marks |= {(student.id, key): mark for key, mark in marks.items()}


def _find_owner(file: _File, ids: Ids, marking: _Marking) -> set[str]:
    """Set whose the rows are that do not say it; return the ids of those whose place this is."""
    by_session, _ = ids.named(file.found.session) if file.found.session else (None, False)
    by_place, exact = ids.at(file.found.places)
    claim = by_session or by_place
    unsaid = [row for row in file.rows if not ids.named(row.given_by)[0]]
    own = {(row.marked.key, row.marked.numbers): row for row in unsaid if not row.new_numbers}
    of_claim = sum(marking.is_own(row, claim.id) for row in own.values()) if claim else 0
    file.owner = claim
    if of_claim < len(own):
        votes = Counter(who for row in own.values() for who in marking.whose(row))
        (best, count), (_, second) = [*votes.most_common(2), ("", 0), ("", 0)][:2]
        if count > max(of_claim, second) and count >= _LEAST_NUMBERS and 2 * count > len(own):
            file.owner = ids.exact[same_id(best)]
            file.add(None, f"{count} of {len(own)} answers carry {best}'s numbers: counted for {best}")
    elif by_session and by_place and by_session is not by_place:
        sentence = (
            f"counted for {by_session.id} by its session file, though it lies at a place of {by_place.id}"
        )
        file.add(None, sentence)
    if file.owner is by_place and file.owner and not exact and not by_session:
        file.add(None, f"taken for a file of {file.owner.id}: no name around it is nearer to an id")
    if file.rows and unsaid and not file.owner:
        whose = f"; its session file says {shown(file.found.session, 64)}" if file.found.session else ""
        sentence = "no name around this file is an id of the class list, so it was not counted"
        file.add(None, f"{sentence}: {len(unsaid)} answers{whose}")
    for given_by in dict.fromkeys(row.given_by for row in file.rows):
        student, is_exact = ids.named(given_by)
        if given_by and not is_exact:
            for_whom = student or file.owner
            if for_whom:
                sentence = f"{shown(given_by, 64)} is not in the class list; these answers were counted for"
                file.add(None, f"{sentence} {for_whom.id}")
    return {one.id for one in (file.owner, by_session, by_place) if one}


# ------------------------------------------------------------------------------------------ one student


def _mark_all(
    student: Student, files: Sequence[tuple[_File, list[_Row]]], marking: _Marking, result: Results
) -> dict[str, Mark]:
    """Return the marks of one student by key; add the slips made, and what is to be said about the files."""
    marks: dict[str, Mark] = {}
    slips: set[tuple[str, str]] = set()
    foreign: set[tuple[str, str]] = set()
    for file, row in _in_order(student, files):
        own = marking.is_own(row, student.id) or (row.given_by != "" and marking.is_own(row, row.given_by))
        key, slip = row.marked.key, row.marked.slip
        if not own and (file.found.name, key) not in foreign:
            foreign.add((file.found.name, key))
            file.add(row.line, marking.say_foreign(student, row))
        if (mark := marks.get(key)) is None:
            mark = marks[key] = Mark()
        _count(mark, row, own)
        if slip and not row.new_numbers:
            slips.add((key, slip))
    for mark in marks.values():
        mark.text, mark.time = shown(mark.text), _local(mark.time)
    result.slips.update(slips)
    return marks


def _in_order(student: Student, files: Sequence[tuple[_File, list[_Row]]]) -> Iterator[tuple[_File, _Row]]:
    """Yield rows in the order of their file, and between files by time; rows of a second copy only once."""
    if len(files) == 1:
        ((file, rows),) = files
        yield from ((file, row) for row in rows)
        return
    seen: dict[tuple[object, ...], _File] = {}
    queues = []
    for file, rows in files:
        own = [row for row in rows if seen.setdefault(row.same, file) is file]
        if own:
            queues.append((file, [_instant(row.time) for row in own], own))
    if len(queues) > 1:
        doubtful = [
            file.found.name
            for file, times, _ in queues
            if None in times or times != sorted(filter(None, times))
        ]
        sentence = f"{student.id} handed in {len(queues)} files; their answers were put in order of time"
        if doubtful:
            sentence += (
                f"; times are missing or run backwards in {', '.join(doubtful)}, so this order is a guess"
            )
        queues[0][0].add(None, sentence)
    steps = []
    for place, (file, times, rows) in enumerate(queues):
        latest = datetime.min.replace(tzinfo=UTC)
        for time, row in zip(times, rows, strict=True):
            latest = max(latest, time or latest)
            steps.append((latest, place, file, row))
    steps.sort(key=lambda step: step[:2])  # stable: within a file the order of its rows
    yield from ((file, row) for _, _, file, row in steps)


def _instant(time: str) -> datetime | None:
    try:
        instant = datetime.fromisoformat(time.strip())
    except ValueError:
        return None
    return instant if instant.tzinfo else instant.replace(tzinfo=UTC)


def _local(time: str) -> str:
    """Return a time as the clock of this machine's place shows it."""
    instant = _instant(time)
    try:
        return instant.astimezone().isoformat(" ", "minutes")[:16] if instant else ""
    except (OverflowError, OSError, ValueError):  # a year of nowhere
        return ""


def _count(mark: Mark, row: _Row, own: bool) -> None:
    if row.new_numbers:
        mark.practice_tries += 1
        mark.practice_right += row.marked.state == "right"
        return
    mark.tries += 1
    if mark.state != "missing" and mark.own_numbers and not own:
        return  # what was answered with another's numbers does not undo one's own
    if mark.state == "right" and row.marked.state == "unread" and own == mark.own_numbers:
        return  # a right answer is not undone by one that cannot be read
    mark.state, mark.slip, mark.text = row.marked.state, row.marked.slip, row.marked.text
    mark.own_numbers = own
    mark.time = row.time
