"""Stress in glass that strains, bends and relaxes: which nodes move together, and their balance in time."""

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from kilncalc._relaxation import FROZEN, WEIGHTS, Relaxation
from kilncalc.materials import Glass
from kilncalc.piece import Piece, Zone

FEATURE_CONDUCTIVITY, FEATURE_FILM, SHELF_FILM = 1.061, 10.0, 15.0
"""Conductivity [W/m/K] and surface exchange [W/m2/K] when a feature has its worst of heating: in the open,
and on a shelf, where that comes later and hotter."""

AT_THE_SIDE = {"inside": 1.0, "side": 0.5676, "corner": 0.4554}
"""What of its factor is left to a spot, by place: where glass ends, nothing holds it."""


def feature_factor(zone: Zone, base_thickness: float, on_shelf: bool) -> float:
    """Return how much of the difference in temperature to the base a narrow feature can build up, f [-].

    lambda = sqrt(k d/(2h)) is how far heat runs sideways in the base of thickness d, lambda' the same with
    the constriction of the step, e the ratio of both thicknesses, c what is `covered`. Ribs of width w with
    cold glass on n sides, 2 inside and 1 along the rim: phi = w/(w + n lambda'), f = 0.826 phi^1.05
    e^-0.201 c^0.271 `_held`, on a shelf 0.0787 (1 - 1.49 phi) c^1.16 more. Spots of radius r:
    phi = r/(r + 2 lambda' K1(r/lambda)/K0(r/lambda)), f = 0.767 e^0.242 phi^1.05/(1 + (1.13 d/r)^4), on a
    shelf 0.0439 (1 - 1.90 phi) c^0.598 more, all of it times `AT_THE_SIDE`.

    Fitted on our own thickness maps: the peak of heating is at most 10 % too low and 25 % too high, for ribs
    from 2 mm and spots from 3 mm of width on bases of 2 to 10 mm, glass of up to 20 mm, 60 to 240 degC/h (26
    more, drawn by lot: 9 % to 28 %). Nothing is promised of spots wider than two fifths of the piece, or at
    its rim narrower than 1.6 times the base is thick; along the rim nothing of what is held flat, of pieces
    narrower than 100 mm, of pairs and frames wider than a fifth of it: there 22 % low to 87 % high.
    """
    assert zone.feature_width is not None
    w, d, k = zone.feature_width, base_thickness, FEATURE_CONDUCTIVITY
    h = SHELF_FILM if on_shelf else FEATURE_FILM
    e = min(zone.thickness, d) / max(zone.thickness, d)
    c = covered(zone, d)
    constriction = 0.0
    if e < 1:
        constriction = ((e * e + 1) / e * np.log((1 + e) / (1 - e)) - 2 * np.log(4 * e / (1 - e * e))) / np.pi
    reach = np.sqrt(k * d / (2 * h))
    narrowed = reach / (1 + 2 * h * reach * constriction / k)
    if zone.feature == "rib":
        flanks = 2 if zone.feature_place == "inside" else 1
        phi = w / (w + flanks * narrowed)
        own = 0.8263 * phi**1.05 / e**0.2006 * c**0.2712 * _held(zone, reach)
        return float(own + (0.07873 * (1 - 1.487 * phi) * c**1.158 if on_shelf else 0.0))
    r = w / 2
    phi = r / (r + 2 * narrowed * _bessel_ratio(r / reach))
    own = 0.7665 * e**0.2416 * phi**1.046 / (1 + (1.128 * d / r) ** 4)
    own += 0.04394 * (1 - 1.898 * phi) * c**0.5976 if on_shelf else 0.0
    return float(AT_THE_SIDE[zone.feature_place] * own)


def covered(zone: Zone, base_thickness: float) -> float:
    """Return what a feature covers of a square as wide as the base is thick, over which stress is averaged
    [-]; beyond the rim the average goes on as it is at the rim."""
    assert zone.feature_width is not None
    wide = zone.feature_width / base_thickness
    if zone.feature == "spot":
        return min(1.0, np.pi / 4 * wide**2)
    return min(1.0, wide if zone.feature_place == "inside" else wide + 0.5)


def _held(zone: Zone, reach: float) -> float:
    """Return how far a rib is held [-]: it yields near its ends, and along one side the piece bends with it.

    Inside it yields within y = 3.96 mm ((w + 2 lambda)/mm)^0.752 of its ends, tanh((l/2y)^0.745). Along the
    rim of a piece W wide y = 0.617 W (1 - w/W)^2, tanh(l/2y); along one side, where the piece gives way as a
    beam does, 1/(1 + 2.71 (w + 1.63 lambda)/W) of that. A frame has no ends: 1 + 0.85 share.
    """
    w, length = zone.feature_width, zone.feature_length
    assert w is not None
    if zone.feature_place == "frame":
        return 1 + 0.85 * zone.share
    if zone.feature_place == "inside":
        if length is None:
            return 1.0
        yields = 3.956e-3 * ((w + 2 * reach) * 1e3) ** 0.7516
        return float(np.tanh((length / (2 * yields)) ** 0.7454))
    across = (2 if zone.feature_place == "both sides" else 1) * w / zone.share
    held = 1.0 if length is None else np.tanh(length / (2 * 0.6174 * across * (1 - w / across) ** 2))
    bends = 2.711 * (w + 1.632 * reach) / across if zone.feature_place == "side" else 0.0
    return float(held / (1 + bends))


def _bessel_ratio(x: float) -> float:
    """Return K1(x)/K0(x): integrals over t > 0 of exp(-x cosh t) cosh t and of exp(-x cosh t)."""
    cosh = np.cosh(np.linspace(0.0, 15.0, 601))
    decay = np.exp(-x * (cosh - 1))
    decay[0] /= 2
    return float(decay @ cosh / decay.sum())


def simpson_weights(nodes: int) -> np.ndarray:
    """Return Simpson's weights on an odd number of evenly spaced nodes; they add up to one."""
    weights = np.ones(nodes)
    weights[1:-1:2] = 4.0
    weights[2:-1:2] = 2.0
    return weights / weights.sum()


class Nodes:
    """Where every node of glass sits: its zone, its sheet, its heights, its share of the volume."""

    def __init__(self, piece: Piece, per_sheet: int) -> None:
        rows = piece.sheets()
        stack = [(zone, thickness, name) for zone, row in enumerate(rows) for thickness, name in row]
        self.names = list(dict.fromkeys(name for _, _, name in stack))
        bottoms = np.concatenate([np.cumsum([0.0, *(t for t, _ in row)])[:-1] for row in rows])
        within = np.linspace(0.0, 1.0, per_sheet)
        simpson = simpson_weights(per_sheet)
        self.zone = np.repeat([zone for zone, _, _ in stack], per_sheet)
        self.sheet = np.repeat([self.names.index(name) for _, _, name in stack], per_sheet)
        self.level = np.tile(within, len(stack))  # 0 underside of the sheet, 1 top face
        self.height_in_sheet = np.concatenate([thickness * within for _, thickness, _ in stack])
        self.height = self.height_in_sheet + np.repeat(bottoms, per_sheet)
        self.weight = np.concatenate(
            [piece.body[zone].share * thickness * simpson for zone, thickness, _ in stack]
        )


class Bodies:
    """Nodes sorted into bodies: all nodes of a body share a strain eps0 and a curvature kappa.

    At every node the stress changes by modulus x (d eps0 + z d kappa - d thermal strain), z counted from
    the underside of the body. No body carries a net force, and none that is free to bend a net moment.
    """

    def __init__(self, piece: Piece, nodes: Nodes, label: np.ndarray, z: np.ndarray) -> None:
        one = np.ones_like(z)
        shapes = np.stack([one, z] if piece.bending == "free" else [one], axis=1)
        member = label[:, None] == np.arange(label.max() + 1)
        # node by unknown: 1 for the eps0 and z for the kappa of its body
        self.basis = (member[:, :, None] * shapes[:, None, :]).reshape(len(z), -1)
        self.weighted = self.basis.T * nodes.weight  # sums a stress up to forces and moments
        # sums a modulus up to the stiffness of each body, by which it answers to no other
        stiff = shapes[:, :, None] * shapes[:, None, :] * nodes.weight[:, None, None]
        self.stiff = (member[:, :, None, None] * stiff[:, None]).reshape(len(z), -1)
        self.shape = member.shape[1], shapes.shape[1]
        self.felt = _felt(piece, nodes, label, shapes)

    @classmethod
    def solid(cls, piece: Piece, nodes: Nodes) -> "Bodies":
        """All glass is one body, flush on z = 0."""
        return cls(piece, nodes, np.zeros_like(nodes.sheet), nodes.height)

    @classmethod
    def loose(cls, piece: Piece, nodes: Nodes) -> "Bodies":
        """Every sheet is a body."""
        return cls(piece, nodes, nodes.sheet, nodes.height_in_sheet)

    def flexibility(self, modulus: np.ndarray) -> np.ndarray:
        """Return what makes eps0 and kappa of the forces and moments that an unbalanced stress sums up to
        (..., unknown, unknown), for each row of `modulus` (..., node)."""
        count, unknown = self.shape
        blocks = np.linalg.inv((modulus @ self.stiff).reshape(*modulus.shape[:-1], count, unknown, unknown))
        whole = np.zeros((*modulus.shape[:-1], count, unknown, count, unknown))
        for body in range(count):
            whole[..., body, :, body, :] = -blocks[..., body, :, :]
        return whole.reshape(*modulus.shape[:-1], count * unknown, count * unknown)

    def cases(self, values: np.ndarray) -> np.ndarray:
        """Return values of cases side by side (..., case x node) as (..., case, node)."""
        return values.reshape(*values.shape[:-1], -1, len(self.basis))

    @cached_property
    def elastic(self) -> np.ndarray:
        """The matrix that makes stress/modulus of a thermal strain where nothing relaxes."""
        n = len(self.basis)
        return -(self.basis @ self.flexibility(np.ones(n)) @ self.weighted + np.eye(n)) @ self.felt


def _felt(piece: Piece, nodes: Nodes, label: np.ndarray, shapes: np.ndarray) -> np.ndarray:
    """Return the matrix that makes felt strains of thermal strains: all but narrow features feel their own.

    A feature feels base + f (own - base) in the part of its strain that a body can follow: the mean and,
    where it is free to bend, the straight line through the thickness. The rest of its profile, which grows
    with the square of the thickness, stays; of a feature narrower than the base is thick the average does.
    """
    felt = np.eye(len(label))
    for number, zone in enumerate(piece.body):
        if zone.feature_width is None:
            continue
        on_shelf = "shelf" in (zone.below, piece.support if zone.below in (None, "paper") else None)
        thin = piece.body[piece.base].thickness
        f, c = feature_factor(zone, thin, on_shelf), covered(zone, thin)
        for body in range(label.max() + 1):
            here = np.flatnonzero((nodes.zone == number) & (label == body))
            beside = np.flatnonzero((nodes.zone == piece.base) & (label == body))
            if len(here) and len(beside):
                own, other = (shapes[here] @ _fit(shapes[of], nodes.weight[of]) for of in (here, beside))
                profile = c + (1 - c) * (np.ptp(nodes.height[beside]) / np.ptp(nodes.height[here])) ** 2
                felt[np.ix_(here, here)] = profile * (np.eye(len(here)) - own) + f * own
                felt[np.ix_(here, beside)] = (1 - f) * other
    return felt


def _fit(shapes: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Return the matrix that makes weighted least-squares coefficients of `shapes` from values."""
    weighted = shapes.T * weight
    return np.linalg.solve(weighted @ shapes, weighted)


@dataclass(frozen=True)
class Memory:
    """What glass carries from one firing into the next: its structure and its residual stress, by term."""

    structure: np.ndarray  # fictive temperatures (term, node) [degC]
    terms: np.ndarray  # Maxwell terms of the stress once all is cold (term, node) [Pa]

    @classmethod
    def annealed(cls, glass: Glass, temperature: np.ndarray) -> "Memory":
        """Return that of glass without stress that was once cooled slowly and evenly to its temperature."""
        structure = Relaxation.of(glass).annealed(temperature)
        return cls(structure, np.zeros_like(structure))

    def moved(self, matrix: np.ndarray, bodies: Bodies) -> "Memory":
        """Return it at other nodes, matrix @ nodes, with the stress in balance there."""
        terms = self.terms @ matrix.T
        stress = terms.sum(axis=0)
        unbalanced = bodies.basis @ bodies.flexibility(np.ones(len(stress))) @ bodies.weighted @ stress
        return Memory(self.structure @ matrix.T, terms + WEIGHTS[:, None] * unbalanced)


@dataclass(frozen=True)
class Course:
    """What stress does in a firing."""

    stress: np.ndarray  # (time, node) [Pa]
    fictive: np.ndarray  # fictive temperature, mean of its terms (time, node) [degC]
    residual: np.ndarray  # stress once all is cold (node) [Pa]
    memory: Memory  # for the next firing

    def part(self, nodes: slice) -> "Course":
        """Return that of some of the nodes."""
        return Course(
            self.stress[:, nodes],
            self.fictive[:, nodes],
            self.residual[nodes],
            Memory(self.memory.structure[:, nodes], self.memory.terms[:, nodes]),
        )


def follow(
    glass: Glass,
    times: np.ndarray,
    temperature: np.ndarray,
    before: Bodies,
    after: Bodies,
    fused: int,
    memory: Memory,
) -> Course:
    """Return the stress that the temperatures (time, node) [degC] make in glass that begins with a `memory`.

    Several cases may lie side by side, all of them of the nodes of `before` and `after`.

    `before` holds up to the time step `fused`, `after` from there on. Glass colder than the strain point by
    more than `FROZEN` is elastic and done all at once; warmer, each Maxwell term is integrated exactly over
    a step.
    """
    relaxation = Relaxation.of(glass)
    modulus = glass.youngs_modulus / (1 - glass.poissons_ratio)
    solid, structural = glass.expansion, glass.expansion_liquid - glass.expansion
    structure = memory.structure
    terms = memory.terms.copy()  # the Maxwell terms of the stress
    stress, fictive = np.empty_like(temperature), np.empty_like(temperature)
    stress[0], fictive[0] = terms.sum(axis=0), WEIGHTS @ structure
    add_up = np.ones(len(WEIGHTS))
    colder, hotter = temperature.min(axis=1), temperature.max(axis=1)
    for first, last in _stretches(hotter <= glass.strain_point - FROZEN, colder >= relaxation.liquid, fused):
        bodies = before if first < fused else after
        here = slice(first, last + 1)
        if hotter[here].max() <= glass.strain_point - FROZEN:
            change = bodies.cases(temperature[here] - temperature[first]) @ bodies.elastic.T
            change = modulus * solid * change.reshape(temperature[here].shape)
            stress[here] = stress[first] + change
            fictive[here] = fictive[first]
            terms += WEIGHTS[:, None] * change[-1]
            continue
        if colder[here].min() >= relaxation.liquid:
            fictive[here] = temperature[here]
            structure = np.tile(temperature[last], (len(WEIGHTS), 1))
            stress[here], terms[:] = 0.0, 0.0
            continue
        fictive[here], reduced, structure = relaxation.structure(times[here], temperature[here], structure)
        left, taken = relaxation.stress_factors(reduced)
        thermal = solid * np.diff(temperature[here], axis=0) + structural * np.diff(fictive[here], axis=0)
        thermal = (bodies.cases(thermal) @ bodies.felt.T).reshape(thermal.shape)
        taken *= modulus
        stiffness = taken.sum(axis=1)
        # strain of a step = basis @ flexibility @ weighted @ what remains of the stress + own
        flexibility, weighted, basis = (
            bodies.flexibility(bodies.cases(stiffness)),
            bodies.weighted,
            bodies.basis.T,
        )
        forces = bodies.cases(stiffness * thermal) @ weighted.T
        own = -(flexibility @ forces[..., None])[..., 0] @ basis
        own = own.reshape(thermal.shape) - thermal
        remains, strain = np.empty_like(thermal), np.empty_like(thermal)
        for i in range(last - first):
            terms *= left[i]
            remains[i] = add_up @ terms
            followed = (flexibility[i] @ (weighted @ bodies.cases(remains[i])[..., None]))[..., 0] @ basis
            strain[i] = followed.ravel() + own[i]
            terms += taken[i] * strain[i]
        stress[first + 1 : last + 1] = remains + stiffness * strain
    bodies = after if fused < len(times) else before
    evening_out = -modulus * solid * (bodies.cases(temperature[-1]) @ bodies.elastic.T).ravel()
    terms += WEIGHTS[:, None] * evening_out
    return Course(stress, fictive, stress[-1] + evening_out, Memory(structure, terms))


def _stretches(frozen: np.ndarray, liquid: np.ndarray, fused: int) -> list[tuple[int, int]]:
    """Cut the rows into stretches (first, last), frozen, liquid or between; `fused` is always a cut."""
    kind = (frozen[1:] & frozen[:-1]) + 2 * (liquid[1:] & liquid[:-1])
    cuts = set((np.flatnonzero(np.diff(kind)) + 1).tolist())
    if 0 < fused < len(kind):
        cuts.add(fused)
    return list(pairwise([0, *sorted(cuts), len(kind)]))
