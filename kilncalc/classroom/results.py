"""What a class answered, by student and question, marked again from what was typed; nothing is run."""

import codecs
import functools
import itertools
from collections import Counter
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from kilncalc import __version__
from kilncalc.classroom import tables
from kilncalc.classroom.handed_in import Found, search
from kilncalc.classroom.roster import Student
from kilncalc.classroom.tables import Problem, shown
from kilncalc.exercises import (
    Answer,
    Numbers,
    Question,
    lesson_labels,
    mark_numbers,
    questions,
    read_answers,
    same_id,
)

STATES = ("right", "slip", "wrong", "unread", "missing")
"""Of the last answer with a student's own numbers: right; a slip that has a name; another number; no quantity
that can be read, or one of another kind; no answer."""

COLUMNS = (
    *("id", "name", "question", "title", "state", "slip", "answer", "tries", "numbers"),
    *("practice_tries", "practice_right"),
)

_STATE_OF = {"right": "right", "slip": "slip", "unread": "unread", "other quantity": "unread"}
_MOST_ROWS = 20_000
_LONGEST_TEXT = 500
_MOST_PROBLEMS = 20


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

    def mark(self, student: Student, asked: Question) -> Mark:
        """Return the mark of one student in one question."""
        return self.marks.get((student.id, asked.key), Mark())

    def states(self, asked: Question) -> Counter[str]:
        """Return how many students are in which state of a question."""
        return Counter(self.mark(student, asked).state for student in self.students)

    def to_csv(self) -> bytes:
        """Return one row a student and question."""
        return tables.to_csv(COLUMNS, self._rows())

    def _rows(self) -> Iterator[Sequence[object]]:
        for student, asked in itertools.product(self.students, self.questions):
            mark = self.mark(student, asked)
            numbers = "" if mark.state == "missing" else "own" if mark.own_numbers else "not this student's"
            yield (
                *(student.id, student.name, asked.key, asked.title, mark.state, mark.slip, mark.text),
                *(mark.tries, numbers, mark.practice_tries, mark.practice_right),
            )


def collect(
    students: Sequence[Student],
    folder: Path,
    labels: Sequence[str] = (),
    leave_out: Collection[Path] = (),
    progress: Callable[[int, int], None] | None = None,
) -> Results:
    """Read and mark every file of answers in `folder`.

    Without `labels` the questions are those of every lesson that somebody has answered. Memory does not grow
    with the files: those of one student are read at a time, and only the marks are kept.

    Raises ValueError for an unknown lesson, OSError where there is no such folder.
    """
    every = {asked.key: asked for label in lesson_labels() for asked in questions(label)}
    if unknown := [label for label in labels if label not in lesson_labels()]:
        raise ValueError(
            f"no lesson {', '.join(unknown)} has exercises; these have: {', '.join(lesson_labels())}"
        )
    by_id = {same_id(student.id): student for student in students}
    found = search(folder, by_id, leave_out)
    of_student: dict[str, list[Found]] = {}
    problems = found.problems
    for one in found.found:
        if owner := one.owner(by_id):
            of_student.setdefault(owner.id, []).append(one)
            problems += _foreign_session(one, owner)
        else:
            whose = f"; its session file says {one.session}" if one.session else ""
            told = f"no name around this file is an id of the class list, so it was not counted{whose}"
            problems.append(Problem(one.name, None, told))
    result = Results(students, [], {}, Counter(), problems, 0, found.others)
    marking = _Marking(every, students)
    for number, student in enumerate(students):
        if progress:
            progress(number, len(students))
        files = of_student.get(student.id, [])
        if len(files) > 1:
            told = f"{student.id} handed in {len(files)} files; their answers were put in order of time"
            problems.append(Problem(files[0].name, None, told))
        marks, slips = marking.mark_all(student, files, problems)
        result.marks |= {(student.id, key): mark for key, mark in marks.items()}
        result.slips.update(slips)
        result.files += len(files)
    if progress:
        progress(len(students), len(students))
    answered = {key for _, key in result.marks}
    result.questions = [
        asked
        for label in lesson_labels()
        if label in labels or (not labels and any(asked.key in answered for asked in questions(label)))
        for asked in questions(label)
    ]
    return result


def _foreign_session(one: Found, owner: Student) -> Iterator[Problem]:
    if one.session and same_id(one.session) != same_id(owner.id):
        told = f"counted for {owner.id} by its place, but the session file beside it says {one.session}"
        yield Problem(one.name, None, told)


@dataclass
class _Problems:
    """The problems of one file: all are counted, the first are told."""

    file: str
    told: list[Problem] = field(default_factory=list)
    count: int = 0

    def add(self, line: int | None, sentence: str) -> None:
        self.count += 1
        if self.count <= _MOST_PROBLEMS:
            self.told.append(Problem(self.file, line, sentence))

    def all(self) -> list[Problem]:
        more = self.count - _MOST_PROBLEMS
        return [
            *self.told,
            *[Problem(self.file, None, f"and {more} more problems in this file")] * (more > 0),
        ]


class _Marking:
    """Marks answers; what many answers share (numbers, verdicts) is computed once."""

    def __init__(self, every: Mapping[str, Question], students: Sequence[Student]) -> None:
        self.every, self.students = every, students
        self.read = functools.lru_cache(maxsize=5000)(self._read)
        self.own = functools.lru_cache(maxsize=5000)(self._own)
        self.verdict = functools.lru_cache(maxsize=20_000)(self._verdict)
        self.owners = functools.lru_cache(maxsize=200)(self._owners)

    def mark_all(
        self, student: Student, files: Sequence[Found], problems: list[Problem]
    ) -> tuple[dict[str, Mark], set[tuple[str, str]]]:
        """Return the marks of one student by key, and the slips made; add what is wrong with the files."""
        rows: list[tuple[_Problems, int, Answer]] = []
        seen: dict[Answer, Found] = {}
        told = []
        for one in files:
            of_file = _Problems(one.name)
            told.append(of_file)
            for line, answer in _rows_of(one, of_file):
                if seen.setdefault(answer, one) is one:  # not again from a second copy of the file
                    rows.append((of_file, line, answer))
        if len(files) > 1:
            rows.sort(key=lambda row: row[2].time)
        marks: dict[str, Mark] = {}
        slips: set[tuple[str, str]] = set()
        foreign: set[tuple[str, str]] = set()
        for of_file, line, answer in rows:
            try:
                numbers = self.read(answer.key, answer.numbers)
                state, slip = self.verdict(answer.key, answer.numbers, answer.text[:_LONGEST_TEXT])
            except ValueError as error:
                of_file.add(line, f"not counted: {shown(str(error), 200)}")
                continue
            own = self.own(answer.key, student.id, numbers.units, answer.new_numbers).texts == numbers.texts
            if not own and (of_file.file, answer.key) not in foreign:
                foreign.add((of_file.file, answer.key))
                of_file.add(line, self._say_foreign(student, answer, numbers))
            _count(marks.setdefault(answer.key, Mark()), answer, state, slip, own)
            if slip and not answer.new_numbers:
                slips.add((answer.key, slip))
        for mark in marks.values():
            mark.text = shown(mark.text)
        for of_file in told:
            problems += of_file.all()
        return marks, slips

    def _read(self, key: str, numbers: str) -> Numbers:
        if key not in self.every:
            raise ValueError(f"kilncalc {__version__} has no exercise {shown(key, 20)!r}")
        return self.every[key].numbers_from_json(numbers)

    def _own(self, key: str, student: str, units: str, new_numbers: int) -> Numbers:
        return self.every[key].numbers_for(student, units, new_numbers)

    def _verdict(self, key: str, numbers: str, text: str) -> tuple[str, str]:
        verdict = mark_numbers(self.every[key], self.read(key, numbers), text)
        return _STATE_OF.get(verdict.kind, "wrong"), verdict.slip or ""

    def _owners(self, key: str, units: str) -> dict[str, list[str]]:
        owners: dict[str, list[str]] = {}
        for student in self.students:
            owners.setdefault(self._own(key, student.id, units, 0).to_json(), []).append(student.id)
        return owners

    def _say_foreign(self, student: Student, answer: Answer, numbers: Numbers) -> str:
        theirs = self.owners(answer.key, numbers.units).get(numbers.to_json(), [])
        whose = ""
        if theirs:
            others = f" and {len(theirs) - 3} others" if len(theirs) > 3 else ""
            whose = f"; {', '.join(theirs[:3])}{others} would have them"
        elif numbers.to_json() == self.own(answer.key, "", numbers.units, 0).to_json():
            whose = "; they are those printed in the lessons for nobody in particular"
        version = f" (written by kilncalc {shown(answer.version, 20)})" * (answer.version != __version__)
        return f"exercise {answer.key} was answered with numbers that are not {student.id}'s{whose}{version}"


def _rows_of(one: Found, problems: _Problems) -> Iterator[tuple[int, Answer]]:
    try:
        content = one.content()
        if not content.removeprefix(codecs.BOM_UTF8).strip():
            raise ValueError("is empty")
        for count, (line, row) in enumerate(read_answers(content)):
            if count >= _MOST_ROWS:
                problems.add(line, f"this file has more than {_MOST_ROWS} answers; the rest was not read")
                return
            if isinstance(row, str):
                problems.add(line, row)
            else:
                yield line, row
    except OSError as error:
        problems.add(None, f"this file cannot be opened: {error.strerror or error}")
    except ValueError as error:
        problems.add(None, f"this file {error}")


def _count(mark: Mark, answer: Answer, state: str, slip: str, own: bool) -> None:
    if answer.new_numbers:
        mark.practice_tries += 1
        mark.practice_right += state == "right"
        return
    mark.tries += 1
    mark.state, mark.slip, mark.text, mark.own_numbers = state, slip, answer.text[:_LONGEST_TEXT], own
