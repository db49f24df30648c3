"""How long lesson 1's polariscope takes from a slider's move to the new picture of 300 x 300 pixels.

    python tests/benchmarks/bench_polariscope_panel.py

Nothing is asserted; the goal is 100 ms at the 95th percentile. "kernel" is the move as a notebook's kernel
sees it: stress, picture, PNG, until the message to the browser is ready; beside the clock the processor time,
which other programs on the machine do not lengthen. "browser" is plotly in a headless Chromium that gets what
the panel sends and has decoded and drawn the picture; it is left out, and says so, where there is no Chromium
(`KILNCALC_CHROMIUM`, else /usr/bin/chromium).
"""

import json
import os
import time
from pathlib import Path

import numpy as np
from plotly.offline import get_plotlyjs

from kilncalc import testpieces
from kilncalc.panels import Panel, as_json, lesson1

MOVES = 40
CHROMIUM = os.environ.get("KILNCALC_CHROMIUM", "/usr/bin/chromium")
PLATES = (lesson1.WITHOUT, lesson1.WITH)
CASES = [
    *(
        (lesson1.from_above, {"test": test, "plate": plate})
        for test in lesson1.FROM_ABOVE
        for plate in PLATES
    ),
    *((lesson1.edges, {"plate": plate}) for plate in PLATES),
]


def values(panel: Panel, moved: str) -> np.ndarray:
    """Return where the slider goes: a new value each time."""
    slider = next(c for c in panel.controls if c.name == moved)
    return np.linspace(slider.low, slider.high, MOVES + 1)[1:]


def report(name: str, milliseconds: list[float], processor: list[float] | None = None) -> None:
    """Print median and 95th percentile."""
    median, late = np.percentile(milliseconds, [50, 95])
    work = f"; processor {np.percentile(processor, 95):5.1f}" if processor else ""
    print(f"{name}: median {median:5.1f} ms, 95th percentile {late:5.1f}{work}")


def kernel() -> None:
    """Compute and pack the picture of each move."""
    for panel, state in CASES:
        for moved in ("polariser", "difference"):
            testpieces._view.cache_clear()
            took, work = [], []
            for value in values(panel, moved):
                start, processor = time.perf_counter(), time.process_time()
                as_json(panel.picture("metric", **state, **{moved: float(value)}))
                took.append(1e3 * (time.perf_counter() - start))
                work.append(1e3 * (time.process_time() - processor))
            report(f"kernel, {moved} moves, {', '.join(state.values())}", took, work)


def browser() -> None:
    """Give the same figures to plotly in a browser, and wait until each is drawn."""
    if not Path(CHROMIUM).exists():
        print("browser: no Chromium here, left out")
        return
    from playwright.sync_api import sync_playwright

    panel = lesson1.from_above
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu", "--disable-quic"]
        )
        page = chromium.new_page()
        page.set_content("<div id=d></div>")
        page.add_script_tag(content=get_plotlyjs())
        took = []
        for value in values(panel, "polariser"):
            pane = json.loads(as_json(panel.picture("metric", polariser=float(value))))["panes"][0]
            took.append(
                page.evaluate(
                    """async ({data, layout}) => {
                        const start = performance.now();
                        await Plotly.react('d', data, layout, {displayModeBar: false});
                        const picture = new Image();
                        picture.src = document.querySelector('#d image').href.baseVal;
                        await picture.decode();
                        await new Promise((drawn) => requestAnimationFrame(() => setTimeout(drawn, 0)));
                        return performance.now() - start;
                    }""",
                    pane,
                )
            )
        report("browser, polariser moves", took)
        chromium.close()


if __name__ == "__main__":
    kernel()
    browser()
