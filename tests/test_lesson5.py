"""Lesson 5: what its pictures say, moved from where they open, and its exercises, worked by hand."""

import math

import pytest

from kilncalc import grit, handcutting
from kilncalc.exercises import mark_numbers, question, questions
from kilncalc.figures import coldwork as figures
from kilncalc.panels import lesson5
from kilncalc.quantities import SYSTEMS, Show, read


def caption(panel, units="metric", **values):
    return panel.picture(units, **values)["caption"]


def values_of(figure):
    return [reading["value"] for reading in figure["readings"]]


# =============================================================================================== pictures


def test_one_leaning_side_costs_one_cut():
    moved = {"left": 0.0, "right": 0.020, "fall": 0.0, "cuts": "the first"}
    # hand: 320 x 220 mm with a side that leans in by 20: 68200 mm2; 300 x 220 = 66000 are left: 2200 / 68200
    # = 3.226 %. Slurry: 2 mm wide up to y = 198, then a triangle 22 high: 396 + 22 = 418 mm2
    assert caption(lesson5.square, **moved) == (
        "Cuts: 1: second end, square to the datum edge. 1 of 1 made. What is left at the end measures 300 mm "
        "by 220 mm; 3.23 % of the slab is lost, 4.18 cm² of it as slurry."
    )
    # hand: 3/4 in = 19.05 mm: 300.95 mm = 11.848 in; 2095.5 / 68304.5 = 3.068 %; slurry 416.9 mm2 = 0.646 in2
    assert caption(lesson5.square, "inches", **{**moved, "right": 0.01905}) == (
        "Cuts: 1: second end, square to the datum edge. 1 of 1 made. What is left at the end measures 11.8 "
        "in by 8.66 in; 3.07 % of the slab is lost, 0.646 in² of it as slurry."
    )
    assert lesson5.square.guess.answer(lesson5.square.result(**moved)) == pytest.approx(
        2200 / 68200, rel=1e-9
    )


def test_cuts_appear_one_by_one():
    start = {"left": 0.010, "right": 0.006, "fall": 0.014}
    for cuts in range(4):
        figure = lesson5.square.picture("metric", **start, cuts=lesson5.square.controls[3].options[cuts])
        (pane,) = figure["panes"]
        # what is drawn: slab, what is left, datum edge, and a line and a number for each cut made
        assert len(pane["data"]) == 3 + cuts
        assert len(pane["layout"]["annotations"]) == 2 + cuts
        assert f"{cuts} of 3 made" in figure["caption"]
    glass = pane["data"][1]
    # what is left after the last cut is the finished rectangle, in mm
    squared = lesson5.square.result(**start, cuts="all three").squared
    assert max(glass["x"]) - min(glass["x"]) == pytest.approx(squared.length * 1e3, rel=1e-9)
    assert max(glass["y"]) == pytest.approx(squared.width * 1e3, rel=1e-9)


def test_a_square_slab_is_left_alone():
    square = {"left": 0.0, "right": 0.0, "fall": 0.0, "cuts": "all three"}
    assert caption(lesson5.square, **square).startswith("The slab is square: no cut. 0 of 0 made.")


def test_a_hole_out_of_the_corner():
    moved = {"x": 0.045, "y": 0.030, "diameter": 0.010, "thickness": 0.008}
    # hand: hypot(45, 30) - 5 = 49.08 for 6 x 8 = 48 and 6.5 x 8 = 52; 30 - 5 = 25 for 16; 90 - 2 x 30 -
    # 10 = 20 for 16; diameter 10 for 8 and 8 + 1.6
    assert caption(lesson5.holes, **moved) == (
        "Limits missed: 0 of EN 12150-1, 4 of ASTM C1048. Nearest: rim to corner 49.1 mm (EN asks 48 mm, "
        "ASTM asks 52 mm); rim to edge 25 mm (EN asks 16 mm, ASTM asks 16 mm); rim to rim 20 mm (EN asks "
        "16 mm, ASTM asks 16 mm); diameter 10 mm (EN asks 8.0 mm, ASTM asks 9.6 mm). Both standards are for "
        "glass to be toughened: guidance here, not a verdict."
    )
    # hand: 49.08 / 25.4 = 1.932; 48 / 25.4 = 1.890; 52 / 25.4 = 2.047 in
    assert "rim to corner 1.93 in (EN asks 1.89 in, ASTM asks 2.05 in)" in caption(
        lesson5.holes, "inches", **moved
    )
    figure = lesson5.holes.picture("metric", **moved)
    corner, edge = figure["readings"][:2]
    assert corner["colour"] != edge["colour"]  # over a limit


def test_both_content():
    kept = {"x": 0.055, "y": 0.030, "diameter": 0.010, "thickness": 0.006}
    # hand: hypot(55, 30) - 5 = 57.6 for 36 and 39; 25 for 12; 20 for 12; 10 for 6 and 7.6
    assert caption(lesson5.holes, **kept).startswith("Every limit of both standards is kept.")


def test_limits_are_drawn_where_the_standards_put_them():
    thick = {"x": 0.045, "y": 0.030, "diameter": 0.010, "thickness": 0.008}
    (pane,) = lesson5.holes.picture("metric", **thick)["panes"]
    arcs = [
        (trace["line"]["dash"], max(math.hypot(x, y) for x, y in zip(trace["x"], trace["y"], strict=True)))
        for trace in pane["data"]
        if len(trace["x"]) > 5 and "fill" not in trace and max(trace["y"]) <= 45
    ]
    # hand: 6 and 6.5 times 8 mm round the lower corner
    assert dict(arcs) == pytest.approx({"dot": 48.0, "dashdot": 52.0}, rel=1e-9)


def test_half_hearted_grinding_leaves_cracks():
    state = {"share": 1.0, "left_out": "F220", "packet": "P400"}
    # hand: cracks 2 L^0.85: P400 41.07, F600 13.31, 1 um 2.0. After F80 185 um off: P400's own; 35 off: 6.07,
    # so F600's own 13.31; 9.3 off: 4.01, more than 2.0. In all 185 + 35 + 9.3 = 229.3 um
    for units in SYSTEMS:
        assert caption(lesson5.grit, units, **state) == (
            "After cerium oxide the deepest crack reaches 4.01 µm below the surface: F600 made it, and what "
            "came after took off too little. Taken off in all: 229 µm."
        )
    figure = lesson5.grit.picture("metric", **state)
    own, inherited = figure["panes"][0]["data"]
    assert own["x"] == [0, 1, 2] and inherited["x"] == [3]
    assert own["y"] == pytest.approx([169.09, 41.07, 13.31], rel=1e-3)


def test_what_the_lesson_says_about_the_first_grit():
    # "At half a grain a step, the cracks of the very first grit are still there"; at one and a half none
    first = lesson5.grit.result(share=0.5, left_out="none", packet="F400")
    assert {step.culprit for step in first} == {"F80"}
    last = lesson5.grit.result(share=1.5, left_out="none", packet="F400")
    assert [step.culprit for step in last] == [step.label for step in last]
    # P400 leaves cracks twice as deep as F400: hand: (35 / 17.3)^0.85 = 1.82
    assert grit.damage(35e-6).most / grit.damage(17.3e-6).most == pytest.approx(1.82, rel=0.01)


def test_a_larger_drill():
    state = {"diameter": 0.020, "surface_speed": 1.0, "thickness": 0.010}
    # hand: 60 / (pi x 0.02) = 955 rev/min; 8 mm at 5 mm a minute, 2 mm at a third of it: 1.6 + 1.2 = 2.8 min
    assert caption(lesson5.drill, **state) == (
        "A drill of 20 mm whose rim runs at 1 m/s turns at 955 rev/min; that is within the usual 0.5 m/s "
        "to 1.5 m/s (dashed). Going through takes about 2.8 min, slow at the exit."
    )
    # hand: 20 / 25.4 = 0.787 in; 1 m/s = 196.85 ft/min
    assert "A drill of 0.787 in whose rim runs at 197 ft/min turns at 955 rev/min" in caption(
        lesson5.drill, "inches", **state
    )
    fast = {**state, "surface_speed": 1.8}
    assert "above the usual" in caption(lesson5.drill, **fast)


def test_a_disc_that_runs():
    state = {"diameter": 0.060, "thickness": 0.003, "wanted": 10.0, "breakage": 0.25}
    # hand: radius 30 >= 8 x 3 mm. 10 / 0.75 = 13.3. published: tables of the binomial distribution, p = 0.25:
    # at most 4 of 14 0.7415, at most 5 of 15 0.8516, at most 6 of 16 0.9204
    text = "with 25 % breaking, 14 are enough on the average, which fails 25.8 % of the time; 16 are enough"
    for units in SYSTEMS:
        assert text in caption(lesson5.by_hand, units, **state)
    figure = lesson5.by_hand.picture("metric", **state)
    # hand: corners of the square stand 30 (sqrt 2 - 1) = 12.4 mm over the rim
    assert values_of(figure) == ["4 cuts", "12.4 mm", "14", "16"]
    # hand: 12.4264 mm = 0.489 in
    assert values_of(lesson5.by_hand.picture("inches", **state))[1] == "0.489 in"
    assert "four straight relief cuts" in figure["caption"]
    chances = figure["panes"][1]["data"][0]
    assert chances["y"][4:7] == pytest.approx([74.15, 85.16, 92.04], abs=0.005)


def test_a_hollow_curve_and_its_slices():
    # hand: 60^2 / (8 x 24) + 24/2 = 30.75 mm, under 16 x 3 = 48; the arc of 48 over 60 is 48 -
    # sqrt(48^2 - 30^2) = 10.53 deep, so 24 mm take three slices
    assert caption(lesson5.curve) == (
        "A hollow curve 60 mm wide and 24 mm deep has a radius of 30.8 mm; a score runs by hand down to "
        "about 48 mm, so the waste comes out in 3 slices, 2 relief cuts before the curve itself."
    )
    # hand: 60^2 / (8 x 4) + 4/2 = 114.5 mm = 4.508 in, 48 mm = 1.89 in
    flat = figures.hollow_curve(handcutting.bite(0.060, 0.004, 0.003), Show("inches"))
    assert (
        "has a radius of 4.51 in; a score runs by hand down to about 1.89 in, so its score runs at once"
        in (flat["caption"])
    )
    cuts = lesson5.curve.picture("metric")["panes"][0]["data"][2:]
    # exact: each score begins and ends at the edge, 60 mm wide, and is as deep as it is called
    assert [min(cut["y"]) for cut in cuts] == pytest.approx([-8, -16, -24], rel=1e-9)
    for cut in cuts:
        assert (cut["x"][0], cut["x"][-1]) == pytest.approx((-30, 30), rel=1e-9)
        assert (cut["y"][0], cut["y"][-1]) == pytest.approx((0, 0), abs=1e-9)


def test_four_hundreds():
    # hand: 0.6 x 25.4 / 400 = 38.1 um; 17.3, 23, 30 and 35 um are 55, 40, 21 and 8 % less
    for units in SYSTEMS:
        assert caption(lesson5.sizes, units) == (
            "By the rule of the sieve, 400 wires to the inch leave holes of 38.1 µm. Published: F400 is 17.3 "
            "µm (-55 %); CAMI 400 is 23 µm (-40 %); JIS 400 is 30 µm (-21 %); P400 is 35 µm (-8 %)."
        )


# ============================================================================================== exercises

ANSWERS = {
    ("5.1", "metric"): "238 mm",  # hand: 252 - 2 x (5 + 2)
    ("5.1", "inches"): "9 in",  # hand: 9.75 - 2 x (0.25 + 0.125)
    ("5.2", "metric"): "16 mm",  # hand: 2 x 6 + 4
    ("5.2", "inches"): "0.65625 in",  # hand: 2 x 1/4 + 5/32
    ("5.3", "metric"): "762 g",  # hand: (1200 + 18 x 6 x 3) / 2
    ("5.3", "inches"): "26.68969 oz",  # hand: (42 + 7 x 2.25 x 1.25 x 0.578) / 2
    ("5.4", "metric"): "1909.86 rev/min",  # hand: 48 / (pi x 0.008)
    ("5.4", "inches"): "1955.70 rev/min",  # hand: 1920 / (pi x 0.3125)
    ("5.5", "metric"): "70 µm",  # hand: 2 x 35
    ("5.5", "inches"): "70 µm",  # hand: 2 x 35
    ("5.6", "metric"): "30",  # hand: 24 / 0.8
    ("5.6", "inches"): "30",  # hand: 24 / 0.8
    ("5.7", "metric"): "699.36 g",  # hand: 24.8 x 18.8 x 0.6 x 2.5
    ("5.7", "inches"): "26.30916 oz",  # hand: 9.875 x 7.375 x 0.25 x 1.445
    ("5.8", "metric"): "10.05780 min",  # hand: 6 x 60/120 x 58/17.3
    ("5.8", "inches"): "10.05780 min",  # hand: 6 x 0.0025/0.005 x 58/17.3
}

SLIPS = {
    # hand: 252 - 10 - 2; - 10; - 5 - 2; - 2 x (5 + 4)
    "5.1": {
        "kerf forgotten on one side": "240 mm",
        "kerf forgotten": "242 mm",
        "one end only": "245 mm",
        "kerf taken twice in each cut": "234 mm",
    },
    # hand: 12; 12 + 8; 6 + 4; 36 + 4
    "5.2": {
        "limit taken to the centre": "12 mm",
        "diameter for radius": "20 mm",
        "once the thickness": "10 mm",
        "limit for a corner": "40 mm",
    },
    # hand: 1200/2; 1524; (1200 + 2.5 x 324)/2; 600 + 324
    "5.3": {
        "contents forgotten": "600 g",
        "not shared": "1524 g",
        "hollow as heavy as glass": "1005 g",
        "glass shared, water not": "924 g",
    },
    # hand: twice, half, a sixtieth; 48 / 0.008
    "5.4": {
        "radius for diameter": "3819.72 rev/min",
        "circumference of the radius": "954.93 rev/min",
        "seconds for minutes": "31.831 rev/min",
        "pi forgotten": "6000 rev/min",
    },
    # hand: 2 x 17.3; 2 x 23; 2 x 30
    "5.5": {"F grade for P grade": "34.6 µm", "CAMI 400 for P400": "46 µm", "JIS 400 for P400": "60 µm"},
    # hand: 24 x 1.2 = 28.8; 24; 4.8
    "5.6": {"share added": "28", "breakage forgotten": "24", "only the broken": "5"},
    # hand: 24 x 18 x 0.6 x 2.5; 24.4 x 18.4 x 1.5; 23.2 x 17.2 x 1.5
    "5.7": {
        "trimming forgotten": "648 g",
        "one edge for two": "673.44 g",
        "taken away instead of added": "598.56 g",
    },
    # hand: 3; 3 x 17.3/58; 6 x 58/17.3 min
    "5.8": {
        "grain ignored": "3 min",
        "grains the wrong way round": "0.894828 min",
        "depth ignored": "20.1156 min",
    },
}


@pytest.mark.parametrize(("key", "units"), ANSWERS)
def test_the_printed_numbers_lead_to_the_answer_worked_by_hand(key, units):
    asked = question(key)
    by_hand = read(ANSWERS[key, units], asked.dimension)
    assert asked.value(asked.variant(units, 0)) == pytest.approx(by_hand, rel=1e-5, abs=0)


def test_every_exercise_and_slip_is_worked_by_hand():
    assert {key for key, _ in ANSWERS} == set(SLIPS) == {asked.key for asked in questions("5")}


@pytest.mark.parametrize("key", SLIPS)
def test_each_slip_is_what_it_is_called(key):
    asked = question(key)
    numbers = asked.variant("metric", 0)
    slips = asked.slips(numbers)
    assert set(slips) == set(SLIPS[key])
    for name, text in SLIPS[key].items():
        assert slips[name].value == pytest.approx(read(text, asked.dimension), rel=1e-4, abs=0), name
        verdict = mark_numbers(asked, numbers, text)
        assert (verdict.kind, verdict.slip) == ("slip", name)


def test_the_working_of_a_drill_in_inches():
    asked = question("5.4")
    # hand: pi x 0.3125 = 0.982 in; 160 ft = 1920 in; 1920 / 0.98175 = 1955.7
    assert asked.worked(asked.variant("inches", 0)).steps == (
        "One turn: π × 5/16 in = 0.982 in.",
        "In a minute the rim travels 1920 in.",
        "Turns: 1920 in / 0.982 in.",
        "Answer: 1956 rev/min.",
    )
