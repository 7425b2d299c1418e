"""Adds rows below a sheet's last one; every other byte of the book stays as it is."""

from __future__ import annotations

import datetime as dt
import os
import re
from collections.abc import Sequence
from pathlib import Path
from typing import IO
from xml.sax.saxutils import escape

from sheetengine.books.graft import check_kind, counts_from_1904, taking_apart
from sheetengine.books.parts import Package, open_package
from sheetengine.books.reading import check_readable
from sheetengine.books.saving import check_writable, replace_file
from sheetengine.books.xml_splice import Document, Node
from sheetengine.books.zip_copy import write_copy
from sheetengine.cells import column_letters, column_number
from sheetengine.exceptions import BookUnwritable

LAST_ROW = 1_048_576
_FROM = dt.datetime(1899, 12, 30)
_DAYS_TO_1904 = 1462
_REFERENCE = re.compile(r"\$?([A-Z]{1,3})\$?(\d+)(?::\$?([A-Z]{1,3})\$?(\d+))?")
_NOT_WRITTEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")

Value = str | float | int | dt.datetime | None


def add_rows(
    book: str | os.PathLike[str], target: str | os.PathLike[str], sheet: str, columns: Sequence[int],
    rows: Sequence[Sequence[Value]], *, pattern_row: int,
) -> int:  # fmt: skip
    """Write the book with rows added to a sheet below the last row that holds anything; return the first new row.

    Parameters
    ----------
    book, target
        The office's book, and the file to write; it may be the book itself.
    sheet
        Name of the sheet as the book spells it.
    columns
        Sheet columns of the values of a row.
    rows
        Values; a date-time becomes a date cell, a text a text, ``None`` nothing.
    pattern_row
        Row whose formats the new cells take, 0 where there is none.

    Raises
    ------
    BookUnreadable, BookUnwritable
        The book could not be read or written, or the sheet has no room; the target is as it was.
    """
    source, file = Path(book), Path(target)
    check_readable(source)
    check_writable(file)
    with open_package(source) as package, taking_apart(source):
        check_kind(package, file)
        changed, first = _changed(package, sheet, columns, rows, pattern_row)

        def write(stream: IO[bytes]) -> None:
            write_copy(package.archive, stream, changed=changed, removed=frozenset(), added={})

        replace_file(file, write, before_replacing=package.close)
    return first


def _changed(
    package: Package, sheet: str, columns: Sequence[int], rows: Sequence[Sequence[Value]], pattern_row: int
) -> tuple[dict[str, bytes], int]:
    part = next(entry.part for entry in package.sheets if entry.name == sheet)
    document = Document(package.read(part))
    data = document.root.find("sheetData")
    if data is None:
        raise BookUnwritable(f"The sheet {sheet} has no table to add rows to, so nothing was written.")
    from_1904 = counts_from_1904(Document(package.read(package.workbook)))
    old = _numbered(data)
    used = [number for number, row in old.items() if any(cell.children for cell in row.children)]
    first = max([0, *used]) + 1
    if first + len(rows) - 1 > LAST_ROW:
        raise BookUnwritable(
            f"The sheet {sheet} has no room for {len(rows)} more rows, so nothing was written. Split the log into two books, or "
            "log at longer intervals."
        )
    changed: dict[str, bytes] = {}
    styles = _styles_of(old.get(pattern_row), columns)
    if any(isinstance(value, dt.datetime) for row in rows for value in row) and not pattern_row:
        style = _date_style(package, changed)
        dated = {place for row in rows for place, value in enumerate(row) if isinstance(value, dt.datetime)}
        styles = [style if place in dated else styles[place] for place in range(len(columns))]
    order = sorted(range(len(columns)), key=lambda place: columns[place])
    prefix = data.prefix.encode()
    for number, row in old.items():
        if number >= first and number < first + len(rows):
            row.removed = True  # it holds formats alone
    written = []
    for number, values in enumerate(rows, start=first):
        cells = [
            _cell(
                prefix, f"{column_letters(columns[place])}{number}", values[place], styles[place], from_1904
            )
            for place in order
            if values[place] is not None
        ]
        written.append(b'<%brow r="%d">%b</%brow>' % (prefix, number, b"".join(cells), prefix))
    xml = b"".join(written)
    behind = next((row for number, row in sorted(old.items()) if number >= first + len(rows)), None)
    if behind is None:
        data.append(xml)
    else:
        behind.before.append(xml)
    last = first + len(rows) - 1
    dimension = document.root.find("dimension")
    if dimension is not None and (grown := _grown(dimension.get("ref"), columns, last)):
        dimension.set("ref", grown)
    changed[part] = document.changed()
    changed |= _longer_tables(package, part, first, last)
    return changed, first


def _numbered(data: Node) -> dict[int, Node]:
    """Return the rows by number; a row that states none follows the one before."""
    numbered, number = {}, 0
    for row in data.all("row"):
        number = int(row.get("r") or number + 1)
        numbered[number] = row
    return numbered


def _styles_of(row: Node | None, columns: Sequence[int]) -> list[str]:
    by_column, column = {}, 0
    for cell in row.all("c") if row is not None else ():
        found = _REFERENCE.match(cell.get("r"))
        column = column_number(found[1]) if found else column + 1
        by_column[column] = cell.get("s")
    return [by_column.get(column, "") for column in columns]


def _cell(prefix: bytes, at: str, value: Value, style: str, from_1904: bool) -> bytes:
    styled = f' s="{style}"' if style else ""
    pre = prefix.decode()
    if isinstance(value, str):
        text = escape(_NOT_WRITTEN.sub("\ufffd", value))
        return f'<{pre}c r="{at}"{styled} t="inlineStr"><{pre}is><{pre}t xml:space="preserve">{text}</{pre}t></{pre}is></{pre}c>'.encode()
    if isinstance(value, dt.datetime):
        value = (value - _FROM) / dt.timedelta(days=1) - (_DAYS_TO_1904 if from_1904 else 0)
    return f'<{pre}c r="{at}"{styled}><{pre}v>{value!r}</{pre}v></{pre}c>'.encode()


def _date_style(package: Package, changed: dict[str, bytes]) -> str:
    """Append a format of dates with hours to the book's formats; return its number."""
    part = package.target_of(package.workbook, "styles")
    styles = Document(package.read(part)) if part else None
    formats = styles.root.find("cellXfs") if styles is not None else None
    if styles is None or formats is None:
        raise BookUnwritable(
            "The book has no formats of cells, so no dates can be written into it. Save it once in a spreadsheet program and "
            "run again."
        )
    number = len(formats.all("xf"))
    formats.append(
        b'<%bxf numFmtId="22" fontId="0" fillId="0" borderId="0" xfId="0" applyNumberFormat="1"/>'
        % formats.prefix.encode()
    )
    formats.set("count", str(number + 1))
    changed[part] = styles.changed()
    return str(number)


def _grown(reference: str, columns: Sequence[int], last: int) -> str:
    found = _REFERENCE.fullmatch(reference)
    if found is None:
        return ""
    left, right = column_number(found[1]), column_number(found[3] or found[1])
    left, right = min([left, *columns]), max([right, *columns])
    return f"{column_letters(left)}{found[2]}:{column_letters(right)}{max(last, int(found[4] or found[2]))}"


def _longer_tables(package: Package, part: str, first: int, last: int) -> dict[str, bytes]:
    """Return the tables of the sheet that ended right above the new rows, grown over them."""
    changed = {}
    for relation in package.relations(part):
        if relation.kind != "table" or relation.target not in package:
            continue
        document = Document(package.read(relation.target))
        nodes = [document.root, *document.root.all("autoFilter")]
        found = _REFERENCE.fullmatch(document.root.get("ref"))
        if (
            found is None
            or not found[4]
            or not int(found[2]) < first <= int(found[4]) + 1
            or int(found[4]) >= last
        ):
            continue
        if document.root.get("totalsRowCount") not in ("", "0"):
            raise BookUnwritable(
                "The table of the log has a row of totals below its readings, so nothing was written. Take the row of totals out."
            )
        for node in nodes:
            node.set("ref", f"{found[1]}{found[2]}:{found[3]}{last}")
        changed[relation.target] = document.changed()
    return changed
