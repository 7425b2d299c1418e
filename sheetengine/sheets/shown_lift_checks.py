"""Faults in the choice of the lift that a result sheet shows."""

from __future__ import annotations

from collections.abc import Iterator

from sheetengine.findings import Finding
from sheetengine.job import Job
from sheetengine.sheets.cell_values import unknown_name

SHOWN_FOR = ("Filling shown for", "Sensitivity shown for", "Heat shown for")
"""Lines of ``Job`` that name a lift."""


def shown_lift_faults(job: Job) -> Iterator[Finding]:
    """Return a fault where a line of ``Job`` names a lift that is not there."""
    names = [job.lift_name(item) for item in range(len(job.table("Lifts")))]
    for name in SHOWN_FOR:
        item = job.items[name]
        if not item.text or job.lift_called(item.text) >= 0:
            continue
        yield unknown_name(
            item, name, names, "no such block and lift in Lifts.", "Write it as block/lift, for example M8/5."
        )
