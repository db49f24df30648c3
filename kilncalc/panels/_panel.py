"""The shared function behind every panel: sliders, one figure, a caption, a place for a message."""

from __future__ import annotations

import html
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from copy import deepcopy
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ipywidgets as widgets
import numpy as np
import plotly
import plotly.graph_objects as go

from kilncalc.quantities import QuantityError, as_text, read


@contextmanager
def _left_out(module: str) -> Iterator[None]:
    """Make an optional import of `module` fail while others import around it."""
    if module in sys.modules:
        yield
        return
    sys.modules[module] = None  # type: ignore[assignment]
    try:
        yield
    finally:
        del sys.modules[module]


# plotly's widget imports nbformat, that jsonschema, and that an optional grammar of web addresses which takes
# two seconds to compile and which no picture needs: most of the waiting time of a lesson's first cell.
with _left_out("rfc3987_syntax"):
    from plotly.graph_objects import FigureWidget

_WIDGET_CODE = Path(plotly.__file__).parent / "package_data" / "widgetbundle.js"

UNIT_NAMES = {"metric": "metric", "us": "inches, °F"}

_STYLE = """<style>
.kilncalc-panel .widget-label, .kilncalc-panel .widget-text input, .kilncalc-panel select,
.kilncalc-panel .widget-toggle-button { font-size: 16px; }
.kilncalc-panel { padding-top: 6px; }
.kilncalc-panel h4 { font-size: 20px; margin: 4px 0; line-height: 1.3; }
.kilncalc-caption { font-size: 16px; line-height: 1.35; max-width: 1080px; min-height: 44px; margin: 0; }
.kilncalc-message { font-size: 16px; line-height: 1.35; color: #8a2b00; font-weight: bold; margin: 0; }
</style>"""


class _Live(FigureWidget):
    """A FigureWidget that still works on a slow or busy machine.

    plotly sends five megabytes of browser code with every figure, and anywidget drops all further messages
    of a figure whose code takes longer than two seconds to start: three panels at once on a small laptop end
    with empty pictures and dead sliders. Here the code travels once a page, when a browser asks for it
    (`_live.js`), and the channel to the browser opens when the figure is complete.
    """

    _esm = Path(__file__).with_name("_live.js")
    _complete = False

    def __init__(self, figure: go.Figure, config: dict[str, Any]) -> None:
        super().__init__(figure)
        self._config = config
        self.on_msg(self._answer)
        self._complete = True
        self.open()

    def open(self) -> None:
        """Open the channel, once the figure is complete."""
        if self._complete:
            super().open()

    def _answer(self, _widget: Any, content: Any, _buffers: Any) -> None:
        if content == {"kind": "plotly"}:
            self.send({"kind": "plotly"}, buffers=[_WIDGET_CODE.read_bytes()])
        elif content == {"kind": "drawn"}:  # with what changed before there was anybody to draw it
            self._widget_data = deepcopy(self._data)
            self._widget_layout = deepcopy(self._layout)


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
    the controls are named, and always returns the same number of traces, shapes and annotations.
    """

    title: str
    draw: Callable[..., go.Figure]
    controls: tuple[Slider | Choice, ...]

    def default_figure(self, units: str = "metric") -> go.Figure:
        """Return the picture in its default state, as it stands above the panel on the page."""
        return self.draw(units=units, **{control.name: control.value for control in self.controls})


def show(panel: Panel, units: str = "metric") -> widgets.VBox:
    """Return the panel as a live widget; `units` is "metric" or "us" and can be switched there."""
    figure = panel.default_figure(units)
    live = _Live(figure, {"displayModeBar": False, "responsive": False})
    shown = _plain(figure)
    caption = widgets.HTML(_caption(figure))
    message = widgets.HTML()
    switch = widgets.ToggleButtons(
        options=[(name, key) for key, name in UNIT_NAMES.items()],
        value=units,
        tooltips=["show metric units", "show inches, ounces and °F"],
        style={"button_width": "108px"},
        layout={"flex": "0 0 auto", "width": "240px"},
    )
    rows = [_row(control, switch, message) for control in panel.controls]

    def redraw(_change: Any = None) -> None:
        nonlocal shown
        values = {control.name: row.moved.value for control, row in zip(panel.controls, rows, strict=True)}
        try:
            new = panel.draw(units=switch.value, **values)
        except (ValueError, ArithmeticError) as problem:
            message.value = _message(f"{problem} The picture still shows the last values that worked.")
            return
        wanted = _plain(new)
        with live.batch_update():
            _apply(live, shown, wanted)
        shown = wanted
        caption.value = _caption(new)
        message.value = ""

    for row in rows:
        row.moved.observe(redraw, "value")
    switch.observe(redraw, "value")
    title = widgets.HTML(f"{_STYLE}<h4>{html.escape(panel.title)}</h4>")
    title.layout.flex = "1 1 auto"
    top = widgets.HBox([title, switch], layout={"width": f"{figure.layout.width}px"})
    controls = widgets.GridBox(
        [row.box for row in rows],
        layout={
            "grid_template_columns": "auto auto",
            "grid_gap": "0 16px",
            "width": f"{figure.layout.width}px",
        },
    )
    box = widgets.VBox([top, controls, live, caption, message])
    box.add_class("kilncalc-panel")
    return box


@dataclass(frozen=True)
class _Row:
    box: widgets.Widget
    moved: widgets.Widget


def _row(control: Slider | Choice, switch: widgets.ToggleButtons, message: widgets.HTML) -> _Row:
    if isinstance(control, Choice):
        chosen = widgets.Dropdown(
            options=control.options,
            value=control.value,
            description=control.label,
            style={"description_width": "200px"},
            layout={"width": "520px"},
        )
        return _Row(chosen, chosen)
    slider = widgets.FloatSlider(
        value=control.value,
        min=control.low,
        max=control.high,
        step=control.step,
        description=control.label,
        readout=False,
        style={"description_width": "200px"},
        layout={"width": "396px"},
    )
    typed = widgets.Text(
        value=control.text(control.value, switch.value),
        continuous_update=False,
        tooltip=f"{control.label}: type a value with its unit and press Enter",
        layout={"width": "132px"},
    )

    def write(_change: Any = None) -> None:
        typed.unobserve(take, "value")
        typed.value = control.text(slider.value, switch.value)
        typed.observe(take, "value")

    def take(change: Any) -> None:
        try:
            value = read(change["new"], control.dimension)
        except QuantityError as problem:
            message.value = _message(f"{control.label}: {problem}")
            return
        if not control.low <= value <= control.high:
            span = f"{control.text(control.low, switch.value)} to {control.text(control.high, switch.value)}"
            message.value = _message(
                f"{control.label}: {change['new'].strip()} is outside this panel's {span}."
            )
            return
        message.value = ""
        slider.value = value
        write()

    slider.observe(write, "value")
    switch.observe(write, "value")
    typed.observe(take, "value")
    return _Row(widgets.HBox([slider, typed]), slider)


def _caption(figure: go.Figure) -> str:
    text = html.escape(figure.layout.meta["caption"])
    return f'<p class="kilncalc-caption" aria-live="polite">{text}</p>'


def _message(sentence: str) -> str:
    return f'<p class="kilncalc-message" role="alert">{html.escape(sentence)}</p>'


def _plain(figure: go.Figure) -> dict[str, Any]:
    return {
        "data": [trace.to_plotly_json() for trace in figure.data],
        "layout": figure.layout.to_plotly_json(),
    }


def _apply(target: Any, old: Any, new: Any) -> None:
    """Set on `target`, a plotly object, only what differs between the plain figures `old` and `new`."""
    if len(old["data"]) != len(new["data"]):
        raise RuntimeError(f"a panel drew {len(old['data'])} traces first and {len(new['data'])} now")
    for trace, before, after in zip(target.data, old["data"], new["data"], strict=True):
        _apply_properties(trace, before, after)
    _apply_properties(target.layout, old["layout"], new["layout"])


def _apply_properties(target: Any, old: dict[str, Any], new: dict[str, Any]) -> None:
    for key in old.keys() - new.keys():
        target[key] = None
    for key, after in new.items():
        before = old.get(key)
        if isinstance(after, dict) and isinstance(before, dict) and key != "meta":
            _apply_properties(target[key], before, after)
        elif key in ("shapes", "annotations") and before is not None and len(before) == len(after):
            for item, was, now in zip(target[key], before, after, strict=True):
                _apply_properties(item, was, now)
        elif not _same(before, after):
            target[key] = after


def _same(before: Any, after: Any) -> bool:
    if isinstance(before, np.ndarray) or isinstance(after, np.ndarray):
        return np.array_equal(np.asarray(before), np.asarray(after))
    return bool(before == after)
