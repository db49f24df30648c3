"""An even slab: what is behind, what is pulled, where it is not, and what holding it flat changes."""

import dataclasses

import numpy as np
import pytest

from kilncalc import firing, materials, slab

GLASS = materials.glass("kiln glass A")
PER_DEGREE = (
    GLASS.youngs_modulus * GLASS.expansion / (1 - GLASS.poissons_ratio) / 3
)  # Pa/K, Adams & Williamson
CASES = [(thickness, rate) for thickness in (0.003, 0.006, 0.012, 0.019) for rate in (60, 150, 300)]


@pytest.mark.parametrize(("thickness", "rate"), CASES)
def test_each_degree_pulls_the_faces_twice_as_hard_on_the_way_down_as_the_middle_on_the_way_up(
    thickness, rate
):
    heated = slab.steady_slab(thickness, rate, GLASS)
    cooled = slab.steady_slab(thickness, rate, GLASS, heating=False)
    # exact: E alpha/(1 - nu) times a third of the lag in the middle, two thirds at the faces; 3 % because the
    # parabola is still forming at the largest rates, and for what relaxes in slow glass
    assert heated.tension_per_degree == pytest.approx(PER_DEGREE, rel=0.03)
    assert cooled.tension_per_degree == pytest.approx(2 * PER_DEGREE, rel=0.03)
    assert heated.stress.argmax() == heated.stress.size // 2
    assert set(np.flatnonzero(cooled.stress > 0.999 * cooled.tension)) == {0, cooled.stress.size - 1}
    assert heated.heating and not cooled.heating


def test_twice_the_thickness_pulls_four_times_and_twice_the_rate_twice():
    def pull(thickness, rate):
        return slab.steady_slab(thickness, rate, GLASS).tension

    # exact: R L^2; 10 % for what radiation does to the rate of the slab
    assert pull(0.012, 60) == pytest.approx(4 * pull(0.006, 60), rel=0.1)
    assert pull(0.012, 100) == pytest.approx(2 * pull(0.012, 50), rel=0.1)


@pytest.mark.parametrize("heating", [True, False])
@pytest.mark.parametrize("thickness", [0.019, 0.0215, 0.025])
def test_the_rate_at_the_limit_pulls_with_the_limit_whatever_rate_is_looked_at(thickness, heating):
    slow, quick = (slab.steady_slab(thickness, rate, GLASS, heating) for rate in (20, 300))
    assert slow.rate_at_limit == quick.rate_at_limit  # exact: it does not depend on the rate
    there = slab.steady_slab(thickness, slow.rate_at_limit, GLASS, heating)
    assert there.tension == pytest.approx(3.5e6, rel=2e-3)  # exact: what it means
    lower = slab.steady_slab(thickness, 100, GLASS, heating, allowed_tension=1e6).rate_at_limit
    assert lower < slow.rate_at_limit


def test_a_thin_slab_reaches_the_limit_at_no_rate_of_a_kiln():
    thin = slab.steady_slab(0.006, 100, GLASS)
    assert thin.rate_at_limit == np.inf
    # hand: a quarter of the rate for twice the thickness: 375 x 4 is more than 1000 degC/h
    assert slab.steady_slab(0.0095, 1000, GLASS).tension < 3.5e6


def test_the_temperatures_are_told_from_their_mean():
    heated = slab.steady_slab(0.019, 150, GLASS)
    # exact: a parabola x^2 has the mean 1/3, so its faces are 2/3 of the lag above and its middle 1/3 below
    assert heated.from_mean[0] == pytest.approx(2 * heated.lag / 3, rel=0.03)
    assert heated.from_mean[heated.from_mean.size // 2] == pytest.approx(-heated.lag / 3, rel=0.03)


@pytest.mark.parametrize("name", ["kiln glass A", "float", "borosilicate 3.3"])
@pytest.mark.parametrize(("thickness", "rate"), [(0.006, 100), (0.012, 150), (0.019, 60)])
def test_the_depth_of_no_stress_is_the_published_one(name, thickness, rate):
    found = slab.neutral_depth(thickness, rate, materials.glass(name))
    assert found.published == 0.211  # published: Adams & Williamson 1920, J. Franklin Inst. 190
    assert found.computed == pytest.approx((1 - 1 / np.sqrt(3)) / 2, abs=0.002)  # exact: 1 - 3 x^2 = 0
    assert found.difference == pytest.approx(found.computed / 0.211 - 1, rel=1e-12)
    # exact: the formula holds for the rate of the glass; its own rate is not the kiln's
    own_rate = found.closed_form.max() * found.glass_rate / found.kiln_rate
    assert found.stress.max() == pytest.approx(own_rate, rel=0.02)


# own prototype: times as hard held flat on the default shelf: 25 at 3 mm, 12 at 6, 5 at 12, 2 at 25 mm
@pytest.mark.parametrize(("thickness", "times"), [(0.003, 25), (0.006, 12), (0.012, 5), (0.025, 2)])
def test_a_piece_that_cannot_bow_is_pulled_harder_the_thinner_it_is(thickness, times):
    assert slab.held_flat(thickness, 150, GLASS).times == pytest.approx(times, rel=0.12)


def test_held_flat_over_an_insulated_underside_it_is_four_times():
    insulated = firing.Kiln(contact_resistance=1.0)
    # exact: heated from above alone T = x^2: flat 1/3 of it pulls, free (x^2 - x + 1/6) 1/12; 4 % for the
    # little heat that still comes from below
    assert slab.held_flat(0.012, 100, GLASS, insulated).times == pytest.approx(4, rel=0.04)


@pytest.mark.parametrize("thickness", [0.003, 0.006, 0.012])
@pytest.mark.parametrize("underside", [0.0, 1.0])
def test_a_free_piece_takes_the_bend_of_its_temperatures(thickness, underside):
    found = slab.held_flat(thickness, 150, GLASS, firing.Kiln(underside=underside))
    # exact: kappa = alpha dT/d; what is curved in the temperatures is the same on both sides
    assert found.curvature == pytest.approx(GLASS.expansion * found.difference / thickness, rel=0.03)
    assert found.bow(0.4) == pytest.approx(found.curvature * 0.02, rel=1e-12)  # hand: 0.4 x 0.4 / 8 = 0.02
    # exact: held flat all of it pulls, E alpha/(1 - nu) times the distance from the mean
    assert found.flat == pytest.approx(-3 * PER_DEGREE * found.from_mean, abs=0.01 * found.flat.max())


def test_posts_under_the_shelf_help_more_than_half_the_rate():
    floor, posts, slower = (
        slab.held_flat(0.006, rate, GLASS, firing.Kiln(underside=underside)).flat.max()
        for rate, underside in ((150, 0.0), (150, 1.0), (75, 0.0))
    )
    assert posts < slower < floor  # own prototype: +60 % for a shelf on the floor, and more when held flat


def test_nonsense_is_refused_in_words():
    with pytest.raises(ValueError, match="allowed_tension"):
        slab.steady_slab(0.006, 100, GLASS, allowed_tension=3.5)
    with pytest.raises(ValueError, match="span"):
        slab.held_flat(0.006, 100, GLASS).bow(0)
    with pytest.raises(ValueError, match="thickness"):
        slab.neutral_depth(6.0, 100, GLASS)


def test_results_cannot_be_changed():
    with pytest.raises(dataclasses.FrozenInstanceError):
        slab.steady_slab(0.006, 100, GLASS).rate = 5


@pytest.mark.parametrize("heating", [True, False])
def test_what_is_likely_is_about_the_slab_alone(heating):
    found = slab.steady_slab(0.012, 150, GLASS, heating)
    assert found.likely.value == pytest.approx(found.tension, rel=2e-3)
    # exact: R L^2/k: conductivity from 0.86 to 1.10 of what is used; a slab on posts has no shelf
    assert found.likely.parts["conductivity"][1] == pytest.approx(1 / 0.86, rel=0.03)
    assert set(found.likely.parts) & {"underside", "contact"} == set()
    flat = slab.held_flat(0.006, 150, GLASS)
    assert flat.likely.value == pytest.approx(flat.flat.max(), rel=2e-3)
    assert flat.likely.low <= flat.likely.value < flat.likely.high
