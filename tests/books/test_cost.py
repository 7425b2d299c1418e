"""What a large book of the office costs: the copy of its bytes, and nothing that grows with it."""

from __future__ import annotations

import shutil
import time
import tracemalloc
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from office_books import make
from package_checks import raw_members, render_once, run
from packages import parts_of, write_parts

from sheetengine.content import ColumnLook, Look, SheetContent, TableContent

MB = 1_000_000


@pytest.fixture(autouse=True)
def _rendered_once(monkeypatch: pytest.MonkeyPatch) -> None:
    render_once(monkeypatch)


def heavy(folder: Path, size: int) -> Path:
    """Return a book with so many bytes in it that are copied as they stand."""
    plain = make("charts", folder)
    book = write_parts(folder / f"heavy-{size}.xlsx", parts_of(plain))
    plain.unlink()
    block = bytes(range(256)) * 4096
    with (
        zipfile.ZipFile(book, "a") as archive,
        archive.open("xl/media/film.xml", "w", force_zip64=True) as stream,
    ):
        for _ in range(size // len(block)):
            stream.write(block)
    return book


def demands() -> SheetContent:
    columns = [ColumnLook(f"Column {place}", Look.NUMBER) for place in range(30)]
    rows = [[1.0 / (1 + row + place) for place in range(30)] for row in range(1500)]
    return SheetContent("Anchor demand", "Anchor demand", [], [TableContent("Anchor_demand", columns, rows)])


def least(work: Callable[[], object]) -> float:
    """Return the least time of the processor that something takes in a few tries, in seconds."""
    taken = []
    for _ in range(5):
        begun = time.process_time()
        work()
        taken.append(time.process_time() - begun)
    return min(taken)


def test_results_go_into_a_large_book_in_less_than_twice_the_time_of_a_copy(tmp_path: Path) -> None:
    """Against: copy the file, and compress what is new in it."""
    book, after = heavy(tmp_path, 20 * MB), tmp_path / "after.xlsx"
    content = demands()
    run(book, after, content)
    old = raw_members(book)
    with zipfile.ZipFile(after) as archive:
        new = {
            name: archive.read(name) for name, member in raw_members(after).items() if member != old.get(name)
        }
    assert sum(map(len, new.values())) > MB

    def copied() -> None:
        shutil.copyfile(book, tmp_path / "copy.xlsx")
        with zipfile.ZipFile(tmp_path / "new.zip", "w", zipfile.ZIP_DEFLATED) as archive:
            for name, data in new.items():
                archive.writestr(name, data)

    assert least(lambda: run(book, after, content)) < 2.0 * least(copied)


def test_the_memory_it_takes_does_not_grow_with_the_book(tmp_path: Path) -> None:
    peaks = []
    for size in (20 * MB, 200 * MB):
        book = heavy(tmp_path, size)
        run(book, tmp_path / "warm.xlsx")
        tracemalloc.start()
        run(book, tmp_path / "after.xlsx")
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
        book.unlink()
    assert abs(peaks[1] - peaks[0]) < 0.5 * MB
    assert peaks[1] < 8 * MB
