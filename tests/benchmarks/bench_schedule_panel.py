"""Redraw of the panel with a whole firing, against a one-line figure and one `fire`.

    .venv/bin/python tests/benchmarks/bench_schedule_panel.py

All three in the same run, through the same shared function; the goal is a ratio of 2.
"""

import time

import numpy as np
from bench_panels import MOVES, one_line, percentile_95

from kilncalc.firing import SMALL_BRICK_KILN, fire
from kilncalc.panels import lesson4
from kilncalc.piece import Piece, Zone


def firing_percentile_95() -> float:
    """Return the 95th percentile of the time of one `fire` of the panel's own schedule [ms]."""
    schedule = lesson4.programme(heating=150, soak=3600, cooling=60)
    times = []
    for thickness in np.linspace(0.003, 0.025, MOVES + 1)[1:]:
        piece = Piece(lesson4.GLASS, (Zone(float(thickness), 1.0),))
        start = time.perf_counter()
        fire(schedule, piece, SMALL_BRICK_KILN)
        times.append(1e3 * (time.perf_counter() - start))
    return float(np.percentile(times, 95))


def main() -> None:
    """Print the three times and the ratio."""
    percentile_95(one_line())
    percentile_95(lesson4.whole_firing)
    line, alone, panel = (
        percentile_95(one_line()),
        firing_percentile_95(),
        percentile_95(lesson4.whole_firing),
    )
    print(f"95th percentiles of {MOVES} moves: one-line figure {line:.1f} ms, one fire {alone:.1f} ms")
    print(f"panel with the whole firing: {panel:.1f} ms")
    print(f"panel / (one-line figure + one fire) = {panel / (line + alone):.2f}")


if __name__ == "__main__":
    main()
