"""Writes the cells of our own sheets into their XML at once; openpyxl writes all else of the book."""

from __future__ import annotations

from typing import Any
from xml.sax.saxutils import escape, quoteattr

from openpyxl.cell.rich_text import CellRichText
from openpyxl.comments.comment_sheet import CommentRecord
from openpyxl.compat import safe_string
from openpyxl.drawing.spreadsheet_drawing import SpreadsheetDrawing
from openpyxl.utils import get_column_letter
from openpyxl.utils.datetime import to_excel
from openpyxl.worksheet._writer import WorksheetWriter
from openpyxl.writer.excel import ExcelWriter

from sheetengine.books.cells_out import FormulaText

_days: Any = to_excel

_PLAIN_KINDS = frozenset("snd")
_EMPTY = (b"<sheetData></sheetData>", b"<sheetData/>", b"<sheetData />")


class BookWriter(ExcelWriter):
    """Writes a book as openpyxl does, its cells in one go."""

    def write_worksheet(self, ws: Any) -> None:
        """Write a sheet; one with formulas not our own or letters of several fonts in a cell is left to openpyxl."""
        cells = ws._cells.values()
        if any(
            (cell.data_type not in _PLAIN_KINDS and type(cell._value) is not FormulaText)
            or type(cell._value) is CellRichText
            for cell in cells
        ):
            super().write_worksheet(ws)
            return
        ws._drawing = SpreadsheetDrawing()
        ws._drawing.charts, ws._drawing.images = ws._charts, ws._images
        writer: Any = _SheetWriter(ws)
        archive: Any = self.__dict__["_archive"]
        manifest: Any = self.__dict__["manifest"]
        writer.write()
        ws._rels = writer._rels
        with open(writer.out, "rb") as stream:
            content = stream.read()
        empty = next(tag for tag in _EMPTY if tag in content)
        content = content.replace(empty, b"<sheetData>" + writer.data + b"</sheetData>", 1)
        archive.writestr(ws.path[1:], content)
        manifest.append(ws)
        writer.cleanup()


class _SheetWriter(WorksheetWriter):
    """Leaves an empty place where the cells belong, and holds their XML."""

    data = b""

    def write_rows(self) -> None:
        file: Any = self.xf
        xf = file.send(True)
        with xf.element("sheetData"):
            pass
        file.send(None)
        self.data = "".join(self._rows()).encode()

    def _rows(self) -> list[str]:
        sheet: Any = self.ws
        row_cells: Any = self.rows()
        styles = sheet.parent._cell_styles
        numbers: dict[bytes, int] = {}
        letters: dict[int, str] = {}
        pieces: list[str] = []
        for row, cells in row_cells:
            stated = dict(sheet.row_dimensions[row]) if row in sheet.row_dimensions else {}
            listed = "".join(f" {key}={quoteattr(str(value))}" for key, value in stated.items() if key != "r")
            pieces.append(f'<row r="{row}"{listed}>')
            for cell in cells:
                if cell._comment is not None:
                    sheet._comments.append(CommentRecord.from_cell(cell))
                value = cell._value
                look = b"" if cell._style is None else cell._style.tobytes()
                if value is None and not any(look) and cell._comment is None:
                    continue
                number = numbers.get(look)
                if number is None:
                    number = numbers[look] = styles.add(cell._style) if any(look) else 0
                column = cell.column
                letter = letters.get(column)
                if letter is None:
                    letter = letters[column] = get_column_letter(column)
                style = f' s="{number}"' if any(look) else ""
                if cell.hyperlink is not None:
                    sheet._hyperlinks.append(cell.hyperlink)
                pieces.append(f'<c r="{letter}{row}"{style}{_content(cell.data_type, value, sheet)}')
            pieces.append("</row>")
        return pieces


def _formula(value: FormulaText) -> str:
    """Return the rest of the XML of a formula: its kind, itself, and the value that it has."""
    written = f"<f>{escape(value[1:])}</f>"
    if isinstance(value.result, str) or value.result is None:
        return f' t="str">{written}<v>{escape(value.result or "")}</v></c>'
    return f' t="n">{written}<v>{safe_string(value.result)}</v></c>'


def _content(kind: str, value: Any, sheet: Any) -> str:
    """Return the rest of a cell's XML: its kind, its value, its end."""
    if kind == "f":
        return _formula(value)
    if kind == "s":
        if value is None or value == "":
            return ' t="inlineStr"/>'
        space = ' xml:space="preserve"' if value != value.strip() else ""
        return f' t="inlineStr"><is><t{space}>{escape(value)}</t></is></c>'
    if value is None:
        return ' t="n"/>'
    if kind == "d":
        value = _days(value, sheet.parent.epoch)
    return f' t="n"><v>{safe_string(value)}</v></c>'
