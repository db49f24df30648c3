"""Compatibility against Timoshenko, Lame, Eshelby, a finite element solve, ASTM and open data."""

from dataclasses import replace

import numpy as np
import pytest
from finite_elements import bar_stress

from kilncalc import compatibility as c
from kilncalc.materials import glass

FLOAT = glass("float")  # E 70 GPa, nu 0.20
A, B = glass("kiln glass A"), glass("kiln glass B")


def of_stiffness(gpa, nu=0.2):
    return replace(FLOAT, youngs_modulus=gpa * 1e9, poissons_ratio=nu)


# ------------------------------------------------------------------ mismatch


def test_the_glass_that_sets_last_decides():
    # hand: float (511 + 546)/2 = 528.5, lamp glass (473 + 514)/2 = 493.5 degC; the lower one
    assert c.setting_temperature(FLOAT) == 528.5
    assert c.setting_temperature(FLOAT, A) == c.setting_temperature(A, FLOAT) == 493.5


def test_mismatch_is_signed_and_integrated_to_the_setting_temperature():
    # hand: (9.6e-6 - 9.0e-6) x (493.5 - 20) = 2.841e-4
    assert c.mismatch_strain(B, A) == pytest.approx(2.841e-4, rel=1e-12)
    assert c.mismatch_strain(A, B) == pytest.approx(-2.841e-4, rel=1e-12)
    # hand: set 35 K higher (where the stiffer of float and lamp glass sets): 0.6e-6 x 508.5 = 3.051e-4
    assert c.mismatch_strain(B, A, setting=528.5) == pytest.approx(3.051e-4, rel=1e-12)
    # hand: room at 0 degC adds 0.6e-6 x 20
    assert c.mismatch_strain(B, A, room=0) == pytest.approx(2.961e-4, rel=1e-12)


def test_mismatch_takes_bare_expansions_and_arrays():
    # hand: 0.5e-6 x 500 K
    assert c.mismatch_strain(9.5e-6, 9.0e-6, setting=520) == pytest.approx(2.5e-4, rel=1e-12)
    table = c.mismatch_strain(np.array([[9.0e-6], [9.5e-6]]), A, setting=[420, 520, 620])
    # hand: 0.5e-6 x 400, 500, 600 K
    np.testing.assert_allclose(table, [[0, 0, 0], [2e-4, 2.5e-4, 3e-4]], rtol=1e-12, atol=1e-18)


# ------------------------------------------------------------------ two layers


def test_timoshenkos_own_example():
    stack = c.bilayer(0.5e-6 * 500, 0.003, 0.003, FLOAT, form="beam")
    # published: Timoshenko 1925, equal layers: h/(rho dalpha dT) = 1.5; 0.006/(1.5 x 2.5e-4) = 16.0 m
    assert 1 / stack.curvature == pytest.approx(16.0, rel=1e-12)
    # published: Timoshenko 1925, joint E dalpha dT/2 = 70e9 x 2.5e-4/2 = 8.75 MPa, tension in the one that
    # shrinks more; hand: its free face -1/2 of that
    assert stack.a_joint == pytest.approx(8.75e6, rel=1e-12)
    assert stack.b_joint == pytest.approx(-8.75e6, rel=1e-12)
    assert stack.a_outer == pytest.approx(-4.375e6, rel=1e-12)
    assert stack.b_outer == pytest.approx(4.375e6, rel=1e-12)
    assert stack.largest_tension == stack.a_joint


@pytest.mark.parametrize(
    ("m", "n", "factor"),
    [
        # hand: h/(rho eps) = 6 (1 + m)^2/(3 (1 + m)^2 + (1 + m n)(m^2 + 1/(m n))), Timoshenko 1925 eq. 4
        (1, 1, 1.5),  # 24/16
        (2, 1, 4 / 3),  # 54/40.5
        (1, 2, 16 / 11),  # 24/16.5; Timoshenko: a ratio of 2 in stiffness changes little (3 %)
        (1, 0.5, 16 / 11),
        (0.5, 3, 13.5 / (6.75 + 2.5 * (0.25 + 2 / 3))),
        (5, 0.4, 216 / (108 + 3 * 25.5)),
    ],
)
def test_timoshenko_at_other_ratios(m, n, factor):
    h, eps = 0.006, 1e-4
    t_b = h / (1 + m)
    b = of_stiffness(60 if n <= 1 else 40)
    a = replace(b, youngs_modulus=n * b.youngs_modulus) if n * b.youngs_modulus >= 40e9 else None
    if a is None:
        b, a = of_stiffness(100), of_stiffness(100 * n)
    stack = c.bilayer(eps, m * t_b, t_b, a, b, form="beam")
    assert stack.curvature * h / eps == pytest.approx(factor, rel=1e-12)


def test_a_thin_layer_bends_its_base_as_stoney_says():
    # published: Stoney 1909, for plates: kappa = 6 eps E_film t_film/(E_base t_base^2), each E over 1 - nu;
    # the next term of the series is of order 4 m = 0.8 %
    film, base = of_stiffness(90, 0.25), of_stiffness(70, 0.2)
    stack = c.bilayer(1e-4, 0.3e-3, 0.15, film, base)
    stoney = 6 * (90 / 0.75) / (70 / 0.8) * 1e-4 * 0.3e-3 / 0.15**2
    assert stack.curvature == pytest.approx(stoney, rel=0.015)
    # exact: a film on a rigid base carries E/(1 - nu) x eps
    assert stack.a_joint == pytest.approx(120e9 * 1e-4, rel=0.015)
    assert abs(stack.b_outer) < 0.01 * stack.a_joint


def test_held_flat_the_layers_share_by_thickness():
    # hand: 70/0.8 = 87.5 GPa x 2e-4 = 17.5 MPa, shared 4 : 2 -> 11.667 in the thin, 5.833 in the thick one
    stack = c.bilayer(2e-4, 0.002, 0.004, FLOAT, bending="flat")
    assert stack.a_joint == stack.a_outer == pytest.approx(17.5e6 * 2 / 3, rel=1e-12)
    assert stack.b_joint == stack.b_outer == pytest.approx(-17.5e6 / 3, rel=1e-12)
    assert stack.curvature == 0
    # hand: stiffness 120 and 60 GPa, like thicknesses: sigma = eps/(1/120 + 1/60 GPa) = 40 GPa x eps
    beam = c.bilayer(1e-4, 0.003, 0.003, of_stiffness(120), of_stiffness(60), bending="flat", form="beam")
    assert beam.a_joint == pytest.approx(4.0e6, rel=1e-12)


@pytest.mark.parametrize("ratio", [0.1, 0.6, 1, 3, 10])
def test_a_free_stack_is_in_balance_and_its_joint_jumps_by_the_mismatch(ratio):
    stack = c.bilayer(1.5e-4, 0.003 * ratio, 0.003, of_stiffness(90), of_stiffness(60), form="beam")
    z, stress = stack.profile()
    nodes = np.array([0, 2])
    pull = sum((stress[i] + stress[i + 1]) / 2 * (z[i + 1] - z[i]) for i in nodes)
    turn = sum(
        (z[i + 1] - z[i]) / 6 * (stress[i] * (2 * z[i] + z[i + 1]) + stress[i + 1] * (z[i] + 2 * z[i + 1]))
        for i in nodes
    )
    scale = np.abs(stress).max() * z[-1]
    # exact: a free body carries neither a pull nor a moment
    assert abs(pull) < 1e-12 * scale
    assert abs(turn) < 1e-12 * scale * z[-1]
    # exact: at the joint both glasses have the same length, so their strains differ by the mismatch
    assert stack.a_joint / 90e9 - stack.b_joint / 60e9 == pytest.approx(1.5e-4, rel=1e-12)


def test_bilayer_broadcasts_and_returns_floats_for_floats():
    stack = c.bilayer([1e-4, 2e-4], [[0.002], [0.003], [0.004]], 0.003, FLOAT)
    for field in ("curvature", "a_outer", "a_joint", "b_joint", "b_outer", "largest_tension"):
        assert getattr(stack, field).shape == (3, 2)
    one = c.bilayer(2e-4, 0.004, 0.003, FLOAT)
    assert stack.a_joint[2, 1] == one.a_joint
    assert all(type(getattr(one, field)) is float for field in ("curvature", "a_joint", "largest_tension"))
    flat = c.bilayer([1e-4, 2e-4], 0.002, 0.003, FLOAT, bending="flat")
    assert flat.curvature.shape == flat.a_outer.shape == (2,)
    with pytest.raises(ValueError, match="profile shows one stack"):
        stack.profile()


# ------------------------------------------------------------------ any number of layers


def test_a_laminate_of_two_is_timoshenkos():
    a, b = of_stiffness(90, 0.25), of_stiffness(60, 0.2)
    for bending in ("free", "flat"):
        two = c.bilayer(1.5e-4, 0.002, 0.005, a, b, bending=bending)
        stack = c.laminate([1.5e-4, 0], [0.002, 0.005], [a, b], bending=bending)
        # published: Timoshenko 1925
        assert stack.curvature == pytest.approx(two.curvature, rel=1e-10)
        np.testing.assert_allclose(
            stack.profile()[1], [two.a_outer, two.a_joint, two.b_joint, two.b_outer], rtol=1e-10
        )
        np.testing.assert_array_equal(stack.profile()[0], two.profile()[0])
        # exact: which glass the mismatches are counted from does not matter
        shifted = c.laminate([3.5e-4, 2e-4], [0.002, 0.005], [a, b], bending=bending)
        np.testing.assert_allclose(shifted.top, stack.top, rtol=1e-9)


def test_a_sandwich_stays_flat():
    stack = c.laminate([2e-4, 0, 2e-4], [0.002, 0.004, 0.002], [FLOAT] * 3)
    # hand: 87.5 GPa x 2e-4 = 17.5 MPa, skins and core share half and half: +8.75 in the skins, -8.75 inside
    np.testing.assert_allclose(stack.bottom, [8.75e6, -8.75e6, 8.75e6], rtol=1e-9)
    np.testing.assert_allclose(stack.top, [8.75e6, -8.75e6, 8.75e6], rtol=1e-9)
    assert stack.curvature == pytest.approx(0, abs=1e-12)
    assert stack.largest_tension == pytest.approx(8.75e6, rel=1e-9)


def test_laminate_against_finite_elements():
    thickness, gpa, nu = [0.002, 0.003, 0.0015], [60, 90, 70], [0.2, 0.3, 0.22]
    shrink = np.array([0, 2e-4, -1e-4])
    stack = c.laminate(
        shrink, thickness, [of_stiffness(e, n) for e, n in zip(gpa, nu, strict=True)], form="beam"
    )
    joints = np.concatenate([[0], np.cumsum(thickness)])
    stress = bar_stress(0.06, joints, np.array(gpa) * 1e9, nu, lambda z, i: shrink[i], columns=50, rows=26)
    for i in range(3):
        inside = joints[i] + np.array([0.05, 0.5, 0.95]) * thickness[i]
        share = (inside - joints[i]) / thickness[i]
        expected = stress(np.full(3, 0.03), inside)[0]
        # independent: plane-stress finite elements (scikit-fem), mid-length of a free bar
        np.testing.assert_allclose(
            stack.bottom[i] + share * (stack.top[i] - stack.bottom[i]), expected, rtol=2e-3, atol=1e4
        )


# ------------------------------------------------------------------ spots, strips, inlays


def test_a_spot_is_lames_shrink_fit():
    # exact: Lame, disc of radius r pressed into a ring of outer radius R, same glass, misfit eps:
    # p = eps E/((R^2 + r^2)/(R^2 - r^2) + nu + 1 - nu), here R = 1000 r
    ring = (1000**2 + 1) / (1000**2 - 1)
    pressure = 1e-4 * 70e9 / (ring + 1)
    spot = c.inclusion_stress(1e-4, FLOAT)
    assert spot.along == spot.across == pytest.approx(-pressure, rel=1e-5)
    assert spot.sheet_at_end == spot.sheet_at_side == pytest.approx(pressure, rel=1e-5)
    assert spot.largest_tension == spot.sheet_at_end


@pytest.mark.parametrize("aspect", [1, 2, 5, 30])
def test_an_inlay_is_eshelbys_ellipse(aspect):
    # published: Eshelby tensor of an elliptic cylinder, plane strain (Mura, Micromechanics of Defects in
    # Solids, eq. 11.22; from memory, high), then E/(1 - nu^2) -> E for plane stress
    nu, eps, a, b = 0.2, 1e-4, float(aspect), 1.0
    k, whole = 1 / (2 * (1 - nu)), a + b
    s1111 = k * ((b * b + 2 * a * b) / whole**2 + (1 - 2 * nu) * b / whole)
    s1122 = k * (b * b / whole**2 - (1 - 2 * nu) * b / whole)
    s2222 = k * ((a * a + 2 * a * b) / whole**2 + (1 - 2 * nu) * a / whole)
    s2211 = k * (a * a / whole**2 - (1 - 2 * nu) * a / whole)
    e1, e2 = (s1111 + s1122 - 1) * eps, (s2211 + s2222 - 1) * eps
    lam, mu = 70e9 * nu / (1 + nu) / (1 - 2 * nu), 70e9 / 2 / (1 + nu)
    along, across = ((lam * (e1 + e2) + 2 * mu * e) * (1 - nu**2) for e in (e1, e2))
    inlay = c.inclusion_stress(eps, FLOAT, "inlay", aspect=aspect)
    assert inlay.along == pytest.approx(along, rel=1e-10)
    assert inlay.across == pytest.approx(across, rel=1e-10)


def test_a_long_strip_is_held_lengthwise_only():
    strip = c.inclusion_stress([1e-4, -1e-4], FLOAT, "strip")
    # exact: a thin strip in a wide sheet keeps the sheet's length: -E eps = -7 MPa along, nothing across
    np.testing.assert_allclose(strip.along, [-7e6, 7e6], rtol=1e-12)
    np.testing.assert_array_equal(strip.across, [0, 0])
    long = c.inclusion_stress(1e-4, FLOAT, "inlay", aspect=1000)
    assert long.along == pytest.approx(-7e6, rel=2e-3)


# ------------------------------------------------------------------ limits


def test_share_of_limit_keeps_its_sign():
    # published: EN 16612, 45 MPa x 0.29 (load that stays) x 0.8 (edge) x 0.6 (abraded)/1.8 = 3.48 MPa
    assert pytest.approx(45e6 * 0.29 * 0.8 * 0.6 / 1.8, rel=0.01) == c.ALLOWED_TENSION
    assert c.share_of_limit(7e6) == 2.0
    assert c.share_of_limit(-7e6) == -2.0
    assert c.share_of_limit(1e6, 4e6) == 0.25


@pytest.mark.parametrize("bending", ["free", "flat"])
@pytest.mark.parametrize("t_a", [0.001, 0.003, 0.010])
def test_at_the_allowed_mismatch_the_largest_tension_is_the_limit(bending, t_a):
    a, b = of_stiffness(80), of_stiffness(65)
    low, high = c.allowed_mismatch(t_a, 0.003, a, b, 2e6, bending=bending)
    assert low < 0 < high
    for mismatch in (low, high):
        stack = c.bilayer(mismatch, t_a, 0.003, a, b, bending=bending)
        # exact: the definition of the limit
        assert stack.largest_tension == pytest.approx(2e6, rel=1e-12)


def test_allowed_mismatch_of_equal_layers():
    # hand: tension at the joint is 87.5 GPa x eps/2, so eps = 2 x 3.5e6/87.5e9 = 8.0e-5, either sign
    assert c.allowed_mismatch(0.003, 0.003, FLOAT) == pytest.approx((-8e-5, 8e-5), rel=1e-12)
    # hand: flat, like thicknesses: the same half; a thin layer in tension takes nearly all: 4.0e-5 as m -> 0
    assert c.allowed_mismatch(0.003, 0.003, FLOAT, bending="flat")[1] == pytest.approx(8e-5, rel=1e-12)
    assert c.allowed_mismatch(0.3e-3, 0.15, FLOAT, bending="flat")[1] == pytest.approx(4e-5, rel=3e-3)
    # a thin layer in compression may be far off: hand, flat, 1 : 9: base tension eps x 87.5 GPa/10
    assert c.allowed_mismatch(0.001, 0.009, FLOAT, bending="flat")[0] == pytest.approx(-4e-4, rel=1e-12)
    low, high = c.allowed_mismatch([0.001, 0.003], 0.003, FLOAT)
    assert low.shape == high.shape == (2,)


# ------------------------------------------------------------------ reading tests back


def test_bow_and_curvature_are_a_circle():
    # exact: 3-4-5 triangle times 0.025 m: half-span 0.100, radius 0.125, distance to the chord 0.075
    assert c.curvature_from_bow(0.05, 0.2) == pytest.approx(8.0, rel=1e-12)
    assert c.bow_from_curvature(8.0, 0.2) == pytest.approx(0.05, rel=1e-12)
    assert c.bow_from_curvature(-8.0, 0.2) == pytest.approx(-0.05, rel=1e-12)
    assert c.bow_from_curvature(0.0, 0.2) == 0
    bows = np.array([-3e-3, -1e-6, 1e-5, 4e-3])
    back = c.bow_from_curvature(c.curvature_from_bow(bows, 0.3), 0.3)
    np.testing.assert_allclose(back, bows, rtol=1e-9)  # exact: one is the inverse of the other


def test_analyser_angle_is_that_of_f218():
    # published: ASTM F218, 3.14 nm per degree at 565 nm (from memory, high)
    assert c.retardation_from_analyser(1) == pytest.approx(3.14e-9, rel=1e-3)
    # hand: 180 degrees are one wavelength; order 1 and 45 degrees are 1.25 wavelengths
    assert c.retardation_from_analyser(45, order=1) == pytest.approx(1.25 * 565e-9, rel=1e-12)
    assert c.retardation_from_analyser(-90, order=-1, wavelength=589e-9) == pytest.approx(
        -1.5 * 589e-9, rel=1e-12
    )
    assert c.analyser_angle(-1.5 * 565e-9) == pytest.approx(-270, rel=1e-12)


def test_temper_numbers_are_those_of_c148():
    # published: ASTM C148-00, note 1: real = apparent x 4.06/t [mm] = apparent x 0.160/t [in]
    assert c.real_temper_number(6, 4.06e-3) == pytest.approx(6, rel=1e-12)
    np.testing.assert_allclose(
        c.real_temper_number([2, 5], [0.125 * 25.4e-3, 0.5 * 25.4e-3]), [2.56, 1.6], rtol=2e-3
    )
    # published: ASTM C148 method B, analyser 7.3, 14.5, ... 72.6 degrees for apparent numbers 1, 2, ... 10; a
    # number is 22.8 nm (a standard strain disc; from memory, high)
    last = [7.3, 14.5, 21.8, 29.0, 36.3, 43.6, 50.8, 58.1, 65.4, 72.6]
    np.testing.assert_allclose(c.analyser_angle(22.8e-9 * np.arange(1, 11)), last, rtol=0, atol=0.06)


def test_edge_reading_by_hand():
    # hand: order 1, 60 degrees: 565 x 4/3 = 753.3 nm; /(2.7e-12 x 0.025 m) = 11.160 MPa; equal layers: eps =
    # 2 sigma (1 - nu)/E; divided by 473.5 K
    bar = c.read_edge(c.retardation_from_analyser(60, order=1), 0.025, 0.003, 0.003, A)
    assert bar.stress == pytest.approx(11.160e6, rel=1e-4)
    eps = 2 * bar.stress * (1 - A.poissons_ratio) / A.youngs_modulus
    assert bar.mismatch == pytest.approx(eps, rel=1e-12)
    assert bar.difference == pytest.approx(eps / 473.5, rel=1e-12)


@pytest.mark.parametrize(("t_a", "t_b"), [(0.003, 0.003), (0.002, 0.006), (0.006, 0.0015)])
@pytest.mark.parametrize("mismatch", [2e-4, -1e-4])
def test_a_bar_made_and_read_gives_back_its_mismatch(t_a, t_b, mismatch):
    stack = c.bilayer(mismatch, t_a, t_b, A)
    delta = c.retardation(stack.a_joint, 0, 0.025, A.stress_optic_coefficient)
    # exact: reading inverts making
    assert c.read_edge(delta, 0.025, t_a, t_b, A).mismatch == pytest.approx(mismatch, rel=1e-10)
    bow = c.read_bow(c.bow_from_curvature(stack.curvature, 0.18), 0.18, t_a, t_b, A)
    assert bow.mismatch == pytest.approx(mismatch, rel=1e-10)
    assert bow.stress == pytest.approx(stack.a_joint, rel=1e-10)
    flat = c.bilayer(mismatch, t_a, t_b, A, bending="flat").a_joint
    delta = c.retardation(flat, 0, 0.025, A.stress_optic_coefficient)
    assert c.read_edge(delta, 0.025, t_a, t_b, A, bending="flat").mismatch == pytest.approx(
        mismatch, rel=1e-10
    )


def test_uncertainty_of_the_edge_reading_against_throwing_dice():
    bar = c.read_edge(750e-9, 0.025, 0.0035, 0.0025, A)
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
    bar = c.read_bow(0.25e-3, 0.18, 0.003, 0.003, A)
    # hand: the difference goes with bow (0.03/0.25 = 12 %), span^-2 (2/180 = 1.1 %), the sum of both
    # thicknesses (0.1/6 = 1.67 % each) and 1/cooling (20/473.5 = 4.2 %)
    expected = np.sqrt(0.12**2 + (2 / 180) ** 2 + 2 * (0.1 / 6) ** 2 + (20 / 473.5) ** 2)
    assert bar.uncertainty / bar.difference == pytest.approx(expected, rel=5e-3)
    assert bar.parts["bow"] == pytest.approx(0.12 * bar.difference, rel=1e-3)
    many = c.read_bow([0.25e-3, 0.5e-3], 0.18, 0.003, 0.003, A)
    assert many.difference.shape == many.uncertainty.shape == many.stress.shape == (2,)
    assert many.difference[0] == bar.difference


# ------------------------------------------------------------------ the tables


def test_the_class_measured_the_pair_and_made_two_mistakes():
    table = c.strip_tests()
    assert list(table["student"]) == [f"S{i:02d}" for i in range(1, 13)]
    result = c.analyse_strip_tests(table, A)
    true = 5.2  # invented: 1e-7/K, as datapackage.json says
    off = (result["by_light"] - true).abs() > 3 * result["by_light_uncertainty"]
    assert set(result.loc[off | (result["by_light"] > 100), "student"]) == {"S04", "S09"}
    good = result[~result["student"].isin(["S04", "S09"])]
    # invented: ten bars, scatter about 2 % by light and 8 to 12 % by bow
    assert good["by_light"].mean() == pytest.approx(true, abs=0.1)
    assert good["by_light"].std() < 0.2
    assert result["by_bow"].mean() == pytest.approx(true, abs=3 * 0.6 / np.sqrt(12))
    # hand: S04 is 25.4 times too large (inches in a column of millimetres) ...
    mended = table.assign(
        width_mm=table["width_mm"].where(table["student"] != "S04", table["width_mm"] * 25.4),
        fringe_order=table["fringe_order"].where(table["student"] != "S09", 1),
    )
    # ... and S09 missed the first fringe
    again = c.analyse_strip_tests(mended, A)["by_light"]
    assert (abs(again - true) < 0.3).all()


def test_soda_lime_glasses_scatter_as_published():
    table = c.soda_lime_glasses()
    assert 35 <= len(table) <= 50
    assert table["name"].is_unique
    # published: 41 soda-lime glasses of SciGlass: softening - annealing 183 +- 8 K, annealing - strain
    # 38.6 +- 5 K
    apart = table["softening_point_degC"] - table["annealing_point_degC"]
    assert (apart.median(), apart.std()) == pytest.approx((183, 8), abs=2)
    apart = table["annealing_point_degC"] - table["strain_point_degC"]
    assert (apart.mean(), apart.std()) == pytest.approx((38.6, 5), abs=1)
    # published: SciGlass soda-lime median density 2500 kg/m3
    assert table["density_kg_per_m3"].median() == pytest.approx(2500, rel=0.004)
    # published: Boyd & Thompson 1980, soda-lime lamp glass: 473, 514, 696 degC, 93.5e-7, 2470 kg/m3
    lamp = table.set_index("name").loc["27139-310637"].iloc[:5]
    assert list(lamp.astype(float)) == [473, 514, 696, 93.5, 2470]
    # expansions differ by far more than two glasses fused 3 + 3 mm may (1.6e-7/K at 3.5 MPa)
    assert table["expansion_1e-7_per_K"].std() > 4


def test_a_changed_table_does_not_change_the_next():
    first = c.strip_tests()
    first["width_mm"] = 0.0
    assert (c.strip_tests()["width_mm"] > 0).all()


# ------------------------------------------------------------------ bad input


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: c.setting_temperature(), "needs at least one glass"),
        (
            lambda: c.mismatch_strain(9.0, A, setting=500),
            r"expansion a is 9 1/K.*9 ×10⁻⁶ /K, that is 9e-6 1/K\?",
        ),
        (
            lambda: c.mismatch_strain(A, 90, setting=500),
            r"expansion b is 90 1/K.*90 ×10⁻⁷ /K, that is 9e-6 1/K\?",
        ),
        (lambda: c.mismatch_strain(9e-6, A), "setting is needed, in degC"),
        (lambda: c.mismatch_strain(A, B, setting=20), "setting is 20 degC; allowed is 200 to 1200 degC"),
        (lambda: c.mismatch_strain(A, B, room=68), "room is 68 degC; allowed is -20 to 50 degC"),
        (lambda: c.bilayer(0.6, 0.003, 0.003, A), "mismatch is 0.6; allowed is -0.01 to 0.01.*a strain"),
        (lambda: c.bilayer(1e-4, 3, 0.003, A), r"thickness_a is 3 m;.*3 mm, that is 0.003 m\?"),
        (lambda: c.bilayer(1e-4, 0.003, 0.003, A, form="bar"), 'form must be "plate" or "beam"'),
        (lambda: c.bilayer(1e-4, 0.003, 0.003, A, bending="bent"), 'bending must be "free" or "flat"'),
        (lambda: c.laminate([1e-4, 0], [0.003], [A, B]), "same layers; got 2, 1 and 2"),
        (lambda: c.inclusion_stress(1e-4, A, "star"), '"spot", "strip" or "inlay"'),
        (lambda: c.inclusion_stress(1e-4, A, "inlay"), "aspect, length divided by width"),
        (lambda: c.inclusion_stress(1e-4, A, "spot", aspect=2), "aspect, length divided by width"),
        (lambda: c.inclusion_stress(1e-4, A, "inlay", aspect=0.5), "aspect is 0.5; allowed is 1 to 1000"),
        (lambda: c.share_of_limit(1e6, 3.5), r"allowed_tension is 3.5 Pa;.*3.5 MPa, that is 3.5e6 Pa\?"),
        (lambda: c.curvature_from_bow(0.25, 180), "bow is 0.25 m; allowed is -0.05 to 0.05 m"),
        (lambda: c.curvature_from_bow(0.04, 0.05), "more than half the span"),
        (lambda: c.bow_from_curvature(20, 0.5), "longer than the circle"),
        (lambda: c.retardation_from_analyser(200), "angle is 200 degree; allowed is -180 to 180"),
        (lambda: c.real_temper_number(3, 4.06), r"thickness is 4.06 m;.*4.06 mm"),
        (lambda: c.read_edge(750, 0.025, 0.003, 0.003, A), "retardation is 750 m"),
        (lambda: c.read_edge(7e-7, 25, 0.003, 0.003, A), "path is 25 m;.*25 mm"),
        (
            lambda: c.read_bow(1e-4, 0.2, 0.003, 0.003, A, bow_uncertainty=0),
            "bow_uncertainty is 0 m; allowed is above 0",
        ),
        (lambda: c.retardation(1e6, 0, 10, 2.7e-12), r"path is 10 m;.*10 mm, that is 0.01 m\?"),
        (lambda: c.retardation(1e6, 0, 0.01, 2.7), "stress_optic_coefficient is 2.7 1/Pa"),
    ],
)
def test_bad_input_is_refused_in_a_sentence(call, sentence):
    with pytest.raises(ValueError, match=sentence):
        call()
