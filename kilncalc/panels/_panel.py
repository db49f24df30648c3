"""The shared function behind every panel: sliders, one figure, a caption, a place for a message."""

from __future__ import annotations

import base64
import html
import json
import logging
import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

import anywidget
import ipywidgets as widgets
import numpy as np
import traitlets

from kilncalc.figures.style import Figure
from kilncalc.panels.look import alike
from kilncalc.quantities import SYSTEMS, QuantityError, Show, as_text, from_unit, read, to_unit, unit_system

_log = logging.getLogger(__name__)

UNIT_NAMES = {"metric": "metric", "inches": "inches, °F"}

_STYLE = """<style>
.kilncalc-panel { padding: 6px 8px 8px; box-sizing: border-box; color: #1f2a36; background: #ffffff;
  --jp-widgets-color: #1f2a36; --jp-widgets-label-color: #1f2a36; --jp-widgets-input-color: #1f2a36;
  --jp-widgets-input-background-color: #ffffff; --jp-widgets-input-border-color: #5b6670; }
.kilncalc-panel h4, .kilncalc-panel .widget-label { color: #1f2a36; }
.kilncalc-panel .widget-toggle-button, .kilncalc-panel input, .kilncalc-panel select { color: #1f2a36;
  background: #dde2e6; }
.kilncalc-panel input { background: #ffffff; border: 1px solid #5b6670; }
.kilncalc-panel .widget-toggle-button.mod-active { background: #ffffff; border: 2px solid #1f2a36;
  font-weight: bold; }
.kilncalc-panel .kilncalc-top { justify-content: space-between; flex-wrap: wrap; }
.kilncalc-panel .kilncalc-top > :first-child { flex: 1 1 300px; }
.kilncalc-panel .kilncalc-controls { display: grid; gap: 0 16px;
  grid-template-columns: repeat(auto-fit, minmax(min(100%, 440px), 1fr)); }
.kilncalc-panel .widget-slider { --jp-widgets-inline-width: auto; flex: 1 1 220px; min-width: 0; }
.kilncalc-panel .widget-slider, .kilncalc-panel .widget-dropdown { --jp-widgets-inline-label-width: 224px; }
.kilncalc-panel .widget-text { --jp-widgets-inline-width: 132px; }
.kilncalc-panel .widget-dropdown { --jp-widgets-inline-width: 520px; max-width: calc(100% - 4px); }
.kilncalc-panel .widget-textarea { width: auto; height: auto; align-items: start; }
.kilncalc-panel .widget-textarea textarea { font-size: 16px; color: #1f2a36; background: #ffffff;
  border: 1px solid #5b6670; max-width: 520px; }
.kilncalc-panel .widget-textarea { --jp-widgets-inline-label-width: 224px; }
.kilncalc-panel .widget-toggle-buttons { flex: 0 0 auto; --jp-widgets-inline-width: 240px; }
.kilncalc-panel .widget-toggle-button { width: 116px; padding: 0 4px; }
.kilncalc-panel .widget-label, .kilncalc-panel .widget-text input, .kilncalc-panel select,
.kilncalc-panel .widget-toggle-button { font-size: 16px; }
.kilncalc-panel h4 { font-size: 20px; margin: 4px 0; line-height: 1.3; }
.kilncalc-panel .kilncalc-wide { grid-column: 1 / -1; }
.kilncalc-drawn, .kilncalc-panes, .kilncalc-readings { display: flex; flex-wrap: wrap; gap: 8px; }
.kilncalc-panes { flex: 4 1 480px; min-width: 0; }
.kilncalc-pane { min-width: 0; max-width: 100%; }
.kilncalc-readings { flex: 1 1 220px; align-content: center; gap: 12px 24px; }
.kilncalc-reading { flex: 1 1 180px; font-size: 16px; line-height: 1.3; }
.kilncalc-reading b { display: block; font-size: 26px; text-wrap: balance; }
.kilncalc-low .kilncalc-readings { row-gap: 6px; }
.kilncalc-low .kilncalc-reading b { display: inline; font-size: 20px; margin-right: 8px; }
.kilncalc-rows { overflow-y: auto; margin: 8px 0; }
.kilncalc-rows:focus-visible { outline: 3px solid #14507f; }
.kilncalc-table { width: 100%; font-size: 16px; line-height: 1.3; border-collapse: collapse; }
.kilncalc-table th { position: sticky; top: 0; background: #ffffff; }
.kilncalc-table th, .kilncalc-table td { text-align: left; vertical-align: top; padding: 4px 12px 4px 0;
  border-bottom: 1px solid #dde2e6; white-space: normal; }
.kilncalc-table th:last-child, .kilncalc-table td:last-child { width: 60%; }
.kilncalc-guess { border: 2px solid #14507f; padding: 4px 12px 8px; margin: 6px 0; font-size: 16px; }
.kilncalc-guess .widget-html-content { font-size: 16px; line-height: 1.4; }
.kilncalc-guess .jupyter-button, .kilncalc-top > .jupyter-button { width: auto; font-size: 16px;
  color: #1f2a36; background: #dde2e6; }
.kilncalc-guess p { margin: 4px 0; }
.kilncalc-guess .widget-hbox { flex-wrap: wrap; align-items: end; }
.kilncalc-guess .jupyter-button { flex: 0 0 auto; }
.kilncalc-caption { font-size: 16px; line-height: 1.35; max-width: 1080px; min-height: 44px; margin: 0; }
.kilncalc-message { font-size: 16px; line-height: 1.35; color: #8a2b00; font-weight: bold; margin: 0; }
@media (max-width: 600px) {
  .kilncalc-controls > .widget-hbox { flex-wrap: wrap; align-items: end; }
  .kilncalc-controls :is(.widget-slider, .widget-dropdown, .widget-textarea),
    .kilncalc-guess .widget-slider { flex-wrap: wrap; height: auto; }
  .kilncalc-panel :is(.kilncalc-controls, .kilncalc-guess) .widget-slider { flex: 1 1 150px; }
  .kilncalc-panel .kilncalc-controls .widget-dropdown > select { height: 32px; flex: 1 1 150px; }
  .kilncalc-panel :is(.kilncalc-controls, .kilncalc-guess) .widget-label { flex: 1 1 100%; width: auto;
    text-align: left; white-space: normal; height: auto; line-height: 1.25; }
  .kilncalc-panel :is(.kilncalc-controls, .kilncalc-guess) .widget-slider .widget-label {
    padding-bottom: 8px; }
}
@media (pointer: coarse) { /* a finger hits more than the knob that is seen */
  .kilncalc-panel .noUi-touch-area { position: absolute; inset: -9px -14px; width: auto; height: auto; }
}
</style>"""


class _Picture(anywidget.AnyWidget):
    """A figure in the browser, drawn again by plotly whenever its JSON changes.

    plotly's own widget sends five megabytes of browser code with every figure, and anywidget drops all
    further messages of a widget whose code takes longer than two seconds to start: three panels at once on a
    small laptop end with empty pictures and dead sliders. Here the code travels once a page, when a browser
    asks for it (`_picture.js`), and a page that has missed changes draws the figure as it is now.
    """

    _esm = Path(__file__).with_name("_picture.js")
    figure = traitlets.Unicode().tag(sync=True)
    waits = traitlets.Bool(False).tag(sync=True)
    """Whether something is still to be worked out, when the reader comes near: the page then says so once."""

    def __init__(self, seen: Callable[[], object] | None = None, **keywords: Any) -> None:
        super().__init__(waits=seen is not None, **keywords)
        self.seen = seen
        self.on_msg(self._answer)

    def _answer(self, _widget: Any, content: Any, _buffers: Any) -> None:
        if content == {"kind": "plotly"}:
            from plotly.offline import get_plotlyjs  # only where a browser asks for it

            self.send({"kind": "plotly"}, buffers=[get_plotlyjs().encode()])
        elif content == {"kind": "seen"} and self.seen and self.waits:
            self.seen()


def as_json(figure: Figure) -> str:
    """Return the figure as plotly's code in the browser reads it."""
    return json.dumps(figure, default=_plain, allow_nan=False)


def _plain(array: Any) -> Any:
    """Return an array of numbers packed, with its gaps (nan); anything else from numpy as a plain list."""
    if isinstance(array, np.ndarray) and array.ndim == 1 and array.dtype in (np.float32, np.float64):
        packed = base64.b64encode(array.tobytes()).decode()
        return {"dtype": f"f{array.itemsize}", "bdata": packed}
    return array.tolist()


def said(problem: Exception, units: str) -> str:
    """Return what a calculation refuses, in these units and without its full stop.

    One that quotes what was typed quotes it as it is. Whether another unit was meant is no question here: a
    panel gives each number its own.
    """
    words = str(problem)
    if not isinstance(problem, QuantityError):
        words = Show(units).sentence(re.sub(r"\. Did you mean [^?]*, that is [^?]*\?$", "", words))
    return words.removesuffix(".")


class Rail(NamedTuple):
    """What a slider counts in one unit system: a unit, the value it starts at, its ends and its step."""

    unit: str
    value: float
    low: float
    high: float
    step: float


@dataclass(frozen=True)
class Slider:
    """One number a learner moves: a keyword of the panel's `result`, which gets it in SI.

    `inches` is left out where both systems count alike. `words` says the value where its unit alone does not.
    `play` adds a button that moves it step by step, whole units a step.
    """

    name: str
    label: str
    dimension: str
    metric: Rail
    inches: Rail | None = None
    words: Callable[[float, Show], str] | None = None
    play: bool = False

    def rail(self, units: str) -> Rail:
        """Return how it counts in a unit system."""
        return self.inches if self.inches and units == "inches" else self.metric

    def si(self, number: float, units: str) -> float:
        """Return a number of the rail in SI."""
        return float(from_unit(number, self.dimension, self.rail(units).unit))

    def start(self, units: str) -> float:
        """Return the value it starts at, in SI."""
        return self.si(self.rail(units).value, units)

    @property
    def low(self) -> float:
        """The least value that may be typed, in SI."""
        return min(self.si(self.rail(units).low, units) for units in SYSTEMS)

    @property
    def high(self) -> float:
        """The largest value that may be typed, in SI."""
        return max(self.si(self.rail(units).high, units) for units in SYSTEMS)

    def text(self, value: float, units: str) -> str:
        """Return a value [SI] as it stands beside the slider."""
        return self.words(value, Show(units)) if self.words else as_text(value, self.dimension, units)


@dataclass(frozen=True)
class Choice:
    """One choice out of a few named ones: a keyword of the panel's `result`.

    `inches` is where it starts for those who work in inches, where that differs.
    """

    name: str
    label: str
    options: tuple[str, ...]
    value: str
    inches: str | None = None

    def start(self, units: str) -> str:
        """Return the choice it starts at."""
        return self.inches if self.inches and units == "inches" else self.value


@dataclass(frozen=True)
class Lines:
    """Lines that a reader types or pastes: a keyword of the panel's `result`, as text.

    It begins with `metric` or `inches`; what cannot be read, `result` says by a ValueError.
    """

    name: str
    label: str
    metric: str
    inches: str

    def start(self, units: str) -> str:
        """Return the lines it begins with."""
        return self.inches if units == "inches" else self.metric


@dataclass(frozen=True)
class Fixed:
    """A keyword of the panel's `result` that nobody moves: round in each unit system, in SI."""

    name: str
    metric: Any
    inches: Any

    def start(self, units: str) -> Any:
        """Return what it is."""
        return self.inches if units == "inches" else self.metric


@dataclass(frozen=True)
class Guess:
    """What a panel asks before it shows its answer; `answer(result)` is the number guessed, in SI."""

    question: str
    dimension: str
    answer: Callable[[Any], float]
    metric: Rail
    inches: Rail | None = None


@dataclass(frozen=True)
class Panel:
    """A question, the result that answers it, its picture, and what may be moved.

    `result(**values)` computes, with the names of the controls and of what is `fixed` as keywords;
    `draw(result, show)` draws. One that `waits`, because it takes as long as all others of its page together,
    computes when the reader comes near it and not as its page opens.
    """

    title: str
    result: Callable[..., Any]
    draw: Callable[[Any, Show], Figure]
    controls: tuple[Slider | Choice | Lines, ...] = ()
    guess: Guess | None = None
    fixed: tuple[Fixed, ...] = ()
    waits: bool = False

    def at(self, units: str = "metric", **values: Any) -> Any:
        """Return the result with these values (SI); what is left out is as the panel opens."""
        start = {part.name: part.start(units) for part in (*self.fixed, *self.controls)}
        return self.result(**{**start, **values})

    def picture(self, units: str = "metric", **values: Any) -> Figure:
        """Return the picture with these values (SI); what is left out is as the panel opens."""
        return self.draw(self.at(units, **values), Show(units))


def show(panel: Panel, units: str = "metric") -> widgets.VBox:
    """Return the panel as a live widget; `units` is "metric" or "inches" and can be switched there."""
    units = unit_system(units)
    message = _Messages(**alike(_Messages))
    if panel.waits:
        picture = _Picture(lambda: redraw(), **alike(_Picture))
    else:
        picture = _Picture(figure=as_json(panel.picture(units)), **alike(_Picture))
    switch = widgets.ToggleButtons(
        options=[(name, key) for key, name in UNIT_NAMES.items()],
        value=units,
        tooltips=["show metric units", "show inches, ounces and °F"],
        **alike(widgets.ToggleButtons),
    )

    def values() -> dict[str, Any]:
        return {control.name: row.value for control, row in zip(panel.controls, rows, strict=True)}

    def redraw() -> bool:
        """Draw the picture anew and return whether it shows the values as they are now."""
        problem = ""
        try:
            picture.figure = as_json(panel.picture(switch.value, **values()))
        except (ValueError, ArithmeticError) as found:
            still = " The picture still shows the last values that worked." if picture.figure else ""
            problem = f"{said(found, switch.value)}.{still}"
        except Exception as error:  # a front-end drops an exception in a callback; a sentence it shows
            _log.exception("in the panel %r", panel.title)
            what = f"{type(error).__name__}: {error}"
            problem = f"Something went wrong in this picture ({what}). Tell your teacher."
        picture.waits = False
        message.tell(problem)
        if asking:
            asking.outdated()
        return not problem

    def turn(change: Any) -> None:
        for row in rows:
            row.turn(change["new"])
        if asking:
            asking.turn(change["new"])
        if not picture.waits:
            redraw()

    def arrange() -> None:
        held = asking is not None and asking.held
        top.children = [title, switch, *([asking.again] if asking and not held else [])]
        asked = [asking.box] if asking else []
        box.children = [top, controls, *asked, *([] if held else [picture]), message]

    rows = [
        _SliderRow(control, units, redraw, message.refuse)
        if isinstance(control, Slider)
        else _ChoiceRow(control, units, redraw)
        if isinstance(control, Choice)
        else _LinesRow(control, units, redraw)
        for control in panel.controls
    ]
    asking = None
    if panel.guess:
        guess = panel.guess
        asking = _Asking(guess, units, message, lambda: guess.answer(panel.at(switch.value, **values())))
    switch.observe(turn, "value")
    title = widgets.HTML(f"{_STYLE}<h4>{html.escape(panel.title)}</h4>", **alike(widgets.HTML))
    top = widgets.HBox(**alike(widgets.HBox))
    top.add_class("kilncalc-top")
    controls = widgets.Box([row.box for row in rows], **alike(widgets.Box))
    controls.add_class("kilncalc-controls")
    box = _Box(panel.title, [])
    arrange()
    if asking:
        asking.arrange = arrange
    return box


class _Box(widgets.VBox):
    """A live panel; what a notebook keeps of it says how to bring it back."""

    def __init__(self, title: str, children: list[widgets.Widget]) -> None:
        super().__init__(children, **alike(_Box))
        self.add_class("kilncalc-panel")
        self.stored = f"{title} To move the sliders, choose Run and Run All Cells."

    def __repr__(self) -> str:
        return self.stored

    def _repr_mimebundle_(self, **keywords: Any) -> Any:
        return {**super()._repr_mimebundle_(**keywords), "text/plain": self.stored}


class _SliderRow:
    """A slider, which counts in the unit shown, and a box for typing; `value` is in SI and never rounded."""

    def __init__(
        self,
        control: Slider,
        units: str,
        changed: Callable[[], bool],
        refuse: Callable[[str], None],
    ) -> None:
        self.control, self.changed, self.refuse = control, changed, refuse
        self.units, self.value = units, control.start(units)
        self.moved = False
        self.slider = self._new_slider()
        self.typed = widgets.Text(
            value=self._text(self.value),
            continuous_update=False,
            tooltip=f"{control.label}: type a value with its unit and press Enter",
            **alike(widgets.Text),
        )
        self.typed.observe(self._type, "value")
        self.play = self._new_play() if control.play else ()
        self.box = widgets.HBox([*self.play, self.slider, self.typed], **alike(widgets.HBox))
        if control.play:
            self.box.add_class("kilncalc-wide")  # beside another control the rail would be a few pixels long

    def turn(self, units: str) -> None:
        """Count in another unit system from now on; a value that nobody has moved starts as it does there."""
        self.units = units
        if not self.moved:
            self.value = self.control.start(units)
        old, self.slider = self.slider, self._new_slider()
        for button in self.play:
            widgets.jsdlink((button, "value"), (self.slider, "value"))
        self.box.children = [*self.play, self.slider, self.typed]
        old.close()
        self._write()

    def _new_slider(self) -> widgets.FloatSlider:
        # A new one for other units: the page would take the new value and the new ends one after the other,
        # put the handle at an old end in between, and report that as a move.
        self.unit, _start, low, high, step = self.control.rail(self.units)
        slider = widgets.FloatSlider(
            value=self._place(low, high, step),
            min=low,
            max=high,
            step=step,
            description=self.control.label,
            readout=False,
            **alike(widgets.FloatSlider),
        )
        slider.observe(self._moved, "value")
        return slider

    def _new_play(self) -> tuple[widgets.Play]:
        """Return a button that moves the slider in the page, which then reports each step as a move."""
        slider = self.slider
        button = widgets.Play(
            value=int(slider.value),
            min=int(slider.min),
            max=int(slider.max),
            step=int(slider.step),
            interval=250,
            show_repeat=False,
            layout=widgets.Layout(width="110px", flex="0 0 auto"),
        )
        widgets.jsdlink((button, "value"), (slider, "value"))
        return (button,)

    def _place(self, low: float, high: float, step: float) -> float:
        """Return the step nearest to the value: elsewhere the page would put the handle there and say so."""
        steps = round((to_unit(self.value, self.control.dimension, self.unit) - low) / step)
        return min(max(low + steps * step, low), high)

    def _write(self) -> None:
        self.typed.unobserve(self._type, "value")
        self.typed.value = self._text(self.value)
        self.typed.observe(self._type, "value")

    def _text(self, value: float) -> str:
        return self.control.text(value, self.units)

    def _moved(self, change: Any) -> None:
        if math.isclose(change["new"], change["old"], rel_tol=1e-9):
            return  # the page's own arithmetic: nobody has moved it, and the value stays exactly as typed
        self.value = from_unit(change["new"], self.control.dimension, self.unit)
        self.moved = True
        self._write()
        self.changed()

    def _type(self, change: Any) -> None:
        control = self.control
        try:
            value = read(change["new"], control.dimension)
        except QuantityError as problem:
            self._write()
            self.refuse(f"{control.label}: {problem}")
            return
        if not control.low <= value <= control.high:
            span = f"{self._text(control.low)} to {self._text(control.high)}"
            self._write()
            self.refuse(f"{control.label}: {change['new'].strip()} is outside this panel's {span}.")
            return
        before = self.value, self.moved
        self._take(value, True)
        if not self.changed():
            self._take(*before)

    def _take(self, value: float, moved: bool) -> None:
        self.value, self.moved = value, moved
        self.slider.unobserve(self._moved, "value")
        self.slider.value = self._place(self.slider.min, self.slider.max, self.slider.step)
        self.slider.observe(self._moved, "value")
        self._write()


class _ChoiceRow:
    """A choice out of a few words, which are the same in every unit system."""

    def __init__(self, control: Choice, units: str, changed: Callable[[], bool]) -> None:
        self.control, self.changed, self.chosen = control, changed, False
        self.box = widgets.Dropdown(
            options=control.options,
            value=control.start(units),
            description=control.label,
            **alike(widgets.Dropdown),
        )
        self.box.observe(self._chosen, "value")

    def _chosen(self, _change: Any) -> None:
        self.chosen = True
        self.changed()

    @property
    def value(self) -> str:
        return str(self.box.value)

    def turn(self, units: str) -> None:
        """Start as the other system does, where nobody has chosen."""
        if not self.chosen:
            self.box.unobserve(self._chosen, "value")
            self.box.value = self.control.start(units)
            self.box.observe(self._chosen, "value")


class _LinesRow:
    """A box of lines; nothing typed is ever taken away, also where it cannot be read."""

    def __init__(self, control: Lines, units: str, changed: Callable[[], bool]) -> None:
        self.control, self.changed, self.begun = control, changed, control.start(units)
        self.box = widgets.Textarea(
            value=self.begun,
            description=control.label,
            continuous_update=False,
            rows=3,
            **alike(widgets.Textarea),
        )
        self.box.add_class("kilncalc-wide")
        self.box.observe(self._typed, "value")

    def _typed(self, _change: Any) -> None:
        self.changed()

    @property
    def value(self) -> str:
        return str(self.box.value)

    def turn(self, units: str) -> None:
        """Begin as the other system does, where nobody has written anything."""
        if self.value == self.begun:
            self.begun = self.control.start(units)
            self.box.unobserve(self._typed, "value")
            self.box.value = self.begun
            self.box.observe(self._typed, "value")


class _Asking:
    """Asks for a guess, and holds the picture back until there is one or it is skipped; nothing is kept."""

    def __init__(
        self,
        guess: Guess,
        units: str,
        message: _Messages,
        answer: Callable[[], float],
    ) -> None:
        self.guess, self.units, self.message, self.answer = guess, units, message, answer
        self.held = True
        self.arrange: Callable[[], None] = lambda: None
        rail = Slider("guess", "your guess", guess.dimension, guess.metric, guess.inches)
        self.row = _SliderRow(rail, units, self._guessed, message.refuse)
        self.said = widgets.HTML(**alike(widgets.HTML))
        look = alike(widgets.Button)
        self.show = widgets.Button(description="Show the answer", **look)
        self.skip = widgets.Button(description="Skip the guess", **look)
        self.again = widgets.Button(description="Guess again", **look)
        self.show.on_click(lambda _button: self.reveal(True))
        self.skip.on_click(lambda _button: self.reveal(False))
        self.again.on_click(lambda _button: self.ask())
        self.buttons = widgets.HBox(**alike(widgets.HBox))
        self.box = widgets.VBox()  # its layout is its own: hidden when there is nothing in it
        self.box.add_class("kilncalc-guess")
        self.ask()

    def ask(self) -> None:
        """Hold the picture back and ask."""
        self.held = True
        question = html.escape(self.guess.question)
        self.said.value = f"<p><b>Guess first.</b> {question} Move the mark or type your guess.</p>"
        self.buttons.children = [self.show, self.skip]
        self.box.children = [self.said, self.row.box, self.buttons]
        self.box.layout.display = None
        self.arrange()

    def reveal(self, compare: bool) -> None:
        """Show the picture, with the guess beside the answer unless it was skipped."""
        try:
            self.said.value = self._compared(self.answer()) if compare else ""
        except (ValueError, ArithmeticError) as problem:
            self.message.refuse(f"{said(problem, self.units)}. Move a slider, then guess.")
            return
        self.held = False
        self.box.children = [self.said]
        self.box.layout.display = None if compare else "none"
        self.arrange()

    def outdated(self) -> None:
        """Forget the comparison: the sliders have moved since."""
        if not self.held:
            self.said.value, self.box.layout.display = "", "none"

    def turn(self, units: str) -> None:
        """Count in another unit system from now on."""
        self.units = units
        self.row.turn(units)

    def _guessed(self) -> bool:
        self.message.refuse("")
        return True

    def _compared(self, answer: float) -> str:
        show, dimension, guessed = Show(self.units), self.guess.dimension, self.row.value
        off = "temperature_difference" if dimension == "temperature" else dimension
        by = show.text(abs(guessed - answer), off, like=answer)
        ours, theirs = (show.text(value, dimension, like=answer) for value in (answer, guessed))
        if ours == theirs:
            verdict = "Your guess is the answer."
        else:
            verdict = f"Your guess is {by} too {'high' if guessed > answer else 'low'}."
            if off == dimension and answer > 0 and guessed > 0:
                ratio = max(guessed / answer, answer / guessed)
                much = f"{ratio:.1f}" if ratio < 10 else f"{ratio:.0f}"
                than = "the answer is {} times your guess", "it is {} times the answer"
                if ratio >= 1.15:
                    verdict = f"{verdict.removesuffix('.')}: {than[guessed > answer].format(much)}."
        sides = "".join(
            f'<div class="kilncalc-reading"><b>{html.escape(value)}</b><span>{says}</span></div>'
            for value, says in ((theirs, "your guess"), (ours, "the answer"))
        )
        verdict = html.escape(verdict)
        return f'<div role="status"><div class="kilncalc-readings">{sides}</div><p>{verdict}</p></div>'


class _Messages(widgets.HTML):
    """What is wrong: why the picture is not that of the sliders, and why a typed value was not taken.

    The two stand one under the other, and each stays until it is no longer so.
    """

    problem = refusal = ""

    def tell(self, problem: str) -> None:
        """Say why the picture could not be drawn ("": it was); what was refused before is settled."""
        self.problem, self.refusal = problem, ""
        self._write()

    def refuse(self, refusal: str) -> None:
        """Say why a typed value was not taken."""
        self.refusal = refusal
        self._write()

    def _write(self) -> None:
        self.value = "".join(
            f'<p class="kilncalc-message" role="alert">{html.escape(sentence)}</p>'
            for sentence in (self.problem, self.refusal)
            if sentence
        )
