"""The panels of lesson 5, cold-working."""

from dataclasses import dataclass

from kilncalc import coldwork, handcutting
from kilncalc import grit as grits
from kilncalc import holes as drilled
from kilncalc.coldwork import Squaring
from kilncalc.figures import coldwork as figures
from kilncalc.panels._panel import Choice, Guess, Panel, Rail, Slider

SLAB = (0.320, 0.220)
"""Length and width of the slab before it went crooked [m]; invented."""

KERF = 2e-3
"""Width of the saw's cut [m]; a usual diamond blade (common practice, no source)."""

SIGN = ((0.0, 0.0), (0.300, 0.0), (0.300, 0.090), (0.0, 0.090))
"""The door sign [m]."""

GRITS = ("F80", "F220", "{400}", "F600", "cerium oxide")


def _square(left: float, right: float, fall: float, cuts: str) -> Squaring:
    length, width = SLAB
    outline = [(0.0, 0.0), (length, 0.0), (length - right, width - fall), (left, width)]
    squared = coldwork.square_up(outline, KERF)
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
)


def _holes(x: float, y: float, diameter: float, thickness: float) -> tuple[drilled.HoleCheck, ...]:
    length, width = SIGN[2]
    four = [drilled.Hole(a, b, diameter) for a in (x, length - x) for b in (y, width - y)]
    return tuple(drilled.check_holes(SIGN, four, thickness, standard) for standard in drilled.HOLE_STANDARDS)


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
    ),
)


curve = Panel("Does a hollow curve run?", lambda: handcutting.bite(0.060, 0.024, 0.003), figures.hollow_curve)


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
