"""What a whole firing says: when the glass is pulled most, what stays, where the hours go; two compared."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kilncalc import writing
from kilncalc._ranges import scalar_in_range
from kilncalc.error_bars import Bar, error_bars
from kilncalc.firing import SMALL_BRICK_KILN, Firing, Kiln, WorstMoment, fire
from kilncalc.materials import ALLOWED_RESIDUAL, ALLOWED_TENSION, Glass
from kilncalc.piece import Piece, Zone
from kilncalc.schedule import Schedule, Segment

EVEN_WITHIN = 2.5
"""Glass counts as even when no two places of it differ by more [K]."""


@dataclass(frozen=True)
class Pull:
    """A firing's tension in time, an uneven kiln included, and the moment at which it is largest.

    Attributes
    ----------
    firing : Firing
        The firing.
    allowed_tension, allowed_residual : float
        The limits for what passes and for what stays [Pa].
    """

    firing: Firing
    allowed_tension: float
    allowed_residual: float

    @cached_property
    def tension(self) -> np.ndarray:
        """The largest tension, what an uneven kiln adds included (time) [Pa]."""
        return self.firing.tension + self.firing.uneven_tension

    @cached_property
    def _worst(self) -> WorstMoment | None:
        """The worst moment of the thickness alone where it exceeds every step's sum: between two steps, when
        glass passes its strain point, or what stays in the cold piece."""
        moment = self.firing.worst_moment()
        return moment if moment.tension > self.tension.max() else None

    @property
    def most(self) -> float:
        """The largest of it [Pa], as `Firing.peak_with_unevenness` of both phases."""
        return self._worst.tension if self._worst else float(self.tension.max())

    @property
    def after(self) -> float:
        """How long after the start that is [s]."""
        return self._worst.time if self._worst else float(self.firing.time[self.tension.argmax()])

    @property
    def at(self) -> float:
        """What the kiln shows then [degC]."""
        return self._worst.air if self._worst else float(self.firing.air[self.tension.argmax()])

    @property
    def heating(self) -> bool:
        """Whether that is on the way up."""
        return self.after <= self.firing.heating_end * (1 + 1e-9)

    @property
    def by_thickness(self) -> float:
        """The share of it that the thickness makes; the rest is the uneven kiln's [-]."""
        if self._worst or self.most <= 0:
            return 1.0 if self._worst else 0.0
        return float(self.firing.tension[self.tension.argmax()] / self.most)

    @property
    def stays(self) -> float:
        """The largest tension that stays in the cold piece [Pa]."""
        return max(float(self.firing.residual.max()), 0.0)

    @property
    def duration(self) -> float:
        """How long the firing takes [s]."""
        return float(self.firing.time[-1])


# ------------------------------------------------------------------ one even piece, fused flat


@dataclass(frozen=True)
class WholeFiring:
    """An even piece fused flat on a shelf.

    Attributes
    ----------
    pull : Pull
        Its tension in time.
    strain_point, annealing_point : float
        Of its glass [degC].
    energy : float
        Heat that glass and shelf take up [J].
    likely, likely_stays : Bar
        Between what the largest tension and what stays probably lie [Pa].
    even_after : float
        How long after the hold at the annealing point has begun the glass is even, within `EVEN_WITHIN` [s];
        infinite if the hold is too short for that.
    """

    pull: Pull
    strain_point: float
    annealing_point: float
    energy: float
    likely: Bar
    likely_stays: Bar
    even_after: float


def flat_fuse(heating: float, soak: float, cooling: float, glass: Glass) -> Schedule:
    """Return a full fuse: heat, fuse, fall to the annealing point, hold, cool slowly, let the kiln cool.

    Parameters
    ----------
    heating : float
        First rate of heating [degC/h], > 0, at most 100000.
    soak : float
        Hold at the annealing point [s], 0 to 1e6.
    cooling : float
        Rate from there to 100 K below the strain point [degC/h], > 0, at most 100000.
    glass : Glass
        The glass.

    Returns
    -------
    Schedule
        Five segments.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> len(flat_fuse(150, 3600, 60, glass("float")).segments)
    5
    """
    hold = scalar_in_range("soak", soak, "s", 0.0, 1e6)
    return Schedule(
        (
            Segment(heating, 620, 20),
            Segment(300, writing.PROCESSES["full fuse"].temperature(glass), 10),
            Segment(None, glass.annealing_point, hold / 60),
            Segment(cooling, glass.strain_point - 100),
            Segment(None, 40),
        )
    )


def whole_firing(
    thickness: float,
    heating: float,
    soak: float,
    cooling: float,
    glass: Glass,
    area: float,
    kiln: Kiln = SMALL_BRICK_KILN,
    allowed_tension: float = ALLOWED_TENSION,
    allowed_residual: float = ALLOWED_RESIDUAL,
) -> WholeFiring:
    """Return an even piece that is fused flat by `flat_fuse`.

    The tension is that of the thickness and, beside it, what an uneven kiln adds,
    E alpha u |T_air - T_mean|/2.

    Parameters
    ----------
    thickness : float
        Of the piece [m], 0.2e-3 to 0.15.
    heating : float
        First rate of heating [degC/h], > 0, at most 100000.
    soak : float
        Hold at the annealing point [s], 0 to 1e6.
    cooling : float
        Rate from there to 100 K below the strain point [degC/h], > 0, at most 100000.
    glass : Glass
        The glass.
    area : float
        Of the piece [m2], > 0, at most 100.
    kiln : Kiln
        Where.
    allowed_tension, allowed_residual : float
        The limits for what passes and for what stays [Pa], 0.01e6 to 50e6.

    Returns
    -------
    WholeFiring
        The firing and what it says.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    The two tensions need not sit in the same place: their sum is on the safe side. The kiln's walls take up
    several times the heat that glass and shelf do.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> fused = whole_firing(0.012, 150, 3600, 60, glass("float"), 0.0432)
    >>> 5 < fused.even_after / 60 < 15
    True
    """
    schedule = flat_fuse(heating, soak, cooling, glass)
    bars = error_bars(schedule, Piece(glass, (Zone(thickness, 1.0),)), kiln)
    firing = bars.firing
    pull = Pull(
        firing,
        scalar_in_range("allowed_tension", allowed_tension, "Pa", 0.01e6, 50e6),
        scalar_in_range("allowed_residual", allowed_residual, "Pa", 0.01e6, 50e6),
    )
    return WholeFiring(
        pull=pull,
        strain_point=glass.strain_point,
        annealing_point=glass.annealing_point,
        energy=firing.energy(area),
        likely=max(bars.heating, bars.cooling, key=lambda bar: bar.value),
        likely_stays=bars.residual,
        even_after=_even_after(firing, glass.annealing_point),
    )


def _even_after(firing: Firing, held_at: float) -> float:
    """Return how long into the hold on the way down the glass is even [s], infinite if it never is."""
    down = firing.time > firing.heating_end
    held = np.flatnonzero(down & np.isclose(firing.air, held_at, rtol=0, atol=1e-6))
    time = firing.time[held] - firing.time[held[0]]
    uneven = np.log(np.ptp(firing.temperature[held], axis=(1, 2)) / EVEN_WITHIN)
    above = np.flatnonzero(uneven > 0)
    if not above.size:
        return 0.0
    last = int(above[-1])
    if last + 1 == held.size:
        return np.inf
    part = uneven[last] / (uneven[last] - uneven[last + 1])
    return float(time[last] + part * (time[last + 1] - time[last]))


# ------------------------------------------------------------------ a rule of thumb beside a written schedule


@dataclass(frozen=True)
class TwoSchedules:
    """One piece fired by the rule "as if twice as thick" and by the schedule written for it.

    Attributes
    ----------
    name : str
        What the piece is called.
    rule, ours : Pull
        The piece fired both ways.
    likely, likely_stays : Bar
        Between what the tension and what stays probably lie with the schedule written for it [Pa].
    """

    name: str
    rule: Pull
    ours: Pull
    likely: Bar
    likely_stays: Bar

    @property
    def likely_by_rule(self) -> Bar:
        """Between what the tension probably lies by the rule [Pa], as far apart as by our schedule."""
        return self.likely.about(self.rule.most)

    @property
    def likely_to_stay_by_rule(self) -> Bar:
        """Between what stays probably lies by the rule [Pa], as far apart as by our schedule."""
        return self.likely_stays.about(self.rule.stays)


def beside_the_rule(
    name: str,
    piece: Piece,
    process: str,
    kiln: Kiln = SMALL_BRICK_KILN,
    allowed_tension: float = ALLOWED_TENSION,
    allowed_residual: float = ALLOWED_RESIDUAL,
) -> TwoSchedules:
    """Return a piece fired "as if twice as thick", and by the schedule written for it.

    The rule is taken at its word: the schedule of an even piece of twice the largest thickness, then fired
    with the real piece.

    Parameters
    ----------
    name : str
        What the piece is called.
    piece : Piece
        The piece, solid.
    process : str
        A name in `writing.PROCESSES`.
    kiln : Kiln
        Where.
    allowed_tension, allowed_residual : float
        The limits for what passes and for what stays [Pa], 0.1e6 to 50e6, 0.01e6 to 50e6.

    Returns
    -------
    TwoSchedules
        Both firings and what they say.

    Raises
    ------
    ValueError
        As `writing.write_schedule`.

    Notes
    -----
    The rule is common practice, no source. About half a second.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> even = Piece(glass("lamp soda-lime"), (Zone(0.006, 1.0),))
    >>> both = beside_the_rule("even", even, "tack fuse")
    >>> both.rule.duration > both.ours.duration
    True
    """
    rule = writing.write_schedule(
        writing.twice_as_thick(piece), process, kiln, allowed_tension, allowed_residual
    )
    ours = writing.write_schedule(piece, process, kiln, allowed_tension, allowed_residual)
    bars = error_bars(ours, piece, kiln)
    return TwoSchedules(
        name,
        Pull(fire(rule, piece, kiln), allowed_tension, allowed_residual),
        Pull(bars.firing, allowed_tension, allowed_residual),
        max(bars.heating, bars.cooling, key=lambda bar: bar.value),
        bars.residual,
    )
