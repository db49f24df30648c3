"""Stress in glass that strains, bends and relaxes: which nodes move together, and their balance in time."""

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from kilncalc._relaxation import FROZEN, WEIGHTS, Relaxation
from kilncalc.materials import Glass
from kilncalc.piece import Piece, Zone

FEATURE_CONDUCTIVITY, FEATURE_FILM, SHELF_FILM = 1.061, 14.5, 21.75
"""Conductivity [W/m/K] and surface exchange [W/m2/K] when a feature of 6 mm has its worst of heating: in the
open, and on a shelf, where that comes later and hotter."""


def feature_factor(zone: Zone, base_thickness: float, on_shelf: bool) -> float:
    """Return how much of the difference in temperature to the base a narrow feature can build up, f [-].

    lambda = sqrt(k d/(2h)) is how far heat runs sideways in the base of thickness d, lambda' the same with
    the constriction of the step, h = `FEATURE_FILM` (thickness/6 mm)^0.25. Ribs of width w and length l:
    phi = w/(w + 2 lambda' + d), f = 0.902 phi^1.07 e^-0.03 tanh((l/2s)^0.75); within about
    s = 6.85 mm ((w + 2 lambda)/mm)^0.65 of its ends a rib yields; on a shelf 0.077 (1 - 1.2 phi) more. Spots
    of radius r: phi = r/(r + 2 lambda' K1(r/lambda)/K0(r/lambda)), f = 0.611 e^0.3 phi^0.8/(1 + (1.68 d/r)^3)
    with e the ratio of both thicknesses; on a shelf 0.056 (1 - 1.61 phi) more.

    Fitted to our own thickness maps: the peak of heating is at most 10 % too low and 25 % too high from 5 mm
    of width, for 60 to 240 degC/h, and from the middle of a piece to a quarter from its side. At the side it
    is up to 2.1 times as high as the map, for lines of 2 mm 1.3 to 2.4 times.
    """
    assert zone.feature_width is not None
    w, d, k = zone.feature_width, base_thickness, FEATURE_CONDUCTIVITY
    h = (SHELF_FILM if on_shelf else FEATURE_FILM) * (zone.thickness / 0.006) ** 0.25
    e = min(zone.thickness, d) / max(zone.thickness, d)
    constriction = 0.0
    if e < 1:
        constriction = ((e * e + 1) / e * np.log((1 + e) / (1 - e)) - 2 * np.log(4 * e / (1 - e * e))) / np.pi
    reach = np.sqrt(k * d / (2 * h))
    narrowed = reach / (1 + 2 * h * reach * constriction / k)
    if zone.feature == "rib":
        phi = w / (w + 2 * narrowed + d)
        held = 1.0
        if zone.feature_length is not None:
            yields = 6.85e-3 * ((w + 2 * reach) * 1e3) ** 0.65
            held = np.tanh((zone.feature_length / (2 * yields)) ** 0.75)
        return float(0.902 * phi**1.07 / e**0.03 * held + (0.077 * (1 - 1.2 * phi) if on_shelf else 0.0))
    r = w / 2
    phi = r / (r + 2 * narrowed * _bessel_ratio(r / reach))
    stiff = 0.611 * e**0.3 / (1 + (1.68 * d / r) ** 3)
    return float(stiff * phi**0.8 + (0.056 * (1 - 1.61 * phi) if on_shelf else 0.0))


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
    where it is free to bend, the straight line through the thickness. The rest of its profile stays.
    """
    felt = np.eye(len(label))
    for number, zone in enumerate(piece.body):
        if zone.feature_width is None:
            continue
        on_shelf = "shelf" in (zone.below, piece.support if zone.below in (None, "paper") else None)
        f = feature_factor(zone, piece.body[piece.base].thickness, on_shelf)
        for body in range(label.max() + 1):
            here = np.flatnonzero((nodes.zone == number) & (label == body))
            beside = np.flatnonzero((nodes.zone == piece.base) & (label == body))
            if len(here) and len(beside):
                for nodes_of, sign in ((here, -1), (beside, 1)):
                    followed = _fit(shapes[nodes_of], nodes.weight[nodes_of])
                    felt[np.ix_(here, nodes_of)] += sign * (1 - f) * shapes[here] @ followed
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
