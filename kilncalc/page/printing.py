"""A lesson as it is printed or exported as HTML: words and still pictures, no code, no script."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from nbconvert.preprocessors import Preprocessor
from nbformat import NotebookNode
from nbformat.v4 import new_markdown_cell

from kilncalc.classroom import notebooks
from kilncalc.page import lessons


class Plain(Preprocessor):
    """Leave of a lesson what paper can show; any other notebook stays as it is.

    A panel is its still picture, an exercise its question, a table or a printed line stays; code goes.
    """

    enabled = True

    def preprocess(self, nb: NotebookNode, resources: dict[str, Any]) -> tuple[NotebookNode, dict[str, Any]]:
        """Return the notebook for paper, in the units of its folder."""
        if not nb.metadata.get("kilncalc"):
            return nb, resources
        place = resources.get("metadata", {}).get("path")
        units = lessons.folder(Path(place)).units if place else "metric"
        cells: list[NotebookNode] = []
        for cell in nb.cells:
            if cell.cell_type == "markdown":
                cells.append(_in_units(cell, units))
                cells[-1].source = notebooks.START.sub("", cells[-1].source)
            elif cell.cell_type == "code" and not _is_asked_above(cell, cells):
                cells += _shown(cell)
        nb.cells = cells
        return nb, resources


def _in_units(cell: NotebookNode, units: str) -> NotebookNode:
    ours = cell.metadata.get("kilncalc", {})
    if units == "metric":
        return cell
    if "inches" in ours:
        cell.source = ours["inches"]
    return cell


def _is_asked_above(cell: Mapping[str, Any], cells: list[NotebookNode]) -> bool:
    """Return whether the question of an exercise stands as words above it, as in a student's copy."""
    return bool(cells) and "question" in cells[-1].metadata.get("kilncalc", {})


def _shown(cell: NotebookNode) -> list[NotebookNode]:
    if "panel" in cell.metadata.get("tags", []):
        return []
    kinds = [output.get("data", {}) for output in cell.outputs]
    if asked := [data["text/markdown"] for data in kinds if "text/markdown" in data]:
        return [new_markdown_cell("\n\n".join(asked))]
    cell.metadata["transient"] = {"remove_source": True}
    return [cell] if cell.outputs else []
