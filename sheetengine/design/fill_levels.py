"""The level of filling that does most to a leaning face: from the roots of the slope, not from a grid of levels."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from sheetengine.columns import Column

NODES = np.array([0.0, 1.0 / 3.0, 2.0 / 3.0, 1.0])
TO_CUBIC = np.linalg.inv(np.vander(NODES, increasing=True))
"""Takes values at :data:`NODES` to the coefficients of the cubic through them."""


def _turning_points(values: Column) -> Column:
    """Return where the cubic through values at :data:`NODES` has no slope, as two shares of its piece, else ``nan``."""
    _, linear, square, cube = TO_CUBIC @ values
    scale = np.abs(linear) + np.abs(square) + np.abs(cube)
    flat = np.abs(cube) <= 1e-13 * scale
    with np.errstate(divide="ignore", invalid="ignore"):
        root = np.sqrt(square * square - 3.0 * linear * cube)
        # the larger sum first, the other root from the product: no digits are lost where the cube is small
        sum_ = -square - np.where(square < 0.0, -root, root)
        first = np.where(flat, -linear / (2.0 * square), sum_ / (3.0 * cube))
        second = np.where(flat, np.nan, linear / sum_)
    return np.stack([first, second])


def worst_level(effect: Callable[[Column], Column], *, height: Column, full_head: Column) -> Column:
    """Return the level of filling at which an effect of the concrete is greatest, in m.

    On a leaning face the thrust and the weight of the concrete may work against each other, so that the full
    lift need not be the worst. Up to the depth of full head every effect is a cubic in the level, and above
    it another: the greatest is at an end of a piece or where its slope is nil. Where several levels do as much the
    highest is returned, and the full height where an effect is not known. Where the concrete relieves at every
    level the least relief is found, which is none: leaving it out is the caller's.

    Parameters
    ----------
    effect
        Gives the effect at a level above nil of every row; an empty form has none. [m] in, any unit out
    height
        Height of the lift. [m]
    full_head
        Depth down to which the pressure is that of a fluid. [m]

    Returns
    -------
    Column
        Level of the concrete above the joint. [m]

    Examples
    --------
    An effect of 3 h^2 - h^3 turns at 2 m; of two rows, one lift ends below.

    >>> worst_level(lambda h: 3.0 * h**2 - h**3, height=np.array([4.0, 1.5]), full_head=np.full(2, 9.0)).round(9)
    array([2. , 1.5])
    """

    def done(level: Column) -> Column:
        filled = level > 0.0
        return np.where(filled, effect(np.where(filled, level, height)), 0.0)

    bend = np.clip(np.where(np.isnan(full_head), height, full_head), 0.0, height)
    levels = [height, bend]
    for low, high in ((np.zeros_like(height), bend), (bend, height)):
        values = np.stack([done(low + node * (high - low)) for node in NODES])
        for share in _turning_points(values):
            inside = (share > 0.0) & (share < 1.0)
            levels.append(np.where(inside, low + share * (high - low), height))
    levels = [levels[0], *np.sort(np.stack(levels[1:]), axis=0)[::-1]]
    effects = np.stack([done(level) for level in levels])
    unknown = np.isnan(effects[0])
    best = np.argmax(np.where(np.isnan(effects), np.where(unknown, np.inf, -np.inf), effects), axis=0)
    found: Column = np.stack(levels)[best, np.arange(height.size)]
    return found
