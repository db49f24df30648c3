"""The picture of lesson 1's polariscope, and the colours that retardation has in daylight."""

import base64
import struct
import zlib
from functools import lru_cache

import numpy as np

from kilncalc.figures import style
from kilncalc.polariscope import FULL_WAVE, interference_colour
from kilncalc.quantities import Show
from kilncalc.testpieces import Seen

POINT = 1e-7
"""One point of the number on a label [1/K]."""

CHART_END = 1200e-9
"""Where the colour chart beside a picture ends [m]."""


def points_text(difference: float) -> str:
    """Return a difference of expansion [1/K] in points, with its sign."""
    return f"{difference / POINT:+.1f} points".replace("-", "\u2212")


def png_address(picture: np.ndarray) -> str:
    """Return a picture, uint8 (rows, columns, 3), as the address of a PNG that a web page shows.

    Each row is stored as its difference from the row above (filter 2), which smooth pictures like.
    """
    rows, columns, _ = picture.shape
    flat = picture.reshape(rows, -1)
    lines = np.full((rows, 1 + 3 * columns), 2, dtype=np.uint8)
    lines[:, 1:] = flat
    lines[1:, 1:] -= flat[:-1]

    def chunk(kind: bytes, content: bytes) -> bytes:
        return (
            struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))
        )

    header = struct.pack(">2I5B", columns, rows, 8, 2, 0, 0, 0)
    packed = zlib.compress(lines.tobytes(), 1)
    file = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", packed) + chunk(b"IEND", b"")
    return "data:image/png;base64," + base64.b64encode(file).decode("ascii")


@lru_cache(maxsize=8)
def colour_chart(end: float, plate: float) -> str:
    """Return the colours from no retardation to `end` [m] as a PNG address: with a plate one row where
    retardation adds to it and one below where it subtracts."""
    delta = np.linspace(0.0, end, 401)
    rows = np.stack([interference_colour(delta, plate), interference_colour(-delta, plate)]).repeat(
        12, axis=0
    )
    return png_address(np.rint(255 * rows).astype(np.uint8))


def placed(source: str, x: float, y: float, width: float, height: float) -> dict[str, object]:
    """Return a layout image with its upper left corner at x, y on the axes of its pane."""
    return {
        "source": source,
        "xref": "x",
        "yref": "y",
        "x": x,
        "y": y,
        "sizex": width,
        "sizey": height,
        "sizing": "stretch",
        "layer": "below",
    }


WHERE = {
    "chip": "in the clear just outside the chip",
    "strip": "along the middle line of the strip",
    "spot": "in the clear just outside the spot",
    "edges": "in the lower bar, at the joint",
}
"""Where the largest retardation is read."""

_TELLS = {
    "chip": "The chip itself stays dark; its halo is all there is to see.",
    "strip": "The strip lights up, and the clear beyond its ends; at 0° its corners do.",
    "spot": "The spot itself is dark: its stress is the same in every direction, whatever its size.",
    "edges": "Upper bar: badly annealed, bright faces and two dark lines. Lower bar: badly matched, "
    "brightest at the joint.",
}
_TELLS_WITH_PLATE = (
    "With the plate no stress is violet; tension along the dotted line turns it blue, across it orange."
)


def between_polarisers(seen: Seen, show: Show) -> style.Figure:
    """Return what is seen between crossed polarisers, a chart of the colours, and the polarisers."""
    light = show.text(seen.retardation, "length", like=FULL_WAVE)
    with_plate = " with the full-wave plate" if seen.plate else ""
    return style.picture(
        [_view(seen), _light(seen, show)],
        f"{_piece(seen, show)}, colour {points_text(seen.difference)} against clear, polariser at "
        f"{seen.polariser:.0f}°{with_plate}: up to {light} of retardation {WHERE[seen.test]}. "
        f"{_TELLS_WITH_PLATE if seen.plate else _TELLS[seen.test]}",
        [
            style.reading(
                light,
                f"of retardation at most, {WHERE[seen.test]}; a turn of {seen.turn:.0f}° darkens it",
                "first",
            ),
            style.reading(
                show.text(seen.hidden, "pressure"),
                "the largest tension in it; light need not show it",
                "over" if seen.share_of_limit > 1 else "plain",
            ),
        ],
    )


def _piece(seen: Seen, show: Show) -> str:
    size = {name: show.text(metres, "length") for name, metres in vars(seen.sizes).items()}
    chip, spot = (
        show.text(2 * radius, "length") for radius in (seen.sizes.chip_radius, seen.sizes.spot_radius)
    )
    return {
        "chip": f"A chip {chip} across and {size['chip_thickness']} thick on a clear base of "
        f"{size['base_thickness']}",
        "strip": f"A strip {size['strip_length']} long let into a clear sheet of {size['sheet_thickness']}",
        "spot": f"A spot {spot} across through a clear sheet of {size['sheet_thickness']}",
        "edges": f"Left ends of two bars {size['bar_thickness']} thick, looking through {size['bar_width']} "
        "of glass",
    }[seen.test]


_SQUARE = {"visible": False, "fixedrange": True, "constrain": "domain"}


def _view(seen: Seen) -> style.Pane:
    above, below = "badly annealed \u2191", "badly matched \u2193"
    return style.pane(
        [style.line(*seen.outline, {"color": style.GRID, "width": 1.5, "dash": "dot"})],
        x={**_SQUARE, "range": [0, 1]},
        y={**_SQUARE, "range": [0, 1], "scaleanchor": "x"},
        images=[placed(png_address(seen.picture), 0, 1, 1, 1)],
        annotations=[
            style.label(
                0.5,
                0.5,
                f"{above}   {below}",
                style.PAPER,
                xanchor="center",
                yanchor="middle",
                bgcolor=style.INK,
                visible=seen.test == "edges",
            )
        ],
        height=360,
        margin={"l": 4, "r": 4, "t": 4, "b": 4},
    )


def _light(seen: Seen, show: Show) -> style.Pane:
    """The polarisers as they stand, and below them the colours that retardation has."""
    angle, turn = np.radians(seen.polariser), np.linspace(0.0, 2 * np.pi, 61)
    c, s = np.cos(angle), np.sin(angle)
    slow = np.sqrt(0.5) * np.array([c + s, s - c])
    dial = {"xaxis": "x2", "yaxis": "y2"}
    end = show.number(CHART_END, "length", like=FULL_WAVE)
    here = show.number(min(seen.retardation, CHART_END), "length", like=FULL_WAVE)
    rows = ("adds to the plate", "subtracts from it") if seen.plate else ("", "")
    return style.pane(
        [
            style.marks([here], [1.2]),
            style.line(np.cos(turn), np.sin(turn), {"color": style.QUIET, "width": 1}, **dial),
            style.line([-c, c], [-s, s], {**style.COMPUTED, "color": style.FIRST}, **dial),
            style.line([s, -s], [-c, c], {"dash": "dash", "width": 3, "color": style.SECOND}, **dial),
            style.line(
                [-slow[0], slow[0]],
                [-slow[1], slow[1]],
                {"dash": "dot", "width": 3, "color": style.THIRD},
                visible=bool(seen.plate),
                **dial,
            ),
        ],
        x=style.axis(
            f"retardation ({show.symbol('length', like=FULL_WAVE)})", 0, end, showgrid=False, nticks=5
        ),
        y={"range": [0, 1.4], "visible": False, "fixedrange": True, "domain": [0.0, 0.45]},
        xaxis2={"visible": False, "fixedrange": True, "range": [-1.1, 4.1], "anchor": "y2"},
        yaxis2={
            **_SQUARE,
            "range": [-1.1, 1.1],
            "domain": [0.58, 1.0],
            "scaleanchor": "x2",
            "anchor": "x2",
        },
        images=[placed(colour_chart(CHART_END, seen.plate), 0, 1, end, 1)],
        annotations=[
            style.label(
                1.4,
                0,
                "polariser solid<br>analyser dashed" + ("<br>plate dotted" if seen.plate else ""),
                xref="x2",
                yref="y2",
                xanchor="left",
                yanchor="middle",
            ),
            *(
                style.label(
                    end,
                    height,
                    words,
                    style.PAPER,
                    xanchor="right",
                    yanchor="middle",
                    bgcolor=style.INK,
                    visible=bool(words),
                )
                for height, words in zip((0.75, 0.25), rows, strict=True)
            ),
        ],
        height=360,
        margin={"l": 16, "r": 24, "t": 8, "b": 64},
    )
