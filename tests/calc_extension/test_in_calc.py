"""The extension in a real LibreOffice: what a crew sees after each command."""

from __future__ import annotations

import json
import math
import shutil
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import openpyxl
import pandas as pd
import pytest
from builders import grids, pile
from fewer_blocks import demo_of_blocks

from sheetengine import InputFaults, calculate, read_book
from sheetengine.demos import DEMOS, demo_file
from sheetengine.run import EPOCH
from sheetengine.sheets.results import NO_RESISTANCE, RESULT_SHEETS

XLSX, ODS = "Calc MS Excel 2007 XML", "calc8"


def demo(name: str, folder: Path) -> Path:
    source = demo_file(next(demo for demo in DEMOS if demo.name == name))
    return Path(shutil.copy(source, folder / source.name))


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """A book of two lifts with flags."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, grid in grids(lifts=pile(2)).items():
        sheet = book.create_sheet(name)
        for row in grid.rows if grid else ():
            sheet.append(list(row))
    book.save(tmp_path / "small.xlsx")
    return tmp_path / "small.xlsx"


def cell_of(book: Path, sheet: str, heading: str, row: int = 0) -> str:
    """Return the cell of an input row under a heading."""
    cells = openpyxl.load_workbook(book)[sheet]
    for line in cells.iter_rows():
        for cell in line:
            if str(cell.value).split(" [")[0] == heading:
                return f"{cell.column_letter}{cell.row + 1 + row}"
    raise KeyError(heading)


def table_of(rows: Sequence[Sequence[Any]], first: str) -> tuple[list[str], list[list[Any]]]:
    """Return headings and rows of the table whose first heading is given."""
    head = next(place for place, row in enumerate(rows) if row[0] == first)
    width = next((column for column, word in enumerate(rows[head]) if word == ""), len(rows[head]))
    body = []
    for row in rows[head + 1 :]:
        if row[0] == "":
            break
        body.append(list(row[:width]))
    return list(rows[head][:width]), body


def same(shown: Any, wanted: Any) -> bool:
    """Return whether a cell shows a value of a result frame."""
    if isinstance(wanted, pd.Timestamp):
        days = (wanted.to_datetime64() - EPOCH).astype(float) / 86400.0
        return math.isclose(shown, days, abs_tol=1e-5)
    if wanted is None or wanted is pd.NaT or (isinstance(wanted, float) and math.isnan(wanted)):
        return bool(shown == "")
    if isinstance(wanted, float) and math.isinf(wanted):
        return shown in (NO_RESISTANCE, "any")
    if isinstance(wanted, (bool, str)):
        return str(shown) == str(wanted)
    return math.isclose(float(shown), float(wanted), rel_tol=1e-9, abs_tol=1e-12)


def test_an_unsaved_edit_is_computed_and_every_result_comes_back(office: Any, tmp_path: Path) -> None:
    book = demo_of_blocks("gravity-dam", tmp_path, "M7")
    before = book.read_bytes()
    place = cell_of(book, "Lifts", "Concrete temperature")
    edited = openpyxl.load_workbook(book)
    assert edited["Lifts"][place].value != 6.5
    edited["Lifts"][place].value = 6.5
    edited.save(tmp_path / "edited.xlsx")
    wanted = calculate(read_book(tmp_path / "edited.xlsx"))

    office("open", str(book))
    office("set", "Lifts", place, 6.5)
    office("select", "Lifts", place)
    view = office("view")
    good, words = office("dispatch", "run")
    assert good, words
    assert "not saved yet" in words
    for sheet in ("Pressures", "Anchor demand", "Strength ready", "Programme", "Embed counts", "Bar counts"):
        frame = wanted.frames[sheet]
        headings, rows = table_of(office("rows", sheet), str(frame.columns[0]))
        assert headings == [str(heading) for heading in frame.columns], sheet
        assert len(rows) == len(frame)
        for row, values in zip(rows, frame.itertuples(index=False), strict=True):
            for heading, shown, value in zip(headings, row, values, strict=True):
                assert same(shown, value), (sheet, heading, shown, value)
    _, flags = table_of(office("rows", "Flags"), "Flag")
    assert [row[0] for row in flags] == [finding.identifier for finding in wanted.findings]
    record = dict(row[:2] for row in office("rows", "Run record") if row[0])
    assert record["Digest of the inputs"] == wanted.digest
    assert office("view") == view
    assert office("modified")
    assert book.read_bytes() == before


def test_the_sheets_look_as_in_the_book_that_the_engine_writes(office: Any, tmp_path: Path) -> None:
    """After a first and after a second run: charts on their cells, formats, notes, page set-up, widths, heights."""
    from sheetengine import write_results

    book = demo("gravity-dam", tmp_path)
    write_results(book, calculate(read_book(book)), tmp_path / "written.xlsx")
    office("open", str(tmp_path / "written.xlsx"))
    wanted = {name: office("looks", name) for name in RESULT_SHEETS}
    tables = office("tables")
    # pressure, strength, ratios, and one each of the board, the fit and the sensitivity; two each of strongbacks and filling
    assert sum(len(looks["charts"]) for looks in wanted.values()) == 3 + 3 + 2 + 2
    office("close_all")
    office("open", str(book))
    for _ in range(2):
        good, words = office("dispatch", "run")
        assert good, words
        for name in RESULT_SHEETS:
            shown = office("looks", name)
            for key, value in shown.items():
                assert value == wanted[name][key], (name, key)
        assert office("tables") == tables


def test_a_second_run_keeps_initials_own_formulas_and_places(office: Any, small: Path) -> None:
    office("open", str(small))
    office("add_sheet", "Own", 0)
    assert office("dispatch", "run")[0]
    assert office("sheets")[0] == "Own"
    assert tuple(office("sheets")[-len(RESULT_SHEETS) :]) == RESULT_SHEETS
    rows = office("rows", "Flags")
    head = next(place for place, row in enumerate(rows) if row[0] == "Flag")
    initials, remark = (
        f"{chr(ord('A') + rows[head].index(name))}{head + 2}" for name in ("Initials", "Remark")
    )
    office("set", "Flags", initials, "JD")
    office("set", "Flags", remark, "seen on the drawing")
    office("set", "Own", "A1", f"=$Flags.A{head + 2}")
    office("set", "Own", "A2", "=COUNTA($'Anchor demand'.A1:A400)")
    office("set", "Own", "A3", "=VLOOKUP($Flags.A1;$Flags.A1:$Flags.M400;1;0)")
    shown = [office("get", "Own", cell) for cell in ("A1", "A2", "A3")]
    assert shown[0][1] == rows[head + 1][0]
    assert shown[2][1] == "Flags"
    order = office("sheets")
    assert office("dispatch", "run")[0]
    assert office("sheets") == order
    assert [office("get", "Own", cell) for cell in ("A1", "A2", "A3")] == shown
    assert office("get", "Flags", initials)[1] == "JD"
    assert office("get", "Flags", remark)[1] == "seen on the drawing"
    _, words = office("dispatch", "verify")
    assert "results belong to them" in words


def test_an_open_document_file_is_run_saved_and_run_again(office: Any, small: Path, tmp_path: Path) -> None:
    office("open", str(small))
    office("store", str(tmp_path / "book.ods"), ODS)
    office("close_all")
    office("open", str(tmp_path / "book.ods"))
    assert office("dispatch", "run")[0]
    order = office("sheets")
    rows = office("rows", "Flags")
    head = next(place for place, row in enumerate(rows) if row[0] == "Flag")
    initials = f"{chr(ord('A') + rows[head].index('Initials'))}{head + 2}"
    office("set", "Flags", initials, "QS")
    office("store", str(tmp_path / "again.ods"), ODS)
    office("close_all")
    office("open", str(tmp_path / "again.ods"))
    good, words = office("dispatch", "run")
    assert good, words
    assert office("sheets") == order
    assert office("get", "Flags", initials)[1] == "QS"
    office("store", str(tmp_path / "back.xlsx"), XLSX)
    assert calculate(read_book(tmp_path / "back.xlsx")).digest == calculate(read_book(small)).digest


def test_faults_are_listed_on_a_sheet_until_the_inputs_are_usable(office: Any, small: Path) -> None:
    place = cell_of(small, "Lifts", "Height")
    office("open", str(small))
    height = float(office("get", "Lifts", place)[1])
    office("set", "Lifts", place, "high")
    good, words = office("dispatch", "run")
    assert not good
    assert words.startswith("The inputs cannot be used: 1 fault.")
    assert f"Lifts {place}" in words
    rows = office("rows", "Input faults")
    assert [row[0] for row in rows[4:]] == ["Where", f"Lifts!{place}"]
    assert office("links", "Input faults", "A6") == [f"#Lifts.{place}"]
    assert "Flags" not in office("sheets")
    office("set", "Lifts", place, height)
    assert office("dispatch", "run")[0]
    assert "Input faults" not in office("sheets")


def test_every_fault_of_a_book_full_of_them_is_listed(office: Any, tmp_path: Path) -> None:
    book = demo("faults", tmp_path)
    office("open", str(book))
    office(
        "store", str(tmp_path / "stored.xlsx"), XLSX
    )  # Calc has computed the formulas that had no stored value
    with pytest.raises(InputFaults) as caught:
        read_book(tmp_path / "stored.xlsx")
    assert len(caught.value.findings) > 30
    assert not office("dispatch", "run")[0]
    rows = office("rows", "Input faults")[5:]
    wanted = [(str(finding.at), finding.message, finding.clears) for finding in caught.value.findings]
    assert [tuple(row[:3]) for row in rows] == wanted


def test_a_sheet_of_the_users_own_is_never_replaced(office: Any, small: Path) -> None:
    office("open", str(small))
    office("add_sheet", "Flags", 0)
    office("set", "Flags", "A1", "mine")
    before = office("sheets")
    good, words = office("dispatch", "run")
    assert not good
    assert 'sheet "Flags" that this engine did not write' in words
    assert words.startswith("The book has")
    assert office("sheets") == before
    assert office("get", "Flags", "A1")[1] == "mine"


def test_checking_tells_the_state_and_changes_nothing(office: Any, small: Path) -> None:
    place = cell_of(small, "Lifts", "Height")
    office("open", str(small))
    assert "holds no results yet" in office("dispatch", "verify")[1]
    assert not office("modified")
    assert office("dispatch", "run")[0]
    assert "results belong to them" in office("dispatch", "verify")[1]
    office("set", "Lifts", place, float(office("get", "Lifts", place)[1]) + 0.1)
    good, words = office("dispatch", "verify")
    assert not good
    assert "have changed since" in words


def test_the_next_flag_without_initials_is_gone_to(office: Any, small: Path) -> None:
    office("open", str(small))
    assert "No flag without initials" in office("dispatch", "next")[1]
    assert office("dispatch", "run")[0]
    headings, flags = table_of(office("rows", "Flags"), "Flag")
    cells = [str(row[headings.index("Cell")]) for row in flags]
    for place in (0, 1):
        good, words = office("dispatch", "next")
        assert good
        assert words.startswith(f"Flag {flags[place][0]} ({place + 1} of {len(flags)}")
        sheet, _, a1 = cells[place].partition("!")
        assert office("view")[0] == sheet
        assert office("view")[1].replace("$", "").endswith("." + (a1 or "A1"))


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"python": "/no/such/python"}, "The engine was not found"),
        ({"home": "/no/such/folder", "python": "bare"}, "no longer has the engine"),
        ({"patience": 0.01}, "gave no answer within 0.01 s"),
    ],
)
def test_without_a_working_engine_the_user_is_told_what_to_do(
    office: Any, small: Path, tmp_path: Path, change: dict[str, Any], says: str
) -> None:
    settings = json.loads(office.settings.read_text(encoding="utf-8"))
    if change.get("python") == "bare":
        import venv

        venv.create(tmp_path / "bare", with_pip=False)
        scripts = "Scripts/python.exe" if sys.platform == "win32" else "bin/python"
        change = change | {"python": str(tmp_path / "bare" / scripts)}
    office.settings.write_text(json.dumps(settings | change), encoding="utf-8")
    office("open", str(small))
    before = office("sheets")
    good, words = office("dispatch", "run")
    assert not good
    assert says in words
    assert "Traceback" not in words
    assert office("sheets") == before
    assert not office("modified")


def test_numbers_are_compared_and_not_waved_through() -> None:
    assert not same(1.0, 1.001)
    assert not same("Within", "Exceeds")
    assert not same("1", math.nan)
    assert same(1.0, 1.0 + 1e-12)
