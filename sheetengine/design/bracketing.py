"""The greatest value of a smooth effect over a range, bracketed so that none is missed."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import numpy as np
from numpy.typing import NDArray

from sheetengine.columns import Column

Effect = Callable[[NDArray[np.int64], list[Column]], Column]
"""Takes the row and the place in every direction, one entry a point, and gives the effect there."""

FINENESS = 1e-9
"""What may be missed, as a share of the greatest value."""
MOST_ROUNDS = 80


def greatest(
    effect: Effect,
    low: list[Column],
    high: list[Column],
    bend: list[Column],
    *,
    fineness: float = FINENESS,
    above: Column | None = None,
) -> tuple[Column, list[Column]]:
    r"""Return the greatest value of an effect over a box for every row, and where it stands.

    Parameters
    ----------
    effect
        What is to be greatest; not negative.
    low, high
        Ends of the box in every direction, one entry a row.
    bend
        How far the second derivative in that direction may fall below nothing, at most, one entry a row.
    fineness
        What may be missed, as a share of the greatest value.
    above
        Values not above these are of no interest; the place is then the low end.

    Notes
    -----
    With :math:`f'' \ge -k` the function :math:`f + k x^2 / 2` is convex, and on a piece of the length
    :math:`h` no greater than at its ends: :math:`f` exceeds its ends by at most :math:`k h^2 / 8`, in two
    directions by the sum of both. A piece whose bound does not exceed the greatest value found is done
    with; the others are halved. Nothing is sampled on trust. A maximum of such functions is one again.

    Examples
    --------
    By hand: x (3 - x) is greatest at 1.5, with 2.25; its second derivative is -2.

    >>> value, place = greatest(lambda row, at: at[0] * (3.0 - at[0]), [np.zeros(1)], [np.full(1, 2.8)],
    ...     [np.full(1, 2.0)])
    >>> value.round(8), place[0].round(3)
    (array([2.25]), array([1.5]))
    """
    count, ways = low[0].size, len(low)
    row = np.arange(count, dtype=np.int64)
    box = [(low[way].astype(np.float64), high[way].astype(np.float64)) for way in range(ways)]
    best = np.full(count, -np.inf) if above is None else above.astype(np.float64)
    where = [low[way].astype(np.float64) for way in range(ways)]
    corners = list(product((0, 1), repeat=ways))
    for _ in range(MOST_ROUNDS):
        places = [np.concatenate([box[way][corner[way]] for corner in corners]) for way in range(ways)]
        rows = np.tile(row, len(corners))
        values = effect(rows, places)
        with np.errstate(invalid="ignore"):  # a blank stays one
            np.maximum.at(best, rows, values)
        hits = np.flatnonzero(values == best[rows])
        for way in range(ways):
            where[way][rows[hits]] = places[way][hits]
        slack = [bend[way][row] * (box[way][1] - box[way][0]) ** 2 / 8.0 for way in range(ways)]
        bound = np.max(values.reshape(len(corners), row.size), axis=0) + np.sum(slack, axis=0)
        left = bound > best[row] * (1.0 + fineness) + 1e-14
        if not left.any():
            break
        row, widest = row[left], np.argmax(np.stack(slack)[:, left], axis=0)
        halves = []
        for way in range(ways):
            start, end = box[way][0][left], box[way][1][left]
            middle = np.where(widest == way, (start + end) / 2.0, end)
            again = np.where(widest == way, middle, start)
            halves.append((np.concatenate([start, again]), np.concatenate([middle, end])))
        row, box = np.concatenate([row, row]), halves
    unknown = np.isnan(best)
    return best, [np.where(unknown, np.nan, place) for place in where]
