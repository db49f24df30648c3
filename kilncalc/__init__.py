"""Calculations, pictures and self-checking exercises for kiln-formed glass."""

from importlib.metadata import version

__version__ = version("kilncalc")
