"""A plan in plain sentences, step by step, each with the lesson it comes from, in one system of units."""

import math
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass

from kilncalc.holes import GRAVITY
from kilncalc.plan import FiringPlan, Plan
from kilncalc.plan_materials import COVER_ERROR, PACKING_ERROR, Agreement, Item, Shopping
from kilncalc.project_parts import OwnKiln
from kilncalc.quantities import Show


@dataclass(frozen=True)
class Step:
    """One step of a plan in words.

    Attributes
    ----------
    name : str
        Short name: "glasses", "weights", "blanks", "forms", "firings", "cold work", "shopping", "class" or
        "not known".
    title : str
        What it is about.
    lesson : str
        The lesson it comes from, by its number: "2", "3b".
    sentences : tuple of str
        What it says.
    problem : bool
        Whether it could not be computed: the one sentence says why.
    """

    name: str
    title: str
    lesson: str
    sentences: tuple[str, ...]
    problem: bool = False


def steps_of(plan: Plan, show: Show, names: Collection[str] = ()) -> tuple[Step, ...]:
    """Return a plan in sentences, in the order in which the piece is made.

    Parameters
    ----------
    plan : Plan
        The plan.
    show : Show
        The system of units.
    names : collection of str
        Names of the steps wanted, so that no other is computed; none: all.

    Returns
    -------
    tuple of Step
        The steps that the piece has; numbers in words with their units [-].

    Examples
    --------
    >>> from kilncalc.plan import plan
    >>> from kilncalc.project import scenario
    >>> steps = steps_of(plan(scenario("bookend")), Show("metric"))
    >>> [step.name for step in steps]
    ['glasses', 'weights', 'firings', 'cold work', 'shopping', 'class', 'not known']
    >>> steps[1].sentences[0]
    'The casting takes 1113 g of glass; 1081 g of it is in the finished piece.'
    """
    made = []
    for name, title, lesson, say in _STEPS:
        if names and name not in names:
            continue
        try:
            sentences, problem = tuple(say(plan, show)), False
        except ValueError as error:
            sentences, problem = (str(error),), True
        if sentences:
            made.append(Step(name, title, lesson, sentences, problem))
    return tuple(made)


# ------------------------------------------------------------------------------------------- lessons 1 to 3


def _glasses(plan: Plan, show: Show) -> Iterator[str]:
    agreements = plan.materials.agreements
    if not agreements:
        yield f"All of it is of one glass, {plan.project.glass_of().name}."
    for one in agreements:
        yield _agreement(one, show)


def _agreement(one: Agreement, show: Show) -> str:
    pull, allowed = (show.text(x, "pressure") for x in (one.tension, one.allowed_tension))
    verdict = "they agree" if one.agrees else "do not fuse them: it cracks, now or later"
    return (
        f"{one.where}, {one.glass}: {abs(one.apart) * 1e7:.2g} points apart, a pull of {pull} of {allowed} "
        f"allowed; {verdict}. A strip or chip test of your own glass decides."
    )


def _weights(plan: Plan, show: Show) -> Iterator[str]:
    found = plan.materials
    name = "The casting" if plan.project.casting else f"The {plan.project.name}"
    whole, finished = (show.text(x, "mass") for x in (found.mass, found.finished_mass))
    yield f"{name} takes {whole} of glass; {finished} of it is in the finished piece."
    if not plan.project.casting:
        for one in found.weights:
            yield f"{one.name}: {show.text(float(one.mass.value), 'mass')}." + (
                f" Crush {show.text(one.to_crush, 'mass')}, sieving leaves that much of this size."
                if one.to_crush > float(one.mass.value) * 1.0001
                else ""
            )
    if found.rod_length:
        yield f"Rods: {show.text(found.rod_length, 'length')} in all."
    if found.filling:
        space, loose, heap = (
            show.text(x, "volume") for x in (found.filling.volume, found.filling.loose, found.filling.heap)
        )
        yield f"The mould holds {space} to the line; as frit the glass fills {loose}."
        if found.filling.heap > 0:
            yield f"{heap} of frit must find room above the line: a taller mould, or a reservoir on it."


def _blanks(plan: Plan, show: Show) -> Iterator[str]:
    found = plan.materials
    for one in found.blanks:
        long, short = (show.text(side, "length") for side in (one.length, one.width))
        times = f"{one.count} x " if one.count > 1 else ""
        yield f"Cut {times}{one.name}: {long} by {short}, {one.material}."
    for name, area in found.papers:
        yield f"Paper: {show.text(area, 'area')} of {name}."
    if found.blank and any(one.process == "full fuse" for one in plan.project.firings):
        thick, rest = (show.text(x, "length") for x in (found.thickness, found.settled))
        way = "spread" if found.thickness > found.settled else "draw in"
        yield (
            f"The sheets are {thick} thick and a wide pool comes to rest at {rest}: in a long full fuse its "
            f"edges {way}."
        )


# ------------------------------------------------------------------------------------------- lesson 3b


def _forms(plan: Plan, show: Show) -> Iterator[str]:
    dish, sleeve = plan.forms.dish, plan.forms.sleeve
    if dish:
        depth, draws = (show.text(x, "length") for x in (float(dish.mould[1].max()), dish.sheet.draw_in))
        at, minutes = show.text(dish.temperature, "temperature"), show.text(60 * dish.lie_down, "time")
        yield (
            f"It sinks {depth}; each edge moves in by {draws} until it touches. At {at} it lies in its mould "
            f"after {minutes}: look, and stop the hold when it does."
        )
    drape = plan.project.drape
    if not (sleeve and drape):
        return
    count, layer = sleeve.layers.nearest.count, show.text(sleeve.layer, "length")
    deep, wanted = (show.text(x, "length") for x in (sleeve.layers.nearest.depth, drape.former_height))
    wide, long = (show.text(x, "length") for x in (drape.former_width, sleeve.former_length))
    yield (
        f"Former: {count} layers of {drape.paper}, {layer} each under the glass, {deep} for {wanted} wanted; "
        f"{wide} wide, {long} long, so that it sticks out at each open end."
    )
    cut, finished, thin = (
        show.text(x, "length")
        for x in (sleeve.blank, drape.across, sleeve.sleeve.shape.least_thickness_range[0])
    )
    yield f"Cut the strip {cut} wide for {finished}; over the former's edges it thins to {thin} or more."
    yield "Leave the ends open: a sealed hollow bursts. Pull the paper out wet, with a respirator."


# ------------------------------------------------------------------------------------------- lessons 4, 4b


def _firings(plan: Plan, show: Show) -> Iterator[str]:
    for one in plan.firings:
        yield from _firing(one, plan, show)


def _firing(one: FiringPlan, plan: Plan, show: Show) -> Iterator[str]:
    hours, most, stays = (
        show.text(one.pull.duration, "time"),
        show.text(one.pull.most, "pressure"),
        show.text(one.pull.stays, "pressure"),
    )
    allowed, left = (show.text(x, "pressure") for x in (one.pull.allowed_tension, one.pull.allowed_residual))
    begins = "what the firing before left in the glass" if one.follows else "annealed glass"
    lies = "its sheets lie loose" if one.piece.loose else "one solid piece"
    count = len(one.schedule.segments)
    holds = (plan.project.kiln or OwnKiln()).segments
    yield (
        f"Firing {one.number}, {one.process}: {lies}, begun with {begins}; {count} of the controller's "
        f"{holds} segments, {hours} in all. The largest pull is {most} of {allowed}, and {stays} of {left} "
        "stays."
    )
    if not one.keeps_limits:
        yield f"Firing {one.number} does not keep its limits: fire it slower, or make the piece more even."
    if one.needed:
        share = one.fluidity / one.needed
        times = show.text(share, "count")
        yield f"It flows {times} times as far as the first touch of its form takes."
    drape = plan.forms.sleeve
    if one.sleeve and drape:
        planned, really = (show.text(x, "length") for x in (drape.sleeve.shape.draw_in, one.sleeve.draw_in))
        yield f"The strip is cut for a draw-in of {planned} an edge; with this schedule it is {really}."


# ------------------------------------------------------------------------------------------- lesson 5


def _cold(plan: Plan, show: Show) -> Iterator[str]:
    cold, project = plan.cold_work, plan.project
    if cold.squared and project.cold_work:
        trim, kerf = (show.text(x, "length") for x in (project.cold_work.trim, project.cold_work.kerf))
        ground = all(cut.ground for cut in cold.squared.cuts)
        how = "by grinding, it is less than a saw takes" if ground else f"by saw, which takes {kerf}"
        order = ", ".join(cut.name for cut in cold.squared.cuts)
        yield f"Trim {trim} off each edge {how}, in this order: {order}."
    if cold.holes:
        yield from _holes(plan, show)
    if cold.grits:
        steps = ", ".join(
            f"{step.label} ({show.text(step.time.likely, 'time')})" for step in cold.grits.steps
        )
        yield f"Grind with {steps}; {show.text(cold.grits.time, 'time')} with the washing between."
    if cold.bead and cold.cure and project.bond:
        wide = show.text(cold.bead.width, "length")
        what = project.bond.what or "bond"
        yield (
            f"{what[:1].upper()}{what[1:]}: the bead spreads to {wide} and cures for "
            f"{cold.cure / 86400:.2g} days. No load before."
        )
    if cold.load:
        full = show.text(cold.load.piece + cold.load.contents, "mass")
        filled = " when its hollow is full" if cold.load.contents else ""
        left, right = (show.text(pull / GRAVITY, "mass") for pull in (cold.load.left, cold.load.right))
        yield (
            f"It hangs with {full}{filled}; the fixings carry {left} and {right}. Let wall and fixing bear "
            "several times that."
        )


def _holes(plan: Plan, show: Show) -> Iterator[str]:
    check = plan.cold_work.holes
    assert check
    standard = check.limits.standard
    if not check.missed:
        thick = show.text(plan.cold_work.thickness, "length")
        yield f"The holes keep the distances of {standard} for {thick}."
    for rule in check.missed:
        missing = show.text(rule.missing, "length")
        yield f"Hole {rule.hole} misses the {rule.rule} limit of {standard} by {missing}: move it."
    for steps in sorted(
        {tuple((s.diameter, s.speed, s.time) for s in each) for each in plan.cold_work.drills}
    ):
        for diameter, speed, time in steps:
            size, lasts = show.text(diameter, "length"), show.text(time, "time")
            yield f"Drill {size}: {speed:.0f} rev/min under water, {lasts} a hole."


# ------------------------------------------------------------------------------------------- to buy


def _shopping(plan: Plan, show: Show) -> Iterator[str]:
    yield from _bought(plan.shopping, show)


def _class(plan: Plan, show: Show) -> Iterator[str]:
    found = plan.class_shopping
    if found is None:
        return
    together = " or ".join(str(count) for count in dict.fromkeys(found.together))
    firings, weeks = _many(found.firings, "firing"), _many(found.weeks, "week")
    yield f"{found.pieces} students: {firings} in {weeks}, at most {together} on a shelf."
    yield from _bought(found, show)


def _bought(found: Shopping, show: Show) -> Iterator[str]:
    for item in found.items:
        yield _item(item, found.currency, show)
    if found.cut:
        share = show.text(found.cut.waste, "ratio")
        yield f"{share} of the sheets is left over or lost, offcuts that can be used included."
    energy = f"{found.kilowatt_hours:.3g} kWh" if found.kilowatt_hours else "energy not known: read the meter"
    work = f", {show.text(found.labour, 'time')} of work" if found.labour else ""
    each = f", {_money(found.each, found.currency)} each" if found.pieces > 1 else ""
    yield f"{_many(found.firings, 'firing')}, {energy}{work}: {_money(found.cost, found.currency)}{each}."
    if found.unpriced:
        yield f"Without a price: {', '.join(found.unpriced)}."


def _item(item: Item, currency: str, show: Show) -> str:
    needed = "" if item.dimension == "count" else f"{show.text(item.needed, item.dimension)} of "
    if item.packs is None:
        return f"Buy {needed}{item.what}; none is in stock."
    what = "sheet" if item.dimension == "count" else "pack"
    many = _many(item.packs, what)
    cost = f", {_money(item.cost, currency)}" if item.cost else ""
    return f"{needed}{item.what}: {many}{cost}."


def _many(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


def _money(amount: float, currency: str) -> str:
    return f"{amount:.2f} {currency}".rstrip()


# ------------------------------------------------------------------------------------------- not known


def _not_known(plan: Plan, show: Show) -> Iterator[str]:
    found = plan.materials
    off = show.text(found.mass_uncertainty, "mass")
    measure = "the mould" if plan.project.casting else "the thickness of the sheets"
    yield f"The weight may be {off} off, either way: measure {measure} and weigh the piece."
    if found.textures:
        yield (
            f"Frit: how it packs may be {PACKING_ERROR:g} off and how it covers "
            f"{show.text(COVER_ERROR, 'ratio')}: weigh a trial square."
        )
    if plan.project.draw_in is None and plan.project.size:
        yield "How far the edges draw in is not known and counted as nothing: measure it on a trial."
    error = (plan.project.kiln or OwnKiln()).sensor_error
    for one in plan.firings:
        likely, stays = one.likely.words(show), one.likely_stays.words(show)
        yield (
            f"Firing {one.number}: the largest pull is likely {likely}, and {stays} stays, for kilns differ."
        )
        if error and one.fluidity:
            low, high = (each / one.fluidity for each in one.fluidity_range)
            by = show.text(error, "temperature_difference")
            yield (
                f"A thermocouple {by} off makes the glass flow {low:.2f} to {high:.2f} times as far: look "
                "instead of trusting the clock."
            )
    if found.filling and not math.isfinite(found.filling.fillings):
        yield "The walls and the floor of the mould slow the glass further; they are not in the model."
    yield "A prediction is an aid to judgement, no guarantee: a test firing and a polariscope decide."


_Say = Callable[[Plan, Show], Iterator[str]]

_STEPS: tuple[tuple[str, str, str, _Say], ...] = (
    ("glasses", "Do its glasses agree?", "1", _glasses),
    ("weights", "What does it weigh?", "2", _weights),
    ("blanks", "What is cut?", "3", _blanks),
    ("forms", "What form does it take?", "3b", _forms),
    ("firings", "How is it fired?", "4", _firings),
    ("cold work", "What is done to it cold?", "5", _cold),
    ("shopping", "What does one take?", "3", _shopping),
    ("class", "What does the class take?", "3", _class),
    ("not known", "What is not known?", "4", _not_known),
)
