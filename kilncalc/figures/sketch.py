"""Pictures from the sketch to the gram: a leaf on squared paper and its frit, a layout's lines and rods."""

import math

import numpy as np

from kilncalc.figures import style
from kilncalc.quantities import Show
from kilncalc.sketch import Area, Lines, Sketch

_MOST_RODS = 30  # drawn; more of them are told only


def measured(sketch: Sketch, show: Show) -> style.Figure:
    """Return a drawing on squared paper, its area in three ways, and the frit to weigh out for it."""
    ways = {
        "traced": sketch.traced,
        "squares counted": sketch.counted,
        "cut out and weighed": sketch.weighed,
    }
    told = "; ".join(f"{name} {_area(area, show)}" for name, area in ways.items())
    frits = "; ".join(
        f"{_off(part.mass, part.uncertainty, 'mass', show)} of {part.frit.name} frit, from "
        f"{show.text(part.raw, 'mass')} of crushed glass"
        for part in sketch.frits
    )
    whole, cut = len(sketch.squares.whole), len(sketch.squares.cut)
    return style.picture(
        [_paper(sketch, show), _ways(ways, show)],
        f"{told[0].upper()}{told[1:]}. {whole} squares are whole and {cut} cut. On the traced area: {frits}.",
        [
            style.reading(show.text(sketch.traced.value, "area"), "traced"),
            *(
                style.reading(
                    show.text(part.raw, "mass"),
                    f"of crushed glass for {show.text(part.mass, 'mass')} of {part.frit.name} frit: the "
                    f"sieves keep {100 * part.kept:.0f} %",
                )
                for part in sketch.frits
            ),
        ],
    )


def _area(area: Area, show: Show) -> str:
    return _off(area.value, area.uncertainty, "area", show)


def _off(value: float, uncertainty: float, dimension: str, show: Show) -> str:
    """Return a value and how far it may be off, in one unit and to the same place."""
    size, off = (float(show.number(one, dimension, like=value)) for one in (value, uncertainty))
    first = math.floor(math.log10(off)) if off > 0 else 0
    places = max(0, (1 if off < 2 * 10**first else 0) - first)  # one figure of it, two where the first is 1
    return f"{size:.{places}f} ± {off:.{places}f} {show.symbol(dimension, like=value)}"


def _paper(sketch: Sketch, show: Show) -> style.Pane:
    squares = sketch.squares
    x, y = np.array([*sketch.points, sketch.points[0]]).T
    least, most = (float(edge) for edge in (x.min() - squares.side, x.max() + squares.side))
    middle, half = (y.max() + y.min()) / 2, (most - least) * 0.3
    return style.pane(
        [
            _filled("glass", squares.whole, squares.side, show),
            _filled("offcut", squares.cut, squares.side, show),
            style.curve(show.number(x, "length"), show.number(y, "length"), "traced", style.SECOND),
            style.marks(
                show.number(x[:-1], "length"),
                show.number(y[:-1], "length"),
                {"symbol": "circle", "size": 6, "color": style.SECOND},
            ),
        ],
        x=style.axis(
            f"the drawing ({show.symbol('length')})",
            *(float(show.number(edge, "length")) for edge in (least, most)),
            constrain="domain",
        ),
        y=style.axis(
            "",
            *(float(show.number(middle + way * half, "length")) for way in (-1, 1)),
            scaleanchor="x",
            constrain="domain",
            nticks=5,
        ),
        height=330,
    )


def _filled(material: str, corners: np.ndarray, side: float, show: Show) -> style.Trace:
    """Return squares as one outline, with a gap (nan) behind each."""
    ring = np.array([[0, 0], [1, 0], [1, 1], [0, 1], [0, 0], [np.nan, np.nan]]) * side
    outline = (corners[:, None, :] + ring).reshape(-1, 2)
    x, y = (np.asarray(show.number(part, "length"), dtype=np.float32) for part in outline.T)
    look = style.body(material, x, y)
    return {**look, "line": {**look["line"], "width": 1}}


def _ways(ways: dict[str, Area], show: Show) -> style.Pane:
    """Return the three areas under each other, each with twice its uncertainty to either side."""
    largest = max(area.value + 2 * area.uncertainty for area in ways.values())
    # ends that seldom jump: round numbers of the unit shown
    end = float(show.number(largest, "area"))
    step = 10 ** np.floor(np.log10(end))
    rows = (2.0, 1.0, 0.0)
    bars, middles, labels = [], [], []
    for row, (name, area) in zip(rows, ways.items(), strict=True):
        low, middle, high = (
            float(show.number(area.value + way * area.uncertainty, "area")) for way in (-2, 0, 2)
        )
        bars += [(max(low, 0.0), row), (high, row), (math.nan, math.nan)]
        middles.append(middle)
        labels.append(
            style.label(0, row, f"{name}: {_area(area, show)}", xanchor="left", yanchor="bottom", yshift=12)
        )
    lows_and_highs = np.array(bars).T
    return style.pane(
        [
            style.line(lows_and_highs[0], lows_and_highs[1], {"color": style.FIRST, "width": 6}),
            style.marks(middles, rows),
        ],
        x=style.axis(f"area ({show.symbol('area')})", 0, float(np.ceil(1.05 * end / step) * step), nticks=6),
        y={"range": [-0.5, 2.75], "visible": False, "fixedrange": True},
        annotations=labels,
        margin={"l": 12, "r": 16, "t": 8, "b": 64},
        height=330,
    )


def rods(lines: Lines, show: Show) -> style.Figure:
    """Return the rods of a layout with their cuts, and what is left of each."""
    drawn = min(lines.rods, _MOST_RODS)
    width, length, rod = 0.6, *(float(show.number(size, "length")) for size in (lines.line, lines.rod))
    pieces: list[np.ndarray] = []
    rests: list[np.ndarray] = []
    for number in range(drawn):
        here = min(lines.a_rod, lines.to_cut - number * lines.a_rod)
        pieces += [_bar(place * length, (place + 1) * length, -number, width) for place in range(here)]
        if rod - here * length > 1e-6 * rod:
            rests.append(_bar(here * length, rod, -number, width))
    metres, thick = show.text(lines.metres, "length"), show.text(lines.drawn_from, "length")
    more = f" (the first {drawn} are drawn)" if drawn < lines.rods else ""
    each = show.text(lines.line, "length")
    return style.picture(
        [
            style.pane(
                [
                    style.body("glass", *np.concatenate(pieces, axis=1)),
                    style.body("offcut", *(np.concatenate(rests, axis=1) if rests else np.empty((2, 0)))),
                ],
                x=style.axis(f"along the rod ({show.symbol('length')})", 0, rod),
                y=style.axis("", -_MOST_RODS + 0.5, 0.8, visible=False),
                height=400,
                margin={"l": 16, "r": 16, "t": 8, "b": 64},
            )
        ],
        f"For {lines.lines} lines of {each} cut {lines.to_cut}, {lines.a_rod} from a rod: "
        f"{lines.rods} rods{more}. That is {metres} of stringer, drawn out of {thick} of thick rod.",
        [
            style.reading(
                f"{lines.rods} rods", f"of {show.text(lines.rod, 'length')}, {lines.a_rod} lines each"
            ),
            style.reading(metres, f"of stringer in {lines.to_cut} pieces; {lines.lines} are wanted"),
            style.reading(thick, "of thick rod, if you draw it yourself"),
        ],
    )


def _bar(left: float, right: float, middle: float, width: float) -> np.ndarray:
    low, high = middle - width / 2, middle + width / 2
    return np.array([[left, right, right, left, left, np.nan], [low, low, high, high, low, np.nan]])
