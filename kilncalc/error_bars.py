"""How far off the stresses of a firing may be: from what nobody knows about a kiln and a glass.

`UNKNOWNS` is the one table of it. Each unknown is taken at the end of its range, one firing each; two follow
from formulas; their effects, as ratios, add up by their squares.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from kilncalc.firing import Firing, Kiln, Phase, fire, fire_alike
from kilncalc.piece import Piece
from kilncalc.quantities import Show
from kilncalc.schedule import Schedule


@dataclass(frozen=True)
class Unknown:
    """Something that is not known well, and how far off it may be.

    Parameters
    ----------
    name : str
        What it is.
    low, high : float
        The ends of its range, as a share of the value that is used [-], > 0; of `underside`, which runs from
        0 to 1, what is taken off and added [-], -1 to 1.
    origin : str
        Where the range comes from.
    """

    name: str
    low: float
    high: float
    origin: str


UNKNOWNS = {
    unknown.name: unknown
    for unknown in (
        Unknown("film", 0.6, 1.6, "3 to 8 W/m2/K where 5 is used: still air and a draught; own estimate"),
        Unknown("contact", 0.5, 2.0, "glass lies on a shelf with 0.1 to 0.3 mm of air or wash; own estimate"),
        Unknown("underside", -0.5, 0.3, "what stands below a shelf shades it; own estimate"),
        Unknown(
            "conductivity", 0.86, 1.10, "1.16 used and 1.00 the median of 22 glasses at 220 degC, SciGlass"
        ),
        Unknown("liquid expansion", 0.8, 1.2, "three times that of the solid is an assumption; own estimate"),
        Unknown("unevenness", 0.5, 2.0, "0.1 is an assumption; kilns differ; own estimate"),
    )
}
"""What is not known: film of moving air, contact with the shelf, what the underside of the shelf sees, the
glass's conductivity, its expansion as a liquid, and how uneven the kiln is."""

STRUCTURE_SHARE = 0.4
"""Share of a residual stress that structure makes, and that goes with the liquid's expansion less the solid's
[-]: Gardon & Narayanaswamy 1970."""


@dataclass(frozen=True)
class Bar:
    """A stress with its error bar.

    Parameters
    ----------
    value : float
        As computed with the usual values [Pa], >= 0.
    low, high : float
        What is likely [Pa], >= 0.
    parts : dict
        What each unknown alone does, as ratios (lowest, highest) to `value` [-], > 0.
    """

    value: float
    low: float
    high: float
    parts: dict[str, tuple[float, float]]

    def about(self, value: float) -> "Bar":
        """Return the same shares of another stress of the same piece in the same kiln.

        Parameters
        ----------
        value : float
            The stress [Pa], >= 0.

        Returns
        -------
        Bar
            Its bar.

        Notes
        -----
        Of two schedules for one piece the ends of the bars, as shares, differ by less than 0.1.

        Examples
        --------
        >>> Bar(2.0e6, 1.0e6, 3.0e6, {}).about(4.0e6).high
        6000000.0
        """
        scale = value / self.value if self.value else 0.0
        return Bar(value, scale * self.low, scale * self.high, self.parts)

    def words(self, show: Show) -> str:
        """Return it as words for a caption, rounded outwards, such as "2 to 4 MPa".

        Parameters
        ----------
        show : Show
            The choice of units.

        Returns
        -------
        str
            The range with its unit.

        Examples
        --------
        >>> Bar(3.0e6, 2.3e6, 3.9e6, {}).words(Show("metric"))
        '2 to 4 MPa'
        """
        low, high = (float(show.number(end, "pressure")) for end in (self.low, self.high))
        symbol = show.symbol("pressure")
        if high - low <= 1e-9 * max(high, 1.0):
            return show.text(self.value, "pressure")
        step = 10.0 ** math.floor(math.log10(high - low))
        low, high = step * math.floor(low / step + 1e-9), step * math.ceil(high / step - 1e-9)
        return f"{low:.10g} to {high:.10g} {symbol}"


@dataclass(frozen=True)
class ErrorBars:
    """The stresses of a firing with their error bars.

    Parameters
    ----------
    firing : Firing
        The firing with the usual values.
    heating, cooling : Bar
        The largest tension of each phase, what an uneven kiln adds included.
    residual : Bar
        The largest tension that stays.
    """

    firing: Firing
    heating: Bar
    cooling: Bar
    residual: Bar


_KILN = Kiln()


def error_bars(
    schedule: Schedule, piece: Piece, kiln: Kiln = _KILN, usual: Firing | None = None
) -> ErrorBars:
    """Return the stresses of a firing with their error bars, in the time of about three firings.

    ln(high/value) = sqrt(sum of squares of ln(ratio) upwards), and so downwards. Film, contact, underside and
    conductivity: the firing with the unknown at one end of its range, mirrored for the other end.
    Unevenness: its own part of the tension, times the ends of its range. Liquid expansion: what stays goes
    with 0.6 + 0.4 (alpha_l - alpha)/(alpha_l - alpha as used).

    Parameters
    ----------
    schedule : Schedule
        The programme.
    piece : Piece
        What is fired.
    kiln : Kiln
        Where.
    usual : Firing or None
        The firing with the usual values, where it is known already.

    Returns
    -------
    ErrorBars
        Bars [Pa] and the firing they belong to.

    Raises
    ------
    ValueError
        As `fire`.

    Notes
    -----
    A likely range, not the worst case: of kilns and glasses drawn evenly from the ranges more than four in
    five are inside, and all unknowns at their worst at once would be wider. What the model
    leaves out (rims, radiation through hot glass, drawing) and a wrong thickness or temperature are not in
    it.

    Examples
    --------
    >>> from kilncalc.materials import glass
    >>> from kilncalc.piece import Zone
    >>> from kilncalc.schedule import Segment
    >>> plate = Piece(glass("float"), [Zone(0.012, 1.0)])
    >>> bars = error_bars(Schedule([Segment(150, 560, 30), Segment(60, 380), Segment(150, 20)]), plate)
    >>> bars.heating.low < bars.heating.value < bars.heating.high
    True

    References
    ----------
    Gardon & Narayanaswamy 1970, J. Am. Ceram. Soc. 53, 380 (share of structure).
    """
    usual = fire(schedule, piece, kiln) if usual is None else usual
    at_one_end = _at_one_end(piece, kiln)
    varied = dict(zip(at_one_end, fire_alike(schedule, list(at_one_end.values())), strict=True))

    def bar(value: float, of: dict[str, tuple[float, float]]) -> Bar:
        up = math.sqrt(sum(math.log(high) ** 2 for _, high in of.values()))
        down = math.sqrt(sum(math.log(low) ** 2 for low, _ in of.values()))
        return Bar(value, value * math.exp(-down), value * math.exp(up), of)

    def tension(phase: Phase) -> Bar:
        value = usual.peak_with_unevenness(phase)
        if value <= 0:
            return Bar(0.0, 0.0, 0.0, {})
        parts = {name: _ends(name, one.peak_with_unevenness(phase) / value) for name, one in varied.items()}
        uneven = UNKNOWNS["unevenness"]
        ends = [_with_unevenness(usual, phase, share) / value for share in (uneven.low, uneven.high)]
        parts["unevenness"] = (min(ends[0], 1.0), max(ends[1], 1.0))
        return bar(value, parts | (liquid if phase == "cooling" and usual.worst_cooling.stays else {}))

    liquid = _liquid_expansion(piece)
    stays = max(float(usual.residual.max()), 0.0)
    parts = {name: _ends(name, float(one.residual.max()) / stays) for name, one in varied.items() if stays}
    return ErrorBars(usual, tension("heating"), tension("cooling"), bar(stays, parts | liquid))


def _liquid_expansion(piece: Piece) -> dict[str, tuple[float, float]]:
    glass, unknown = piece.glass, UNKNOWNS["liquid expansion"]
    structural = glass.expansion_liquid - glass.expansion
    if structural <= 0:
        return {}
    share = STRUCTURE_SHARE * glass.expansion_liquid / structural
    return {unknown.name: (1 + share * (unknown.low - 1), 1 + share * (unknown.high - 1))}


def _at_one_end(piece: Piece, kiln: Kiln) -> dict[str, tuple[Piece, Kiln]]:
    """Return piece and kiln with each unknown that matters at the low end of its range."""
    glass = piece.glass
    low = {name: unknown.low for name, unknown in UNKNOWNS.items()}
    slower = replace(glass, conductivity_share=max(0.5, low["conductivity"] * glass.conductivity_share))
    cases = {"conductivity": (replace(piece, glass=slower), kiln)}
    if kiln.film > 0:
        cases["film"] = (piece, replace(kiln, film=low["film"] * kiln.film))
    supports = {piece.support if zone.below in (None, "paper") else zone.below for zone in piece.body}
    if "shelf" in supports:
        resistance = max(1e-6, low["contact"] * kiln.contact_resistance)
        cases["contact"] = (piece, replace(kiln, contact_resistance=resistance))
        shaded = max(0.0, kiln.underside + low["underside"])
        open_again = min(1.0, kiln.underside + UNKNOWNS["underside"].high)
        other = shaded if shaded < kiln.underside else open_again
        cases["underside"] = (piece, replace(kiln, underside=other))
    return cases


def _ends(name: str, ratio: float) -> tuple[float, float]:
    """Return the lowest and highest ratio that an unknown makes, from that at one end of its range."""
    ratio = max(ratio, 1e-3)
    if name == "underside":  # between on posts and on the floor there is one way to go, mostly
        return min(ratio, 1.0), max(ratio, 1.0)
    unknown = UNKNOWNS[name]
    other = ratio ** (math.log(unknown.high) / math.log(unknown.low))
    return min(ratio, other), max(ratio, other)


def _with_unevenness(firing: Firing, phase: Phase, share: float) -> float:
    """Return the largest tension of a phase with that share of what an uneven kiln adds [Pa]."""
    heating = firing.time <= firing.heating_end * (1 + 1e-9)
    now = heating if phase == "heating" else ~heating | np.isclose(firing.time, firing.heating_end)
    both = float((firing.tension + share * firing.uneven_tension)[now].max(initial=0.0))
    return max(both, firing.peak_tension(phase))
