"""Test bars read back: inverses, a Monte Carlo run, hand work, and the class that was made up for it."""

import dataclasses

import numpy as np
import pytest

from kilncalc import bars
from kilncalc import compatibility as c
from kilncalc import polariscope as p
from kilncalc.materials import glass

A = glass("kiln glass A")


def test_edge_reading_by_hand():
    # hand: order 1, 60 degrees: 565 x 4/3 = 753.3 nm; /(2.7e-12 x 0.025 m) = 11.160 MPa; equal layers: eps =
    # 2 sigma (1 - nu)/E; divided by 473.5 K
    bar = bars.read_edge(p.retardation_from_analyser(60, order=1), 0.025, 0.003, 0.003, A)
    assert bar.stress == pytest.approx(11.160e6, rel=1e-4)
    eps = 2 * bar.stress * (1 - A.poissons_ratio) / A.youngs_modulus
    assert bar.mismatch == pytest.approx(eps, rel=1e-12)
    assert bar.difference == pytest.approx(eps / 473.5, rel=1e-12)


@pytest.mark.parametrize(("t_a", "t_b"), [(0.003, 0.003), (0.002, 0.006), (0.006, 0.0015)])
@pytest.mark.parametrize("mismatch", [2e-4, -1e-4])
def test_a_bar_made_and_read_gives_back_its_mismatch(t_a, t_b, mismatch):
    stack = c.bilayer(mismatch, t_a, t_b, A)
    delta = p.retardation(stack.a_joint, 0, 0.025, A.stress_optic_coefficient)
    # exact: reading inverts making
    assert bars.read_edge(delta, 0.025, t_a, t_b, A).mismatch == pytest.approx(mismatch, rel=1e-10)
    bow = bars.read_bow(c.bow_from_curvature(stack.curvature, 0.18), 0.18, t_a, t_b, A)
    assert bow.mismatch == pytest.approx(mismatch, rel=1e-10)
    assert bow.stress == pytest.approx(stack.a_joint, rel=1e-10)
    flat = c.bilayer(mismatch, t_a, t_b, A, bending="flat").a_joint
    delta = p.retardation(flat, 0, 0.025, A.stress_optic_coefficient)
    assert bars.read_edge(delta, 0.025, t_a, t_b, A, bending="flat").mismatch == pytest.approx(
        mismatch, rel=1e-10
    )


def test_uncertainty_of_the_edge_reading_against_throwing_dice():
    bar = bars.read_edge(750e-9, 0.025, 0.0035, 0.0025, A)
    rng = np.random.default_rng(7)
    n = 40_000
    e, optic = rng.normal(A.youngs_modulus, 2e9, n), rng.normal(A.stress_optic_coefficient, 0.1e-12, n)
    t_a, t_b = rng.normal(0.0035, 0.1e-3, n), rng.normal(0.0025, 0.1e-3, n)
    stress = rng.normal(750e-9, 10e-9, n) / optic / rng.normal(0.025, 0.3e-3, n)
    h, m = t_a + t_b, t_a / t_b
    # exact: Timoshenko for equal stiffness, written out: 1/rho and the joint stress for a mismatch of 1
    curvature = 6 * (1 + m) ** 2 / (h * (3 * (1 + m) ** 2 + (1 + m) * (m**2 + 1 / m)))
    joint = (t_a**3 + t_b**3) * curvature / (6 * h * t_a) + t_a * curvature / 2
    thrown = stress / (e / (1 - A.poissons_ratio) * joint) / rng.normal(473.5, 20, n)
    # independent: Monte Carlo; its own scatter is 1/sqrt(2 n) = 0.4 %, curvature of the function about 1 %
    assert bar.uncertainty == pytest.approx(thrown.std(), rel=0.03)
    # published: JCGM 100 eq. 10, squares add
    assert bar.uncertainty**2 == pytest.approx(sum(part**2 for part in bar.parts.values()), rel=1e-12)


def test_uncertainty_of_the_bow_reading():
    bar = bars.read_bow(0.25e-3, 0.18, 0.003, 0.003, A)
    # hand: the difference goes with bow (0.03/0.25 = 12 %), span^-2 (2/180 = 1.1 %), the sum of both
    # thicknesses (0.1/6 = 1.67 % each) and 1/cooling (20/473.5 = 4.2 %)
    expected = np.sqrt(0.12**2 + (2 / 180) ** 2 + 2 * (0.1 / 6) ** 2 + (20 / 473.5) ** 2)
    assert bar.uncertainty / bar.difference == pytest.approx(expected, rel=5e-3)
    assert bar.parts["gap"] == pytest.approx(0.12 * bar.difference, rel=1e-3)
    many = bars.read_bow([0.25e-3, 0.5e-3], 0.18, 0.003, 0.003, A)
    assert many.difference.shape == many.uncertainty.shape == many.stress.shape == (2,)
    assert many.difference[0] == bar.difference


def test_the_two_readers_of_like_strips_by_hand():
    light = bars.bar_by_light(300, 0.030, 0.004, 5, A)
    # hand: 565 x 300/180 = 941.7 nm, / (2.7e-12 x 0.030) = 11.626 MPa, x 2 x 0.78 / 70e9 / 473.5 = 5.472e-7
    assert light.retardation * 1e9 == pytest.approx(941.67, rel=1e-5)
    assert light.reading.stress / 1e6 == pytest.approx(11.626, rel=1e-4)
    assert light.reading.difference * 1e7 == pytest.approx(5.472, rel=1e-3)
    assert light.reading.share_of_limit == pytest.approx(11.626 / 3.5, rel=1e-4)
    # hand: 5 degrees are 15.69 nm of 941.7: 1.667 % of the difference
    assert light.reading.parts["turn of the analyser"] == pytest.approx(0.01667 * 5.472e-7, rel=1e-3)
    bow = bars.bar_by_bow(0.40e-3, 0.200, 0.004, 0.05e-3, A)
    # hand: curvature 8 x 0.4 mm / 200^2 mm2 = 0.08 /m, x 8 mm / 1.5 = 426.7e-6, / 473.5 K = 9.011e-7
    assert bow.reading.difference * 1e7 == pytest.approx(9.011, rel=1e-3)
    assert bow.reading.parts["gap"] == pytest.approx(9.011e-7 / 8, rel=1e-3)  # hand: 0.05 of 0.40
    assert (bow.bow, bow.span) == (0.40e-3, 0.200)


# ------------------------------------------------------------------ the class

TRUE = 5.2e-7  # invented: 1/K, as datapackage.json says
SLIPPED = ("S04", "S09")


def good(**changed):
    return bars.read_class(bars.class_bars(), A, left_out=SLIPPED, **changed)


def test_the_class_measured_the_pair_and_made_two_mistakes():
    whole = bars.read_class(bars.class_bars(), A)
    names = [bar.student for bar in whole.bars]
    assert names == [f"S{i:02d}" for i in range(1, 13)]
    off = np.abs(whole.by_light.difference - TRUE) > 3 * np.minimum(whole.by_light.uncertainty, 1e-7)
    assert {name for name, wrong in zip(names, off, strict=True) if wrong} == set(SLIPPED)
    # invented: ten bars, scatter about 2 % by light and 8 to 12 % by bow
    assert good().mean("light") == pytest.approx(TRUE, abs=0.1e-7)
    assert good().scatter("light") < 0.2e-7
    assert whole.mean("bow") == pytest.approx(TRUE, abs=3 * 0.6e-7 / np.sqrt(12))
    # hand: mean and standard deviation of the ten, without the functions under test
    ten = np.array([each for each, wrong in zip(whole.by_bow.difference, off, strict=True) if not wrong])
    assert good().mean("bow") == pytest.approx(ten.sum() / 10, rel=1e-12)
    assert good().scatter("bow") == pytest.approx(np.sqrt(((ten - ten.mean()) ** 2).sum() / 9), rel=1e-12)


def test_a_bar_put_right_agrees_with_the_others():
    mend = {
        "S04": lambda bar: dataclasses.replace(bar, width=bar.width * 25.4),  # invented: written in inches
        "S09": lambda bar: dataclasses.replace(bar, fringe_order=1),  # invented: the whole fringe forgotten
    }
    right = [mend.get(bar.student, lambda bar: bar)(bar) for bar in bars.class_bars()]
    # invented: made for 5.2 points, scattered by 4 degrees in 240 and 0.04 mm in 3 mm
    np.testing.assert_allclose(bars.read_class(right, A).by_light.difference, TRUE, rtol=0, atol=0.3e-7)


def test_the_table_says_what_was_written_and_read():
    table = good().table().set_index("student")
    # hand: datasets/class_strip_tests.csv, line S01, and 565 x (1 + 73/180) / (2.7e-6 x 26.9) = 10.93 MPa, of
    # sheets of 2.97 and 2.90 mm: close to 2 x 10.93 x 0.78 / 70e3 / 473.5 = 5.15 points
    first = table.loc["S01"]
    assert list(first.iloc[:4]) == [26.9, 1, 73.0, 0.21]
    assert first["points by light"] == pytest.approx(5.15, abs=0.05)
    assert len(table) == 12


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: bars.read_edge(750, 0.025, 0.003, 0.003, A), "retardation is 750 m"),
        (lambda: bars.read_edge(7e-7, 25, 0.003, 0.003, A), "path is 25 m;.*25 mm"),
        (
            lambda: bars.read_bow(1e-4, 0.2, 0.003, 0.003, A, bow_uncertainty=0),
            "bow_uncertainty is 0 m; allowed is above 0",
        ),
        (lambda: bars.bar_by_light(-5, 0.025, 0.003, 3, A), "turn is -5 degree; allowed is 0 to 2000"),
        (lambda: bars.read_class(bars.class_bars(), A, ["S13"]), "left_out names S13; there are S01, S02"),
        (lambda: bars.read_class(bars.class_bars()[:1], A), "two at least that count, got 1"),
    ],
)
def test_bad_input_is_refused_in_a_sentence(call, sentence):
    with pytest.raises(ValueError, match=sentence):
        call()
