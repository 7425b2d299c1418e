"""The memory that a large book of the office takes: none that grows with it."""

from __future__ import annotations

import tracemalloc
import zipfile
from pathlib import Path

import pytest
from office_books import make
from package_checks import render_once, run
from packages import parts_of, write_parts

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
