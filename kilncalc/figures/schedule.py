"""Pictures of firings in time: one with its tension and limits, two schedules beside each other."""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from kilncalc._ranges import ArrayLike
from kilncalc.error_bars import Bar
from kilncalc.figures import style
from kilncalc.figures.slab import stress_text
from kilncalc.fired import EVEN_WITHIN, Pull, TwoSchedules, WholeFiring
from kilncalc.own_piece import HoursAgainstStress, OwnPiece
from kilncalc.quantities import Show, as_text
from kilncalc.schedule import Schedule, Segment

_HOTTEST = 900.0  # degC, top of the temperature axis
_MOST_POINTS = 200
_KWH = 3.6e6  # J
_BARS = np.array([0.06, 0.06, 0.3, 0.3])  # where an error bar stands above or below its row
_MARGIN = {"l": 84, "r": 16, "t": 12, "b": 60}


def firing_in_time(result: WholeFiring, show: Show) -> style.Figure:
    """Return the kiln's temperature over time and below it the largest tension in the glass."""
    pull, longest = result.pull, 36.0
    firing = pull.firing
    shown = _thinned(firing.time.size)
    hours = firing.time[shown] / 3600
    last = float(hours[-1])
    phase = "heating" if pull.heating else "cooling"
    total, after = (show.text(60 * round(time / 60), "time") for time in (pull.duration, pull.after))
    most, limit = (stress_text(value, show) for value in (pull.most, pull.allowed_tension))
    kept, may_stay = (stress_text(value, show) for value in (pull.stays, pull.allowed_residual))
    at = show.text(round(pull.at), "temperature")
    most_likely, kept_likely = (one.words(show) for one in (result.likely, result.likely_stays))
    caption = (
        f"Pulled most while {phase}, {after} in, at {at}: {most} (likely {most_likely}) against a limit of "
        f"{limit}; {100 * pull.by_thickness:.0f} % of it comes from the thickness, the rest from an uneven "
        f"kiln. {kept} (likely {kept_likely}) stays in the cold piece, where {may_stay} is allowed. In all "
        f"{total}."
    )
    return style.picture(
        [
            style.pane(
                [
                    *(
                        style.line([0, longest], [show.number(point, "temperature")] * 2)
                        for point in (result.strain_point, result.annealing_point)
                    ),
                    style.curve(hours, show.number(firing.air[shown], "temperature"), "kiln"),
                    _limit(show, pull.allowed_tension, 0, longest),
                    _limit(show, pull.allowed_residual, last - 2, last + 2),
                    _band(show, hours, pull.tension[shown], result.likely, pull.most),
                    _tension(show, hours, firing.tension[shown], "thickness alone", style.FIRST),
                    _tension(show, hours, pull.tension[shown], "uneven kiln added", style.THIRD),
                    style.marks([last], [show.number(pull.stays, "pressure")], yaxis="y2"),
                    _worst(show, pull),
                ],
                x=_hours(longest, 4),
                y=_degrees(show),
                yaxis2=_pulled(show, 9e6),
                annotations=[
                    *_point_names(show, result.annealing_point, result.strain_point, longest),
                    _limit_name(show, pull.allowed_tension, longest),
                    _line_name(show, "upper: uneven kiln added", 8.2e6, longest, style.THIRD),
                    _line_name(show, "lower: thickness alone", 8.2e6, longest, style.FIRST, "top"),
                ],
                margin=_MARGIN,
            )
        ],
        caption,
        [
            style.reading(total, f"in all; {result.energy / _KWH:.2f} kWh go into glass and shelf"),
            style.reading(
                most,
                f"pulls most, while {phase} at {at}, {after} in; likely {most_likely}",
                _tone(pull.most, pull.allowed_tension),
            ),
            style.reading(
                kept,
                f"stays in it ({may_stay} allowed); likely {kept_likely}",
                _tone(pull.stays, pull.allowed_residual),
            ),
            style.reading(*_evenness(result, show)),
        ],
    )


def _evenness(result: WholeFiring, show: Show) -> tuple[str, str]:
    """Return value and words of how long the hold at the annealing point takes to make the glass even."""
    within = show.text(EVEN_WITHIN, "temperature_difference")
    if math.isfinite(result.even_after):
        return show.text(60 * math.ceil(result.even_after / 60), "time"), f"of the hold: even within {within}"
    return "too short", f"the hold ends before the glass is even within {within}"


# ------------------------------------------------------------------ a rule of thumb beside ours


def pieces_beside_the_rule(results: Sequence[TwoSchedules], show: Show) -> style.Figure:
    """Return hours, tension and what stays of several pieces: by the rule (open), by ours (full)."""
    rows = list(range(len(results), 0, -1))
    names = {"tickvals": rows, "ticktext": [one.name for one in results]}
    allowed = (results[0].ours.allowed_tension, results[0].ours.allowed_residual)

    def pane(
        title: str,
        most: float,
        values: Sequence[tuple[float, float]],
        limit: float | None = None,
        likely: Sequence[tuple[Bar, Bar]] = (),
    ) -> style.Pane:
        traces = [
            style.band(stress(np.array([bar.low, bar.high, bar.high, bar.low])), row + above * _BARS)
            for bars, row in zip(likely, rows, strict=False)
            for bar, above in zip(bars, (1, -1), strict=True)
        ]
        traces += [
            style.line([rule, ours], [row, row]) for (rule, ours), row in zip(values, rows, strict=True)
        ]
        if limit is not None:
            traces.append(style.line([limit, limit], [0.4, len(rows) + 0.6], style.LIMIT))
        traces.append(style.marks([rule for rule, _ in values], rows, style.MARK_PUBLISHED))
        traces.append(style.marks([ours for _, ours in values], rows))
        return style.pane(
            traces,
            x=style.axis(title, 0, most),
            y=style.axis("", 0.4, len(rows) + 0.6, showgrid=False, **names),
            height=320,
            margin={"l": 190, "r": 16, "t": 12, "b": 60},
            least=340,
        )

    def stress(value: Any) -> Any:
        return show.number(value, "pressure")

    def words(value: float, likely: Bar) -> str:
        return f"{stress_text(value, show)} (likely {likely.words(show)})"

    unit = show.symbol("pressure")
    said = "; ".join(
        f"{one.name}: {one.rule.duration / 3600:.0f} against {one.ours.duration / 3600:.0f} hours, "
        f"{words(one.rule.most, one.likely_by_rule)} against {words(one.ours.most, one.likely)}"
        for one in results
    )
    caption = (
        f"As if twice as thick (open diamonds, upper bars) against a schedule written for the piece (full "
        f"discs, lower bars); the limits are dotted. {said[0].upper()}{said[1:]}."
    )
    return style.picture(
        [
            pane("hours", 54.0, [(one.rule.duration / 3600, one.ours.duration / 3600) for one in results]),
            pane(
                f"pulled by ({unit})",
                stress(16e6),
                [(stress(one.rule.most), stress(one.ours.most)) for one in results],
                stress(allowed[0]),
                [(one.likely_by_rule, one.likely) for one in results],
            ),
            pane(
                f"stays ({unit})",
                stress(5e6),
                [(stress(one.rule.stays), stress(one.ours.stays)) for one in results],
                stress(allowed[1]),
                [(one.likely_to_stay_by_rule, one.likely_stays) for one in results],
            ),
        ],
        caption,
    )


# ------------------------------------------------------------------ a piece of one's own


def own_piece(result: OwnPiece, show: Show) -> style.Figure:
    """Return the schedule written for a piece as a curve and as a table, and the rule's as a dashed curve."""
    pull, rule = result.pull, result.rule
    longest, step = _time_axis(max(pull.duration, rule.duration) / 3600)
    allowed, may_stay = pull.allowed_tension, pull.allowed_residual
    most, kept, rule_most, rule_kept, limit, stay = (
        stress_text(value, show)
        for value in (pull.most, pull.stays, rule.most, rule.stays, allowed, may_stay)
    )
    hours, rule_hours = (show.text(60 * round(one.duration / 60), "time") for one in (pull, rule))
    may_be, may_stay_be, rule_may_be, rule_may_stay_be = (
        one.words(show)
        for one in (
            result.likely,
            result.likely_stays,
            result.likely.about(rule.most),
            result.likely_stays.about(rule.stays),
        )
    )
    caption = (
        f"The schedule takes {hours}. It pulls with up to {most} (likely {may_be}) of {limit}, and {kept} "
        f"(likely {may_stay_be}) of {stay} stays. As if twice as thick it would take {rule_hours}, pull with "
        f"{rule_most} (likely {rule_may_be}) and leave {rule_kept} (likely {rule_may_stay_be})."
    )
    traces: list[style.Trace] = [_band(show, pull.firing.time / 3600, pull.tension, result.likely, pull.most)]
    for one, draw in ((rule, _dashed), (pull, _solid)):
        shown = _thinned(one.firing.time.size)
        time = one.firing.time[shown] / 3600
        traces.append(draw(time, show.number(one.firing.air[shown], "temperature")))
        traces.append(draw(time, show.number(one.tension[shown], "pressure"), yaxis="y2"))
    last = pull.duration / 3600
    return style.picture(
        [
            style.pane(
                [
                    *traces,
                    _limit(show, allowed, 0, longest),
                    _limit(show, may_stay, 0.7 * last, last),
                    style.marks([last], [show.number(pull.stays, "pressure")], yaxis="y2"),
                    _worst(show, pull),
                ],
                x=_hours(longest, step),
                y=_degrees(show),
                yaxis2=_pulled(show, 13e6),
                annotations=[
                    _limit_name(show, allowed, longest),
                    _line_name(show, "solid: written for this piece", 10.6e6, longest, style.FIRST),
                    _line_name(show, "dashed: as if twice as thick", 10.6e6, longest, style.QUIET, "top"),
                ],
                margin=_MARGIN,
            )
        ],
        caption,
        [
            style.reading(hours, "from cold to cold"),
            style.reading(most, f"pulls it most, of {limit}; likely {may_be}", _tone(pull.most, allowed)),
            style.reading(kept, f"stays in it, of {stay}; likely {may_stay_be}", _tone(pull.stays, may_stay)),
            style.reading(
                rule_hours,
                f"as if twice as thick: pulled by {rule_most} (likely {rule_may_be}), {rule_kept} stays "
                f"(likely {rule_may_stay_be})",
                "over" if rule.most > allowed or rule.stays > may_stay else "quiet",
            ),
        ],
        _with_total(segments(result.schedule, result.controller), hours),
    )


def _time_axis(hours: float) -> tuple[float, int]:
    """Return the end of an axis of hours and its step, in few sizes, so that it rarely jumps."""
    end = next((end for end in (24, 48, 96, 192, 384, 768) if hours <= end), 1536)
    return float(end), end // 8


def _with_total(table: style.Table, hours: str) -> style.Table:
    """Return the table with the hours first."""
    total = ["all", "", "", "", f"{hours} from cold to cold, with what the kiln takes to cool by itself."]
    return {**table, "rows": [total, *table["rows"]]}


def segments(schedule: Schedule, controller: str) -> style.Table:
    """Return the segments as they are typed into the controller, whose unit they are in."""
    system = "inches" if controller == "degF" else "metric"
    return style.table(
        ["", "rate", "to", "hold", "why"],
        [
            [
                str(number),
                _rate(segment, system, number == len(schedule.segments)),
                as_text(segment.target, "temperature", system),
                as_text(60 * segment.hold_min, "time") if segment.hold_min else "",
                segment.reason,
            ]
            for number, segment in enumerate(schedule.segments, 1)
        ],
    )


def _rate(segment: Segment, system: str, last: bool) -> str:
    if segment.rate is not None:
        return as_text(segment.rate, "rate", system)
    return "off" if last else "full speed"


def hours_against_stress(result: HoursAgainstStress, show: Show) -> style.Figure:
    """Return what stays in a piece against the hours of its slow cooling, beside published amounts."""
    longest, most = 48.0, 4e6
    unit = show.symbol("pressure")
    stays = np.geomspace(result.stays.min(), result.stays.max(), 80)
    hours = np.array([result.time_for(float(stress)) for stress in stays]) / 3600
    planned = stress_text(result.allowed_residual, show)
    levels = [
        (result.allowed_residual, "this kit plans with"),
        *((one.stress, one.name) for one in result.marks),
    ]
    says = [(stress_text(stress, show), name, _stage(result, stress, show)) for stress, name in levels]
    listed = "; ".join(f"{text} ({name}): {time}" for text, name, time in says[1:])
    may_be = result.likely(result.allowed_residual).words(show)
    caption = (
        f"To leave no more than the {planned} (likely {may_be}) this kit plans with, the slow cooling takes "
        f"{says[0][2]}. Beside published amounts: {listed}."
    )
    low, high = (np.asarray(show.number(share * stays, "pressure")) for share in result.spread)
    band = style.band(np.concatenate([hours, hours[::-1]]), np.concatenate([low, high[::-1]]))
    lines = [style.line([0, longest], [show.number(mark.stress, "pressure")] * 2) for mark in result.marks]
    at = [result.time_for(stress) / 3600 for stress, _ in levels]
    inside = [place for place, time in enumerate(at) if time <= longest]
    return style.picture(
        [
            style.pane(
                [
                    band,
                    *lines,
                    style.line(
                        [0, longest], [show.number(result.allowed_residual, "pressure")] * 2, style.LIMIT
                    ),
                    style.curve(hours, show.number(stays, "pressure"), "what stays"),
                    style.marks(
                        [at[place] for place in inside],
                        [show.number(levels[place][0], "pressure") for place in inside],
                    ),
                ],
                x=style.axis("hours of slow cooling", 0, longest, dtick=8),
                y=style.axis(f"stays ({unit})", 0, show.number(most, "pressure")),
                annotations=[
                    style.label(
                        longest,
                        show.number(stress, "pressure"),
                        name,
                        style.SECOND if place == 0 else style.QUIET,
                        xanchor="right",
                        yanchor="bottom" if place != 1 else "top",
                    )
                    for place, (stress, name) in enumerate(levels)
                ],
                margin=_MARGIN,
            )
        ],
        caption,
        [style.reading(time, f"leaves {text}: {name}") for text, name, time in says],
    )


def _stage(result: HoursAgainstStress, stress: float, show: Show) -> str:
    """Return how long the slow stage takes that leaves a stress, in words also where it was not computed."""
    if stress > result.stays.max():
        return "no slow stage"
    if stress < result.stays.min():
        return f"over {result.time.max() / 3600:.0f} hours"
    return show.text(600 * round(result.time_for(stress) / 600), "time")


# ------------------------------------------------------------------ what these pictures share


def _thinned(count: int) -> np.ndarray:
    return np.unique(np.linspace(0, count - 1, min(count, _MOST_POINTS)).round().astype(int))


def _hours(longest: float, step: int) -> dict[str, Any]:
    return style.axis("hours since the start", 0, longest, anchor="y2", dtick=step)


def _degrees(show: Show) -> dict[str, Any]:
    symbol = show.symbol("temperature")
    low, high = (show.number(value, "temperature") for value in (0.0, _HOTTEST))
    return style.axis(f"kiln ({symbol})", low, high, domain=[0.58, 1.0], nticks=5)


def _pulled(show: Show, most: float) -> dict[str, Any]:
    title = f"pull ({show.symbol('pressure')})"
    return style.axis(title, 0, show.number(most, "pressure"), domain=[0.0, 0.5], nticks=5, anchor="x")


def _solid(x: ArrayLike, y: ArrayLike, **keywords: Any) -> style.Trace:
    return style.curve(x, y, "our schedule", **keywords)


def _dashed(x: ArrayLike, y: ArrayLike, **keywords: Any) -> style.Trace:
    return style.line(x, y, **keywords)


def _tension(show: Show, hours: np.ndarray, tension: np.ndarray, name: str, colour: str) -> style.Trace:
    return style.curve(hours, show.number(tension, "pressure"), name, colour, yaxis="y2")


def _band(show: Show, hours: np.ndarray, tension: np.ndarray, likely: Bar, expected: float) -> style.Trace:
    """Return all that a tension in time may be, whose largest is `expected`."""
    low, high = (
        np.asarray(show.number(tension * end / expected, "pressure")) for end in (likely.low, likely.high)
    )
    return style.band(np.concatenate([hours, hours[::-1]]), np.concatenate([low, high[::-1]]), yaxis="y2")


def _worst(show: Show, pull: Pull) -> style.Trace:
    return style.marks(
        [pull.after / 3600], [show.number(pull.most, "pressure")], style.MARK_WORST, yaxis="y2"
    )


def _limit(show: Show, allowed: float, begin: float, end: float) -> style.Trace:
    return style.line([begin, end], [show.number(allowed, "pressure")] * 2, style.LIMIT, yaxis="y2")


def _limit_name(show: Show, allowed: float, end: float) -> dict[str, Any]:
    return style.label(
        end,
        show.number(allowed, "pressure"),
        f"limit {stress_text(allowed, show)}",
        style.SECOND,
        yref="y2",
        xanchor="right",
        yanchor="bottom",
    )


def _line_name(
    show: Show, name: str, height: float, end: float, colour: str, side: str = "bottom"
) -> dict[str, Any]:
    """Return the name of a line; two at one height, above and below it, never meet in a low plot."""
    at = show.number(height, "pressure")
    return style.label(end, at, name, colour, yref="y2", xanchor="right", yanchor=side)


def _point_names(show: Show, annealing: float, strain: float, end: float) -> list[dict[str, Any]]:
    return [
        style.label(
            end, show.number(value, "temperature"), name, style.QUIET, xanchor="right", yanchor=anchor
        )
        for value, name, anchor in (
            (annealing, "annealing point", "bottom"),
            (strain, "strain point", "top"),
        )
    ]


def _tone(value: float, allowed: float, otherwise: str = "plain") -> str:
    return "over" if value > allowed else otherwise
