"""The panels of lesson 4b, uneven pieces."""

from collections.abc import Callable
from functools import lru_cache
from typing import Any

from kilncalc import laying, materials, patterned, slab, uneven
from kilncalc.figures import relief as maps
from kilncalc.figures import slab as slab_pictures
from kilncalc.figures import uneven as pictures
from kilncalc.figures.style import Figure
from kilncalc.firing import Kiln
from kilncalc.panels._drawing import Drawing, Start
from kilncalc.panels._panel import Choice, Fixed, Guess, Panel, Rail, Slider
from kilncalc.piece import Bending
from kilncalc.quantities import INCH, Show

GLASS = materials.glass("kiln glass A")

_RATE = Slider(
    "rate", "rate of heating", "rate", Rail("°C/h", 100, 25, 150, 5), Rail("°F/h", 180, 45, 270, 5)
)


# ------------------------------------------------------------------ two thicknesses


def _two_thicknesses(rate: float, thin: float, extra: float, share: float) -> uneven.TwoThicknesses:
    return uneven.two_thicknesses(rate, thin, extra, share, GLASS)


two_thicknesses = Panel(
    "Thick beside thin: how far do they part, does loose help, and what stays?",
    _two_thicknesses,
    pictures.two_thicknesses,
    (
        Slider(
            "rate", "rate, up and down", "rate", Rail("°C/h", 100, 5, 150, 5), Rail("°F/h", 180, 10, 270, 5)
        ),
        Slider(
            "thin", "thin part", "length", Rail("mm", 3, 2, 9, 0.5), Rail("in", 1 / 8, 1 / 16, 3 / 8, 1 / 32)
        ),
        Slider(
            "extra",
            "thicker there by",
            "length",
            Rail("mm", 3, 1, 6, 0.5),
            Rail("in", 1 / 8, 1 / 32, 1 / 4, 1 / 32),
        ),
        Slider("share", "share that is thick", "ratio", Rail("%", 30, 5, 60, 5)),
    ),
    Guess(
        "How hard is one solid piece pulled, heated as the sliders say? (The limit is 3.5 MPa, or 508 psi.)",
        "pressure",
        lambda result: result.solid.peak_tension("heating"),
        Rail("MPa", 2, 0, 14, 0.25),
        Rail("psi", 300, 0, 2000, 25),
    ),
)


# ------------------------------------------------------------------ held flat

ON_POSTS, ON_THE_FLOOR = "on posts, in the open", "flat on the kiln floor"


def _held_flat(thickness: float, rate: float, shelf: str) -> slab.HeldFlat:
    return slab.held_flat(thickness, rate, GLASS, Kiln(underside=1.0 if shelf == ON_POSTS else 0.0))


held_flat = Panel(
    "An even piece on a shelf: what changes if it cannot bow?",
    _held_flat,
    slab_pictures.free_and_flat,
    (
        Slider(
            "thickness",
            "thickness of the piece",
            "length",
            Rail("mm", 6, 3, 12, 0.5),
            Rail("in", 1 / 4, 1 / 8, 1 / 2, 1 / 32),
        ),
        Slider(
            "rate", "rate of heating", "rate", Rail("°C/h", 150, 25, 200, 5), Rail("°F/h", 270, 45, 360, 5)
        ),
        Choice("shelf", "the shelf stands", (ON_POSTS, ON_THE_FLOOR), ON_POSTS),
    ),
)


# ------------------------------------------------------------------ a former of fibre paper


def _former(rate: float, base: float, paper: float, width: float) -> uneven.Covered:
    return uneven.covered(rate, base, paper, width, GLASS)


former = Panel(
    "A former of fibre paper on the glass: what does its shade do?",
    _former,
    pictures.covered,
    (
        _RATE,
        Slider(
            "base",
            "base sheet below it",
            "length",
            Rail("mm", 6, 3, 9, 0.5),
            Rail("in", 1 / 4, 1 / 8, 3 / 8, 1 / 32),
        ),
        Slider(
            "paper",
            "height of the former",
            "length",
            Rail("mm", 9.2, 1, 18, 0.1),
            Rail("in", 3 / 8, 1 / 32, 3 / 4, 1 / 32),
        ),
        Slider(
            "width",
            "width of the former",
            "length",
            Rail("mm", 18, 5, 40, 1),
            Rail("in", 3 / 4, 1 / 4, 1.5, 1 / 16),
        ),
    ),
)


# ------------------------------------------------------------------ a narrow rib


def _rib(rate: float, base: float, height: float, width: float) -> uneven.Rib:
    return uneven.rib(rate, base, height, width, GLASS)


rib = Panel(
    "A rib on a sheet: does it help to make it narrow?",
    _rib,
    pictures.rib_width,
    (
        _RATE,
        Slider(
            "base",
            "sheet below it",
            "length",
            Rail("mm", 3, 2, 9, 0.5),
            Rail("in", 1 / 8, 1 / 16, 3 / 8, 1 / 32),
        ),
        Slider(
            "height",
            "height of the rib",
            "length",
            Rail("mm", 3, 1, 6, 0.5),
            Rail("in", 1 / 8, 1 / 32, 1 / 4, 1 / 32),
        ),
        Slider(
            "width",
            "width of the rib",
            "length",
            Rail("mm", 10, 2, 60, 1),
            Rail("in", 3 / 8, 1 / 16, 2.5, 1 / 16),
        ),
    ),
)


# ------------------------------------------------------------------ the relief tray, as a map

FREE, FLAT = "free to bow", "held flat"
_BENDING = Choice("bending", "the piece is", (FREE, FLAT), FREE)
_COOLING = Slider(
    "cooling", "rate of cooling", "rate", Rail("°C/h", 30, 5, 100, 5), Rail("°F/h", 55, 10, 180, 5)
)


@lru_cache(maxsize=8)
def _fired_tray(
    rate: float, cooling: float, frame: float, bending: str, sheet: float, across: tuple[float, float]
) -> patterned.Tray:
    held: Bending = "flat" if bending == FLAT else "free"
    return patterned.tray(rate, cooling, GLASS, frame, sheet, across, held)


def _tray(
    rate: float, cooling: float, frame: float, bending: str, sheet: float, across: tuple[float, float]
) -> patterned.Tray:
    return _fired_tray(rate, cooling, frame, bending, sheet, across)  # by place: a name more is another key


_SHEET = Fixed("sheet", 0.003, INCH / 8)
_ACROSS = Fixed("across", (0.240, 0.180), (9.5 * INCH, 7 * INCH))


tray = Panel(
    "The relief tray, first loose and then solid: what breaks it?",
    _tray,
    maps.tray,
    (
        _RATE,
        _COOLING,
        Slider(
            "frame",
            "strips of the frame",
            "length",
            Rail("mm", 20, 8, 40, 2),
            Rail("in", 3 / 4, 3 / 8, 1.5, 1 / 8),
        ),
        _BENDING,
    ),
    fixed=(_SHEET, _ACROSS),
    waits=True,
)


def _moment(share: float, **values: Any) -> patterned.At:
    return patterned.at(_tray(**values).solid, share)


through_time = Panel(
    "The relief tray from moment to moment: when and where is it pulled?",
    _moment,
    maps.through_time,
    (
        Slider("share", "up, and down again", "ratio", Rail("%", 17, 0, 100, 1), play=True),
        _RATE,
        _COOLING,
        _BENDING,
    ),
    fixed=(_SHEET, _ACROSS, Fixed("frame", 0.020, 0.75 * INCH)),
    waits=True,
)


# ------------------------------------------------------------------ what if


@lru_cache(maxsize=16)
def _tile(rib: float, patch: float, sheet: float, tile: tuple[float, float]) -> patterned.Fired:
    """Return a sheet with a rib on it, and a patch beside it that much thicker, heated and cooled."""
    width, height = tile
    strip = laying.rectangle(0.3 * width - rib / 2, 0, rib, height, sheet)
    square = laying.rectangle(0.6 * width, 0.3 * height, 0.3 * width, 0.4 * height, patch)
    shapes = (
        laying.Shape(strip.outline, strip.thickness, "rib"),
        laying.Shape(square.outline, square.thickness, "patch"),
    )
    return patterned.fire_pattern(patterned.pattern(width, height, sheet, shapes), 100, 30, GLASS)


def _what_if(
    rib: float, rib_then: float, patch: float, patch_then: float, sheet: float, tile: tuple[float, float]
) -> patterned.Compared:
    before, after = ((rib, patch), (rib_then, patch_then))
    return patterned.Compared(_tile(*before, sheet, tile), _tile(*after, sheet, tile))


def _width(name: str, label: str, metric: float, inches: float) -> Slider:
    return Slider(name, label, "length", Rail("mm", metric, 4, 60, 2), Rail("in", inches, 1 / 8, 2.5, 1 / 8))


def _height(name: str, label: str, metric: float, inches: float) -> Slider:
    return Slider(
        name, label, "length", Rail("mm", metric, 0.5, 6, 0.5), Rail("in", inches, 1 / 32, 1 / 4, 1 / 32)
    )


what_if = Panel(
    "What if this rib were narrower, this patch thinner?",
    _what_if,
    maps.compared,
    (
        _width("rib", "rib, as it is", 40, 1.5),
        _width("rib_then", "rib, changed", 10, 3 / 8),
        _height("patch", "patch adds, as it is", 3, 1 / 8),
        _height("patch_then", "patch adds, changed", 3, 1 / 8),
    ),
    fixed=(_SHEET, Fixed("tile", (0.200, 0.150), (8 * INCH, 6 * INCH))),
    waits=True,
)


# ------------------------------------------------------------------ a piece of one's own

ON_SHELF, IN_THE_OPEN = "a shelf on posts", "posts, in the open"


def _drawn(
    pattern: patterned.Pattern,
    rate: float,
    cooling: float,
    support: str,
    bending: str,
    progress: Callable[[float], None] | None = None,
) -> patterned.Fired:
    return patterned.fire_pattern(
        pattern,
        rate,
        cooling,
        GLASS,
        "open" if support == IN_THE_OPEN else "shelf",
        "flat" if bending == FLAT else "free",
        progress=progress,
    )


def _both(before: patterned.Fired, after: patterned.Fired, show: Show) -> Figure:
    return maps.compared(patterned.Compared(before, after), show)


def _band(x: tuple[str, str], width: tuple[str, str]) -> tuple[str, dict[str, tuple[str, str]]]:
    """Return a rib all along the tile, by its lower left corner and width, in both unit systems."""
    return "rectangle", {
        "corner": (f"{x[0]} x 0 mm", f"{x[1]} x 0 in"),
        "size": (f"{width[0]} x 200 mm", f"{width[1]} x 8 in"),
        "adds": ("3 mm", "1/8 in"),
    }


_RODS = {"width": ("4 mm", "5/32 in"), "adds": ("3 mm", "1/8 in")}

drawing = Drawing(
    "Which of these ribs, patches and dots is pulled most?",
    (
        Start(
            "ribs of four widths",
            ("200 x 200 mm", "8 x 8 in"),
            ("3 mm", "1/8 in"),
            (
                _band(("30", "1 1/4"), ("2", "1/16")),
                _band(("62", "2 1/2"), ("10", "3/8")),
                _band(("100", "4"), ("20", "3/4")),
                _band(("150", "6"), ("40", "1 1/2")),
            ),
        ),
        Start(
            "the relief tray",
            ("240 x 180 mm", "9 1/2 x 7 in"),
            ("6 mm", "1/4 in"),
            (
                ("frame", {"width": ("20 mm", "3/4 in"), "adds": ("3 mm", "1/8 in")}),
                (
                    "line or rods",
                    {
                        "start": ("20 x 30 mm", "3/4 x 1 1/4 in"),
                        "end": ("220 x 30 mm", "8 3/4 x 1 1/4 in"),
                        **_RODS,
                        "number": ("4", "4"),
                        "further": ("0 x 30 mm", "0 x 1 1/8 in"),
                    },
                ),
                (
                    "line or rods",
                    {
                        "start": ("30 x 20 mm", "1 1/4 x 3/4 in"),
                        "end": ("30 x 160 mm", "1 1/4 x 6 1/4 in"),
                        **_RODS,
                        "number": ("6", "6"),
                        "further": ("30 x 0 mm", "1 1/8 x 0 in"),
                    },
                ),
                (
                    "grains over an area",
                    {
                        "corners": (
                            "95 x 55; 155 x 55; 125 x 120 mm",
                            "3 3/4 x 2 1/8; 6 1/8 x 2 1/8; 5 x 4 3/4 in",
                        ),
                        "grain": ("3 mm", "1/8 in"),
                        "coverage": ("60 %", "60 %"),
                    },
                ),
            ),
        ),
        Start("an empty sheet", ("240 x 180 mm", "9 1/2 x 7 in"), ("6 mm", "1/4 in")),
    ),
    _drawn,
    maps.fired,
    _both,
    (
        Slider(
            "rate", "rate of heating", "rate", Rail("°C/h", 150, 25, 300, 5), Rail("°F/h", 270, 45, 540, 5)
        ),
        _COOLING,
        Choice("support", "it lies on", (ON_SHELF, IN_THE_OPEN), IN_THE_OPEN),
        _BENDING,
    ),
)


# ------------------------------------------------------------------ heat through a face


exchange = Panel(
    "How much heat passes through a face, for each degree between it and its surroundings?",
    uneven.exchange,
    pictures.exchange,
)
