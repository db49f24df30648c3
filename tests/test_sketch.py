"""From the sketch to the gram: areas against exact ones and Pick's theorem, frit and rods worked by hand."""

import math

import numpy as np
import pytest
import shapely

from kilncalc import sketch
from kilncalc.exercises import mark_numbers, question
from kilncalc.panels import lesson2
from kilncalc.sketch import Area, Frit, count_squares, counted_area, traced_area, weigh_out, weighed_area

CURVE = [4.75e-3, 3.35e-3, 1.7e-3, 0.85e-3], [1.0, 0.9, 0.45, 0.2]
LEAF = [(0.14 * x, 0.14 * y) for x, y in sketch.LEAF]


def blob(seed, count=40):
    """Return an outline that does not cross itself, about 40 mm across its middle."""
    rng = np.random.default_rng(seed)
    turn = np.sort(rng.uniform(0, 2 * math.pi, count))
    radius = rng.uniform(0.02, 0.06, count)
    return list(zip(0.1 + radius * np.cos(turn), 0.1 + radius * np.sin(turn), strict=True))


# ------------------------------------------------------------------ areas


def test_traced_areas_are_exact():
    # exact: triangle 3 x 4 cm: 6 cm2; an L of 5 + 3 squares of 1 cm2; either way round, closed or not
    triangle = [(0, 0), (0.03, 0), (0, 0.04)]
    assert traced_area(triangle).value == pytest.approx(6e-4, rel=1e-12)
    assert traced_area(triangle[::-1]).value == pytest.approx(6e-4, rel=1e-12)
    assert traced_area([*triangle, triangle[0]]).value == pytest.approx(6e-4, rel=1e-12)
    bent = [(0, 0), (0.05, 0), (0.05, 0.01), (0.03, 0.01), (0.03, 0.02), (0, 0.02)]
    assert traced_area(bent).value == pytest.approx(8e-4, rel=1e-12)  # hand: 5 x 1 + 3 x 1
    for seed in range(30):
        outline = blob(seed)
        assert traced_area(outline).value == pytest.approx(shapely.Polygon(outline).area, rel=1e-9)


@pytest.mark.parametrize(("count", "short"), [(12, 0.045), (24, 0.011)])
def test_a_traced_circle_is_as_much_too_small_as_the_docstring_says(count, short):
    turn = 2 * math.pi * np.arange(count) / count
    traced = traced_area(list(zip(0.05 * np.cos(turn), 0.05 * np.sin(turn), strict=True))).value
    # exact: an n-sided polygon in a circle is sin(2 pi/n)/(2 pi/n) of it
    assert traced / (math.pi * 0.05**2) == pytest.approx(
        math.sin(2 * math.pi / count) / (2 * math.pi / count), rel=1e-12
    )
    assert 1 - traced / (math.pi * 0.05**2) == pytest.approx(short, rel=0.05)


def test_points_that_are_off_make_the_area_uncertain_as_said():
    # exact: a square of side a: u^2 = e^2/4 x 4 x 2 a^2, u = sqrt(2) a e
    square = [(0, 0), (0.08, 0), (0.08, 0.08), (0, 0.08)]
    assert traced_area(square, 0.001).uncertainty == pytest.approx(math.sqrt(2) * 0.08 * 0.001, rel=1e-12)
    # and by trial: many leaves traced by a hand that is 0.5 mm off
    rng = np.random.default_rng(3)
    trials = [traced_area(np.array(LEAF) + rng.normal(0, 5e-4, (len(LEAF), 2))).value for _ in range(3000)]
    assert traced_area(LEAF, 5e-4).uncertainty == pytest.approx(np.std(trials), rel=0.05)


def test_counted_squares_against_picks_theorem():
    # exact: Pick: a polygon with its corners on the crossings of the lines has the area I + B/2 - 1 squares
    side = 0.005
    rng = np.random.default_rng(11)
    for _ in range(25):
        turn = np.sort(rng.uniform(0, 2 * math.pi, 9))
        corners = np.unique(np.round(np.stack([20 + 15 * np.cos(turn), 20 + 15 * np.sin(turn)], 1)), axis=0)
        middle = corners.mean(axis=0)
        order = np.argsort(np.arctan2(*(corners - middle).T[::-1]))
        corners = corners[order]
        polygon = shapely.Polygon(corners)
        lattice = shapely.points(*(part.ravel() for part in np.meshgrid(np.arange(41), np.arange(41))))
        inner, rim = polygon.contains(lattice).sum(), shapely.intersects(polygon.exterior, lattice).sum()
        pick = (inner + rim / 2 - 1) * side**2
        assert traced_area(corners * side).value == pytest.approx(pick, rel=1e-9)
        squares = count_squares(corners * side, side)
        counted = counted_area(len(squares.whole), len(squares.cut), side)
        assert abs(counted.value - pick) < 4 * counted.uncertainty
        cells = shapely.box(
            *(np.arange(41).repeat(41), np.tile(np.arange(41), 41)),
            *(np.arange(1, 42).repeat(41), np.tile(np.arange(1, 42), 41)),
        )
        inside = shapely.area(shapely.intersection(cells, polygon))
        assert len(squares.whole) == (inside > 1 - 1e-9).sum()
        assert len(squares.cut) == ((inside > 1e-9) & (inside < 1 - 1e-9)).sum()


def test_counted_squares_are_as_sure_as_said():
    # exact: kinematic formula: (met + inside)/2 is A + 1 square on the average of all positions and turns;
    # the scatter is no larger than said (neighbouring squares share an outline, so it is smaller)
    rng = np.random.default_rng(5)
    true = traced_area(LEAF).value
    off, said = [], []
    for _ in range(400):
        turn, at = rng.uniform(0, 2 * math.pi), rng.uniform(0, 0.01, 2)
        rotation = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
        squares = count_squares(np.array(LEAF) @ rotation + at, 0.01)
        counted = counted_area(len(squares.whole), len(squares.cut), 0.01)
        off.append(counted.value - true)
        said.append(counted.uncertainty)
    assert np.mean(off) / 0.01**2 == pytest.approx(1.0, rel=0.25)
    assert np.std(off) < 1.1 * np.mean(said)


def test_weighed_card():
    # hand: 3.1 g of 12.5 g of a card of 210 x 297 mm: 0.248 x 623.7 = 154.68 cm2; u/A: 0.1/3.1 and 0.1/12.5:
    # sqrt(0.03226^2 + 0.008^2) = 0.03324
    card = weighed_area(0.0031, 0.0125, 0.210 * 0.297, 0.0001)
    assert card.value == pytest.approx(154.68e-4, rel=1e-4)
    assert card.uncertainty / card.value == pytest.approx(0.03324, rel=0.01)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: traced_area([(0, 0), (1, 1)]), "points must be 3 to 500 pairs"),
        (
            lambda: traced_area([(0, 0), (0.1, 0.1), (0.1, 0), (0, 0.1)]),
            "the outline crosses itself: the line",
        ),
        (lambda: traced_area([(0, 0), (80, 0), (0, 80)]), "points is 80 m; allowed is -10 to 10 m"),
        (lambda: traced_area([(0, 0), (0.1, 0), (0, 0.1)], 0.5), "off is 0.5 m"),
        (lambda: counted_area(0, 0, 0.01), "no square was counted"),
        (lambda: counted_area(3, 2.5, 0.01), "cut must be a whole number"),
        (lambda: counted_area(30, 20, 10), "Did you mean 10 mm"),
        (lambda: count_squares([(0, 0), (9, 0), (0, 9)], 0.01), "up to 40000 can be counted. Take larger"),
        (lambda: weighed_area(0.02, 0.01, 0.06), "cutout is 0.02 kg"),
        (lambda: Frit("fine", 0.3, "No. 20", "No. 12"), "Were the two swapped?"),
        (lambda: Frit("fine", 0.3, "No. 12", "No. 21"), 'there is no sieve called "No. 21"'),
        (lambda: Frit("fine", 30, "No. 12", "No. 20"), "share of fine is 30"),
        (lambda: weigh_out(Area(0.01, 0), (), 0.6, 0.5, 2500, *CURVE), "must add up to 1"),
        (
            lambda: weigh_out(
                Area(0.01, 0), (Frit("a", 0.5, "No. 6", "No. 12"),) * 3, 0.6, 0.5, 2500, *CURVE
            ),
            "0.5 + 0.5 + 0.5 = 1.5",
        ),
        (lambda: sketch.rods_for(24, 0.6, 0.1), "a line is 600 mm long and a rod 500 mm"),
        (lambda: sketch.rods_for(24, 0.1, 1.0), "breakage is 1"),
    ],
)
def test_bad_input_gets_a_sentence(call, sentence):
    with pytest.raises(ValueError) as refused:
        call()
    assert sentence in str(refused.value)


# ------------------------------------------------------------------ frit, rods


def test_two_frits_by_hand():
    frits = (Frit("medium", 0.7, "No. 6", "No. 12"), Frit("fine", 0.3, "No. 12", "No. 20"))
    medium, fine = weigh_out(Area(0.006, 0.0003), frits, 0.6, 0.5, 2500, *CURVE)
    # hand: openings 3.35, 1.7, 0.85 mm (ASTM E11): grains 2.525 and 1.275 mm; 2500 x 0.5 x 0.6 x 60 cm2 = 4.5
    # kg/m: 7.95 and 1.72 g; the sieves keep 0.90 - 0.45 and 0.45 - 0.20: 17.68 and 6.885 g; 5 % of the area
    assert (medium.mass, fine.mass) == pytest.approx((7.954e-3, 1.721e-3), rel=1e-3)
    assert (medium.kept, fine.kept) == pytest.approx((0.45, 0.25), rel=1e-9)
    assert (medium.raw, fine.raw) == pytest.approx((17.675e-3, 6.885e-3), rel=1e-3)
    assert medium.uncertainty == pytest.approx(0.05 * medium.mass, rel=1e-9)
    # what is crushed and sieved again is what was wanted
    assert medium.raw * medium.kept == pytest.approx(medium.mass, rel=1e-12)


def test_rods_by_hand():
    # hand: 24 / 0.9 = 26.7: 27; 500 / 120 = 4 a rod; 27 / 4: 7; 27 x 0.12 = 3.24 m; a rod of 6 mm drawn to
    # 2 mm gives 9 x 0.9 = 8.1 m a metre: 0.4 m
    grid = sketch.rods_for(24, 0.120, 0.10)
    assert (grid.to_cut, grid.a_rod, grid.rods) == (27, 4, 7)
    assert (grid.metres, grid.drawn_from) == pytest.approx((3.24, 0.4), rel=1e-9)
    # a rod that is just so many lines long gives them all
    assert sketch.rods_for(10, 0.1, 0.0, rod=0.3).a_rod == 3
    assert sketch.rods_for(9, 0.1, 0.0, rod=0.3).rods == 3


# ------------------------------------------------------------------ pictures


def test_a_leaf_in_words():
    moved = {"length": 0.200, "side": 0.020, "balance": 0.0005, "medium": 0.5}
    found = lesson2.sketched.at("metric", **moved)
    # exact: shapely; hand: the card weighs 0.3 kg/m2, so 1 g is 33.33 cm2: the two weighings 0.5 g off each
    area = shapely.Polygon([(0.2 * x, 0.2 * y) for x, y in sketch.LEAF]).area
    assert found.traced.value == pytest.approx(area, rel=1e-9)
    off = math.hypot(0.0005 / 0.3, 0.0005 / 0.3 * area / (0.210 * 0.297))
    assert found.weighed.uncertainty == pytest.approx(off, rel=0.02)
    caption = lesson2.sketched.picture("metric", **moved)["caption"]
    cells = f"{len(found.squares.whole)} squares are whole and {len(found.squares.cut)} cut"
    # hand: area 105.5 cm2; 2500 x 0.5 x 0.6 x 0.5 x 105.5 cm2 x 2.525 mm = 9.99 g; the curve keeps
    # 0.90 - 0.47; fine 1.275 mm: 5.04 g, 0.47 - 0.25
    assert cells == "14 squares are whole and 25 cut"
    assert caption == (
        "Traced 105.5 ± 0.4 cm²; squares counted 106 ± 6 cm²; cut out and weighed 105 ± 17 cm². 14 squares "
        "are whole and 25 cut. On the traced area: 9.99 ± 0.04 g of medium frit, from 23.2 g of crushed "
        "glass; 5.04 ± 0.02 g of fine frit, from 22.9 g of crushed glass."
    )
    # hand: 105.48 / 6.4516 = 16.35 in2; 9.988 / 28.35 = 0.3523 oz; the pen is 1/64 in off:
    # 0.79 as much as 0.5 mm
    inches = lesson2.sketched.picture("inches", **moved)["caption"]
    assert inches.startswith("Traced 16.35 ± 0.05 in²; squares counted 16.4 ± 0.9 in²; cut out and weighed")
    assert "0.3523 ± 0.0011 oz of medium frit, from 0.819 oz of crushed glass" in inches


def test_squares_are_drawn_where_they_lie():
    figure = lesson2.sketched.picture("metric", length=0.200, side=0.020)
    whole, cut, outline, points = figure["panes"][0]["data"]
    assert (np.isnan(whole["x"]).sum(), np.isnan(cut["x"]).sum()) == (14, 25)
    assert len(outline["x"]) == len(sketch.LEAF) + 1 and len(points["x"]) == len(sketch.LEAF)


def test_rods_in_words():
    moved = {"lines": 30.0, "line": 0.100, "breakage": 0.2, "thickness": 0.003}
    # hand: 30 / 0.8 = 37.5: 38; 5 a rod; 8 rods; 3.8 m; (6/3)^2 x 0.9 = 3.6: 1.056 m
    assert lesson2.rods.picture("metric", **moved)["caption"] == (
        "For 30 lines of 100 mm cut 38, 5 from a rod: 8 rods. That is 3.8 m of stringer, drawn out of "
        "1.06 m of "
        "thick rod."
    )
    # hand: 4 in, a rod of 20 in gives 5; 38 x 4 = 152 in = 12.67 ft; (6.35/3)^2 x 0.9 = 4.0323: 37.7 in
    assert lesson2.rods.picture("inches", **{**moved, "line": 0.1016})["caption"] == (
        "For 30 lines of 4 in cut 38, 5 from a rod: 8 rods. That is 12.7 ft of stringer, drawn out of "
        "37.7 in of thick rod."
    )
    figure = lesson2.rods.picture("metric", **moved)
    pieces, rests = figure["panes"][0]["data"]
    assert np.isnan(pieces["x"]).sum() == 38
    assert np.isnan(rests["x"]).sum() == 1  # hand: 7 full rods and one with 3 of 5


# ------------------------------------------------------------------ the exercise


def test_the_exercise_by_hand():
    asked = question("2.8")
    numbers = asked.numbers("metric", {**asked.variant("metric", 0).texts, "whole": "44", "kept": "55 %"})
    # hand: 44 + 11 = 55 squares of 1 cm2; 55 / 100 x 14 = 7.7 g; / 0.55 = 14 g. Slips: 66 squares 16.8 g; 44:
    # 11.2 g; 7.7 g; 4.235 g
    assert asked.value(numbers) == pytest.approx(14e-3, rel=1e-9)
    assert [slip.value * 1e3 for slip in asked.slips(numbers).values()] == pytest.approx(
        [16.8, 11.2, 7.7, 4.235], rel=1e-9
    )
    assert str(asked.worked(numbers)) == (
        "Working of exercise 2.8\n"
        "1. Squares: 44 + 22 / 2 = 55, each 10 mm × 10 mm: 55 cm².\n"
        "2. The trial square is 100 cm², so the leaf is 0.55 times as large.\n"
        "3. To strew: 0.55 × 14 g = 7.7 g.\n"
        "4. To crush: 7.7 g / 55 %.\n"
        "Answer: 14 g."
    ).replace("\nAnswer", "\n5. Answer")
    assert mark_numbers(asked, numbers, "7.7 g").slip == "sieves forgotten"
    # hand: 55 x 0.25 = 13.75 in2 of 16: 0.859375 x 0.5 oz = 0.4297; / 0.55 = 0.7813 oz
    inches = asked.numbers("inches", {**asked.variant("inches", 0).texts, "whole": "44", "kept": "55 %"})
    assert asked.value(inches) / 0.028349523125 == pytest.approx(0.78125, rel=1e-4)


def test_what_the_lesson_says():
    # "Halve the squares: nearly three times as sure, for four times the counting"
    coarse, fine = (lesson2.sketched.at("metric", side=side) for side in (0.010, 0.005))
    assert coarse.counted.uncertainty / fine.counted.uncertainty == pytest.approx(2 * math.sqrt(2), rel=0.08)
    # "Half the thickness takes a quarter of the glass"
    thick, thin = (lesson2.rods.at("metric", thickness=size) for size in (0.002, 0.001))
    assert thick.drawn_from / thin.drawn_from == pytest.approx(4, rel=1e-9)
    # "Fine frit costs more crushing than it weighs": three times as much glass for each gram and more
    medium, small = coarse.frits
    assert small.raw / small.mass > 4 > medium.raw / medium.mass
    # "Make the line a little shorter than a whole part of the rod, and the rest all but vanishes"
    assert (
        lesson2.rods.at("metric", line=0.125).a_rod == 4 and lesson2.rods.at("metric", line=0.13).a_rod == 3
    )
