"""Pictures of molten glass that comes to rest: a stack of sheets, a pool and what holds its edge."""

import numpy as np

from kilncalc.figures import style
from kilncalc.figures._shapes import box, count, length_axis, lines, shape, to_scale
from kilncalc.layers import StackAtRest
from kilncalc.quantities import Show
from kilncalc.settling import PoolsCompared

_STILL = 0.05e-3
"""An edge that moves less than this [m] is said to stay."""


def stack(found: StackAtRest, show: Show) -> style.Figure:
    """Return the right half of a stack in section, to scale: as laid up, and settled."""
    end = found.stack
    half, top = end.side / 2, end.thickness
    x, z = end.outline
    outline = [(0.0, 0.0), *zip(x, z, strict=True), (0.0, end.end_thickness), (0.0, 0.0)]
    each = found.sheet_thickness
    laid = [box(0.0, half, i * each, (i + 1) * each) for i in range(found.sheets)]
    dams = [] if end.dam is None else [box(end.dam / 2, end.dam / 2 + 0.008, 0.0, 0.024)]
    moved = show.text(abs(end.draw_in), "length", like=half)
    if abs(end.draw_in) < _STILL:
        says, value, below = "each edge stays where it was", "0", "each edge stays"
    else:
        way = "draws in" if end.draw_in > 0 else "spreads"
        says, value, below = f"each edge {way} {moved}, its rounding included", moved, f"each edge {way}"
    caption = (
        f"{count(found.sheets, 'sheet')}, {show.text(top, 'length')} thick, on a square of "
        f"{show.text(end.side, 'length')}. Free, this glass comes to rest {show.text(end.settled, 'length')} "
        f"thick. Here it ends {show.text(end.end_thickness, 'length')} thick, and {says}"
        f"{': the dams hold it' if end.held else ''}."
    )
    right, low, high = 0.128, -0.003, 0.026
    pane = style.pane(
        [
            shape("shelf", [box(0.0, right, low, 0.0)], show),
            shape("mould", dams, show),
            shape("glass", [outline], show),
            lines(laid, show, {"dash": "dash", "width": 2, "color": style.INK}),
            lines([[(0.0, end.settled), (right, end.settled)]], show, style.REFERENCE),
        ],
        x=length_axis("from the middle", 0.0, right, show, constrain="domain"),
        y=to_scale(length_axis("height", low, high, show)),
        annotations=[
            style.label(
                show.number(right, "length"),
                show.number(end.settled, "length"),
                "settled",
                style.QUIET,
                xanchor="right",
                yanchor="bottom",
            )
        ],
        height=260,
    )
    readings = [
        style.reading(show.text(top, "length"), "laid up (dashed)"),
        style.reading(show.text(end.end_thickness, "length"), "in the middle, at the end"),
        style.reading(value, below, "plain" if end.draw_in > -_STILL else "second"),
        style.reading(
            count(found.keeping.nearest.count, "sheet"), "come nearest to the settled thickness", "quiet"
        ),
    ]
    return style.picture([pane], caption, readings)


def pools(found: PoolsCompared, show: Show) -> style.Figure:
    """Return a pool on a kiln shelf in section, to scale, and thickness against the tension that holds it."""
    thick = found.on_shelf[1]
    caption = (
        f"At an angle of {found.contact_angle:.0f}° a pool on the shelf stands {show.text(thick, 'length')} "
        "high; the 120° of kiln wash are fitted to the trade's rule. On tin nothing is fitted: the same "
        f"balance gives {show.text(found.on_tin[1], 'length')}, published for float glass is about "
        f"{show.text(found.published, 'length')}: {found.difference:+.0%}."
    )
    return style.picture([_pool(found, show), _balance(found, show)], caption)


def _pool(found: PoolsCompared, show: Show) -> style.Pane:
    x, z = found.edge
    thick, angle = found.on_shelf[1], found.contact_angle
    left, right, low, high = -0.024, 0.006, -0.003, 0.012
    wide = x >= left
    outline = [(left, 0.0), *zip(x[wide], z[wide], strict=True), (left, float(z[wide][-1])), (left, 0.0)]
    turns = np.radians(np.linspace(0.0, angle, 30))  # from the shelf, through the glass
    arc = [(-0.0022 * np.cos(turn), 0.0022 * np.sin(turn)) for turn in turns]
    slope = [(0.0, 0.0), (-0.005 * np.cos(turns[-1]), 0.005 * np.sin(turns[-1]))]

    def beside(at: tuple[float, float], text: str, colour: str, **keywords: object) -> dict[str, object]:
        x_at, y_at = (show.number(place, "length") for place in at)
        return style.label(x_at, y_at, text, colour, **keywords)

    return style.pane(
        [
            shape("shelf", [box(left, right, low, 0.0)], show),
            shape("glass", [outline], show),
            lines([[(left, thick), (right, thick)]], show, style.REFERENCE),
            lines([arc, slope], show, {"width": 3, "color": style.SECOND}),
        ],
        x=length_axis("from the foot of the edge", left, right, show, constrain="domain"),
        y=to_scale(length_axis("height", low, high, show)),
        annotations=[
            beside(
                (right, thick), show.text(thick, "length"), style.QUIET, xanchor="right", yanchor="bottom"
            ),
            beside((left + 0.001, thick / 2), "weight →", style.INK, xanchor="left"),
            beside((left + 0.001, thick), "← tension", style.INK, xanchor="left", yanchor="bottom"),
            beside((-0.0026, 0.0022), f"{angle:.0f}°", style.SECOND, xanchor="right"),
        ],
        height=320,
    )


def _balance(found: PoolsCompared, show: Show) -> style.Pane:
    def point(at: tuple[float, float], look: dict[str, object], name: str) -> style.Trace:
        return style.marks([at[0]], [show.number(at[1], "length")], look, name=name)

    def beside(at: tuple[float, float], text: str, colour: str, **keywords: object) -> dict[str, object]:
        return style.label(at[0], show.number(at[1], "length"), text, colour, **keywords)

    published, late = (found.on_tin[0], found.published), -6
    on_shelf, on_tin = ((found.tension[late], c[late]) for c in (found.shelf_curve, found.tin_curve))
    return style.pane(
        [
            style.curve(found.tension, show.number(found.shelf_curve, "length"), "on a shelf"),
            style.curve(found.tension, show.number(found.tin_curve, "length"), "on tin", style.SECOND),
            point(found.on_tin, {**style.MARK_COMPUTED, "color": style.SECOND}, "computed on tin"),
            point(published, style.MARK_PUBLISHED, "published on tin"),
            point(found.on_shelf, style.MARK_COMPUTED, "computed on a shelf"),
        ],
        x=style.axis("tension that holds the edge (N/m)", 0.12, 0.68),
        y=length_axis("settled thickness", 0.003, 0.010, show),
        annotations=[
            beside(on_shelf, "shelf", style.FIRST, xanchor="center", yshift=-22),
            beside(on_tin, "tin", style.SECOND, xanchor="right", yshift=18),
            beside(published, f"published ({found.difference:+.0%})", style.INK, yshift=20),
            beside(found.on_tin, "computed", style.SECOND, xanchor="right", xshift=-12, yshift=4),
        ],
        height=320,
    )
