"""The rate of rise that strongbacks allow: put back in, the ratio is 1; and what governs the window."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from builders import computed, pile

from sheetengine.design.calculate import Calculation
from sheetengine.design.flags import all_flags
from sheetengine.design.rise_window import rise_window
from sheetengine.design.strongback_rise import CARRYING
from sheetengine.run import calculate

UNIT: dict[str, Any] = {
    "Panel height": 4.6, "Hinge height": 0.2, "Brace height": 2.2, "Brace foot offset": 1.6, "Strongback EI": 4000.0,
    "Strongback moment": 90.0, "Strongback shear": 300.0, "Brace capacity": 400.0,
}  # fmt: skip


def built(rise: float = 1.0, angle: float = 0.0, method: str = "DIN 18218:2010", **unit: Any) -> Calculation:
    lifts = pile(2, Face_inclination=angle, Rise_rate=rise, Height=3.6)
    mix = {"Consistency class": "F3", "Final set": 7.0, "Slump": 100.0}
    return computed(
        job={"Pressure method": method, "Working wind": (0.2, "kPa")},
        units=[UNIT | unit],
        lifts=lifts,
        mixes=[mix],
    )


def worst(c: Calculation) -> np.ndarray:
    return np.nanmax([c.strongbacks.ratios[check] for check in CARRYING], axis=0)


@pytest.mark.parametrize("angle", [-20.0, 0.0, 12.0])
@pytest.mark.parametrize("method", ["DIN 18218:2010", "GB 50666-2011"])
@pytest.mark.parametrize(
    "weak", [{"Strongback moment": 34.0}, {"Strongback shear": 92.0}, {"Brace capacity": 180.0}]
)
def test_the_rate_put_back_in_gives_a_ratio_of_one(angle: float, method: str, weak: dict[str, float]) -> None:
    asked = built(angle=angle, method=method, **weak)
    rate = asked.strongback_rise
    assert np.isfinite(rate[1]) and rate[1] > 0.0
    done = built(rise=float(rate[1]), angle=angle, method=method, **weak)
    assert worst(done)[1] == pytest.approx(1.0, abs=1e-6)
    faster = built(rise=float(rate[1]) * 1.05, angle=angle, method=method, **weak)
    assert worst(faster)[1] >= 1.0


def test_some_of_the_cases_above_have_a_rate() -> None:
    rates = [
        built(**weak).strongback_rise[1]
        for weak in ({"Strongback moment": 34.0}, {"Strongback shear": 92.0}, {"Brace capacity": 180.0})
    ]
    assert np.isfinite(rates).all() and min(rates) > 0.0


def test_strong_ones_allow_any_rate_and_weak_ones_none() -> None:
    strong = built(**{"Strongback moment": 500.0, "Strongback shear": 900.0, "Brace capacity": 900.0})
    assert np.isinf(strong.strongback_rise).all()
    weak = built(**{"Strongback moment": 0.5})
    assert (weak.strongback_rise == 0.0).all()
    blank = built(**{"Strongback moment": None, "Strongback shear": None, "Brace capacity": None})
    assert np.isnan(blank.strongback_rise).all()


def test_the_window_names_the_strongbacks() -> None:
    c = built(**{"Strongback moment": 30.0})
    window = rise_window(c)
    own = c.strongback_rise
    held = window.held_by == "strongbacks"
    assert held.any()
    assert window.greatest[held] == pytest.approx(own[held])
    frame = calculate(c.job).frames["Working limits"]
    assert "Greatest rise rate, strongbacks [m/h]" in frame.columns
    assert all_flags(c)
