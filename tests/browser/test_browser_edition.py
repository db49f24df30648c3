"""The lessons in a browser alone: a site made by `.ci/browser-edition`, and nothing else to be reached."""

import csv
import functools
import http.server
import os
import threading
from pathlib import Path

import pytest
from conftest import ARGUMENTS, ARTEFACTS, CHROMIUM, SECONDS

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
        page.screenshot(path=ARTEFACTS / f"browser-edition-{name}.png")
        return page


@pytest.fixture(scope="module")
def playwright():
    """Playwright, for browsers with a folder of their own."""
    if not CHROMIUM.is_file():
        pytest.skip(f"no browser at {CHROMIUM}; install Debian's chromium or name one in KILNCALC_CHROMIUM")
    from playwright.sync_api import sync_playwright

    ARTEFACTS.mkdir(exist_ok=True)
    with sync_playwright() as started:
        yield started


@pytest.fixture
def visitor(playwright, port, tmp_path):
    """A browser that has never been here, and afterwards: whether it asked for anything elsewhere."""
    made = Visitor(playwright, port, tmp_path / "browser")
    yield made
    made.context.close()
    assert made.asked_outside == []


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
        page.close()
    page = visitor.lesson("0-start-here.ipynb")
    say_who(page, "S04")
    assert "Right" in answer(page, "0.1", right_answer("0.1", "S04"))
    hand_in(page, tmp_path / "in")
    found = {row["id"]: row for row in results(tmp_path / "in", tmp_path / "out", capsys)}
    assert (found["S04"]["state"], found["S04"]["tries"]) == ("right", "1")
    assert found["S05"]["state"] == "missing"
