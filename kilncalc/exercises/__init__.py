"""Self-checking exercises: each student's own numbers, a text box, a verdict that names the slip.

In a lesson: `exercise("2.1")`; before it, once a folder, `student_box()`. From code:
`answer("2.1", "412 g")`.
The questions of a lesson are the tuple QUESTIONS of the module lesson1, lesson2, lesson3b ... in this folder;
a teacher's own are read by `kilncalc.exercises.own`.
"""

import warnings
from typing import TYPE_CHECKING

from kilncalc.exercises._answers import (
    ANSWERS_FILE,
    COLUMNS,
    LARGEST_FILE,
    SECOND_FILE,
    Answer,
    mark_and_keep,
    read_answers,
)
from kilncalc.exercises._lookup import lesson_labels, question, questions
from kilncalc.exercises._marking import Verdict, judge, mark_numbers
from kilncalc.exercises._questions import (
    Given,
    Numbers,
    Question,
    Slip,
    Tolerance,
    Working,
    same_id,
)
from kilncalc.exercises._session import SESSION_FILE, Session, checked_id, near_id, session, student, units

if TYPE_CHECKING:
    from kilncalc.exercises._box import ExerciseBox, StudentBox

__all__ = [
    "ANSWERS_FILE",
    "COLUMNS",
    "LARGEST_FILE",
    "SECOND_FILE",
    "SESSION_FILE",
    "Answer",
    "Given",
    "Numbers",
    "Question",
    "Session",
    "Slip",
    "Tolerance",
    "Verdict",
    "Working",
    "answer",
    "checked_id",
    "exercise",
    "judge",
    "lesson_labels",
    "mark",
    "mark_numbers",
    "near_id",
    "question",
    "question_text",
    "questions",
    "read_answers",
    "same_id",
    "session",
    "student",
    "student_box",
    "units",
    "working",
]


def exercise(key: str) -> "ExerciseBox":
    """Show an exercise: the question, a box for the answer, the verdict, hints, new numbers, the working.

    Raises ValueError with a sentence for a key that does not exist.
    """
    from kilncalc.exercises._box import ExerciseBox  # only who sees a box pays for the widgets

    return ExerciseBox(question(key))


def student_box() -> "StudentBox":
    """Show a box in which a student types the id of the class list and chooses the units."""
    from kilncalc.exercises._box import StudentBox

    return StudentBox()


def mark(key: str, text: str, student: str | None = None, units: str | None = None) -> Verdict:
    """Return the verdict on an answer, typed with its unit; nothing is kept.

    Without a student: with the numbers the question has in this folder now. With a student: with that
    student's own; "" stands for the numbers printed in the lessons. Units left out are this folder's.
    """
    asked = question(key)
    return mark_numbers(asked, _numbers(asked, student, units), text)


def answer(key: str, text: str) -> Verdict:
    """Answer an exercise as its box does: return the verdict and, where a student is set, keep the answer.

    The numbers are those that the question has in this folder now. Warns where the answer could not be kept.
    """
    asked, now = question(key), session()
    verdict, problem = mark_and_keep(asked, _numbers(asked, None, None), text, now)
    if problem:
        warnings.warn(problem, stacklevel=2)
    return verdict


def working(key: str, student: str | None = None, units: str | None = None) -> Working:
    """Return the worked solution; `student` and `units` as for `mark`."""
    asked = question(key)
    return asked.worked(_numbers(asked, student, units))


def question_text(key: str, student: str | None = None, units: str | None = None) -> str:
    """Return the question in plain words with its numbers; `student` and `units` as for `mark`."""
    asked = question(key)
    return asked.question_text(_numbers(asked, student, units))


def _numbers(asked: Question, student: str | None, units: str | None) -> Numbers:
    now = session()
    system = now.units if units is None else units
    if student is None:
        return asked.numbers_for(now.student, system, now.new_numbers.get(asked.key, 0))
    return asked.numbers_for(student, system)
