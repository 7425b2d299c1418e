"""Where a ratio meets its limit between a value that keeps it and one that breaks it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.optimize import elementwise

from sheetengine.columns import Column
from sheetengine.design.layout import Index

TOLERANCE = 1e-12


def crossing(excess: Callable[[Column, Index], Column], kept: Column, broken: Column, rows: Index) -> Column:
    """Return, between a value that keeps the limit and one that breaks it, the last value that keeps it.

    A jump of the ratio is met at its foot: the value returned is always one at which the limit is kept.
    """
    if not rows.size:
        return kept

    def asked(value: Column, row: Column) -> Column:
        return excess(value, row.astype(np.int64))

    solved = elementwise.find_root(
        asked,
        (kept, broken),
        args=(rows.astype(np.float64),),
        tolerances={"xatol": 0.0, "xrtol": TOLERANCE, "fatol": 0.0, "frtol": 0.0},
        maxiter=200,
    )
    left, right = solved.bracket
    keeps_left, keeps_right = solved.f_bracket[0] <= 0.0, solved.f_bracket[1] <= 0.0
    last = np.where(
        keeps_right & (~keeps_left | (np.abs(right - broken) < np.abs(left - broken))), right, left
    )
    found: Column = np.where(solved.f_x <= 0.0, solved.x, np.where(keeps_left | keeps_right, last, np.nan))
    return found
