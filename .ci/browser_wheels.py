"""Make the wheels in /wheels and the interpreter's library smaller and quicker; it runs them itself.

/here is .ci.

Left out: what the lessons never load. Compiled: every module, without its source and its docstrings.
"""

import importlib._bootstrap_external as bootstrap
import json
import re
import zipfile
from pathlib import Path

ONLY = {
    "plotly": r"plotly/package_data/plotly\.min\.js|[^/]+\.dist-info/",  # which the page itself loads
}
NOT = {
    "kilncalc": r"kilncalc/page/jupyter/",  # the site has it already
    "scipy": r"scipy/(stats|io|signal|ndimage|cluster|odr|datasets|misc|fftpack|differentiate|interpolate)/"
    r"|scipy/(integrate|optimize|special|fft|spatial|constants|sparse/csgraph|_external/array_api_compat/torch)/",
    "numpy": r"numpy/linalg/lapack_lite\.|numpy/conftest",
    "pandas": r"pandas/plotting/_matplotlib/|pandas/_version\.",
    "pillow": r"PIL/_(imagingft|imagingcms|imagingmath)",
    "psygnal": r"psygnal/(containers|testing|_pyinstaller_util|qt)",
    "mistune": r"mistune/(directives|toc|__main__)",
    "pygments": r"pygments/lexers/(?!__init__|_mapping|python|special)|pygments/(cmdline|sphinxext)",
    "wcwidth": r"wcwidth/table_grapheme_overrides/_known",  # of single terminal programs
    "ipython": r"IPython/(testing/(?!__init__|skipdoctest)|sphinxext/)",
    "prompt_toolkit": r"prompt_toolkit/(contrib/|win32|input/win32|output/(win32|windows10))",
    "anywidget": r"[^/]+\.data/|anywidget/(labextension|nbextension)/",
    "ipywidgets": r"[^/]+\.data/",
}
LIBRARY_NOT = (
    r"encodings/(cp(?!437|850|1252)|mac_(?!roman)|iso8859_(?!1\.|15)|koi8|iso2022|big5|gb|euc|shift_j|johab|hz|kz|hp_)"
    r"|(mailbox|imaplib|smtplib|poplib|ftplib|netrc|doctest|pickletools|optparse|trace|modulefinder|compileall)\.py$"
    r"|(pyclbr|tabnanny|zipapp|wave|shelve|plistlib|http/(server|cookies|cookiejar)|_pydatetime|_pyio)\.py$"
    r"|(multiprocessing|xmlrpc|wsgiref|concurrent/interpreters|xml/sax)/|asyncio/(windows|proactor)_"
    r"|_pyrepl/(?!__init__|pager|trace|types|utils)"
)
"""Of the interpreter's library: rare encodings, mail, servers, processes, programmers' tools, stand-ins."""
NEVER = (
    r".*/tests?/|.*/(distutils|_pyinstaller|typeshed)/|.*\.(pyi|pxd|pyx|h|c|a|lib)$"
    r"|[^/]+\.dist-info/RECORD$"
)


def compiled(source: bytes, name: str) -> bytes:
    """Return the bytecode of a module, to be loaded without a look at its source."""
    code = compile(source, f"/lib/{name}", "exec", dont_inherit=True, optimize=2)
    return bytes(bootstrap._code_to_timestamp_pyc(code))


def words_only(notebook: bytes) -> bytes:
    """Return a lesson without pictures and outputs: the site has it whole, the kernel asks for names."""
    lesson = json.loads(notebook)
    for cell in lesson["cells"]:
        cell.pop("attachments", None)
        if "outputs" in cell:
            cell["outputs"] = []
    return json.dumps(lesson).encode()


def library_compiled(library: Path) -> None:
    """Write the interpreter's own library anew, compiled: it comes as sources, compiled at each start."""
    part = library.with_suffix(".part")
    with (
        zipfile.ZipFile(library) as old,
        zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as new,
    ):
        for name in old.namelist():
            if re.match(LIBRARY_NOT, name):
                continue
            if name.endswith(".py"):
                new.writestr(f"{name}c", compiled(old.read(name), name))
            elif not name.endswith("/"):
                new.writestr(name, old.read(name))
    part.replace(library)


def made_smaller(wheel: Path) -> None:
    """Write a wheel anew, and say in it that and how it was altered."""
    package = wheel.name.split("-")[0].lower()
    part = wheel.with_suffix(".part")
    with (
        zipfile.ZipFile(wheel) as old,
        zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as new,
    ):
        for name in old.namelist():
            left_out = re.match(NEVER, name) or (package in NOT and re.match(NOT[package], name))
            if left_out or (package in ONLY and not re.match(ONLY[package], name)) or name.endswith("/"):
                continue
            content = old.read(name)
            if name == "kilncalc/__init__.py":
                content += b"\nfrom kilncalc import _on_demand  # noqa: E402\n"
                new.writestr("kilncalc/_on_demand.pyc", compiled(ON_DEMAND, "kilncalc/_on_demand.py"))
            if name.startswith("kilncalc/_lessons/"):
                content = words_only(content)
            if name.endswith(".py"):
                new.writestr(f"{name}c", compiled(content, name))
            else:
                new.writestr(name, content)
        folder = next(name.split("/")[0] for name in old.namelist() if ".dist-info/" in name)
        new.writestr(f"{folder}/ALTERED.txt", ALTERED)
    part.replace(wheel)


ON_DEMAND = Path("/here/browser_on_demand.py").read_bytes()
ALTERED = (
    "This copy was altered for the browser edition of kilncalc: its modules are compiled, without sources\n"
    "and docstrings, and files that the lessons do not load are left out.\n"
)

library_compiled(Path("/wheels/python_stdlib.zip"))
for each in sorted(Path("/wheels").glob("*.whl")):
    made_smaller(each)
