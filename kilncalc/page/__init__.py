"""What makes a lesson a page: a labextension in plain JavaScript, and what the server does for it.

Nothing is installed for it: JupyterLab finds it through two variables (`environment`), which `kilncalc open`
and the hub of DEVELOPERS.md set. `jupyter/share/labextensions/kilncalc` runs in the browser.
"""

import os
from collections.abc import Mapping
from pathlib import Path

_JUPYTER = Path(__file__).resolve().parent / "jupyter"
FOLDERS = {"JUPYTER_CONFIG_PATH": _JUPYTER / "config", "JUPYTER_PATH": _JUPYTER / "share"}
"""Where JupyterLab finds our settings, and our labextension, kernel and print template."""


def environment(around: Mapping[str, str]) -> dict[str, str]:
    """Return the variables that make JupyterLab find the page, before what a person has set there."""
    return {
        name: os.pathsep.join(filter(None, [str(folder), around.get(name, "")]))
        for name, folder in FOLDERS.items()
    }
