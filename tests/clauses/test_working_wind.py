from __future__ import annotations

import numpy as np
from support import case

from sheetengine.clauses import working_wind


def test_working_wind_as_a_speed() -> None:
    published = case("L-WORKWIND")
    q = published.column("q") / 1000.0
    assert q[0] == working_wind.WORKING_WIND_PRESSURE
    speed = working_wind.wind_speed(wind_pressure=q, air_density=published.column("rho"))
    published.check("v", speed)
    back = working_wind.velocity_pressure(wind_speed=speed, air_density=published.column("rho"))
    np.testing.assert_allclose(back, q)
