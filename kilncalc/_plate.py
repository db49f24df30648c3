"""A flat tile of uneven thickness as a plate: what strains and bends when its cells want to.

Square cells, flush on z = 0. Four-node rectangles for the membrane and Adini-Clough-Melosh rectangles for the
bending, joined through the height of the cell's middle over z = 0, where the unknowns are counted.
"""

from functools import cached_property

import numpy as np
import scipy.sparse as sparse
from scipy.sparse.linalg import splu

_X, _Y = np.array([-1, 1, 1, -1]), np.array([-1, -1, 1, 1])
"""Corners of a cell in its own coordinates, counted round it."""


class Plate:
    """The elastic answer of a tile to strains that its cells want to take, factorised once.

    With `bends` False the tile is held flat: only the membrane is left.
    """

    def __init__(
        self, thickness: np.ndarray, cell: float, youngs_modulus: float, poissons_ratio: float, *, bends: bool
    ) -> None:
        nu = poissons_ratio
        self.thickness = thickness.ravel()
        self.bends = bends
        self.elastic = youngs_modulus / (1 - nu**2) * np.array([[1, nu, 0], [nu, 1, 0], [0, 0, (1 - nu) / 2]])
        self.area = cell * cell
        ny, nx = thickness.shape
        unknowns = 5 if bends else 2
        row, column = np.mgrid[:ny, :nx]
        first = (row * (nx + 1) + column).ravel()
        corners = np.stack([first, first + 1, first + nx + 2, first + nx + 1], axis=1)
        self.places = (unknowns * corners[:, :, None] + np.arange(unknowns)).reshape(-1, 4 * unknowns)
        count = unknowns * (nx + 1) * (ny + 1)
        half = cell / 2
        points, weights = np.polynomial.legendre.leggauss(3)
        grid = [
            (x, y, p * q / 4)
            for x, p in zip(points, weights, strict=True)
            for y, q in zip(points, weights, strict=True)
        ]
        self.membrane: np.ndarray = _membrane(0.0, 0.0, half, unknowns)
        stretch = self._energy([(_membrane(x, y, half, unknowns), w) for x, y, w in grid])
        stiffness = self.thickness[:, None, None] * stretch
        # no rigid motion: one corner does not move, the next does not turn round it
        fixed = [0, 1, unknowns * nx + 1]
        if bends:
            self.bending: np.ndarray = np.sum([w * _bending(x, y, half) for x, y, w in grid], axis=0)
            joint = (
                self.membrane.T @ self.elastic @ self.bending + self.bending.T @ self.elastic @ self.membrane
            )
            mean = self.bending.T @ self.elastic @ self.bending
            bend = self._energy([(_bending(x, y, half), w) for x, y, w in grid])
            d2, d3 = (self.thickness[:, None, None] ** power for power in (2, 3))
            stiffness = stiffness + self.area * (d2 / 2 * joint + d3 / 4 * mean) + d3 / 12 * bend
            fixed += [5 * corner + 2 for corner in (0, nx, (nx + 1) * ny)]
        rows = np.repeat(self.places, 4 * unknowns, axis=1).ravel()
        columns = np.tile(self.places, (1, 4 * unknowns)).ravel()
        whole = sparse.coo_matrix((stiffness.ravel(), (rows, columns)), shape=(count, count)).tocsc()
        self.free = np.setdiff1d(np.arange(count), fixed)
        self.count = count
        self._solve = splu(
            whole[self.free][:, self.free].tocsc(),
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},
        ).solve

    def _energy(self, strains: list[tuple[np.ndarray, float]]) -> np.ndarray:
        return self.area * np.sum([w * b.T @ self.elastic @ b for b, w in strains], axis=0)

    @cached_property
    def _gather(self) -> sparse.csr_matrix:
        size = self.places.size
        every = sparse.coo_matrix(
            (np.ones(size), (self.places.ravel(), np.arange(size))), shape=(self.count, size)
        )
        return every.tocsr()[self.free]

    def answer(self, force: np.ndarray, moment: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return the strain at z = 0 and the curvature (cell, 3) that balance what the cells would carry.

        `force` (cell, 3) [N/m] and `moment` about z = 0 (cell, 3) [N] are the integrals of the stress that
        the tile has to answer, with the sign of a stress that pulls outwards on the cell's neighbours.
        """
        loads = force @ self.membrane
        if self.bends:
            loads = loads + moment @ self.bending
        moved = np.zeros(self.count)
        moved[self.free] = self._solve(self._gather @ (self.area * loads).ravel())
        at_corners = moved[self.places]
        strain = at_corners @ self.membrane.T
        curvature = at_corners @ self.bending.T if self.bends else np.zeros_like(strain)
        return strain, curvature


def _membrane(x: float, y: float, half: float, unknowns: int) -> np.ndarray:
    """Strain (xx, yy, 2xy) of the corner displacements u, v at a place of the cell, -1 to 1."""
    across, along = _X * (1 + _Y * y) / 4 / half, _Y * (1 + _X * x) / 4 / half
    strain = np.zeros((3, 4 * unknowns))
    strain[0, 0::unknowns] = strain[2, 1::unknowns] = across
    strain[1, 1::unknowns] = strain[2, 0::unknowns] = along
    return strain


def _bending(x: float, y: float, half: float) -> np.ndarray:
    """Curvature (-w_xx, -w_yy, -2 w_xy) of corner deflections w and slopes w_x, w_y at a place, -1 to 1."""
    p, q, a = _X * x, _Y * y, half
    bend = np.zeros((3, 20))
    bend[0, 2::5] = 0.75 * p * (1 + q) / a**2
    bend[0, 3::5] = -_X * (1 + q) * (6 * p + 2) / 8 / a
    bend[1, 2::5] = 0.75 * q * (1 + p) / a**2
    bend[1, 4::5] = -_Y * (1 + p) * (6 * q + 2) / 8 / a
    bend[2, 2::5] = -_X * _Y * (4 - 3 * p * p - 3 * q * q) / 4 / a**2
    bend[2, 3::5] = -_Y * (3 * p * p + 2 * p - 1) / 4 / a
    bend[2, 4::5] = -_X * (3 * q * q + 2 * q - 1) / 4 / a
    return bend
