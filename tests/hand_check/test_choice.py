"""What the reviewer chose for the hand check stays chosen from run to run."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from sheetengine.__main__ import main
from sheetengine.demos import demo_file, demo_named
from sheetengine.hand_check.data import KEY
from sheetengine.run import calculate, read_book, write_results
from sheetengine.sheets.hand_sheets import CHOSEN


def cells(book: Path) -> tuple[Any, list[Any]]:
    """Return the opened book and the two cells with the lists."""
    opened = openpyxl.load_workbook(book)
    sheet: Any = opened["Hand check"]
    return opened, [sheet.cell(row[0].row, 2) for row in sheet.iter_rows(max_col=2) if row[0].value in CHOSEN]


def test_the_choice_is_kept_and_leaves_the_results_current(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = Path(shutil.copy(demo_file(demo_named("lock-wall")), tmp_path / "book.xlsx"))
    results = calculate(read_book(book))
    write_results(book, results)
    assert results.hand is not None
    row, gate = (str(found[KEY][5]) for found in (results.hand.rows, results.hand.gates))
    opened, (first, second) = cells(book)
    assert (first.value, second.value) == results.hand.shown != (row, gate)
    first.value, second.value = row, gate
    opened.save(book)
    main(["verify", str(book), "--json"])
    assert json.loads(capsys.readouterr().out)["results"] == "current"
    write_results(book, results)
    opened, (first, second) = cells(book)
    assert (first.value, second.value) == (row, gate)
    anchor: Any = opened["Hand check anchor"]
    head = next(line for line in anchor.iter_rows() if line[0].value == "Symbol")
    given = next(line for line in anchor.iter_rows(min_row=head[0].row + 1) if line[0].value == "N")
    values = openpyxl.load_workbook(book, data_only=True)["Hand check anchor"]
    assert values.cell(given[0].row, 3).value == pytest.approx(
        results.hand.rows["Tension [kN]"][5], rel=1e-12
    )
    # a lift that is no more gives way to the one that governs
    first.value = "T9/99 · Placing"
    opened.save(book)
    write_results(book, results)
    assert [cell.value for cell in cells(book)[1]] == [results.hand.shown[0], gate]
