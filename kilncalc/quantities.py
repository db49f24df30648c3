"""Words with units become numbers, and numbers become words with units.

`read` takes what a person types and returns one float in the unit that all calculations use; `as_text` writes
such a float for a person, in metric units, in inches, ounces and °F, or both. `Show` is one of the two
systems, chosen once: the numbers on the axes of a picture and the words beside it. `to_unit`, `from_unit` and
`display_unit` serve it and the sliders. Text is taken apart by fixed patterns and never run.

Three facts decide most of what follows. A temperature and a difference of temperatures change differently
(950 °F is 510 °C, but 10 °F more is 5.56 °C more), so they are two dimensions. An ounce is a weight and a
fluid ounce a volume, so neither stands in for the other. A comma before three digits may mean a decimal comma
or thousands, so the person is asked.

All factors are exact by definition: the international yard and pound of 1959, the US gallon of 231 cubic
inches, the imperial gallon of 4.54609 litres, the standard acceleration of free fall.
"""

import difflib
import math
import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal, localcontext
from fractions import Fraction
from itertools import pairwise
from typing import Literal, NamedTuple, NoReturn

import numpy as np

from kilncalc._ranges import ArrayLike, in_range, like_input, scalar_in_range
from kilncalc._units import BY_SYMBOL, DEGREES_OF_WHAT, TWO_MEANINGS, UNITS, Unit, find_unit

INTERNAL_UNIT = {
    "length": "m",
    "area": "m2",
    "volume": "m3",
    "mass": "kg",
    "density": "kg/m3",
    "temperature": "degC",
    "temperature_difference": "K",
    "rate": "degC/h",
    "time": "s",
    "pressure": "Pa",
    "expansion": "1/K",
    "angle": "deg",
    "rotation": "rev/min",
    "speed": "m/s",
    "count": "-",
    "ratio": "-",
}
"""The unit of the float that stands for each dimension."""

DIMENSIONS = tuple(INTERNAL_UNIT)
"""The kinds of quantity that `read` and `as_text` know."""

SYSTEMS = ("metric", "inches")
"""The two choices of units: metric, or inches, ounces, psi and °F."""

Units = Literal["both", "metric", "inches"]
"""In what words of a sentence are written."""

INCH = 0.0254
"""One inch [m]."""
FOOT = 0.3048
"""One foot [m]."""
POUND = 0.45359237
"""One pound, avoirdupois [kg]."""
OUNCE = POUND / 16
"""One ounce of weight, avoirdupois [kg]."""
FLUID_OUNCE = 231 * INCH**3 / 128
"""One US fluid ounce, a volume [m3]."""
PSI = POUND * 9.80665 / INCH**2
"""One pound of force on a square inch [Pa]."""
ABSOLUTE_ZERO = -273.15
"""The lowest temperature there is [degC]."""

_LONGEST = 100
_LARGEST = 1e30
_NOTHING = 1e-9
_MAY_BE_NEGATIVE = {"temperature", "temperature_difference", "rate", "pressure"}
_COMPOUND = {"length", "mass", "time", "volume"}
_NO_UNIT_NEEDED = {"count", "ratio"}

_CALLED = {
    "length": "a length",
    "area": "an area",
    "volume": "a volume",
    "mass": "a mass (a weight)",
    "density": "a density",
    "temperature": "a temperature",
    "temperature_difference": "a temperature difference",
    "rate": "a rate of heating or cooling",
    "time": "a time",
    "pressure": "a pressure or stress",
    "expansion": "an expansion coefficient",
    "angle": "an angle",
    "rotation": "a speed of rotation",
    "speed": "a speed over the surface",
    "count": "a count",
    "ratio": "a ratio",
}

_EXAMPLES = {
    "length": "260 mm or 10 1/4 in",
    "area": "450 cm2 or 70 in2",
    "volume": "250 ml or 8 US fl oz",
    "mass": "412 g or 1 lb 2 oz",
    "density": "2.5 g/cm3 or 156 lb/ft3",
    "temperature": "510 °C or 950 °F",
    "temperature_difference": "10 °C or 18 °F",
    "rate": "150 °C/h or 270 °F/h",
    "time": "45 min or 1 h 30 min",
    "pressure": "3.5 MPa or 500 psi",
    "expansion": "9.5e-6 /K or 5.3e-6 /°F",
    "angle": "30 degrees",
    "rotation": "1200 rev/min",
    "speed": "0.8 m/s or 160 ft/min",
    "count": "5 or 5 sheets",
    "ratio": "0.65 or 65 %",
}


class QuantityError(ValueError):
    """A text that cannot be read as the quantity asked for; the message is one plain sentence or two.

    All parameters but the message are attributes of the same name.

    Parameters
    ----------
    message : str
        What a person reads.
    kind : str
        What is wrong: "unreadable" (not a number with a unit), "no unit", "unknown unit", "other dimension"
        (a good quantity of another kind), "ambiguous" (two readings), "negative", "impossible" (too large,
        too small, or below absolute zero).
    text : str
        What was typed.
    dimension : str
        What was asked for, one of `DIMENSIONS`.
    part : str
        The part that could not be used, in plain characters ("m2" for "m²").
    found_dimension : str or None
        For "other dimension": what the text is, one of `DIMENSIONS` or words such as "mass per area".
    readings : tuple of str
        For "ambiguous": how the text can be meant.
    """

    def __init__(
        self,
        message: str,
        *,
        kind: str = "unreadable",
        text: str = "",
        dimension: str = "",
        part: str = "",
        found_dimension: str | None = None,
        readings: tuple[str, ...] = (),
    ) -> None:
        super().__init__(message)
        self.kind = kind
        self.text = text
        self.dimension = dimension
        self.part = part
        self.found_dimension = found_dimension
        self.readings = readings


def read(text: str, dimension: str) -> float:
    """Return the number that a typed quantity stands for, in the internal unit of its dimension.

    The value is the sum of number x unit, for a temperature (number - zero of the scale) x unit,
    worked out exactly and rounded once.

    Parameters
    ----------
    text : str
        A number and a unit, 100 characters at most: "260 mm", "9 3/8 in", "½ in", "1 lb 2 oz", "1 h 30 min",
        "2,5 g/cm3", "150 °C/h", "9.5e-6 /K". Counts and ratios may stand without a unit.
    dimension : str
        What is asked for, one of `DIMENSIONS`.

    Returns
    -------
    float
        The value [unit given by `INTERNAL_UNIT[dimension]`].

    Raises
    ------
    QuantityError
        If the text cannot be read, has no unit, is another kind of quantity, can be read in two ways, or is
        negative where that makes no sense.
    ValueError
        If the dimension is unknown.

    Notes
    -----
    A point is always the decimal mark. A comma is one too, unless exactly three digits follow it ("1,250 g"):
    then both readings are named and none is taken; "0,250 kg" and "1,250.5 g" are clear and are read. Of
    several parts, each has a smaller unit than the one before, and only the last may have a fraction. "fl oz"
    is the US fluid ounce; pints, quarts, gallons and cups must say US or imp. Temperatures are °C, °F or K,
    with or without the degree sign; 10 °F as a temperature difference is 5.56 K. Only temperature,
    temperature_difference, rate and pressure may be negative. Capitals matter where they change the meaning
    (MPa, mPa) and nowhere else.

    Examples
    --------
    >>> read("9 3/8 in", "length")
    0.238125
    >>> read("1 lb 2 oz", "mass")
    0.51029141625
    >>> read("950 °F", "temperature"), read("270 F/h", "rate")
    (510.0, 150.0)
    >>> read("8 oz", "volume")
    Traceback (most recent call last):
    ...
    kilncalc.quantities.QuantityError: “8 oz” is a mass (a weight), but a volume is asked for, such as 250 ml
    or 8 US fl oz. For fluid ounces write US fl oz.

    References
    ----------
    NIST Special Publication 811 (2008), appendix B: factors for units.
    """
    _known_dimension(dimension)
    if not isinstance(text, str):
        example = _EXAMPLES[dimension]
        raise QuantityError(
            f"{_CALLED[dimension].capitalize()} is written as text with a unit, such as {example}.",
            text=_short(repr(text)),
            dimension=dimension,
        )
    return _Reading(text, dimension).value()


def as_text(value: float, dimension: str, units: str = "both") -> str:
    """Return a quantity as words for a person, in units of a sensible size.

    Parameters
    ----------
    value : float
        The value [unit given by `INTERNAL_UNIT[dimension]`], -1e30 to 1e30.
    dimension : str
        What it is, one of `DIMENSIONS`.
    units : str
        "metric", "inches" (also inches, ounces, psi and °F), or "both": metric first, the other in brackets.

    Returns
    -------
    str
        Three significant digits (whole numbers are never cut), or up to five where these are the exact value.

    Raises
    ------
    ValueError
        If the value is not a finite number in range, or a word is not one of those allowed.

    Notes
    -----
    Inches become a fraction, in steps of 1/32, only where it is within 0.1 mm and 1 % of the value. What it
    writes `read` can read, if not negative where `read` refuses that. Time is the same in both systems, so it
    is written once. Less than 1e-9 of the smallest unit (nm, mg, Pa ...) is the dust of arithmetic and is 0.

    Examples
    --------
    >>> as_text(0.003, "length"), as_text(0.0095, "length")
    ('3.0 mm (0.118 in)', '9.5 mm (3/8 in)')
    >>> as_text(0.412, "mass"), as_text(1.2, "mass", "inches")
    ('412 g (14.5 oz)', '2 lb 10.3 oz')
    >>> as_text(510, "temperature"), as_text(5400, "time")
    ('510 °C (950 °F)', '1 h 30 min')
    """
    if units == "both":
        metric, inches = (as_text(value, dimension, system) for system in SYSTEMS)
        return metric if metric == inches else f"{metric} ({inches})"
    return _words(value, dimension, _row(value, dimension, units), exact=True)


def unit_system(name: str) -> str:
    """Return the choice of units that a word stands for.

    Parameters
    ----------
    name : str
        "metric" or "inches"; "us", as files of earlier versions have it, is "inches".

    Returns
    -------
    str
        One of `SYSTEMS`.

    Raises
    ------
    ValueError
        For any other word.

    Examples
    --------
    >>> unit_system("us")
    'inches'
    """
    found = {"us": "inches"}.get(name, name) if isinstance(name, str) else None
    if found not in SYSTEMS:
        raise ValueError(f"units is {name!r}; allowed are metric and inches, for words also both")
    return found


@dataclass(frozen=True)
class Show:
    """One choice of units, for all numbers and words of a picture, a question or a page.

    Each dimension has one unit in each system (mm and in, g and oz, MPa and psi, °C and °F ...), so that an
    axis and the words beside it agree; where a picture is about another size, `like` says which.

    Parameters
    ----------
    units : str
        "metric" or "inches".

    Raises
    ------
    ValueError
        For another word than "metric" or "inches".

    Examples
    --------
    >>> inches = Show("inches")
    >>> inches.number(0.0127, "length"), inches.symbol("length"), inches.text(0.0127, "length")
    (0.5, 'in', '1/2 in')
    >>> Show("metric").text(0.020275, "length"), Show("metric").text(9.9435e6, "pressure")
    ('20.3 mm', '9.94 MPa')
    >>> Show("metric").symbol("length", like=550e-9)
    'nm'
    """

    units: str = "metric"

    def __post_init__(self) -> None:
        object.__setattr__(self, "units", unit_system(self.units))

    @property
    def metric(self) -> bool:
        """Whether the system is the metric one."""
        return self.units == "metric"

    def symbol(self, dimension: str, like: float | None = None) -> str:
        """Return the symbol of the unit of a dimension.

        Parameters
        ----------
        dimension : str
            One of `DIMENSIONS`.
        like : float or None
            A value whose size decides the unit, -1e30 to 1e30 [unit given by `INTERNAL_UNIT[dimension]`];
            None for a size of the workshop.

        Returns
        -------
        str
            The symbol, empty for a plain number.

        Raises
        ------
        ValueError
            If the dimension is unknown or `like` is out of range.
        """
        return _row(0.0 if like is None else like, dimension, self.units).symbol

    def number(self, value: ArrayLike, dimension: str, like: float | None = None) -> ArrayLike:
        """Return a value, or an array of them, as plain numbers in the unit of `symbol`.

        Parameters
        ----------
        value : float or array
            The value, -1e30 to 1e30 [unit given by `INTERNAL_UNIT[dimension]`].
        dimension : str
            One of `DIMENSIONS`.
        like : float or None
            As for `symbol`, -1e30 to 1e30 [unit given by `INTERNAL_UNIT[dimension]`].

        Returns
        -------
        float or array
            The number [unit that `symbol` names], shaped as `value`; gaps (nan) stay gaps.

        Raises
        ------
        ValueError
            If the dimension is unknown or a value is out of range.
        """
        unit = _unit_of(dimension, self.symbol(dimension, like))
        return like_input(np.asarray(value, dtype=float) / float(unit.size) + _zero(unit, dimension))

    def text(self, value: float, dimension: str, like: float | None = None) -> str:
        """Return a value as words, to three significant figures; whole numbers are never cut.

        Parameters
        ----------
        value : float
            The value, -1e30 to 1e30 [unit given by `INTERNAL_UNIT[dimension]`].
        dimension : str
            One of `DIMENSIONS`.
        like : float or None
            A value whose size decides the unit, -1e30 to 1e30 [unit given by `INTERNAL_UNIT[dimension]`];
            None: the size of the value itself.

        Returns
        -------
        str
            Number and unit. Inches as a fraction as in `as_text`.

        Raises
        ------
        ValueError
            If the dimension is unknown or a value is out of range.

        Notes
        -----
        `as_text` keeps a number that was typed (20.275 mm); here a computed one stays as long as its
        neighbours, so that words stand still while a slider moves.
        """
        row = _row(value if like is None else like, dimension, self.units)
        return _words(value, dimension, row, exact=False)

    def sentence(self, words: str) -> str:
        """Return a sentence of a calculation, which counts in SI or in millimetres, in these units.

        Parameters
        ----------
        words : str
            The sentence. Lengths, masses, pressures, temperatures and rates in it are said anew; what has
            no such unit stays.

        Returns
        -------
        str
            The sentence.

        Examples
        --------
        >>> Show("metric").sentence("width is 0.2 m; allowed is 0.0005 to 0.1 m")
        'width is 200 mm; allowed is 0.5 mm to 100 mm'
        >>> Show("inches").sentence("temperature is 620 degC, 9.5 mm deep")
        'temperature is 1148 °F, 3/8 in deep'
        """

        def anew(found: re.Match[str]) -> str:
            first, joined, second, unit = found.groups()
            dimension, size = _SAID[unit]
            numbers = [as_text(float(one) * size, dimension, self.units) for one in (first, second) if one]
            return (joined or "").join(numbers)

        return _SAID_NUMBER.sub(anew, words)


_SAID = {
    "m": ("length", 1.0),
    "mm": ("length", 1e-3),
    "kg": ("mass", 1.0),
    "g": ("mass", 1e-3),
    "Pa": ("pressure", 1.0),
    "MPa": ("pressure", 1e6),
    "degC": ("temperature", 1.0),
    "°C": ("temperature", 1.0),
    "degC/h": ("rate", 1.0),
    "°C/h": ("rate", 1.0),
}
_NUMBER = r"-?\d+(?:\.\d+)?(?:e[-+]?\d+)?"
_SAID_UNIT = "|".join(sorted(_SAID, reverse=True))
_SAID_NUMBER = re.compile(rf"(?<![\w.])({_NUMBER})(?:( to | and )({_NUMBER}))? ({_SAID_UNIT})(?![\w/])")


def display_unit(value: float, dimension: str, units: str) -> str:
    """Return the symbol of the unit in which a value of this size is best shown.

    Parameters
    ----------
    value : float
        The value, for an axis or a slider the largest one [unit given by `INTERNAL_UNIT[dimension]`],
        -1e30 to 1e30.
    dimension : str
        What it is, one of `DIMENSIONS`.
    units : str
        "metric" or "inches".

    Returns
    -------
    str
        A symbol for `to_unit` and `from_unit`; empty for a plain number.

    Raises
    ------
    ValueError
        If the value is not a finite number in range, or a word is not one of those allowed.

    Examples
    --------
    >>> display_unit(0.26, "length", "metric"), display_unit(0.26, "length", "inches")
    ('mm', 'in')
    """
    return _row(value, dimension, units).symbol


def to_unit(value: ArrayLike, dimension: str, symbol: str) -> ArrayLike:
    """Return a value, or an array of them, as plain numbers in a named unit.

    number = value / unit, for temperatures + the zero of the scale.

    Parameters
    ----------
    value : float or array
        The value [unit given by `INTERNAL_UNIT[dimension]`], -1e30 to 1e30.
    dimension : str
        What it is, one of `DIMENSIONS`.
    symbol : str
        A unit of that dimension: "mm", "in", "°F/h", as `display_unit` gives it or as `read` takes it.

    Returns
    -------
    float or array
        The number [the named unit], shaped as `value`.

    Raises
    ------
    ValueError
        If the value is not a finite number in range or the unit does not measure this dimension.

    Examples
    --------
    >>> to_unit(0.0127, "length", "in"), to_unit(510, "temperature", "°F")
    (0.5, 950.0)
    """
    unit = _unit_of(dimension, symbol)
    array = in_range("value", value, INTERNAL_UNIT[dimension], -_LARGEST, _LARGEST)
    return like_input(array * unit.size.denominator / unit.size.numerator + _zero(unit, dimension))


def from_unit(number: ArrayLike, dimension: str, symbol: str) -> ArrayLike:
    """Return plain numbers in a named unit as values in the internal unit: the inverse of `to_unit`.

    value = (number - zero of the scale, for temperatures) x unit.

    Parameters
    ----------
    number : float or array
        The number [the named unit], -1e30 to 1e30.
    dimension : str
        What it is, one of `DIMENSIONS`.
    symbol : str
        A unit of that dimension: "mm", "in", "°F/h", as `display_unit` gives it or as `read` takes it.

    Returns
    -------
    float or array
        The value [unit given by `INTERNAL_UNIT[dimension]`], shaped as `number`.

    Raises
    ------
    ValueError
        If the number is not finite and in range or the unit does not measure this dimension.

    Examples
    --------
    >>> from_unit(0.5, "length", "in"), from_unit(950, "temperature", "°F")
    (0.0127, 510.0)
    """
    unit = _unit_of(dimension, symbol)
    array = in_range("number", number, symbol, -_LARGEST, _LARGEST)
    return like_input((array - _zero(unit, dimension)) * unit.size.numerator / unit.size.denominator)


def exact_number(value: float, dimension: str, symbol: str) -> str:
    """Return the shortest decimal number that `read` takes, with its unit, for exactly this value.

    Parameters
    ----------
    value : float
        The value [unit given by `INTERNAL_UNIT[dimension]`], -1e30 to 1e30.
    dimension : str
        What it is, one of `DIMENSIONS`.
    symbol : str
        A unit of that dimension.

    Returns
    -------
    str
        Digits, and a point where one is needed.

    Raises
    ------
    ValueError
        If the value cannot be written so that it is read back, or a word is not one of those allowed.

    Examples
    --------
    >>> exact_number(0.238125, "length", "in"), exact_number(510.0, "temperature", "°F")
    ('9.375', '950')
    """
    unit = _unit_of(dimension, symbol)
    exact = Fraction(value) / unit.size
    if dimension == "temperature":
        exact += unit.zero
    for digits in range(1, 60):
        with localcontext(prec=digits):
            text = f"{(Decimal(exact.numerator) / Decimal(exact.denominator)).normalize():f}"
        if len(text) < 80 and read(f"{text} {symbol}", dimension) == value:
            return text
    raise ValueError(f"{value} is too close to zero to be written")


def exact_text(value: float, dimension: str, units: str) -> str:
    """Return a quantity as words that `read` turns back into exactly the same value.

    Parameters
    ----------
    value : float
        The value [unit given by `INTERNAL_UNIT[dimension]`], -1e30 to 1e30.
    dimension : str
        What it is, one of `DIMENSIONS`.
    units : str
        "metric" or "inches".

    Returns
    -------
    str
        As `as_text` where that is the value, in the other system where only that is, else with as many
        digits as it takes.

    Raises
    ------
    ValueError
        As `exact_number`.

    Examples
    --------
    >>> exact_text(0.238125, "length", "inches"), exact_text(0.0032, "length", "inches")
    ('9 3/8 in', '3.2 mm')
    >>> exact_text(1 / 3, "mass", "metric")
    '333.3333333333333 g'
    """
    for system in (units, *(other for other in SYSTEMS if other != units)):
        words = as_text(value, dimension, system)
        try:
            if read(words, dimension) == value:
                return words
        except QuantityError:  # three figures may read like a thousands mark
            pass
    symbol = display_unit(value, dimension, units)
    return f"{exact_number(value, dimension, symbol)} {symbol}".rstrip()


def _zero(unit: Unit, dimension: str) -> float:
    return float(unit.zero) if dimension == "temperature" else 0.0


def _measures(unit: Unit, dimension: str) -> bool:
    return unit.dimension == dimension or (
        dimension == "temperature_difference" and unit.dimension == "temperature"
    )


def _unit_of(dimension: str, symbol: str) -> Unit:
    _known_dimension(dimension)
    if symbol == "" and dimension in _NO_UNIT_NEEDED:
        return Unit("", dimension, Fraction(1))
    unit = BY_SYMBOL.get(symbol) or find_unit(_tidy(symbol))
    if unit is None or not _measures(unit, dimension):
        raise ValueError(
            f"“{_short(symbol)}” is not a unit of {_CALLED[dimension]}, such as {_EXAMPLES[dimension]}."
        )
    return unit


# ---- text to number ----------------------------------------------------------------------------------------

_GROUPING_SPACES = "\u00a0\u2007\u2009\u202f"
_INVISIBLE = "\u200b\u200c\u200d\u200e\u200f\u2060\ufeff"
_SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻", "0123456789+-")
_SAME_MEANING = str.maketrans(
    {
        **dict.fromkeys("\u2212\u2010\u2011\u2013\ufe63\uff0d", "-"),
        **dict.fromkeys("″“”„", '"'),
        **dict.fromkeys("′’‘", "'"),
        **dict.fromkeys("º˚", "°"),
        **dict.fromkeys("µμ", "u"),
        **dict.fromkeys("⁄∕", "/"),
        **dict.fromkeys("·⋅∙", "*"),
        **dict.fromkeys(_INVISIBLE, ""),
        "×": "x",
        "℃": "°C",
        "℉": "°F",
        "\u212a": "K",
        **{
            sign: " " + unicodedata.normalize("NFKC", sign).replace("⁄", "/") for sign in "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
        },
    }
)

_GROUPED = re.compile(rf"(?<![0-9.,])[0-9]{{1,3}}(?:[{_GROUPING_SPACES}][0-9]{{3}})+(?![0-9]| ?[/⁄∕])")
_ALLOWED = re.compile(r"[A-Za-z0-9 .,/*^+\-'\"°%]*")
_MIXED = re.compile(r"([0-9]+)[ -]([0-9]+) ?/ ?([0-9]+)(?![0-9.,]|[eE][-+0-9])")
_FRACTION = re.compile(r"([0-9]+) ?/ ?([0-9]+)(?![0-9.,]|[eE][-+0-9])")
_DECIMAL = re.compile(r"([0-9.,]*[0-9][.,]?)(?:[eE]([+-]?[0-9]+)| ?[xX*] ?10(?:\^|(?=-))([+-]?[0-9]+))?")
_THOUSANDS = re.compile(r"([1-9][0-9]{0,2}([.,])[0-9]{3}(?:\2[0-9]{3})*)(?:(?!\2)[.,]([0-9]+))?")
_WORD = r"(?:[\"'%]|°?[A-Za-z]+(?:\^?-?[1-3](?![0-9A-Za-z\"'°.,]))?|°)"
_UNIT_WORDS = re.compile(rf"(?:(?:1 ?)?/ ?)?{_WORD}(?: ?[/*] ?{_WORD}| {_WORD})*")


def _tidy(text: str) -> str:
    """Return the text in plain characters, single spaces, without dots of abbreviations."""
    text = _GROUPED.sub(lambda match: re.sub(f"[{_GROUPING_SPACES}]", "", match[0]), text)
    text = re.sub("[⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻]+", lambda match: "^" + match[0].translate(_SUPERSCRIPTS), text)
    text = text.translate(_SAME_MEANING).replace("''", '"').replace("**", "^")
    text = re.sub(r"(?<=[A-Za-z])\.(?![0-9])", " ", text)
    text = " ".join(text.split())
    text = re.sub(r"(?<=[A-Za-z\"']) ?, (?=[0-9])", " ", text)
    text = re.sub(r" and (?=[0-9])|(?<=[0-9])-(?=[A-Za-z])|(?<=')-(?=[0-9])", " ", text)  # 1/4-inch, 5'-3"
    text = re.sub(r"\bper cent\b", "%", text)
    text = re.sub(r"\bparts per million\b", "ppm", text)
    return re.sub(r" ?\bper ", "/", text).removesuffix(".")


class _Part(NamedTuple):
    number: Fraction
    number_text: str
    unit: Unit | None
    unit_text: str


class _Reading:
    """One text on its way to one number; every way of failing ends in `refuse`."""

    def __init__(self, text: str, dimension: str) -> None:
        self.text = text
        self.dimension = dimension
        self.quoted = f"“{_short(text)}”"
        self.asked = f"{_CALLED[dimension]} is asked for, such as {_EXAMPLES[dimension]}"

    def refuse(self, message: str, **attributes: object) -> NoReturn:
        raise QuantityError(message, text=self.text, dimension=self.dimension, **attributes)  # type: ignore[arg-type]

    def value(self) -> float:
        if len(self.text) > _LONGEST:
            self.refuse(f"{self.quoted} is too long; {self.asked}.", part=_short(self.text))
        tidy = _tidy(self.text)
        if not tidy:
            self.refuse(f"Nothing is written; {self.asked}.")
        self.check_characters(tidy)
        negative = tidy.startswith("-")
        parts = self.parts(tidy, len(tidy) - len(tidy.removeprefix("-" if negative else "+").lstrip()))
        self.check_kind(parts)
        self.check_order(parts)
        if negative and any(part.number for part in parts) and self.dimension not in _MAY_BE_NEGATIVE:
            self.refuse(
                f"{self.quoted} is negative, which {_CALLED[self.dimension]} cannot be.",
                kind="negative",
                part="-",
            )
        total = self.total(parts, -1 if negative else 1)
        if abs(total) > _LARGEST:
            self.too_large(tidy)
        if self.dimension == "temperature" and total < Fraction(str(ABSOLUTE_ZERO)):
            self.refuse(
                f"{self.quoted} is colder than absolute zero, -273.15 °C.",
                kind="impossible",
                part=_short(tidy),
            )
        return float(total)

    def total(self, parts: list[_Part], sign: int) -> Fraction:
        total = Fraction(0)
        for part in parts:
            unit = part.unit or Unit("", self.dimension, Fraction(1))
            zero = unit.zero if self.dimension == "temperature" else Fraction(0)
            total += (sign * part.number - zero) * unit.size
        return total

    def check_characters(self, tidy: str) -> None:
        lower = tidy.casefold().lstrip("+- ")
        if lower.startswith(("inf", "nan", "∞")):
            self.refuse(f"{self.quoted} is not a number one can measure; {self.asked}.", part=_short(tidy))
        end = _ALLOWED.match(tidy).end()  # type: ignore[union-attr]
        if end < len(tidy):
            strange = tidy[end]
            advice = "Please use the digits 0 to 9" if strange.isdigit() else "Only a number and its unit"
            self.refuse(
                f"{self.quoted} cannot be read because of “{_short(strange)}”. {advice}: {self.asked}.",
                part=strange,
            )

    def parts(self, tidy: str, at: int) -> list[_Part]:
        parts: list[_Part] = []
        while at < len(tidy):
            number, end = self.number(tidy, at)
            number_text = tidy[at:end]
            after = end + tidy.startswith(" ", end)
            match = _UNIT_WORDS.match(tidy, after)
            if match is None and after < len(tidy):
                self.not_one_number(tidy, number_text, after)
            unit_text = match[0] if match else ""
            parts.append(_Part(number, number_text, self.unit(number_text, unit_text), unit_text))
            at = match.end() if match else len(tidy)
            at += tidy.startswith(" ", at)
        if not parts:
            self.refuse(f"{self.quoted} has no number; {self.asked}.", part=_short(tidy))
        return parts

    def number(self, tidy: str, at: int) -> tuple[Fraction, int]:
        if match := _MIXED.match(tidy, at):
            whole, above, below = (int(digits) for digits in match.groups())
            if above >= below > 0:
                self.refuse(
                    f"{self.quoted} cannot be read: beside a whole number, {above}/{below} should be less "
                    f"than one.",
                    part=match[0],
                )
            return whole + self.fraction(above, below), match.end()
        if match := _FRACTION.match(tidy, at):
            return self.fraction(int(match[1]), int(match[2])), match.end()
        if match := _DECIMAL.match(tidy, at):
            mantissa = self.decimal(tidy, match)
            exponent = int(match[2] or match[3] or 0)
            if mantissa and abs(exponent) > 60:
                self.too_large(match[0])
            return mantissa * Fraction(10) ** (exponent if mantissa else 0), match.end()
        rest = tidy[at:]
        if at == 0 and any(character.isdigit() for character in rest):
            self.refuse(
                f"{self.quoted} cannot be read: write the number first, then its unit; {self.asked}.",
                part=_short(rest),
            )
        self.refuse(
            f"{self.quoted} cannot be read from “{_short(rest)}” on; {self.asked}.", part=_short(rest)
        )

    def fraction(self, above: int, below: int) -> Fraction:
        if below == 0:
            self.refuse(f"{self.quoted} has a fraction with 0 below the line.", part=f"{above}/{below}")
        return Fraction(above, below)

    def decimal(self, tidy: str, match: re.Match[str]) -> Fraction:
        """Return a number with points and commas; which of them marks the decimals is decided here."""
        marked = match[1].removesuffix(".")
        comma, point = marked.count(","), marked.count(".")
        if comma == 1 and point == 0 and re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", marked):
            as_decimal = marked.replace(",", ".").rstrip("0").removesuffix(".")
            as_thousands = marked.replace(",", "")
            before, after = tidy[: match.start(1)], tidy[match.end(1) :]
            readings = tuple(f"{before}{number}{after}" for number in (as_decimal, as_thousands))
            self.refuse(
                f"{self.quoted} can be read in two ways: write {readings[0]} or {readings[1]}.",
                kind="ambiguous",
                part=marked,
                readings=readings,
            )
        if comma + point > 1:
            clear = _THOUSANDS.fullmatch(marked)
            if not clear:
                self.refuse(f"{self.quoted} has too many points or commas in “{marked}”.", part=marked)
            return Fraction(re.sub("[.,]", "", clear[1]) + "." + (clear[3] or "0"))
        whole, _, decimals = marked.replace(",", ".").partition(".")
        return Fraction(f"{whole or 0}.{decimals or 0}")

    def not_one_number(self, tidy: str, number_text: str, at: int) -> NoReturn:
        rest = tidy[at:]
        if rest[0].isdigit():
            self.refuse(
                f"{self.quoted} has two numbers, “{number_text}” and “{_short(rest)}”, with no unit between; "
                f"write thousands without a space, and each part with its unit: {self.asked}.",
                part=_short(rest),
            )
        self.refuse(
            f"{self.quoted} cannot be read from “{_short(rest)}” on: one number is needed, not a sum or a "
            f"range (a fraction such as 3/8 is welcome); {self.asked}.",
            part=_short(rest),
        )

    def unit(self, number_text: str, unit_text: str) -> Unit | None:
        if not unit_text:
            return None
        unit = find_unit(unit_text)
        if unit and (unit.dimension, self.dimension) in DEGREES_OF_WHAT:
            self.two_meanings(number_text, unit_text, DEGREES_OF_WHAT[unit.dimension, self.dimension])
        if unit:
            return unit
        meanings = TWO_MEANINGS.get(unit_text) or TWO_MEANINGS.get(unit_text.casefold())
        if meanings:
            self.two_meanings(number_text, unit_text, meanings)
        self.unknown_unit(unit_text)

    def two_meanings(self, number_text: str, unit_text: str, meanings: tuple[str, str]) -> NoReturn:
        readings = tuple(f"{number_text} {meaning}" for meaning in meanings)
        self.refuse(
            f"{self.quoted} can be read in two ways, {readings[0]} or {readings[1]}; {self.asked}.",
            kind="ambiguous",
            part=unit_text,
            readings=readings,
        )

    def unknown_unit(self, unit_text: str) -> NoReturn:
        near = difflib.get_close_matches(unit_text[:30], UNITS, n=1, cutoff=0.75)
        meant = f" Did you mean {near[0]}?" if near else ""
        self.refuse(
            f"{self.quoted} has an unknown unit, “{_short(unit_text)}”; {self.asked}.{meant}",
            kind="unknown unit",
            part=unit_text,
        )

    def check_kind(self, parts: list[_Part]) -> None:
        """Refuse a missing unit, parts of different kinds, and another kind than asked for."""
        last = parts[-1]
        found = {part.unit.dimension for part in parts if part.unit}
        if last.unit is None and not (len(parts) == 1 and self.dimension in _NO_UNIT_NEEDED):
            where = "has no unit" if len(parts) == 1 else f"has no unit after {last.number_text}"
            self.refuse(f"{self.quoted} {where}; {self.asked}.", kind="no unit", part=last.number_text)
        if len(found) > 1:
            self.refuse(
                f"{self.quoted} mixes {' and '.join(sorted(_called(name) for name in found))}; {self.asked}."
                f"{self.advice(parts)}",
                part=last.unit_text,
            )
        unit = last.unit
        if unit is None or _measures(unit, self.dimension):
            return
        self.refuse(
            f"{self.quoted} is {_called(unit.dimension)}, but {self.asked}.{self.advice(parts)}",
            kind="other dimension",
            part=last.unit_text,
            found_dimension=unit.dimension,
        )

    def advice(self, parts: list[_Part]) -> str:
        symbols = {part.unit.symbol for part in parts if part.unit}
        if self.dimension == "volume" and "oz" in symbols:
            return " For fluid ounces write US fl oz."
        if self.dimension == "mass" and symbols & {"US fl oz", "imp fl oz"}:
            return " A fluid ounce measures volume; the ounce of a scale is written oz."
        if self.dimension == "time" and "m" in symbols:
            return " For minutes write min."
        return ""

    def check_order(self, parts: list[_Part]) -> None:
        """Refuse several parts that are not of falling unit size, whole but for the last."""
        if len(parts) == 1:
            return
        if self.dimension not in _COMPOUND:
            self.refuse(f"{self.quoted} has more than one part; {self.asked}.", part=parts[1].number_text)
        for large, small in pairwise(parts):
            assert large.unit and small.unit
            if small.unit.size >= large.unit.size:
                self.refuse(
                    f"{self.quoted} has {small.unit_text} after {large.unit_text}: write the larger unit "
                    f"first and each unit once; {self.asked}.",
                    part=f"{small.number_text} {small.unit_text}",
                )
            if large.number.denominator != 1:
                self.refuse(
                    f"{self.quoted} cannot be read: only the last of several parts may have a fraction.",
                    part=f"{large.number_text} {large.unit_text}",
                )

    def too_large(self, part: str) -> NoReturn:
        self.refuse(
            f"{self.quoted} is too large or too small for any workshop; {self.asked}.",
            kind="impossible",
            part=_short(part),
        )


def _known_dimension(dimension: str) -> None:
    if dimension not in DIMENSIONS:
        raise ValueError(f"dimension is {dimension!r}; allowed are {', '.join(DIMENSIONS)}")


def _called(dimension: str) -> str:
    article = "an" if dimension[0] in "aeiou" else "a"
    return _CALLED.get(dimension, f"{article} {dimension}")


def _short(text: str) -> str:
    text = text if len(text) <= 40 else text[:37] + "..."
    return "".join(character if character.isprintable() else "?" for character in text)


# ---- number to text ----------------------------------------------------------------------------------------


class _Row(NamedTuple):
    above: float
    """The smallest value shown so [internal unit]."""
    symbol: str
    rest: str = ""
    """The smaller unit that takes what is left over."""
    step: Fraction = Fraction(1)
    """To which step of the smaller unit."""


# metric, US; each from the smallest values up
_ROWS: dict[str, tuple[tuple[_Row, ...], tuple[_Row, ...]]] = {
    "length": (
        (_Row(0, "nm"), _Row(1e-6, "µm"), _Row(1e-4, "mm"), _Row(1, "m")),
        (_Row(0, "nm"), _Row(1e-6, "µm"), _Row(INCH / 10_000, "in"), _Row(10 * FOOT, "ft")),
    ),
    "area": (
        (_Row(0, "mm²"), _Row(1e-4, "cm²"), _Row(0.1, "m²")),
        (_Row(0, "in²"), _Row(2 * FOOT**2, "ft²")),
    ),
    "volume": (
        (_Row(0, "mm³"), _Row(1e-7, "ml"), _Row(2e-3, "l"), _Row(1, "m³")),
        (_Row(0, "in³"), _Row(FOOT**3, "ft³")),
    ),
    "mass": (
        (_Row(0, "mg"), _Row(1e-3, "g"), _Row(2, "kg")),
        (_Row(0, "oz"), _Row(POUND, "lb", "oz", Fraction(1, 10)), _Row(100 * POUND, "lb")),
    ),
    "density": ((_Row(0, "g/cm³"),), (_Row(0, "oz/in³"),)),
    "temperature": ((_Row(0, "°C"),), (_Row(0, "°F"),)),
    "temperature_difference": ((_Row(0, "°C"),), (_Row(0, "°F"),)),
    "rate": ((_Row(0, "°C/h"),), (_Row(0, "°F/h"),)),
    "time": ((_Row(0, "s"), _Row(60, "min"), _Row(3600, "h", "min"), _Row(100 * 3600, "h")),) * 2,
    "pressure": (
        (_Row(0, "Pa"), _Row(1e3, "kPa"), _Row(1e5, "MPa"), _Row(1e9, "GPa")),
        (_Row(0, "psi"), _Row(1e4 * PSI, "ksi")),
    ),
    "expansion": ((_Row(0, "×10⁻⁶ /K"),), (_Row(0, "×10⁻⁶ /°F"),)),
    "angle": ((_Row(0, "°"),),) * 2,
    "rotation": ((_Row(0, "rev/min"),),) * 2,
    "speed": ((_Row(0, "m/s"),), (_Row(0, "ft/min"),)),
    "count": ((_Row(0, ""),),) * 2,
    "ratio": ((_Row(0, "ppm"), _Row(1e-3, "%"), _Row(1.5, "")),) * 2,
}


# nothing at all is shown in the unit of these
_TYPICAL = {
    "length": 0.1,
    "area": 0.01,
    "volume": 1e-4,
    "mass": 0.1,
    "time": 60,
    "pressure": 1e6,
    "ratio": 0.5,
}


def _row(value: float, dimension: str, units: str) -> _Row:
    _known_dimension(dimension)
    system = SYSTEMS.index(unit_system(units))
    size = abs(scalar_in_range("value", value, INTERNAL_UNIT[dimension], -_LARGEST, _LARGEST))
    rows = _ROWS[dimension][system]
    if size < _NOTHING * _unit_of(dimension, rows[0].symbol).size:
        size = _TYPICAL.get(dimension, 0.0)
    nearly = 1 + 1e-12  # so that 0.1 mm worked out as 0.09999999999999999 is still 0.1 mm
    return next(row for row in reversed(rows) if size * nearly >= row.above)


def _words(value: float, dimension: str, row: _Row, *, exact: bool) -> str:
    if dimension == "temperature":
        return _join(_number(to_unit(value, dimension, row.symbol), exact), row.symbol)
    words = _magnitude(abs(float(value)), dimension, row, exact)
    nothing = re.match("0(?![.0-9])", words)
    return words if value >= 0 or nothing else f"-{words}"


def _magnitude(value: float, dimension: str, row: _Row, exact: bool) -> str:
    if row.rest:
        large, small = _unit_of(dimension, row.symbol), _unit_of(dimension, row.rest)
        steps = round(value / float(small.size * row.step))
        whole, left = divmod(steps, int(large.size / (small.size * row.step)))
        rest = _join(_number(float(left * row.step), exact), row.rest)
        return f"{whole} {row.symbol} {rest}" if left else f"{whole} {row.symbol}"
    number = to_unit(value, dimension, row.symbol)
    if row.symbol == "in":
        return _join(_inches(number, exact), row.symbol)
    words = _number(number, exact)
    if row.symbol == "mm" and words.isdigit() and words != "0" and number < 10:
        words += ".0"
    return _join(words, row.symbol)


def _inches(number: float, exact: bool) -> str:
    """Return inches as a fraction where one is near, else as a decimal."""
    whole_64ths = math.isclose(number * 64, round(number * 64), rel_tol=1e-9)
    parts = 64 if exact and number < 1 and whole_64ths else 32  # 1/64 in is how close one can measure
    steps = round(number * parts)
    off = abs(steps / parts - number)
    typed = exact and _exact(number)
    if not steps or off > 0.1e-3 / INCH or off > 0.01 * number or (typed and off > 1e-9 * number):
        return _number(number, exact)
    whole, left = divmod(steps, parts)
    return " ".join(str(piece) for piece in (whole, Fraction(left, parts)) if piece)


def _exact(number: float) -> str | None:
    """Return the number in at most five significant digits where they are its whole value."""
    words = f"{number:.5g}"
    return words if "e" not in words and math.isclose(float(words), number, rel_tol=1e-9) else None


def _number(number: float, exact: bool) -> str:
    """Return three significant digits, with `exact` up to five where they are all; integers are never cut."""
    if abs(number) < _NOTHING:
        return "0"
    if not 1e-4 <= abs(number) < 1e7:
        return f"{number:.3g}"
    if exact and (typed := _exact(number)):
        return typed
    decimals = max(0, 2 - math.floor(math.log10(abs(number))))
    words = f"{number:.{decimals}f}"
    return words.rstrip("0").rstrip(".") if "." in words else words


def _join(words: str, symbol: str) -> str:
    return words + symbol if symbol == "°" else f"{words} {symbol}".rstrip()
