"""Faults of the sheet ``Specimens`` that show only between its rows, or against ``Mixes``."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sheetengine.findings import Code, Finding
from sheetengine.job import Job
from sheetengine.sheets.cell_values import fault, unknown_name

FITTED = "Fitted to specimens"
SHOWN_FOR = "Fit shown for"
GREATEST_CUBE = 115.0
"""Cube strength in MPa at which the pairs of cube and cylinder strength end (EN 206, C100/115)."""


def specimen_faults(job: Job) -> Iterator[Finding]:
    """Return every fault of the tests: none for a mix that asks for them, doubled, of mixed kinds, beyond the table."""
    yield from _missing(job)
    yield from _doubled(job)
    yield from _mixed_kinds(job)
    yield from _strong_cubes(job)
    yield from _shown(job)


def _missing(job: Job) -> Iterator[Finding]:
    mixes, table = job.table("Mixes"), job.table("Specimens")
    tested = {str(name).casefold() for name in table.label("mix")}
    for item in np.flatnonzero(mixes.label("strength_curve") == FITTED).tolist():
        name = str(mixes.label("mix")[item])
        if name.casefold() not in tested:
            yield fault(
                Code.MISSING_VALUE,
                mixes.at(item, "strength_curve"),
                f"Strength curve is {FITTED}, and the sheet Specimens has no row for mix {name}.",
                "Enter the mix's tests in Specimens, or choose another curve.",
                heading="Strength curve",
            )


def _doubled(job: Job) -> Iterator[Finding]:
    table = job.table("Specimens")
    first: dict[tuple[str, str], int] = {}
    for item, (mix, mark) in enumerate(zip(table.label("mix"), table.label("specimen"), strict=True)):
        if not mark:
            continue
        key = (str(mix).casefold(), str(mark).casefold())
        if key in first:
            yield fault(
                Code.DUPLICATE_ROW,
                table.at(item, "specimen"),
                f"Specimen {mark} of mix {mix} stands twice, here and in row {int(table.rows[first[key]])}.",
                "Keep one of the two rows, or give the other its own mark.",
                mark,
                "Specimen",
            )
        else:
            first[key] = item


def _mixed_kinds(job: Job) -> Iterator[Finding]:
    table = job.table("Specimens")
    worked_out = np.array(
        [str(kind).endswith("characteristic") for kind in table.label("strength_kind")], dtype=bool
    )
    folded = np.array([str(name).casefold() for name in table.label("mix")], dtype=object)
    for name in dict.fromkeys(folded[worked_out].tolist()):
        own = folded == name
        if (worked_out & own).sum() == own.sum():
            continue
        for item in np.flatnonzero(worked_out & own).tolist():
            yield fault(
                Code.IMPOSSIBLE_VALUE,
                table.at(item, "strength_kind"),
                f"This row of mix {table.label('mix')[item]} is a characteristic value, and other rows of the mix are measured; "
                "one curve cannot be fitted to both.",
                "Give all rows of the mix as measured, or all as characteristic.",
                table.label("strength_kind")[item],
                "Strength kind",
            )


def _strong_cubes(job: Job) -> Iterator[Finding]:
    table, mixes = job.table("Specimens"), job.table("Mixes")
    own = mixes.spread("mix", table.label("mix"))
    strength = table.number("strength")
    for item in np.flatnonzero(strength > GREATEST_CUBE).tolist():
        kind = str(table.label("strength_kind")[item])
        if not kind and own[item] >= 0:
            kind = str(mixes.label("strength_kind")[own[item]])
        if kind.startswith("cube"):
            yield fault(
                Code.IMPOSSIBLE_VALUE,
                table.at(item, "strength"),
                f"A cube strength of {strength[item]:.4g} MPa is above {GREATEST_CUBE:g} MPa, where the pairs of cube and cylinder "
                "strength of EN 206 end.",
                "Correct the value, or test cylinders.",
                float(strength[item]),
                "Strength",
            )


def _shown(job: Job) -> Iterator[Finding]:
    item, table = job.items[SHOWN_FOR], job.table("Specimens")
    names = list(dict.fromkeys(str(name) for name in table.label("mix")))
    if not item.text or item.text.casefold() in {name.casefold() for name in names}:
        return
    yield unknown_name(
        item, SHOWN_FOR, names, "the sheet Specimens has no such mix.",
        "Write the name of a mix that has rows in Specimens.",
    )  # fmt: skip
