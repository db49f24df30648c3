"""What lies between glass and kiln, worked by hand: contacts, paper, and what a narrow feature feels."""

import numpy as np
import pytest

from kilncalc import _heat
from kilncalc._stress import feature_factor
from kilncalc.firing import Kiln, fire
from kilncalc.materials import glass, refractory
from kilncalc.piece import Layer, Piece, Zone
from kilncalc.schedule import Schedule, Segment


def laid(zone, sheets, support="shelf"):
    kiln = Kiln()
    return _heat.columns(
        [zone],
        [sheets],
        support,
        refractory("cordierite shelf 18 mm"),
        underside=kiln.underside,
        contact=kiln.contact_resistance,
        loose_contact=kiln.loose_resistance,
        paper_conductivity=kiln.paper_conductivity,
        film=kiln.film,
        conductivity_share=1.0,
        glass_nodes=5,
        shelf_nodes=3,
    )


def test_paper_under_glass_on_the_shelf_adds_its_resistance_to_the_contact():
    bare = laid(Zone(0.006, 1.0), [0.006])
    papered = laid(Zone(0.006, 1.0, below="paper", paper=0.004), [0.006])
    # hand: 1 / 0.003 = 333; 1 / (0.003 + 0.004 / 0.08) = 18.87 W/m2K (contact and paper from memory)
    assert bare.fixed_link[2] == pytest.approx(1 / 0.003, rel=1e-12)
    assert papered.fixed_link[2] == pytest.approx(18.867925, rel=1e-6)


def test_paper_between_shelf_and_glass_keeps_the_heat_of_the_shelf_away():
    # exact: in a steady climb through the top face alone the underside lags more the better it is insulated
    heated = Schedule([Segment(200, 400)])
    bare, papered = (
        fire(heated, Piece(glass("float"), [zone]))
        for zone in (Zone(0.006, 1.0), Zone(0.006, 1.0, below="paper", paper=0.006))
    )
    last = [one.temperature[one.time <= one.heating_end][-1, 0] for one in (bare, papered)]
    # the shelf, five times as heavy as the glass, draws less from glass that lies on paper
    assert last[1].mean() > last[0].mean() + 5


def test_loose_sheets_touch_through_their_contact():
    stack = laid(Zone(0.006, 1.0, layers=(Layer(0.003), Layer(0.003))), [0.003, 0.003], "open")
    # hand: 1 / 0.002 = 500 W/m2K (from memory)
    assert stack.fixed_link[stack.loose] == pytest.approx([500.0], rel=1e-12)


def test_what_a_narrow_feature_feels_more_on_a_shelf():
    # own prototype: thickness maps; the narrower, the larger the share that the shelf adds
    for feature in ("rib", "spot"):
        more = []
        for width in (0.005, 0.02, 0.06):
            zone = Zone(0.006, 0.1, feature_width=width, feature=feature)
            shelf, in_the_open = (feature_factor(zone, 0.003, on_shelf) for on_shelf in (True, False))
            more.append(shelf / in_the_open)
        assert more[0] > more[1] > more[2] > 1


def test_a_short_rib_feels_less_than_a_long_one():
    def felt(length):
        zone = Zone(0.006, 0.1, feature_width=0.04, feature_length=length)
        return feature_factor(zone, 0.003, False)

    assert felt(0.1) < felt(0.2) < felt(0.4) < felt(0.6) < felt(None)
    assert felt(0.6) > 0.97 * felt(None)  # own prototype: three times the width of the piece is endless


def test_a_step_in_the_air_leaves_the_glass_within_it():
    # exact: a maximum principle; nothing gets hotter than the hottest air, nothing colder than the coldest
    quick = Schedule([Segment(5000, 700, 10), Segment(5000, 20, 30)])
    course = fire(quick, Piece(glass("float"), [Zone(0.025, 1.0)]))
    assert course.temperature.max() <= 700 + 0.5 and course.temperature.min() >= 20 - 0.5
    assert np.isfinite(course.stress).all()
