"""Panels: a picture with sliders, made by one shared function; one module a lesson says which."""

import ipywidgets as widgets

from kilncalc.panels import _panel
from kilncalc.panels._drawing import Drawing, Start, Surface
from kilncalc.panels._form import Form, LiveForm
from kilncalc.panels._panel import Choice, Fixed, Guess, Panel, Rail, Slider, as_json


def show(panel: Panel | Drawing | Form, units: str = "metric") -> widgets.VBox:
    """Return the panel, drawing surface or form as a live widget; units can be switched there."""
    if isinstance(panel, Form):
        return LiveForm(panel, units).box
    return Surface(panel, units) if isinstance(panel, Drawing) else _panel.show(panel, units)


__all__ = [
    "Choice",
    "Drawing",
    "Fixed",
    "Form",
    "Guess",
    "Panel",
    "Rail",
    "Slider",
    "Start",
    "Surface",
    "as_json",
    "show",
]
