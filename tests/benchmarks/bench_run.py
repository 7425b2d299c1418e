"""How long a large book takes, and how much memory: read, compute and write apart.

Run as ``python tests/benchmarks/bench_run.py [LIFTS] [ANCHORS]``. The figures are printed and never asserted;
times are taken without the memory tracer, peaks in a second pass with it.
"""

from __future__ import annotations

import sys
import tempfile
import time
import tracemalloc
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import openpyxl

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from builders import grids, pile

from sheetengine.run import calculate, read_book, write_results

BLOCK = 30
"""Lifts of one block."""


@dataclass(frozen=True)
class Measured:
    """One step: seconds, and the greatest memory taken on top of what was there, in MB."""

    step: str
    seconds: float
    peak: float


def large_book(path: Path, lifts: int, anchors: int) -> Path:
    """Write a book of so many lifts and listed anchors."""
    rows: list[dict[str, Any]] = []
    for number in range(0, lifts, BLOCK):
        rows += pile(
            min(BLOCK, lifts - number), block=f"B{number // BLOCK + 1}", Height=2.0, Face_length=100.0,
            Air_temperature=9.0, Air_swing=8.0,
        )  # fmt: skip
    hung = [row for row in rows if row["Lift"] != 1] or rows
    each = anchors // len(hung)
    positions = [
        {"Block": row["Block"], "Lift": row["Lift"], "Position": 0.5 + 99.0 * place / max(each - 1, 1)}
        for row in hung
        for place in range(each)
    ]
    book = openpyxl.Workbook(write_only=True)
    for name, grid in grids(
        lifts=rows, optional={"Anchor positions": positions} if positions else {}
    ).items():
        sheet = book.create_sheet(name)
        for cells in grid.rows if grid else ():
            sheet.append(list(cells))
    book.save(path)
    return path


def steps_of(book: Path, out: Path) -> list[tuple[str, Callable[[dict[str, Any]], Any]]]:
    """Return the steps of a run, each given what the ones before it returned."""
    return [
        ("read", lambda done: read_book(book)),
        ("compute", lambda done: calculate(done["read"])),
        ("write", lambda done: write_results(book, done["compute"], out)),
    ]


def measure(book: Path, out: Path) -> list[Measured]:
    """Return time and peak memory of every step, from two passes."""
    seconds: dict[str, float] = {}
    done: dict[str, Any] = {}
    for name, step in steps_of(book, out):
        begun = time.perf_counter()
        done[name] = step(done)
        seconds[name] = time.perf_counter() - begun
    peaks: dict[str, float] = {}
    done = {}
    for name, step in steps_of(book, out):
        tracemalloc.start()
        done[name] = step(done)
        peaks[name] = tracemalloc.get_traced_memory()[1] / 1e6
        tracemalloc.stop()
    return [Measured(name, seconds[name], peaks[name]) for name in seconds]


def lines(lifts: int, anchors: int, measured: list[Measured]) -> list[str]:
    """Return the figures as text."""
    total = sum(entry.seconds for entry in measured)
    return [
        f"{lifts} lifts, 4 stages, {anchors} listed anchors",
        *(f"  {entry.step:8} {entry.seconds:8.2f} s {entry.peak:9.1f} MB" for entry in measured),
        f"  {'all':8} {total:8.2f} s",
    ]


def main(arguments: list[str]) -> None:
    """Measure a book of the size asked for and print the figures."""
    lifts, anchors = (
        int(arguments[place]) if len(arguments) > place else usual
        for place, usual in enumerate((300, 20_000))
    )
    with tempfile.TemporaryDirectory() as folder:
        book = large_book(Path(folder) / "large.xlsx", lifts, anchors)
        for line in lines(lifts, anchors, measure(book, Path(folder) / "out.xlsx")):
            print(line)


if __name__ == "__main__":
    main(sys.argv[1:])
