"""What opens a gate earlier: each gain against the whole calculation done again with the changed input."""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy as np
import pytest
from builders import START, computed, pile

from sheetengine.design.calculate import Calculation
from sheetengine.design.earlier_gates import CLOSER, DEEPER, WARMER, gained
from sheetengine.design.flags import all_flags
from sheetengine.design.readiness import AFTER_STRIPPING_ABOVE, GATE_NAMES, HANG, PLACE_NEXT, STRIP
from sheetengine.design.readiness_board import IN_HAND, SHORT, ZERO, margin_bar, margins_by_lift
from sheetengine.findings import Code
from sheetengine.run import calculate

MIX = {"Strength curve": "Hyperbolic", "Ultimate strength": 40.0, "Rate constant": 0.2}
ANCHOR = {"Net area": 2000.0, "Head diameter": 100.0, "Embedment": 350.0, "Shank diameter": 40.0}
JOB = {"Storm wind": (0.2, "kPa"), "Pressure method": "Full head", "Below-range accepted by": "Report 7"}


def quick_pile(**common: Any) -> list[dict[str, Any]]:
    """Return three lifts at 10 degC, placed every three days."""
    return pile(3, interval=3.0, strip=1.5, hang=2.0, **({"Concrete_temperature": 10.0} | common))


def book(**changes: Any) -> Calculation:
    """Return lifts at a constant 10 degC whose pressure does not depend on the temperature."""
    lifts = changes.pop("lifts", None) or quick_pile()
    lifts = [{"Height": 2.0, "Anchor spacing": 1.5} | lift for lift in lifts]
    return computed(
        job=JOB | changes.pop("job", {}), mixes=[MIX], anchors=[ANCHOR | changes.pop("anchor", {})],
        lifts=lifts, **changes,
    )  # fmt: skip


def row_of(c: Calculation, lift: int, gate: int) -> int:
    return int(np.flatnonzero((c.gates.lift == lift) & (c.gates.gate == gate))[0])


def test_a_warmer_mix_opens_every_gate_as_the_whole_calculation_says() -> None:
    c = book(job={"Warmer mix tried": (8.0, "K")})
    again = book(lifts=quick_pile(Concrete_temperature=18.0))
    gain = c.earlier.gains[WARMER]
    np.testing.assert_allclose(gain, c.gates.ready - again.gates.ready, rtol=0.0, atol=1e-9)
    assert (gain > 0.0).all()
    # The strip gate by hand: Arrhenius with Q = 4000 K from 283.15 to 291.15 K after the top is reached.
    rate = [np.exp(-4000.0 * (1.0 / (t + 273.15) - 1.0 / 293.15)) for t in (10.0, 18.0)]
    age = 24.0 * 2.0 / (0.2 * 38.0)
    assert gain[row_of(c, 0, STRIP)] == pytest.approx(age / rate[0] - age / rate[1], rel=1e-6)


def test_deeper_anchors_open_the_gates_that_anchors_govern() -> None:
    c = book(job={"Deeper anchors tried": (40.0, "mm")})
    again = book(anchor={"Embedment": 390.0})
    gain = c.earlier.gains[DEEPER]
    np.testing.assert_allclose(gain, c.gates.ready - again.gates.ready, rtol=0.0, atol=1e-9)
    place = row_of(c, 0, PLACE_NEXT)
    assert c.gates.governed_by[place].startswith("Anchors, Placing") and gain[place] > 1.0
    assert gain[row_of(c, 0, STRIP)] == 0.0


def test_closer_anchors_open_the_gates_that_anchors_govern() -> None:
    c = book(job={"Closer anchors tried": (50.0, "%")})
    again = book(lifts=quick_pile(Anchor_spacing=0.75))
    gain = c.earlier.gains[CLOSER]
    np.testing.assert_allclose(gain, c.gates.ready - again.gates.ready, rtol=0.0, atol=1e-9)
    assert gain[row_of(c, 0, PLACE_NEXT)] > 1.0


def test_listed_anchors_are_not_moved() -> None:
    listed = [
        {"Block": "B1", "Lift": lift, "Position": place} for lift in (2, 3) for place in (0.75, 2.25, 3.75)
    ]
    lifts = quick_pile(Face_length=4.5)
    c = book(lifts=lifts, optional={"Anchor positions": listed})
    assert (c.earlier.gains[CLOSER] == 0.0).all()


def test_rest_to_add_is_what_the_planned_hour_lacks() -> None:
    c = book()
    rest, margin = c.earlier.rest, c.gates.margin
    short = margin < 0.0
    assert short.any() and (~short).any()
    np.testing.assert_array_equal(rest[short], -margin[short])
    assert (rest[~short] == 0.0).all()


def test_from_never_to_some_hour_is_an_endless_gain_and_never_twice_is_unknown() -> None:
    hours = gained(np.array([np.inf, np.inf, 10.0, np.nan]), np.array([5.0, np.inf, 12.0, 3.0]))
    assert np.isposinf(hours[0]) and np.isnan(hours[1]) and hours[2] == -2.0 and np.isnan(hours[3])


def test_a_gate_that_never_opens_but_with_deeper_anchors_says_opens() -> None:
    c = book(anchor={"Embedment": 300.0, "Head diameter": 90.0})
    place = row_of(c, 0, PLACE_NEXT)
    assert np.isposinf(c.gates.ready[place])
    assert np.isposinf(c.earlier.gains[DEEPER][place])
    names, hours = c.earlier.best
    assert names[place] == DEEPER and np.isposinf(hours[place])
    assert np.isnan(c.earlier.rest[place])  # waiting is no way
    frame = calculate(c.job).frames["Earlier gates"]
    assert "opens" in frame.iloc[place]["Most gained by"]


def test_the_flag_of_an_early_gate_names_the_change_that_gains_most() -> None:
    lifts = pile(2, Concrete_temperature=10.0)
    lifts[0]["Stripped"] = START + dt.timedelta(hours=4)
    c = book(lifts=lifts)
    (flag,) = [f for f in all_flags(c) if f.code is Code.GATE_NOT_MET and "gate Strip" in f.message]
    gain = c.earlier.gains[WARMER][row_of(c, 0, STRIP)]
    assert f"Concrete placed 5 K warmer opens it {gain:.0f} h earlier." in flag.clears


def test_the_board_has_the_least_margin_of_each_lift_and_tells_a_cause_once() -> None:
    lifts = pile(3, Concrete_temperature=10.0)
    lifts[1]["Stripped"] = START + dt.timedelta(days=7, hours=3)
    c = book(
        lifts=[lift | {"Anchor spacing": 1.0} for lift in lifts],
        anchor={"Embedment": 500.0, "Head diameter": 120.0},
    )
    margin, least, gate, verdict = margins_by_lift(c)
    assert margin.shape == (len(GATE_NAMES), 3)
    for lift in range(3):
        own = (c.gates.lift == lift) & (c.gates.governed_by != AFTER_STRIPPING_ABOVE)
        assert least[lift] == np.nanmin(c.gates.margin[own])
        assert gate[lift] == GATE_NAMES[int(c.gates.gate[own][np.nanargmin(c.gates.margin[own])])]
    assert margin[HANG, 2] == c.gates.margin[row_of(c, 2, HANG)]
    assert verdict[1] == "Exceeds" and gate[1] == "Strip"
    assert verdict[0] != "Exceeds"  # its unit waits for the stripping of lift 2, told there


@pytest.mark.parametrize(
    ("hours", "left", "right"), [(0.0, 0, 0), (12.0, 0, 1), (12.1, 0, 2), (-1.0, 1, 0), (-24.0, 2, 0)]
)
def test_a_bar_has_a_mark_for_every_twelve_hours_begun(hours: float, left: int, right: int) -> None:
    short, hand = margin_bar(hours).split(ZERO)
    assert short.count(SHORT) == left and hand.count(IN_HAND) == right


def test_bars_that_go_on_say_so_and_unknown_margins_have_none() -> None:
    assert margin_bar(1e4).endswith("\u203a") and margin_bar(-np.inf).strip("\u2007").startswith("\u2039")
    assert margin_bar(np.nan) == ""
