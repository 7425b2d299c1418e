"""The answers asked next: each is put back into the book, and the ratio is 1 there.

Every expected value here is a property of the whole chain: a book in which one cell holds the answer is read
and computed anew, on another path than the search that found it.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy as np
import pytest
from builders import computed, pile

from sheetengine.design.calculate import Calculation
from sheetengine.design.flags import all_flags
from sheetengine.design.limit_columns import limit_columns
from sheetengine.design.sensitivity import sensitivity
from sheetengine.design.stages import HUNG, PLACING, SET_BACK, STANDING
from sheetengine.design.ways import ways
from sheetengine.design.wording import Wording
from sheetengine.findings import Code

METHODS = [
    ("EN 1992-4:2018", "EN partial factors", "ACI 347R-14 SI"),
    ("ACI 318-19", "ACI strength", "ACI 347R-14 inch-pound"),
    ("ACI 318M-19", "ACI service load", "CIRIA R108"),
    ("EN 1992-4:2018", "EN partial factors", "DIN 18218:2010"),
    ("EN 1992-4:2018", "ACI service load", "JGJ 162-2008"),
]


def book(seed: int, which: int, **cells: Any) -> dict[str, Any]:
    """Return what a random job of two lifts is built from; ``cells`` go into both lifts or the anchor."""
    draw = np.random.default_rng(seed)
    anchor, basis, pressure = METHODS[which]
    lift = {
        "Height": float(draw.uniform(1.8, 3.0)),
        "Rise rate": float(draw.uniform(0.2, 2.0)),
        "Anchor spacing": float(draw.uniform(0.7, 1.6)),
        "Concrete temperature": float(draw.uniform(10.0, 22.0)),
        "Face length": float(draw.uniform(9.0, 21.0)),
    }
    if draw.random() < 0.5:
        lift["End distance"] = float(draw.uniform(0.3, 0.8))
    kind = {
        "Net area": 2500.0,
        "Shank diameter": 50.0,
        "Head diameter": 130.0,
        "Embedment": float(draw.uniform(350.0, 700.0)),
    }
    mix = {"Consistency class": "F3", "Final set": 6.0, "Strength curve": "Hyperbolic", "Ultimate strength": 45.0,
           "Rate constant": 0.25}  # fmt: skip
    for name, value in cells.items():
        (kind if name == "Embedment" else lift)[name.replace("_", " ")] = value
    return {
        "job": {"Anchor method": anchor, "Safety basis": basis, "Pressure method": pressure,
                "Foundation strength": (25.0, "MPa"), "Storm wind": (1.2, "kPa")},
        "mixes": [mix], "anchors": [kind], "units": [{"Panel height": 3.4, "Permissible pressure": 90.0}],
        "lifts": pile(2, interval=8.0, strip=3.0, hang=5.0, **{key.replace(" ", "_"): value for key, value in lift.items()}),
    }  # fmt: skip


def ratio_of(c: Calculation, case: int) -> float:
    return float(c.demand.ratio[case])


def put_back(seed: int, which: int, holder: int, heading: str, value: float) -> Calculation:
    """Return the random job again with one cell of one lift changed."""
    parts = book(seed, which)
    parts["lifts"][holder][heading] = value
    return computed(**parts)


CASES = [(seed, which) for seed in range(4) for which in range(len(METHODS))]


@pytest.mark.parametrize(("seed", "which"), CASES)
def test_greatest_rise_and_height_put_back_give_a_ratio_of_one(seed: int, which: int) -> None:
    c = computed(**book(seed, which))
    found = c.proof.limits
    for case in np.flatnonzero(c.cases.stage == PLACING).tolist():
        holder = int(c.cases.holder[case])
        for heading, value, top in (
            ("Rise rate", found.rise[case], 50.0),
            ("Height", found.height[case], 3.4),
        ):
            if np.isinf(value):
                assert ratio_of(put_back(seed, which, holder, heading, top), case) <= 1.0
                continue
            if value == 0.0:
                assert ratio_of(put_back(seed, which, holder, heading, 0.011), case) > 1.0
                continue
            at = ratio_of(put_back(seed, which, holder, heading, float(value)), case)
            beyond = ratio_of(put_back(seed, which, holder, heading, float(value) * (1.0 + 1e-6)), case)
            assert at <= 1.0 + 1e-9
            assert at == pytest.approx(1.0, abs=1e-6) or beyond > 1.0 + 1e-3, "just 1, or the foot of a step"
            assert beyond > 1.0


@pytest.mark.parametrize(("seed", "which"), CASES)
def test_greatest_spacing_put_back_gives_a_ratio_of_one(seed: int, which: int) -> None:
    c = computed(**book(seed, which))
    found = c.proof.limits
    for case in np.flatnonzero(c.cases.lift == 1).tolist():
        spacing, holder = float(found.spacing[case]), int(c.cases.holder[case])
        if spacing == 0.0:
            assert ratio_of(put_back(seed, which, holder, "Anchor spacing", 0.06), case) > 1.0
            continue
        again = put_back(seed, which, holder, "Anchor spacing", spacing)
        at = ratio_of(again, case)
        assert again.layout.anchors[c.cases.holder[case]] == found.spacing_anchors[case]
        if spacing == pytest.approx(3.0):  # the width of the unit
            assert at <= 1.0
            continue
        assert at == pytest.approx(1.0, abs=1e-6)
        for wider in np.linspace(spacing * 1.0001, 3.0, 25).tolist():
            assert ratio_of(put_back(seed, which, holder, "Anchor spacing", wider), case) > 1.0


@pytest.mark.parametrize(("seed", "which"), CASES)
def test_least_embedment_put_back_gives_a_ratio_of_one_and_none_less_does(seed: int, which: int) -> None:
    c = computed(**book(seed, which))
    found = c.proof.limits
    for case in np.flatnonzero(c.cases.lift == 1).tolist()[:3]:
        least = float(found.embedment[case])
        tried = np.linspace(30.0, 1490.0, 60)
        if np.isfinite(least):
            at = ratio_of(computed(**book(seed, which, Embedment=least)), case)
            just_below = ratio_of(computed(**book(seed, which, Embedment=least * (1.0 - 1e-6))), case)
            assert at <= 1.0 + 1e-9
            assert (
                least == pytest.approx(20.0) or at == pytest.approx(1.0, abs=1e-6) or just_below > 1.0 + 1e-3
            )
            tried = tried[tried < least * 0.999]
        for less in tried[::4].tolist():
            assert ratio_of(computed(**book(seed, which, Embedment=less)), case) > 1.0, (least, less)


@pytest.mark.parametrize("which", range(3))
def test_placing_at_the_least_age_gives_a_ratio_of_one(which: int) -> None:
    cells = {"Anchor_spacing": 0.8, "Height": 1.9, "Embedment": 600.0}
    c = computed(**book(7, which, **cells))
    ages = limit_columns(c)["Least age [d]"]
    rows = np.flatnonzero((c.cases.lift == 1) & (c.cases.stage == PLACING) & np.isfinite(ages))
    assert rows.size == 1
    case = int(rows[0])
    parts = book(7, which, **cells)
    hour = float(c.layout.anchor_hour[0] + ages[case] * 24.0)
    parts["lifts"][1]["Placed"] = dt.datetime(1899, 12, 30) + dt.timedelta(hours=hour)
    parts["lifts"][0] |= {"Stripped": None, "Hung": None}
    parts["lifts"][1] |= {"Stripped": None, "Hung": None}
    again = computed(**parts)
    same = np.flatnonzero((again.cases.lift == 1) & (again.cases.stage == PLACING))
    assert again.demand.ratio[same[0]] == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize("which", range(len(METHODS)))
def test_less_strength_never_allows_more(which: int) -> None:
    parts = book(3, which)
    parts["job"]["Foundation strength"] = (30.0, "MPa")
    strong = computed(**parts).proof.limits
    parts["job"]["Foundation strength"] = (20.0, "MPa")
    c = computed(**parts)
    weak = c.proof.limits
    first = c.cases.lift == 0
    for name in ("rise", "height", "spacing"):
        now, then = getattr(weak, name)[first], getattr(strong, name)[first]
        assert np.all((now <= then * (1.0 + 1e-9)) | np.isnan(then)), name
    assert np.all(weak.embedment[first] >= strong.embedment[first] * (1.0 - 1e-9))


def test_what_the_pressure_does_not_load_has_no_greatest_rise() -> None:
    c = computed(**book(1, 0))
    unpressed = np.isin(c.cases.stage, (STANDING, SET_BACK, HUNG))
    assert np.all(np.isnan(c.proof.limits.rise[unpressed]))
    assert np.all(np.isnan(c.proof.limits.height[unpressed]))
    assert not np.any(np.isnan(c.proof.limits.rise[~unpressed]))


def test_listed_anchors_have_no_greatest_spacing_but_all_else() -> None:
    parts = book(2, 0)
    parts["optional"] = {
        "Anchor positions": [
            {"Block": "B1", "Lift": 2, "Position": place} for place in np.linspace(0.6, 8.4, 8).tolist()
        ]
    }
    for lift in parts["lifts"]:
        lift["Face length"] = 9.0
    c = computed(**parts)
    mine = c.cases.holder == 1
    assert np.all(np.isnan(c.proof.limits.spacing[mine]))
    assert np.all(c.proof.limits.embedment[mine] > 0.0)
    rows = np.flatnonzero(mine & (c.cases.stage == PLACING))
    value = float(c.proof.limits.rise[rows[0]])
    if 0.0 < value < np.inf:
        parts["lifts"][1]["Rise rate"] = value
        assert ratio_of(computed(**parts), int(rows[0])) == pytest.approx(1.0, abs=1e-6)


def overloaded() -> Calculation:
    return computed(**book(5, 0, Anchor_spacing=2.6, Embedment=400.0, Height=3.0, Rise_rate=1.8))


def test_each_change_offered_clears_the_row_and_the_cheapest_comes_first() -> None:
    c = overloaded()
    say = Wording(us=False)
    rows = np.flatnonzero((c.cases.lift == 1) & (c.demand.ratio > 1.0))
    assert rows.size
    for case in rows.tolist():
        found = ways(c, say, case)
        assert found
        hours = [way.hours for way in found]
        known = [hour for hour in hours if not np.isnan(hour)]
        assert known == sorted(known)
        assert all(np.isnan(hour) for hour in hours[len(known) :])
    flags = [flag for flag in all_flags(c) if flag.code is Code.EXCEEDS and "Placing" in flag.message]
    assert flags
    assert all(
        flag.clears.startswith(("At least cost to the programme", "No change of one input")) for flag in flags
    )


def test_a_slower_rise_costs_the_hours_that_it_takes_longer() -> None:
    c = overloaded()
    case = int(np.flatnonzero((c.cases.lift == 1) & (c.cases.stage == PLACING))[0])
    greatest = float(c.proof.limits.rise[case])
    for way in ways(c, Wording(us=False), case):
        if "rise at" in way.text:
            assert way.hours == pytest.approx(3.0 / greatest - 3.0 / 1.8)  # height over rate, by hand
        if "anchors" in way.text:
            assert way.hours == 0.0


@pytest.mark.parametrize("which", range(3))
def test_the_grid_holds_what_the_whole_chain_gives(which: int) -> None:
    c = computed(**book(4, which))
    found = sensitivity(c)
    for row, column in ((0, 0), (3, 2), (7, 4), (5, 1)):
        parts = book(4, which)
        parts["lifts"][found.lift]["Rise rate"] = float(found.rise[row])
        parts["lifts"][found.lift]["Concrete temperature"] = float(found.temperature[column])
        again = computed(**parts)
        placing = (again.cases.lift == found.lift) & (again.cases.stage == PLACING)
        if found.lift == 0:  # on the foundation, whose strength does not follow the temperature
            expected = max(
                float(again.demand.ratio[placing][0]), float(again.pressure.panel_ratio[found.lift])
            )
        else:
            own = again.proof
            ratio = type(own)(own.job, own.layout, own.cases, c.demand.strength, own.factors).ratio(
                np.flatnonzero(placing).astype(np.int64)
            )
            expected = max(float(ratio[0]), float(again.pressure.panel_ratio[found.lift]))
        assert found.ratio[row, column] == pytest.approx(expected, rel=1e-12)


def test_the_grid_is_of_the_lift_that_the_job_names() -> None:
    parts = book(4, 0)
    parts["job"]["Sensitivity shown for"] = " b1 / 2"
    assert sensitivity(computed(**parts)).lift == 1


def test_the_planned_point_of_the_grid_is_the_planned_ratio() -> None:
    c = computed(**book(6, 0))
    found = sensitivity(c)
    placing = (c.cases.lift == found.lift) & (c.cases.stage == PLACING)
    planned = max(float(c.demand.ratio[placing][0]), float(c.pressure.panel_ratio[found.lift]))
    assert found.ratio[3, 2] == pytest.approx(planned, rel=1e-12)
