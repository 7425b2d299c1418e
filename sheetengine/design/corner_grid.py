"""The grid at the corner of face and joint, and its conduction as small dense inverses, for many lifts at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sheetengine.columns import Column

Matrix = NDArray[np.float64]


def graded(length: Column, cells: int, growth: float, *, both_ends: bool = False) -> Matrix:
    """Return the widths of cells that grow from the start inward, or from both ends, by a fixed ratio.

    Parameters
    ----------
    length
        Whole length of each row. [m]
    cells, growth
        Number of cells, and ratio of neighbours.
    both_ends
        Whether the cells are fine at both ends.

    Returns
    -------
    Matrix
        Rows by cells. [m]
    """
    place = np.arange(cells, dtype=np.float64)
    share = growth ** (np.minimum(place, place[::-1]) if both_ends else place)
    return np.asarray(length[:, None] * share / share.sum())


def inverses(
    width: Matrix, conductivity: Column, capacity: Column, first: Column, last: Column, step: float,
    cut: int | None = None,
) -> Matrix:  # fmt: skip
    """Return the inverses of one implicit step of conduction along a line of cells.

    Parameters
    ----------
    width
        Rows by cells. [m]
    conductivity, capacity
        One entry a row. [W/m/K], [Wh/m3/K]
    first, last
        Conductance from the middle of the outer cells to the air; 0 for none. [W/m2/K]
    step
        Length of the step. [h]
    cut
        Cell from which on the line is not there yet; ``last`` then holds for the cell before it.

    Returns
    -------
    Matrix
        Rows by cells by cells.
    """
    rows, cells = width.shape
    link = 2.0 * conductivity[:, None] / (width[:, 1:] + width[:, :-1])
    end = cells if cut is None else cut
    link[:, end - 1 :] = 0.0
    matrix = np.zeros((rows, cells, cells))
    here = np.arange(cells - 1)
    matrix[:, here, here] += link
    matrix[:, here + 1, here + 1] += link
    matrix[:, here, here + 1] -= link
    matrix[:, here + 1, here] -= link
    matrix[:, 0, 0] += first
    matrix[:, end - 1, end - 1] += last
    matrix *= step / (capacity[:, None] * width)[:, :, None]
    return np.asarray(np.linalg.inv(matrix + np.eye(cells)))


def to_air(width: Column, conductivity: Column, film: Column) -> Column:
    """Return the conductance from the middle of a cell through its surface to the air. [W/m2/K]."""
    with np.errstate(divide="ignore"):
        return np.asarray(1.0 / (1.0 / film + width / (2.0 * conductivity)))
