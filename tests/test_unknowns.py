"""What is not known, and how far it moves a tension: against one unknown at a time, and closed forms."""

import dataclasses
import math

import pytest

from kilncalc import materials, unknowns
from kilncalc.firing import Kiln, fire
from kilncalc.piece import Piece, Zone
from kilncalc.schedule import Schedule

GLASS = materials.glass("kiln glass A")
RELIEF = Piece(GLASS, (Zone(0.003, 0.7), Zone(0.006, 0.3)))
UP = Schedule.from_text("100 C/h to 340 C")


def heating(firing):
    return firing.peak_tension("heating")


def test_one_group_alone_moves_the_number_by_its_own_effect():
    # hand: both harsh 3, both gentle 1.5: middle sqrt(4.5), effect ln(3/1.5)/2, so 1.5 to 3
    for values in ([3, 3, 1.5, 1.5], [3, 1.5, 3, 1.5], [3, 1.5, 1.5, 3]):
        found = unknowns.band(2.0, values)
        assert (found.low, found.high) == (pytest.approx(1.5), pytest.approx(3.0))


def test_effects_of_groups_add_as_squares():
    # hand: below x e^+-0.3 and above x e^+-0.4 give e^+-0.5 about 1
    values = [math.exp(sum(ends)) for ends in ((0.3, 0.4), (0.3, -0.4), (-0.3, 0.4), (-0.3, -0.4))]
    found = unknowns.band(1.0, values)
    assert (found.low, found.high) == (pytest.approx(math.exp(-0.5)), pytest.approx(math.exp(0.5)))


def test_the_expected_number_lies_within():
    assert unknowns.band(5.0, [1, 1, 1, 1]) == unknowns.Band(1.0, 5.0)
    assert unknowns.band(0.5, [1, 1, 1, 1]) == unknowns.Band(0.5, pytest.approx(1.0))
    assert unknowns.band(0.0, [0, 0, 0, 0]).low == 0.0


def test_four_firings_stand_for_all_corners():
    found = unknowns.band(
        heating(fire(UP, RELIEF, Kiln())), [heating(one) for one in unknowns.likely(UP, RELIEF, Kiln())]
    )
    # the eight corners one by one, from Kiln and Glass alone; liquid expansion does nothing on the way up
    corners = [
        heating(fire(UP, RELIEF, Kiln(underside=u, contact_resistance=r, film=f, emissivity=e)))
        for u, r in ((1.0, 0.0015), (0.5, 0.006))
        for f, e in ((8.0, 0.95), (3.0, 0.80))
    ]
    assert min(corners) < 1.1 * found.low < found.high < max(corners)
    # exact: independent groups, root of the sum of squares of both effects
    logs = [math.log(one) for one in corners]
    below, above = (logs[2] + logs[3] - logs[0] - logs[1]) / 4, (logs[1] + logs[3] - logs[0] - logs[2]) / 4
    middle, half = sum(logs) / 4, math.hypot(below, above)
    assert found.high == pytest.approx(math.exp(middle + half), rel=0.03)
    assert found.low == pytest.approx(math.exp(middle - half), rel=0.03)


def test_a_slab_on_posts_does_not_care_about_the_shelf():
    slab = Piece(GLASS, (Zone(0.012, 1.0),), support="open")
    first, second, third, fourth = (heating(one) for one in unknowns.likely(UP, slab, Kiln()))
    # exact: R L^2/k: a tenth less conductivity pulls harder by a ninth, whatever lies below
    assert first / third == pytest.approx(1.1 / 0.9, rel=0.03)
    assert fourth / second == pytest.approx(1.1 / 0.9, rel=0.03)


def test_what_stays_grows_with_the_expansion_of_the_liquid():
    down = Schedule.from_text("start at 620 C; 50 C/h to 20 C")
    slab = Piece(GLASS, (Zone(0.012, 1.0),), support="open")
    stays = [one.residual.max() for one in unknowns.likely(down, slab, Kiln())]
    third = fire(down, slab).residual.max()
    twice = fire(
        down,
        dataclasses.replace(slab, glass=dataclasses.replace(GLASS, expansion_liquid=2 * GLASS.expansion)),
    ).residual.max()
    assert min(stays) < twice < third < max(stays)


def test_a_kiln_that_is_less_even_pulls_more():
    firings = unknowns.likely(UP, RELIEF, Kiln(unevenness=0.1))
    harsh, gentle = firings[0], firings[1]
    assert harsh.peak_uneven_tension("heating") > 2 * gentle.peak_uneven_tension("heating")  # hand: 1.5 x 1.5


def test_ends_stay_within_what_a_kiln_can_be():
    for kiln in (Kiln(underside=0.0, unevenness=0.9), Kiln(underside=1.0, unevenness=0.0)):
        assert len(unknowns.likely(UP, RELIEF, kiln)) == 4
