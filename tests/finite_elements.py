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


def chip_forces(radius, thickness, base_thickness, size, modulus, poisson, swelling, radii):
    """Force N_r - N_theta [N/m] through the base at `radii` outside a round chip that stands on it.

    Axisymmetric, upright chip wall, base of radius `size`, free; the chip wants to be larger by `swelling`.
    The second value returned is a function of r and z: the mean of radial and hoop stress [Pa].
    """
    lam = modulus * poisson / ((1 + poisson) * (1 - 2 * poisson))
    mu = modulus / 2 / (1 + poisson)
    swell = (3 * lam + 2 * mu) * swelling
    fine = base_thickness / 16
    steps = fine * np.array(
        [0, 1, 2, 3, 4, 6, 8, 12, 16, 22, 30, 40, 56, 80, 110, 150, 210, 300, 450, 700, 1000]
    )
    inner, outer = radius - steps, radius + steps[1:]
    r = np.concatenate([[0.0], inner[inner > fine][::-1], outer[outer < size - 4 * fine], [size]])
    z = np.concatenate(
        [np.linspace(0, base_thickness, 13), np.linspace(base_thickness, base_thickness + thickness, 13)[1:]]
    )
    mesh = MeshQuad.init_tensor(r, z)
    middle = mesh.p[:, mesh.t].mean(axis=1)
    mesh = mesh.remove_elements(np.flatnonzero((middle[0] > radius) & (middle[1] > base_thickness)))
    basis = Basis(mesh, ElementVector(ElementQuad2()), intorder=5)

    def parts(u, w):
        d = sym_grad(u)
        hoop = u[0] / w.x[0]
        return d, hoop, d[0, 0] + d[1, 1] + hoop

    @BilinearForm
    def stiffness(u, v, w):
        du, hu, volume_u = parts(u, w)
        dv, hv, volume_v = parts(v, w)
        return (lam * volume_u * volume_v + 2 * mu * (ddot(du, dv) + hu * hv)) * w.x[0]

    @LinearForm
    def load(v, w):
        return swell * (w.x[1] > base_thickness) * parts(v, w)[2] * w.x[0]

    fixed = [
        basis.get_dofs(lambda p: abs(p[0]) < 1e-9).all("u^1"),
        basis.get_dofs(lambda p: np.abs(p).max(axis=0) < 1e-9).all("u^2"),
    ]
    solved = Solved(basis, _solve(stiffness.assemble(basis), load.assemble(basis), fixed))

    def strains(points):
        strain = solved.strain(points)
        mesh, mapping = basis.mesh, basis.mapping
        cells = mesh.element_finder()(*points)
        local = mapping.invF(points[:, :, None], tind=cells)
        moved = sum(
            basis.elem.gbasis(mapping, local, i, tind=cells)[0][0, ..., 0]
            * solved.displacement[basis.dofs.element_dofs[i, cells]]
            for i in range(basis.Nbfun)
        )
        return strain, moved / points[0]

    nodes, weights = np.polynomial.legendre.leggauss(12)
    heights = base_thickness * (nodes + 1) / 2
    radii = np.asarray(radii, float)
    at = np.array([np.repeat(radii, 12), np.tile(heights, len(radii))])
    strain, hoop = strains(at)
    difference = (2 * mu * (strain[0, 0] - hoop)).reshape(len(radii), 12) @ weights * base_thickness / 2

    def stress(at_r, at_z):
        points = np.array(np.broadcast_arrays(at_r, at_z), float).reshape(2, -1)
        strain, hoop = strains(points)
        volume = strain[0, 0] + strain[1, 1] + hoop
        return lam * volume + mu * (strain[0, 0] + hoop) - swell * (points[1] > base_thickness)

    return difference, stress


def sheet_stress(thickness, cell, modulus, poisson, swelling):
    """Plane stress xx, yy, xy (3, ny, nx) in the middles of the cells of a free sheet held flat.

    2-D, second order, the thickness of each cell its own; the cells want to be larger by `swelling`.
    """
    ny, nx = thickness.shape
    mesh = MeshQuad.init_tensor(np.arange(nx + 1) * cell, np.arange(ny + 1) * cell)
    basis = Basis(mesh, ElementVector(ElementQuad2()), intorder=5)
    mu, lam = modulus / 2 / (1 + poisson), modulus * poisson / (1 - poisson**2)

    def of_cell(values, x):
        return values[(x[1] / cell).astype(int), (x[0] / cell).astype(int)]

    @BilinearForm
    def stiffness(u, v, w):
        return of_cell(thickness, w.x) * (lam * div(u) * div(v) + 2 * mu * ddot(sym_grad(u), sym_grad(v)))

    @LinearForm
    def load(v, w):
        return 2 * (lam + mu) * of_cell(thickness * swelling, w.x) * div(v)

    fixed = [
        basis.get_dofs(lambda p: np.abs(p).max(axis=0) < 1e-9).all(),
        basis.get_dofs(lambda p: (abs(p[0] - nx * cell) < 1e-9) & (abs(p[1]) < 1e-9)).all("u^2"),
    ]
    solved = Solved(basis, _solve(stiffness.assemble(basis), load.assemble(basis), fixed))
    x, y = np.meshgrid((np.arange(nx) + 0.5) * cell, (np.arange(ny) + 0.5) * cell)
    strain = solved.strain(np.array([x.ravel(), y.ravel()])).reshape(2, 2, ny, nx)
    equal = lam * (strain[0, 0] + strain[1, 1]) - 2 * (lam + mu) * swelling
    return np.array([equal + 2 * mu * strain[0, 0], equal + 2 * mu * strain[1, 1], 2 * mu * strain[0, 1]])


def raised_tile_stress(thickness, cell, modulus, poisson, swelling, levels=(2, 2)):
    """Stress xx, yy at points (x, y, z) of a free flush tile with upright steps, as a function of them.

    3-D, second order. `thickness` and `swelling` are of one quarter, its first cell at the middle of the
    tile, and there are two thicknesses; `levels` are the elements through the lower and the raised part.
    """
    ny, nx = thickness.shape
    low, high = thickness.min(), thickness.max()
    z = np.concatenate([np.linspace(0, low, levels[0] + 1), np.linspace(low, high, levels[1] + 1)[1:]])
    mesh = MeshHex.init_tensor(np.arange(nx + 1) * cell, np.arange(ny + 1) * cell, z)

    def of_cell(values, x):
        return values[(x[1] / cell).astype(int), (x[0] / cell).astype(int)]

    middle = mesh.p[:, mesh.t].mean(axis=1)
    mesh = mesh.remove_elements(np.flatnonzero(middle[2] > of_cell(thickness, middle)))
    basis = Basis(mesh, ElementVector(ElementHexS2()), intorder=4)
    lam = modulus * poisson / ((1 + poisson) * (1 - 2 * poisson))
    mu = modulus / 2 / (1 + poisson)

    @BilinearForm
    def stiffness(u, v, w):
        return lam * div(u) * div(v) + 2 * mu * ddot(sym_grad(u), sym_grad(v))

    @LinearForm
    def load(v, w):
        return (3 * lam + 2 * mu) * of_cell(swelling, w.x) * div(v)

    fixed = [
        basis.get_dofs(lambda p: abs(p[0]) < 1e-9).all("u^1"),
        basis.get_dofs(lambda p: abs(p[1]) < 1e-9).all("u^2"),
        basis.get_dofs(lambda p: np.abs(p).max(axis=0) < 1e-9).all("u^3"),
    ]
    solved = Solved(basis, _solve(stiffness.assemble(basis), load.assemble(basis), fixed))

    def stress(points):
        points = np.array(points, float)
        strain = solved.strain(points)
        volume = strain[0, 0] + strain[1, 1] + strain[2, 2]
        equal = lam * volume - (3 * lam + 2 * mu) * of_cell(swelling, points)
        return equal + 2 * mu * strain[0, 0], equal + 2 * mu * strain[1, 1]

    return stress
