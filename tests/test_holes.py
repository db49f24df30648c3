"""Holes against their standards, drilling and hanging by hand."""

import numpy as np
import pytest

from kilncalc import holes
from kilncalc.holes import Hole


@pytest.mark.parametrize(
    ("standard", "thickness", "limits"),
    [
        # published: EN 12150-1 (from memory): diameter >= t, edge and rim to rim 2 t, corner 6 t
        ("EN 12150-1", 0.006, (0.006, 0.012, 0.012, 0.036)),
        ("EN 12150-1", 0.004, (0.004, 0.008, 0.008, 0.024)),
        # published: ASTM C1048 as fabricators quote it, their table for 1/4 in: diameter 5/16, edge 1/2,
        # rim to rim 1/2, corner 1 5/8 in; 3/8 in: 7/16, 3/4, 3/4, 2 7/16 in
        ("ASTM C1048", 0.00635, (0.0079375, 0.0127, 0.0127, 0.041275)),
        ("ASTM C1048", 0.009525, (0.0111125, 0.01905, 0.01905, 0.0619125)),
        # hand: thin glass meets the floors of 6, 6 and 10 mm
        ("ASTM C1048", 0.002, (0.006, 0.006, 0.010, 0.013)),
    ],
)
def test_limits_for_holes(standard, thickness, limits):
    found = holes.hole_limits(thickness, standard)
    # 1/16 in stands as 1.6 mm in the table, 0.8 % of it
    assert (found.diameter, found.edge, found.between, found.corner) == pytest.approx(limits, rel=0.002)


SIGN = [(0, 0), (0.300, 0), (0.300, 0.090), (0, 0.090)]


def test_each_rule_says_what_is_missing():
    three = [Hole(0.010, 0.045, 0.005), Hole(0.280, 0.070, 0.010), Hole(0.265, 0.070, 0.010)]
    check = holes.check_holes(SIGN, three, 0.006, "EN 12150-1")
    missing = {(rule.hole, rule.rule): round(rule.missing * 1e3, 3) for rule in check.missed}
    # hand: hole 1: 5 mm for 6; rim to edge 10 - 2.5 = 7.5 for 12. Hole 2: corner at (300, 90):
    # hypot(20, 20) - 5 = 23.284 for 36; hole 3: hypot(35, 20) - 5 = 35.311 for 36; 2 to 3: 15 - 10 = 5 for 12
    assert missing == {
        (1, "diameter"): 1.0,
        (1, "edge"): 4.5,
        (2, "corner"): 12.716,
        (3, "corner"): 0.689,
        (2, "between"): 7.0,
    }
    american = holes.check_holes(SIGN, three, 0.006, "ASTM C1048")
    more = {(rule.hole, rule.rule): round(rule.missing * 1e3, 3) for rule in american.missed}
    # hand: 7.6 for 5 mm; corner 39: 39 - 23.284, 39 - 35.311
    assert more[1, "diameter"] == 2.6
    assert (more[2, "corner"], more[3, "corner"]) == (15.716, 3.689)


def test_a_limit_that_is_just_met_is_kept():
    check = holes.check_holes(SIGN, [Hole(0.150, 0.016, 0.008)], 0.006, "EN 12150-1")
    assert check.missed == ()  # hand: 16 - 4 = 12 = 2 x 6


@pytest.mark.parametrize(("y", "missing"), [(0.024, 0.0), (0.028, 4.0), (0.050, 6.0)])
def test_a_hollow_is_held_to_the_limit_of_an_edge(y, missing):
    hollow = [(0.030, 0.040), (0.270, 0.040), (0.270, 0.060), (0.030, 0.060)]
    check = holes.check_holes(SIGN, [Hole(0.150, y, 0.008)], 0.006, "EN 12150-1", hollows=[hollow])
    (rule,) = [rule for rule in check.rules if rule.rule == "hollow"]
    # hand: rim to the side of the hollow 40 - 24 - 4 = 12; 40 - 28 - 4 = 8; inside it 50 - 40 - 4 = 6; for 12
    assert rule.missing * 1e3 == pytest.approx(missing, abs=1e-9)
    # hand: the edge is further away than 12 mm each time
    assert [other.rule for other in check.missed] == (["hollow"] if missing else [])


def test_holes_that_cannot_be():
    with pytest.raises(ValueError, match="hole 1 is 95 mm wide, the piece only 90 mm"):
        holes.check_holes(SIGN, [Hole(0.15, 0.045, 0.095)], 0.006, "EN 12150-1")
    with pytest.raises(ValueError, match="hole 2 at x 310 mm, y 45 mm lies outside"):
        holes.check_holes(SIGN, [Hole(0.15, 0.045, 0.01), Hole(0.31, 0.045, 0.01)], 0.006, "EN 12150-1")
    with pytest.raises(ValueError, match=r"there is no standard 'DIN'.* EN 12150-1, ASTM C1048"):
        holes.hole_limits(0.006, "DIN")
    with pytest.raises(ValueError, match="Did you mean 8 mm"):
        Hole(0.02, 0.02, 8)


def test_hanging_holes_follow_the_hollow():
    one, other = holes.paired_holes(0.040, 0.280, 0.050, 0.12, 0.006)
    # hand: 40 + 50 and 280 - 50: the middle between them is 160, that of the hollow, not 150 of the piece
    assert (one.x, other.x) == pytest.approx((0.090, 0.230), rel=1e-12)
    with pytest.raises(ValueError, match="the two holes meet"):
        holes.paired_holes(0.040, 0.280, 0.118, 0.12, 0.006)


def test_speed_of_a_drill():
    # hand: 60 x 1 / (pi x 0.02) = 954.93 rev/min
    assert holes.drill_speed(0.020, 1.0) == pytest.approx(954.93, rel=1e-5)
    both = holes.drill_speed(np.array([0.01, 0.02]), 1.0)
    assert both == pytest.approx([1909.86, 954.93], rel=1e-5)
    assert isinstance(holes.drill_speed(0.02, 1.0), float)


def test_a_hole_is_drilled_with_a_pilot_and_slow_at_the_exit():
    plan = holes.drill_plan(0.012, 0.006, surface_speed=1.0, feed=6e-3 / 60, owned=[0.003, 0.006, 0.007])
    # hand: half of 12 is 6; 6 mm at 6 mm a minute: 0.8 min + 0.2 x 3 min = 1.4 min
    assert [step.diameter for step in plan] == [0.006, 0.012]
    assert [step.time for step in plan] == pytest.approx([84, 84], rel=1e-9)
    assert [step.speed for step in plan] == pytest.approx([3183.1, 1591.55], rel=1e-5)
    assert len(holes.drill_plan(0.005, 0.006, owned=[0.003])) == 1  # hand: 3 is more than half of 5


def test_the_nearer_fixing_carries_more():
    load = holes.hanging_load(1.5, 400e-6, 0.060, 0.180)
    # hand: (1.5 + 0.4) x 9.80665 = 18.6326 N; left 180/240 of it, right 60/240
    assert (load.left, load.right) == pytest.approx((13.9745, 4.65816), rel=1e-5)
    assert load.contents == pytest.approx(0.4, rel=1e-12)
    with pytest.raises(ValueError, match="two fixings in one place are one"):
        holes.hanging_load(1.5, 0, 0, 0)
