"""The one visual language of all pictures: colours, lines, markers and how each material is drawn.

Meaning never hangs on colour alone: computed curves are solid, reference values dashed, limits dotted;
each material has its own fill pattern; curves carry their name beside them instead of in a legend.
DEVELOPERS.md, "Visual language", says the same in words.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from kilncalc._ranges import ArrayLike

Trace = dict[str, Any]
Pane = dict[str, Any]
Reading = dict[str, str]
Table = dict[str, Any]
Figure = dict[str, Any]
"""A trace and a pane in plotly's plain form, as `plotly.graph_objects.Figure` takes it. A figure is its
panes, the readings beside them and a caption: plain data, which the page lays out for its width."""

WIDTH = 1080
HEIGHT = 400
FONT = "Arial, Helvetica, 'Liberation Sans', sans-serif"
TEXT_SIZE = 16

PAPER = "#ffffff"
INK = "#1f2a36"
QUIET = "#5b6670"
GRID = "#dde2e6"

FIRST = "#14507f"
SECOND = "#b0480c"
THIRD = "#7d3f8c"
"""Curves in order of importance: dark blue, rust, plum. Never more than three in one picture."""

COMPUTED: dict[str, Any] = {"dash": "solid", "width": 3}
REFERENCE: dict[str, Any] = {"dash": "dash", "width": 2, "color": QUIET}
LIMIT: dict[str, Any] = {"dash": "dot", "width": 3, "color": SECOND}
TONES = {"plain": INK, "quiet": QUIET, "first": FIRST, "second": SECOND, "third": THIRD, "over": SECOND}
"""What a reading is about: a curve in its colour, or a value over a limit."""

CUT: dict[str, Any] = {"dash": "dashdot", "width": 2, "color": INK}
"""Lines: ours solid; a published value or a rule of thumb dashed; a limit dotted; a cut dash-dot."""

MARK_COMPUTED: dict[str, Any] = {"symbol": "circle", "size": 12, "color": FIRST}
MARK_PUBLISHED: dict[str, Any] = {
    "symbol": "diamond-open",
    "size": 14,
    "color": INK,
    "line": {"width": 3, "color": INK},
}
MARK_WORST: dict[str, Any] = {"symbol": "x", "size": 14, "color": SECOND}
"""Markers: ours a full disc; a published value an open diamond; the worst moment or place a cross."""


THICKNESS: list[list[Any]] = [[0.0, "#e9f3f5"], [1.0, "#5f98a8"]]
TENSION: list[list[Any]] = [[0.0, "#ffffff"], [0.33, "#f3bd97"], [0.67, "#c8601a"], [1.0, "#6d2500"]]
"""What a map is coloured with, from its least to its most: darker is thicker, darker pulls harder."""


def _pattern(shape: str, size: int, solidity: float, colour: str) -> dict[str, Any]:
    return {"shape": shape, "size": size, "solidity": solidity, "fgcolor": colour, "fillmode": "overlay"}


MATERIALS: dict[str, dict[str, Any]] = {
    "glass": {"fillcolor": "#a9d0da", "line": {"color": FIRST, "width": 2}},
    "second glass": {
        "fillcolor": "#e6b98d",
        "line": {"color": SECOND, "width": 2},
        "fillpattern": _pattern("\\", 12, 0.1, SECOND),
    },
    "frit": {
        "fillcolor": "#e4f1f4",
        "line": {"color": FIRST, "width": 1, "dash": "dash"},
        "fillpattern": _pattern(".", 9, 0.45, FIRST),
    },
    "mould": {
        "fillcolor": "#efe9dc",
        "line": {"color": "#6b6252", "width": 2},
        "fillpattern": _pattern("/", 10, 0.12, "#6b6252"),
    },
    "paper": {
        "fillcolor": "#faf4e3",
        "line": {"color": "#857a63", "width": 1, "dash": "dot"},
        "fillpattern": _pattern("-", 5, 0.2, "#b7ab8f"),
    },
    "offcut": {
        "fillcolor": PAPER,
        "line": {"color": QUIET, "width": 2},
        "fillpattern": _pattern("/", 16, 0.06, QUIET),
    },
    "shelf": {"fillcolor": "#8b9299", "line": {"color": INK, "width": 1}},
    "water": {
        "fillcolor": "#dcebf8",
        "line": {"color": "#3c78ad", "width": 1},
        "fillpattern": _pattern("-", 14, 0.1, "#3c78ad"),
    },
    "wax": {
        "fillcolor": "#f6e7b4",
        "line": {"color": "#8a6d12", "width": 2},
        "fillpattern": _pattern("x", 12, 0.1, "#8a6d12"),
    },
}
"""How each material is drawn: fill, outline and a pattern that survives grey printing."""


def body(material: str, x: ArrayLike, y: ArrayLike, **keywords: Any) -> Trace:
    """Return the outline `x`, `y` filled the way `material` is always drawn."""
    return scatter(x, y, mode="lines", fill="toself", hoverinfo="skip", **MATERIALS[material], **keywords)


def curve(x: ArrayLike, y: ArrayLike, name: str, colour: str = FIRST, **keywords: Any) -> Trace:
    """Return a computed curve: solid, named, with its values shown under the pointer."""
    return scatter(x, y, **{"mode": "lines", "line": {**COMPUTED, "color": colour}, "name": name, **keywords})


def band(x: ArrayLike, y: ArrayLike, **keywords: Any) -> Trace:
    """Return the outline of all that a curve may be, as what is not known leaves it."""
    look: dict[str, Any] = {"fill": "toself", "fillcolor": QUIET, "line": {"width": 0}, "opacity": 0.25}
    return scatter(x, y, mode="lines", hoverinfo="skip", name="likely", **look, **keywords)


def line(x: ArrayLike, y: ArrayLike, look: dict[str, Any] = REFERENCE, **keywords: Any) -> Trace:
    """Return a line that is no computed curve: `REFERENCE`, `LIMIT` or another line's look."""
    return scatter(x, y, mode="lines", line=look, hoverinfo="skip", **keywords)


def marks(x: ArrayLike, y: ArrayLike, look: dict[str, Any] = MARK_COMPUTED, **keywords: Any) -> Trace:
    """Return markers: `MARK_COMPUTED`, `MARK_PUBLISHED`, `MARK_WORST` or another look."""
    return scatter(x, y, **{"mode": "markers", "marker": look, "hoverinfo": "skip", **keywords})


def scatter(x: ArrayLike, y: ArrayLike, **keywords: Any) -> Trace:
    """Return a scatter trace, as all of ours are."""
    return {"type": "scatter", "x": x, "y": y, "showlegend": False, **keywords}


def axis(title: str, low: float, high: float, **keywords: Any) -> dict[str, Any]:
    """Return an axis with a title that carries the unit and a fixed range, so that nothing jumps."""
    return {
        "title": {"text": title, "font": {"size": TEXT_SIZE}, "standoff": 15},
        "range": [low, high],
        "tickfont": {"size": TEXT_SIZE},
        "gridcolor": GRID,
        "zerolinecolor": GRID,
        "zerolinewidth": 2,
        "linecolor": QUIET,
        "showline": True,
        "ticks": "outside",
        "tickcolor": QUIET,
        "fixedrange": True,
        "automargin": False,
        "ticklabeloverflow": "allow",  # measuring each number for it takes a tenth of the time of drawing
        **keywords,
    }


def label(x: float, y: float, text: str, colour: str = INK, **keywords: Any) -> dict[str, Any]:
    """Return words standing in the picture, at data coordinates unless said otherwise."""
    return {
        "x": x,
        "y": y,
        "text": text,
        "showarrow": False,
        "font": {"size": TEXT_SIZE, "color": colour},
        "align": "left",
        **keywords,
    }


def reading(value: str, says: str, tone: str = "plain") -> Reading:
    """Return a large value with its unit and, below it, what it is; `tone` is a key of `TONES`."""
    return {"value": value, "says": says, "colour": TONES[tone]}


def pane(
    traces: Sequence[Trace],
    *,
    x: dict[str, Any],
    y: dict[str, Any],
    annotations: Sequence[dict[str, Any]] = (),
    height: int = HEIGHT,
    share: float = 1.0,
    least: int = 320,
    margin: dict[str, int] | None = None,
    **layout: Any,
) -> Pane:
    """Return one plot with its axes; panes stand side by side, or under each other where the page is narrow.

    `share` is how much of the width it takes beside others, `least` the width [px] below which it moves under
    them; `height` is in px. The width is the page's.
    """
    return {
        "share": share,
        "least": least,
        "data": list(traces),
        "layout": {
            "height": height,
            "autosize": True,
            "margin": margin or {"l": 72, "r": 16, "t": 16, "b": 64},
            "font": {"family": FONT, "size": TEXT_SIZE, "color": INK},
            "paper_bgcolor": PAPER,
            "plot_bgcolor": PAPER,
            "showlegend": False,
            "hoverlabel": {"font": {"size": TEXT_SIZE}},
            "xaxis": x,
            "yaxis": y,
            **({"annotations": list(annotations)} if annotations else {}),
            **layout,
        },
    }


def table(
    head: Sequence[str], rows: Sequence[Sequence[str]], links: Mapping[str, str] | None = None
) -> Table:
    """Return words in rows under a head; the last column is the wide one.

    A cell whose words are in `links` leads to the page of that address.
    """
    return {"head": list(head), "rows": [list(row) for row in rows], "links": dict(links or {})}


def picture(
    panes: Sequence[Pane], caption: str, readings: Sequence[Reading] = (), rows: Table | None = None
) -> Figure:
    """Return a figure; `caption` says in one or two sentences, with numbers, what it shows.

    `rows` is a `table` below the panes, where what is shown is a list.
    """
    return {"panes": list(panes), "readings": list(readings), "table": rows, "caption": caption}
