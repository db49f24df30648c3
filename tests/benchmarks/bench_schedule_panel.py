"""Redraw of the panel with a whole firing, against a one-line figure and one `fire`.

    .venv/bin/python tests/benchmarks/bench_schedule_panel.py

The three take turns, so that a busy machine slows all of them alike; the goal is a ratio of 2 to the sum.
"""

# measures: kilncalc/panels/lesson4.py kilncalc/firing.py

import time
from collections.abc import Callable

import numpy as np
from bench_panels import MOVES, first_slider, one_line

from kilncalc.fired import flat_fuse
from kilncalc.firing import SMALL_BRICK_KILN, fire
from kilncalc.panels import Panel, lesson4
from kilncalc.piece import Piece, Zone


def mover(panel: Panel) -> Callable[[float], None]:
    """Return what moves the first slider of a live panel, from 0 (its low end) to 1 (its high end)."""
    moved = first_slider(panel)

    def move(share: float) -> None:
        moved.value = moved.min + share * (moved.max - moved.min)

    return move


def fire_alone(share: float) -> None:
    """Fire what the panel fires, with nothing drawn."""
    piece = Piece(lesson4.GLASS, (Zone(0.003 + share * 0.022, 1.0),))
    fire(flat_fuse(heating=150, soak=3600, cooling=60, glass=lesson4.GLASS), piece, SMALL_BRICK_KILN)


def main() -> None:
    """Print the three times and the ratio."""
    line, panel = mover(one_line()), mover(lesson4.whole_firing)
    times = np.zeros((MOVES, 3))
    for turn, share in enumerate(np.linspace(0.0, 1.0, MOVES + 1)[1:]):
        for column, act in enumerate((line, fire_alone, panel)):
            start = time.perf_counter()
            act(float(share))
            times[turn, column] = 1e3 * (time.perf_counter() - start)
    for name, share in (("median", 50), ("95th percentile", 95)):
        figure, alone, whole = np.percentile(times, share, axis=0)
        print(f"{name} of {MOVES} moves: one-line figure {figure:.1f} ms, one fire {alone:.1f} ms")
        print(f"    panel {whole:.1f} ms: panel / (figure + fire) = {whole / (figure + alone):.2f}")


if __name__ == "__main__":
    main()
