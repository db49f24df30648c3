"""The panels of lesson 4, schedules."""

from functools import lru_cache

import numpy as np
import pandas as pd

from kilncalc import annealing, materials
from kilncalc.figures import cracks, slab
from kilncalc.figures import schedule as pictures
from kilncalc.figures.style import Figure
from kilncalc.firing import SMALL_BRICK_KILN, Firing, fire
from kilncalc.panels._old import old_panel as Panel
from kilncalc.panels._old import old_slider as Slider
from kilncalc.panels._panel import Choice
from kilncalc.piece import Piece, Zone
from kilncalc.quantities import as_text
from kilncalc.schedule import Schedule, Segment

GLASS = materials.glass("kiln glass A")
ALLOWED_TENSION = 3.5e6  # Pa, temporary stress; published: EN 16612, 45 x 0.29 x 0.8 x 0.6 / 1.8 = 3.48 MPa
ALLOWED_RESIDUAL = 0.5e6  # Pa, what may stay; common practice, no source

HEATING, COOLING = "heated from room", "cooled to room"
_COLD_ENOUGH = 350.0  # degC, below which the glass only stretches and no longer flows
_THICKEST, _FASTEST = 0.025, 300.0


def _steadily(
    thickness: float, rate: float, direction: str, fineness: int = 1
) -> tuple[np.ndarray, np.ndarray]:
    """Return temperature [degC] and stress [Pa] through a slab in the open when it is pulled most."""
    heating = direction == HEATING
    schedule = (
        Schedule((Segment(rate, _COLD_ENOUGH),)) if heating else Schedule((Segment(rate, 20),), _COLD_ENOUGH)
    )
    firing = fire(schedule, Piece(GLASS, (Zone(thickness, 1.0),), support="open"), fineness=fineness)
    moment = int(firing.tension.argmax())
    return firing.temperature[moment, 0], firing.stress[moment, 0]


@lru_cache
def _largest() -> tuple[float, float]:
    """Return how far the axes must reach: temperature difference [K] and stress [Pa] at the sliders' ends."""
    temperature, stress = _steadily(_THICKEST, _FASTEST, HEATING)
    return 0.75 * float(np.ptp(temperature)), 1.05 * float(np.abs(stress).max())


def _one_slab(thickness: float, rate: float, direction: str, units: str) -> Figure:
    temperature, stress = _steadily(thickness, rate, direction)
    difference, most = _largest()
    return slab.through_the_thickness(
        height=np.linspace(0, 1, stress.size),
        temperature=temperature,
        stress=stress,
        tension=float(stress.max()),
        allowed=ALLOWED_TENSION,
        rate_at_limit=rate * ALLOWED_TENSION / float(stress.max()),
        largest_difference=difference,
        largest_stress=most,
        heating=direction == HEATING,
        units=units,
    )


one_slab = Panel(
    "How far is the middle of a slab behind, and what does that pull?",
    _one_slab,
    (
        Slider("thickness", "thickness of the slab", "length", 0.019, 0.003, _THICKEST, 0.0005),
        Slider("rate", "rate of the kiln", "rate", 150.0, 20.0, _FASTEST, 5.0),
        Choice("direction", "the slab is", (HEATING, COOLING), HEATING),
    ),
)


def _neutral_depth(units: str) -> Figure:
    thickness, rate = 0.012, 150.0
    temperature, stress = _steadily(thickness, rate, HEATING, fineness=6)
    height = np.linspace(0, 1, stress.size)
    formula = annealing.slab_stress(rate, thickness / 2, GLASS, temperature=float(temperature.mean()))
    rising = height < 0.5
    return slab.neutral_depth(
        height=height,
        stress=stress,
        closed_form=formula.at(2 * height - 1),
        computed=float(np.interp(0.0, stress[rising], height[rising])),
        published=0.211,
        units=units,
    )


neutral_depth = Panel(
    "How deep below its face does a heated slab change from pressed to pulled?", _neutral_depth, ()
)


TRAY = 0.240 * 0.180  # m2, the relief tray's area
_LONGEST_FIRING = 36 * 3600.0  # s, at the sliders' slow ends
_MOST_TENSION = 9e6  # Pa, top of the axis


def programme(heating: float, soak: float, cooling: float) -> Schedule:
    """Return a full fuse: heat, fuse, fall to the annealing point, soak, cool slowly, let the kiln cool."""
    return Schedule(
        (
            Segment(heating, 620, 20),
            Segment(300, 790, 10),
            Segment(None, GLASS.annealing_point, soak / 60),
            Segment(cooling, GLASS.strain_point - 100),
            Segment(None, 40),
        )
    )


def _whole_firing(thickness: float, heating: float, soak: float, cooling: float, units: str) -> Figure:
    firing = fire(programme(heating, soak, cooling), Piece(GLASS, (Zone(thickness, 1.0),)), SMALL_BRICK_KILN)
    return pictures.firing_in_time(
        firing,
        allowed=ALLOWED_TENSION,
        allowed_residual=ALLOWED_RESIDUAL,
        energy=firing.energy(TRAY),
        setting=(GLASS.strain_point, GLASS.annealing_point),
        longest=_LONGEST_FIRING,
        most_tension=_MOST_TENSION,
        units=units,
    )


whole_firing = Panel(
    "When is the glass pulled most, and where do the hours go?",
    _whole_firing,
    (
        Slider("thickness", "thickness of the piece", "length", 0.012, 0.003, 0.025, 0.0005),
        Slider("heating", "first heating", "rate", 150.0, 50.0, 300.0, 10.0),
        Slider("soak", "hold at annealing", "time", 3600.0, 1800.0, 10800.0, 300.0),
        Slider("cooling", "cooling from the hold", "rate", 60.0, 15.0, 200.0, 5.0),
    ),
)


def _it_broke(units: str) -> Figure:
    return cracks.four_breaks()


it_broke = Panel("It broke: what do the edges of the crack say?", _it_broke, ())


PIECES = {
    "even, 6 mm": Piece(GLASS, (Zone(0.006, 1.0),)),
    "even, 19 mm": Piece(GLASS, (Zone(0.019, 1.0),)),
    "6 mm, ribs 3 mm high, 10 mm wide": Piece(
        GLASS, (Zone(0.006, 0.75), Zone(0.009, 0.25, feature_width=0.010))
    ),
    "3 mm, ribs 3 mm high, 10 mm wide": Piece(
        GLASS, (Zone(0.003, 0.75), Zone(0.006, 0.25, feature_width=0.010))
    ),
    "3 mm, wide parts 3 mm higher": Piece(GLASS, (Zone(0.003, 0.67), Zone(0.006, 0.33))),
}
"""Five pieces of one glass on a shelf, all solid, as in any firing but the first."""

_RULE_LONGEST = 54 * 3600.0  # s
_RULE_MOST_TENSION = 13e6  # Pa


def rule_beside_ours(units: str) -> pd.DataFrame:
    """Return what "as if twice as thick" and our schedules do to the five pieces, in words to read."""
    numbers = annealing.compare_with_rule(PIECES, "tack fuse", SMALL_BRICK_KILN)
    return pd.DataFrame(
        {
            f"{title}, {whose}": [
                f"{value:.0f} h" if what == "h" else as_text(float(f"{value:.2g}"), "pressure", units)
                for value in numbers[f"{column}_{what}"]
            ]
            for title, what in (("time", "h"), ("pulled by", "tension_Pa"), ("stays", "residual_Pa"))
            for whose, column in (("rule", "rule"), ("ours", "ours"))
        },
        index=numbers.index,
    )


@lru_cache
def _both_ways(name: str) -> tuple[Firing, Firing]:
    """Return one of the pieces fired by the rule and by the schedule written for it."""
    piece = PIECES[name]
    rule, ours = (
        annealing.write_schedule(model, "tack fuse", SMALL_BRICK_KILN)
        for model in (annealing.twice_as_thick(piece), piece)
    )
    return fire(rule, piece, SMALL_BRICK_KILN), fire(ours, piece, SMALL_BRICK_KILN)


def _twice_as_thick(name: str, units: str) -> Figure:
    rule, ours = _both_ways(name)
    return pictures.two_schedules(
        rule,
        ours,
        allowed=ALLOWED_TENSION,
        longest=_RULE_LONGEST,
        most_tension=_RULE_MOST_TENSION,
        units=units,
    )


twice_as_thick = Panel(
    "“Fire it as if it were twice as thick”: is that enough, or too much?",
    _twice_as_thick,
    (Choice("name", "the piece", tuple(PIECES), "3 mm, wide parts 3 mm higher"),),
)
