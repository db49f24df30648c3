"""What a page carries between its kernel and what the browser keeps: the browser edition over plain http.

There a browser lets no kernel reach what it keeps; over https and on localhost the kernel's folder is that.
"""

import json
from pathlib import Path

_REACHED = Path("/drive")
"""Where the kernel finds what the browser keeps, when it can reach it."""
_LARGEST = 5_000_000


def lying() -> str:
    """Return the files of the kernel's folder as JSON, text by name; "null" where none is to be carried."""
    here = Path.cwd()
    if here.is_relative_to(_REACHED):
        return "null"
    files = [path for path in here.iterdir() if path.is_file() and path.stat().st_size <= _LARGEST]
    return json.dumps({path.name: path.read_bytes().decode("utf-8", "replace") for path in sorted(files)})


def lay(files: str) -> None:
    """Write the files of such a text into the kernel's folder."""
    for name, text in json.loads(files).items():
        (Path.cwd() / name).write_text(text, encoding="utf-8", newline="")
