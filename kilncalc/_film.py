"""A sheet of hot glass in section: a thin viscous film that stretches, bends, sags and meets what lies below.

The clock is the fluidity F = integral of dt/eta [1/Pa]. Viscosity stands before every force that resists and
before no other, so that the way of a sheet in F depends on its shape alone: one run serves every schedule.
Velocities here are dX/dF [m Pa].

The right half of a symmetric sheet is a chain of nodes on its mid-surface, the first on the line (or axis) of
symmetry. In each step the velocities are those for which

    sum over segments 1/2 4 h e^2 l + sum over nodes 1/2 (h^3/3) k^2 l         stretching and bending resist
    - sum over segments rho g h l (rate of fall) + sum of 2 gamma dl/dF       weight and surface tension drive

is least while no glass passes into what it meets; e is the rate of stretch, k the rate of bending, l the
length of a segment and h = area/length its thickness, so that no glass is lost. A round plate has e2 and k2
along the hoop as well: e^2 becomes e1^2 + e1 e2 + e2^2 = (e1 + e2/2)^2 + 3/4 e2^2.

Trouton's viscosity of a plane sheet, 4 eta: Howell 1996, Eur. J. Appl. Math. 7, 321; Ribe 2001, J. Fluid
Mech. 433, 135.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, pairwise

import numpy as np
from scipy.linalg.blas import dsbmv
from scipy.linalg.lapack import dpbsv

GRAVITY = 9.81

_CONTACT = 1e9  # stiffness of what the sheet meets [N/m2]: it gives by less than a nanometre
_HELD = 1e8  # what holds a node in place, and
_GRIP = 1e6  # what keeps gripped glass from sliding, in the units of viscous forces [-]
_DRAG = 1e-9  # a faint drag, so that a sheet that nothing holds is no singular problem
_TURN = 0.04  # how far a segment may turn in a step [rad]
_GROWTH, _SHARE = 1.3, 0.5  # a step is at most so many times the last one, and this share of F so far


@dataclass(frozen=True)
class Block:
    """What stands under the sheet with one sharp corner: a former, or the ledge of a mould.

    `side` is 1 where it fills x < corner (a former under the middle), -1 where x > corner (a ledge outside).
    """

    corner: float
    top: float
    side: int
    grips: bool = False


@dataclass(frozen=True)
class Sheet:
    """A flat sheet at the start, in section: nodes at `x`, mid-surface at `y`, and what it is and meets.

    `held` names unknowns that do not move: 2 i for x, 2 i + 1 for y of node i (negative: from the end).
    """

    x: np.ndarray
    y: float | np.ndarray
    thickness: float
    density: float
    surface_tension: float = 0.0
    round: bool = False
    block: Block | None = None
    base: float | None = None
    base_grips: bool = False
    held: tuple[int, ...] = (0,)


@dataclass(frozen=True)
class State:
    """The sheet at one fluidity: nodes (n, 2), thickness of each segment, which nodes press on the base."""

    fluidity: float
    nodes: np.ndarray
    thickness: np.ndarray
    on_base: np.ndarray


@dataclass(frozen=True)
class _Forms:
    """Linear forms of the velocities: form i has the coefficients rows[:, i], from unknown `first` + 2 i on.

    The unknowns of node i are 2 i, along x, and 2 i + 1, along y.
    """

    rows: np.ndarray
    first: int = 0

    @cached_property
    def _places(self) -> list[slice]:
        width, count = self.rows.shape
        return [slice(self.first + k, self.first + k + 2 * count - 1, 2) for k in range(width)]

    def of(self, velocity: np.ndarray) -> np.ndarray:
        return sum(row * velocity[place] for row, place in zip(self.rows, self._places, strict=True))

    def add_force(self, force: np.ndarray, size: np.ndarray) -> None:
        for row, place in zip(self.rows, self._places, strict=True):
            force[place] += size * row

    def add_square(self, band: np.ndarray, weight: np.ndarray) -> None:
        """Add weight x form^2 to a symmetric matrix of which the lower diagonals are kept."""
        for j, place in enumerate(self._places):
            weighted = weight * self.rows[j]
            for i in range(j, len(self.rows)):
                band[i - j, place] += weighted * self.rows[i]


@dataclass(frozen=True)
class _Contact:
    """Gaps [m] that must not close below zero, the rates at which they open, and how sliding is felt."""

    gap: np.ndarray
    opening: _Forms
    sliding: _Forms | None


class _Geometry:
    """Lengths, directions and thicknesses of a chain of nodes, and the forms that follow from them."""

    def __init__(self, sheet: Sheet, nodes: np.ndarray, area: np.ndarray) -> None:
        self.nodes = nodes
        step = np.diff(nodes, axis=0).T
        self.length = np.hypot(*step)
        self.along = step / self.length
        self.across = np.array([-self.along[1], self.along[0]])
        self.radius = (nodes[1:, 0] + nodes[:-1, 0]) / 2 if sheet.round else np.ones(len(nodes) - 1)
        self.thickness = area / (self.length * self.radius)
        self.stretch = np.concatenate([-self.along, self.along]) / self.length
        self.turn = np.concatenate([-self.across, self.across]) / self.length
        self.half = np.concatenate([self.thickness[:1], _means(self.thickness), self.thickness[-1:]]) / 2


def area_of(sheet: Sheet) -> np.ndarray:
    """Return what each segment keeps: its area [m2], or for a round plate its volume a radian [m3]."""
    flat = np.stack([sheet.x, np.broadcast_to(sheet.y, sheet.x.shape)], axis=1)
    start = _Geometry(sheet, flat, np.ones(len(flat) - 1))
    return sheet.thickness * start.length * start.radius


def flow(sheet: Sheet, travel: float) -> Iterator[State]:
    """Yield the sheet step by step, no node moving further than `travel` [m] in one; it never ends."""
    area = area_of(sheet)
    nodes = np.stack([sheet.x, np.broadcast_to(sheet.y, sheet.x.shape)], axis=1)
    fluidity, last = 0.0, np.inf
    velocity, touching = _velocity(sheet, area, nodes, nodes, 1e-10, np.zeros(nodes.size), None)
    while True:
        here = _Geometry(sheet, nodes, area)
        on_base = touching[-1] if sheet.base is not None else np.zeros(len(nodes), bool)
        yield State(fluidity, nodes, here.thickness, on_base)
        turning = max(np.abs(_Forms(here.turn).of(velocity)).max(), 1e-30)
        step = min(travel / np.abs(velocity).max(), _TURN / turning, _GROWTH * last)
        step = min(step, _SHARE * fluidity) if fluidity else step
        halfway, _ = _velocity(sheet, area, nodes, nodes, step / 2, velocity, touching)
        middle = nodes + step / 2 * halfway.reshape(-1, 2)
        velocity, touching = _velocity(sheet, area, middle, nodes, step, halfway, touching)
        nodes = nodes + step * velocity.reshape(-1, 2)
        fluidity, last = fluidity + step, step


def _velocity(
    sheet: Sheet,
    area: np.ndarray,
    nodes: np.ndarray,
    start: np.ndarray,
    step: float,
    guess: np.ndarray,
    touching: list[np.ndarray] | None,
) -> tuple[np.ndarray, list[np.ndarray]]:
    """Return dX/dF in a shape such that a step from `start` meets nothing, and where it touches."""
    here = _Geometry(sheet, nodes, area)
    band, force = _resistance(sheet, here), _drive(sheet, here, area)
    contacts = _contacts(sheet, here)
    for contact, touched in zip(contacts, touching or (), strict=False):
        if contact.sliding is not None:  # what touched before holds on
            contact.sliding.add_square(band, _GRIP * touched)
    back = (start - nodes).ravel()
    gaps = [contact.gap + contact.opening.of(back) for contact in contacts]
    return _least(band, force, [contact.opening for contact in contacts], gaps, step, guess)


def _resistance(sheet: Sheet, here: _Geometry) -> np.ndarray:
    """Return the matrix of what stretching and bending resist, for a viscosity of 1, in lower diagonals."""
    band = np.zeros((6, here.nodes.size))
    h, l, r, count = here.thickness, here.length, here.radius, len(here.nodes)
    stretch, weight = here.stretch, 4 * h * l * r
    bend = np.zeros((6, count - 2))  # turning of one segment less that of the one before
    bend[2:] += here.turn[:, 1:]
    bend[:4] -= here.turn[:, :-1]
    bend /= _means(l)
    inner = here.nodes[1:-1, 0] if sheet.round else 1.0
    stiff = _means(h) ** 3 / 3 * _means(l) * inner
    first = 2 / l[:1] * here.turn[:, :1]  # at the middle the sheet bends as much to the left
    middle = h[:1] ** 3 / 3 * l[:1] / 2
    if sheet.round:
        hoop = np.zeros((4, count - 1))
        hoop[0] = hoop[2] = 0.5 / r
        _Forms(hoop).add_square(band, 0.75 * weight)
        stretch = stretch + hoop / 2
        tilt = np.zeros((6, count - 2))
        tilt[2:] += here.turn[:, 1:] / 2
        tilt[:4] += here.turn[:, :-1] / 2
        tilt *= _means(here.along[0]) / inner
        _Forms(tilt).add_square(band, 0.75 * stiff)
        bend = bend + tilt / 2
        rim = here.turn[:, -1:] * here.along[0, -1] / here.nodes[-1, 0]
        at_rim = h[-1:] ** 3 / 3 * l[-1:] / 2 * here.nodes[-1, 0]
        _Forms(rim, 2 * (count - 2)).add_square(band, 0.75 * at_rim)
        middle = middle * 3 * here.nodes[1, 0] / 4  # both ways alike; the radius there is l/4 on average
    _Forms(stretch).add_square(band, weight)
    _Forms(bend).add_square(band, stiff)
    _Forms(first).add_square(band, middle)
    band[0] += _DRAG
    band[0, list(sheet.held)] += _HELD
    return band


def _drive(sheet: Sheet, here: _Geometry, area: np.ndarray) -> np.ndarray:
    """Return the forces of weight and of the surface tension of both faces."""
    force = np.zeros(here.nodes.size)
    weight = sheet.density * GRAVITY * area / 2
    force[1:-2:2] -= weight
    force[3::2] -= weight
    pull = -2 * sheet.surface_tension * here.length * here.radius
    _Forms(here.stretch).add_force(force, pull)
    if sheet.round:
        hoop = -sheet.surface_tension * here.length
        force[:-2:2] += hoop
        force[2::2] += hoop
    return force


def _contacts(sheet: Sheet, here: _Geometry) -> list[_Contact]:
    """Return what the sheet may meet: top, wall and corner of the block, and, last, the base."""
    x, y = here.nodes.T
    along, up = _Forms(np.ones((1, len(x)))), _Forms(np.ones((1, len(y))), 1)
    contacts = []
    if sheet.block is not None:
        block, grips = sheet.block, sheet.block.grips
        beyond, above = block.side * (x - block.corner), y - block.top
        over = above >= beyond  # nearer to the top's plane than to the wall's
        top = np.where(over & (beyond <= 0), above - here.half, np.inf)
        wall = np.where(~over & (above <= 0), beyond - here.half, np.inf)
        contacts += [
            _Contact(top, up, along if grips else None),
            _Contact(wall, _Forms(block.side * along.rows), up if grips else None),
            _at_corner(block, here),
        ]
    if sheet.base is not None:
        gap = y - sheet.base - here.half
        contacts.append(_Contact(gap, up, along if sheet.base_grips else None))
    return contacts


def _at_corner(block: Block, here: _Geometry) -> _Contact:
    """Return the gap between the block's corner and the sheet's lower face, where it comes nearest."""
    reach = np.array([[block.corner], [block.top]]) - here.nodes[:-1].T
    share = np.clip((reach * here.along).sum(axis=0) / here.length, 0, 1)
    apart = share * here.length * here.along - reach
    distance = np.hypot(*apart)
    i = int(distance.argmin())
    inside = (apart[:, i] * here.across[:, i]).sum() < 0
    normal = (-1 if inside else 1) * apart[:, i] / distance[i]
    rows = np.concatenate([(1 - share[i]) * normal, share[i] * normal])[:, None]
    gap = np.array([(-1 if inside else 1) * distance[i] - here.thickness[i] / 2])
    sliding = None
    if block.grips:  # the lower face is held, the mid-surface rolls over the corner
        ahead = np.concatenate([(1 - share[i]) * here.along[:, i], share[i] * here.along[:, i]])
        sliding = _Forms((ahead + here.thickness[i] / 2 * here.turn[:, i])[:, None], 2 * i)
    return _Contact(gap, _Forms(rows, 2 * i), sliding)


def _least(
    band: np.ndarray,
    force: np.ndarray,
    opening: list[_Forms],
    gaps: list[np.ndarray],
    step: float,
    velocity: np.ndarray,
) -> tuple[np.ndarray, list[np.ndarray]]:
    """Return the velocities of least power for which no gap closes in the step, and which gaps bind.

    A convex problem: Newton's method on the set of gaps that bind. Without the exact search along its
    direction that set cycles.
    """
    gap = np.concatenate(gaps) if gaps else np.empty(0)
    ends = accumulate((len(part) for part in gaps), initial=0)
    places = [slice(*pair) for pair in pairwise(ends)]  # of each contact's gaps in the row of all

    def rates(of: np.ndarray) -> np.ndarray:
        return np.concatenate([form.of(of) for form in opening]) if opening else gap

    rate = rates(velocity)
    binds = gap + step * rate < 0
    for _ in range(60):
        matrix, load = band.copy(), force.copy()
        for form, part, place in zip(opening, gaps, places, strict=True):
            bound = binds[place]
            if bound.any():
                form.add_square(matrix, step * _CONTACT * bound)
                form.add_force(load, -_CONTACT * np.where(bound, part, 0.0))
        _, solved, failed = dpbsv(matrix, load, lower=1)
        if failed:
            raise np.linalg.LinAlgError("the sheet's equations have no one solution")
        change = solved - velocity
        turn = rates(change)
        share = _search(band, force, gap, step, velocity, change, rate, turn)
        velocity, rate = velocity + share * change, rate + share * turn
        now = gap + step * rate < 0
        if share == 1.0 and (now == binds).all():
            break
        binds = now
    return velocity, [binds[place] for place in places]


def _search(
    band: np.ndarray,
    force: np.ndarray,
    gap: np.ndarray,
    step: float,
    velocity: np.ndarray,
    change: np.ndarray,
    rate: np.ndarray,
    turn: np.ndarray,
) -> float:
    """Return how much of a change to make: where the slope of the power along it, in pieces, is 0."""
    resisted = dsbmv(len(band) - 1, 1.0, band, change, lower=1)
    slope, growth = resisted @ velocity - force @ change, resisted @ change

    def slopes(share: np.ndarray) -> np.ndarray:
        closed = np.minimum(gap + step * (rate + share[:, None] * turn), 0.0)
        return slope + share * growth + _CONTACT * (closed * turn).sum(axis=1)

    finite = np.isfinite(gap) & (turn != 0)
    gap, rate, turn = gap[finite], rate[finite], turn[finite]
    at_start, at_end = slopes(np.array([0.0, 1.0]))
    if at_end <= 1e-9 * abs(at_start):
        return 1.0
    breaks = -(gap / step + rate) / turn
    corners = np.sort(np.concatenate([[0.0, 1.0], breaks[(breaks > 0) & (breaks < 1)]]))
    return float(np.interp(0.0, slopes(corners), corners))


def _means(values: np.ndarray) -> np.ndarray:
    return (values[1:] + values[:-1]) / 2
