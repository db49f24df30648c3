"""What a lesson loads before anything is asked of it: a page that opens quickly loads little."""

import subprocess
import sys

import pytest

HEAVY = ("scipy", "scipy.optimize", "pandas", "shapely", "plotly.graph_objects", "frictionless")

ALLOWED = {
    "1": set(),
    "2": set(),
    "3": set(),
    "4": {"scipy"},
    "4b": {"scipy", "shapely"},
    "5": {"shapely"},
    "6": {"scipy", "shapely"},
}
"""The libraries that a lesson's calculations need: what is not named here comes with a table, or never."""


@pytest.mark.parametrize("label", ALLOWED)
def test_a_lesson_opens_without_what_it_does_not_need(label: str) -> None:
    """Up to its first picture, which a reader waits for, and with its questions."""
    code = f"""
import sys
from kilncalc.exercises import lesson{label} as questions
from kilncalc.panels import Panel, lesson{label}, show
for form in [each for each in vars(lesson{label}).values() if type(each).__name__ == "Form"]:
    show(form)
first = next(each for each in vars(lesson{label}).values() if isinstance(each, Panel))
first.picture()
for asked in questions.QUESTIONS:
    asked.worked(asked.variant("metric", 0))
print(*[name for name in {HEAVY!r} if name in sys.modules])
"""
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert set(found.stdout.split()) <= ALLOWED[label]
