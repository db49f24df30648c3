"""When a kiln does what: each segment of a schedule by the clock, as far as the kiln can follow it."""

from dataclasses import dataclass, replace

from kilncalc._heat import air_legs
from kilncalc.firing import Kiln
from kilncalc.schedule import Schedule


@dataclass(frozen=True)
class Turn:
    """One segment of a schedule by the clock, counted from the start of the firing.

    Attributes
    ----------
    begins : float
        When the kiln sets out for the target [s].
    arrives : float
        When its air is there [s].
    ends : float
        When the hold is over [s].
    """

    begins: float
    arrives: float
    ends: float


def turns(schedule: Schedule, kiln: Kiln) -> tuple[Turn, ...]:
    """Return when the kiln sets out, arrives and has held, for each segment.

    A change takes |dT| / rate, or longer: the air rises no faster than the kiln's fastest rate and falls no
    faster than (T - room)/cooling_time. A hold begins when the air has arrived.

    Parameters
    ----------
    schedule : Schedule
        The schedule.
    kiln : Kiln
        The kiln, with its fastest heating [degC/h] and its cooling time [s].

    Returns
    -------
    tuple of Turn
        One for each segment [s].

    Notes
    -----
    The controller waits for the kiln: one that does not goes on by its own clock, and is early.

    Examples
    --------
    >>> from kilncalc.schedule import Segment
    >>> up = Schedule((Segment(150, 545, 30), Segment(100, 20)))
    >>> [(one.arrives / 3600, one.ends / 3600) for one in turns(up, Kiln())]
    [(3.5, 4.0), (9.25, 9.25)]
    """
    found: list[Turn] = []
    begins = 0.0
    for count, segment in enumerate(schedule.segments, 1):
        so_far = replace(schedule, segments=schedule.segments[:count])
        legs, _, _ = air_legs(so_far, kiln.room, kiln.fastest_heating, kiln.cooling_time)
        ends = float(sum(leg.duration for leg in legs))
        found.append(Turn(begins, ends - 60.0 * segment.hold_min, ends))
        begins = ends
    return tuple(found)
