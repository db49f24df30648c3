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

CHIP_RADIUS, CHIP_THICKNESS, BASE_THICKNESS = 0.0095, 0.003, 0.003
"""A chip of colour that stands on a clear base [m]."""

STRIP_LENGTH, STRIP_WIDTH, STRIP_DEPTH = 0.060, 0.012, 0.003
"""A strip of colour let into a clear sheet [m]."""

SPOT_RADIUS, SHEET_THICKNESS = 0.010, 0.006
"""A round spot of colour that goes through a clear sheet, and the sheet, also that of the strip [m]."""

BAR_THICKNESS, BAR_WIDTH = 0.012, 0.025
"""Bars seen through the edge, along their width [m]."""

SLAB_MIDDLE = 1.5e6
"""Tension in the middle of the bar of one glass that was annealed badly [Pa]: invented for the picture."""

PIXELS = 300

_FIELD = {"chip": 0.080, "strip": 0.084, "spot": 0.080}  # m, side of the square that is seen
_BARS_SEEN = 0.028  # m, of their height with the gap between them, and of their length
_BAR_LENGTH = 4 * BAR_THICKNESS


@dataclass(frozen=True, eq=False)
class Seen:
    """A test piece between crossed polarisers: the picture, and what is measured in it.

    Parameters
    ----------
    test : str
        "chip", "strip", "spot" or "edges".
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


def look(test: str, difference: float, polariser: float, plate: float, colour: Glass, clear: Glass) -> Seen:
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
    The views, with what is left out of each, stand in `kilncalc.polariscope`. The sizes are those of this
    module. A view is kept, so that turning the polarisers costs a picture and no stress.

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
    view = _view(test, shrinks, colour, clear)
    seen = view.retardation
    if test == "strip":
        largest = seen[PIXELS // 2].max()
    elif test == "edges":
        largest = seen[-_bar_rows() :].max()
    else:
        largest = seen.max()
    return Seen(
        test,
        difference,
        scalar_in_range("polariser", polariser, "degree", -360, 360),
        plate,
        polariscope_image(view, polariser, plate),
        _outline(test),
        float(largest),
        _largest_tension(test, shrinks, colour, clear),
    )


@lru_cache(maxsize=64)
def _view(test: str, shrinks: float, colour: Glass, clear: Glass) -> View:
    """`shrinks`: how much more the colour shrinks than the clear."""
    if test == "chip":
        return chip_view(-shrinks, clear, CHIP_RADIUS, CHIP_THICKNESS, BASE_THICKNESS, _FIELD["chip"], PIXELS)
    if test == "strip":
        strip = STRIP_LENGTH, STRIP_WIDTH, STRIP_DEPTH
        return strip_view(-shrinks, clear, *strip, SHEET_THICKNESS, _FIELD["strip"], PIXELS)
    if test == "spot":
        return spot_view(-shrinks, clear, SPOT_RADIUS, SHEET_THICKNESS, _FIELD["spot"], PIXELS)
    half = BAR_THICKNESS / 2
    bar = bilayer(-shrinks, half, half, clear, colour)
    return _above_each_other(
        _badly_annealed(clear), edge_view(*bar.profile(), clear, _BAR_LENGTH, BAR_WIDTH, PIXELS)
    )


@lru_cache(maxsize=4)
def _badly_annealed(glass: Glass) -> View:
    return edge_view(*slab_profile(BAR_THICKNESS, SLAB_MIDDLE), glass, _BAR_LENGTH, BAR_WIDTH, PIXELS)


def _bar_rows() -> int:
    return round(PIXELS * BAR_THICKNESS / _BARS_SEEN)


def _above_each_other(upper: View, lower: View) -> View:
    """Return the left ends of two bars in one square view, to scale, dark between them."""
    rows = _bar_rows()
    high = ((np.arange(rows) + 0.5) * PIXELS / rows).astype(int)
    across = ((np.arange(PIXELS) + 0.5) * _BARS_SEEN / _BAR_LENGTH).astype(int)
    retardation, axis = np.zeros((PIXELS, PIXELS)), np.zeros((PIXELS, PIXELS))
    for view, place in ((upper, slice(0, rows)), (lower, slice(PIXELS - rows, PIXELS))):
        retardation[place] = view.retardation[np.ix_(high, across)]
        axis[place] = view.axis[np.ix_(high, across)]
    step = (np.arange(PIXELS) + 0.5) * _BARS_SEEN / PIXELS
    return View(step, _BARS_SEEN - step, retardation, axis)


def _outline(test: str) -> tuple[np.ndarray, np.ndarray]:
    if test == "edges":
        bar, left_end = BAR_THICKNESS / _BARS_SEEN, [1, 0, 0, 1]
        return (
            np.array([*left_end, np.nan, *left_end]),
            np.array([1, 1, 1 - bar, 1 - bar, np.nan, bar, bar, 0, 0]),
        )
    if test == "strip":
        x, y = STRIP_LENGTH / _FIELD["strip"] / 2, STRIP_WIDTH / _FIELD["strip"] / 2
        return 0.5 + x * np.array([-1, 1, 1, -1, -1]), 0.5 + y * np.array([-1, -1, 1, 1, -1])
    turn = np.linspace(0, 2 * np.pi, 61)
    radius = {"chip": CHIP_RADIUS, "spot": SPOT_RADIUS}[test] / _FIELD[test]
    return 0.5 + radius * np.cos(turn), 0.5 + radius * np.sin(turn)


def _largest_tension(test: str, shrinks: float, colour: Glass, clear: Glass) -> float:
    if test == "chip":
        tension = chip_stress(-shrinks, clear, CHIP_THICKNESS, BASE_THICKNESS).largest_tension
    elif test == "edges":
        half = BAR_THICKNESS / 2
        tension = bilayer(-shrinks, half, half, clear, colour).largest_tension
    else:
        share = STRIP_DEPTH / SHEET_THICKNESS if test == "strip" else 1.0
        tension = inclusion_stress(-shrinks * share, clear, test).largest_tension
    return float(tension)
