"""Lesson 2: what its pictures say away from where they open, its slips, a whole working, worked by hand."""

import re
from math import pi

import numpy as np
import pytest
from scipy.spatial import cKDTree

from kilncalc import filling
from kilncalc.exercises import question
from kilncalc.figures import style
from kilncalc.panels import lesson2
from kilncalc.quantities import INCH, read


def caption(panel, units, **values):
    return panel.picture(units, **values)["caption"]


def test_a_straight_mould_that_the_frit_does_not_fill():
    # hand: pi x 5^2 x 3 = 235.62 cm3, x 2.5 = 589 g; / 0.6 = 392.7 ml, 3 / 0.6 = 5 of 6 cm
    said = caption(lesson2.fill_the_mould, "metric", brim=0.1, base=0.1, thickness=0.03, packing=0.6)
    assert said == (
        "The cast weighs 589 g. The same glass as loose frit takes up 393 ml and stands 10 mm below the "
        "brim. It fits."
    )
    # hand: pi x 2^2 x 1 = 12.566 in3, x 1.4451 = 18.16 oz; / 0.6 = 20.94 in3; 2 3/8 - 1 / 0.6 = 0.708 in
    inches = {"brim": 4 * INCH, "base": 4 * INCH, "thickness": INCH, "packing": 0.6}
    assert caption(lesson2.fill_the_mould, "inches", **inches) == (
        "The cast weighs 1 lb 2.2 oz. The same glass as loose frit takes up 20.9 in³ and stands 0.708 in "
        "below the brim. It fits."
    )


def test_frit_above_the_brim_stands_as_a_column_as_wide_as_the_brim():
    # hand: a cast of 5 of 6 cm at a packing of 0.5 needs 10 cm of a straight mould: 4 above the brim;
    # one level filling leaves 3 of 6 cm, the second 4.5, the third 5.25
    filled = filling.fill_cone(0.1, 0.1, 0.06, 0.05, density=2500, packing=0.5)
    assert filled.frit_height == pytest.approx(0.10, rel=1e-12)
    assert filled.reservoir == pytest.approx(pi * 0.05**2 * 0.04, rel=1e-9)
    said = caption(lesson2.fill_the_mould, "metric", brim=0.1, base=0.1, thickness=0.05, packing=0.5)
    assert "stands 40 mm above the brim. Fill it level 3 times, firing between" in said
    drawn = lesson2.fill_the_mould.picture("metric", brim=0.1, base=0.1, thickness=0.05, packing=0.5)
    frit = drawn["panes"][0]["data"][1]
    assert max(frit["y"]) == pytest.approx(100) and max(frit["x"]) == pytest.approx(50)
    assert "needs a reservoir" in caption(lesson2.fill_the_mould, "metric", thickness=0.06)


def test_the_two_cups_stand_as_high_as_their_packing():
    # hand: 0.60 x 2500 = 1500 kg/m3; published 1120 (FHWA-RD-97-148, from memory): 1120 / 1500 = 0.747
    assert caption(lesson2.packing, "metric") == (
        "A cup of equal balls of glass would weigh 1.5 g/cm³; a cup of crushed glass, as published, weighs "
        "1.12 g/cm³: -25%. Grains with corners bridge and leave more air than balls do."
    )
    # hand: 1.5 and 1.12 g/cm3 x 16.387 / 28.3495
    assert "0.867 oz/in³" in caption(lesson2.packing, "inches")
    assert "0.647 oz/in³" in caption(lesson2.packing, "inches")
    for pane, packing in zip(lesson2.packing.picture()["panes"], (0.60, 0.448), strict=True):
        melted, grains = pane["data"][:2]
        assert max(melted["y"]) == pytest.approx(packing)
        outlines = np.split(grains["x"] + 1j * grains["y"], np.flatnonzero(np.isnan(grains["x"])))
        drawn = sum(area(outline[~np.isnan(outline)]) for outline in outlines)
        # exact: grains drawn cover as much of the cup (11 x 12 cells) as glass fills; 18 corners for a ball
        assert drawn / (11 * 0.088) == pytest.approx(packing, rel=0.03)


def area(outline):
    x, y = outline.real, outline.imag
    return abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))) / 2


def test_three_ways_away_from_where_they_open():
    state = {"model": 5e-4, "wax": 0.05, "soaked": 0.1, "reading": 5e-6}
    # hand: wax 1250 x (1/0.95 - 1/1.05) / 2 = 62.66 with 1250 x 2/480 = 5.21: 62.9; balance twice: sqrt 2 x
    # 2 g x 2.5 / 0.9982 = 7.08, soaked 125 more: 125.2; jug sqrt 2 x 5 ml x 2.5 = 17.7
    assert caption(lesson2.three_ways, "metric", **state) == (
        "The model takes 1250 g of glass. It may come out wrong by ± 62.9 g if you weigh the wax model; 7.08 "
        "g too little to 125 g too much if you weigh the water; ± 17.7 g if you sink it in a jug. Surest "
        "here: sink it in a jug."
    )
    # hand: the same numbers / 28.3495
    said = caption(lesson2.three_ways, "inches", **state)
    assert "takes 2 lb 12.1 oz" in said and "± 2.22 oz" in said and "± 0.624 oz" in said
    assert "0.25 oz too little to 4.42 oz too much" in said


def bars(pane):
    """Return the two ends of each bar of a pane, from top to bottom."""
    x, row = pane["data"][0]["x"], pane["data"][0]["y"]
    return [sorted(x[row == at]) for at in (2.0, 1.0, 0.0)]


def test_the_bars_of_three_ways_end_where_their_words_say():
    drawn = lesson2.three_ways.picture("metric", model=5e-4, wax=0.05, soaked=0.1)
    said = [label["text"] for label in drawn["panes"][1]["layout"]["annotations"]]
    ends = [[float(n.replace("−", "-")) for n in re.findall(r"[−\d.]+", words)] for words in said]
    both = [[-pair[0], pair[0]] if len(pair) == 1 else pair for pair in ends]
    # said to three figures
    assert len(both) == 3 and bars(drawn["panes"][1]) == [pytest.approx(pair, rel=0.006) for pair in both]


def test_the_water_of_the_jug_is_drawn_up_to_where_the_model_lifts_it():
    water = style.MATERIALS["water"]["fillcolor"]

    def level(volume):
        vessels = lesson2.three_ways.picture("metric", model=volume)["panes"][0]["data"]
        (x, y) = next((one["x"], one["y"]) for one in vessels if one.get("fillcolor") == water)
        wide = np.isclose(np.abs(x), 0.62)  # the walls of the jug
        assert wide.sum() == 5
        return y[wide].max()

    assert -0.36 < level(1e-4) < level(4e-4) < 0.4  # more model, higher water, and none runs over


def test_the_bars_of_a_hand_drawn_area_are_two_uncertainties_to_either_side():
    found = lesson2.sketched.at("metric")
    areas = found.traced, found.counted, found.weighed
    pane = lesson2.sketched.picture("metric")["panes"][1]
    ends = [[1e4 * (area.value + way * area.uncertainty) for way in (-2, 2)] for area in areas]  # cm2
    assert bars(pane) == [pytest.approx(pair, rel=1e-9) for pair in ends]


def test_what_a_mould_soaks_up_only_ever_adds():
    dry, wet = (lesson2.three_ways.result(3e-4, 0.02, soaked, 1e-5).water for soaked in (0.0, 0.1))
    assert dry.low == dry.high == wet.low < wet.high


def test_a_texture_away_from_where_it_opens():
    # hand: 200 cm2 x 0.2 cm x 0.5 x 0.6 = 12 cm3 = 30 g; 12 / 200 = 0.06 cm
    state = {"area": 0.02, "grain": 0.002, "coverage": 0.5, "packing": 0.6}
    assert caption(lesson2.texture, "metric", **state) == (
        "30 g of frit on 200 cm². Melted level it would add 0.6 mm: for the kiln 6.8 mm of sheet become 7.4 "
        "mm on average."
    )
    # hand: 30 in2 x 0.1 in x 0.5 x 0.6 = 0.9 in3, x 1.4451 = 1.30 oz; 0.03 in on two sheets of 0.135
    state |= {"area": 30 * INCH**2, "grain": 0.1 * INCH}
    assert caption(lesson2.texture, "inches", **state) == (
        "1.3 oz of frit on 30 in². Melted level it would add 0.03 in: for the kiln 0.27 in of sheet become "
        "0.3 in on average."
    )


@pytest.mark.parametrize("coverage", [0.05, 0.3, 0.6, 0.9])
@pytest.mark.parametrize("grain", [0.001, 0.003, 0.006])
def test_grains_lie_beside_each_other_and_cover_what_is_said(grain, coverage):
    strewn = filling.strew(0.006, grain, coverage, packing=0.5, density=2500, sheet=0.006)
    x, y = strewn.centres(0.2)
    apart, _ = cKDTree(np.transpose([x, y])).query(np.transpose([x, y]), k=2)
    assert apart[:, 1].min() >= grain * (1 - 1e-9)  # exact: none on another
    covered = x.size * pi * grain**2 / 4 / 0.2**2
    assert covered == pytest.approx(coverage, rel=0.06)  # the rim of the window cuts some
    assert strewn.centres(0.04).shape[1] >= 1


def test_the_melted_level_stands_where_the_frit_adds_to_the_sheet():
    # hand: 6.8 mm (0.27 in) of sheet and 0.6 mm of melted frit
    state = {"area": 0.02, "grain": 0.002, "coverage": 0.5, "packing": 0.6}
    for units, level in (("metric", 7.4), ("inches", 0.27 + 0.6 / 25.4)):
        section = lesson2.texture.picture(units, **state)["panes"][2]
        assert section["data"][2]["y"] == pytest.approx([level, level])
        assert section["layout"]["annotations"][0]["y"] == pytest.approx(level)


def test_the_strewn_part_of_the_tray_is_as_large_as_the_slider_says():
    for size in (0.002, 0.02):
        pane = lesson2.texture.picture("metric", area=size)["panes"][0]
        part = pane["data"][1]
        assert area(np.array(part["x"]) + 1j * np.array(part["y"])) == pytest.approx(size * 1e6)  # exact: mm2


SLIPS = {  # hand, with the first numbers of each list
    "2.1": {
        "diameter for radius": "3581.42 g",  # 4 x 895.354
        "outside for inside": "1646.04 g",  # pi x 15 x (78^2 + 78 x 58 + 58^2) = 658 415 mm3
        "taper forgotten": "1272.35 g",  # pi x 60^2 x 45
        "pointed cone": "424.115 g",  # pi x 60^2 x 45 / 3
    },
    "2.2": {
        "nominal for measured": "648 g",  # 2 x 24 x 18 x 0.3 x 2.5
        "one sheet for two": "367.2 g",
        "100 mm³ for 1 cm³": "7344 g",
        "density forgotten": "293.76 g",
    },
    "2.3": {
        "packing forgotten": "360 ml",  # 900 / 2.5
        "multiplied by the packing": "198 ml",
        "air for glass": "800 ml",  # 360 / 0.45
        "weight for volume": "1636.364 ml",  # 900 / 0.55
    },
    "2.4": {
        "rest in the jug forgotten": "1250 g",
        "rest for what was poured": "450 g",
        "weight of the water": "320 g",
        "divided instead of multiplied": "128 g",
    },
    "2.5": {
        "rectangle for triangle": "12.474 g",
        "coverage forgotten": "8.91 g",
        "packing forgotten": "11.34 g",
        "coverage and packing forgotten": "16.2 g",
    },
    "2.6": {
        "length for area": "450 mm",  # 150 x 3
        "ratio upside down": "16.66667 mm",  # 150 / 9
        "ends forgotten": "1800 mm",
        "one end for two": "1575 mm",
    },
    "2.7": {
        "diameter for radius": "4105.01 g",  # pi x 40 x (3 x 160^2 + 40^2) / 6 = 1 642 006 mm3
        "a cone for a cap": "670.206 g",  # pi x 80^2 x 40 / 3
        "a cylinder for a cap": "2010.62 g",
        "density forgotten": "435.634 g",
    },
}


@pytest.mark.parametrize("key", SLIPS)
def test_each_slip_gives_what_it_gives_by_hand(key):
    asked = question(key)
    found = asked.slips(asked.variant("metric", 0))
    assert set(found) == set(SLIPS[key])
    for name, by_hand in SLIPS[key].items():
        assert found[name].value == pytest.approx(read(by_hand, asked.dimension), rel=1e-5), name


WORKINGS = {  # hand
    ("2.1", "metric"): [
        "The wall is not needed: glass fills the inside, and the inside is what was measured.",
        "Radius at the rim: R = 120 mm / 2 = 60 mm.",
        "Radius at the floor: r = 80 mm / 2 = 40 mm.",
        "Volume: π × 45 mm × (R² + R × r + r²) / 3 = 358 ml.",
        "Weight: 358 ml × 2.5 g/cm³ (1 ml is 1 cm³).",
        "Answer: 895 g.",
    ],
    ("2.2", "inches"): [
        "The measured thickness counts: 0.136 in.",
        "Volume: 2 × 9 1/2 in × 7 in × 0.136 in = 18.1 in³.",
        "Weight: 18.1 in³ × 1.445 oz/in³.",
        "Answer: 1 lb 10.1 oz.",
    ],
    ("2.3", "metric"): [
        "Glass alone: 900 g / (2.5 g/cm³) = 360 ml.",
        "That is 55 % of the heap. The heap: 360 ml / 0.55.",
        "Answer: 655 ml.",
    ],
    ("2.4", "metric"): [
        "Water in the mould: 500 ml - 180 ml = 320 × 1 ml.",
        "It weighs 320 × 1 g = 320 g.",
        "Glass in its place: 320 g × 2.5.",
        "Answer: 800 g.",
    ],
    ("2.5", "metric"): [
        "Area: 90 mm × 80 mm / 2 = 36 cm².",
        "A full layer, one grain deep: 36 cm² × 1.8 mm = 6.48 ml.",
        "Glass in it: 6.48 ml × 70 % × 55 % = 2.49 ml.",
        "Weight: 2.49 ml × 2.5 g/cm³ (1 ml is 1 cm³).",
        "Answer: 6.24 g.",
    ],
    ("2.6", "metric"): [
        "Length that is drawn: 200 mm - 2 × 25 mm = 150 mm.",
        "Its cross-section shrinks (6 mm / 2 mm)² = 9 times.",
        "The volume stays, so its length grows as many times.",
        "Fine rod: 150 mm × 9.",
        "Answer: 1.35 m.",
    ],
    ("2.7", "metric"): [
        "Radius at the rim: R = 160 mm / 2 = 80 mm.",
        "Volume: π × 40 mm × (3 R² + (40 mm)²) / 6 = 436 ml.",
        "Weight: 436 ml × 2.5 g/cm³ (1 ml is 1 cm³).",
        "Answer: 1089 g.",
    ],
}


@pytest.mark.parametrize(("key", "units"), WORKINGS)
def test_a_whole_working(key, units):
    asked = question(key)
    assert list(asked.worked(asked.variant(units, 0)).steps) == WORKINGS[key, units]


def test_the_guess_is_about_the_weight_that_the_picture_shows():
    guess = lesson2.fill_the_mould.guess
    result = lesson2.fill_the_mould.at(brim=0.1, base=0.1, thickness=0.03, packing=0.6)
    assert guess.answer(result) == pytest.approx(0.58905, rel=1e-4)  # hand: above


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: filling.fill_cone(0.08, 0.12, 0.06, 0.07, density=2500, packing=0.5), "fill is 0.07"),
        (lambda: filling.two_cups(2500, 0.9, 1120), "balls_packing is 0.9; allowed is 0.2 to 0.74"),
        (
            lambda: filling.strew(0.006, 0.003, 0.95, packing=0.5, density=2500, sheet=0.006),
            "coverage is 0.95",
        ),
    ],
)
def test_bad_input_gets_a_sentence(call, sentence):
    with pytest.raises(ValueError, match=sentence):
        call()
