"""The pages of a piece that lesson 6 shows: the card by the kiln, the project sheet, the record."""

import datetime
from pathlib import Path

from kilncalc.classroom import card
from kilncalc.panels._pages import PageBox
from kilncalc.plan import plan
from kilncalc.project import Project
from kilncalc.quantities import Show


def page_box(units: str = "metric") -> PageBox:
    """Return the box of lesson 6 in which the pages of a piece are made."""
    return PageBox(PAGES, units)


def _card(piece: Project, show: Show, start: str) -> str:
    return card.card(plan(piece), show, _moment(start))


def _sheet(piece: Project, show: Show, _start: str) -> str:
    return card.sheet(plan(piece), show)


def _record(piece: Project, show: Show, _start: str) -> str:
    if not piece.fired:
        raise ValueError("nothing was fired yet: write it down in the form, step Record, and save")
    return card.record(piece, show, Path.cwd())


PAGES = {"card for the kiln": _card, "project sheet for others": _sheet, "record of what was fired": _record}
"""What can be printed of a piece, and how it is made."""


def _moment(text: str) -> datetime.datetime | None:
    if not text.strip():
        return None
    try:
        return datetime.datetime.strptime(text.strip(), "%Y-%m-%d %H:%M")
    except ValueError:
        raise ValueError(
            f"“{text.strip()[:40]}” is not a day and a time of the clock; write 2026-03-05 18:30, or nothing"
        ) from None
