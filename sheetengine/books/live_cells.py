"""Formulas of our own and drop-down lists, once it is known where the tables stand."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from sheetengine.books.cells_out import FormulaText, formula_text
from sheetengine.books.charts import PlacedTable
from sheetengine.cells import quoted
from sheetengine.content import SheetContent

_PLACE = re.compile("⟦([^¦⟧]*)¦([^¦⟧]*)¦([^⟧]*)⟧")


def place_formulas(sheet: Worksheet, tables: Mapping[str, PlacedTable]) -> None:
    """Put addresses for the places that formulas and links name.

    Raises
    ------
    KeyError
        A formula names a table or a heading that is not there.
    """
    cells: list[Any] = list(sheet._cells.values())
    for cell in cells:
        value = cell._value
        if type(value) is FormulaText and "⟦" in value:
            text = _PLACE.sub(lambda found: _address(found, sheet, tables), value)
            cell._value = formula_text(text, value.result)
        link = getattr(cell, "_hyperlink", None)
        if link is not None and "⟦" in str(link.location):
            link.location = _PLACE.sub(lambda found: _address(found, None, tables), link.location)


def _address(found: re.Match[str], sheet: Worksheet | None, tables: Mapping[str, PlacedTable]) -> str:
    name, row, heading = found.groups()
    table = tables[name]
    letter = get_column_letter(table.column(heading))
    before = "" if table.sheet is sheet else f"{quoted(table.sheet.title)}!"
    if row == "*":
        return f"{before}${letter}${table.head_row + 1}:${letter}${max(table.last_row, table.head_row + 1)}"
    return f"{before}${letter}${table.head_row + 1 + int(row)}"


def add_choices(sheet: Worksheet, content: SheetContent, tables: Mapping[str, PlacedTable]) -> None:
    """Give cells the drop-down lists that the content names."""
    for choice in content.choices:
        own, (name, heading) = tables[choice.table], choice.offered
        offered = tables[name]
        letter = get_column_letter(offered.column(heading))
        source = f"{quoted(offered.sheet.title)}!${letter}${offered.head_row + 1}:${letter}${max(offered.last_row, offered.head_row + 1)}"
        rule = DataValidation(type="list", formula1=source, allow_blank=False, showErrorMessage=True)
        rule.errorTitle, rule.error = "Not on the list", "Choose one from the list."
        rule.add(f"{get_column_letter(own.column(choice.heading))}{own.head_row + 1 + choice.row}")
        sheet.add_data_validation(rule)
