"""The plan of a whole piece: every lesson's calculation at its numbers, each step by itself, computed once.

`plan` returns at once; a step (`plan(piece).firings`) is computed when it is first asked for.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import Any, cast

import numpy as np

from kilncalc import bonding, coldwork, forming, grit, writing
from kilncalc.error_bars import Bar, ErrorBars, error_bars
from kilncalc.fired import Pull
from kilncalc.firing import Firing, Kiln, fire
from kilncalc.holes import DrillStep, HangingLoad, Hole, HoleCheck, check_holes, drill_plan, hanging_load
from kilncalc.materials import ALLOWED_TENSION
from kilncalc.piece import Piece
from kilncalc.plan_bodies import bodies_of, map_of
from kilncalc.plan_forms import Forms, forms_of
from kilncalc.plan_materials import Materials, Shopping, materials_of, shopping_of
from kilncalc.project import Project
from kilncalc.project_parts import CONTROLLERS, ColdWork, OwnKiln
from kilncalc.relief import MapFiring
from kilncalc.schedule import Schedule

_DRAPES = ("drape", "drape and bond")


# ------------------------------------------------------------------------------------------ the firings


def kiln_of(project: Project) -> Kiln:
    """Return the kiln of a piece as `firing` takes it.

    Parameters
    ----------
    project : Project
        The piece.

    Returns
    -------
    Kiln
        Its cooling time [s], fastest heating [degC/h], unevenness [-].

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> kiln_of(scenario("banner")).cooling_time
    10800.0
    """
    own = project.kiln or OwnKiln()
    return Kiln(cooling_time=own.cooling_time, fastest_heating=own.fastest_heating, unevenness=own.unevenness)


@dataclass(frozen=True)
class FiringPlan:
    """One firing of a piece: its schedule, and what it does.

    Attributes
    ----------
    number : int
        Which firing it is, from 1 [-].
    process : str
        What it is for.
    piece : Piece
        What is in the kiln.
    schedule : Schedule
        Written for it, with a reason for each segment.
    pull : Pull
        The piece fired, after the firing before where it can be.
    follows : bool
        Whether it begins with what the firing before left in the glass; else with annealed glass.
    likely, likely_stays : Bar
        Between what the largest tension and what stays probably lie, from annealed glass [Pa].
    fluidity : float
        That the glass reaches [1/Pa].
    fluidity_range : tuple of two floats
        The same with the thermocouple off by its error, either way [1/Pa].
    needed : float or None
        What its form takes: to the first touch [1/Pa]; None: it is not formed.
    sleeve : forming.Draped or None
        The sleeve as it comes out, or as far as a drape is followed; None: none is draped.
    """

    number: int
    process: str
    piece: Piece
    schedule: Schedule
    pull: Pull
    follows: bool
    likely: Bar
    likely_stays: Bar
    fluidity: float
    fluidity_range: tuple[float, float]
    needed: float | None
    sleeve: forming.Draped | None

    @property
    def keeps_limits(self) -> bool:
        """Whether tension and what stays are within what is allowed."""
        tension, stays = self.pull.allowed_tension, self.pull.allowed_residual
        return self.pull.most <= tension * (1 + 1e-9) and self.pull.stays <= stays * (1 + 1e-9)


def firings_of(project: Project, progress: Callable[[float], None] | None = None) -> tuple[FiringPlan, ...]:
    """Return a schedule for each firing of a piece, and what it does: `write_schedule`, then `fire`.

    Parameters
    ----------
    project : Project
        The piece.
    progress : function or None
        Called with the share that is done [-], 0 to 1: it takes seconds.

    Returns
    -------
    tuple of FiringPlan
        Schedules [degC/h], [degC], [min] and stresses [Pa].

    Raises
    ------
    ValueError
        As `write_schedule` and `fire`, with the number of the firing.

    Notes
    -----
    A firing begins with the structure and stress of the one before where the piece is solid and its zones
    are the same, and its schedule is written anew until it keeps the limits with that; where sheets join, or
    a full fuse has levelled it, with annealed glass. A slump that needs
    more than the usual fluidity to lie down in its mould gets it.

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> [(one.process, one.follows, one.keeps_limits) for one in firings_of(scenario("relief-tray"))]
    [('tack fuse', False, True), ('slump', True, True)]
    """
    done: list[FiringPlan] = []
    tell = progress or _no_progress

    def of_this(share: float) -> None:
        tell((len(done) + share) / len(project.firings))

    for number, (wanted, piece) in enumerate(zip(project.firings, bodies_of(project), strict=True), 1):
        try:
            done.append(_planned(project, number, piece, done[-1] if done else None, of_this))
        except ValueError as problem:
            raise ValueError(f"firing {number}, {wanted.process}: {problem}") from None
        tell(len(done) / len(project.firings))
    return tuple(done)


def _no_progress(_share: float) -> None:
    """Take no notice of how far a plan is."""


_TRIES = 4  # of writing a schedule anew, with less allowed by what the firing before left


def _planned(
    project: Project,
    number: int,
    piece: Piece,
    before: FiringPlan | None,
    progress: Callable[[float], None],
) -> FiringPlan:
    wanted, own = project.firings[number - 1], project.kiln or OwnKiln()
    needed = _needed(project, wanted.process)
    usual, dish = forming.FLUIDITY_OF.get(wanted.process), forms_of(project).dish
    asked = dish.lies if dish and wanted.process == "slump" else needed
    more = asked if asked and usual and asked > usual else None
    kiln, after = kiln_of(project), _carries(before, piece)
    residual = writing.RESIDUALS[wanted.leaves] * ALLOWED_TENSION
    allowed = ALLOWED_TENSION
    for again in range(_TRIES):
        schedule = _written(
            piece, wanted.process, kiln, allowed, residual, own.segments, own.controller, more
        )
        progress(0.4 + 0.1 * again)
        if after is None:
            break
        pull, fresh = (
            Pull(fire(schedule, piece, kiln, one), ALLOWED_TENSION, residual) for one in (after, None)
        )
        if pull.most <= ALLOWED_TENSION:
            break
        # what the firing before left adds: so much less is allowed from annealed glass; of what stays then,
        # nothing is left of before, for every process soaks the glass at its annealing point
        allowed = fresh.most - 1.1 * (pull.most - ALLOWED_TENSION)
    bars = _bars(schedule, piece, kiln)
    if after is None:
        pull = Pull(bars.firing, ALLOWED_TENSION, residual)
    flowed = float(forming.fluidity(schedule, piece.glass))
    run = forms_of(project).sleeve if wanted.process in _DRAPES else None
    return FiringPlan(
        number=number,
        process=wanted.process,
        piece=piece,
        schedule=schedule,
        pull=pull,
        follows=after is not None,
        likely=max(bars.heating, bars.cooling, key=lambda bar: bar.value),
        likely_stays=bars.residual,
        fluidity=flowed,
        fluidity_range=_sensor_range(schedule, piece, flowed, own.sensor_error),
        needed=needed,
        sleeve=run.run.at(min(flowed, run.run.profiles[-1].fluidity)) if run else None,
    )


def _sensor_range(schedule: Schedule, piece: Piece, flowed: float, error: float) -> tuple[float, float]:
    """Return the fluidity with the thermocouple off either way, by the viscosity of the hottest hold."""
    top = max(segment.target for segment in schedule.segments)
    hold = piece.glass.viscosity_at(top)
    cold, hot = (float(flowed * hold / piece.glass.viscosity_at(top + sign * error)) for sign in (-1, 1))
    return cold, hot


def _needed(project: Project, process: str) -> float | None:
    """Return the fluidity at which a form is first touched."""
    forms = forms_of(project)
    if process == "slump" and forms.dish:
        return float(forms.dish.sheet.fluidity)
    if process in _DRAPES and forms.sleeve:
        return float(forms.sleeve.run.touchdown_fluidity)
    return None


@lru_cache(maxsize=100)
def _written(
    piece: Piece,
    process: str,
    kiln: Kiln,
    allowed: float,
    leaves: float,
    segments: int,
    controller: str,
    fluidity: float | None,
) -> Schedule:
    counts: Any = CONTROLLERS[controller]
    return writing.write_schedule(piece, process, kiln, allowed, leaves, segments, counts, fluidity=fluidity)


@lru_cache(maxsize=100)
def _bars(schedule: Schedule, piece: Piece, kiln: Kiln) -> ErrorBars:
    return error_bars(schedule, piece, kiln)


def _carries(before: FiringPlan | None, piece: Piece) -> Firing | None:
    """Return the firing before where what it left can be carried on into this piece."""
    if before is None or piece.loose:
        return None
    then, now = ([(zone.thickness, zone.share) for zone in one.body] for one in (before.piece, piece))
    same = len(then) == len(now) and np.allclose(then, now, rtol=1e-6)
    return before.pull.firing if same else None


@dataclass(frozen=True)
class MapPlan:
    """One firing of a piece as a thickness map.

    Attributes
    ----------
    number : int
        Which firing it is, from 1 [-].
    schedule : Schedule
        What it is fired with.
    firing : MapFiring
        What that does.
    follows : bool
        Whether it begins with what the firing before left in the map; else with annealed glass.
    """

    number: int
    schedule: Schedule
    firing: MapFiring
    follows: bool


def fire_map(
    project: Project,
    number: int,
    own_schedule: bool = False,
    progress: Callable[[float], None] | None = None,
) -> MapPlan:
    """Return one firing of a piece as a thickness map, with the schedule of its zones or with its own.

    Parameters
    ----------
    project : Project
        The piece; the firing says the side of a `cell`.
    number : int
        Which firing, in their order [-], at least 1.
    own_schedule : bool
        Whether a schedule is written for the map, which takes half a minute or more.
    progress : function or None
        Called with the share that is done [-], 0 to 1, once schedules are written: it takes seconds.

    Returns
    -------
    MapPlan
        Maps of temperature [degC] and tension [Pa] at the worst moments, and the schedule.

    Raises
    ------
    ValueError
        As `plan_bodies.map_of` and `fire`.

    Notes
    -----
    A map is one solid piece. As the zones of `firings_of` it begins with what the firing before left where
    that was of the same piece, which is then fired as the same map first, else annealed; a schedule of its
    own is written from annealed glass. Where parts meet at corners it shows more tension than the zones, on
    the class's tray a third more: another reason to stay below the limit.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from kilncalc.project import scenario
    >>> tray = scenario("relief-tray")
    >>> coarse = replace(tray, firings=(tray.firings[0], replace(tray.firings[1], cell=0.012)))
    >>> fire_map(coarse, 2).firing.peak_tension("heating") > 0
    True
    """
    laid, plans = map_of(project, number), firings_of(project)
    planned, kiln = plans[number - 1], kiln_of(project)
    piece = Piece(planned.piece.glass, laid.map, planned.piece.support, planned.piece.bending)
    first = number
    while plans[first - 1].follows:
        first -= 1
    schedules = [one.schedule for one in plans[first - 1 : number]]
    if own_schedule:
        wanted, own = project.firings[number - 1], project.kiln or OwnKiln()
        residual = writing.RESIDUALS[wanted.leaves] * ALLOWED_TENSION
        schedules[-1] = _written(
            piece, wanted.process, kiln, ALLOWED_TENSION, residual, own.segments, own.controller, None
        )
    firing = None
    for done, schedule in enumerate(schedules):

        def tell(share: float, done: int = done) -> None:
            if progress:
                progress((done + share) / len(schedules))

        then = replace(piece, support=plans[first - 1 + done].piece.support)
        firing = cast(MapFiring, fire(schedule, then, kiln, firing, progress=tell))
    assert firing is not None
    return MapPlan(number, schedules[-1], firing, planned.follows)


# ------------------------------------------------------------------------------------------- cold work


@dataclass(frozen=True)
class ColdPlan:
    """What is done to a piece when it is cold.

    Attributes
    ----------
    squared : coldwork.Squared or None
        The cuts that trim it; None: nothing is trimmed.
    thickness : float
        Of the piece when its faces are ground [m].
    holes : HoleCheck or None
        Its holes against the standard; None: no holes.
    drills : tuple
        For each hole the steps of `drill_plan`.
    grits : grit.GritSequence or None
        Grits and times; None: no grinding.
    bead : bonding.Bead or None
        The pressed bead; None: nothing is glued.
    cure : float or None
        How long it cures [s].
    load : HangingLoad or None
        What its fixings carry when its hollow is full; None: it does not hang.
    """

    squared: coldwork.Squared | None
    thickness: float
    holes: HoleCheck | None
    drills: tuple[tuple[DrillStep, ...], ...]
    grits: grit.GritSequence | None
    bead: bonding.Bead | None
    cure: float | None
    load: HangingLoad | None

    @property
    def time(self) -> float:
        """Time of grinding and drilling [s]."""
        drilling = sum(step.time for steps in self.drills for step in steps)
        return drilling + (self.grits.time if self.grits else 0.0)


def cold_work_of(project: Project) -> ColdPlan:
    """Return what is done to a piece when it is cold: trims, holes, grits, glue, and what it carries full.

    Parameters
    ----------
    project : Project
        The piece.

    Returns
    -------
    ColdPlan
        Sizes [m], times [s], loads [N].

    Raises
    ------
    ValueError
        As the functions of lesson 5.

    Notes
    -----
    The fired piece is taken as a rectangle: the blank less its draw-in. A former's hollow counts as an edge
    for the holes.

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> sign = cold_work_of(scenario("door-sign"))
    >>> [rule.rule for rule in sign.holes.missed], [step.label for step in sign.grits.steps]
    ([], ['F220', 'F600'])
    """
    cold = project.cold_work or ColdWork()
    materials = materials_of(project)
    thickness = project.casting.depth if project.casting else materials.thickness - cold.faces
    bond = project.bond
    bead = bonding.pressed_bead(bond.bead, bond.length, bond.gap) if bond else None
    steps: tuple[tuple[DrillStep, ...], ...] = tuple(
        drill_plan(hole.diameter, thickness, surface_speed=cold.surface_speed) for hole in project.holes
    )
    return ColdPlan(
        squared=_squared(project, materials, cold),
        thickness=thickness,
        holes=_hole_check(project, thickness, cold),
        drills=steps,
        grits=grit.grit_sequence(cold.start, cold.finish, cold.grits, marks=cold.marks, tool=cold.tool)
        if cold.start
        else None,
        bead=bead,
        cure=float(bonding.cure_time(bead.width, bond.first_day)) if bead and bond else None,
        load=_load(project, materials),
    )


def _squared(project: Project, materials: Materials, cold: ColdWork) -> coldwork.Squared | None:
    blank = materials.blank
    if not cold.trim or blank is None or project.size is None:
        return None
    lost = 2 * (project.draw_in or 0.0)
    l, w = blank.length - lost, blank.width - lost
    outline = [(0.0, 0.0), (l, 0.0), (l, w), (0.0, w)]
    return coldwork.square_up(outline, cold.kerf, size=project.size, datum_cut=cold.trim)


def _hole_check(project: Project, thickness: float, cold: ColdWork) -> HoleCheck | None:
    if not project.holes or project.size is None:
        return None
    l, w = project.size
    outline = [(0.0, 0.0), (l, 0.0), (l, w), (0.0, w)]
    drilled = [Hole(*hole.at, hole.diameter) for hole in project.holes]
    hollow = _hollow(project)
    return check_holes(outline, drilled, thickness, cold.standard, hollows=[hollow] if hollow else [])


def _hollow(project: Project) -> list[tuple[float, float]] | None:
    """Return the outline of the sleeve's hollow, seen from the front."""
    drape = project.drape
    if drape is None or drape.at is None:
        return None
    x, y = drape.at
    inset = (drape.across - drape.former_width) / 2
    if drape.lies == "across":
        x1, x2, y1, y2 = x + inset, x + inset + drape.former_width, y, y + drape.along
    else:
        x1, x2, y1, y2 = x, x + drape.along, y + inset, y + inset + drape.former_width
    return [(x1, y1), (x2, y1), (x2, y2), (x1, y2)]


def _load(project: Project, materials: Materials) -> HangingLoad | None:
    hanging = project.hanging
    if hanging is None:
        return None
    sleeve = forms_of(project).sleeve
    hollow = hanging.contents + (sleeve.sleeve.hollow_volume if sleeve else 0.0)
    return hanging_load(materials.finished_mass, hollow, hanging.left, hanging.right)


# ------------------------------------------------------------------------------------------- the whole


@dataclass(frozen=True)
class Plan:
    """The plan of a piece; each step is computed when it is first read.

    Attributes
    ----------
    project : Project
        The piece.
    """

    project: Project

    @cached_property
    def forms(self) -> Forms:
        """Slump and sleeve, lesson 3b."""
        return forms_of(self.project)

    @cached_property
    def materials(self) -> Materials:
        """Weights, agreement, blanks, paper: lessons 1, 2 and 3."""
        return materials_of(self.project)

    @cached_property
    def shopping(self) -> Shopping:
        """What to buy for one, lesson 3."""
        return shopping_of(self.project)

    @cached_property
    def class_shopping(self) -> Shopping | None:
        """What to buy for the class; None where there is none."""
        group = self.project.group
        return shopping_of(self.project, group.students) if group else None

    @cached_property
    def firings(self) -> tuple[FiringPlan, ...]:
        """Schedules and stresses, lessons 4 and 4b."""
        return firings_of(self.project)

    def fire(self, progress: Callable[[float], None]) -> None:
        """Compute the firings now, if they were not read yet.

        Parameters
        ----------
        progress : function
            Called with the share that is done [-], 0 to 1.

        Raises
        ------
        ValueError
            As `firings_of`.
        """
        if "firings" not in vars(self):
            vars(self)["firings"] = firings_of(self.project, progress)

    @cached_property
    def cold_work(self) -> ColdPlan:
        """Trims, holes, grits, glue: lesson 5."""
        return cold_work_of(self.project)

    @property
    def duration(self) -> float:
        """Time of all firings, the kiln's own cooling included [s]."""
        return sum(one.pull.duration for one in self.firings)

    @cached_property
    def problems(self) -> tuple[tuple[str, str], ...]:
        """The steps that cannot be computed, each by its name and with a sentence that says why."""
        found = []
        for step in STEPS:
            try:
                getattr(self, step)
            except ValueError as problem:
                found.append((step, str(problem)))
        return tuple(found)


STEPS = ("forms", "materials", "shopping", "class_shopping", "firings", "cold_work")
"""The steps of a plan, in the order in which a piece is made."""


def plan(project: Project) -> Plan:
    """Return the plan of a piece.

    Parameters
    ----------
    project : Project
        The piece.

    Returns
    -------
    Plan
        Its steps, in SI units [-]; each is computed when it is first read.

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> plan(scenario("bookend")).materials.mass > 1
    True
    """
    return Plan(project)
