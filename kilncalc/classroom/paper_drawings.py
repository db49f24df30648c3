"""Line drawings for paper: SVG to scale in millimetres, black on white, readable without colour."""

import html
import math
from collections.abc import Iterable, Sequence

import numpy as np
from shapely import Geometry
from shapely.geometry import LineString, box

from kilncalc import plan_laid
from kilncalc.cutting import CutSheet
from kilncalc.figures.style import FONT
from kilncalc.kiln_turns import Turn
from kilncalc.project import Project
from kilncalc.project_parts import Frit, shape_of
from kilncalc.quantities import Show
from kilncalc.schedule import Schedule

SCALES = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50)
"""One to so many: the scales of drawings."""

WIDTH, HEIGHT = 165.0, 105.0
"""Largest drawing [mm]: it stands on A4 and on Letter with room beside it."""

_TEXT = 3.4  # mm
_THIN, _BOLD = 0.18, 0.45  # mm


def _svg(width: float, height: float, words: str, inside: Iterable[str]) -> str:
    """Return a drawing that is `width` by `height` millimetres on paper."""
    return (
        f'<svg role="img" aria-label="{html.escape(words)}" width="{width:.2f}mm" height="{height:.2f}mm" '
        f'viewBox="0 0 {width:.2f} {height:.2f}" style="width:{width:.2f}mm;height:{height:.2f}mm" '
        f'font-family="{html.escape(FONT)}" font-size="{_TEXT}" fill="none" stroke="#000" '
        f'stroke-width="{_THIN}">{"".join(inside)}</svg>'
    )


def _words(x: float, y: float, text: str, anchor: str = "start") -> str:
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" text-anchor="{anchor}" fill="#000" stroke="none">'
        f"{html.escape(text)}</text>"
    )


def _line(x1: float, y1: float, x2: float, y2: float, more: str = "") -> str:
    return f'<line x1="{x1:.3f}" y1="{y1:.3f}" x2="{x2:.3f}" y2="{y2:.3f}" {more}/>'


class _Sheet:
    """From metres on a piece to millimetres on paper; y upwards becomes y downwards."""

    def __init__(self, x: float, y: float, height: float, scale: float) -> None:
        self.x, self.y, self.height, self.scale = x, y, height, scale

    def at(self, x: float, y: float) -> tuple[float, float]:
        return self.x + x * 1e3 / self.scale, self.y + (self.height - y) * 1e3 / self.scale

    def path(self, outline: Geometry, more: str = "") -> str:
        """Return an outline with its holes as one path."""
        if outline.is_empty:
            return ""
        parts = getattr(outline, "geoms", [outline])
        rings = [
            ring for part in parts if part.geom_type == "Polygon" for ring in (part.exterior, *part.interiors)
        ]
        lines = [part.coords for part in parts if part.geom_type == "LineString"]
        drawn = "".join(self._ring(ring.coords) + "Z" for ring in rings)
        drawn += "".join(self._ring(line) for line in lines)
        return f'<path d="{drawn}" fill-rule="evenodd" {more}/>'

    def _ring(self, points: Iterable[Sequence[float]]) -> str:
        return "M" + "L".join("{:.3f} {:.3f}".format(*self.at(point[0], point[1])) for point in points)


def scale_for(length: float, width: float) -> int:
    """Return the largest scale, one to so many, at which a length and a width [m] stand on the paper."""
    for scale in SCALES:
        if length * 1e3 / scale <= WIDTH and width * 1e3 / scale <= HEIGHT:
            return scale
    return math.ceil(max(length * 1e3 / WIDTH, width * 1e3 / HEIGHT))


def on_the_shelf(project: Project, show: Show, until: int) -> str:
    """Return the shelf with the piece on it at a firing, to scale, and a line to measure the print by."""
    size = _size(project)
    shelf = (project.kiln.shelf if project.kiln else None) or (1.4 * size[0], 1.4 * size[1])
    # the longer side of both lies along the paper
    if (shelf[0] < shelf[1]) != (size[0] < size[1]):
        shelf = shelf[::-1]
    known = project.kiln is not None and project.kiln.shelf is not None
    scale = scale_for(*shelf)
    sheet = _Sheet(1.0, 1.0, shelf[1], scale)
    drawn = [sheet.path(box(0, 0, *shelf), f'stroke-dasharray="2 1.2" stroke-width="{_THIN}"')]
    left, low = (shelf[0] - size[0]) / 2, (shelf[1] - size[1]) / 2
    piece = _Sheet(sheet.x + left * 1e3 / scale, sheet.y + low * 1e3 / scale, size[1], scale)
    drawn += _piece(project, piece, until)
    bottom = shelf[1] * 1e3 / scale + 2
    bar, words = (0.05, "50 mm") if show.metric else (0.0508, "2 in")
    drawn += [
        _line(1, bottom + 4, 1 + bar * 1e3, bottom + 4, f'stroke-width="{_BOLD}" class="bar"'),
        *(_line(x, bottom + 3, x, bottom + 5) for x in (1, 1 + bar * 1e3)),
        _words(3 + bar * 1e3, bottom + 5, f"This line is {words} long when printed at 100 %."),
        _words(1, bottom + 10, _scale_words(scale, shelf if known else None, size, show)),
    ]
    return _svg(
        max(shelf[0] * 1e3 / scale + 2, 130.0),
        bottom + 12,
        f"{project.name} on the shelf, 1 to {scale}",
        drawn,
    )


def _scale_words(scale: int, shelf: tuple[float, float] | None, size: tuple[float, float], show: Show) -> str:
    long, wide = (show.text(side, "length") for side in size)
    said = f"Scale 1 : {scale}. Piece {long} by {wide}"
    if shelf is None:
        return said + "; the shelf is not known."
    return f"{said}, shelf {show.text(shelf[0], 'length')} by {show.text(shelf[1], 'length')}."


def _size(project: Project) -> tuple[float, float]:
    """Return how much room the piece takes, seen from above [m]."""
    casting = project.casting
    if project.size:
        return project.size
    assert casting
    if casting.size:
        return casting.size
    widest = max(casting.bottom or 0.0, casting.top or 0.0)
    return widest, widest


def _piece(project: Project, at: _Sheet, until: int) -> list[str]:
    """Return the piece as it is after a firing, with its holes where `until` is past the last."""
    size = _size(project)
    casting = project.casting
    if casting and casting.shape == "cone":
        middle = LineString([(size[0] / 2, size[1] / 2), (size[0] / 2 + 1e-9, size[1] / 2)])
        return [
            at.path(middle.buffer(max(d / 2, 1e-4), quad_segs=24), f'stroke-width="{_BOLD}"')
            for d in (casting.bottom or 0.0, casting.top or 0.0)
        ]
    drawn = [at.path(box(0, 0, *size), f'stroke-width="{_BOLD}" class="piece"')]
    for laid in project.laid:
        if laid.firing <= until:
            drawn.append(at.path(shape_of(laid).outline, 'fill="#ddd"'))
    for rods in project.rods:
        if rods.firing <= until:
            drawn += [at.path(one) for one in plan_laid.rods_of(rods, project)]
    for frit in project.frit:
        if frit.firing <= until:
            field = plan_laid.field_of(frit, project)
            drawn.append(at.path(field, 'stroke-dasharray="0.8 0.6"'))
            drawn += _dots(field, frit, at)
    drape = project.drape
    draped = any(one.process in ("drape", "drape and bond") for one in project.firings[:until])
    if drape and drape.at and draped:
        wide, long = (drape.across, drape.along) if drape.lies == "across" else (drape.along, drape.across)
        x, y = drape.at
        drawn.append(at.path(box(x, y, x + wide, y + long), 'stroke-dasharray="3 1"'))
        inset, out = (drape.across - drape.former_width) / 2, drape.projection
        if drape.lies == "across":
            former = box(x + inset, y - out, x + inset + drape.former_width, y + drape.along + out)
        else:
            former = box(x - out, y + inset, x + drape.along + out, y + inset + drape.former_width)
        drawn.append(at.path(former, 'stroke-dasharray="1 0.6"'))
    return drawn


def _dots(field: Geometry, frit: Frit, at: _Sheet) -> list[str]:
    """Return dots in even rows, as many as the cover says, a few hundred at most."""
    step = max(math.sqrt(math.pi * frit.grain**2 / 4 / frit.cover), math.sqrt(field.area / 300))
    x1, y1, x2, y2 = field.bounds
    radius = 0.35 * step * 1e3 / at.scale * math.sqrt(frit.cover)
    drawn = []
    for row, y in enumerate(np.arange(y1 + step / 2, y2, step)):
        for x in np.arange(x1 + step * (0.5 + 0.5 * (row % 2)), x2, step):
            if field.contains(LineString([(x, y), (x + 1e-9, y)])):
                cx, cy = at.at(float(x), float(y))
                drawn.append(
                    f'<circle cx="{cx:.2f}" cy="{cy:.2f}" r="{radius:.2f}" fill="#000" stroke="none"/>'
                )
    return drawn


def whole_piece(project: Project, show: Show) -> str:
    """Return the finished piece from above, to scale, with everything on it, its holes and its sizes."""
    size = _size(project)
    scale = scale_for(size[0] * 1.2, size[1] * 1.2)
    at = _Sheet(12.0, 8.0, size[1], scale)
    drawn = _piece(project, at, len(project.firings))
    for hole in project.holes:
        x, y = at.at(*hole.at)
        drawn.append(f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{hole.diameter * 500 / scale:.2f}"/>')
        reach = hole.diameter * 500 / scale + 1
        drawn += [_line(x - reach, y, x + reach, y), _line(x, y - reach, x, y + reach)]
    long, wide = (show.text(side, "length") for side in size)
    width, height = size[0] * 1e3 / scale, size[1] * 1e3 / scale
    drawn += [
        _words(12 + width / 2, 6, long, "middle"),
        f'<g transform="rotate(-90 9 {8 + height / 2:.2f})">{_words(9, 8 + height / 2, wide, "middle")}</g>',
        _words(12, 13 + height, f"Scale 1 : {scale}."),
    ]
    return _svg(max(width + 24, 40), height + 15, f"{project.name} from above, 1 to {scale}", drawn)


def cut_sheet(sheet: CutSheet, show: Show) -> str:
    """Return one sheet with its blanks, in the order in which they are cut, to scale."""
    long, wide = sheet.stock.length, sheet.stock.width
    scale = scale_for(long, wide)
    at = _Sheet(1.0, 1.0, wide, scale)
    drawn = [at.path(box(0, 0, long, wide), f'stroke-width="{_BOLD}"')]
    for blank in sheet.blanks:
        drawn.append(at.path(box(blank.x, blank.y, blank.x + blank.length, blank.y + blank.width)))
        x, y = at.at(blank.x + blank.length / 2, blank.y + blank.width / 2)
        room = blank.length * 1e3 / scale
        if room > 0.55 * _TEXT * len(blank.name) and blank.width * 1e3 / scale > 1.2 * _TEXT:
            drawn.append(_words(x, y + _TEXT / 3, blank.name, "middle"))
    for number, cut in enumerate(sheet.cuts[:30], 1):
        (x1, y1), (x2, y2) = at.at(cut.x0, cut.y0), at.at(cut.x1, cut.y1)
        drawn.append(_line(x1, y1, x2, y2, 'stroke-dasharray="3 0.8 0.6 0.8"'))
        if math.hypot(x2 - x1, y2 - y1) > 20:
            drawn.append(
                _words(x2 - 3.5 if y1 == y2 else x2 + 0.5, y2 - 0.6 if y1 == y2 else y2 + 3, str(number))
            )
    words = f"{show.text(long, 'length')} by {show.text(wide, 'length')}, scale 1 : {scale}"
    height = wide * 1e3 / scale
    drawn.append(_words(1, height + 6, f"{words}; cuts are numbered in their order."))
    return _svg(max(long * 1e3 / scale + 6, 120), height + 8, f"Sheet {words}", drawn)


def curve(schedule: Schedule, clock: Sequence[Turn], show: Show) -> str:
    """Return what the kiln is asked for, over hours."""
    times = [0.0, *(moment for turn in clock for moment in (turn.arrives, turn.ends))]
    degrees = [schedule.start, *(one.target for one in schedule.segments for _ in range(2))]
    width, height, left, top = 140.0, 50.0, 16.0, 3.0
    most, hours = max(degrees), max(times) / 3600
    xs = [left + width * time / 3600 / hours for time in times]
    ys = [top + height * (1 - one / most) for one in degrees]
    drawn = [
        _line(left, top + height, left + width, top + height),
        _line(left, top, left, top + height),
        f'<polyline points="{" ".join(f"{x:.2f},{y:.2f}" for x, y in zip(xs, ys, strict=True))}" '
        f'stroke-width="{_BOLD}"/>',
    ]
    for target in sorted({max(degrees), *(one.target for one in schedule.segments if one.hold_min)}):
        y = top + height * (1 - target / most)
        drawn += [_line(left - 1, y, left + width, y, 'stroke-dasharray="0.4 1.2"')]
        drawn.append(_words(left - 1.5, y + 1.1, f"{show.number(target, 'temperature'):.0f}", "end"))
    step = next(each for each in (1, 2, 4, 6, 12, 24, 48, 96) if hours / each <= 12)
    for hour in range(0, int(hours) + 1, step):
        x = left + width * hour / hours
        drawn += [
            _line(x, top + height, x, top + height + 1),
            _words(x, top + height + 4.5, str(hour), "middle"),
        ]
    drawn.append(
        _words(left + width, top + height + 8.5, f"hours; {show.symbol('temperature')} at the left", "end")
    )
    return _svg(left + width + 4, height + 14, "Temperature asked for over hours", drawn)


def section(profile: tuple[np.ndarray, np.ndarray], words: str) -> str:
    """Return one half of a section and its mirror image, x from the middle and y upwards [m]."""
    x, y = (np.asarray(each, dtype=float) for each in profile)
    high, wide = float(y.max() - y.min()), 2 * float(x.max())
    scale = scale_for(wide, max(high, 1e-3))
    line = LineString([*zip(-x[::-1], y[::-1], strict=True), *zip(x, y, strict=True)])
    at = _Sheet(2.0 + wide / 2 * 1e3 / scale, 2.0, float(y.max()), scale)
    drawn = [at.path(line, f'stroke-width="{_BOLD}"')]
    drawn.append(_words(2, high * 1e3 / scale + 8, f"{words} Scale 1 : {scale}."))
    return _svg(max(wide * 1e3 / scale + 4, 120), high * 1e3 / scale + 10, words, drawn)
