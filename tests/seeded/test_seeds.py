"""How many seeded faults are found, by kind; the README tells the rate."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest
from fewer_blocks import demo_of_blocks
from seeded_faults import EACH, KINDS, findings_of, is_found, seeds, sound, with_column

from sheetengine.__main__ import main
from sheetengine.run import calculate, read_book, write_results
from sheetengine.sheets.signing import OPEN_AGAIN, SIGNED, lived

README = Path(__file__).parents[2] / "README.md"
LEAST_OF_A_KIND = 5
"""Faults of eight that must be found of every kind; what is missed is named below."""
MISSED = {
    "neighbouring cells swapped": 2,
}
"""Faults that nothing speaks of, by kind, as measured; a number that falls is to be lowered here."""


@pytest.mark.parametrize("kind", KINDS)
def test_of_a_kind(kind: str) -> None:
    found = [is_found(seed) for seed in seeds(kind)]
    assert len(found) == EACH
    assert found.count(False) == MISSED.get(kind, 0), [
        seed.where for seed, seen in zip(seeds(kind), found, strict=True) if not seen
    ]
    assert found.count(True) >= LEAST_OF_A_KIND


def written(tmp_path: Path, demo: str) -> Path:
    book = demo_of_blocks(demo, tmp_path, "L-14")
    write_results(book, calculate(read_book(book)))
    return book


RESULT_KINDS = 16
"""Stale and edited results: eight of each, below."""


@pytest.mark.parametrize("demo", ["lock-wall"])
def test_stale_and_edited_results(demo: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """``verify`` says stale after each of eight changed inputs, and edited after each of eight typed-over results."""
    book = written(tmp_path, demo)
    whole = book.read_bytes()
    inputs = [("Lifts", "Height"), ("Lifts", "Concrete temperature"), ("Mixes", "Strength 28 d"), ("Form units", "Mass"),
              ("Anchor types", "Embedment"), ("Lifts", "Placing rate"), ("Form units", "Foot depth"), ("Mixes", "Slump")]  # fmt: skip
    results = [("Pressures", "Maximum pressure"), ("Anchor demand", "Demand ratio"), ("Anchor demand", "Verdict"),
               ("Strength ready", "Margin"), ("Embed counts", "Count"), ("Bar counts", "Mass"), ("Programme", "Slack"),
               ("Working limits", "Greatest anchor spacing")]  # fmt: skip
    for word, places in (("changed since", inputs), ("changed by hand", results)):
        for sheet, heading in places:
            book.write_bytes(whole)
            opened = openpyxl.load_workbook(book)
            cells = opened[sheet]
            head = next(
                cell for row in cells.iter_rows() for cell in row if str(cell.value).split(" [")[0] == heading
            )
            cell = next(
                cells.cell(row, head.column)
                for row in range(head.row + 1, cells.max_row)
                if cells.cell(row, head.column).value is not None
            )
            cell.value = "Within " if isinstance(cell.value, str) else cell.value * 1.07
            opened.save(book)
            assert main(["verify", str(book)]) == 1
            assert word in " ".join(capsys.readouterr().err.split()), (sheet, heading)


SUPERSEDED = [
    (demo, sheet, heading, factor)
    for demo, changes in (
        ("gravity-dam", (("Lifts", "Rise rate", 1.3), ("Anchor types", "Embedment", 0.9), ("Lifts", "Concrete temperature", 0.6),
                         ("Form units", "Permissible pressure", 0.9))),
        ("lock-wall", (("Mixes", "Strength 28 d", 0.8), ("Anchor types", "Embedment", 0.85), ("Form units", "Permissible pressure", 0.9),
                       ("Lifts", "Plan area", 0.6))),
    )
    for sheet, heading, factor in changes
]  # fmt: skip
"""Inputs that take the place of those that were signed for, by the factor on their numbers."""


@pytest.mark.parametrize(("demo", "sheet", "heading", "factor"), SUPERSEDED)
def test_a_superseded_value_that_was_signed_for(demo: str, sheet: str, heading: str, factor: float) -> None:
    """Every flag is signed; then an input takes a worse value, and a signature falls."""
    before = findings_of(sound(demo))
    entries, _ = lived(before, {}, (), time="1")
    signed = {entry.identifier: replace(entry, initials="KL") for entry in entries}
    entries, _ = lived(before, signed, (), time="2")
    assert {entry.state for entry in entries} == {SIGNED}
    after = findings_of(with_column(demo, sheet, heading, lambda value: value * factor))
    entries, _ = lived(after, {entry.identifier: entry for entry in entries}, (), time="3")
    fallen = [entry for entry in entries if entry.state == OPEN_AGAIN]
    assert fallen and all(entry.before.startswith("KL") for entry in fallen)


def test_the_readme_tells_the_rate() -> None:
    seeded = len(KINDS) * EACH + RESULT_KINDS + len(SUPERSEDED)
    found = seeded - sum(MISSED.values())
    said = re.search(r"(\d+) of (\d+) seeded faults of (\d+) kinds", README.read_text(encoding="utf-8"))
    assert said is not None
    assert tuple(map(int, said.groups())) == (found, seeded, len(KINDS) + 3)
    assert found / seeded >= 0.95 and seeded >= 200 and len(KINDS) >= 20
