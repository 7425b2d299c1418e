from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from support import Case, case

from sheetengine.clauses import aci347r_si as aci
from sheetengine.clauses.fluid_pressure import FLOOR, FORMULA, FULL_HEAD, OUTSIDE_SCOPE
from sheetengine.clauses.record import outside

CASES = ("P-ACI-07", "P-ACI-08", "P-ACI-09", "P-ACI-10")

LOW, TOP, WALL, SLUMP, DEEP = 2.1, 4.5, 4.2, 175.0, 1.2


def face(**changes: float) -> dict[str, np.ndarray]:
    values = {
        "rate_of_rise": 1.5,
        "concrete_temperature": 15.0,
        "placement_height": 4.0,
        "weight_density": 23.544,
        "weight_factor": 1.0,
        "chemistry_factor": 1.0,
        "is_column": 0.0,
        "slump": 100.0,
        "vibration_depth": 1.0,
    } | changes
    return {name: np.array([value]) for name, value in values.items()}


def of_case(published: Case) -> dict[str, np.ndarray]:
    density = published.column("rho")
    return {
        "rate_of_rise": published.column("R"),
        "concrete_temperature": published.column("T"),
        "placement_height": published.column("H"),
        "weight_density": density * 9.81 / 1000.0,
        "weight_factor": aci.weight_factor(mass_density=density),
        "chemistry_factor": published.column("Cc"),
        "is_column": np.array([0.0 if published.given("element") == "wall" else 1.0]),
        "slump": np.array([100.0]),
        "vibration_depth": np.array([1.0]),
    }


@pytest.mark.parametrize("identifier", CASES)
def test_published_pressure(identifier: str) -> None:
    published = case(identifier)
    published.check("pmax", aci.design_pressure(**of_case(published)))


@pytest.mark.parametrize(
    ("identifier", "equation", "bound"),
    [
        ("P-ACI-07", 2.3, FORMULA),
        ("P-ACI-08", 2.4, FORMULA),
        ("P-ACI-09", 2.3, FLOOR),
        ("P-ACI-10", 2.3, FULL_HEAD),
    ],
)
def test_equation_and_bound_of_published_cases(identifier: str, equation: float, bound: float) -> None:
    rows = of_case(case(identifier))
    keys = ("rate_of_rise", "placement_height", "is_column", "slump", "vibration_depth")
    assert aci.equation(**{key: rows[key] for key in keys})[0] == equation
    assert aci.governing_bound(**rows)[0] == bound


@pytest.mark.parametrize(
    ("change", "equation"),
    [
        ({"rate_of_rise": LOW * 0.99}, 2.3),
        ({"rate_of_rise": LOW}, 2.4),
        ({"rate_of_rise": TOP}, 2.4),
        ({"rate_of_rise": TOP * 1.01}, 2.1),
        ({"rate_of_rise": LOW * 0.99, "placement_height": WALL}, 2.3),
        ({"rate_of_rise": LOW * 0.99, "placement_height": WALL * 1.01}, 2.4),
        ({"is_column": 1.0, "placement_height": WALL * 2.0}, 2.2),
        ({"slump": SLUMP}, 2.3),
        ({"slump": SLUMP * 1.01}, 2.1),
        ({"vibration_depth": DEEP}, 2.3),
        ({"vibration_depth": DEEP * 1.01}, 2.1),
    ],
)
def test_choice_of_equation_at_the_limits(change: dict[str, float], equation: float) -> None:
    # limits as printed: 347-04 2.2.2
    rows = face(**change)
    keys = ("rate_of_rise", "placement_height", "is_column", "slump", "vibration_depth")
    assert aci.equation(**{key: rows[key] for key in keys})[0] == equation
    if equation == 2.1:
        head = rows["weight_density"] * rows["placement_height"]
        np.testing.assert_array_equal(aci.design_pressure(**rows), head)
        assert aci.governing_bound(**rows)[0] == OUTSIDE_SCOPE
        beyond = outside(aci.design_pressure, **rows)
        assert [name for name, flags in beyond.items() if flags[0]] == [next(iter(change))]


def test_weight_factor_at_its_limits() -> None:
    # 347-04 Table 2.1: 0.5 (1 + w/ref) >= 0.80 below, 1 between, w/ref above
    densities = np.array([1000.0, 2239.0, 2240.0, 2400.0, 2552.0])
    found = aci.weight_factor(mass_density=densities)
    np.testing.assert_allclose(found, [0.8, 0.5 * (1.0 + 2239.0 / 2320.0), 1.0, 1.0, 1.1], rtol=1e-12)


def test_a_blank_gives_a_blank() -> None:
    for name in face():
        assert np.isnan(aci.design_pressure(**face(**{name: np.nan}))[0]), name
        assert np.isnan(aci.governing_bound(**face(**{name: np.nan}))[0]), name


faces = st.fixed_dictionaries(
    {
        "rate_of_rise": st.floats(0.0, TOP * 1.3),
        "concrete_temperature": st.floats(5.0, 40.0),
        "placement_height": st.floats(WALL * 0.1, WALL * 2.0),
        "weight_density": st.floats(12.0, 32.0),
        "chemistry_factor": st.sampled_from([1.0, 1.2, 1.4]),
        "is_column": st.sampled_from([0.0, 1.0]),
        "slump": st.floats(0.0, SLUMP * 1.2),
        "vibration_depth": st.floats(0.0, DEEP * 1.2),
    }
)


def weighed(values: dict[str, float]) -> dict[str, np.ndarray]:
    rows = face(**values)
    return rows | {"weight_factor": aci.weight_factor(mass_density=rows["weight_density"] * 1000.0 / 9.81)}


@given(values=faces, step=st.floats(0.0, 1.0))
def test_pressure_never_falls_with_rate_weight_or_cold_and_never_tops_the_head(
    values: dict[str, float], step: float
) -> None:
    rows = weighed(values)
    p = aci.design_pressure(**rows)
    assert p[0] <= rows["weight_density"][0] * rows["placement_height"][0]
    faster = weighed(values | {"rate_of_rise": values["rate_of_rise"] + step * TOP})
    heavier = weighed(values | {"weight_density": values["weight_density"] * (1.0 + step)})
    colder = weighed(values | {"concrete_temperature": values["concrete_temperature"] - step * (5.0 - (0.0))})
    for changed in (faster, heavier, colder):
        assert aci.design_pressure(**changed)[0] >= p[0] * (1.0 - 1e-12)


@given(values=faces, permissible=st.floats(5.0, 150.0))
def test_greatest_rate_just_keeps_the_permissible_pressure(
    values: dict[str, float], permissible: float
) -> None:
    rows = weighed(values)
    rows.pop("rate_of_rise")
    limit = np.array([permissible])
    rate = aci.greatest_rate_of_rise(permissible_pressure=limit, **rows)
    head = rows["weight_density"] * rows["placement_height"]
    if np.isinf(rate[0]):
        assert head[0] <= permissible
        return
    if rate[0] > 0.0:
        assert aci.design_pressure(rate_of_rise=rate, **rows)[0] <= permissible * (1.0 + 1e-9)
    over = aci.design_pressure(rate_of_rise=rate + 1e-6 * TOP, **rows)[0]
    assert over > permissible * (1.0 - 1e-9) or rate[0] == TOP
