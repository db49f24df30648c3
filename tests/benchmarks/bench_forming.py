"""How long the forming of a sheet takes, beside a yardstick, and a moment of the film.

    .venv/bin/python tests/benchmarks/bench_forming.py

Goals on a quiet machine: slump 0.1 s, drape to touchdown 0.3 s, to 3e-3 1/Pa 1.5 s, a moment of the film
0.1 s. The yardstick solves 2000 banded systems of the size that a step solves.
"""

import time

import numpy as np
from scipy.linalg import solveh_banded

from kilncalc import forming
from kilncalc.panels import as_json, lesson3b


def best(run, times=5):
    """The shortest of a few runs [s of processor time]."""
    taken = []
    for _ in range(times):
        start = time.process_time()
        run()
        taken.append(time.process_time() - start)
    return min(taken)


def yardstick():
    band = np.zeros((6, 160))
    band[0] = 4.0
    band[1:] = 0.1
    load = np.ones(160)
    for _ in range(2000):
        solveh_banded(band, load, lower=True, check_finite=False)


def main():
    """Print the times and their ratios."""
    sleeve = (0.009, 0.003, 0.021, 0.018)
    minutes = iter(60.0 * np.arange(1, 55))
    lesson3b.film.picture("metric")
    cases = {
        "slump": lambda: forming.slump(0.150, 0.006, 0.020),
        "slump, round": lambda: forming.slump(0.150, 0.006, 0.020, round=True),
        "drape to touchdown": lambda: forming.drape(*sleeve, until=1e-6),
        "drape to 3e-3": lambda: forming.drape(*sleeve),
        "drape to 3e-3, gripped, surface tension": lambda: forming.drape(
            *sleeve, base="sticks", surface_tension=0.31
        ),
        "a moment of the film": lambda: as_json(lesson3b.film.picture("metric", time=next(minutes))),
    }
    unit = best(yardstick)
    print(f"yardstick {unit * 1000:.0f} ms")
    for name, run in cases.items():
        taken = best(run)
        print(f"{name}: {taken * 1000:.0f} ms, {taken / unit:.2f} of the yardstick")


if __name__ == "__main__":
    main()
