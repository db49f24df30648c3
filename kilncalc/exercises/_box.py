"""The text boxes: an exercise with its verdict, hints and working; and the one for the student's id."""

import base64
import functools
import html
import logging
import sys
import weakref
from collections.abc import Callable
from typing import Any

import ipywidgets as widgets

from kilncalc.exercises import _answers, _session
from kilncalc.exercises._marking import Verdict, mark_numbers
from kilncalc.exercises._questions import Question
from kilncalc.exercises._session import UNIT_NAMES, Session
from kilncalc.panels.look import alike
from kilncalc.quantities import SYSTEMS

TRIES_BEFORE_WORKING = 3
IN_BROWSER_ALONE = sys.platform == "emscripten"
"""There a folder is what the browser keeps, and what is handed in is saved by the browser."""

_STYLE = """<style>
.kilncalc-exercise { color: #1f2a36; background: #ffffff; padding: 8px 12px; border: 1px solid #5b6670;
  box-sizing: border-box; max-width: 900px; }
.kilncalc-exercise .widget-label, .kilncalc-exercise .widget-text input, .kilncalc-exercise .jupyter-button,
.kilncalc-exercise .widget-toggle-button { font-size: 16px; color: #1f2a36; }
.kilncalc-exercise .jupyter-button { background: #dde2e6; width: auto; }
.kilncalc-exercise .widget-hbox { flex-flow: row wrap; }
.kilncalc-exercise .widget-text { --jp-widgets-inline-width: 440px; max-width: 100%; margin-left: 0; }
.kilncalc-exercise .widget-toggle-buttons { --jp-widgets-inline-width: auto; max-width: 100%; }
.kilncalc-exercise .widget-toggle-buttons > div { flex-wrap: wrap; }
.kilncalc-exercise .jupyter-button:disabled { color: #5b6670; background: #ffffff; opacity: 1; }
.kilncalc-exercise .jupyter-button.mod-active { font-weight: bold; background: #ffffff;
  border: 2px solid #1f2a36; }
.kilncalc-exercise .jupyter-button:focus-visible, .kilncalc-exercise input:focus-visible {
  outline: 3px solid #14507f; outline-offset: 1px; }
.kilncalc-exercise .widget-html-content { font-size: 17px; line-height: 1.4; color: #1f2a36; }
.kilncalc-exercise p, .kilncalc-exercise ol { margin: 4px 0; }
</style>"""

_WHERE_KEPT = (
    " Answers stay in this browser on this computer, until a private window is closed or its site data are "
    "cleared. Hand in saves them as a file; do that each time before you leave a computer that is not yours."
)

_log = logging.getLogger(__name__)
_shown: "weakref.WeakSet[ExerciseBox]" = weakref.WeakSet()
"""The exercises on this kernel's page: they follow when the student or the units are changed there."""


def _told(handler: Callable[..., None]) -> Callable[..., None]:
    """Make a handler show in the box what a callback would otherwise lose."""

    @functools.wraps(handler)
    def guarded(self: Any, *arguments: Any) -> None:
        try:
            handler(self, *arguments)
        except Exception as error:  # a front-end drops an exception in a callback; a sentence it shows
            _log.exception("in a text box")
            self.tell(
                f"Something went wrong in this box ({type(error).__name__}: {error}). Tell your teacher."
            )

    return guarded


class _Box(widgets.VBox):
    """A framed box with a place for sentences; what a notebook stores of it is `plain` and `markdown`."""

    def __init__(self) -> None:
        self.message = widgets.HTML(**alike(widgets.HTML))
        super().__init__(**alike(_Box))
        self.add_class("kilncalc-exercise")
        self.plain = self.markdown = ""

    def tell(self, sentence: str) -> None:
        """Show a sentence where the verdict stands."""
        self.message.value = _live(_paragraph(sentence))

    def __repr__(self) -> str:
        return self.plain

    def _repr_mimebundle_(self, **keywords: Any) -> Any:
        shown = super()._repr_mimebundle_(**keywords)
        return {**shown, "text/plain": self.plain, "text/markdown": self.markdown}


class ExerciseBox(_Box):
    """One exercise: the question, a box for the answer, the verdict, hints, new numbers, the working."""

    def __init__(self, question: Question) -> None:
        super().__init__()
        self.question = question
        self.marked, self.tries, self.hints_shown = "", 0, 0
        self.asked = widgets.HTML(**alike(widgets.HTML))
        self.answer = widgets.Text(
            description="Answer",
            placeholder="with its unit, then Enter",
            continuous_update=False,
            tooltip=f"Answer to exercise {question.key}: type it and press Enter",
            **alike(widgets.Text),
        )
        self.check = _button("Check", "Mark the answer, as Enter does", self.on_check)
        self.hint = _button("Hint", "Show one more hint", self.on_hint)
        self.fresh = _button("New numbers", "Other numbers, for practice", self.on_fresh)
        self.own = _button(
            "My own numbers",
            "Back to the numbers that count",
            self.on_own,
            layout=widgets.Layout(display="none"),  # its own: it is hidden at times
        )
        self.solution = _button("Working", "The worked solution", self.on_working)
        self.hints, self.steps, self.note = (widgets.HTML(**alike(widgets.HTML)) for _ in range(3))
        self.answer.observe(self.on_answer, "value")
        self.children = [
            self.asked,
            widgets.HBox([self.answer, self.check], **alike(widgets.HBox)),
            self.message,
            widgets.HBox([self.hint, self.fresh, self.own, self.solution], **alike(widgets.HBox)),
            self.hints,
            self.steps,
            self.note,
        ]
        self._begin(_session.session())
        _shown.add(self)

    @_told
    def on_answer(self, _change: Any = None) -> None:
        """Mark what stands in the text box, and keep it."""
        text = self.answer.value
        if not text.strip():
            self.message.value = self.marked = ""  # what was said of an answer goes with it
            return
        now = _session.session()
        if self._state(now) != self._state(self.session):
            self._begin(now)
            self.tell(
                f"The student, the units or the numbers were changed elsewhere, so “{text}” was not marked: "
                "please answer the question as it is now."
            )
            return
        self.marked = text
        verdict, problem = _answers.mark_and_keep(self.question, self.numbers, text, now)
        self.message.value = _live(verdict._repr_html_())
        self._count(verdict)
        self._say_what_is_kept(problem)

    @_told
    def on_session(self, session: Session) -> None:
        """Ask the question as it is for the student and the units of the session."""
        if self._state(session) != self._state(self.session):
            self._begin(session)

    @_told
    def on_check(self, _button: Any = None) -> None:
        """Mark the answer, unless leaving the text box has just done so."""
        if not self.answer.value.strip():
            self.tell("Type an answer first.")
        elif self.answer.value != self.marked:
            self.on_answer()

    @_told
    def on_hint(self, _button: Any = None) -> None:
        """Show one more hint."""
        shown = [*self.question.hints[: self.hints_shown + 1]]
        self.hints_shown = len(shown)
        self.hint.disabled = self.hints_shown == len(self.question.hints)
        items = "".join(f"<li>{html.escape(hint)}</li>" for hint in shown)
        self.hints.value = _live(f"<strong>Hints</strong><ol>{items}</ol>")

    @_told
    def on_fresh(self, _button: Any = None) -> None:
        """Ask the same question with other numbers."""
        self._begin(_session.set_new_numbers(self.question.key, self.round + 1))

    @_told
    def on_own(self, _button: Any = None) -> None:
        """Ask the question with the student's own numbers again."""
        self._begin(_session.set_new_numbers(self.question.key, 0))

    @_told
    def on_working(self, _button: Any = None) -> None:
        """Show the working with the numbers of the question."""
        self.steps.value = _live(self.question.worked(self.numbers)._repr_html_())

    def _begin(self, session: Session) -> None:
        """Ask the question afresh, as the session has it."""
        self.session = session
        self.round = session.new_numbers.get(self.question.key, 0)
        self.numbers = self.question.numbers_for(session.student, session.units, self.round)
        self.plain = self.question.plain(self.numbers)
        self.markdown = self.question.markdown(self.numbers)
        heading = html.escape(self.question.heading)
        text = _paragraph(self.question.question_text(self.numbers))
        self.asked.value = f"{_STYLE}<p><strong>{heading}</strong></p>{text}"
        self.answer.value = self.marked = ""
        self.message.value = self.hints.value = self.steps.value = ""
        self.tries, self.hints_shown = 0, 0
        self.hint.disabled, self.solution.disabled = False, True
        self.own.layout.display = None if self.round else "none"
        for earlier in self._kept():
            self._count(mark_numbers(self.question, self.numbers, earlier.text))
        self._say_what_is_kept(session.problem)

    def _state(self, session: Session) -> tuple[str, str, int]:
        return session.student, session.units, session.new_numbers.get(self.question.key, 0)

    def _count(self, verdict: Verdict) -> None:
        self.tries += verdict.value is not None
        if verdict.right or self.tries >= TRIES_BEFORE_WORKING:
            self.solution.disabled = False

    def _kept(self) -> list[_answers.Answer]:
        """Return the answers this student gave to the question with the numbers it has now."""
        if not self.session.student:
            return []
        numbers = self.numbers.to_json()
        kept = _answers.kept(self.question.key, self.session.student)
        return [answer for answer in kept if answer.numbers == numbers]

    def _say_what_is_kept(self, problem: str) -> None:
        sentences = (
            ["These are practice numbers; answers to them are kept as practice."] if self.round else []
        )
        if not self.session.student:
            sentences.append("No student is set: answers are marked but not kept.")
        elif kept := self._kept():
            sentences.append(f"Answers so far: {len(kept)}; the last was “{kept[-1].text}”.")
        sentences.append(f"The working opens after a right answer or {TRIES_BEFORE_WORKING} tries.")
        spoken = _live(_paragraph(problem)) if problem else ""
        self.note.value = spoken + "".join(_paragraph(sentence) for sentence in sentences)


class StudentBox(_Box):
    """Who works in this folder, and in which units: to be set once, without typing code."""

    def __init__(self) -> None:
        super().__init__()
        self.plain = self.markdown = "Who works here, and in which units? Run this cell to choose."
        now = _session.session()
        self.name = widgets.Text(
            value=now.student,
            description="Your id",
            placeholder="as in the class list, for example S04",
            continuous_update=False,
            tooltip="Your id from the class list; leave it empty to work without one",
            **alike(widgets.Text),
        )
        self.units = widgets.ToggleButtons(
            options=[(UNIT_NAMES[system], system) for system in SYSTEMS],
            value=now.units,
            description="Units",
            style={"button_width": "240px"},
        )
        self.name.observe(self.on_change, "value")
        self.units.observe(self.on_change, "value")
        self.hand_in = _button("Hand in", "Put your answers into one file for your teacher", self.on_hand_in)
        self.handed_in = 0
        self.children = [
            widgets.HTML(_STYLE, **alike(widgets.HTML)),
            self.name,
            self.units,
            self.message,
            self.hand_in,
        ]
        self.tell(f"{now} {now.doubt}{_WHERE_KEPT if IN_BROWSER_ALONE else ''}")

    @_told
    def on_change(self, _change: Any = None) -> None:
        """Keep the id and the units as they stand in the box."""
        try:
            now = _session.student(self.name.value, self.units.value)
        except ValueError as error:
            self.tell(f"This id was not taken: {error}.")
            return
        self.tell(f"{now} {now.doubt}{_WHERE_KEPT if IN_BROWSER_ALONE else ''}")
        for box in list(_shown):
            box.on_session(now)

    @_told
    def on_hand_in(self, _button: Any = None) -> None:
        """Make the file to hand in."""
        try:
            if IN_BROWSER_ALONE:
                self._save(*_answers.to_save(_session.session()))
                return
            path = _answers.hand_in(_session.session())
        except (OSError, ValueError) as error:
            reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
            self.tell(f"There is nothing to hand in: {reason}.")
            return
        self.tell(
            f"Your answers are in {path.name}, beside the lessons in {path.parent}: give it to your teacher."
        )

    def _save(self, name: str, content: bytes) -> None:
        """Show a link that saves the file; the page follows it, once."""
        self.handed_in += 1  # so that the same words are shown, and followed, anew
        address = f"data:text/csv;base64,{base64.b64encode(content).decode()}"
        shown = html.escape(name)
        self.message.value = _live(
            f'<p data-number="{self.handed_in}">Your answers are in <a class="kilncalc-save" '
            f'download="{shown}" href="{address}">{shown}</a>, among the downloads of your browser: '
            "give it to your teacher. If it is not there, press its name here.</p>"
        )


def _button(words: str, explanation: str, handler: Callable[..., None], **own: Any) -> widgets.Button:
    button = widgets.Button(description=words, tooltip=explanation, **alike(widgets.Button) | own)
    button.on_click(handler)
    return button


def _paragraph(sentence: str) -> str:
    return f"<p>{html.escape(sentence)}</p>"


def _live(content: str) -> str:
    """Return HTML that a screen reader speaks when it changes."""
    return f'<div role="status" aria-live="polite">{content}</div>'
