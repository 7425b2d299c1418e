"""What differs between two books, and between a book and its own results: named by key and cell."""

from __future__ import annotations

import json
import random
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from builders import days, grids, job, pile

from sheetengine.__main__ import main
from sheetengine.comparing import (
    ADDED,
    CHANGED,
    FLAG,
    INPUT,
    QUANTITY,
    REMOVED,
    RESULT,
    VERDICT,
    Difference,
    changed_inputs,
    differences,
    same,
)
from sheetengine.grids import Grid
from sheetengine.run import calculate, read_book, write_results
from sheetengine.sheets.inputs_as_run import AS_RUN_HEADINGS, INPUTS_AS_RUN, MOST_ROWS, input_lines

BOOK: dict[str, Any] = {"lifts": [*pile(3), *pile(3, block="B2", Rise_rate=1.2)]}


def between(old: dict[str, Any], new: dict[str, Any]) -> list[Difference]:
    jobs = [job(**book) for book in (old, new)]
    return differences(*((one, calculate(one)) for one in jobs))  # type: ignore[arg-type]


def changed(**cells: Any) -> dict[str, Any]:
    """Return the book with cells of lift B2/2 changed."""
    lifts = [dict(lift) for lift in BOOK["lifts"]]
    lifts[4] |= {key.replace("_", " "): value for key, value in cells.items()}
    return BOOK | {"lifts": lifts}


def test_a_book_and_itself_are_the_same() -> None:
    assert between(BOOK, BOOK) == []


def test_moved_rows_and_other_units_change_nothing() -> None:
    lifts = [BOOK["lifts"][place] for place in (3, 0, 4, 1, 2, 5)]
    assert between(BOOK, BOOK | {"lifts": lifts}) == []
    feet = {
        "Height": "ft",
        "Rise rate": "ft/h",
        "Anchor spacing": "ft",
        "Face length": "ft",
        "Concrete temperature": "degF",
    }
    metric = [lift | {"Rise rate": lift.get("Rise rate", 1.0)} for lift in BOOK["lifts"]]
    us = [
        lift | {"Height": 3.0 / 0.3048, "Rise rate": lift["Rise rate"] / 0.3048, "Anchor spacing": 1.5 / 0.3048,
                "Face length": 15.0 / 0.3048, "Concrete temperature": 59.0}
        for lift in metric
    ]  # fmt: skip
    assert between({"lifts": metric}, {"lifts": us, "written_in": {"Lifts": feet}}) == []


def test_one_changed_cell_is_that_cell_and_what_follows_from_it() -> None:
    found = between(BOOK, changed(Rise_rate=2.4))
    inputs = [difference for difference in found if difference.kind == INPUT]
    assert inputs == [Difference(INPUT, "Lifts", "B2/2", "Rise rate [m/h]", CHANGED, "1.2", "2.4")]
    assert {difference.key.split(" · ")[0] for difference in found if difference.kind == RESULT} == {"B2"}


def test_what_is_graver_comes_first() -> None:
    found = between(BOOK, changed(Rise_rate=4.4, Anchor_spacing=1.2, Stripped=days(9.0)))
    kinds = [difference.kind for difference in found]
    assert kinds == sorted(kinds, key=(VERDICT, FLAG, QUANTITY, INPUT, RESULT).index)
    assert {VERDICT, FLAG, INPUT, RESULT} <= set(kinds)


def test_rows_that_come_and_go_are_told_once() -> None:
    more = BOOK | {"lifts": [*BOOK["lifts"], *pile(1, block="B3")]}
    came, went = between(BOOK, more), between(more, BOOK)
    for found, what in ((came, ADDED), (went, REMOVED)):
        inputs = [difference for difference in found if difference.kind == INPUT]
        assert inputs == [Difference(INPUT, "Lifts", "B3/1", "", what, "", "")]


def test_a_setting_of_the_job_is_named() -> None:
    found = between(BOOK, BOOK | {"job": {"Revision": "B", "Review threshold": 0.8}})
    inputs = {(d.heading, d.old, d.new) for d in found if d.kind == INPUT}
    assert inputs == {("Revision", "A", "B"), ("Review threshold", "0.9", "0.8")}


@pytest.mark.parametrize(
    ("old", "new", "alike"),
    [
        (1.0, 1.0 + 1e-12, True), (1.0, 1.0 + 1e-6, False), (None, float("nan"), True), ("", None, True), ("a", "b", False),
        (float("nan"), 0.0, False), (float("inf"), float("inf"), True), (float("inf"), 1.0, False), (0.0, 1e-15, True),
    ],
)  # fmt: skip
def test_when_two_values_are_the_same(old: Any, new: Any, alike: bool) -> None:
    assert same(old, new) is alike


def as_run(lines: dict[tuple[str, str, str], str]) -> Grid:
    return Grid(
        INPUTS_AS_RUN, [("title",), AS_RUN_HEADINGS, *((*place, text) for place, text in lines.items())]
    )


def test_what_changed_since_a_run_is_named_whatever_the_order_of_the_rows() -> None:
    old = job(**BOOK)
    kept = as_run(input_lines(old))
    assert changed_inputs(old, kept) == []
    shuffled = BOOK | {"lifts": [BOOK["lifts"][place] for place in (3, 0, 4, 1, 2, 5)]}
    assert changed_inputs(job(**shuffled), kept) == []
    (difference,) = changed_inputs(job(**changed(Height=2.9)), kept)
    assert (difference.sheet, difference.key, difference.heading) == ("Lifts", "B2/2", "Height [m]")
    assert (difference.old, difference.new) == ("3", "2.9")
    assert changed_inputs(old, None) == []


def test_of_a_long_log_a_digest_for_each_lift_is_kept() -> None:
    rows = [
        {"Block": "B1", "Lift": 1 + number % 2, "Time": days(number / 1000.0), "Temperature": 12.0 + number % 7,
         "Depth from face": 0.2, "Depth from joint": 0.4, "Probe": "P1"}
        for number in range(MOST_ROWS + 2)
    ]  # fmt: skip
    old = job(**BOOK, optional={"Probe log": rows})
    lines = {place: text for place, text in input_lines(old).items() if place[0] == "Probe log"}
    assert len(lines) == 2
    rows[5] = rows[5] | {"Temperature": 30.0}
    found = changed_inputs(job(**BOOK, optional={"Probe log": rows}), as_run(input_lines(old)))
    assert [(difference.sheet, difference.key) for difference in found] == [("Probe log", "B1/2")]


# through files and the command line


@pytest.fixture
def books(tmp_path: Path) -> tuple[Path, Path]:
    """Two books after a run; in the second one rate was changed and not run again."""
    paths = []
    for name in ("old.xlsx", "new.xlsx"):
        book = openpyxl.Workbook()
        book.remove(book.active)
        for sheet, grid in grids(**BOOK).items():
            if grid is not None:
                page = book.create_sheet(sheet)
                for row in grid.rows:
                    page.append(list(row))
        path = tmp_path / name
        book.save(path)
        write_results(path, calculate(read_book(path)))
        paths.append(path)
    book = openpyxl.load_workbook(paths[1])
    page = book["Lifts"]
    column = next(cell.column for cell in page[1] if str(cell.value).startswith("Rise rate"))
    page.cell(6, column).value = 2.4
    book.save(paths[1])
    return paths[0], paths[1]


def test_verify_names_the_input_that_changed_and_what_it_touches(
    books: tuple[Path, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["verify", str(books[1]), "--json"]) == 1
    told = capsys.readouterr()
    data = json.loads(told.out)
    assert data["results"] == "stale"
    (one,) = data["inputs"]
    assert (one["sheet"], one["key"], one["heading"], one["old"], one["new"]) == (
        "Lifts",
        "B2/2",
        "Rise rate [m/h]",
        "1.2",
        "2.4",
    )
    assert one["cell"].startswith("Lifts!") and one["cell"].endswith("6")
    assert "changed since: Lifts, B2/2: Rise rate [m/h] 1.2 → 2.4" in told.err
    assert {cell["key"][:2] for cell in data["cells"]} == {"B2"}


def test_verify_names_every_cell_that_was_edited_by_hand(
    books: tuple[Path, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    book = openpyxl.load_workbook(books[0])
    random.seed(4)
    edited = set()
    for name in ("Pressures", "Anchor demand", "Strength ready"):
        page = book[name]
        head = next(row[0].row for row in page.iter_rows() if row[0].value == "Block")
        cells = [
            cell for row in page.iter_rows(min_row=head + 1) for cell in row if isinstance(cell.value, float)
        ]
        cell = random.choice(cells)
        cell.value = cell.value * 1.01 + 0.01
        edited.add(f"{name}!{cell.coordinate}")
    book.save(books[0])
    assert main(["verify", str(books[0]), "--json"]) == 1
    told = capsys.readouterr()
    data = json.loads(told.out)
    assert data["results"] == "edited"
    assert {f"{cell['sheet']}!{cell['cell']}" for cell in data["cells"]} == edited
    assert "3 result cells were changed by hand" in told.err


def test_a_sound_book_is_current(books: tuple[Path, Path], capsys: pytest.CaptureFixture[str]) -> None:
    main(["verify", str(books[0]), "--json"])
    data = json.loads(capsys.readouterr().out)
    assert data["results"] == "current"
    assert data["cells"] == data["inputs"] == []


def test_the_command_tells_and_writes_the_differences(
    books: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "differences.xlsx"
    assert main(["compare", str(books[0]), str(books[1]), "--json", "--out", str(out)]) == 1
    told = capsys.readouterr()
    data = json.loads(told.out)
    assert data["differ"]["inputs"] == 1
    assert "STALE" in told.err
    written = openpyxl.load_workbook(out)
    assert written.sheetnames == ["Verdicts", "Flags", "Quantities", "Inputs", "Results"]
    texts = [[cell.value for cell in row] for row in written["Inputs"].iter_rows()]
    assert ["Lifts", "B2/2", "Rise rate [m/h]", "changed", "1.2", "2.4"] in [row[:6] for row in texts]
    assert main(["compare", str(books[0]), str(books[1]), "--out", str(out)]) == 3
    assert "is there already" in capsys.readouterr().err
    assert main(["compare", str(books[0]), str(books[0])]) == 0
    assert "Nothing differs" in capsys.readouterr().err
    assert main(["compare", str(books[0]), str(tmp_path / "none.xlsx")]) == 3


def test_texts_of_the_office_come_back_as_texts(tmp_path: Path) -> None:
    old = dict(BOOK)
    new = BOOK | {"job": {"Project": "=cmd|' /C calc'!A0"}}
    found = [difference for difference in between(old, new) if difference.kind == INPUT]
    assert found[0].new == "=cmd|' /C calc'!A0"
