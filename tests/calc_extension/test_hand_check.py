"""The hand check in a real LibreOffice: the program works out every row of the demo books by the live formulas."""

from __future__ import annotations

import math
import shutil
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
from builders import computed
from hand_books import ANCHORS, BASES, PRESSURES, clustered_book, hand_of, leaning_book

from sheetengine import calculate, read_book, write_results
from sheetengine.books.render import render_results
from sheetengine.demos import DEMOS, demo_file
from sheetengine.hand_check.data import HandCheck
from sheetengine.job import Results
from sheetengine.sheets.hand_sheets import AGREES, CLOSE, KEY, NOT_DONE, hand_sheets

Lines = dict[str, tuple[Any, Any, Any]]


def written(name: str, folder: Path) -> tuple[Path, Results]:
    source = demo_file(next(demo for demo in DEMOS if demo.name == name))
    book = Path(shutil.copy(source, folder / source.name))
    results = calculate(read_book(book))
    write_results(book, results)
    return book, results


def place_of(rows: list[list[Any]], word: str) -> int:
    return next(place for place, row in enumerate(rows) if row and row[0] == word)


def chooser(office: Any) -> tuple[str, str]:
    """Return the cells of the two drop-down lists."""
    head = place_of(office("rows", "Hand check"), "What")
    return f"B{head + 2}", f"B{head + 3}"


def chain(office: Any, sheet: str) -> Lines:
    """Return value, the engine's number and difference of every line, by symbol."""
    rows = office("rows", sheet)
    head = place_of(rows, "Symbol")
    at = [rows[head].index(name) for name in ("Value", "Engine", "Difference")]
    lines = (row for row in rows[head + 1 :] if row[0])
    return {row[0]: (row[at[0]], row[at[1]], row[at[2]]) for row in lines}


def summary(office: Any) -> dict[str, str]:
    rows = office("rows", "Hand check")
    head = place_of(rows, "Chain")
    return {row[0]: row[rows[head].index("Finding")] for row in rows[head + 1 :] if row[0]}


def worked_out(office: Any, hand: HandCheck) -> int:
    """Choose every row in turn, hold every line against the chain and the engine; return how many anchors were done."""
    for_stage, for_gate = chooser(office)
    done = 0
    for by_gate, cell, data in ((False, for_stage, hand.rows), (True, for_gate, hand.gates)):
        for place, key in enumerate(data[KEY].tolist()):
            office("set", "Hand check", cell, key)
            for own in hand.chains:
                if (own.key == "gate") is not by_gate:
                    continue
                row = {
                    heading: str(values[place]) if values.dtype.kind in "OU" else float(values[place])
                    for heading, values in data.items()
                }
                wanted, covered = own.values(row), row[own.applies] == 1.0
                shown = chain(office, f"Hand check {own.name}")
                assert shown["row"][0] == (place + 1 if covered else 0)
                for step in own.steps:
                    value, engine, apart = shown[step.symbol]
                    number = wanted[step.symbol]
                    if not covered or (isinstance(number, float) and math.isnan(number)):
                        assert value == "", (key, step.symbol, value)
                        continue
                    assert value == pytest.approx(number, rel=CLOSE), (key, step.symbol)
                    if engine != "":
                        assert engine == pytest.approx(row[step.engine], rel=1e-12)
                        assert apart <= CLOSE, (key, step.symbol, value, engine)
                done += covered and own.last == "r"
    return done


@pytest.mark.parametrize(("name", "least"), [("gravity-dam", 130), ("lock-wall", 90)])
def test_every_row_worked_out_by_the_program_is_the_engines(
    office: Any, tmp_path: Path, name: str, least: int
) -> None:
    book, results = written(name, tmp_path)
    assert results.hand is not None
    office("open", str(book))
    assert worked_out(office, results.hand) >= least


@pytest.mark.parametrize(("number", "pressures"), enumerate(PRESSURES))
def test_every_row_of_random_books(office: Any, tmp_path: Path, number: int, pressures: str) -> None:
    """Clustered anchors on faces of any lean, some with bars or bolts that stand off; one block of four lifts."""
    rng = np.random.default_rng(9300 + number)
    method, basis = ANCHORS[number % 3], BASES[(number + number // 3) % 3]
    random = leaning_book(rng, method, basis, pressures)
    clusters = clustered_book(rng, method, basis)
    lifts = [lift for lift in random["lifts"] if lift["Block"] == "B1"]
    for lift, other in zip(lifts, clusters["lifts"], strict=False):
        lift |= {key: other[key] for key in ("Face length", "Thickness")}
    listed = [row for row in clusters["optional"]["Anchor positions"] if row["Block"] == "B1"]
    hand = hand_of(computed(**random | {"lifts": lifts, "optional": {"Anchor positions": listed}}))
    render_results(hand_sheets(hand, (), "caution", "foot", "A4")).save(tmp_path / "random.xlsx")
    office("open", str(tmp_path / "random.xlsx"))
    assert worked_out(office, hand) >= 8


def test_a_changed_input_shows_at_once(office: Any, tmp_path: Path) -> None:
    book, results = written("lock-wall", tmp_path)
    hand = results.hand
    assert hand is not None
    lifts = openpyxl.load_workbook(book)["Lifts"]
    height = next(cell for row in lifts.iter_rows() for cell in row if str(cell.value).startswith("Height ["))
    office("open", str(book))
    for_stage, _ = chooser(office)
    item = next(place for place, key in enumerate(hand.rows[KEY].tolist()) if "Placing" in key)
    office("set", "Hand check", for_stage, str(hand.rows[KEY][item]))
    assert set(summary(office).values()) <= {AGREES, NOT_DONE}
    row = int(hand.rows["Lifts row"][item])
    before = chain(office, "Hand check pressure")["head"]
    office("set", "Lifts", f"{height.column_letter}{row}", lifts.cell(row, height.column).value * 1.25)
    value, engine, apart = chain(office, "Hand check pressure")["head"]
    assert value == pytest.approx(1.25 * before[0], rel=1e-9)
    assert engine == before[1]
    assert apart == pytest.approx(0.25, rel=1e-9)
    office("set", "Hand check", for_stage, "no such lift")
    assert set(summary(office).values()) <= {NOT_DONE, AGREES}  # the gate is another choice
    assert chain(office, "Hand check statics")["N1"][0] == ""


def test_the_extension_writes_formulas_that_stay_in_the_book(office: Any, tmp_path: Path) -> None:
    source = demo_file(next(demo for demo in DEMOS if demo.name == "power-station"))
    book = Path(shutil.copy(source, tmp_path / source.name))
    office("open", str(book))
    for _ in range(2):
        good, words = office("dispatch", "run")
        assert good, words
        for_stage, _ = chooser(office)
        formula, _ = office("get", "Hand check", for_stage.replace("B", "C"))
        assert formula.startswith("=") and "file:" not in formula
        assert set(summary(office).values()) == {AGREES}
