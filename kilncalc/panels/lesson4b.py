"""The panels of lesson 4b, uneven pieces."""

from functools import lru_cache

import numpy as np

from kilncalc import _heat, materials
from kilncalc.figures import slab, uneven
from kilncalc.figures.style import Figure
from kilncalc.firing import Firing, Kiln, fire
from kilncalc.panels._old import old_panel as Panel
from kilncalc.panels._old import old_slider as Slider
from kilncalc.panels._panel import Choice
from kilncalc.piece import Layer, Piece, Zone
from kilncalc.schedule import Schedule, Segment

GLASS = materials.glass("kiln glass A")
ALLOWED_TENSION = 3.5e6  # Pa, temporary stress; published: EN 16612, 45 x 0.29 x 0.8 x 0.6 / 1.8 = 3.48 MPa
KILN = Kiln()

_TOP = 340.0  # degC; the pull of heating is largest below it


def heating(rate: float) -> Schedule:
    """Return one segment of heating at a rate [degC/h], as far as it can harm cold glass."""
    return Schedule((Segment(rate, _TOP),))


def _heated(rate: float, piece: Piece, kiln: Kiln = KILN) -> Firing:
    return fire(heating(rate), piece, kiln)


# ------------------------------------------------------------------ two thicknesses


def _two_thicknesses(rate: float, thin: float, extra: float, share: float, units: str) -> Figure:
    thick = thin + extra
    zones = (Zone(thin, 1 - share), Zone(thick, share))
    heap = (
        Zone(thin, 1 - share, layers=(Layer(thin, "one"),)),
        Zone(thick, share, layers=(Layer(thin, "two"), Layer(extra, "on it"))),
    )
    return uneven.two_thicknesses(
        _heated(rate, Piece(GLASS, zones)),
        {
            "loose, on one base sheet": _heated(rate, Piece(GLASS, zones, loose=True)),
            "a heap of loose pieces": _heated(rate, Piece(GLASS, heap, loose=True)),
        },
        thicknesses=(thin, thick),
        share=share,
        allowed=ALLOWED_TENSION,
        most_behind=80.0,
        most_tension=14e6,
        units=units,
    )


two_thicknesses = Panel(
    "Thick beside thin: how far do they part, and does loose help?",
    _two_thicknesses,
    (
        Slider("rate", "rate of heating", "rate", 100.0, 25.0, 150.0, 5.0),
        Slider("thin", "thin part", "length", 0.003, 0.002, 0.009, 0.0005),
        Slider("extra", "thicker there by", "length", 0.003, 0.001, 0.006, 0.0005),
        Slider("share", "share that is thick", "ratio", 0.30, 0.05, 0.60, 0.05),
    ),
)


# ------------------------------------------------------------------ held flat

ON_POSTS, ON_THE_FLOOR = "on posts, in the open", "flat on the kiln floor"
_THICKEST, _FASTEST = 0.012, 200.0


def _free_and_flat(thickness: float, rate: float, shelf: str) -> tuple[Firing, Firing]:
    kiln = Kiln(underside=1.0 if shelf == ON_POSTS else 0.0)
    free, flat = (
        _heated(rate, Piece(GLASS, (Zone(thickness, 1.0),), bending=bending), kiln)
        for bending in ("free", "flat")
    )
    return free, flat


@lru_cache
def _largest() -> tuple[float, float]:
    """Return how far the axes must reach: temperature difference [K] and stress [Pa] at the sliders' ends."""
    _, flat = _free_and_flat(_THICKEST, _FASTEST, ON_THE_FLOOR)
    moment = int(flat.tension.argmax())
    temperature = flat.temperature[moment, 0]
    return 0.75 * float(np.ptp(temperature)), 1.1 * float(np.abs(flat.stress[moment]).max())


def _held_flat(thickness: float, rate: float, shelf: str, units: str) -> Figure:
    free, flat = _free_and_flat(thickness, rate, shelf)
    moment = int(flat.tension.argmax())
    temperature = flat.temperature[moment, 0]
    height = np.linspace(0, 1, temperature.size)
    tilt = 12 * float(np.trapezoid((temperature - temperature.mean()) * (height - 0.5), height))  # K
    difference, most = _largest()
    return slab.free_and_flat(
        height=height,
        temperature=temperature,
        free=free.stress[int(free.tension.argmax()), 0],
        flat=flat.stress[moment, 0],
        curvature=GLASS.expansion * abs(tilt) / thickness,
        allowed=ALLOWED_TENSION,
        largest_difference=difference,
        largest_stress=most,
        units=units,
    )


held_flat = Panel(
    "An even piece on a shelf: what changes if it cannot bow?",
    _held_flat,
    (
        Slider("thickness", "thickness of the piece", "length", 0.006, 0.003, _THICKEST, 0.0005),
        Slider("rate", "rate of heating", "rate", 150.0, 25.0, _FASTEST, 5.0),
        Choice("shelf", "the shelf stands", (ON_POSTS, ON_THE_FLOOR), ON_POSTS),
    ),
)


# ------------------------------------------------------------------ a former of fibre paper


def _former(rate: float, base: float, paper: float, width: float, units: str) -> Figure:
    share = width / 0.150  # the banner is 150 mm high
    bare = Zone(base, 1 - share)
    under = Zone(base, share, feature_width=width, above="paper", paper=paper)
    rib = Zone(2 * base, share, feature_width=width)
    return uneven.covered(
        _heated(rate, Piece(GLASS, (bare, under))),
        base=base,
        paper=paper,
        width=width,
        rib=_heated(rate, Piece(GLASS, (bare, rib))).peak_tension("heating"),
        allowed=ALLOWED_TENSION,
        most_behind=120.0,
        most_tension=14e6,
        units=units,
    )


former = Panel(
    "A former of fibre paper on the glass: what does its shade do?",
    _former,
    (
        Slider("rate", "rate of heating", "rate", 100.0, 25.0, 150.0, 5.0),
        Slider("base", "base sheet below it", "length", 0.006, 0.003, 0.009, 0.0005),
        Slider("paper", "height of the former", "length", 0.0092, 0.001, 0.0184, 0.0002),
        Slider("width", "width of the former", "length", 0.016, 0.005, 0.040, 0.001),
    ),
)


# ------------------------------------------------------------------ a narrow rib


def _rib(rate: float, base: float, height: float, width: float, units: str) -> Figure:
    def heated(feature_width: float | None) -> Firing:
        zones = (Zone(base, 0.9), Zone(base + height, 0.1, feature_width=feature_width))
        return _heated(rate, Piece(GLASS, zones))

    return uneven.rib_width(
        heated(width),
        heated(None),
        base=base,
        height=height,
        width=width,
        allowed=ALLOWED_TENSION,
        most_tension=18e6,
        units=units,
    )


rib = Panel(
    "A rib on a sheet: does it help to make it narrow?",
    _rib,
    (
        Slider("rate", "rate of heating", "rate", 100.0, 25.0, 150.0, 5.0),
        Slider("base", "sheet below it", "length", 0.003, 0.002, 0.009, 0.0005),
        Slider("height", "height of the rib", "length", 0.003, 0.001, 0.006, 0.0005),
        Slider("width", "width of the rib", "length", 0.010, 0.002, 0.060, 0.001),
    ),
)


# ------------------------------------------------------------------ heat through a face

_ROOM = 23.0  # degC
_SCREEN = 232.0  # degC
_PUBLISHED = 7.0 + 15.6  # W/m2/K; published: Incropera & DeWitt, example 9.2: 7.0 by air, 15.6 by radiation


def _exchange(units: str) -> Figure:
    def coefficient(surface: np.ndarray) -> np.ndarray:
        return _heat.exchange_coefficient(surface, _ROOM, KILN.film, KILN.emissivity)

    temperature = np.linspace(20.0, 600.0, 59)
    return uneven.exchange(
        temperature=temperature,
        coefficient=coefficient(temperature),
        at=_SCREEN,
        computed=float(coefficient(np.array([_SCREEN]))[0]),
        published=_PUBLISHED,
        units=units,
    )


exchange = Panel(
    "How much heat passes through a face, for each degree between it and its surroundings?", _exchange, ()
)
