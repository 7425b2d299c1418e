"""What a large book of the office costs: no memory that grows with it, and little more time than a copy."""

from __future__ import annotations

import os
import time
import tracemalloc
import zipfile
from pathlib import Path

import pytest
from office_books import make
from package_checks import MOMENT, flags, render_once, run
from packages import parts_of, write_parts

from sheetengine.books import graft, saving
from sheetengine.books.render import render_results
from sheetengine.books.zip_copy import write_copy
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


def table_of(rows: int) -> SheetContent:
    """Return a sheet as long as a large job's, with numbers, texts, verdicts and dates."""
    columns = [
        ColumnLook("Block"), *(ColumnLook(f"Ratio {place}", Look.NUMBER) for place in range(8)),
        ColumnLook("Verdict", Look.VERDICT), ColumnLook("Begins", Look.MOMENT, width=18),
    ]  # fmt: skip
    lines = [
        [f"B{row % 40}", *((row * 7.3 + place) % 1.7 for place in range(8)), "Within", MOMENT]
        for row in range(rows)
    ]
    return SheetContent("Anchor demand", "Anchor demand", [], [TableContent("Anchor_demand", columns, lines)])


def plain_copy(source: Path, target: Path, finished: Path) -> float:
    """Copy a book's members as they lie, deflate only what a finished run has added or changed; return the seconds."""
    with zipfile.ZipFile(source) as before, zipfile.ZipFile(finished) as after:
        old = {info.filename: info.CRC for info in before.infolist()}
        changed = {
            info.filename: after.read(info) for info in after.infolist() if old.get(info.filename) != info.CRC
        }
    start = time.perf_counter()
    with open(target, "wb") as stream, zipfile.ZipFile(source) as archive:
        added = {name: content for name, content in changed.items() if name not in old}
        write_copy(
            archive, stream, changed={name: content for name, content in changed.items() if name in old},
            removed=frozenset(), added=added,
        )  # fmt: skip
        stream.flush()
        os.fsync(stream.fileno())
    return time.perf_counter() - start


def test_it_takes_less_than_twice_a_copy_that_deflates_only_our_sheets(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    book = heavy(tmp_path, 20 * MB)
    out, copied = tmp_path / "after.xlsx", tmp_path / "copied.xlsx"
    content = (flags(), table_of(1200))
    ready = saving.package_of(render_results(content, taken=frozenset(), from_1904=False))
    monkeypatch.setattr(graft, "render_results", lambda *_, **__: None)
    monkeypatch.setattr(graft, "package_of", lambda _: ready)
    run(book, out, *content)
    ours, copies = [], []
    for _ in range(7):
        start = time.perf_counter()
        run(book, out, *content)
        ours.append(time.perf_counter() - start)
        copies.append(plain_copy(book, copied, out))
    print(f"\n20 MB book: results put in {min(ours):.3f} s, copied and deflated {min(copies):.3f} s")
    assert min(ours) < 2.0 * min(copies)
