"""Volumes, weights, frit, texture, sieves, against exact geometry, integration, handbooks and standards."""

from itertools import pairwise
from math import inf, nan, pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq
from shapely.geometry import Polygon

from kilncalc.volume import (
    WATER_DENSITY,
    SieveYield,
    added_thickness,
    box,
    charge_mass,
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
    measuring_error,
    reservoir_volume,
    revolve,
    sheet_mass,
    sieve_opening,
    sieve_yield,
    spherical_cap,
    stringer_length,
    texture_mass,
    volume_by_weighing,
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


def test_archimedes_cone_half_ball_cylinder_are_one_two_three():
    r = 0.07
    # exact: Archimedes, On the Sphere and Cylinder I 34: cone, half ball, cylinder of equal base and height
    unit = pi * r**3 / 3
    assert frustum(0.0, r, r) == pytest.approx(1 * unit, rel=1e-14)
    assert spherical_cap(r, r) == pytest.approx(2 * unit, rel=1e-14)
    assert cylinder(r, r) == pytest.approx(3 * unit, rel=1e-14)


def test_frustum_is_a_cone_less_its_tip():
    # exact: cone of radius 60, height 180 less the tip of radius 30, height 90
    assert frustum(0.03, 0.06, 0.09) == pytest.approx(pi / 3 * (0.06**2 * 0.18 - 0.03**2 * 0.09), rel=1e-14)


def test_frustum_beats_the_mean_radius_by_the_amount_stated():
    # exact: pi h (r2 - r1)^2 / 12
    excess = frustum(0.03, 0.06, 0.09) - cylinder(0.045, 0.09)
    assert excess == pytest.approx(pi * 0.09 * 0.03**2 / 12, rel=1e-12)


def test_bowl_by_its_rim():
    a, h = 0.10, 0.02
    # exact: pi h (3 a^2 + h^2) / 6, the cap in terms of its rim
    assert spherical_cap(a, h) == pytest.approx(pi * h * (3 * a**2 + h**2) / 6, rel=1e-14)


def test_whole_ball_but_for_a_pinhole():
    # exact: 4/3 pi R^3; rim radius 1 um on a ball of radius 50 mm leaves out less than 1e-15
    assert spherical_cap(1e-6, 0.1) == pytest.approx(4 / 3 * pi * 0.05**3, rel=1e-8)


def test_turned_profile_by_pappus():
    radii, heights = CUP
    half = Polygon([(0, heights[0]), *zip(radii, heights, strict=True), (0, heights[-1])])
    # exact: Pappus and Guldin, V = 2 pi x_centroid A, area and centroid by shapely
    assert revolve(radii, heights) == pytest.approx(2 * pi * half.centroid.x * half.area, rel=1e-12)


def test_turned_profile_counts_from_its_lowest_point():
    radii, heights = CUP
    raised = [z + 0.7 for z in heights]
    # exact: moving a mould up changes nothing
    assert revolve(radii, raised, fill=0.041) == pytest.approx(revolve(radii, heights, fill=0.041), rel=1e-12)


def test_ball_measured_at_points_has_the_error_stated():
    z = np.linspace(0, 1, 11) * 0.05
    r = np.sqrt(0.05**2 - (0.05 - z) ** 2)
    short = 1 - revolve(r, z) / spherical_cap(0.05, 0.05)
    # exact: in a step of rise h the ball's r^2 bulges over the straight line between its ends by h^3/6 when
    # integrated, and a straight r stays below a straight r^2 by (dr)^2 h/6
    steps = np.diff(r)
    expected = (pi * 10 * 0.005**3 / 6 + pi * 0.005 * (steps**2).sum() / 6) / (2 / 3 * pi * 0.05**3)
    assert short == pytest.approx(expected, rel=1e-9)
    # hand: first term 1/400 = 0.25 %; second (sum of dr^2)/(4 n R^2): dr^2 = 0.19 R^2 in the lowest step
    # alone and 0.2466 R^2 in all, 0.62 %; together 0.87 %
    assert short == pytest.approx(0.0087, rel=0.01)


def _area(shape, sizes, z):
    """Area of the cross-section at height z, from the shape's definition and not from its volume."""
    if shape is box:
        return sizes[0] * sizes[1]
    if shape is cylinder:
        return pi * sizes[0] ** 2
    if shape is frustum:
        return pi * (sizes[0] + (sizes[1] - sizes[0]) * z / sizes[2]) ** 2
    if shape is spherical_cap:
        ball = (sizes[0] ** 2 + sizes[1] ** 2) / (2 * sizes[1])
        return pi * z * (2 * ball - z)
    return pi * np.interp(z, sizes[1], sizes[0]) ** 2


def _integral(shape, sizes, level):
    corners = [c for c in np.unique(sizes[1]) if 0 < c < level] if shape is revolve else []
    edges = [0.0, *corners, level]
    # inside each interval only, so that a step belongs to neither side
    return sum(
        quad(lambda z: _area(shape, sizes, z), a + 1e-12, b - 1e-12, epsabs=0, epsrel=1e-11)[0]
        for a, b in pairwise(edges)
    )


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("share", [0.07, 0.5, 0.93, 1.0])
def test_volume_up_to_a_level_by_integration(name, share):
    shape, sizes = SHAPES[name]
    level = share * np.max(sizes[-1])
    # exact: integral of the cross-section, by scipy's quad
    assert shape(*sizes, fill=level) == pytest.approx(_integral(shape, sizes, level), rel=1e-8)


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("share", [0.02, 0.4, 0.85])
def test_level_for_a_volume_by_root_finding(name, share):
    shape, sizes = SHAPES[name]
    brim = float(np.max(sizes[-1]))
    volume = share * _integral(shape, sizes, brim)
    # exact: root of the integrated cross-section, by scipy's brentq
    level = brentq(lambda h: _integral(shape, sizes, h) - volume, 1e-9, brim, xtol=1e-13)
    assert fill_height(volume, shape, *sizes) == pytest.approx(level, rel=1e-7)


@pytest.mark.parametrize("name", SHAPES)
def test_empty_and_full(name):
    shape, sizes = SHAPES[name]
    # exact: nothing fills to 0, the whole volume to the brim
    assert fill_height(0.0, shape, *sizes) == 0.0
    assert shape(*sizes, fill=0.0) == 0.0
    assert fill_height(shape(*sizes), shape, *sizes) == pytest.approx(np.max(sizes[-1]), rel=1e-7)


def test_full_to_the_brim_after_going_through_a_mass():
    full = glass_mass(frustum(0.03, 0.06, 0.09), 2470)
    # exact: the brim; dividing by the density leaves a last bit over, which is no overflow
    assert fill_height(full / 2470 * (1 + 1e-15), frustum, 0.03, 0.06, 0.09) == pytest.approx(0.09, rel=1e-12)


def test_rounding_at_the_brim_of_a_whole_ball():
    # exact: the top of the ball; half a part in 1e9 too much is rounding, and no angle has a sine above 1
    too_much = spherical_cap(1e-6, 0.1) * (1 + 5e-10)
    assert fill_height(too_much, spherical_cap, 1e-6, 0.1) == pytest.approx(0.1, rel=1e-4)


def test_level_is_accurate_from_a_drop_to_the_brim():
    levels = np.array([1e-8, 1e-6, 1e-4, 1e-2, 0.0199])
    volumes = spherical_cap(0.10, 0.02, fill=levels)
    # exact: round trip; the bowl's cubic loses its digits near the bottom unless written with sines
    np.testing.assert_allclose(fill_height(volumes, spherical_cap, 0.10, 0.02), levels, rtol=1e-12)


# ------------------------------------------------------------------------------------- shapes: properties

size = st.floats(1e-3, 0.15)
part = st.floats(0.001, 1.0)


@st.composite
def moulds(draw):
    shape = draw(st.sampled_from([box, cylinder, frustum, spherical_cap, revolve]))
    if shape is revolve:
        rises = draw(st.lists(st.just(0.0) | st.floats(1e-4, 0.05), min_size=1, max_size=6))
        rises.append(draw(st.floats(1e-4, 0.05)))
        radii = draw(st.lists(size, min_size=len(rises) + 1, max_size=len(rises) + 1))
        return shape, (np.array(radii), np.concatenate([[0.0], np.cumsum(rises)]))
    return shape, tuple(draw(size) for _ in range({box: 3, cylinder: 2, frustum: 3, spherical_cap: 2}[shape]))


@settings(deadline=None, max_examples=150)
@given(moulds(), part)
def test_filling_a_volume_and_measuring_it_again(mould, share):
    shape, sizes = mould
    volume = share * shape(*sizes)
    # exact: round trip
    assert shape(*sizes, fill=fill_height(volume, shape, *sizes)) == pytest.approx(volume, rel=1e-9)


@settings(deadline=None, max_examples=150)
@given(moulds(), part, part)
def test_more_glass_stands_higher(mould, one, other):
    shape, sizes = mould
    brim = float(np.max(sizes[-1]))
    low, high = sorted([one, other])
    # exact: every level adds glass (equal only when the levels are)
    volumes = [shape(*sizes, fill=s * brim) for s in (low, high)]
    assert volumes[0] <= volumes[1]
    if high - low > 1e-3:
        assert volumes[0] < volumes[1]
    assert fill_height(volumes[0], shape, *sizes) <= fill_height(volumes[1], shape, *sizes) * (1 + 1e-12)


@settings(deadline=None, max_examples=100)
@given(moulds(), part, st.floats(0.2, 5.0))
def test_scaling(mould, share, k):
    shape, sizes = mould
    level = share * float(np.max(sizes[-1]))
    larger = [k * np.asarray(x) for x in sizes]
    # exact: twice as long in every direction is eight times the volume
    assert shape(*larger, fill=k * level) == pytest.approx(k**3 * shape(*sizes, fill=level), rel=1e-9)


@settings(deadline=None, max_examples=100)
@given(size, size, size, part)
def test_one_step_of_a_profile_is_a_frustum(r1, r2, h, share):
    # exact: the same body described twice; and cut in two at any height
    whole = frustum(r1, r2, h)
    assert revolve([r1, r2], [0, h]) == pytest.approx(whole, rel=1e-12)
    middle = r1 + (r2 - r1) * share / 2
    assert revolve([r1, middle, r2], [0, share / 2 * h, h]) == pytest.approx(whole, rel=1e-12)
    # exact: upside down it holds the same
    assert frustum(r2, r1, h) == pytest.approx(whole, rel=1e-12)


# ------------------------------------------------------------------------------------ floats and arrays


def test_numbers_in_number_out():
    results = [
        box(0.1, 0.1, 0.1),
        cylinder(0.1, 0.1, fill=0.05),
        frustum(0.1, 0.2, 0.1),
        spherical_cap(0.1, 0.1),
        revolve(*CUP),
        *(fill_height(1e-6, shape, *sizes) for shape, sizes in SHAPES.values()),
        glass_mass(1e-4, 2500),
        sheet_mass(0.1, 0.003, 2500),
        frit_volume(1, 2500, 0.5),
        reservoir_volume(0.002, 0.001),
        fillings(1e-4, 2e-4, 0.5),
        charge_mass(1, 0.1),
        cost(1, 20),
        mass_from_wax(0.1, 960, 2500),
        mass_from_water(0.1, 2500),
        mass_by_displacement(0.001, 0.002, 2500),
        volume_by_weighing(1.0, 0.6),
        measuring_error(glass_mass, (1e-4, 2500), (1e-6, 0)),
        texture_mass(0.01, 0.002, 0.5, 0.5, 2500),
        added_thickness(0.05, 0.04, 2500),
        stringer_length(0.006, 0.1, 0.001),
        sieve_yield(1, [0.001, 0.002], [0.2, 1], 0.001, 0.002).kept,
    ]
    assert [type(r) for r in results] == [float] * len(results)


@pytest.mark.parametrize("name", SHAPES)
def test_arrays_of_levels_and_volumes(name):
    shape, sizes = SHAPES[name]
    levels = np.linspace(0, np.max(sizes[-1]), 12).reshape(3, 4)
    volumes = shape(*sizes, fill=levels)
    # exact: element by element what the single numbers give
    singly = [[shape(*sizes, fill=float(x)) for x in row] for row in levels]
    np.testing.assert_allclose(volumes, singly, rtol=1e-14, atol=0)
    heights = fill_height(volumes, shape, *sizes)
    assert heights.shape == (3, 4)
    np.testing.assert_allclose(heights, levels, rtol=1e-7, atol=1e-12)


def test_dimensions_broadcast():
    radii, heights = np.array([[0.02], [0.03]]), np.array([0.01, 0.02, 0.04])
    volumes = cylinder(radii, heights)
    # exact: pi r^2 h for every pair
    np.testing.assert_allclose(
        volumes, [[pi * r**2 * h for h in (0.01, 0.02, 0.04)] for r in (0.02, 0.03)], rtol=1e-14
    )
    np.testing.assert_allclose(
        fill_height(volumes / 2, cylinder, radii, heights), [heights / 2] * 2, rtol=1e-14
    )
    np.testing.assert_allclose(
        fill_height(frustum(radii, 0.04, heights), frustum, radii, 0.04, heights), [heights] * 2, rtol=1e-12
    )
    np.testing.assert_allclose(
        fill_height(spherical_cap(radii, heights), spherical_cap, radii, heights), [heights] * 2, rtol=1e-7
    )


def test_the_rest_broadcasts_too():
    densities = np.array([2230.0, 2500.0])
    # exact: products and quotients written out
    np.testing.assert_allclose(
        glass_mass([[1e-3], [2e-3]], densities), [[2.23, 2.5], [4.46, 5.0]], rtol=1e-14
    )
    np.testing.assert_allclose(mass_from_wax([0.96, 1.92], 960, 2500), [2.5, 5.0], rtol=1e-14)
    np.testing.assert_allclose(charge_mass(0.6, [0.0, 0.25, 0.5]), [0.6, 0.8, 1.2], rtol=1e-14)
    np.testing.assert_allclose(stringer_length(6e-3, 0.1, [1e-3, 2e-3, 3e-3]), [3.6, 0.9, 0.4], rtol=1e-14)
    np.testing.assert_allclose(reservoir_volume([2e-3, 1e-3, 5e-4], 1e-3), [1e-3, 0.0, 0.0], rtol=1e-14)
    np.testing.assert_allclose(texture_mass(0.04, [1e-3, 2e-3], 0.5, 0.5, 2500), [0.025, 0.05], rtol=1e-14)
    errors = measuring_error(glass_mass, ([1e-4, 2e-4], 2500), ([1e-6, 4e-6], 0))
    np.testing.assert_allclose(errors, [0.0025, 0.01], rtol=1e-9)


# ------------------------------------------------------------------------------------- glass, sheet, frit


def test_glass_by_the_cubic_inch():
    grams = glass_mass(box(INCH, INCH, INCH), 2500) * 1000
    # published: 2.5 g/cm3 as g/in3 and oz/in3; exact: 2.5 x 2.54^3 = 40.96766, / 28.349523125 = 1.445091
    assert grams == pytest.approx(40.97, rel=1e-4)
    assert grams == pytest.approx(2.5 * 2.54**3, rel=1e-14)
    assert grams / 1000 / OUNCE == pytest.approx(1.445, rel=1e-4)


def test_a_square_metre_of_float_weighs_two_and_a_half_kilograms_a_millimetre():
    # published: EN 572-1, density 2500 kg/m3; common practice: 2.5 kg per square metre and millimetre
    assert sheet_mass(1.0, 4e-3, 2500) == pytest.approx(10.0, rel=1e-14)


def test_sheet_and_box_agree():
    # exact: a sheet is a box
    assert sheet_mass(0.24 * 0.18, 3.2e-3, 2470) == pytest.approx(
        glass_mass(box(0.24, 0.18, 3.2e-3), 2470), rel=1e-14
    )


def test_crushed_glass_by_the_cubic_metre():
    # published: FHWA-RD-97-148, crushed glass 1120 kg/m3 loose (from memory, medium); hand: packing
    # 1120/2500 = 0.448, so 112 kg take up 0.1 m3
    assert frit_volume(112, 2500, 0.448) == pytest.approx(0.1, rel=1e-12)


def test_balls_poured_and_shaken():
    # published: Scott & Kilgour 1969: 0.6366 shaken; Berryman 1983: 0.64 +- 0.02; 0.60 poured (Scott 1960,
    # from memory). Hand: 2500 x 0.60 = 1500, 2500 x 0.6366 = 1591.5 kg/m3
    for packing, heap_density in [(0.60, 1500.0), (0.6366, 1591.5)]:
        assert 10 / frit_volume(10, 2500, packing) == pytest.approx(heap_density, rel=1e-12)


def test_packings_of_the_table():
    # published: FHWA-RD-97-148, 1120 kg/m3 loose (from memory, medium), over 2500 kg/m3 = 0.448
    assert frit_packing("crushed glass, poured") == pytest.approx(1120 / 2500, abs=0.005)
    # published: Berryman 1983, 0.64 +- 0.02
    assert frit_packing("equal balls, shaken") == pytest.approx(0.64, abs=0.02)


def test_densest_packing_of_balls_is_inside_the_range_and_nothing_beyond():
    # exact: face-centred cubic cell of edge a holds 4 balls of radius a/(2 sqrt 2): pi/(3 sqrt 2) = 0.7405
    cell = 4 * (4 / 3 * pi * (1 / (2 * sqrt(2))) ** 3)
    assert frit_volume(1, 2500, 0.74) == pytest.approx(1 / 2500 / 0.74, rel=1e-14)
    assert 0.74 < cell < 0.741
    with pytest.raises(ValueError, match=r"packing is 0.75; allowed is 0.2 to 0.74"):
        frit_volume(1, 2500, 0.75)


def test_level_with_frit_ends_at_its_packing():
    volume = cylinder(0.05, 0.08)
    frit = 2500 * 0.55 * volume
    # exact: in upright walls the glass stands at packing times the height
    assert frit_volume(frit, 2500, 0.55) == pytest.approx(volume, rel=1e-14)
    assert fill_height(frit / 2500, cylinder, 0.05, 0.08) == pytest.approx(0.55 * 0.08, rel=1e-12)


def test_reservoir_holds_what_stands_above_the_brim():
    mould = frustum(0.03, 0.06, 0.09)
    heap = frit_volume(glass_mass(mould, 2500), 2500, 0.5)
    # exact: at packing 0.5 a full mould needs a reservoir as large as itself
    assert reservoir_volume(heap, mould) == pytest.approx(mould, rel=1e-12)
    # exact: nothing above the brim
    assert reservoir_volume(mould / 2, mould) == 0.0


def _fired_one_by_one(glass, mould, packing):
    """Fill the free space level and fire, until the glass is in: the workshop's own loop."""
    inside, times = 0.0, 0
    while inside < glass * (1 - 1e-9):
        inside += packing * (mould - inside)
        times += 1
    return times


@settings(deadline=None, max_examples=100)
@given(st.floats(0.0, 0.999), st.floats(0.2, 0.74))
def test_fillings_counted_one_by_one(share, packing):
    counted = _fired_one_by_one(share * 1e-3, 1e-3, packing)
    # exact: geometric series; one apart only where the last filling is full to rounding
    exact = np.log1p(-share) / np.log1p(-packing)
    if abs(exact - round(exact)) > 1e-6 or share == 0:
        assert fillings(share * 1e-3, 1e-3, packing) == counted


@pytest.mark.parametrize(
    ("share", "expected"),
    # hand: packing 0.5 leaves 1/2, 1/4, 1/8 of the space free
    [(0.0, 0), (0.3, 1), (0.5, 1), (0.51, 2), (0.75, 2), (0.875, 3), (0.88, 4)],
)
def test_fillings_at_half(share, expected):
    assert fillings(share * 1e-3, 1e-3, 0.5) == expected


def test_a_mould_full_to_its_brim_is_never_reached_by_level_fillings():
    # exact: the series reaches 1 only in the limit
    assert fillings(1e-3, 1e-3, 0.6) == inf


def test_losing_a_fifth_means_a_quarter_more():
    # hand: 1 / 0.8 = 1.25
    assert charge_mass(1.0, 0.2) == pytest.approx(1.25, rel=1e-14)


def test_cost_of_the_charge():
    # hand: 0.6 kg, 25 % lost, so 0.8 kg at 30 a kilogram
    assert cost(charge_mass(0.6, 0.25), 30) == pytest.approx(24.0, rel=1e-12)


# ------------------------------------------------------------------------------- wax, water, displacement


@pytest.mark.parametrize(
    ("wax_density", "factor"),
    [
        # published: beeswax 958 to 970 kg/m3 at 15 degC (encyclopaedias); hand: 2500/958, 2500/970
        (958, 2.610),
        (970, 2.577),
        # published: paraffin wax 880 to 940 kg/m3 (handbooks); hand: 2500/900
        (900, 2.778),
    ],
)
def test_wax_times_two_and_a_half_to_three(wax_density, factor):
    assert mass_from_wax(0.1, wax_density, 2500) == pytest.approx(0.1 * factor, rel=5e-4)
    # common practice, no source: glass weighs 2.5 to 3 times the wax
    assert 2.5 < mass_from_wax(1.0, wax_density, 2500) < 3.0


def test_water_density_and_how_little_its_temperature_matters():
    # published: water 999.7026, 998.2071, 995.6502 kg/m3 at 10, 20, 30 degC (CRC Handbook, as widely quoted)
    assert pytest.approx(998.2071, rel=1e-5) == WATER_DENSITY
    masses = mass_from_water(0.25, 2500, np.array([999.7026, 995.6502]))
    # hand: (999.7026 - 995.6502)/997.7 = 0.41 %
    assert masses[1] / masses[0] - 1 == pytest.approx(0.0041, rel=0.02)
    assert mass_from_water(0.25, 2500) == mass_from_water(0.25, 2500, 998.2)


def test_wax_water_and_displacement_agree_on_one_model():
    model = frustum(0.02, 0.04, 0.06)
    expected = glass_mass(model, 2500)
    # exact: four ways to the same volume
    assert mass_from_wax(960 * model, 960, 2500) == pytest.approx(expected, rel=1e-14)
    assert mass_from_water(998.2 * model, 2500) == pytest.approx(expected, rel=1e-14)
    assert mass_by_displacement(5e-4, 5e-4 + model, 2500) == pytest.approx(expected, rel=1e-12)
    floating = volume_by_weighing(960 * model, 960 * model - 998.2 * model)
    assert glass_mass(floating, 2500) == pytest.approx(expected, rel=1e-12)


def test_archimedes_finds_the_density_of_float_glass():
    # published: EN 572-1, 2500 kg/m3. Exact: 1 kg in air shows 1 - 998.2/2500 = 0.60072 kg under water
    volume = volume_by_weighing(1.0, 0.60072)
    assert 1.0 / volume == pytest.approx(2500, rel=1e-12)


def test_a_bowl_of_water_on_the_scale():
    # exact: a model of 100 cm3 hung into the bowl raises the scale by 99.82 g
    assert volume_by_weighing(0.09982, 0.0) == pytest.approx(100e-6, rel=1e-12)


def test_error_of_wax_is_relative_errors_squared_and_added():
    wax, rho_wax, rho = 0.096, 960.0, 2500.0
    u = (0.001, 15.0, 10.0)
    # exact: for a product, (u/m)^2 = (1/96)^2 + (15/960)^2 + (10/2500)^2, to second order (15/960)^2
    relative = sqrt((0.001 / wax) ** 2 + (15 / rho_wax) ** 2 + (10 / rho) ** 2)
    m = mass_from_wax(wax, rho_wax, rho)
    assert measuring_error(mass_from_wax, (wax, rho_wax, rho), u) == pytest.approx(m * relative, rel=3e-4)


def test_error_of_a_jug_counts_twice_and_in_full():
    # exact: linear, so u = rho sqrt(2) 5 ml whatever the model's size
    for size_of_model in (50e-6, 400e-6):
        error = measuring_error(mass_by_displacement, (500e-6, 500e-6 + size_of_model, 2500), (5e-6, 5e-6, 0))
        assert error == pytest.approx(2500 * sqrt(2) * 5e-6, rel=1e-9)


def test_error_of_a_radius_counts_double():
    # exact: V goes as r^2 h, to first order 2 u_r / r
    error = measuring_error(cylinder, (0.05, 0.08), (0.0005, 0))
    assert error / cylinder(0.05, 0.08) == pytest.approx(2 * 0.0005 / 0.05, rel=1e-9)


def test_errors_by_throwing_dice():
    throws = np.random.default_rng(710).normal(size=(3, 200_000))
    values, errors = (0.096, 960.0, 2500.0), (0.002, 10.0, 20.0)
    masses = mass_from_wax(*(v + u * t for v, u, t in zip(values, errors, throws, strict=True)))
    # exact: the spread of 200 000 simulated measurements; its own uncertainty is 1/sqrt(400 000) = 0.16 %
    assert measuring_error(mass_from_wax, values, errors) == pytest.approx(masses.std(), rel=0.01)


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

# published: a sieve analysis worked in a geotechnical textbook (question 2.1, read as quoted with its
# solution; the book is one of B. M. Das, from memory, medium): US sieves 4, 10, 20, 40, 60, 80, 100, 200 and
# pan, mass left on each, per cent finer
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


def test_weigh_out_enough_to_keep_what_is_wanted():
    passing = cumulative_passing(RETAINED, PAN)
    kept = sieve_yield(1.0, OPENINGS, passing, 0.250e-3, 0.850e-3).kept
    crush = charge_mass(0.5, 1 - kept)
    # exact: sieving that much leaves the 500 g
    assert sieve_yield(crush, OPENINGS, passing, 0.250e-3, 0.850e-3).kept == pytest.approx(0.5, rel=1e-12)


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
        (lambda: charge_mass(0.5, 10), "loss is 10; allowed is 0 to 0.9. Did you mean 10 %, that is 0.1?"),
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
            lambda: volume_by_weighing(0.4, 0.6),
            "mass_in_water is above mass_in_air, but water carries part of the model. Were they swapped?",
        ),
        (
            lambda: measuring_error(glass_mass, (1e-4, 2500), (1e-6,)),
            "errors must be one for each value: 2 values, 1 errors",
        ),
        (
            lambda: measuring_error(glass_mass, (1e-4, 2500), (-1e-6, 0)),
            "errors[0] is -1e-06; allowed is 0 to inf",
        ),
        (
            lambda: measuring_error(glass_mass, (1e-6, 2500), (2e-6, 0)),
            "values[0] with its error: volume is -1e-06 m3; allowed is 0 to 0.1 m3",
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
        charge_mass: (1, 0.1),
        cost: (1, 20),
        mass_from_wax: (0.1, 960, 2500),
        mass_from_water: (0.1, 2500, 998),
        mass_by_displacement: (1e-4, 2e-4, 2500),
        volume_by_weighing: (1.0, 0.6, 998),
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
