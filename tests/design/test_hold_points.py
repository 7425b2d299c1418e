"""The chain of hold points: in order, on evidence, and released by people alone."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from builders import START, computed, job, pile
from hypothesis import given, settings
from hypothesis import strategies as st

from sheetengine.design.hold_points import (
    HELD,
    HOLD_POINTS,
    LACKS,
    MAY,
    OPEN_AGAIN,
    OUT_OF_TURN,
    RELEASED,
    WAITS,
    names_of,
)
from sheetengine.design.site_columns import Site
from sheetengine.findings import Code, Level
from sheetengine.sheets.site_inputs import EVIDENCE

JOB = {"Foundation strength": (30.0, "MPa"), "Storm wind": (0.5, "kPa")}
BOOK: dict[str, Any] = {
    "job": JOB,
    "units": [{"Foot depth": 2.8, "Mass": 2500.0}],
    "anchors": [{"Embedment": 400.0, "Shank diameter": 40.0, "Head diameter": 120.0, "Net area": 1000.0}],
}
LIFTS: dict[str, Any] = {"Height": 1.6, "Anchor_spacing": 1.0, "Air_temperature": 14.0}
PLACES = [0.5 + number for number in range(15)]
EVIDENCE_OF = {
    0: ["brief"], 1: ["check certificate"], 2: ["survey"], 3: ["maturity", "specimens"], 4: ["inspection"], 5: ["count"],
    6: ["permit"], 7: ["record"], 8: ["permit"], 9: ["inspection"], 10: ["record"],
}  # fmt: skip
SURVEY = [{"Block": "B1", "Lift": 1, "Position": place, "State": "placed"} for place in PLACES]
RECORD = [
    {"Block": "B1", "Lift": 2, "Time": START + dt.timedelta(days=12, hours=hours), "Level": level}
    for hours, level in ((0.0, 0.0), (1.0, 0.8), (2.0, 1.6))
]


def release(
    point: int, *, lift: int = 2, hour: float = 0.0, who: str = "KL", **more: Any
) -> list[dict[str, Any]]:
    """Return the rows that release a hold point of a lift on the evidence that it needs."""
    kinds = EVIDENCE_OF[point]
    at = START + dt.timedelta(days=11, hours=10.0 * point + hour)
    return [
        {"Block": "B1", "Lift": lift, "Hold point": f"HP{point}", "Evidence": kind, "Time": at,
         "Value": 29.0 if point == 3 else None, "Released by": who if kind == kinds[-1] else None} | more
        for kind in kinds
    ]  # fmt: skip


PLAN = BOOK | {"lifts": pile(3, interval=12.0, strip=4.0, hang=6.0, **LIFTS)}


@cache
def without_releases() -> Any:
    return computed(**PLAN, optional={"As built": SURVEY, "Lift record": RECORD})


def states(
    releases: list[dict[str, Any]], lift: int = 1, **optional: Any
) -> tuple[Any, list[str], list[str]]:
    """Return the site of a book, and states and what speaks against them of the eleven hold points of a lift."""
    sheets = {"Releases": releases, "As built": SURVEY, "Lift record": RECORD} | optional
    sheets = {name: rows for name, rows in sheets.items() if rows}
    changes = {key: sheets.pop(key) for key in ("lifts", "mixes") if key in sheets}
    site = Site(computed(**(PLAN | changes), optional=sheets))
    rows = site.points.lift == lift
    return site, site.points.state[rows].tolist(), site.points.against[rows].tolist()


def all_released(up_to: int = 10) -> list[dict[str, Any]]:
    return [row for point in range(up_to + 1) for row in release(point)]


def test_nothing_on_file() -> None:
    _, found, _ = states([])
    assert found[0] == LACKS
    assert found[1:] == [f"{WAITS} for HP0"] * 10


@pytest.mark.parametrize("up_to", range(10))
def test_released_in_turn_the_next_is_the_only_one_that_is_asked(up_to: int) -> None:
    site, found, against = states(all_released(up_to))
    assert found[: up_to + 1] == [RELEASED] * (up_to + 1), against
    assert found[up_to + 1] == LACKS
    assert all(state == f"{WAITS} for HP{up_to + 1}" for state in found[up_to + 2 :])
    assert not [finding for finding in site.flags() if finding.code is Code.HOLD_POINT]


def test_with_its_evidence_on_file_it_may_be_released_and_is_not() -> None:
    rows = [*all_released(3), *(row | {"Released by": None} for row in release(4))]
    site, found, _ = states(rows)
    assert found[4] == MAY and found[5] == f"{WAITS} for HP4"
    assert (site.points.state == RELEASED).sum() == 4


def test_a_release_out_of_turn_is_a_flag() -> None:
    site, found, _ = states([*all_released(2), *release(6)])
    assert found[3] == LACKS and found[6] == OUT_OF_TURN
    flag = next(finding for finding in site.flags() if finding.code is Code.HOLD_POINT)
    assert (
        flag.level is Level.STOP
        and "HP6" in flag.message
        and "HP3 is open" in flag.message
        and flag.found == "KL"
    )


def test_a_release_dated_before_an_earlier_hold_point_was_released_is_out_of_turn() -> None:
    rows = [*all_released(1), *release(2, hour=-300.0)]
    _, found, against = states(rows)
    assert found[2] == OUT_OF_TURN and "released before an earlier one" in against[2]


@pytest.mark.parametrize(
    ("kinds", "lacks"),
    [(["maturity"], "specimens or pull-out test"), (["specimens"], "maturity"), (["maturity", "pull-out test"], ""),
     (["specimens", "pull-out test"], "maturity"), (["maturity", "maturity"], "specimens or pull-out test")],
)  # fmt: skip
def test_strength_needs_two_kinds_of_evidence(kinds: list[str], lacks: str) -> None:
    at = START + dt.timedelta(days=12, hours=18)
    rows = [
        {"Block": "B1", "Lift": 2, "Hold point": "HP3", "Evidence": kind, "Value": 29.0, "Time": at + dt.timedelta(minutes=number),
         "Released by": "KL"}
        for number, kind in enumerate(kinds)
    ]  # fmt: skip
    _, found, against = states([*all_released(2), *rows])
    assert found[3] == (OPEN_AGAIN if lacks else RELEASED)
    assert f"lacking: {lacks}" in against[3] if lacks else not against[3]


def test_a_test_that_shows_too_little_does_not_count() -> None:
    rows = [row | ({"Value": 4.0} if row["Evidence"] == "specimens" else {}) for row in release(3)]
    _, found, against = states([*all_released(2), *rows])
    assert found[3] == OPEN_AGAIN and "specimens shows 4 MPa" in against[3]
    blank = [row | {"Value": None} for row in release(3)]
    assert "states no strength" in states([*all_released(2), *blank])[2][3]


def test_a_probe_in_the_core_is_no_evidence() -> None:
    log = [
        {"Block": "B1", "Lift": 1, "Time": START + dt.timedelta(hours=3 + hour), "Temperature": 30.0, "Depth from face": 3.0,
         "Depth from joint": 0.4}
        for hour in range(72)
    ]  # fmt: skip
    site, found, against = states(all_released(3), **{"Probe log": log})
    assert found[3] == OPEN_AGAIN and "no evidence for anchors at the face" in against[3]
    knows = site.points.knows[(site.points.lift == 1) & (site.points.point == 3)][0]
    assert "the probe sits in the core" in knows


def test_an_anchor_found_missing_opens_its_hold_point_again() -> None:
    survey = [row | ({"State": "missing"} if row["Position"] == 5.5 else {}) for row in SURVEY]
    site, found, against = states(all_released(4), **{"As built": survey})
    assert found[2] == OPEN_AGAIN and "re-check" in against[2]
    assert found[3] == found[4] == OUT_OF_TURN
    flags = [finding for finding in site.flags() if finding.code is Code.HOLD_POINT]
    assert len(flags) == 1 and "HP2" in flags[0].message and "HP3, HP4" in flags[0].message
    again = {
        "Block": "B1",
        "Lift": 2,
        "Hold point": "HP2",
        "Evidence": "re-check",
        "Time": START + dt.timedelta(days=11, hours=21),
    }
    rows = [*all_released(2), again]
    verdict = set(site.built.verdict[site.c.cases.holder[site.built.case] == 1])
    assert verdict <= {"Within", "Near limit"}
    assert states(rows, **{"As built": survey})[1][2] == RELEASED


def test_a_survey_with_gaps_is_no_survey() -> None:
    _, found, against = states(all_released(2), **{"As built": SURVEY[:-2]})
    assert found[2] == OPEN_AGAIN and "2 anchors are not surveyed" in against[2]


def test_anchors_short_for_the_next_units_hold_the_pre_pour_check() -> None:
    own = [
        {"Block": "B1", "Lift": 2, "Position": place, "State": "missing" if place == 5.5 else "placed"}
        for place in PLACES
    ]
    _, found, against = states(all_released(5), **{"As built": [*SURVEY, *own]})
    assert found[5] == OPEN_AGAIN and ("anchors" in against[5] or "missing" in against[5])


def test_a_strip_planned_too_early_is_held() -> None:
    lifts = pile(3, interval=12.0, strip=0.2, hang=6.0, **LIFTS)
    _, found, against = states(all_released(7), lifts=lifts)
    # the lift below is stripped too early as well, so its checks speak first; without releases the strip itself says why
    assert "before that" in against[8] and found[8] != MAY


def test_anchors_in_the_foundation_are_surveyed_too() -> None:
    """But for a foundation of unknown strength, in which nothing is proved."""
    released = [row for point in range(4) for row in release(point, lift=1)]
    _, found, against = states(released, lift=0)
    assert found[2] == OPEN_AGAIN and "no row of As built" in against[2]
    rows = [row | {"Lift": "foundation"} for row in SURVEY]
    site, found, _ = states(released, lift=0, **{"As built": [*SURVEY, *rows]})
    assert found[:4] == [RELEASED] * 4 and found[4] == LACKS
    assert "15 of 15 anchors surveyed" in site.points.knows[2]
    bare = Site(computed(**BOOK | {"job": JOB | {"Foundation strength": None}, "lifts": pile(1, **LIFTS)}))
    assert "unknown strength" in bare.points.knows[2] and bare.points.against[2] == ""


def test_the_offices_own_names() -> None:
    names = [{"Hold point": "HP6", "Name": "Consent to fill"}]
    site, _, _ = states([], **{"Hold point names": names})
    assert names_of(site.c)[6] == "Consent to fill" and names_of(site.c)[5] == HOLD_POINTS[5].name


entries = st.lists(
    st.builds(
        lambda point, kind, who, hours, value: {
            "Block": "B1", "Lift": 2, "Hold point": f"HP{point}", "Evidence": kind, "Released by": who,
            "Time": START + dt.timedelta(hours=hours), "Value": value,
        },
        st.integers(0, 10), st.sampled_from(EVIDENCE), st.sampled_from([None, "KL"]), st.integers(0, 900),
        st.sampled_from([None, 2.0, 40.0]),
    ),
    max_size=25, unique_by=lambda row: (row["Hold point"], row["Evidence"], row["Time"]),
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(extra=entries, up_to=st.integers(-1, 10))
def test_whatever_is_on_file(extra: list[dict[str, Any]], up_to: int) -> None:
    """A later hold point never reads as open to release while an earlier one is not released; nothing is released by the engine."""
    releases = [*all_released(up_to), *extra]
    on_site = {"As built": SURVEY, "Lift record": RECORD} | ({"Releases": releases} if releases else {})
    site = Site(
        replace(without_releases(), job=job(**PLAN, optional=on_site))
    )  # what is computed asks for no release
    at = site.points.lift == 1
    found, against = site.points.state[at].tolist(), site.points.against[at].tolist()
    released = [state == RELEASED for state in found]
    first_open = released.index(False) if False in released else len(found)
    assert all(released[:first_open]) and not any(released[first_open:])
    for place, state in enumerate(found):
        if place > first_open:
            assert state in (f"{WAITS} for HP{first_open}", OUT_OF_TURN), (place, found)
        if state in (MAY, LACKS, HELD):
            assert place == first_open
        if state == MAY:
            assert not against[place]
    rows = site.points.lift == 1
    signed = site.points.release[rows] >= 0
    assert all(
        signed[place] for place, state in enumerate(found) if state in (RELEASED, OPEN_AGAIN, OUT_OF_TURN)
    )
    assert not np.isnan(site.points.time[rows][signed]).any()
