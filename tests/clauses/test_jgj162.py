from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from sheetengine.clauses import gb50666, jgj162
from sheetengine.clauses.fluid_pressure import FORMULA, FULL_HEAD, OUTSIDE_SCOPE
from sheetengine.clauses.record import outside


def rows(**changes: float) -> dict[str, np.ndarray]:
    values = {
        "weight_density": 24.0,
        "rate_of_rise": 2.0,
        "placement_height": 3.0,
        "initial_set": 200.0 / 35.0,
        "admixture_factor": 1.2,
        "slump_factor": 1.15,
        "slump": 120.0,
    } | changes
    return {name: np.array([value]) for name, value in values.items()}


def test_pressure_by_hand() -> None:
    # by hand: 0.22 x 24 x 5.7143 x 1.2 x 1.15 x sqrt(2) = 58.88 kPa, below 72
    np.testing.assert_allclose(jgj162.design_pressure(**rows()), 58.88, atol=0.01)
    assert jgj162.governing_bound(**rows())[0] == FORMULA
    assert jgj162.governing_bound(**rows(placement_height=1.0))[0] == FULL_HEAD


def test_it_is_not_the_formula_of_the_other_chinese_code() -> None:
    # same inputs, tested set: 0.28 beta against 0.22 beta1 beta2
    other = gb50666.design_pressure(
        **{k: v for k, v in rows(slump_factor=0.90).items() if k != "admixture_factor"}
    )
    ratio = jgj162.design_pressure(**rows()) / other
    np.testing.assert_allclose(ratio, 0.22 * 1.2 * 1.15 / (0.28 * 0.90), rtol=1e-12)


def test_set_by_temperature_is_that_of_the_other_code() -> None:
    temperatures = np.array([5.0, 20.0, 28.0])
    own = jgj162.initial_set(concrete_temperature=temperatures)
    np.testing.assert_array_equal(own, gb50666.initial_set(concrete_temperature=temperatures))
    np.testing.assert_allclose(own[2], 200.0 / 43.0)  # 4.65 h; a printed 4.76 h belongs to 27 degC


def test_slump_factor_takes_the_higher_factor_between_the_printed_bands() -> None:
    # printed: below 30 mm 0.85, 50-90 mm 1.00, 110-150 mm 1.15
    slump = np.array([29.0, 30.0, 50.0, 90.0, 90.5, 110.0, 150.0, np.nan])
    found = jgj162.slump_factor(slump=slump)
    np.testing.assert_array_equal(found, [0.85, 1.0, 1.0, 1.0, 1.15, 1.15, 1.15, np.nan])
    admixture = jgj162.admixture_factor(retarder=np.array([0.0, 1.0, np.nan]))
    np.testing.assert_array_equal(admixture, [1.0, 1.2, np.nan])


def test_above_the_greatest_slump_the_full_head_is_given_and_flagged() -> None:
    wet = rows(slump=151.0)
    assert jgj162.design_pressure(**wet)[0] == 72.0
    assert jgj162.governing_bound(**wet)[0] == OUTSIDE_SCOPE
    assert [n for n, flags in outside(jgj162.design_pressure, **wet).items() if flags[0]] == ["slump"]


def test_a_blank_gives_a_blank() -> None:
    for name in rows():
        assert np.isnan(jgj162.design_pressure(**rows(**{name: np.nan}))[0]), name
        assert np.isnan(jgj162.governing_bound(**rows(**{name: np.nan}))[0]), name


drawn = st.fixed_dictionaries(
    {
        "weight_density": st.floats(20.0, 28.0),
        "rate_of_rise": st.floats(0.0, 12.0),
        "placement_height": st.floats(0.5, 10.0),
        "slump": st.floats(0.0, 180.0),
        "slump_factor": st.sampled_from([0.85, 1.0, 1.15]),
        "admixture_factor": st.sampled_from([1.0, 1.2]),
    }
)


@given(values=drawn, temperature=st.floats(0.0, 35.0), step=st.floats(0.0, 1.0))
def test_pressure_never_falls_with_rate_weight_or_cold_and_never_tops_the_head(
    values: dict[str, float], temperature: float, step: float
) -> None:
    def pressure(at: float, **changes: float) -> float:
        t_0 = jgj162.initial_set(concrete_temperature=np.array([at]))
        return float(jgj162.design_pressure(**rows(**(values | changes), initial_set=float(t_0[0])))[0])

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
    rate = jgj162.greatest_rate_of_rise(permissible_pressure=np.array([limit]), **face)
    if np.isinf(rate[0]):
        assert values["weight_density"] * values["placement_height"] <= limit
        return
    if rate[0] > 0.0:
        assert jgj162.design_pressure(rate_of_rise=rate, **face)[0] <= limit * (1.0 + 1e-9)
    assert jgj162.design_pressure(rate_of_rise=rate * 1.001 + 1e-6, **face)[0] > limit
