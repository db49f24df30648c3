"""Volumes, weights, frit, texture, sieves, against exact geometry, integration, handbooks and standards."""

from math import inf, nan, pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kilncalc.volume import (
    SieveYield,
    added_thickness,
    box,
    cost,
    cumulative_passing,
    cylinder,
    fill_height,
    fillings,
    frit_packing,
    frit_volume,
    frustum,
    glass_mass,
    mass_by_displacement,
    mass_from_water,
    mass_from_wax,
    reservoir_volume,
    revolve,
    sheet_mass,
    sieve_opening,
    sieve_yield,
    spherical_cap,
    stringer_length,
    texture_mass,
)

INCH = 0.0254  # exact: international inch
OUNCE = 0.028349523125  # exact: avoirdupois ounce, 0.45359237 kg / 16

# A cup with a flat floor, a sloping wall, a level step and a lip that leans in: points in metres, invented.
CUP = ([0.020, 0.035, 0.045, 0.045, 0.030], [0.000, 0.030, 0.030, 0.050, 0.060])

SHAPES = {
    "box": (box, (0.24, 0.18, 0.03)),
    "cylinder": (cylinder, (0.05, 0.08)),
    "frustum": (frustum, (0.03, 0.06, 0.09)),
    "narrowing frustum": (frustum, (0.06, 0.02, 0.09)),
    "cone": (frustum, (0.0, 0.05, 0.07)),
    "shallow bowl": (spherical_cap, (0.10, 0.02)),
    "deep bowl": (spherical_cap, (0.04, 0.07)),
    "cup": (revolve, CUP),
}


# ------------------------------------------------------------------------------- shapes: exact, published


def test_box_is_length_width_height():
    # exact: 2 x 3 x 4 inches = 24 cubic inches
    assert box(2 * INCH, 3 * INCH, 4 * INCH) == pytest.approx(24 * INCH**3, rel=1e-14)


def test_winchester_bushel():
    # published: US bushel = 2150.42 in3 (NIST Handbook 44, appendix C), by statute a cylinder 18 1/2 inches
    # wide and 8 inches deep; five figures after rounding
    assert cylinder(18.5 / 2 * INCH, 8 * INCH) == pytest.approx(2150.42 * INCH**3, rel=3e-6)


# ----------------------------------------------------------------------------------------------- texture


def test_balls_side_by_side_by_integrating_their_height():
    d, area, rho = 2e-3, 0.04, 2500.0
    # exact: centres on a triangular lattice, one rectangular cell d x d sqrt(3) holding two balls; glass per
    # area = mean chord, here on a fine grid of points, not from the volume of a ball
    n = 1200
    x, y = np.meshgrid((np.arange(n) + 0.5) / n * d, (np.arange(n) + 0.5) / n * d * sqrt(3))
    chord = np.zeros_like(x)
    for cx, cy in [(0, 0), (1, 0), (0, sqrt(3)), (1, sqrt(3)), (0.5, sqrt(3) / 2)]:
        chord += 2 * np.sqrt(np.maximum((d / 2) ** 2 - (x - cx * d) ** 2 - (y - cy * d) ** 2, 0))
    mass = rho * area * chord.mean()
    # exact: packing pi/(3 sqrt 3) = 0.6046 when the coverage counts the gaps
    assert texture_mass(area, d, 1.0, pi / (3 * sqrt(3)), rho) == pytest.approx(mass, rel=1e-4)
    # exact: packing 2/3 when the coverage is the ground hidden from above, here pi/(2 sqrt 3) = 0.9069
    hidden = (chord > 0).mean()
    assert hidden == pytest.approx(pi / (2 * sqrt(3)), rel=1e-3)
    assert texture_mass(area, d, hidden, 2 / 3, rho) == pytest.approx(mass, rel=1e-3)


def test_balls_counted_and_weighed():
    d, count, area = 1e-3, 4000, 0.01
    # exact: count x pi d^3/6 x rho; hidden ground count x pi d^2/4 / area
    assert texture_mass(area, d, count * pi * d**2 / 4 / area, 2 / 3, 2500) == pytest.approx(
        count * pi * d**3 / 6 * 2500, rel=1e-12
    )


def test_balls_dropped_at_random():
    # published: Feder 1980, discs dropped at random until none fits cover 0.547; hand: 2/3 x 0.547 = 0.365
    assert texture_mass(0.04, 1e-3, 0.547, 2 / 3, 2500) == pytest.approx(
        texture_mass(0.04, 1e-3, 1.0, 0.365, 2500), rel=2e-3
    )


def test_thickness_added_is_grain_times_coverage_times_packing():
    mass = texture_mass(0.04, 2e-3, 0.6, 0.5, 2500)
    # hand: 2 mm x 0.6 x 0.5 = 0.6 mm
    assert added_thickness(mass, 0.04, 2500) == pytest.approx(0.6e-3, rel=1e-12)
    # exact: a sheet of that thickness weighs the same
    assert sheet_mass(0.04, 0.6e-3, 2500) == pytest.approx(mass, rel=1e-12)


# -------------------------------------------------------------------------------------- sieves, stringer

# published: Das & Sobhan, Principles of Geotechnical Engineering, SI edition, 8th ed., problem 2.5, in its
# solutions manual: US sieves 4, 10, 20, 40, 60, 80, 100, 200 and pan, mass left on each, per cent finer
OPENINGS = [4.75e-3, 2.00e-3, 0.850e-3, 0.425e-3, 0.250e-3, 0.180e-3, 0.150e-3, 0.075e-3]
RETAINED = [0.0, 0.040, 0.060, 0.089, 0.140, 0.122, 0.210, 0.056]
PAN = 0.012
FINER = [100, 94.5, 86.3, 74.1, 54.9, 38.1, 9.3, 1.7]


def test_sieve_openings_of_the_textbook():
    names = [f"No. {n}" for n in (4, 10, 20, 40, 60, 80, 100, 200)]
    # published: openings in the same worked problem
    np.testing.assert_allclose([sieve_opening(name) for name in names], OPENINGS, rtol=1e-12)


def test_sieves_follow_the_preferred_numbers():
    numbers = (
        4,
        5,
        6,
        7,
        8,
        10,
        12,
        14,
        16,
        18,
        20,
        25,
        30,
        35,
        40,
        45,
        50,
        60,
        70,
        80,
        100,
        120,
        140,
        170,
        200,
    )
    openings = [sieve_opening(f"No. {n}") for n in (*numbers, 230, 270, 325, 400)]
    # published: ISO 565, series R 40/3, the openings of ASTM E11: 1 mm (No. 18) times 10^(3 k/40), rounded by
    # at most 1.3 % (from memory, high)
    ideal = 1e-3 * 10 ** (3 / 40 * (9 - np.arange(29)))
    np.testing.assert_allclose(openings, ideal, rtol=0.013)


def test_a_sieve_at_the_end_of_the_curve_counts_as_measured():
    # exact: a last bit of rounding below the finest sieve is still that sieve
    result = sieve_yield(1.0, [1e-3, 2e-3], [0.25, 1.0], 1e-3 * (1 - 1e-15), 2e-3 * (1 + 1e-15))
    assert (result.fines, result.kept, result.chunks) == pytest.approx((0.25, 0.75, 0.0), abs=1e-12)


def test_passing_curve_of_the_textbook():
    # the table is rounded to 0.1, and its 9.3 is 68/729 = 9.33
    np.testing.assert_allclose(100 * cumulative_passing(RETAINED, PAN), FINER, atol=0.06, rtol=0)


def test_yield_between_sieves_of_the_textbook():
    result = sieve_yield(0.729, OPENINGS, cumulative_passing(RETAINED, PAN), 0.250e-3, 0.850e-3)
    # hand: on No. 20 and above 100 g; on No. 40 and No. 60 229 g; the rest 400 g of 729 g
    assert result.chunks == pytest.approx(0.100, rel=1e-12)
    assert result.kept == pytest.approx(0.229, rel=1e-12)
    assert result.fines == pytest.approx(0.400, rel=1e-12)
    # published: 86.3 - 54.9 = 31.4 per cent
    assert result.kept / 0.729 == pytest.approx(0.314, abs=0.0006)


def test_order_of_the_sieves_does_not_matter():
    passing = cumulative_passing(RETAINED, PAN)
    # exact: the same curve, listed from the finest up
    assert sieve_yield(1, OPENINGS[::-1], passing[::-1], 0.150e-3, 2e-3) == sieve_yield(
        1, OPENINGS, passing, 0.150e-3, 2e-3
    )


def test_between_sieves_a_straight_line_over_the_logarithm():
    # exact: 2 mm is midway between 1 and 4 mm on a logarithmic scale, so half of 0.2 to 0.8
    result = sieve_yield(1, [1e-3, 4e-3], [0.2, 0.8], 1e-3, 2e-3)
    assert (result.fines, result.kept, result.chunks) == pytest.approx((0.2, 0.3, 0.5), rel=1e-12)


def test_two_batches_and_three_fine_sieves():
    result = sieve_yield([[1.0], [2.0]], OPENINGS, cumulative_passing(RETAINED, PAN), OPENINGS[3:6], 2e-3)
    # hand: of 729 g 540, 400, 278 g fall through No. 40, 60, 80; 689 g pass No. 10
    share = (689 - np.array([540, 400, 278])) / 729
    np.testing.assert_allclose(result.kept, [share, 2 * share], rtol=1e-12)


@settings(deadline=None, max_examples=60)
@given(st.floats(0.075e-3, 4e-3), st.floats(0.075e-3, 4.75e-3), st.floats(0.01, 5))
def test_sieving_loses_nothing(one, other, mass):
    fine, coarse = sorted([one, other])
    if fine == coarse:
        return
    result = sieve_yield(mass, OPENINGS, cumulative_passing(RETAINED, PAN), fine, coarse)
    # exact: three parts make the batch, none negative
    assert result.fines + result.kept + result.chunks == pytest.approx(mass, rel=1e-12)
    assert min(result.fines, result.kept, result.chunks) >= -1e-12


@settings(deadline=None, max_examples=60)
@given(st.floats(2e-3, 0.02), st.floats(0.2, 1.0), st.floats(0.01, 0.1))
def test_drawing_a_stringer_keeps_the_glass(rod, ratio, length):
    stringer = rod * ratio
    # exact: both cylinders hold the same glass
    drawn = stringer_length(rod, length, stringer)
    if drawn <= 2:
        assert cylinder(stringer / 2, drawn) == pytest.approx(cylinder(rod / 2, length), rel=1e-12)


def test_half_the_diameter_is_four_times_the_length():
    # exact: (D/d)^2 = 4; hand: a tenth lost leaves 0.36 m of 0.4 m
    assert stringer_length(6e-3, 0.1, 3e-3) == pytest.approx(0.4, rel=1e-14)
    assert stringer_length(6e-3, 0.1, 3e-3, 0.1) == pytest.approx(0.36, rel=1e-14)


# ---------------------------------------------------------------------------------------------- bad input


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (
            lambda: box(0.24, 0.18, 6),
            "height is 6 m; allowed is above 0 to 2 m. Did you mean 6 mm, that is 0.006 m?",
        ),
        (lambda: box(0.24, -0.18, 0.006), "width is -0.18 m; allowed is above 0 to 2 m"),
        (lambda: box(nan, 0.18, 0.006), "length is nan m; allowed is above 0 to 2 m"),
        (lambda: box("long", 0.18, 0.006), "length must be a number in m, got 'long'"),
        (lambda: box("0.24", 0.18, 0.006), "length must be a number in m, got '0.24'"),
        (lambda: box(True, 0.18, 0.006), "length must be a number in m, got True"),
        (lambda: box(["0.24"], 0.18, 0.006), "length must be a number in m, got ['0.24']"),
        (lambda: cylinder(0.0, 0.1), "radius is 0 m; allowed is above 0 to 2 m"),
        (lambda: cylinder([0.1, inf], 0.1), "radius is inf m; allowed is above 0 to 2 m"),
        (
            lambda: frustum(30, 0.06, 0.09),
            "bottom_radius is 30 m; allowed is 0 to 2 m. Did you mean 30 mm, that is 0.03 m?",
        ),
        (lambda: cylinder(0.05, 0.08, fill=0.09), "fill is 0.09 m, above the brim at 0.08 m"),
        (lambda: cylinder(0.05, 0.08, fill=[0.01, 0.10]), "fill is 0.1 m, above the brim at 0.08 m"),
        (lambda: spherical_cap(0.05, 0.02, fill=-0.01), "fill is -0.01 m; allowed is 0 to 2 m"),
        (lambda: revolve(*CUP, fill=0.061), "fill is 0.061 m, above the brim at 0.06 m"),
        (
            lambda: revolve([0.1, 0.2, 0.2], [0, 0.1]),
            "radii and heights must be two lists of the same length, two or more, got 3 and 2",
        ),
        (
            lambda: revolve([0.1], [0.1]),
            "radii and heights must be two lists of the same length, two or more, got 1 and 1",
        ),
        (
            lambda: revolve([0.1, 0.2, 0.2], [0, 0.1, 0.05]),
            "heights must rise from the bottom of the profile to its brim",
        ),
        (
            lambda: revolve([0.1, 0.2], [0.1, 0.1]),
            "heights must rise from the bottom of the profile to its brim",
        ),
        (
            lambda: revolve([0.1, 0.0, 0.2], [0, 0.1, 0.2]),
            "radii may be 0 only at the first or the last point: elsewhere the profile is pinched off",
        ),
        (
            lambda: revolve([0.0, 0.0], [0, 0.1]),
            "radii may be 0 only at the first or the last point: elsewhere the profile is pinched off",
        ),
        (
            lambda: fill_height(300e-6, box, 0.1, 0.1, 0.025),
            "volume is 300 cm3, but the mould holds 250 cm3 up to its brim: 50 cm3 do not fit",
        ),
        (
            lambda: fill_height([100e-6, 300e-6], revolve, [0.05, 0.05], [0, 0.02]),
            # hand: pi x 25 x 2 = 157.1 cm3
            "volume is 300 cm3, but the mould holds 157.1 cm3 up to its brim: 142.9 cm3 do not fit",
        ),
        (
            lambda: fill_height(250, box, 0.1, 0.1, 0.025),
            "volume is 250 m3; allowed is 0 to 0.1 m3. Did you mean 250 cm3, that is 0.00025 m3?",
        ),
        (lambda: fill_height(-1e-6, box, 0.1, 0.1, 0.025), "volume is -1e-06 m3; allowed is 0 to 0.1 m3"),
        (
            lambda: fill_height(1e-6, "box", 0.1, 0.1, 0.025),
            "shape must be one of the functions box, cylinder, frustum, spherical_cap, revolve, "
            "without quotes, got 'box'",
        ),
        (
            lambda: glass_mass(250e-6, 2.5),
            "density is 2.5 kg/m3; allowed is 2000 to 7000 kg/m3. "
            "Did you mean 2.5 g/cm3, that is 2500 kg/m3?",
        ),
        (
            lambda: sheet_mass(0.04, 3, 2500),
            "thickness is 3 m; allowed is 0.0003 to 0.15 m. Did you mean 3 mm, that is 0.003 m?",
        ),
        (
            lambda: sheet_mass(432, 0.003, 2500),
            "area is 432 m2; allowed is 0 to 4 m2. Did you mean 432 cm2, that is 0.0432 m2?",
        ),
        (
            lambda: frit_volume(412, 2500, 0.5),
            "mass is 412 kg; allowed is 0 to 300 kg. Did you mean 412 g, that is 0.412 kg?",
        ),
        (
            lambda: frit_volume(0.4, 2500, 0.8),
            "packing is 0.8; allowed is 0.2 to 0.74. "
            "Poured frit packs at 0.45 to 0.60; equal balls stacked by hand at 0.74",
        ),
        (
            lambda: frit_volume(0.4, 2500, 55),
            "packing is 55; allowed is 0.2 to 0.74. Did you mean 55 %, that is 0.55?",
        ),
        (
            lambda: frit_packing("equal balls, shaken hard"),
            'there is no frit called "equal balls, shaken hard". Did you mean "equal balls, shaken"? '
            'There are: "crushed glass, poured", "frit of one grain size, tapped", '
            '"frit of mixed sizes, tapped", '
            '"equal balls, poured", "equal balls, shaken"',
        ),
        (lambda: reservoir_volume(nan, 1e-3), "loose_volume is nan m3; allowed is 0 to 0.1 m3"),
        (lambda: fillings(1e-4, 0.0, 0.5), "mould_volume is 0 m3; allowed is above 0 to 0.1 m3"),
        (
            lambda: fillings(3e-4, 2e-4, 0.5),
            "glass_volume is 300 cm3, but the mould holds 200 cm3 up to its brim: 100 cm3 do not fit",
        ),
        (lambda: cost(0.5, -1), "price is -1 money/kg; allowed is 0 to 1e+06 money/kg"),
        (
            lambda: mass_from_wax(0.1, 0.96, 2500),
            "wax_density is 0.96 kg/m3; allowed is 800 to 1200 kg/m3. "
            "Did you mean 0.96 g/cm3, that is 960 kg/m3?",
        ),
        (
            lambda: mass_from_water(0.1, 2500, 1),
            "water_density is 1 kg/m3; allowed is 980 to 1000 kg/m3. "
            "Did you mean 1 g/cm3, that is 1000 kg/m3?",
        ),
        (
            lambda: mass_by_displacement(750e-6, 500e-6, 2500),
            "reading_after is below reading_before, but a model under water raises the level. "
            "Were the two swapped?",
        ),
        (
            lambda: texture_mass(0.04, 2, 0.5, 0.5, 2500),
            "grain is 2 m; allowed is 2e-05 to 0.02 m. Did you mean 2 mm, that is 0.002 m?",
        ),
        (
            lambda: texture_mass(0.04, 2e-3, 60, 0.5, 2500),
            "coverage is 60; allowed is 0 to 1. Did you mean 60 %, that is 0.6?",
        ),
        (lambda: added_thickness(0.1, 0, 2500), "area is 0 m2; allowed is above 0 to 4 m2"),
        (lambda: cumulative_passing([0, 0], 0), "retained and pan are all 0 kg: nothing was sieved"),
        (lambda: cumulative_passing([0.1, -0.1], 0), "retained is -0.1 kg; allowed is 0 to 300 kg"),
        (
            lambda: sieve_yield(1, [1e-3, 2e-3], [0.5], 1e-3, 2e-3),
            "openings and passing must be two lists of the same length, two or more, got 2 and 1",
        ),
        (
            lambda: sieve_yield(1, [1e-3, 1e-3], [0.5, 0.6], 1e-3, 2e-3),
            "openings holds the same opening twice",
        ),
        (
            lambda: sieve_yield(1, [1e-3, 2e-3], [0.5, 0.2], 1e-3, 2e-3),
            "passing falls from a smaller to a larger opening, but a larger opening lets more through. "
            "Are these the shares that stayed on each sieve? Then use cumulative_passing.",
        ),
        (
            lambda: sieve_yield(1, [1e-3, 2e-3], [20, 80], 1e-3, 2e-3),
            "passing is 20; allowed is 0 to 1. Did you mean 20 %, that is 0.2?",
        ),
        (
            lambda: sieve_yield(1, [1e-3, 2e-3], [0.2, 0.8], 0.5e-3, 2e-3),
            "fine is 0.0005 m; allowed is 0.001 to 0.002 m",
        ),
        (
            lambda: sieve_yield(1, [1e-3, 2e-3], [0.2, 0.8], 2e-3, 1e-3),
            "fine must be a smaller opening than coarse. Were the two swapped?",
        ),
        (
            lambda: stringer_length(1e-3, 0.1, 6e-3),
            "stringer_diameter is above rod_diameter, but drawing makes glass thinner. Were the two swapped?",
        ),
        (
            lambda: stringer_length(6, 0.1, 1e-3),
            "rod_diameter is 6 m; allowed is above 0 to 0.05 m. Did you mean 6 mm, that is 0.006 m?",
        ),
    ],
)
def test_bad_input_gets_a_sentence(call, sentence):
    with pytest.raises(ValueError) as caught:
        call()
    assert str(caught.value) == sentence


def test_every_argument_refuses_nan():
    good = {
        box: (0.1, 0.1, 0.1),
        cylinder: (0.1, 0.1),
        frustum: (0.1, 0.1, 0.1),
        spherical_cap: (0.1, 0.1),
        glass_mass: (1e-4, 2500),
        sheet_mass: (0.1, 0.003, 2500),
        frit_volume: (1, 2500, 0.5),
        reservoir_volume: (1e-3, 1e-3),
        fillings: (1e-4, 1e-3, 0.5),
        cost: (1, 20),
        mass_from_wax: (0.1, 960, 2500),
        mass_from_water: (0.1, 2500, 998),
        mass_by_displacement: (1e-4, 2e-4, 2500),
        texture_mass: (0.1, 0.001, 0.5, 0.5, 2500),
        added_thickness: (0.1, 0.1, 2500),
        stringer_length: (0.006, 0.1, 0.001, 0.1),
    }
    for function, arguments in good.items():
        function(*arguments)
        for i in range(len(arguments)):
            spoilt = [nan if j == i else a for j, a in enumerate(arguments)]
            with pytest.raises(ValueError, match="is nan"):
                function(*spoilt)


def test_unknown_sieve_is_not_guessed():
    with pytest.raises(
        ValueError, match=r'there is no sieve called "No\. 21"\. Did you mean "No\. .*There are: "No\. 4"'
    ):
        sieve_opening("No. 21")


def test_results_are_frozen():
    result = SieveYield(0.1, 0.7, 0.2)
    with pytest.raises(AttributeError):
        result.kept = 1.0
