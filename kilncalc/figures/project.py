"""Pictures of a whole piece: from above, cut through, on the shelf of its kiln, and each of its firings."""

import numpy as np

from kilncalc import laying
from kilncalc.figures import relief, style
from kilncalc.figures._shapes import bare_axis, box, count, lines, shape, to_scale
from kilncalc.figures.schedule import segments
from kilncalc.figures.slab import stress_text
from kilncalc.materials import ALLOWED_TENSION
from kilncalc.patterned import Pattern
from kilncalc.plan import FiringPlan, MapPlan
from kilncalc.plan_changes import AsFired, Compared, Grown
from kilncalc.plan_materials import Filling
from kilncalc.plan_views import FromAbove, MouldSection, Section
from kilncalc.quantities import Show
from kilncalc.sensor import SensorOff

_MARGIN = {"l": 8, "r": 8, "t": 8, "b": 8}

_STRETCHED = 6.0
"""How many times higher than long a section is drawn."""


def outline(seen: FromAbove, show: Show, height: int = 340) -> style.Figure:
    """Return a piece from above, to scale, with all that lies on it, so many pixels high."""
    long, wide = seen.size
    size = _by(seen.size, show) if not seen.round else f"{show.text(long, 'length')} across"
    names = _listed(seen)
    caption = f"{seen.name}, {size}, from above and to scale" + (f": {names}." if names else ".")
    room = 0.04 * max(long, wide)
    pane = style.pane(
        [shape("glass", [seen.outline], show), *_parts(seen, show)],
        x=bare_axis(-room, long + room, show),
        y=to_scale(bare_axis(-room, wide + room, show)),
        height=height,
        margin=_MARGIN,
    )
    readings = [
        style.reading(size, "finished"),
        style.reading(show.text(seen.area, "area"), "of the kiln's shelf", "quiet"),
    ]
    return style.picture([pane], caption, readings)


def _listed(seen: FromAbove) -> str:
    """Return what lies on a piece in words, each name once."""
    words = []
    for part in seen.parts:
        if part.kind in ("rods", "hole"):
            words.append(f"{part.name} ({len(part.outlines)})")
        elif part.kind != "hollow":
            words.append(part.name)
    return "; ".join(dict.fromkeys(words))


def _parts(seen: FromAbove, show: Show) -> list[style.Trace]:
    """Return what lies on a piece, each kind as it is always drawn."""
    traces = []
    for part in seen.parts:
        if part.kind == "hole":
            traces.append(shape("offcut", part.outlines, show))
        elif part.kind == "hollow":
            traces.append(shape("paper", part.outlines, show))
        elif part.kind == "frit":
            traces.append(shape("frit", part.outlines, show))
        else:
            traces.append(shape("second glass" if part.second else "glass", part.outlines, show))
    return traces


def cut_through(cut: Section, show: Show) -> style.Figure:
    """Return a piece cut through its middle, before its first firing, stretched upwards."""
    material = {True: "second glass", False: "glass"}
    room = 0.03 * cut.length
    shelf = box(-room, cut.length + room, -0.0015, 0.0)
    traces = [shape("shelf", [shelf], show)]
    for block in cut.blocks:
        kind = "frit" if block.kind == "frit" else material[block.second]
        traces.append(shape(kind, [box(block.left, block.right, block.bottom, block.top)], show))
    sheets = sum(block.kind == "sheet" for block in cut.blocks)
    body, highest = show.text(cut.body, "length"), show.text(cut.highest, "length")
    caption = (
        f"Cut through the middle, before the first firing, {_STRETCHED:g} times higher than long: "
        f"{count(sheets, 'sheet')}, {body} together, {highest} at the highest place."
    )
    pane = style.pane(
        traces,
        x=bare_axis(-room, cut.length + room, show),
        y={
            **bare_axis(-0.002, cut.highest + 0.002, show),
            "scaleanchor": "x",
            "scaleratio": _STRETCHED,
            "constraintoward": "bottom",
        },
        height=200,
        margin=_MARGIN,
    )
    readings = [
        style.reading(body, f"{count(sheets, 'sheet')} together"),
        style.reading(highest, "at the highest place", "first"),
    ]
    return style.picture([pane], caption, readings)


def on_the_shelf(seen: FromAbove, show: Show) -> style.Figure:
    """Return a piece in the middle of the kiln's shelf, to scale."""
    if seen.shelf is None:
        raise ValueError("how large the kiln's shelf is has not been said")
    length, width = seen.shelf
    long, wide = seen.size[::-1] if seen.turned else seen.size
    left, low = (length - long) / 2, (width - wide) / 2
    placed = [
        tuple((left + (y if seen.turned else x), low + (x if seen.turned else y)) for x, y in outline)
        for outline in (seen.outline, *(one for part in seen.parts for one in part.outlines))
    ]
    room = 0.02 * length
    caption = (
        f"{seen.name}, {_by(seen.size, show)}, on the shelf of {_by(seen.shelf, show)}, to scale"
        f"{', turned a quarter' if seen.turned else ''}. From the piece to the rim of the shelf: "
        f"{show.text(left, 'length')} at the ends, {show.text(low, 'length')} at the sides."
    )
    pane = style.pane(
        [
            shape("shelf", [box(0.0, length, 0.0, width)], show),
            shape("glass", placed[:1], show),
            lines(placed[1:], show, {"width": 1, "color": style.FIRST}),
        ],
        x=bare_axis(-room, length + room, show),
        y=to_scale(bare_axis(-room, width + room, show)),
        height=340,
        margin=_MARGIN,
    )
    return style.picture([pane], caption)


def firing(result: tuple[FiringPlan, str], show: Show) -> style.Figure:
    """Return a firing in time, how hard it pulls the glass, and the segments in the controller's unit."""
    planned, controller = result
    pull = planned.pull
    fired = pull.firing
    shown = np.unique(np.linspace(0, fired.time.size - 1, min(fired.time.size, 200)).round().astype(int))
    hours = fired.time[shown] / 3600
    end = float(6 * np.ceil(hours[-1] / 6))
    step = max(1, round(end / 6))
    most, limit, stays, may_stay = (
        stress_text(value, show)
        for value in (pull.most, pull.allowed_tension, pull.stays, pull.allowed_residual)
    )
    likely, likely_stays = planned.likely.words(show), planned.likely_stays.words(show)
    time = show.text(60 * round(pull.duration / 60), "time")
    top = show.text(max(segment.target for segment in planned.schedule.segments), "temperature")
    caption = (
        f"Firing {planned.number}, {planned.process}: {time} from cold to cold, up to {top}. It pulls the "
        f"glass with up to {most} (likely {likely}) of {limit}, and {stays} (likely {likely_stays}) of "
        f"{may_stay} stays."
    )
    symbol = show.symbol("pressure")
    panes = [
        style.pane(
            [style.curve(hours, show.number(fired.air[shown], "temperature"), "kiln")],
            x=style.axis("hours since the start", 0, end, dtick=step),
            y=style.axis(
                f"kiln ({show.symbol('temperature')})", *(show.number(t, "temperature") for t in (0.0, 900.0))
            ),
            height=300,
            least=290,
        ),
        style.pane(
            [
                style.line([0, end], [show.number(pull.allowed_tension, "pressure")] * 2, style.LIMIT),
                style.curve(hours, show.number(pull.tension[shown], "pressure"), "pull", style.THIRD),
                style.marks([pull.after / 3600], [show.number(pull.most, "pressure")], style.MARK_WORST),
            ],
            x=style.axis("hours since the start", 0, end, dtick=step),
            y=style.axis(f"pulled by ({symbol})", 0, show.number(6e6, "pressure")),
            annotations=[
                style.label(
                    end,
                    show.number(pull.allowed_tension, "pressure"),
                    f"limit {limit}",
                    style.SECOND,
                    xanchor="right",
                    yanchor="bottom",
                )
            ],
            height=300,
            least=290,
        ),
    ]
    over = pull.most > pull.allowed_tension * (1 + 1e-9)
    kept = pull.stays > pull.allowed_residual * (1 + 1e-9)
    readings = [
        style.reading(time, "from cold to cold"),
        style.reading(most, f"pulls it most, of {limit}; likely {likely}", "over" if over else "plain"),
        style.reading(stays, f"stays, of {may_stay}; likely {likely_stays}", "over" if kept else "plain"),
    ]
    return style.picture(panes, caption, readings, segments(planned.schedule, controller))


def firing_map(result: tuple[laying.Laid, MapPlan], show: Show) -> style.Figure:
    """Return the thickness map of a piece in a firing, and how hard it is pulled as a map."""
    laid, mapped = result
    figure = relief.thickness(Pattern(laid.map, (), laid.cut), show)
    up, down = (mapped.firing.averaged_peak(phase) for phase in ("heating", "cooling"))
    limit = stress_text(ALLOWED_TENSION, show)
    begins = "what the firing before left in it" if mapped.follows else "annealed glass"
    caption = (
        f"{figure['caption']} Fired as a map with the schedule of its zones, firing {mapped.number}, "
        f"which begins with {begins}, pulls it with up to {stress_text(up, show)} going up and "
        f"{stress_text(down, show)} coming down, of {limit}."
    )
    readings = [
        style.reading(
            stress_text(value, show), f"{says}, of {limit}", "over" if value > ALLOWED_TENSION else "plain"
        )
        for value, says in ((up, "pulls it going up"), (down, "pulls it coming down"))
    ]
    return {**figure, "caption": caption, "readings": readings}


def compared(found: Compared, show: Show) -> style.Figure:
    """Return two firings of the record side by side: the kiln, and how hard it pulled the glass."""
    both = (found.first, found.second)
    one, other = (each.fired.date.isoformat() for each in both)
    names = (one, other) if one != other else (f"{one}, first", f"{other}, second")
    colours = (style.FIRST, style.SECOND)
    end = float(6 * np.ceil(max(each.pull.duration for each in both) / 3600 / 6))
    step = max(1, round(end / 6))
    count_of = len(found.changed)
    caption = (
        f"{names[0]} and {names[1]}, as they were run: "
        f"{'the same segments' if not count_of else count(count_of, 'segment') + ' changed'}. The glass was "
        f"pulled by up to {stress_text(found.first.pull.most, show)}, then "
        f"{stress_text(found.second.pull.most, show)}; {stress_text(found.first.pull.stays, show)}, then "
        f"{stress_text(found.second.pull.stays, show)} stays."
    )
    limit = float(show.number(ALLOWED_TENSION, "pressure"))
    tops = [float(show.number(high, "temperature")) for high in (1180.0, 1080.0)]
    panes = [
        style.pane(
            [
                style.curve(*_asked(each, "air", "temperature", show), name, colour)
                for each, name, colour in zip(both, names, colours, strict=True)
            ],
            x=style.axis("hours since the start", 0, end, dtick=step),
            y=style.axis(
                f"kiln ({show.symbol('temperature')})",
                *(show.number(t, "temperature") for t in (0.0, 1200.0)),
            ),
            annotations=[
                style.label(end, high, name, colour, xanchor="right", yanchor="top")
                for name, high, colour in zip(names, tops, colours, strict=True)
            ],
            height=300,
            least=290,
        ),
        style.pane(
            [
                style.line([0, end], [limit] * 2, style.LIMIT),
                *(
                    style.curve(*_asked(each, "tension", "pressure", show), name, colour)
                    for each, name, colour in zip(both, names, colours, strict=True)
                ),
            ],
            x=style.axis("hours since the start", 0, end, dtick=step),
            y=style.axis(f"pulled by ({show.symbol('pressure')})", 0, show.number(6e6, "pressure")),
            annotations=[
                style.label(
                    end,
                    limit,
                    f"limit {stress_text(ALLOWED_TENSION, show)}",
                    style.QUIET,
                    xanchor="right",
                    yanchor="bottom",
                )
            ],
            height=300,
            least=290,
        ),
    ]
    rows = [(words,) for words in found.words(show)]
    return style.picture(panes, caption, (), style.table(("what differs",), rows))


def _asked(each: AsFired, what: str, dimension: str, show: Show) -> tuple[np.ndarray, np.ndarray]:
    """Return hours and what the kiln or the glass had then, few enough to draw."""
    pull = each.pull
    time = pull.firing.time
    some = np.unique(np.linspace(0, time.size - 1, min(time.size, 200)).round().astype(int))
    values = pull.tension if what == "tension" else pull.firing.air
    return time[some] / 3600, np.asarray(show.number(values[some], dimension))


def mould(result: tuple[MouldSection, Filling, float], show: Show) -> style.Figure:
    """Return a casting in its mould, in section and to scale, and what of the frit has no room.

    The result is the mould, how it is filled, and what the glass weighs [kg].
    """
    cut, filled, mass = result
    low, high, depth = cut.bottom / 2, cut.top / 2, cut.depth
    wall = 0.03
    side = max(low, high) + wall
    block = [(-side, -wall), (side, -wall), (side, depth), (high, depth), (low, 0.0)]
    block += [(-x, y) for x, y in reversed(block)]
    cast = [(-low, 0.0), (low, 0.0), (high, depth), (-high, depth), (-low, 0.0)]
    weight, thick = show.text(mass, "mass"), show.text(depth, "length")
    loose, heap = (show.text(volume, "volume") for volume in (filled.loose, filled.heap))
    caption = (
        f"The casting in its mould, in section and to scale: {thick} thick. It takes {weight} of "
        f"glass; as frit that is {loose}, of which {heap} do not fit below the line."
    )
    pane = style.pane(
        [shape("mould", [block], show), shape("glass", [cast], show)],
        x=bare_axis(-side, side, show),
        y=to_scale(bare_axis(-wall, depth + 0.005, show)),
        height=300,
        margin=_MARGIN,
    )
    readings = [
        style.reading(weight, "of glass"),
        style.reading(loose, "of loose frit for it"),
        style.reading(heap, "do not fit below the line", "over" if filled.heap > 0 else "plain"),
    ]
    return style.picture([pane], caption, readings)


def grown(result: tuple[Grown, Grown], show: Show) -> style.Figure:
    """Return how the glass grows with the drawing: of a piece of sheets, and of a casting."""
    flat, cast = result
    times = np.linspace(0.5, 2.0, 61)
    now, before = (
        [show.text(getattr(one, name), "mass") for one in result] for name in ("mass_after", "mass_before")
    )
    more = [one.mass_after / one.mass_before for one in result]
    thick = [show.text(one.thickness_after, "length") for one in result]
    first, second = flat.before.name, cast.before.name
    caption = (
        f"Drawn {flat.times:.3g} times as long and as wide, the {first} takes {now[0]} of glass instead of "
        f"{before[0]}, {more[0]:.3g} times as much; the {second} takes {now[1]} instead of {before[1]}, "
        f"{more[1]:.3g} times as much. The sheets of the {first} stay {thick[0]} thick, and its rates stay "
        f"with them; the {second} becomes {thick[1]} thick."
    )
    pane = style.pane(
        [
            style.curve(times, times**2, "the square"),
            style.curve(times, times**3, "the cube", style.SECOND),
            style.marks([flat.times, cast.times], more, {**style.MARK_COMPUTED, "color": style.INK}),
        ],
        x=style.axis("times as long", 0.5, 2.0, dtick=0.5),
        y=style.axis("times as much glass", 0.0, 8.0, dtick=2),
        annotations=[
            style.label(1.98, 1.6, "made of sheets", style.FIRST, xanchor="right", yanchor="top"),
            style.label(1.7, 5.2, "cast", style.SECOND, xanchor="right", yanchor="bottom"),
        ],
        height=340,
    )
    readings = [
        style.reading(now[0], f"of glass in the {first}, {thick[0]} thick as before", "first"),
        style.reading(now[1], f"of glass in the {second}, {thick[1]} thick", "second"),
    ]
    return style.picture([pane], caption, readings)


def sensor(off: SensorOff, show: Show) -> style.Figure:
    """Return how much faster glass flows where the sensor reads low, ours beside a certified one."""
    ours, theirs = off.at_tolerance()
    by = show.text(off.tolerance, "temperature_difference")
    shown = show.text(off.temperature, "temperature")
    difference = 100 * (ours / theirs - 1)
    caption = (
        f"At {shown} a thermocouple of class 2 may be {by} off. When it reads that much low, our glass "
        f"flows {ours:.3g} times as fast; by the certificate of NBS 710, where that glass is as stiff, "
        f"{theirs:.3g} times ({difference:+.0f} %)."
    )
    symbol = show.symbol("temperature_difference")
    ends = [float(show.number(end, "temperature_difference")) for end in (-10.0, 10.0)]
    x = show.number(off.off, "temperature_difference")
    at = float(show.number(off.tolerance, "temperature_difference"))
    pane = style.pane(
        [
            style.line(x, off.reference, style.REFERENCE),
            style.curve(x, off.faster, "our glass"),
            style.line([at, at], [0.5, 1.7], style.LIMIT),
            style.marks([at], [theirs], style.MARK_PUBLISHED),
            style.marks([at], [ours]),
        ],
        x=style.axis(f"hotter than shown ({symbol})", *ends),
        y=style.axis("times as fast", 0.5, 1.7),
        annotations=[
            style.label(at, 0.55, "class 2 ", style.SECOND, xanchor="right", yanchor="bottom"),
            style.label(ends[0], 1.65, " solid: our glass", style.FIRST, xanchor="left", yanchor="top"),
            style.label(ends[0], 1.52, " dashed: NBS 710", style.QUIET, xanchor="left", yanchor="top"),
        ],
        height=340,
    )
    readings = [
        style.reading(by, f"off is allowed at {shown}"),
        style.reading(f"{ours:.3g} ×", "as fast flows our glass", "first"),
        style.reading(f"{theirs:.3g} ×", f"NBS 710, by its certificate ({difference:+.0f} %)", "quiet"),
    ]
    return style.picture([pane], caption, readings)


def _by(size: tuple[float, float], show: Show) -> str:
    return " by ".join(show.text(side, "length") for side in size)
