"""Prints a calculation record, or result sheets, to PDF through LibreOffice."""

from __future__ import annotations

import io
import json
import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from openpyxl.workbook import Workbook

from sheetengine.books.paper import Laid, laid_out
from sheetengine.books.render import render_results
from sheetengine.books.saving import packed
from sheetengine.calculation_record.parts import CalculationRecord
from sheetengine.content import SheetContent
from sheetengine.exceptions import BookUnwritable

OFFICE_VARIABLE = "SHEETENGINE_SOFFICE"
"""Variable of the environment that names LibreOffice where it is not on the path."""
_NAMES = ("soffice", "libreoffice")
_PLACES = (
    "/Applications/LibreOffice.app/Contents/MacOS/soffice",
    r"C:\Program Files\LibreOffice\program\soffice.exe",
    r"C:\Program Files (x86)\LibreOffice\program\soffice.exe",
)
_LONGEST_WAIT = 300.0
_OPTIONS = {
    "UseTaggedPDF": {"type": "boolean", "value": "true"},
    "ExportBookmarks": {"type": "boolean", "value": "false"},
    "ExportNotes": {"type": "boolean", "value": "false"},
}
_FILTER = f"pdf:calc_pdf_Export:{json.dumps(_OPTIONS)}"


def office_program() -> str | None:
    """Return the program of LibreOffice on this machine, if there is one."""
    named = os.environ.get(OFFICE_VARIABLE)
    if named:
        return shutil.which(named)
    found = (shutil.which(name) for name in _NAMES)
    return next(
        (program for program in found if program), next((p for p in _PLACES if Path(p).exists()), None)
    )


def as_pdf(record: CalculationRecord, program: str) -> bytes:
    """Return the record as PDF, with an outline by parts and with title and digest among its properties.

    Parameters
    ----------
    record
        What is printed.
    program
        LibreOffice, as :func:`office_program` finds it.

    Raises
    ------
    BookUnwritable
        LibreOffice did not print it.
    """
    laid = laid_out(record)
    with _printed(laid.workbook, program, "Give a name that ends in .html.") as printed:
        return _with_outline(printed, record, laid)


def sheets_as_pdf(contents: Sequence[SheetContent], program: str, title: str) -> bytes:
    """Return result sheets as PDF, in their order.

    Parameters
    ----------
    contents
        What the sheets hold.
    program
        LibreOffice, as :func:`office_program` finds it.
    title
        Title among the properties of the file.

    Raises
    ------
    BookUnwritable
        LibreOffice did not print them.
    """
    from pypdf import PdfWriter  # noqa: PLC0415 - needed here only

    with _printed(render_results(contents), program, "Print the sheet from the book.") as printed:
        writer = PdfWriter(clone_from=printed)
        writer.add_metadata({"/Title": title, "/Creator": "sheetengine"})
        stream = io.BytesIO()
        writer.write(stream)
        return stream.getvalue()


@contextmanager
def _printed(workbook: Workbook, program: str, instead: str) -> Iterator[Path]:
    """Give the file that LibreOffice prints of a workbook; ``instead`` says what else helps."""
    with tempfile.TemporaryDirectory(prefix="sheetengine-") as folder:
        book = Path(folder) / "record.xlsx"
        book.write_bytes(packed(workbook))
        printed = book.with_suffix(".pdf")
        command = [
            program, f"-env:UserInstallation={(Path(folder) / 'profile').as_uri()}", "--headless", "--norestore",
            "--convert-to", _FILTER, "--outdir", folder, str(book),
        ]  # fmt: skip
        try:
            done = subprocess.run(command, capture_output=True, text=True, timeout=_LONGEST_WAIT, check=False)
        except (OSError, subprocess.TimeoutExpired) as problem:
            raise BookUnwritable(f"LibreOffice could not be run: {problem}. {instead}") from problem
        if not printed.exists():
            told = (done.stderr or done.stdout).strip().splitlines()
            raise BookUnwritable(f"LibreOffice did not print it{f': {told[-1]}' if told else ''}. {instead}")
        yield printed


def _with_outline(printed: Path, record: CalculationRecord, laid: Laid) -> bytes:
    """Return the pages as printed, with outline and properties; they must be as many as were laid out."""
    from pypdf import PdfWriter  # noqa: PLC0415 - needed here only

    writer = PdfWriter(clone_from=printed)
    if len(writer.pages) != laid.pages:
        raise BookUnwritable(
            f"LibreOffice made {len(writer.pages)} pages of {laid.pages}, so the list of contents would be wrong. "
            "Give a name that ends in .html."
        )
    for number, (part, page) in enumerate(zip(record.parts, laid.begins, strict=True), start=1):
        writer.add_outline_item(title=f"{number} {part.title}", page_number=page - 1)
    writer.add_metadata(
        {"/Title": f"{record.title}: {record.head[0]}", "/Subject": record.head[2], "/Creator": "sheetengine"}
    )
    stream = io.BytesIO()
    writer.write(stream)
    return stream.getvalue()
