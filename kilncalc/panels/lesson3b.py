"""The panels of lesson 3b, slump and drape."""

from kilncalc import formed, forming, materials
from kilncalc.figures import forming as pictures
from kilncalc.panels._panel import Choice, Fixed, Guess, Panel, Rail, Slider
from kilncalc.quantities import INCH, from_unit

SLEEVE = Fixed(
    "sleeve", (0.060, 0.018, 0.009, 0.003), (2.375 * INCH, 0.6875 * INCH, 0.375 * INCH, 0.125 * INCH)
)
"""The banner's: width of its strip, width and height of its former, thickness of the sheet [m]; invented."""

GLASSES = ("kiln glass A", "float", "borosilicate 3.3")
BASES: dict[str, forming.Contact] = {"glass slides on the base": "slides", "the base grips": "sticks"}

_GLASS = Choice("glass", "glass", GLASSES, GLASSES[0])
_HOLD_AT = Slider(
    "temperature", "hold at", "temperature", Rail("°C", 665, 620, 735, 5), Rail("°F", 1230, 1150, 1350, 10)
)


def folded(
    sizes: tuple[float, float, float, float],
    base: forming.Contact,
    glass: materials.Glass,
    tension: bool = True,
) -> forming.Drape:
    """Return the sleeve's strip as it folds down over its former, which lets it slide."""
    strip, width, height, sheet = sizes
    return formed.draped(height, sheet, (strip - width) / 2, width, "slides", base, glass, tension)


sagging = Panel(
    "How fast does a sheet sag between two supports?",
    lambda: formed.sag(0.150, 0.006, 0.005, 630.38, materials.glass("NBS 710")),
    pictures.sagging_sheet,
)


def _film(
    sleeve: tuple[float, float, float, float], time: float, temperature: float, glass: str, base: str
) -> formed.Moment:
    kind = materials.glass(glass)
    return formed.film(folded(sleeve, BASES[base], kind), kind, temperature, time)


film = Panel(
    "What does the strip do while the kiln gets hot?",
    _film,
    pictures.film,
    (
        Slider("time", "time", "time", Rail("min", 24, 0, 55, 1), play=True),
        _HOLD_AT,
        _GLASS,
        Choice("base", "below", tuple(BASES), next(iter(BASES))),
    ),
    fixed=(SLEEVE,),
)

FORMS = {
    "the sleeve touches down": 2.0e-5,
    "a tray lies in its mould": forming.FLUIDITY_OF["slump"],
    "the sleeve is bonded": forming.FLUIDITY_OF["drape and bond"],
}
"""What a form asks for [1/Pa]."""


def _same(temperature: float, form: str, glass: str) -> forming.SameForm:
    return forming.same_form(FORMS[form], temperature, materials.glass(glass), formed.CLIMB_RATE)


same_form = Panel(
    "How long does the same form take ten degrees cooler?",
    _same,
    pictures.same_form,
    (_HOLD_AT, Choice("form", "until", tuple(FORMS), tuple(FORMS)[1]), _GLASS),
    Guess(
        "At 665 °C a tray lies in its mould after 27.9 min (at 1230 °F after 27.1). How long does it take "
        "10 °C (18 °F) cooler?",
        "time",
        lambda same: 60 * same.cooler,
        Rail("min", 30, 10, 90, 1),
    ),
)


TENSIONS = ("with the glass's surface tension", "as if it had none")


def _two(
    sleeve: tuple[float, float, float, float], temperature: float, minutes: float, tension: str
) -> formed.Bases:
    clear = materials.glass(GLASSES[0])
    pulled = tension == TENSIONS[0]
    return formed.compare_bases(
        folded(sleeve, "slides", clear, pulled),
        folded(sleeve, "sticks", clear, pulled),
        minutes / clear.viscosity_at(temperature),
    )


two_bases = Panel(
    "Who pays where the base grips: the width or the thickness?",
    _two,
    pictures.two_bases,
    (
        Slider(
            "temperature",
            "hold at",
            "temperature",
            Rail("°C", 735, 680, 750, 5),
            Rail("°F", 1350, 1260, 1380, 10),
        ),
        Slider("minutes", "time, the climb counted in", "time", Rail("min", 14, 1, 20, 1)),
        Choice("tension", "glass", TENSIONS, TENSIONS[0]),
    ),
    fixed=(SLEEVE,),
)


def _dish(temperature: float, span: float, thickness: float, depth: float, rim: str) -> formed.Dish:
    return formed.dish(span, thickness, depth, rim, temperature, materials.glass(GLASSES[0]))


dish = Panel(
    "How soon does a sheet touch its mould, and how far does it draw in?",
    _dish,
    pictures.slumped_dish,
    (
        Slider(
            "span", "width of the mould", "length", Rail("mm", 180, 100, 300, 5), Rail("in", 7, 4, 12, 0.25)
        ),
        Slider(
            "thickness",
            "thickness of the sheet",
            "length",
            Rail("mm", 6, 3, 9, 0.5),
            Rail("in", 1 / 4, 1 / 8, 3 / 8, 1 / 32),
        ),
        Slider(
            "depth",
            "depth of the mould",
            "length",
            Rail("mm", 20, 5, 30, 1),
            Rail("in", 0.75, 0.25, 1.125, 0.125),
        ),
        Choice("rim", "mould and rim", formed.RIMS, formed.RIMS[0]),
    ),
    fixed=(Fixed("temperature", 665.0, float(from_unit(1230, "temperature", "°F"))),),
)


def _grains(size: float, temperature: float, minutes: float) -> forming.Grains:
    return forming.grains(size / 2, temperature, minutes / 60, materials.glass(GLASSES[0]))


sintering = Panel(
    "Why are the fines sieved out of a texture?",
    _grains,
    pictures.sintering,
    (
        Slider(
            "size",
            "size of a grain",
            "length",
            Rail("mm", 2, 0.1, 6, 0.1),
            Rail("in", 0.08, 0.005, 0.24, 0.005),
        ),
        Slider(
            "temperature",
            "hold at",
            "temperature",
            Rail("°C", 700, 600, 800, 5),
            Rail("°F", 1290, 1110, 1470, 10),
        ),
        Slider("minutes", "time, the climb counted in", "time", Rail("min", 10, 1, 55, 1)),
    ),
)
