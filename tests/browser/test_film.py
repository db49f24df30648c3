"""Lesson 3b's film in a real browser: its play button, and its sliders on a page as narrow as a phone."""

import pytest
from conftest import SECONDS, open_alone

from kilncalc.panels import lesson3b

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def page(lab, browser):
    page = browser.new_page(viewport={"width": 390, "height": 844})
    page.set_default_timeout(SECONDS * 1000)
    open_alone(lab, page, "from kilncalc.panels import lesson3b, show\nshow(lesson3b.film)")
    yield page
    page.close()


@pytest.fixture(scope="module")
def panel(page):
    panel = page.locator(".kilncalc-panel", has_text=lesson3b.film.title).first
    panel.locator(".js-plotly-plot .main-svg").first.wait_for()
    panel.scroll_into_view_if_needed()
    return panel


def minutes(panel) -> float:
    return float(panel.locator(".widget-text input").first.input_value().removesuffix(" min"))


def test_no_control_covers_another_on_a_narrow_page(page, panel):
    parts = panel.locator(
        ".kilncalc-controls .widget-label, .kilncalc-controls .noUi-base, .kilncalc-controls input, "
        ".kilncalc-controls select, .kilncalc-controls .widget-play button"
    )
    boxes = [box for box in (part.bounding_box() for part in parts.all()) if box and box["width"]]
    assert len(boxes) >= 12
    for number, one in enumerate(boxes):
        for other in boxes[:number]:
            apart = (
                one["x"] + one["width"] <= other["x"] + 1
                or other["x"] + other["width"] <= one["x"] + 1
                or one["y"] + one["height"] <= other["y"] + 1
                or other["y"] + other["height"] <= one["y"] + 1
            )
            assert apart, (one, other)
    for rail in panel.locator(".kilncalc-controls .noUi-base").all():
        assert rail.bounding_box()["width"] >= 120  # px, own choice: wide enough for a finger's steps


def test_the_play_button_runs_the_film_and_stops_it(page, panel):
    start = minutes(panel)
    assert start == lesson3b.film.controls[0].start("metric") / 60
    button = panel.get_by_role("button", name="Play or pause")
    button.click()
    page.wait_for_function(
        "([box, start]) => parseFloat(box.value) >= start + 4",
        arg=[panel.locator(".widget-text input").first.element_handle(), start],
    )
    button.click()
    page.wait_for_function(
        "caption => { const now = caption.textContent, same = window.seen === now;"
        " window.seen = now; return same; }",
        arg=panel.locator(".kilncalc-caption").first.element_handle(),
        polling=1500,
    )
    stopped = minutes(panel)
    assert start + 4 <= stopped < 55
    said = lesson3b.film.picture("metric", time=60 * stopped)["caption"]
    assert panel.locator(".kilncalc-caption").first.inner_text() == said  # the picture has kept up
