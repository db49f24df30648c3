"""Settled pools and stacks against exact formulas and published pools."""

import dataclasses
import math
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from kilncalc import volume
from kilncalc.materials import glass
from kilncalc.settling import (
    floating_thickness,
    fused_thickness,
    settled_edge,
    settled_size,
    settled_thickness,
)

GLASS = glass("kiln glass A")
G = 9.80665  # published: standard acceleration of gravity, CGPM 1901 [m/s2]


def test_fused_thickness_keeps_the_volume():
    # hand: two sheets of 3.4 mm, 12 strips of 3 mm, 10 x 150 mm, on 240 x 180 mm: 6.8 + 54000/43200
    glass_in_it = 0.240 * 0.180 * 6.8e-3 + 12 * volume.box(0.150, 0.010, 3e-3)
    assert fused_thickness(glass_in_it, 0.240 * 0.180) == pytest.approx(8.05e-3, rel=1e-9)


def test_settled_thickness_of_known_pools():
    # hand: 2 sqrt(0.31/(2400 x 9.81)) sin 60: the "about 6 mm" of the trade (common practice, no source)
    trade = SimpleNamespace(surface_tension=0.31, density=2400)
    assert settled_thickness(trade, 120) == pytest.approx(6.28e-3, rel=2e-3)
    # published: depth of a mercury puddle on glass, 0.487 N/m, 13534 kg/m3, 140 degrees: 3.6 mm (textbook
    # value, from memory)
    mercury = SimpleNamespace(surface_tension=0.487, density=13534)
    assert settled_thickness(mercury, 140) == pytest.approx(3.6e-3, rel=1e-2)
    # published: NBS 710, surface tension 0.303 N/m by the composition formula of Kucuk, Clare & Jones 1999
    nbs = glass("NBS 710")
    assert nbs.surface_tension == pytest.approx(0.303, rel=2e-3)
    # exact: de Gennes, pool height at 90 degrees is sqrt(2) times, at 180 twice the capillary length
    a = math.sqrt(0.303 / (nbs.density * G))
    assert settled_thickness(nbs, [90, 180]) == pytest.approx([math.sqrt(2) * a, 2 * a], rel=2e-3)


def test_weight_and_tension_balance_in_the_settled_pool():
    # exact: forces on half the pool per metre: rho g h^2/2 = gamma (1 - cos theta)
    for angle in (30.0, 90.0, 120.0, 150.0):
        h = settled_thickness(GLASS, angle)
        pulls = GLASS.surface_tension * (1 - math.cos(math.radians(angle)))
        assert GLASS.density * G * h**2 / 2 == pytest.approx(pulls, rel=1e-9)


def test_float_glass_on_tin():
    # published: equilibrium thickness of float glass about 7 mm (Pilkington 1969, Proc. R. Soc. A 314, 1; the
    # number from memory). Tensions at about 1000 degC, from memory: glass 0.35, tin 0.50, glass to tin about
    # as much as tin. Density of tin at 1000 degC 6500 kg/m3, of hot glass 2400 (from memory).
    hot = dataclasses.replace(glass("float"), surface_tension=0.35, density=2400)
    assert floating_thickness(hot, 6500, 0.50, 0.50) == pytest.approx(7e-3, rel=0.05)


def test_floating_and_standing_pools_agree_where_they_must():
    # exact: a bath far heavier than glass gives way no more than a shelf does; with Young's law the sum of
    # tensions is gamma (1 - cos theta), here for 120 degrees: 1.5 gamma
    gamma = GLASS.surface_tension
    on_bath = floating_thickness(GLASS, 20000, 0.5, 0.5 + 0.5 * gamma)
    given_way = 1 - GLASS.density / 20000
    assert on_bath * math.sqrt(given_way) == pytest.approx(settled_thickness(GLASS, 120), rel=1e-9)


@pytest.mark.parametrize("angle", [60.0, 90.0, 120.0, 150.0])
def test_settled_edge_solves_laplaces_equation(angle):
    x, z = settled_edge(GLASS, angle, points=400)
    h = settled_thickness(GLASS, angle)
    assert (x[0], z[0]) == pytest.approx((0.0, 0.0), abs=1e-12)
    assert z[-1] == pytest.approx(0.99 * h, rel=1e-9)
    assert np.all(np.diff(z) > 0)

    # exact: curvature = rho g (depth below the top)/gamma, integrated along the arc from the shelf upwards
    def slope(_s, state):
        _x, height, phi = state
        bend = GLASS.density * G * (h - height) / GLASS.surface_tension
        return [-np.cos(phi), np.sin(phi), -bend]

    def at_top(_s, state):
        return state[1] - z[-1]

    at_top.terminal = True
    arc = solve_ivp(
        slope, (0, 0.1), [0, 0, math.radians(angle)], events=at_top, rtol=1e-10, atol=1e-13, dense_output=True
    )
    assert arc.y_events[0][0][0] == pytest.approx(x[-1], rel=1e-5)
    along = arc.sol(np.linspace(0, arc.t_events[0][0], 2000))
    assert np.interp(z[::40], along[1], along[0]) == pytest.approx(x[::40], abs=2e-7)


def test_the_edge_overhangs_where_glass_does_not_wet():
    assert settled_edge(GLASS, 120)[0].max() > 0.2e-3
    assert settled_edge(GLASS, 80)[0].max() == 0.0


def test_a_thin_stack_draws_in_and_a_thick_one_spreads():
    for thickness, sign in ((3e-3, 1), (12e-3, -1)):
        end = settled_size(0.20, 0.10, thickness, 6e-3)
        # exact: volume is kept, both directions move alike, and the end is the settled thickness
        assert end.length * end.width * end.thickness == pytest.approx(0.20 * 0.10 * thickness, rel=1e-12)
        assert 0.20 - end.length == pytest.approx(0.10 - end.width, rel=1e-9)
        assert end.thickness == pytest.approx(6e-3, rel=1e-12)
        assert end.draw_in * sign > 0
    # exact: (0.2 - 2x)(0.1 - 2x) = 0.2 x 0.1 x 3/6 has the root x = [0.3 - sqrt(0.01 + 4 x 0.01)]/4
    assert settled_size(0.20, 0.10, 3e-3, 6e-3).draw_in == pytest.approx(
        (0.3 - math.sqrt(0.05)) / 4, rel=1e-9
    )
    still = settled_size(0.20, 0.10, 6e-3, 6e-3)
    assert (still.length, still.width, still.draw_in) == pytest.approx((0.20, 0.10, 0.0), abs=1e-12)


def test_dams_stop_what_spreads_and_hold_back_nothing():
    free = settled_size(0.20, 0.10, 12e-3, 6e-3)
    assert settled_size(0.20, 0.10, 12e-3, 6e-3, dam=(0.30, 0.20)) == free  # dams far away
    assert settled_size(0.20, 0.10, 3e-3, 6e-3, dam=(0.20, 0.10)) == settled_size(0.20, 0.10, 3e-3, 6e-3)
    tight = settled_size(0.20, 0.10, 12e-3, 6e-3, dam=(0.20, 0.10))
    assert (tight.length, tight.width, tight.thickness) == pytest.approx((0.20, 0.10, 12e-3), rel=1e-12)
    # hand: one direction free: 0.2 x 0.1 x 12 = 0.2 x 0.2 x 6
    half = settled_size(0.20, 0.10, 12e-3, 6e-3, dam=(0.20, 1.0))
    assert (half.length, half.width, half.thickness) == pytest.approx((0.20, 0.20, 6e-3), rel=1e-12)
    # hand: the same turned by a quarter
    half = settled_size(0.10, 0.20, 12e-3, 6e-3, dam=(1.0, 0.20))
    assert (half.length, half.width, half.thickness) == pytest.approx((0.20, 0.20, 6e-3), rel=1e-12)
    # hand: both reached: 0.2 x 0.1 x 12/(0.21 x 0.11)
    both = settled_size(0.20, 0.10, 12e-3, 6e-3, dam=(0.21, 0.11))
    assert both.thickness == pytest.approx(0.2 * 0.1 * 12e-3 / (0.21 * 0.11), rel=1e-12)


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: fused_thickness(2, 0.04), "volume is 2 m3"),
        (lambda: settled_thickness(GLASS, 0), "contact_angle is 0 degree"),
        (lambda: settled_edge(GLASS, 120, points=2), "points is 2"),
        (lambda: settled_size(0.02, 0.02, 3e-3, 6e-3), "a drop and not a pool"),
        (lambda: settled_size(0.2, 0.1, 6e-3, 6e-3, dam=(0.19, 0.1)), "smaller than the stack"),
        (lambda: floating_thickness(GLASS, 2400, 0.5, 0.5), "it would sink"),
        (lambda: floating_thickness(GLASS, 6500, 0.9, 0.5), "the glass spreads without end"),
    ],
)
def test_pools_that_cannot_be_are_refused(call, match):
    with pytest.raises(ValueError, match=match):
        call()
