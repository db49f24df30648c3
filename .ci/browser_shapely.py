"""In shapely's place in the browser edition: what kilncalc calls of it, reckoned by GEOS, as shapely does.

Nobody offers shapely itself compiled for this interpreter. `tests/browser/shapes.py` compares the two.
"""
# ruff: noqa: D101, D102, D103 -- the names are shapely's, and so is what they mean

import struct
import sys
from pathlib import Path

import js
import numpy as np
from pyodide.ffi import to_js

_HERE = Path(__file__).parent
_geos = js.Function.new("wasm", (_HERE / "geos.js").read_text())(to_js((_HERE / "geos.wasm").read_bytes()))
_POINT, _LINE, _POLYGON, _MANY, _ALL = 1, 2, 3, (4, 5, 6, 7), 7
_CAPS = {"round": 1, "flat": 2, "square": 3}
_JOINS = {"round": 1, "mitre": 2, "bevel": 3}


class Geometry:
    """A shape in the library's memory, until nobody here knows it any more."""

    def __init__(self, wkb):
        self._at = _geos.read(to_js(wkb))

    def __del__(self):
        _geos.destroy(self._at)

    def __eq__(self, other):
        return type(self) is type(other) and self._wkb == other._wkb

    def __hash__(self):
        return hash(self._wkb)

    @property
    def _wkb(self):
        return _geos.written(self._at).to_bytes()

    @property
    def geom_type(self):
        return type(self).__name__

    @property
    def is_empty(self):
        return _geos.says("GEOSisEmpty", self._at)

    @property
    def is_valid(self):
        return _geos.says("GEOSisValid", self._at)

    @property
    def area(self):
        return _numbers("GEOSArea", 1, self._at)[0]

    @property
    def length(self):
        return _numbers("GEOSLength", 1, self._at)[0]

    @property
    def bounds(self):
        """The least x and y, the largest x and y."""
        if self.is_empty:
            return (np.nan,) * 4
        return tuple(_numbers("GEOSGeom_getExtent", 4, self._at))

    @property
    def convex_hull(self):
        return _made("GEOSConvexHull", self._at)

    @property
    def minimum_rotated_rectangle(self):
        return _made("GEOSMinimumRotatedRectangle", self._at)

    def buffer(self, distance, quad_segs=16, cap_style="round", join_style="round", mitre_limit=5.0):
        style = (quad_segs, _CAPS[cap_style], _JOINS[join_style], mitre_limit)
        return _made("GEOSBufferWithStyle", self._at, float(distance), *style)

    def intersection(self, other):
        return _made("GEOSIntersection", self._at, other._at)

    def difference(self, other):
        return _made("GEOSDifference", self._at, other._at)

    def distance(self, other):
        return _numbers("GEOSDistance", 1, self._at, other._at)[0]

    def contains(self, other):
        return _geos.says("GEOSContains", self._at, other._at)

    def within(self, other):
        return _geos.says("GEOSWithin", self._at, other._at)


class Point(Geometry):
    def __init__(self, x, y):
        super().__init__(struct.pack("<BIdd", 1, _POINT, x, y))


class LineString(Geometry):
    def __init__(self, points):
        super().__init__(struct.pack("<BI", 1, _LINE) + _row(points))

    @property
    def coords(self):
        return list(map(tuple, _rows(self._wkb, 5, 1)[0]))


class LinearRing(LineString):
    """The rim of a polygon or of a hole in it."""

    @property
    def is_ccw(self):
        x, y = np.array(self.coords).T
        return bool(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]) > 0)


class Polygon(Geometry):
    def __init__(self, shell=(), holes=()):
        rings = [_closed(ring) for ring in (shell, *holes) if len(ring)]
        super().__init__(struct.pack("<BII", 1, _POLYGON, len(rings)) + b"".join(map(_row, rings)))

    @property
    def _rings(self):
        wkb = self._wkb
        return [LinearRing(row) for row in _rows(wkb, 9, struct.unpack_from("<I", wkb, 5)[0])]

    @property
    def exterior(self):
        return (self._rings or [LinearRing(())])[0]

    @property
    def interiors(self):
        return self._rings[1:]


class GeometryCollection(Geometry):
    def __init__(self, parts=()):
        super().__init__(_many(_ALL, parts))

    @property
    def geoms(self):
        return [_known(at) for at in _geos.parts(self._at)]


class MultiPoint(GeometryCollection):
    def __init__(self, points=()):
        Geometry.__init__(self, _many(4, [Point(x, y) for x, y in points]))


class MultiLineString(GeometryCollection):
    pass


class MultiPolygon(GeometryCollection):
    pass


_BY_TYPE = (
    Point, LineString, LinearRing, Polygon, MultiPoint, MultiLineString, MultiPolygon, GeometryCollection,
)  # fmt: skip


def _numbers(name, count, *given):
    return _geos.numbers(name, count, *given).to_py().tolist()


def _known(at):
    """Return a shape that is in the library's memory, by its type."""
    shape = object.__new__(_BY_TYPE[_geos.type(at)])
    shape._at = at
    return shape


def _made(name, *given):
    return _known(_geos.made(name, *given))


def _row(points):
    points = np.asarray(points, dtype="<f8").reshape(-1, 2)
    return struct.pack("<I", len(points)) + points.tobytes()


def _closed(ring):
    points = np.asarray(ring, dtype=float)
    return points if (points[0] == points[-1]).all() else np.vstack([points, points[:1]])


def _rows(wkb, place, count):
    """Return so many rows of points, which begin at a place of the bytes of a shape."""
    rows = []
    for _ in range(count):
        (length,) = struct.unpack_from("<I", wkb, place)
        rows.append(np.frombuffer(wkb, "<f8", 2 * length, place + 4).reshape(-1, 2).tolist())
        place += 4 + 16 * length
    return rows


def _many(kind, parts):
    parts = [part._wkb for part in parts]
    return struct.pack("<BII", 1, kind, len(parts)) + b"".join(parts)


def box(left, low, right, high):
    return Polygon([(right, low), (right, high), (left, high), (left, low)])


def is_valid_reason(shape):
    return _geos.reason(shape._at)


def oriented_envelope(shape):
    return shape.minimum_rotated_rectangle


def contains_xy(shape, x, y):
    x, y = (np.ascontiguousarray(each, dtype=float) for each in (x, y))
    return np.frombuffer(_geos.inside(shape._at, to_js(x), to_js(y)).to_bytes(), bool)


def union_all(shapes):
    together = GeometryCollection(shapes)
    return _made("GEOSUnaryUnion", together._at)


sys.modules["shapely.geometry"] = sys.modules[__name__]
