from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from sheetengine.clauses import exponential_strength as exponential


def strength(age: np.ndarray, limiting: float, tau: float, beta: float) -> np.ndarray:
    return exponential.strength_at_age(
        age_days=age,
        limiting_strength=np.full(age.shape, limiting),
        time_constant=np.full(age.shape, tau),
        curve_shape=np.full(age.shape, beta),
    )


def test_by_hand() -> None:
    # (1.5/12)^(2/3) = 0.25; 36 exp(-0.25) = 28.037
    np.testing.assert_allclose(strength(np.array([12.0]), 36.0, 1.5, 2.0 / 3.0), 28.0368, rtol=1e-5)
    np.testing.assert_allclose(strength(np.array([1.5, 0.0]), 36.0, 1.5, 0.7), [36.0 / np.e, 0.0])


@given(share=st.floats(0.001, 0.99), tau=st.floats(0.05, 20.0), beta=st.floats(0.2, 3.0))
def test_age_of_a_strength_goes_back_to_it(share: float, tau: float, beta: float) -> None:
    age = exponential.age_at_strength(
        required_strength=np.array([share * 40.0]),
        limiting_strength=np.array([40.0]),
        time_constant=np.array([tau]),
        curve_shape=np.array([beta]),
    )
    np.testing.assert_allclose(strength(age, 40.0, tau, beta), share * 40.0, rtol=1e-6)


@given(tau=st.floats(0.05, 20.0), beta=st.floats(0.2, 3.0))
def test_it_rises_with_age_and_never_passes_its_limit(tau: float, beta: float) -> None:
    found = strength(np.geomspace(0.01, 1000.0, 200), 40.0, tau, beta)
    assert (np.diff(found) >= 0.0).all()
    assert (found <= 40.0).all()


def test_never_reached_none_asked_and_blank() -> None:
    found = exponential.age_at_strength(
        required_strength=np.array([40.0, 41.0, 0.0, 10.0]),
        limiting_strength=np.full(4, 40.0),
        time_constant=np.full(4, 2.0),
        curve_shape=np.array([0.5, 0.5, 0.5, np.nan]),
    )
    np.testing.assert_array_equal(found, [np.inf, np.inf, 0.0, np.nan])
