"""Forming by heat: how long at which temperature, and what a sheet does that slumps or is draped.

One number says everything, the fluidity F = integral of dt/eta [1/Pa]: firings of equal fluidity form
alike, however hot and however long. The sheet itself is followed in `kilncalc._film`.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from kilncalc import _film
from kilncalc._ranges import ArrayLike, in_range, like_input, scalar_in_range
from kilncalc.materials import Glass
from kilncalc.schedule import Schedule, Segment

GRAVITY = _film.GRAVITY
"""Acceleration of gravity [m/s2]."""

LAST_FLUIDITY = 3e-3
"""No sheet is followed beyond this fluidity [1/Pa]: too much glass has gathered at the corners."""

FLUIDITY_OF = {"slump": 1e-4, "drape": 1e-4, "drape and bond": 1e-3}
"""Fluidity [1/Pa] that a forming asks for unless somebody computed that of the piece.

Slump: a sheet of 6 mm over a round mould 150 to 180 mm wide and 20 mm deep touches the floor at 1.0 to 2.2e-5
and lies on half to two thirds of its width at 1e-4, to a tenth of the depth; by 2e-4 it has drawn 10 mm in
and slides off its ledge.
Drape: a strip of 3 to 6 mm over a former 9 to 15 mm high touches down at 1.3 to 2.1e-5; five times that lets
the colder places follow. Drape and bond: face and base must grow together where they touch (as grains of 1.5
mm radius do to a neck of 0.56); a sheet whose rims are gripped gets a fifth thinner by then. Own results.
"""

STUCK, MELTED = 0.1, 1.0
"""Neck over radius from which grains count as stuck, and from which they have lost their shape [-]."""

_LEAST_READS_HIGH, _GAP_READS_HIGH = 0.35, 0.50
"""By how much thickness and foot gap may read high at the last fluidity, less by the root before [-]: what
two-dimensional solves of the banner's sleeve show (tests/test_viscous_flap.py)."""
_BENDS = 6.5  # overhang over thickness from which a flap bends like a thin sheet
_TALL = 8  # height over thickness up to which a flap comes down as a sheet; a taller one folds up
_SPANS = 10  # span over thickness from which sag by shear stays below 4 %
_TOUCHES = 5e-6  # m: nearer than this to the base the sheet rests on it
_SEAM = 5e-5  # m: nearer than this they grow together
_GAUSS = np.polynomial.legendre.leggauss(48)


# ------------------------------------------------------------------ fluidity


def fluidity(schedule: Schedule, glass: Glass, time: ArrayLike = None) -> Any:
    """Return what a schedule makes glass flow, F = integral of dt/eta(T(t)), above its strain point.

    Parameters
    ----------
    schedule : Schedule
        The schedule; the glass is taken to be as hot as it says.
    glass : Glass
        The glass.
    time : float, array or None
        Up to which time [s], 0 to `schedule.duration`. None: all of it.

    Returns
    -------
    float or array
        Fluidity [1/Pa], shape of `time`.

    Raises
    ------
    ValueError
        If the schedule is hotter than the viscosity of the glass is known for.

    Notes
    -----
    Colder than the strain point glass adds nothing: at its viscosity there a whole day adds 3e-9. Thick glass
    lags behind the schedule: count from when it has caught up.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> slump = Schedule((Segment(200, 680, 10), Segment(None, 515)))
    >>> print(f"{fluidity(slump, glass('lamp soda-lime')):.2e}")
    1.32e-04
    """
    corners, temperatures = schedule.corners
    end = in_range("time", schedule.duration if time is None else time, "s", 0.0, schedule.duration)
    cold = glass.strain_point
    total = np.zeros(np.shape(end))
    for t0, t1, a, b in zip(corners, corners[1:], temperatures, temperatures[1:], strict=False):
        warm = sorted((_reach(cold, a, b), float(b > a))) if a != b else [0.0, float(a >= cold)]
        start, stop = t0 + np.array(warm) * (t1 - t0)
        span = np.clip(end, start, stop) - start
        if span.any():
            at = start + span[..., None] * (_GAUSS[0] + 1) / 2
            viscosity = glass.viscosity_at(np.maximum(np.interp(at, [t0, t1], [a, b]), cold))
            total = total + span / 2 * (_GAUSS[1] / viscosity).sum(axis=-1)
    return like_input(total)


def _reach(level: float, start: float, end: float) -> float:
    """Return the share of the way from start to end at which a level is passed, between 0 and 1."""
    return min(max((level - start) / (end - start), 0.0), 1.0)


def hold_minutes(fluidity: ArrayLike, temperature: ArrayLike, glass: Glass) -> Any:
    """Return how long glass must be held at a temperature for a fluidity, t = F eta(T)/60.

    Parameters
    ----------
    fluidity : float or array
        Fluidity F [1/Pa], 0 to 100.
    temperature : float or array
        Temperature of the glass T [degC], `strain_point` to the hottest its viscosity is known for.
    glass : Glass
        The glass.

    Returns
    -------
    float or array
        Time [min].

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    A hold is never alone: `ramp_minutes` says what the way up to it counts.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> [round(hold_minutes(1e-4, t, glass("lamp soda-lime")), 1) for t in (670, 680, 690)]
    [21.8, 13.6, 8.6]
    """
    f = in_range("fluidity", fluidity, "1/Pa", 0.0, 100.0)
    return like_input(f * np.asarray(glass.viscosity_at(temperature)) / 60)


def ramp_minutes(rate: float, temperature: float, glass: Glass) -> float:
    """Return how many minutes of hold at its top a steady climb counts, eta(T) times the integral of dt/eta.

    Parameters
    ----------
    rate : float
        Rate of the climb [degC/h], 1 to 100000.
    temperature : float
        Its top [degC], `strain_point` to the hottest the viscosity of the glass is known for.
    glass : Glass
        The glass.

    Returns
    -------
    float
        Time [min].

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    Close to 60 (T - T0)^2/(B ln(10) rate), with B and T0 of the viscosity: the way up counts the more the
    hotter its top, and not at all more for being longer.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> round(ramp_minutes(200, 680, glass("lamp soda-lime")), 1)
    6.0
    """
    climb = scalar_in_range("rate", rate, "degC/h", 1.0, 1e5)
    viscosity = glass.viscosity_at(temperature)
    cold = min(glass.strain_point, temperature) - 1.0
    return float(fluidity(Schedule((Segment(climb, temperature),), cold), glass) * viscosity / 60)


@dataclass(frozen=True)
class SameForm:
    """How long the same form takes at one temperature and at others.

    Attributes
    ----------
    glass : Glass
        The glass.
    fluidity : float
        What the form asks for [1/Pa].
    temperature : float
        Temperature of the hold [degC].
    minutes : float
        Length of the hold, the climb not counted [min].
    cooler, hotter : float
        Length of a hold ten degrees (K) cooler and hotter [min].
    climb : float
        What a climb to this temperature at `climb_rate` counts [min].
    climb_rate : float
        Rate of that climb [degC/h].
    temperatures, holds : ndarray
        Temperatures [degC] and the lengths of their holds [min].
    """

    glass: Glass
    fluidity: float
    temperature: float
    minutes: float
    cooler: float
    hotter: float
    climb: float
    climb_rate: float
    temperatures: np.ndarray
    holds: np.ndarray


def same_form(fluidity: float, temperature: float, glass: Glass, climb_rate: float = 200.0) -> SameForm:
    """Return the holds that give one form at a temperature, ten degrees off it, and on a whole curve.

    Parameters
    ----------
    fluidity : float
        What the form asks for [1/Pa], 0 to 100.
    temperature : float
        Temperature of the hold [degC], `glass.temperature_at(10)` to `glass.temperature_at(4)`, in whole
        degrees.
    glass : Glass
        The glass.
    climb_rate : float
        How fast the kiln climbs there [degC/h], 1 to 100000.

    Returns
    -------
    SameForm
        Holds [min].

    Raises
    ------
    ValueError
        If a number is outside its range.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> same = same_form(1e-4, 680, glass("lamp soda-lime"))
    >>> round(same.cooler / same.minutes, 2)
    1.61
    """
    coldest, hottest = glass.temperature_at(10.0), glass.temperature_at(4.0)
    level = scalar_in_range(
        "temperature",
        temperature,
        "degC",
        math.ceil(coldest),
        math.floor(hottest),
        hint=lambda given: f"{glass.name} is too {'stiff' if given < coldest else 'thin'} to be formed there",
    )
    temperatures = np.linspace(coldest, hottest, 121)
    return SameForm(
        glass=glass,
        fluidity=float(fluidity),
        temperature=level,
        minutes=hold_minutes(fluidity, level, glass),
        cooler=hold_minutes(fluidity, level - 10, glass),
        hotter=hold_minutes(fluidity, level + 10, glass),
        climb=ramp_minutes(climb_rate, level, glass),
        climb_rate=float(climb_rate),
        temperatures=temperatures,
        holds=hold_minutes(fluidity, temperatures, glass),
    )


# ------------------------------------------------------------------ grains


def neck_growth(radius: ArrayLike, fluidity: ArrayLike, surface_tension: float) -> Any:
    """Return how wide the neck between two grains has grown, x/r = sqrt(1.5 F gamma/r).

    Parameters
    ----------
    radius : float or array
        Radius r of the grains [m], 1e-6 to 0.02.
    fluidity : float or array
        Fluidity F [1/Pa], 0 to 100.
    surface_tension : float
        Surface tension gamma [N/m], 0 to 0.6.

    Returns
    -------
    float or array
        Radius of the neck over radius of the grains [-], shape of the arguments.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    For equal balls that touch, and as long as the neck is small, to about 0.5. From 1 on it is no neck: the
    grains have become one drop, whatever the number. Crushed grains touch with flats and corners and stick
    sooner.

    Examples
    --------
    >>> [round(neck_growth(r, 600 / 1e6, 0.3), 2) for r in (0.0005, 0.0015)]
    [0.73, 0.42]

    References
    ----------
    Frenkel 1945, J. Phys. USSR 9, 385.
    """
    r = in_range("radius", radius, "m", 1e-6, 0.02)
    f = in_range("fluidity", fluidity, "1/Pa", 0.0, 100.0)
    gamma = scalar_in_range("surface_tension", surface_tension, "N/m", 0.0, 0.6)
    return like_input(np.sqrt(1.5 * f * gamma / r))


@dataclass(frozen=True)
class Grains:
    """What a firing does to grains of glass.

    Attributes
    ----------
    radius : float
        Radius of the grains [m].
    fluidity : float
        Fluidity of the firing [1/Pa].
    neck : float
        Neck over radius [-].
    largest_stuck : float
        Radius of the largest grains that stick to their neighbours [m].
    largest_melted : float
        Radius of the largest grains that have lost their shape [m].
    radii, necks : ndarray
        Radii [m] and their necks [-].
    """

    radius: float
    fluidity: float
    neck: float
    largest_stuck: float
    largest_melted: float
    radii: np.ndarray
    necks: np.ndarray


def grains(radius: float, temperature: float, minutes: float, glass: Glass) -> Grains:
    """Return which grains a hold sticks together and which it melts, r = 1.5 F gamma/(x/r)^2.

    Parameters
    ----------
    radius : float
        Radius r of the grains looked at [m], 1e-6 to 0.02.
    temperature : float
        Temperature of the hold [degC], `strain_point` to the hottest the viscosity of the glass is known for.
    minutes : float
        Its length, the climb counted in [min], 0 to 100000.
    glass : Glass
        The glass.

    Returns
    -------
    Grains
        Necks [-] and radii [m].

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    Stuck is a neck of 0.1, melted one of 1: between sizes that only stick and sizes that melt flat lies a
    factor of 100. That is why fines are sieved out of a texture.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> made = grains(0.0015, 700, 10, glass("lamp soda-lime"))
    >>> round(made.neck, 2), made.largest_stuck > 0.0015 > made.largest_melted
    (0.24, True)
    """
    time = scalar_in_range("minutes", minutes, "min", 0.0, 1e5)
    f = 60 * time / glass.viscosity_at(temperature)
    gamma = glass.surface_tension
    radii = np.geomspace(2e-5, 5e-3, 121)
    return Grains(
        radius=float(radius),
        fluidity=f,
        neck=neck_growth(radius, f, gamma),
        largest_stuck=1.5 * f * gamma / STUCK**2,
        largest_melted=1.5 * f * gamma / MELTED**2,
        radii=radii,
        necks=neck_growth(radii, f, gamma),
    )


# ------------------------------------------------------------------ the sheet at one moment


@dataclass(frozen=True, eq=False)
class Profile:
    """The right half of a sheet in section.

    Attributes
    ----------
    fluidity : float
        Since the start of the firing [1/Pa].
    x, y : ndarray
        Points of the mid-surface, from the middle to the edge [m].
    thickness : ndarray
        Thickness of the glass between each two points [m].
    """

    fluidity: float
    x: np.ndarray
    y: np.ndarray
    thickness: np.ndarray

    @property
    def lower(self) -> tuple[np.ndarray, np.ndarray]:
        """x and y of the lower face [m]."""
        return self._face(-1)

    @property
    def upper(self) -> tuple[np.ndarray, np.ndarray]:
        """x and y of the upper face [m]."""
        return self._face(1)

    @property
    def length(self) -> np.ndarray:
        """Length of the glass between each two points [m]."""
        return np.hypot(np.diff(self.x), np.diff(self.y))

    def _face(self, side: int) -> tuple[np.ndarray, np.ndarray]:
        dx, dy = np.gradient(self.x), np.gradient(self.y)
        dy[0] = 0.0  # level where the sheet is symmetric
        half = side * _at_points(self.thickness) / 2 / np.hypot(dx, dy)
        return self.x - half * dy, self.y + half * dx


def _at_points(thickness: np.ndarray) -> np.ndarray:
    return np.concatenate([thickness[:1], (thickness[1:] + thickness[:-1]) / 2, thickness[-1:]])


def _profile(state: _film.State) -> Profile:
    return Profile(float(state.fluidity), state.nodes[:, 0], state.nodes[:, 1], state.thickness)


def _between(profiles: Sequence[Profile], fluidity: float) -> Profile:
    """Return the sheet at a fluidity between two that were computed."""
    known = np.array([profile.fluidity for profile in profiles])
    i = int(np.clip(np.searchsorted(known, fluidity), 1, len(known) - 1))
    a, b = profiles[i - 1], profiles[i]
    share = (fluidity - a.fluidity) / (b.fluidity - a.fluidity)

    def mixed(one: np.ndarray, other: np.ndarray) -> np.ndarray:
        return (1 - share) * one + share * other

    return Profile(fluidity, mixed(a.x, b.x), mixed(a.y, b.y), mixed(a.thickness, b.thickness))


# ------------------------------------------------------------------ slump


@dataclass(frozen=True, eq=False)
class Slump:
    """A sheet that sinks between its supports to a drop.

    Attributes
    ----------
    span, thickness, drop : float
        Clear width, thickness of the flat sheet, and how far its middle has sunk [m].
    round : bool
        Whether it is a round plate on a ring, or else a strip between two ledges.
    fluidity : float
        What it took [1/Pa].
    draw_in : float
        Inward move of each edge [m].
    least_thickness : float
        Where the glass is thinnest [m].
    touches : float or None
        Distance from the middle at which the sheet meets the mould first [m]; None where no mould was given.
    profiles : tuple of Profile
        The sheet from flat to `drop`; the ledge is at height 0.
    """

    span: float
    thickness: float
    drop: float
    round: bool
    fluidity: float
    draw_in: float
    least_thickness: float
    touches: float | None
    profiles: tuple[Profile, ...]

    def at(self, fluidity: float) -> Profile:
        """Return the sheet at a fluidity on its way.

        Parameters
        ----------
        fluidity : float
            Since the start of the firing [1/Pa], 0 to `fluidity` of the slump.

        Returns
        -------
        Profile
            The sheet.

        Raises
        ------
        ValueError
            If the sheet was not followed so far.
        """
        return _between(self.profiles, _followed(fluidity, self.fluidity))


def _followed(fluidity: float, last: float) -> float:
    return scalar_in_range(
        "fluidity", fluidity, "1/Pa", 0.0, last, hint=lambda _: "The sheet was followed no further."
    )


Mould = Iterable[tuple[float, float]]
"""Points of a mould's face: distance from the middle [m], depth below the ledge [m], from the middle out."""


def slump(
    span: float,
    thickness: float,
    drop: float,
    round: bool = False,
    ledge: float = 0.010,
    edge: Literal["free", "pinned"] = "free",
    density: float = 2450.0,
    surface_tension: float = 0.0,
    mould: Mould | None = None,
) -> Slump:
    """Return how a sheet sinks between its supports until its middle has dropped, or it meets a mould.

    Early, a free strip needs F = 25.6 drop h^2/(rho g span^4), a pinned one 512 drop^3/(9 rho g span^4).

    Parameters
    ----------
    span : float
        Clear width between the ledges, or bore of the ring [m], 0.02 to 1.
    thickness : float
        Thickness of the sheet [m], 1e-3 to 0.02; at most a tenth of the span.
    drop : float
        How far the middle is to sink [m], 0.1e-3 to 0.4, at most 0.4 of the span.
    round : bool
        True for a round plate on a ring, False for a strip between two long ledges.
    ledge : float
        Width of glass that lies on the ledge at the start, on either side [m], 0.001 to 0.2; only a free edge
        has one.
    edge : str
        "free" slides over the ledge; "pinned" is trapped there, and turns.
    density : float
        Density of the glass [kg/m3], 2000 to 6500.
    surface_tension : float
        Surface tension [N/m], 0 to 0.6.
    mould : pairs of numbers, optional
        Face of a mould: distance from the middle [m] and depth below the ledge [m]. The sheet is followed
        until it meets it first, or until it has dropped.

    Returns
    -------
    Slump
        Fluidity [1/Pa], draw-in and thickness [m], profiles.

    Raises
    ------
    ValueError
        If a number is outside its range, the sheet is too thick for the model, or it slides off its ledge or
        comes to rest before.

    Notes
    -----
    A thin viscous sheet without friction, in a section far from corners; sagging by shear is left out (4 % at
    a span of ten thicknesses). A rectangular mould lies between strip and ring. After first contact a sheet
    is not followed. By bending alone, in a mould with a floor of half its width and straight flanks, an
    eighth of the depth is still open below a round plate at five times the fluidity of first contact, below a
    strip at fifteen times.

    Examples
    --------
    >>> free = slump(0.150, 0.006, 0.020)
    >>> print(f"{free.fluidity:.2e} 1/Pa, each edge draws in {free.draw_in * 1000:.1f} mm")
    1.39e-06 1/Pa, each edge draws in 3.9 mm

    References
    ----------
    Howell 1996, Eur. J. Appl. Math. 7, 321; Teichman & Mahadevan 2003, J. Fluid Mech. 478, 71.
    """
    l = scalar_in_range("span", span, "m", 0.02, 1.0)
    h = _thickness(thickness, 0.02)
    if l < _SPANS * h:
        raise ValueError(
            f"thickness is {h:g} m, more than a tenth of the span of {l:g} m: this is a thick plate, which "
            "sinks by shear as well; the model is for thin sheets"
        )
    goal = scalar_in_range("drop", drop, "m", 0.1e-3, min(0.4, 0.4 * l))
    overlap = scalar_in_range("ledge", ledge, "m", 1e-3, 0.2)
    matter = _matter(density, surface_tension)
    if edge not in ("free", "pinned"):
        raise ValueError(f'edge must be "free" or "pinned", got {edge!r}')
    free = edge == "free"
    if free:
        dense = l / 2 - 2 * h
        x = _points((0, dense, l / 2 + overlap), (36, 25))
        block = _film.Block(l / 2, 0.0, -1)
        sheet = _film.Sheet(x, h / 2, h, *matter, round=round, block=block)
    else:
        x = _points((0, l / 2), (60,))
        sheet = _film.Sheet(x, h / 2, h, *matter, round=round, held=(0, -2, -1))
    face = _mould_face(mould)

    def left(profile: Profile) -> float:
        """How far the sheet still has to go [m], to its drop or to the nearest point of the mould."""
        to_drop = goal - (sheet.y - profile.y[0])
        return to_drop if face is None else min(to_drop, _clearance(profile, face, l / 2 - h).min())

    profiles: list[Profile] = []
    for state in _film.flow(sheet, goal / 50):
        profiles.append(_profile(state))
        drawn, sunk = x[-1] - profiles[-1].x[-1], sheet.y - profiles[-1].y[0]
        if left(profiles[-1]) <= 0:
            break
        if free and profiles[-1].x[-1] <= l / 2:
            raise ValueError(
                f"the sheet slides off its ledge when it has dropped {sunk:.2g} m of {goal:g} m: each edge "
                f"draws in {drawn:.2g} m. Let it overlap more, or drop less"
            )
        if state.fluidity > LAST_FLUIDITY:
            raise ValueError(
                f"the sheet drops only {sunk:.2g} m of {goal:g} m up to a fluidity of {LAST_FLUIDITY:g} "
                "1/Pa, where the model ends: the span is too narrow to sink so far"
            )
    if len(profiles) < 2:
        raise ValueError("the mould's face touches the flat sheet already; give its depth below the ledge")
    before, after = left(profiles[-2]), left(profiles[-1])
    reached = before / (before - after)
    start, end = profiles[-2].fluidity, profiles[-1].fluidity
    profiles[-1] = _between(profiles, float(start + reached * (end - start)))
    last = profiles[-1]
    touches = None
    if face is not None:
        clearance = _clearance(last, face, l / 2 - h)
        if clearance.min() < goal - (sheet.y - last.y[0]) + 1e-6:  # met, and not only dropped
            touches = float(last.lower[0][clearance.argmin()])
    return Slump(
        span=l,
        thickness=h,
        drop=float(sheet.y - last.y[0]),
        round=round,
        fluidity=last.fluidity,
        draw_in=float(x[-1] - last.x[-1]) if free else 0.0,
        least_thickness=float(last.thickness.min()),
        touches=touches,
        profiles=tuple(profiles),
    )


def _mould_face(mould: Mould | None) -> tuple[np.ndarray, np.ndarray] | None:
    """Return distances from the middle and heights of a mould's face, the ledge at height 0."""
    if mould is None:
        return None
    x, depth = np.array(list(mould), dtype=float).reshape(-1, 2).T
    in_range("distance of a mould's point from the middle", x, "m", 0.0, 0.5)
    in_range("depth of a mould's point", depth, "m", 0.0, 0.5)
    if len(x) < 2 or (np.diff(x) < 0).any():
        raise ValueError(
            "mould needs two or more points (distance from the middle, depth), from the middle out"
        )
    return x, -depth


def _clearance(profile: Profile, face: tuple[np.ndarray, np.ndarray], within: float) -> np.ndarray:
    """Return the height of the lower face over a mould [m], where it is not over the ledge."""
    x, y = profile.lower
    return np.where(x < within, y - np.interp(x, *face), np.inf)


def _thickness(thickness: float, largest: float) -> float:
    return scalar_in_range("thickness", thickness, "m", 1e-3, largest)


def _matter(density: float, surface_tension: float) -> tuple[float, float]:
    return (
        scalar_in_range("density", density, "kg/m3", 2000.0, 6500.0),
        scalar_in_range("surface_tension", surface_tension, "N/m", 0.0, 0.6),
    )


def _points(ends: Sequence[float], counts: Sequence[int]) -> np.ndarray:
    """Return points along a sheet, evenly spaced between each two ends."""
    parts = [np.linspace(a, b, n) for a, b, n in zip(ends, ends[1:], counts, strict=False)]
    return np.unique(np.concatenate(parts))


# ------------------------------------------------------------------ drape


@dataclass(frozen=True)
class Draped:
    """A draped sheet at one fluidity; lengths are for one side.

    Attributes
    ----------
    fluidity : float
        Since the start of the firing [1/Pa].
    draw_in : float
        Inward move of the edge [m].
    least_thickness : float
        Where the glass is thinnest [m].
    least_thickness_range : tuple of float
        Between which values it lies [m]: the model leaves out how a sharp corner dents the glass.
    ramp : float
        From the former's wall, less half a thickness, to where glass lies on the base [m]; 0 is a filled
        corner, and before touchdown it reaches to the edge.
    foot_gap : float
        From the foot of the former to the nearest glass [m].
    foot_gap_range : tuple of float
        Between which values it lies [m].
    seam : float
        Width in which the sheet is nearer than 0.05 mm to the base, so that they grow together [m]. The edge
        lifts by some tenths of a millimetre while the contact moves inwards.
    hollow : float
        Section under the sheet, both sides and the former included [m2].
    profile : Profile
        The right half of the sheet; the base is at height 0, the middle of the former at x = 0.
    """

    fluidity: float
    draw_in: float
    least_thickness: float
    least_thickness_range: tuple[float, float]
    ramp: float
    foot_gap: float
    foot_gap_range: tuple[float, float]
    seam: float
    hollow: float
    profile: Profile


@dataclass(frozen=True, eq=False)
class Drape:
    """A sheet that folds down over a former onto a base.

    Attributes
    ----------
    height, thickness, overhang, width : float
        Height of the former, thickness of the flat sheet, its overhang on either side, width of the former
        [m].
    block, base : str
        Whether the sheet "slides" or "sticks" there.
    touchdown_fluidity : float
        At which the edge meets the base [1/Pa].
    touchdown_draw_in : float
        Inward move of each edge until then [m].
    profiles : tuple of Profile
        The sheet on its way.
    """

    height: float
    thickness: float
    overhang: float
    width: float
    block: str
    base: str
    touchdown_fluidity: float
    touchdown_draw_in: float
    profiles: tuple[Profile, ...]

    def at(self, fluidity: float) -> Draped:
        """Return the sheet at a fluidity.

        Parameters
        ----------
        fluidity : float
            Since the start of the firing [1/Pa], 0 to the last of `profiles`.

        Returns
        -------
        Draped
            Its form and what is read off it [m].

        Raises
        ------
        ValueError
            If the sheet was not followed so far.
        """
        f = _followed(fluidity, self.profiles[-1].fluidity)
        profile = _between(self.profiles, f)
        wall = self.width / 2
        below_x, below_y = profile.lower
        rest = profile.y - _at_points(profile.thickness) / 2
        gap = _distance((wall, 0.0), profile)
        least = float(profile.thickness.min())
        rise = (f / LAST_FLUIDITY) ** 0.5
        return Draped(
            fluidity=f,
            draw_in=float(wall + self.overhang - profile.x[-1]),
            least_thickness=least,
            least_thickness_range=(least / (1 + _LEAST_READS_HIGH * rise), least),
            ramp=_first_below(profile.x, rest, _TOUCHES) - wall - self.thickness / 2,
            foot_gap=gap,
            foot_gap_range=(gap / (1 + _GAP_READS_HIGH * rise), gap),
            seam=_width_below(profile.x, rest, _SEAM),
            hollow=2 * float(np.trapezoid(below_y, below_x)),
            profile=profile,
        )


def _first_below(x: np.ndarray, height: np.ndarray, level: float) -> float:
    """Return the x from which on heights are below a level, between two points; the last x if none is."""
    below = np.flatnonzero(height <= level)
    if not len(below):
        return float(x[-1])
    i = max(int(below[0]), 1)
    share = (height[i - 1] - level) / (height[i - 1] - height[i])
    return float(x[i - 1] + share * (x[i] - x[i - 1]))


def _width_below(x: np.ndarray, height: np.ndarray, level: float) -> float:
    """Return on how much of x heights are below a level, in straight lines between the points."""
    low, high = np.minimum(height[:-1], height[1:]), np.maximum(height[:-1], height[1:])
    share = np.clip((level - low) / np.maximum(high - low, 1e-15), 0, 1)
    return float((share * np.diff(x)).sum())


def _distance(point: tuple[float, float], profile: Profile) -> float:
    """Return the distance of a point from the lower face [m]."""
    start = np.array([profile.x[:-1], profile.y[:-1]])
    step = np.array([np.diff(profile.x), np.diff(profile.y)])
    away = np.array(point)[:, None] - start
    share = np.clip((away * step).sum(axis=0) / (step**2).sum(axis=0), 0, 1)
    return float((np.hypot(*(away - share * step)) - profile.thickness / 2).min())


def _touchdown(profiles: Sequence[Profile]) -> tuple[float, float]:
    """Return fluidity and draw-in of the edge where it met the base, within the last of these steps."""
    start, earlier, before = profiles[0], *profiles[-3:-1]
    gap = before.y[-1] - before.thickness[-1] / 2
    share = gap / (earlier.y[-1] - before.y[-1])  # on from the step before, at the same speed
    met = before.fluidity + share * (before.fluidity - earlier.fluidity)
    return met, float(start.x[-1] - before.x[-1] + share * (earlier.x[-1] - before.x[-1]))


Contact = Literal["slides", "sticks"]


def drape(
    height: float,
    thickness: float,
    overhang: float,
    width: float,
    block: Contact = "slides",
    base: Contact = "slides",
    density: float = 2450.0,
    surface_tension: float = 0.0,
    until: float = LAST_FLUIDITY,
) -> Drape:
    """Return how a sheet folds down over a former, from flat past touchdown to a fluidity.

    At touchdown an edge has drawn in about 1.07 (a - sqrt(a^2 - H^2)), a the overhang, H the height.

    Parameters
    ----------
    height : float
        Height of the former over the base H [m], 1e-3 to 0.1; at most 8 thicknesses.
    thickness : float
        Thickness of the sheet h [m], 1e-3 to 0.015; at most overhang/6.5.
    overhang : float
        Width of glass beside the former on either side a [m], above `height` and at most 0.3.
    width : float
        Width of the former [m], 2e-3 to 0.6; at least the thickness.
    block : str
        Whether the glass "slides" over the former or "sticks" to it.
    base : str
        Whether the glass "slides" over the base or "sticks" to it where it touches.
    density : float
        Density of the glass [kg/m3], 2000 to 6500.
    surface_tension : float
        Surface tension [N/m], 0 to 0.6.
    until : float
        Fluidity to which the sheet is followed [1/Pa], 1e-6 to 3e-3, or to touchdown if that comes later.

    Returns
    -------
    Drape
        Touchdown, and the form at any fluidity up to `until`.

    Raises
    ------
    ValueError
        If a number is outside its range, the overhang is too short to reach the base or for the model, or the
        sheet does not touch down.

    Notes
    -----
    A section through a long, straight drape: corners and the mouth of a hollow lie outside it. Nobody knows
    the friction: compare "slides" with "sticks". Against a two-dimensional solve of the banner's sleeve on a
    sliding base draw-in is right within 8 %; the least thickness reads up to 10 % high at a fluidity of 3e-4,
    20 % at 1e-3 and 33 % at 3e-3, the foot gap 6, 26 and 46 %: results carry that as a range. Draw-in is that
    of the middle of the thickness; on a base that grips the lower rim, which leads by h/4, is what holds on.

    Examples
    --------
    >>> sleeve = drape(0.009, 0.003, 0.021, 0.018)
    >>> print(f"{sleeve.touchdown_fluidity:.1e}, {sleeve.touchdown_draw_in * 1000:.1f} mm an edge")
    2.1e-05, 2.2 mm an edge
    >>> from kilncalc.cutting import Allowance, blank_size
    >>> cut = blank_size(0.150, 0.056, Allowance(), Allowance(draw_in=sleeve.at(1e-4).draw_in))
    >>> print(f"cut {cut[1] * 1000:.1f} mm for 56 mm")
    cut 60.3 mm for 56 mm

    References
    ----------
    Howell 1996, Eur. J. Appl. Math. 7, 321; Ribe 2001, J. Fluid Mech. 433, 135.
    """
    tall = scalar_in_range("height", height, "m", 1e-3, 0.1)
    h = _thickness(thickness, 0.015)
    a = scalar_in_range("overhang", overhang, "m", 0.0, 0.3, open_low=True)
    w = scalar_in_range("width", width, "m", 2e-3, 0.6)
    f_end = scalar_in_range("until", until, "1/Pa", 1e-6, LAST_FLUIDITY)
    matter = _matter(density, surface_tension)
    for name, how in (("block", block), ("base", base)):
        if how not in ("slides", "sticks"):
            raise ValueError(f'{name} must be "slides" or "sticks", got {how!r}')
    if a <= tall:
        raise ValueError(
            f"overhang is {a:g} m and height {tall:g} m: the flap hangs beside the former and does not reach "
            "the base. Let it overhang by more than the height"
        )
    if a < _BENDS * h:
        raise ValueError(
            f"overhang is {a:g} m, less than {_BENDS:g} thicknesses of {h:g} m: so short a flap shears "
            "rather than bends; the model is for thin sheets"
        )
    if tall > _TALL * h:
        raise ValueError(
            f"height is {tall:g} m, more than {_TALL} thicknesses of {h:g} m: so long a flap hangs, "
            "stretches and folds up; the model is for low formers"
        )
    if w < h:
        raise ValueError(
            f"width is {w:g} m, less than the thickness {h:g} m: the sheet would fold on an edge"
        )
    wall = w / 2
    x = _points((0, wall - min(wall, 2.5 * h), wall + a), (17, 64))
    former = _film.Block(wall, tall, 1, grips=block == "sticks")
    sheet = _film.Sheet(x, tall + h / 2, h, *matter, block=former, base=0.0, base_grips=base == "sticks")
    profiles: list[Profile] = []
    touchdown = None
    for state in _film.flow(sheet, tall / 30):
        profiles.append(_profile(state))
        if touchdown is None and state.on_base.any():
            touchdown = _touchdown(profiles)
        if touchdown and state.fluidity >= f_end:
            break
        if state.fluidity >= LAST_FLUIDITY:
            raise ValueError(
                f"the flap has not touched down at a fluidity of {LAST_FLUIDITY:g} 1/Pa, where the model "
                f"ends: an overhang of {a:g} m hardly reaches the base {tall:g} m below"
            )
    assert touchdown is not None
    return Drape(tall, h, a, w, block, base, *touchdown, tuple(profiles))
