"""Questions of a teacher's own, in a TOML file: text with {names}, listed values, formulas, slips, a working.

A formula is arithmetic with the names of the question and the functions in `FUNCTIONS`, all in SI units; it
is read by a safe evaluator (simpleeval, cut down to arithmetic) and can do nothing else. The file
`example_questions.toml` beside this module has six of our own questions, with a note on each part.
"""

import ast
import functools
import math
import re
import string
import tomllib
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from kilncalc import volume
from kilncalc._ranges import did_you_mean
from kilncalc.exercises._questions import Given, Numbers, Question, Slip, Tolerance
from kilncalc.exercises._session import folder
from kilncalc.exercises._sweep import complaints
from kilncalc.layers import rods_thickness
from kilncalc.quantities import DIMENSIONS, FLUID_OUNCE, INCH, OUNCE, read
from kilncalc.settling import fused_thickness

QUESTIONS_FILE = "questions.toml"
EXAMPLE = Path(__file__).with_name("example_questions.toml")
FUNCTIONS: Mapping[str, Callable[..., Any]] = {
    **{
        function.__name__: function
        for function in (
            *(volume.box, volume.cylinder, volume.frustum, volume.spherical_cap, volume.glass_mass),
            *(volume.sheet_mass, volume.frit_volume, volume.mass_from_wax, volume.mass_from_water),
            *(volume.mass_by_displacement, volume.texture_mass, volume.added_thickness),
            *(volume.stringer_length, volume.cost, rods_thickness, fused_thickness),
        )
    },
    **{
        "sqrt": math.sqrt,
        "round_down": math.floor,
        "round_up": math.ceil,
        "min": min,
        "max": max,
        "abs": abs,
    },
}
CONSTANTS = {"pi": math.pi, "inch": INCH, "ounce": OUNCE, "fluid_ounce": FLUID_OUNCE}

_LARGEST_FILE = 1_000_000
_LONGEST_FORMULA = 500
_KEY = re.compile(r"own\.([1-9][0-9]?)")
_NAME = re.compile(r"[a-z][a-z0-9_]{0,39}")
_PARTS = {
    **{"key": str, "title": str, "minutes": int, "text": str, "dimension": str, "answer": str, "low": str},
    **{"high": str, "hints": list, "working": list, "given": dict, "slip": list},
}
_OPTIONAL = {"tolerance": str, "tolerance_inches": str, "step": dict}


class OwnError(ValueError):
    """A file of questions that cannot be used, with a sentence for each fault: file, line, reason."""


class _Fault(ValueError):
    """A fault in one part of a question."""

    def __init__(self, part: str, sentence: str) -> None:
        super().__init__(sentence)
        self.part = part


class OwnQuestion(Question):
    """One question of the file."""

    def __init__(self, entry: Mapping[str, Any]) -> None:
        _check_parts(entry)
        self.key, self.title, self.minutes = entry["key"], entry["title"], entry["minutes"]
        if not _KEY.fullmatch(self.key):
            raise _Fault("key", f"{self.key!r} is not a key; write own.1, own.2 ...")
        self.dimension, self.text = entry["dimension"], " ".join(entry["text"].split())
        if self.dimension not in DIMENSIONS:
            raise _Fault("dimension", f"{self.dimension!r} is none; there are {', '.join(DIMENSIONS)}")
        self.given = tuple(_given(name, part) for name, part in entry["given"].items())
        self.steps = {name: _step(name, part) for name, part in entry.get("step", {}).items()}
        self.answer = _formula("answer", entry["answer"])
        self.low, self.high = (_quantity(part, entry[part], self.dimension) for part in ("low", "high"))
        self.tolerance = _tolerance(entry, self.dimension)
        self.hints = tuple(_texts("hints", entry["hints"]))
        self.written_slips = [_slip(number, part) for number, part in enumerate(entry["slip"], 1)]
        self.written_working = _texts("working", entry["working"])
        known = {given.name for given in self.given}
        for part, texts in (("text", [self.text]), ("working", self.written_working)):
            for text in texts:
                _check_fields(part, text, known if part == "text" else known | set(self.steps))

    def value(self, numbers: Numbers) -> float:
        """Return the answer [SI]."""
        return _value(self.answer, self._names(numbers))

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [SI]."""
        names = self._names(numbers)
        return {
            name: Slip(_value(formula, names), say)
            for name, formula, say, units in self.written_slips
            if units in ("", numbers.units)
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps, with these numbers in them."""
        names = self._names(numbers)
        texts = {step: numbers.show.text(names[step], kind) for step, (_, kind) in self.steps.items()}
        return [step.format(**texts, **numbers.texts) for step in self.written_working]

    def _names(self, numbers: Numbers) -> dict[str, float]:
        names = {**CONSTANTS, **numbers.values}
        for step, (formula, _) in self.steps.items():
            try:
                names[step] = _value(formula, names)
            except ValueError as error:
                raise ValueError(f"step {step}, {error}") from None
        return names


# ------------------------------------------------------------------------------------------------ formulas


@functools.lru_cache(maxsize=1)
def _evaluator() -> Any:
    from simpleeval import SimpleEval  # only who has questions of one's own pays for it

    evaluator = SimpleEval(functions=dict(FUNCTIONS))
    arithmetic = (ast.Expr, ast.UnaryOp, ast.BinOp, ast.Constant, ast.Name, ast.Call, ast.keyword)
    evaluator.nodes = {kind: read for kind, read in evaluator.nodes.items() if kind in arithmetic}
    allowed = (ast.Add, ast.Sub, ast.Mult, ast.Div, ast.Pow, ast.USub, ast.UAdd)
    evaluator.operators = {kind: work for kind, work in evaluator.operators.items() if kind in allowed}
    return evaluator


def _formula(part: str, text: str) -> str:
    """Return a formula if it is arithmetic with numbers, names and our functions alone."""
    if len(text) > _LONGEST_FORMULA:
        raise _Fault(part, f"the formula is longer than {_LONGEST_FORMULA} characters")
    try:
        tree = ast.parse(text.strip(), mode="eval")
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        raise _Fault(part, f"{text!r} is not a formula; write for example 2 * length * width") from None
    evaluator = _evaluator()
    allowed = (*evaluator.nodes, *evaluator.operators, ast.Expression, ast.Load)
    for node in ast.walk(tree):
        if not isinstance(node, allowed):
            raise _Fault(part, f"{text!r} is more than arithmetic ({type(node).__name__})")
        if isinstance(node, ast.Constant) and type(node.value) not in (int, float):
            raise _Fault(part, f"{node.value!r} in {text!r} is not a number")
        if isinstance(node, ast.Call) and not (isinstance(node.func, ast.Name) and node.func.id in FUNCTIONS):
            name = ast.unparse(node.func)
            known = did_you_mean(name, FUNCTIONS).strip() or f"There are {', '.join(FUNCTIONS)}"
            raise _Fault(part, f"{name!r} is no function. {known}")
    return text.strip()


def _value(formula: str, names: Mapping[str, float]) -> float:
    """Return the value of a checked formula; ValueError with a sentence where it has none."""
    from simpleeval import InvalidExpression

    evaluator = _evaluator()
    evaluator.names = dict(names)
    try:
        value = float(evaluator.eval(formula, _parsed(formula)))
    except (InvalidExpression, TypeError, OverflowError, ZeroDivisionError) as error:
        raise ValueError(f"{formula!r}: {error}") from None
    if not math.isfinite(value):
        raise ValueError(f"{formula!r} is not a finite number")
    return value


@functools.lru_cache(maxsize=2000)
def _parsed(formula: str) -> Any:
    return _evaluator().parse(formula)


# ------------------------------------------------------------------------------------------------ the file


def read_own(path: Path) -> tuple[OwnQuestion, ...]:
    """Read a file of questions; OwnError with every fault, by line, unless all of them can be used."""
    text = _text(path)
    try:
        entry = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise OwnError(f"{path.name}: this is not TOML: {error}") from None
    written = entry.get("question")
    if not isinstance(written, list) or not all(isinstance(one, dict) for one in written):
        raise OwnError(f"{path.name}: there is no question in it; each begins with a line [[question]]")
    made: list[OwnQuestion] = []
    faults = []
    for number, one in enumerate(written, 1):
        try:
            asked = OwnQuestion(one)
        except _Fault as fault:
            faults.append(f"{_where(path, text, number, fault.part)}: {fault}")
            continue
        if asked.key in [other.key for other in made]:
            faults.append(f"{_where(path, text, number, 'key')}: there are two questions {asked.key}")
        made.append(asked)
    if faults:
        raise OwnError("\n".join(faults))
    return tuple(made)


def of_folder(key: str) -> OwnQuestion:
    """Return the question of the folder's own file with this key; ValueError with a sentence otherwise."""
    path = folder() / QUESTIONS_FILE
    try:
        changed = path.stat().st_mtime_ns
    except OSError:
        raise ValueError(f"there is no {QUESTIONS_FILE} in this folder, so no exercise {key!r}") from None
    found = _remembered(path, changed)
    if key not in found:
        raise ValueError(f"there is no exercise {key!r}; {QUESTIONS_FILE} has {', '.join(found)}")
    return found[key]


@functools.lru_cache(maxsize=4)
def _remembered(path: Path, _changed: int) -> dict[str, OwnQuestion]:
    return {asked.key: asked for asked in read_own(path)}


def check_own(path: Path) -> tuple[OwnQuestion, ...]:
    """Read a file of questions and try each with every set of numbers; OwnError with every fault."""
    text, questions = _text(path), read_own(path)
    faults = [
        f"{_where(path, text, number, part)}: {sentence}"
        for number, asked in enumerate(questions, 1)
        for part, sentence in complaints(asked)
    ]
    if faults:
        raise OwnError("\n".join(faults))
    return questions


def _text(path: Path) -> str:
    with path.open("rb") as file:
        content = file.read(_LARGEST_FILE + 1)
    if len(content) > _LARGEST_FILE:
        raise OwnError(f"{path.name}: this file is larger than 1 MB")
    try:
        return content.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError:
        raise OwnError(f"{path.name}: this file is not UTF-8 text") from None


def _where(path: Path, text: str, number: int, part: str) -> str:
    """Return file and line of a part of the n-th question; of a slip by its name."""
    lines = text.split("\n")
    starts = [index for index, line in enumerate(lines) if re.match(r"\s*\[\[\s*question\s*\]\]", line)]
    first = starts[number - 1] if number <= len(starts) else 0
    last = starts[number] if number < len(starts) else len(lines)
    word = re.compile(rf"""\s*({re.escape(part)}\s*=|\[+question\.(\w+\.)?{re.escape(part)}\b)""")
    for index in range(first, last):
        if word.match(lines[index]) or re.match(rf"\s*name\s*=\s*['\"]{re.escape(part)}['\"]", lines[index]):
            return f"{path.name}, line {index + 1}"
    return f"{path.name}, line {first + 1}"


# ------------------------------------------------------------------------------------------- parts of it


def _check_parts(entry: Mapping[str, Any]) -> None:
    if unknown := set(entry) - set(_PARTS) - set(_OPTIONAL):
        word = min(unknown)
        meant = did_you_mean(word, (*_PARTS, *_OPTIONAL))
        raise _Fault(word, f"{word} is no part of a question" + (f".{meant}" if meant else ""))
    for part, kind in _PARTS.items():
        if part not in entry:
            raise _Fault("question", f"{part} is missing")
        if type(entry[part]) is not kind:
            kinds = {str: "a text", int: "a whole number", list: "a list", dict: "a table"}
            raise _Fault(part, f"{part} is not {kinds[kind]}")
    if not 0 < entry["minutes"] <= 90:
        raise _Fault("minutes", f"minutes is {entry['minutes']}; allowed are 1 to 90")


def _checked_name(name: str) -> str:
    if not _NAME.fullmatch(name) or name in FUNCTIONS or name in CONSTANTS or name == "units":
        raise _Fault(name, f"{name!r} cannot be a name; use small letters, and no name of a function")
    return name


def _given(name: str, part: Any) -> Given:
    _checked_name(name)
    if not isinstance(part, dict) or part.get("dimension") not in DIMENSIONS:
        raise _Fault(name, f"{name} needs a dimension: one of {', '.join(DIMENSIONS)}")
    metric, inches = part.get("metric"), part.get("inches", [])
    if not isinstance(metric, list) or not metric or not isinstance(inches, list):
        raise _Fault(name, f"{name} needs a list of values, metric = [...], and if wanted inches = [...]")
    for text in _texts(name, [*metric, *inches]):
        _quantity(name, text, part["dimension"])
    return Given(name, part["dimension"], tuple(metric), tuple(inches))


def _step(name: str, part: Any) -> tuple[str, str]:
    _checked_name(name)
    if not isinstance(part, dict) or not isinstance(part.get("formula"), str):
        raise _Fault(
            name, f'{name} needs a formula and a dimension: {{ formula = "...", dimension = "mass" }}'
        )
    if part.get("dimension") not in DIMENSIONS:
        raise _Fault(name, f"{name} needs a dimension: one of {', '.join(DIMENSIONS)}")
    return _formula(name, part["formula"]), part["dimension"]


def _slip(number: int, part: Any) -> tuple[str, str, str, str]:
    entry = part if isinstance(part, dict) else {}
    name, formula, say, units = (entry.get(word, "") for word in ("name", "formula", "say", "units"))
    if not all(isinstance(text, str) for text in (name, formula, say, units)) or not (
        name and formula and say
    ):
        raise _Fault("slip", f"slip {number} needs name, formula and say, each a text")
    if not say.endswith((".", "?", "!")) or units not in ("", "metric", "inches"):
        raise _Fault(name, f"slip {number}: say is a sentence, and units, if there, metric or inches")
    return name, _formula(name, formula), say, units


def _tolerance(entry: Mapping[str, Any], dimension: str) -> Tolerance:
    if dimension == "count":
        return Tolerance(absolute=0.3)
    text = entry.get("tolerance", "")
    if share := re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*%\s*", text):
        if not 0 < float(share[1]) <= 20:
            raise _Fault("tolerance", f"tolerance is {text}; allowed are above 0 to 20 %")
        return Tolerance(relative=float(share[1]) / 100)
    kind = "temperature_difference" if dimension == "temperature" else dimension
    amounts = [
        _quantity(part, entry[part], kind) if part in entry else 0.0
        for part in ("tolerance", "tolerance_inches")
    ]
    if not amounts[0] > 0 or amounts[1] < 0:
        raise _Fault("tolerance", "a tolerance is needed, as “2 %” or as an amount with its unit")
    return Tolerance(absolute=amounts[0], inches=amounts[1])


def _quantity(part: str, text: Any, dimension: str) -> float:
    try:
        return read(text, dimension)
    except (ValueError, TypeError) as error:
        raise _Fault(part, str(error)) from None


def _texts(part: str, listed: Sequence[Any]) -> list[str]:
    if not all(isinstance(text, str) for text in listed):
        raise _Fault(part, f"{part} is not a list of texts")
    return [" ".join(text.split()) for text in listed]


def _check_fields(part: str, text: str, known: set[str]) -> None:
    try:
        fields = [(field, form, change) for _, field, form, change in string.Formatter().parse(text)]
    except ValueError:
        raise _Fault(part, f"braces are not closed in {text[:60]!r}") from None
    for field, form, change in fields:
        if field is not None and (field not in known or form or change):
            raise _Fault(part, f"{{{field}}} is no name here; there are {', '.join(sorted(known))}")
