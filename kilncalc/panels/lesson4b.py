"""The panels of lesson 4b, uneven pieces."""

from kilncalc import materials, slab, uneven
from kilncalc.figures import slab as slab_pictures
from kilncalc.figures import uneven as pictures
from kilncalc.firing import Kiln
from kilncalc.panels._panel import Choice, Guess, Panel, Rail, Slider

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


# ------------------------------------------------------------------ heat through a face


exchange = Panel(
    "How much heat passes through a face, for each degree between it and its surroundings?",
    uneven.exchange,
    pictures.exchange,
)
