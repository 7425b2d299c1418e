"""An engine for xlwings over a workbook in memory, so that its own object model and converters run without Excel.

What Excel does with what is written is imitated as far as the tests need it: a text that looks like a number, a date, a
truth value or a formula is taken for one, unless an apostrophe stands before it; error values come as their numbers; times
of day come as moments of the first day of the calendar. It is no Excel: what Excel itself does is not tested.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import xlwings
from openpyxl import load_workbook
from openpyxl.comments import Comment
from openpyxl.formatting.formatting import ConditionalFormattingList
from openpyxl.formatting.rule import Rule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.styles.cell_style import StyleArray
from openpyxl.styles.differential import DifferentialStyle
from openpyxl.utils import get_column_letter, quote_sheetname, range_boundaries
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.table import Table as FileTable
from xlwings import base_classes

NAME = "memory"
ERROR_NUMBERS = {
    "#DIV/0!": -2146826281,
    "#N/A": -2146826246,
    "#NAME?": -2146826259,
    "#NULL!": -2146826288,
    "#NUM!": -2146826252,
    "#REF!": -2146826265,
    "#VALUE!": -2146826273,
    "#SPILL!": -2146826243,
}
"""Numbers of error values as COM hands them on; xlwings' table of them does not know the last."""
_TOLD = {number: text for text, number in ERROR_NUMBERS.items() if text != "#SPILL!"}
_DAY_NOUGHT = dt.datetime(1899, 12, 30)
_DATE = re.compile(r"\d{4}-\d{1,2}(-\d{1,2})?|\d{1,2}[/-]\d{1,2}([/-]\d{2,4})?")


class Engine:
    name = NAME
    type = "desktop"

    def __init__(self) -> None:
        self.apps = Apps()

    @staticmethod
    def prepare_xl_data_element(value: Any, _options: Any) -> Any:
        return "" if value is None else value

    @staticmethod
    def clean_value_data(data: Any, moment: Any, empty_as: Any, number: Any, err_to_str: bool) -> Any:
        def clean(value: Any) -> Any:
            if value in ("", None):
                return empty_as
            if isinstance(value, dt.datetime):
                return moment(
                    year=value.year, month=value.month, day=value.day, hour=value.hour, minute=value.minute,
                    second=value.second, microsecond=value.microsecond, tzinfo=None,
                )  # fmt: skip
            if number is not None and isinstance(value, float):
                return number(value)
            if type(value) is int and value in _TOLD:
                return _TOLD[value] if err_to_str else None
            return value

        return [[clean(value) for value in row] for row in data]


class Apps(base_classes.Apps):
    def __init__(self) -> None:
        self.all: list[App] = []

    def __iter__(self) -> Iterator[App]:
        return iter(self.all)

    def __len__(self) -> int:
        return len(self.all)

    def __getitem__(self, pid: Any) -> App:
        return self.all[pid]


class App(base_classes.App):
    """Keeps what it was told: alerts, every text of the status bar, whether it was asked to calculate."""

    engine = property(lambda self: ENGINE)
    books: Any = None
    version = "16.0"
    pid = 1

    def __init__(self) -> None:
        self.state: dict[str, Any] = {
            "screen_updating": True, "display_alerts": True, "enable_events": True, "calculation": "automatic", "status_bar": False,
        }  # fmt: skip
        self.history: list[tuple[str, Any]] = []
        self.alerts: list[str] = []
        self.on_calculate: Any = None
        self.fails: set[str] = set()
        self.books = Books(self)
        self.chosen: Range | None = None

    @property
    def selection(self) -> Any:
        return self.chosen

    def activate(self, steal_focus: bool = False) -> None:
        pass

    def calculate(self) -> None:
        self.history.append(("calculate", None))
        if self.on_calculate is not None:
            self.on_calculate()

    def alert(self, prompt: str, title: Any, buttons: Any, mode: Any, callback: Any) -> Any:
        self.check("alert")
        self.alerts.append(prompt)
        return "ok"

    def check(self, what: str) -> None:
        if what in self.fails:
            raise RuntimeError(f"(-2147352567, 'Exception occurred.', {what})")


def _kept(name: str) -> property:
    def get(app: App) -> Any:
        return app.state[name]

    def set_(app: App, value: Any) -> None:
        app.check(name)
        app.state[name] = value
        app.history.append((name, value))

    return property(get, set_)


for _name in ("screen_updating", "display_alerts", "enable_events", "calculation", "status_bar"):
    setattr(App, _name, _kept(_name))


class Books(base_classes.Books):
    def __init__(self, app: App) -> None:
        self.app = app
        self.all: list[Book] = []

    def __len__(self) -> int:
        return len(self.all)

    def __iter__(self) -> Iterator[Book]:
        return iter(self.all)

    def __call__(self, name: Any) -> Book:
        return next(book for book in self.all if book.name.lower() == str(name).lower())


class Book(base_classes.Book):
    app: Any = None

    def __init__(self, app: App, path: Path) -> None:
        self.app = app
        self.path = path
        self.file = load_workbook(path, data_only=True)
        self.active = self.file.active

    api = property(lambda self: self)
    name = property(lambda self: self.path.name)
    fullname = property(lambda self: str(self.path))
    sheets = property(lambda self: Sheets(self))  # noqa: PLW0108 - the class stands below

    def activate(self) -> None:
        pass

    @property
    def names(self) -> Names:
        return Names(
            [(self.file.defined_names, ""), *((sheet.defined_names, _prefix(sheet)) for sheet in self.file)]
        )


def _prefix(sheet: Any) -> str:
    return f"{quote_sheetname(sheet.title)}!" if re.search(r"\W", sheet.title) else f"{sheet.title}!"


class Sheets(base_classes.Sheets):
    def __init__(self, book: Book) -> None:
        self.book = book

    @property
    def active(self) -> Sheet:
        return Sheet(self.book, self.book.active)

    def __len__(self) -> int:
        return len(self.book.file.worksheets)

    def __iter__(self) -> Iterator[Sheet]:
        return (Sheet(self.book, sheet) for sheet in self.book.file.worksheets)

    def __call__(self, key: Any) -> Sheet:
        if isinstance(key, int):
            return Sheet(self.book, self.book.file.worksheets[key - 1])
        found = [sheet for sheet in self.book.file.worksheets if sheet.title.lower() == key.lower()]
        return Sheet(self.book, found[0])

    def add(self, before: Any = None, after: Any = None, name: Any = None) -> Sheet:
        self.book.app.check("add sheet")
        order = self.book.file.worksheets
        place = order.index(before.file) if before else order.index(after.file) + 1
        sheet = self.book.file.create_sheet(name, place)
        self.book.active = sheet
        return Sheet(self.book, sheet)


class Sheet(base_classes.Sheet):
    book: Any = None

    def __init__(self, book: Book, file: Any) -> None:
        self.book = book
        self.file = file

    api = property(lambda self: self)
    name = property(lambda self: self.file.title)
    names = property(lambda self: Names([(self.file.defined_names, _prefix(self.file))]))
    tables = property(lambda self: Tables(self))  # noqa: PLW0108 - the class stands below
    charts = property(lambda self: Charts(self))  # noqa: PLW0108 - the class stands below

    @property
    def notes(self) -> list[Note]:
        return [Note(cell) for row in self.file.iter_rows() for cell in row if cell.comment is not None]

    @property
    def show_gridlines(self) -> bool:
        return bool(self.file.sheet_view.showGridLines)

    @show_gridlines.setter
    def show_gridlines(self, value: bool) -> None:
        self.file.sheet_view.showGridLines = value

    @property
    def used_range(self) -> Range:
        return Range(self, (self.file.min_row, self.file.min_column, self.file.max_row, self.file.max_column))

    def activate(self) -> None:
        self.book.active = self.file

    def range(self, first: Any, second: Any = None) -> Range:
        if isinstance(first, tuple) and len(first) == 4:
            row, column, rows, columns = first
            return Range(self, (row, column, row + rows - 1, column + columns - 1))
        one = self._box(first)
        two = self._box(second) if second is not None else one
        return Range(
            self, (min(one[0], two[0]), min(one[1], two[1]), max(one[2], two[2]), max(one[3], two[3]))
        )

    @staticmethod
    def _box(place: Any) -> tuple[int, int, int, int]:
        if isinstance(place, Range):
            return place.box
        if isinstance(place, tuple):
            assert 0 not in place
            return (*place, *place)
        left, top, right, bottom = range_boundaries(place.replace("$", ""))
        return top, left, bottom, right


def _style(cell: Any) -> Any:
    if cell._style is None:
        cell._style = StyleArray()
    return cell._style


def _restyle(cells: list[Any], index: str, change: Any) -> None:
    """Change one trait of many cells; cells that have one style are reckoned once."""
    known: dict[int, int] = {}
    for cell in cells:
        before = getattr(_style(cell), index)
        if before in known:
            setattr(_style(cell), index, known[before])
        else:
            change(cell)
            known[before] = getattr(_style(cell), index)


class Range(base_classes.Range):
    def __init__(self, sheet: Sheet, box: tuple[int, int, int, int]) -> None:
        self.sheet = sheet
        self.box = box
        self.options: dict[str, Any] = {}

    api = property(lambda self: self)
    row = property(lambda self: self.box[0])
    column = property(lambda self: self.box[1])
    shape = property(lambda self: (self.box[2] - self.box[0] + 1, self.box[3] - self.box[1] + 1))
    font = property(lambda self: Letters(self))  # noqa: PLW0108 - the class stands below
    borders = property(lambda self: Borders(self))  # noqa: PLW0108 - the class stands below
    conditional_formats = property(lambda self: Conditions(self))  # noqa: PLW0108 - the class stands below
    max_cells_per_read = 2000
    max_cells_per_write = 3000
    """Small, so that reading and writing go in pieces here too."""

    def __len__(self) -> int:
        return self.shape[0] * self.shape[1]

    def __call__(self, row: int, column: int | None = None) -> Range:
        if column is None:
            row, column = divmod(row - 1, self.shape[1])[0] + 1, (row - 1) % self.shape[1] + 1
        place = self.box[0] + row - 1, self.box[1] + column - 1
        return Range(self.sheet, (*place, *place))

    @property
    def rows(self) -> list[Range]:
        top, left, bottom, right = self.box
        return [Range(self.sheet, (row, left, row, right)) for row in range(top, bottom + 1)]

    def cells(self) -> list[list[Any]]:
        top, left, bottom, right = self.box
        file = self.sheet.file
        return [
            [file.cell(row, column) for column in range(left, right + 1)] for row in range(top, bottom + 1)
        ]

    def flat(self) -> list[Any]:
        return [cell for row in self.cells() for cell in row]

    @property
    def address(self) -> str:
        top, left, bottom, right = self.box
        first, last = f"${get_column_letter(left)}${top}", f"${get_column_letter(right)}${bottom}"
        return first if first == last else f"{first}:{last}"

    def get_address(self, row_absolute: bool, col_absolute: bool, external: bool) -> str:
        return self.address

    def select(self) -> None:
        self.sheet.book.app.chosen = self

    # values

    @property
    def raw_value(self) -> Any:
        values = [[_handed_on(cell) for cell in row] for row in self.cells()]
        return values[0][0] if len(self) == 1 else values

    @raw_value.setter
    def raw_value(self, data: Any) -> None:
        self.sheet.book.app.check("write")
        if not isinstance(data, (list, tuple)):
            data = [[data] * self.shape[1]] * self.shape[0]
        assert (len(data), len(data[0])) == self.shape
        for cells, values in zip(self.cells(), data, strict=True):
            for cell, value in zip(cells, values, strict=True):
                _take(cell, value)

    # formats

    def _get(self, what: Any) -> Any:
        found = {what(cell) for cell in self.flat()}
        return found.pop() if len(found) == 1 else None

    @property
    def number_format(self) -> Any:
        return self._get(lambda cell: cell.number_format)

    @number_format.setter
    def number_format(self, value: str) -> None:
        _restyle(self.flat(), "numFmtId", lambda cell: setattr(cell, "number_format", value))

    @property
    def color(self) -> Any:
        return self._get(lambda cell: cell.fill.fgColor.rgb if cell.fill.fill_type else None)

    @color.setter
    def color(self, value: str) -> None:
        fill = PatternFill("solid", fgColor=value.removeprefix("#"))
        _restyle(self.flat(), "fillId", lambda cell: setattr(cell, "fill", fill))

    def _align(self, **what: Any) -> None:
        def change(cell: Any) -> None:
            now = cell.alignment
            told = {"horizontal": now.horizontal, "vertical": now.vertical, "wrap_text": now.wrap_text}
            cell.alignment = Alignment(**(told | what))

        _restyle(self.flat(), "alignmentId", change)

    horizontal_alignment = property(
        lambda self: self._get(lambda cell: cell.alignment.horizontal),
        lambda self, value: self._align(horizontal=value),
    )
    vertical_alignment = property(
        lambda self: self._get(lambda cell: cell.alignment.vertical),
        lambda self, value: self._align(vertical=value),
    )
    wrap_text = property(
        lambda self: self._get(lambda cell: cell.alignment.wrap_text),
        lambda self, value: self._align(wrap_text=value),
    )

    def _set_width(self, value: float) -> None:
        for column in range(self.box[1], self.box[3] + 1):
            self.sheet.file.column_dimensions[get_column_letter(column)].width = value

    def _set_height(self, value: float) -> None:
        for row in range(self.box[0], self.box[2] + 1):
            self.sheet.file.row_dimensions[row].height = value

    column_width = property(None, _set_width)
    row_height = property(None, _set_height)

    # clearing, merging, notes, links

    def clear(self) -> None:
        self.clear_formats()
        for cell in self.flat():
            cell.value = cell.comment = cell.hyperlink = None

    def clear_formats(self) -> None:
        file, (top, left, bottom, right) = self.sheet.file, self.box
        for merged in list(file.merged_cells.ranges):
            if top <= merged.min_row <= bottom and left <= merged.min_col <= right:
                file.unmerge_cells(str(merged))
        for cell in self.flat():
            for index in ("fontId", "fillId", "borderId", "alignmentId", "numFmtId"):
                setattr(_style(cell), index, 0)
        self.conditional_formats.clear()

    def _merged(self) -> list[Any]:
        return [
            merged
            for merged in self.sheet.file.merged_cells.ranges
            if merged.min_row <= self.box[2] and merged.max_row >= self.box[0]
            and merged.min_col <= self.box[3] and merged.max_col >= self.box[1]
        ]  # fmt: skip

    @property
    def merge_cells(self) -> Any:
        """True where every cell is merged, False where none is, None between; as Excel has it."""
        merged = self._merged()
        if not merged:
            return False
        count = sum(
            (min(m.max_row, self.box[2]) - max(m.min_row, self.box[0]) + 1)
            * (min(m.max_col, self.box[3]) - max(m.min_col, self.box[1]) + 1)
            for m in merged
        )
        return True if count == len(self) else None

    @property
    def merge_area(self) -> Range:
        assert len(self) == 1
        for m in self._merged():
            return Range(self.sheet, (m.min_row, m.min_col, m.max_row, m.max_col))
        return self

    def merge(self, across: bool) -> None:
        top, left, bottom, right = self.box
        self.sheet.file.merge_cells(start_row=top, start_column=left, end_row=bottom, end_column=right)

    @property
    def note(self) -> Any:
        cell = self.flat()[0]
        return Note(cell) if cell.comment else None

    def add_note(self, text: str) -> Note:
        self.flat()[0].comment = Comment(text, "user")
        return Note(self.flat()[0])

    def add_hyperlink(self, address: str, text_to_display: str, screen_tip: str) -> None:
        (cell,) = self.flat()
        _take(cell, text_to_display)
        assert address.startswith("#")
        cell._hyperlink = Hyperlink(ref=cell.coordinate, location=address[1:])


def _handed_on(cell: Any) -> Any:
    value = cell.value
    if value is None:
        return None
    if cell.data_type == "e":
        return ERROR_NUMBERS[value]
    if isinstance(value, dt.datetime):
        return value
    if isinstance(value, dt.time):
        return dt.datetime.combine(_DAY_NOUGHT.date(), value)
    if isinstance(value, dt.timedelta):
        return _DAY_NOUGHT + value
    if isinstance(value, int) and not isinstance(value, bool):
        return float(value)
    return value


def _take(cell: Any, value: Any) -> None:
    """Take what is typed into a cell, as Excel does."""
    if type(cell).__name__ == "MergedCell":
        assert value in ("", None)
        return
    if not isinstance(value, str):
        form = cell.number_format
        cell.value = value
        cell.number_format = (
            form if form != "General" or not isinstance(value, dt.datetime) else "m/d/yyyy h:mm"
        )
        return
    cell.value = None
    if value.startswith("'"):
        cell._value, cell.data_type = value[1:], "s"
    elif value.startswith(("=", "+", "-", "@")) and len(value) > 1:
        cell._value, cell.data_type = value, "f"
    elif value.upper() in ("TRUE", "FALSE"):
        cell.value = value.upper() == "TRUE"
    elif _DATE.fullmatch(value):
        cell.value = dt.datetime(2001, 1, 1)
    elif value:
        try:
            cell.value = float(value)
        except ValueError:
            cell._value, cell.data_type = value, "s"


class Letters(base_classes.Font):
    def __init__(self, area: Range) -> None:
        self.area = area

    def _set(self, name: str, value: Any) -> None:
        def change(cell: Any) -> None:
            now = cell.font
            told = {"bold": now.b, "italic": now.i, "size": now.sz, "color": now.color, "name": now.name}
            cell.font = Font(**(told | {name: value}))

        _restyle(self.area.flat(), "fontId", change)

    bold = property(None, lambda self, value: self._set("bold", value))
    italic = property(None, lambda self, value: self._set("italic", value))
    size = property(None, lambda self, value: self._set("size", value))
    name = property(None, lambda self, value: self._set("name", value))
    color = property(None, lambda self, value: self._set("color", _hex(value)))


def _hex(value: Any) -> str:
    return (
        "{:02X}{:02X}{:02X}".format(*value)
        if isinstance(value, tuple)
        else str(value).removeprefix("#").upper()
    )


class Borders(base_classes.Borders):
    def __init__(self, area: Range) -> None:
        self.area = area

    def set(
        self, which: Any = "all", *, line_style: Any = None, weight: Any = None, color: Any = None
    ) -> None:
        kinds = {"hairline": "hair", "thin": "thin", "medium": "medium", "thick": "thick"}
        side = Side(style=kinds[weight], color=_hex(color))
        names = {name.removeprefix("edge_") for name in which if name.startswith("edge_")}

        def change(cell: Any) -> None:
            now = cell.border
            told = {name: getattr(now, name) for name in ("left", "right", "top", "bottom")}
            cell.border = Border(**(told | dict.fromkeys(names, side)))

        _restyle(self.area.flat(), "borderId", change)


class Conditions(base_classes.ConditionalFormats):
    def __init__(self, area: Range) -> None:
        self.area = area

    def __len__(self) -> int:
        return len(self.area.sheet.file.conditional_formatting)

    def add_custom(self, spec: Any) -> Any:
        fill = spec.get("fill_color")
        style = DifferentialStyle(fill=PatternFill("solid", bgColor=_hex(fill)) if fill is not None else None)
        rule = Rule(type="expression", formula=[spec["formula"].removeprefix("=")], dxf=style)
        sheet, chosen = self.area.sheet, self.area.sheet.book.app.chosen
        assert sheet.book.active is sheet.file
        assert chosen.sheet.file is sheet.file
        assert chosen.row == self.area.row, "Excel takes the rows of the formula as seen from the chosen cell"
        for entry in sheet.file.conditional_formatting:
            for other in entry.rules:
                other.priority += 1
        rule.priority = 1
        sheet.file.conditional_formatting.add(self.area.address.replace("$", ""), rule)
        return rule

    def clear(self) -> None:
        file, (top, left, bottom, right) = self.area.sheet.file, self.area.box
        left_over = ConditionalFormattingList()
        for entry in file.conditional_formatting:
            inside = all(
                top <= part.min_row
                and part.max_row <= bottom
                and left <= part.min_col
                and part.max_col <= right
                for part in entry.sqref.ranges
            )
            for rule in () if inside else entry.rules:
                left_over.add(str(entry.sqref), rule)
        file.conditional_formatting = left_over


class Note(base_classes.Note):
    def __init__(self, cell: Any) -> None:
        self.cell = cell

    def delete(self) -> None:
        self.cell.comment = None


class Names(base_classes.Names):
    def __init__(self, scopes: Any) -> None:
        self.scopes = scopes
        self.all = [Name(held, key, prefix) for held, prefix in scopes for key in held]

    def __len__(self) -> int:
        return len(self.all)

    def __call__(self, key: Any) -> Name:
        return self.all[key - 1]

    def add(self, name: str, refers_to: str) -> Name:
        (held, prefix) = self.scopes[0]
        held[name] = DefinedName(name, attr_text=refers_to.removeprefix("="))
        return Name(held, name, prefix)


class Name(base_classes.Name):
    def __init__(self, held: Any, key: str, prefix: str) -> None:
        self.held, self.key, self.prefix = held, key, prefix

    name = property(lambda self: f"{self.prefix}{self.key}")
    refers_to = property(lambda self: f"={self.held[self.key].attr_text}")
    api = property(lambda self: self)
    Visible = property(
        lambda self: not self.held[self.key].hidden,
        lambda self, value: setattr(self.held[self.key], "hidden", not value),
    )


class Tables(base_classes.Tables):
    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet

    def __len__(self) -> int:
        return len(self.sheet.file.tables)

    def __iter__(self) -> Iterator[Table]:
        return iter([Table(self.sheet, table) for table in self.sheet.file.tables.values()])

    def add(self, source: Any = None, name: Any = None, **_: Any) -> Table:
        taken = {key.casefold() for file in self.sheet.book.file.worksheets for key in file.tables}
        assert name.casefold() not in taken, f"a table {name} is there already"
        table = FileTable(displayName=name, ref=source.address.replace("$", ""))
        table._initialise_columns()
        for column, cell in zip(table.tableColumns, source.impl.cells()[0], strict=True):
            assert isinstance(cell.value, str), f"heading {cell.value!r} of {name}"
            column.name = cell.value
        self.sheet.file.add_table(table)
        return Table(self.sheet, table)


class Table(base_classes.Table):
    def __init__(self, sheet: Sheet, file: Any) -> None:
        self.sheet, self.file = sheet, file

    name = property(lambda self: self.file.displayName)
    range = property(lambda self: self.sheet.range(self.file.ref))
    header_row_range = property(lambda self: self.range.rows[0])
    table_style = property(lambda self: None, lambda self, value: None)
    show_autofilter = property(lambda self: self.file.autoFilter is not None, lambda self, value: None)
    api = property(lambda self: self)

    def resize(self, area: Any) -> None:
        assert area.row == self.range.row, "the headings of a table stay in their row"
        self.file.ref = self.file.autoFilter.ref = area.address.replace("$", "")

    def Unlist(self) -> None:  # noqa: N802 - the program's own word
        del self.sheet.file.tables[self.file.name]


class Charts(base_classes.Charts):
    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet

    def __len__(self) -> int:
        return len(self.sheet.file._charts)

    def __iter__(self) -> Iterator[Chart]:
        return iter([Chart(self.sheet, chart) for chart in self.sheet.file._charts])


class Chart(base_classes.Chart):
    def __init__(self, sheet: Sheet, file: Any) -> None:
        self.sheet, self.file = sheet, file

    def delete(self) -> None:
        self.sheet.file._charts.remove(self.file)


if NAME not in xlwings.engines.engines_by_name:
    xlwings.engines.add(xlwings.main.Engine(impl=Engine()))
ENGINE = xlwings.engines[NAME].impl


def open_book(path: Path) -> xlwings.Book:
    """Open a workbook file in a program of its own, and return it as xlwings knows it."""
    app = App()
    ENGINE.apps.all.insert(0, app)
    xlwings.engines[NAME].activate()
    book = Book(app, Path(path))
    app.books.all.append(book)
    app.chosen = Sheet(book, book.active).range("B2")
    return xlwings.Book(impl=book)
