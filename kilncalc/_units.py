"""The table of units, and the unit that a few words stand for."""

import math
import re
from fractions import Fraction
from typing import NamedTuple


class Unit(NamedTuple):
    symbol: str
    """As shown."""
    dimension: str
    size: Fraction
    """In the internal unit of the dimension; of a temperature scale, the size of its degree."""
    zero: Fraction = Fraction(0)
    """What a temperature scale shows at 0 °C."""


_IN = Fraction(254, 10_000)
_LB = Fraction(45_359_237, 100_000_000)
_GALLON = 231 * _IN**3
_IMPERIAL_GALLON = Fraction(454_609, 100_000_000)
_LBF = _LB * Fraction(980_665, 100_000)
_MILLI, _MICRO, _NANO = Fraction(1, 10**3), Fraction(1, 10**6), Fraction(1, 10**9)

# symbol as shown, size, how people write it
_LENGTHS: tuple[tuple[str, Fraction, str], ...] = (
    ("nm", _NANO, "nm|nanometre|nanometres|nanometer|nanometers"),
    ("µm", _MICRO, "um|micron|microns|micrometre|micrometres|micrometer|micrometers"),
    ("mm", _MILLI, "mm|mms|millimetre|millimetres|millimeter|millimeters"),
    ("cm", Fraction(1, 100), "cm|cms|centimetre|centimetres|centimeter|centimeters"),
    ("dm", Fraction(1, 10), "dm|decimetre|decimetres|decimeter|decimeters"),
    ("m", Fraction(1), "m|metre|metres|meter|meters"),
    ("in", _IN, 'in|ins|inch|inches|"'),
    ("ft", 12 * _IN, "ft|foot|feet|'"),
    ("yd", 36 * _IN, "yd|yds|yard|yards"),
)

_OTHERS: tuple[tuple[str, str, Fraction, str], ...] = (
    ("volume", "µl", _NANO, "ul|microlitre|microlitres|microliter|microliters"),
    ("volume", "ml", _MICRO, "ml|mls|cc|ccm|millilitre|millilitres|milliliter|milliliters"),
    ("volume", "cl", Fraction(1, 10**5), "cl|centilitre|centilitres|centiliter|centiliters"),
    ("volume", "dl", Fraction(1, 10**4), "dl|decilitre|decilitres|deciliter|deciliters"),
    ("volume", "l", _MILLI, "l|litre|litres|liter|liters"),
    (
        "volume",
        "US fl oz",
        _GALLON / 128,
        "US fl oz|fl oz|floz|fl ozs|fluid oz|fluid ounce|fluid ounces|US fluid ounce|US fluid ounces",
    ),
    ("volume", "US cup", _GALLON / 16, "US cup|US cups"),
    ("volume", "US pt", _GALLON / 8, "US pt|US pint|US pints"),
    ("volume", "US qt", _GALLON / 4, "US qt|US quart|US quarts"),
    ("volume", "US gal", _GALLON, "US gal|US gallon|US gallons"),
    (
        "volume",
        "imp fl oz",
        _IMPERIAL_GALLON / 160,
        "imp fl oz|imperial fl oz|imperial fluid ounce|imperial fluid ounces",
    ),
    ("volume", "imp pt", _IMPERIAL_GALLON / 8, "imp pt|imp pint|imp pints|imperial pint|imperial pints"),
    ("volume", "imp qt", _IMPERIAL_GALLON / 4, "imp qt|imp quart|imp quarts|imperial quart|imperial quarts"),
    (
        "volume",
        "imp gal",
        _IMPERIAL_GALLON,
        "imp gal|imp gallon|imp gallons|imperial gallon|imperial gallons",
    ),
    ("mass", "mg", _MICRO, "mg|milligram|milligrams|milligramme|milligrammes"),
    ("mass", "g", _MILLI, "g|gm|gms|gram|grams|gramme|grammes"),
    ("mass", "kg", Fraction(1), "kg|kgs|kilo|kilos|kilogram|kilograms|kilogramme|kilogrammes"),
    ("mass", "oz", _LB / 16, "oz|ozs|ounce|ounces"),
    ("mass", "lb", _LB, "lb|lbs|pound|pounds"),
    ("time", "s", Fraction(1), "s|sec|secs|second|seconds"),
    ("time", "min", Fraction(60), "min|mins|minute|minutes"),
    ("time", "h", Fraction(3600), "h|hr|hrs|hour|hours"),
    ("time", "d", Fraction(86_400), "d|day|days"),
    ("pressure", "Pa", Fraction(1), "Pa|pascal|pascals"),
    ("pressure", "kPa", Fraction(10**3), "kPa|kilopascal|kilopascals"),
    ("pressure", "MPa", Fraction(10**6), "MPa|Mpa|MPA|megapascal|megapascals"),
    ("pressure", "GPa", Fraction(10**9), "GPa|gigapascal|gigapascals"),
    ("pressure", "mbar", Fraction(100), "mbar|hPa|millibar|millibars"),
    ("pressure", "bar", Fraction(10**5), "bar|bars"),
    ("pressure", "psi", _LBF / _IN**2, "psi|lb/in2|lbf/in2"),
    ("pressure", "ksi", 1000 * _LBF / _IN**2, "ksi"),
    ("force", "N", Fraction(1), "N|newton|newtons"),
    ("force", "lbf", _LBF, "lbf"),
    ("ratio", "%", Fraction(1, 100), "%|percent|pct"),
    ("ratio", "ppm", _MICRO, "ppm"),
    (
        "count",
        "pieces",
        Fraction(1),
        "piece|pieces|pc|pcs|sheet|sheets|layer|layers|blank|blanks|strip|strips|rod|rods|tile|tiles|hole|holes"
        "|cut|cuts|firing|firings|segment|segments",
    ),
    ("angle", "°", Fraction(1), "°|deg|degree|degrees"),
    ("angle", "rad", Fraction(180 / math.pi), "rad|radian|radians"),
    ("turn", "rev", Fraction(1), "rev|revs|r|turn|turns|revolution|revolutions"),
    ("rotation", "rev/min", Fraction(1), "rpm"),
    ("speed", "m/s", Fraction(1), "m/s"),
    ("speed", "ft/min", 12 * _IN / 60, "ft/min|fpm"),
    ("density", "g/cm³", Fraction(1000), "g/cm3"),
    ("density", "kg/m³", Fraction(1), "kg/m3"),
    ("density", "oz/in³", _LB / 16 / _IN**3, "oz/in3"),
    ("density", "lb/ft³", _LB / (12 * _IN) ** 3, "lb/ft3"),
    ("rate", "°C/h", Fraction(1), "°C/h"),
    ("rate", "°F/h", Fraction(5, 9), "°F/h"),
    ("expansion", "×10⁻⁶ /K", _MICRO, "ppm/K"),
    ("expansion", "×10⁻⁶ /°F", _MICRO * Fraction(9, 5), "ppm/°F"),
    ("expansion", "points", _MICRO / 10, "point|points"),
)

_SCALES: tuple[tuple[str, Fraction, Fraction, tuple[str, ...]], ...] = (
    ("°C", Fraction(1), Fraction(0), ("C", "Celsius", "centigrade")),
    ("°F", Fraction(5, 9), Fraction(32), ("F", "Fahrenheit")),
    ("K", Fraction(1), Fraction(27_315, 100), ("K", "kelvin", "kelvins")),
)

# what a unit over a unit measures, and the size of one internal unit over another in that dimension's own
_OVER: dict[tuple[str, str], tuple[str, Fraction]] = {
    ("mass", "volume"): ("density", Fraction(1)),
    ("temperature", "time"): ("rate", Fraction(3600)),
    ("ratio", "temperature"): ("expansion", Fraction(1)),
    ("turn", "time"): ("rotation", Fraction(60)),
    ("length", "time"): ("speed", Fraction(1)),
    ("force", "area"): ("pressure", Fraction(1)),
}

# units that two people mean differently, and how to say each
TWO_MEANINGS = {
    "mPa": ("MPa", "thousandths of a pascal"),
    "mpa": ("MPa", "thousandths of a pascal"),
    "Mg": ("mg", "tonnes"),
    "MG": ("mg", "tonnes"),
    **{
        name: (f"US {short}", f"imp {short}")
        for short, names in (
            ("pt", "pt|pint|pints"),
            ("qt", "qt|quart|quarts"),
            ("gal", "gal|gallon|gallons"),
        )
        for name in names.split("|")
    },
    "cup": ("US cup", "cups of 250 ml"),
    "cups": ("US cup", "cups of 250 ml"),
}

DEGREES_OF_WHAT = {
    ("angle", "temperature"): ("°C", "°F"),
    ("angle", "temperature_difference"): ("°C", "°F"),
    ("angle per time", "rate"): ("°C/h", "°F/h"),
}

_CAPITALS_MATTER = {"mpa", "mg", "nm", "n", "k"}


def _build() -> tuple[dict[str, Unit], dict[str, str]]:
    units: dict[str, Unit] = {}

    def add(unit: Unit, names: list[str]) -> None:
        for name in names:
            if name in units:
                raise AssertionError(f"the unit {name} stands in the table twice")
            units[name] = unit

    for symbol, size, written in _LENGTHS:
        names = written.split("|")
        add(Unit(symbol, "length", size), names)
        words = [name for name in names if name.isalpha()]
        for power, dimension, prefixes in (
            (2, "area", ("sq ", "sq", "square ")),
            (3, "volume", ("cu ", "cu", "cubic ")),
        ):
            shown = f"{symbol}{'²' if power == 2 else '³'}"
            powers = [f"{name}{power}" for name in words]
            powers += [prefix + name for prefix in prefixes for name in words]
            add(Unit(shown, dimension, size**power), powers)
    for dimension, symbol, size, written in _OTHERS:
        add(Unit(symbol, dimension, size), written.split("|"))
    for symbol, size, zero, scale_names in _SCALES:
        degree = ("", "°", "° ", "deg", "deg ", "degree ", "degrees ")
        add(Unit(symbol, "temperature", size, zero), [p + name for name in scale_names for p in degree])
    folded = {name.casefold(): name for name in units if name.casefold() not in _CAPITALS_MATTER}
    return units, folded


UNITS, _FOLDED = _build()
BY_SYMBOL = {unit.symbol: unit for unit in UNITS.values()}
_NAME_OF_UNIT: dict[Unit, str] = {}
for _name, _unit in UNITS.items():
    _NAME_OF_UNIT.setdefault(_unit, _name)


def find_unit(words: str) -> Unit | None:
    """Return the unit that the tidied words stand for, or None."""
    words = words.replace("*", " ")
    words = re.sub(r" ?([A-Za-z°]+)\^?-([1-3])$", lambda m: f"/{m[1]}{m[2].replace('1', '')}", words)
    words = re.sub(r" ?/ ?", "/", words).replace("^", "")
    plain = _plain_unit(words)
    if plain or "/" not in words:
        return plain
    above, _, below = words.partition("/")
    bottom = _plain_unit(below)
    if bottom is None:
        return None
    one = Unit("1", "turn" if bottom.dimension == "time" else "ratio", Fraction(1))
    top = one if above in ("", "1") else _plain_unit(above)
    if top is None:
        return None
    if same := _plain_unit(f"{_NAME_OF_UNIT.get(top)}/{_NAME_OF_UNIT[bottom]}"):
        return same
    dimension, factor = _OVER.get(
        (top.dimension, bottom.dimension), (f"{top.dimension} per {bottom.dimension}", Fraction(1))
    )
    return Unit(f"{top.symbol}/{bottom.symbol}", dimension, top.size / bottom.size * factor)


def _plain_unit(words: str) -> Unit | None:
    return UNITS.get(words) or UNITS.get(_FOLDED.get(words.casefold(), ""))
