"""A schedule written for a piece: the fastest that keeps two limits, and whether any schedule keeps them.

`write_schedule` fires the piece in the model of `kilncalc.firing` again and again.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from kilncalc._heat import exchange_coefficient
from kilncalc._ranges import scalar_in_range
from kilncalc._stress import Bodies, Nodes
from kilncalc.firing import Firing, Kiln, fire
from kilncalc.materials import ALLOWED_RESIDUAL, ALLOWED_TENSION, Glass
from kilncalc.piece import Piece, Zone
from kilncalc.quantities import as_text
from kilncalc.schedule import UNLIMITED_RATE, Schedule, Segment, degrees_per_second

_KILN = Kiln()


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
    hold_min : float
        How long the glass stays there once it has got there [min], > 0.
    burn_off : bool
        Whether binder or glue has to burn away first.
    air_release : bool
        Whether air has to leave from between sheets.
    result : str
        What happens in the hold, in words.

    Notes
    -----
    Own choices from the usual temperatures of the trade; common practice, no source. Look and adjust.
    """

    name: str
    stiffest: float
    softest: float
    hold_min: float
    burn_off: bool
    air_release: bool
    result: str

    def temperature(self, glass: Glass) -> float:
        """Return where a glass has the middle viscosity of the process, in fives of degrees where they fit.

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
        fives = _fives(exact)
        fits = glass.temperature_at(self.stiffest) <= fives <= glass.temperature_at(self.softest)
        return fives if fits else float(round(exact))


PROCESSES = {
    process.name: process
    for process in (
        Process("slump", 7.2, 6.7, 20, False, False, "the sheet sinks into its mould without marking"),
        Process("drape", 7.2, 6.4, 15, True, False, "the sheet folds down over its former"),
        Process(
            "drape and bond", 6.2, 5.6, 15, True, True, "the sheet folds down and bonds where it touches"
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
_SLOW_DOWN_TO, _TWICE_DOWN_TO = 50.0, 100.0  # K below the strain point
_LAST_TO_FIRST = 8.0  # largest ratio of the last rate of cooling to the first: more saves no time
_WORST_OF_HEATING = 150.0  # degC, about where the tension of heating is largest
_LEAVE_AT = 20.0  # K above the room: the schedule ends, the kiln may be opened
_EVEN_STRESS, _EVEN_STRUCTURE = 0.05, 2.5  # a soak is long enough: share of allowed_tension; |Tf - T| [K]
_SHORTEST_SOAK = 30.0  # min
_LONGEST_WAIT = 1e5  # min, for finding out how long a hold must be
_SLOWEST = 0.1  # degC/h


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
    firing : Firing
        The firing behind it.
    """

    heating: float
    cooling: float
    residual: float
    allowed_tension: float
    allowed_residual: float
    firing: Firing

    @property
    def load(self) -> float:
        """The largest of the three as a share of its limit [-]; the schedule is good enough up to 1."""
        largest = max(self.heating, self.cooling) / self.allowed_tension
        return max(largest, self.residual / self.allowed_residual)

    def words(self, units: str = "metric") -> str:
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
        return (
            f"Fired in the model, the schedule {verdict}: tension {text(self.heating)} while heating and "
            f"{text(self.cooling)} while cooling, an uneven kiln included, of {text(self.allowed_tension)} "
            f"allowed; {text(self.residual)} stays, of {text(self.allowed_residual)} allowed."
        )


def check_schedule(
    schedule: Schedule,
    piece: Piece,
    kiln: Kiln = _KILN,
    allowed_tension: float = ALLOWED_TENSION,
    allowed_residual: float = ALLOWED_RESIDUAL,
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
    allowed_residual : float
        Limit for the tension that stays [Pa], 0.01e6 to 50e6.

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
    3.5 MPa: EN 16612 gives 45 x 0.29 x 0.8 x 0.6/1.8 = 3.48 MPa for a lasting load on an abraded edge. A
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
    firing = fire(schedule, piece, kiln)
    return Check(
        heating=firing.peak_with_unevenness("heating"),
        cooling=firing.peak_with_unevenness("cooling"),
        residual=max(float(firing.residual.max()), 0.0),
        allowed_tension=tension,
        allowed_residual=residual,
        firing=firing,
    )


def _limits(allowed_tension: float, allowed_residual: float) -> tuple[float, float]:
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
    allowed_residual: float = ALLOWED_RESIDUAL,
) -> Schedule:
    """Return the fastest schedule that keeps two limits, with a reason for each segment.

    Heating: the largest rates with a tension up to `allowed_tension`, an uneven kiln included. Process: by
    the viscosity of the glass. Soak: twice the time in which temperature and structure become even.
    Cooling: from the annealing point to 50 K below the strain point at one rate and on to 100 K below at
    twice that rate, the largest that leaves `allowed_residual`; then the largest rate with a tension up to
    `allowed_tension`.

    Parameters
    ----------
    piece : Piece
        What is fired; `loose` for a first firing of sheets that lie on each other.
    process : str
        "tack fuse", "contour fuse", "full fuse", "slump", "drape", "drape and bond", "fire polish" or
        "kiln casting".
    kiln : Kiln
        Where.
    allowed_tension : float
        Limit for the tension at any time [Pa], 0.1e6 to 50e6, in glass below its strain point.
    allowed_residual : float
        Limit for the tension that stays [Pa], 0.01e6 to 50e6.

    Returns
    -------
    Schedule
        Segments with a `.reason` each. The whole was fired once in the model, and the reason of the last
        segment says what margin that left; `check_schedule` gives the numbers.

    Raises
    ------
    ValueError
        For an unknown process, a limit outside its range, or limits that no rate of at least 0.1 degC/h
        keeps.

    Notes
    -----
    Two limits, because what is pulled for a while and what stays are different things: below the annealing
    point a fast stage may show little tension and leave much. Rates are rounded down to what a controller
    takes. The model knows thickness, not drawing: a kiln's own programme, a new glass or a piece that
    matters is tested first.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> schedule = write_schedule(Piece(glass("lamp soda-lime"), [Zone(0.006, 1.0)]), "slump")
    >>> [segment.target for segment in schedule.segments]
    [305.0, 515.0, 680.0, 515.0, 425.0, 375.0, 40.0]

    References
    ----------
    EN 16612 (limit of tension); Gardon & Narayanaswamy 1970, J. Am. Ceram. Soc. 53, 380 (what structure
    adds).
    """
    if not isinstance(piece, Piece):
        raise ValueError(f"piece must be a Piece, got {piece!r}")
    if not isinstance(kiln, Kiln):
        raise ValueError(f"kiln must be a Kiln, got {kiln!r}")
    if process not in PROCESSES:
        names = ", ".join(f'"{name}"' for name in PROCESSES)
        raise ValueError(f"there is no process called {process!r}; there are {names}")
    tension, residual = _limits(allowed_tension, allowed_residual)
    return _Writer(piece, PROCESSES[process], kiln, tension, residual).write()


Rates = tuple[float | None, float | None]
"""Two rates of a stage [degC/h]; None is as fast as the kiln does."""


@dataclass
class _Writer:
    """The work of `write_schedule`, stage by stage."""

    piece: Piece
    process: Process
    kiln: Kiln
    tension: float
    residual: float

    def __post_init__(self) -> None:
        glass = self.piece.glass
        self.start = max(self.kiln.room, 0.0)
        self.end = _fives(max(self.kiln.room, 20.0)) + _LEAVE_AT
        self.split = _fives(_SPLIT * glass.strain_point)
        self.burn_off = _fives(glass.strain_point - _BURN_OFF_BELOW)
        self.annealing = _fives(glass.annealing_point)
        self.release = _fives(glass.temperature_at(_AIR_RELEASE))
        self.top = self.process.temperature(glass)
        self.slow_to = _fives(glass.strain_point - _SLOW_DOWN_TO)
        self.twice_to = _fives(glass.strain_point - _TWICE_DOWN_TO)
        self.solid = replace(self.piece, loose=False)

    def write(self) -> Schedule:
        heating, cooling = self._heating_rates(), self._cooling_rates()
        through = self._hold_through(heating)
        held = self._process_segments()
        soak = self._soak_segment()
        for _ in range(10):
            segments = (*self._heat(heating, through), *held, soak, *self._cool(cooling))
            schedule = Schedule(segments, self.start)
            check = check_schedule(schedule, self.piece, self.kiln, self.tension, self.residual)
            if check.load <= 1:
                last = replace(segments[-1], reason=f"{segments[-1].reason} {check.words('both')}")
                return Schedule((*segments[:-1], last), self.start)
            if check.heating > self.tension:
                heating = _slower(heating[0]), _slower(heating[1])
            if check.cooling > self.tension:
                cooling = (cooling[0], _slower(cooling[1]))
            if check.residual > self.residual:
                cooling = (_slower(cooling[0]), cooling[1])
        raise ValueError(f"no schedule was found that keeps the limits. {check.words()}")

    # --- heating

    def _heat(self, rates: Rates, hold: float) -> tuple[Segment, ...]:
        first, second = rates
        limit = f"tension stays below {_both(self.tension)}"
        steps: tuple[Segment, ...] = ()
        if first != second:
            why = f"As fast as the glass bears: {limit}. A cool kiln gives little heat, and unevenly."
            steps += (Segment(first, self.split, 0, why),)
        if self.process.burn_off:
            why = "Binder and glue burn away while the glass is still solid: vent open, nobody in the fumes."
            steps += (Segment(second, self.burn_off, _BURN_OFF_MIN, why),)
        why = f"Up through the strain point; glass colder than that can break, so {limit}."
        if hold:
            why += " The hold lets the coldest glass pass it too."
        return (*steps, Segment(second, self.annealing, hold, why))

    def _heating_load(self, rates: Rates) -> float:
        firing = fire(Schedule(self._heat(rates, 0), self.start), self.piece, self.kiln)
        return firing.peak_with_unevenness("heating") / self.tension

    def _heating_rates(self) -> Rates:
        fastest = UNLIMITED_RATE if self.kiln.fastest_heating is None else None
        guess = self._guess(_WORST_OF_HEATING, self.tension, self.kiln.unevenness)
        one = _largest_rate(lambda rate: self._heating_load((rate, rate)), guess, fastest, "heated")
        if one == fastest:
            return one, one
        assert one is not None
        two = _largest_rate(lambda rate: self._heating_load((one, rate)), 1.6 * one, fastest, "heated")
        return (one, two) if two is None or two >= 1.2 * one else (one, one)

    def _hold_through(self, rates: Rates) -> float:
        """Return the minutes at the annealing point until the coldest glass is past the strain point."""
        firing = fire(Schedule(self._heat(rates, _LONGEST_WAIT), self.start), self.piece, self.kiln)
        return _rounded_up(self._wait(firing, self.annealing - self.piece.glass.strain_point))

    # --- the process

    def _process_segments(self) -> tuple[Segment, ...]:
        steps: tuple[Segment, ...] = ()
        before = self.annealing
        if self.process.air_release:
            why = "The sheets sag together slowly and the air between them leaves before their rims close."
            steps += (self._climb(before, self.release, _AIR_RELEASE_MIN, why),)
            before = self.release
        a, b = self.process.stiffest, self.process.softest
        why = (
            f"{self.process.name.capitalize()}, at 10^{a:g} to 10^{b:g} Pa.s: {self.process.result}. No "
            "lingering on the way, where a skin of crystals can form. Look, and adjust the hold."
        )
        return (*steps, self._climb(before, self.top, self.process.hold_min, why))

    def _climb(self, before: float, target: float, minutes: float, why: str) -> Segment:
        """Return a segment that waits for the glass, and then as long as the process wants."""
        waiting = Schedule((Segment(None, target, _LONGEST_WAIT),), before)
        lag = self._wait(fire(waiting, self.solid, self.kiln), _CAUGHT_UP)
        return Segment(None, target, float(math.ceil(lag + minutes)), why)

    def _wait(self, firing: Firing, close: float) -> float:
        """Return the minutes of the last hold until the coldest glass is this close to the kiln [K]."""
        behind = firing.air[-1] - firing.temperature.min(axis=(1, 2))
        return _minutes_of_hold(firing, behind / close)

    # --- the soak

    def _soak_segment(self) -> Segment:
        glass = self.piece.glass
        waiting = Schedule((Segment(None, self.annealing, _LONGEST_WAIT),), self.top)
        firing = fire(waiting, self.solid, self.kiln, fineness=3)  # a small rest decides
        temperature = firing.temperature.reshape(len(firing.time), -1)
        fictive = firing.fictive_temperature.reshape(len(firing.time), -1)
        strain = glass.expansion * temperature + (glass.expansion_liquid - glass.expansion) * fictive
        nodes = Nodes(self.solid, firing.temperature.shape[2])
        modulus = glass.youngs_modulus / (1 - glass.poissons_ratio)
        frozen = modulus * strain @ Bodies.solid(self.solid, nodes).elastic.T
        uneven = np.abs(frozen).max(axis=1) / (_EVEN_STRESS * self.tension)
        unsettled = np.abs(fictive - temperature).max(axis=1) / _EVEN_STRUCTURE
        minutes = 2 * _minutes_of_hold(firing, np.maximum(uneven, unsettled))
        why = (
            "Down as fast as the kiln does, through the range where a skin of crystals can form. The soak "
            "evens out temperature and structure, doubled for safety; what it buys most is an even kiln."
        )
        return Segment(None, self.annealing, max(_SHORTEST_SOAK, _rounded_up(minutes)), why)

    # --- cooling

    def _cool(self, rates: Rates) -> tuple[Segment, ...]:
        slow, last = rates
        stays = f"what stays is below {_both(self.residual)}"
        pulls = f"tension stays below {_both(self.tension)}"
        return (
            Segment(slow, self.slow_to, 0, f"The glass sets and keeps the difference it has now: {stays}."),
            Segment(self._times(2, slow), self.twice_to, 0, "Nearly set: twice as fast leaves hardly more."),
            Segment(last, self.end, 0, f"Set, but too fast would still crack it: {pulls}."),
        )

    def _cooling_rates(self) -> Rates:
        def cooled(rates: Rates) -> Firing:
            return fire(Schedule(self._cool(rates), self.annealing), self.solid, self.kiln)

        def setting(slow: float | None, last: float | None) -> float:
            firing = cooled((slow, last))
            pulled = (firing.tension + firing.uneven_tension)[firing.air >= self.twice_to]
            return max(firing.residual.max() / self.residual, pulled.max() / self.tension)

        def leaving(slow: float | None, last: float | None) -> float:
            return cooled((slow, last)).peak_with_unevenness("cooling") / self.tension

        def both(rate: float | None) -> float:
            return setting(rate, self._times(_LAST_TO_FIRST, rate))

        fastest = UNLIMITED_RATE if self.kiln.cooling_time is None else None
        slow = _largest_rate(both, self._guess(self.annealing, 0.4 * self.residual, 0.0), fastest, "cooled")
        last = self._times(_LAST_TO_FIRST, slow)
        if leaving(slow, last) > 1:
            last = _largest_rate(
                lambda rate: leaving(slow, rate), 0.5 * (last or UNLIMITED_RATE), fastest, "cooled"
            )
            slow = _largest_rate(lambda rate: setting(rate, last), slow or UNLIMITED_RATE, fastest, "cooled")
        return slow, last

    def _times(self, factor: float, rate: float | None) -> float | None:
        """Return a multiple of a rate of cooling, up to what the kiln does."""
        if rate is None or factor * rate >= UNLIMITED_RATE:
            return UNLIMITED_RATE if self.kiln.cooling_time is None else None
        return _rounded_down(factor * rate)

    def _guess(self, temperature: float, tension: float, unevenness: float) -> float:
        """Return about the rate [degC/h] that makes a tension, from closed forms, for the search to start at.

        A slab: E alpha R L^2/(6 a (1 - nu)); two thicknesses part by R rho c (d2 - d1)/(2 h), an uneven kiln
        by u R rho c d/(2 h).
        """
        glass, kiln = self.piece.glass, self.kiln
        thicknesses = [zone.thickness for zone in self.piece.body]
        thickest, thinnest = max(thicknesses), min(thicknesses)
        h = exchange_coefficient(temperature, temperature, kiln.film, kiln.emissivity)
        half = thickest if self.piece.support == "shelf" else thickest / 2
        capacity = glass.density * glass.heat_capacity(temperature)
        apart = half**2 * capacity / (6 * glass.conductivity(temperature))
        apart += capacity * (thickest - thinnest + unevenness * thickest / 2) / (2 * h)
        modulus = glass.youngs_modulus / (1 - glass.poissons_ratio)
        return tension / (modulus * glass.expansion * apart * degrees_per_second(1.0))


def _largest_rate(
    load: Callable[[float | None], float], guess: float, fastest: float | None, done: str
) -> float | None:
    """Return the largest rate [degC/h] that a controller takes with a `load` of at most 1, up to `fastest`.

    Secant on the logarithms, kept between a rate that is good and one that is not: load grows nearly as a
    power of the rate, 0.8 for two thicknesses, 1 for a slab, and not at all where another stage decides.
    """
    slowest, limit = math.log(_SLOWEST), math.log(UNLIMITED_RATE)
    x, power = min(max(math.log(guess), slowest), limit - 0.1), 0.9
    good, bad = -math.inf, math.inf
    before: tuple[float, float] | None = None
    for _ in range(20):
        y = math.log(max(load(math.exp(x)), 1e-6))
        measured = before is not None
        if before:
            power = (y - before[1]) / (x - before[0])
        before = x, y
        good, bad = (x, bad) if y <= 0 else (good, x)
        grows = power > 0.3
        step = -y / power if grows else math.copysign(0.3, -y)
        if measured and grows and abs(step) < 0.02:
            return _rounded_down(math.exp(x + min(step, 0.0)))
        if bad - good < 0.03:
            return _rounded_down(math.exp(good))
        x += math.copysign(min(max(abs(step), 0.03), 2.0), step)
        if good > -math.inf and bad < math.inf and not good < x < bad:
            x = (good + bad) / 2
        if x >= limit and bad == math.inf:
            if load(fastest) <= 1:
                return fastest
            x, bad = (good + limit) / 2 if good > -math.inf else limit - 0.3, limit
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


def _rounded_down(rate: float) -> float:
    """Return a rate [degC/h] that a controller takes, at most `rate`."""
    step = 0.1 if rate < 5 else 0.5 if rate < 10 else 1.0 if rate < 50 else 5.0 if rate < 200 else 10.0
    rounded = round(math.floor(rate / step + 1e-9) * step, 1)
    return max(rounded, _SLOWEST)


def _slower(rate: float | None) -> float | None:
    return None if rate is None else _rounded_down(0.95 * rate)


def _fives(temperature: float) -> float:
    return 5.0 * round(temperature / 5)


def _rounded_up(minutes: float) -> float:
    return 5.0 * math.ceil(minutes / 5)


def _minutes_of_hold(firing: Firing, ratio: np.ndarray) -> float:
    """Return how far into the last hold, of `_LONGEST_WAIT`, a ratio falls below 1 for good."""
    above = np.flatnonzero(ratio > 1)
    if not len(above):
        return 0.0
    i = min(above[-1], len(ratio) - 2)
    a, b = np.log(np.maximum(ratio[i : i + 2], 1e-9))
    passed = firing.time[i] + (firing.time[i + 1] - firing.time[i]) * a / (a - b)
    return max(0.0, float(passed - firing.time[-1]) / 60 + _LONGEST_WAIT)


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
    thickest = max(zone.thickness for zone in piece.body)
    return Piece(piece.glass, (Zone(2 * thickest, 1.0),), piece.support, piece.bending)
