"""Writes files so that a failure leaves what was there."""

from __future__ import annotations

import contextlib
import datetime as dt
import io
import os
import re
import stat
import tempfile
import time
import warnings
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import IO, Any
from xml.sax.saxutils import quoteattr, unescape

from openpyxl.workbook import Workbook
from openpyxl.workbook.properties import CalcProperties

from sheetengine.books.fast_cells import BookWriter
from sheetengine.books.marks import ALT_TEXT
from sheetengine.books.zip_copy import new_member
from sheetengine.exceptions import BookUnwritable

_APP = "docProps/app.xml"
_CORE = "docProps/core.xml"
_TEMPORARY = ".sheetengine-"
_LEFT_OVER = re.compile(r"\.sheetengine-\w{8}\.part")
_LEFT_OVER_AFTER = 3600.0
"""Seconds after which a temporary file that nobody has written to belongs to a run that was killed."""
_OTHER_PLACE = "Or write the results to another file with --out FILE."


def check_writable(path: str | os.PathLike[str]) -> None:
    """Check that the file can be replaced: nobody has it open, and file and folder may be written.

    Raises
    ------
    BookUnwritable
        It cannot; the message says why and what to do.
    """
    file = Path(path)
    target = Path(os.path.realpath(file))
    if target.is_dir():
        raise BookUnwritable(f"{file}: this is a folder. Name the file to write inside it.")
    folder = target.parent
    if not folder.is_dir():
        raise BookUnwritable(f"{file}: there is no folder {folder}. Make it first, or name another.")
    for place in {file, target}:
        _check_locks(place)
    if target.exists() and not _may_write(target):
        raise BookUnwritable(
            f"{file}: the file is read-only, so it was left as it is. Take the protection off. {_OTHER_PLACE}"
        )
    if not _may_write(folder):
        raise BookUnwritable(f"{file}: nothing may be written in the folder {folder}. {_OTHER_PLACE}")


def _may_write(path: Path) -> bool:
    some_write_bit = path.stat().st_mode & (stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH)
    return bool(some_write_bit) and os.access(path, os.W_OK)


def _check_locks(file: Path) -> None:
    locks = (
        (file.with_name(f"~${file.name}"), "Excel", _excel_holder),
        (file.with_name(f".~lock.{file.name}#"), "LibreOffice", _libreoffice_holder),
    )
    for lock, program, holder in locks:
        if not os.path.exists(lock):  # a name too long for the system is no lock file
            continue
        try:
            who = holder(lock.read_bytes())
        except OSError:
            who = ""  # the program keeps its own lock file to itself
        by = f" by {who}" if who else ""
        raise BookUnwritable(
            f"{file}: the workbook is open in {program}{by}, so it was left as it is. Close it there and run again. "
            f"{_OTHER_PLACE} If nobody has it open, delete the left-over lock file {lock.name}."
        )


def _excel_holder(content: bytes) -> str:
    """Return the name in an Excel lock file: its length in the first byte, then the name."""
    if not content:
        return ""
    name = content[1 : 1 + content[0]].decode("utf-8", "replace")
    return "".join(letter for letter in name if letter.isprintable()).strip()


def _libreoffice_holder(content: bytes) -> str:
    """Return the name in a LibreOffice lock file: name, login, host, time and profile, parted by commas."""
    fields = content.decode("utf-8", "replace").split(",")
    name, login, host = (part.strip() for part in (*fields[:3], "", "", "")[:3])
    who = name or login
    return f"{who} on {host}" if who and host else who


def save_atomically(
    workbook: Workbook, path: str | os.PathLike[str], *, moment: dt.datetime | None = None
) -> None:
    """Save a workbook of our own: all of it, or nothing.

    The same workbook gives the same bytes where ``moment`` is the same.

    Parameters
    ----------
    workbook
        What to save.
    path
        Target file, ``.xlsx``.
    moment
        Time of change to be written into the file; now where it is not given.

    Raises
    ------
    BookUnwritable
        The file could not be written; it is as it was.
    """
    file = Path(path)
    if file.suffix.lower() != ".xlsx":
        raise BookUnwritable(f"{file}: the name of the file to write must end in .xlsx.")
    check_writable(file)
    content = packed(workbook, moment)
    replace_file(file, lambda stream: stream.write(content))


def replace_file(
    file: Path, write: Callable[[IO[bytes]], object], *, before_replacing: Callable[[], None] = lambda: None
) -> None:
    """Put a new file in the place of ``file``: all of it, or nothing.

    It is written to a temporary file beside the target, which then takes the target's place. Permission bits and
    owner stay, and so does a link. Temporary files that killed runs left there are cleared away once they are an
    hour old; before that they could be those of a run that is still at work.

    Parameters
    ----------
    file
        What to replace, or a file that is not there yet.
    write
        Writes the content into the stream it is given.
    before_replacing
        Called when all is written, to let go of the file that is replaced.

    Raises
    ------
    BookUnwritable
        The file could not be written; it is as it was.
    """
    try:
        _replace(Path(os.path.realpath(file)), write, before_replacing)
    except OSError as error:
        raise BookUnwritable(
            f"{file}: the file could not be written ({error.strerror or error}); it is as it was. "
            f"Make room or close the program that holds it. {_OTHER_PLACE}"
        ) from error


def _replace(
    target: Path, write: Callable[[IO[bytes]], object], before_replacing: Callable[[], None]
) -> None:
    before = target.stat() if target.exists() else None
    _clear_left_over(target.parent)
    handle, name = tempfile.mkstemp(prefix=_TEMPORARY, suffix=".part", dir=target.parent)
    try:
        with os.fdopen(handle, "w+b") as stream:
            write(stream)
            stream.flush()
            os.fsync(stream.fileno())
        Path(name).chmod(stat.S_IMODE(before.st_mode) if before else 0o666 & ~_umask())
        if before and hasattr(os, "chown"):
            with contextlib.suppress(OSError):
                os.chown(name, before.st_uid, before.st_gid)
        before_replacing()
        os.replace(name, target)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(name).unlink()
        raise
    if os.name == "posix":
        folder = os.open(target.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def _clear_left_over(folder: Path) -> None:
    oldest = time.time() - _LEFT_OVER_AFTER
    with contextlib.suppress(OSError):
        for entry in os.scandir(folder):
            if _LEFT_OVER.fullmatch(entry.name) and entry.is_file(follow_symlinks=False):
                with contextlib.suppress(OSError):
                    if entry.stat().st_mtime < oldest:
                        Path(entry.path).unlink()


def _umask() -> int:
    mask = os.umask(0o022)
    os.umask(mask)
    return mask


def package_of(workbook: Workbook) -> bytes:
    """Return a workbook as a zip file that is not compressed, with the alternative texts of its charts."""
    calculation: Any = workbook.calculation or CalcProperties()
    calculation.fullCalcOnLoad = True
    workbook.calculation = calculation
    plain = io.BytesIO()
    with (
        warnings.catch_warnings(),
        zipfile.ZipFile(plain, "w", zipfile.ZIP_STORED, allowZip64=True) as archive,
    ):
        warnings.simplefilter("ignore")
        BookWriter(workbook, archive).save()
    alt_texts = {
        str(sheet._drawing.path).lstrip("/"): [getattr(chart, ALT_TEXT, "") for chart in sheet._charts]
        for sheet in map(_any, workbook.worksheets)
        if sheet._charts
    }
    tables = {
        table.displayName: getattr(table, ALT_TEXT)
        for sheet in map(_any, workbook.worksheets)
        for table in sheet.tables.values()
        if hasattr(table, ALT_TEXT)
    }
    described = io.BytesIO()
    with zipfile.ZipFile(plain) as source, zipfile.ZipFile(described, "w", allowZip64=True) as archive:
        for member in _in_order(source.namelist()):
            content = source.read(member)
            if member in alt_texts:
                content = _with_alt_texts(content, alt_texts[member])
            elif member.startswith("xl/tables/"):
                content = _with_table_text(content, tables)
            archive.writestr(zipfile.ZipInfo(member, (1980, 1, 1, 0, 0, 0)), content)
    return described.getvalue()


def _any(sheet: Any) -> Any:
    return sheet


def packed(workbook: Workbook, moment: dt.datetime | None = None) -> bytes:
    """Return the bytes of the file, with members in a settled order and without times of their own."""
    content = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(package_of(workbook))) as source,
        zipfile.ZipFile(content, "w", allowZip64=True) as archive,
    ):
        for member in source.namelist():
            part = source.read(member)
            if member == _CORE and moment is not None:
                part = _with_moment(part, moment)
            elif member == _APP:
                part = re.sub(rb"(<Application>)[^<]*(</Application>)", rb"\g<1>sheetengine\g<2>", part)
            archive.writestr(new_member(member), part, compresslevel=6)
    return content.getvalue()


def _in_order(names: list[str]) -> Iterator[str]:
    first = ("[Content_Types].xml", "_rels/.rels")
    yield from (name for name in first if name in names)
    yield from (name for name in dict.fromkeys(names) if name not in first)


_DISPLAY_NAME = re.compile(rb'displayName="([^"]*)"')
_TABLE_TEXT = (
    '<extLst><ext uri="{{504A1905-F514-4f6f-8877-14C23A59335A}}" '
    'xmlns:x14="http://schemas.microsoft.com/office/spreadsheetml/2009/9/main">'
    "<x14:table altText={title} altTextSummary={text}/></ext></extLst></table>"
)
"""The element that holds the alternative text of a table ([MS-XLSX] 2.4.72, CT_Table; from memory)."""


def _with_table_text(table: bytes, texts: dict[str, str]) -> bytes:
    found = _DISPLAY_NAME.search(table)
    name = unescape(found.group(1).decode()) if found else ""
    if name not in texts or not table.endswith(b"</table>"):
        return table
    text = texts[name]
    added = _TABLE_TEXT.format(title=quoteattr(text.partition(":")[0]), text=quoteattr(text))
    return table.removesuffix(b"</table>") + added.encode("ascii", "xmlcharrefreplace")


def _with_alt_texts(drawing: bytes, texts: list[str]) -> bytes:
    for place, text in enumerate(texts, start=1):
        if text:
            name = f'name="Chart {place}"'
            described = f"{name} descr={quoteattr(text)}"
            drawing = drawing.replace(name.encode(), described.encode("ascii", "xmlcharrefreplace"), 1)
    return drawing


def _with_moment(core: bytes, moment: dt.datetime) -> bytes:
    stamp = f"{moment:%Y-%m-%dT%H:%M:%SZ}".encode()
    return re.sub(rb"(<(\w+:)?modified\b[^>]*>)[^<]*", rb"\g<1>" + stamp, core)
