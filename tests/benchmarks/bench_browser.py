"""What a person waits for, in JupyterLab and Chromium: a lesson that opens, a slider that is moved.

    .venv/bin/python tests/benchmarks/bench_browser.py [LESSON ...]

Opening: from the page with its words to its first live panel (goal: 6 s), and to the last.
Slider to redraw: key press to the end of drawing, of all plots of the panel;
95th percentile of 40 key presses on the first slider of each panel, against a one-line figure behind the same
shared function, in the same page (goal: 1.5 times; 2 where a firing is simulated).
"""

# measures: kilncalc/panels kilncalc/figures kilncalc/page

import os
import re
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import nbformat
from playwright.sync_api import Error, Page, sync_playwright

HERE = Path(__file__).parent
LESSONS = HERE.parents[1] / "lessons"
CHROMIUM = os.environ.get("KILNCALC_CHROMIUM", "/usr/bin/chromium")
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
MOVES = 40

PRESS = """async ([panel, key]) => {
  const handle = panel.querySelector('.noUi-handle');
  handle.focus();
  const drawn = new Promise(resolve => {
    const watch = new MutationObserver(changes => {
      if (!changes.some(({ target, oldValue }) => oldValue && !target.hasAttribute('aria-busy'))) return;
      watch.disconnect();
      resolve();
    });
    watch.observe(panel, { subtree: true, attributeFilter: ['aria-busy'], attributeOldValue: true });
  });
  const start = performance.now();
  handle.dispatchEvent(new KeyboardEvent('keydown', {key, bubbles: true, cancelable: true}));
  await Promise.race([drawn, new Promise((_, reject) => setTimeout(() => reject('no redraw'), 5000))]);
  return performance.now() - start;
}"""
"""From a key press until the panel is no longer busy drawing.

A picture whose axes change is drawn as a new one, and a new plot forgets who waits for its "drawn" event.
"""


ALL_DRAWN = """() => [...document.querySelectorAll('.kilncalc-panel')].every(
  panel => panel.querySelector('.main-svg'))"""


def opening(page: Page, address: str, name: str) -> str:
    """Return how long a lesson takes to its first live panel and to its last, once its words are there."""
    page.goto(address.replace("0-start-here.ipynb", name))
    page.locator(".kilncalc-page").wait_for(timeout=60_000)
    start = time.perf_counter()
    page.locator(".kilncalc-alive").first.wait_for(timeout=120_000)
    first = time.perf_counter() - start
    page.locator(".kilncalc-bar[data-state=alive]").wait_for(timeout=120_000)
    return f"{name}: first live panel {first:.1f} s, all {time.perf_counter() - start:.1f} s after its words"


def bench_notebook(labels: list[str], folder: Path) -> tuple[Path, list[str]]:
    """Write a notebook of the one-line figure and every panel of these lessons; return it and their names."""
    sources = [
        f"import sys; sys.path.insert(0, {str(HERE)!r})\nfrom bench_panels import one_line\n"
        "from kilncalc.panels import show",
        "show(one_line())",
    ]
    names = ["one-line figure"]
    for path in sorted(LESSONS.glob("*.ipynb")):
        if path.name.partition("-")[0] in labels:
            for cell in nbformat.read(path, as_version=4).cells:
                if "panel" in cell.metadata.get("tags", []):
                    name = re.match(r"show\(([\w.]+)", cell.source)[1]  # type: ignore[index]
                    names.append(name)
                    sources.append(f"from kilncalc.panels import {name.partition('.')[0]}\nshow({name})")
    kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
    notebook: Any = nbformat.v4.new_notebook(metadata={"kernelspec": kernel})
    notebook.cells = [nbformat.v4.new_code_cell(source) for source in sources]
    target = folder / "bench.ipynb"
    nbformat.write(notebook, target)
    return target, names


def times(page: Page, number: int) -> list[float]:
    """Return the times of 40 key presses on the first slider of one panel [ms]."""
    panel = page.locator(".kilncalc-panel").nth(number)
    panel.scroll_into_view_if_needed()
    handle = panel.element_handle()
    keys = ["ArrowRight" if move % 8 < 4 else "ArrowLeft" for move in range(MOVES + 4)]
    took = [page.evaluate(PRESS, [handle, key]) for key in keys]
    return took[4:]


def main(labels: list[str]) -> None:
    """Print a row for each panel."""
    with tempfile.TemporaryDirectory() as scratch, socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
        probe.close()
        folder = Path(scratch) / "lessons"
        command = [sys.executable, "-m", "kilncalc", "open", "--no-browser", "--port", str(port)]
        command += ["--folder", str(folder), "--"]
        command += ["--allow-root"] if getattr(os, "geteuid", lambda: 1)() == 0 else []
        lab = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
        try:
            assert lab.stdout is not None
            address = next(
                found[0] for line in lab.stdout if (found := re.search(r"http://\S+token=\w+", line))
            )
            target, names = bench_notebook(labels, folder)
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
                page = browser.new_page(viewport={"width": 1366, "height": 768})
                for lesson in sorted(LESSONS.glob("*.ipynb")):
                    if lesson.name.partition("-")[0] in labels:
                        print(opening(page, address, lesson.name))
                page.goto(address.replace("0-start-here.ipynb", target.name))
                page.get_by_role("button", name="Run this page").click(timeout=60_000)
                page.locator(".kilncalc-panel").nth(len(names) - 1).wait_for(timeout=120_000)
                skip = page.get_by_role("button", name="Skip the guess")
                while skip.count():
                    skip.first.click()
                    page.wait_for_timeout(200)
                for waiting in page.locator(".kilncalc-panel").all():  # some are worked out when come near
                    waiting.scroll_into_view_if_needed()
                page.wait_for_function(ALL_DRAWN, timeout=120_000)
                page.wait_for_timeout(1000)
                baseline = 0.0
                for number, name in enumerate(names):
                    if not page.locator(".kilncalc-panel").nth(number).locator(".noUi-handle").count():
                        continue  # nothing but a choice to make
                    try:
                        took = times(page, number)
                    except Error as problem:
                        print(f"{name}: not timed, {problem.message}")
                        continue
                    percentile = statistics.quantiles(took, n=20)[-1]
                    baseline = baseline or percentile
                    print(
                        f"{name}: {percentile:.0f} ms (median {statistics.median(took):.0f}), "
                        f"{percentile / baseline:.2f} times the one-line figure"
                    )
                browser.close()
        finally:
            lab.terminate()
            lab.wait()


if __name__ == "__main__":
    main(sys.argv[1:] or ["2"])
