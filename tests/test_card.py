"""The pour card as a sheet that follows its list, and as a page of its own."""

from __future__ import annotations

import json
import math
import shutil
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from pypdf import PdfReader

from sheetengine.__main__ import main
from sheetengine.books import printing
from sheetengine.content import Formula, SheetContent
from sheetengine.demos import demo_file, demo_named
from sheetengine.run import calculate, read_book, told_facts, write_results
from sheetengine.sheets.pour_card import STOP_RULES, card_sheet

needs_office = pytest.mark.usefixtures("convert")
POINTS = {"A4": (595.3, 841.9), "Letter": (612.0, 792.0)}


def demo_copy(name: str, folder: Path) -> Path:
    source = demo_file(demo_named(name))
    return Path(shutil.copy(source, folder / source.name))


@pytest.fixture(scope="module")
def lock() -> Any:
    return calculate(read_book(demo_file(demo_named("lock-wall"))))


def card_of(results: Any, lift: str, *, live: bool = False) -> SheetContent:
    return card_sheet(
        results.series["cards"], lift, "caution", us=True, live=live, facts=told_facts(results), footer="", paper="Letter"
    )  # fmt: skip


def plain(value: Any) -> Any:
    return value.value if isinstance(value, Formula) else value


def test_the_live_card_holds_the_values_of_the_plain_one(lock: Any) -> None:
    for lift in lock.series["cards"]["Lift"].tolist()[::9]:
        fixed, live = card_of(lock, lift), card_of(lock, lift, live=True)
        for own, other in zip(fixed.tables[1:], live.tables[1:], strict=True):
            for row, twin in zip(own.rows, other.rows, strict=True):
                for value, cell in zip(row, twin, strict=True):
                    assert ("" if value is None else value) == ("" if plain(cell) is None else plain(cell))


def test_rates_volumes_and_loads_go_together(lock: Any) -> None:
    data = lock.series["cards"]
    card = card_of(lock, str(data["Lift"].iloc[2]))
    rates = next(table for table in card.tables if table.name == "How_fast_it_may_rise")
    area, load = float(data["Area"].iloc[2]), float(data["Load"].iloc[2])
    numbers = [row for row in rates.rows if isinstance(row[2], float)]
    assert len(numbers) >= 4
    for row in numbers:
        assert row[3] == pytest.approx(row[2] * area)
        assert row[4] == pytest.approx(row[3] / load)


@needs_office
@pytest.mark.parametrize(
    ("demo", "lift", "paper"),
    [("lock-wall", "L-14/2", ""), ("lock-wall", "L-14/3", "A4"), ("gravity-dam", "m8 / 4", "Letter")],
)
def test_a_page_each_for_card_and_hold_points(
    demo: str, lift: str, paper: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = demo_copy(demo, tmp_path)
    target = tmp_path / "card.pdf"
    before = book.read_bytes()
    options = ["--hold-points", *(["--paper", paper] if paper else [])]
    assert main(["card", str(book), "--lift", lift, "--to", str(target), "--json", *options]) in (0, 1)
    told = json.loads(capsys.readouterr().out)
    assert told["card"] == str(target) and told["lift"].casefold() == lift.replace(" ", "").casefold()
    assert book.read_bytes() == before
    pages = PdfReader(target).pages
    assert len(pages) == 2
    width, height = POINTS[paper or ("Letter" if demo == "lock-wall" else "A4")]
    for page, wanted in zip(pages, ((width, height), (height, width)), strict=True):
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(wanted, abs=1.0)
    text = " ".join(pages[0].extract_text().split())
    job = read_book(book)
    item = job.lift_called(lift)
    results = calculate(job)
    data = results.series["cards"].iloc[item]
    for heading in ("Placing starts", "Line 0", "Reads 3", "Assumed: Mix", "Anchors to set"):
        assert str(data[heading]) in text, heading
    for when, then in STOP_RULES:
        assert " ".join(when.split())[:40] in text and " ".join(then.split())[:40] in text
    assert job.text("Project") in text and job.digest[:16] in text
    signed = "".join(pages[1].extract_text().split())
    frame = results.frames["Hold points"]
    own = frame[frame["Block"].astype(str) + "/" + frame["Lift"].astype(str) == told["lift"]]
    assert len(own) == 11
    for heading in (
        "Hold point",
        "Name",
        "State",
        "Needs",
        "What the engine knows",
        "Against",
        "Released by",
    ):
        for value in own[heading]:
            assert "".join(str(value).split()) in signed, (heading, value)
    for when in own["Released"].dropna():
        assert f"{when:%Y-%m-%d%H:%M}" in signed


@needs_office
def test_the_card_alone_is_one_page(tmp_path: Path) -> None:
    book = demo_copy("gravity-dam", tmp_path)
    assert main(["card", str(book), "--lift", "M9/2", "--to", str(tmp_path / "card.pdf")]) in (0, 1)
    assert len(PdfReader(tmp_path / "card.pdf").pages) == 1


def test_a_lift_that_is_not_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sheetengine.card_command.office_program", lambda: "soffice")
    book = demo_copy("lock-wall", tmp_path)
    assert main(["card", str(book), "--lift", "L-99/1"]) == 3
    told = capsys.readouterr().err
    assert "no lift L-99/1" in " ".join(told.split()) and "L-14/1" in told
    assert main(["card", str(book), "--lift", "L-14/1", "--to", str(tmp_path / "card.txt")]) == 3
    assert "must end in .pdf" in " ".join(capsys.readouterr().err.split())
    assert [path.name for path in tmp_path.iterdir()] == [book.name]


def test_without_the_office_program(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(printing.OFFICE_VARIABLE, str(tmp_path / "nothing"))
    assert main(["card", str(demo_copy("lock-wall", tmp_path)), "--lift", "L-14/1"]) == 3
    assert "print the sheet Pour card" in " ".join(capsys.readouterr().err.split())


def test_the_lift_chosen_stays_chosen(tmp_path: Path, lock: Any) -> None:
    book = demo_copy("lock-wall", tmp_path)
    write_results(book, lock)
    opened = openpyxl.load_workbook(book)
    sheet = opened["Pour card"]
    cell = next(row[1] for row in sheet.iter_rows() if row[0].value == "Lift")
    names = lock.series["cards"]["Lift"].tolist()
    assert cell.value == names[0]
    rules = [rule for rule in sheet.data_validations.dataValidation if cell.coordinate in rule.cells]
    assert len(rules) == 1 and "'Pour card data'!" in str(rules[0].formula1)
    assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 1)
    assert sheet.page_setup.orientation == "portrait"
    cell.value = names[5]
    opened.save(book)
    write_results(book, lock)
    again = openpyxl.load_workbook(book, data_only=True)["Pour card"]
    shown = {row[0].value: row[1].value for row in again.iter_rows() if row[0].value}
    assert shown["Lift"] == names[5]
    assert shown["Anchors set by"] == lock.series["cards"]["Anchors set by"].iloc[5]


def test_no_blank_shows_as_nought(lock: Any) -> None:
    """A number that is not known is an empty cell on the card, never 0."""
    data = lock.series["cards"].copy()
    data.loc[0, ["Area", "Least"]] = math.nan
    results = type("Shown", (), {"series": {"cards": data}, "record": lock.record, "digest": lock.digest})()
    for live in (True, False):
        rates = next(
            t
            for t in card_of(results, str(data["Lift"].iloc[0]), live=live).tables
            if t.name == "How_fast_it_may_rise"
        )
        assert all(plain(row[3]) in ("", None) and plain(row[4]) in ("", None) for row in rates.rows)
        assert plain(rates.rows[-1][2]) in ("", None)
