"""Lesson 5: what its pictures say, moved from where they open, and its exercises, worked by hand."""

import math

import ipywidgets as widgets
import pytest

from kilncalc import coldwork, grit, handcutting, holes
from kilncalc.exercises import mark_numbers, question, questions
from kilncalc.figures import coldwork as figures
from kilncalc.panels import lesson5, show
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
    # hand: 12.5 x 8.75 in and 3/4 in: (12.5 + 11.75) / 2 x 8.75 = 106.094 in2; 3.281 / 106.094 = 3.093 %.
    # Slurry: 3/32 in wide up to 7.656, then a triangle 1.094 high: 0.7178 + 0.0513 = 0.769 in2
    assert caption(lesson5.square, "inches", **{**moved, "right": 0.01905}) == (
        "Cuts: 1: second end, square to the datum edge. 1 of 1 made. What is left at the end measures 11 3/4 "
        "in by 8 3/4 in; 3.09 % of the slab is lost, 0.769 in² of it as slurry."
    )
    assert lesson5.square.guess.answer(lesson5.square.at(**moved)) == pytest.approx(2200 / 68200, rel=1e-9)


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
    squared = lesson5.square.at(**start, cuts="all three").squared
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
    # hand: 60 / (pi x 0.02) = 955 rev/min; 8 mm at 5 mm a minute, 2 mm at a third of it: 1.6 + 1.2 = 2.8 min.
    # Water: a ring of pi x 19 x 1 mm at 1/12 mm/s is 4.974 mm3/s, 149.2 W at 30 J/mm3; / (4.18 x 10) = 3.57
    # ml/s
    assert caption(lesson5.drill, **state) == (
        "A drill of 20 mm whose rim runs at 1 m/s turns at 955 rev/min; that is within the usual 0.5 m/s "
        "to 1.5 m/s (dashed). Going through takes about 2.8 min, slow at the exit, under at least 214 ml of "
        "water a minute."
    )
    # hand: 20 / 25.4 = 0.787 in; 1 m/s = 196.85 ft/min
    assert "A drill of 0.787 in whose rim runs at 197 ft/min turns at 955 rev/min" in caption(
        lesson5.drill, "inches", **state
    )
    # hand: 214.2 ml / 16.387 = 13.07 in3
    assert "under at least 13.1 in³ of water a minute." in caption(lesson5.drill, "inches", **state)
    fast = {**state, "surface_speed": 1.8}
    assert "above the usual" in caption(lesson5.drill, **fast)


def test_a_solid_drill_after_its_pilot():
    state = {"diameter": 0.020, "surface_speed": 1.0, "thickness": 0.010, "kind": holes.DRILLS[2]}
    # hand: pi/4 x (400 - 100) / 12 = 19.63 mm3/s x 30 J / 41.8 = 14.09 ml/s; 60 / (pi x 0.01) = 1910 rev/min
    assert caption(lesson5.drill, **state).endswith(
        "under at least 846 ml of water a minute; the pilot of 10 mm before it turns at 1910 rev/min and "
        "takes "
        "as long."
    )
    assert "at least 51.6 in³ of water" in caption(lesson5.drill, "inches", **state)  # hand: 845.6 / 16.387
    assert values_of(lesson5.drill.picture(**state))[-1] == "1910 rev/min"
    at_once = {**state, "kind": holes.DRILLS[1]}
    # hand: pi/4 x 400 / 12 = 26.18 mm3/s x 30 / 41.8 x 60 = 1127 ml a minute
    assert caption(lesson5.drill, **at_once).endswith("under at least 1127 ml of water a minute.")


def test_a_wanted_size_is_placed_and_cut():
    state = {"slab": "four straight sides", "length": 0.250, "width": 0.180, "cuts": "the first"}
    # hand: at 180 mm the slab reaches from 10 x 180/220 = 8.18 to 320 - 6 x 180/206 = 314.76, so 250 begin at
    # 8.18 + (306.58 - 250)/2 = 36.47. Area 66470 mm2 (shoelace), so 21470/66470 = 32.3 % is lost. Slurry, 2
    # mm wide: 218.83 and 207.22 high at the ends, 250 along the far edge: 437.7 + 414.4 + 500 = 1352 mm2
    assert caption(lesson5.fits, **state) == (
        "Cuts: 1: first end, square to the datum edge; 2: second end, square to the datum edge; 3: far edge, "
        "square to the second end. 1 of 3 made. What is left at the end measures 250 mm by 180 mm; 32.3 % of "
        "the slab is lost, 13.5 cm² of it as slurry."
    )
    figure = lesson5.fits.picture("metric", **state)
    assert values_of(figure) == ["250 mm × 180 mm", "32.3 %", "36.5 mm"]
    assert figure["readings"][0]["says"] == "the piece you want, on the datum edge"
    # hand: 10 x 7 in = 254 x 177.8 mm: 1 - 45161/66470 = 32.1 %; start 8.08 + (306.74 - 254)/2 = 34.45 mm
    inches = lesson5.fits.picture("inches", **state | {"length": 0.254, "width": 0.1778})
    assert values_of(inches) == ["10 in × 7 in", "32.1 %", "1.36 in"]


def test_a_wanted_size_that_does_not_fit_says_what_is_missing():
    state = {"slab": "four straight sides", "length": 0.316, "width": 0.150, "cuts": "all"}
    # hand: at 150 mm from 6.818 to 315.631 = 308.813, 7.19 too short; a length of 316 = 320 - h (6/206 +
    # 10/220) is there up to h = 53.63, 96.4 too narrow
    assert caption(lesson5.fits, **state) == (
        "A piece of 316 mm by 150 mm does not fit on this slab: with that width 7.19 mm of length are "
        "missing, "
        "with that length 96.4 mm of width. Dotted: where it would stand."
    )
    (pane,) = lesson5.fits.picture(**state)["panes"]
    wanted = pane["data"][-1]
    # hand: 316 by 150 mm, from where the glass begins at 150 mm high, 6.818
    assert (min(wanted["x"]), max(wanted["x"]), max(wanted["y"])) == pytest.approx(
        (6.818, 322.818, 150), abs=1e-3
    )
    # hand: 7.187 and 96.37 mm / 25.4; 0.283 in is 9/32 within 0.1 mm
    assert values_of(lesson5.fits.picture("inches", **state)) == ["9/32 in", "3.79 in"]
    for cuts in ("none", "all"):
        assert len(lesson5.fits.picture(**state | {"cuts": cuts})["panes"][0]["data"]) == 4  # no cut is drawn


def test_a_slab_of_ones_own_is_read_from_its_points():
    own = {"slab": lesson5.OWN, "length": 0.400, "width": 0.250, "cuts": "none"}
    points = "cm\n0; 0\n50; 0\n50; 30\n0; 28"
    # hand: on its straight side 500 mm long the slab is 280 to 300 mm high, 0.5 x (0.28 + 0.30) / 2 =
    # 0.145 m2; of it 0.4 x 0.25 = 0.1 m2 stay, 31.0 % is lost
    told = caption(lesson5.fits, **own, points=points)
    assert "measures 400 mm by 250 mm; 31 % of the slab is lost" in told
    (pane,) = lesson5.fits.picture(**own, points=points)["panes"]
    low, high = pane["layout"]["xaxis"]["range"]
    # hand: the lesson's frame for 330 mm, 400 mm wide, times 500/330
    assert (low, high) == pytest.approx((-35 * 500 / 330, 365 * 500 / 330), rel=1e-9)
    with pytest.raises(ValueError, match="the outline crosses itself"):
        lesson5.fits.at(**own, points="cm\n0; 0\n50; 30\n50; 0\n0; 28")
    with pytest.raises(ValueError, match="line 2 of the points: “0,0,50” is one measure"):
        lesson5.fits.at(**own, points="cm\n0,0,50")


def test_the_box_of_points_keeps_what_was_written_and_says_what_is_wrong():
    live = show(lesson5.fits, "metric")
    (box,) = [one for one in every_widget(live) if isinstance(one, widgets.Textarea)]
    (slab,) = [one for one in every_widget(live) if getattr(one, "description", "") == "the slab has"]
    switch = next(one for one in every_widget(live) if isinstance(one, widgets.ToggleButtons))
    assert box.value == lesson5.fits.controls[-1].metric
    switch.value = "inches"
    assert box.value == lesson5.fits.controls[-1].inches
    slab.value = lesson5.OWN
    box.value = "0; 0"
    assert any("has no unit: write mm or in" in said for said in words_of(live))
    switch.value = "metric"
    assert box.value == "0; 0"  # a person's own
    box.value = "mm\n0; 0\n300; 0\n300; 220\n0; 220"
    assert not any("has no unit" in said for said in words_of(live))
    # hand: 300 x 220 of which 280 x 200 stay: 1 - 56000/66000 = 15.2 %
    assert any("15.2 % of the slab is lost" in said for said in words_of(live))


def every_widget(box):
    yield box
    for child in getattr(box, "children", ()):
        yield from every_widget(child)


def words_of(box):
    for one in every_widget(box):
        yield getattr(one, "value", "") if isinstance(one, widgets.HTML) else getattr(one, "figure", "")


def test_a_traced_slab_is_cut_along_all_four_sides():
    squared = lesson5.fits.at().squared
    # hand: its first side departs from straight by 0.4 mm at most, the others by more than 1.5
    assert squared.datum == 0 and squared.departures[0] < 0.4e-3 < 1.5e-3 < min(squared.departures[1:])
    assert [cut.name for cut in squared.cuts] == ["first end", "second end", "far edge", "datum edge"]


def test_measures_with_a_tape_that_agree():
    slab = {"cd": 0.320, "da": 0.220, "ac": 0.384, "bd": 0.392}
    # hand, a parallelogram: BD2 = 2 (3202 + 2202) - 3842 = 154144, BD = 392.61; cos B = (3202 + 2202 - 3842)
    # / (2 x 320 x 220) = 0.02375, B = 88.64 and A = 91.36 degrees. It leans by 220 x 0.02375 = 5.225 mm,
    # which is lost of 320: 1.63 %; 314.8 by 219.9 mm are left
    assert caption(lesson5.taped, **slab) == (
        "The six measures agree within 0.612 mm: BD must be 393 mm, and 392 mm was read. The worst corner is "
        "1.4° off square. Squared on its side AB the slab gives 315 mm by 220 mm, and 1.63 % of it is lost."
    )
    figure = lesson5.taped.picture("metric", **slab)
    labels = [note["text"] for note in figure["panes"][0]["layout"]["annotations"]]
    assert labels == ["A 91.4°", "B 88.6°", "C 91.4°", "D 88.6°"]
    assert values_of(figure) == ["393 mm", "1.4°", "315 mm × 220 mm"]


def test_measures_with_a_tape_that_contradict_each_other():
    slab = {"cd": 0.320, "da": 0.220, "ac": 0.384, "bd": 0.400}
    # hand: 400 - 392.61
    assert caption(lesson5.taped, **slab) == (
        "These measures contradict each other: with the sides and AC, BD must be 393 mm, but 400 mm was "
        "read, "
        "7.39 mm more. One of the six is wrong: measure again."
    )
    inch = 0.0254
    inches = {"cd": 12.5 * inch, "da": 8.75 * inch, "ac": 15 * inch, "bd": 15.25 * inch}
    # hand: BD2 = 2 (12.52 + 8.752) - 152 = 240.625, BD = 15.512 in; 15.25 is 0.262 in less
    assert "BD must be 15.5 in, but 15 1/4 in was read, 0.262 in less." in caption(
        lesson5.taped, "inches", **inches
    )
    assert lesson5.taped.at("inches", **inches).squared is None


def test_hanging_holes_go_by_the_hollow():
    state = {"begins": 0.060, "clear": 0.150, "inset": 0.025}
    # hand: 60 + 25 and 210 - 25; water 15 x 6 x 3 = 270 g at 135 mm, glass 1200 g at 125: together at 126.84;
    # left 1470 x (185 - 126.84)/100 = 855
    assert caption(lesson5.hanging, **state) == (
        "The holes lie 85 mm and 185 mm from the left edge, symmetric to the hollow. Full of water the piece "
        "weighs 1470 g: the left fixing carries 855 g, the right one 615 g."
    )
    by_piece = {**state, "by": "from the edges of the piece"}
    # hand: 125 - 50 and 125 + 50; 1470 x (175 - 126.84)/100 = 708
    assert caption(lesson5.hanging, **by_piece) == (
        "The holes lie 75 mm and 175 mm from the left edge, and the hollow sits 10 mm too far right between "
        "them. Full of water the piece weighs 1470 g: the left fixing carries 708 g, the right one 762 g."
    )
    assert lesson5.hanging.picture(**by_piece)["readings"][1]["value"] == "10 mm"
    inch = 0.0254
    # hand: 2.25 + 1, 8.25 - 1; water 6 x 2.5 x 1.25 = 18.75 in3 = 10.84 oz at 5.25 in, glass 42 oz at 5:
    # 52.84 oz at 5.0513; left 52.84 x (7.25 - 5.0513)/4 = 29.04 oz
    assert caption(lesson5.hanging, "inches", begins=2.25 * inch, clear=6 * inch, inset=inch) == (
        "The holes lie 3 1/4 in and 7 1/4 in from the left edge, symmetric to the hollow. Full of water the "
        "piece weighs 3 lb 4.8 oz: the left fixing carries 1 lb 13 oz, the right one 1 lb 7.8 oz."
    )


def test_the_hollow_is_drawn_where_it_is_and_so_are_the_holes():
    (pane,) = lesson5.hanging.picture("metric", begins=0.060, clear=0.150, inset=0.025)["panes"]
    glass, hollow, left, right, middle, edges, centre = pane["data"]
    assert (min(hollow["x"]), max(hollow["x"])) == pytest.approx((60, 210), rel=1e-9)  # hand: 60 + 150
    assert max(hollow["y"]) - min(hollow["y"]) == pytest.approx(60, rel=1e-9)  # as given
    for hole, x in ((left, 85), (right, 185)):
        assert (min(hole["x"]) + max(hole["x"])) / 2 == pytest.approx(x, rel=1e-6)
        assert max(hole["x"]) - min(hole["x"]) == pytest.approx(6, rel=1e-6)
    assert (middle["x"][0], edges["x"][0]) == pytest.approx((135, 125), rel=1e-9)
    assert centre["x"][0] == pytest.approx(126.84, rel=1e-4)
    assert max(glass["x"]) == pytest.approx(250, rel=1e-9)


def test_the_grits_worth_a_step():
    # hand: cracks 2 L^0.85: F220 63.1, F600 13.3 um; 300 + 63.1 + 13.3. Time z / (K L p v), with K p v of the
    # flat lap 2e-12 x 7000 x 2: F220 3.1, F600 4.0, 1 um 7.9 min, and 3 x 5 min of washing
    for units in SYSTEMS:
        assert caption(lesson5.plan, units) == (
            "The shortest way: F220, F600, cerium oxide; 376 µm come off in about 30 min, washing counted in."
        )
    figure = lesson5.plan.picture()
    assert [row[0] for row in figure["table"]["rows"]] == ["F220", "F600", "cerium oxide", "F120", "F400"]
    *bars, likely = figure["panes"][0]["data"]
    for bar, minutes in zip(bars, likely["y"], strict=True):
        assert bar["y"] == pytest.approx([minutes / 3, minutes * 3], rel=1e-9)  # exact: three either way


def test_a_bead_and_its_cure():
    bead = {"diameter": 0.003, "length": 0.100, "gap": 0.0003, "first_day": 0.002}
    # hand: pi x 9/4 = 7.069 mm2 / 0.3 = 23.56 mm; x 100 mm = 0.707 ml; (11.78 / 2)2 = 34.7 days
    assert caption(lesson5.bond, **bead) == (
        "A bead of 3.0 mm pressed to a gap of 0.3 mm spreads to 23.6 mm; 100 mm of it take 0.707 ml. "
        "Silicone "
        "that cures 2.0 mm on the first day needs 34.7 days to its middle."
    )
    inch = 0.0254
    inches = {"diameter": inch / 8, "length": 4 * inch, "gap": 0.02 * inch, "first_day": 0.1 * inch}
    # hand: pi/4 / 64 = 0.01227 in2 / 0.02 = 0.614 in; x 4 = 0.0491 in3; (0.3068 / 0.1)2 = 9.41 days
    assert values_of(lesson5.bond.picture("inches", **inches)) == ["0.614 in", "0.0491 in³", "9.41 days"]
    section, cure = lesson5.bond.picture(**bead)["panes"]
    (pressed,) = [
        trace
        for trace in section["data"]
        if max(trace["y"]) == pytest.approx(0.3, rel=1e-9) and min(trace["y"]) == 0
    ]
    assert max(pressed["x"]) == pytest.approx(11.78, rel=1e-3)
    curve = cure["data"][0]
    # exact: depth goes with the root of time, so a quarter of the time is half of the way
    half = len(curve["x"]) // 2
    assert curve["x"][half] == pytest.approx(34.7 / 4, rel=1e-3)
    assert curve["y"][half] == pytest.approx(11.78 / 2, rel=1e-3)


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
    ("5.9", "metric"): "50 mm",  # hand: 3600/80 + 5
    ("5.9", "inches"): "2.2708333 in",  # hand: 6.25/3 + 3/16
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
    # hand: 2 x 50; 60/2; 900/80 + 5; 3600/80
    "5.9": {
        "diameter for radius": "100 mm",
        "half the width": "30 mm",
        "half the width squared": "16.25 mm",
        "second part forgotten": "45 mm",
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


WORKINGS = {
    # hand, as in ANSWERS; the words are ours
    ("5.1", "metric"): [
        "Each end loses the strip and the kerf: 5 mm + 2 mm = 7.0 mm.",
        "There are two ends: 252 mm - 2 × 7.0 mm.",
        "Answer: 238 mm.",
    ],
    ("5.2", "inches"): [
        "From edge to rim: 2 × 1/4 in = 1/2 in.",
        "From rim to centre: 5/16 in / 2 = 5/32 in.",
        "Together: 1/2 in + 5/32 in.",
        "Answer: 21/32 in.",
    ],
    ("5.3", "metric"): [
        "The hollow: 180 mm × 60 mm × 30 mm = 324 ml.",
        "Water in it: 324 ml × 1 g/cm³ = 324 g.",
        "Each of two fixings carries half: (1.2 kg + 324 g) / 2.",
        "Answer: 762 g.",
    ],
    ("5.5", "metric"): [
        "The packet says P400: its grains measure 35 µm.",
        "To take off: 2 × 35 µm.",
        "Answer: 70 µm.",
    ],
    ("5.5", "inches"): [  # grains are micrometres everywhere
        "The packet says P400: its grains measure 35 µm.",
        "To take off: 2 × 35 µm.",
        "Answer: 70 µm.",
    ],
    ("5.6", "metric"): [
        "Left of those cut: 100 % - 20 % = 80 %.",
        "To cut: 24 / 0.8 = 30.0, rounded up.",
        "Answer: 30.",
    ],
    ("5.7", "inches"): [
        "Before trimming: 9 1/2 in + 2 × 3/16 in = 9 7/8 in.",
        "Across: 7 in + 2 × 3/16 in = 7 3/8 in.",
        "Weight: 9 7/8 in × 7 3/8 in × 1/4 in × 1.445 oz/in³.",
        "Answer: 1 lb 10.3 oz.",
    ],
    ("5.8", "metric"): [
        "With F220: 6 min × 60 µm / 120 µm = 3 min.",
        "F400 is finer by 58 / 17.3 = 3.35.",
        "With F400: 3 min × 3.35.",
        "Answer: 10.1 min.",
    ],
}


@pytest.mark.parametrize(("key", "units"), WORKINGS)
def test_a_working_says_the_steps_of_the_hand(key, units):
    asked = question(key)
    assert list(asked.worked(asked.variant(units, 0)).steps) == WORKINGS[key, units]


def test_the_working_of_a_drill_in_inches():
    asked = question("5.4")
    # hand: pi x 0.3125 = 0.982 in; 160 ft = 1920 in; 1920 / 0.98175 = 1955.7
    assert asked.worked(asked.variant("inches", 0)).steps == (
        "One turn: π × 5/16 in = 0.982 in.",
        "In a minute the rim travels 1920 in.",
        "Turns: 1920 in / 0.982 in.",
        "Answer: 1956 rev/min.",
    )


def test_the_working_of_a_curve():
    asked = question("5.9")
    # hand: 3600 / 80 = 45; 45 + 5
    assert asked.worked(asked.variant("metric", 0)).steps == (
        "60 mm × 60 mm / (8 × 10 mm) = 45 mm.",
        "Half the depth: 5.0 mm.",
        "Radius: 45 mm + 5.0 mm.",
        "Answer: 50 mm.",
    )


def test_equal_diagonals_do_not_make_a_slab_square():
    # hand, a trapezoid that narrows evenly: legs lean in by 10 over 220 mm, so a leg is hypot(220, 10) =
    # 220.227 and each diagonal hypot(310, 220) = 380.132 mm; its corners are 87.4 and 92.6 degrees
    leg, diagonal = math.hypot(0.220, 0.010), math.hypot(0.310, 0.220)
    slab = coldwork.tape((0.320, leg, 0.300, leg), (diagonal, diagonal), 0.002)
    assert slab.off == pytest.approx(0.0, abs=1e-9)
    assert slab.angles == pytest.approx((87.4, 87.4, 92.6, 92.6), abs=0.01)


@pytest.mark.parametrize("share", [0.5, 2.0])
def test_what_the_lesson_says_about_beads(share):
    # "half the gap makes it twice as wide"; "twice as wide takes four times as long"; for any bead
    for diameter in (0.002, 0.003, 0.005):
        one, other = (lesson5.bond.at(diameter=diameter, gap=gap) for gap in (5e-4, share * 5e-4))
        assert other.bead.width / one.bead.width == pytest.approx(1 / share, rel=1e-9)
        assert other.cured_days / one.cured_days == pytest.approx(1 / share**2, rel=1e-9)


def test_edges_marks_and_outlines_stand_where_the_words_say():
    thick = {"x": 0.045, "y": 0.030, "diameter": 0.010, "thickness": 0.008}
    (pane,) = lesson5.holes.picture("metric", **thick)["panes"]
    edges = [trace for trace in pane["data"] if len(trace["x"]) == 4 and "fill" not in trace]
    for trace in edges:  # hand: twice 8 mm from each edge, of 90 mm
        assert (min(trace["x"]), min(trace["y"]), max(trace["y"])) == pytest.approx((16, 16, 74), rel=1e-9)
    assert len(edges) == 2
    series = lesson5.sizes.picture()["panes"][0]["data"][:3]
    assert [min(one["x"]) for one in series] == [16, 24, 240]  # the coarsest F, P and JIS of the table
    state = {"diameter": 0.020, "surface_speed": 1.0, "thickness": 0.010}
    mark = lesson5.drill.picture("metric", **state)["panes"][0]["data"][-1]
    assert (mark["x"], mark["y"]) == (pytest.approx([20]), pytest.approx([954.9], rel=1e-3))  # hand: as above
    disc, chances = lesson5.by_hand.picture(
        "metric", diameter=0.060, thickness=0.003, wanted=10.0, breakage=0.25
    )["panes"]
    around = disc["data"][0]
    # hand: corners of the square at 30 sqrt 2 = 42.43 mm
    assert max(map(math.hypot, around["x"], around["y"])) == pytest.approx(42.43, rel=1e-3)
    sure = chances["data"][2]
    # published: binomial tables as above, 6 more than 10; 4 more on the average
    assert (sure["x"], sure["y"]) == ([6], pytest.approx([92.04], abs=0.01))
    assert chances["data"][3]["x"] == [4]
    section = lesson5.bond.picture("metric", diameter=0.003)["panes"][0]["data"]
    assert max(section[-1]["x"]) == pytest.approx(1.5, rel=1e-6)  # hand: half of 3 mm, as laid


def test_what_a_grit_is_worth():
    rows = dict(lesson5.plan.picture()["table"]["rows"])
    # hand, 35.73 s for z / L: by F220 300/58 + 63.1/9.3, by F120 300/109 + 107.9/9.3 (2 x 109^0.85 = 107.9):
    # 427 and 513 s, 86 s = 1.43 min more
    assert rows["F220"].endswith("without it 1.42 min more")
    assert rows["F120"] == "left out; with it 1.42 min more"
    assert rows["F600"].startswith("takes off 63.1 µm in 1.35 min to 12.1 min")  # hand: 242 s by and times 3
