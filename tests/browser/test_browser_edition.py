"""The lessons in a browser alone: a site made by `.ci/browser-edition`, and nothing else to be reached."""

import csv
import functools
import http.server
import json
import math
import os
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from conftest import ARGUMENTS, CHROMIUM, SECONDS, keep
from firefox import ENTER, FIREFOX, Firefox

from kilncalc import cli
from kilncalc.exercises import question
from kilncalc.quantities import as_text

NAMED = os.environ.get("KILNCALC_SITE", "")
SITE = Path(NAMED)
pytestmark = pytest.mark.skipif(
    not NAMED, reason="KILNCALC_SITE names no site; `.ci/browser-edition FOLDER` makes one"
)
ELSEWHERE = "lessons.test"
"""A name for this machine other than localhost: over http a kernel cannot reach what is kept there."""
BLOCKED = f"--host-resolver-rules=MAP {ELSEWHERE} 127.0.0.1, MAP * ~NOTFOUND, EXCLUDE localhost"
SHAPES = Path(__file__).parent / "shapes.py"
DRAWN = ".kilncalc-panel :is(.main-svg, .kilncalc-reading, .kilncalc-guess)"


class Files(http.server.SimpleHTTPRequestHandler):
    """Hands out files, as any web server does."""

    def log_message(self, *_arguments):
        """Say nothing."""


@pytest.fixture(scope="module")
def port():
    """The site at an address of its own."""
    assert (SITE / "lab/index.html").is_file(), f"{SITE} holds no site"
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Files, directory=SITE))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield server.server_port
    server.shutdown()


class Visitor:
    """A browser with a memory of its own: what it keeps outlasts it."""

    def __init__(self, playwright, port, folder):
        self.playwright, self.port, self.folder = playwright, port, folder
        self.asked_outside = []
        self.open()

    def open(self):
        """Start it, as on another day."""
        self.context = self.playwright.chromium.launch_persistent_context(
            self.folder,
            executable_path=CHROMIUM,
            args=[*ARGUMENTS, BLOCKED],
            viewport={"width": 1366, "height": 768},
            accept_downloads=True,
        )
        self.context.set_default_timeout(SECONDS * 1000)
        self.context.on("request", self._count)

    def _count(self, request):
        ours = (f"http://localhost:{self.port}/", f"http://{ELSEWHERE}:{self.port}/")
        if not request.url.startswith((*ours, "data:", "blob:", "attachment:")):
            self.asked_outside.append(request.url)

    def lesson(self, name, host="localhost", state="alive"):
        """Open a lesson and wait until it is alive."""
        page = self.context.new_page()
        page.goto(f"http://{host}:{self.port}/lab/index.html?path={name}")
        page.wait_for_selector(f".kilncalc-bar[data-state={state}]")
        keep(page, f"browser-edition-{name}")
        return page


@pytest.fixture(scope="module")
def playwright():
    """Playwright, for browsers with a folder of their own."""
    if not CHROMIUM.is_file():
        pytest.skip(f"no browser at {CHROMIUM}; install Debian's chromium or name one in KILNCALC_CHROMIUM")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as started:
        yield started


@pytest.fixture
def visitor(playwright, port, tmp_path):
    """A browser that has never been here, and afterwards: whether it asked for anything elsewhere."""
    made = Visitor(playwright, port, tmp_path / "browser")
    yield made
    made.context.close()
    assert made.asked_outside == []


def in_kernel(page, code):
    """Run code in the kernel of a page, and return what it prints."""
    return page.evaluate(
        """async code => {
          const { kernel } = jupyterapp.shell.currentWidget.sessionContext.session;
          const asked = kernel.requestExecute({ code, store_history: false });
          let said = '';
          asked.onIOPub = ({ content }) => said += content.text ?? content.evalue ?? '';
          await asked.done;
          return said;
        }""",
        code,
    )


def kept(page, file):
    """Return what the browser keeps of a file."""
    return page.evaluate(
        """async file => (await jupyterapp.serviceManager.contents.get(
          file, { type: 'file', format: 'text', content: true }).catch(() => null))?.content""",
        file,
    )


def wait_until_kept(page, file, words):
    """Wait until the browser keeps a file in which these words stand."""
    late = time.monotonic() + SECONDS
    while words not in (kept(page, file) or ""):
        assert time.monotonic() < late, (file, kept(page, file))
        page.wait_for_timeout(100)


def say_who(page, student):
    """Type an id into the box of lesson 0."""
    page.locator(".kilncalc-exercise input").first.fill(student)
    page.keyboard.press("Enter")
    page.get_by_text(f"Student {student};").wait_for()


def answer(page, key, text):
    """Type an answer into the box of an exercise, and return what is said of it."""
    box = page.locator(".kilncalc-exercise").filter(has_text=f"Exercise {key}")
    box.locator("input").fill(text)
    page.keyboard.press("Enter")
    box.get_by_text("Answers so far").wait_for()
    return box.inner_text()


def right_answer(key, student):
    """The right answer, in words, to an exercise with the numbers of that student."""
    asked = question(key)
    numbers = asked.numbers_for(student, "metric")
    return as_text(asked.value(numbers), asked.dimension, "metric")


def results(folder, to, capsys):
    """What `kilncalc results` makes of a folder that was handed in, by student and exercise."""
    roster = to / "class.csv"
    to.mkdir()
    roster.write_text("id\nS04\nS05\n", encoding="utf-8")
    assert cli.main(["results", str(roster), str(folder), "--to", str(to / "results")]) == 0
    assert "problem" not in capsys.readouterr().err
    with (to / "results/results.csv").open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def shapes_here():
    """What shapely itself says of the shapes of shapes.py."""
    done = subprocess.run([sys.executable, str(SHAPES)], capture_output=True, check=True, timeout=SECONDS)
    return json.loads(done.stdout)


def assert_the_same(expected, found):
    """Lists of words, yes and no, and numbers, which may differ by rounding."""
    assert len(expected) == len(found) > 2000
    for one, other in zip(expected, found, strict=True):
        assert [type(each) for each in one] == [type(each) for each in other], (one, other)
        for ours, theirs in zip(one, other, strict=True):
            numbers = isinstance(ours, float) and not math.isnan(ours)
            same = (
                math.isclose(ours, theirs, rel_tol=1e-9, abs_tol=1e-12)
                if numbers
                else str(ours) == str(theirs)
            )
            assert same, (one, other)


def keys(answers):
    """Which exercises a file of answers has, in order, below its heading."""
    return [line.split(",")[1] for line in answers.splitlines()]


def hand_in(page, to):
    """Press Hand in, and save what the browser downloads."""
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Hand in").click()
    assert waiting.value.suggested_filename == "answers_S04.csv"
    waiting.value.save_as(to / "answers_S04.csv")


def test_lessons_open_alive_and_an_answer_is_handed_in(visitor, tmp_path, capsys):
    for name, least in (("4-schedules.ipynb", 3), ("2-volume-to-weight.ipynb", 4)):
        page = visitor.lesson(name)
        assert page.locator(DRAWN).count() >= least
        assert page.locator(".jp-CodeCell .jp-Cell-inputWrapper:visible").count() == 0, "no code in sight"
        assert page.locator(".jp-DirListing:visible").count() == 0, "nor a list of files"
        if name.startswith("4"):
            assert_the_same(shapes_here(), json.loads(in_kernel(page, SHAPES.read_text(encoding="utf-8"))))
        page.close()
    page = visitor.lesson("0-start-here.ipynb")
    say_who(page, "S04")
    assert "Right" in answer(page, "0.1", right_answer("0.1", "S04"))
    hand_in(page, tmp_path / "in")
    found = {row["id"]: row for row in results(tmp_path / "in", tmp_path / "out", capsys)}
    assert (found["S04"]["state"], found["S04"]["tries"]) == ("right", "1")
    assert found["S05"]["state"] == "missing"


@pytest.mark.slow
def test_every_lesson_runs_to_its_end_and_each_of_its_panels_is_drawn(visitor):
    for path in sorted((SITE / "files").glob("*.ipynb")):
        page = visitor.lesson(path.name)
        for panel in page.locator(".kilncalc-panel-cell").all():
            panel.dispatch_event("kilncalc-unfold", {"bubbles": True})
            panel.scroll_into_view_if_needed()  # some are drawn when a reader comes near them
            panel.locator(DRAWN.partition(" ")[2]).first.wait_for()
        assert page.locator("[data-mime-type='application/vnd.jupyter.stderr']").count() == 0, path.name
        assert page.locator(".kilncalc-message:visible").count() == 0, path.name
        page.close()


@pytest.mark.slow
def test_a_step_s_link_to_the_lesson_it_comes_from_opens_that_lesson(visitor):
    page = visitor.lesson("6-whole-piece.ipynb")
    link = page.locator(".kilncalc-page a[target=_blank][href$='.ipynb']").first
    wanted = link.get_attribute("href")
    link.evaluate("link => link.click()")  # its step may be folded
    page.wait_for_function(
        "name => jupyterapp.shell.currentWidget.context?.path === name", arg=wanted, polling=200
    )
    assert len(visitor.context.pages) == 2, "no tab of its own, beside the empty one of the start"
    page.locator(".kilncalc-bar:visible[data-state=alive]").wait_for()


@pytest.mark.slow
def test_answers_are_kept_over_plain_http_as_the_page_says_and_found_by_another_lesson_on_another_day(
    visitor, tmp_path
):
    page = visitor.lesson("0-start-here.ipynb", ELSEWHERE)
    assert page.evaluate("() => isSecureContext") is False
    warning = page.locator(".kilncalc-page").inner_text()
    assert "keeps your answers only while it has room for them" in warning, "before anything is typed"
    say_who(page, "S04")
    answer(page, "0.1", "1 g")
    wait_until_kept(page, "answers.csv", "1 g")
    visitor.context.close()
    visitor.open()
    page = visitor.lesson("2-volume-to-weight.ipynb", ELSEWHERE)
    beside = visitor.lesson("0-start-here.ipynb", ELSEWHERE)
    assert "Right" in answer(page, "2.1", right_answer("2.1", "S04")), "the numbers of S04"
    box = beside.locator(".kilncalc-exercise").filter(has_text="Exercise 0.1")
    assert "the last was “1 g”" in box.inner_text()
    wait_until_kept(beside, "answers.csv", "2.1")
    answer(beside, "0.1", "2 g")  # the other lesson has answered since this one was opened
    wait_until_kept(page, "answers.csv", "2 g")
    hand_in(beside, tmp_path / "in")
    handed = (tmp_path / "in/answers_S04.csv").read_text(encoding="utf-8")
    assert keys(handed) == ["key", "0.1", "2.1", "0.1"]


def clear_site_data(page, address):
    """Do what a browser's settings offer."""
    chromium = page.context.new_cdp_session(page)
    chromium.send("Storage.clearDataForOrigin", {"origin": address, "storageTypes": "all"})


@pytest.mark.slow
def test_over_plain_http_an_open_page_writes_again_what_was_cleared(visitor, tmp_path):
    page = visitor.lesson("0-start-here.ipynb", ELSEWHERE)
    say_who(page, "S04")
    answer(page, "0.1", "1 g")
    wait_until_kept(page, "answers.csv", "1 g")
    clear_site_data(page, f"http://{ELSEWHERE}:{visitor.port}")
    answer(page, "0.1", "2 g")
    wait_until_kept(page, "answers.csv", "2 g")
    assert keys(kept(page, "answers.csv")) == ["key", "0.1", "0.1"]
    assert "S04" in kept(page, "session.json")
    hand_in(page, tmp_path / "in")
    assert keys((tmp_path / "in/answers_S04.csv").read_text(encoding="utf-8")) == ["key", "0.1", "0.1"]


@pytest.mark.slow
def test_on_localhost_a_page_says_that_its_site_data_were_cleared_and_begins_anew_when_loaded(visitor):
    page = visitor.lesson("0-start-here.ipynb")
    warning = page.get_by_text("has been told to forget this site")
    say_who(page, "S04")
    answer(page, "0.1", "1 g")
    assert warning.count() == 0
    clear_site_data(page, f"http://localhost:{visitor.port}")
    box = page.locator(".kilncalc-exercise").filter(has_text="Exercise 0.1")
    box.locator("input").fill("2 g")
    page.keyboard.press("Enter")
    warning.wait_for()
    box.get_by_text("No student is set").wait_for()
    page.reload()
    page.wait_for_selector(".kilncalc-bar[data-state=alive]")
    assert warning.count() == 0
    say_who(page, "S05")
    answer(page, "0.1", "2 g")
    wait_until_kept(page, "answers.csv", "S05")
    assert keys(kept(page, "answers.csv")) == ["key", "0.1"]


@pytest.mark.slow
def test_a_newer_edition_goes_beside_a_changed_lesson_and_replaces_an_untouched_one(visitor):
    page = visitor.lesson("0-start-here.ipynb")
    page.evaluate(
        """async () => {
          const { contents } = jupyterapp.serviceManager;
          const whole = { type: 'notebook', format: 'json', content: true };
          const two = [['2-volume-to-weight.ipynb', true], ['3-layer-counts.ipynb', false]];
          for (const [file, changed] of two) {
            const model = await contents.get(file, whole);
            model.content.metadata.kilncalc.digest = 'of an older edition';
            model.content.cells[0].source = 'the words of ' + (changed ? 'a person' : 'an older edition');
            if (changed) delete model.content.cells[0].metadata.editable;
            await contents.save(file, model);
          }
          localStorage.setItem('kilncalc-edition', 'older');
        }"""
    )
    page.close()
    page = visitor.lesson("0-start-here.ipynb")
    page.get_by_text("You have changed 2-volume-to-weight.ipynb").wait_for()
    first = """async file => {
      const whole = { type: 'notebook', format: 'json', content: true };
      const { source } = (await jupyterapp.serviceManager.contents.get(file, whole)).content.cells[0];
      return [source].flat().join('');
    }"""
    assert page.evaluate(first, "2-volume-to-weight.ipynb") == "the words of a person"
    assert page.evaluate(first, "2-volume-to-weight-new-0.1.0.ipynb").startswith("# Lesson 2")
    assert page.evaluate(first, "3-layer-counts.ipynb").startswith("# Lesson 3")


@pytest.mark.slow
def test_code_that_is_no_lesson_s_waits_whatever_its_metadata_say_and_a_saved_page_has_words(visitor):
    page = visitor.lesson("2-volume-to-weight.ipynb")
    page.evaluate("() => jupyterapp.shell.currentWidget.context.save()")
    written = page.evaluate(
        """async () => {
          const { contents } = jupyterapp.serviceManager;
          const whole = { type: 'notebook', format: 'json', content: true };
          const model = await contents.get('2-volume-to-weight.ipynb', whole);
          const written = JSON.stringify(model.content);
          model.content.cells.find(cell => cell.cell_type === 'code').source = 'print(1)';
          await contents.save('forged.ipynb', model);
          return written;
        }"""
    )
    assert "To move the sliders, choose Run and Run All Cells." in written
    assert "widget-view+json" not in written
    page.close()
    page = visitor.lesson("forged.ipynb", state="offered")
    assert "differs from code cell 1 on" in page.locator(".kilncalc-bar").inner_text()
    assert page.get_by_role("button", name="Run this page").is_visible()


@pytest.mark.slow
def test_on_a_phone_a_finger_beside_the_knob_sets_a_guess_and_its_buttons_have_all_their_words(visitor):
    page = visitor.lesson("2-volume-to-weight.ipynb")
    chromium = page.context.new_cdp_session(page)
    chromium.send("Emulation.setTouchEmulationEnabled", {"enabled": True})
    page.set_viewport_size({"width": 390, "height": 844})
    guess = page.locator(".kilncalc-guess").first
    guess.scroll_into_view_if_needed()
    for button in guess.locator("button").all():
        assert button.evaluate("button => button.scrollWidth <= button.clientWidth"), button.inner_text()
    track, typed = (guess.locator(part).bounding_box() for part in (".noUi-base", "input"))
    assert track["width"] > 150 and track["y"] < typed["y"], "no track, or under the box"
    knob = guess.locator(".noUi-handle").bounding_box()
    x, y = knob["x"] + knob["width"] / 2 - 18, knob["y"] + knob["height"] / 2
    before = guess.locator("input").input_value()
    for kind, places in (("touchStart", [0]), ("touchMove", [20]), ("touchMove", [40]), ("touchEnd", [])):
        points = [{"x": x + place, "y": y} for place in places]
        chromium.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    page.wait_for_function(
        "before => document.querySelector('.kilncalc-guess input').value !== before", arg=before, polling=200
    )


@pytest.mark.slow
def test_firefox_marks_a_right_a_wrong_and_another_unit_keeps_them_and_hands_them_in(port, tmp_path, capsys):
    if not FIREFOX.is_file():
        pytest.skip(f"no Firefox at {FIREFOX}; install Debian's firefox-esr or name one in KILNCALC_FIREFOX")
    (tmp_path / "in").mkdir()

    def visit():
        return Firefox(tmp_path / "firefox", tmp_path / "in", SECONDS)

    def lesson(name):
        firefox.go(f"http://localhost:{port}/lab/index.html?path={name}")
        firefox.wait_until("document.querySelector('.kilncalc-bar[data-state=alive]')")

    def box(words):
        every = "[...document.querySelectorAll('.kilncalc-exercise')]"
        return f"{every}.find(box => box.innerText.includes({json.dumps(words)}))"

    def typed(words, text, then):
        firefox.look(
            f"(at => (at.scrollIntoView(), at.focus(), at.select()))({box(words)}.querySelector('input'))"
        )
        firefox.press(f"{text}{ENTER}")
        firefox.wait_until(f"{box(words)}.innerText.includes({json.dumps(then)})")
        return firefox.look(f"{box(words)}.innerText")

    firefox = visit()
    try:
        lesson("0-start-here.ipynb")
        typed("", "S04", "Student S04;")  # the first box there is
        given = {}
        for name, key, wrong in (
            ("2-volume-to-weight.ipynb", "2.1", "1 g"),
            ("4-schedules.ipynb", "4.1", "1 min"),
        ):
            lesson(name)
            assert firefox.look(f"document.querySelectorAll('{DRAWN}').length") >= 3
            asked = question(key)
            value = asked.value(asked.numbers_for("S04", "metric"))
            other = as_text(value, asked.dimension, "inches") if key == "2.1" else f"{value / 3600:.4f} h"
            given[key] = [wrong, other, right_answer(key, "S04")]
            for place, (text, mark) in enumerate(zip(given[key], ("Not yet", "Right", "Right"), strict=True)):
                said = typed(f"Exercise {key}", text, f"Answers so far: {place + 1}")
                assert mark in said and text in said
        firefox.close()
        firefox = visit()
        lesson("4-schedules.ipynb")
        assert f"Answers so far: 3; the last was “{given['4.1'][-1]}”" in firefox.look(
            f"{box('Exercise 4.1')}.innerText"
        )
        lesson("0-start-here.ipynb")
        firefox.look(
            "[...document.querySelectorAll('button')].find(each => each.innerText === 'Hand in').click()"
        )
        handed, late = tmp_path / "in/answers_S04.csv", time.monotonic() + SECONDS
        while not handed.is_file() or not handed.stat().st_size:
            assert time.monotonic() < late, list((tmp_path / "in").iterdir())
            time.sleep(0.2)
        firefox.close()
    finally:
        firefox.process.kill()
    assert keys(handed.read_text(encoding="utf-8")) == ["key", *["2.1"] * 3, *["4.1"] * 3]
    found = {(row["id"], row["question"]): row for row in results(tmp_path / "in", tmp_path / "out", capsys)}
    assert [found["S04", f"exercise {key}"]["state"] for key in given] == ["right", "right"]
