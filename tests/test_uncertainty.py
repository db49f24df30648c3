"""The spread of a result against closed forms, a Monte Carlo run and the GUM's own example."""

import numpy as np
import pytest

from kilncalc.uncertainty import spread


def test_a_product_adds_the_squares_of_the_relative_errors():
    got = spread(
        lambda a, b, c: a**2 * b / c, {"a": 3.0, "b": 5.0, "c": 2.0}, {"a": 0.03, "b": 0.1, "c": 0.02}
    )
    assert got.value == 22.5  # hand: 9 x 5 / 2
    # hand: relative parts 2 x 1 %, 2 %, 1 %: 22.5 x 0.02, 0.02, 0.01; together 22.5 x 0.03
    assert got.parts == pytest.approx({"a": 0.45, "b": 0.45, "c": 0.225}, rel=1e-3)
    assert got.uncertainty == pytest.approx(0.675, rel=1e-3)


def test_a_sum_and_what_is_known_exactly():
    got = spread(lambda a, b, k: a - k * b, {"a": 10.0, "b": 1.0, "k": 4.0}, {"a": 0.3, "b": 0.1})
    # exact: linear, so that the first order is all there is: sqrt(0.3^2 + (4 x 0.1)^2) = 0.5
    assert got.uncertainty == pytest.approx(0.5, rel=1e-12)
    assert list(got.parts) == ["a", "b"]
    assert spread(lambda a: 2 * a, {"a": 3.0}, {}).uncertainty == 0


def test_the_end_gauge_of_the_guide():
    # published: JCGM 100:2008 (GUM), H.1: l = l_s + d - l_s (d_alpha theta + alpha_s d_theta), parts 25, 9.7,
    # 2.9 and 16.6 nm, together 32 nm; l = 50 000 838 nm (from memory, high)
    def length(standard, difference, expansion, temperature):
        alpha, theta = 11.5e-6, -0.1  # 1/degC, degC
        return standard + difference - standard * (expansion * theta + alpha * temperature)

    got = spread(
        length,
        {"standard": 50_000_623.0, "difference": 215.0, "expansion": 0.0, "temperature": 0.0},
        {"standard": 25.0, "difference": 9.7, "expansion": 0.58e-6, "temperature": 0.029},
    )
    assert got.value == pytest.approx(50_000_838, rel=1e-12)
    assert got.parts == pytest.approx(
        {"standard": 25, "difference": 9.7, "expansion": 2.9, "temperature": 16.6}, rel=0.01
    )
    assert got.uncertainty == pytest.approx(32, abs=0.5)


def test_against_throwing_dice():
    rng = np.random.default_rng(11)
    a, b = rng.normal(2.0, 0.1, 200_000), rng.normal(3.0, 0.2, 200_000)
    got = spread(lambda a, b: np.sqrt(a) / b, {"a": 2.0, "b": 3.0}, {"a": 0.1, "b": 0.2})
    # independent: Monte Carlo, scatter 0.2 %, second order about 1 %
    assert got.uncertainty == pytest.approx(np.std(np.sqrt(a) / b), rel=0.015)


def test_arrays_broadcast_and_scalars_are_floats():
    got = spread(lambda a, b: a * b, {"a": [1.0, 2.0, 3.0], "b": 2.0}, {"a": 0.1, "b": [[0.1], [0.2]]})
    assert got.value.shape == (3,)
    assert got.uncertainty.shape == (2, 3)
    # hand: sqrt((2 x 0.1)^2 + (3 x 0.2)^2)
    assert got.uncertainty[1, 2] == pytest.approx(np.sqrt(0.04 + 0.36), rel=1e-12)
    one = spread(lambda a: a, {"a": 1}, {"a": 0.1})
    assert type(one.value) is type(one.uncertainty) is type(one.parts["a"]) is float


@pytest.mark.parametrize(
    ("values", "errors", "sentence"),
    [
        ({"a": 1.0}, {"a": -0.1}, "error of a is -0.1; allowed is 0 to inf"),
        ({"a": 1.0}, {"b": 0.1}, "errors has b; values has only a"),
        ({"a": 0.5}, {"a": 0.7}, "a with its error: too small"),
    ],
)
def test_bad_input_is_refused_in_a_sentence(values, errors, sentence):
    def root(a):
        if a < 0:
            raise ValueError("too small")
        return np.sqrt(a)

    with pytest.raises(ValueError, match=sentence):
        spread(root, values, errors)
