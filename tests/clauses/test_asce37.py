from __future__ import annotations

import numpy as np
from support import case

from sheetengine.clauses import asce37
from sheetengine.clauses.record import outside

DAYS = {"<6 wk": 41.0, "6 wk-1 yr": 42.0, "1-2 yr": 500.0, "2-5 yr": 1000.0}


def test_velocity_factor_by_period() -> None:
    published = case("L-ASCE37")
    factor = asce37.velocity_factor(
        exposure_days=np.array([DAYS[word] for word in published.given("period")])
    )
    published.check("factor", factor)
    published.check("V_red", factor * published.given("V"))


def test_beyond_the_table_nothing_is_taken_off_and_the_row_is_outside() -> None:
    long = np.array([2000.0, np.nan])
    np.testing.assert_array_equal(asce37.velocity_factor(exposure_days=long), [1.0, np.nan])
    assert outside(asce37.velocity_factor, exposure_days=long)["exposure_days"][0]
