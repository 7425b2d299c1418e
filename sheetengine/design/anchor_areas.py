"""Areas that the cones of neighbouring anchors cover together, exact, and which anchors are neighbours.

All anchors of a group have squares (or stretches) of one size, cut by the same straight edges.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from sheetengine.columns import Column

Index = NDArray[np.int64]


def near_pairs(lift: Index, x: Column, y: Column, half: Column) -> tuple[Index, Index]:
    """Return the pairs of anchors of one lift whose squares overlap; the second lies further along the face.

    Parameters
    ----------
    lift
        Lift of every anchor; anchors are sorted by lift and position. [-]
    x, y
        Position along the face and depth. [m]
    half
        Half the side of every anchor's square. [m]

    Examples
    --------
    By hand: 0.5 apart overlap where the halves are 0.3 each; 0.7 apart do not, nor do two lifts.

    >>> first, second = near_pairs(np.array([0, 0, 0, 1]), np.array([1.0, 1.5, 2.2, 2.2]), np.zeros(4), np.full(4, 0.3))
    >>> first.tolist(), second.tolist()
    ([0], [1])
    """
    found: list[tuple[Index, Index]] = []
    widest = 2.0 * float(np.max(half, initial=0.0))
    at = np.arange(x.size, dtype=np.int64)
    step = 1
    while at.size:
        at = at[at + step < x.size]
        other = at + step
        at = at[(lift[other] == lift[at]) & (x[other] - x[at] < widest)]
        other = at + step
        reach = half[at] + half[other]
        meet = (x[other] - x[at] < reach) & (np.abs(y[other] - y[at]) < reach)
        found.append((at[meet], other[meet]))
        step += 1
    if not found:
        return at, at
    return np.concatenate([pair[0] for pair in found]), np.concatenate([pair[1] for pair in found])


def linked(count: int, first: Index, second: Index) -> Index:
    """Return the group of each of ``count`` anchors, numbered in the order of their first member.

    >>> linked(4, np.array([0, 1]), np.array([1, 3])).tolist()
    [0, 0, 1, 0]
    """
    links = coo_matrix((np.ones(first.size, dtype=np.int8), (first, second)), shape=(count, count))
    _, label = connected_components(links, directed=False)
    _, start, group = np.unique(label, return_index=True, return_inverse=True)
    rank = np.empty_like(start)
    rank[np.argsort(start)] = np.arange(start.size)
    return np.asarray(rank[group], dtype=np.int64)


def union_areas(
    group: Index,
    x: Column,
    y: Column,
    reach: Column,
    *,
    left: Column,
    right: Column,
    low: Column,
    high: Column,
) -> Column:
    """Return the area that the squares of each group cover together, cut by a rectangle.

    The face is cut into strips at every vertical side; within a strip the covered height is a sum over the
    squares that cross it, sorted by height. No anchor is looked at alone.

    Parameters
    ----------
    group
        Group of every anchor, 0, 1, 2 ... [-]
    x, y
        Centre of the square. [m]
    reach
        Half its side, the same within a group. [m]
    left, right, low, high
        Sides of the rectangle that cuts, the same within a group, round every centre. [m]

    Returns
    -------
    Column
        Area of each group. [m2]

    Examples
    --------
    Two squares of 0.6 m side whose centres are 0.4 m apart, and one alone that is cut 0.1 m above its centre.
    By hand: (0.4 + 0.6) x 0.6 = 0.6; 0.6 x 0.4 = 0.24.

    >>> far = np.full(3, 9.0)
    >>> union_areas(np.array([0, 0, 1]), np.array([1.0, 1.4, 1.0]), np.zeros(3), np.full(3, 0.3),
    ...     left=-far, right=far, low=-far, high=np.array([9.0, 9.0, 0.1])).round(6)
    array([0.6 , 0.24])
    """
    count = int(np.max(group, initial=-1)) + 1
    order = np.lexsort((x, group))
    group, x, y, reach, low, high = group[order], x[order], y[order], reach[order], low[order], high[order]
    begins, ends = np.maximum(x - reach, left[order]), np.minimum(x + reach, right[order])
    side = np.concatenate([begins, ends])
    of = np.concatenate([group, group])
    closes = np.repeat([0, 1], x.size)
    sweep = np.lexsort((closes, side, of))
    side, of, closes = side[sweep], of[sweep], closes[sweep]
    closed = np.cumsum(closes)
    opened = np.arange(1, closes.size + 1) - closed
    wide = np.append(np.where(of[1:] == of[:-1], side[1:] - side[:-1], 0.0), 0.0)
    strips = np.flatnonzero(wide != 0.0)  # nan is kept
    first, across = closed[strips], (opened - closed)[strips]
    area = np.zeros(strips.size)
    for many in np.unique(across).tolist():
        own = np.flatnonzero(across == many)
        members = first[own][:, None] + np.arange(many)
        centre = np.sort(y[members], axis=1)
        half, floor, roof = (column[members[:, :1]] for column in (reach, low, high))
        top = np.minimum(centre + half, roof)
        bottom = np.maximum(centre - half, floor)
        bottom[:, 1:] = np.maximum(bottom[:, 1:], top[:, :-1])
        area[own] = wide[strips[own]] * np.sum(np.maximum(top - bottom, 0.0), axis=1)
    return np.asarray(np.bincount(of[strips], weights=area, minlength=count), dtype=np.float64)


def union_lengths(group: Index, x: Column, reach: Column, *, left: Column, right: Column) -> Column:
    """Return the length that the stretches ``x - reach`` to ``x + reach`` of each group cover together.

    Arguments as for :func:`union_areas`. [m]

    >>> union_lengths(np.array([0, 0]), np.array([1.0, 1.4]), np.full(2, 0.3), left=np.full(2, 0.9), right=np.full(2, 9.0))
    array([0.8])

    By hand: 0.9 to 1.7.
    """
    order = np.lexsort((x, group))
    group, x, reach = group[order], x[order], reach[order]
    begins, ends = np.maximum(x - reach, left[order]), np.minimum(x + reach, right[order])
    same = np.append(False, group[1:] == group[:-1])
    before = np.append(-np.inf, ends[:-1])
    begins = np.where(same, np.maximum(begins, before), begins)
    return np.asarray(np.bincount(group, weights=np.maximum(ends - begins, 0.0)), dtype=np.float64)
