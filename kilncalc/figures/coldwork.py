"""Pictures of lesson 5: a crooked slab, holes and their limits, grits, a drill, cutting by hand."""

from collections.abc import Sequence
from math import cos, pi, sin
from typing import Any

import numpy as np

from kilncalc.bonding import Bond
from kilncalc.coldwork import Squared, Squaring, Taped
from kilncalc.figures import style
from kilncalc.grit import GritChart, GritSequence, Ground
from kilncalc.handcutting import Bite, Circle, Enough
from kilncalc.holes import USUAL_SURFACE_SPEEDS, DrillChart, HoleCheck, Hung
from kilncalc.quantities import Show

Points = Sequence[tuple[float, float]]

_FINE = 2e-6
"""A length [m] that is shown in µm in both unit systems, as grains are on every packet."""

_SECOND_LIMIT: dict[str, Any] = {**style.LIMIT, "dash": "dashdot", "color": style.THIRD}


def squaring(result: Squaring, show: Show) -> style.Figure:
    """Return a crooked slab to scale with its datum edge below, the cuts made so far, and what is left."""
    squared = result.squared
    length, width = (show.text(size, "length") for size in (squared.length, squared.width))
    made = squared.cuts[: result.made]
    traces = [
        _body("offcut", squared.outline, show),
        _body("glass", result.remaining, show),
        _path(
            [squared.outline[k] for k in squared.corners[:2]],
            show,
            {"dash": "solid", "width": 6, "color": style.INK},
        ),
    ]
    notes = []
    x_shown, y_shown, larger = _shown(squared)
    out = 0.012 * larger
    for number, cut in enumerate(made, 1):
        (x1, y1), (x2, y2) = cut.start, cut.end
        dx, dy = (0.0, out) if x1 == x2 else (out, 0.0)
        traces.append(_path([(x1 - dx, y1 - dy), (x2 + dx, y2 + dy)], show, style.CUT))
        notes.append(
            style.label(
                show.number(x2 + 1.6 * dx, "length"),
                show.number(y2 + 1.6 * dy, "length"),
                f"<b>{number}</b>",
                xanchor="center",
                yshift=-14 if cut.name == "datum edge" else 0,  # beside the thick line, not on it
            )
        )
    middle = (squared.x + squared.length / 2, squared.y + squared.width / 2)
    x, y = (show.number(at, "length") for at in middle)
    notes.append(style.label(x, y, "glass", style.FIRST, xanchor="center"))
    notes.append(
        style.label(
            show.number(middle[0], "length"),
            show.number(-0.014 * larger, "length"),
            "datum edge",
            xanchor="center",
        )
    )
    if not squared.fits:
        x1, y1, x2, y2 = squared.x, squared.y, squared.x + squared.length, squared.y + squared.width
        traces.append(_path([(x1, y1), (x2, y1), (x2, y2), (x1, y2), (x1, y1)], show, style.LIMIT))
        longer, wider = (show.text(size, "length") for size in squared.short)
        caption = (
            f"A piece of {length} by {width} does not fit on this slab: with that width {longer} of length "
            f"are missing, with that length {wider} of width. Dotted: where it would stand."
        )
        readings = [
            style.reading(longer, "too short, with that width", "over"),
            style.reading(wider, "too narrow, with that length", "over"),
        ]
        return style.picture([_to_scale(traces, notes, show, x_shown, y_shown)], caption, readings)
    steps = [
        f"{number}: {cut.name}, square to the {cut.guide}"
        + (", ground rather than sawn" if cut.ground else "")
        for number, cut in enumerate(squared.cuts, 1)
    ]
    what = "the piece you want, on the datum edge" if result.wanted else _LARGEST
    caption = (
        ("Cuts: " + "; ".join(steps) + ". " if steps else "The slab is square: no cut. ")
        + f"{len(made)} of {len(squared.cuts)} made. What is left at the end measures {length} by {width}; "
        f"{_per_cent(squared.lost)} of the slab is lost, {show.text(squared.dust, 'area')} of it as slurry."
    )
    readings = [
        style.reading(f"{length} × {width}", what, "first"),
        style.reading(_per_cent(squared.lost), "of the slab is lost"),
    ]
    for number, cut in enumerate(made, 1):
        readings.append(
            style.reading(show.text(cut.setting, "length"), f"cut {number}: set from {_FROM[cut.name]}")
        )
    return style.picture([_to_scale(traces, notes, show, x_shown, y_shown)], caption, readings)


_SLAB = (-0.035, 0.365), (-0.03, 0.275)
"""What a picture of a slab shows, along and across [m]."""


def _shown(squared: Squared) -> tuple[tuple[float, float], tuple[float, float], float]:
    """Return what is shown along and across [m]: the slab of the lesson, or as many times that for others."""
    x, y = zip(*squared.outline, (squared.x + squared.length, squared.y + squared.width), strict=True)
    times = max(max(x) / 0.33, max(y) / 0.245, 0.3)
    if 0.8 < times <= 1.1:  # a slab of the lesson, however crooked: nothing jumps
        times = 1.0
    along, across = ((low * times, high * times) for low, high in _SLAB)
    return along, across, times


_LARGEST = "the largest finished piece on the datum edge"


def taped(result: Taped, show: Show) -> style.Figure:
    """Return a slab to scale by its sides and one diagonal, its corners, and whether the other can be."""
    corners = result.corners
    a, b, c, d = corners
    traces = [
        _body("glass", corners, show),
        _path([a, c], show, style.REFERENCE),
        _path([b, d], show, style.REFERENCE if result.squared else style.LIMIT),
    ]
    notes = []
    for name, (x, y), angle, right, up in zip(
        "ABCD", corners, result.angles, (0, 1, 1, 0), (0, 0, 1, 1), strict=True
    ):
        notes.append(
            style.label(
                show.number(x, "length"),
                show.number(y, "length"),
                f"{name} {angle:.1f}°",
                xanchor="right" if right else "left",
                yanchor="bottom" if up else "top",
            )
        )
    must, read = show.text(result.second, "length"), show.text(result.diagonals[1], "length")
    off = show.text(abs(result.off), "length")
    readings = [style.reading(must, "BD must be, by the sides and AC", "first")]
    if result.squared is None:
        caption = (
            f"These measures contradict each other: with the sides and AC, BD must be {must}, but {read} was "
            f"read, {off} {'more' if result.off > 0 else 'less'}. One of the six is wrong: measure again."
        )
        readings.append(style.reading(off, f"{'more' if result.off > 0 else 'less'} was read", "over"))
    else:
        squared = result.squared
        size = f"{show.text(squared.length, 'length')} by {show.text(squared.width, 'length')}"
        worst = max(abs(angle - 90) for angle in result.angles)
        side = "ABCDA"[squared.datum : squared.datum + 2]
        caption = (
            f"The six measures agree within {off}: BD must be {must}, and {read} was read. The worst corner "
            f"is {worst:.1f}° off square. Squared on its side {side} the slab gives {size}, and "
            f"{_per_cent(squared.lost)} of it is lost."
        )
        readings += [
            style.reading(f"{worst:.1f}°", "off square, the worst corner"),
            style.reading(size.replace(" by ", " × "), f"the largest finished piece, on side {side}"),
        ]
    return style.picture([_to_scale(traces, notes, show, *_SLAB)], caption, readings)


_FROM = {
    "first end": "the outermost glass on its side",
    "second end": "the first end",
    "far edge": "the datum edge",
    "datum edge": "the far edge",
}


def holes(checks: Sequence[HoleCheck], show: Show) -> style.Figure:
    """Return one end of a piece with its holes to scale, and as far as their rims may go by two standards."""
    first, second = (check.limits for check in checks)
    outline = checks[0].outline
    right = 0.110
    top = max(y for _, y in outline)
    traces = [_body("glass", [(0.0, 0.0), (right, 0.0), (right, top), (0.0, top)], show)]
    for hole in checks[0].holes:
        if hole.x - hole.diameter / 2 < right:
            traces.append(_disc(hole.x, hole.y, hole.diameter / 2, show))
    for limits, look in ((second, _SECOND_LIMIT), (first, style.LIMIT)):
        edge, corner = limits.edge, limits.corner
        traces.append(
            _path([(right, edge), (edge, edge), (edge, top - edge), (right, top - edge)], show, look)
        )
        for corner_y, up in ((0.0, 1), (top, -1)):
            arc = [
                (corner * cos(angle), corner_y + up * corner * sin(angle))
                for angle in np.linspace(0, pi / 2, 31)
                if corner * sin(angle) <= top / 2
            ]
            traces.append(_path(arc, show, look))
    high = 0.006
    notes = [
        style.label(
            show.number((limits.corner**2 - high**2) ** 0.5, "length"),
            show.number(top - high, "length"),
            name,
            colour,
            xanchor=anchor,
            xshift=6 if anchor == "left" else -6,
            bgcolor=style.PAPER,
        )
        for limits, name, colour, anchor in (
            (first, "EN", style.SECOND, "right"),
            (second, "ASTM", style.THIRD, "left"),
        )
    ]
    readings, says = [], []
    for rule, name in (
        ("corner", "rim to corner"),
        ("edge", "rim to edge"),
        ("between", "rim to rim"),
        ("diameter", "diameter"),
    ):
        worst = [check.worst(rule) for check in checks]
        asked = ", ".join(
            f"{check.limits.standard.split()[0]} asks {show.text(each.least, 'length')}"
            for check, each in zip(checks, worst, strict=True)
        )
        missing = [each.missing for each in worst]
        tone = "over" if any(missing) else "plain"
        readings.append(style.reading(show.text(worst[0].found, "length"), f"{name}; {asked}", tone))
        says.append(f"{name} {show.text(worst[0].found, 'length')} ({asked})")
    count = [len(check.missed) for check in checks]
    verdict = (
        "Every limit of both standards is kept"
        if not any(count)
        else f"Limits missed: {count[0]} of EN 12150-1, {count[1]} of ASTM C1048"
    )
    caption = (
        f"{verdict}. Nearest: {'; '.join(says)}. Both standards are for glass to be toughened: guidance "
        "here, not a verdict."
    )
    pane = _to_scale(traces, notes, show, (-0.006, right), (-0.006, top + 0.006))
    return style.picture([pane], caption, readings)


def damage(steps: Sequence[Ground], show: Show) -> style.Figure:
    """Return how deep the deepest crack reaches after each grit, and whose crack it is."""
    unit = show.symbol("length", like=_FINE)
    places = list(range(len(steps)))
    depths = show.number(np.array([step.left for step in steps]), "length", like=_FINE)
    bars = []
    for inherited, material in ((False, "glass"), (True, "second glass")):
        look = style.MATERIALS[material]
        marker = {"color": look["fillcolor"], "line": look["line"], "pattern": look.get("fillpattern", {})}
        shown = [k for k, step in enumerate(steps) if (step.culprit != step.label) == inherited]
        bars.append(
            {
                "type": "bar",
                "x": [places[k] for k in shown],
                "y": [float(depths[k]) for k in shown],
                "marker": marker,
                "width": 0.7,
                "hoverinfo": "skip",
            }
        )
    notes = [
        style.label(
            place,
            float(depth),
            "own" if step.culprit == step.label else f"from<br>{_short(step.culprit)}",
            style.FIRST if step.culprit == step.label else style.SECOND,
            xanchor="center",
            yanchor="top",
            align="center",
        )
        for place, depth, step in zip(places, depths, steps, strict=True)
    ]
    end, removed = steps[-1], sum(step.removed for step in steps)
    left = show.text(end.left, "length", like=_FINE)
    inherited = end.culprit != end.label
    caption = f"After {end.label} the deepest crack reaches {left} below the surface" + (
        f": {end.culprit} made it, and what came after took off too little. "
        if inherited
        else ", its own: nothing is left of the grits before. "
    )
    caption += f"Taken off in all: {show.text(removed, 'length', like=_FINE)}."
    pane = style.pane(
        bars,
        x=style.axis(
            "grit, in the order used",
            -0.6,
            4.6,
            tickvals=places,
            ticktext=[_short(step.label) for step in steps],
            showgrid=False,
            zeroline=False,
        ),
        y=style.axis(
            f"cracks reach down to ({unit})", *_span(0.21e-3, 0.0, show, like=_FINE), zeroline=False
        ),
        annotations=notes,
        margin={"l": 84, "r": 16, "t": 16, "b": 64},
    )
    readings = [
        style.reading(left, f"deepest crack after {end.label}", "over" if inherited else "first"),
        style.reading(end.culprit, "made it"),
        style.reading(show.text(removed, "length", like=_FINE), "taken off in all"),
    ]
    return style.picture([pane], caption, readings)


def grit_plan(plan: GritSequence, show: Show) -> style.Figure:
    """Return how long each grit of a sequence takes, at least and at most, and what it must take off."""
    minutes = [
        [show.number(t, "time") for t in (s.time.least, s.time.likely, s.time.most)] for s in plan.steps
    ]
    places = list(range(len(plan.steps)))
    traces = []
    for place, (least, _, most) in zip(places, minutes, strict=True):
        traces.append(
            style.line(
                [place, place], [least, most], {"width": 12, "color": style.MATERIALS["glass"]["fillcolor"]}
            )
        )
    traces.append(style.marks(places, [likely for _, likely, _ in minutes]))
    rows = [
        (
            step.label,
            f"takes off {show.text(step.removal, 'length', like=_FINE)} in "
            f"{show.text(step.time.least, 'time')} to {show.text(step.time.most, 'time')}"
            + ("" if step is plan.steps[-1] else f"; without it {show.text(step.worth, 'time')} more"),
        )
        for step in plan.steps
    ]
    rows += [(label, f"left out; with it {show.text(more, 'time')} more") for label, more in plan.skipped]
    way = ", ".join(step.label for step in plan.steps)
    caption = (
        f"The shortest way: {way}; {show.text(plan.removal, 'length', like=_FINE)} come off in about "
        f"{show.text(plan.time, 'time')}, washing counted in."
    )
    log = np.log10
    ticks = [0.3, 1, 3, 10, 30]
    pane = style.pane(
        traces,
        x=style.axis(
            "grit, in the order used",
            -0.6,
            len(places) - 0.4,
            tickvals=places,
            ticktext=[_short(step.label) for step in plan.steps],
            showgrid=False,
            zeroline=False,
        ),
        y=style.axis(
            f"time ({show.symbol('time')})",
            log(0.3),
            log(40),
            type="log",
            tickvals=ticks,
            ticktext=[f"{tick:g}" for tick in ticks],
        ),
        height=300,
    )
    readings = [
        style.reading(show.text(plan.time, "time"), "likely, washing counted in", "first"),
        style.reading(show.text(plan.removal, "length", like=_FINE), "taken off in all"),
    ]
    return style.picture([pane], caption, readings, style.table(("grit", "is it worth a step?"), rows))


def grit_sizes(chart: GritChart, show: Show) -> style.Figure:
    """Return grain size over the number on the label, standard by standard, beside the rule of the sieve."""
    unit = show.symbol("length", like=_FINE)
    names = {"F": "F (ISO 8486)", "P": "P (ISO 6344)", "JIS": "JIS R6001"}
    ends = {"F": (16, 1200), "P": (16, 2500), "JIS": (240, 4000)}
    traces = []
    for letters, colour, dash in (
        ("F", style.FIRST, "solid"),
        ("P", style.SECOND, "solid"),
        ("JIS", style.THIRD, "solid"),
    ):
        numbers, sizes = chart.series[letters]
        kept = (numbers >= ends[letters][0]) & (numbers <= ends[letters][1])
        traces.append(
            style.curve(
                numbers[kept],
                show.number(sizes[kept], "length", like=_FINE),
                names[letters],
                colour,
                line={"dash": dash, "width": 3, "color": colour},
            )
        )
    ladder = np.array([16.0, 4000.0])
    mesh = chart.mesh * chart.number / ladder
    computed = show.number(chart.mesh, "length", like=_FINE)
    found = sorted(chart.sizes.items(), key=lambda each: each[1])
    published = show.number(np.array([size for _, size in found]), "length", like=_FINE)
    traces += [
        style.line(ladder, show.number(mesh, "length", like=_FINE)),
        style.marks([chart.number] * len(found), published, style.MARK_PUBLISHED),
        style.marks([chart.number], [computed]),
    ]
    log = np.log10
    notes = [
        style.label(
            log(110),
            log(show.number(0.7e-3, "length", like=_FINE)),
            "dashed: sieve rule",
            style.QUIET,
            xanchor="left",
            yanchor="bottom",
        ),
        style.label(
            log(1000), log(show.number(3.4e-6, "length", like=_FINE)), "F", style.FIRST, xanchor="right"
        ),
        style.label(
            log(2300),
            log(show.number(9.5e-6, "length", like=_FINE)),
            "P",
            style.SECOND,
            xanchor="left",
            yanchor="bottom",
        ),
        style.label(
            log(3300),
            log(show.number(4.6e-6, "length", like=_FINE)),
            "JIS",
            style.THIRD,
            xanchor="left",
            yanchor="bottom",
        ),
    ]
    ticks = [3, 10, 30, 100, 300, 1000]
    off = "; ".join(
        f"{label} is {show.text(size, 'length', like=_FINE)} ({_signed(size / chart.mesh - 1)})"
        for label, size in found
    )
    caption = (
        f"By the rule of the sieve, {chart.number} wires to the inch leave holes of "
        f"{show.text(chart.mesh, 'length', like=_FINE)}. Published: {off}."
    )
    pane = style.pane(
        traces,
        x=style.axis(
            "number on the label", log(14), log(5000), type="log", tickvals=[30, 100, 400, 1000, 4000]
        ),
        y=style.axis(
            f"grain size ({unit})",
            *log(show.number(np.array([2e-6, 1.5e-3]), "length", like=_FINE)),
            type="log",
            tickvals=ticks,
            ticktext=[f"{tick:g}" for tick in ticks],
        ),
        annotations=notes,
        margin={"l": 84, "r": 16, "t": 16, "b": 64},
    )
    readings = [
        style.reading(
            show.text(size, "length", like=_FINE), f"{label}, published ({_signed(size / chart.mesh - 1)})"
        )
        for label, size in found
    ]
    readings.append(
        style.reading(
            show.text(chart.mesh, "length", like=_FINE), f"computed for a sieve No. {chart.number}", "first"
        )
    )
    return style.picture([pane], caption, readings)


def drill(chart: DrillChart, show: Show) -> style.Figure:
    """Return the speed of a drill over its diameter, with the slow and the fast end of what is usual."""
    unit, step = show.symbol("length"), chart.steps[-1]
    sizes = show.number(chart.diameters, "length")
    traces = [
        *(style.line(sizes, speeds) for speeds in chart.usual),
        style.curve(sizes, chart.speeds, "this surface speed"),
        style.marks(
            [show.number(each.diameter, "length") for each in chart.steps],
            [each.speed for each in chart.steps],
        ),
    ]
    log = np.log10
    notes = [
        style.label(
            log(sizes[place]),
            log(speeds[place]),
            show.text(speed, "speed"),
            style.QUIET,
            xanchor=anchor,
            yanchor=side,
        )
        for speeds, speed, place, anchor, side in (
            (chart.usual[0], USUAL_SURFACE_SPEEDS[0], 12, "right", "top"),
            (chart.usual[1], USUAL_SURFACE_SPEEDS[1], 36, "left", "bottom"),
        )
    ]
    speed, rim = show.text(step.speed, "rotation"), show.text(chart.surface_speed, "speed")
    water = show.text(step.water_a_minute, "volume")
    slow, fast = USUAL_SURFACE_SPEEDS
    place = "below" if chart.surface_speed < slow else "above" if chart.surface_speed > fast else "within"
    caption = (
        f"A drill of {show.text(step.diameter, 'length')} whose rim runs at {rim} turns at {speed}; that is "
        f"{place} the usual {show.text(slow, 'speed')} to {show.text(fast, 'speed')} (dashed). Going through "
        f"takes about {show.text(step.time, 'time')}, slow at the exit, under at least {water} of water a "
        "minute"
        + "".join(
            f"; the pilot of {show.text(pilot.diameter, 'length')} before it turns at "
            f"{show.text(pilot.speed, 'rotation')} and takes as long"
            for pilot in chart.steps[:-1]
        )
        + "."
    )
    ticks = [3, 6, 10, 20, 40, 60] if show.metric else [0.125, 0.25, 0.5, 1, 2]
    rounds = [100, 300, 1000, 3000, 10000]
    pane = style.pane(
        traces,
        x=style.axis(
            f"diameter of the drill ({unit})",
            *log(show.number(np.array([2.5e-3, 66e-3]), "length")),
            type="log",
            tickvals=ticks,
            ticktext=[f"{tick:g}" for tick in ticks],
        ),
        y=style.axis(
            "speed (rev/min)",
            log(70),
            log(20000),
            type="log",
            tickvals=rounds,
            ticktext=[f"{n:g}" for n in rounds],
        ),
        annotations=notes,
        margin={"l": 84, "r": 16, "t": 16, "b": 64},
    )
    readings = [
        style.reading(speed, f"a drill of {show.text(step.diameter, 'length')} at {rim}", "first"),
        style.reading(show.text(step.time, "time"), "until it is through"),
        style.reading(f"{water} a minute", "of water at least, within a factor of three"),
    ]
    for pilot in chart.steps[:-1]:
        says = f"the pilot of {show.text(pilot.diameter, 'length')}, before"
        readings.append(style.reading(show.text(pilot.speed, "rotation"), says))
    return style.picture([pane], caption, readings)


def hanging(hung: Hung, show: Show) -> style.Figure:
    """Return a piece with its hollow from the front, to scale, its two holes and what each carries."""
    pocket = hung.pocket
    low = 0.25 * (pocket.height - pocket.tall)
    left, right, top = pocket.begins, pocket.begins + pocket.clear, low + pocket.tall
    traces = [
        _body("glass", _rectangle(0.0, 0.0, pocket.length, pocket.height), show),
        _body("water", _rectangle(left, low, right, top), show),
        *(_disc(hole.x, hole.y, hole.diameter / 2, show) for hole in hung.holes),
        _path(
            [(pocket.middle, low), (pocket.middle, pocket.height)],
            show,
            style.COMPUTED | {"color": style.FIRST},
        ),
        _path([(pocket.length / 2, 0.0), (pocket.length / 2, pocket.height)], show, style.REFERENCE),
        style.marks([show.number(hung.centre, "length")], [show.number(low + pocket.tall / 2, "length")]),
    ]
    places = [show.text(hole.x, "length") for hole in hung.holes]
    carried = [show.text(each, "mass") for each in hung.carries]
    notes = [
        style.label(
            show.number(hole.x, "length"),
            show.number(hole.y - hole.diameter / 2, "length"),
            text,
            xanchor="center",
            yanchor="top",
        )
        for hole, text in zip(hung.holes, carried, strict=True)
    ]
    off = show.text(abs(hung.off), "length")
    straight = abs(hung.off) < _STRAIGHT
    how = (
        "symmetric to the hollow"
        if straight
        else f"and the hollow sits {off} too far {'right' if hung.off > 0 else 'left'} between them"
    )
    whole = show.text(hung.load.piece + hung.load.contents, "mass")
    caption = (
        f"The holes lie {places[0]} and {places[1]} from the left edge, {how}. Full of water the piece "
        f"weighs {whole}: the left fixing carries {carried[0]}, the right one {carried[1]}."
    )
    readings = [
        style.reading(" and ".join(places), "from the left edge: the holes", "first"),
        style.reading(
            show.text(0.0, "length") if straight else off,
            "hollow off the middle of the holes",
            "plain" if straight else "over",
        ),
        style.reading(show.text(hung.load.contents, "mass"), "of water in the hollow"),
        style.reading(" and ".join(carried), "on the left and the right fixing"),
    ]
    pane = _to_scale(traces, notes, show, (-0.01, pocket.length + 0.01), (-0.01, pocket.height + 0.01))
    return style.picture([pane], caption, readings)


_STRAIGHT = 0.1e-3
"""A hollow off its middle by less than this [m] hangs straight: nobody sets a hole out more exactly."""


def bonded(bond: Bond, show: Show) -> style.Figure:
    """Return a bead before and after pressing, in section, and how deep it has cured day by day."""
    radius, half, gap = bond.diameter / 2, bond.bead.width / 2, bond.gap
    turn = np.linspace(0, 2 * pi, 49)
    wide, glass = 0.020, 0.003
    unit = show.symbol("length")
    section = style.pane(
        [
            _body("glass", _rectangle(-wide, -glass, wide, 0.0), show),
            _body("glass", _rectangle(-wide, gap, wide, gap + glass), show),
            _body("wax", _rectangle(-min(half, wide), 0.0, min(half, wide), gap), show),
            _path(
                [(radius * cos(a), gap + 0.005 + radius * (1 + sin(a))) for a in turn], show, style.REFERENCE
            ),
        ],
        x=style.axis(
            f"across the bead ({unit})",
            *_span(-wide, wide, show),
            showgrid=False,
            zeroline=False,
            constrain="domain",
        ),
        y=style.axis("", *_span(-0.004, 0.018, show), visible=False, scaleanchor="x", constrain="domain"),
        annotations=[
            style.label(
                0.0,
                show.number(gap + 0.005 + 2 * radius, "length"),
                "as laid",
                style.QUIET,
                xanchor="center",
                yanchor="bottom",
            ),
        ],
        height=260,
    )
    days = f"{bond.cured_days:.3g} days"
    depths, middle = show.number(bond.depths, "length"), show.number(half, "length")
    top = show.number(0.020, "length")
    cure = style.pane(
        [
            style.curve(bond.days, depths, "cured from each rim"),
            style.line([0, _MOST_DAYS], [middle, middle], style.LIMIT),
            style.marks([bond.cured_days], [middle]),
        ],
        x=style.axis("days", 0, _MOST_DAYS),
        y=style.axis(f"cured from each rim ({unit})", 0, top),
        annotations=[
            style.label(0, middle, "the middle", style.SECOND, xanchor="left", yanchor="bottom", xshift=4)
        ],
        height=300,
    )
    width, volume = show.text(bond.bead.width, "length"), show.text(bond.bead.volume, "volume")
    caption = (
        f"A bead of {show.text(bond.diameter, 'length')} pressed to a gap of {show.text(gap, 'length')} "
        f"spreads to {width}; {show.text(bond.length, 'length')} of it take {volume}. Silicone that cures "
        f"{show.text(bond.first_day, 'length')} on the first day needs {days} to its middle."
    )
    readings = [
        style.reading(width, "wide when pressed", "first"),
        style.reading(volume, "of adhesive"),
        style.reading(days, "until the middle is cured", "second"),
    ]
    return style.picture([section, cure], caption, readings)


_MOST_DAYS = 60


def hollow_curve(curve: Bite, show: Show) -> style.Figure:
    """Return a hollow curve at the edge of a sheet, to scale, with its relief cuts in their order."""
    half, low = 0.060, -0.045

    def arc(depth: float) -> list[tuple[float, float]]:
        radius = curve.chord**2 / (8 * depth) + depth / 2
        end = np.arcsin(min(curve.chord / 2 / radius, 1.0))
        angles = np.linspace(-end, end, 41)
        return [(radius * sin(angle), radius - depth - radius * cos(angle)) for angle in angles]

    sheet = [(-half, 0.0), *arc(curve.depths[-1]), (half, 0.0), (half, low), (-half, low)]
    traces = [_body("offcut", arc(curve.depths[-1]), show), _body("glass", sheet, show)]
    traces += [_path(arc(depth), show, style.CUT) for depth in curve.depths]
    notes = [
        style.label(
            0.0,
            show.number(-depth, "length"),
            f"<b>{number}</b>",
            xanchor="center",
            yanchor="bottom",
        )
        for number, depth in enumerate(curve.depths, 1)
    ]
    radius, least, depth = (
        show.text(size, "length") for size in (curve.radius, curve.least, curve.depths[-1])
    )
    count = len(curve.depths)
    how = (
        "so its score runs at once"
        if curve.runs
        else f"so the waste comes out in {count} slices, {count - 1} relief cuts before the curve itself"
    )
    caption = (
        f"A hollow curve {show.text(curve.chord, 'length')} wide and {depth} deep has a radius of {radius}; "
        f"a score runs by hand down to about {least}, {how}."
    )
    readings = [
        style.reading(radius, "radius of the curve", "plain" if curve.runs else "over"),
        style.reading(least, "least that runs in a hollow curve"),
        style.reading(f"{count}", "scores, in this order", "first"),
    ]
    pane = _to_scale(traces, notes, show, (-half, half), (low, 0.008))
    return style.picture([pane], caption, readings)


def by_hand(disc: Circle, parts: Enough, show: Show) -> style.Figure:
    """Return a disc with the straight cuts round it, and the chance of enough good ones."""
    radius = disc.radius
    corner = radius / cos(pi / disc.tangents)
    angles = pi / disc.tangents * (1 + 2 * np.arange(disc.tangents + 1))
    around = [(corner * cos(angle), corner * sin(angle)) for angle in angles]
    circle = [(radius * cos(a), radius * sin(a)) for a in np.linspace(0, 2 * pi, 73)]
    half = 0.045
    left = style.pane(
        [
            _body("offcut", around, show),
            _body("glass", circle, show),
            _path(around, show, style.CUT),
        ],
        x={
            "range": _span(-half, half, show),
            "visible": False,
            "fixedrange": True,
            "constrain": "domain",
        },
        y={
            "range": _span(-half, half, show),
            "visible": False,
            "fixedrange": True,
            "scaleanchor": "x",
            "constrain": "domain",
        },
        annotations=[style.label(0, 0, show.text(2 * radius, "length"), xanchor="center")],
        height=360,
        share=0.9,
        margin={"l": 8, "r": 8, "t": 8, "b": 8},
    )
    extra = [count - parts.wanted for count in parts.counts]
    chances = [100 * chance for chance in parts.chances]
    at = [parts.average - parts.wanted, parts.sure - parts.wanted]
    last = max(12, at[1] + 4)
    right = style.pane(
        [
            style.curve(extra, chances, "chance of enough"),
            style.line([0, last], [90, 90]),
            style.marks([at[1]], [chances[at[1]]]),
            style.marks([at[0]], [chances[at[0]]], style.MARK_WORST),
        ],
        x=style.axis("cut more than wanted", 0, last),
        y=style.axis("chance of enough (%)", 0, 105),
        annotations=[
            style.label(0, 90, "9 times in 10", style.QUIET, xanchor="left", yanchor="bottom", xshift=4),
        ],
        height=360,
    )
    stands = show.text(disc.stands, "length")
    how = (
        "its score runs: four straight relief cuts free it"
        if disc.runs
        else f"too small for a round score: {disc.tangents} straight cuts, then nip and grind {stands} off "
        "the corners"
    )
    average = parts.chances[at[0]]
    caption = (
        f"A disc of {show.text(2 * radius, 'length')}: {how}. For {parts.wanted} good ones, with "
        f"{_per_cent(parts.breakage)} breaking, {parts.average} are enough on the average, which fails "
        f"{_per_cent(1 - average)} of the time; {parts.sure} are enough nine times in ten."
    )
    readings = [
        style.reading(f"{disc.tangents} cuts", "straight, round the disc"),
        style.reading(stands, "stands over the rim at the corners"),
        style.reading(f"{parts.average}", "to cut, on the average", "second"),
        style.reading(f"{parts.sure}", "to cut, to be sure nine times in ten", "first"),
    ]
    return style.picture([left, right], caption, readings)


def _to_scale(
    traces: list[style.Trace],
    notes: list[dict[str, Any]],
    show: Show,
    x: tuple[float, float],
    y: tuple[float, float],
) -> style.Pane:
    unit = show.symbol("length")
    return style.pane(
        traces,
        x=style.axis(f"along ({unit})", *_span(*x, show), constrain="domain", showgrid=False, zeroline=False),
        y=style.axis(
            f"across ({unit})",
            *_span(*y, show),
            scaleanchor="x",
            constrain="domain",
            showgrid=False,
            zeroline=False,
        ),
        annotations=notes,
        height=440,
    )


def _rectangle(x1: float, y1: float, x2: float, y2: float) -> list[tuple[float, float]]:
    return [(x1, y1), (x2, y1), (x2, y2), (x1, y2)]


def _body(material: str, outline: Points, show: Show) -> style.Trace:
    x, y = np.array([*outline, outline[0]]).T
    return style.body(material, show.number(x, "length"), show.number(y, "length"))


def _disc(x: float, y: float, radius: float, show: Show) -> style.Trace:
    turn = np.linspace(0, 2 * np.pi, 49)
    return style.scatter(
        show.number(x + radius * np.cos(turn), "length"),
        show.number(y + radius * np.sin(turn), "length"),
        mode="lines",
        fill="toself",
        fillcolor=style.PAPER,
        line={"color": style.FIRST, "width": 3},
        hoverinfo="skip",
    )


def _path(points: Points, show: Show, look: dict[str, Any]) -> style.Trace:
    x, y = np.array(points).T
    return style.line(show.number(x, "length"), show.number(y, "length"), look)


def _span(low: float, high: float, show: Show, like: float | None = None) -> list[float]:
    return [show.number(low, "length", like=like), show.number(high, "length", like=like)]


def _short(label: str) -> str:
    """Return a grit's label short enough for a narrow axis."""
    return "polish" if label == "cerium oxide" else label.partition(" ")[0]


def _per_cent(share: float) -> str:
    return f"{100 * share:.3g} %"


def _signed(share: float) -> str:
    return f"{share:+.0%}".replace("%", " %")
