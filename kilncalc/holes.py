"""Holes: where they may sit, how they are drilled, and what hangs on them."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from math import hypot, pi

import numpy as np
from shapely import Point, Polygon

from kilncalc import _outlines
from kilncalc._ranges import ArrayLike, in_range, like_input, scalar_in_range
from kilncalc._tables import rows

GRAVITY = 9.80665
"""Standard gravity [m/s2]."""

_SET_OUT = 0.05e-3
"""A limit for holes missed by less than this [m] is kept; 1/16 in stands as 1.6 mm in one of them."""


@dataclass(frozen=True)
class Hole:
    """A round hole.

    Parameters
    ----------
    x, y : float
        Where its centre is [m], -5 to 5.
    diameter : float
        Its diameter [m], 0.5e-3 to 0.5.

    Raises
    ------
    ValueError
        If a number is out of range.

    Examples
    --------
    >>> Hole(0.020, 0.045, 0.008).diameter
    0.008
    """

    x: float
    y: float
    diameter: float

    def __post_init__(self) -> None:
        scalar_in_range("x of a hole", self.x, "m", -5.0, 5.0)
        scalar_in_range("y of a hole", self.y, "m", -5.0, 5.0)
        scalar_in_range("diameter of a hole", self.diameter, "m", 0.5e-3, 0.5)


@dataclass(frozen=True)
class HoleLimits:
    """Least sizes and distances of round holes by one standard, for one thickness of glass.

    Attributes
    ----------
    standard : str
        Its name.
    diameter : float
        Least diameter [m].
    edge : float
        Least distance from the rim of a hole to the edge of the glass [m].
    between : float
        Least distance from rim to rim of two holes [m].
    corner : float
        Least distance from the rim of a hole to a corner of the glass [m].
    """

    standard: str
    diameter: float
    edge: float
    between: float
    corner: float


HOLE_STANDARDS = ("EN 12150-1", "ASTM C1048")
"""The standards whose limits for holes are known."""


def hole_limits(thickness: float, standard: str) -> HoleLimits:
    """Return the least sizes and distances of holes, each the greater of n t + plus and a least value.

    Parameters
    ----------
    thickness : float
        Thickness t of the glass [m], 1e-3 to 0.1.
    standard : str
        "EN 12150-1" or "ASTM C1048".

    Returns
    -------
    HoleLimits
        Four limits [m], distances from the rim of the hole.

    Raises
    ------
    ValueError
        If the thickness is out of range or the standard unknown.

    Notes
    -----
    Both are written for glass that is to be toughened, where a hole too near an edge breaks in the
    furnace. For annealed craft glass they are guidance, not a verdict. Table `hole_rules.csv`.

    Examples
    --------
    >>> limits = hole_limits(0.006, "EN 12150-1")
    >>> limits.edge, limits.corner
    (0.012, 0.036)

    References
    ----------
    EN 12150-1; ASTM C1048.
    """
    t = scalar_in_range("thickness", thickness, "m", 1e-3, 0.1)
    if standard not in HOLE_STANDARDS:
        raise ValueError(f"there is no standard {standard!r} here; there are: {', '.join(HOLE_STANDARDS)}")
    values = {
        row["rule"]: round(
            max(float(row["thicknesses"]) * t + float(row["plus_mm"]) * 1e-3, float(row["least_mm"]) * 1e-3),
            9,
        )
        for row in rows("hole_rules.csv")
        if row["standard"] == standard
    }
    return HoleLimits(standard, **values)


@dataclass(frozen=True)
class HoleRule:
    """One limit held against one hole.

    Attributes
    ----------
    hole : int
        Number of the hole, from 1.
    rule : str
        "diameter", "edge", "between", "corner" or "hollow".
    other : int
        For "between" the number of the other hole, for "corner" that of the corner, for "hollow" that of
        the hollow, all from 1; otherwise 0.
    found : float
        What was found, from the rim of the hole [m]; negative where the rim lies outside.
    least : float
        What the standard asks for [m].
    """

    hole: int
    rule: str
    other: int
    found: float
    least: float

    @property
    def missing(self) -> float:
        """What is missing [m]; 0 where the limit is kept within 0.05 mm: no hole is set out more exactly."""
        short = self.least - self.found
        return short if short > _SET_OUT else 0.0


@dataclass(frozen=True)
class HoleCheck:
    """All limits of a standard held against all holes of a piece.

    Attributes
    ----------
    outline : tuple of tuple of float
        Corners of the piece [m].
    holes : tuple of Hole
        Its holes.
    limits : HoleLimits
        What the standard asks for.
    rules : tuple of HoleRule
        Every limit and hole, the nearest corner and hollow of each, and every two holes.
    """

    outline: tuple[tuple[float, float], ...]
    holes: tuple[Hole, ...]
    limits: HoleLimits
    rules: tuple[HoleRule, ...]

    @property
    def missed(self) -> tuple[HoleRule, ...]:
        """Those that are not kept."""
        return tuple(rule for rule in self.rules if rule.missing)

    def worst(self, name: str) -> HoleRule:
        """Return the hole that comes nearest to a limit, or misses it by most.

        Parameters
        ----------
        name : str
            A `rule` of `HoleRule` that this check holds.

        Returns
        -------
        HoleRule
            The limit and what was found.
        """
        return min(
            (rule for rule in self.rules if rule.rule == name), key=lambda rule: rule.found - rule.least
        )


def check_holes(
    outline: ArrayLike,
    holes: Sequence[Hole],
    thickness: float,
    standard: str,
    *,
    hollows: Sequence[ArrayLike] = (),
) -> HoleCheck:
    """Return every limit of a standard beside what the holes of a piece keep, rim distance = centre - d/2.

    Parameters
    ----------
    outline : array
        Corners of the piece around it [m], -5 to 5.
    holes : sequence of Hole
        The holes, up to 50.
    thickness : float
        Thickness of the glass [m], 1e-3 to 0.1.
    standard : str
        "EN 12150-1" or "ASTM C1048".
    hollows : sequence of arrays
        Outlines of hollows formed in the piece, seen from the front [m], -5 to 5. Their sides are held to
        the limit for an edge: our own choice, no standard speaks of them.

    Returns
    -------
    HoleCheck
        The limits and, for each hole, what was found [m].

    Raises
    ------
    ValueError
        If a number is out of range, or a hole is larger than the piece or lies outside it.

    Notes
    -----
    A corner is where the outline turns by more than 20 degrees. Limits are for glass to be toughened:
    guidance here.

    Examples
    --------
    >>> sign = [(0, 0), (0.300, 0), (0.300, 0.090), (0, 0.090)]
    >>> check = check_holes(sign, [Hole(0.020, 0.020, 0.008)], 0.006, "EN 12150-1")
    >>> [(rule.rule, round(rule.missing * 1e3, 1)) for rule in check.missed]
    [('corner', 11.7)]
    """
    points = _outlines.checked(outline)
    limits = hole_limits(thickness, standard)
    if not 1 <= len(holes) <= 50:
        raise ValueError(f"holes must be a list of 1 to 50 holes, got {len(holes)}")
    glass = Polygon(points)
    x1, y1, x2, y2 = glass.bounds
    corners = _sharp_corners(points)
    inner = [Polygon(_outlines.checked(hollow)) for hollow in hollows]
    rules = []
    for number, hole in enumerate(holes, 1):
        radius, centre = hole.diameter / 2, Point(hole.x, hole.y)
        if hole.diameter >= min(x2 - x1, y2 - y1):
            raise ValueError(
                f"hole {number} is {hole.diameter * 1e3:.4g} mm wide, the piece only "
                f"{min(x2 - x1, y2 - y1) * 1e3:.4g} mm"
            )
        if not glass.contains(centre):
            raise ValueError(
                f"hole {number} at x {hole.x * 1e3:.4g} mm, y {hole.y * 1e3:.4g} mm lies outside the piece"
            )

        def rule(
            name: str, other: int, to_centre: float, least: float, n: int = number, r: float = radius
        ) -> HoleRule:
            return HoleRule(n, name, other, to_centre - r, least)

        rules.append(HoleRule(number, "diameter", 0, hole.diameter, limits.diameter))
        rules.append(rule("edge", 0, float(glass.exterior.distance(centre)), limits.edge))
        for name, least, places in (
            ("corner", limits.corner, [hypot(x - hole.x, y - hole.y) for x, y in corners]),
            ("hollow", limits.edge, [float(hollow.exterior.distance(centre)) for hollow in inner]),
        ):
            if places:
                nearest = int(np.argmin(places))
                rules.append(rule(name, nearest + 1, places[nearest], least))
    for (one, first), (other, second) in combinations(enumerate(holes, 1), 2):
        apart = hypot(first.x - second.x, first.y - second.y)
        rims = apart - (first.diameter + second.diameter) / 2
        rules.append(HoleRule(one, "between", other, rims, limits.between))
    return HoleCheck(tuple((float(x), float(y)) for x, y in points), tuple(holes), limits, tuple(rules))


def paired_holes(
    left: float, right: float, inset: float, height: float, diameter: float
) -> tuple[Hole, Hole]:
    """Return two hanging holes symmetric to the clear width of a hollow, at left + inset and right - inset.

    Parameters
    ----------
    left, right : float
        Where the clear width of the hollow begins and ends, from the same edge [m], -5 to 5.
    inset : float
        Distance of each centre from its end of the clear width [m], 0 to 2.
    height : float
        Where the centres lie across it [m], -5 to 5.
    diameter : float
        Diameter of each hole [m], 0.5e-3 to 0.5.

    Returns
    -------
    tuple of two Hole
        The left and the right hole.

    Raises
    ------
    ValueError
        If a number is out of range, or the two holes meet.

    Notes
    -----
    Common practice, no source: the hollow decides, not the piece. A hollow that came out 6 mm off the
    middle of its piece, with holes set out from the piece, hangs crooked on its fixing.

    Examples
    --------
    >>> one, other = paired_holes(0.036, 0.270, 0.040, 0.120, 0.006)
    >>> round(one.x, 6), round(other.x, 6)
    (0.076, 0.23)
    """
    start = scalar_in_range("left", left, "m", -5.0, 5.0)
    end = scalar_in_range("right", right, "m", -5.0, 5.0)
    step = scalar_in_range("inset", inset, "m", 0.0, 2.0)
    one, other = Hole(start + step, height, diameter), Hole(end - step, height, diameter)
    if other.x - one.x <= diameter:
        raise ValueError(
            f"with {step * 1e3:.4g} mm from each end of a clear width of {(end - start) * 1e3:.4g} mm the "
            "two holes meet"
        )
    return one, other


def drill_speed(diameter: ArrayLike, surface_speed: ArrayLike) -> ArrayLike:
    """Return the speed of a drill, n = 60 v/(pi D).

    Parameters
    ----------
    diameter : float or array
        Outer diameter D of the drill, not its radius [m], 0.5e-3 to 0.5.
    surface_speed : float or array
        Speed v of its rim over the glass [m/s], 0.05 to 10.

    Returns
    -------
    float or array
        Speed of the spindle [rev/min], shape to which the two broadcast.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    For diamond drills in glass by hand 0.5 to 1.5 m/s, always wet (common practice, no source). What the
    maker of the drill says comes first.

    Examples
    --------
    >>> round(drill_speed(0.010, 0.8))
    1528
    """
    d = in_range("diameter", diameter, "m", 0.5e-3, 0.5)
    v = in_range("surface_speed", surface_speed, "m/s", 0.05, 10.0)
    return like_input(60 * v / (pi * d))


@dataclass(frozen=True)
class DrillStep:
    """One drill through the glass.

    Attributes
    ----------
    diameter : float
        Its outer diameter [m].
    speed : float
        Speed of the spindle [rev/min].
    time : float
        Time until it is through, slow at the exit [s].
    water : float
        Least stream of water that carries its heat away [m3/s].
    """

    diameter: float
    speed: float
    time: float
    water: float

    @property
    def water_a_minute(self) -> float:
        """Volume of that stream in a minute [m3]."""
        return 60 * self.water


GRINDING_ENERGY = 30e9
"""Energy that a diamond drill turns into heat for each volume of glass it grinds away [J/m3]; from memory, 10
to 60 J/mm3 are quoted for diamond in glass, so right within a factor of three."""

_WARMER = 10.0  # K: by how much the water may warm; own choice
_HEAT_OF_WATER = 4.18e6  # J/(m3 K), at room temperature


def coolant_flow(section: ArrayLike, feed: ArrayLike) -> ArrayLike:
    """Return the least stream of water that cools a drill, V = u A f/(rho c dT), with dT = 10 K.

    Parameters
    ----------
    section : float or array
        Section A that is ground to slurry: the whole hole, or the ring of a core drill [m2], 1e-8 to 0.2.
    feed : float or array
        How fast the drill goes down f [m/s], 1e-6 to 1e-3.

    Returns
    -------
    float or array
        Stream of water [m3/s], shape to which the two broadcast.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    All of the heat goes into the water, and the water reaches the rim of the drill: more than this has to be
    poured where it splashes past. The energy u is `GRINDING_ENERGY`, right within a factor of three.

    Examples
    --------
    A solid drill of 8 mm at 5 mm a minute takes at least 0.18 litres a minute:

    >>> round(coolant_flow(pi / 4 * 0.008**2, 5e-3 / 60) * 60e3, 2)
    0.18
    """
    a = in_range("section", section, "m2", 1e-8, 0.2)
    f = in_range("feed", feed, "m/s", 1e-6, 1e-3)
    return like_input(GRINDING_ENERGY * a * f / (_HEAT_OF_WATER * _WARMER))


def drill_plan(
    diameter: float,
    thickness: float,
    *,
    surface_speed: float = 0.8,
    feed: float = 5e-3 / 60,
    owned: Sequence[float] = (),
    wall: float | None = None,
) -> tuple[DrillStep, ...]:
    """Return the drills of one hole with speed and time, t = 0.8 t_glass/feed + 0.2 t_glass/(feed/3).

    Parameters
    ----------
    diameter : float
        Diameter of the hole [m], 0.5e-3 to 0.5.
    thickness : float
        Thickness of the glass [m], 1e-3 to 0.1.
    surface_speed : float
        Speed of the rim over the glass [m/s], 0.05 to 10.
    feed : float
        How fast the drill goes down [m/s], 1e-6 to 1e-3.
    owned : sequence
        Smaller drills at hand [m], 0.5e-3 to 0.5; the largest that is at most half the hole drills the
        pilot. Without one the hole is drilled at once.
    wall : float, optional
        Wall of a core drill, which leaves a core standing and wants no pilot [m], 0.1e-3 to 0.25, at most
        half of `diameter`; left out: a solid drill.

    Returns
    -------
    tuple of DrillStep
        Pilot, if any, and drill.

    Raises
    ------
    ValueError
        If a number is out of range, or a core drill is given a pilot.

    Notes
    -----
    The last fifth of the thickness is drilled at a third of the feed, for there the glass breaks out. Feed,
    share and pilot are a choice of ours; common practice, no source: started dry and light to keep the
    mark, then under water, lifted every few seconds, turned over or backed for the exit.

    Examples
    --------
    >>> steps = drill_plan(0.010, 0.006, owned=[0.004])
    >>> [(step.diameter, round(step.speed), round(step.time)) for step in steps]
    [(0.004, 3820, 101), (0.01, 1528, 101)]
    """
    d = scalar_in_range("diameter", diameter, "m", 0.5e-3, 0.5)
    t = scalar_in_range("thickness", thickness, "m", 1e-3, 0.1)
    f = scalar_in_range("feed", feed, "m/s", 1e-6, 1e-3)
    smaller = [float(x) for x in in_range("owned", list(owned), "m", 0.5e-3, 0.5) if x <= d / 2]
    time = 0.8 * t / f + 0.2 * t / (f / 3)
    if wall is not None and smaller:
        raise ValueError(
            "a core drill needs the glass in its middle: it wants no pilot, so owned must be empty"
        )
    core = 0.0 if wall is None else d - 2 * scalar_in_range("wall", wall, "m", 0.1e-3, d / 2)
    drills = (*sorted(smaller)[-1:], d)
    bored = (core, *drills)  # across what is open already before each drill
    return tuple(
        DrillStep(
            drill,
            float(drill_speed(drill, surface_speed)),
            time,
            float(coolant_flow(pi / 4 * (drill**2 - before**2), f)),
        )
        for before, drill in pairwise(bored)
    )


@dataclass(frozen=True)
class DrillChart:
    """The speed of drills of all sizes, and those of one hole.

    Attributes
    ----------
    surface_speed : float
        Speed of the rim over the glass [m/s].
    steps : tuple of DrillStep
        The drills of the hole: pilot, if any, and drill.
    diameters : array
        Diameters [m].
    speeds : array
        Speed of the spindle for each [rev/min].
    usual : tuple of two arrays
        The same for the slow and for the fast end of what is usual [rev/min].
    """

    surface_speed: float
    steps: tuple[DrillStep, ...]
    diameters: np.ndarray
    speeds: np.ndarray
    usual: tuple[np.ndarray, np.ndarray]


USUAL_SURFACE_SPEEDS = (0.5, 1.5)
"""Slow and fast end for diamond drills in glass by hand [m/s]; common practice, no source."""

CORE_WALL = 1e-3
"""Wall of a usual core drill [m]; common practice, no source."""

DRILLS = (
    "core drill, wall 1 mm (0.04 in)",
    "solid drill at once",
    "solid drill after a pilot of half its size",
)
"""Kinds of drills that `drill_chart` knows."""


def drill_chart(diameter: float, surface_speed: float, thickness: float, kind: str = DRILLS[0]) -> DrillChart:
    """Return the drills of a hole among drills of 3 to 60 mm at the same surface speed, n = 60 v/(pi D).

    Parameters
    ----------
    diameter : float
        Outer diameter of the drill [m], 2.5e-3 to 0.5.
    surface_speed : float
        Speed of its rim over the glass [m/s], 0.05 to 10.
    thickness : float
        Thickness of the glass [m], 1e-3 to 0.1.
    kind : str
        One of `DRILLS`.

    Returns
    -------
    DrillChart
        The drills with speed [rev/min], time [s] and water [m3/s], and the curves.

    Raises
    ------
    ValueError
        If a number is out of range, or the kind is none of those.

    Examples
    --------
    >>> chart = drill_chart(0.010, 0.8, 0.006)
    >>> round(chart.steps[0].speed), round(chart.speeds[0])
    (1528, 5093)
    """
    d = scalar_in_range("diameter", diameter, "m", 2.5e-3, 0.5)
    if kind not in DRILLS:
        raise ValueError(f"kind must be one of {', '.join(DRILLS)}, got {kind!r}")
    steps = drill_plan(
        d,
        thickness,
        surface_speed=surface_speed,
        owned=[d / 2] if kind == DRILLS[2] else [],
        wall=CORE_WALL if kind == DRILLS[0] else None,
    )
    sizes = np.geomspace(3e-3, 60e-3, 60)
    slow, fast = (drill_speed(sizes, speed) for speed in USUAL_SURFACE_SPEEDS)
    return DrillChart(surface_speed, steps, sizes, drill_speed(sizes, surface_speed), (slow, fast))


@dataclass(frozen=True)
class HangingLoad:
    """What hangs on two fixings.

    Attributes
    ----------
    piece : float
        Mass of the piece [kg].
    contents : float
        Mass of what it can hold [kg].
    left, right : float
        Pull on the left and on the right fixing, contents included [N].
    """

    piece: float
    contents: float
    left: float
    right: float


def hanging_load(
    mass: float, hollow: float, left: float, right: float, *, density: float = 1000.0
) -> HangingLoad:
    """Return the pull on two fixings of a hanging piece with its hollow full, F_left = m g b/(a + b).

    Parameters
    ----------
    mass : float
        Mass of the piece [kg], above 0 to 50.
    hollow : float
        Volume of all hollows that could fill [m3], 0 to 0.05.
    left, right : float
        Level distance a, b from the centre of gravity to the left and to the right fixing [m], 0 to 2.
    density : float
        Density of what is in it [kg/m3], 0 to 20e3; water unless said otherwise.

    Returns
    -------
    HangingLoad
        Masses [kg] and pulls [N].

    Raises
    ------
    ValueError
        If a number is out of range, or both fixings are in one place.

    Notes
    -----
    By the law of the lever; the nearer fixing carries more. A stiff piece on three or four fixings rests
    on two of them, so give the two that carry. Strength of fixing and wall is not in it.

    Examples
    --------
    >>> load = hanging_load(1.2, 300e-6, 0.100, 0.100)
    >>> round(load.left, 2), round(load.right, 2)
    (7.35, 7.35)
    """
    m = scalar_in_range("mass", mass, "kg", 0.0, 50.0, open_low=True)
    contents = scalar_in_range("hollow", hollow, "m3", 0.0, 0.05)
    contents *= scalar_in_range("density", density, "kg/m3", 0.0, 20e3)
    a = scalar_in_range("left", left, "m", 0.0, 2.0)
    b = scalar_in_range("right", right, "m", 0.0, 2.0)
    if a + b <= 0:
        raise ValueError("left and right are both 0: two fixings in one place are one")
    weight = (m + contents) * GRAVITY
    return HangingLoad(m, contents, weight * b / (a + b), weight * a / (a + b))


@dataclass(frozen=True)
class Pocket:
    """A piece with a hollow, to be hung by two holes.

    Parameters
    ----------
    length, height : float
        Size of the piece [m], 0.05 to 2.
    mass : float
        Its mass [kg], above 0 to 50.
    begins : float
        Where the clear width of the hollow begins, from the left edge [m], 0 to 2.
    clear, tall, depth : float
        Clear width, height and depth of the hollow [m], 1e-3 to 2.

    Raises
    ------
    ValueError
        If a number is out of range, or the hollow does not lie within the piece.

    Examples
    --------
    >>> Pocket(0.252, 0.170, 1.2, 0.042, 0.180, 0.060, 0.030).middle
    0.132
    """

    length: float
    height: float
    mass: float
    begins: float
    clear: float
    tall: float
    depth: float

    def __post_init__(self) -> None:
        for name in ("length", "height"):
            scalar_in_range(name, getattr(self, name), "m", 0.05, 2.0)
        scalar_in_range("mass", self.mass, "kg", 0.0, 50.0, open_low=True)
        scalar_in_range("begins", self.begins, "m", 0.0, 2.0)
        for name in ("clear", "tall", "depth"):
            scalar_in_range(name, getattr(self, name), "m", 1e-3, 2.0)
        if self.begins + self.clear > self.length or self.tall > self.height:
            raise ValueError(
                f"the hollow ends {(self.begins + self.clear) * 1e3:.4g} mm from the left edge and is "
                f"{self.tall * 1e3:.4g} mm high; the piece is {self.length * 1e3:.4g} by "
                f"{self.height * 1e3:.4g} mm"
            )

    @property
    def middle(self) -> float:
        """Middle of the clear width, from the left edge [m]."""
        return self.begins + self.clear / 2


@dataclass(frozen=True)
class Hung:
    """A pocket on its two holes.

    Attributes
    ----------
    pocket : Pocket
        The piece.
    holes : tuple of two Hole
        The left and the right hole, from the lower left corner [m].
    off : float
        By how much the hollow sits right of the middle between the holes [m].
    centre : float
        Where the centre of gravity lies with the hollow full, from the left edge [m].
    load : HangingLoad
        What hangs on the two fixings then.
    carries : tuple of two float
        The same for the left and the right as a mass [kg].
    """

    pocket: Pocket
    holes: tuple[Hole, Hole]
    off: float
    centre: float
    load: HangingLoad
    carries: tuple[float, float]


def hang(pocket: Pocket, inset: float, below_top: float, diameter: float, *, by_piece: bool = False) -> Hung:
    """Return two hanging holes and what each carries, centre of gravity x = (m L/2 + w x_hollow)/(m + w).

    Parameters
    ----------
    pocket : Pocket
        The piece with its hollow.
    inset : float
        Distance of each centre from its end of the clear width [m], 0 to 2.
    below_top : float
        How far the centres lie below the upper edge [m], 0 to 2.
    diameter : float
        Diameter of each hole [m], 0.5e-3 to 0.5.
    by_piece : bool
        True sets the same two holes out from the middle of the piece instead of that of the hollow.

    Returns
    -------
    Hung
        Holes [m], centre of gravity [m], loads [N] and [kg].

    Raises
    ------
    ValueError
        If a number is out of range, or the holes meet, or the centre of gravity does not lie between them.

    Notes
    -----
    The glass weighs as if it were even from left to right; water fills the hollow to the brim.

    Examples
    --------
    >>> hung = hang(Pocket(0.252, 0.170, 1.2, 0.042, 0.180, 0.060, 0.030), 0.030, 0.020, 0.006)
    >>> [round(hole.x, 6) for hole in hung.holes], [round(each, 3) for each in hung.carries]
    ([0.072, 0.192], [0.822, 0.702])
    """
    below = scalar_in_range("below_top", below_top, "m", 0.0, 2.0)
    middle = pocket.length / 2 if by_piece else pocket.middle
    left, right = middle - pocket.clear / 2, middle + pocket.clear / 2
    one, other = paired_holes(left, right, inset, pocket.height - below, diameter)
    space = pocket.clear * pocket.tall * pocket.depth
    water = space * 1000.0
    centre = (pocket.mass * pocket.length / 2 + water * pocket.middle) / (pocket.mass + water)
    if not one.x < centre < other.x:
        raise ValueError(
            f"the centre of gravity lies {centre * 1e3:.4g} mm from the left edge, not between the holes at "
            f"{one.x * 1e3:.4g} and {other.x * 1e3:.4g} mm: the piece would turn over"
        )
    load = hanging_load(pocket.mass, space, centre - one.x, other.x - centre)
    return Hung(
        pocket=pocket,
        holes=(one, other),
        off=pocket.middle - (one.x + other.x) / 2,
        centre=centre,
        load=load,
        carries=(load.left / GRAVITY, load.right / GRAVITY),
    )


def _sharp_corners(points: np.ndarray) -> list[tuple[float, float]]:
    before, after = np.roll(points, 1, axis=0), np.roll(points, -1, axis=0)
    one, other = points - before, after - points
    cross = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    turn = np.degrees(np.abs(np.arctan2(cross, (one * other).sum(axis=1))))
    return [(float(x), float(y)) for x, y in points[turn > 20]]
