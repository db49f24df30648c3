"""A piece with a pattern, heated and cooled as a thickness map: where it is pulled, when, and shape by shape.

Needs shapely (the shapes) and scipy (the map). All maps are averaged over about the base thickness, by which
a map is judged (`kilncalc.relief.averaged`).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from shapely.geometry import box

from kilncalc import laying
from kilncalc._ranges import scalar_in_range
from kilncalc.error_bars import Bar, error_bars
from kilncalc.firing import Kiln, fire
from kilncalc.materials import ALLOWED_RESIDUAL, ALLOWED_TENSION, Glass
from kilncalc.piece import Bending, Layer, Piece, ReliefMap, Support, Zone
from kilncalc.relief import MapMoment, averaged
from kilncalc.schedule import Schedule, Segment
from kilncalc.uneven import warming

COARSE, FINE = 1200, 5000
"""About how many cells a coarse map has, which is fired in a second or two, and a fine one [-]."""

_KILN = Kiln()
_APART = 5.0  # K of the air between two instants that are kept
_SAME = 0.1e-3  # m, thicknesses that count as one
_SPECK = 1e-9  # m2, of what hangs over the rim


@dataclass(frozen=True, eq=False)
class Pattern:
    """A thickness map and the shapes that made it.

    Attributes
    ----------
    relief : ReliefMap
        The map.
    shapes : tuple of Shape
        What lies on the sheet; none where the map is a picture's.
    cut : tuple of pairs
        Name and area [m2] of what hangs over the rim and is cut off.
    """

    relief: ReliefMap
    shapes: tuple[laying.Shape, ...] = ()
    cut: tuple[tuple[str, float], ...] = ()

    def covered(self, shape: laying.Shape) -> np.ndarray:
        """Return which cells belong to a shape: those it covers at least half as much as any.

        Parameters
        ----------
        shape : Shape
            One that lies on the sheet.

        Returns
        -------
        ndarray
            True or false for each cell (ny, nx) [-].
        """
        share = laying.covered(shape, self.relief.shape, self.relief.cell)
        return (share > 0) & (share >= 0.5 * share.max())

    @property
    def too_fine(self) -> tuple[laying.Shape, ...]:
        """The shapes that are narrower than a cell: as wide as one, and thinner, in the map."""
        cell = self.relief.cell
        return tuple(one for one in self.shapes if one.outline.buffer(-0.499 * cell).is_empty)


def pattern(
    width: float, height: float, thickness: float, shapes: Sequence[laying.Shape], cells: int = COARSE
) -> Pattern:
    """Return a sheet with shapes on it as a map of about so many square cells.

    Parameters
    ----------
    width, height : float
        Sides of the sheet [m], above 0 to 2.
    thickness : float
        Of the sheet [m], 0.3e-3 to 0.15.
    shapes : sequence of Shape
        What lies on it.
    cells : int
        About how many cells [-], 100 to 100000.

    Returns
    -------
    Pattern
        The map, its shapes, and what was cut off [m2].

    Raises
    ------
    ValueError
        If a number is out of range or the sheet is too narrow for its length.

    Notes
    -----
    Cells are whole along the width. Along the height they are as nearly so as a size near the wanted one
    allows: `relief.height` says what is counted, within half a cell.

    Examples
    --------
    >>> tile = pattern(0.24, 0.18, 0.003, [laying.disc(0.12, 0.09, 0.04, 0.003)])
    >>> tile.relief.shape, round(tile.relief.cell, 6), round(tile.relief.height, 6)
    ((30, 40), 0.006, 0.18)
    """
    wide = scalar_in_range("width", width, "m", 0.0, 2.0, open_low=True)
    high = scalar_in_range("height", height, "m", 0.0, 2.0, open_low=True)
    count = scalar_in_range("cells", cells, "", 100, 100000)
    wanted = (count * wide / high) ** 0.5
    columns = np.arange(max(3, int(0.8 * wanted)), max(4, int(1.2 * wanted)) + 1)
    rows = columns * high / wide
    off = np.abs(rows - np.round(rows)) / np.maximum(rows, 1)
    fits = columns[off <= off.min() + 1e-9]
    nx = int(fits[np.abs(fits - wanted).argmin()])
    cell = wide / nx
    ny = round(high / cell)
    if ny < 3 or nx < 3:
        raise ValueError(
            f"a sheet of {wide * 1e3:g} x {high * 1e3:g} mm is too narrow for square cells: its sides may "
            "differ by about a hundred times at most"
        )
    laid = laying.lay(wide, ny * cell, thickness, shapes, cell)
    sheet = box(0, 0, wide, high)
    over = ((shape.name, float(shape.outline.difference(sheet).area)) for shape in shapes)
    return Pattern(laid.map, tuple(shapes), tuple(one for one in over if one[1] > _SPECK))


@dataclass(frozen=True, eq=False)
class Instant:
    """A moment of a firing: the map of tension then.

    Attributes
    ----------
    time : float
        Since the start of its phase [s].
    air : float
        Of the kiln [degC].
    tension : ndarray
        Of each cell, averaged (ny, nx) [Pa], >= 0.
    cell : float
        Side of a cell [m].
    """

    time: float
    air: float
    tension: np.ndarray
    cell: float

    @property
    def peak(self) -> float:
        """The largest tension of the map [Pa]."""
        return float(self.tension.max())

    @property
    def place(self) -> tuple[float, float]:
        """Where it is: from the left and from the lower edge [m]."""
        row, column = divmod(int(self.tension.argmax()), self.tension.shape[1])
        return (column + 0.5) * self.cell, (row + 0.5) * self.cell


@dataclass(frozen=True, eq=False)
class Pulled:
    """What a shape suffers, or the sheet beside all of them.

    Attributes
    ----------
    name : str
        The shape.
    thickness : float
        That it adds [m].
    heating : float
        The largest averaged tension there while it is heated [Pa].
    stays : float
        The largest averaged tension that stays there [Pa].
    """

    name: str
    thickness: float
    heating: float
    stays: float


@dataclass(frozen=True, eq=False)
class Fired:
    """A piece with a pattern, heated from the room and cooled from its annealing point.

    Attributes
    ----------
    pattern : Pattern
        What was fired.
    rate, cooling_rate : float
        Of the kiln, up and down [degC/h].
    heating, cooling : tuple of Instant
        The moments of each phase, 5 degC of the kiln apart, with the worst among them; the last of the
        cooling is what stays.
    likely, likely_stays : Bar
        Between what the tension of heating and what stays probably lie [Pa].
    allowed_tension, allowed_residual : float
        The limits [Pa].
    """

    pattern: Pattern
    rate: float
    cooling_rate: float
    heating: tuple[Instant, ...]
    cooling: tuple[Instant, ...]
    likely: Bar
    likely_stays: Bar
    allowed_tension: float
    allowed_residual: float

    @property
    def worst_heating(self) -> Instant:
        """The moment of the largest tension on the way up."""
        return max(self.heating, key=lambda one: one.peak)

    @property
    def worst_cooling(self) -> Instant:
        """The moment of the largest tension on the way down, what stays included."""
        return max(self.cooling, key=lambda one: one.peak)

    @property
    def stays(self) -> Instant:
        """What stays at room temperature."""
        return self.cooling[-1]

    @property
    def moments(self) -> tuple[Instant, ...]:
        """All instants, up and then down."""
        return (*self.heating, *self.cooling)

    def thickness_at(self, place: tuple[float, float]) -> float:
        """Return how thick the map is at a place.

        Parameters
        ----------
        place : tuple
            From the left and from the lower edge [m], each 0 to the size of the sheet.

        Returns
        -------
        float
            The thickness [m].
        """
        relief = self.pattern.relief
        column, row = (int(one / relief.cell) for one in place)
        return float(relief.thickness[row, column])

    def shape_by_shape(self) -> tuple[Pulled, ...]:
        """Return what each shape suffers, at whichever moment is its own worst.

        Returns
        -------
        tuple of Pulled
            One for each shape of the pattern, tensions [Pa], in its order.
        """
        return tuple(
            self._pulled(shape.name, shape.thickness, self.pattern.covered(shape))
            for shape in self.pattern.shapes
        )

    def bare(self) -> Pulled:
        """Return what the sheet suffers where no shape lies on it.

        Returns
        -------
        Pulled
            The bare sheet, tensions [Pa]; 0 where all of it is covered.
        """
        rest = np.ones(self.pattern.relief.shape, dtype=bool)
        for shape in self.pattern.shapes:
            rest &= ~self.pattern.covered(shape)
        return self._pulled("bare sheet", 0.0, rest)

    def _pulled(self, name: str, thickness: float, here: np.ndarray) -> Pulled:
        heating = max(float(one.tension[here].max(initial=0.0)) for one in self.heating)
        return Pulled(name, thickness, heating, float(self.stays.tension[here].max(initial=0.0)))


def fire_pattern(
    piece: Pattern,
    rate: float,
    cooling_rate: float,
    glass: Glass,
    support: Support = "shelf",
    bending: Bending = "free",
    kiln: Kiln = _KILN,
    allowed_tension: float = ALLOWED_TENSION,
    allowed_residual: float = ALLOWED_RESIDUAL,
    progress: Callable[[float], None] | None = None,
) -> Fired:
    """Return a piece with a pattern heated from the room, and cooled from its annealing point to the room.

    Parameters
    ----------
    piece : Pattern
        What is fired, as one solid piece.
    rate, cooling_rate : float
        Of the kiln, up and down [degC/h], > 0, at most 100000.
    glass : Glass
        The glass.
    support : str
        "shelf" or "open".
    bending : str
        "free" or "flat".
    kiln : Kiln
        Where.
    allowed_tension, allowed_residual : float
        The limits for what passes and for what stays [Pa], 0.01e6 to 50e6.
    progress : function or None
        Called with the share that is done [-], 0 to 1.

    Returns
    -------
    Fired
        Maps [Pa] from moment to moment.

    Raises
    ------
    ValueError
        If a number or a word is not allowed.

    Notes
    -----
    The range of what is likely is, in proportion, that of two wide zones, the base and the mean of the rest:
    the same unknowns act on both alike. A rib's upright walls exchange no heat here, which overstates a
    narrow one.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> tile = pattern(0.1, 0.1, 0.003, [laying.rectangle(0.04, 0, 0.02, 0.1, 0.003)], 100)
    >>> found = fire_pattern(tile, 150, 60, glass("float"), bending="flat")
    >>> found.worst_heating.peak > found.stays.peak > 0
    True
    """
    relief = piece.relief
    down = Schedule((Segment(cooling_rate, kiln.room),), glass.annealing_point)
    body = Piece(glass, relief, support, bending)
    phases: list[tuple[Instant, ...]] = []
    for number, schedule in enumerate((warming(rate), down)):
        instants: list[Instant] = []

        def keep(moment: MapMoment, instants: list[Instant] = instants) -> None:
            instants.append(_instant(moment, relief))

        def tell(share: float, number: int = number) -> None:
            if progress:
                progress((number + share) / 2)

        course: Any = fire(schedule, body, kiln, progress=tell, watch=keep)  # a MapFiring: the body is a map
        if number:
            instants.append(_instant(course.residual, relief))
        phases.append(_thinned(instants))
    heating, cooling = phases
    return Fired(
        pattern=piece,
        rate=float(rate),
        cooling_rate=float(cooling_rate),
        heating=heating,
        cooling=cooling,
        likely=_likely(max(one.peak for one in heating), warming(rate), body, kiln, "heating"),
        likely_stays=_likely(cooling[-1].peak, down, body, kiln, "residual"),
        allowed_tension=scalar_in_range("allowed_tension", allowed_tension, "Pa", 0.01e6, 50e6),
        allowed_residual=scalar_in_range("allowed_residual", allowed_residual, "Pa", 0.01e6, 50e6),
    )


def _instant(moment: MapMoment, relief: ReliefMap) -> Instant:
    evened = np.maximum(averaged(moment.tension, relief), 0.0)
    return Instant(moment.time, moment.air, evened, relief.cell)


def _thinned(instants: list[Instant]) -> tuple[Instant, ...]:
    """Return the moments that are some degrees apart, with the worst and the last of all."""
    worst, kept = max(instants, key=lambda one: one.peak), [instants[0]]
    for one in instants[1:]:
        if abs(one.air - kept[-1].air) >= _APART or one is worst or one is instants[-1]:
            kept.append(one)
    return tuple(kept)


def _likely(value: float, schedule: Schedule, piece: Piece, kiln: Kiln, which: str) -> Bar:
    """Return a map's tension with the bar that two wide zones in its place have, in proportion."""
    relief: ReliefMap = piece.body
    other = np.abs(relief.thickness - relief.base) > _SAME
    none = np.zeros_like(relief.thickness)
    above, below = (none if paper is None else paper for paper in (relief.above, relief.below))
    other |= above + below > 0
    share = float(other.mean())
    zones = [Zone(relief.base, 1 - share)] if share < 1 else []
    if share:
        covers: dict[str, Any] = {}
        if (above + below).any():  # a zone has paper in one place: where there is more of it
            place, paper = ("above", above) if above.sum() >= below.sum() else ("below", below)
            covers = {place: "paper", "paper": float(paper[other].mean())}
        zones.append(Zone(float(relief.thickness[other].mean()), share, **covers))
    bars = error_bars(schedule, replace(piece, body=zones), replace(kiln, unevenness=0.0))
    bar = bars.heating if which == "heating" else bars.residual
    if bar.value <= 0:
        return Bar(value, value, value, {})
    return Bar(value, value * bar.low / bar.value, value * bar.high / bar.value, bar.parts)


@dataclass(frozen=True, eq=False)
class At:
    """A firing at one of its moments.

    Attributes
    ----------
    fired : Fired
        The firing.
    now : Instant
        The moment.
    number : int
        Which of its moments, counted from 0 [-].
    """

    fired: Fired
    now: Instant
    number: int

    @property
    def heated(self) -> bool:
        """Whether it belongs to the way up."""
        return self.number < len(self.fired.heating)

    @property
    def cold(self) -> bool:
        """Whether it is the last: what stays."""
        return self.number == len(self.fired.moments) - 1


def at(fired: Fired, share: float) -> At:
    """Return a firing at a share of its moments: 0 its first, 1 what stays.

    Parameters
    ----------
    fired : Fired
        The firing.
    share : float
        How far it has come, in moments and not in hours [-], 0 to 1.

    Returns
    -------
    At
        The moment.

    Raises
    ------
    ValueError
        If the share is out of range.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> tile = pattern(0.1, 0.1, 0.003, [laying.rectangle(0.04, 0, 0.02, 0.1, 0.003)], 100)
    >>> found = fire_pattern(tile, 150, 60, glass("float"), bending="flat")
    >>> at(found, 1.0).cold, at(found, 0.0).heated
    (True, True)
    """
    number = round(scalar_in_range("share", share, "", 0.0, 1.0) * (len(fired.moments) - 1))
    return At(fired, fired.moments[number], number)


@dataclass(frozen=True, eq=False)
class Compared:
    """A piece as it is and as it might be, fired alike.

    Attributes
    ----------
    before, after : Fired
        The two.
    """

    before: Fired
    after: Fired

    @property
    def heating(self) -> float:
        """The tension of heating that is left, as a share of that before [-]."""
        return self.after.worst_heating.peak / self.before.worst_heating.peak

    @property
    def stays(self) -> float:
        """What stays, as a share of what stayed before [-]."""
        return self.after.stays.peak / self.before.stays.peak


# ------------------------------------------------------------------ the relief tray

TRAY = 0.240, 0.180
"""Sides of the relief tray [m]."""

TRAY_SHEETS = 2
"""Of the relief tray, tack-fused on each other [-]."""

_ROD = 0.004  # m, across
_EVERY = 0.030  # m from one rod to the next
_GRAIN, _COVERAGE = 0.003, 0.6


def tray_shapes(
    frame: float = 0.020, sheet: float = 0.003, across: tuple[float, float] = TRAY
) -> tuple[laying.Shape, ...]:
    """Return what lies on the relief tray: a raised frame of strips, a grid of fine rods, a triangle of frit.

    Parameters
    ----------
    frame : float
        Width of the strips [m], above 0 to 0.06.
    sheet : float
        Thickness of the strips: one sheet [m], 0.1e-3 to 0.1.
    across : tuple
        Sides of the tray [m], each 0.15 to 2.

    Returns
    -------
    tuple of Shape
        Frame, rods along and across, frit; lengths in [m].

    Raises
    ------
    ValueError
        If a number is out of range.

    Examples
    --------
    >>> [shape.name for shape in tray_shapes()]
    ['frame', 'rods across', 'rods up', 'frit']
    """
    strip = scalar_in_range("frame", frame, "m", 0.0, 0.06, open_low=True)
    width, height = across
    middle = laying.rectangle(strip, strip, width - 2 * strip, height - 2 * strip, sheet).outline
    around = laying.rectangle(0, 0, width, height, sheet).outline.difference(middle)
    x = _EVERY + np.arange(int((width - 1.5 * _EVERY) / _EVERY)) * _EVERY
    y = _EVERY + np.arange(int((height - 1.5 * _EVERY) / _EVERY)) * _EVERY
    rise = np.pi / 4 * _ROD  # a strip as wide that has a round rod's glass
    up = [laying.line([(one, strip), (one, height - strip)], _ROD, rise) for one in x]
    right = [laying.line([(strip, one), (width - strip, one)], _ROD, rise) for one in y]
    corner = 0.4 * width, 0.3 * height
    triangle = laying.polygon(
        [corner, (corner[0] + 0.25 * width, corner[1]), (corner[0] + 0.125 * width, 0.65 * height)], sheet
    )
    frit = laying.grains(triangle, _GRAIN, _COVERAGE)
    return (
        laying.Shape(around, sheet, "frame"),
        laying.together(right, "rods across"),
        laying.together(up, "rods up"),
        laying.Shape(frit.outline, frit.thickness, "frit"),
    )


@dataclass(frozen=True, eq=False)
class Tray:
    """The relief tray in its first firing, its pieces loose on each other, and in every later one, solid.

    Attributes
    ----------
    solid : Fired
        One solid piece, as a thickness map.
    times_loose : float
        How many times as hard the sheets are pulled while all lies loose, by zones [-].
    """

    solid: Fired
    times_loose: float

    @property
    def loose(self) -> Bar:
        """What pulls the sheets of the first firing, and between what it probably lies [Pa]."""
        likely = self.solid.likely
        value, low, high = (self.times_loose * one for one in (likely.value, likely.low, likely.high))
        return Bar(value, low, high, likely.parts)


def tray(
    rate: float,
    cooling_rate: float,
    glass: Glass,
    frame: float = 0.020,
    sheet: float = 0.003,
    across: tuple[float, float] = TRAY,
    bending: Bending = "free",
    kiln: Kiln = _KILN,
    cells: int = COARSE,
) -> Tray:
    """Return the relief tray on its shelf: heated loose, and heated and cooled solid.

    Parameters
    ----------
    rate, cooling_rate : float
        Of the kiln, up and down [degC/h], > 0, at most 100000.
    glass : Glass
        The glass.
    frame : float
        Width of the strips [m], above 0 to 0.06.
    sheet : float
        Thickness of each sheet and strip [m], 0.3e-3 to 0.03.
    across : tuple
        Sides of the tray [m], each 0.15 to 2.
    bending : str
        "free" or "flat".
    kiln : Kiln
        Where.
    cells : int
        About how many cells [-], 100 to 100000.

    Returns
    -------
    Tray
        Both firings.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    A map is one solid piece; loose pieces are zones: each sheet stretches by itself and is pulled where
    something on it shades it. Zones without a width overstate both firings of a frame alike; so only their
    ratio is taken, loose to solid.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> found = tray(100, 30, glass("float"), cells=200)
    >>> 0.8 < found.times_loose < 1.3
    True
    """
    shapes = tray_shapes(frame, sheet, across)
    piece = pattern(*across, TRAY_SHEETS * sheet, shapes, cells)
    area = across[0] * across[1]
    shares = [shape.outline.area / area for shape in shapes]
    both = (Layer(sheet, "lower sheet"), Layer(sheet, "upper sheet"))
    zones = [Zone(TRAY_SHEETS * sheet, 1 - sum(shares), layers=both)]
    for shape, share, width in zip(shapes, shares, (None, _ROD, _ROD, _GRAIN), strict=True):
        layers = (*both, Layer(shape.thickness, shape.name))
        zones.append(Zone(TRAY_SHEETS * sheet + shape.thickness, share, feature_width=width, layers=layers))
    one_body, heap = (
        fire(warming(rate), Piece(glass, zones, bending=bending, loose=loose), kiln).peak_tension("heating")
        for loose in (False, True)
    )
    return Tray(fire_pattern(piece, rate, cooling_rate, glass, bending=bending, kiln=kiln), heap / one_body)
