"""Panels: a picture with sliders, made by one shared function; one module a lesson says which."""

import ipywidgets as widgets

from kilncalc.panels import _panel
from kilncalc.panels._drawing import Drawing, Start, Surface
from kilncalc.panels._panel import Choice, Fixed, Guess, Panel, Rail, Slider, as_json


def show(panel: Panel | Drawing, units: str = "metric") -> widgets.VBox:
    """Return the panel or the drawing surface as a live widget; units can be switched there."""
    return Surface(panel, units) if isinstance(panel, Drawing) else _panel.show(panel, units)


__all__ = [
    "Choice",
    "Drawing",
    "Fixed",
    "Guess",
    "Panel",
    "Rail",
    "Slider",
    "Start",
    "Surface",
    "as_json",
    "show",
]
