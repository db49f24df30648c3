"""One layout, and one style of each kind, for the widgets of all panels and text boxes on a page.

Every widget asks for a layout and most for a style. Each of these is a widget too, with a message of its own
to the page: made anew each time, they are nearly half of what a lesson sends while it opens.
"""

from functools import lru_cache
from typing import Any

import ipywidgets as widgets


@lru_cache
def alike(kind: type[widgets.Widget]) -> dict[str, Any]:
    """Return the keywords of a widget of this kind that looks as all others do.

    They are shared: a widget that is hidden at times needs a layout of its own.
    """
    style = kind.class_traits().get("style")
    return {"layout": _one(widgets.Layout)} | ({"style": _one(style.klass)} if style else {})


@lru_cache
def _one(kind: type[widgets.Widget]) -> widgets.Widget:
    return kind()
