"""Adds rows to a sheet of the office's own, and leaves every other byte of the book as it stands."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO

import numpy as np
from numpy.typing import NDArray
from openpyxl.styles.numbers import BUILTIN_FORMATS, is_date_format

from sheetengine.books.graft import check_takes_results, from_1904, office_kind
from sheetengine.books.parts import Package, SheetPart, open_package
from sheetengine.books.reading import check_readable, matching_sheet
from sheetengine.books.saving import check_writable, replace_file
from sheetengine.books.xml_splice import Document, Node, attribute
from sheetengine.books.zip_copy import write_copy
from sheetengine.cells import column_letters, column_number
from sheetengine.exceptions import BookUnwritable

_FIRST_DAY_1904 = 1462.0
"""The first day of the calendar from 1904, in days of the other calendar."""
_DATE_AND_TIME = 22
"""Built-in number format of a date with its time."""

Values = Sequence[str] | NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class NewColumn:
    """Values of one column of new rows.

    Attributes
    ----------
    column
        Column of the sheet.
    values
        Texts, or numbers; an empty text and ``nan`` leave the cell as it is.
    moments
        Whether the numbers are moments, in hours since 30 December 1899.
    """

    column: int
    values: Values
    moments: bool = False


@dataclass(frozen=True, slots=True)
class NewRows:
    """Rows for one sheet.

    Attributes
    ----------
    sheet
        Name of the sheet.
    below
        Last row in use; the new ones stand from the next row on.
    like
        Row whose cell formats the new rows take.
    count
        Number of rows.
    columns
        What stands in them, from the left.
    """

    sheet: str
    below: int
    like: int
    count: int
    columns: Sequence[NewColumn]


def add_rows(book: str | os.PathLike[str], target: str | os.PathLike[str], new: NewRows) -> None:
    """Write the book with rows added to one of its sheets: all of it, or nothing.

    Blank rows that stand there are filled in and keep their formats. Text is written as text. A table that reached to
    the last row in use reaches to the new last row.

    Raises
    ------
    BookUnreadable
        The book could not be read.
    BookUnwritable
        It is of another kind, is signed, a cell to be filled holds a formula, or the target could not be written; the
        target is as it was.
    """
    source, file = Path(book), Path(target)
    check_readable(source)
    check_takes_results(source, file)
    check_writable(file)
    with open_package(source) as package:
        office_kind(package, file)
        sheet = matching_sheet(source, package.sheets, new.sheet)
        if sheet is None or sheet.part not in package:
            raise BookUnwritable(f"{source}: it has no sheet {new.sheet}. Add one with its headings first.")
        changed = _changed(package, sheet, new)

        def write(stream: IO[bytes]) -> None:
            write_copy(package.archive, stream, changed=changed, removed=frozenset(), added={})

        replace_file(file, write, before_replacing=package.close)


def _changed(package: Package, sheet: SheetPart, new: NewRows) -> dict[str, bytes]:
    """Return the parts that change, by name."""
    document = Document(package.read(sheet.part))
    data = document.root.find("sheetData")
    if data is None:
        raise BookUnwritable(f"{sheet.name}: this sheet holds no cells.")
    stated = dict(_rows_of(data))
    styles = _Styles(package)
    formats = _formats(stated.get(new.like))
    for given in new.columns:
        if given.moments:
            formats[given.column] = styles.with_date(formats.get(given.column, ""))
    first_day = _FIRST_DAY_1904 if from_1904(Document(package.read(package.workbook))) else 0.0
    numbers = range(new.below + 1, new.below + 1 + new.count)
    prefix = data.prefix
    cells = [
        _cells(prefix, given, numbers, formats.get(given.column, ""), first_day) for given in new.columns
    ]
    later = sorted(number for number in stated if number > new.below)
    place = 0
    appended: list[str] = []
    for number, row in zip(numbers, zip(*cells, strict=True), strict=True):
        while place < len(later) and later[place] < number:
            place += 1
        if number in stated:
            known = {given.column: cell for given, cell in zip(new.columns, row, strict=True) if cell}
            _fill(document, stated[number], known, sheet.name, number)
            continue
        xml = f'<{prefix}row r="{number}">{"".join(row)}</{prefix}row>'
        if place < len(later):
            stated[later[place]].before.append(xml.encode())
        else:
            appended.append(xml)
    data.append("".join(appended).encode())
    last = new.below + new.count
    _stretch_dimension(document, max(given.column for given in new.columns), last)
    changed = {sheet.part: document.changed()} | styles.changed()
    return changed | _stretched_tables(package, sheet.part, new, last)


def _rows_of(data: Node) -> list[tuple[int, Node]]:
    """Return the rows with their numbers; one without a number follows the one before."""
    found, number = [], 0
    for node in data.all("row"):
        number = int(node.get("r") or number + 1)
        found.append((number, node))
    return found


def _columns_of(row: Node) -> list[tuple[int, Node]]:
    found, column = [], 0
    for node in row.all("c"):
        letters = node.get("r").rstrip("0123456789")
        column = column_number(letters) if letters else column + 1
        found.append((column, node))
    return found


def _formats(row: Node | None) -> dict[int, str]:
    """Return the style number of every cell of a row."""
    return (
        {column: cell.get("s") for column, cell in _columns_of(row) if cell.get("s")}
        if row is not None
        else {}
    )


def _cells(prefix: str, new: NewColumn, numbers: range, style: str, first_day: float) -> list[str]:
    """Return the cells of one column; an empty text where there is none."""
    letters, look = column_letters(new.column), f' s="{style}"' if style else ""
    if isinstance(new.values, np.ndarray):
        values = new.values / 24.0 - first_day if new.moments else new.values
        end = f"</{prefix}v></{prefix}c>"
        return [
            "" if missing else f'<{prefix}c r="{letters}{number}"{look}><{prefix}v>{value!r}{end}'
            for number, value, missing in zip(
                numbers, values.tolist(), np.isnan(values).tolist(), strict=True
            )
        ]
    told = {
        text: f'><{prefix}is><{prefix}t xml:space="preserve">{_text(text)}</{prefix}t></{prefix}is></{prefix}c>'
        for text in set(new.values)
    }
    return [
        f'<{prefix}c r="{letters}{number}"{look} t="inlineStr"{told[text]}' if text else ""
        for number, text in zip(numbers, new.values, strict=True)
    ]


def _text(value: str) -> str:
    kept = "".join(letter for letter in value if letter >= " " or letter in "\t\n")
    return kept.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _fill(document: Document, row: Node, cells: dict[int, str], sheet: str, number: int) -> None:
    """Put the cells into a row that stands already; its other cells stay."""
    kept = {}
    for column, node in _columns_of(row):
        if column in cells and node.find("f") is not None:
            raise BookUnwritable(
                f"{sheet}!{column_letters(column)}{number}: a formula stands where a reading is to go. Take it out, or log below it."
            )
        kept[column] = document.raw(node)
    both = kept | {column: cell.encode() for column, cell in cells.items()}
    row.content = b"".join(both[column] for column in sorted(both))
    if row.empty:
        row.tail.append(row.content)
        row.content = None
    if "spans" in row.attributes:
        low, high = (int(end) for end in row.get("spans").split(":"))
        row.set("spans", f"{min(low, *both)}:{max(high, *both)}")


def _stretch_dimension(document: Document, column: int, row: int) -> None:
    node = document.root.find("dimension")
    if node is None:
        return
    begin, _, end = node.get("ref").partition(":")
    end = end or begin
    letters, number = end.rstrip("0123456789"), end.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    if letters and number:
        far = column_letters(max(column_number(letters), column))
        node.set("ref", f"{begin}:{far}{max(int(number), row)}")


def _stretched_tables(package: Package, part: str, new: NewRows, last: int) -> dict[str, bytes]:
    """Return the tables of the sheet that reached to the last row in use, reaching to the new one."""
    changed = {}
    for relation in package.relations(part):
        if relation.kind != "table" or relation.external or relation.target not in package:
            continue
        document = Document(package.read(relation.target))
        ref = _reaching(document.root.get("ref"), new, last)
        if not ref:
            continue
        document.root.set("ref", ref)
        filters = document.root.find("autoFilter")
        if filters is not None:
            filters.set("ref", _reaching(filters.get("ref"), new, last) or ref)
        changed[relation.target] = document.changed()
    return changed


def _reaching(ref: str, new: NewRows, last: int) -> str:
    """Return a table's range made longer; empty where it stays as it is."""
    begin, _, end = ref.replace("$", "").partition(":")
    if not end:
        return ""
    left, right = (column_number(place.rstrip("0123456789")) for place in (begin, end))
    top, bottom = (int(place.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")) for place in (begin, end))
    covers = any(left <= given.column <= right for given in new.columns) and top <= new.below <= bottom
    return f"{begin}:{end.rstrip('0123456789')}{last}" if covers and bottom < last else ""


class _Styles:
    """The cell formats of a book, to which one for dates may be added."""

    def __init__(self, package: Package) -> None:
        self.part = package.target_of(package.workbook, "styles")
        self.document = Document(package.read(self.part)) if self.part else None
        self.added: dict[str, str] = {}

    def with_date(self, style: str) -> str:
        """Return a style that shows a date: the given one where it does, else one like it that does."""
        formats = self.document.root.find("cellXfs") if self.document is not None else None
        if self.document is None or formats is None:
            return style
        known = formats.all("xf")
        like = known[int(style or 0)] if int(style or 0) < len(known) else None
        if like is not None and self._is_date(like.get("numFmtId", "0")):
            return style
        if style not in self.added:
            given = (
                dict(like.attributes)
                if like is not None
                else {"fontId": "0", "fillId": "0", "borderId": "0", "xfId": "0"}
            )
            given |= {"numFmtId": str(_DATE_AND_TIME), "applyNumberFormat": "1"}
            stated = " ".join(f'{name}="{attribute(value)}"' for name, value in given.items())
            formats.append(f"<{formats.prefix}xf {stated}/>".encode())
            self.added[style] = str(len(known) + len(self.added))
            formats.set("count", str(len(known) + len(self.added)))
        return self.added[style]

    def _is_date(self, number: str) -> bool:
        assert self.document is not None
        own = self.document.root.find("numFmts")
        codes = {
            node.get("numFmtId"): node.get("formatCode")
            for node in (own.all("numFmt") if own is not None else ())
        }
        code = codes.get(number) or BUILTIN_FORMATS.get(int(number), "General")
        return bool(is_date_format(code))

    def changed(self) -> dict[str, bytes]:
        """Return the part of the styles, where one was added."""
        return {self.part: self.document.changed()} if self.added and self.document is not None else {}
