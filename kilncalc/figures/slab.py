"""Pictures of a slab in section: temperature and stress through it, and where its stress is none."""

from typing import Any

import numpy as np

from kilncalc.annealing import NEUTRAL_DEPTH
from kilncalc.figures import style
from kilncalc.quantities import INCH, as_text, to_unit

STRESS_UNIT = {"metric": "MPa", "inches": "psi"}
DIFFERENCE_UNIT = {"metric": "°C", "inches": "°F"}

_FASTER_THAN_KILNS = 1000.0
"""Rate [degC/h] above which a number would say nothing about any kiln."""

_MARGIN = {"l": 96, "r": 10, "t": 16, "b": 64}
_PLACES = [0.0, NEUTRAL_DEPTH, 0.5, 1 - NEUTRAL_DEPTH, 1.0]
_PLACE_NAMES = ["underside", "21 %", "middle", "79 %", "top face"]


def through_the_thickness(
    *,
    height: np.ndarray,
    temperature: np.ndarray,
    stress: np.ndarray,
    tension: float,
    allowed: float,
    rate_at_limit: float,
    largest_difference: float,
    largest_stress: float,
    heating: bool,
    units: str,
) -> style.Figure:
    """Return temperature and stress through a slab that is heated or cooled from both faces.

    `height` is the share of the thickness [-], `temperature` in degC, stresses in Pa, `rate_at_limit` in
    degC/h; the axes reach to `largest_difference` [K] and `largest_stress` [Pa] either way.
    """
    unit, degrees = STRESS_UNIT[units], DIFFERENCE_UNIT[units]
    mean = float(np.trapezoid(temperature, height))
    difference = to_unit(temperature - mean, "temperature_difference", degrees)
    pulled = to_unit(stress, "pressure", unit)
    side = to_unit(largest_difference, "temperature_difference", degrees)
    end = to_unit(largest_stress, "pressure", unit)
    lag = as_text(float(np.ptp(temperature)), "temperature_difference", units)
    pull = as_text(tension, "pressure", units)
    limit = as_text(allowed, "pressure", units)
    at_limit = as_text(min(rate_at_limit, _FASTER_THAN_KILNS), "rate", units)
    if rate_at_limit > _FASTER_THAN_KILNS:
        at_limit = f"over {at_limit}"
    middle, faces = ("colder", "pressed") if heating else ("hotter", "pulled")
    where = "the middle" if heating else "the faces"
    worst = int(stress.argmax())
    mirrored = len(stress) - 1 - worst
    caption = (
        f"The middle is {lag} {middle} than the faces, so the faces are {faces}: {pull} of tension in "
        f"{where}. The limit of {limit} is reached at {at_limit}."
    )
    return style.figure(
        [
            _section(-side, side),
            _line([-side, side], NEUTRAL_DEPTH),
            _line([-side, side], 1 - NEUTRAL_DEPTH),
            _smooth(difference, height, "temperature", style.FIRST),
            _section(-end, end, xaxis="x2"),
            _line([-end, end], NEUTRAL_DEPTH, xaxis="x2"),
            _line([-end, end], 1 - NEUTRAL_DEPTH, xaxis="x2"),
            style.line([to_unit(allowed, "pressure", unit)] * 2, [0, 1], style.LIMIT, xaxis="x2"),
            _smooth(pulled, height, "stress", style.THIRD, xaxis="x2"),
            style.marks(pulled[[worst, mirrored]], height[[worst, mirrored]], style.MARK_WORST, xaxis="x2"),
        ],
        caption,
        margin=_MARGIN,
        xaxis=style.axis(
            f"colder  ←  than the mean ({degrees})  →  hotter", -side, side, domain=[0.0, 0.33], zeroline=True
        ),
        xaxis2=style.axis(
            f"pressed  ←  stress ({unit})  →  pulled", -end, end, domain=[0.36, 0.69], zeroline=True
        ),
        yaxis=style.axis("", -0.06, 1.06, tickvals=_PLACES, ticktext=_PLACE_NAMES, showgrid=False),
        annotations=[
            style.label(
                to_unit(allowed, "pressure", unit),
                1.03,
                f"{limit}",
                style.SECOND,
                xref="x2",
                xanchor="left",
                yanchor="middle",
                xshift=6,
            ),
            style.words(0.72, 0.99, f"<b>{lag}</b>", 30),
            style.words(0.72, 0.86, f"the middle is {middle} than the faces", 17),
            style.words(0.72, 0.70, f"<b>{pull}</b>", 30, style.SECOND if tension > allowed else style.INK),
            style.words(0.72, 0.57, f"pulls at {where}", 17),
            style.words(0.72, 0.41, f"<b>{at_limit}</b>", 30),
            style.words(0.72, 0.28, f"would pull with {limit}", 17),
            style.words(0.72, 0.12, "dashed: no stress, at 21 % of the<br>thickness below each face", 16),
        ],
    )


def neutral_depth(
    *,
    height: np.ndarray,
    stress: np.ndarray,
    closed_form: np.ndarray,
    computed: float,
    published: float,
    units: str,
) -> style.Figure:
    """Return the lower half of a slab's stress with the depth of no stress, computed and published [-]."""
    unit = STRESS_UNIT[units]
    lower = height <= 0.5
    difference = computed / published - 1
    low, high = to_unit(-1.2e6, "pressure", unit), to_unit(0.8e6, "pressure", unit)
    caption = (
        f"The stress changes from pressed to pulled at {computed:.1%} of the thickness below the face; "
        f"published {published:.1%}, so {difference:+.1%}. The dashed line is the published formula."
    )
    return style.figure(
        [
            _section(low, high, top=0.5),
            style.line(to_unit(closed_form[lower], "pressure", unit), height[lower]),
            style.curve(to_unit(stress[lower], "pressure", unit), height[lower], "computed", style.THIRD),
            style.marks([0.0], [published], {**style.MARK_PUBLISHED, "size": 22}),
            style.marks([0.0], [computed], {**style.MARK_COMPUTED, "size": 9, "color": style.THIRD}),
        ],
        caption,
        margin=_MARGIN,
        xaxis=style.axis(f"pressed  ←  stress ({unit})  →  pulled", low, high, zeroline=True),
        yaxis=style.axis("depth below the face", -0.02, 0.52, tickformat=".0%"),
        annotations=[
            style.label(
                0.0,
                published,
                f"open diamond: published {published:.1%}<br>full disc: computed {computed:.1%}"
                f" ({difference:+.1%})",
                xanchor="left",
                xshift=24,
                yshift=-14,
            ),
            style.label(low, 0.02, "face", style.QUIET, xanchor="left", xshift=8),
            style.label(low, 0.48, "middle of the slab", style.QUIET, xanchor="left", xshift=8),
        ],
    )


def free_and_flat(
    *,
    height: np.ndarray,
    temperature: np.ndarray,
    free: np.ndarray,
    flat: np.ndarray,
    curvature: float,
    allowed: float,
    largest_difference: float,
    largest_stress: float,
    units: str,
) -> style.Figure:
    """Return temperature and stress through a slab on a shelf that may bow, and of one that is held flat.

    `height` is the share of the thickness [-], `temperature` in degC, stresses in Pa, `curvature` of the
    free slab in 1/m.
    """
    unit, degrees = STRESS_UNIT[units], DIFFERENCE_UNIT[units]
    mean = float(np.trapezoid(temperature, height))
    side = to_unit(largest_difference, "temperature_difference", degrees)
    end = to_unit(largest_stress, "pressure", unit)
    between = as_text(abs(float(temperature[-1] - temperature[0])), "temperature_difference", units)
    free_pull, flat_pull = (as_text(float(s.max()), "pressure", units) for s in (free, flat))
    limit = as_text(allowed, "pressure", units)
    over = float(flat.max()) > allowed
    times = float(flat.max() / free.max())
    span = 0.300 if units == "metric" else 12 * INCH
    bow = curvature * span**2 / 8
    hollow = f"{1e3 * bow:.2f} mm" if units == "metric" else f"{bow / INCH:.4f} in"
    length = as_text(span, "length", units)
    caption = (
        f"The top face is {between} hotter than the underside. Free to bow, the glass is pulled with "
        f"{free_pull}; held flat, with {flat_pull}, {times:.2g} times as much. Free, a piece of "
        f"{length} would bow by {hollow}."
    )
    return style.figure(
        [
            _section(-side, side),
            _smooth(
                to_unit(temperature - mean, "temperature_difference", degrees),
                height,
                "temperature",
                style.FIRST,
            ),
            _section(-end, end, xaxis="x2"),
            style.line([to_unit(allowed, "pressure", unit)] * 2, [0, 1], style.LIMIT, xaxis="x2"),
            _smooth(to_unit(free, "pressure", unit), height, "free to bow", style.FIRST, xaxis="x2"),
            _smooth(to_unit(flat, "pressure", unit), height, "held flat", style.THIRD, xaxis="x2"),
            style.marks(
                [to_unit(float(flat.max()), "pressure", unit)],
                [height[int(flat.argmax())]],
                style.MARK_WORST,
                xaxis="x2",
            ),
        ],
        caption,
        margin=_MARGIN,
        xaxis=style.axis(
            f"colder  ←  than the mean ({degrees})  →  hotter", -side, side, domain=[0.0, 0.30], zeroline=True
        ),
        xaxis2=style.axis(
            f"pressed  ←  stress ({unit})  →  pulled", -end, end, domain=[0.33, 0.69], zeroline=True
        ),
        yaxis=style.axis(
            "",
            -0.06,
            1.06,
            tickvals=[0, 0.5, 1],
            ticktext=["underside", "middle", "top face"],
            showgrid=False,
        ),
        annotations=[
            style.label(
                to_unit(allowed, "pressure", unit),
                1.03,
                limit,
                style.SECOND,
                xref="x2",
                xanchor="left",
                yanchor="middle",
                xshift=6,
            ),
            style.label(
                to_unit(float(np.interp(0.75, height, flat)), "pressure", unit),
                0.75,
                "held flat",
                style.THIRD,
                xref="x2",
                xanchor="right",
                yanchor="top",
                xshift=-8,
                yshift=-4,
            ),
            style.label(
                to_unit(float(free[0]), "pressure", unit),
                0.0,
                "free to bow",
                style.FIRST,
                xref="x2",
                xanchor="right",
                yanchor="bottom",
                xshift=-8,
                yshift=4,
            ),
            style.words(0.72, 0.99, f"<b>{free_pull}</b>", 30, style.FIRST),
            style.words(0.72, 0.86, "if it is free to bow", 17),
            style.words(0.72, 0.70, f"<b>{flat_pull}</b>", 30, style.SECOND if over else style.THIRD),
            style.words(0.72, 0.57, f"if it is held flat: {times:.2g} times", 17),
            style.words(0.72, 0.41, f"<b>{between}</b>", 30),
            style.words(0.72, 0.28, "from the underside to the top face", 17),
            style.words(0.72, 0.14, f"free, {length} of it would<br>bow by {hollow}", 16),
        ],
    )


def _section(low: float, high: float, top: float = 1.0, **keywords: Any) -> style.Trace:
    """Return the slab in section behind the curves."""
    return style.body("glass", [low, high, high, low, low], [0, 0, top, top, 0], opacity=0.35, **keywords)


def _line(x: list[float], height: float, **keywords: Any) -> style.Trace:
    return style.line(x, [height, height], **keywords)


def _smooth(x: np.ndarray, height: np.ndarray, name: str, colour: str, **keywords: Any) -> style.Trace:
    line = {**style.COMPUTED, "color": colour, "shape": "spline"}
    return style.curve(x, height, name, line=line, **keywords)
