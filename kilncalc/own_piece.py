"""A maker's own piece, from a few words and sizes: its schedule, what it does, what a rule of thumb would do.

And what leaving less stress costs in hours, beside published scales of how much may stay.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from kilncalc import writing
from kilncalc._ranges import scalar_in_range
from kilncalc.error_bars import Bar, error_bars
from kilncalc.fired import Pull
from kilncalc.firing import SMALL_BRICK_KILN, Firing, Kiln, fire
from kilncalc.materials import ALLOWED_RESIDUAL, ALLOWED_TENSION, Glass
from kilncalc.piece import Below, Feature, FeaturePlace, Layer, Piece, Zone
from kilncalc.schedule import Schedule, Segment

RELIEFS: dict[str, Feature | None] = {
    "none": None,
    "ribs": "rib",
    "frame": "rib",
    "dots": "spot",
    "wide parts": None,
}
"""Kinds of relief, and the narrow feature each of them is; a frame runs all the way round along the rim."""

SUPPORTS = ("shelf", "paper on the shelf", "posts")
"""What a piece may lie on: the bare shelf, fibre paper on it, or posts with air below."""

SHEET, PAPER = 0.003, 0.003
"""Thickness of a sheet in a loose stack, and of the fibre paper under a piece [m]."""

MOST_SHEETS = 12
"""Loose sheets in a stack of which a first firing is computed."""


def build(
    glass: Glass,
    thickness: float,
    relief: str = "none",
    height: float = 0.003,
    width: float = 0.010,
    share: float = 0.25,
    loose: bool = False,
    support: str = "shelf",
    length: float | None = None,
) -> Piece:
    """Return a piece from what a maker measures.

    Parameters
    ----------
    glass : Glass
        The glass.
    thickness : float
        Where it is plain [m], 0.3e-3 to 0.15.
    relief : str
        One of `RELIEFS`.
    height : float
        How much higher the relief is [m], > 0, at most 0.1; not read where there is none.
    width : float
        Of a rib or a frame's strips, or diameter of a dot [m], 0.5e-3 to 0.5; read for those.
    share : float
        Share of the area under the relief [-], > 0, below 1.
    loose : bool
        True: a first firing of loose sheets, each as near to `SHEET` as fits, the relief lying on top.
    support : str
        One of `SUPPORTS`.
    length : float or None
        Of a rib, as a rule of the piece along it [m], 1e-3 to 10. None: endless, which is the worst.

    Returns
    -------
    Piece
        The piece.

    Raises
    ------
    ValueError
        For a word that is not in its list, a size outside its range, a single loose sheet without relief, or
        a loose stack of more than `MOST_SHEETS`.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> tray = build(glass("lamp soda-lime"), 0.006, "ribs")
    >>> [round(zone.thickness, 3) for zone in tray.body]
    [0.006, 0.009]
    """
    _known("relief", relief, RELIEFS)
    _known("support", support, SUPPORTS)
    sheets = max(1, round(thickness / SHEET))
    if loose and sheets > MOST_SHEETS:
        raise ValueError(
            f"thickness is {1000 * thickness:g} mm, a stack of {sheets} loose sheets; a first firing is "
            f"computed for at most {MOST_SHEETS}. Fire it in steps, or choose a piece that is one already"
        )
    if loose and sheets == 1 and relief == "none":
        raise ValueError(
            f"thickness is {1000 * thickness:g} mm: that is a single sheet, and nothing lies loose on it. "
            "Choose a relief, a greater thickness, or a piece that is one already"
        )
    stack = tuple(Layer(thickness / sheets) for _ in range(sheets)) if loose else None
    below: Below | None = "paper" if support == "paper on the shelf" else None
    paper = PAPER if below else 0.0

    def zone(thick: float, part: float, layers: tuple[Layer, ...] | None, narrow: bool) -> Zone:
        feature = RELIEFS[relief] or "rib"
        across = width if narrow else None
        place: FeaturePlace = "frame" if relief == "frame" else "inside"
        return Zone(thick, part, across, feature, length, place, below=below, paper=paper, layers=layers)

    body: tuple[Zone, ...]
    if relief == "none":
        body = (zone(thickness, 1.0, stack, False),)
    else:
        high = scalar_in_range("height", height, "m", 0.0, 0.1, open_low=True)
        raised = (*stack, Layer(high)) if stack else None
        body = (
            zone(thickness, 1 - share, stack, False),
            zone(thickness + high, share, raised, RELIEFS[relief] is not None),
        )
    return Piece(glass, body, "open" if support == "posts" else "shelf", loose=loose)


def _known(name: str, word: str, words: object) -> None:
    if word not in words:  # type: ignore[operator]
        raise ValueError(f"{name} is {word!r}; there are {', '.join(words)}")  # type: ignore[arg-type]


@dataclass(frozen=True)
class OwnPiece:
    """A piece with the schedule written for it, and with that of a rule of thumb.

    Attributes
    ----------
    piece : Piece
        The piece.
    schedule : Schedule
        Written for it, with a reason for each segment.
    pull : Pull
        The piece fired with it.
    rule : Pull
        The piece fired "as if twice as thick".
    likely, likely_stays : Bar
        Between what the tension and what stays probably lie with the schedule written for it [Pa].
    controller : str
        What the controller counts in, "degC" or "degF".
    """

    piece: Piece
    schedule: Schedule
    pull: Pull
    rule: Pull
    likely: Bar
    likely_stays: Bar
    controller: str


def own_piece(
    piece: Piece,
    process: str,
    kiln: Kiln = SMALL_BRICK_KILN,
    allowed_tension: float = ALLOWED_TENSION,
    allowed_residual: float = ALLOWED_RESIDUAL,
    controller: writing.Controller = "degC",
) -> OwnPiece:
    """Return a piece with its schedule, fired, and what "as if twice as thick" would do to it.

    Parameters
    ----------
    piece : Piece
        The piece; see `build`.
    process : str
        A name in `writing.PROCESSES`.
    kiln : Kiln
        Where.
    allowed_tension, allowed_residual : float
        The limits for what passes and for what stays [Pa], 0.1e6 to 50e6, 0.01e6 to 50e6.
    controller : str
        What the controller counts in, "degC" or "degF".

    Returns
    -------
    OwnPiece
        Schedule and firings.

    Raises
    ------
    ValueError
        As `writing.write_schedule`.

    Notes
    -----
    The rule of thumb is common practice, no source: the schedule of an even piece twice as thick as the
    thickest part, one piece already.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> plate = own_piece(build(glass("lamp soda-lime"), 0.006), "slump")
    >>> plate.pull.stays <= 0.5e6
    True
    """
    _known("controller", controller, ("degC", "degF"))
    even = writing.twice_as_thick(piece)
    (ours, firing), (rule, _) = (
        _written(one, process, kiln, allowed_tension, allowed_residual, controller) for one in (piece, even)
    )
    bars = error_bars(ours, piece, kiln, firing)
    pull, by_rule = (
        Pull(one, allowed_tension, allowed_residual) for one in (firing, fire(rule, piece, kiln))
    )
    likely = max(bars.heating, bars.cooling, key=lambda bar: bar.value)
    return OwnPiece(piece, ours, pull, by_rule, likely, bars.residual, controller)


@lru_cache(maxsize=100)
def _written(
    piece: Piece, process: str, kiln: Kiln, tension: float, residual: float, controller: writing.Controller
) -> tuple[Schedule, Firing]:
    schedule, check = writing.write_and_check(piece, process, kiln, tension, residual, controller=controller)
    assert isinstance(check.firing, Firing)  # of zones
    return schedule, check.firing


# ------------------------------------------------------------------ what leaving less costs


@dataclass(frozen=True)
class Mark:
    """A published amount of stress that may stay, for comparison.

    Attributes
    ----------
    stress : float
        The amount [Pa].
    name : str
        What it is, in a few words.
    """

    stress: float
    name: str


PHOTOGRAPHIC, MAGNIFIER = 10e-7, 20e-7
"""Stress birefringence allowed in lenses [-], 10 and 20 nm/cm, ISO 10110-18 (from memory): photographic and
microscope lenses, magnifiers."""

TEMPER_NUMBER = 22.8e-9 / 4.06e-3
"""One real temper number of ASTM C148 as retardation over path [-]: 22.8 nm in 4.06 mm."""


def marks(glass: Glass) -> tuple[Mark, ...]:
    """Return published scales of how much may stay, as stress in a glass, retardation/(C path).

    Parameters
    ----------
    glass : Glass
        The glass, for its stress-optic coefficient C.

    Returns
    -------
    tuple of Mark
        From the strictest to the loosest.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> [round(mark.stress / 1e6, 2) for mark in marks(glass("lamp soda-lime"))]
    [0.37, 0.74, 2.08]

    References
    ----------
    ISO 10110-18 (grades from memory); ASTM C148.
    """
    return tuple(
        Mark(birefringence / glass.stress_optic_coefficient, name)
        for birefringence, name in (
            (PHOTOGRAPHIC, "camera lens"),
            (MAGNIFIER, "magnifier"),
            (TEMPER_NUMBER, "bottle, grade 1"),
        )
    )


@dataclass(frozen=True)
class HoursAgainstStress:
    """How long the slow cooling of a piece takes, against the stress that stays.

    Attributes
    ----------
    rate : ndarray
        From the annealing point to 100 K below the strain point (case) [degC/h].
    time : ndarray
        What that stage takes, longer than asked for where the kiln cools more slowly (case) [s].
    stays : ndarray
        The largest tension that stays (case) [Pa].
    passes : ndarray
        The largest tension on the way down, an uneven kiln included (case) [Pa].
    spread : tuple of float
        Between what shares of `stays` it probably lies, whatever the rate [-].
    allowed_residual : float
        What this kit plans with [Pa].
    marks : tuple of Mark
        Published amounts.
    """

    rate: np.ndarray
    time: np.ndarray
    stays: np.ndarray
    passes: np.ndarray
    spread: tuple[float, float]
    allowed_residual: float
    marks: tuple[Mark, ...]

    def time_for(self, stress: float) -> float:
        """Return how long the stage takes that leaves a stress, by straight lines on the logarithms.

        Parameters
        ----------
        stress : float
            What stays [Pa], > 0.

        Returns
        -------
        float
            The time [s]; nan outside what was computed.
        """
        inside = self.stays.min() <= stress <= self.stays.max()
        found = np.interp(np.log(stress), np.log(self.stays), np.log(self.time))
        return float(np.exp(found)) if inside else float("nan")

    def likely(self, stress: float) -> Bar:
        """Return a stress that stays with its error bar.

        Parameters
        ----------
        stress : float
            What stays, as computed [Pa], > 0.

        Returns
        -------
        Bar
            Between what it probably lies [Pa].
        """
        low, high = self.spread
        return Bar(stress, low * stress, high * stress, {})


SLOWEST, FASTEST = 1.5, 200.0
"""Rates of slow cooling that are compared [degC/h]."""


def hours_against_stress(
    piece: Piece, kiln: Kiln = SMALL_BRICK_KILN, allowed_residual: float = ALLOWED_RESIDUAL
) -> HoursAgainstStress:
    """Return what the slow cooling of a piece takes, and what then stays, for a row of rates.

    Parameters
    ----------
    piece : Piece
        The piece, one already.
    kiln : Kiln
        Where; below the slow stage it cools by itself.
    allowed_residual : float
        What is planned with [Pa], 0.01e6 to 50e6.

    Returns
    -------
    HoursAgainstStress
        Rates [degC/h], times [s] and stresses [Pa] (case), the largest stress last.

    Raises
    ------
    ValueError
        If the limit is outside its range.

    Notes
    -----
    The error bars are computed at the middle rate: from 1.5 to 200 degC/h their ends, as shares of what
    stays, change by less than 0.04.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> even = hours_against_stress(Piece(glass("lamp soda-lime"), (Zone(0.012, 1.0),)))
    >>> 1 < even.time_for(0.5e6) / 3600 < 2
    True
    """
    limit = scalar_in_range("allowed_residual", allowed_residual, "Pa", 0.01e6, 50e6)
    glass = piece.glass
    slow_to = glass.strain_point - 100
    rates = np.geomspace(SLOWEST, FASTEST, 7)
    schedules = [
        Schedule((Segment(float(rate), slow_to), Segment(None, 40)), glass.annealing_point) for rate in rates
    ]
    firings = [fire(schedule, piece, kiln) for schedule in schedules]
    middle = len(rates) // 2
    stays = error_bars(schedules[middle], piece, kiln, firings[middle]).residual
    arrives = [int(np.flatnonzero(one.air <= slow_to + 1e-6)[0]) for one in firings]
    return HoursAgainstStress(
        rate=rates,
        time=np.array([float(one.time[row]) for one, row in zip(firings, arrives, strict=True)]),
        stays=np.array([float(one.residual.max()) for one in firings]),
        passes=np.array([one.peak_with_unevenness("cooling") for one in firings]),
        spread=(stays.low / stays.value, stays.high / stays.value),
        allowed_residual=limit,
        marks=marks(glass),
    )
