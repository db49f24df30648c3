"""The key: every student's numbers, answers and workings, to be printed or put beside a stack of paper."""

import html
from collections.abc import Callable, Iterator, Sequence

from kilncalc import __version__
from kilncalc.classroom import printable, tables
from kilncalc.classroom.roster import Student
from kilncalc.exercises import Numbers, Question, lesson_labels, questions

COLUMNS = ("id", "name", "question", "title", "numbers", "answer", "tolerance", "working")

_MOST_COLUMNS = 6
"""Of more numbers than these the paper is too narrow; they share a cell."""
_STYLE = """
h2 { break-before: page; } h2:first-of-type { break-before: auto; }
.workings { columns: 2; column-gap: 8mm; font-size: 9pt; }
.working { break-inside: avoid; padding-bottom: 3mm; } ol { margin: 1mm 0; padding-left: 6mm; }
"""


def asked_in(labels: Sequence[str] = ()) -> list[Question]:
    """Return the questions of these lessons, or of all; ValueError for a lesson without exercises."""
    return [asked for label in labels or lesson_labels() for asked in questions(label)]


def to_csv(students: Sequence[Student], asked: Sequence[Question], delimiter: str = ",") -> bytes:
    """Return the key as a table, one row a student and question."""
    return tables.to_csv(COLUMNS, _rows(students, asked), delimiter)


def page(
    students: Sequence[Student],
    asked: Sequence[Question],
    progress: Callable[[int, int], None] | None = None,
) -> str:
    """Return the key as a page to print: for each question a table of answers, then the workings.

    Students who have the same numbers share a working.
    """
    parts = [
        "<h1>Key</h1>",
        f"<p>{len(students)} students, kilncalc {html.escape(__version__)}. For the teacher only.</p>",
    ]
    for number, one in enumerate(asked):
        if progress:
            progress(number, len(asked))
        parts += _of_question(one, students)
    if progress:
        progress(len(asked), len(asked))
    return printable.page("Key", "\n".join(parts), _STYLE)


def sheets(
    students: Sequence[Student],
    asked: Sequence[Question],
    progress: Callable[[int, int], None] | None = None,
) -> str:
    """Return the answers alone as a page to print: one sheet of paper a student."""
    parts = []
    for number, student in enumerate(students):
        if progress:
            progress(number, len(students))
        rows = "".join(
            f"<tr><td>{html.escape(one.key)} {html.escape(one.title)}</td>"
            f"<td>{html.escape(_answer(one, one.numbers_for(student.id, student.units)))}</td></tr>"
            for one in asked
        )
        parts.append(
            f"<section class='student'><header>{printable.who(student, strong=True)} — key, for the teacher "
            f"only</header><table>{rows}</table></section>"
        )
    if progress:
        progress(len(students), len(students))
    return printable.page("Key", "\n".join(parts), _SHEETS)


_SHEETS = """
@page { margin: 12mm; } .student { break-after: page; } .student:last-of-type { break-after: auto; }
.student table { display: block; columns: 2; font-size: 8pt; border: 0; } td { padding: 0.4mm 1.5mm; }
"""


def _of_question(asked: Question, students: Sequence[Student]) -> Iterator[str]:
    groups: dict[str, tuple[Numbers, list[Student]]] = {}
    rows = []
    in_one = len(asked.given) > _MOST_COLUMNS
    for student in students:
        numbers = asked.numbers_for(student.id, student.units)
        groups.setdefault(numbers.to_json(), (numbers, []))[1].append(student)
        texts = [numbers.texts[given.name] for given in asked.given]
        if in_one:
            texts = [
                "; ".join(f"{given.name}: {text}" for given, text in zip(asked.given, texts, strict=True))
            ]
        cells = "".join(f"<td>{html.escape(text)}</td>" for text in texts)
        answer = html.escape(_answer(asked, numbers))
        rows.append(f"<tr><th>{printable.who(student)}</th>{cells}<td>{answer}</td></tr>")
    names = ["numbers"] if in_one else [given.name for given in asked.given]
    heads = "".join(f"<th>{html.escape(name)}</th>" for name in names)
    yield (
        f"<h2>{html.escape(asked.heading)}</h2><p>{html.escape(asked.tolerance_text('both'))}</p>"
        f"<table><thead><tr><th>student</th>{heads}<th>answer</th></tr></thead>"
        f"<tbody>{''.join(rows)}</tbody></table>"
    )
    yield '<div class="workings">'
    for numbers, group in groups.values():
        ids = html.escape(", ".join(student.id for student in group))
        steps = "".join(f"<li>{html.escape(step)}</li>" for step in asked.worked(numbers).steps)
        slips = "; ".join(
            f"{name}: {asked.said(slip.value, numbers)}" for name, slip in asked.slips(numbers).items()
        )
        yield (
            f'<section class="working"><strong>{ids}</strong><ol>{steps}</ol>'
            f"Slips give: {html.escape(slips)}.</section>"
        )
    yield "</div>"


def _rows(students: Sequence[Student], asked: Sequence[Question]) -> Iterator[Sequence[object]]:
    for student in students:
        for one in asked:
            numbers = one.numbers_for(student.id, student.units)
            given = "; ".join(f"{name}: {text}" for name, text in numbers.texts.items())
            steps = " ".join(one.worked(numbers).steps)
            yield (
                *(student.id, student.name, tables.named(one.key), one.title),
                *(given, _answer(one, numbers), one.tolerance_text(numbers.units), steps),
            )


def _answer(asked: Question, numbers: Numbers) -> str:
    return asked.said(asked.value(numbers), numbers)
