"""Lays a calculation record out on pages, each a sheet of a workbook that is only there to be printed."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import pairwise
from math import ceil
from typing import Any

from openpyxl.styles import Alignment, Border, Font, PatternFill
from openpyxl.utils import get_column_letter
from openpyxl.utils.indexed_list import IndexedList
from openpyxl.workbook import Workbook
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from sheetengine.books import palette
from sheetengine.books.cells_out import cleaned, style_of, writer
from sheetengine.books.charts import AROUND_BARS_CM, BAR_CM, PlacedTable, PointCells, drawn_chart
from sheetengine.books.lettering import POINTS, text_width, wrapped
from sheetengine.calculation_record.parts import NUMBERS, CalculationRecord, Part, RecordTable, shown
from sheetengine.content import ChartContent, ColumnLook, Look, TableContent

SIZES = {"A4": (9, 210.0, 297.0), "Letter": (1, 215.9, 279.4)}
"""Number of the paper in a workbook, width and height in mm."""
LEFT, RIGHT, TOP, BOTTOM = 18.0, 12.0, 22.0, 17.0
"""Margins, in mm; the left one leaves room for the holes of a binder."""
GRID = 84
"""Columns of equal width that a page is ruled in."""
_BODY, _LARGE, _HUGE = 8.5, 11.0, 20.0
_LEADING = 1.3
_INSIDE, _INSIDE_NUMBER, _WIDEST_WORD = 3.2, 2.2, 31.0
"""What a cell keeps free beside a text and beside a number, and the widest word that a column makes room for, in mm."""
_GAP = "\u00a0"
"""What stands between a number and the line right of it."""
_MOST_LINES, _HIGHEST = 26, 400.0
"""Lines of one row, and points of one; a spreadsheet takes no row higher than 409 points."""
_RULER = Font(name="Courier New", size=10)
_DIGIT = 0.6 * 10.0 / 72.0 * 96.0
"""Font whose digits are the unit of a column's width, and their width in pixels: every fixed-width font that may stand in for
it has digits six tenths of its size wide."""
_LONGEST_HEAD = 70
"""Letters of one part of a header; a workbook takes 255 for all three."""
_CHART_WIDTH, _CHART_HEIGHT = 17.6, 7.6
"""In cm."""
_FULL = 0.97
"""Part of a page's height that is filled, since programs round heights."""


@dataclass(frozen=True, slots=True)
class _Look:
    """Font, fill, border and place of a cell, by name, so that it is registered once in each book."""

    font: Font = palette.BODY
    fill: PatternFill | None = None
    border: Border | None = None
    place: str = "left"


@dataclass(frozen=True, slots=True)
class _Cell:
    text: str
    first: int
    last: int
    look: _Look


@dataclass(slots=True)
class _Row:
    """One row of a page: height in points, cells, or a chart that begins there."""

    height: float
    cells: list[_Cell] = field(default_factory=list)
    chart: ChartContent | None = None
    chart_height: float = 0.0


@dataclass(slots=True)
class _PageRows:
    part: str
    rows: list[_Row] = field(default_factory=list)
    used: float = 0.0


def _font(size: float, *, bold: bool = False, italic: bool = False, title: bool = False, **more: Any) -> Font:
    name = palette.TITLE_FONT if title else palette.BODY_FONT
    given = {"color": palette.INDIGO if title else palette.INK} | more
    return Font(name=name, size=size, bold=bold, italic=italic, **given)


_TITLE = _Look(_font(_HUGE, bold=True, title=True))
_HEADING = _Look(_font(15.0, bold=True, title=True))
_SUBHEADING = _Look(_font(_LARGE, bold=True, title=True))
_TEXT = _Look(_font(_BODY + 0.5))
_NOTE = _Look(_font(_BODY, italic=True, color=palette.FAINT_INK))
_STRONG = _Look(_font(_BODY + 0.5, bold=True))
_HEAD = _Look(_font(_BODY, bold=True), palette.HEADING_FILL, palette.HEADING_BORDER, "foot")
_HEAD_NUMBER = _Look(_font(_BODY, bold=True), palette.HEADING_FILL, palette.HEADING_BORDER, "foot right")
_PLAIN = _Look(_font(_BODY), None, palette.CELL_BORDER)
_NUMBER = _Look(_font(_BODY), None, palette.CELL_BORDER, "right")
_BOX = _Look(_font(_BODY + 0.5), None, palette.box("thin", palette.SLATE), "middle")
_WARNING = _Look(_font(_LARGE, bold=True), None, palette.box("thick", palette.INK), "middle")
_PLACES = {
    "left": Alignment(horizontal="left", vertical="top", wrap_text=True),
    "right": Alignment(horizontal="right", vertical="top", wrap_text=True),
    "foot": Alignment(horizontal="left", vertical="bottom", wrap_text=True),
    "foot right": Alignment(horizontal="right", vertical="bottom", wrap_text=True),
    "middle": Alignment(horizontal="left", vertical="center", wrap_text=True),
}


@cache
def _state(word: str, kind: Look) -> _Look:
    """Return the look of a verdict, or the lighter one of a level, whose cells are high."""
    look = palette.STATES.get(word)
    if look is None or word == "Within":
        return _PLAIN
    colour, fill = (
        (look.text, look.fill) if kind is Look.VERDICT else (palette.INK, look.mark or palette.SLATE_MIST)
    )
    font = _font(
        _BODY,
        bold=look.bold,
        italic=look.italic,
        underline="single" if look.underline else None,
        color=colour,
    )
    return _Look(font, palette.solid(fill), palette.box(look.line or "thin", palette.INK))


def _inside(look: _Look) -> float:
    return _INSIDE_NUMBER if "right" in look.place else _INSIDE


def _parted(*ends: float) -> list[tuple[int, int]]:
    """Return the grid columns of parts that end at shares of the width."""
    edges = [0, *(round(GRID * end) for end in ends), GRID]
    return [(low + 1, high) for low, high in pairwise(edges)]


def _look_of(text: str, kind: Look) -> _Look:
    if kind in (Look.VERDICT, Look.LEVEL):
        return _state(text, kind)
    return _NUMBER if kind in NUMBERS else _PLAIN


def _needed(texts: Sequence[str], size: float, *, bold: bool) -> float:
    """Return the width, in mm, of the longest word among texts; of words that are long in themselves, a part."""
    words = {word for text in texts for word in text.split()}
    return min(max((text_width(word, size, bold=bold) for word in words), default=0.0), _WIDEST_WORD)


def _spans(
    columns: Sequence[ColumnLook], rows: Sequence[Sequence[str]], width: float
) -> list[tuple[int, int]]:
    """Return first and last grid column of each column of a table: room for its words first, then by its width."""
    unit = width / GRID
    least = []
    for place, look in enumerate(columns):
        values = [row[place] for row in rows]
        stated = look.look in (Look.VERDICT, Look.LEVEL)
        need = max(_needed([look.heading], _BODY, bold=True), _needed(values, _BODY, bold=stated))
        free = _INSIDE_NUMBER if look.look in NUMBERS else _INSIDE
        least.append(max(ceil((need + free) / unit), 1))
    while sum(least) > GRID:
        least[least.index(max(least))] -= 1
    whole = sum(look.width for look in columns)
    wanted = [max(GRID * look.width / whole - own, 0.0) for look, own in zip(columns, least, strict=True)]
    spare, asked = GRID - sum(least), sum(wanted) or 1.0
    spans, start, reached = [], 1, 0.0
    for place, own in enumerate(least):
        reached += own + (spare * wanted[place] / asked if any(wanted) else spare / len(least))
        last = GRID if place == len(least) - 1 else max(round(reached), start)
        spans.append((start, last))
        start = last + 1
    return spans


class _Composer:
    """Fills pages with rows, and begins a new page where a row has no room."""

    def __init__(self, paper: str) -> None:
        _, width, height = SIZES[paper]
        self.width = width - LEFT - RIGHT
        self.room = (height - TOP - BOTTOM) * POINTS * _FULL
        self.pages: list[_PageRows] = []

    def begin(self, part: str) -> None:
        self.pages.append(_PageRows(part))

    def put(self, rows: Sequence[_Row], again: Sequence[_Row] = ()) -> None:
        """Put rows that stay together; on a new page ``again`` stands above them."""
        page = self.pages[-1]
        height = sum(row.height for row in rows)
        if page.rows and page.used + height > self.room:
            self.begin(page.part)
            page = self.pages[-1]
            rows = [*again, *rows]
        page.rows += rows
        page.used += sum(row.height for row in rows)

    def line(self, text: str, look: _Look, *, before: float = 0.0, after: float = 2.0) -> list[_Row]:
        """Return the rows of a paragraph over the whole width."""
        size = look.font.size
        lines = wrapped(cleaned(text), self.width - 4.0, size, bold=look.font.b)
        rows = [_Row(before)] if before else []
        for start in range(0, len(lines), _MOST_LINES):
            piece = lines[start : start + _MOST_LINES]
            rows.append(_Row(len(piece) * size * _LEADING + after, [_Cell("\n".join(piece), 1, GRID, look)]))
        return rows

    def cells(
        self,
        texts: Sequence[str],
        looks: Sequence[_Look],
        spans: Sequence[tuple[int, int]],
        least: float = 0.0,
    ) -> list[_Row]:
        """Return the rows of one row of a table: more than one where a text is very long."""
        unit = self.width / GRID
        lines = [
            wrapped(
                cleaned(text), (last - first + 1) * unit - _inside(look), look.font.size, bold=look.font.b
            )
            for text, look, (first, last) in zip(texts, looks, spans, strict=True)
        ]
        most = max(map(len, lines))
        rows = []
        for start in range(0, most, _MOST_LINES):
            pieces = [own[start : start + _MOST_LINES] for own in lines]
            high = max(map(len, pieces))
            size = max(look.font.size for look in looks)
            rows.append(
                _Row(
                    max(high * size * _LEADING + 3.0, least),
                    [
                        _Cell("\n".join(piece), first, last, look)
                        for piece, look, (first, last) in zip(pieces, looks, spans, strict=True)
                    ],
                )
            )
        return rows

    def table(self, table: RecordTable) -> None:
        """Put a table; its heading row stands again on every page that it goes over to."""
        shown_rows = [
            [shown(value, look) for value, look in zip(row, table.columns, strict=True)] for row in table.rows
        ]
        spans = _spans(table.columns, shown_rows, self.width)
        heads = [_HEAD_NUMBER if look.look in NUMBERS else _HEAD for look in table.columns]
        titles = [look.heading for look in table.columns]
        head = self.cells(titles, heads, spans) if any(titles) else []
        top = self.line(table.title, _SUBHEADING, before=9.0)
        if table.note:
            top += self.line(table.note, _NOTE)
        again = [*self.line(f"{table.title}, continued", _SUBHEADING), *head]
        if not table.rows:
            self.put([*top, *self.line("Nothing.", _TEXT)])
        for place, row in enumerate(shown_rows):
            looks = [_look_of(text, look.look) for text, look in zip(row, table.columns, strict=True)]
            texts = [
                f"{text}{_GAP}" if look is _NUMBER and text else text
                for text, look in zip(row, looks, strict=True)
            ]
            own = self.cells(texts, looks, spans)
            if place == 0:
                self.put([*top, *head, *own])
            else:
                self.put(own, again)

    def chart(self, chart: ChartContent) -> None:
        """Put a chart, made lower where it would not fit on a page."""
        height = _chart_height(chart, self.room)
        rows = [_Row(min(height, _HIGHEST), chart=chart, chart_height=height)]
        if height > _HIGHEST:
            rows.append(_Row(height - _HIGHEST))
        self.put([*rows, _Row(12.0)])


def _chart_height(chart: ChartContent, room: float) -> float:
    """Return the height of a chart in points."""
    return float(min(max(_CHART_HEIGHT, AROUND_BARS_CM + chart.rows * BAR_CM) * 10.0 * POINTS, room - 20.0))


def _front(composer: _Composer, record: CalculationRecord, pages: Sequence[int]) -> None:
    composer.begin("")
    composer.put(composer.line(record.title, _TITLE, before=18.0, after=10.0))
    if record.warning:
        composer.put([*composer.cells([record.warning], [_WARNING], [(1, GRID)], 24.0), _Row(8.0)])
    split = _parted(0.31)
    for name, text in record.facts:
        composer.put(composer.cells([name, text], [_NOTE, _STRONG], split))
    composer.put([_Row(12.0)])
    boxes = _parted(0.19, 0.5, 0.81)
    composer.put(composer.cells(["Signed", "Name", "Signature", "Date"], [_BOX] * 4, boxes, 16.0))
    for role in record.signatures:
        composer.put(composer.cells([role, "", "", ""], [_BOX] * 4, boxes, 28.0))
    composer.put([_Row(10.0)])
    for text in record.cautions:
        composer.put(composer.line(text, _TEXT, after=4.0))
    composer.put(composer.line("Contents", _SUBHEADING, before=8.0))
    right = _Look(_STRONG.font, None, None, "right")
    for number, (part, page) in enumerate(zip(record.parts, pages, strict=True), start=1):
        composer.put(
            composer.cells(
                [f"{number}", part.title, f"page {page}"],
                [_TEXT, _STRONG, right],
                _parted(0.04, 0.75),
            )
        )


def _part(composer: _Composer, number: int, part: Part, tables: Any) -> None:
    composer.begin(f"{number} {part.title}")
    composer.put(composer.line(f"{number}   {part.title}", _HEADING, after=6.0))
    for text in part.lines:
        composer.put(composer.line(text, _TEXT, after=4.0))
    for table in part.tables:
        composer.table(table)
    for chart in part.charts:
        if any(tables[curve.table].rows for curve in chart.curves):
            composer.chart(chart)


def _composed(record: CalculationRecord) -> tuple[list[_PageRows], list[int]]:
    """Return the pages, and on which of them each part begins, counted from 1."""
    inside = _Composer(record.paper)
    begins = []
    for number, part in enumerate(record.parts, start=1):
        begins.append(len(inside.pages))
        _part(inside, number, part, record.chart_data)
    front = _Composer(record.paper)
    _front(front, record, [0] * len(begins))
    before = len(front.pages)
    pages = [before + place + 1 for place in begins]
    front = _Composer(record.paper)
    _front(front, record, pages)
    return [*front.pages, *inside.pages], pages


@dataclass(frozen=True, slots=True)
class Laid:
    """The workbook to print, how many pages it makes, and the page on which each part begins, counted from 1."""

    workbook: Workbook
    pages: int
    begins: Sequence[int]


def laid_out(record: CalculationRecord) -> Laid:
    """Return a record as a workbook with one sheet for every page, and a hidden one for what the charts draw from."""
    pages, begins = _composed(record)
    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    workbook._fonts = IndexedList([_RULER])  # type: ignore[attr-defined]
    workbook._named_styles["Normal"].font = _RULER  # type: ignore[attr-defined]
    sheets = [workbook.create_sheet(f"Page {number}") for number in range(1, len(pages) + 1)]
    data = workbook.create_sheet("Chart data")
    data.sheet_state = "hidden"
    placed = dict(_placed(data, record.chart_data.values()))
    points = PointCells(data, 1, max((table.last_row for table in placed.values()), default=0) + 3)
    styles: dict[int, Any] = {}
    for sheet, page in zip(sheets, pages, strict=True):
        _set_up(sheet, record, page.part)
        _fill(sheet, page, styles, lambda chart: drawn_chart(chart, placed, points))
    return Laid(workbook, len(pages), begins)


def _placed(sheet: Worksheet, tables: Any) -> Iterator[tuple[str, PlacedTable]]:
    write, plain = writer(sheet), style_of(sheet)
    column = 1
    for table in tables:
        content: TableContent = table
        for place, look in enumerate(content.columns):
            write(1, column + place, look.heading, plain)
            for row, values in enumerate(content.rows, start=2):
                write(row, column + place, values[place], plain)
        yield content.name, PlacedTable(sheet, content, 1, column)
        column += len(content.columns) + 1


def _set_up(sheet: Worksheet, record: CalculationRecord, part: str) -> None:
    paper, width, _ = SIZES[record.paper]
    sheet.page_setup.paperSize = paper
    sheet.page_setup.orientation = "portrait"
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_setup.fitToWidth = sheet.page_setup.fitToHeight = 1
    sheet.print_options.horizontalCentered = False
    margins = sheet.page_margins
    margins.left, margins.right, margins.top, margins.bottom = (
        mm / 25.4 for mm in (LEFT, RIGHT, TOP, BOTTOM)
    )
    margins.header, margins.footer = 10.0 / 25.4, 8.0 / 25.4
    header: Any = sheet.oddHeader
    footer: Any = sheet.oddFooter
    left, middle, right = record.head
    texts = (
        (header.left, left), (header.center, middle), (header.right, right),
        (footer.left, f"{record.title}   {part}".strip()), (footer.right, ""),
    )  # fmt: skip
    for place, text in texts:
        # a space first: a digit would be read as a part of the size
        place.text = (
            f" {cleaned(text)[:_LONGEST_HEAD]}".replace("\n", " ").replace("&", "&&") if text else None
        )
        place.size, place.font = 8, palette.BODY_FONT
    footer.right.text = "Page &P of &N"
    pixels = (width - LEFT - RIGHT) / 25.4 * 96.0 / GRID * 0.985
    for column in range(1, GRID + 1):
        sheet.column_dimensions[get_column_letter(column)].width = pixels / _DIGIT


def _fill(
    sheet: Worksheet, page: _PageRows, styles: dict[int, Any], draw: Callable[[ChartContent], Any]
) -> None:
    write = writer(sheet)
    for number, row in enumerate(page.rows, start=1):
        if row.chart is not None:
            drawn = draw(row.chart)
            drawn.width, drawn.height = _CHART_WIDTH, row.chart_height / POINTS / 10.0
            sheet.add_chart(drawn, f"A{number}")
        sheet.row_dimensions[number].height = row.height
        for cell in row.cells:
            style = styles.get(id(cell.look))
            if style is None:
                look = cell.look
                style = style_of(
                    sheet, font=look.font, fill=look.fill, border=look.border, place=_PLACES[look.place]
                )
                styles[id(cell.look)] = style
            text = cell.text
            if cell.look.border is not None and "right" not in cell.look.place:
                text = "\n".join(f" {line}" for line in text.split("\n")) if text else text
            for column in range(cell.first, cell.last + 1):
                write(number, column, text if column == cell.first else None, style)
            if cell.last > cell.first:
                sheet.merged_cells.add(
                    f"{get_column_letter(cell.first)}{number}:{get_column_letter(cell.last)}{number}"
                )
