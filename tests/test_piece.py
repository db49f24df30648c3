import dataclasses

import pytest

from kilncalc.materials import glass
from kilncalc.piece import Layer, Piece, Zone

LAMP = glass("lamp soda-lime")


def test_words_and_numbers_are_kept_as_given():
    plate = Piece(LAMP, [Zone(0.003, 0.7), Zone(0.006, 0.3, layers=(0.003, 0.003))])
    assert plate.body == (Zone(0.003, 0.7), Zone(0.006, 0.3, layers=(Layer(0.003), Layer(0.003))))


def test_the_base_is_the_wide_zone_of_the_largest_share():
    plate = Piece(LAMP, [Zone(0.009, 0.5, feature_width=0.01), Zone(0.003, 0.2), Zone(0.004, 0.3)])
    assert plate.base == 2  # hand: the first has a width, of the other two 0.3 > 0.2


def test_loose_sheets_of_one_name_are_one_sheet():
    layers = (Layer(0.003), Layer(0.002, "lid"))
    heap = Piece(LAMP, [Zone(0.005, 0.5, layers=layers), Zone(0.003, 0.5, layers=(0.003,))], loose=True)
    assert heap.sheets() == (((0.003, "base"), (0.002, "lid")), ((0.003, "base"),))


def test_without_layers_the_thinnest_zone_runs_through():
    heap = Piece(LAMP, [Zone(0.003, 0.7), Zone(0.007, 0.3)], loose=True)
    (bare,), (base, top) = heap.sheets()
    assert bare == base == (0.003, "base")
    assert top[0] == pytest.approx(0.004, rel=1e-9)  # hand: 7 - 3 mm


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (
            lambda: Zone(3.0, 1.0),
            r"thickness of a zone is 3 m; allowed is 0.0003 to 0.15 m. Did you mean 3 mm",
        ),
        (lambda: Zone(0.0002, 1.0), "allowed is 0.0003 to 0.15 m"),
        (lambda: Zone(0.16, 1.0), "allowed is 0.0003 to 0.15 m"),
        (lambda: Zone(float("nan"), 1.0), "thickness of a zone is nan"),
        (lambda: Zone(0.006, float("nan")), "share is nan"),
        (lambda: Zone(0.006, 30), "Did you mean 30 %, that is 0.3"),
        (lambda: Zone(0.006, 0.0), "share is 0; allowed is above 0 to 1"),
        (lambda: Zone(0.006, 1.0, feature_width=10), "Did you mean 10 mm"),
        (lambda: Zone(0.006, 1.0, feature="ridge"), 'feature must be "rib" or "spot"'),
        (lambda: Zone(0.006, 1.0, below="floor"), 'below must be "shelf" or "open" or "paper" or None'),
        (lambda: Zone(0.006, 1.0, paper=0.01), 'neither below nor above is "paper"'),
        (lambda: Zone(0.006, 1.0, layers=(0.003, 0.002)), "add up to 5 mm, but the zone is 6 mm"),
        (lambda: Zone(0.006, 1.0, layers=0.006), "layers must be a row"),
        (lambda: Layer(0.003, ""), "sheet must be a name"),
        (lambda: Piece("float", [Zone(0.006, 1.0)]), "glass must be a Glass"),
        (lambda: Piece(LAMP, Zone(0.006, 1.0)), "body must be a list of Zones"),
        (lambda: Piece(LAMP, []), "needs at least one zone"),
        (lambda: Piece(LAMP, [0.006]), "zone 1 of the body must be a Zone"),
        (lambda: Piece(LAMP, [Zone(0.003, 0.5), Zone(0.006, 0.4)]), r"0.5 \+ 0.4 = 0.9"),
        (lambda: Piece(LAMP, [Zone(0.006, 1.0)], support="post"), 'support must be "shelf" or "open"'),
        (lambda: Piece(LAMP, [Zone(0.006, 1.0)], bending="bent"), 'bending must be "free" or "flat"'),
        (lambda: Piece(LAMP, [Zone(0.006, 1.0, feature_width=0.01)]), "every zone has a feature_width"),
        (
            lambda: Zone(0.006, 0.1, 0.01, feature_place="corner"),
            'feature_place of a rib must be "inside" or',
        ),
        (lambda: Zone(0.006, 0.1, 0.01, "spot", feature_place="frame"), "feature_place of a spot must be"),
        (lambda: Piece(LAMP, [Zone(0.006, 1.0)], loose=True), "needs something that lies loose"),
        (
            lambda: Piece(
                LAMP,
                [Zone(0.003, 0.5, layers=(0.003,)), Zone(0.004, 0.5, layers=(0.002, 0.002))],
                loose=True,
            ),
            "a sheet has one thickness",
        ),
        (
            lambda: Piece(LAMP, [Zone(0.004, 1, layers=(Layer(0.002, "a"), Layer(0.002, "a")))], loose=True),
            "a sheet is in a zone once",
        ),
        (lambda: dataclasses.replace(LAMP, strain_point=None), "strain_point is nan"),
        (lambda: dataclasses.replace(LAMP, strain_point=float("nan")), "strain_point is nan"),
    ],
)
def test_what_cannot_be_is_a_sentence(make, says):
    with pytest.raises(ValueError, match=says):
        make()
