"""Values of the sheets of a workbook package, through calamine, with their addresses."""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from collections.abc import Sequence
from xml.sax.saxutils import quoteattr

from python_calamine import CalamineSheet, CalamineWorkbook

from sheetengine.books import sheet_scan
from sheetengine.books.parts import Package, SheetPart, local
from sheetengine.cells import RangeRef
from sheetengine.grids import Grid

_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
_SHARED = {"sharedStrings": "xl/sharedStrings.xml", "styles": "xl/styles.xml"}


def package_grids(package: Package, wanted: Sequence[SheetPart]) -> list[Grid]:
    """Return the grids of the wanted sheets.

    The library is given a package of its own that holds these sheets alone, under the usual names of parts: so it does
    not matter where the book keeps them, which dialect of the format it is written in, or what else it holds.
    """
    try:
        return _grids(package, [_Scan(sheet.name, package.read(sheet.part)) for sheet in wanted])
    except OverflowError:  # a number under a date format is beyond every calendar: it stays a number
        scans = [_Scan(sheet.name, package.read(sheet.part)) for sheet in wanted]
        for scan in scans:
            scan.xml = sheet_scan.without_vast_dates(scan.xml)
        return _grids(package, scans)


def _grids(package: Package, scans: Sequence[_Scan]) -> list[Grid]:
    with CalamineWorkbook.from_filelike(_repacked(package, scans)) as book:
        return [scan.grid(book.get_sheet_by_index(place)) for place, scan in enumerate(scans)]


class _Scan:
    """A sheet on its way to the library: what the library does not tell, and the XML it is given."""

    def __init__(self, name: str, xml: bytes) -> None:
        xml = sheet_scan.without_dimension(sheet_scan.plain_xml(xml))
        self.name = name
        self.uncached = sheet_scan.uncached(xml)
        self.errors = sheet_scan.errors(xml)
        self.hidden = sheet_scan.hidden_rows(xml), sheet_scan.hidden_columns(xml)
        if self.errors:
            xml = sheet_scan.with_known_errors(xml)
        self.negatives = sheet_scan.negatives(xml)
        self.places: Sequence[sheet_scan.Place] | None = None
        if sheet_scan.is_sparse(xml):
            xml, self.places = sheet_scan.pushed_together(xml)
        self.xml = xml

    def grid(self, sheet: CalamineSheet) -> Grid:
        """Return the grid of this sheet, from what the library read."""
        merged = sheet.merged_cell_ranges or []
        rows = rows_of(sheet, self.errors, self.places)
        for (row, column), digits in self.negatives.items():
            if isinstance(rows[row - 1][column - 1], (dt.datetime, dt.time)):
                rows[row - 1][column - 1] = _number(
                    digits
                )  # before the first day: no date, and no time of a day
        return Grid(
            self.name,
            rows,
            uncached=self.uncached,
            errors=frozenset(self.errors),
            merged=tuple(
                RangeRef(self.name, top + 1, left + 1, bottom + 1, right + 1)
                for (top, left), (bottom, right) in merged
            ),
            hidden_rows=self.hidden[0],
            hidden_columns=self.hidden[1],
        )


def rows_of(
    sheet: CalamineSheet,
    errors: dict[sheet_scan.Place, str],
    places: Sequence[sheet_scan.Place] | None = None,
) -> list[list[object]]:
    """Return the rows of a sheet from A1 on, without blank cells at the end of rows and blank rows at the end.

    Whole numbers are ``int``, dates are date-times, error values their text.

    Parameters
    ----------
    sheet
        What the library read.
    errors
        Places and texts of the error values, which the library gives as blank.
    places
        Where the cells belong, if they were pushed together.
    """
    rows: list[list[object]] = list(sheet.to_python(skip_empty_area=False))  # type: ignore[arg-type]
    if places is not None:
        rows = sheet_scan.spread(rows, places)
    for place, row in enumerate(rows):
        while row and row[-1] == "":
            row.pop()
        rows[place] = _tidy(row)
    for (number, column), text in errors.items():
        rows.extend([] for _ in range(number - len(rows)))
        row = rows[number - 1]
        row.extend([None] * (column - len(row)))
        row[column - 1] = text or None
    while rows and not rows[-1]:
        rows.pop()
    return rows


def _number(digits: bytes) -> float:
    value = float(digits)
    return int(value) if value.is_integer() else value


def _tidy(row: list[object]) -> list[object]:
    if dt.date in set(map(type, row)):
        row = [
            dt.datetime(value.year, value.month, value.day) if type(value) is dt.date else value
            for value in row
        ]
    return [
        (int(value) if value.is_integer() else value)
        if type(value) is float
        else (None if value == "" else value)
        for value in row
    ]


def _repacked(package: Package, scans: Sequence[_Scan]) -> io.BytesIO:
    """Return a package of the usual shape that holds these sheets, and frees their XML on the way."""
    shared = {
        _SHARED[relation.kind]: sheet_scan.plain_part(package.read(relation.target))
        for relation in package.relations(package.workbook)
        if relation.kind in _SHARED and not relation.external and relation.target in package
    }
    properties = [node for node in package.tree(package.workbook) if local(node.tag) == "workbookPr"]
    from_1904 = any(node.get("date1904") in ("1", "true", "on") for node in properties)
    sheets = "".join(
        f'<sheet name={quoteattr(f"s{n}")} sheetId="{n}" r:id="r{n}"/>' for n in range(1, len(scans) + 1)
    )
    targets = [("worksheet", f"worksheets/sheet{n}.xml") for n in range(1, len(scans) + 1)]
    targets += [(kind, name.removeprefix("xl/")) for kind, name in _SHARED.items() if name in shared]
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("[Content_Types].xml", f'<Types xmlns="{_TYPES}"/>')
        archive.writestr("_rels/.rels", _relations([("officeDocument", "xl/workbook.xml")]))
        archive.writestr("xl/_rels/workbook.xml.rels", _relations(targets))
        archive.writestr(
            "xl/workbook.xml",
            f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}"><workbookPr date1904="{int(from_1904)}"/>'
            f"<sheets>{sheets}</sheets></workbook>",
        )
        for name, content in shared.items():
            archive.writestr(name, content)
        for number, scan in enumerate(scans, start=1):
            archive.writestr(f"xl/worksheets/sheet{number}.xml", scan.xml)
            scan.xml = b""
    stream.seek(0)
    return stream


def _relations(targets: Sequence[tuple[str, str]]) -> str:
    lines = "".join(
        f'<Relationship Id="r{n}" Type="{_OFFICE}/{kind}" Target="{target}"/>'
        for n, (kind, target) in enumerate(targets, start=1)
    )
    return f'<Relationships xmlns="{_RELATIONS}">{lines}</Relationships>'
