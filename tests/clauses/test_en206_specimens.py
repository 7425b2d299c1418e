from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from sheetengine.clauses import en206_specimens as shapes

CLASSES = [
    (8, 10), (12, 15), (16, 20), (20, 25), (25, 30), (30, 37), (35, 45), (40, 50), (45, 55), (50, 60),
    (55, 67), (60, 75), (70, 85), (80, 95), (90, 105), (100, 115),
]  # fmt: skip
"""EN 206:2013 Table 12, strength classes by name, C8/10 to C100/115 (from memory)."""


def test_pairs_of_the_strength_classes() -> None:
    cylinder, cube = np.array(CLASSES, dtype=np.float64).T
    np.testing.assert_allclose(shapes.cylinder_from_cube(cube_strength=cube), cylinder)
    np.testing.assert_allclose(shapes.cube_from_cylinder(cylinder_strength=cylinder), cube)


def test_below_and_above_the_table() -> None:
    found = shapes.cylinder_from_cube(cube_strength=np.array([0.0, 5.0, 116.0, np.nan]))
    np.testing.assert_array_equal(found, [0.0, 4.0, np.nan, np.nan])
    found = shapes.cube_from_cylinder(cylinder_strength=np.array([0.0, 4.0, 101.0, np.nan]))
    np.testing.assert_array_equal(found, [0.0, 5.0, np.nan, np.nan])


@given(f=st.floats(0.0, 100.0))
def test_there_and_back(f: float) -> None:
    cube = shapes.cube_from_cylinder(cylinder_strength=np.array([f]))
    assert cube[0] >= f
    np.testing.assert_allclose(shapes.cylinder_from_cube(cube_strength=cube), f, rtol=1e-9, atol=1e-12)
