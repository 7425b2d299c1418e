"""Pressure of fluids and of fresh concrete: textbooks, handbook tables, and cases read backwards."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from support import case

from sheetengine.clauses import (
    aci347r_factors,
    aci347r_inch_pound,
    aci347r_si,
    ciria108,
    din18218,
    fluid_pressure,
    gb50666,
    jgj162,
)


def like(column: np.ndarray, value: float) -> np.ndarray:
    return np.full(column.shape, float(value))


def test_water_on_a_plate() -> None:
    printed = case("P-HIB-PLATE")
    depth, width = printed.column("z"), printed.given("b")
    gamma = like(depth, printed.given("gamma_w"))
    deep = like(depth, 1e3)
    intensity = width * fluid_pressure.pressure_at_depth(
        maximum_pressure=deep, weight_density=gamma, depth_below_surface=depth
    )
    printed.check("w", intensity)
    face = {"maximum_pressure": deep, "weight_density": gamma, "placement_height": depth}
    upper, whole = width * fluid_pressure.resultant(**face)
    upper_arm, whole_arm = fluid_pressure.resultant_height(**face)
    plate = depth[1] - depth[0]
    printed.check("F", whole - upper)
    printed.check("h", (whole * whole_arm - upper * (upper_arm + plate)) / (whole - upper))
    # second way: the printed intensities by the rule of the trapezoid
    top, bottom = printed.printed("w")
    np.testing.assert_allclose(plate * (top + bottom) / 2.0, printed.printed("F"), atol=0.05)
    rule = plate * (2.0 * top + bottom) / (3.0 * (top + bottom))
    np.testing.assert_allclose(rule, printed.printed("h"), atol=0.005)


def test_area_and_centroid_of_the_pressure_diagram() -> None:
    printed = case("P-GEOS")
    p, height = printed.column("pmax"), printed.column("H")
    face = {
        "maximum_pressure": p,
        "weight_density": like(p, printed.given("gamma")),
        "placement_height": height,
    }
    printed.check("area", fluid_pressure.resultant(**face))
    printed.check("centroid", fluid_pressure.resultant_height(**face))
    for row, (cap, top) in enumerate(zip(p, height, strict=True)):
        kink = top - cap / printed.given("gamma")
        diagram = shapely.Polygon([(0.0, 0.0), (cap, 0.0), (cap, kink), (0.0, top)])
        np.testing.assert_allclose(diagram.area, printed.printed("area")[row], rtol=1e-9)
        np.testing.assert_allclose(diagram.centroid.y, printed.printed("centroid")[row], rtol=1e-7)


def test_the_height_of_a_full_head_read_backwards() -> None:
    printed, forward = case("P-CC-01-back"), case("P-CC-01")
    assert printed.given("p_psf") == forward.printed("p_psf")
    assert printed.printed("h") == forward.given("h")
    w, p = printed.column("w"), printed.column("p_psf")
    printed.check("h", fluid_pressure.greatest_height(permissible_pressure=p, weight_density=w))
    for height in (8.0, 20.0):
        depth = fluid_pressure.full_head_depth(
            maximum_pressure=p, weight_density=w, placement_height=np.array([height])
        )
        printed.check("h", depth)


@pytest.mark.parametrize("temperature", [50, 70, 90])
def test_table_of_wall_pressures(temperature: int) -> None:
    printed = case("P-ACI-TABLE")
    rate = printed.column("R")
    ones = np.ones(rate.shape)
    mix = {
        "concrete_temperature_degf": like(rate, temperature),
        "weight_factor": ones,
        "chemistry_factor": ones,
    }
    table = np.array(printed.printed(f"p_{temperature}"))
    low = aci347r_inch_pound.low_rate_pressure(rate_of_rise_ft_h=rate, **mix)
    high = aci347r_inch_pound.wall_pressure(rate_of_rise_ft_h=rate, **mix)
    printed.check(f"p_{temperature}", np.where(rate <= 7.0, low, high))
    back = aci347r_inch_pound.greatest_rate_of_rise(
        permissible_pressure_psf=table,
        placement_height_ft=like(rate, printed.given("H")),
        density_lb_ft3=like(rate, printed.given("w")),
        is_column=0.0 * ones,
        slump_in=4.0 * ones,
        vibration_depth_ft=3.0 * ones,
        **mix,
    )
    printed.check("R_back", back)


def test_table_of_wall_pressures_in_the_si_form() -> None:
    printed = case("P-ACI-TABLE-SI")
    pressure = printed.column("p")
    ones = np.ones(pressure.shape)
    face = {
        "concrete_temperature": printed.column("T"),
        "placement_height": like(pressure, printed.given("H")),
        "weight_density": like(pressure, printed.given("gamma")),
        "weight_factor": ones,
        "chemistry_factor": ones,
        "is_column": 0.0 * ones,
        "slump": 100.0 * ones,
        "vibration_depth": ones,
    }
    printed.check("R", aci347r_si.greatest_rate_of_rise(permissible_pressure=pressure, **face))
    forward = aci347r_si.design_pressure(rate_of_rise=np.array(printed.printed("R")), **face)
    np.testing.assert_allclose(forward, pressure, rtol=printed.rel_tol)
    # second way: the conversion again, from the table as printed
    table, psf = case("P-ACI-TABLE"), 4.4482216 / 0.3048**2 / 1000.0
    rows = [table.given("R").index(rate) for rate in (5, 6, 8, 10)]
    for start, column in ((0, "p_50"), (4, "p_70")):
        converted = psf * np.array(table.printed(column))[rows]
        np.testing.assert_allclose(pressure[start : start + 4], converted, rtol=2e-5)
        np.testing.assert_allclose(
            np.array(printed.printed("R"))[start : start + 4], 0.3048 * table.column("R")[rows]
        )


def test_tables_of_chemistry_and_mix() -> None:
    chemistry, mix = case("P-ACI-CC"), case("P-CIR-C2")
    for table, name, formula in (
        (chemistry, "Cc", aci347r_factors.chemistry_factor),
        (mix, "C2", ciria108.mix_coefficient),
    ):
        found = formula(cement_group=table.column("cement_group"), retarder=table.column("retarder"))
        table.check(name, found)
    # second way: one grouping of binders in two documents, step for step
    step = {1.0: 0.30, 1.2: 0.45, 1.4: 0.60}
    assert [step[value] for value in chemistry.printed("Cc")] == mix.printed("C2")
    shape = case("P-CIR-C1")
    shape.check("C1", ciria108.shape_coefficient(is_column=shape.column("is_column")))


def test_ciria_read_backwards() -> None:
    back = case("P-CIR-back")
    given = back.column
    rate = ciria108.greatest_rate_of_rise(
        permissible_pressure=given("Pmax"),
        weight_density=given("D"),
        form_height=given("H"),
        placement_height=given("H"),
        concrete_temperature=given("T"),
        shape_coefficient=given("C1"),
        mix_coefficient=given("C2"),
    )
    back.check("R", rate)
    for row, identifier in enumerate(("P-CIR-02", "P-CIR-03", "P-CIR-04")):
        assert back.given("Pmax")[row] == case(identifier).printed("Pmax")
        assert back.printed("R")[row] == case(identifier).given("R")


def test_din_read_backwards() -> None:
    back = case("P-D18218-back")
    pressure = back.column("sigma_hk_max")
    rate = din18218.greatest_rate_of_rise(
        consistency_class=back.column("class"),
        permissible_pressure=pressure,
        final_set=back.column("tE"),
        weight_density=like(pressure, back.given("gamma_c")),
        placement_height=like(pressure, 10.0),
        temperature_factor=np.ones(pressure.shape),
    )
    back.check("v", rate)
    forward = [f"P-DIN-{number}" for number in ("01", "02", "03", "04", "05", "06", "SCC-01", "SCC-04")]
    for row, identifier in enumerate(forward):
        assert pressure[row] == case(identifier).printed("sigma_hk_max")
        assert back.printed("v")[row] == case(identifier).given("v")


def test_gb_read_backwards() -> None:
    back, forward = case("P-GB-back"), case("P-GB-01")
    given = back.column
    assert back.given("F") == forward.printed("F")
    assert back.printed("V") == forward.given("V")
    face = {
        "weight_density": given("gamma_c"),
        "placement_height": given("H"),
        "initial_set": given("t0"),
        "slump_factor": given("beta"),
        "slump": np.array([150.0]),
    }
    back.check("V", gb50666.greatest_rate_of_rise(permissible_pressure=given("F"), **face))
    back.check("bound", gb50666.governing_bound(rate_of_rise=np.array([back.printed("V")]), **face))
    assert back.printed("bound") == fluid_pressure.FORMULA


def test_wall_of_a_chinese_handbook() -> None:
    printed = case("P-JZH-WALL")
    given = printed.column
    set_time = jgj162.initial_set(concrete_temperature=given("T"))
    printed.check("t0", set_time)
    face = {
        "weight_density": given("gamma_c"),
        "placement_height": given("H"),
        "initial_set": set_time,
        "admixture_factor": given("beta1"),
        "slump_factor": given("beta2"),
        "slump": given("slump"),
    }
    printed.check("F", jgj162.design_pressure(rate_of_rise=given("V"), **face))
    assert jgj162.governing_bound(rate_of_rise=given("V"), **face)[0] == fluid_pressure.FORMULA
    flat = face | {"placement_height": np.array([1.6])}
    assert jgj162.governing_bound(rate_of_rise=given("V"), **flat)[0] == fluid_pressure.FULL_HEAD
    head = fluid_pressure.full_head(weight_density=given("gamma_c"), depth_below_surface=given("H"))
    printed.check("F_full_head", head)
    pressure = np.array([printed.printed("F")])
    printed.check("V_back", jgj162.greatest_rate_of_rise(permissible_pressure=pressure, **face))
    # the head of fluid that gives the same pressure, printed as well
    effective = case("P-JZH-HEAD")
    effective.check(
        "h",
        fluid_pressure.full_head_depth(
            maximum_pressure=effective.column("F"),
            weight_density=effective.column("gamma_c"),
            placement_height=effective.column("H"),
        ),
    )
    # second way: the printed steps against one another
    by_hand = 0.22 * 25.0 * printed.printed("t0") * 1.0 * 0.85 * np.sqrt(2.5)
    np.testing.assert_allclose(by_hand, printed.printed("F"), atol=0.05)
    np.testing.assert_allclose(printed.printed("F") / 25.0, effective.printed("h"), atol=0.05)


def test_factors_of_the_chinese_standard() -> None:
    printed = case("P-JGJ-BETA")
    printed.check("beta1", jgj162.admixture_factor(retarder=printed.column("retarder")))
    printed.check("beta2", jgj162.slump_factor(slump=printed.column("slump")))
