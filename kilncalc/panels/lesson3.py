"""The panels of lesson 3, layer counts."""

import numpy as np

from kilncalc import cutting, layers, materials, settling
from kilncalc.figures import layers as pictures
from kilncalc.figures.style import Figure
from kilncalc.panels._old import old_panel as Panel
from kilncalc.panels._old import old_slider as Slider
from kilncalc.panels._panel import Choice

GLASS = materials.glass("kiln glass A")
FLOAT = materials.glass("float")
TIN_DENSITY = 6500.0  # kg/m3, near 1000 degC; from memory
FLOAT_ON_TIN = 7e-3  # m; published: Pilkington 1969, about 7 mm (from memory)

TILE = 0.100  # m, side of the square that settles
DAMS = {"none": None, "at the edge of the stack": 0.0, "10 mm (0.4 in) away": 0.010}
GRID = {"one way": 1, "crossing, as a grid": 2}
WIDEST_SHEET = 0.60, 0.50


def _settle(sheets: float, thickness: float, angle: float, dams: str, units: str) -> Figure:
    count, gap = round(sheets), DAMS[dams]
    settled = settling.settled_thickness(GLASS, angle)
    inside = None if gap is None else TILE + 2 * gap
    end = settling.settled_size(
        TILE, TILE, count * thickness, settled, dam=None if inside is None else (inside, inside)
    )
    held = inside is not None and end.thickness > settled * (1 + 1e-9)
    return pictures.settling(
        half=TILE / 2,
        sheets=count,
        thickness=thickness,
        end=end,
        edge=None if held else settling.settled_edge(GLASS, angle),
        dam=None if inside is None else inside / 2,
        settled=settled,
        units=units,
    )


def _angle(value: float, units: str) -> str:
    return f"{value:.0f}°"


settle = Panel(
    "Where does a stack of sheets come to rest, and where does its edge go?",
    _settle,
    (
        Slider("sheets", "sheets in the stack", "count", 1, 1, 6, 1),
        Slider("thickness", "measured, one sheet", "length", 0.0032, 0.0020, 0.0036, 0.0001),
        Slider("angle", "contact angle, shelf", "angle", 120, 90, 150, 5, _angle),
        Choice("dams", "dams", tuple(DAMS), "none"),
    ),
)


def _tension(units: str) -> Figure:
    tension = np.linspace(0.17, 0.62, 40)
    # 90 degrees makes the tension that holds the edge equal to the surface tension
    on_shelf = np.sqrt(tension / FLOAT.surface_tension) * settling.settled_thickness(FLOAT, 90)
    at_one = settling.floating_thickness(FLOAT, TIN_DENSITY, 0.50, 0.50)
    on_tin = np.sqrt(tension / FLOAT.surface_tension) * at_one
    return pictures.settled_against_tension(
        tension=tension,
        on_shelf=on_shelf,
        on_tin=on_tin,
        computed=(FLOAT.surface_tension, at_one),
        published=(FLOAT.surface_tension, FLOAT_ON_TIN),
        kiln=(1.5 * FLOAT.surface_tension, settling.settled_thickness(FLOAT, 120)),
        units=units,
    )


tension = Panel("How thick does molten glass stand?", _tension, ())


def _paper(depth: float, face: float, nominal: float, ratio: float, units: str) -> Figure:
    measured = nominal * ratio
    return pictures.layers_of_paper(
        depth=depth,
        face=face,
        nominal=nominal,
        measured=measured,
        by_name=layers.paper_layers(depth, nominal, face=face).nearest.count,
        counted=layers.paper_layers(depth, measured, face=face),
        units=units,
    )


paper = Panel(
    "How many layers of paper make this depth?",
    _paper,
    (
        Slider("depth", "depth, face included", "length", 0.022, 0.015, 0.026, 0.0005),
        Slider("face", "glass counted in it", "length", 0.006, 0.0, 0.006, 0.0005),
        Slider("nominal", "paper is sold as", "length", 0.0032, 0.001, 0.0048, 0.0001),
        Slider("ratio", "it measures, times that", "ratio", 1.66, 0.90, 1.70, 0.01),
    ),
)


def _rods(sheet: float, diameter: float, pitch: float, grid: str, units: str) -> Figure:
    directions = GRID[grid]
    return pictures.rods_on_sheet(
        sheet=sheet,
        diameter=diameter,
        pitch=pitch,
        crossing=directions == 2,
        added=layers.rods_thickness(diameter, pitch, directions=directions),
        units=units,
    )


rods = Panel(
    "How much glass do rods add to a sheet, and how high does it stand?",
    _rods,
    (
        Slider("sheet", "sheet below, measured", "length", 0.0064, 0.003, 0.010, 0.0002),
        Slider("diameter", "thickness of a rod", "length", 0.002, 0.001, 0.006, 0.0005),
        Slider("pitch", "from rod to rod", "length", 0.015, 0.006, 0.020, 0.001),
        Choice("grid", "rods laid", tuple(GRID), "crossing, as a grid"),
    ),
)


def project(allowance: float) -> list[cutting.Blank]:
    """Return the clear blanks of tray, banner and door sign, larger by the allowance on every edge."""
    edge = cutting.Allowance(draw_in=allowance)
    finished = (("tray", 0.240, 0.180, 2), ("banner", 0.420, 0.150, 2), ("sleeve", 0.150, 0.060, 1))
    return [
        cutting.Blank(name, *cutting.blank_size(length, width, edge), count=count)
        for name, length, width, count in (*finished, ("door sign", 0.300, 0.090, 2))
    ]


def _cut(length: float, width: float, kerf: float, allowance: float, units: str) -> Figure:
    blanks = project(allowance)
    stock = cutting.StockSheet(length, width, 3.2e-3, GLASS.density)
    plan = cutting.cut_list(blanks, [stock], kerf=kerf)
    return pictures.blanks_on_sheets(
        plan, names=[blank.name for blank in blanks], widest=WIDEST_SHEET, units=units
    )


cut = Panel(
    "How many sheets must be bought, and how are they cut?",
    _cut,
    (
        Slider("length", "sheet, length", "length", 0.500, 0.440, WIDEST_SHEET[0], 0.005),
        Slider("width", "sheet, width", "length", 0.450, 0.360, WIDEST_SHEET[1], 0.005),
        Slider("kerf", "each cut takes", "length", 0.0, 0.0, 0.004, 0.0005),
        Slider("allowance", "allowance, each edge", "length", 0.003, 0.0, 0.008, 0.0005),
    ),
)
