"""The exercises of lesson 6 on a kiln's log: every set of numbers, each slip, one working by hand."""

import pytest

from kilncalc import materials
from kilncalc.exercises import mark_numbers
from kilncalc.exercises._firing_log import ON_THE_LOG
from kilncalc.exercises._sweep import complaints
from kilncalc.quantities import SYSTEMS

FALLS_BEHIND, COOLS, LOW = ON_THE_LOG
MINUTE = 60.0


@pytest.mark.parametrize("asked", ON_THE_LOG, ids=lambda asked: asked.key)
def test_every_set_of_numbers_is_sound(asked):
    assert list(complaints(asked)) == []


@pytest.mark.parametrize("asked", ON_THE_LOG, ids=lambda asked: asked.key)
@pytest.mark.parametrize("units", SYSTEMS)
def test_every_slip_is_named(asked, units):
    for index in range(asked.variants(units)):
        numbers = asked.variant(units, index)
        for name, slip in asked.slips(numbers).items():
            verdict = mark_numbers(asked, numbers, f"{slip.value / MINUTE:.5f} min")
            assert not verdict.right and verdict.slip == name, (name, numbers.texts)


def of(asked, units, **texts):
    return asked.numbers(units, {**asked.variant(units, 0).texts, **texts})


def minutes(asked, numbers):
    return asked.value(numbers) / MINUTE, {
        name: slip.value / MINUTE for name, slip in asked.slips(numbers).items()
    }


def test_a_kiln_that_falls_behind():
    numbers = of(FALLS_BEHIND, "metric", target="560 °C", shows="425 °C")
    # hand: (425 - 20) / 3 = 135 °C/h; 540 / 135 = 4 h, 540 / 150 = 3 h 36: 24 min late; now it is behind by
    # 470 - 425 = 45 °C = 18 min
    right, slips = minutes(FALLS_BEHIND, numbers)
    assert right == pytest.approx(24, rel=1e-9)
    assert list(slips.values()) == pytest.approx([18, 6, 240], rel=1e-9)
    assert str(FALLS_BEHIND.worked(numbers)) == (
        "Working of exercise 6.5\n"
        "1. It has climbed 405 °C in 3 h, that is 135 °C/h.\n"
        "2. The whole way is 540 °C: 4 h at 135 °C/h, 3 h 36 min at 150 °C/h.\n"
        "3. It is late by the difference.\n"
        "4. Answer: 24 min."
    )
    # hand: (820 - 70) / 3 = 250 °F/h; 970 / 250 = 3.88 h, 970 / 270 = 3.5926 h: 17.24 min; now 60 / 270 h
    numbers = of(FALLS_BEHIND, "inches", target="1040 °F", shows="820 °F")
    right, slips = minutes(FALLS_BEHIND, numbers)
    assert right == pytest.approx(17.244, rel=1e-4)
    assert list(slips.values()) == pytest.approx([13.333, 3.911, 232.8], rel=1e-3)


def test_when_it_may_be_opened():
    numbers = of(COOLS, "metric", seen="140 °C", after="2 h 20 min", end="80 °C")
    # hand: 480, 240, 120, 60 above the room: two halvings in 140 min, three asked for: 210 min. Straight:
    # 140 x 420/360 = 163.3; from zero: 140 ln(500/80)/ln(500/140) = 201.55
    right, slips = minutes(COOLS, numbers)
    assert right == pytest.approx(210, rel=1e-9)
    assert list(slips.values()) == pytest.approx([163.33, 201.55, 70], rel=1e-4)
    assert str(COOLS.worked(numbers)) == (
        "Working of exercise 6.6\n"
        "1. Above the room, halved again and again: 480 °C, 240 °C, 120 °C, 60 °C.\n"
        "2. Up to 140 °C that is 2 of them in 2 h 20 min, so one takes 1 h 10 min.\n"
        "3. Down to 80 °C there are 3: 3 × 1 h 10 min.\n"
        "4. Answer: 3 h 30 min."
    )
    numbers = of(COOLS, "inches", seen="510 °F", after="1 h 40 min", end="125 °F")
    # hand: 880, 440, 220, 110, 55 above 70 °F: one in 100 min, four: 400 min; straight 100 x 825/440 = 187.5;
    # from zero on this scale: 100 ln(950/125)/ln(950/510) = 326.04
    right, slips = minutes(COOLS, numbers)
    assert right == pytest.approx(400, rel=1e-9)
    assert list(slips.values()) == pytest.approx([187.5, 326.04, 300], rel=1e-4)


def test_a_sensor_that_reads_low():
    numbers = of(LOW, "metric", cold="0 °C", hold="15 min")
    # hand: 20 low, four steps: 1.26^4 = 2.5205; 37.81 min; the other way 5.951; added 15 x 2.04 = 30.6
    right, slips = minutes(LOW, numbers)
    assert right == pytest.approx(37.807, rel=1e-4)
    assert list(slips.values()) == pytest.approx([5.9513, 30.6, 18.9], rel=1e-4)
    assert str(LOW.worked(numbers)) == (
        "Working of exercise 6.7\n"
        "1. The sensor reads 20 °C low, so the glass was 20 °C hotter: 4 steps of 5 °C.\n"
        "2. It flowed 1.26 × 1.26 × 1.26 × 1.26 = 2.52 times as fast.\n"
        "3. 15 min of that is worth 2.52 × 15 min.\n"
        "4. Answer: 37.8 min."
    )
    # hand: 70 - 52 = 18 °F, two steps of 9: 1.5876 x 20 = 31.75 min
    numbers = of(LOW, "inches", cold="52 °F", hold="20 min")
    assert minutes(LOW, numbers)[0] == pytest.approx(31.752, rel=1e-4)


def test_the_factor_of_the_question_is_that_of_the_glass_of_the_lessons():
    glass = materials.glass("kiln glass A")
    for level in (670.0, 680.0):
        assert glass.viscosity_at(level) / glass.viscosity_at(level + 5) == pytest.approx(1.26, rel=0.01)
