"""The panels of lesson 1, compatibility you can see.

A difference of expansion stands on the sliders in points, 1e-7 per K: one point of the number on a label.
"""

from functools import lru_cache, partial

import numpy as np
import pandas as pd

from kilncalc import compatibility as c
from kilncalc import materials
from kilncalc.figures import compatibility as figures
from kilncalc.figures import polariscope as pictures
from kilncalc.figures.style import Figure
from kilncalc.panels._old import old_panel as Panel
from kilncalc.panels._old import old_slider as Slider
from kilncalc.panels._panel import Choice
from kilncalc.quantities import as_text

CLEAR = materials.glass("kiln glass A")
COLOUR = materials.glass("kiln glass B")
COOLING = c.setting_temperature(CLEAR, COLOUR) - 20.0
POINT = figures.POINT
BAR = 0.200  # m, length of the bar that bends

FREE, FLAT = "free", "held flat"


def _points(value: float, units: str) -> str:
    return f"{value:g}"


def _mismatch(points: float) -> float:
    """Return how much more the colour shrinks than the clear."""
    return points * POINT * COOLING


def _stack(difference: float, colour: float, clear: float, bending: str, units: str) -> Figure:
    flat = bending == FLAT
    stack = c.bilayer(-_mismatch(difference), clear, colour, CLEAR, COLOUR, "flat" if flat else "free")
    return figures.bent_stack(
        stack=stack,
        difference=difference * POINT,
        length=BAR,
        bow=c.bow_from_curvature(stack.curvature, BAR),
        allowed=c.ALLOWED_TENSION,
        flat=flat,
        units=units,
    )


stack = Panel(
    "What do two glasses do to each other when one shrinks more?",
    _stack,
    (
        Slider("difference", "colour \u2212 clear, points", "ratio", 6.0, -8.0, 8.0, 0.5, _points),
        Slider("colour", "thickness of the colour", "length", 0.003, 0.001, 0.006, 0.00025),
        Slider("clear", "thickness of the clear", "length", 0.003, 0.001, 0.006, 0.00025),
        Choice("bending", "the stack is", (FREE, FLAT), FREE),
    ),
)


# ------------------------------------------------------------------ polariscope

STRIP = "strip in a clear sheet, from above"
SPOT = "round spot in a clear sheet, from above"
EDGES = "two bars, through the edge"

SHEET = 0.006  # m, thickness of the sheet with the strip (half as deep) or the spot
STRIP_LENGTH, STRIP_WIDTH, STRIP_FIELD = 0.060, 0.012, 0.084  # m
SPOT_RADIUS, SPOT_FIELD = 0.010, 0.080  # m
EDGE_THICKNESS, EDGE_WIDTH, EDGE_FIELD = 0.012, 0.025, 0.028  # m
EDGE_LENGTH = 4 * EDGE_THICKNESS
SLAB_MIDDLE = 1.5e6  # Pa, tension in the middle of the badly annealed slab
PIXELS = 300


@lru_cache(maxsize=4)
def _slab() -> c.View:
    return c.edge_view(*c.slab_profile(EDGE_THICKNESS, SLAB_MIDDLE), CLEAR, EDGE_LENGTH, EDGE_WIDTH, PIXELS)


@lru_cache(maxsize=64)
def _view(test: str, difference: float) -> c.View:
    """Return the view of one test; kept, so that turning the polarisers costs a picture and no stress."""
    mismatch = -_mismatch(difference)  # positive when the clear shrinks more
    if test == STRIP:
        return c.strip_view(mismatch, CLEAR, STRIP_LENGTH, STRIP_WIDTH, SHEET / 2, SHEET, STRIP_FIELD, PIXELS)
    if test == SPOT:
        return c.spot_view(mismatch, CLEAR, SPOT_RADIUS, SHEET, SPOT_FIELD, PIXELS)
    half = EDGE_THICKNESS / 2
    bars = c.bilayer(mismatch, half, half, CLEAR, COLOUR)
    matched = c.edge_view(*bars.profile(), CLEAR, EDGE_LENGTH, EDGE_WIDTH, PIXELS)
    return _above_each_other(_slab(), matched)


def _above_each_other(upper: c.View, lower: c.View) -> c.View:
    """Return the left ends of two bars in one square view, to scale, dark between them."""
    rows = round(PIXELS * EDGE_THICKNESS / EDGE_FIELD)
    high = ((np.arange(rows) + 0.5) * PIXELS / rows).astype(int)
    across = ((np.arange(PIXELS) + 0.5) * EDGE_FIELD / EDGE_LENGTH).astype(int)
    retardation, axis = np.zeros((PIXELS, PIXELS)), np.zeros((PIXELS, PIXELS))
    for view, place in ((upper, slice(0, rows)), (lower, slice(PIXELS - rows, PIXELS))):
        retardation[place] = view.retardation[np.ix_(high, across)]
        axis[place] = view.axis[np.ix_(high, across)]
    step = (np.arange(PIXELS) + 0.5) * EDGE_FIELD / PIXELS
    return c.View(step, EDGE_FIELD - step, retardation, axis)


def _outline(test: str) -> tuple[np.ndarray, np.ndarray]:
    """Return the outline of the pieces, in shares of the picture; not-a-number lifts the pen."""
    if test == STRIP:
        x, y = STRIP_LENGTH / STRIP_FIELD / 2, STRIP_WIDTH / STRIP_FIELD / 2
        return 0.5 + x * np.array([-1, 1, 1, -1, -1]), 0.5 + y * np.array([-1, -1, 1, 1, -1])
    if test == SPOT:
        turn = np.linspace(0, 2 * np.pi, 61)
        radius = SPOT_RADIUS / SPOT_FIELD
        return 0.5 + radius * np.cos(turn), 0.5 + radius * np.sin(turn)
    bar = EDGE_THICKNESS / EDGE_FIELD
    left_end = [1, 0, 0, 1]
    return (
        np.array([*left_end, np.nan, *left_end]),
        np.array([1, 1, 1 - bar, 1 - bar, np.nan, bar, bar, 0, 0]),
    )


def _polariscope(test: str, difference: float, polariser: float, plate: str, units: str) -> Figure:
    say = partial(as_text, dimension="length", units=units)
    view = _view(test, difference)
    retardation = view.retardation
    plate_retardation = c.FULL_WAVE if plate == WITH else 0.0
    with_plate = " with the full-wave plate" if plate_retardation else ""
    if test == STRIP:
        largest = float(retardation[PIXELS // 2].max())
        headline = "at most, along the middle line of the strip"
        tells = (
            "The strip lights up, and the clear just beyond its ends."
            "<br>Turn the polarisers: at 0° the strip goes dark and"
            "<br>its corners light up. A matched strip stays hidden."
        )
        seen = f"A strip {say(STRIP_LENGTH)} long let into a clear sheet of {say(SHEET)}"
    elif test == SPOT:
        largest = float(retardation.max())
        headline = "at most, in the clear just outside the rim"
        tells = (
            "The spot itself is dark: its stress is the same"
            "<br>in every direction, whatever its size."
            "<br>Turn the polarisers: the dark cross turns with them."
        )
        seen = f"A spot {say(2 * SPOT_RADIUS)} across let into a clear sheet of {say(SHEET)}"
    else:
        rows = round(PIXELS * EDGE_THICKNESS / EDGE_FIELD)
        largest = float(retardation[PIXELS - rows :].max())
        headline = "at most, in the lower bar"
        tells = (
            "Badly annealed: bright faces, two dark lines, alike above"
            "<br>and below. Badly matched: brightest inside, at the joint,"
            "<br>where two glasses disagree."
        )
        seen = (
            f"Left ends of two bars {say(EDGE_THICKNESS)} thick, looking through {say(EDGE_WIDTH)} of glass"
        )
    if plate_retardation:
        tells = (
            "With the plate, no stress is violet. A little tension along"
            "<br>the dotted axis of the plate turns it blue, across it orange:"
            "<br>the plate tells tension from compression."
        )
    return pictures.between_polarisers(
        picture=c.polariscope_image(view, polariser, plate_retardation),
        outline=_outline(test),
        between="\u2191 badly annealed    \u2193 badly matched" if test == EDGES else "",
        polariser=polariser,
        plate=plate_retardation,
        largest=largest,
        headline=headline,
        tells=tells,
        caption=(
            f"{seen}, colour {figures.points_text(difference * POINT)} against clear, polariser at "
            f"{polariser:.0f}°{with_plate}: up to {largest * 1e9:.0f} nm of retardation {headline[9:]}."
        ),
    )


WITHOUT, WITH = "no plate", "full-wave plate, 565 nm"

polariscope = Panel(
    "What do crossed polarisers show of it?",
    _polariscope,
    (
        Choice("test", "look at", (STRIP, SPOT, EDGES), STRIP),
        Slider("difference", "colour \u2212 clear, points", "ratio", 6.0, -8.0, 8.0, 0.5, _points),
        Slider("polariser", "direction of the polariser", "angle", 45.0, 0.0, 180.0, 5.0),
        Choice("plate", "in the light", (WITHOUT, WITH), WITHOUT),
    ),
)


# ------------------------------------------------------------------ how far apart

_SHARES = np.linspace(0.04, 0.96, 93)
_ANY_THICKNESS = 0.02  # m; only the share counts
_LABELS_APART = 6.0  # points between the two invented kiln glasses


def _how_far(colour: float, clear: float, allowed: float, bending: str, units: str) -> Figure:
    def between(a: object, b: object) -> tuple[np.ndarray, np.ndarray]:
        low, high = c.allowed_mismatch(a, b, COLOUR, CLEAR, allowed, "flat" if bending == FLAT else "free")
        return low / COOLING, high / COOLING

    whole = colour + clear
    lowest, highest = between(_SHARES * _ANY_THICKNESS, (1 - _SHARES) * _ANY_THICKNESS)
    low, high = between(colour, clear)
    return figures.allowed_difference(
        share=_SHARES,
        lowest=lowest,
        highest=highest,
        here=(colour / whole, float(low), float(high)),
        labels_differ=_LABELS_APART * POINT,
        allowed=allowed,
        units=units,
    )


how_far = Panel(
    "How far apart may two glasses be?",
    _how_far,
    (
        Slider("colour", "thickness of the colour", "length", 0.003, 0.0005, 0.010, 0.00025),
        Slider("clear", "thickness of the clear", "length", 0.003, 0.0005, 0.010, 0.00025),
        Slider("allowed", "tension that is allowed", "pressure", c.ALLOWED_TENSION, 1e6, 10e6, 0.25e6),
        Choice("bending", "the stack is", (FREE, FLAT), FREE),
    ),
)


# ------------------------------------------------------------------ tests read back

_LIGHT = {
    "retardation": "turn of the analyser",
    "path": "width of the bar",
    "thickness a": "thickness of the colour",
    "thickness b": "thickness of the clear",
    "stress-optic coefficient": "glass: light",
    "Young's modulus": "glass: stiffness",
    "setting temperature": "setting temperature",
}
_BOW = {
    "bow": "gap",
    "span": "span",
    "thickness a": "thickness of the colour",
    "thickness b": "thickness of the clear",
    "setting temperature": "setting temperature",
}


def _by_light(turn: float, width: float, sheet: float, sure: float, units: str) -> Figure:
    delta = c.retardation_from_analyser(turn % 180, turn // 180)
    reading = c.read_edge(
        delta,
        width,
        sheet,
        sheet,
        CLEAR,
        retardation_uncertainty=c.retardation_from_analyser(sure),
    )
    return figures.read_by_light(
        retardation=delta, names=_LIGHT, reading=reading, allowed=c.ALLOWED_TENSION, units=units
    )


reader = Panel(
    "A test bar seen through its edge: how far apart are its glasses?",
    _by_light,
    (
        Slider("turn", "turn, 180° more a fringe", "angle", 240.0, 0.0, 360.0, 5.0),
        Slider("width", "width of the bar", "length", 0.025, 0.015, 0.050, 0.0005),
        Slider("sheet", "thickness of each glass", "length", 0.003, 0.002, 0.006, 0.0001),
        Slider("sure", "the turn is sure to ±", "angle", 3.0, 1.0, 15.0, 1.0),
    ),
)


def _by_bow(bow: float, span: float, sheet: float, sure: float, units: str) -> Figure:
    reading = c.read_bow(bow, span, sheet, sheet, CLEAR, bow_uncertainty=sure)
    return figures.read_by_bow(
        bow=bow, span=span, names=_BOW, reading=reading, allowed=c.ALLOWED_TENSION, units=units
    )


bow_reader = Panel(
    "A test bar under a straight edge: how far apart are its glasses?",
    _by_bow,
    (
        Slider("bow", "gap in the middle", "length", 0.25e-3, 0.0, 1.0e-3, 0.01e-3),
        Slider("span", "straight edge rests on", "length", 0.180, 0.120, 0.280, 0.005),
        Slider("sheet", "thickness of each glass", "length", 0.003, 0.002, 0.006, 0.0001),
        Slider("sure", "the gap is sure to ±", "length", 0.03e-3, 0.01e-3, 0.10e-3, 0.01e-3),
    ),
)


# ------------------------------------------------------------------ worked example, labels, the class

PUBLISHED_STRAIN = (
    5e-7 * 500
)  # Timoshenko 1925: equal layers, h/(rho x strain) = 1.5, joint tension E strain/2
PUBLISHED_TENSION = 8.75e6  # Pa; that formula with E = 70 GPa, 3 + 3 mm
FRACTURE_LIKELY = 300e-6  # published: ASTM F144, scope: above about 300 ppm the glass is likely to fracture


def _worked(units: str) -> Figure:
    strain = np.linspace(0, 400e-6, 41)
    plate = c.bilayer(strain, 0.003, 0.003, CLEAR)
    beam = c.bilayer(strain, 0.003, 0.003, CLEAR, form="beam")
    here = c.bilayer(PUBLISHED_STRAIN, 0.003, 0.003, CLEAR, form="beam")
    return figures.joint_tension(
        mismatch=strain,
        plate=plate.a_joint,
        beam=beam.a_joint,
        published=(PUBLISHED_STRAIN, PUBLISHED_TENSION),
        computed=(PUBLISHED_STRAIN, here.a_joint),
        allowed=c.ALLOWED_TENSION,
        breaks=FRACTURE_LIKELY,
        units=units,
    )


worked = Panel("What tension does a mismatch leave at the joint?", _worked, ())


@lru_cache(maxsize=1)
def _soda_lime() -> pd.DataFrame:
    return c.soda_lime_glasses()


def _labels(label: float, within: float, beyond: float, units: str) -> Figure:
    strain = POINT * (2 * within * (300.0 - 20.0) + (2 * within + beyond) * (COOLING + 20.0 - 300.0))
    return figures.labelled_glasses(
        table=_soda_lime(),
        label=label,
        within=within,
        joint=c.bilayer(strain, 0.003, 0.003, CLEAR).a_joint,
        allowed=c.ALLOWED_TENSION,
        units=units,
    )


labels = Panel(
    "What does a number on a label promise?",
    _labels,
    (
        Slider("label", "number on the label", "ratio", 84.0, 77.0, 97.0, 1.0, _points),
        Slider("within", "covers, up and down", "ratio", 0.5, 0.5, 4.0, 0.5, _points),
        Slider("beyond", "differ above 300 °C by", "ratio", 0.0, 0.0, 10.0, 0.5, _points),
    ),
)

NOBODY = "nobody"


@lru_cache(maxsize=1)
def _class() -> pd.DataFrame:
    return c.analyse_strip_tests(c.strip_tests(), CLEAR)


def _class_tests(first: str, second: str, units: str) -> Figure:
    left_out = sorted({first, second} - {NOBODY})
    return figures.class_tests(table=_class(), left_out=left_out)


_EVERYBODY = (NOBODY, *(f"S{number:02d}" for number in range(1, 13)))

class_tests = Panel(
    "Which two bars were written down wrongly?",
    _class_tests,
    (
        Choice("first", "leave out", _EVERYBODY, NOBODY),
        Choice("second", "and", _EVERYBODY, NOBODY),
    ),
)
