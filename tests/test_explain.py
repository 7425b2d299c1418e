"""Every word of the workbook can be explained, from the declarations."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from sheetengine.__main__ import main
from sheetengine.demos import DEMOS, demo_file
from sheetengine.findings import Code
from sheetengine.run import calculate, read_book
from sheetengine.sheets.explanations import (
    CODES,
    FLAG_CODE,
    INPUT_HEADING,
    JOB_LINE,
    explained,
    explanations,
    markdown,
)


def test_every_flag_code_says_what_it_is_and_what_to_do() -> None:
    assert set(CODES) == set(Code)
    for meaning, cure in CODES.values():
        assert meaning.endswith(".") and cure.endswith(".")
    assert len({meaning for meaning, _ in CODES.values()}) == len(CODES)


def test_every_input_says_more_than_its_name() -> None:
    for entry in explanations():
        if entry.kind in (INPUT_HEADING, JOB_LINE):
            assert len(entry.meaning) > len(entry.name), (entry.sheet, entry.name)


def test_every_flag_of_the_demo_books_is_explained() -> None:
    for demo in DEMOS:
        if demo.name == "faults":
            continue
        for finding in calculate(read_book(demo_file(demo))).findings:
            (entry,) = [entry for entry in explained(finding.identifier) if entry.kind == FLAG_CODE]
            assert entry.name == finding.code.value


@pytest.mark.parametrize("word", ["Rise rate", "rise rate [ft/h]", " RISE  RATE "])
def test_a_heading_is_found_however_it_is_spelled(word: str) -> None:
    (entry,) = [entry for entry in explained(word) if entry.kind == INPUT_HEADING]
    assert (entry.sheet, dict(entry.facts)["Unit"]) == ("Lifts", "[m/h] or [ft/h]")


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "Review threshold", "--json"]) == 0
    told = capsys.readouterr()
    (entry,) = json.loads(told.out)["explained"]
    assert entry["If blank"] == "0.90"
    assert "Ratio from which a row reads Near limit." in told.err
    assert main(["explain", "Heigth"]) == 1
    assert "Is it Height?" in capsys.readouterr().err
    assert main(["explain"]) == 0
    assert "can be explained" in capsys.readouterr().err
    target = tmp_path / "reference.md"
    assert main(["explain", "--markdown", str(target)]) == 0
    text = target.read_text(encoding="utf-8")
    assert text == markdown()
    for sheet in ("Job", "Mixes", "Lifts", "Anchor demand", "Flags"):
        assert f"## {sheet} (" in text
    widths = {line.replace("\\|", "").count("|") for line in text.splitlines() if line.startswith("|")}
    assert widths == {4}
    assert main(["explain", "--markdown", str(tmp_path / "none" / "x.md")]) == 3
