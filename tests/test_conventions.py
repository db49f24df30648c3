"""What holds for every file: the docstring contract, the order of imports, what is never named.

The checks read source text only (`ast`); nothing is imported. Each check is fed good and bad examples.
"""

import ast
import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest
import shapely

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "kilncalc"

FLOORS = [
    "_ranges",
    "_resources",
    "_tables",
    "_units",
    "quantities",
    "uncertainty",
    "materials",
    "compatibility",
    "pair",
    "polariscope",
    "bars",
    "testpieces",
    "volume",
    "filling",
    "settling",
    "cutting",
    "layers",
    "workshop",
    "schedule",
    "_log_file",
    "firing_log",
    "piece",
    "laying",
    "_heat",
    "_relaxation",
    "_stress",
    "_plate",
    "relief",
    "firing",
    "_film",
    "forming",
    "sensor",
    "formed",
    "annealing",
    "error_bars",
    "writing",
    "slab",
    "uneven",
    "patterned",
    "fired",
    "kiln_turns",
    "own_piece",
    "read_back",
    "_outlines",
    "tracing",
    "grit",
    "holes",
    "coldwork",
    "bonding",
    "handcutting",
    "sketch",
    "_parts",
    "_comments",
    "project_parts",
    "project",
    "plan_laid",
    "plan_forms",
    "plan_bodies",
    "plan_views",
    "plan_materials",
    "plan",
    "plan_changes",
    "plan_words",
    "figures",
    "panels",
    "exercises",
    "classroom",
    "page",
    "cli",
    "__main__",
]
"""Every module from the ground up; each may import those before it. A new one needs a place here."""

CONTRACT = [name for name in FLOORS[: FLOORS.index("figures")] if not name.startswith("_")]
"""Ground and calculation floors: their public docstrings are held to the contract."""

CALCULATION_LIBRARIES = {"numpy", "scipy", "pandas", "shapely", "PIL", "tomlkit"}

ABOVE = {"plotly": "panels", "ipywidgets": "panels"}
"""Library -> the lowest floor that may import it."""


# =============================================================================== the docstring contract

SYMBOLS = ["m", "kg", "s", "min", "h", "K", "degC", "Pa", "N", "J", "W", "rev", "degree", "money"]
"""What units in docstrings are made of: SI, degC, and for kilns min and degC/h; no mm, no g, no GPa."""

WHOLE_UNITS = {"-", "log10(Pa.s)", "m2K/W"}
UNIT_IN_WORDS = re.compile(r"(the named )?units?\b")
"""Where the unit follows from another argument: [unit given by `INTERNAL_UNIT[dimension]`]."""

_NUMBER = r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:e[-+]?\d+)?"
_END = rf"(?:{_NUMBER}|`[^`]+`)"
RANGE = re.compile(rf"{_END} to (?:below )?(?:{_END}|the \w)|(?:[<>]=?|at least|at most|above|below) {_END}")
NUMERIC = re.compile(r"\b(float|int|ArrayLike|ndarray|NDArray)\b")
SECTIONS = (
    *("Parameters", "Attributes", "Returns", "Yields", "Raises", "Warns", "Notes", "Examples", "References"),
    "See Also",
)
CHECKS_INPUT = {"in_range", "scalar_in_range"}


@dataclass
class Docstring:
    summary: str
    sections: dict[str, str]

    @classmethod
    def parse(cls, text):
        lines = text.expandtabs().splitlines()
        heads = [
            i
            for i in range(len(lines) - 1)
            if lines[i].strip() in SECTIONS and re.fullmatch(r"\s*-{3,}\s*", lines[i + 1])
        ]
        before = lines[: heads[0]] if heads else lines
        sections = {
            lines[start].strip(): "\n".join(lines[start + 2 : end])
            for start, end in zip(heads, [*heads[1:], len(lines)], strict=False)
        }
        return cls(" ".join("\n".join(before).strip().split("\n\n")[0].split()), sections)

    def entries(self, section):
        """The names described in a section, each with its description."""
        found, names = {}, []
        for line in self.sections.get(section, "").splitlines():
            if line.strip() and not line.startswith(" "):
                names = [name.strip().lstrip("*") for name in line.split(" : ")[0].split(",")]
                found |= dict.fromkeys(names, "")
            else:
                found |= {name: f"{found[name]} {line.strip()}" for name in names}
        return found


def is_numeric(annotation):
    """Whether an annotation (source text) allows a number; a callback is none, nor is a text or an object."""
    return bool(NUMERIC.search(annotation)) and "Callable" not in annotation


def is_unit(text):
    """Whether the words between brackets are a unit."""
    if text in WHOLE_UNITS or UNIT_IN_WORDS.match(text):
        return True
    parts = [part for part in re.split(r"[/. ()]+", text.removeprefix("1/")) if part]
    return bool(parts) and all(re.fullmatch(rf"({'|'.join(SYMBOLS)})\d?", part) for part in parts)


def names_unit(description):
    return any(is_unit(text) for text in re.findall(r"\[([^\]\n]+)\]", description))


def docstring_problems(source, module, only=None):
    """Return one sentence for each breach of the contract in the public docstrings of a module."""
    tree = ast.parse(source)
    if not (ast.get_docstring(tree) or "").strip():
        yield f"{module}: no docstring"
    for node in tree.body:
        name = getattr(node, "name", "_")
        if name.startswith("_") or (only is not None and name not in only):
            continue
        if isinstance(node, ast.FunctionDef):
            yield from _function_problems(node, f"{module}.{name}", example=True)
        elif isinstance(node, ast.ClassDef):
            yield from _class_problems(node, f"{module}.{name}")


def passed_on(source):
    """Public names that a module offers but takes from a private one, by private module."""
    tree, listed, found = ast.parse(source), set(), {}
    for node in tree.body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__":
            listed = set(ast.literal_eval(node.value))
    for node in tree.body:
        if isinstance(node, ast.ImportFrom) and re.match(r"kilncalc\._", node.module or ""):
            names = {a.name for a in node.names if a.asname == a.name or (a.asname or a.name) in listed}
            found.setdefault(node.module.removeprefix("kilncalc."), set()).update(names)
    return {module: names for module, names in found.items() if names}


def _class_problems(node, where):
    fields, makers = {}, []
    for item in node.body:
        if isinstance(item, ast.AnnAssign) and isinstance(item.target, ast.Name):
            text = ast.unparse(item.annotation)
            given = not (item.value and "init=False" in ast.unparse(item.value))
            if given and "ClassVar" not in text and not item.target.id.startswith("_"):
                fields[item.target.id] = text
        elif isinstance(item, ast.FunctionDef) and item.name in ("__init__", "__post_init__"):
            makers.append(item)
            if item.name == "__init__":
                fields = _signature(item)
    error = any(ast.unparse(base).endswith(("Error", "Exception", "Warning")) for base in node.bases)
    if error and "Parameters" not in Docstring.parse(ast.get_docstring(node) or "").sections:
        fields = {}  # nobody but the module makes one
    yield from _text_problems(node, where, fields, makers, classlike=True)
    for item in node.body:
        if isinstance(item, ast.FunctionDef) and not item.name.startswith("_"):
            yield from _function_problems(item, f"{where}.{item.name}", example=False)


def _function_problems(node, where, example):
    decorators = {ast.unparse(decorator).split("(")[0].split(".")[-1] for decorator in node.decorator_list}
    if "overload" in decorators or "setter" in decorators:
        return
    attribute = bool(decorators & {"property", "cached_property"})
    yield from _text_problems(node, where, _signature(node), [node], example=example)
    text = ast.get_docstring(node) or ""
    parsed = Docstring.parse(text)
    result = ast.unparse(node.returns) if node.returns else "None"
    if result == "None":
        return
    # a plain int is a count or an index
    numeric = result == "Any" or (is_numeric(result) and result != "int")
    if attribute:
        if numeric and not names_unit(text):
            yield f"{where}: no [unit]"
    elif "Returns" not in parsed.sections and "Yields" not in parsed.sections:
        yield f"{where}: no Returns section"
    elif numeric and not names_unit(parsed.sections.get("Returns", parsed.sections.get("Yields", ""))):
        yield f"{where}: Returns names no [unit]"


def _signature(node):
    arguments = node.args
    every = [
        *arguments.posonlyargs,
        *arguments.args,
        arguments.vararg,
        *arguments.kwonlyargs,
        arguments.kwarg,
    ]
    return {
        argument.arg: ast.unparse(argument.annotation) if argument.annotation else ""
        for argument in every
        if argument and argument.arg not in ("self", "cls")
    }


def _text_problems(node, where, signature, makers, classlike=False, example=True):
    text = ast.get_docstring(node)
    if not text:
        yield f"{where}: no docstring"
        return
    parsed = Docstring.parse(text)
    if not parsed.summary.endswith(".") or re.search(r"[.!?] [A-Z]", parsed.summary):
        yield f"{where}: the docstring must begin with one sentence in a paragraph of its own"
    parameters = parsed.entries("Parameters")
    # what a result holds may stand under Attributes: it has units, but nobody chooses it
    attributes = parsed.entries("Attributes") if classlike else {}
    for name in parameters:
        if name not in signature:
            yield f"{where}: describes {name}, which it does not take"
    for name, annotation in signature.items():
        described = parameters.get(name, attributes.get(name))
        if described is None:
            yield f"{where}: {name} is not described"
            continue
        if not annotation:
            yield f"{where}: {name} has no annotation"
        if is_numeric(annotation):
            if not names_unit(described) and (name in parameters or annotation != "int"):
                yield f"{where}: {name} has no [unit]"
            if name in parameters and not RANGE.search(described):
                yield f"{where}: {name} has no range"
    order = [name for name in parameters if name in signature]
    if order != [name for name in signature if name in parameters]:
        yield f"{where}: Parameters are not in the order of the signature"
    refuses = any(_checks_input(maker) for maker in makers)
    if refuses and "Raises" not in parsed.sections:
        yield f"{where}: refuses input, but has no Raises section"
    # a class that refuses nothing only holds results: the function that returns it shows it
    shows = example and (refuses or not classlike)
    if shows and ">>>" not in parsed.sections.get("Examples", ""):
        yield f"{where}: no example"


def _checks_input(node):
    for inner in ast.walk(node):
        if isinstance(inner, ast.Raise) and inner.exc is not None:
            return True
        if isinstance(inner, ast.Call) and ast.unparse(inner.func).split(".")[-1] in CHECKS_INPUT:
            return True
    return False


@pytest.mark.parametrize("module", CONTRACT)
def test_public_docstrings_keep_the_contract(module):
    path = PACKAGE / f"{module}.py"
    if not path.exists():
        pytest.skip(f"{module} is not written yet")
    source = path.read_text(encoding="utf-8")
    found = list(docstring_problems(source, module))
    for private, names in passed_on(source).items():
        inner = (PACKAGE / f"{private}.py").read_text(encoding="utf-8")
        found += docstring_problems(inner, private, only=names)
    assert not found, "\n" + "\n".join(found)


def test_names_passed_on_are_found():
    source = (
        "from kilncalc._a import x as x, y, z\nfrom kilncalc._ranges import in_range\n__all__ = ['y', 'own']"
    )
    assert passed_on(source) == {"_a": {"x", "y"}}


@pytest.mark.parametrize(
    "unit", ["-", "m", "kg/m3", "J/kg/K", "1/(Pa.s)", "W/m2/K", "degC/h", "money/kg", "the named unit"]
)
def test_units_are_known(unit):
    assert is_unit(unit)


@pytest.mark.parametrize("text", ["mm", "g/cm3", "GPa", "1", "F/h", "x, y", "0, 1", "ms", "optional"])
def test_other_words_are_no_unit(text):
    assert not is_unit(text)


GOOD = '''
"""Panes."""
from dataclasses import dataclass

def pane_mass(area: ArrayLike, thickness: ArrayLike, *, density: float = 2500.0, name: str = "") -> ArrayLike:
    """Return the mass of a pane, m = A d rho.

    A second paragraph.

    Parameters
    ----------
    area, thickness : float or array
        Area and thickness [m2], [m], > 0.
    density : float
        Density of the
        glass [kg/m3], 2000 to 6.5e3.
    name : str
        What it is called.

    Returns
    -------
    float or array
        Mass [kg], shape of `area`.

    Raises
    ------
    ValueError
        If the area is negative.

    Examples
    --------
    >>> pane_mass(1.0, 0.004)
    10.0
    """
    in_range("area", area, "m2", 0, 10)

def _private(x): ...

@dataclass(frozen=True)
class Pane:
    """A pane.

    Parameters
    ----------
    thickness : float
        Thickness [m], 0.3e-3 to 0.15.

    Raises
    ------
    ValueError
        If it is not a pane.

    Examples
    --------
    >>> Pane(0.003).half
    0.0015
    """
    thickness: float
    _memory: float = 0.0

    def __post_init__(self) -> None:
        raise ValueError

    @property
    def half(self) -> float:
        """Half the thickness [m]."""

class PaneError(ValueError):
    """A pane that is none."""

@dataclass(frozen=True)
class Result:
    """What came out.

    Attributes
    ----------
    mass : float
        Mass [kg].
    """
    mass: float
'''


def test_a_good_docstring_passes():
    assert list(docstring_problems(GOOD, "panes")) == []


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ('"""Panes."""', "", "panes: no docstring"),
        ("A d rho.\n\n    A second", "A d rho\n\n    A second", "panes.pane_mass: the docstring must begin"),
        ("A d rho.\n\n    A second", "A d rho.\n    A second", "panes.pane_mass: the docstring must begin"),
        ("area, thickness : float", "area : float", "panes.pane_mass: thickness is not described"),
        ("    area, thickness", "    thickness, area", "panes.pane_mass: Parameters are not in the order"),
        ("    name : str", "    nom : str", "panes.pane_mass: name is not described"),
        ("    name : str", "    nom : str", "panes.pane_mass: describes nom, which it does not take"),
        ("[kg/m3]", "in kg/m3", "panes.pane_mass: density has no [unit]"),
        ("[kg/m3]", "[lb/ft3]", "panes.pane_mass: density has no [unit]"),
        (", 2000 to 6.5e3", "", "panes.pane_mass: density has no range"),
        ("2000 to 6.5e3", "from edge to edge", "panes.pane_mass: density has no range"),
        ("density: float", "density", "panes.pane_mass: density has no annotation"),
        ("Mass [kg], shape", "Mass, shape", "panes.pane_mass: Returns names no [unit]"),
        ("    Returns\n    -------\n", "", "panes.pane_mass: no Returns section"),
        ("        If the area is negative.", "", None),
        (
            "    Raises\n    ------\n    ValueError\n        If the area",
            "    If",
            "panes.pane_mass: refuses input",
        ),
        (">>> pane_mass", "pane_mass", "panes.pane_mass: no example"),
        ("[m], 0.3e-3 to 0.15.", "[m].", "panes.Pane: thickness has no range"),
        ("Thickness [m],", "Thickness,", "panes.Pane: thickness has no [unit]"),
        ("    Raises\n    ------\n    ValueError\n        If it is", "    If", "panes.Pane: refuses input"),
        (">>> Pane", "Pane", "panes.Pane: no example"),
        ('"""Half the thickness [m]."""', '"""Half the thickness."""', "panes.Pane.half: no [unit]"),
        ('        """Half the thickness [m]."""', "        pass", "panes.Pane.half: no docstring"),
        ('    """A pane that is none."""', "    pass", "panes.PaneError: no docstring"),
        ("        Mass [kg].\n", "        Mass.\n", "panes.Result: mass has no [unit]"),
        ("    mass : float\n", "    weight : float\n", "panes.Result: mass is not described"),
    ],
)
def test_a_bad_docstring_is_found(old, new, expected):
    assert GOOD.count(old) == 1
    found = list(docstring_problems(GOOD.replace(old, new), "panes"))
    assert any(sentence.startswith(expected) for sentence in found) if expected else found == [], found


# ==================================================================================== the order of imports


def module_of(path):
    """The dotted name of a source file, its floor first: figures.style."""
    parts = path.relative_to(PACKAGE).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports_of(source, module, is_package=False):
    """Every module a source imports, in full, anywhere in it; `module` resolves relative imports."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield alias.name, False
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                own = ["kilncalc", *[part for part in module.split(".") if part]]
                kept = own[: len(own) - node.level + is_package]
                base = ".".join([*kept, *([node.module] if node.module else [])])
            for alias in node.names:
                yield (f"{base}.{alias.name}" if base == "kilncalc" else base), alias.name == "*"


def import_problems(source, module, is_package=False):
    """Return one sentence for each import that the floors do not allow."""
    floor = module.split(".")[0]
    if floor and floor not in FLOORS:
        yield f"kilncalc.{module}: {floor} has no place in FLOORS"
        return
    height = FLOORS.index(floor) if floor else -1
    for name, star in imports_of(source, module, is_package):
        if star:
            yield f"kilncalc.{module}: star import from {name}"
        library, *rest = name.split(".")
        if library == "kilncalc":
            other = rest[0] if rest else ""
            if other in ("", "__version__") or other == floor:
                continue
            if other not in FLOORS:
                yield f"kilncalc.{module}: imports {name}, which has no place in FLOORS"
            elif FLOORS.index(other) >= height:
                yield f"kilncalc.{module}: imports {name}, which stands above it"
        elif library in sys.stdlib_module_names:
            continue
        elif height < FLOORS.index("figures"):
            if library not in CALCULATION_LIBRARIES:
                yield f"kilncalc.{module}: a calculation imports {name}"
        elif library in ABOVE and height < FLOORS.index(ABOVE[library]):
            yield f"kilncalc.{module}: {name} is not for this floor"
        elif library == "ipywidgets" and floor not in ("panels", "exercises"):
            yield f"kilncalc.{module}: only panels and exercises import ipywidgets"


def test_imports_point_down():
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        source = path.read_text(encoding="utf-8")
        found += import_problems(source, module_of(path), path.name == "__init__.py")
    assert not found, "\n" + "\n".join(found)


def test_no_private_floor_is_a_ghost():
    private = [name for name in FLOORS if name.startswith("_")]
    assert [name for name in private if not (PACKAGE / f"{name}.py").exists()] == []


def test_no_two_files_of_tests_share_a_name():
    # pytest imports a test file by its bare name: the second of that name ends the collection
    names = [path.name for path in (ROOT / "tests").rglob("*.py")]
    assert sorted(set(names)) == sorted(names)


def test_no_star_imports_in_tests():
    for path in sorted((ROOT / "tests").rglob("*.py")):
        stars = [name for name, star in imports_of(path.read_text(encoding="utf-8"), "tests") if star]
        assert not stars, path


@pytest.mark.parametrize(
    ("source", "module"),
    [
        (
            "import numpy as np\nfrom kilncalc import _resources\nfrom kilncalc._ranges import in_range",
            "materials",
        ),
        ("from kilncalc.materials import Glass", "firing"),
        ("from kilncalc import __version__, firing", "panels.lesson4"),
        ("from kilncalc.figures.style import INK", "figures.mould"),
        ("from . import style\nfrom .style import INK\nfrom ..volume import box", "figures.mould"),
        ("import ipywidgets\nimport plotly", "panels._panel"),
        ("import ipywidgets", "exercises.box"),
        ("from importlib.metadata import version", ""),
        ("from kilncalc.cli import main", "__main__"),
    ],
)
def test_allowed_imports_pass(source, module):
    assert list(import_problems(source, module)) == []


@pytest.mark.parametrize(
    ("source", "module", "expected"),
    [
        ("from kilncalc.firing import fire", "materials", "stands above it"),
        ("from kilncalc import firing", "volume", "imports kilncalc.firing, which stands above it"),
        ("import kilncalc.cli", "classroom.files", "stands above it"),
        ("def f():\n    from kilncalc.figures import style", "annealing", "stands above it"),
        ("from ..panels import show", "figures.mould", "stands above it"),
        ("from .quantities import read", "_ranges", "imports kilncalc.quantities, which stands above it"),
        ("import kilncalc.volume", "", "stands above it"),
        ("from kilncalc import wisdom", "cli", "no place in FLOORS"),
        ("import numpy", "wisdom", "no place in FLOORS"),
        ("import plotly", "schedule", "a calculation imports plotly"),
        ("import sklearn", "volume", "a calculation imports sklearn"),
        ("import ipywidgets", "figures.mould", "not for this floor"),
        ("import plotly.graph_objects as go", "figures.mould", "not for this floor"),
        ("import ipywidgets", "classroom.handout", "only panels and exercises"),
        ("from numpy import *", "volume", "star import from numpy"),
    ],
)
def test_forbidden_imports_are_found(source, module, expected):
    found = list(import_problems(source, module))
    assert any(expected in sentence for sentence in found), found


# ===================================================================================== what is never named

NEVER = {
    "a package registry": r"\bpy[p]i\b|python[h]osted|ana[c]onda\.(?:org|com)"
    r"|npm[j]s|un[p]kg|js[d]elivr|crates[.]io",
    "a document outside the repository": r"\b(?:physics|design|references|style)\.md\b|(?<![\w-])shared/"
    r"|(?<![\w-])prototypes/|\b(?:seed|design) document",
    "an issue by number": r"\bissues? #?\d+\b|(?<![\w&])GH-\d+",
}
"""What no tracked file names, as expressions; this file is left out, it has to."""


PACKED = re.compile(r"[A-Za-z0-9+/]{200,}")
"""A picture in a notebook, packed as letters: in millions of them any five occur."""


def never_problems(text, name):
    text = PACKED.sub("", text)
    for what, expression in NEVER.items():
        for match in re.finditer(expression, text, re.IGNORECASE):
            yield f"{name}:{text.count(chr(10), 0, match.start()) + 1}: names {what}: {match.group()!r}"


def tracked_files():
    """The files git tracks; in an unpacked archive, every file that is no by-product."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode == 0 and listed.stdout:
        return [ROOT / name for name in listed.stdout.split("\0") if name]
    skipped = {"__pycache__", "build", "dist"}
    return [
        path
        for path in ROOT.rglob("*")
        if path.is_file() and not any(p in skipped or p.startswith(".") for p in path.relative_to(ROOT).parts)
    ]


def test_a_packed_picture_names_nothing():
    letters = "un" + "pkg"  # as it once came up by chance
    assert not list(never_problems("x" * 150 + letters + "y" * 150, "lesson"))
    assert list(never_problems(f"https://{letters}.com/" + "y" * 300, "lesson"))


def test_tracked_files_name_no_registry_and_no_outside_document():
    found = []
    for path in tracked_files():
        if path == Path(__file__).resolve() or not path.is_file():
            continue
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue  # a picture
        found += never_problems(text, path.relative_to(ROOT).as_posix())
    assert not found, "\n" + "\n".join(found)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("get it from https://py-pi.org/simple".replace("-", ""), "a package registry"),
        ("see https://files.python-hosted.org/x".replace("-", ""), "a package registry"),
        ("cdn.js-delivr.net".replace("-", ""), "a package registry"),
        ("# as in ../shared/x", "a document outside"),
        ("see design.md section 4", "a document outside"),
        ("from prototypes/relief.py", "a document outside"),
        ("fixes issue 3", "an issue by number"),
        ("Closes issues #12", "an issue by number"),
    ],
)
def test_what_is_never_named_is_found(text, what):
    found = list(never_problems("first line\n" + text, "file.txt"))
    assert found and f"file.txt:2: names {what}" in found[0]


def test_ordinary_words_are_left_alone():
    assert (
        list(
            never_problems(
                "a shared heap, one issue: 3 sheets, our prototypes, restyle.md, time-shared/own", "f"
            )
        )
        == []
    )


def test_the_layout_for_contributors_names_every_module_and_no_other():
    text = (PACKAGE.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    layout = text[text.index("kilncalc/\n") : text.index("Imports point up this list")]
    named = set(re.findall(r"\b\w+\.py\b", layout))
    modules = {path.name for path in PACKAGE.glob("*.py")} - {"__init__.py", "__main__.py"}
    assert modules - named == set(), "DEVELOPERS.md, Layout: say in a line what they are"
    assert named - {path.name for path in PACKAGE.rglob("*.py")} == set(), "they are gone"


def test_what_is_asked_of_shapely_the_browser_edition_has_too():
    stand_in = ast.parse((ROOT / ".ci/browser_shapely.py").read_text(encoding="utf-8"))
    there = {node.name for node in ast.walk(stand_in) if isinstance(node, ast.ClassDef | ast.FunctionDef)}
    kinds = (shapely.Point, shapely.LineString, shapely.LinearRing, shapely.Polygon, shapely.MultiPolygon)
    told_by_shapes = {name for kind in kinds for name in dir(kind) if not name.startswith("_")}
    of_other_things = {"x", "y"}  # a hole's place, a sheet's
    looked_at = 0
    for path in PACKAGE.rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        nodes = list(ast.walk(tree))
        taken = [n for n in nodes if isinstance(n, ast.ImportFrom) and str(n.module).startswith("shapely")]
        whole = any(isinstance(n, ast.Import) and n.names[0].name == "shapely" for n in nodes)
        if not taken and not whole:
            continue
        looked_at += 1
        attributes = [n for n in nodes if isinstance(n, ast.Attribute)]
        asked = {alias.name for n in taken for alias in n.names}
        asked |= {n.attr for n in attributes if isinstance(n.value, ast.Name) and n.value.id == "shapely"}
        asked |= {n.attr for n in attributes} & told_by_shapes - of_other_things
        assert asked <= there, f"{path.name}: add it to .ci/browser_shapely.py and tests/browser/shapes.py"
    assert looked_at > 5
