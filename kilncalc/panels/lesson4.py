"""The panels of lesson 4, schedules."""

from dataclasses import replace
from functools import lru_cache

from kilncalc import fired, materials, own_piece, slab, writing
from kilncalc.figures import cracks
from kilncalc.figures import schedule as pictures
from kilncalc.figures import slab as slab_pictures
from kilncalc.firing import SMALL_BRICK_KILN
from kilncalc.materials import ALLOWED_TENSION
from kilncalc.panels._panel import Choice, Guess, Panel, Rail, Slider
from kilncalc.piece import Piece, Zone

GLASS = materials.glass("kiln glass A")
TRAY = 0.240 * 0.180
"""Area of the relief tray [m2]."""

HEATING, COOLING = "heated from room", "cooled to room"


# ------------------------------------------------------------------ one slab


def _one_slab(thickness: float, rate: float, direction: str) -> slab.SteadySlab:
    return slab.steady_slab(thickness, rate, GLASS, direction == HEATING)


one_slab = Panel(
    "How far is the middle of a slab behind, and what does that pull?",
    _one_slab,
    slab_pictures.through_the_thickness,
    (
        Slider(
            "thickness",
            "thickness of the slab",
            "length",
            Rail("mm", 19, 3, 25, 0.5),
            Rail("in", 3 / 4, 1 / 8, 1, 1 / 16),
        ),
        Slider(
            "rate", "rate of the kiln", "rate", Rail("°C/h", 150, 20, 300, 5), Rail("°F/h", 270, 40, 540, 10)
        ),
        Choice("direction", "the slab is", (HEATING, COOLING), HEATING),
    ),
    Guess(
        "How much colder is the middle than the faces, while the kiln heats as the sliders say?",
        "temperature_difference",
        lambda result: result.lag,
        Rail("°C", 15, 0, 40, 0.5),
        Rail("°F", 30, 0, 70, 1),
    ),
)


neutral_depth = Panel(
    "How deep below its face does a heated slab change from pressed to pulled?",
    lambda: slab.neutral_depth(0.012, 150.0, GLASS),
    slab_pictures.neutral_depth,
)


# ------------------------------------------------------------------ a whole firing


def _whole_firing(thickness: float, heating: float, soak: float, cooling: float) -> fired.WholeFiring:
    return fired.whole_firing(thickness, heating, soak, cooling, GLASS, TRAY)


whole_firing = Panel(
    "When is the glass pulled most, and where do the hours go?",
    _whole_firing,
    pictures.firing_in_time,
    (
        Slider(
            "thickness",
            "thickness of the piece",
            "length",
            Rail("mm", 12, 3, 25, 0.5),
            Rail("in", 1 / 2, 1 / 8, 1, 1 / 16),
        ),
        Slider(
            "heating", "first heating", "rate", Rail("°C/h", 150, 50, 300, 10), Rail("°F/h", 270, 90, 540, 10)
        ),
        Slider("soak", "hold at annealing", "time", Rail("h", 1, 0.5, 3, 0.25)),
        Slider(
            "cooling",
            "cooling from the hold",
            "rate",
            Rail("°C/h", 60, 15, 200, 5),
            Rail("°F/h", 110, 30, 360, 5),
        ),
    ),
)


# ------------------------------------------------------------------ a piece of one's own

KILNS = {
    "3 hours: a small brick kiln": 3 * 3600.0,
    "1 hour and a half: a light fibre kiln": 1.5 * 3600.0,
    "6 hours: a heavy brick kiln": 6 * 3600.0,
}
"""What a kiln takes to fall by two thirds of what it is above the room [s]; typical, from memory."""

SHELVES = {
    "shelf on posts": ("shelf", 1.0),
    "shelf flat on the kiln floor": ("shelf", 0.0),
    "fibre paper 3 mm (1/8 in) on a shelf on posts": ("paper on the shelf", 1.0),
}
"""What a piece lies on, and how freely the underside of the shelf exchanges heat."""

GLASSES = ("kiln glass A", "kiln glass B", "lamp soda-lime", "float", "borosilicate 3.3")
"""Glasses by their names in the table: two invented ones for kilns, one for the lamp, window glass, one for
the laboratory."""

SOLID, LOOSE = "one piece already", "loose sheets, first firing"
MARGINS = {
    "sound: a seventh of what lasts": "sound",
    "fine: half of that": "fine",
    "quick: twice as much": "quick",
}
"""How much may stay, by the names of `writing.RESIDUALS`."""

CONTROLLERS: dict[str, writing.Controller] = {"°C": "degC", "°F": "degF"}


def _your_piece(
    glass: str,
    process: str,
    firing: str,
    thickness: float,
    relief: str,
    height: float,
    width: float,
    share: float,
    shelf: str,
    kiln: str,
    margin: str,
    controller: str,
) -> own_piece.OwnPiece:
    support, underside = SHELVES[shelf]
    of = materials.glass(glass)
    piece = own_piece.build(of, thickness, relief, height, width, share, firing == LOOSE, support)
    oven = replace(SMALL_BRICK_KILN, cooling_time=KILNS[kiln], underside=underside)
    allowed_residual = writing.RESIDUALS[MARGINS[margin]] * ALLOWED_TENSION
    return own_piece.own_piece(
        piece, process, oven, allowed_residual=allowed_residual, controller=CONTROLLERS[controller]
    )


_THICKNESS = Slider(
    "thickness",
    "thickness where plain",
    "length",
    Rail("mm", 6, 1.5, 60, 0.5),
    Rail("in", 1 / 4, 1 / 16, 2 + 5 / 16, 1 / 16),
)
_HEIGHT = Slider(
    "height",
    "relief, higher by",
    "length",
    Rail("mm", 3, 1, 12, 0.5),
    Rail("in", 1 / 8, 1 / 16, 1 / 2, 1 / 16),
)
_SHARE = Slider("share", "share under the relief", "ratio", Rail("%", 25, 5, 60, 5))
_RELIEF = Choice("relief", "relief", tuple(own_piece.RELIEFS), "ribs")

your_piece = Panel(
    "Your own piece: which schedule, and how long?",
    _your_piece,
    pictures.own_piece,
    (
        Choice("glass", "glass", GLASSES, GLASS.name),
        Choice("process", "process", tuple(writing.PROCESSES), "tack fuse"),
        Choice("firing", "it is", (SOLID, LOOSE), SOLID),
        _THICKNESS,
        _RELIEF,
        _HEIGHT,
        Slider(
            "width",
            "width of rib or dot",
            "length",
            Rail("mm", 10, 2, 60, 1),
            Rail("in", 3 / 8, 1 / 8, 2.5, 1 / 8),
        ),
        _SHARE,
        Choice("shelf", "it lies on a", tuple(SHELVES), "shelf on posts"),
        Choice("kiln", "switched off, it cools in", tuple(KILNS), "3 hours: a small brick kiln"),
        Choice("margin", "what may stay", tuple(MARGINS), "sound: a seventh of what lasts"),
        Choice("controller", "the controller counts in", tuple(CONTROLLERS), "°C", inches="°F"),
    ),
    waits=True,
)


# ------------------------------------------------------------------ what leaving less costs


def _hours_against_stress(
    thickness: float, relief: str, height: float, share: float
) -> own_piece.HoursAgainstStress:
    return own_piece.hours_against_stress(
        own_piece.build(GLASS, thickness, relief, height, share=share), SMALL_BRICK_KILN
    )


hours_against_stress = Panel(
    "What does leaving less stress cost?",
    _hours_against_stress,
    pictures.hours_against_stress,
    (
        replace(
            _THICKNESS,
            metric=Rail("mm", 3, 1.5, 60, 0.5),
            inches=Rail("in", 1 / 8, 1 / 16, 2 + 5 / 16, 1 / 16),
        ),
        replace(_RELIEF, value="wide parts"),
        _HEIGHT,
        replace(_SHARE, metric=Rail("%", 30, 5, 60, 5)),
    ),
)


# ------------------------------------------------------------------ it broke


it_broke = Panel("It broke: what do the edges of the crack say?", lambda: None, cracks.four_breaks)


# ------------------------------------------------------------------ a rule of thumb beside ours


PIECES = {
    "even, two sheets": Piece(GLASS, (Zone(0.006, 1.0),)),
    "even, six sheets": Piece(GLASS, (Zone(0.018, 1.0),)),
    "two sheets, narrow ribs": Piece(GLASS, (Zone(0.006, 0.75), Zone(0.009, 0.25, feature_width=0.010))),
    "one sheet, narrow ribs": Piece(GLASS, (Zone(0.003, 0.75), Zone(0.006, 0.25, feature_width=0.010))),
    "one sheet, wide parts": Piece(GLASS, (Zone(0.003, 0.67), Zone(0.006, 0.33))),
}
"""Five pieces of sheets of 3 mm on a shelf, all solid, as in any firing but the first; ribs and parts are one
sheet high."""


@lru_cache
def _beside_the_rule() -> list[fired.TwoSchedules]:
    return [fired.beside_the_rule(name, piece, "tack fuse") for name, piece in PIECES.items()]


five_pieces = Panel(
    "“As if twice as thick”: for which pieces is it right?",
    _beside_the_rule,
    pictures.pieces_beside_the_rule,
)
