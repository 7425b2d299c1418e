from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from support import case

from sheetengine.clauses import fluid_pressure as fluid

heights = st.floats(0.2, 12.0)
densities = st.floats(15.0, 30.0)
pressures = st.floats(1.0, 400.0)


def col(value: float) -> np.ndarray:
    return np.array([value])


def test_full_head_over_eight_feet() -> None:
    cc = case("P-CC-01")
    p = fluid.full_head(weight_density=cc.column("w"), depth_below_surface=cc.column("h"))
    cc.check("p_psf", p)
    cc.check("p_psi", p / 144.0)


@given(p=pressures, gamma=densities, height=heights)
def test_resultant_and_its_height_are_the_integrals_of_the_profile(
    p: float, gamma: float, height: float
) -> None:
    # property: the closed forms against quadrature of the profile, piece by piece up to the kink
    points, weights = np.polynomial.legendre.leggauss(4)
    kink = min(p / gamma, height)
    force = moment = 0.0
    for start, end in ((0.0, kink), (kink, height)):
        z = start + (end - start) * (points + 1.0) / 2.0
        share = weights * (end - start) / 2.0
        profile = fluid.pressure_at_depth(
            maximum_pressure=np.full(z.shape, p),
            weight_density=np.full(z.shape, gamma),
            depth_below_surface=z,
        )
        force += np.sum(share * profile)
        moment += np.sum(share * profile * (height - z))
    args = {"maximum_pressure": col(p), "weight_density": col(gamma), "placement_height": col(height)}
    np.testing.assert_allclose(fluid.resultant(**args), force, rtol=1e-7)
    np.testing.assert_allclose(fluid.resultant_height(**args), moment / force, rtol=1e-7)


@given(p=pressures, gamma=densities)
def test_greatest_height_brings_the_full_head_to_the_permissible_pressure(p: float, gamma: float) -> None:
    h = fluid.greatest_height(permissible_pressure=col(p), weight_density=col(gamma))
    np.testing.assert_allclose(fluid.full_head(weight_density=col(gamma), depth_below_surface=h), p)


def test_codes_of_the_bounds() -> None:
    within = np.array([True, True, True, True, False, True])
    formula = np.array([50.0, 20.0, 90.0, 20.0, 50.0, np.nan])
    floor = np.array([30.0, 30.0, 30.0, 30.0, 30.0, 30.0])
    head = np.array([75.0, 75.0, 75.0, 25.0, 75.0, 75.0])
    codes = fluid.bound_code(formula=formula, floor=floor, fluid=head, within_scope=within)
    np.testing.assert_array_equal(codes, [1.0, 2.0, 3.0, 3.0, 4.0, np.nan])
    values = fluid.bounded(formula=formula, floor=floor, fluid=head, within_scope=within)
    np.testing.assert_array_equal(values, [50.0, 30.0, 75.0, 25.0, 75.0, np.nan])
    assert set(fluid.BOUND_NAMES) == {1.0, 2.0, 3.0, 4.0}


def test_greatest_rate_is_unbounded_under_full_head_and_zero_below_the_floor() -> None:
    rate = fluid.bounded_rate(
        rate=np.array([3.0, 3.0, 3.0, -1.0, 9.0, 3.0, np.nan]),
        permissible_pressure=np.array([80.0, 20.0, 40.0, 40.0, 40.0, 40.0, 40.0]),
        floor=30.0,
        fluid=np.full(7, 75.0),
        within_scope=np.array([True, True, True, True, True, False, True]),
        greatest=7.0,
    )
    np.testing.assert_array_equal(rate, [np.inf, 0.0, 3.0, 0.0, 7.0, 0.0, np.nan])
