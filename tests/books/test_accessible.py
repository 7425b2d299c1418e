"""Result books for readers that see little, no colour, or nothing: contrast, words and patterns, texts to be spoken, order of keys."""

from __future__ import annotations

import re
import shutil
import zipfile
from collections.abc import Iterator
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from lxml import etree
from openpyxl.utils import range_boundaries

from sheetengine.books import palette
from sheetengine.calculation_record.page import as_page
from sheetengine.calculation_record.parts import COLOURS, LIMIT
from sheetengine.demos import demo_file, demo_named
from sheetengine.run import calculate, read_book, result_contents, write_results
from sheetengine.sheets.results import RESULT_SHEETS

LEAST_FOR_LETTERS, LEAST_FOR_SHAPES = 4.5, 3.0
"""WCAG 2.1, success criteria 1.4.3 and 1.4.11."""
DRAWING = "{http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing}"
EXTENDED = "{http://schemas.microsoft.com/office/spreadsheetml/2009/9/main}"


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("accessible") / "book.xlsx"
    shutil.copy(demo_file(demo_named("lock-wall")), path)
    write_results(path, calculate(read_book(path)))
    return path


@pytest.fixture(scope="module")
def opened(book: Path) -> Any:
    return openpyxl.load_workbook(book)


def colour(given: Any, otherwise: str) -> str:
    return str(given.rgb)[-6:] if given is not None and given.type == "rgb" else otherwise


def grounds(cell: Any) -> Iterator[str]:
    """Return the colours that lie under a cell's letters: of the fill, and of its hatch."""
    fill = cell.fill
    if fill.fill_type is None:
        yield palette.WHITE
        return
    yield colour(fill.fgColor, palette.WHITE)
    if fill.fill_type != "solid":
        yield colour(fill.bgColor, palette.WHITE)


def test_every_text_of_the_book_stands_out(opened: Any) -> None:
    pairs: dict[tuple[str, str], str] = {}
    for sheet in opened.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.value is not None:
                    letters = colour(cell.font.color, "000000")
                    for ground in grounds(cell):
                        pairs.setdefault((letters, ground), f"{sheet.title}!{cell.coordinate}")
    assert len(pairs) > 8
    weak = {
        pair: (where, palette.contrast(*pair))
        for pair, where in pairs.items()
        if palette.contrast(*pair) < LEAST_FOR_LETTERS
    }
    assert weak == {}


def test_every_text_under_a_rule_stands_out(opened: Any) -> None:
    seen = 0
    for sheet in opened.worksheets:
        for area in sheet.conditional_formatting:
            for rule in area.rules:
                look = rule.dxf
                if look is None or look.fill is None:
                    continue
                letters = colour(look.font.color if look.font else None, palette.INK)
                fills = {colour(look.fill.bgColor, palette.WHITE)}
                if look.fill.fill_type not in (None, "solid"):
                    fills.add(colour(look.fill.fgColor, palette.WHITE))
                for ground in fills:
                    seen += 1
                    assert palette.contrast(letters, ground) >= LEAST_FOR_LETTERS, (
                        sheet.title,
                        letters,
                        ground,
                    )
    assert seen > 20


def test_curves_stand_out_and_differ_without_colour() -> None:
    for shade in (
        *palette.CURVE_COLOURS,
        palette.LIMIT_COLOUR,
        *(text.lstrip("#") for text in (*COLOURS, LIMIT)),
    ):
        assert palette.contrast(shade, palette.WHITE) >= LEAST_FOR_SHAPES, shade
    for kinds in (palette.CURVE_DASHES, palette.CURVE_MARKS):
        assert all(one != other for one, other in combinations(kinds, 2))
    assert len(palette.CURVE_DASHES) == len(palette.CURVE_MARKS) == len(palette.CURVE_COLOURS)


def test_charts_of_the_book_have_no_more_curves_than_looks() -> None:
    contents = result_contents(calculate(read_book(demo_file(demo_named("gravity-dam")))))
    for sheet in contents:
        for chart in sheet.charts:
            for kind in ("line", "markers"):
                assert sum(curve.kind == kind for curve in chart.curves) <= len(palette.CURVE_COLOURS)


def test_every_chart_and_every_table_can_be_spoken(book: Path) -> None:
    with zipfile.ZipFile(book) as archive:
        charts = [
            frame.find(f".//{DRAWING}cNvPr").get("descr") or ""
            for name in archive.namelist() if re.fullmatch(r"xl/drawings/drawing\d+\.xml", name)
            for frame in etree.fromstring(archive.read(name)).iter(f"{DRAWING}graphicFrame")
        ]  # fmt: skip
        spoken = {}
        for name in archive.namelist():
            if name.startswith("xl/tables/"):
                table = etree.fromstring(archive.read(name))
                texts = [text.get("altTextSummary") for text in table.iter(f"{EXTENDED}table")]
                spoken[table.get("displayName")] = texts
    assert len(charts) >= 8 and all(len(text) > 30 for text in charts)
    own = {name: texts for name, texts in spoken.items() if texts}
    assert len(own) >= len(RESULT_SHEETS)
    assert "row" in own["Pressures"][0] and "Block, Lift" in own["Pressures"][0]


def test_the_cursor_waits_where_the_work_begins(opened: Any) -> None:
    for name in RESULT_SHEETS:
        sheet = opened[name]
        if not sheet.tables:
            continue
        first = min(range_boundaries(table.ref)[1] for table in sheet.tables.values())
        cells = {selection.activeCell for selection in sheet.sheet_view.selection}
        assert len(cells) == 1, name
        (cell,) = cells
        assert sheet[cell].row > first, name
    flags = opened["Flags"]
    at = flags[flags.sheet_view.selection[-1].activeCell]
    (table,) = flags.tables.values()
    assert flags.cell(range_boundaries(table.ref)[1], at.column).value == "Initials"
    chooser = opened["Hand check"]
    lists = [str(area) for rule in chooser.data_validations.dataValidation for area in rule.sqref.ranges]
    assert chooser.sheet_view.selection[-1].activeCell in lists


def test_a_state_is_a_word_and_never_a_look_alone(opened: Any) -> None:
    """Every rule that paints a state asks for its word, and the word stands in the cell."""
    for sheet in opened.worksheets:
        for area in sheet.conditional_formatting:
            for rule in area.rules:
                for formula in rule.formula:
                    asked = re.fullmatch(r'\$[A-Z]+\d+="([^"]+)"', formula)
                    if asked:
                        assert asked.group(1) in palette.STATES


def test_the_page_of_the_record_stands_out_and_is_in_reading_order() -> None:
    one = read_book(demo_file(demo_named("lock-wall")))
    results = calculate(one)
    from test_report import recorded

    page = as_page(recorded(one, results))
    style = page[page.index("<style>") : page.index("</style>")]
    for shade in set(re.findall(r"color: #([0-9A-F]{6})", style)):
        for ground in (palette.WHITE, palette.SAND):
            assert palette.contrast(shade, ground) >= LEAST_FOR_LETTERS, shade
    headings = [int(level) for level in re.findall(r"<h([1-6])", page)]
    assert headings[0] == 1
    assert all(after - before <= 1 for before, after in pairwise(headings))


def test_keys_are_not_printed_beside_charts(opened: Any) -> None:
    """Columns that stand again on every page would push a chart over the edge of its page."""
    for name in RESULT_SHEETS:
        sheet = opened[name]
        if sheet.print_title_cols and sheet._charts:
            areas = str(sheet.print_area).split(",")
            left = {int(chart.anchor._from.col) + 1 for chart in sheet._charts}
            for area in areas:
                first, _, last, _ = range_boundaries(area.split("!")[-1].replace("$", ""))
                assert not any(first <= column <= last for column in left), name
