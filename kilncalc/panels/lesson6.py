"""Lesson 6, a whole piece: the form with its steps and their pictures, another size, a sensor that is off."""

import datetime
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import lru_cache, partial
from pathlib import Path
from typing import Any

from kilncalc import (
    _tables,
    firing_log,
    materials,
    plan,
    plan_bodies,
    plan_changes,
    plan_views,
    project,
    read_back,
)
from kilncalc._parts import Part
from kilncalc.figures import coldwork as cold_pictures
from kilncalc.figures import cutting as cutting_pictures
from kilncalc.figures import firing_log as log_pictures
from kilncalc.figures import forming as forming_pictures
from kilncalc.figures import project as pictures
from kilncalc.figures import style
from kilncalc.layers import GlassOrder
from kilncalc.panels._form import Form, Step, View, lesson_pages
from kilncalc.panels._panel import Guess, Panel, Rail, Slider
from kilncalc.plan_words import steps_of
from kilncalc.project import Project
from kilncalc.project_parts import (
    CONTROLLERS,
    SHAPES,
    Casting,
    Fired,
    Inlay,
    Laid,
    OwnKiln,
    PlannedFiring,
    Stock,
)
from kilncalc.quantities import Show, read
from kilncalc.sensor import sensor_off

Progress = Callable[[float], None]

_BESIDE_A_LIST = 200  # px: the height of a picture where the list below it is what matters


@lru_cache(maxsize=8)
def planned(piece: Project) -> plan.Plan:
    """Return the plan of a piece, the same one for all its pictures."""
    return plan.plan(piece)


def _possible(piece: Project, step: str) -> bool:
    """Return whether a step of the plan can be computed; after that it is."""
    try:
        getattr(planned(piece), step)
    except ValueError:
        return False
    return True


# ---------------------------------------------------------------------------------------- its pictures


def _view(
    name: str,
    compute: Callable[[Project], Any],
    draw: Callable[[Any, Show], style.Figure],
    *said: str,
) -> View:
    """Return a picture with what the plan says in words about these steps below it."""

    def result(piece: Project, progress: Progress) -> Any:
        found = compute(piece)
        progress(1.0)
        return found, planned(piece)

    def both(result: Any, show: Show) -> style.Figure:
        found, whole = result
        figure = draw(found, show)
        if not said:
            return figure
        return {**figure, "table": _sentences(whole, show, said)}

    return View(name, result, both)


def _sentences(whole: plan.Plan, show: Show, names: Sequence[str] = ()) -> style.Table:
    rows = [
        (f"lesson {step.lesson}", f"{'Not possible: ' if step.problem else ''}{sentence}")
        for step in steps_of(whole, show, names)
        for sentence in step.sentences
    ]
    links = {f"lesson {label}": page for label, page in lesson_pages().items()}
    return style.table(("from", "what the plan says"), rows, links)


def _piece_views(piece: Project) -> Sequence[View]:
    above = _view("from above", plan_views.from_above, pictures.outline)
    if not (piece.kiln and piece.kiln.shelf):
        return (above,)
    return above, _view("on the shelf", plan_views.from_above, pictures.on_the_shelf)


def _sheets_views(piece: Project) -> Sequence[View]:
    if piece.casting:
        return (_mould("glasses", "weights"),)
    return (_view("cut through", plan_views.section, pictures.cut_through, "glasses", "blanks"),)


def _on_it_views(_piece: Project) -> Sequence[View]:
    return (_view("from above", plan_views.from_above, pictures.outline, "weights"),)


def _form_views(piece: Project) -> Sequence[View]:
    views = []
    if piece.casting:
        views.append(_mould("weights", "forms"))
    if piece.slump:
        views.append(
            _view("slump", lambda one: planned(one).forms.dish, forming_pictures.slumped_dish, "forms")
        )
    if piece.drape:

        def draw(form: Any, show: Show) -> style.Figure:
            return forming_pictures.sleeve(form.run, form.sleeve.shape, show)

        views.append(_view("sleeve", lambda one: planned(one).forms.sleeve, draw, "forms"))
    return views or _sheets_views(piece)


def _mould(*said: str) -> View:
    def compute(piece: Project) -> Any:
        takes = planned(piece).materials
        return plan_views.mould_section(piece), takes.filling, takes.mass

    return _view("mould", compute, pictures.mould, *said)


def _firing_views(piece: Project) -> Sequence[View]:
    views = [_firing(number, firing.process) for number, firing in enumerate(piece.firings)]
    return views + [_map(number) for number, firing in enumerate(piece.firings, 1) if firing.cell]


def _firing(number: int, process: str) -> View:
    def result(piece: Project, progress: Progress) -> Any:
        planned(piece).fire(progress)
        progress(1.0)
        controller = (piece.kiln or OwnKiln()).controller
        return planned(piece).firings[number], CONTROLLERS[controller]

    return View(f"firing {number + 1}, {process}", result, pictures.firing)


def _map(number: int) -> View:
    def result(piece: Project, progress: Progress) -> Any:
        laid = plan_bodies.map_of(piece, number)
        planned(piece).fire(lambda share: progress(share / 2))
        mapped = plan.fire_map(piece, number, progress=lambda share: progress((1 + share) / 2))
        progress(1.0)
        return laid, mapped

    return View(f"firing {number} as a map", result, pictures.firing_map)


def _cold_views(piece: Project) -> Sequence[View]:
    views = [_view("from above", plan_views.from_above, pictures.outline, "cold work")]
    if piece.cold_work and piece.cold_work.start:
        views.append(_view("grits", lambda one: planned(one).cold_work.grits, cold_pictures.grit_plan))
    return views


def _workshop_views(piece: Project) -> Sequence[View]:
    above = _view("on the shelf", plan_views.from_above, pictures.on_the_shelf, "shopping", "class")
    if not (piece.kiln and piece.kiln.shelf):
        above = _view("from above", plan_views.from_above, pictures.outline, "shopping", "class")
    if not _possible(piece, "shopping") or planned(piece).shopping.cut is None:
        return (above,)

    def compute(one: Project) -> GlassOrder:
        whole = planned(one)
        names = tuple(dict.fromkeys(blank.name for blank in whole.materials.blanks))
        finished = sum(part.finished for part in whole.materials.weights if part.kind == "sheet")
        assert whole.shopping.cut
        return GlassOrder(whole.shopping.cut, names, finished)

    return above, _view("sheets to cut", compute, cutting_pictures.order, "shopping")


def _record_views(piece: Project) -> Sequence[View]:
    def draw(piece: Project, show: Show) -> style.Figure:
        figure = pictures.outline(plan_views.from_above(piece), show, _BESIDE_A_LIST)
        rows = [
            (one.date.isoformat(), f"{one.firing}", " ".join(filter(None, (one.finding, one.next_time))))
            for one in piece.fired
        ]
        return {**figure, "table": style.table(("day", "firing", "what came out, and next time"), rows)}

    views = [_view("from above", lambda piece: piece, draw)]
    logged = [place for place, one in enumerate(piece.fired) if one.log]
    if logged:
        views.append(_log_view(piece, logged))
    if len(piece.fired) > 1:
        views.append(_two_view(piece))
    return views


def _run(piece: Project, place: int) -> str:
    """Return what a firing of the record is called."""
    one = piece.fired[place]
    return f"{place + 1}: {piece.firings[one.firing - 1].process}, {one.date.isoformat()}"


def _log_view(piece: Project, logged: Sequence[int]) -> View:
    """Return the log of a firing over what was asked of the kiln, from its file in this folder."""

    def result(piece: Project, progress: Progress, chosen: int) -> Any:
        fired = piece.fired[logged[chosen]]
        log = firing_log.read_log(Path.cwd() / fired.log)
        progress(0.3)
        body = plan_bodies.bodies_of(piece)[fired.firing - 1]
        back = read_back.read_back(log, fired.segments, body, plan.kiln_of(piece))
        progress(1.0)
        return back

    def draw(back: read_back.ReadBack, show: Show) -> style.Figure:
        figure = log_pictures.read_back(back, show)
        table, log = figure["table"], back.log
        assert table
        known = [["", "read with", said] for said in (*log.assumed, *log.mended)]
        return {**figure, "table": style.table(table["head"], [*table["rows"], *known])}

    runs = tuple(_run(piece, place) for place in logged)
    return View("log over the plan", result, draw, (("of", runs),))


def _two_view(piece: Project) -> View:
    """Return two firings of the record side by side."""

    def result(piece: Project, progress: Progress, first: int, second: int) -> Any:
        found = plan_changes.compare(piece, piece.fired[first], piece.fired[second])
        progress(1.0)
        return found

    runs = tuple(_run(piece, place) for place in range(len(piece.fired)))
    return View("two firings compared", result, pictures.compared, (("first", runs), ("second", runs)))


def _plan_views(_piece: Project) -> Sequence[View]:
    def result(piece: Project, progress: Progress) -> Any:
        whole, count = planned(piece), len(plan.STEPS)
        for done, name in enumerate(plan.STEPS):
            if name == "firings":
                with suppress(ValueError):  # the plan says it in words
                    whole.fire(lambda share, done=done: progress((done + share) / count))  # type: ignore[misc]
            _possible(piece, name)
            progress((done + 1) / count)
        return whole

    def draw(whole: plan.Plan, show: Show) -> style.Figure:
        figure = pictures.outline(plan_views.from_above(whole.project), show, _BESIDE_A_LIST)
        return {**figure, "table": _sentences(whole, show)}

    return (View("the whole plan", result, draw),)


STEPS = (
    Step(
        "Piece",
        "What it is, its glass and its finished size.",
        ("name", "about", "glass", "size", "draw_in", "own_glasses"),
        _piece_views,
        ("1", "3"),
    ),
    Step(
        "Sheets",
        "The sheets from the shelf upwards, and letters or lines let into the top one.",
        ("sheets", "inlays"),
        _sheets_views,
        ("1", "3"),
    ),
    Step(
        "On it",
        "What is laid on the sheets, each place counted from the lower left corner.",
        ("laid", "rods", "frit"),
        _on_it_views,
        ("2",),
    ),
    Step(
        "Form",
        "The mould it sinks into, the former it is draped over, or the mould it is cast in.",
        ("slump", "drape", "casting"),
        _form_views,
        ("2", "3b"),
    ),
    Step(
        "Firings",
        "Each firing in its order; the schedule is written for this piece and this kiln, with a reason for "
        "every segment.",
        ("firings", "kiln"),
        _firing_views,
        ("4", "4b"),
    ),
    Step(
        "Cold work",
        "What is trimmed, ground, drilled, hung and glued.",
        ("cold_work", "holes", "hanging", "bond"),
        _cold_views,
        ("5",),
    ),
    Step(
        "Workshop",
        "What is in the rack or can be bought, what energy and work cost, and the class.",
        ("stock", "prices", "group", "labour"),
        _workshop_views,
        ("2", "3"),
    ),
    Step("Record", "What was really fired, and what came out.", ("fired",), _record_views),
    Step("Plan", "All of it together, in the order in which the piece is made.", (), _plan_views),
)


# ------------------------------------------------------------------------------------------ new parts

_FRESH: dict[str, dict[str, dict[str, Any]]] = {
    "own_glasses": {"": {"name": "my glass", "like": "kiln glass A"}},
    "sheets": {"": {"thickness": ("3 mm", "1/8 in")}},
    "laid": {
        "rectangle": {
            "at": (["10 mm", "10 mm"], ["1/2 in", "1/2 in"]),
            "size": (["30 mm", "20 mm"], ["1 in", "3/4 in"]),
        },
        "disc": {"at": (["30 mm", "30 mm"], ["1 in", "1 in"]), "diameter": ("20 mm", "3/4 in")},
        "ring": {
            "at": (["30 mm", "30 mm"], ["1 in", "1 in"]),
            "diameter": ("30 mm", "1 in"),
            "width": ("5 mm", "1/4 in"),
        },
        "line": {
            "points": ([["10 mm", "10 mm"], ["50 mm", "30 mm"]], [["1/2 in", "1/2 in"], ["2 in", "1 in"]]),
            "width": ("5 mm", "1/4 in"),
        },
        "polygon": {
            "points": (
                [["10 mm", "10 mm"], ["50 mm", "10 mm"], ["10 mm", "40 mm"]],
                [["1/2 in", "1/2 in"], ["2 in", "1/2 in"], ["1/2 in", "1 1/2 in"]],
            )
        },
    },
    "rods": {"": {"diameter": ("2 mm", "5/64 in"), "pitch": ("15 mm", "5/8 in")}},
    "frit": {"": {"grain": ("3 mm", "1/8 in"), "cover": "50 %"}},
    "inlays": {
        "": {
            "glass": "kiln glass B",
            "width": ("8 mm", "5/16 in"),
            "length": ("200 mm", "8 in"),
            "thickness": ("3 mm", "1/8 in"),
        }
    },
    "casting": {
        "cone": {"bottom": ("80 mm", "3 in"), "top": ("120 mm", "5 in"), "depth": ("30 mm", "1 1/4 in")},
        "box": {"size": (["100 mm", "60 mm"], ["4 in", "2 1/2 in"]), "depth": ("30 mm", "1 1/4 in")},
    },
    "slump": {"": {"span": ("150 mm", "6 in"), "depth": ("20 mm", "3/4 in")}},
    "drape": {
        "": {
            "across": ("80 mm", "3 in"),
            "along": ("100 mm", "4 in"),
            "thickness": ("3 mm", "1/8 in"),
            "former_width": ("18 mm", "3/4 in"),
            "former_height": ("9 mm", "3/8 in"),
            "paper": "fibre paper 2 mm",
        }
    },
    "firings": {"": {"process": "full fuse"}},
    "zones": {"": {"thickness": ("6 mm", "1/4 in"), "share": "100 %"}},
    "cold_work": {"": {"trim": ("2 mm", "1/16 in")}},
    "holes": {"": {"at": (["30 mm", "30 mm"], ["1 1/4 in", "1 1/4 in"]), "diameter": ("8 mm", "5/16 in")}},
    "hanging": {"": {"left": ("80 mm", "3 in"), "right": ("80 mm", "3 in")}},
    "bond": {"": {"bead": ("4 mm", "5/32 in"), "length": ("80 mm", "3 in"), "gap": ("0.5 mm", "0.02 in")}},
    "kiln": {"": {"shelf": (["500 mm", "400 mm"], ["20 in", "16 in"])}},
    "stock": {
        "sheet": {"size": (["500 mm", "500 mm"], ["20 in", "20 in"]), "thickness": ("3 mm", "1/8 in")},
        "rod": {"weight": ("250 g", "8 oz")},
        "frit": {"weight": ("500 g", "1 lb")},
        "billet": {"weight": ("1 kg", "2 lb")},
        "paper": {"size": (["1 m", "500 mm"], ["36 in", "24 in"]), "name": "fibre paper 2 mm"},
    },
    "prices": {"": {"currency": ""}},
    "group": {"": {"students": 12}},
    "fired": {"": {}},
}
"""What a new part begins with: by its kind, then by the word that says what it is; metric and in inches."""

_KINDS = {"laid": "shape", "casting": "shape", "stock": "what"}
_THICKNESS = ("3 mm", "1/8 in")


def fresh(name: str, units: str, piece: Project, word: str = "") -> dict[str, Any]:
    """Return a new part as a table of a piece file: of the kind `name`, and of the sort `word`."""
    sorts = _FRESH[name]
    sort = word or next(iter(sorts))
    table = {
        key: value[units == "inches"] if isinstance(value, tuple) else value
        for key, value in sorts[sort].items()
    }
    if name in _KINDS:
        table[_KINDS[name]] = sort
    if name == "laid":
        table["thickness"] = _THICKNESS[units == "inches"]
    if name == "fired":
        table |= {
            "date": datetime.date.today(),
            "segments": planned(piece).firings[0].schedule.to_text(units),
        }
    return table


def adapted(part: Part, name: str, word: Any, units: str) -> dict[str, Any]:
    """Return what else of a part changes where it becomes of another sort, a disc instead of a rectangle."""
    kind = {Laid: "laid", Casting: "casting", Stock: "stock"}.get(type(part))
    if kind is None or name != _KINDS[kind]:
        return {}
    made = type(part).from_table(fresh(kind, units, project.scenario("banner"), word), (), [])
    changing = {key for sort in _FRESH[kind].values() for key in sort}
    changes = {}
    for key in changing:
        new = getattr(made, key)
        if bool(new) != bool(getattr(part, key)):
            changes[key] = new
    return changes


def options(part: Part, name: str, piece: Project) -> Sequence[str] | None:
    """Return the words allowed in a box, where the parts themselves do not list them."""
    if name in ("glass", "like"):
        table = [row["name"] for row in _tables.rows("glasses.csv")]
        own = [one.name for one in piece.own_glasses]
        if name == "like":
            return table
        return [*own, *table] if isinstance(part, Project | Inlay) else ["", *own, *table]
    if name == "paper" or (name == "name" and isinstance(part, Stock) and part.what == "paper"):
        papers = [row["name"] for row in _tables.rows("refractories.csv") if row["form"] == "paper"]
        return ["", *papers] if isinstance(part, PlannedFiring) else papers
    if name in ("packing", "tool"):
        table_of = {"packing": "frit_packing.csv", "tool": "grinding_tools.csv"}[name]
        return [row["name"] for row in _tables.rows(table_of)]
    return None


_SHEETS_ONLY = ("size", "draw_in", "sheets", "inlays", "laid", "rods", "frit", "slump", "drape")


def needed(part: Part, name: str) -> bool:
    """Return whether a field matters to a part as it is now."""
    if isinstance(part, Project):
        return name not in (_SHEETS_ONLY if part.casting else ("casting",))
    if isinstance(part, Laid):
        return name in SHAPES[part.shape] or not any(name in one for one in SHAPES.values())
    if isinstance(part, Casting):
        return name not in (("size",) if part.shape == "cone" else ("bottom", "top"))
    if isinstance(part, PlannedFiring):
        return name != "paper" or part.support == "paper on the shelf"
    if isinstance(part, Stock):
        flat = part.what in ("sheet", "paper")
        return name not in (("weight",) if flat else ("size", "edge"))
    return True


def resized(piece: Project, length: str, units: str) -> tuple[Project, tuple[str, ...]]:
    """Return a piece scaled to another length, and in sentences what changes and what does not scale."""
    now = plan_views.from_above(piece).size[0]
    times = read(length, "length") / now
    changed = plan_changes.replan(piece, times=times)
    show = Show(units)
    name = f"{piece.name.split(', ')[0]}, {show.text(times * now, 'length')}"
    return replace(changed.after.project, name=name), changed.words(show)


_PICTURES, _LOGS = "image/png, image/jpeg", ".csv, .txt, .tsv, .log"


def files(part: Part, name: str) -> str:
    """Return what sort of file a field names, "" for none: photographs and the log of a firing."""
    if not isinstance(part, Fired):
        return ""
    return {"log": _LOGS, "before": _PICTURES, "after": _PICTURES}.get(name, "")


def read_file(path: Path) -> Project:
    """Return the piece that a file of the folder describes, its photographs and logs there or not."""
    return Project.read(path, files=False)


whole_piece = Form(
    title="What will it take, from the sketch to the shelf?",
    steps=STEPS,
    pieces={name: partial(project.scenario, name) for name in project.SCENARIO},
    read=read_file,
    from_text=Project.from_text,
    fresh=fresh,
    adapted=adapted,
    options=options,
    needed=needed,
    resized=resized,
    files=files,
)


# ------------------------------------------------------------------------------------------- the panels


def larger(length: float) -> tuple[plan_changes.Grown, plan_changes.Grown]:
    """Return the relief tray at another length, and the bookend as many times as large."""
    tray, bookend = project.scenario("relief-tray"), project.scenario("bookend")
    assert tray.size
    times = length / tray.size[0]
    return plan_changes.grown(tray, times), plan_changes.grown(bookend, times)


other_size = Panel(
    "The same piece, larger: how much more glass, and what stays?",
    larger,
    pictures.grown,
    (
        Slider(
            "length",
            "length of the tray",
            "length",
            Rail("mm", 360, 120, 480, 10),
            Rail("in", 14, 5, 19, 0.5),
        ),
    ),
    Guess(
        "The tray is 240 mm (9 7/16 in) long and takes 857 g (30.2 oz) of glass. How much does the one on "
        "the slider take?",
        "mass",
        lambda found: found[0].mass_after,
        Rail("g", 1000, 200, 4000, 50),
        Rail("oz", 35, 10, 140, 1),
    ),
)

sensor = Panel(
    "What is a sensor worth that is off by what its standard allows?",
    partial(sensor_off, materials.glass("kiln glass A"), materials.glass("NBS 710"), 680.0),
    pictures.sensor,
)
