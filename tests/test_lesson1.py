"""Lesson 1: exercises worked by hand, and pictures held against what must be seen."""

import base64

import numpy as np
import pytest
from plotly.graph_objects import Figure

from kilncalc import compatibility
from kilncalc.exercises import question
from kilncalc.figures.polariscope import png_address
from kilncalc.panels import lesson1
from kilncalc.quantities import read

png = pytest.importorskip("_plotly_utils.png")  # the PNG reader that plotly brings along: not our code

FIRST_ANSWERS = {
    # hand: (9.6 - 9.0)e-6 x (493 - 20) x 240 mm
    ("1.1", "metric"): "0.068112 mm",
    # hand: 0.6e-6 x (920 - 68) / 1.8 x 9.5 in = 0.6e-6 x 473.333 x 9.5
    ("1.1", "inches"): "0.002698 in",
    # hand: 90 000 MPa x 0.6e-6 x 473 / 2
    ("1.2", "metric"): "12.771 MPa",
    # hand: 13 000 000 psi x 0.6e-6 x 852 / 1.8 / 2
    ("1.2", "inches"): "1846 psi",
    # hand: 2 x 3.5 / 90 000 / 473
    ("1.3", "metric"): "0.16444e-6 /K",
    # hand: 2 x 500 / 13 000 000 / (852 / 1.8)
    ("1.3", "inches"): "0.162514e-6 /K",
    # hand: 180^2 / (8 x 0.25) mm + half the gap, 0.125 mm
    ("1.4", "metric"): "16200.125 mm",
    # hand: 7^2 / (8 x 0.010) in + 0.005 in
    ("1.4", "inches"): "612.505 in",
    # hand: 6 mm / (1.5 x 16 000 mm) = 250e-6, / 473
    ("1.5", "metric"): "0.528541e-6 /K",
    # hand: 0.25 in / (1.5 x 624 in) = 267.094e-6, / (852 / 1.8)
    ("1.5", "inches"): "0.564283e-6 /K",
    # hand: 565 nm x (1 + 60 / 180) = 753.333 nm, / (27 x 2.5 cm)
    ("1.6", "metric"): "11.16049 MPa",
    # hand: 753.333 / (27 x 2.54)
    ("1.6", "inches"): "10.98474 MPa",
}


@pytest.mark.parametrize(("key", "units"), FIRST_ANSWERS)
def test_the_printed_numbers_lead_to_the_answer_worked_by_hand(key, units):
    asked = question(key)
    by_hand = read(FIRST_ANSWERS[key, units], asked.dimension)
    assert asked.value(asked.variant(units, 0)) == pytest.approx(by_hand, rel=1e-4, abs=0)


def decoded(address: str) -> np.ndarray:
    columns, rows, values, _ = png.Reader(bytes=base64.b64decode(address.partition(",")[2])).asDirect()
    return np.array([list(row) for row in values], dtype=np.uint8).reshape(rows, columns, 3)


def drawn(panel=lesson1.polariscope, units="metric", **changed) -> Figure:
    values = {control.name: control.value for control in panel.controls}
    return Figure(panel.draw(units=units, **{**values, **changed}))


def seen(**changed) -> np.ndarray:
    return decoded(drawn(**changed).layout.images[0].source)


def test_a_picture_comes_back_from_its_png_as_it_went_in():
    picture = np.random.default_rng(1).integers(0, 256, (7, 11, 3), dtype=np.uint8)
    np.testing.assert_array_equal(decoded(png_address(picture)), picture)  # exact: PNG loses nothing


def test_a_match_is_black_and_so_is_the_inside_of_a_spot():
    assert seen(test=lesson1.STRIP, difference=0.0).max() == 0  # exact: no stress retards nothing
    spot = seen(test=lesson1.SPOT, polariser=20.0)
    middle = lesson1.PIXELS // 2
    inside = int(0.9 * lesson1.PIXELS * lesson1.SPOT_RADIUS / lesson1.SPOT_FIELD / np.sqrt(2))
    assert spot[middle - inside : middle + inside, middle - inside : middle + inside].max() == 0  # exact
    assert spot.max() > 200  # hand: 322 nm at the rim, white at its brightest


@pytest.mark.parametrize("angle", [0.0, 30.0, 75.0, 120.0])
def test_the_dark_cross_of_a_spot_turns_with_the_polarisers(angle):
    picture = seen(test=lesson1.SPOT, polariser=angle).astype(float).sum(axis=2)
    middle = (lesson1.PIXELS - 1) / 2
    turn = np.radians(np.arange(0, 90, 1.0))
    radius = 1.3 * lesson1.PIXELS * lesson1.SPOT_RADIUS / lesson1.SPOT_FIELD
    light = sum(
        picture[
            np.rint(middle - radius * np.sin(turn + quarter)).astype(int),
            np.rint(middle + radius * np.cos(turn + quarter)).astype(int),
        ]
        for quarter in np.pi / 2 * np.arange(4)
    )
    # exact: radial stress lies along a polariser in these four directions
    assert min(abs(np.argmin(light) - angle % 90), 90 - abs(np.argmin(light) - angle % 90)) <= 2


def test_a_badly_annealed_bar_is_alike_from_both_faces_and_a_badly_matched_one_changes_sides_at_the_joint():
    picture = seen(test=lesson1.EDGES, difference=1.0, plate=lesson1.WITH).astype(float)
    rows = round(lesson1.PIXELS * lesson1.EDGE_THICKNESS / lesson1.EDGE_FIELD)
    bad_match = picture[-rows:, -1]
    annealed = lesson1._view(lesson1.EDGES, 1.0).retardation[:rows]
    # exact: sigma is even in z for a slab cooled alike from both faces; at the face it falls by
    # hand: 12 x 101 nm / 300 rows = 4 nm from one row of the view to the next, and a row is the nearest one
    np.testing.assert_allclose(annealed, annealed[::-1], rtol=0, atol=4e-9)
    assert annealed.max() > 150e-9  # hand: 2.7e-12 x 3 MPa x 25 mm = 202 nm at the faces
    red, _, blue = range(3)
    above, below = bad_match[rows // 2 - 3], bad_match[rows // 2 + 3]
    # published: first-order scale with a 565 nm plate: tension along its axis blue, compression orange
    assert above[blue] > above[red] and below[red] > below[blue]
    assert np.ptp(picture[rows + 2 : -rows - 2].reshape(-1, 3), axis=0).max() == 0  # exact: no glass between


def test_the_two_bars_of_one_picture_are_drawn_to_scale():
    view = lesson1._view(lesson1.EDGES, 1.0)
    rows = round(lesson1.PIXELS * lesson1.EDGE_THICKNESS / lesson1.EDGE_FIELD)
    middle_line = view.retardation[:rows, -1]
    dark = np.flatnonzero(np.diff(np.sign(np.gradient(middle_line))) > 0)
    # published: Adams & Williamson 1920, neutral 21.1 % of the thickness under each face
    assert (dark[0] + 1) / rows == pytest.approx(0.211, abs=0.015)
    assert (dark[-1] + 1) / rows == pytest.approx(0.789, abs=0.015)


def test_the_stack_panel_bends_to_the_side_of_the_glass_that_shrinks_more():
    up = drawn(lesson1.stack, difference=6.0)
    colour = np.asarray(up.data[1].y)
    assert colour[0] > colour[20]  # hand: the colour on top shrinks more, so the ends curl up
    # hand: two like sheets, E' eps / 2 = 70 / 0.78 GPa x 6e-7 x 473.5 / 2
    assert np.max(up.data[2].x) == pytest.approx(12.748, rel=1e-3)
    less = drawn(lesson1.stack, difference=-6.0)
    assert np.asarray(less.data[1].y)[0] < np.asarray(less.data[1].y)[20]


def test_leaving_out_the_two_mistakes_gives_the_difference_the_class_was_given():
    table = compatibility.analyse_strip_tests(compatibility.strip_tests(), lesson1.CLEAR)
    caption = drawn(lesson1.class_tests, first="S04", second="S09").layout.meta["caption"]
    good = table[~table["student"].isin(["S04", "S09"])]
    for column in ("by_light", "by_bow"):
        assert good[column].mean() == pytest.approx(
            5.2, abs=0.3
        )  # invented: the data are made for 5.2 points
        assert f"{good[column].mean():.2f}" in caption


def test_a_bar_of_the_class_put_right_agrees_with_the_others():
    table = compatibility.strip_tests().set_index("student", drop=False)
    table.loc["S04", "width_mm"] *= 25.4  # invented: written in inches
    table.loc["S09", "fringe_order"] = 1  # invented: the whole fringe was forgotten
    right = compatibility.analyse_strip_tests(table, lesson1.CLEAR)
    # invented: made for 5.2 points, scattered by 4 degrees in 240 and 0.04 mm in 3 mm
    np.testing.assert_allclose(right.loc[["S04", "S09"], "by_light"], 5.2, rtol=0, atol=0.3)
