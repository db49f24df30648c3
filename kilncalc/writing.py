"""A schedule written for a piece: the fastest that keeps two limits, and whether any schedule keeps them.

`write_schedule` fires the piece in the model of `kilncalc.firing` again and again.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property, partial
from itertools import product
from typing import Any, Literal

import numpy as np

from kilncalc import forming
from kilncalc._heat import air_legs, exchange_coefficient
from kilncalc._ranges import scalar_in_range
from kilncalc._stress import Bodies, Nodes
from kilncalc.firing import Firing, Kiln, coldest_glass, fire
from kilncalc.materials import ALLOWED_RESIDUAL, ALLOWED_TENSION, Glass
from kilncalc.piece import Piece, ReliefMap, Zone
from kilncalc.quantities import Units, as_text, read, to_unit
from kilncalc.relief import MapFiring
from kilncalc.schedule import UNLIMITED_RATE, Schedule, Segment, degrees_per_second

Controller = Literal["degC", "degF"]

_KILN = Kiln()
_SYMBOLS = {"degC": ("C", "C/h"), "degF": ("F", "F/h")}


# ------------------------------------------------------------------ what a firing is for


@dataclass(frozen=True)
class Process:
    """What a firing is for: how soft the glass must get, for how long, and what comes before.

    Parameters
    ----------
    name : str
        What it is called.
    stiffest, softest : float
        log10(viscosity/Pa.s) at the cold and at the hot end of its range [-], 3 to 9.
    hold_min : float or None
        How long the glass stays there once it has got there [min], > 0. None: as long as the fluidity of
        `forming.FLUIDITY_OF` takes, less what the ways up and down count.
    burn_off : bool
        Whether binder or glue has to burn away first.
    air_release : bool
        Whether air has to leave from between sheets.
    result : str
        What happens in the hold, in words.

    Notes
    -----
    Own choices from the usual temperatures of the trade; common practice, no source. Look and adjust.
    Slump and drape are so cool that a climb at 200 degC/h counts a fifth of the time that the form takes: the
    hold decides, and can be stopped. 15 K hotter it counts nearly half. Drape and bond takes ten times the
    fluidity, and is hotter so that its hold stays under half an hour. A tack fuse takes twenty times the
    fluidity of a slump, though grains stick in either: it is for rounding edges, to about fluidity times
    surface tension, 0.65 mm, while a sheet of 3 mm stays a sheet; grains of 1.5 mm radius get necks of 0.8.
    """

    name: str
    stiffest: float
    softest: float
    hold_min: float | None
    burn_off: bool
    air_release: bool
    result: str

    def temperature(self, glass: Glass) -> float:
        """Return where a glass has the middle viscosity of the process, in fives of °C where they fit.

        Parameters
        ----------
        glass : Glass
            The glass.

        Returns
        -------
        float
            Temperature [degC].

        Raises
        ------
        ValueError
            If the viscosity of the glass is not known there.
        """
        exact = glass.temperature_at((self.stiffest + self.softest) / 2)
        fives = 5.0 * round(exact / 5)
        fits = glass.temperature_at(self.stiffest) <= fives <= glass.temperature_at(self.softest)
        return fives if fits else float(round(exact))


PROCESSES = {
    process.name: process
    for process in (
        Process("slump", 7.5, 7.0, None, False, False, "the sheet sinks into its mould without marking"),
        Process("drape", 7.5, 7.0, None, True, False, "the sheet folds down over its former"),
        Process(
            "drape and bond", 6.2, 5.6, None, True, True, "the sheet folds down and bonds where it touches"
        ),
        Process("fire polish", 5.9, 5.6, 6, False, False, "the skin flows and gets glossy, the shape stays"),
        Process("tack fuse", 5.6, 5.3, 10, True, True, "pieces stick, edges round, the relief stays"),
        Process("contour fuse", 5.2, 5.0, 12, True, True, "the relief softens to low hills"),
        Process("full fuse", 4.8, 4.7, 15, True, True, "everything flows into one flat sheet"),
        Process("kiln casting", 4.6, 4.1, 60, True, False, "the glass runs down and fills the mould"),
    )
}
"""The processes by name, from the stiffest glass to the softest."""

_AIR_RELEASE = 7.6  # log10(viscosity/Pa.s): sheets sag together slowly, and their rims are not sealed yet
_AIR_RELEASE_MIN = 20.0
_BURN_OFF_BELOW = 75.0  # K below the strain point: hot enough for binder and glue, far too cold to seal
_BURN_OFF_MIN = 25.0
_CAUGHT_UP = 5.0  # K: the coldest glass counts as having arrived
_SPLIT = 0.65  # share of the strain point at which the rate of heating may change
_SET = 100.0  # K below the strain point: the slow cooling goes on to here
_LAST_TO_FIRST = 8.0  # largest ratio of the last rate of cooling to the first: more saves no time
_WORST_OF_HEATING = 150.0  # degC, about where the tension of heating is largest
_OPEN_AT = 40.0  # degC: the kiln may be opened
_NEARLY_OPEN = 5.0  # K: a rate is kept at most to here above the temperature at which the kiln is opened
_EVEN_STRESS, _EVEN_STRUCTURE = 0.05, 2.5  # a soak is long enough: share of allowed_tension; |Tf - T| [K]
_SHORTEST_SOAK = 30.0  # min
_LONGEST_WAIT = 1e5  # min, for finding out how long a hold must be
_SLOWEST = 0.1  # degC/h
_POWER = 0.82  # of the rate, by which a tension grows, before it has been measured
_CRYSTALS, _CRYSTALS_MIN = 780.0, 30.0  # degC, min: a longer hold above it may grow a skin of crystals
_FOR_GLASS = 950.0  # degC to which many kilns for glass are built (common practice, no source)

CEILING_SOLID, CEILING_LOOSE = 240.0, 300.0
"""The fastest first heating of practice [degC/h], whatever the model allows, of one solid piece and of loose
sheets: uneven kilns, sheets that stick, the shelf. Own choice near common practice, no source."""

CEILING_AIR = 100.0
"""The fastest climb through the release of air from between sheets [degC/h]; own choice, no source."""

CEILING_ANNEAL = 150.0
"""The fastest cooling from the hold to 100 K below the strain point [degC/h], however thin the glass: faster,
an uneven kiln decides what stays. Own choice, no source."""

RESIDUALS = {"fine": 1 / 14, "sound": 1 / 7, "quick": 2 / 7}
"""What may stay, by name, as a share of the strength for good (`ALLOWED_TENSION`): 0.25, 0.5 and 1 MPa. Own
choice of margins, no source: 6/7 of the strength are left for use with "sound"."""


# ------------------------------------------------------------------ is a schedule good enough?


@dataclass(frozen=True)
class Check:
    """Whether a schedule keeps its limits.

    Parameters
    ----------
    heating, cooling : float
        The largest tension of each phase, the tension of an uneven kiln included [Pa], > 0.
    residual : float
        The tension that stays [Pa], > 0.
    allowed_tension, allowed_residual : float
        The limits [Pa], > 0.
    firing : Firing or MapFiring
        The firing behind it.

    Notes
    -----
    A schedule that ends hot is never good enough: what the rest of the way down does is not known.
    """

    heating: float
    cooling: float
    residual: float
    allowed_tension: float
    allowed_residual: float
    firing: Firing | MapFiring

    @property
    def load(self) -> float:
        """The largest of the three as a share of its limit [-].

        The schedule is good enough up to 1. One that ends hot has no share: infinite.
        """
        if self.firing.ends_hot:
            return math.inf
        largest = max(self.heating, self.cooling) / self.allowed_tension
        return max(largest, self.residual / self.allowed_residual)

    def words(self, units: Units = "metric") -> str:
        """Return it as a sentence: how much of each limit is used.

        Parameters
        ----------
        units : str
            "metric", "inches" or "both".

        Returns
        -------
        str
            The sentence.
        """

        def text(pressure: float) -> str:
            return as_text(pressure, "pressure", units)

        verdict = "keeps its limits" if self.load <= 1 else "does not keep its limits"
        if self.firing.ends_hot:
            return "This cannot be passed. " + " ".join(self.firing.warnings(units))
        return (
            f"Fired in the model, it {verdict}: {text(self.heating)} while heating and "
            f"{text(self.cooling)} while cooling, an uneven kiln included, of {text(self.allowed_tension)}; "
            f"{text(self.residual)} stays, of {text(self.allowed_residual)}."
        )


def check_schedule(
    schedule: Schedule,
    piece: Piece,
    kiln: Kiln = _KILN,
    allowed_tension: float = ALLOWED_TENSION,
    allowed_residual: float | str = ALLOWED_RESIDUAL,
) -> Check:
    """Return whether a schedule keeps the two limits for a piece: one `fire`, read.

    Parameters
    ----------
    schedule : Schedule
        Any schedule.
    piece : Piece
        What is fired.
    kiln : Kiln
        Where.
    allowed_tension : float
        Limit for the tension at any time [Pa], 0.1e6 to 50e6, in glass below its strain point.
    allowed_residual : float or str
        Limit for the tension that stays [Pa], 0.01e6 to 50e6, or its name in `RESIDUALS`.

    Returns
    -------
    Check
        Largest tensions and limits.

    Raises
    ------
    ValueError
        If a limit is outside its range.

    Notes
    -----
    3.5 MPa: EN 16612 gives 45 x 0.29 x 0.8 x 0.6/1.8 = 3.48 MPa for a lasting load on an abraded edge; for
    a pull of hours `annealing.tension_for` gives more. Of a thickness map the averaged tensions count. A
    prediction is an aid to judgement: a polariscope and a test firing decide.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> plate = Piece(glass("float"), [Zone(0.006, 1.0)])
    >>> quick = Schedule([Segment(150, 560, 30), Segment(600, 20)])
    >>> check_schedule(quick, plate).load > 1
    True
    """
    tension, residual = _limits(allowed_tension, allowed_residual)
    firing: Any = fire(schedule, piece, kiln)
    of_map = isinstance(piece.body, ReliefMap)
    return Check(
        heating=firing.peak_with_unevenness("heating"),
        cooling=firing.peak_with_unevenness("cooling"),
        residual=firing.averaged_residual if of_map else max(float(firing.residual.max()), 0.0),
        allowed_tension=tension,
        allowed_residual=residual,
        firing=firing,
    )


def _limits(allowed_tension: float, allowed_residual: float | str) -> tuple[float, float]:
    if isinstance(allowed_residual, str):
        if allowed_residual not in RESIDUALS:
            names = ", ".join(f'"{name}"' for name in RESIDUALS)
            raise ValueError(
                f"allowed_residual is {allowed_residual!r}; there are {names}, or a stress in Pa"
            )
        allowed_residual = RESIDUALS[allowed_residual] * ALLOWED_TENSION
    return (
        scalar_in_range("allowed_tension", allowed_tension, "Pa", 0.1e6, 50e6),
        scalar_in_range("allowed_residual", allowed_residual, "Pa", 0.01e6, 50e6),
    )


# ------------------------------------------------------------------ a schedule for a piece


def write_schedule(
    piece: Piece,
    process: str,
    kiln: Kiln = _KILN,
    allowed_tension: float = ALLOWED_TENSION,
    allowed_residual: float | str = ALLOWED_RESIDUAL,
    segments: int = 8,
    controller: Controller = "degC",
    ceiling: float | None = None,
    fluidity: float | None = None,
    progress: Callable[[float], None] | None = None,
) -> Schedule:
    """Return the fastest schedule that keeps two limits, as a controller takes it, with its reasons.

    Heating: the largest rates with a tension up to `allowed_tension`, an uneven kiln included, and up to a
    ceiling of practice. Process: by the viscosity of the glass. Soak: twice the time in which temperature
    and structure become even. Cooling: from the annealing point to 100 K below the strain point at one rate,
    the largest that leaves `allowed_residual`; then the largest with a tension up to `allowed_tension`,
    until the kiln by itself is no faster.

    Parameters
    ----------
    piece : Piece
        What is fired; `loose` for a first firing of sheets that lie on each other. For a thickness map, which
        takes half a minute, rates are found with its thinnest, commonest and thickest part as zones, and
        corrected by what the map is pulled: its largest share of a limit ends between 0.85 and 1, or the
        last reason says what else sets the rates.
    process : str
        "tack fuse", "contour fuse", "full fuse", "slump", "drape", "drape and bond", "fire polish" or
        "kiln casting".
    kiln : Kiln
        Where.
    allowed_tension : float
        Limit for the tension at any time [Pa], 0.1e6 to 50e6, in glass below its strain point.
    allowed_residual : float or str
        Limit for the tension that stays [Pa], 0.01e6 to 50e6, or its name in `RESIDUALS`.
    segments : int
        How many segments the controller holds [-], 4 to 1000; where it must, the schedule joins those that
        cost least time.
    controller : str
        What the controller counts in, "degC" or "degF": rates and temperatures are whole numbers of it, fives
        where that costs next to nothing.
    ceiling : float or None
        The fastest heating up to the process [degC/h], > 0, at most 100000. None: `CEILING_SOLID` or
        `CEILING_LOOSE`.
    fluidity : float or None
        What a slump or drape asks for [1/Pa], 1e-9 to 1, as `forming.slump` and `forming.drape` compute it
        for a form. None: what is usual, `forming.FLUIDITY_OF`.
    progress : function or None
        For a thickness map: called with the share that is done at most [-], 0 to 1.

    Returns
    -------
    Schedule
        Segments with a `.reason` each. The whole was fired once in the model, and the reason of the last
        segment says what margin that left; `check_schedule` gives the numbers.

    Raises
    ------
    ValueError
        For an unknown process or controller, a number outside its range, too few segments, or limits that no
        rate of at least 0.1 degC/h keeps.

    Notes
    -----
    Two limits, because what is pulled for a while and what stays are different things: below the annealing
    point a fast stage may show little tension and leave much. One rate of slow cooling, because in the model
    a break in it saves less than 2 % of the time. That rate does not rest on the kiln: a kiln that follows it
    exactly leaves what is allowed, a slower one less. The model knows thickness, not drawing: a kiln's own
    programme, a new glass or a piece that matters is tested first. Hold times of the processes are those of
    `PROCESSES`, those of slump and drape follow from the fluidity.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> schedule = write_schedule(Piece(glass("lamp soda-lime"), [Zone(0.006, 1.0)]), "slump")
    >>> [segment.target for segment in schedule.segments]
    [515.0, 665.0, 515.0, 375.0, 45.0, 40.0]

    References
    ----------
    EN 16612 (limit of tension); Gardon & Narayanaswamy 1970, J. Am. Ceram. Soc. 53, 380 (what structure
    adds).
    """
    schedule, _ = write_and_check(
        piece,
        process,
        kiln,
        allowed_tension,
        allowed_residual,
        segments,
        controller,
        ceiling=ceiling,
        fluidity=fluidity,
        progress=progress,
    )
    return schedule


def write_and_check(
    piece: Piece,
    process: str,
    kiln: Kiln = _KILN,
    allowed_tension: float = ALLOWED_TENSION,
    allowed_residual: float | str = ALLOWED_RESIDUAL,
    segments: int = 8,
    controller: Controller = "degC",
    ceiling: float | None = None,
    fluidity: float | None = None,
    progress: Callable[[float], None] | None = None,
) -> tuple[Schedule, Check]:
    """Return `write_schedule` and the firing with which it was checked.

    Parameters
    ----------
    piece, process, kiln
        As `write_schedule`.
    allowed_tension : float
        Limit for the tension at any time [Pa], 0.1e6 to 50e6.
    allowed_residual : float or str
        Limit for the tension that stays [Pa], 0.01e6 to 50e6, or its name.
    segments : int
        How many the controller holds [-], 4 to 1000.
    controller : str
        "degC" or "degF".
    ceiling : float or None
        The fastest heating [degC/h], > 0, at most 100000.
    fluidity : float or None
        What a slump or drape asks for [1/Pa], 1e-9 to 1.
    progress : function or None
        For a thickness map: called with the share that is done at most [-], 0 to 1.

    Returns
    -------
    tuple of Schedule and Check
        The schedule, and what it does to the piece.

    Raises
    ------
    ValueError
        As `write_schedule`.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> schedule, check = write_and_check(Piece(glass("lamp soda-lime"), [Zone(0.006, 1.0)]), "slump")
    >>> 0.9 < check.load <= 1
    True
    """
    if not isinstance(piece, Piece):
        raise ValueError(f"piece must be a Piece, got {piece!r}")
    if not isinstance(kiln, Kiln):
        raise ValueError(f"kiln must be a Kiln, got {kiln!r}")
    if process not in PROCESSES:
        names = ", ".join(f'"{name}"' for name in PROCESSES)
        raise ValueError(f"there is no process called {process!r}; there are {names}")
    if controller not in _SYMBOLS:
        raise ValueError(f'controller must be "degC" or "degF", got {controller!r}')
    most = scalar_in_range("segments", segments, "segments", 4, 1000)
    tension, residual = _limits(allowed_tension, allowed_residual)
    if ceiling is None:
        ceiling = CEILING_LOOSE if piece.loose else CEILING_SOLID
    fastest = scalar_in_range("ceiling", ceiling, "degC/h", 0.0, 1e5, open_low=True)
    if kiln.fastest_heating is not None:
        fastest = min(fastest, kiln.fastest_heating)
    flow = forming.FLUIDITY_OF.get(process)
    if fluidity is not None:
        if flow is None:
            names = ", ".join(f'"{name}"' for name in forming.FLUIDITY_OF)
            raise ValueError(f"fluidity is for {names}; the hold of a {process} is that of PROCESSES")
        flow = scalar_in_range("fluidity", fluidity, "1/Pa", 1e-9, 1.0)
    write = partial(
        _Writer,
        process=PROCESSES[process],
        kiln=kiln,
        tension=tension,
        residual=residual,
        most=int(most),
        controller=controller,
        fastest=fastest,
        flow=flow,
    )
    if isinstance(piece.body, ReliefMap):
        return _write_for_map(piece, kiln, tension, residual, write, progress)
    schedule, check = write(piece).write()
    return _with_verdict(schedule, check.words("both")), check


@dataclass
class _Writer:
    """The work of `write_schedule`, stage by stage."""

    piece: Piece
    process: Process
    kiln: Kiln
    tension: float
    residual: float
    most: int
    controller: Controller
    fastest: float
    flow: float | None = None
    harder: tuple[float, ...] = (1.0, 1.0, 1.0)
    """How much harder than these zones the piece is pulled: heating, cooling, what stays."""

    def __post_init__(self) -> None:
        glass = self.piece.glass
        self.start = max(self.kiln.room, 0.0)
        self.split = self._fives(_SPLIT * glass.strain_point)
        self.burn_off = self._fives(glass.strain_point - _BURN_OFF_BELOW)
        self.annealing = self._fives(glass.annealing_point)
        self.release = self._fives(glass.temperature_at(_AIR_RELEASE))
        self.top = self._process_temperature()
        self.set_at = self._fives(glass.strain_point - _SET)
        self.end = self._whole(max(_OPEN_AT, self.kiln.room + 20.0))
        self.solid = replace(self.piece, loose=False)
        # a kiln that follows the programme: what stays must not rest on how slow a kiln is
        self.follows = replace(self.kiln, cooling_time=None)

    def write(self) -> tuple[Schedule, Check]:
        """Return the schedule, and the check of its zones."""
        one, two = self._heating_rates()
        rate, last = self._cooling_rates()
        held, soak = self._process_segments(), self._soak_segment()
        for _ in range(12):
            cooling = self._cool(rate, last)
            plans = [
                Schedule((*self._heat(rates, stop), *held, soak, *cooling), self.start)
                for rates in {(one, one), (one, two)}
                for stop in (True, False)
            ]
            fewest = min(len(plan.segments) for plan in plans)
            if fewest > self.most:
                raise ValueError(
                    f"segments is {self.most}: a {self.process.name} of this piece needs at least {fewest}. "
                    "Fire it in two programmes, or on a controller that holds more"
                )
            fitting = [plan for plan in plans if len(plan.segments) <= self.most]
            schedule = min(fitting, key=lambda plan: (round(self._hours(plan), 1), len(plan.segments)))
            check = check_schedule(schedule, self.piece, self.kiln, self.tension, self.residual)
            up, down, stays = (
                more * found
                for more, found in zip(
                    self.harder, (check.heating, check.cooling, check.residual), strict=True
                )
            )
            if max(up, down) <= self.tension and stays <= self.residual:
                return schedule, check
            if up > self.tension:
                one, two = self._slower(one), self._slower(two)
            if down > self.tension:
                last = self._slower(last)
            if stays > self.residual:
                rate = self._slower(rate)
        raise ValueError(f"no schedule was found that keeps the limits. {check.words()}")

    def _hours(self, schedule: Schedule) -> float:
        return _hours(schedule, self.kiln)

    # --- heating

    def _heat(self, rates: tuple[float, float], stop: bool) -> tuple[Segment, ...]:
        """Return the segments up to the release of air, or to the annealing point where none has to leave;
        with `stop` the glass is waited for at the annealing point, and the way from there is faster."""
        first, second = rates
        limit = f"tension stays below {_both(self.tension)}"
        steps: tuple[Segment, ...] = ()
        if first != second:
            steps += (Segment(first, self.split, 0, f"As fast as cold glass bears: {limit}."),)
        if self.process.burn_off:
            why = "Binder and glue burn away while the glass is solid: vent open, nobody in the fumes."
            steps += (Segment(second, self.burn_off, _BURN_OFF_MIN, why),)
        release = "Sheets sag together slowly, and air leaves before their rims close."
        climb = min(second, CEILING_AIR) if self.process.air_release else second
        if stop or not self.process.air_release:
            hold = self._hold_through(second)
            why = f"Past the strain point, below which glass can break: {limit}."
            if hold:
                why += f" {hold:g} min, so that the coldest glass passes it too."
            steps += (Segment(second, self.annealing, hold, why),)
            climb = self._down(CEILING_AIR)
        if self.process.air_release:
            minutes, why = self._waiting(self.annealing, self.release, _AIR_RELEASE_MIN, release)
            steps += (Segment(self._down(climb), self.release, minutes, why),)
        return steps

    def _heating_load(self, first: float, second: float, since: float = 0.0) -> float:
        """Return the largest tension while the air is hotter than `since` [degC], as a share of its limit."""
        steps = (Segment(first, self.split), Segment(second, self.annealing))
        firing = fire(Schedule(steps, self.start), self.piece, self.kiln)
        pulled = (firing.tension + firing.uneven_tension)[firing.air >= since]
        return self.harder[0] * float(pulled.max()) / self.tension

    def _heating_rates(self) -> tuple[float, float]:
        """Return the largest rate for the whole way, and the largest from `split` onwards after it."""
        guess = self._guess(_WORST_OF_HEATING, self.tension, self.kiln.unevenness)
        one = self._largest(lambda rate: self._heating_load(rate, rate), guess, self.fastest, "heated")
        if one >= 0.8 * self.fastest:
            return one, one
        two = self._largest(
            lambda rate: self._heating_load(one, rate, self.split), 1.6 * one, self.fastest, "heated"
        )
        return one, max(one, two)

    def _hold_through(self, rate: float) -> float:
        """Return the minutes at the annealing point until the coldest glass is past the strain point."""
        key = ("through", rate)
        if key not in self._known:
            waiting = Schedule((Segment(rate, self.annealing, _LONGEST_WAIT),), self.start)
            wait = self._wait(waiting, self.piece, self.annealing - self.piece.glass.strain_point)
            self._known[key] = _rounded_up(wait)
        return self._known[key]

    # --- the process

    def _process_temperature(self) -> float:
        glass = self.piece.glass
        a, b = self.process.stiffest, self.process.softest
        exact = glass.temperature_at((a + b) / 2)
        fives = self._fives(exact)
        fits = glass.temperature_at(a) <= fives <= glass.temperature_at(b)
        return fives if fits else self._whole(exact)

    def _process_segments(self) -> tuple[Segment, ...]:
        a, b = self.process.stiffest, self.process.softest
        name, result = self.process.name.capitalize(), self.process.result
        before = self.release if self.process.air_release else self.annealing
        why = f"{name}, at 10^{a:g} to 10^{b:g} Pa.s: {result}. Look, and adjust the hold."
        minutes, why = self._waiting(before, self.top, self._process_minutes(), why)
        if self.top > _CRYSTALS and minutes > _CRYSTALS_MIN:
            why += (
                " So long, this hot, glass may grow a skin of crystals: clean glass, no longer than needed."
            )
        if self.top > _FOR_GLASS:
            why += " Many kilns for glass are not built for such heat: see what yours and its shelf may."
        return (Segment(None, self.top, minutes, why),)

    def _process_minutes(self) -> float:
        """Return the hold of the process [min]; where its fluidity decides, way up and way down count too."""
        if self.process.hold_min is not None:
            return self.process.hold_min
        assert self.flow is not None
        glass, kiln = self.piece.glass, self.kiln
        up = down = UNLIMITED_RATE
        if kiln.fastest_heating is not None:
            up = min(up, kiln.fastest_heating)
        if kiln.cooling_time is not None:
            down = min(down, 3600 * (self.top - kiln.room) / kiln.cooling_time)
        ways = sum(forming.ramp_minutes(rate, self.top, glass) for rate in (up, down))
        return max(forming.hold_minutes(self.flow, self.top, glass) - ways, 1.0)

    def _waiting(self, before: float, target: float, minutes: float, why: str) -> tuple[float, str]:
        """Return the minutes of a hold that begins to count when the glass has arrived, and its reason."""
        key = ("waiting", target)
        if key not in self._known:
            waiting = Schedule((Segment(None, target, _LONGEST_WAIT),), before)
            self._known[key] = self._wait(waiting, self.solid, _CAUGHT_UP)
        lag = math.ceil(self._known[key])
        if lag >= 3:
            why += f" {lag} min of the hold wait for the middle of the glass."
        return float(math.ceil(lag + minutes)), why

    @cached_property
    def _known(self) -> dict[tuple[str, float], float]:
        return {}

    def _wait(self, waiting: Schedule, piece: Piece, close: float) -> float:
        """Return the minutes of the last hold until the coldest glass is this close to the kiln [K]."""
        time, air, coldest = coldest_glass(waiting, piece, self.kiln)
        return _minutes_of_hold(time, (air[-1] - coldest) / close)

    # --- the soak

    def _soak_segment(self) -> Segment:
        glass = self.piece.glass
        waiting = Schedule((Segment(None, self.annealing, _LONGEST_WAIT),), self.top)
        firing = fire(waiting, self.solid, self.kiln)
        temperature = firing.temperature.reshape(len(firing.time), -1)
        fictive = firing.fictive_temperature.reshape(len(firing.time), -1)
        strain = glass.expansion * temperature + (glass.expansion_liquid - glass.expansion) * fictive
        nodes = Nodes(self.solid, firing.temperature.shape[2])
        modulus = glass.youngs_modulus / (1 - glass.poissons_ratio)
        frozen = modulus * strain @ Bodies.solid(self.solid, nodes).elastic.T
        uneven = np.abs(frozen).max(axis=1) / (_EVEN_STRESS * self.tension)
        unsettled = np.abs(fictive - temperature).max(axis=1) / _EVEN_STRUCTURE
        minutes = 2 * _minutes_of_hold(firing.time, np.maximum(uneven, unsettled))
        why = (
            "Down as fast as the kiln does, past the heat in which crystals grow. The soak evens out glass "
            "and kiln; twice what the glass needs."
        )
        return Segment(None, self.annealing, max(_SHORTEST_SOAK, _rounded_up(minutes)), why)

    # --- cooling

    def _cool(self, rate: float, last: float) -> tuple[Segment, ...]:
        stays = f"what stays is below {_both(self.residual)}"
        pulls = f"tension stays below {_both(self.tension)}"
        steps: tuple[Segment, ...]
        steps = (Segment(rate, self.set_at, 0, f"The glass sets, and keeps the difference it has: {stays}."),)
        off = self._off_at(last)
        if off < self.set_at:
            steps += (Segment(last, off, 0, f"Set, but faster would still crack it: {pulls}."),)
        if self.kiln.cooling_time is None:
            assumed = f"At most {self._text(UNLIMITED_RATE, 'rate')} by itself"
        else:
            assumed = (
                f"Assumed: by itself the kiln takes {as_text(self.kiln.cooling_time, 'time')} or more for "
                "two thirds of the way to the room"
            )
        until = self._text(self.end, "temperature")
        return (*steps, Segment(None, self.end, 0, f"Off, closed until {until}. {assumed}."))

    def _off_at(self, last: float) -> float:
        """Return the temperature at which the kiln may be switched off: by itself it is no faster there."""
        if self.kiln.cooling_time is None:
            return self.set_at if last >= UNLIMITED_RATE else self._fives(self.end + _NEARLY_OPEN)
        slow_enough = self.kiln.room + last * self.kiln.cooling_time / 3600.0
        return min(self.set_at, max(self.end + _NEARLY_OPEN, self._fives(slow_enough - 2.5)))

    def _cooling_rates(self) -> tuple[float, float]:
        """Return the rate from the hold to where the glass is set, and that of the rest."""

        def cooled(rate: float, last: float) -> Firing:
            steps = (Segment(rate, self.set_at), Segment(last, self.end))
            return fire(Schedule(steps, self.annealing), self.solid, self.follows)

        def setting(rate: float, last: float) -> float:
            firing = cooled(rate, last)
            pulled = (firing.tension + firing.uneven_tension)[firing.air >= self.set_at]
            stays = self.harder[2] * firing.residual.max() / self.residual
            return float(max(stays, self.harder[1] * pulled.max() / self.tension))

        def leaving(rate: float, last: float) -> float:
            return self.harder[1] * cooled(rate, last).peak_with_unevenness("cooling") / self.tension

        def most(rate: float) -> float:
            return min(_LAST_TO_FIRST * rate, UNLIMITED_RATE)

        guess = self._guess(self.annealing, 0.4 * self.residual, 0.0)
        rate = self._largest(lambda rate: setting(rate, most(rate)), guess, CEILING_ANNEAL, "cooled")
        last = self._down(most(rate))
        if leaving(rate, last) > 1:
            last = self._largest(lambda r: leaving(rate, r), 0.5 * last, UNLIMITED_RATE, "cooled")
            if setting(rate, last) > 1:
                rate = self._largest(lambda r: setting(r, last), 0.9 * rate, CEILING_ANNEAL, "cooled")
        return rate, last

    # --- numbers a controller takes

    def _down(self, rate: float) -> float:
        """Return the largest rate [degC/h] up to `rate` that is a whole number for the controller; of fives
        from 100 upwards, and of tenths below 1."""
        symbol = _SYMBOLS[self.controller][1]
        number = to_unit(rate, "rate", symbol) * (1 + 1e-9)
        step = 5.0 if number >= 100 else 1.0 if number >= 1 else 0.1
        return read(f"{max(math.floor(number / step) * step, step):.1f} {symbol}", "rate")

    def _slower(self, rate: float) -> float:
        return self._down(min(0.97 * rate, rate - 0.5))

    def _whole(self, temperature: float, step: float = 1.0) -> float:
        symbol = _SYMBOLS[self.controller][0]
        return read(
            f"{step * round(to_unit(temperature, 'temperature', symbol) / step):.0f} {symbol}", "temperature"
        )

    def _fives(self, temperature: float) -> float:
        return self._whole(temperature, 5.0)

    def _text(self, value: float, dimension: str) -> str:
        return as_text(value, dimension, "metric" if self.controller == "degC" else "inches")

    def _largest(self, load: Callable[[float], float], guess: float, fastest: float, done: str) -> float:
        return self._down(_largest_rate(load, guess, fastest, done))

    def _guess(self, temperature: float, tension: float, unevenness: float) -> float:
        """Return about the rate [degC/h] that makes a tension, from closed forms, for the search to start at.

        A slab: E alpha R L^2/(6 a (1 - nu)); two thicknesses part by R rho c (d2 - d1)/(2 h), an uneven kiln
        by u R rho c d/(2 h).
        """
        glass, kiln = self.piece.glass, self.kiln
        thicknesses = [zone.thickness for zone in self.piece.body]
        thickest, thinnest = max(thicknesses), min(thicknesses)
        h = exchange_coefficient(temperature, temperature, kiln.film, kiln.emissivity)
        half = 0.7 * thickest if self.piece.support == "shelf" else thickest / 2
        capacity = glass.density * glass.heat_capacity(temperature)
        apart = half**2 * capacity / (6 * glass.conductivity(temperature))
        apart += capacity * (thickest - thinnest + unevenness * thickest / 2) / (2 * h)
        modulus = glass.youngs_modulus / (1 - glass.poissons_ratio)
        return tension / (modulus * glass.expansion * apart * degrees_per_second(1.0))


def _hours(schedule: Schedule, kiln: Kiln) -> float:
    legs, _, _ = air_legs(schedule, kiln.room, kiln.fastest_heating, kiln.cooling_time)
    return sum(leg.duration for leg in legs) / 3600.0


def _with_verdict(schedule: Schedule, words: str) -> Schedule:
    """Let the reason of the last segment end with what the check found."""
    final = schedule.segments[-1]
    final = replace(final, reason=f"{final.reason} {words}")
    return Schedule((*schedule.segments[:-1], final), schedule.start)


_AIM, _NEAR = 0.94, 0.85  # of a limit: what is aimed at on a map, and what is near enough
_MAP_ROUNDS = 6


def _write_for_map(
    piece: Piece,
    kiln: Kiln,
    tension: float,
    residual: float,
    write: Callable[..., _Writer],
    progress: Callable[[float], None] | None,
) -> tuple[Schedule, Check]:
    """Write for the zones of a map, and again with what the map is pulled harder or less than they are."""
    zones = replace(piece, body=_zones_of(piece.body))
    harder: tuple[float, ...] = (1.0, 1.0, 1.0)
    best: tuple[Schedule, Check] | None = None
    seen: list[Schedule] = []
    for number in range(_MAP_ROUNDS):
        schedule, of_zones = write(zones, harder=harder).write()
        if schedule in seen:
            break
        seen.append(schedule)
        check = check_schedule(schedule, piece, kiln, tension, residual)
        if progress:
            progress((number + 1) / _MAP_ROUNDS)
        found = (check.heating / tension, check.cooling / tension, check.residual / residual)
        if check.load <= 1 and (best is None or _hours(schedule, kiln) < _hours(best[0], kiln)):
            best = schedule, check
        if _NEAR <= found[0] <= 1 and _NEAR <= max(found[1:]) <= 1:
            break
        than = (of_zones.heating / tension, of_zones.cooling / tension, of_zones.residual / residual)
        harder = tuple(max(m, 1e-3) / max(z, 1e-3) / _AIM for m, z in zip(found, than, strict=True))
    if best is None:
        raise ValueError(f"no schedule was found that keeps the limits of this map. {check.words()}")
    schedule, check = best
    words = check.words("both")
    if check.load < _NEAR:
        words += (
            f" That is {100 * check.load:.0f} % of a limit and no more: what sets the rates is practice or "
            "the kiln, not the tension."
        )
    return _with_verdict(schedule, words), check


def _zones_of(relief: ReliefMap) -> tuple[Zone, ...]:
    """Return the thinnest, the commonest and the thickest part of a map as wide zones, with their paper.

    Every cell counts with the thickness that is nearest.
    """
    levels = np.unique([relief.thickness.min(), relief.base, relief.thickness.max()])
    if len(levels) > 1 and np.diff(levels).min() < 1e-4:
        levels = np.array([levels[0], levels[-1]])
    nearest = np.abs(relief.thickness[:, :, None] - levels).argmin(axis=2)
    none = np.zeros(relief.shape)
    above, below = (none if paper is None else paper for paper in (relief.above, relief.below))
    zones = []
    for level, over, under in product(range(len(levels)), (False, True), (False, True)):
        here = (nearest == level) & ((above > 0) == over) & ((below > 0) == under)
        if here.any():
            paper = float(np.maximum(above, below)[here].mean())
            zones.append(
                Zone(
                    float(levels[level]),
                    float(here.mean()),
                    above="paper" if over else "open",
                    below="paper" if under else None,
                    paper=paper,
                )
            )
    return tuple(zones)


def _largest_rate(load: Callable[[float], float], guess: float, fastest: float, done: str) -> float:
    """Return the largest rate [degC/h] with a `load` of at most 1, up to `fastest`.

    Secant on the logarithms, kept between a rate that is good and one that is not: load grows nearly as a
    power of the rate, 0.75 for two thicknesses, 0.9 for a slab, and not at all where another stage decides.
    A last step that is short is not fired again: the whole schedule is.
    """
    slowest, limit = math.log(_SLOWEST), math.log(fastest)
    x, power = min(max(math.log(guess), slowest), limit), _POWER
    good, bad = -math.inf, math.inf
    before: tuple[float, float] | None = None
    for _ in range(20):
        y = math.log(max(load(math.exp(x)), 1e-6))
        if y <= 0 and x >= limit:
            return fastest
        measured = before is not None and abs(x - before[0]) > 1e-6
        if before and measured:
            power = (y - before[1]) / (x - before[0])
        before = x, y
        good, bad = (x, bad) if y <= 0 else (good, x)
        if power < 0.3:
            power = _POWER
            step = -y / power if y > 0 else max(limit - x, 1.0)
        else:
            step = -y / power
        if abs(step) < (0.06 if measured else 0.02):
            return math.exp(min(x + step - 0.003, limit))
        if bad - good < 0.03:
            return math.exp(good)
        x += math.copysign(min(abs(step), 2.0), step)
        if good > -math.inf and bad < math.inf and not good < x < bad:
            x = (good + bad) / 2
        x = min(x, limit)
        if x < slowest:
            if bad <= slowest:
                break
            x = slowest
    raise ValueError(
        f"no steady rate of at least {_SLOWEST:g} °C/h keeps the limits while this piece is {done}; allow "
        "more tension, or make it thinner or more even"
    )


def _both(pressure: float) -> str:
    return as_text(pressure, "pressure", "both")


def _rounded_up(minutes: float) -> float:
    return 5.0 * math.ceil(minutes / 5)


def _minutes_of_hold(time: np.ndarray, ratio: np.ndarray) -> float:
    """Return how far into the last hold, of `_LONGEST_WAIT`, a ratio falls below 1 for good."""
    above = np.flatnonzero(ratio > 1)
    if not len(above):
        return 0.0
    i = min(above[-1], len(ratio) - 2)
    a, b = np.log(np.maximum(ratio[i : i + 2], 1e-9))
    passed = time[i] + (time[i + 1] - time[i]) * a / (a - b)
    return max(0.0, float(passed - time[-1]) / 60 + _LONGEST_WAIT)


# ------------------------------------------------------------------ a rule of thumb beside it


def twice_as_thick(piece: Piece) -> Piece:
    """Return the even piece of a common rule: fire it as if it were twice as thick as its thickest part.

    d_rule = 2 x the largest thickness.

    Parameters
    ----------
    piece : Piece
        A piece of any thicknesses.

    Returns
    -------
    Piece
        An even piece of the same glass on the same support.

    Raises
    ------
    ValueError
        If twice the thickness is more than 150 mm.

    Notes
    -----
    Common practice, no source. The rule knows nothing of the difference in thickness, nor of what lies on
    the piece.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> twice_as_thick(Piece(glass("float"), [Zone(0.003, 0.7), Zone(0.006, 0.3)])).body[0].thickness
    0.012
    """
    if isinstance(piece.body, ReliefMap):
        thickest = float(piece.body.thickness.max())
    else:
        thickest = max(zone.thickness for zone in piece.body)
    return Piece(piece.glass, (Zone(2 * thickest, 1.0),), piece.support, piece.bending)
