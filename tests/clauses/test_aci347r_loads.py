from __future__ import annotations

import numpy as np
from support import case

from sheetengine.clauses import aci347r_loads as loads
from sheetengine.clauses.rows import factors

FOOT = 0.3048


def test_least_lateral_load() -> None:
    published = case("L-347-LAT")
    si, us = factors("aci347r_loads")["si"], factors("aci347r_loads")["inch_pound"]
    published.check("si_line", si["line_load"])
    published.check("si_wind", si["wind_pressure"])
    published.check("w_min", us["wind_pressure"])
    published.check("q_top_min", us["line_load"])
    height = published.column("H")
    published.check("wind_equiv_at_top", us["wind_pressure"] * height / 2.0)
    found = loads.least_lateral_load(
        form_height=height * FOOT,
        line_load=np.array([si["line_load"]]),
        wind_pressure=np.array([si["wind_pressure"]]),
    )
    published.check("governing", found / published.printed("si_line") * published.printed("q_top_min"))


def test_above_its_height_the_wind_governs() -> None:
    # 2 x 100 / 15 = 13.33 ft
    for feet, wind in ((13.2, False), (13.5, True)):
        found = loads.least_lateral_load(
            form_height=np.array([feet * FOOT]), line_load=np.array([1.459]), wind_pressure=np.array([0.718])
        )
        assert bool(found[0] > 1.459) is wind


def test_safety_factor_follows_the_use_of_the_anchor() -> None:
    published = case("L-347-SF")
    rows = dict(zip(published.given("accessory"), published.printed("SF"), strict=True))
    found = loads.form_anchor_safety_factor(carries_people=np.array([0.0, 1.0, np.nan]))
    assert found[0] == rows["form anchor, weight + concrete pressure only"]
    assert found[1] == rows["form anchor, weight + concrete + live load + impact"]
    assert np.isnan(found[2])
