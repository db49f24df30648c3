"""A picture of blanks on the sheets they are cut from."""

from collections.abc import Sequence

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
    return style.picture([_sheets(sheets[:DRAWN], letters, show)], caption, readings)


def _sheets(drawn: Sequence[CutSheet], letters: dict[str, str], show: Show) -> style.Pane:
    sheets, blanks, cuts, notes = [], [], [], []
    long = max(WIDEST[0], *(sheet.stock.length for sheet in drawn))
    wide = max(WIDEST[1], *(sheet.stock.width for sheet in drawn))
    apart = 0.05 * long
    for number, sheet in enumerate(drawn):
        x = number * (long + apart)
        sheets.append(box(x, x + sheet.stock.length, 0.0, sheet.stock.width))
        blanks += [box(x + one.x, x + one.x + one.length, one.y, one.y + one.width) for one in sheet.blanks]
        cuts += [[(x + cut.x0, cut.y0), (x + cut.x1, cut.y1)] for cut in sheet.cuts]
        notes += [
            _words(x + one.x + one.length / 2, one.y + one.width / 2, letters[one.name], show)
            for one in sheet.blanks
        ]
        notes.append(
            _words(x + sheet.stock.length / 2, sheet.stock.width + apart, f"{number + 1}", show, style.QUIET)
        )
    right = DRAWN * (long + apart)
    return style.pane(
        [shape("offcut", sheets, show), shape("glass", blanks, show), lines(cuts, show, style.CUT)],
        x=bare_axis(-0.01, right, show),
        y=to_scale(bare_axis(-0.01, wide + 2 * apart, show)),
        annotations=notes,
        height=250,
        margin={"l": 8, "r": 8, "t": 8, "b": 8},
    )


def _words(x: float, y: float, text: str, show: Show, colour: str = style.INK) -> dict[str, object]:
    return style.label(
        show.number(x, "length"), show.number(y, "length"), text, colour, xanchor="center", yanchor="middle"
    )
