"""Writes values into cells by type: text stays text, whatever it starts with."""

from __future__ import annotations

import datetime as dt
import math
import re
from array import array
from collections.abc import Callable
from copy import copy
from dataclasses import dataclass
from typing import Any

from openpyxl.cell import Cell
from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Border, Font, PatternFill
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.worksheet import Worksheet

from sheetengine.books import palette
from sheetengine.content import Formula, Link

MOMENT_FORMAT = "yyyy-mm-dd hh:mm"
LONGEST_TEXT = 32767
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]")
_LOOKS_LIKE_A_FORMULA = ("=", "+", "-", "@", "\t", "＝", "＋", "－", "＠")


@dataclass(frozen=True, slots=True)
class CellStyle:
    """Style numbers of a kind of cell; ``quoted`` is the same for a text that looks like a formula."""

    plain: array[int]
    quoted: array[int]


def style_of(
    sheet: Worksheet,
    *,
    font: Font = palette.BODY,
    fill: PatternFill | None = None,
    border: Border | None = None,
    place: Alignment | None = None,
    number_format: str = "General",
) -> CellStyle:
    """Return a style, registered in the book once and shared by every cell that takes it."""
    cell: Any = Cell(sheet, row=1, column=1)
    cell.font = font
    cell.number_format = number_format
    if fill is not None:
        cell.fill = fill
    if border is not None:
        cell.border = border
    if place is not None:
        cell.alignment = place
    plain = copy(cell._style)
    cell.quotePrefix = True  # the program then leaves the text alone when someone edits it
    return CellStyle(plain, copy(cell._style))


def cleaned(text: str) -> str:
    """Return a text without the letters that a workbook file cannot hold."""
    text = _CONTROL.sub(" ", text.replace("\r\n", "\n").replace("\r", "\n"))
    return text if len(text) <= LONGEST_TEXT else text[: LONGEST_TEXT - 1] + "…"


def stored(value: Any) -> Any:
    """Return a value as a cell holds it: number, text, date-time or ``None``.

    ``nan`` gives a blank and an infinite number the text ``any``, since neither is a number a reader could use.
    """
    kind = type(value)
    if kind is str:
        return cleaned(value) or None
    if kind is float:
        return value if math.isfinite(value) else _not_finite(value)
    if value is None or kind is int:
        return value
    return _stored_otherwise(value)


def _not_finite(value: float) -> str | None:
    if math.isnan(value):
        return None
    return "any" if value > 0.0 else "none"


def _stored_otherwise(value: Any) -> Any:
    if hasattr(value, "astype") and type(value).__name__ == "datetime64":
        value = value.astype("datetime64[us]").item()
    elif hasattr(value, "item") and not isinstance(value, float):
        value = value.item()  # a number of an array, as the plain number
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dt.datetime):
        if value != value:  # noqa: PLR0124 - not a time
            return None
        return dt.datetime(value.year, value.month, value.day, value.hour, value.minute, value.second)
    if isinstance(value, dt.date):
        return dt.datetime(value.year, value.month, value.day)
    if isinstance(value, float):
        return stored(float(value))
    if value is None or isinstance(value, int):
        return value
    return cleaned(str(value)) or None


class FormulaText(str):
    """A formula as a cell holds it, with the value that goes into the file beside it."""

    __slots__ = ("result",)
    result: float | str | None


def formula_text(text: str, result: float | str | None) -> FormulaText:
    """Return a formula, with its sign of equality, and its value."""
    found = FormulaText(text)
    found.result = stored(result)
    return found


def writer(sheet: Worksheet) -> Callable[[int, int, Any, CellStyle], None]:
    """Return a function that writes row, column, value and style into the sheet."""
    cells = sheet._cells

    def write(row: int, column: int, value: Any, style: CellStyle) -> None:
        link = None
        if isinstance(value, Link):
            value, link = value.text, value.target
        cell: Any
        if isinstance(value, Formula):
            cell = Cell(sheet, row=row, column=column)
            cell.data_type = "f"
            cell._style = copy(style.plain)
            cell._value = formula_text(f"={value.text}", value.value)
            cells[row, column] = cell
            return
        value = stored(value)
        cell = Cell(sheet, row=row, column=column)
        kind = type(value)
        if kind is str:
            cell.data_type = "s"
            cell._style = copy(style.quoted if value.startswith(_LOOKS_LIKE_A_FORMULA) else style.plain)
        else:
            cell._style = copy(style.plain)
            if kind is dt.datetime:
                cell.data_type = "d"
        cell._value = value
        cells[row, column] = cell
        if link:
            cell._hyperlink = Hyperlink(ref=cell.coordinate, location=link, display=value)

    return write


def write_note(sheet: Worksheet, row: int, column: int, text: str) -> None:
    """Put a note on a cell, in a box that fits its text."""
    text = cleaned(text)
    widest = 44
    lines = [max(1, math.ceil(len(line) / widest)) for line in text.split("\n")]
    width = 300 if len(text) > widest else max(120, 9 + 7 * len(text))
    sheet.cell(row, column).comment = Comment(text, "sheetengine", width=width, height=14 + 17 * sum(lines))
