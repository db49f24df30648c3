"""Pictures of uneven pieces: two thicknesses that part in temperature, a former, a narrow rib."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from kilncalc import uneven
from kilncalc.error_bars import Bar
from kilncalc.figures import style
from kilncalc.figures.slab import stress_text
from kilncalc.firing import Firing, WorstMoment
from kilncalc.quantities import Show

_COLOURS = (style.FIRST, style.SECOND, style.THIRD)
_HOTTEST = 350.0  # degC, end of the axes while heating: the pull is largest before
_SHELF = 0.004  # m, how much of the shelf is drawn
_WIDE = 0.120  # m, width that is drawn of a piece with a former or a rib
_MARGIN = {"l": 84, "r": 16, "t": 16, "b": 64}
_STRIP = 0.003  # m, the sheet that sinks over the former

Points = Sequence[tuple[float, float]]


def two_thicknesses(result: uneven.TwoThicknesses, show: Show) -> style.Figure:
    """Return how far thin and thick are behind, the tension solid and loose, and what cooling leaves."""
    heated = {
        "one solid piece": result.solid,
        "loose, on one base sheet": result.on_base,
        "a heap of loose pieces": result.heap,
    }
    pulls = [stress_text(one.peak_tension("heating"), show) for one in heated.values()]
    limit, may_stay = (
        stress_text(value, show) for value in (result.allowed_tension, result.allowed_residual)
    )
    apart = show.text(result.apart, "temperature_difference")
    stays = stress_text(result.stays, show)
    bars = (result.likely, result.likely_on_base, result.likely_heap)
    likely = [f"likely {one.words(show)}" for one in bars]
    stays_likely = result.likely_stays.words(show)
    part = "thick" if result.stays_in_thick else "thin"
    caption = (
        f"Heated, thick and thin part by up to {apart}. That pulls one solid piece with {pulls[0]} "
        f"({likely[0]}), a base sheet with loose glass on a part of it with {pulls[1]} ({likely[1]}), the "
        f"sheets of a heap with {pulls[2]} ({likely[2]}); the limit is {limit}. Cooled from the annealing "
        f"point at the same rate, the solid piece keeps {stays} (likely {stays_likely}) in its {part} "
        f"part; {may_stay} may stay."
    )
    edge = uneven.SPAN * (1 - result.share)
    step = [
        (0, 0), (0, result.thin), (edge, result.thin), (edge, result.thick), (uneven.SPAN, result.thick),
        (uneven.SPAN, 0), (0, 0),
    ]  # fmt: skip
    return style.picture(
        [
            _lags(result.solid, ("thin", "thick"), 80.0, show),
            _tensions(
                heated,
                result.pulled_most.worst_heating,
                result.allowed_tension,
                14e6,
                show,
                behind=[_band(one, bar, show) for one, bar in zip(heated.values(), bars, strict=True)],
            ),
            _cooling(result, show),
            _section(step, uneven.SPAN, (), 0.016, stretched=True),
        ],
        caption,
        [
            style.reading(apart, "between thin and thick, heated"),
            *(
                style.reading(pull, says, tone)
                for pull, says, tone in zip(
                    pulls,
                    [f"{name}; {may_be}" for name, may_be in zip(heated, likely, strict=True)],
                    ("first", "second", "third"),
                    strict=True,
                )
            ),
            style.reading(
                stays,
                f"stays after cooling, {may_stay} may; likely {stays_likely}",
                "over" if result.stays > result.allowed_residual else "plain",
            ),
        ],
    )


def covered(result: uneven.Covered, show: Show) -> style.Figure:
    """Return how far bare and covered glass are behind the kiln, and what a former of fibre paper pulls."""
    apart = show.text(result.apart, "temperature_difference")
    pull, limit, rib = (
        stress_text(value, show)
        for value in (result.tension, result.allowed_tension, result.rib.peak_tension("heating"))
    )
    may_be = result.likely.words(show)
    caption = (
        f"Under the former the base falls up to {apart} behind the bare glass beside it, and is pulled "
        f"with {pull} (likely {may_be}); the limit is {limit}. A rib of the same width and as high as the "
        f"base is thick would pull with {rib}."
    )
    left, right = _WIDE / 2 - result.width / 2, _WIDE / 2 + result.width / 2
    former = [
        (left, result.base), (left, result.base + result.paper), (right, result.base + result.paper),
        (right, result.base), (left, result.base),
    ]  # fmt: skip
    over = (("paper", former), ("glass", _draped(result, left, right)))
    return style.picture(
        [
            _lags(result.firing, ("bare", "covered"), 120.0, show),
            _tensions(
                {"under the former": result.firing},
                result.firing.worst_heating,
                result.allowed_tension,
                14e6,
                show,
                behind=[_band(result.firing, result.likely, show)],
            ),
            _section(_sheet(result.base), _WIDE, over, 0.034),
        ],
        caption,
        [
            style.reading(apart, "between bare and covered base"),
            style.reading(
                pull,
                f"pulls the base; likely {may_be}",
                "over" if result.tension > result.allowed_tension else "first",
            ),
            style.reading(rib, "with a rib as wide, as high as the base is thick", "quiet"),
        ],
    )


def _draped(result: uneven.Covered, left: float, right: float) -> Points:
    """Return the strip that has sunk over the former."""
    roof, flap, base = result.base + result.paper, 0.022, result.base
    foot = result.paper / 2
    under = [(left - flap, base), (left - foot, base), (left, roof), (right, roof), (right + foot, base)]
    above = [
        (right + flap, base), (right + flap, base + _STRIP), (right + foot + _STRIP / 2, base + _STRIP),
        (right + _STRIP / 2, roof + _STRIP), (left - _STRIP / 2, roof + _STRIP),
        (left - foot - _STRIP / 2, base + _STRIP), (left - flap, base + _STRIP), (left - flap, base),
    ]  # fmt: skip
    return [*under, *above]


def rib_width(result: uneven.Rib, show: Show) -> style.Figure:
    """Return the tension of a narrow rib (solid) beside that of a wide part as thick (dashed)."""
    bound = result.wide.peak_tension("heating")
    pull, most, limit = (
        stress_text(value, show) for value in (result.tension, bound, result.allowed_tension)
    )
    width, height = (show.text(value, "length") for value in (result.width, result.height))
    may_be = result.likely.words(show)
    caption = (
        f"A rib {width} wide and {height} high pulls with {pull} (likely {may_be}), "
        f"{100 * result.share:.0f} % of the {most} of a wide part as thick; the limit is {limit}."
    )
    left, right = _WIDE / 2 - result.width / 2, _WIDE / 2 + result.width / 2
    top = result.base + result.height
    outline = [
        (0, 0), (0, result.base), (left, result.base), (left, top), (right, top), (right, result.base),
        (_WIDE, result.base), (_WIDE, 0), (0, 0),
    ]  # fmt: skip
    upper = style.line(*_in_kiln(result.wide, result.wide.tension, "pressure", show))
    return style.picture(
        [
            _tensions(
                {"the rib": result.narrow},
                result.narrow.worst_heating,
                result.allowed_tension,
                18e6,
                show,
                behind=[_band(result.narrow, result.likely, show), upper],
            ),
            _section(outline, _WIDE, (), 0.020),
        ],
        caption,
        [
            style.reading(
                pull,
                f"pulls the narrow rib (solid); likely {may_be}",
                "over" if result.tension > result.allowed_tension else "first",
            ),
            style.reading(most, "would pull a wide part as thick (dashed)", "quiet"),
        ],
    )


def exchange(result: uneven.Exchange, show: Show) -> style.Figure:
    """Return the heat a face exchanges per degree [W/m2/K] against its temperature, in a room."""
    x = show.number(result.temperature, "temperature")
    here = show.number(result.at, "temperature")
    face, room = (show.text(value, "temperature") for value in (result.at, result.room))
    caption = (
        f"A face at {face} in a room at {room}: published {result.by_air:.1f} W for each m² and °C go into "
        f"the air, and {result.by_radiation:.1f} more by the law of radiation (our sum): together "
        f"{result.together:.1f}. Computed {result.computed:.1f}, {100 * result.difference:+.0f} %. "
        "The hotter the face, the faster glass follows."
    )
    return style.picture(
        [
            style.pane(
                [
                    style.curve(x, result.coefficient, "computed"),
                    style.marks([here], [result.computed]),
                    style.marks([here], [result.together], style.MARK_PUBLISHED),
                ],
                x=style.axis(f"temperature of the face ({show.symbol('temperature')})", x[0], x[-1]),
                y=style.axis("W for each m² and °C", 0, 70),
            )
        ],
        caption,
        [
            style.reading(
                f"{result.together:.1f}",
                f"open diamond: {result.by_air:.1f} published, {result.by_radiation:.1f} by radiation",
            ),
            style.reading(
                f"{result.computed:.1f}", f"full disc: computed ({100 * result.difference:+.0f} %)", "first"
            ),
        ],
    )


# ------------------------------------------------------------------ what these pictures share


def _in_kiln(firing: Firing, values: np.ndarray, dimension: str, show: Show) -> tuple[np.ndarray, np.ndarray]:
    """Return the kiln's temperature and what happens at it, as numbers for a plot."""
    return (
        np.asarray(show.number(firing.air, "temperature")),
        np.asarray(show.number(values, dimension)),
    )


def _kiln_axis(show: Show, low: float, high: float) -> dict[str, Any]:
    ends = (show.number(value, "temperature") for value in (low, high))
    return style.axis(f"kiln ({show.symbol('temperature')})", *ends, nticks=5)


def _pulled_axis(show: Show, most: float) -> dict[str, Any]:
    return style.axis(f"pulled by ({show.symbol('pressure')})", 0, show.number(most, "pressure"))


def _lags(firing: Firing, names: tuple[str, str], most: float, show: Show) -> style.Pane:
    """Return how far two zones are behind the kiln; the name of the first stands below its curve."""
    traces, labels = [], []
    for zone, (name, colour, anchor, shift) in enumerate(
        ((names[0], style.THIRD, "top", -6), (names[1], style.FIRST, "bottom", 6))
    ):
        x, y = _in_kiln(firing, uneven.behind_the_kiln(firing, zone), "temperature_difference", show)
        traces.append(style.curve(x, y, name, colour))
        top = int(y.argmax())
        labels.append(
            style.label(x[top], y[top], name, colour, xanchor="center", yanchor=anchor, yshift=shift)
        )
    return style.pane(
        traces,
        x=_kiln_axis(show, 0.0, _HOTTEST),
        y=style.axis(
            f"behind the kiln by ({show.symbol('temperature_difference')})",
            0,
            show.number(most, "temperature_difference"),
        ),
        annotations=labels,
        height=320,
        least=280,
        margin=_MARGIN,
    )


def _tensions(
    firings: dict[str, Firing],
    worst: WorstMoment,
    allowed: float,
    most: float,
    show: Show,
    behind: Sequence[style.Trace] = (),
) -> style.Pane:
    """Return the tension of firings on their way up, the worst moment and the limit."""
    curves = [
        style.curve(*_in_kiln(firing, firing.tension, "pressure", show), name, colour)
        for (name, firing), colour in zip(firings.items(), _COLOURS, strict=False)
    ]
    cross = style.marks(
        [show.number(worst.air, "temperature")], [show.number(worst.tension, "pressure")], style.MARK_WORST
    )
    return style.pane(
        [*behind, *curves, _limit(show, allowed, 0.0, _HOTTEST), cross],
        x=_kiln_axis(show, 0.0, _HOTTEST),
        y=_pulled_axis(show, most),
        annotations=[_limit_name(show, allowed, 0.0)],
        height=320,
        least=280,
        margin=_MARGIN,
    )


def _band(firing: Firing, likely: Bar, show: Show) -> style.Trace:
    """Return all that the tension of a firing on its way up may be."""
    expected = firing.peak_tension("heating") or 1.0
    x, low = _in_kiln(firing, firing.tension * likely.low / expected, "pressure", show)
    _, high = _in_kiln(firing, firing.tension * likely.high / expected, "pressure", show)
    return style.band(np.concatenate([x, x[::-1]]), np.concatenate([low, high[::-1]]))


def _cooling(result: uneven.TwoThicknesses, show: Show) -> style.Pane:
    """Return the tension of the solid piece on its way down, drawn from hot to cold, and what stays."""
    cooled = result.cooled
    hottest, room = float(cooled.air[0]), float(cooled.air[-1])
    x, y = _in_kiln(cooled, cooled.tension, "pressure", show)
    end = show.number(room, "temperature")
    axis = _kiln_axis(show, hottest, 0.0)
    return style.pane(
        [
            style.curve(x, y, "cooled, one solid piece"),
            _limit(show, result.allowed_residual, hottest, 0.0),
            style.line([end, end], [y[-1], show.number(result.stays, "pressure")]),
            style.line(
                [end, end],
                [
                    show.number(value, "pressure")
                    for value in (result.likely_stays.low, result.likely_stays.high)
                ],
                {"width": 8, "color": style.QUIET},
            ),
            style.marks([end], [show.number(result.stays, "pressure")]),
        ],
        x={**axis, "title": {**axis["title"], "text": f"cooling: {axis['title']['text']}"}},
        y=_pulled_axis(show, 8e6),
        annotations=[
            style.label(
                show.number(hottest, "temperature"),
                show.number(result.allowed_residual, "pressure"),
                f"may stay: {stress_text(result.allowed_residual, show)}",
                style.SECOND,
                xanchor="left",
                yanchor="bottom",
                xshift=4,
            ),
            style.label(
                end, show.number(result.stays, "pressure"), "stays", style.FIRST, xanchor="right", xshift=-12
            ),
        ],
        height=320,
        least=280,
        margin=_MARGIN,
    )


def _limit(show: Show, allowed: float, begin: float, end: float) -> style.Trace:
    ends = [show.number(value, "temperature") for value in (begin, end)]
    return style.line(ends, [show.number(allowed, "pressure")] * 2, style.LIMIT)


def _limit_name(show: Show, allowed: float, at: float) -> dict[str, Any]:
    return style.label(
        show.number(at, "temperature"),
        show.number(allowed, "pressure"),
        f"limit {stress_text(allowed, show)}",
        style.SECOND,
        xanchor="left",
        yanchor="bottom",
        xshift=4,
    )


def _sheet(thickness: float) -> Points:
    return [(0, 0), (0, thickness), (_WIDE, thickness), (_WIDE, 0), (0, 0)]


def _section(
    outline: Points,
    width: float,
    others: Sequence[tuple[str, Points]],
    high: float,
    stretched: bool = False,
) -> style.Pane:
    """Return glass on its shelf in section, to scale unless `stretched`, and what lies on it."""
    shelf = [(0, -_SHELF), (0, 0), (width, 0), (width, -_SHELF), (0, -_SHELF)]
    bodies = [
        style.body(material, *np.array(points).T)
        for material, points in (("shelf", shelf), ("glass", outline), *others)
    ]
    scale = {} if stretched else {"scaleanchor": "x"}
    return style.pane(
        bodies,
        x={"range": [0, width], "visible": False, "fixedrange": True},
        y={"range": [-_SHELF, high], "visible": False, "fixedrange": True, **scale},
        annotations=[
            style.label(
                0,
                high,
                "section, heights stretched" if stretched else "section, to scale",
                style.QUIET,
                xanchor="left",
                yanchor="top",
            )
        ],
        height=150,
        least=280,
        margin={"l": 8, "r": 8, "t": 8, "b": 8},
    )
