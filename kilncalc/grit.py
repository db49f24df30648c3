"""Grinding and polishing: grain sizes, the cracks that grinding leaves, time, and which grits to use."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from kilncalc._ranges import ArrayLike, in_range, like_input, scalar_in_range
from kilncalc._tables import Row, named, rows


def grit_size(label: str) -> float:
    """Return the mean grain size of an abrasive from the label it is sold under.

    Parameters
    ----------
    label : str
        The standard and the number: "F240", "P400", "JIS 400", "CAMI 400", a diamond grit as "D126", or
        "cerium oxide". A row of `grits.csv`.

    Returns
    -------
    float
        Mean grain size [m].

    Raises
    ------
    ValueError
        If the label has no standard (the message lists what it may be), or is not in the table.

    Notes
    -----
    The standards measure differently (sieves, sedimentation, electric resistance), so sizes of different
    standards compare within 10 % or so.

    Examples
    --------
    >>> [round(grit_size(label) * 1e6, 1) for label in ("F400", "CAMI 400", "JIS 400", "P400")]
    [17.3, 23.0, 30.0, 35.0]

    References
    ----------
    ISO 8486-1, -2 (F); ISO 6344 (P); JIS R6001; ANSI B74.18 (CAMI); ISO 6106 (D).
    """
    return float(_grit(label)["size_um"]) * 1e-6


def mesh_size(number: ArrayLike) -> ArrayLike:
    """Return the hole of a woven sieve with N wires to the inch, 0.6 x 25.4 mm/N.

    Parameters
    ----------
    number : float or array
        Number N of wires to the inch [-], 4 to 10e3.

    Returns
    -------
    float or array
        Width of a hole [m], shape of `number`.

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    The wires take about 0.4 of the inch: within 16 % of the sieves of ASTM E11 from No. 20 to No. 400. Grains
    finer than about 50 um are not sieved at all; their numbers are names.

    Examples
    --------
    >>> round(mesh_size(100) * 1e6, 1)
    152.4
    """
    return like_input(0.6 * 25.4e-3 / in_range("number", number, "", 4.0, 10e3))


@dataclass(frozen=True)
class GritChart:
    """The grain sizes of several standards over the number of the grit, beside the rule of the sieve.

    Attributes
    ----------
    number : float
        The number that is looked at [-].
    sizes : dict
        Label with that number to grain size [m].
    series : dict
        Standard's letters to the numbers [-] and sizes [m] of its grits.
    mesh : float
        What the rule of the sieve gives for the number [m].
    """

    number: int
    sizes: dict[str, float]
    series: dict[str, tuple[np.ndarray, np.ndarray]]
    mesh: float


def grit_chart(number: int) -> GritChart:
    """Return what a number means in each standard, beside a sieve's hole of 0.6 x 25.4 mm/N.

    Parameters
    ----------
    number : int
        Number of the grit [-], 4 to 10000.

    Returns
    -------
    GritChart
        Sizes [m] by label and by standard.

    Raises
    ------
    ValueError
        If the number is out of range.

    Examples
    --------
    >>> {label: round(size * 1e6, 1) for label, size in grit_chart(400).sizes.items()}
    {'F400': 17.3, 'P400': 35.0, 'CAMI 400': 23.0, 'JIS 400': 30.0}
    """
    mesh = float(mesh_size(number))
    found: dict[str, list[tuple[float, float]]] = {}
    sizes = {}
    for label in grit_labels():
        letters = label.rstrip("0123456789").strip()
        if letters == label or letters == "D":  # named by a size, not by a count of wires
            continue
        count = int(label[len(letters) :])
        found.setdefault(letters, []).append((count, grit_size(label)))
        if count == number:
            sizes[label] = grit_size(label)
    series = {
        letters: (np.array([count for count, _ in each], dtype=float), np.array([size for _, size in each]))
        for letters, each in found.items()
    }
    return GritChart(number, sizes, series, mesh)


def grit_labels() -> tuple[str, ...]:
    """Return all labels of the table of grits, in its order.

    Returns
    -------
    tuple of str
        Labels that `grit_size` knows.

    Examples
    --------
    >>> "F240" in grit_labels()
    True
    """
    return tuple(row["name"] for row in rows("grits.csv"))


@dataclass(frozen=True)
class Damage:
    """How deep cracks reach below a ground surface: between these two depths.

    Attributes
    ----------
    least, most : float or array
        Depth [m].
    """

    least: ArrayLike
    most: ArrayLike


def damage(size: ArrayLike) -> Damage:
    """Return how deep cracks reach below a surface ground with grains L, 0.3 L^0.68 to 2 L^0.85, all in um.

    Parameters
    ----------
    size : float or array
        Grain size L [m], 0.3e-6 to 3e-3.

    Returns
    -------
    Damage
        Least and greatest depth [m], shape of `size`.

    Raises
    ------
    ValueError
        If a size is out of range.

    Notes
    -----
    Bounds of measurements on optical glasses ground with grains of some um to some 100 um; coarser is an
    extrapolation. The greatest depth is about the size of the grain, 1 to 2 times for fine ones: the
    trade's rule to take off one to three times the size of the grain before.

    Examples
    --------
    >>> cracks = damage(100e-6)
    >>> round(cracks.least * 1e6, 1), round(cracks.most * 1e6, 1)
    (6.9, 100.2)

    References
    ----------
    J. C. Lambropoulos 2000, From abrasive size to subsurface damage in grinding (from memory).
    """
    um = in_range("size", size, "m", 0.3e-6, 3e-3) * 1e6
    return Damage(like_input(0.3 * um**0.68 * 1e-6), like_input(2.0 * um**0.85 * 1e-6))


@dataclass(frozen=True)
class Ground:
    """A surface after one step of grinding.

    Attributes
    ----------
    label : str
        The grit of the step.
    size : float
        Its grain size [m].
    removed : float
        What the step took off [m].
    own : float
        How deep its own cracks reach at most [m].
    left : float
        How deep the deepest crack reaches, whichever step made it [m].
    culprit : str
        The grit that made it.
    """

    label: str
    size: float
    removed: float
    own: float
    left: float
    culprit: str


def damage_left(labels: Sequence[str], removals: Sequence[float]) -> tuple[Ground, ...]:
    """Return how deep the cracks of every grit reach after each step, left = max(own, before - removed).

    Parameters
    ----------
    labels : sequence of str
        Grits in their order, from coarse to fine, the first one what the surface was made with.
    removals : sequence
        What each step after the first takes off [m], 0 to 0.02.

    Returns
    -------
    tuple of Ground
        The surface after each step [m], the first one as it was found.

    Raises
    ------
    ValueError
        If a step is coarser than the one before it, the numbers do not match, or one is out of range.

    Examples
    --------
    F80 followed by F400 that takes off 100 um, though cracks reach 169 um:

    >>> ground = damage_left(["F80", "F400"], [100e-6])[-1]
    >>> round(ground.left * 1e6), ground.culprit
    (69, 'F80')
    """
    sizes = [grit_size(label) for label in labels]
    if len(sizes) < 2 or len(removals) != len(sizes) - 1:
        raise ValueError(
            f"{len(sizes)} grits need {max(len(sizes) - 1, 1)} removals, one for each step after the first, "
            f"got {len(removals)}"
        )
    taken = [float(r) for r in in_range("removals", list(removals), "m", 0.0, 0.02)]
    for k in range(1, len(sizes)):
        if sizes[k] >= sizes[k - 1]:
            raise ValueError(
                f"{_size_words(labels[k])} after {_size_words(labels[k - 1])} goes coarser or stays: each "
                "step must be finer than the one before"
            )
    own = damage(np.array(sizes)).most
    found = [Ground(labels[0], sizes[0], 0.0, float(own[0]), float(own[0]), labels[0])]
    for label, size, cracks, removed in zip(labels[1:], sizes[1:], own[1:], taken, strict=True):
        rest = found[-1].left - removed
        deeper = rest > cracks
        left, culprit = (rest, found[-1].culprit) if deeper else (float(cracks), label)
        found.append(Ground(label, size, removed, float(cracks), left, culprit))
    return tuple(found)


_WEAR = 2e-6
"""Preston's coefficient over the size of the grain [1/(Pa m)]: a first guess, within a factor of 3."""

_UNSURE = 3.0


@dataclass(frozen=True)
class PolishTime:
    """How long a removal takes.

    Attributes
    ----------
    least, likely, most : float
        Time [s]; a factor of 3 either way until a time has been measured, then the same.
    """

    least: float
    likely: float
    most: float


def polish_time(
    removal: float, size: float, pressure: float, speed: float, *, factor: float | None = None
) -> PolishTime:
    """Return how long grinding or polishing takes, by Preston's law: t = z/(K p v) with K = 2e-6 L factor.

    Parameters
    ----------
    removal : float
        What must come off [m], 0 to 0.02.
    size : float
        Grain size L [m], 0.3e-6 to 3e-3.
    pressure : float
        Pressure p on the glass [Pa], 100 to 5e5.
    speed : float
        Speed v of the abrasive over the glass [m/s], 0.01 to 50.
    factor : float, optional
        From `preston_factor` [-], 0.01 to 100; left out: 1, and the time is uncertain by 3 either way.

    Returns
    -------
    PolishTime
        Least, likely and greatest time [s].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    That removal goes with pressure and speed is Preston's law; that it goes with the size of the grain, and
    how fast, is a round number from memory. Grit that is worn or dry, or an edge instead of a face, changes
    it by more than 3. One measured time is worth more than the formula.

    Examples
    --------
    >>> time = polish_time(50e-6, 109e-6, 7e3, 2.0)
    >>> round(time.least), round(time.likely), round(time.most)
    (5, 16, 49)

    References
    ----------
    F. W. Preston 1927, J. Soc. Glass Technol. 11, 214.
    """
    z = scalar_in_range("removal", removal, "m", 0.0, 0.02)
    grain = scalar_in_range("size", size, "m", 0.3e-6, 3e-3)
    p = scalar_in_range("pressure", pressure, "Pa", 100.0, 5e5)
    v = scalar_in_range("speed", speed, "m/s", 0.01, 50.0)
    k = 1.0 if factor is None else scalar_in_range("factor", factor, "", 0.01, 100.0)
    likely = z / (_WEAR * grain * k * p * v)
    spread = _UNSURE if factor is None else 1.0
    return PolishTime(likely / spread, likely, likely * spread)


def preston_factor(removal: float, size: float, pressure: float, speed: float, time: float) -> float:
    """Return by how much a workshop grinds faster than the first guess, z/(t K p v).

    Parameters
    ----------
    removal : float
        What came off, measured with callipers [m], 1e-6 to 0.02.
    size : float
        Grain size [m], 0.3e-6 to 3e-3.
    pressure : float
        Pressure on the glass [Pa], 100 to 5e5.
    speed : float
        Speed of the abrasive over the glass [m/s], 0.01 to 50.
    time : float
        How long it took [s], 1 to 1e5.

    Returns
    -------
    float
        Factor for `polish_time` [-].

    Raises
    ------
    ValueError
        If a number is out of range.

    Examples
    --------
    >>> round(preston_factor(50e-6, 109e-6, 7e3, 2.0, time=32.8), 2)
    0.5
    """
    scalar_in_range("removal", removal, "m", 1e-6, 0.02)
    taken = scalar_in_range("time", time, "s", 1.0, 1e5)
    return polish_time(removal, size, pressure, speed).likely / taken


@dataclass(frozen=True)
class GritStep:
    """One step of a grit sequence.

    Attributes
    ----------
    label : str
        The grit.
    size : float
        Its grain size [m].
    removal : float
        What it must take off, so that nothing is left of the step before [m].
    time : PolishTime
        How long that takes [s].
    worth : float
        What the whole sequence takes longer without this step [s]; infinite for the last.
    """

    label: str
    size: float
    removal: float
    time: PolishTime
    worth: float


@dataclass(frozen=True)
class GritSequence:
    """The grits of a workshop that bring a surface to its finish in the least time.

    Attributes
    ----------
    steps : tuple of GritStep
        The steps in their order.
    skipped : tuple of tuple
        Grits that could be left out, and what the whole would take longer with each [s].
    time : float
        Likely time of all steps, with the washing between them [s].
    removal : float
        What is taken off in all [m].
    """

    steps: tuple[GritStep, ...]
    skipped: tuple[tuple[str, float], ...]
    time: float
    removal: float


def grit_sequence(
    start: str,
    finish: str,
    owned: Sequence[str],
    *,
    marks: float = 0.0,
    tool: str = "flat lap",
    washing: float = 300.0,
    factor: float | None = None,
) -> GritSequence:
    """Return the fastest way from one surface to another with the grits that a workshop owns.

    Each step takes off the cracks of the step before, 2 L^0.85, in the time of Preston's law; between two
    steps everything is washed. The shortest way through the sizes is found by dynamic programming.

    Parameters
    ----------
    start : str
        The grit that made the surface, such as that of the saw blade, "D181".
    finish : str
        The last grit, one of those owned or not.
    owned : sequence of str
        Labels of the grits at hand, standards mixed as they come, up to 40.
    marks : float
        Depth of what must come off first [m], 0 to 0.02: saw marks, or a skin of crystals; the cracks of
        `start` if they are deeper.
    tool : str
        "flat lap", "wheel", "wet belt" or "hand pad", for pressure and speed.
    washing : float
        Time for washing tool, hands and piece before each step [s], 0 to 3600.
    factor : float, optional
        From `preston_factor` [-], 0.01 to 100, once a time has been measured.

    Returns
    -------
    GritSequence
        Steps with removal [m] and time [s], and why each is worth it or can be skipped.

    Raises
    ------
    ValueError
        If the finish is not finer than the start, a label or tool is unknown, or a number is out of range.

    Notes
    -----
    Without washing nearly every grit is worth its step. Grits coarser than the start are left alone, deep
    marks or not: they make deeper cracks than they find. For deep marks give the coarser one as the start.

    Examples
    --------
    >>> sequence = grit_sequence("F80", "F600", ["F120", "F220", "F400", "F600"])
    >>> [(step.label, round(step.removal * 1e6)) for step in sequence.steps]
    [('F220', 169), ('F600', 63)]
    """
    first, last = grit_size(start), grit_size(finish)
    if last >= first:
        raise ValueError(
            f"{_size_words(finish)} is not finer than {_size_words(start)}: a sequence goes from coarse to "
            "fine"
        )
    depth = scalar_in_range("marks", marks, "m", 0.0, 0.02)
    wash = scalar_in_range("washing", washing, "s", 0.0, 3600.0)
    if len(owned) > 40:
        raise ValueError(f"owned lists {len(owned)} grits; allowed are up to 40")
    pressure, speed = tool_settings(tool)
    between = {grit_size(label): label for label in owned if last < grit_size(label) < first}
    sizes = [first, *sorted(between, reverse=True), last]
    labels = [start, *(between[size] for size in sizes[1:-1]), finish]
    removals = [float(cracks) for cracks in damage(np.array(sizes)).most]
    removals[0] = max(removals[0], depth)
    times = [
        [polish_time(removals[k], sizes[to], pressure, speed, factor=factor) for to in range(len(sizes))]
        for k in range(len(sizes))
    ]

    def shortest(without: int | None = None, through: int | None = None) -> tuple[float, list[int]]:
        reached: list[tuple[float, list[int]]] = [(0.0, [0])]
        for to in range(1, len(sizes)):
            ways = [
                (total + times[path[-1]][to].likely + wash, [*path, to])
                for total, path in reached
                if path[-1] != without and not (through and path[-1] < through < to)
            ]
            reached.append(min(ways))
        return reached[-1]

    total, path = shortest()
    last_step = len(sizes) - 1
    steps = tuple(
        GritStep(
            labels[to],
            sizes[to],
            removals[k],
            times[k][to],
            float("inf") if to == last_step else shortest(without=to)[0] - total,
        )
        for k, to in pairwise(path)
    )
    skipped = tuple((labels[k], shortest(through=k)[0] - total) for k in range(1, last_step) if k not in path)
    return GritSequence(steps, skipped, total, sum(step.removal for step in steps))


def tool_settings(tool: str) -> tuple[float, float]:
    """Return the usual pressure and speed of a tool of the cold shop, from `grinding_tools.csv`.

    Parameters
    ----------
    tool : str
        A name of that table, such as "flat lap".

    Returns
    -------
    tuple of two floats
        Pressure on the glass [Pa] and speed of the abrasive over it [m/s].

    Raises
    ------
    ValueError
        If there is no such tool; the message lists the names.

    Examples
    --------
    >>> tool_settings("flat lap")
    (7000.0, 2.0)
    """
    row = named(tool, rows("grinding_tools.csv"), "tool")
    return float(row["pressure_kPa"]) * 1e3, float(row["speed_m_per_s"])


def _grit(label: str) -> Row:
    if not isinstance(label, str):
        raise ValueError(f'the label of a grit is text with its standard, such as "F400", got {label!r}')
    table = {_plain(row["name"]): row for row in rows("grits.csv")}
    if _plain(label) in table:
        return table[_plain(label)]
    number = _plain(label).lstrip("#")
    if number.isdigit():
        may_be = [row for key, row in table.items() if key.lstrip("abcdefghijklmnopqrstuvwxyz") == number]
        if may_be:
            names = ", ".join(f"{row['name']} is {float(row['size_um']):g} µm" for row in may_be)
            raise ValueError(
                f"“{label}” has no standard, so it is no size: {names}. Which is on the packet? "
                "Write the standard with the number"
            )
    standards = "F240, P400, JIS 1000, CAMI 400, D126 (diamond), cerium oxide"
    raise ValueError(f"there is no grit “{label}” in the table; labels look like these: {standards}")


def _plain(label: str) -> str:
    return "".join(label.split()).casefold()


def _size_words(label: str) -> str:
    return f"{label} ({float(_grit(label)['size_um']):g} µm)"
