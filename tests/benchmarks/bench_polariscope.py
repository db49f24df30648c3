"""How long a polariscope picture of 300 x 300 pixels takes: run this file; nothing is asserted.

    python tests/benchmarks/bench_polariscope.py

A slider moves the polariser (the picture alone is computed anew) or the mismatch (the stress field too). The
goal for a redraw, drawing included, is 100 ms at the 95th percentile.
"""

# measures: kilncalc/polariscope.py kilncalc/_polariscope.py

import time
from itertools import count

import numpy as np

from kilncalc import polariscope as p
from kilncalc.compatibility import bilayer
from kilncalc.materials import glass

GLASS = glass("kiln glass A")


def timed(name, step, repeats=100):
    """Print median and 95th percentile of `step(i)` in milliseconds, the first call apart."""
    start = time.perf_counter()
    step(0)
    first = time.perf_counter() - start
    took = []
    for i in range(1, repeats + 1):
        start = time.perf_counter()
        step(i)
        took.append(time.perf_counter() - start)
    median, late = np.percentile(took, [50, 95]) * 1e3
    print(f"{name:36} median {median:5.1f} ms   95th percentile {late:5.1f} ms   first {first * 1e3:6.1f} ms")


def main():
    """Time every view, with and without the plate."""
    spot = p.spot_view(1e-4, GLASS, 0.01, 0.006)

    views = {
        "spot": lambda i: p.spot_view(i * 2e-6, GLASS, 0.01, 0.006),
        "strip": lambda i: p.strip_view(i * 2e-6, GLASS, 0.06, 0.012, 0.003, 0.006),
        "slab, edge": lambda i: p.edge_view(*p.slab_profile(0.012, i * 2e4), GLASS, 0.08, 0.05),
        "pair, edge": lambda i: p.edge_view(
            *bilayer(i * 2e-6, 0.006, 0.006, GLASS).profile(), GLASS, 0.08, 0.05
        ),
    }
    timed("polariser turns", lambda i: p.polariscope_image(spot, i))
    timed("polariser turns, with plate", lambda i: p.polariscope_image(spot, i, p.FULL_WAVE))
    for name, view in views.items():
        timed(f"mismatch changes: {name}", lambda i, view=view: p.polariscope_image(view(i), 30, p.FULL_WAVE))
    plates = count(500)
    timed("another plate every time", lambda i: p.polariscope_image(spot, 30, next(plates) * 1e-9), 20)


if __name__ == "__main__":
    main()
