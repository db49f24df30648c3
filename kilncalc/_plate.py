"""A flat tile of uneven thickness as a plate: what strains and bends when its cells want to.

Square cells, flush on z = 0. Four-node rectangles for the membrane and Adini-Clough-Melosh rectangles for the
bending, joined through the height of the cell's middle over z = 0, where the unknowns are counted.
"""

from functools import cached_property

import numpy as np
import scipy.sparse as sparse
from scipy.sparse.linalg import splu

# what may be out of balance before the last round, as a share of the largest energy; how often to try. A
# hundredth of the load, and of that only the last round's rest: small thick parts hold little of the energy.
_ENOUGH, _ROUNDS = 1e-4, 12

_X, _Y = np.array([-1, 1, 1, -1]), np.array([-1, -1, 1, 1])
"""Corners of a cell in its own coordinates, counted round it."""


class Plate:
    """The elastic answer of a tile to strains that its cells want to take, factorised once.

    With `bends` False the tile is held flat: only the membrane is left.

    The stress of the cells is an array (row, cell) [Pa]: three rows for xx, yy and xy of its mean through the
    thickness, three for the straight line (its value at the top face), one for the parabola's xx = yy; and a
    row for each way in which strain varies within a cell. Those ways carry load as well: a balance of the
    means alone lets them run away when it is asked for step after step.
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
        felt, across = [self.area * self.membrane], []
        within = [(stretch - self._energy([(self.membrane, 1.0)]), self.thickness)]
        if bends:
            felt.append(self.area * self.bending)
            within.append((bend - self.area * mean, self.thickness**3 / 12))
        for energy, weight in within:
            size, way = np.linalg.eigh(energy)
            kept = size > 1e-6 * size.max()
            felt.append((way[:, kept] * np.sqrt(size[kept])).T)
            across += [weight] * int(kept.sum())
        self._felt, self._weights = np.concatenate(felt), np.array(across)
        self.rows = 7 + len(across)
        self.free = np.setdiff1d(np.arange(count), fixed)
        self.count = count
        held = self._held(stiffness)
        del stiffness  # a cell has 400 numbers of it: not while the factors are worked out
        self._solve = splu(
            held,
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},
        ).solve

    def _held(self, stiffness: np.ndarray) -> sparse.csc_matrix:
        """Return the stiffness of all cells together, for the free unknowns."""
        number = np.full(self.count, -1, dtype=np.int32)
        number[self.free] = np.arange(self.free.size)
        places = number[self.places]
        row, column = np.broadcast_arrays(places[:, :, None], places[:, None, :])
        free = (row >= 0) & (column >= 0)
        entries = (stiffness[free], (row[free], column[free]))
        return sparse.coo_matrix(entries, shape=(self.free.size,) * 2).tocsc()

    def _energy(self, strains: list[tuple[np.ndarray, float]]) -> np.ndarray:
        return self.area * np.sum([w * b.T @ self.elastic @ b for b, w in strains], axis=0)

    @cached_property
    def _gather(self) -> sparse.csr_matrix:
        size = self.places.size
        every = sparse.coo_matrix(
            (np.ones(size), (self.places.T.ravel(), np.arange(size))), shape=(self.count, size)
        )
        return every.tocsr()[self.free]

    def loads(self, stress: np.ndarray) -> np.ndarray:
        """Return the forces at the free unknowns with which the stress of the cells pulls."""
        d, mean, line = self.thickness, stress[:3], stress[3:6]
        parts = [d * mean]
        if self.bends:
            parts.append(d * d / 2 * mean + d * d / 6 * line)
        parts.append(self._weights * stress[7:])
        return self._gather @ (self._felt.T @ np.concatenate(parts)).ravel()

    def stressed(self, moved: np.ndarray) -> np.ndarray:
        """Return the stress of the cells that moving the free unknowns makes."""
        everywhere = np.zeros(self.count)
        everywhere[self.free] = moved
        felt = self._felt @ everywhere[self.places.T]
        stress = np.zeros((self.rows, self.thickness.size))
        stress[:3] = self.elastic @ felt[:3] / self.area
        if self.bends:
            stress[3:6] = self.thickness / 2 * (self.elastic @ felt[3:6]) / self.area
            stress[:3] += stress[3:6]
        stress[7:] = felt[-len(self._weights) :]
        return stress

    def spring(self, stress: np.ndarray) -> tuple[np.ndarray, float]:
        """Return the stress with which the whole tile answers one out of balance, and the energy of that."""
        load = -self.loads(stress)
        moved = self._solve(load)
        return self.stressed(moved), float(load @ moved)

    def answer(
        self, stress: np.ndarray, share: np.ndarray, guess: np.ndarray, largest: float
    ) -> tuple[np.ndarray, np.ndarray, float]:
        """Return how the free unknowns move until the stress of the cells is in balance, what stress that
        makes in cells of whole stiffness, and the most energy that was out of balance.

        Only a `share` of each cell's stiffness is left: conjugate gradients from a `guess`, with the whole
        stiffness as preconditioner. `largest` is an energy to compare with.
        """
        moved, made = guess, self.stressed(guess)
        rest = -self.loads(stress + share * made)
        course, before, most = np.zeros_like(rest), 1.0, 0.0
        for _ in range(_ROUNDS):
            towards = self._solve(rest)
            product = float(rest @ towards)
            if product <= 0.0:
                break
            most = max(most, product)
            course = towards + product / before * course
            before = product
            makes = self.stressed(course)
            pulls = self.loads(share * makes)
            along = product / float(course @ pulls)
            moved, made = moved + along * course, made + along * makes
            if product <= _ENOUGH * max(most, largest):
                break
            rest -= along * pulls
        return moved, made, most


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
