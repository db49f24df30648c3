"""How far a result may be off when each number that goes into it may be off."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from kilncalc._ranges import ArrayLike, in_range, like_input


@dataclass(frozen=True, eq=False)
class Spread:
    """A result, how far it may be off, and what each uncertain number adds to that.

    Parameters
    ----------
    value : float or array
        The result [unit of the result], any value.
    uncertainty : float or array
        How far it may be off [unit of the result], >= 0.
    parts : dict
        What each uncertain number adds, by its name [unit of the result]; the squares add up to that of
        `uncertainty`.
    """

    value: Any
    uncertainty: Any
    parts: dict[str, Any]


def spread(
    function: Callable[..., ArrayLike], values: Mapping[str, ArrayLike], errors: Mapping[str, ArrayLike]
) -> Spread:
    """Return a result and how far it may be off: u^2 = sum over i of c_i^2.

    c_i = [f(..., x_i + u_i, ...) - f(..., x_i - u_i, ...)] / 2: independent errors, first order.

    Parameters
    ----------
    function : function
        Any function that returns a number or an array of them.
    values : dict
        All numbers it takes, by the names of its arguments [unit of each], -1e300 to 1e300 and as `function`
        allows.
    errors : dict
        How far each of them may be off, by the same names [unit of each], >= 0; what is left out is known
        exactly.

    Returns
    -------
    Spread
        Value, uncertainty and parts [unit of the result], in the shape to which values and errors broadcast.

    Raises
    ------
    ValueError
        If an error is negative or belongs to no value, or a value with its error leaves the range of the
        function.

    Notes
    -----
    For a product or quotient it comes to: square the relative errors, add, take the root. The parts show
    which measurement is worth repeating. Errors of one kind must go together: all standard uncertainties, or
    all largest errors. Errors above about 20 % need more than first order.

    Examples
    --------
    A sheet of 240 x 180 mm, each side measured to 1 mm:

    >>> def area(length, width):
    ...     return length * width
    >>> sheet = spread(area, {"length": 0.240, "width": 0.180}, {"length": 0.001, "width": 0.001})
    >>> f"{sheet.value * 1e4:.0f} +- {sheet.uncertainty * 1e4:.0f} cm2"
    '432 +- 3 cm2'
    >>> {name: round(part * 1e4, 1) for name, part in sheet.parts.items()}
    {'length': 1.8, 'width': 2.4}

    References
    ----------
    JCGM 100:2008 (GUM), 5.1.2 and 5.1.3 note 2.
    """
    if unknown := set(errors) - set(values):
        raise ValueError(f"errors has {', '.join(sorted(unknown))}; values has only {', '.join(values)}")
    numbers = {name: np.asarray(value, dtype=float) for name, value in values.items()}
    parts = {}
    for name, error in errors.items():
        u = in_range(f"error of {name}", error, "", 0.0, np.inf)
        try:
            high = function(**{**numbers, name: numbers[name] + u})
            low = function(**{**numbers, name: numbers[name] - u})
        except ValueError as problem:
            raise ValueError(f"{name} with its error: {problem}") from None
        parts[name] = like_input(np.abs(np.asarray(high) - low) / 2)
    together = np.sqrt(sum((np.square(part) for part in parts.values()), np.asarray(0.0)))
    return Spread(like_input(function(**numbers)), like_input(together), parts)
