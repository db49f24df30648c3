"""Test pieces as one looks at them between crossed polarisers: a chip, a strip, a spot, two bars edge-on."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from kilncalc._ranges import scalar_in_range
from kilncalc.compatibility import bilayer, chip_stress, inclusion_stress
from kilncalc.materials import ALLOWED_TENSION, Glass
from kilncalc.pair import mismatch_of
from kilncalc.polariscope import (
    View,
    analyser_angle,
    chip_view,
    edge_view,
    polariscope_image,
    slab_profile,
    spot_view,
    strip_view,
)
from kilncalc.quantities import INCH


@dataclass(frozen=True)
class Sizes:
    """How large the test pieces are.

    Attributes
    ----------
    chip_radius, chip_thickness, base_thickness : float
        A chip of colour that stands on a clear base [m].
    strip_length, strip_width, strip_depth : float
        A strip of colour let into a clear sheet [m].
    spot_radius : float
        A round spot of colour that goes through a clear sheet [m].
    sheet_thickness : float
        That sheet, and the one of the strip [m].
    bar_thickness, bar_width : float
        Bars seen through the edge, along their width [m].
    """

    chip_radius: float
    chip_thickness: float
    base_thickness: float
    strip_length: float
    strip_width: float
    strip_depth: float
    spot_radius: float
    sheet_thickness: float
    bar_thickness: float
    bar_width: float


METRIC_SIZES = Sizes(0.0095, 0.003, 0.003, 0.060, 0.012, 0.003, 0.010, 0.006, 0.012, 0.025)
INCH_SIZES = Sizes(
    *(INCH * size for size in (3 / 8, 1 / 8, 1 / 8, 2.375, 1 / 2, 1 / 8, 3 / 8, 1 / 4, 1 / 2, 1.0))
)
"""Round in millimetres and in inches; invented."""

SLAB_MIDDLE = 1.5e6
"""Tension in the middle of the bar of one glass that was annealed badly [Pa]: invented for the picture."""

PIXELS = 300

_FIELD = {"chip": 0.080, "strip": 0.084, "spot": 0.080}  # m, side of the square that is seen
_BARS_SEEN = 0.028  # m, of their height with the gap between them, and of their length
_BAR_LENGTH = 4  # thicknesses


@dataclass(frozen=True, eq=False)
class Seen:
    """A test piece between crossed polarisers: the picture, and what is measured in it.

    Parameters
    ----------
    test : str
        "chip", "strip", "spot" or "edges".
    sizes : Sizes
        How large the pieces are.
    difference : float
        Expansion of the colour minus that of the clear [1/K], -2e-6 to 2e-6.
    polariser : float
        Direction of the first polariser, anticlockwise from the right [degree], -360 to 360.
    plate : float
        Retardation of the full-wave plate [m], 0 to 1.2e-6; 0 without one.
    picture : array
        sRGB, uint8, shape (rows, columns, 3) [-], 0 to 255.
    outline : tuple of two arrays
        Outline of the pieces as x and y, shares of the picture; not-a-number lifts the pen [-], 0 to 1.
    retardation : float
        The largest retardation where one looks [m], 0 to 10e-6: round the chip or the spot, along the middle
        line of the strip, in the bar that is badly matched.
    hidden : float
        The largest tension of the piece, which the picture need not show [Pa], 0 to 1e9.
    """

    test: str
    sizes: Sizes
    difference: float
    polariser: float
    plate: float
    picture: np.ndarray
    outline: tuple[np.ndarray, np.ndarray]
    retardation: float
    hidden: float

    @property
    def share_of_limit(self) -> float:
        """That tension as a share of what is allowed for good [-]."""
        return self.hidden / ALLOWED_TENSION

    @property
    def turn(self) -> float:
        """By how much the analyser must be turned to make the brightest place dark [degree]."""
        return float(analyser_angle(self.retardation))


def look(
    test: str,
    difference: float,
    polariser: float,
    plate: float,
    colour: Glass,
    clear: Glass,
    sizes: Sizes = METRIC_SIZES,
) -> Seen:
    """Return what one sees of a test piece of a colour and a clear, in daylight: `polariscope_image`.

    Parameters
    ----------
    test : str
        "chip" (standing on a clear base), "strip" (let into a clear sheet), "spot" (through the sheet), all
        three from above; or "edges": above, the left end of a bar of one glass, badly annealed; below, that
        of a bar of the colour on the clear, badly matched.
    difference : float
        Expansion of the colour minus that of the clear [1/K], -2e-6 to 2e-6.
    polariser : float
        Direction of the first polariser, anticlockwise from the right [degree], -360 to 360.
    plate : float
        Retardation of the full-wave plate [m], 0 to 1.2e-6; 0 without one, usually 565e-9.
    colour, clear : Glass
        Their stiffness, stress-optic coefficient and setting temperature count.
    sizes : Sizes
        How large the pieces are: `METRIC_SIZES` or `INCH_SIZES`.

    Returns
    -------
    Seen
        Picture and numbers.

    Raises
    ------
    ValueError
        If a number is outside its range or there is no such test.

    Notes
    -----
    The views, with what is left out of each, stand in `kilncalc.polariscope`. A view is kept, so
    that turning the polarisers costs a picture and no stress.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> chip = look("chip", 6e-7, 45, 0.0, glass("kiln glass A"), glass("kiln glass A"))
    >>> print(f"{chip.retardation * 1e9:.0f} nm of light for {chip.hidden / 1e6:.1f} MPa")
    26 nm of light for 13.6 MPa

    References
    ----------
    As for `polariscope_image`.
    """
    if test not in ("chip", "strip", "spot", "edges"):
        raise ValueError(f'test must be "chip", "strip", "spot" or "edges", got {test!r}')
    shrinks = mismatch_of(difference, colour, clear)
    view = _view(test, shrinks, colour, clear, sizes)
    seen = view.retardation
    if test == "strip":
        largest = seen[PIXELS // 2].max()
    elif test == "edges":
        largest = seen[-_bar_rows(sizes) :].max()
    else:
        largest = seen.max()
    return Seen(
        test,
        sizes,
        difference,
        scalar_in_range("polariser", polariser, "degree", -360, 360),
        plate,
        polariscope_image(view, polariser, plate),
        _outline(test, sizes),
        float(largest),
        _largest_tension(test, shrinks, colour, clear, sizes),
    )


@lru_cache(maxsize=64)
def _view(test: str, shrinks: float, colour: Glass, clear: Glass, sizes: Sizes) -> View:
    """`shrinks`: how much more the colour shrinks than the clear."""
    if test == "chip":
        return chip_view(
            -shrinks,
            clear,
            sizes.chip_radius,
            sizes.chip_thickness,
            sizes.base_thickness,
            _FIELD["chip"],
            PIXELS,
        )
    if test == "strip":
        strip = sizes.strip_length, sizes.strip_width, sizes.strip_depth
        return strip_view(-shrinks, clear, *strip, sizes.sheet_thickness, _FIELD["strip"], PIXELS)
    if test == "spot":
        return spot_view(-shrinks, clear, sizes.spot_radius, sizes.sheet_thickness, _FIELD["spot"], PIXELS)
    half = sizes.bar_thickness / 2
    bar = bilayer(-shrinks, half, half, clear, colour)
    return _above_each_other(
        _badly_annealed(clear, sizes),
        edge_view(*bar.profile(), clear, _BAR_LENGTH * sizes.bar_thickness, sizes.bar_width, PIXELS),
        sizes,
    )


@lru_cache(maxsize=4)
def _badly_annealed(glass: Glass, sizes: Sizes) -> View:
    return edge_view(
        *slab_profile(sizes.bar_thickness, SLAB_MIDDLE),
        glass,
        _BAR_LENGTH * sizes.bar_thickness,
        sizes.bar_width,
        PIXELS,
    )


def _bar_rows(sizes: Sizes) -> int:
    return round(PIXELS * sizes.bar_thickness / _BARS_SEEN)


def _above_each_other(upper: View, lower: View, sizes: Sizes) -> View:
    """Return the left ends of two bars in one square view, to scale, dark between them."""
    rows = _bar_rows(sizes)
    high = ((np.arange(rows) + 0.5) * PIXELS / rows).astype(int)
    across = ((np.arange(PIXELS) + 0.5) * _BARS_SEEN / (_BAR_LENGTH * sizes.bar_thickness)).astype(int)
    retardation, axis = np.zeros((PIXELS, PIXELS)), np.zeros((PIXELS, PIXELS))
    for view, place in ((upper, slice(0, rows)), (lower, slice(PIXELS - rows, PIXELS))):
        retardation[place] = view.retardation[np.ix_(high, across)]
        axis[place] = view.axis[np.ix_(high, across)]
    step = (np.arange(PIXELS) + 0.5) * _BARS_SEEN / PIXELS
    return View(step, _BARS_SEEN - step, retardation, axis)


def _outline(test: str, sizes: Sizes) -> tuple[np.ndarray, np.ndarray]:
    if test == "edges":
        bar, left_end = sizes.bar_thickness / _BARS_SEEN, [1, 0, 0, 1]
        return (
            np.array([*left_end, np.nan, *left_end]),
            np.array([1, 1, 1 - bar, 1 - bar, np.nan, bar, bar, 0, 0]),
        )
    if test == "strip":
        x, y = sizes.strip_length / _FIELD["strip"] / 2, sizes.strip_width / _FIELD["strip"] / 2
        return 0.5 + x * np.array([-1, 1, 1, -1, -1]), 0.5 + y * np.array([-1, -1, 1, 1, -1])
    turn = np.linspace(0, 2 * np.pi, 61)
    radius = {"chip": sizes.chip_radius, "spot": sizes.spot_radius}[test] / _FIELD[test]
    return 0.5 + radius * np.cos(turn), 0.5 + radius * np.sin(turn)


def _largest_tension(test: str, shrinks: float, colour: Glass, clear: Glass, sizes: Sizes) -> float:
    if test == "chip":
        tension = chip_stress(-shrinks, clear, sizes.chip_thickness, sizes.base_thickness).largest_tension
    elif test == "edges":
        half = sizes.bar_thickness / 2
        tension = bilayer(-shrinks, half, half, clear, colour).largest_tension
    else:
        share = sizes.strip_depth / sizes.sheet_thickness if test == "strip" else 1.0
        tension = inclusion_stress(-shrinks * share, clear, test).largest_tension
    return float(tension)
