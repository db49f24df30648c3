"""A picture of blanks on the sheets they are cut from."""

from kilncalc.cutting import CutSheet
from kilncalc.figures import style
from kilncalc.figures._shapes import bare_axis, box, count, lines, shape, to_scale
from kilncalc.layers import GlassOrder
from kilncalc.quantities import Show

DRAWN = 3
"""How many sheets are drawn."""

WIDEST = 24 * 0.0254, 20 * 0.0254
"""Length and width for which there is room, and more for larger sheets [m]: the picture does not jump."""


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
    readings = [
        style.reading(count(len(sheets), "sheet"), f"to buy, {bought}"),
        style.reading(finished, "in the finished pieces", "first"),
        style.reading(lost, "drawn in, ground off", "second"),
        style.reading(offcuts, "offcuts and cuts", "quiet"),
    ]
    drawn = sheets[:DRAWN]
    long = max(WIDEST[0], *(sheet.stock.length for sheet in drawn))
    wide = max(WIDEST[1], *(sheet.stock.width for sheet in drawn))
    panes = [_sheet(number, sheet, (long, wide), letters, show) for number, sheet in enumerate(drawn, 1)]
    return style.picture(panes, caption, readings)


def _sheet(
    number: int, sheet: CutSheet, room: tuple[float, float], letters: dict[str, str], show: Show
) -> style.Pane:
    blanks = [box(one.x, one.x + one.length, one.y, one.y + one.width) for one in sheet.blanks]
    cuts = [[(cut.x0, cut.y0), (cut.x1, cut.y1)] for cut in sheet.cuts]
    whole = box(0.0, sheet.stock.length, 0.0, sheet.stock.width)
    above = 0.05 * room[0]
    notes = [
        _words(one.x + one.length / 2, one.y + one.width / 2, letters[one.name], show) for one in sheet.blanks
    ]
    notes.append(_words(sheet.stock.length / 2, sheet.stock.width + above, f"{number}", show, style.QUIET))
    return style.pane(
        [shape("offcut", [whole], show), shape("glass", blanks, show), lines(cuts, show, style.CUT)],
        x=bare_axis(-0.01, room[0] + 0.01, show),
        y=to_scale(bare_axis(-0.01, room[1] + 2 * above, show)),
        annotations=notes,
        height=230,
        least=200,
        margin={"l": 8, "r": 8, "t": 8, "b": 8},
    )


def _words(x: float, y: float, text: str, show: Show, colour: str = style.INK) -> dict[str, object]:
    return style.label(
        show.number(x, "length"), show.number(y, "length"), text, colour, xanchor="center", yanchor="middle"
    )
