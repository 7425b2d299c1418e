"""Renders an empty book: guide, input sheets with lists, checks and notes, and the lists behind them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from openpyxl.formatting.rule import Rule
from openpyxl.styles import Alignment, Border, Font
from openpyxl.utils import get_column_letter
from openpyxl.workbook import Workbook
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from sheetengine.books import palette
from sheetengine.books.cells_out import style_of, write_note, writer
from sheetengine.books.render import add_table, set_up_page
from sheetengine.cells import quoted
from sheetengine.content import Link
from sheetengine.template_content import Check, EntrySheet, GuideSection, TemplateContent

HEAD_ROW = 4
_NARROW = 90.0
"""Width, in characters, of a sheet that fits the page as it is."""
FLAGS_SHEET = "Flags"
FLAGS_CELL_COLUMN = "M"
"""Column of ``Flags`` that holds the plain address of the flagged cell, ``Lifts!F14``."""
LISTS_SHEET = "Lists"
_TITLE_LIMIT, _ERROR_LIMIT = 32, 225
_EARLIEST, _LATEST = 32874, 73051
"""1 January 1990 and 1 January 2100 as the programs count days."""


def render_template(content: TemplateContent) -> Workbook:
    """Return the workbook of an empty book."""
    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    workbook.properties.creator = "sheetengine"
    workbook.properties.title = content.title
    _write_guide(workbook.create_sheet("Guide"), content)
    for sheet in content.sheets:
        _write_entry_sheet(workbook.create_sheet(sheet.name), sheet, content.paper)
    _write_lists(workbook, content)
    _name_lists(workbook, content)
    workbook.active = 0
    for place, made in enumerate(workbook.worksheets):
        made.sheet_view.tabSelected = place == 0
    return workbook


def flag_formula(sheet: str) -> str:
    """Return the formula that tells whether ``Flags`` lists the cell it stands in.

    The place is looked up by text, so that the rule outlives every ``Flags`` sheet and the input sheets need not be
    touched by a run.
    """
    here = f'"{sheet}!"&ADDRESS(ROW(),COLUMN(),4)'
    flagged = f'INDIRECT("{FLAGS_SHEET}!${FLAGS_CELL_COLUMN}:${FLAGS_CELL_COLUMN}")'
    return f"ISNUMBER(MATCH({here},{flagged},0))"


def _write_entry_sheet(sheet: Worksheet, content: EntrySheet, paper: str) -> None:
    write = writer(sheet)
    sheet.sheet_properties.tabColor = palette.TAB_OPTIONAL if content.optional else palette.TAB_INPUT
    optional = "   (optional sheet)" if content.optional else ""
    write(1, 1, content.title + optional, style_of(sheet, font=palette.TITLE, place=palette.LINE_PLACE))
    write(2, 1, content.purpose, style_of(sheet, font=palette.FAINT, place=palette.LINE_PLACE))
    sheet.row_dimensions[1].height = 24
    _write_headings(sheet, content)
    first_row = HEAD_ROW + 1
    last_row = HEAD_ROW + max(len(content.rows) + content.blank_rows, 1)
    if content.rows:
        _write_preset_rows(sheet, content)
    else:
        for column, entry in enumerate(content.columns, start=1):
            place = palette.NUMBER_PLACE if entry.right else palette.TEXT_PLACE
            style = style_of(sheet, place=place, number_format=entry.number_format)
            for row in range(first_row, last_row + 1):
                write(row, column, None, style)
            if entry.check is not None:
                letter = get_column_letter(column)
                _add_check(sheet, entry.check, f"{letter}{first_row}:{letter}{last_row}", entry.heading)
    add_table(sheet, content.table, [entry.heading for entry in content.columns], HEAD_ROW, 1, last_row)
    last_letter = get_column_letter(len(content.columns))
    sheet.conditional_formatting.add(
        f"A{first_row}:{last_letter}{last_row}",
        Rule(type="expression", formula=[flag_formula(content.name)], dxf=palette.flag_style()),
    )
    if not content.rows:
        sheet.conditional_formatting.add(
            f"A{first_row}:{last_letter}{last_row}",
            Rule(type="expression", formula=[f'$A{first_row}<>""'], dxf=palette.ruled_style()),
        )
    sheet.freeze_panes = f"{get_column_letter(content.keys + 1)}{first_row}"
    width = sum(entry.width for entry in content.columns)
    pages = max(1, round(width / 190.0 + 0.2))
    set_up_page(
        sheet,
        paper=paper,
        landscape=True,
        pages_wide=pages,
        footer=f"Inputs: {content.name}",
        fit=width > _NARROW,
    )
    sheet.print_title_rows = f"3:{HEAD_ROW}"
    if pages > 1:
        sheet.print_title_cols = f"A:{get_column_letter(content.keys)}"


def _write_headings(sheet: Worksheet, content: EntrySheet) -> None:
    write = writer(sheet)
    required = style_of(
        sheet, font=palette.HEADING, fill=palette.HEADING_FILL, border=palette.REQUIRED_BORDER,
        place=palette.HEADING_PLACE,
    )  # fmt: skip
    plain = style_of(
        sheet, font=palette.LIGHT_HEADING, fill=palette.solid(palette.PAPER), border=palette.OPTIONAL_BORDER,
        place=palette.HEADING_PLACE,
    )  # fmt: skip
    tag = style_of(
        sheet, font=Font(name=palette.BODY_FONT, size=8, bold=True, color=palette.WHITE),
        fill=palette.solid(palette.INDIGO), place=Alignment(horizontal="left", vertical="center"),
    )  # fmt: skip
    lines = 1
    for column, entry in enumerate(content.columns, start=1):
        write(HEAD_ROW, column, entry.heading, required if entry.required else plain)
        write_note(sheet, HEAD_ROW, column, entry.note)
        if entry.required and not content.rows:
            write(HEAD_ROW - 1, column, "required", tag)
        lines = max(lines, _lines_of_heading(entry.heading, entry.width - 3.0))
        sheet.column_dimensions[get_column_letter(column)].width = entry.width + 0.7
    sheet.row_dimensions[HEAD_ROW - 1].height = 12
    sheet.row_dimensions[HEAD_ROW].height = 13.5 * lines + 8.0


def _lines_of_heading(text: str, width: float) -> int:
    lines, room = 1, width
    for word in text.split():
        if len(word) > room and room < width:
            lines, room = lines + 1, width
        room -= len(word) + 1
    return lines


def _write_preset_rows(sheet: Worksheet, content: EntrySheet) -> None:
    write = writer(sheet)
    strong = style_of(sheet, font=palette.STRONG, border=palette.CELL_BORDER, place=palette.TEXT_PLACE)
    plain = style_of(sheet, border=palette.CELL_BORDER, place=palette.TEXT_PLACE)
    faint = style_of(sheet, font=palette.FAINT, border=palette.CELL_BORDER, place=palette.TEXT_PLACE)
    entry = style_of(sheet, fill=palette.ENTRY_FILL, border=palette.ENTRY_BORDER, place=palette.TEXT_PLACE)
    line = palette.side("thin", palette.SAND_LINE)
    must = style_of(
        sheet,
        font=palette.STRONG,
        fill=palette.ENTRY_FILL,
        border=Border(left=palette.side("thick", palette.INDIGO), right=line, top=line, bottom=line),
        place=palette.TEXT_PLACE,
    )
    widest = content.columns[-1].width
    for offset, values in enumerate(content.rows, start=1):
        row = HEAD_ROW + offset
        needed = content.emphasised[offset - 1]
        for column, value in enumerate(values, start=1):
            if column == content.checked_column:
                style = must if needed else entry
            elif column == 1:
                style = strong if needed else plain
            else:
                style = faint if column == len(values) else plain
            write(row, column, value, style)
        text = str(values[-1])
        sheet.row_dimensions[row].height = 13.0 * max(1, -(-len(text) // int(widest * 1.18))) + 4.0
        check = content.checks[offset - 1]
        if check is not None:
            _add_check(sheet, check, f"{get_column_letter(content.checked_column)}{row}", str(values[0]))


def _add_check(sheet: Worksheet, check: Check, area: str, title: str) -> None:
    """Let the spreadsheet program check the cells as they are typed."""
    kinds: dict[str, Any]
    if check.kind == "list":
        source = f'"{",".join(check.words)}"' if check.words else check.list_name
        kinds = {"type": "list", "formula1": source}
    elif check.kind == "moment":
        kinds = {"type": "date", "operator": "between", "formula1": str(_EARLIEST), "formula2": str(_LATEST)}
    else:
        kinds = _bounds(check, area.partition(":")[0])
    validation = DataValidation(
        allow_blank=True,
        showErrorMessage=True,
        errorStyle="stop" if check.strict else "warning",
        errorTitle=title[:_TITLE_LIMIT],
        error=check.says[:_ERROR_LIMIT],
        **kinds,
    )
    validation.add(area)
    sheet.add_data_validation(validation)


def _bounds(check: Check, first: str) -> dict[str, Any]:
    kind = "whole" if check.kind == "whole" else "decimal"
    low, above, high = check.at_least, check.above, check.at_most
    if above is not None and high is not None:
        whole = f",{first}=INT({first})" if kind == "whole" else ""
        test = f"AND(ISNUMBER({first}),{first}>{_number(above)},{first}<={_number(high)}{whole})"
        return {"type": "custom", "formula1": test}
    if low is not None and high is not None:
        return {"type": kind, "operator": "between", "formula1": _number(low), "formula2": _number(high)}
    if above is not None:
        return {"type": kind, "operator": "greaterThan", "formula1": _number(above)}
    if low is not None:
        return {"type": kind, "operator": "greaterThanOrEqual", "formula1": _number(low)}
    if high is not None:
        return {"type": kind, "operator": "lessThanOrEqual", "formula1": _number(high)}
    return {"type": kind, "operator": "between", "formula1": "-1000000000", "formula2": "1000000000"}


def _number(value: float) -> str:
    return f"{value:.10g}"


def _write_guide(sheet: Worksheet, content: TemplateContent) -> None:
    write = writer(sheet)
    sheet.sheet_view.showGridLines = False
    sheet.sheet_properties.tabColor = palette.TAB_GUIDE
    sheet.column_dimensions["A"].width = 24
    sheet.column_dimensions["B"].width = 108
    write(1, 1, content.title, style_of(sheet, font=palette.TITLE, place=palette.LINE_PLACE))
    sheet.row_dimensions[1].height = 26
    row = 3
    for section in content.guide:
        row = _write_section(sheet, section, row)
    set_up_page(sheet, paper=content.paper, landscape=False, pages_wide=1, footer=content.title)


def _write_section(sheet: Worksheet, section: GuideSection, row: int) -> int:
    write = writer(sheet)
    line = Border(bottom=palette.side("medium", palette.INDIGO))
    head = style_of(sheet, font=palette.SUBTITLE, border=line, place=palette.LINE_PLACE)
    write(row, 1, section.heading, head)
    write(row, 2, None, head)
    sheet.row_dimensions[row].height = 19
    rule = Border(bottom=palette.side("hair", palette.SAND_LINE))
    label = style_of(sheet, font=palette.STRONG, border=rule, place=palette.TEXT_PLACE)
    linked = style_of(sheet, font=palette.LINKED, border=rule, place=palette.TEXT_PLACE)
    text = style_of(sheet, border=rule, place=palette.TEXT_PLACE)
    for entry in section.rows:
        row += 1
        if entry.state:
            write(row, 1, entry.label, _state_label(sheet, entry.state))
        elif entry.sheet:
            write(row, 1, Link(entry.label, f"{quoted(entry.sheet)}!A{HEAD_ROW + 1}"), linked)
        else:
            write(row, 1, entry.label, label)
        write(row, 2, entry.text, text)
        sheet.row_dimensions[row].height = 13.0 * max(1, -(-len(entry.text) // 125)) + 4.0
    return row + 2


def _state_label(sheet: Worksheet, state: str) -> Any:
    look = palette.STATES[state]
    fill: Any = palette.solid(look.fill)
    if look.hatch:
        fill = palette.state_style(look).fill
        fill = type(fill)(look.hatch, fgColor=look.hatch_colour, bgColor=look.fill)
    return style_of(
        sheet,
        font=Font(
            name=palette.BODY_FONT, size=10, bold=look.bold, italic=look.italic, color=look.text,
            underline="single" if look.underline else None,
        ),
        fill=fill,
        border=palette.box(look.line, palette.INK) if look.line else palette.CELL_BORDER,
        place=palette.CENTRE_PLACE,
    )  # fmt: skip


def _write_lists(workbook: Workbook, content: TemplateContent) -> None:
    sheet = workbook.create_sheet(LISTS_SHEET)
    sheet.sheet_properties.tabColor = palette.TAB_GUIDE
    write = writer(sheet)
    write(1, 1, "Lists", style_of(sheet, font=palette.TITLE, place=palette.LINE_PLACE))
    note = "The words behind the drop-down lists. Leave them as they are: the engine knows these words only."
    write(2, 1, note, style_of(sheet, font=palette.FAINT, place=palette.LINE_PLACE))
    sheet.row_dimensions[1].height = 24
    head = style_of(
        sheet, font=palette.HEADING, fill=palette.HEADING_FILL, border=palette.HEADING_BORDER,
        place=palette.HEADING_PLACE,
    )  # fmt: skip
    body = style_of(sheet, border=palette.CELL_BORDER, place=palette.LINE_PLACE)
    for column, (name, words) in enumerate(content.words.items(), start=1):
        letter = get_column_letter(column)
        label = name.removeprefix("List_").replace("_", " ").capitalize()
        write(HEAD_ROW, column, label, head)
        for offset, word in enumerate(words, start=1):
            write(HEAD_ROW + offset, column, word, body)
        sheet.column_dimensions[letter].width = max(len(text) for text in (label, *words)) + 2.5
        area = f"{LISTS_SHEET}!${letter}${HEAD_ROW + 1}:${letter}${HEAD_ROW + len(words)}"
        workbook.defined_names[name] = DefinedName(name, attr_text=area)
    sheet.freeze_panes = f"A{HEAD_ROW + 1}"
    set_up_page(sheet, paper=content.paper, landscape=True, pages_wide=2, footer="Lists")


def _name_lists(workbook: Workbook, content: TemplateContent) -> None:
    """Name the filled cells of a column, so that a drop-down list elsewhere grows with it."""
    rows = {sheet.name: _rows_of(sheet) for sheet in content.sheets}
    for entry in content.lists:
        letter = get_column_letter(entry.column)
        first, last = rows[entry.sheet]
        start = f"{quoted(entry.sheet)}!${letter}${first}"
        whole = f"{start}:${letter}${last}"
        area = f"{start}:INDEX({whole},MAX(1,COUNTA({whole})))"
        workbook.defined_names[entry.name] = DefinedName(entry.name, attr_text=area)


def _rows_of(sheet: EntrySheet) -> Sequence[int]:
    return HEAD_ROW + 1, HEAD_ROW + max(len(sheet.rows) + sheet.blank_rows, 1)
