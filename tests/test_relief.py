"""The firing of a thickness map against zones, published fields, our own prototype, hand and balance."""

from collections import Counter
from dataclasses import replace
from math import pi

import numpy as np
import pytest
from finite_elements import raised_tile_stress, sheet_stress
from PIL import Image
from relief_features import PLACES, REFERENCE, Feature, cases, not_fitted_to, stored
from scipy.ndimage import uniform_filter

from kilncalc import _plate, laying
from kilncalc import relief as maps
from kilncalc._heat import exchange_coefficient
from kilncalc._plate import Plate
from kilncalc._relaxation import WEIGHTS, Relaxation
from kilncalc.firing import Kiln, fire
from kilncalc.materials import glass
from kilncalc.piece import Piece, ReliefMap, Zone
from kilncalc.relief import _constriction, averaged
from kilncalc.schedule import Schedule, Segment
from kilncalc.writing import check_schedule, write_schedule

HEATED = Schedule((Segment(150, 520),))
WHOLE = Schedule(
    (Segment(180, 650, 25), Segment(280, 790, 12), Segment(600, 514, 45), Segment(95, 420), Segment(180, 20))
)


def rib(side, cells, base, added, width, rows=None):
    return laying.lay(
        side,
        (rows or cells) * side / cells,
        base,
        [laying.rectangle((side - width) / 2, -0.1, width, 1.0, added)],
        side / cells,
    ).map


def spot(side, cells, base, added, radius):
    return laying.lay(
        side, side, base, [laying.disc(side / 2, side / 2, 2 * radius, added)], side / cells
    ).map


def fired(relief, schedule=HEATED, support="open", bending="free", kiln=None, **keywords):
    return fire(schedule, Piece(REFERENCE, relief, support, bending), kiln or Kiln(), **keywords)


def test_a_uniform_map_is_a_uniform_slab():
    # own prototype, two independent codes: 6 mm on a shelf, free: heating 0.171, middle +0.127 MPa; 2 %
    course = fired(ReliefMap(np.full((6, 6), 0.006), 0.02), WHOLE, "shelf")
    assert course.peak_tension("heating") == pytest.approx(0.171e6, rel=0.02)
    assert course.residual.peak == pytest.approx(0.127e6, rel=0.03)
    # the zone model of the same slab, by another discretisation
    zones = fire(WHOLE, Piece(REFERENCE, [Zone(0.006, 1.0)]), Kiln())
    assert course.peak_tension("heating") == pytest.approx(zones.peak_tension("heating"), rel=0.02)
    assert course.residual.peak == pytest.approx(float(zones.residual.max()), rel=0.03)


@pytest.mark.parametrize(
    ("relief", "bending", "wanted"),
    [
        # own prototype, 3 %
        (lambda: rib(0.15, 60, 0.003, 0.006, 0.020), "flat", 3.20e6),
        (lambda: rib(0.15, 60, 0.003, 0.006, 0.020), "free", 4.74e6),
        (lambda: spot(0.15, 60, 0.003, 0.003, 0.015), "flat", 1.47e6),
        (lambda: spot(0.15, 60, 0.003, 0.003, 0.015), "free", 1.70e6),
    ],
)
def test_ribs_and_spots_of_the_check_cases(relief, bending, wanted):
    course = fired(relief(), bending=bending)
    assert course.peak_tension("heating") == pytest.approx(wanted, rel=0.03)
    assert course.heat_in == pytest.approx(course.heat_stored, rel=0.002)  # exact: energy balance


def test_zones_without_a_width_are_an_upper_bound():
    # a broad band along a tile is pulled along only, zones both ways: 1 - nu, and the rims give way
    relief = laying.lay(0.6, 0.6, 0.003, [laying.rectangle(0.15, 0, 0.3, 0.6, 0.003)], 0.02).map
    course = fired(relief, bending="flat")
    zones = fire(HEATED, Piece(REFERENCE, [Zone(0.003, 0.5), Zone(0.006, 0.5)], "open", "flat"), Kiln())
    bound = zones.peak_tension("heating")
    assert 0.5 * bound < course.peak_tension("heating") <= bound


@pytest.mark.slow
def test_in_the_open_a_fine_line_suffers_a_fraction_of_a_broad_band():
    # own prototype: 200 mm tile, 3 mm base, +3 mm: 2 mm wide 0.54, 40 mm 3.43 MPa
    fine, broad = (fired(rib(0.2, 100, 0.003, 0.003, width)) for width in (0.002, 0.040))
    assert broad.peak_tension("heating") == pytest.approx(3.43e6, rel=0.05)
    assert fine.peak_tension("heating") == pytest.approx(0.54e6, rel=0.10)
    # the claim of lesson 4b: in the open a seventh
    assert 0.10 < fine.averaged_peak("heating") / broad.averaged_peak("heating") < 0.25


def test_the_averaged_peak_converges():
    coarse, fine = (fired(rib(0.15, cells, 0.003, 0.006, 0.020), bending="flat") for cells in (40, 80))
    assert coarse.averaged_peak("heating") == pytest.approx(fine.averaged_peak("heating"), rel=0.03)


def test_walls_that_exchange_heat_help_a_narrow_rib_more_than_a_broad_one():
    def without_to_with(width, added):
        relief = rib(0.2, 40, 0.003, added, width)
        with_walls, without = (fired(relief, walls=walls).peak_tension("heating") for walls in (True, False))
        return without / with_walls

    # own prototype: left out, walls overstate a rib 10 mm wide and 6 mm high by 67 %
    assert without_to_with(0.010, 0.006) == pytest.approx(1.67, rel=0.05)
    # own prototype: one of 3 mm by about a quarter, a broad one by 6 % at most
    assert 0.2 < 1 - 1 / without_to_with(0.010, 0.003) < 0.35
    assert -0.005 < 1 - 1 / without_to_with(0.040, 0.003) < 0.065
    assert -0.005 < 1 - 1 / without_to_with(0.040, 0.006) < 0.065


def test_paper_over_a_part_holds_its_heat_back():
    plain = np.full((20, 20), 0.006)
    paper = np.zeros_like(plain)
    paper[:, 8:12] = 0.009
    bare, covered = (fired(ReliefMap(plain, 0.0075, above=above)) for above in (None, paper))
    assert covered.peak_tension("heating") > 5 * bare.peak_tension("heating")


def test_paper_under_a_part_holds_heat_back_from_below():
    plain = np.full((20, 20), 0.006)
    paper = np.zeros_like(plain)
    paper[:, 8:12] = 0.009
    bare, lined = (fired(ReliefMap(plain, 0.0075, below=below)) for below in (None, paper))
    assert lined.peak_tension("heating") > 5 * bare.peak_tension("heating")


def test_a_spot_that_wants_to_grow_in_a_large_plate():
    # published: Lame; a round spot that wants to be larger by eps: inside -E eps/2 both ways, outside a hoop
    # tension of E eps/2 (r0/r)^2
    cells, side, radius, eps, modulus = 80, 0.4, 0.03, 1e-4, 70e9
    plate = Plate(np.full((cells, cells), 0.004), side / cells, modulus, 0.22, bends=False)
    x = (np.arange(cells) + 0.5) * side / cells - side / 2
    r = np.hypot(*np.meshgrid(x, x)).ravel()
    wants = eps * (r < radius)
    held = np.zeros((plate.rows, cells**2))
    held[[0, 1]] = -modulus / (1 - 0.22) * wants
    answer, _ = plate.spring(held)
    stress = (held + answer)[:3].T
    inside = stress[r < radius / 2]
    assert inside[:, 0].mean() == pytest.approx(-modulus * eps / 2, rel=0.03)
    ring = (r > 1.8 * radius) & (r < 2.2 * radius)
    hoop = (stress[:, 0] + stress[:, 1]) / 2 + np.hypot((stress[:, 0] - stress[:, 1]) / 2, stress[:, 2])
    # a plate that ends somewhere: the same again for a rim at the radius of a disc of its area
    rim = side / np.sqrt(pi)
    wanted = modulus * eps / 2 * ((radius / r[ring]) ** 2 + (radius / rim) ** 2)
    assert hoop[ring].mean() == pytest.approx(wanted.mean(), rel=0.02)


def test_a_plate_with_a_gradient_bends_freely_and_is_stressed_when_it_varies_in_thickness():
    # exact: a uniform plate takes a temperature that is a straight line through it without stress
    plate = Plate(np.full((8, 8), 0.006), 0.01, 70e9, 0.22, bends=True)
    held = np.zeros((plate.rows, 64))
    held[[3, 4]] = -1e6
    answer, _ = plate.spring(held)
    assert np.abs((held + answer)[:6]).max() < 1e-6 * 1e6


@pytest.mark.parametrize("bends", [False, True])
def test_a_tile_that_has_lost_some_of_its_stiffness_in_places(bends):
    # exact: the whole matrix, column by column, solved at once
    rng = np.random.default_rng(16)
    plate = Plate(rng.uniform(0.003, 0.006, (4, 4)), 0.01, 70e9, 0.22, bends=bends)
    share = rng.uniform(0.2, 1.0, 16)
    out_of_balance = rng.normal(0, 1e6, (plate.rows, 16))
    columns = np.array([plate.loads(share * plate.stressed(one)) for one in np.eye(plate.free.size)]).T
    wanted = np.linalg.solve(columns, -plate.loads(out_of_balance))
    still = np.zeros_like(wanted)
    moved, made, energy = plate.answer(out_of_balance, share, still, 0.0)
    assert np.abs(made - plate.stressed(moved)).max() < 1e-9 * np.abs(made).max()
    # a hundredth of the load was left before the last round
    assert np.abs(made - plate.stressed(wanted)).max() < 0.02 * np.abs(made).max()
    # of a guess it is what is left of it; the energy is that of the load as it was at first
    _, made, less = plate.answer(out_of_balance, share, 0.99 * wanted, energy)
    assert np.abs(made - plate.stressed(wanted)).max() < 0.005 * np.abs(made).max()
    whole = np.array([plate.loads(plate.stressed(one)) for one in np.eye(plate.free.size)])
    load = plate.loads(out_of_balance)
    assert energy == pytest.approx(load @ np.linalg.solve(whole, load), rel=1e-6)
    assert less == pytest.approx(1e-4 * wanted @ columns @ np.linalg.solve(whole, columns @ wanted), rel=1e-3)
    # in balance, nothing is answered, however much of all the stiffness is left
    balanced = out_of_balance + share * plate.stressed(wanted)
    again, _, none = plate.answer(0.5 * balanced, np.full(16, 0.3), still, energy)
    assert none < 1e-12 * energy and np.abs(again).max() < 1e-6 * np.abs(wanted).max()


STEPS = (
    "_FIRST_STEP",
    "_COLD_STEP",
    "_SOFT_STEP",
    "_SETTING_STEP",
    "_LIQUID_STEP",
    "_SETTLING",
)


def test_one_step_of_the_structure_follows_the_step_before():
    # exact: a hundred small steps; without what the step before says, a step lags by half of what it changes
    relaxation = Relaxation.of(REFERENCE)

    def cooled(cuts, start, pace=0.0):
        course = np.linspace(500.0, 494.0, cuts + 1)[:, None]
        return relaxation.structure(np.linspace(0, 240.0, cuts + 1), course, start, pace)

    times, course = np.linspace(0, 240.0, 101), np.linspace(506.0, 500.0, 101)[:, None]
    fictive, _, start = relaxation.structure(times, course, np.full((6, 1), 506.0))
    wanted = cooled(100, start.copy())[1].sum()
    with_pace, without = (
        cooled(1, start.copy(), pace)[1].sum() / wanted - 1
        for pace in ((fictive[-1] - fictive[-2]) / 2.4, 0.0)
    )
    assert abs(without) > 0.03 and abs(with_pace) < 0.25 * abs(without)


def cooled_in_steps(step, profile=0.0):
    """6 mm held flat and cooled from 600 to 420 degC at 60 degC/h in such steps."""
    plate = Plate(np.full((3, 3), 0.006), 0.01, 71e9, 0.22, bends=False)

    def fields(mean):
        return np.stack([np.full(9, mean), np.zeros(9), np.full(9, profile)])

    stress, mean = maps._Stress(plate, REFERENCE, np.full(9, 600.0), None), 600.0
    stress.zero = fields(mean)
    while mean > 420:
        mean -= step
        stress.relax(step * 60.0, fields(mean))
    return stress


def test_one_step_of_the_profile_follows_the_step_before():
    # exact: steps of a quarter of a kelvin; without what the step before says, 3 % of what stays is missed
    kept, wanted = (cooled_in_steps(step, profile=4.0).terms.sum(axis=0) for step in (6.0, 0.25))
    assert kept[6] == pytest.approx(wanted[6], rel=0.01)


@pytest.mark.parametrize("underside", [1.0, 0.3])
def test_the_faces_of_glass_and_shelf_go_with_the_glass_while_the_air_climbs(underside):
    # the zone model, whose steps keep an error in check; by radiation alone a face that lags counts most
    kiln, climb, seen = Kiln(film=0.0, underside=underside), Schedule((Segment(600, 600, 30),)), []
    fired(ReliefMap(np.full((3, 3), 0.003), 0.02), climb, "shelf", "flat", kiln=kiln, watch=seen.append)
    zones = fire(climb, Piece(REFERENCE, [Zone(0.003, 1.0)], "shelf", "flat"), kiln)
    mean = np.trapezoid(zones.temperature[:, 0], axis=1) / (zones.temperature.shape[2] - 1)
    apart = [one.temperature[0, 0] - np.interp(one.time, zones.time, mean) for one in seen]
    assert np.abs(apart).max() < 1.0  # of 600 K; a face of the shelf that stays behind makes 1.5


def test_a_step_in_which_no_temperature_changes_says_nothing_of_the_strain_for_a_degree():
    stress = cooled_in_steps(6.0, profile=4.0)
    before = stress.middle.copy()
    now = stress.relax(60.0, stress.zero)
    assert np.isfinite(now).all() and np.array_equal(stress.middle, before)  # exact: nothing is divided by it


def test_one_step_of_the_structure_follows_the_step_before_on_the_map_too():
    # exact: steps of a quarter of a kelvin; without what the step before says it ends 1.1 K lower
    kept, wanted = (cooled_in_steps(step).structure for step in (10.0, 0.25))
    assert WEIGHTS @ kept == pytest.approx(WEIGHTS @ wanted, abs=0.3)


def test_a_solve_of_the_heat_that_does_not_converge_is_done_at_once(monkeypatch):
    relief = rib(0.15, 12, 0.003, 0.003, 0.025)
    usual = fired(relief, bending="flat")
    monkeypatch.setattr(maps, "cg", lambda *_, x0, **__: (x0, 1))
    at_once = fired(relief, bending="flat")
    # exact: the same equations
    assert at_once.heating.temperature == pytest.approx(usual.heating.temperature, abs=1e-3)


def test_a_wall_takes_heat_through_its_face_and_half_a_cell():
    # hand: a block of 3 x 3 cells of 20 mm, 20 mm thick, in its first moment; a face: 1/(1/h + d/6k), a wall:
    # 1/(1/h + cell/2k), of each corner two, of each edge one, as large as a face
    heat = maps._Heat(ReliefMap(np.full((3, 3), 0.02), 0.02), REFERENCE, Kiln(), None, True, 20.0)
    heat.step(1e-3, 100.0)
    k = float(REFERENCE.conductivity(20.0))
    h = float(exchange_coefficient(20.0, 100.0, 5.0, 0.9))
    face, wall = 1 / (1 / h + 0.02 / 6 / k), 1 / (1 / h + 0.02 / 2 / k)
    warmed = (heat.glass - 20.0) / (heat.glass[1, 1] - 20.0)
    assert warmed[0, 0] == pytest.approx((2 * face + 2 * wall) / (2 * face), rel=1e-4)
    assert warmed[0, 1] == pytest.approx((2 * face + wall) / (2 * face), rel=1e-4)


def test_walls_are_where_thicker_glass_stands_beside_thinner():
    thickness = np.full((4, 5), 0.003)
    thickness[1, 1:3] = 0.009
    # hand: 6 mm of step on three sides of each; 3 mm of rim, two of them in a corner; cells of 6 mm
    wanted = np.zeros((4, 5))
    wanted[[0, -1]] += 0.5
    wanted[:, [0, -1]] += 0.5
    wanted[1, 1:3] = 3.0
    assert maps._wall_area(thickness, 0.006) == pytest.approx(wanted)


def test_heat_through_walls_is_counted():
    course = fired(rib(0.1, 10, 0.006, 0.006, 0.020), bending="flat", walls=True)
    assert course.heat_in == pytest.approx(course.heat_stored, rel=0.002)  # exact: energy balance


def test_liquid_glass_keeps_nothing():
    # exact: a firing that ends in the liquid leaves neither stress nor a structure of its own
    course = fired(rib(0.1, 10, 0.003, 0.003, 0.020), Schedule((Segment(150, 790, 30),)), bending="flat")
    assert course.residual.peak == 0 and not course.memory.terms.any()
    assert course.memory.structure == pytest.approx(np.full((6, 100), 790.0), abs=0.5)


def test_phases_part_where_heating_ends_and_stress_runs_on_where_glass_begins_to_relax():
    course = fired(rib(0.15, 15, 0.003, 0.003, 0.020), WHOLE, bending="flat")
    heats = course.time <= course.heating_end
    # exact: the maxima of each part of the course
    assert course.averaged_peak("heating") == course.averaged[heats].max()
    assert course.averaged_peak("cooling") == max(course.averaged[~heats].max(), course.averaged_residual)
    both = course.averaged + course.uneven
    assert course.peak_with_unevenness("heating") == both[heats].max()
    wanted = max(both[~heats].max(), course.averaged_residual)
    assert course.peak_with_unevenness("cooling") == pytest.approx(wanted, rel=1e-9)
    # nothing is lost where the glass is first looked at as relaxing
    up = course.tension[heats & (course.air > 180) & (course.air < 400)]
    assert np.abs(np.diff(up)).max() < 0.1 * course.peak_tension("heating") < up.max()


def test_corners_of_the_programme_and_its_end_are_looked_at():
    schedule = Schedule((Segment(150, 200), Segment(90, 300, 7), Segment(200, 120)))
    course = fired(ReliefMap(np.full((3, 3), 0.006), 0.02), schedule, bending="flat")
    corners, air = course.program
    for moment in corners:
        assert np.abs(course.time - moment).min() < 1e-6 * corners[-1]
    assert course.air[-1] == air[-1] == 120


def test_a_step_of_the_plate_starts_from_the_step_before(monkeypatch):
    relief = rib(0.15, 12, 0.003, 0.003, 0.025)
    loads, answer = Plate.loads, Plate.answer
    counted = []

    def count(plate, stress):
        counted.append(None)
        return loads(plate, stress)

    monkeypatch.setattr(Plate, "loads", count)
    warm = fired(relief, WHOLE, "shelf")
    rounds, counted[:] = len(counted), []
    monkeypatch.setattr(
        Plate, "answer", lambda plate, s, share, guess, e: answer(plate, s, share, 0 * guess, e)
    )
    cold = fired(relief, WHOLE, "shelf")
    assert warm.averaged_residual == pytest.approx(cold.averaged_residual, rel=0.01)
    assert rounds < 0.85 * len(counted)  # it saves a quarter of the work


def any_firing(seed):
    """A map of a few rectangles, perhaps some paper, and a schedule of its thickness: invented."""
    rng = np.random.default_rng(seed)
    rows, columns = rng.integers(6, 14, 2)
    base = rng.choice([0.002, 0.003, 0.006, 0.012, 0.020])
    thickness = np.full((rows, columns), base)
    for _ in range(rng.integers(1, 4)):
        row, column = rng.integers(0, rows - 1), rng.integers(0, columns - 1)
        high, wide = rng.integers(1, rows), rng.integers(1, columns)
        thickness[row : row + high, column : column + wide] += base * rng.choice([0.5, 1, 2])
    above = np.zeros_like(thickness)
    above[: rows // 2, : columns // 2] = 0.004 * (rng.random() < 0.3)
    relief = ReliefMap(thickness, rng.uniform(0.003, 0.020), above=above)
    slower = min(1, 0.003 / base)
    down = None if rng.random() < 0.5 else 150 * slower
    schedule = Schedule(
        (
            Segment(rng.uniform(30, 400) * slower, rng.uniform(300, 450)),
            Segment(rng.uniform(60, 400) * slower, rng.uniform(600, 780), 20),
            Segment(None, 514, rng.uniform(20, 90) / slower),
            Segment(rng.uniform(30, 200) * slower, 380),
            Segment(down, 20),
        )
    )
    piece = Piece(REFERENCE, relief, rng.choice(["open", "shelf"]), rng.choice(["free", "flat"]))
    return schedule, piece, Kiln(cooling_time=rng.choice([None, 3 * 3600.0]), film=rng.uniform(3, 8))


@pytest.mark.parametrize(
    "seed",  # those that once were 3 to 5 % off, and more by hand
    [
        *(pytest.param(n, marks=pytest.mark.slow) for n in (28, 29, 35)),
        *(pytest.param(n, marks=pytest.mark.sweep) for n in range(12)),
    ],
)
def test_peaks_and_what_stays_do_not_hang_on_the_steps(monkeypatch, seed):
    # own numerical error: every step a quarter as long, and the balance kept four times as well (its energy
    # sixteen times)
    firing = any_firing(seed)
    usual = fire(*firing)
    for name in STEPS:
        monkeypatch.setattr(maps, name, getattr(maps, name) / 4)
    monkeypatch.setattr(maps, "_LOOK", 1)
    monkeypatch.setattr(_plate, "_ENOUGH", _plate._ENOUGH / 16)
    finer = fire(*firing)
    for phase in ("heating", "cooling"):
        assert usual.averaged_peak(phase) == pytest.approx(finer.averaged_peak(phase), rel=0.02)
    assert usual.averaged_residual == pytest.approx(finer.averaged_residual, rel=0.01)


def warmed(relief, bending):
    """The strain that a tile wants at the worst moment of heating, from the mean of each cell, and with it
    the stress that the map answers with: rows of `Plate`."""
    cold = fired(relief, bending=bending).heating.temperature
    strain = REFERENCE.expansion * (cold - cold.mean())
    plate = Plate(relief.thickness, relief.cell, 71e9, 0.22, bends=bending == "free")
    held = np.zeros((plate.rows, strain.size))
    held[[0, 1]] = -71e9 / (1 - 0.22) * strain.ravel()
    return strain, held + plate.spring(held)[0]


def test_a_patch_on_a_sheet_held_flat_against_2d_finite_elements():
    relief = laying.lay(0.15, 0.15, 0.003, [laying.rectangle(0.05, 0.05, 0.05, 0.05, 0.003)], 0.005).map
    strain, stress = warmed(relief, "flat")
    # exact up to its own error: scikit-fem, plane stress, second order
    wanted = sheet_stress(relief.thickness, relief.cell, 71e9, 0.22, strain)
    for row in (0, 1):
        ours, theirs = stress[row].reshape(30, 30), wanted[row]
        inner = np.s_[11:19, 11:19]  # a cell away from the step
        assert ours[inner] == pytest.approx(theirs[inner], rel=0.02, abs=0.01 * theirs.max())
        assert ours.max() == pytest.approx(theirs.max(), rel=0.03)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("wide", "high", "shape", "places"),
    [
        # a rib along a long tile: in its middle, and near the step
        (
            0.150,
            0.420,
            laying.rectangle(0.060, 0, 0.030, 0.420, 0.003),
            [(2.5, 2.5), (7.5, 2.5), (2.5, 102.5)],
        ),
        # a square patch
        (0.150, 0.150, laying.rectangle(0.050, 0.050, 0.050, 0.050, 0.003), [(2.5, 2.5), (12.5, 12.5)]),
    ],
)
def test_against_3d_finite_elements(wide, high, shape, places):
    cell = 0.005
    relief = laying.lay(wide, high, 0.003, [shape], cell).map
    strain, stress = warmed(relief, "free")
    rows, columns = relief.shape[0] // 2, relief.shape[1] // 2
    quarter = np.s_[rows:, columns:]
    # exact up to its own error: scikit-fem, three dimensions, second order, upright steps
    wanted = raised_tile_stress(relief.thickness[quarter], cell, 71e9, 0.22, strain[quarter])
    stress = stress.reshape(-1, *relief.shape)
    for x, y in places:
        row, column = rows + int(y / 5), columns + int(x / 5)
        d = relief.thickness[row, column]
        for level in (-0.8, 0.0, 0.8):
            theirs = wanted([[x / 1e3], [y / 1e3], [(level + 1) / 2 * d]])
            for way in (0, 1):
                ours = stress[way, row, column] + level * stress[3 + way, row, column]
                # -2 to +7 % of the peak on seven cases [own]
                assert ours == pytest.approx(theirs[way][0], abs=0.08 * stress[:2].max())


@pytest.mark.parametrize("bending", ["free", "flat"])
def test_no_force_runs_through_a_cut(bending):
    # exact: nothing hangs on the tile; over any straight cut the forces across it add up to none
    relief = laying.lay(0.15, 0.12, 0.003, [laying.rectangle(0.03, 0.02, 0.05, 0.06, 0.003)], 0.006).map
    course = fired(relief, WHOLE, bending=bending)
    stress = course.memory.terms.sum(axis=0).reshape(-1, *relief.shape)
    for way, axis in ((1, 1), (0, 0)):
        force = stress[way] * relief.thickness
        through = np.abs(force.sum(axis=axis))
        assert through.max() < 0.02 * np.abs(force).sum(axis=axis).max()


def test_the_worst_place_is_where_the_map_says():
    course = fired(rib(0.15, 30, 0.003, 0.006, 0.020), bending="flat")
    assert course.tension.max() == course.peak_tension("heating")
    assert course.heating.tension.shape == (30, 30)
    assert course.heating.tension[course.heating.row, course.heating.column] == course.heating.peak


def test_every_moment_can_be_watched():
    relief, seen = rib(0.15, 20, 0.003, 0.006, 0.030), []
    course = fired(relief, bending="flat", watch=seen.append)
    assert [moment.time for moment in seen] == list(course.time[1:])
    assert [max(moment.peak, 0.0) for moment in seen] == list(course.tension[1:])
    # hand: what a moment's map comes to when it is averaged is the course's own averaged tension
    evened = [float(averaged(moment.tension, relief).max()) for moment in seen]
    assert evened == pytest.approx(list(course.averaged[1:]), rel=1e-12)
    assert all(
        moment.tension[moment.row, moment.column] == moment.peak == moment.tension.max() for moment in seen
    )


def test_the_resistance_of_a_step():
    # exact: none where there is no step, and it grows with the step
    assert _constriction(np.array(0.003), np.array(0.003)) == pytest.approx(0, abs=1e-6)
    values = _constriction(np.array([0.003, 0.003]), np.array([0.006, 0.012]))
    assert 0 < values[0] < values[1]


# ------------------------------------------------------------------ narrow features of zones


def read(rows):
    """Cases of `relief_features.csv`, and how many times as high as the map zones read each."""
    return [(one, one.by_zones() / peak) for one, peak in rows]


@pytest.mark.parametrize("every", [5, pytest.param(1, marks=pytest.mark.slow)])
def test_a_feature_width_reads_at_most_a_quarter_high_and_a_tenth_low(every):
    # own prototype: the map of `relief.py`
    kept = set(not_fitted_to())
    rows = [row for row in stored() if row[0].promised and row[0] not in kept]
    assert len(rows) > 560
    assert {one.base for one, _ in rows} == {2, 3, 4, 6, 8, 10} and min(one.width for one, _ in rows) == 2
    count = Counter((one.kind, one.place) for one, _ in rows)
    assert set(count) == set(PLACES) and min(count.values()) > 12
    apart = [(round(ratio, 3), one) for one, ratio in read(rows[::every]) if not 0.90 <= ratio <= 1.25]
    assert not apart


def test_cases_that_it_was_not_fitted_to_read_no_lower():
    kept = set(not_fitted_to())
    ratios = [ratio for _, ratio in read(row for row in stored() if row[0] in kept)]
    assert len(ratios) == 26 and min(ratios) > 0.90
    assert max(ratios) < 1.28 and sum(ratio > 1.25 for ratio in ratios) == 2


def test_what_it_promises_nothing_of():
    """What the texts say of the rest of the table."""
    rest = read(row for row in stored() if not row[0].promised)
    narrow = [r for one, r in rest if one.kind == "rib" and one.place != "inside" and one.across < 100]
    small = [r for one, r in rest if one.kind == "spot" and one.width < 1.6 * one.base]
    others = [r for _, r in rest if r not in (*narrow, *small)]
    assert len(narrow) == 8 and min(narrow) > 0.90 and 1.25 < max(narrow) < 1.5
    assert len(small) == 3 and min(small) > 0.90 and 1.25 < max(small) < 1.9
    assert len(others) > 15 and 0.75 < min(others) < 0.90 and 1.25 < max(others) < 1.45


def test_a_frame_taken_for_ribs_inside_would_be_read_far_too_low():
    # own prototype: the map; why a zone has a place
    frame = next(one for one, _ in stored() if one.place == "frame" and one.across == 150)
    assert replace(frame, place="inside").by_zones() < 0.5 * frame.by_zones()


LIVE = [0, 195, 265, 299, 397, 421, 449, 521, 536, 592, 596]


@pytest.mark.parametrize("number", LIVE)
def test_the_stored_peaks_are_those_of_the_map(number):
    one, peak = stored()[number]
    assert one.on_the_map() == pytest.approx(peak, rel=0.01)  # the map's own steps


@pytest.mark.sweep
def test_all_of_the_stored_peaks_are_those_of_the_map():
    table = stored()
    assert [one for one, _ in table] == list(cases())
    for one, peak in table:
        assert one.on_the_map() == pytest.approx(peak, rel=0.01)


@pytest.mark.parametrize(
    ("along", "across", "width", "wanted"),
    [
        # own prototype: full 3-D finite elements, side walls without exchange; the map: -2 to +7 %
        (600, 200, 40, 4.61),
        (420, 150, 10, 2.16),
        (420, 150, 30, 3.91),
        (420, 150, 60, 3.83),
    ],
)
def test_ribs_on_a_long_tile(along, across, width, wanted):
    rib_along = Feature("rib", across, along, 5, 3, 3, width, 0.5, "open", 150)
    assert rib_along.on_the_map() == pytest.approx(wanted, rel=0.07)
    assert 0.9 < rib_along.by_zones() / wanted < 1.25


# ------------------------------------------------------------------ firing after firing, a written schedule


def test_what_a_firing_leaves_is_there_when_the_next_begins():
    relief = rib(0.15, 15, 0.003, 0.003, 0.020)
    first = fired(relief, WHOLE)
    again = fired(relief, Schedule((Segment(1, 40),)), after=first)
    left = first.residual.peak
    assert left > 0.5e6
    assert again.tension[0] == pytest.approx(left, rel=1e-9)  # exact: the same glass, still cold
    assert again.residual.peak == pytest.approx(left, rel=1e-6)  # exact: too cold to relax
    # exact: a firing through the liquid forgets all
    hot, fresh = fired(relief, WHOLE, after=first), fired(relief, WHOLE)
    assert hot.residual.peak == pytest.approx(fresh.residual.peak, rel=1e-3)
    # while heated, residual and temporary tension meet
    assert hot.tension[0] > fresh.tension[0] == 0


def test_glass_above_its_strain_point_counts_as_not_pulled():
    seen = []
    course = fired(rib(0.15, 15, 0.003, 0.003, 0.020), WHOLE, watch=seen.append)
    soft = [moment.temperature.min() > REFERENCE.strain_point for moment in seen]
    hot = np.array([False, *soft])
    assert hot.sum() > 5
    assert course.tension[hot].max() == course.averaged[hot].max() == course.uneven[hot].max() == 0.0
    assert course.tension[~hot].max() > 1e6 and course.uneven[~hot].max() > 0.1e6


def test_what_stays_counts_with_cooling():
    # an even tile, cooled evenly: nothing pulls it on the way as hard as what stays
    course = fired(ReliefMap(np.full((6, 6), 0.006), 0.02), WHOLE, "shelf")
    assert course.cooling.peak >= course.residual.peak > 0.1e6
    assert course.averaged_peak("cooling") >= course.averaged_residual > 0.1e6


def test_the_structure_is_carried_too():
    # as of zones: a quick firing leaves another structure than the slow cooling that glass comes in with
    tile = ReliefMap(np.full((4, 4), 0.006), 0.02)
    quick = Schedule((Segment(300, 560, 30), Segment(600, 20)))
    slow = Schedule((Segment(60, 440, 60), Segment(60, 20)))
    solid = Piece(REFERENCE, [Zone(0.006, 1.0)], "open", "flat")
    first, zones = fired(tile, quick, bending="flat"), fire(quick, solid, Kiln())
    second, zones = fired(tile, slow, bending="flat", after=first), fire(slow, solid, Kiln(), after=zones)
    assert second.residual.peak == pytest.approx(float(zones.residual.max()), rel=0.05)
    annealed = fired(tile, slow, bending="flat").residual.peak
    assert abs(second.residual.peak / annealed - 1) > 0.5


def test_the_tension_of_an_uneven_kiln_stands_beside():
    tile = ReliefMap(np.full((6, 6), 0.006), 0.02)
    course = fired(tile, Schedule((Segment(150, 300),)))
    # hand: behind a kiln that climbs steadily by R rho c d/(2h), and E alpha u/2 of that is pulled
    zones = fire(Schedule((Segment(150, 300),)), Piece(REFERENCE, [Zone(0.006, 1.0)], "open"), Kiln())
    heats = zones.time <= zones.heating_end
    assert course.uneven.max() == pytest.approx(zones.uneven_tension[heats].max(), rel=0.02)
    both = course.peak_with_unevenness("heating")
    assert both == pytest.approx(zones.peak_with_unevenness("heating"), rel=0.03)
    assert course.ends_hot and "ends hot" in course.warnings("metric")[0]


@pytest.mark.parametrize(
    ("support", "bending", "kiln"),
    [("shelf", "free", Kiln()), ("open", "flat", Kiln(cooling_time=3 * 3600.0))],
)
def test_a_schedule_written_for_a_map_uses_its_limits(support, bending, kiln):
    piece = Piece(REFERENCE, rib(0.15, 12, 0.003, 0.003, 0.025), support, bending)
    schedule = write_schedule(piece, "tack fuse", kiln)
    check = check_schedule(schedule, piece, kiln)
    assert 0.85 <= check.load <= 1.0
    assert 0.85 * 3.5e6 <= check.heating <= 3.5e6
    assert "keeps its limits" in schedule.segments[-1].reason
    # zones as wide as that would be fired more slowly
    as_zones = Piece(REFERENCE, [Zone(0.003, 0.85), Zone(0.006, 0.15)], support, bending)
    assert schedule.segments[0].rate > 1.3 * write_schedule(as_zones, "tack fuse", kiln).segments[0].rate


def tile_with(*shapes, side=0.15, base=0.003, cell=0.01):
    return laying.lay(side, side, base, list(shapes), cell).map


def paper_under(place):
    strip = laying.rectangle(0.05, 0, 0.04, 0.15, 0.006).outline
    return tile_with(laying.Shape(strip, 0.006, "paper", place), base=0.006)


WRITTEN_FOR = {
    "a rib": (lambda: rib(0.15, 30, 0.003, 0.003, 0.010), "open", "flat", "tack fuse", Kiln()),
    "a spot": (lambda: spot(0.15, 15, 0.003, 0.003, 0.015), "open", "free", "slump", Kiln()),
    "a high spot": (lambda: spot(0.2, 20, 0.006, 0.012, 0.030), "shelf", "flat", "slump", Kiln()),
    "a slow kiln": (
        lambda: rib(0.2, 20, 0.006, 0.006, 0.040), "shelf", "free", "full fuse", Kiln(cooling_time=14400.0)
    ),
    "at the side": (
        lambda: tile_with(laying.rectangle(0, 0, 0.02, 0.15, 0.003)), "shelf", "free", "tack fuse", Kiln()
    ),
    "thick": (
        lambda: tile_with(laying.rectangle(0.05, 0.05, 0.06, 0.06, 0.02), side=0.2, base=0.02, cell=0.02),
        "shelf", "free", "tack fuse", Kiln(),
    ),
    "an uneven kiln": (
        lambda: rib(0.15, 12, 0.003, 0.003, 0.025), "shelf", "free", "slump", Kiln(unevenness=0.02)
    ),
    "paper on it": (lambda: paper_under("paper above"), "shelf", "free", "slump", Kiln()),
    "paper under it": (lambda: paper_under("paper below"), "open", "flat", "slump", Kiln()),
    "grains": (
        lambda: tile_with(
            laying.grains(laying.rectangle(0.02, 0.02, 0.06, 0.06, 0.001), 0.004, 0.5),
            side=0.1, base=0.004, cell=0.005,
        ),
        "shelf", "free", "tack fuse", Kiln(),
    ),
    "two halves": (
        lambda: tile_with(laying.rectangle(0.07, 0, 0.08, 0.15, 0.006)),
        "shelf", "free", "tack fuse", Kiln(cooling_time=10800.0),
    ),
    "a thin corner": (
        lambda: tile_with(laying.rectangle(0.1, 0.1, 0.05, 0.05, 0.0015)), "open", "free", "full fuse", Kiln()
    ),
}  # fmt: skip


OFTEN = ("at the side", "paper on it", "grains", "a thin corner")


@pytest.mark.parametrize(
    "name",
    [pytest.param(n, marks=pytest.mark.slow if n in OFTEN else pytest.mark.sweep) for n in WRITTEN_FOR],
)
def test_schedules_written_for_maps_of_many_kinds_use_their_limits_or_say_why_not(name):
    make, support, bending, process, kiln = WRITTEN_FOR[name]
    piece = Piece(REFERENCE, make(), support, bending)
    schedule = write_schedule(piece, process, kiln)
    load = check_schedule(schedule, piece, kiln).load
    says_why = "what sets the rates is practice or the kiln" in schedule.segments[-1].reason
    assert load <= 1.0 and (load >= 0.85) != says_why
    assert says_why == (name == "a thin corner")


def test_a_schedule_that_no_tension_slows_says_so():
    piece = Piece(REFERENCE, ReliefMap(np.full((5, 5), 0.003), 0.02), "open")
    schedule = write_schedule(piece, "slump", Kiln(cooling_time=5 * 3600.0, unevenness=0.02))
    assert check_schedule(schedule, piece, Kiln(cooling_time=5 * 3600.0, unevenness=0.02)).load < 0.85
    assert "what sets the rates is practice or the kiln" in schedule.segments[-1].reason


def test_paper_counts_in_a_schedule_for_a_map():
    above = np.zeros((10, 10))
    above[:, 4:6] = 0.006
    plain, covered = (
        Piece(REFERENCE, ReliefMap(np.full((10, 10), 0.006), 0.015, above=paper)) for paper in (None, above)
    )
    first = [write_schedule(piece, "slump").segments[0].rate for piece in (plain, covered)]
    assert first[1] < 0.7 * first[0]


# ------------------------------------------------------------------ laying


def test_pieces_over_each_other_add_up_and_what_hangs_over_is_cut():
    shapes = [
        laying.rectangle(0.02, 0.02, 0.04, 0.04, 0.003),
        laying.line([(0.0, 0.04), (0.12, 0.04)], 0.01, 0.002),
    ]
    laid = laying.lay(0.1, 0.08, 0.003, shapes, 0.005)
    assert laid.map.shape == (16, 20)
    assert laid.map.thickness.max() == pytest.approx(0.008)  # hand: 3 + 3 + 2 mm
    ((name, area),) = laid.cut
    assert name == "line" and area == pytest.approx(0.02 * 0.01)  # hand: 20 mm of a line 10 mm wide
    volume = (laid.map.thickness - 0.003).sum() * 0.005**2
    assert volume == pytest.approx(0.04**2 * 0.003 + 0.1 * 0.01 * 0.002, rel=1e-9)  # hand


def test_a_disc_and_a_ring_keep_their_volume():
    shapes = [laying.disc(0.05, 0.05, 0.04, 0.003), laying.ring(0.05, 0.05, 0.08, 0.01, 0.002)]
    laid = laying.lay(0.1, 0.1, 0.003, shapes, 0.001)
    volume = (laid.map.thickness - 0.003).sum() * 0.001**2
    # exact: pi r^2 t and pi (R^2 - r^2) t
    assert volume == pytest.approx(pi * 0.02**2 * 0.003 + pi * (0.04**2 - 0.03**2) * 0.002, rel=0.01)


def test_paper_is_laid_on_the_glass_and_under_it():
    strip = laying.rectangle(0.02, 0.0, 0.03, 0.08, 0.004).outline
    shapes = [
        laying.Shape(strip, 0.004, "under", "paper below"),
        laying.Shape(strip, 0.002, "on", "paper above"),
        laying.Shape(strip, 0.001, "on too", "paper above"),
    ]
    laid = laying.lay(0.1, 0.08, 0.003, shapes, 0.01).map
    # hand: columns 2 to 4 of ten; 2 + 1 mm on it
    for paper, thick in ((laid.below, 0.004), (laid.above, 0.003)):
        assert paper[:, 2:5] == pytest.approx(np.full((8, 3), thick)) and paper.sum() == pytest.approx(
            24 * thick
        )
    assert np.ptp(laid.thickness) == 0
    bare = laying.lay(0.1, 0.08, 0.003, [], 0.01).map
    assert bare.above is None and bare.below is None
    # exact: the same as given to the map by hand
    by_hand = ReliefMap(bare.thickness, 0.01, above=laid.above, below=laid.below)
    peaks = [fired(one, bending="flat").averaged_peak("heating") for one in (laid, by_hand)]
    assert peaks[0] == peaks[1] > 5 * fired(bare, bending="flat").averaged_peak("heating")


def test_a_cell_that_a_rim_cuts_takes_its_share():
    # exact: pi r^2; a disc over few cells of 10 mm, off their middles
    shares = laying.covered(laying.disc(0.047, 0.052, 0.035, 0.003), (10, 10), 0.01)
    assert shares.sum() * 0.01**2 == pytest.approx(pi * 0.0175**2, rel=0.005)
    assert 0 < shares[5, 2] < 1


@pytest.mark.parametrize("coverage", [0.2, 0.5, 0.9])
def test_grains_cover_the_share_that_is_said(coverage):
    area = laying.rectangle(0, 0, 0.1, 0.1, 0.001)
    strewn = laying.grains(area, 0.002, coverage)
    assert strewn.outline.area / 0.01 == pytest.approx(coverage, rel=0.06)  # rims


def test_a_picture_is_dark_where_the_piece_is_thick(tmp_path):
    picture = Image.fromarray(np.array([[255, 255, 0], [255, 255, 255], [255, 128, 255]], dtype=np.uint8))
    picture.save(tmp_path / "piece.png")
    relief = laying.from_picture(tmp_path / "piece.png", 0.03, 0.003, 0.009)
    assert relief.cell == pytest.approx(0.01)
    assert relief.thickness[2, 2] == pytest.approx(
        0.009
    )  # upper right of the picture is the last row of the map
    assert relief.thickness[0, 1] == pytest.approx(0.009 - 0.006 * 128 / 255)
    assert relief.thickness[1, 1] == pytest.approx(0.003)


def fired_again(glass=REFERENCE, bending="free", cells=8):
    first = fired(ReliefMap(np.full((8, 8), 0.003), 0.01), Schedule((Segment(100, 60),)))
    piece = Piece(glass, ReliefMap(np.full((8, cells), 0.003), 0.01), "open", bending)
    return fire(Schedule((Segment(100, 60),)), piece, Kiln(), after=first)


@pytest.mark.parametrize(
    ("name", "make", "sentence"),
    [
        ("clear.png", lambda: Image.new("RGBA", (9, 9), (0, 0, 0, 99)), "transparent in places"),
        ("clear.gif", lambda: Image.new("P", (9, 9), 3), "transparent in places"),
        ("fine.png", lambda: Image.new("I;16", (9, 9), 40_000), "8 bits"),
        ("fine.tif", lambda: Image.new("F", (9, 9), 0.5), "8 bits"),
        ("moves.gif", lambda: Image.new("L", (9, 9), 100), "holds several pictures"),
        ("large.png", lambda: Image.new("L", (600, 600), 100), "at most 250000 fit: make it smaller"),
        ("line.png", lambda: Image.new("L", (9, 1), 100), "at least 3 x 3 cells"),
    ],
)
def test_a_picture_of_the_wrong_kind_is_refused(tmp_path, name, make, sentence):
    more = {"transparency": 3} if name == "clear.gif" else {}
    if name == "moves.gif":
        more = {"save_all": True, "append_images": [Image.new("L", (9, 9), 10)]}
    make().save(tmp_path / name, **more)
    with pytest.raises(ValueError, match=sentence):
        laying.from_picture(tmp_path / name, 0.1, 0.003, 0.006)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: ReliefMap(np.full((2, 9), 0.003), 0.01), "at least 3 x 3 cells"),
        (lambda: ReliefMap(np.zeros((9, 9)), 0.01), "an opening in the sheet is not part of this model"),
        (lambda: ReliefMap(np.full((9, 9), 3.0), 0.01), "Did you mean 3 mm"),
        (lambda: ReliefMap(np.full((600, 600), 0.003), 0.01), "at most 250000 fit"),
        (lambda: fired(ReliefMap(np.full((150, 150), 0.003), 0.01)), '"free" is fired with at most 20000'),
        (lambda: fired(ReliefMap(np.full((300, 300), 0.003), 0.001), bending="flat"), "at most 80000"),
        (lambda: ReliefMap(np.full((9, 9), 0.003), 0.01, above=np.zeros((3, 3))), "above has the shape"),
        (lambda: Piece(REFERENCE, ReliefMap(np.full((9, 9), 0.003), 0.01), loose=True), "one solid piece"),
        (lambda: laying.lay(0.1, 0.1, 0.003, [], 0.007), "without rest"),
        (lambda: laying.lay(1.0, 1.0, 0.003, [], 0.001), "at most 250000 fit"),
        (lambda: laying.polygon([(0, 0), (0.1, 0.1), (0.1, 0), (0, 0.1)], 0.003), "crosses itself"),
        (lambda: laying.line([(0, 0)], 0.01, 0.003), "two points or more"),
        (
            lambda: laying.Shape(None, 0.003, "hole", "nothing"),
            'the hole is of .nothing.; it can be of "glass"',
        ),
        (lambda: laying.rectangle(0, 0, 10, 0.1, 0.003), "Did you mean 10 mm"),
        (lambda: fired(ReliefMap(np.full((9, 9), 0.003), 0.01)).peak_tension("holding"), "phase must be"),
        (lambda: fired_again(glass=glass("float")), "was of .*, this piece is of"),
        (lambda: fired_again(bending="flat"), "free to bend in that firing and is held flat"),
        (lambda: fired_again(cells=9), "other cells or thicknesses"),
        (lambda: fired(ReliefMap(np.full((9, 9), 0.003), 0.01), after=3), "the firing of this map before"),
        (lambda: laying.from_picture(__file__, 0.1, 0.003, 0.006), "cannot be read as a picture"),
    ],
)
def test_bad_input_gets_a_sentence(call, sentence):
    with pytest.raises(ValueError, match=sentence):
        call()


@pytest.mark.parametrize("base", [0.002, 0.004, 0.006, 0.010])  # 1, 2, 3 and 5 cells
def test_the_average_is_that_over_the_base_thickness_around_each_cell(base):
    relief = ReliefMap(np.full((12, 17), base), 0.002)
    tension = np.random.default_rng(7).uniform(0, 1e6, relief.shape)
    # exact: a general library's mean over as many cells, the rim's own values beyond the rim
    expected = uniform_filter(tension, round(base / 0.002), mode="nearest")
    assert averaged(tension, relief) == pytest.approx(expected, rel=1e-9)
