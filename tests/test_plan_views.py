"""A piece from above, cut through, on its shelf: places and captions worked by hand."""

from dataclasses import replace

import pytest

from kilncalc.figures import project as pictures
from kilncalc.plan_views import Block, from_above, mould_section, section
from kilncalc.project import Project, scenario
from kilncalc.quantities import Show

TRAY = scenario("relief-tray")


def of_kind(seen, kind):
    return [part for part in seen.parts if part.kind == kind]


def test_rods_lie_half_a_pitch_from_the_rim_of_their_field():
    (grid,) = of_kind(from_above(TRAY), "rods")
    # hand: the field is 90 by 132 mm from (24, 24); across it 132/15 = 8.8, so 9 rods from 24 + 7.5 mm on; 6
    # along it (90/15); each 2 mm wide
    assert len(grid.outlines) == 9 + 6
    low = sorted(min(y for _, y in outline) for outline in grid.outlines[:9])
    assert low[:2] == pytest.approx([0.0305, 0.0455], rel=1e-9)
    left = sorted(min(x for x, _ in outline) for outline in grid.outlines[9:])
    assert left[0] == pytest.approx(0.0305, rel=1e-9)


def test_the_sleeve_lies_where_the_file_says():
    banner = scenario("banner")
    drape = banner.drape
    (strip,), (hollow,) = (of_kind(from_above(banner), kind) for kind in ("sleeve", "hollow"))
    wide, high = (max(p[i] for p in strip.outlines[0]) - min(p[i] for p in strip.outlines[0]) for i in (0, 1))
    sizes = (drape.across, drape.along) if drape.lies == "across" else (drape.along, drape.across)
    assert (wide, high) == pytest.approx(sizes, rel=1e-9)  # exact: as in the file
    middle = [
        (max(p[0] for p in one.outlines[0]) + min(p[0] for p in one.outlines[0])) / 2
        for one in (strip, hollow)
    ]
    assert middle[0] == pytest.approx(
        middle[1], rel=1e-9
    )  # exact: the former lies under the middle of the strip


def test_a_section_stacks_what_lies_on_each_other():
    sheets = replace(TRAY.sheets[0], count=3)
    chip = replace(TRAY.laid[0], name="chip", at=(0.0, 0.080), size=(0.020, 0.020), thickness=0.002)
    cut = section(replace(TRAY, sheets=(sheets,), laid=(*TRAY.laid, chip)))
    # hand: 3 x 3.4 = 10.2 mm of sheets, on it the left strip, 3.4 mm from 0 to 12 mm, on that the chip, 2 mm
    assert cut.body == pytest.approx(0.0102, rel=1e-9)
    left = next(one for one in cut.blocks if one.name == "frame, left strip")
    assert (left.left, left.right, left.bottom, left.top) == pytest.approx(
        (0, 0.012, 0.0102, 0.0136), rel=1e-9
    )
    assert isinstance(cut.blocks[-1], Block)
    on_top = next(one for one in cut.blocks if one.name == "chip")
    assert (on_top.bottom, on_top.top) == pytest.approx((0.0136, 0.0156), rel=1e-9)
    names = {one.name for one in cut.blocks}
    assert "frame, lower strip" not in names  # it lies at 0 to 12 mm across, the cut at 90
    assert "triangle" in names  # at 90 mm its left side is at 126 + 90 (90 - 24)/80 = 200 mm
    (frit,) = [one for one in cut.blocks if one.name == "triangle"]
    assert frit.left == pytest.approx(0.126 + 0.090 * (0.090 - 0.024) / 0.080, rel=1e-9)


CAPTIONS = {
    # hand: 3 x 3.4 = 10.2, + 3.4 = 13.6 mm; 10.2/25.4 = 0.4016 in, 13.6/25.4 = 0.5354 in
    (
        "section",
        "metric",
    ): "6 times higher than long: 3 sheets, 10.2 mm together, 13.6 mm at the highest place.",
    (
        "section",
        "inches",
    ): "6 times higher than long: 3 sheets, 0.402 in together, 0.535 in at the highest place.",
    # hand: the shelf is 560 by 460 mm, (560 - 254)/2 = 153, (460 - 203.2)/2 = 128.4; 6.02 in, 5.06 in
    ("shelf", "metric"): "the rim of the shelf: 153 mm at the ends, 128 mm at the sides.",
    ("shelf", "inches"): "the rim of the shelf: 6.02 in at the ends, 5.06 in at the sides.",
    ("above", "metric"): "relief tray, 254 mm by 203 mm, from above and to scale: frame",
    ("above", "inches"): "relief tray, 10 in by 8 in, from above and to scale: frame",
}


@pytest.mark.parametrize("units", ["metric", "inches"])
def test_captions_say_what_a_ruler_would(units):
    piece = replace(TRAY, size=(0.254, 0.2032), sheets=(replace(TRAY.sheets[0], count=3),))
    show, seen = Show(units), from_above(piece)
    assert CAPTIONS["section", units] in pictures.cut_through(section(piece), show)["caption"]
    assert CAPTIONS["shelf", units] in pictures.on_the_shelf(seen, show)["caption"]
    assert CAPTIONS["above", units] in pictures.outline(seen, show)["caption"]


def test_what_is_longer_than_the_shelf_is_wide_is_turned_on_it():
    text = 'name = "lath"\nglass = "float"\nsize = ["200 mm", "430 mm"]\n[[sheet]]\nthickness = "4 mm"\n'
    text += '[[firing]]\nprocess = "full fuse"\n[kiln]\nshelf = ["500 mm", "400 mm"]\n'
    seen = from_above(Project.from_text(text))
    assert seen.turned
    caption = pictures.on_the_shelf(seen, Show("metric"))["caption"]
    # hand: turned it is 430 long and 200 wide: (500 - 430)/2 = 35, (400 - 200)/2 = 100
    assert "turned a quarter" in caption and "35 mm at the ends, 100 mm at the sides" in caption
    assert not from_above(TRAY).turned


def test_a_casting_is_cut_through_its_mould():
    cut = mould_section(scenario("bookend"))
    casting = scenario("bookend").casting
    assert (cut.bottom, cut.top, cut.depth) == (casting.bottom, casting.top, casting.depth)
    with pytest.raises(ValueError, match="casting has no sheets"):
        section(scenario("bookend"))
    with pytest.raises(ValueError, match="no casting"):
        mould_section(TRAY)
    with pytest.raises(ValueError, match="shelf is has not been said"):
        pictures.on_the_shelf(replace(from_above(TRAY), shelf=None), Show("metric"))
