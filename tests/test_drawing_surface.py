"""The drawing surface without a browser: what is typed, what is laid, what is said where it cannot be."""

import io
import json
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest
from PIL import Image

from kilncalc import patterned
from kilncalc.figures import style
from kilncalc.panels import Rail, Slider, lesson4b, show
from kilncalc.panels._drawing import CAREFUL, FILE, KINDS, QUICK, Drawing, Field, Start, Surface
from kilncalc.quantities import QuantityError, Show

BAND = ("rectangle", {"corner": ("40 x 0 mm", "1 1/2 x 0 in"), "size": ("20 x 80 mm", "1 x 3 in")})
TILE = Start(
    "a tile",
    ("100 x 80 mm", "4 x 3 in"),
    ("4 mm", "1/8 in"),
    ((BAND[0], BAND[1] | {"adds": ("3 mm", "1/8 in")}),),
)
EMPTY = Start("nothing", ("100 x 80 mm", "4 x 3 in"), ("4 mm", "1/8 in"))


def weigh(pattern: patterned.Pattern, rate: float, progress: Any = None) -> tuple[float, float]:
    """Instead of a firing: the most glass and the rate; refuses rates above 300."""
    if rate > 300:
        raise ValueError("rate is too high for a test")
    if rate == 290:
        raise KeyError("a mistake of ours")
    if progress:
        progress(0.5)
    return float(pattern.relief.thickness.max()), rate


def told(result: tuple[float, float], show_: Show) -> style.Figure:
    return style.picture([], f"{show_.text(result[0], 'length')} at {result[1]:.0f}.")


def both(before: Any, after: Any, show_: Show) -> style.Figure:
    return style.picture([], f"{told(before, show_)['caption']} Then {told(after, show_)['caption']}")


SLIDER = Slider("rate", "rate", "rate", Rail("°C/h", 100, 25, 400, 5), Rail("°F/h", 180, 45, 720, 5))
DRAWING = Drawing("What comes of it?", (TILE, EMPTY), weigh, told, both, (SLIDER,))


@pytest.fixture
def surface() -> Surface:
    made = show(DRAWING)
    assert isinstance(made, Surface)
    come_near(made)
    return made


def come_near(surface: Surface) -> None:
    """Do what the page does when the reader comes near."""
    surface.drawn._handle_custom_msg({"kind": "seen"}, [])


def test_the_first_piece_is_drawn_at_once_and_fired_when_the_reader_comes_near() -> None:
    asked: list[float] = []

    def weighed(pattern: patterned.Pattern, rate: float, progress: Any = None) -> tuple[float, float]:
        asked.append(rate)
        return weigh(pattern, rate, progress)

    opened = show(replace(DRAWING, result=weighed))
    assert isinstance(opened, Surface)
    assert asked == [] and opened.drawn.waits and caption(opened.picture) == ""
    assert "100 mm by 80 mm" in caption(opened.drawn)
    for _ in range(2):  # two views of it
        come_near(opened)
    assert asked == [100] and not opened.drawn.waits
    assert caption(opened.picture) == "7.0 mm at 100."  # hand: a sheet of 4 mm and a band of 3 mm on it
    before = show(replace(DRAWING, result=weighed))
    assert isinstance(before, Surface)
    before.rows[0].slider.value = 200  # moved before the page has said so
    come_near(before)
    assert asked == [100, 200] and caption(before.picture) == "7.0 mm at 200."


def caption(picture: Any) -> str:
    return json.loads(picture.figure)["caption"]


def words(surface: Surface) -> list[str]:
    return [row.children[0].value for row in surface.list.children]


def press(surface: Surface, number: int, what: str) -> None:
    (button,) = [
        one for one in surface.list.children[number].children if getattr(one, "description", "") == what
    ]
    button.click()


def lay(surface: Surface, kind: str, **typed: str) -> None:
    surface.kind.value = kind
    for name, text in typed.items():
        surface.fields[name].value = text
    surface.add.click()


def volume(surface: Surface) -> float:
    relief = surface.pattern.relief
    return float((relief.thickness - relief.thickness.min()).sum() * relief.cell**2)


def test_it_opens_with_the_first_piece_and_what_comes_of_it(surface):
    assert words(surface) == ["1. rectangle: lower left corner 40 x 0 mm, size 20 x 80 mm, adds 3.0 mm"]
    assert caption(surface.picture) == "7.0 mm at 100."  # hand: 4 + 3 mm
    assert caption(surface.drawn).startswith("The piece is 100 mm by 80 mm and 4.0 mm to 7.0 mm thick")
    assert DRAWING.picture()["caption"] == "7.0 mm at 100."
    assert DRAWING.picture("inches", rate=50.0)["caption"] == "1/4 in at 50."  # hand: 1/8 + 1/8 in
    (shape,) = surface.shapes
    assert shape.outline.bounds == pytest.approx((0.04, 0, 0.06, 0.08))  # in metres


KINDS_BY_HAND = {
    # hand: area times added thickness, mm3
    "rectangle": ({"corner": "10 x 10 mm", "size": "30 x 20 mm", "adds": "2 mm"}, 30 * 20 * 2),
    "frame": ({"width": "10 mm", "adds": "2 mm"}, (100 * 80 - 80 * 60) * 2),
    "disc": ({"middle": "50 x 40 mm", "diameter": "40 mm", "adds": "2 mm"}, np.pi * 20**2 * 2),
    "ring": (
        {"middle": "50 x 40 mm", "diameter": "60 mm", "width": "10 mm", "adds": "2 mm"},
        np.pi * (30**2 - 20**2) * 2,
    ),
    "line or rods": (
        {"start": "20 x 0 mm", "end": "20 x 80 mm", "width": "6 mm", "adds": "2 mm", "number": "3",
         "further": "25 x 0 mm"},
        3 * 6 * 80 * 2,
    ),
    "polygon": ({"corners": "10 x 10; 90 x 10; 10 x 70 mm", "adds": "2 mm"}, 80 * 60 / 2 * 2),
    "grains over an area": (
        {"corners": "10 x 10; 90 x 10; 90 x 70; 10 x 70 mm", "grain": "3 mm", "coverage": "50 %"},
        0.5 * 80 * 60 * 2,
    ),
}  # fmt: skip


@pytest.mark.parametrize("kind", KINDS_BY_HAND)
def test_each_kind_of_shape_lays_as_much_glass_as_it_has(surface, kind):
    surface.start.value = EMPTY
    typed, wanted = KINDS_BY_HAND[kind]
    lay(surface, kind, **typed)
    assert surface.message.value == ""
    assert len(surface.shapes) == len(words(surface)) == 1
    assert volume(surface) * 1e9 == pytest.approx(wanted, rel=0.06)


def test_paper_on_the_piece_and_under_it_is_no_glass(surface):
    assert {"fibre paper on it", "fibre paper under it"} == set(KINDS) - set(KINDS_BY_HAND)
    surface.start.value = EMPTY
    for kind, thick in (("fibre paper under it", "3 mm"), ("fibre paper on it", "1/4 in")):
        lay(surface, kind, corner="10 x 10 mm", size="30 x 20 mm", paper=thick)
    assert surface.message.value == "" and volume(surface) == 0
    assert words(surface)[0].endswith("corner 10 x 10 mm, size 30 x 20 mm, thickness of paper 3.0 mm")
    relief = surface.pattern.relief
    # hand: 30 x 20 mm, 3 mm under it; 6.35 mm on it
    assert relief.below.sum() * relief.cell**2 == pytest.approx(30e-3 * 20e-3 * 3e-3, rel=0.06)
    assert relief.above.max() == pytest.approx(6.35e-3)
    assert [one.name for one in surface.shapes] == ["paper under it", "paper on it"]


def test_rods_stand_side_by_side(surface):
    typed = KINDS_BY_HAND["line or rods"][0] | {"further": "25 x 5 mm"}
    lay(surface, "line or rods", **typed)
    rods = surface.shapes[1].outline.geoms
    # hand: 6 mm wide about 20, 45 and 70 mm; each 5 mm higher up than the one before
    bounds = sorted(rod.bounds for rod in rods)
    wanted = [(0.017, 0.0, 0.023, 0.08), (0.042, 0.005, 0.048, 0.085), (0.067, 0.01, 0.073, 0.09)]
    assert bounds == [pytest.approx(one) for one in wanted]


def test_shapes_add_up_are_removed_and_changed(surface):
    seen = []
    surface.observe(lambda change: seen.append(len(change["new"].shapes)), "pattern")
    lay(surface, "disc", middle="50 x 40 mm", diameter="1 in", adds="2 mm")
    assert caption(surface.picture) == "9.0 mm at 100."  # hand: 4 + 3 + 2 mm
    assert words(surface)[1] == "2. disc: middle 50 x 40 mm, diameter 25.4 mm, adds 2.0 mm"
    press(surface, 1, "Edit 2")
    assert surface.kind.value == "disc" and surface.fields["diameter"].value == "25.4 mm"
    assert surface.add.description == "Change 2"
    surface.fields["adds"].value = "5 mm"
    surface.add.click()
    assert caption(surface.picture) == "12 mm at 100."  # hand: 4 + 3 + 5 mm
    assert len(words(surface)) == 2 and surface.add.description == "Add it"
    press(surface, 0, "Remove 1")
    assert caption(surface.picture) == "9.0 mm at 100."  # hand: 4 + 5 mm
    assert [one.name for one in surface.shapes] == ["disc"]
    assert seen == [2, 2, 1]


@pytest.mark.parametrize(
    ("kind", "typed", "says"),
    [
        ("disc", {"middle": "50 mm"}, "its middle: “50 mm” is not a place or a size"),
        ("disc", {"middle": "50 x 40"}, "has no unit"),
        ("disc", {"diameter": "40"}, "its diameter: "),
        ("disc", {"diameter": "<b>wide</b>"}, "its diameter: "),
        ("disc", {"diameter": "5 m"}, "diameter is 5 m; allowed is"),
        ("disc", {"adds": "3 kg"}, "it adds: "),
        ("ring", {"diameter": "20 mm", "width": "15 mm"}, "width is 15 mm; allowed is above 0 mm to 10 mm."),
        ("frame", {"width": "40 mm"}, "nothing is left in the middle"),
        ("line or rods", {"number": "many"}, "how many: “many” is no number of pieces"),
        ("line or rods", {"number": "0"}, "1 to 200"),
        ("polygon", {"corners": "10 x 10; 90 x 10 mm"}, "three corners or more"),
        ("polygon", {"corners": "0 x 0; 90 x 70; 90 x 0; 0 x 70 mm"}, "crosses itself"),
        ("grains over an area", {"coverage": "120 %"}, "coverage is 1.2; allowed is"),
    ],
)
def test_rubbish_gets_a_sentence_and_the_piece_stays(surface, kind, typed, says):
    before, figure = surface.pattern, surface.picture.figure
    lay(surface, kind, **typed)
    assert says in surface.message.value
    assert "<b>" not in surface.message.value
    assert surface.pattern is before and surface.picture.figure == figure and len(words(surface)) == 1
    lay(surface, "disc", middle="50 x 40 mm", diameter="20 mm", adds="3 mm")
    assert surface.message.value == "" and len(words(surface)) == 2


def test_a_sheet_that_cannot_be_is_told_and_put_right(surface):
    before = surface.pattern
    for text, says in (
        ("100 mm", "is not a place or a size"),
        ("9 x 9 m", "width is 9 m"),
        ("", "size of the sheet"),
    ):
        surface.size.value = text
        assert says in surface.message.value and surface.pattern is before
    surface.size.value = "120 x 80 mm"
    assert surface.message.value == "" and surface.pattern.relief.width == pytest.approx(0.12)
    surface.thick.value = "6 mm"
    assert caption(surface.picture) == "9.0 mm at 100."


def test_what_hangs_over_the_rim_is_said(surface):
    lay(surface, "rectangle", corner="90 x 70 mm", size="20 x 20 mm", adds="3 mm")
    assert "The rectangle hangs over the rim: 3 cm² cut off." in caption(surface.drawn)  # hand: 400 - 100 mm2


def test_units_are_switched_and_what_was_drawn_stays(surface):
    surface.switch.value = "inches"
    assert surface.size.value == "4 x 3 in" and surface.thick.value == "1/8 in"
    assert words(surface) == ["1. rectangle: lower left corner 1 1/2 x 0 in, size 1 x 3 in, adds 1/8 in"]
    assert caption(surface.picture) == "1/4 in at 100."  # hand: 180 degF/h are 100 degC/h
    lay(surface, "disc", middle="2 x 1 1/2 in", diameter="1 in", adds="1/8 in")
    drawn = surface.pattern.relief
    surface.switch.value = "metric"
    assert surface.size.value == "101.6 x 76.2 mm"  # exact: 25.4 mm to the inch
    assert words(surface)[1] == "2. disc: middle 50.8 x 38.1 mm, diameter 25.4 mm, adds 3.175 mm"
    np.testing.assert_allclose(surface.pattern.relief.thickness, drawn.thickness, rtol=1e-9)
    assert show(DRAWING, "inches").size.value == "4 x 3 in"


def uploaded(content: bytes) -> tuple[dict[str, Any], ...]:
    """What the page sends of a file that was chosen."""
    when = datetime(2026, 1, 2, tzinfo=UTC)
    return (
        {
            "name": "mine.png",
            "type": "image/png",
            "size": len(content),
            "content": memoryview(content),
            "last_modified": when,
        },
    )


def png(dots: np.ndarray) -> bytes:
    file = io.BytesIO()
    Image.fromarray(dots.astype(np.uint8)).save(file, "PNG")
    return file.getvalue()


def test_a_picture_file_becomes_a_piece(surface):
    surface.source.value = FILE
    assert "Choose a picture" in surface.message.value
    assert surface.upload in surface.left.children[1].children
    dots = np.full((20, 30), 255)
    dots[:, 10:20] = 0
    surface.upload.value = uploaded(png(dots))
    assert surface.message.value == ""
    relief = surface.pattern.relief
    assert (relief.shape, relief.cell) == ((20, 30), pytest.approx(0.2 / 30))  # hand: 200 mm over 30 dots
    assert relief.thickness[3, 15] == pytest.approx(0.006) and relief.thickness[3, 5] == pytest.approx(0.003)
    assert surface.shapes == () and caption(surface.picture) == "6.0 mm at 100."
    surface.of_picture["thickest"].value = "9 mm"
    assert caption(surface.picture) == "9.0 mm at 100."
    surface.of_picture["thickest"].value = "1 mm"
    assert "thickest is 1.0 mm; allowed is 3.0 mm" in surface.message.value
    surface.of_picture["thickest"].value = "9 mm"
    surface.upload.value = uploaded(b"none")
    assert "the picture cannot be read as a picture" in surface.message.value
    assert surface.pattern.relief.thickness.max() == pytest.approx(0.009)
    surface.source.value = "shapes"
    assert len(surface.shapes) == 1 and surface.message.value == ""


def test_fine_cells_are_fired_on_the_button_only(surface):
    surface.cells.value = CAREFUL
    assert surface.pattern.relief.thickness.size > 3000
    assert "press “Fire it”" in surface.message.value
    before = surface.picture.figure
    lay(surface, "disc", middle="50 x 40 mm", diameter="20 mm", adds="5 mm")
    assert surface.picture.figure == before and "press “Fire it”" in surface.message.value
    slider = surface.rows[0]
    slider.typed.value = "200 °C/h"
    assert slider.typed.value == "200 °C/h"
    surface.fire.click()
    assert caption(surface.picture) == "12 mm at 200." and surface.message.value == ""
    surface.cells.value = QUICK
    assert surface.pattern.relief.thickness.size < 2000 and surface.message.value == ""


def test_old_and_new_stand_side_by_side_until_it_is_enough(surface):
    surface.keep.click()
    assert surface.keep.description == "Stop comparing" and caption(surface.picture) == "7.0 mm at 100."
    press(surface, 0, "Remove 1")
    assert caption(surface.picture) == "7.0 mm at 100. Then 4.0 mm at 100."
    surface.keep.click()
    assert caption(surface.picture) == "4.0 mm at 100."


def test_what_the_calculation_refuses_becomes_a_message(surface):
    slider = surface.rows[0]
    slider.slider.value = 350
    assert "rate is too high for a test" in surface.message.value
    assert caption(surface.picture) == "7.0 mm at 100."
    slider.slider.value = 290
    assert "Something went wrong in this drawing (KeyError" in surface.message.value
    slider.slider.value = 200
    assert surface.message.value == "" and caption(surface.picture) == "7.0 mm at 200."


def test_progress_is_shown_when_it_takes_longer_than_a_second(surface, monkeypatch):
    clock = iter([0.0, 0.4, 10.0, 12.0])
    monkeypatch.setattr("kilncalc.panels._drawing.time.monotonic", lambda: next(clock))
    seen = []
    surface.firing.observe(lambda change: seen.append(surface.bar in change["new"]), "children")
    surface.fire.click()
    assert True not in seen  # 0.4 s
    surface.fire.click()
    assert seen[-2:] == [True, False] and surface.bar.value == 0.5  # 2 s


def test_while_it_is_fired_nothing_else_can_be_pressed(surface):
    """The kernel need not keep the order of what is pressed meanwhile."""
    seen = {}

    def look(pattern, rate, progress=None):
        seen.update({button.description: button.disabled for button in surface._buttons()})
        return weigh(pattern, rate)

    surface.drawing = replace(surface.drawing, result=look)
    surface.fire.click()
    # the one that was pressed keeps the keyboard's place
    assert seen == {
        "Add it": True, "Fire it": False, "Compare with this one": True, "Edit 1": True, "Remove 1": True
    }  # fmt: skip
    assert not any(button.disabled for button in surface._buttons())
    surface.rows[0].slider.value = 280
    assert all(seen.values())
    surface.rows[0].slider.value = 350
    assert "too high" in surface.message.value
    assert not any(button.disabled for button in surface._buttons())


def test_a_field_reads_and_writes_places():
    field = Field("at", "at", "place", "", "")
    # exact: 25.4 mm to the inch
    assert field.read("3/4 x 1 1/4 in") == pytest.approx((0.01905, 0.03175))
    assert field.read("2 cm x 30 mm") == pytest.approx((0.02, 0.03))
    assert field.read("2,5 by 30 mm") == pytest.approx((0.0025, 0.03))
    assert field.read("20×30mm") == pytest.approx((0.02, 0.03))
    for units in ("metric", "inches"):
        assert field.read(field.text((0.02, 0.03), units)) == pytest.approx((0.02, 0.03), rel=0.01)
    for wrong in ("", "20", "20 x 30 x 40 mm", "a x b mm", "20 x mm", "-5 x 3 mm"):
        with pytest.raises(QuantityError, match=r"^at: "):
            field.read(wrong)


@pytest.mark.parametrize("units", ["metric", "inches"])
@pytest.mark.parametrize("number", range(3))
def test_the_lessons_own_pieces_can_be_laid(units, number):
    start = lesson4b.drawing.starts[number]
    which = units == "inches"
    width, height = Field("size", "size", "place", "", "").read(start.sheet[which])
    shapes = [item.shape((width, height)) for item in start.items(units)]
    piece = patterned.pattern(width, height, 0.006, shapes)
    assert piece.cut == ()
    assert [one.thickness > 0 for one in shapes] == [True] * len(start.shapes)
