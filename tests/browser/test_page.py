"""A lesson as a page: it opens alive, shows no code, cannot be broken by a click, and fits any screen."""

import json
import os
import re
import time
import urllib.request

import pytest
from conftest import SECONDS, keep
from playwright.sync_api import expect

from kilncalc import _resources
from kilncalc.classroom import handout, notebooks, roster

LESSON = "2-volume-to-weight.ipynb"
WIDTHS = (360, 390, 683, 820, 1093, 1366, 1920, 2560)
"""px; 1093 and 683 are a laptop's 1366 at 125 and 200 %."""

PLANT = "from pathlib import Path\nPath('planted').touch()"


def wait_for(page, state):
    page.wait_for_selector(f".jp-NotebookPanel:not(.lm-mod-hidden) .kilncalc-bar[data-state={state}]")


def current(page):
    """The notebook in front."""
    return page.locator(".jp-NotebookPanel:not(.lm-mod-hidden)")


def open_beside(page, path):
    """Open another notebook in the same JupyterLab, as a click on a file does."""
    page.evaluate("async path => { await jupyterapp.commands.execute('docmanager:open', {path}); }", path)
    page.wait_for_function("path => jupyterapp.shell.currentWidget?.context?.path === path", arg=path)


def cells(page):
    """Kinds, sources and counts of all cells, as JupyterLab has them."""
    return page.evaluate(
        """() => jupyterapp.shell.currentWidget.content.widgets.map(
          cell => [cell.model.type, cell.model.sharedModel.source, cell.model.executionCount ?? null])"""
    )


SEEN = """() => {
  window.kilncalcSeen = [];
  const look = () => {
    const bar = document.querySelector('.kilncalc-bar');
    const now = [bar?.dataset.state, bar?.querySelector('.kilncalc-status').textContent,
      document.querySelectorAll('.kilncalc-alive').length].join('|');
    if (bar?.dataset.state && window.kilncalcSeen.at(-1) !== now) window.kilncalcSeen.push(now);
  };
  new MutationObserver(look).observe(document, {subtree: true, childList: true, attributes: true});
}"""
"""Writes down what the bar says and how many panels are alive, each time that changes."""


@pytest.fixture(scope="module")
def page(lab, browser):
    """A lesson that has opened and run."""
    context = browser.new_context(viewport={"width": 1366, "height": 768})
    context.set_default_timeout(SECONDS * 1000)
    made = context.new_page()
    made.kilncalc_errors = []
    made.on("pageerror", lambda error: made.kilncalc_errors.append(str(error)))
    made.add_init_script(f"({SEEN})()")
    made.goto(lab.url(LESSON))
    wait_for(made, "alive")
    yield made
    assert made.kilncalc_errors == []
    context.close()


def count_of(page, selector, least, most=None):
    """Wait until so many are there in the notebook in front, and return them."""
    page.wait_for_function(
        """([selector, least]) => document.querySelectorAll(
          '.jp-NotebookPanel:not(.lm-mod-hidden) ' + selector).length >= least""",
        arg=[selector, least],
    )
    found = current(page).locator(selector)
    assert most is None or found.count() <= most
    return found


def test_a_lesson_opens_alive_and_at_its_top(page):
    seen = [line.split("|") for line in page.evaluate("() => window.kilncalcSeen")]
    assert seen[0][0] == "starting" and "Starting" in seen[0][1] and seen[0][2] == "0"
    assert any(state == "starting" and int(alive) > 0 for state, _, alive in seen), "one after the other"
    assert page.evaluate("() => document.querySelector('.jp-WindowedPanel-outer').scrollTop") == 0
    assert all(count for kind, source, count in cells(page) if kind == "code" and source.strip())
    assert page.evaluate("() => jupyterapp.shell.currentWidget.context.model.dirty") is False
    keep(page, "page-open")


def test_no_code_is_in_sight_until_asked_for(page):
    code = current(page).locator(".jp-CodeCell .jp-Cell-inputWrapper")
    asking = page.get_by_role("button", name="Show how it is computed")
    assert code.count() > 10
    for selector in (
        ".jp-Cell-inputWrapper .cm-content",
        ".jp-InputPrompt",
        ".jp-OutputPrompt",
        ".jp-Toolbar",
    ):
        assert not [one for one in current(page).locator(selector).all() if one.is_visible()], selector
    asking.click()
    assert asking.get_attribute("aria-pressed") == "true"
    code_of_a_panel = current(page).get_by_text("from kilncalc.panels import").first
    code_of_a_panel.wait_for(state="visible")
    asking.click()
    code_of_a_panel.wait_for(state="hidden")


def test_the_still_picture_gives_way_to_the_live_one(page):
    notebook = json.loads((_resources.lessons() / LESSON).read_text(encoding="utf-8"))
    stills, panels = [], []
    for before, cell in zip(notebook["cells"], notebook["cells"][1:], strict=False):
        if "panel" in cell["metadata"].get("tags", []):
            panels.append(cell)
            stills.append(before)
    assert len(stills) >= 3
    count_of(page, ".kilncalc-replaced", len(stills), len(stills))
    others = [
        c for c in notebook["cells"] if "picture" in c["metadata"].get("kilncalc", {}) and c not in stills
    ]
    visible = [one for one in current(page).locator(".jp-RenderedMarkdown img").all() if one.is_visible()]
    assert len(visible) == len(others)


def visible_parts(page):
    return page.evaluate(
        """() => [...document.querySelectorAll(`.jp-NotebookPanel:not(.lm-mod-hidden) .jp-Cell >
          :is(.jp-Cell-inputWrapper, .jp-Cell-outputWrapper)`)].filter(part => part.offsetHeight).length"""
    )


def test_what_is_tagged_is_folded_and_says_what_it_is(page):
    for kind, says in (("teacher", "For the teacher"), ("further", "Further"), ("see", "What to see")):
        folds = [fold for fold in current(page).locator(f".kilncalc-fold-{kind}").all() if fold.is_visible()]
        assert folds, kind
        for fold in folds:
            assert says in fold.inner_text()
            assert fold.get_attribute("aria-expanded") == "false"
            shut = visible_parts(page)
            fold.press("Enter")
            assert fold.get_attribute("aria-expanded") == "true"
            assert visible_parts(page) > shut
            fold.press("Enter")
            assert visible_parts(page) == shut
    assert current(page).get_by_text(re.compile(r"The core path takes about \d+ minutes")).is_visible()


def test_the_lessons_are_listed_and_lead_to_each_other(lab, page):
    listed = page.locator(".kilncalc-list")
    listed.locator("a[aria-current=page]").wait_for()
    here = listed.locator("a[aria-current=page]")
    assert here.inner_text() == "Lesson 2 · Volume to weight"
    titles = [link.inner_text() for link in listed.locator("a").all()]
    assert len(titles) == len(list(_resources.lessons().glob("*.ipynb")))
    assert "0 of 3 answered" in listed.inner_text()
    listed.get_by_role("button", name="Cautions").click()
    page.wait_for_function(
        """() => {
          const top = part => part.getBoundingClientRect().top;
          const bar = top(document.querySelector('.kilncalc-bar'));
          const heading = [...document.querySelectorAll('h2')].find(
            one => one.textContent.startsWith('Cautions'));
          return bar < top(heading) && top(heading) < bar + 400;
        }"""
    )
    links = current(page).locator(".kilncalc-next a")
    assert links.all_inner_texts() == [title for title in titles if title != here.inner_text()]


def test_a_click_beside_a_box_and_typing_changes_nothing(page):
    before = cells(page)
    box = current(page).locator(".kilncalc-exercise").first
    box.scroll_into_view_if_needed()
    place = box.bounding_box()
    page.mouse.click(place["x"] + place["width"] / 2, place["y"] - 4)
    page.mouse.dblclick(place["x"] + place["width"] / 2, place["y"] - 4)
    for key in [
        "m",
        "y",
        "a",
        "b",
        "x",
        "d",
        "d",
        "r",
        "1",
        "Enter",
        "Shift+Enter",
        "Alt+Enter",
        "Control+m",
    ]:
        page.keyboard.press(key)
    page.keyboard.type("412 g")
    assert cells(page) == before
    content = "jupyterapp.shell.currentWidget.content"
    assert page.evaluate(f"() => {content}.mode") == "command"
    assert page.evaluate(
        f"() => {content}.widgets.every(cell => cell.model.type === 'code' || cell.rendered)"
    )
    field = box.locator("input[type=text]").first  # a box still takes what is typed, letters of commands too
    field.click()
    page.keyboard.type("addxm")
    assert field.input_value() == "addxm"
    field.fill("")


TOO_WIDE = """() => {
  const outer = document.querySelector('.jp-NotebookPanel:not(.lm-mod-hidden) .jp-WindowedPanel-outer');
  const right = outer.getBoundingClientRect().left + outer.clientWidth + 1;
  const parts = [...outer.querySelectorAll('[class*=kilncalc-], [class*=kilncalc-] *')].filter(
    part => part.getBoundingClientRect().right > right && !part.closest('svg'));
  return [outer.scrollWidth - outer.clientWidth, ...parts.map(part => part.className || part.tagName)];
}"""
"""By how much the page is wider than its window, and what of ours sticks out."""


def wait_until_fitted(page, width):
    """Wait until the page has its new width and nothing sticks out; a picture is drawn a moment later."""
    page.wait_for_function(
        f"width => innerWidth === width && ({TOO_WIDE})().join() === '0'", arg=width, timeout=SECONDS * 1000
    )


DRAWN_TO_SCALE = """() => Math.round(document.querySelector(
  '.jp-NotebookPanel:not(.lm-mod-hidden) .kilncalc-panel .scatterlayer').getBoundingClientRect().height)"""
"""How high the first cup of lesson 2 is drawn [px]."""


def test_nothing_scrolls_sideways_at_any_width_and_a_picture_to_scale_keeps_its_size(page):
    wait_until_fitted(page, 1366)
    high = page.evaluate(DRAWN_TO_SCALE)
    assert high > 150
    try:
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 768})
            wait_until_fitted(page, width)
            for what in ("panel", "exercise"):
                current(page).locator(f".kilncalc-{what}").first.scroll_into_view_if_needed()
                keep(page, f"page-{width}-{what}")
            assert page.evaluate(TOO_WIDE) == [0], width
    finally:
        page.set_viewport_size({"width": 1366, "height": 768})
    wait_until_fitted(page, 1366)
    page.wait_for_function(f"high => ({DRAWN_TO_SCALE})() === high", arg=high)


ON_STAGE = """() => {
  const shown = [...document.querySelectorAll('.jp-NotebookPanel:not(.lm-mod-hidden) .jp-Cell')].filter(
    cell => cell.offsetHeight);
  const panel = shown.length === 1 && shown[0].querySelector('.kilncalc-panel');
  if (!panel || !(parseFloat(getComputedStyle(shown[0]).zoom) > 1.4)) return false;
  const box = panel.getBoundingClientRect();
  return panel.querySelector('.main-svg') && box.width > 0.9 * innerWidth && box.height > 0.6 * innerHeight;
}"""
"""One panel alone, enlarged, and as large as the screen."""


def test_on_the_projector_a_panel_fills_the_screen(page):
    page.set_viewport_size({"width": 1920, "height": 1080})
    try:
        page.get_by_role("button", name="Projector").click()
        for step in ("first", "next"):
            staged = page.locator(".kilncalc-stage .kilncalc-panel")
            staged.wait_for()
            if (skip := staged.get_by_role("button", name="Skip the guess")).is_visible():
                skip.click()
            page.wait_for_function(ON_STAGE)
            keep(page, f"projector-{step}")
            before = staged.element_handle()
            page.get_by_role("button", name="Next picture").click()
            page.wait_for_function(
                "before => !before.closest('.kilncalc-stage') && document.querySelector('.kilncalc-stage')",
                arg=before,
            )
    finally:
        page.get_by_role("button", name="Back to the page").click()
        page.set_viewport_size({"width": 1366, "height": 768})
        page.wait_for_function(
            """() => !document.querySelector('.kilncalc-stage') && [...document.querySelectorAll('.jp-Cell')]
              .filter(cell => cell.offsetHeight).length > 10"""
        )


def test_a_guess_is_made_by_keyboard_and_stands_beside_the_answer(page):
    if (again := current(page).get_by_role("button", name="Guess again").first).is_visible():
        again.click()
    box = current(page).locator(".kilncalc-guess").first
    box.get_by_role("button", name="Show the answer").wait_for()
    assert (
        box.locator("xpath=ancestor::*[contains(@class, 'kilncalc-panel')]").locator(".main-svg").count() == 0
    )
    handle = box.get_by_role("slider")
    handle.focus()
    before = box.locator("input").input_value()
    page.keyboard.press("ArrowRight")
    page.wait_for_function(
        """([box, before]) => {
          const [said, typed] = [box.querySelector('.noUi-handle'), box.querySelector('input').value];
          return typed !== before && said.getAttribute('aria-valuetext') === typed
            && said.getAttribute('aria-label') === 'your guess';
        }""",
        arg=[box.element_handle(), before],
    )
    guessed = box.locator("input").input_value()
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    box.get_by_text("Your guess is").wait_for()
    theirs, ours = (part.bounding_box() for part in box.locator(".kilncalc-reading").all())
    assert theirs["y"] == ours["y"] and theirs["x"] + theirs["width"] <= ours["x"]
    assert box.locator(".kilncalc-reading b").first.text_content() == guessed
    assert re.search(r"\d.* too (high|low)", box.inner_text())


OURS = (".kilncalc-bar", ".kilncalc-fold", ".kilncalc-panel", ".kilncalc-exercise", ".kilncalc-next")


FAINT = """([parts, enough, large]) => {
  const channels = colour => colour.match(/[\\d.]+/g).map(Number);
  const light = ([r, g, b]) => [r, g, b].map(c => c / 255).map(
    c => c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4).reduce(
    (sum, c, n) => sum + c * [0.2126, 0.7152, 0.0722][n], 0);
  const ground = part => {
    for (; part; part = part.parentElement) {
      const found = channels(getComputedStyle(part).backgroundColor);
      if (found[3] === undefined || found[3] === 1) return found;
    }
    return [255, 255, 255];
  };
  const words = part => ['INPUT', 'SELECT', 'TEXTAREA'].includes(part.tagName) ? part.value
    : [...part.childNodes].filter(node => node.nodeType === 3).map(node => node.data).join('').trim();
  const said = [...document.querySelectorAll(parts)].filter(
    part => part.offsetWidth && !part.disabled && words(part) && part.tagName !== 'OPTION');
  return said.map(part => {
    const style = getComputedStyle(part);
    const [one, other] = [light(channels(style.color)), light(ground(part))].sort((a, b) => b - a);
    const ratio = (one + 0.05) / (other + 0.05);
    const size = parseFloat(style.fontSize) * (style.fontWeight >= 700 ? 24 / 18.66 : 1);
    return ratio < (size >= 24 ? large : enough) ? `${ratio.toFixed(1)} ${words(part).slice(0, 60)}` : '';
  }).filter(Boolean);
}"""
"""What of ours is too faint on its ground: axe-core does not look into what scrolls."""


def serious(page):
    """Return what axe-core calls serious in our parts of the page, and what is too faint."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-core is not installed")
    parts = [[f".jp-NotebookPanel:not(.lm-mod-hidden) {part}"] for part in OURS]
    found = axe.Axe().run(page, context={"include": [*parts, [".kilncalc-list"]]})
    whole = ", ".join(f"{part} *" for (part,) in [*parts, [".kilncalc-list"]])
    # published: WCAG 2.1, 1.4.3: 4.5 to 1, for large words (24 px, or bold 18.66 px) 3 to 1
    return page.evaluate(FAINT, [whole, 4.5, 3]) + [
        (rule["id"], node["html"][:200], node["failureSummary"])
        for rule in found.response["violations"]
        if rule["impact"] in ("serious", "critical")
        for node in rule["nodes"]
    ]


def show_theme(page, name, setting):
    """Change the theme, and wait until the page shows it and the server has kept it."""
    page.evaluate(
        "async theme => { await jupyterapp.commands.execute('apputils:change-theme', {theme}) }", name
    )
    page.wait_for_function(
        "light => document.body.dataset.jpThemeLight === light", arg="true" if "Light" in name else "false"
    )
    wait_until(page, lambda: name in setting.read_text(encoding="utf-8"))


def wait_until(page, what):
    """Wait for something outside the page."""
    late = time.monotonic() + SECONDS
    while not what():
        assert time.monotonic() < late
        page.wait_for_timeout(100)


@pytest.mark.parametrize("theme", ["JupyterLab Light", "JupyterLab Dark"])
def test_axe_finds_no_serious_error_in_our_part_in_either_theme(lab, page, theme):
    (setting,) = (lab.home / ".jupyter").rglob("themes.jupyterlab-settings")
    theirs = setting.read_bytes()
    show_theme(page, theme, setting)
    page.evaluate("() => document.querySelectorAll('.kilncalc-fold').forEach(fold => fold.click())")
    try:
        current(page).locator(".kilncalc-panel").first.scroll_into_view_if_needed()
        keep(page, f"page-{theme[11:].lower()}")
        assert serious(page) == []
    finally:
        page.evaluate("() => document.querySelectorAll('.kilncalc-fold').forEach(fold => fold.click())")
        show_theme(page, "JupyterLab Light", setting)
        setting.write_bytes(theirs)


LATE = ".kilncalc-panel-cell:not(.kilncalc-alive)"


@pytest.mark.sweep
@pytest.mark.parametrize("name", sorted(path.name for path in _resources.lessons().glob("*.ipynb")))
def test_axe_finds_no_serious_error_in_any_lesson_unfolded_in_either_theme(lab, page, name):
    open_beside(page, name)
    wait_for(page, "alive")
    skip = current(page).get_by_role("button", name="Skip the guess")
    shut = current(page).locator(".kilncalc-fold[aria-expanded=false]:visible")
    while shut.count():
        shut.first.click()
    for _ in range(skip.count()):
        asked = skip.count()
        skip.first.click()
        expect(skip).to_have_count(asked - 1, timeout=SECONDS * 1000)
    for panel in current(page).locator(".kilncalc-panel-cell").all():  # some are worked out when come near
        panel.scroll_into_view_if_needed()
    page.wait_for_function(
        "late => !document.querySelector(`.jp-NotebookPanel:not(.lm-mod-hidden) ${late}`)", arg=LATE
    )
    (setting,) = (lab.home / ".jupyter").rglob("themes.jupyterlab-settings")
    theirs = setting.read_bytes()
    try:
        for theme in ("JupyterLab Light", "JupyterLab Dark"):
            show_theme(page, theme, setting)
            assert serious(page) == [], theme
    finally:
        show_theme(page, "JupyterLab Light", setting)
        setting.write_bytes(theirs)


def planted(folder):
    """Put notebooks there that are no lessons, or no longer."""
    made = json.loads((_resources.lessons() / LESSON).read_text(encoding="utf-8"))
    code = [cell for cell in made["cells"] if cell["cell_type"] == "code"]
    folder.mkdir()
    code[-1]["source"] = [PLANT]  # the digest in the metadata says that nothing was changed
    (folder / "forged.ipynb").write_text(json.dumps(made), encoding="utf-8")
    made["cells"] = [*made["cells"][:1], {**code[-1], "id": "planted", "metadata": {}}]
    (folder / "own.ipynb").write_text(
        json.dumps({**made, "metadata": {"kernelspec": made["metadata"]["kernelspec"]}}), encoding="utf-8"
    )
    (folder / "kilncalc.py").write_text(PLANT, encoding="utf-8")
    shipped = (_resources.lessons() / LESSON).read_text(encoding="utf-8")
    (folder / "beside.ipynb").write_text(shipped, encoding="utf-8")


ANSWERED = "() => jupyterapp.shell.currentWidget.sessionContext.session.kernel.requestKernelInfo()"


def wait_for_kernel(page):
    page.wait_for_function(
        "() => jupyterapp.shell.currentWidget.sessionContext.session?.kernel?.status === 'idle'"
    )


def test_nothing_but_a_lesson_runs_by_itself(lab, page):
    folder = lab.folder / "handed-in"
    planted(folder)
    for name, why in (("forged", "Its code is not that of lesson 2"), ("own", "It is not a lesson")):
        open_beside(page, f"handed-in/{name}.ipynb")
        wait_for(page, "offered")
        assert why in current(page).locator(".kilncalc-status").inner_text()
        current(page).locator(".jp-CodeCell .cm-content").last.wait_for(state="visible")  # what would run
        wait_for_kernel(page)
        page.evaluate(ANSWERED)  # so whatever cell it had been given by now would be done
    assert not (folder / "planted").exists()
    # A lesson beside a planted kilncalc.py runs, with the kit's own code.
    open_beside(page, "handed-in/beside.ipynb")
    wait_for(page, "alive")
    assert not (folder / "planted").exists()
    # And what was asked for is run.
    open_beside(page, "handed-in/own.ipynb")
    current(page).get_by_role("button", name="Run this page").click()
    wait_until(page, (folder / "planted").exists)


def test_a_folder_in_inches_shows_inches_before_anything_is_run(lab, page):
    folder = lab.folder / "inches"
    folder.mkdir()
    (folder / LESSON).write_bytes((_resources.lessons() / LESSON).read_bytes())
    (folder / "session.json").write_text('{"student": "", "units": "inches"}', encoding="utf-8")
    open_beside(page, f"inches/{LESSON}")
    wait_for(page, "alive")
    for image in count_of(page, ".kilncalc-metric + * img", 3).all():
        page.wait_for_function("it => it.naturalWidth > 300", arg=image.element_handle())
        assert " in" in image.get_attribute("alt") or "oz" in image.get_attribute("alt")


def test_units_chosen_elsewhere_are_taken_while_a_page_is_open(lab, page):
    """The page of the test before, in inches."""
    for units, least, most in (("metric", 0, 0), ("inches", 3, 99)):
        told = json.dumps({"student": "", "units": units})
        (lab.folder / "inches/session.json").write_text(told, encoding="utf-8")
        page.evaluate("() => document.dispatchEvent(new Event('visibilitychange'))")  # as on coming back
        page.wait_for_function(
            """([least, most]) => {
                  const open = document.querySelector('.jp-NotebookPanel:not(.lm-mod-hidden)');
                  const shown = open.querySelectorAll('.kilncalc-inches').length;
                  return shown >= least && shown <= most
                    && shown === open.querySelectorAll('.kilncalc-metric').length;
                }""",
            arg=[least, most],
        )


def test_a_hand_out_opens_alive_without_the_teachers_notes(lab, page):
    student = roster.Student("S07", "", "metric")
    handout.hand_out([student], handout.shipped_lessons(["2"]), lab.folder)
    open_beside(page, f"S07/{LESSON}")
    wait_for(page, "alive")
    assert current(page).locator(".kilncalc-fold-teacher").count() == 0
    count_of(page, ".kilncalc-alive", 2)
    page.wait_for_function("() => document.querySelectorAll('.kilncalc-list a').length === 1")
    count_of(page, ".kilncalc-exercise", 1)
    asked = page.evaluate(
        """() => [...document.querySelectorAll('.jp-NotebookPanel:not(.lm-mod-hidden) .kilncalc-exercise')]
          .filter(box => box.checkVisibility())
          .map(box => [box.innerText, box.closest('.jp-Cell').previousElementSibling.innerText.trim()])"""
    )
    assert len(asked) >= 3  # the core path's
    for box, words_above in asked:  # they are in the copy for paper; on the page the box asks, and it alone
        assert box.startswith("Exercise 2.") and words_above == ""


@pytest.mark.slow
@pytest.mark.parametrize("told_by_the_server", [True, False])
def test_a_kernel_that_has_gone_is_said_and_comes_back(lab, page, told_by_the_server):
    name = "0-start-here.ipynb"
    open_beside(page, name)
    wait_for(page, "alive")
    with urllib.request.urlopen(lab.api("sessions"), timeout=SECONDS) as answer:
        before = answer.read()
    (kernel,) = [one["kernel"]["id"] for one in json.loads(before) if one["path"] == name]
    end = urllib.request.Request(lab.api(f"kernels/{kernel}"), method="DELETE")
    # The page learns it from the server's list of sessions, or from silence where that list is an old one.
    asked = re.compile(r"/api/sessions\?")
    if not told_by_the_server:
        page.route(
            asked,
            lambda route: (
                route.fulfill(body=before, content_type="application/json")
                if route.request.method == "GET"
                else route.continue_()
            ),
        )
    try:
        urllib.request.urlopen(end, timeout=SECONDS).close()
        wait_for(page, "asleep")
        assert "has stopped" in current(page).locator(".kilncalc-status").inner_text()
        current(page).get_by_role("button", name="Wake it").click()
        wait_for(page, "alive")
    finally:
        page.unroute(asked)
    page.wait_for_selector(
        ".jp-NotebookPanel:not(.lm-mod-hidden) .kilncalc-alive :is(.main-svg, .kilncalc-guess)"
    )


def test_a_lesson_is_printed_in_the_units_of_its_folder(lab):
    with urllib.request.urlopen(lab.api(f"html/S07/{LESSON}", "nbconvert"), timeout=SECONDS) as answer:
        text = answer.read().decode("utf-8")
    assert "<script" not in text and "Run All" not in text
    assert os.path.getsize(lab.folder / "S07" / LESSON) > 0


def test_a_page_is_changed_only_on_purpose_and_its_original_kept(lab, page):
    before = notebooks.read(lab.folder / LESSON)
    open_beside(page, LESSON)
    wait_for(page, "alive")
    current(page).get_by_role("button", name="Change this page").click()
    dialog = page.locator(".jp-Dialog")
    assert "2-volume-to-weight-original.ipynb" in dialog.inner_text()
    dialog.get_by_role("button", name="Change this page").click()
    current(page).get_by_text("You can change this page now").wait_for()
    kept = notebooks.read(lab.folder / "2-volume-to-weight-original.ipynb")
    assert notebooks.digest(kept) == notebooks.digest(before)
    assert all(cell["metadata"]["editable"] is False for cell in kept["cells"])
    current(page).locator(".jp-MarkdownCell .jp-RenderedMarkdown").first.dblclick()
    current(page).locator(".jp-MarkdownCell .cm-content").first.click()
    page.keyboard.type("My own words. ")
    wait_until(page, lambda: "My own words." in cells(page)[0][1])
    current(page).get_by_role("button", name="Show the original").click()
    page.wait_for_function("() => jupyterapp.shell.currentWidget.context.path.endsWith('original.ipynb')")
    wait_for(page, "alive")
    assert cells(page)[0][1].startswith("# Lesson 2")


TOO_LATE = """() => {
  const timeout = AbortSignal.timeout.bind(AbortSignal);
  let late = 2;
  AbortSignal.timeout = ms => timeout((ms === 2000 || ms === 60000) && late-- > 0 ? 0 : ms);
}"""
"""anywidget gives up on a picture whose code comes late: here, on the first two of a page at once."""


@pytest.mark.slow
def test_no_panel_stays_empty_on_a_machine_that_is_too_slow_for_a_picture(lab, browser):
    given_up = []

    def prepare(page):
        page.add_init_script(f"({TOO_LATE})()")
        page.on("pageerror", lambda error: given_up.append(str(error)))

    page = fresh(lab, browser, LESSON, prepare)
    wait_for(page, "alive")
    assert [error for error in given_up if "anywidget" in error], "nothing came late: the test tests nothing"
    for panel in current(page).locator(".kilncalc-panel").all():
        if panel.is_visible():
            assert panel.locator(".main-svg, .kilncalc-guess").first.is_visible()
    page.context.close()


def fresh(lab, browser, name="0-start-here.ipynb", prepare=lambda page: None):
    """Open a lesson in a browser that has never been here."""
    context = browser.new_context(viewport={"width": 1366, "height": 768})
    context.set_default_timeout(SECONDS * 1000)
    page = context.new_page()
    prepare(page)
    page.goto(lab.url(name))
    return page


@pytest.mark.slow
def test_a_kernel_that_does_not_start_is_said_in_a_sentence_and_started_by_a_button(lab, browser):
    with urllib.request.urlopen(lab.api("sessions"), timeout=SECONDS) as answer:
        for session in json.loads(answer.read()):  # a page whose kernel runs already asks for none
            end = urllib.request.Request(lab.api(f"sessions/{session['id']}"), method="DELETE")
            urllib.request.urlopen(end, timeout=SECONDS).close()
    failing = {"left": 1}

    def refuse_once(route):
        if route.request.method == "POST" and failing["left"]:
            failing["left"] -= 1
            route.fulfill(status=500, json={"message": "no kernel today"})
        else:
            route.continue_()

    def be_impatient(route):
        script = route.fetch().text()
        assert script.count("KERNEL_WAIT = 30000") == 1
        route.fulfill(
            body=script.replace("KERNEL_WAIT = 30000", "KERNEL_WAIT = 1000"), content_type="text/javascript"
        )

    def prepare(page):
        page.route(re.compile(r"/api/sessions"), refuse_once)
        page.route(re.compile(r"/static/plugin\.js"), be_impatient)

    page = fresh(lab, browser, prepare=prepare)
    # JupyterLab says so too, and then asks for a kernel: put away whenever it comes.
    page.add_locator_handler(
        page.locator(".jp-Dialog"), lambda _: page.keyboard.press("Escape"), no_wait_after=True
    )
    wait_for(page, "failed")
    status = current(page).locator(".kilncalc-status")
    assert "has not started" in status.inner_text() and "still pictures are all here" in status.inner_text()
    assert current(page).locator(".jp-RenderedMarkdown img").first.is_visible()
    current(page).get_by_role("button", name="Start it").click()
    wait_for(page, "alive")
    page.wait_for_selector(".kilncalc-alive .kilncalc-panel")
    page.context.close()


@pytest.mark.slow
def test_a_run_that_breaks_off_is_said_and_run_again_by_a_button(lab, browser):
    page = fresh(lab, browser)
    page.wait_for_selector(".kilncalc-alive")
    page.evaluate("() => jupyterapp.shell.currentWidget.sessionContext.session.kernel.shutdown()")
    page.wait_for_selector(".kilncalc-bar:is([data-state=failed], [data-state=asleep])")
    page.locator(".kilncalc-do").click()
    wait_for(page, "alive")
    page.context.close()


@pytest.mark.slow
def test_in_a_jupyterlab_that_does_not_know_the_page_a_lesson_works_as_any_notebook(lab, browser):
    def prepare(page):
        page.route(re.compile(r"/kilncalc/static/remoteEntry"), lambda route: route.abort())

    page = fresh(lab, browser, prepare=prepare)
    page.locator(".jp-RenderedMarkdown").get_by_text(
        "Run > Run All Cells"
    ).first.wait_for()  # hidden on a page
    wait_for_kernel(page)
    assert page.locator(".kilncalc-bar").count() == 0
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_role("menuitem", name=re.compile("^Run All Cells")).click()
    page.locator(".kilncalc-exercise").first.wait_for()
    page.locator(".kilncalc-panel").locator(".main-svg, .kilncalc-guess").first.wait_for()
    page.context.close()
