"""How long the firing of a thickness map takes and how much memory, and how both grow with its cells.

    .venv/bin/python tests/benchmarks/bench_relief.py

Goals on a quiet machine, one thread: 60 x 60 cells through a whole schedule in 1 s held flat and 2 s free,
the peak of heating within 3 % of steps five times as fine, under 300 MB. The yardstick factorises and solves
a five-point grid.
"""

# measures: kilncalc/relief.py kilncalc/_plate.py

import os

os.environ["OMP_NUM_THREADS"] = "1"

import resource
import subprocess
import sys
import time

import numpy as np
import scipy.sparse as sparse
from scipy.sparse.linalg import splu

from kilncalc import relief
from kilncalc.firing import Kiln, fire
from kilncalc.materials import glass
from kilncalc.piece import Piece, ReliefMap
from kilncalc.schedule import Schedule, Segment

WHOLE = Schedule(
    (Segment(180, 650, 25), Segment(280, 790, 12), Segment(600, 514, 45), Segment(95, 420), Segment(180, 20))
)
SIDES = (30, 60, 90, 120)
STEPS = ("_FIRST_STEP", "_COLD_STEP", "_SOFT_STEP", "_SETTING_STEP", "_LIQUID_STEP", "_SETTLING")


def tile(cells: int) -> ReliefMap:
    """Return 3 mm with a rib of 20 mm and a patch on it, on 150 mm."""
    thickness = np.full((cells, cells), 0.003)
    thickness[:, round(0.4 * cells) : round(0.4 * cells) + cells * 20 // 150] += 0.006
    thickness[cells // 5 : cells // 3, cells // 4 : cells // 2] += 0.003
    return ReliefMap(thickness, 0.15 / cells)


def fired(cells: int, bending: str):
    """Fire it in the open."""
    return fire(WHOLE, Piece(glass("lamp soda-lime"), tile(cells), "open", bending), Kiln())


def yardstick() -> float:
    """Return the time of a factorisation and 200 solves on a grid of 100 x 100 [s of processor time]."""
    n = 100
    line = sparse.diags([-1.0, 2.1, -1.0], [-1, 0, 1], shape=(n, n))
    grid = (sparse.kron(line, sparse.eye(n)) + sparse.kron(sparse.eye(n), line)).tocsc()
    start = time.process_time()
    solve = splu(grid, permc_spec="MMD_AT_PLUS_A").solve
    for _ in range(200):
        solve(np.ones(n * n))
    return time.process_time() - start


def one(cells: int, bending: str) -> None:
    """Print time and memory of one firing, in a process of its own."""
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    start = time.process_time()
    firing = fired(cells, bending)
    taken = time.process_time() - start
    more = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
    print(
        f"{cells} x {cells} cells, {bending}: {taken:.2f} s, {taken / yardstick():.1f} of the yardstick, "
        f"{more:.0f} MB more than before; {firing.averaged_peak('heating') / 1e6:.2f} MPa"
    )


def main() -> None:
    """Print a row for each number of cells, and how far the steps are from fine ones."""
    for bending in ("flat", "free"):
        for cells in SIDES:
            subprocess.run([sys.executable, __file__, str(cells), bending], check=True)
        usual = fired(30, bending)
        kept = {name: getattr(relief, name) for name in STEPS}
        for name, value in kept.items():
            setattr(relief, name, value / 5)
        fine = fired(30, bending)
        for name, value in kept.items():
            setattr(relief, name, value)
        for phase in ("heating", "cooling"):
            off = usual.averaged_peak(phase) / fine.averaged_peak(phase) - 1
            print(f"30 x 30 cells, {bending}, {phase}: {100 * off:+.1f} % from steps five times as fine")


if __name__ == "__main__":
    if len(sys.argv) == 3:
        one(int(sys.argv[1]), sys.argv[2])
    else:
        main()
