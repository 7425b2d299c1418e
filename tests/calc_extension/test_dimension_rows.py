"""The totals of the dimension rows as LibreOffice adds them up, with names that look like patterns."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl
import pytest
from builders import grids, pile

from sheetengine import calculate, read_book, write_results

BLOCKS = ("B1", "*", ">5", "?x")


def test_the_program_adds_up_the_same(office: Any, tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.remove(book.active)
    lifts = [
        lift
        for place, block in enumerate(BLOCKS)
        for lift in pile(place + 1, block=block, Height=2.0, Thickness=4.0)
    ]
    for name, grid in grids(lifts=lifts).items():
        sheet = book.create_sheet(name)
        for row in grid.rows if grid else ():
            sheet.append(list(row))
    path = tmp_path / "blocks.xlsx"
    book.save(path)
    write_results(path, calculate(read_book(path)))
    office("open", str(path))
    rows = office("rows", "Dimension rows")
    head = next(place for place, row in enumerate(rows) if row[:4] == ["Block", "Item", "Joint", "Rows"])
    area = rows[head].index("Area [m2]")
    faces = {row[0]: row[area] for row in rows[head + 1 :] if row[1] == "Formed face"}
    # by hand: 15 m x 2 m a lift
    assert faces == pytest.approx(
        {block: 30.0 * (place + 1) for place, block in enumerate(BLOCKS)} | {"all": 300.0}
    )
    first = office("rows", "Dimension rows").index(next(row for row in rows if row[0] == "B1"))
    # a changed dimension shows in the total: the sums are live
    letter = "ABCDEFGHIJ"[rows[first - 1].index("Area [m2]")]
    office("set", "Dimension rows", f"{letter}{first + 1}", 1000.0)
    again = office("rows", "Dimension rows")
    assert next(row[area] for row in again[head + 1 :] if row[:2] == ["all", "Formed face"]) == pytest.approx(
        1270.0
    )
