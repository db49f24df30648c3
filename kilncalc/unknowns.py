"""What is not known about a kiln and a glass, and how far that moves a computed tension.

Five firings stand for all that could be: the expected one, and four in which three groups of unknowns lie at
the gentle or the harsh end of what is likely, each pair of ends once (a fractional factorial design).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kilncalc.firing import Firing, Kiln, fire
from kilncalc.materials import Glass
from kilncalc.piece import Piece
from kilncalc.schedule import Schedule

UNDERSIDE = 0.5
"""How far the exchange of the shelf's underside may be from what was assumed [-], within 0 to 1."""

CONTACT = 2.0
"""Between glass and shelf: the resistance may be this many times smaller or larger [-]."""

FILM, EMISSIVITY = (8.0, 3.0), (0.95, 0.80)
"""Exchange with the moving air [W/m2/K] and emissivity [-], gentle and harsh."""

UNEVENNESS = 1.5
"""An uneven kiln may be this many times better or worse than assumed [-]."""

CONDUCTIVITY = 0.1
"""The conductivity of a glass may be this share larger or smaller [-]."""

LIQUID_EXPANSION = (2.0, 4.0)
"""Expansion of the liquid in times that of the solid glass, gentle and harsh [-]; three is assumed."""

_RUNS = ((1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1))  # below, above, glass: harsh 1, gentle -1


@dataclass(frozen=True)
class Band:
    """Between what a number probably lies.

    Attributes
    ----------
    low, high : float
        The ends [unit of the number].
    """

    low: float
    high: float


def likely(schedule: Schedule, piece: Piece, kiln: Kiln) -> tuple[Firing, ...]:
    """Return four firings with what is not known at its gentle and at its harsh end.

    The groups: below (how freely the shelf's underside exchanges heat, contact of glass and shelf); above
    (air film, emissivity, unevenness of the kiln); glass (conductivity, expansion of the liquid).

    Parameters
    ----------
    schedule : Schedule
        The programme.
    piece : Piece
        What is fired.
    kiln : Kiln
        What is assumed of the kiln.

    Returns
    -------
    tuple of Firing
        In the order that `band` expects.

    Raises
    ------
    ValueError
        As `fire`.

    Notes
    -----
    The ends are our own judgement of what is usual, no source; a kiln that was measured is known better.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> from kilncalc.piece import Zone
    >>> plate = Piece(glass("float"), (Zone(0.006, 1.0),))
    >>> len(likely(Schedule.from_text("100 C/h to 300 C"), plate, Kiln()))
    4
    """
    return tuple(
        fire(schedule, replace(piece, glass=_glass(piece.glass, glass)), _kiln(kiln, below, above))
        for below, above, glass in _RUNS
    )


def _kiln(kiln: Kiln, below: int, above: int) -> Kiln:
    harsh = above > 0
    return replace(
        kiln,
        underside=min(max(kiln.underside - below * UNDERSIDE, 0.0), 1.0),
        contact_resistance=min(max(kiln.contact_resistance * CONTACT**below, 1e-6), 1.0),
        film=FILM[harsh],
        emissivity=EMISSIVITY[harsh],
        unevenness=min(kiln.unevenness * UNEVENNESS**above, 1.0),
    )


def _glass(glass: Glass, end: int) -> Glass:
    return replace(
        glass,
        conductivity_share=glass.conductivity_share * (1 - end * CONDUCTIVITY),
        expansion_liquid=LIQUID_EXPANSION[end > 0] * glass.expansion,
    )


def band(expected: float, values: Sequence[float]) -> Band:
    """Return between what a positive number probably lies, from its value in the firings of `likely`.

    ln x = m + sum of effects; an effect is a quarter of (both harsh - both gentle); the half-width is the
    root of the sum of their squares.

    Parameters
    ----------
    expected : float
        The number in the expected firing [unit of the number], > 0; it always lies within.
    values : sequence of float
        The number in each of the four [unit of the number], > 0.

    Returns
    -------
    Band
        Both ends [unit of the number].

    Notes
    -----
    Independent groups, each as likely gentle as harsh; two unknowns that strengthen each other are taken for
    a third.

    Examples
    --------
    >>> found = band(2.0, [3.0, 3.0, 1.5, 1.5])
    >>> round(found.low, 2), round(found.high, 2)
    (1.5, 3.0)
    """
    logs = np.log(np.maximum(values, 1e-9))
    effects = np.array(_RUNS).T @ logs / 4
    half, middle = math.sqrt(float(effects @ effects)), float(logs.mean())
    return Band(min(math.exp(middle - half), expected), max(math.exp(middle + half), expected))
