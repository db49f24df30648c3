"""Uneven pieces: how far their parts are apart, what that pulls, what stays, and the heat behind it."""

import numpy as np
import pytest
from scipy.constants import sigma

from kilncalc import firing, materials, uneven
from kilncalc.piece import Piece, Zone

GLASS = materials.glass("kiln glass A")


def test_parts_are_behind_by_how_much_heat_they_need():
    rate, thin, thick = 60.0, 0.003, 0.009
    open_piece = Piece(GLASS, (Zone(thin, 0.5), Zone(thick, 0.5)), support="open")
    fired = firing.fire(uneven.warming(rate), open_piece, firing.Kiln(film=1000.0, emissivity=0.0))
    for zone, thickness in ((0, thin), (1, thick)):
        behind = uneven.behind_the_kiln(fired, zone)
        mean = fired.air[-1] - behind[-1]
        k, c = GLASS.conductivity(mean), GLASS.heat_capacity(mean)
        # exact: R rho c d/(2 h) outside and R rho c (d/2)^2/(3 k) inside, mean below the face
        needs = rate / 3600 * GLASS.density * c * (thickness / 2000 + (thickness / 2) ** 2 / (3 * k))
        assert behind[-1] == pytest.approx(needs, rel=0.02)


@pytest.mark.parametrize(("rate", "extra"), [(100, 0.003), (100, 0.0015), (150, 0.003)])
def test_thick_and_thin_part_by_two_degrees_a_millimetre(rate, extra):
    found = uneven.two_thicknesses(rate, 0.003, extra, 0.3, GLASS)
    # own prototype: the lesson's rule, 2.2 degC for each mm and each 100 degC/h
    assert found.apart == pytest.approx(2.2 * extra / 1e-3 * rate / 100, rel=0.1)
    assert (found.thin, found.thick) == (0.003, 0.003 + extra)


def test_what_lies_on_a_base_sheet_is_no_heap():
    found = uneven.two_thicknesses(100, 0.003, 0.003, 0.3, GLASS)
    solid, on_base, heap = (one.peak_tension("heating") for one in (found.solid, found.on_base, found.heap))
    assert 0 < heap < 0.05 * solid  # common practice, no source: a heap is free
    assert on_base > 0.8 * solid  # own prototype: 6.5 to 7.6 MPa against 7.4


def test_a_heap_is_pulled_as_its_sheets_are():
    gentle, harsh = (
        uneven.two_thicknesses(rate, 0.009, 0.006, 0.3, GLASS).heap.peak_tension("heating")
        for rate in (25, 150)
    )
    sheet = firing.fire(uneven.warming(150), Piece(GLASS, (Zone(0.009, 1.0),)))
    assert harsh == pytest.approx(sheet.peak_tension("heating"), rel=0.3)  # exact: the same sheet, alone
    assert gentle < harsh / 4


@pytest.mark.parametrize("thin", [0.002, 0.003, 0.006])
@pytest.mark.parametrize("extra", [0.001, 0.003, 0.006])
@pytest.mark.parametrize("share", [0.05, 0.3, 0.6])
def test_the_one_that_is_pulled_most_is_the_largest_of_the_three(thin, extra, share):
    found = uneven.two_thicknesses(100, thin, extra, share, GLASS)
    peaks = [one.peak_tension("heating") for one in (found.solid, found.on_base, found.heap)]
    assert found.pulled_most.peak_tension("heating") == max(peaks)  # exact: what it means


def test_loose_glass_can_be_worse_than_solid_and_then_it_is_the_one_that_is_pulled_most():
    found = uneven.two_thicknesses(100, 0.003, 0.006, 0.6, GLASS)
    assert found.pulled_most is found.on_base  # own prototype: 6.5 to 7.6 MPa loose against 7.4 solid


def test_what_stays_pulls_the_part_that_set_last():
    slow = uneven.two_thicknesses(13.8, 0.003, 0.003, 0.3, GLASS)
    assert slow.stays == pytest.approx(0.5e6, rel=0.1)  # own prototype: 13.8 degC/h leaves 0.5 MPa
    assert slow.stays_in_thick  # exact: the thick part is the hotter one while both set
    quick = uneven.two_thicknesses(100, 0.003, 0.003, 0.3, GLASS)
    assert 5 * slow.stays < quick.stays < 100 / 13.8 * slow.stays  # own prototype: peak ~ rate^0.8 ... 1
    assert quick.cooled.air[0] == GLASS.annealing_point


def test_a_former_pulls_harder_the_higher_it_is_and_harder_than_a_rib():
    heights = (0.001, 0.0046, 0.0092, 0.0184)
    found = [uneven.covered(100, 0.006, paper, 0.016, GLASS) for paper in heights]
    assert sorted(one.tension for one in found) == [one.tension for one in found]
    assert [one.apart for one in found] == sorted(one.apart for one in found)
    # own prototype: a former of 10 mm is as harsh as a rib
    assert found[2].tension > found[2].rib.peak_tension("heating")


def test_a_rib_is_gentler_the_narrower_it_is():
    shares = [uneven.rib(100, 0.003, 0.003, width, GLASS).share for width in (0.002, 0.010, 0.060)]
    assert shares[0] < shares[1] < shares[2] < 0.7  # own prototype: 0.60 + 0.09 for a wide one on a shelf


def test_the_exchange_is_the_published_film_and_the_law_of_radiation():
    found = uneven.exchange()
    assert found.by_air == 7.0  # published: Incropera & DeWitt, example 9.2 (from memory)
    face, room = 232 + 273.15, 23 + 273.15
    # exact: sigma (Ts^4 - Tr^4)/(Ts - Tr), black
    assert found.by_radiation == pytest.approx(sigma * (face**4 - room**4) / (face - room), rel=1e-6)
    assert found.together == pytest.approx(22.6, abs=0.05)  # hand: 7.0 + 15.6
    # exact: 5 by air and nine tenths of the radiation
    assert found.computed == pytest.approx(5 + 0.9 * found.by_radiation, rel=1e-9)
    assert found.computed == pytest.approx(np.interp(232, found.temperature, found.coefficient), rel=1e-3)
    assert found.difference == pytest.approx(found.computed / 22.6 - 1, abs=0.003)
    assert uneven.exchange(firing.Kiln(film=7.0, emissivity=1.0)).difference == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: uneven.two_thicknesses(100, 0.003, 3.0, 0.3, GLASS), "extra"),
        (
            lambda: uneven.two_thicknesses(100, 0.003, 0.003, 0.3, GLASS, allowed_residual=0.5),
            "allowed_residual",
        ),
        (lambda: uneven.covered(100, 0.006, 0.0092, 0.2, GLASS), "width"),
        (lambda: uneven.rib(100, 0.003, 0.0, 0.01, GLASS), "height"),
    ],
)
def test_nonsense_is_refused_in_words(call, name):
    with pytest.raises(ValueError, match=name):
        call()


def test_what_is_likely_leaves_an_uneven_kiln_out():
    found = uneven.two_thicknesses(100, 0.003, 0.003, 0.3, GLASS)
    assert found.likely.value == found.solid.peak_tension("heating")  # exact: the same number, not the sum
    assert found.likely.low < found.likely.value < found.likely.high
    assert found.likely_stays.value == found.stays
    assert found.likely_stays.low < found.stays < found.likely_stays.high
    # own prototype: the shelf's underside is the most influential unknown
    assert found.likely.parts["underside"][1] > 1.1
    assert uneven.covered(100, 0.006, 0.0092, 0.016, GLASS).likely.high > found.allowed_tension
    rib = uneven.rib(100, 0.003, 0.003, 0.010, GLASS)
    assert rib.likely.value == rib.tension
