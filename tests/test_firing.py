import dataclasses

import numpy as np
import pytest
from scipy.integrate import quad, simpson
from scipy.interpolate import CubicSpline
from scipy.special import kv

from kilncalc import _heat
from kilncalc._relaxation import Relaxation
from kilncalc._stress import Bodies, Memory, Nodes, feature_factor, follow, simpson_weights
from kilncalc.firing import SMALL_BRICK_KILN, Kiln, _follow_heat, coldest_glass, fire, fire_alike
from kilncalc.materials import Glass, glass, refractory
from kilncalc.piece import Layer, Piece, Zone
from kilncalc.schedule import Schedule, Segment

REFERENCE = dataclasses.replace(
    glass("lamp soda-lime"), density=2500, expansion_liquid=28e-6, youngs_modulus=71e9
)
FOLLOWS = Kiln(film=1e6, emissivity=0)
"""A kiln whose faces have the temperature of the air."""


class PlainGlass(Glass):
    """A glass with k = 1 W/m/K and c = 1000 J/kg/K, for closed forms."""

    def conductivity(self, temperature):
        return np.ones_like(temperature, dtype=float)

    def heat_capacity(self, temperature):
        return np.full_like(temperature, 1000.0, dtype=float)


PLAIN = PlainGlass(**dataclasses.asdict(REFERENCE))
DIFFUSIVITY = 1.0 / (2500 * 1000)


def programme(text, start=20):
    """Segments as rate/target/hold, "fast" for a rate of None."""
    segments = []
    for words in text.split(","):
        rate, target, hold = words.strip().split("/")
        segments.append(Segment(None if rate == "fast" else float(rate), float(target), float(hold)))
    return Schedule(segments, start)


def even(thickness, of=REFERENCE, **keywords):
    return Piece(of, [Zone(thickness, 1.0)], **keywords)


THIN = programme("180/650/25, 280/790/12, fast/514/45, 95/420/0, 180/20/0")
THICK = programme("50/640/40, 280/790/15, fast/514/200, 18/440/0, 40/330/0, 110/20/0")
TWO = programme("200/650/25, 280/735/12, fast/514/50, 95/420/0, 180/20/0")
HEATING = programme("150/560/0")
TWO_ZONES = Piece(REFERENCE, [Zone(0.003, 0.7), Zone(0.006, 0.3)], support="open")


# ---------------------------------------------------------------- our own independent prototypes


def test_even_6_mm_on_a_shelf():
    firing = fire(THIN, even(0.006))
    assert firing.peak_tension("heating") == pytest.approx(0.171e6, rel=0.02)  # own prototype
    bottom, *_, top = firing.residual[0]
    middle = firing.residual[0, firing.residual.shape[1] // 2]
    assert top == pytest.approx(-0.254e6, rel=0.02)  # own prototype
    assert bottom == pytest.approx(-0.254e6, rel=0.02)  # own prototype
    assert middle == pytest.approx(0.127e6, rel=0.02)  # own prototype


@pytest.mark.parametrize(
    ("bending", "heating", "cooling"),
    [("free", 0.765e6, 1.286e6), ("flat", 1.547e6, 3.418e6)],  # own prototype
)
def test_even_25_mm_on_a_shelf(bending, heating, cooling):
    firing = fire(THICK, even(0.025, bending=bending))
    assert firing.peak_tension("heating") == pytest.approx(heating, rel=0.02)
    assert firing.peak_tension("cooling") == pytest.approx(cooling, rel=0.02)
    if bending == "free":
        assert firing.residual[0, -1] == pytest.approx(-1.165e6, rel=0.02)  # own prototype
        middle = firing.residual.shape[1] // 2
        assert firing.residual[0, middle] == pytest.approx(0.590e6, rel=0.02)  # own prototype


def test_3_mm_beside_6_mm_in_the_open():
    firing = fire(TWO, TWO_ZONES)
    middle = firing.residual.shape[1] // 2
    assert firing.peak_tension("heating") == pytest.approx(9.53e6, rel=0.02)  # own prototype
    assert firing.worst_moment("heating").air == pytest.approx(114, abs=5)  # own prototype
    means = simpson(firing.temperature, axis=2, dx=1 / (firing.temperature.shape[2] - 1))
    difference = np.abs(means[:, 0] - means[:, 1]).max()
    assert difference == pytest.approx(13.05, rel=0.02)  # own prototype
    assert firing.residual[0, -1] == pytest.approx(-1.579e6, rel=0.02)  # own prototype
    assert firing.residual[0, middle] == pytest.approx(-0.870e6, rel=0.02)  # own prototype
    assert firing.residual[1, middle] == pytest.approx(1.187e6, rel=0.02)  # own prototype
    assert firing.peak_tension("cooling") == pytest.approx(4.843e6, rel=0.02)  # own prototype


@pytest.mark.parametrize(
    ("thickness", "share", "peak"),
    [  # own prototype: the zone model beside a thickness map, ribs of 2, 10 and 40 mm on a tile of 200 mm
        (0.006, 0.01, 8.7e6),
        (0.006, 0.05, 9.2e6),
        (0.006, 0.20, 8.4e6),
        (0.009, 0.01, 17.4e6),
        (0.009, 0.05, 17.9e6),
        (0.009, 0.20, 15.0e6),
    ],
)
def test_two_thicknesses_without_a_width(thickness, share, peak):
    plate = Piece(REFERENCE, [Zone(0.003, 1 - share), Zone(thickness, share)], support="open")
    assert fire(HEATING, plate).peak_tension("heating") == pytest.approx(peak, rel=0.02)


@pytest.mark.parametrize(
    ("support", "thickness", "width", "peak"),
    [  # own prototype: a thickness map of a 200 mm tile with one rib along its middle
        ("open", 0.006, 0.002, 0.54e6),
        ("open", 0.006, 0.010, 1.94e6),
        ("open", 0.006, 0.040, 3.43e6),
        ("open", 0.009, 0.002, 1.03e6),
        ("open", 0.009, 0.010, 3.98e6),
        ("open", 0.009, 0.040, 5.96e6),
        ("shelf", 0.006, 0.002, 1.27e6),
        ("shelf", 0.006, 0.010, 2.72e6),
        ("shelf", 0.006, 0.040, 3.94e6),
        ("shelf", 0.009, 0.002, 2.53e6),
        ("shelf", 0.009, 0.010, 5.61e6),
        ("shelf", 0.009, 0.040, 7.03e6),
    ],
)
def test_a_rib_of_a_width(support, thickness, width, peak):
    share = width / 0.2
    rib = Zone(thickness, share, feature_width=width, feature_length=0.2)
    plate = Piece(REFERENCE, [Zone(0.003, 1 - share), rib], support=support)
    if width == 0.002:  # own prototype: of a cell of 2 mm; what is judged is the average over 3 mm
        peak *= 0.94 if support == "open" else 0.76
    assert 0.9 < fire(HEATING, plate).peak_tension("heating") / peak < 1.25


def test_a_round_spot_of_a_diameter():
    share = np.pi * 0.015**2 / 0.15**2
    spot = Zone(0.006, share, feature_width=0.03, feature="spot")
    plate = Piece(REFERENCE, [Zone(0.003, 1 - share), spot], support="open")
    peak = fire(programme("150/520/0"), plate).peak_tension("heating")
    assert peak == pytest.approx(1.70e6, rel=0.10)  # own prototype: a thickness map, plate bending


@pytest.mark.parametrize(("thickness", "ratio"), [(0.003, 25), (0.006, 12), (0.012, 5), (0.025, 2)])
def test_held_flat_against_free_on_a_shelf(thickness, ratio):
    flat = fire(HEATING, even(thickness, bending="flat")).peak_tension("heating")
    free = fire(HEATING, even(thickness)).peak_tension("heating")
    assert flat / free == pytest.approx(ratio, rel=0.15)  # own prototype, one or two figures


# ---------------------------------------------------------------- closed forms and published values


@pytest.mark.parametrize(
    ("fourier", "lag"),
    [(0.1, 0.19775), (0.5, 0.69945), (2.0, 0.99258)],  # published: Carslaw & Jaeger, slab, series
)
def test_a_slab_heated_from_rest(fourier, lag):
    thickness, rate = 0.02, 100.0
    plate = even(thickness, PLAIN, support="open")
    firing = fire(Schedule([Segment(rate, 300)]), plate, FOLLOWS, fineness=4)
    half = thickness / 2
    middle = firing.temperature[:, 0, firing.temperature.shape[2] // 2]
    time = fourier * half**2 / DIFFUSIVITY
    steady = rate / 3600 * half**2 / (2 * DIFFUSIVITY)
    ratio = np.interp(time, firing.time, firing.air - middle) / steady
    assert ratio == pytest.approx(lag, rel=0.01)


def test_steady_heating_of_a_slab_and_its_neutral_depth():
    thickness, rate = 0.02, 100.0
    firing = fire(Schedule([Segment(rate, 200)]), even(thickness, PLAIN, support="open"), FOLLOWS)
    stress = firing.stress[-1, 0]
    unit = 71e9 * 9.35e-6 * rate / 3600 * 0.01**2 / (6 * DIFFUSIVITY * (1 - 0.22))
    middle = len(stress) // 2
    assert stress[middle] == pytest.approx(unit, rel=0.005)  # exact: E alpha R L^2/(6 a (1 - nu))
    assert stress[0] == pytest.approx(-2 * unit, rel=0.005)  # exact: twice that, other sign
    assert stress[-1] == pytest.approx(-2 * unit, rel=0.005)  # exact: the same
    depth = np.linspace(0, 1, len(stress))
    crossing = np.roots(np.polyfit(depth, stress, 2)).min()
    assert crossing == pytest.approx(0.2113, rel=0.005)  # published: Adams & Williamson 1920


def test_structure_makes_the_frozen_stress_half_as_large_again():
    plate = even(0.01, support="open")
    slow = programme("20/200/0, 200/20/0", start=REFERENCE.annealing_point + 40)
    with_structure = fire(slow, plate).residual.max()
    without = dataclasses.replace(REFERENCE, expansion_liquid=REFERENCE.expansion)
    ratio = with_structure / fire(slow, even(0.01, without, support="open")).residual.max()
    # published: Gardon & Narayanaswamy 1970, structure makes about 40 % of the total, that is 1/0.6 = 1.67
    assert 1.5 < ratio < 1.7


def test_heat_by_radiation():
    h = _heat.exchange_coefficient(np.array([400 - 273.15]), 305 - 273.15, 0.0, 0.85)
    assert h[0] * 95 == pytest.approx(816.78, rel=1e-4)  # published: package ht, e 0.85, 400 K to 305 K


def test_flat_is_four_times_free_when_the_underside_is_insulated():
    zone = Zone(0.006, 1.0, below="paper", paper=0.1)
    kiln = Kiln(film=1e6, emissivity=0, paper_conductivity=0.02)
    peaks = [
        fire(programme("60/200/0"), Piece(PLAIN, [zone], "open", bending), kiln).peak_tension("heating")
        for bending in ("flat", "free")
    ]
    # exact: for T = z^2, 1/3 - z^2 at z = 0 is 1/3, z - z^2 - 1/6 at z = 1/2 is 1/12
    assert peaks[0] / peaks[1] == pytest.approx(4.0, rel=0.02)


def test_relaxation_at_the_fixed_points():
    relaxation = Relaxation.of(REFERENCE)
    weights = np.array([0.05523, 0.08205, 0.1215, 0.2286, 0.2860, 0.2265])
    mean = weights @ relaxation.stress_times / weights.sum()
    assert mean == pytest.approx(1e12 / (71e9 / 2.44), rel=1e-9)  # exact: 10^12 Pa.s/G, G = E/2(1 + nu)
    times, temperature = np.array([0.0, 1.0]), np.full((2, 1), 473.0)
    _, reduced, _ = relaxation.structure(times, temperature, np.full((6, 1), 473.0))
    assert reduced[0, 0] == pytest.approx(10**-1.5, rel=1e-9)  # exact: viscosity 10^13.5 against 10^12 Pa.s
    assert relaxation.activation == pytest.approx(49500, rel=0.01)  # own prototype
    assert Relaxation.of(glass("float")).activation == pytest.approx(63400, rel=0.01)  # own prototype
    # published: 55 000 to 76 200 K for float glass (Nielsen et al. 2010 and sources there)
    assert 55000 < Relaxation.of(glass("float")).activation < 76200


def test_stress_at_a_held_strain_fades_as_the_spectrum_says():
    # a plate held flat gets its stress at once and stays at the annealing point; a second zone, a thousand
    # times larger, keeps its strain
    plate = Piece(REFERENCE, [Zone(0.006, 0.999), Zone(0.006, 0.001)], bending="flat")
    nodes = Nodes(plate, 3)
    bodies = Bodies.solid(plate, nodes)
    times = np.array([0.0, 1e-6, *np.linspace(1, 60, 60)])
    temperature = np.full((len(times), 6), 514.0)
    temperature[1:, nodes.zone == 1] = 513.9
    plain = dataclasses.replace(REFERENCE, expansion_liquid=REFERENCE.expansion)
    begin = Memory.annealed(plain, temperature[0])
    stress = follow(plain, times, temperature, bodies, bodies, 0, begin).stress
    weights = np.array([0.05523, 0.08205, 0.1215, 0.2286, 0.2860, 0.2265])
    taus = Relaxation.of(REFERENCE).stress_times
    expected = (weights / weights.sum()) @ np.exp(-30.0 / taus)
    faded = np.interp(30.0, times, stress[:, -1]) / stress[1, -1]
    assert faded == pytest.approx(expected, rel=0.01)  # exact: sum of w exp(-t/tau) at 30 s


# ---------------------------------------------------------------- the start, and one firing after another


def cooled_slowly(piece):
    return fire(Schedule([Segment(30, 20)], start=600), piece)


def heating_tension(firing, residual, degrees_below):
    """Largest tension that heating adds to what was there, in glass that far below its strain point."""
    added = firing.stress - residual
    cold = firing.temperature < REFERENCE.strain_point - degrees_below
    heating = firing.time <= firing.heating_end
    return np.where(cold, added, 0.0)[heating].max()


RELIEF = Piece(REFERENCE, [Zone(0.003, 0.7), Zone(0.006, 0.3, feature_width=0.003)])


@pytest.mark.parametrize(
    ("piece", "text"),
    [
        (RELIEF, "55/400/0, 170/640/10"),
        (RELIEF, "150/640/10"),
        (RELIEF, "20/640/10"),
        (Piece(REFERENCE, [Zone(0.003, 0.7), Zone(0.006, 0.3)], support="open"), "60/640/10"),
        (Piece(REFERENCE, [Zone(0.004, 0.5), Zone(0.012, 0.5)]), "25/640/10"),
        (even(0.025), "80/640/10"),
        (even(0.012, bending="flat"), "150/640/10"),
    ],
)
def test_glass_comes_in_as_if_cooled_slowly(piece, text):
    before = cooled_slowly(piece)
    ours = fire(programme(text), piece)
    again = fire(programme(text), piece, after=before)
    for below in (60, 100, 200):
        # own prototype: the piece first cooled in the model, what it then carries subtracted
        wanted = heating_tension(again, before.residual, below)
        assert heating_tension(ours, 0.0, below) == pytest.approx(wanted, rel=0.10)
        assert wanted > 0.1e6


def test_relief_heated_after_slow_cooling():
    # own prototype: 4.65 MPa at 450 degC, of which 0.4 carried over from a cooling at 10 degC/h; a start with
    # all structure at the annealing point gave 1.86
    slow = fire(Schedule([Segment(10, 20)], start=600), TWO_ON_SHELF)
    assert slow.residual.max() == pytest.approx(0.4e6, rel=0.1)
    again = fire(programme("55/300/0, 170/640/10"), TWO_ON_SHELF, after=slow)
    at_450 = [np.interp(450, again.air, again.stress[:, zone].max(axis=1)) for zone in (0, 1)]
    assert max(at_450) == pytest.approx(4.65e6, rel=0.10)


def test_an_annealed_glass_knows_how_it_was_cooled():
    relaxation = Relaxation.of(REFERENCE)
    assert np.all(relaxation.annealed(np.array([514.0, 600.0])) == [514.0, 600.0])  # exact: equilibrium
    cold = relaxation.annealed(np.array([20.0]))[:, 0]
    assert (np.diff(cold) > 0).all()  # the faster a term, the further down it follows
    # hand: a term sets where its time is that in which the glass cools by T^2 R/H. The slowest: 1015 s at
    # 514 degC, e times that every 13 K; at 30 degC/h 13 K take 1560 s, so that it sets just below 514
    assert 490 < cold[-1] < 505
    # the model itself: an even sheet, cooled at 30 degC/h from a little above the annealing point
    firing = fire(Schedule([Segment(30, 20)], start=560), even(0.001, support="open"), fineness=4)
    assert firing.fictive_temperature[-1].mean() == pytest.approx(
        np.array([0.05523, 0.08205, 0.1215, 0.2286, 0.2860, 0.2265]) @ cold / 0.99988, abs=1.5
    )


@pytest.mark.parametrize("loose", [False, True])
def test_one_firing_after_another_carries_what_stays(loose):
    first_piece = Piece(REFERENCE, [Zone(0.003, 0.7), Zone(0.006, 0.3)], loose=loose)
    solid = dataclasses.replace(first_piece, loose=False)
    first = fire(TWO, first_piece)
    second = fire(programme("1/150/0, 1/20/0"), solid, after=first, fineness=2)
    scale = first.residual.max()
    # exact: a slow warming to 150 degC changes nothing that stays, nor the structure
    assert second.residual.max() == pytest.approx(scale, rel=0.02)
    assert second.stress[0].max() == pytest.approx(scale, rel=0.02)
    assert second.peak_tension("heating") == pytest.approx(scale, rel=0.05)
    # a hot firing forgets it
    hot, fresh = fire(TWO, solid, after=first), fire(TWO, solid)
    assert hot.residual == pytest.approx(fresh.residual, rel=1e-3, abs=1e3)
    # at the first moment nothing is out of balance
    force = sum(
        s * simpson(hot.stress[0, i], x=hot.height[i])
        for i, s in enumerate(zone.share for zone in solid.body)
    )
    assert abs(force) < 1e-6 * scale * 0.006


# ---------------------------------------------------------------- balances


@pytest.mark.parametrize("bending", ["free", "flat"])
def test_forces_and_moments_balance_at_every_step(bending):
    zones = [Zone(0.003, 0.5), Zone(0.006, 0.3), Zone(0.009, 0.2, feature_width=0.02)]
    firing = fire(TWO, Piece(REFERENCE, zones, bending=bending))
    shares = np.array([zone.share for zone in zones])
    scale = np.abs(firing.stress).max() * 0.006
    for stress in (firing.stress, firing.residual[None]):
        force = sum(s * simpson(stress[:, i], x=firing.height[i], axis=1) for i, s in enumerate(shares))
        assert np.abs(force).max() < 1e-7 * scale  # exact: no force on a body that hangs on nothing
        moment = sum(
            s * simpson(stress[:, i] * firing.height[i], x=firing.height[i], axis=1)
            for i, s in enumerate(shares)
        )
        if bending == "free":
            assert np.abs(moment).max() < 1e-7 * scale * 0.006  # exact: no moment either
        else:
            assert np.abs(moment).max() > 1e-3 * scale * 0.006  # held flat, something pushes


def test_every_loose_sheet_is_in_balance_by_itself():
    heap = Piece(
        REFERENCE, [Zone(0.003, 0.7), Zone(0.008, 0.3, layers=(0.003, Layer(0.005, "lid")))], loose=True
    )
    nodes = Nodes(heap, 11)
    bodies = Bodies.loose(heap, nodes)
    strain = np.random.default_rng(1).normal(size=len(nodes.zone))
    stress = bodies.elastic @ strain
    for sheet in range(2):
        own = nodes.sheet == sheet
        assert abs(stress[own] @ nodes.weight[own]) < 1e-12 * np.abs(stress).max()  # exact
        moment = (stress * nodes.height_in_sheet)[own] @ nodes.weight[own]
        assert abs(moment) < 1e-14 * np.abs(stress).max()  # exact
    assert np.abs(stress).max() > 0.1


def test_an_even_change_makes_no_stress():
    plate = Piece(REFERENCE, [Zone(0.003, 0.7), Zone(0.009, 0.3)])
    nodes = Nodes(plate, 11)
    bodies = Bodies.solid(plate, nodes)
    times = np.linspace(0, 36000, 400)
    course = np.interp(times, [0, 9000, 12000, 36000], [20, 700, 700, 20])
    temperature = np.tile(course[:, None], (1, len(nodes.zone)))
    begin = Memory.annealed(REFERENCE, temperature[0])
    result = follow(REFERENCE, times, temperature, bodies, bodies, 0, begin)
    assert np.abs(result.stress).max() < 1.0  # exact: zero; 1 Pa against the 1e9 Pa of a change of 680 K held
    assert np.abs(result.residual).max() < 1.0  # exact: zero


def test_a_slow_firing_in_an_even_kiln_makes_no_stress():
    firing = fire(programme("1/600/0, 1/20/0"), even(0.003, support="open"), FOLLOWS)
    assert firing.peak_tension("heating") < 500  # hand: E alpha R L^2/(6 a (1 - nu)) = 160 Pa at 1 degC/h
    assert firing.peak_tension("cooling") < 500  # hand: the same, half as much again


def test_energy_balance():
    plate = even(0.006)
    firing = fire(THIN, plate, fineness=4)
    largest = firing.heat_stored.max()
    assert np.abs(firing.heat_in - firing.heat_stored).max() < 0.01 * largest  # exact: equal
    hot = fire(programme("150/560/1200"), plate)
    glass_heat = 2500 * 0.006 * quad(REFERENCE.heat_capacity, 20, 560)[0]
    shelf_heat = 1900 * 1000 * 0.018 * 540
    # exact: integral of rho c dT through glass and shelf, once both have the temperature of the kiln
    assert hot.heat_stored[-1] == pytest.approx(glass_heat + shelf_heat, rel=0.002)
    assert hot.heat_in[-1] == pytest.approx(glass_heat + shelf_heat, rel=0.02)
    assert hot.energy(0.05) == pytest.approx(0.05 * hot.heat_in.max(), rel=1e-12)


@pytest.mark.parametrize(
    ("schedule", "plate"),
    [
        (THIN, even(0.006)),
        (THICK, even(0.025)),
        (TWO, TWO_ZONES),
        (TWO, Piece(REFERENCE, [Zone(0.003, 0.6), Zone(0.006, 0.4)], loose=True)),
        (programme("60/650/60, 250/790/15, fast/514/120, 20/420/0, 60/20/0"), even(0.012, bending="flat")),
    ],
)
def test_half_the_steps_and_cells_change_little(schedule, plate):
    usual, finer = fire(schedule, plate), fire(schedule, plate, fineness=2)
    for phase in ("heating", "cooling"):
        assert usual.peak_tension(phase) == pytest.approx(finer.peak_tension(phase), rel=0.01)
    assert usual.residual.max() == pytest.approx(finer.residual.max(), rel=0.02)
    assert usual.residual.min() == pytest.approx(finer.residual.min(), rel=0.02)


def test_against_two_dimensional_finite_elements():
    skfem = pytest.importorskip("skfem")
    from skfem.models.elasticity import lame_parameters, linear_elasticity

    # a thick plate on a shelf, heating: its own temperatures, a cross-section 25 x 250 mm in plane strain
    firing = fire(programme("50/200/0"), even(0.025))
    profile = firing.temperature[-1, 0]
    heights = firing.height[0]
    warmer = CubicSpline(heights, profile - 20)
    mesh = skfem.MeshQuad.init_tensor(np.linspace(0, 0.25, 101), np.linspace(0, 0.025, 21))
    basis = skfem.Basis(mesh, skfem.ElementVector(skfem.ElementQuad2()))
    lam, mu = lame_parameters(71e9, 0.22)

    @skfem.LinearForm
    def thermal(v, w):
        strain = 9.35e-6 * warmer(w.x[1])
        return (3 * lam + 2 * mu) * strain * (v.grad[0, 0] + v.grad[1, 1])

    stiffness = linear_elasticity(lam, mu).assemble(basis)
    load = thermal.assemble(basis)
    # hold the section against moving and turning only
    corner = basis.get_dofs(lambda x: np.isclose(x[0], 0) & np.isclose(x[1], 0)).all()
    other = basis.get_dofs(lambda x: np.isclose(x[0], 0.25) & np.isclose(x[1], 0)).all(["u^2"])
    u = skfem.solve(*skfem.condense(stiffness, load, D=np.concatenate([corner, other])))
    field = basis.interpolate(u)
    x, z = basis.global_coordinates()
    e_x, e_z = field.grad[0, 0], field.grad[1, 1]
    strain = 9.35e-6 * warmer(z)
    stress = (lam + 2 * mu) * e_x + lam * e_z - (3 * lam + 2 * mu) * strain
    centre = np.abs(x - 0.125) < 0.0013
    ours = CubicSpline(heights, firing.stress[-1, 0])(z[centre])
    # exact: in plane strain the stress across is E/(1 - nu) (straight line - alpha T), as in a plate
    assert np.abs(stress[centre] - ours).max() < 0.002 * np.abs(ours).max()
    assert np.abs(ours).max() > 0.5e6


# ---------------------------------------------------------------- what must be in order


def test_loose_heats_easier_than_solid_where_it_should():
    solid = fire(HEATING, even(0.006)).peak_tension("heating")
    covered = Piece(REFERENCE, [Zone(0.006, 1.0, layers=(0.003, 0.003))], loose=True)
    assert fire(HEATING, covered).peak_tension("heating") < solid  # common practice, no source
    one, two = (Layer(0.003, name) for name in ("one", "two"))
    heap = Piece(
        REFERENCE, [Zone(0.003, 0.7, layers=(one,)), Zone(0.006, 0.3, layers=(two, Layer(0.003)))], loose=True
    )
    fused = fire(HEATING, Piece(REFERENCE, [Zone(0.003, 0.7), Zone(0.006, 0.3)])).peak_tension("heating")
    assert fire(HEATING, heap).peak_tension("heating") < 0.1 * fused  # common practice, no source
    covered_in_part = Piece(REFERENCE, [Zone(0.003, 0.7), Zone(0.006, 0.3)], loose=True)
    in_part = fire(HEATING, covered_in_part).peak_tension("heating")
    assert 6.5e6 < in_part < 7.6e6  # own prototype
    assert fused == pytest.approx(7.4e6, rel=0.05)  # own prototype, "about"


def test_two_thicknesses_are_worse_than_the_thicker_alone():
    two = fire(TWO, Piece(REFERENCE, [Zone(0.003, 0.5), Zone(0.006, 0.5)]))
    six = fire(TWO, even(0.006))
    assert two.peak_tension("heating") > 5 * six.peak_tension("heating")  # common practice, no source
    assert two.residual.max() > 5 * six.residual.max()  # common practice, no source


def test_a_narrower_rib_is_gentler_and_less_than_the_wide_zone():
    def peak(width):
        zones = [Zone(0.003, 0.9), Zone(0.006, 0.1, feature_width=width)]
        return fire(HEATING, Piece(REFERENCE, zones)).peak_tension("heating")

    assert peak(0.002) < peak(0.01) < peak(0.04) < peak(None)  # own prototype: the order


def test_paper_of_no_thickness_is_no_paper():
    plain = fire(TWO, Piece(REFERENCE, [Zone(0.003, 0.7), Zone(0.006, 0.3)]))
    for where in ({"above": "paper"}, {"below": "paper"}, {"above": "paper", "below": "paper"}):
        papered = fire(TWO, Piece(REFERENCE, [Zone(0.003, 0.7, **where), Zone(0.006, 0.3)]))
        assert np.array_equal(papered.stress, plain.stress)
        assert np.array_equal(papered.temperature, plain.temperature)


def test_paper_on_the_shelf_adds_its_thickness_over_its_conductivity():
    # exact: contact 0.003 and paper 0.004/0.08 = 0.05 m2K/W, one after the other
    papered = Piece(REFERENCE, [Zone(0.006, 1.0, below="paper", paper=0.004)])
    alone = fire(TWO, even(0.006), Kiln(contact_resistance=0.053))
    assert fire(TWO, papered).temperature == pytest.approx(alone.temperature, rel=1e-9)
    bare = fire(TWO, even(0.006)).temperature[-1].mean()
    assert abs(fire(TWO, papered).temperature[-1].mean() - bare) > 3


def test_loose_sheets_part_by_the_resistance_between_them():
    # the lower sheet, insulated below, gets its heat through the contact: rate x rho c d x R
    zone = Zone(0.006, 1.0, below="paper", paper=0.1, layers=(0.003, 0.003))
    kiln = Kiln(film=1e6, emissivity=0, paper_conductivity=0.02)
    stack = Piece(PLAIN, [zone], "open", loose=True)
    heat, columns, _, _ = _follow_heat(programme("60/300/0"), [(stack, kiln)], 1)
    contact = columns.loose[0]
    last = heat.temperature[-1]
    # hand: 60/3600 K/s x 2500 x 1000 x 0.003 m x 0.002 m2K/W = 0.25 K, and 4 % through so much paper
    assert last[contact + 1] - last[contact] == pytest.approx(0.25, rel=0.05)
    assert Kiln().loose_resistance == 0.002  # typical, from memory


PLACES = [("rib", one) for one in ("inside", "side", "both sides", "frame")]
PLACES += [("spot", one) for one in ("inside", "side", "corner")]


@pytest.mark.parametrize("length", [None, 0.15])
@pytest.mark.parametrize("width", [0.002, 0.03])
@pytest.mark.parametrize("on_shelf", [False, True])
@pytest.mark.parametrize(("feature", "place"), PLACES)
def test_how_much_of_its_difference_a_narrow_feature_builds_up(feature, place, on_shelf, width, length):
    zone = Zone(0.006, 0.25, width, feature, length, place)
    # hand: the formula of the docstring, as fitted on thickness maps
    h, mm = (15 if on_shelf else 10), width * 1e3
    reach = np.sqrt(1.061 * 0.003 / (2 * h))
    constriction = (2.5 * np.log(3) - 2 * np.log(2 / 0.75)) / np.pi  # hand: (e^2 + 1)/e = 2.5, e = 1/2
    narrowed = reach / (1 + 2 * h * reach * constriction / 1.061)
    if feature == "rib":
        # hand: 2 mm are two thirds of 3 mm; at the rim half of the average is more of the same
        c = 1 if mm == 30 else 2 / 3 if place == "inside" else 1
        phi = width / (width + (2 if place == "inside" else 1) * narrowed)
        held, end = 1.0, (length or 1e9) / 2
        if place == "inside":
            held = np.tanh((end / (3.956e-3 * (mm + 2000 * reach) ** 0.7516)) ** 0.7454)
        elif place == "frame":
            held = 1 + 0.85 / 4
        elif place == "side":  # hand: a quarter of the piece, which is four times as wide
            held = np.tanh(end / (0.6174 * 4 * width * 0.75**2))
            held /= 1 + 2.711 * (width + 1.632 * reach) / (4 * width)
        else:  # hand: one rib an eighth of the piece
            held = np.tanh(end / (0.6174 * 8 * width * 0.875**2))
        by_hand = 0.8263 * phi**1.05 * 2**0.2006 * c**0.2712 * held
        by_hand += 0.07873 * (1 - 1.487 * phi) * c**1.158 * on_shelf
    else:
        x, c = width / 2 / reach, 1 if mm == 30 else np.pi / 9  # hand: pi/4 (2/3)^2
        phi = width / 2 / (width / 2 + 2 * narrowed * kv(1, x) / kv(0, x))
        by_hand = 0.7665 * 0.5**0.2416 * phi**1.046 / (1 + (1.128 * 6 / mm) ** 4)  # hand: d/r = 6/w
        by_hand += 0.04394 * (1 - 1.898 * phi) * c**0.5976 * on_shelf
        by_hand *= {"inside": 1, "side": 0.5676, "corner": 0.4554}[place]
    assert feature_factor(zone, 0.003, on_shelf) == pytest.approx(by_hand, rel=1e-6)


def test_a_line_finer_than_the_base_is_thick_is_judged_by_the_average_over_the_base():
    # exact: what is no straight line stays in a wide rib; of one half as wide as the base is thick half of it
    # does and half of the base's, which is half as thick and has a quarter of it
    piece = Piece(REFERENCE, [Zone(0.003, 0.7), Zone(0.006, 0.3, 0.0015)], "open", "flat")
    nodes = Nodes(piece, 5)
    bodies = Bodies.solid(piece, nodes)
    parabola = np.array([1 - 3 * x * x for x in np.linspace(-1, 1, 5)])
    strain = np.where(nodes.zone == 1, np.tile(parabola - parabola @ simpson_weights(5), 2), 0.0)
    assert bodies.felt @ strain == pytest.approx(strain * (0.5 + 0.5 / 4), abs=1e-12)


def test_paper_on_a_zone_is_as_harsh_as_a_rib():
    def peak(**keywords):
        zones = [Zone(0.003, 0.7), Zone(keywords.pop("thickness", 0.003), 0.3, **keywords)]
        return fire(HEATING, Piece(REFERENCE, zones)).peak_tension("heating")

    even_peak, rib = peak(), peak(thickness=0.006)
    former = peak(above="paper", paper=0.010)
    assert former > 0.8 * rib > 8 * even_peak  # own prototype: the order
    assert peak(above="paper", paper=0.001) < former


def test_the_underside_of_the_shelf_matters():
    on_posts = fire(HEATING, TWO_ON_SHELF, Kiln(underside=1.0)).peak_tension("heating")
    on_the_floor = fire(HEATING, TWO_ON_SHELF, Kiln(underside=0.0)).peak_tension("heating")
    assert on_the_floor > on_posts


TWO_ON_SHELF = Piece(REFERENCE, [Zone(0.003, 0.7), Zone(0.006, 0.3)])
HEAP = Piece(REFERENCE, [Zone(0.003, 0.7), Zone(0.006, 0.3)], loose=True)


# ---------------------------------------------------------------- the kiln


def test_a_kiln_without_limits_follows_the_programme():
    firing = fire(TWO, TWO_ZONES)
    assert np.allclose(firing.air, firing.program, rtol=0, atol=1e-6)
    assert firing.time[-1] == pytest.approx(TWO.duration, rel=1e-12)
    assert firing.heating_end == pytest.approx((630 / 200 + 37 / 60 + 85 / 280) * 3600, rel=1e-9)  # hand


def test_a_kiln_heats_and_cools_within_its_limits():
    kiln = Kiln(fastest_heating=100, cooling_time=3 * 3600)
    firing = fire(programme("200/500/30, fast/300/60, 100/30/0"), even(0.006), kiln)
    rate = np.diff(firing.air) / np.diff(firing.time) * 3600
    assert rate.max() == pytest.approx(100, rel=1e-6)
    arrival = 480 / 100 * 3600  # hand: 480 K at 100 degC/h
    at_top = firing.time[np.isclose(firing.air, 500)]
    assert at_top[0] == pytest.approx(arrival, rel=1e-9)
    assert at_top[-1] == pytest.approx(arrival + 1800, rel=1e-9)  # the hold starts when the air arrives
    start = arrival + 1800
    falling = np.interp(start + 1800, firing.time, firing.air)
    assert falling == pytest.approx(20 + 480 * np.exp(-0.5 / 3), abs=0.2)  # exact: exponential, 3 h
    # 100 degC/h is more than (300 - 20)/3 h = 93 degC/h: behind from the start; the target is 30 degC
    last = 3 * 3600 * np.log(480 / 280) + 3600 + 3 * 3600 * np.log(280 / 10)
    assert firing.time[-1] == pytest.approx(start + last, rel=1e-9)  # exact


def test_the_programme_leads_where_the_kiln_keeps_up_at_first():
    # 30 degC/h is kept down to 20 + 30 x 3 = 110 degC
    firing = fire(Schedule([Segment(30, 20)], start=200), even(0.006), SMALL_BRICK_KILN)
    keeps_up = firing.time < 3 * 3600 * (1 - 1e-9)
    assert np.allclose(firing.air[keeps_up], firing.program[keeps_up], rtol=0, atol=1e-6)
    assert (firing.air >= firing.program - 1e-9).all()
    assert (firing.air - firing.program).max() > 15
    # exact: 90 K down to 110, then 90 K to 5 K above the room
    assert firing.time[-1] == pytest.approx(3 * 3600 + 3 * 3600 * np.log(90 / 5), rel=1e-9)


def test_an_uneven_kiln_is_reported_beside():
    even_kiln, uneven = (fire(THIN, even(0.006), Kiln(unevenness=u)) for u in (0.0, 0.1))
    assert uneven.peak_tension("heating") == even_kiln.peak_tension("heating")
    assert not even_kiln.uneven_tension.any()
    lag = uneven.air - simpson(uneven.temperature[:, 0], axis=1, dx=1 / (uneven.temperature.shape[2] - 1))
    cold = (uneven.temperature[:, 0].max(axis=1) < 473) & (uneven.time < uneven.heating_end)
    by_hand = 71e9 * 9.35e-6 * 0.1 * np.abs(lag[cold]).max() / 2
    added = uneven.uneven_tension[uneven.time <= uneven.heating_end].max()
    assert added == pytest.approx(by_hand, rel=0.02)  # exact: E alpha u dT/2
    sums = uneven.peak_with_unevenness("heating")
    assert sums <= uneven.peak_tension("heating") + added * (1 + 1e-9)
    assert sums > added


def test_no_shelf_and_the_default_shelf():
    posts = even(0.006, support="open")
    assert np.array_equal(fire(HEATING, posts, Kiln(shelf=None)).stress, fire(HEATING, posts).stress)
    named = Kiln(shelf=refractory("cordierite shelf 18 mm"))
    assert Kiln().shelf == "default"
    assert np.array_equal(fire(HEATING, even(0.006), named).stress, fire(HEATING, even(0.006)).stress)


def test_a_segment_without_a_rate_is_counted_at_600():
    counted = fire(programme("600/560/0"), even(0.006))  # own choice: 600 degC/h where no kiln limits it
    assert np.array_equal(fire(programme("fast/560/0"), even(0.006)).stress, counted.stress)
    quick = fire(programme("fast/560/0"), even(0.006), Kiln(fastest_heating=900))
    assert quick.heating_end == pytest.approx(540 / 900 * 3600, rel=1e-9)  # hand: as fast as that kiln does


def test_tension_is_read_at_the_moment_glass_passes_its_strain_point():
    firing = fire(programme("1200/900/10, 100/20/0"), even(0.012))
    heating = firing.time < firing.heating_end
    for way in (heating, ~heating):
        row, node = np.argwhere((np.abs(firing.temperature[:, 0] - 473) < 1e-6) & way[:, None])[0]
        # exact: between the steps before and after, and counted
        assert firing.tension[row] >= firing.stress[row, 0, node]
        before, at, then = firing.temperature[row - 1 : row + 2, 0, node]
        assert min(before, then) < at < max(before, then)


def test_tension_early_in_the_hold_at_the_top_is_heating():
    # 25 mm heated at 600 degC/h to 450: its top face is behind for an hour after the kiln has arrived
    firing = fire(programme("600/450/90, 20/20/0"), even(0.025))
    arrives = 430 / 600 * 3600
    assert firing.heating_end == pytest.approx(arrives + 5400, rel=1e-9)  # hand
    just_after = (firing.time > arrives) & (firing.time < arrives + 1200)
    held = firing.tension[just_after].max()
    assert firing.peak_tension("heating") >= held > firing.peak_tension("cooling")


# ---------------------------------------------------------------- how it reads


def test_the_worst_moment_in_words():
    firing = fire(TWO, TWO_ZONES)
    assert firing.worst("heating") == (
        "9.53 MPa tension in the thick zone's underside at 117 °C while heating, 29 min in"  # regression
    )
    moment = firing.worst_moment()
    assert moment is firing.worst_heating
    # hand: at 200 degC/h from 20 degC
    assert moment.time / 3600 * 200 + 20 == pytest.approx(moment.air, abs=0.01)
    assert moment.tension == firing.stress[firing.time == moment.time, moment.zone].max()
    assert "MPa (" in firing.worst(units="both") and "°F" in firing.worst(units="inches")
    assert fire(THIN, even(0.006)).worst("cooling").endswith("and it stays in the cold piece")
    with pytest.raises(ValueError, match="phase must be"):
        firing.peak_tension("soaking")


def test_loose_sheets_are_named_and_fuse():
    heap = Piece(REFERENCE, [Zone(0.003, 0.7), Zone(0.006, 0.3)], loose=True)
    firing = fire(TWO, heap)
    assert 'the sheet "base" in the thick zone' in firing.worst("heating")
    coldest = firing.temperature.min(axis=(1, 2))
    fused = np.searchsorted(firing.time, firing.fused_at)
    assert coldest[fused - 1] < 514 <= coldest[fused]  # exact: the annealing point
    # once one piece, it keeps what a solid one keeps
    solid = fire(TWO, Piece(REFERENCE, [Zone(0.003, 0.7), Zone(0.006, 0.3)]))
    assert firing.residual.max() == pytest.approx(solid.residual.max(), rel=0.02)
    assert firing.temperature.shape == (len(firing.time), 2, firing.height.shape[1])
    assert firing.height.shape[1] % 2 == 1


def test_a_schedule_that_only_cools_has_no_heating():
    firing = fire(programme("60/20/0", start=560), even(0.012))
    assert firing.peak_tension("heating") == 0.0
    assert firing.worst("heating") == "no tension while heating"
    assert firing.peak_tension("cooling") > 0


# ---------------------------------------------------------------- what cannot be


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: Kiln(film=-1), "film is -1 W/m2/K; allowed is 0 to 1e"),
        (lambda: Kiln(film=0, emissivity=0), "no heat would ever reach the glass"),
        (lambda: Kiln(emissivity=float("nan")), "emissivity is nan"),
        (lambda: Kiln(underside=2), "underside is 2; allowed is 0 to 1"),
        (lambda: Kiln(cooling_time=3), "Did you mean 3 h, that is 10800 s"),
        (lambda: Kiln(fastest_heating=0), "fastest_heating is 0 degC/h"),
        (lambda: Kiln(shelf="cordierite"), "shelf must be a Refractory"),
        (lambda: fire("150/560", even(0.006)), "schedule must be a Schedule"),
        (lambda: fire(THIN, Zone(0.006, 1.0)), "piece must be a Piece"),
        (lambda: fire(THIN, even(0.006), 20), "kiln must be a Kiln"),
        (lambda: fire(THIN, even(0.006), fineness=0), "fineness is 0; allowed is 1 to 8"),
        (lambda: fire(THIN, even(0.006), fineness=1.5), "fineness must be a whole number"),
        (lambda: fire(THIN, even(0.006), Kiln(shelf=None)), r"this kiln has no shelf \(shelf=None\)"),
        (lambda: fire(THIN, even(0.006)).energy(0), "area is 0 m2"),
        (lambda: fire(THIN, even(0.006), after=THIN), "after must be a Firing"),
        (lambda: fire(THIN, even(0.006), after=fire(THIN, even(0.005))), "other thicknesses or shares"),
        (
            lambda: fire(THIN, even(0.006, glass("float")), after=fire(THIN, even(0.006))),
            "this piece is of float",
        ),
        (lambda: fire(THIN, HEAP, after=fire(THIN, HEAP)), "cannot be loose in the next one"),
        (
            lambda: fire(THIN, TWO_ON_SHELF, after=fire(programme("100/200/0"), HEAP)),
            "left the sheets loose",
        ),
    ],
)
def test_what_cannot_be_is_a_sentence(make, says):
    with pytest.raises(ValueError, match=says):
        make()


def test_extremes_stay_finite():
    fastest = programme("600/900/10, fast/514/30, 600/20/0")
    for thickness in (0.0003, 0.15):
        for kiln in (Kiln(), FOLLOWS, SMALL_BRICK_KILN):
            firing = fire(fastest, even(thickness), kiln)
            assert np.isfinite(firing.stress).all() and np.isfinite(firing.residual).all()
            assert firing.temperature.min() - 20 > -1 and firing.temperature.max() < 905
    board = Kiln(shelf=refractory("fibre board 25 mm"))
    assert fire(HEATING, TWO_ON_SHELF, board).peak_tension("heating") > 0


# ------------------------------------------------------------------ cases side by side


def test_cases_side_by_side_are_what_each_is_alone():
    glass_ = dataclasses.replace(REFERENCE, conductivity_share=0.8)
    zones = [Zone(0.004, 0.6), Zone(0.008, 0.4, feature_width=0.02)]
    schedule = programme("150/620/20, fast/514/40, 60/373/0, 180/20/0")
    cases = [
        (Piece(REFERENCE, zones), Kiln()),
        (Piece(glass_, zones), Kiln(underside=0.0)),
        (Piece(REFERENCE, zones), Kiln(film=12.0, contact_resistance=0.001)),
    ]
    for beside, (piece, kiln) in zip(fire_alike(schedule, cases), cases, strict=True):
        alone = fire(schedule, piece, kiln)
        for phase in ("heating", "cooling"):
            assert beside.peak_tension(phase) == pytest.approx(alone.peak_tension(phase), rel=0.005)
        assert beside.residual.max() == pytest.approx(alone.residual.max(), rel=0.005)
        assert beside.heat_error < 0.01 and beside.piece == piece
        assert beside.energy(1.0) == pytest.approx(alone.energy(1.0), rel=0.005)


def test_cases_that_are_not_alike_are_refused():
    plate, schedule = Piece(REFERENCE, [Zone(0.006, 1.0)]), programme("150/300/0")
    other = dataclasses.replace(REFERENCE, expansion=8e-6)
    for odd in (
        (Piece(other, plate.body), Kiln()),
        (plate, Kiln(cooling_time=7200)),
        (plate, Kiln(emissivity=0.5)),
    ):
        with pytest.raises(ValueError, match="alike"):
            fire_alike(schedule, [(plate, Kiln()), odd])
    with pytest.raises(ValueError, match="empty"):
        fire_alike(schedule, [])


def test_the_coldest_glass_is_that_of_the_firing():
    schedule, piece = programme("200/500/15"), Piece(REFERENCE, [Zone(0.004, 0.6), Zone(0.012, 0.4)])
    firing = fire(schedule, piece)
    time, air, coldest = coldest_glass(schedule, piece)
    expected = np.interp(time, firing.time, firing.temperature.min(axis=(1, 2)))
    assert coldest == pytest.approx(expected, abs=1e-6) and air[-1] == 500
