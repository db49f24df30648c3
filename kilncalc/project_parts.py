"""The parts of a whole piece as a maker describes it: layers, moulds, firings, cold work, workshop, record.

Each class is a table of a piece file (`project`), each field a line of it, by the field's name unless it says
another key.
"""

import datetime
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from typing import Any, get_args

from kilncalc import _parts, grit, layers, laying, materials, volume, writing
from kilncalc._parts import Part, PartError
from kilncalc.formed import RIMS
from kilncalc.holes import HOLE_STANDARDS
from kilncalc.own_piece import SUPPORTS
from kilncalc.piece import PLACES, FeaturePlace
from kilncalc.schedule import Schedule

SHAPES = {
    "rectangle": ("at", "size"),
    "disc": ("at", "diameter"),
    "ring": ("at", "diameter", "width"),
    "line": ("points", "width"),
    "polygon": ("points",),
}
"""Outlines of glass laid on a sheet, and what each of them needs."""

STOCK = ("sheet", "rod", "frit", "billet", "paper")
"""What a workshop has or buys for its pieces."""

CONTROLLERS = {"°C": "degC", "°F": "degF"}
"""What a controller counts in, as it is written in a piece file and as `writing` takes it."""

_THICK = 0.3e-3, 0.15  # m


def _known(key: str, look_up: Callable[[], Any]) -> None:
    try:
        look_up()
    except ValueError as error:
        raise PartError((key,), f"{key}: {error}") from None


def _at_with_size(at: Any, size: Any) -> None:
    if (at is None) != (size is None):
        raise PartError((), "at and size belong together: the lower left corner and the sides of the field")


# ------------------------------------------------------------------------------------------ the glass


@dataclass(frozen=True, kw_only=True)
class OwnGlass(Part):
    """A glass of one's own: one of the table, with what is known better.

    Parameters
    ----------
    name : str
        What the other parts call it.
    like : str
        A glass of `materials.glasses()`.
    density : float or None
        As measured [kg/m3], 1500 to 8000; None: as in the table.
    expansion : float or None
        Expansion coefficient [1/K], 1e-6 to 20e-6; None: as in the table.

    Raises
    ------
    ValueError
        If a value is not allowed.

    Examples
    --------
    >>> OwnGlass(name="amber", like="kiln glass A", expansion=9.1e-6).glass().expansion
    9.1e-06
    """

    name: str = _parts.words()
    like: str = _parts.words()
    density: float | None = _parts.quantity("density", 1500.0, 8000.0, None)
    expansion: float | None = _parts.quantity("expansion", 1e-6, 20e-6, None)

    def _check(self) -> None:
        _known("like", lambda: materials.glass(self.like))

    def glass(self) -> materials.Glass:
        """Return the glass; the expansion of the liquid is moved as far as that of the solid.

        Returns
        -------
        Glass
            Named as here, values in SI [-].

        Examples
        --------
        >>> OwnGlass(name="heavy", like="float", density=2600.0).glass().density
        2600.0
        """
        base = materials.glass(self.like)
        expansion = base.expansion if self.expansion is None else self.expansion
        return replace(
            base,
            name=self.name,
            density=base.density if self.density is None else self.density,
            expansion=expansion,
            expansion_liquid=base.expansion_liquid + expansion - base.expansion,
        )


@dataclass(frozen=True, kw_only=True)
class Sheet(Part):
    """Sheets that make the body of the piece, from the shelf upwards.

    Parameters
    ----------
    name : str
        What it is.
    glass : str
        Its glass; empty: that of the piece.
    thickness : float
        As measured [m], 0.3e-3 to 0.15.
    count : int
        How many alike lie on each other [-], 1 to 20.

    Raises
    ------
    ValueError
        If a value is not allowed.
    """

    name: str = _parts.words("")
    glass: str = _parts.words("")
    thickness: float = _parts.length(*_THICK)
    count: int = _parts.count(1, 20, 1)


@dataclass(frozen=True, kw_only=True)
class Laid(Part):
    """A piece of sheet laid on the body, by its outline seen from above.

    Parameters
    ----------
    name : str
        What it is.
    shape : str
        One of `SHAPES`.
    at : pair of floats or None
        The lower left corner of a rectangle, the middle of a disc or ring, from the lower left corner of the
        piece [m], 0 to 2.
    size : pair of floats or None
        Sides of a rectangle [m], 0.5e-3 to 2.
    diameter : float or None
        Outer diameter of a disc or ring [m], 0.5e-3 to 2.
    width : float or None
        Of a line or of the band of a ring [m], 0.5e-3 to 1.
    points : tuple of pairs
        Corners of a polygon, or of the middle of a line [m], 0 to 2.
    thickness : float
        As measured [m], 0.3e-3 to 0.1.
    glass : str
        Its glass; empty: that of the piece.
    firing : int
        The firing in which it joins the piece, from 1 [-], 1 to 20.

    Raises
    ------
    ValueError
        If a value is not allowed, or the outline is not complete.
    """

    name: str = _parts.words("")
    shape: str = _parts.choice(SHAPES)
    at: tuple[float, float] | None = _parts.pair(0.0, 2.0, None)
    size: tuple[float, float] | None = _parts.pair(0.5e-3, 2.0, None)
    diameter: float | None = _parts.length(0.5e-3, 2.0, None)
    width: float | None = _parts.length(0.5e-3, 1.0, None)
    points: tuple[tuple[float, float], ...] = _parts.points(0.0, 2.0)
    thickness: float = _parts.length(0.3e-3, 0.1)
    glass: str = _parts.words("")
    firing: int = _parts.count(1, 20, 1)

    def _check(self) -> None:
        needed = SHAPES[self.shape]
        for key in ("at", "size", "diameter", "width", "points"):
            given = bool(getattr(self, key))
            if key in needed and not given:
                raise PartError((), f"a {self.shape} needs {' and '.join(needed)}; {key} is missing")
            if given and key not in needed:
                raise PartError((key,), f"a {self.shape} has no {key}; it needs {' and '.join(needed)}")
        least = {"line": 2, "polygon": 3}.get(self.shape, 0)
        if len(self.points) < least:
            raise PartError(("points",), f"a {self.shape} needs {least} points or more")
        if self.shape == "ring" and self.width > self.diameter / 2:  # type: ignore[operator]
            raise PartError(("width",), "the band of a ring is at most half its diameter")
        try:
            shape_of(self)
        except ValueError as error:
            raise PartError(("points",) if self.points else (), str(error)) from None


def shape_of(part: Laid) -> laying.Shape:
    """Return the outline and thickness of a part that is laid on.

    Parameters
    ----------
    part : Laid
        The part.

    Returns
    -------
    Shape
        Outline and thickness [m].

    Raises
    ------
    ValueError
        As the functions of `laying`.

    Examples
    --------
    >>> strip = Laid(shape="rectangle", at=(0.0, 0.0), size=(0.24, 0.012), thickness=0.0034)
    >>> round(shape_of(strip).outline.area * 1e4, 1)
    28.8
    """
    x, y = part.at or (0.0, 0.0)
    long, wide = part.size or (0.0, 0.0)
    diameter, width = part.diameter or 0.0, part.width or 0.0
    made = {
        "rectangle": lambda: laying.rectangle(x, y, long, wide, part.thickness),
        "disc": lambda: laying.disc(x, y, diameter, part.thickness),
        "ring": lambda: laying.ring(x, y, diameter, width, part.thickness),
        "line": lambda: laying.line(part.points, width, part.thickness),
        "polygon": lambda: laying.polygon(part.points, part.thickness),
    }[part.shape]()
    return replace(made, name=part.name or part.shape)


@dataclass(frozen=True, kw_only=True)
class Rods(Part):
    """A row or a grid of rods laid on the body.

    Parameters
    ----------
    name : str
        What it is.
    diameter : float
        Of a rod [m], 0.1e-3 to 0.03.
    pitch : float
        From rod to rod, middle to middle [m], 0.1e-3 to 1, at least `diameter`.
    directions : int
        1 for a row, 2 for a grid [-], 1 to 3.
    at, size : pair of floats or None
        Lower left corner and sides of the field they cover [m], 0 to 2, 0.5e-3 to 2; None: the whole piece.
    glass : str
        Their glass; empty: that of the piece.
    firing : int
        The firing in which they join the piece, from 1 [-], 1 to 20.

    Raises
    ------
    ValueError
        If a value is not allowed, or rods overlap.
    """

    name: str = _parts.words("")
    diameter: float = _parts.length(0.1e-3, 0.03)
    pitch: float = _parts.length(0.1e-3, 1.0)
    directions: int = _parts.count(1, 3, 1)
    at: tuple[float, float] | None = _parts.pair(0.0, 2.0, None)
    size: tuple[float, float] | None = _parts.pair(0.5e-3, 2.0, None)
    glass: str = _parts.words("")
    firing: int = _parts.count(1, 20, 1)

    def _check(self) -> None:
        if self.pitch < self.diameter:
            raise PartError(("pitch",), "pitch is less than diameter: rods lie side by side at the nearest")
        _at_with_size(self.at, self.size)


@dataclass(frozen=True, kw_only=True)
class Frit(Part):
    """Frit strewn on the body.

    Parameters
    ----------
    name : str
        What it is.
    grain : float
        Size of a grain [m], 0.1e-3 to 0.02.
    cover : float
        Share of the field that lies under grains [-], 0.01 to 0.9.
    points : tuple of pairs
        Corners of the field [m], 0 to 2; or `at` and `size`; or neither: the whole piece.
    at, size : pair of floats or None
        Lower left corner and sides of the field [m], 0 to 2, 0.5e-3 to 2.
    packing : str
        A name of `frit_packing.csv`: how the frit lies in a cup.
    kept : float
        Share of the crushed glass that the sieves leave in this size [-], 0.01 to 1.
    glass : str
        Its glass; empty: that of the piece.
    firing : int
        The firing in which it joins the piece, from 1 [-], 1 to 20.

    Raises
    ------
    ValueError
        If a value is not allowed.
    """

    name: str = _parts.words("")
    grain: float = _parts.length(0.1e-3, 0.02)
    cover: float = _parts.quantity("ratio", 0.01, 0.9)
    points: tuple[tuple[float, float], ...] = _parts.points(0.0, 2.0)
    at: tuple[float, float] | None = _parts.pair(0.0, 2.0, None)
    size: tuple[float, float] | None = _parts.pair(0.5e-3, 2.0, None)
    packing: str = _parts.words("frit of one grain size, tapped")
    kept: float = _parts.quantity("ratio", 0.01, 1.0, 1.0)
    glass: str = _parts.words("")
    firing: int = _parts.count(1, 20, 1)

    def _check(self) -> None:
        _known("packing", lambda: volume.frit_packing(self.packing))
        _at_with_size(self.at, self.size)
        if self.points and self.size:
            raise PartError(("points",), "a field is given by points, or by at and size, not by both")
        if 0 < len(self.points) < 3:
            raise PartError(("points",), "a field needs three corners or more")
        if self.points:
            try:
                laying.polygon(self.points, self.grain)
            except ValueError as error:
                raise PartError(("points",), str(error)) from None


@dataclass(frozen=True, kw_only=True)
class Inlay(Part):
    """Letters, lines or shapes of another glass let into the top sheet, flush.

    Parameters
    ----------
    name : str
        What it is.
    glass : str
        Its glass.
    width : float
        Of a stroke [m], 0.5e-3 to 1.
    length : float
        Of all strokes together [m], 0.5e-3 to 20; each is at least as long as wide.
    thickness : float
        As measured [m], 0.3e-3 to 0.1.

    Raises
    ------
    ValueError
        If a value is not allowed.
    """

    name: str = _parts.words("")
    glass: str = _parts.words()
    width: float = _parts.length(0.5e-3, 1.0)
    length: float = _parts.length(0.5e-3, 20.0)
    thickness: float = _parts.length(0.3e-3, 0.1)

    def _check(self) -> None:
        if self.length < self.width:
            raise PartError(("length",), "length is less than width: give the longer side as the length")


# ------------------------------------------------------------------------------------- moulds and forms


@dataclass(frozen=True, kw_only=True)
class Casting(Part):
    """A mould that is filled with glass in the kiln.

    Parameters
    ----------
    shape : str
        "cone" (round, straight sides) or "box".
    bottom, top : float or None
        Inner diameters of a cone at its floor and at the height the glass is to reach [m], 0 to 1.
    size : pair of floats or None
        Inner sides of a box [m], 1e-3 to 2.
    depth : float
        Thickness of the finished casting, to which the glass is to reach [m], 1e-3 to 0.15.
    packing : str
        A name of `frit_packing.csv`: how the frit lies in the mould.
    spare : float
        Share of glass to add for what stays behind and is ground away [-], 0 to 0.5.
    mould : str
        What it is made of, in words.

    Raises
    ------
    ValueError
        If a value is not allowed, or the shape is not complete.
    """

    shape: str = _parts.choice(("cone", "box"))
    bottom: float | None = _parts.length(0.0, 1.0, None)
    top: float | None = _parts.length(0.0, 1.0, None)
    size: tuple[float, float] | None = _parts.pair(1e-3, 2.0, None)
    depth: float = _parts.length(1e-3, 0.15)
    packing: str = _parts.words("frit of mixed sizes, tapped")
    spare: float = _parts.quantity("ratio", 0.0, 0.5, 0.0)
    mould: str = _parts.words("plaster-silica")

    def _check(self) -> None:
        _known("packing", lambda: volume.frit_packing(self.packing))
        if self.shape == "cone":
            if self.bottom is None or self.top is None or self.size is not None:
                raise PartError((), "a cone needs bottom and top, two diameters, and no size")
            if max(self.bottom, self.top) < 1e-3:
                raise PartError(("top",), "a cone needs a diameter of 1 mm or more at one end")
        elif self.size is None or self.bottom is not None or self.top is not None:
            raise PartError((), "a box needs size, two lengths, and neither bottom nor top")


@dataclass(frozen=True, kw_only=True)
class Slump(Part):
    """A mould that the piece sinks into.

    Parameters
    ----------
    span : float
        Width of the mould between its ledges, across the piece [m], 0.02 to 1.
    depth : float
        Depth of the mould [m], 0.1e-3 to 0.3, at most 0.38 of the span.
    rim : str
        One of `formed.RIMS`: how the sheet lies on the mould.
    mould : str
        What it is made of, in words.

    Raises
    ------
    ValueError
        If a value is not allowed.
    """

    span: float = _parts.length(0.02, 1.0)
    depth: float = _parts.length(0.1e-3, 0.3)
    rim: str = _parts.choice(RIMS, "long, free")
    mould: str = _parts.words("")

    def _check(self) -> None:
        if self.depth > 0.38 * self.span:
            raise PartError(("depth",), "depth is more than 0.38 of the span: glass gets too thin before it")


@dataclass(frozen=True, kw_only=True)
class Drape(Part):
    """A strip of sheet draped over a former that lies on the piece: a sleeve.

    Parameters
    ----------
    name : str
        What it is.
    across : float
        Finished size of the strip across the former [m], 2e-3 to 2.
    along : float
        Its size along the former [m], 1e-3 to 2.
    thickness : float
        As measured [m], 1e-3 to 0.015.
    at : pair of floats or None
        Lower left corner of the strip on the piece [m], 0 to 2; None: not said.
    lies : str
        Whether the former runs "across" the piece (along its width) or "along" it.
    former_width, former_height : float
        Of the former [m], 2e-3 to 0.6, 1e-3 to 0.1.
    paper : str
        The fibre paper it is made of, a name of `refractories.csv`.
    measured : float or None
        What a layer of it measures [m], 0.3e-3 to 0.05; None: as in the table.
    projection : float
        How far it sticks out at each open end [m], 0 to 0.2.
    open_ends : int
        How many ends of the hollow are open [-], 1 to 2.
    base : str
        "slides" or "sticks": what the strip does where it touches.
    glass : str
        Its glass; empty: that of the piece.

    Raises
    ------
    ValueError
        If a value is not allowed, the former is wider than the strip, or both ends are closed.
    """

    name: str = _parts.words("")
    across: float = _parts.length(2e-3, 2.0)
    along: float = _parts.length(1e-3, 2.0)
    thickness: float = _parts.length(1e-3, 0.015)
    at: tuple[float, float] | None = _parts.pair(0.0, 2.0, None)
    lies: str = _parts.choice(("across", "along"), "across")
    former_width: float = _parts.length(2e-3, 0.6)
    former_height: float = _parts.length(1e-3, 0.1)
    paper: str = _parts.words()
    measured: float | None = _parts.length(0.3e-3, 0.05, None)
    projection: float = _parts.length(0.0, 0.2, 0.01)
    open_ends: int = _parts.count(0, 2, 2)
    base: str = _parts.choice(("slides", "sticks"), "sticks")
    glass: str = _parts.words("")

    def _check(self) -> None:
        _known("paper", lambda: layers.paper(self.paper))
        if self.former_width >= self.across:
            raise PartError(("former_width",), "the former is as wide as the strip: nothing hangs down")
        if not self.open_ends:
            raise PartError(
                ("open_ends",),
                "open_ends is 0; allowed are 1 and 2. Never fire a sealed hollow: the air in it bursts it",
            )


# ------------------------------------------------------------------------------------------ the firings


@dataclass(frozen=True, kw_only=True)
class PlannedZone(Part):
    """A part of the piece with one thickness, given instead of what follows from its layers.

    Parameters
    ----------
    thickness : float
        Thickness of the glass [m], 0.3e-3 to 0.15.
    share : float
        Share of the area [-], 1e-4 to 1; the shares of a firing add up to 1.
    width : float or None
        Width of a narrow rib or diameter of a spot [m], 0.5e-3 to 0.5; None: the zone is wide.
    feature : str
        "rib" or "spot".
    length : float or None
        Length of a rib [m], 1e-3 to 10; None: endless, on the safe side.
    place : str
        Where on the piece it lies, as of `piece.Zone`: "inside", "side", "both sides", "frame", "corner".
    layers : tuple of floats
        Thickness of each loose sheet from the shelf upwards [m], 0.3e-3 to 0.15; none: solid.

    Raises
    ------
    ValueError
        If a value is not allowed.
    """

    thickness: float = _parts.length(*_THICK)
    share: float = _parts.quantity("ratio", 1e-4, 1.0)
    width: float | None = _parts.length(0.5e-3, 0.5, None)
    feature: str = _parts.choice(("rib", "spot"), "rib")
    length: float | None = _parts.length(1e-3, 10.0, None)
    place: str = _parts.choice(get_args(FeaturePlace), "inside")
    layers: tuple[float, ...] = _parts.lengths(*_THICK)

    def _check(self) -> None:
        places = PLACES["spot" if self.feature == "spot" else "rib"]
        if self.place not in places:
            raise PartError(
                ("place",), f'place of a {self.feature} is "{self.place}"; it can be {", ".join(places)}'
            )


@dataclass(frozen=True, kw_only=True)
class PlannedFiring(Part):
    """One firing of the piece.

    Parameters
    ----------
    process : str
        One of `writing.PROCESSES`.
    support : str
        One of `own_piece.SUPPORTS`: what the piece lies on.
    paper : str
        The fibre paper under it, a name of `refractories.csv`; empty: 3 mm where `support` says paper.
    loose : bool or None
        Whether its sheets lie loose; None: in the first firing, where there are several.
    leaves : str
        One of `writing.RESIDUALS`: how much stress may stay.
    cell : float or None
        Side of a cell of the thickness map [m], 0.5e-3 to 0.05; None: no map, zones only.
    look_for : str
        What to look for through the spy hole, in words.
    zones : tuple of PlannedZone
        Zones that are given, instead of those that follow from the layers.

    Raises
    ------
    ValueError
        If a value is not allowed.
    """

    process: str = _parts.choice(writing.PROCESSES)
    support: str = _parts.choice(SUPPORTS, "shelf")
    paper: str = _parts.words("")
    loose: bool | None = _parts.flag(None)
    leaves: str = _parts.choice(writing.RESIDUALS, "sound")
    cell: float | None = _parts.length(0.5e-3, 0.05, None)
    look_for: str = _parts.words("")
    zones: tuple[PlannedZone, ...] = _parts.tables(PlannedZone, "zone")

    def _check(self) -> None:
        if self.paper:
            _known("paper", lambda: layers.paper(self.paper))
            if self.support != "paper on the shelf":
                raise PartError(("paper",), 'paper is given, but support is not "paper on the shelf"')
        total = sum(zone.share for zone in self.zones)
        if self.zones and abs(total - 1) > 1e-6:
            raise PartError(("zone",), f"the shares of the zones add up to {total:.4g}, not to 1")


# -------------------------------------------------------------------------------------- after the firing


@dataclass(frozen=True, kw_only=True)
class ColdWork(Part):
    """What is sawn, ground and polished.

    Parameters
    ----------
    trim : float
        Sawn or ground off each edge [m], 0 to 0.1.
    kerf : float
        Width of the saw's cut [m], 0 to 0.01.
    faces : float
        Ground off both faces of sheets together [m], 0 to 0.02; of a casting it is in its `spare`.
    start, finish : str
        Grit that leaves the surface that is ground, and the last grit, such as "F80" and "F600"; both empty:
        no grinding.
    grits : tuple of str
        Grits at hand.
    tool : str
        A name of `grinding_tools.csv`.
    marks : float
        Depth of what must come off first [m], 0 to 0.02.
    standard : str
        One of `holes.HOLE_STANDARDS`, for where holes may sit.
    surface_speed : float
        Of a drill over the glass [m/s], 0.1 to 10.

    Raises
    ------
    ValueError
        If a value is not allowed, or a grit or a tool is not known.
    """

    trim: float = _parts.length(0.0, 0.1, 0.0)
    kerf: float = _parts.length(0.0, 0.01, 2e-3)
    faces: float = _parts.length(0.0, 0.02, 0.0)
    start: str = _parts.words("")
    finish: str = _parts.words("")
    grits: tuple[str, ...] = _parts.texts()
    tool: str = _parts.words("flat lap")
    marks: float = _parts.length(0.0, 0.02, 0.0)
    standard: str = _parts.choice(HOLE_STANDARDS, "EN 12150-1")
    surface_speed: float = _parts.quantity("speed", 0.1, 10.0, 1.0)

    def _check(self) -> None:
        for key, labels in (("start", (self.start,)), ("finish", (self.finish,)), ("grits", self.grits)):
            for label in labels:
                if label or key == "grits":
                    _known(key, partial(grit.grit_size, label))
        _known("tool", lambda: grit.tool_settings(self.tool))
        if bool(self.start) != bool(self.finish):
            raise PartError((), "start and finish belong together: the first and the last grit")
        if self.start:
            _known("finish", lambda: grit.grit_sequence(self.start, self.finish, self.grits, tool=self.tool))


@dataclass(frozen=True, kw_only=True)
class DrilledHole(Part):
    """A round hole.

    Parameters
    ----------
    at : pair of floats
        Its centre, from the lower left corner of the finished piece [m], 0 to 2.
    diameter : float
        Its diameter [m], 0.5e-3 to 0.5.

    Raises
    ------
    ValueError
        If a value is not allowed.
    """

    at: tuple[float, float] = _parts.pair(0.0, 2.0)
    diameter: float = _parts.length(0.5e-3, 0.5)


@dataclass(frozen=True, kw_only=True)
class Hanging(Part):
    """How the piece hangs on two fixings.

    Parameters
    ----------
    left, right : float
        Level distance from the middle of the piece to each fixing [m], 0 to 2.
    contents : float
        Volume that could fill beside a draped sleeve [m3], 0 to 0.05.

    Raises
    ------
    ValueError
        If a value is not allowed, or both fixings are in one place.
    """

    left: float = _parts.length(0.0, 2.0)
    right: float = _parts.length(0.0, 2.0)
    contents: float = _parts.quantity("volume", 0.0, 0.05, 0.0)

    def _check(self) -> None:
        if self.left + self.right <= 0:
            raise PartError(("left",), "left and right are both 0: two fixings in one place are one")


@dataclass(frozen=True, kw_only=True)
class Bond(Part):
    """A bead of cold adhesive.

    Parameters
    ----------
    what : str
        What is bonded.
    bead : float
        Diameter of the bead as laid [m], 0.5e-3 to 0.03.
    length : float
        Its length [m], 1e-3 to 10.
    gap : float
        Gap that stays [m], 0.05e-3 to 0.03, below `bead`.
    first_day : float
        Depth to which it cures on the first day [m], 0.5e-3 to 10e-3.

    Raises
    ------
    ValueError
        If a value is not allowed.
    """

    what: str = _parts.words("")
    bead: float = _parts.length(0.5e-3, 0.03)
    length: float = _parts.length(1e-3, 10.0)
    gap: float = _parts.length(0.05e-3, 0.03)
    first_day: float = _parts.length(0.5e-3, 10e-3, 2.5e-3)

    def _check(self) -> None:
        if self.gap >= self.bead:
            raise PartError(("gap",), "gap is not below the bead: it would not touch both pieces")


# ------------------------------------------------------------------------------------------ the workshop


@dataclass(frozen=True, kw_only=True)
class OwnKiln(Part):
    """The kiln and its controller.

    Parameters
    ----------
    name : str
        What it is called.
    shelf : pair of floats or None
        Length and width of its shelf [m], 0.05 to 4.
    cooling_time : float or None
        Time it takes, when it is off, for two thirds of the way to the room [s], 60 to 1e6: its air cools no
        faster than (air - room)/cooling_time; None: it follows every rate.
    fastest_heating : float or None
        The fastest rate at which it heats [degC/h], 1 to 1e5; None: it follows every rate.
    unevenness : float
        Difference of temperature across the piece, as a share of that between air and glass [-], 0 to 1.
    controller : str
        "°C" or "°F": what the controller counts in.
    segments : int
        How many segments it holds [-], 4 to 1000.
    sensor_error : float
        How far off its thermocouple may be [K], 0 to 50.
    kilowatt_hours : float or None
        What the meter counts for one firing, units of 3.6e6 J [-], 0.1 to 2000; None: not known.

    Raises
    ------
    ValueError
        If a value is not allowed.
    """

    name: str = _parts.words("")
    shelf: tuple[float, float] | None = _parts.pair(0.05, 4.0, None)
    cooling_time: float | None = _parts.quantity("time", 60.0, 1e6, 3 * 3600.0)
    fastest_heating: float | None = _parts.quantity("rate", 1.0, 1e5, None)
    unevenness: float = _parts.quantity("ratio", 0.0, 1.0, 0.1)
    controller: str = _parts.choice(CONTROLLERS, "°C")
    segments: int = _parts.count(4, 1000, 8)
    sensor_error: float = _parts.quantity("temperature_difference", 0.0, 50.0, 6.0)
    kilowatt_hours: float | None = _parts.number(0.1, 2000.0, None)


@dataclass(frozen=True, kw_only=True)
class Stock(Part):
    """What is in the rack or can be bought, as a pack with its price.

    Parameters
    ----------
    what : str
        One of `STOCK`.
    name : str
        Of a paper, its name in `refractories.csv`; else what you call it.
    glass : str
        Its glass; empty: that of the piece.
    size : pair of floats or None
        Of a sheet or a paper [m], 1e-3 to 4.
    thickness : float or None
        Of a sheet, as measured; of a rod, its diameter [m], 0.3e-3 to 0.15.
    weight : float or None
        Of a pack of rods, frit or billets [kg], 1e-3 to 1000.
    count : int or None
        How many there are [-], 1 to 2000; None: as many as needed.
    price : float
        Of one, in any currency [money], 0 to 1e6.
    edge : float
        Rim of a sheet that is cut away first [m], 0 to 0.2.

    Raises
    ------
    ValueError
        If a value is not allowed, or a size or a weight is missing.
    """

    what: str = _parts.choice(STOCK)
    name: str = _parts.words("")
    glass: str = _parts.words("")
    size: tuple[float, float] | None = _parts.pair(1e-3, 4.0, None)
    thickness: float | None = _parts.length(*_THICK, None)
    weight: float | None = _parts.quantity("mass", 1e-3, 1000.0, None)
    count: int | None = _parts.count(1, 2000, None)
    price: float = _parts.number(0.0, 1e6, 0.0)
    edge: float = _parts.length(0.0, 0.2, 0.0)

    def _check(self) -> None:
        needed = {"sheet": ("size", "thickness"), "paper": ("size", "name")}.get(self.what, ("weight",))
        for key in needed:
            if not getattr(self, key):
                raise PartError((), f"stock of {self.what} needs {' and '.join(needed)}; {key} is missing")
        if self.what == "paper":
            _known("name", lambda: layers.paper(self.name))
        if self.size and 2 * self.edge >= min(self.size):
            raise PartError(("edge",), "edge leaves nothing of the sheet")


@dataclass(frozen=True, kw_only=True)
class Prices(Part):
    """What energy and work cost.

    Parameters
    ----------
    currency : str
        What the prices are in.
    kilowatt_hour : float
        A unit of the meter, 3.6e6 J [money], 0 to 100.
    hour : float
        An hour of work [money], 0 to 1e4.

    Raises
    ------
    ValueError
        If a value is not allowed.
    """

    currency: str = _parts.words("")
    kilowatt_hour: float = _parts.number(0.0, 100.0, 0.0)
    hour: float = _parts.number(0.0, 1e4, 0.0)


@dataclass(frozen=True, kw_only=True)
class Group(Part):
    """A class in which everybody makes the piece.

    Parameters
    ----------
    students : int
        How many [-], 1 to 100.
    breakage : float
        Share of the blanks that breaks [-], 0 to 0.5.
    gap : float
        Room between two pieces in the kiln [m], 0 to 0.02.
    firings_a_week : int
        How often the kiln can be fired [-], 1 to 14.

    Raises
    ------
    ValueError
        If a value is not allowed.
    """

    students: int = _parts.count(1, 100)
    breakage: float = _parts.quantity("ratio", 0.0, 0.5, 0.1)
    gap: float = _parts.length(0.0, 0.02, 0.01)
    firings_a_week: int = _parts.count(1, 14, 2)


def _without_reasons(schedule: Any) -> Schedule:
    if not isinstance(schedule, Schedule):
        raise ValueError(f"segments must be a Schedule, got {schedule!r}")
    return replace(schedule, segments=tuple(replace(one, reason="") for one in schedule.segments))


@dataclass(frozen=True, kw_only=True)
class Fired(Part):
    """What was really fired, and what became of it.

    Parameters
    ----------
    date : date
        The day it was begun.
    firing : int
        Which of the planned firings it was, from 1 [-], 1 to 20.
    segments : Schedule
        The segments as run; their reasons are not kept.
    log : str
        File of the kiln's log, beside the piece file; empty: none.
    before, after : tuple of str
        Files of photographs, beside the piece file.
    finding : str
        What came out.
    next_time : str
        What will be changed.

    Raises
    ------
    ValueError
        If a value is not allowed.
    """

    date: datetime.date = _parts.date()
    firing: int = _parts.count(1, 20, 1)
    segments: Schedule = _parts.written(Schedule.from_text, _without_reasons, Schedule.to_text)
    log: str = _parts.words("")
    before: tuple[str, ...] = _parts.texts()
    after: tuple[str, ...] = _parts.texts()
    finding: str = _parts.words("")
    next_time: str = _parts.words("")
