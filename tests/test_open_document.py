"""OpenDocument spreadsheets: read like any book, never written into; results go into a new workbook."""

from __future__ import annotations

import datetime as dt
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from sheetengine.__main__ import main
from sheetengine.books.graft import check_takes_results
from sheetengine.books.new_from_grids import workbook_of
from sheetengine.books.reading import read_grids, sheet_names
from sheetengine.cells import RangeRef
from sheetengine.demos import DEMOS, demo_file
from sheetengine.exceptions import BookUnreadable, BookUnwritable
from sheetengine.grids import Grid
from sheetengine.run import calculate, read_book, write_results
from sheetengine.sheets.results import RESULT_SHEETS

Convert = Callable[[Path, str], Path]
MIME = "application/vnd.oasis.opendocument.spreadsheet"
SPACES = "".join(
    f' xmlns:{prefix}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"'
    for prefix, name in (("office", "office"), ("table", "table"), ("text", "text"))
)
EXTENSION = ' xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0"'


def ods(path: Path, rows: str, *, mime: str = MIME, **parts: str) -> Path:
    """Write a spreadsheet with one sheet, ``Lifts``, of the rows given."""
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("mimetype", mime)
        archive.writestr(
            "content.xml",
            f'<office:document-content{SPACES}{EXTENSION}><office:body><office:spreadsheet><table:table table:name="Lifts">'
            f"{rows}</table:table></office:spreadsheet></office:body></office:document-content>",
        )
        manifest = parts.get("manifest", "")
        archive.writestr("META-INF/manifest.xml", f"<manifest>{manifest}</manifest>")
    return path


def number(value: float, rest: str = "") -> str:
    return f'<table:table-cell office:value-type="float" office:value="{value}"{rest}><text:p>{value}</text:p></table:table-cell>'


def test_values_formulas_errors_and_merged_ranges(tmp_path: Path) -> None:
    rows = (
        '<table:table-row table:number-rows-repeated="2"><table:table-cell table:number-columns-repeated="16384"/>'
        "</table:table-row><table:table-row><table:table-cell table:number-columns-repeated='2'/>"
        + number(2.5)
        + '<table:table-cell table:formula="of:=1+1"/>'
        '<table:table-cell table:formula="of:=&quot;&quot;" office:value-type="string"><text:p/></table:table-cell>'
        '<table:table-cell table:formula="of:=1/0" office:value-type="string" office:string-value="" '
        'calcext:value-type="error"><text:p>#DIV/0!</text:p></table:table-cell>'
        '<table:table-cell table:formula="of:=1/0" office:value-type="float" office:value="0"><text:p>Err:502</text:p>'
        "</table:table-cell>"
        '<table:table-cell office:value-type="time" office:time-value="PT30H15M00S"><text:p>30:15</text:p></table:table-cell>'
        '<table:table-cell office:value-type="time" office:time-value="PT06H15M00S"><text:p>06:15</text:p></table:table-cell>'
        '<table:table-cell office:value-type="string"><text:p>PT30H15M00S</text:p></table:table-cell>'
        '<table:table-cell office:value-type="boolean" office:boolean-value="true"><text:p>TRUE</text:p></table:table-cell>'
        "</table:table-row><table:table-row>"
        + number(7, ' table:number-columns-repeated="2"')
        + number(1, ' table:number-columns-spanned="2" table:number-rows-spanned="3"')
        + '<table:covered-table-cell/></table:table-row><table:table-row table:number-rows-repeated="1048572">'
        '<table:table-cell table:number-columns-repeated="16384"/></table:table-row>'
    )
    grid = read_grids(ods(tmp_path / "a.ods", rows), ["Lifts"])["Lifts"]
    assert grid.rows == [
        [], [],
        [None, None, 2.5, None, None, "#DIV/0!", "Err:502", dt.timedelta(hours=30, minutes=15), dt.time(6, 15), "PT30H15M00S",
         True],
        [7, 7, 1],
    ]  # fmt: skip
    assert grid.uncached == {(3, 4)}
    assert grid.errors == {(3, 6), (3, 7)}
    assert grid.merged == (RangeRef("Lifts", 4, 3, 6, 4),)


def test_rows_and_columns_that_are_not_shown(tmp_path: Path) -> None:
    """Hidden by hand or by a filter, several at once, and without end below the last value."""
    columns = (
        '<table:table-column/><table:table-column table:visibility="collapse" table:number-columns-repeated="2"/>'
        '<table:table-column table:number-columns-repeated="16381"/>'
    )
    row = "<table:table-row{}>" + number(1.0) + number(2.0) + number(3.0) + number(4.0) + "</table:table-row>"
    rows = (
        row.format("") + row.format(' table:visibility="filter" table:number-rows-repeated="2"')
        + row.format(' table:visibility="visible"') + row.format(' table:visibility="collapse"')
        + '<table:table-row table:visibility="collapse" table:number-rows-repeated="1048571"><table:table-cell/></table:table-row>'
    )  # fmt: skip
    grid = read_grids(ods(tmp_path / "hidden.ods", columns + rows), ["Lifts"])["Lifts"]
    assert (grid.hidden_rows, grid.hidden_columns) == ({2, 3, 5}, {2, 3})


def test_rows_hidden_in_a_workbook_that_libreoffice_saves(tmp_path: Path, convert: Convert) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Lifts"
    for item in range(8):
        sheet.append([item, item, item, item])
    sheet.row_dimensions[3].hidden = sheet.row_dimensions[4].hidden = True
    sheet.column_dimensions["C"].hidden = True
    book.save(tmp_path / "hidden.xlsx")
    for path in (tmp_path / "hidden.xlsx", convert(tmp_path / "hidden.xlsx", "ods")):
        grid = read_grids(path, ["Lifts"])["Lifts"]
        assert (grid.hidden_rows, grid.hidden_columns) == ({3, 4}, {3}), path.suffix


def test_a_cell_too_far_off_is_named(tmp_path: Path) -> None:
    far = '<table:table-row table:number-rows-repeated="1048575"><table:table-cell/></table:table-row><table:table-row>'
    far += '<table:table-cell table:number-columns-repeated="16383"/>' + number(1) + "</table:table-row>"
    with pytest.raises(BookUnreadable, match=r"Lifts reaches to XFD1048576.*Delete the stray cells"):
        read_grids(ods(tmp_path / "a.ods", far), ["Lifts"])


def test_a_password_is_named(tmp_path: Path) -> None:
    path = ods(tmp_path / "a.ods", "", manifest="<encryption-data/>")
    with pytest.raises(BookUnreadable, match="protected by a password"):
        read_grids(path, ["Lifts"])


def test_broken_content_is_damage(tmp_path: Path) -> None:
    with pytest.raises(BookUnreadable, match="damaged"):
        read_grids(ods(tmp_path / "a.ods", "<table:table-row>"), ["Lifts"])


def test_values_that_libreoffice_saves(tmp_path: Path, convert: Convert) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Lifts"
    values = [
        "head", 1, 2.5, dt.datetime(2031, 4, 2, 7, 30), dt.time(6, 15), dt.timedelta(hours=30), "007", " lead", "a\nb",
        0.123456789012345,
    ]  # fmt: skip
    for column, value in enumerate(values, 2):
        sheet.cell(3, column).value = value
    sheet["A5"], sheet["B5"], sheet["C5"] = "=C3*2", "=1/0", "=NA()"
    sheet.merge_cells("B7:D8")
    sheet["B7"] = "merged"
    book.save(tmp_path / "a.xlsx")
    grid = read_grids(convert(tmp_path / "a.xlsx", "ods"), ["Lifts"])["Lifts"]
    assert grid.rows == [
        [], [], [None, *values], [], [2, "#DIV/0!", "#N/A"], [], [None, "merged"],
    ]  # fmt: skip
    assert (grid.errors, grid.uncached) == ({(5, 2), (5, 3)}, frozenset())
    assert grid.merged == (RangeRef("Lifts", 7, 2, 8, 4),)


@pytest.mark.parametrize("name", [demo.name for demo in DEMOS if demo.name != "faults"])
def test_a_demo_book_saved_as_ods_is_the_same_job(name: str, tmp_path: Path, convert: Convert) -> None:
    """Property: the digest covers every input cell."""
    source = demo_file(next(demo for demo in DEMOS if demo.name == name))
    assert read_book(convert(source, "ods")).digest == read_book(source).digest


def test_commands_on_an_ods(tmp_path: Path, convert: Convert, capsys: pytest.CaptureFixture[str]) -> None:
    book = tmp_path / "book.ods"
    shutil.copy(convert(demo_file(DEMOS[0]), "ods"), book)
    before = book.read_bytes()
    assert main(["verify", str(book)]) == 1
    assert main(["takeoff", str(book), "--to", str(tmp_path / "counts")]) == 1
    assert (tmp_path / "counts" / "bar_counts.csv").stat().st_size > 100
    capsys.readouterr()
    for more in ([], ["--out", str(tmp_path / "out.ods")]):
        assert main(["run", str(book), *more]) == 3
        assert "sheetengine run book.ods --out book.xlsx" in capsys.readouterr().err
    assert not (tmp_path / "out.ods").exists()
    new = tmp_path / "new.xlsx"
    assert main(["run", str(book), "--out", str(new)]) == 1
    assert "values of its sheets" in capsys.readouterr().err
    assert main(["verify", str(new)]) == 1
    assert "the results belong to them" in capsys.readouterr().err
    assert main(["run", str(new)]) == 1
    assert book.read_bytes() == before


def test_a_new_workbook_holds_every_value_and_the_same_results(tmp_path: Path, convert: Convert) -> None:
    """Property: values and addresses are those of the spreadsheet, and the results are those of the demo book itself."""
    source = demo_file(DEMOS[0])
    book = convert(source, "ods")
    results = calculate(read_book(book))
    write_results(book, results, tmp_path / "new.xlsx")
    names = sheet_names(book)
    assert sheet_names(tmp_path / "new.xlsx") == names
    read = {name: read_grids(path, names) for name, path in (("old", book), ("new", tmp_path / "new.xlsx"))}
    for name in names:
        assert read["new"][name].rows == read["old"][name].rows, name
        assert set(read["new"][name].merged) == set(read["old"][name].merged)
    assert read_book(tmp_path / "new.xlsx").digest == read_book(source).digest
    for name, frame in calculate(read_book(source)).frames.items():
        assert frame.equals(results.frames[name]), name


def test_results_that_went_into_an_ods_are_known_as_ours(tmp_path: Path, convert: Convert) -> None:
    """A book with results, saved as .ods and run again: the old results go, the reviewer's initials stay."""
    source = tmp_path / "run.xlsx"
    write_results(demo_file(DEMOS[0]), calculate(read_book(demo_file(DEMOS[0]))), source)
    peer = openpyxl.load_workbook(source)
    flags = peer["Flags"]
    head = next(cell for row in flags.iter_rows() for cell in row if cell.value == "Initials")
    flags.cell(head.row + 1, head.column).value = "ab"
    peer.save(source)
    peer.close()
    book = convert(source, "ods")
    assert not set(sheet_names(book)) & set(RESULT_SHEETS)
    assert main(["verify", str(book)]) == 1
    write_results(book, calculate(read_book(book)), tmp_path / "new.xlsx")
    made = openpyxl.load_workbook(tmp_path / "new.xlsx")
    assert len(set(made.sheetnames)) == len(made.sheetnames) == len(openpyxl.load_workbook(source).sheetnames)
    assert "ab" in [cell.value for row in made["Flags"].iter_rows() for cell in row]


def test_names_and_texts_that_a_workbook_cannot_hold() -> None:
    """Names of at most 31 letters without []:*?/ and a backslash: ECMA-376 part 1, 18.2.19, and common practice."""
    long = "A sheet with a name of forty letters, or more"
    rows: list[list[object]] = [["=1+1", "#DIV/0!", "#DIV/0!", None, "x" * 40_000]]
    grids = [
        Grid("a/b:c", rows, errors=frozenset({(1, 2)})), Grid("A_B_C", []), Grid(long, []), Grid(long + "!", []),
    ]  # fmt: skip
    book = workbook_of(grids)
    assert book.sheetnames == ["a_b_c", "A_B_C 2", long[:31], long[:29] + " 2"]
    sheet = book["a_b_c"]
    assert [cell.data_type for cell in sheet[1]] == ["s", "e", "s", "n", "s"]
    assert len(sheet["E1"].value) == 32_767


def test_an_ods_takes_no_results(tmp_path: Path) -> None:
    book = ods(tmp_path / "a.ods", "")
    with pytest.raises(BookUnwritable, match=r"takes no result sheets.*--out a\.xlsx"):
        check_takes_results(book, book)
    check_takes_results(book, tmp_path / "a.xlsx")


@pytest.mark.parametrize(
    "kind", ['office:value-type="time" office:time-value="PT1H2M3S"', 'table:formula="of:=1+1"']
)
def test_a_cell_repeated_without_end_is_named(tmp_path: Path, kind: str) -> None:
    """What a small file may say of itself must not fill the memory."""
    rows = f'<table:table-row table:number-rows-repeated="1048576"><table:table-cell table:number-columns-repeated="16384" {kind}/></table:table-row>'
    with pytest.raises(BookUnreadable, match="too far to be read"):
        read_grids(ods(tmp_path / "a.ods", rows), ["Lifts"])


def test_a_sheet_too_large_that_nobody_asked_for(tmp_path: Path) -> None:
    """The library reads every sheet of the file, whichever is wanted."""
    rows = f'<table:table-row table:number-rows-repeated="1048576">{number(1, " table:number-columns-repeated=" + chr(34) + "999" + chr(34))}</table:table-row>'
    with pytest.raises(BookUnreadable, match="too far to be read"):
        read_grids(ods(tmp_path / "a.ods", rows), ["Job"])


def test_dates_before_1900(tmp_path: Path) -> None:
    """OpenDocument 1.3 part 3, 19.385: dates are written as ISO 8601, whatever the year."""
    rows = '<table:table-row><table:table-cell office:value-type="date" office:date-value="1850-05-01"><text:p>x</text:p></table:table-cell>'
    rows += '<table:table-cell office:value-type="date" office:date-value="1899-12-30T06:30:00.25"><text:p>x</text:p></table:table-cell></table:table-row>'
    grid = read_grids(ods(tmp_path / "a.ods", rows), ["Lifts"])["Lifts"]
    assert grid.rows == [[dt.datetime(1850, 5, 1), dt.datetime(1899, 12, 30, 6, 30, 0, 250_000)]]
