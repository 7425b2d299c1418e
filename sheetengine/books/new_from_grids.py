"""Makes a workbook of the values of another kind of spreadsheet, for result sheets to be put into."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence

from openpyxl.cell.cell import ERROR_CODES, ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Alignment
from openpyxl.utils import get_column_letter
from openpyxl.workbook import Workbook

from sheetengine.grids import Grid

_LONGEST_NAME = 31
_LONGEST_TEXT = 32_767
_NOT_IN_NAMES = re.compile(r"[\[\]:*?/\\]")
_NARROW, _WIDE = 10, 44
"""Widths of columns, in letters."""
_FORMATS = {dt.datetime: "yyyy-mm-dd hh:mm", dt.time: "hh:mm:ss", dt.timedelta: "[h]:mm:ss"}


def workbook_of(grids: Sequence[Grid]) -> Workbook:
    """Return a workbook with the values of the grids: each at its own address, under the same names of sheets.

    Formulas give their values; formats other than those of dates are not known here and left plain.
    """
    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    taken: set[str] = set()
    for grid in grids:
        name = _free_name(grid.sheet, taken)
        taken.add(name.casefold())
        sheet = workbook.create_sheet(name)
        widths: dict[int, int] = {}
        for row, values in enumerate(grid.rows, 1):
            for column, value in enumerate(values, 1):
                if value is None:
                    continue
                cell = sheet.cell(row, column)
                if isinstance(value, str):
                    cell.value = ILLEGAL_CHARACTERS_RE.sub("", value)[:_LONGEST_TEXT]
                    cell.data_type = "e" if (row, column) in grid.errors and value in ERROR_CODES else "s"
                    cell.alignment = Alignment(vertical="top", wrap_text=len(value) > _WIDE)
                else:
                    cell.value = value
                    if type(value) in _FORMATS:
                        cell.number_format = _FORMATS[type(value)]
                widths[column] = max(widths.get(column, _NARROW), min(len(str(value)) + 2, _WIDE))
        for column, width in widths.items():
            sheet.column_dimensions[get_column_letter(column)].width = width
        for place in grid.merged:
            sheet.merge_cells(place.a1)
    return workbook


def _free_name(wanted: str, taken: set[str]) -> str:
    """Return a name of a sheet as near to the one wanted as a workbook allows."""
    plain = _NOT_IN_NAMES.sub("_", wanted).strip("'") or "Sheet"
    name, number = plain[:_LONGEST_NAME], 1
    while name.casefold() in taken:
        number += 1
        tail = f" {number}"
        name = plain[: _LONGEST_NAME - len(tail)] + tail
    return name
