"""Execute a lesson and bring it to its one stored form.

    .venv/bin/python tests/lessons/normalise.py lessons/2-volume-to-weight.ipynb ...

Lessons are written in JupyterLab; then this command draws the static pictures, runs every cell in a
temporary folder, drops what a person's machine leaves behind and writes the file back. It needs the
`test` extra and a Chromium (`KILNCALC_CHROMIUM`, else /usr/bin/chromium). A test refuses any other form.
"""

import argparse
import base64
import html
import importlib
import json
import os
import shutil
import sys
import tempfile
import textwrap
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import nbformat
import numpy as np
from nbclient import NotebookClient
from plotly.offline import get_plotlyjs

import kilncalc
from kilncalc.classroom.handout import exercise_key
from kilncalc.classroom.notebooks import LOCKED, digest
from kilncalc.exercises import question
from kilncalc.figures import style
from kilncalc.panels import Panel, as_json
from kilncalc.quantities import SYSTEMS

CHROMIUM = os.environ.get("KILNCALC_CHROMIUM", "/usr/bin/chromium")
CHROMIUM_ARGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
NAMES_WITHOUT_CHANCE = "() => { let x = 1; Math.random = () => (x = x * 16807 % 2147483647) / 2147483647; }"
"""plotly names the parts of a picture at random; the same picture shall be the same text every time."""

READINGS_WIDTH, READINGS_LETTERS = 260, 28
"""The column of a still picture in which the readings stand, in px, and how many letters fit across it."""

FILES = {"metric": "picture", "inches": "inches"}
"""The attachment of a still picture in each unit system."""

WORDS_A_MINUTE = 200
MINUTES_A_PANEL = 5
KEPT_OUTPUT_KINDS = ("text/plain", "text/html", "text/markdown")


def panel_named(name: str) -> Panel:
    """Return the panel that a picture cell names, such as "lesson2.fill_the_mould"."""
    module, _, attribute = name.partition(".")
    return getattr(importlib.import_module(f"kilncalc.panels.{module}"), attribute)


def picture_name(cell: Any) -> str | None:
    """Return the panel whose default state this Markdown cell shows, if it shows one."""
    return cell["metadata"].get("kilncalc", {}).get("picture")


def pictures(name: str) -> dict[str, style.Figure]:
    """Return what a picture cell's panel draws in either unit system before anything is moved."""
    return {units: panel_named(name).picture(units) for units in SYSTEMS}


def picture_sources(drawn_in: dict[str, style.Figure]) -> dict[str, str]:
    """Return the Markdown of a picture cell in both unit systems: the caption is the alternative text."""
    sources = {}
    for units, figure in drawn_in.items():
        escaped = figure["caption"].replace("[", "(").replace("]", ")").replace("\n", " ")
        sources[units] = f"![{escaped}](attachment:{FILES[units]}.png)"
    return sources


def gist(figure: style.Figure) -> dict[str, str]:
    """Return what tells one drawing from another: words, colours and heights, and where its numbers lie.

    Of each row of numbers how many there are, the least, the largest and the mean of their sizes.
    """
    words, numbers = [], []
    for pane in figure["panes"]:
        layout = pane["layout"]
        numbers.append(layout["height"])
        for axis in ("xaxis", "yaxis"):
            words.append(layout[axis].get("title", {}).get("text", ""))
            numbers += layout[axis].get("range") or []
        for trace in pane["data"]:
            words.append(f"{trace['type']} {trace.get('mode', '')} {trace.get('line', {}).get('color', '')}")
            for name in ("x", "y", "z"):
                row = np.asarray(trace.get(name, []), dtype=object).ravel()
                known = [float(one) for one in row if isinstance(one, (int, float)) and np.isfinite(one)]
                words += [str(one) for one in row if isinstance(one, str)]
                numbers += [len(known), *([min(known), max(known), np.mean(np.abs(known))] if known else [])]
        for note in layout.get("annotations", []):
            words.append(note["text"])
            numbers += [one for one in (note["x"], note["y"]) if not isinstance(one, str)]
    return {"words": " | ".join(words), "numbers": " ".join(f"{one:.5g}" for one in numbers)}


def draw_pictures(notebook: Any) -> None:
    """Draw each picture cell's panel: PNG for JupyterLab, which shows no attached SVG, and SVG for print."""
    from playwright.sync_api import sync_playwright

    cells = [cell for cell in notebook["cells"] if picture_name(cell)]
    if not cells:
        return
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=CHROMIUM_ARGS)
        page, paper = browser.new_page(), browser.new_page(viewport={"width": style.WIDTH, "height": 600})
        page.set_content("<html><body></body></html>")
        page.add_script_tag(content=get_plotlyjs())
        for cell in cells:
            figures = pictures(picture_name(cell))
            cell["attachments"] = {}
            for units, figure in figures.items():
                file, svg = FILES[units], drawn(page, json.loads(as_json(figure)))
                paper.set_content(f'<body style="margin:0">{svg}</body>')
                png = paper.locator("svg").first.screenshot()
                cell["attachments"] |= {
                    f"{file}.png": {"image/png": base64.b64encode(png).decode("ascii")},
                    f"{file}.svg": {"image/svg+xml": base64.b64encode(svg.encode()).decode("ascii")},
                }
            sources = picture_sources(figures)
            cell["source"] = sources["metric"]
            cell["metadata"]["kilncalc"]["inches"] = sources["inches"]
            cell["metadata"]["kilncalc"]["drawn"] = {units: gist(one) for units, one in figures.items()}
        browser.close()


def drawn(page: Any, figure: Any) -> str:
    """Return a figure as one SVG, laid out as on a page as wide as paper: the panes, then the readings."""
    page.evaluate(NAMES_WITHOUT_CHANCE)
    width = style.WIDTH - (READINGS_WIDTH if figure["readings"] else 0)
    parts, top = [], 0
    for row in rows_of(figure["panes"], width):
        left, height = 0.0, max(pane["layout"]["height"] for pane in row)
        for pane in row:
            wide = pane["layout"].get("width") or width * pane["share"] / sum(one["share"] for one in row)
            address = page.evaluate(
                "([pane, width]) => Plotly.toImage({data: pane.data, layout: {...pane.layout, width}},"
                " {format: 'svg', width, height: pane.layout.height})",
                [pane, round(wide)],
            )
            image = unquote(address.partition(",")[2])
            parts.append(image.replace("<svg ", f'<svg x="{left:.0f}" y="{top}" ', 1))
            left += wide
        top += height
    y = 40
    for reading in figure["readings"]:
        look = f'x="{width + 16}" fill="{reading["colour"]}" font-family="{html.escape(style.FONT)}"'
        parts.append(
            f'<text {look} y="{y}" font-size="26" font-weight="bold">{html.escape(reading["value"])}</text>'
        )
        for line in textwrap.wrap(reading["says"], READINGS_LETTERS):
            y += 22
            parts.append(f'<text {look} y="{y}" font-size="16">{html.escape(line)}</text>')
        y += 46
    bottom = max(top, y - 20 if figure["readings"] else 0)
    if figure["table"]:
        drawn_rows, bottom = table_rows(figure["table"], bottom)
        parts += drawn_rows
    size = f'width="{style.WIDTH}" height="{bottom}"'
    view = size.replace('width="', 'viewBox="0 0 ').replace('" height="', " ")
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size} {view}>{"".join(parts)}</svg>'


def table_rows(table: Any, top: int) -> tuple[list[str], int]:
    """Return a table as lines of text that begin at `top` [px], and where it ends; the last column wraps."""
    rows = [table["head"], *table["rows"]]
    widths = [18 + 9 * max(len(row[column]) for row in rows) for column in range(len(table["head"]) - 1)]
    letters = (style.WIDTH - sum(widths)) // 8
    parts, y = [], top + 30
    for row in rows:
        wrapped = textwrap.wrap(row[-1], letters) or [""]
        look = f'font-size="16" font-family="{html.escape(style.FONT)}" fill="{style.INK}"'
        weight = ' font-weight="bold"' if row is rows[0] else ""
        for column, words in enumerate([*row[:-1], wrapped[0]]):
            x = sum(widths[:column])
            parts.append(f'<text x="{x}" y="{y}" {look}{weight}>{html.escape(words)}</text>')
        for line in wrapped[1:]:
            y += 21
            parts.append(f'<text x="{sum(widths)}" y="{y}" {look}>{html.escape(line)}</text>')
        y += 27
    return parts, y


def rows_of(panes: list[Any], width: int) -> list[list[Any]]:
    """Return the panes in rows, as the page breaks them."""
    rows: list[list[Any]] = []
    for pane in panes:
        if rows and sum(one["least"] for one in [*rows[-1], pane]) <= width:
            rows[-1].append(pane)
        else:
            rows.append([pane])
    return rows


def execute(notebook: Any) -> None:
    """Run every cell, as a fresh learner would, in a temporary copy of the lesson folder."""
    with tempfile.TemporaryDirectory() as folder:
        NotebookClient(
            notebook, timeout=300, kernel_name="python3", resources={"metadata": {"path": folder}}
        ).execute()


def normal_form(notebook: Any) -> str:
    """Return the text of the notebook in its one stored form; outputs are filtered, not computed."""
    notebook = json.loads(json.dumps(notebook))
    old = notebook["metadata"].get("kilncalc", {})
    notebook["nbformat"], notebook["nbformat_minor"] = 4, 5
    for number, cell in enumerate(notebook["cells"]):
        cell["id"] = f"cell-{number:02d}"
        kept = {
            key: cell["metadata"][key] for key in ("tags", "kilncalc", "jupyter") if key in cell["metadata"]
        }
        cell["metadata"] = kept | LOCKED
        if name := picture_name(cell):
            asks = {"guess": True} if panel_named(name).guess else {}
            cell["metadata"]["kilncalc"] = {
                key: kept["kilncalc"][key] for key in ("picture", "inches", "drawn")
            } | asks
        cell["source"] = _joined(cell["source"]).rstrip("\n")
        if cell["cell_type"] == "code":
            _filter_outputs(cell)
    cells = notebook["cells"]
    notebook["metadata"] = {
        "kernelspec": {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"},
        "language_info": {"name": "python"},
        "kilncalc": {
            "lesson": old.get("lesson"),
            "version": kilncalc.__version__,
            "digest": None,
            "minutes": core_minutes(cells),
        },
    }
    for cell in cells:
        cell["source"] = cell["source"].splitlines(keepends=True)
    notebook["metadata"]["kilncalc"]["digest"] = digest(notebook)
    return json.dumps(notebook, indent=1, sort_keys=True, ensure_ascii=False) + "\n"


def core_minutes(cells: list[Any]) -> int:
    """Return what the core path takes, counted from its parts: words, panels, exercises."""
    minutes = 0.0
    for cell in cells:
        tags = cell["metadata"].get("tags", [])
        if "teacher" in tags or "further" in tags:
            continue
        if cell["cell_type"] == "markdown":
            minutes += 0 if picture_name(cell) else len(_joined(cell["source"]).split()) / WORDS_A_MINUTE
        elif "panel" in tags:
            minutes += MINUTES_A_PANEL
        elif key := exercise_key(cell):
            minutes += question(key).minutes
    return round(minutes)


def _filter_outputs(cell: Any) -> None:
    tags = cell["metadata"].get("tags", [])
    if "panel" in tags:
        cell["metadata"]["jupyter"] = {"source_hidden": True}
        cell["outputs"] = []
    outputs: list[dict[str, Any]] = []
    for output in cell["outputs"]:
        if "data" in output:
            kinds = {kind: output["data"][kind] for kind in KEPT_OUTPUT_KINDS if kind in output["data"]}
            if "application/vnd.jupyter.widget-view+json" in output["data"]:
                kinds.pop("text/html", None)
            output["data"] = {kind: _joined(text).splitlines(keepends=True) for kind, text in kinds.items()}
            output["metadata"] = {}
        if "text" in output:
            output["text"] = _joined(output["text"]).splitlines(keepends=True)
        if (
            outputs and "name" in output and output["name"] == outputs[-1].get("name")
        ):  # written in two moments
            outputs[-1]["text"] = "".join([*outputs[-1]["text"], *output["text"]]).splitlines(keepends=True)
        else:
            outputs.append(output)
    cell["outputs"] = outputs


def _joined(text: str | list[str]) -> str:
    return text if isinstance(text, str) else "".join(text)


def main(arguments: list[str]) -> int:
    """Normalise each named notebook in place."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("notebooks", nargs="+", type=Path)
    for path in parser.parse_args(arguments).notebooks:
        notebook = nbformat.read(path, as_version=4)
        draw_pictures(notebook)
        execute(notebook)
        text = normal_form(notebook)
        nbformat.validate(nbformat.reads(text, as_version=4))
        scratch = path.with_suffix(".ipynb.new")
        scratch.write_text(text, encoding="utf-8")
        shutil.move(scratch, path)
        print(f"{path}: {len(text) // 1024} kB")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
