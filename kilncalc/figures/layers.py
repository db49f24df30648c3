"""Pictures of layers: fibre paper under a face, rods on a sheet."""

import numpy as np

from kilncalc.figures import style
from kilncalc.figures._shapes import bare_axis, box, count, length_axis, lines, shape, to_scale
from kilncalc.layers import PaperCounts, RodsOnSheet
from kilncalc.quantities import Show


def papers(found: PaperCounts, show: Show) -> style.Figure:
    """Return three stacks of paper to scale, a face on them: counted by name, and measured, down and up."""
    counted = found.counted
    stacks = (("by name", found.by_name), ("down", counted.down.count), ("up", counted.up.count))
    words = ("by its name", "measured, rounded down", "measured, rounded up")
    glass = f", {show.text(found.face, 'length')} of glass included," if found.face else ""
    caption = (
        f"A height of {show.text(found.depth, 'length')}{glass} leaves {show.text(counted.wanted, 'length')} "
        f"for paper. Sold as {show.text(found.nominal, 'length')} it asks for "
        f"{count(found.by_name, 'layer')}; at the {_tenths(found.measured, show)} that one measures, the "
        f"nearest is {count(counted.nearest.count, 'layer')}."
    )
    readings = []
    for (_, number), how in zip(stacks, words, strict=True):
        over = found.over(number)
        miss = f"{_tenths(abs(over), show)} too {'high' if over > 0 else 'low'}"
        says = f"{how}: {'exact' if abs(over) < 0.05e-3 else miss}"
        tone = "second" if abs(over) > found.measured else "plain"
        readings.append(style.reading(count(number, "layer"), says, tone))
    return style.picture([_stacks(found, stacks, show)], caption, readings)


def _stacks(found: PaperCounts, stacks: tuple[tuple[str, int], ...], show: Show) -> style.Pane:
    wide, step, low, high = 0.030, 0.036, -0.003, 0.045
    papers, faces, notes = [], [], []
    for place, (how, number) in enumerate(stacks):
        left, each, top = place * step, found.measured, number * found.measured
        papers += [box(left, left + wide, i * each, (i + 1) * each) for i in range(number)]
        faces.append(box(left, left + wide, top, top + found.face))
        middle, ceiling = show.number(left + wide / 2, "length"), show.number(high, "length")
        notes.append(style.label(middle, ceiling, how, xanchor="center", yanchor="top"))
    left, right = wide - step, len(stacks) * step
    return style.pane(
        [
            shape("shelf", [box(left, right, low, 0.0)], show),
            shape("paper", papers, show),
            shape("glass", faces if found.face else [], show),
            lines([[(left, found.depth), (right, found.depth)]], show, style.REFERENCE),
        ],
        x=bare_axis(left, right, show),
        y=to_scale(length_axis("height", low, high, show, showgrid=False, zeroline=False)),
        annotations=notes,
        height=290,
        margin={"l": 72, "r": 8, "t": 8, "b": 8},
    )


def rods(found: RodsOnSheet, show: Show) -> style.Figure:
    """Return a sheet with rods on it in section, to scale, beside an even sheet of the same weight."""
    window, radius = 0.045, found.diameter / 2
    centres = np.arange(found.pitch / 2, window - radius, found.pitch)
    turn = np.linspace(0, 2 * np.pi, 25)
    circle = np.array([radius * np.cos(turn), radius * np.sin(turn)]).T
    laid = [[(x + dx, found.sheet + radius + dz) for dx, dz in circle] for x in centres]
    if found.directions == 2:
        laid.append(box(0.0, window, found.sheet + found.diameter, found.highest))
    crossing = ", crossing" if found.directions == 2 else ""
    caption = (
        f"Rods {show.text(found.diameter, 'length')} thick, {show.text(found.pitch, 'length')} "
        f"apart{crossing}, add {show.text(found.added, 'length')} on average: the "
        f"{show.text(found.sheet, 'length')} of sheet become {show.text(found.even, 'length')} by weight, "
        f"but {show.text(found.highest, 'length')} at the highest place."
    )
    panes = [
        _on_shelf("as laid", [[box(0.0, window, 0.0, found.sheet)], laid], window, found, show),
        _on_shelf("an even sheet", [[box(0.0, window, 0.0, found.even)]], window, found, show),
    ]
    readings = [
        style.reading(f"+ {show.text(found.added, 'length')}", "on average"),
        style.reading(show.text(found.highest, "length"), "at the highest place"),
        style.reading(show.text(found.even, "length"), "even sheet of the same weight (dashed)"),
    ]
    return style.picture(panes, caption, readings)


def _on_shelf(
    how: str, glass: list[list[list[tuple[float, float]]]], window: float, found: RodsOnSheet, show: Show
) -> style.Pane:
    low, high = -0.003, 0.0225
    return style.pane(
        [
            shape("shelf", [box(0.0, window, low, 0.0)], show),
            *(shape("glass", outlines, show) for outlines in glass),
            lines([[(0.0, found.even), (window, found.even)]], show, style.REFERENCE),
        ],
        x=bare_axis(-0.001, window + 0.001, show),
        y=to_scale(length_axis("height", low, high, show, showgrid=False, zeroline=False)),
        annotations=[
            style.label(
                show.number(window / 2, "length"),
                show.number(high, "length"),
                how,
                xanchor="center",
                yanchor="top",
            )
        ],
        height=260,
        least=300,
        margin={"l": 72, "r": 8, "t": 8, "b": 8},
    )


def _tenths(length: float, show: Show) -> str:
    """Return a length to 0.1 mm or 0.01 in: paper is no more even than that."""
    return f"{show.number(length, 'length'):.{1 if show.metric else 2}f} {show.symbol('length')}"
