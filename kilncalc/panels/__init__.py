"""Panels: a picture with sliders, made by one shared function; one module a lesson says which.

`_drawing` holds the surface on which a piece is drawn, `_form` the form of a whole piece; they need shapely
and more, so only lessons that use them load them.
"""

from typing import TYPE_CHECKING

import ipywidgets as widgets

from kilncalc.panels import _panel
from kilncalc.panels._panel import Choice, Fixed, Guess, Lines, Panel, Rail, Slider, as_json

if TYPE_CHECKING:
    from kilncalc.panels._drawing import Drawing
    from kilncalc.panels._form import Form


def show(panel: "Panel | Form | Drawing", units: str = "metric") -> widgets.VBox:
    """Return the panel, drawing surface or form as a live widget; units can be switched there."""
    return _panel.show(panel, units) if isinstance(panel, Panel) else panel.live(units)


__all__ = ["Choice", "Fixed", "Guess", "Lines", "Panel", "Rail", "Slider", "as_json", "show"]
