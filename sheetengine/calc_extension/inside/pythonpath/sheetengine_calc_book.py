"""Puts result sheets into the open document, in place, so that formulas that point at them keep their aim.

Works on UNO objects, which are untyped here. Standard library and uno alone.
"""

from __future__ import annotations

import re
import zipfile
from pathlib import Path
from typing import Any, List, Mapping, Sequence, Tuple  # noqa: UP035 - read by Python 3.8 too

import uno

MARK = "_sheetengine_result"
"""Name, local to a sheet, that marks it as a result; its value is the sheet's own name as a text."""
FAULT_SHEET = "Input faults"
FORMULAS = 16
"""com.sun.star.sheet.CellFlags.FORMULA."""
EVERYTHING = 1023
"""All kinds of content of a cell."""
_PAGE = (
    "IsLandscape", "Width", "Height", "LeftMargin", "RightMargin", "TopMargin", "BottomMargin", "PageScale", "ScaleToPagesX",
    "ScaleToPagesY", "ScaleToPages", "HeaderIsOn", "FooterIsOn", "FooterHeight", "FooterBodyDistance", "FooterIsShared",
    "RightPageFooterContent",
)  # fmt: skip
"""What is taken over of a page style, in this order."""
_CELL = re.compile(r"^(.*)!\$?([A-Z]{1,3})\$?([0-9]+)$")
_INK, _INDIGO, _SAND = 0x262430, 0x2B2C66, 0xEDE6D6
ROWS_SEEN = 60
"""Rows of a first screen, which look alike below a short table."""


_WHOLE_ROWS = re.compile(r"!\$([0-9]+):\$([0-9]+)(?=[<,])")
_WORKBOOK = "xl/workbook.xml"


class NotOurs(Exception):
    """A sheet of the user's own has the name of a result sheet."""


def mark_text(name: str) -> str:
    """Return the text of the mark of a result sheet with this name."""
    return '"' + name.replace('"', '""') + '"'


def is_ours(sheet: Any) -> bool:
    """Return whether a sheet is a result of the engine, told by its mark."""
    names = sheet.NamedRanges
    return bool(names.hasByName(MARK)) and names.getByName(MARK).Content == mark_text(sheet.Name)


def set_mark(sheet: Any) -> None:
    """Mark a sheet as a result."""
    names = sheet.NamedRanges
    if names.hasByName(MARK):
        names.removeByName(MARK)
    place = uno.createUnoStruct("com.sun.star.table.CellAddress")
    place.Sheet = sheet.RangeAddress.Sheet
    names.addNewByName(MARK, mark_text(sheet.Name), place, 0)


def narrow_titles(book: Path) -> None:
    """Let the rows that are repeated on paper name a few cells in a book that only this program will read.

    It makes every column of a sheet for a name of whole rows, which takes longer than all the rest of loading.
    """
    with zipfile.ZipFile(str(book)) as held:
        if _WORKBOOK not in held.namelist():
            return
        text = held.read(_WORKBOOK).decode("utf-8")
        narrow = _WHOLE_ROWS.sub(r"!$A$\1:$H$\2", text)
        if narrow == text:
            return
        parts = [(info, held.read(info.filename)) for info in held.infolist()]
    with zipfile.ZipFile(str(book), "w", zipfile.ZIP_DEFLATED, compresslevel=1) as made:
        for info, content in parts:
            made.writestr(info.filename, narrow.encode("utf-8") if info.filename == _WORKBOOK else content)


def own_sheets(document: Any) -> List[str]:  # noqa: UP006
    """Return the names of the engine's sheets in a document."""
    sheets = document.Sheets
    return [name for name in sheets.ElementNames if is_ours(sheets.getByName(name))]


def take_results(document: Any, results: Any) -> List[str]:  # noqa: UP006
    """Put every result sheet of one document into another, and return their names.

    A result sheet that is there already is emptied and filled again and never deleted, since formulas that point
    at a deleted sheet lose their aim.

    Parameters
    ----------
    document
        The open document.
    results
        The book that the engine wrote, loaded and hidden.

    Raises
    ------
    NotOurs
        The open document has a sheet of its own under the name of a result sheet.
    """
    sheets = document.Sheets
    earlier = own_sheets(document)
    wanted = [name for name in own_sheets(results) if not name.startswith(FAULT_SHEET)]
    for name in wanted:
        if sheets.hasByName(name) and name not in earlier:
            raise NotOurs(name)
    _remove_tables(document, earlier)
    for name in earlier:
        if name.startswith(FAULT_SHEET):
            sheets.removeByName(name)
    for name in wanted:
        _make_place(document, name, wanted)
    fresh = {name: sheets.getByIndex(sheets.importSheet(results, name, sheets.Count)).Name for name in wanted}
    for name in wanted:
        _refill(sheets.getByName(name), sheets.getByName(fresh[name]))
    for name in fresh.values():
        sheets.removeByName(name)
    for name in wanted:
        sheet, source = sheets.getByName(name), results.Sheets.getByName(name)
        renew_formats(document, sheet)
        _aim_formulas(sheet, source)
        _aim_charts(sheet, source)
        _set_up_print(document, sheet, results, source)
    _add_tables(document, results, wanted)
    return wanted


def _make_place(document: Any, name: str, wanted: Sequence[str]) -> None:
    """Make an empty sheet where there is none yet: behind the result sheet that comes before it, else at the end."""
    sheets = document.Sheets
    if sheets.hasByName(name):
        return
    place = sheets.Count
    for before in reversed(wanted[: wanted.index(name)]):
        if sheets.hasByName(before):
            place = sheets.getByName(before).RangeAddress.Sheet + 1
            break
    sheets.insertNewByName(name, place)


def _used(sheet: Any) -> Any:
    """Return the range from the first cell to the last one in use. Whole columns would make the sheet slow."""
    cursor = sheet.createCursor()
    cursor.gotoEndOfUsedArea(False)
    end = cursor.RangeAddress
    return sheet.getCellRangeByPosition(0, 0, end.EndColumn, end.EndRow)


def _empty(sheet: Any) -> Tuple[int, int]:  # noqa: UP006
    """Take everything off a sheet, notes and charts too, and return the last column and row there was."""
    column, row = _last_place(sheet)
    used = sheet.getCellRangeByPosition(0, 0, column, row)
    used.merge(False)
    used.clearContents(
        EVERYTHING
    )  # shapes must not be taken off the page one by one: notes would lose theirs
    formats = sheet.ConditionalFormats
    for old in formats.getConditionalFormats():
        formats.removeByID(old.ID)
    return column, row


def _refill(sheet: Any, source: Any) -> None:
    """Fill a sheet with all that another holds; the sheet itself stays, and so does what points at it."""
    old_column, old_row = _empty(sheet)
    full = source.RangeAddress
    full.EndColumn, full.EndRow = _last_place(source)
    sheet.copyRange(sheet.getCellByPosition(0, 0).CellAddress, full)
    for column in range(max(old_column, full.EndColumn) + 1):
        here, there = sheet.Columns.getByIndex(column), source.Columns.getByIndex(column)
        here.Width = there.Width
        here.IsVisible = there.IsVisible
    for row in range(max(old_row, full.EndRow, ROWS_SEEN) + 1):
        here, there = sheet.Rows.getByIndex(row), source.Rows.getByIndex(row)
        if here.Height != there.Height:
            here.Height = there.Height
    sheet.TabColor = source.TabColor
    set_mark(sheet)


def _aim_formulas(sheet: Any, source: Any) -> None:
    """Write the formulas and the drop-down lists of a sheet anew: copied ones look into the file they came from."""
    for area in source.queryContentCells(FORMULAS).RangeAddresses:
        place = area.StartColumn, area.StartRow, area.EndColumn, area.EndRow
        formulas = source.getCellRangeByPosition(*place).getFormulaArray()
        sheet.getCellRangeByPosition(*place).setFormulaArray(formulas)
    if not source.queryContentCells(FORMULAS).RangeAddresses:
        return
    column, row = _last_place(source)
    for at in [(i, j) for j in range(min(row, ROWS_SEEN) + 1) for i in range(min(column, 12) + 1)]:
        there = source.getCellByPosition(*at).Validation
        if there.Type.value == "LIST" and there.getFormula1():
            cell = sheet.getCellByPosition(*at)
            here = cell.Validation
            here.setFormula1(there.getFormula1())
            cell.Validation = here


def _last_place(sheet: Any) -> Tuple[int, int]:  # noqa: UP006
    """Return last column and row of cells and charts."""
    used = _used(sheet).RangeAddress
    column, row = used.EndColumn, used.EndRow
    page = sheet.DrawPage
    for shape in (page.getByIndex(place) for place in range(page.Count)):
        if shape.supportsService("com.sun.star.drawing.OLE2Shape"):
            right, below = shape.Position.X + shape.Size.Width, shape.Position.Y + shape.Size.Height
            while right > sheet.getCellByPosition(column + 1, 0).Position.X:
                column += 1
            while below > sheet.getCellByPosition(0, row + 1).Position.Y:
                row += 1
    return column, row


def renew_formats(document: Any, sheet: Any) -> None:
    """Make the conditional formats of a sheet anew: copied ones look at the sheet they were copied from."""
    formats = sheet.ConditionalFormats
    held = []
    for old in formats.getConditionalFormats():
        entries = [old.getByIndex(place) for place in range(old.Count)]
        looks = [(entry.Operator, entry.Formula1, entry.StyleName) for entry in entries]
        held.append((old.ID, old.Range.RangeAddresses, looks))
    for number, _, _ in held:
        formats.removeByID(number)
    for _, areas, looks in held:
        ranges = document.createInstance("com.sun.star.sheet.SheetCellRanges")
        ranges.addRangeAddresses(areas, False)
        number = formats.createByRange(ranges)
        new = next(entry for entry in formats.getConditionalFormats() if number == entry.ID)
        for place, (operator, formula, style) in enumerate(looks):
            new.createEntry(0, place)
            entry = new.getByIndex(place)
            entry.Operator, entry.Formula1, entry.StyleName = operator, formula, style


def _aim_charts(sheet: Any, source: Any) -> None:
    """Let the curves of a sheet's charts take the same cells as in the book they come from."""
    for place in range(source.Charts.Count):
        chart = sheet.Charts.getByIndex(place).EmbeddedObject
        model = source.Charts.getByIndex(place).EmbeddedObject
        provider = chart.getDataProvider()
        for curve, wanted in zip(_curves(chart), _curves(model)):  # noqa: B905 - Python 3.8 has no strict
            cells = {part.Values.Role: part.Values.SourceRangeRepresentation for part in wanted}
            for part in curve:
                role = part.Values.Role
                if part.Values.SourceRangeRepresentation != cells[role]:
                    values = provider.createDataSequenceByRangeRepresentation(cells[role])
                    values.Role = role
                    part.setValues(values)


def _curves(chart: Any) -> List[Tuple[Any, ...]]:  # noqa: UP006
    """Return the columns of numbers of every curve of a chart."""
    return [
        tuple(part for part in curve.getDataSequences() if part.Values is not None)
        for system in chart.getFirstDiagram().getCoordinateSystems()
        for kind in system.getChartTypes()
        for curve in kind.getDataSeries()
    ]


def _set_up_print(document: Any, sheet: Any, results: Any, source: Any) -> None:
    """Give a sheet the page style, the print areas and the repeated rows and columns of its source."""
    styles = document.StyleFamilies.getByName("PageStyles")
    name = f"Result {sheet.Name}"
    if not styles.hasByName(name):
        styles.insertByName(name, document.createInstance("com.sun.star.style.PageStyle"))
    style = styles.getByName(name)
    model = results.StyleFamilies.getByName("PageStyles").getByName(source.PageStyle)
    for key in _PAGE:
        style.setPropertyValue(key, model.getPropertyValue(key))
    sheet.PageStyle = name
    here = sheet.RangeAddress.Sheet

    def moved(area: Any) -> Any:
        area.Sheet = here
        return area

    sheet.setPrintAreas(tuple(moved(area) for area in source.getPrintAreas()))
    sheet.setPrintTitleRows(source.getPrintTitleRows())
    sheet.setTitleRows(moved(source.getTitleRows()))
    sheet.setPrintTitleColumns(source.getPrintTitleColumns())
    sheet.setTitleColumns(moved(source.getTitleColumns()))


def _remove_tables(document: Any, names: Sequence[str]) -> None:
    """Take away the named tables on the result sheets; the new ones are placed anew."""
    places = {document.Sheets.getByName(name).RangeAddress.Sheet for name in names}
    tables = document.DatabaseRanges
    for name in tables.ElementNames:
        if tables.getByName(name).DataArea.Sheet in places:
            tables.removeByName(name)


def _add_tables(document: Any, results: Any, names: Sequence[str]) -> None:
    """Name the tables on the result sheets, with filter buttons, as in the book they come from."""
    homes = {results.Sheets.getByName(name).RangeAddress.Sheet: name for name in names}
    tables = document.DatabaseRanges
    for name in results.DatabaseRanges.ElementNames:
        table = results.DatabaseRanges.getByName(name)
        area = table.DataArea
        if area.Sheet not in homes or tables.hasByName(name):
            continue
        area.Sheet = document.Sheets.getByName(homes[area.Sheet]).RangeAddress.Sheet
        tables.addNewByName(name, area)
        tables.getByName(name).AutoFilter = table.AutoFilter


# ---------------------------------------------------------------------------- faults and flags


def free_fault_sheet(document: Any) -> str:
    """Return a name for the list of faults that no sheet of the user's own has."""
    sheets = document.Sheets
    number, name = 1, FAULT_SHEET
    while sheets.hasByName(name) and not is_ours(sheets.getByName(name)):
        number += 1
        name = f"{FAULT_SHEET} ({number})"
    return name


def write_faults(document: Any, faults: Sequence[Mapping[str, str]]) -> str:
    """List the input faults on a sheet of their own, each with a link to its cell, and return the sheet's name."""
    sheets = document.Sheets
    name = free_fault_sheet(document)
    if not sheets.hasByName(name):
        sheets.insertNewByName(name, sheets.Count)
    sheet = sheets.getByName(name)
    sheet.clearContents(EVERYTHING)
    number = len(faults)
    head = (
        "Input faults",
        f"{number} fault{'s' if number > 1 else ''}: the inputs cannot be used, and nothing was computed.",
        "Follow Where to the cell and correct it; then run the calculation again. This list goes when the inputs are usable.",
    )
    for row, text in enumerate(head):
        sheet.getCellByPosition(0, row).String = text
    rows = [("Where", "What is wrong", "What to do")]
    rows += [("", str(fault["message"]), str(fault["clears"])) for fault in faults]
    area = sheet.getCellRangeByPosition(0, 4, 2, 4 + number)
    area.setDataArray(tuple(rows))
    area.IsTextWrapped = True
    area.VertJustify = 1  # top
    for row, fault in enumerate(faults, start=5):
        _write_link(document, sheet.getCellByPosition(0, row), fault["sheet"], fault["cell"])
    for column, width in enumerate((4200, 11500, 11500)):
        sheet.Columns.getByIndex(column).Width = width
    title = sheet.getCellByPosition(0, 0)
    title.CharHeight, title.CharWeight, title.CharColor = 17, 150.0, _INDIGO
    line = sheet.getCellRangeByPosition(0, 4, 2, 4)
    line.CharWeight, line.CellBackColor = 150.0, _SAND
    area.CharColor = _INK
    sheet.TabColor = _INDIGO
    sheet.Rows.OptimalHeight = True
    set_mark(sheet)
    return name


def _write_link(document: Any, cell: Any, sheet: str, a1: str) -> None:
    quoted = sheet if re.match(r"^[A-Za-z_]+$", sheet) else "'" + sheet.replace("'", "''") + "'"
    link = document.createInstance("com.sun.star.text.TextField.URL")
    link.URL = f"#{quoted}.{a1 or 'A1'}"
    link.Representation = f"{sheet}!{a1}" if a1 else sheet
    cell.insertTextContent(cell.createTextCursor(), link, False)


def unsigned_flags(document: Any) -> List[Tuple[str, str, str]]:  # noqa: UP006
    """Return the flags that have no initials yet: name, cell, and finding with what would clear it.

    A document without flags gives an empty list.
    """
    sheets = document.Sheets
    if not sheets.hasByName("Flags") or not is_ours(sheets.getByName("Flags")):
        return []
    cursor = sheets.getByName("Flags").createCursor()
    cursor.gotoEndOfUsedArea(False)
    end = cursor.RangeAddress
    rows = sheets.getByName("Flags").getCellRangeByPosition(0, 0, end.EndColumn, end.EndRow).getDataArray()
    head = next((place for place, row in enumerate(rows) if {"Flag", "Cell", "Initials"} <= set(row)), None)
    if head is None:
        return []
    at = {str(heading): column for column, heading in enumerate(rows[head])}
    return [
        (
            str(row[at["Flag"]]),
            str(row[at["Cell"]]),
            f"{row[at['Level']]}: {row[at['Finding']]}\n{row[at['What would clear it']]}",
        )
        for row in rows[head + 1 :]
        if row[at["Flag"]] and not str(row[at["Initials"]]).strip()
    ]


def go_to(document: Any, place: str) -> bool:
    """Select the cell that a flag names, and return whether it is there."""
    found = _CELL.match(place)
    name, a1 = (found[1], found[2] + found[3]) if found else (place, "A1")
    if not document.Sheets.hasByName(name):
        return False
    controller = document.CurrentController
    controller.setActiveSheet(document.Sheets.getByName(name))
    controller.select(document.Sheets.getByName(name).getCellRangeByName(a1))
    return True
