"""Redraw of the panel with a whole firing, against a one-line figure and one `fire`; and of one's own piece.

    .venv/bin/python tests/benchmarks/bench_schedule_panel.py

The three take turns, so that a busy machine slows all of them alike; the goal is a ratio of 4 to the sum,
since the panel fires four more times, side by side, for its error bars. One's own piece, with two schedules
written, is to be redrawn within 300 ms of processor time, whichever control moves.
"""

# measures: kilncalc/panels/lesson4.py kilncalc/firing.py kilncalc/writing.py kilncalc/own_piece.py

import time
from collections.abc import Callable
from typing import Any

import numpy as np
from bench_panels import MOVES, first_slider, one_line

from kilncalc import own_piece
from kilncalc.fired import flat_fuse
from kilncalc.firing import SMALL_BRICK_KILN, fire
from kilncalc.panels import Panel, lesson4
from kilncalc.panels._panel import Choice
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
        print(f"    panel {whole:.1f} ms: panel / (figure + fire) = {whole / (figure + alone):.2f}, goal 4")
    took = sorted(1e3 * redraw(lesson4.your_piece, values) for values in own_pieces())
    middle, high = np.percentile(took, (50, 95))
    print(
        f"one's own piece, {len(took)} states, processor: median {middle:.0f} ms, 95 % {high:.0f}; goal 300"
    )


def own_pieces() -> list[dict[str, Any]]:
    """Return states of the panel with one's own piece: every choice, and sliders from end to end."""
    states: list[dict[str, Any]] = []
    for control in lesson4.your_piece.controls:
        if isinstance(control, Choice):
            states += [{control.name: option} for option in control.options]
        else:
            states += [{control.name: float(value)} for value in np.linspace(control.low, control.high, 5)]
    return states


def redraw(panel: Panel, values: dict[str, Any]) -> float:
    """Return the processor time of one redraw [s]."""
    own_piece._written.cache_clear()  # as if nobody had been there before
    start = time.process_time()
    panel.picture("metric", **values)
    return time.process_time() - start


if __name__ == "__main__":
    main()
