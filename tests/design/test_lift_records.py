"""Lifts as placed: rates by hand, and the pressure that followed as that of a book planned so."""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy as np
import pytest
from builders import START, computed, pile

from sheetengine.design.lift_records import corrections, recorded
from sheetengine.design.site_columns import Site
from sheetengine.design.stages import PLACING
from sheetengine.findings import Code, Level

JOB = {"Foundation strength": (30.0, "MPa")}
LIFTS: dict[str, Any] = {"Height": 2.25, "Anchor_spacing": 1.0, "Layer_depth": 0.5, "Rise_rate": 0.5}
BOOK: dict[str, Any] = {
    "job": JOB,
    "mixes": [{"Exposure window": 2.0, "Slump": 100.0}],
    "units": [{"Permissible pressure": 40.0, "Foot depth": 2.8}],
    "anchors": [{"Embedment": 400.0, "Shank diameter": 40.0, "Head diameter": 120.0, "Net area": 1000.0}],
}


def piled(**changes: Any) -> list[dict[str, Any]]:
    return pile(4, strip=1.0, hang=1.5, interval=6.0, **(LIFTS | changes))


def row(lift: int, hour: float, level: float, **more: Any) -> dict[str, Any]:
    return {
        "Block": "B1",
        "Lift": lift,
        "Time": START + dt.timedelta(days=6 * (lift - 1), hours=hour),
        "Level": level,
    } | more


def of(rows: list[dict[str, Any]], **changes: Any) -> Site:
    return Site(computed(optional={"Lift record": rows}, **({"lifts": piled()} | BOOK | changes)))


def test_rates_by_hand_whatever_the_order_of_the_rows() -> None:
    """0.5 m in 1 h; 1.0 m in 0.5 h; nothing in 1.5 h; 0.5 m in 2 h."""
    rows = [row(2, 0.0, 0.0), row(2, 1.0, 0.5), row(2, 1.5, 1.5), row(2, 3.0, 1.5), row(2, 5.0, 2.0)]
    for order in (rows, rows[::-1], [rows[k] for k in (3, 0, 4, 1, 2)]):
        found = of(order).layers
        assert found.rate.tolist() == pytest.approx([0.5, 2.0, 0.0, 0.25])
        assert found.end.tolist() == [0.5, 1.5, 1.5, 2.0]
        # the surface at 1.5 m stayed open for the stop and until the next reading
        assert found.open_for.tolist() == pytest.approx([1.0, 0.5, 1.5, 3.5])


@pytest.mark.parametrize(("rate", "temperature"), [(0.5, 15.0), (1.5, 15.0), (0.9, 6.0), (3.0, 22.0)])
def test_the_pressure_is_that_of_a_book_planned_so(rate: float, temperature: float) -> None:
    rows = [
        row(2, 0.0, 0.0, **{"Concrete temperature": temperature}),
        row(2, 0.5, 0.5 * rate, **{"Concrete temperature": temperature + 3}),
    ]
    site = of(rows)
    lifts = piled()
    lifts[1] |= {"Rise rate": rate, "Concrete temperature": temperature}
    planned = computed(lifts=lifts, **BOOK)
    case = (planned.cases.lift == 1) & (planned.cases.stage == PLACING)
    found = site.layers
    assert found.temperature.tolist() == [temperature]  # the colder of both rows
    assert found.pressure[0] == pytest.approx(planned.pressure.maximum[1])
    wanted = max(float(planned.pressure.panel_ratio[1]), float(planned.demand.ratio[case][0]))
    assert found.ratio[0] == pytest.approx(wanted)
    over = [
        finding for finding in site.flags() if finding.code is Code.AS_PLACED and finding.level is Level.STOP
    ]
    assert bool(over) == (wanted > 1.0)
    assert (found.ratio[0] > 1.0) == (rate > found.greatest[0])


def test_a_rate_raised_after_a_stop_says_lift_level_and_limit() -> None:
    rows = [row(2, 0.0, 0.0), row(2, 2.0, 1.0), row(2, 3.0, 1.0), row(2, 3.4, 2.25)]
    site = of(rows)
    stop = [
        finding for finding in site.flags() if finding.level is Level.STOP and finding.code is Code.AS_PLACED
    ]
    assert len(stop) == 1
    # 1.25 m in 0.4 h
    assert "Lift B1/2" in stop[0].message and "3.13 m/h" in stop[0].message and "2.25 m" in stop[0].message
    assert stop[0].at.sheet == "Lift record" and stop[0].at.row == 5
    text, against = recorded(site.c, site.layers)[1]
    assert against == "1 stretch went beyond what panel or anchors carry" and "3 stretches" in text
    assert recorded(site.c, site.layers)[0][1] == "no row of Lift record speaks of it"


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([row(2, 0.0, 0.0), row(2, 1.0, 0.4, **{"Concrete temperature": 9.0})], "colder than the plan"),
        ([row(2, 0.0, 0.0), row(2, 1.0, 0.4, Slump=160.0)], "slump of 160 mm"),
        ([row(2, 0.0, 0.5), row(2, 1.0, 0.4)], "below the one before it"),
        ([row(2, 0.0, 0.0), row(2, 9.0, 2.6)], "above the top of the lift"),
        ([row(2, 0.0, 0.0), row(2, 3.0, 1.0)], "stayed open for 3.0 h"),
    ],
    ids=["cold", "soft", "fallen", "too high", "open"],
)
def test_what_was_not_as_assumed(rows: list[dict[str, Any]], words: str) -> None:
    told = [finding for finding in of(rows).flags() if finding.at.sheet == "Lift record"]
    assert [words in finding.message for finding in told].count(True) == 1
    assert all(finding.level is Level.ACCEPT and finding.clears for finding in told)


def test_a_lift_placed_as_planned_says_nothing() -> None:
    rows = [
        row(2, hour, 0.5 * hour, **{"Concrete temperature": 16.0}, Slump=90.0)
        for hour in (0.0, 1.0, 2.0, 3.0, 4.0, 4.5)
    ]
    site = of(rows)
    assert set(site.layers.verdict) <= {"Within", "Near limit"}
    assert not [finding for finding in site.flags() if finding.at.sheet == "Lift record"]


def placed(lift: int, rate: float, warmth: float) -> list[dict[str, Any]]:
    return [row(lift, hour, hour * rate, **{"Concrete temperature": warmth}) for hour in (0.0, 1.0, 2.0)]


def test_corrections_after_three_lifts_and_not_before() -> None:
    """By hand: 0.6, 0.7, 0.8 m/h against 0.5 planned are 1.4 times as much; 12, 13, 11 degC against 15 are 3 K colder."""
    rows = [*placed(1, 0.6, 12.0), *placed(2, 0.7, 13.0), *placed(3, 0.8, 11.0)]
    two = of(rows[:6])
    assert not corrections(two.c, two.layers).what.size
    three = of(rows)
    found = corrections(three.c, three.layers)
    assert found.what.tolist() == ["Rate of rise", "Concrete temperature"] and found.lifts.tolist() == [
        3.0,
        3.0,
    ]
    assert "1.40 times the rate" in found.proposed[0] and "3 K colder" in found.proposed[1]
    assert (found.assumed[0], found.found[0]) == ("0.5 m/h", "0.7 m/h")
    # nothing is applied
    plain = computed(lifts=piled(), **BOOK)
    np.testing.assert_array_equal(three.c.demand.ratio, plain.demand.ratio)
    np.testing.assert_array_equal(three.c.pressure.maximum, plain.pressure.maximum)


def test_no_correction_where_all_is_as_assumed() -> None:
    rows = [entry for lift in (1, 2, 3) for entry in placed(lift, 0.5, 15.0)]
    site = of(rows)
    assert not corrections(site.c, site.layers).what.size


def test_a_bias_of_the_strength_from_the_tests_on_file() -> None:
    """Tests that show 0.8 of the prediction under three lifts propose a new fit, by hand from the history itself."""
    lifts = piled()
    plain = computed(lifts=lifts, **BOOK)
    at = [START + dt.timedelta(days=6 * lift, hours=-2) for lift in (1, 2, 3)]
    zero = dt.datetime(1899, 12, 30)
    hours = np.array([(when - zero).total_seconds() / 3600.0 for when in at])
    strength = plain.history.strength(np.array([0, 1, 2]), hours)
    releases = [
        {
            "Block": "B1",
            "Lift": lift + 2,
            "Hold point": "HP3",
            "Evidence": "specimens",
            "Value": 0.8 * float(strength[lift]),
            "Time": at[lift],
        }
        for lift in range(3)
    ]
    for many, told in ((2, 0), (3, 1)):
        site = Site(computed(lifts=lifts, optional={"Releases": releases[:many]}, **BOOK))
        found = corrections(site.c, site.layers)
        assert found.what.size == told
    assert found.what.tolist() == ["Strength"] and "0.80 times the prediction" in found.proposed[0]
