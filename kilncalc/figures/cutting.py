"""A picture of blanks on the sheets they are cut from."""

from kilncalc.cutting import CutSheet
from kilncalc.figures import style
from kilncalc.figures._shapes import bare_axis, box, count, lines, shape, to_scale
from kilncalc.layers import GlassOrder
from kilncalc.quantities import Show

DRAWN = 3
"""How many sheets are drawn."""

WIDEST = 24 * 0.0254, 20 * 0.0254
"""Length and width of the largest sheet for which there is room [m]: the picture does not jump."""


def order(found: GlassOrder, show: Show) -> style.Figure:
    """Return the first three sheets to scale, blanks lettered in the order of the pieces."""
    sheets = found.plan.sheets
    letters = {name: chr(65 + i) for i, name in enumerate(found.names)}
    bought, finished = show.text(found.plan.stock_mass, "mass"), show.text(found.finished_mass, "mass")
    lost, offcuts = show.text(found.lost_mass, "mass"), show.text(found.offcut_mass, "mass")
    more = f"; {len(sheets) - DRAWN} more not drawn." if len(sheets) > DRAWN else "."
    listed = ", ".join(f"{letter} {name}" for name, letter in letters.items())
    caption = (
        f"{listed}. {count(len(sheets), 'sheet')}, {bought} of glass: {finished} in the finished pieces, "
        f"{lost} drawn in or ground off, {offcuts} offcuts. Every line is a cut from edge to edge of the "
        f"part it is made in{more}"
    )
    drawn = [*sheets[:DRAWN], *[None] * (DRAWN - len(sheets))]
    panes = [_sheet(sheet, number, letters, show) for number, sheet in enumerate(drawn, 1)]
    readings = [
        style.reading(count(len(sheets), "sheet"), f"to buy, {bought}"),
        style.reading(finished, "in the finished pieces", "first"),
        style.reading(lost, "drawn in, ground off", "second"),
        style.reading(offcuts, "offcuts and cuts", "quiet"),
    ]
    return style.picture(panes, caption, readings)


def _sheet(sheet: CutSheet | None, number: int, letters: dict[str, str], show: Show) -> style.Pane:
    traces, notes = [], []
    if sheet is None:
        notes.append(_words(WIDEST[0] / 2, WIDEST[1] / 2, "not needed", show, style.QUIET))
    else:
        length, width = sheet.stock.length, sheet.stock.width
        size = f"{number}: {show.text(length, 'length')} × {show.text(width, 'length')}"
        notes += [
            _words(blank.x + blank.length / 2, blank.y + blank.width / 2, letters[blank.name], show)
            for blank in sheet.blanks
        ]
        notes.append(_words(length / 2, width + 0.03, size, show, style.QUIET))
        traces = [
            shape("offcut", [box(0.0, length, 0.0, width)], show),
            shape(
                "glass",
                [box(one.x, one.x + one.length, one.y, one.y + one.width) for one in sheet.blanks],
                show,
            ),
            lines([[(cut.x0, cut.y0), (cut.x1, cut.y1)] for cut in sheet.cuts], show, style.CUT),
        ]
    return style.pane(
        traces,
        x=bare_axis(-0.01, WIDEST[0] + 0.01, show),
        y=to_scale(bare_axis(-0.01, WIDEST[1] + 0.06, show)),
        annotations=notes,
        height=240,
        least=220,
        margin={"l": 8, "r": 8, "t": 8, "b": 8},
    )


def _words(x: float, y: float, text: str, show: Show, colour: str = style.INK) -> dict[str, object]:
    return style.label(
        show.number(x, "length"), show.number(y, "length"), text, colour, xanchor="center", yanchor="middle"
    )
