"""Which blanks, and from which sheets: `Allowance` with `blank_size`, and `cut_list`."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import NamedTuple

import numpy as np

from kilncalc._ranges import SAME_LENGTH, ArrayLike, in_range, like_input, scalar_in_range, whole_in_range

_MOST_BLANKS = 2000
_MOST_FITTINGS = 1_000_000
"""How often a blank is held against a free place before the best cutting plan so far is taken."""


# ------------------------------------------------------------------------------------------------ blanks


@dataclass(frozen=True)
class Allowance:
    """What a size loses between the cut blank and the finished piece: the one place for it.

    Parameters
    ----------
    draw_in : float
        Inward move of an edge while the glass is soft, per edge [m], 0 to 0.1. A guess, a measurement on a
        trial, or from the forming model.
    trim : float
        What is sawn or ground off afterwards, per edge [m], 0 to 0.1.
    edges : int
        How many of the two edges across this size move and are trimmed [-], 0 to 2.

    Raises
    ------
    ValueError
        If a number is out of range.

    Examples
    --------
    >>> round(Allowance(draw_in=2e-3, trim=1.5e-3).total, 6)
    0.007
    """

    draw_in: float = 0.0
    trim: float = 0.0
    edges: int = 2

    def __post_init__(self) -> None:
        for field in ("draw_in", "trim"):
            value = scalar_in_range(field, getattr(self, field), "m", 0.0, 0.1)
            object.__setattr__(self, field, value)
        object.__setattr__(self, "edges", whole_in_range("edges", self.edges, 0, 2))

    @property
    def total(self) -> float:
        """Loss over all edges [m]."""
        return self.edges * (self.draw_in + self.trim)


def blank_size(
    length: ArrayLike,
    width: ArrayLike,
    along_length: Allowance,
    along_width: Allowance | None = None,
    *,
    opening: bool = False,
) -> tuple[ArrayLike, ArrayLike]:
    """Return the size to cut for a finished size, l_cut = l + edges (draw-in + trim); less for an opening.

    Parameters
    ----------
    length : float or array
        Finished length [m], above 0 to 2.
    width : float or array
        Finished width [m], above 0 to 2.
    along_length : Allowance
        What the length loses.
    along_width : Allowance, optional
        What the width loses; left out: the same.
    opening : bool
        True for a window in the glass: its edges draw back too, so it grows and is cut smaller.

    Returns
    -------
    tuple of two floats or arrays
        Length and width to cut [m], each in the shape of its argument.

    Raises
    ------
    ValueError
        If a number is out of range, or an opening would be cut away to nothing.

    Notes
    -----
    A sheet draped over a former loses on the two edges that hang down and hardly along the former: give two
    allowances. Two layers that must end flush need the allowance of the one that loses more.

    Examples
    --------
    >>> [round(float(size), 4) for size in blank_size(0.240, 0.180, Allowance(2e-3, 1.5e-3))]
    [0.247, 0.187]
    >>> [round(float(size), 4) for size in blank_size(0.030, 0.030, Allowance(2e-3), opening=True)]
    [0.026, 0.026]
    """
    sign = -1 if opening else 1
    sizes = []
    for name, value, allowance in (
        ("length", length, along_length),
        ("width", width, along_length if along_width is None else along_width),
    ):
        if not isinstance(allowance, Allowance):
            raise ValueError(
                f"the allowance along the {name} must be an Allowance(draw_in, trim), got {allowance!r}"
            )
        size = in_range(name, value, "m", 0.0, 2.0, open_low=True) + sign * allowance.total
        if np.any(size <= 0):
            raise ValueError(
                f"an opening with this {name} closes: it loses {allowance.total:g} m, more than it measures"
            )
        sizes.append(like_input(size))
    return sizes[0], sizes[1]


# ---------------------------------------------------------------------------------------------- cut list


@dataclass(frozen=True)
class Blank:
    """A rectangle to be cut, once or several times.

    Parameters
    ----------
    name : str
        What it is for.
    length : float
        Length to cut [m], above 0 to 4.
    width : float
        Width to cut [m], above 0 to 4.
    count : int
        How many [-], 1 to 2000.
    material : str
        Name of the sheet it is cut from, as in `StockSheet.material`.
    turn : bool
        Whether it may lie crosswise; False where a streaky or rolled sheet must keep its direction.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    For another outline give the rectangle around it.

    Examples
    --------
    >>> Blank("tray", 0.247, 0.187, count=2).count
    2
    """

    name: str
    length: float
    width: float
    count: int = 1
    material: str = "clear"
    turn: bool = True

    def __post_init__(self) -> None:
        for field in ("length", "width"):
            value = scalar_in_range(
                f'{field} of "{self.name}"', getattr(self, field), "m", 0.0, 4.0, open_low=True
            )
            object.__setattr__(self, field, value)
        count = whole_in_range(f'count of "{self.name}"', self.count, 1, _MOST_BLANKS)
        object.__setattr__(self, "count", count)


@dataclass(frozen=True)
class StockSheet:
    """A sheet as it is bought, or an offcut in the rack.

    Parameters
    ----------
    length : float
        Length [m], above 0 to 4.
    width : float
        Width [m], above 0 to 4.
    thickness : float
        Measured thickness [m], 0.3e-3 to 0.15.
    density : float
        Density of the glass [kg/m3], 2000 to 7000.
    price : float
        Price of one sheet, in any currency [money], 0 to 1e6.
    count : int, optional
        How many there are [-], 1 to 2000; left out: as many as are needed.
    material : str
        Name that blanks refer to.
    edge : float
        Rim that is cut away first on all four sides: rolled edge, chipped edge [m], 0 to 0.2.

    Raises
    ------
    ValueError
        If a number is out of range, or the rims leave nothing.

    Examples
    --------
    >>> round(StockSheet(0.5, 0.5, 3.2e-3, 2500, price=30.0).mass, 6)
    2.0
    """

    length: float
    width: float
    thickness: float
    density: float
    price: float = 0.0
    count: int | None = None
    material: str = "clear"
    edge: float = 0.0

    def __post_init__(self) -> None:
        for field, unit, low, high in (
            ("length", "m", 0.0, 4.0),
            ("width", "m", 0.0, 4.0),
            ("thickness", "m", 0.3e-3, 0.15),
            ("density", "kg/m3", 2000, 7000),
            ("price", "money", 0.0, 1e6),
            ("edge", "m", 0.0, 0.2),
        ):
            side = field in ("length", "width")
            value = scalar_in_range(field, getattr(self, field), unit, low, high, open_low=side)
            object.__setattr__(self, field, value)
        if self.count is not None:
            object.__setattr__(self, "count", whole_in_range("count", self.count, 1, _MOST_BLANKS))
        if 2 * self.edge >= min(self.length, self.width):
            raise ValueError(f"edge is {self.edge:g} m on every side: nothing of the sheet is left")

    @property
    def area(self) -> float:
        """Area, rims included [m2]."""
        return self.length * self.width

    @property
    def mass(self) -> float:
        """Mass [kg]."""
        return self.area * self.thickness * self.density


class Rectangle(NamedTuple):
    """A rectangle on a sheet, from the sheet's corner: a blank in its place, or an offcut.

    Attributes
    ----------
    x, y : float
        Nearest corner [m].
    length, width : float
        Size along x and along y [m].
    name : str
        Name of the blank; empty for an offcut.
    """

    x: float
    y: float
    length: float
    width: float
    name: str = ""


class Cut(NamedTuple):
    """A straight cut, from edge to edge of the part of the sheet it is made in.

    Attributes
    ----------
    x0, y0, x1, y1 : float
        Its ends [m]; a saw takes its kerf on the far side of this line.
    """

    x0: float
    y0: float
    x1: float
    y1: float


@dataclass(frozen=True)
class CutRow:
    """A line of a cut list: blanks of one size from one sheet.

    Attributes
    ----------
    sheet : int
        Number of the sheet, from 1 [-].
    material : str
        Name of its material.
    blank : str
        Name of the blank.
    count : int
        How many of it [-].
    length, width : float
        The longer and the shorter side [m].
    """

    sheet: int
    material: str
    blank: str
    count: int
    length: float
    width: float


@dataclass(frozen=True)
class CutSheet:
    """One sheet of a cut list.

    Attributes
    ----------
    stock : StockSheet
        The sheet.
    blanks : tuple of Rectangle
        The blanks in their places.
    cuts : tuple of Cut
        All cuts in an order in which they can be made, each from edge to edge.
    offcuts : tuple of Rectangle
        What is left over.
    """

    stock: StockSheet
    blanks: tuple[Rectangle, ...]
    cuts: tuple[Cut, ...]
    offcuts: tuple[Rectangle, ...]


@dataclass(frozen=True)
class CutList:
    """All sheets of a project with the blanks on them.

    Attributes
    ----------
    sheets : tuple of CutSheet
        The sheets, in the order in which they are cut.
    kerf : float
        Width that each cut takes [m].
    """

    sheets: tuple[CutSheet, ...]
    kerf: float

    @property
    def blank_area(self) -> float:
        """Area of all blanks [m2]."""
        return sum(_area(blank) for sheet in self.sheets for blank in sheet.blanks)

    @property
    def stock_area(self) -> float:
        """Area of all sheets that are cut into [m2]."""
        return sum(sheet.stock.area for sheet in self.sheets)

    @property
    def waste(self) -> float:
        """Share of the sheets' area that does not become a blank, usable offcuts included [-]."""
        return 1 - self.blank_area / self.stock_area

    @property
    def blank_mass(self) -> float:
        """Mass of all blanks: what goes into the kiln [kg]."""
        return sum(
            _area(blank) * sheet.stock.thickness * sheet.stock.density
            for sheet in self.sheets
            for blank in sheet.blanks
        )

    @property
    def stock_mass(self) -> float:
        """Mass of all sheets: what is bought [kg]."""
        return sum(sheet.stock.mass for sheet in self.sheets)

    @property
    def cost(self) -> float:
        """Price of all sheets, in the currency of their prices [money]."""
        return sum(sheet.stock.price for sheet in self.sheets)

    @property
    def rows(self) -> tuple[CutRow, ...]:
        """The list in plain records, one for each size of blank on each sheet."""
        found = []
        for number, sheet in enumerate(self.sheets, 1):
            sizes = Counter(
                (
                    blank.name,
                    round(max(blank.length, blank.width), 9),
                    round(min(blank.length, blank.width), 9),
                )
                for blank in sheet.blanks
            )
            found += [
                CutRow(number, sheet.stock.material, name, count, long, short)
                for (name, long, short), count in sizes.items()
            ]
        return tuple(found)


def cut_list(blanks: Sequence[Blank], stock: Sequence[StockSheet], *, kerf: float = 0.0) -> CutList:
    """Return how to cut blanks from sheets with cuts from edge to edge, with little waste.

    Parameters
    ----------
    blanks : sequence of Blank
        What is needed, up to 2000 blanks in all.
    stock : sequence of StockSheet
        What there is, for each material in the order in which it is to be used up: offcuts first.
    kerf : float
        Width that each cut takes [m], 0 to 0.02: the blade of a saw, or what is ground off a scored edge.

    Returns
    -------
    CutList
        The sheets with blanks, cuts and offcuts; waste [-], mass [kg] and cost [money].

    Raises
    ------
    ValueError
        If a number is out of range, a blank is larger than every sheet of its material, there is no sheet of
        its material, or the sheets there are do not suffice.

    Notes
    -----
    Scored glass breaks from edge to edge only, so every cut divides one part of a sheet into two. Several
    dozen simple plans are made, one blank at a time, the largest first, each into a free place that it fits
    best; the one that uses the least sheet, and then leaves the largest offcut, is taken. Shelf packings
    (rows of falling height) are among them, so it is never worse than those; it need not be the best
    possible. The number of plans falls as the list grows, so that a thousand blanks take seconds. The same
    input gives the same list. A strip narrower than about three thicknesses hardly breaks off clean: leave
    such offcuts on the blank's neighbour or grind (common practice, no source). Never score or saw
    toughened glass.

    Examples
    --------
    >>> sheet = StockSheet(0.500, 0.500, 3.2e-3, 2500, price=30.0)
    >>> plan = cut_list([Blank("tray", 0.247, 0.187, count=2), Blank("banner", 0.427, 0.157)], [sheet])
    >>> len(plan.sheets), round(plan.waste, 3), round(plan.blank_mass, 3), plan.cost
    (1, 0.362, 1.275, 30.0)

    References
    ----------
    A. Lodi, S. Martello & M. Monaci 2002, Two-dimensional packing problems: a survey, Eur. J. Oper. Res. 141,
    241 (shelf and guillotine heuristics).
    """
    width = scalar_in_range("kerf", kerf, "m", 0.0, 0.02)
    total = sum(blank.count for blank in blanks)
    if not blanks:
        raise ValueError("blanks is empty: there is nothing to cut")
    if total > _MOST_BLANKS:
        raise ValueError(f"{total} blanks are asked for; up to {_MOST_BLANKS} can be planned at once")
    for sheet in stock:
        if 0 < sheet.edge < width:
            raise ValueError(
                f"edge is {sheet.edge:g} m, less than the kerf of {width:g} m: the cut needs room on the rim"
            )
    sheets: list[CutSheet] = []
    for material in dict.fromkeys(blank.material for blank in blanks):
        there = [sheet for sheet in stock if sheet.material == material]
        if not there:
            known = (
                ", ".join(f'"{name}"' for name in dict.fromkeys(sheet.material for sheet in stock)) or "none"
            )
            raise ValueError(f'there is no sheet of "{material}"; there is stock of: {known}')
        wanted = [blank for blank in blanks if blank.material == material]
        for blank in wanted:
            _check_fits(blank, there)
        sheets += _best_plan([blank for blank in wanted for _ in range(blank.count)], there, width)
    return CutList(tuple(sheets), width)


@dataclass(frozen=True)
class _Rule:
    """One simple way of planning: in which order, which way round, into which free place, which cut first."""

    order: str
    lie: str
    place: str
    first_cut: str


_SHELVES = tuple(
    _Rule(order, lie, "lowest", "shelf")
    for lie in ("given", "lying", "standing")
    for order in ("width", "area")
)
_RULES = tuple(
    _Rule(order, "any", place, cut)
    for place in ("area", "side", "lowest")
    for cut in ("shorter", "longer", "along", "across")
    for order in ("long", "area", "width", "perimeter")
)


def _best_plan(blanks: list[Blank], stock: list[StockSheet], kerf: float) -> list[CutSheet]:
    """Return the plan with the least sheet, then the largest offcut; refuse blanks that find no place."""
    best: tuple[tuple[float, ...], list[CutSheet], list[Blank]] | None = None
    fittings = 0
    tried: set[tuple[object, ...]] = set()
    for rule in (*_SHELVES, *_RULES):
        if rule not in _SHELVES and fittings > _MOST_FITTINGS:
            break
        row = sorted(blanks, key=partial(_order, rule, stock), reverse=True)
        same = rule.lie, rule.place, rule.first_cut, *map(id, row)
        if same in tried:  # of few sizes most orders are one
            continue
        tried.add(same)
        sheets, left, more = _plan(row, stock, kerf, rule)
        fittings += more
        offcuts = [_area(offcut) for sheet in sheets for offcut in sheet.offcuts]
        key = (
            len(left),
            round(sum(sheet.stock.area for sheet in sheets), 9),
            -round(max(offcuts, default=0.0), 9),
        )
        if best is None or key < best[0]:
            best = key, sheets, left
    assert best is not None
    _, sheets, left = best
    if left:
        sizes = ", ".join(f'{count} x "{name}"' for name, count in Counter(b.name for b in left).items())
        raise ValueError(
            f'the sheets of "{left[0].material}" do not suffice: no place was found for {sizes}. '
            "Add a sheet, or leave its count out"
        )
    return sheets


def _plan(
    blanks: list[Blank], stock: list[StockSheet], kerf: float, rule: _Rule
) -> tuple[list[CutSheet], list[Blank], int]:
    left = blanks
    sheets: list[CutSheet] = []
    fittings = 0
    for sheet in stock:
        used = 0
        while left and (sheet.count is None or used < sheet.count):
            filled, left, more = _fill(left, sheet, kerf, rule)
            fittings += more
            if not filled.blanks:
                break
            sheets.append(filled)
            used += 1
    return sheets, left, fittings


def _fill(
    blanks: list[Blank], stock: StockSheet, kerf: float, rule: _Rule
) -> tuple[CutSheet, list[Blank], int]:
    """Put blanks on one sheet, each into a free place it fits; return the sheet and what is left over."""
    whole = Rectangle(stock.edge, stock.edge, stock.length - 2 * stock.edge, stock.width - 2 * stock.edge)
    cuts = list(_rim_cuts(stock, kerf))
    free: list[tuple[Rectangle, bool]] = [(whole, False)]  # a place, and whether it is the rest of a shelf
    placed: list[Rectangle] = []
    unused: list[Rectangle] = []
    left: list[Blank] = []
    refused: set[tuple[float, float, bool]] = set()
    fittings = 0
    for blank in blanks:
        size = blank.length, blank.width, blank.turn
        best = None
        if size not in refused:
            ways = _ways(blank, stock, rule)
            fittings += len(free)
            for index, (place, _) in enumerate(free):
                for length, width in ways:
                    if length <= place.length + SAME_LENGTH and width <= place.width + SAME_LENGTH:
                        score = _score(rule.place, place, length, width)
                        if best is None or score < best[0]:
                            best = score, index, length, width
        if best is None:
            refused.add(size)
            left.append(blank)
            continue
        _, index, length, width = best
        place, on_shelf = free.pop(index)
        placed.append(Rectangle(place.x, place.y, length, width, blank.name))
        beside, above = _divide(
            place, length, width, kerf, _across_first(rule, place, length, width, on_shelf), cuts
        )
        shelf = rule.first_cut == "shelf"
        if _area(beside):
            free.append((beside, shelf))
        if _area(above):
            if on_shelf:
                unused.append(above)
            else:
                free.append((above, False))
    offcuts = (*(place for place, _ in free), *unused)
    return CutSheet(stock, tuple(placed), tuple(cuts), offcuts), left, fittings


def _divide(
    place: Rectangle, length: float, width: float, kerf: float, across_first: bool, cuts: list[Cut]
) -> tuple[Rectangle, Rectangle]:
    """Return what is free beside and above a blank in the corner of a place; add the one or two cuts."""
    x, y = place.x + length, place.y + width
    right, top = place.x + place.length, place.y + place.width
    across = Cut(x, place.y, x, top if across_first else y) if right - x > SAME_LENGTH else None
    along = Cut(place.x, y, x if across_first else right, y) if top - y > SAME_LENGTH else None
    cuts += [cut for cut in ((across, along) if across_first else (along, across)) if cut]
    beside_width = place.width if across_first else width
    above_length = length if across_first else place.length
    return (
        _free(x + kerf, place.y, right - x - kerf, beside_width),
        _free(place.x, y + kerf, above_length, top - y - kerf),
    )


def _free(x: float, y: float, length: float, width: float) -> Rectangle:
    some = length > SAME_LENGTH and width > SAME_LENGTH
    return Rectangle(x, y, length, width) if some else Rectangle(x, y, 0.0, 0.0)


def _across_first(rule: _Rule, place: Rectangle, length: float, width: float, on_shelf: bool) -> bool:
    """Return whether the first cut runs across the length (parallel to y)."""
    if rule.first_cut == "shelf":
        return on_shelf
    if rule.first_cut in ("along", "across"):
        return rule.first_cut == "across"
    beside, above = place.length - length, place.width - width
    return (above < beside) == (rule.first_cut == "shorter")


def _score(how: str, place: Rectangle, length: float, width: float) -> tuple[float, ...]:
    if how == "lowest":
        return place.y, place.x
    spare = min(place.length - length, place.width - width)
    area = place.length * place.width - length * width
    return (area, spare) if how == "area" else (spare, area)


def _ways(blank: Blank, stock: StockSheet, rule: _Rule) -> list[tuple[float, float]]:
    """Return the ways in which a blank may lie, as length and width."""
    given, turned = (blank.length, blank.width), (blank.width, blank.length)
    if not blank.turn or blank.length == blank.width:
        return [given]
    if rule.lie == "any":
        return [given, turned]
    first = given
    if rule.lie != "given" and (blank.length < blank.width) == (rule.lie == "lying"):
        first = turned
    fits = first[0] <= stock.length - 2 * stock.edge + SAME_LENGTH
    fits &= first[1] <= stock.width - 2 * stock.edge + SAME_LENGTH
    return [first if fits else first[::-1]]


def _order(rule: _Rule, stock: list[StockSheet], blank: Blank) -> tuple[float, ...]:
    if rule.lie != "any":
        length, width = _ways(blank, stock[0], rule)[0]
        return (length * width, width) if rule.order == "area" else (width, length)
    long, short = max(blank.length, blank.width), min(blank.length, blank.width)
    return {
        "long": (long, short),
        "area": (long * short, long),
        "width": (short, long),
        "perimeter": (long + short, long),
    }[rule.order]


def _rim_cuts(stock: StockSheet, kerf: float) -> Iterator[Cut]:
    if stock.edge:
        near, far_x, far_y = stock.edge, stock.length - stock.edge, stock.width - stock.edge
        yield Cut(near - kerf, 0.0, near - kerf, stock.width)
        yield Cut(far_x, 0.0, far_x, stock.width)
        yield Cut(near, near - kerf, far_x, near - kerf)
        yield Cut(near, far_y, far_x, far_y)


def _check_fits(blank: Blank, stock: list[StockSheet]) -> None:
    for sheet in stock:
        room = sheet.length - 2 * sheet.edge + SAME_LENGTH, sheet.width - 2 * sheet.edge + SAME_LENGTH
        ways = [(blank.length, blank.width), (blank.width, blank.length)][: 1 + blank.turn]
        if any(length <= room[0] and width <= room[1] for length, width in ways):
            return
    largest = max(stock, key=lambda sheet: sheet.area)
    raise ValueError(
        f'"{blank.name}" is {blank.length * 1e3:.4g} by {blank.width * 1e3:.4g} mm, larger than every sheet '
        f'of "{blank.material}" (the largest is {largest.length * 1e3:.4g} by {largest.width * 1e3:.4g} mm'
        + (f" with a rim of {largest.edge * 1e3:.4g} mm" if largest.edge else "")
        + (")" if blank.turn else "), and it must not be turned")
    )


def _area(rectangle: Rectangle) -> float:
    return rectangle.length * rectangle.width
