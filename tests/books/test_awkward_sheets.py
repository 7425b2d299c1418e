"""Sheets as other programs write them, and cells that a fast reader could get wrong: each value at its own address."""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import xlsxwriter
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from sheetengine.books.reading import read_grids, sheet_names
from sheetengine.cells import RangeRef, column_letters
from sheetengine.demos import DEMOS, demo_file
from sheetengine.exceptions import BookUnreadable, InputFaults
from sheetengine.grids import Grid
from sheetengine.run import read_book
from sheetengine.sheets.reading import SHEET_NAMES

Convert = Callable[[Path, str], Path]
Cells = Mapping[tuple[int, int], Any]
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
STYLES = (
    f'<styleSheet xmlns="{MAIN}"><numFmts count="1"><numFmt numFmtId="164" formatCode="[h]:mm"/></numFmts>'
    '<cellXfs count="4"><xf numFmtId="0"/><xf numFmtId="22"/><xf numFmtId="164"/><xf numFmtId="20"/></cellXfs></styleSheet>'
)
TEXTS = (
    f'<sst xmlns="{MAIN}"><si><t>plain</t></si><si><r><t>ri</t></r><r><t xml:space="preserve">ch </t></r>'
    '<rPh sb="0" eb="1"><t>SOUND</t></rPh></si><si><t>a_x0009_b&#10;c</t></si></sst>'
)


def book_of(
    path: Path,
    sheet: str | bytes,
    *,
    folder: str = "xl",
    properties: str = "",
    encoding: str = "utf-8",
    texts: str = TEXTS,
) -> Path:
    """Write a book of one sheet, ``Lifts``, with the XML given: the whole part, or its rows alone."""
    whole = sheet
    if isinstance(sheet, str) and sheet.startswith("<row"):
        whole = f'<worksheet xmlns="{MAIN}"><sheetData>{sheet}</sheetData></worksheet>'
    package = "http://schemas.openxmlformats.org/package/2006"

    def relations(*targets: tuple[str, str]) -> str:
        lines = "".join(
            f'<Relationship Id="r{n}" Type="{OFFICE}/{kind}" Target="{target}"/>'
            for n, (kind, target) in enumerate(targets)
        )
        return f'<Relationships xmlns="{package}/relationships">{lines}</Relationships>'

    def declared(xml: str) -> bytes:
        return f'<?xml version="1.0" encoding="{encoding}"?>\n{xml}'.encode(encoding)

    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("[Content_Types].xml", f'<Types xmlns="{package}/content-types"/>')
        archive.writestr("_rels/.rels", declared(relations(("officeDocument", f"{folder}/book.xml"))))
        archive.writestr(
            f"{folder}/book.xml",
            declared(
                f'<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}">{properties}<sheets><sheet name="Lifts" sheetId="9" r:id="r0"/>'
                "</sheets></workbook>"
            ),
        )
        archive.writestr(
            f"{folder}/_rels/book.xml.rels",
            declared(
                relations(
                    ("worksheet", "/data/lifts.xml"), ("styles", "looks.xml"), ("sharedStrings", "words.xml")
                )
            ),
        )
        archive.writestr(f"{folder}/looks.xml", declared(STYLES))
        archive.writestr(f"{folder}/words.xml", declared(texts))
        archive.writestr("data/lifts.xml", declared(whole) if isinstance(whole, str) else whole)
    return path


def read(path: Path) -> Grid:
    return read_grids(path, ["Lifts"])["Lifts"]


def test_parts_in_unusual_places(tmp_path: Path) -> None:
    cells = '<row r="2"><c r="B2" s="1"><v>47941.3125</v></c><c r="C2" t="s"><v>0</v></c></row>'
    grid = read(book_of(tmp_path / "a.xlsx", cells, folder="office/deep"))
    assert grid.rows == [
        [],
        [None, dt.datetime(2031, 4, 3, 7, 30), "plain"],
    ]  # day 47941: by openpyxl as well


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "iso-8859-1"])
@pytest.mark.parametrize("prefix", ["", "x:"])
def test_spellings_of_texts_and_formats(tmp_path: Path, encoding: str, prefix: str) -> None:
    texts = (
        f'<{prefix}sst xmlns{":x" if prefix else ""}="{MAIN}"><!-- office --><{prefix}si><{prefix}t><![CDATA[a<b]]></{prefix}t>'
        f"</{prefix}si><{prefix}si><{prefix}t>é</{prefix}t></{prefix}si></{prefix}sst>"
    )
    cells = '<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>1</v></c><c r="C1" s="3"><v>0.25</v></c></row>'
    grid = read(book_of(tmp_path / "a.xlsx", cells, encoding=encoding, texts=texts))
    assert grid.rows == [["a<b", "é", dt.time(6)]]


def test_rich_phonetic_and_escaped_texts(tmp_path: Path) -> None:
    cells = (
        '<row r="1"><c r="A1" t="s"><v>1</v></c><c r="B1" t="s"><v>2</v></c><c r="C1" t="inlineStr"><is><r><t>in</t></r>'
        '<r><t>line</t></r><rPh sb="0" eb="1"><t>SOUND</t></rPh></is></c><c r="D1" t="str"><f>A1</f><v>007</v></c></row>'
    )
    assert read(book_of(tmp_path / "a.xlsx", cells)).rows == [["rich ", "a\tb\nc", "inline", "007"]]


SPELLINGS = {
    "prefix": f'<x:worksheet xmlns:x="{MAIN}"><x:sheetData><x:row r="3"><x:c r="B3"><x:f>1</x:f></x:c><x:c r="C3" t="e">'
    '<x:v>#N/A</x:v></x:c><x:c r="D3"><x:v>4</x:v></x:c></x:row></x:sheetData><x:mergeCells><x:mergeCell ref="B3:B4"/>'
    "</x:mergeCells></x:worksheet>",
    "comment": f'<worksheet xmlns="{MAIN}"><sheetData><!-- <c r="A1"><f>1</f></c> --><row r="3"><c r="B3"><f><![CDATA['
    '"<v>9</v>"]]></f></c><c r="C3" t="e"><v>#N/A</v></c><c r="D3"><v>4</v></c></row></sheetData><mergeCells>'
    '<mergeCell ref="B3:B4"/></mergeCells></worksheet>',
    "no addresses": f'<worksheet xmlns="{MAIN}"><sheetData><row/><row/><row><c/><c><f>1</f></c><c t="e"><v>#N/A</v></c><c>'
    '<v>4</v></c></row></sheetData><mergeCells><mergeCell ref="B3:B4"/></mergeCells></worksheet>',
    "other order": f"<worksheet xmlns='{MAIN}'><sheetData><row r='3'><c s='0' r='B3'><f>1</f><v/></c><c t='e' r='C3'><v>#N/A"
    "</v></c><c\n r='D3'><v>4</v></c></row></sheetData><mergeCells><mergeCell ref='B3:B4'/></mergeCells></worksheet>",
    "spread out": f'<worksheet xmlns="{MAIN}">\n <sheetData>\n  <row r="3">\n   <c r="B3">\n    <f>1</f>\n   </c>\n   <c r="C3" '
    't="e">\n    <v>#N/A</v>\n   </c>\n   <c r="D3">\n    <v>4</v>\n   </c>\n  </row>\n </sheetData>\n <mergeCells>\n  '
    '<mergeCell ref="B3:B4"/>\n </mergeCells>\n</worksheet>',
}


@pytest.mark.parametrize("spelling", SPELLINGS)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "iso-8859-1"])
def test_spellings_of_the_same_sheet(tmp_path: Path, spelling: str, encoding: str) -> None:
    said = encoding.removesuffix("-sig")
    xml = f'<?xml version="1.0" encoding="{said}"?>\n{SPELLINGS[spelling]}'.encode(encoding)
    grid = read(book_of(tmp_path / "a.xlsx", xml))
    assert grid.rows == [[], [], [None, None, "#N/A", 4]]
    assert grid.uncached == {(3, 2)}
    assert grid.errors == {(3, 3)}
    assert grid.merged == (RangeRef("Lifts", 3, 2, 4, 2),)


FORMULAS = {
    '<c r="A1"><f>1+1</f><v>2</v></c>': False,
    '<c r="A1"><f>1+1</f></c>': True,
    '<c r="A1"><f>1+1</f><v/></c>': True,
    '<c r="A1"><f>1+1</f><v></v></c>': True,
    '<c r="A1" t="str"><f>""</f><v></v></c>': False,
    '<c r="A1" t="str"><f>""</f></c>': True,
    '<c r="A1" s="1"><f t="shared" si="0"/></c>': True,
    '<c r="A1"><f t="shared" si="0"/><v>3</v></c>': False,
    '<c r="A1"><f t="array" ref="A1:A2">ROW(B1:B2)&gt;1</f></c>': True,
    '<c r="A1" t="b"><f t="array" ref="A1:A2">ROW(B1:B2)>1</f><v>0</v></c>': False,
    '<c r="A1"><f ca="1"/><v/></c>': True,
    '<c r="A1" t="e"><f>1/0</f><v>#DIV/0!</v></c>': False,
    '<c r="A1"/>': False,
}


@pytest.mark.parametrize("cell", FORMULAS)
def test_formulas_without_a_stored_value(tmp_path: Path, cell: str) -> None:
    row = f'<row r="1">{cell}<c r="B1"><v>7</v></c></row>'
    grid = read(book_of(tmp_path / "a.xlsx", row))
    assert grid.uncached == ({(1, 1)} if FORMULAS[cell] else set())
    assert grid.value(1, 2) == 7


@pytest.mark.parametrize(
    "error", ["#SPILL!", "#CALC!", "#FIELD!", "#BLOCKED!", "#CONNECT!", "#GETTING_DATA", "#N/A", "#FUTURE!"]
)
def test_error_values_of_any_age(tmp_path: Path, error: str) -> None:
    """The names of the younger ones are common knowledge of spreadsheet programs, no source."""
    row = f'<row r="1"><c r="A1" t="e"><f>B1</f><v>{error}</v></c><c r="B1" t="e"><v>#REF!</v></c><c r="C1"><v>7</v></c></row>'
    grid = read(book_of(tmp_path / "a.xlsx", row))
    assert grid.rows == [[error, "#REF!", 7]]
    assert grid.errors == {(1, 1), (1, 2)}


@pytest.mark.parametrize("from_1904", [False, True])
def test_numbers_that_are_no_dates(tmp_path: Path, from_1904: bool) -> None:
    """Beyond every calendar a number under a date format stays a number, and its neighbours keep their dates."""
    values = ("1e12", "999999999999", "45000.25", "0.25")
    cells = "".join(
        f'<c r="{column_letters(n)}1" s="1"><v>{value}</v></c>' for n, value in enumerate(values, 1)
    )
    cells += '<c r="E1" s="2"><f>A1</f><v>1e12</v></c><c r="F1" s="2"><v>1.5</v></c>'
    properties = '<workbookPr date1904="1"/>' if from_1904 else ""
    grid = read(book_of(tmp_path / "a.xlsx", f'<row r="1">{cells}</row>', properties=properties))
    day = dt.datetime(1904, 1, 1) if from_1904 else dt.datetime(1899, 12, 30)
    assert grid.rows == [
        [1e12, 999999999999, day + dt.timedelta(45000.25), dt.time(6), 1e12, dt.timedelta(hours=36)]
    ]


SERIALS = {
    "1900": {
        "0": dt.time(0), "0.25": dt.time(6), "1": dt.datetime(1900, 1, 1), "59": dt.datetime(1900, 2, 28),
        "59.5": dt.datetime(1900, 2, 28, 12), "60": dt.datetime(1900, 2, 28), "61": dt.datetime(1900, 3, 1),
        "1462": dt.datetime(1904, 1, 1), "36526": dt.datetime(2000, 1, 1), "2958465": dt.datetime(9999, 12, 31),
        "45000.123456789": dt.datetime(2023, 3, 15, 2, 57, 46, 667_000), "-1": -1, "-0.25": -0.25, "2958466": 2958466,
    },
    "1904": {
        "0": dt.time(0), "0.25": dt.time(6), "1": dt.datetime(1904, 1, 2), "59": dt.datetime(1904, 2, 29),
        "60": dt.datetime(1904, 3, 1), "61": dt.datetime(1904, 3, 2), "35064": dt.datetime(2000, 1, 1),
        "2957003": dt.datetime(9999, 12, 31), "-1": -1, "-0.25": -0.25, "2957004": 2957004,
    },
}  # fmt: skip
"""ECMA-376 part 1, 18.17.4.1 (from memory; by openpyxl as well, but for the minus): day 1 is 1900-01-01, and 1900 is taken for a
leap year, so day 60 is no day and is read as the one before; day 0 is 1904-01-01. A day 0 with a format of dates is a time of a
day. Days before the first one and after the year 9999 stay numbers, so that the cell is told as no date."""


@pytest.mark.parametrize("style", [1, 3])
@pytest.mark.parametrize("system", SERIALS)
@pytest.mark.parametrize("formula", ["", "<f>A1</f>"])
def test_days_of_both_date_systems(tmp_path: Path, system: str, style: int, formula: str) -> None:
    cells = "".join(
        f'<row r="{n}"><c r="A{n}" s="{style}">{formula}<v>{serial}</v></c></row>'
        for n, serial in enumerate(SERIALS[system], 1)
    )
    properties = f'<workbookPr date1904="{int(system == "1904")}"/>'
    grid = read(book_of(tmp_path / "a.xlsx", cells, properties=properties))
    assert [row[0] for row in grid.rows] == list(SERIALS[system].values())


def test_minus_days_of_a_duration_are_one(tmp_path: Path) -> None:
    cells = '<row r="1"><c r="A1" s="2"><v>-0.25</v></c><c r="B1"><v>-2</v></c><c r="C1" t="str"><v>-x</v></c></row>'
    assert read(book_of(tmp_path / "a.xlsx", cells)).rows == [[dt.timedelta(hours=-6), -2, "-x"]]


def test_a_date_before_the_first_day_is_a_fault(tmp_path: Path) -> None:
    """A minus under a format of times is shown as #### by the programs, and must not pass for a time of a day."""
    book = openpyxl.load_workbook(demo_file(DEMOS[0]))
    sheet = book["Lifts"]
    places = [
        cell.coordinate for row in sheet.iter_rows() for cell in row if isinstance(cell.value, dt.datetime)
    ][:2]
    sheet[places[0]].value, sheet[places[1]].value = -0.25, -1
    for place in places:
        sheet[place].number_format = "yyyy-mm-dd hh:mm"
    book.save(tmp_path / "a.xlsx")
    with pytest.raises(InputFaults) as told:
        read_book(tmp_path / "a.xlsx")
    found = {fault.at.a1: fault.message for fault in told.value.findings if fault.at is not None}
    assert all("plain number" in found[place] for place in places)


def test_dates_spelled_out(tmp_path: Path) -> None:
    """ECMA-376 part 1, 18.18.11, the type d: ISO 8601; strict writers use it."""
    cells = (
        '<row r="1"><c r="A1" t="d"><v>2031-04-02T07:30:00</v></c><c r="B1" t="d"><v>2031-04-02</v></c></row>'
    )
    assert read(book_of(tmp_path / "a.xlsx", cells)).rows == [
        [dt.datetime(2031, 4, 2, 7, 30), dt.datetime(2031, 4, 2)]
    ]


@pytest.mark.parametrize("said", ["", "A1", "C3:D4", "A1:XFD1048576", "Z99:AA100", "nonsense"])
def test_the_used_range_is_not_believed(tmp_path: Path, said: str) -> None:
    dimension = f'<dimension ref="{said}"/>' if said else ""
    sheet = (
        f'<worksheet xmlns="{MAIN}">{dimension}<sheetData><row r="2" hidden="1"><c r="B2"><v>4</v></c></row>'
        '<row r="6"><c r="E6" t="b"><v>1</v></c></row></sheetData></worksheet>'
    )
    grid = read(book_of(tmp_path / "a.xlsm", sheet))
    assert grid.rows == [[], [None, 4], [], [], [], [None, None, None, None, True]]


@pytest.mark.parametrize("encoding", ["utf-16", "utf-8", "iso-8859-1"])
def test_every_part_in_another_encoding(tmp_path: Path, encoding: str) -> None:
    cells = '<row r="1"><c r="A1" t="s"><v>1</v></c><c r="B1" t="inlineStr"><is><t>é</t></is></c></row>'
    path = book_of(tmp_path / "a.xlsx", cells, encoding=encoding)
    assert read(path).rows == [["rich ", "é"]]
    assert sheet_names(path) == ["Lifts"]


def test_apostrophes_and_texts_that_look_like_numbers(tmp_path: Path) -> None:
    """The mark for text is a format, and no part of the text; an apostrophe that is written stays."""
    path = tmp_path / "a.xlsx"
    book = xlsxwriter.Workbook(path)
    marked = book.add_format({"quote_prefix": True})
    sheet = book.add_worksheet("Lifts")
    texts = ["007", "=1+1", "2031-04-02", "1e5", "TRUE", "#N/A", "'7", "''", " 7 ", "-1", "1,5"]
    for row, text in enumerate(texts):
        sheet.write_string(row, 0, text, marked)
        sheet.write_string(row, 1, text)
    book.close()
    grid = read(path)
    assert grid.rows == [[text, text] for text in texts]
    assert (grid.errors, grid.uncached) == (frozenset(), frozenset())


@pytest.mark.parametrize(
    ("code", "kind"),
    [
        ("yyyy-mm-dd hh:mm", dt.datetime), ("[$-409]d mmm yyyy;@", dt.datetime), ("[Blue]hh:mm", dt.datetime),
        ("[h]:mm", dt.timedelta), ("[mm]:ss", dt.timedelta), ("[Green][h]:mm", dt.timedelta),
        ('0.0" days"', float), ("0.0\\d", float), ("[Red]0.00", float), ("[$Yd-1] 0.0", float), ("0.0_d", float),
        ("General\" m\"", float), ("0.00E+00", float), ('0.0;[Red]-0.0;"dry"', float), ("@", float),
    ],
)  # fmt: skip
def test_formats_that_make_a_date(tmp_path: Path, code: str, kind: type) -> None:
    """Kinds: common practice of spreadsheet programs for these formats."""
    path = tmp_path / "a.xlsx"
    book = xlsxwriter.Workbook(path)
    book.add_worksheet("Lifts").write_number(0, 0, 45000.25, book.add_format({"num_format": code}))
    book.close()
    assert type(read(path).value(1, 1)) is kind


def test_a_table_that_does_not_start_at_a1(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    book = openpyxl.Workbook()
    book.active.title = "Lifts"
    book.active["D7"] = "here"
    book.active["F9"] = 2
    book.save(path)
    grid = read(path)
    assert (grid.value(7, 4), grid.value(9, 6), grid.value(1, 1), len(grid.rows)) == ("here", 2, None, 9)


def test_stray_cells_at_the_far_corner(tmp_path: Path) -> None:
    """The rectangle around the cells has 17 thousand million places; the grid must not be that large."""
    path = tmp_path / "a.xlsx"
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet("Lifts")
    dated = book.add_format({"num_format": "yyyy-mm-dd"})
    for row in range(300):
        for column in range(5):
            sheet.write_number(row + 3, column + 1, row * 10 + column)
    sheet.write_string(1_048_575, 16_383, "stray")
    sheet.write_datetime(1_048_574, 0, dt.datetime(2031, 4, 2), dated)
    sheet.write_formula(0, 16_383, "=1/0", None, "#DIV/0!")
    sheet.write_formula(0, 16_382, "=1+1", None, "")
    sheet.merge_range("B9000:C9001", "merged")
    book.close()
    grid = read(path)
    assert grid.value(1_048_576, 16_384) == "stray"
    assert grid.value(1_048_575, 1) == dt.datetime(2031, 4, 2)
    assert (grid.value(1, 16_384), grid.errors) == ("#DIV/0!", {(1, 16_384)})
    assert grid.merged == (RangeRef("Lifts", 9000, 2, 9001, 3),)
    assert all(
        grid.value(row + 4, column + 2) == row * 10 + column for row in range(300) for column in range(5)
    )
    assert sum(len(row) for row in grid.rows) < 60_000


def test_a_format_on_the_last_row_is_no_value(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet("Lifts")
    sheet.write_number(0, 0, 1.0)
    sheet.write_blank(1_048_575, 16_383, None, book.add_format({"bold": True}))
    sheet.set_row(1_048_575, 30)
    book.close()
    assert read(path).rows == [[1]]


def test_empty_hidden_and_chart_sheets(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    book = xlsxwriter.Workbook(path)
    book.add_worksheet("Job")
    book.add_worksheet("Mixes").write_string(1, 1, "hidden")
    book.get_worksheet_by_name("Mixes").very_hidden()
    book.get_worksheet_by_name("Mixes").write_string(2, 1, "x" * 32_767)
    chart = book.add_chart({"type": "line"})
    chart.add_series({"values": "=Mixes!$A$1:$A$2"})
    book.add_chartsheet("Lifts").set_chart(chart)
    book.close()
    grids = read_grids(path, ["Job", "Mixes", "Lifts"])
    assert (grids["Job"].rows, grids["Lifts"].rows) == ([], [])
    assert grids["Mixes"].rows == [[], [None, "hidden"], [None, "x" * 32_767]]


def test_many_digits_are_a_double(tmp_path: Path) -> None:
    """A cell holds a double, whatever is written: the nearest one is read."""
    cells = '<row r="1"><c r="A1"><v>12345678901234567</v></c><c r="B1"><v>0.1000000000000000055511151231257827</v></c></row>'
    grid = read(book_of(tmp_path / "a.xlsx", cells))
    assert grid.rows == [[float("12345678901234567"), 0.1]]


def test_a_text_that_is_not_there_is_damage(tmp_path: Path) -> None:
    with pytest.raises(BookUnreadable, match="damaged"):
        read(book_of(tmp_path / "a.xlsx", '<row r="1"><c r="A1" t="s"><v>99</v></c></row>'))


@dataclass(frozen=True)
class Formula:
    """A formula cell with the value stored with it, nothing where the writer stores none."""

    stored: object


@dataclass(frozen=True)
class Look:
    """A cell with a format and no value."""


ERRORS = ("#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!")
letters = st.characters(exclude_categories=["Cs", "Cc"], exclude_characters="\ufffe\uffff")
numbers = st.one_of(
    st.integers(-(10**15), 10**15), st.floats(allow_nan=False, allow_infinity=False, width=32)
)
words = st.one_of(
    st.text(letters, min_size=1, max_size=12).filter(lambda text: "_x" not in text),
    st.builds(lambda text, times: text * times, st.sampled_from(["ab\n", "é "]), st.integers(100, 10_000)),
    st.sampled_from(["007", "1e5", " x ", "a\nb", "2031-01-01", "TRUE", "#N/A!", "'7", "=1+1", "-1"]),
)
moments = st.datetimes(dt.datetime(1900, 3, 1), dt.datetime(9990, 1, 1)).map(
    lambda when: when.replace(microsecond=when.microsecond // 1000 * 1000)
)
values = st.one_of(
    st.booleans(),
    numbers,
    words,
    moments,
    st.times().map(lambda when: when.replace(microsecond=0)),
    st.timedeltas(dt.timedelta(0), dt.timedelta(days=9000)).map(lambda long: dt.timedelta(seconds=long // dt.timedelta(seconds=1))),
    st.builds(Formula, st.one_of(st.none(), st.booleans(), numbers, words, st.sampled_from(ERRORS))),
    st.just(Look()),
)  # fmt: skip


def by_openpyxl(cells: Cells, from_1904: bool) -> bytes:
    book = openpyxl.Workbook()
    book.active.title = "Lifts"
    if from_1904:
        book.epoch = CALENDAR_MAC_1904
    for (row, column), value in cells.items():
        cell = book.active.cell(row, column)
        if isinstance(value, Look):
            cell.number_format = "0.00"
        elif isinstance(value, Formula):
            cell.value = "=1+1"  # this writer stores no value with a formula
        else:
            cell.value = value
        if isinstance(value, str):
            cell.data_type = "s"
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def by_xlsxwriter(cells: Cells, from_1904: bool, *, inline: bool = False) -> bytes:
    stream = io.BytesIO()
    book = xlsxwriter.Workbook(stream, {"in_memory": True, "date_1904": from_1904, "constant_memory": inline})
    instants = book.add_format({"num_format": "yyyy-mm-dd hh:mm:ss.000"})
    spans = book.add_format({"num_format": "[h]:mm:ss"})
    sheet = book.add_worksheet("Lifts")
    for (row, column), value in sorted(cells.items()):
        at = (row - 1, column - 1)
        if isinstance(value, str):
            sheet.write_string(*at, value)
        elif isinstance(value, (dt.datetime, dt.time)):
            sheet.write_datetime(*at, value, instants)
        elif isinstance(value, dt.timedelta):
            sheet.write_datetime(*at, value, spans)
        elif isinstance(value, Look):
            sheet.write_blank(*at, None, instants)
        elif isinstance(value, Formula):
            sheet.write_formula(*at, "=1+1", None, "" if value.stored is None else value.stored)
        else:
            sheet.write(*at, value)
    book.close()
    return stream.getvalue()


WRITERS: dict[str, Callable[[Cells, bool], bytes]] = {
    "openpyxl": by_openpyxl,
    "XlsxWriter": by_xlsxwriter,
    "XlsxWriter, texts in line": lambda cells, from_1904: by_xlsxwriter(cells, from_1904, inline=True),
}


@given(
    cells=st.dictionaries(st.tuples(st.integers(1, 60), st.integers(1, 60)), values, min_size=1, max_size=25),
    writer=st.sampled_from(sorted(WRITERS)),
    from_1904=st.booleans(),
)
def test_what_was_written_is_read(
    cells: Cells, writer: str, from_1904: bool, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Property: every value comes back with its kind, at its address, and openpyxl reads the same cells as we do.

    Differences stated: a whole number is ``int`` here, whatever was written; an empty text is no value.
    """
    if from_1904:
        early = dt.datetime(1904, 1, 3)
        cells = {
            place: max(value, early) if isinstance(value, dt.datetime) else value
            for place, value in cells.items()
        }
    path = tmp_path_factory.mktemp("books", numbered=True) / "a.xlsx"
    path.write_bytes(WRITERS[writer](cells, from_1904))
    grid = read(path)
    peer_book = openpyxl.load_workbook(path, data_only=True)
    peer = peer_book.active
    found = {
        (row, column): value
        for row, line in enumerate(grid.rows, 1)
        for column, value in enumerate(line, 1)
        if value is not None
    }
    assert found == {
        (cell.row, cell.column): cell.value
        for row in peer.iter_rows()
        for cell in row
        if cell.value not in (None, "")
    }
    peer_book.close()
    uncached, errors = set(), set()
    for place, written in cells.items():
        value = written
        if isinstance(written, Formula):
            value = None if writer == "openpyxl" else written.stored
            if value is None:
                uncached.add(place)
            elif value in ERRORS:
                errors.add(place)
        if value is None or isinstance(value, Look):
            assert place not in found
            continue
        if isinstance(value, float):
            assert found[place] == pytest.approx(value, rel=1e-14, abs=0.0)
        elif isinstance(value, dt.datetime):
            assert abs(found[place] - value) <= dt.timedelta(milliseconds=1)
        else:
            assert found[place] == value
        assert isinstance(found[place], bool) == isinstance(value, bool)
    assert (grid.uncached, grid.errors, grid.merged) == (uncached, errors, ())


@pytest.mark.parametrize("demo", DEMOS, ids=lambda demo: demo.name)
def test_demo_books_are_read_as_openpyxl_reads_them(demo: Any) -> None:
    peer = openpyxl.load_workbook(demo_file(demo), data_only=True)
    formulas = openpyxl.load_workbook(demo_file(demo))
    for name, grid in read_grids(demo_file(demo), SHEET_NAMES).items():
        sheet = peer[name]
        for cells in sheet.iter_rows():
            for cell in cells:
                assert grid.value(cell.row, cell.column) == (None if cell.value == "" else cell.value), (
                    f"{name}!{cell.coordinate}"
                )
                asked = formulas[name].cell(cell.row, cell.column).data_type == "f" and cell.value is None
                assert ((cell.row, cell.column) in grid.uncached) == asked
        assert {str(ranged.coord) for ranged in sheet.merged_cells.ranges} == {
            ranged.a1 for ranged in grid.merged
        }
        assert len(grid.rows) <= sheet.max_row


def test_a_book_saved_by_libreoffice(tmp_path: Path, convert: Convert) -> None:
    (tmp_path / "a.xlsx").write_bytes(by_xlsxwriter({(3, 2): "007", (3, 3): 2.5, (3, 4): dt.datetime(2031, 4, 2, 7, 30),
        (3, 5): dt.time(6, 15), (3, 6): dt.timedelta(hours=30), (3, 7): True, (4, 2): " x ", (4, 3): "a\nb"}, False))  # fmt: skip
    grid = read(convert(tmp_path / "a.xlsx", "xlsx"))
    assert grid.rows == [
        [], [], [None, "007", 2.5, dt.datetime(2031, 4, 2, 7, 30), dt.time(6, 15), dt.timedelta(hours=30), True],
        [None, " x ", "a\nb"],
    ]  # fmt: skip
