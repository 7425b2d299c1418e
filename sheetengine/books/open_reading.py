"""Reads a workbook that is open in Excel, edits that are not saved yet included, as grids of raw values."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

from sheetengine.books.parts import MARK, SheetPart, marked
from sheetengine.books.reading import matching_sheet
from sheetengine.cells import RangeRef
from sheetengine.grids import Grid

if TYPE_CHECKING:
    from xlwings import Book, Range, Sheet

_ERROR_NUMBERS = range(-2146827000, -2146826000)
"""Where Excel's numbers of error values lie; xlwings spells out the seven oldest and hands on the others."""
_NO_DATE_BEFORE = 1901
"""A time of day and a duration come as a moment of the first days of the calendar."""
_DAY_NOUGHT = {dt.date(1899, 12, 30), dt.date(1904, 1, 1)}


def open_sheets(book: Book) -> list[SheetPart]:
    """Return the sheets of the open workbook in their order, and which of them an earlier run of ours wrote."""
    return [SheetPart(sheet.name, "", is_ours(sheet), True) for sheet in book.sheets]


def is_ours(sheet: Sheet) -> bool:
    """Return whether the sheet carries our mark under its own name."""
    return any(
        name.name.rpartition("!")[2] == MARK and name.refers_to == f"={marked(sheet.name)}"
        for name in sheet.names
    )


def read_open_grids(book: Book, wanted: Sequence[str]) -> dict[str, Grid]:
    """Read the wanted sheets of a workbook that is open, as :func:`read_grids` reads those of a file.

    Parameters
    ----------
    book
        The open workbook.
    wanted
        Names of the sheets to read.

    Raises
    ------
    BookUnreadable
        Two of its sheets could be the wanted one.
    """
    sheets = [SheetPart(sheet.name, "", False, True) for sheet in book.sheets]
    grids = {}
    for name in wanted:
        found = matching_sheet(Path(book.name), sheets, name)
        if found is not None:
            grids[name] = _grid(book.sheets[found.name])
    return grids


def _grid(sheet: Sheet) -> Grid:
    last = sheet.used_range.last_cell
    area = sheet.range((1, 1), (last.row, last.column))
    shown = area.options(ndim=2, err_to_str=True).value
    plain = area.options(ndim=2).value  # an error value is blank here, the same letters as a text are not
    rows: list[list[object]] = []
    errors = set()
    for row, (told, kept) in enumerate(zip(shown, plain, strict=True), start=1):
        cells: list[object] = []
        for column, value in enumerate(told, start=1):
            if (value is not None and kept[column - 1] is None) or _is_error_number(value):
                errors.add((row, column))
                cells.append(value if isinstance(value, str) else "#error")
            else:
                cells.append(_raw(value))
        while cells and cells[-1] is None:
            cells.pop()
        rows.append(cells)
    while rows and not rows[-1]:
        rows.pop()
    return Grid(sheet.name, rows, errors=frozenset(errors), merged=tuple(_merged(sheet.name, area)))


def _is_error_number(value: object) -> bool:
    return isinstance(value, int) and value in _ERROR_NUMBERS


def _raw(value: object) -> object:
    """Return a value as the reader of a file would give it."""
    if isinstance(value, Decimal):
        value = float(value)  # Excel hands on amounts of money so
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return int(value)
    if isinstance(value, dt.datetime):
        return _moment(value)
    return value


def _moment(value: dt.datetime) -> object:
    """Return a date-time to the millisecond; a time of day and a duration as what they are."""
    value = value.replace(tzinfo=None)
    value = value.replace(microsecond=0) + dt.timedelta(milliseconds=round(value.microsecond / 1000))
    if value.date() in _DAY_NOUGHT:
        return value.time()
    if value.year < _NO_DATE_BEFORE:
        return value - dt.datetime(1899, 12, 30)
    return value


def _merged(sheet: str, area: Range) -> Iterator[RangeRef]:
    """Return the merged ranges of an area; the program is asked about halves of it, not about every cell."""
    seen: set[tuple[int, int]] = set()
    waiting = [area]
    while waiting:
        part = waiting.pop()
        if part.merge_cells is False:
            continue
        rows, columns = part.shape
        whole = part[0, 0].merge_area if part.merge_cells is True else None
        if whole is not None and (rows * columns == 1 or _covers(whole, part)):
            if (whole.row, whole.column) not in seen:
                seen.add((whole.row, whole.column))
                last = whole.last_cell
                yield RangeRef(sheet, whole.row, whole.column, last.row, last.column)
        elif rows >= columns and rows > 1:
            waiting += [part[: rows // 2, :], part[rows // 2 :, :]]
        elif columns > 1:
            waiting += [part[:, : columns // 2], part[:, columns // 2 :]]


def _covers(whole: Range, part: Range) -> bool:
    first, last = part, part.last_cell
    end = whole.last_cell
    return (
        whole.row <= first.row
        and whole.column <= first.column
        and end.row >= last.row
        and end.column >= last.column
    )
