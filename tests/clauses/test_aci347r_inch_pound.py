from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from support import Case, case

from sheetengine.clauses import aci347r_inch_pound as aci
from sheetengine.clauses.fluid_pressure import FLOOR, FORMULA, OUTSIDE_SCOPE
from sheetengine.clauses.record import outside

CASES = ("P-ACI-01", "P-ACI-02", "P-ACI-03", "P-ACI-04", "P-ACI-05")

LOW, TOP, WALL, SLUMP, DEEP = 7.0, 15.0, 14.0, 7.0, 4.0


def face(**changes: float) -> dict[str, np.ndarray]:
    values = {
        "rate_of_rise_ft_h": 4.0,
        "concrete_temperature_degf": 60.0,
        "placement_height_ft": 12.0,
        "density_lb_ft3": 150.0,
        "weight_factor": 1.0,
        "chemistry_factor": 1.0,
        "is_column": 0.0,
        "slump_in": 4.0,
        "vibration_depth_ft": 3.0,
    } | changes
    return {name: np.array([value]) for name, value in values.items()}


def of_case(published: Case) -> dict[str, np.ndarray]:
    density = published.column("w")
    return {
        "rate_of_rise_ft_h": published.column("R"),
        "concrete_temperature_degf": published.column("T"),
        "placement_height_ft": published.column("H"),
        "density_lb_ft3": density,
        "weight_factor": aci.weight_factor(density_lb_ft3=density),
        "chemistry_factor": published.column("Cc"),
        "is_column": np.array([0.0 if published.given("element") == "wall" else 1.0]),
        "slump_in": np.array([4.0]),
        "vibration_depth_ft": np.array([3.0]),
    }


@pytest.mark.parametrize("identifier", CASES)
def test_published_pressure(identifier: str) -> None:
    published = case(identifier)
    published.check("pmax", aci.design_pressure(**of_case(published)))


@pytest.mark.parametrize(
    ("identifier", "equation", "bound"),
    [
        ("P-ACI-01", 2.3, FORMULA),
        ("P-ACI-02", 2.4, FORMULA),
        ("P-ACI-03", 2.4, FORMULA),
        ("P-ACI-04", 2.3, FLOOR),
        ("P-ACI-05", 2.1, OUTSIDE_SCOPE),
    ],
)
def test_equation_and_bound_of_published_cases(identifier: str, equation: float, bound: float) -> None:
    rows = of_case(case(identifier))
    keys = ("rate_of_rise_ft_h", "placement_height_ft", "is_column", "slump_in", "vibration_depth_ft")
    assert aci.equation(**{key: rows[key] for key in keys})[0] == equation
    assert aci.governing_bound(**rows)[0] == bound


def test_army_chart_before_the_floor_and_the_clause_of_today() -> None:
    army = case("P-ARMY-01")
    rate = army.column("output") * 27.0 / army.column("plan_area")
    army.check("R", rate)
    one = np.ones(1)
    before = aci.low_rate_pressure(
        rate_of_rise_ft_h=rate,
        concrete_temperature_degf=army.column("T"),
        weight_factor=one,
        chemistry_factor=one,
    )
    army.check("pmax", before)
    np.testing.assert_allclose(before, 410.0, atol=0.5)  # 150 + 9000 x 2.025 / 70, by hand
    today = face(rate_of_rise_ft_h=float(rate[0]), concrete_temperature_degf=70.0)
    assert aci.design_pressure(**today)[0] == 600.0  # floor of 600 C_w, 347-04 2.2.2
    assert aci.governing_bound(**today)[0] == FLOOR


def test_decision_table_of_the_letter() -> None:
    hurd = case("P-HURD-01")
    rate = hurd.column("R")
    found = aci.equation(
        rate_of_rise_ft_h=rate,
        placement_height_ft=hurd.column("H"),
        is_column=np.zeros(rate.size),
        slump_in=hurd.column("slump"),
        vibration_depth_ft=np.full(rate.size, 3.0),
    )
    words = {"2.3": 2.3, "2.4": 2.4, "fluid": 2.1}
    np.testing.assert_array_equal(found, [words[word] for word in hurd.printed("equation")])


def test_deep_vibration_means_full_head() -> None:
    measured = case("P-MEAS-01")
    assert measured.printed("measured_over_formula") > 1.0  # why the rule is there
    deep = face(
        rate_of_rise_ft_h=min(measured.given("R_range")),
        placement_height_ft=measured.given("H"),
        concrete_temperature_degf=measured.given("T"),
        slump_in=measured.given("slump"),
    )
    assert aci.governing_bound(**deep)[0] == FORMULA
    deep["vibration_depth_ft"] = np.array([4.5])
    assert aci.governing_bound(**deep)[0] == OUTSIDE_SCOPE
    assert aci.design_pressure(**deep)[0] == 150.0 * measured.given("H")


@pytest.mark.parametrize(
    ("change", "equation"),
    [
        ({"rate_of_rise_ft_h": LOW * 0.99}, 2.3),
        ({"rate_of_rise_ft_h": LOW}, 2.4),
        ({"rate_of_rise_ft_h": TOP}, 2.4),
        ({"rate_of_rise_ft_h": TOP * 1.01}, 2.1),
        ({"rate_of_rise_ft_h": LOW * 0.99, "placement_height_ft": WALL}, 2.3),
        ({"rate_of_rise_ft_h": LOW * 0.99, "placement_height_ft": WALL * 1.01}, 2.4),
        ({"is_column": 1.0, "placement_height_ft": WALL * 2.0}, 2.2),
        ({"slump_in": SLUMP}, 2.3),
        ({"slump_in": SLUMP * 1.01}, 2.1),
        ({"vibration_depth_ft": DEEP}, 2.3),
        ({"vibration_depth_ft": DEEP * 1.01}, 2.1),
    ],
)
def test_choice_of_equation_at_the_limits(change: dict[str, float], equation: float) -> None:
    # limits as printed: 347-04 2.2.2
    rows = face(**change)
    keys = ("rate_of_rise_ft_h", "placement_height_ft", "is_column", "slump_in", "vibration_depth_ft")
    assert aci.equation(**{key: rows[key] for key in keys})[0] == equation
    if equation == 2.1:
        head = rows["density_lb_ft3"] * rows["placement_height_ft"]
        np.testing.assert_array_equal(aci.design_pressure(**rows), head)
        assert aci.governing_bound(**rows)[0] == OUTSIDE_SCOPE
        beyond = outside(aci.design_pressure, **rows)
        assert [name for name, flags in beyond.items() if flags[0]] == [next(iter(change))]


def test_weight_factor_at_its_limits() -> None:
    # 347-04 Table 2.1: 0.5 (1 + w/ref) >= 0.80 below, 1 between, w/ref above
    densities = np.array([60.0, 139.0, 140.0, 150.0, 159.5])
    found = aci.weight_factor(density_lb_ft3=densities)
    np.testing.assert_allclose(found, [0.8, 0.5 * (1.0 + 139.0 / 145.0), 1.0, 1.0, 1.1], rtol=1e-12)


def test_a_blank_gives_a_blank() -> None:
    for name in face():
        assert np.isnan(aci.design_pressure(**face(**{name: np.nan}))[0]), name
        assert np.isnan(aci.governing_bound(**face(**{name: np.nan}))[0]), name


faces = st.fixed_dictionaries(
    {
        "rate_of_rise_ft_h": st.floats(0.0, TOP * 1.3),
        "concrete_temperature_degf": st.floats(40.0, 100.0),
        "placement_height_ft": st.floats(WALL * 0.1, WALL * 2.0),
        "density_lb_ft3": st.floats(80.0, 200.0),
        "chemistry_factor": st.sampled_from([1.0, 1.2, 1.4]),
        "is_column": st.sampled_from([0.0, 1.0]),
        "slump_in": st.floats(0.0, SLUMP * 1.2),
        "vibration_depth_ft": st.floats(0.0, DEEP * 1.2),
    }
)


def weighed(values: dict[str, float]) -> dict[str, np.ndarray]:
    rows = face(**values)
    return rows | {"weight_factor": aci.weight_factor(density_lb_ft3=rows["density_lb_ft3"])}


@given(values=faces, step=st.floats(0.0, 1.0))
def test_pressure_never_falls_with_rate_weight_or_cold_and_never_tops_the_head(
    values: dict[str, float], step: float
) -> None:
    rows = weighed(values)
    p = aci.design_pressure(**rows)
    assert p[0] <= rows["density_lb_ft3"][0] * rows["placement_height_ft"][0]
    faster = weighed(values | {"rate_of_rise_ft_h": values["rate_of_rise_ft_h"] + step * TOP})
    heavier = weighed(values | {"density_lb_ft3": values["density_lb_ft3"] * (1.0 + step)})
    colder = weighed(
        values | {"concrete_temperature_degf": values["concrete_temperature_degf"] - step * (40.0 - (32.0))}
    )
    for changed in (faster, heavier, colder):
        assert aci.design_pressure(**changed)[0] >= p[0] * (1.0 - 1e-12)


@given(values=faces, permissible=st.floats(100.0, 3000.0))
def test_greatest_rate_just_keeps_the_permissible_pressure(
    values: dict[str, float], permissible: float
) -> None:
    rows = weighed(values)
    rows.pop("rate_of_rise_ft_h")
    limit = np.array([permissible])
    rate = aci.greatest_rate_of_rise(permissible_pressure_psf=limit, **rows)
    head = rows["density_lb_ft3"] * rows["placement_height_ft"]
    if np.isinf(rate[0]):
        assert head[0] <= permissible
        return
    if rate[0] > 0.0:
        assert aci.design_pressure(rate_of_rise_ft_h=rate, **rows)[0] <= permissible * (1.0 + 1e-9)
    over = aci.design_pressure(rate_of_rise_ft_h=rate + 1e-6 * TOP, **rows)[0]
    assert over > permissible * (1.0 - 1e-9) or rate[0] == TOP
