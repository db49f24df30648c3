"""How many: sheets for a thickness, layers of fibre paper for a depth, rods on a sheet, sheets for a project.

Where molten glass goes is in `settling`, how blanks lie on sheets in `cutting`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, pi

import numpy as np

from kilncalc._ranges import SAME_LENGTH, ArrayLike, in_range, like_input, scalar_in_range, whole_in_range
from kilncalc._tables import as_number, named, rows
from kilncalc.cutting import Allowance, Blank, CutList, StockSheet, blank_size, cut_list
from kilncalc.materials import Glass
from kilncalc.settling import SettledStack, come_to_rest, settled_thickness

_AS_GOOD = 0.1e-3
"""Two mixtures of papers whose depths differ by less than this [m] are equally deep: the fewer layers win."""


@dataclass(frozen=True)
class Stack:
    """A whole number of layers, and by how much they miss the depth that was wanted.

    Attributes
    ----------
    counts : tuple of int
        Number of layers of each thickness [-], in the order in which the thicknesses were given.
    depth : float
        Depth of the stack [m].
    shortfall : float
        Depth wanted less depth of the stack [m]; negative where the stack is too deep.
    uncertainty : float
        By how much the depth may be off, either way [m]: the tolerance of one layer times their number.
    """

    counts: tuple[int, ...]
    depth: float
    shortfall: float
    uncertainty: float

    @property
    def count(self) -> int:
        """Number of layers in all."""
        return sum(self.counts)


@dataclass(frozen=True)
class Layers:
    """The two whole numbers of layers on either side of a depth.

    Attributes
    ----------
    wanted : float
        Depth that was wanted of the layers [m].
    down : Stack
        The deepest stack that is not too deep.
    up : Stack
        The shallowest stack that is deep enough; the same as `down` where a stack fits exactly.
    """

    wanted: float
    down: Stack
    up: Stack

    @property
    def nearest(self) -> Stack:
        """Whichever of the two misses by less; the fewer layers if both miss alike."""
        return self.down if abs(self.down.shortfall) <= abs(self.up.shortfall) + SAME_LENGTH else self.up


def sheets_for(thickness: float, sheet_thickness: float, *, tolerance: float = 0.0) -> Layers:
    """Return how many sheets make a thickness, n = t / t_sheet rounded down and up.

    Parameters
    ----------
    thickness : float
        Thickness wanted of the stack [m], 0.3e-3 to 0.15.
    sheet_thickness : float
        Thickness of one sheet as measured, not as sold [m], 0.3e-3 to 0.15.
    tolerance : float
        By how much a sheet may be thicker or thinner [m], 0 to below `sheet_thickness`.

    Returns
    -------
    Layers
        Count, depth [m] and shortfall [m], rounded down and up.

    Raises
    ------
    ValueError
        If a number is out of range, or less than one sheet is wanted.

    Notes
    -----
    Sheet sold as 3 mm often measures 3.2 to 3.6 mm (common practice, no source): measure at the edges and in
    several places. The tolerance is counted as the same for all sheets of one make, the worst case;
    independent errors would grow with the root of the count only.

    Examples
    --------
    >>> layers = sheets_for(9e-3, 3.4e-3, tolerance=0.1e-3)
    >>> layers.down.count, round(layers.down.shortfall * 1e3, 3)
    (2, 2.2)
    >>> layers.up.count, round(layers.up.shortfall * 1e3, 3), round(layers.up.uncertainty * 1e3, 3)
    (3, -1.2, 0.3)
    """
    wanted = scalar_in_range("thickness", thickness, "m", 0.3e-3, 0.15)
    sheet = scalar_in_range("sheet_thickness", sheet_thickness, "m", 0.3e-3, 0.15)
    return _rounded("thickness", wanted, [sheet], _tolerance(tolerance, sheet), "sheet")


def paper_layers(
    depth: float,
    measured_thickness: float | Sequence[float],
    *,
    face: float = 0.0,
    kept: float = 1.0,
    tolerance: float = 0.0,
) -> Layers:
    """Return how many layers of fibre paper make a depth, n = (depth - face) / (kept t), down and up.

    With several thicknesses, all their mixtures are compared.

    Parameters
    ----------
    depth : float
        Depth that the former must give [m], 0.3e-3 to 0.15.
    measured_thickness : float or sequence
        Thickness of one layer as measured [m], 0.3e-3 to 0.05; up to three different papers.
    face : float
        Thickness of glass that is counted in `depth` [m], 0 to below `depth`: where the depth was drawn
        from the front of the face, the face takes up its own thickness.
    kept : float
        Share of the measured thickness that is left under the glass when its binder has burnt out [-],
        0.4 to 1.2.
    tolerance : float
        By how much one layer may be thicker or thinner [m], 0 to below the thinnest layer.

    Returns
    -------
    Layers
        Count, depth [m] and shortfall [m] of the paper, rounded down and up.

    Raises
    ------
    ValueError
        If a number is out of range, or the depth is less than one layer.

    Notes
    -----
    Paper is sold by a name: it measures more, up to two thirds more (common practice, no source). Measure a
    stack of several layers under a small weight and divide. `Paper.kept` is the share for a paper of the
    table. A depth within 0.1 mm counts as equal: no paper is more even than that, and then the mixture
    with fewer layers is taken.

    Examples
    --------
    A sleeve 12.3 mm high over its glass of 3.2 mm, from a paper that is sold as 2 mm and measures 2.3:

    >>> paper_layers(12.3e-3, 2.3e-3, face=3.2e-3).nearest.count
    4
    >>> paper_layers(12.3e-3, 2e-3, face=3.2e-3).nearest.count
    5

    The same height from two papers, without a gap:

    >>> paper_layers(12.3e-3, (2.3e-3, 1.1e-3), face=3.2e-3).nearest.counts
    (3, 2)
    """
    whole = scalar_in_range("depth", depth, "m", 0.3e-3, 0.15)
    papers = np.atleast_1d(in_range("measured_thickness", measured_thickness, "m", 0.3e-3, 0.05))
    if papers.ndim > 1 or not 1 <= papers.size <= 3:
        raise ValueError(f"measured_thickness must be one to three thicknesses in m, got {papers.size}")
    glass = scalar_in_range("face", face, "m", 0.0, 0.15)
    if glass >= whole:
        raise ValueError(
            f"face is {glass:g} m, but the depth is {whole:g} m: nothing is left for the paper. "
            "Give face=0 if the depth is that of the paper alone"
        )
    share = scalar_in_range("kept", kept, "", 0.4, 1.2)
    layers = [float(paper) * share for paper in papers]
    return _rounded("depth", whole - glass, layers, _tolerance(tolerance, min(layers)), "layer")


@dataclass(frozen=True)
class Paper:
    """A fibre paper by its four thicknesses.

    Parameters
    ----------
    name : str
        What it is called.
    nominal : float
        Thickness it is sold as [m], 0.3e-3 to 0.05.
    measured : float
        Thickness measured from the packet [m], 0.3e-3 to 0.05.
    under_load : float
        Thickness of a layer under the glass, cold [m], 0.3e-3 to 0.05, not above `measured`.
    fired : float
        Thickness of a layer under the glass with its binder burnt out: what forms the glass [m], 0.3e-3 to
        0.05.

    Raises
    ------
    ValueError
        If a thickness is out of range.

    Notes
    -----
    Count with the last, measure the second, ask for the first when buying.

    Examples
    --------
    >>> thin = Paper("my paper", nominal=2e-3, measured=2.3e-3, under_load=2.3e-3, fired=2.25e-3)
    >>> round(thin.kept, 3)
    0.978
    """

    name: str
    nominal: float
    measured: float
    under_load: float
    fired: float

    def __post_init__(self) -> None:
        for field in ("nominal", "measured", "under_load", "fired"):
            value = scalar_in_range(field, getattr(self, field), "m", 0.3e-3, 0.05)
            object.__setattr__(self, field, value)
        if self.under_load > self.measured + SAME_LENGTH:
            raise ValueError(
                f"under_load is {self.under_load:g} m, above measured ({self.measured:g} m): "
                "a weight does not make paper thicker"
            )

    @property
    def kept(self) -> float:
        """Share of the measured thickness that is left under the glass after firing [-]."""
        return self.fired / self.measured


def paper(name: str) -> Paper:
    """Return the fibre paper of that name from `datasets/refractories.csv`.

    Parameters
    ----------
    name : str
        The name of a paper in that table, exactly as written there.

    Returns
    -------
    Paper
        Its four thicknesses.

    Raises
    ------
    ValueError
        If there is no paper of that name, or its row lacks a thickness; the message lists the names.

    Examples
    --------
    >>> paper("fibre paper 2 mm").measured
    0.0023
    """
    papers = [row for row in rows("refractories.csv") if row["form"] == "paper"]
    row = named(name, papers, "fibre paper")
    millimetres = {
        "nominal": as_number(row["nominal_thickness_mm"]),
        "measured": as_number(row["thickness_mm"]),
        "under_load": as_number(row["under_load_thickness_mm"]),
        "fired": as_number(row["fired_thickness_mm"]),
    }
    missing = [key for key, value in millimetres.items() if np.isnan(value)]
    if missing:
        raise ValueError(f'the row of "{name}" in refractories.csv lacks its thickness: {", ".join(missing)}')
    return Paper(name, **{key: round(value * 1e-3, 9) for key, value in millimetres.items()})


def stepped_former(
    depths: Sequence[float],
    measured_thickness: float,
    *,
    kept: float = 1.0,
    tolerance: float = 0.0,
) -> tuple[Stack, ...]:
    """Return the nearest whole number of layers at each step of a former, each counted from the shelf.

    Parameters
    ----------
    depths : sequence
        Depth of each step above the shelf, rising [m], 0.3e-3 to 0.15.
    measured_thickness : float
        Thickness of one layer as measured [m], 0.3e-3 to 0.05.
    kept : float
        Share of it that is left under the glass after firing [-], 0.4 to 1.2.
    tolerance : float
        By how much one layer may be thicker or thinner [m], 0 to below `measured_thickness`.

    Returns
    -------
    tuple of Stack
        Count, depth [m] and shortfall [m] at each step.

    Raises
    ------
    ValueError
        If the depths do not rise, or a number is out of range.

    Notes
    -----
    Counted step by step instead, the rounding errors would add up towards the top.

    Examples
    --------
    >>> [step.count for step in stepped_former([5e-3, 10e-3, 15e-3], 2.3e-3)]
    [2, 4, 7]
    """
    rising = np.atleast_1d(in_range("depths", depths, "m", 0.3e-3, 0.15))
    if rising.ndim > 1 or (np.diff(rising) <= 0).any():
        raise ValueError("depths must rise from step to step, each measured from the shelf")
    return tuple(
        paper_layers(float(depth), measured_thickness, kept=kept, tolerance=tolerance).nearest
        for depth in rising
    )


def bevel_widths(bottom: float, top: float, layers: int) -> np.ndarray:
    """Return the width of each layer of a bevelled former, w_i = w_bottom + (w_top - w_bottom)(i + 1/2)/n.

    Parameters
    ----------
    bottom : float
        Width of the former at the shelf [m], above 0 to 2.
    top : float
        Width at its top [m], above 0 to 2.
    layers : int
        Number of layers n [-], 1 to 500.

    Returns
    -------
    array
        Width of each layer from the shelf upwards [m], shape (layers,).

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    Every step stands half inside and half outside the straight bevel, so area and slope are those drawn. A
    step is (w_bottom - w_top)/(2n) wide on each side; cut the edges off at the slope to smooth it.

    Examples
    --------
    >>> (bevel_widths(0.040, 0.020, 4) * 1e3).round(3)
    array([37.5, 32.5, 27.5, 22.5])
    """
    n = whole_in_range("layers", layers, 1, 500)
    w0 = scalar_in_range("bottom", bottom, "m", 0.0, 2.0, open_low=True)
    w1 = scalar_in_range("top", top, "m", 0.0, 2.0, open_low=True)
    return w0 + (w1 - w0) * (np.arange(n) + 0.5) / n


@dataclass(frozen=True)
class Former:
    """Where a former stands, and how long it is.

    Attributes
    ----------
    length : float
        Length along the hollow, projections included [m].
    margin : float
        Width of glass beside the former, on either side [m].
    """

    length: float
    margin: float


def former_size(
    glass_width: float,
    glass_length: float,
    former_width: float,
    projection: float,
    *,
    open_ends: int = 2,
) -> Former:
    """Return margin and length of a former that stands mid-width, margin = (b - w)/2, length = l + n p.

    Parameters
    ----------
    glass_width : float
        Width b of the glass laid across the former [m], above 0 to 2.
    glass_length : float
        Length l of the glass along the former [m], above 0 to 2.
    former_width : float
        Width w of the former [m], above 0 to below `glass_width`.
    projection : float
        How far the former sticks out at each open end [m], 0 to 0.2.
    open_ends : int
        Number n of open ends [-], 1 to 2.

    Returns
    -------
    Former
        Length [m] and margin [m].

    Raises
    ------
    ValueError
        If a number is out of range, or the former is wider than the glass.

    Notes
    -----
    Common practice, no source: a former stands mid-width and projects at every open end, for an unsupported
    mouth sags. A hollow needs at least one open end: one that is sealed bursts.

    Examples
    --------
    >>> sleeve = former_size(0.066, 0.152, 0.018, 0.010)
    >>> round(sleeve.length, 6), round(sleeve.margin, 6)
    (0.172, 0.024)
    """
    b = scalar_in_range("glass_width", glass_width, "m", 0.0, 2.0, open_low=True)
    l = scalar_in_range("glass_length", glass_length, "m", 0.0, 2.0, open_low=True)
    w = scalar_in_range("former_width", former_width, "m", 0.0, 2.0, open_low=True)
    if w >= b:
        raise ValueError(f"former_width is {w:g} m, but the glass laid across it is only {b:g} m wide")
    p = scalar_in_range("projection", projection, "m", 0.0, 0.2)
    return Former(length=l + whole_in_range("open_ends", open_ends, 1, 2) * p, margin=(b - w) / 2)


def rods_thickness(diameter: ArrayLike, pitch: ArrayLike, *, directions: ArrayLike = 1) -> ArrayLike:
    """Return the mean thickness that a row or a grid of rods adds, t = n pi d^2 / (4 p).

    Parameters
    ----------
    diameter : float or array
        Diameter d of a rod [m], 0.1e-3 to 0.03.
    pitch : float or array
        Distance p from rod to rod, middle to middle [m], `diameter` to 1.
    directions : float or array
        Number n of crossing rows [-], 1 to 3: 1 for parallel rods, 2 for a grid.

    Returns
    -------
    float or array
        Mean thickness added [m], in the shape to which the arguments broadcast.

    Raises
    ------
    ValueError
        If a number is out of range, or rods overlap.

    Notes
    -----
    What a full fuse would make of them; for weight and for heat on the average. In a tack fuse a rod stands
    nearly its full height, and the stress beside it follows from that. For grains: `volume.texture_mass` and
    `volume.added_thickness`.

    Examples
    --------
    >>> round(rods_thickness(2e-3, 15e-3, directions=2) * 1e3, 3)
    0.419
    """
    d = in_range("diameter", diameter, "m", 0.1e-3, 0.03)
    p = in_range("pitch", pitch, "m", 0.1e-3, 1.0)
    if np.any(p < d - SAME_LENGTH):
        raise ValueError("pitch is less than diameter: rods side by side are one diameter apart at least")
    n = in_range("directions", directions, "", 1, 3)
    return like_input(n * pi * d**2 / (4 * p))


@dataclass(frozen=True)
class StackAtRest:
    """A stack of sheets, where it comes to rest, and how many sheets would keep their size.

    Attributes
    ----------
    sheets : int
        Number of sheets in the stack [-].
    sheet_thickness : float
        Measured thickness of one [m].
    stack : SettledStack
        The stack as laid up and at the end.
    keeping : Layers
        How many sheets make the settled thickness.
    """

    sheets: int
    sheet_thickness: float
    stack: SettledStack
    keeping: Layers


def stack_at_rest(
    glass: Glass,
    side: float,
    sheets: int,
    sheet_thickness: float,
    contact_angle: float,
    *,
    gap: float | None = None,
) -> StackAtRest:
    """Return where a square stack of n sheets comes to rest, and the number for which n t = h.

    Parameters
    ----------
    glass : Glass
        The glass, for its surface tension and its density.
    side : float
        Side of the square [m], above 0 to 2.
    sheets : int
        Number n of sheets [-], 1 to 40.
    sheet_thickness : float
        Thickness t of one sheet as measured, not as sold [m], 0.3e-3 to 0.15.
    contact_angle : float
        Angle between shelf and edge, measured through the glass [degree], 1 to 180.
    gap : float, optional
        Room between the stack and dams all round [m], 0 to 1; left out: no dams.

    Returns
    -------
    StackAtRest
        The stack at the end, and the number of sheets that make its settled thickness h.

    Raises
    ------
    ValueError
        If a number is out of range, the stack would draw in to a drop, or one sheet is thicker than h.

    Notes
    -----
    As for `settling.come_to_rest`.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> found = stack_at_rest(glass("kiln glass A"), 0.100, 1, 3.2e-3, 120)
    >>> round(found.stack.draw_in * 1e3, 1), found.keeping.nearest.count
    (11.9, 2)
    """
    count = whole_in_range("sheets", sheets, 1, 40)
    stack = come_to_rest(glass, side, count * sheet_thickness, contact_angle, gap=gap)
    keeping = sheets_for(settled_thickness(glass, contact_angle), sheet_thickness)
    return StackAtRest(count, float(sheet_thickness), stack, keeping)


@dataclass(frozen=True)
class PaperCounts:
    """A depth counted in layers of a paper by its name, and by what a layer measures.

    Attributes
    ----------
    depth, face : float
        Depth wanted, and the glass that is counted in it [m].
    nominal, measured : float
        Thickness the paper is sold as, and what a layer measures [m].
    by_name : int
        Number of layers that come nearest by the nominal thickness [-].
    counted : Layers
        Numbers of layers by the measured thickness.
    """

    depth: float
    face: float
    nominal: float
    measured: float
    by_name: int
    counted: Layers

    def over(self, count: int) -> float:
        """Return by how much so many layers and the face are deeper than wanted, n t + face - depth.

        Parameters
        ----------
        count : int
            Number n of layers [-], at least 0.

        Returns
        -------
        float
            What is too much [m]; negative where it is too shallow.
        """
        return count * self.measured + self.face - self.depth


def count_paper(depth: float, face: float, nominal: float, measured: float) -> PaperCounts:
    """Return the layers of a paper that make a depth, by name and as measured, n = (depth - face)/t.

    Parameters
    ----------
    depth : float
        Depth that the former and the face must give [m], 0.3e-3 to 0.15.
    face : float
        Thickness of glass that is counted in `depth` [m], 0 to below `depth`.
    nominal : float
        Thickness the paper is sold as [m], 0.3e-3 to 0.05.
    measured : float
        Thickness t of one layer as measured [m], 0.3e-3 to 0.05.

    Returns
    -------
    PaperCounts
        Both counts.

    Raises
    ------
    ValueError
        If a number is out of range, or the depth is less than one layer.

    Notes
    -----
    As for `paper_layers`.

    Examples
    --------
    >>> found = count_paper(12.5e-3, 3.2e-3, 2e-3, 2.3e-3)
    >>> found.by_name, found.counted.nearest.count, round(found.over(5) * 1e3, 3)
    (5, 4, 2.2)
    """
    by_name = paper_layers(depth, nominal, face=face).nearest.count
    counted = paper_layers(depth, measured, face=face)
    return PaperCounts(float(depth), float(face), float(nominal), float(measured), by_name, counted)


@dataclass(frozen=True)
class RodsOnSheet:
    """Rods on a sheet, and the even sheet of the same weight.

    Attributes
    ----------
    sheet, diameter, pitch : float
        Thickness of the sheet, of a rod, and distance from rod to rod [m].
    directions : int
        Number of crossing rows [-].
    added : float
        Mean thickness that the rods add [m].
    highest : float
        Height of the highest place [m].
    """

    sheet: float
    diameter: float
    pitch: float
    directions: int
    added: float
    highest: float

    @property
    def even(self) -> float:
        """Thickness of an even sheet of the same weight [m]."""
        return self.sheet + self.added


def rods_on_sheet(sheet: float, diameter: float, pitch: float, directions: int) -> RodsOnSheet:
    """Return a sheet with rods on it, mean t + n pi d^2/(4 p), highest place t + n d.

    Parameters
    ----------
    sheet : float
        Thickness t of the sheet below [m], 0 to 0.15.
    diameter : float
        Diameter d of a rod [m], 0.1e-3 to 0.03.
    pitch : float
        Distance p from rod to rod, middle to middle [m], `diameter` to 1.
    directions : int
        Number n of crossing rows [-], 1 to 3.

    Returns
    -------
    RodsOnSheet
        Mean thickness added, and the highest place.

    Raises
    ------
    ValueError
        If a number is out of range, or rods overlap.

    Notes
    -----
    As laid: in a tack fuse the rods sink in a little.

    Examples
    --------
    >>> grid = rods_on_sheet(6.4e-3, 2e-3, 15e-3, 2)
    >>> round(grid.even * 1e3, 2), round(grid.highest * 1e3, 1)
    (6.82, 10.4)
    """
    thickness = scalar_in_range("sheet", sheet, "m", 0.0, 0.15)
    rows = whole_in_range("directions", directions, 1, 3)
    added = rods_thickness(diameter, pitch, directions=rows)
    highest = thickness + rows * float(diameter)
    return RodsOnSheet(thickness, float(diameter), float(pitch), rows, added, highest)


@dataclass(frozen=True)
class Finished:
    """A finished rectangle of one or several layers of sheet.

    Parameters
    ----------
    name : str
        What it is.
    length : float
        Finished length [m], above 0 to 2.
    width : float
        Finished width [m], above 0 to 2.
    layers : int
        Number of layers of sheet [-], 1 to 40.
    draw_in_along_length : float
        How far each end draws in while the glass is soft [m], 0 to 0.1.
    draw_in_along_width : float
        The same across [m], 0 to 0.1.

    Raises
    ------
    ValueError
        If a number is out of range.

    Examples
    --------
    >>> Finished("banner", 0.420, 0.150, layers=2).layers
    2
    """

    name: str
    length: float
    width: float
    layers: int = 1
    draw_in_along_length: float = 0.0
    draw_in_along_width: float = 0.0

    def __post_init__(self) -> None:
        for field, high, open_low in (
            ("length", 2.0, True),
            ("width", 2.0, True),
            ("draw_in_along_length", 0.1, False),
            ("draw_in_along_width", 0.1, False),
        ):
            label = f'{field} of "{self.name}"'
            value = scalar_in_range(label, getattr(self, field), "m", 0.0, high, open_low=open_low)
            object.__setattr__(self, field, value)
        whole = whole_in_range(f'layers of "{self.name}"', self.layers, 1, 40)
        object.__setattr__(self, "layers", whole)

    def blank(self, trim: float) -> Blank:
        """Return the blank to cut, once for each layer.

        Parameters
        ----------
        trim : float
            What is ground or sawn off each edge afterwards [m], 0 to 0.1.

        Returns
        -------
        Blank
            Its size, larger by draw-in and trim on both edges.
        """
        size = blank_size(
            self.length,
            self.width,
            Allowance(self.draw_in_along_length, trim),
            Allowance(self.draw_in_along_width, trim),
        )
        return Blank(self.name, *size, count=self.layers)


@dataclass(frozen=True)
class GlassOrder:
    """The sheets that a project takes, and what becomes of the glass that is bought.

    Attributes
    ----------
    plan : CutList
        Which blank comes from which sheet.
    names : tuple of str
        Names of the finished pieces, in the order in which they were given.
    finished_mass : float
        Mass of the finished pieces [kg].
    """

    plan: CutList
    names: tuple[str, ...]
    finished_mass: float

    @property
    def lost_mass(self) -> float:
        """Mass of what the blanks have to spare and lose: draw-in is pulled in, trim is ground off [kg]."""
        return self.plan.blank_mass - self.finished_mass

    @property
    def offcut_mass(self) -> float:
        """Mass of offcuts, and of what cuts take [kg]."""
        return self.plan.stock_mass - self.plan.blank_mass


def order_glass(
    pieces: Sequence[Finished], stock: StockSheet, *, trim: float = 0.0, kerf: float = 0.0
) -> GlassOrder:
    """Return the sheets that a project takes: blanks by `blank_size`, laid on sheets by `cut_list`.

    Parameters
    ----------
    pieces : sequence
        The finished pieces, each with its number of layers.
    stock : StockSheet
        The sheet that is bought.
    trim : float
        What is ground or sawn off each edge of each piece afterwards [m], 0 to 0.1.
    kerf : float
        Width of glass that a cut takes away [m], 0 to 0.02.

    Returns
    -------
    GlassOrder
        The cutting plan, and where the glass goes.

    Raises
    ------
    ValueError
        If a number is out of range, or a blank is larger than the sheet.

    Notes
    -----
    As for `cutting.cut_list`. The mass of the finished pieces is that of their finished size; where an edge
    draws in, the piece is thicker there by as much.

    Examples
    --------
    >>> tile, sheet = Finished("tile", 0.1, 0.1, layers=2), StockSheet(0.5, 0.4, 3e-3, 2500)
    >>> found = order_glass([tile], sheet, trim=2e-3)
    >>> [round(mass, 4) for mass in (found.finished_mass, found.lost_mass, found.offcut_mass)]
    [0.15, 0.0122, 1.3378]
    """
    plan = cut_list([piece.blank(trim) for piece in pieces], [stock], kerf=kerf)
    area = sum(piece.length * piece.width * piece.layers for piece in pieces)
    return GlassOrder(plan, tuple(piece.name for piece in pieces), area * stock.thickness * stock.density)


def _rounded(name: str, wanted: float, thicknesses: list[float], tolerance: float, what: str) -> Layers:
    """Return the nearest stacks below and above a depth, of one to three thicknesses."""
    if wanted < min(thicknesses) - SAME_LENGTH:
        raise ValueError(
            f"{name} leaves {wanted * 1e3:.4g} mm, less than one {what} of {min(thicknesses) * 1e3:.4g} mm: "
            "take a thinner one"
        )
    most = [range(ceil(wanted / t) + 1) for t in thicknesses[:-1]]
    grids = np.meshgrid(*most, indexing="ij")
    firsts = np.stack([grid.ravel() for grid in grids], axis=1) if most else np.zeros((1, 0), dtype=int)
    last = thicknesses[-1]
    rest = np.maximum(wanted - firsts @ np.array(thicknesses[:-1]), 0.0) / last
    fewer = np.column_stack([firsts, np.floor(rest + SAME_LENGTH)]).astype(int)
    more = np.column_stack([firsts, np.ceil(rest - SAME_LENGTH)]).astype(int)
    sizes = np.array(thicknesses)

    def stack(candidates: np.ndarray, sign: int) -> Stack:
        short = wanted - candidates @ sizes
        good = sign * short >= -SAME_LENGTH
        candidates, short = candidates[good], np.abs(short[good])
        near = short <= short.min() + SAME_LENGTH + (_AS_GOOD if len(thicknesses) > 1 else 0.0)
        candidates, short = candidates[near], short[near]
        counts = candidates[np.lexsort((short, candidates.sum(axis=1)))[0]]
        depth = float(counts @ sizes)
        missing = wanted - depth
        return Stack(
            tuple(int(n) for n in counts),
            depth,
            0.0 if abs(missing) < SAME_LENGTH else missing,
            tolerance * int(counts.sum()),
        )

    return Layers(wanted, stack(fewer, 1), stack(more, -1))


def _tolerance(value: float, layer: float) -> float:
    tolerance = scalar_in_range("tolerance", value, "m", 0.0, 0.05)
    if tolerance >= layer:
        raise ValueError(f"tolerance is {tolerance:g} m, not below the thickness of one layer, {layer:g} m")
    return tolerance
