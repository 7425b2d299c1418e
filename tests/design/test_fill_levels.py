"""The worst level of filling, against a fine grid and against scipy's bounded search."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from sheetengine.clauses.fluid_pressure import resultant, resultant_height
from sheetengine.clauses.inclined_faces import downward_force, face_moment
from sheetengine.columns import Column
from sheetengine.design.fill_levels import worst_level


def effect(level: Column, weights: Column, lean: Column, maximum: Column) -> Column:
    """Return a weighted sum of thrust, weight and moment of 25 kN/m3 concrete at a level."""
    density = np.full_like(level, 25.0)
    shape = {
        "maximum_pressure": np.minimum(maximum, density * level),
        "weight_density": density,
        "placement_height": level,
    }
    thrust = resultant(**shape)
    body = {"weight_density": density, "placement_height": level, "face_inclination": lean}
    down = downward_force(pressure_force=thrust, **body)
    with np.errstate(divide="ignore", invalid="ignore"):
        at = np.where(level > 0.0, resultant_height(**shape), 0.0)
    turn = face_moment(pressure_force=thrust, pressure_force_height=at, **body)
    return weights[0] * thrust + weights[1] * down + weights[2] * turn


def test_no_level_of_a_fine_grid_does_more() -> None:
    rng = np.random.default_rng(71)
    count = 400
    weights = rng.uniform(-1.0, 1.0, (3, count))
    lean = rng.uniform(-45.0, 45.0, count)
    height = rng.uniform(1.0, 4.5, count)
    maximum = rng.uniform(15.0, 130.0, count)
    level = worst_level(
        lambda at: effect(at, weights, lean, maximum), height=height, full_head=maximum / 25.0
    )
    most = effect(level, weights, lean, maximum)
    grid = np.stack(
        [effect(share * height, weights, lean, maximum) for share in np.linspace(1e-9, 1.0, 3001)]
    )
    scale = np.abs(grid).max(axis=0)
    # concrete that relieves at every level is left out by the combinations
    assert (np.maximum(most, 0.0) >= np.maximum(grid.max(axis=0), 0.0) - 1e-12 * scale).all()
    positive = grid.max(axis=0) > 1e-3 * scale
    assert most[positive] == pytest.approx(grid.max(axis=0)[positive], rel=2e-3)
    inside = positive & (level < height)
    assert inside.sum() > 30  # the search is not in vain
    for row in np.flatnonzero(inside)[:60]:
        one = slice(row, row + 1)
        best = level[row]
        found = minimize_scalar(
            lambda at, one=one: -float(effect(np.array([at]), weights[:, one], lean[one], maximum[one])[0]),
            bounds=(max(best - 0.05, 1e-6), min(best + 0.05, float(height[row]))),
            method="bounded",
            options={"xatol": 1e-10},
        )
        assert most[row] == pytest.approx(-found.fun, rel=1e-9)


def test_what_is_not_known_is_filled_to_the_top() -> None:
    level = worst_level(
        lambda at: np.full_like(at, np.nan), height=np.array([3.0]), full_head=np.array([np.nan])
    )
    assert level.tolist() == [3.0]


def test_of_equal_levels_the_highest_counts() -> None:
    level = worst_level(np.zeros_like, height=np.array([3.0]), full_head=np.array([1.0]))
    assert level.tolist() == [3.0]
