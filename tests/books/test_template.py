"""Empty books: every heading, list, check and note as declared, by reading the file back."""

from __future__ import annotations

import datetime as dt
import importlib.util
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from sheetengine.books.graft import write_into
from sheetengine.books.reading import read_grids
from sheetengine.books.template import FLAGS_CELL_COLUMN, HEAD_ROW, flag_formula
from sheetengine.content import SheetContent
from sheetengine.new_book import build_template
from sheetengine.sheets.declarations import Kind
from sheetengine.sheets.job_items import JOB_HEADINGS, JOB_ITEMS
from sheetengine.sheets.optional_inputs import INPUT_SHEETS, OPTIONAL_SHEETS
from sheetengine.sheets.templates import template_content, usual_methods
from sheetengine.units import check, split_heading

MOMENT = dt.datetime(2031, 4, 2, 7, 30)
FOLDER = Path(__file__).parents[2] / "workbook_templates"


@pytest.fixture(scope="module", params=[False, True], ids=["metric", "US"])
def us(request: pytest.FixtureRequest) -> bool:
    return bool(request.param)


@pytest.fixture(scope="module")
def path(us: bool, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("template") / "book.xlsx"
    build_template(path, us=us, safety="ACI service load", moment=MOMENT)
    return path


@pytest.fixture(scope="module")
def book(path: Path) -> Any:
    return openpyxl.load_workbook(path)


def _checks(sheet: Any, row: int, column: int) -> list[Any]:
    cell = sheet.cell(row, column).coordinate
    return [check for check in sheet.data_validations.dataValidation if cell in check.sqref]


def _words(book: Any, formula: str) -> list[str]:
    """Return the words that a list check offers, by following its name."""
    if formula.startswith('"'):
        return formula.strip('"').split(",")
    ((sheet, area),) = book.defined_names[formula].destinations
    return [cell.value for (cell,) in book[sheet][area]]


@pytest.mark.parametrize("declared", INPUT_SHEETS, ids=lambda sheet: sheet.name)
def test_headings_notes_checks_and_formats_as_declared(book: Any, us: bool, declared: Any) -> None:
    sheet = book[declared.name]
    texts = [cell.value for cell in sheet[HEAD_ROW]]
    assert texts == [heading.title(us) for heading in declared.headings]
    for column, heading in enumerate(declared.headings, start=1):
        head = sheet.cell(HEAD_ROW, column)
        if heading.kind is Kind.NUMBER:
            check(split_heading(head.value)[1] or "", heading.measure)
        note = head.comment.text
        assert heading.meaning in note
        assert all(choice in note for choice in heading.choices)
        assert ("Required." in note) == heading.required
        assert heading.default_text in note
        assert bool(head.font.b) == heading.required
        assert (head.border.bottom.style == "thick") == heading.required
        assert (sheet.cell(HEAD_ROW - 1, column).value == "required") == heading.required
        checks = _checks(sheet, HEAD_ROW + 1, column)
        expected = heading.kind in (Kind.NUMBER, Kind.CHOICE, Kind.YES_NO, Kind.MOMENT) or heading.refers
        assert len(checks) == bool(expected), heading.name
        if heading.kind is Kind.CHOICE:
            assert _words(book, checks[0].formula1) == list(heading.choices)
        elif heading.kind is Kind.YES_NO:
            assert _words(book, checks[0].formula1) == ["yes", "no"]
        elif heading.kind is Kind.MOMENT:
            assert checks[0].type == "date"
            assert sheet.cell(HEAD_ROW + 1, column).number_format == "yyyy-mm-dd hh:mm"
        for found in checks:
            assert found.showErrorMessage
            assert 0 < len(found.error) <= 225
            assert len(found.errorTitle) <= 32


def test_limits_are_in_the_unit_of_the_heading(book: Any, us: bool) -> None:
    lifts = INPUT_SHEETS[3]
    column = [heading.key for heading in lifts.headings].index("height") + 1
    (found,) = _checks(book["Lifts"], HEAD_ROW + 1, column)
    # a foot is 0.3048 m exactly (international yard and pound agreement of 1959): 15 m = 49.21259843 ft
    limit = "49.21259843" if us else "15"
    assert found.formula1 == f"AND(ISNUMBER(C5),C5>0,C5<={limit})"
    column = [heading.key for heading in lifts.headings].index("concrete_temperature") + 1
    (found,) = _checks(book["Lifts"], HEAD_ROW + 1, column)
    # -5 degC = 23 degF and 60 degC = 140 degF, by F = 1.8 C + 32
    assert [float(found.formula1), float(found.formula2)] == pytest.approx(
        [23.0, 140.0] if us else [-5.0, 60.0]
    )


def test_references_offer_the_names_of_the_other_sheet(book: Any) -> None:
    lifts = INPUT_SHEETS[3]
    for column, heading in enumerate(lifts.headings, start=1):
        if heading.refers is None:
            continue
        (found,) = _checks(book["Lifts"], HEAD_ROW + 1, column)
        name = book.defined_names[found.formula1].attr_text
        assert name.startswith(
            f"'{heading.refers[0]}'!$A$5" if " " in heading.refers[0] else f"{heading.refers[0]}!$A$5"
        )
        assert found.errorStyle == "warning"


def test_tables_cover_headings_and_blank_rows(book: Any) -> None:
    for declared in INPUT_SHEETS:
        sheet = book[declared.name]
        (table,) = sheet.tables.values()
        assert table.displayName == f"In_{declared.name.replace(' ', '_')}"
        head, *rows = sheet[table.ref]
        assert [column.name for column in table.tableColumns] == [cell.value for cell in head]
        assert 40 <= len(rows) <= 200
        assert head[0].row == HEAD_ROW
        keys = 0
        while declared.headings[keys].kind is Kind.KEY:
            keys += 1
        assert sheet.freeze_panes == sheet.cell(HEAD_ROW + 1, max(keys, 1) + 1).coordinate


def test_every_input_sheet_marks_its_flagged_cells(book: Any) -> None:
    for name in ("Job", *(declared.name for declared in INPUT_SHEETS)):
        sheet = book[name]
        (table,) = sheet.tables.values()
        rules = {
            rule.formula[0]: str(area.sqref) for area in sheet.conditional_formatting for rule in area.rules
        }
        area = rules[flag_formula(name)]
        assert area.split(":")[1] == table.ref.split(":")[1]
        assert f"!${FLAGS_CELL_COLUMN}:" in flag_formula(name)


def test_job_sheet(book: Any, us: bool) -> None:
    sheet = book["Job"]
    assert [cell.value for cell in sheet[HEAD_ROW]] == [*JOB_HEADINGS, "What it means"]
    rows = list(sheet.iter_rows(min_row=HEAD_ROW + 1, max_row=HEAD_ROW + len(JOB_ITEMS)))
    values = {row[0].value: row[1].value for row in rows}
    assert list(values) == [item.name for item in JOB_ITEMS]
    method = "ACI 347R-14 inch-pound" if us else "ACI 347R-14 SI"
    anchor = "ACI 318-19" if us else "ACI 318M-19"
    assert {name: value for name, value in values.items() if value is not None} == {
        "Safety basis": "ACI service load",
        "Pressure method": method,
        "Anchor method": anchor,
        "Result units": "US" if us else "metric",
    }
    for row, item in zip(rows, JOB_ITEMS, strict=True):
        assert (row[2].value or "") == item.unit(us)
        assert row[3].value.startswith(item.meaning)
        assert bool(row[0].font.b) == item.required
        checks = _checks(sheet, row[1].row, 2)
        assert len(checks) == (item.kind is not Kind.TEXT)
        if item.choices:
            assert _words(book, checks[0].formula1) == list(item.choices)


def test_paper_and_repeated_headings(book: Any, us: bool) -> None:
    for sheet in book.worksheets:
        assert int(sheet.page_setup.paperSize) == (
            1 if us else 9
        )  # ECMA-376 part 1, 18.3.1.63: 1 Letter, 9 A4
        assert sheet.oddFooter.right.text == "Page &P of &N"
    assert book["Lifts"].print_title_rows == f"$3:${HEAD_ROW}"


def test_guide_explains_sheets_verdicts_and_the_anchor_rule(book: Any) -> None:
    text = "\n".join(str(cell) for row in book["Guide"].iter_rows(values_only=True) for cell in row if cell)
    for declared in INPUT_SHEETS:
        assert declared.name in text
    for word in ("Within", "Near limit", "Exceeds", "Outside scope", "Not computed", "Blocks issue"):
        assert word in text
    assert "anchors cast in the lift below" in text
    targets = [cell.hyperlink.location for row in book["Guide"].iter_rows() for cell in row if cell.hyperlink]
    assert len(targets) == 1 + len(INPUT_SHEETS)


def test_a_new_book_keeps_its_lists_marks_and_notes_when_results_are_written(
    path: Path, tmp_path: Path
) -> None:
    out = tmp_path / "again.xlsx"
    write_into(path, out, [SheetContent("Flags", "Flags", [], [])], result_names=["Flags"])
    before, after = openpyxl.load_workbook(path), openpyxl.load_workbook(out)
    assert after.sheetnames == [*before.sheetnames, "Flags"]
    for sheet in before.worksheets:
        other = after[sheet.title]
        assert len(other.data_validations.dataValidation) == len(sheet.data_validations.dataValidation)
        assert len(other.conditional_formatting) == len(sheet.conditional_formatting)
        assert [c.comment.text for c in other[HEAD_ROW] if c.comment] == [
            c.comment.text for c in sheet[HEAD_ROW] if c.comment
        ]
    with zipfile.ZipFile(path) as one, zipfile.ZipFile(out) as other:
        drawings = [name for name in one.namelist() if name.endswith(".vml")]
        assert drawings
        assert all(one.read(name) == other.read(name) for name in drawings)


def test_round_trip_through_the_reader(path: Path, us: bool) -> None:
    names = ["Job", *(declared.name for declared in INPUT_SHEETS)]
    grids = read_grids(path, names)
    assert list(grids) == names
    for declared in INPUT_SHEETS:
        grid = grids[declared.name]
        assert list(grid.rows[HEAD_ROW - 1]) == [heading.title(us) for heading in declared.headings]
        assert len(grid.rows) == HEAD_ROW
        assert not grid.merged
        assert not grid.uncached


def test_usual_methods_and_refusals() -> None:
    assert usual_methods("EN partial factors", us=False) == ("DIN 18218:2010", "EN 1992-4:2018")
    with pytest.raises(ValueError, match="is one of: EN partial factors"):
        usual_methods("none", us=False)
    with pytest.raises(ValueError, match="pressure method"):
        template_content(us=False, safety="ACI strength", pressure="guess")
    chosen = template_content(us=False, safety="ACI strength", pressure="CIRIA R108", anchor="ACI 318-19")
    assert ("Pressure method", "CIRIA R108") in [tuple(row[:2]) for row in chosen.sheets[0].rows]
    assert [sheet.name for sheet in chosen.sheets if sheet.optional] == [
        sheet.name for sheet in OPTIONAL_SHEETS
    ]


def test_the_committed_books_are_what_the_script_builds(tmp_path: Path) -> None:
    spec = importlib.util.spec_from_file_location("build_templates", FOLDER / "build.py")
    assert spec is not None and spec.loader is not None
    script = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(script)
    script.build(tmp_path)
    for name in script.BOOKS:
        built, kept = openpyxl.load_workbook(tmp_path / name), openpyxl.load_workbook(FOLDER / name)
        assert built.sheetnames == kept.sheetnames
        for sheet in built.worksheets:
            other = kept[sheet.title]
            assert list(sheet.iter_rows(values_only=True)) == list(other.iter_rows(values_only=True)), name
            notes = [[cell.comment.text for cell in s[HEAD_ROW] if cell.comment] for s in (sheet, other)]
            assert notes[0] == notes[1]
        again = tmp_path / "again"
        again.mkdir(exist_ok=True)
        script.build(again)
        assert (again / name).read_bytes() == (tmp_path / name).read_bytes()


def test_libreoffice_keeps_lists_and_marks(path: Path, convert: Callable[[Path, str], Path]) -> None:
    made = convert(path, "xlsx")
    again = openpyxl.load_workbook(made)
    assert {table for sheet in again.worksheets for table in sheet.tables} >= {
        "In_Job",
        "In_Lifts",
        "In_Mixes",
    }
    assert len(again["Lifts"].data_validations.dataValidation) >= 15
    formulas = [rule.formula[0] for area in again["Lifts"].conditional_formatting for rule in area.rules]
    assert flag_formula("Lifts") in formulas
