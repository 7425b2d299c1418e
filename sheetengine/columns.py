"""Columns of one sheet, each entry with the sheet row it came from."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from sheetengine.cells import CellRef

if TYPE_CHECKING:
    import pandas as pd

Column = NDArray[np.float64]
Flags = NDArray[np.bool_]
Texts = NDArray[np.object_]
Rows = NDArray[np.int64]

_EPOCH = dt.datetime(1899, 12, 30)


def hours_of(moment: dt.datetime) -> float:
    """Return a date and time as hours since 30 December 1899, without a time zone."""
    return (moment.replace(tzinfo=None) - _EPOCH) / dt.timedelta(hours=1)


def moment_of(hours: float) -> dt.datetime | None:
    """Return the date and time, to the second, of hours since 30 December 1899; ``None`` for ``nan``."""
    if not np.isfinite(hours):
        return None
    return _EPOCH + dt.timedelta(seconds=round(hours * 3600.0))


def months_of(hours: Column) -> Texts:
    """Return year and month, ``2031-04``, of each entry; an empty text where there is none."""
    moments = (moment_of(value) for value in hours.tolist())
    return texts("" if moment is None else f"{moment:%Y-%m}" for moment in moments)


def texts(values: Any) -> Texts:
    """Return an object column of the values, never a matrix of characters."""
    listed = list(values)
    column = np.empty(len(listed), dtype=object)
    column[:] = listed
    return column


class _Pairs(dict[tuple[Any, Any], int]):
    """Item by two texts as they are written, found once for each spelling; -1 for an unknown pair."""

    def __init__(self, firsts: Texts, seconds: Texts) -> None:
        super().__init__()
        self.plain = {
            (str(first).casefold(), str(second).casefold()): item
            for item, (first, second) in enumerate(zip(firsts, seconds, strict=True))
        }

    def __missing__(self, pair: tuple[Any, Any]) -> int:
        item = self.plain.get((str(pair[0]).casefold(), str(pair[1]).casefold()), -1)
        self[pair] = item
        return item


@dataclass(slots=True)
class Table:
    """One sheet's items: a column for each heading, in the engine's units.

    Attributes
    ----------
    sheet
        Name of the sheet.
    numbers
        Numeric columns, in base units; dates as hours since 30 December 1899; yes/no as 1.0 and 0.0.
        ``nan`` where the cell is blank and the heading has no default.
    labels
        Text columns; an empty text where the cell is blank.
    raw
        Key columns as the cells hold them, number or text, so that lookups of the office still match.
    rows
        Sheet row of every item.
    at_columns
        Sheet column of every heading that the sheet holds.
    given
        Where the cell held a value; elsewhere the default was taken.
    units
        Unit text of every numeric heading, as the user wrote it.
    head_row
        Sheet row of the headings, 0 where the sheet is not there.
    """

    sheet: str
    numbers: dict[str, Column] = field(default_factory=dict)
    labels: dict[str, Texts] = field(default_factory=dict)
    raw: dict[str, Texts] = field(default_factory=dict)
    rows: Rows = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    at_columns: dict[str, int] = field(default_factory=dict)
    given: dict[str, Flags] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    head_row: int = 0

    def __len__(self) -> int:
        """Return the number of items."""
        return int(self.rows.size)

    def at(self, item: int, name: str) -> CellRef:
        """Return the cell of an item under a heading; the heading's row where the column is absent."""
        column = self.at_columns.get(name)
        if column is None:
            return CellRef(self.sheet, int(self.rows[item]), 1)
        return CellRef(self.sheet, int(self.rows[item]), column)

    def number(self, name: str) -> Column:
        """Return a numeric column."""
        return self.numbers[name]

    def label(self, name: str) -> Texts:
        """Return a text column."""
        return self.labels[name]

    def yes(self, name: str) -> Flags:
        """Return a yes/no column as flags; a blank cell without a default is no ``yes``."""
        return np.asarray(self.numbers[name] == 1.0)

    def index_of(self, name: str) -> dict[str, int]:
        """Return the item number of every text in a key column."""
        return {str(value): place for place, value in enumerate(self.labels[name])}

    def spread(self, name: str, onto: Texts) -> NDArray[np.int64]:
        """Return, for each text of ``onto``, the item whose key it is, -1 where there is none."""
        index = self.index_of(name)
        return np.array([index.get(str(text), -1) for text in onto], dtype=np.int64)

    def spread_pairs(self, first: str, second: str, onto: Table) -> Rows:
        """Return, for each row of ``onto``, the item with the same two texts, letter case aside; -1 where there is none."""
        index = _Pairs(self.labels[first], self.labels[second])
        pairs = zip(onto.labels[first].tolist(), onto.labels[second].tolist(), strict=True)
        return np.array([index[pair] for pair in pairs], dtype=np.int64)

    def before(self, name: str) -> Rows:
        """Return, for each item, the last one above it with the same text, letter case aside; -1 where there is none."""
        last: dict[str, int] = {}
        found = np.full(len(self), -1, dtype=np.int64)
        for item, text in enumerate(self.labels[name].tolist()):
            key = str(text).casefold()
            found[item] = last.get(key, -1)
            last[key] = item
        return found


def taken(column: Column, items: NDArray[np.int64]) -> Column:
    """Return ``column`` at ``items``, ``nan`` where an item is -1."""
    if column.size == 0:
        return np.full(items.shape, np.nan)
    return np.where(items >= 0, column[items], np.nan)


def taken_texts(column: Texts, items: NDArray[np.int64]) -> Texts:
    """Return a text column at ``items``, an empty text where an item is -1."""
    return texts("" if item < 0 else column[item] for item in items.tolist())


def frame_of(columns: Mapping[str, Any]) -> pd.DataFrame:
    """Return a frame of the columns, in their order."""
    import pandas as pd  # noqa: PLC0415 - slow to import, needed only where frames are asked for

    return pd.DataFrame({name: pd.Series(list(values)) if not isinstance(values, np.ndarray) else values
                         for name, values in columns.items()})  # fmt: skip
