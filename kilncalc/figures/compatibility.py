"""Pictures of lesson 1: a stack that bends, its stress, tests read back, labels that promise too much.

A difference of expansion is drawn in points: 1e-7 per K, one point of the number on a label.
"""

import numpy as np

from kilncalc.bars import BarByBow, BarByLight, ClassReading, Reading
from kilncalc.figures import style
from kilncalc.figures.polariscope import CHART_END, POINT, colour_chart, placed, points_text
from kilncalc.materials import ALLOWED_TENSION
from kilncalc.pair import LIKELY_TO_FRACTURE, FusedBar, HowFar, JointExample, LabelPromise
from kilncalc.polariscope import FULL_WAVE, brightness
from kilncalc.quantities import Show

BEND_DRAWN = 25.0
THICKNESS_DRAWN = 3.0
"""How many times too large the bend and the thickness of a stack are drawn."""

_HIDDEN = {"visible": False, "fixedrange": True}


def _allowed(share: float, show: Show) -> str:
    return f"{share:.1f} times the {show.text(ALLOWED_TENSION, 'pressure')} allowed for good"


def _tone(share: float) -> str:
    return "over" if share > 1 else "first"


# ------------------------------------------------------------------ a stack that bends


def bent_stack(bar: FusedBar, show: Show) -> style.Figure:
    """Return a bar of clear glass below and colour above, bent, and the stress through its thickness."""
    tension, share = bar.stack.largest_tension, _allowed(bar.share_of_limit, show)
    if bar.flat:
        shape, gap = "held flat", "Held flat."
    elif bar.bow == 0:
        shape, gap = "it stays straight", "It stays straight."
    else:
        ends = "its ends curl up" if bar.bow < 0 else "its middle stands up"
        under = "under a straight edge as long as the bar"
        shape, gap = f"gap {under}: {ends}", f"Free, {ends}: {show.text(abs(bar.bow), 'length')} {under}."
    worst = (
        f"Largest tension {show.text(tension, 'pressure')} in the {bar.where}: {share}."
        if tension > 0
        else "No stress."
    )
    return style.picture(
        [_bent(bar, show), _through(bar, show)],
        f"Colour {points_text(bar.difference)} against clear. {gap} {worst} Bend drawn {BEND_DRAWN:.0f} "
        f"times, thickness {THICKNESS_DRAWN:.0f} times too large.",
        [
            style.reading(
                show.text(tension, "pressure"),
                f"of tension in the {bar.where}: {share}" if tension > 0 else "no stress",
                _tone(bar.share_of_limit),
            ),
            style.reading(show.text(abs(bar.bow), "length"), shape),
        ],
    )


def _bent(bar: FusedBar, show: Show) -> style.Pane:
    joint, top = bar.stack.thickness_a, bar.stack.thickness_a + bar.stack.thickness_b
    x = np.linspace(-bar.length / 2, bar.length / 2, 41)
    sag = BEND_DRAWN * -bar.bow * (1 - (2 * x / bar.length) ** 2)

    def layer(material: str, low: float, high: float) -> style.Trace:
        y = np.concatenate([THICKNESS_DRAWN * high - sag, (THICKNESS_DRAWN * low - sag)[::-1]])
        along = np.concatenate([x, x[::-1]])
        return style.body(material, show.number(along, "length"), show.number(y, "length"))

    across, above = show.number(0.110, "length"), show.number(0.075, "length")
    return style.pane(
        [layer("glass", 0.0, joint), layer("second glass", joint, top)],
        x=style.axis(
            f"along the bar ({show.symbol('length')})", -across, across, showgrid=False, zeroline=False
        ),
        y={**_HIDDEN, "range": [show.number(-0.060, "length"), above]},
        annotations=[
            style.label(0, above, "hatched: colour; plain: clear", xanchor="center", yanchor="top"),
        ],
        margin={"l": 16, "r": 16, "t": 16, "b": 64},
    )


def _through(bar: FusedBar, show: Show) -> style.Pane:
    z, stress = bar.stack.profile()
    sigma, height = show.number(stress, "pressure"), show.number(z, "length")
    thickest, widest = show.number(0.013, "length"), show.number(40e6, "pressure")
    limit, worst = show.number(ALLOWED_TENSION, "pressure"), bar.worst
    return style.pane(
        [
            style.curve(
                np.concatenate([[0.0], sigma, [0.0]]),
                np.concatenate([[0.0], height, height[-1:]]),
                "stress",
                fill="toself",
                fillcolor=style.GRID,
            ),
            style.line([-widest, widest], [height[1]] * 2),
            style.line([limit, limit], [0, thickest], style.LIMIT),
            style.marks([sigma[worst]], [height[worst]], style.MARK_WORST, visible=bool(stress[worst] > 0)),
        ],
        x=style.axis(
            f"\u2190 compression, tension \u2192 ({show.symbol('pressure')})",
            -widest,
            widest,
            zerolinecolor=style.QUIET,
            zerolinewidth=2,
            nticks=5,
        ),
        y=style.axis(f"height in the stack ({show.symbol('length')})", 0, thickest),
        annotations=[
            style.label(limit, thickest, "allowed", style.SECOND, xanchor="left", yanchor="top", xshift=4),
            style.label(-widest, (height[1] + height[3]) / 2, "colour", xanchor="left", xshift=8),
            style.label(-widest, height[1] / 2, "clear", xanchor="left", xshift=8),
        ],
    )


def joint_tension(example: JointExample, show: Show) -> style.Figure:
    """Return tension at the joint of two like sheets against their mismatch, beside the published value."""
    off = example.computed / example.published - 1
    millionths, at = 1e6 * example.mismatch, 1e6 * example.published_at
    published = show.text(example.published, "pressure")
    highest = show.number(20e6, "pressure")
    plate, beam = show.number(example.plate, "pressure"), show.number(example.beam, "pressure")
    mark, limit = show.number(example.published, "pressure"), show.number(ALLOWED_TENSION, "pressure")
    return style.picture(
        [
            style.pane(
                [
                    style.curve(millionths, plate, "wide plate"),
                    style.curve(millionths, beam, "narrow bar", style.SECOND),
                    style.line([0, millionths[-1]], [limit] * 2, style.LIMIT),
                    style.line([1e6 * LIKELY_TO_FRACTURE] * 2, [0, highest]),
                    style.marks(
                        [at], [show.number(example.computed, "pressure")], {**style.MARK_COMPUTED, "size": 7}
                    ),
                    style.marks([at], [mark], style.MARK_PUBLISHED),
                ],
                x=style.axis("mismatch (millionths of the length)", 0, millionths[-1]),
                y=style.axis(f"tension at the joint ({show.symbol('pressure')})", 0, highest),
                annotations=[
                    style.label(
                        180,
                        np.interp(180, millionths, plate),
                        "wide plate",
                        style.FIRST,
                        xanchor="right",
                        yanchor="bottom",
                        xshift=-6,
                    ),
                    style.label(
                        millionths[-1],
                        np.interp(195, millionths, beam),
                        "narrow bar",
                        style.SECOND,
                        xanchor="right",
                        yanchor="top",
                    ),
                    style.label(
                        at,
                        mark,
                        "published",
                        xanchor="left",
                        yanchor="top",
                        xshift=8,
                        yshift=-6,
                        bgcolor=style.PAPER,
                    ),
                    style.label(
                        millionths[-1], limit, "allowed", style.SECOND, xanchor="right", yanchor="bottom"
                    ),
                    style.label(
                        1e6 * LIKELY_TO_FRACTURE,
                        highest,
                        "fracture likely<br>(a standard<br>for seals)",
                        style.INK,
                        xanchor="right",
                        yanchor="top",
                        xshift=-8,
                    ),
                ],
            )
        ],
        f"Published formula for a narrow bar: {published}; computed: "
        f"{show.text(example.computed, 'pressure')} ({off:+.1%}). A wide plate, pulled both ways, has "
        f"{show.text(example.wide, 'pressure')} ({example.wide / example.published - 1:+.0%}).",
        [
            style.reading(published, f"published, a narrow bar; ours differs by {off:+.1%}"),
            style.reading(show.text(example.wide, "pressure"), "a wide plate, pulled both ways", "first"),
        ],
    )


# ------------------------------------------------------------------ how far apart


def allowed_difference(apart: HowFar, show: Show) -> style.Figure:
    """Return how far the expansion of the colour may lie below and above that of the clear."""
    low, high, label = apart.lowest / POINT, apart.highest / POINT, apart.labels_differ / POINT
    limit = show.text(apart.allowed, "pressure")
    end, at = 8.0, 100 * apart.share
    return style.picture(
        [
            style.pane(
                [
                    style.line(
                        100 * apart.shares, apart.highest_at / POINT, {"color": style.FIRST, "width": 3}
                    ),
                    style.line(
                        100 * apart.shares,
                        apart.lowest_at / POINT,
                        {"color": style.FIRST, "width": 3},
                        fill="tonexty",
                        fillcolor=style.MATERIALS["frit"]["fillcolor"],
                    ),
                    style.line([0, 100], [0, 0], {"color": style.QUIET, "width": 1}),
                    style.line([0, 100], [label] * 2),
                    style.line([at] * 2, [low, high], {"color": style.INK, "width": 2}),
                    style.marks([at] * 2, [low, high]),
                ],
                x=style.axis("share that is colour (%)", 0, 100),
                y=style.axis("colour minus clear (points)", -end, end),
                annotations=[
                    style.label(
                        50, 0.9 * end, "too much tension in the colour", style.QUIET, xanchor="center"
                    ),
                    style.label(
                        50, -0.9 * end, "too much tension in the clear", style.QUIET, xanchor="center"
                    ),
                    style.label(
                        0,
                        label,
                        f"labels {label:.0f} apart",
                        style.QUIET,
                        xanchor="left",
                        yanchor="top",
                        xshift=8,
                    ),
                ],
            )
        ],
        f"With {apart.share:.0%} of the thickness in colour and {limit} allowed, the colour may lie between "
        f"{points_text(apart.lowest)} and {points_text(apart.highest)} from the clear. Two labels "
        f"{label:.0f} points apart are {'within' if apart.labels_allowed else 'outside'} that.",
        [
            style.reading(points_text(apart.highest), "at most, when the colour shrinks more", "first"),
            style.reading(points_text(apart.lowest), "at most, when it shrinks less", "first"),
            style.reading(limit, "of tension at the worst face"),
        ],
    )


# ------------------------------------------------------------------ tests read back


def read_by_light(bar: BarByLight, show: Show) -> style.Figure:
    """Return where a retardation stands in brightness and colour, and what it says about two glasses."""
    delta = np.linspace(0, CHART_END, 200)
    end, here = (show.number(each, "length", like=FULL_WAVE) for each in (CHART_END, bar.retardation))
    seen = brightness(bar.retardation)
    alike = show.number(bar.alike, "length", like=FULL_WAVE)
    light = style.pane(
        [
            style.curve(show.number(delta, "length", like=FULL_WAVE), brightness(delta), "brightness"),
            style.marks(alike, np.full(alike.shape, seen), {**style.MARK_COMPUTED, "symbol": "circle-open"}),
            style.marks([here], [seen]),
            style.line([here] * 2, [-0.3, seen], {"color": style.INK, "width": 2}),
        ],
        x=style.axis(f"retardation ({show.symbol('length', like=FULL_WAVE)})", 0, end),
        y=style.axis("share of the light", -0.3, 1.05, tickvals=[0, 0.5, 1]),
        images=[placed(colour_chart(CHART_END, 0.0), 0, -0.05, end, 0.25)],
    )
    retardation = show.text(bar.retardation, "length", like=FULL_WAVE)
    return style.picture(
        [light, _parts(bar.reading)],
        f"{retardation}. {_says(bar.reading, show)} Open rings: what looks just as bright in light of one "
        "colour.",
        _read_out(bar.reading, show),
    )


def read_by_bow(bar: BarByBow, show: Show) -> style.Figure:
    """Return a bar under a straight edge, and what its bow says about two glasses."""
    half = show.number(0.15, "length")
    x = np.linspace(-bar.span / 2, bar.span / 2, 41)
    along = show.number(x, "length")
    gap = show.number(bar.bow * (1 - (2 * x / bar.span) ** 2), "length")
    body = show.number(0.35e-3, "length")
    both_ways = np.concatenate([along, along[::-1]])
    under = style.pane(
        [
            style.body("second glass", both_ways, np.concatenate([gap, gap[::-1] + body])),
            style.body("glass", both_ways, np.concatenate([gap + body, gap[::-1] + 2 * body])),
            style.line([-half, half], [0, 0], {"color": style.INK, "width": 4}),
            style.line([0, 0], [float(gap[20]), 0], {"color": style.SECOND, "width": 4}),
        ],
        x=style.axis(f"along the straight edge ({show.symbol('length')})", -half, half),
        y=style.axis(
            f"gap ({show.symbol('length')})",
            show.number(1.8e-3, "length"),
            show.number(-0.15e-3, "length"),
        ),
    )
    return style.picture(
        [under, _parts(bar.reading)],
        f"A gap of {show.text(bar.bow, 'length')} over {show.text(bar.span, 'length')}. "
        f"{_says(bar.reading, show)} The gap is drawn more than a hundred times too large, the thickness is "
        "not to scale.",
        _read_out(bar.reading, show),
    )


def _says(reading: Reading, show: Show) -> str:
    return (
        f"The colour is {_plus_minus(reading)} above the clear, and the joint carries "
        f"{show.text(reading.stress, 'pressure')}, {_allowed(reading.share_of_limit, show)}."
    )


def _plus_minus(reading: Reading) -> str:
    return f"{reading.difference / POINT:.1f} ± {reading.uncertainty / POINT:.1f} points"


def _read_out(reading: Reading, show: Show) -> list[style.Reading]:
    return [
        style.reading(_plus_minus(reading), "colour above clear", "first"),
        style.reading(
            show.text(reading.stress, "pressure"),
            f"at the joint, {_allowed(reading.share_of_limit, show)}",
            _tone(reading.share_of_limit),
        ),
    ]


def _parts(reading: Reading) -> style.Pane:
    """What each number adds to the uncertainty: a bar under its name."""
    adds = {**reading.parts, "<b>together</b>": reading.uncertainty}
    end, rows = 1.5, range(len(adds))
    x: list[float | None] = []
    y: list[float | None] = []
    for row, part in zip(rows, adds.values(), strict=True):
        x += [0.0, min(part / POINT, end), None]
        y += [-row, -row, None]
    return style.pane(
        [style.line(x, y, {"color": style.FIRST, "width": 12})],
        x=style.axis("adds to the uncertainty (points)", 0, end, tickvals=[0, 0.5, 1, 1.5]),
        y={**_HIDDEN, "range": [0.4 - len(adds), 0.8]},
        annotations=[
            style.label(0, -row, name, xanchor="left", yanchor="bottom", yshift=5)
            for row, name in zip(rows, adds, strict=True)
        ],
        margin={"l": 16, "r": 16, "t": 16, "b": 64},
    )


# ------------------------------------------------------------------ labels


def labelled_glasses(promise: LabelPromise, show: Show) -> style.Figure:
    """Return measured soda-lime glasses, those that one label covers set off: expansion against setting."""
    expansion, setting = promise.expansion / POINT, show.number(promise.setting, "temperature")
    label, within, covered = promise.label / POINT, promise.within / POINT, promise.covered
    low, high = show.number(455.0, "temperature"), show.number(550.0, "temperature")
    count = int(covered.sum())
    spread = (
        f"they set at {show.text(promise.setting[covered].min(), 'temperature')} to "
        f"{show.text(promise.setting[covered].max(), 'temperature')}"
        if count
        else "none is there"
    )
    joint = show.text(promise.joint, "pressure")
    return style.picture(
        [
            style.pane(
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
                        setting[~covered],
                        {**style.MARK_PUBLISHED, "size": 9, "line": {"width": 1}},
                    ),
                    style.marks(expansion[covered], setting[covered], style.MARK_PUBLISHED),
                ],
                x=style.axis("expansion, as measured (points)", 75, 99),
                y=style.axis(f"sets at ({show.symbol('temperature')})", low, high),
            )
        ],
        f"{count} of {len(expansion)} measured soda-lime glasses lie within {within:.1f} of {label:.0f}; "
        f"{spread}. Two that the label covers may still pull with {joint} at their joint, "
        f"{_allowed(promise.share_of_limit, show)}.",
        [
            style.reading(
                f"{count} of {len(expansion)}",
                f"glasses fit the label {label:.0f}, within {within:.1f}; {spread}",
            ),
            style.reading(
                joint,
                "tension at the joint of two like sheets, if they differ as much as the label and what it "
                f"leaves out allow: {_allowed(promise.share_of_limit, show)}",
                _tone(promise.share_of_limit),
            ),
        ],
    )


# ------------------------------------------------------------------ the class


def class_tests(result: ClassReading, _show: Show) -> style.Figure:
    """Return each student's difference of expansion by light and by bow, and the means of what counts."""
    end, names = 10.0, [bar.student for bar in result.bars]
    rows = -np.arange(len(names), dtype=float)
    squares = {**style.MARK_COMPUTED, "symbol": "square-open", "color": style.SECOND}
    traces: list[style.Trace] = []
    readings = []
    for by, reading, shift, look, tone, mark in (
        ("light", result.by_light, 0.14, style.MARK_COMPUTED, "first", "disc"),
        ("bow", result.by_bow, -0.14, squares, "second", "square"),
    ):
        value = np.asarray(reading.difference) / POINT
        mean, scatter = result.mean(by) / POINT, result.scatter(by) / POINT
        traces += [
            style.marks(
                np.where(value <= end, value, np.nan),
                rows + shift,
                {**look, "size": 9, "opacity": np.where(result.counts, 1.0, 0.3)},
                error_x={
                    "type": "data",
                    "array": np.asarray(reading.uncertainty) / POINT,
                    "thickness": 2,
                    "width": 0,
                    "color": look["color"],
                },
            ),
            style.line(
                np.full(2, mean if mean <= end else np.nan),
                [0.5, 0.5 - len(names)],
                {**style.REFERENCE, "color": look["color"]},
            ),
        ]
        readings.append(
            style.reading(
                f"{mean:.2f} points", f"mean by {by}, scatter {scatter:.2g} ({mark}; dashed: the mean)", tone
            )
        )
    light = np.asarray(result.by_light.difference) / POINT
    out = [name for name, counted in zip(names, result.counts, strict=True) if not counted]
    says = "; ".join(
        f"by {by} {result.mean(by) / POINT:.2f}, scatter {result.scatter(by) / POINT:.2g}"
        for by in ("light", "bow")
    )
    return style.picture(
        [
            style.pane(
                traces,
                x=style.axis("colour minus clear (points)", 0, end),
                y=style.axis(
                    "",
                    0.6 - len(names),
                    0.6,
                    tickvals=rows,
                    ticktext=[
                        name if counted else f"({name})"
                        for name, counted in zip(names, result.counts, strict=True)
                    ],
                    showgrid=False,
                    zeroline=False,
                ),
                annotations=[
                    style.label(end, row, f"by light {value:.0f} \u2192", style.FIRST, xanchor="right")
                    for row, value in zip(rows, light, strict=True)
                    if value > end
                ],
                height=460,
            )
        ],
        f"Mean of {result.counts.sum()} bars, in points: {says}. "
        + (f"Left out: {', '.join(out)}." if out else "Nobody is left out."),
        readings,
    )
