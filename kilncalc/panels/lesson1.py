"""The panels of lesson 1, compatibility you can see.

A difference of expansion stands on the sliders in points, 1e-7 per K: one point of the number on a label.
"""

from dataclasses import replace
from functools import lru_cache, partial

from kilncalc import bars, materials, pair, testpieces
from kilncalc.figures import compatibility as figures
from kilncalc.figures.polariscope import POINT, between_polarisers, points_text
from kilncalc.panels._panel import Choice, Fixed, Guess, Panel, Rail, Slider
from kilncalc.polariscope import FULL_WAVE
from kilncalc.quantities import INCH, Show

CLEAR = materials.glass("course clear")
COLOUR = materials.glass("course amber")

FREE, FLAT = "free", "held flat"
_BENDINGS = {FREE: "free", FLAT: "flat"}


def _thickness(name: str, label: str, low: float = 1.0) -> Slider:
    return Slider(
        name, label, "length", Rail("mm", 3, low, 6, 0.25), Rail("in", 1 / 8, 1 / 32, 1 / 4, 1 / 64)
    )


def _points(value: float, _show: Show) -> str:
    return f"{value / POINT:.3g} points"


_DIFFERENCE = Slider(
    "difference",
    "colour \u2212 clear",
    "expansion",
    Rail("points", 6, -8, 8, 0.5),
    words=lambda value, _show: points_text(value),
)
_BENDING = Choice("bending", "the stack is", tuple(_BENDINGS), FREE)


def _fused(length: float, difference: float, colour: float, clear: float, bending: str) -> pair.FusedBar:
    return pair.fused_bar(difference, colour, clear, COLOUR, CLEAR, _BENDINGS[bending], length)


stack = Panel(
    "What do two glasses do to each other when one shrinks more?",
    _fused,
    figures.bent_stack,
    (
        _DIFFERENCE,
        _thickness("colour", "thickness of the colour"),
        _thickness("clear", "thickness of the clear"),
        _BENDING,
    ),
    guess=Guess(
        "How wide is the gap under a straight edge as long as this bar, 200 mm (8 in)?",
        "length",
        lambda bar: abs(bar.bow),
        Rail("mm", 2, 0, 5, 0.05),
        Rail("in", 0.08, 0, 0.2, 0.002),
    ),
    fixed=(Fixed("length", 0.200, 8 * INCH),),
)


# ------------------------------------------------------------------ between crossed polarisers

FROM_ABOVE = {
    "a strip let into a clear sheet": "strip",
    "a chip on a clear base": "chip",
    "a round spot through a clear sheet": "spot",
}
WITHOUT, WITH = "no plate", "full-wave plate, 565 nm"


def _plate(plate: str) -> float:
    return FULL_WAVE if plate == WITH else 0.0


def _above(
    sizes: testpieces.Sizes, test: str, difference: float, polariser: float, plate: str
) -> testpieces.Seen:
    return testpieces.look(FROM_ABOVE[test], difference, polariser, _plate(plate), COLOUR, CLEAR, sizes)


def _edges(sizes: testpieces.Sizes, difference: float, polariser: float, plate: str) -> testpieces.Seen:
    return testpieces.look("edges", difference, polariser, _plate(plate), COLOUR, CLEAR, sizes)


_SIZES = Fixed("sizes", testpieces.METRIC_SIZES, testpieces.INCH_SIZES)

_POLARISER = Slider("polariser", "direction of the polariser", "angle", Rail("°", 45, 0, 180, 5))

from_above = Panel(
    "What does a test piece show between crossed polarisers?",
    _above,
    between_polarisers,
    (
        Choice("test", "look at", tuple(FROM_ABOVE), next(iter(FROM_ABOVE))),
        _DIFFERENCE,
        _POLARISER,
        Choice("plate", "in the light", (WITHOUT, WITH), WITHOUT),
    ),
    fixed=(_SIZES,),
)

edges = Panel(
    "Badly annealed or badly matched?",
    _edges,
    between_polarisers,
    (
        replace(_DIFFERENCE, metric=Rail("points", 1, -8, 8, 0.5)),
        _POLARISER,
        Choice("plate", "in the light", (WITHOUT, WITH), WITH),
    ),
    fixed=(_SIZES,),
)


# ------------------------------------------------------------------ how far apart


def _apart(colour: float, clear: float, allowed: float, bending: str) -> pair.HowFar:
    return pair.how_far(colour, clear, COLOUR, CLEAR, allowed, _BENDINGS[bending])


how_far = Panel(
    "How far apart may two glasses be?",
    _apart,
    figures.allowed_difference,
    (
        Slider(
            "colour",
            "thickness of the colour",
            "length",
            Rail("mm", 3, 0.5, 10, 0.25),
            Rail("in", 1 / 8, 1 / 64, 3 / 8, 1 / 64),
        ),
        Slider(
            "clear",
            "thickness of the clear",
            "length",
            Rail("mm", 3, 0.5, 10, 0.25),
            Rail("in", 1 / 8, 1 / 64, 3 / 8, 1 / 64),
        ),
        Slider(
            "allowed",
            "tension that is allowed",
            "pressure",
            Rail("MPa", 3.5, 1, 10, 0.25),
            Rail("psi", 500, 150, 1500, 50),
        ),
        _BENDING,
    ),
)


# ------------------------------------------------------------------ tests read back

reader = Panel(
    "A test bar seen through its edge: how far apart are its glasses?",
    partial(bars.bar_by_light, glass=CLEAR),
    figures.read_by_light,
    (
        Slider("turn", "turn, 180° more a fringe", "angle", Rail("°", 240, 0, 360, 5)),
        Slider(
            "width",
            "width of the bar",
            "length",
            Rail("mm", 25, 15, 50, 0.5),
            Rail("in", 1, 1 / 2, 2, 1 / 32),
        ),
        Slider(
            "sheet",
            "thickness of each glass",
            "length",
            Rail("mm", 3, 2, 6, 0.1),
            Rail("in", 1 / 8, 1 / 16, 1 / 4, 1 / 64),
        ),
        Slider("sure", "the turn is sure to ±", "angle", Rail("°", 3, 1, 15, 1)),
    ),
)

bow_reader = Panel(
    "A test bar under a straight edge: how far apart are its glasses?",
    partial(bars.bar_by_bow, glass=CLEAR),
    figures.read_by_bow,
    (
        Slider(
            "bow",
            "gap in the middle",
            "length",
            Rail("mm", 0.25, 0, 1, 0.01),
            Rail("in", 0.010, 0, 0.040, 0.001),
        ),
        Slider(
            "span",
            "straight edge rests on",
            "length",
            Rail("mm", 180, 120, 280, 5),
            Rail("in", 7, 5, 11, 1 / 4),
        ),
        Slider(
            "sheet",
            "thickness of each glass",
            "length",
            Rail("mm", 3, 2, 6, 0.1),
            Rail("in", 1 / 8, 1 / 16, 1 / 4, 1 / 64),
        ),
        Slider(
            "sure",
            "the gap is sure to ±",
            "length",
            Rail("mm", 0.03, 0.01, 0.10, 0.01),
            Rail("in", 0.001, 0.0005, 0.004, 0.0005),
        ),
    ),
)


# ------------------------------------------------------------------ worked example, labels, the class

worked = Panel(
    "What tension does a mismatch leave at the joint?",
    partial(pair.joint_example, CLEAR),
    figures.joint_tension,
)

labels = Panel(
    "What does a number on a label promise?",
    partial(pair.label_promise, glass=CLEAR),
    figures.labelled_glasses,
    (
        Slider("label", "number on the label", "expansion", Rail("points", 84, 77, 97, 1), words=_points),
        Slider("within", "covers, up and down", "expansion", Rail("points", 0.5, 0.5, 4, 0.5), words=_points),
        Slider("beyond", "differ when hotter by", "expansion", Rail("points", 0, 0, 10, 0.5), words=_points),
    ),
)

NOBODY = "nobody"


@lru_cache
def _left_out(first: str, second: str) -> bars.ClassReading:
    return bars.read_class(bars.class_bars(), CLEAR, sorted({first, second} - {NOBODY}))


_EVERYBODY = (NOBODY, *(bar.student for bar in bars.class_bars()))

class_tests = Panel(
    "Which two bars were written down wrongly?",
    _left_out,
    figures.class_tests,
    (
        Choice("first", "leave out", _EVERYBODY, NOBODY),
        Choice("second", "and", _EVERYBODY, NOBODY),
    ),
)
