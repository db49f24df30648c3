"""Sheets, papers, formers, rods, an order of glass: against counts by hand and every mixture tried."""

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kilncalc import cutting, layers, settling, volume
from kilncalc.cutting import Blank, StockSheet
from kilncalc.layers import (
    Finished,
    Paper,
    bevel_widths,
    count_paper,
    former_size,
    order_glass,
    paper,
    paper_layers,
    rods_on_sheet,
    rods_thickness,
    sheets_for,
    stack_at_rest,
    stepped_former,
)
from kilncalc.materials import glass, refractory

# ------------------------------------------------------------------------------------- sheets and papers


def test_sheets_by_measured_thickness():
    found = sheets_for(9e-3, 3.4e-3, tolerance=0.1e-3)
    # hand: 2 x 3.4 = 6.8, 9 - 6.8 = 2.2; 3 x 3.4 = 10.2, 9 - 10.2 = -1.2; 2 x 0.1 and 3 x 0.1
    assert (found.down.count, found.up.count) == (2, 3)
    assert found.down.depth == pytest.approx(6.8e-3, rel=1e-9)
    assert found.down.shortfall == pytest.approx(2.2e-3, rel=1e-9)
    assert found.down.uncertainty == pytest.approx(0.2e-3, rel=1e-9)
    assert found.up.shortfall == pytest.approx(-1.2e-3, rel=1e-9)
    assert found.up.uncertainty == pytest.approx(0.3e-3, rel=1e-9)
    assert found.nearest is found.up


def test_a_stack_that_fits_exactly_is_both():
    # exact: 3 x 0.1 is not 0.3 in binary, and 0.3e-2/0.1e-2 must still count as three
    found = sheets_for(9e-3, 3e-3)
    assert found.down == found.up
    assert (found.down.count, found.down.shortfall) == (3, 0.0)


def test_two_stacks_that_miss_alike_take_the_fewer_layers():
    assert paper_layers(5e-3, 2e-3).nearest.count == 2  # hand: 4 or 6 for 5, one off either way


def test_a_paper_far_thicker_than_its_name():
    # common practice, no source: three layers of a paper sold as 3.2 mm (1/8 in) where its name asks for
    # five, for a depth of about 16 mm; a paper measures up to two thirds more than its name
    assert paper_layers(16e-3, 3.2e-3).nearest.count == 5
    assert paper_layers(16e-3, 3.2e-3 * 5 / 3).nearest.count == 3


def test_the_former_of_the_sleeve():
    thin = paper("fibre paper 2 mm")
    found = paper_layers(9e-3, thin.measured)
    # hand: 3 x 2.3 = 6.9, 2.1 too little; 4 x 2.3 = 9.2, 0.2 too much
    assert (found.down.count, found.up.count) == (3, 4)
    assert found.up.shortfall == pytest.approx(-0.2e-3, rel=1e-6)
    fired = paper_layers(9e-3, thin.measured, kept=thin.kept)
    # hand: 4 x 2.25 = 9.0 (invented: 2.25 mm under the glass after firing)
    assert (fired.down.count, fired.down.shortfall) == (4, 0.0)


def test_the_face_takes_its_own_thickness():
    # hand: 25.4 - 6.2 = 19.2, 5 x 3.8 = 19.0; without the face 25.4/3.8 = 6.68, nearest 7
    found = paper_layers(25.4e-3, 3.8e-3, face=6.2e-3)
    assert found.wanted == pytest.approx(19.2e-3, rel=1e-12)
    assert found.nearest.count == 5
    assert found.nearest.shortfall == pytest.approx(0.2e-3, rel=1e-6)
    assert paper_layers(25.4e-3, 3.8e-3).nearest.count == 7


def test_one_height_counted_by_name_and_by_measure():
    found = count_paper(25.4e-3, 6.2e-3, 3e-3, 3.8e-3)
    # hand: 19.2/3 = 6.4; 7 x 3.8 + 6.2 - 25.4 = 7.4, 6 x 3.8 + 6.2 - 25.4 = 3.6, 5: -0.2
    assert (found.by_name, found.counted.down.count, found.counted.up.count) == (6, 5, 6)
    assert [found.over(n) for n in (7, 6, 5)] == pytest.approx([7.4e-3, 3.6e-3, -0.2e-3], rel=1e-9)


def test_mixed_papers():
    # hand: 3.9 + 2.3 = 6.2 and 2 x 3.9 = 7.8 is the next; 3.9 + 2 x 2.3 = 8.5, 4 x 2.3 = 9.2
    found = paper_layers(8e-3, (3.9e-3, 2.3e-3))
    assert (found.down.counts, found.up.counts) == ((2, 0), (1, 2))
    assert found.down.depth == pytest.approx(7.8e-3, rel=1e-9)
    three = paper_layers(8e-3, (3.9e-3, 2.3e-3, 1.1e-3))
    # hand: 3 x 2.3 + 1.1 = 8.0 in four layers; 2 x 2.3 + 3 x 1.1 = 7.9 would take five
    assert three.down == three.up
    assert three.down.counts == (0, 3, 1)


@settings(deadline=None, max_examples=60)
@given(
    depth=st.integers(30, 250),
    sizes=st.lists(st.integers(8, 60), min_size=1, max_size=3, unique=True),
)
def test_mixtures_are_the_nearest_there_are(depth, sizes):
    if depth < min(sizes):
        return
    found = paper_layers(depth * 1e-4, [size * 1e-4 for size in sizes])
    # exact: every mixture tried, in whole tenths of a millimetre
    every = {
        sum(n * size for n, size in zip(counts, sizes, strict=True))
        for counts in itertools.product(*(range(depth // size + 2) for size in sizes))
    }
    below = depth - max(d for d in every if d <= depth)
    above = min(d for d in every if d >= depth) - depth
    slack = 1.0 if len(sizes) > 1 else 0.0  # as stated: 0.1 mm counts as equal in a mixture
    assert below - 1e-6 <= found.down.shortfall * 1e4 <= below + slack + 1e-6
    assert above - 1e-6 <= -found.up.shortfall * 1e4 <= above + slack + 1e-6
    for stack in (found.down, found.up):
        laid = sum(n * size for n, size in zip(stack.counts, sizes, strict=True))
        assert stack.depth == pytest.approx(laid * 1e-4, rel=1e-9)
        assert stack.depth + stack.shortfall == pytest.approx(depth * 1e-4, rel=1e-9)


def test_papers_of_the_table():
    for name in ("fibre paper 1 mm", "fibre paper 2 mm", "fibre paper 3 mm", "fibre paper 1/8 in"):
        found = paper(name)
        assert found.measured == pytest.approx(refractory(name).thickness, rel=1e-12)
        assert found.fired <= found.under_load <= found.measured  # a load and a fire make it no thicker
        assert found.kept == pytest.approx(found.fired / found.measured, rel=1e-12)
    with pytest.raises(ValueError, match=r'no fibre paper called "cordierite.*There are: "fibre paper 1 mm"'):
        paper("cordierite shelf 18 mm")


def test_steps_are_counted_from_the_shelf():
    # hand: 5/2.3 = 2.17, 10/2.3 = 4.35, 15/2.3 = 6.52; step by step it would be 2, 4, 6
    assert [step.count for step in stepped_former([5e-3, 10e-3, 15e-3], 2.3e-3)] == [2, 4, 7]


def test_a_bevel_keeps_area_and_slope():
    widths = bevel_widths(0.040, 0.020, 4)
    assert widths == pytest.approx([0.0375, 0.0325, 0.0275, 0.0225], rel=1e-12)  # hand: 20/4 = 5 apart
    assert widths.mean() == pytest.approx(0.030, rel=1e-12)  # exact: area of the trapezium


def test_former_of_the_banner():
    # hand: (66 - 18)/2 = 24; 152 + 2 x 10
    found = former_size(0.066, 0.152, 0.018, 0.010)
    assert (found.margin, found.length) == pytest.approx((0.024, 0.172), rel=1e-12)
    # hand: 152 + 10
    assert former_size(0.066, 0.152, 0.018, 0.010, open_ends=1).length == pytest.approx(0.162, rel=1e-12)


def test_rods_weigh_what_their_thickness_says():
    # exact: n rods of a cylinder's volume on a square; 8 rods of 2 mm on 120 mm
    rods = 8 * volume.cylinder(1e-3, 0.120)
    assert rods_thickness(2e-3, 0.015) == pytest.approx(rods / 0.120**2, rel=1e-12)
    assert rods_thickness(2e-3, [0.015, 0.030], directions=2) == pytest.approx(
        [2 * rods / 0.120**2, rods / 0.120**2], rel=1e-12
    )
    # exact: rods that touch are pi/4 of a sheet as thick as they are
    assert rods_thickness(2e-3, 2e-3) == pytest.approx(2e-3 * math.pi / 4, rel=1e-12)
    assert type(rods_thickness(2e-3, 0.015)) is float


def test_rods_on_a_sheet_by_hand():
    # hand: 3 + 2 x pi x 9/(4 x 12) = 4.178; 3 + 2 x 3 = 9; one way 3 + 3 = 6 and half of what is added
    grid, row = (rods_on_sheet(3e-3, 3e-3, 12e-3, n) for n in (2, 1))
    assert (grid.even, grid.highest) == pytest.approx((4.178097e-3, 9e-3), rel=1e-6)
    assert (row.even - 3e-3, row.highest) == pytest.approx((grid.added / 2, 6e-3), rel=1e-12)


# --------------------------------------------------------------------------- a stack, and a whole order


def test_a_stack_says_how_many_sheets_would_keep_their_size():
    found = stack_at_rest(glass("kiln glass A"), 0.100, 4, 2.9e-3, 120)
    # hand: 2 sqrt(0.31/(2500 x 9.80665)) sin 60 = 6.159; /2.9 = 2.12
    assert found.keeping.wanted == pytest.approx(6.159e-3, rel=1e-3)
    assert (found.keeping.down.count, found.keeping.up.count, found.keeping.nearest.count) == (2, 3, 2)
    assert found.stack.thickness == pytest.approx(11.6e-3, rel=1e-12)  # hand: 4 x 2.9
    with pytest.raises(ValueError, match="sheets must be a whole number"):
        stack_at_rest(glass("kiln glass A"), 0.100, 1.5, 3e-3, 120)


def test_an_order_by_hand():
    sleeve = Finished("sleeve", 0.150, 0.060, layers=2, draw_in_along_width=2e-3)
    # hand: 150 + 2 x 1, 60 + 2 x (2 + 1); once for each layer
    assert sleeve.blank(1e-3) == Blank("sleeve", 0.152, 0.066, count=2)
    found = order_glass([sleeve], StockSheet(0.500, 0.400, 3.2e-3, 2500), trim=1e-3)
    # hand: 2 x 15 x 6 = 180 and 2 x 15.2 x 6.6 = 200.64 of 2000 cm2, x 0.32 cm x 2.5 g/cm3 = 0.8 g/cm2
    assert (found.finished_mass, found.lost_mass, found.offcut_mass) == pytest.approx(
        (0.1440, 0.016512, 1.439488), rel=1e-9
    )
    assert found.names == ("sleeve",) and len(found.plan.sheets) == 1


@given(trim=st.floats(0, 8e-3), kerf=st.floats(0, 4e-3))
@settings(deadline=None, max_examples=25)
def test_all_glass_bought_is_accounted_for_and_trimming_never_helps(trim, kerf):
    pieces = [Finished("tray", 0.240, 0.180, layers=2), Finished("banner", 0.420, 0.150, layers=2)]
    stock = StockSheet(0.500, 0.450, 3.2e-3, 2500)
    found, bare = (order_glass(pieces, stock, trim=t, kerf=kerf) for t in (trim, 0.0))
    # exact: nothing vanishes; what is wanted is the same however much is trimmed, what is lost grows
    parts = found.finished_mass + found.lost_mass + found.offcut_mass
    assert parts == pytest.approx(found.plan.stock_mass, rel=1e-12)
    assert found.finished_mass == bare.finished_mass
    assert found.lost_mass >= bare.lost_mass - 1e-12
    assert len(found.plan.sheets) >= len(bare.plan.sheets)


def test_the_names_that_others_rely_on_are_found_here():
    # exact: settled thickness, blanks and cut lists are those of their own modules
    assert (layers.settled_thickness, layers.blank_size, layers.cut_list) == (
        settling.settled_thickness,
        cutting.blank_size,
        cutting.cut_list,
    )


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: Finished("a", 0.1, 0.1, layers=0), 'layers of "a" is 0'),
        (lambda: Finished("a", 100, 0.1), r'length of "a" is 100 m.*Did you mean 100 mm'),
        (lambda: rods_on_sheet(3e-3, 2e-3, 1e-2, 4), "directions is 4"),
        (lambda: paper_layers(3e-3, 3.9e-3), "3 mm, less than one layer of 3.9 mm: take a thinner one"),
        (lambda: paper_layers(8e-3, 3.9e-3, face=6e-3), "2 mm, less than one layer"),
        (lambda: paper_layers(8e-3, 3.9e-3, face=8e-3), "nothing is left for the paper"),
        (lambda: paper_layers(8, 3.9e-3), r"depth is 8 m.*Did you mean 8 mm"),
        (lambda: paper_layers(8e-3, [1e-3] * 4), "one to three thicknesses in m, got 4"),
        (lambda: paper_layers(8e-3, []), "one to three thicknesses"),
        (lambda: paper_layers(8e-3, float("nan")), "measured_thickness is nan m"),
        (lambda: paper_layers(8e-3, 2e-3, tolerance=-1e-4), "tolerance is -0.0001 m"),
        (lambda: paper_layers(8e-3, 2e-3, tolerance=2e-3), "not below the thickness of one layer"),
        (lambda: sheets_for(2e-3, 3e-3), "less than one sheet of 3 mm"),
        (lambda: sheets_for("9 mm", 3e-3), "thickness must be a number in m"),
        (lambda: Paper("x", 2e-3, 2e-3, 2.3e-3, 2e-3), "a weight does not make paper thicker"),
        (lambda: stepped_former([5e-3, 5e-3], 1e-3), "must rise"),
        (lambda: bevel_widths(0.04, 0.02, 2.5), "layers must be a whole number"),
        (lambda: former_size(0.06, 0.15, 0.07, 0.01), "former_width is 0.07 m, but the glass"),
        (lambda: former_size(0.06, 0.15, 0.018, 0.01, open_ends=0), "open_ends is 0; allowed is 1 to 2"),
        (lambda: rods_thickness(2e-3, 1e-3), "rods side by side are one diameter apart"),
    ],
)
def test_counts_that_cannot_be_are_refused(call, match):
    with pytest.raises(ValueError, match=match):
        call()
