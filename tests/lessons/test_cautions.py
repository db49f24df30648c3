"""Every lesson is printed alone: each caution stands in every lesson whose work it belongs to."""

import json
import re
from pathlib import Path

import pytest

LESSONS = Path(__file__).resolve().parents[2] / "lessons"
ALL = ("0", "1", "2", "3", "3b", "4", "4b", "5", "6")
FIRED = ("0", "1", "2", "3", "3b", "4", "4b", "6")

# common practice, no source; which lesson has which work follows from its text
CAUTIONS = {
    "wiring: licensed electrician and local code": (
        ALL,
        r"licensed electrician",
        r"local (electrical )?code",
    ),
    "mains off before reaching in": (FIRED, r"[Mm]ains off"),
    "gloves and eyes at a hot kiln": (FIRED, r"gloves"),
    "infrared light": (("1", "2", "3", "3b", "4", "4b", "6"), r"[Ii]nfrared"),
    "only an aid to judgement": (ALL, r"aids? to judgement"),
    "the controller's unit": (("0", "3b", "4", "4b", "6"), r"controller's unit"),
    "the error of a thermocouple": (("3b", "4", "4b", "6"), r"type K"),
    "an untested schedule is watched": (("0", "4", "4b", "6"), r"[Ww]atch"),
    "burn-off": (("2", "3", "3b", "4", "4b", "6"), r"[Vv]ent open", r"people out"),
    "a sealed hollow": (("3", "3b", "4", "4b", "6"), r"(fire a|fired) sealed"),
    "a mould that is not dry": (("2", "3b", "4", "6"), r"[Dd]ry|dry by weight"),
    "a cast that runs out": (("2", "4", "6"), r"[Rr]un-out|runs out"),
    "dust: a respirator, wet, disposal": (
        ("2", "3", "3b", "4b", "5", "6"),
        r"P3/N100",
        r"\bwet\b",
        r"dispos",
    ),
    "colours with heavy metals": (("2", "3", "5", "6"), r"cadmium, selenium or lead"),
    "no food in the room": (("2", "3", "4b", "5", "6"), r"[Nn]o food"),
    "cutting: eyes, shoes, sharps": (("1", "3", "3b", "5", "6"), r"[Ee]ye", r"shoes", r"sharps bin"),
    "crushing glass": (("2",), r"[Cc]rush glass with eyes"),
    "toughened glass": (("0", "3", "3b", "5", "6"), r"toughened"),
    "machines and water": (("3", "5", "6"), r"esidual-current", r"drip loop", r"[Nn]o gloves"),
    "torch": (("2",), r"flashback", r"ventilation", r"filter for the eyes"),
    "cold adhesives": (("5", "6"), r"[Vv]apour", r"cure"),
    "food contact of what is made": (("1", "2", "3", "3b", "4b", "5", "6"), r"[Ff]ood"),
    "hanging and what is below": (
        ("3", "3b", "4b", "5", "6"),
        r"[Hh]ang",
        r"tested products|local (building )?code",
    ),
    "a class: line, switch, first aid, minors": (
        ("0", "5", "6"),
        r"line to stand behind",
        r"first aid",
        r"minors",
    ),
}


def cautions(lesson: str) -> str:
    """Return what stands under the heading of cautions, to the next heading of its level."""
    (path,) = LESSONS.glob(f"{lesson}-*.ipynb")
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    words = "\n".join("".join(one["source"]) for one in cells if one["cell_type"] == "markdown")
    return re.search(r"^## Cautions\n(.*?)(?=^## |\Z)", words, re.MULTILINE | re.DOTALL)[1]


@pytest.mark.parametrize("caution", CAUTIONS)
def test_a_caution_stands_wherever_its_work_is_done(caution):
    lessons, *needed = CAUTIONS[caution]
    missing = {
        lesson: [words for words in needed if not re.search(words, cautions(lesson))] for lesson in lessons
    }
    assert {lesson: words for lesson, words in missing.items() if words} == {}


def test_every_lesson_is_looked_at():
    assert sorted(path.name.split("-")[0] for path in LESSONS.glob("*.ipynb")) == sorted(ALL)
