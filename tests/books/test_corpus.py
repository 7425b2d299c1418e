"""The corpus of awkward books: every one comes back whole, with the result sheets in it.

The ways in which the books are made are counted in `test_the_corpus_is_as_large_as_it_is_said_to_be`:

    how                                               books
    contents that XlsxWriter writes                      31
    parts and elements put in by hand                    49
    other spellings of the package                       25
    other zip files                                      10
    other libraries, strict form in two more ways         4
    saved by LibreOffice                                  5
    mixed by chance                     140, or as many as SHEETENGINE_MIXED_BOOKS says
"""

from __future__ import annotations

import csv
import os
import shutil
import subprocess
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from awkward_books import CORPUS, PUT_IN, SPELT, WRITTEN, ZIPPED, Recipe, build, mixed
from openxml_audit import FileFormat, OpenXmlValidator, ValidationSeverity, context
from package_checks import (
    MOMENT,
    assert_office_untouched,
    assert_ours_arrive,
    assert_sound,
    assert_styles_appended,
    demand,
    flags,
    render_once,
    run,
)
from python_calamine import CalamineWorkbook

from sheetengine.books.parts import open_package

pytestmark = pytest.mark.filterwarnings(
    "ignore::UserWarning:openpyxl"
)  # what openpyxl cannot keep of the office's
MIXED = int(os.environ.get("SHEETENGINE_MIXED_BOOKS", "140"))
AUDITOR = OpenXmlValidator(file_format=FileFormat.MICROSOFT_365, max_errors=100_000)
SAVED_BY_LIBREOFFICE = (
    "formulas to the results",
    "newer conditional formats",
    "hidden and very hidden sheets",
    "quotes in sheet names",
    "charts of every kind",
)
EXPECTED: dict[str, list[list[Any]]] = {
    "Flags": [
        ["Flags", "", ""],
        ["", "", ""],
        ["Flag", "Level", "Count"],
        ["EXC-1", "Blocks issue", 3.0],
        ["NOT-2", "For information", ""],
    ],
    "Anchor demand": [
        ["Anchor demand", *[""] * 5],
        ["Line.", *[""] * 5],
        ["The charts stand right of the table, from column H on.", *[""] * 5],
        [""] * 6,
        ["", "Checks", *[""] * 4],
        ["Block", "Ratio", "Verdict", "Hung", "Where", "Initials"],
        ["A & <B>", 0.5, "Within", MOMENT, "Lifts!A1", ""],
        ["=1+1", 1.25, "Exceeds", MOMENT, "", " AB "],
    ],
}
"""What `flags` and `demand` of `package_checks` say, written down by hand."""


@pytest.fixture(autouse=True)
def _in_good_time(monkeypatch: pytest.MonkeyPatch) -> None:
    render_once(monkeypatch)
    # the auditor counts elder siblings for the place it prints, one by one
    monkeypatch.setattr(context, "_sibling_position", lambda _: 1)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    yield tmp_path_factory.mktemp("corpus")


def number_of(name: str) -> str:
    return f"book{list(CORPUS).index(name):03d}"


def before_of(name: str, folder: Path) -> Path:
    made = folder / f"{number_of(name)}{CORPUS[name].suffix}"
    return made if made.exists() else build(CORPUS[name], folder, number_of(name))


def after_of(name: str, folder: Path) -> Path:
    before = before_of(name, folder)
    (folder / "after").mkdir(exist_ok=True)
    after = folder / "after" / before.name
    return after if after.exists() else run(before, after)


def faults_of(path: Path) -> Counter[tuple[str, str]]:
    """Return the kinds of fault that the auditor finds, by part."""
    found = AUDITOR.validate(path)
    return Counter(
        (error.part_uri or "", error.description)
        for error in found.errors
        if error.severity is ValidationSeverity.ERROR
    )


def assert_audited(before: Path, after: Path) -> None:
    new = faults_of(after) - faults_of(before)
    assert not new


def values_in(path: Path) -> dict[str, list[list[Any]]]:
    """Return the values of our sheets as calamine reads them."""
    with CalamineWorkbook.from_path(path) as book:
        return {name: book.get_sheet_by_name(name).to_python() for name in EXPECTED}


def values_by_openpyxl(book: Any) -> dict[str, list[list[Any]]]:
    def plain(value: Any) -> Any:
        return "" if value is None else value

    return {
        name: [
            [plain(cell) for cell in row[: len(rows[0])]] for row in book[name].iter_rows(values_only=True)
        ]
        for name, rows in EXPECTED.items()
    }


def assert_read_by_openpyxl(old: Any, new: Any) -> None:
    assert new.sheetnames == [*old.sheetnames, "Flags", "Anchor demand"]
    assert new.active is None or new.active.title == old.active.title
    taken = {
        name
        for sheet in old.worksheets
        for table in sheet.tables.values()
        for name in (table.displayName, table.name)
    }
    assert_ours_arrive(new, taken | set(old.defined_names), old.epoch.year == 1904)
    assert values_by_openpyxl(new) == EXPECTED
    for sheet in old.worksheets:
        again = new[sheet.title]
        assert list(again.defined_names) == list(sheet.defined_names)
        assert (again.print_area, again.print_title_rows) == (sheet.print_area, sheet.print_title_rows)
        assert again.sheet_state == sheet.sheet_state


def read_by_openpyxl(path: Path) -> Any:
    """Return the book as openpyxl reads it, or nothing where it fails or finds no sheets."""
    try:
        with path.open("rb") as stream:
            book = openpyxl.load_workbook(stream)
    except Exception:  # it fails in many ways
        return None
    return book if book.sheetnames else None


def read_by_calamine(path: Path) -> Any:
    """Return the names of the sheets as calamine reads them, or nothing where it fails."""
    try:
        with CalamineWorkbook.from_path(path) as book:
            return book.sheet_names
    except Exception:  # it fails in many ways
        return None


def assert_whole(before: Path, after: Path) -> set[str]:
    """Check all that must hold, and return who does not read the book as it was."""
    assert_office_untouched(before, after)
    assert_sound(after)
    assert_styles_appended(before, after)
    assert_audited(before, after)
    opened = read_by_openpyxl(before)
    if opened is not None:
        assert_read_by_openpyxl(opened, read_by_openpyxl(after))
    listed = read_by_calamine(before)
    if listed is not None:
        assert values_in(after) == EXPECTED
    return {name for name, found in (("openpyxl", opened), ("calamine", listed)) if found is None}


NOT_READ: dict[str, set[str]] = {
    "strict": {"openpyxl"},
    "strict with prefixes": {"openpyxl"},
    "strict with dates from 1904": {"openpyxl"},
    "parts in other places": {"openpyxl", "calamine"},
    "content types by ending alone": {"openpyxl", "calamine"},
    "dde link": {"openpyxl"},
    "macro sheet": {"calamine"},
    "tags over several lines, comments": {"openpyxl"},
    "roundabout targets": {"calamine"},
    "utf-16 of the usual order": {"calamine"},
    "utf-16 of the other order": {"calamine"},
    "utf-16 everywhere": {"calamine"},
}
"""Who does not read the office's book itself, without any result sheets."""
NOT_BY_LIBREOFFICE = {"roundabout targets"}
TOO_WIDE = "cells at the far end"
"""Written as text, this one would take gigabytes."""


def test_the_corpus_is_as_large_as_it_is_said_to_be() -> None:
    assert [len(ways) for ways in (WRITTEN, PUT_IN, SPELT, ZIPPED, SAVED_BY_LIBREOFFICE)] == [
        31,
        49,
        25,
        10,
        5,
    ]
    assert len(CORPUS) == 31 + 49 + 25 + 10 + 4


@pytest.mark.parametrize("name", CORPUS)
def test_a_book_comes_back_whole(name: str, folder: Path) -> None:
    before, after = before_of(name, folder), after_of(name, folder)
    assert assert_whole(before, after) == NOT_READ.get(name, set())


@pytest.mark.parametrize("name", CORPUS)
def test_ten_runs_are_one_run_and_other_results_take_the_same_place(
    name: str, folder: Path, tmp_path: Path
) -> None:
    first = after_of(name, folder)
    once = first.read_bytes()
    book = tmp_path / first.name
    shutil.copy(first, book)
    run(book, None, flags(), demand("Near limit"))
    assert book.read_bytes() != once
    with open_package(book) as new, open_package(first) as old:
        assert [(sheet.name, sheet.part, sheet.ours) for sheet in new.sheets] == [
            (sheet.name, sheet.part, sheet.ours) for sheet in old.sheets
        ]
    for _ in range(8):
        run(book)
        assert book.read_bytes() == once


@pytest.mark.parametrize("seed", range(MIXED))
def test_mixed_books_come_back_whole(seed: int, tmp_path: Path) -> None:
    recipe: Recipe = mixed(seed)
    before = build(recipe, tmp_path)
    after = run(before, tmp_path / f"after{before.suffix}")
    assert_whole(before, after)
    once = after.read_bytes()
    assert run(after).read_bytes() == once


@pytest.fixture(scope="module")
def convert_all(tmp_path_factory: pytest.TempPathFactory) -> Callable[[list[Path], str], Path]:
    program = shutil.which("soffice")
    if program is None:
        if os.environ.get("SHEETENGINE_OFFICE") == "required":
            pytest.fail("LibreOffice is required and not installed")
        pytest.skip("LibreOffice is not installed")

    def convert(books: list[Path], kind: str) -> Path:
        out = tmp_path_factory.mktemp("converted")
        profile = tmp_path_factory.getbasetemp() / "profile"
        done = subprocess.run(
            [program, f"-env:UserInstallation=file://{profile}", "--headless", "--convert-to", kind, "--outdir", str(out), *map(str, books)],
            capture_output=True, check=False, timeout=600,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        return out

    return convert


ALL_SHEETS_AS_TEXT = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,false,false,false,false,-1"
AS_TEXT = {
    name: [[f"{value:g}" if isinstance(value, float) else str(value) for value in row] for row in rows]
    for name, rows in EXPECTED.items()
}


def texts_in(folder: Path, stem: str) -> dict[str, list[list[str]]]:
    """Return the values of our sheets as LibreOffice wrote them, nothing where it did not open the book."""
    files = {name: folder / f"{stem}-{name}.csv" for name in EXPECTED}
    return {
        name: _down_to_the_last(csv.reader(file.read_text(encoding="utf-8").splitlines()))
        for name, file in files.items()
        if file.exists()
    }


def _down_to_the_last(rows: Iterable[list[str]]) -> list[list[str]]:
    """Leave out the blank rows at the end: LibreOffice frames one where the office's book holds a scenario."""
    kept = list(rows)
    while kept and not any(kept[-1]):
        kept.pop()
    return kept


def test_libreoffice_reads_every_book_that_it_read_before(
    folder: Path, convert_all: Callable[[list[Path], str], Path]
) -> None:
    afters = {name: after_of(name, folder) for name in CORPUS if name != TOO_WIDE}
    out = convert_all(list(afters.values()), ALL_SHEETS_AS_TEXT)
    read = {name: texts_in(out, after.stem) for name, after in afters.items()}
    faults = {name: texts for name, texts in read.items() if texts != AS_TEXT}
    assert set(faults) == NOT_BY_LIBREOFFICE, faults
    without = convert_all([before_of(name, folder) for name in NOT_BY_LIBREOFFICE], ALL_SHEETS_AS_TEXT)
    assert not list(without.iterdir()), "LibreOffice reads the office's own book, and not ours"


def test_books_that_libreoffice_saved_come_back_whole(
    folder: Path, convert_all: Callable[[list[Path], str], Path]
) -> None:
    befores = {name: before_of(name, folder) for name in SAVED_BY_LIBREOFFICE}
    out = convert_all([*befores.values(), after_of(TOO_WIDE, folder)], "xlsx")
    assert values_in(out / after_of(TOO_WIDE, folder).name) == EXPECTED
    for before in befores.values():
        book = out / f"{before.stem}.xlsx"
        after = run(book, out / f"{before.stem}-after.xlsx")
        assert assert_whole(book, after) == set()
        once = after.read_bytes()
        assert run(after).read_bytes() == once
