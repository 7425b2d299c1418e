"""The rows of ``Flags`` and ``Flag history``."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from sheetengine.content import Link
from sheetengine.findings import Finding
from sheetengine.sheets.result_looks import FLAG_HISTORY, FLAGS
from sheetengine.sheets.signing import Entry, Event, lived


def flag_frame(findings: Sequence[Finding], entries: Sequence[Entry] | None = None) -> pd.DataFrame:
    """Return the rows of ``Flags``: the findings, each with what the reviewer gave it, where that is known."""
    if entries is None:
        entries, _ = lived(findings, {}, (), time="")
    rows = []
    for finding, entry in zip(findings, entries, strict=True):
        of_lift = len(finding.keys) > 1 and finding.at.sheet not in (
            "Mixes",
            "Form units",
            "Anchor types",
            "Job",
        )
        block, lift = (finding.keys[0], finding.keys[1]) if of_lift and finding.keys[0] != "all" else ("", "")
        rows.append(
            {
                "Flag": entry.identifier,
                "Level": entry.now.level,
                "Where": Link(str(finding.at), finding.at.link),
                "Finding": finding.message,
                "Value": entry.now.value,
                "Limit": entry.now.limit,
                "Source": "" if finding.source is None else str(finding.source),
                "What would clear it": finding.clears,
                "Initials": entry.initials,
                "Remark": entry.remark,
                "State": entry.state if not entry.why else f"{entry.state}: {entry.why}",
                "Signed before": entry.before,
                "First raised": entry.raised,
                "Block": block,
                "Lift": lift,
                "Cell": str(finding.at),
                "About": entry.now.about,
                "Signed by": entry.signed_by,
                "Signed level": entry.signed.level,
                "Signed value": entry.signed.value,
                "Signed limit": entry.signed.limit,
                "Signed about": entry.signed.about,
            }
        )
    return pd.DataFrame(rows, columns=[column.name for column in FLAGS])


def history_frame(events: Sequence[Event]) -> pd.DataFrame:
    """Return the rows of ``Flag history``, newest first."""
    rows = [
        (e.time, e.identifier, e.what, e.stand.level, e.finding, e.stand.value, e.stand.limit, e.initials, e.remark,
         e.stand.about, e.digest)
        for e in events
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=[column.name for column in FLAG_HISTORY])
