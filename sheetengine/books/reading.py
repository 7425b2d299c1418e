"""Reads the sheets of a workbook file as grids of raw values."""

from __future__ import annotations

import contextlib
import os
import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Protocol, TypeVar

from sheetengine.books import open_document
from sheetengine.books.parts import Package, open_package
from sheetengine.books.sheet_values import package_grids
from sheetengine.exceptions import BookUnreadable
from sheetengine.grids import Grid

_ZIP = b"PK\x03\x04"
_EMPTY_ZIP = b"PK\x05\x06"
_COMPOUND = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_OPEN_DOCUMENT = b"application/vnd.oasis.opendocument"
_HOLDS_NO_TABLE = "Save it as .xlsx (Excel workbook) and run again on the new file."


def read_grids(path: str | os.PathLike[str], wanted: Sequence[str]) -> dict[str, Grid]:
    """Read the wanted sheets of a workbook.

    Letter case and spacing of sheet names are forgiven. A sheet that the book does not hold is left out.

    Parameters
    ----------
    path
        The workbook, ``.xlsx`` or ``.xlsm`` (or a template of either kind), or an OpenDocument spreadsheet ``.ods``.
    wanted
        Names of the sheets to read.

    Returns
    -------
    dict[str, Grid]
        The sheets found, by the wanted name.

    Raises
    ------
    BookUnreadable
        The file is missing, is no workbook, is protected by a password, is damaged, or two of its sheets could be
        the wanted one.
    """
    file = Path(path)
    with _reading(file) as package:
        return _grids(file, package, wanted)


def sheet_names(path: str | os.PathLike[str]) -> list[str]:
    """Return the names of a book's sheets without those that a run wrote.

    Raises
    ------
    BookUnreadable
        The file cannot be read.
    """
    file = Path(path)
    with _reading(file) as package:
        if _is_open_document(package):
            return [scan.name for scan in _tables(file, package) if not scan.ours]
        return [sheet.name for sheet in package.sheets if not sheet.ours]


def all_grids(path: str | os.PathLike[str]) -> list[Grid]:
    """Return every sheet of an OpenDocument spreadsheet that no run wrote, in order.

    Raises
    ------
    BookUnreadable
        The file cannot be read.
    """
    file = Path(path)
    with _reading(file) as package:
        scans = [scan for scan in _tables(file, package) if not scan.ours]
        return open_document.open_document_grids(package.read("content.xml"), scans)


def is_open_document(path: str | os.PathLike[str]) -> bool:
    """Return whether a file is an OpenDocument spreadsheet that can be read.

    Raises
    ------
    BookUnreadable
        The file cannot be read, of whatever kind it is.
    """
    with _reading(Path(path)) as package:
        return _is_open_document(package)


@contextlib.contextmanager
def _reading(file: Path) -> Iterator[Package]:
    """Open a file that can be read; whatever fails within is told as damage."""
    check_readable(file)
    try:
        with open_package(file) as package:
            yield package
    except BookUnreadable:
        raise
    except PermissionError as error:
        raise BookUnreadable(_no_permission(file)) from error
    except Exception as error:  # a damaged file fails in as many ways as it can be damaged
        raise BookUnreadable(
            f"{file}: the workbook is damaged ({type(error).__name__}: {error}). Open it in the spreadsheet program, "
            "let it repair the file, save it under a new name and run again."
        ) from error


def _is_open_document(package: Package) -> bool:
    return "mimetype" in package and package.read("mimetype").startswith(_OPEN_DOCUMENT)


def check_readable(file: Path) -> None:
    """Check that the file is a workbook of a kind that can be read.

    Raises
    ------
    BookUnreadable
        It is not; the message says why and what to do.
    """
    head = _first_bytes(file)
    if head.startswith(_COMPOUND):
        raise BookUnreadable(_compound_fault(file))
    if not head.startswith((_ZIP, _EMPTY_ZIP)):
        raise BookUnreadable(_other_fault(file, head))
    try:
        with open_package(file) as package:
            fault = _package_fault(file, package)
    except BookUnreadable:
        raise
    except Exception as error:  # see above
        raise BookUnreadable(
            f"{file}: the file is damaged or only partly copied ({error}). Copy it again from where it came from, "
            "or open it in the spreadsheet program, let it repair the file and save it under a new name."
        ) from error
    if fault:
        raise BookUnreadable(fault)


def _first_bytes(file: Path) -> bytes:
    try:
        if file.is_dir():
            raise BookUnreadable(f"{file}: this is a folder. Name the workbook inside it.")
        with file.open("rb") as stream:
            return stream.read(8)
    except FileNotFoundError as error:
        raise BookUnreadable(f"{file}: there is no such file.{_neighbours(file)}") from error
    except PermissionError as error:
        raise BookUnreadable(_no_permission(file)) from error
    except OSError as error:
        raise BookUnreadable(f"{file}: the file could not be opened ({error.strerror or error}).") from error


def _no_permission(file: Path) -> str:
    return (
        f"{file}: the file may not be read. Close it in the spreadsheet program if it is open there, or ask for "
        "permission to read it."
    )


def _neighbours(file: Path) -> str:
    try:
        books = sorted(
            other.name
            for other in file.parent.iterdir()
            if other.suffix.lower() in (".xlsx", ".xlsm", ".ods") and not other.name.startswith(("~$", ".~"))
        )
    except OSError:
        books = []
    if not books:
        return " Check the name and the folder."
    listed = ", ".join(books[:5]) + (", …" if len(books) > 5 else "")
    return f" The folder holds: {listed}."


def _compound_fault(file: Path) -> str:
    content = file.read_bytes()
    if "EncryptedPackage".encode("utf-16-le") in content:
        return (
            f"{file}: the workbook is protected by a password, so it cannot be read. Open it, remove the password "
            "(File, Info, Protect Workbook, Encrypt with Password, leave it empty), save, and run again."
        )
    return f"{file}: this is a workbook of the old .xls kind, whatever its name ends in. {_HOLDS_NO_TABLE}"


def _other_fault(file: Path, head: bytes) -> str:
    suffix = file.suffix.lower()
    if not head:
        return f"{file}: the file is empty. Copy it again from where it came from."
    if suffix in (".csv", ".txt", ".tsv"):
        return f"{file}: this is a text file, not a workbook. Open it in the spreadsheet program. {_HOLDS_NO_TABLE}"
    if suffix == ".xls":
        return f"{file}: this is not a workbook the engine can read (.xls). {_HOLDS_NO_TABLE}"
    return f"{file}: this is not a workbook. Name a file saved as .xlsx (Excel workbook)."


def _package_fault(file: Path, package: Package) -> str:
    if _is_open_document(package):
        return _open_document_fault(file, package)
    if "xl/workbook.bin" in package:
        return f"{file}: this is a binary workbook (.xlsb). {_HOLDS_NO_TABLE}"
    if not package.workbook:
        return f"{file}: this is a zip file, but no workbook. Name a file saved as .xlsx (Excel workbook)."
    if package.workbook.endswith(".bin"):
        return f"{file}: this is a binary workbook (.xlsb). {_HOLDS_NO_TABLE}"
    if not package.sheets:
        return f"{file}: this is not a workbook with sheets. Name a file saved as .xlsx (Excel workbook)."
    return ""


def _open_document_fault(file: Path, package: Package) -> str:
    if open_document.is_encrypted(package):
        return (
            f"{file}: the spreadsheet is protected by a password, so it cannot be read. Open it, save it under a new name "
            "without a password (File, Save As, Save with password not ticked), and run again."
        )
    if package.read("mimetype").strip() != open_document.MIME_TYPE or "content.xml" not in package:
        return f"{file}: this is an OpenDocument file, but no spreadsheet (.ods). {_HOLDS_NO_TABLE}"
    return ""


class _Named(Protocol):
    @property
    def name(self) -> str: ...


_N = TypeVar("_N", bound=_Named)


def _plain(name: str) -> str:
    return re.sub(r"\s+", " ", name.replace("\u00a0", " ")).strip().casefold()


def matching_sheet(file: Path, sheets: Sequence[_N], name: str) -> _N | None:
    """Return the sheet of a name, with letter case and spacing forgiven; ``None`` where there is none.

    Raises
    ------
    BookUnreadable
        Two sheets could be the wanted one.
    """
    exact = [sheet for sheet in sheets if sheet.name == name]
    if exact:
        return exact[0]
    near = [sheet for sheet in sheets if _plain(sheet.name) == _plain(name)]
    if len(near) > 1:
        listed = " and ".join(f'"{sheet.name}"' for sheet in near)
        raise BookUnreadable(f"{file}: the sheets {listed} could both be {name}. Rename the one that is not.")
    return near[0] if near else None


def _grids(file: Path, package: Package, wanted: Sequence[str]) -> dict[str, Grid]:
    if _is_open_document(package):
        return _open_document_grids(file, package, wanted)
    matches = {name: matching_sheet(file, package.sheets, name) for name in wanted}
    found = {name: sheet for name, sheet in matches.items() if sheet is not None and sheet.part in package}
    return dict(zip(found, package_grids(package, list(found.values())), strict=True))


def _open_document_grids(file: Path, package: Package, wanted: Sequence[str]) -> dict[str, Grid]:
    scans = _tables(file, package)
    matches = {name: matching_sheet(file, scans, name) for name in wanted}
    found = {name: scan for name, scan in matches.items() if scan is not None}
    return dict(
        zip(
            found,
            open_document.open_document_grids(package.read("content.xml"), list(found.values())),
            strict=True,
        )
    )


def _tables(file: Path, package: Package) -> list[open_document.TableScan]:
    """Return what stands in each sheet; the library reads all of them, so each must be of a size that can be."""
    scans = open_document.scan_tables(package.read("content.xml"))
    for scan in scans:
        corner = open_document.far_cell(scan)
        if corner is not None:
            raise BookUnreadable(
                f"{file}: the used range of {scan.name} reaches to {corner.a1}, too far to be read. Delete the stray cells "
                "far from the table, or save the book as .xlsx, and run again."
            )
    return scans
