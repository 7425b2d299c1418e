from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from support import case

from sheetengine.clauses import din18218 as din
from sheetengine.clauses.fluid_pressure import FLOOR, FORMULA, FULL_HEAD, OUTSIDE_SCOPE
from sheetengine.clauses.record import outside, record_of
from sheetengine.sources import Known

CLASSES = ("F1", "F2", "F3", "F4", "F5", "F6", "SCC")
TALL = 20.0


def rows(word: str, **changes: float) -> dict[str, np.ndarray]:
    values = {
        "rate_of_rise": 2.0,
        "final_set": 5.0,
        "weight_density": 25.0,
        "placement_height": TALL,
        "temperature_factor": 1.0,
    } | changes
    columns = {name: np.array([value]) for name, value in values.items()}
    return {"consistency_class": np.array([word]), **columns}


@pytest.mark.parametrize("number", range(1, 9))
def test_published_pressure_by_class(number: int) -> None:
    published = case(f"P-DIN-0{number}")
    given_rows = rows(
        published.given("class"),
        rate_of_rise=published.given("v"),
        final_set=published.given("tE"),
        weight_density=published.given("gamma_c"),
    )
    published.check("sigma_hk_max", din.design_pressure(**given_rows))
    assert din.governing_bound(**given_rows)[0] == (FLOOR if number == 7 else FORMULA)


@pytest.mark.parametrize("identifier", ["P-DIN-SCC-01", "P-DIN-SCC-03", "P-DIN-SCC-04"])
def test_published_pressure_of_self_compacting_concrete(identifier: str) -> None:
    published = case(identifier)
    p = din.design_pressure(
        **rows(
            "SCC",
            rate_of_rise=published.given("v"),
            final_set=published.given("tE"),
            weight_density=published.given("gamma_c"),
        )
    )
    published.check("sigma_hk_max", p)
    if "reading_to_reject" in published.expected:
        assert p[0] < 0.9 * published.printed("reading_to_reject")


def test_the_rounded_line_stays_within_its_rounding_of_the_printed_equation() -> None:
    # 25 + 33 v K_1 is the same line with rounded numbers, 1.5 % apart at most from 1 m/h on
    v = np.linspace(1.0, 7.0, 13)
    for t_e in (5.0, 10.0, 20.0):
        exact = din.self_compacting_pressure(
            rate_of_rise=v, final_set=np.full(13, t_e), weight_density=np.full(13, 25.0)
        )
        np.testing.assert_allclose(25.0 + 33.0 * v * t_e / 5.0, exact, rtol=0.016)


def test_setting_factor_by_class() -> None:
    # from memory of the table for 10 h, rounded there: 1.15, 1.25, 1.40, 1.70, 2.0, 2.0, 2.0
    found = din.setting_factor(consistency_class=np.array(CLASSES), final_set=np.full(7, 10.0))
    np.testing.assert_allclose(found, [1.15, 1.25, 1.40, 1.70, 2.0, 2.0, 2.0], rtol=0.015)
    early = din.setting_factor(consistency_class=np.array(CLASSES), final_set=np.full(7, 4.0))
    np.testing.assert_allclose(early, [1.0, 1.0, 1.0, 1.0, 0.8, 0.8, 0.8])


def test_temperature_only_adds() -> None:
    # 3 % for each kelvin below 15 degC, from memory
    found = din.temperature_factor(concrete_temperature=np.array([5.0, 15.0, 30.0]))
    np.testing.assert_allclose(found, [1.30, 1.0, 1.0])


def test_above_the_greatest_rate_the_full_head_is_given_and_flagged() -> None:
    fast = rows("F1", rate_of_rise=7.1)
    assert din.design_pressure(**fast)[0] == 25.0 * TALL
    assert din.governing_bound(**fast)[0] == OUTSIDE_SCOPE
    numbers = {name: values for name, values in fast.items() if name != "consistency_class"}
    assert [n for n, flags in outside(din.design_pressure, **numbers).items() if flags[0]] == ["rate_of_rise"]
    low = rows("F4", placement_height=1.0)
    assert din.governing_bound(**low)[0] == FULL_HEAD


def test_sources_say_what_is_held_from_memory() -> None:
    assert record_of(din.stiff_pressure).source.known is Known.MEMORY
    assert record_of(din.self_compacting_pressure).source.known is Known.SECOND_SOURCE


def test_unknown_class_or_blank_has_no_pressure() -> None:
    assert np.isnan(din.design_pressure(**rows("F7"))[0])
    assert np.isnan(din.governing_bound(**rows(""))[0])
    for name in rows("F3"):
        if name != "consistency_class":
            assert np.isnan(din.design_pressure(**rows("F3", **{name: np.nan}))[0]), name


numbers = st.fixed_dictionaries(
    {
        "rate_of_rise": st.floats(0.0, 8.0),
        "final_set": st.floats(2.0, 20.0),
        "weight_density": st.floats(20.0, 28.0),
        "placement_height": st.floats(0.5, 12.0),
        "temperature_factor": st.floats(1.0, 1.45),
    }
)


@given(word=st.sampled_from(CLASSES), values=numbers, step=st.floats(0.0, 0.5))
def test_pressure_never_falls_with_rate_weight_or_cold_and_never_tops_the_head(
    word: str, values: dict[str, float], step: float
) -> None:
    p = din.design_pressure(**rows(word, **values))[0]
    assert p <= values["weight_density"] * values["placement_height"]
    for name in ("rate_of_rise", "weight_density", "temperature_factor"):
        more = values | {name: values[name] * (1.0 + step)}
        assert din.design_pressure(**rows(word, **more))[0] >= p * (1.0 - 1e-12), name


@given(word=st.sampled_from(CLASSES), values=numbers, limit=st.floats(10.0, 200.0))
def test_greatest_rate_just_keeps_the_permissible_pressure(
    word: str, values: dict[str, float], limit: float
) -> None:
    face = rows(word, **values)
    face.pop("rate_of_rise")
    rate = din.greatest_rate_of_rise(permissible_pressure=np.array([limit]), **face)
    if np.isinf(rate[0]):
        assert values["weight_density"] * values["placement_height"] <= limit
        return
    if rate[0] > 0.0:
        assert din.design_pressure(rate_of_rise=rate, **face)[0] <= limit * (1.0 + 1e-9)
    assert din.design_pressure(rate_of_rise=rate + 1e-4, **face)[0] > limit or rate[0] == 7.0
