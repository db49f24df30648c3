"""Pages of a piece to print: the card by the kiln, the record of what was fired, the project sheet."""

import base64
import datetime
import html
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path

from kilncalc.classroom import paper_drawings
from kilncalc.classroom.printable import page
from kilncalc.kiln_turns import Turn, turns
from kilncalc.plan import FiringPlan, Plan, kiln_of
from kilncalc.plan_changes import as_fired, compare, replan
from kilncalc.plan_words import steps_of
from kilncalc.project import Project
from kilncalc.project_parts import Fired, Frit, Laid, OwnKiln, Rods
from kilncalc.quantities import Show
from kilncalc.schedule import FASTEST, Schedule, Segment

READY = (
    "Between crossed polarisers: no bright edges, no bright spots (lesson 1).",
    "Every edge and every rim of a hole is ground: a fingernail, not a finger, finds no chip.",
    "A vessel has stood full of water on dry paper for 24 hours: the paper is dry.",
    "What hangs has hung for a day with its contents and as much again, low over a mat, nobody under it.",
    "What is bonded has had its full cure, and carries no load it was not tested for.",
    "No slurry in corners or hollows: rinsed, dried, wiped.",
    "What it is not for is written on it: food, hot liquids, glazing.",
)
"""What to check before a piece leaves the workshop, as lesson 5 has it."""

_ALWAYS = (
    "Check whether the controller counts in °C or °F before you type: 1450 typed into a controller that "
    "counts in °C destroys the kiln.",
    "An untested schedule is watched, by somebody who may switch off. Nothing flammable near the kiln.",
    "Burns, fire, infrared light: mains off before reaching in; peek with the power off, for seconds, with "
    "gloves and eye protection.",
    "Local electrical code; work on the kiln is for a licensed electrician.",
)
_BURN_OFF = "While binder, glue or paper burn off: vent open, room aired, people out."
_SLEEVE = "Never fire a sealed hollow: keep the ends open. Paper dust: respirator (P3/N100), work wet."
_MOULD = "The mould is dry by weight before glass goes in, else steam bursts it. A tray stands under it."
_COLD = (
    "Look between crossed polarisers before the first cut: a badly annealed piece can break at the saw.",
    "Water and mains: residual-current protection, drip loop, low voltage preferred; unplug before you reach "
    "in. Work wet; slurry never dries. Piece clamped, no gloves at what turns, eyes and ears covered.",
)
_GLUE = "Cold adhesive: window open, full cure; no load, no food and no firing afterwards."
_HANGS = (
    "Hanging only after local advice on fixing and wall, contents counted; not over beds, seats or sockets."
)
_PLANNED = (
    "A plan is an aid to judgement, not a guarantee: a test firing and a polariscope decide. A sensor may be "
    "off: class 2 of type K by 6 °C (11 °F) at 800 °C (1470 °F), an old one by more."
)
_LARGEST_PICTURE = 8_000_000  # bytes
_KINDS = {b"\x89PNG\r\n\x1a\n": "png", b"\xff\xd8\xff": "jpeg"}

_STYLE = """
.sheet { break-after: page; } .sheet:last-of-type { break-after: auto; }
table.program { width: 100%; } table.program td { vertical-align: middle; }
.big { font-size: 17pt; font-weight: bold; white-space: nowrap; } .small { font-size: 9.5pt; }
.why { font-size: 9pt; line-height: 1.25; } .clock { white-space: nowrap; }
section { break-inside: auto; } section.step { break-inside: avoid; }
.room { border: 1px solid #000; height: 42mm; flex: 1; padding: 1mm; font-size: 9pt; }
.rooms { display: flex; gap: 4mm; break-inside: avoid; margin: 3mm 0; }
.tables { display: flex; gap: 0 5mm; align-items: start; flex-wrap: wrap; } .tables table { margin: 1.5mm 0; }
.tables :is(th, td) { padding: 0.7mm 1.4mm; font-size: 9.5pt; }
ul.plain { padding-left: 5mm; margin: 1mm 0; } ul.check { list-style: "\\2610  "; padding-left: 7mm; }
.photo { max-width: 80mm; max-height: 70mm; }
.warn { border: 1.5px solid #000; padding: 1mm 3mm; margin: 3mm 0; }
figure svg { width: auto; } h1 { margin: 2mm 0; } h2 { margin-top: 4mm; } p { margin: 1.5mm 0; }
body { line-height: 1.3; }
@page { margin: 12mm 15mm; }
"""


class PictureError(ValueError):
    """A photograph that cannot be printed: a sentence that names it."""


# ---------------------------------------------------------------------------------------------- the card


def card(plan: Plan, show: Show, start: datetime.datetime | None = None) -> str:
    """Return the card of a piece: a page for each firing to stand by the kiln, and its cold work overleaf.

    `start` is when the first firing begins; without it times count from the start. Raises ValueError with a
    sentence where a firing cannot be planned.
    """
    project = plan.project
    sheets = [_firing(one, plan, show, start if one.number == 1 else None) for one in plan.firings]
    sheets.append(_overleaf(plan, show))
    return page(f"{project.name}: card", "\n".join(sheets), _STYLE)


def _firing(one: FiringPlan, plan: Plan, show: Show, start: datetime.datetime | None) -> str:
    project, own = plan.project, plan.project.kiln or OwnKiln()
    firing = project.firings[one.number - 1]
    clock = turns(one.schedule, kiln_of(project))
    count = len(one.schedule.segments)
    kiln = f" · {own.name}" if own.name else ""
    said = [
        f"<header><strong>{_e(project.name)}</strong> — firing {one.number} of {len(plan.firings)}{_e(kiln)}"
        "</header>",
        f"<h1>{_e(one.process.capitalize())}: {_e(show.text(clock[-1].ends, 'time'))}</h1>",
        f"<p>{_e(_starts(start, clock[-1].ends))} The controller counts in "
        f"<strong>{_e(own.controller)}</strong> and holds {own.segments} segments; this takes {count}.</p>",
        *(f'<p class="warn">{_e(words)}</p>' for words in one.schedule.warnings(own.segments)),
        _program(one.schedule, clock, own.controller, start),
        f'<p class="small">full: {FASTEST}.</p>',
        f"<p><strong>Look</strong> {_e(_when_to_look(one.schedule, clock, start))}"
        f"{': ' + _e(firing.look_for) if firing.look_for else ''}.</p>",
        f"<p>{_e(_trust(one, own, show))}</p>",
        f'<div class="warn"><ul class="plain">{_list(_warnings(one, project))}</ul></div>',
        f"<figure>{paper_drawings.on_the_shelf(project, show, one.number)}</figure>",
        _rooms("Photograph before", "Photograph after"),
        _rooms("Date, what was changed, what happened, what next time"),
    ]
    return f'<section class="sheet">{"".join(said)}</section>'


def _rooms(*labels: str) -> str:
    boxes = "".join(f'<div class="room">{one}</div>' for one in labels)
    return f'<div class="rooms">{boxes}</div>'


def _starts(start: datetime.datetime | None, takes: float) -> str:
    if start is None:
        return "Times count from the start of the firing: ______ o'clock."
    end = start + datetime.timedelta(seconds=takes)
    return f"Start {_moment(start)}, cold about {_moment(end)}."


def _moment(at: datetime.datetime) -> str:
    return f"{_DAYS[at.weekday()]} {at:%H:%M}"


_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def _at(seconds: float, start: datetime.datetime | None) -> str:
    """Return a moment by the clock, to the minute, or as hours and minutes since the start."""
    if start is None:
        hours, minutes = divmod(round(seconds / 60), 60)
        return f"{hours}:{minutes:02d}"
    return _moment(start + datetime.timedelta(minutes=round(seconds / 60)))


def _program(
    schedule: Schedule, clock: tuple[Turn, ...], controller: str, start: datetime.datetime | None
) -> str:
    """Return the segments as a table: the controller's unit large, the other small."""
    large, small = (
        Show(name) for name in (("inches", "metric") if controller == "°F" else ("metric", "inches"))
    )
    rows = []
    for number, (segment, turn) in enumerate(zip(schedule.segments, clock, strict=True), 1):
        off = segment.rate is None and number == len(schedule.segments) > 1
        rate = "off" if off else _rate(segment, large)
        other = "" if segment.rate is None else f'<br><span class="small">{_e(_rate(segment, small))}</span>'
        target, also = (each.text(segment.target, "temperature") for each in (large, small))
        hold = f"{segment.hold_min:g} min" if segment.hold_min else "–"
        rows.append(
            f'<tr><td class="big">{number}</td><td><span class="big">{_e(rate)}</span>{other}</td>'
            f'<td><span class="big">{_e(target)}</span><br><span class="small">{_e(also)}</span></td>'
            f'<td class="big">{_e(hold)}</td>'
            f'<td class="clock">{_e(_at(turn.arrives, start))}<br>{_e(_at(turn.ends, start))}</td>'
            f'<td class="why">{_e(segment.reason)}</td></tr>'
        )
    return (
        '<table class="program"><thead><tr><th>#</th><th>rate</th><th>to</th><th>hold</th>'
        f"<th>there<br>until</th><th>why</th></tr></thead><tbody>{''.join(rows)}</tbody></table>"
    )


def _rate(segment: Segment, show: Show) -> str:
    return "full" if segment.rate is None else show.text(segment.rate, "rate")


def _when_to_look(schedule: Schedule, clock: tuple[Turn, ...], start: datetime.datetime | None) -> str:
    hottest = max(one.target for one in schedule.segments)
    turn = next(turn for one, turn in zip(schedule.segments, clock, strict=True) if one.target == hottest)
    return f"from {_at(turn.arrives, start)} to {_at(turn.ends, start)}, at the top"


def _trust(one: FiringPlan, own: OwnKiln, show: Show) -> str:
    likely, stays = one.likely.words(show), one.likely_stays.words(show)
    allowed, left = (show.text(x, "pressure") for x in (one.pull.allowed_tension, one.pull.allowed_residual))
    said = (
        f"Predicted: the glass is pulled by {show.text(one.pull.most, 'pressure')} at most, likely {likely}, "
        f"of {allowed}; {show.text(one.pull.stays, 'pressure')} stays, likely {stays}, of {left}. "
        "No guarantee: test firing and polariscope decide."
    )
    if own.sensor_error and one.fluidity:
        low, high = (each / one.fluidity for each in one.fluidity_range)
        by = show.text(own.sensor_error, "temperature_difference")
        said += f" A thermocouple {by} off makes the glass flow {low:.2f} to {high:.2f} times as far."
    return said


def _warnings(one: FiringPlan, project: Project) -> Iterator[str]:
    yield from _ALWAYS
    if one.piece.loose or one.process in ("drape", "drape and bond") or project.firings[one.number - 1].paper:
        yield _BURN_OFF
    if one.process in ("drape", "drape and bond"):
        yield _SLEEVE
    if one.process == "kiln casting":
        yield _MOULD


def _overleaf(plan: Plan, show: Show) -> str:
    project, cold = plan.project, plan.cold_work
    said = [f"<header><strong>{_e(project.name)}</strong> — after the kiln</header>", "<h1>Cold work</h1>"]
    said += [
        f"<p>{_e(words)}</p>"
        for step in steps_of(plan, show)
        if step.name == "cold work"
        for words in step.sentences
    ]
    tables = []
    if cold.squared:
        rows = [
            (
                str(number),
                cut.name,
                cut.guide,
                show.text(cut.setting, "length"),
                show.text(cut.most, "length"),
                "ground" if cut.ground else "sawn",
            )
            for number, cut in enumerate(cold.squared.cuts, 1)
        ]
        tables.append(_table(("", "edge", "guided by", "set to", "takes off", ""), rows))
    if project.holes:
        tables.append(
            _table(
                ("hole", "from the left", "from below", "diameter"),
                (
                    (str(number), *(show.text(x, "length") for x in (*hole.at, hole.diameter)))
                    for number, hole in enumerate(project.holes, 1)
                ),
            )
        )
    said.append(f'<div class="tables">{"".join(tables)}</div>' if tables else "")
    said.append(f"<figure>{paper_drawings.whole_piece(project, show)}</figure>")
    if cautions := list(_cold_cautions(project)):
        said.append(f'<div class="warn"><ul class="plain">{_list(cautions)}</ul></div>')
    said.append(f'<h2>Ready to leave the workshop</h2><ul class="check">{_list(READY)}</ul>')
    return f'<section class="sheet">{"".join(said)}</section>'


def _cold_cautions(project: Project) -> Iterator[str]:
    if project.cold_work or project.holes or project.bond:
        yield from _COLD
    if project.bond:
        yield _GLUE
    if project.hanging or project.holes:
        yield _HANGS


# -------------------------------------------------------------------------------------------- the record


def record(project: Project, show: Show, folder: Path | None = None) -> str:
    """Return what was fired, for others to repeat: without names of people or places, files or costs.

    Photographs are read from `folder`, where the piece file lies; without it they are left out. Raises
    ValueError with a sentence where nothing was fired yet, or a photograph cannot be printed.
    """
    if not project.fired:
        raise ValueError(
            f"nothing of {project.name} has been fired yet: a record is made of the [[fired]] entries"
        )
    said = [f"<header><strong>{_e(project.name)}</strong> — what was fired</header>"]
    said.append(f"<h1>{_e(project.name)}</h1><p>{_e(_made_of(project, show))}</p>")
    said.append(f"<figure>{paper_drawings.whole_piece(project, show)}</figure>")
    before: dict[int, Fired] = {}
    for fired in project.fired:
        said.append(_fired(fired, project, show, folder, before.get(fired.firing)))
        before[fired.firing] = fired
    said.append(f'<div class="warn"><ul class="plain">{_list((*_ALWAYS, _PLANNED))}</ul></div>')
    return page(f"{project.name}: record", "\n".join(said), _STYLE)


def _made_of(project: Project, show: Show) -> str:
    glass = project.glass_of()
    sheets = ", ".join(
        f"{one.count} x {show.text(one.thickness, 'length')} of {one.glass or project.glass}"
        for one in project.sheets
    )
    body = sheets or f"a casting {show.text(project.casting.depth, 'length')} thick of {glass.name}"  # type: ignore[union-attr]
    return f"{project.about} Made of {body}.".strip()


def _fired(fired: Fired, project: Project, show: Show, folder: Path | None, before: Fired | None) -> str:
    done = as_fired(project, fired)
    differs = compare(project, before, fired).differences(show) if before else ()
    process = project.firings[fired.firing - 1].process
    pictures = [
        f'<img class="photo" alt="{_e(when)}" src="{_photograph(folder / name)}">'
        for when, names in (("before", fired.before), ("after", fired.after))
        for name in names
        if folder is not None
    ]
    said = [
        f"<h2>{_e(process.capitalize())}, {fired.date:%Y-%m-%d}</h2>",
        _table(("", "rate", "to", "hold"), _segments(fired.segments, show)),
        f"<p>{'Came out: ' + _e(fired.finding) if fired.finding else ''}</p>",
        f"<p>{'Next time: ' + _e(fired.next_time) if fired.next_time else ''}</p>",
        f"<p>In the model: a pull of {_e(show.text(done.pull.most, 'pressure'))} at most, "
        f"{_e(show.text(done.pull.stays, 'pressure'))} stays.</p>",
        f"<p>Beside that of {before.date:%Y-%m-%d}:</p><ul>{_list(differs)}</ul>" if before else "",
        f'<div class="rooms">{"".join(pictures)}</div>' if pictures else "",
    ]
    return f"<section>{''.join(said)}</section>"


def _segments(schedule: Schedule, show: Show) -> Iterator[tuple[str, str, str, str]]:
    """Yield number, rate, target and hold of each segment, with the other unit in brackets."""
    systems = show, Show("inches" if show.metric else "metric")
    for number, one in enumerate(schedule.segments, 1):
        rate = FASTEST if one.rate is None else _both([each.text(one.rate, "rate") for each in systems])
        target = _both([each.text(one.target, "temperature") for each in systems])
        yield str(number), rate, target, f"{one.hold_min:g} min" if one.hold_min else "–"


def _both(words: list[str]) -> str:
    return words[0] if words[0] == words[1] else f"{words[0]} ({words[1]})"


def _photograph(path: Path) -> str:
    """Return a photograph as an address that holds it."""
    try:
        if path.stat().st_size > _LARGEST_PICTURE:
            raise PictureError(f"{path.name} has {path.stat().st_size / 1e6:.0f} MB; up to 8 MB are printed")
        content = path.read_bytes()
    except FileNotFoundError:
        raise PictureError(f"there is no photograph {path}") from None
    kind = next((kind for begins, kind in _KINDS.items() if content.startswith(begins)), None)
    if kind is None:
        raise PictureError(f"{path.name} is no photograph that can be printed; PNG and JPEG can")
    return f"data:image/{kind};base64,{base64.b64encode(content).decode('ascii')}"


# ------------------------------------------------------------------------------------- the project sheet


def sheet(plan: Plan, show: Show) -> str:
    """Return a project sheet, for those who want to make one too: materials, steps with pictures, cautions.

    Raises ValueError with a sentence where a step cannot be planned.
    """
    project = plan.project
    words = {step.name: step.sentences for step in steps_of(plan, show)}
    needed = [*words["weights"], *words.get("blanks", ())]
    said = [
        f"<header><strong>{_e(project.name)}</strong> — project sheet</header>",
        f"<h1>{_e(project.name.capitalize())}</h1><p>{_e(project.about)}</p>",
        f"<figure>{paper_drawings.whole_piece(project, show)}</figure>",
        f'<h2>What you need</h2><ul class="plain">{_list(needed)}</ul>',
    ]
    for number, (title, sentences, picture) in enumerate(_steps(plan, show, words), 1):
        figure = f"<figure>{picture}</figure>" if picture else ""
        said.append(
            f'<section class="step"><h2>{number}. {_e(title)}</h2>'
            f'<ul class="plain">{_list(sentences)}</ul>{figure}</section>'
        )
    said += [
        f'<h2>What may be something else</h2><ul class="plain">{_list(_substitutes(project))}</ul>',
        f'<h2>What changes with the size</h2><ul class="plain">{_list(_larger(project, show))}</ul>',
        f'<section class="small"><h2>Cautions</h2><ul class="plain">{_list(_cautions(plan))}</ul></section>',
    ]
    return page(f"{project.name}: project sheet", "\n".join(said), _STYLE)


def _steps(
    plan: Plan, show: Show, words: dict[str, tuple[str, ...]]
) -> Iterator[tuple[str, Iterable[str], str]]:
    """Yield title, sentences and picture of each step, in the order in which the piece is made."""
    project = plan.project
    yield "Do the glasses agree?", words["glasses"], ""
    if plan.shopping.cut:
        for sheet in plan.shopping.cut.sheets:
            yield f"Cut {sheet.stock.material}", (), paper_drawings.cut_sheet(sheet, show)
    forming = next((one.number for one in plan.firings if one.process in _FORMING), 0)
    for one in plan.firings:
        if one.number == forming:
            yield from _formed_in(plan, words)
        lies = paper_drawings.on_the_shelf(project, show, one.number)
        yield f"Lay it for the {one.process}", _lay(one, project), lies
        clock = turns(one.schedule, kiln_of(project))
        segments = [
            f"{rate} to {target}" + (f", {hold}" if hold != "–" else "")
            for _, rate, target, hold in _segments(one.schedule, show)
        ]
        look = project.firings[one.number - 1].look_for
        ends = [f"Look at the top: {look}."] if look else []
        yield f"Fire it: {one.process}", [*segments, *ends], paper_drawings.curve(one.schedule, clock, show)
    if words.get("cold work"):
        yield "After the kiln", words["cold work"], ""
    yield "Before it leaves the workshop", READY, ""


_FORMING = ("slump", "drape", "drape and bond")


def _formed_in(plan: Plan, words: dict[str, tuple[str, ...]]) -> Iterator[tuple[str, Iterable[str], str]]:
    """Yield the step before the firing that forms: its mould, or its former and the strip to cut."""
    if plan.forms.dish:
        x, depth = plan.forms.dish.mould
        drawn = paper_drawings.section((x, -depth), "The mould, cut across.")
        yield "The mould", words.get("forms", ()), drawn
    elif plan.forms.sleeve:
        profile = plan.forms.sleeve.sleeve.shape.profile
        drawn = paper_drawings.section((profile.x, profile.y), "The sleeve, cut across, once it is fired.")
        yield "The sleeve", words.get("forms", ()), drawn


def _lay(one: FiringPlan, project: Project) -> Iterator[str]:
    support = project.firings[one.number - 1].support
    yield _LIES[support]
    yield "Clean glass; gloves; nothing nearer to the wall than a hand's breadth."
    laid: tuple[Laid | Rods | Frit, ...] = (*project.laid, *project.rods, *project.frit)
    names = [part.name or "what is drawn" for part in laid if part.firing == one.number]
    if names:
        yield f"Lay on: {', '.join(names)}."
    if one.number == 1:
        for inlay in project.inlays:
            yield f"Let in: {inlay.name or 'the inlay'} of {inlay.glass}."


_LIES = {
    "shelf": "It lies on the shelf, on fresh wash or paper.",
    "posts": "Its rim rests on the mould, or the piece on posts: air underneath.",
    "paper on the shelf": "It lies on fibre paper on the shelf.",
}


def _substitutes(project: Project) -> Iterator[str]:
    yield (
        "Another glass: one whose pieces agree in a strip or chip test, all of it; then its own "
        "temperatures, which the plan finds anew."
    )
    if project.sheets:
        yield "Sheets of another thickness: measure them; weights, rates and soaks change."
    if project.frit:
        yield "Frit of another size: the same weight covers another area, and fines melt flat first."
    if project.drape:
        yield "Another fibre paper: measure a layer, count the layers anew."
    if project.casting:
        yield "Another mould of the same volume: weigh it dry; a thicker casting takes much longer."
    yield "Another kiln: watch the first firing; how fast it cools by itself belongs into the plan."


def _larger(project: Project, show: Show) -> tuple[str, ...]:
    """Return what a drawing half as large again changes, on any shelf."""
    kiln = replace(project.kiln, shelf=None) if project.kiln else None
    try:
        words = replan(replace(project, kiln=kiln), times=1.5).words(show)
    except ValueError as problem:
        return (f"Half as large again it cannot be made so: {problem}.",)
    return ("Half as large again, on a shelf that takes it:", *words)


def _cautions(plan: Plan) -> Iterator[str]:
    yield from dict.fromkeys(words for one in plan.firings for words in _warnings(one, plan.project))
    yield "Cutting: eyes covered, closed shoes, a sharps bin, no food at the bench; never toughened glass."
    yield (
        "Dust of frit, paper and moulds: a respirator (P3/N100) that fits, and work wet; dispose of it as "
        "your local rules say. Some colours hold cadmium, selenium or lead."
    )
    yield from _cold_cautions(plan.project)
    yield "Food and hot liquids are for tested products."
    yield _PLANNED


# ------------------------------------------------------------------------------------------------- HTML


def _e(text: str) -> str:
    return html.escape(text)


def _list(sentences: Iterable[str]) -> str:
    return "".join(f"<li>{_e(words)}</li>" for words in sentences)


def _table(heads: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    head = "".join(f"<th>{_e(name)}</th>" for name in heads)
    body = "".join(f"<tr>{''.join(f'<td>{_e(cell)}</td>' for cell in row)}</tr>" for row in rows)
    return f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
