"""Reading of workbook files: values, what stands in formulas, and every way in which a file cannot be read."""

from __future__ import annotations

import datetime as dt
import os
import zipfile
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from packages import strict_form

from sheetengine.books.reading import read_grids
from sheetengine.cells import RangeRef
from sheetengine.exceptions import BookUnreadable


def _book(path: Path, **sheets: list[list[object]]) -> Path:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name.replace("_", " "))
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


def test_values_keep_their_kind_and_place(tmp_path: Path) -> None:
    moment = dt.datetime(2031, 4, 2, 7, 30)
    rows: list[list[object]] = [["Title"], [], [None, "Block", 3, 2.5, True, moment, dt.time(6, 15), " x "]]
    grid = read_grids(_book(tmp_path / "a.xlsx", Form_units=rows), ["Form units"])["Form units"]
    assert grid.value(1, 1) == "Title"
    assert [grid.value(3, column) for column in range(1, 10)] == [
        None, "Block", 3, 2.5, True, moment, dt.time(6, 15), " x ", None,
    ]  # fmt: skip
    assert grid.value(4, 1) is None


def test_names_are_forgiven_case_and_spacing(tmp_path: Path) -> None:
    path = _book(tmp_path / "a.xlsx", **{"form__UNITS": [["x"]]})
    found = read_grids(path, ["Form units", "Lifts"])
    assert list(found) == ["Form units"]
    assert found["Form units"].sheet == "form  UNITS"


def test_exact_name_wins_over_a_near_one(tmp_path: Path) -> None:
    path = _book(tmp_path / "a.xlsx", **{"lifts_": [["near"]], "Lifts": [["exact"]]})
    assert read_grids(path, ["Lifts"])["Lifts"].value(1, 1) == "exact"


def test_two_near_names_are_refused(tmp_path: Path) -> None:
    path = _book(tmp_path / "a.xlsx", **{"lifts_": [["a"]], "_Lifts": [["b"]]})
    with pytest.raises(BookUnreadable, match="could both be Lifts"):
        read_grids(path, ["Lifts"])


def test_formulas_without_cached_value_are_named(tmp_path: Path) -> None:
    path = _book(tmp_path / "a.xlsx", Lifts=[["Height"], ["=1+1"], [2]])
    grid = read_grids(path, ["Lifts"])["Lifts"]
    assert grid.uncached == {(2, 1)}
    assert grid.value(2, 1) is None


def _with_sheet(path: Path, cells: str) -> Path:
    """Replace the sheet data of a one-sheet book, as another program might have written it."""
    source = _book(path.with_name("source.xlsx"), Lifts=[["x"]])
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(path, "w") as new:
        for name in old.namelist():
            content = old.read(name)
            if name == "xl/worksheets/sheet1.xml":
                content = (
                    '<x:worksheet xmlns:x="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
                    f"<x:sheetData>{cells}</x:sheetData></x:worksheet>"
                ).encode()
            new.writestr(name, content)
    return path


def test_cached_values_errors_and_prefixed_names(tmp_path: Path) -> None:
    cells = (
        '<x:row r="2"><x:c r="B2"><x:f>1+1</x:f><x:v>2</x:v></x:c>'
        '<x:c r="C2" t="e"><x:f>1/0</x:f><x:v>#DIV/0!</x:v></x:c>'
        '<x:c r="D2" t="str"><x:f>""</x:f><x:v></x:v></x:c>'
        '<x:c r="E2" t="b"><x:v>0</x:v></x:c>'
        '<x:c r="F2" t="inlineStr"><x:is><x:r><x:t>a</x:t></x:r><x:r><x:t>b</x:t></x:r></x:is></x:c></x:row>'
        "<x:row><x:c><x:v>1E3</x:v></x:c></x:row>"
    )
    grid = read_grids(_with_sheet(tmp_path / "a.xlsx", cells), ["Lifts"])["Lifts"]
    assert [grid.value(2, column) for column in range(2, 7)] == [2, "#DIV/0!", None, False, "ab"]
    assert grid.errors == {(2, 3)}
    assert grid.uncached == frozenset()
    assert grid.value(3, 1) == 1000.0


def test_merged_ranges(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.active.title = "Lifts"
    book.active["B3"] = 1
    book.active.merge_cells("B3:D4")
    book.save(tmp_path / "a.xlsx")
    grid = read_grids(tmp_path / "a.xlsx", ["Lifts"])["Lifts"]
    assert grid.merged == (RangeRef("Lifts", 3, 2, 4, 4),)


def test_dates_of_the_1904_calendar(tmp_path: Path) -> None:
    moment = dt.datetime(2031, 4, 2, 7, 30)
    book = openpyxl.Workbook()
    book.epoch = CALENDAR_MAC_1904
    book.active.title = "Lifts"
    book.active["A1"] = moment
    book.save(tmp_path / "a.xlsx")
    assert read_grids(tmp_path / "a.xlsx", ["Lifts"])["Lifts"].value(1, 1) == moment


def test_text_that_looks_like_a_formula_stays_text(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.active.title = "Lifts"
    book.active["A1"].value = "=1+1"
    book.active["A1"].data_type = "s"
    book.save(tmp_path / "a.xlsx")
    grid = read_grids(tmp_path / "a.xlsx", ["Lifts"])["Lifts"]
    assert (grid.value(1, 1), grid.uncached) == ("=1+1", frozenset())


def test_blank_cells_with_formats_are_no_rows(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.active.title = "Lifts"
    book.active["A1"] = "Height"
    for row in range(2, 400):
        book.active.cell(row, 5).number_format = "0.00"
    book.save(tmp_path / "a.xlsx")
    assert len(read_grids(tmp_path / "a.xlsx", ["Lifts"])["Lifts"].rows) == 1


def test_missing_file_names_the_books_beside_it(tmp_path: Path) -> None:
    _book(tmp_path / "dam.xlsx", Lifts=[["x"]])
    with pytest.raises(BookUnreadable, match=r"no such file.*dam\.xlsx"):
        read_grids(tmp_path / "damm.xlsx", ["Lifts"])


def test_a_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BookUnreadable, match="is a folder"):
        read_grids(tmp_path, ["Lifts"])


OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("a.xlsx", OLE + bytes(500) + "EncryptedPackage".encode("utf-16-le"), "remove the password"),
        ("a.xls", OLE + bytes(500) + "Workbook".encode("utf-16-le"), r"old \.xls kind.*Save it as \.xlsx"),
        ("a.csv", b"Block,Lift\n1,2\n", r"text file.*Save it as \.xlsx"),
        ("a.xls", b"<html><table/></html>", r"Save it as \.xlsx"),
        ("a.xlsx", b"", "empty"),
        ("a.xlsx", b"plain words", "not a workbook"),
        ("a.xlsx", b"PK\x03\x04 cut off", "damaged or only partly copied"),
    ],
)
def test_files_of_other_kinds(tmp_path: Path, name: str, content: bytes, words: str) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(BookUnreadable, match=words):
        read_grids(path, ["Lifts"])


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        (
            {"mimetype": b"application/vnd.oasis.opendocument.text"},
            r"OpenDocument.*no spreadsheet.*Save it as \.xlsx",
        ),
        ({"xl/workbook.bin": b""}, r"\.xlsb.*Save it as \.xlsx"),
        ({"readme.txt": b"x"}, "zip file, but no workbook"),
    ],
)
def test_zips_of_other_kinds(tmp_path: Path, parts: dict[str, bytes], words: str) -> None:
    path = tmp_path / "a.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    with pytest.raises(BookUnreadable, match=words):
        read_grids(path, ["Lifts"])


def test_strict_open_xml_is_read(tmp_path: Path) -> None:
    """ISO/IEC 29500-1 against ECMA-376: other namespaces, texts shared or in line alike."""
    book = xlsxwriter.Workbook(tmp_path / "source.xlsx")
    sheet = book.add_worksheet("Lifts")
    sheet.write_row(0, 0, ["Block", 2.5])
    sheet.write_datetime(1, 0, dt.datetime(2031, 4, 2), book.add_format({"num_format": "yyyy-mm-dd"}))
    book.close()
    path = strict_form(tmp_path / "source.xlsx", tmp_path / "strict.xlsx")
    assert read_grids(path, ["Lifts"])["Lifts"].rows == [["Block", 2.5], [dt.datetime(2031, 4, 2)]]


def test_a_book_cut_short_is_damaged(tmp_path: Path) -> None:
    path = _book(tmp_path / "a.xlsx", Lifts=[["x"] * 30] * 30)
    path.write_bytes(path.read_bytes()[:-400])
    with pytest.raises(BookUnreadable, match="damaged"):
        read_grids(path, ["Lifts"])


def test_a_broken_part_is_damage_not_a_crash(tmp_path: Path) -> None:
    path = _with_sheet(tmp_path / "a.xlsx", '<x:row r="1"><x:c r="A1"><x:v>1</x:v>')
    with pytest.raises(BookUnreadable, match="damaged"):
        read_grids(path, ["Lifts"])


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="permissions do not bind this user")
def test_no_permission(tmp_path: Path) -> None:
    path = _book(tmp_path / "a.xlsx", Lifts=[["x"]])
    path.chmod(0)
    with pytest.raises(BookUnreadable, match="may not be read"):
        read_grids(path, ["Lifts"])
