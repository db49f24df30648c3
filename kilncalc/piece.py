"""What is fired: layers, zones of one thickness, and the piece they make."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

import numpy as np

from kilncalc._ranges import in_range, scalar_in_range
from kilncalc.materials import Glass

Support = Literal["shelf", "open"]
Below = Literal["shelf", "open", "paper"]
Above = Literal["open", "paper"]
Feature = Literal["rib", "spot"]
FeaturePlace = Literal["inside", "side", "both sides", "frame", "corner"]
Bending = Literal["free", "flat"]

PLACES: dict[Feature, tuple[FeaturePlace, ...]] = {
    "rib": ("inside", "side", "both sides", "frame"),
    "spot": ("inside", "side", "corner"),
}
"""Where on a piece a narrow feature can lie."""

_THINNEST, _THICKEST = 0.3e-3, 0.15  # m
_SAME = 1e-6  # how far shares may be from a sum of one [-], and layers from the thickness of their zone [m]


def _thickness(name: str, value: float) -> float:
    return scalar_in_range(name, value, "m", _THINNEST, _THICKEST)


def _one_of(name: str, value: object, allowed: tuple[object, ...]) -> None:
    if value not in allowed:
        words = " or ".join(f'"{word}"' if isinstance(word, str) else str(word) for word in allowed)
        raise ValueError(f"{name} must be {words}, got {value!r}")


@dataclass(frozen=True)
class Layer:
    """One sheet of glass in a zone, before the sheets have become one piece.

    Parameters
    ----------
    thickness : float
        Measured thickness [m], 0.3e-3 to 0.15.
    sheet : str or None
        The name of the sheet it is part of. Layers of the same name in several zones are one sheet, which
        strains and bends as a whole. None: the lowest layer of a zone is part of the base, the sheet that
        runs through under all zones; any other layer is a sheet of its own.

    Raises
    ------
    ValueError
        If the thickness is outside its range or the name is not a word.

    Examples
    --------
    >>> Layer(0.003)
    Layer(thickness=0.003, sheet=None)
    """

    thickness: float
    sheet: str | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "thickness", _thickness("thickness of a layer", self.thickness))
        if self.sheet is not None and (not isinstance(self.sheet, str) or not self.sheet.strip()):
            raise ValueError(f"sheet must be a name or None, got {self.sheet!r}")


@dataclass(frozen=True)
class Zone:
    """A part of a piece that has one thickness and one share of the area.

    Parameters
    ----------
    thickness : float
        Thickness of the glass [m], 0.3e-3 to 0.15.
    share : float
        Share of the area of the piece [-], > 0, at most 1; the shares of a piece add up to 1.
    feature_width : float or None
        Width of a narrow rib or diameter of a round spot [m], 0.5e-3 to 0.5. A narrow feature is cooled and
        held by the glass beside it. None: the zone is wide.
    feature : str
        "rib" (long and narrow) or "spot" (round); only read where there is a `feature_width`.
    feature_length : float or None
        Length of a rib, as a rule of the piece along it [m], 1e-3 to 10: near its ends it is held less.
        None: endless, which is the worst; three times the width of the piece is as good as that. Only read
        for a rib.
    feature_place : str
        Where on the piece it lies. A rib: "inside", from the middle to a quarter of the width from a side;
        "side", one along one side, so that its share of the area is its share of the width; "both sides",
        a pair along two opposite sides; "frame", all the way round. A spot: "inside", "side" or "corner".
    below : str or None
        What the zone lies on: "shelf", "open" (air, as if on posts) or "paper" (fibre paper on whatever
        supports the piece). None: the support of the piece.
    above : str
        What lies on the zone: "open" (nothing) or "paper".
    paper : float
        Thickness of the fibre paper where `below` or `above` is "paper" [m], 0 to 0.1.
    layers : sequence of Layer or of thicknesses, or None
        The loose sheets of a first firing, from the shelf upwards; plain numbers are thicknesses [m],
        0.3e-3 to 0.15. Only read where the piece is loose.

    Raises
    ------
    ValueError
        If a number is outside its range, a word is not one of those listed, paper has a thickness but no
        place, or the layers do not add up to the thickness.

    Examples
    --------
    >>> Zone(0.006, 0.3, layers=(0.003, 0.003)).layers
    (Layer(thickness=0.003, sheet=None), Layer(thickness=0.003, sheet=None))
    """

    thickness: float
    share: float
    feature_width: float | None = None
    feature: Feature = "rib"
    feature_length: float | None = None
    feature_place: FeaturePlace = "inside"
    below: Below | None = None
    above: Above = "open"
    paper: float = 0.0
    layers: tuple[Layer, ...] | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "thickness", _thickness("thickness of a zone", self.thickness))
        share = scalar_in_range("share", self.share, "", 0.0, 1.0, open_low=True)
        object.__setattr__(self, "share", share)
        if self.feature_width is not None:
            width = scalar_in_range("feature_width", self.feature_width, "m", 0.5e-3, 0.5)
            object.__setattr__(self, "feature_width", width)
        _one_of("feature", self.feature, ("rib", "spot"))
        if self.feature_length is not None:
            length = scalar_in_range("feature_length", self.feature_length, "m", 1e-3, 10.0)
            object.__setattr__(self, "feature_length", length)
        _one_of(f"feature_place of a {self.feature}", self.feature_place, PLACES[self.feature])
        _one_of("below", self.below, ("shelf", "open", "paper", None))
        _one_of("above", self.above, ("open", "paper"))
        object.__setattr__(self, "paper", scalar_in_range("paper", self.paper, "m", 0.0, 0.1))
        if self.paper and "paper" not in (self.below, self.above):
            raise ValueError(
                f'paper is {self.paper:g} m thick, but neither below nor above is "paper": say where it lies'
            )
        if self.layers is not None:
            if isinstance(self.layers, str) or not isinstance(self.layers, Iterable):
                raise ValueError(f"layers must be a row of Layer or of thicknesses, got {self.layers!r}")
            layers = tuple(one if isinstance(one, Layer) else Layer(one) for one in self.layers)
            total = sum(one.thickness for one in layers)
            if abs(total - self.thickness) > _SAME:
                raise ValueError(
                    f"the layers of a zone add up to {total * 1000:g} mm, but the zone is "
                    f"{self.thickness * 1000:g} mm thick"
                )
            object.__setattr__(self, "layers", layers)


LARGEST_MAP = 250_000
"""Cells of the largest map: more would not fit into a small computer's memory."""


@dataclass(frozen=True, eq=False)
class ReliefMap:
    """The thickness of a piece, cell by cell, seen from above; its underside is flush.

    Parameters
    ----------
    thickness : ndarray
        Of the glass (ny, nx) [m], 0.3e-3 to 0.15; the first row is the lower edge.
    cell : float
        Side of a cell [m], 0.1e-3 to 0.1.
    above, below : ndarray or None
        Thickness of fibre paper on the glass and under it (ny, nx) [m], 0 to 0.05; None: no paper.

    Raises
    ------
    ValueError
        If the map is no rectangle of at least 3 x 3 cells, has more than 250 000, or a thickness is out of
        range: a hole in the sheet is none.

    Examples
    --------
    >>> tile = ReliefMap(np.full((20, 30), 0.006), 0.005)
    >>> tile.width, tile.height, tile.base
    (0.15, 0.1, 0.006)
    """

    thickness: np.ndarray
    cell: float
    above: np.ndarray | None = None
    below: np.ndarray | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "cell", scalar_in_range("cell", self.cell, "m", 0.1e-3, 0.1))
        shape = np.shape(self.thickness)
        if len(shape) != 2 or min(shape) < 3:
            raise ValueError(f"thickness must be a map of at least 3 x 3 cells, got the shape {shape}")
        if shape[0] * shape[1] > LARGEST_MAP:
            raise ValueError(
                f"thickness has {shape[0]} x {shape[1]} cells; at most {LARGEST_MAP} fit: take larger cells"
            )
        if np.any(np.asarray(self.thickness) == 0):
            raise ValueError(
                "thickness is zero in some cells: an opening in the sheet is not part of this model; close "
                "it, or take the zones of the piece"
            )
        checked = in_range("thickness", self.thickness, "m", _THINNEST, _THICKEST).copy()
        checked.setflags(write=False)
        object.__setattr__(self, "thickness", checked)
        for name in ("above", "below"):
            paper = getattr(self, name)
            if paper is None:
                continue
            if np.shape(paper) != shape:
                raise ValueError(f"{name} has the shape {np.shape(paper)}, but thickness has {shape}")
            object.__setattr__(self, name, in_range(name, paper, "m", 0.0, 0.05))

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns [-]."""
        return self.thickness.shape[0], self.thickness.shape[1]

    @property
    def width(self) -> float:
        """Along a row [m]."""
        return float(self.shape[1] * self.cell)

    @property
    def height(self) -> float:
        """Along a column [m]."""
        return float(self.shape[0] * self.cell)

    @cached_property
    def base(self) -> float:
        """The thickness that the largest part of the map has, to 0.1 mm [m]."""
        steps, counts = np.unique(np.round(self.thickness, 4), return_counts=True)
        return float(steps[counts.argmax()])


@dataclass(frozen=True)
class Piece:
    """A piece in the kiln: its glass, its zones, what it lies on, and whether it can bend.

    Parameters
    ----------
    glass : Glass
        The glass, the same everywhere.
    body : sequence of Zone, or ReliefMap
        The zones; their shares add up to 1. Every zone lies flush on what supports it. Or the thickness
        map of a solid piece.
    support : str
        What the zones lie on that do not say so themselves: "shelf" or "open" (air, as if on posts).
    bending : str
        "free", or "flat": held flat by its weight, its mould or its shape.
    loose : bool
        True: a first firing, in which the sheets lie loose on each other until they are hot. Each zone then
        says its `layers`. Without them, the thinnest zone is the base, a sheet that runs through under all
        zones, and what is above it in a thicker zone lies on it as one sheet.

    Raises
    ------
    ValueError
        If there is no zone, the shares do not add up to 1, a word is not one of those listed, no zone is
        wide, or a loose piece has nothing that lies loose.

    Notes
    -----
    Glass that is one solid piece strains and bends as one: zones are a description of thickness, not of
    place. Where a thick part is narrow, say its `feature_width`.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> plate = Piece(glass("lamp soda-lime"), [Zone(0.003, 0.7), Zone(0.006, 0.3)])
    >>> plate.base
    0
    """

    glass: Glass
    body: Any
    support: Support = "shelf"
    bending: Bending = "free"
    loose: bool = False

    def __post_init__(self) -> None:
        if not isinstance(self.glass, Glass):
            raise ValueError(
                f"glass must be a Glass, such as kilncalc.materials.glass('float'), got {self.glass!r}"
            )
        if not isinstance(self.body, ReliefMap):
            if isinstance(self.body, Zone | str) or not isinstance(self.body, Iterable):
                raise ValueError(f"body must be a list of Zones or a ReliefMap, got {self.body!r}")
            object.__setattr__(self, "body", tuple(self.body))
        _one_of("support", self.support, ("shelf", "open"))
        _one_of("bending", self.bending, ("free", "flat"))
        _one_of("loose", self.loose, (True, False))
        if isinstance(self.body, ReliefMap):
            if self.loose:
                raise ValueError("a thickness map is one solid piece; describe loose sheets by zones")
            return
        zones = self.body
        if not zones:
            raise ValueError("the piece is empty: it needs at least one zone")
        for number, zone in enumerate(zones, start=1):
            if not isinstance(zone, Zone):
                raise ValueError(f"zone {number} of the body must be a Zone, got {zone!r}")
        total = sum(zone.share for zone in zones)
        if abs(total - 1) > _SAME:
            shares = " + ".join(f"{zone.share:g}" for zone in zones)
            raise ValueError(f"the shares of the zones must add up to 1, and {shares} = {total:g}")
        if all(zone.feature_width for zone in zones):
            raise ValueError("every zone has a feature_width; the widest of them is the base and has none")
        if self.loose:
            self._check_sheets()

    @property
    def base(self) -> int:
        """The zone of the largest share among those without a `feature_width`, counted from 0."""
        wide = [i for i, zone in enumerate(self.body) if zone.feature_width is None]
        return max(wide, key=lambda i: self.body[i].share)

    def sheets(self) -> tuple[tuple[tuple[float, str], ...], ...]:
        """Return, for every zone from the shelf upwards, the thickness [m] and the name of each loose sheet.

        A piece that is not loose is one sheet.

        Returns
        -------
        tuple of tuples of pairs
            One tuple a zone, in it a pair a sheet: thickness [m] and name.

        Examples
        --------
        >>> from kilncalc.materials import glass
        >>> heap = Piece(glass("float"), [Zone(0.003, 0.7), Zone(0.006, 0.3)], loose=True)
        >>> heap.sheets()
        (((0.003, 'base'),), ((0.003, 'base'), (0.003, 'zone 2, layer 2')))
        """
        if not self.loose:
            return tuple(((zone.thickness, "the piece"),) for zone in self.body)
        thinnest = min(zone.thickness for zone in self.body)
        rows = []
        for number, zone in enumerate(self.body, start=1):
            layers = zone.layers
            if layers is None:
                rest = zone.thickness - thinnest
                layers = (Layer(thinnest), Layer(rest)) if rest > _SAME else (Layer(zone.thickness),)
            names = [
                one.sheet or ("base" if level == 1 else f"zone {number}, layer {level}")
                for level, one in enumerate(layers, start=1)
            ]
            rows.append(tuple((one.thickness, name) for one, name in zip(layers, names, strict=True)))
        return tuple(rows)

    def _check_sheets(self) -> None:
        rows = self.sheets()
        if all(len(row) == 1 for row in rows) and len({row[0][1] for row in rows}) == 1:
            raise ValueError(
                "a loose piece needs something that lies loose: give its zones their layers, such as "
                "Zone(0.006, 1, layers=(0.003, 0.003))"
            )
        known: dict[str, float] = {}
        for row in rows:
            for thickness, name in row:
                if abs(known.setdefault(name, thickness) - thickness) > _SAME:
                    raise ValueError(
                        f'the sheet "{name}" is {known[name] * 1000:g} mm thick in one zone and '
                        f"{thickness * 1000:g} mm in another; a sheet has one thickness: give the layers "
                        "different sheet names"
                    )
            if len({name for _, name in row}) < len(row):
                raise ValueError("two layers of one zone have the same sheet name; a sheet is in a zone once")
