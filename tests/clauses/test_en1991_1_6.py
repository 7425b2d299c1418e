from __future__ import annotations

import numpy as np
from support import case

from sheetengine.clauses import en1991_1_4, en1991_1_6

DAYS = {"<=3 d": 3.0, "<=3 months": 92.0, "<=1 yr": 365.0, ">1 yr": 400.0}


def test_return_period_and_its_factor_by_duration() -> None:
    published = case("L-16-RP")
    days = np.array([DAYS[word] for word in published.given("duration")])
    period = en1991_1_6.return_period(exposure_days=days)
    factor = en1991_1_4.probability_factor(
        annual_probability=en1991_1_6.annual_probability(return_period=period),
        shape_parameter=np.full(4, 0.2),
        probability_exponent=np.full(4, 0.5),
    )
    published.check("cprob", factor)
    published.check("cprob2", factor**2)


def test_steps_and_blank() -> None:
    # limits of EN 1991-1-6 Table 3.1, from memory
    found = en1991_1_6.return_period(exposure_days=np.array([3.1, 93.0, 367.0, np.nan]))
    np.testing.assert_array_equal(found, [5.0, 10.0, 50.0, np.nan])


def test_least_velocity_holds_up_to_three_months_only() -> None:
    found = en1991_1_6.execution_velocity(
        exposure_days=np.array([10.0, 10.0, 200.0, np.nan]),
        basic_velocity=np.array([17.0, 26.0, 17.0, 26.0]),
    )
    np.testing.assert_array_equal(found, [20.0, 26.0, 17.0, np.nan])
