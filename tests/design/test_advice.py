"""What a flag says would clear it does clear it, as it is printed."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

import numpy as np
import pytest
from builders import computed, pile

from sheetengine.design.calculate import Calculation
from sheetengine.design.flags import all_flags
from sheetengine.findings import Code, Finding, Level

TESTED = {"Strength curve": "Hyperbolic", "Ultimate strength": 40.0, "Rate constant": 0.2}
STRONG = {"Net area": 2000.0, "Head diameter": 120.0, "Embedment": 500.0, "Shank diameter": 45.0}
CALM = {"Storm wind": (0.2, "kPa")}
UNITS = {"m/h": 1.0, "ft/h": 0.3048, "MPa": 1.0, "psi": 6.894757293168361e-3, "m": 1.0, "ft": 0.3048}


def stops(c: Calculation, code: Code) -> list[Finding]:
    return [flag for flag in all_flags(c) if flag.code is code and flag.level is Level.STOP]


def number_in(text: str, pattern: str) -> float:
    """Return the number and unit that the pattern finds, in the engine's unit."""
    found = re.search(pattern, text)
    assert found is not None, text
    return float(found[1]) * UNITS[found[2]]


def date_in(text: str) -> dt.datetime:
    found = re.search(r"\d{4}-\d\d-\d\d \d\d:\d\d", text)
    assert found is not None, text
    return dt.datetime.fromisoformat(found[0])


@pytest.mark.parametrize("result_units", ["metric", "US"])
@pytest.mark.parametrize("method", ["ACI 347R-14 SI", "CIRIA R108", "DIN 18218:2010", "GB 50666-2011"])
def test_the_rate_of_rise_advised_keeps_the_permissible_pressure(method: str, result_units: str) -> None:
    def at(rate: float, permissible: float) -> Calculation:
        return computed(
            job={"Pressure method": method, "Result units": result_units},
            mixes=[{"Consistency class": "F3", "Final set": 5.0}],
            units=[{"Permissible pressure": permissible, "Panel height": 4.0}],
            lifts=pile(1, Height=4.0, Concrete_temperature=14.0, Rise_rate=rate),
        )

    seen = 0
    for permissible in np.random.default_rng(1).uniform(32.0, 60.0, 12).tolist():
        flags = [flag for flag in stops(at(4.0, permissible), Code.EXCEEDS) if flag.heading == "Rise rate"]
        assert len(flags) == 1
        if "No rate clears it" in flags[0].clears:
            continue
        seen += 1
        advised = number_in(flags[0].clears, r"no more than ([\d.]+) (\S+?)\.(?: |$)")
        assert at(advised, permissible).pressure_verdict[0] in ("Within", "Near limit"), flags[0].clears
    assert seen > 3


@pytest.mark.parametrize("result_units", ["metric", "US"])
def test_the_height_advised_can_be_carried_at_any_rate(result_units: str) -> None:
    def at(height: float, permissible: float) -> Calculation:
        return computed(
            job={"Result units": result_units}, units=[{"Permissible pressure": permissible}],
            lifts=pile(1, Height=height),
        )  # fmt: skip

    for permissible in np.random.default_rng(2).uniform(20.0, 29.0, 12).tolist():  # below the floor of 30 kPa
        flag = next(flag for flag in stops(at(3.0, permissible), Code.EXCEEDS) if flag.heading == "Rise rate")
        advised = number_in(flag.clears, r"lower the lift to ([\d.]+) (m|ft)\b")
        assert at(advised, permissible).pressure_verdict[0] in ("Within", "Near limit"), flag.clears


def sound(lifts: list[dict[str, Any]], **items: Any) -> Calculation:
    return computed(
        job=CALM | items, mixes=[TESTED], anchors=[STRONG],
        lifts=[{"Height": 2.0, "Anchor spacing": 1.2, "Concrete temperature": 12.0} | lift for lift in lifts],
    )  # fmt: skip


@pytest.mark.parametrize("seed", range(8))
def test_placing_at_the_hour_advised_clears_the_anchors(seed: int) -> None:
    spacing = float(np.random.default_rng(seed).uniform(0.9, 1.2))
    lifts = pile(2, interval=4.5, strip=2.0, hang=2.5, Anchor_spacing=spacing)
    c = sound(lifts)
    flags = [flag for flag in stops(c, Code.EXCEEDS) if "Placing" in flag.message]
    assert len(flags) == 1, [str(flag) for flag in all_flags(c)]
    lifts[1]["Placed"] = date_in(flags[0].clears)
    lifts[1]["Stripped"] = lifts[1]["Placed"] + dt.timedelta(days=3)
    lifts[1]["Hung"] = lifts[1]["Placed"] + dt.timedelta(days=4)
    assert not [flag for flag in stops(sound(lifts), Code.EXCEEDS) if "Placing" in flag.message]


@pytest.mark.parametrize("gate", ["Strip", "Hang", "Place next"])
def test_the_hour_advised_for_a_gate_opens_it(gate: str) -> None:
    lifts = pile(2, interval=1.5, strip=0.3, hang=0.5)
    items: dict[str, Any] = {"Stripping strength": (6.0, "MPa"), "Least interval between lifts": (9.0, "d")}
    name = {"Strip": "Stripped", "Hang": "Hung", "Place next": "Placed"}[gate]
    flag = next(
        flag
        for flag in stops(sound(lifts, **items), Code.GATE_NOT_MET)
        + stops(sound(lifts, **items), Code.BELOW_RANGE)
        if gate in flag.keys or (gate == "Hang" and flag.code is Code.BELOW_RANGE)
    )
    moved = date_in(flag.clears)
    if gate == "Place next":
        lifts[1] |= {
            "Placed": moved,
            "Stripped": moved + dt.timedelta(days=9),
            "Hung": moved + dt.timedelta(days=9),
        }
    else:
        lifts[0][name] = moved
        for lift in lifts[1:]:  # what stands on it follows
            for key in ("Placed", "Stripped", "Hung"):
                if lift.get(key) is not None:
                    lift[key] += dt.timedelta(days=30)
    again = sound(lifts, **items)
    row = (again.gates.lift == 0) & (again.gates.gate == ["Strip", "Hang", "Place next"].index(gate))
    word = str(again.gate_verdict[row][0])
    assert word in ("Within", "Near limit") or again.gates.margin[row][0] >= 0.0, (flag.clears, word)


@pytest.mark.parametrize("result_units", ["metric", "US"])
def test_the_foundation_strength_advised_is_enough(result_units: str) -> None:
    def on(strength: float, spacing: float) -> list[Finding]:
        c = sound(
            pile(1, Anchor_spacing=spacing),
            **{"Foundation strength": (strength, "MPa"), "Result units": result_units},
        )
        return [flag for flag in stops(c, Code.EXCEEDS) if "Placing" in flag.message]

    for spacing in np.random.default_rng(3).uniform(0.9, 1.4, 12).tolist():
        flags = on(12.0, spacing)
        assert len(flags) == 1
        advised = number_in(flags[0].clears, r"must have ([\d.]+) (MPa|psi)")
        assert on(advised, spacing) == [], flags[0].clears


def test_the_hour_advised_below_the_range_brings_the_anchors_into_it() -> None:
    lifts = pile(2, strip=2.0, hang=2.2, Concrete_temperature=7.0)
    flag = next(flag for flag in stops(sound(lifts), Code.BELOW_RANGE) if flag.keys[1] == "1")
    lifts[0]["Hung"] = date_in(flag.clears)
    assert not [flag for flag in stops(sound(lifts), Code.BELOW_RANGE) if flag.keys[1] == "1"]
