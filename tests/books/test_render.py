"""Result sheets: text stays text, states are marked, a second run replaces the first, the office's own stays."""

from __future__ import annotations

import datetime as dt
import math
import re
import zipfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pandas as pd
import pytest

from sheetengine.books import palette
from sheetengine.books.graft import write_into
from sheetengine.books.parts import open_package
from sheetengine.books.reading import read_grids
from sheetengine.books.render import free_name, render_results, unique_headings
from sheetengine.content import ChartContent, ColumnLook, Curve, Link, Look, SheetContent, TableContent
from sheetengine.exceptions import BookUnwritable

NAMES = ["Anchor demand", "Curves", "Flags"]
MOMENT = dt.datetime(2031, 4, 2, 7, 30)
HOSTILE = [
    "=1+1",
    "+cmd|' /C calc'!A0",
    "-2+3",
    "@SUM(A1)",
    "\t=1",
    "＝1+1",
    '=HYPERLINK("https://example.org/")',
    "{=1+1}",
    "<b>&amp;</b>",
    "混凝土 бетон ünïcode",
    "line\nbreak",
    "bell\x07 \x00 nul",
    "x" * 40000,
    "#DIV/0!",
    "TRUE",
    "2031-04-02",
    "007",
]


def _demand(rows: Sequence[Sequence[Any]]) -> SheetContent:
    columns = [
        ColumnLook("Block", width=9),
        ColumnLook("Lift", width=7),
        ColumnLook("Note", width=20, note="What the row is about."),
        ColumnLook("Ratio", Look.NUMBER, decimals=2, group="Checks"),
        ColumnLook("Verdict", Look.VERDICT, width=15, group="Checks"),
        ColumnLook("Hung", Look.MOMENT, width=17),
        ColumnLook("Number", Look.COUNT),
        ColumnLook("Where", Look.LINK),
        ColumnLook("Remark", Look.ENTRY),
    ]
    return SheetContent(
        "Anchor demand",
        "Anchor demand",
        ["One row a lift and stage."],
        [TableContent("Anchor_demand", columns, rows)],
        charts=[
            ChartContent(
                "Ratio",
                "Number",
                "Ratio",
                [Curve("Ratio", "Anchor_demand", "Number", "Ratio", "markers")],
                limit=1.0,
            )
        ],
        footer="Works & Co",
        freeze_columns=2,
        facts=[("Project", "=Example"), ("Revision", "B")],
    )


def _row(text: object = "x", ratio: object = 0.5, verdict: str = "Within", number: object = 3) -> list[Any]:
    return ["A", 1, text, ratio, verdict, MOMENT, number, Link("Lifts!F5", "Lifts!F5"), None]


def _curves() -> SheetContent:
    points = [ColumnLook("Depth", Look.NUMBER), ColumnLook("Pressure", Look.NUMBER)]
    months = [ColumnLook("Month"), ColumnLook("Parts", Look.COUNT), ColumnLook("Back", Look.COUNT)]
    return SheetContent(
        "Curves",
        "Curves",
        [],
        [
            TableContent("Points", points, [[d / 10, min(2.5 * d, 40.0)] for d in range(30)]),
            TableContent("Months", months, [[f"2031-{m:02d}", m, 2 * m] for m in range(1, 7)]),
        ],
        charts=[
            ChartContent("Steps", "Depth", "Pressure", [Curve("P", "Points", "Depth", "Pressure", "steps")], limit=30),
            ChartContent(
                "Both", "Depth", "Pressure",
                [Curve("P", "Points", "Depth", "Pressure"), Curve("Q", "Points", "Depth", "Pressure")],
                alt_text='Two curves "P" and <Q>', x_reversed=True,
            ),
            ChartContent(
                "Parts", "Month", "Parts",
                [Curve("Lost", "Months", "Month", "Parts"), Curve("Back", "Months", "Month", "Back")],
                kind="columns", limit=8,
            ),
            ChartContent("Elsewhere", "Number", "Ratio", [Curve("R", "Anchor_demand", "Number", "Ratio")]),
        ],
    )  # fmt: skip


def _saved(tmp_path: Path, *contents: SheetContent) -> Path:
    book = openpyxl.Workbook()
    book.active.title = "Lifts"
    book.active["A1"] = "Block"
    book.save(tmp_path / "book.xlsx")
    return _run(tmp_path / "book.xlsx", *contents)


def _run(path: Path, *contents: SheetContent) -> Path:
    write_into(path, path, contents, result_names=NAMES)
    return path


def _head(sheet: Any) -> dict[str, tuple[int, int]]:
    """Return row and column of the first table's headings."""
    (table, *_) = sheet.tables.values()
    first = sheet[table.ref][0]
    return {cell.value: (cell.row, cell.column) for cell in first}


def test_text_stays_text(tmp_path: Path) -> None:
    path = _saved(tmp_path, _demand([_row(text) for text in HOSTILE]))
    with zipfile.ZipFile(path) as archive:
        sheets = [archive.read(name) for name in archive.namelist() if "worksheets/sheet" in name]
    assert not any(re.search(rb"<f[ >]", sheet) for sheet in sheets)
    grid = read_grids(path, ["Anchor demand"])["Anchor demand"]
    row, column = _head(openpyxl.load_workbook(path)["Anchor demand"])["Note"]
    read = [grid.value(row + 1 + place, column) for place in range(len(HOSTILE))]
    expected: list[str] = [text.replace("\x07", " ").replace("\x00", " ") for text in HOSTILE]
    expected[HOSTILE.index("x" * 40000)] = (
        "x" * 32766 + "…"
    )  # the longest text a cell holds is 32,767 letters
    assert read == expected


def test_text_that_looks_like_a_formula_is_quoted(tmp_path: Path) -> None:
    sheet = openpyxl.load_workbook(_saved(tmp_path, _demand([_row("=1+1"), _row("plain")])))["Anchor demand"]
    row, column = _head(sheet)["Note"]
    assert sheet.cell(row + 1, column).quotePrefix
    assert not sheet.cell(row + 2, column).quotePrefix


@pytest.mark.parametrize(
    ("value", "cell"),
    [
        (None, None),
        (math.nan, None),
        (np.float64("nan"), None),
        (pd.NaT, None),
        ("", None),
        (math.inf, "any"),
        (np.float64(1.25), 1.25),
        (np.int64(4), 4),
        (np.float32(0.5), 0.5),
        (np.datetime64("NaT"), None),
        (np.bool_(True), "yes"),
        (pd.Timestamp(MOMENT), MOMENT),
        (np.datetime64("2031-04-02T07:30"), MOMENT),
        (MOMENT.replace(tzinfo=dt.UTC), MOMENT),
        (0.0, 0),
    ],
)
def test_values_by_type(tmp_path: Path, value: object, cell: object) -> None:
    path = _saved(tmp_path, _demand([_row(ratio=value)]))
    row, column = _head(openpyxl.load_workbook(path)["Anchor demand"])["Ratio"]
    found = read_grids(path, ["Anchor demand"])["Anchor demand"].value(row + 1, column)
    if isinstance(cell, dt.datetime):
        found = openpyxl.utils.datetime.from_excel(found) if isinstance(found, float) else found
    assert found == cell


def test_formats_frozen_headings_notes_and_print(tmp_path: Path) -> None:
    sheet = openpyxl.load_workbook(_saved(tmp_path, _demand([_row()])))["Anchor demand"]
    at = _head(sheet)
    row = at["Ratio"][0]
    below = {name: sheet.cell(row + 1, column) for name, (_, column) in at.items()}
    assert below["Ratio"].number_format == "#,##0.00"
    assert below["Number"].number_format == "#,##0"
    assert below["Hung"].number_format == "yyyy-mm-dd hh:mm"
    assert below["Where"].hyperlink.location == "Lifts!F5"
    assert sheet.cell(*at["Note"]).comment.text == "What the row is about."
    assert sheet.cell(row - 1, at["Ratio"][1]).value == "Checks"
    assert sheet.freeze_panes == f"C{row + 1}"
    assert sheet.print_title_rows == f"${row - 1}:${row}"
    assert (sheet.page_setup.orientation, int(sheet.page_setup.paperSize)) == ("landscape", 9)
    assert sheet.oddFooter.left.text == "Works && Co"
    assert sheet.oddFooter.right.text == "Page &P of &N"
    assert not sheet.protection.sheet


def test_every_state_has_its_rule(tmp_path: Path) -> None:
    flags = TableContent(
        "Flags", [ColumnLook("Flag"), ColumnLook("Level", Look.LEVEL)], [["EXC-1", "Blocks issue"]]
    )
    path = _saved(tmp_path, _demand([_row()]), SheetContent("Flags", "Flags", [], [flags], freeze_columns=1))
    for name, words in (("Anchor demand", palette.VERDICTS), ("Flags", palette.LEVELS)):
        sheet = openpyxl.load_workbook(path)[name]
        rules = [(str(area.sqref), rule) for area in sheet.conditional_formatting for rule in area.rules]
        for word in words:
            own = [
                rule for area, rule in rules if f'="{word}"' in rule.formula[0] and not area.startswith("A")
            ]
            assert len(own) == 1
            assert own[0].dxf.fill.bgColor.rgb.endswith(palette.STATES[word].fill)
            keys = [rule for area, rule in rules if f'="{word}"' in rule.formula[0] and area.startswith("A")]
            assert len(keys) == bool(palette.STATES[word].mark)


def test_tables_follow_the_rules_of_the_format(tmp_path: Path) -> None:
    """ECMA-376 part 1, 18.5.1: unique header texts equal to the cells, and at least one row below them."""
    doubled = TableContent("A1", [ColumnLook("Same"), ColumnLook("same"), ColumnLook("")], [])
    path = _saved(tmp_path, SheetContent("Flags", "Flags", [], [doubled]), _curves(), _demand([]))
    book = openpyxl.load_workbook(path)
    names: list[str] = []
    for sheet in book.worksheets:
        for table in sheet.tables.values():
            names.append(table.displayName.casefold())
            head, *rows = sheet[table.ref]
            assert rows
            texts = [column.name for column in table.tableColumns]
            assert texts == [cell.value for cell in head]
            assert all(texts)
            assert len({text.casefold() for text in texts}) == len(texts)
            assert table.autoFilter is not None
    assert len(set(names)) == len(names)


def test_names_of_tables_and_headings() -> None:
    taken = {"flags"}
    assert free_name("Flags", taken) == "Flags_2"
    assert free_name("R1C1", taken) == "_R1C1"
    assert free_name("AB12", taken) == "_AB12"
    assert free_name("2 words", taken) == "_2_words"
    assert unique_headings(["a", "A", " ", "b\nc"]) == ["a", "A (2)", "Column 3", "b c"]


def test_sheets_stand_behind_in_order_and_a_second_run_replaces_them_in_place(tmp_path: Path) -> None:
    path = _saved(tmp_path, _demand([_row()]), _curves())
    book = openpyxl.load_workbook(path)
    assert book.sheetnames == ["Lifts", "Anchor demand", "Curves"]
    book.create_sheet("Office notes")
    book.move_sheet("Curves", -2)
    book.save(path)
    _run(path, _curves(), _demand([_row("new")]))
    book = openpyxl.load_workbook(path)
    assert book.sheetnames == ["Curves", "Lifts", "Anchor demand", "Office notes"]
    row, column = _head(book["Anchor demand"])["Note"]
    assert book["Anchor demand"].cell(row + 1, column).value == "new"
    assert list(book["Anchor demand"].tables) == ["Anchor_demand"]


def test_a_sheet_no_longer_made_is_removed(tmp_path: Path) -> None:
    path = _saved(tmp_path, _demand([_row()]), _curves())
    assert openpyxl.load_workbook(_run(path, _curves_alone())).sheetnames == ["Lifts", "Curves"]


def test_a_foreign_sheet_under_our_name_is_refused_and_nothing_changes(tmp_path: Path) -> None:
    path = _saved(tmp_path, _curves_alone())
    book = openpyxl.load_workbook(path)
    book.create_sheet("flags")["A1"] = "the office's own"
    book.save(path)
    before = path.read_bytes()
    with pytest.raises(BookUnwritable, match='sheet "flags" that this engine did not write'):
        _run(path, _curves_alone(), SheetContent("Flags", "Flags", [], []))
    assert path.read_bytes() == before
    assert [entry.name for entry in tmp_path.iterdir()] == ["book.xlsx"]


def _curves_alone() -> SheetContent:
    return SheetContent("Curves", "Curves", [], _curves().tables)


def test_a_renamed_copy_of_a_result_is_the_offices_own(tmp_path: Path) -> None:
    path = _saved(tmp_path, _curves_alone())
    book = openpyxl.load_workbook(path)
    book["Curves"].title = "Curves rev A"
    book.save(path)
    with open_package(path) as package:
        assert [sheet.ours for sheet in package.sheets] == [False, False]
    write_into(path, path, [_curves_alone()], result_names=[*NAMES, "Curves rev A"])
    assert openpyxl.load_workbook(path).sheetnames == ["Lifts", "Curves rev A", "Curves"]


def test_charts_show_axes_and_stand_clear_of_the_table(tmp_path: Path) -> None:
    path = _saved(tmp_path, _demand([_row(ratio=r / 10, number=r) for r in range(9)]), _curves())
    with zipfile.ZipFile(path) as archive:
        charts = [archive.read(name).decode() for name in archive.namelist() if "charts/chart" in name]
        drawings = b"".join(
            archive.read(name) for name in archive.namelist() if "drawings/drawing" in name
        ).decode()
    assert len(charts) == 5
    for chart in charts:
        root = re.sub(r"<(/?)\w+:", r"<\1", chart)
        assert root.count('<delete val="0"') >= 2
        assert 'overlay val="1"' not in root
    assert sum("Limit" in chart for chart in charts) == 3
    assert 'descr="Two curves &quot;P&quot; and &lt;Q&gt;"' in drawings or "Two curves" in drawings
    book = openpyxl.load_workbook(path)
    for sheet in book.worksheets[1:]:
        last = max(sheet[table.ref][0][-1].column for table in sheet.tables.values())
        assert all(chart.anchor._from.col + 1 > last for chart in sheet._charts)
    dashes = re.findall(r'prstDash val="(\w+)"', "".join(chart for chart in charts if "Q" in chart))
    assert len(set(dashes)) >= 2


def test_a_curve_without_its_table_is_an_error() -> None:
    lost = ChartContent("x", "x", "y", [Curve("c", "Nowhere", "x", "y")])
    with pytest.raises(KeyError, match="Nowhere"):
        render_results([SheetContent("Flags", "Flags", [], [], charts=[lost])])


def test_libreoffice_opens_it_and_keeps_the_mark(
    tmp_path: Path, convert: Callable[[Path, str], Path]
) -> None:
    made = convert(_saved(tmp_path, _demand([_row(text) for text in HOSTILE[:10]]), _curves()), "xlsx")
    grid = read_grids(made, ["Anchor demand"])["Anchor demand"]
    texts = [value for row in grid.rows for value in row]
    assert "=1+1" in texts
    with open_package(made) as package:
        assert [sheet.ours for sheet in package.sheets] == [False, True, True]
    assert openpyxl.load_workbook(_run(made, _demand([_row()]))).sheetnames == ["Lifts", "Anchor demand"]
