"""The panels of a class's six firings read back; they stand in lesson 6."""

from functools import lru_cache

from kilncalc import read_back as calculation
from kilncalc.figures import firing_log as pictures
from kilncalc.panels._panel import Choice, Panel, Rail, Slider

FIRINGS = {f"{firing.name}: {firing.what}": firing for firing in calculation.class_firings()}


@lru_cache(maxsize=50)
def _read_back(firing: str, low: float) -> calculation.ReadBack:
    one = FIRINGS[firing]
    return calculation.read_back(one.log, one.plan, one.piece, one.kiln, sensor_error=low)


_FIRING = Choice("firing", "firing", tuple(FIRINGS), next(iter(FIRINGS)))

logs = Panel(
    "Six firings and their logs: which two went wrong, and in which segment?",
    lambda firing: _read_back(firing, 0.0),
    pictures.log_over_plan,
    (_FIRING,),
)

read_back = Panel(
    "What did the kiln do, what did the glass feel, and what do you set differently next time?",
    _read_back,
    pictures.read_back,
    (
        _FIRING,
        Slider(
            "low",
            "its sensor reads low by",
            "temperature_difference",
            Rail("°C", 0, 0, 40, 5),
            Rail("°F", 0, 0, 72, 9),
        ),
    ),
)
