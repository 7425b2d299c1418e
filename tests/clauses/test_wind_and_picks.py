"""Wind during execution and crane picks, against printed tables, another library, and hand calculation."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from support import case

from sheetengine.clauses import asce7, crane_pick, en1991_1_4, en1991_1_6
from sheetengine.clauses.rows import factors

FOOT, MPH, PSF = 0.3048, 0.44704, 0.04788026
CATEGORIES = ("0", "I", "II", "III", "IV")


def peak(v_b: float, height: np.ndarray, category: np.ndarray) -> dict[str, np.ndarray]:
    one = np.ones(np.broadcast_shapes(height.shape, category.shape))
    ground = {
        "height_above_ground": height * one,
        "roughness_length": en1991_1_4.roughness_length(terrain_category=category) * one,
        "minimum_height": en1991_1_4.minimum_height(terrain_category=category) * one,
    }
    c_r = en1991_1_4.roughness_factor(**ground)
    I_v = en1991_1_4.turbulence_intensity(orography_factor=one, turbulence_factor=one, **ground)
    v_m = en1991_1_4.mean_velocity(basic_velocity=v_b * one, roughness_factor=c_r, orography_factor=one)
    q_p = en1991_1_4.peak_velocity_pressure(
        mean_velocity=v_m, turbulence_intensity=I_v, air_density=1.25 * one
    )
    return {"cr": c_r, "Iv": I_v, "qp": q_p}


def test_terrain_categories() -> None:
    printed = case("W-EN-T41")
    category = printed.column("category")
    printed.check("z0", en1991_1_4.roughness_length(terrain_category=category))
    printed.check("zmin", en1991_1_4.minimum_height(terrain_category=category))


def test_recommended_values() -> None:
    printed, numbers = case("W-EN-RECOMMENDED"), factors("en1991_1_4")
    for name, key in (
        ("K", "shape_parameter"), ("n", "exponent"), ("kI", "turbulence_factor"), ("rho", "air_density"),
        ("z0II", "reference_roughness"),
    ):  # fmt: skip
        printed.check(name, numbers[key])


def test_return_periods_of_execution() -> None:
    printed = case("W-EN-T31")
    days = printed.column("duration")
    printed.check("return_period", en1991_1_6.return_period(exposure_days=days))
    slow = en1991_1_6.execution_velocity(exposure_days=days[:1], basic_velocity=np.array([5.0]))
    printed.check("least_velocity", slow)


@pytest.mark.parametrize("height", [1.5, 6.2, 12.0, 40.0, 150.0])
def test_peak_velocity_pressure_by_another_library(height: float) -> None:
    printed = case("W-QP-GRID")
    found = peak(float(printed.given("vb")), np.array([height]), printed.column("category"))
    printed.check(f"{height:g}", 1000.0 * found["qp"])


def test_peak_velocity_pressure_of_a_worked_example() -> None:
    printed = case("W-ACCESS-STEEL")
    found = peak(float(printed.given("vb")), printed.column("z"), printed.column("category"))
    for name in ("cr", "Iv", "qp"):
        printed.check(name, found[name])


def test_basic_velocity_and_net_pressure() -> None:
    printed = case("W-BASIC")
    found = en1991_1_4.basic_velocity(
        fundamental_velocity=printed.column("vb0"), wind_direction_factor=printed.column("cdir"),
        season_factor=printed.column("cseason"), probability_factor=printed.column("cprob"),
    )  # fmt: skip
    printed.check("vb", found)
    net = en1991_1_4.net_wind_pressure(
        peak_pressure=printed.column("qp"), net_coefficient=printed.column("cp")
    )
    printed.check("w", net)


@given(st.sampled_from(CATEGORIES), st.floats(0.5, 190.0), st.floats(0.1, 10.0), st.floats(10.0, 50.0))
def test_pressure_grows_with_height_and_with_the_square_of_speed(
    category: str, height: float, step: float, speed: float
) -> None:
    word = np.array([category])
    low, high = (peak(speed, np.array([z]), word)["qp"][0] for z in (height, height + step))
    assert low <= high
    twice = peak(2.0 * speed, np.array([height]), word)["qp"][0]
    assert twice == pytest.approx(4.0 * low, rel=1e-12)


@given(st.floats(0.5, 200.0))
def test_smoother_country_has_more_wind(height: float) -> None:
    pressures = peak(26.0, np.array([height]), np.array(CATEGORIES))["qp"]
    assert (np.diff(pressures) < 0.0).all()


def test_exposure_coefficients_of_the_table() -> None:
    printed = case("W-ASCE-KZ")
    height = printed.column("z") * FOOT
    for exposure in "BCD":
        found = asce7.exposure_coefficient(
            height_above_ground=height, exposure_category=np.full(height.shape, exposure)
        )
        printed.check(exposure, found)


def test_velocity_pressure_in_its_two_printed_forms() -> None:
    printed = case("W-ASCE-QZ")
    one = np.ones(2)
    found = asce7.gust_velocity_pressure(
        wind_speed=printed.column("V") * MPH, exposure_coefficient=printed.column("Kz"), topographic_factor=one,
        directionality_factor=0.85 * one, elevation_factor=one,
    )  # fmt: skip
    printed.check("qz", found / PSF)


def test_hoisting_classes() -> None:
    printed = case("W-EN3-T25")
    word = printed.column("class")
    still = crane_pick.hoisting_factor(hoisting_class=word, hoisting_speed=np.zeros(4))
    moving = crane_pick.hoisting_factor(hoisting_class=word, hoisting_speed=np.ones(4))
    printed.check("least", still)
    printed.check("beta", moving - still)


def test_usual_dynamic_factor_covers_smooth_hoisting() -> None:
    # EN 1991-3 Tables 2.4 and 2.5: HC1 and HC2 at half a metre a second; HC3 and HC4 want their own
    found = crane_pick.hoisting_factor(
        hoisting_class=np.array(["HC1", "HC2", "HC3"]), hoisting_speed=np.full(3, 0.5)
    )
    np.testing.assert_allclose(found, [1.135, 1.27, 1.405])
    assert (found[:2] <= crane_pick.DYNAMIC_FACTOR).all() and found[2] > crane_pick.DYNAMIC_FACTOR


def test_hook_load() -> None:
    printed = case("W-PICK-LOAD")
    found = crane_pick.hook_load(lifted_mass=printed.column("mass"), dynamic_factor=printed.column("factor"))
    printed.check("load", found)


def test_greatest_wind_of_a_pick() -> None:
    printed = case("W-PICK-WIND")
    found = crane_pick.greatest_pick_wind(
        crane_wind_speed=printed.column("vmax"), lifted_mass=printed.column("mass"),
        wind_area=printed.column("area"), force_coefficient=printed.column("cw"),
    )  # fmt: skip
    printed.check("v", found)


@given(st.floats(3.0, 20.0), st.floats(100.0, 50000.0), st.floats(1.0, 60.0), st.floats(0.8, 2.2))
def test_drag_at_the_greatest_wind_is_that_of_an_ordinary_load(
    limit: float, mass: float, area: float, coefficient: float
) -> None:
    """Put the answer back: drag over the drag that the crane's limit allows is 1, or less at the limit itself."""
    speed = crane_pick.greatest_pick_wind(
        crane_wind_speed=np.array([limit]), lifted_mass=np.array([mass]), wind_area=np.array([area]),
        force_coefficient=np.array([coefficient]),
    )[0]  # fmt: skip
    ratio = area * coefficient * speed**2 / (1.2 * mass / 1000.0 * limit**2)
    assert speed <= limit
    if speed < limit:
        assert ratio == pytest.approx(1.0, rel=1e-9)
    else:
        assert ratio <= 1.0 + 1e-9
