"""Panels: a picture with sliders, made by one shared function; one module a lesson says which."""

from kilncalc.panels._panel import Choice, Fixed, Guess, Panel, Rail, Slider, as_json, show

__all__ = ["Choice", "Fixed", "Guess", "Panel", "Rail", "Slider", "as_json", "show"]
