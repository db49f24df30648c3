"""What kilncalc asks of shapes, asked of many; `test_browser_edition.py` runs it here and in a browser.

It prints the answers, and must print the same in both.
"""

import json
import math
import random

import shapely
from shapely.geometry import LineString, MultiPoint, Point, Polygon, box

chance = random.Random(18)
told = []


def note(*said):
    """Keep what is said of a shape."""
    told.append(
        [
            float(each) if isinstance(each, (int, float)) and not isinstance(each, bool) else each
            for each in said
        ]
    )


def note_shape(shape):
    """Keep what is known of a shape: its measures, and its corners from the least on."""
    parts = [part for part in getattr(shape, "geoms", [shape]) if not part.is_empty]
    rings = [
        ring for part in parts if part.geom_type == "Polygon" for ring in (part.exterior, *part.interiors)
    ]
    lines = [part for part in parts if part.geom_type == "LineString"]
    corners = sorted(min(tuple(point) for point in ring.coords) for ring in (*rings, *lines))
    counts = sorted(len(ring.coords) for ring in (*rings, *lines))
    note(shape.geom_type, shape.is_empty, shape.is_valid, shape.area, shape.length)
    note(*shape.bounds, *counts, *(x for corner in corners for x in corner))


def place():
    return chance.uniform(0, 0.3), chance.uniform(0, 0.2)


def some_polygon():
    """A star of corners around a place: its sides never cross."""
    (x, y), count = place(), chance.randint(3, 12)
    turns = sorted(chance.uniform(0, 2 * math.pi) for _ in range(count))
    return [(x + r * math.cos(a), y + r * math.sin(a)) for a in turns for r in [chance.uniform(0.005, 0.08)]]


def some_shape(kind):
    if kind == 0:
        (x, y), (wide, high) = place(), place()
        return box(x, y, x + wide + 1e-3, y + high + 1e-3)
    if kind == 1:
        return Point(*place()).buffer(chance.uniform(0.002, 0.06), quad_segs=chance.choice([6, 16, 64]))
    if kind == 2:
        middle, radius = Point(*place()), chance.uniform(0.02, 0.06)
        hole = middle.buffer(radius * chance.uniform(0.2, 0.9), quad_segs=64)
        return middle.buffer(radius, quad_segs=64).difference(hole)
    if kind == 3:
        course = LineString([place() for _ in range(chance.randint(2, 5))])
        return course.buffer(chance.uniform(0.001, 0.02), cap_style="flat", join_style="mitre")
    if kind == 4:
        return MultiPoint([place() for _ in range(chance.randint(1, 40))]).buffer(0.004, quad_segs=6)
    return Polygon(some_polygon())


sheet = box(0.02, 0.02, 0.25, 0.18)
before = sheet
for n in range(240):
    shape = some_shape(n % 6)
    note_shape(shape)
    if not shape.is_valid:
        note(shapely.is_valid_reason(shape).split("[")[0])
        continue
    for made in (
        shape.difference(sheet),
        shape.intersection(sheet),
        sheet.difference(shape),
        before.intersection(shape),
        shape.buffer(-0.003),
        shape.convex_hull,
        shapely.union_all([before, shape, sheet]),
    ):
        note_shape(made)
    around = shapely.oriented_envelope(shape)
    note(around.area, around.length, shape.minimum_rotated_rectangle.area)
    points = [place() for _ in range(50)]
    x, y = zip(*points, strict=True)
    note(*(bool(each) for each in shapely.contains_xy(shape, x, y)))
    note(
        *(shape.distance(Point(*point)) for point in points[:5]),
        *(shape.contains(Point(*point)) for point in points[:5]),
    )
    note(
        shape.intersection(sheet).buffer(-1e-5).within(sheet),
        shape.within(sheet),
        shape == before,
        Point(*points[0]) == Point(*points[0]),
        hash(Point(*points[0])) == hash(Point(*points[0])),
    )
    cut = LineString([place(), place()]).intersection(shape)
    note(cut.length, cut.is_empty, *([len(cut.coords)] if cut.geom_type == "LineString" else [cut.geom_type]))
    if shape.geom_type == "Polygon":
        note(
            shape.exterior.is_ccw,
            len(shape.interiors),
            shape.exterior.distance(Point(*points[0])),
            shape.exterior.length,
        )
        note(Polygon(shape.exterior.coords, shape.interiors and [shape.interiors[0].coords]).area)
    before = shape
for points in (
    [(0, 0), (1, 1), (1, 0), (0, 1)],
    [(0, 0), (1, 0), (0.5, 0)],
    [(0, 0), (1, 0), (1, 1), (0.2, -0.1)],
):
    note(Polygon(points).is_valid, shapely.is_valid_reason(Polygon(points)))
for nothing in (Polygon(), MultiPoint([]), LineString([])):
    note(nothing.is_empty, nothing.area, nothing.geom_type)
note(MultiPoint([(0, 0), (1, 1), (2, 2)]).convex_hull.geom_type)
print(json.dumps(told))
