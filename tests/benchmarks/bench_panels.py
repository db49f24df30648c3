"""Slider to redraw in the kernel: 95th percentile of 40 moves of each panel.

    .venv/bin/python tests/benchmarks/bench_panels.py

The baseline is plotly's own widget with one line, moved by ipywidgets' own slider, in the same run. This is a
small part of what a person waits for, which tests/benchmarks/bench_browser.py measures.
"""

# measures: kilncalc/panels kilncalc/figures

import importlib
import pkgutil
import time
from typing import Any

import numpy as np
import plotly.graph_objects as go
from ipywidgets import FloatSlider

from kilncalc import panels
from kilncalc.figures import style
from kilncalc.panels import Panel, Rail, Slider, show
from kilncalc.quantities import Show

MOVES = 40


def one_line() -> Panel:
    """Return a panel of one curve of 100 points whose slope follows the slider."""
    x = np.linspace(0.0, 1.0, 100)

    def draw(slope: float, _show: Show) -> style.Figure:
        line = style.curve(x, slope * x, "line")
        return style.picture(
            [style.pane([line], x=style.axis("x", 0, 1), y=style.axis("y", 0, 1))], f"Slope {slope:.2f}."
        )

    slider = Slider("slope", "slope", "ratio", Rail("%", 50, 0, 100, 1))
    return Panel("How steep?", lambda slope: slope, draw, (slider,))


def plotlys_own() -> FloatSlider:
    """Return a slider that turns the one line of a FigureWidget."""
    x = np.linspace(0.0, 1.0, 100)
    figure, slider = go.FigureWidget([go.Scatter(x=x, y=x)]), FloatSlider(value=0.5, min=0, max=1, step=0.01)

    def turn(change: Any) -> None:
        figure.data[0].y = change["new"] * x

    slider.observe(turn, "value")
    return slider


def first_slider(panel: Panel) -> FloatSlider:
    """Return the first slider of the panel, live."""
    place = next(place for place, control in enumerate(panel.controls) if isinstance(control, Slider))
    return show(panel).children[1].children[place].children[0]


def percentile_95(moved: FloatSlider) -> float:
    """Return the 95th percentile of the time from a slider's change to the messages sent [ms]."""
    times = []
    for value in np.linspace(moved.min, moved.max, MOVES + 1)[1:]:
        start = time.perf_counter()
        moved.value = float(value)
        times.append(1e3 * (time.perf_counter() - start))
    return float(np.percentile(times, 95))


def main() -> None:
    """Print a row for each panel."""
    percentile_95(plotlys_own())
    baseline = percentile_95(plotlys_own())
    print(f"plotly's own widget, one line: {baseline:.1f} ms (95th percentile of {MOVES} moves)")
    print(f"ours, one line: {percentile_95(first_slider(one_line())):.1f} ms")
    for module in pkgutil.iter_modules(panels.__path__):
        if module.name.startswith("lesson"):
            content = vars(importlib.import_module(f"kilncalc.panels.{module.name}"))
            for name, panel in content.items():
                if isinstance(panel, Panel) and any(isinstance(c, Slider) for c in panel.controls):
                    took = percentile_95(first_slider(panel))
                    print(f"{module.name}.{name}: {took:.1f} ms, {took / baseline:.2f} times the baseline")


if __name__ == "__main__":
    main()
