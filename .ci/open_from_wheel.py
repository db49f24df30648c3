"""Open the lessons with the installed package and fetch the page; argument: the lessons of the checkout."""

import re
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from pathlib import Path

import kilncalc

shipped = Path(sys.argv[1])
assert "site-packages" in kilncalc.__file__, kilncalc.__file__
with tempfile.TemporaryDirectory() as place:
    folder = Path(place, "my lessons")
    command = [
        sys.executable,
        "-m",
        "kilncalc",
        "open",
        "--no-browser",
        "--folder",
        str(folder),
        "--",
        "--allow-root",
    ]
    lab = subprocess.Popen(command, stdin=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    try:
        found = None
        for line in lab.stderr:
            print(line, end="")
            if found := re.search(r"http://localhost:\S+token=\w+", line):
                break
        assert found, "JupyterLab did not say where it is"
        for _ in range(120):  # JupyterLab names its address a moment before it listens there
            try:
                page = urllib.request.urlopen(found[0], timeout=60).read().decode("utf-8")
                break
            except urllib.error.URLError:
                time.sleep(0.5)
    finally:
        lab.terminate()
        lab.wait(60)
    assert '"treePath": "0-start-here.ipynb"' in page and '"mode": "single-document"' in page
    laid = {path.name: path.read_bytes() for path in folder.glob("*.ipynb")}
    assert laid == {path.name: path.read_bytes() for path in shipped.glob("*.ipynb")}, sorted(laid)
    print(f"{len(laid)} lessons opened from {Path(kilncalc.__file__).parent}")
