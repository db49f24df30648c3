"""A two-dimensional viscous solve of a drape with scikit-fem, independent of the package.

Creeping flow is incompressible elasticity with velocities for displacements (the elastic-viscous analogy).
The whole section flows, nothing is assumed thin. Q2 velocities, Q1 pressures; the mesh moves with the glass.
"""

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sparse
from scipy.sparse.linalg import splu
from skfem import Basis, BilinearForm, ElementQuad1, ElementQuad2, ElementVector, LinearForm, MeshQuad, asm
from skfem.helpers import ddot, div, sym_grad

GRAVITY = 9.81
HOLD, CONTACT = 1e7, 1e10  # what holds a node; what it meets, giving by nanometres


@BilinearForm
def shearing(u, v, w):
    return 2 * ddot(sym_grad(u), sym_grad(v))


@BilinearForm
def squeezing(u, q, w):
    return div(u) * q


@LinearForm
def falling(v, w):
    return -v[1]


@dataclass
class Flap:
    """What is read off at one fluidity; the edge's middle and lower rim are measured from the wall."""

    fluidity: float
    edge: float
    lower_rim: float
    lowest: float
    least_thickness: float
    foot_gap: float
    area: float


def nearest(point, line):
    """Distances of a point from each piece of a line, and where on it."""
    a, along = line[:-1], np.diff(line, axis=0)
    share = np.clip(((point - a) * along).sum(axis=1) / (along**2).sum(axis=1), 0, 1)
    return np.hypot(*(a + share[:, None] * along - point).T), share


class Solver:
    """The right half of a sheet on a sliding former, over a base that slides or grips."""

    def __init__(self, height, thickness, overhang, width, tension, density, grips, columns, rows):
        self.height, self.wall, self.tension, self.density = height, width / 2, tension, density
        near = self.wall - min(self.wall, 2.5 * thickness)
        x = np.unique(np.r_[np.linspace(0, near, 6), np.linspace(near, self.wall + overhang, columns)])
        self.mesh = MeshQuad.init_tensor(x, np.linspace(height, height + thickness, rows + 1))
        self.element = ElementVector(ElementQuad2())
        self.points, self.grips = self.mesh.p.copy(), grips
        basis = self.basis(self.points)
        every = basis.get_dofs(elements=True)
        place = basis.doflocs
        horizontal = every.all("u^1")
        partner = {tuple(np.round(place[:, dof], 9)): dof for dof in every.all("u^2")}

        def line(on, key):
            """Unknowns (x, y) of the nodes on a line, in order along it."""
            found = horizontal[np.abs(on(*place[:, horizontal])) < 1e-9]
            found = found[np.argsort(place[key, found])]
            return np.array([found, [partner[tuple(np.round(place[:, dof], 9))] for dof in found]])

        self.below, self.above = (
            line(lambda _, y: y - height, 0),
            line(lambda _, y: y - height - thickness, 0),
        )
        self.end, self.middle = line(lambda x_, _: x_ - x[-1], 1), line(lambda x_, _: x_, 1)[0]
        self.skin = np.concatenate([self.below, self.end[:, 1:]], axis=1)
        self.held = np.zeros(self.skin.shape[1], bool)
        self.velocity = np.zeros(basis.N)
        self.velocity[every.all("u^2")] = -1.0  # a first guess that presses on the former
        self.vertices = basis.nodal_dofs

    def basis(self, points):
        return Basis(MeshQuad(points, self.mesh.t), self.element, intorder=4)

    def solve(self, points, step, guess):
        """Velocities dX/dF in a shape, such that a step from `self.points` passes into nothing."""
        basis = self.basis(points)
        pressures = Basis(basis.mesh, ElementQuad1(), intorder=4)
        count, now, was = basis.N, basis.doflocs, self.basis(self.points).doflocs
        hold = np.concatenate([self.middle, self.skin[0][self.held] if self.grips else []]).astype(int)
        resist = asm(shearing, basis) + sparse.coo_matrix(
            (np.full(len(hold), HOLD), (hold, hold)), shape=(count, count)
        )
        volume = asm(squeezing, basis, pressures)
        force = self.density * GRAVITY * asm(falling, basis)
        for line in (self.below, self.end, self.above):
            pull = np.diff([now[0, line[0]], now[1, line[1]]], axis=1)
            pull *= self.tension / np.hypot(*pull)
            np.add.at(force, line[:, :-1], pull)
            np.add.at(force, line[:, 1:], -pull)
        rows, gap, on_base = self.contacts(now, was, count)
        rate = rows @ guess
        closed, velocity = gap + step * rate < 1e-8, guess
        closed[-1] = True  # the corner, which bears the sheet: without it the sheet would fall freely
        for trial in range(40):  # Newton on the set of closed gaps, with a line search
            active = rows[closed]
            matrix = resist + CONTACT * step * active.T @ active
            full = sparse.bmat([[matrix, -volume.T], [-volume, None]], format="csc")
            load = np.concatenate([force - CONTACT * active.T @ gap[closed], np.zeros(volume.shape[0])])
            change = splu(full).solve(load)[:count] - velocity
            turn = rows @ change

            def slope(share, v=velocity, d=change, r=rate, q=turn):
                pressed = np.minimum(gap + step * (r + share * q), 0)
                return d @ (resist @ (v + share * d) - force) + CONTACT * pressed @ q

            share = 1.0
            if trial and slope(1.0) > 1e-9 * abs(slope(0.0)):  # the first makes the flow incompressible
                low, high = 0.0, 1.0
                for _ in range(60):
                    share = (low + high) / 2
                    low, high = (share, high) if slope(share) < 0 else (low, share)
            velocity, rate = velocity + share * change, rate + share * turn
            before, closed = closed, gap + step * rate < 0
            if share == 1.0 and (before == closed).all():
                break
        self.held = closed[on_base]
        return velocity

    def contacts(self, now, was, count):
        """Rows that give the rates of the gaps, the gaps before the step, and which are those of the base."""
        entries, gap = [], []
        for i, (h, v) in enumerate(self.skin.T):
            entries.append({v: 1.0})
            gap.append(was[1, v])
            beside, above = now[0, h] - self.wall, now[1, v] - self.height
            if i < self.below.shape[1] and beside <= 0 and above > beside:
                entries.append({v: 1.0})
                gap.append(was[1, v] - self.height)
            elif i < self.below.shape[1] and above <= 0:
                entries.append({h: 1.0})
                gap.append(was[0, h] - self.wall)
        on_base = [k for k, entry in enumerate(entries) if entry.keys() <= set(self.skin[1])]
        on_base = [k for k in on_base if abs(gap[k] - was[1, next(iter(entries[k]))]) < 1e-15]
        corner = np.array([self.wall, self.height])
        line = np.stack([now[0, self.below[0]], now[1, self.below[1]]], axis=1)
        distance, share = nearest(corner, line)
        k = int(distance.argmin())
        along = line[k + 1] - line[k]
        normal = np.array([-along[1], along[0]]) / np.hypot(*along)
        weight = np.repeat([1 - share[k], share[k]], 2) * np.tile(normal, 2)
        unknowns = self.below[:, k : k + 2].T.ravel()
        axes = np.array([0, 1, 0, 1])
        entries.append(dict(zip(unknowns, weight, strict=True)))
        away = (line[k] + share[k] * along - corner) @ normal
        gap.append(away + weight @ (was[axes, unknowns] - now[axes, unknowns]))
        places = [(i, dof) for i, entry in enumerate(entries) for dof in entry]
        values = [value for entry in entries for value in entry.values()]
        rows = sparse.coo_matrix((values, np.transpose(places)), shape=(len(entries), count)).tocsr()
        return rows, np.array(gap), on_base

    def read(self, fluidity):
        at = self.basis(self.points).doflocs
        below, end, above = (
            np.stack([at[0, line[0]], at[1, line[1]]], axis=1) for line in (self.below, self.end, self.above)
        )
        outline = np.concatenate([below, end[1:], above[-2::-1]])
        x, y = outline.T
        return Flap(
            fluidity=fluidity,
            edge=end[len(end) // 2, 0] - self.wall,
            lower_rim=below[-1, 0] - self.wall,
            lowest=y.min(),
            least_thickness=min(nearest(point, below)[0].min() for point in above[::2]),
            foot_gap=nearest(np.array([self.wall, 0.0]), below)[0].min(),
            area=abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2,
        )


def drape(
    height,
    thickness,
    overhang,
    width,
    until,
    tension=0.0,
    density=2450.0,
    grips=False,
    columns=84,
    rows=3,
    travel=3e-4,
):
    """Yield the flap step by step, flat at first, to a fluidity."""
    solver = Solver(height, thickness, overhang, width, tension, density, grips, columns, rows)
    fluidity, step = 0.0, np.inf
    velocity = solver.solve(solver.points, 1e-10, solver.velocity)
    yield solver.read(fluidity)
    while fluidity < until:
        step = min(travel / np.abs(velocity).max(), 1.3 * step, 0.25 * max(fluidity, 4e-6))
        halfway = solver.solve(solver.points, step / 2, velocity)
        velocity = solver.solve(solver.points + step / 2 * halfway[solver.vertices], step, halfway)
        solver.points = solver.points + step * velocity[solver.vertices]
        fluidity += step
        yield solver.read(fluidity)
