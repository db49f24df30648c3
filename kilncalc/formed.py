"""What the pictures of lesson 3b say: a sagging bar, the film of a drape, two bases, a dish, a sleeve."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from kilncalc import forming
from kilncalc._ranges import scalar_in_range
from kilncalc.forming import Contact, Drape, Draped, Slump
from kilncalc.materials import Glass
from kilncalc.schedule import Schedule, Segment
from kilncalc.volume import WATER_DENSITY

CLIMB_RATE = 200.0
"""Rate at which the kilns of lesson 3b climb to their forming temperature [degC/h]."""

LEAD = 80.0
"""Where the film begins: so far below the forming temperature [K], 24 minutes before it at `CLIMB_RATE`."""


# ------------------------------------------------------------------ a bar that sags


@dataclass(frozen=True)
class Sag:
    """A sheet that sags between two supports, beside a standard's formula for a narrow bar.

    Attributes
    ----------
    span, thickness, drop : float
        Clear span, thickness, and the drop looked at [m].
    temperature : float
        Temperature of the glass [degC].
    time : float
        When the sheet has dropped so far [s].
    bar_time : float
        When a narrow bar has, by the standard [s].
    times, drops : ndarray
        Times [s] and drops [m] of the sheet.
    """

    span: float
    thickness: float
    drop: float
    temperature: float
    time: float
    bar_time: float
    times: np.ndarray
    drops: np.ndarray

    @property
    def difference(self) -> float:
        """How much longer the sheet takes than the bar, as a share of the bar's time [-]."""
        return self.time / self.bar_time - 1


@lru_cache(maxsize=64)
def sag(span: float, thickness: float, drop: float, temperature: float, glass: Glass) -> Sag:
    """Return how long a sheet takes to sag, and a narrow bar by a standard, 144 eta I drop/(5/8 rho g A L^4).

    Parameters
    ----------
    span : float
        Clear span L [m], 0.02 to 1.
    thickness : float
        Thickness [m], 1e-3 to 0.02.
    drop : float
        How far its middle drops [m], 0.1e-3 to 0.4.
    temperature : float
        Temperature of the glass [degC], `strain_point` to the hottest its viscosity is known for.
    glass : Glass
        The glass.

    Returns
    -------
    Sag
        Times [s] and drops [m].

    Raises
    ------
    ValueError
        As `kilncalc.forming.slump`.

    Notes
    -----
    The standard's rate is v = g L^3 (M + 5 rho A L/8)/(144 eta I), here without a load M. A bar is free to
    get narrower while it bends and resists with 3 eta; a wide sheet is not and resists with 4 eta.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> both = sag(0.150, 0.006, 0.005, 630.38, glass("NBS 710"))
    >>> round(both.time / 60, 1), round(both.bar_time / 60, 1)
    (6.2, 4.6)

    References
    ----------
    ASTM C598, annealing point by beam bending (formula from memory).
    """
    run = forming.slump(span, thickness, drop, ledge=0.005, density=glass.density)
    viscosity = glass.viscosity_at(temperature)
    stiffness = thickness**2 / 12  # I/A
    bar = 144 * viscosity * stiffness / (glass.density * forming.GRAVITY * span**4 * 5 / 8)
    return Sag(
        span=run.span,
        thickness=run.thickness,
        drop=run.drop,
        temperature=float(temperature),
        time=run.fluidity * viscosity,
        bar_time=bar * run.drop,
        times=np.array([profile.fluidity for profile in run.profiles]) * viscosity,
        drops=np.array([run.profiles[0].y[0] - profile.y[0] for profile in run.profiles]),
    )


# ------------------------------------------------------------------ the film of a drape


@dataclass(frozen=True)
class Moment:
    """A draped sheet at one moment of its firing.

    Attributes
    ----------
    run : Drape
        The drape.
    time : float
        Since the film began, `LEAD` below the forming temperature [s].
    temperature : float
        Temperature of the glass [degC].
    schedule : Schedule
        The film's stretch of the firing.
    touchdown : float or None
        When the edge meets the base [s]; None if it does not in this firing.
    shape : Draped
        The sheet.
    """

    run: Drape
    time: float
    temperature: float
    schedule: Schedule
    touchdown: float | None
    shape: Draped


@lru_cache(maxsize=64)
def draped(
    height: float,
    thickness: float,
    overhang: float,
    width: float,
    block: Contact,
    base: Contact,
    glass: Glass,
    tension: bool = True,
) -> Drape:
    """Return `forming.drape` with a glass's own weight and surface tension, computed once.

    Parameters
    ----------
    height : float
        Height of the former [m], 1e-3 to 0.1.
    thickness : float
        Thickness of the sheet [m], 1e-3 to 0.015.
    overhang : float
        Overhang on either side [m], 0 to 0.3.
    width : float
        Width of the former [m], 2e-3 to 0.6.
    block, base : str
        "slides" or "sticks".
    glass : Glass
        The glass.
    tension : bool
        False leaves its surface tension out.

    Returns
    -------
    Drape
        The drape.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> run = draped(0.009, 0.003, 0.021, 0.018, "slides", "slides", glass("kiln glass A"))
    >>> print(f"{run.touchdown_fluidity:.1e}")
    2.0e-05
    """
    pull = glass.surface_tension if tension else 0.0
    return forming.drape(height, thickness, overhang, width, block, base, glass.density, pull)


def film(run: Drape, glass: Glass, temperature: float, time: float, hold: float = 2160.0) -> Moment:
    """Return a drape at a moment of a firing that climbs to a temperature and holds there.

    Parameters
    ----------
    run : Drape
        The drape.
    glass : Glass
        Its glass.
    temperature : float
        Where the kiln holds [degC], 500 to 900.
    time : float
        Since the kiln was `LEAD` colder [s], 0 to the end of the hold.
    hold : float
        Length of the hold [s], 0 to 1e5.

    Returns
    -------
    Moment
        The sheet then.

    Raises
    ------
    ValueError
        If a number is outside its range, or the fluidity passes what a drape is followed to.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> clear = glass("kiln glass A")
    >>> run = draped(0.009, 0.003, 0.021, 0.018, "slides", "slides", clear)
    >>> round(film(run, clear, 680, 1440).shape.fluidity * 1e6)
    43
    """
    top = scalar_in_range("temperature", temperature, "degC", 500.0, 900.0)
    minutes = scalar_in_range("hold", hold, "s", 0.0, 1e5) / 60
    schedule = Schedule((Segment(CLIMB_RATE, top, minutes),), top - LEAD)
    done = forming.fluidity(schedule, glass, time)
    if done > forming.LAST_FLUIDITY:
        raise ValueError(
            f"by then the glass has flowed {done / forming.LAST_FLUIDITY:.1f} times as far as the sheet is "
            "followed: take an earlier moment or a lower temperature"
        )
    times = np.linspace(0, schedule.duration, 400)
    flowed = forming.fluidity(schedule, glass, times)
    touchdown = None
    if flowed[-1] > run.touchdown_fluidity:
        touchdown = float(np.interp(run.touchdown_fluidity, flowed, times))
    return Moment(
        run=run,
        time=float(time),
        temperature=schedule.temperature(time),
        schedule=schedule,
        touchdown=touchdown,
        shape=run.at(done),
    )


# ------------------------------------------------------------------ what a base that grips does


@dataclass(frozen=True)
class Bases:
    """The same drape on a base that lets glass slide and on one that grips it.

    Attributes
    ----------
    thickness : float
        Thickness of the flat sheet [m].
    slides, sticks : Draped
        The sheet on either, at one fluidity.
    fluidities : ndarray
        Fluidities [1/Pa].
    draw_in : ndarray
        Draw-in at them (slides, sticks) [m].
    least : ndarray
        Least thickness at them (slides, sticks) [m].
    """

    thickness: float
    slides: Draped
    sticks: Draped
    fluidities: np.ndarray
    draw_in: np.ndarray
    least: np.ndarray


@lru_cache(maxsize=64)
def _history(run: Drape) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    fluidities = np.geomspace(3e-6, forming.LAST_FLUIDITY, 60)
    shapes = [run.at(f) for f in fluidities]
    return fluidities, np.array([s.draw_in for s in shapes]), np.array([s.least_thickness for s in shapes])


def compare_bases(slides: Drape, sticks: Drape, fluidity: float) -> Bases:
    """Return two drapes side by side at a fluidity, and on their way.

    Parameters
    ----------
    slides, sticks : Drape
        The same drape on either base.
    fluidity : float
        At which they are compared [1/Pa], 0 to 3e-3.

    Returns
    -------
    Bases
        Both.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> size, clear = (0.009, 0.003, 0.021, 0.018), glass("float")
    >>> runs = [draped(*size, "slides", base, clear) for base in ("slides", "sticks")]
    >>> both = compare_bases(*runs, 3e-3)
    >>> both.slides.draw_in > 2 * both.sticks.draw_in
    True
    """
    histories = [_history(run) for run in (slides, sticks)]
    return Bases(
        thickness=slides.thickness,
        slides=slides.at(fluidity),
        sticks=sticks.at(fluidity),
        fluidities=histories[0][0],
        draw_in=np.array([history[1] for history in histories]),
        least=np.array([history[2] for history in histories]),
    )


# ------------------------------------------------------------------ a dish


RIMS = ("round, free", "long, free", "long, trapped")
"""How a sheet lies on its mould: a round plate on a ring, a long strip, a long strip that cannot slide."""


@dataclass(frozen=True)
class Dish:
    """A sheet that slumps into a shallow mould, to where it first touches.

    Attributes
    ----------
    sheet : Slump
        The sheet.
    mould : ndarray
        Face of the mould: distance from the middle and depth below the ledge (2, points) [m].
    temperature : float
        Temperature of the hold [degC].
    minutes : float
        What the slump to first contact takes there, the climb counted in [min].
    climb : float
        What the climb counts of it [min].
    lies : float
        Fluidity at which it lies in the mould [1/Pa]: `forming.FLUIDITY_OF["slump"]`, or `LIES` times that of
        first contact where that is more.
    lie_down : float
        What that takes there [min].
    """

    sheet: Slump
    mould: np.ndarray
    temperature: float
    minutes: float
    climb: float
    lies: float
    lie_down: float


LIES = {"round, free": 5.0, "long, free": 15.0, "long, trapped": 2.0}
"""Times the fluidity of first contact at which, by bending alone, an eighth of the depth is open below a
free sheet, in a mould with a floor of half its width and straight flanks; with a trapped rim the stretch
decides, and what is left shrinks threefold or more in the time that it took to the floor (own results for
small slopes)."""


@lru_cache(maxsize=256)
def dish(
    span: float,
    thickness: float,
    depth: float,
    rim: str,
    temperature: float,
    glass: Glass,
) -> Dish:
    """Return a sheet that slumps into a mould with a floor of half its width and straight flanks.

    Parameters
    ----------
    span : float
        Width of the mould between its ledges [m], 0.02 to 1.
    thickness : float
        Thickness of the sheet [m], 1e-3 to 0.02; at most a tenth of the span.
    depth : float
        Depth of the mould [m], 0.1e-3 to 0.3; at most 0.38 of the span.
    rim : str
        "round, free", "long, free" or "long, trapped".
    temperature : float
        Temperature of the hold [degC], `strain_point` to the hottest the viscosity of the glass is known for.
    glass : Glass
        The glass.

    Returns
    -------
    Dish
        The sheet at first contact, and minutes.

    Raises
    ------
    ValueError
        As `kilncalc.forming.slump`, or for another rim.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> tray = dish(0.150, 0.006, 0.020, "round, free", 680, glass("kiln glass A"))
    >>> round(tray.sheet.touches * 1000), round(tray.minutes, 1)
    (0, 3.0)
    """
    if rim not in RIMS:
        raise ValueError(f"rim must be one of {', '.join(map(repr, RIMS))}, got {rim!r}")
    mould = np.array([[0.0, span / 4, span / 2], [depth, depth, 0.0]])
    points: Iterable[tuple[float, float]] = [(float(x), float(d)) for x, d in mould.T]
    sheet = forming.slump(
        span,
        thickness,
        1.05 * depth,
        round=rim == "round, free",
        ledge=0.015,
        edge="pinned" if rim == "long, trapped" else "free",
        density=glass.density,
        surface_tension=glass.surface_tension,
        mould=points,
    )
    lies = max(forming.FLUIDITY_OF["slump"], LIES[rim] * sheet.fluidity)
    return Dish(
        sheet=sheet,
        mould=mould,
        temperature=float(temperature),
        minutes=forming.hold_minutes(sheet.fluidity, temperature, glass),
        climb=forming.ramp_minutes(CLIMB_RATE, temperature, glass),
        lies=lies,
        lie_down=forming.hold_minutes(lies, temperature, glass),
    )


# ------------------------------------------------------------------ the banner's sleeve


@dataclass(frozen=True)
class Sleeve:
    """A sleeve: a strip draped over a former, open at both ends.

    Attributes
    ----------
    finished_width : float
        Width of the strip after the firing, where it was formed as the section says [m].
    shape : Draped
        The section.
    hollow_volume : float
        Volume of the hollow along the strip [m3].
    water : float
        Weight of the water that fills it [kg].
    """

    finished_width: float
    shape: Draped
    hollow_volume: float
    water: float


def sleeve(run: Drape, fluidity: float, length: float) -> Sleeve:
    """Return what a draped strip becomes: finished width b - 2 draw-in, hollow, and the water it holds.

    Parameters
    ----------
    run : Drape
        The section's drape.
    fluidity : float
        Fluidity of the firing [1/Pa], 0 to 3e-3.
    length : float
        Length of the strip along the former [m], above 0 to 2.

    Returns
    -------
    Sleeve
        Width [m], volume [m3], weight [kg].

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    A section times the length. At the mouths the strip is unsupported beyond the former and ends narrower.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> run = draped(0.009, 0.003, 0.021, 0.018, "slides", "sticks", glass("kiln glass A"))
    >>> made = sleeve(run, 1e-3, 0.150)
    >>> round(made.finished_width * 1000, 1), round(made.water * 1000)
    (55.4, 39)
    """
    long = scalar_in_range("length", length, "m", 0.0, 2.0, open_low=True)
    shape = run.at(fluidity)
    return Sleeve(
        finished_width=run.width + 2 * (run.overhang - shape.draw_in),
        shape=shape,
        hollow_volume=shape.hollow * long,
        water=shape.hollow * long * WATER_DENSITY,
    )
