"""Cutting by hand: circles, curves and counts against exact geometry and exact chances."""

import itertools
import math

import numpy as np
import pytest
from scipy.stats import binom
from shapely import Point, Polygon, box

from kilncalc import handcutting


def polygon_round(radius, count):
    """The regular polygon whose sides touch a circle, as shapely sees it."""
    angle = (np.arange(count) + 0.5) * 2 * np.pi / count
    corner = radius / math.cos(math.pi / count)
    return Polygon(corner * np.column_stack([np.cos(angle), np.sin(angle)]))


@pytest.mark.parametrize("radius", [0.008, 0.012, 0.02, 0.0235])
@pytest.mark.parametrize("nip", [0.5e-3, 2e-3, 5e-3])
def test_a_small_disc_is_cut_straight_all_round(radius, nip):
    disc = handcutting.cut_circle(radius, 0.003, nip=nip)
    assert not disc.runs
    around = polygon_round(radius, disc.tangents)
    corner = math.dist((0, 0), around.exterior.coords[0])
    assert disc.stands == pytest.approx(corner - radius, rel=1e-9) and disc.stands <= nip * (1 + 1e-9)
    # exact: with one cut less the corners would stand too high
    if disc.tangents > 3:
        assert radius / math.cos(math.pi / (disc.tangents - 1)) - radius > nip
    assert disc.waste == pytest.approx(around.area - math.pi * radius**2, rel=1e-9)


def test_a_large_disc_is_scored_round():
    disc = handcutting.cut_circle(0.040, 0.003)
    assert disc.runs and disc.tangents == 4
    # hand: a square of 80 mm less a disc: 6400 - 5026.55 = 1373.45 mm2
    assert disc.waste == pytest.approx(1373.45e-6, rel=1e-5)
    # hand: 8 x 3 = 24 mm is the border, common practice, no source
    assert handcutting.cut_circle(0.024, 0.003).runs and not handcutting.cut_circle(0.0239, 0.003).runs


@pytest.mark.parametrize(
    ("chord", "depth"), [(0.06, 0.004), (0.06, 0.01), (0.06, 0.03), (0.2, 0.05), (0.03, 0.014)]
)
def test_a_hollow_curve(chord, depth):
    curve = handcutting.bite(chord, depth, 0.003)
    # exact: the circle through both ends of the chord and its deepest point
    centre = depth - curve.radius
    assert math.hypot(chord / 2, centre) == pytest.approx(curve.radius, rel=1e-12)
    assert curve.runs == (curve.radius >= 0.048)
    assert curve.depths[-1] == pytest.approx(depth, rel=1e-12)
    slices = np.diff([0.0, *curve.depths])
    assert slices == pytest.approx([slices[0]] * len(slices), rel=1e-9)
    if not curve.runs:
        # exact: no slice is deeper than the arc of 48 mm over the chord
        assert slices[0] <= 0.048 - math.sqrt(0.048**2 - chord**2 / 4) + 1e-12
        fewer = len(curve.depths) - 1
        assert fewer == 0 or depth / fewer > 0.048 - math.sqrt(0.048**2 - chord**2 / 4)
    else:
        assert len(curve.depths) == 1


def test_a_curve_deeper_than_a_half_circle_is_refused():
    with pytest.raises(ValueError, match="31 mm, more than half of the chord of 60 mm"):
        handcutting.bite(0.06, 0.031, 0.003)


@pytest.mark.parametrize(("radius", "width"), [(0.04, 0.03), (0.05, 0.012), (0.03, 0.06), (0.03, 0.03)])
def test_wedges_of_a_disc(radius, width):
    count = handcutting.wedges(radius, width)
    # exact: chord 2 r sin(pi / n)
    assert 2 * radius * math.sin(math.pi / count) >= width - 1e-12
    assert 2 * radius * math.sin(math.pi / (count + 1)) < width
    with pytest.raises(ValueError, match="wider than the disc"):
        handcutting.wedges(radius, 2.1 * radius)


@pytest.mark.parametrize(
    ("cut", "wanted", "breakage"), [(5, 4, 0.2), (30, 24, 0.2), (200, 180, 0.07), (4, 5, 0.1)]
)
def test_chance_of_enough(cut, wanted, breakage):
    # exact: the binomial distribution of a general library
    expected = binom.sf(wanted - 1, cut, 1 - breakage)
    assert handcutting.chance(cut, wanted, breakage) == pytest.approx(expected, rel=1e-9, abs=1e-15)


def test_how_many_to_cut():
    # hand: 24 / 0.8 = 30; 10 / 0.9 = 11.1
    assert handcutting.parts_to_cut(24, 0.2) == 30
    assert handcutting.parts_to_cut(10, 0.1) == 12
    assert handcutting.parts_to_cut(10, 0.0, sure=0.999) == 10
    for wanted, breakage, sure in itertools.product((1, 8, 24, 100), (0.05, 0.2, 0.5), (0.6, 0.9, 0.99)):
        count = handcutting.parts_to_cut(wanted, breakage, sure)
        # exact: that many are sure enough, one less is not
        assert binom.sf(wanted - 1, count, 1 - breakage) >= sure
        assert count == wanted or binom.sf(wanted - 1, count - 1, 1 - breakage) < sure


def test_enough_on_the_average_is_too_few_once_in_two_to_six_times():
    # as the docstring says, over the numbers of a class
    for wanted, breakage in itertools.product(range(8, 61, 4), (0.1, 0.2, 0.25)):
        count = handcutting.parts_to_cut(wanted, breakage)
        assert 1 / 6.5 < 1 - binom.sf(wanted - 1, count, 1 - breakage) < 0.5


def test_a_disc_lies_in_its_square():
    # exact: the four tangents are the square around it
    around = polygon_round(0.04, 4)
    assert around.area == pytest.approx(box(0, 0, 0.08, 0.08).area, rel=1e-12)
    assert around.buffer(1e-9).covers(Point(0, 0).buffer(0.04, quad_segs=64))


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: handcutting.least_radius(3), "Did you mean 3 mm"),
        (lambda: handcutting.chance(5.5, 4, 0.1), "cut must be a whole number, got 5.5"),
        (lambda: handcutting.parts_to_cut(24, 20), "breakage is 20; allowed is 0 to 0.9"),
        (lambda: handcutting.cut_circle(0.02, 0.003, nip=0.02), "nip is 0.02 m"),
    ],
)
def test_numbers_that_cannot_be_are_refused(call, says):
    with pytest.raises(ValueError, match=says):
        call()
