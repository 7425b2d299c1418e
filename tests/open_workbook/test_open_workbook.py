"""The calculation in an open workbook, through xlwings' own object model: the same answers as from the file."""

from __future__ import annotations

import ast
import datetime as dt
import shutil
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import xlwings
from builders import grids, pile
from hypothesis import given
from hypothesis import strategies as st
from open_workbook import memory_engine
from open_workbook.memory_engine import open_book
from openpyxl.utils import range_boundaries
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from sheetengine import BookUnwritable, Code, InputFaults, calculate, read_book, write_results
from sheetengine.__main__ import main
from sheetengine.books.open_reading import read_open_grids
from sheetengine.books.open_writing import boxes_of
from sheetengine.books.reading import read_grids
from sheetengine.books.render import NO_CHARTS
from sheetengine.demos import DEMOS, demo_file, demo_named
from sheetengine.grids import Grid
from sheetengine.open_workbook import run_caller, run_open
from sheetengine.sheets.faults import FAULT_SHEET
from sheetengine.sheets.reading import SHEET_NAMES
from sheetengine.sheets.results import RESULT_SHEETS

MOMENT = dt.datetime(2031, 5, 1, 12, 30)
OF_THE_BASE = {"max_cells_per_read", "max_cells_per_write", "engine"}
"""What xlwings' base classes do themselves."""
SOUND = [demo for demo in DEMOS if demo.name != "faults"]
sound_demos = pytest.mark.parametrize("demo", SOUND, ids=[demo.name for demo in SOUND])


def write(path: Path, from_1904: bool = False, **changes: Any) -> Path:
    """Write a small book from grids."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    if from_1904:
        book.epoch = CALENDAR_MAC_1904
    for name, grid in grids(**changes).items():
        sheet = book.create_sheet(name)
        for row in grid.rows if grid else ():
            sheet.append(list(row))
        for cell in (cell for row in sheet.iter_rows() for cell in row if cell.data_type == "f"):
            cell.data_type = "s"
    book.save(path)
    return path


@pytest.fixture
def small(tmp_path: Path) -> Path:
    return write(tmp_path / "small.xlsx", lifts=pile(3))


def beneath(book: xlwings.Book) -> Any:
    """Return the workbook in memory that stands for the open one."""
    return book.impl.file


def colour(entry: Any) -> str | None:
    return entry.rgb[-6:] if entry is not None and isinstance(entry.rgb, str) else None


def looks(sheet: Any) -> dict[str, tuple[Any, ...]]:
    """Return what stands in a sheet, cell by cell: value, number format, letters, fill, place, link, note."""
    found = {}
    right = max((range_boundaries(table.ref)[2] for table in sheet.tables.values()), default=1)
    for cell in (cell for row in sheet.iter_rows(max_col=right) for cell in row):
        if cell.value is None and not cell.border.bottom.style and not cell.fill.fill_type:
            continue
        value, link = cell.value, cell.hyperlink.location if cell.hyperlink else None
        bold, ink = cell.font.b, colour(cell.font.color)
        if isinstance(value, str) and value.startswith("The charts stand right"):
            value, link, ink = NO_CHARTS, None, "5A5666"
        if isinstance(value, float):
            value = float(f"{value:.16g}")  # as many digits as the file holds
        fill = colour(cell.fill.fgColor) if cell.fill.fill_type else None
        place = cell.alignment
        found[cell.coordinate] = (
            value, cell.data_type, cell.number_format, bool(bold), ink, fill, place.horizontal, place.vertical, link,
            cell.comment.text if cell.comment else None, cell.border.bottom.style,
        )  # fmt: skip
    return found


def tables(sheet: Any) -> dict[str, str]:
    return {table.name: table.ref for table in sheet.tables.values()}


def from_file(book: Path) -> Any:
    """Return the workbook that the file route makes of a copy of the book."""
    copy = book.with_name(f"file_{book.name}")
    shutil.copyfile(book, copy)
    write_results(copy, calculate(read_book(copy)), moment=MOMENT)
    return openpyxl.load_workbook(copy)


def conditions(sheet: Any) -> list[tuple[Any, ...]]:
    """Return the conditional formats in the order in which they hold."""
    rules = [(entry, rule) for entry in sheet.conditional_formatting for rule in entry.rules]
    rules.sort(key=lambda pair: pair[1].priority)
    return [(str(entry.sqref), rule.formula, colour(rule.dxf.fill.bgColor)) for entry, rule in rules]


def assert_same(opened: Any, file: Any, but: tuple[str, ...] = ()) -> None:
    for name in set(RESULT_SHEETS).difference(but):
        one, other = opened[name], file[name]
        mine, theirs = looks(one), looks(other)
        different = {key: (mine.get(key), theirs.get(key)) for key in mine.keys() | theirs.keys()}
        different = {key: pair for key, pair in different.items() if pair[0] != pair[1]}
        assert different == {}, name
        assert tables(one) == tables(other)
        assert one.merged_cells.ranges == other.merged_cells.ranges
        assert conditions(one) == conditions(other)
        widths = {key: round(entry.width, 2) for key, entry in one.column_dimensions.items()}
        assert widths == {key: round(entry.width, 2) for key, entry in other.column_dimensions.items()}


def place_of(sheet: Any, text: str) -> tuple[int, int]:
    return next((cell.row, cell.column) for row in sheet.iter_rows() for cell in row if cell.value == text)


@sound_demos
def test_results_are_those_of_the_file_route_cell_by_cell(demo: Any, tmp_path: Path) -> None:
    path = tmp_path / "demo.xlsx"
    shutil.copyfile(demo_file(demo), path)
    before = path.read_bytes()
    book = open_book(path)
    run_open(book, moment=MOMENT)
    assert path.read_bytes() == before  # nothing is saved
    file = from_file(path)
    assert_same(beneath(book), file)
    assert book.sheet_names == file.sheetnames
    run_open(book, moment=MOMENT)
    assert_same(beneath(book), file)  # a second run changes nothing


@sound_demos
def test_the_open_workbook_reads_as_the_file_does(demo: Any) -> None:
    file, opened = (
        read_grids(demo_file(demo), SHEET_NAMES),
        read_open_grids(open_book(demo_file(demo)), SHEET_NAMES),
    )
    for name, grid in file.items():
        blank = [list(row) for row in grid.rows]
        for row in blank:
            while row and row[-1] is None:
                row.pop()
        assert [list(row) for row in opened[name].rows] == blank[: len(opened[name].rows)]
        assert (opened[name].merged, opened[name].errors) == (grid.merged, grid.errors)


def test_results_written_by_the_file_route_are_replaced_in_their_places(tmp_path: Path) -> None:
    path = tmp_path / "run.xlsx"
    shutil.copyfile(demo_file(demo_named("gravity-dam")), path)
    write_results(path, calculate(read_book(path)), moment=MOMENT)
    book = open_book(path)
    sheets = dict(zip(book.sheet_names, beneath(book).worksheets, strict=True))
    assert beneath(book)["Pressures"]._charts
    run_open(book, moment=MOMENT)
    assert_same(beneath(book), from_file(path))
    assert all(
        beneath(book)[name] is sheet for name, sheet in sheets.items()
    )  # so formulas that point there live on
    assert not any(sheet._charts for sheet in beneath(book).worksheets if sheet.title in RESULT_SHEETS)


def test_edits_that_are_not_saved_are_computed(small: Path) -> None:
    book = open_book(small)
    lifts = book.sheets["Lifts"]
    row, column = place_of(beneath(book)["Lifts"], "Height [m]")
    lifts.range((row + 1, column)).value = 2.25
    results = run_open(book, moment=MOMENT)
    edited = openpyxl.load_workbook(small)
    edited["Lifts"].cell(row + 1, column).value = 2.25
    edited.save(small.with_name("edited.xlsx"))
    assert results.digest == read_book(small.with_name("edited.xlsx")).digest != read_book(small).digest
    assert_same(beneath(book), from_file(small.with_name("edited.xlsx")))


@pytest.mark.parametrize("count", [1, 6])
def test_fewer_and_more_rows_leave_nothing_of_the_run_before(count: int, small: Path) -> None:
    book = open_book(small)
    run_open(book, moment=MOMENT)
    other = write(small.with_name("other.xlsx"), lifts=pile(count))
    sheet = beneath(book)["Lifts"]
    sheet.delete_rows(1, sheet.max_row)
    for row in openpyxl.load_workbook(other)["Lifts"].iter_rows():
        for cell in row:
            sheet.cell(cell.row, cell.column, cell.value).number_format = cell.number_format
    run_open(book, moment=MOMENT)
    assert_same(beneath(book), from_file(other), but=("Flag history",))  # the other had no flags to clear


def test_a_second_run_carries_initials_and_remarks(small: Path) -> None:
    book = open_book(small)
    run_open(book, moment=MOMENT)
    flags = beneath(book)["Flags"]
    row, column = place_of(flags, "Initials")
    _, remark = place_of(flags, "Remark")
    name = flags.cell(row + 1, place_of(flags, "Flag")[1]).value
    book.sheets["Flags"].range((row + 1, column)).value = "AB"
    book.sheets["Flags"].range((row + 1, remark)).value = "'=seen"
    run_open(book, moment=MOMENT)
    row, _ = place_of(flags, name)
    assert (flags.cell(row, column).value, flags.cell(row, remark).value) == ("AB", "=seen")
    assert flags.cell(row, remark).data_type == "s"


def test_a_book_saved_after_a_run_holds_results_that_belong_to_its_inputs(
    small: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = open_book(small)
    run_open(book, moment=MOMENT)
    saved = small.with_name("saved.xlsx")
    beneath(book).save(saved)
    main(["verify", str(saved)])
    assert "the results belong to them" in capsys.readouterr().err
    write_results(
        saved, calculate(read_book(saved)), moment=MOMENT
    )  # the file route knows the sheets for its own
    assert_same(beneath(book), openpyxl.load_workbook(saved))


def test_texts_stay_texts(tmp_path: Path) -> None:
    """property: what a program takes for a formula, a number, a date or a truth value goes in and comes out as a text."""
    texts = ("=1+1", "007", "2031-04", "1-2", "TRUE", "'quoted", "-A", "@x", "1e5")
    lifts = [dict(lift, Block=text) for text in texts for lift in pile(2)]
    path = write(tmp_path / "texts.xlsx", lifts=lifts, job={"Project": "=1+1"})
    book = open_book(path)
    run_open(book, moment=MOMENT)
    sheet = beneath(book)["Pressures"]
    row, column = place_of(sheet, "Block")
    written = [sheet.cell(row + 1 + place, column) for place in range(len(lifts))]
    assert [cell.value for cell in written] == [lift["Block"] for lift in lifts]
    assert {cell.data_type for cell in written} == {"s"}
    assert_same(beneath(book), from_file(path))


def test_faults_are_listed_by_sheet_and_cell_and_nothing_else_changes(tmp_path: Path) -> None:
    path = demo_file(demo_named("faults"))
    book = open_book(path)
    before = {name: looks(beneath(book)[name]) for name in book.sheet_names}
    with pytest.raises(InputFaults) as opened:
        run_open(book, moment=MOMENT)
    with pytest.raises(InputFaults) as file:
        read_book(path)
    # a formula without a stored value is a fault of files only: an open workbook has calculated it
    waiting = {f.at for f in file.value.findings if f.code is Code.NOT_RECALCULATED}
    faults = [f for f in file.value.findings if f.at not in waiting]
    assert len(waiting) == 1
    assert [str(f) for f in opened.value.findings if f.at not in waiting] == [str(f) for f in faults]
    sheet = beneath(book)[FAULT_SHEET]
    assert book.sheet_names == [*before, FAULT_SHEET]
    assert {name: looks(beneath(book)[name]) for name in before} == before
    row, where = place_of(sheet, "Where")
    _, finding = place_of(sheet, "Finding")
    listed = {
        (sheet.cell(r, where).value, sheet.cell(r, finding).value) for r in range(row + 1, sheet.max_row + 1)
    }
    assert listed == {(str(f.at), f.message) for f in opened.value.findings}
    assert sheet.cell(row + 1, where).hyperlink.location


def test_the_sheet_of_faults_is_emptied_when_they_are_mended_and_goes_with_a_run_of_the_file(
    small: Path,
) -> None:
    book = open_book(small)
    row, column = place_of(beneath(book)["Lifts"], "Height [m]")
    cell = book.sheets["Lifts"].range((row + 1, column))
    good = cell.value
    cell.value = "high"
    with pytest.raises(InputFaults):
        run_open(book, moment=MOMENT)
    cell.value = good
    run_open(book, moment=MOMENT)
    words = [cell.value for row in beneath(book)[FAULT_SHEET].iter_rows() for cell in row if cell.value]
    assert any("could be used" in str(word) for word in words)
    assert not any("high" in str(word) for word in words)
    saved = small.with_name("saved.xlsx")
    beneath(book).save(saved)
    write_results(saved, calculate(read_book(saved)))
    assert FAULT_SHEET not in openpyxl.load_workbook(saved).sheetnames


def test_a_sheet_of_the_office_under_one_of_our_names_is_left(small: Path) -> None:
    book = open_book(small)
    own = beneath(book).create_sheet("flags")
    own["A1"] = "ours"
    before = list(book.sheet_names)
    with pytest.raises(BookUnwritable, match='"flags" that this engine did not write'):
        run_open(book)
    assert (own["A1"].value, book.sheet_names) == ("ours", before)
    book.set_mock_caller()
    run_caller()
    (alert,) = book.app.impl.alerts
    assert "Rename that sheet" in alert


def state(book: xlwings.Book) -> tuple[Any, ...]:
    app = book.app
    return (
        app.screen_updating, app.enable_events, app.calculation, app.status_bar, book.sheets.active.name,
        app.selection.address,
    )  # fmt: skip


@pytest.mark.parametrize("fails", [set(), {"write"}, {"add sheet"}], ids=["", "write", "add sheet"])
def test_the_program_is_given_back_as_it_was(fails: set[str], small: Path) -> None:
    book = open_book(small)
    book.sheets["Mixes"].activate()
    book.sheets["Mixes"].range("C3:D4").select()
    book.app.calculation = "semiautomatic"
    book.app.status_bar = "Running..."
    before = state(book)
    app = book.app.impl
    app.history.clear()
    app.fails = fails
    if fails:
        with pytest.raises(RuntimeError):
            run_open(book)
    else:
        run_open(book)
    assert state(book) == before
    told = [value for name, value in app.history if name == "status_bar"]
    assert [text.split(": ")[1] for text in told[:-1]] == [
        "read the book …",
        "compute …",
        "write the result sheets …",
    ]
    assert ("screen_updating", False) in app.history


def test_a_failure_is_told_in_a_message_with_its_details_in_a_file(
    small: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    book = open_book(small)
    book.set_mock_caller()
    book.app.impl.fails = {"write"}
    run_caller()
    (alert,) = book.app.impl.alerts
    assert "Traceback" not in alert
    assert "run again" in alert
    (details,) = tmp_path.glob("sheetengine-*.txt")
    assert str(details) in alert
    assert "Traceback" in details.read_text(encoding="utf-8")
    book.app.impl.fails = {"write", "alert"}
    with pytest.raises(SystemExit, match="The run broke off"):
        run_caller()


def test_without_a_caller_the_message_says_how_to_start(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    monkeypatch.delattr(xlwings.Book, "_mock_caller", raising=False)
    with pytest.raises(SystemExit, match="Press the run button"):
        run_caller()


def test_faults_are_told_in_a_short_message(small: Path) -> None:
    book = open_book(small)
    row, column = place_of(beneath(book)["Lifts"], "Height [m]")
    for offset in (1, 2, 3):
        book.sheets["Lifts"].range((row + offset, column)).value = "high"
    book.app.impl.alerts.clear()
    book.set_mock_caller()
    run_caller()
    (alert,) = book.app.impl.alerts
    assert alert.startswith(f"The inputs cannot be used: 3 faults, listed in the sheet {FAULT_SHEET}.")
    assert f"Lifts!{beneath(book)['Lifts'].cell(row + 1, column).coordinate}" in alert


def with_cells(path: Path, change: Callable[[Any], None]) -> Path:
    """Change cells of the sheet ``Lifts`` and save."""
    book = openpyxl.load_workbook(path)
    change(book["Lifts"])
    book.save(path)
    return path


@pytest.mark.parametrize("error", ["#DIV/0!", "#N/A", "#VALUE!", "#SPILL!"])
def test_error_values_are_faults_as_in_the_file_and_never_blanks(error: str, small: Path) -> None:
    def change(sheet: Any) -> None:
        row, column = place_of(sheet, "Height [m]")
        sheet.cell(row + 1, column).value = error
        sheet.cell(row + 1, column).data_type = "e"
        sheet.cell(row + 2, column).value = error
        sheet.cell(row + 2, column).data_type = "s"  # the same letters, typed as a text

    with_cells(small, change)
    with pytest.raises(InputFaults) as file:
        read_book(small)
    with pytest.raises(InputFaults) as opened:
        run_open(open_book(small))
    codes = [(finding.code, str(finding.at)) for finding in opened.value.findings]
    assert codes == [(finding.code, str(finding.at)) for finding in file.value.findings]
    assert [code.name for code, _ in codes] == ["CELL_ERROR", "NOT_A_NUMBER"]


@pytest.mark.parametrize("from_1904", [False, True])
def test_dates_are_those_of_the_file_whatever_day_the_book_counts_from(
    from_1904: bool, tmp_path: Path
) -> None:
    lifts = pile(2)
    path = write(tmp_path / "dates.xlsx", from_1904, lifts=lifts)
    file = read_grids(path, ["Lifts"])["Lifts"]
    book = open_book(path)
    assert beneath(book).epoch.year == (1904 if from_1904 else 1899)
    opened = read_open_grids(book, ["Lifts"])["Lifts"]
    assert opened.rows == file.rows
    assert any(isinstance(value, dt.datetime) for row in opened.rows for value in row)
    assert run_open(book, moment=MOMENT).digest == read_book(path).digest
    assert_same(beneath(book), from_file(path))


def test_a_time_of_day_and_a_duration_are_no_dates(small: Path) -> None:
    def change(sheet: Any) -> None:
        dates = [
            cell.column for row in sheet.iter_rows() for cell in row if isinstance(cell.value, dt.datetime)
        ]
        row, _ = place_of(sheet, "Height [m]")
        sheet.cell(row + 1, dates[0]).value = dt.time(6, 0)
        sheet.cell(row + 2, dates[0]).value = dt.timedelta(hours=30)
        sheet.cell(row + 2, dates[0]).number_format = "[h]:mm:ss"

    with_cells(small, change)
    with pytest.raises(InputFaults) as file:
        read_book(small)
    with pytest.raises(InputFaults) as opened:
        run_open(open_book(small))
    assert [(f.code, f.at) for f in opened.value.findings] == [(f.code, f.at) for f in file.value.findings]
    assert len(file.value.findings) == 2


def raw(book: xlwings.Book) -> Grid:
    return read_open_grids(book, ["Lifts"])["Lifts"]


def test_an_amount_of_money_is_a_number_and_an_odd_fraction_of_a_second_is_rounded(small: Path) -> None:
    book = open_book(small)
    sheet = beneath(book)["Lifts"]
    sheet.cell(40, 1)._value = Decimal("2.5000")
    sheet.cell(40, 2).value = dt.datetime(2031, 4, 7, 5, 59, 59, 999999)
    assert raw(book).rows[39] == [2.5, dt.datetime(2031, 4, 7, 6, 0)]


def test_merged_cells_are_found(small: Path) -> None:
    book = open_book(small)
    for area in ("B2:C2", "E5:E9", "A12:D14"):
        beneath(book)["Lifts"].merge_cells(area)
    found = {area.a1 for area in raw(book).merged}
    assert found == {"B2:C2", "E5:E9", "A12:D14"}


def test_waiting_formulas_are_calculated_before_the_book_is_read(small: Path) -> None:
    book = open_book(small)
    row, column = place_of(beneath(book)["Lifts"], "Height [m]")
    book.app.calculation = "manual"
    book.app.impl.on_calculate = lambda: setattr(beneath(book)["Lifts"].cell(row + 1, column), "value", 2.25)
    results = run_open(book)
    edited = with_cells(small, lambda sheet: setattr(sheet.cell(row + 1, column), "value", 2.25))
    assert results.digest == read_book(edited).digest
    assert book.app.calculation == "manual"


@given(st.sets(st.tuples(st.integers(1, 9), st.integers(1, 9))))
def test_boxes_hold_every_place_once(places: set[tuple[int, int]]) -> None:
    """property: a parting of the places."""
    held = [
        (row, column)
        for top, left, bottom, right in boxes_of(places)
        for row in range(top, bottom + 1)
        for column in range(left, right + 1)
    ]
    assert sorted(held) == sorted(places)


@pytest.mark.parametrize("engine", ["_xlwindows.py", "_xlmac.py"])
def test_the_engine_in_memory_has_no_word_that_the_engines_of_excel_lack(engine: str) -> None:
    """xlwings' engines of Excel cannot be loaded here, so their sources are read: what is used here is there too."""
    tree = ast.parse(Path(xlwings.__file__).with_name(engine).read_text(encoding="utf-8"))
    classes = {node.name: node for node in tree.body if isinstance(node, ast.ClassDef)}

    def words(name: str) -> set[str]:
        node = classes[name]
        own = {part.name for part in node.body if isinstance(part, ast.FunctionDef)}
        own |= {
            target.id
            for part in node.body
            if isinstance(part, ast.Assign)
            for target in part.targets
            if isinstance(target, ast.Name)
        }
        for base in node.bases:
            own |= words(ast.unparse(base)) if ast.unparse(base) in classes else set()
        return own

    missing = {}
    checked = 0
    for kind in vars(memory_engine).values():
        if not isinstance(kind, type) or not kind.__module__.endswith("memory_engine"):
            continue
        base = next((base for base in kind.__mro__ if base.__module__ == "xlwings.base_classes"), None)
        if base is None:
            continue
        used = {name for name in vars(kind) if not name.startswith("_") and hasattr(base, name)}
        checked += len(used)
        left = used - words(base.__name__) - OF_THE_BASE
        if left:
            missing[base.__name__] = left
    assert missing == {}
    assert checked > 80
