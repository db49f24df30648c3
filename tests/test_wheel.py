"""The wheel carries everything that a checkout has for a person: lessons, tables, settings of the page."""

import csv
import importlib.util
import io
import json
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).resolve().parents[1]
SOURCES = ("kilncalc", "lessons", "datasets", "README.md", "LICENSE", "pyproject.toml")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    """Build the wheel from a copy of the checkout in which JupyterLab has left its checkpoints."""
    if importlib.util.find_spec("hatchling") is None:
        pytest.skip("hatchling is not installed; the test of the wheel runs in CI and with the dev extra")
    copy, built = tmp_path_factory.mktemp("checkout"), tmp_path_factory.mktemp("built")
    for name in SOURCES:
        source = CHECKOUT / name
        if source.is_dir():
            shutil.copytree(source, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(source, copy / name)
    for folder in ("lessons", "kilncalc"):
        left = copy / folder / ".ipynb_checkpoints" / "2-volume-to-weight-checkpoint.ipynb"
        left.parent.mkdir(exist_ok=True)
        left.write_text("{}", encoding="utf-8")
    building = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(built)]
    done = subprocess.run(building, cwd=copy, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    (made,) = built.glob("*.whl")
    with zipfile.ZipFile(made) as opened:
        yield opened


def test_it_holds_every_file_of_the_checkout_and_no_leavings(wheel):
    expected = set()
    for folder, inside in (
        ("kilncalc", "kilncalc"),
        ("lessons", "kilncalc/_lessons"),
        ("datasets", "kilncalc/_datasets"),
    ):
        for path in (CHECKOUT / folder).rglob("*"):
            parts = path.relative_to(CHECKOUT / folder).parts
            script = folder == "datasets" and path.suffix == ".py"  # how a table was made is not for a user
            if path.is_file() and not script and not {"__pycache__", ".ipynb_checkpoints"} & set(parts):
                expected.add("/".join((inside, *parts)))
    held = {name for name in wheel.namelist() if not name.split("/")[0].endswith(".dist-info")}
    assert held == expected
    assert "kilncalc/_lessons/0-start-here.ipynb" in held
    assert "kilncalc/_datasets/glasses.csv" in held
    assert "kilncalc/page/jupyter/config/labconfig/page_config.json" in held
    assert "kilncalc/page/jupyter/share/labextensions/kilncalc/static/remoteEntry.js" in held


def test_what_it_holds_is_what_the_checkout_holds(wheel):
    for path in sorted((CHECKOUT / "lessons").glob("*.ipynb")):
        assert json.loads(wheel.read(f"kilncalc/_lessons/{path.name}")) == json.loads(path.read_bytes())
    rows = list(csv.DictReader(io.TextIOWrapper(wheel.open("kilncalc/_datasets/glasses.csv"), "utf-8")))
    assert "float" in {row["name"] for row in rows}


def test_it_installs_the_command(wheel):
    (name,) = [name for name in wheel.namelist() if name.endswith(".dist-info/entry_points.txt")]
    assert "kilncalc = kilncalc.cli:main" in wheel.read(name).decode("utf-8")
