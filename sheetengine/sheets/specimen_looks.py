"""How the columns of ``Strength fits`` look, and what they mean."""

from __future__ import annotations

from sheetengine.content import Look
from sheetengine.sheets.result_column import ResultColumn

_T, _N = Look.TEXT, Look.NUMBER
_ERROR = "Standard error. Blank: held at its bound, or taken from Mixes."
_BOUND = (
    "Lower one-sided prediction bound of a single further test at this equivalent age, as cylinder strength. Blank: before the "
    "youngest test. After the oldest test the bound there is held."
)

FITS = (
    ResultColumn("Mix", _T, width=16),
    ResultColumn("Form", _T, width=14, note="Law fitted by least squares to all tests of the mix, by equivalent age."),
    ResultColumn("Outcome", _T, width=22, note="used: the gates and anchors rest on its lower bound."),
    ResultColumn("Bound at 1 d", _N, "strength", 1, 10, _BOUND, "Lower bound"),
    ResultColumn("Bound at 3 d", _N, "strength", 1, 10, _BOUND, "Lower bound"),
    ResultColumn("Bound at 7 d", _N, "strength", 1, 10, _BOUND, "Lower bound"),
    ResultColumn("Confidence", _N, decimals=3, width=11, note="Strength confidence of Job.", group="Lower bound"),
    ResultColumn("Tests", _N, decimals=0, width=8, note="Rows of Specimens.", group="Tests"),
    ResultColumn("Youngest test", _N, "age", 2, 10, "Equivalent age at the reference temperature of the mix.", "Tests"),
    ResultColumn("Oldest test", _N, "age", 1, 9, "Equivalent age.", "Tests"),
    ResultColumn("Residual deviation", _N, "strength", 2, 11, "Standard deviation of a single test about the curve.", "Fit"),
    ResultColumn("R2", _N, decimals=4, width=9, note="Share of the variance that the curve explains.", group="Fit"),
    ResultColumn("AICc", _N, decimals=1, width=9, note="Akaike's criterion, corrected for few tests; the least is the best.", group="Fit"),
    ResultColumn("Limiting strength", _N, "strength", 2, 10, "That the curve tends to; of the form of EN 1992-1-1, the mean at 28 d.",
                 "Parameters"),
    ResultColumn("Error of limiting strength", _N, "strength", 2, 11, _ERROR, "Parameters"),
    ResultColumn("Rate constant", _N, "rate", 4, 10, group="Parameters"),
    ResultColumn("Error of rate constant", _N, "rate", 4, 10, _ERROR, "Parameters"),
    ResultColumn("Strength starts", _N, "age", 3, 10, "Equivalent age before which there is none; 0 where the tests ask for an earlier one.",
                 "Parameters"),
    ResultColumn("Error of strength starts", _N, "age", 3, 10, _ERROR, "Parameters"),
    ResultColumn("Time constant", _N, "age", 3, 10, group="Parameters"),
    ResultColumn("Error of time constant", _N, "age", 3, 10, _ERROR, "Parameters"),
    ResultColumn("Shape", _N, decimals=4, width=9, group="Parameters"),
    ResultColumn("Error of shape", _N, decimals=4, width=9, note=_ERROR, group="Parameters"),
    ResultColumn("Coefficient s", _N, decimals=4, width=11, group="Parameters"),
    ResultColumn("Error of coefficient s", _N, decimals=4, width=11, note=_ERROR, group="Parameters"),
    ResultColumn("Maturity by", _T, width=12, group="Maturity"),
    ResultColumn("Activation temperature", _N, "activation temperature", 0, 12, group="Maturity"),
    ResultColumn("Error of activation temperature", _N, "activation temperature", 0, 12, _ERROR, "Maturity"),
    ResultColumn("Datum temperature", _N, "temperature", 1, 12, group="Maturity"),
    ResultColumn("Error of datum temperature", _N, "temperature difference", 1, 12, _ERROR, "Maturity"),
    ResultColumn("From", _T, width=14, note="specimens: by the procedure of ASTM C1074's annex from tests at several curing temperatures.",
                 group="Maturity"),
    ResultColumn("Why", _T, width=60, note="Why it was refused, or not used."),
)  # fmt: skip

FIT_TESTS = (
    ResultColumn("Mix", _T, width=16),
    ResultColumn("Row", _T, width=14, note="Cell in Specimens."),
    ResultColumn("Outcome", _T, width=22, note="Form against which the test is held."),
    ResultColumn("Age", _N, "age", 2, 9),
    ResultColumn("Curing temperature", _N, "temperature", 1, 11),
    ResultColumn("Equivalent age", _N, "age", 2, 10, "At the reference temperature of the mix."),
    ResultColumn("Tested strength", _N, "strength", 2, 10, "As cylinder strength."),
    ResultColumn("Fitted strength", _N, "strength", 2, 10),
    ResultColumn("Residual", _N, "strength", 2, 10, "Tested less fitted."),
    ResultColumn("Lower bound", _N, "strength", 2, 10, "Of a single further test at this age."),
    ResultColumn("Standard residual", _N, decimals=2, width=10, note="Residual over its standard deviation."),
)
