"""How the columns of ``Earlier gates`` and ``Readiness board`` look."""

from __future__ import annotations

from sheetengine.content import Look
from sheetengine.sheets.result_column import BLOCK, LIFT, SLACK_NOTE, ResultColumn

_T, _N, _M, _V = Look.TEXT, Look.NUMBER, Look.MOMENT, Look.VERDICT
_GAINS = "Hours by which the gate opens earlier"

EARLIER = (
    BLOCK,
    LIFT,
    ResultColumn("Gate", _T, width=12),
    ResultColumn("Planned", _M, width=17),
    ResultColumn("Ready at", _M, width=17),
    ResultColumn("Margin", _N, "time", 0, 9, SLACK_NOTE),
    ResultColumn("Governed by", _T, width=44),
    ResultColumn("Warmer mix", _N, "time", 1, 10, "With the concrete placed warmer by the step in Job. opens: with it alone the "
                 "gate opens at all. Blank: it stays shut, or is not known. Nothing is gained where the air keeps the anchors colder.",
                 _GAINS),
    ResultColumn("Deeper anchors", _N, "time", 1, 10, "With every anchor deeper by the step in Job. Less than 0: deeper is worse, as where blow-out begins to count.", _GAINS),
    ResultColumn("Closer anchors", _N, "time", 1, 10, "With anchors closer by the share in Job; listed ones stay.", _GAINS),
    ResultColumn("Insulated form", _N, "time", 1, 10, "With forms of at least Insulation tried in Job. Blank: the heat is left out.", _GAINS),
    ResultColumn("Rest to add", _N, "time", 1, 10, "By how much the planned hour would have to be put off. 0: the gate is met. "
                 "Blank: waiting does not open it."),
    ResultColumn("Most gained by", _T, width=34),
)  # fmt: skip

BOARD = (
    BLOCK,
    LIFT,
    ResultColumn("Strip", _N, "time", 0, 9, SLACK_NOTE, "Margin of the gate"),
    ResultColumn("Hang", _N, "time", 0, 9, SLACK_NOTE, "Margin of the gate"),
    ResultColumn("Place next", _N, "time", 0, 9, SLACK_NOTE, "Margin of the gate"),
    ResultColumn("Set back", _N, "time", 0, 9, SLACK_NOTE, "Margin of the gate"),
    ResultColumn("Least margin", _N, "time", 0, 9),
    ResultColumn("Least at", _T, width=12),
    ResultColumn("Short, or in hand", _T, width=36,
                 note="Least margin as a bar, 12 hours a mark: left of the line too early, right of it in hand."),
    ResultColumn("Verdict", _V, width=14, note="The gravest of the lift's gates."),
)  # fmt: skip
