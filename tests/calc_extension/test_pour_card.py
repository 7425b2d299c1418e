"""The pour card in a real LibreOffice: choosing a lift shows its page."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from sheetengine import calculate, read_book, write_results
from sheetengine.demos import demo_file, demo_named
from sheetengine.run import told_facts
from sheetengine.sheets.pour_card import card_sheet


def place_of(rows: list[list[Any]], word: str) -> int:
    return next(place for place, row in enumerate(rows) if row and row[0] == word)


@pytest.mark.parametrize("demo", ["gravity-dam", "lock-wall"])
def test_every_lift_chosen_shows_its_own_page(office: Any, tmp_path: Path, demo: str) -> None:
    source = demo_file(demo_named(demo))
    book = Path(shutil.copy(source, tmp_path / source.name))
    results = calculate(read_book(book))
    write_results(book, results)
    data = results.series["cards"]
    office("open", str(book))
    at = f"B{place_of(office('rows', 'Pour card'), 'What') + 2}"
    for name in data["Lift"].tolist()[::5]:
        office("set", "Pour card", at, name)
        shown = office("rows", "Pour card")
        fixed = card_sheet(
            data,
            name,
            "",
            us=results.result_units == "US",
            live=False,
            facts=told_facts(results),
            footer="",
            paper="A4",
        )
        for table in fixed.tables[1:3]:
            head = (
                place_of(shown, table.columns[0].heading)
                if table is fixed.tables[2]
                else place_of(shown, "Placing starts") - 1
            )
            for offset, row in enumerate(table.rows, start=1):
                for value, cell in zip(row, shown[head + offset], strict=False):
                    wanted = "" if value is None else value
                    assert cell == (pytest.approx(wanted) if isinstance(wanted, float) else wanted), (
                        name,
                        row,
                    )
    office("set", "Pour card", at, "no such lift")
    shown = office("rows", "Pour card")
    assert shown[place_of(shown, "Placing starts")][1] == ""
