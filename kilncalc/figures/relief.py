"""Pictures of a piece with a pattern: maps of its thickness and of what pulls it, moment by moment."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from kilncalc import patterned
from kilncalc.figures import style
from kilncalc.figures.slab import stress_text
from kilncalc.piece import ReliefMap
from kilncalc.quantities import Show

_TALL, _LOW = 340, 340  # px, a map alone and maps beside each other
_MARGIN = {"l": 72, "r": 16, "t": 46, "b": 60}
_OVER = 1.5  # the key of a map of tension ends at so many times what is allowed
_LEVELS = 2  # lines of equal thickness over a map of tension


def thickness(piece: patterned.Pattern, show: Show) -> style.Figure:
    """Return the map of thickness, darker where it is thicker, the shapes numbered as in their list."""
    relief = piece.relief
    thin, thick = float(relief.thickness.min()), float(relief.thickness.max())
    size = f"{show.text(relief.width, 'length')} by {show.text(relief.height, 'length')}"
    cell = show.text(relief.cell, "length")
    even = thick - thin < 1e-6
    range_ = show.text(thin, "length") if even else " to ".join(show.text(t, "length") for t in (thin, thick))
    caption = f"The piece is {size} and {range_} thick, counted in cells of {cell}."
    caption += "".join(_hangs_over(piece, show)) + _too_fine(piece, show)
    return style.picture([_thickness_map(piece, show, _TALL)], caption)


def fired(result: patterned.Fired, show: Show) -> style.Figure:
    """Return tension at the worst moment of heating and of cooling, the place marked, and shape by shape."""
    limit, may_stay = (
        stress_text(value, show) for value in (result.allowed_tension, result.allowed_residual)
    )
    up, down, stays = result.worst_heating, result.worst_cooling, result.stays
    pull, left = stress_text(up.peak, show), stress_text(stays.peak, show)
    likely, likely_stays = (one.words(show) for one in (result.likely, result.likely_stays))
    caption = (
        f"Heated at {_rate(result.rate, show)}, it is pulled most at {show.text(up.air, 'temperature')}, "
        f"{_place(result, up, show)}: with {pull} (likely {likely}); the limit is {limit}. "
    )
    if down.peak > stays.peak:
        caption += (
            f"Cooled at {_rate(result.cooling_rate, show)}, it is pulled most at "
            f"{show.text(down.air, 'temperature')}, with {stress_text(down.peak, show)}, and keeps {left} "
            f"(likely {likely_stays})"
        )
    else:
        caption += (
            f"Cooled at {_rate(result.cooling_rate, show)}, it is pulled most when it is cold, "
            f"{_place(result, down, show)}: it keeps {left} (likely {likely_stays})"
        )
    caption += f"; {may_stay} may stay." + _too_fine(result.pattern, show)
    return style.picture(
        [
            _tension_map(result, up, result.allowed_tension, "worst of heating", show, True),
            _tension_map(result, down, result.allowed_residual, "worst of cooling", show),
        ],
        caption,
        [
            style.reading(
                pull,
                f"heated; likely {likely}",
                "over" if up.peak > result.allowed_tension else "first",
            ),
            style.reading(
                left,
                f"stays; likely {likely_stays}",
                "over" if stays.peak > result.allowed_residual else "first",
            ),
        ],
        _shape_by_shape(result, show),
    )


def through_time(result: patterned.At, show: Show) -> style.Figure:
    """Return the map at one moment and, below, the largest tension of the map from moment to moment."""
    whole, now = result.fired, result.now
    limit, may_stay = (stress_text(value, show) for value in (whole.allowed_tension, whole.allowed_residual))
    pull, air = stress_text(now.peak, show), show.text(now.air, "temperature")
    after = show.text(now.time, "time")
    place = _place(whole, now, show)
    if result.cold:
        caption = (
            f"Cold: {pull} stay, {place} (likely {whole.likely_stays.words(show)}); {may_stay} may stay."
        )
    elif result.heated:
        caption = (
            f"Going up, after {after} the kiln has {air}: the piece is pulled with up to {pull}, {place}. "
            f"The worst of the way up is {stress_text(whole.worst_heating.peak, show)} "
            f"(likely {whole.likely.words(show)}); the limit is {limit}."
        )
    else:
        caption = (
            f"Coming down, {after} after it left the annealing point the kiln has {air}: the piece is pulled "
            f"with up to {pull}, {place}. In the end {stress_text(whole.stays.peak, show)} stay "
            f"(likely {whole.likely_stays.words(show)}); {may_stay} may stay."
        )
    allowed = whole.allowed_tension if result.heated else whole.allowed_residual
    return style.picture(
        [
            _tension_map(whole, now, allowed, "going up" if result.heated else "coming down", show),
            _course(result, show),
        ],
        caption,
        [
            style.reading(air, "the kiln, going up" if result.heated else "the kiln, coming down"),
            style.reading(pull, "pulls the piece at the cross" if not result.cold else "stays", "second"),
        ],
    )


def compared(result: patterned.Compared, show: Show) -> style.Figure:
    """Return two pieces side by side at the worst moment of heating, with their numbers."""
    one, other = result.before, result.after
    pulls = [stress_text(each.worst_heating.peak, show) for each in (one, other)]
    stays = [stress_text(each.stays.peak, show) for each in (one, other)]
    likely = [each.likely.words(show) for each in (one, other)]
    likely_stays = [each.likely_stays.words(show) for each in (one, other)]
    limit, may_stay = (stress_text(value, show) for value in (one.allowed_tension, one.allowed_residual))
    caption = (
        f"As it is, heating pulls with {pulls[0]} (likely {likely[0]}), changed with {pulls[1]} (likely "
        f"{likely[1]}): {100 * result.heating:.0f} % of that; the limit is {limit}. Cooling leaves "
        f"{stays[0]} (likely {likely_stays[0]}) and {stays[1]} (likely {likely_stays[1]}): "
        f"{100 * result.stays:.0f} %; {may_stay} may stay."
    )
    return style.picture(
        [
            _tension_map(each, each.worst_heating, one.allowed_tension, name, show)
            for each, name in ((one, "as it is, worst of heating"), (other, "changed, worst of heating"))
        ],
        caption,
        [
            style.reading(pulls[0], f"as it is; {stays[0]} stay", "plain"),
            style.reading(
                pulls[1],
                f"changed; {stays[1]} stay",
                "over" if other.worst_heating.peak > other.allowed_tension else "first",
            ),
        ],
    )


def tray(result: patterned.Tray, show: Show) -> style.Figure:
    """Return the relief tray, solid, as a map; loose and solid as numbers beside the limit."""
    solid, loose = result.solid, result.loose
    up, stays = solid.worst_heating, solid.stays
    limit, may_stay = (stress_text(value, show) for value in (solid.allowed_tension, solid.allowed_residual))
    pulls = stress_text(loose.value, show), stress_text(up.peak, show)
    left = stress_text(stays.peak, show)
    likely = loose.words(show), solid.likely.words(show), solid.likely_stays.words(show)
    caption = (
        f"In its first firing, loose, the tray's sheets are pulled with {pulls[0]} (likely {likely[0]}); in "
        f"every later one, solid, the tray with {pulls[1]} (likely {likely[1]}), most at "
        f"{show.text(up.air, 'temperature')}, {_place(solid, up, show)}; the limit is {limit}. Cooled at "
        f"{_rate(solid.cooling_rate, show)}, it keeps {left} (likely {likely[2]}); {may_stay} may stay."
    )
    return style.picture(
        [
            _thickness_map(solid.pattern, show, _LOW),
            _tension_map(solid, up, solid.allowed_tension, "solid, worst of heating", show),
        ],
        caption,
        [
            style.reading(value, f"{says}; likely {bar}", "over" if number > allowed else tone)
            for value, says, bar, number, allowed, tone in (
                (pulls[0], "first firing, loose", likely[0], loose.value, solid.allowed_tension, "third"),
                (pulls[1], "later, solid", likely[1], up.peak, solid.allowed_tension, "first"),
                (left, "stays after cooling", likely[2], stays.peak, solid.allowed_residual, "plain"),
            )
        ],
    )


# ------------------------------------------------------------------ what these pictures share


def _rate(rate: float, show: Show) -> str:
    return show.text(rate, "rate")


def _place(result: patterned.Fired, now: patterned.Instant, show: Show) -> str:
    """Return where a moment's largest tension is, in words."""
    x, y = now.place
    thick = show.text(result.thickness_at(now.place), "length")
    left, low = (show.text(one, "length") for one in (x, y))
    return f"{left} from the left and {low} from the lower edge, where it is {thick} thick"


def _too_fine(piece: patterned.Pattern, show: Show) -> str:
    fine = piece.too_fine
    if not fine:
        return ""
    names = ", ".join(f"{number} {one.name}" for number, one in enumerate(piece.shapes, 1) if one in fine)
    return f" Narrower than a cell, and only roughly in it: {names}; finer cells show it better."


def _hangs_over(piece: patterned.Pattern, show: Show) -> list[str]:
    return [f" The {name} hangs over the rim: {show.text(area, 'area')} cut off." for name, area in piece.cut]


def _shape_by_shape(result: patterned.Fired, show: Show) -> style.Table | None:
    rows = [
        [f"{number} {one.name}", stress_text(one.heating, show), stress_text(one.stays, show)]
        for number, one in enumerate(result.shape_by_shape(), 1)
    ]
    if not rows:
        return None
    bare = result.bare()
    rows.append([bare.name, stress_text(bare.heating, show), stress_text(bare.stays, show)])
    return style.table(["shape by shape", "heated: up to", "stays"], rows)


def _middles(relief: ReliefMap, show: Show) -> tuple[np.ndarray, np.ndarray]:
    """Return the middles of columns and rows, as numbers for a plot."""
    rows, columns = relief.shape
    x, y = ((np.arange(count) + 0.5) * relief.cell for count in (columns, rows))
    return np.asarray(show.number(x, "length")), np.asarray(show.number(y, "length"))


def _map(
    relief: ReliefMap,
    values: np.ndarray,
    ends: tuple[float, float],
    dimension: str,
    colours: list[list[Any]],
    show: Show,
) -> style.Trace:
    """Return a map as coloured cells with its key above."""
    x, y = _middles(relief, show)
    numbers = np.asarray(show.number(values, dimension))
    low, high = (float(show.number(one, dimension)) for one in ends)
    return {
        "type": "heatmap",
        "x": x,
        "y": y,
        "z": [[float(f"{one:.4g}") for one in row] for row in numbers.tolist()],
        "zmin": low,
        "zmax": high,
        "colorscale": colours,
        "hovertemplate": f"%{{z}} {show.symbol(dimension)}<extra></extra>",
        "colorbar": {
            "orientation": "h",
            "x": 0.5,
            "y": 1.0,
            "yref": "container",  # in the margin; else it asks for as much again
            "xanchor": "center",
            "yanchor": "top",
            "len": 0.9,
            "xpad": 0,
            "ypad": 2,
            "thickness": 12,
            "nticks": 5,
            "outlinewidth": 1,
            "outlinecolor": style.QUIET,
            "tickfont": {"size": style.TEXT_SIZE},
            "ticklabeloverflow": "allow",  # else the last number goes, and with it the unit
            "ticksuffix": f" {show.symbol(dimension)}",
            "showticksuffix": "last",
        },
    }


def _steps(relief: ReliefMap, show: Show) -> list[style.Trace]:
    """Return lines of equal thickness; none where the piece is even."""
    thin, thick = float(relief.thickness.min()), float(relief.thickness.max())
    if thick - thin < 1e-5:
        return []
    x, y = _middles(relief, show)
    step = (thick - thin) / _LEVELS
    return [
        {
            "type": "contour",
            "x": x,
            "y": y,
            "z": np.round(relief.thickness, 6).tolist(),
            "contours": {
                "coloring": "none",
                "start": thin + step / 2,
                "end": thick - step / 2,
                "size": step,
                "showlabels": False,
            },
            "line": {"color": style.INK, "width": 1, "smoothing": 0},
            "autocontour": False,
            "showscale": False,
            "showlegend": False,
            "hoverinfo": "skip",
        }
    ]


def _plan(relief: ReliefMap, show: Show) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the axes of a map, to scale."""
    width, height = (float(show.number(one, "length")) for one in (relief.width, relief.height))
    across = style.axis(f"from the left ({show.symbol('length')})", 0, width, constrain="domain", nticks=6)
    up = style.axis("", 0, height, constrain="domain", constraintoward="top", scaleanchor="x", nticks=5)
    return {**across, "showgrid": False, "zeroline": False}, {**up, "showgrid": False, "zeroline": False}


def _thickness_map(piece: patterned.Pattern, show: Show, tall: int) -> style.Pane:
    relief = piece.relief
    x, y = _plan(relief, show)
    thin, thick = float(relief.thickness.min()), float(relief.thickness.max())
    ends = (thin - 0.5e-3, thick + 0.5e-3) if thick - thin < 1e-5 else (thin, thick)
    return style.pane(
        [_map(relief, relief.thickness, ends, "length", style.THICKNESS, show), *_steps(relief, show)],
        x=x,
        y=y,
        annotations=_numbers(piece, show),
        height=tall,
        margin=_MARGIN,
    )


def _numbers(piece: patterned.Pattern, show: Show) -> list[dict[str, Any]]:
    """Return the number of each shape, in it."""
    labels: list[dict[str, Any]] = []
    taken: list[tuple[int, int]] = []
    for number, shape in enumerate(piece.shapes, 1):
        taken.append(_inside(piece.covered(shape), taken))
        row, column = taken[-1]
        left, low = (
            float(show.number((place + 0.5) * piece.relief.cell, "length")) for place in (column, row)
        )
        labels.append(
            style.label(left, low, str(number), style.INK, bgcolor=style.PAPER, borderpad=1, opacity=0.9)
        )
    return labels


def _inside(cells: np.ndarray, taken: Sequence[tuple[int, int]]) -> tuple[int, int]:
    """Return the cell of a shape nearest to the middle of its cells, away from other numbers if it can be."""
    places = np.argwhere(cells)
    order = ((places - places.mean(axis=0)) ** 2).sum(axis=1).argsort(kind="stable")
    room = max(cells.shape) / 10  # a number takes some 20 of 240 px
    free = [n for n in order if all(np.hypot(*(places[n] - other)) >= room for other in taken)]
    row, column = places[free[0] if free else order[0]]
    return int(row), int(column)


def _tension_map(
    result: patterned.Fired,
    now: patterned.Instant,
    allowed: float,
    says: str,
    show: Show,
    numbered: bool = False,
) -> style.Pane:
    """Return the tension of a moment, lines of thickness over it, and a cross at the worst place."""
    relief = result.pattern.relief
    x, y = _plan(relief, show)
    left, low = ([float(show.number(one, "length"))] for one in now.place)
    halo = {**style.MARK_WORST, "size": 18, "color": style.PAPER, "symbol": "x"}
    return style.pane(
        [
            _map(relief, now.tension, (0.0, _OVER * allowed), "pressure", style.TENSION, show),
            *_steps(relief, show),
            style.marks(left, low, halo),
            style.marks(left, low, style.MARK_WORST),
        ],
        x={**x, "title": {**x["title"], "text": f"{says} ({show.symbol('length')})"}},
        y=y,
        annotations=_numbers(result.pattern, show) if numbered else (),
        height=_LOW,
        margin=_MARGIN,
    )


def _course(result: patterned.At, show: Show) -> style.Pane:
    """Return the largest tension of the map from moment to moment, and where it is now."""
    whole, now = result.fired, result.now
    last = whole.heating[-1].time
    hours = [one.time / 3600 for one in whole.heating] + [(last + one.time) / 3600 for one in whole.cooling]
    pulls = np.array([float(show.number(one.peak, "pressure")) for one in whole.moments])
    here = float(show.number(now.peak, "pressure"))
    turn = last / 3600
    limit = float(show.number(whole.allowed_tension, "pressure"))
    stay = float(show.number(whole.allowed_residual, "pressure"))
    top = float(show.number(max(1.3 * whole.allowed_tension, 1.15 * whole.worst_heating.peak), "pressure"))
    count = len(whole.heating)
    return style.pane(
        [
            style.line([0, turn], [limit, limit], style.LIMIT),
            style.line([turn, hours[-1]], [stay, stay], style.LIMIT),
            style.line([turn, turn], [0, top]),
            style.curve(np.array(hours[:count]), pulls[:count], "going up"),
            style.curve(np.array(hours[count:]), pulls[count:], "coming down", style.THIRD),
            style.marks([hours[result.number]], [here], style.MARK_WORST),
        ],
        x=style.axis("hours, up and down", 0, hours[-1]),
        y=style.axis(f"pulled by ({show.symbol('pressure')})", 0, top),
        annotations=[
            style.label(turn, top, "up", style.FIRST, xanchor="right", yanchor="top", xshift=-6),
            style.label(turn, top, "down", style.THIRD, xanchor="left", yanchor="top", xshift=6),
        ],
        height=_LOW,
        margin={"l": 72, "r": 16, "t": 16, "b": 60},
    )
