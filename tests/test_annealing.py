import dataclasses

import numpy as np
import pytest
from scipy.integrate import quad

from kilncalc.annealing import (
    NEUTRAL_DEPTH,
    diffusivity,
    slab_lag,
    slab_stress,
    tension_for,
)
from kilncalc.firing import fire
from kilncalc.materials import ALLOWED_TENSION, glass
from kilncalc.piece import Piece, Zone
from kilncalc.schedule import Schedule, Segment

LAMP = glass("lamp soda-lime")
REFERENCE = dataclasses.replace(LAMP, density=2500, expansion_liquid=28e-6, youngs_modulus=71e9)


def even(thickness, of=REFERENCE, **keywords):
    return Piece(of, [Zone(thickness, 1.0)], **keywords)


TWO = Piece(REFERENCE, [Zone(0.003, 0.7), Zone(0.006, 0.3)])


# ---------------------------------------------------------------- closed forms


def test_lag_and_stress_of_a_slab():
    # hand: 100/3600 x 0.006^2/(2 x 4.8e-7) = 1.0417 K
    assert slab_lag(100, 0.006, 4.8e-7) == pytest.approx(1.041667, rel=1e-6)
    a = (0.741 + 8.58e-4 * 746.15) / (
        2500 * (893 + 0.4 * 746.15 - 1.8e7 / 746.15**2)
    )  # hand: k/(rho c) at 473
    assert diffusivity(REFERENCE, 473) == pytest.approx(a, rel=1e-9)
    stress = slab_stress(100, 0.006, REFERENCE)
    middle = 71e9 * 9.35e-6 * 100 / 3600 * 0.006**2 / (6 * a * 0.78)
    assert stress.middle == pytest.approx(middle, rel=1e-9)  # exact: E alpha R L^2/(6 a (1 - nu))
    assert stress.face == pytest.approx(-2 * middle, rel=1e-9)  # exact: twice, other sign
    assert slab_stress(-100, 0.006, REFERENCE).face == pytest.approx(2 * middle, rel=1e-9)


def test_stress_changes_sign_at_21_percent():
    assert pytest.approx(0.2113, abs=5e-5) == NEUTRAL_DEPTH  # published: Adams & Williamson 1920, 21.1 %
    stress = slab_stress(100, 0.006, REFERENCE)
    assert stress.at(1 - 2 * NEUTRAL_DEPTH) == pytest.approx(0, abs=1e-9 * stress.middle)
    assert stress.at(0.0) == stress.middle
    assert stress.at(-1.0) == pytest.approx(stress.face, rel=1e-12)
    total, _ = quad(lambda xi: stress.at(xi), -1, 1)
    assert total == pytest.approx(0, abs=1e-9 * stress.middle)  # exact: no force


def test_closed_forms_broadcast_and_return_floats():
    assert type(slab_lag(100, 0.006, 4.8e-7)) is float
    assert type(slab_stress(100, 0.006, LAMP).middle) is float
    halves = np.array([0.003, 0.006, 0.012])
    lags = slab_lag(100, halves, 4.8e-7)
    assert lags[1:] / lags[:-1] == pytest.approx([4, 4], rel=1e-12)  # exact: square of the thickness
    assert slab_stress(np.ones((4, 1)), halves, LAMP).face.shape == (4, 3)


@pytest.mark.parametrize(
    ("piece", "rate"),
    [  # own prototype: what 0.5 MPa gives for one rate from the annealing point down
        (even(0.006), 790),
        (even(0.012), 115),
        (even(0.025), 24),
        (even(0.050), 6.0),
        (TWO, 13.8),
        (Piece(REFERENCE, [Zone(0.003, 0.7), Zone(0.009, 0.3)]), 7.5),
    ],
)
def test_rates_that_leave_half_a_megapascal(piece, rate):
    firing = fire(Schedule([Segment(rate, 373), Segment(rate, 20)], 514), piece)
    assert firing.residual.max() == pytest.approx(0.5e6, rel=0.02)


@pytest.mark.parametrize(
    ("seconds", "k_mod", "close"),
    [  # published: EN 16612, table of k_mod
        (5, 1.00, 0.01),
        (600, 0.74, 0.01),
        (30 * 24 * 3600, 0.44, 0.01),
        (50 * 365.25 * 24 * 3600, 0.29, 0.017),  # the table has two figures
    ],
)
def test_tension_for_a_time(seconds, k_mod, close):
    # published: EN 16612, 45 MPa/1.8, with 0.8 (edge, from memory) and 0.6 (abraded)
    assert tension_for(seconds) == pytest.approx(45e6 * k_mod * 0.8 * 0.6 / 1.8, rel=close)


def test_tension_for_good_is_the_limit_of_the_kit():
    assert tension_for(50 * 365.25 * 24 * 3600) == pytest.approx(ALLOWED_TENSION, rel=0.02)
    assert tension_for([1.0, 1e-3]) == pytest.approx(12e6, rel=1e-9)  # hand: 45 x 0.48/1.8, k_mod at most 1
    assert tension_for(1e11) == pytest.approx(3e6, rel=0.02)  # hand: 45 x 0.25 x 0.48/1.8
    assert tension_for(6 * 3600) == pytest.approx(7.1e6, rel=0.01)  # hand: 0.663 x 6^(-1/16) = 0.593


# ---------------------------------------------------------------- what cannot be


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: slab_lag(100, 6, 4.8e-7), "Did you mean 6 mm"),
        (lambda: slab_lag(float("nan"), 0.006, 4.8e-7), "rate is nan"),
        (lambda: slab_stress(100, 0.006, LAMP).at(2), "position is 2"),
        (lambda: tension_for(0), "time is 0 s"),
    ],
)
def test_what_cannot_be_is_a_sentence(make, says):
    with pytest.raises(ValueError, match=says):
        make()
