"""Pictures of lesson 1: a stack that bends, its stress, tests read back, labels that promise too much.

A difference of expansion is drawn in points: 1e-7 per K, one point of the number on a label.
"""

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

import numpy as np
import pandas as pd

from kilncalc.compatibility import Bilayer, Reading, brightness
from kilncalc.figures import style
from kilncalc.figures.polariscope import colour_chart, placed
from kilncalc.quantities import as_text, to_unit

POINT = 1e-7
"""One point of the number on a label [1/K]."""

LENGTH_UNIT = {"metric": "mm", "inches": "in"}
STRESS_UNIT = {"metric": "MPa", "inches": "psi"}
TEMPERATURE_UNIT = {"metric": "°C", "inches": "°F"}

BEND_DRAWN = 25.0
THICKNESS_DRAWN = 3.0
"""How many times too large the bend and the thickness of a stack are drawn."""


def points_text(difference: float) -> str:
    """Return a difference of expansion [1/K] in points, with its sign."""
    return f"{difference / POINT:+.1f} points".replace("-", "\u2212")


def bent_stack(
    *, stack: Bilayer, difference: float, length: float, bow: float, allowed: float, flat: bool, units: str
) -> style.Figure:
    """Return a bar of clear glass below and colour above, bent, and the stress through its thickness.

    `stack` with the clear glass as a; expansion of colour minus clear [1/K]; length and bow [m], bow negative
    when the ends curl up; allowed tension [Pa].
    """
    say = partial(as_text, units=units)
    unit, stress_unit = LENGTH_UNIT[units], STRESS_UNIT[units]
    joint, top = stack.thickness_a, stack.thickness_a + stack.thickness_b
    x = np.linspace(-length / 2, length / 2, 41)
    sag = BEND_DRAWN * -bow * (1 - (2 * x / length) ** 2)

    def layer(material: str, low: float, high: float) -> style.Trace:
        y = np.concatenate([THICKNESS_DRAWN * high - sag, (THICKNESS_DRAWN * low - sag)[::-1]])
        return style.body(
            material,
            to_unit(np.concatenate([x, x[::-1]]), "length", unit),
            to_unit(y, "length", unit),
        )

    z, stress = stack.profile()
    worst = int(np.argmax(stress))
    largest = float(stress[worst])
    where = ("underside of the clear", "clear, at the joint", "colour, at the joint", "top of the colour")
    shown = to_unit(stress, "pressure", stress_unit)
    height = to_unit(z, "length", unit)
    thickest = to_unit(0.0125, "length", unit)
    widest = to_unit(40e6, "pressure", stress_unit)
    across = to_unit(0.110, "length", unit)
    limit = to_unit(allowed, "pressure", stress_unit)
    if flat:
        shape = "Held flat"
    elif bow == 0:
        shape = "It stays straight"
    else:
        ends = "ends curl up" if bow < 0 else "middle stands up"
        shape = f"Free, its {ends}: {say(abs(bow), 'length')} under a {say(length, 'length')} straight edge"
    times = f"{largest / allowed:.1f} times the {say(allowed, 'pressure')} it may carry for good"
    caption = (
        f"Colour {points_text(difference)} against clear. {shape}. "
        + (
            f"Largest tension {say(largest, 'pressure')} in the {where[worst]}: {times}."
            if largest > 0
            else "No stress."
        )
        + f" Bend drawn {BEND_DRAWN:.0f} times, thickness {THICKNESS_DRAWN:.0f} times too large."
    )
    return style.figure(
        [
            layer("glass", 0.0, joint),
            layer("second glass", joint, top),
            style.curve(
                np.concatenate([[0.0], shown, [0.0]]),
                np.concatenate([[0.0], height, height[-1:]]),
                "stress",
                fill="toself",
                fillcolor=style.GRID,
                xaxis="x2",
                yaxis="y2",
            ),
            style.line([-widest, widest], [height[1]] * 2, xaxis="x2", yaxis="y2"),
            style.line([limit, limit], [0, thickest], style.LIMIT, xaxis="x2", yaxis="y2"),
            style.marks(
                shown[worst : worst + 1],
                height[worst : worst + 1],
                style.MARK_WORST,
                xaxis="x2",
                yaxis="y2",
                visible=largest > 0,
            ),
        ],
        caption,
        margin={"l": 20, "r": 30, "t": 40, "b": 64},
        xaxis=style.axis(
            f"along the bar ({unit})", -across, across, domain=[0.0, 0.47], showgrid=False, zeroline=False
        ),
        yaxis={
            "domain": [0.0, 1.0],
            "range": [to_unit(-0.060, "length", unit), to_unit(0.075, "length", unit)],
            "visible": False,
            "fixedrange": True,
        },
        xaxis2=style.axis(
            f"compression   \u2190   stress ({stress_unit})   \u2192   tension",
            -widest,
            widest,
            domain=[0.57, 1.0],
            anchor="y2",
            zerolinecolor=style.QUIET,
            zerolinewidth=2,
        ),
        yaxis2=style.axis(f"height in the stack ({unit})", 0, thickest, anchor="x2"),
        annotations=[
            style.label(
                0,
                to_unit(0.072, "length", unit),
                "hatched: colour; plain: clear",
                xanchor="center",
                yanchor="top",
            ),
            style.label(
                limit,
                thickest,
                f"allowed {say(allowed, 'pressure')}",
                style.SECOND,
                xref="x2",
                yref="y2",
                xanchor="left",
                yanchor="bottom",
            ),
            style.label(
                shown[worst],
                height[worst],
                f"<b>{say(largest, 'pressure')}</b>" if largest > 0 else "",
                style.SECOND,
                xref="x2",
                yref="y2",
                xanchor="right" if shown[worst] > 0.6 * widest else "left",
                yanchor="bottom" if height[worst] < 0.9 * thickest else "top",
                xshift=-12 if shown[worst] > 0.6 * widest else 12,
                bgcolor=style.PAPER,
            ),
            style.label(
                -widest,
                (height[1] + height[3]) / 2,
                "colour",
                xref="x2",
                yref="y2",
                xanchor="left",
                xshift=8,
            ),
            style.label(-widest, height[1] / 2, "clear", xref="x2", yref="y2", xanchor="left", xshift=8),
        ],
    )


def joint_tension(
    *,
    mismatch: np.ndarray,
    plate: np.ndarray,
    beam: np.ndarray,
    published: tuple[float, float],
    computed: tuple[float, float],
    allowed: float,
    breaks: float,
    units: str,
) -> style.Figure:
    """Return tension at the joint of two like sheets against their mismatch [-], stress in Pa.

    `published` and `computed` (mismatch, stress); `breaks`, the mismatch above which a standard expects
    fracture.
    """
    say = partial(as_text, units=units)
    unit = STRESS_UNIT[units]
    off = computed[1] / published[1] - 1
    wide = float(np.interp(published[0], mismatch, plate))
    caption = (
        f"Published formula for a narrow bar: {say(published[1], 'pressure')}; computed: "
        f"{say(computed[1], 'pressure')} ({off:+.1%}). A wide plate, pulled both ways, has "
        f"{say(wide, 'pressure')} ({wide / published[1] - 1:+.0%})."
    )
    millionths = 1e6 * mismatch
    highest = to_unit(20e6, "pressure", unit)

    def stress(value: float | np.ndarray) -> np.ndarray:
        return np.asarray(to_unit(value, "pressure", unit))

    return style.figure(
        [
            style.curve(millionths, stress(plate), "wide plate"),
            style.curve(millionths, stress(beam), "narrow bar", style.SECOND),
            style.line([0, millionths[-1]], [stress(allowed)] * 2, style.LIMIT),
            style.line([1e6 * breaks] * 2, [0, highest]),
            style.marks([1e6 * computed[0]], [stress(computed[1])], {**style.MARK_COMPUTED, "size": 7}),
            style.marks([1e6 * published[0]], [stress(published[1])], style.MARK_PUBLISHED),
        ],
        caption,
        xaxis=style.axis("mismatch: how much more one shrinks (millionths of its length)", 0, millionths[-1]),
        yaxis=style.axis(f"tension at the joint ({unit})", 0, highest),
        annotations=[
            style.label(
                150,
                float(stress(np.interp(150e-6, mismatch, plate))),
                "wide plate",
                style.FIRST,
                xanchor="right",
                yanchor="bottom",
                xshift=-6,
            ),
            style.label(
                350,
                float(stress(np.interp(350e-6, mismatch, beam))),
                "narrow bar",
                style.SECOND,
                xanchor="left",
                yanchor="top",
                xshift=4,
                yshift=-4,
            ),
            style.label(
                1e6 * published[0],
                float(stress(published[1])),
                f"published: {say(published[1], 'pressure')} ({off:+.1%})",
                xanchor="left",
                showarrow=True,
                arrowhead=0,
                arrowwidth=1,
                arrowcolor=style.QUIET,
                standoff=10,
                ax=135,
                ay=45,
            ),
            style.label(
                0,
                float(stress(allowed)),
                f"allowed for good: {say(allowed, 'pressure')}",
                style.SECOND,
                xanchor="left",
                yanchor="bottom",
                xshift=8,
            ),
            style.label(
                1e6 * breaks,
                highest,
                "a standard for seals: above this<br>glass is likely to fracture",
                style.INK,
                xanchor="right",
                yanchor="top",
                xshift=-8,
            ),
        ],
    )


def allowed_difference(
    *,
    share: np.ndarray,
    lowest: np.ndarray,
    highest: np.ndarray,
    here: tuple[float, float, float],
    labels_differ: float,
    allowed: float,
    units: str,
) -> style.Figure:
    """Return how far the expansion of colour may lie below and above that of clear, in 1/K.

    `share` of the colour in the thickness [-]; `here` (share, lowest, highest); `labels_differ` [1/K], a pair
    of labels for comparison; allowed tension [Pa].
    """
    at, low, high = here
    limit = as_text(allowed, "pressure", units=units)
    end = 8.0
    caption = (
        f"With {at:.0%} of the thickness in colour and {limit} allowed, the colour may lie between "
        f"{points_text(low)} and {points_text(high)} from the clear. Two labels {labels_differ / POINT:.0f} "
        f"points apart are {'within' if low <= labels_differ <= high else 'outside'} that."
    )
    return style.figure(
        [
            style.line(100 * share, highest / POINT, {"color": style.FIRST, "width": 3}),
            style.line(
                100 * share,
                lowest / POINT,
                {"color": style.FIRST, "width": 3},
                fill="tonexty",
                fillcolor=style.MATERIALS["frit"]["fillcolor"],
            ),
            style.line([0, 100], [0, 0], {"color": style.QUIET, "width": 1}),
            style.line([0, 100], [labels_differ / POINT] * 2),
            style.line([100 * at] * 2, [low / POINT, high / POINT], {"color": style.INK, "width": 2}),
            style.marks([100 * at] * 2, [low / POINT, high / POINT]),
        ],
        caption,
        xaxis=style.axis("share of the thickness that is colour (%)", 0, 100, domain=[0.0, 0.66]),
        yaxis=style.axis("colour minus clear (points on the label)", -end, end),
        annotations=[
            style.label(50, 0.9 * end, "too much tension in the colour", style.QUIET, xanchor="center"),
            style.label(50, -0.9 * end, "too much tension in the clear", style.QUIET, xanchor="center"),
            style.label(
                100,
                labels_differ / POINT,
                f"labels {labels_differ / POINT:.0f} apart",
                style.QUIET,
                xanchor="right",
                yanchor="bottom",
            ),
            style.words(0.70, 0.97, f"<b>{points_text(high)}</b>", 30, style.FIRST),
            style.words(0.70, 0.80, "at most, when the colour<br>shrinks more", 18),
            style.words(0.70, 0.55, f"<b>{points_text(low)}</b>", 30, style.FIRST),
            style.words(0.70, 0.38, "at most, when it shrinks less", 18),
            style.words(0.70, 0.20, f"for {limit} of tension<br>at the worst face", 16),
        ],
    )


def read_by_light(
    *, retardation: float, names: Mapping[str, str], reading: Reading, allowed: float, units: str
) -> style.Figure:
    """Return where a retardation [m] stands in brightness and colour, and what it says about two glasses."""
    end = 1200.0
    x = np.linspace(0, end, 200)
    nanometres = retardation * 1e9
    seen = brightness(retardation)
    orders = np.arange(4)[:, None] * 565.0
    alike = np.sort(np.concatenate([orders + nanometres % 565, orders - nanometres % 565]).ravel())
    alike = np.where((alike < 0) | (alike > end) | (np.abs(alike - nanometres) < 2), np.nan, alike)
    words, bars, layout = _says(reading, names, allowed, units)
    return style.figure(
        [
            style.curve(x, brightness(x * 1e-9), "brightness"),
            style.marks(alike, np.full(alike.shape, seen), {**style.MARK_COMPUTED, "symbol": "circle-open"}),
            style.marks([nanometres], [seen]),
            style.line([nanometres] * 2, [-0.3, seen], {"color": style.INK, "width": 2}),
            bars,
        ],
        f"{nanometres:.0f} nm. {words} Open rings: what looks just as bright in light of one colour.",
        images=[placed(colour_chart(end, 0.0), 0, -0.05, end, 0.25, "")],
        xaxis=style.axis("retardation (nm)", 0, end, domain=[0.0, 0.38]),
        yaxis=style.axis("share of the light", -0.3, 1.05, tickvals=[0, 0.5, 1]),
        **layout,
    )


def read_by_bow(
    *, bow: float, span: float, names: Mapping[str, str], reading: Reading, allowed: float, units: str
) -> style.Figure:
    """Return a bar under a straight edge, and what its bow [m] over `span` [m] says about two glasses."""
    say = partial(as_text, units=units)
    unit = LENGTH_UNIT[units]
    half = to_unit(0.15, "length", unit)
    x = np.linspace(-span / 2, span / 2, 41)
    along = to_unit(x, "length", unit)
    gap = to_unit(bow * (1 - (2 * x / span) ** 2), "length", unit)
    body = to_unit(0.35e-3, "length", unit)
    words, bars, layout = _says(reading, names, allowed, units)
    return style.figure(
        [
            style.body(
                "second glass",
                np.concatenate([along, along[::-1]]),
                np.concatenate([gap, gap[::-1] + body]),
            ),
            style.body(
                "glass",
                np.concatenate([along, along[::-1]]),
                np.concatenate([gap + body, gap[::-1] + 2 * body]),
            ),
            style.line([-half, half], [0, 0], {"color": style.INK, "width": 4}),
            style.line([0, 0], [float(gap[20]), 0], {"color": style.SECOND, "width": 4}),
            bars,
        ],
        f"A gap of {say(bow, 'length')} over {say(span, 'length')}. {words} "
        "The gap is drawn more than a hundred times too large, the thickness is not to scale.",
        xaxis=style.axis(f"along the straight edge ({unit})", -half, half, domain=[0.0, 0.38]),
        yaxis=style.axis(f"gap ({unit})", to_unit(1.8e-3, "length", unit), to_unit(-0.15e-3, "length", unit)),
        **layout,
    )


def _says(
    reading: Reading, names: Mapping[str, str], allowed: float, units: str
) -> tuple[str, style.Trace, dict[str, Any]]:
    """Return a sentence, and a trace and a layout of what each number adds to the uncertainty."""
    say = partial(as_text, units=units)
    rows = [*names.values(), "together"]
    adds = [reading.parts[name] / POINT for name in names] + [reading.uncertainty / POINT]
    end = 1.5
    difference, sure = reading.difference / POINT, reading.uncertainty / POINT
    words = (
        f"The colour is {difference:.1f} ± {sure:.1f} points above the clear, and the joint carries "
        f"{say(reading.stress, 'pressure')}, {reading.stress / allowed:.1f} times the allowed tension."
    )
    bars_x: list[float | None] = []
    bars_y: list[float | None] = []
    for row, part in enumerate(adds):
        bars_x += [0.0, min(part, end), None]
        bars_y += [-row, -row, None]
    layout: dict[str, Any] = {
        "margin": {"l": 80, "r": 30, "t": 16, "b": 64},
        "xaxis2": style.axis("adds to the uncertainty (points)", 0, end, domain=[0.68, 1.0], anchor="y2"),
        "yaxis2": {
            "range": [0.6 - len(rows), 0.6],
            "domain": [0.0, 0.70],
            "visible": False,
            "anchor": "x2",
            "fixedrange": True,
        },
        "annotations": [
            style.words(0.44, 1.0, f"<b>{difference:.1f} \u00b1 {sure:.1f} points</b>", 30),
            style.words(
                0.44,
                0.84,
                f"{say(reading.stress, 'pressure')} at the joint, "
                f"{reading.stress / allowed:.1f} times what is allowed for good",
            ),
            *(
                style.label(
                    0,
                    -row,
                    f"<b>{name}</b>" if row == len(rows) - 1 else name,
                    xref="x2",
                    yref="y2",
                    xanchor="right",
                    xshift=-8,
                )
                for row, name in enumerate(rows)
            ),
        ],
    }
    bars = style.line(bars_x, bars_y, {"color": style.FIRST, "width": 12}, xaxis="x2", yaxis="y2")
    return words, bars, layout


def labelled_glasses(
    *,
    table: pd.DataFrame,
    label: float,
    within: float,
    joint: float,
    allowed: float,
    units: str,
) -> style.Figure:
    """Return measured soda-lime glasses, those that one label covers set off: expansion against setting.

    `label` and `within` in points; `joint` tension of two like sheets of the worst pair [Pa].
    """
    say = partial(as_text, units=units)
    unit = TEMPERATURE_UNIT[units]
    expansion = table["expansion_1e-7_per_K"].to_numpy()
    setting = ((table["strain_point_degC"] + table["annealing_point_degC"]) / 2).to_numpy()
    covered = np.abs(expansion - label) <= within + 1e-9
    count = int(covered.sum())
    shown = to_unit(setting, "temperature", unit)
    low, high = to_unit(455.0, "temperature", unit), to_unit(550.0, "temperature", unit)
    if count:
        spread = (
            f"{say(setting[covered].min(), 'temperature')} to {say(setting[covered].max(), 'temperature')}"
        )
    else:
        spread = "none is there"
    caption = (
        f"{count} of {len(table)} measured soda-lime glasses lie within {within:.1f} of {label:.0f}; they "
        f"set at {spread}. Two that the label covers may still pull with {say(joint, 'pressure')} at "
        f"their joint, {joint / allowed:.1f} times the allowed tension."
    )
    return style.figure(
        [
            style.line(
                label + within * np.array([-1, 1, 1, -1, -1]),
                [low, low, high, high, low],
                style.REFERENCE,
                fill="toself",
                fillcolor=style.GRID,
            ),
            style.marks(
                expansion[~covered],
                shown[~covered],
                {**style.MARK_PUBLISHED, "size": 9, "line": {"width": 1}},
            ),
            style.marks(expansion[covered], shown[covered], style.MARK_PUBLISHED),
        ],
        caption,
        xaxis=style.axis("expansion, as measured (number on the label)", 75, 99, domain=[0.0, 0.58]),
        yaxis=style.axis(f"sets at ({unit})", low, high),
        annotations=[
            style.words(0.63, 0.98, f"<b>{count} of {len(table)} glasses</b>", 30),
            style.words(
                0.63, 0.82, f"fit the label {label:.0f}, within {within:.1f};<br>they set at {spread}", 18
            ),
            style.words(0.63, 0.56, f"<b>{say(joint, 'pressure')}</b>", 30),
            style.words(
                0.63,
                0.40,
                "tension at the joint of two like sheets,<br>if they differ as much as the label<br>and what "
                f"it leaves out allow: {joint / allowed:.1f} times<br>the {say(allowed, 'pressure')} allowed",
                18,
            ),
        ],
    )


def class_tests(*, table: pd.DataFrame, left_out: Sequence[str]) -> style.Figure:
    """Return each student's difference of expansion by light and by bow, and the means of those that count.

    `table` from `analyse_strip_tests`.
    """
    end = 10.0
    rows = -np.arange(len(table), dtype=float)
    counts = ~table["student"].isin(list(left_out)).to_numpy()
    squares = {**style.MARK_COMPUTED, "symbol": "square-open", "color": style.SECOND}
    says, traces, means = [], [], []
    for column, name, shift, look in (
        ("by_light", "by light", 0.14, style.MARK_COMPUTED),
        ("by_bow", "by bow", -0.14, squares),
    ):
        value = table[column].to_numpy()
        sure = table[f"{column}_uncertainty"].to_numpy()
        inside = value <= end
        mean = value[counts].mean()
        scatter = value[counts].std(ddof=1)
        says.append(f"{name} {mean:.2f}, scatter {scatter:.2g}")
        means.append(f"<b>{name} {mean:.1f}</b>, scatter {scatter:.2g}")
        traces.append(
            style.marks(
                np.where(inside, value, np.nan),
                rows + shift,
                {**look, "size": 9, "opacity": np.where(counts, 1.0, 0.3)},
                error_x={
                    "type": "data",
                    "array": sure,
                    "thickness": 2,
                    "width": 0,
                    "color": look["color"],
                },
            )
        )
        traces.append(
            style.line(
                np.full(2, mean if mean <= end else np.nan),
                [0.5, 0.5 - len(table)],
                {**style.REFERENCE, "color": look["color"]},
            )
        )
    off = table[table["by_light"] > end]
    caption = f"Mean of {counts.sum()} bars, in points: {'; '.join(says)}. " + (
        f"Left out: {', '.join(left_out)}." if left_out else "Nobody is left out."
    )
    return style.figure(
        traces,
        caption,
        margin={"l": 60, "r": 30, "t": 10, "b": 64},
        xaxis=style.axis("colour minus clear (points on the label)", 0, end, domain=[0.0, 0.62]),
        yaxis=style.axis(
            "",
            0.6 - len(table),
            0.6,
            tickvals=rows,
            ticktext=[
                name if counted else f"({name})"
                for name, counted in zip(table["student"], counts, strict=True)
            ],
            showgrid=False,
            zeroline=False,
        ),
        annotations=[
            *(
                style.label(
                    end,
                    -float(place),
                    f"by light {row.by_light:.0f}: off the picture \u2192",
                    style.FIRST,
                    xanchor="right",
                )
                for place, row in zip(off.index, off.itertuples(), strict=True)
            ),
            style.words(0.66, 0.97, f"mean of {counts.sum()} bars, in points", 18),
            style.words(0.66, 0.84, means[0], 22, style.FIRST),
            style.words(0.66, 0.70, "disc, with its uncertainty", 16),
            style.words(0.66, 0.54, means[1], 22, style.SECOND),
            style.words(0.66, 0.40, "square, with its uncertainty", 16),
            style.words(0.66, 0.22, "dashed: the two means", 16, style.QUIET),
        ],
    )
