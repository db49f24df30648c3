"""Pictures of uneven pieces: two thicknesses that part in temperature, a former, a narrow rib."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from kilncalc.figures import style
from kilncalc.figures.schedule import TEMPERATURE_UNIT
from kilncalc.figures.slab import DIFFERENCE_UNIT, STRESS_UNIT
from kilncalc.firing import Firing
from kilncalc.quantities import as_text, to_unit

LENGTH_UNIT = {"metric": "mm", "inches": "in"}

_MARGIN = {"l": 84, "r": 10, "t": 16, "b": 64}
_COLOURS = (style.FIRST, style.SECOND, style.THIRD)
_HOTTEST = 350.0  # degC, end of the axes: the pull is largest before
_WORDS = 0.76
_SHELF = 0.004  # m, how much of the shelf is drawn


def behind_the_kiln(firing: Firing, zone: int) -> tuple[np.ndarray, np.ndarray]:
    """Return the kiln's temperature [degC] and how far a zone's mean is behind it [K], while heating."""
    heating = firing.time <= firing.heating_end * (1 + 1e-9)
    mean = np.trapezoid(firing.temperature[heating, zone], dx=1.0, axis=1) / (firing.temperature.shape[2] - 1)
    return firing.air[heating], firing.air[heating] - mean


def two_thicknesses(
    solid: Firing,
    others: Mapping[str, Firing],
    *,
    thicknesses: tuple[float, float],
    share: float,
    allowed: float,
    most_behind: float,
    most_tension: float,
    units: str,
) -> style.Figure:
    """Return how far thin and thick are behind the kiln, and the tension of solid and of loose glass.

    `thicknesses` in m, stresses in Pa; the axes reach to `most_behind` [K] and `most_tension` [Pa].
    """
    thin, thick = (behind_the_kiln(solid, zone) for zone in (0, 1))
    apart = float(np.abs(thick[1] - thin[1]).max())
    peaks = {"one solid piece": solid, **others}
    pulls = [as_text(one.peak_tension("heating"), "pressure", units) for one in peaks.values()]
    limit = as_text(allowed, "pressure", units)
    difference = as_text(apart, "temperature_difference", units)
    caption = (
        f"Thick and thin part by up to {difference}. That pulls one solid piece with {pulls[0]}, a base "
        f"sheet with loose glass on a part of it with {pulls[1]}, a heap of loose pieces with {pulls[2]}; "
        f"the limit is {limit}."
    )
    width, high = 0.150, 0.017
    edge = width * (1 - share)
    thin_d, thick_d = thicknesses
    step = [(0, 0), (0, thin_d), (edge, thin_d), (edge, thick_d), (width, thick_d), (width, 0), (0, 0)]
    return style.figure(
        [
            *_lags(thin, thick, units),
            *_tensions(peaks, units),
            _limit(allowed, units),
            *_section(step, width, ()),
        ],
        caption,
        margin=_MARGIN,
        **_two_axes(most_behind, most_tension, units),
        xaxis3={"domain": [_WORDS, 1.0], "range": [0, width], "visible": False, "anchor": "y3"},
        yaxis3={"domain": [0.80, 1.0], "range": [-_SHELF, high], "visible": False, "anchor": "x3"},
        annotations=[
            *_names((thin, thick), ("thin", "thick"), units),
            _limit_label(limit, allowed, units),
            style.words(_WORDS, 0.76, "section, heights doubled", 16, style.QUIET),
            style.words(_WORDS, 0.66, f"<b>{difference}</b>", 28),
            style.words(_WORDS, 0.54, "between thin and thick", 16),
            style.words(_WORDS, 0.44, f"<b>{pulls[0]}</b>", 20, _COLOURS[0]),
            style.words(_WORDS, 0.35, "one solid piece", 16, _COLOURS[0]),
            style.words(_WORDS, 0.27, f"<b>{pulls[1]}</b>", 20, _COLOURS[1]),
            style.words(_WORDS, 0.19, "loose, on one base sheet", 16, _COLOURS[1]),
            style.words(_WORDS, 0.11, f"<b>{pulls[2]}</b>", 20, _COLOURS[2]),
            style.words(_WORDS, 0.03, "a heap of loose pieces", 16, _COLOURS[2]),
        ],
    )


def covered(
    firing: Firing,
    *,
    base: float,
    paper: float,
    width: float,
    rib: float,
    allowed: float,
    most_behind: float,
    most_tension: float,
    units: str,
) -> style.Figure:
    """Return how far bare and covered glass are behind the kiln, and what a former of fibre paper pulls.

    Lengths in m; `rib` [Pa] is the tension of a rib as high as the base is thick instead of the former.
    """
    bare, under = (behind_the_kiln(firing, zone) for zone in (0, 1))
    apart = float(np.abs(under[1] - bare[1]).max())
    pull = firing.peak_tension("heating")
    difference, says, limit, beside = (
        as_text(value, dimension, units)
        for value, dimension in (
            (apart, "temperature_difference"),
            (pull, "pressure"),
            (allowed, "pressure"),
            (rib, "pressure"),
        )
    )
    caption = (
        f"Under the former the base falls up to {difference} behind the bare glass beside it, and is pulled "
        f"with {says}; the limit is {limit}. A rib of the same width and as high as the base is thick would "
        f"pull with {beside}."
    )
    span, high = 0.120, 0.034
    sheet = 0.003
    left, right = span / 2 - width / 2, span / 2 + width / 2
    flap = 0.022
    roof = base + paper
    face = [
        (left - flap, base),
        (left - paper / 2, base),
        (left, roof),
        (right, roof),
        (right + paper / 2, base),
        (right + flap, base),
        (right + flap, base + sheet),
        (right + paper / 2 + sheet / 2, base + sheet),
        (right + sheet / 2, roof + sheet),
        (left - sheet / 2, roof + sheet),
        (left - paper / 2 - sheet / 2, base + sheet),
        (left - flap, base + sheet),
        (left - flap, base),
    ]
    box = [(0, 0), (0, base), (span, base), (span, 0), (0, 0)]
    former = [(left, base), (left, roof), (right, roof), (right, base), (left, base)]
    over = pull > allowed
    return style.figure(
        [
            *_lags(bare, under, units),
            *_tensions({"under the former": firing}, units),
            _limit(allowed, units),
            *_section(box, span, (("paper", former), ("glass", face))),
        ],
        caption,
        margin=_MARGIN,
        **_two_axes(most_behind, most_tension, units),
        xaxis3={"domain": [_WORDS, 1.0], "range": [0, span], "visible": False, "anchor": "y3"},
        yaxis3={
            "domain": [0.66, 1.0],
            "range": [-_SHELF, high],
            "visible": False,
            "anchor": "x3",
            "scaleanchor": "x3",
        },
        annotations=[
            *_names((bare, under), ("bare", "covered"), units),
            _limit_label(limit, allowed, units),
            style.words(
                _WORDS,
                0.64,
                "section, to scale, after the strip<br>has sunk over the former",
                16,
                style.QUIET,
            ),
            style.words(_WORDS, 0.48, f"<b>{difference}</b>", 28),
            style.words(_WORDS, 0.36, "between bare and covered base", 16),
            style.words(_WORDS, 0.25, f"<b>{says}</b>", 28, style.SECOND if over else style.FIRST),
            style.words(_WORDS, 0.12, f"pulls the base; a rib as high as<br>that pulls with {beside}", 16),
        ],
    )


def rib_width(
    narrow: Firing,
    wide: Firing,
    *,
    base: float,
    height: float,
    width: float,
    allowed: float,
    most_tension: float,
    units: str,
) -> style.Figure:
    """Return the tension of a narrow rib (solid) beside that of a wide part as thick (dashed), Pa."""
    unit, degrees = STRESS_UNIT[units], TEMPERATURE_UNIT[units]
    pull, bound = (one.peak_tension("heating") for one in (narrow, wide))
    says, bound_says, limit = (as_text(value, "pressure", units) for value in (pull, bound, allowed))
    caption = (
        f"A rib {as_text(width, 'length', units)} wide and {as_text(height, 'length', units)} high pulls "
        f"with {says}, {pull / bound:.0%} of the {bound_says} of a wide part as thick; the limit is {limit}."
    )
    span, high = 0.120, 0.020
    left, right = span / 2 - width / 2, span / 2 + width / 2
    outline = [
        (0, 0), (0, base), (left, base), (left, base + height), (right, base + height), (right, base),
        (span, base), (span, 0), (0, 0),
    ]  # fmt: skip
    heating = wide.time <= wide.heating_end * (1 + 1e-9)
    return style.figure(
        [
            style.line(
                to_unit(wide.air[heating], "temperature", degrees),
                to_unit(wide.tension[heating], "pressure", unit),
                xaxis="x2",
                yaxis="y2",
            ),
            *_tensions({"the rib": narrow}, units),
            _limit(allowed, units),
            *_section(outline, span, ()),
        ],
        caption,
        margin=_MARGIN,
        xaxis2=style.axis(
            f"kiln ({degrees})",
            to_unit(0.0, "temperature", degrees),
            to_unit(_HOTTEST, "temperature", degrees),
            domain=[0.0, 0.60],
            anchor="y2",
        ),
        yaxis2=style.axis(
            f"pulled by ({unit})", 0, to_unit(most_tension, "pressure", unit), anchor="x2", domain=[0.0, 1.0]
        ),
        xaxis3={"domain": [0.66, 1.0], "range": [0, span], "visible": False, "anchor": "y3"},
        yaxis3={
            "domain": [0.72, 1.0],
            "range": [-_SHELF, high],
            "visible": False,
            "anchor": "x3",
            "scaleanchor": "x3",
        },
        annotations=[
            _limit_label(limit, allowed, units),
            style.words(0.66, 0.70, "section, to scale", 16, style.QUIET),
            style.words(0.66, 0.58, f"<b>{says}</b>", 30, style.SECOND if pull > allowed else style.FIRST),
            style.words(0.66, 0.45, "pulls the narrow rib (solid)", 17, style.FIRST),
            style.words(0.66, 0.32, f"<b>{bound_says}</b>", 30, style.QUIET),
            style.words(0.66, 0.19, "would pull a wide part as thick (dashed)", 17, style.QUIET),
        ],
    )


def exchange(
    *,
    temperature: np.ndarray,
    coefficient: np.ndarray,
    at: float,
    computed: float,
    published: float,
    units: str,
) -> style.Figure:
    """Return the heat a face exchanges per degree [W/m2/K] against its temperature [degC], in a room."""
    degrees = TEMPERATURE_UNIT[units]
    x = to_unit(temperature, "temperature", degrees)
    here = to_unit(at, "temperature", degrees)
    difference = computed / published - 1
    caption = (
        f"A face at {as_text(at, 'temperature', units)} in a room: published {published:.1f} W for each m² "
        f"and degree, computed {computed:.1f}, {difference:+.0%}. The hotter it is, the faster glass follows."
    )
    return style.figure(
        [
            style.curve(x, coefficient, "computed"),
            style.marks([here], [computed], style.MARK_COMPUTED),
            style.marks([here], [published], style.MARK_PUBLISHED),
        ],
        caption,
        margin=_MARGIN,
        xaxis=style.axis(f"temperature of the face ({degrees})", x[0], x[-1]),
        yaxis=style.axis("heat per degree (W/m²/K)", 0, 70),
        annotations=[
            style.label(
                here, published, f"published: {published:.1f}", xanchor="right", xshift=-16, yshift=8
            ),
            style.label(
                here,
                computed,
                f"computed: {computed:.1f} ({difference:+.0%})",
                style.FIRST,
                xanchor="left",
                xshift=14,
                yshift=-12,
            ),
        ],
    )


def _two_axes(most_behind: float, most_tension: float, units: str) -> dict[str, Any]:
    """Return the axes of a picture with lags on the left and tension in the middle."""
    degrees, unit = TEMPERATURE_UNIT[units], STRESS_UNIT[units]
    low, high = (to_unit(value, "temperature", degrees) for value in (0.0, _HOTTEST))
    return {
        "xaxis": style.axis(f"kiln ({degrees})", low, high, domain=[0.0, 0.32]),
        "yaxis": style.axis(
            f"behind the kiln by ({DIFFERENCE_UNIT[units]})",
            0,
            to_unit(most_behind, "temperature_difference", DIFFERENCE_UNIT[units]),
        ),
        "xaxis2": style.axis(f"kiln ({degrees})", low, high, domain=[0.41, 0.73], anchor="y2"),
        "yaxis2": style.axis(f"pulled by ({unit})", 0, to_unit(most_tension, "pressure", unit), anchor="x2"),
    }


def _lags(
    first: tuple[np.ndarray, np.ndarray], second: tuple[np.ndarray, np.ndarray], units: str
) -> list[style.Trace]:
    return [
        style.curve(
            to_unit(air, "temperature", TEMPERATURE_UNIT[units]),
            to_unit(lag, "temperature_difference", DIFFERENCE_UNIT[units]),
            name,
            colour,
        )
        for (air, lag), name, colour in (
            (first, "the first", style.THIRD),
            (second, "the second", style.FIRST),
        )
    ]


def _tensions(firings: Mapping[str, Firing], units: str) -> list[style.Trace]:
    traces = []
    for (name, firing), colour in zip(firings.items(), _COLOURS, strict=False):
        heating = firing.time <= firing.heating_end * (1 + 1e-9)
        traces.append(
            style.curve(
                to_unit(firing.air[heating], "temperature", TEMPERATURE_UNIT[units]),
                to_unit(firing.tension[heating], "pressure", STRESS_UNIT[units]),
                name,
                colour,
                xaxis="x2",
                yaxis="y2",
            )
        )
    worst = next(iter(firings.values())).worst_heating
    traces.append(
        style.marks(
            [to_unit(worst.air, "temperature", TEMPERATURE_UNIT[units])],
            [to_unit(worst.tension, "pressure", STRESS_UNIT[units])],
            style.MARK_WORST,
            xaxis="x2",
            yaxis="y2",
        )
    )
    return traces


def _limit(allowed: float, units: str) -> style.Trace:
    ends = [to_unit(value, "temperature", TEMPERATURE_UNIT[units]) for value in (0.0, _HOTTEST)]
    return style.line(
        ends, [to_unit(allowed, "pressure", STRESS_UNIT[units])] * 2, style.LIMIT, xaxis="x2", yaxis="y2"
    )


def _limit_label(limit: str, allowed: float, units: str) -> dict[str, Any]:
    return style.label(
        to_unit(0.0, "temperature", TEMPERATURE_UNIT[units]),
        to_unit(allowed, "pressure", STRESS_UNIT[units]),
        f"limit {limit}",
        style.SECOND,
        xref="x2",
        yref="y2",
        xanchor="left",
        yanchor="bottom",
        xshift=4,
    )


def _names(
    lags: Sequence[tuple[np.ndarray, np.ndarray]], names: tuple[str, str], units: str
) -> list[dict[str, Any]]:
    """Return the names of two lag curves beside their tops: the thin or bare one below, the other above."""
    labels = []
    for (air, lag), name, colour, anchor, shift in (
        (lags[0], names[0], style.THIRD, "top", -6),
        (lags[1], names[1], style.FIRST, "bottom", 6),
    ):
        top = int(lag.argmax())
        labels.append(
            style.label(
                to_unit(float(air[top]), "temperature", TEMPERATURE_UNIT[units]),
                to_unit(float(lag[top]), "temperature_difference", DIFFERENCE_UNIT[units]),
                name,
                colour,
                xanchor="center",
                yanchor=anchor,
                yshift=shift,
            )
        )
    return labels


def _section(
    outline: Sequence[tuple[float, float]],
    width: float,
    others: Sequence[tuple[str, Sequence[tuple[float, float]]]],
) -> list[style.Trace]:
    """Return glass on its shelf in section, in m, and what lies on it."""
    shelf = [(0, -_SHELF), (0, 0), (width, 0), (width, -_SHELF), (0, -_SHELF)]
    return [
        style.body(material, *np.array(points).T, xaxis="x3", yaxis="y3")
        for material, points in (("shelf", shelf), ("glass", outline), *others)
    ]
