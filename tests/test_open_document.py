"""OpenDocument spreadsheets: read like any book, and never written into."""

from __future__ import annotations

import datetime as dt
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from sheetengine.__main__ import main
from sheetengine.books.reading import check_takes_sheets, read_grids
from sheetengine.cells import RangeRef
from sheetengine.demos import DEMOS, demo_file
from sheetengine.exceptions import BookUnreadable, BookUnwritable
from sheetengine.run import read_book

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
    for more in ([], ["--out", str(tmp_path / "out.xlsx")]):
        assert main(["run", str(book), *more]) == 3
        assert "Save As, Excel workbook (.xlsx)" in capsys.readouterr().err
    assert book.read_bytes() == before
    assert not (tmp_path / "out.xlsx").exists()


def test_an_ods_takes_no_sheets(tmp_path: Path) -> None:
    with pytest.raises(BookUnwritable, match="result sheets cannot be written into it"):
        check_takes_sheets(ods(tmp_path / "a.ods", ""))
