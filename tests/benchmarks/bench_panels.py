"""Slider to redraw in the kernel: 95th percentile of 40 moves of each panel, against a one-line figure.

    .venv/bin/python tests/benchmarks/bench_panels.py

Both go through the same shared function, in the same run; the goal is a ratio of 1.5 (2 where a firing is
simulated).
What the browser adds is measured by tests/benchmarks/bench_browser.py.
"""

import importlib
import pkgutil
import time

import numpy as np
import plotly.graph_objects as go

from kilncalc import panels
from kilncalc.figures import style
from kilncalc.panels import Panel, Slider, show

MOVES = 40


def one_line() -> Panel:
    """Return the baseline: one curve of 100 points whose slope follows the slider."""
    x = np.linspace(0.0, 1.0, 100)

    def draw(slope: float, units: str) -> go.Figure:
        return style.figure(
            [style.curve(x, slope * x, "line")],
            f"Slope {slope:.2f}.",
            xaxis=style.axis("x", 0, 1),
            yaxis=style.axis("y", 0, 1),
        )

    return Panel("How steep?", draw, (Slider("slope", "slope", "ratio", 0.5, 0.0, 1.0, 0.01),))


def percentile_95(panel: Panel) -> float:
    """Return the 95th percentile of the time from a slider's change to the messages sent [ms]."""
    slider = next(control for control in panel.controls if isinstance(control, Slider))
    moved = show(panel).children[1].children[panel.controls.index(slider)].children[0]
    times = []
    for value in np.linspace(moved.min, moved.max, MOVES + 1)[1:]:
        start = time.perf_counter()
        moved.value = float(value)
        times.append(1e3 * (time.perf_counter() - start))
    return float(np.percentile(times, 95))


def main() -> None:
    """Print a row for each panel."""
    percentile_95(one_line())
    baseline = percentile_95(one_line())
    print(f"one-line figure: {baseline:.1f} ms (95th percentile of {MOVES} moves)")
    for module in pkgutil.iter_modules(panels.__path__):
        if module.name.startswith("lesson"):
            content = vars(importlib.import_module(f"kilncalc.panels.{module.name}"))
            for name, panel in content.items():
                if isinstance(panel, Panel) and any(isinstance(c, Slider) for c in panel.controls):
                    took = percentile_95(panel)
                    print(
                        f"{module.name}.{name}: {took:.1f} ms, {took / baseline:.2f} times the one-line one"
                    )


if __name__ == "__main__":
    main()
