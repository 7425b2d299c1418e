"""Published failures, built again as small books in invented settings: in each the book says no, where, and by how much.

Every case tells which facts come from a published report and which are invented. No dimension of a case is that of the
structure that failed unless it is named as published. What is shown is that the book says no, not what failed there.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy as np
import pandas as pd
import pytest
from builders import START, job, pile

from sheetengine.findings import Code, Finding, Level
from sheetengine.job import Results
from sheetengine.run import calculate, is_open

STURDY = {"Embedment": 400.0, "Shank diameter": 40.0, "Head diameter": 120.0, "Net area": 1000.0}
ROCK = {"Foundation strength": (30.0, "MPa"), "Storm wind": (0.3, "kPa")}


def replay(**book: Any) -> Results:
    return calculate(job(**book))


def stops(results: Results, code: Code, *words: str) -> list[Finding]:
    """Return the findings of a kind that block issue and hold all the words."""
    return [
        finding
        for finding in results.findings
        if finding.level is Level.STOP
        and finding.code is code
        and all(word in finding.message for word in words)
    ]


def row(results: Results, sheet: str, lift: int, **keys: str) -> pd.Series[Any]:
    frame = results.frames[sheet]
    chosen = frame[frame["Lift"] == lift]
    for heading, value in keys.items():
        chosen = chosen[chosen[heading.replace("_", " ")] == value]
    assert len(chosen) == 1, (sheet, lift, keys)
    return chosen.iloc[0]


def state(results: Results, lift: int, point: str) -> tuple[str, str]:
    found = row(results, "Hold points", lift, Hold_point=point)
    return str(found["State"]), str(found["Against"])


def cold_night(interval: float, air: float) -> dict[str, Any]:
    return {
        "job": ROCK,
        "mixes": [{"Strength class": "N", "Strength 28 d": 25.0, "Cement group": "plain", "Final set": 8.0}],
        "units": [{"Foot depth": 1.4, "Panel height": 1.7, "Mass": 900.0, "Mass offset": 0.6, "Platform width": 0.9}],
        "anchors": [STURDY],
        "lifts": pile(
            3, interval=interval, strip=0.75 * interval, hang=20.0 / 24.0 * interval, Height=1.5, Anchor_spacing=1.0,
            Concrete_temperature=8.0, Air_temperature=air, Air_swing=6.0, Thickness=1.2,
        ),
    }  # fmt: skip


def test_young_concrete_on_a_near_freezing_night() -> None:
    """Published (tower in West Virginia, 1978): a lift about 20 h old carried the next form; the night was near freezing; a later
    study puts the beginning of failure at about 6.9 MPa or less. Invented: mix, unit, anchors, height, that it is a wall."""
    results = replay(**cold_night(1.0, 2.0))
    assert is_open(results)
    hang = row(results, "Strength ready", 1, Gate="Hang")
    assert hang["Predicted strength [MPa]"] < 6.9 < hang["Required strength [MPa]"]
    assert hang["Margin [h]"] < -24.0 and hang["Verdict"] in ("Exceeds", "Outside scope")
    assert stops(results, Code.GATE_NOT_MET, "B1/1", "gate Strip", "h before the gate opens")
    hung = stops(results, Code.EXCEEDS, "B1/1, Hung on the new lift")
    assert len(hung) == 1 and "has no resistance" in hung[0].message and hung[0].limit == "1.00"
    assert stops(results, Code.EXCEEDS, "B1/2, Set back")
    waits, against = state(results, 2, "HP3")
    assert waits.startswith("Waits") and "h before the gate opens" in against
    # the same lifts at an interval of three weeks in 15 degC pass the gate
    warm = replay(**cold_night(21.0, 15.0))
    assert row(warm, "Strength ready", 1, Gate="Hang")["Margin [h]"] > 0.0


ANCHORS = [
    {"Anchor": "A1"} | STURDY,
    {"Anchor": "A9", "Embedment": 120.0, "Shank diameter": 16.0, "Head diameter": 30.0, "Net area": 157.0},
]
HIGH = 2.05
PLACES = [0.5 + number for number in range(15)]


def swapped(**changed: Any) -> dict[str, Any]:
    survey = [
        {"Block": "B1", "Lift": 1, "Position": place, "State": "placed"} | (changed if place == 7.5 else {})
        for place in PLACES
    ]
    return {
        "job": ROCK, "anchors": ANCHORS, "units": [{"Foot depth": 2.8, "Mass": 2500.0}],
        "lifts": pile(3, interval=12.0, strip=4.0, hang=6.0, Height=HIGH, Anchor_spacing=1.0, Air_temperature=14.0),
        "optional": {"As built": survey},
    }  # fmt: skip


@pytest.mark.parametrize(
    "lie", [{"State": "replaced", "Anchor": "A9"}, {"State": "replaced", "Anchor": "A9", "Angle": 25.0}]
)
def test_a_swapped_anchor(lie: dict[str, Any]) -> None:
    """Published (climbing form on a core, 2009): one anchor point came out of line before the pour, an unsuitable bolt was used at an
    acute angle and broke under load; two fell 8 m. Invented: everything about the form, the types, the angle in degrees."""
    results = replay(**swapped(**lie))
    assert is_open(results)
    flag = stops(results, Code.AS_BUILT, "Lift B1/1", "7.5 m", "B1/2")
    assert len(flag) == 1 and ("A9 in place of A1" in flag[0].message or "25 deg" in flag[0].message)
    built = results.frames["As-built check"]
    worst = built.loc[built["Ratio as built"].idxmax()]
    assert worst["Ratio as built"] > 1.0 and worst["Ratio as planned"] < 1.0
    assert worst["Lift"] == 2 and str(worst["Stage"]) in flag[0].message
    assert state(results, 2, "HP2")[1].startswith("as built: Exceeds")
    fine = replay(**swapped())
    assert not len(fine.frames["As-built check"]) and not stops(fine, Code.AS_BUILT)


def leaning(lean: float) -> Results:
    return replay(
        job={"Foundation strength": (50.0, "MPa"), "Storm wind": (0.1, "kPa")}, anchors=[STURDY | {"Embedment": 500.0}],
        units=[{"Panel height": 3.8, "Anchor depth": 0.6, "Foot depth": 3.0, "Mass": 2500.0, "Mass offset": 0.9, "Permissible pressure": 80.0}],
        lifts=pile(1, Height=3.05, Face_inclination=lean, Anchor_spacing=0.8, Rise_rate=0.8, Stripped=START + dt.timedelta(days=6), Hung=None),
    )  # fmt: skip


def test_uplift_on_an_inclined_face() -> None:
    """Published (buttress mock-up, New York, 2013): inclined face, concrete about 10 ft high, anchors other than designed, no
    resistance to uplift. Invented: the inclination, the bracket frame, the anchors, the foundation."""
    upright, battered = leaning(0.0), leaning(-30.0)
    pressed = battered.frames["Pressures"].iloc[0]
    # by hand: a batter lifts with the lateral force times the tangent of its lean
    assert pressed["Uplift [kN/m]"] == pytest.approx(
        pressed["Horizontal part [kN/m]"] * np.tan(np.radians(30.0))
    )
    assert upright.frames["Pressures"].iloc[0]["Uplift [kN/m]"] == 0.0
    before = row(upright, "Anchor demand", 1, Stage="Placing")
    after = row(battered, "Anchor demand", 1, Stage="Placing")
    assert after["Shear [kN]"] < 0.0 < before["Shear [kN]"]
    assert before["Verdict"] in ("Within", "Near limit") and after["Verdict"] == "Exceeds"
    flag = stops(battered, Code.EXCEEDS, "B1/1", "Placing")
    assert len(flag) == 1 and "up the face" in flag[0].message and float(str(flag[0].found)) > 1.0
    assert is_open(battered)


def raised(hours: float) -> Results:
    days = hours / 24.0
    return replay(
        job={"Foundation strength": (30.0, "MPa"), "Storm wind": (0.5, "kPa")}, anchors=[STURDY],
        lifts=pile(2, interval=days + 1.0, strip=0.9 * days, hang=days, Height=3.0, Anchor_spacing=1.5, Rise_rate=3.0, Air_temperature=12.0),
        units=[{"Panel height": 4.0, "Foot depth": 2.4, "Mass": 3000.0, "Mass offset": 1.2}],
    )  # fmt: skip


def test_wind_on_a_raised_empty_unit() -> None:
    """Published (slipform of a 14-storey core, a near miss): sheeting 4 m high; the wind's overturning went into concrete under 12 h
    old; nobody had traced that path. Invented: bracket frame, anchors, wind pressure, strengths."""
    early, late = raised(11.0), raised(24.0 * 14.0)
    found = row(early, "Anchor demand", 2, Stage="Standing closed")
    assert found["Age [d]"] < 0.5
    assert found["Verdict"] in ("Exceeds", "Outside scope") and found["Demand ratio"] > 1.0
    flag = stops(early, Code.EXCEEDS, "B1/2", "Standing closed")
    assert len(flag) == 1 and flag[0].limit == "1.00"
    assert is_open(early) and "Standing closed" in state(early, 2, "HP4")[1]
    assert row(late, "Anchor demand", 2, Stage="Standing closed")["Verdict"] == "Within"


def unset(confirmed: str) -> Results:
    return replay(
        job=ROCK | {"Pressure method": "DIN 18218:2010"}, anchors=[STURDY], units=[{"Panel height": 4.6, "Foot depth": 2.8, "Permissible pressure": 60.0}],
        mixes=[{"Final set": 7.0, "Consistency class": "F3", "Set confirmed": confirmed}],
        lifts=pile(2, interval=14.0, strip=4.0, hang=6.0, Height=4.5, Face_length=2.0, Thickness=2.0, Anchor_spacing=0.6, Rise_rate=1.5),
    )  # fmt: skip


def test_concrete_that_had_not_set() -> None:
    """Published (steel column form over a lake): after about two hours of pouring the bottom blew out, the concrete there was still like
    soup, too much plasticizer suspected. Invented: height (the form was 50 ft), section, panel, rate, method."""
    fluid, tested = unset("no"), unset("yes")
    found = row(fluid, "Pressures", 2)
    # by hand: 25 kN/m3 over 4.5 m
    assert found["Maximum pressure [kPa]"] == pytest.approx(112.5) and found["Verdict"] == "Exceeds"
    assert found["Panel ratio"] == pytest.approx(112.5 / 60.0)
    flag = stops(fluid, Code.EXCEEDS, "B1/2", "full head (set not confirmed)")
    assert len(flag) == 1 and flag[0].limit == "60 kPa"
    assert row(tested, "Pressures", 2)["Verdict"] == "Within"
    card = fluid.series["cards"].iloc[1]
    assert card["Greatest 0"] == "none" and "do not place" in card["Reads 0"]
    assert card["Assumed: Set confirmed by test"] == "NO: full head"


def test_a_rate_raised_after_a_stoppage() -> None:
    """Published (wall against piles): some ties wrongly fitted and replaced, a pump stopped, then the last load was placed too fast; the
    shutter failed on it. Invented: levels, hours, rates, panel, anchors; ties stand as form anchors."""
    start = START + dt.timedelta(days=14)
    levels = ((0.0, 0.0), (1.5, 0.75), (3.0, 1.5), (4.5, 1.5), (4.75, 2.25))
    record = [
        {"Block": "B1", "Lift": 2, "Time": start + dt.timedelta(hours=hour), "Level": level}
        for hour, level in levels
    ]
    results = replay(
        job=ROCK, anchors=[STURDY], units=[{"Permissible pressure": 40.0, "Foot depth": 2.8}], mixes=[{"Exposure window": 1.5}],
        lifts=pile(2, interval=14.0, strip=4.0, hang=6.0, Height=2.25, Anchor_spacing=1.0, Layer_depth=0.5, Rise_rate=0.5),
        optional={"Lift record": record},
    )  # fmt: skip
    assert is_open(results)
    flag = stops(results, Code.AS_PLACED, "Lift B1/2")
    assert len(flag) == 1 and "3 m/h" in flag[0].message and "2.25 m" in flag[0].message
    placed = results.frames["Lift record check"]
    assert placed["Rise rate [m/h]"].tolist() == pytest.approx([0.5, 0.5, 0.0, 3.0])
    assert placed["Verdict"].tolist()[:3] == ["Within"] * 3 and placed["Verdict"].tolist()[3] == "Exceeds"
    assert any("stayed open" in finding.message for finding in results.findings)
    card = results.series["cards"].iloc[1]
    assert isinstance(card["Greatest 0"], float) and card["Greatest 0"] < 3.0
    assert "beyond what panel or anchors carry" in state(results, 2, "HP7")[1]


def test_forms_removed_too_early() -> None:
    """Published (cooling tower in Jiangxi, 2016; a building in Fairfax County, 1973): forms were removed while the concrete lacked strength.
    The exact strengths were not in the reports that were seen. Invented: all numbers."""
    lifts = pile(
        2, interval=7.0, strip=0.3, hang=4.0, Height=1.6, Concrete_temperature=7.0, Air_temperature=4.0
    )
    results = replay(job=ROCK, anchors=[STURDY], units=[{"Foot depth": 2.8}], lifts=lifts)
    strip = row(results, "Strength ready", 1, Gate="Strip")
    assert strip["Margin [h]"] < 0.0 and strip["Predicted strength [MPa]"] < strip["Required strength [MPa]"]
    assert strip["Verdict"] in ("Exceeds", "Outside scope") and is_open(results)
    assert "h before that" in state(results, 1, "HP8")[1]
    assert any(
        f.level is Level.STOP and "B1/1" in f.message and "Strip" in f.message for f in results.findings
    )
