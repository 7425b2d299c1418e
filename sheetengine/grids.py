"""A sheet as it was read: raw values with addresses, before anything is made of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sheetengine.cells import RangeRef


@dataclass(frozen=True, slots=True)
class Grid:
    """Raw cells of one sheet.

    Attributes
    ----------
    sheet
        Name of the sheet, as the book spells it.
    rows
        Values row by row from A1 on: number, text, bool, date-time, time, or ``None``. A formula gives its cached value.
        Cell errors stand as their text, ``#DIV/0!``.
    uncached
        Row and column of each formula that has no cached value.
    errors
        Row and column of each cell that holds an error value.
    merged
        Merged ranges.
    hidden_rows, hidden_columns
        Rows and columns that the spreadsheet program does not show.
    """

    sheet: str
    rows: Sequence[Sequence[object]]
    uncached: frozenset[tuple[int, int]] = frozenset()
    errors: frozenset[tuple[int, int]] = frozenset()
    merged: tuple[RangeRef, ...] = ()
    hidden_rows: frozenset[int] = frozenset()
    hidden_columns: frozenset[int] = frozenset()

    def value(self, row: int, column: int) -> object:
        """Return the value at row and column, from 1; ``None`` beyond what was read."""
        if row > len(self.rows) or column > len(self.rows[row - 1]):
            return None
        return self.rows[row - 1][column - 1]
