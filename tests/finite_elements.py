"""Small elastic solves with scikit-fem, independent of the package, that tests compare closed forms with."""

from dataclasses import dataclass

import numpy as np
from skfem import (
    Basis,
    BilinearForm,
    ElementHexS2,
    ElementQuad2,
    ElementVector,
    LinearForm,
    MeshHex,
    MeshQuad,
    condense,
    solve,
    solver_direct_scipy,
)
from skfem.helpers import ddot, div, sym_grad


@dataclass
class Solved:
    """A displacement field whose gradient can be asked for at points."""

    basis: Basis
    displacement: np.ndarray

    def strain(self, points):
        """Strain at points (dimension, n): (dimension, dimension, n)."""
        mesh, mapping = self.basis.mesh, self.basis.mapping
        cells = mesh.element_finder()(*points)
        local = mapping.invF(points[:, :, None], tind=cells)
        gradient = sum(
            self.basis.elem.gbasis(mapping, local, i, tind=cells)[0].grad[..., 0]
            * self.displacement[self.basis.dofs.element_dofs[i, cells]]
            for i in range(self.basis.Nbfun)
        )
        return (gradient + gradient.transpose(1, 0, 2)) / 2


def _solve(stiffness, load, fixed):
    symmetric = solver_direct_scipy(permc_spec="MMD_AT_PLUS_A")
    return solve(*condense(stiffness, load, D=np.unique(np.concatenate(fixed))), solver=symmetric)


def bar_stress(length, joints, modulus, poisson, shrinkage, columns=60, rows=24):
    """Plane stress in a free bar of layers; returns a function of x and z: sigma_xx, sigma_zz, sigma_xz.

    joints are the heights from 0 to the top; modulus and poisson one number a layer; shrinkage(z, layer) the
    strain by which the glass wants to be shorter.
    """
    joints = np.asarray(joints)
    top = joints[-1]
    x = length * (0.5 - 0.5 * np.cos(np.pi * np.linspace(0, 1, columns + 1)))
    counts = np.maximum(4, np.rint(rows * np.diff(joints) / top).astype(int))
    z = np.unique(
        np.concatenate(
            [np.linspace(a, b, n + 1) for a, b, n in zip(joints[:-1], joints[1:], counts, strict=True)]
        )
    )
    basis = Basis(MeshQuad.init_tensor(x, z), ElementVector(ElementQuad2()), intorder=5)
    e, nu = np.asarray(modulus, float), np.asarray(poisson, float)
    mu, lam = e / 2 / (1 + nu), e * nu / (1 - nu**2)

    def layer(height):
        return np.clip(np.searchsorted(joints, height, side="right") - 1, 0, len(e) - 1)

    @BilinearForm
    def stiffness(u, v, w):
        i = layer(w.x[1])
        return lam[i] * div(u) * div(v) + 2 * mu[i] * ddot(sym_grad(u), sym_grad(v))

    @LinearForm
    def load(v, w):
        i = layer(w.x[1])
        return -2 * (lam[i] + mu[i]) * shrinkage(w.x[1], i) * div(v)

    middle = x[columns // 2]
    fixed = [
        basis.get_dofs(lambda p: (abs(p[0] - middle) < 1e-9) & (abs(p[1]) < 1e-9)).all(),
        basis.get_dofs(lambda p: (abs(p[0] - middle) < 1e-9) & (abs(p[1] - top) < 1e-9)).all("u^1"),
    ]
    u = _solve(stiffness.assemble(basis), load.assemble(basis), fixed)
    solved = Solved(basis, u)

    def stress(at_x, at_z):
        points = np.array(np.broadcast_arrays(at_x, at_z), float).reshape(2, -1)
        i = layer(points[1])
        strain = solved.strain(points)
        equal = lam[i] * (strain[0, 0] + strain[1, 1]) + 2 * (lam[i] + mu[i]) * shrinkage(points[1], i)
        return (
            equal + 2 * mu[i] * strain[0, 0],
            equal + 2 * mu[i] * strain[1, 1],
            2 * mu[i] * strain[0, 1],
        )

    return stress


def flush_strip_forces(a, b, depth, thickness, size, modulus, poisson, swelling, points):
    """Forces N_xx - N_yy and N_xy at points (x, y) of a free sheet with a flush strip on its upper side.

    3-D, a quarter of the sheet: the strip has the half sides a and b, the sheet `size`; the strip wants to be
    larger by `swelling`. Stress is summed through the whole thickness, [N/m].
    """
    lam = modulus * poisson / ((1 + poisson) * (1 - 2 * poisson))
    mu = modulus / 2 / (1 + poisson)
    swell = (3 * lam + 2 * mu) * swelling

    def axis(half):
        steps = np.array([0.0, 0.7, 1.6, 3.0, 5.5, 9.0, 15.0, 26.0]) * thickness / 4
        inner, outer = half - steps, half + steps[1:]
        inner = inner[inner > thickness / 8]
        return np.concatenate([[0.0], inner[::-1], outer[outer < size - thickness / 2], [size]])

    below, above = np.linspace(0, thickness - depth, 3), np.linspace(thickness - depth, thickness, 3)
    mesh = MeshHex.init_tensor(axis(a), axis(b), np.concatenate([below, above[1:]]))
    basis = Basis(mesh, ElementVector(ElementHexS2()), intorder=4)

    @BilinearForm
    def stiffness(u, v, w):
        return lam * div(u) * div(v) + 2 * mu * ddot(sym_grad(u), sym_grad(v))

    @LinearForm
    def load(v, w):
        inside = (w.x[2] > thickness - depth) & (w.x[0] < a) & (w.x[1] < b)
        return swell * inside * div(v)

    fixed = [
        basis.get_dofs(lambda p: abs(p[0]) < 1e-9).all("u^1"),
        basis.get_dofs(lambda p: abs(p[1]) < 1e-9).all("u^2"),
        basis.get_dofs(lambda p: np.abs(p).max(axis=0) < 1e-9).all("u^3"),
    ]
    u = _solve(stiffness.assemble(basis), load.assemble(basis), fixed)
    solved = Solved(basis, u)
    nodes, weights = np.polynomial.legendre.leggauss(3)
    edges = np.concatenate([below, above[1:]])
    half = np.diff(edges) / 2
    heights = (edges[:-1, None] + half[:, None] * (nodes + 1)).ravel()
    w = (half[:, None] * weights).ravel()
    x, y = np.asarray(points, float).T
    at = np.array([np.repeat(x, len(heights)), np.repeat(y, len(heights)), np.tile(heights, len(x))])
    strain = solved.strain(at).reshape(3, 3, len(x), len(heights))
    return 2 * mu * (strain[0, 0] - strain[1, 1]) @ w, 2 * mu * strain[0, 1] @ w
