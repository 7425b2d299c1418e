"""Writes rendered result sheets into a workbook that is open in Excel, each in the place of the one before it.

A sheet is never taken out and put back: formulas of the office that point at it would turn into #REF!. So its cells are
written over, in blocks, and a table that stands where it stood keeps its identity and is only made longer or shorter.
"""

from __future__ import annotations

import contextlib
from collections.abc import Collection, Iterator
from typing import TYPE_CHECKING, Any

from openpyxl.workbook import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from sheetengine.books.marks import not_ours
from sheetengine.books.open_reading import is_ours
from sheetengine.books.parts import MARK, marked

if TYPE_CHECKING:
    from xlwings import App, Book, Range, Sheet

Place = tuple[int, int]
Box = tuple[int, int, int, int]
"""First row, first column, last row, last column."""

_WEIGHTS: dict[str, Any] = {"hair": "hairline", "thin": "thin", "medium": "medium", "thick": "thick"}


def check_names(book: Book, names: Collection[str]) -> None:
    """Check that no sheet of the office's own stands under the name of a result sheet.

    Raises
    ------
    BookUnwritable
        One does; nothing was written.
    """
    wanted = {name.casefold() for name in names}
    for sheet in book.sheets:
        if sheet.name.casefold() in wanted and not is_ours(sheet):
            raise not_ours(sheet.name)


def taken_names(book: Book, apart: Collection[str]) -> set[str]:
    """Return the names of the book, and of the tables on its sheets apart from those named."""
    names = {name.name for name in book.names if "!" not in name.name}
    for sheet in book.sheets:
        if sheet.name not in apart:
            names |= {table.name for table in sheet.tables}
    return names


@contextlib.contextmanager
def kept_still(app: App, book: Book) -> Iterator[None]:
    """Hold screen, calculation and events still, and give them back with the sheet and cells that were chosen."""
    sheet, chosen = book.sheets.active, app.selection
    before = {name: getattr(app, name) for name in ("screen_updating", "enable_events", "calculation")}
    try:
        app.screen_updating = False
        app.enable_events = False
        app.calculation = "manual"
        yield
    finally:
        with contextlib.suppress(Exception):  # a sheet that is hidden by now cannot be shown
            sheet.activate()
            if chosen is not None:
                chosen.select()
        for name in ("calculation", "enable_events", "screen_updating"):
            with contextlib.suppress(Exception):  # one that fails must not hold up the others
                setattr(app, name, before[name])


def write_open(book: Book, rendered: Workbook) -> None:
    """Write the sheets of a rendered workbook into the open one.

    Values, number formats, letters, fills, lines, widths, notes, links, tables and conditional formats go over. Charts do
    not: xlwings' model gives a curve no places of its own. A chart of an earlier run is taken away, since it would
    show what no longer holds. Panes are not frozen, since xlwings has no word for it in Excel; frozen ones stay.

    Parameters
    ----------
    book
        The open workbook.
    rendered
        What :func:`render_results` made.

    Raises
    ------
    BookUnwritable
        A sheet of the office's own has the name of one of ours; nothing was written.
    """
    check_names(book, rendered.sheetnames)
    for source in rendered.worksheets:
        _write_sheet(_seat(book, source.title, rendered.sheetnames), source)


def _seat(book: Book, name: str, order: list[str]) -> Sheet:
    """Return the sheet of ours under a name; where there is none, put one behind the one before it in our order."""
    there = {sheet.name.casefold(): sheet for sheet in book.sheets}
    if name.casefold() in there:
        return there[name.casefold()]
    ours = [there[other.casefold()] for other in order if other.casefold() in there]
    before = [there[other.casefold()] for other in order[: order.index(name)] if other.casefold() in there]
    if before:
        sheet = book.sheets.add(name, after=before[-1])
    elif ours:
        sheet = book.sheets.add(name, before=ours[0])
    else:
        sheet = book.sheets.add(name, after=book.sheets[len(book.sheets) - 1])
    mark = sheet.names.add(MARK, f"={marked(name)}")
    with contextlib.suppress(
        Exception
    ):  # only some programs can hide a name, and it serves as well when seen
        mark.api.Visible = False
    return sheet


def _write_sheet(sheet: Sheet, source: Worksheet) -> None:
    cells = {place: cell for place, cell in source._cells.items() if cell.value is not None or cell.has_style}
    last_row = max(row for row, _ in cells)
    last_column = max(column for _, column in cells)
    for chart in list(sheet.charts):
        chart.delete()
    kept = _kept_tables(sheet, source)
    _clear(sheet, {table.range.row for table in kept.values()}, last_row, last_column)
    for (row, column), cell in cells.items():
        if cell.hyperlink is not None:
            sheet.range((row, column)).add_hyperlink(
                f"#{cell.hyperlink.location}", str(cell.value), str(cell.value)
            )
    sheet.range((1, 1), (last_row, last_column)).value = [
        [_typed(cells.get((row, column))) for column in range(1, last_column + 1)]
        for row in range(1, last_row + 1)
    ]
    for boxes, cell in _styled(cells):
        for box in boxes:
            _dress(sheet.range(box[:2], box[2:]), cell)
    for merged in source.merged_cells.ranges:
        sheet.range(merged.coord).merge()
    for (row, column), cell in cells.items():
        if cell.comment is not None:
            sheet.range((row, column)).add_note(cell.comment.text)
    _set_sizes(sheet, source)
    _set_tables(sheet, source, kept)
    _set_conditions(sheet, source)
    sheet.show_gridlines = False


def _kept_tables(sheet: Sheet, source: Worksheet) -> dict[str, Any]:
    """Return the tables that stay, by name, and dissolve those that cannot: their headings move or are others."""
    kept: dict[str, Any] = {}
    new = _tables(source)
    for table in list(sheet.tables):
        area = sheet.range(new[table.name]) if table.name in new else None
        head = table.header_row_range
        if area is not None and head is not None and head.address == area.rows[0].address:
            table.show_autofilter = False  # rows that a filter hides would not take their values
            kept[table.name] = table
        else:
            _dissolve(table)
    return kept


def _tables(source: Any) -> dict[str, str]:
    """Return the cells of every table of a rendered sheet, by its name."""
    return {table.name: table.ref for table in source.tables.values()}


def _dissolve(table: Any) -> None:
    """Make plain cells of a table; xlwings' model has no word for it, so the program's own object is asked."""
    api = table.api
    (api.Unlist if hasattr(api, "Unlist") else api.unlist)()


def _clear(sheet: Sheet, heads: Collection[int], last_row: int, last_column: int) -> None:
    """Clear the sheet but for the headings of tables that stay, which are written over in one go."""
    used = sheet.used_range.last_cell
    end_row, end_column = max(used.row, last_row), max(used.column, last_column)
    first = 1
    for row in [*sorted(heads), end_row + 1]:
        if row > first:
            sheet.range((first, 1), (row - 1, end_column)).clear()
        first = row + 1
    for row in heads:
        line = sheet.range((row, 1), (row, end_column))
        line.clear_formats()
    for note in list(sheet.notes):
        note.delete()
    sheet.range((1, 1), (end_row, end_column)).conditional_formats.clear()


def _typed(cell: Any) -> Any:
    """Return a value as it must be typed so that the cell holds it: a text behind an apostrophe stays a text."""
    value = None if cell is None else cell.value
    if cell is not None and cell.data_type == "f":
        return str(value)  # a formula of our own
    return f"'{value}" if isinstance(value, str) else value


def _styled(cells: dict[Place, Any]) -> Iterator[tuple[list[Box], Any]]:
    """Return the cells of one style as few boxes, with one of the cells."""
    groups: dict[tuple[int, ...], list[Place]] = {}
    for place, cell in cells.items():
        style = cell._style
        key = (style.fontId, style.fillId, style.borderId, style.alignmentId, style.numFmtId)
        groups.setdefault(key, []).append(place)
    for places in groups.values():
        yield boxes_of(places), cells[places[0]]


def boxes_of(places: Collection[Place]) -> list[Box]:
    """Return boxes that hold the places and no other: runs down the columns, joined where neighbours are alike.

    >>> boxes_of([(1, 1), (2, 1), (1, 2), (2, 2), (4, 1)])
    [(1, 1, 2, 2), (4, 1, 4, 1)]
    """
    runs: dict[tuple[int, int], list[int]] = {}
    begin = end = column = 0
    for next_column, row in sorted((column, row) for row, column in places):
        if next_column == column and row == end + 1:
            end = row
            continue
        if column:
            runs.setdefault((begin, end), []).append(column)
        begin, end, column = row, row, next_column
    if column:
        runs.setdefault((begin, end), []).append(column)
    boxes = []
    for (first, last), columns in runs.items():
        left = right = columns[0]
        for column in columns[1:]:
            if column > right + 1:
                boxes.append((first, left, last, right))
                left = column
            right = column
        boxes.append((first, left, last, right))
    return boxes


def _dress(area: Range, cell: Any) -> None:
    if cell.number_format != "General":
        area.number_format = cell.number_format
    font = cell.font
    area.font.set(
        bold=bool(font.b), italic=bool(font.i), size=font.sz, color=_colour(font.color), name=font.name
    )
    if cell.fill.fill_type == "solid":
        area.color = _colour(cell.fill.fgColor)
    place = cell.alignment
    if place.horizontal:
        area.horizontal_alignment = place.horizontal
    if place.vertical:
        area.vertical_alignment = place.vertical
    if place.wrap_text:
        area.wrap_text = True
    lines: dict[tuple[Any, str], list[str]] = {}
    rows, columns = area.shape
    for name in ("left", "right", "top", "bottom"):
        side = getattr(cell.border, name)
        if side is not None and side.style in _WEIGHTS:
            sides = lines.setdefault((_WEIGHTS[side.style], _colour(side.color)), [])
            sides.append(f"edge_{name}")
            if name == "right" and columns > 1:
                sides.append("inside_vertical")
            if name == "bottom" and rows > 1:
                sides.append("inside_horizontal")
    for (weight, colour), sides in lines.items():
        area.borders.set(sides, line_style="continuous", weight=weight, color=colour)


def _colour(colour: Any) -> str:
    return f"#{colour.rgb[-6:]}" if colour is not None and isinstance(colour.rgb, str) else "#000000"


def _set_sizes(sheet: Sheet, source: Worksheet) -> None:
    for letter, dimension in source.column_dimensions.items():
        sheet.range(f"{letter}1").column_width = min(dimension.width, 255.0)
    heights = {row: entry.height for row, entry in source.row_dimensions.items() if entry.height}
    for height in sorted(set(heights.values())):
        for box in boxes_of([(row, 1) for row, value in heights.items() if value == height]):
            sheet.range(box[:2], box[2:]).row_height = min(height, 409.0)


def _set_tables(sheet: Sheet, source: Worksheet, kept: dict[str, Any]) -> None:
    for name, place in _tables(source).items():
        area = sheet.range(place)
        if name not in kept:
            sheet.tables.add(source=area, name=name).table_style = ""
            continue
        if kept[name].range.address != area.address:
            kept[name].resize(area)
        kept[name].show_autofilter = True


def _set_conditions(sheet: Sheet, source: Worksheet) -> None:
    """Repeat the conditional formats as far as xlwings' model goes: fill and letters, no hatch and no line."""
    rules = [
        (rule, area.coord)
        for entry in source.conditional_formatting
        for rule in entry.rules
        for area in entry.sqref.ranges
    ]
    if not rules:
        return
    try:
        sheet.activate()
    except Exception:  # a sheet that is hidden cannot be shown; its words say the same
        return
    for rule, place in sorted(
        rules, key=lambda entry: -int(entry[0].priority)
    ):  # each goes before all others
        area = sheet.range(place)
        area[0, 0].select()  # Excel takes a formula's rows as seen from the chosen cell
        fill, font = rule.dxf.fill, rule.dxf.font
        style: dict[str, Any] = {"stop_if_true": bool(rule.stopIfTrue)}
        if fill is not None:
            style["fill_color"] = _colour(fill.bgColor)
        if font is not None and font.color is not None:
            style["font_color"] = _colour(font.color)
        if font is not None and font.b:
            style["font_bold"] = True
        if font is not None and font.i:
            style["font_italic"] = True
        area.conditional_formats.add_custom(f"={rule.formula[0]}", **style)
