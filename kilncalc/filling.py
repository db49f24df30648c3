"""Glass on its way into a space: a mould full of frit, two cups, a model measured, a texture strewn."""

from collections.abc import Callable
from dataclasses import dataclass
from math import pi, sqrt

import numpy as np

from kilncalc._ranges import scalar_in_range
from kilncalc.uncertainty import spread
from kilncalc.volume import (
    WATER_DENSITY,
    added_thickness,
    fill_height,
    fillings,
    frit_volume,
    frustum,
    glass_mass,
    mass_by_displacement,
    mass_from_water,
    mass_from_wax,
    reservoir_volume,
    texture_mass,
)


@dataclass(frozen=True)
class ConeFilling:
    """A conical mould with a cast in it, and the same glass as loose frit.

    Attributes
    ----------
    base_radius, brim_radius, depth : float
        Of the mould, inside [m].
    thickness : float
        Of the cast [m].
    mass : float
        Of the glass [kg].
    loose : float
        Volume of the frit, air included [m3].
    frit_height : float
        Level of the frit above the bottom of the mould [m]; above `depth` it stands as a column as wide as
        the brim.
    reservoir : float
        Volume of frit for which the mould has no room [m3].
    times : float
        How often the mould would be filled level and fired [-]; infinite for a cast up to the brim.
    """

    base_radius: float
    brim_radius: float
    depth: float
    thickness: float
    mass: float
    loose: float
    frit_height: float
    reservoir: float
    times: float


def fill_cone(
    base: float, brim: float, depth: float, thickness: float, *, density: float, packing: float
) -> ConeFilling:
    """Return the glass of a cast in a conical mould and the room that it takes as loose frit.

    m = rho V(thickness), V_frit = m / (rho packing).

    Parameters
    ----------
    base : float
        Diameter of the mould inside, at the bottom [m], 0 to 4.
    brim : float
        Diameter inside, at the brim [m], above 0 to 4.
    depth : float
        Depth inside [m], above 0 to 2.
    thickness : float
        Of the cast [m], 0 to `depth`.
    density : float
        Of the glass [kg/m3], 2000 to 7000.
    packing : float
        Share of the heap that is glass [-], 0.2 to 0.74.

    Returns
    -------
    ConeFilling
        Mass [kg], volumes [m3] and levels [m].

    Raises
    ------
    ValueError
        If a number is out of range, or the cast is thicker than the mould is deep.

    Examples
    --------
    >>> full = fill_cone(0.080, 0.120, 0.060, 0.045, density=2500, packing=0.5)
    >>> f"{full.mass * 1e3:.0f} g, {full.loose * 1e6:.0f} cm3 of frit, {full.reservoir * 1e6:.0f} too much"
    '804 g, 643 cm3 of frit, 166 too much'
    """
    shape = base / 2, brim / 2, depth
    glass, room = frustum(*shape, fill=thickness), frustum(*shape)
    mass = glass_mass(glass, density)
    loose = frit_volume(mass, density, packing)
    over = reservoir_volume(loose, room)
    level = depth + over / (pi * (brim / 2) ** 2) if over > 0 else fill_height(loose, frustum, *shape)
    times = fillings(glass, room, packing)
    return ConeFilling(base / 2, brim / 2, depth, thickness, mass, loose, level, over, times)


@dataclass(frozen=True)
class Cup:
    """A cup filled level with grains, and what would be left of them when they had melted.

    Attributes
    ----------
    packing : float
        Share of the heap that is glass, and so the height of the melted glass as a share of the cup [-].
    bulk_density : float
        Mass of the heap over its volume, air included [kg/m3].
    """

    packing: float
    bulk_density: float


@dataclass(frozen=True)
class TwoCups:
    """A cup of balls, worked out from a published packing, and one of crushed glass, as published.

    Attributes
    ----------
    balls, crushed : Cup
        Packing [-] and bulk density [kg/m3] of each.
    difference : float
        By how much the crushed heap is heavier, as a share [-]; negative: lighter.
    """

    balls: Cup
    crushed: Cup
    difference: float


def two_cups(density: float, balls_packing: float, crushed_density: float) -> TwoCups:
    """Return a heap of balls beside a heap of crushed glass: bulk density = packing x density.

    Parameters
    ----------
    density : float
        Of the glass [kg/m3], 2000 to 7000.
    balls_packing : float
        Packing of equal balls [-], 0.2 to 0.74.
    crushed_density : float
        Bulk density of crushed glass [kg/m3], 400 to 5180, of a packing of 0.2 to 0.74.

    Returns
    -------
    TwoCups
        Packing [-] and bulk density [kg/m3] of both.

    Raises
    ------
    ValueError
        If a number is out of range.

    Examples
    --------
    >>> cups = two_cups(2500, 0.60, 1120)
    >>> round(cups.balls.bulk_density), round(cups.crushed.packing, 3), f"{cups.difference:+.0%}"
    (1500, 0.448, '-25%')
    """
    rho = scalar_in_range("density", density, "kg/m3", 2000.0, 7000.0)
    balls = scalar_in_range("balls_packing", balls_packing, "", 0.2, 0.74)
    crushed = scalar_in_range("crushed_density", crushed_density, "kg/m3", 0.2 * rho, 0.74 * rho)
    return TwoCups(Cup(balls, balls * rho), Cup(crushed / rho, crushed), crushed / (balls * rho) - 1)


@dataclass(frozen=True)
class Way:
    """One way of measuring a model: how far the weight of glass may come out too low or too high.

    Attributes
    ----------
    low, high : float
        Too little and too much glass [kg], both positive.
    """

    low: float
    high: float

    @property
    def width(self) -> float:
        """The larger of the two [kg]."""
        return max(self.low, self.high)


@dataclass(frozen=True)
class ModelMeasured:
    """A model measured by its wax, by water in its mould, and by sinking it in a jug.

    Attributes
    ----------
    volume : float
        Of the model [m3].
    mass : float
        Of the glass that it takes [kg].
    wax, water, jug : Way
        How far off each way may be [kg].
    """

    volume: float
    mass: float
    wax: Way
    water: Way
    jug: Way


def measure_model(
    volume: float,
    *,
    density: float,
    wax_density: float,
    wax_error: float,
    soaked: float,
    reading_error: float,
    balance_error: float,
) -> ModelMeasured:
    """Return how far the glass for a model may be off, measured in three ways.

    Errors propagate as in `uncertainty.spread`; what the mould soaks up only ever adds, so it widens the
    water's upper side: sqrt(balance^2 + (soaked rho V)^2).

    Parameters
    ----------
    volume : float
        Of the model [m3], 1e-6 to 0.1.
    density : float
        Of the glass [kg/m3], 2000 to 7000.
    wax_density : float
        Of the wax [kg/m3], 700 to 1200.
    wax_error : float
        How far that density may be off, as a share [-], 0 to 0.2.
    soaked : float
        Water that the mould soaks up while it is filled, as a share of the model's volume [-], 0 to 0.5.
    reading_error : float
        How far a reading of the jug may be off [m3], 0 to `volume`.
    balance_error : float
        How far the balance may be off [kg], 0 to 0.1.

    Returns
    -------
    ModelMeasured
        Mass of the glass and how far each way may be off [kg].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    The mould is weighed dry and full, and the jug read before and after: two readings each. A mould of
    plaster that is not lined takes water for as long as it stands there.

    Examples
    --------
    >>> ways = measure_model(300e-6, density=2500, wax_density=960, wax_error=0.03, soaked=0.0,
    ...                      reading_error=10e-6, balance_error=0.002)
    >>> [round(way.width * 1e3, 1) for way in (ways.wax, ways.water, ways.jug)]
    [23.1, 7.1, 35.4]
    """
    v = scalar_in_range("volume", volume, "m3", 1e-6, 0.1)
    share = scalar_in_range("wax_error", wax_error, "", 0.0, 0.2)
    drunk = scalar_in_range("soaked", soaked, "", 0.0, 0.5)
    jug_error = scalar_in_range("reading_error", reading_error, "m3", 0.0, v)
    balance = scalar_in_range("balance_error", balance_error, "kg", 0.0, 0.1)
    wax_rho = scalar_in_range("wax_density", wax_density, "kg/m3", 700.0, 1200.0)

    def off(way: Callable[..., float], values: dict[str, float], errors: dict[str, float]) -> float:
        return float(spread(way, {**values, "density": density}, errors).uncertainty)

    wax = off(
        mass_from_wax,
        {"wax_mass": v * wax_rho, "wax_density": wax_rho},
        {"wax_mass": min(balance, v * wax_rho), "wax_density": share * wax_rho},
    )
    in_water = v * WATER_DENSITY
    water = off(mass_from_water, {"water_mass": in_water}, {"water_mass": min(sqrt(2) * balance, in_water)})
    jug = off(
        mass_by_displacement,
        {"reading_before": 2 * v, "reading_after": 3 * v},  # only their difference counts
        {"reading_before": jug_error, "reading_after": jug_error},
    )
    mass = glass_mass(v, density)
    soaking = Way(water, sqrt(water**2 + (drunk * mass) ** 2))
    return ModelMeasured(v, mass, Way(wax, wax), soaking, Way(jug, jug))


@dataclass(frozen=True)
class Texture:
    """Frit of one grain size strewn one grain deep on a part of a sheet.

    Attributes
    ----------
    area : float
        That is strewn [m2].
    grain : float
        Size of a grain [m].
    coverage : float
        Share of the area that is strewn [-].
    sheet : float
        Thickness of the sheet below [m].
    mass : float
        Of the frit [kg].
    added : float
        Mean thickness that it adds to the area [m].
    """

    area: float
    grain: float
    coverage: float
    sheet: float
    mass: float
    added: float

    def centres(self, window: float) -> np.ndarray:
        """Return where grains could lie in a square window, seen from above, none on another.

        Parameters
        ----------
        window : float
            Side of the window [m], > 0.

        Returns
        -------
        ndarray
            Their centres (2, n) [m], the first row across.
        """
        # A hexagonal lattice thinned to the coverage, each grain moved as far as its neighbours leave room.
        pitch = self.grain * sqrt(pi / (2 * sqrt(3) * self.coverage)) if self.coverage else np.inf
        if not np.isfinite(pitch):
            return np.empty((2, 0))
        rise = pitch * sqrt(3) / 2
        columns, rows = (np.arange(-1, window / step + 2) for step in (pitch, rise))
        i, j = np.meshgrid(columns, rows)
        x, y = ((i + 0.5 * (j % 2)) * pitch).ravel(), (j * rise).ravel()
        turn = 2 * pi * np.modf(0.618 * x.size + 0.7548776662 * np.arange(x.size))[0]
        slack = max(0.0, (pitch - self.grain) / 2)
        x, y = x + slack * np.cos(turn), y + slack * np.sin(turn)
        inside = (x >= 0) & (x < window) & (y >= 0) & (y < window)
        return np.array([x[inside], y[inside]])


def strew(
    area: float, grain: float, coverage: float, *, packing: float, density: float, sheet: float
) -> Texture:
    """Return what a texture of frit weighs and how much it adds, t = m / (rho A).

    Parameters
    ----------
    area : float
        To be strewn [m2], above 0 to 4.
    grain : float
        Size of a grain [m], 20e-6 to 0.02.
    coverage : float
        Share of the area that is strewn [-], 0 to 0.9.
    packing : float
        Share of the strewn layer, one grain high, that is glass [-], 0.2 to 0.74.
    density : float
        Of the glass [kg/m3], 2000 to 7000.
    sheet : float
        Thickness of the sheet below [m], 0 to 0.1.

    Returns
    -------
    Texture
        Mass [kg] and mean thickness added [m].

    Raises
    ------
    ValueError
        If a number is out of range; equal grains side by side cover 0.907 at most, so 0.9 is the end here.

    Examples
    --------
    >>> tray = strew(0.006, 0.003, 0.6, packing=0.5, density=2500, sheet=0.006)
    >>> f"{tray.mass * 1e3:.1f} g, {tray.added * 1e3:.1f} mm"
    '13.5 g, 0.9 mm'
    """
    share = scalar_in_range("coverage", coverage, "", 0.0, 0.9)
    below = scalar_in_range("sheet", sheet, "m", 0.0, 0.1)
    mass = texture_mass(area, grain, share, packing, density)
    return Texture(area, grain, share, below, mass, added_thickness(mass, area, density))
