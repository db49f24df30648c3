"""The picture of lesson 1's polariscope, and the colours that retardation has in daylight."""

import base64
import struct
import zlib
from functools import lru_cache

import numpy as np

from kilncalc.compatibility import interference_colour
from kilncalc.figures import style

CHART_END = 1200.0
"""Where the colour chart beside the picture ends [nm]."""


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
    """Return the colours from no retardation to `end` [nm] as a PNG address: with a plate one row where
    retardation adds to it and one below where it subtracts."""
    delta = np.linspace(0.0, end * 1e-9, 401)
    rows = np.stack([interference_colour(delta, plate), interference_colour(-delta, plate)]).repeat(
        12, axis=0
    )
    return png_address(np.rint(255 * rows).astype(np.uint8))


def placed(source: str, x: float, y: float, width: float, height: float, axes: str) -> dict[str, object]:
    """Return a layout image with its upper left corner at x, y on the axes "", "2", "3" ..."""
    return {
        "source": source,
        "xref": f"x{axes}",
        "yref": f"y{axes}",
        "x": x,
        "y": y,
        "sizex": width,
        "sizey": height,
        "sizing": "stretch",
        "layer": "below",
    }


def between_polarisers(
    *,
    picture: np.ndarray,
    outline: tuple[np.ndarray, np.ndarray],
    between: str,
    polariser: float,
    plate: float,
    largest: float,
    headline: str,
    tells: str,
    caption: str,
) -> style.Figure:
    """Return what is seen between crossed polarisers, the polarisers themselves, and a chart of the colours.

    `outline` of the pieces in shares of the picture (not-a-number lifts the pen), words `between` an upper
    and a lower piece, `largest` retardation [m], `plate` [m], `polariser` [degree].
    """
    nanometres = largest * 1e9
    on_chart = min(nanometres, CHART_END)
    angle = np.radians(polariser)
    c, s = np.cos(angle), np.sin(angle)
    round_the_clock = np.linspace(0.0, 2 * np.pi, 61)
    edge = {"color": style.GRID, "width": 1.5, "dash": "dot"}
    return style.figure(
        [
            style.line(*outline, edge),
            style.line(
                np.cos(round_the_clock),
                np.sin(round_the_clock),
                {"color": style.QUIET, "width": 1},
                xaxis="x2",
                yaxis="y2",
            ),
            style.line([-c, c], [-s, s], {**style.COMPUTED, "color": style.FIRST}, xaxis="x2", yaxis="y2"),
            style.line(
                [s, -s], [-c, c], {"dash": "dash", "width": 3, "color": style.SECOND}, xaxis="x2", yaxis="y2"
            ),
            style.line(
                [-(c + s), c + s] * np.sqrt([0.5, 0.5]),
                [c - s, s - c] * np.sqrt([0.5, 0.5]),
                {"dash": "dot", "width": 3, "color": style.THIRD},
                xaxis="x2",
                yaxis="y2",
                visible=bool(plate),
            ),
            style.marks([on_chart], [1.2], xaxis="x3", yaxis="y3"),
        ],
        caption,
        margin={"l": 10, "r": 30, "t": 16, "b": 64},
        images=[
            placed(png_address(picture), 0, 1, 1, 1, ""),
            placed(colour_chart(CHART_END, plate), 0, 1, CHART_END, 1, "3"),
        ],
        xaxis={"domain": [0.0, 0.327], "range": [0, 1], "visible": False, "fixedrange": True},
        yaxis={"domain": [0.0, 1.0], "range": [0, 1], "visible": False, "fixedrange": True},
        xaxis2={"domain": [0.87, 0.99], "range": [-1.1, 1.1], "visible": False, "fixedrange": True},
        yaxis2={
            "domain": [0.63, 0.98],
            "range": [-1.1, 1.1],
            "visible": False,
            "fixedrange": True,
            "anchor": "x2",
        },
        xaxis3=style.axis("retardation (nm)", 0, CHART_END, domain=[0.42, 1.0], anchor="y3", showgrid=False),
        yaxis3={
            "domain": [0.0, 0.24],
            "range": [0, 1.4],
            "visible": False,
            "anchor": "x3",
            "fixedrange": True,
        },
        annotations=[
            style.words(0.42, 1.0, f"<b>{nanometres:.0f} nm</b>", 34),
            style.words(0.42, 0.83, headline, 18),
            style.words(0.42, 0.60, tells, 16),
            style.words(
                0.865, 0.60, "polariser solid,<br>analyser dashed" + (",<br>plate dotted" if plate else "")
            ),
            style.label(
                0.5,
                0.5,
                between,
                style.PAPER,
                xanchor="center",
                yanchor="middle",
                bgcolor=style.INK,
                visible=bool(between),
            ),
            style.label(
                -0.01,
                0.5,
                "adds<br>subtracts" if plate else "colour",
                xref="x3 domain",
                yref="y3",
                xanchor="right",
                align="right",
            ),
        ],
    )
