"""The form of lesson 6 in a browser: a size is changed, the plan follows, the piece is saved."""

import pytest
from conftest import LISTEN, SECONDS, SETTLED, keep

from kilncalc.project import Project
from kilncalc.read_back import class_firings

LESSON = "6-whole-piece.ipynb"


@pytest.fixture(scope="module")
def page(lab, browser):
    context = browser.new_context(viewport={"width": 1366, "height": 768})
    context.set_default_timeout(SECONDS * 1000)
    made = context.new_page()
    made.kilncalc_errors = []
    made.on("pageerror", lambda error: made.kilncalc_errors.append(str(error)))
    made.goto(lab.url(LESSON))
    made.wait_for_selector(".kilncalc-bar[data-state=alive]")
    made.evaluate(LISTEN)
    made.wait_for_selector(".kilncalc-form .main-svg")
    yield made
    assert made.kilncalc_errors == []
    context.close()


def test_a_size_is_changed_the_plan_follows_and_the_piece_is_saved(page, lab):
    from playwright.sync_api import expect  # only where there is a browser

    form = page.locator(".kilncalc-form:has(.kilncalc-steps)")
    form.scroll_into_view_if_needed()
    keep(page, "form-form")
    size = form.get_by_label("size: finished length and width")
    size.fill("300 x 200 mm")
    size.press("Enter")
    caption = form.locator(".kilncalc-caption")
    caption.filter(has_text="relief tray, 300 mm by 200 mm").wait_for()
    expect(size).to_have_value("300 mm × 200 mm")
    size.fill("300")
    size.press("Enter")
    form.get_by_text("size: “300” is not two lengths; write 240 mm × 180 mm").wait_for()
    expect(size).to_have_value("300 mm × 200 mm")
    form.get_by_role("button", name="3 On it").press("Enter")
    # hand: trimmed 1.5 mm an edge: 303 x 203 x 6.8 mm x 2.5 g/cm3 = 1045.7 g
    form.get_by_text("base: 1046 g").wait_for()
    link = form.get_by_role("link", name="lesson 2", exact=True).first
    expect(link).to_have_attribute("href", "2-volume-to-weight.ipynb")
    expect(link).to_have_attribute("target", "_blank")
    keep(page, "form-on-it")
    form.get_by_role("button", name="Save", exact=True).click()
    form.get_by_text("Saved as relief-tray.toml").wait_for()
    assert Project.read(lab.folder / "relief-tray.toml").size == (0.3, 0.2)


def test_stripes_move_over_a_picture_that_is_a_second_late_without_a_word_of_the_kernel(page):
    said = """(picture) => {
      picture.classList.add("kilncalc-working");
      const moves = picture.getAnimations({ subtree: true });
      const look = (time) => {
        for (const move of moves) move.currentTime = time;  // of no clock: a busy machine looks late
        const { visibility, backgroundPosition } = getComputedStyle(picture, "::before");
        return [visibility, backgroundPosition];
      };
      const seen = [0, 990, 1010, 1500, 600000].map(look);
      picture.classList.remove("kilncalc-working");
      return [seen.map(([visibility]) => visibility), seen[2][1] !== seen[3][1]];
    }"""
    picture = page.locator(".kilncalc-form:has(.kilncalc-steps) .kilncalc-shown > :has(> .kilncalc-drawn)")
    assert picture.evaluate(said) == [["hidden", "hidden", "visible", "visible", "visible"], True]


@pytest.mark.parametrize("width", [390, 683, 1366])
def test_no_step_needs_a_scrollbar_sideways_and_each_fits_a_small_laptop(page, width):
    page.set_viewport_size({"width": width, "height": 768})
    form = page.locator(".kilncalc-form:has(.kilncalc-steps)")
    room = page.locator(".jp-WindowedPanel-outer").first.bounding_box()["height"]
    room -= page.locator(".kilncalc-bar").bounding_box()["height"]
    for step in form.locator(".kilncalc-steps button").all():
        step.click()
        form.evaluate(SETTLED)
        name = step.inner_text()
        wide = form.evaluate("node => [node.scrollWidth, node.clientWidth]")
        assert wide[0] <= wide[1] + 1, (name, width, wide)
        if width == 1366:
            assert form.bounding_box()["height"] <= room, name
        unnamed = form.evaluate(
            """node => [...node.querySelectorAll('input, select, textarea, button')].filter(one =>
            !one.getAttribute('aria-label') && !one.labels?.length && !one.textContent.trim() && !one.title
            && one.type !== 'file').map(one => one.outerHTML)"""
        )
        assert unnamed == []
        keep(page, f"form-{width}-{name[0]}")


def test_a_log_from_elsewhere_is_laid_over_its_plan_and_a_lesson_is_one_click_away(page, lab, tmp_path):
    page.set_viewport_size({"width": 1366, "height": 768})
    firing = next(one for one in class_firings() if one.name == "E")
    rows = [f"{t / 60:g};{x:.0f}" for t, x in zip(firing.log.time, firing.log.temperature, strict=True)]
    (tmp_path / "monday.csv").write_text("\n".join(["minutes;kiln °C", *rows]), encoding="utf-8")
    form = page.locator(".kilncalc-form:has(.kilncalc-steps)")
    form.get_by_role("button", name="8 Record").click()
    form.evaluate(SETTLED)
    form.get_by_role("button", name="Add").click()
    form.get_by_label("firing: which of the planned firings it was").fill("2")
    form.get_by_label("firing: which of the planned firings it was").press("Enter")
    segments = form.get_by_label("segments: the segments as run")
    segments.fill(firing.plan.to_text())
    segments.blur()
    with page.expect_file_chooser() as chooser:
        form.get_by_role("button", name="Choose").first.click()
    chooser.value.set_files(tmp_path / "monday.csv")
    form.evaluate(SETTLED)
    form.get_by_label("picture", exact=True).select_option("log over the plan")
    form.get_by_text("Cold, the log shows 20 °C less than the room has").first.wait_for()
    assert (lab.folder / "monday.csv").read_text(encoding="utf-8").startswith("minutes;kiln")
    form.evaluate(SETTLED)
    keep(page, "form-log")
    form.get_by_role("button", name="5 Firings").click()
    form.evaluate(SETTLED)
    with page.context.expect_page() as opened:
        form.get_by_role("link", name="4b", exact=True).click()
    opened.value.get_by_role("heading", name="Uneven pieces").first.wait_for()
    assert opened.value.url.split("?")[0].endswith("4b-uneven-pieces.ipynb")
    opened.value.close()


def test_the_card_of_a_piece_is_shown_on_the_page(page):
    page.set_viewport_size({"width": 1366, "height": 768})
    box = page.locator(".kilncalc-form:not(:has(.kilncalc-steps))")
    box.get_by_label("piece", exact=True).select_option("bookend")
    box.get_by_role("button", name="Make the page").click()
    box.get_by_role("link", name="Keep it as bookend-card.html").wait_for()
    card = box.frame_locator("iframe")
    card.get_by_text("bookend").first.wait_for()
    box.scroll_into_view_if_needed()
    keep(page, "form-card")


def test_a_traceback_that_a_callback_would_lose_is_heard(page):
    """What the other tests listen for: what a callback raises goes to this logger, and no cell shows it."""
    lost = "__import__('logging').getLogger('Comm').exception('lost')"
    code = f"try: 1 / 0\\nexcept ArithmeticError: {lost}"
    kernel = "jupyterapp.shell.currentWidget.sessionContext.session.kernel"
    assert page.evaluate("() => kilncalcLost") == [], "something was lost before"
    page.evaluate(f"() => {kernel}.requestExecute({{code: `{code}`}}).done")
    page.wait_for_function("() => kilncalcLost.splice(0).some(text => text.includes('ZeroDivisionError'))")
