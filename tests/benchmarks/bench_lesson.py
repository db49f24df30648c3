"""Starting up: import of the package, Run All of each lesson, memory of its kernel.

    .venv/bin/python tests/benchmarks/bench_lesson.py

The baseline of Run All and of memory is a notebook of one cell that imports pandas and plotly (goal for a
lesson's Run All: 1.5 times); of the import, the import of pandas and plotly.graph_objects in a fresh process.
Medians of rounds, all in turn. As on a person's machine, Python keeps what it has compiled.
"""

# measures: kilncalc lessons

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import nbformat
from nbclient import NotebookClient

LESSONS = sorted((Path(__file__).parents[2] / "lessons").glob("*.ipynb"))
BASELINE = "import pandas\nimport plotly.graph_objects as go"
MEMORY = "import resource; print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)"
ROUNDS = 3


def import_seconds(code: str) -> float:
    """Return how long a fresh process takes to start and run `code`."""
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", code], check=True)
    return time.perf_counter() - start


def run_all(cells: list[str]) -> tuple[float, float]:
    """Return seconds from kernel start to the end of the last cell, and the kernel's peak memory [MB]."""
    notebook: Any = nbformat.v4.new_notebook()
    notebook.cells = [nbformat.v4.new_code_cell(source) for source in [*cells, MEMORY]]
    with tempfile.TemporaryDirectory() as folder:
        client = NotebookClient(notebook, timeout=300, resources={"metadata": {"path": folder}})
        start = time.perf_counter()
        with client.setup_kernel():
            for place, cell in enumerate(notebook.cells):
                took = time.perf_counter() - start  # before the last cell, which asks for the memory
                client.execute_cell(cell, place)
    return took, int(notebook.cells[-1].outputs[0].text) / 1024


def main() -> None:
    """Print a row for each measurement."""
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    import_seconds("import kilncalc.exercises, kilncalc.panels.lesson1, kilncalc.panels.lesson4b")
    pairs = [(import_seconds(BASELINE), import_seconds("import kilncalc.panels")) for _ in range(ROUNDS)]
    base, own = (statistics.median(column) for column in zip(*pairs, strict=True))
    print(
        f"import pandas and plotly {base:.2f} s; import kilncalc.panels {own:.2f} s: {own / base:.2f} times"
    )
    notebooks = {"the baseline": [BASELINE]}
    for path in LESSONS:
        cells = nbformat.read(path, as_version=4).cells
        notebooks[path.name] = [cell.source for cell in cells if cell.cell_type == "code"]
    rounds = [{name: run_all(code) for name, code in notebooks.items()} for _ in range(ROUNDS)]
    base, _ = (statistics.median(column) for column in zip(*(r["the baseline"] for r in rounds), strict=True))
    for name in notebooks:
        took, memory = (statistics.median(column) for column in zip(*(r[name] for r in rounds), strict=True))
        print(f"{name}: Run All {took:.2f} s, {took / base:.2f} times the baseline; kernel {memory:.0f} MB")


if __name__ == "__main__":
    main()
