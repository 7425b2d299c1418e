"""Sheets of an OpenDocument spreadsheet (.ods): values through calamine, the rest from one pass over its content."""

from __future__ import annotations

import datetime as dt
import io
import re
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass, field
from xml.parsers import expat

from python_calamine import CalamineSheet, CalamineWorkbook

from sheetengine.books.parts import MARK, Package, marked
from sheetengine.books.sheet_scan import Place
from sheetengine.books.sheet_values import rows_of
from sheetengine.cells import CellRef, RangeRef
from sheetengine.grids import Grid

MIME_TYPE = b"application/vnd.oasis.opendocument.spreadsheet"
_DURATION = re.compile(r"(-?)PT(\d+)H(\d+)M(\d+(?:[.,]\d+)?)S")
_OFFICE, _TABLE, _TEXT = (
    f"urn:oasis:names:tc:opendocument:xmlns:{name}:1.0" for name in ("office", "table", "text")
)
_CELLS = (f"{_TABLE} table-cell", f"{_TABLE} covered-table-cell")
_NAMES = (f"{_TABLE} named-expression", f"{_TABLE} named-range")
_EXTENDED_ERROR = {
    ("urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0 value-type", "error")
}
_ERROR = re.compile(r"#DIV/0!|#N/A|#NAME\?|#NULL!|#NUM!|#REF!|#VALUE!|Err:\d+")
"""An error as shown; a formula that shows one is an error cell, whatever value is stored with it."""
_MOST_CELLS = 30_000_000
_NOT_SHOWN = ("collapse", "filter")
"""OpenDocument 1.3, 19.749 table:visibility: hidden, or left out by a filter."""


@dataclass(slots=True)
class TableScan:
    """What one pass finds in a sheet."""

    name: str
    uncached: set[Place] = field(default_factory=set)
    errors: dict[Place, str] = field(default_factory=dict)
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)
    durations: set[Place] = field(default_factory=set)
    last_row: int = 0
    last_column: int = 0
    ours: bool = False
    """Whether an earlier run of ours wrote it."""
    hidden_rows: list[tuple[int, int]] = field(default_factory=list)
    hidden_columns: list[tuple[int, int]] = field(default_factory=list)
    """First and last of those that are not shown, by hand or by a filter."""

    @property
    def is_too_large(self) -> bool:
        """Whether the used range is too large to be read."""
        return self.last_row * self.last_column > _MOST_CELLS


def is_encrypted(package: Package) -> bool:
    """Return whether an OpenDocument file is protected by a password."""
    manifest = "META-INF/manifest.xml"
    return "encrypted-package" in package or (
        manifest in package and b"encryption-data" in package.read(manifest)
    )


def far_cell(scan: TableScan) -> CellRef | None:
    """Return the corner of the used range where it is too large to be read, else nothing."""
    return CellRef(scan.name, scan.last_row, scan.last_column) if scan.is_too_large else None


def open_document_grids(content: bytes, scans: Sequence[TableScan]) -> list[Grid]:
    """Return the grids of sheets, given the content and what :func:`scan_tables` found in it.

    The library is given a package of its own that holds the content alone, so that it reads what was looked through.
    """
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("mimetype", MIME_TYPE)
        archive.writestr("META-INF/manifest.xml", "<manifest/>")
        archive.writestr("content.xml", content)
    stream.seek(0)
    with CalamineWorkbook.from_filelike(stream) as book:
        return [_grid(book.get_sheet_by_name(scan.name), scan) for scan in scans]


def _grid(sheet: CalamineSheet, scan: TableScan) -> Grid:
    rows = rows_of(sheet, scan.errors)
    for row, column in scan.durations:
        value = rows[row - 1][column - 1] if row <= len(rows) and column <= len(rows[row - 1]) else None
        if isinstance(value, str):
            rows[row - 1][column - 1] = _duration(value)
    return Grid(
        scan.name,
        rows,
        uncached=frozenset(scan.uncached),
        errors=frozenset(scan.errors),
        merged=tuple(RangeRef(scan.name, *corners) for corners in scan.merged),
        hidden_rows=_numbers(scan.hidden_rows, scan.last_row),
        hidden_columns=_numbers(scan.hidden_columns, scan.last_column),
    )


def _numbers(parts: Sequence[tuple[int, int]], last: int) -> frozenset[int]:
    """Return every number of some parts up to the last one in use."""
    return frozenset(number for first, end in parts for number in range(first, min(end, last) + 1))


def _duration(text: str) -> object:
    found = _DURATION.fullmatch(text)
    if found is None:
        return text
    hours, minutes, seconds = (float(part.replace(",", ".")) for part in found.groups()[1:])
    length = dt.timedelta(hours=hours, minutes=minutes, seconds=seconds)
    return -length if found[1] else length


def scan_tables(content: bytes) -> list[TableScan]:
    """Return what the content of an OpenDocument spreadsheet says of each of its sheets."""
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    reader = _Tables(parser)
    parser.StartElementHandler = reader.start
    parser.EndElementHandler = reader.end
    parser.Parse(content, True)
    return reader.scans


class _Tables:
    """Callbacks of one pass over the content."""

    def __init__(self, parser: expat.XMLParserType) -> None:
        self.parser = parser
        self.scans: list[TableScan] = []
        self.depth = 0
        """Tables within tables: those within a cell or a drawing are no sheets."""
        self.row = self.column = self.rows = self.wide = self.columns = 0
        self.cell: dict[str, str] | None = None
        self.texts: list[str] = []
        self.notes = 0
        self.paragraph = False

    def start(self, tag: str, said: dict[str, str]) -> None:
        """Take the start of an element."""
        if self.depth == 1 and tag in _CELLS:
            self.cell = said
            self.wide = int(said.get(f"{_TABLE} number-columns-repeated", 1))
            self.texts.clear()
            self.paragraph = False
            if f"{_TABLE} formula" in said:
                self.parser.CharacterDataHandler = self._text
        elif tag == f"{_TABLE} table-row" and self.depth == 1:
            self.row += self.rows
            self.rows = int(said.get(f"{_TABLE} number-rows-repeated", 1))
            self.column = 0
            if said.get(f"{_TABLE} visibility") in _NOT_SHOWN:
                self.scans[-1].hidden_rows.append((self.row + 1, self.row + self.rows))
        elif tag == f"{_TABLE} table-column" and self.depth == 1:
            many = int(said.get(f"{_TABLE} number-columns-repeated", 1))
            if said.get(f"{_TABLE} visibility") in _NOT_SHOWN:
                self.scans[-1].hidden_columns.append((self.columns + 1, self.columns + many))
            self.columns += many
        elif tag == f"{_TEXT} p":
            self.paragraph = self.paragraph or not self.notes  # an empty text is a paragraph without a type
        elif tag == f"{_OFFICE} annotation":
            self.notes += 1
        elif tag in _NAMES and self.depth == 1 and said.get(f"{_TABLE} name") == MARK:
            self.scans[-1].ours = said.get(f"{_TABLE} expression") == marked(self.scans[-1].name)
        elif tag == f"{_TABLE} table":
            self.depth += 1
            if self.depth == 1:
                self.scans.append(TableScan(said.get(f"{_TABLE} name", "")))
                self.row = self.rows = self.columns = 0

    def _text(self, text: str) -> None:
        if not self.notes:
            self.texts.append(text)

    def end(self, tag: str) -> None:
        """Take the end of an element."""
        if self.depth == 1 and tag in _CELLS:
            self.parser.CharacterDataHandler = None
            if self.cell:
                self._cell(self.cell, "".join(self.texts).strip())
            self.column += self.wide
        elif tag == f"{_TABLE} table":
            self.depth -= 1
        elif tag == f"{_OFFICE} annotation":
            self.notes -= 1

    def _cell(self, said: dict[str, str], shown: str) -> None:
        scan = self.scans[-1]
        row, column = self.row + 1, self.column + 1
        down = int(said.get(f"{_TABLE} number-rows-spanned", 1))
        across = int(said.get(f"{_TABLE} number-columns-spanned", 1))
        if (down, across) != (1, 1):
            scan.merged.append((row, column, row + down - 1, column + across - 1))
        kind = said.get(f"{_OFFICE} value-type")
        formula = f"{_TABLE} formula" in said
        if kind is None and not formula:
            return
        scan.last_row = max(scan.last_row, self.row + self.rows)
        scan.last_column = max(scan.last_column, self.column + self.wide)
        if scan.is_too_large:
            return
        if _EXTENDED_ERROR & said.items() or (formula and _ERROR.fullmatch(shown)):
            scan.errors.update(dict.fromkeys(self._places(), shown))
        elif kind is None and not self.paragraph:
            scan.uncached.update(self._places())
        elif kind == "time":
            scan.durations.update(self._places())

    def _places(self) -> list[Place]:
        return [
            (self.row + down, self.column + across)
            for down in range(1, self.rows + 1)
            for across in range(1, self.wide + 1)
        ]
