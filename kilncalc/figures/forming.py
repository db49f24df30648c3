"""Pictures of lesson 3b: a sagging sheet, the film of a drape, equal forms, two bases, a dish, grains."""

from typing import Any

import numpy as np

from kilncalc.figures import style
from kilncalc.formed import LEAD, Bases, Dish, Moment, Sag
from kilncalc.forming import MELTED, STUCK, Drape, Draped, Grains, Profile, SameForm
from kilncalc.quantities import Show


def sagging_sheet(both: Sag, show: Show) -> style.Figure:
    """Return the drop of a sheet in time, beside the straight line of the standard's narrow bar."""
    minutes = show.number(both.times, "time", like=both.bar_time)
    unit = show.symbol("time", like=both.bar_time)
    drops = show.number(both.drops, "length")
    drop = float(show.number(both.drop, "length"))
    bar = float(show.number(both.bar_time, "time", like=both.bar_time))
    ours, theirs = (show.text(t, "time", like=both.bar_time) for t in (both.time, both.bar_time))
    end = 1.15 * float(np.max(minutes))
    return style.picture(
        [
            style.pane(
                [
                    style.line([0, bar * 1.3], [0, drop * 1.3]),
                    style.curve(minutes, drops, "wide sheet"),
                    style.marks([bar], [drop], style.MARK_PUBLISHED, name="narrow bar, standard"),
                    style.marks([float(minutes[-1])], [drop], name="wide sheet, ours"),
                ],
                x=style.axis(f"time ({unit})", 0, end),
                y=style.axis(f"drop ({show.symbol('length')})", 0, 1.35 * drop),
                annotations=[
                    style.label(bar, drop * 1.05, "standard's bar ", style.QUIET, xanchor="right"),
                    style.label(
                        float(minutes[-1]),
                        drop * 0.93,
                        "our sheet",
                        style.FIRST,
                        xanchor="right",
                        yanchor="top",
                    ),
                ],
            )
        ],
        f"Across {show.text(both.span, 'length')} at {show.text(both.temperature, 'temperature')} a sheet "
        f"{show.text(both.thickness, 'length')} thick drops {show.text(both.drop, 'length')} in {ours}; a "
        f"narrow bar, by the standard's formula, in {theirs}: {both.difference:+.0%}.",
        [
            style.reading(ours, "a wide sheet, computed", "first"),
            style.reading(theirs, "a narrow bar, by the standard", "quiet"),
            style.reading(f"{both.difference:+.0%}", "longer: a wide sheet cannot get narrower as it bends"),
        ],
    )


def _whole(profile: Profile, show: Show) -> tuple[Any, Any]:
    """Return the outline of a whole sheet, left and right, closed."""
    (lx, ly), (ux, uy) = profile.lower, profile.upper
    right_x, right_y = np.concatenate([lx, ux[::-1]]), np.concatenate([ly, uy[::-1]])
    x = np.concatenate([right_x, -right_x[::-1], right_x[:1]])
    y = np.concatenate([right_y, right_y[::-1], right_y[:1]])
    return show.number(x, "length"), show.number(y, "length")


def _block(material: str, x0: float, x1: float, y0: float, y1: float, show: Show) -> style.Trace:
    x = show.number([x0, x1, x1, x0, x0], "length")
    return style.body(material, x, show.number([y0, y0, y1, y1, y0], "length"))


def _section(run: Drape, shape: Draped, show: Show, height: int = 300) -> style.Pane:
    """Return a drape in section, to scale: base, former of fibre paper, sheet; flat at first (dashed)."""
    half = run.width / 2 + run.overhang + 0.004
    flat = run.height + np.array([0.0, run.thickness])
    end = run.width / 2 + run.overhang
    flat_x, flat_y = [-end, end, end, -end, -end], [flat[0], flat[0], flat[1], flat[1], flat[0]]
    x_end, low, high = (float(show.number(v, "length")) for v in (half, -0.004, flat[1] + 0.004))
    return style.pane(
        [
            _block("shelf", -half, half, -0.003, 0.0, show),
            _block("paper", -run.width / 2, run.width / 2, 0.0, run.height, show),
            style.line(show.number(flat_x, "length"), show.number(flat_y, "length")),
            style.body("glass", *_whole(shape.profile, show)),
        ],
        x=style.axis(f"across ({show.symbol('length')})", -x_end, x_end, constrain="domain"),
        y=style.axis(f"height ({show.symbol('length')})", low, high, scaleanchor="x", constrain="domain"),
        height=height,
        share=1.6,
    )


def sleeve(run: Drape, shape: Draped, show: Show) -> style.Figure:
    """Return a strip draped over its former in section, to scale."""
    draw_in, ramp = show.text(shape.draw_in, "length"), show.text(max(shape.ramp, 0.0), "length")
    thin, thick = (show.text(t, "length") for t in shape.least_thickness_range)
    caption = (
        f"The strip over its former of fibre paper, to scale; dashed: as it was laid. Each edge has drawn in "
        f"{draw_in}, {ramp} beside the former are open, and the glass is {thin} to {thick} thick where it is "
        "thinnest."
    )
    readings = [
        style.reading(draw_in, "drawn in, each edge"),
        style.reading(ramp, "open beside the former"),
        style.reading(thick, f"thinnest glass, perhaps {thin}"),
    ]
    return style.picture([_section(run, shape, show)], caption, readings)


def film(moment: Moment, show: Show) -> style.Figure:
    """Return the sheet at one moment of the firing, and where that moment stands on the schedule."""
    shape, run = moment.shape, moment.run
    corners, temperatures = moment.schedule.corners
    top = float(temperatures[-1])

    def minutes(t: Any) -> Any:
        return show.number(t, "time", like=600.0)

    low, high = (float(show.number(t, "temperature")) for t in (top - LEAD - 10, top + 25))
    now = float(minutes(moment.time)), float(show.number(moment.temperature, "temperature"))
    traces = [
        style.curve(minutes(corners), show.number(temperatures, "temperature"), "schedule"),
        style.marks([now[0]], [now[1]], name="now"),
    ]
    notes = []
    if moment.touchdown is None:
        landed = "It does not touch the base in this firing."
    else:
        landed = f"It touches the base at {show.text(moment.touchdown, 'time', like=600.0)}."
        down = float(minutes(moment.touchdown))
        traces.insert(0, style.line([down, down], [low, high]))
        notes = [style.label(down, low, " touches down", style.QUIET, xanchor="left", yanchor="bottom")]
    draw_in, ramp = show.text(shape.draw_in, "length"), show.text(max(shape.ramp, 0.0), "length")
    thin, thick = (show.text(t, "length") for t in shape.least_thickness_range)
    return style.picture(
        [
            _section(run, shape, show),
            style.pane(
                traces,
                x=style.axis(f"time ({show.symbol('time', like=600.0)})", 0, float(minutes(corners[-1]))),
                y=style.axis(f"kiln ({show.symbol('temperature')})", low, high),
                annotations=notes,
                height=300,
            ),
        ],
        f"After {show.text(moment.time, 'time', like=600.0)}, at "
        f"{show.text(moment.temperature, 'temperature')}, each edge has drawn in {draw_in}, "
        f"{ramp} beside the former are open, and the glass is {thin} to {thick} thick where it is thinnest. "
        f"{landed}",
        [
            style.reading(draw_in, "drawn in, each edge"),
            style.reading(ramp, "open beside the former"),
            style.reading(thick, f"thinnest glass, perhaps {thin}"),
        ],
    )


def same_form(same: SameForm, show: Show) -> style.Figure:
    """Return how long one form takes at each temperature, ten degrees marked either way."""
    low_t, high_t = 600.0, 780.0
    inside = (same.temperatures >= low_t - 5) & (same.temperatures <= high_t + 5)
    x = show.number(same.temperatures[inside], "temperature")
    steps = [same.temperature - 10, same.temperature, same.temperature + 10]
    holds = np.array([same.cooler, same.minutes, same.hotter])
    ends = [float(show.number(t, "temperature")) for t in (low_t, high_t)]
    cooler, here, hotter = (show.text(60 * m, "time", like=60 * m) for m in holds)
    climb = show.text(60 * same.climb, "time", like=60 * same.climb)
    rate, at = show.text(same.climb_rate, "rate"), show.text(same.temperature, "temperature")
    ten = show.text(10.0, "temperature_difference")
    if same.climb >= same.minutes:
        says = f"The climb at {rate} counts {climb}: the form is there before the hold begins."
    else:
        rest = show.text(60 * (same.minutes - same.climb), "time", like=60 * same.minutes)
        says = f"The climb at {rate} counts {climb} of it, which leaves a hold of {rest}."
    return style.picture(
        [
            style.pane(
                [
                    style.curve(x, same.holds[inside], "hold"),
                    style.line(ends, [same.climb, same.climb]),
                    style.marks(
                        show.number(steps, "temperature")[::2],
                        holds[::2],
                        {**style.MARK_COMPUTED, "symbol": "circle-open", "line": {"width": 3}},
                    ),
                    style.marks([float(show.number(same.temperature, "temperature"))], [same.minutes]),
                ],
                x=style.axis(f"hold at ({show.symbol('temperature')})", *ends),
                y=style.axis(
                    "minutes for the same form",
                    -1.3,
                    3.3,
                    type="log",
                    tickvals=[0.1, 1, 10, 100, 1000],
                    ticktext=["0.1", "1", "10", "100", "1000"],
                ),
                annotations=[
                    style.label(
                        ends[1],
                        float(np.log10(same.climb)),
                        "what the climb counts ",
                        style.QUIET,
                        xanchor="right",
                        yanchor="bottom",
                    )
                ],
            )
        ],
        f"At {at} the form takes {here}; {ten} cooler {cooler}, {ten} hotter {hotter}. {says}",
        [
            style.reading(here, f"at {at}", "first"),
            style.reading(cooler, f"{ten} cooler"),
            style.reading(hotter, f"{ten} hotter"),
        ],
    )


def two_bases(both: Bases, show: Show) -> style.Figure:
    """Return draw-in and least thickness of a drape on its way, on either base."""
    unit = show.symbol("length")
    f = both.fluidities
    now = both.slides.fluidity

    def history(values: np.ndarray, title: str, top: float) -> style.Pane:
        high = float(show.number(top, "length"))
        return style.pane(
            [
                style.line([np.log10(now)] * 2, [0, high]),
                style.curve(np.log10(f), show.number(values[0], "length"), "base slides"),
                style.curve(np.log10(f), show.number(values[1], "length"), "base grips", style.SECOND),
            ],
            x=style.axis(
                "fluidity (millionths per Pa)",
                -5.5,
                -2.5,
                tickvals=[-5, -4, -3],
                ticktext=["10", "100", "1000"],
            ),
            y=style.axis(f"{title} ({unit})", 0, high),
            annotations=[
                style.label(
                    -2.52,
                    float(show.number(values[i, -1], "length")),
                    name,
                    colour,
                    xanchor="right",
                    yanchor="bottom" if values[i, -1] >= values[1 - i, -1] else "top",
                )
                for i, (name, colour) in enumerate((("slides", style.FIRST), ("grips", style.SECOND)))
            ],
            height=300,
        )

    slid, held = (show.text(shape.draw_in, "length") for shape in (both.slides, both.sticks))
    thin, thinner = (show.text(shape.least_thickness, "length") for shape in (both.slides, both.sticks))
    return style.picture(
        [history(both.draw_in, "draw-in", 0.008), history(both.least, "thinnest", 1.1 * both.thickness)],
        f"On a base that slides each edge has drawn in {slid} and the thinnest glass reads {thin}; on one "
        f"that grips it has drawn in {held} and reads {thinner}.",
        [
            style.reading(slid, f"drawn in where it slides; thinnest {thin}", "first"),
            style.reading(held, f"drawn in where it grips; thinnest {thinner}", "second"),
        ],
    )


def slumped_dish(tray: Dish, show: Show) -> style.Figure:
    """Return a sheet over its mould in section, to scale: flat, half way, and at first contact."""
    sheet = tray.sheet
    half, depth = sheet.span / 2, float(tray.mould[1].max())
    out = half + 0.030
    face = [(-x, -d) for x, d in tray.mould.T[::-1]] + [(x, -d) for x, d in tray.mould.T[1:]]
    block = [(-out, 0.0), *face, (out, 0.0), (out, -depth - 0.012), (-out, -depth - 0.012), (-out, 0.0)]
    bx, by = show.number(np.array(block).T, "length")
    first, middle, last = (sheet.at(f) for f in (0.0, sheet.fluidity / 3, sheet.fluidity))
    x_end, low, high = (float(show.number(v, "length")) for v in (0.185, -0.044, 0.030))
    taken, lie = (show.text(60 * m, "time", like=60 * m) for m in (tray.minutes, tray.lie_down))
    at, draw_in = show.text(tray.temperature, "temperature"), show.text(sheet.draw_in, "length")
    where = "touches nothing yet"
    if sheet.touches is not None:
        near = sheet.touches < sheet.span / 40
        where = (
            "meets the floor in its middle"
            if near
            else (f"meets the mould {show.text(sheet.touches, 'length')} from its middle")
        )
    climb = show.text(60 * tray.climb, "time", like=60 * tray.climb)
    counted = f"the climb alone counts {climb}"
    counted += ", so it touches before the hold" if tray.climb >= tray.minutes else " of it"
    return style.picture(
        [
            style.pane(
                [
                    style.body("mould", bx, by),
                    style.line(*_whole(first, show)),
                    style.line(*_whole(middle, show)),
                    style.body("glass", *_whole(last, show)),
                ],
                x=style.axis(f"across ({show.symbol('length')})", -x_end, x_end, constrain="domain"),
                y=style.axis(
                    f"height ({show.symbol('length')})",
                    low,
                    high,
                    scaleanchor="x",
                    constrain="domain",
                    nticks=3,  # on a phone it is 40 px high
                ),
                height=300,
            )
        ],
        f"The sheet {where} after {taken} at {at}; {counted}. Each edge has drawn in {draw_in}. To lie "
        f"down in the mould it takes about {lie}.",
        [
            style.reading(taken, f"at {at} until it first touches"),
            style.reading(draw_in, "drawn in, each edge"),
            style.reading(lie, "until it lies in the mould"),
        ],
    )


def sintering(made: Grains, show: Show) -> style.Figure:
    """Return two grains and their neck, and which sizes stick or melt in the same firing."""
    neck = made.neck
    x_unit = show.symbol("length", like=0.001)
    diameters = show.number(2 * made.radii, "length", like=0.001)
    here = float(show.number(2 * made.radius, "length", like=0.001))
    size, stuck, melted = (
        show.text(2 * r, "length", like=0.001) for r in (made.radius, made.largest_stuck, made.largest_melted)
    )
    what = "are one drop" if neck >= MELTED else "stick" if neck >= STUCK else "lie loose"
    ends = [float(np.log10(v)) for v in (diameters[0], diameters[-1])]
    return style.picture(
        [
            _two_grains(min(neck, 1.0)),
            style.pane(
                [
                    style.line(10 ** np.array(ends), [STUCK] * 2, style.LIMIT),
                    style.line(10 ** np.array(ends), [MELTED] * 2, style.LIMIT),
                    style.curve(diameters, made.necks, "neck"),
                    style.marks([here], [neck]),
                ],
                x=style.axis(f"size of a grain ({x_unit})", *ends, type="log", dtick=1),
                y=style.axis(
                    "neck / radius",
                    -2.2,
                    0.8,
                    type="log",
                    tickvals=[0.01, 0.1, 1],
                    ticktext=["0.01", "0.1", "1"],
                ),
                annotations=[
                    style.label(
                        ends[0],
                        float(np.log10(STUCK)),
                        " stuck above",
                        style.SECOND,
                        xanchor="left",
                        yanchor="bottom",
                    ),
                    style.label(
                        ends[1],
                        float(np.log10(MELTED)),
                        "melted above ",
                        style.SECOND,
                        xanchor="right",
                        yanchor="bottom",
                    ),
                ],
                height=320,
            ),
        ],
        f"Grains of {size} {what}: their neck is {neck:.2g} of the radius. In this firing grains up to "
        f"{stuck} stick to each other and those below {melted} have melted flat.",
        [
            style.reading(f"{neck:.2g}", f"neck over radius, grains of {size}"),
            style.reading(stuck, "the largest that stick"),
            style.reading(melted, "the largest that have melted"),
        ],
    )


def _two_grains(neck: float) -> style.Pane:
    """Return two balls of glass joined by a neck, drawn as far apart as their common volume allows."""
    apart = 1 - neck**2 / 4  # the centres approach as the neck grows (Frenkel)
    t = np.linspace(0, 2 * np.pi, 181)
    ring_x, ring_y = np.cos(t), np.sin(t)
    traces = [style.body("glass", centre + ring_x, ring_y) for centre in (-apart, apart)]
    traces.append(
        style.body("glass", np.array([-1, 1, 1, -1, -1]) * neck**2 / 2, np.array([-1, -1, 1, 1, -1]) * neck)
    )
    hidden: dict[str, Any] = {"visible": False, "fixedrange": True}
    return style.pane(
        traces,
        x={**hidden, "range": [-2.2, 2.2]},
        y={**hidden, "range": [-1.2, 1.2], "scaleanchor": "x"},
        height=320,
        least=240,
        share=0.8,
        margin={"l": 4, "r": 4, "t": 4, "b": 4},
    )
