"""The shared function behind every panel: sliders, one figure, a caption, a place for a message."""

from __future__ import annotations

import base64
import html
import json
import logging
import math
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import anywidget
import ipywidgets as widgets
import numpy as np
import traitlets
from plotly.offline import get_plotlyjs

from kilncalc.figures.style import WIDTH, Figure
from kilncalc.quantities import QuantityError, as_text, display_unit, from_unit, read, to_unit

_log = logging.getLogger(__name__)

if TYPE_CHECKING:
    import plotly.graph_objects as go

UNIT_NAMES = {"metric": "metric", "us": "inches, °F"}

_STYLE = f"""<style>
.kilncalc-panel {{ padding-top: 6px; }}
.kilncalc-panel .widget-slider {{ --jp-widgets-inline-width: 396px; }}
.kilncalc-panel .widget-slider, .kilncalc-panel .widget-dropdown {{ --jp-widgets-inline-label-width: 200px; }}
.kilncalc-panel .widget-text {{ --jp-widgets-inline-width: 132px; }}
.kilncalc-panel .widget-dropdown {{ --jp-widgets-inline-width: 520px; }}
.kilncalc-panel .widget-toggle-buttons {{ flex: 0 0 auto; --jp-widgets-inline-width: 240px; }}
.kilncalc-panel .widget-toggle-button {{ width: 108px; }}
.kilncalc-panel .kilncalc-top {{ width: {WIDTH}px; justify-content: space-between; }}
.kilncalc-panel .widget-gridbox {{ width: {WIDTH}px; grid-template-columns: auto auto; grid-gap: 0 16px; }}
.kilncalc-panel .widget-label, .kilncalc-panel .widget-text input, .kilncalc-panel select,
.kilncalc-panel .widget-toggle-button {{ font-size: 16px; }}
.kilncalc-panel h4 {{ font-size: 20px; margin: 4px 0; line-height: 1.3; }}
.kilncalc-caption {{ font-size: 16px; line-height: 1.35; max-width: {WIDTH}px; min-height: 44px; margin: 0; }}
.kilncalc-message {{ font-size: 16px; line-height: 1.35; color: #8a2b00; font-weight: bold; margin: 0; }}
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

    def __init__(self, **keywords: Any) -> None:
        super().__init__(**keywords)
        self.on_msg(self._answer)

    def _answer(self, _widget: Any, content: Any, _buffers: Any) -> None:
        if content == {"kind": "plotly"}:
            self.send({"kind": "plotly"}, buffers=[get_plotlyjs().encode()])


def as_json(figure: Figure) -> str:
    """Return the figure as plotly's code in the browser reads it."""
    return json.dumps(figure, default=_plain, allow_nan=False)


def _plain(array: Any) -> Any:
    """Return an array of numbers packed, with its gaps (nan); anything else from numpy as a plain list."""
    if isinstance(array, np.ndarray) and array.ndim == 1 and array.dtype in (np.float32, np.float64):
        packed = base64.b64encode(array.tobytes()).decode()
        return {"dtype": f"f{array.itemsize}", "bdata": packed}
    return array.tolist()


@dataclass(frozen=True)
class Slider:
    """One number a learner moves: a keyword of the panel's `draw`, in SI (temperatures in degC)."""

    name: str
    label: str
    dimension: str
    value: float
    low: float
    high: float
    step: float
    show: Callable[[float, str], str] | None = None

    def text(self, value: float, units: str) -> str:
        """Return the value as shown beside the slider."""
        return self.show(value, units) if self.show else as_text(value, self.dimension, units=units)

    def rail(self, units: str) -> tuple[str, float, float, float]:
        """Return the unit the slider counts in, its ends and its step, round numbers in that unit."""
        unit = display_unit(self.high, self.dimension, units)
        low, high, next_to_low = (
            to_unit(value, self.dimension, unit) for value in (self.low, self.high, self.low + self.step)
        )
        step = next_to_low - low
        if unit != display_unit(self.high, self.dimension, "metric"):
            step = _round_step(step, halved=unit == "in")
            low, high = math.ceil(low / step - 1e-6) * step, math.floor(high / step + 1e-6) * step
        return unit, low, high, step


def _round_step(step: float, *, halved: bool) -> float:
    """Return the round step nearest to `step` as a ratio: an inch halved some times, or 1, 2, 5, 10 ..."""
    size = 10.0 ** math.floor(math.log10(step))
    steps = (
        [2.0**-k for k in range(6)] if halved and step > 2.0**-6 else [size, 2 * size, 5 * size, 10 * size]
    )
    return min(steps, key=lambda candidate: abs(math.log(candidate / step)))


@dataclass(frozen=True)
class Choice:
    """One choice out of a few named ones: a keyword of the panel's `draw`."""

    name: str
    label: str
    options: tuple[str, ...]
    value: str


@dataclass(frozen=True)
class Panel:
    """A question, the picture that answers it, and what may be moved.

    `draw(units=..., **values)` computes and returns the figure; it is called with the same keywords as
    the controls are named.
    """

    title: str
    draw: Callable[..., Figure]
    controls: tuple[Slider | Choice, ...]

    def default(self, units: str = "metric") -> Figure:
        """Return the picture in its default state."""
        return self.draw(units=units, **{control.name: control.value for control in self.controls})

    def default_figure(self, units: str = "metric") -> go.Figure:
        """Return the picture in its default state, as it stands above the panel on the page."""
        import plotly.graph_objects as go  # not for every lesson: this takes longer than all its pictures

        return go.Figure(self.default(units))


def show(panel: Panel, units: str = "metric") -> widgets.VBox:
    """Return the panel as a live widget; `units` is "metric" or "us" and can be switched there."""
    figure = panel.default(units)
    caption = widgets.HTML(_caption(figure))
    # One layout and style for all parts of a panel: to make one for each takes twice the time.
    look = {"layout": caption.layout}
    message = widgets.HTML(**look, style=caption.style)
    picture = _Picture(figure=as_json(figure), **look)
    switch = widgets.ToggleButtons(
        options=[(name, key) for key, name in UNIT_NAMES.items()],
        value=units,
        tooltips=["show metric units", "show inches, ounces and °F"],
        **look,
    )

    def redraw() -> None:
        values = {control.name: row.value for control, row in zip(panel.controls, rows, strict=True)}
        try:
            new = panel.draw(units=switch.value, **values)
        except (ValueError, ArithmeticError) as problem:
            sentence = str(problem).removesuffix(".")
            refuse(f"{sentence}. The picture still shows the last values that worked.")
            return
        picture.figure = as_json(new)
        caption.value = _caption(new)
        message.value = ""

    def told() -> None:
        try:
            redraw()
        except Exception as error:  # a front-end drops an exception in a callback; a sentence it shows
            _log.exception("in the panel %r", panel.title)
            what = f"{type(error).__name__}: {error}"
            refuse(f"Something went wrong in this picture ({what}). Tell your teacher.")

    def refuse(sentence: str) -> None:
        message.value = _message(sentence)

    def turn(change: Any) -> None:
        for row in rows:
            row.turn(change["new"])
        told()

    rows = [
        _SliderRow(control, units, look, told, refuse)
        if isinstance(control, Slider)
        else _ChoiceRow(control, look, told)
        for control in panel.controls
    ]
    switch.observe(turn, "value")
    title = widgets.HTML(f"{_STYLE}<h4>{html.escape(panel.title)}</h4>", **look, style=caption.style)
    top = widgets.HBox([title, switch], **look)
    top.add_class("kilncalc-top")
    controls = widgets.GridBox([row.box for row in rows], **look)
    return _Box(panel.title, [top, controls, picture, caption, message], **look)


class _Box(widgets.VBox):
    """A live panel; what a notebook keeps of it says how to bring it back."""

    def __init__(self, title: str, children: list[widgets.Widget], **keywords: Any) -> None:
        super().__init__(children, **keywords)
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
        look: dict[str, Any],
        changed: Callable[[], None],
        refuse: Callable[[str], None],
    ) -> None:
        self.control, self.changed, self.refuse = control, changed, refuse
        self.units, self.value, self.look = units, control.value, look
        self.slider = self._new_slider()
        self.typed = widgets.Text(
            value=self._text(control.value),
            continuous_update=False,
            tooltip=f"{control.label}: type a value with its unit and press Enter",
            **look,
        )
        self.typed.observe(self._type, "value")
        self.box = widgets.HBox([self.slider, self.typed], **look)

    def turn(self, units: str) -> None:
        """Count in another unit system from now on."""
        self.units = units
        old, self.slider = self.slider, self._new_slider()
        self.box.children = [self.slider, self.typed]
        old.close()
        self._write()

    def _new_slider(self) -> widgets.FloatSlider:
        # A new one for other units: the page would take the new value and the new ends one after the other,
        # put the handle at an old end in between, and report that as a move.
        self.unit, low, high, step = self.control.rail(self.units)
        slider = widgets.FloatSlider(
            value=self._place(low, high, step),
            min=low,
            max=high,
            step=step,
            description=self.control.label,
            readout=False,
            **self.look,
        )
        slider.observe(self._moved, "value")
        return slider

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
        self._write()
        self.changed()

    def _type(self, change: Any) -> None:
        control = self.control
        try:
            value = read(change["new"], control.dimension)
        except QuantityError as problem:
            self.refuse(f"{control.label}: {problem}")
            return
        if not control.low <= value <= control.high:
            span = f"{self._text(control.low)} to {self._text(control.high)}"
            self.refuse(f"{control.label}: {change['new'].strip()} is outside this panel's {span}.")
            return
        self.value = value
        self.slider.unobserve(self._moved, "value")
        self.slider.value = self._place(self.slider.min, self.slider.max, self.slider.step)
        self.slider.observe(self._moved, "value")
        self._write()
        self.changed()


class _ChoiceRow:
    """A choice out of a few words, which are the same in every unit system."""

    def __init__(self, control: Choice, look: dict[str, Any], changed: Callable[[], None]) -> None:
        self.box = widgets.Dropdown(
            options=control.options,
            value=control.value,
            description=control.label,
            **look,
        )
        self.box.observe(lambda _change: changed(), "value")

    @property
    def value(self) -> str:
        return str(self.box.value)

    def turn(self, units: str) -> None:
        """Nothing to do."""


def _caption(figure: Figure) -> str:
    text = html.escape(figure["layout"]["meta"]["caption"])
    return f'<p class="kilncalc-caption" aria-live="polite">{text}</p>'


def _message(sentence: str) -> str:
    return f'<p class="kilncalc-message" role="alert">{html.escape(sentence)}</p>'
