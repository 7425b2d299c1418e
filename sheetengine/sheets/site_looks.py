"""How the columns of the sheets for the site look."""

from __future__ import annotations

from sheetengine.content import Look
from sheetengine.sheets.result_column import BLOCK, LIFT, ResultColumn

_T, _N, _C, _M, _V = Look.TEXT, Look.NUMBER, Look.COUNT, Look.MOMENT, Look.VERDICT

HOLD_POINTS = (
    BLOCK,
    LIFT,
    ResultColumn("Hold point", _T, width=10, note="In order; a later one is not open to release while an earlier one is."),
    ResultColumn("Name", _T, width=34, note="The office's own names go into the sheet Hold point names."),
    ResultColumn("State", _T, width=19, note="Released; May be released; Evidence lacking; Held (something speaks against it); Waits; "
                 "Open again (released, but no longer holds); Released out of turn. Nothing is released here: see Releases."),
    ResultColumn("Needs", _T, width=40),
    ResultColumn("On file", _T, width=20, note="Kinds of evidence in Releases."),
    ResultColumn("What the engine knows", _T, width=52),
    ResultColumn("Against", _T, width=44, note="What keeps it from being released."),
    ResultColumn("Released by", _T, width=16),
    ResultColumn("Released", _M, width=17),
)  # fmt: skip

BUILT = (
    BLOCK,
    LIFT,
    ResultColumn("Stage", _T, width=24),
    ResultColumn("Anchors in", _T, width=12, note="Lift in which they are cast, or the foundation."),
    ResultColumn("Planned", _C, width=9),
    ResultColumn("Counted", _C, width=9, note="Without those that count as missing."),
    ResultColumn("Ratio as planned", _N, decimals=2, width=10),
    ResultColumn("Ratio as built", _N, decimals=2, width=10,
                 note="With the anchors where they were found. Of several types in one row the worst counts for all of them."),
    ResultColumn("Governing mode", _T, width=24),
    ResultColumn("Required strength", _N, "strength", 1, 11, "As built. Blank: none is enough."),
    ResultColumn("Concrete strength", _N, "strength", 1, 11),
    ResultColumn("Strength reached", _M, width=17),
    ResultColumn("Verdict", _V, width=14),
)  # fmt: skip

SURVEY = (
    BLOCK,
    LIFT,
    ResultColumn(
        "Row", _T, width=8, note="Of the units that it holds: upper, or lower where that is anchored."
    ),
    ResultColumn("State", _T, width=13),
    ResultColumn("Anchor", _T, width=12),
    ResultColumn("Planned at", _N, "length", 2, 9, "Along the face; blank: outside the layout."),
    ResultColumn(
        "Counts at", _N, "length", 2, 9, "Where the check as built has it; blank: counts as missing."
    ),
    ResultColumn("Depth", _N, "length", 2, 9),
    ResultColumn("Angle", _N, "angle", 1, 9),
    ResultColumn("Difference", _T, width=36),
    ResultColumn("Remark", _T, width=24),
)

_TRIED = ("As planned", "One anchor lost", "Faster rise", "Colder", "Weaker concrete", "Full head")
ROBUST = (
    BLOCK,
    LIFT,
    *(
        column
        for name in _TRIED
        for column in (
            ResultColumn(f"{name}, ratio", _N, decimals=2, width=12, group=name,
                         note="Greatest ratio of panel, strongbacks, anchors at every stage, and gates (strength asked over strength at "
                         "the planned hour)."),
            ResultColumn(f"{name}, first to fail", _T, width=26, group=name, note="What has that ratio."),
        )
    ),
    ResultColumn("Worst of these", _T, width=16),
)  # fmt: skip

RECORD = (
    BLOCK,
    LIFT,
    ResultColumn("From", _N, "length", 2, 8),
    ResultColumn("To", _N, "length", 2, 8),
    ResultColumn("Since", _M, width=17),
    ResultColumn("Until", _M, width=17),
    ResultColumn("Rise rate", _N, "rate of rise", 2, 10, "As placed, between two readings."),
    ResultColumn("Planned rise rate", _N, "rate of rise", 2, 10),
    ResultColumn("Greatest rise rate", _N, "rate of rise", 2, 11, "At the temperature as placed; from the source of the pour card."),
    ResultColumn("Concrete temperature", _N, "temperature", 1, 12),
    ResultColumn("Planned temperature", _N, "temperature", 1, 12),
    ResultColumn("Slump", _N, "short length", 0, 9),
    ResultColumn("Pressure", _N, "pressure", 1, 10, "By the method of the job, at rate and temperature as placed."),
    ResultColumn("Ratio", _N, decimals=2, width=9, note="Greatest of panel and anchors under that pressure."),
    ResultColumn("Open for", _N, "time", 1, 9, "Longest for which the surface below stayed open, with the stop before."),
    ResultColumn("Verdict", _V, width=14),
    ResultColumn("Remark", _T, width=30),
)  # fmt: skip

CORRECTIONS = (
    ResultColumn("Mix", _T, width=12),
    ResultColumn("What", _T, width=16),
    ResultColumn("Lifts", _C, width=8, note="Behind the proposal; three at least."),
    ResultColumn("Assumed", _T, width=11, note="Mean of the plan."),
    ResultColumn("Found", _T, width=17, note="Mean as placed, or of the tests."),
    ResultColumn(
        "Proposed", _T, width=60, note="Nothing of it is applied: enter it where it belongs, and run again."
    ),
)

DIMENSIONS = (
    BLOCK,
    LIFT,
    ResultColumn("Item", _T, width=14),
    ResultColumn("Timesing", _C, width=9),
    ResultColumn("Length", _N, "length", 2, 9),
    ResultColumn(
        "Height or width",
        _N,
        "length",
        2,
        10,
        "Of a face along its slope; of a plan area the thickness of the lift.",
    ),
    ResultColumn("Depth", _N, "length", 2, 9),
    ResultColumn(
        "Area",
        _N,
        "area",
        2,
        12,
        "Timesing, length and height or width; of a joint the plan area where that is given.",
    ),
    ResultColumn("Volume", _N, "volume", 2, 12, "Net."),
    ResultColumn("Area for payment", _N, "area", 2, 12, "Joints only where they are designated."),
    ResultColumn("Volume for payment", _N, "volume", 2, 12),
    ResultColumn("Joint", _T, width=18),
    ResultColumn("Remark", _T, width=24),
    ResultColumn("Drawing", _T, width=16),
    ResultColumn("Drawing revision", _T, width=10),
    ResultColumn("Month", _T, width=9),
)

SITE_LOOKS = {
    "Dimension rows": DIMENSIONS,
    "Hold points": HOLD_POINTS,
    "As-built check": BUILT,
    "Robustness": ROBUST,
    "Lift record check": RECORD,
}
SITE_TABLES = (
    ("As-built check", "Survey", SURVEY),
    ("Lift record check", "Proposed", CORRECTIONS),
)
"""Further tables of these sheets: sheet, how the table's name begins, looks."""
