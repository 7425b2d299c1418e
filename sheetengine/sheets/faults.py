"""The sheet that lists input faults, where the calculation runs in an open workbook."""

from __future__ import annotations

from collections.abc import Sequence

from sheetengine.content import ColumnLook, Link, Look, SheetContent, TableContent
from sheetengine.findings import Finding

FAULT_SHEET = "Input faults"
_PURPOSE = "What must be put right before the inputs can be computed. Follow Where to the cell."
_USED = "The inputs could be used at the last run; nothing is listed."
_OLDER = "Nothing was computed: the other result sheets belong to the inputs of an earlier run."
_COLUMNS = (
    ColumnLook("Flag", width=16.0),
    ColumnLook("Where", Look.LINK, 22.0),
    ColumnLook("Finding", width=60.0),
    ColumnLook("Value", width=20.0),
    ColumnLook("What would clear it", width=60.0),
)


def fault_content(faults: Sequence[Finding], when: str) -> SheetContent:
    """Return the sheet of input faults, by sheet and cell.

    Parameters
    ----------
    faults
        Every fault of the book; none where the inputs could be used.
    when
        Time of the run.
    """
    ordered = sorted(faults, key=lambda finding: (finding.at.sheet, finding.at.row, finding.at.column))
    rows = [
        [
            finding.identifier,
            Link(str(finding.at), finding.at.link),
            finding.message,
            "" if finding.found is None else str(finding.found),
            finding.clears,
        ]
        for finding in ordered
    ]
    return SheetContent(
        FAULT_SHEET,
        FAULT_SHEET,
        [_PURPOSE, _OLDER] if faults else [_USED],
        [TableContent("Input_faults", _COLUMNS, rows)],
        freeze_columns=2,
        facts=(("Run", when),),
    )
