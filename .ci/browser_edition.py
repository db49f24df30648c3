"""Steps of .ci/browser-edition: compare the sums of what is compiled, lay what it is made of, finish it."""

import base64
import dataclasses
import hashlib
import io
import json
import re
import shutil
import sys
import zipfile
from email.message import Message
from email.parser import Parser
from pathlib import Path
from typing import Any

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name, parse_wheel_filename
from PIL import Image

ENVIRONMENT = {
    "python_version": "3.14",
    "python_full_version": "3.14.0",
    "sys_platform": "emscripten",
    "platform_system": "Emscripten",
    "os_name": "posix",
    "implementation_name": "cpython",
    "platform_python_implementation": "CPython",
    "platform_machine": "wasm32",
    "extra": "",
}
NOT_NEEDED = {
    "jupyterlab",
    "jupyter-server",
    "jupyterlab-widgets",
    "pexpect",
    "psutil",
    "jedi",
    "narwhals",
    "packaging",
    "plotly",
    "tzdata",
}
"""Named by a package, and not loaded by a lesson, or there in another form."""
ON_DEMAND = {
    "numpy",
    "scipy",
    "pandas",
    "pillow",
    "python-dateutil",
    "six",
    "mistune",
    "simpleeval",
    "tomlkit",
    "shapely",
}
"""Fetched when they are first imported (browser_on_demand.py), not before."""
DRAWS_OTHERWISE = r"langium|cytoscape|\belk\.|dagre|vega-(lite|bind)|KaTeX"
"""What stands in parts of JupyterLab that draw what lessons have not: flow charts and the like."""
AT_START = ["micropip", "piplite", "ipykernel", "comm", "pyodide-kernel", "jedi", "ipython", "kilncalc"]
WORDS = (
    "kilncalc is starting. The first time it takes a minute, because your browser fetches all of it; "
    "later it takes some seconds."
)


@dataclasses.dataclass(frozen=True)
class Wheel:
    """A wheel: what it is, what it brings, what it asks for."""

    path: Path
    name: str
    version: str
    imports: list[str]
    told: Message
    licences: dict[str, str]


def read(path: Path) -> Wheel:
    """Return what a wheel says of itself."""
    name, version, _, _ = parse_wheel_filename(path.name)
    with zipfile.ZipFile(path) as archive:
        names = archive.namelist()
        (metadata,) = [n for n in names if re.fullmatch(r"[^/]+\.dist-info/METADATA", n)]
        told = Parser().parsestr(archive.read(metadata).decode())
        terms = [
            n for n in names if re.search(r"(?i)(licen[cs]e|copying|notice|authors)[^/]*$", n) and "/" in n
        ]
        licences = {
            n: archive.read(n).decode("utf-8", "replace") for n in terms if not n.endswith((".pyc", ".so"))
        }
    tops = {n.split("/")[0].split(".")[0] for n in names if not re.match(r"[^/]+\.(dist-info|data|libs)/", n)}
    return Wheel(path, canonicalize_name(name), str(version), sorted(tops), told, licences)


def sums(lock: Path, wheels: Path) -> None:
    """Stop where a compiled wheel is not the one that the interpreter's makers list."""
    listed = {p["file_name"]: p["sha256"] for p in json.loads(lock.read_text())["packages"].values()}
    for wheel in sorted(wheels.glob("*.whl")):
        if "wasm32" in wheel.name and hashlib.sha256(wheel.read_bytes()).hexdigest() != listed.get(
            wheel.name
        ):
            sys.exit(f"The browser edition was not made: {wheel.name} is not the interpreter's own.")


def lay_wheels(wheels: Path, folder: Path, lock: Path) -> None:
    """Lay the wheels beside the interpreter, with a lock file that says what needs what."""
    every = map(read, sorted(wheels.glob("*.whl")))
    found = {wheel.name: wheel for wheel in every if wheel.name != "plotly"}  # which the page has
    packages = {}
    for wheel in found.values():
        depends = set()
        for line in wheel.told.get_all("Requires-Dist") or []:
            need = Requirement(line)
            other = canonicalize_name(need.name)
            if (need.marker and not need.marker.evaluate(ENVIRONMENT)) or other in NOT_NEEDED:
                continue
            if other not in found:
                sys.exit(f"The browser edition was not made: {wheel.name} needs {need}, which is not there.")
            has = found[other].version
            if not need.specifier.contains(has, prereleases=True):
                sys.exit(f"The browser edition was not made: {wheel.name} needs {need}, not {has}.")
            if other not in ON_DEMAND:
                depends.add(other)
        packages[wheel.name] = {
            "name": wheel.name,
            "version": wheel.version,
            "file_name": wheel.path.name,
            "install_dir": "site",
            "sha256": hashlib.sha256(wheel.path.read_bytes()).hexdigest(),
            "package_type": "package",
            "imports": wheel.imports,
            "depends": sorted(depends),
            "unvendored_tests": False,
        }
        shutil.copy(wheel.path, folder)
    told = json.loads(lock.read_text()) | {"packages": packages}
    (folder / "pyodide-lock.json").write_text(json.dumps(told, indent=1))


def own_wheel(
    folder: Path, name: str, version: str, modules: dict[str, bytes], says: str, terms: str
) -> None:
    """Write a small wheel of our own."""
    info = f"{name}-{version}.dist-info"
    with zipfile.ZipFile(folder / f"{name}-{version}-py3-none-any.whl", "w", zipfile.ZIP_DEFLATED) as wheel:
        wheel.writestr(
            f"{info}/METADATA",
            f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\nSummary: {says}\nLicense: {terms}\n",
        )
        wheel.writestr(
            f"{info}/WHEEL",
            "Wheel-Version: 1.0\nGenerator: kilncalc\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
        )
        for path, content in modules.items():
            wheel.writestr(path, content)


def own_wheels(ours: Path, geos: Path, wheels: Path) -> None:
    """Write wheels in the place of two packages: jedi, and shapely with the library that it calls."""
    nothing = "Nothing: the kernel asks for this name and does without."
    own_wheel(wheels, "jedi", "0.0", {}, nothing, "as kilncalc")
    text = (geos / "build/package/geos.esm.js").read_text()
    binaries = re.findall(r'"data:application/octet-stream;base64,([^"]{1000,})"', text)
    ends = re.findall(r"export\{(\w+) as default\}\s*$", text)
    assert len(binaries) == len(ends) == 1 and text.startswith("const A={Module:"), (
        "the library is put otherwise"
    )
    text = text[: text.rindex("export{")].replace(binaries[0], "").replace("import.meta.url", '""')
    text += f"const geos = A, start = {ends[0]};\n" + (ours / "browser_shapely.js").read_text()
    modules = {
        "shapely/__init__.py": (ours / "browser_shapely.py").read_bytes(),
        "shapely/geos.js": text.encode(),
        "shapely/geos.wasm": base64.b64decode(binaries[0]),
        "shapely-2.1.dist-info/licenses/LICENSE.md": (geos / "LICENSE.md").read_bytes(),
    }
    says = "What kilncalc calls of shapely, reckoned by GEOS 3.13 of the npm package geos-wasm 3.1.1."
    own_wheel(wheels, "shapely", "2.1", modules, says, "as kilncalc; of GEOS and geos-wasm LGPL-2.1")


def smaller_pictures(lesson: dict[str, Any]) -> str:
    """Return a lesson with its pictures in 256 colours, and without those that only paper shows."""
    for cell in lesson["cells"]:
        for name, kinds in list(cell.get("attachments", {}).items()):
            kinds.pop("image/svg+xml", None)
            if not kinds:
                del cell["attachments"][name]
            elif "image/png" in kinds:
                few = io.BytesIO()
                picture = Image.open(io.BytesIO(base64.b64decode(kinds["image/png"]))).convert("RGB")
                few_colours = picture.quantize(256, Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
                few_colours.save(few, "PNG", optimize=True)
                kinds["image/png"] = base64.b64encode(few.getvalue()).decode("ascii")
    return json.dumps(lesson, ensure_ascii=False, separators=(",", ":"))


def content(checkout: Path, wheels: Path, interpreter: Path, lite: Path) -> None:
    """Lay what the site is built from: interpreter, wheels, lessons, settings."""
    place = lite / "static/pyodide"
    place.mkdir(parents=True)
    for name in ("pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm"):
        shutil.copy(interpreter / name, place)
    shutil.copy(wheels / "python_stdlib.zip", place)
    lay_wheels(wheels, place, interpreter / "pyodide-lock.json")
    (lite / "files").mkdir()
    for path in sorted((checkout / "lessons").glob("*.ipynb")):
        lesson = json.loads(path.read_text("utf-8"))
        (lite / "files" / path.name).write_text(smaller_pictures(lesson), "utf-8")
    ours = checkout / "kilncalc/page/jupyter"
    shutil.copy(ours / "config/labconfig/default_setting_overrides.json", lite / "overrides.json")
    disabled = json.loads((ours / "config/labconfig/page_config.json").read_text())["disabledExtensions"]
    settings = {
        "appName": "kilncalc",
        "kilncalcInBrowser": "true",
        "exposeAppInBrowser": True,  # for tests
        "disabledExtensions": [name for name, off in disabled.items() if off],
        "litePluginSettings": {
            "@jupyterlite/pyodide-kernel-extension:kernel": {
                "pyodideUrl": "./static/pyodide/pyodide.mjs",
                "disablePyPIFallback": True,
                "loadPyodideOptions": {"packages": AT_START},
            }
        },
    }
    told = {"jupyter-lite-schema-version": 0, "jupyter-config-data": settings}
    (lite / "jupyter-lite.json").write_text(json.dumps(told, indent=1))


def one_byte(script: str) -> str:
    """Return a script with rare letters as escapes: with one of them it takes twice the memory."""

    def escaped(letter: re.Match[str]) -> str:
        code = letter[0].encode("utf-16-be").hex()
        return "".join(f"\\u{code[place : place + 4]}" for place in range(0, len(code), 4))

    assert not re.search(r"(\\|String\.raw`[^`]*)[^\0-\xff]", script), (
        "there an escape would be read otherwise"
    )
    return re.sub("[^\0-\xff]", escaped, script)


def finish(checkout: Path, wheels: Path, site: Path) -> None:
    """Add the page, the list of its lessons and the licences; open the first lesson; say that it starts."""
    for part in (site / "build").iterdir():
        # Of a font the form that every browser reads that runs this; none of marks of firms.
        font = part.name.startswith("fa-") and (part.suffix != ".woff2" or "brands" in part.name)
        on_demand = re.fullmatch(r"[0-9]+\.[0-9a-f]+\.js", part.name)
        if font or (on_demand and re.search(DRAWS_OTHERWISE, part.read_text("utf-8"))):
            part.unlink()
    sys.path.insert(0, str(checkout))
    from kilncalc.page import lessons

    extension = site / "extensions/kilncalc"
    shutil.copytree(
        checkout / "kilncalc/page/jupyter/share/labextensions/kilncalc", extension, dirs_exist_ok=True
    )
    listed = [dataclasses.asdict(lesson) for lesson in lessons.shipped()]
    (extension / "static/lessons.json").write_text(json.dumps(listed))
    (plotly,) = wheels.glob("plotly-*.whl")
    with zipfile.ZipFile(plotly) as archive:
        (extension / "static/plotly.min.js").write_bytes(archive.read("plotly/package_data/plotly.min.js"))
    for script in (*(site / "build").glob("*.js"), extension / "static/plotly.min.js"):
        script.write_text(one_byte(script.read_text("utf-8")), "utf-8")
    for path in (site / "jupyter-lite.json", site / "lab/jupyter-lite.json"):
        told = json.loads(path.read_text())
        if "federated_extensions" in told["jupyter-config-data"]:
            ours = {"extension": "./extension", "load": "static/remoteEntry.js", "name": "kilncalc"}
            told["jupyter-config-data"]["federated_extensions"].append(ours)
            path.write_text(json.dumps(told, indent=1))
    start = site / "lab/index.html"
    page, changes = re.subn("Loading JupyterLite...", WORDS, start.read_text())
    assert changes == 1, "the page that starts has other words now"
    start.write_text(page.replace("<title>JupyterLite</title>", "<title>kilncalc</title>"))
    (site / "index.html").write_text(
        '<!DOCTYPE html><meta charset="utf-8"><title>kilncalc</title>'
        '<meta http-equiv="refresh" content="0; url=lab/index.html?path=0-start-here.ipynb">'
        '<a href="lab/index.html?path=0-start-here.ipynb">Open kilncalc</a>\n'
        '<script id="jupyter-config-data" type="application/json" data-jupyter-lite-root=".">{}</script>\n'
    )
    licences(wheels, site)


def licences(wheels: Path, site: Path) -> None:
    """Write under which terms each part of the site may be passed on."""
    folder = site / "licences"
    folder.mkdir()
    lines = [
        "What this site is made of, under which terms. Each package's own texts are beside this file.",
        "The interpreter (static/pyodide/pyodide*), of the npm package pyodide: MPL-2.0.",
        "Its library (python_stdlib.zip), that of Python: PSF-2.0; altered (compiled, parts left out).",
        "JupyterLab and JupyterLite: build/third-party-licenses.json and lab/third-party-licenses.json.",
        "",
    ]
    for wheel in map(read, sorted(wheels.glob("*.whl"))):
        terms = wheel.told["License-Expression"] or (wheel.told["License"] or "see its text").splitlines()[0]
        if wheel.licences:
            text = "\n\n".join(f"== {name}\n\n{text}" for name, text in wheel.licences.items())
            (folder / f"{wheel.name}.txt").write_text(text)
        lines.append(f"{wheel.name} {wheel.version}: {terms[:100]}; altered (compiled, parts left out)")
    (folder / "README.txt").write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    step, *paths = sys.argv[1:]
    {"sums": sums, "content": content, "finish": finish, "own": own_wheels}[step](*map(Path, paths))
