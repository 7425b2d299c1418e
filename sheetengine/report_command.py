"""The command ``report``: the calculation record of a run, for the office's file."""

from __future__ import annotations

import argparse
import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import Any

from sheetengine.books.printing import as_pdf, office_program
from sheetengine.books.reading import read_grids
from sheetengine.books.saving import check_writable, replace_file
from sheetengine.calculation_record.page import as_page
from sheetengine.calculation_record.record import Origin, calculation_record
from sheetengine.compare_command import cells_apart
from sheetengine.exceptions import BookUnwritable
from sheetengine.job import Results
from sheetengine.run import (
    NOTED_SHEETS,
    calculate,
    flags_now,
    is_open,
    read_book,
    recorded_line,
    result_contents,
)
from sheetengine.sheets.results import CAUTION
from sheetengine.sheets.signing import states
from sheetengine.terminal import Terminal, state_line, summary

NOTHING_EXCEEDS, FLAGGED = 0, 1
STALE, EDITED, NO_RESULTS = (
    "STALE: the results in the workbook belong to other inputs",
    "EDITED: results in the workbook were changed by hand",
    "NOT RUN: the workbook holds no results",
)
_SUFFIXES = (".pdf", ".html")

Recorded = Callable[[Path], str]


def add_report(commands: Any, common: argparse.ArgumentParser, recorded: Recorded) -> None:
    """Add the command to the parser; ``recorded`` returns the digest that a book's results belong to."""
    report = commands.add_parser(
        "report",
        parents=[common],
        help="print the calculation record: inputs, methods, governing rows, flags with signatures, charts, sources",
        description="PDF through LibreOffice, HTML without it. Exit status: 0 printed and nothing exceeds; 1 printed and "
        "something is flagged; 2 the inputs cannot be used; 3 nothing was printed: the file could not be read or written, or "
        "the results do not belong to the inputs.",
    )
    report.add_argument("book", type=Path)
    report.add_argument(
        "--to",
        type=Path,
        default=None,
        metavar="FILE",
        help="file to write, .pdf or .html; beside the book if none is given",
    )
    report.add_argument(
        "--paper",
        choices=("A4", "Letter"),
        default="",
        help="A4, or Letter where the results are in US units",
    )
    report.add_argument(
        "--stale",
        action="store_true",
        help="print although the results do not belong to the inputs, and say so on every page",
    )
    report.set_defaults(work=lambda arguments, terminal: _report(arguments, terminal, recorded))


def _report(arguments: argparse.Namespace, terminal: Terminal, recorded: Recorded) -> int:
    book: Path = arguments.book
    program = office_program()
    target = _target(book, arguments.to, program)
    check_writable(target)
    with terminal.steps(4) as step:
        step("Read the book")
        job = read_book(book)
        step("Compute")
        results = calculate(job)
        warning = _warning(book, results, recorded(book))
        if warning and not arguments.stale:
            raise BookUnwritable(
                f"{book}: no record was printed. {warning}. Run the book again: sheetengine run {book}. "
                "--stale prints the inputs as they stand, and says so on every page."
            )
        step("Put the record together")
        grids = read_grids(book, (*NOTED_SHEETS, "Run record"))
        flags = flags_now(results, grids)
        origin = Origin(
            book.name,
            recorded_line(grids.get("Run record"), "Time of the run") or "not in this workbook",
            f"{dt.datetime.now().astimezone():%Y-%m-%d %H:%M}",
            warning,
        )
        record = calculation_record(
            job,
            results,
            (flags.entries, flags.events),
            result_contents(results, flags),
            origin,
            arguments.paper,
        )
        step("Print")
        content = (
            as_page(record).encode() if target.suffix.lower() == ".html" else as_pdf(record, str(program))
        )
        replace_file(target, lambda stream: stream.write(content))
    terminal.say(f"{target}: written.")
    if target.suffix.lower() == ".html" and program is None and arguments.to is None:
        terminal.say(
            "LibreOffice was not found on this machine, so it is a page for the browser, which prints it to PDF."
        )
    if warning:
        terminal.say(f"Every page says: {warning}.")
    told = states(flags.entries, flags.events, flags.told)
    terminal.say(f"  {state_line(told)}")
    terminal.say(CAUTION)
    status = FLAGGED if is_open(results) or warning else NOTHING_EXCEEDS
    terminal.give(
        summary(str(book), results, status) | {"record": str(target), "states": told, "warning": warning}
    )
    return status


def _target(book: Path, to: Path | None, program: str | None) -> Path:
    """Return the file to write.

    Raises
    ------
    BookUnwritable
        Its name ends in neither, or it is to be a PDF and there is no LibreOffice.
    """
    if to is None:
        return book.with_name(f"{book.stem} calculation record{'.pdf' if program else '.html'}")
    if to.suffix.lower() not in _SUFFIXES:
        raise BookUnwritable(f"{to}: the name of the file to write must end in .pdf or .html.")
    if to.suffix.lower() == ".pdf" and program is None:
        raise BookUnwritable(
            f"{to}: a PDF needs LibreOffice, which was not found. Install it, or give a name that ends in .html."
        )
    return to


def _warning(book: Path, results: Results, recorded: str) -> str:
    """Return what is wrong with the results in the book, empty where they belong to its inputs and are untouched."""
    if not recorded:
        return NO_RESULTS
    if recorded != results.digest:
        return STALE
    return EDITED if cells_apart(book, results) else ""
