"""A drawing surface: shapes set in a small form, or a picture file, become a thickness map that is fired."""

from __future__ import annotations

import html
import io
import logging
import re
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

import ipywidgets as widgets
import traitlets

from kilncalc import laying, patterned
from kilncalc.figures import relief as maps
from kilncalc.figures.style import Figure
from kilncalc.panels._panel import (
    _STYLE,
    UNIT_NAMES,
    Choice,
    Slider,
    _Box,
    _ChoiceRow,
    _Messages,
    _Picture,
    _SliderRow,
    as_json,
    said,
)
from kilncalc.panels.look import alike
from kilncalc.quantities import QuantityError, Show, as_text, read, unit_system

_log = logging.getLogger(__name__)

_LOOK = """<style>
.kilncalc-panel .kilncalc-drawing-form { display: grid; gap: 0 16px;
  grid-template-columns: repeat(auto-fit, minmax(min(100%, 290px), 1fr)); }
.kilncalc-panel.kilncalc-drawing .widget-text, .kilncalc-panel.kilncalc-drawing .widget-dropdown {
  --jp-widgets-inline-width: calc(100% - 4px); --jp-widgets-inline-label-width: 140px; }
.kilncalc-panel.kilncalc-drawing .kilncalc-controls .widget-text { --jp-widgets-inline-width: 132px; }
.kilncalc-panel.kilncalc-drawing .jupyter-button { width: auto; font-size: 16px; color: #1f2a36;
  background: #dde2e6; flex: 0 0 auto; }
.kilncalc-panel.kilncalc-drawing .kilncalc-top .jupyter-button { width: 116px; padding: 0 4px; }
.kilncalc-panel.kilncalc-drawing .kilncalc-top .jupyter-button.mod-active { background: #ffffff; }
.kilncalc-panel .kilncalc-drawing-list { max-height: 200px; overflow-y: auto; border: 1px solid #dde2e6;
  margin: 4px 0; }
.kilncalc-panel .kilncalc-drawing-list .widget-hbox { flex: 0 0 auto; flex-flow: row wrap; }
.kilncalc-panel .kilncalc-drawing-list .widget-html { flex: 1 1 220px; min-width: 0; height: auto; }
.kilncalc-panel .kilncalc-drawing-list .widget-html-content { font-size: 16px; line-height: 1.3;
  height: auto; }
.kilncalc-panel.kilncalc-drawing .kilncalc-controls .widget-hbox { flex-wrap: wrap; }
.kilncalc-panel .kilncalc-drawing-work { display: grid; gap: 0 16px;
  grid-template-columns: repeat(auto-fit, minmax(min(100%, 340px), 1fr)); }
@media (max-width: 600px) {
  .kilncalc-panel .kilncalc-drawing-list .widget-html { flex: 1 1 100%; }
}
</style>"""
_PATIENCE = 1.0  # s until a bar shows how far a firing is
_UNIT = re.compile(r"(mm|cm|m|in|inch|inches|ft|\"|″)\s*$")
_BY = re.compile(r"\s*(?:×|x|\bby\b)\s*")

Place = tuple[float, float]


# ------------------------------------------------------------------ what a field holds


@dataclass(frozen=True)
class Field:
    """One thing to type: a quantity, or with "place" or "places" one point or several; how it starts.

    A place is "20 x 30 mm", from the left and from the lower edge; places stand apart by semicolons.
    """

    name: str
    label: str
    dimension: str
    metric: str
    inches: str

    def start(self, units: str) -> str:
        """Return what stands in it at first."""
        return self.inches if units == "inches" else self.metric

    def read(self, text: str) -> Any:
        """Return what was typed, in SI, or raise QuantityError naming the field."""
        try:
            if self.dimension == "place":
                return _place(text)
            if self.dimension == "places":
                return tuple(_place(part, _unit_of(text)) for part in text.strip(" ;").split(";"))
            if self.dimension == "count":
                return _whole(text)
            return read(text, self.dimension)
        except QuantityError as problem:
            raise QuantityError(f"{self.label}: {problem}") from None

    def text(self, value: Any, units: str) -> str:
        """Return a value in SI as one would type it."""
        if self.dimension == "place":
            return _place_text(value, units)
        if self.dimension == "places":
            return "; ".join(_place_text(one, units) for one in value)
        if self.dimension == "count":
            return str(value)
        return as_text(value, self.dimension, units)


def _unit_of(text: str) -> str:
    found = _UNIT.search(text.strip())
    return found[1] if found else ""


def _place(text: str, unit: str = "") -> Place:
    parts = _BY.split(text.strip())
    if len(parts) != 2:
        raise QuantityError(
            f"“{text.strip()}” is not a place or a size; write two lengths, such as 20 x 30 mm"
        )
    unit = _unit_of(text) or unit
    if not unit:
        raise QuantityError(f"“{text.strip()}” has no unit; write 20 x 30 mm or 3/4 x 1 1/4 in")
    x, y = (read(part if _unit_of(part) else f"{part} {unit}", "length") for part in parts)
    return x, y


def _place_text(place: Place, units: str) -> str:
    x, y = (as_text(one, "length", units) for one in place)
    unit = f" {_unit_of(y)}"
    return f"{x.removesuffix(unit)} x {y}"


def _whole(text: str) -> int:
    if not re.fullmatch(r"\s*\d{1,3}\s*", text) or not 1 <= int(text) <= 200:
        raise QuantityError(f"“{text.strip()}” is no number of pieces; write a whole number, 1 to 200")
    return int(text)


# ------------------------------------------------------------------ the kinds of shapes


@dataclass(frozen=True)
class Kind:
    """A kind of shape: what is typed, and what lies on a sheet of a size then."""

    name: str
    fields: tuple[Field, ...]
    make: Callable[[dict[str, Any], Place], laying.Shape]


def _named(shape: laying.Shape, name: str) -> laying.Shape:
    return laying.Shape(shape.outline, shape.thickness, name)


def _rectangle(v: dict[str, Any], _sheet: Place) -> laying.Shape:
    (x, y), (width, height) = v["corner"], v["size"]
    return laying.rectangle(x, y, width, height, v["adds"])


def _frame(v: dict[str, Any], sheet: Place) -> laying.Shape:
    width, height = sheet
    strip = v["width"]
    if 2 * strip >= min(width, height):
        raise ValueError("the strips of the frame are so wide that nothing is left in the middle")
    whole = laying.rectangle(0, 0, width, height, v["adds"])
    bare = laying.rectangle(strip, strip, width - 2 * strip, height - 2 * strip, v["adds"])
    return laying.Shape(whole.outline.difference(bare.outline), v["adds"], "frame")


def _disc(v: dict[str, Any], _sheet: Place) -> laying.Shape:
    x, y = v["middle"]
    return laying.disc(x, y, v["diameter"], v["adds"])


def _ring(v: dict[str, Any], _sheet: Place) -> laying.Shape:
    x, y = v["middle"]
    return laying.ring(x, y, v["diameter"], v["width"], v["adds"])


def _lines(v: dict[str, Any], _sheet: Place) -> laying.Shape:
    (x1, y1), (x2, y2), (right, up) = v["start"], v["end"], v["further"]
    rods = [
        laying.line([(x1 + n * right, y1 + n * up), (x2 + n * right, y2 + n * up)], v["width"], v["adds"])
        for n in range(v["number"])
    ]
    return laying.together(rods, "line" if len(rods) == 1 else "lines")


def _polygon(v: dict[str, Any], _sheet: Place) -> laying.Shape:
    return laying.polygon(v["corners"], v["adds"])


def _grains(v: dict[str, Any], _sheet: Place) -> laying.Shape:
    area = laying.polygon(v["corners"], v["grain"])
    return _named(laying.grains(area, v["grain"], v["coverage"]), "grains")


def _paper(name: str, of: laying.Stuff, v: dict[str, Any], _sheet: Place) -> laying.Shape:
    (x, y), (width, height) = v["corner"], v["size"]
    return laying.Shape(laying.rectangle(x, y, width, height, v["paper"]).outline, v["paper"], name, of)


_PAPER: tuple[tuple[str, laying.Stuff], ...] = (("on", "paper above"), ("under", "paper below"))
_CORNER = Field("corner", "lower left corner", "place", "20 x 30 mm", "3/4 x 1 1/4 in")
_SIZES = Field("size", "its size", "place", "60 x 40 mm", "2 1/2 x 1 1/2 in")
_ADDS = Field("adds", "it adds", "length", "3 mm", "1/8 in")
_MIDDLE = Field("middle", "its middle", "place", "120 x 90 mm", "4 3/4 x 3 1/2 in")
_CORNERS = Field(
    "corners",
    "its corners",
    "places",
    "95 x 55; 155 x 55; 125 x 120 mm",
    "3 3/4 x 2 1/8; 6 1/8 x 2 1/8; 5 x 4 3/4 in",
)

KINDS = {
    kind.name: kind
    for kind in (
        Kind(
            "rectangle",
            (_CORNER, _SIZES, _ADDS),
            _rectangle,
        ),
        Kind("frame", (Field("width", "its strips", "length", "20 mm", "3/4 in"), _ADDS), _frame),
        Kind(
            "line or rods",
            (
                Field("start", "from", "place", "30 x 0 mm", "1 x 0 in"),
                Field("end", "to", "place", "30 x 180 mm", "1 x 7 in"),
                Field("width", "its width", "length", "6 mm", "1/4 in"),
                _ADDS,
                Field("number", "how many", "count", "1", "1"),
                Field("further", "each further by", "place", "30 x 0 mm", "1 x 0 in"),
            ),
            _lines,
        ),
        Kind(
            "disc",
            (_MIDDLE, Field("diameter", "its diameter", "length", "40 mm", "1 1/2 in"), _ADDS),
            _disc,
        ),
        Kind(
            "ring",
            (
                _MIDDLE,
                Field("diameter", "outer diameter", "length", "80 mm", "3 in"),
                Field("width", "width of its band", "length", "10 mm", "3/8 in"),
                _ADDS,
            ),
            _ring,
        ),
        Kind("polygon", (_CORNERS, _ADDS), _polygon),
        Kind(
            "grains over an area",
            (
                _CORNERS,
                Field("grain", "size of a grain", "length", "3 mm", "1/8 in"),
                Field("coverage", "share covered", "ratio", "60 %", "60 %"),
            ),
            _grains,
        ),
        *(
            Kind(
                f"fibre paper {where} it",
                (_CORNER, _SIZES, Field("paper", "thickness of paper", "length", "3 mm", "1/8 in")),
                partial(_paper, f"paper {where} it", of),
            )
            for where, of in _PAPER
        ),
    )
}
"""What can be laid on a sheet, by the name it has in the form."""


@dataclass(frozen=True)
class Item:
    """A shape of the list: its kind and what its fields say, in SI."""

    kind: Kind
    values: dict[str, Any]

    def shape(self, sheet: Place) -> laying.Shape:
        """Return the shape."""
        return self.kind.make(self.values, sheet)

    def words(self, units: str) -> str:
        """Return it in words."""
        told = ", ".join(
            f"{f.label.removeprefix('it ').removeprefix('its ')} {f.text(self.values[f.name], units)}"
            for f in self.kind.fields
        )
        return f"{self.kind.name}: {told}"


@dataclass(frozen=True)
class Start:
    """A piece to start from: its sheet, and its shapes as kind and typed fields, in both unit systems."""

    name: str
    sheet: tuple[str, str]
    thickness: tuple[str, str]
    shapes: tuple[tuple[str, dict[str, tuple[str, str]]], ...] = ()

    def items(self, units: str) -> tuple[Item, ...]:
        """Return its shapes."""
        which = units == "inches"
        return tuple(
            Item(KINDS[kind], {f.name: f.read(typed[f.name][which]) for f in KINDS[kind].fields})
            for kind, typed in self.shapes
        )


_SIZE = Field("sheet", "size of the sheet", "place", "", "")
_THICK = Field("thickness", "its thickness", "length", "", "")
_PICTURE_FIELDS = (
    Field("width", "width of the piece", "length", "200 mm", "8 in"),
    Field("thinnest", "white is thick", "length", "3 mm", "1/8 in"),
    Field("thickest", "black is thick", "length", "6 mm", "1/4 in"),
)
DRAWN, FILE = "shapes", "a picture file"
PIECE, KILN = "the piece", "in the kiln"
"""The two pages of a surface: what is made, and what a firing does to it."""
QUICK, CAREFUL = "coarse, fired at once", "fine, fired on the button"


# ------------------------------------------------------------------ the surface


@dataclass(frozen=True)
class Drawing:
    """A question, pieces to start from, what is made of a piece, its picture, and what may be moved.

    `result(pattern, progress=None, **values)` computes, with the controls' names as keywords; `draw(result,
    show)` draws it, and `draw_both(before, after, show)` two of them side by side.
    """

    title: str
    starts: tuple[Start, ...]
    result: Callable[..., Any]
    draw: Callable[[Any, Show], Figure]
    draw_both: Callable[[Any, Any, Show], Figure]
    controls: tuple[Slider | Choice, ...] = ()
    guess: None = None

    def picture(self, units: str = "metric", **values: Any) -> Figure:
        """Return the picture of the first piece with these values (SI), else as the surface opens."""
        start, which = self.starts[0], units == "inches"
        sheet, thickness = _SIZE.read(start.sheet[which]), _THICK.read(start.thickness[which])
        pattern = _laid(sheet, thickness, start.items(units), patterned.COARSE)
        moved = {control.name: control.start(units) for control in self.controls} | values
        return self.draw(self.result(pattern, **moved), Show(units))

    def live(self, units: str = "metric") -> Surface:
        """Return it as a live widget."""
        return Surface(self, units)


def _laid(sheet: Place, thickness: float, items: tuple[Item, ...], cells: int) -> patterned.Pattern:
    width, height = sheet
    return patterned.pattern(width, height, thickness, [item.shape(sheet) for item in items], cells)


class Surface(_Box):
    """A live drawing surface; `pattern` is the piece as it stands, in SI, and can be observed.

    `shapes` are those of the pattern; a piece that cannot be made leaves both as they were, and a message.
    """

    pattern = traitlets.Any(None, allow_none=True)

    def __init__(self, drawing: Drawing, units: str = "metric") -> None:
        self.units = unit_system(units)
        self.drawing = drawing
        self.items: tuple[Item, ...] = ()
        self.changing: int | None = None
        self.kept: Any = None
        self.found: Any = None
        self.touched = False
        self.pressed: widgets.Button | None = None
        self._quiet = False
        self._opening = True
        self.message = _Messages(**alike(_Messages))
        super().__init__(drawing.title, [])
        self.add_class("kilncalc-drawing")
        self._build()
        self._begin()
        self._opening = False

    @property
    def shapes(self) -> tuple[laying.Shape, ...]:
        """What lies on the sheet, lengths in metres."""
        return self.pattern.shapes if self.pattern else ()

    # -------------------------------------------------------------- the parts

    def _build(self) -> None:
        drawing = self.drawing
        self.switch = widgets.ToggleButtons(
            options=[(name, key) for key, name in UNIT_NAMES.items()],
            value=self.units,
            tooltips=["show metric units", "show inches, ounces and °F"],
            **alike(widgets.ToggleButtons),
        )
        self.start = widgets.Dropdown(
            options=[(start.name, start) for start in drawing.starts],
            description="start from",
            **alike(widgets.Dropdown),
        )
        self.source = widgets.Dropdown(
            options=(DRAWN, FILE), description="the piece is of", **alike(widgets.Dropdown)
        )
        self.size = self._text_box(_SIZE)
        self.thick = self._text_box(_THICK)
        self.kind = widgets.Dropdown(options=list(KINDS), description="lay on it", **alike(widgets.Dropdown))
        self.fields: dict[str, widgets.Text] = {}
        self.form = self._grid([])
        self.add = self._button("Add it", self._add)
        self.list = widgets.VBox(**alike(widgets.VBox))
        self.list.add_class("kilncalc-drawing-list")
        self.upload = widgets.FileUpload(
            accept="image/*", multiple=False, description="Choose a picture", **alike(widgets.FileUpload)
        )
        self.of_picture = {field.name: self._text_box(field) for field in _PICTURE_FIELDS}
        self.cells = widgets.Dropdown(
            options=(QUICK, CAREFUL), description="cells", **alike(widgets.Dropdown)
        )
        self.rows = [
            _SliderRow(control, self.units, self._moved, self.message.refuse)
            if isinstance(control, Slider)
            else _ChoiceRow(control, self.units, self._moved)
            for control in drawing.controls
        ]
        self.fire = self._button("Fire it", lambda: self._fire())
        self.keep = self._button("Compare with this one", self._keep)
        self.bar = widgets.FloatProgress(
            value=0.0, min=0.0, max=1.0, description="firing", **alike(widgets.FloatProgress)
        )
        self.drawn = _Picture(
            lambda: self._guarded(self._fire),
            figure=as_json({"panes": [], "readings": [], "table": None, "caption": ""}),
            **alike(_Picture),
        )
        self.picture = _Picture(figure=self.drawn.figure, **alike(_Picture))
        title = widgets.HTML(f"{_STYLE}{_LOOK}<h4>{html.escape(drawing.title)}</h4>", **alike(widgets.HTML))
        top = widgets.HBox([title, self.switch], **alike(widgets.HBox))
        top.add_class("kilncalc-top")
        self.of_shapes = [self._grid([self.start, self.size, self.thick, self.kind]), self.form]
        self.buttons = widgets.HBox([self.add], **alike(widgets.HBox))
        self.left = widgets.VBox(**alike(widgets.VBox))
        work = widgets.Box([self.left, self.drawn], **alike(widgets.Box))
        work.add_class("kilncalc-drawing-work")
        self.page = widgets.ToggleButtons(options=(PIECE, KILN), **alike(widgets.ToggleButtons))
        self.firing = widgets.HBox([self.fire, self.keep], **alike(widgets.HBox))
        parts = [*(row.box for row in self.rows), self.cells, self.firing]
        controls = widgets.Box(parts, **alike(widgets.Box))
        controls.add_class("kilncalc-controls")
        self.pages = {PIECE: [work], KILN: [controls, self.picture]}

        def turn_page(_change: Any = None) -> None:
            self.children = [top, self.page, *self.pages[self.page.value], self.message]

        turn_page()
        self.page.observe(turn_page, "value")
        for box in (self.size, self.thick, *self.of_picture.values()):
            box.observe(self._changed, "value")
        self.switch.observe(self._turn, "value")
        self.start.observe(lambda _change: self._guarded(self._begin), "value")
        self.source.observe(lambda _change: self._guarded(self._arrange_and_draw), "value")
        self.kind.observe(lambda _change: self._guarded(self._form), "value")
        self.upload.observe(self._changed, "value")
        self.cells.observe(self._changed, "value")

    def _text_box(self, field: Field) -> widgets.Text:
        return widgets.Text(
            value=field.start(self.units),
            description=field.label,
            continuous_update=False,
            **alike(widgets.Text),
        )

    def _button(self, words: str, pressed: Callable[[], None]) -> widgets.Button:
        button = widgets.Button(description=words, **alike(widgets.Button))
        button.on_click(partial(self._press, pressed))
        return button

    def _press(self, pressed: Callable[[], None], button: widgets.Button) -> None:
        self.pressed = button
        self._guarded(pressed)
        self.pressed = None

    def _grid(self, parts: list[widgets.Widget]) -> widgets.Box:
        grid = widgets.Box(parts, **alike(widgets.Box))
        grid.add_class("kilncalc-drawing-form")
        return grid

    # -------------------------------------------------------------- what happens

    def _guarded(self, act: Callable[[], None]) -> bool:
        """Do something, and return whether it was done; what goes wrong becomes a message."""
        try:
            self.message.refuse("")
            act()
            return True
        except (QuantityError, ValueError, ArithmeticError) as problem:
            self.message.refuse(f"{said(problem, self.units)}.")
        except Exception as error:  # a front-end drops an exception in a callback; a sentence it shows
            _log.exception("in the drawing %r", self.drawing.title)
            what = f"{type(error).__name__}: {error}"
            self.message.refuse(f"Something went wrong in this drawing ({what}). Tell your teacher.")
        return False

    def _begin(self) -> None:
        """Start anew from the piece that is chosen."""
        start, which = self.start.value, self.units == "inches"
        self._write(self.size, start.sheet[which])
        self._write(self.thick, start.thickness[which])
        self.items, self.changing, self.touched = start.items(self.units), None, False
        self._form()
        self._arrange_and_draw()

    def _form(self) -> None:
        """Show the fields of the kind that is chosen."""
        kind = KINDS[self.kind.value]
        if self.changing is not None and self.items[self.changing].kind is not kind:
            self.changing = None
        values = self.items[self.changing].values if self.changing is not None else None
        self.fields = {field.name: self._text_box(field) for field in kind.fields}
        if values:
            for field in kind.fields:
                self.fields[field.name].value = field.text(values[field.name], self.units)
        old = self.form.children
        self.form.children = list(self.fields.values())
        for box in old:
            box.close()
        self.add.description = "Add it" if self.changing is None else f"Change {self.changing + 1}"

    def _add(self) -> None:
        """Add the shape of the form, or put it in the place of the one that is being changed."""
        kind = KINDS[self.kind.value]
        item = Item(kind, {field.name: field.read(self.fields[field.name].value) for field in kind.fields})
        items = list(self.items)
        if self.changing is None:
            items.append(item)
        else:
            items[self.changing] = item
        self._take(tuple(items))
        self.changing = None
        self._form()

    def _remove(self, number: int) -> None:
        self._take(self.items[:number] + self.items[number + 1 :])
        self.changing = None
        self._form()

    def _change(self, number: int) -> None:
        """Put a shape of the list into the form."""
        self.changing = number
        if self.kind.value == self.items[number].kind.name:
            self._form()
        else:
            self.kind.value = self.items[number].kind.name

    def _take(self, items: tuple[Item, ...]) -> None:
        """Let these be the shapes, if a piece can be made of them."""
        before, self.items = self.items, items
        try:
            made = self._made()
        except Exception:
            self.items = before
            raise
        self.touched = True
        self._list()
        self._draw(made)

    def _changed(self, _change: Any) -> None:
        if self._quiet:
            return
        self.touched = True
        self._guarded(lambda: self._draw(self._made()))

    def _moved(self) -> bool:
        """Fire again with the controls as they are now."""
        return self._guarded(self._fired_at_once)

    def _turn(self, change: Any) -> None:
        """Count in another unit system: a piece that nobody has touched starts as it does there."""
        old, self.units = self.units, change["new"]
        self._quiet = True
        for row in self.rows:
            row.turn(self.units)
        for field, box in (
            *((field, self.of_picture[field.name]) for field in _PICTURE_FIELDS),
            (_SIZE, self.size),
            (_THICK, self.thick),
        ):
            if field.metric and box.value == field.start(old):
                box.value = field.start(self.units)
            else:
                try:
                    box.value = field.text(field.read(box.value), self.units)
                except QuantityError:
                    continue  # what cannot be read stays as it was typed
        self._quiet = False
        if self.touched:
            self._guarded(self._form)
            self._guarded(self._arrange_and_draw)
        else:
            self._guarded(self._begin)

    def _write(self, box: widgets.Text, text: str) -> None:
        self._quiet = True
        box.value = text
        self._quiet = False

    # -------------------------------------------------------------- the piece

    def _made(self) -> patterned.Pattern | None:
        """Return the piece as the form says; None where a picture is still to be chosen."""
        cells = patterned.FINE if self.cells.value == CAREFUL else patterned.COARSE
        if self.source.value == FILE:
            if not self.upload.value:
                return None
            size = {field.name: field.read(self.of_picture[field.name].value) for field in _PICTURE_FIELDS}
            file = io.BytesIO(bytes(self.upload.value[0]["content"]))
            return patterned.Pattern(laying.from_picture(file, **size, cells=cells))
        sheet, thickness = _SIZE.read(self.size.value), _THICK.read(self.thick.value)
        return _laid(sheet, thickness, self.items, cells)

    def _arrange_and_draw(self) -> None:
        if self.source.value == FILE:
            self.left.children = [
                self._with_source([*self.of_picture.values()]),
                widgets.HBox([self.upload], **alike(widgets.HBox)),
            ]
        else:
            self.left.children = [self._with_source([]), *self.of_shapes, self.buttons, self.list]
            self._list()
        self._draw(self._made())

    def _with_source(self, parts: list[widgets.Widget]) -> widgets.Box:
        return self._grid([self.source, *parts])

    def _list(self) -> None:
        """Write the list anew."""
        old, rows = self.list.children, []
        for number, item in enumerate(self.items):
            words = widgets.HTML(
                f"{number + 1}. {html.escape(item.words(self.units))}", **alike(widgets.HTML)
            )
            change = self._button(f"Edit {number + 1}", partial(self._change, number))
            remove = self._button(f"Remove {number + 1}", partial(self._remove, number))
            rows.append(widgets.HBox([words, change, remove], **alike(widgets.HBox)))
        self.list.children = rows
        for row in old:
            for part in row.children:
                part.close()
            row.close()

    def _draw(self, made: patterned.Pattern | None) -> None:
        """Draw a piece, and fire it at once where that is quick; the first one when the reader comes near."""
        if made is None:
            self.message.refuse("Choose a picture: darker is thicker. PNG and JPEG both do.")
            return
        self.drawn.figure = as_json(maps.thickness(made, Show(self.units)))
        self.found, self.pattern = None, made
        if not self._opening:
            self._fired_at_once()

    def _fired_at_once(self) -> None:
        if self.cells.value == QUICK:
            self._fire()
        else:
            self._tell_to_fire()

    def _tell_to_fire(self) -> None:
        self.fire.button_style = "primary"
        self.message.refuse("The picture below is of the piece before: press “Fire it”.")

    def _fire(self) -> None:
        """Fire the piece with the controls as they are, and draw what comes of it."""
        if self.pattern is None:
            raise ValueError("there is no piece yet: add a shape, or choose a picture")
        began = time.monotonic()

        def tell(share: float) -> None:
            if time.monotonic() - began > _PATIENCE:
                self.bar.value = share
                if self.bar not in self.firing.children:
                    self.firing.children = [self.fire, self.keep, self.bar]

        values = {
            control.name: row.value for control, row in zip(self.drawing.controls, self.rows, strict=True)
        }
        # What is pressed meanwhile would wait in the kernel, which need not keep the order; the button that
        # was pressed stays as it is, or a keyboard would lose its place.
        waiting = [one for one in self._buttons() if one is not self.pressed]
        for button in waiting:
            button.disabled = True
        try:
            self.found = self.drawing.result(self.pattern, progress=tell, **values)
        finally:
            self.drawn.waits = False
            self.firing.children = [self.fire, self.keep]
            for button in waiting:
                button.disabled = False
        self.fire.button_style = ""
        self._show_found()

    def _buttons(self) -> list[widgets.Button]:
        rows = [part for row in self.list.children for part in row.children[1:]]
        return [self.add, self.fire, self.keep, *rows]

    def _keep(self) -> None:
        """Keep this firing beside those that come, or stop comparing."""
        if self.kept is not None:
            self.kept, self.keep.description = None, "Compare with this one"
        elif self.found is None:
            raise ValueError("there is nothing to compare with yet: fire the piece first")
        else:
            self.kept, self.keep.description = self.found, "Stop comparing"
        if self.found is not None:
            self._show_found()

    def _show_found(self) -> None:
        show = Show(self.units)
        alone = self.drawing.draw(self.found, show)
        if self.kept is not None and self.kept is not self.found:
            self.picture.figure = as_json(self.drawing.draw_both(self.kept, self.found, show))
        else:
            self.picture.figure = as_json(alone)
        self.drawn.figure = as_json({**maps.thickness(self.pattern, show), "readings": alone["readings"]})
