"""Saving: all or nothing, never over a book that someone has open, and the same bytes for the same book."""

from __future__ import annotations

import datetime as dt
import os
import stat
import subprocess
import sys
import textwrap
import time
from pathlib import Path

import openpyxl
import pytest

from sheetengine.books import saving
from sheetengine.books.saving import check_writable, save_atomically
from sheetengine.exceptions import BookUnwritable

MOMENT = dt.datetime(2031, 4, 2, 7, 30)


def _book(text: str = "old") -> openpyxl.Workbook:
    book = openpyxl.Workbook()
    book.active["A1"] = text
    return book


def _only(path: Path) -> list[str]:
    return [entry.name for entry in path.parent.iterdir()]


def test_saves_and_replaces(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    save_atomically(_book("old"), path)
    save_atomically(_book("new"), path)
    assert openpyxl.load_workbook(path).active["A1"].value == "new"
    assert _only(path) == ["a.xlsx"]


def test_the_same_book_gives_the_same_bytes(tmp_path: Path) -> None:
    first, second = tmp_path / "a.xlsx", tmp_path / "b.xlsx"
    for path in (first, second):
        book = _book()
        book.properties.created = MOMENT
        save_atomically(book, path, moment=MOMENT)
        time.sleep(1.1)  # a stamp of the clock would differ by a second
    assert first.read_bytes() == second.read_bytes()


@pytest.mark.skipif(os.name != "posix", reason="permission bits")
@pytest.mark.parametrize("mode", [0o640, 0o666, 0o755])
def test_permission_bits_stay(tmp_path: Path, mode: int) -> None:
    path = tmp_path / "a.xlsx"
    save_atomically(_book(), path)
    path.chmod(mode)
    save_atomically(_book("new"), path)
    assert stat.S_IMODE(path.stat().st_mode) == mode


@pytest.mark.skipif(os.name != "posix", reason="links")
def test_a_link_stays_a_link(tmp_path: Path) -> None:
    real, link = tmp_path / "real.xlsx", tmp_path / "link.xlsx"
    save_atomically(_book(), real)
    link.symlink_to(real)
    save_atomically(_book("new"), link)
    assert link.is_symlink()
    assert openpyxl.load_workbook(real).active["A1"].value == "new"


@pytest.mark.parametrize("fails", ["replace", "fsync"])
def test_a_failure_leaves_the_file_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fails: str
) -> None:
    path = tmp_path / "a.xlsx"
    save_atomically(_book(), path)
    before = path.read_bytes()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(saving.os, fails, full)
    with pytest.raises(BookUnwritable, match=r"No space left.*as it was.*--out FILE"):
        save_atomically(_book("new"), path)
    assert path.read_bytes() == before
    assert _only(path) == ["a.xlsx"]


def test_an_interruption_leaves_the_file_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.xlsx"
    save_atomically(_book(), path)
    before = path.read_bytes()

    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(saving.os, "replace", interrupt)
    with pytest.raises(KeyboardInterrupt):
        save_atomically(_book("new"), path)
    assert path.read_bytes() == before
    assert _only(path) == ["a.xlsx"]


@pytest.mark.skipif(os.name != "posix", reason="signals")
def test_a_killed_process_leaves_the_file_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    save_atomically(_book(), path)
    before = path.read_bytes()
    program = textwrap.dedent(
        """
        import os, signal, sys, openpyxl
        from sheetengine.books import saving
        saving.os.replace = lambda *_: os.kill(os.getpid(), signal.SIGKILL)
        saving.save_atomically(openpyxl.Workbook(), sys.argv[1])
        """
    )
    done = subprocess.run([sys.executable, "-c", program, str(path)], check=False)
    assert done.returncode < 0
    assert path.read_bytes() == before


def test_open_in_excel_is_named_with_its_holder(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    save_atomically(_book(), path)
    name = b"A. Reviewer"
    (tmp_path / "~$a.xlsx").write_bytes(bytes([len(name)]) + name.ljust(54) + bytes(110))
    with pytest.raises(BookUnwritable, match=r"open in Excel by A\. Reviewer.*--out FILE.*~\$a\.xlsx"):
        check_writable(path)


def test_open_in_libreoffice_is_named_with_its_holder(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    save_atomically(_book(), path)
    (tmp_path / ".~lock.a.xlsx#").write_text("A Checker,checker,desk,02.04.2031 07:30,file:///x;")
    with pytest.raises(BookUnwritable, match=r"open in LibreOffice by A Checker on desk.*--out FILE"):
        save_atomically(_book("new"), path)
    assert openpyxl.load_workbook(path).active["A1"].value == "old"


def test_a_read_only_file_is_left(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    save_atomically(_book(), path)
    path.chmod(0o444)
    with pytest.raises(BookUnwritable, match=r"read-only.*--out FILE"):
        check_writable(path)


@pytest.mark.skipif(os.name != "posix", reason="permission bits of a folder")
def test_a_read_only_folder_is_left(tmp_path: Path) -> None:
    folder = tmp_path / "issued"
    folder.mkdir()
    folder.chmod(0o555)
    try:
        with pytest.raises(BookUnwritable, match="nothing may be written in the folder"):
            check_writable(folder / "a.xlsx")
    finally:
        folder.chmod(0o755)


def test_a_missing_folder_and_a_folder_as_file(tmp_path: Path) -> None:
    with pytest.raises(BookUnwritable, match="there is no folder"):
        check_writable(tmp_path / "none" / "a.xlsx")
    with pytest.raises(BookUnwritable, match="this is a folder"):
        check_writable(tmp_path)


def test_the_name_must_fit_the_kind(tmp_path: Path) -> None:
    with pytest.raises(BookUnwritable, match=r"must end in \.xlsx"):
        save_atomically(_book(), tmp_path / "a.xlsm")
