"""A colour on a clear, worked by hand, and the labels against the open database."""

from dataclasses import replace

import numpy as np
import pytest

from kilncalc import pair
from kilncalc.materials import glass

CLEAR, COLOUR = glass("kiln glass A"), glass("kiln glass B")  # E 70 GPa, nu 0.22, setting 493.5 degC


def test_a_fused_bar_by_hand():
    bar = pair.fused_bar(-4e-7, 0.002, 0.002, COLOUR, CLEAR)
    # hand: eps = 4e-7 x 473.5 = 189.4e-6; 70/0.78 GPa x eps/2 = 8.499 MPa at the joint, in the clear, which
    # shrinks more; 1/radius = 1.5 eps/4 mm = 0.07103 /m; over 200 mm a gap of 0.07103 x 0.2^2/8 = 0.3551 mm,
    # the middle up
    assert bar.stack.largest_tension / 1e6 == pytest.approx(8.499, rel=1e-3)
    assert bar.where == "clear, at the joint"
    assert bar.bow * 1e3 == pytest.approx(0.3551, rel=1e-3)
    assert bar.share_of_limit == pytest.approx(8.499 / 3.5, rel=1e-3)
    other = pair.fused_bar(4e-7, 0.002, 0.002, COLOUR, CLEAR)
    assert other.where == "colour, at the joint"
    assert other.bow == -bar.bow


@pytest.mark.parametrize("colour", [0.0005, 0.001, 0.002, 0.003, 0.004, 0.006])
def test_how_much_of_the_mismatch_a_layer_feels(colour):
    eps, stiff = 6e-7 * 473.5, 70e9 / 0.78
    flat = pair.fused_bar(6e-7, colour, 0.003, COLOUR, CLEAR, bending="flat")
    # hand: held flat the two share by thickness, so that a thin colour gets nearly all the tension
    assert flat.stack.b_joint == pytest.approx(stiff * eps * 0.003 / (0.003 + colour), rel=1e-9)
    assert flat.flat and flat.bow == 0
    free = pair.fused_bar(6e-7, colour, 0.003, COLOUR, CLEAR)
    # hand: free to bend, Timoshenko 1925 for like stiffness: P/t + E t/(2 rho)
    m, h = colour / 0.003, colour + 0.003
    bend = 6 * eps * (1 + m) ** 2 / (h * (3 * (1 + m) ** 2 + (1 + m) * (m * m + 1 / m)))
    pull = (colour**3 + 0.003**3) * bend / (6 * h)
    assert free.stack.b_joint == pytest.approx(stiff * (pull / colour + colour * bend / 2), rel=1e-9)


def test_free_to_bend_a_thin_colour_is_hardly_pulled_more_than_a_thick_one():
    colours = np.array([0.001, 0.002, 0.003, 0.004, 0.005, 0.006])
    free, flat = (
        [pair.fused_bar(6e-7, t, 0.003, COLOUR, CLEAR, bending=b).stack.largest_tension for t in colours]
        for b in ("free", "flat")
    )
    # hand: as above; the lesson says "11 to 14 MPa, whatever the thickness" and "19 MPa, held flat"
    assert min(free) > 11e6 and max(free) < 14.5e6
    assert flat[0] / 1e6 == pytest.approx(70e3 / 0.78 * 284.1e-6 * 0.75, rel=1e-3)


def test_how_far_by_hand():
    apart = pair.how_far(0.004, 0.004, COLOUR, CLEAR, 2.0e6)
    # hand: 2 x 2.0 MPa x 0.78 / 70 GPa / 473.5 K = 0.9413e-7; like sheets: as far below as above
    assert apart.highest * 1e7 == pytest.approx(0.9413, rel=1e-3)
    assert apart.lowest == pytest.approx(-apart.highest, rel=1e-9)
    assert (apart.share, apart.allowed) == (0.5, 2.0e6)
    assert apart.labels_differ == pytest.approx(6e-7, rel=1e-9)
    assert not apart.labels_allowed
    near = pair.how_far(0.004, 0.004, replace(CLEAR, expansion=9.05e-6), CLEAR, 2.0e6)
    assert near.labels_allowed
    # exact: only the share counts
    k = int(np.argmin(np.abs(apart.shares - 0.2)))
    thin = pair.how_far(0.001, 0.004, COLOUR, CLEAR, 2.0e6)
    assert thin.share == pytest.approx(0.2, rel=1e-12)
    assert (thin.lowest, thin.highest) == pytest.approx((apart.lowest_at[k], apart.highest_at[k]), rel=1e-9)
    # held flat: hand, the colour pulled takes 0.8 of the mismatch, pressed it leaves 0.2 to the clear
    flat = pair.how_far(0.001, 0.004, COLOUR, CLEAR, 2.0e6, bending="flat")
    one = 2.0e6 * 0.78 / 70e9 / 473.5
    assert (flat.lowest, flat.highest) == pytest.approx((-one / 0.2, one / 0.8), rel=1e-9)


def test_the_worked_example_is_timoshenkos():
    example = pair.joint_example(CLEAR)
    # published: Timoshenko 1925: E eps/2 = 70 GPa x 250e-6/2 for a narrow bar
    assert example.published == 8.75e6
    assert example.computed == pytest.approx(example.published, rel=1e-12)
    assert example.wide == pytest.approx(example.published / 0.78, rel=1e-12)  # exact: 1/(1 - nu)
    assert np.interp(250e-6, example.mismatch, example.beam) == pytest.approx(8.75e6, rel=1e-9)


def test_a_label_by_hand():
    promise = pair.label_promise(84e-7, 0.5e-7, 5e-7, CLEAR)
    # hand: 1 point up to 300 degC: 1e-7 x 280 = 28e-6; 6 points from there to 493.5: 6e-7 x 193.5 = 116.1e-6,
    # together 144.1e-6, x 70/0.78 GPa / 2 = 6.466 MPa
    assert promise.joint / 1e6 == pytest.approx(6.466, rel=1e-3)
    assert promise.share_of_limit == pytest.approx(6.466 / 3.5, rel=1e-3)
    # hand: counted in datasets/sciglass_soda_lime.csv, expansions of 83.5 to 84.5
    assert int(promise.covered.sum()) == 9
    wide = pair.label_promise(84e-7, 2e-6, 0.0, CLEAR)
    assert wide.covered.all()


def test_soda_lime_glasses_scatter_as_the_database_says():
    promise = pair.label_promise(90e-7, 0.5e-7, 0.0, CLEAR)
    # hand: datasets/extract_sciglass.py prints 44 glasses
    assert len(promise.expansion) == len(promise.setting) == 44
    # published: Boyd & Thompson 1980, soda-lime lamp glass: 473, 514 degC, 93.5e-7
    lamp = np.isclose(promise.expansion, 93.5e-7) & np.isclose(promise.setting, 493.5)
    assert lamp.any()
    # expansions differ by far more than two glasses fused 3 + 3 mm may (1.6e-7/K at 3.5 MPa)
    assert promise.expansion.std() > 4e-7


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: pair.mismatch_of(6, COLOUR, CLEAR), r"difference is 6 1/K; .*6e-7 1/K\?"),
        (lambda: pair.fused_bar(6e-7, 3, 0.003, COLOUR, CLEAR), r"thickness_b is 3 m;.*3 mm"),
        (lambda: pair.label_promise(84, 0.5e-7, 0, CLEAR), "label is 84 1/K"),
        (lambda: pair.label_promise(84e-7, 0.5, 0, CLEAR), "within is 0.5 1/K"),
        (lambda: pair.how_far(0.003, 0.003, COLOUR, CLEAR, 3.5), r"3.5 MPa, that is 3.5e6 Pa\?"),
    ],
)
def test_bad_input_is_refused_in_a_sentence(call, sentence):
    with pytest.raises(ValueError, match=sentence):
        call()
