from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from support import case

from sheetengine.clauses import ciria108 as ciria
from sheetengine.clauses.fluid_pressure import FORMULA, FULL_HEAD


def rows(**changes: float) -> dict[str, np.ndarray]:
    values = {
        "weight_density": 25.0,
        "rate_of_rise": 2.0,
        "form_height": 4.0,
        "placement_height": 4.0,
        "concrete_temperature": 10.0,
        "shape_coefficient": 1.0,
        "mix_coefficient": 0.3,
    } | changes
    return {name: np.array([value]) for name, value in values.items()}


@pytest.mark.parametrize("identifier", ["P-CIR-02", "P-CIR-03", "P-CIR-04"])
def test_published_expression(identifier: str) -> None:
    published = case(identifier)
    names = {
        "weight_density": "D",
        "rate_of_rise": "R",
        "form_height": "H",
        "placement_height": "h",
        "concrete_temperature": "T",
        "shape_coefficient": "C1",
        "mix_coefficient": "C2",
    }
    face = rows(**{name: published.given(symbol) for name, symbol in names.items()})
    published.check("Pmax", ciria.design_pressure(**face))
    head = published.given("D") * published.given("h")
    expected = FULL_HEAD if published.printed("Pmax") >= head else FORMULA
    assert ciria.governing_bound(**face)[0] == expected


def test_form_height_stands_under_the_root_and_pour_height_in_the_cap() -> None:
    # by hand: K = (36/26)^2 = 1.9172; 25 [sqrt(2) + 0.3 x 1.9172 sqrt(6 - 1.4142)] = 66.15 kPa;
    # with a pour of 2 m the head of 50 kPa governs
    tall = rows(form_height=6.0)
    np.testing.assert_allclose(ciria.design_pressure(**tall), 66.15, atol=0.01)
    low = rows(form_height=6.0, placement_height=2.0)
    assert ciria.design_pressure(**low)[0] == 50.0
    assert ciria.governing_bound(**low)[0] == FULL_HEAD


def test_a_form_filled_before_stiffening_takes_the_full_head() -> None:
    # C1 sqrt(R) = 1 x sqrt(16) = 4 = H
    filled = rows(rate_of_rise=16.0)
    assert ciria.design_pressure(**filled)[0] == 100.0
    assert ciria.governing_bound(**filled)[0] == FULL_HEAD


def test_coefficients_by_shape_cement_and_retarder() -> None:
    # C2: 0.30/0.45, 0.45/0.60, 0.60; C1: 1.0 wall, 1.5 column (from memory, range of C2 read)
    groups = np.array(["plain", "plain", "blend", "blend", "high blend", "high blend", "", "plain"])
    retarder = np.array([0.0, 1.0, 0.0, 1.0, 0.0, 1.0, 0.0, np.nan])
    found = ciria.mix_coefficient(cement_group=groups, retarder=retarder)
    np.testing.assert_array_equal(found, [0.30, 0.45, 0.45, 0.60, 0.60, 0.60, np.nan, np.nan])
    shapes = ciria.shape_coefficient(is_column=np.array([0.0, 1.0, np.nan]))
    np.testing.assert_array_equal(shapes, [1.0, 1.5, np.nan])


def test_a_blank_gives_a_blank() -> None:
    for name in rows():
        assert np.isnan(ciria.design_pressure(**rows(**{name: np.nan}))[0]), name
        assert np.isnan(ciria.governing_bound(**rows(**{name: np.nan}))[0]), name


values = st.fixed_dictionaries(
    {
        "weight_density": st.floats(20.0, 28.0),
        "rate_of_rise": st.floats(0.0, 20.0),
        "form_height": st.floats(1.0, 12.0),
        "placement_height": st.floats(0.2, 1.0),  # share of the form
        "concrete_temperature": st.floats(0.0, 35.0),
        "shape_coefficient": st.sampled_from([1.0, 1.5]),
        "mix_coefficient": st.sampled_from([0.30, 0.45, 0.60]),
    }
)


def within_the_form(drawn: dict[str, float]) -> dict[str, float]:
    return drawn | {"placement_height": drawn["placement_height"] * drawn["form_height"]}


@given(drawn=values, step=st.floats(0.0, 1.0))
def test_pressure_never_falls_with_rate_weight_or_cold_and_never_tops_the_head(
    drawn: dict[str, float], step: float
) -> None:
    face = within_the_form(drawn)
    p = ciria.design_pressure(**rows(**face))[0]
    assert p <= face["weight_density"] * face["placement_height"]
    faster = face | {"rate_of_rise": face["rate_of_rise"] * (1.0 + step)}
    heavier = face | {"weight_density": face["weight_density"] * (1.0 + step)}
    colder = face | {"concrete_temperature": face["concrete_temperature"] * (1.0 - step)}
    for changed in (faster, heavier, colder):
        assert ciria.design_pressure(**rows(**changed))[0] >= p * (1.0 - 1e-12)


@given(drawn=values, limit=st.floats(5.0, 250.0))
def test_greatest_rate_just_keeps_the_permissible_pressure(drawn: dict[str, float], limit: float) -> None:
    values_of_face = within_the_form(drawn)
    face = rows(**values_of_face)
    face.pop("rate_of_rise")
    rate = ciria.greatest_rate_of_rise(permissible_pressure=np.array([limit]), **face)
    if np.isinf(rate[0]):
        assert values_of_face["weight_density"] * values_of_face["placement_height"] <= limit
        return
    if rate[0] > 0.0:
        assert ciria.design_pressure(rate_of_rise=rate, **face)[0] <= limit * (1.0 + 1e-9)
    assert ciria.design_pressure(rate_of_rise=rate * 1.001 + 1e-6, **face)[0] > limit * (1.0 - 1e-9)
