"""An outline read from pasted lines, by hand; and what cannot be read, by its line."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kilncalc.tracing import read_outline

MM = 1e-3


@pytest.mark.parametrize(
    "text",
    [
        "mm\n0; 0\n320; -1,5\n62.5; 10",
        "x mm;y mm\r\n0;0\r\n320;-1.5\r\n62,5;10\r\n",
        "\ufeffpoint x [mm]\tpoint y [mm]\n0\t0\n320\t\N{MINUS SIGN}1,5\n62,5\t10\n\t\n",
        "0 mm, 0 mm\n\n320 mm, -1.5 mm\n62.5 mm, 1 cm",
        "cm\n0 0\n32 -0,15\n6,25 1",
        "mm\n0,0\n320, -1.5\n62.5,10",
        "in\n0 mm; 0 mm\n32 cm; -1.5 mm\n62.5 mm; 10 mm",
    ],
)
def test_points_are_read_as_people_write_and_programs_save_them(text):
    # exact: mm
    expected = [(0.0, 0.0), (320 * MM, -1.5 * MM), (62.5 * MM, 10 * MM)]
    assert read_outline(text) == tuple(pytest.approx(point, rel=1e-12) for point in expected)


def test_inches_and_their_fractions():
    # exact: 4.75 x 25.4 mm, 0.5 x 25.4 mm
    assert read_outline("in\n4 3/4; 1/2") == (pytest.approx((120.65 * MM, 12.7 * MM), rel=1e-12),)
    assert read_outline('4 3/4", ½ in') == (pytest.approx((120.65 * MM, 12.7 * MM), rel=1e-12),)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("0; 0\n1; 2", "line 1 of the points: “0” has no unit: write mm or in"),
        ("points\n0; 0", "line 2 of the points: “0” has no unit"),
        ("mm\n1; 2\n12,5,30,2", "line 3 of the points: “12,5,30,2” is one measure; write the two measures"),
        ("mm\n1; 2; 3", "line 2 of the points: “1; 2; 3” holds 3"),
        ("mm\n4 12,5 30", "line 2 of the points"),
        ("mm\n1,250; 3", "line 2 of the points: “1,250 mm” can be read in two ways"),
        ("x mm; y in\n1; 2", "line 1 of the points: “x mm; y in” names in and mm; write one unit for all"),
        ("mm\n1; 2 g", "line 2 of the points"),
        ("mm\n1; 2\nend", "line 3 of the points"),
        ("", "there is no point yet"),
        (";;;\n\n", "there is no point yet"),
        ("mm\n" + "1; 2\n" * 401, "there are more than 400 points"),
        ("9" * 40_001, "these are 40001 characters"),
    ],
)
def test_what_cannot_be_read_is_named_with_its_line(text, words):
    with pytest.raises(ValueError) as caught:
        read_outline(text)
    assert str(caught.value).startswith(words)


@given(st.text(alphabet="0123456789.,;- \t\nmin/'\"xe\x00é", max_size=60))
def test_any_text_is_points_or_a_sentence(text):
    try:
        points = read_outline(text)
    except ValueError as problem:
        assert str(problem)
        return
    assert points and all(len(point) == 2 for point in points)


@given(st.lists(st.tuples(st.integers(-5000, 5000), st.integers(-5000, 5000)), min_size=1, max_size=30))
def test_whatever_is_written_in_tenths_comes_back(tenths):
    # exact: tenths of a millimetre
    text = "mm\n" + "\n".join(f"{x / 10:.1f}; {y / 10:.1f}" for x, y in tenths)
    expected = tuple(pytest.approx((x * 1e-4, y * 1e-4), rel=1e-12) for x, y in tenths)
    assert read_outline(text) == expected
