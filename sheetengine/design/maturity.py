"""Equivalent age at the anchors, and the hour at which an equivalent age is reached."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sheetengine.columns import Column
from sheetengine.design.layout import Index

Matrix = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Maturity:
    """Equivalent age of the concrete at the anchors, exact for a rate that is linear between hourly nodes.

    Attributes
    ----------
    start
        Hour of the first node of each lift. [h]
    rate
        Equivalent hours gained in an hour, at the nodes; lifts by hours.
    total
        Equivalent age at the nodes. [h]
    """

    start: Column
    rate: Matrix
    total: Matrix

    @property
    def hours(self) -> int:
        """Hours from the first to the last node."""
        return int(self.total.shape[1]) - 1

    def age_at(self, lift: Index, hour: Column) -> Column:
        """Return the equivalent age of the lifts at the hours; 0 before the start, held after the last node, in hours.

        A negative lift, or an hour that is ``nan``, gives ``nan``.
        """
        row = np.maximum(lift, 0)
        since = np.minimum(np.maximum(hour - self.start[row], 0.0), float(self.hours))
        cell = np.minimum(np.nan_to_num(np.floor(since)), self.hours - 1).astype(np.int64)
        part = since - cell
        first, last = self.rate[row, cell], self.rate[row, cell + 1]
        age = self.total[row, cell] + first * part + 0.5 * (last - first) * part**2
        return np.where(lift >= 0, age, np.nan)

    def hour_of(self, lift: Index, age: Column) -> Column:
        """Return the hour at which the lifts reach the equivalent ages, ``inf`` where they never do, in hours.

        A negative lift, or an age that is ``nan``, gives ``nan``.
        """
        row = np.maximum(lift, 0)
        wanted = np.nan_to_num(age, nan=0.0)
        cell = np.empty(row.size, dtype=np.int64)
        for lo in range(0, row.size, 4096):
            part = slice(lo, lo + 4096)
            cell[part] = (self.total[row[part]] < wanted[part, None]).sum(axis=1)
        reached = cell <= self.hours
        cell = np.clip(cell - 1, 0, self.hours - 1)
        first, last = self.rate[row, cell], self.rate[row, cell + 1]
        rest = np.maximum(wanted - self.total[row, cell], 0.0)
        slope = last - first
        root = np.sqrt(np.maximum(first**2 + 2.0 * slope * rest, 0.0))
        with np.errstate(divide="ignore", invalid="ignore"):
            part_hour = np.where(rest > 0.0, 2.0 * rest / (first + root), 0.0)
        hour = self.start[row] + cell + np.minimum(part_hour, 1.0)
        hour = np.where(reached, hour, np.inf)
        return np.where((lift >= 0) & ~np.isnan(age), hour, np.nan)


def maturity_of(start: Column, rate: Matrix) -> Maturity:
    """Return the equivalent age that a rate at hourly nodes adds up to."""
    steps = 0.5 * (rate[:, 1:] + rate[:, :-1])
    total = np.zeros_like(rate)
    np.cumsum(steps, axis=1, out=total[:, 1:])
    return Maturity(start, rate, total)
