"""A picture of a course: what lies on a shelf, and how often the kiln is fired for each process."""

from kilncalc.figures import style
from kilncalc.figures._shapes import bare_axis, box, count, shape, to_scale
from kilncalc.quantities import Show
from kilncalc.workshop import Course, Load

WIDEST = 0.62, 0.52
"""Length and width of the largest shelf for which there is room [m]."""

MOST_FIRINGS = 20
"""As many firings of one process are drawn."""


def course(found: Course, show: Show) -> style.Figure:
    """Return the first shelf of the fullest load to scale, and a bar of firings for each load."""
    fullest = max(found.loads, key=lambda load: load.most)
    crushed, each = show.text(found.frit_crushed, "mass"), show.text(found.frit_each, "mass")
    sheets, weeks = count(len(found.sheets.sheets), "sheet"), count(found.weeks, "week")
    meter = f"{found.kilowatt_hours:.0f} kWh"
    kit = f"each with a kit of {count(found.blanks_each, 'blank')} and {each} of frit"
    caption = (
        f"{count(found.students, 'student')}, {kit}. In all {found.blanks_cut} blanks from {sheets}, "
        f"breakage included, and {crushed} of glass to crush. {count(found.firings, 'firing')} in {weeks}, "
        f"{meter}; sheets and energy cost {found.cost:.0f}."
    )
    readings = [
        style.reading(count(found.firings, "firing"), f"in {weeks}", "first"),
        style.reading(count(found.blanks_cut, "blank"), f"to cut from {sheets}"),
        style.reading(crushed, "of glass to crush for frit"),
        style.reading(meter, f"and glass: {found.cost:.0f} in all", "quiet"),
    ]
    return style.picture([_shelf(fullest, show), _firings(found)], caption, readings)


def _shelf(load: Load, show: Show) -> style.Pane:
    first = load.shelves.sheets[0]
    length, width = first.stock.length, first.stock.width
    return style.pane(
        [
            shape("mould", [box(0.0, length, 0.0, width)], show),
            shape(
                "glass",
                [box(one.x, one.x + one.length, one.y, one.y + one.width) for one in first.blanks],
                show,
            ),
        ],
        x=bare_axis(-0.01, WIDEST[0], show),
        y=to_scale(bare_axis(-0.01, WIDEST[1] + 0.05, show)),
        annotations=[
            style.label(
                show.number(length / 2, "length"),
                show.number(width + 0.03, "length"),
                f"{count(len(first.blanks), 'piece')} on the shelf, {load.process}",
                xanchor="center",
                yanchor="middle",
            )
        ],
        height=320,
        margin={"l": 8, "r": 8, "t": 8, "b": 8},
    )


def _firings(found: Course) -> style.Pane:
    traces, notes = [], []
    for place, load in enumerate(reversed(found.loads)):
        low, high = place - 0.2, place + 0.12
        for number in range(min(load.firings, MOST_FIRINGS)):
            left, right = number + 0.08, number + 0.92
            traces.append(style.body("glass", [left, right, right, left, left], [low, low, high, high, low]))
        words = f"{load.process}: {load.firings}, {' and '.join(load.pieces)}"
        notes.append(style.label(0.0, place + 0.32, words, xanchor="left", yanchor="middle"))
    return style.pane(
        traces,
        x=style.axis("firings", 0, MOST_FIRINGS, dtick=5),
        y=style.axis("", -0.6, 4.6, showticklabels=False, showgrid=False, ticks="", zeroline=False),
        annotations=notes,
        height=320,
        margin={"l": 16, "r": 16, "t": 8, "b": 64},
    )
