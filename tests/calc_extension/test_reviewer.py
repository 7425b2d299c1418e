"""A reviewer's path in a real LibreOffice: sign, see a signature fall and stand, follow a flag, re-do its row by hand."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from fewer_blocks import demo_of_blocks

from sheetengine import calculate, read_book, write_results
from sheetengine.cells import column_letters


def table(office: Any, sheet: str, first: str) -> tuple[int, list[str], list[list[Any]]]:
    """Return the heading row of a table, from 1, its headings, and the rows below it."""
    rows = office("rows", sheet)
    head = next(place for place, row in enumerate(rows) if row[0] == first)
    body = []
    for row in rows[head + 1 :]:
        if row[0] == "":
            break
        body.append(row)
    return head + 1, [str(word) for word in rows[head]], body


def flag(office: Any, words: str) -> dict[str, Any]:
    """Return the flag whose finding holds some words, with its row in the sheet."""
    head, headings, body = table(office, "Flags", "Flag")
    at = next(place for place, row in enumerate(body) if words in str(row[headings.index("Finding")]))
    return dict(zip(headings, body[at], strict=False)) | {"row": head + 1 + at, "headings": headings}


def write_beside(office: Any, found: dict[str, Any], initials: str, remark: str) -> None:
    for heading, text in (("Initials", initials), ("Remark", remark)):
        office("set", "Flags", f"{column_letters(found['headings'].index(heading) + 1)}{found['row']}", text)


def run(office: Any) -> None:
    good, words = office("dispatch", "run")
    assert good, words


def test_the_path_of_a_reviewer(office: Any, tmp_path: Path) -> None:
    book = demo_of_blocks("gravity-dam", tmp_path, "M7")
    write_results(book, calculate(read_book(book)))
    office("open", str(book))
    pressed, layers = "Lift M7/6: the fresh concrete presses", "Lift M7/8: the face of a layer"
    for words in (pressed, layers):
        write_beside(office, flag(office, words), "KL", "seen with the site")
    run(office)
    assert [flag(office, words)["State"] for words in (pressed, layers)] == ["Signed", "Signed"]
    identifier = flag(office, pressed)["Flag"]

    # the rate goes up: that signature falls and says why, the other stands
    cell = flag(office, pressed)["Cell"].split("!")[1]
    _, rate = office("get", "Lifts", cell)
    office("set", "Lifts", cell, float(rate) * 1.3)
    run(office)
    fallen = flag(office, pressed)
    assert fallen["Flag"] == identifier
    assert fallen["State"].startswith("Open again: the value signed was 50.58 kPa")
    assert (fallen["Initials"], fallen["Remark"]) == ("", "seen with the site")
    assert fallen["Signed before"].startswith("KL at 50.58 kPa")
    assert flag(office, layers)["State"] == "Signed"
    _, headings, history = table(office, "Flag history", "Time")
    assert ("Opened again", identifier) in {
        (row[headings.index("Event")], row[headings.index("Flag")]) for row in history
    }

    # the row of the flag by hand: the chooser takes it, and every chain agrees
    head, _, _ = table(office, "Hand check", "What")
    office("set", "Hand check", f"B{head + 1}", "M7/6 · Placing")
    _, headings, summary = table(office, "Hand check", "Chain")
    found = {row[0]: row[headings.index("Finding")] for row in summary}
    assert found["Lateral pressure by DIN 18218:2010"] == found["Forces of one anchor"] == "Agrees"
    shown = next(row for row in summary if row[0].startswith("Lateral pressure"))
    assert float(fallen["Value"].split()[0]) == pytest.approx(shown[headings.index("Re-done")], abs=5e-3)

    # signed anew it stands for the new value; put right it goes to the history, with who had signed it
    write_beside(office, fallen, "MN", "accepted, see minutes")
    run(office)
    assert (flag(office, pressed)["State"], flag(office, pressed)["Initials"]) == ("Signed", "MN")
    office("set", "Lifts", cell, float(rate) * 0.5)
    run(office)
    _, headings, history = table(office, "Flag history", "Time")
    newest = dict(zip(headings, history[0], strict=False))
    cleared = [
        dict(zip(headings, row, strict=False)) for row in history if row[headings.index("Flag")] == identifier
    ]
    assert newest["Event"] == "Cleared"
    assert (cleared[0]["Event"], cleared[0]["Initials"], cleared[0]["Remark"]) == (
        "Cleared",
        "MN",
        "accepted, see minutes",
    )
