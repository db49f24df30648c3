"""Pictures of lesson 2: a mould that fills, two cups, three ways to measure a model, a frit texture."""

import math
from typing import Any

import numpy as np

from kilncalc.figures import style
from kilncalc.filling import ConeFilling, Cup, ModelMeasured, Texture, TwoCups, Way
from kilncalc.quantities import Show

_WALL, _FLOOR = 0.020, 0.015  # m, how the mould is drawn
_WINDOW = 0.040  # m, side of the piece of texture that is drawn
_TILE = 0.240, 0.180  # m, the relief tray


def filled_mould(filled: ConeFilling, show: Show) -> style.Figure:
    """Return a conical mould to scale: the cast in it, and the same glass as loose frit above it."""
    base, brim, depth = filled.base_radius, filled.brim_radius, filled.depth

    def outline(low: float, high: float) -> list[tuple[float, float]]:
        levels = [low, depth, high] if low < depth < high else [low, high]
        right = [(base + (brim - base) * min(z / depth, 1.0), z) for z in levels]
        return right + [(-r, z) for r, z in reversed(right)] + right[:1]

    side = max(brim, base) + _WALL
    half = [(side, depth), (brim, depth), (base, 0.0)]
    block = [
        (-side, -_FLOOR), (side, -_FLOOR), *half, *((-r, z) for r, z in reversed(half)), (-side, -_FLOOR)
    ]  # fmt: skip

    def body(material: str, points: list[tuple[float, float]]) -> style.Trace:
        x, y = show.number(np.array(points).T, "length")
        return style.body(material, x, y)

    over = filled.frit_height - depth
    stands = f"{show.text(abs(over), 'length')} {'above' if over > 0 else 'below'} the brim"
    mass, loose = show.text(filled.mass, "mass"), show.text(filled.loose, "volume")
    if over <= 0:
        fits = "It fits."
    elif math.isinf(filled.times):
        fits = "It needs a reservoir on the mould."
    else:
        fits = f"Fill it level {_times(filled.times)}, firing between, or set a reservoir on the mould."
    x_end, low, high = (float(show.number(end, "length")) for end in (0.115, -0.022, 0.150))
    rim = float(show.number(depth, "length"))
    return style.picture(
        [
            style.pane(
                [
                    body("mould", block),
                    body("frit", outline(min(filled.thickness, filled.frit_height), filled.frit_height)),
                    body("glass", outline(0.0, filled.thickness)),
                    style.line([-x_end, x_end], [rim, rim]),
                ],
                x=style.axis(f"width ({show.symbol('length')})", -x_end, x_end, constrain="domain"),
                y=style.axis(
                    f"height ({show.symbol('length')})", low, high, scaleanchor="x", constrain="domain"
                ),
                annotations=[style.label(-x_end, rim, "brim", style.QUIET, xanchor="left", yanchor="bottom")],
            )
        ],
        f"The cast weighs {mass}. The same glass as loose frit takes up {loose} and stands {stands}. {fits}",
        [
            style.reading(mass, f"of glass, cast {show.text(filled.thickness, 'length')} thick"),
            style.reading(loose, "of loose frit for it (dotted)"),
            style.reading(
                show.text(abs(over), "length"),
                f"{'above' if over > 0 else 'below'} the brim: there the frit stands",
                "over" if over > 0 else "plain",
            ),
        ],
    )


def _times(count: float) -> str:
    return {1: "once", 2: "twice"}.get(int(count), f"{count:.0f} times")


def two_cups(cups: TwoCups, show: Show) -> style.Figure:
    """Return two cups filled level, and how far up the same grains would stand when they had melted."""
    balls, crushed = (show.text(cup.bulk_density, "density") for cup in (cups.balls, cups.crushed))
    return style.picture(
        [
            _cup(cups.balls, round_grains=True, says="balls"),
            _cup(cups.crushed, round_grains=False, says="crushed glass"),
        ],
        f"A cup of equal balls of glass would weigh {balls}; a cup of crushed glass, as published, weighs "
        f"{crushed}: {cups.difference:+.0%}. Grains with corners bridge and leave more air than balls do.",
        [
            style.reading(f"{cups.balls.packing:.0%}", f"of a heap of balls is glass: {balls}"),
            style.reading(f"{cups.crushed.packing:.0%}", f"of a heap of crushed glass is glass: {crushed}"),
        ],
    )


def _cup(cup: Cup, *, round_grains: bool, says: str) -> style.Pane:
    """Return a cup whose drawn grains cover as much of it as glass fills of the heap."""
    level, rows, pitch = cup.packing, 12, 0.088
    x, y = np.meshgrid(np.arange(-5, 6) - 0.25, np.arange(rows) + 0.5)
    x = (x + 0.5 * (np.arange(rows)[:, np.newaxis] % 2)) * pitch
    corners, shape = (18, math.pi) if round_grains else (4, 2.0)  # area over radius squared
    radius = math.sqrt(cup.packing * pitch / rows / shape)
    turn = 2 * math.pi * np.modf(0.7548776662 * np.arange(x.size))[0]
    ring = radius * np.exp(1j * np.linspace(0, 2 * math.pi, corners + 1))
    centres = (x + 1j * y / rows).ravel()
    outlines = centres[:, np.newaxis] + ring * np.exp(1j * turn)[:, np.newaxis]
    gaps = np.full((x.size, 1), np.nan)
    look = {"fillcolor": style.MATERIALS["frit"]["fillcolor"], "line": {"color": style.FIRST, "width": 1.5}}
    grains = {
        axis: np.hstack([part, gaps]).ravel() for axis, part in (("x", outlines.real), ("y", outlines.imag))
    }
    wall = {"color": style.INK, "width": 3}
    return style.pane(
        [
            style.body("glass", [-0.52, 0.52, 0.52, -0.52, -0.52], [0, 0, level, level, 0], opacity=0.55),
            style.scatter(
                grains["x"], grains["y"], mode="lines", fill="toself", hoverinfo="skip", name=says, **look
            ),
            style.line([-0.52, -0.52, 0.52, 0.52], [1.06, 0, 0, 1.06], wall),
            style.line([-0.62, 0.62], [level, level]),
        ],
        x={"range": [-0.75, 0.95], "visible": False, "fixedrange": True},
        y={"range": [-0.14, 1.12], "visible": False, "fixedrange": True, "scaleanchor": "x"},
        annotations=[
            style.label(0.64, level, f"{level:.0%}", xanchor="left"),
            style.label(0, -0.08, f"a cup of {says}"),
        ],
        height=320,
        least=260,
        margin={"l": 4, "r": 4, "t": 4, "b": 4},
    )


def three_ways(measured: ModelMeasured, show: Show) -> style.Figure:
    """Return by how much the glass may come out wrong when a model is measured in each of three ways."""
    rows = {
        "weigh the wax model": measured.wax,
        "weigh the water": measured.water,
        "sink it in a jug": measured.jug,
    }
    surest = min(rows, key=lambda name: rows[name].width)
    unit = show.symbol("mass")
    span = float(show.number(0.16, "mass"))
    ends: list[float] = []
    heights: list[float] = []
    labels = []
    for row, (name, way) in zip((2.0, 1.0, 0.0), rows.items(), strict=True):
        low, high = (float(show.number(end, "mass")) for end in (way.low, way.high))
        ends += [-low, high, math.nan]
        heights += [row, row, math.nan]
        labels.append(style.label(0, row, f"{name}: {_signed(way, show)}", yanchor="bottom", yshift=12))
    mass = show.text(measured.mass, "mass")
    x, y = np.array(ends), np.array(heights)
    return style.picture(
        [
            _vessels(0.5 * (measured.volume / 1e-3) ** (1 / 3)),
            style.pane(
                [
                    style.line(x, y, {"color": style.FIRST, "width": 6}),
                    style.marks(x, y, {"symbol": "line-ns-open", "size": 22, "color": style.FIRST}),
                ],
                x=style.axis(
                    f"too little ← glass ({unit}) → too much", -span, span, zerolinecolor=style.QUIET
                ),
                y={"range": [-0.5, 2.75], "visible": False, "fixedrange": True},
                annotations=labels,
                share=3.0,
                margin={"l": 12, "r": 16, "t": 8, "b": 64},
            ),
        ],
        f"The model takes {mass} of glass. It may come out wrong by "
        + "; ".join(f"{_off(way, show)} if you {name}" for name, way in rows.items())
        + f". Surest here: {surest}.",
        [
            style.reading(mass, "of glass for this model"),
            style.reading(show.text(rows[surest].width, "mass"), f"off at most, if you {surest}", "first"),
        ],
    )


def _off(way: Way, show: Show) -> str:
    if math.isclose(way.low, way.high, rel_tol=0.01):
        return f"± {show.text(way.high, 'mass')}"
    return f"{show.text(way.low, 'mass')} too little to {show.text(way.high, 'mass')} too much"


def _signed(way: Way, show: Show) -> str:
    """Return the same in few words, which stand in the plot, above signed numbers."""
    if math.isclose(way.low, way.high, rel_tol=0.01):
        return _off(way, show)
    return f"−{show.text(way.low, 'mass')} to +{show.text(way.high, 'mass')}"


def _vessels(side: float) -> style.Pane:
    """Return small drawings of the three ways, one above the other; `side` in row heights, 0 to 0.5."""
    s, gap = 0.9 * side, math.nan

    def model(low: float) -> tuple[list[float], list[float]]:
        return [-0.7 * s, -s, s, 0.7 * s, -0.7 * s], [low, low + 1.2 * s, low + 1.2 * s, low, low]

    def together(*parts: tuple[list[float], list[float]]) -> tuple[np.ndarray, np.ndarray]:
        """Join outlines to one, with a gap behind each."""
        across, up = (np.array([one for part in parts for one in (*part[axis], gap)]) for axis in (0, 1))
        return across, up

    x, y = model(1.0 - 0.3)
    block = (
        [-0.75, -0.75, *x[1::-1], *x[3:1:-1], 0.75, 0.75, -0.75],
        [0.64, 0.7 + 1.2 * s, *y[1::-1], *y[3:1:-1], 0.7 + 1.2 * s, 0.64, 0.64],
    )
    level = -0.05 + 0.6 * side
    jug = [-0.62, -0.62, 0.62, 0.62, -0.62], [-0.36, level, level, -0.36, -0.36]
    glass = [-0.62, -0.62, 0.62, 0.62], [0.4, -0.36, -0.36, 0.4]
    outline = {"color": style.INK, "width": 2}
    return style.pane(
        [
            style.body("mould", *block),
            style.body("water", *together((x, y), jug)),
            style.body("wax", *together(model(1.72), model(-0.34))),
            style.line(*together(([-0.7, 0.7], [1.7, 1.7]), glass), outline),
        ],
        x={"range": [-1.1, 1.1], "visible": False, "fixedrange": True},
        y={"range": [-0.5, 2.75], "visible": False, "fixedrange": True},
        least=140,
        margin={"l": 4, "r": 4, "t": 8, "b": 64},
    )


def frit_texture(texture: Texture, show: Show) -> style.Figure:
    """Return the strewn part of a tray, a piece of it from above and in section, and what the frit weighs."""
    unit = show.symbol("length")
    grain, sheet, window = texture.grain, texture.sheet, _WINDOW
    x, y = texture.centres(window)
    # what a cut along the middle shows of each ball that it meets
    met = np.abs(y - window / 2) < grain / 2
    radius = np.sqrt((grain / 2) ** 2 - (y[met] - window / 2) ** 2)
    end, top, level = (float(show.number(size, "length")) for size in (window, sheet, sheet + texture.added))
    mass, area, added = (
        show.text(texture.mass, "mass"),
        show.text(texture.area, "area"),
        show.text(texture.added, "length"),
    )
    side = math.sqrt(texture.area * _TILE[1] / _TILE[0])
    strewn = side * _TILE[0] / _TILE[1], side
    below, becomes = show.text(sheet, "length"), show.text(sheet + texture.added, "length")
    return style.picture(
        [
            style.pane(
                [_rectangle("glass", _TILE, show), _rectangle("frit", strewn, show)],
                x=style.axis(f"the tray ({unit})", *_ends(_TILE[0], show), constrain="domain", nticks=4),
                y=style.axis("", *_ends(_TILE[1], show), scaleanchor="x", constrain="domain", nticks=4),
                height=290,
                least=200,
            ),
            style.pane(
                [
                    style.body("glass", [0, end, end, 0, 0], [0, 0, end, end, 0]),
                    _grains(x, y, np.full(x.size, grain / 2), show),
                ],
                x=style.axis(f"from above ({unit})", 0, end, constrain="domain", tickangle=0),
                y=style.axis("", 0, end, scaleanchor="x", constrain="domain", nticks=4),
                height=290,
                least=200,
            ),
            style.pane(
                [
                    style.body("glass", [0, end, end, 0, 0], [0, 0, top, top, 0]),
                    _grains(x[met], np.full(int(met.sum()), sheet + grain / 2), radius, show),
                    style.line([0, end], [level, level]),
                ],
                x=style.axis(f"cut through ({unit})", 0, end, constrain="domain"),
                y=style.axis("", 0, end / 2, scaleanchor="x", constrain="domain", nticks=4),
                annotations=[
                    style.label(
                        end, level, "melted level", style.QUIET, xanchor="right", yanchor="bottom", yshift=40
                    )
                ],
                height=290,
                least=200,
            ),
        ],
        f"{mass} of frit on {area}. Melted level it would add {added}: for the kiln "
        f"{below} of sheet become {becomes} on average.",
        [style.reading(mass, f"of frit on {area}"), style.reading(f"+ {added}", "mean thickness added")],
    )


def _ends(length: float, show: Show) -> tuple[float, float]:
    return 0.0, float(show.number(length, "length"))


def _rectangle(material: str, size: tuple[float, float], show: Show) -> style.Trace:
    width, height = (float(show.number(side, "length")) for side in size)
    return style.body(material, [0, width, width, 0, 0], [0, 0, height, height, 0])


def _grains(x: np.ndarray, y: np.ndarray, radius: np.ndarray, show: Show) -> style.Trace:
    """Return discs one after the other, with a gap (nan) behind each."""
    corners = 12 if x.size > 300 else 18
    ring = np.exp(1j * np.linspace(0, 2 * math.pi, corners + 1))
    outlines = np.full((x.size, corners + 2), np.nan, dtype=complex)
    outlines[:, :-1] = (x + 1j * y)[:, np.newaxis] + radius[:, np.newaxis] * ring
    look: dict[str, Any] = {
        "fillcolor": style.MATERIALS["frit"]["fillcolor"],
        "line": {"color": style.FIRST, "width": 1.5},
    }
    return style.scatter(
        *(show.number(part.ravel(), "length").astype(np.float32) for part in (outlines.real, outlines.imag)),
        mode="lines",
        fill="toself",
        hoverinfo="skip",
        **look,
    )
