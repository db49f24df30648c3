"""A course as a workshop: by hand, and every shelf held to what can lie on it."""

import itertools
from math import ceil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kilncalc.cutting import StockSheet
from kilncalc.panels.course import course
from kilncalc.volume import cumulative_passing, sieve_yield
from kilncalc.workshop import ALIKE, CoursePiece, blanks_to_cut, plan_course, share_firings

SHEET = StockSheet(0.5, 0.5, 3.4e-3, 2500, price=30.0)


def tray(sheets=2, **changed):
    return CoursePiece(**{"name": "tray", "length": 0.24, "width": 0.18, "sheets": sheets, **changed})


def test_breakage_is_a_share_of_what_is_cut():
    # hand: of 27 a tenth, 2.7, breaks; of 26 too few are left, 23.4
    assert blanks_to_cut(24, 0.1) == 27
    assert blanks_to_cut(24, 0.0) == 24 and blanks_to_cut(1, 0.5) == 2
    assert blanks_to_cut(9, 0.1) == 10  # exact: 9 / 0.9, in which a float must not make 11


@given(st.integers(1, 2000), st.floats(0, 0.5))
def test_enough_blanks_are_left_and_one_fewer_would_not_do(needed, breakage):
    count = blanks_to_cut(needed, breakage)
    assert count * (1 - breakage) >= needed - 1e-6
    assert (count - 1) * (1 - breakage) < needed + 1e-6


@pytest.mark.parametrize(
    ("shelf", "gap", "most"),
    [
        # hand: 240 + 10 + 240 = 490 <= 520 - 20 along, 180 + 10 + 180 = 370 <= 400 - 20 across: two by two
        ((0.52, 0.40), 0.010, 4),
        # hand: with no room 2 x 240 = 480 and 2 x 180 = 360 just fit, and not on a shelf 1 mm smaller
        ((0.48, 0.36), 0.0, 4),
        # hand: 479 holds one column of 240 with two lying, and beside it 239, one standing (180 x 240): three
        ((0.479, 0.36), 0.0, 3),
        # hand: 10 + 240 + 10 = 260 and 10 + 180 + 10 = 200: one piece just fits
        ((0.26, 0.20), 0.010, 1),
    ],
)
def test_how_many_lie_on_a_shelf_with_room_between_them(shelf, gap, most):
    (load,) = share_firings([tray()], 12, 3.4e-3, *shelf, gap)
    assert load.most == most and load.firings == ceil(12 / most)


@settings(deadline=None, max_examples=40)
@given(
    st.integers(1, 15),
    st.sampled_from([0.0, 0.005, 0.010, 0.020]),
    st.floats(0.1, 0.3),
    st.floats(0.1, 0.3),
    st.floats(0.06, 0.2),
)
def test_every_piece_lies_once_on_a_shelf_with_room_on_all_sides(students, gap, length, width, other):
    pieces = [tray(length=length, width=width), tray(name="banner", length=other, width=0.15)]
    (load,) = share_firings(pieces, students, 3e-3, 0.5, 0.42, gap)
    laid = [one for shelf in load.shelves.sheets for one in shelf.blanks]
    assert len(laid) == 2 * students and {one.name for one in laid} == {"tray", "banner"}
    near = gap - 1e-9
    for shelf in load.shelves.sheets:
        for one in shelf.blanks:
            assert one.x >= near and one.y >= near
            assert one.x + one.length <= 0.5 - near and one.y + one.width <= 0.42 - near
        for a, b in itertools.combinations(shelf.blanks, 2):
            beside = a.x + a.length + near <= b.x or b.x + b.length + near <= a.x
            assert beside or a.y + a.width + near <= b.y or b.y + b.width + near <= a.y


def test_pieces_share_a_firing_by_process_and_like_thickness():
    pieces = [
        tray(4, name="four", processes=("full fuse", "slump")),
        tray(5, name="five", processes=("full fuse",)),
        tray(6, name="six", processes=("full fuse",)),
        tray(1, name="one", processes=("slump",)),
    ]
    loads = share_firings(pieces, 1, 3e-3, 0.6, 0.6, 0.01)
    # hand: five sheets are 5/4 = 1.25 times four, six are 1.5 times; the slump of four is not that of one
    assert ALIKE == 1.25
    assert [(load.process, load.pieces) for load in loads] == [
        *(("full fuse", ("four", "five")), ("full fuse", ("six",))),
        *(("slump", ("one",)), ("slump", ("four",))),
    ]
    assert (loads[0].thinnest, loads[0].thickest) == pytest.approx(
        (0.012, 0.015), rel=1e-12
    )  # hand: 3 mm a sheet


def test_a_course_of_twelve_by_hand():
    passing = cumulative_passing(
        [0.1, 0.4, 0.3], 0.2
    )  # invented: shares that stay on three sieves, and the pan
    openings = [4.75e-3, 2.36e-3, 1.18e-3]
    kept = sieve_yield(1.0, openings, passing, 1.18e-3, 2.36e-3).kept
    found = plan_course(
        [tray(frit=0.0135, processes=("tack fuse", "slump"))],
        12,
        SHEET,
        shelf_length=0.52,
        shelf_width=0.40,
        breakage=0.1,
        kept=kept,
        firings_a_week=4,
        energy_a_firing=36e6,
        energy_price=0.3 / 3.6e6,
    )
    assert kept == pytest.approx(0.3, rel=1e-12)  # hand: 30 % stay between 2.36 and 1.18 mm
    assert (found.blanks_each, found.blanks_cut) == (2, 27)  # hand: 24 / 0.9
    assert found.frit_crushed == pytest.approx(12 * 0.0135 / 0.3, rel=1e-12)  # hand: 540 g
    assert len(found.sheets.sheets) == 7  # hand: four blanks of 240 x 180 on a sheet of 500 x 500, 27 / 4
    assert found.firings == 6 and found.weeks == 2  # hand: 3 shelves twice; 6 / 4
    assert found.kilowatt_hours == pytest.approx(60, rel=1e-12)  # hand: 6 x 10 kWh
    assert found.cost == pytest.approx(7 * 30 + 60 * 0.3, rel=1e-12)  # hand
    assert found.paper == pytest.approx(6 * 0.52 * 0.40, rel=1e-12)  # hand


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"students": 0}, "students"),
        ({"kept": 0.0}, "kept"),
        ({"breakage": 0.6}, "breakage"),
        ({"gap": 0.05}, "gap"),
        ({"shelf_length": 0.19}, "tray"),
        ({"pieces": []}, "pieces is empty"),
        ({"pieces": [tray(), tray()]}, "the same name"),
    ],
)
def test_what_cannot_be_is_a_sentence(change, words):
    given = {
        "pieces": [tray()],
        "students": 12,
        "stock": SHEET,
        "shelf_length": 0.52,
        "shelf_width": 0.4,
        **change,
    }
    with pytest.raises(ValueError, match=words):
        plan_course(**given)


def test_a_piece_that_is_never_fired_is_refused():
    with pytest.raises(ValueError, match="fired at least once"):
        tray(processes=())


def test_the_caption_by_hand_away_from_the_start():
    """Five students, 20 mm apart, no breakage, three firings a week, in both systems.

    hand: kits of 2 + 2 blanks, 20 in all. Four trays, 2 x 247 by 2 x 187, fill a sheet of 500 x 500; two
    trays in a column, 247 x 374, leave room for one banner, 157 x 427, beside them; banners lie three on a
    sheet, 471 high. 8 trays on 2 sheets, 2 trays and a banner on one, 9 banners on 3: 6 sheets.
    Frit: 5 x 13.5 g / 0.55 = 122.7 g, 4.33 oz. Shelf 560 x 460, inside 520 x 420: trays 247 + 20 + 247 = 514
    and 187 + 20 + 187 = 394, so four, 5 / 4 = 2 firings, twice; banners 2 x 157 + 20 = 334, two and no third
    (511 > 420), 5 / 2 = 3 firings, twice. 10 firings, 4 weeks, 10 x 12 = 120 kWh at 0.30;
    6 x 30 + 36 = 216.
    """
    values = {"students": 5.0, "gap": 0.020, "breakage": 0.0, "firings_a_week": 3.0}
    for units, crushed, each in (("metric", "123 g", "13.5 g"), ("inches", "4.33 oz", "0.476 oz")):
        figure = course.picture(units, **values)
        kit = f"5 students, each with a kit of 4 blanks and {each} of frit."
        assert figure["caption"] == (
            f"{kit} In all 20 blanks from 6 sheets, breakage included, and {crushed} of glass to crush. "
            "10 firings in 4 weeks, 120 kWh; sheets and energy cost 216."
        )
        words = [note["text"] for pane in figure["panes"] for note in pane["layout"]["annotations"]]
        assert words[0] == "4 pieces on the shelf, tack fuse"
        assert words[1:] == [
            *("drape and bond: 3, banner", "full fuse: 3, banner", "slump: 2, tray", "tack fuse: 2, tray"),
        ]
        assert len(figure["panes"][1]["data"]) == 10
