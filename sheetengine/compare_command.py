"""The command ``compare``, and what ``verify`` names."""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from sheetengine.books.reading import read_grids
from sheetengine.books.render import render_results
from sheetengine.books.saving import check_writable, packed, replace_file
from sheetengine.comparing import (
    KINDS,
    CellDifference,
    Difference,
    changed_inputs,
    differences,
    input_cell,
    sheet_differences,
)
from sheetengine.content import ColumnLook, Look, SheetContent, TableContent
from sheetengine.exceptions import BookUnwritable
from sheetengine.job import Job, Results
from sheetengine.run import calculate, read_book, result_contents
from sheetengine.sheets.inputs_as_run import INPUTS_AS_RUN
from sheetengine.sheets.results import CAUTION
from sheetengine.terminal import Terminal

NOTHING_DIFFERS, SOMETHING_DIFFERS = 0, 1
_MOST = 12
_PLURAL = {
    "Verdict": "Verdicts",
    "Flag": "Flags",
    "Quantity": "Quantities",
    "Input": "Inputs",
    "Result": "Results",
}

Recorded = Callable[[Path], str]


def add_compare(commands: Any, common: argparse.ArgumentParser, recorded: Recorded) -> None:
    """Add the command to the parser; ``recorded`` returns the digest that a book's results belong to."""
    compare = commands.add_parser(
        "compare",
        parents=[common],
        help="what differs between two books: inputs, results, verdicts, quantities",
        description="Both books are computed anew and held against each other by key: moved rows and other units change nothing. "
        "Exit status: 0 nothing differs, 1 something does, 2 the inputs of one cannot be used, 3 a file could not be read or written.",
    )
    compare.add_argument("old", type=Path)
    compare.add_argument("new", type=Path)
    compare.add_argument(
        "--out", type=Path, default=None, metavar="BOOK", help="write the differences into a new workbook"
    )
    compare.set_defaults(work=lambda arguments, terminal: _compare(arguments, terminal, recorded))


def _compare(arguments: argparse.Namespace, terminal: Terminal, recorded: Recorded) -> int:
    out: Path | None = arguments.out
    if out is not None:
        if out.exists():
            raise BookUnwritable(f"{out} is there already and was left as it is. Choose another name.")
        if out.suffix.lower() != ".xlsx":
            raise BookUnwritable(f"{out}: the name of the file to write must end in .xlsx.")
        check_writable(out)
    taken: list[tuple[Job, Results]] = []
    states = []
    with terminal.steps(5) as step:
        for book in (arguments.old, arguments.new):
            step(f"Read and compute {book.name}")
            job = read_book(book)
            taken.append((job, calculate(job)))
            states.append(_state(recorded(book), job.digest))
        step("Compare")
        found = differences(taken[0], taken[1])
        if out is not None:
            step("Write the differences")
            content = packed(render_results(difference_sheets(found, str(arguments.old), str(arguments.new))))
            replace_file(out, lambda stream: stream.write(content))
    for book, state in zip((arguments.old, arguments.new), states, strict=True):
        terminal.say(f"{book}: {state}")
    tally = Counter(difference.kind for difference in found)
    terminal.say(
        ", ".join(f"{_PLURAL[kind]}: {tally[kind]}" for kind in KINDS) + " differ."
        if found
        else "Nothing differs."
    )
    for kind in KINDS:
        own = [difference for difference in found if difference.kind == kind]
        for difference in own[:_MOST]:
            terminal.say(f"  {difference}")
        if len(own) > _MOST:
            terminal.say(f"  and {len(own) - _MOST} more: {_PLURAL[kind].lower()}")
    status = SOMETHING_DIFFERS if found else NOTHING_DIFFERS
    terminal.give({
        "old": str(arguments.old), "new": str(arguments.new), "status": status, "states": states,
        "differ": {_PLURAL[kind].lower(): tally[kind] for kind in KINDS},
        "differences": [
            {"kind": d.kind, "sheet": d.sheet, "key": d.key, "heading": d.heading, "what": d.what, "old": d.old, "new": d.new}
            for d in found
        ],
    })  # fmt: skip
    return status


def _state(recorded: str, digest: str) -> str:
    if not recorded:
        return "it holds no results; its inputs were computed."
    if recorded == digest:
        return "its results belong to its inputs."
    return "its results are STALE: the inputs have changed since. Its inputs were computed anew."


def difference_sheets(found: Sequence[Difference], old: str, new: str) -> list[SheetContent]:
    """Return a sheet for each kind of difference."""
    looks = [
        ColumnLook("Sheet", Look.TEXT, 18.0), ColumnLook("Key", Look.TEXT, 34.0), ColumnLook("Heading", Look.TEXT, 34.0),
        ColumnLook("What", Look.TEXT, 10.0), ColumnLook("Old", Look.TEXT, 36.0), ColumnLook("New", Look.TEXT, 36.0),
    ]  # fmt: skip
    sheets = []
    for kind in KINDS:
        rows = [[d.sheet, d.key, d.heading, d.what, d.old, d.new] for d in found if d.kind == kind]
        name = _PLURAL[kind]
        sheets.append(
            SheetContent(name, f"{name} that differ", [f"{len(rows)} differ. Old: {old}. New: {new}.", CAUTION],
                         [TableContent(f"{name}_that_differ", looks, rows)], freeze_columns=2)
        )  # fmt: skip
    return sheets


def cells_apart(book: Path, results: Results) -> list[CellDifference]:
    """Return the cells of a book's result sheets that do not hold what its inputs give."""
    contents = result_contents(results)
    return sheet_differences(contents, read_grids(book, [content.name for content in contents]))


def inputs_since(book: Path, job: Job) -> list[tuple[Difference, str]]:
    """Return the inputs that changed since the results of a book were written, each with its cell."""
    as_run = read_grids(book, [INPUTS_AS_RUN]).get(INPUTS_AS_RUN)
    return [(difference, input_cell(job, difference)) for difference in changed_inputs(job, as_run)]
