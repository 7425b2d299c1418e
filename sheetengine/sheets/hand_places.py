"""Where the inputs of the hand check stand in the office's sheets."""

from __future__ import annotations

import numpy as np

from sheetengine.cells import column_letters
from sheetengine.hand_check.data import Place
from sheetengine.job import Job
from sheetengine.sheets.optional_inputs import INPUT_SHEETS
from sheetengine.units import to_base

SHEETS = ("Lifts", "Mixes", "Form units", "Anchor types")


def hand_places(job: Job) -> dict[tuple[str, str], Place]:
    """Return every numeric column of the sheets that the hand check reads, by sheet and key."""
    found = {}
    for sheet in INPUT_SHEETS:
        if sheet.name not in SHEETS:
            continue
        table = job.table(sheet.name)
        for heading in sheet.headings:
            column = table.at_columns.get(heading.key)
            if column is None or heading.key not in table.numbers or not len(table):
                continue
            at_none, at_one = to_base(
                np.array([0.0, 1.0]), table.units.get(heading.key, ""), heading.measure
            ).tolist()
            found[sheet.name, heading.key] = Place(
                sheet.name, column_letters(column), int(table.rows.max()), at_one - at_none, at_none
            )
    return found
