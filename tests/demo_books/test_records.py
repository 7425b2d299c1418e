"""Each demo book gives exactly the findings on record, is built from its data, and runs as the command runs it."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import openpyxl
import pytest
from demo_books.record_findings import recorded, run_demo

from sheetengine.__main__ import main
from sheetengine.books.reading import read_grids
from sheetengine.demos import DEMOS, Demo, copy_demo, demo_file
from sheetengine.grids import Grid
from sheetengine.sheets.reading import SHEET_NAMES

ROOT = Path(__file__).parents[2]
RESULT_SHEETS = {"Flags", "Pressures", "Anchor demand", "Strength ready", "Programme", "Run record"}
by_name = pytest.mark.parametrize("demo", DEMOS, ids=[demo.name for demo in DEMOS])


def inputs(grids: Mapping[str, Grid | None]) -> dict[str, tuple[object, ...]]:
    """Return every input cell; of Job only item, value and unit, since what follows is the template's own text."""
    found: dict[str, tuple[object, ...]] = {}
    for name, grid in grids.items():
        assert grid is not None
        width = 3 if name == "Job" else None
        rows = tuple(tuple(row[:width]) for row in grid.rows)
        found[name] = (rows, grid.uncached, grid.errors, tuple(area.a1 for area in grid.merged))
    return found


@by_name
def test_run_gives_the_record(demo: Demo) -> None:
    # the record is our own output: where this fails, read the difference and run record_findings.py
    now, before = run_demo(demo), recorded(demo)
    assert now["finding"] == before["finding"]
    assert now["verdicts"] == before["verdicts"]


def test_committed_books_are_built_from_their_data(tmp_path: Path) -> None:
    command = [sys.executable, str(ROOT / "demo_books" / "build.py"), "--to", str(tmp_path)]
    subprocess.run(command, check=True, capture_output=True)
    for demo in DEMOS:
        built = inputs(read_grids(tmp_path / demo.file, SHEET_NAMES))
        assert built == inputs(read_grids(demo_file(demo), SHEET_NAMES)), (
            f"{demo.file}: run demo_books/build.py"
        )


def test_two_builds_are_alike_to_the_byte(tmp_path: Path) -> None:
    books = []
    for name in ("one", "two"):
        folder = tmp_path / name
        folder.mkdir()
        command = [sys.executable, str(ROOT / "demo_books" / "build.py"), "--to", str(folder)]
        subprocess.run(command, check=True, capture_output=True)
        books.append({path.name: path.read_bytes() for path in folder.iterdir()})
    assert books[0] == books[1]
    assert set(books[0]) == {demo.file for demo in DEMOS}


@by_name
def test_books_are_small_and_hold_inputs_only(demo: Demo) -> None:
    assert demo_file(demo).stat().st_size < 200_000
    assert not RESULT_SHEETS & set(openpyxl.load_workbook(demo_file(demo), read_only=True).sheetnames)


@pytest.mark.parametrize("demo", [d for d in DEMOS if d.name != "faults"], ids=lambda demo: demo.name)
def test_command_flags_the_good_books(demo: Demo, tmp_path: Path) -> None:
    book = copy_demo(demo, tmp_path)
    assert main(["run", str(book)]) == 1  # flags are open, which is what the demo shows
    sheets = openpyxl.load_workbook(book)
    assert set(sheets.sheetnames) >= RESULT_SHEETS
    assert main(["verify", str(book)]) == 1


def test_command_refuses_the_book_of_faults_and_leaves_it_alone(tmp_path: Path) -> None:
    book = copy_demo(next(demo for demo in DEMOS if demo.name == "faults"), tmp_path)
    before = book.read_bytes()
    assert main(["run", str(book)]) == 2
    assert book.read_bytes() == before
    assert sorted(path.name for path in tmp_path.iterdir()) == [book.name]
