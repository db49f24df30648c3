"""What a notebook saved by JupyterLab, as `kilncalc open` starts it, holds of its widgets."""

import copy

import nbformat
import pytest

from kilncalc._server import forget_widgets
from kilncalc.exercises import exercise
from kilncalc.panels import lesson2, show

WIDGET = "application/vnd.jupyter.widget-view+json"


def notebook(*outputs, **metadata):
    cells = [nbformat.v4.new_code_cell("x", outputs=list(outputs)), nbformat.v4.new_markdown_cell("words")]
    return {"type": "notebook", "content": nbformat.v4.new_notebook(cells=cells, metadata=metadata)}


def output(kinds):
    return nbformat.v4.new_output("execute_result", kinds, execution_count=1)


@pytest.mark.parametrize("shown", [lambda: show(lesson2.packing), lambda: exercise("2.1")])
def test_the_words_beside_a_widget_are_kept_and_the_widget_is_not(shown):
    kinds = shown()._repr_mimebundle_()
    assert WIDGET in kinds
    model = notebook(output(kinds))
    forget_widgets(model=model, path="lesson.ipynb", contents_manager=None)
    (kept,) = model["content"].cells[0].outputs
    assert kept.data == {kind: words for kind, words in kinds.items() if kind != WIDGET}
    assert kept.data["text/plain"] and "VBox" not in kept.data["text/plain"]
    nbformat.validate(model["content"])


@pytest.mark.parametrize(
    "model",
    [
        notebook(output({WIDGET: {"model_id": "a"}})),  # nothing would be left
        notebook(output({WIDGET: {"model_id": "a"}, "text/plain": "x"}), widgets={"state": {}}),
        notebook(nbformat.v4.new_output("stream", text="x"), output({"text/plain": "x"})),
        {"type": "file", "content": "text"},
        {"type": "notebook", "content": None},
        {"type": "directory"},
    ],
)
def test_everything_else_is_saved_as_it_is(model):
    before = copy.deepcopy(model)
    forget_widgets(model=model, path="x", contents_manager=None)
    assert model == before
