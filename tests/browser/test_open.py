"""What a person sees: the lessons in a browser, run, moved, answered; and nothing leaves the machine."""

import csv
import json
import re
import urllib.error
import urllib.request
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from conftest import LISTEN, SECONDS, SETTLED, keep

from kilncalc import _resources, exercises
from kilncalc.quantities import as_text

LESSONS = [path.stem for path in sorted(_resources.lessons().glob("*.ipynb"))]
FIRST = ("0-", "2-", "4b-")
"""Start page, exercises, drawing surface: opened in every run, the form by its own tests; CI opens all."""

SHORT = """text => {
  let one = 5381, other = 52711;
  for (let n = 0; n < text.length; n++) {
    const code = text.charCodeAt(n);
    one = Math.imul(one, 33) ^ code;
    other = Math.imul(other, 31) + code | 0;
  }
  return `${text.length} ${one} ${other}`;
}"""
"""A text's length and 64 bits of its letters: what is compared need not travel, being a megabyte at times."""

FINGERPRINT = f"""panel => {{
  const values = [...panel.querySelectorAll('input')].map(input => input.value);
  return ({SHORT})([...panel.querySelectorAll('.main-svg')].map(svg => svg.innerHTML).join()
    + panel.textContent + values.join());
}}"""

PICTURE = f"""panel => ({SHORT})([...panel.querySelectorAll('.main-svg, .kilncalc-readings')].map(
  part => part.innerHTML).join())"""
"""Plots and the numbers that stand beside them, without the caption."""


CLICK = "all => all.forEach(one => one.click())"

SHOWN = """() => !document.body.innerText.includes('Loading widget')
  && [...document.querySelectorAll('.kilncalc-pane')].every(
    pane => !pane.offsetHeight || pane.querySelector('.main-svg'))"""

INSTEAD = """async ([before, path]) => {
  await jupyterapp.commands.execute('docmanager:open', {path});
  for (const widget of jupyterapp.shell.widgets('main'))
    if (widget.context?.path === before) {
      widget.context.model.dirty = false; // a test has changed it: nothing to be asked about
      widget.close();
    }
}"""

HAS_A_KERNEL = """path => {
  const page = window.jupyterapp?.shell.currentWidget;
  return page?.context?.path === path && page.sessionContext?.session?.kernel;
}"""

WRONG = """() => {
  const shown = [...document.querySelectorAll(
    '[data-mime-type="application/vnd.jupyter.error"], [data-mime-type="application/vnd.jupyter.stderr"]')];
  const told = document.body.textContent.match(/Something went wrong[^.]*/g) ?? [];
  return [...shown.map(part => part.textContent.trim()), ...told];
}"""
"""Errors and words on stderr under a cell, and what a panel says of an error."""

SCREENS = """() => {
  const outer = document.querySelector('.jp-WindowedPanel-outer');
  return outer.scrollHeight / outer.clientHeight;
}"""
"""How many screens the core path is long: folds shut, every panel drawn, its guess skipped."""


def fetch(url):
    with urllib.request.urlopen(url, timeout=SECONDS) as answer:
        return answer.read().decode("utf-8")


# Without a browser: what the server says


def test_the_page_is_the_start_page_in_single_document_view_without_news(lab):
    page = fetch(lab.address)
    told = json.loads(re.search(r'<script id="jupyter-config-data"[^>]*>(.*?)</script>', page, re.DOTALL)[1])
    assert told["mode"] == "single-document"
    assert told["treePath"] == "0-start-here.ipynb"
    assert "@jupyterlab/apputils-extension:announcements" in told["disabledExtensions"]
    assert "their-own" in told["disabledExtensions"]  # what the person has set for themselves counts as well
    assert Path(told["workspacesDir"]).resolve().is_relative_to(lab.home) is False


def test_cells_are_all_kept_in_the_page(lab):
    tracker = lab.api("settings/@jupyterlab/notebook-extension:tracker", "lab/api")
    assert json.loads(fetch(tracker))["schema"]["properties"]["windowingMode"]["default"] == "none"


def test_nobody_gets_in_without_the_token(lab):
    with pytest.raises(urllib.error.HTTPError) as refused:
        fetch(f"http://localhost:{lab.port}/api/contents")
    assert refused.value.code == 403


def test_the_folder_holds_every_lesson_and_nothing_else(lab):
    laid = {path.name for path in lab.folder.iterdir() if path.suffix == ".ipynb"}
    assert laid == {f"{name}.ipynb" for name in LESSONS}
    assert f"Your lessons are in {lab.folder}\n" in lab.lines


# In the browser


class Visit:
    """One lesson in the browser."""

    def __init__(self, lab, page, name):
        self.lab, self.page, self.name = lab, page, name
        self.outside, self.errors = [], []
        self.heard = {
            "request": self._see_request,
            "websocket": self._see_request,
            "pageerror": lambda error: self.errors.append(f"in the page: {error}"),
        }
        for event, hear in self.heard.items():
            page.on(event, hear)

    def leave(self):
        """Hear no more of what happens on the page."""
        for event, hear in self.heard.items():
            self.page.remove_listener(event, hear)

    def _see_request(self, request):
        address = urlsplit(request.url)
        inside = address.scheme in ("blob", "data", "attachment")
        if not inside and address.hostname not in ("localhost", "127.0.0.1"):
            self.outside.append(request.url)

    def open(self):
        """Open the lesson, which runs by itself, and wait until it says so."""
        self.page.bring_to_front()  # a page in the background is drawn late or never
        self.page.goto(self.lab.url(f"{self.name}.ipynb"))
        self.listen()

    def open_instead(self):
        """Open the lesson where another is open, as a click in the list of lessons does, and close that."""
        before = self.page.evaluate("() => jupyterapp.shell.currentWidget.context.path")
        self.page.evaluate(INSTEAD, [before, f"{self.name}.ipynb"])
        self.listen()

    def listen(self):
        """Hear what the kernel says from its beginning, until the page says that it has run."""
        self.page.wait_for_function(HAS_A_KERNEL, arg=f"{self.name}.ipynb")
        self.page.evaluate(LISTEN)
        self.page.wait_for_selector(".kilncalc-bar[data-state=alive]")

    def wait_until_drawn(self):
        """Unfold the page and see every panel drawn."""
        page = self.page
        page.get_by_role("button", name="Skip the guess").evaluate_all(CLICK)
        page.wait_for_function(SHOWN, polling=100)
        for panel in self.panels():
            if panel.is_visible():
                panel.scroll_into_view_if_needed()  # some are worked out when come near
                page.wait_for_function(
                    "it => !it.querySelector('.kilncalc-waits')", arg=panel.element_handle()
                )
                self.settle(panel)
        self.screens = page.evaluate(SCREENS)
        page.locator(".kilncalc-fold-further[aria-expanded=false]").evaluate_all(CLICK)
        page.get_by_role("button", name="Skip the guess").evaluate_all(CLICK)
        page.wait_for_function(SHOWN, polling=100)
        for panel in self.panels():
            self.settle(panel)

    def restart(self):
        """Restart the kernel, as the menu does, and let the page run again."""
        self.page.evaluate("() => document.querySelector('.kilncalc-panel').classList.add('earlier')")
        self.menu("Kernel", "Restart Kernel…")
        self.page.locator(".jp-Dialog .jp-mod-accept").click()
        self.page.wait_for_function("() => !document.querySelector('.earlier')")
        self.page.wait_for_selector(".kilncalc-bar[data-state=alive]")

    def menu(self, name, item):
        self.page.get_by_role("menuitem", name=name, exact=True).click()
        # Its key may stand behind the words, as long as the notebook has the focus.
        self.page.get_by_role("menuitem", name=re.compile(f"^{re.escape(item)}")).click()

    def panels(self):
        return self.page.locator(".kilncalc-panel").all()

    def exercises(self):
        """Return each exercise's box with its key."""
        for box in self.page.locator(".kilncalc-exercise").all():
            if found := re.match(r"Exercise (\w+\.\d+):", box.inner_text()):
                yield box, found[1]

    def answer(self, box, text, expected):
        """Type an answer and wait for the verdict that the package gives on it."""
        field = box.locator("input[type=text]").first
        field.fill(text)
        field.press("Enter")
        box.get_by_text(f"{expected.heading}. {expected.sentence}").wait_for()

    def sliders(self):
        """Return sliders' handles with panels and labels: all of lesson 2's first panel, else each first.

        Every end of every control is drawn without a browser, in tests/test_panels.py.
        """
        for number, panel in enumerate(self.panels()):
            most = None if self.name.startswith("2-") and number == 0 else 1
            for slider in panel.locator(".widget-slider").all()[:most]:
                label = slider.locator(".widget-label").first.text_content()
                for handle in slider.get_by_role("slider").all():
                    yield panel, handle, label

    def settle(self, panel):
        panel.evaluate(SETTLED)

    def look(self, panel):
        self.settle(panel)
        return panel.evaluate(FINGERPRINT)

    def picture(self, panel):
        self.settle(panel)
        return panel.evaluate(PICTURE)

    def changed(self, panel, before):
        """Wait until the panel looks different from `before`, then until it is still."""
        self.page.wait_for_function(
            f"([panel, before]) => ({FINGERPRINT})(panel) !== before",
            arg=[panel.element_handle(), before],
            polling=50,
        )
        return self.look(panel)

    def keep_picture(self, locator, what):
        keep(locator, f"{self.name}-{what}")

    def problems(self):
        """Return what went wrong so far: error outputs, words on stderr, lost exceptions of the kernel."""
        lost = [line for line in self.lab.lines if "Traceback" in line or "Error" in line]
        return self.page.evaluate(WRONG) + self.page.evaluate("() => kilncalcLost") + self.errors + lost


@pytest.fixture(scope="module")
def page(browser):
    """One person's page, in which one lesson after the other is opened."""
    context = browser.new_context(viewport={"width": 1366, "height": 768})
    context.set_default_timeout(SECONDS * 1000)
    yield context.new_page()
    context.close()


@pytest.fixture(
    scope="module",
    params=[pytest.param(name, marks=[] if name.startswith(FIRST) else pytest.mark.slow) for name in LESSONS],
)
def visit(request, lab, page):
    visited = Visit(lab, page, request.param)
    try:
        visited.open() if page.url == "about:blank" else visited.open_instead()
        visited.wait_until_drawn()
    except Exception:
        keep(page, f"{request.param}-failed")
        raise
    yield visited
    visited.leave()
    assert visited.outside == []


PLACE = "handle => 1 + parseFloat(handle.closest('.noUi-origin').style.transform.slice(10)) / 1000"
"""Where a handle stands on its rail, 0 to 1, from translate(-1000%) to translate(0%)."""


def place(handle):
    return handle.evaluate(PLACE)


def rail(handle):
    return handle.locator("xpath=ancestor::*[contains(@class, 'noUi-base')]")


def test_a_lesson_opens_without_an_error(visit):
    keep(visit.page, f"{visit.name}-page")
    assert visit.problems() == []
    if visit.name != "0-start-here":
        assert visit.panels() and list(visit.exercises())


def test_the_core_path_is_at_most_twelve_screens_long(visit):
    print(f"{visit.name}: {visit.screens:.1f} screens")
    assert visit.screens <= 12


WITHOUT_NAMES = r"""panel => [...panel.querySelectorAll('.main-svg')].map(svg => svg.innerHTML.replace(
    /[a-z-]*[0-9a-f]{6}[a-z0-9]*/g, '')).join()"""
"""A picture without plotly's chance names of its own parts."""


def test_a_panel_run_once_more_is_drawn_the_same(visit):
    """Now the page has plotly's code already, and the picture is ready before it has a place on the page."""
    if not visit.name.startswith("2-"):
        pytest.skip("the same function stands behind every panel; one page is enough")
    panel = visit.page.locator(".kilncalc-panel").first
    visit.settle(panel)
    before = panel.evaluate(WITHOUT_NAMES)
    visit.page.evaluate(
        """async () => {
          const notebook = jupyterapp.shell.currentWidget.content;
          notebook.activeCellIndex = notebook.widgets.findIndex(
            cell => cell.node.querySelector('.kilncalc-panel'));
          document.querySelector('.kilncalc-panel').classList.add('earlier');
          await jupyterapp.commands.execute('notebook:run-cell');
        }"""
    )
    visit.page.wait_for_function(
        """() => !document.querySelector('.earlier')
          && document.querySelector('.kilncalc-panel .js-plotly-plot .main-svg')"""
    )
    visit.settle(panel)
    visit.page.wait_for_function(
        f"([panel, before]) => ({WITHOUT_NAMES})(panel) === before", arg=[panel.element_handle(), before]
    )
    assert visit.problems() == []


def test_each_panel_fits_the_screen_of_a_small_laptop(visit):
    tall = []
    room = visit.page.locator(".jp-WindowedPanel-outer").first.bounding_box()
    bar = visit.page.locator(".kilncalc-bar").bounding_box()
    for number, panel in enumerate(visit.panels(), 1):
        panel.scroll_into_view_if_needed()
        visit.settle(panel)
        visit.keep_picture(panel, f"panel-{number}")
        box = panel.bounding_box()
        if box["height"] > room["height"] - bar["height"]:
            tall.append(number)
        assert box["x"] + box["width"] <= room["x"] + room["width"], f"panel {number}"
        assert panel.evaluate("panel => panel.scrollWidth <= panel.clientWidth"), f"panel {number}"
    assert tall == []


SQUASHED = """panel => {
  const seen = part => part.getBoundingClientRect().width > 0;
  const low = [...panel.querySelectorAll('select, input[type=text]')].filter(
    part => seen(part) && part.getBoundingClientRect().height < 28);
  const labels = [...panel.querySelectorAll('.widget-label, .widget-toggle-button')].filter(
    part => seen(part) && part.scrollWidth > part.clientWidth + 1);
  const outside = [...panel.querySelectorAll('.js-plotly-plot')].flatMap(plot => {
    const all = plot.getBoundingClientRect();
    return [...plot.querySelectorAll('.main-svg text')].filter(text => {
      const one = text.getBoundingClientRect();
      const over = [all.left - one.left, one.right - all.right, all.top - one.top, one.bottom - all.bottom];
      return text.textContent.trim() && one.width && Math.max(...over) > 2;
    });
  });
  const right = part => part.getBoundingClientRect().right;
  const over = [...panel.querySelectorAll('select, input[type=text], button')].filter(
    part => seen(part) && right(part) > right(part.closest('.kilncalc-controls') ?? panel) + 0.5);
  return [...low, ...labels, ...outside, ...over].map(part => part.getAttribute('title') || part.textContent);
}"""
"""Boxes that are too low for their words, labels that are cut off, what sticks out of picture or panel."""


@pytest.mark.parametrize("width", [390, 820, 1366])
def test_nothing_in_a_panel_is_squashed_or_cut_off(visit, width):
    try:
        visit.page.set_viewport_size({"width": width, "height": 768})
        visit.page.wait_for_function("width => innerWidth === width", arg=width)
        for _ in range(40):  # a picture is drawn to its new width a moment later
            squashed = {}
            for number, panel in enumerate(visit.panels(), 1):
                visit.settle(panel)
                if found := panel.evaluate(SQUASHED):
                    squashed[number] = found
            if not squashed:
                break
            visit.page.wait_for_timeout(250)
        assert squashed == {}
    finally:
        visit.page.set_viewport_size({"width": 1366, "height": 768})


def test_words_in_each_picture_can_be_read(visit):
    for panel in visit.panels():
        small = panel.evaluate(
            """panel => [...panel.querySelectorAll('.main-svg text')].filter(
                text => text.textContent.trim() && text.getBoundingClientRect().width > 0
                  && parseFloat(getComputedStyle(text).fontSize) < 16).map(text => text.textContent)"""
        )
        assert small == []


def test_every_slider_by_keyboard(visit):
    tried = []
    for panel, handle, label in visit.sliders():
        start, at_start = place(handle), visit.picture(panel)
        handle.scroll_into_view_if_needed()
        handle.focus()
        handle.press("Home")
        visit.page.wait_for_function(f"handle => ({PLACE})(handle) === 0", arg=handle.element_handle())
        at_least, picture = visit.look(panel), visit.picture(panel)
        handle.press("End")
        visit.changed(panel, at_least)
        assert place(handle) == pytest.approx(1, abs=1e-9), label
        # What a screen reader says of it.
        assert handle.get_attribute("aria-label") == label
        assert handle.get_attribute("aria-valuetext") == beside(handle).input_value() != ""
        # Not the two ends with each other: without a plate, light tells nothing of the sign of a stress.
        assert {at_start, picture, visit.picture(panel)} != {picture}, f"{label}: the picture stays the same"
        visit.keep_picture(panel, re.sub(r"\W+", "-", f"{label} at its most"))
        if visit.name.startswith("2-"):
            # A click on the rail brings it back to where it stood, for the next slider to start from there.
            room = rail(handle).bounding_box()
            visit.page.mouse.click(room["x"] + start * room["width"], room["y"] + room["height"] / 2)
            visit.settle(panel)
            assert place(handle) == pytest.approx(start, abs=0.1), label
        if visit.name.startswith("2-") and panel not in tried:  # each panel's first
            tried.append(panel)
            stood = place(handle)
            handle.press("ArrowRight")
            visit.settle(panel)
            assert stood < place(handle) < stood + 0.5, label
        assert visit.problems() == [], label


def test_every_slider_by_mouse(visit):
    if not visit.name.startswith("2-"):
        pytest.skip("the same slider stands in every panel; one page is enough")
    seen = []
    for panel, handle, label in visit.sliders():
        if panel in seen:  # each panel's first
            continue
        seen.append(panel)
        start, before = place(handle), visit.look(panel)
        handle.scroll_into_view_if_needed()
        knob, room = handle.bounding_box(), rail(handle).bounding_box()
        share = 0.75 if start < 0.5 else 0.25
        visit.page.mouse.move(knob["x"] + knob["width"] / 2, knob["y"] + knob["height"] / 2)
        visit.page.mouse.down()
        visit.page.mouse.move(room["x"] + share * room["width"], room["y"] + room["height"] / 2, steps=10)
        visit.page.mouse.up()
        visit.changed(panel, before)
        assert place(handle) == pytest.approx(share, abs=0.1), label  # half a step of a slider with few steps
        assert visit.problems() == [], label


def beside(handle):
    """Return the box for typing beside a slider."""
    return handle.locator("xpath=ancestor::*[contains(@class, 'widget-hbox')][1]").locator("input[type=text]")


def typed(panel):
    """Return what stands in each box for typing."""
    return [box.input_value() for box in panel.locator(".widget-text input").all()]


SIZE = """panel => [...panel.querySelectorAll('.plotclip rect')].map(
    rect => [Math.round(rect.width.baseVal.value), Math.round(rect.height.baseVal.value)].join('x')).join()"""
"""The room of each part of a picture, in pixels."""


def test_a_typed_value_stays_as_typed_and_the_unit_switch_moves_nothing(visit):
    """The page would put a handle on the nearest step, and its ends one after the other: and report moves."""
    if not visit.name.startswith("2-"):
        pytest.skip("the same function stands behind every panel; one page is enough")
    for panel in visit.panels():
        box, slider = panel.locator(".widget-text input").first, panel.locator(".widget-slider").first
        if not slider.count():
            continue
        slider.scroll_into_view_if_needed()
        size = panel.evaluate(SIZE)
        stood = box.input_value()
        with_unit = re.fullmatch(r"([\d.]+) (\D.*)", stood)
        if not with_unit:  # a count is the same in either system
            continue
        number, unit = with_unit.groups()
        between = f"{float(number) * 1.003:.4g} {unit}"  # no slider has so small a step
        before = visit.look(panel)
        box.fill(between)
        box.press("Enter")
        visit.changed(panel, before)
        metric = typed(panel)
        assert metric[0] == between
        panel.get_by_text("inches, °F").click()
        visit.page.wait_for_function(
            "([panel, first]) => panel.querySelector('.widget-text input').value !== first",
            arg=[panel.element_handle(), between],
        )
        visit.settle(panel)
        assert typed(panel) != metric
        assert panel.evaluate(SIZE) == size  # a picture to scale is as large in inches
        assert panel.evaluate(SQUASHED) == []
        panel.get_by_text("metric", exact=True).click()
        visit.page.wait_for_function(
            "([panel, first]) => panel.querySelector('.widget-text input').value === first",
            arg=[panel.element_handle(), between],
        )
        visit.settle(panel)
        assert typed(panel) == metric
        box.fill(stood)
        box.press("Enter")
        visit.settle(panel)
        assert visit.problems() == []


def right_answer(key, student="", units="metric"):
    """Return the answer as a person would type it, to three figures or more, in either system of units."""
    asked = exercises.question(key)
    return as_text(asked.value(asked.numbers_for(student, "metric")), asked.dimension, units=units)


def test_each_exercise_says_what_is_wrong_and_what_is_right(visit):
    for box, key in visit.exercises():
        box.scroll_into_view_if_needed()
        asked = exercises.question(key)
        numbers = asked.numbers_for("", "metric")
        slip = next(iter(asked.slips(numbers).values()))
        answers = {
            "a good handful": "unread",
            numbers.show.text(slip.value, asked.dimension): "slip",
            right_answer(key, units="inches"): "right",
            right_answer(key): "right",
        }
        if not visit.name.startswith("2-"):  # the same box stands there; texts are marked without a browser
            answers = dict(list(answers.items())[1:3])
        for text, kind in answers.items():
            expected = exercises.mark(key, text, "", "metric")
            assert expected.kind == kind, (key, text)
            visit.answer(box, text, expected)
        visit.keep_picture(box, f"exercise-{key}")
        assert visit.problems() == []


def test_no_request_leaves_this_machine(visit):
    visit.page.wait_for_load_state("networkidle")
    assert visit.outside == []


@pytest.mark.slow
def test_answers_outlive_a_restart_and_meet_on_two_pages(lab, browser):
    """The last test of this file: from here on the folder belongs to a student."""
    context = browser.new_context(viewport={"width": 1366, "height": 768})
    context.set_default_timeout(SECONDS * 1000)
    start, lesson = (Visit(lab, context.new_page(), name) for name in ("0-start-here", LESSONS[1]))
    for visited in (start, lesson):
        visited.open()
    start.page.bring_to_front()
    who = start.page.locator(".kilncalc-exercise input[type=text]").first
    who.fill("S01")
    who.press("Enter")
    start.page.get_by_text("Student S01").wait_for()

    # The other page learns of it at its next answer, and asks the student's own question.
    lesson.page.bring_to_front()
    box, key = next(lesson.exercises())
    box.locator("input[type=text]").first.fill("1 kg")
    box.locator("input[type=text]").first.press("Enter")
    box.get_by_text(exercises.question_text(key, "S01", "metric")).wait_for()
    text = right_answer(key, "S01")
    lesson.answer(box, text, exercises.mark(key, text, "S01", "metric"))

    lesson.restart()
    lesson.page.get_by_text(f"the last was “{text}”").wait_for()
    kept = list(csv.DictReader((lab.folder / "answers.csv").open(encoding="utf-8-sig", newline="")))
    assert [(row["key"], row["text"]) for row in kept] == [(key, text)]
    assert start.problems() + lesson.problems() == []

    # The next day the kernel is gone; what was saved tells what was asked, and the page runs again.
    lesson.page.evaluate("async () => { await jupyterapp.commands.execute('docmanager:save'); }")
    saved = lab.folder / f"{LESSONS[1]}.ipynb"
    asked = exercises.question_text(key, "S01", "metric")
    lesson.page.wait_for_function("() => !jupyterapp.shell.currentWidget.context.model.dirty")
    assert json.dumps(asked, ensure_ascii=False)[1:-1] in saved.read_text(encoding="utf-8")
    for session in json.loads(fetch(lab.api("sessions"))):
        end = urllib.request.Request(lab.api(f"sessions/{session['id']}"), method="DELETE")
        urllib.request.urlopen(end, timeout=SECONDS).close()
    lesson.open()
    lesson.page.get_by_text(asked).first.wait_for()
    assert lesson.page.get_by_text("Error displaying widget").count() == 0
    assert start.outside + lesson.outside == []
    context.close()
