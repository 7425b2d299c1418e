"""The calculation on a workbook that is open in Excel, started by the run button of the xlwings add-in."""

from __future__ import annotations

import contextlib
import datetime as dt
import tempfile
import traceback
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from sheetengine.books.open_reading import open_sheets, read_open_grids
from sheetengine.books.open_writing import check_names, kept_still, taken_names, write_open
from sheetengine.books.render import render_results
from sheetengine.content import SheetContent
from sheetengine.exceptions import BookUnreadable, BookUnwritable, InputFaults
from sheetengine.job import Results
from sheetengine.run import NOTED_SHEETS, calculate, flags_now, result_contents
from sheetengine.sheets.faults import FAULT_SHEET, fault_content
from sheetengine.sheets.reading import SHEET_NAMES, read_job
from sheetengine.sheets.results import RESULT_SHEETS

if TYPE_CHECKING:
    from xlwings import Book

_MOST = 3


def run_open(book: Book, *, moment: dt.datetime | None = None) -> Results:
    """Compute an open workbook as it stands, edits that are not saved yet included, and put the results into it.

    Nothing is saved. The sheets of the office's own stay as they are.

    Parameters
    ----------
    book
        The workbook, as xlwings knows it.
    moment
        Time to state in the run record; now if none is given.

    Raises
    ------
    InputFaults
        The inputs cannot be used. Every fault stands in the sheet ``Input faults``; all else is as it was.
    BookUnreadable, BookUnwritable
        The book cannot be used, or holds a sheet of the office's own under the name of a result sheet.
    """
    when = moment or dt.datetime.now().astimezone().replace(tzinfo=None)
    with _told(book):
        check_names(book, (*RESULT_SHEETS, FAULT_SHEET))
        _tell(book, "read the book")
        if book.app.calculation != "automatic":
            book.app.calculate()  # a formula that waits for its turn would hand on an old value
        grids = read_open_grids(book, (*SHEET_NAMES, *NOTED_SHEETS))
        earlier = {name: grids.pop(name, None) for name in NOTED_SHEETS}
        names = [sheet.name for sheet in open_sheets(book) if not sheet.ours]
        try:
            job = read_job(grids, names)
        except InputFaults as faults:
            _put(book, [fault_content(faults.findings, f"{when:%Y-%m-%d %H:%M}")])
            raise
        _tell(book, "compute")
        results = calculate(job)
        sheets = result_contents(results, flags_now(results, earlier, when))
        if FAULT_SHEET in (sheet.name for sheet in book.sheets):
            sheets.append(fault_content([], f"{when:%Y-%m-%d %H:%M}"))
        _put(book, sheets)
    return results


def _put(book: Book, sheets: list[SheetContent]) -> None:
    _tell(book, "write the result sheets")
    rendered = render_results(sheets, taken=taken_names(book, [sheet.name for sheet in sheets]), charts=False)
    with kept_still(book.app, book):
        write_open(book, rendered)


def _tell(book: Book, step: str) -> None:
    book.app.status_bar = f"sheetengine: {step} …"


@contextlib.contextmanager
def _told(book: Book) -> Iterator[None]:
    """Give the status bar back when all is done."""
    before = book.app.status_bar
    try:
        yield
    finally:
        with contextlib.suppress(Exception):  # a bar that cannot be given back must not hide what happened
            book.app.status_bar = before


def run_caller() -> None:
    """Compute the workbook whose run button was pressed, and say in a short message what went wrong, if anything did."""
    try:
        import xlwings  # noqa: PLC0415 - slow, and needed here only

        book = xlwings.Book.caller()
    except Exception as error:
        raise SystemExit(
            f"The open workbook could not be reached. Press the run button of the xlwings add-in. {_kept(error)}"
        ) from None
    try:
        run_open(book)
    except InputFaults as faults:
        _say(book, _fault_message(faults))
    except (BookUnreadable, BookUnwritable) as problem:
        _say(book, str(problem))
    except Exception as error:
        _say(
            book,
            "The run broke off, and result sheets may be written in part; the inputs are as they were. End the editing "
            "of any cell, take off any protection of sheets and workbook, and run again. If it breaks off again, save "
            f"and close the workbook and run: sheetengine run {book.name}. {_kept(error)}",
        )


def _fault_message(faults: InputFaults) -> str:
    count = len(faults.findings)
    first = [f"{finding.at}: {finding.message}" for finding in faults.findings[:_MOST]]
    more = [f"and {count - _MOST} more."] if count > _MOST else []
    head = (
        f"The inputs cannot be used: {count} fault{'s' if count > 1 else ''}, listed in the sheet {FAULT_SHEET}. "
        "Nothing was computed."
    )
    return "\n".join([head, *first, *more])


def _say(book: Book, message: str) -> None:
    """Show a message; where the program has no box for it, leave it to the add-in to show what is handed back."""
    try:
        book.app.alert(message, title="sheetengine", mode="critical")
    except Exception:
        raise SystemExit(message) from None


def _kept(error: Exception) -> str:
    """Write the details of an error into a file, and say where it is."""
    text = "".join(traceback.format_exception(error))
    try:
        with tempfile.NamedTemporaryFile(
            "w", encoding="utf-8", prefix="sheetengine-", suffix=".txt", delete=False
        ) as file:
            file.write(text)
    except OSError:
        return f"({type(error).__name__})"
    return f"The details are in {Path(file.name)}."
