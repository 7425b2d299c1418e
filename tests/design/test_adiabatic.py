"""The heat of a lift that loses none, against a published adiabatic curve."""

from __future__ import annotations

import numpy as np
import pytest
from corners import corner
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.optimize import least_squares
from support import case

from sheetengine.design.corner_heat import corner_heat
from sheetengine.sheets.job_items import JOB_ITEMS

SHUT = 1e-9
ACTIVATION, REFERENCE = 4000.0, 20.0


def self_warmed(
    values: NDArray[np.float64], placing: float, hours: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the rise of concrete that keeps its heat, by an implicit integrator that this project has no part in."""
    time, shape, rise = values

    def ripen(_: float, age: NDArray[np.float64]) -> NDArray[np.float64]:
        warm = placing + rise * np.exp(-((time / np.maximum(age, 1e-9)) ** shape)) + 273.15
        return np.asarray(np.exp(ACTIVATION * (1.0 / (REFERENCE + 273.15) - 1.0 / warm)))

    age = solve_ivp(ripen, (0.0, hours[-1]), [0.0], "Radau", t_eval=hours, rtol=1e-9, atol=1e-9).y[0]
    return np.asarray(rise * np.exp(-((time / np.maximum(age, 1e-9)) ** shape)))


def test_a_lift_that_keeps_its_heat_follows_a_published_curve_within_the_margin() -> None:
    """The curve fixes the mix's three values; the corner, shut on all sides, must then run along it."""
    printed = case("H-AD-JSCE")
    hours, placing = printed.column("hours"), float(printed.given("placing"))
    want = np.asarray(printed.printed("rise"))
    cement = printed.column("cement")[0]
    assert want[-1] * 2400.0 / cement == pytest.approx(370.0, rel=0.05)  # kJ/kg, the second way

    fitted = least_squares(lambda values: self_warmed(values, placing, hours) - want, [16.0, 0.9, 48.0]).x
    mix = {"hydration_time": fitted[0], "shape": fitted[1], "rise": fitted[2], "activation": ACTIVATION}
    c = corner(own={"formed": SHUT, "height": 8.0, "bared": np.inf, "temperature": placing, **mix},
               below={"temperature": placing}, bare=SHUT, anchor_depth=4.0, embedment=2.0)  # fmt: skip
    found = corner_heat(c, 168).anchor[0, hours.astype(np.int64)] - placing
    margin = next(item for item in JOB_ITEMS if item.name == "Margin on computed temperature")
    assert np.abs(found - want).max() < 0.8 * float(margin.default)
    # and along its own law as the other integrator does
    np.testing.assert_allclose(found, self_warmed(fitted, placing, hours), atol=0.4)
