"""The panels of lesson 3, layer counts."""

from functools import partial

from kilncalc import layers, materials, settling
from kilncalc.cutting import StockSheet
from kilncalc.figures import cutting as cutting_pictures
from kilncalc.figures import layers as layer_pictures
from kilncalc.figures import settling as settling_pictures
from kilncalc.panels._panel import Choice, Fixed, Guess, Panel, Rail, Slider
from kilncalc.quantities import INCH

GLASS = materials.glass("kiln glass A")
ON_KILN_WASH = 120.0
"""Contact angle [degree], fitted to the "about 6 mm" of the trade."""

PROJECT = Fixed(
    "project",
    (
        layers.Finished("tray", 0.240, 0.180, layers=2),
        layers.Finished("banner", 0.420, 0.150, layers=4),
        layers.Finished("sleeve", 0.150, 0.060, layers=2, draw_in_along_width=2e-3),
        layers.Finished("door sign", 0.300, 0.090, layers=4),
    ),
    (
        layers.Finished("tray", 9.5 * INCH, 7 * INCH, layers=2),
        layers.Finished("banner", 16.5 * INCH, 6 * INCH, layers=4),
        layers.Finished("sleeve", 6 * INCH, 2.375 * INCH, layers=2, draw_in_along_width=0.08 * INCH),
        layers.Finished("door sign", 11.75 * INCH, 3.5 * INCH, layers=4),
    ),
)
"""One tray, two banners, each with the sleeve for its rod, and two door signs, each of two layers."""

SHEET = Fixed("thickness", 3.2e-3, 0.125 * INCH)
"""Measured thickness of the sheets that are bought [m]."""

FORMER = Fixed("former", (0.018, 0.010), (0.6875 * INCH, 0.375 * INCH))
"""Width of the sleeve's former, and how far it stands out at each mouth [m]."""

DAMS: dict[str, float | None] = {
    "none": None,
    "at the edge of the stack": 0.0,
    "a tenth of the side away": 0.1,
}
"""Room between the stack and its dams, as a share of its side."""

GRID = {"one way": 1, "crossing, as a grid": 2}


def settled(sheets: float, thickness: float, side: float, dams: str) -> layers.StackAtRest:
    """Return a stack of sheets at rest on kiln wash."""
    room = DAMS[dams]
    gap = None if room is None else room * side
    return layers.stack_at_rest(GLASS, side, round(sheets), thickness, ON_KILN_WASH, gap=gap)


settle = Panel(
    "Where does a stack of sheets come to rest, and where does its edge go?",
    settled,
    settling_pictures.stack,
    (
        Slider("sheets", "sheets in the stack", "count", Rail("", 1, 1, 6, 1)),
        Slider(
            "thickness",
            "measured, one sheet",
            "length",
            Rail("mm", 3.2, 2.0, 3.6, 0.1),
            Rail("in", 0.125, 0.080, 0.140, 0.005),
        ),
        Slider(
            "side", "side of the square", "length", Rail("mm", 100, 80, 120, 5), Rail("in", 4, 3, 5, 0.25)
        ),
        Choice("dams", "dams", tuple(DAMS), "none"),
    ),
    Guess(
        "One sheet, without dams: by how much will each edge move?",
        "length",
        lambda found: abs(found.stack.draw_in),
        Rail("mm", 2, 0, 30, 1),
        Rail("in", 0.1, 0, 1.2, 0.05),
    ),
)


pool = Panel(
    "How thick does molten glass stand?",
    partial(settling.compare_pools, materials.glass("float"), contact_angle=ON_KILN_WASH),
    settling_pictures.pools,
)


paper = Panel(
    "How many layers of paper make this height?",
    layers.count_paper,
    layer_pictures.papers,
    (
        Slider(
            "depth",
            "height, over the glass",
            "length",
            Rail("mm", 26.5, 12, 32, 0.5),
            Rail("in", 1, 0.5, 1.25, 0.03125),
        ),
        Slider(
            "face",
            "glass counted in it",
            "length",
            Rail("mm", 6.4, 0, 7, 0.2),
            Rail("in", 0.25, 0, 0.28125, 0.03125),
        ),
        Slider(
            "nominal",
            "paper is sold as",
            "length",
            Rail("mm", 2, 1.5, 4, 0.5),
            Rail("in", 0.0625, 0.0625, 0.15625, 0.015625),
        ),
        Slider(
            "measured",
            "one layer measures",
            "length",
            Rail("mm", 2.3, 1.5, 3.5, 0.1),
            Rail("in", 0.07, 0.06, 0.14, 0.005),
        ),
    ),
)


def on_sheet(sheet: float, diameter: float, pitch: float, grid: str) -> layers.RodsOnSheet:
    """Return rods on a sheet, one way or crossing."""
    return layers.rods_on_sheet(sheet, diameter, pitch, GRID[grid])


rods = Panel(
    "How much glass do rods add to a sheet, and how high does it stand?",
    on_sheet,
    layer_pictures.rods,
    (
        Slider(
            "sheet",
            "sheet below, measured",
            "length",
            Rail("mm", 6.4, 3, 10, 0.2),
            Rail("in", 0.25, 0.125, 0.375, 0.03125),
        ),
        Slider(
            "diameter",
            "thickness of a rod",
            "length",
            Rail("mm", 2, 1, 6, 0.5),
            Rail("in", 0.078125, 0.046875, 0.234375, 0.015625),
        ),
        Slider(
            "pitch",
            "from rod to rod",
            "length",
            Rail("mm", 15, 6, 20, 1),
            Rail("in", 0.625, 0.25, 0.75, 0.0625),
        ),
        Choice("grid", "rods laid", tuple(GRID), "crossing, as a grid"),
    ),
)


def ordered(
    project: tuple[layers.Finished, ...],
    thickness: float,
    length: float,
    width: float,
    kerf: float,
    trim: float,
) -> layers.GlassOrder:
    """Return the sheets that the project takes."""
    stock = StockSheet(length, width, thickness, GLASS.density)
    return layers.order_glass(project, stock, trim=trim, kerf=kerf)


cut = Panel(
    "How many sheets must be bought, and how are they cut?",
    ordered,
    cutting_pictures.order,
    (
        Slider(
            "length", "sheet, length", "length", Rail("mm", 500, 440, 600, 10), Rail("in", 24, 18, 24, 0.5)
        ),
        Slider("width", "sheet, width", "length", Rail("mm", 400, 360, 500, 10), Rail("in", 18, 15, 20, 0.5)),
        Slider(
            "kerf", "each cut takes", "length", Rail("mm", 0, 0, 4, 0.5), Rail("in", 0, 0, 0.15625, 0.03125)
        ),
        Slider(
            "trim",
            "ground off, each edge",
            "length",
            Rail("mm", 1, 0, 8, 0.5),
            Rail("in", 0.03125, 0, 0.3125, 0.03125),
        ),
    ),
    fixed=(PROJECT, SHEET),
)
