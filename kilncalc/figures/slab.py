"""Pictures of a slab in section: temperature and stress through it, and where its stress is none."""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from kilncalc import slab
from kilncalc.annealing import NEUTRAL_DEPTH
from kilncalc.error_bars import Bar
from kilncalc.figures import style
from kilncalc.quantities import INCH, Show, from_unit

_MARGIN = {"l": 96, "r": 16, "t": 28, "b": 64}
_PLACES = (
    [0.0, NEUTRAL_DEPTH, 0.5, 1 - NEUTRAL_DEPTH, 1.0],
    ["underside", "21 %", "middle", "79 %", "top face"],
)
_FACES = ([0.0, 0.5, 1.0], ["underside", "middle", "top face"])


def stress_text(value: float, show: Show) -> str:
    """Return a stress in words, always in MPa or psi, so that it can be compared."""
    return show.text(value, "pressure", like=1e6)


def through_the_thickness(result: slab.SteadySlab, show: Show) -> style.Figure:
    """Return temperature and stress through a slab that is heated or cooled through both faces."""
    lag = show.text(result.lag, "temperature_difference")
    pull = stress_text(result.tension, show)
    limit = stress_text(result.allowed_tension, show)
    at_limit = _rate_at_limit(result.rate_at_limit, show)
    middle, faces = ("colder", "pressed") if result.heating else ("hotter", "pulled")
    where = "the middle" if result.heating else "the faces"
    degree = from_unit(1.0, "temperature_difference", show.symbol("temperature_difference"))
    each = stress_text(result.tension_per_degree * degree, show)
    caption = (
        f"The middle is {lag} {middle} than the faces, so the faces are {faces}: {pull} of tension in "
        f"{where} (likely {result.likely.words(show)}), {each} for each "
        f"{show.symbol('temperature_difference')}. The limit of {limit} is reached at {at_limit}."
    )
    worst = int(result.stress.argmax())
    both = [worst, result.stress.size - 1 - worst]
    return style.picture(
        [
            _through(
                show,
                result.height,
                "temperature_difference",
                14.0,
                [("temperature", result.from_mean, style.FIRST)],
                places=_PLACES,
            ),
            _through(
                show,
                result.height,
                "pressure",
                10.5e6,
                [("stress", result.stress, style.THIRD)],
                places=_PLACES,
                worst=(result.stress[both], result.height[both]),
                limit=result.allowed_tension,
                likely=result.likely,
            ),
        ],
        caption,
        [
            style.reading(lag, f"the middle is {middle} than the faces"),
            style.reading(
                pull,
                f"pulls at {where}; likely {result.likely.words(show)}",
                "over" if result.tension > result.allowed_tension else "plain",
            ),
            style.reading(at_limit, f"of the kiln would pull with {limit}"),
            style.reading("21 %", "below each face there is no stress: the dashed lines", "quiet"),
        ],
    )


def neutral_depth(result: slab.NeutralDepth, show: Show) -> style.Figure:
    """Return the lower half of a slab's stress with the depth of no stress, computed and published."""
    lower = result.height <= 0.5
    low, high = (show.number(value, "pressure") for value in (-1.2e6, 0.8e6))
    computed, published = (f"{100 * depth:.1f} %" for depth in (result.computed, result.published))
    caption = (
        f"The stress changes from pressed to pulled at {computed} of the thickness below the face; "
        f"published {published}, so {100 * result.difference:+.1f} %. "
        "The dashed line is the published formula."
    )
    return style.picture(
        [
            style.pane(
                [
                    _section(low, high, top=0.5),
                    style.line(show.number(result.closed_form[lower], "pressure"), result.height[lower]),
                    style.curve(
                        show.number(result.stress[lower], "pressure"),
                        result.height[lower],
                        "computed",
                        style.THIRD,
                    ),
                    style.marks([0.0], [result.published], {**style.MARK_PUBLISHED, "size": 22}),
                    style.marks(
                        [0.0], [result.computed], {**style.MARK_COMPUTED, "size": 9, "color": style.THIRD}
                    ),
                ],
                x=style.axis(f"pressed  ←  {show.symbol('pressure')}  →  pulled", low, high, zeroline=True),
                y=style.axis("depth below the face", -0.02, 0.52, tickformat=".0%"),
                annotations=[
                    style.label(low, 0.02, "face", style.QUIET, xanchor="left", xshift=8),
                    style.label(low, 0.48, "middle", style.QUIET, xanchor="left", xshift=8),
                ],
            )
        ],
        caption,
        [
            style.reading(published, "open diamond: published"),
            style.reading(computed, f"full disc: computed ({100 * result.difference:+.1f} %)", "third"),
        ],
    )


def free_and_flat(result: slab.HeldFlat, show: Show) -> style.Figure:
    """Return temperature and stress through a slab on a shelf that may bow, and of one that is held flat."""
    between = show.text(abs(result.difference), "temperature_difference")
    free, flat = (stress_text(float(stress.max()), show) for stress in (result.free, result.flat))
    limit = stress_text(result.allowed_tension, show)
    times = f"{result.times:.2g} times"
    span = 0.300 if show.metric else 12 * INCH
    length, bow = show.text(span, "length"), show.text(abs(result.bow(span)), "length", like=span)
    may_be = result.likely.words(show)
    caption = (
        f"The top face is {between} hotter than the underside. Free to bow, the glass is pulled with "
        f"{free}; held flat, with {flat} (likely {may_be}), {times} as much; the limit is {limit}. Free, a "
        f"piece of {length} would bow by {bow}."
    )
    worst = int(result.flat.argmax())
    return style.picture(
        [
            _through(
                show,
                result.height,
                "temperature_difference",
                20.0,
                [("temperature", result.from_mean, style.FIRST)],
                places=_FACES,
            ),
            _through(
                show,
                result.height,
                "pressure",
                16e6,
                [("held flat", result.flat, style.THIRD), ("free to bow", result.free, style.FIRST)],
                places=_FACES,
                worst=([float(result.flat[worst])], [float(result.height[worst])]),
                limit=result.allowed_tension,
                named=True,
                likely=result.likely,
            ),
        ],
        caption,
        [
            style.reading(free, "if it is free to bow", "first"),
            style.reading(
                flat,
                f"if it is held flat: {times}; likely {may_be}",
                "over" if float(result.flat.max()) > result.allowed_tension else "third",
            ),
            style.reading(between, "from the underside to the top face"),
            style.reading(bow, f"{length} of it would bow, if free"),
        ],
    )


def _rate_at_limit(rate: float, show: Show) -> str:
    if math.isfinite(rate):
        return show.text(rate, "rate")
    return f"over {show.text(slab.FASTEST_RATE, 'rate')}"


def _through(
    show: Show,
    height: np.ndarray,
    dimension: str,
    end: float,
    curves: Sequence[tuple[str, np.ndarray, str]],
    *,
    places: tuple[list[float], list[str]],
    worst: tuple[Any, Any] | None = None,
    limit: float | None = None,
    named: bool = False,
    likely: Bar | None = None,
) -> style.Pane:
    """Return what goes through a slab, which stands upright behind the curves, `end` [SI] to either side.

    `likely` is between what the largest value of the first curve lies.
    """
    side, symbol = show.number(end, dimension), show.symbol(dimension)
    traces = [_section(-side, side)]
    traces += [style.line([-side, side], [y, y]) for y in places[0] if 0 < y < 1 and y != 0.5]
    annotations = []
    if limit is not None:
        at = show.number(limit, "pressure")
        traces.append(style.line([at, at], [0, 1], style.LIMIT))
        annotations.append(
            style.label(at, 1.0, stress_text(limit, show), style.SECOND, xanchor="center", yanchor="bottom")
        )
    if likely is not None:
        known = curves[0][1]
        gentle, harsh = (
            show.number(known * end / known.max(), "pressure") for end in (likely.low, likely.high)
        )
        traces.append(
            style.band(np.concatenate([gentle, harsh[::-1]]), np.concatenate([height, height[::-1]]))
        )
    for name, values, colour in curves:
        line = {**style.COMPUTED, "color": colour, "shape": "spline"}
        traces.append(style.curve(show.number(values, dimension), height, name, line=line))
    if worst is not None:
        traces.append(style.marks(show.number(worst[0], dimension), worst[1], style.MARK_WORST))
    if named:
        for (name, values, colour), at_height, anchor in zip(
            curves, (0.75, 0.0), ("top", "bottom"), strict=True
        ):
            annotations.append(
                style.label(
                    show.number(float(np.interp(at_height, height, values)), dimension),
                    at_height,
                    name,
                    colour,
                    xanchor="right",
                    yanchor=anchor,
                    xshift=-8,
                )
            )
    less, more = ("pressed", "pulled") if dimension == "pressure" else ("colder", "hotter")
    return style.pane(
        traces,
        x=style.axis(f"{less}  ←  {symbol}  →  {more}", -side, side, zeroline=True),
        y=style.axis("", -0.06, 1.12, tickvals=places[0], ticktext=places[1], showgrid=False),
        annotations=annotations,
        margin=_MARGIN,
    )


def _section(low: float, high: float, top: float = 1.0) -> style.Trace:
    """Return the slab in section behind the curves."""
    return style.body("glass", [low, high, high, low, low], [0, 0, top, top, 0], opacity=0.35)
