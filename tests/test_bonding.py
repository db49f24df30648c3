"""Cold bonding, by hand."""

import math

import numpy as np
import pytest

from kilncalc import bonding


def test_a_bead_keeps_its_section():
    bead = bonding.pressed_bead(0.003, 0.250, 0.5e-3)
    # hand: pi x 9 / 4 = 7.06858 mm2; / 0.5 = 14.1372 mm wide; x 250 = 1767.15 mm3
    assert (bead.width, bead.volume) == pytest.approx((14.1372e-3, 1767.15e-9), rel=1e-5)
    assert bead.width * 0.5e-3 == pytest.approx(math.pi * 0.003**2 / 4, rel=1e-12)  # exact
    with pytest.raises(ValueError, match="gap is 3 mm, not below the bead of 3 mm"):
        bonding.pressed_bead(0.003, 0.250, 0.003)


def test_twice_as_wide_cures_four_times_as_long():
    # hand: 5 mm from both rims at 2.5 mm on the first day: one day
    assert bonding.cure_time(0.005) == pytest.approx(86400, rel=1e-12)
    # exact: diffusion, depth with the root of time
    assert bonding.cure_time(np.array([0.01, 0.02])) == pytest.approx([4 * 86400, 16 * 86400], rel=1e-12)
    assert bonding.cure_time(0.01, first_day=5e-3) == pytest.approx(86400, rel=1e-12)
    with pytest.raises(ValueError, match="Did you mean 10 mm"):
        bonding.cure_time(10)


def test_a_bead_that_spreads_too_wide_is_refused_in_what_is_laid():
    # hand: pi x 36 / 4 / 0.2 = 141.4 mm
    with pytest.raises(ValueError, match=r"a bead of 6 mm spreads 141 mm wide.*at most 100 mm"):
        bonding.bond(0.006, 0.020, 0.2e-3)
