"""Compatibility against Timoshenko, Lame, Eshelby and finite element solves."""

from dataclasses import replace

import numpy as np
import pytest
from finite_elements import bar_stress, chip_forces

from kilncalc import compatibility as c
from kilncalc.materials import ALLOWED_TENSION, glass

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
    # published: Stoney 1909, Proc. Roy. Soc. A 82, 172 (narrow strips): kappa = 6 eps E_film t_film/(E_base
    # t_base^2); exact: stress alike in both directions turns each E into E/(1 - nu), which he does not have;
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
        np.testing.assert_allclose(stack.bottom, [two.a_outer, two.b_joint], rtol=1e-10)
        np.testing.assert_allclose(stack.top, [two.a_joint, two.b_outer], rtol=1e-10)
        # exact: which glass the mismatches are counted from does not matter
        shifted = c.laminate([3.5e-4, 2e-4], [0.002, 0.005], [a, b], bending=bending)
        np.testing.assert_allclose(shifted.top, stack.top, rtol=1e-9)


def test_a_sandwich_stays_flat():
    stack = c.laminate([2e-4, 0, 2e-4], [0.002, 0.004, 0.002], [FLOAT] * 3)
    # hand: 87.5 GPa x 2e-4 = 17.5 MPa, skins and core share half and half: +8.75 in the skins, -8.75 inside
    np.testing.assert_allclose(stack.bottom, [8.75e6, -8.75e6, 8.75e6], rtol=1e-9)
    np.testing.assert_allclose(stack.top, [8.75e6, -8.75e6, 8.75e6], rtol=1e-9)
    assert stack.curvature == pytest.approx(0, abs=1e-12)


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


# ------------------------------------------------------------------ chips


@pytest.mark.parametrize(("t", "b"), [(0.003, 0.003), (0.002, 0.003)])
def test_a_chip_on_a_base_against_finite_elements(t, b):
    radius = 0.0095
    heights = np.array([1e-6, b - 1e-6, b + 1e-6, b + t - 1e-6])
    difference, stress = chip_forces(radius, t, b, 0.2, 70e9, 0.22, 1e-4, [radius + b])
    chip = c.chip_stress(1e-4, of_stiffness(70, 0.22), t, b)
    # independent: axisymmetric finite elements (scikit-fem), in the middle of the chip
    closed = [chip.underside, chip.base_joint, chip.joint, chip.top]
    np.testing.assert_allclose(closed, stress(np.full(4, 1e-4), heights), rtol=0, atol=0.04 * 4.8e6)
    rim = -difference[0] / 2 / b * ((radius + b) / radius) ** 2
    assert chip.rim / rim == pytest.approx(1.16, abs=0.03)  # thin-plate theory: 13 to 19 % too high
    assert chip.largest_tension == chip.base_joint


def test_a_chip_far_thinner_than_its_base_is_a_film():
    chip = c.chip_stress(-1e-4, of_stiffness(70, 0.2), 0.3e-3, 0.15)
    # exact: a film on a rigid base carries E/(1 - nu) x eps, in tension where it shrinks more
    assert chip.joint == pytest.approx(87.5e9 * 1e-4, rel=0.01)
    assert abs(chip.underside) < 0.01 * chip.joint


def test_the_base_outside_holds_a_chip_more_than_a_free_stack_is_held():
    # exact: the base outside can only hold the disc, so its joint lies between a free stack's and a film's
    stack = c.bilayer(-1e-4, 0.003, 0.003, FLOAT)
    chip = c.chip_stress(-1e-4, FLOAT, 0.003, 0.003)
    assert abs(stack.b_joint) < chip.joint < 87.5e9 * 1e-4


def test_chips_broadcast_and_return_floats_for_floats():
    chip = c.chip_stress([1e-4, 2e-4], FLOAT, [[0.001], [0.003]], 0.003)
    assert chip.joint.shape == chip.rim.shape == chip.largest_tension.shape == (2, 2)
    one = c.chip_stress(2e-4, FLOAT, 0.003, 0.003)
    assert type(one.rim) is type(one.largest_tension) is float
    assert one.joint == chip.joint[1, 1]


# ------------------------------------------------------------------ limits


def test_the_allowed_tension_follows_from_the_standard():
    # published: EN 16612, 45 MPa x 0.29 (load that stays) x 0.8 (edge, from memory) x 0.6 (abraded)/1.8
    assert pytest.approx(45e6 * 0.29 * 0.8 * 0.6 / 1.8, rel=0.01) == ALLOWED_TENSION


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


# ------------------------------------------------------------------ a bend and its gap


def test_bow_and_curvature_are_a_circle():
    # exact: 3-4-5 triangle times 0.025 m: half-span 0.100, radius 0.125, distance to the chord 0.075
    assert c.curvature_from_bow(0.05, 0.2) == pytest.approx(8.0, rel=1e-12)
    assert c.bow_from_curvature(8.0, 0.2) == pytest.approx(0.05, rel=1e-12)
    assert c.bow_from_curvature(-8.0, 0.2) == pytest.approx(-0.05, rel=1e-12)
    assert c.bow_from_curvature(0.0, 0.2) == 0
    bows = np.array([-3e-3, -1e-6, 1e-5, 4e-3])
    back = c.bow_from_curvature(c.curvature_from_bow(bows, 0.3), 0.3)
    np.testing.assert_allclose(back, bows, rtol=1e-9)  # exact: one is the inverse of the other


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
        (lambda: c.curvature_from_bow(0.25, 180), "bow is 0.25 m; allowed is -0.05 to 0.05 m"),
        (lambda: c.curvature_from_bow(0.04, 0.05), "more than half the span"),
        (lambda: c.bow_from_curvature(20, 0.5), "longer than the circle"),
    ],
)
def test_bad_input_is_refused_in_a_sentence(call, sentence):
    with pytest.raises(ValueError, match=sentence):
        call()
