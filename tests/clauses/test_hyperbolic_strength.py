from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import curve_fit
from support import case

from sheetengine.clauses import hyperbolic_strength as hyperbola


def strength(age: np.ndarray, limiting: float, rate: float, dormant: float = 0.0) -> np.ndarray:
    return hyperbola.strength_at_age(
        age_days=age,
        limiting_strength=np.full(age.shape, limiting),
        rate_per_day=np.full(age.shape, rate),
        dormant_days=np.full(age.shape, dormant),
    )


@pytest.mark.parametrize("identifier", ["S-UCI-500", "S-UCI-339"])
def test_fit_to_one_series_of_specimens(identifier: str) -> None:
    published = case(identifier)
    age, measured = published.column("t"), published.column("S")
    found, _ = curve_fit(strength, age, measured, p0=[50.0, 0.3])
    published.check("Su", found[0])
    published.check("k", found[1])
    published.check("rmse", np.sqrt(np.mean((strength(age, *found) - measured) ** 2)))
    slope, constant = np.polyfit(age, age / measured, 1)
    published.check("a_lin", constant)
    published.check("b_lin", slope)


def test_nothing_before_hardening_begins_and_blank() -> None:
    found = strength(np.array([0.0, 0.4, np.nan]), 40.0, 0.25, dormant=0.4)
    np.testing.assert_array_equal(found, [0.0, 0.0, np.nan])


@given(
    share=st.floats(0.001, 0.99),
    limiting=st.floats(5.0, 90.0),
    rate=st.floats(0.02, 3.0),
    t_0=st.floats(0.0, 2.0),
)
def test_age_of_a_strength_goes_back_to_it(share: float, limiting: float, rate: float, t_0: float) -> None:
    age = hyperbola.age_at_strength(
        required_strength=np.array([share * limiting]),
        limiting_strength=np.array([limiting]),
        rate_per_day=np.array([rate]),
        dormant_days=np.array([t_0]),
    )
    np.testing.assert_allclose(strength(age, limiting, rate, t_0), share * limiting, rtol=1e-7)


def test_strength_that_is_never_reached_and_none_at_all() -> None:
    found = hyperbola.age_at_strength(
        required_strength=np.array([40.0, 41.0, 0.0, 10.0]),
        limiting_strength=np.full(4, 40.0),
        rate_per_day=np.array([0.25, 0.25, 0.25, np.nan]),
        dormant_days=np.full(4, 0.5),
    )
    np.testing.assert_array_equal(found, [np.inf, np.inf, 0.0, np.nan])
