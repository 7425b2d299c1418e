"""The window for the rate of rise, between the exposure of layers and what panel and anchors carry."""

from __future__ import annotations

import numpy as np
import pytest
from builders import computed, pile

from sheetengine.design.calculate import Calculation
from sheetengine.design.flags import all_flags
from sheetengine.design.limit_columns import limit_columns
from sheetengine.design.rise_window import rise_window
from sheetengine.design.stages import PLACING
from sheetengine.findings import Finding, Level

STRONG = {"Net area": 2500.0, "Head diameter": 130.0, "Embedment": 600.0, "Shank diameter": 50.0}


def at(exposure: float | None, *, permissible: float = 45.0, depth: float | None = 0.5) -> Calculation:
    return computed(
        job={"Foundation strength": (30.0, "MPa")},
        mixes=[{"Exposure window": exposure}], anchors=[STRONG], units=[{"Permissible pressure": permissible}],
        lifts=pile(1, Rise_rate=0.6, Layer_depth=depth, Anchor_spacing=0.7, Height=2.2),
    )  # fmt: skip


def closed(c: Calculation) -> list[Finding]:
    return [flag for flag in all_flags(c) if "no rate of rise serves" in flag.message]


def test_the_least_rate_is_the_layer_over_the_window() -> None:
    # a layer of 0.5 m must be covered within 2 h: 0.25 m/h, by hand
    c = at(2.0)
    assert rise_window(c).least[0] == pytest.approx(0.25)
    assert not closed(c)


def test_the_greatest_rate_is_the_lesser_of_panel_and_anchors() -> None:
    c = at(2.0)
    window = rise_window(c)
    case = int(np.flatnonzero((c.cases.stage == PLACING) & (c.cases.lift == 0))[0])
    panel, anchors = float(c.pressure.greatest_rise[0]), float(c.proof.limits.rise[case])
    assert window.greatest[0] == min(panel, anchors)
    assert window.held_by[0] == ("panel" if panel < anchors else "anchors")


def test_no_rate_serves_where_the_layers_ask_for_more_than_the_panel_carries() -> None:
    # a layer of 0.5 m within 12 min: 2.5 m/h; the panel at 45 kPa carries less by ACI 347R-14
    c = at(0.2)
    assert rise_window(c).least[0] == pytest.approx(2.5)
    (flag,) = closed(c)
    assert flag.level is Level.STOP
    row = int(np.flatnonzero(c.cases.stage == PLACING)[0])
    assert limit_columns(c)["Window left [m/h]"][row] < 0.0


def test_the_window_closes_just_where_the_two_rates_meet() -> None:
    greatest = float(rise_window(at(2.0)).greatest[0])
    exposure = 0.5 / greatest
    assert not closed(at(exposure * 1.0001))
    assert closed(at(exposure * 0.9999))


def test_a_layer_that_alone_overloads_the_panel_leaves_no_rate() -> None:
    c = at(20.0, permissible=31.0, depth=1.5)  # 1.5 m x 25 kN/m3 = 37.5 kPa, by hand
    assert rise_window(c).greatest[0] == 0.0
    assert closed(c)


def test_no_window_is_asked_for_where_the_mix_states_none() -> None:
    c = at(None)
    assert np.isnan(rise_window(c).least[0])
    assert not closed(c)
