"""A run that is killed, that finds no room, or that may not write, leaves the book as it was or as it is to be."""

from __future__ import annotations

import contextlib
import errno
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from office_books import make
from package_checks import assert_office_untouched, assert_sound, raw_members, render_once, run

from sheetengine.__main__ import main
from sheetengine.books import saving, zip_copy
from sheetengine.books.parts import open_package
from sheetengine.demos import DEMOS, demo_file
from sheetengine.exceptions import BookUnwritable
from sheetengine.sheets.results import RESULT_SHEETS

LEFT_OVER = re.compile(r"\.sheetengine-\w{8}\.part")
needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="processes that are killed")
WHOLE_COMMANDS, WHOLE_RUNS, WRITES = 3, 12, 185


@pytest.fixture(autouse=True)
def _rendered_once(monkeypatch: pytest.MonkeyPatch) -> None:
    render_once(monkeypatch)


def in_child(work: Callable[[], object]) -> int:
    """Do something in a process of its own and return its number; what it prints is dropped."""
    child = os.fork()
    if child == 0:
        status = 1
        try:
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, 1)
            os.dup2(nowhere, 2)
            work()
            status = 0
        finally:
            os._exit(status)
    return child


def killed_after(seconds: float, child: int) -> None:
    time.sleep(seconds)
    with contextlib.suppress(ProcessLookupError):
        os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)


def others_in(folder: Path, book: Path) -> list[str]:
    """Return what stands beside the book and is no temporary file."""
    return [entry.name for entry in folder.iterdir() if entry != book and not LEFT_OVER.fullmatch(entry.name)]


@needs_fork
def test_writing_killed_at_any_moment(tmp_path: Path) -> None:
    """The process has read, computed and rendered; it is killed anywhere in what comes then, most often near the end."""
    book = make("charts", tmp_path)
    old = book.read_bytes()
    new = run(book, tmp_path / "new.xlsx").read_bytes()  # warms the cache of rendered sheets
    (tmp_path / "new.xlsx").unlink()
    took = []
    for _ in range(5):
        book.write_bytes(old)
        begun = time.perf_counter()
        os.waitpid(in_child(lambda: run(book)), 0)
        took.append(time.perf_counter() - begun)
    whole = min(took)
    chance = random.Random(11)
    found = {old: 0, new: 0}
    for number in range(WRITES):
        book.write_bytes(old)
        spread = chance.uniform(0.0, 1.2) if number % 3 == 0 else chance.gauss(0.85, 0.2)
        killed_after(max(0.0, spread) * whole, in_child(lambda: run(book)))
        found[book.read_bytes()] += 1
        assert not others_in(tmp_path, book)
    assert found[old] > 5
    assert found[old] + found[new] == WRITES


STEPS = ["mkstemp", "fdopen", "fsync", "chmod", "chown", "replace"]


@needs_fork
@pytest.mark.parametrize("after", [False, True], ids=["before", "after"])
@pytest.mark.parametrize("step", STEPS)
def test_killed_at_each_step_of_replacing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str, after: bool
) -> None:
    book = make("charts", tmp_path)
    old, new = book.read_bytes(), run(book, tmp_path / "new.xlsx").read_bytes()
    (tmp_path / "new.xlsx").unlink()
    place: Any = {"mkstemp": saving.tempfile, "chmod": Path}.get(step, saving.os)
    real = getattr(place, step)

    def kill(*arguments: Any, **more: Any) -> Any:
        if after:
            real(*arguments, **more)
        os.kill(os.getpid(), signal.SIGKILL)

    monkeypatch.setattr(place, step, kill)
    _, status = os.waitpid(in_child(lambda: run(book)), 0)
    monkeypatch.undo()
    assert os.WIFSIGNALED(status)
    assert book.read_bytes() == (new if (step, after) == ("replace", True) else old)
    assert not others_in(tmp_path, book)


@needs_fork
def test_the_whole_run_killed_at_any_moment(tmp_path: Path) -> None:
    """Read, compute, write: killed in a process that has imported all, and a few times in the command itself."""
    source = demo_file(next(demo for demo in DEMOS if demo.name == "lock-wall" or "lock" in demo.name))
    book = tmp_path / "book.xlsx"
    old = source.read_bytes()
    chance = random.Random(5)

    def whole() -> None:
        main(["run", str(book)])

    book.write_bytes(old)
    begun = time.perf_counter()
    os.waitpid(in_child(whole), 0)
    took = time.perf_counter() - begun
    assert_new(source, book)
    for _ in range(WHOLE_RUNS):
        book.write_bytes(old)
        killed_after(chance.uniform(0.0, 1.1) * took, in_child(whole))
        assert_old_or_new(source, book)
    for _ in range(WHOLE_COMMANDS):
        book.write_bytes(old)
        command = subprocess.Popen(
            [sys.executable, "-m", "sheetengine", "run", str(book)],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        time.sleep(chance.uniform(0.5, 1.2) * (took + 1.5))
        command.kill()
        command.wait()
        assert_old_or_new(source, book)


def assert_old_or_new(source: Path, book: Path) -> None:
    assert not others_in(book.parent, book)
    if book.read_bytes() != source.read_bytes():
        assert_new(source, book)


def assert_new(source: Path, book: Path) -> None:
    assert_office_untouched(source, book)
    raw_members(book)
    with open_package(book) as package:
        assert package.archive.testzip() is None
        names = {sheet.name for sheet in package.sheets if sheet.ours}
    assert "Flags" in names
    assert names <= set(RESULT_SHEETS)


def test_what_a_killed_run_left_is_ignored_at_first_and_cleared_when_it_is_old(tmp_path: Path) -> None:
    book = make("charts", tmp_path)
    old = tmp_path / ".sheetengine-abcd_123.part"
    fresh = tmp_path / ".sheetengine-zzzz0000.part"
    kept = [tmp_path / name for name in (".sheetengine-notes.part", "a.part", ".book-abcd1234.part")]
    for file in (old, fresh, *kept):
        file.write_bytes(b"half a book")
    for file in (old, *kept):
        os.utime(file, (time.time() - 3700, time.time() - 3700))
    run(book)
    assert not old.exists()
    assert all(file.exists() for file in (fresh, *kept))
    assert_sound(book)


def test_a_name_as_long_as_names_can_be(tmp_path: Path) -> None:
    """255 bytes is the longest name of a file (POSIX NAME_MAX on the usual file systems)."""
    book = tmp_path / ("b" * 250 + ".xlsx")
    shutil.copy(make("charts", tmp_path), book)
    assert_sound(run(book))


class Full:
    """A stream that has room for so many writes."""

    def __init__(self, stream: Any, room: int) -> None:
        self.stream, self.room = stream, room

    def write(self, data: Any) -> int:
        if self.room <= 0:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        self.room -= 1
        written: int = self.stream.write(data)
        return written

    def __enter__(self) -> Full:
        return self

    def __exit__(self, *_: object) -> None:
        self.stream.close()

    def __getattr__(self, name: str) -> Any:
        return getattr(self.stream, name)


def test_no_room_at_any_write(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    book = make("charts", tmp_path)
    old, new = book.read_bytes(), run(book, tmp_path / "new.xlsx").read_bytes()
    (tmp_path / "new.xlsx").unlink()
    real = os.fdopen
    for room in range(1000):
        monkeypatch.setattr(saving.os, "fdopen", lambda *a, room=room: Full(real(*a), room))
        try:
            run(book)
        except BookUnwritable as problem:
            assert re.search(r"No space left.*as it was", str(problem))
            assert book.read_bytes() == old
            assert [entry.name for entry in tmp_path.iterdir()] == [book.name]
        else:
            break
    monkeypatch.undo()
    assert room > 50
    assert book.read_bytes() == new


@needs_fork
def test_a_limit_of_the_system_itself(tmp_path: Path) -> None:
    """The system refuses to let the file grow on: what a full disk does, without one."""
    import resource

    book = make("charts", tmp_path)
    old = book.read_bytes()
    for limit in (0, 1, 100, 4096, len(old) - 1, len(old) + 500):

        def limited(limit: int = limit) -> None:
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
            with pytest.raises(BookUnwritable, match="as it was"):
                run(book)

        _, status = os.waitpid(in_child(limited), 0)
        assert status == 0
        assert book.read_bytes() == old
        assert [entry.name for entry in tmp_path.iterdir()] == [book.name]


@pytest.mark.parametrize("lock", ["~$office.xlsx", ".~lock.office.xlsx#"])
def test_a_book_that_is_open_is_left(tmp_path: Path, lock: str, capsys: pytest.CaptureFixture[str]) -> None:
    book = make("charts", tmp_path)
    (tmp_path / lock).write_bytes(b"\x02AB" if lock.startswith("~") else b"A B,ab,desk,,;")
    before = raw_members(book)
    with pytest.raises(BookUnwritable, match="the workbook is open in"):
        run(book)
    assert raw_members(book) == before
    assert sorted(entry.name for entry in tmp_path.iterdir()) == sorted([book.name, lock])
    assert_sound(run(book, tmp_path / "beside.xlsx"))


@pytest.mark.skipif(os.name != "posix", reason="permission bits of a folder")
@pytest.mark.parametrize("what", ["folder", "file"])
def test_what_may_not_be_written_is_left(tmp_path: Path, what: str) -> None:
    folder = tmp_path / "issued"
    folder.mkdir()
    book = make("charts", folder)
    before = book.read_bytes()
    (folder if what == "folder" else book).chmod(0o555 if what == "folder" else 0o444)
    try:
        with pytest.raises(BookUnwritable, match=r"nothing may be written in the folder|read-only"):
            run(book)
        assert book.read_bytes() == before
        assert [entry.name for entry in folder.iterdir()] == [book.name]
        assert_sound(run(book, tmp_path / "beside.xlsx"))
    finally:
        folder.chmod(0o755)


@needs_fork
def test_many_runs_at_once(tmp_path: Path) -> None:
    book = make("charts", tmp_path)
    new = run(book, tmp_path / "new.xlsx").read_bytes()
    (tmp_path / "new.xlsx").unlink()
    for _ in range(4):
        for child in [in_child(lambda: run(book)) for _ in range(6)]:
            assert os.waitpid(child, 0)[1] == 0
        assert book.read_bytes() == new
        assert [entry.name for entry in tmp_path.iterdir()] == [book.name]


def test_a_copy_that_ends_too_early_is_told(tmp_path: Path) -> None:
    """The office's file shrinks under our hands: nothing is written."""
    book = make("charts", tmp_path)
    target = tmp_path / "after.xlsx"
    real = zip_copy._copy_member

    def shrunk(source: Any, member: Any, into: Any) -> None:
        member.compress_size += 10_000_000
        real(source, member, into)

    zip_copy._copy_member = shrunk
    try:
        with pytest.raises(Exception, match="ends too early"):
            run(book, target)
    finally:
        zip_copy._copy_member = real
    assert [entry.name for entry in tmp_path.iterdir()] == [book.name]
