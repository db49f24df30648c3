"""The picture of a firing read back: plan and log, the tension suffered, what became of each segment."""

import math

import numpy as np

from kilncalc.figures import style
from kilncalc.figures.slab import stress_text
from kilncalc.fired import Pull
from kilncalc.quantities import Show
from kilncalc.read_back import ReadBack, Stage
from kilncalc.schedule import FASTEST

_MOST_POINTS = 250
_HOTTEST = 1000.0  # degC, top of the temperature axis unless the log goes higher
_MARGIN = {"l": 84, "r": 16, "t": 12, "b": 60}


def log_over_plan(result: ReadBack, show: Show) -> style.Figure:
    """Return a log over its plan, and beside it what the cold kiln and the hottest one show: no verdict."""
    longest = _longest(result)
    shown = result.log.temperature
    asked = max(segment.target for segment in result.plan.segments)
    cold, room, hottest, top = (
        show.text(float(round(value)), "temperature")
        for value in (shown[0], result.kiln.room, shown.max(), asked)
    )
    ends = show.text(float(round(shown[-1])), "temperature")
    duration = _time(result.log.duration, show)
    return style.picture(
        [_temperatures(result, show, longest, told=False)],
        f"The log (solid) begins at {cold}, in a room of {room}, goes up to {hottest} where {top} is asked, "
        f"and ends at {ends} after {duration}. The plan is dashed.",
        [
            style.reading(cold, f"the log at its start, in a room of {room}"),
            style.reading(hottest, f"the hottest, where {top} is asked"),
            style.reading(duration, f"from the first reading to the last, at {ends}"),
        ],
    )


def read_back(result: ReadBack, show: Show) -> style.Figure:
    """Return a log over its plan, the tension of both with its limits, and the segments as a table."""
    suffered, planned = result.suffered, result.planned
    longest = _longest(result)
    return style.picture(
        [_temperatures(result, show, longest, told=True), _tensions(result, show, longest)],
        _caption(result, show),
        [
            *(style.reading(fault.kind, fault.words(show.units), "over") for fault in result.faults),
            *(
                []
                if result.faults
                else [style.reading("as planned", "no segment strays from its plan", "first")]
            ),
            style.reading(*_flowed(result)),
            style.reading(
                stress_text(suffered.most, show),
                f"pulled it most, of {stress_text(suffered.allowed_tension, show)}; planned "
                f"{stress_text(planned.most, show)}",
                "over" if suffered.most > suffered.allowed_tension else "plain",
            ),
            style.reading(
                stress_text(suffered.stays, show),
                f"stays in it, of {stress_text(suffered.allowed_residual, show)}; planned "
                f"{stress_text(planned.stays, show)}",
                "over" if suffered.stays > suffered.allowed_residual else "plain",
            ),
            style.reading(*_cools(result, show)),
        ],
        style.table(
            ["", "asked for", "what the log says"],
            [[str(stage.number), _asked(stage, show), _became(stage, show)] for stage in result.stages],
        ),
    )


def _caption(result: ReadBack, show: Show) -> str:
    suffered = result.suffered
    wrong = " ".join(fault.words(show.units) for fault in result.faults)
    top = result.hottest
    held = ""
    if top and top.held is not None and top.overshoot is not None:
        held = (
            f" At {show.text(top.asked.target, 'temperature')} it held for {_time(top.held, show)} of "
            f"{_time(60 * top.asked.hold_min, show)} asked, and went "
            f"{_degrees(max(top.overshoot, 0.0), show)} beyond."
        )
    times, _ = _flowed(result)
    cools, _ = _cools(result, show)
    alone = f" Left alone, the kiln cools with a time of {cools}." if result.free_cooling else ""
    pulled, limit, stays, may_stay = (
        stress_text(stress, show)
        for stress in (suffered.most, suffered.allowed_tension, suffered.stays, suffered.allowed_residual)
    )
    return (
        f"{wrong or 'The log follows its plan (dashed).'}{held} The glass flowed {times} what was planned, "
        f"was pulled by {pulled} of {limit} and keeps {stays} of {may_stay}.{alone}"
    )


def _longest(result: ReadBack) -> float:
    """Return the end of the axis of hours, a whole number of days."""
    last = max(result.log.duration - result.zero, result.planned.duration)
    return 24.0 * math.ceil(last / 86400)


def _temperatures(result: ReadBack, show: Show, longest: float, *, told: bool) -> style.Pane:
    time, shown = result.log.time, result.log.temperature
    some = np.unique(np.linspace(0, time.size - 1, min(time.size, _MOST_POINTS)).round().astype(int))
    hours = (time[some] - result.zero) / 3600
    plan = result.planned.firing
    top = _HOTTEST if shown.max() <= _HOTTEST else 1300.0
    faults = [fault for fault in result.faults if fault.segment] if told else []
    at = [float(np.interp(fault.time + result.zero, time, shown)) for fault in faults]
    glass = plan.piece.glass
    return style.pane(
        [
            style.line([0, longest], [show.number(glass.strain_point, "temperature")] * 2, style.LIMIT),
            style.line(plan.time / 3600, show.number(plan.air, "temperature")),
            style.curve(hours, show.number(shown[some], "temperature"), "log"),
            style.marks(
                [fault.time / 3600 for fault in faults],
                show.number(np.array(at), "temperature"),
                style.MARK_WORST,
            ),
        ],
        x=style.axis("hours since the start", 0, longest, dtick=longest / 6),
        y=style.axis(
            f"kiln ({show.symbol('temperature')})",
            show.number(0.0, "temperature"),
            show.number(top, "temperature"),
        ),
        annotations=[
            style.label(
                longest,
                show.number(glass.strain_point, "temperature"),
                "strain point",
                style.SECOND,
                xanchor="right",
                yanchor="bottom",
            ),
            style.label(
                longest, show.number(0.95 * top, "temperature"), "solid: log", style.FIRST, xanchor="right"
            ),
            style.label(
                longest, show.number(0.85 * top, "temperature"), "dashed: plan", style.QUIET, xanchor="right"
            ),
            *(
                style.label(
                    fault.time / 3600,
                    show.number(degrees, "temperature"),
                    f"segment {fault.segment} ",
                    style.SECOND,
                    xanchor="right",
                    yanchor="bottom",
                )
                for fault, degrees in zip(faults, at, strict=True)
            ),
        ],
        margin=_MARGIN,
        height=380,
    )


def _tensions(result: ReadBack, show: Show, longest: float) -> style.Pane:
    suffered, planned = result.suffered, result.planned
    most = next((top for top in (6e6, 12e6, 24e6) if 0.9 * top > max(suffered.most, planned.most)), 60e6)

    def drawn(pull: Pull, since: float) -> tuple[np.ndarray, np.ndarray]:
        time = pull.firing.time
        some = np.unique(np.linspace(0, time.size - 1, min(time.size, _MOST_POINTS)).round().astype(int))
        return (time[some] + since) / 3600, np.asarray(show.number(pull.tension[some], "pressure"))

    end = float(suffered.firing.time[-1] + result.fired_from) / 3600
    limit, stay = suffered.allowed_tension, suffered.allowed_residual
    return style.pane(
        [
            style.line([0, longest], [show.number(limit, "pressure")] * 2, style.LIMIT),
            style.line([end - 2, longest], [show.number(stay, "pressure")] * 2, style.LIMIT),
            style.line(*drawn(planned, 0.0)),
            style.curve(*drawn(suffered, result.fired_from), "by the log"),
            style.marks([end], [show.number(suffered.stays, "pressure")]),
            style.marks(
                [(suffered.after + result.fired_from) / 3600],
                [show.number(suffered.most, "pressure")],
                style.MARK_WORST,
            ),
        ],
        x=style.axis("hours since the start", 0, longest, dtick=longest / 6),
        y=style.axis(f"pulled by ({show.symbol('pressure')})", 0, show.number(most, "pressure")),
        annotations=[
            style.label(
                longest,
                show.number(limit, "pressure"),
                f"limit {stress_text(limit, show)}",
                style.SECOND,
                xanchor="right",
                yanchor="bottom",
            ),
            style.label(
                longest,
                show.number(stay, "pressure"),
                "may stay",
                style.SECOND,
                xanchor="right",
                yanchor="bottom",
            ),
        ],
        margin=_MARGIN,
        height=380,
    )


def _flowed(result: ReadBack) -> tuple[str, str]:
    """Return how much the glass flowed, and what that is."""
    if not math.isfinite(result.flowed):
        return "more than", "what was planned, none at all, the glass flowed"
    return f"{result.flowed:.2g} times", "what was planned, the glass flowed"


def _cools(result: ReadBack, show: Show) -> tuple[str, str]:
    """Return the kiln's cooling time, and what that is."""
    fit = result.free_cooling
    if fit is None:
        return "not seen", "how the kiln cools by itself: it was not left alone for long enough"
    off = _degrees(fit.off, show)
    return (
        f"{fit.time / 3600:.2f} h",
        f"cooling time for the next plan, from {_time(fit.length, show)} by itself, within {off}",
    )


def _time(seconds: float, show: Show) -> str:
    return show.text(60.0 * round(seconds / 60), "time")


def _degrees(kelvin: float, show: Show) -> str:
    return f"{show.number(kelvin, 'temperature_difference'):.0f} {show.symbol('temperature_difference')}"


def _asked(stage: Stage, show: Show) -> str:
    rate = FASTEST if stage.asked.rate is None else show.text(stage.asked.rate, "rate")
    hold = f", {_time(60 * stage.asked.hold_min, show)}" if stage.asked.hold_min else ""
    return f"{rate} to {show.text(stage.asked.target, 'temperature')}{hold}"


def _became(stage: Stage, show: Show) -> str:
    if stage.arrived is None:
        return "does not arrive"
    parts = [f"arrives after {_time(stage.arrived, show)}"]
    if stage.late is not None:
        late = round(stage.late / 60)
        parts.append("in time" if abs(late) < 2 else f"{abs(late)} min {'late' if late > 0 else 'early'}")
    if stage.held is not None:
        parts.append(f"holds {_time(stage.held, show)}")
    if stage.overshoot is not None and stage.overshoot >= 0.5:
        parts.append(f"{_degrees(stage.overshoot, show)} beyond")
    return ", ".join(parts)
