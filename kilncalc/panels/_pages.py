"""A box that shows pages of a piece to look at, keep and print; who uses it says which pages there are."""

import base64
import html
import logging
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from kilncalc.panels._form import page_style
from kilncalc.project import SCENARIO, Project, scenario
from kilncalc.quantities import Show, unit_system

_log = logging.getLogger(__name__)

Page = Callable[[Project, Show, str], str]
"""Writes a page of a piece in a system of units; the words say when its first firing begins."""


class PageBox(widgets.VBox):
    """Choose a piece and one of the `pages`; it is shown, and can be kept as one file and printed."""

    def __init__(self, pages: Mapping[str, Page], units: str = "metric") -> None:
        self.pages, self.units = pages, unit_system(units)
        self.piece = widgets.Dropdown(description="piece")
        self.kind = widgets.Dropdown(description="page", options=tuple(pages))
        self.start = widgets.Text(
            description="first firing begins, if you know: 2026-03-05 18:30", continuous_update=False
        )
        self.make = widgets.Button(description="Make the page", tooltip="Make the page that is chosen")
        self.again = widgets.Button(description="Look again", tooltip="Look for files saved since")
        self.message, self.page = widgets.HTML(), widgets.HTML()
        row = widgets.HBox([self.piece, self.again, self.kind, self.start, self.make])
        row.add_class("kilncalc-row")
        super().__init__([widgets.HTML(page_style()), row, self.message, self.page])
        self.add_class("kilncalc-panel")
        self.add_class("kilncalc-form")
        self.make.on_click(self.on_make)
        self.again.on_click(self.on_again)
        self.on_again()

    def __repr__(self) -> str:
        return "The card, the project sheet and the record of a piece. `kilncalc card` prints them too."

    def _repr_mimebundle_(self, **keywords: Any) -> Any:
        return {**super()._repr_mimebundle_(**keywords), "text/plain": repr(self)}

    def on_again(self, _button: Any = None) -> None:
        """List the pieces of the class and the piece files of this folder."""
        chosen = self.piece.value
        files = [path.name for path in sorted(Path.cwd().glob("*.toml"))][:200]
        self.piece.options = [*files, *SCENARIO]
        self.piece.value = chosen if chosen in self.piece.options else self.piece.options[0]

    def on_make(self, _button: Any = None) -> None:
        """Make the page, or say why it cannot be made."""
        self.message.value, self.page.value = _said("Working: a few seconds."), ""
        try:
            written = self._written()
        except (ValueError, OSError) as problem:
            self.message.value = _said(str(problem), "kilncalc-message")
            return
        except Exception as error:  # a front-end drops an exception in a callback; a sentence it shows
            _log.exception("in the box of pages")
            sentence = (
                f"Something went wrong in this box ({type(error).__name__}: {error}). Tell your teacher."
            )
            self.message.value = _said(sentence, "kilncalc-message")
            return
        name = f"{self.piece.value.removesuffix('.toml')}-{self.kind.value.split()[0]}.html"
        content = base64.b64encode(written.encode()).decode()
        self.message.value = (
            f'<p role="status"><a download="{html.escape(name)}" href="data:text/html;base64,{content}">'
            f"Keep it as {html.escape(name)}</a>, open that and print it. It looks like this:</p>"
        )
        self.page.value = (
            f'<iframe title="{html.escape(self.kind.value)}" sandbox srcdoc="{html.escape(written)}" '
            'style="width: 100%; height: 600px; border: 1px solid #5b6670; background: #ffffff"></iframe>'
        )

    def _written(self) -> str:
        name, show = self.piece.value, Show(self.units)
        piece = scenario(name) if name in SCENARIO else Project.read(Path.cwd() / name)
        return self.pages[self.kind.value](piece, show, self.start.value)


def _said(sentence: str, look: str = "") -> str:
    return "".join(
        f'<p class="{look}" role="alert">{html.escape(line)}</p>' for line in sentence.splitlines()
    )
