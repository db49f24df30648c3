"""Squaring up against geometry worked by other ways, and the blank behind a finished size."""

import math

import numpy as np
import pytest
from shapely import Polygon, box
from shapely.affinity import rotate, translate

from kilncalc import coldwork
from kilncalc.cutting import Allowance

# ============================================================================================ squaring up


def brute_force(outline, base, steps=60):
    """Largest area of a rectangle on y = base inside an outline (datum on y = 0), by trying a grid."""
    glass = Polygon(outline).buffer(1e-9)
    x1, _, x2, y2 = glass.bounds
    best = 0.0
    for left in np.linspace(x1, x2, steps, endpoint=False):
        for top in np.linspace(base, y2, steps + 1)[1:]:
            low, high = left, x2  # the longest that fits, by halving
            for _ in range(18):
                right = (low + high) / 2
                if right - left > 1e-9 and glass.covers(box(left, base, right, top)):
                    low = right
                else:
                    high = right
            best = max(best, (low - left) * (top - base))
    return best


def test_a_square_piece_needs_no_cut():
    squared = coldwork.square_up([(0, 0), (0.3, 0), (0.3, 0.2), (0, 0.2)], 0.002)
    assert squared.cuts == () and squared.lost == pytest.approx(0, abs=1e-12)
    assert (squared.dust, squared.offcuts) == (0.0, 0.0)
    # exact: all four sides are straight
    assert squared.departures == (0.0, 0.0, 0.0, 0.0)


def test_a_leaning_side_is_cut_square_to_the_datum_edge():
    squared = coldwork.square_up([(0, 0), (0.310, 0), (0.300, 0.200), (0, 0.200)], 0.002)
    # hand: the side of 200 mm leans by 10 mm; the piece loses a triangle of 200 x 10 / 2 = 1000 mm2
    assert squared.length * squared.width == pytest.approx(0.300 * 0.200, rel=1e-9)
    assert squared.area == pytest.approx(0.061, rel=1e-9)
    (cut,) = squared.cuts
    assert cut.most == pytest.approx(0.010, rel=1e-9)
    # hand: the blade takes a strip 2 mm wide, 40 mm of it running out: at height y the glass beyond the cut
    # is 10 - y/20 mm wide, so 2 mm wide up to y = 160 mm, then a triangle: 2 x 160 + 2 x 40 / 2 = 360 mm2
    assert squared.dust == pytest.approx(360e-6, rel=1e-6)
    assert squared.offcuts == pytest.approx(640e-6, rel=1e-6)


def test_the_cuts_in_their_order():
    # hand: datum edge 0 to 320; the left side leans in by 8, the right by 12, the top falls from 210 to 190;
    # the long side is the datum edge since it leaves the largest rectangle
    outline = [(0, 0), (0.320, 0), (0.308, 0.190), (0.008, 0.210)]
    squared = coldwork.square_up(outline, 0.003)
    assert squared.datum == 0
    assert [cut.name for cut in squared.cuts] == ["first end", "second end", "far edge"]
    assert [cut.guide for cut in squared.cuts] == ["datum edge", "datum edge", "second end"]
    first, second, last = squared.cuts
    assert (first.start[0], second.start[0]) == pytest.approx((squared.x, squared.x + squared.length))
    assert (first.setting, second.setting) == pytest.approx((squared.x, squared.length))
    assert last.setting == pytest.approx(squared.width)
    # what remains after the last cut is the finished rectangle
    left = Polygon(last.remaining)
    assert left.area == pytest.approx(squared.finished, rel=1e-9)
    assert left.bounds == pytest.approx((squared.x, 0, squared.x + squared.length, squared.width), abs=1e-12)
    # and nothing is lost from the books
    assert squared.area == pytest.approx(squared.finished + squared.dust + squared.offcuts, rel=1e-12)
    # the allowance for the next blank: hand: half of what length and width are shorter than the piece
    assert squared.trims == pytest.approx(((0.320 - squared.length) / 2, (0.210 - squared.width) / 2))


def test_the_largest_rectangle_in_a_triangle_like_piece_is_half_as_high():
    # exact: largest rectangle on the base of a triangle has half its height and half its base; the fourth
    # corner cuts off a tip of 1 mm, far above that
    outline = [(0, 0), (0.4, 0), (0.2005, 0.2993), (0.1995, 0.2993)]
    squared = coldwork.square_up(outline, 0.0)
    found = [coldwork.square_up(np.roll(outline, -place, axis=0), 0.0).finished for place in range(4)]
    assert found == pytest.approx([squared.finished] * 4, rel=1e-9)
    # exact: b h / 4 with h from the similar triangle: 0.2993 + 0.001/0.399 * 0.2993
    height = 0.2993 * 0.4 / 0.399
    assert squared.finished == pytest.approx(0.4 * height / 4, rel=1e-9)


@pytest.mark.parametrize("seed", range(8))
def test_no_rectangle_found_by_trying_is_larger(seed):
    random = np.random.default_rng(seed)
    corners = np.array([(0, 0), (0.3, 0), (0.3, 0.2), (0, 0.2)]) + random.uniform(-0.03, 0.03, (4, 2))
    squared = coldwork.square_up(corners, 0.002)
    tried = brute_force(squared.outline, squared.y)
    # the grid is 60 x 60, so it may miss the best by a few per cent and never be better
    assert squared.finished >= tried * (1 - 1e-6)
    assert tried >= squared.finished * 0.94
    finished = box(squared.x, squared.y, squared.x + squared.length, squared.y + squared.width)
    assert Polygon(squared.outline).buffer(1e-9).covers(finished)


@pytest.mark.parametrize("seed", range(6))
def test_a_traced_outline_is_squared_like_a_measured_one(seed):
    random = np.random.default_rng(100 + seed)
    points = []
    corners = [(0, 0), (0.3, 0), (0.29, 0.2), (0.01, 0.19)]
    for k, (start, end) in enumerate(zip(corners, corners[1:] + corners[:1], strict=True)):
        for share in np.linspace(0, 1, 12, endpoint=False):
            place = np.array(start) + share * (np.array(end) - np.array(start))
            wave = 0 if share == 0 else random.uniform(0, (0.2e-3, 2e-3, 4e-3, 3e-3)[k])
            points.append(place + wave * np.array([(0, 1), (-1, 0), (0, -1), (1, 0)][k]))
    squared = coldwork.square_up(points, 0.002)
    assert squared.datum == 0  # its points depart least
    assert squared.departures[0] < 0.2e-3 < min(squared.departures[1:])
    tried = brute_force(squared.outline, squared.y, steps=40)
    assert squared.finished >= tried * (1 - 1e-6)
    assert tried >= squared.finished * 0.93


@pytest.mark.parametrize("seed", range(5))
def test_of_any_outline_the_rectangle_lies_in_the_glass_and_the_books_balance(seed):
    random = np.random.default_rng(200 + seed)
    squared = []
    while len(squared) < 12:
        piece = rotate(box(0, 0, 0.3, 0.2), random.uniform(0, 360), origin=(0, 0))
        for x, y in random.uniform(0, 1, (random.integers(1, 4), 2)):
            bay = box(0.3 * x, 0.2 * y, 0.3 * x + random.uniform(0.01, 0.05), 0.5)
            piece = piece.difference(rotate(bay, random.choice([0, 90, 180, 30]), origin=(0.15, 0.1)))
        if piece.geom_type == "Polygon" and not piece.interiors:
            points = list(piece.exterior.coords)[:-1]
            try:
                squared.append(coldwork.square_up(points[:: random.choice([-1, 1])], 0.002))
            except ValueError as refused:
                assert "outline does not have four sides" in str(refused)
    for one in squared:
        finished = box(one.x, one.y, one.x + one.length, one.y + one.width)
        assert Polygon(one.outline).buffer(1e-8).covers(finished)
        # exact: what is left after the last cut is the rectangle, and area is neither lost nor made
        left = Polygon(one.cuts[-1].remaining if one.cuts else one.outline)
        assert left.area == pytest.approx(one.finished, rel=1e-6)
        assert one.area == pytest.approx(one.finished + one.dust + one.offcuts, rel=1e-9)


def test_a_piece_with_a_bay_keeps_out_of_it():
    # hand: a bay 40 mm deep from 100 to 140 on the far side of a piece of 300 x 200: beside it 160 x 200 =
    # 32000 mm2, below it 300 x 160 = 48000 mm2
    outline = [(0, 0), (300, 0), (300, 200), (140, 200), (140, 160), (100, 160), (100, 200), (0, 200)]
    squared = coldwork.square_up(np.array(outline) / 1000, 0.002)
    assert squared.finished == pytest.approx(0.048, rel=1e-9)


def test_turned_over_or_turned_round_it_is_the_same_piece():
    outline = Polygon([(0, 0), (0.32, 0), (0.308, 0.19), (0.008, 0.21)])
    flat = coldwork.square_up(list(outline.exterior.coords)[:-1], 0.002)
    moved = translate(rotate(outline, 37, origin=(0, 0)), 0.4, -0.2)
    turned = coldwork.square_up(list(moved.exterior.coords)[:-1], 0.002)
    mirrored = coldwork.square_up(list(outline.exterior.coords)[:-1][::-1], 0.002)
    for other in (turned, mirrored):
        assert (other.length, other.width) == pytest.approx((flat.length, flat.width), rel=1e-6)
        assert other.dust == pytest.approx(flat.dust, rel=1e-6)
        assert min(y for _, y in other.outline) == pytest.approx(0, abs=1e-9)


def test_departure_is_the_least_distance_of_two_parallels():
    # hand: a bow of 3 mm in the middle of 300 mm
    bowed = [(0, 0), (0.15, 0.003), (0.3, 0), (0.3, 0.2), (0, 0.2)]
    squared = coldwork.square_up(bowed, 0.002)
    assert squared.departures[0] == pytest.approx(0.003, rel=1e-9)
    assert squared.departures[1:] == (0.0, 0.0, 0.0)
    assert squared.datum in (1, 2, 3)
    # hand: a side that only leans is straight: the two points between lie on the line
    leaning = [(0, 0), (0.1, 0.001), (0.2, 0.002), (0.3, 0.003), (0.3, 0.2), (0, 0.2)]
    assert max(coldwork.square_up(leaning, 0.002).departures) == pytest.approx(0, abs=1e-9)


def test_a_rounded_datum_edge_is_cut_last_from_the_far_edge():
    squared = coldwork.square_up(
        [(0, 0), (0.3, 0), (0.3, 0.2), (0, 0.2)], 0.002, size=(0.28, 0.18), datum_cut=0.005
    )
    assert [cut.name for cut in squared.cuts] == ["first end", "second end", "far edge", "datum edge"]
    assert squared.cuts[-1].guide == "far edge" and squared.cuts[-1].setting == pytest.approx(0.18)
    assert squared.y == pytest.approx(0.005)
    # hand: 280 x 180 in the middle of 300: 10 mm off each end, 15 off the far edge, 5 off the datum edge
    assert [cut.most for cut in squared.cuts] == pytest.approx([0.010, 0.010, 0.015, 0.005], rel=1e-9)
    # hand: 2 mm blade: two ends of 200 mm, then 280 mm twice
    assert squared.dust == pytest.approx(2e-3 * (0.2 + 0.2 + 0.28 + 0.28), rel=1e-9)


def test_a_wanted_size_fits_or_says_what_is_missing():
    outline = [(0, 0), (0.3, 0), (0.3, 0.19), (0, 0.2)]
    fits = coldwork.square_up(outline, 0.002, size=(0.18, 0.25))  # turned: along the datum edge
    assert fits.fits and (fits.length, fits.width) == (0.25, 0.18)
    short = coldwork.square_up(outline, 0.002, size=(0.29, 0.195))
    assert not short.fits and short.cuts == ()
    # hand: 195 mm are reached only as far as x = 150 mm; 290 mm long it is 190 + 10/300 x 10 = 190.33 wide
    assert short.short == pytest.approx((0.140, 0.195 - 0.190 - 0.01 / 30), rel=1e-6)


def test_less_than_a_kerf_is_ground():
    (cut,) = coldwork.square_up([(0, 0), (0.301, 0), (0.3, 0.2), (0, 0.2)], 0.002).cuts
    assert cut.ground
    (cut,) = coldwork.square_up([(0, 0), (0.303, 0), (0.3, 0.2), (0, 0.2)], 0.002).cuts
    assert not cut.ground


def test_corners_from_sides_and_diagonals():
    # exact: a kite of two right triangles 3-4-5 on the diagonal of 5, the other diagonal 2 x 2.4
    corners = coldwork.corners_from_diagonals([0.3, 0.4, 0.4, 0.3], [0.5, 0.48])
    sides = [math.dist(corners[k], corners[(k + 1) % 4]) for k in range(4)]
    assert sides == pytest.approx([0.3, 0.4, 0.4, 0.3], rel=1e-12)
    assert Polygon(corners).area == pytest.approx(0.12, rel=1e-12)
    with pytest.raises(ValueError, match=r"BD would be 480\.0 mm, but 486\.0 mm was measured, 6\.0 mm more"):
        coldwork.corners_from_diagonals([0.3, 0.4, 0.4, 0.3], [0.5, 0.486])
    with pytest.raises(ValueError, match="AC is 800 mm, but with the sides AB and BC"):
        coldwork.corners_from_diagonals([0.3, 0.4, 0.4, 0.3], [0.8, 0.48])


@pytest.mark.parametrize(
    ("outline", "says"),
    [
        ([(0, 0), (0.3, 0.2), (0.3, 0), (0, 0.2)], r"crosses itself at x 0\.15 m, y 0\.1 m"),
        ([(0, 0), (0.3, 0), (0.3, 0.2)], "has 3 corners; allowed are 4 to 400"),
        ([(0, 0), (300, 0), (300, 200), (0, 200)], "Did you mean 300 mm"),
        ([0, 1, 2, 3], "must be a list of corners"),
        ([(0, 0), (1e-4, 0), (1e-4, 1e-4), (0, 1e-4)], "less than 1 mm²"),
        ("a slab", "must be a list of corners"),
    ],
)
def test_outlines_that_cannot_be_are_refused(outline, says):
    with pytest.raises(ValueError, match=says):
        coldwork.square_up(outline, 0.002)


def test_a_round_piece_has_no_four_sides():
    angle = np.linspace(0, 2 * np.pi, 80, endpoint=False)
    # exact: a quarter of a circle stands r (1 - cos 45), a fifth of its chord, over it
    with pytest.raises(ValueError, match=r"no side of the outline is straight enough to cut by"):
        coldwork.square_up(0.1 * np.column_stack([np.cos(angle), np.sin(angle)]), 0.002)
    # two corners of the rectangle around it lie nearest to one and the same point
    drop = [(0, 0), (0.02, 0.05), (0.02, 0.06), (0.0, 0.3), (-0.02, 0.06)]
    with pytest.raises(ValueError, match="does not have four sides"):
        coldwork.square_up(drop, 0.002)


# ------------------------------------------------------------------------------------------ back to the blank


def test_mass_is_kept_from_the_blank_to_the_fired_piece():
    allowance = Allowance(draw_in=2e-3, trim=1.5e-3)
    blank = coldwork.blank_before(0.240, 0.180, 0.006, 2500, allowance, faces=0.2e-3, holes=[8e-3] * 4)
    # hand: fired 243 x 183 x 6.2 mm = 275.708 cm3, x 2.5
    assert blank.mass == pytest.approx(0.68927, rel=1e-5)
    assert (blank.length, blank.width) == pytest.approx((0.247, 0.187), rel=1e-9)
    # hand: 689.27 g / 2.5 / (24.7 x 18.7 cm2)
    assert blank.thickness == pytest.approx(5.9691e-3, rel=1e-4)
    # hand: 240 x 180 x 6 = 259.2 cm3 less 4 x pi x 0.16 x 0.6 = 1.2064 cm3, x 2.5
    assert blank.finished == pytest.approx(0.644984, rel=1e-5)


def test_trimming_alone_keeps_the_thickness():
    blank = coldwork.blank_before(0.2, 0.1, 0.006, 2500, Allowance(trim=3e-3))
    assert blank.thickness == pytest.approx(0.006, rel=1e-12)  # exact
    with pytest.raises(ValueError, match="holes take away all"):
        coldwork.blank_before(0.2, 0.1, 0.006, 2500, Allowance(), holes=[0.2])
