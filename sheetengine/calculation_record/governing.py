"""The governing rows of every check, and the greatest use of every lift."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from sheetengine.calculation_record.parts import Part, RecordTable
from sheetengine.content import ColumnLook, Look
from sheetengine.job import Results
from sheetengine.sheets.result_looks import BY_SHEET, look_of
from sheetengine.sheets.results import shown_frame

SEVERITY = ("Within", "Near limit", "Not computed", "Outside scope", "Exceeds")
"""Verdicts, the worse the later."""
WORST = 3
"""Rows shown of a check that has no stages or gates."""


@dataclass(frozen=True, slots=True)
class Check:
    """One result sheet with a verdict: what makes a row worse, what its rows are grouped by, what is shown.

    ``ratios`` grow with the demand; ``margins`` shrink with it.
    """

    sheet: str
    shows: tuple[str, ...]
    ratios: tuple[str, ...] = ()
    margins: tuple[str, ...] = ()
    group: str = ""


CHECKS = (
    Check("Pressures", ("Maximum pressure", "Permissible pressure", "Governed by", "Panel ratio"), ("Panel ratio",)),
    Check("Filling", ("Rise rate", "Longest exposure", "Exposure window", "Exposure ratio"), ("Exposure ratio",)),
    Check(
        "Strongbacks",
        ("Greatest moment", "Greatest shear", "Brace force", "Governing", "Moment ratio", "Shear ratio", "Brace ratio",
         "Offset ratio"),
        ("Moment ratio", "Shear ratio", "Brace ratio", "Offset ratio"),
    ),
    Check(
        "Anchor demand",
        ("Tension", "Shear", "Concrete strength", "Required strength", "Governing mode", "Demand ratio"),
        ("Demand ratio",), group="Stage",
    ),
    Check(
        "Strength ready",
        ("Required strength", "Predicted strength", "Planned", "Ready at", "Margin", "Governed by"),
        margins=("Margin",), group="Gate",
    ),
    Check("Lift heat", ("Peak temperature", "Core to face", "Core to joint", "Cooling in 24 h")),
    Check("Programme", ("Placed", "Earliest placing", "Binding gate", "Slack"), margins=("Slack",)),
    Check(
        "Crane picks", ("Hook load", "Capacity at radius", "Governing", "Lifting-point ratio", "Crane ratio"),
        ("Lifting-point ratio", "Crane ratio"), group="Stage",
    ),
    Check(
        "As-built check",
        ("Anchors in", "Planned", "Counted", "Ratio as planned", "Ratio as built", "Governing mode"),
        ("Ratio as built",), group="Stage",
    ),
    Check(
        "Lift record check",
        ("From", "To", "Rise rate", "Greatest rise rate", "Concrete temperature", "Pressure", "Ratio", "Open for"), ("Ratio",),
    ),
)  # fmt: skip
KEYS = ("Block", "Lift")


def _heading(frame: pd.DataFrame, name: str) -> str | None:
    """Return the heading of a frame that has this name, whatever its unit."""
    return next((str(h) for h in frame.columns if str(h).split(" [", maxsplit=1)[0] == name), None)


def worse(check: Check, frame: pd.DataFrame) -> pd.Series[Any]:
    """Return the use of every row of a check, the greater the worse; ``-inf`` where it has none."""
    use = np.full(len(frame), -np.inf)
    for names, sign in ((check.ratios, 1.0), (check.margins, -1.0)):
        for name in names:
            heading = _heading(frame, name)
            if heading is not None:
                values = sign * pd.to_numeric(frame[heading]).to_numpy(dtype=np.float64)
                use = np.where(values > use, values, use)
    return pd.Series(use, index=frame.index)


def ordered(check: Check, frame: pd.DataFrame) -> pd.DataFrame:
    """Return the rows of a check, the worst first: by verdict, then by use."""
    rank = frame["Verdict"].map({word: place for place, word in enumerate(SEVERITY)}).fillna(len(SEVERITY))
    by = pd.DataFrame({"rank": rank, "use": worse(check, frame)}, index=frame.index)
    return frame.loc[by.sort_values(["rank", "use"], ascending=False, kind="stable").index]


def governing_rows(check: Check, frame: pd.DataFrame) -> pd.DataFrame:
    """Return the worst row of every stage or gate, in their order; without these the worst rows of all."""
    sorted_ = ordered(check, frame)
    if not check.group:
        return sorted_.head(WORST)
    first = sorted_.drop_duplicates(check.group)
    order = {word: place for place, word in enumerate(dict.fromkeys(frame[check.group]))}
    return first.loc[first[check.group].map(order).sort_values(kind="stable").index]


def _table(check: Check, results: Results, us: bool) -> RecordTable | None:
    frame = results.frames.get(check.sheet)
    if frame is None or frame.empty:
        return None
    rows = governing_rows(check, frame)
    looks = BY_SHEET[check.sheet]
    names = [*([check.group] if check.group else []), *KEYS, *check.shows, "Verdict"]
    headings = [heading for name in names if (heading := _heading(rows, name)) is not None]
    shown_rows = shown_frame(check.sheet, rows[headings], us)
    columns = []
    for heading, titled in zip(headings, shown_rows.columns, strict=True):
        look = look_of(looks, heading)
        columns.append(ColumnLook(str(titled), look.look, max(look.width, 7.0), look.decimals))
    tally = frame["Verdict"].value_counts()
    told = ", ".join(f"{int(tally[word])} {word}" for word in reversed(SEVERITY) if word in tally)
    of = f"the worst row of every {check.group.lower()}" if check.group else f"the {len(rows)} worst rows"
    return RecordTable(
        check.sheet, columns, list(shown_rows.itertuples(index=False, name=None)), f"{len(frame)} rows: {told}. Shown: {of}."
    )  # fmt: skip


def _worst_by_lift(check: Check, results: Results) -> dict[tuple[str, str], pd.Series[Any]]:
    frame = results.frames.get(check.sheet)
    if frame is None or frame.empty:
        return {}
    first = ordered(check, frame).drop_duplicates(list(KEYS))
    return {(str(row["Block"]), str(row["Lift"])): row for _, row in first.iterrows()}


def lift_table(results: Results) -> RecordTable:
    """Return one row for each lift: its greatest ratios, its least margin, and the worst of its verdicts."""
    by_check = {check.sheet: _worst_by_lift(check, results) for check in CHECKS}
    in_order = results.frames["Pressures"][list(KEYS)].astype(str).itertuples(index=False, name=None)
    lifts = list(dict.fromkeys([*in_order, *(key for found in by_check.values() for key in found)]))
    rows = []
    for key in lifts:
        own = {sheet: found[key] for sheet, found in by_check.items() if key in found}
        anchor, gate = own.get("Anchor demand"), own.get("Strength ready")
        worst = max(
            (str(row["Verdict"]) for row in own.values() if str(row["Verdict"]) in SEVERITY),
            key=SEVERITY.index,
            default="",
        )
        rows.append([
            *key,
            *(_use(sheet, own) for sheet in ("Pressures", "Filling", "Strongbacks", "Anchor demand")),
            f"{anchor['Stage']}: {anchor['Governing mode']}" if anchor is not None else "",
            -_use("Strength ready", own),
            str(gate["Gate"]) if gate is not None else "",
            worst,
        ])  # fmt: skip
    columns = [
        ColumnLook("Block", Look.TEXT, 8.0), ColumnLook("Lift", Look.TEXT, 5.0), ColumnLook("Panel ratio", Look.NUMBER, 7.0),
        ColumnLook("Exposure ratio", Look.NUMBER, 9.0), ColumnLook("Strongback ratio", Look.NUMBER, 11.0),
        ColumnLook("Anchor ratio", Look.NUMBER, 8.0), ColumnLook("Anchor: stage and mode", Look.TEXT, 26.0),
        ColumnLook("Least margin [h]", Look.NUMBER, 8.0, 1), ColumnLook("At gate", Look.TEXT, 11.0),
        ColumnLook("Worst verdict", Look.VERDICT, 13.0),
    ]  # fmt: skip
    return RecordTable(
        "Every lift", columns, rows,
        "The worst row of each lift in every check; a margin below 0 is a gate planned before its strength is reached. The worst "
        "verdict is over all checks, also those that have no column here.",
    )  # fmt: skip


_BY_SHEET = {check.sheet: check for check in CHECKS}


def _use(sheet: str, rows: dict[str, pd.Series[Any]]) -> float:
    if sheet not in rows:
        return float("nan")
    use = float(worse(_BY_SHEET[sheet], rows[sheet].to_frame().T).iloc[0])
    return float("nan") if use == -np.inf else use


def governing_part(results: Results, us: bool) -> Part:
    """Return the governing rows.

    Parameters
    ----------
    results
        Of the run.
    us
        Whether numbers are shown in US units.
    """
    tables: Sequence[RecordTable | None] = [_table(check, results, us) for check in CHECKS]
    lines = [
        "By sheet: the row that governs at every stage or gate. A row is worse by its verdict first, then by its ratio or margin. "
        "The result sheets of the workbook hold every row, and the sheets Hand check re-do one of them in live formulas."
    ]
    return Part(
        "Governing rows", lines, [*(table for table in tables if table is not None), lift_table(results)]
    )
