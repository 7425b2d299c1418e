"""Storm wind from a speed: heights, routes, reductions, limits, and what goes before what."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from builders import JOB, computed, job, pile
from hypothesis import given, settings
from hypothesis import strategies as st

from sheetengine.design.flags import all_flags
from sheetengine.design.layout import lay_out
from sheetengine.design.stages import STANDING
from sheetengine.design.wind import Winds, joint_heights, winds
from sheetengine.findings import Code, Level
from sheetengine.run import calculate

SPEED: dict[str, Any] = {
    "Storm wind": None, "Basic wind speed": (26.0, "m/s"), "Terrain category": "II", "Height above ground": (4.1, "m")
}  # fmt: skip


def wind(**changes: Any) -> Winds:
    items = SPEED | changes.pop("job", {})
    found = job(job={name: value for name, value in items.items() if value is not None}, **changes)
    return winds(found, lay_out(found))


@pytest.fixture(autouse=True)
def _no_storm(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave no storm pressure in the book unless a test writes one."""
    monkeypatch.delitem(JOB, "Storm wind")


def test_storm_of_a_speed_by_hand() -> None:
    # Access Steel SX016 (from memory, by hand in the published case): z = 4.1 + 3.2 = 7.3 m, q_p = 0.911 kPa.
    # EN 1991-1-4 Table 7.9, zone A, l/h = 15 / 3.2 = 4.6875: 2.3 + 0.6 x 1.6875 / 2 = 2.80625.
    found = wind(lifts=pile(2))
    assert found.height == pytest.approx([7.3, 10.3])
    assert found.peak[0] == pytest.approx(0.911, abs=5e-4)
    assert found.coefficient == pytest.approx([2.80625, 2.80625])
    assert found.storm[0] == pytest.approx(0.911 * 2.80625, abs=2e-3)
    # the gust is that of the peak velocity pressure: sqrt(2 x 911 / 1.25) = 38.18 m/s
    assert found.storm_gust[0] == pytest.approx(38.18, abs=0.02)


def test_gusts_turn_back_into_the_pressures() -> None:
    found = wind(lifts=pile(3))
    for gust, pressure in ((found.storm_gust, found.storm), (found.working_gust, found.working)):
        back = 0.5 * 1.25 * gust**2 / 1000.0 * found.coefficient
        np.testing.assert_allclose(back / pressure, 1.0, rtol=1e-9)


def test_working_wind_without_a_coefficient_is_the_speed_of_the_velocity_pressure() -> None:
    # EN 12811-1 6.2.7.4.2, from memory: 0.2 kPa is 17.9 m/s
    found = wind(job={"Net wind coefficient": (1.0, "")})
    assert found.working_gust == pytest.approx(17.9, abs=0.05)


def test_the_anchors_meet_the_storm_that_the_speed_gives() -> None:
    by_speed = computed(job=SPEED | {"Net wind coefficient": (1.2, "")}, lifts=pile(3))
    standing = by_speed.cases.stage == STANDING
    for lift in (1, 2):
        given_storm = computed(job={"Storm wind": (float(by_speed.wind.storm[lift]), "kPa")}, lifts=pile(3))
        row = standing & (by_speed.cases.lift == lift)
        assert by_speed.forces.tension[row] == pytest.approx(given_storm.forces.tension[row], rel=1e-12)
        others = ~standing
        np.testing.assert_array_equal(by_speed.forces.tension[others], given_storm.forces.tension[others])


def test_a_given_pressure_goes_before_a_speed_and_it_is_said() -> None:
    c = computed(job=SPEED | {"Storm wind": (0.8, "kPa")})
    assert c.wind.route == "given pressure" and (c.wind.storm == 0.8).all()
    assert [f.level for f in all_flags(c) if f.heading == "Basic wind speed"] == [Level.NOTE]


def test_the_basis_given_pressure_leaves_a_speed_unused() -> None:
    c = computed(job=SPEED | {"Wind basis": "given pressure"})
    assert c.wind.route == "" and np.isnan(c.wind.storm).all()
    headings = {f.heading: f.level for f in all_flags(c)}
    assert headings["Storm wind"] is Level.STOP and headings["Basic wind speed"] is Level.NOTE


@pytest.mark.parametrize(
    ("days", "factor", "speed"),
    [
        # EN 1991-1-6 Table 3.1 with EN 1991-1-4 Eq. (4.2), K 0.2, n 0.5: published case L-16-RP
        (3.0, 0.7764, 0.7764 * 26.0), (60.0, 0.8545, 0.8545 * 26.0), (300.0, 0.9025, 0.9025 * 26.0), (None, 1.0, 26.0),
    ],
)  # fmt: skip
def test_reduction_for_the_time_of_exposure(days: float | None, factor: float, speed: float) -> None:
    found = wind(job={"Wind exposure time": None if days is None else (days, "d")}).reduction
    assert found is not None
    assert found.factor == pytest.approx(factor, abs=5e-5)
    assert found.speed == pytest.approx(speed, rel=1e-4)
    assert not found.raised


def test_a_short_stage_keeps_the_least_basic_speed() -> None:
    found = wind(job={"Wind exposure time": (60.0, "d"), "Basic wind speed": (21.0, "m/s")}).reduction
    assert found is not None and found.raised and found.speed == 20.0


def test_season_and_direction_enter_the_speed() -> None:
    found = wind(job={"Wind season factor": (0.9, ""), "Wind direction factor": (0.85, "")}).reduction
    assert found is not None and found.speed == pytest.approx(0.9 * 0.85 * 26.0)


def test_up_to_three_days_rest_on_a_forecast() -> None:
    c = computed(job=SPEED | {"Wind exposure time": (2.0, "d")})
    told = [f for f in all_flags(c) if f.heading == "Wind exposure time"]
    assert len(told) == 1 and told[0].level is Level.ACCEPT and told[0].limit == "more than 3 d"


def test_terrain_that_is_blank_is_the_most_exposed() -> None:
    blank = wind(job={"Terrain category": None})
    for category in ("0", "I", "II", "III", "IV"):
        assert (blank.storm >= wind(job={"Terrain category": category}).storm).all()
    c = computed(job=SPEED | {"Terrain category": None})
    assert [f.found for f in all_flags(c) if f.heading == "Terrain category"] == ["0"]


def test_below_the_least_height_the_wind_is_constant() -> None:
    # Table 4.1, category IV: z_min = 10 m; panel tops at 3.2 and 6.2 m, and one that lies in a pit
    found = wind(job={"Terrain category": "IV", "Height above ground": (0.0, "m")}, lifts=pile(2))
    pit = wind(
        job={"Terrain category": "IV", "Height above ground": None, "Ground level": (100.0, "m")},
        lifts=pile(2, Bottom_level=80.0),
    )
    assert found.peak[0] == found.peak[1] == pit.peak[0]


def test_higher_than_the_document_goes_is_outside_scope() -> None:
    lifts = pile(2, Bottom_level=296.0) + pile(2, block="B2", Bottom_level=296.9)
    changes = SPEED | {"Height above ground": None, "Ground level": (100.0, "m")}
    c = computed(job=changes, lifts=lifts)
    assert c.wind.height == pytest.approx([199.2, 199.2, 200.1, 200.1])
    assert np.isnan(c.wind.storm).tolist() == [False, False, True, True]
    told = [f for f in all_flags(c) if f.code is Code.OUTSIDE_SCOPE and f.heading == "Bottom level"]
    assert len(told) == 1 and "B2/1" in told[0].message and told[0].at.sheet == "Lifts"
    standing = (c.cases.stage == STANDING) & (c.cases.lift == 3)
    assert c.demand_verdict[standing].tolist() == ["Not computed"]


def test_no_height_is_not_computed_and_flagged() -> None:
    c = computed(job=SPEED | {"Height above ground": None})
    assert np.isnan(c.wind.storm).all()
    told = [f for f in all_flags(c) if f.heading == "Height above ground"]
    assert len(told) == 1 and told[0].level is Level.STOP


def test_heights_of_blocks_whose_levels_are_partly_given() -> None:
    lifts = pile(3) + pile(2, block="B2", Height=2.0)
    lifts = [lifts[0], lifts[3], lifts[1], lifts[4], lifts[2]]  # blocks interleaved in the sheet
    lifts[2] = lifts[2] | {"Bottom level": 110.0}
    found = job(job={"Ground level": (100.0, "m"), "Height above ground": (1.0, "m")}, lifts=lifts)
    # B1: its second joint is at 110, lifts 3 m high: 107, 110, 113; B2 has no level: 1 and 1 + 2 above ground
    assert joint_heights(found) == pytest.approx([7.0, 1.0, 10.0, 3.0, 13.0])


def test_velocity_pressure_of_asce_by_hand() -> None:
    # ASCE 7-16 Eq. (26.10-1), from memory: top at 50 ft, exposure C: Kz 1.09; 0.00256 x 1.09 x 0.85 x 115^2 = 31.4 psf
    top = 50.0 * 0.3048
    american = {
        "Wind basis": "ASCE 7-16", "Basic wind speed": (115.0, "mph"), "Terrain category": "C",
        "Height above ground": (top - 3.2, "m"), "Net wind coefficient": (1.3, ""),
    }  # fmt: skip
    found = wind(job=american, lifts=pile(1))
    assert found.peak[0] / 0.04788026 == pytest.approx(31.4, rel=0.004)
    assert found.storm[0] == pytest.approx(1.3 * found.peak[0])
    # ASCE 37-14: 0.75 on the speed below six weeks
    short = wind(job=american | {"Wind exposure time": (20.0, "d")}, lifts=pile(1))
    assert short.peak[0] == pytest.approx(0.75**2 * found.peak[0])
    long = wind(job=american | {"Wind exposure time": (3000.0, "d")}, lifts=pile(1))
    assert long.peak[0] == found.peak[0]


def test_asce_asks_for_a_coefficient() -> None:
    american = {"Wind basis": "ASCE 7-16", "Terrain category": "C"}
    c = computed(job=SPEED | american)
    assert np.isnan(c.wind.storm).all()
    levels = {f.heading: f.level for f in all_flags(c)}
    assert levels["Net wind coefficient"] is Level.STOP and levels["Wind basis"] is Level.ACCEPT


def test_zones_and_corners_of_the_table() -> None:
    # EN 1991-1-4 Table 7.9, from memory, l/h = 16 / 3.2 = 5
    for zone, straight, returned in (("A", 2.9, 2.1), ("B", 1.8, 1.8), ("C", 1.4, 1.4), ("D", 1.2, 1.2)):
        for corners, printed in (("no", straight), ("yes", returned)):
            found = wind(
                job={"Wind zone": zone, "Wind return corners": corners}, lifts=pile(1, Face_length=16.0)
            )
            assert found.coefficient == pytest.approx([printed])


@settings(max_examples=25)
@given(st.floats(10.0, 60.0), st.floats(0.5, 20.0), st.floats(0.0, 90.0), st.floats(0.1, 60.0))
def test_storm_grows_with_speed_and_height(speed: float, more: float, height: float, higher: float) -> None:
    def storm(v: float, z: float) -> np.ndarray:
        changes = {"Basic wind speed": (v, "m/s"), "Height above ground": (z, "m")}
        return wind(job=changes, lifts=pile(1)).storm

    low = storm(speed, height)
    assert (storm(speed + more, height) > low).all()
    assert (storm(speed, height + higher) > low).all()


def test_wind_in_us_units_is_the_same_wind() -> None:
    metric = wind()
    us = wind(
        job={"Basic wind speed": (26.0 / 0.44704, "mph"), "Height above ground": (4.1 / 0.3048, "ft"),
             "Air density": (1.25 / 16.018463373960142, "lb/ft3")}
    )  # fmt: skip
    np.testing.assert_allclose(us.storm, metric.storm, rtol=1e-12)


def test_run_record_holds_every_step() -> None:
    results = calculate(job(job=SPEED | {"Wind exposure time": (60.0, "d")}, lifts=pile(2)))
    text = " ".join(f"{what}: {record}" for what, record in results.record)
    for part in (
        "return period 5 yr",
        "c_prob 0.8545",
        "v_b 22.22 m/s",
        "terrain II",
        "z_0 0.05",
        "I_v",
        "q_p",
        "zone A",
    ):
        assert part in text, part
    assert results.frames["Wind"]["Storm wind from"].tolist() == ["EN 1991-1-4"] * 2
