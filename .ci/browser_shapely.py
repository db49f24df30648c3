"""In the place of shapely, which nobody offers compiled for a browser: a sentence where a shape is wanted."""

import sys

NOT_HERE = (
    "This part reckons with shapes, and what does that is not to be had in a browser alone. It works where "
    "kilncalc is installed, and on a hub."
)


class NotInBrowser(ValueError):
    """Shown as its sentence, without a traceback."""

    def _render_traceback_(self):
        return [NOT_HERE]


class Geometry:
    """Any shape, of which none can be made."""

    def __init__(self, *_given, **_named):
        raise NotInBrowser(NOT_HERE)


class Shape(Geometry):
    """A shape by name: a type of its own, so that what is asked of a shape is answered no."""


def __getattr__(name):
    if name.startswith("__"):
        raise AttributeError(name)
    return Shape


sys.modules["shapely.geometry"] = sys.modules[__name__]
