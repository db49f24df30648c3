"""The pages of a piece to print: clock times, both units, limits of a controller, scale, what is left out."""

import datetime
import html
import json
import math
import os
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import Polygon

from kilncalc import cli
from kilncalc.classroom import card, paper_drawings
from kilncalc.firing import Kiln
from kilncalc.kiln_turns import turns
from kilncalc.plan import plan
from kilncalc.plan_bodies import map_of
from kilncalc.plan_changes import compare
from kilncalc.plan_views import from_above
from kilncalc.project import SCENARIO, Project, scenario
from kilncalc.project_parts import Bond, Fired
from kilncalc.quantities import Show
from kilncalc.schedule import Schedule, Segment

ROOT = Path(__file__).resolve().parent.parent
CHROMIUM = Path(os.environ.get("KILNCALC_CHROMIUM", "/usr/bin/chromium"))
PNG = bytes.fromhex(
    "89504e470d0a1a0a0000000d494844520000000100000001080000000"
    "03a7e9b550000000a49444154789c6360000000020001e221bc330000000049454e44ae426082"
)
RUN = Schedule((Segment(100, 820, 10), Segment(None, 515, 60), Segment(60, 40)))


def words(page: str) -> str:
    """Return what a person reads: no tags, one space between words."""
    return " ".join(html.unescape(re.sub(r"<style>.*?</style>|<[^>]+>", " ", page, flags=re.DOTALL)).split())


def rows(page: str) -> list[list[str]]:
    """Return the cells of the first programme."""
    table = re.search(r'<table class="program">.*?</table>', page, re.DOTALL)[0]
    found = re.findall(r"<tr>(.*?)</tr>", table, re.DOTALL)
    return [[words(cell) for cell in re.findall(r"<td.*?>(.*?)</td>", row, re.DOTALL)] for row in found][1:]


# ------------------------------------------------------------------------------------------- the rods


@pytest.mark.parametrize("directions", [1, 2, 3])
def test_a_rod_lies_where_it_lies_on_paper_on_the_screen_and_in_the_map(directions):
    tray = scenario("relief-tray")
    rods = replace(tray.rods[0], directions=directions, at=(0.03, 0.03), size=(0.09, 0.06))
    firings = (tray.firings[0], replace(tray.firings[1], cell=0.001))
    piece = replace(tray, laid=(), frit=(), rods=(rods,), firings=firings)
    at = paper_drawings._Sheet(0.0, 0.0, 0.18, 1.0)
    paths = [one for one in paper_drawings._piece(piece, at, 2) if 'class="piece"' not in one]
    ends = [[float(x) for x in re.findall(r"-?[0-9.]+", one.split('"')[1])] for one in paths]
    middles = sorted((round((a + c) / 2e3, 5), round(0.18 - (b + d) / 2e3, 5)) for a, b, c, d in ends)
    (drawn,) = from_above(piece).parts
    centres = sorted(
        (round(where.x, 5), round(where.y, 5)) for where in (Polygon(one).centroid for one in drawn.outlines)
    )
    assert len(middles) == len(centres)
    assert np.array(middles) == pytest.approx(np.array(centres), rel=0, abs=2e-5)
    # hand: 60 mm hold 4 rods 15 mm apart along the field, 90 mm 6 across it
    assert {1: 4, 2: 10}.get(directions, len(middles)) == len(middles)
    total = sum(math.hypot(c - a, d - b) for a, b, c, d in ends)
    # exact: so many metres as the area divided by the pitch, in each direction; rods come in whole numbers
    assert total / 1e3 == pytest.approx(directions * 0.09 * 0.06 / 0.015, rel=0.1)
    relief = map_of(piece, 2).map.thickness - 0.0068
    for x, y in centres:
        assert relief[int(y * 1e3), int(x * 1e3)] > 0.0009  # a cell that a rod of 2 mm crosses


# ------------------------------------------------------------------------------------------- the clock


def test_a_kiln_that_follows_keeps_the_schedule_s_own_times():
    up = Schedule((Segment(150, 545, 30), Segment(100, 20)))
    first, second = turns(up, Kiln())
    assert (first.begins, first.arrives, first.ends) == (
        0.0,
        3.5 * 3600,
        4 * 3600,
    )  # hand: 525/150 h, + 1/2 h
    assert second.ends == pytest.approx((4 + 525 / 100) * 3600, rel=1e-12)  # hand


def test_a_kiln_that_is_slower_than_the_schedule_arrives_late():
    asked = Schedule((Segment(None, 620), Segment(None, 220)))
    kiln = Kiln(fastest_heating=200, cooling_time=3 * 3600)
    up, down = turns(asked, kiln)
    assert up.arrives == pytest.approx(3 * 3600, rel=1e-12)  # hand: 600 K at 200 °C/h
    # exact: (T - room) falls as exp(-t/3 h), from 600 to 200 K above the room
    assert down.arrives - up.ends == pytest.approx(3 * 3600 * math.log(3), rel=1e-12)


@pytest.mark.parametrize("name", SCENARIO)
def test_the_clock_ends_with_the_firing(name):
    for one in plan(scenario(name)).firings:
        kiln = Kiln(cooling_time=scenario(name).kiln.cooling_time)
        assert turns(one.schedule, kiln)[-1].ends == pytest.approx(one.pull.duration, rel=1e-6)


def small(controller: str = "°C", segments: int = 8) -> Project:
    """Return a tile of one sheet, to write little."""
    return Project.from_text(
        f"""
        name = "tile"
        glass = "kiln glass A"
        size = ["100 mm", "80 mm"]
        [[sheet]]
        thickness = "4 mm"
        [[firing]]
        process = "fire polish"
        look_for = "edges glossy"
        [kiln]
        shelf = ["300 mm", "300 mm"]
        controller = "{controller}"
        segments = {segments}
        cooling_time = "3 h"
        """
    )


def test_times_of_the_card_go_over_midnight():
    made = plan(small())
    first = made.firings[0].schedule.segments[0]
    page = card.card(made, Show("metric"), datetime.datetime(2026, 3, 6, 23, 0))
    takes = (first.target - 20) / first.rate * 60  # hand: minutes to the first target
    there = datetime.datetime(2026, 3, 6, 23, 0) + datetime.timedelta(minutes=round(takes))
    assert there.day == 7
    assert rows(page)[0][4].startswith(f"Sat {there:%H:%M}")  # 6 March 2026 is a Friday: calendar
    assert "Start Fri 23:00" in words(page)


def test_without_a_start_times_count_from_zero():
    made = plan(small())
    first = made.firings[0].schedule.segments[0]
    minutes = round((first.target - 20) / first.rate * 60)  # hand
    page = card.card(made, Show("metric"))
    assert rows(page)[0][4].startswith(f"{minutes // 60}:{minutes % 60:02d}")
    assert "______ o'clock" in words(page)


# ----------------------------------------------------------------------------------------- both units


@pytest.mark.parametrize("controller", ["°C", "°F"])
def test_the_controller_s_own_unit_is_large_and_the_other_small(controller):
    made = plan(small(controller))
    page = card.card(made, Show("metric"))
    segment = made.firings[0].schedule.segments[0]
    celsius = f"{segment.target:.0f} °C"
    fahrenheit = f"{segment.target * 1.8 + 32:.0f} °F"  # exact: definition of the degree Fahrenheit
    large, little = (celsius, fahrenheit) if controller == "°C" else (fahrenheit, celsius)
    assert rows(page)[0][2] == f"{large} {little}"
    assert f'<span class="big">{large}</span>' in page
    assert f'<span class="small">{little}</span>' in page
    rate_c, rate_f = f"{segment.rate:.3g} °C/h", f"{segment.rate * 1.8:.3g} °F/h"  # exact: no 32 in a rate
    assert rows(page)[0][1] == (f"{rate_c} {rate_f}" if controller == "°C" else f"{rate_f} {rate_c}")
    assert f"counts in {controller} and" in words(page)


def test_the_last_line_switches_off_and_a_free_one_says_full():
    page = card.card(plan(small()), Show("metric"))
    cells = rows(page)
    assert cells[-1][1] == "off"
    assert any(row[1] == "full" for row in cells[:-1])
    assert "full: as fast as the kiln does" in words(page)


def test_sizes_follow_the_units_of_the_page_and_not_of_the_controller():
    page = words(card.card(plan(small("°F")), Show("inches")))
    assert "Piece 3 15/16 in by 3.15 in, shelf 11 13/16 in by 11 13/16 in" in page  # hand: / 25.4
    assert "This line is 2 in long" in page


def test_too_many_segments_for_the_controller_are_said():
    made = plan(small())
    one = made.firings[0]
    long = replace(one, schedule=Schedule(tuple(Segment(100, 60 + 50 * n) for n in range(9))))
    made.__dict__["firings"] = (long,)
    page = words(card.card(made, Show("metric")))
    assert "The schedule has 9 segments, the controller holds 8" in page
    assert "holds 8 segments; this takes 9." in page


def test_when_to_look_is_the_hold_at_the_top():
    made = plan(small())
    segments = made.firings[0].schedule.segments
    top = max(range(len(segments)), key=lambda n: segments[n].target)
    page = card.card(made, Show("metric"))
    there, until = rows(page)[top][4].split()
    assert f"Look from {there} to {until}, at the top : edges glossy." in words(page).replace(
        "top: edges", "top : edges"
    )


def test_what_a_thermocouple_s_error_does_is_said():
    made = plan(small())
    one = made.firings[0]
    page = words(card.card(made, Show("metric")))
    low, high = (each / one.fluidity for each in one.fluidity_range)
    assert low < 1 < high
    assert f"A thermocouple 6 °C off makes the glass flow {low:.2f} to {high:.2f} times as far." in page


# ------------------------------------------------------------------------------------------ the pages


@pytest.mark.parametrize("name", SCENARIO)
@pytest.mark.parametrize("units", ["metric", "inches"])
def test_every_piece_of_the_class_has_its_card_and_sheet(name, units):
    made, show = plan(scenario(name)), Show(units)
    page = card.card(made, show)
    assert page.count('<table class="program">') == len(made.firings)
    for one in made.firings:
        for segment in one.schedule.segments:
            assert segment.reason in words(page)
    for sentence in card.READY:
        assert sentence in words(page)
    sheet = card.sheet(made, show)
    pictures = sheet.count("<svg")
    steps = len(re.findall(r"<h2>\d+\. ", sheet))
    assert pictures >= 1 + 2 * len(made.firings)
    assert steps >= 2 + 2 * len(made.firings)
    assert "Half as large again" in words(sheet)
    thick = {"metric": r"\d mm by \d", "inches": r"\d in by \d"}
    shelf = words(page).split("Scale 1 :")[1]
    assert re.search(thick[units], shelf)
    assert not re.search(thick["inches" if units == "metric" else "metric"], shelf)


def test_warnings_belong_to_the_process():
    banner = card.card(plan(scenario("banner")), Show("metric")).split('class="sheet"')
    assert "sealed hollow" not in banner[1]
    assert "sealed hollow" in banner[2]
    cast = words(card.card(plan(scenario("bookend")), Show("metric")))
    assert "dry by weight" in cast
    for page in (*map(words, banner[1:3]), cast):
        assert "1450 typed into a controller" in page
        assert "licensed electrician" in page


SHEET_CAUTIONS = {
    "all": (
        *("infrared", "mains off before reaching in", "licensed electrician"),
        *("somebody who may switch off", "°C or °F", "type K by 6 °C", "aid to judgement", "sharps bin"),
        *("never toughened glass", r"P3/N100", "local rules", "cadmium, selenium or lead", "tested products"),
    ),
    "banner": ("sealed hollow", "vent open", "residual-current", "drip loop", "not over beds"),
    "bookend": ("dry by weight", "A tray stands under it", "residual-current"),
    "door-sign": ("vent open", "residual-current", "Piece clamped", "not over beds"),
    "relief-tray": ("vent open", "residual-current"),
}
"""Common practice, no source: what the work of each piece can hurt."""


@pytest.mark.parametrize("name", SCENARIO)
def test_a_sheet_has_the_cautions_of_its_piece_and_no_others(name):
    cautions = words(card.sheet(plan(scenario(name)), Show("metric"))).split("Cautions")[-1]
    for needed in (*SHEET_CAUTIONS["all"], *SHEET_CAUTIONS[name]):
        assert re.search(needed, cautions), needed
    if name != "banner":
        assert "sealed hollow" not in cautions
    if name in ("bookend", "relief-tray"):
        assert "beds" not in cautions


def test_what_hangs_says_so_on_its_card_too_and_glue_is_warned_of():
    hung = words(card.card(plan(scenario("banner")), Show("metric")))
    assert "not over beds, seats or sockets" in hung.split("Ready to leave")[0]
    assert "Cold adhesive" not in hung
    tray = scenario("relief-tray")
    glued = replace(tray, bond=Bond(bead=0.004, length=0.08, gap=0.0005))
    assert "Cold adhesive: window open, full cure" in words(card.card(plan(glued), Show("metric")))


@pytest.mark.parametrize(
    ("name", "step", "firing"),
    [("relief-tray", "The mould", "slump"), ("banner", "The sleeve", "drape and bond")],
)
def test_what_forms_is_made_before_it_is_fired_over(name, step, firing):
    sheet = words(card.sheet(plan(scenario(name)), Show("metric")))
    made, laid, fired = (
        re.search(rf"\d\. {title}", sheet).start()
        for title in (step, f"Lay it for the {firing}", f"Fire it: {firing}")
    )
    assert made < laid < fired
    assert len(re.findall(rf"\d\. {step}", sheet)) == 1


def test_the_checklist_is_that_of_lesson_5():
    cells = json.loads((ROOT / "lessons/5-cold-working.ipynb").read_text(encoding="utf-8"))["cells"]
    (cell,) = [one for one in cells if "".join(one["source"]).startswith("## Ready to leave the workshop")]
    asked = re.findall(r"- \[ \] (.*)", "".join(cell["source"]))
    assert tuple(asked) == card.READY


def test_what_a_file_says_is_text_and_nothing_else():
    nasty = "<script>alert(1)</script>"
    piece = small()
    made = plan(
        replace(
            piece,
            name=nasty,
            about=nasty,
            firings=(replace(piece.firings[0], look_for=nasty),),
            kiln=replace(piece.kiln, name=nasty),
            sheets=(replace(piece.sheets[0], name=nasty),),
            fired=(Fired(date=datetime.date(2026, 3, 6), segments=RUN, finding=nasty, next_time=nasty),),
        )
    )
    show = Show("metric")
    for page in (card.card(made, show), card.sheet(made, show), card.record(made.project, show)):
        assert "<script" not in page
        assert "alert(1)" in page
        assert "http:" not in page
        assert "https:" not in page
        assert "default-src 'none'" in page


# ------------------------------------------------------------------------------------------ the record


def fired(folder: Path) -> Project:
    (folder / "first.png").write_bytes(PNG)
    return replace(
        scenario("relief-tray"),
        kiln=replace(scenario("relief-tray").kiln, name="kiln of Quentin"),
        fired=(
            Fired(
                date=datetime.date(2026, 3, 6),
                segments=RUN,
                log="log-of-Quentin.csv",
                before=("first.png",),
                finding="one corner lifted",
                next_time="ten minutes more",
            ),
        ),
    )


def test_a_record_says_what_was_fired_and_leaves_out_names_files_and_costs(tmp_path):
    page = card.record(fired(tmp_path), Show("metric"), tmp_path)
    said = words(page)
    assert "100 °C/h (180 °F/h) 820 °C (1508 °F) 10 min" in said  # exact: x 1.8, and + 32
    assert "as fast as the kiln does" in said
    assert "one corner lifted" in said
    assert "ten minutes more" in said
    assert "2026-03-06" in said
    assert page.count("data:image/png;base64,") == 1
    for planted in ("Quentin", "first.png", "€", "kWh", "price", "cost"):
        assert planted not in page
    assert "°C or °F before you type" in page and "aid to judgement" in page  # others are to repeat it


def test_a_firing_of_the_record_is_set_beside_the_one_before_of_its_kind():
    runs = [
        replace(RUN, segments=(replace(RUN.segments[0], hold_min=hold), *RUN.segments[1:]))
        for hold in (10, 20, 30)
    ]
    days = tuple(
        Fired(date=datetime.date(2026, 3, day), firing=firing, segments=run)
        for day, firing, run in ((1, 2, runs[0]), (2, 1, runs[1]), (3, 2, runs[2]))
    )
    said = words(card.record(replace(scenario("banner"), fired=days), Show("metric")))
    assert said.count("Beside that of") == 1
    last = said[said.index("Drape and bond, 2026-03-03") :]
    held = "Segment 1: 100 °C/h to 820 °C, 30 min instead of 100 °C/h to 820 °C, 10 min."
    assert f"Beside that of 2026-03-01: {held}" in last
    # exact: as "compare" says it
    for sentence in compare(scenario("banner"), days[0], days[2]).differences(Show("metric")):
        assert sentence in last


def test_binder_and_glue_burn_off_where_sheets_lie_loose():
    tray = plan(scenario("relief-tray"))
    first, second = (words(card._firing(one, tray, Show("metric"), None)) for one in tray.firings)
    assert tray.firings[0].piece.loose and "While binder, glue or paper burn off" in first
    assert not tray.firings[1].piece.loose and "While binder, glue or paper burn off" not in second


def test_a_part_is_drawn_from_its_own_firing_on():
    tray = scenario("relief-tray")
    later = replace(tray, laid=(replace(tray.laid[0], firing=2), *tray.laid[1:]))
    drawn = [
        paper_drawings.on_the_shelf(later, Show("metric"), until).count('fill="#ddd"') for until in (0, 1, 2)
    ]
    assert drawn == [0, 3, 4]


def test_a_hole_is_drawn_to_scale():
    sign = scenario("door-sign")
    drawn = paper_drawings.whole_piece(sign, Show("metric"))
    # hand: 1.2 x 300 mm = 360 on 165 mm is 1 : 3; a hole of 8 mm has a radius of 4/3 mm on paper
    assert "1 to 3" in drawn and re.findall(r'<circle [^>]*r="([0-9.]+)"', drawn) == ["1.33"] * 4


def test_a_record_without_a_firing_and_photographs_that_are_none(tmp_path):
    with pytest.raises(ValueError, match="nothing of banner has been fired yet"):
        card.record(scenario("banner"), Show("metric"))
    piece = fired(tmp_path)
    (tmp_path / "first.png").write_text("not a picture")
    with pytest.raises(card.PictureError, match=r"first\.png is no photograph that can be printed"):
        card.record(piece, Show("metric"), tmp_path)
    (tmp_path / "first.png").write_bytes(PNG + b"\0" * 9_000_000)
    with pytest.raises(card.PictureError, match=r"first\.png has 9 MB; up to 8 MB"):
        card.record(piece, Show("metric"), tmp_path)
    (tmp_path / "first.png").unlink()
    with pytest.raises(card.PictureError, match="there is no photograph"):
        card.record(piece, Show("metric"), tmp_path)


# ----------------------------------------------------------------------------------------- the command


def test_the_command_writes_beside_the_piece_and_never_over_a_page(tmp_path, capsys):
    piece = tmp_path / "tile.toml"
    small("°F").write(piece)
    assert cli.main(["card", str(piece), "--start", "2026-03-06 19:30"]) == 0
    made = tmp_path / "tile-card.html"
    assert "Start Fri 19:30" in words(made.read_text(encoding="utf-8"))
    made.write_text("mine", encoding="utf-8")
    assert cli.main(["card", str(piece)]) == 2
    assert made.read_text(encoding="utf-8") == "mine"
    assert "already" in capsys.readouterr().err
    assert cli.main(["card", str(piece), "--sheet", "--units", "inches"]) == 0
    assert "3 15/16 in" in words((tmp_path / "tile-sheet.html").read_text(encoding="utf-8"))
    assert cli.main(["card", str(piece), "--record"]) == 2
    assert "nothing of tile has been fired yet" in capsys.readouterr().err


def test_the_command_says_what_is_wrong_with_a_piece_by_its_line(tmp_path, capsys):
    piece = tmp_path / "tile.toml"
    piece.write_text('name = "tile"\nglas = "kiln glass A"\n', encoding="utf-8")
    assert cli.main(["card", str(piece)]) == 2
    said = capsys.readouterr().err
    assert "tile.toml, line 2" in said
    assert '"glass"' in said
    with pytest.raises(SystemExit):
        cli.main(["card", str(piece), "--start", "half past seven"])
    assert 'is no time; write "19:30"' in capsys.readouterr().err


# ------------------------------------------------------------------------------------------- the scale


def test_a_drawing_takes_the_largest_scale_that_fits():
    assert paper_drawings.scale_for(0.16, 0.10) == 1  # hand: 160 x 100 mm on 165 x 105
    assert paper_drawings.scale_for(0.56, 0.46) == 5  # hand: 112 x 92; at 1 : 4 115 mm is too high
    assert paper_drawings.scale_for(9.0, 1.0) == 55  # hand: 9000/165 = 54.5, beyond the list


@pytest.fixture(scope="module")
def printed():
    if not CHROMIUM.exists():
        pytest.skip(f"no browser at {CHROMIUM}")
    from playwright.sync_api import sync_playwright

    page = card.card(plan(small()), Show("metric"))
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=str(CHROMIUM),
            args=[
                "--no-sandbox",
                "--disable-gpu",
                "--disable-quic",
                "--no-first-run",
                "--disable-sync",
                "--disable-background-networking",
                "--disable-component-update",
            ],
        )
        tab = browser.new_page()
        tab.set_content(page)
        made = {paper: tab.pdf(format=paper) for paper in ("A4", "Letter")}
        for units, paper in (("metric", "A4"), ("inches", "Letter")):
            tab.set_content(card.card(plan(scenario("door-sign")), Show(units)))
            made[f"door sign, {paper}"] = tab.pdf(format=paper)
        browser.close()
    return made


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_what_is_drawn_is_to_scale_on_paper(printed, paper, tmp_path):
    pdfplumber = pytest.importorskip("pdfplumber")
    path = tmp_path / "card.pdf"
    path.write_bytes(printed[paper])
    mm = 72 / 25.4
    with pdfplumber.open(path) as pdf:
        width = {"A4": 210.0, "Letter": 215.9}[paper]  # published: ISO 216; ANSI/ASME Y14.1
        assert pdf.pages[0].width / mm == pytest.approx(width, abs=0.5)
        sides = sorted(
            max(abs(one["x1"] - one["x0"]), abs(one["bottom"] - one["top"])) / mm
            for page in pdf.pages
            for one in (*page.lines, *page.curves, *page.rects)
        )
    near = lambda wanted: min(abs(side - wanted) for side in sides) / wanted  # noqa: E731
    assert near(50.0) < 0.01  # the line to measure by
    # hand: shelf 300 x 300 mm at 1 : 3 is 100 mm (105 mm are there), a piece 100 mm long is 33.3
    assert near(100.0) < 0.01
    assert near(100.0 / 3) < 0.01


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_card_is_a_leaf_for_each_firing_and_a_page_for_what_comes_after(printed, paper, tmp_path):
    pdfplumber = pytest.importorskip("pdfplumber")
    path = tmp_path / "card.pdf"
    path.write_bytes(printed[f"door sign, {paper}"])
    with pdfplumber.open(path) as pdf:
        heads = [page.extract_text().splitlines()[0] for page in pdf.pages]
        assert len(heads) == 2 * len(scenario("door-sign").firings) + 1
        assert heads[0].startswith("door sign — firing 1 of 2") and heads[2].startswith(
            "door sign — firing 2"
        )
        last = pdf.pages[-1].extract_text()
    assert heads[-1] == "door sign — after the kiln" and "food, hot liquids, glazing." in last
