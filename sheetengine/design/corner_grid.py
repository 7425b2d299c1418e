"""The grid at the corner of face and joint, and its conduction as small dense inverses, for many lifts at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sheetengine.columns import Column

Matrix = NDArray[np.float64]


def shares(cells: int, growth: float, *, both_ends: bool = False) -> Column:
    """Return the parts of a length that cells take which grow from its start inward, or from both ends, by a fixed ratio."""
    place = np.arange(cells, dtype=np.float64)
    share = growth ** (np.minimum(place, place[::-1]) if both_ends else place)
    return np.asarray(share / share.sum())


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
    return np.asarray(length[:, None] * shares(cells, growth, both_ends=both_ends))


def overlaps(old: Column, new: Column) -> Matrix:
    """Return what takes means over the cells ``old`` of a length to means over the cells ``new`` of the same length.

    Parameters
    ----------
    old, new
        Parts of the length that the cells take; each adds up to 1.

    Returns
    -------
    Matrix
        New by old cells; every row adds up to 1, and what the cells hold together is kept.
    """
    first, second = np.concatenate([[0.0], np.cumsum(old)]), np.concatenate([[0.0], np.cumsum(new)])
    shared = np.minimum(first[None, 1:], second[1:, None]) - np.maximum(first[None, :-1], second[:-1, None])
    return np.asarray(np.maximum(shared, 0.0) / new[:, None])


def inverses(
    width: Matrix, conductivity: Matrix, capacity: Matrix, first: Column, last: Column, step: float,
    built: NDArray[np.bool_] | None = None,
) -> Matrix:  # fmt: skip
    """Return the inverses of one implicit step of conduction along a line of cells.

    Parameters
    ----------
    width
        Rows by cells. [m]
    conductivity, capacity
        Of the cells, rows by cells or a row that holds for all. [W/m/K], [Wh/m3/K]
    first, last
        Conductance from the middle of the outer cells to the air; 0 for none. [W/m2/K]
    step
        Length of the step. [h]
    built
        Rows by cells: which cells are there yet, from the first on; the others keep what they have, and ``last``
        then holds for the last one that is there. All, if not given.

    Returns
    -------
    Matrix
        Rows by cells by cells.
    """
    rows, cells = width.shape
    half = width / (2.0 * conductivity)
    link = 1.0 / (half[:, 1:] + half[:, :-1])
    there = np.ones((rows, cells), dtype=bool) if built is None else built
    link = np.where(there[:, 1:], link, 0.0)
    end = there.sum(axis=1) - 1
    matrix = np.zeros((rows, cells, cells))
    here = np.arange(cells - 1)
    matrix[:, here, here] += link
    matrix[:, here + 1, here + 1] += link
    matrix[:, here, here + 1] -= link
    matrix[:, here + 1, here] -= link
    matrix[:, 0, 0] += first
    matrix[np.arange(rows), end, end] += last
    matrix *= (step / (capacity * width))[:, :, None]
    return np.asarray(np.linalg.inv(matrix + np.eye(cells)))


def to_air(width: Column, conductivity: Column, film: Column) -> Column:
    """Return the conductance from the middle of a cell through its surface to the air. [W/m2/K]."""
    with np.errstate(divide="ignore"):
        return np.asarray(1.0 / (1.0 / film + width / (2.0 * conductivity)))
