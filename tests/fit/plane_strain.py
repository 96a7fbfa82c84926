"""A coat on a deep body as bilinear finite elements in plane strain: an independent model.

Cracks across the coat stand ``apart`` coat thicknesses from each other and end at the body. By
superposition the stress that they relieve presses on their faces.
"""

from __future__ import annotations

import itertools

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve

POISSON = 0.22


def _graded(total: float, first: float, ratio: float = 1.15) -> np.ndarray:
    at = [0.0]
    while at[-1] < total:
        at.append(at[-1] + first * ratio ** (len(at) - 1))
    return np.array(at) * total / at[-1]


def channel_energy(apart: float, stiffness: float = 1.0, fineness: int = 32) -> float:
    """G Ebar_coat/(sigma² h) of cracks that run across the coat together.

    ``stiffness`` is that of the coat over that of the body. By symmetry half a cell is meshed; the
    error is about that of halving the elements at the crack (1/fineness of the coat).
    """
    x = _graded(0.5 * apart, 0.5 / fineness)
    half = _graded(0.5, 0.25 / fineness)
    body = -_graded(max(12.0, 2.0 * apart), 0.25 / fineness)[::-1]
    y = np.concatenate([body, half[1:], 1.0 - half[-2::-1]])
    nx, ny, bond = len(x), len(y), len(body) - 1

    i, j = (grid.ravel() for grid in np.meshgrid(range(nx - 1), range(ny - 1), indexing="ij"))
    dx, dy = np.diff(x)[i], np.diff(y)[j]
    modulus = np.where(j >= bond, stiffness, 1.0) * (1.0 - POISSON**2)
    lame = modulus / ((1.0 + POISSON) * (1.0 - 2.0 * POISSON))
    shear = 0.5 * (1.0 - 2.0 * POISSON)
    law = np.array([[1 - POISSON, POISSON, 0], [POISSON, 1 - POISSON, 0], [0, 0, shear]])
    corners = np.stack([i * ny + j, (i + 1) * ny + j, (i + 1) * ny + j + 1, i * ny + j + 1], 1)
    stiff = np.zeros((len(i), 8, 8))
    for a, b in itertools.product((-1 / np.sqrt(3), 1 / np.sqrt(3)), repeat=2):
        slope = 0.25 * np.array([[b - 1, 1 - b, 1 + b, -1 - b], [a - 1, -1 - a, 1 + a, 1 - a]])
        strain = np.zeros((len(i), 3, 8))
        strain[:, 0, 0::2] = strain[:, 2, 1::2] = slope[0] * 2.0 / dx[:, None]
        strain[:, 1, 1::2] = strain[:, 2, 0::2] = slope[1] * 2.0 / dy[:, None]
        inner = np.einsum("eki,kl,elj->eij", strain, law, strain)
        stiff += (lame * dx * dy / 4.0)[:, None, None] * inner

    freedom = np.stack([2 * corners, 2 * corners + 1], 2).reshape(len(i), 8)
    size = 2 * nx * ny
    where = np.repeat(freedom, 8, 1).ravel(), np.tile(freedom, (1, 8)).ravel()
    matrix = coo_matrix((stiff.ravel(), where), shape=(size, size)).tocsc()
    force = np.zeros(size)
    face = np.arange(bond, ny)
    np.add.at(force, 2 * face[:-1], 0.5 * np.diff(y[bond:]))
    np.add.at(force, 2 * face[1:], 0.5 * np.diff(y[bond:]))
    held = [
        2 * np.arange(bond + 1),
        2 * ((nx - 1) * ny + np.arange(ny)),
        2 * np.arange(nx) * ny + 1,
    ]
    free = np.setdiff1d(np.arange(size), np.concatenate(held))
    moved = np.zeros(size)
    moved[free] = spsolve(matrix[free][:, free], force[free])
    return stiffness * float(moved @ force)
