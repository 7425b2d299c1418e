"""Fills the template with the data of a demo book."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from openpyxl.workbook import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from sheetengine.books.template import HEAD_ROW, render_template
from sheetengine.sheets.templates import template_content
from sheetengine.units import split_heading

MADE = dt.datetime(2031, 10, 1, 8, 0)
"""Time written into every demo book, so that two builds are alike."""
SPARE_ROWS = 12
_LOOKS_LIKE_A_FORMULA = ("=", "+", "-", "@")

Row = Mapping[str, Any]


@dataclass(frozen=True)
class BookData:
    """What a demo book holds.

    Attributes
    ----------
    us
        Whether the template is the one in US customary units.
    job
        Values of the ``Job`` sheet by item, in the unit that the template writes beside them.
    sheets
        Rows of the other sheets by heading without its unit, in the unit of the template's heading.
    """

    us: bool
    job: Mapping[str, Any]
    sheets: Mapping[str, Sequence[Row]]


def fill_template(data: BookData) -> Workbook:
    """Return the template filled with the data, and a few blank rows below each table."""
    content = template_content(us=data.us, safety=data.job["Safety basis"])
    content = replace(
        content,
        sheets=[
            replace(sheet, blank_rows=len(data.sheets.get(sheet.name, ())) + SPARE_ROWS)
            if not sheet.rows
            else sheet
            for sheet in content.sheets
        ],
    )
    workbook = render_template(content)
    workbook.properties.created = MADE
    _fill_job(workbook["Job"], data.job)
    for name, rows in data.sheets.items():
        _fill_sheet(workbook[name], rows)
    return workbook


def headings_of(sheet: Worksheet) -> dict[str, int]:
    """Return the column of every heading, by its name without the unit."""
    return {
        split_heading(cell.value)[0]: cell.column for cell in sheet[HEAD_ROW] if isinstance(cell.value, str)
    }


def row_of(sheet: Worksheet, **keys: object) -> int:
    """Return the first row whose cells under the headings hold the given values; ``_`` stands for a space."""
    columns = headings_of(sheet)
    wanted = {columns[name.replace("_", " ")]: value for name, value in keys.items()}
    for row in range(HEAD_ROW + 1, sheet.max_row + 1):
        if all(sheet.cell(row, column).value == value for column, value in wanted.items()):
            return row
    raise KeyError(f"{sheet.title} has no row with {keys}")


def put(sheet: Worksheet, row: int, column: int, value: Any) -> None:
    """Write a value in the look that the template gave the cell; text stays text, whatever it starts with."""
    cell = sheet.cell(row, column)
    if isinstance(value, str):
        cell._value = value
        cell.data_type = "s"
        if value.startswith(_LOOKS_LIKE_A_FORMULA):
            cell.quotePrefix = True
    elif value is not None:
        look = cell.number_format
        cell.value = value
        cell.number_format = look


def _fill_job(sheet: Worksheet, job: Mapping[str, Any]) -> None:
    rows = {sheet.cell(row, 1).value: row for row in range(HEAD_ROW + 1, sheet.max_row + 1)}
    for item, value in job.items():
        put(sheet, rows[item], 2, value)


def _fill_sheet(sheet: Worksheet, rows: Sequence[Row]) -> None:
    columns = headings_of(sheet)
    for place, values in enumerate(rows, start=HEAD_ROW + 1):
        for name, value in values.items():
            put(sheet, place, columns[name], value)
