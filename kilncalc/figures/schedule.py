"""Pictures of firings in time: one with its tension and limits, two schedules beside each other."""

from typing import Any

import numpy as np

from kilncalc._ranges import ArrayLike
from kilncalc.figures import style
from kilncalc.figures.slab import STRESS_UNIT
from kilncalc.firing import Firing
from kilncalc.quantities import as_text, to_unit

TEMPERATURE_UNIT = {"metric": "°C", "inches": "°F"}

_MARGIN = {"l": 84, "r": 10, "t": 16, "b": 60}
_PLOTS, _WORDS = 0.735, 0.765  # where the plots end and the words begin, as a share of the width
_HOTTEST = 900.0  # degC, top of the temperature axis
_MOST_POINTS = 200


def firing_in_time(
    firing: Firing,
    *,
    allowed: float,
    allowed_residual: float,
    energy: float,
    setting: tuple[float, float],
    longest: float,
    most_tension: float,
    units: str,
) -> style.Figure:
    """Return the kiln's temperature over time and below it the largest tension in the glass.

    Tensions in Pa, `energy` in J, `setting` from strain to annealing point in degC; the axes reach to
    `longest` [s] and `most_tension` [Pa].
    """
    unit, degrees = STRESS_UNIT[units], TEMPERATURE_UNIT[units]
    shown = _thinned(firing.time.size)
    hours = firing.time[shown] / 3600
    both = firing.tension + firing.uneven_tension
    worst = int(both.argmax())
    while_doing = "heating" if firing.time[worst] <= firing.heating_end else "cooling"
    stays = max(float(firing.residual.max()), 0.0)
    end, last = longest / 3600, hours[-1]

    def stress(value: ArrayLike) -> Any:
        return to_unit(value, "pressure", unit)

    def degree(value: ArrayLike) -> Any:
        return to_unit(value, "temperature", degrees)

    total = as_text(60 * round(firing.time[-1] / 60), "time")
    most, limit, kept, may_stay = (
        as_text(value, "pressure", units) for value in (both[worst], allowed, stays, allowed_residual)
    )
    at = f"{degree(float(firing.air[worst])):.0f} {degrees}"
    after = as_text(60 * round(firing.time[worst] / 60), "time")
    share = firing.tension[worst] / both[worst] if both[worst] > 0 else 0.0
    caption = (
        f"Pulled most while {while_doing}, {after} in, at {at}: {most} against a limit of {limit}; "
        f"{share:.0%} of it comes from the thickness, the rest from an uneven kiln. {kept} stays in "
        f"the cold piece, where {may_stay} is allowed. In all {total}."
    )
    over, over_stay = both[worst] > allowed, stays > allowed_residual
    return style.figure(
        [
            style.line([0, end], [degree(setting[0])] * 2),
            style.line([0, end], [degree(setting[1])] * 2),
            style.curve(hours, degree(firing.air[shown]), "kiln"),
            style.line([0, end], [stress(allowed)] * 2, style.LIMIT, yaxis="y2"),
            style.line([last - 2, last + 2], [stress(allowed_residual)] * 2, style.LIMIT, yaxis="y2"),
            style.curve(hours, stress(firing.tension[shown]), "in an even kiln", yaxis="y2"),
            style.curve(hours, stress(both[shown]), "with the kiln's unevenness", style.THIRD, yaxis="y2"),
            style.marks([last], [stress(stays)], style.MARK_COMPUTED, yaxis="y2"),
            style.marks([firing.time[worst] / 3600], [stress(both[worst])], style.MARK_WORST, yaxis="y2"),
        ],
        caption,
        margin=_MARGIN,
        xaxis=style.axis("hours since the start", 0, end, domain=[0, _PLOTS], anchor="y2", dtick=4),
        yaxis=style.axis(degrees, degree(0.0), degree(_HOTTEST), domain=[0.6, 1.0], nticks=5),
        yaxis2=style.axis(f"pulled by ({unit})", 0, stress(most_tension), domain=[0.0, 0.51], nticks=5),
        annotations=[
            style.label(
                end,
                degree(setting[1]),
                "annealing point, and below it the strain point",
                style.QUIET,
                xanchor="right",
                yanchor="bottom",
            ),
            style.label(
                end,
                stress(allowed),
                f"limit {limit}",
                style.SECOND,
                yref="y2",
                xanchor="right",
                yanchor="bottom",
            ),
            style.words(_WORDS, 1.0, f"<b>{total}</b>", 28),
            style.words(_WORDS, 0.88, f"{energy / 3.6e6:.2f} kWh into glass and shelf", 16),
            style.words(_WORDS, 0.75, f"<b>{most}</b>", 28, style.SECOND if over else style.INK),
            style.words(_WORDS, 0.63, f"pulls most, while {while_doing}<br>at {at}, {after} in", 16),
            style.words(_WORDS, 0.44, f"<b>{kept}</b>", 28, style.SECOND if over_stay else style.INK),
            style.words(_WORDS, 0.32, f"stays in it ({may_stay} allowed)", 16),
            style.words(_WORDS, 0.17, "lower line: thickness alone", 16, style.FIRST),
            style.words(_WORDS, 0.09, "upper line: uneven kiln added", 16, style.THIRD),
        ],
    )


def _thinned(count: int) -> np.ndarray:
    return np.unique(np.linspace(0, count - 1, min(count, _MOST_POINTS)).round().astype(int))


def two_schedules(
    rule: Firing, ours: Firing, *, allowed: float, longest: float, most_tension: float, units: str
) -> style.Figure:
    """Return a rule's schedule (dashed) and ours for one piece over time, and the tension of both.

    `allowed` and `most_tension` in Pa, `longest` in s.
    """
    unit, degrees = STRESS_UNIT[units], TEMPERATURE_UNIT[units]
    end = longest / 3600
    traces, marks, says, stays = [], [], [], []
    for firing, is_ours in ((rule, False), (ours, True)):
        shown = _thinned(firing.time.size)
        hours = firing.time[shown] / 3600
        both = firing.tension + firing.uneven_tension
        worst = int(both.argmax())
        draw = style.curve if is_ours else style.line
        name: dict[str, Any] = {"name": "our schedule"} if is_ours else {}
        traces += [
            draw(hours, to_unit(firing.air[shown], "temperature", degrees), **name),
            draw(hours, to_unit(both[shown], "pressure", unit), yaxis="y2", **name),
        ]
        marks.append((firing.time[worst] / 3600, to_unit(float(both[worst]), "pressure", unit)))
        stays.append(as_text(max(float(firing.residual.max()), 0.0), "pressure", units))
        says.append((firing.time[-1] / 3600, float(both[worst])))
    limit = as_text(allowed, "pressure", units)
    (rule_hours, rule_most), (our_hours, our_most) = says
    rule_pull, our_pull = (as_text(value, "pressure", units) for value in (rule_most, our_most))
    caption = (
        f"As if twice as thick, the firing takes {rule_hours:.0f} hours, the piece is pulled by {rule_pull} "
        f"and keeps {stays[0]}. Our schedule takes {our_hours:.0f} hours, with up to {our_pull}, and keeps "
        f"{stays[1]}. The limit is {limit}."
    )
    return style.figure(
        [
            *traces,
            style.line([0, end], [to_unit(allowed, "pressure", unit)] * 2, style.LIMIT, yaxis="y2"),
            style.marks([m[0] for m in marks], [m[1] for m in marks], style.MARK_WORST, yaxis="y2"),
        ],
        caption,
        margin=_MARGIN,
        xaxis=style.axis("hours since the start", 0, end, domain=[0, _PLOTS], anchor="y2", dtick=6),
        yaxis=style.axis(
            degrees,
            to_unit(0.0, "temperature", degrees),
            to_unit(_HOTTEST, "temperature", degrees),
            domain=[0.6, 1.0],
            nticks=5,
        ),
        yaxis2=style.axis(
            f"pulled by ({unit})",
            0,
            to_unit(most_tension, "pressure", unit),
            domain=[0.0, 0.51],
            nticks=5,
        ),
        annotations=[
            style.label(
                end,
                to_unit(allowed, "pressure", unit),
                f"limit {limit}",
                style.SECOND,
                yref="y2",
                xanchor="right",
                yanchor="bottom",
            ),
            style.words(_WORDS, 1.0, "dashed: as if twice as thick", 17, style.QUIET),
            style.words(
                _WORDS,
                0.92,
                f"<b>{rule_hours:.0f} h, {rule_pull}</b>",
                24,
                style.SECOND if rule_most > allowed else style.INK,
            ),
            style.words(_WORDS, 0.80, f"{stays[0]} stays", 16),
            style.words(_WORDS, 0.58, "solid: written for this piece", 17, style.FIRST),
            style.words(
                _WORDS,
                0.50,
                f"<b>{our_hours:.0f} h, {our_pull}</b>",
                24,
                style.SECOND if our_most > allowed else style.INK,
            ),
            style.words(_WORDS, 0.38, f"{stays[1]} stays", 16),
            style.words(
                _WORDS,
                0.20,
                f"The rule: {rule_hours / our_hours:.1f} times the hours,<br>"
                f"{rule_most / our_most:.1f} times the pull.",
                16,
            ),
        ],
    )
