"""Faults in the geometry of strongbacks and in the choice of the lift whose filling is shown."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sheetengine.columns import Table
from sheetengine.findings import Code, Finding
from sheetengine.job import Job
from sheetengine.sheets.cell_values import fault, unknown_name

SHOWN_FOR = ("Filling shown for", "Sensitivity shown for", "Heat shown for")
"""Lines of ``Job`` that name a lift."""


def strongback_faults(job: Job) -> Iterator[Finding]:
    """Return the units whose hinge, brace and panel cannot stand as stated, each with what was understood."""
    units = job.table("Form units")
    hinge, brace, panel, foot = (
        units.number(key) for key in ("hinge_height", "brace_height", "panel_height", "brace_foot_height")
    )
    wrong = (
        (brace <= hinge, "brace_height", "Brace height", "Brace height is not above Hinge height.",
         "Give the upper support of the strongback above the lower one."),
        (brace > panel, "brace_height", "Brace height", "Brace height is above the top of the panel.",
         "Correct Brace height or Panel height; both count from the joint."),
        (foot >= brace, "brace_foot_height", "Brace foot height", "The foot of the brace is not below its upper end.",
         "Give the level at which the brace stands on the bracket frame, negative below the joint."),
    )  # fmt: skip
    for rows, key, heading, text, clears in wrong:
        for item in np.flatnonzero(rows).tolist():
            yield fault(
                Code.IMPOSSIBLE_VALUE,
                units.at(item, key),
                f"{text} Understood, from the joint up: {_sketch(units, item)}.",
                clears,
                heading=heading,
            )


def _sketch(units: Table, item: int) -> str:
    """Return the heights of a unit in words, from below upwards."""
    named = [
        (float(units.number(key)[item]), name)
        for key, name in (
            ("brace_foot_height", "foot of the brace"),
            ("hinge_height", "hinge"),
            ("brace_height", "brace"),
            ("panel_height", "top of the panel"),
        )
        if np.isfinite(units.number(key)[item])
    ]
    return ", ".join(f"{name} at {height:.3g} m" for height, name in sorted(named))


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
