"""The panels of lesson 2, volume to weight."""

from kilncalc import filling, materials, sketch, volume
from kilncalc.figures import filling as pictures
from kilncalc.figures import sketch as sketches
from kilncalc.panels._panel import Fixed, Guess, Panel, Rail, Slider
from kilncalc.quantities import INCH

GLASS = materials.glass("kiln glass A")
BALLS_POURED_LOOSELY = volume.frit_packing("equal balls, poured")
CRUSHED_GLASS = 1120.0  # kg/m3; published: FHWA-RD-97-148, loose crushed glass (from memory, medium)
WAX_DENSITY = 960.0  # kg/m3, from memory: modelling waxes 900 to 1000
BALANCE = 0.002  # kg, a kitchen balance, from memory


def _filled(depth: float, brim: float, base: float, thickness: float, packing: float) -> filling.ConeFilling:
    return filling.fill_cone(base, brim, depth, thickness, density=GLASS.density, packing=packing)


fill_the_mould = Panel(
    "How much glass fills this mould, and does it fit in as loose frit?",
    _filled,
    pictures.filled_mould,
    (
        Slider(
            "brim",
            "inside, at the brim",
            "length",
            Rail("mm", 130, 60, 180, 1),
            Rail("in", 5.25, 2.5, 7, 0.125),
        ),
        Slider(
            "base",
            "inside, at the bottom",
            "length",
            Rail("mm", 84, 40, 160, 1),
            Rail("in", 3.5, 1.5, 6.25, 0.125),
        ),
        Slider(
            "thickness",
            "thickness of the cast",
            "length",
            Rail("mm", 45, 10, 60, 1),
            Rail("in", 1.75, 0.375, 2.25, 0.125),
        ),
        Slider("packing", "packing of the frit", "ratio", Rail("%", 50, 45, 60, 1)),
    ),
    Guess(
        "The bookend is cast as the sliders say. What weight of glass does it take?",
        "mass",
        lambda filled: filled.mass,
        Rail("g", 1000, 100, 3000, 50),
        Rail("oz", 32, 4, 104, 2),
    ),
    fixed=(Fixed("depth", 0.060, 2.375 * INCH),),  # of the mould, invented
)

packing = Panel(
    "How much of a heap is glass?",
    lambda: filling.two_cups(GLASS.density, BALLS_POURED_LOOSELY, CRUSHED_GLASS),
    pictures.two_cups,
)


def _measured(model: float, wax: float, soaked: float, reading: float) -> filling.ModelMeasured:
    return filling.measure_model(
        model,
        density=GLASS.density,
        wax_density=WAX_DENSITY,
        wax_error=wax,
        soaked=soaked,
        reading_error=reading,
        balance_error=BALANCE,
    )


three_ways = Panel(
    "Wax, water or a jug: which way of measuring a model is surest?",
    _measured,
    pictures.three_ways,
    (
        Slider(
            "model",
            "volume of the model",
            "volume",
            Rail("ml", 300, 100, 1000, 10),
            Rail("in³", 18, 6, 60, 1),
        ),
        Slider("wax", "density of the wax off by", "ratio", Rail("%", 2, 0, 6, 0.5)),
        Slider("soaked", "water the mould soaks up", "ratio", Rail("%", 8, 0, 20, 1)),
        Slider(
            "reading",
            "a jug reading is off by",
            "volume",
            Rail("ml", 10, 0, 25, 1),
            Rail("in³", 0.5, 0, 1.5, 0.1),
        ),
    ),
)


def _strewn(sheet: float, area: float, grain: float, coverage: float, packing: float) -> filling.Texture:
    return filling.strew(area, grain, coverage, packing=packing, density=GLASS.density, sheet=sheet)


texture = Panel(
    "What does a texture of frit weigh, and how much glass does it add?",
    _strewn,
    pictures.frit_texture,
    (
        Slider("area", "area to be strewn", "area", Rail("cm²", 60, 10, 400, 5), Rail("in²", 10, 2, 60, 1)),
        Slider(
            "grain",
            "size of a grain",
            "length",
            Rail("mm", 3, 1, 6, 0.25),
            Rail("in", 0.125, 0.04, 0.24, 0.005),
        ),
        Slider("coverage", "coverage", "ratio", Rail("%", 60, 5, 90, 5)),
        Slider("packing", "packing of the layer", "ratio", Rail("%", 50, 35, 65, 5)),
    ),
    fixed=(Fixed("sheet", 0.0068, 0.27 * INCH),),  # two sheets of the relief tray, invented
)


# ------------------------------------------------------------------ from the sketch to the gram

LAYER = 0.5  # of a layer one grain high, as in the texture above
PEN = Fixed("off", 0.0005, INCH / 64)
"""How far a traced point may be off each way [m], invented."""

CARD = Fixed("card", (0.300, 0.210 * 0.297), (0.300, 8.5 * 11 * INCH**2))
"""Weight [kg/m2] and area [m2] of a sheet of heavy card."""

FRITS = ("No. 6", "No. 12", "No. 20")  # medium between the first two sieves, fine between the last two
CRUSHED = ("No. 4", "No. 6", "No. 8", "No. 12", "No. 16", "No. 20", "No. 40")
STAYED = (0.0, 0.10, 0.22, 0.21, 0.13, 0.09, 0.14)  # of a batch crushed under a hammer, invented
PAN = 0.11


def _sketched(
    length: float, side: float, balance: float, medium: float, off: float, card: tuple[float, float]
) -> sketch.Sketch:
    coarse, middle, fine = FRITS
    return sketch.measure_sketch(
        [(length * x, length * y) for x, y in sketch.LEAF],
        side,
        off,
        balance,
        *card,
        (
            sketch.Frit("medium", medium, coarse, middle),
            sketch.Frit("fine", 1 - medium, middle, fine),
        ),
        coverage=0.6,
        packing=LAYER,
        density=GLASS.density,
        openings=[volume.sieve_opening(name) for name in CRUSHED],
        passing=volume.cumulative_passing(STAYED, PAN),
    )


sketched = Panel(
    "A drawn leaf: how large is it, and how much glass must be crushed for its frit?",
    _sketched,
    sketches.measured,
    (
        Slider(
            "length",
            "length of the leaf",
            "length",
            Rail("mm", 140, 60, 250, 5),
            Rail("in", 5.5, 2.5, 10, 0.25),
        ),
        Slider(
            "side",
            "squares of the paper",
            "length",
            Rail("mm", 10, 5, 20, 1),
            Rail("in", 0.5, 0.25, 1, 0.125),
        ),
        Slider(
            "balance",
            "the balance is off by",
            "mass",
            Rail("g", 0.1, 0.05, 1, 0.05),
            Rail("oz", 0.005, 0.002, 0.04, 0.001),
        ),
        Slider("medium", "share of medium frit", "ratio", Rail("%", 70, 5, 95, 5)),
    ),
    fixed=(PEN, CARD),
)


RODS = Fixed("stock", (0.500, 0.006), (20 * INCH, INCH / 4))
"""Length of a rod, and thickness of the one that stringer is drawn out of [m], invented."""


def _rods(
    lines: float, line: float, breakage: float, thickness: float, stock: tuple[float, float]
) -> sketch.Lines:
    length, thick = stock
    return sketch.rods_for(round(lines), line, breakage, length, thickness, thick)


rods = Panel(
    "A grid of fine lines: how many rods, and how much glass drawn out?",
    _rods,
    sketches.rods,
    (
        Slider("lines", "lines of the grid", "count", Rail("", 24, 2, 60, 1)),
        Slider(
            "line",
            "length of a line",
            "length",
            Rail("mm", 120, 30, 250, 5),
            Rail("in", 4.75, 1.25, 10, 0.25),
        ),
        Slider("breakage", "cuts that break", "ratio", Rail("%", 10, 0, 40, 1)),
        Slider(
            "thickness",
            "thickness of a line",
            "length",
            Rail("mm", 2, 1, 4, 0.25),
            Rail("in", 1 / 16, 1 / 32, 5 / 32, 1 / 64),
        ),
    ),
    fixed=(RODS,),
)
