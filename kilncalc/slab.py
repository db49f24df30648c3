"""An even slab while it is heated or cooled: what is hotter, what is pulled, what holding it flat changes.

Everything is read from one `fire` (or two), at the moment at which the glass is pulled most.
"""

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from kilncalc._ranges import scalar_in_range
from kilncalc.annealing import slab_stress
from kilncalc.error_bars import Bar, error_bars
from kilncalc.firing import Firing, Kiln, fire
from kilncalc.materials import ALLOWED_TENSION, Glass
from kilncalc.piece import Piece, Zone
from kilncalc.schedule import Schedule, Segment

HEATED_TO, COOLED_FROM = 350.0, 250.0
"""Where heating ends and cooling begins here [degC]: so cold, glass only stretches. A slab heated to 350 is
pulled most before it gets there; one cooled from 350 would still set a little."""

FASTEST_RATE = 1000.0
"""Rate [degC/h] beyond which a limit says nothing about any kiln."""

_KILN = Kiln()
_EVEN = Kiln(unevenness=0.0)  # what an uneven kiln adds is no matter of the thickness
_WARMED_TO = 340.0  # degC; a slab on a shelf is pulled most below it


@dataclass(frozen=True)
class SteadySlab:
    """A slab on posts, heated or cooled through both faces, at the moment at which it is pulled most.

    Attributes
    ----------
    thickness : float
        Of the slab [m].
    rate : float
        Of the kiln, positive both ways [degC/h].
    heating : bool
        True: heated from the room; False: cooled to the room.
    height : ndarray
        Of the nodes as a share of the thickness, the underside first (node) [-].
    temperature : ndarray
        Of the glass (node) [degC].
    stress : ndarray
        In the glass, tension positive (node) [Pa].
    allowed_tension : float
        The limit it is held against [Pa].
    rate_at_limit : float
        The rate of the kiln that pulls with just that much [degC/h]; infinite above `FASTEST_RATE`.
    likely : Bar
        Between what the tension probably lies [Pa].
    """

    thickness: float
    rate: float
    heating: bool
    height: np.ndarray
    temperature: np.ndarray
    stress: np.ndarray
    allowed_tension: float
    rate_at_limit: float
    likely: Bar

    @property
    def lag(self) -> float:
        """How far the middle is behind the faces [K], never negative."""
        return float(np.ptp(self.temperature))

    @property
    def from_mean(self) -> np.ndarray:
        """How much hotter each node is than the mean of the slab [K]."""
        return self.temperature - float(np.trapezoid(self.temperature, self.height))

    @property
    def tension(self) -> float:
        """The largest tension [Pa]: in the middle of a slab that is heated, at the faces of a cooled one."""
        return float(self.stress.max())

    @property
    def tension_per_degree(self) -> float:
        """Tension for each degree that the middle is behind [Pa/K]."""
        return self.tension / self.lag


def steady_slab(
    thickness: float,
    rate: float,
    glass: Glass,
    heating: bool = True,
    allowed_tension: float = ALLOWED_TENSION,
) -> SteadySlab:
    """Return a slab heated or cooled at a steady rate of the kiln, when it is pulled most.

    Where it has caught up, the middle is behind by R L^2/(2 a) and E alpha/(1 - nu) times a third of that
    pulls it while it is heated, two thirds the faces while it is cooled.

    Parameters
    ----------
    thickness : float
        Of the slab [m], 0.2e-3 to 0.15.
    rate : float
        Of the kiln [degC/h], > 0, at most 100000.
    glass : Glass
        The glass.
    heating : bool
        True: from the room to `HEATED_TO`. False: from `COOLED_FROM`, warm all through, to the room.
    allowed_tension : float
        The limit it is held against [Pa], 0.1e6 to 50e6.

    Returns
    -------
    SteadySlab
        Temperature [degC] and stress [Pa] through it (node), and the rate that reaches the limit.

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    The kiln is the model's, so the slab is behind it, and its own rate is not quite the kiln's. Glass as cold
    as this hardly relaxes: what is seen is the elastic stress of one moment.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> heated = steady_slab(0.012, 100, glass("float"))
    >>> print(f"{heated.lag:.2f} K, {heated.tension / 1e6:.2f} MPa")
    1.19 K, 0.31 MPa

    References
    ----------
    Adams & Williamson 1920, J. Franklin Inst. 190, 597.
    """
    limit = scalar_in_range("allowed_tension", allowed_tension, "Pa", 0.1e6, 50e6)
    firing, moment = _pulled_most(thickness, rate, glass, heating)
    stress = firing.stress[moment, 0]
    bars = error_bars(_programme(rate, heating), firing.piece, _EVEN)
    return SteadySlab(
        thickness=float(thickness),
        rate=float(rate),
        heating=heating,
        height=np.linspace(0.0, 1.0, stress.size),
        temperature=firing.temperature[moment, 0],
        stress=stress,
        allowed_tension=limit,
        rate_at_limit=_rate_at(limit, float(thickness), glass, heating),
        likely=bars.heating if heating else bars.cooling,
    )


def _programme(rate: float, heating: bool) -> Schedule:
    up = Schedule((Segment(rate, HEATED_TO),))
    return up if heating else Schedule((Segment(rate, _KILN.room),), COOLED_FROM)


def _pulled_most(
    thickness: float, rate: float, glass: Glass, heating: bool, fineness: int = 1
) -> tuple[Firing, int]:
    """Return a slab's firing on posts, and the step at which it is pulled most."""
    slab = Piece(glass, (Zone(thickness, 1.0),), support="open")
    firing = fire(_programme(rate, heating), slab, fineness=fineness)
    return firing, int(firing.tension.argmax())


@lru_cache(maxsize=200)
def _rate_at(limit: float, thickness: float, glass: Glass, heating: bool) -> float:
    """Return the rate that pulls with `limit` [Pa]: secant on the logarithms; tension is nearly ~ rate."""

    def over(rate: float) -> float:
        firing, moment = _pulled_most(thickness, rate, glass, heating)
        return math.log(float(firing.tension[moment]) / limit)

    fastest = over(FASTEST_RATE)
    if fastest <= 0:
        return math.inf
    # ends of the search: the tension at a tenth of the rate is at most about a tenth
    high, low = math.log(FASTEST_RATE), math.log(FASTEST_RATE) - 1.5 * fastest - 0.1
    over_high, over_low = fastest, over(math.exp(low))
    for _ in range(12):
        x = high - over_high * (high - low) / (over_high - over_low)
        y = over(math.exp(x))
        if abs(y) < 1e-3:
            break
        if y > 0:
            high, over_high = x, y
        else:
            low, over_low = x, y
    return math.exp(x)


# ------------------------------------------------------------------ where the stress changes its sign


@dataclass(frozen=True)
class NeutralDepth:
    """Where a heated slab changes from pressed to pulled, beside the closed form.

    Attributes
    ----------
    height : ndarray
        Of the nodes as a share of the thickness (node) [-].
    stress : ndarray
        Computed (node) [Pa].
    closed_form : ndarray
        By the published formula, at the rate of the kiln (node) [Pa].
    computed, published : float
        Depth of no stress below the face as a share of the thickness [-].
    kiln_rate, glass_rate : float
        How fast the kiln and the glass get hotter at that moment [degC/h].
    """

    height: np.ndarray
    stress: np.ndarray
    closed_form: np.ndarray
    computed: float
    published: float
    kiln_rate: float
    glass_rate: float

    @property
    def difference(self) -> float:
        """Computed against published depth, as a share of the published one [-]."""
        return self.computed / self.published - 1


PUBLISHED_NEUTRAL_DEPTH = 0.211
"""Adams & Williamson 1920: the depth of no stress, as a share of the thickness [-]."""


def neutral_depth(thickness: float, rate: float, glass: Glass) -> NeutralDepth:
    """Return the depth at which a heated slab has no stress, from the model and as published.

    The closed form is zero where 1 - 3 x^2 = 0, x from the middle over the half-thickness.

    Parameters
    ----------
    thickness : float
        Of the slab [m], 0.2e-3 to 0.15.
    rate : float
        Of the kiln [degC/h], > 0, at most 100000.
    glass : Glass
        The glass.

    Returns
    -------
    NeutralDepth
        Both depths [-], both stresses (node) [Pa].

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    Six times finer than usual, since the crossing lies between two nodes.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> print(f"{neutral_depth(0.012, 100, glass('float')).computed:.3f}")
    0.211

    References
    ----------
    Adams & Williamson 1920, J. Franklin Inst. 190, 597.
    """
    firing, moment = _pulled_most(thickness, rate, glass, True, fineness=6)
    temperature, stress = firing.temperature[:, 0], firing.stress[moment, 0]
    height = np.linspace(0.0, 1.0, stress.size)
    mean = np.trapezoid(temperature, height, axis=1)
    formula = slab_stress(rate, thickness / 2, glass, temperature=float(mean[moment]))
    below = height < 0.5
    return NeutralDepth(
        height=height,
        stress=stress,
        closed_form=np.asarray(formula.at(2 * height - 1)),
        computed=float(np.interp(0.0, stress[below], height[below])),
        published=PUBLISHED_NEUTRAL_DEPTH,
        kiln_rate=float(rate),
        glass_rate=float(np.gradient(mean, firing.time)[moment] * 3600),
    )


# ------------------------------------------------------------------ free to bow, or held flat


@dataclass(frozen=True)
class HeldFlat:
    """An even slab on a shelf, heated: free to bow, and held flat, each when it is pulled most.

    Attributes
    ----------
    thickness : float
        Of the slab [m].
    height : ndarray
        Of the nodes as a share of the thickness, the underside first (node) [-].
    temperature : ndarray
        When the slab that is held flat is pulled most (node) [degC].
    free, flat : ndarray
        Stress of the slab that may bow and of the one that may not (node) [Pa].
    curvature : float
        Of the free slab at that temperature, positive where its middle rises [1/m].
    allowed_tension : float
        The limit [Pa].
    likely : Bar
        Between what the tension of the one that is held flat probably lies [Pa].
    """

    thickness: float
    height: np.ndarray
    temperature: np.ndarray
    free: np.ndarray
    flat: np.ndarray
    curvature: float
    allowed_tension: float
    likely: Bar

    @property
    def difference(self) -> float:
        """How much hotter the top face is than the underside [K]."""
        return float(self.temperature[-1] - self.temperature[0])

    @property
    def from_mean(self) -> np.ndarray:
        """How much hotter each node is than the mean of the slab [K]."""
        return self.temperature - float(np.trapezoid(self.temperature, self.height))

    @property
    def times(self) -> float:
        """How many times as hard the slab is pulled that is held flat [-]."""
        return float(self.flat.max() / self.free.max())

    def bow(self, span: float) -> float:
        """Return how far the free slab's middle and rim part, kappa s^2/8.

        Parameters
        ----------
        span : float
            Length of the slab s [m], > 0, at most 10.

        Returns
        -------
        float
            The bow [m].

        Raises
        ------
        ValueError
            If the span is outside its range.
        """
        length = scalar_in_range("span", span, "m", 0.0, 10.0, open_low=True)
        return self.curvature * length**2 / 8


def held_flat(
    thickness: float, rate: float, glass: Glass, kiln: Kiln = _KILN, allowed_tension: float = ALLOWED_TENSION
) -> HeldFlat:
    """Return an even slab on a shelf while it is heated, free to bow and held flat.

    Free, it takes the curvature kappa = alpha dT/dz of the straight line through its temperatures (least
    squares), and only what departs from that line pulls. Held flat, the whole difference does.

    Parameters
    ----------
    thickness : float
        Of the slab [m], 0.2e-3 to 0.15.
    rate : float
        Of the kiln [degC/h], > 0, at most 100000.
    glass : Glass
        The glass.
    kiln : Kiln
        Where; its `underside` says whether the shelf is warmed from below.
    allowed_tension : float
        The limit [Pa], 0.1e6 to 50e6.

    Returns
    -------
    HeldFlat
        Temperature [degC] and both stresses [Pa] (node), the curvature [1/m].

    Raises
    ------
    ValueError
        If a number is outside its range.

    Notes
    -----
    Heated to 340 °C; the pull is largest before. The rims are left out.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> slab = held_flat(0.006, 150, glass("float"))
    >>> 10 < slab.times < 14
    True
    """
    limit = scalar_in_range("allowed_tension", allowed_tension, "Pa", 0.1e6, 50e6)
    schedule = Schedule((Segment(rate, _WARMED_TO),))
    free, flat = (
        fire(schedule, Piece(glass, (Zone(thickness, 1.0),), bending=bending), kiln)
        for bending in ("free", "flat")
    )
    moment = int(flat.tension.argmax())
    temperature = flat.temperature[moment, 0]
    height = np.linspace(0.0, 1.0, temperature.size)
    slope = 12 * float(np.trapezoid((temperature - temperature.mean()) * (height - 0.5), height))  # K
    return HeldFlat(
        thickness=float(thickness),
        height=height,
        temperature=temperature,
        free=free.stress[int(free.tension.argmax()), 0],
        flat=flat.stress[moment, 0],
        curvature=glass.expansion * slope / thickness,
        allowed_tension=limit,
        likely=error_bars(schedule, flat.piece, replace(kiln, unevenness=0.0)).heating,
    )
