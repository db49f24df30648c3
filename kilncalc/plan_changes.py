"""The same piece again: in another kiln, of another glass, in another size; and two firings compared."""

from dataclasses import dataclass, replace
from itertools import zip_longest
from typing import Any

from kilncalc import forming
from kilncalc._ranges import scalar_in_range
from kilncalc.fired import Pull
from kilncalc.firing import fire
from kilncalc.materials import ALLOWED_TENSION
from kilncalc.plan import Plan, kiln_of, plan
from kilncalc.plan_bodies import bodies_of
from kilncalc.plan_materials import materials_of
from kilncalc.project import Project
from kilncalc.project_parts import Fired, OwnKiln
from kilncalc.quantities import Show
from kilncalc.schedule import Segment
from kilncalc.writing import RESIDUALS

_SCALED = {
    "sheets": (),
    "laid": ("at", "size", "diameter", "width", "points"),
    "rods": ("at", "size"),
    "frit": ("at", "size", "points"),
    "inlays": ("width", "length"),
    "casting": ("bottom", "top", "size", "depth"),
    "slump": ("span", "depth"),
    "drape": ("across", "along", "at", "former_width"),
    "holes": ("at",),
    "hanging": ("left", "right"),
    "bond": ("length",),
}
"""What of each part grows with the drawing; all else stays as it is."""


def _times(value: Any, times: float) -> Any:
    if value is None:
        return None
    if isinstance(value, tuple):
        return tuple(_times(one, times) for one in value)
    return value * times


def scaled(project: Project, times: float) -> Project:
    """Return a piece drawn larger or smaller; what is bought or measured stays.

    Parameters
    ----------
    project : Project
        The piece.
    times : float
        How many times as long and as wide [-], 0.1 to 10.

    Returns
    -------
    Project
        The same piece with the drawing scaled [m]; without what was fired. Sheets, rods, grains, paper, the
        former's height, holes' diameters, trims and kerfs are what they were.

    Raises
    ------
    ValueError
        If the number is out of range, or the scaled piece is impossible.

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> half = scaled(scenario("banner"), 0.5)
    >>> half.size, half.sheets[0].thickness
    ((0.21, 0.075), 0.0032)
    """
    factor = scalar_in_range("times", times, "", 0.1, 10.0)
    changes: dict[str, Any] = {"size": _times(project.size, factor), "fired": ()}
    for name, fields in _SCALED.items():
        part = getattr(project, name)
        if isinstance(part, tuple):
            changes[name] = tuple(_scaled_part(one, fields, factor) for one in part)
        elif part is not None:
            changes[name] = _scaled_part(part, fields, factor)
    if project.hanging:  # what could fill is a volume
        changes["hanging"] = replace(changes["hanging"], contents=project.hanging.contents * factor**3)
    return replace(project, **changes)


def _scaled_part(part: Any, fields: tuple[str, ...], times: float) -> Any:
    return replace(part, **{name: _times(getattr(part, name), times) for name in fields})


@dataclass(frozen=True)
class Grown:
    """A piece drawn larger or smaller, and what it then weighs.

    Attributes
    ----------
    before, after : Project
        The piece, and the same one at its other size.
    times : float
        How many times as long and as wide [-].
    mass_before, mass_after : float
        Glass that goes into the kiln [kg].
    thickness_before, thickness_after : float
        Of its sheets together, or of the casting [m].
    """

    before: Project
    after: Project
    times: float
    mass_before: float
    mass_after: float
    thickness_before: float
    thickness_after: float


def grown(project: Project, times: float) -> Grown:
    """Return a piece at another size with its weight: m goes with about times^2, of a casting with times^3.

    Parameters
    ----------
    project : Project
        The piece.
    times : float
        How many times as long and as wide [-], 0.1 to 10.

    Returns
    -------
    Grown
        Both pieces, masses [kg], thicknesses [m].

    Raises
    ------
    ValueError
        As `scaled`.

    Notes
    -----
    Not quite the square: draw-in and trims do not grow.

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> round(grown(scenario("bookend"), 2.0).mass_after / grown(scenario("bookend"), 2.0).mass_before, 6)
    8.0
    """
    after = scaled(project, times)
    thick = [
        one.casting.depth if one.casting else sum(sheet.count * sheet.thickness for sheet in one.sheets)
        for one in (project, after)
    ]
    return Grown(
        project, after, times, materials_of(project).mass, materials_of(after).mass, thick[0], thick[1]
    )


@dataclass(frozen=True)
class Replanned:
    """A plan, and the plan of the same piece with something changed.

    Attributes
    ----------
    before, after : Plan
        Both plans.
    times : float
        How many times as long and as wide it is drawn [-].
    """

    before: Plan
    after: Plan
    times: float

    def words(self, show: Show) -> tuple[str, ...]:
        """Return in sentences what changes, and what does not grow with the drawing.

        Parameters
        ----------
        show : Show
            The system of units.

        Returns
        -------
        tuple of str
            The sentences.
        """
        stays = self._stays(show) if self.times != 1 else []
        return (*self._weight(show), *self._hours(show), *stays)

    def _weight(self, show: Show) -> list[str]:
        one, other = (show.text(each.materials.mass, "mass") for each in (self.before, self.after))
        if one == other:
            return [f"It takes {one} of glass as before."]
        share = self.after.materials.mass / self.before.materials.mass
        sentence = f"It takes {other} of glass instead of {one}, {share:.3g} times as much"
        if self.times != 1:
            rule = "cube" if self.before.project.casting else "square"
            sentence += f"; the {rule} of {self.times:g} is {self.times ** (3 if rule == 'cube' else 2):.3g}"
        return [f"{sentence}."]

    def _hours(self, show: Show) -> list[str]:
        said = []
        for one, other in zip(self.before.firings, self.after.firings, strict=True):
            then, now = (show.text(each.pull.duration, "time") for each in (one, other))
            rates = [each.schedule.segments[0].rate for each in (one, other)]
            if one.schedule == other.schedule:
                said.append(f"Firing {one.number}, {one.process}: the same schedule, {now}.")
                continue
            slow, new = ("the kiln's own" if rate is None else show.text(rate, "rate") for rate in rates)
            said.append(
                f"Firing {one.number}, {one.process}: {now} instead of {then}; it begins at {new} instead of "
                f"{slow}."
            )
        return said

    def _stays(self, show: Show) -> list[str]:
        project, said = self.before.project, []
        if project.sheets:
            thick = show.text(self.before.materials.thickness, "length")
            said.append(
                f"The sheets stay {thick} thick in all, so rates do not scale with the size: they follow the "
                "thickness."
            )
        else:
            said.append(
                "A casting gets thicker as it gets larger, and time goes with the square of the thickness."
            )
        sleeve = self.before.forms.sleeve
        if sleeve and project.drape:
            high, layer = (show.text(x, "length") for x in (project.drape.former_height, sleeve.layer))
            said.append(
                f"The former stays {high} high, {sleeve.layers.nearest.count} layers of paper of {layer}: "
                "layers come in whole numbers and do not scale."
            )
        if project.rods or project.frit:
            said.append("Rods and grains keep their size, so there are more or fewer of them.")
        if project.cold_work or project.holes:
            said.append("Trims, the saw's kerf, grits and the diameters of holes stay as they are.")
        return said


def replan(
    project: Project, *, kiln: OwnKiln | None = None, glass: str = "", times: float = 1.0
) -> Replanned:
    """Return the plan of a piece, and that of the same piece in another kiln, of another glass or size.

    Parameters
    ----------
    project : Project
        The piece.
    kiln : OwnKiln or None
        Another kiln; None: the same.
    glass : str
        Another glass for all that is of the piece's own; empty: the same.
    times : float
        How many times as long and as wide [-], 0.1 to 10.

    Returns
    -------
    Replanned
        Both plans.

    Raises
    ------
    ValueError
        If the piece cannot be made so.

    Notes
    -----
    Stock of the piece's own glass is taken to be there in the other glass too, at the same price.

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> larger = replan(scenario("relief-tray"), times=1.5)
    >>> round(larger.after.project.size[0] * 1e3)
    360
    """
    changed = scaled(project, times) if times != 1 else replace(project, fired=())
    if kiln is not None:
        changed = replace(changed, kiln=kiln)
    if glass:
        changed = _of_glass(changed, glass)
    return Replanned(plan(project), plan(changed), times)


def _of_glass(project: Project, glass: str) -> Project:
    """Return a piece of another glass: parts that name the old one change with it."""

    def renamed(parts: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(replace(one, glass="") if one.glass == project.glass else one for one in parts)

    named = ("sheets", "laid", "rods", "frit", "stock")
    changes: dict[str, Any] = {name: renamed(getattr(project, name)) for name in named}
    return replace(project, glass=glass, **changes)


# ------------------------------------------------------------------------------------- two firings compared


@dataclass(frozen=True)
class AsFired:
    """A firing of the record, in the model.

    Attributes
    ----------
    fired : Fired
        The record.
    pull : Pull
        The piece as planned, fired with the segments as run.
    fluidity : float
        That the glass reached [1/Pa].
    """

    fired: Fired
    pull: Pull
    fluidity: float


@dataclass(frozen=True)
class Compared:
    """Two firings of the record side by side.

    Attributes
    ----------
    first, second : AsFired
        The two, in the order asked for.
    changed : tuple
        Number of each segment that differs, from 1 [-], with the segment of either; None where there is none.
    """

    first: AsFired
    second: AsFired
    changed: tuple[tuple[int, Segment | None, Segment | None], ...]

    def differences(self, show: Show) -> tuple[str, ...]:
        """Return in sentences what differs.

        Parameters
        ----------
        show : Show
            The system of units.

        Returns
        -------
        tuple of str
            The sentences.
        """
        said = [
            f"Segment {number}: {_segment(now, show)} instead of {_segment(then, show)}."
            for number, then, now in self.changed
        ]
        if not self.changed:
            said.append("The segments are the same.")
        for what, dimension in (("duration", "time"), ("most", "pressure"), ("stays", "pressure")):
            one, other = (
                show.text(getattr(each.pull, what), dimension) for each in (self.first, self.second)
            )
            name = {"duration": "Duration", "most": "Largest tension", "stays": "Tension that stays"}[what]
            said.append(f"{name}: {other}; before {one}." if one != other else f"{name}: {one}, both times.")
        return (*said, self._flowed())

    def _flowed(self) -> str:
        first, second = self.first.fluidity, self.second.fluidity
        if not first or not second:
            which = (
                "either time" if not first and not second else f"the {'second' if first else 'first'} time"
            )
            return f"The glass did not get hot enough to flow {which}."
        return f"The glass flowed {second / first:.3g} times as far the second time."

    def words(self, show: Show) -> tuple[str, ...]:
        """Return in sentences what differs, and what was found.

        Parameters
        ----------
        show : Show
            The system of units.

        Returns
        -------
        tuple of str
            The sentences.
        """
        found = (
            f"{each.fired.date.isoformat()}: {each.fired.finding}"
            for each in (self.first, self.second)
            if each.fired.finding
        )
        return (*self.differences(show), *found)


def _segment(segment: Segment | None, show: Show) -> str:
    if segment is None:
        return "none"
    rate = "as fast as the kiln does" if segment.rate is None else show.text(segment.rate, "rate")
    hold = f", {segment.hold_min:g} min" if segment.hold_min else ""
    return f"{rate} to {show.text(segment.target, 'temperature')}{hold}"


def as_fired(project: Project, fired: Fired) -> AsFired:
    """Return what a firing of the record did: the piece as planned for it, with the segments as run.

    Parameters
    ----------
    project : Project
        The piece.
    fired : Fired
        One of its record.

    Returns
    -------
    AsFired
        Stresses [Pa] and fluidity [1/Pa].

    Raises
    ------
    ValueError
        As `fire`, or if there is no such firing in the plan.

    Examples
    --------
    >>> import datetime
    >>> from kilncalc.project import scenario
    >>> from kilncalc.schedule import Schedule
    >>> run = Schedule.from_text("100 C/h to 820 C, 10 min; 600 C/h to 515 C, 60 min; 60 C/h to 40 C")
    >>> fired = Fired(date=datetime.date(2026, 3, 5), segments=run)
    >>> as_fired(scenario("banner"), fired).pull.stays > 0
    True
    """
    bodies = bodies_of(project)
    if fired.firing > len(bodies):
        raise ValueError(f"firing is {fired.firing}, but only {len(bodies)} are planned")
    piece = bodies[fired.firing - 1]
    residual = RESIDUALS[project.firings[fired.firing - 1].leaves] * ALLOWED_TENSION
    firing = fire(fired.segments, piece, kiln_of(project))
    flowed = float(forming.fluidity(fired.segments, piece.glass))
    return AsFired(fired, Pull(firing, ALLOWED_TENSION, residual), flowed)


def compare(project: Project, first: Fired, second: Fired) -> Compared:
    """Return two firings of the record of a piece side by side.

    Parameters
    ----------
    project : Project
        The piece.
    first, second : Fired
        Two of its record.

    Returns
    -------
    Compared
        Both in the model [Pa], and the segments that differ.

    Raises
    ------
    ValueError
        As `as_fired`.

    Notes
    -----
    The program as run, not the log: a log read back stands in `firing_log`.

    Examples
    --------
    >>> import datetime
    >>> from kilncalc.project import scenario
    >>> from kilncalc.schedule import Schedule
    >>> runs = ["100 C/h to 820 C, 10 min; 600 C/h to 515 C, 60 min; 60 C/h to 40 C",
    ...         "100 C/h to 820 C, 20 min; 600 C/h to 515 C, 60 min; 60 C/h to 40 C"]
    >>> days = [Fired(date=datetime.date(2026, 3, day), segments=Schedule.from_text(run))
    ...         for day, run in enumerate(runs, 5)]
    >>> [number for number, *_ in compare(scenario("banner"), *days).changed]
    [1]
    """
    pairs = zip_longest(first.segments.segments, second.segments.segments)
    changed = tuple((number, then, now) for number, (then, now) in enumerate(pairs, 1) if then != now)
    return Compared(as_fired(project, first), as_fired(project, second), changed)
