"""A form for a whole piece: boxes made from the parts of a piece file, a picture a step, opening and saving.

What may stand in a box, and what is said when it may not, is declared by the parts themselves.
"""

from __future__ import annotations

import base64
import dataclasses
import datetime
import functools
import html
import logging
import re
import time
import typing
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from kilncalc import _comments, _resources
from kilncalc._parts import Part
from kilncalc.figures.style import Figure
from kilncalc.panels._panel import _STYLE as _PANEL_STYLE
from kilncalc.panels._panel import UNIT_NAMES, _Box, _Messages, _Picture, as_json
from kilncalc.panels.look import alike
from kilncalc.project import not_beside
from kilncalc.quantities import Show, as_text, unit_system

_log = logging.getLogger(__name__)

_PATIENCE = 1.0  # s until a bar shows how far a picture is
_WORKING = "kilncalc-working"
"""Of a picture that is being made: paler, and after a second the browser moves stripes over it by itself,
however long the kernel has nothing to tell."""

_STYLE = """<style>
.kilncalc-form .kilncalc-step { display: flex; flex-flow: row wrap; gap: 8px 24px; align-items: flex-start; }
.kilncalc-form { container-type: inline-size; }
.kilncalc-form .kilncalc-boxes { flex: 1 1 340px; min-width: 0; }
.kilncalc-form .kilncalc-boxes .widget-box, .kilncalc-form .kilncalc-boxes > * { flex-shrink: 0; }
.kilncalc-form .kilncalc-shown { flex: 2 1 560px; min-width: 0; }
@container (min-width: 820px) {
  .kilncalc-form .kilncalc-boxes { max-height: max(300px, calc(100vh - 322px)); overflow-y: auto;
    scrollbar-gutter: stable; }
}
.kilncalc-form .kilncalc-grid { display: grid; gap: 4px 12px; width: 100%; align-items: end;
  grid-template-columns: repeat(auto-fill, minmax(min(100%, 160px), 1fr)); }
.kilncalc-form .kilncalc-line :is(.widget-text, .widget-dropdown) { flex-direction: row; align-items: center;
  gap: 6px; }
.kilncalc-form .kilncalc-line :is(.widget-text input, select) { width: auto; flex: 1 1 120px; }
.kilncalc-form .kilncalc-row { display: flex; flex-flow: row wrap; gap: 4px 8px; align-items: end; }
.kilncalc-form :is(.widget-text, .widget-dropdown, .widget-textarea) { width: auto; height: auto;
  flex-direction: column; align-items: stretch; margin: 2px 0; min-width: 0; max-width: 100%; }
.kilncalc-form :is(.widget-text, .widget-dropdown, .widget-textarea) > .widget-label { width: auto;
  height: auto; flex: 0 0 auto; text-align: left; white-space: normal; line-height: 1.25; max-width: none; }
.kilncalc-form :is(.widget-text input, select, textarea) { width: 100%; flex: 0 0 auto; font-size: 16px;
  color: #1f2a36; box-sizing: border-box; min-width: 0; }
.kilncalc-form select { min-height: 30px; }
.kilncalc-form textarea { min-height: 90px; border: 1px solid #5b6670; background: #ffffff; }
.kilncalc-form .jupyter-button { width: auto; font-size: 16px; color: #1f2a36; background: #dde2e6; }
.kilncalc-form .jupyter-button:disabled { color: #5b6670; opacity: 1; }
.kilncalc-form .widget-toggle-buttons { flex: 1 1 auto; width: auto; max-width: 100%; }
.kilncalc-form .kilncalc-steps .widget-toggle-button { width: auto; }
.kilncalc-form .widget-toggle-buttons > div { flex-wrap: wrap; }
.kilncalc-form .widget-html-content { font-size: 16px; line-height: 1.4; }
.kilncalc-form h5 { font-size: 17px; margin: 8px 0 0; color: #1f2a36; }
.kilncalc-form p { margin: 4px 0; }
.kilncalc-form a { color: #14507f; text-decoration: underline; }
.kilncalc-form td:first-child:nth-last-child(2) { white-space: nowrap; }
.kilncalc-form .kilncalc-table :is(th, td):last-child:nth-child(2) { width: 100%; }
.kilncalc-form .kilncalc-notes { height: auto; max-height: 150px; overflow-y: auto; }
.kilncalc-form .kilncalc-part { border-left: 3px solid #5b6670; padding-left: 8px; margin: 2px 0 6px; }
.kilncalc-form .kilncalc-working { position: relative; }
.kilncalc-form .kilncalc-working > * { opacity: 0.4; }
.kilncalc-form .kilncalc-working::before { content: ""; position: absolute; top: 0; width: 100%; height: 8px;
  background: repeating-linear-gradient(90deg, #14507f 0 16px, #dde2e6 16px 32px); background-size: 32px 8px;
  visibility: hidden; animation: kilncalc-appears 0s 1s forwards, kilncalc-moves 1s linear infinite; }
@keyframes kilncalc-appears { to { visibility: visible; } }
@keyframes kilncalc-moves { to { background-position: 32px 0; } }
.kilncalc-form :is(button, input, select, textarea):focus-visible { outline: 3px solid #14507f;
  outline-offset: 1px; }
</style>"""


@dataclass(frozen=True)
class View:
    """One picture of a step: `result(piece, progress, *chosen)` computes, `draw(result, show)` draws.

    `choices` are what is chosen for it, each a label and what there is; `chosen` are places in these rows.
    """

    name: str
    result: Callable[..., Any]
    draw: Callable[[Any, Show], Figure]
    choices: tuple[tuple[str, tuple[str, ...]], ...] = ()


@dataclass(frozen=True)
class Step:
    """One step of a piece: what is asked, its pictures, and from which lessons it comes."""

    name: str
    words: str
    fields: tuple[str, ...]
    views: Callable[[Any], Sequence[View]]
    lessons: tuple[str, ...] = ()


@dataclass(frozen=True)
class Form:
    """A form that makes a whole piece.

    `pieces` are those it can begin with, `read` and `from_text` open a file, `fresh` gives a new part as a
    table of TOML, `adapted` what else changes with the sort of a part, `options` the words allowed in a box
    that declares none, `needed` the fields that matter, `resized` the piece at another length. `files` says
    what sort of file a field names, "" for none; such a file is beside the piece file, in the folder.
    """

    title: str
    steps: tuple[Step, ...]
    pieces: dict[str, Callable[[], Any]]
    read: Callable[[Path], Any]
    from_text: Callable[[str, str], Any]
    fresh: Callable[[str, str, Any], dict[str, Any]]
    adapted: Callable[[Part, str, Any, str], dict[str, Any]]
    options: Callable[[Part, str, Any], Sequence[str] | None]
    needed: Callable[[Part, str], bool]
    resized: Callable[[Any, str, str], tuple[Any, tuple[str, ...]]]
    files: Callable[[Part, str], str]
    guess: None = None

    def picture(self, units: str = "metric") -> Figure:
        """Return the first picture of the first piece, as the form opens."""
        piece = next(iter(self.pieces.values()))()
        view = self.steps[0].views(piece)[0]
        return view.draw(view.result(piece, _no_progress), Show(units))

    def live(self, units: str = "metric") -> widgets.VBox:
        """Return the form as a live widget; units can be switched there."""
        return LiveForm(self, units).box


def page_style() -> str:
    """Return the look of a form, for a box that stands beside it."""
    return f"{_PANEL_STYLE}{_STYLE}"


def _no_progress(_share: float) -> None:
    """Take no notice of how far a computation is."""


def _told(handler: Callable[..., None]) -> Callable[..., None]:
    """Make a handler say what a callback would otherwise lose."""

    @functools.wraps(handler)
    def guarded(self: Any, *arguments: Any) -> None:
        try:
            handler(self, *arguments)
        except Exception as error:  # a front-end drops an exception in a callback; a sentence it shows
            _log.exception("in a form")
            what = f"{type(error).__name__}: {error}"
            self.message.refuse(f"Something went wrong in this form ({what}). Tell your teacher.")

    return guarded


# -------------------------------------------------------------------------------------- words of a box


def plain(sentence: str) -> str:
    """Return a sentence about a piece file without the marks of its file format."""
    sentence = re.sub(r", begin each \w+ with \[\[\w+\]\]", "", sentence)
    sentence = re.sub(r"\[\[?(\w+)\]?\]", r"“\1”", sentence)
    return sentence.replace("without quotes", "such as 2026-03-05").replace(": 2026-03-05", "")


@functools.cache
def explained(part: Any) -> dict[str, str]:
    """Return what each field of a part is, in the words of its docstring up to unit and range."""
    found = {}
    for names, words in re.findall(r"^    (\w+(?:, \w+)*) : .*\n((?: {8}.*\n)+)", part.__doc__ or "", re.M):
        said = re.sub(
            r"^(?:One|A name|Key|The fibre paper [^`]*) ?(?:of )?`[^`]*`[:,.]?", "", " ".join(words.split())
        )
        short = re.sub(r"(?::|,)? (?:of|in)$", "", re.split(r"\[|;|`", said)[0].strip(" .,:"))
        for name in names.split(", "):
            found[name] = short[:1].lower() + short[1:]
    return found


_BETWEEN = re.compile(r"\s*(?:×|(?<![a-z])x(?![a-z])|\bby\b)\s*", re.IGNORECASE)
_UNIT = re.compile(r"[a-z\"″]+\s*$", re.IGNORECASE)


def _sides(text: str) -> list[str]:
    """Return the two parts of "240 x 180 mm"; the unit of the last counts for one that has none."""
    parts = _BETWEEN.split(text.strip())
    if len(parts) != 2:
        raise ValueError(f"“{text.strip()[:40]}” is not two lengths; write 240 mm × 180 mm, or 240 x 180 mm")
    unit = _UNIT.search(parts[-1])
    return [one if _UNIT.search(one) or not unit else f"{one} {unit[0]}" for one in parts]


@dataclass(frozen=True)
class _Words:
    """How one field of a part stands in a box, and how it is read back."""

    part: type[Part]
    name: str

    @functools.cached_property
    def _field(self) -> Any:
        return next(one for one in dataclasses.fields(self.part) if one.name == self.name)

    @functools.cached_property
    def kind(self) -> Any:
        """How the field is read and checked."""
        return self._field.metadata["kind"]

    @property
    def key(self) -> str:
        """What messages call it."""
        return self._field.metadata["key"] or self.name

    @functools.cached_property
    def hint(self) -> Any:
        """Its type, without None."""
        hint = typing.get_type_hints(self.part)[self.name]
        kinds = [one for one in typing.get_args(hint) if one is not type(None)]
        self_is_optional = len(kinds) != len(typing.get_args(hint))
        return kinds[0] if self_is_optional and len(kinds) == 1 else hint

    @property
    def optional(self) -> bool:
        """Whether it may be left empty."""
        return self._field.default is not dataclasses.MISSING

    @property
    def label(self) -> str:
        """What stands beside the box."""
        name = self.name.replace("_", " ")
        words = explained(self.part).get(self.name, "")  # type: ignore[arg-type]
        return f"{name}: {words}" if words and words != name else name

    def text(self, value: Any, units: str) -> str:
        """Return a value as it stands in the box."""
        if value is None:
            return ""
        dimension = self.kind.dimension
        if typing.get_origin(self.hint) is tuple:
            if self.hint == tuple[str, ...]:
                return "; ".join(value)
            if self.hint == tuple[float, ...]:
                return "; ".join(as_text(one, dimension, units) for one in value)
            rows = value if self.hint != tuple[float, float] else (value,)
            return "\n".join(" × ".join(as_text(one, dimension, units) for one in row) for row in rows)
        if dimension:
            return as_text(value, dimension, units)
        if isinstance(value, float):
            return f"{value:.12g}"
        if isinstance(value, datetime.date):
            return value.isoformat()
        return str(value) if isinstance(value, str | int) else str(value.to_text(units))

    def value(self, text: Any) -> Any:
        """Return what a text in the box means; ValueError with the part's own sentence."""
        text = text.strip() if isinstance(text, str) else text
        if text == "" and self.optional:
            return self._field.default
        return self.kind.read(self.key, self._toml(text))

    def _toml(self, text: Any) -> Any:
        if not isinstance(text, str):
            return text
        if self.hint == tuple[str, ...] or self.hint == tuple[float, ...]:
            return [one.strip() for one in text.split(";") if one.strip()]
        if self.hint == tuple[float, float]:
            return _sides(text)
        if typing.get_origin(self.hint) is tuple:
            return [_sides(line) for line in text.splitlines() if line.strip()]
        if self.hint is int and re.fullmatch(r"[+-]?\d{1,15}", text):
            return int(text)
        if self.hint is float and not self.kind.dimension and re.fullmatch(r"-?\d+([.,]\d+)?", text):
            return float(text.replace(",", "."))
        if self.hint is datetime.date and re.fullmatch(r"\d{4}-\d\d-\d\d", text):
            try:
                return datetime.date.fromisoformat(text)
            except ValueError:
                return text
        return text


# ----------------------------------------------------------------------------------------- the editors


class _Editor:
    """Boxes for the fields of one part; `take(part)` uses a changed one and returns why not, if not."""

    def __init__(self, live: LiveForm, value: Any, take: Callable[[Any], str], names: Sequence[str]) -> None:
        self.live, self.take, self.part, self.names = live, take, value, names
        self.message = _Messages(**alike(_Messages))
        self.waiting: dict[str, Any] = {}
        self.boxes: dict[str, Any] = {}
        self.below: dict[str, _List | _Perhaps] = {}
        self.box = widgets.VBox(**alike(widgets.VBox))
        self._fill()

    def _wanted(self, part: Any) -> list[str]:
        return [name for name in self.names if self.live.form.needed(part, name)]

    def _fill(self) -> None:
        """Make the boxes anew."""
        kinds = {one.name: one.metadata["kind"] for one in dataclasses.fields(self.part)}
        self.boxes, self.below = {}, {}
        for name in self._wanted(self.part):
            if kinds[name].part is None:
                self.boxes[name] = self._box(name)
            else:
                self.below[name] = (_List if kinds[name].many else _Perhaps)(self.live, self, name)
        grid = widgets.Box(
            [self._with_file(name, box) for name, box in self.boxes.items()], **alike(widgets.Box)
        )
        grid.add_class("kilncalc-grid")
        self.box.children = [grid, self.message, *(one.box for one in self.below.values())]

    def _box(self, name: str) -> Any:
        words, live = _Words(type(self.part), name), self.live
        value = getattr(self.part, name)
        listed = words.kind.options or live.form.options(self.part, name, live.piece)
        box: Any
        if words.hint is bool:
            yes_no = [("yes", True), ("no", False)]
            options = [("as it comes", ""), *yes_no] if value is None or words.optional else yes_no
            start = "" if value is None else value
            box = widgets.Dropdown(
                options=options, value=start, description=words.label, **alike(widgets.Dropdown)
            )
        elif listed is not None:
            known = [
                (one or "the glass of the piece" if name == "glass" else one or "none", one) for one in listed
            ]
            if value not in listed:
                known.append((str(value), value))
            box = widgets.Dropdown(
                options=known, value=value, description=words.label, **alike(widgets.Dropdown)
            )
        else:
            long = words.hint not in (str, float, int, datetime.date, tuple[float, float])
            kind = widgets.Textarea if long and "tuple[str" not in str(words.hint) else widgets.Text
            box = kind(
                value=words.text(value, live.units),
                description=words.label,
                continuous_update=False,
                tooltip=words.label,
                **alike(kind),
            )
        box.observe(functools.partial(self._changed, words), "value")
        return box

    def _with_file(self, name: str, box: Any) -> Any:
        """Return a box, below it a button that brings a file to the folder where it names one."""
        accept = self.live.form.files(self.part, name)
        if not accept:
            return box
        button = widgets.FileUpload(
            accept=accept, multiple=False, description="Choose", layout=widgets.Layout()
        )
        button.observe(functools.partial(self.on_file, name), "value")
        return widgets.VBox([box, button], **alike(widgets.VBox))

    @_told
    def on_file(self, name: str, change: Any) -> None:
        """Keep a file beside the piece file, and name it in the box; never over another one."""
        if not change["new"]:
            return
        sent = change["new"][0]
        called = Path(sent["name"].replace("\\", "/")).name
        place, content = Path.cwd() / called, bytes(sent["content"])
        if called.startswith(".") or not called:
            self.message.refuse(f"“{sent['name']}” is no name for a file in this folder.")
            return
        try:
            with place.open("xb") as file:
                file.write(content)
        except FileExistsError:
            if place.read_bytes() != content:
                self.message.refuse(
                    f"There is another file {called} in this folder, which stays as it is: rename yours."
                )
                return
        value = getattr(self.part, name)
        if isinstance(value, tuple):
            self.boxes[name].value = "; ".join(dict.fromkeys((*value, called)))
        else:
            self.boxes[name].value = called

    def _missing(self, words: _Words, value: Any) -> str:
        """Return which of the files that a box now names is not there."""
        if not self.live.form.files(self.part, words.name):
            return ""
        had = getattr(self.part, words.name)
        names, had = (one if isinstance(one, tuple) else (one,) for one in (value, had))
        told = (not_beside(one, Path.cwd()) for one in names if one not in had)
        return next((f"{words.name}: {sentence}" for sentence in told if sentence), "")

    @_told
    def _changed(self, words: _Words, change: Any) -> None:
        if self.live.writing:
            return
        name = words.name
        try:
            value = words.value(change["new"])
        except ValueError as problem:
            self._write(name)
            self.message.refuse(_sentence(words, str(problem)))
            return
        if missing := self._missing(words, value):
            self._write(name)
            self.message.refuse(missing)
            return
        before = self.waiting.get(name, getattr(self.part, name))
        if value == before:
            self._write(name)
            return
        self.waiting[name] = value
        self.waiting |= self.live.form.adapted(self.part, name, value, self.live.units)
        try:
            part = dataclasses.replace(self.part, **self.waiting)
        except ValueError as problem:
            self._not_taken(words, problem)
            return
        problem_there = self.take(part)
        if problem_there:
            self._back(name, plain(problem_there))
            return
        before = self.part
        self.part, self.waiting = part, {}
        self.message.refuse("")
        if self._wanted(before) == self._wanted(part):
            self._write(name)
        else:
            self._fill()

    def _not_taken(self, words: _Words, problem: ValueError) -> None:
        """Say why a value is not allowed, or what it still waits for."""
        own = getattr(problem, "path", ())[-1:] == (words.key,)
        if own or isinstance(self.part, type(self.live.piece)):
            self._back(words.name, _sentence(words, str(problem)) if own else _placed(self.part, problem))
        else:
            self._write(words.name)
            self.message.refuse(f"Not in the picture yet: {plain(str(problem))}.")

    def _back(self, name: str, sentence: str) -> None:
        """Let the box show again what the picture shows, and say why."""
        self.waiting = {}
        for one in self.boxes:
            self._write(one)
        self.message.refuse(sentence)

    def _write(self, name: str) -> None:
        """Write into a box what the part holds, or what waits."""
        box = self.boxes[name]
        value = self.waiting.get(name, getattr(self.part, name))
        text = "" if value is None else value
        if not isinstance(box, widgets.Dropdown):
            text = _Words(type(self.part), name).text(value, self.live.units)
        self.live.writing = True
        try:
            box.value = text
        finally:
            self.live.writing = False

    def put(self, name: str, value: Any) -> str:
        """Use another value of a field that holds parts; return why not, if not."""
        try:
            part = dataclasses.replace(self.part, **{name: value})
        except ValueError as problem:
            return _placed(self.part, problem)
        problem_there = self.take(part)
        if not problem_there:
            self.part = part
        return problem_there


def _sentence(words: _Words, problem: str) -> str:
    """Return why a value was not taken, beginning with what stands beside its box."""
    name = words.name.replace("_", " ")
    problem = re.sub(rf"^{re.escape(words.key)}(?: = '.*?')?(?=: )", "", problem).removeprefix(": ")
    if problem.startswith(f"{words.key} "):
        return plain(f"{name}{problem.removeprefix(words.key)}")
    return plain(f"{name}: {problem}")


def _placed(part: Any, problem: ValueError) -> str:
    """Return why a piece is not possible, beginning with the part of it that is meant."""
    path: Any = getattr(problem, "path", ())
    names = {one.metadata["key"] or one.name: one.name for one in dataclasses.fields(part)}
    row: Any = getattr(part, names.get(path[0], ""), None) if len(path) > 1 else None
    if isinstance(row, tuple) and isinstance(path[1], int) and path[1] < len(row):
        return f"{path[0]} {_called(row[path[1]], path[1])}: {plain(str(problem))}"
    return plain(str(problem))


def _button(words: str, tip: str, handler: Callable[[Any], None]) -> widgets.Button:
    button = widgets.Button(description=words, tooltip=tip, **alike(widgets.Button))
    button.on_click(handler)
    return button


class _List:
    """The parts of one kind, of which one is open; parts are added and removed."""

    def __init__(self, live: LiveForm, owner: _Editor, name: str) -> None:
        self.live, self.owner, self.name = live, owner, name
        self.message = _Messages(**alike(_Messages))
        words = name.replace("_", " ")
        self.head = widgets.HTML(_heading(owner.part, name), **alike(widgets.HTML))
        self.which = widgets.Dropdown(description=f"{words}: which one", **alike(widgets.Dropdown))
        self.add = _button("Add", f"Add one to the {words}", self.on_add)
        self.remove = _button("Remove", f"Remove this one of the {words}", self.on_remove)
        self.place = widgets.VBox(**alike(widgets.VBox))
        self.place.add_class("kilncalc-part")
        row = widgets.HBox([self.which, self.add, self.remove], **alike(widgets.HBox))
        row.add_class("kilncalc-row")
        self.box = widgets.VBox([self.head, row, self.message, self.place], **alike(widgets.VBox))
        self.editor: _Editor | None = None
        self._open(0)
        self.which.observe(self._chosen, "value")

    @property
    def parts(self) -> tuple[Any, ...]:
        """The parts as the piece has them."""
        found: tuple[Any, ...] = getattr(self.owner.part, self.name)
        return found

    def _open(self, number: int) -> None:
        """Show one of the parts."""
        parts = self.parts
        number = min(number, len(parts) - 1)
        self.live.writing = True
        try:
            self.which.options = [(_called(one, place), place) for place, one in enumerate(parts)]
            self.which.value = number if parts else None
        finally:
            self.live.writing = False
        self.which.disabled = self.remove.disabled = not parts
        if not parts:
            self.editor, self.place.children = None, ()
            return

        def take(part: Any) -> str:
            row = list(self.parts)
            row[number] = part
            problem = self.owner.put(self.name, tuple(row))
            if not problem:
                self._named(number)
            return problem

        names = [one.name for one in dataclasses.fields(parts[number])]
        self.editor = _Editor(self.live, parts[number], take, names)
        self.place.children = (self.editor.box,)

    def _named(self, number: int) -> None:
        """Call the parts what they are called now."""
        self.live.writing = True
        try:
            self.which.options = [(_called(one, place), place) for place, one in enumerate(self.parts)]
            self.which.value = number
        finally:
            self.live.writing = False

    @_told
    def _chosen(self, change: Any) -> None:
        if not self.live.writing and change["new"] is not None:
            self._open(change["new"])

    @_told
    def on_add(self, _button: Any = None) -> None:
        """Add a part, a copy of the open one or a fresh one."""
        if self.editor:
            added = self.editor.part
        else:
            added, problem = self.live.fresh(self.owner.part, self.name)
            if problem:
                self.message.refuse(plain(problem))
                return
        problem = self.owner.put(self.name, (*self.parts, added))
        self.message.refuse(plain(problem))
        if not problem:
            self._open(len(self.parts) - 1)

    @_told
    def on_remove(self, _button: Any = None) -> None:
        """Remove the open part."""
        number = self.which.value
        row = tuple(one for place, one in enumerate(self.parts) if place != number)
        problem = self.owner.put(self.name, row)
        self.message.refuse(plain(problem))
        if not problem:
            self._open(max(0, number - 1))


def _heading(part: Any, name: str) -> str:
    """Return the heading over parts of one kind: what the piece calls them, and what they are."""
    return f"<h5>{html.escape(_Words(type(part), name).label)}</h5>"


def _called(part: Any, place: int) -> str:
    """Return what a part is called in a list."""
    names = ("name", "process", "what", "shape", "date", "glass")
    said = next((str(getattr(part, one)) for one in names if getattr(part, one, "")), "")
    return f"{place + 1} {said}".strip()


class _Perhaps:
    """A part that a piece has or has not."""

    def __init__(self, live: LiveForm, owner: _Editor, name: str) -> None:
        self.live, self.owner, self.name = live, owner, name
        self.message = _Messages(**alike(_Messages))
        words = name.replace("_", " ")
        self.head = widgets.HTML(_heading(owner.part, name), **alike(widgets.HTML))
        self.add = _button("Add", f"The piece has a {words}", self.on_add)
        self.remove = _button("Remove", f"The piece has no {words}", self.on_remove)
        self.place = widgets.VBox(**alike(widgets.VBox))
        self.place.add_class("kilncalc-part")
        self.row = widgets.HBox(**alike(widgets.HBox))
        self.row.add_class("kilncalc-row")
        self.box = widgets.VBox([self.row, self.message, self.place], **alike(widgets.VBox))
        self.editor: _Editor | None = None
        self._open()

    def _open(self) -> None:
        part = getattr(self.owner.part, self.name)
        self.row.children = [self.head, self.remove if part else self.add]
        if part is None:
            self.editor, self.place.children = None, ()
            return
        names = [one.name for one in dataclasses.fields(part)]
        self.editor = _Editor(self.live, part, lambda new: self.owner.put(self.name, new), names)
        self.place.children = (self.editor.box,)

    def _put(self, part: Any) -> None:
        problem = self.owner.put(self.name, part)
        self.message.refuse(plain(problem))
        if not problem:
            self._open()

    @_told
    def on_add(self, _button: Any = None) -> None:
        """Give the piece such a part."""
        part, problem = self.live.fresh(self.owner.part, self.name)
        if problem:
            self.message.refuse(plain(problem))
        else:
            self._put(part)

    @_told
    def on_remove(self, _button: Any = None) -> None:
        """Take it away."""
        self._put(None)


# -------------------------------------------------------------------------------------------- the whole


class LiveForm:
    """The form on the page: the piece as the pictures show it, and all widgets."""

    def __init__(self, form: Form, units: str) -> None:
        self.form, self.units, self.writing = form, unit_system(units), False
        self.message = _Messages(**alike(_Messages))
        self.piece = dataclasses.replace(next(iter(form.pieces.values()))(), units=self.units)
        self.past: list[tuple[Any, str]] = []
        self.root: _Editor | None = None
        self.replacing: Path | None = None
        self.text = ""
        """The file this piece is from, as it was: its comments stay when it is saved."""
        self.written: dict[Path, str] = {}
        """What stands in the files that were opened or saved here."""
        self._make()
        self._offer()
        self.rebuild()
        self.redraw()

    def _make(self) -> None:
        form = self.form
        title = widgets.HTML(f"{page_style()}<h4>{html.escape(form.title)}</h4>", **alike(widgets.HTML))
        self.switch = widgets.ToggleButtons(
            options=[(name, key) for key, name in UNIT_NAMES.items()],
            value=self.units,
            tooltips=["show metric units", "show inches, ounces and °F"],
            **alike(widgets.ToggleButtons),
        )
        top = widgets.HBox([title, self.switch], **alike(widgets.HBox))
        top.add_class("kilncalc-top")
        self.begin = widgets.Dropdown(
            description="piece",
            tooltip="begin with, or open a file of this folder",
            **alike(widgets.Dropdown),
        )
        self.open = _button("Open", "Open the piece that is chosen", self.on_open)
        self.upload = widgets.FileUpload(
            accept=".toml", multiple=False, description="Another file", layout=widgets.Layout()
        )
        self.undo = _button("Undo", "Go back one change", self.on_undo)
        self.file = widgets.Text(description="save as", continuous_update=True, tooltip="name of the file")
        self.save = _button("Save", "Save the piece in this folder", self.on_save)
        self.replace = _button("Replace that file", "Write over the file", self.on_replace)
        self.download = widgets.HTML(**alike(widgets.HTML))
        self.larger = widgets.Text(
            description="other size: its length", continuous_update=False, tooltip="new length of the piece"
        )
        self.resize = _button("Make it that size", "Scale the piece to this length", self.on_resize)
        self.notes = widgets.HTML(**alike(widgets.HTML))
        self.notes.add_class("kilncalc-notes")
        opening = widgets.HBox([self.begin, self.open, self.upload, self.undo], **alike(widgets.HBox))
        self.saving = widgets.HBox([self.file, self.save, self.download], **alike(widgets.HBox))
        self.sizing = widgets.HBox([self.larger, self.resize], **alike(widgets.HBox))
        files = widgets.HBox([opening, self.saving], **alike(widgets.HBox))
        for row in (opening, self.saving, self.sizing, files):
            row.add_class("kilncalc-row")
        files.add_class("kilncalc-line")
        self.steps = widgets.ToggleButtons(
            options=[(f"{number} {step.name}", number - 1) for number, step in enumerate(form.steps, 1)],
            value=0,
            **alike(widgets.ToggleButtons),
        )
        self.steps.add_class("kilncalc-steps")
        self.words = widgets.HTML(**alike(widgets.HTML))
        self.boxes = widgets.VBox(**alike(widgets.VBox))
        self.boxes.add_class("kilncalc-boxes")
        self.view = widgets.Dropdown(description="picture", **alike(widgets.Dropdown))
        self.chosen: list[widgets.Dropdown] = []
        self.choosing = widgets.HBox(**alike(widgets.HBox))
        self.choosing.add_class("kilncalc-row")
        self.choosing.add_class("kilncalc-line")
        self.progress = widgets.FloatProgress(min=0, max=1, description="working", layout=widgets.Layout())
        self.picture = _Picture(figure=as_json(form.picture(self.units)), **alike(_Picture))
        self.shown = widgets.VBox([self.picture], **alike(widgets.VBox))
        self.shown.add_class("kilncalc-shown")
        self.body = widgets.HBox([self.boxes, self.shown], **alike(widgets.HBox))
        self.body.add_class("kilncalc-step")
        parts = [top, files, self.notes, self.steps, self.message, self.words, self.body]
        self.box = _Box(form.title, parts)
        self.box.add_class("kilncalc-form")
        self.switch.observe(self.on_units, "value")
        self.steps.observe(self.on_step, "value")
        self.view.observe(self.on_view, "value")
        self.upload.observe(self.on_upload, "value")

    # ------------------------------------------------------------------------ the piece and its pictures

    @property
    def step(self) -> Step:
        """The step that is open."""
        return self.form.steps[self.steps.value]

    def take(self, piece: Any) -> str:
        """Use a changed piece: its picture is drawn anew, those of other steps when they are opened."""
        self.past.append((self.piece, self.text))
        self.piece = piece
        self.redraw()
        return ""

    def fresh(self, owner: Part, name: str) -> tuple[Any, str]:
        """Return a new part, and why there is none."""
        kind = next(one for one in dataclasses.fields(owner) if one.name == name).metadata["kind"]
        faults: list[Any] = []
        made = kind.part.from_table(self.form.fresh(name, self.units, self.piece), (), faults)
        return made, "; ".join(str(fault) for fault in faults)

    def rebuild(self) -> None:
        """Make the boxes of the open step anew."""
        step = self.step
        self.words.value = f"<p>{html.escape(step.words)}{_from(step.lessons)}</p>"
        self.root = _Editor(self, self.piece, self.take, step.fields)
        first = step is self.form.steps[0]
        self.boxes.children = (self.root.box, self.sizing) if first else (self.root.box,)
        self.body.children = [self.boxes, self.shown] if step.fields else [self.shown]

    def redraw(self) -> None:
        """Draw the picture of the open step as the piece is now."""
        views = self.step.views(self.piece)
        names = [view.name for view in views]
        self.writing = True
        try:
            if list(self.view.options) != names:
                self.view.options = names
                self.view.value = names[0]
            view = views[names.index(self.view.value)]
            self._choose(view)
        finally:
            self.writing = False
        self.download.value = _download(self._text_now(), self.file.value)
        above = [self.choosing] if len(names) > 1 or self.chosen else []
        self.shown.children = [*above, self.picture]
        self.picture.add_class(_WORKING)
        began = time.monotonic()

        def tell(share: float) -> None:
            if time.monotonic() - began > _PATIENCE:
                self.progress.value = share
                self.shown.children = [*above, self.progress, self.picture]

        problem = ""
        try:
            result = view.result(self.piece, tell, *(one.value for one in self.chosen))
            self.picture.figure = as_json(view.draw(result, Show(self.units)))
        except (ValueError, ArithmeticError) as found:
            problem = f"{plain(str(found)).removesuffix('.')}. The picture is that of before."
        self.picture.remove_class(_WORKING)
        self.shown.children = [*above, self.picture]
        self.message.tell(problem)

    def _choose(self, view: View) -> None:
        """Offer what is chosen for a picture; what was chosen before stays."""
        offered = [(one.description, tuple(name for name, _ in one.options)) for one in self.chosen]
        if offered != list(view.choices):
            self.chosen = [self._choice(place, *one) for place, one in enumerate(view.choices)]
        self.choosing.children = [self.view, *self.chosen]

    def _choice(self, place: int, label: str, names: tuple[str, ...]) -> widgets.Dropdown:
        box = widgets.Dropdown(
            options=[(name, number) for number, name in enumerate(names)],
            value=min(place, len(names) - 1),
            description=label,
            **alike(widgets.Dropdown),
        )
        box.observe(self.on_view, "value")
        return box

    def start(self, piece: Any, text: str = "") -> None:
        """Work on another piece, from a file's text; what was there comes back with Undo."""
        self.past.append((self.piece, self.text))
        self._show(piece, text)

    def _show(self, piece: Any, text: str) -> None:
        self.piece, self.text = piece, text
        self.larger.value = ""
        self.notes.value = ""
        self.file.value = _file_name(piece.name)
        self.rebuild()
        self.redraw()

    def _text_now(self) -> str:
        """Return the piece as a file, with the comments of the one it is from."""
        return str(self.piece.to_text(self.text))

    # -------------------------------------------------------------------------------------- handlers

    @_told
    def on_units(self, change: Any) -> None:
        """Count in another unit system from now on, also in the file."""
        self.units = change["new"]
        self.piece = dataclasses.replace(self.piece, units=self.units)
        self.rebuild()
        self.redraw()

    @_told
    def on_step(self, _change: Any) -> None:
        """Open a step."""
        self.notes.value = ""
        self.rebuild()
        self.redraw()

    @_told
    def on_view(self, _change: Any) -> None:
        """Show another picture of the step."""
        if not self.writing:
            self.redraw()

    @_told
    def on_undo(self, _button: Any = None) -> None:
        """Go back one change."""
        if self.past:
            piece, text = self.past.pop()
            self._show(dataclasses.replace(piece, units=self.units), text)

    def _offer(self) -> None:
        """List the pieces to begin with, and the files of this folder."""
        files = [path.name for path in sorted(Path.cwd().glob("*.toml"))][:200]
        self.begin.options = [*self.form.pieces, *files]
        self.begin.value = self.begin.options[0]
        self.file.value = _file_name(self.piece.name)

    @_told
    def on_open(self, _button: Any = None) -> None:
        """Open the piece that is chosen."""
        name, text = self.begin.value, ""
        try:
            if name in self.form.pieces:
                made = self.form.pieces[name]()
            else:
                made = self.form.read(Path.cwd() / name)
                text = (Path.cwd() / name).read_text(encoding="utf-8-sig")
                self.written[Path.cwd() / name] = text
        except (ValueError, OSError) as problem:
            self.message.refuse(plain(str(problem)))
            return
        self.start(dataclasses.replace(made, units=self.units), text)
        if text:
            self.file.value = name

    @_told
    def on_upload(self, change: Any) -> None:
        """Open a file from elsewhere."""
        if not change["new"]:
            return
        sent = change["new"][0]
        try:
            text = bytes(sent["content"]).decode("utf-8-sig")
            made = self.form.from_text(text, sent["name"])
        except UnicodeDecodeError:
            self.message.refuse(f"{sent['name']} is not a piece file: it is no text.")
            return
        except ValueError as problem:
            self.message.refuse(plain(str(problem)))
            return
        self.start(dataclasses.replace(made, units=self.units), text)

    @_told
    def on_save(self, _button: Any = None) -> None:
        """Save the piece in this folder, never over a file that is there."""
        self._save(False)

    @_told
    def on_replace(self, _button: Any = None) -> None:
        """Write over the file that is there."""
        self._save(True)

    def _save(self, over: bool) -> None:
        name = self.file.value.strip()
        self.saving.children = [self.file, self.save, self.download]
        if not name or Path(name).name != name or name.startswith(".") or re.search(r'[\\/:*?"<>|]', name):
            self.notes.value = _alert(f"“{name}” is no name for a file: letters and digits, no slashes.")
            return
        place = Path.cwd() / (name if name.endswith(".toml") else f"{name}.toml")
        over = over and place == self.replacing
        text, aside = self._text_now(), ""
        try:
            if over and self._would_be_lost(place, text):
                aside = _set_aside(place)
            self.piece.write(place, overwrite=over, keep=self.text)
        except FileExistsError:
            self.replacing = place
            self.saving.children = [self.file, self.save, self.replace, self.download]
            lost = self._would_be_lost(place, text)
            self.notes.value = _alert(
                f"There is a file {place.name} here already; nothing was written. Choose another name, or "
                f"replace it: {lost or 'its comments stay'}."
            )
            return
        except OSError as problem:
            self.notes.value = _alert(f"{place.name} could not be written: {problem.strerror}.")
            return
        self.replacing = None
        self.written[place] = text
        chosen = self.begin.value
        self._offer_files(chosen)
        said = f"Saved as {place.name} in this folder."
        if aside:
            said += f" What stood there before is in {aside}."
        self.notes.value = f'<p role="status">{html.escape(said)}</p>'

    def _would_be_lost(self, place: Path, text: str) -> str:
        """Return what a new text would lose of a file that is there, in words; "" for nothing."""
        try:
            there = place.read_bytes().decode("utf-8-sig").replace("\r\n", "\n")
        except (OSError, UnicodeDecodeError):
            there = None
        if there is None or self.written.get(place, "").replace("\r\n", "\n") != there:
            return "the file as it is now is kept under another name"
        gone = len(_comments.lost(there, text))
        if not gone:
            return ""
        comments = "1 of its comments goes" if gone == 1 else f"{gone} of its comments go"
        return f"{comments} with what has changed; the file as it is now is kept under another name"

    def _offer_files(self, chosen: str) -> None:
        name = self.file.value
        self._offer()
        self.file.value = name
        if chosen in self.begin.options:
            self.begin.value = chosen

    @_told
    def on_resize(self, _button: Any = None) -> None:
        """Scale the piece to another length, and say what did not scale."""
        self.notes.value = '<p role="status">Working: both sizes are planned, a few seconds.</p>'
        self.picture.add_class(_WORKING)
        try:
            made, stays = self.form.resized(self.piece, self.larger.value, self.units)
        except ValueError as problem:
            self.notes.value = _alert(plain(str(problem)))
            return
        finally:
            self.picture.remove_class(_WORKING)
        self.start(made)
        said = "".join(f"<li>{html.escape(one)}</li>" for one in stays)
        self.notes.value = f'<div role="status"><p>What does not scale:</p><ul>{said}</ul></div>'


def _set_aside(place: Path) -> str:
    """Copy a file beside itself, never over another one, and return the name of the copy."""
    content, number = place.read_bytes(), 1
    while True:
        copy = place.with_name(f"{place.stem}-before{'' if number == 1 else f'-{number}'}{place.suffix}")
        try:
            with copy.open("xb") as file:
                file.write(content)
            return copy.name
        except FileExistsError:
            number += 1


def lesson_pages() -> dict[str, str]:
    """Return the file of each lesson in the folder of lessons, by its label: "2", "3b"."""
    return {path.stem.split("-")[0]: path.name for path in _resources.lessons().glob("*.ipynb")}


def _from(labels: Sequence[str]) -> str:
    """Return from which lessons a step comes, each a link to its page in the same folder."""
    if not labels:
        return ""
    pages = lesson_pages()
    links = [f'<a href="{pages[label]}" target="_blank">{label}</a>' for label in labels]
    return f" <i>From lesson{'s' if len(links) > 1 else ''} {' and '.join(links)}.</i>"


def _alert(sentence: str) -> str:
    return f'<p class="kilncalc-message" role="alert">{html.escape(sentence)}</p>'


def _file_name(name: str) -> str:
    words = re.sub(r"[^\w]+", "-", name.strip().lower()).strip("-_")[:60]
    return f"{words or 'piece'}.toml"


def _download(text: str, name: str) -> str:
    """Return a link that keeps the piece file, for those whose folder is elsewhere."""
    content = base64.b64encode(text.encode()).decode()
    return (
        f'<a download="{html.escape(name or "piece.toml")}" '
        f'href="data:application/toml;base64,{content}">Download</a>'
    )
