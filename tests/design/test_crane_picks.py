"""Crane picks: load, radius, lifting points and wind, by hand and against numpy."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from builders import BASIC, computed, job, pile, sheet
from hypothesis import given, settings
from hypothesis import strategies as st

from sheetengine.design.calculate import Calculation
from sheetengine.design.crane_picks import CranePicks, capacity_at, crane_picks
from sheetengine.design.flags import all_flags
from sheetengine.design.flags_picks import greatest_radius
from sheetengine.design.layout import lay_out
from sheetengine.exceptions import InputFaults
from sheetengine.findings import Code, Finding, Level
from sheetengine.run import calculate

G = 9.80665
CHART = [("TC1", 10.0, 8.0), ("TC1", 20.0, 4.0), ("TC1", 30.0, 2.0)]


def chart(rows: list[tuple[str, float, float]]) -> list[dict[str, Any]]:
    return [{"Crane": name, "Radius": radius, "Capacity": tonnes} for name, radius, tonnes in rows]


def book(**changes: Any) -> dict[str, Any]:
    """Return a book with one unit of 1500 kg, 3.0 m x 3.2 m, lifted at 25 m, where the crane carries 3 t."""
    base: dict[str, Any] = {
        "job": {"Crane wind limit": (12.0, "m/s"), "Rigging mass": (150.0, "kg")},
        "units": [{"Lifting capacity": 30.0}],
        "lifts": pile(2, Crane="TC1", Pick_radius=25.0),
        "optional": {"Cranes": chart(CHART)},
    }
    base["job"] |= changes.pop("job", {})
    return base | changes


def picks(**changes: Any) -> CranePicks:
    found = job(**book(**changes))
    return crane_picks(found, lay_out(found))


def told(c: Calculation, heading: str) -> list[Finding]:
    return [flag for flag in all_flags(c) if flag.heading == heading]


def test_one_pick_by_hand() -> None:
    # 1.3 x (1500 + 150) x 9.80665 = 21.035 kN; 3 t at 25 m, half way from 4 to 2: 29.420 kN; 0.715
    # points: 1.3 x 1500 x 9.80665 = 19.123 kN of 30: 0.637; wind 12 x sqrt(1.2 x 1.5 / (9.6 x 1.8)) = 3.873 m/s
    found = picks()
    assert found.load == pytest.approx([21.03526] * 2, abs=1e-4)
    assert found.capacity == pytest.approx([29.41995] * 2, abs=1e-4)
    assert found.crane_ratio == pytest.approx([0.715] * 2, abs=1e-4)
    assert found.point_ratio == pytest.approx([0.63743] * 2, abs=1e-4)
    assert found.wind == pytest.approx([3.87298] * 2, abs=1e-4)
    assert found.wind_pressure == pytest.approx(0.5 * 1.25 * 3.87298**2 / 1000.0, rel=1e-4)
    assert found.governing.tolist() == ["Crane"] * 2 and found.verdict.tolist() == ["Within"] * 2


def test_units_coupled_in_one_pick() -> None:
    found = picks(lifts=pile(1, Crane="TC1", Pick_radius=12.0, Units_per_pick=2))
    # 1.3 x (2 x 1500 + 150) x 9.80665 = 40.158 kN; 7.2 t; each unit's points carry that unit alone
    assert found.load == pytest.approx([40.15823], abs=1e-4)
    assert found.capacity == pytest.approx([7.2 * G])
    assert found.point_load == pytest.approx([19.12297], abs=1e-4)
    assert found.area == pytest.approx([19.2])
    assert found.wind == pytest.approx(picks().wind[:1])  # twice the area, twice the mass


def test_dynamic_factor_given_by_class_or_usual() -> None:
    assert picks().load == pytest.approx(1.3 * 1650.0 * G / 1000.0)
    assert picks(job={"Hook dynamic factor": (1.15, "")}).load == pytest.approx(1.15 * 1650.0 * G / 1000.0)
    by_class = {"Hoisting class": "HC3", "Hoisting speed": (0.5, "m/s")}
    assert picks(job=by_class).load == pytest.approx(1.405 * 1650.0 * G / 1000.0)  # 1.15 + 0.51 x 0.5
    assert picks(job=by_class | {"Hook dynamic factor": (1.15, "")}).load == pytest.approx(
        1.15 * 1650.0 * G / 1000.0
    )


@settings(max_examples=30)
@given(
    st.lists(st.floats(5.0, 80.0), min_size=2, max_size=8, unique_by=lambda r: round(r, 3)),
    st.lists(st.floats(0.5, 60.0), min_size=8, max_size=8),
    st.lists(st.floats(1.0, 100.0), min_size=1, max_size=6),
)
def test_capacity_between_radii_is_that_of_numpy(
    radii: list[float], tonnes: list[float], asked: list[float]
) -> None:
    radii = sorted(round(radius, 3) for radius in radii)
    other = [("Other", 1.0, 99.0), ("Other", 100.0, 1.0)]
    mine = list(zip(["TC1"] * len(radii), radii, tonnes, strict=False))
    found = job(**book(optional={"Cranes": chart(other[:1] + mine + other[1:])}))
    at = np.array(asked + radii)
    capacity = capacity_at(found, np.array(["tc1"] * at.size, dtype=object), at)
    inside = (at >= radii[0]) & (at <= radii[-1])
    expected = np.interp(at, radii, 1000.0 * np.array(tonnes[: len(radii)]))
    np.testing.assert_allclose(capacity[inside], expected[inside], rtol=1e-12)
    assert np.isnan(capacity[~inside]).all()


@pytest.mark.parametrize("radius", [9.99, 30.01])
def test_outside_the_table_is_outside_scope(radius: float) -> None:
    c = computed(**book(lifts=pile(2, Crane="TC1", Pick_radius=radius)))
    assert np.isnan(c.picks.capacity).all()
    assert c.picks.verdict.tolist() == ["Outside scope"] * 2 and c.picks.governing.tolist() == [""] * 2
    flags = told(c, "Pick radius")
    assert len(flags) == 1 and flags[0].code is Code.OUTSIDE_SCOPE and flags[0].at.sheet == "Lifts"
    assert flags[0].limit == "10 m to 30 m"


def test_a_pick_that_exceeds_names_the_radius_that_clears_it() -> None:
    c = computed(**book(units=[{"Mass": 2300.0, "Lifting capacity": 60.0}]))
    assert c.picks.verdict.tolist() == ["Exceeds"] * 2
    (flag,) = told(c, "Pick radius")
    assert flag.code is Code.EXCEEDS and flag.level is Level.STOP
    # 1.3 x 2450 kg = 3185 kg: 20 m + 10 m x (4000 - 3185) / 2000 = 24.075 m, told a little less
    assert "Pick within 24 m" in flag.clears
    back = picks(
        units=[{"Mass": 2300.0, "Lifting capacity": 60.0}], lifts=pile(1, Crane="TC1", Pick_radius=24.075)
    )
    assert back.crane_ratio == pytest.approx([1.0], rel=1e-9)


def test_no_radius_clears_what_is_too_heavy_anywhere() -> None:
    assert np.isnan(greatest_radius(np.array([10.0, 20.0]), np.array([8000.0, 4000.0]), 8001.0))
    assert greatest_radius(np.array([10.0, 20.0]), np.array([8000.0, 4000.0]), 3999.0) == 20.0
    c = computed(**book(units=[{"Mass": 9000.0}]))
    (flag,) = told(c, "Pick radius")
    assert "no radius of this one" in flag.clears


def test_lifting_points_that_exceed_govern_even_outside_the_crane_table() -> None:
    c = computed(**book(units=[{"Lifting capacity": 15.0}], lifts=pile(2, Crane="TC1", Pick_radius=50.0)))
    assert c.picks.verdict.tolist() == ["Exceeds"] * 2
    assert c.picks.governing.tolist() == ["Lifting points"] * 2
    (flag,) = told(c, "Lifting capacity")
    assert flag.at.sheet == "Form units" and flag.level is Level.STOP and flag.limit == "15 kN"


def test_near_the_limit_needs_acceptance() -> None:
    c = computed(**book(units=[{"Lifting capacity": 20.0}]))
    assert c.picks.verdict.tolist() == ["Near limit"] * 2
    (flag,) = told(c, "Lifting capacity")
    assert flag.level is Level.ACCEPT and flag.code is Code.NEAR_LIMIT


def test_without_a_crane_the_lifting_points_are_still_checked() -> None:
    c = computed(**book(lifts=pile(2), optional={}))
    assert c.picks.lift.tolist() == [0, 1] and np.isnan(c.picks.crane_ratio).all()
    assert c.picks.governing.tolist() == ["Lifting points"] * 2 and c.picks.verdict.tolist() == ["Within"] * 2
    (flag,) = told(c, "Crane")
    assert flag.level is Level.NOTE and "lifting points alone" in flag.message
    assert not told(c, "Crane wind limit")


def test_nothing_to_check_is_said_once() -> None:
    c = computed(lifts=pile(3))
    assert c.picks.lift.size == 0
    (flag,) = told(c, "Crane")
    assert "nothing of the pick is checked" in flag.message
    results = calculate(job(lifts=pile(3)))
    assert len(results.frames["Crane picks"]) == 0
    assert dict(results.record)["Crane picks"].startswith("none checked")


def test_a_crane_without_a_lifting_capacity_needs_acceptance() -> None:
    c = computed(**book(units=[{}]))
    assert np.isnan(c.picks.point_ratio).all() and c.picks.verdict.tolist() == ["Within"] * 2
    (flag,) = told(c, "Lifting capacity")
    assert flag.level is Level.ACCEPT and flag.code is Code.NOT_COMPUTED


def test_no_crane_wind_limit_leaves_the_greatest_wind_blank() -> None:
    found = book()
    del found["job"]["Crane wind limit"]
    c = computed(**found)
    assert np.isnan(c.picks.wind).all()
    (flag,) = told(c, "Crane wind limit")
    assert flag.level is Level.ACCEPT


def test_capacity_that_rises_with_radius_is_questioned() -> None:
    c = computed(
        **book(optional={"Cranes": chart([("TC1", 10.0, 4.0), ("TC1", 20.0, 4.5), ("TC1", 30.0, 2.0)])})
    )
    (flag,) = told(c, "Capacity")
    assert flag.level is Level.ACCEPT and str(flag.at) == "Cranes!C3"


@settings(max_examples=25)
@given(st.floats(200.0, 6000.0), st.floats(1.0, 2.0), st.floats(1.0, 1000.0), st.floats(0.01, 0.5))
def test_load_and_ratio_grow_with_mass_factor_and_rigging(
    mass: float, factor: float, rigging: float, more: float
) -> None:
    def ratio(m: float, f: float, r: float) -> float:
        items = {"Hook dynamic factor": (f, ""), "Rigging mass": (r, "kg")}
        return float(picks(job=items, units=[{"Mass": m, "Lifting capacity": 30.0}]).crane_ratio[0])

    low = ratio(mass, factor, rigging)
    assert ratio(mass * (1.0 + more), factor, rigging) > low
    assert ratio(mass, factor * (1.0 + more), rigging) > low
    assert ratio(mass, factor, rigging * (1.0 + more)) > low


def faults(**changes: Any) -> dict[str, Code]:
    with pytest.raises(InputFaults) as caught:
        job(**book(**changes))
    return {str(finding.at): finding.code for finding in caught.value.findings}


def test_faults_of_the_crane_sheets_by_cell() -> None:
    back = [("TC1", 20.0, 4.0), ("TC2", 10.0, 9.0), ("TC1", 10.0, 8.0), ("TC1", 30.0, 2.0)]
    assert faults(optional={"Cranes": chart(back)}) == {"Cranes!B4": Code.OUT_OF_ORDER}
    twice = [*CHART, ("tc1", 30.0, 1.9)]
    assert faults(optional={"Cranes": chart(twice)})["Cranes!A5"] is Code.DUPLICATE_ROW
    negative = [("TC1", 10.0, -8.0)]
    assert faults(optional={"Cranes": chart(negative)})["Cranes!C2"] is Code.IMPOSSIBLE_VALUE
    no_name = [{"Crane": None, "Radius": 10.0, "Capacity": 4.0}, *chart(CHART)]
    assert faults(optional={"Cranes": no_name})["Cranes!A2"] is Code.MISSING_VALUE


def column_of(heading: str, lifts: list[dict[str, Any]]) -> str:
    head = sheet("Lifts", [BASIC["Lifts"] | row for row in lifts]).rows[0]
    place = next(number for number, text in enumerate(head) if str(text).startswith(heading))
    return chr(ord("A") + place)


def test_faults_of_the_lifts_by_cell() -> None:
    unknown = pile(2, Crane="TC9", Pick_radius=20.0)
    letter = column_of("Crane", unknown)
    assert faults(lifts=unknown) == {
        f"Lifts!{letter}2": Code.UNKNOWN_NAME, f"Lifts!{letter}3": Code.UNKNOWN_NAME
    }  # fmt: skip
    no_radius = pile(2, Crane="TC1", Pick_radius=20.0)
    no_radius[1]["Pick radius"] = None
    letter = column_of("Pick radius", no_radius)
    assert faults(lifts=no_radius) == {f"Lifts!{letter}3": Code.MISSING_VALUE}
    no_crane = pile(2, Crane="TC1", Pick_radius=20.0)
    no_crane[0]["Crane"] = None
    letter = column_of("Crane", no_crane)
    assert faults(lifts=no_crane) == {f"Lifts!{letter}2": Code.MISSING_VALUE}
    half = pile(1, Crane="TC1", Pick_radius=20.0, Units_per_pick=1.5)
    assert list(faults(lifts=half).values()) == [Code.IMPOSSIBLE_VALUE]


def test_faults_of_the_job_by_cell() -> None:
    assert list(faults(job={"Terrain category": "C"}).values()) == [Code.NOT_ON_LIST]
    assert list(faults(job={"Hoisting class": "HC2"}).values()) == [Code.MISSING_VALUE]
    assert list(faults(job={"Crane wind limit": (12.0, "kPa")}).values()) == [Code.WRONG_UNIT]


def test_picks_in_us_units_are_the_same_picks() -> None:
    pound, foot = 0.45359237, 0.3048
    us = picks(
        job={"Crane wind limit": (12.0 / 0.44704, "mph"), "Rigging mass": (150.0 / pound, "lb")},
        optional={"Cranes": [
            {"Crane": name, "Radius": radius / foot, "Capacity": tonnes * 1000.0 / pound} for name, radius, tonnes in CHART
        ]},
        written_in={"Cranes": {"Radius": "ft", "Capacity": "lb"}},
    )  # fmt: skip
    np.testing.assert_allclose(us.crane_ratio, picks().crane_ratio, rtol=1e-12)
    np.testing.assert_allclose(us.wind, picks().wind, rtol=1e-12)
