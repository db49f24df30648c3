"""Outlines of flat pieces: corners, how straight a side is, the largest rectangle on a straight line."""

from itertools import pairwise
from math import acos, cos, hypot, sin
from typing import NamedTuple

import numpy as np
from shapely import MultiPoint, Polygon, is_valid_reason, oriented_envelope

from kilncalc._ranges import SAME_LENGTH, ArrayLike, in_range

_MOST_POINTS = 400

_DUST = 1e-6
"""Two heights closer than this [m] differ by rounding along a steep side."""


class Room(NamedTuple):
    """A strip of the place above a base line: between x and x_end, glass reaches up to these heights."""

    x: float
    x_end: float
    height: float
    height_end: float


class Box(NamedTuple):
    """A rectangle standing on a base line."""

    x: float
    length: float
    width: float


def checked(outline: ArrayLike) -> np.ndarray:
    """Return an outline as an (n, 2) array of corners in metres, or say what is wrong with it."""
    try:
        points = np.asarray(outline, dtype=float)
    except (TypeError, ValueError):
        points = np.empty(0)
    if points.ndim != 2 or points.shape[1:] != (2,):
        raise ValueError("outline must be a list of corners (x, y) in m, in the order around the piece")
    in_range("outline", points, "m", -5.0, 5.0)
    if len(points) > 1 and np.allclose(points[0], points[-1], rtol=0, atol=SAME_LENGTH):
        points = points[:-1]
    if not 4 <= len(points) <= _MOST_POINTS:
        raise ValueError(f"outline has {len(points)} corners; allowed are 4 to {_MOST_POINTS}")
    shape = Polygon(points)
    if not shape.is_valid:
        where = is_valid_reason(shape).partition("[")[2].rstrip("]").split()
        place = f" at x {float(where[0]):.4g} m, y {float(where[1]):.4g} m" if len(where) == 2 else ""
        raise ValueError(
            f"the outline crosses itself{place}: give its corners in the order around the piece, each once"
        )
    if shape.area < 1e-6:
        raise ValueError(f"the outline encloses {shape.area * 1e6:.3g} mm², less than 1 mm²")
    return points


def four_corners(points: np.ndarray) -> list[int]:
    """Return which points are the corners of a piece with four sides, in the order of the outline."""
    if len(points) == 4:
        return [0, 1, 2, 3]
    around = np.asarray(oriented_envelope(MultiPoint(points)).exterior.coords)[:4]
    nearest = {int(np.argmin(np.hypot(*(points - corner).T))) for corner in around}
    if len(nearest) < 4:
        raise ValueError("the outline does not have four sides: give its four corners, or trace it again")
    return sorted(nearest)


def straightest_line(side: np.ndarray) -> tuple[float, float]:
    """Return direction [rad] and departure [m] of the line that a side leaves least, from peak to valley.

    The least distance between two parallel lines that hold all points (minimum zone): one of the two
    then lies on an edge of their convex hull.
    """
    start, end = side[0], side[-1]
    along = float(np.arctan2(*(end - start)[::-1]))
    hull = MultiPoint(side).convex_hull
    if len(side) == 2 or hull.geom_type == "LineString":
        return along, 0.0
    best = along, float("inf")
    for one, other in pairwise(np.asarray(hull.exterior.coords)):
        direction = float(np.arctan2(*(other - one)[::-1]))
        if cos(direction - along) < 0:
            direction += np.pi
        across = side @ np.array([-sin(direction), cos(direction)])
        departure = float(np.ptp(across))
        if departure < best[1]:
            best = direction, departure
    return best


def turned(points: np.ndarray, direction: float) -> np.ndarray:
    """Return points turned so that a direction [rad] becomes that of x."""
    c, s = cos(direction), sin(direction)
    return points @ np.array([[c, -s], [s, c]])


def rooms_above(points: np.ndarray, base: float) -> list[Room]:
    """Return, strip by strip, how far glass reaches straight up from the line y = base."""
    starts, ends = points, np.roll(points, -1, axis=0)
    rising = ends[:, 1] != starts[:, 1]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(rising, (base - starts[:, 1]) / (ends[:, 1] - starts[:, 1]), -1.0)
    crossing = (share > 0) & (share < 1)
    at = starts[crossing, 0] + share[crossing] * (ends[crossing, 0] - starts[crossing, 0])
    places = np.unique(np.concatenate([points[:, 0], at]).round(12))
    rooms = []
    for x, x_end in pairwise(places):
        if x_end - x < SAME_LENGTH:
            continue
        middle = (x + x_end) / 2
        left, right = np.minimum(starts[:, 0], ends[:, 0]), np.maximum(starts[:, 0], ends[:, 0])
        over = (left < middle) & (right > middle)
        a, b = starts[over], ends[over]
        slope = (b[:, 1] - a[:, 1]) / (b[:, 0] - a[:, 0])
        heights = a[:, 1] + slope * (np.array([[x], [middle], [x_end]]) - a[:, 0]) - base
        order = np.argsort(heights[1])
        for low, high in zip(order[::2], order[1::2], strict=True):
            if heights[1, low] <= SAME_LENGTH and heights[1, high] > SAME_LENGTH:
                first, last = (max(float(height), 0.0) for height in heights[[0, 2], high])
                rooms.append(Room(float(x), float(x_end), first, last))
    return rooms


def stretches(rooms: list[Room], height: float) -> list[tuple[float, float]]:
    """Return where along the base line glass reaches at least this height, as (x, x_end)."""
    found: list[tuple[float, float]] = []
    for x, x_end, first, last in rooms:
        if max(first, last) < height:
            continue
        start, end = x, x_end
        if first < height:
            start = x + (height - first) / (last - first) * (x_end - x)
        elif last < height:
            end = x + (height - first) / (last - first) * (x_end - x)
        if found and start - found[-1][1] < SAME_LENGTH:
            found[-1] = found[-1][0], end
        else:
            found.append((start, end))
    return found


def longest(rooms: list[Room], height: float) -> tuple[float, float]:
    """Return start and length of the longest stretch that reaches this height; length 0 if there is none."""
    if not (found := stretches(rooms, height)):
        return 0.0, 0.0
    start, end = max(found, key=lambda stretch: stretch[1] - stretch[0])
    return start, end - start


def largest_box(rooms: list[Room]) -> Box:
    """Return the rectangle of largest area that stands on the base line.

    Between two heights at which the roof has a corner, the ends of each stretch move in a straight line
    with the height h, so its area is h (p + q h): largest at one of the two heights, or at h = -p/(2q).
    """
    levels = sorted({0.0, *(room.height for room in rooms), *(room.height_end for room in rooms)})
    best = Box(0.0, 0.0, 0.0)
    for low, high in pairwise(levels):
        if high - low < _DUST:
            continue
        near, far = (low + share * (high - low) for share in (0.25, 0.75))
        for (x1, end1), (x2, end2) in zip(stretches(rooms, near), stretches(rooms, far), strict=True):
            q = ((end2 - x2) - (end1 - x1)) / (far - near)
            p = (end1 - x1) - q * near
            heights = [high]
            if q < 0 and low < -p / (2 * q) < high:
                heights.append(-p / (2 * q))
            for height in heights:
                if (p + q * height) * height > best.length * best.width * (1 + 1e-12):
                    x = x1 + (x2 - x1) / (far - near) * (height - near)
                    best = Box(x, p + q * height, height)
    return best


def quadrilateral(sides: list[float], diagonal: float) -> np.ndarray:
    """Return corners A, B, C, D from sides AB, BC, CD, DA and diagonal AC; A at 0, B on the x axis."""
    ab, bc, cd, da = sides
    for one, other, name in ((ab, bc, "AB and BC"), (cd, da, "CD and DA")):
        if not abs(one - other) < diagonal < one + other:
            raise ValueError(
                f"the diagonal AC is {diagonal * 1e3:.4g} mm, but with the sides {name} of "
                f"{one * 1e3:.4g} and {other * 1e3:.4g} mm it must lie between "
                f"{abs(one - other) * 1e3:.4g} and {(one + other) * 1e3:.4g} mm"
            )
    at_b = acos((ab**2 + diagonal**2 - bc**2) / (2 * ab * diagonal))
    at_d = acos((da**2 + diagonal**2 - cd**2) / (2 * da * diagonal))
    c = diagonal * cos(at_b), diagonal * sin(at_b)
    d = da * cos(at_b + at_d), da * sin(at_b + at_d)
    return np.array([(0.0, 0.0), (ab, 0.0), c, d])


def distance(one: np.ndarray, other: np.ndarray) -> float:
    """Return the distance of two points [m]."""
    return hypot(*(one - other))
