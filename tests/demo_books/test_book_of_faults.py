"""Every fault that was put into the book of faults is told, each at its own cell."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from sheetengine.demos import demo_file, demo_named
from sheetengine.exceptions import InputFaults
from sheetengine.findings import Finding, Level
from sheetengine.run import read_book

EXPECTED = (
    # code, cell, words of the message or of what would clear it
    ("MVA", "Job!A12", "Rename it to Anchor method"),
    ("NLS", "Job!B10", "Did you mean EN partial factors?"),
    ("NLS", "Job!B13", "neither yes nor no"),
    ("UNT", "Job!C17", "no unit is given"),
    ("UNT", "Job!C18", "measures something else"),
    ("NAN", "Job!B20", "no number"),
    ("DUP", "Job!A23", "stands twice"),
    ("IMP", "Job!B24", "at most 1"),
    ("UNT", "Mixes!B4", "[kN/ft9] is not known"),
    ("MVA", "Mixes!J5", "Ultimate strength is blank"),
    ("NLS", "Mixes!N5", "neither yes nor no"),
    ("IMP", "Mixes!U6", "not below Reference temperature"),
    ("UNT", "Form units!Q4", "a pressure is wanted"),
    ("IMP", "Form units!F5", "not below Anchor depth"),
    ("MRG", "Form units!G5", "merged"),
    ("IMP", "Form units!D6", "whole number"),
    ("IMP", "Anchor types!H5", "above Tensile strength"),
    ("MVA", "Anchor types!D6", "Neither Head diameter nor Bearing area"),
    ("MHD", "Lifts!D4", "Face lenght"),
    ("DHD", "Lifts!O4", "stands twice"),
    ("UNT", "Lifts!Q4", "carries no unit"),
    ("IMP", "Lifts!C5", "more than 0 m"),
    ("NAN", "Lifts!P6", "12,5"),
    ("UNK", "Lifts!E6", "Did you mean F35 facing?"),
    ("UNK", "Lifts!F7", "P33X"),
    ("NDT", "Lifts!I7", "no date"),
    ("DUP", "Lifts!A8", "stands twice"),
    ("NRC", "Lifts!P9", "no stored value"),
    ("ERR", "Lifts!P10", "#DIV/0!"),
    ("ORD", "Lifts!T10", "not after Placed"),
    ("ORD", "Lifts!I11", "not after the lift below"),
    ("MVA", "Lifts!H12", "blank"),
    ("IMP", "Lifts!S12", "more than 0 m"),
    ("IMP", "Bars!L5", "whole number"),
    ("NAN", "Bars!F6", "3,000"),
    ("UNK", "Embeds!B5", "not in Lifts"),
    ("NLS", "Embeds!E6", "lost, recovered"),
    ("IMP", "Stock!B5", "at least 0"),
)


def faults_of(path: Path) -> list[Finding]:
    with pytest.raises(InputFaults) as caught:
        read_book(path)
    return list(caught.value.findings)


@pytest.fixture(scope="module")
def faults() -> list[Finding]:
    return faults_of(demo_file(demo_named("faults")))


@pytest.mark.parametrize(("code", "cell", "words"), EXPECTED, ids=[f"{c}-{at}" for c, at, _ in EXPECTED])
def test_fault_is_told_at_its_cell(faults: list[Finding], code: str, cell: str, words: str) -> None:
    told = [str(fault) for fault in faults if fault.code.value == code and str(fault.at) == cell]
    assert len(told) == 1
    assert words in told[0]


def test_nothing_is_told_that_was_not_put_in(faults: list[Finding]) -> None:
    meant = {(code, cell) for code, cell, _ in EXPECTED}
    assert len(meant) >= 20
    others = {(fault.code.value, str(fault.at)) for fault in faults} - meant
    # the second cell of the merged area reads as a blank of its own, and the renamed item as a missing one
    assert others <= {("MVA", "Form units!G6"), ("MVA", "Job")}


def test_every_fault_says_where_and_what_to_do(faults: list[Finding]) -> None:
    for fault in faults:
        assert fault.level is Level.FAULT
        assert fault.at.sheet
        assert fault.message
        assert fault.clears


@pytest.mark.parametrize("sheet", ["Job", "Mixes", "Form units", "Anchor types", "Lifts"])
def test_missing_sheet_is_named(sheet: str, tmp_path: Path) -> None:
    workbook = openpyxl.load_workbook(demo_file(demo_named("lock-wall")))
    del workbook[sheet]
    path = tmp_path / "without_a_sheet.xlsx"
    workbook.save(path)
    missing = [fault for fault in faults_of(path) if fault.code.value == "MSH"]
    assert [fault.at.sheet for fault in missing] == [sheet]
    assert "sheetengine new" in missing[0].clears
