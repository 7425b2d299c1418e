"""How a result sheet is told from the office's own."""

from __future__ import annotations

from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.worksheet import Worksheet

from sheetengine.books.parts import MARK, marked
from sheetengine.exceptions import BookUnwritable

ALT_TEXT = "sheetengine_alt_text"
"""Attribute of a chart or a table that holds the text which a save writes into the file for readers that speak."""


def mark_result(sheet: Worksheet) -> None:
    """Mark a sheet as a result: a hidden name, local to the sheet, holds the sheet's own name as a text.

    The name travels with the sheet through both spreadsheet programs. A copy or a renamed sheet carries the old
    text under a new name, so it counts as the office's own and is never replaced.
    """
    sheet.defined_names[MARK] = DefinedName(MARK, attr_text=marked(sheet.title), hidden=True)


def not_ours(name: str) -> BookUnwritable:
    """Return the problem of a sheet of the office's own under the name of a result sheet."""
    return BookUnwritable(
        f'The book has a sheet "{name}" that this engine did not write, under the name of a result '
        "sheet. It was left as it is. Rename that sheet and run again."
    )
