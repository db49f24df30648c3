"""In the browser edition, as `kilncalc._on_demand`: a package is fetched when it is first imported.

The interpreter's own loader compiles every library of every package that a lesson might need: half of
a page's memory, and half of the time until it is alive. Here a package is laid beside the others when an
import does not find it, and what is not imported is not compiled. Files are memory here: a wheel is gone when
it has been laid, and of a compiled module nothing is left when the machine has taken it.
"""

import importlib
import os
import site
import sys
import zipfile
from importlib.abc import MetaPathFinder
from importlib.machinery import ExtensionFileLoader, PathFinder
from pathlib import Path

import js
import pyodide_js


class Fetcher(MetaPathFinder):
    """Finds a module in a wheel that lies beside the interpreter; `wheels` are their names by module."""

    def __init__(self, wheels, base):
        self.wheels, self.base = wheels, base

    def find_spec(self, name, path=None, _target=None):
        """Lay the wheel that brings this module, once, and return where it is."""
        wheel = self.wheels.pop(name, None)
        if wheel is None:
            return None
        packed = Path("/tmp", wheel)
        pyodide_js.FS.writeFile(str(packed), self.fetch(wheel))
        with zipfile.ZipFile(packed) as archive:
            archive.extractall(PLACE)
        packed.unlink()
        importlib.invalidate_caches()
        return PathFinder.find_spec(name, path)

    def fetch(self, wheel):
        """Return a wheel; a kernel is a worker, which may wait."""
        asked = js.XMLHttpRequest.new()
        asked.open("GET", self.base + wheel, False)
        asked.responseType = "arraybuffer"
        asked.send()
        if asked.status != 200:
            raise ImportError(f"{wheel} did not come: is the network gone?")
        return js.Uint8Array.new(asked.response)


def create_module(self, spec, create=ExtensionFileLoader.create_module):
    """Load a compiled module, and empty its file and those of the libraries that came with it."""
    module = create(self, spec)
    for name in js.Object.keys(pyodide_js._module.LDSO.loadedLibsByName):
        if name.startswith(PLACE) and os.path.exists(name):
            os.truncate(name, 0)
    return module


PLACE = site.getsitepackages()[0]
ExtensionFileLoader.create_module = create_module

listed, loaded = pyodide_js._api.lockfile_packages.to_py(), pyodide_js.loadedPackages.to_py()
waiting = [package for name, package in listed.items() if name not in loaded]
sys.meta_path.append(
    Fetcher(
        {module: package["file_name"] for package in waiting for module in package["imports"]},
        pyodide_js._api.config.packageBaseUrl,
    )
)
