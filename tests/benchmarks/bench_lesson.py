"""Starting up: import of the package, Run All of each lesson, memory of its kernel.

    .venv/bin/python tests/benchmarks/bench_lesson.py

The baseline of Run All and of memory is a notebook of one cell that imports pandas and plotly (goal for a
lesson's Run All: 1.5 times); of the import, the import of pandas and plotly.graph_objects in a fresh process.
Medians of three rounds, baseline and subject in turn.
"""

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
    pairs = [(import_seconds(BASELINE), import_seconds("import kilncalc.panels")) for _ in range(ROUNDS)]
    base, own = (statistics.median(column) for column in zip(*pairs, strict=True))
    print(
        f"import pandas and plotly {base:.2f} s; import kilncalc.panels {own:.2f} s: {own / base:.2f} times"
    )
    for path in LESSONS:
        code = [cell.source for cell in nbformat.read(path, as_version=4).cells if cell.cell_type == "code"]
        rounds = [(run_all([BASELINE]), run_all(code)) for _ in range(ROUNDS)]
        base = statistics.median(first[0] for first, _ in rounds)
        own = statistics.median(second[0] for _, second in rounds)
        memory = [statistics.median(pair[place][1] for pair in rounds) for place in (0, 1)]
        print(
            f"{path.name}: Run All {own:.2f} s, {own / base:.2f} times the baseline's {base:.2f} s; "
            f"kernel {memory[1]:.0f} MB, baseline {memory[0]:.0f} MB"
        )


if __name__ == "__main__":
    main()
