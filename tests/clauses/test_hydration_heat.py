"""Heat of hydration against measured heat, and its limits."""

from __future__ import annotations

import numpy as np
import pytest
from support import case

from sheetengine.clauses.hydration_heat import degree_of_hydration, rise_at_age


@pytest.mark.parametrize("name", ["H-HYD-01", "H-HYD-02", "H-HYD-03", "H-HYD-04"])
def test_measured_heat(name: str) -> None:
    published = case(name)
    given = published.column
    age = given("t")
    parameters = {
        "hydration_time": np.broadcast_to(given("tau"), age.shape),
        "hydration_shape": np.broadcast_to(given("beta"), age.shape),
        "equivalent_age": age,
    }
    published.check("heat", rise_at_age(adiabatic_rise=np.broadcast_to(given("Q"), age.shape), **parameters))
    share = degree_of_hydration(ultimate_hydration=np.ones(age.shape), **parameters)
    published.check("heat", given("Q") * share)


def test_no_age_gives_no_heat_and_endless_age_all_of_it() -> None:
    """property: from nothing to the final rise, never falling."""
    age = np.concatenate([[0.0], np.logspace(-3.0, 12.0, 200)])
    even = np.ones(age.size)
    rise = rise_at_age(
        adiabatic_rise=40.0 * even, hydration_time=15.0 * even, hydration_shape=0.9 * even, equivalent_age=age
    )
    assert rise[0] == 0.0
    assert rise[-1] == pytest.approx(40.0, rel=1e-6)
    assert (np.diff(rise) >= 0.0).all()


def test_an_unknown_age_gives_no_number() -> None:
    one = np.ones(1)
    assert np.isnan(
        rise_at_age(
            adiabatic_rise=one, hydration_time=one, hydration_shape=one, equivalent_age=np.array([np.nan])
        )
    )
