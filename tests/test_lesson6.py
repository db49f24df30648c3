"""Lesson 6: the form driven without a browser, its pictures, another size, a sensor, four exercises."""

import base64
import dataclasses
import datetime
import json
import re
from dataclasses import replace
from types import SimpleNamespace

import ipywidgets as widgets
import numpy as np
import plotly.graph_objects as go
import pytest

from kilncalc import _comments, _resources, materials
from kilncalc.error_bars import Bar
from kilncalc.exercises import mark_numbers, question
from kilncalc.figures import project as pictures
from kilncalc.panels import lesson6, show
from kilncalc.panels._form import LiveForm, Step, View, explained, plain
from kilncalc.plan import plan
from kilncalc.plan_changes import as_fired, compare, grown, scaled
from kilncalc.plan_materials import Filling
from kilncalc.plan_views import MouldSection, from_above
from kilncalc.project import SCENARIO, Project, ProjectError, scenario
from kilncalc.project_parts import Fired, Group, Laid, OwnKiln, Slump, Stock
from kilncalc.quantities import SYSTEMS, Show
from kilncalc.read_back import class_firings
from kilncalc.schedule import Schedule
from kilncalc.sensor import sensor_off, tolerance

FORM = lesson6.whole_piece
NUMBER = {step.name: place for place, step in enumerate(FORM.steps)}


@pytest.fixture
def live(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return LiveForm(FORM, "metric")


def at(live, step):
    """Open a step and return the editor of its boxes."""
    live.steps.value = NUMBER[step]
    return live.root


def said(thing):
    return re.sub("<[^>]*>", "", thing.value).replace("&quot;", '"').replace("&#x27;", "'")


def caption(live):
    return json.loads(live.picture.figure)["caption"]


# ------------------------------------------------------------------------------- making, saving, opening


def test_a_piece_is_made_saved_and_opened_again(live, tmp_path):
    size = at(live, "Piece").boxes
    size["name"].value = "garden sign"
    size["size"].value = "12 in x 8 in"
    assert live.piece.size == pytest.approx((0.3048, 0.2032), rel=1e-12)  # exact: 25.4 mm an inch
    # hand: 304.8 by 203.2 mm, 619 cm2
    assert "garden sign, 305 mm by 203 mm" in caption(live)
    sheets = at(live, "Sheets").below["sheets"]
    sheets.editor.boxes["count"].value = "3"
    sheets.on_add()
    sheets.editor.boxes["thickness"].value = "1/8 in"
    # hand: 3 x 3.4 + 3 x 3.175 = 19.725 mm
    assert "6 sheets, 19.7 mm together" in caption(live)
    laid = at(live, "On it").below["laid"]
    laid.on_remove()
    laid.on_add()
    laid.editor.boxes["shape"].value = "disc"
    laid.editor.boxes["at"].value = "100 x 90 mm"
    laid.editor.boxes["diameter"].value = "40 mm"
    disc = live.piece.laid[-1]
    assert (disc.shape, disc.at, disc.diameter, disc.size) == ("disc", (0.1, 0.09), 0.04, None)
    live.file.value = "garden-sign"
    live.on_save()
    assert "Saved as garden-sign.toml" in said(live.notes)
    assert Project.read(tmp_path / "garden-sign.toml") == live.piece
    again = LiveForm(FORM, "metric")
    again.begin.value = "garden-sign.toml"
    again.on_open()
    assert again.piece == live.piece
    assert again.root.boxes["size"].value == "304.8 mm × 203.2 mm"


def test_the_download_is_the_file(live):
    at(live, "Piece").boxes["name"].value = "mine & yours"
    content = re.search(r"base64,([^\"]+)\"", live.download.value)[1]
    assert Project.from_text(base64.b64decode(content).decode()) == live.piece


def test_a_file_is_never_written_over_unasked(live, tmp_path):
    other = tmp_path / "relief-tray.toml"
    other.write_text("somebody's work", encoding="utf-8")
    live.on_replace()  # without having been told: nothing
    assert other.read_text(encoding="utf-8") == "somebody's work"
    assert "nothing was written" in said(live.notes)
    assert live.replace in live.saving.children
    live.file.value = "another.toml"
    (tmp_path / "another.toml").write_text("hers", encoding="utf-8")
    live.on_replace()  # asked about one file is not asked about another
    assert (tmp_path / "another.toml").read_text(encoding="utf-8") == "hers"
    assert "the file as it is now is kept under another name" in said(live.notes)
    live.on_replace()
    assert (tmp_path / "another-before.toml").read_text(encoding="utf-8") == "hers"
    assert Project.read(tmp_path / "another.toml") == live.piece
    assert other.read_text(encoding="utf-8") == "somebody's work"


COMMENTED = (_resources.datasets() / "pieces" / "banner.toml").read_text(encoding="utf-8")


def opened(live, tmp_path, text=COMMENTED):
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    live._offer()
    live.begin.value = "mine.toml"
    live.on_open()
    return tmp_path / "mine.toml"


def test_comments_of_a_file_stay_when_it_is_saved(live, tmp_path):
    place = opened(live, tmp_path)
    assert live.file.value == "mine.toml"
    live.root.boxes["about"].value = "with a longer sleeve"
    assert (
        COMMENTED.splitlines()[0]
        in base64.b64decode(re.search(r"base64,([^\"]+)\"", live.download.value)[1]).decode()
    )
    live.on_save()
    assert "replace it: its comments stay." in said(live.notes)
    assert place.read_text(encoding="utf-8") == COMMENTED  # not yet
    live.on_replace()
    after = place.read_text(encoding="utf-8")
    assert Project.read(place) == live.piece and live.piece.about == "with a longer sleeve"
    assert set(re.findall("#.*", COMMENTED)) == set(re.findall("#.*", after))
    assert sorted(path.name for path in tmp_path.iterdir()) == ["mine.toml"]
    live.root.boxes["about"].value = "shorter"  # and once more, from what was saved
    live.file.value = "second.toml"
    live.on_save()
    second = (tmp_path / "second.toml").read_text(encoding="utf-8")
    assert set(re.findall("#.*", COMMENTED)) == set(re.findall("#.*", second))


def test_what_a_file_would_lose_is_said_before_and_kept_aside(live, tmp_path):
    text = COMMENTED.replace("[hanging]", "[hanging]\n# on Ann's hooks")
    place = opened(live, tmp_path, text)
    live.steps.value = NUMBER["Cold work"]
    live.root.below["hanging"].on_remove()
    live.file.value = "mine.toml"
    live.on_save()
    lost = len(_comments.lost(text, live.piece.to_text(text)))
    assert lost >= 1
    goes = "1 of its comments goes" if lost == 1 else f"{lost} of its comments go"
    assert f"{goes} with what has changed; the file as it is now is kept under another name" in said(
        live.notes
    )
    assert place.read_text(encoding="utf-8") == text
    live.on_replace()
    assert "What stood there before is in mine-before.toml." in said(live.notes)
    assert (tmp_path / "mine-before.toml").read_text(encoding="utf-8") == text
    assert Project.read(place) == live.piece


def test_a_comment_comes_back_with_its_part(live, tmp_path):
    place = opened(live, tmp_path)
    live.steps.value = NUMBER["Cold work"]
    live.root.below["hanging"].on_remove()
    live.file.value = "mine.toml"
    live.on_save()
    live.on_replace()
    assert "[hanging]" not in place.read_text(encoding="utf-8")
    live.on_undo()
    live.file.value = "mine.toml"
    live.on_save()
    live.on_replace()
    assert place.read_text(encoding="utf-8") == COMMENTED


def test_a_file_that_changed_meanwhile_is_kept_aside(live, tmp_path):
    place = opened(live, tmp_path)
    edited = COMMENTED + "# and a last word, typed elsewhere\n"
    place.write_text(edited, encoding="utf-8")
    (tmp_path / "mine-before.toml").write_text("older still", encoding="utf-8")
    live.root.boxes["about"].value = "new"
    live.on_save()
    live.on_replace()
    assert (tmp_path / "mine-before.toml").read_text(encoding="utf-8") == "older still"
    assert (tmp_path / "mine-before-2.toml").read_text(encoding="utf-8") == edited


def test_undo_brings_a_file_back_with_its_comments(live, tmp_path):
    opened(live, tmp_path)
    live.begin.value = "bookend"
    live.on_open()
    assert live.text == ""  # the comments of one piece do not go into another
    live.on_undo()
    assert live.text == COMMENTED and live.piece == scenario("banner")


@pytest.mark.parametrize(
    "name", ["", "../tray", "/etc/tray", "a/b", ".hidden", 'what"', "con:1", "back\\slash"]
)
def test_a_name_that_is_none_is_refused(live, tmp_path, name):
    live.file.value = name
    live.on_save()
    assert "is no name for a file" in said(live.notes)
    assert not list(tmp_path.iterdir())


def upload(live, name, content):
    live.on_upload({"new": ({"name": name, "content": memoryview(content)},)})


def test_a_file_from_elsewhere_is_opened_or_said_why_not(live):
    before = live.piece
    upload(live, "bell.toml", b"\xff\xfe\x00")
    assert "bell.toml is not a piece file" in said(live.message)
    upload(live, "bell.toml", b'name = "bell"\nglass = "jelly"\n[[sheet]]\nthickness = "3 mm"\n')
    assert "bell.toml, line 2: there is no glass called" in said(live.message)
    assert "[[" not in said(live.message)
    assert live.piece == before
    upload(live, "bell.toml", scenario("banner").to_text().encode())
    assert live.piece == scenario("banner")
    live.on_undo()  # what was there before is not lost
    assert live.piece == before


def test_undo_goes_back_one_change_at_a_time(live):
    boxes = at(live, "Piece").boxes
    boxes["name"].value = "one"
    boxes["name"].value = "two"
    live.on_undo()
    assert live.piece.name == "one" and live.root.boxes["name"].value == "one"
    live.on_undo()
    assert live.piece == scenario("relief-tray")
    live.on_undo()  # there is nothing before
    assert live.piece == scenario("relief-tray")


# ------------------------------------------------------------------------------------------- the record

FIRINGS = {firing.name: firing for firing in class_firings()}


def log_file(firing):
    """The log of a class's firing as a file in Fahrenheit."""
    rows = [
        f"{t / 60:g};{x * 1.8 + 32:.0f}" for t, x in zip(firing.log.time, firing.log.temperature, strict=True)
    ]
    return "\n".join(["minutes;kiln °F", *rows]).encode()


def recorded(live):
    """A record with one run of the slump, open in the form."""
    live.steps.value = NUMBER["Record"]
    row = live.root.below["fired"]
    row.on_add()
    row.editor.boxes["segments"].value = FIRINGS["E"].plan.to_text()
    row.editor.boxes["firing"].value = "2"
    return row


def chosen_file(editor, field, name, content):
    editor.on_file(field, {"new": ({"name": name, "content": memoryview(content)},)})


def test_one_s_own_log_is_laid_over_its_plan(live, tmp_path):
    row = recorded(live)
    assert list(live.view.options) == ["from above"]
    content = log_file(FIRINGS["E"])
    chosen_file(row.editor, "log", "C:\\kiln\\monday.csv", content)
    assert (tmp_path / "monday.csv").read_bytes() == content
    assert live.piece.fired[0].log == "monday.csv" == row.editor.boxes["log"].value
    live.view.value = "log over the plan"
    assert [box.description for box in live.chosen] == ["of"]
    assert live.shown.children[0].children == (live.view, *live.chosen)
    drawn = json.loads(live.picture.figure)
    # exact: the sensor of that firing read 20 K low, in a room of 20 °C
    assert drawn["caption"].startswith("Cold, the log shows 20 °C less than the room has")
    assert any("time from “minutes”" in cells[2] for cells in drawn["table"]["rows"])
    # the same file again is no other file; another one of that name stays out
    chosen_file(row.editor, "log", "monday.csv", content)
    assert said(row.editor.message) == ""
    chosen_file(row.editor, "log", "monday.csv", b"another")
    assert "There is another file monday.csv in this folder, which stays as it is" in said(row.editor.message)
    assert (tmp_path / "monday.csv").read_bytes() == content
    chosen_file(row.editor, "log", ".hidden", b"x")
    assert "is no name for a file in this folder" in said(row.editor.message)
    assert not (tmp_path / ".hidden").exists()


def test_a_log_that_is_none_is_said_under_the_picture(live, tmp_path):
    row = recorded(live)
    chosen_file(row.editor, "log", "diary.txt", b"dear diary")
    live.view.value = "log over the plan"
    assert "diary.txt: this is no log" in said(live.message)
    assert live.piece.fired[0].log == "diary.txt"


def test_photographs_come_one_after_the_other_and_typed_names_are_looked_for(live, tmp_path):
    row = recorded(live)
    for name in ("top.jpg", "side.jpg"):
        chosen_file(row.editor, "after", name, name.encode())
    assert live.piece.fired[0].after == ("top.jpg", "side.jpg")
    row.editor.boxes["after"].value = "top.jpg; sdie.jpg"
    assert said(row.editor.message) == (
        'after: there is no file "sdie.jpg" beside the piece file. Did you mean "side.jpg"?'
    )
    assert live.piece.fired[0].after == ("top.jpg", "side.jpg")
    assert row.editor.boxes["after"].value == "top.jpg; side.jpg"
    row.editor.boxes["log"].value = "kiln.csv"
    assert said(row.editor.message) == 'log: there is no file "kiln.csv" beside the piece file.'
    assert live.piece.fired[0].log == ""
    (tmp_path / "side.jpg").unlink()  # what was named before does not stand in the way of anything else
    row.editor.boxes["after"].value = "side.jpg"
    assert live.piece.fired[0].after == ("side.jpg",)
    row.editor.boxes["finding"].value = "level"
    assert live.piece.fired[0].finding == "level"


def test_only_a_record_names_files(live):
    files = {
        (step.name, field)
        for step in FORM.steps
        for editor in editors(at(live, step.name))
        for field in editor.boxes
        if FORM.files(editor.part, field)
    }
    assert files == set()  # the tray has not been fired
    row = recorded(live)
    assert {field for field in row.editor.boxes if FORM.files(row.editor.part, field)} == {
        "log",
        "before",
        "after",
    }


RUNS = (
    "100 C/h to 820 C, 10 min; 600 C/h to 515 C, 60 min; 60 C/h to 375 C; 150 C/h to 40 C",
    "100 C/h to 820 C, 20 min; 600 C/h to 515 C, 60 min; 120 C/h to 375 C; 150 C/h to 40 C",
)


def test_two_firings_of_the_record_are_compared(live):
    live.begin.value = "banner"
    live.on_open()
    days = tuple(
        Fired(date=datetime.date(2026, 3, day), segments=Schedule.from_text(run), finding=finding)
        for day, run, finding in zip((5, 12, 19), (*RUNS, RUNS[0]), ("sharp", "level", ""), strict=True)
    )
    live.start(replace(live.piece, fired=days))
    live.steps.value = NUMBER["Record"]
    live.view.value = "two firings compared"
    assert [box.description for box in live.chosen] == ["first", "second"]
    assert [name for name, _ in live.chosen[0].options] == [
        "1: full fuse, 2026-03-05",
        "2: full fuse, 2026-03-12",
        "3: full fuse, 2026-03-19",
    ]
    assert [box.value for box in live.chosen] == [0, 1]
    drawn = json.loads(live.picture.figure)
    assert drawn["caption"].startswith(
        "2026-03-05 and 2026-03-12, as they were run: 2 segments changed. The glass was pulled by up to "
    )
    first, second = (as_fired(live.piece, day) for day in days[:2])
    for one in (first, second):
        assert f"{one.pull.stays / 1e6:.3g} MPa" in drawn["caption"]
    table = [row[0] for row in drawn["table"]["rows"]]
    assert table[0] == "Segment 1: 100 °C/h to 820 °C, 20 min instead of 100 °C/h to 820 °C, 10 min."
    assert table[-2:] == ["2026-03-05: sharp", "2026-03-12: level"]
    live.chosen[1].value = 2
    assert "the same segments" in caption(live)
    assert [box.value for box in live.chosen] == [0, 2]
    live.switch.value = "inches"
    assert "psi" in caption(live) and [box.value for box in live.chosen] == [0, 2]
    live.view.value = "from above"
    assert live.chosen == [] and live.shown.children[0].children == (live.view,)
    # hand: 800/100 + 1/6 h up and hold, 305/600 + 1 h, 140/60 h, then the kiln by itself, below 150 °C/h,
    # 3 h x ln(355/20): 20.6 h; the axis ends at a quarter of a day
    pane = pictures.compared(compare(live.piece, *days[:2]), Show("metric"))["panes"][0]
    assert pane["layout"]["xaxis"]["range"] == [0, 24]
    assert max(pane["data"][0]["y"]) == pytest.approx(820, rel=1e-3)
    pulls = pictures.compared(compare(live.piece, *days[:2]), Show("metric"))["panes"][1]["data"][1:]
    for drawn, one in zip(pulls, (first, second), strict=True):
        assert max(drawn["y"]) == pytest.approx(one.pull.most / 1e6, rel=0.03)  # so few points are drawn


def test_two_firings_that_never_got_hot():
    banner = scenario("banner")
    cold, hot = (
        Fired(date=datetime.date(2026, 3, 5), segments=Schedule.from_text(run))
        for run in ("100 C/h to 300 C; 100 C/h to 40 C", RUNS[0])
    )
    assert compare(banner, cold, hot).differences(Show("metric"))[-1] == (
        "The glass did not get hot enough to flow the first time."
    )
    assert compare(banner, hot, cold).differences(Show("metric"))[-1].endswith("flow the second time.")
    assert compare(banner, cold, cold).differences(Show("metric"))[-1].endswith("flow either time.")


# --------------------------------------------------------------------------------------- what is refused


def editors(owner):
    """Yield an editor and all below it, each part of a list opened in turn."""
    yield owner
    for below in owner.below.values():
        for place in range(len(getattr(below, "parts", (1,)))):
            if hasattr(below, "which"):
                below.which.value = place
            if below.editor:
                yield from editors(below.editor)


@pytest.mark.parametrize("name", SCENARIO)
@pytest.mark.parametrize("units", SYSTEMS)
def test_rubbish_in_any_box_is_refused_with_words_and_the_box_shows_what_the_picture_shows(
    live, monkeypatch, name, units
):
    monkeypatch.setattr(LiveForm, "redraw", lambda self: None)
    live.switch.value = units
    live.begin.value = name
    live.on_open()
    piece, tried = live.piece, 0
    for step in FORM.steps:
        for editor in editors(at(live, step.name)):
            for field, box in editor.boxes.items():
                if isinstance(box, widgets.Dropdown):
                    continue
                kind = next(f for f in dataclasses.fields(editor.part) if f.name == field).metadata["kind"]
                rubbish = ["~", "-4 bananas", "1e999 mm", "3 mm; drop", "\x07"]
                if kind.read.__name__ == "_is_words":
                    rubbish = ["\x07", "x" * 2001]
                if field == "grits":
                    rubbish = ["gritty", "F80; F0"]
                if field in ("before", "after"):
                    rubbish = ["\x07"]
                for one in rubbish:
                    shown = box.value
                    box.value = one
                    assert live.piece == piece, (step.name, field, one)
                    assert box.value == shown, (step.name, field, one)
                    assert said(editor.message).endswith(
                        (".", "”", "?", "in", "mm", ")", "20", "100", '"')
                    ) or said(editor.message), (step.name, field, one)
                    assert said(editor.message), (step.name, field, one)
                    assert "Something went wrong" not in said(editor.message), (step.name, field, one)
                    tried += 1
    assert tried > 60


def test_a_refusal_stands_beside_its_part_and_goes_when_a_value_is_taken(live):
    root = at(live, "Piece")
    root.boxes["size"].value = "240 x 100 mm"
    assert said(root.message) == (
        "laid 2 frame, upper strip: this lies beside the piece, which is 240 mm (9.45 in) by 100 mm "
        "(3 15/16 in)"
    )
    for typed in ("300", "300 x 200 x 10 mm", "300 mm, 200 mm"):
        root.boxes["size"].value = typed
        assert said(root.message).startswith(f"size: “{typed}” is not two lengths; write 240 mm × 180 mm")
    root.boxes["size"].value = "300 x 200"
    assert "size: “300” has no unit" in said(root.message)
    root.boxes["size"].value = "900 x 180 mm"
    assert "is larger than the shelf, 560 mm (22 in)" in said(root.message)
    assert root.boxes["size"].value == "240 mm × 180 mm"
    root.boxes["size"].value = "250 x 180 mm"
    assert said(root.message) == ""
    editor = at(live, "Sheets").below["sheets"].editor
    editor.boxes["thickness"].value = "3"
    assert "thickness: “3” has no unit" in said(editor.message)
    editor.boxes["thickness"].value = "1 m"
    assert "thickness is 1 m (39.4 in); allowed is 0.3 mm (0.0118 in) to 150 mm (5 29/32 in)" in said(
        editor.message
    )


def test_what_belongs_together_waits_until_it_is_complete(live):
    live.steps.value = NUMBER["Cold work"]
    cold = live.root.below["cold_work"]
    cold.on_remove()
    cold.on_add()
    before = live.piece
    cold.editor.boxes["start"].value = "F80"
    assert "Not in the picture yet: start and finish belong together" in said(cold.editor.message)
    assert live.piece == before and cold.editor.boxes["start"].value == "F80"
    cold.editor.boxes["grits"].value = "F80; F120; F220; F400"
    cold.editor.boxes["finish"].value = "F400"
    assert live.piece.cold_work.grits == ("F80", "F120", "F220", "F400")
    assert (live.piece.cold_work.start, live.piece.cold_work.finish) == ("F80", "F400")
    assert said(cold.editor.message) == ""


def test_parts_that_contradict_the_rest_are_refused_in_plain_words(live):
    firings = at(live, "Firings").below["firings"]
    firings.which.value = 1
    firings.on_remove()
    assert "there is “slump”, but no firing whose process is" in said(firings.message)
    assert len(live.piece.firings) == 2
    live.steps.value = NUMBER["Form"]
    slump = live.root.below["slump"]
    slump.on_remove()
    assert live.piece.slump is None
    firings = at(live, "Firings").below["firings"]
    firings.which.value = 1
    firings.on_remove()
    assert [one.process for one in live.piece.firings] == ["tack fuse"]
    firings.on_remove()
    assert said(firings.message).startswith("firing is missing: a piece is fired at least once")
    assert "[[" not in said(firings.message)


def test_a_part_of_another_sort_asks_for_what_it_needs(live):
    laid = at(live, "On it").below["laid"]
    needs = {
        "ring": {"at", "diameter", "width"},
        "polygon": {"points"},
        "line": {"points", "width"},
        "disc": {"at", "diameter"},
        "rectangle": {"at", "size"},
    }
    for shape, wanted in needs.items():
        laid.editor.boxes["shape"].value = shape
        assert live.piece.laid[0].shape == shape
        assert set(laid.editor.boxes) == wanted | {"name", "shape", "thickness", "glass", "firing"}
        assert live.piece.laid[0].name == "frame, lower strip"  # what does not hang on the shape stays
        assert live.piece.laid[0].thickness == 0.0034
    stock = at(live, "Workshop").below["stock"]
    stock.editor.boxes["what"].value = "paper"
    assert live.piece.stock[0].name == "fibre paper 2 mm" and live.piece.stock[0].price == 30
    stock.editor.boxes["what"].value = "billet"
    assert live.piece.stock[0].weight == 1.0 and live.piece.stock[0].size is None


@pytest.mark.parametrize("units", SYSTEMS)
def test_every_new_part_is_a_part(units):
    piece = scenario("relief-tray")
    classes = {"laid": Laid, "stock": Stock, "slump": Slump}
    for one in dataclasses.fields(Project):
        kind = one.metadata["kind"]
        if kind.part is None:
            continue
        for sort in lesson6._FRESH[one.name]:
            faults = []
            made = kind.part.from_table(lesson6.fresh(one.name, units, piece, sort), (), faults)
            assert made is not None, (one.name, sort, [str(fault) for fault in faults])
            assert type(made) is classes.get(one.name, kind.part)


# ------------------------------------------------------------------------------------------- the pictures


def test_units_turn_the_boxes_and_the_file_and_not_the_piece(live, tmp_path):
    size, sheets = live.piece.size, live.piece.sheets
    live.switch.value = "inches"
    assert live.root.boxes["size"].value == "9.45 in × 7.09 in"
    assert (live.piece.size, live.piece.sheets, live.piece.units) == (size, sheets, "inches")
    assert "9.45 in by 7.09 in" in caption(live)
    live.on_save()
    assert Project.read(tmp_path / "relief-tray.toml").size == size  # exact: SI all the way
    live.root.boxes["size"].value = "9.45 in × 7.09 in"  # what stands there, typed again: nothing was changed
    assert live.piece.size == size


def counting(calls, name):
    def result(piece, progress):
        calls.append(name)
        progress(0.5)
        return piece

    def draw(piece, show):
        if piece.name == "impossible":
            raise ValueError("this cannot be")
        return {"panes": [], "readings": [], "table": None, "caption": f"{name}: {piece.name}"}

    return View(name, result, draw)


def test_only_the_picture_of_the_open_step_is_drawn(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    calls = []
    views = [counting(calls, "first"), counting(calls, "other")]
    steps = (
        Step("one", "", ("name",), lambda piece: views),
        Step("two", "", ("size",), lambda piece: [counting(calls, "second")]),
    )
    live = LiveForm(replace(FORM, steps=steps), "metric")
    calls.clear()
    live.root.boxes["name"].value = "cup"
    assert calls == ["first"] and caption(live) == "first: cup"
    assert live.shown.children[0].children == (live.view,)
    live.view.value = "other"
    live.steps.value = 1
    assert live.shown.children == (live.picture,)  # one picture is not chosen from
    assert calls == ["first", "other", "second"] and caption(live) == "second: cup"
    live.root.boxes["size"].value = "250 x 180 mm"
    assert calls[3:] == ["second"]
    live.steps.value = 0
    live.root.boxes["name"].value = "impossible"
    assert "this cannot be. The picture is that of before." in said(live.message)
    assert live.piece.name == "impossible" and caption(live) == "first: cup"
    assert "kilncalc-working" not in live.picture._dom_classes


def test_sheets_larger_than_usual_are_drawn_whole():
    tray = scenario("relief-tray")
    large = replace(tray.stock[0], size=(1.2, 0.8))
    view = FORM.steps[NUMBER["Workshop"]].views(tray)[1]
    piece = replace(tray, stock=(large, *tray.stock[1:]), group=Group(students=12))
    found = view.result(piece, lambda _: None)
    both = replace(found[0], plan=replace(found[0].plan, sheets=found[0].plan.sheets * 3))
    panes = view.draw((both, found[1]), Show("metric"))["panes"]
    assert len(panes) == 3
    for pane in panes:
        sheet = np.array(pane["data"][0]["x"], dtype=float)
        assert np.nanmax(sheet) - np.nanmin(sheet) == pytest.approx(1200.0, rel=1e-9)  # exact: to scale
        (left, right), (low, high) = (pane["layout"][axis]["range"] for axis in ("xaxis", "yaxis"))
        assert left < 0 and right > 1200 and low < 0 and high > 800


def test_each_lesson_that_the_plan_names_is_a_link_to_its_page():
    for step in ("Sheets", "Form", "Cold work", "Workshop"):
        view = FORM.steps[NUMBER[step]].views(scenario("banner"))[0]
        table = view.draw(view.result(scenario("banner"), lambda _: None), Show("metric"))["table"]
        assert table["rows"]
        for label, _ in table["rows"]:
            page = table["links"][label]
            assert (
                page.startswith(f"{label.removeprefix('lesson ')}-")
                and (_resources.lessons() / page).is_file()
            )


def test_stripes_move_while_two_sizes_are_planned(live, monkeypatch):
    seen = []

    def resized(*_):
        seen.append("kilncalc-working" in live.picture._dom_classes)
        raise ValueError("too large")

    live.form = replace(live.form, resized=resized)
    live.on_resize()
    assert seen == [True] and "kilncalc-working" not in live.picture._dom_classes


def test_a_bar_moves_where_a_picture_takes_more_than_a_second(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    clock, seen = [0.0], []
    monkeypatch.setattr("kilncalc.panels._form.time.monotonic", lambda: clock[0])

    def result(piece, progress):
        for share in (0.2, 0.5, 0.9):
            clock[0] += 0.6
            progress(share)
            seen.append((live.progress in live.shown.children, live.progress.value))
            assert "kilncalc-working" in live.picture._dom_classes
        return piece

    def draw(piece, show):
        return {"panes": [], "readings": [], "table": None, "caption": "done."}

    quick = Step("one", "", ("name",), lambda piece: [counting([], "quick")])
    slow = Step("two", "", ("name",), lambda piece: [View("slow", result, draw)])
    live = LiveForm(replace(FORM, steps=(quick, slow)), "metric")
    live.steps.value = 1
    assert seen == [(False, 0.0), (True, 0.5), (True, 0.9)]
    assert live.progress not in live.shown.children and caption(live) == "done."


def test_the_firings_say_how_far_they_are():
    shares = []
    fresh = replace(scenario("relief-tray"), about="fired with a bar", labour=1.0)
    one = plan(fresh)
    one.fire(shares.append)
    assert len(shares) >= 4 and shares == sorted(shares) and shares[-1] == 1.0
    # two firings: a share of each
    assert 0 < shares[0] < 0.5 and any(0.5 < share < 1 for share in shares)
    one.fire(shares.append)
    assert shares[-1] == 1.0 and len(shares) == len(set(shares))  # known already


def test_each_step_links_the_lessons_it_comes_from(live):
    pages = {path.name for path in _resources.lessons().glob("*.ipynb")}
    linked = []
    for step in FORM.steps:
        at(live, step.name)
        links = re.findall(r'<a href="([^"]+)"[^>]*>([^<]+)</a>', live.words.value)
        assert tuple(label for _, label in links) == step.lessons
        for page, label in links:
            assert page in pages and page.startswith(f"{label}-")
        linked += [label for _, label in links]
    assert set(linked) == {"1", "2", "3", "3b", "4", "4b", "5"}
    assert "From lessons" in live.form.steps[0].name or "From lessons" in at(live, "Piece").live.words.value


@pytest.mark.parametrize("name", SCENARIO)
def test_every_picture_of_every_step_is_drawn_in_both_systems(name):
    piece = scenario(name)
    for step in FORM.steps:
        for view in step.views(piece):
            shares = []
            result = view.result(piece, shares.append)
            assert shares == sorted(shares) and shares[-1] == 1.0
            for units in SYSTEMS:
                drawn = view.draw(result, Show(units))
                words = json.dumps([drawn["caption"], drawn["readings"], drawn["table"]])
                assert drawn["caption"].endswith(".") and not re.search(r"\b(nan|inf|None)\b", words)
                for pane in drawn["panes"]:
                    go.Figure(data=pane["data"], layout=pane["layout"])
                    assert pane["layout"]["height"] <= 460


def test_the_plan_says_the_lesson_of_each_sentence_and_what_is_not_possible():
    piece = scenario("bookend")
    (view,) = FORM.steps[NUMBER["Plan"]].views(piece)
    rows = view.draw(view.result(piece, lambda _: None), Show("metric"))["table"]["rows"]
    assert {row[0] for row in rows} == {"lesson 1", "lesson 2", "lesson 3", "lesson 4", "lesson 5"}
    # hand: pi 45/12 (90^2 + 90 x 130 + 130^2) = 432.4 ml, x 1.03 x 2.5 g/ml = 1113 g
    assert ["lesson 2", "The casting takes 1113 g of glass; 1081 g of it is in the finished piece."] in rows
    wall = replace(scenario("banner"), drape=replace(scenario("banner").drape, across=0.030))
    rows = view.draw(view.result(wall, lambda _: None), Show("metric"))["table"]["rows"]
    assert any(row[1].startswith("Not possible: ") for row in rows)


FIRING = {
    "metric": "Firing 2, slump: 10 h from cold to cold, up to 800 °C. It pulls the glass with up to 2 MPa "
    "(likely 1 to 4 MPa) of 3.5 MPa, and 0.3 MPa (likely 0.2 to 0.4 MPa) of 0.5 MPa stays.",
    # exact: 1 MPa = 145.04 psi; 800 °C = 1472 °F; 0.2 to 0.4 MPa are 29 to 58 psi, to one figure outwards
    "inches": "Firing 2, slump: 10 h from cold to cold, up to 1472 °F. It pulls the glass with up to 290 psi "
    "(likely 100 to 600 psi) of 508 psi, and 43.5 psi (likely 20 to 60 psi) of 72.5 psi stays.",
}
MOULD = {
    "metric": "30 mm thick. It takes 450 g of glass; as frit that is 300 ml, of which 120 ml do not "
    "fit below "
    "the line.",
    # exact: 30/25.4 = 1.181 in; 450/28.35 = 15.87 oz; 16.387 ml to the cubic inch: 18.3 and 7.32
    "inches": "1.18 in thick. It takes 15.9 oz of glass; as frit that is 18.3 in³, of which 7.32 in³ "
    "do not fit "
    "below the line.",
}


@pytest.mark.parametrize("units", SYSTEMS)
def test_captions_of_a_firing_and_a_mould(units):
    hours = np.array([0.0, 18000.0, 36000.0])
    firing = SimpleNamespace(time=hours, air=np.array([20.0, 800.0, 40.0]))
    pull = SimpleNamespace(
        firing=firing,
        most=2e6,
        allowed_tension=3.5e6,
        stays=0.3e6,
        allowed_residual=0.5e6,
        duration=36000.0,
        after=18000.0,
        tension=np.array([0.0, 2e6, 0.3e6]),
    )
    planned = SimpleNamespace(
        number=2,
        process="slump",
        pull=pull,
        likely=Bar(2e6, 1e6, 4e6, {}),
        likely_stays=Bar(0.3e6, 0.2e6, 0.4e6, {}),
        schedule=Schedule.from_text("100 C/h to 800 C, 10 min; 50 C/h to 40 C"),
    )
    drawn = pictures.firing((planned, "degF"), Show(units))
    assert drawn["caption"] == FIRING[units]
    assert drawn["table"]["rows"][0][:4] == [
        "1",
        "180 °F/h",
        "1472 °F",
        "10 min",
    ]  # the controller's unit, always
    mould = MouldSection(0.08, 0.12, 0.03), Filling(180e-6, 300e-6, 120e-6, 2.0), 0.450
    assert MOULD[units] in pictures.mould(mould, Show(units))["caption"]


def test_how_far_a_piece_lies_from_the_rim_of_the_shelf():
    # hand: (560 - 240)/2 = 160 and (460 - 180)/2 = 140 mm
    figure = pictures.on_the_shelf(from_above(scenario("relief-tray")), Show("metric"))
    assert figure["caption"] == (
        "relief tray, 240 mm by 180 mm, on the shelf of 560 mm by 460 mm, to scale. From the piece to the "
        "rim of the shelf: 160 mm at the ends, 140 mm at the sides."
    )
    piece = figure["panes"][0]["data"][1]
    assert [min(piece["x"]), max(piece["x"]), min(piece["y"]), max(piece["y"])] == pytest.approx(
        [160, 400, 140, 320], rel=1e-9
    )
    tall = replace(
        scenario("relief-tray"), size=(0.18, 0.4), laid=(), rods=(), frit=(), kiln=OwnKiln(shelf=(0.56, 0.36))
    )
    turned = pictures.on_the_shelf(
        from_above(replace(tall, slump=None, firings=tall.firings[:1])), Show("metric")
    )
    # hand: 400 mm do not lie across 360, so they lie along 560: (560 - 400)/2 = 80, (360 - 180)/2 = 90
    assert (
        "turned a quarter" in turned["caption"]
        and "80 mm at the ends, 90 mm at the sides" in turned["caption"]
    )


def test_a_firing_with_a_cell_is_shown_as_a_map_and_says_how_far_it_is():
    piece = scenario("relief-tray")
    mapped = replace(piece, firings=(piece.firings[0], replace(piece.firings[1], cell=0.012)))
    views = FORM.steps[NUMBER["Firings"]].views(mapped)
    assert [view.name for view in views][2:] == ["firing 2 as a map"]
    assert len(FORM.steps[NUMBER["Firings"]].views(piece)) == 2
    shares = []
    result = views[2].result(mapped, shares.append)
    assert len(shares) > 3 and shares == sorted(shares) and shares[-1] == 1.0
    laid, plan_of_it = result
    up = plan_of_it.firing.averaged_peak("heating")
    for units in SYSTEMS:
        drawn = views[2].draw(result, Show(units))
        # hand: 6.8 mm of sheets, and 3.4 mm of strips on them
        assert {"metric": "6.8 mm to 10.2 mm thick", "inches": "0.268 in to 0.402 in thick"}[units] in drawn[
            "caption"
        ]
        pull = up / 1e6 if units == "metric" else up / 6894.757  # exact: pascals in a psi
        assert (
            "firing 2, which begins with what the firing before left in it, pulls it with up to "
            f"{float(f'{pull:.3g}'):g} "
        ) in drawn["caption"]
    assert laid.map.shape == (15, 20)  # hand: 180/12 by 240/12


# ---------------------------------------------------------------------------------------------- other size


def test_another_size_scales_the_drawing_and_says_what_stays(live):
    live.begin.value = "door-sign"
    live.on_open()
    live.larger.value = "450"
    live.on_resize()
    assert "has no unit" in said(live.notes) and live.piece == scenario("door-sign")
    live.larger.value = "450 mm"
    live.on_resize()
    sign = scenario("door-sign")
    assert live.piece.size == pytest.approx((0.450, 0.135), rel=1e-12)  # exact: 1.5 times
    assert live.piece.holes[0].at == pytest.approx([1.5 * x for x in sign.holes[0].at], rel=1e-12)
    assert live.piece.holes[0].diameter == sign.holes[0].diameter
    assert live.piece.sheets == sign.sheets and live.piece.name == "door sign, 450 mm"
    assert live.file.value == "door-sign-450-mm.toml"
    # hand: 2.25 is the square of 1.5; two sheets of 3.2 mm
    assert "the square of 1.5 is 2.25" in said(live.notes)
    assert "The sheets stay 6.4 mm thick in all, so rates do not scale" in said(live.notes)
    live.on_undo()
    assert live.piece == sign


OTHER_SIZE = {
    # hand, twice as long: sheets 483 x 363 x 6.8 mm, strips 38016 mm2 x 3.4, rods 47520 mm2 x 2 pi/15 mm,
    # at 2.5 g/cm3, and 4 x 8.1 g of frit: 2980.6 + 323.1 + 49.8 + 32.4 = 3385.9 g; 3385.9/857 = 3.95.
    # Casting:
    # 8 x 1113.3 g
    "metric": "Drawn 2 times as long and as wide, the relief tray takes 3.39 kg of glass instead of "
    "857 g, 3.95 "
    "times as much; the bookend takes 8.91 kg instead of 1113 g, 8 times as much. The sheets of the "
    "relief tray stay "
    "6.8 mm thick, and its rates stay with them; the bookend becomes 90 mm thick.",
    # exact: 28.3495 g to the ounce, 16 oz to the pound
    "inches": "Drawn 2 times as long and as wide, the relief tray takes 7 lb 7.4 oz of glass instead of 1 lb "
    "14.2 oz, 3.95 times as much; the bookend takes 19 lb 10.2 oz instead of 2 lb 7.3 oz, 8 times as "
    "much. The sheets of "
    "the relief tray stay 0.268 in thick, and its rates stay with them; the bookend becomes 3.54 in thick.",
}


@pytest.mark.parametrize("units", SYSTEMS)
def test_the_panel_of_another_size(units):
    assert lesson6.other_size.picture(units, length=0.480)["caption"] == OTHER_SIZE[units]


def test_glass_goes_with_the_square_and_the_cube():
    bare = replace(scenario("relief-tray"), cold_work=None)
    for times in (0.5, 0.8, 1.25, 2.0):
        one = grown(bare, times)
        assert one.mass_after / one.mass_before == pytest.approx(times**2, rel=1e-6)  # exact: an area
        cast = grown(scenario("bookend"), times)
        assert cast.mass_after / cast.mass_before == pytest.approx(times**3, rel=1e-9)  # exact: a volume
        assert one.thickness_after == one.thickness_before
        assert cast.thickness_after == pytest.approx(0.045 * times, rel=1e-12)


def hours_and_rates(piece):
    firings = plan(piece).firings
    return [one.pull.duration / 3600 for one in firings], [one.schedule.segments[0].rate for one in firings]


def test_what_the_lesson_says_of_a_third_sheet_and_of_thick_strips():
    tray = scenario("relief-tray")
    hours, rates = hours_and_rates(tray)
    more, _ = hours_and_rates(replace(tray, sheets=(replace(tray.sheets[0], count=3),)))
    # regression, as the lesson says it: "an hour in each firing, or less"
    assert all(0.4 < after - before < 1.1 for before, after in zip(hours, more, strict=True))
    thick = tuple(replace(one, thickness=2 * one.thickness) for one in tray.laid)
    longer, slower = hours_and_rates(replace(tray, laid=thick))
    # regression: "cost nine hours and more, and both firings begin at about half the rate"
    assert all(after - before > 8.5 for before, after in zip(hours, longer, strict=True))
    assert all(0.43 < after / before < 0.57 for before, after in zip(rates, slower, strict=True))


def test_what_the_lesson_says_of_a_larger_casting():
    bookend = scenario("bookend")
    hours = [plan(scaled(bookend, times)).firings[0].pull.duration for times in (1.0, 1.5, 2.0)]
    # hand: cooling goes with the square of the thickness (lesson 4): 1.5 squared is 2.25, 2 squared is 4;
    # what does not, heating and the hold, is a small part
    assert hours[1] / hours[0] > 2 and 3 < hours[2] / hours[0] < 4.2


def test_a_sensor_that_is_off():
    glass, nbs = materials.glass("kiln glass A"), materials.glass("NBS 710")
    off = sensor_off(glass, nbs, 815.0)
    assert off.tolerance == pytest.approx(
        6.1125, rel=1e-12
    )  # published: EN 60584-1, 0.75 % of 815, from memory
    assert tolerance(100.0) == 2.5  # published: EN 60584-1, at least 2.5 °C, from memory
    ours, theirs = off.at_tolerance()
    # published: certificate of NBS 710, log10 = -2.626 + 4236.118/(T - 266), at the temperature of equal
    # viscosity
    equal = 4236.118 / (glass.log10_viscosity(815.0) + 2.626) + 266
    assert off.reference_temperature == pytest.approx(equal, rel=1e-9)
    faster = 10 ** (4236.118 / (equal - 266) - 4236.118 / (equal + 6.1125 - 266))
    assert theirs == pytest.approx(faster, rel=1e-4)
    assert ours == pytest.approx(theirs, rel=0.04)  # two soda-lime glasses
    assert off.faster[100] == pytest.approx(1.0, rel=1e-12)  # exact: nothing off
    slump = sensor_off(glass, nbs, 680.0)  # the lesson: five degrees are a quarter faster, or a fifth slower
    assert np.interp([5.0, -5.0], slump.off, slump.faster) == pytest.approx(
        [1.25, 0.8], abs=0.02
    )  # regression
    with pytest.raises(ValueError, match="temperature"):
        sensor_off(glass, nbs, 400.0)
    said_it = pictures.sensor(off, Show("inches"))["caption"]
    # exact: 815 °C = 1499 °F, 6.1125 x 1.8 = 11.0 °F
    assert "At 1499 °F a thermocouple of class 2 may be 11 °F off" in said_it
    assert (
        "At 815 °C a thermocouple of class 2 may be 6.11 °C off"
        in pictures.sensor(off, Show("metric"))["caption"]
    )


# ----------------------------------------------------------------------------------------------- exercises

BY_HAND = {
    # hand: (250 + 2 x 4) x (170 + 2 x 4) x 3 x 3.4 = 468 425 mm3, x 2.5; finished 250 x 170; one edge 254 x
    # 174
    ("6.1", "metric"): (
        {"length": "250 mm", "width": "170 mm", "draw_in": "2 mm", "trim": "2 mm", "sheets": "3"},
        1.171061,
        {"finished size": 1.08375, "one edge only": 1.126998, "one sheet": 0.390354},
    ),
    # hand: lost 2 x (3/32 + 3/32) = 3/8 in; 10.375 x 6.875 x 2 x 0.134 in3 x 1.445 oz = 27.6227 oz
    ("6.1", "inches"): (
        {"length": "10 in", "width": "6 1/2 in", "trim": "3/32 in"},
        27.62266 * 0.028349523,
        {
            "finished size": 10 * 6.5 * 2 * 0.134 * 1.445 * 0.028349523,
            "one edge only": 10.1875 * 6.6875 * 2 * 0.134 * 1.445 * 0.028349523,
            "one sheet": 13.81133 * 0.028349523,
        },
    ),
    # hand: 360/240 = 1.5; x 2.25, x 1.5, x 3.375, / 2.25
    ("6.2", "metric"): (
        {"longer": "360 mm", "mass": "820 g"},
        1.845,
        {"only longer": 1.23, "thickness too": 2.7675, "upside down": 0.364444},
    ),
    # hand: 14/9.5 = 1.473684; square 2.171745, cube 3.200467
    ("6.2", "inches"): (
        {"longer": "14 in", "mass": "28 oz"},
        28 * 2.171745 * 0.028349523,
        {
            "only longer": 28 * 1.473684 * 0.028349523,
            "thickness too": 28 * 3.200467 * 0.028349523,
            "upside down": 28 / 2.171745 * 0.028349523,
        },
    ),
    # hand: 10/3 = 3.33, so 4 loads of 19.5 + 15 = 34.5 h: 138 h; 115, 103.5, 78, 34.5 h
    ("6.3", "metric"): (
        {"students": "10", "shelf": "3", "fuse": "19 h 30 min"},
        138 * 3600,
        {
            "a part of a load": 115 * 3600,
            "the last ones left out": 103.5 * 3600,
            "fused only": 78 * 3600,
            "one load": 34.5 * 3600,
        },
    ),
    # hand: 260 x 170 x 6.8 mm3 x 2.5 = 751.4 g; + 250 g of water, half is 500.7 g, 3 times 1502.1 g
    ("6.4", "metric"): (
        {"length": "260 mm", "thickness": "6.8 mm", "hollow": "250 ml", "times": "3"},
        1.5021,
        {"empty": 1.1271, "both fixings": 3.0042, "no margin": 0.5007},
    ),
    # hand: 9.5 x 6.5 x 0.25 in3 x 1.445 oz = 22.30719 oz; 8 fl oz are 236.588 g or 8.34540 oz; half
    # 15.32629, x 4
    ("6.4", "inches"): (
        {"length": "9 1/2 in", "hollow": "8 US fl oz"},
        61.30518 * 0.028349523,
        {
            "empty": 44.61438 * 0.028349523,
            "both fixings": 122.61036 * 0.028349523,
            "no margin": 15.32629 * 0.028349523,
        },
    ),
}


@pytest.mark.parametrize(("key", "units"), BY_HAND)
def test_an_exercise_and_its_slips_by_hand(key, units):
    texts, right, slips = BY_HAND[key, units]
    asked = question(key)
    numbers = asked.numbers(units, {**asked.variant(units, 0).texts, **texts})
    assert asked.value(numbers) == pytest.approx(right, rel=2e-5)
    found = asked.slips(numbers)
    assert {name: slip.value for name, slip in found.items()} == pytest.approx(slips, rel=2e-5)
    for name, slip in found.items():
        typed = numbers.show.text(slip.value, asked.dimension)
        verdict = mark_numbers(asked, numbers, typed)
        assert (verdict.kind, verdict.slip) == ("slip", name), typed


WORKINGS = {
    "6.1": (
        "1. Each side loses 2 mm and 1.5 mm at either end, 7.0 mm in all.\n"
        "2. So the sheets are cut 247 mm by 187 mm.\n"
        "3. One of them weighs 247 mm × 187 mm × 3.4 mm × 2.5 g/cm3 = 393 g.\n"
        "4. 2 of them lie on each other.\n"
        "5. Answer: 785 g."  # hand: 247 x 187 x 3.4 x 2.5 = 392.6 g, twice 785.2 g
    ),
    "6.2": (
        "1. It is 300 mm / 240 mm = 1.25 times as long, and as wide.\n"
        "2. Its area is 1.25 × 1.25 = 1.562 times as large, and it is as thick as before.\n"
        "3. So it takes 1.562 × 860 g. The rates stay: they go with the thickness.\n"
        "4. Answer: 1344 g."  # hand: 1.5625 x 860 = 1343.75 g
    ),
    "6.3": (
        "1. 11 trays, 4 on a shelf: 2.75, so 3 loads.\n"
        "2. Each is in the kiln for 20 h 50 min and 15 h, 35 h 50 min together.\n"
        "3. 3 loads take 3 times as long.\n"
        "4. Answer: 108 h."  # hand: 3 x 35 h 50 min = 107 h 30 min
    ),
    "6.4": (
        "1. The glass: 250 mm × 170 mm × 6.4 mm × 2.5 g/cm3 = 680 g.\n"
        "2. With 300 g of water that is 980 g.\n"
        "3. A fixing carries half of it, 490 g; it is tried with 4 times that.\n"
        "4. Answer: 1960 g."  # hand: 272 cm3 x 2.5 = 680 g
    ),
}


@pytest.mark.parametrize("key", WORKINGS)
def test_a_whole_working_by_hand(key):
    asked = question(key)
    assert str(asked.worked(asked.variant("metric", 0))) == f"Working of exercise {key}\n{WORKINGS[key]}"


# -------------------------------------------------------------------------------------------------- words


def test_a_message_has_no_marks_of_the_file_format():
    assert plain('there is [slump], but no firing whose process is "slump"') == (
        'there is “slump”, but no firing whose process is "slump"'
    )
    with pytest.raises(ProjectError) as found:
        Project.from_text('name = "x"\nglass = "float"\n[[sheet]]\nthickness = "3 mm"\n')
    assert "[[" in str(found.value) and "[[" not in plain(str(found.value))


def test_a_box_is_called_what_its_field_is():
    assert explained(Slump)["span"] == "width of the mould between its ledges, across the piece"
    assert explained(Slump)["rim"] == "how the sheet lies on the mould"


def test_the_form_on_the_page_says_how_to_bring_it_back():
    box = show(FORM, "inches")
    assert repr(box).startswith(FORM.title) and "Run All Cells" in repr(box)
    assert {"kilncalc-panel", "kilncalc-form"} <= set(box._dom_classes)
