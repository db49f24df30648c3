"""Outlines in metres, drawn in the units shown: what pictures of things are made of."""

from collections.abc import Iterable
from typing import Any

import numpy as np

from kilncalc.figures import style
from kilncalc.quantities import Show

Points = Iterable[tuple[float, float]]


def box(left: float, right: float, low: float, high: float) -> list[tuple[float, float]]:
    """Return the outline of a rectangle."""
    return [(left, low), (right, low), (right, high), (left, high), (left, low)]


def shape(material: str, outlines: Iterable[Points], show: Show) -> style.Trace:
    """Return outlines [m] filled the way the material is drawn."""
    return style.body(material, *_joined(outlines, show))


def lines(outlines: Iterable[Points], show: Show, look: dict[str, Any]) -> style.Trace:
    """Return lines through points [m]."""
    return style.line(*_joined(outlines, show), look)


def length_axis(what: str, low: float, high: float, show: Show, **keywords: Any) -> dict[str, Any]:
    """Return an axis that counts a length from `low` to `high` [m]."""
    ends = (show.number(low, "length"), show.number(high, "length"))
    return style.axis(f"{what} ({show.symbol('length')})", *ends, **keywords)


def bare_axis(low: float, high: float, show: Show) -> dict[str, Any]:
    """Return an axis for the same lengths [m] that is not drawn, and that never shows more than these."""
    ends = [show.number(low, "length"), show.number(high, "length")]
    return {"range": ends, "visible": False, "fixedrange": True, "constrain": "domain"}


def to_scale(axis: dict[str, Any]) -> dict[str, Any]:
    """Return an upright axis that counts as the other one does, with the thing at its foot."""
    return {**axis, "scaleanchor": "x", "constrain": "domain", "constraintoward": "bottom"}


def count(number: int, what: str) -> str:
    """Return a number of things in words."""
    return f"{number} {what}{'' if number == 1 else 's'}"


def _joined(outlines: Iterable[Points], show: Show) -> tuple[np.ndarray, np.ndarray]:
    """Return several outlines as one, with gaps between them."""
    points = [point for outline in outlines for point in (*outline, (np.nan, np.nan))][:-1]
    x, y = np.array(points).T if points else (np.empty(0), np.empty(0))
    return show.number(x, "length"), show.number(y, "length")
