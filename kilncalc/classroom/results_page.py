"""The results of a class as one page: where it stumbled, over what, and who has answered what."""

import html
from collections.abc import Iterator, Sequence

from kilncalc import __version__
from kilncalc.classroom import printable
from kilncalc.classroom.results import STATES, Mark, Results
from kilncalc.classroom.tables import Problem, shown
from kilncalc.exercises import Question
from kilncalc.figures.style import FIRST, FONT, GRID, INK, PAPER, QUIET, SECOND, TEXT_SIZE

SIGNS = {"right": "✓", "slip": "≈", "wrong": "✗", "unread": "?", "missing": "–"}
WORDS = {
    "right": "right",
    "slip": "a slip with a name",
    "wrong": "another number",
    "unread": "could not be read",
    "missing": "no answer",
}
FOREIGN = "≠"

_LOOKS = {
    "right": (FIRST, PAPER),
    "slip": ("url(#slanted)", INK),
    "wrong": ("url(#crossed)", INK),
    "unread": (GRID, INK),
    "missing": (PAPER, INK),
}
"""Fill and ink of each state: brightness and pattern differ, so that a grey print tells them apart."""

_MOST_PROBLEMS_SHOWN = 500
_LABELS, _BARS, _ROW = 380, 600, 30
_STYLE = """
.legend span { display: inline-block; margin-right: 5mm; }
table.marks { font-size: 9pt; } table.marks td { min-width: 14mm; } .when { color: #5b6670; font-size: 8pt; }
"""
_PATTERNS = (
    f'<defs><pattern id="slanted" width="8" height="8" patternUnits="userSpaceOnUse" '
    f'patternTransform="rotate(45)"><rect width="8" height="8" fill="{PAPER}"/>'
    f'<rect width="3" height="8" fill="{SECOND}"/></pattern>'
    f'<pattern id="crossed" width="9" height="9" patternUnits="userSpaceOnUse">'
    f'<rect width="9" height="9" fill="{PAPER}"/><path d="M0 0L9 9M9 0L0 9" stroke="{QUIET}" '
    f'stroke-width="1.5"/></pattern></defs>'
)


def page(results: Results) -> str:
    """Return the page; it loads nothing, and everything that others typed is shown as text."""
    parts = [
        "<h1>What the class answered</h1>",
        f"<p>{len(results.students)} students, {results.files} files of answers, read by kilncalc "
        f"{html.escape(__version__)}. In each question the last answer decides; practice with new numbers "
        "is counted apart. "
        "This is a self-check, not an examination.</p>",
        "<h2>Who handed in</h2>",
        *_handed_in(results),
        "<h2>Which question stumbled</h2>",
        _questions_chart(results),
        "<h2>Which slip, how often</h2>",
        _slips_chart(results),
        "<h2>Who answered what</h2>",
        *_tables(results),
        "<h2>What to look at</h2>",
        _problems(results),
    ]
    return printable.page("Results", "\n".join(parts), _STYLE)


def _handed_in(results: Results) -> Iterator[str]:
    count = len(results.questions)
    if results.missing:
        names = "; ".join(printable.who(student) for student in results.missing)
        counted = f"{len(results.missing)} of {len(results.students)}"
        yield f"<p><strong>Nothing from {counted}: {names}.</strong></p>"
    else:
        yield f"<p>All {len(results.students)} students.</p>"
    rows = "".join(
        f"<tr><th>{printable.who(student)}</th><td>{results.handed_in[student.id]}</td>"
        f"<td>{html.escape(results.last_time(student))}</td><td>{results.answered(student)} of {count}</td>"
        f"<td>{results.right(student)} of {count}</td></tr>"
        for student in results.students
        if student.id in results.handed_in
    )
    heads = "".join(f"<th>{head}</th>" for head in ("student", "files", "last answer", "answered", "right"))
    if rows:
        yield f"<table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>"


def _questions_chart(results: Results) -> str:
    if not results.questions:
        return "<p>Nobody has answered anything yet.</p>"
    bars = []
    for asked in results.questions:
        states = results.states(asked)
        bars.append((f"{asked.key} {asked.title}", [(state, states[state]) for state in STATES]))
    words = "Students by the state of their last answer, one bar a question"
    return _bars(bars, len(results.students), words, STATES)


def _slips_chart(results: Results) -> str:
    keys = [asked.key for asked in results.questions]
    made = [(key, slip, count) for (key, slip), count in results.slips.items() if key in keys]
    if not made:
        return "<p>No slip that has a name was made.</p>"
    made.sort(key=lambda one: (keys.index(one[0]), -one[2], one[1]))
    bars = [(f"{key} {slip}", [("slip", count)]) for key, slip, count in made]
    words = "How many students made each slip at least once"
    return _bars(bars, len(results.students), words, ("slip",))


def _bars(
    bars: Sequence[tuple[str, Sequence[tuple[str, int]]]], whole: int, words: str, states: Sequence[str]
) -> str:
    """Return bars of counted pieces, each named at the left, with a key to the fills above."""
    drawn = []
    for number, (label, pieces) in enumerate(bars):
        top = number * _ROW
        words_left = html.escape(shown(label, 42))
        drawn.append(f'<text x="{_LABELS - 10}" y="{top + 20}" text-anchor="end">{words_left}</text>')
        left = float(_LABELS)
        for state, count in pieces:
            if not count:
                continue
            fill, ink = _LOOKS[state]
            halo = FIRST if ink == PAPER else PAPER
            width = _BARS * count / whole
            drawn.append(
                f'<rect x="{left:.1f}" y="{top + 3}" width="{width:.1f}" height="{_ROW - 6}" fill="{fill}" '
                f'stroke="{INK}"><title>{html.escape(f"{label}: {WORDS[state]}, {count}")}</title></rect>'
                f'<text x="{left + width / 2:.1f}" y="{top + 20}" text-anchor="middle" fill="{ink}" '
                f'stroke="{halo}" stroke-width="5" paint-order="stroke">{count}</text>'
            )
            left += width
    size = f'viewBox="0 0 {_LABELS + _BARS + 10} {len(bars) * _ROW}"'
    legend = " ".join(f"<span>{_swatch(state)} {WORDS[state]}</span>" for state in states)
    return (
        f'<figure><figcaption>{words}. <span class="legend">{legend}</span></figcaption>'
        f'<svg role="img" aria-label="{words}" {size} font-family="{html.escape(FONT)}" '
        f'font-size="{TEXT_SIZE}" fill="{INK}">{_PATTERNS}{"".join(drawn)}</svg></figure>'
    )


def _swatch(state: str) -> str:
    return (
        '<svg aria-hidden="true" style="display:inline-block;width:22px;height:12px" viewBox="0 0 22 12">'
        f'<rect x="0.5" y="0.5" width="21" height="11" fill="{_LOOKS[state][0]}" stroke="{INK}"/></svg>'
    )


def _tables(results: Results) -> Iterator[str]:
    signs = ", ".join(f"{SIGNS[state]} {WORDS[state]}" for state in STATES)
    yield (
        f"<p>{signs}; then the number of tries; in brackets practice, right of tried. {FOREIGN}: the numbers "
        "were not this student's.</p>"
    )
    by_lesson: dict[str, list[Question]] = {}
    for asked in results.questions:
        by_lesson.setdefault(asked.key.partition(".")[0], []).append(asked)
    for label, group in by_lesson.items():
        heads = "".join(f"<th>{html.escape(asked.key)}</th>" for asked in group)
        rows = []
        for student in results.students:
            cells = "".join(_cell(results.mark(student, asked)) for asked in group)
            rows.append(f"<tr><th>{printable.who(student)}</th>{cells}</tr>")
        yield (
            f"<h3>Lesson {html.escape(label)}</h3>"
            f'<table class="marks"><thead><tr><th>student</th>{heads}</tr></thead>'
            f"<tbody>{''.join(rows)}</tbody></table>"
        )


def _cell(mark: Mark) -> str:
    words = SIGNS[mark.state] + (FOREIGN if not mark.own_numbers else "")
    if mark.tries:
        words += f" {mark.tries}"
    if mark.practice_tries:
        words += f" ({mark.practice_right} of {mark.practice_tries})"
    if mark.slip:
        words += f" {mark.slip}"
    elif mark.state in ("wrong", "unread"):
        words += f" “{mark.text}”"
    when = f'<br><span class="when">{html.escape(mark.time)}</span>' if mark.time else ""
    return f"<td>{html.escape(words)}{when}</td>"


def _problems(results: Results) -> str:
    problems: Sequence[Problem] = results.problems
    if not problems and not results.files:
        return "<p>No file of answers was found.</p>"
    if not problems:
        return (
            "<p>Nothing: every file that was found could be read, and everybody's numbers are their own.</p>"
        )
    items = [f"<li>{html.escape(str(problem))}</li>" for problem in problems[:_MOST_PROBLEMS_SHOWN]]
    if len(problems) > _MOST_PROBLEMS_SHOWN:
        items.append(f"<li>and {len(problems) - _MOST_PROBLEMS_SHOWN} more</li>")
    return f"<ul>{''.join(items)}</ul>"
