"""An uneven piece while it is heated and cooled: two thicknesses, a former of paper, a narrow rib, a face.

Everything is read from `fire`: how far each part is behind the kiln, and what the difference pulls.
"""

from dataclasses import dataclass, replace

import numpy as np

from kilncalc._heat import exchange_coefficient
from kilncalc._ranges import ArrayLike, scalar_in_range
from kilncalc.error_bars import Bar, ErrorBars, error_bars
from kilncalc.firing import Firing, Kiln, fire
from kilncalc.materials import ALLOWED_RESIDUAL, ALLOWED_TENSION, Glass
from kilncalc.piece import Layer, Piece, Zone
from kilncalc.schedule import Schedule, Segment

WARMED_TO = 340.0
"""So far the kiln is followed up [degC]: the pull of heating is largest below it."""

SPAN = 0.150
"""Width of the piece that is drawn, and of the banner, whose sleeve lies across it [m]."""

_KILN = Kiln()


def warming(rate: float) -> Schedule:
    """Return one segment from the room to `WARMED_TO`, as far as heating can harm cold glass.

    Parameters
    ----------
    rate : float
        Of the kiln [degC/h], > 0, at most 100000.

    Returns
    -------
    Schedule
        One segment.

    Raises
    ------
    ValueError
        If the rate is outside its range.

    Examples
    --------
    >>> round(warming(160).duration / 3600, 2)
    2.0
    """
    return Schedule((Segment(rate, WARMED_TO),))


def behind_the_kiln(firing: Firing, zone: int) -> np.ndarray:
    """Return how far a zone's mean temperature is behind the kiln in time, T_air - T_mean.

    Parameters
    ----------
    firing : Firing
        A firing.
    zone : int
        The zone, counted from 0 [-], 0 to the number of zones less one.

    Returns
    -------
    ndarray
        The difference [K], one a time of the firing; negative where the zone is the hotter one.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> firing = fire(warming(100), Piece(glass("float"), (Zone(0.006, 1.0),)))
    >>> bool(40 < behind_the_kiln(firing, 0).max() < 50)
    True
    """
    temperature = firing.temperature[:, zone]
    return firing.air - np.trapezoid(temperature, dx=1.0, axis=1) / (temperature.shape[1] - 1)


# ------------------------------------------------------------------ two thicknesses


@dataclass(frozen=True)
class TwoThicknesses:
    """One piece, thin on one side and thick on the other, on its way up and on its way down.

    Attributes
    ----------
    rate : float
        Of the kiln, up and down [degC/h].
    thin, thick : float
        The two thicknesses [m].
    share : float
        Of the area that is thick [-].
    solid : Firing
        Heated as one solid piece.
    on_base : Firing
        Heated with the thick part's upper sheet loose on a base sheet that runs through under both.
    heap : Firing
        Heated with nothing that runs through.
    cooled : Firing
        The solid piece, cooled at the same rate from the annealing point to the room.
    allowed_tension, allowed_residual : float
        The limits [Pa].
    likely, likely_on_base, likely_heap, likely_stays : Bar
        Between what the tension of the three, heated, and what stays probably lie [Pa].
    """

    rate: float
    thin: float
    thick: float
    share: float
    solid: Firing
    on_base: Firing
    heap: Firing
    cooled: Firing
    allowed_tension: float
    allowed_residual: float
    likely: Bar
    likely_on_base: Bar
    likely_heap: Bar
    likely_stays: Bar

    @property
    def apart(self) -> float:
        """The largest difference between thin and thick of the solid piece while it is heated [K]."""
        thin, thick = (behind_the_kiln(self.solid, zone) for zone in (0, 1))
        return float(np.abs(thick - thin).max())

    @property
    def pulled_most(self) -> Firing:
        """The one of the three that is pulled most while it is heated."""
        return max((self.solid, self.on_base, self.heap), key=lambda one: one.peak_tension("heating"))

    @property
    def stays(self) -> float:
        """The largest tension that stays in the cold piece after that rate [Pa]."""
        return max(float(self.cooled.residual.max()), 0.0)

    @property
    def stays_in_thick(self) -> bool:
        """Whether it is the thick part that what stays pulls most."""
        return bool(self.cooled.residual.max(axis=1).argmax() == 1)


def two_thicknesses(
    rate: float,
    thin: float,
    extra: float,
    share: float,
    glass: Glass,
    kiln: Kiln = _KILN,
    allowed_tension: float = ALLOWED_TENSION,
    allowed_residual: float = ALLOWED_RESIDUAL,
) -> TwoThicknesses:
    """Return a piece of two wide thicknesses heated solid, loose and as a heap, and cooled.

    While each part is nearly even in itself, thick and thin part by about R rho c (d2 - d1)/h.

    Parameters
    ----------
    rate : float
        Of the kiln, up and down [degC/h], > 0, at most 100000.
    thin : float
        The thinner part [m], 0.2e-3 to 0.15.
    extra : float
        By how much the other part is thicker [m], > 0, at most 0.15.
    share : float
        Share of the area that is thick [-], > 0, below 1.
    glass : Glass
        The glass.
    kiln : Kiln
        Where.
    allowed_tension, allowed_residual : float
        The limits for what passes and for what stays [Pa], 0.01e6 to 50e6.

    Returns
    -------
    TwoThicknesses
        Four firings and what they say.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    Both parts are wide: an upper bound for a narrow rib. In a heap every sheet stretches as it likes, so it
    is pulled as that sheet alone would be, and no less.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> piece = two_thicknesses(100, 0.003, 0.003, 0.3, glass("float"))
    >>> piece.heap.peak_tension("heating") < 0.05 * piece.solid.peak_tension("heating")
    True
    """
    more = scalar_in_range("extra", extra, "m", 0.0, 0.15, open_low=True)
    thick = thin + more
    zones = (Zone(thin, 1 - share), Zone(thick, share))
    heap = (
        Zone(thin, 1 - share, layers=(Layer(thin, "one"),)),
        Zone(thick, share, layers=(Layer(thin, "two"), Layer(more, "on it"))),
    )
    solid = Piece(glass, zones)
    up, down = warming(rate), Schedule((Segment(rate, kiln.room),), glass.annealing_point)
    pieces = solid, Piece(glass, zones, loose=True), Piece(glass, heap, loose=True)
    heated, on_base, in_heap = (_bars(up, one, kiln) for one in pieces)
    cooled = _bars(down, solid, kiln)
    return TwoThicknesses(
        rate=float(rate),
        thin=float(thin),
        thick=float(thick),
        share=float(share),
        solid=heated.firing,
        on_base=on_base.firing,
        heap=in_heap.firing,
        cooled=cooled.firing,
        allowed_tension=scalar_in_range("allowed_tension", allowed_tension, "Pa", 0.01e6, 50e6),
        allowed_residual=scalar_in_range("allowed_residual", allowed_residual, "Pa", 0.01e6, 50e6),
        likely=heated.heating,
        likely_on_base=on_base.heating,
        likely_heap=in_heap.heating,
        likely_stays=cooled.residual,
    )


def _bars(schedule: Schedule, piece: Piece, kiln: Kiln) -> ErrorBars:
    """Return the error bars of what the thicknesses do; what an uneven kiln adds is left out here."""
    return error_bars(schedule, piece, replace(kiln, unevenness=0.0))


# ------------------------------------------------------------------ a former of fibre paper


@dataclass(frozen=True)
class Covered:
    """A sheet with a former of fibre paper on it while it is heated, and a rib in the former's place.

    Attributes
    ----------
    base : float
        Thickness of the sheet [m].
    paper : float
        Height of the former [m].
    width : float
        Of the former [m].
    firing : Firing
        Zone 0 is bare, zone 1 lies under the former.
    rib : Firing
        The same sheet with a rib as wide, and as high as the sheet is thick.
    allowed_tension : float
        The limit [Pa].
    likely : Bar
        Between what the tension probably lies [Pa].
    """

    base: float
    paper: float
    width: float
    firing: Firing
    rib: Firing
    allowed_tension: float
    likely: Bar

    @property
    def apart(self) -> float:
        """The largest difference between the bare sheet and what lies under the former [K]."""
        bare, under = (behind_the_kiln(self.firing, zone) for zone in (0, 1))
        return float(np.abs(under - bare).max())

    @property
    def tension(self) -> float:
        """The largest tension [Pa]."""
        return self.firing.peak_tension("heating")


def covered(
    rate: float,
    base: float,
    paper: float,
    width: float,
    glass: Glass,
    kiln: Kiln = _KILN,
    allowed_tension: float = ALLOWED_TENSION,
) -> Covered:
    """Return what a former of fibre paper does to the sheet below it while both are heated.

    The paper adds the resistance height/k to the top face under it.

    Parameters
    ----------
    rate : float
        Of the kiln [degC/h], > 0, at most 100000.
    base : float
        Thickness of the sheet [m], 0.2e-3 to 0.075.
    paper : float
        Height of the former [m], 0 to 0.1.
    width : float
        Of the former, across a piece `SPAN` wide [m], > 0, below 0.15.
    glass : Glass
        The glass.
    kiln : Kiln
        Where.
    allowed_tension : float
        The limit [Pa], 0.01e6 to 50e6.

    Returns
    -------
    Covered
        Both firings and what they say.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    The sheet that will sink over the former lies free until then and does not pull. The width counts as it
    does for a rib: an estimate that was fitted to ribs and not to paper.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> banner = covered(100, 0.006, 0.0092, 0.016, glass("float"))
    >>> banner.tension > banner.rib.peak_tension("heating")
    True
    """
    across = scalar_in_range("width", width, "m", 0.0, SPAN, open_low=True)
    bare = Zone(base, 1 - across / SPAN)
    under = Zone(base, across / SPAN, feature_width=across, above="paper", paper=paper)
    rib = Zone(2 * base, across / SPAN, feature_width=across)
    bars = _bars(warming(rate), Piece(glass, (bare, under)), kiln)
    return Covered(
        base=float(base),
        paper=float(paper),
        width=across,
        firing=bars.firing,
        rib=fire(warming(rate), Piece(glass, (bare, rib)), kiln),
        allowed_tension=scalar_in_range("allowed_tension", allowed_tension, "Pa", 0.01e6, 50e6),
        likely=bars.heating,
    )


# ------------------------------------------------------------------ a narrow rib


@dataclass(frozen=True)
class Rib:
    """A rib on a sheet while it is heated, beside a wide part as thick.

    Attributes
    ----------
    base : float
        Thickness of the sheet [m].
    height : float
        Of the rib above it [m].
    width : float
        Of the rib [m].
    narrow, wide : Firing
        The rib, and the same with no width given: the upper bound.
    allowed_tension : float
        The limit [Pa].
    likely : Bar
        Between what the tension with the rib probably lies [Pa].
    """

    base: float
    height: float
    width: float
    narrow: Firing
    wide: Firing
    allowed_tension: float
    likely: Bar

    @property
    def tension(self) -> float:
        """The largest tension with the rib [Pa]."""
        return self.narrow.peak_tension("heating")

    @property
    def share(self) -> float:
        """What is left of the wide part's tension [-]."""
        return self.tension / self.wide.peak_tension("heating")


RIB_SHARE = 0.1
"""Share of the area that the rib covers [-]."""


def rib(
    rate: float,
    base: float,
    height: float,
    width: float,
    glass: Glass,
    kiln: Kiln = _KILN,
    allowed_tension: float = ALLOWED_TENSION,
) -> Rib:
    """Return a rib on a tenth of a sheet while it is heated, and a wide part as thick.

    A narrow rib is warmed and held by what is beside it: its own thermal strain counts by a factor below 1
    (see `kilncalc.piece.Zone`).

    Parameters
    ----------
    rate : float
        Of the kiln [degC/h], > 0, at most 100000.
    base : float
        Thickness of the sheet [m], 0.2e-3 to 0.15.
    height : float
        Of the rib above it [m], > 0, at most 0.15.
    width : float
        Of the rib [m], > 0, at most 1.
    glass : Glass
        The glass.
    kiln : Kiln
        Where.
    allowed_tension : float
        The limit [Pa], 0.01e6 to 50e6.

    Returns
    -------
    Rib
        Both firings and what they say.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    For straight ribs that run along a long piece, from the middle to a quarter of its width from a side: 10 %
    below to 25 % above a thickness map from 2 mm of width. Along a side zones know a rib by its place
    (`piece.Zone`). Crossings and patterns need the map.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> rib(100, 0.003, 0.003, 0.010, glass("float")).share < 0.5
    True
    """
    high = scalar_in_range("height", height, "m", 0.0, 0.15, open_low=True)

    def piece(feature_width: float | None) -> Piece:
        zones = (Zone(base, 1 - RIB_SHARE), Zone(base + high, RIB_SHARE, feature_width=feature_width))
        return Piece(glass, zones)

    narrow = _bars(warming(rate), piece(width), kiln)
    return Rib(
        base=float(base),
        height=high,
        width=float(width),
        narrow=narrow.firing,
        wide=fire(warming(rate), piece(None), kiln),
        allowed_tension=scalar_in_range("allowed_tension", allowed_tension, "Pa", 0.01e6, 50e6),
        likely=narrow.heating,
    )


# ------------------------------------------------------------------ heat through a face


PUBLISHED_FILM = 7.0
"""Incropera & DeWitt, example 9.2 (from memory): heat that a glass fire screen at 232 degC gives to the air
of a room at 23 degC [W/m2/K]."""

PUBLISHED_FACE, PUBLISHED_ROOM = 232.0, 23.0
"""Temperatures of that example, face and room [degC]."""


@dataclass(frozen=True)
class Exchange:
    """The heat that a face exchanges with a room for each degree between them, by air and by radiation.

    Attributes
    ----------
    temperature : ndarray
        Of the face (point) [degC].
    coefficient : ndarray
        What the kiln of the model takes there (point) [W/m2/K].
    at, room : float
        Temperatures of the published example, face and room [degC].
    computed : float
        What the model takes there [W/m2/K].
    by_air : float
        The published part [W/m2/K].
    by_radiation : float
        What the law of radiation adds to it, every face black; our own sum [W/m2/K].
    """

    temperature: np.ndarray
    coefficient: np.ndarray
    at: float
    room: float
    computed: float
    by_air: float
    by_radiation: float

    @property
    def together(self) -> float:
        """The published part and the law of radiation together [W/m2/K]."""
        return self.by_air + self.by_radiation

    @property
    def difference(self) -> float:
        """Computed against both together, as a share of them [-]."""
        return self.computed / self.together - 1


def exchange(kiln: Kiln = _KILN) -> Exchange:
    """Return the heat a face exchanges with a room beside the published example of a fire screen.

    h = film + emissivity sigma (Ts^2 + Tr^2)(Ts + Tr), with kelvin.

    Parameters
    ----------
    kiln : Kiln
        Whose film and emissivity are taken.

    Returns
    -------
    Exchange
        Coefficients [W/m2/K] against temperatures [degC], and the example.

    Examples
    --------
    >>> round(exchange().computed, 1)
    19.0

    References
    ----------
    Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, example 9.2.
    """

    def coefficient(face: ArrayLike, film: float, emissivity: float) -> np.ndarray:
        return np.asarray(exchange_coefficient(np.asarray(face), PUBLISHED_ROOM, film, emissivity))

    temperature = np.linspace(20.0, 600.0, 59)
    return Exchange(
        temperature=temperature,
        coefficient=coefficient(temperature, kiln.film, kiln.emissivity),
        at=PUBLISHED_FACE,
        room=PUBLISHED_ROOM,
        computed=float(coefficient(PUBLISHED_FACE, kiln.film, kiln.emissivity)),
        by_air=PUBLISHED_FILM,
        by_radiation=float(coefficient(PUBLISHED_FACE, 0.0, 1.0)),
    )
