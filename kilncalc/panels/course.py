"""The panel of a course as a workshop; it stands at the end of lesson 3."""

from kilncalc import materials, workshop
from kilncalc.cutting import StockSheet
from kilncalc.figures import workshop as pictures
from kilncalc.panels._panel import Panel, Rail, Slider

# invented: the class's tray and banner, a sheet, a kiln and its prices
PIECES = (
    workshop.CoursePiece("tray", 0.247, 0.187, sheets=2, frit=0.0135, processes=("tack fuse", "slump")),
    workshop.CoursePiece("banner", 0.427, 0.157, sheets=2, processes=("full fuse", "drape and bond")),
)
SHEET = StockSheet(0.500, 0.500, 3.4e-3, materials.glass("kiln glass A").density, price=30.0)
SHELF = 0.560, 0.460  # m
KEPT = 0.55  # of crushed glass, what the sieves leave as medium frit
A_FIRING = 12 * workshop.JOULES_IN_A_KILOWATT_HOUR
PRICE = 0.30 / workshop.JOULES_IN_A_KILOWATT_HOUR


def _planned(students: float, gap: float, breakage: float, firings_a_week: float) -> workshop.Course:
    return workshop.plan_course(
        PIECES,
        round(students),
        SHEET,
        shelf_length=SHELF[0],
        shelf_width=SHELF[1],
        gap=gap,
        breakage=breakage,
        kept=KEPT,
        firings_a_week=round(firings_a_week),
        energy_a_firing=A_FIRING,
        energy_price=PRICE,
    )


course = Panel(
    "A tray and a banner for everybody: what does the class need?",
    _planned,
    pictures.course,
    (
        Slider("students", "students", "count", Rail("", 12, 1, 20, 1)),
        Slider(
            "gap",
            "room between pieces",
            "length",
            Rail("mm", 10, 3, 20, 1),
            Rail("in", 0.375, 0.125, 0.75, 0.125),
        ),
        Slider("breakage", "blanks that break", "ratio", Rail("%", 10, 0, 30, 1)),
        Slider("firings_a_week", "firings a week", "count", Rail("", 2, 1, 7, 1)),
    ),
)
