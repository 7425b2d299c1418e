"""How the columns of ``Lift heat`` look."""

from __future__ import annotations

from sheetengine.content import Look
from sheetengine.sheets.result_column import BLOCK, LIFT, ResultColumn

_N, _M, _V = Look.NUMBER, Look.MOMENT, Look.VERDICT
_STEP = "temperature difference"

HEAT = (
    BLOCK,
    LIFT,
    ResultColumn("Peak temperature", _N, "temperature", 1, 13, "Warmest of the lift, deep in the block."),
    ResultColumn("Peak at", _M, width=17),
    ResultColumn("Core to face", _N, _STEP, 1, 11, "Warmest deep in the block less the face at half the height, greatest."),
    ResultColumn("Core to face at", _M, width=17),
    ResultColumn("Core to joint", _N, _STEP, 1, 11, "Warmest deep in the block less its joint, greatest."),
    ResultColumn("Cooling in 24 h", _N, _STEP, 1, 11, "Fall of the face after stripping; blank: not within the hours computed."),
    ResultColumn("Error of stepping", _N, _STEP, 2, 10, "Greatest difference of two runs; hour by hour it is added to the figures beside."),
    ResultColumn("Verdict", _V, width=14),
)  # fmt: skip
