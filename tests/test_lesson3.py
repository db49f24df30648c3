"""Lesson 3: its questions worked by hand."""

import pytest

from kilncalc.exercises import question

FIRST_ANSWERS = {
    # hand: (22 - 6)/5.3 = 3.02; (7/8 - 1/4) in = 15.875 mm, /5.3 = 2.995
    ("3.1", "metric"): 3,
    ("3.1", "inches"): 3,
    # hand: 9/2.3 = 3.91 and 11/32 in = 8.73 mm, /2.3 = 3.80: four layers, 4 x 2.3
    ("3.2", "metric"): 9.2e-3,
    ("3.2", "inches"): 9.2e-3,
    # hand: 240 + 2 x 5; 9 1/2 + 2 x 3/16 = 9 7/8 in
    ("3.3", "metric"): 0.250,
    ("3.3", "inches"): 9.875 * 0.0254,
    # hand: 1 - 200 x 140/(240 x 180) = 0.351852, (2 + that) x 3.4; 1 - 8 x 5.5/(9.5 x 7) = 0.338346
    ("3.4", "metric"): 7.996296e-3,
    ("3.4", "inches"): 7.950376e-3,
    # hand: 3 x 124 + 2 x 3 = 378, a fourth needs 505; 4 x 95 + 3 x 3 = 389, a fifth 487: 3 x 4; in inches
    # 3 x 5 and 2/8 leave 4.75, 4 x 3.875 and 3/8 leave 2.125: 3 x 4
    ("3.5", "metric"): 12,
    ("3.5", "inches"): 12,
    # hand: 2 x pi x 2^2/(4 x 15) = 0.418879; 2 x pi x (3/32)^2/(4 x 5/8) = 0.0220893 in
    ("3.6", "metric"): 0.418879e-3,
    ("3.6", "inches"): 0.0220893 * 0.0254,
    # hand: 100 x sqrt(13.6/6.2) = 148.106; 4 in x 1.481063
    ("3.7", "metric"): 0.1481063,
    ("3.7", "inches"): 4 * 1.481063 * 0.0254,
}


@pytest.mark.parametrize(("key", "units"), FIRST_ANSWERS)
def test_the_printed_numbers_lead_to_the_answer_worked_by_hand(key, units):
    asked = question(key)
    found = asked.value(asked.variant(units, 0))
    assert found == pytest.approx(FIRST_ANSWERS[key, units], rel=1e-5, abs=0)
