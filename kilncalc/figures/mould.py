"""Pictures of lesson 2: a mould that fills, packing of frit, three ways to weigh a model, a frit texture."""

import math
from functools import partial
from typing import Any

import numpy as np

from kilncalc.figures import style
from kilncalc.quantities import as_text, to_unit

LENGTH_UNIT = {"metric": "mm", "inches": "in"}
MASS_UNIT = {"metric": "g", "inches": "oz"}


def filled_mould(
    *,
    base_radius: float,
    brim_radius: float,
    depth: float,
    cast_height: float,
    frit_height: float,
    cast_mass: float,
    frit_volume: float,
    units: str,
) -> style.Figure:
    """Return a conical mould to scale: the cast in it, and the same glass as loose frit above it.

    Lengths in m, mass in kg, volume in m3. Frit above `depth` stands as a column as wide as the brim.
    """
    say = partial(as_text, units=units)
    unit = LENGTH_UNIT[units]
    wall, floor = 0.020, 0.015

    def radius(height: float) -> float:
        return base_radius + (brim_radius - base_radius) * min(height / depth, 1.0)

    def outline(low: float, high: float) -> tuple[np.ndarray, np.ndarray]:
        right = [(radius(low), low)]
        if low < depth < high:
            right.append((brim_radius, depth))
        right.append((radius(high), high))
        points = right + [(-r, z) for r, z in reversed(right)] + right[:1]
        x, y = np.array(points).T
        return to_unit(x, "length", unit), to_unit(y, "length", unit)

    outside = max(brim_radius, base_radius) + wall
    block = np.array(
        [
            (-outside, -floor),
            (outside, -floor),
            (outside, depth),
            (brim_radius, depth),
            (base_radius, 0.0),
            (-base_radius, 0.0),
            (-brim_radius, depth),
            (-outside, depth),
            (-outside, -floor),
        ]
    )
    over = frit_height - depth
    frit_says = (
        f"{say(over, 'length')} above the brim" if over > 0 else f"{say(-over, 'length')} below the brim"
    )
    other = "inches" if units == "metric" else "metric"
    weight = say(cast_mass, "mass")
    other_weight = as_text(cast_mass, "mass", units=other)
    caption = (
        f"The cast weighs {weight} ({other_weight}). The same glass as loose frit takes up "
        f"{say(frit_volume, 'volume')} and stands {frit_says}"
        + (": fill again when it has sunk, or set a reservoir on the mould." if over > 0 else ": it fits.")
    )
    half_width, low, high = 0.115, -0.025, 0.155
    to_end = to_unit(half_width, "length", unit)
    return style.figure(
        [
            style.body("mould", to_unit(block[:, 0], "length", unit), to_unit(block[:, 1], "length", unit)),
            style.body("frit", *outline(min(cast_height, frit_height), frit_height)),
            style.body("glass", *outline(0.0, cast_height)),
            style.line([-to_end, to_end], [to_unit(depth, "length", unit)] * 2),
        ],
        caption,
        xaxis=style.axis(f"width ({unit})", -to_end, to_end, domain=[0.0, 0.52], constrain="domain"),
        yaxis=style.axis(
            f"height ({unit})",
            to_unit(low, "length", unit),
            to_unit(high, "length", unit),
            scaleanchor="x",
            constrain="domain",
        ),
        annotations=[
            style.label(
                to_end, to_unit(depth, "length", unit), "brim", style.QUIET, xanchor="left", xshift=6
            ),
            style.words(0.64, 0.97, f"<b>{weight}</b>", 34),
            style.words(0.64, 0.80, f"of glass, or {other_weight}", 18),
            style.words(0.64, 0.62, f"cast {say(cast_height, 'length')} thick", 18),
            style.words(0.64, 0.46, f"<b>{say(frit_volume, 'volume')}</b>", 26),
            style.words(0.64, 0.33, "of loose frit for it (dotted), standing", 18),
            style.words(0.64, 0.22, f"<b>{frit_says}</b>", 18, style.SECOND if over > 0 else style.INK),
        ],
    )


def packing_of_grains(
    *,
    packing: np.ndarray,
    bulk_density: np.ndarray,
    computed: tuple[float, float],
    published: tuple[float, float],
    units: str,
) -> style.Figure:
    """Return bulk density against packing with one computed and one published point, (packing [-], kg/m3)."""
    say = partial(as_text, units=units)
    unit = {"metric": "g/cm3", "inches": "oz/in3"}[units]
    difference = published[1] / computed[1] - 1
    caption = (
        f"A heap of equal balls of glass would weigh {say(computed[1], 'density')}; crushed glass, as "
        f"published, weighs {say(published[1], 'density')}: {difference:+.0%}. Grains with corners "
        "bridge and leave more air than balls do."
    )
    x, y = np.array([computed, published]).T
    return style.figure(
        [
            style.curve(packing, to_unit(bulk_density, "density", unit), "packing x density of the glass"),
            style.marks(x[:1], to_unit(y[:1], "density", unit)),
            style.marks(x[1:], to_unit(y[1:], "density", unit), style.MARK_PUBLISHED),
        ],
        caption,
        xaxis=style.axis("packing: share of the heap that is glass", 0.40, 0.66),
        yaxis=style.axis(
            f"weight of the heap ({_pretty(unit)})",
            to_unit(950.0, "density", unit),
            to_unit(1700.0, "density", unit),
        ),
        annotations=[
            style.label(
                x[0],
                to_unit(y[0], "density", unit),
                "computed: balls poured loosely",
                style.FIRST,
                xanchor="right",
                xshift=-16,
            ),
            style.label(
                x[1],
                to_unit(y[1], "density", unit),
                f"published: crushed glass ({difference:+.0%})",
                xanchor="left",
                xshift=18,
            ),
        ],
    )


def three_ways(*, volume: float, right_mass: float, errors: dict[str, float], units: str) -> style.Figure:
    """Return by how much each way of measuring a model may be wrong, in kg of glass: wax, water, jug."""
    say = partial(as_text, units=units)
    unit = MASS_UNIT[units]
    rows = {"wax": 2.0, "water": 1.0, "jug": 0.0}
    says = {
        "wax": "weigh the wax model",
        "water": "weigh the water the mould holds",
        "jug": "sink the model in a jug",
    }
    best = min(errors, key=lambda name: errors[name])
    caption = (
        f"The model takes {say(right_mass, 'mass')} of glass. May be off by: "
        + "; ".join(f"{says[name]} {say(errors[name], 'mass')}" for name in rows)
        + f". Surest here: {says[best]}."
    )
    span = to_unit(0.16, "mass", unit)
    whiskers = [
        style.marks(
            [0.0],
            [rows[name]],
            error_x={
                "type": "data",
                "array": [to_unit(errors[name], "mass", unit)],
                "thickness": 4,
                "width": 12,
                "color": style.FIRST,
            },
            name=says[name],
            hoverinfo="skip",
            xaxis="x2",
            yaxis="y2",
        )
        for name in rows
    ]
    side = 0.5 * (volume / 1e-3) ** (1 / 3)
    return style.figure(
        [*_three_vessels(side), *whiskers],
        caption,
        margin={"l": 10, "r": 20, "t": 16, "b": 64},
        xaxis={"domain": [0.0, 0.18], "range": [-1.1, 1.1], "visible": False, "fixedrange": True},
        yaxis={"range": [-0.5, 2.5], "visible": False, "fixedrange": True},
        xaxis2=style.axis(
            f"too little glass   \u2190   error ({unit})   \u2192   too much glass",
            -span,
            span,
            domain=[0.48, 1.0],
            anchor="y2",
            zerolinecolor=style.QUIET,
            zerolinewidth=2,
        ),
        yaxis2={"range": [-0.5, 2.5], "visible": False, "anchor": "x2", "fixedrange": True},
        annotations=[
            style.label(
                0.2,
                rows[name],
                f"{says[name]}<br><b>\u00b1 {say(errors[name], 'mass')}</b>"
                f" ({errors[name] / right_mass:.1%})",
                xref="paper",
                xanchor="left",
            )
            for name in rows
        ],
    )


def _three_vessels(side: float) -> list[style.Trace]:
    """Return small drawings of the three ways, one above the other; `side` in row heights, 0 to 0.5."""
    s = 0.9 * side

    def model(low: float) -> tuple[list[float], list[float]]:
        return [-0.7 * s, -s, s, 0.7 * s, -0.7 * s], [low, low + 1.2 * s, low + 1.2 * s, low, low]

    def vessel(low: float, level: float) -> tuple[list[float], list[float]]:
        return [-0.62, -0.62, 0.62, 0.62, -0.62], [low, level, level, low, low]

    wall = [-0.62, -0.62, 0.62, 0.62], [0.4, -0.36, -0.36, 0.4]
    level = -0.05 + 0.6 * side
    x, y = model(1.0 - 0.3)
    block = (
        [-0.75, -0.75, *x[1::-1], *x[3:1:-1], 0.75, 0.75, -0.75],
        [0.64, 0.7 + 1.2 * s, *y[1::-1], *y[3:1:-1], 0.7 + 1.2 * s, 0.64, 0.64],
    )
    outline = {"color": style.INK, "width": 2}
    return [
        style.body("wax", *model(1.72)),
        style.line([-0.7, 0.7], [1.7, 1.7], outline),
        style.body("mould", *block),
        style.body("water", x, y),
        style.body("water", *vessel(-0.36, level)),
        style.body("wax", *model(-0.34)),
        style.line(*wall, outline),
    ]


def frit_texture(
    *, grain: float, coverage: float, mass: float, area: float, added: float, sheet: float, units: str
) -> style.Figure:
    """Return a window of textured sheet from above and in section, to scale, and what the frit weighs.

    `grain`, mean thickness `added` and thickness of the `sheet` in m, `area` in m2, `mass` in kg.
    """
    say = partial(as_text, units=units)
    unit = LENGTH_UNIT[units]
    window = 0.040
    pixels = 300.0
    x, y = _strewn(window, grain, coverage)
    look = {
        "mode": "lines",
        "fill": "toself",
        "fillcolor": style.MATERIALS["frit"]["fillcolor"],
        "line": {"color": style.FIRST, "width": 1.5},
        "hoverinfo": "skip",
    }

    def grains(x: np.ndarray, y: np.ndarray, **keywords: Any) -> style.Trace:
        outlines = _discs(
            to_unit(x, "length", unit), to_unit(y, "length", unit), to_unit(grain, "length", unit)
        )
        return style.scatter(outlines[0], outlines[1], **look, **keywords)

    row = np.abs(y - window / 2) < grain / 2
    end = to_unit(window, "length", unit)
    slab = [0, end, end, 0, 0]
    top = to_unit(sheet, "length", unit)
    level = to_unit(sheet + added, "length", unit)
    weight = say(mass, "mass")
    caption = (
        f"{weight} of frit on {say(area, 'area')}. Melted level it would add "
        f"{say(added, 'length')}: for the kiln "
        f"{say(sheet, 'length')} of sheet become {say(sheet + added, 'length')} on "
        "average."
    )
    return style.figure(
        [
            style.body("glass", slab, [0, 0, end, end, 0]),
            grains(x, y),
            style.body("glass", slab, [0, 0, top, top, 0], xaxis="x2", yaxis="y2"),
            grains(x[row], np.full(int(row.sum()), sheet + grain / 2), xaxis="x2", yaxis="y2"),
            style.line([0, end], [level, level], xaxis="x2", yaxis="y2"),
        ],
        caption,
        width=style.WIDTH,
        margin={"l": 70, "r": 20, "t": 40, "b": 80},
        xaxis=style.axis(f"seen from above ({unit})", 0, end, domain=[0.0, pixels / 990]),
        yaxis=style.axis("", 0, end, nticks=5),
        xaxis2=style.axis(f"in section ({unit})", 0, end, domain=[0.37, 0.37 + pixels / 990], anchor="y2"),
        yaxis2=style.axis("", 0, end, anchor="x2", nticks=5),
        annotations=[
            style.label(
                0,
                level,
                "melted level",
                style.QUIET,
                xref="x2",
                yref="y2",
                xanchor="left",
                yanchor="bottom",
                xshift=4,
                yshift=max(8.0, pixels * (grain - added) / window),
            ),
            style.words(0.72, 0.98, f"<b>{weight}</b>", 34),
            style.words(0.72, 0.78, f"of frit on {say(area, 'area')}", 18),
            style.words(0.72, 0.56, f"<b>+ {say(added, 'length')}</b>", 26),
            style.words(0.72, 0.42, "mean thickness added", 18),
        ],
    )


def _strewn(window: float, grain: float, coverage: float) -> tuple[np.ndarray, np.ndarray]:
    """Return centres of grains, a jittered hexagonal lattice whose discs cover `coverage` of the window."""
    if coverage == 0:
        return np.empty(0), np.empty(0)
    pitch = grain * math.sqrt(math.pi / (2 * math.sqrt(3) * coverage))
    rows = np.arange(0, window / (pitch * math.sqrt(3) / 2) + 2).astype(int)
    columns = np.arange(0, window / pitch + 2).astype(int)
    i, j = np.meshgrid(columns, rows)
    x = (i + 0.5 * (j % 2)).ravel() * pitch - pitch / 3
    y = j.ravel() * pitch * math.sqrt(3) / 2 - pitch / 3
    turn = 2 * math.pi * np.modf(x.size * 0.618 + 0.7548776662 * np.arange(x.size))[0]
    slack = max(0.0, (pitch - grain) / 2)
    x, y = x + slack * np.cos(turn), y + slack * np.sin(turn)
    inside = (x > 0) & (x < window) & (y > 0) & (y < window)
    return x[inside], y[inside]


def _discs(x: np.ndarray, y: np.ndarray, diameter: float) -> tuple[np.ndarray, np.ndarray]:
    """Return the outlines of equal discs one after the other, with a gap (nan) behind each."""
    corners = 12 if x.size > 300 else 18
    turn = np.linspace(0, 2 * math.pi, corners + 1)
    ring = diameter / 2 * np.array([np.cos(turn), np.sin(turn)])
    outlines = np.full((2, x.size, corners + 2), np.nan, dtype=np.float32)
    outlines[:, :, :-1] = np.array([x, y])[:, :, np.newaxis] + ring[:, np.newaxis, :]
    return outlines[0].ravel(), outlines[1].ravel()


def _pretty(unit: str) -> str:
    return unit.replace("3", "\u00b3")
