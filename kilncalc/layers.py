"""From the piece as drawn to sheets, layers of paper, blanks and a cut list.

Counts: `sheets_for`, `paper_layers`, `stepped_former`. Where molten glass goes: `settled_thickness`,
`settled_size`. Sizes to cut: `Allowance` with `blank_size`. Which blank from which sheet: `cut_list`.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil, floor, pi, radians, sin, sqrt
from typing import Any, NamedTuple

import numpy as np
import pandas as pd
from scipy.constants import g as GRAVITY

from kilncalc import _resources
from kilncalc._ranges import ArrayLike, in_range, like_input, scalar_in_range
from kilncalc.materials import Glass, _row, _table
from kilncalc.quantities import as_text

_ROUNDING = 1e-9
"""Metres by which two lengths may differ and count as equal; layers by which a count may miss a whole one."""

_AS_GOOD = 0.1e-3
"""Two mixtures of papers whose depths differ by less than this [m] are equally deep: the fewer layers win."""

_MOST_BLANKS = 2000
_MOST_FITTINGS = 1_000_000
"""How often a blank is held against a free place before the best cutting plan so far is taken."""

_NARROWEST_POOL = 4.0
"""A pool of molten glass is flat in its middle if it is at least this many times wider than thick."""


# ----------------------------------------------------------------------------------------------- layers


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
        return self.down if abs(self.down.shortfall) <= abs(self.up.shortfall) + _ROUNDING else self.up


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
    Sheet sold as 3 mm is often 3.2 to 3.6 mm: measure at the edges and in several places (common practice,
    no source). The tolerance is counted as the same for all sheets of one make, the worst case; independent
    errors would grow with the root of the count only.

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
    A paper sold as 1/8 inch that measures 5.3 mm: three layers, where the name asks for five.

    >>> paper_layers(16e-3, 5.3e-3).nearest.count, paper_layers(16e-3, 3.175e-3).nearest.count
    (3, 5)

    The depth of a box of 15 mm, seen from outside with a face of 6 mm, from two papers:

    >>> paper_layers(15e-3, (2.3e-3, 1.1e-3), face=6e-3).up.counts
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
        if self.under_load > self.measured + _ROUNDING:
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
    table = _table(_resources.datasets() / "refractories.csv")
    row = _row(name, table[table["form"] == "paper"], "fibre paper")
    millimetres = {
        "nominal": row["nominal_thickness_mm"],
        "measured": row["thickness_mm"],
        "under_load": row["under_load_thickness_mm"],
        "fired": row["fired_thickness_mm"],
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
    n = _whole("layers", layers, 1, 500)
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
    >>> sleeve = former_size(0.060, 0.150, 0.016, 0.010)
    >>> round(sleeve.length, 6), round(sleeve.margin, 6)
    (0.17, 0.022)
    """
    b = scalar_in_range("glass_width", glass_width, "m", 0.0, 2.0, open_low=True)
    l = scalar_in_range("glass_length", glass_length, "m", 0.0, 2.0, open_low=True)
    w = scalar_in_range("former_width", former_width, "m", 0.0, 2.0, open_low=True)
    if w >= b:
        raise ValueError(f"former_width is {w:g} m, but the glass laid across it is only {b:g} m wide")
    p = scalar_in_range("projection", projection, "m", 0.0, 0.2)
    return Former(length=l + _whole("open_ends", open_ends, 1, 2) * p, margin=(b - w) / 2)


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
    if np.any(p < d - _ROUNDING):
        raise ValueError("pitch is less than diameter: rods side by side are one diameter apart at least")
    n = in_range("directions", directions, "", 1, 3)
    return like_input(n * pi * d**2 / (4 * p))


# -------------------------------------------------------------------------------- where molten glass goes


def fused_thickness(volume: ArrayLike, area: ArrayLike) -> ArrayLike:
    """Return the thickness after a full fuse inside a given outline, t = V / A.

    Parameters
    ----------
    volume : float or array
        Volume of all glass inside the outline: its mass divided by its density [m3], 0 to 0.1.
    area : float or array
        Area of the outline that dams or the mould's wall hold [m2], above 0 to 4.

    Returns
    -------
    float or array
        Thickness [m], in the shape to which the arguments broadcast.

    Raises
    ------
    ValueError
        If an argument is out of range.

    Notes
    -----
    Volume is kept; air that was between the sheets is not glass. Without dams the outline changes too:
    `settled_size`.

    Examples
    --------
    Two sheets of 3.4 mm, and strips of the same glass over a quarter of the area:

    >>> round(fused_thickness(0.04 * (2 * 3.4e-3 + 0.25 * 3.4e-3), 0.04) * 1e3, 6)
    7.65
    """
    v = in_range("volume", volume, "m3", 0.0, 0.1)
    return like_input(v / in_range("area", area, "m2", 0.0, 4.0, open_low=True))


def settled_thickness(glass: Glass, contact_angle: ArrayLike) -> ArrayLike:
    """Return the thickness at which a wide pool of molten glass comes to rest on a shelf.

    h = 2 sqrt(gamma/(rho g)) sin(theta/2): weight, which spreads the pool, against surface tension.

    Parameters
    ----------
    glass : Glass
        The glass, for its surface tension gamma and its density rho.
    contact_angle : float or array
        Angle theta between shelf and edge, measured through the glass [degree], 1 to 180. More than 90 on
        what glass does not wet: about 120 gives the "about 6 mm" of the trade.

    Returns
    -------
    float or array
        Thickness [m], shape of `contact_angle`.

    Raises
    ------
    ValueError
        If the angle is out of range.

    Notes
    -----
    Of a pool much wider than thick, after so long a time that it moves no more. A real firing ends before:
    the value says which way the edge moves and where it would stop. The density is that of cold glass; hot
    glass is 3 to 4 % lighter and settles 2 % thicker. The contact angle on kiln wash or paper is not known to
    better than about 15 degrees, which is 5 % of the thickness.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> round(settled_thickness(glass("kiln glass A"), 120) * 1e3, 2)
    6.16

    References
    ----------
    P.-G. de Gennes, F. Brochard-Wyart & D. Quere 2004, Capillarity and Wetting Phenomena, chapter 2.
    """
    theta = np.radians(_angle(contact_angle))
    return like_input(2 * _capillary_length(glass) * np.sin(theta / 2))


def settled_edge(glass: Glass, contact_angle: float, *, points: int = 60) -> tuple[np.ndarray, np.ndarray]:
    """Return the profile of the edge of a settled pool, from the shelf to where its top is flat.

    With the slope phi and a = sqrt(gamma/(rho g)): depth below the top y = 2 a sin(phi/2), and
    x = a [ln tan(phi/4) + 2 cos(phi/2)], the exact solution of Laplace's equation for a straight edge.

    Parameters
    ----------
    glass : Glass
        The glass, for its surface tension and its density.
    contact_angle : float
        Angle between shelf and edge, measured through the glass [degree], 1 to 180.
    points : int
        Number of points [-], 5 to 1000.

    Returns
    -------
    tuple of two arrays
        Distance from the line where the glass meets the shelf, outwards positive [m], and height above the
        shelf [m], each of shape (points,). The last point lies 1 % below the flat top.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    With an angle above 90 degrees the edge bulges out over the line where it stands.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> x, z = settled_edge(glass("kiln glass A"), 120)
    >>> print(f"{z[0] * 1e3:.2f} {z[-1] * 1e3:.2f} {x.max() * 1e3:.2f} {x[-1] * 1e3:.2f}")
    0.00 6.10 0.29 -13.84

    References
    ----------
    As for `settled_thickness`.
    """
    theta = radians(float(_angle(scalar_in_range("contact_angle", contact_angle, "degree", 1, 180))))
    n = _whole("points", points, 5, 1000)
    a = _capillary_length(glass)
    top = 2 * a * sin(theta / 2)
    flat = 2 * np.arcsin(0.01 * sin(theta / 2))
    phi = theta * (flat / theta) ** (np.arange(n) / (n - 1))

    def across(slope: Any) -> Any:
        return a * (np.log(np.tan(slope / 4)) + 2 * np.cos(slope / 2))

    return across(phi) - across(theta), top - 2 * a * np.sin(phi / 2)


def floating_thickness(
    glass: Glass, bath_density: float, bath_tension: float, interface_tension: float
) -> float:
    """Return the thickness at which molten glass comes to rest floating on a heavier melt.

    h^2 = 2 (gamma + gamma_i - gamma_b) rho_b / [g rho (rho_b - rho)], Langmuir's lens of liquid on liquid.

    Parameters
    ----------
    glass : Glass
        The glass, for its surface tension gamma and its density rho.
    bath_density : float
        Density rho_b of the melt below [kg/m3], above that of the glass, 2000 to 20000.
    bath_tension : float
        Surface tension gamma_b of the melt below [N/m], 0.1 to 2.
    interface_tension : float
        Tension gamma_i between glass and melt [N/m], 0 to 2.

    Returns
    -------
    float
        Thickness [m].

    Raises
    ------
    ValueError
        If a number is out of range, the glass sinks, or it spreads without end.

    Notes
    -----
    This is how float glass gets its thickness of about 7 mm on tin (Pilkington 1969). On a rigid shelf there
    is no bath that gives way, and Young's law turns the sum of tensions into gamma (1 - cos theta):
    `settled_thickness`.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> round(floating_thickness(glass("float"), 6500, 0.50, 0.50) * 1e3, 2)
    6.41

    References
    ----------
    I. Langmuir 1933, J. Chem. Phys. 1, 756; L. A. B. Pilkington 1969, Proc. R. Soc. Lond. A 314, 1.
    """
    heavy = scalar_in_range("bath_density", bath_density, "kg/m3", 2000, 20000)
    if heavy <= glass.density:
        raise ValueError(
            f"bath_density is {heavy:g} kg/m3, not above that of the glass ({glass.density:g}): it would sink"
        )
    below = scalar_in_range("bath_tension", bath_tension, "N/m", 0.1, 2)
    between = scalar_in_range("interface_tension", interface_tension, "N/m", 0, 2)
    inward = glass.surface_tension + between - below
    if inward <= 0:
        raise ValueError(
            f"the tensions add up to {inward:g} N/m: nothing holds the edge, the glass spreads without end"
        )
    return sqrt(2 * inward * heavy / (GRAVITY * glass.density * (heavy - glass.density)))


@dataclass(frozen=True)
class Settled:
    """Where a rectangular stack ends, given time.

    Attributes
    ----------
    length, width : float
        Outline [m].
    thickness : float
        Thickness [m].
    draw_in : float
        Inward move of each edge along the length [m]; negative where it spreads.
    """

    length: float
    width: float
    thickness: float
    draw_in: float


def settled_size(
    length: float,
    width: float,
    thickness: float,
    settled: float,
    *,
    dam: tuple[float, float] | None = None,
) -> Settled:
    """Return where a rectangular stack ends that has time to settle, (l - 2x)(b - 2x) h = l b t.

    A thinner stack draws in (x > 0), a thicker one spreads (x < 0) until it is settled or a dam stops it.

    Parameters
    ----------
    length : float
        Length l of the stack [m], above 0 to 2.
    width : float
        Width b of the stack [m], above 0 to 2.
    thickness : float
        Thickness t of its glass, full over the outline [m], 0.3e-3 to 0.15.
    settled : float
        Settled thickness h, from `settled_thickness` [m], 1e-3 to 0.02.
    dam : tuple of two floats, optional
        Length and width inside dams around the stack [m], `length` to 2 and `width` to 2.

    Returns
    -------
    Settled
        Length, width, thickness and draw-in [m].

    Raises
    ------
    ValueError
        If a number is out of range, the dams stand inside the stack, or the outline would become so small
        that it is a drop and not a pool.

    Notes
    -----
    Every free edge moves alike, corners round off, and the volume in the rounded edge is neglected: 1 to
    2 mm of outline. Dams stop what spreads; they cannot hold back a thin stack that draws in, unless it
    sticks. How far the edge gets in a real firing is a matter of time and viscosity; this is where it would
    stop.

    Examples
    --------
    One sheet, and five in dams that leave 5 mm all round:

    >>> one = settled_size(0.20, 0.10, 3e-3, 6.2e-3)
    >>> round(one.length, 4), round(one.width, 4), round(one.draw_in, 4)
    (0.1604, 0.0604, 0.0198)
    >>> five = settled_size(0.20, 0.10, 15e-3, 6.2e-3, dam=(0.21, 0.11))
    >>> five.length, five.width, round(five.thickness, 5)
    (0.21, 0.11, 0.01299)
    """
    l = scalar_in_range("length", length, "m", 0.0, 2.0, open_low=True)
    b = scalar_in_range("width", width, "m", 0.0, 2.0, open_low=True)
    t = scalar_in_range("thickness", thickness, "m", 0.3e-3, 0.15)
    h = scalar_in_range("settled", settled, "m", 1e-3, 0.02)
    volume = l * b * t
    grow = (sqrt((l - b) ** 2 + 4 * volume / h) - (l + b)) / 2
    end_l, end_b = l + grow, b + grow
    if dam is not None:
        inside_l = scalar_in_range("dam length", dam[0], "m", 0.0, 2.0, open_low=True)
        inside_b = scalar_in_range("dam width", dam[1], "m", 0.0, 2.0, open_low=True)
        if inside_l < l - _ROUNDING or inside_b < b - _ROUNDING:
            raise ValueError(
                f"dam is {inside_l:g} by {inside_b:g} m inside, smaller than the stack of {l:g} by {b:g} m"
            )
        if end_l > inside_l:
            end_l, end_b = inside_l, min(volume / (h * inside_l), inside_b)
        if end_b > inside_b:
            end_l, end_b = min(volume / (h * inside_b), inside_l), inside_b
    if min(end_l, end_b) < _NARROWEST_POOL * h:
        raise ValueError(
            f"the stack would draw in to {end_l:.3g} by {end_b:.3g} m, a drop and not a pool: this "
            f"calculation needs at least {_NARROWEST_POOL:g} times the settled thickness"
        )
    return Settled(end_l, end_b, volume / (end_l * end_b), (l - end_l) / 2)


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
        object.__setattr__(self, "edges", _whole("edges", self.edges, 0, 2))

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
        count = _whole(f'count of "{self.name}"', self.count, 1, _MOST_BLANKS)
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
            object.__setattr__(self, "count", _whole("count", self.count, 1, _MOST_BLANKS))
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

    def table(self, units: str = "both") -> pd.DataFrame:
        """Return the list as text, a row for each size of blank on each sheet.

        Parameters
        ----------
        units : str
            "metric", "us" or "both".

        Returns
        -------
        pandas.DataFrame
            Columns sheet, material, blank, count, length, width.
        """
        rows = []
        for number, sheet in enumerate(self.sheets, 1):
            sizes = Counter(
                (
                    blank.name,
                    round(max(blank.length, blank.width), 9),
                    round(min(blank.length, blank.width), 9),
                )
                for blank in sheet.blanks
            )
            rows += [
                {
                    "sheet": number,
                    "material": sheet.stock.material,
                    "blank": name,
                    "count": count,
                    "length": as_text(long, "length", units=units),
                    "width": as_text(short, "length", units=units),
                }
                for (name, long, short), count in sizes.items()
            ]
        return pd.DataFrame(rows)


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
    for rule in (*_SHELVES, *_RULES):
        if rule not in _SHELVES and fittings > _MOST_FITTINGS:
            break
        sheets, left, more = _plan(blanks, stock, kerf, rule)
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
    left = sorted(blanks, key=lambda blank: _order(rule, blank, stock), reverse=True)
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
                    if length <= place.length + _ROUNDING and width <= place.width + _ROUNDING:
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
    across = Cut(x, place.y, x, top if across_first else y) if right - x > _ROUNDING else None
    along = Cut(place.x, y, x if across_first else right, y) if top - y > _ROUNDING else None
    cuts += [cut for cut in ((across, along) if across_first else (along, across)) if cut]
    beside_width = place.width if across_first else width
    above_length = length if across_first else place.length
    return (
        _free(x + kerf, place.y, right - x - kerf, beside_width),
        _free(place.x, y + kerf, above_length, top - y - kerf),
    )


def _free(x: float, y: float, length: float, width: float) -> Rectangle:
    some = length > _ROUNDING and width > _ROUNDING
    return Rectangle(x, y, length, width) if some else Rectangle(x, y, 0.0, 0.0)


def _across_first(rule: _Rule, place: Rectangle, length: float, width: float, on_shelf: bool) -> bool:
    """Return whether the first cut runs across the length (parallel to y)."""
    beside, above = place.length - length, place.width - width
    return {
        "shorter": above < beside,
        "longer": above >= beside,
        "along": False,
        "across": True,
        "shelf": on_shelf,
    }[rule.first_cut]


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
    fits = first[0] <= stock.length - 2 * stock.edge + _ROUNDING
    fits &= first[1] <= stock.width - 2 * stock.edge + _ROUNDING
    return [first if fits else first[::-1]]


def _order(rule: _Rule, blank: Blank, stock: list[StockSheet]) -> tuple[float, ...]:
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
        room = sheet.length - 2 * sheet.edge + _ROUNDING, sheet.width - 2 * sheet.edge + _ROUNDING
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


# ------------------------------------------------------------------------------------------------ common


def _rounded(name: str, wanted: float, thicknesses: list[float], tolerance: float, what: str) -> Layers:
    """Return the nearest stacks below and above a depth, of one to three thicknesses."""
    if wanted < min(thicknesses) - _ROUNDING:
        raise ValueError(
            f"{name} leaves {wanted * 1e3:.4g} mm, less than one {what} of {min(thicknesses) * 1e3:.4g} mm: "
            "take a thinner one"
        )
    most = [range(ceil(wanted / t) + 1) for t in thicknesses[:-1]]
    grids = np.meshgrid(*most, indexing="ij")
    firsts = np.stack([grid.ravel() for grid in grids], axis=1) if most else np.zeros((1, 0), dtype=int)
    last = thicknesses[-1]
    rest = np.maximum(wanted - firsts @ np.array(thicknesses[:-1]), 0.0) / last
    fewer = np.column_stack([firsts, np.floor(rest + _ROUNDING)]).astype(int)
    more = np.column_stack([firsts, np.ceil(rest - _ROUNDING)]).astype(int)
    sizes = np.array(thicknesses)

    def stack(candidates: np.ndarray, sign: int) -> Stack:
        short = wanted - candidates @ sizes
        good = sign * short >= -_ROUNDING
        candidates, short = candidates[good], np.abs(short[good])
        near = short <= short.min() + _ROUNDING + (_AS_GOOD if len(thicknesses) > 1 else 0.0)
        candidates, short = candidates[near], short[near]
        counts = candidates[np.lexsort((short, candidates.sum(axis=1)))[0]]
        depth = float(counts @ sizes)
        missing = wanted - depth
        return Stack(
            tuple(int(n) for n in counts),
            depth,
            0.0 if abs(missing) < _ROUNDING else missing,
            tolerance * int(counts.sum()),
        )

    return Layers(wanted, stack(fewer, 1), stack(more, -1))


def _tolerance(value: float, layer: float) -> float:
    tolerance = scalar_in_range("tolerance", value, "m", 0.0, 0.05)
    if tolerance >= layer:
        raise ValueError(f"tolerance is {tolerance:g} m, not below the thickness of one layer, {layer:g} m")
    return tolerance


def _whole(name: str, value: int, low: int, high: int) -> int:
    number = scalar_in_range(name, value, "", low, high)
    if number != floor(number):
        raise ValueError(f"{name} must be a whole number, got {number:g}")
    return int(number)


def _angle(value: ArrayLike) -> np.ndarray:
    return in_range("contact_angle", value, "degree", 1.0, 180.0)


def _capillary_length(glass: Glass) -> float:
    return sqrt(glass.surface_tension / (glass.density * GRAVITY))
