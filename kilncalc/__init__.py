"""Calculations, pictures and self-checking exercises for kiln-formed glass."""

__version__ = "0.1.0"
