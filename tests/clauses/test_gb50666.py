from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from support import case

from sheetengine.clauses import gb50666 as gb
from sheetengine.clauses.fluid_pressure import FORMULA, FULL_HEAD, OUTSIDE_SCOPE
from sheetengine.clauses.record import outside


def rows(**changes: float) -> dict[str, np.ndarray]:
    values = {
        "weight_density": 24.0,
        "rate_of_rise": 2.0,
        "placement_height": 3.0,
        "initial_set": 5.0,
        "slump_factor": 1.0,
        "slump": 150.0,
    } | changes
    return {name: np.array([value]) for name, value in values.items()}


def test_published_pressure() -> None:
    published = case("P-GB-01")
    t_0 = gb.initial_set(concrete_temperature=published.column("T"))
    published.check("t0", t_0)
    face = rows(
        weight_density=published.given("gamma_c"),
        rate_of_rise=published.given("V"),
        placement_height=published.given("H"),
        initial_set=float(t_0[0]),
        slump_factor=published.given("beta"),
    )
    published.check("F", gb.design_pressure(**face))
    assert gb.governing_bound(**face)[0] == FORMULA
    assert gb.slump_factor(slump=np.array([150.0]))[0] == published.given("beta")


def test_slump_factor_by_band() -> None:
    # bands 50-90, 90-130, 130-180 mm, from memory
    found = gb.slump_factor(slump=np.array([50.0, 90.0, 90.5, 130.0, 130.5, 180.0, np.nan]))
    np.testing.assert_array_equal(found, [0.85, 0.85, 0.90, 0.90, 1.00, 1.00, np.nan])


def test_outside_its_scope_the_full_head_is_given_and_flagged() -> None:
    for name, value in (("rate_of_rise", 10.1), ("slump", 181.0)):
        face = rows(**{name: value})
        assert gb.design_pressure(**face)[0] == 72.0
        assert gb.governing_bound(**face)[0] == OUTSIDE_SCOPE
        assert [n for n, flags in outside(gb.design_pressure, **face).items() if flags[0]] == [name]
    assert gb.governing_bound(**rows(placement_height=1.0))[0] == FULL_HEAD


def test_a_blank_gives_a_blank() -> None:
    for name in rows():
        assert np.isnan(gb.design_pressure(**rows(**{name: np.nan}))[0]), name
        assert np.isnan(gb.governing_bound(**rows(**{name: np.nan}))[0]), name


drawn = st.fixed_dictionaries(
    {
        "weight_density": st.floats(20.0, 28.0),
        "rate_of_rise": st.floats(0.0, 12.0),
        "placement_height": st.floats(0.5, 10.0),
        "slump": st.floats(0.0, 200.0),
    }
)


@given(values=drawn, temperature=st.floats(0.0, 35.0), step=st.floats(0.0, 1.0))
def test_pressure_never_falls_with_rate_weight_or_cold_and_never_tops_the_head(
    values: dict[str, float], temperature: float, step: float
) -> None:
    def pressure(at: float, **changes: float) -> float:
        t_0 = gb.initial_set(concrete_temperature=np.array([at]))
        return float(gb.design_pressure(**rows(**(values | changes), initial_set=float(t_0[0])))[0])

    p = pressure(temperature)
    assert p <= values["weight_density"] * values["placement_height"]
    least = p * (1.0 - 1e-12)
    assert pressure(temperature * (1.0 - step)) >= least
    for name in ("rate_of_rise", "weight_density"):
        assert pressure(temperature, **{name: values[name] * (1.0 + step)}) >= least


@given(values=drawn, limit=st.floats(5.0, 200.0))
def test_greatest_rate_just_keeps_the_permissible_pressure(values: dict[str, float], limit: float) -> None:
    face = rows(**values)
    face.pop("rate_of_rise")
    rate = gb.greatest_rate_of_rise(permissible_pressure=np.array([limit]), **face)
    if np.isinf(rate[0]):
        assert values["weight_density"] * values["placement_height"] <= limit
        return
    if rate[0] > 0.0:
        assert gb.design_pressure(rate_of_rise=rate, **face)[0] <= limit * (1.0 + 1e-9)
    assert gb.design_pressure(rate_of_rise=rate * 1.001 + 1e-6, **face)[0] > limit or rate[0] == 10.0
