"""Panels that still stand on the former pattern, until their lesson is brought to the new one."""

import math
from collections.abc import Callable
from typing import Any

from kilncalc.figures.style import Figure
from kilncalc.panels._panel import Choice, Panel, Rail, Slider
from kilncalc.quantities import Show, display_unit, to_unit


def old_panel(title: str, draw: Callable[..., Figure], controls: tuple[Slider | Choice, ...]) -> Panel:
    """Return a panel whose `draw` computes as well."""

    def drawn(values: dict[str, Any], show: Show) -> Figure:
        figure = draw(units=show.units, **values)
        layout = figure["layout"]
        pane = {"share": 1, "least": layout["width"], "data": figure["data"], "layout": layout}
        return {"panes": [pane], "readings": [], "table": None, "caption": layout["meta"]["caption"]}

    return Panel(title, lambda **values: values, drawn, controls)


def old_slider(
    name: str,
    label: str,
    dimension: str,
    value: float,
    low: float,
    high: float,
    step: float,
    words: Callable[[float, str], str] | None = None,
) -> Slider:
    """Return a slider given in SI."""
    rails: dict[str, Rail] = {}
    metric = display_unit(high, dimension, "metric")
    for system in ("metric", "inches"):
        unit = display_unit(high, dimension, system)
        start, least, most, after = (
            to_unit(number, dimension, unit) for number in (value, low, high, low + step)
        )
        tick = after - least
        if unit != metric:
            tick = _round_step(tick, halved=unit == "in")
            least, most = math.ceil(least / tick - 1e-6) * tick, math.floor(most / tick + 1e-6) * tick
        rails[system] = Rail(unit, min(max(start, least), most), least, most, tick)
    said = (lambda number, show: words(number, show.units)) if words else None
    return Slider(name, label, dimension, rails["metric"], rails["inches"], said)


def _round_step(step: float, *, halved: bool) -> float:
    size = 10.0 ** math.floor(math.log10(step))
    steps = (
        [2.0**-k for k in range(6)] if halved and step > 2.0**-6 else [size, 2 * size, 5 * size, 10 * size]
    )
    return min(steps, key=lambda candidate: abs(math.log(candidate / step)))
