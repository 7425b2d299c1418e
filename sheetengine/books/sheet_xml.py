"""One pass over the XML of a sheet: values, formulas with their cached values, errors and merged ranges."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from io import BytesIO
from typing import Any
from xml.parsers import expat

from openpyxl.reader.strings import read_string_table
from openpyxl.styles.numbers import BUILTIN_FORMATS, is_date_format, is_timedelta_format
from openpyxl.utils.datetime import CALENDAR_MAC_1904, CALENDAR_WINDOWS_1900, from_excel, from_ISO8601

from sheetengine.books.parts import Package, local
from sheetengine.cells import RangeRef, column_number, parse_a1

_STRICT = b'"http://purl.oclc.org/ooxml/spreadsheetml/main"'
_TRANSITIONAL = b'"http://schemas.openxmlformats.org/spreadsheetml/2006/main"'


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula cell as stored: its text, and type and text of the cached value, ``None`` where it has none."""

    text: str
    kind: str
    cached: str | None


@dataclass(slots=True)
class SheetScan:
    """What one pass over a sheet part finds."""

    rows: list[list[object]] = field(default_factory=list)
    formulas: dict[tuple[int, int], Formula] = field(default_factory=dict)
    errors: set[tuple[int, int]] = field(default_factory=set)
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)

    def merged_on(self, sheet: str) -> tuple[RangeRef, ...]:
        """Return the merged ranges as references to ``sheet``."""
        return tuple(RangeRef(sheet, *corners) for corners in self.merged)

    @property
    def uncached(self) -> frozenset[tuple[int, int]]:
        """Row and column of every formula without a cached value."""
        return frozenset(place for place, formula in self.formulas.items() if formula.cached is None)


@dataclass(frozen=True, slots=True)
class BookTables:
    """What all sheets of a book share: its texts, which cell formats are dates, and the day its dates count from."""

    texts: Sequence[str]
    dates: frozenset[str]
    durations: frozenset[str]
    epoch: dt.datetime


def book_tables(package: Package) -> BookTables:
    """Return what the sheets of a package share."""
    texts: Sequence[str] = ()
    dates: set[str] = set()
    durations: set[str] = set()
    for relation in package.relations(package.workbook):
        if relation.external or relation.target not in package:
            continue
        if relation.kind == "sharedStrings":
            texts = read_string_table(BytesIO(package.read(relation.target).replace(_STRICT, _TRANSITIONAL)))
        elif relation.kind == "styles":
            dates, durations = _date_formats(package, relation.target)
    properties = [node for node in package.tree(package.workbook) if local(node.tag) == "workbookPr"]
    from_1904 = any(node.get("date1904") in ("1", "true") for node in properties)
    epoch = CALENDAR_MAC_1904 if from_1904 else CALENDAR_WINDOWS_1900
    return BookTables(texts, frozenset(dates), frozenset(durations), epoch)


def _date_formats(package: Package, styles: str) -> tuple[set[str], set[str]]:
    """Return the numbers of the cell formats that show dates, and of those that show durations."""
    formats: dict[int, str] = dict(BUILTIN_FORMATS)
    dates: set[str] = set()
    durations: set[str] = set()
    for group in package.tree(styles):
        if local(group.tag) == "numFmts":
            formats.update({int(node.get("numFmtId", "0")): node.get("formatCode", "") for node in group})
        elif local(group.tag) == "cellXfs":
            for place, node in enumerate(group):
                code = formats.get(int(node.get("numFmtId", "0")), "General")
                if is_timedelta_format(code):
                    durations.add(str(place))
                elif is_date_format(code):
                    dates.add(str(place))
    return dates, durations


def _corners(reference: str) -> tuple[int, int, int, int]:
    first, _, last = reference.partition(":")
    return (*parse_a1(first), *parse_a1(last or first))


def scan_sheet(xml: bytes, tables: BookTables | None = None) -> SheetScan:
    """Return what the XML of a sheet holds; without ``tables`` the plain values are left out."""
    scan = SheetScan()
    reader = _Reader(scan, tables)
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.ordered_attributes = False
    parser.StartElementHandler = reader.first_element(parser)
    parser.EndElementHandler = reader.end
    parser.Parse(xml, True)
    while scan.rows and not scan.rows[-1]:
        scan.rows.pop()
    return scan


class _Reader:
    """Callbacks of one pass."""

    def __init__(self, scan: SheetScan, tables: BookTables | None) -> None:
        self.scan = scan
        self.tables = tables
        self.columns: dict[str, int] = {}
        self.texts: list[str] = []
        self.row = self.column = 0
        self.cells: list[object] = []
        self.kind: str | None = None
        self.style = ""
        self.formula: str | None = None
        self.value: str | None = None
        self.phonetic = False

    def first_element(self, parser: expat.XMLParserType) -> Callable[[str, dict[str, str]], None]:
        """Return the handler of the first element, which settles the prefix of all others."""

        def handler(tag: str, _: dict[str, str]) -> None:
            prefix = tag[: tag.rfind(":") + 1]
            self.cell_tag, self.value_tag, self.formula_tag = prefix + "c", prefix + "v", prefix + "f"
            self.text_tag, self.row_tag, self.merge_tag = prefix + "t", prefix + "row", prefix + "mergeCell"
            self.phonetic_tag = prefix + "rPh"
            self.parser = parser
            parser.StartElementHandler = self.start

        return handler

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """Take the start of an element."""
        if tag == self.cell_tag:
            self._start_cell(attributes)
        elif tag in (self.value_tag, self.formula_tag) or (
            tag == self.text_tag and self.kind == "inlineStr" and not self.phonetic
        ):
            self.texts.clear()
            self.parser.CharacterDataHandler = self.texts.append
        elif tag == self.row_tag:
            number = attributes.get("r")
            self.row = int(number) if number else self.row + 1
            self.column = 0
            rows = self.scan.rows
            while len(rows) < self.row:
                rows.append([])
            self.cells = rows[self.row - 1]
        elif tag == self.merge_tag:
            self.scan.merged.append(_corners(attributes["ref"]))
        elif tag == self.phonetic_tag:
            self.phonetic = True

    def _start_cell(self, attributes: dict[str, str]) -> None:
        reference = attributes.get("r")
        if reference:
            letters = reference.rstrip("0123456789")
            column = self.columns.get(letters)
            if column is None:
                column = self.columns[letters] = column_number(letters)
            self.column = column
        else:
            self.column += 1
        self.kind = attributes.get("t")
        self.style = attributes.get("s", "0")
        self.formula = self.value = None

    def end(self, tag: str) -> None:
        """Take the end of an element."""
        if tag == self.value_tag:
            self.value = "".join(self.texts)
            self.parser.CharacterDataHandler = None
        elif tag == self.cell_tag:
            self._end_cell()
        elif tag == self.formula_tag:
            self.formula = "".join(self.texts)
            self.parser.CharacterDataHandler = None
        elif tag == self.text_tag and self.kind == "inlineStr" and not self.phonetic:
            self.value = (self.value or "") + "".join(self.texts)
            self.parser.CharacterDataHandler = None
        elif tag == self.phonetic_tag:
            self.phonetic = False

    def _end_cell(self) -> None:
        kind, value = self.kind, self.value
        if kind == "e":
            self.scan.errors.add((self.row, self.column))
        if self.formula is not None:
            blank = value is None or (value == "" and kind != "str")
            place = (self.row, self.column)
            self.scan.formulas[place] = Formula(self.formula, kind or "n", None if blank else value)
        self.kind = None
        if not value or self.tables is None:
            return
        cells = self.cells
        missing = self.column - 1 - len(cells)
        if missing > 0:
            cells.extend([None] * missing)
        cells[self.column - 1 :] = [self._read(kind, value, self.tables)]

    def _read(self, kind: str | None, value: str, tables: BookTables) -> Any:
        if kind == "s":
            return tables.texts[int(value)]
        if kind is None or kind == "n":
            return self._number(value, tables)
        if kind == "b":
            return value == "1"
        if kind == "d":
            return from_ISO8601(value)  # type: ignore[no-untyped-call]
        return value

    def _number(self, value: str, tables: BookTables) -> Any:
        number: float = float(value) if "." in value or "e" in value or "E" in value else int(value)
        if self.style in tables.dates or self.style in tables.durations:
            try:
                return from_excel(number, tables.epoch, timedelta=self.style in tables.durations)
            except (OverflowError, ValueError):
                return number  # no date at all: the reader of the sheet says so, with its place
        return number
