from __future__ import annotations

import numpy as np
import pytest
from support import case

from sheetengine.clauses import en1991_1_4 as wind
from sheetengine.clauses.rows import factors


def same(value: float, like: np.ndarray) -> np.ndarray:
    return np.full(like.shape, value)


def test_probability_factor() -> None:
    published = case("L-CPROB-01")
    p = published.column("p")
    found = wind.probability_factor(
        annual_probability=p, shape_parameter=same(0.2, p), probability_exponent=same(0.5, p)
    )
    published.check("cprob", found)


def test_probability_factor_with_national_parameters() -> None:
    published = case("L-CPROB-NA")
    p = 1.0 / published.column("return_period")
    found = wind.probability_factor(
        annual_probability=p, shape_parameter=same(0.11, p), probability_exponent=same(1.0, p)
    )
    published.check("cprob_PT", found)


@pytest.mark.parametrize("identifier", ["L-QP-01", "L-QP-02"])
def test_peak_velocity_pressure(identifier: str) -> None:
    published = case(identifier)
    category = published.column("category")
    numbers = factors("en1991_1_4")
    one = np.ones(1)
    ground = {
        "height_above_ground": published.column("z"),
        "roughness_length": wind.roughness_length(terrain_category=category),
        "minimum_height": wind.minimum_height(terrain_category=category),
    }
    v_m = wind.mean_velocity(
        basic_velocity=published.column("vb"),
        roughness_factor=wind.roughness_factor(**ground),
        orography_factor=one,
    )
    I_v = wind.turbulence_intensity(orography_factor=one, turbulence_factor=one, **ground)
    q_p = wind.peak_velocity_pressure(
        mean_velocity=v_m, turbulence_intensity=I_v, air_density=same(numbers["air_density"], one)
    )
    published.check("qp", 1000.0 * q_p)


def test_the_wind_is_constant_below_the_least_height() -> None:
    ground = {"roughness_length": np.full(2, 0.3), "minimum_height": np.full(2, 5.0)}
    c_r = wind.roughness_factor(height_above_ground=np.array([1.0, 5.0]), **ground)
    assert c_r[0] == c_r[1]


def test_free_standing_wall_by_zone() -> None:
    # EN 1991-1-4 Table 7.9, solid wall, from memory: l/h = 3 and 10, then with return corners
    zones = np.array(["A", "B", "C", "D"])
    for ratio, corners, printed in (
        (3.0, 0.0, [2.3, 1.4, 1.2, 1.2]),
        (5.0, 0.0, [2.9, 1.8, 1.4, 1.2]),
        (20.0, 0.0, [3.4, 2.1, 1.7, 1.2]),
        (5.0, 1.0, [2.1, 1.8, 1.4, 1.2]),
    ):
        found = wind.free_standing_wall_coefficient(
            wall_zone=zones, length_over_height=np.full(4, ratio), return_corners=np.full(4, corners)
        )
        np.testing.assert_allclose(found, printed)


def test_unknown_terrain_or_zone_has_no_value() -> None:
    assert np.isnan(wind.roughness_length(terrain_category=np.array(["V", ""]))).all()
    found = wind.free_standing_wall_coefficient(
        wall_zone=np.array(["E", "A"]),
        length_over_height=np.array([3.0, np.nan]),
        return_corners=np.zeros(2),
    )
    assert np.isnan(found).all()
