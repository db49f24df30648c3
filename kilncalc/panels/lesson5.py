"""The panels of lesson 5, cold-working."""

from dataclasses import dataclass

from kilncalc import bonding, coldwork, handcutting
from kilncalc import grit as grits
from kilncalc import holes as drilled
from kilncalc.coldwork import Squaring, Taped
from kilncalc.figures import coldwork as figures
from kilncalc.panels._panel import Choice, Fixed, Guess, Lines, Panel, Rail, Slider
from kilncalc.quantities import INCH, POUND
from kilncalc.tracing import read_outline

# what is given: invented, and round numbers of each system

SLAB = Fixed("slab", (0.320, 0.220), (12.5 * INCH, 8.75 * INCH))
"""Length and width of the slab before it went crooked [m]."""

KERF = Fixed("kerf", 2e-3, 3 / 32 * INCH)
"""Width of the saw's cut [m]; a usual diamond blade (common practice, no source)."""

SIGN = Fixed("sign", (0.300, 0.090), (11.75 * INCH, 3.5 * INCH))
"""Length and width of the door sign [m]."""

GRITS = ("F80", "F220", "{400}", "F600", "cerium oxide")


def _square(
    slab: tuple[float, float], kerf: float, left: float, right: float, fall: float, cuts: str
) -> Squaring:
    length, width = slab
    outline = [(0.0, 0.0), (length, 0.0), (length - right, width - fall), (left, width)]
    squared = coldwork.square_up(outline, kerf)
    return Squaring(squared, min(_CUTS.index(cuts), len(squared.cuts)))


_CUTS = ("none", "the first", "the first two", "all three")

square = Panel(
    "Which cuts make this slab square, and in which order?",
    _square,
    figures.squaring,
    (
        Slider(
            "left",
            "left side leans in by",
            "length",
            Rail("mm", 10, -20, 30, 1),
            Rail("in", 0.5, -0.75, 1, 1 / 16),
        ),
        Slider(
            "right",
            "right side leans in by",
            "length",
            Rail("mm", 6, -20, 30, 1),
            Rail("in", 0.25, -0.75, 1, 1 / 16),
        ),
        Slider(
            "fall",
            "far edge falls by",
            "length",
            Rail("mm", 14, -20, 30, 1),
            Rail("in", 0.5, -0.75, 1, 1 / 16),
        ),
        Choice("cuts", "cuts made", _CUTS, "all three"),
    ),
    guess=Guess(
        "How much of this slab will be lost when it is square?",
        "ratio",
        lambda result: float(result.squared.lost),
        Rail("%", 15, 0, 40, 1),
    ),
    fixed=(SLAB, KERF),
)

# a second slab, traced round on paper: all four sides a little wavy, the far one hollow; invented
TRACED = (
    *((0.000, 0.0002), (0.080, 0.0000), (0.160, 0.0004), (0.240, 0.0001), (0.318, 0.0003)),
    *((0.316, 0.055), (0.312, 0.110), (0.311, 0.165), (0.309, 0.222)),
    *((0.240, 0.214), (0.160, 0.208), (0.080, 0.211), (0.006, 0.219)),
    *((0.004, 0.165), (0.007, 0.110), (0.003, 0.055)),
)
LEANING = ((0.0, 0.0), (0.320, 0.0), (0.314, 0.206), (0.010, 0.220))
SLABS = {"four straight sides": LEANING, "traced round on paper": TRACED}
OWN = "the points written below"


def _fits(kerf: float, slab: str, points: str, length: float, width: float, cuts: str) -> Squaring:
    outline = read_outline(points) if slab == OWN else SLABS[slab]
    squared = coldwork.square_up(outline, kerf, size=(length, width))
    return Squaring(squared, min(_ALL_CUTS.index(cuts), len(squared.cuts)), wanted=True)


_ALL_CUTS = ("none", "the first", "the first two", "the first three", "all")


fits = Panel(
    "Does the tray that you want fit on this slab, and where?",
    _fits,
    figures.squaring,
    (
        Choice("slab", "the slab has", (*SLABS, OWN), "traced round on paper"),
        Choice("cuts", "cuts made", _ALL_CUTS, "all"),
        Slider(
            "length", "length wanted", "length", Rail("mm", 280, 50, 600, 1), Rail("in", 11, 2, 24, 1 / 8)
        ),
        Slider("width", "width wanted", "length", Rail("mm", 200, 50, 400, 1), Rail("in", 8, 2, 16, 1 / 8)),
        Lines(
            "points",
            "points of your own slab",
            "mm\n0; 0\n160; 0.3\n318; 0\n314; 215\n150; 209\n4; 220",
            "in\n0; 0\n6 1/4; 0.01\n12 1/2; 0\n12 3/8; 8 1/2\n6; 8 1/4\n1/8; 8 5/8",
        ),
    ),
    fixed=(KERF,),
)


def _taped(slab: tuple[float, float], kerf: float, cd: float, da: float, ac: float, bd: float) -> Taped:
    return coldwork.tape((*slab, cd, da), (ac, bd), kerf)


taped = Panel(
    "Can these sides and diagonals be true?",
    _taped,
    figures.taped,
    (
        Slider(
            "cd", "far side CD", "length", Rail("mm", 312, 290, 340, 1), Rail("in", 12.25, 11.5, 13.5, 1 / 16)
        ),
        Slider("da", "left side DA", "length", Rail("mm", 214, 200, 240, 1), Rail("in", 8.5, 8, 9.5, 1 / 16)),
        Slider(
            "ac", "diagonal AC", "length", Rail("mm", 382, 360, 410, 1), Rail("in", 15, 14.25, 16, 1 / 16)
        ),
        Slider(
            "bd", "diagonal BD", "length", Rail("mm", 392, 360, 410, 1), Rail("in", 15.5, 14.25, 16, 1 / 16)
        ),
    ),
    fixed=(SLAB, KERF),
)


def _holes(
    sign: tuple[float, float], x: float, y: float, diameter: float, thickness: float
) -> tuple[drilled.HoleCheck, ...]:
    length, width = sign
    outline = ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))
    four = [drilled.Hole(a, b, diameter) for a in (x, length - x) for b in (y, width - y)]
    return tuple(
        drilled.check_holes(outline, four, thickness, standard) for standard in drilled.HOLE_STANDARDS
    )


holes = Panel(
    "Where may the holes of the door sign sit?",
    _holes,
    figures.holes,
    (
        Slider(
            "x",
            "from the short side",
            "length",
            Rail("mm", 20, 6, 60, 1),
            Rail("in", 0.75, 0.25, 2.25, 1 / 16),
        ),
        Slider(
            "y",
            "from the long side",
            "length",
            Rail("mm", 20, 6, 36, 1),
            Rail("in", 0.75, 0.25, 1.375, 1 / 16),
        ),
        Slider(
            "diameter",
            "diameter of the holes",
            "length",
            Rail("mm", 8, 3, 12, 0.5),
            Rail("in", 0.3125, 0.125, 0.5, 1 / 32),
        ),
        Slider(
            "thickness",
            "thickness of the glass",
            "length",
            Rail("mm", 6, 3, 12, 0.5),
            Rail("in", 0.25, 0.125, 0.5, 1 / 32),
        ),
    ),
    fixed=(SIGN,),
)


def _damage(share: float, left_out: str, packet: str) -> tuple[grits.Ground, ...]:
    labels = [packet if grit == "{400}" else grit for grit in GRITS]
    kept = [
        label
        for label in labels
        if label not in _LEFT_OUT[left_out] and not (label == packet and "400" in _LEFT_OUT[left_out])
    ]
    removals = [share * grits.grit_size(before) for before in kept[:-1]]
    return grits.damage_left(kept, removals)


_LEFT_OUT = {"none": (), "F220": ("F220",), "the 400": ("400",), "F220 and the 400": ("F220", "400")}

grit = Panel(
    "What is left of the damage that each grit has done?",
    _damage,
    figures.damage,
    (
        Slider("share", "removed, of a grain", "ratio", Rail("", 0.5, 0, 3, 0.25)),
        Choice("left_out", "grit left out", tuple(_LEFT_OUT), "none"),
        Choice("packet", "packet marked 400", ("F400", "CAMI 400", "JIS 400", "P400"), "F400"),
    ),
)

sizes = Panel("What size is a grit with the number 400?", lambda: grits.grit_chart(400), figures.grit_sizes)

drill = Panel(
    "How fast should this drill turn?",
    drilled.drill_chart,
    figures.drill,
    (
        Slider(
            "diameter",
            "diameter of the drill",
            "length",
            Rail("mm", 8, 3, 60, 1),
            Rail("in", 0.3125, 0.125, 2.375, 1 / 16),
        ),
        Slider(
            "surface_speed",
            "speed of its rim",
            "speed",
            Rail("m/s", 0.8, 0.2, 2.0, 0.1),
            Rail("ft/min", 160, 40, 400, 10),
        ),
        Slider(
            "thickness",
            "thickness of the glass",
            "length",
            Rail("mm", 6, 3, 20, 0.5),
            Rail("in", 0.25, 0.125, 0.75, 1 / 32),
        ),
        Choice("kind", "drill", drilled.DRILLS, drilled.DRILLS[0]),
    ),
)


def _hanging(
    piece: tuple[float, float, float],
    hollow: tuple[float, float],
    begins: float,
    clear: float,
    inset: float,
    by: str,
) -> drilled.Hung:
    length, height, mass = piece
    pocket = drilled.Pocket(length, height, mass, begins, clear, *hollow)
    return drilled.hang(pocket, inset, BELOW_TOP, HANGING_HOLE, by_piece=by == _SET_OUT[1])


BELOW_TOP, HANGING_HOLE = 0.020, 0.006  # m, invented

POCKET = Fixed("piece", (0.250, 0.170, 1.2), (10 * INCH, 6.75 * INCH, 2.625 * POUND))
"""A wall pocket for flowers: length and height [m], mass [kg]."""

HOLLOW = Fixed("hollow", (0.060, 0.030), (2.5 * INCH, 1.25 * INCH))
"""Height and depth of its hollow [m]."""

_SET_OUT = ("from the hollow", "from the edges of the piece")

hanging = Panel(
    "Where do the hanging holes go, and what does each carry?",
    _hanging,
    figures.hanging,
    (
        Slider(
            "begins",
            "hollow begins, from the left",
            "length",
            Rail("mm", 45, 20, 60, 1),
            Rail("in", 1.75, 0.75, 2.375, 1 / 16),
        ),
        Slider(
            "clear",
            "clear width of the hollow",
            "length",
            Rail("mm", 180, 120, 190, 5),
            Rail("in", 7, 5, 7.5, 1 / 4),
        ),
        Slider(
            "inset",
            "each hole, in from its end",
            "length",
            Rail("mm", 30, 5, 50, 1),
            Rail("in", 1.25, 0.25, 2, 1 / 8),
        ),
        Choice("by", "holes set out", _SET_OUT, _SET_OUT[0]),
    ),
    fixed=(POCKET, HOLLOW),
)

OWNED = ("F80", "F120", "F220", "F400", "F600", "cerium oxide")
"""Grits of a small cold shop; invented."""

SAW_MARKS = 0.3e-3
"""Depth of the marks that the saw leaves [m]; invented."""

plan = Panel(
    "Which grits are worth a step?",
    lambda: grits.grit_sequence("D181", "cerium oxide", OWNED, marks=SAW_MARKS),
    figures.grit_plan,
)

bond = Panel(
    "How wide does a bead spread, and when has it cured?",
    bonding.bond,
    figures.bonded,
    (
        Slider(
            "diameter",
            "bead, as laid",
            "length",
            Rail("mm", 4, 2, 6, 0.5),
            Rail("in", 5 / 32, 1 / 16, 1 / 4, 1 / 64),
        ),
        Slider(
            "length",
            "length of the bead",
            "length",
            Rail("mm", 80, 20, 400, 10),
            Rail("in", 3.25, 1, 16, 0.25),
        ),
        Slider(
            "gap",
            "gap that stays",
            "length",
            Rail("mm", 0.5, 0.2, 2, 0.1),
            Rail("in", 0.02, 0.01, 0.06, 0.005),
        ),
        Slider(
            "first_day",
            "cures on the first day",
            "length",
            Rail("mm", 2.5, 1, 5, 0.5),
            Rail("in", 0.1, 0.04, 0.2, 0.01),
        ),
    ),
)


curve = Panel(
    "Does a hollow curve run?",
    handcutting.bite,
    figures.hollow_curve,
    fixed=(
        Fixed("chord", 0.060, 2.5 * INCH),
        Fixed("depth", 0.024, INCH),
        Fixed("thickness", 0.003, INCH / 8),
    ),
)


@dataclass(frozen=True)
class Discs:
    """A disc, and how many of it to cut."""

    disc: handcutting.Circle
    parts: handcutting.Enough


def _by_hand(diameter: float, thickness: float, wanted: float, breakage: float) -> Discs:
    return Discs(handcutting.cut_circle(diameter / 2, thickness), handcutting.enough(round(wanted), breakage))


by_hand = Panel(
    "How is a small disc cut by hand, and how many should you cut?",
    _by_hand,
    lambda result, show: figures.by_hand(result.disc, result.parts, show),
    (
        Slider(
            "diameter",
            "diameter of the disc",
            "length",
            Rail("mm", 30, 10, 60, 1),
            Rail("in", 1.25, 0.5, 2.5, 1 / 8),
        ),
        Slider(
            "thickness",
            "thickness of the sheet",
            "length",
            Rail("mm", 3, 2, 6, 0.5),
            Rail("in", 0.125, 0.0625, 0.25, 1 / 32),
        ),
        Slider("wanted", "good ones wanted", "count", Rail("", 24, 4, 60, 1)),
        Slider("breakage", "share that breaks", "ratio", Rail("%", 20, 0, 50, 5)),
    ),
)
