"""The box of lesson 6 that makes a piece's pages: what it offers, makes, and says when it cannot."""

import base64
import html
import re

import pytest

from kilncalc.classroom.pages import PAGES, page_box
from kilncalc.project import SCENARIO, scenario

CARD, SHEET, RECORD = PAGES


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


def kept(box):
    """Return name and content of the page as it would be kept."""
    name, content = re.search(
        r'download="([^"]+)" href="data:text/html;base64,([^"]+)"', box.message.value
    ).groups()
    return name, base64.b64decode(content).decode()


def test_the_card_is_shown_and_kept_as_one_file(folder):
    box = page_box("metric")
    assert box.piece.options == SCENARIO  # nothing saved yet
    box.piece.value = "bookend"
    box.start.value = "2026-03-05 18:30"
    box.on_make()
    name, written = kept(box)
    assert name == "bookend-card.html"
    assert written.startswith("<!DOCTYPE html>") and "bookend" in written and "18:30" in written
    assert html.escape(written) in box.page.value and " sandbox " in box.page.value  # it can run nothing
    assert not list(folder.iterdir())  # a page to look at writes nothing


def test_a_piece_saved_since_is_found_and_comes_first(folder):
    box = page_box("inches")
    scenario("bookend").write(folder / "mine.toml")
    box.on_again()
    assert box.piece.options == ("mine.toml", *SCENARIO)
    box.piece.value = "mine.toml"
    box.kind.value = SHEET
    box.on_make()
    name, written = kept(box)
    assert name == "mine-project.html" and "5.12 in" in written  # hand: 130 mm are 5.118 in


@pytest.mark.parametrize(
    ("kind", "start", "sentence"),
    [
        (CARD, "next Thursday", "is not a day and a time of the clock; write 2026-03-05 18:30"),
        (RECORD, "", "nothing was fired yet"),
    ],
)
def test_what_cannot_be_made_is_said(folder, kind, start, sentence):
    box = page_box()
    box.piece.value, box.kind.value, box.start.value = "bookend", kind, start
    box.on_make()
    assert sentence in box.message.value and box.page.value == ""


def test_a_file_that_is_no_piece_is_said_with_its_line(folder):
    (folder / "questions.toml").write_text('title = "mine"\n', encoding="utf-8")
    box = page_box()
    box.piece.value = "questions.toml"
    box.on_make()
    assert "questions.toml, line 1" in box.message.value and 'role="alert"' in box.message.value
    (folder / "questions.toml").unlink()
    box.on_make()  # gone meanwhile
    assert "questions.toml" in box.message.value
    assert "kilncalc card" in repr(box)  # what stands on paper
