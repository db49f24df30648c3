"""A schedule, a piece and a kiln: temperatures and stresses in the glass, in time.

The heat is in `_heat.py` (air, exchange, conduction), relaxation in `_relaxation.py`, the balance of
stresses in `_stress.py`. Here they are put together and read.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, Literal

import numpy as np

from kilncalc import _heat
from kilncalc._heat import COLD, hot_end
from kilncalc._ranges import ArrayLike, scalar_in_range
from kilncalc._stress import Bodies, Course, Memory, Nodes, follow
from kilncalc.materials import Refractory, refractory
from kilncalc.piece import Piece, ReliefMap
from kilncalc.quantities import Units, as_text
from kilncalc.relief import MapFiring, MapMoment, fire_map
from kilncalc.schedule import Schedule

Phase = Literal["heating", "cooling"]
_SHEET_CELLS, _THICK_CELLS = 14, 20  # cells through a sheet of glass, both faces among the nodes; from
_THICK = 0.02  # m, upwards the thickest sheet is called thick
_FEWEST_CELLS = 6  # through each of many loose sheets
_SHELF_CELLS = 6
_AT_STRAIN_POINT = 1e-6  # K: glass this close to its strain point counts as solid


@dataclass(frozen=True)
class Kiln:
    """A kiln: how it gives heat to a face, how fast it can go, what the glass lies on.

    A face takes q = film (T_air - T_s) + emissivity sigma (T_air^4 - T_s^4), with kelvin in the second part.

    Parameters
    ----------
    film : float
        Heat exchange with the moving air [W/m2/K], 0 to 1e6. A very large film makes a face follow the air.
    emissivity : float
        Of glass and shelf against the walls [-], 0 to 1.
    shelf : Refractory, "default" or None
        What the glass lies on where its support is the shelf. "default": dense cordierite, 18 mm. None: this
        kiln has no shelf, and a piece that says it lies on one is refused.
    underside : float
        How freely the underside of the shelf exchanges heat with the kiln [-], 0 to 1: 1 on posts in the
        open, 0 flat on the floor. It is the unknown that matters most: compare both.
    room : float
        Temperature of the room [degC], -20 to 50.
    fastest_heating : float or None
        The fastest rate at which the kiln heats [degC/h], > 0, at most 100000. None: it follows every rate,
        and a segment without a rate is counted at `schedule.UNLIMITED_RATE`, 600 degC/h.
    cooling_time : float or None
        The air cools no faster than (air - room)/cooling_time [s], 60 to 1e6. None: it follows every rate,
        and a segment without a rate is counted at 600 degC/h.
    unevenness : float
        Difference of temperature across the piece that an uneven kiln makes, as a share of the difference
        between the air and the glass [-], 0 to 1. An assumption: measure yours.
    contact_resistance : float
        Between glass and shelf [m2K/W], 1e-6 to 1.
    loose_resistance : float
        Between loose sheets of glass [m2K/W], 1e-6 to 1.
    paper_conductivity : float
        Of fibre paper [W/m/K], 0.02 to 1.

    Raises
    ------
    ValueError
        If a number is outside its range, or nothing at all carries heat to the glass.

    Notes
    -----
    With an emissivity of 0.8 instead of 0.9 a peak of stress is about 5 % higher; with a film of 3 or 8
    instead of 5 about 8 % higher or 9 % lower. Contact and paper are typical values, from memory.

    Examples
    --------
    >>> Kiln(cooling_time=3 * 3600).cooling_time
    10800.0
    """

    film: float = 5.0
    emissivity: float = 0.9
    shelf: Refractory | Literal["default"] | None = "default"
    underside: float = 1.0
    room: float = 20.0
    fastest_heating: float | None = None
    cooling_time: float | None = None
    unevenness: float = 0.1
    contact_resistance: float = 0.003
    loose_resistance: float = 0.002
    paper_conductivity: float = 0.08

    def __post_init__(self) -> None:
        for name, unit, low, high in (
            ("film", "W/m2/K", 0.0, 1e6),
            ("emissivity", "", 0.0, 1.0),
            ("underside", "", 0.0, 1.0),
            ("room", "degC", -20.0, 50.0),
            ("unevenness", "", 0.0, 1.0),
            ("contact_resistance", "m2K/W", 1e-6, 1.0),
            ("loose_resistance", "m2K/W", 1e-6, 1.0),
            ("paper_conductivity", "W/m/K", 0.02, 1.0),
        ):
            object.__setattr__(self, name, scalar_in_range(name, getattr(self, name), unit, low, high))
        if self.film == self.emissivity == 0:
            raise ValueError("film and emissivity are both zero: no heat would ever reach the glass")
        if self.fastest_heating is not None:
            rate = scalar_in_range("fastest_heating", self.fastest_heating, "degC/h", 0.01, 1e5)
            object.__setattr__(self, "fastest_heating", rate)
        if self.cooling_time is not None:
            time = scalar_in_range("cooling_time", self.cooling_time, "s", 60.0, 1e6)
            object.__setattr__(self, "cooling_time", time)
        if not (self.shelf in ("default", None) or isinstance(self.shelf, Refractory)):
            raise ValueError(
                'shelf must be a Refractory, such as kilncalc.materials.refractory(...), "default" or None, '
                f"got {self.shelf!r}"
            )


SMALL_BRICK_KILN = Kiln(cooling_time=3 * 3600.0)
"""The workshop's small brick kiln. That its air falls towards the room with a time of 3 h is typical of its
kind, from memory: fit it to a log of your own kiln."""


@dataclass(frozen=True)
class WorstMoment:
    """The largest tension of a phase: how much, where, when.

    Parameters
    ----------
    phase : str
        "heating" or "cooling".
    tension : float
        The tension [Pa], > 0, or 0 where there is none.
    zone : int
        The zone, counted from 0 [-], 0 to the number of zones less one.
    where : str
        The place in words, such as "the thin zone's top face".
    time : float
        Time since the start [s], > 0; the end of the schedule where the tension is what stays.
    air : float
        Temperature of the kiln at that time [degC], 0 to 1300.
    glass : float
        Temperature of the glass at that place and time [degC], 0 to 1300.
    stays : bool
        True: it is the residual tension of the cold piece.
    """

    phase: Phase
    tension: float
    zone: int
    where: str
    time: float
    air: float
    glass: float
    stays: bool

    def words(self, units: Literal["both", "metric", "inches"] = "metric") -> str:
        """Return it as a sentence in metric units, in US units, or in both.

        Parameters
        ----------
        units : str
            "metric", "inches" or "both".

        Returns
        -------
        str
            Such as "3.9 MPa tension in the thin zone's top face at 92 °C while cooling, 4 h 10 min in".

        Examples
        --------
        >>> WorstMoment("heating", 2.0e6, 0, "the middle of the piece", 3600.0, 150.0, 130.0, False).words()
        '2 MPa tension in the middle of the piece at 150 °C while heating, 1 h in'
        """
        if self.tension <= 0:
            return f"no tension while {self.phase}"
        amount = f"{as_text(self.tension, 'pressure', units)} tension"
        if self.stays:
            return f"{amount} in {self.where}, and it stays in the cold piece"
        minutes = max(60.0, 60.0 * round(self.time / 60.0))
        return (
            f"{amount} in {self.where} at {as_text(round(self.air), 'temperature', units)} "
            f"while {self.phase}, {as_text(minutes, 'time', units)} in"
        )


@dataclass(frozen=True)
class Firing:
    """What a schedule does to a piece in a kiln.

    Nodes run upwards through each zone at equal distances: the first is the bottom face, the last the top
    face, number n//2 the middle. Tension is positive.

    Parameters
    ----------
    time : array
        Times of the steps (time) [s], 0 to the end of the schedule.
    program : array
        What the schedule asks for (time) [degC], 0 to 1300.
    air : array
        What the air of the kiln does (time) [degC], 0 to 1300.
    temperature : array
        Of the glass (time, zone, node) [degC], 0 to 1300.
    stress : array
        In the glass, the same in all directions of its plane (time, zone, node) [Pa], -1e12 to 1e12.
    residual : array
        What stays in the piece once all of it is cold (zone, node) [Pa], -1e12 to 1e12.
    fictive_temperature : array
        The temperature for which the structure of the glass is right (time, zone, node) [degC], 0 to 1300.
    height : array
        Of the nodes above the underside of the glass (zone, node) [m], 0 to 0.15.
    tension : array
        The largest tension in glass below its strain point (time) [Pa], 0 to 1e12.
    uneven_tension : array
        The tension an uneven kiln adds where the glass is below its strain point (time) [Pa], 0 to 1e12. It
        is an estimate beside `tension`, never part of it.
    heat_in : array
        Heat that has gone into glass and shelf through their faces, per area of the piece (time) [J/m2],
        -1e12 to 1e12.
    heat_stored : array
        The same from the temperatures, to check the balance (time) [J/m2], -1e12 to 1e12.
    heating_end : float
        When the kiln has first held the highest temperature of the schedule [s], 0 to 1e9: glass that is
        still behind when the air arrives there is being heated.
    fused_at : float or None
        When loose sheets become one piece [s], 0 to 1e9: the coldest glass passes the annealing point.
        None: never, or the piece was solid from the start.
    worst_heating, worst_cooling : WorstMoment
        The largest tension of each phase; the residual tension belongs to cooling.
    piece : Piece
        What was fired.
    memory : Memory
        What the glass carries into its next firing: structure and residual stress, at every node.

    Notes
    -----
    In a loose first firing the nodes of a zone run through all of its sheets; where two touch, the lower
    one is shown. `tension` and the worst moments look at every face of every sheet.
    """

    time: np.ndarray
    program: np.ndarray
    air: np.ndarray
    temperature: np.ndarray
    stress: np.ndarray
    residual: np.ndarray
    fictive_temperature: np.ndarray = field(repr=False)
    height: np.ndarray = field(repr=False)
    tension: np.ndarray = field(repr=False)
    uneven_tension: np.ndarray = field(repr=False)
    heat_in: np.ndarray = field(repr=False)
    heat_stored: np.ndarray = field(repr=False)
    heating_end: float
    fused_at: float | None
    worst_heating: WorstMoment
    worst_cooling: WorstMoment
    piece: Piece = field(repr=False)
    memory: Memory = field(repr=False)

    @property
    def heat_error(self) -> float:
        """How far the heat that went in is from the heat that is there, as a share of its largest [-]."""
        apart = np.abs(self.heat_in - self.heat_stored).max()
        return float(apart / max(np.abs(self.heat_stored).max(), 1e-9))

    @property
    def ends_hot(self) -> bool:
        """Whether the schedule stops before the kiln is colder than `COLD`: what the rest of the way down
        does is not in the firing."""
        return bool(self.air[-1] > COLD)

    def warnings(self, units: Units = "both") -> list[str]:
        """Return sentences about what makes the numbers of this firing doubtful, none where all is well.

        Parameters
        ----------
        units : str
            "metric", "inches" or "both".

        Returns
        -------
        list of str
            A schedule that ends hot; heat that does not add up within 1 %.
        """
        sentences = []
        if self.ends_hot:
            sentences.append(hot_end(self.air[-1], units))
        if self.heat_error > 0.01:
            sentences.append(
                f"The heat that went in and the heat that is there differ by {100 * self.heat_error:.1f} %: "
                "the numbers are doubtful; fire it with a larger fineness."
            )
        return sentences

    def worst_moment(self, phase: Phase | None = None) -> WorstMoment:
        """Return the largest tension of a phase, or of the whole firing.

        Parameters
        ----------
        phase : str or None
            "heating", "cooling", or None for the larger of both.

        Returns
        -------
        WorstMoment
            How much, where and when.

        Raises
        ------
        ValueError
            For another phase.
        """
        if phase is None:
            return max(self.worst_heating, self.worst_cooling, key=lambda moment: moment.tension)
        if phase not in ("heating", "cooling"):
            raise ValueError(f'phase must be "heating" or "cooling", got {phase!r}')
        return self.worst_heating if phase == "heating" else self.worst_cooling

    def worst(self, phase: Phase | None = None, units: Literal["both", "metric", "inches"] = "metric") -> str:
        """Return in words when, where and how much the glass is pulled most.

        Parameters
        ----------
        phase : str or None
            "heating", "cooling", or None for the larger of both.
        units : str
            "metric", "inches" or "both".

        Returns
        -------
        str
            A sentence without its full stop.

        Raises
        ------
        ValueError
            For another phase.
        """
        return self.worst_moment(phase).words(units)

    def peak_tension(self, phase: Phase) -> float:
        """Return the largest tension of a phase in glass below its strain point.

        Parameters
        ----------
        phase : str
            "heating" (until the end of the hold at the highest temperature) or "cooling" (after it, and what
            stays in the cold piece).

        Returns
        -------
        float
            The tension [Pa].

        Raises
        ------
        ValueError
            For another phase.

        Notes
        -----
        Without the tension of an uneven kiln: see `peak_with_unevenness`.
        """
        return self.worst_moment(phase).tension

    def peak_with_unevenness(self, phase: Phase) -> float:
        """Return the largest sum of both tensions in a phase: what `write_schedule` keeps below its limit.

        Parameters
        ----------
        phase : str
            "heating" or "cooling"; what stays in the cold piece counts with cooling.

        Returns
        -------
        float
            The tension [Pa].

        Raises
        ------
        ValueError
            For another phase.

        Notes
        -----
        On the safe side: the two tensions of one moment need not sit in the same place.
        """
        both = (self.tension + self.uneven_tension)[self._during(phase)].max(initial=0.0)
        return float(max(both, self.peak_tension(phase)))

    def energy(self, area: ArrayLike) -> float:
        """Return the heat that glass and shelf take up on the way to their hottest.

        Parameters
        ----------
        area : float
            Area of the piece [m2], > 0, at most 100.

        Returns
        -------
        float
            Heat [J]; 3.6e6 J are 1 kWh.

        Raises
        ------
        ValueError
            If the area is not in its range.

        Notes
        -----
        From the heat that passes the faces of glass and shelf under the piece. What the kiln's walls take
        up and lose is not in it, and that is usually the larger part of the bill.
        """
        size = scalar_in_range("area", area, "m2", 0.0, 100.0, open_low=True)
        return float(size * self.heat_in.max())

    def _during(self, phase: Phase) -> np.ndarray:
        if phase not in ("heating", "cooling"):
            raise ValueError(f'phase must be "heating" or "cooling", got {phase!r}')
        return _in_phase(phase, self.time, self.heating_end)


def _in_phase(phase: Phase, time: np.ndarray, heating_end: float) -> np.ndarray:
    """Return which times belong to a phase; the moment at which heating ends belongs to both."""
    if phase == "heating":
        return time <= heating_end * (1 + 1e-9)
    return time >= heating_end * (1 - 1e-9)


def fire(
    schedule: Schedule,
    piece: Piece,
    kiln: Kiln = Kiln(),
    after: Any = None,
    fineness: int = 1,
    walls: bool = False,
    progress: Callable[[float], None] | None = None,
    watch: Callable[[MapMoment], None] | None = None,
) -> Firing:
    """Return what a schedule does to a piece in a kiln: temperatures, stresses, and what stays.

    Heat: rho c dT/dt = d/dz(k dT/dz) through every zone. Stress: each Maxwell term is driven by
    E/(1 - nu) (d eps0 + z d kappa - alpha dT - (alpha_l - alpha) dTf), with the same strain eps0 and
    curvature kappa wherever the glass is one body.

    Parameters
    ----------
    schedule : Schedule
        The programme. It should end cold.
    piece : Piece
        What is fired.
    kiln : Kiln
        Where it is fired.
    after : Firing, MapFiring or None
        The firing before, of the same piece: its structure and its residual stress are what this one begins
        with. None: the glass comes into the kiln annealed.
    fineness : int
        How many times finer than usual space and time are cut [-], 1 to 8, to see the numerical error: of
        300 random firings it was below 1 % of every peak above 0.5 MPa and below 2 % of every residual; of
        300 others three peaks were 2 to 3 % off.
    walls : bool
        For a thickness map: whether upright walls, of steps and rims, exchange heat as well.
    progress : function or None
        For a thickness map, which takes seconds: called with the share that is done [-], 0 to 1.
    watch : function or None
        For a thickness map: called with every moment that is looked at, in order.

    Returns
    -------
    Firing
        Times, temperatures, stresses, worst moments. Of a thickness map a `relief.MapFiring`: maps of the
        worst moments instead of nodes.

    Raises
    ------
    ValueError
        For something that is not a schedule, a piece or a kiln, a fineness out of range, or a firing before
        that was of another piece.

    Notes
    -----
    One-dimensional: each zone on its own column of shelf, nothing flows sideways, rims are left out.
    Without a `feature_width` two thicknesses side by side are an upper bound, reached by wide zones.
    Annealed glass has no stress and the structure that a slow even cooling leaves, at 30 degC/h from its
    annealing point; a kiln that starts hotter than that finds it in equilibrium. Radiation through hot clear
    glass is left out. Glass counts as cold enough to break below its strain point.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> from kilncalc.piece import Piece, Zone
    >>> from kilncalc.schedule import Schedule, Segment
    >>> plate = Piece(glass("float"), [Zone(0.006, 1.0)])
    >>> firing = fire(Schedule([Segment(150, 560, 30), Segment(60, 380), Segment(150, 20)]), plate)
    >>> print(f"{firing.peak_tension('heating') / 1e6:.2f} MPa")
    0.13 MPa

    References
    ----------
    Tool 1946, J. Am. Ceram. Soc. 29, 240 (pages from memory); Narayanaswamy 1971, J. Am. Ceram. Soc. 54, 491;
    Nielsen, Olesen, Poulsen & Stang 2010, Computers & Structures 88, 963 (spectrum, k and c); Carre &
    Daudeville 1999, J. Eng. Mech. 125, 914 (spectrum; volume and page from memory).
    """
    _check(schedule, piece, kiln)
    if isinstance(piece.body, ReliefMap):
        return _fire_map(schedule, piece, kiln, after, walls, progress, watch)
    cut = scalar_in_range("fineness", fineness, "", 1, 8)
    if cut != int(cut):
        raise ValueError(f"fineness must be a whole number, got {fineness!r}")
    (firing,) = _fire(schedule, [(piece, kiln)], int(cut), after)
    return firing


def fire_alike(schedule: Schedule, cases: Sequence[tuple[Piece, Kiln]]) -> list[Firing]:
    """Return what a schedule does in cases that differ little, in the time of about two.

    Their heat and their stress are followed side by side, in steps small enough for each of them.

    Parameters
    ----------
    schedule : Schedule
        The programme.
    cases : sequence of (Piece, Kiln)
        Pieces of the same body, whose glass differs in its conductivity only, and kilns whose air does the
        same and whose emissivity is the same.

    Returns
    -------
    list of Firing
        One for each case, as `fire` within its numerical error.

    Raises
    ------
    ValueError
        As `fire`, or if the cases differ in more.

    Notes
    -----
    Loose sheets become one in all cases together, when the coldest glass of all passes the annealing point.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> from kilncalc.piece import Piece, Zone
    >>> from kilncalc.schedule import Schedule, Segment
    >>> plate = Piece(glass("float"), [Zone(0.006, 1.0)])
    >>> cases = [(plate, Kiln(film=film)) for film in (3, 8)]
    >>> still, draught = fire_alike(Schedule([Segment(150, 560, 30), Segment(60, 20)]), cases)
    >>> still.peak_tension("heating") > draught.peak_tension("heating")
    True
    """
    if not cases:
        raise ValueError("cases is empty: there is nothing to fire")
    for piece, kiln in cases:
        _check(schedule, piece, kiln)
    if any(isinstance(piece.body, ReliefMap) for piece, _ in cases):
        raise ValueError("a thickness map is fired alone, by fire")
    if len({_in_common(piece, kiln) for piece, kiln in cases}) > 1:
        raise ValueError(
            "the cases must be alike: the same body, glasses that differ in conductivity_share only, kilns "
            "with the same room, fastest_heating, cooling_time and emissivity"
        )
    return _fire(schedule, cases, 1, None)


def coldest_glass(
    schedule: Schedule, piece: Piece, kiln: Kiln = Kiln()
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return how cold the coldest glass of a piece is in a firing: the heat of `fire` without its stress.

    Parameters
    ----------
    schedule : Schedule
        The programme.
    piece : Piece
        What is fired, in zones.
    kiln : Kiln
        Where.

    Returns
    -------
    tuple of arrays
        Times [s], temperatures of the air [degC] and of the coldest glass [degC], all (time).

    Raises
    ------
    ValueError
        For something that is not a schedule, a piece of zones or a kiln.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> from kilncalc.piece import Piece, Zone
    >>> from kilncalc.schedule import Schedule, Segment
    >>> plate = Piece(glass("float"), [Zone(0.012, 1.0)])
    >>> _, air, coldest = coldest_glass(Schedule([Segment(150, 560)]), plate)
    >>> 5 < float(air[-1] - coldest[-1]) < 60
    True
    """
    _check(schedule, piece, kiln)
    if isinstance(piece.body, ReliefMap):
        raise ValueError("piece must be of zones: a thickness map is fired by fire")
    heat, columns, _, _ = _follow_heat(schedule, [(piece, kiln)], 1)
    return heat.time, heat.air, heat.temperature[:, columns.glass].min(axis=1)


def _in_common(piece: Piece, kiln: Kiln) -> tuple[object, ...]:
    air = kiln.room, kiln.fastest_heating, kiln.cooling_time, kiln.emissivity
    return replace(piece, glass=replace(piece.glass, conductivity_share=1.0)), air


@lru_cache(maxsize=8)
def _bodies(piece: Piece, per_sheet: int) -> tuple[Nodes, Bodies, Bodies]:
    """Return the nodes of a piece and its bodies as it begins and once it is one; a schedule is written by
    firing one piece twenty times."""
    nodes = Nodes(piece, per_sheet)
    solid = Bodies.solid(piece, nodes)
    return nodes, Bodies.loose(piece, nodes) if piece.loose else solid, solid


def _fire(
    schedule: Schedule, cases: Sequence[tuple[Piece, Kiln]], cut: int, after: Firing | None
) -> list[Firing]:
    """Fire cases of the same nodes side by side."""
    piece, _ = cases[0]
    glass = piece.glass
    heat, columns, program, heating_end = _follow_heat(schedule, cases, cut)
    per_sheet = cut * _cells(piece) + 1
    nodes, loose, solid = _bodies(piece, per_sheet)
    temperature = heat.temperature[:, columns.glass]
    memory = _carried(after, piece, nodes, solid) if after else Memory.annealed(glass, temperature[0])
    course = follow(glass, heat.time, temperature, loose, solid, heat.fused, memory)
    stored = columns.stored(_heat.GlassTable.of(glass), heat.temperature)
    size = len(nodes.zone)
    firings = []
    for number, (of, kiln) in enumerate(cases):
        own = slice(number * size, (number + 1) * size)
        warmth = heat.taken[:, number], stored[:, number]
        firings.append(
            _read(
                of,
                kiln,
                nodes,
                per_sheet,
                heat,
                temperature[:, own],
                warmth,
                course.part(own),
                program,
                heating_end,
            )
        )
    return firings


def _read(
    piece: Piece,
    kiln: Kiln,
    nodes: Nodes,
    per_sheet: int,
    heat: _heat.Heat,
    temperature: np.ndarray,
    warmth: tuple[np.ndarray, np.ndarray],
    course: Course,
    program: tuple[np.ndarray, np.ndarray],
    heating_end: float,
) -> Firing:
    """Read one firing from its glass's temperatures (time, node), its heat taken and stored, its stress."""
    glass, residual = piece.glass, course.residual
    fused_at = float(heat.time[heat.fused]) if piece.loose and heat.fused < len(heat.time) else None

    # rows at the moments at which the glass passes its strain point with the largest tension
    crossings = _worst_crossings(glass.strain_point, heat.time, temperature, course.stress)
    time = np.union1d(heat.time, crossings)
    step = np.minimum(np.searchsorted(heat.time, time, side="right") - 1, len(heat.time) - 2)
    share = (time - heat.time[step]) / (heat.time[step + 1] - heat.time[step])

    def at_times(values: np.ndarray) -> np.ndarray:
        part = share if values.ndim == 1 else share[:, None]
        return values[step] + part * (values[step + 1] - values[step])

    temperature, stress = at_times(temperature), at_times(course.stress)
    air = at_times(heat.air)
    counted = np.where(temperature <= glass.strain_point + _AT_STRAIN_POINT, stress, 0.0)
    mean = temperature @ (nodes.weight / nodes.weight.sum())
    uneven = glass.youngs_modulus * glass.expansion * kiln.unevenness * np.abs(air - mean) / 2

    def worst(phase: Phase) -> WorstMoment:
        rows = np.flatnonzero(_in_phase(phase, time, heating_end))
        row, node = rows[-1] if len(rows) else len(time) - 1, 0
        tension = 0.0
        if len(rows):
            place = int(counted[rows].argmax())
            row, node = rows[place // len(nodes.zone)], place % len(nodes.zone)
            tension = float(counted[row, node])
        stays = phase == "cooling" and bool(residual.max() > tension)
        if stays:
            row, node = len(time) - 1, int(residual.argmax())
            tension = float(residual[node])
        return WorstMoment(
            phase=phase,
            tension=max(tension, 0.0),
            zone=int(nodes.zone[node]),
            where=_place(piece, nodes, node, piece.loose and not (fused_at and time[row] >= fused_at)),
            time=float(time[row]),
            air=float(air[row]),
            glass=float(temperature[row, node]),
            stays=stays,
        )

    spread = _spread(piece, nodes, per_sheet)
    return Firing(
        time=time,
        program=np.interp(time, *program),
        air=air,
        temperature=spread(temperature),
        stress=spread(stress),
        residual=spread(residual),
        fictive_temperature=spread(at_times(course.fictive)),
        height=spread(nodes.height),
        tension=np.maximum(counted.max(axis=1), 0.0),
        uneven_tension=np.where(mean < glass.strain_point, uneven, 0.0),
        heat_in=at_times(warmth[0]),
        heat_stored=at_times(warmth[1]),
        heating_end=heating_end,
        fused_at=fused_at,
        worst_heating=worst("heating"),
        worst_cooling=worst("cooling"),
        piece=piece,
        memory=course.memory,
    )


def _fire_map(
    schedule: Schedule,
    piece: Piece,
    kiln: Kiln,
    after: Any,
    walls: bool,
    progress: Callable[[float], None] | None,
    watch: Callable[[MapMoment], None] | None,
) -> Any:
    if after is not None and not isinstance(after, MapFiring):
        raise ValueError(f"after must be the firing of this map before this one, got {after!r}")
    shelf = _shelf(kiln, piece) if piece.support == "shelf" else None
    bends = piece.bending == "free"
    return fire_map(
        schedule,
        piece.body,
        piece.glass,
        kiln,
        shelf,
        bends=bends,
        walls=walls,
        after=after.memory if after else None,
        progress=progress,
        watch=watch,
    )


def _worst_crossings(
    level: float, time: np.ndarray, temperature: np.ndarray, stress: np.ndarray
) -> list[float]:
    """Return when, on the way up and on the way down, a node passes a temperature with the largest tension.

    Between two steps temperature and stress are taken as straight lines.
    """
    before, then = temperature[:-1] - level, temperature[1:] - level
    moments = []
    for crosses in ((before < 0) & (then > 0), (before > 0) & (then < 0)):
        step, node = np.nonzero(crosses)
        if len(step):
            share = before[step, node] / (before[step, node] - then[step, node])
            tension = stress[step, node] + share * (stress[step + 1, node] - stress[step, node])
            worst = tension.argmax()
            moments.append(time[step[worst]] + share[worst] * (time[step[worst] + 1] - time[step[worst]]))
    return moments


def _carried(after: Firing, piece: Piece, nodes: Nodes, solid: Bodies) -> Memory:
    """Return what the firing before left in a piece, at the nodes of now."""
    if not isinstance(after, Firing):
        raise ValueError(f"after must be a Firing, the one before, got {after!r}")
    before = after.piece
    if piece.loose:
        raise ValueError("what comes out of a firing is one solid piece; it cannot be loose in the next one")
    if before.loose and after.fused_at is None:
        raise ValueError("after: that firing left the sheets loose, none of its stress goes with them")
    if before.glass != piece.glass:
        raise ValueError(
            f"after: that firing was of {before.glass.name}, this piece is of {piece.glass.name}"
        )
    then, now = ([(zone.thickness, zone.share) for zone in one.body] for one in (before, piece))
    if len(then) != len(now) or not np.allclose(then, now, rtol=1e-6):
        raise ValueError("after: that firing was of a piece with other thicknesses or shares of its zones")
    per_sheet = after.memory.terms.shape[1] // sum(len(row) for row in before.sheets())
    old = Nodes(before, per_sheet)
    matrix = np.zeros((len(nodes.zone), len(old.zone)))
    for zone in range(len(piece.body)):
        here, there = np.flatnonzero(nodes.zone == zone), np.flatnonzero(old.zone == zone)
        matrix[here] += _between(old.height[there], nodes.height[here]) @ np.eye(len(old.zone))[there]
    return after.memory.moved(matrix, solid)


def _between(known: np.ndarray, wanted: np.ndarray) -> np.ndarray:
    """Return the matrix that makes values at the wanted heights of those at the known ones, by straight
    lines; where two known heights are the same, the lower node counts."""
    matrix = np.zeros((len(wanted), len(known)))
    above = np.clip(np.searchsorted(known, wanted - 1e-9), 1, len(known) - 1)
    span = np.maximum(known[above] - known[above - 1], 1e-12)
    part = np.clip((wanted - known[above - 1]) / span, 0.0, 1.0)
    rows = np.arange(len(wanted))
    matrix[rows, above - 1] += 1 - part
    matrix[rows, above] += part
    return matrix


def _follow_heat(
    schedule: Schedule, cases: Sequence[tuple[Piece, Kiln]], cut: int
) -> tuple[_heat.Heat, _heat.Columns, tuple[np.ndarray, np.ndarray], float]:
    """Return the heat of a firing's cases, how their nodes are laid out, the corners of the programme (times
    [s], temperatures [degC]), and when heating ends [s]."""
    piece, kiln = cases[0]
    glass = piece.glass
    legs, corners, heating_end = _heat.air_legs(schedule, kiln.room, kiln.fastest_heating, kiln.cooling_time)
    sheets = [[thickness for thickness, _ in row] for row in piece.sheets()]
    thinnest = min(thickness for row in sheets for thickness in row)
    thickest = max(zone.thickness for zone in piece.body)
    columns = _heat.Columns.together(
        [
            _heat.columns(
                of.body,
                sheets,
                of.support,
                _shelf(oven, of),
                underside=oven.underside,
                contact=oven.contact_resistance,
                loose_contact=oven.loose_resistance,
                paper_conductivity=oven.paper_conductivity,
                film=oven.film,
                conductivity_share=of.glass.conductivity_share / glass.conductivity_share,
                glass_nodes=cut * _cells(piece) + 1,
                shelf_nodes=_SHELF_CELLS * cut + 1,
            )
            for of, oven in cases
        ]
    )
    heat = _heat.conduct(
        columns,
        _heat.GlassTable.of(glass),
        legs,
        emissivity=kiln.emissivity,
        fuse_at=glass.annealing_point,
        fastest=_heat.settling_time(glass, thinnest, schedule.start, kiln.film, kiln.emissivity),
        slowest=lambda start: _heat.settling_time(glass, thickest, start, kiln.film, kiln.emissivity),
        setting=(glass.strain_point - 100, glass.annealing_point),
        fineness=cut,
    )
    return heat, columns, corners, float(heating_end)


def _cells(piece: Piece) -> int:
    """Return into how many cells each sheet is cut: the fewer, the more sheets lie on each other."""
    rows = piece.sheets()
    thickest = max(thickness for row in rows for thickness, _ in row)
    cells = _THICK_CELLS if thickest >= _THICK else _SHEET_CELLS
    return max(_FEWEST_CELLS, 2 * math.ceil(cells / max(len(row) for row in rows))) if piece.loose else cells


def _shelf(kiln: Kiln, piece: Piece) -> Refractory:
    """Return what a piece lies on, if anything of it lies on a shelf."""
    if isinstance(kiln.shelf, Refractory):
        return kiln.shelf
    if isinstance(piece.body, ReliefMap):
        supports = {piece.support}
    else:
        supports = {piece.support if zone.below in (None, "paper") else zone.below for zone in piece.body}
    if kiln.shelf is None and "shelf" in supports:
        raise ValueError(
            'this kiln has no shelf (shelf=None), and the piece lies on one: shelf="default" is an 18 mm '
            'shelf, support="open" a piece on posts'
        )
    return _default_shelf()


@lru_cache
def _default_shelf() -> Refractory:
    return refractory("cordierite shelf 18 mm")


def _check(schedule: Schedule, piece: Piece, kiln: Kiln) -> None:
    for name, value, kind in (
        ("schedule", schedule, Schedule),
        ("piece", piece, Piece),
        ("kiln", kiln, Kiln),
    ):
        if not isinstance(value, kind):
            raise ValueError(f"{name} must be a {kind.__name__}, got {value!r}")


def _place(piece: Piece, nodes: Nodes, node: int, loose: bool) -> str:
    """Say in words where a node is."""
    zone = nodes.zone[node]
    owner = _zone_words(piece, zone)
    if loose:
        level, height = nodes.level[node], nodes.height_in_sheet[node]
        owner = f'the sheet "{nodes.names[nodes.sheet[node]]}" in {owner}'
    else:
        height = nodes.height[node]
        level = height / piece.body[zone].thickness
    if level < 1e-6:
        part = "underside"
    elif level > 1 - 1e-6:
        part = "top face"
    elif abs(level - 0.5) < 0.11:
        part = "middle"
    else:
        return f"{owner}, {height * 1000:.2g} mm above its underside"
    return f"the {part} of {owner}" if loose else f"{owner}'s {part}"


def _zone_words(piece: Piece, zone: int) -> str:
    if len(piece.body) == 1:
        return "the piece"
    thicknesses = [one.thickness for one in piece.body]
    own = thicknesses[zone]
    if thicknesses.count(own) == 1:
        if own == min(thicknesses):
            return "the thin zone"
        if own == max(thicknesses):
            return "the thick zone"
    return f"zone {zone + 1}"


def _spread(piece: Piece, nodes: Nodes, per_sheet: int) -> Callable[[np.ndarray], np.ndarray]:
    """Return what brings values at the nodes (..., node) into the shape (..., zone, node of the zone)."""
    zones = range(len(piece.body))
    counts = [int((nodes.zone == zone).sum()) for zone in zones]
    if max(counts) == per_sheet:
        return lambda values: values.reshape(*values.shape[:-1], len(counts), per_sheet)
    # zones of several sheets: as many nodes as the one of most sheets, by straight lines;
    # where two sheets touch, the lower one
    count = max(counts) // per_sheet * (per_sheet - 1) + 1
    matrix = np.zeros((len(counts), count, len(nodes.zone)))
    for zone in zones:
        own = np.flatnonzero(nodes.zone == zone)
        z = nodes.height[own]
        matrix[zone][:, own] = _between(z, np.linspace(0.0, z[-1], count))
    return lambda values: np.einsum("zkn,...n->...zk", matrix, values)
