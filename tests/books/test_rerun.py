"""What the office built on the result sheets is there after the next run: sheets, tables and names stay the same."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from awkward_books import Recipe, build
from awkward_parts import PUT_IN
from package_checks import assert_office_untouched, assert_sound, demand, flags, run
from package_surgery import BOOK, SHEET, Surgery
from packages import parts_of, write_parts

from sheetengine.books.parts import Package, open_package
from sheetengine.books.xml_splice import Document
from sheetengine.content import ColumnLook, SheetContent, TableContent

pytestmark = pytest.mark.filterwarnings("ignore::UserWarning:openpyxl")


def record() -> SheetContent:
    return SheetContent(
        "Run record", "Run record", [], [TableContent("Record", [ColumnLook("Fact")], [["a"]])]
    )


def sheet_numbers(package: Package) -> dict[str, str]:
    sheets = Document(package.read(package.workbook)).root.find("sheets")
    assert sheets is not None
    return {node.get("name"): node.get("sheetId") for node in sheets.children}


def table_numbers(package: Package) -> dict[str, str]:
    found = {}
    for sheet in package.sheets:
        for relation in package.relations(sheet.part):
            if relation.kind == "table":
                root = package.tree(relation.target)
                found[root.get("displayName", "")] = root.get("id", "")
    return found


def local_names(package: Package) -> list[tuple[str, str, str]]:
    """Return name, sheet and text of the names that are local to a sheet."""
    root = Document(package.read(package.workbook)).root
    names = root.find("definedNames")
    return [
        (node.get("name"), package.sheets[int(node.get("localSheetId"))].name, node.text)
        for node in (names.children if names else ())
        if "localSheetId" in node.attributes
    ]


def facts(path: Path) -> tuple[Any, ...]:
    with open_package(path) as package:
        return sheet_numbers(package), table_numbers(package), local_names(package)


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """Return a book with result sheets on which the office built pivot tables, charts, formulas, names and more."""
    recipe = Recipe(
        (
            "formulas to the results",
            "names local and global",
            "charts of every kind",
            "newer conditional formats",
        ),
        (
            "extensions of 2010 that refer to the results",
            "pivot table of the results",
            "query table and connections",
        ),
    )
    first = run(build(recipe, tmp_path))
    surgery = Surgery(parts_of(first))
    PUT_IN["table"](surgery)  # a table with a greater number than ours
    PUT_IN["dialog sheet"](surgery)  # a sheet with a greater number than ours
    names = [sheet.name for sheet in open_names(first)]
    place = str(names.index("Flags"))
    surgery.name("Worst_flag", "Flags!$A$4", localSheetId=place, comment="the office's own")
    surgery.name("All_flags", "Flags!$A$4:$C$5")
    return write_parts(first, surgery.parts)


def open_names(path: Path) -> tuple[Any, ...]:
    with open_package(path) as package:
        return package.sheets


def test_sheets_and_tables_keep_their_numbers(book: Path, tmp_path: Path) -> None:
    sheets, tables, _ = facts(book)
    again = run(book, tmp_path / "again.xlsx", record(), flags(), demand("Near limit"))
    new_sheets, new_tables, _ = facts(again)
    assert {name: new_sheets[name] for name in sheets} == sheets
    assert {name: new_tables[name] for name in tables} == tables
    assert len(set(new_sheets.values())) == len(new_sheets)
    assert len(set(new_tables.values())) == len(new_tables)
    assert int(new_sheets["Run record"]) > max(map(int, sheets.values()))
    assert set(new_tables) - set(tables) == {"Record"}


def test_names_of_the_office_follow_their_sheets(book: Path, tmp_path: Path) -> None:
    before = facts(book)[2]
    assert ("Worst_flag", "Flags", "Flags!$A$4") in before
    again = run(book, tmp_path / "again.xlsx", record(), flags(), demand())
    after = facts(again)[2]
    ours = {"_sheetengine_result", "_xlnm.Print_Area", "_xlnm.Print_Titles"}
    assert [name for name in after if name[0] not in ours] == [name for name in before if name[0] not in ours]
    assert sorted(name for name in after if name[1] != "Run record") == sorted(before)
    assert len({name[:2] for name in after}) == len(after)
    opened = openpyxl.load_workbook(again)
    assert opened.defined_names["All_flags"].attr_text == "Flags!$A$4:$C$5"
    assert opened.defined_names["Worst"].attr_text == "MAX('Anchor demand'!$B$7:$B$99)"


def test_all_that_refers_to_the_results_keeps_every_byte(book: Path, tmp_path: Path) -> None:
    before = parts_of(book)
    again = run(book, tmp_path / "again.xlsx", flags(), demand("Near limit"))
    after = parts_of(again)
    referring = [name for name, content in before.items() if re.search(rb"Flags!|Anchor demand", content)]
    of_the_office = [
        name for name in referring if name in after and re.search(r"sheet1\.|pivot|charts/chart[1-9]\.", name)
    ]
    assert {SHEET, "xl/pivotCache/pivotCacheDefinition92.xml"} <= set(of_the_office)
    assert sum("chart" in name for name in of_the_office) >= 1
    for name in of_the_office:
        assert after[name] == before[name], name
    once = again.read_bytes()
    assert run(again, None, flags(), demand("Near limit")).read_bytes() == once


def test_a_sheet_no_longer_made_takes_the_names_that_were_local_to_it(book: Path, tmp_path: Path) -> None:
    again = run(book, tmp_path / "again.xlsx", demand())
    sheets, _, names = facts(again)
    assert "Flags" not in sheets
    assert not [name for name in names if name[0] == "Worst_flag"]
    assert {name[1] for name in names} <= set(sheets)


def test_a_numbered_name_of_a_table_stays_when_the_plain_one_is_free_again(tmp_path: Path) -> None:
    """The office had a name of its own, so our table got a number; formulas go by that name from then on."""
    book = build(Recipe(), tmp_path)
    surgery = Surgery(parts_of(book))
    surgery.name("Flags", "Lifts!$A$1")
    run(write_parts(book, surgery.parts))
    assert "Flags_2" in facts(book)[1]
    tables = facts(book)[1]
    parts = parts_of(book)
    parts[BOOK] = re.sub(rb'<definedName name="Flags">[^<]*</definedName>', b"", parts[BOOK])
    assert b'"Flags">' not in parts[BOOK]
    run(write_parts(book, parts))
    assert facts(book)[1] == tables


def test_attributes_that_stand_in_other_attributes_are_left(tmp_path: Path) -> None:
    book = build(Recipe(put_in=("names that mislead",)), tmp_path)
    text = """comment='was localSheetId="7" hidden="1" before'"""
    assert text.encode() in parts_of(book)[BOOK]
    first = run(book, tmp_path / "first.xlsx")
    moved = openpyxl.load_workbook(first)
    assert_office_untouched(book, first)
    assert text.encode() in parts_of(first)[BOOK]
    moved.close()
    parts = parts_of(first)  # the office puts our sheets in front
    sheets = re.search(rb"<sheets>(.*?)</sheets>", parts[BOOK])
    assert sheets is not None
    one, *others = re.findall(rb"<sheet [^>]*/>", sheets[1])
    parts[BOOK] = parts[BOOK].replace(sheets[1], b"".join([*others, one]))
    swap = {b"0": b"2", b"1": b"0", b"2": b"1"}
    parts[BOOK] = re.sub(
        rb'(\slocalSheetId=")([012])(")', lambda m: m[1] + swap[m[2]] + m[3], parts[BOOK]
    )  # fmt: skip
    again = run(write_parts(first, parts), tmp_path / "again.xlsx", record(), flags(), demand())
    assert text.encode() in parts_of(again)[BOOK]
    assert ("Misleads", "Lifts", "Lifts!$A$1") in facts(again)[2]


def test_sound_after_the_office_worked_on(book: Path, tmp_path: Path) -> None:
    again = run(book, tmp_path / "again.xlsx")
    assert_sound(again)
