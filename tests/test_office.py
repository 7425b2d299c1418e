"""The result books as a user meets them: opened in LibreOffice, charts drawn, inputs still readable."""

from __future__ import annotations

import datetime as dt
import subprocess
from collections.abc import Callable
from pathlib import Path

import numpy as np
import openpyxl
import pandas as pd
import pytest

from sheetengine import calculate, read_book, write_results
from sheetengine.__main__ import main
from sheetengine.books import palette
from sheetengine.demos import DEMOS, demo_file

Convert = Callable[[Path, str], Path]
GOOD = [demo for demo in DEMOS if demo.name != "faults"]
CHARTS = {
    "Pressure on lift": 1,
    "Demand ratio of the anchors by lift": 1,
    "Strength at the anchors of lift": 1,
}
"""Title of each chart, and the place of the curve whose colour is looked for."""


def result_book(name: str, folder: Path) -> Path:
    source = demo_file(next(demo for demo in DEMOS if demo.name == name))
    out = folder / "book.xlsx"
    write_results(source, calculate(read_book(source)), out, moment=dt.datetime(2031, 10, 1, 8))
    return out


def pixels_of(pdf: Path, page: int, colour: str) -> int:
    """Return how many pixels of a page have nearly the colour."""
    ppm = subprocess.run(
        ["pdftoppm", "-r", "60", "-f", str(page), "-l", str(page), str(pdf)], capture_output=True, check=True
    ).stdout
    header, size, _depth, data = ppm.split(b"\n", 3)
    assert header == b"P6"
    width, height = (int(part) for part in size.split())
    image = np.frombuffer(data, dtype=np.uint8, count=width * height * 3).reshape(-1, 3).astype(np.int64)
    wanted = np.array([int(colour[place : place + 2], 16) for place in (0, 2, 4)])
    return int((np.abs(image - wanted).max(axis=1) < 24).sum())


@pytest.mark.parametrize("name", [demo.name for demo in GOOD])
def test_charts_are_drawn(name: str, tmp_path: Path, convert: Convert) -> None:
    pdf = convert(result_book(name, tmp_path), "pdf")
    text = subprocess.run(["pdftotext", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    pages = text.split("\f")
    assert "#REF!" not in text
    assert "Err:" not in text
    wide = "Demand ratio of the anchors by lift"  # beside keys that stand again on every page; the calculation record prints it
    assert wide not in text
    for title, curve in CHARTS.items():
        if title != wide:
            page = next(number for number, words in enumerate(pages, 1) if title in words)
            assert pixels_of(pdf, page, palette.CURVE_COLOURS[curve]) >= 20, title


@pytest.mark.parametrize("name", [demo.name for demo in GOOD])
def test_charts_are_drawn_in_the_record(name: str, tmp_path: Path, convert: Convert) -> None:
    book, pdf = result_book(name, tmp_path), tmp_path / "record.pdf"
    main(["report", str(book), "--to", str(pdf)])
    text = subprocess.run(["pdftotext", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    pages = text.split("\f")
    for title, curve in CHARTS.items():
        page = next(number for number, words in enumerate(pages, 1) if title in words)
        assert pixels_of(pdf, page, palette.CURVE_COLOURS[curve]) >= 20, title


@pytest.mark.parametrize("name", [demo.name for demo in GOOD])
def test_a_book_saved_by_libreoffice_gives_the_same_results(
    name: str, tmp_path: Path, convert: Convert
) -> None:
    book = result_book(name, tmp_path)
    saved = convert(book, "xlsx")
    before, after = calculate(read_book(book)), calculate(read_book(saved))
    for sheet, frame in before.frames.items():
        if sheet != "Flags":
            pd.testing.assert_frame_equal(frame, after.frames[sheet], check_dtype=False, rtol=1e-9)
    assert [finding.identifier for finding in before.findings] == [f.identifier for f in after.findings]
    write_results(saved, after, tmp_path / "again.xlsx")
    assert (
        openpyxl.load_workbook(tmp_path / "again.xlsx").sheetnames == openpyxl.load_workbook(book).sheetnames
    )
