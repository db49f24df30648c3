"""The drawing surface of lesson 4b in a browser: by keyboard, added, removed, a file, rubbish, compared."""

import numpy as np
import pytest
from conftest import LISTEN, SECONDS, SETTLED, keep, open_alone
from PIL import Image
from playwright.sync_api import expect


@pytest.fixture(scope="module")
def surface(lab, browser):
    page = browser.new_page(viewport={"width": 1366, "height": 768})
    page.set_default_timeout(SECONDS * 1000)
    expect.set_options(timeout=SECONDS * 1000)
    lost = []
    page.on("pageerror", lambda error: lost.append(str(error)))
    open_alone(lab, page, "from kilncalc.panels import lesson4b, show\nshow(lesson4b.drawing)")
    drawing = page.locator(".kilncalc-drawing")
    expect(drawing.locator(".js-plotly-plot .main-svg").first).to_be_visible()
    expect(drawing.locator(".kilncalc-reading").first).to_contain_text("heated; likely")
    page.evaluate(LISTEN)
    yield drawing
    keep(drawing, "4b-drawing")
    page.close()
    assert lost == []


def rows(surface):
    return surface.locator(".kilncalc-drawing-list .widget-hbox")


def typed(surface, label, text):
    """Type into the box of this label, found as a screen reader finds it, and leave it by Enter."""
    box = surface.get_by_label(label, exact=True)
    box.fill(text)
    box.press("Enter")


def turn_to(surface, page):
    button = surface.get_by_role("button", name=page, exact=True)
    button.focus()
    button.press("Enter")


def test_a_shape_is_laid_by_keyboard_fired_and_removed(surface):
    expect(rows(surface)).to_have_count(4)
    surface.get_by_label("lay on it").select_option("disc")
    typed(surface, "its middle", "130 x 60 mm")
    typed(surface, "its diameter", "1 in")
    add = surface.get_by_role("button", name="Add it")
    add.focus()
    add.press("Enter")
    expect(rows(surface)).to_have_count(5)
    expect(rows(surface).last).to_contain_text("5. disc: middle 130 x 60 mm, diameter 25.4 mm, adds 3.0 mm")
    turn_to(surface, "in the kiln")
    expect(surface.locator(".kilncalc-table")).to_contain_text("5 disc")
    expect(surface.locator(".kilncalc-caption")).to_contain_text("it is pulled most")
    surface.evaluate(SETTLED)
    for cells in surface.locator(".heatmaplayer image").all():  # on a small laptop, a table below them
        assert cells.bounding_box()["height"] > 90
    turn_to(surface, "the piece")
    remove = surface.get_by_role("button", name="Remove 1")
    remove.focus()
    remove.press("Enter")
    expect(rows(surface)).to_have_count(4)
    turn_to(surface, "in the kiln")
    expect(surface.locator(".kilncalc-table")).to_contain_text("4 disc")
    turn_to(surface, "the piece")


def test_rubbish_gets_a_sentence_that_a_screen_reader_reads_out(surface):
    typed(surface, "its diameter", "a good handful")
    surface.get_by_role("button", name="Add it").click()
    expect(surface.get_by_role("alert")).to_contain_text("its diameter: “a good handful” cannot be read")
    expect(rows(surface)).to_have_count(4)
    typed(surface, "its diameter", "20 mm")
    surface.get_by_role("button", name="Add it").click()
    expect(rows(surface)).to_have_count(5)
    expect(surface.get_by_role("alert")).to_have_count(0)


def test_old_and_new_stand_side_by_side(surface):
    turn_to(surface, "in the kiln")
    surface.evaluate(SETTLED)  # a button that is about to be locked swallows a click
    surface.get_by_role("button", name="Compare with this one").click()
    expect(surface.get_by_role("button", name="Stop comparing")).to_be_visible()
    turn_to(surface, "the piece")
    surface.evaluate(SETTLED)
    surface.get_by_role("button", name="Remove 5").click()
    turn_to(surface, "in the kiln")
    expect(surface.locator(".kilncalc-caption")).to_contain_text("As it is, heating pulls with")
    surface.get_by_role("button", name="Stop comparing").click()
    expect(surface.locator(".kilncalc-caption")).to_contain_text("it is pulled most")
    turn_to(surface, "the piece")


def choose(surface, path):
    """Choose a file as a person does, by keyboard."""
    button = surface.get_by_role("button", name="Choose a picture")
    with surface.page.expect_file_chooser() as opened:
        button.focus()
        button.press("Enter")
    opened.value.set_files(path)


def test_a_picture_file_is_loaded_and_what_is_none_is_refused(surface, tmp_path):
    surface.get_by_label("the piece is of").select_option("a picture file")
    expect(surface.get_by_role("alert")).to_contain_text("Choose a picture")
    (tmp_path / "none.png").write_bytes(b"no picture")
    choose(surface, tmp_path / "none.png")
    expect(surface.get_by_role("alert")).to_contain_text("the picture cannot be read as a picture")
    dots = np.full((20, 30), 255, dtype=np.uint8)
    dots[:, 10:20] = 0
    Image.fromarray(dots).save(tmp_path / "mine.png")
    choose(surface, tmp_path / "mine.png")
    # hand: 200 mm over 30 dots, 20 rows: 133 mm high, cells of 6.67 mm
    said = surface.locator(".kilncalc-caption").first
    expect(said).to_contain_text("The piece is 200 mm by 133 mm and 3.0 mm to 6.0 mm thick")
    expect(surface.get_by_role("alert")).to_have_count(0)
    turn_to(surface, "in the kiln")
    expect(surface.locator(".kilncalc-caption")).to_contain_text("where it is 6.0 mm thick")
