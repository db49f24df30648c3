"""What a lesson's notebook says about itself, and whether a person has edited it."""

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

LOCKED = {"editable": False, "deletable": False}
"""The metadata of every cell of a lesson: a stray click or key neither changes nor deletes it."""
START = re.compile(r"^.*\*\*[^*\n]*Run All Cells\*\*.*\n*", re.MULTILINE)
"""A paragraph that tells how to start a page, or to start it again: paper does neither."""


@dataclass(frozen=True)
class Origin:
    """Where a notebook came from: the lesson, the package that laid it, and the sources it had then.

    A student's copy of a hand-out names the student, too.
    """

    lesson: str
    version: str
    digest: str
    student: str = ""


def digest(notebook: Mapping[str, Any]) -> str:
    """Return a SHA-256 over kind and source of every cell, in order.

    Outputs, execution counts, cell ids and metadata do not count: running a notebook, folding a cell
    or answering in a text box leaves the digest as it was; changing, moving or adding a cell does not.
    """
    cells = [[cell["cell_type"], "".join(cell["source"]).replace("\r\n", "\n")] for cell in notebook["cells"]]
    return hashlib.sha256(json.dumps(cells, ensure_ascii=True).encode("ascii")).hexdigest()


def origin(notebook: Mapping[str, Any]) -> Origin | None:
    """Return what the notebook's metadata says of its origin, or None if it says nothing usable."""
    stored = notebook.get("metadata", {}).get("kilncalc")
    if not isinstance(stored, Mapping):
        return None
    values = [stored.get("lesson"), stored.get("version"), stored.get("digest"), stored.get("student", "")]
    return Origin(*values) if all(isinstance(value, str) for value in values) else None


def edited(notebook: Mapping[str, Any]) -> bool:
    """Return whether the sources differ from those it was laid with; True where that cannot be known."""
    stored = origin(notebook)
    return stored is None or stored.digest != digest(notebook)


def read(path: Path) -> dict[str, Any]:
    """Read a notebook; ValueError with a sentence for a file that is none."""
    try:
        notebook = json.loads(path.read_bytes())
        digest(notebook)
        notebook["metadata"].items()
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as error:
        raise ValueError(f"{path} is not a notebook that can be read") from error
    return notebook
