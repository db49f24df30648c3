"""Pictures of lesson 3: a settling stack, layers of paper, rods on a sheet, blanks on their sheets."""

from collections.abc import Iterable, Sequence
from functools import partial

import numpy as np

from kilncalc.cutting import CutList, Rectangle
from kilncalc.figures import style
from kilncalc.layers import Layers
from kilncalc.quantities import as_text, to_unit
from kilncalc.settling import Settled

LENGTH_UNIT = {"metric": "mm", "inches": "in"}
Points = Iterable[tuple[float, float]]


def settling(
    *,
    half: float,
    sheets: int,
    thickness: float,
    end: Settled,
    edge: tuple[np.ndarray, np.ndarray] | None,
    dam: float | None,
    settled: float,
    units: str,
) -> style.Figure:
    """Return the right half of a stack in section, to scale: as laid up, and settled.

    `half` the half width of the stack [m], `edge` the settled profile from the foot inwards [m] or None where
    the glass stands against a dam, `dam` the half width inside the dams [m] or None.
    """
    say, unit = partial(as_text, units=units), LENGTH_UNIT[units]
    top = sheets * thickness
    if edge is None:
        outline = _box(0.0, end.width / 2, 0.0, end.thickness)
    else:
        x, z = edge
        flat = end.thickness * -x[-1]
        foot = end.width / 2 + (flat - np.trapezoid(z[::-1], x[::-1])) / end.thickness
        outline = [(0.0, 0.0), *zip(foot + x, z, strict=True), (0.0, end.thickness), (0.0, 0.0)]
    laid = [_box(0.0, half, i * thickness, (i + 1) * thickness) for i in range(sheets)]
    block = [] if dam is None else [_box(dam, dam + 0.008, 0.0, 0.024)]
    move = end.draw_in
    if abs(move) < 0.05e-3:
        says = "its edge stays"
    else:
        says = f"its edge {'draws in' if move > 0 else 'spreads'} {say(abs(move), 'length')}"
    held = edge is None and end.thickness > settled * 1.001
    caption = (
        f"{_count(sheets, 'sheet')}, {say(top, 'length')} thick, on a square of {say(2 * half, 'length')}. "
        f"Free, this glass comes to rest at {say(settled, 'length')}. Here it ends "
        f"{say(end.thickness, 'length')} thick, and {says}{': the dams hold it' if held else ''}."
    )
    left, right, low, high = -0.001, 0.108, -0.003, 0.026
    return style.figure(
        [
            _shape("shelf", [_box(left, right, low, 0.0)], unit),
            _shape("mould", block, unit),
            _shape("glass", [outline], unit),
            _lines(laid, unit, {"dash": "dash", "width": 2, "color": style.INK}),
            _lines([[(left, settled), (right, settled)]], unit, style.REFERENCE),
        ],
        caption,
        margin={"l": 70, "r": 20, "t": 16, "b": 64},
        xaxis=style.axis(
            f"from the middle of the piece ({unit})",
            *_span(left, right, unit),
            constrain="domain",
        ),
        yaxis=style.axis(
            f"height ({unit})",
            *_span(low, high, unit),
            scaleanchor="x",
            constrain="domain",
            domain=[0.0, 0.78],
        ),
        annotations=[
            style.label(
                to_unit(right, "length", unit),
                to_unit(settled, "length", unit),
                "settled thickness",
                style.QUIET,
                xanchor="right",
                yanchor="bottom",
            ),
            _words(0.0, 1.0, f"<b>{say(top, 'length')}</b>  laid up (dashed)", 20),
            _words(0.36, 1.0, f"<b>{say(end.thickness, 'length')}</b>  at the end", 20),
            _words(0.66, 1.0, f"<b>{says}</b>", 20),
        ],
    )


def settled_against_tension(
    *,
    tension: np.ndarray,
    on_shelf: np.ndarray,
    on_tin: np.ndarray,
    computed: tuple[float, float],
    published: tuple[float, float],
    kiln: tuple[float, float],
    units: str,
) -> style.Figure:
    """Return settled thickness against the tension that holds the edge, [N/m] and [m], with three points."""
    say, unit = partial(as_text, units=units), LENGTH_UNIT[units]
    difference = computed[1] / published[1] - 1
    caption = (
        f"On tin, Langmuir's formula gives {say(computed[1], 'length')}; published for float glass is about "
        f"{say(published[1], 'length')}: {difference:+.0%}. On a kiln shelf the same balance gives "
        f"{say(kiln[1], 'length')} at a contact angle of 120°."
    )

    def point(at: tuple[float, float], marker: dict[str, object], name: str) -> style.Trace:
        y = to_unit(at[1], "length", unit)
        return style.scatter([at[0]], [y], mode="markers", marker=marker, name=name)

    def beside(at: tuple[float, float], text: str, colour: str, **keywords: object) -> dict[str, object]:
        return style.label(at[0], to_unit(at[1], "length", unit), text, colour, **keywords)

    return style.figure(
        [
            style.curve(tension, to_unit(on_shelf, "length", unit), "on a shelf"),
            style.curve(tension, to_unit(on_tin, "length", unit), "floating on tin", style.SECOND),
            point(computed, {**style.MARK_COMPUTED, "color": style.SECOND}, "computed on tin"),
            point(published, style.MARK_PUBLISHED, "published on tin"),
            point(kiln, style.MARK_COMPUTED, "computed on a shelf"),
        ],
        caption,
        xaxis=style.axis("tension that holds the edge (N/m)", 0.15, 0.65),
        yaxis=style.axis(f"settled thickness ({unit})", *_span(0.003, 0.010, unit)),
        annotations=[
            beside(
                (tension[-1], on_shelf[-1]),
                "on a shelf",
                style.FIRST,
                xanchor="right",
                yanchor="top",
                yshift=-10,
            ),
            beside(
                (tension[-1], on_tin[-1]),
                "floating on tin",
                style.SECOND,
                xanchor="right",
                yanchor="bottom",
                yshift=6,
                xshift=-70,
            ),
            beside(computed, "computed", style.SECOND, xanchor="left", xshift=14, yanchor="top"),
            beside(
                published,
                f"published: float glass ({difference:+.0%})",
                style.INK,
                xanchor="right",
                xshift=-16,
                yanchor="bottom",
            ),
            beside(kiln, "computed: kiln shelf, 120°", style.FIRST, xanchor="left", xshift=14, yanchor="top"),
        ],
    )


def layers_of_paper(
    *, depth: float, face: float, nominal: float, measured: float, by_name: int, counted: Layers, units: str
) -> style.Figure:
    """Return three stacks of paper to scale, a face on them: counted by name, and measured, down and up.

    All lengths in m; `counted` is the count by the measured thickness.
    """
    say, unit = partial(as_text, units=units), LENGTH_UNIT[units]
    stacks = (
        ("counted by name", by_name),
        ("measured, rounded down", counted.down.count),
        ("measured, rounded up", counted.up.count),
    )
    wide, apart, low, high = 0.040, 0.055, -0.003, 0.047
    papers, faces, notes = [], [], []
    for place, (how, count) in enumerate(stacks):
        left = place * apart
        papers += [_box(left, left + wide, i * measured, (i + 1) * measured) for i in range(count)]
        faces.append(_box(left, left + wide, count * measured, count * measured + face))
        over = count * measured + face - depth
        miss = f"{_tenths(abs(over), units)} too {'deep' if over > 0 else 'shallow'}"
        verdict = "exact" if abs(over) < 0.05e-3 else miss
        notes.append(
            style.label(
                to_unit(left + wide / 2, "length", unit),
                to_unit(high, "length", unit),
                f"{how}<br><b>{_count(count, 'layer')}</b>: {verdict}",
                style.SECOND if abs(over) > measured else style.INK,
                xanchor="center",
                yanchor="bottom",
                align="center",
            )
        )
    right = 2 * apart + wide
    nearest = counted.nearest
    glass = f" with a face of {say(face, 'length')}" if face else ""
    caption = (
        f"A depth of {say(depth, 'length')}{glass} leaves {say(counted.wanted, 'length')} for paper. Sold as "
        f"{say(nominal, 'length')} it asks for {_count(by_name, 'layer')}; at the {_tenths(measured, units)} "
        f"it measures, the nearest is {_count(nearest.count, 'layer')}."
    )
    return style.figure(
        [
            _shape("shelf", [_box(-0.008, right + 0.008, low, 0.0)], unit),
            _shape("paper", papers, unit),
            _shape("glass", faces if face else [], unit),
            _lines([[(-0.008, depth), (right + 0.008, depth)]], unit, style.REFERENCE),
        ],
        caption,
        margin={"l": 70, "r": 100, "t": 60, "b": 16},
        xaxis={"range": _span(-0.012, right + 0.012, unit), "visible": False, "fixedrange": True},
        yaxis=style.axis(
            f"height ({unit})",
            *_span(low, high, unit),
            scaleanchor="x",
            constrain="domain",
            showgrid=False,
            zeroline=False,
        ),
        annotations=[
            *notes,
            style.label(
                to_unit(right + 0.008, "length", unit),
                to_unit(depth, "length", unit),
                "wanted",
                style.QUIET,
                xanchor="left",
                xshift=4,
            ),
        ],
    )


def rods_on_sheet(
    *, sheet: float, diameter: float, pitch: float, crossing: bool, added: float, units: str
) -> style.Figure:
    """Return a sheet with rods on it in section, to scale, beside an even sheet of the same weight; in m."""
    say, unit = partial(as_text, units=units), LENGTH_UNIT[units]
    window, right_from = 0.045, 0.050
    centres = np.arange(pitch / 2, window - diameter / 2, pitch)
    turn = np.linspace(0, 2 * np.pi, 25)
    circle = np.array([diameter / 2 * np.cos(turn), diameter / 2 * np.sin(turn)]).T
    rods = [[(x + dx, sheet + diameter / 2 + dz) for dx, dz in circle] for x in centres]
    if crossing:
        rods.append(_box(0.0, window, sheet + diameter, sheet + 2 * diameter))
    highest = sheet + diameter * (2 if crossing else 1)
    total = sheet + added
    caption = (
        f"Rods {say(diameter, 'length')} thick, {say(pitch, 'length')} apart"
        f"{', crossing' if crossing else ''}, add {say(added, 'length')} on average: "
        f"the {say(sheet, 'length')} of sheet become {say(total, 'length')} by weight, "
        f"but {say(highest, 'length')} at the highest place."
    )
    low, high = -0.003, 0.0225
    return style.figure(
        [
            _shape("shelf", [_box(0, window, low, 0), _box(right_from, right_from + window, low, 0)], unit),
            _shape("glass", [_box(0.0, window, 0.0, sheet)], unit),
            _shape("glass", rods, unit),
            _shape("glass", [_box(right_from, right_from + window, 0.0, total)], unit),
            _lines([[(0.0, total), (right_from + window, total)]], unit, style.REFERENCE),
        ],
        caption,
        margin={"l": 70, "r": 20, "t": 16, "b": 40},
        xaxis={
            "range": _span(-0.001, right_from + window + 0.001, unit),
            "visible": False,
            "fixedrange": True,
        },
        yaxis=style.axis(
            f"height ({unit})",
            *_span(low, high, unit),
            scaleanchor="x",
            constrain="domain",
            showgrid=False,
            zeroline=False,
            domain=[0.0, 0.72],
        ),
        annotations=[
            _words(0.0, 1.0, f"<b>+ {say(added, 'length')}</b> on average", 22),
            _words(0.0, 0.88, f"highest place {say(highest, 'length')}", 18),
            _words(0.53, 1.0, f"<b>{say(total, 'length')}</b> even sheet", 22),
            _words(0.53, 0.88, "of the same weight", 18),
        ],
    )


def blanks_on_sheets(
    plan: CutList, *, names: Sequence[str], widest: tuple[float, float], units: str
) -> style.Figure:
    """Return the first three sheets of a cut list to scale, blanks lettered in the order of `names`.

    `widest` is the largest sheet there may be [m], for a picture that does not jump.
    """
    say, unit = partial(as_text, units=units), LENGTH_UNIT[units]
    step = widest[0] + 0.03
    sheets, blanks, cuts, letters = [], [], [], []
    for place, sheet in enumerate(plan.sheets[:3]):
        left = place * step
        sheets.append(_box(left, left + sheet.stock.length, 0.0, sheet.stock.width))
        blanks += [_rectangle(blank, left) for blank in sheet.blanks]
        cuts += [[(left + cut.x0, cut.y0), (left + cut.x1, cut.y1)] for cut in sheet.cuts]
        letters += [
            (left + blank.x + blank.length / 2, blank.y + blank.width / 2, chr(65 + names.index(blank.name)))
            for blank in sheet.blanks
        ]
    number = len(plan.sheets)
    weight, waste = say(plan.blank_mass, "mass"), f"{plan.waste:.0%}"
    caption = (
        f"{_count(number, 'sheet')}, {say(plan.stock_mass, 'mass')} of glass; the blanks weigh {weight}, "
        f"{waste} is left over as offcuts. Every line is a cut from edge to edge of the part it is made in"
        + ("." if number <= 3 else f"; {number - 3} more not drawn.")
    )
    x, y, text = ([letter[i] for letter in letters] for i in range(3))
    listed = "     ".join(f"<b>{chr(65 + i)}</b> {name}" for i, name in enumerate(names))
    right = 2 * step + widest[0]
    return style.figure(
        [
            _shape("offcut", sheets, unit),
            _shape("glass", blanks, unit),
            _lines(cuts, unit, style.CUT),
            style.scatter(
                to_unit(np.array(x), "length", unit),
                to_unit(np.array(y), "length", unit),
                text=text,
                mode="text",
                textfont={"size": 18, "color": style.INK},
                hoverinfo="skip",
            ),
        ],
        caption,
        margin={"l": 70, "r": 20, "t": 16, "b": 56},
        xaxis=style.axis(
            f"along the sheets ({unit})",
            *_span(-0.01, right + 0.01, unit),
            showgrid=False,
            zeroline=False,
            showticklabels=False,
            ticks="",
            showline=False,
        ),
        yaxis=style.axis(
            f"({unit})",
            *_span(-0.01, widest[1] + 0.01, unit),
            scaleanchor="x",
            constrain="domain",
            showgrid=False,
            zeroline=False,
            domain=[0.0, 0.76],
        ),
        annotations=[
            _words(0.0, 1.0, f"<b>{_count(number, 'sheet')}</b>", 24),
            _words(0.18, 1.0, f"<b>{waste}</b> left over", 24),
            _words(0.45, 1.0, f"<b>{weight}</b> of blanks", 24),
            _words(0.0, 0.87, listed, 16),
        ],
    )


# ------------------------------------------------------------------------------------------------ common


def _box(left: float, right: float, low: float, high: float) -> list[tuple[float, float]]:
    return [(left, low), (right, low), (right, high), (left, high), (left, low)]


def _rectangle(there: Rectangle, left: float) -> list[tuple[float, float]]:
    x = left + there.x
    return _box(x, x + there.length, there.y, there.y + there.width)


def _joined(outlines: Iterable[Points], unit: str) -> tuple[np.ndarray, np.ndarray]:
    """Return several outlines as one, with gaps between them."""
    points = [point for outline in outlines for point in (*outline, (np.nan, np.nan))][:-1]
    x, y = np.array(points).T if points else (np.empty(0), np.empty(0))
    metre = to_unit(1.0, "length", unit)
    return x * metre, y * metre  # to_unit refuses the gaps


def _shape(material: str, outlines: Iterable[Points], unit: str) -> style.Trace:
    return style.body(material, *_joined(outlines, unit))


def _lines(outlines: Iterable[Points], unit: str, line: dict[str, object]) -> style.Trace:
    return style.line(*_joined(outlines, unit), line)


def _span(low: float, high: float, unit: str) -> list[float]:
    return [float(to_unit(low, "length", unit)), float(to_unit(high, "length", unit))]


def _tenths(length: float, units: str) -> str:
    """Return a length to a tenth of a millimetre: paper is no more even than that."""
    return f"{length * 1e3:.1f} mm" if units == "metric" else f"{to_unit(length, 'length', 'in'):.2f} in"


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _words(x: float, y: float, text: str, size: int) -> dict[str, object]:
    return style.label(
        x,
        y,
        text,
        xref="paper",
        yref="paper",
        xanchor="left",
        yanchor="top",
        font={"size": size, "color": style.INK},
    )
