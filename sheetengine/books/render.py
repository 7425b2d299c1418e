"""Renders result sheets as a workbook of their own."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Sequence
from itertools import groupby
from math import ceil
from typing import Any

from openpyxl.formatting.rule import Rule
from openpyxl.utils import get_column_letter
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from openpyxl.workbook import Workbook
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.table import Table
from openpyxl.worksheet.worksheet import Worksheet

from sheetengine.books import palette
from sheetengine.books.cells_out import MOMENT_FORMAT, CellStyle, cleaned, style_of, write_note, writer
from sheetengine.books.charts import PlacedTable, add_charts
from sheetengine.books.live_cells import add_choices, place_formulas
from sheetengine.books.marks import ALT_TEXT, mark_result
from sheetengine.cells import parse_a1, quoted
from sheetengine.content import ColumnLook, Formula, Link, Look, SheetContent, TableContent

PAPERS = {"A4": 9, "A3": 8, "Letter": 1}
NO_CHARTS = "No charts are drawn while the book is open. Close it and run: sheetengine run"
_WIDEST_LINE = 150
_WIDTH_OF_A_PAGE = 210.0
_WIDTH_OF_A_LANDSCAPE_PAGE = 104.0
_NARROW = 80.0
_LONGEST_FOOTER = 120
_MOST_TOLD = 12
"""Headings of a table that its alternative text names."""


def render_results(
    contents: Sequence[SheetContent],
    *,
    taken: Iterable[str] = (),
    from_1904: bool = False,
    charts: bool = True,
) -> Workbook:
    """Return a workbook of result sheets, in the order given, each marked as one.

    Parameters
    ----------
    contents
        What the sheets hold.
    taken
        Names of tables and other names of the book that the sheets are meant for.
    from_1904
        Whether that book counts its days from 1904.
    charts
        Whether charts are drawn; where not, a line says how they are had.
    """
    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    if from_1904:
        workbook.epoch = CALENDAR_MAC_1904
    tables: dict[str, PlacedTable] = {}
    names = {name.casefold() for name in taken}
    sheets = []
    for content in contents:
        sheet = workbook.create_sheet(content.name)
        mark_result(sheet)
        sheets.append((sheet, content, _lay_out(sheet, content, names, tables, charts)))
    for sheet, content, layout in sheets:
        place_formulas(sheet, tables)
        add_choices(sheet, content, tables)
        areas = []
        if charts:
            areas = add_charts(sheet, content, tables, column=layout.chart_column, row=layout.chart_row)
        _set_up_print(sheet, content, layout, areas)
    return workbook


class Layout:
    """Where things stand on a sheet."""

    def __init__(self) -> None:
        self.head_row = 0
        self.last_row = 0
        self.last_column = 1
        self.width = 0.0
        self.chart_column = 1
        self.chart_row = 1


def _lay_out(
    sheet: Worksheet, content: SheetContent, names: set[str], placed: dict[str, PlacedTable], charts: bool
) -> Layout:
    layout = Layout()
    sheet.sheet_view.showGridLines = False
    sheet.sheet_properties.tabColor = palette.TAB_RESULT
    main = content.tables[0] if content.tables else None
    layout.width = sum(look.width for look in main.columns if not look.hidden) if main else 100.0
    layout.last_column = max((len(table.columns) for table in content.tables), default=1)
    layout.chart_column = layout.last_column + 2 if content.tables else 1
    row = _write_top(sheet, content, layout, charts)
    for place, table in enumerate(content.tables):
        if place:
            row += 2
            writer(sheet)(row, 1, table.name.replace("_", " "), style_of(sheet, font=palette.SUBTITLE))
            row += 1
        head_row = _write_table(sheet, table, row, names, keys=content.freeze_columns if place == 0 else 0)
        placed[table.name] = PlacedTable(sheet, table, head_row, 1)
        row = head_row + max(len(table.rows), 1) + 1
        if place == 0:
            layout.head_row = head_row
            sheet.freeze_panes = f"{get_column_letter(content.freeze_columns + 1)}{head_row + 1}"
            _begin_at(sheet, content, table, head_row)
    layout.last_row = row - 1
    layout.chart_row = layout.head_row + 1 if layout.head_row else row
    _set_widths(sheet, content.tables)
    return layout


def _begin_at(sheet: Worksheet, content: SheetContent, table: TableContent, head_row: int) -> None:
    """Put the cursor where the work begins: on the first cell to write in or choose from, or on the first value."""
    column, row = content.freeze_columns + 1, head_row + 1
    entries = [place for place, look in enumerate(table.columns, start=1) if look.look is Look.ENTRY]
    if entries:
        column = entries[0]
    for choice in content.choices[:1]:
        if choice.table == table.name:
            headings = [look.heading for look in table.columns]
            column, row = headings.index(choice.heading) + 1, head_row + 1 + choice.row
    cell = f"{get_column_letter(max(column, content.freeze_columns + 1))}{row}"
    for selection in sheet.sheet_view.selection:
        selection.activeCell = selection.sqref = cell


def _write_top(sheet: Worksheet, content: SheetContent, layout: Layout, charts: bool) -> int:
    """Write title, facts and lines, and return the row of what comes next."""
    write = writer(sheet)
    write(1, 1, content.title, style_of(sheet, font=palette.TITLE, place=palette.LINE_PLACE))
    sheet.row_dimensions[1].height = 24
    beside = layout.width + 80.0 if content.charts else 0.0  # the charts begin below these lines
    widest = int(min(max(layout.width, beside, 70.0), _WIDEST_LINE))
    row = 2
    facts = "   ·   ".join(f"{name}: {_fact(value)}" for name, value in content.facts)
    strong = style_of(sheet, font=palette.STRONG, place=palette.LINE_PLACE)
    for line in textwrap.wrap(cleaned(facts), widest):
        write(row, 1, line, strong)
        row += 1
    faint = style_of(sheet, font=palette.FAINT, place=palette.LINE_PLACE)
    for text in content.lines:
        for line in textwrap.wrap(cleaned(text), widest) or [""]:
            write(row, 1, line, faint)
            row += 1
    if content.charts and content.tables and layout.width > _WIDEST_LINE / 2:
        column = get_column_letter(layout.chart_column)
        link = Link(
            f"The charts stand right of the table, from column {column} on.",
            f"{quoted(content.name)}!{column}{row + 1}",
        )
        linked = style_of(sheet, font=palette.LINKED, place=palette.LINE_PLACE)
        write(row, 1, *((link, linked) if charts else (NO_CHARTS, faint)))
        row += 1
    return row + 1


def _fact(value: Any) -> str:
    if value is None or value != value:  # noqa: PLR0124 - not a number
        return "–"
    return f"{value:%Y-%m-%d %H:%M}" if hasattr(value, "strftime") else str(value)


def _set_widths(sheet: Worksheet, tables: Sequence[TableContent]) -> None:
    widths: dict[int, float] = {}
    hidden: dict[int, bool] = {}
    for table in tables:
        for column, look in enumerate(table.columns, start=1):
            widths[column] = max(widths.get(column, 0.0), look.width)
            hidden[column] = hidden.get(column, True) and look.hidden
    for column, width in widths.items():
        dimension = sheet.column_dimensions[get_column_letter(column)]
        dimension.width = width + 0.7
        dimension.hidden = hidden[column]


def _column_style(sheet: Worksheet, look: ColumnLook) -> CellStyle:
    border = palette.CELL_BORDER
    if look.look is Look.NUMBER:
        digits = "." + "0" * look.decimals if look.decimals > 0 else ""
        return style_of(sheet, border=border, place=palette.NUMBER_PLACE, number_format=f"#,##0{digits}")
    if look.look is Look.COUNT:
        return style_of(sheet, border=border, place=palette.NUMBER_PLACE, number_format="#,##0")
    if look.look is Look.MOMENT:
        return style_of(sheet, border=border, place=palette.CENTRE_PLACE, number_format=MOMENT_FORMAT)
    if look.look in (Look.VERDICT, Look.LEVEL):
        return style_of(sheet, border=border, place=palette.CENTRE_PLACE)
    if look.look is Look.LINK:
        return style_of(sheet, font=palette.LINKED, border=border, place=palette.TEXT_PLACE)
    if look.look is Look.ENTRY:
        return style_of(sheet, fill=palette.ENTRY_FILL, border=palette.ENTRY_BORDER, place=palette.TEXT_PLACE)
    return style_of(sheet, border=border, place=palette.TEXT_PLACE)


def _write_table(sheet: Worksheet, table: TableContent, row: int, names: set[str], *, keys: int) -> int:
    """Write a table from ``row`` on and return the row of its headings."""
    write = writer(sheet)
    columns = table.columns
    if any(look.group for look in columns):
        _write_bands(sheet, columns, row)
        row += 1
    head = style_of(
        sheet,
        font=palette.HEADING,
        fill=palette.HEADING_FILL,
        border=palette.HEADING_BORDER,
        place=palette.HEADING_PLACE,
    )
    headings = unique_headings([look.heading for look in columns])
    for column, (look, heading) in enumerate(zip(columns, headings, strict=True), start=1):
        write(row, column, heading, head)
        if look.note:
            write_note(sheet, row, column, look.note)
    lines = max(
        len(textwrap.wrap(h, max(int(look.width) - 3, 4))) for look, h in zip(columns, headings, strict=True)
    )
    sheet.row_dimensions[row].height = max(13.5 * lines + 6.0, 20.0)
    styles = [_column_style(sheet, look) for look in columns]
    wrapped = [
        (place, look.width)
        for place, look in enumerate(columns)
        if look.look in (Look.TEXT, Look.LINK, Look.ENTRY) and not look.hidden
    ]
    for offset, values in enumerate(table.rows or [[None] * len(columns)], start=1):
        for column, (value, style) in enumerate(zip(values, styles, strict=True), start=1):
            write(row + offset, column, value, style)
        lines = max((_lines(values[place], width) for place, width in wrapped), default=1)
        if lines > 1:
            sheet.row_dimensions[row + offset].height = 12.8 * lines + 3.0
    last_row = row + max(len(table.rows), 1)
    made = add_table(sheet, free_name(table.name, names), headings, row, 1, last_row)
    setattr(made, ALT_TEXT, _table_text(table, headings))
    _mark_states(sheet, columns, row + 1, last_row, keys)
    return row


def _lines(value: Any, width: float) -> int:
    """Return how many lines a value takes in a column that wraps."""
    if isinstance(value, Link):
        value = value.text
    if isinstance(value, Formula):
        value = value.value
    if not isinstance(value, str):
        return 1
    if len(value) < width and "\n" not in value:
        return 1
    return min(sum(max(1, ceil(len(part) / (width * 1.08))) for part in value.split("\n")), 30)


def _write_bands(sheet: Worksheet, columns: Sequence[ColumnLook], row: int) -> None:
    write = writer(sheet)
    band = style_of(
        sheet, font=palette.BAND, fill=palette.BAND_FILL, border=palette.BAND_BORDER, place=palette.BAND_PLACE
    )
    column = 1
    for group, looks in groupby(columns, key=lambda look: look.group):
        count = len(list(looks))
        if group:
            for place in range(count):
                write(row, column + place, group if place == 0 else None, band)
            if count > 1:
                sheet.merge_cells(
                    start_row=row, end_row=row, start_column=column, end_column=column + count - 1
                )
        column += count
    sheet.row_dimensions[row].height = 16


def unique_headings(headings: Sequence[str]) -> list[str]:
    """Return the headings as a table object needs them: not blank, on one line, and no two alike."""
    seen: set[str] = set()
    unique = []
    for place, heading in enumerate(headings, start=1):
        text = " ".join(cleaned(heading).split()) or f"Column {place}"
        base, number = text, 2
        while text.casefold() in seen:
            text = f"{base} ({number})"
            number += 1
        seen.add(text.casefold())
        unique.append(text)
    return unique


def free_name(name: str, names: set[str]) -> str:
    """Return the name of a table in a spelling the book allows and that is not in use, and take it."""
    text = re.sub(r"\W", "_", name) or "Table"
    if not re.match(r"[^\W\d]", text) or _reads_as_a_cell(text):
        text = f"_{text}"
    free, number = text, 2
    while free.casefold() in names:
        free = f"{text}_{number}"
        number += 1
    names.add(free.casefold())
    return free


def _reads_as_a_cell(text: str) -> bool:
    if re.fullmatch(r"[RrCc]\d*|[Rr]\d*[Cc]\d*", text):
        return True
    try:
        parse_a1(text)
    except ValueError:
        return False
    return True


def _table_text(table: TableContent, headings: Sequence[str]) -> str:
    """Return what a table is, for readers that speak: how many rows, and under which headings."""
    count = len(table.rows)
    rows = f"{count} row{'' if count == 1 else 's'}" if count else "no rows"
    told = ", ".join(headings[:_MOST_TOLD])
    more = f" and {len(headings) - _MOST_TOLD} more" if len(headings) > _MOST_TOLD else ""
    return f"{table.name.replace('_', ' ')}: {rows}; columns {told}{more}."


def add_table(sheet: Any, name: str, headings: Sequence[str], row: int, column: int, last_row: int) -> Table:
    """Make a table object of the cells, with filter buttons and no style but that of the cells."""
    last_column = column + len(headings) - 1
    reference = f"{get_column_letter(column)}{row}:{get_column_letter(last_column)}{last_row}"
    table: Any = Table(displayName=name, ref=reference)
    table._initialise_columns()
    for place, heading in zip(table.tableColumns, headings, strict=True):
        place.name = heading
    sheet.add_table(table)
    return table  # type: ignore[no-any-return]


def _mark_states(
    sheet: Worksheet, columns: Sequence[ColumnLook], first_row: int, last_row: int, keys: int
) -> None:
    """Repeat the words of verdicts and levels by fill, letters and lines, and lightly on the keys of the row."""
    words = {Look.VERDICT: palette.VERDICTS, Look.LEVEL: palette.LEVELS}
    first = True
    for column, look in enumerate(columns, start=1):
        if look.look not in words:
            continue
        letter = get_column_letter(column)
        own = f"{letter}{first_row}:{letter}{last_row}"
        for word in words[look.look]:
            state = palette.STATES[word]
            test = f'${letter}{first_row}="{word}"'
            sheet.conditional_formatting.add(
                own, Rule(type="expression", formula=[test], dxf=palette.state_style(state), stopIfTrue=True)
            )
            if first and keys and state.mark:
                area = f"A{first_row}:{get_column_letter(keys)}{last_row}"
                sheet.conditional_formatting.add(
                    area, Rule(type="expression", formula=[test], dxf=palette.mark_style(state))
                )
        first = False


def _set_up_print(sheet: Worksheet, content: SheetContent, layout: Layout, charts: list[str]) -> None:
    pages = max(1, round(layout.width / _WIDTH_OF_A_PAGE + 0.2)) if content.landscape else 1
    set_up_page(
        sheet,
        paper=content.paper,
        landscape=content.landscape,
        pages_wide=pages,
        footer=content.footer,
        fit=content.one_page or layout.width > 110.0,
        pages_tall=1 if content.one_page else 0,
    )
    if layout.head_row and not content.one_page:
        first = layout.head_row - (1 if any(look.group for look in content.tables[0].columns) else 0)
        sheet.print_title_rows = f"{first}:{layout.head_row}"
    if pages > 1 and content.freeze_columns:
        sheet.print_title_cols = f"A:{get_column_letter(content.freeze_columns)}"
    if not content.tables:
        sheet.print_area = ",".join(charts) or None
    elif not content.prints:
        sheet.print_title_rows = None
        sheet.print_area = f"A1:{get_column_letter(max(layout.last_column, 4))}{max(layout.head_row - 1, 1)}"
    elif charts and layout.width <= _NARROW:
        _print_side_by_side(sheet, content, layout, charts)
    else:
        last_column = layout.last_column
        if layout.width < _NARROW:
            last_column += ceil((_NARROW - layout.width) / 9.0)
        table = f"A1:{get_column_letter(last_column)}{layout.last_row}"
        # beside keys that stand again on every page a chart would be cut; the calculation record prints it
        beside = [] if sheet.print_title_cols else charts
        sheet.print_area = ",".join([table, *beside])


def _print_side_by_side(sheet: Worksheet, content: SheetContent, layout: Layout, charts: list[str]) -> None:
    """Print a narrow table with its charts beside it, and break the pages between the charts."""
    ends = [parse_a1(area.split(":")[1]) for area in charts]
    last_row, last_column = max(layout.last_row, ends[-1][0]), ends[-1][1]
    sheet.print_area = f"A1:{get_column_letter(last_column)}{last_row}"
    width = layout.width + 9.0 * (last_column - layout.last_column)
    room = _WIDTH_OF_A_LANDSCAPE_PAGE if content.landscape else _WIDTH_OF_A_LANDSCAPE_PAGE * 0.68
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=False)  # fitting would drop the breaks
    sheet.page_setup.scale = int(min(100.0, 100.0 * room / width))
    for row, _ in ends[:-1]:
        sheet.row_breaks.append(Break(id=row))


def set_up_page(
    sheet: Any,
    *,
    paper: str,
    landscape: bool,
    pages_wide: int,
    footer: str,
    fit: bool = True,
    pages_tall: int = 0,
) -> None:
    """Set paper, direction, margins, fit to width and footer of a sheet."""
    sheet.page_setup.paperSize = PAPERS[paper]
    sheet.page_setup.orientation = "landscape" if landscape else "portrait"
    sheet.page_setup.fitToWidth = pages_wide
    sheet.page_setup.fitToHeight = pages_tall
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=fit)
    sheet.page_margins.left = sheet.page_margins.right = 0.45
    sheet.page_margins.top, sheet.page_margins.bottom = 0.5, 0.65
    sheet.page_margins.header = sheet.page_margins.footer = 0.3
    text = cleaned(footer).replace("\n", " ")
    if len(text) > _LONGEST_FOOTER:
        text = text[: _LONGEST_FOOTER - 1] + "…"
    for part, words in (
        (sheet.oddFooter.left, text.replace("&", "&&")),
        (sheet.oddFooter.center, "&A"),
        (sheet.oddFooter.right, "Page &P of &N"),
    ):
        part.text = words or None
        part.size = 8
        part.font = palette.BODY_FONT
