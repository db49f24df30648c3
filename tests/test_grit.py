"""Grits against their standards and published laws; the fastest sequence against all others."""

import itertools
import math

import numpy as np
import pytest

from kilncalc import grit

PUBLISHED = {
    # published: ISO 8486-1 and -2 (from memory), um
    **{"F36": 525, "F60": 260, "F80": 185, "F100": 129, "F120": 109, "F180": 69, "F220": 58, "F280": 36.5},
    **{"F320": 29.2, "F400": 17.3, "F500": 12.8, "F600": 9.3, "F1000": 4.5, "F1200": 3.0},
    # published: ISO 6344, as tabulated, um
    **{"P80": 201, "P120": 125, "P180": 82, "P240": 58.5, "P320": 46.2, "P400": 35.0, "P600": 25.8},
    **{"P1000": 18.3, "P1200": 15.3, "P2000": 10.3},
    # published: ANSI B74.18 (CAMI), as quoted, um
    **{"CAMI 60": 265, "CAMI 80": 190, "CAMI 120": 115, "CAMI 220": 68, "CAMI 320": 36, "CAMI 400": 23},
    **{"CAMI 600": 16},
    # published: JIS R6001, um
    **{"JIS 240": 57, "JIS 400": 30, "JIS 600": 20, "JIS 800": 14, "JIS 1000": 11.5, "JIS 2000": 6.7},
    **{"JIS 4000": 3.0},
    # published: FEPA diamond sizes, 125/106, 75/63 and 45/38 um; exact: their mean
    **{"D126": 115.5, "D76": 69, "D46": 41.5},
}


@pytest.mark.parametrize("label", PUBLISHED)
def test_grain_sizes(label):
    assert grit.grit_size(label) == pytest.approx(PUBLISHED[label] * 1e-6, rel=1e-9)


def test_four_standards_make_four_sizes_of_400():
    sizes = [grit.grit_size(label) for label in ("F400", "CAMI 400", "JIS 400", "P400")]
    # published: see above; the coarsest is twice the finest
    assert sizes == sorted(sizes) and len(set(sizes)) == 4
    assert all(coarse > fine * 1.15 for fine, coarse in itertools.pairwise(sizes))
    assert sizes[-1] / sizes[0] == pytest.approx(35.0 / 17.3, rel=1e-9)


def test_the_rule_of_the_sieve():
    # published: ASTM E11, nominal openings; as the docstring says
    for number, opening in {20: 0.850, 30: 0.600, 50: 0.300, 80: 0.180, 100: 0.150, 200: 0.075}.items():
        assert grit.mesh_size(number) == pytest.approx(opening * 1e-3, rel=0.16)
    assert grit.mesh_size(400) == pytest.approx(38e-6, rel=0.01)


def test_coarse_grits_follow_the_sieve_and_fine_ones_do_not():
    # as lesson 5 says: down to 50 um every series stays within 40 % of the rule, finer ones need not
    chart = grit.grit_chart(400)
    share = np.concatenate([sizes / grit.mesh_size(numbers) for numbers, sizes in chart.series.values()])
    grains = np.concatenate([sizes for _, sizes in chart.series.values()])
    assert len(grains) > 70
    assert (np.abs(share[grains > 50e-6] - 1) < 0.4).all()
    assert share[grains < 50e-6].min() < 0.3


@pytest.mark.parametrize("label", ["f400", " F 400 ", "F400"])
def test_a_label_is_read_as_it_is_written(label):
    assert grit.grit_size(label) == pytest.approx(17.3e-6, rel=1e-9)


def test_a_label_without_standard_is_asked_for():
    for label in ("400", "#400"):
        with pytest.raises(ValueError, match=r"F400 is 17\.3 µm, P400 is 35 µm, CAMI 400 is 23 µm, JIS 400"):
            grit.grit_size(label)
    with pytest.raises(ValueError, match="there is no grit “F401”"):
        grit.grit_size("F401")
    with pytest.raises(ValueError, match="is text with its standard"):
        grit.grit_size(400)


def test_depth_of_cracks():
    # published: Lambropoulos 2000 (from memory): 0.3 L^0.68 to 2 L^0.85
    # hand: L = 10: 0.3 x 4.78630 = 1.43589, 2 x 7.07946 = 14.1589
    cracks = grit.damage(10e-6)
    assert (cracks.least, cracks.most) == pytest.approx((1.43589e-6, 14.1589e-6), rel=1e-5)
    # common practice, no source: one to three times the grain comes off, which covers the deepest cracks
    sizes = np.array([9.3, 17.3, 36.5, 58, 109, 185]) * 1e-6
    share = grit.damage(sizes).most / sizes
    assert (share > 0.9).all() and (share < 3).all()


def test_what_is_left_of_the_damage_is_the_deepest_crack():
    found = grit.damage_left(["F80", "F220", "F400", "F600"], [120e-6, 40e-6, 5e-6])
    # hand: F80 2 x 185^0.85 = 169.09; F220 2 x 58^0.85 = 63.09; F400 22.56; F600 13.31 um
    own = [step.own * 1e6 for step in found]
    assert own == pytest.approx([169.09, 63.09, 22.56, 13.31], rel=1e-3)
    # hand: 169.09 - 120 = 49.09 < 63.09: F220's own; 63.09 - 40 = 23.09 > 22.56 and 23.09 - 5 = 18.09 >
    # 13.31: F220 still
    assert [step.left * 1e6 for step in found] == pytest.approx([169.09, 63.09, 23.09, 18.09], rel=1e-3)
    assert [step.culprit for step in found] == ["F80", "F220", "F220", "F220"]


def test_a_sequence_that_goes_coarser_is_refused():
    with pytest.raises(ValueError, match=r"P400 \(35 µm\) after F320 \(29\.2 µm\) goes coarser"):
        grit.damage_left(["F180", "F320", "P400"], [1e-4, 1e-4])
    with pytest.raises(ValueError, match=r"F80 \(185 µm\) is not finer than F220 \(58 µm\)"):
        grit.grit_sequence("F220", "F80", ["F80"])
    with pytest.raises(ValueError, match="3 grits need 2 removals"):
        grit.damage_left(["F80", "F220", "F400"], [1e-4])


def test_preston():
    one = grit.polish_time(20e-6, 9.3e-6, 10e3, 1.0)
    # published: Preston 1927: time goes with removal, and with 1/pressure and 1/speed
    assert grit.polish_time(40e-6, 9.3e-6, 10e3, 1.0).likely == pytest.approx(2 * one.likely, rel=1e-12)
    assert grit.polish_time(20e-6, 9.3e-6, 5e3, 1.0).likely == pytest.approx(2 * one.likely, rel=1e-12)
    assert grit.polish_time(20e-6, 9.3e-6, 10e3, 4.0).likely == pytest.approx(one.likely / 4, rel=1e-12)
    # from memory: fine loose grain of about 9 um takes some um a minute off at 10 kPa and 1 m/s, polish
    # of 1 um about 1 um a minute
    assert 2e-6 < 20e-6 / (one.likely / 60) < 20e-6
    polish = grit.polish_time(10e-6, 1e-6, 10e3, 1.0)
    assert 0.5e-6 < 10e-6 / (polish.likely / 60) < 2e-6
    # exact: a factor of 3 either way
    assert (one.least, one.most) == pytest.approx((one.likely / 3, one.likely * 3), rel=1e-12)


def test_one_measured_time_ends_the_guessing():
    factor = grit.preston_factor(0.1e-3, 109e-6, 7e3, 2.0, time=120)
    again = grit.polish_time(0.1e-3, 109e-6, 7e3, 2.0, factor=factor)
    assert (again.least, again.likely, again.most) == pytest.approx((120, 120, 120), rel=1e-12)


OWNED = ["F120", "F220", "P400", "F400", "F600", "JIS 1000"]


def test_the_fastest_sequence_is_found_by_trying_all():
    for washing in (0.0, 60.0, 300.0, 1200.0):
        sequence = grit.grit_sequence("F80", "F600", OWNED, washing=washing)
        pressure, speed = grit.tool_settings("flat lap")
        between = sorted(
            (g for g in OWNED if 9.3e-6 < grit.grit_size(g) < 185e-6),
            key=grit.grit_size,
            reverse=True,
        )
        totals = {}
        for count in range(len(between) + 1):
            for chosen in itertools.combinations(between, count):
                path = ["F80", *chosen, "F600"]
                totals[chosen] = sum(
                    grit.polish_time(
                        grit.damage(grit.grit_size(a)).most, grit.grit_size(b), pressure, speed
                    ).likely
                    + washing
                    for a, b in itertools.pairwise(path)
                )
        best = min(totals, key=totals.get)
        assert tuple(step.label for step in sequence.steps) == (*best, "F600")
        assert sequence.time == pytest.approx(totals[best], rel=1e-12)
        for step in sequence.steps[:-1]:
            without = min(total for path, total in totals.items() if step.label not in path)
            assert step.worth == pytest.approx(without - totals[best], rel=1e-9, abs=1e-9)
        for label, longer in sequence.skipped:
            with_it = min(total for path, total in totals.items() if label in path)
            assert longer == pytest.approx(with_it - totals[best], rel=1e-9, abs=1e-9)
    assert math.isinf(sequence.steps[-1].worth)


def test_saw_marks_come_off_first():
    plain = grit.grit_sequence("D181", "F600", OWNED)
    marked = grit.grit_sequence("D181", "F600", OWNED, marks=0.5e-3)
    # hand: the cracks of D181, 165 um grains, reach 2 x 165^0.85 = 153.4 um
    assert plain.steps[0].removal == pytest.approx(153.4e-6, rel=1e-3)
    assert marked.steps[0].removal == 0.5e-3
    assert grit.grit_sequence("D181", "F600", OWNED, marks=0.1e-3).steps == plain.steps
    # in all: hand: each step takes off the cracks of the one before
    total = sum(step.removal for step in marked.steps)
    assert marked.removal == pytest.approx(total, rel=1e-12)


def test_unknown_tools_and_too_much():
    with pytest.raises(ValueError, match=r'no tool called "drill".* "flat lap"'):
        grit.grit_sequence("F80", "F600", OWNED, tool="drill")
    with pytest.raises(ValueError, match=r"marks is 0\.3 m; allowed is 0 to 0\.02 m"):
        grit.grit_sequence("F80", "F600", OWNED, marks=0.3)


def test_grits_coarser_than_the_start_stay_in_their_bags():
    sequence = grit.grit_sequence("F220", "F600", ["F36", "F80", "P80", *OWNED])
    named = [step.label for step in sequence.steps] + [label for label, _ in sequence.skipped]
    # published: F36 525, F80 185, P80 201, F120 109 um are coarser than F220 with 58
    assert set(named) == {"P400", "F400", "JIS 1000", "F600"}
