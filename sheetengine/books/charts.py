"""Native charts: curves over columns of a result table, light grid, limit as a curve of its own."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from openpyxl.chart import BarChart, LineChart, Reference, ScatterChart, Series
from openpyxl.chart._chart import ChartBase
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.chart.text import RichText, Text
from openpyxl.chart.title import Title
from openpyxl.drawing.colors import ColorChoice
from openpyxl.drawing.fill import PatternFillProperties
from openpyxl.drawing.line import LineProperties
from openpyxl.drawing.text import CharacterProperties, Font, Paragraph, ParagraphProperties, RegularTextRun
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from sheetengine.books import palette
from sheetengine.books.cells_out import MOMENT_FORMAT, CellStyle, stored, style_of, writer
from sheetengine.books.marks import ALT_TEXT
from sheetengine.content import ChartContent, Curve, Look, SheetContent, TableContent

WIDTH_CM, HEIGHT_CM = 17.0, 9.6
AROUND_BARS_CM, BAR_CM = 3.6, 0.42
"""What title, axis and legend of lying bars take, and what one row of them takes."""
COLUMNS_OF_A_CHART = 9
_CHARTS_ON_A_PAGE = {True: 1, False: 2}
"""On a landscape page, and on an upright one."""
_POINTS_OF_A_CM = 72.0 / 2.54
_PLAIN_ROW = 15.0
_LINE_EMU = 22000
_HATCHES: tuple[Any, ...] = (None, "wdUpDiag", "pct25", "smGrid", "ltHorz", "dkVert")


@dataclass(frozen=True, slots=True)
class PlacedTable:
    """Where a table stands."""

    sheet: Worksheet
    content: TableContent
    head_row: int
    first_column: int

    @property
    def last_row(self) -> int:
        """Last row of values."""
        return self.head_row + len(self.content.rows)

    def column(self, heading: str) -> int:
        """Return the sheet column of a heading.

        Raises
        ------
        KeyError
            The table has no such heading.
        """
        for place, look in enumerate(self.content.columns):
            if look.heading == heading:
                return self.first_column + place
        raise KeyError(f"table {self.content.name} has no heading {heading}")

    def values(self, heading: str) -> list[Any]:
        """Return the values under a heading, as the cells hold them."""
        place = self.column(heading) - self.first_column
        return [stored(row[place]) for row in self.content.rows]

    def look(self, heading: str) -> Look:
        """Return the look of a heading's column."""
        return self.content.columns[self.column(heading) - self.first_column].look

    def reference(self, heading: str) -> Reference:
        """Return the cells under a heading."""
        column = self.column(heading)
        return Reference(
            self.sheet, min_col=column, max_col=column, min_row=self.head_row + 1, max_row=self.last_row
        )


def add_charts(
    sheet: Worksheet, content: SheetContent, tables: Mapping[str, PlacedTable], *, column: int, row: int
) -> list[str]:
    """Put the charts of a sheet one under the other from ``column`` and ``row`` on.

    Points that stand in no table (steps, the limit) are written right of the charts.

    Returns
    -------
    list[str]
        Ranges that the charts cover, one for each page of them.

    Raises
    ------
    KeyError
        A curve names a table or a heading that is not there.
    """
    areas: list[str] = []
    if not content.charts:
        return areas
    helper = PointCells(sheet, column + COLUMNS_OF_A_CHART + 2, row)
    last_column = get_column_letter(column + COLUMNS_OF_A_CHART)
    page_start = row
    for place, chart in enumerate(content.charts, start=1):
        drawn = drawn_chart(chart, tables, helper)
        sheet.add_chart(drawn, f"{get_column_letter(column)}{row}")
        row = _row_below(sheet, row, drawn.height)
        if place % _CHARTS_ON_A_PAGE[content.landscape] == 0 or place == len(content.charts):
            areas.append(f"{get_column_letter(column)}{page_start}:{last_column}{row - 1}")
            page_start = row
    return areas


def drawn_chart(chart: ChartContent, tables: Mapping[str, PlacedTable], points: PointCells) -> Any:
    """Return a chart over tables that stand in the book, to be put on any of its sheets.

    Raises
    ------
    KeyError
        A curve names a table or a heading that is not there.
    """
    drawn = _scatter(chart, tables, points) if chart.kind == "scatter" else _columns(chart, tables, points)
    setattr(drawn, ALT_TEXT, chart.alt_text or chart.title)  # written into the drawing by a save
    return drawn


def _row_below(sheet: Worksheet, row: int, height: float) -> int:
    """Return the row from which on the next chart has room, below one so many centimetres high."""
    room = (height + 0.5) * _POINTS_OF_A_CM
    while room > 0.0:
        room -= sheet.row_dimensions[row].height or _PLAIN_ROW if row in sheet.row_dimensions else _PLAIN_ROW
        row += 1
    return row


class PointCells:
    """Writes the points of curves that stand in no table, from a cell of a sheet on to the right."""

    def __init__(self, sheet: Worksheet, column: int, row: int) -> None:
        self.sheet, self.column, self.row = sheet, column, row
        self.write: Callable[[int, int, Any, CellStyle], None] = writer(sheet)
        self.head = style_of(sheet, font=palette.FAINT)
        self.number = style_of(sheet, font=palette.FAINT, place=palette.NUMBER_PLACE)
        self.moment = style_of(
            sheet, font=palette.FAINT, place=palette.NUMBER_PLACE, number_format=MOMENT_FORMAT
        )

    def points(self, titles: tuple[str, ...], rows: list[tuple[Any, ...]]) -> tuple[Reference, ...]:
        """Write columns of points and return their cells."""
        references = []
        for place, title in enumerate(titles):
            column = self.column + place
            self.write(self.row, column, title, self.head)
            for offset, values in enumerate(rows, start=1):
                style = self.moment if isinstance(values[place], dt.datetime) else self.number
                self.write(self.row + offset, column, values[place], style)
            references.append(
                Reference(
                    self.sheet,
                    min_col=column,
                    max_col=column,
                    min_row=self.row + 1,
                    max_row=self.row + len(rows),
                )
            )
        self.column += len(titles) + 1
        return tuple(references)


def _steps(xs: list[Any], ys: list[Any]) -> list[tuple[Any, ...]]:
    """Return the points of a curve that keeps each value until the next place."""
    points: list[tuple[Any, ...]] = []
    for place, (x, y) in enumerate(zip(xs, ys, strict=True)):
        if place:
            points.append((x, ys[place - 1]))
        points.append((x, y))
    return points


def _scatter(chart: ChartContent, tables: Mapping[str, PlacedTable], helper: PointCells) -> ChartBase:
    drawn = ScatterChart()
    drawn.style = 2
    drawn.scatterStyle = "lineMarker"
    places: list[Any] = []
    for place, curve in enumerate(chart.curves):
        table = tables[curve.table]
        if not table.content.rows:
            continue
        xs = table.values(curve.x)
        places += [x for x in xs if isinstance(x, (int, float, dt.datetime))]
        if curve.kind == "steps":
            x, y = helper.points((f"{curve.title}: {curve.x}", curve.y), _steps(xs, table.values(curve.y)))
        else:
            x, y = table.reference(curve.x), table.reference(curve.y)
        series = Series(y, x, title=curve.title)
        _dress(series, curve, place)
        drawn.series.append(series)
    if chart.limit is not None and places:
        ends = [(min(places), chart.limit), (max(places), chart.limit)]
        x, y = helper.points((f"Limit: {chart.x_title}", chart.y_title), ends)
        series = Series(y, x, title="Limit")
        series.graphicalProperties = GraphicalProperties(
            ln=LineProperties(w=28000, solidFill=palette.LIMIT_COLOUR, prstDash="lgDash")
        )
        series.marker.symbol = "none"
        series.smooth = False
        drawn.series.append(series)
    _frame(drawn, chart, tables)
    return drawn


def _dress(series: Any, curve: Curve, place: int) -> None:
    colour = palette.CURVE_COLOURS[place % len(palette.CURVE_COLOURS)]
    dash: Any = palette.CURVE_DASHES[place % len(palette.CURVE_DASHES)]
    series.smooth = False
    if curve.kind == "markers":
        series.marker.symbol = palette.CURVE_MARKS[place % len(palette.CURVE_MARKS)]
        series.marker.size = 8
        series.marker.graphicalProperties = GraphicalProperties(
            solidFill=colour, ln=LineProperties(w=9000, solidFill=palette.INK)
        )
        series.graphicalProperties = GraphicalProperties(ln=LineProperties(noFill=True))
    else:
        series.marker.symbol = "none"
        series.graphicalProperties = GraphicalProperties(
            ln=LineProperties(w=_LINE_EMU, solidFill=colour, prstDash=dash)
        )


def _columns(chart: ChartContent, tables: Mapping[str, PlacedTable], helper: PointCells) -> ChartBase:
    drawn = BarChart()
    drawn.style = 2
    lying = chart.kind == "bars"
    drawn.type = "bar" if lying else "col"
    drawn.gapWidth = 40 if lying else 60
    drawn.overlap = 100 if lying else 0
    categories: Reference | None = None
    names: list[Any] = []
    for place, curve in enumerate(chart.curves):
        table = tables[curve.table]
        if not table.content.rows:
            continue
        series = Series(table.reference(curve.y), title=curve.title)
        colour = palette.CURVE_COLOURS[place % len(palette.CURVE_COLOURS)]
        series.graphicalProperties = GraphicalProperties(
            solidFill=colour, ln=LineProperties(w=9000, solidFill=palette.INK)
        )
        hatch = _HATCHES[place % len(_HATCHES)]
        if hatch:
            series.graphicalProperties = GraphicalProperties(ln=LineProperties(w=9000, solidFill=palette.INK))
            series.graphicalProperties.pattFill = PatternFillProperties(
                prst=hatch, fgClr=_colour(colour), bgClr=_colour(palette.WHITE)
            )
        drawn.series.append(series)
        if categories is None:
            categories, names = table.reference(curve.x), table.values(curve.x)
    if categories is not None:
        drawn.set_categories(categories)
    _frame(drawn, chart, tables)
    if chart.limit is not None and names:
        line = LineChart()
        (limit,) = helper.points((f"Limit: {chart.y_title}",), [(chart.limit,)] * len(names))
        series = Series(limit, title="Limit")
        series.graphicalProperties = GraphicalProperties(
            ln=LineProperties(w=28000, solidFill=palette.LIMIT_COLOUR, prstDash="lgDash")
        )
        series.marker.symbol = "none"
        series.smooth = False
        line.series.append(series)
        line.set_categories(categories)
        drawn += line
    return drawn


def _colour(text: Any) -> ColorChoice:
    return ColorChoice(srgbClr=text)


def _letters(size: float, *, bold: bool = False, colour: str = palette.INK) -> CharacterProperties:
    return CharacterProperties(
        sz=int(size * 100), b=bold, solidFill=colour, latin=Font(typeface=palette.BODY_FONT)
    )


def _title(text: str, size: float, *, bold: bool) -> Title:
    title = Title(overlay=False)
    letters = _letters(size, bold=bold, colour=palette.INDIGO if bold else palette.FAINT_INK)
    paragraph = Paragraph(pPr=ParagraphProperties(defRPr=letters), r=[RegularTextRun(rPr=letters, t=text)])
    title.tx = Text(rich=RichText(p=[paragraph]))
    return title


def _frame(drawn: Any, chart: ChartContent, tables: Mapping[str, PlacedTable]) -> None:
    """Give a chart its titles, axes, grid and size."""
    drawn.title = _title(chart.title, 12, bold=True)
    drawn.width, drawn.height = WIDTH_CM, max(HEIGHT_CM, AROUND_BARS_CM + chart.rows * BAR_CM)
    drawn.display_blanks = "gap"
    drawn.visible_cells_only = False
    drawn.graphical_properties = GraphicalProperties(
        solidFill=palette.WHITE, ln=LineProperties(w=9000, solidFill=palette.SAND_LINE)
    )
    grid = GraphicalProperties(ln=LineProperties(w=6000, solidFill=palette.GRIDLINE))
    for axis, text in ((drawn.x_axis, chart.x_title), (drawn.y_axis, chart.y_title)):
        axis.delete = False
        axis.title = _title(text, 10, bold=False) if text else None
        axis.majorTickMark = "out"
        axis.tickLblPos = "low"
        axis.txPr = RichText(p=[Paragraph(pPr=ParagraphProperties(defRPr=_letters(9)))])
        axis.graphicalProperties = GraphicalProperties(ln=LineProperties(w=9000, solidFill=palette.SLATE))
    drawn.y_axis.majorGridlines.spPr = grid
    drawn.y_axis.number_format = "General"
    if chart.kind == "bars":
        drawn.x_axis.scaling.orientation = "maxMin"
        drawn.y_axis.crosses, drawn.y_axis.tickLblPos = "max", "nextTo"
    if chart.kind == "scatter":
        drawn.x_axis.number_format = "General"
        first = next((curve for curve in chart.curves if tables[curve.table].content.rows), None)
        if first is not None and tables[first.table].look(first.x) is Look.MOMENT:
            drawn.x_axis.number_format = MOMENT_FORMAT.split()[0]
        if drawn.x_axis.majorGridlines is not None:
            drawn.x_axis.majorGridlines.spPr = grid
    if chart.x_reversed:
        drawn.x_axis.scaling.orientation = "maxMin"
        drawn.y_axis.crosses = "max"
    if len(chart.curves) + (chart.limit is not None) > 1:
        drawn.legend.position = "b"
        drawn.legend.overlay = False
        drawn.legend.txPr = RichText(p=[Paragraph(pPr=ParagraphProperties(defRPr=_letters(9)))])
    else:
        drawn.legend = None
