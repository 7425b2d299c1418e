"""Strongbacks of a job: shares, capacities, offsets, verdicts, and worst levels against dense sampling."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from builders import computed, grids, job, pile

from sheetengine.clauses.strongback import brace_reaction, deflection, hinge_reaction, moment, shear
from sheetengine.design.bracketing import greatest
from sheetengine.design.flags import all_flags
from sheetengine.design.strongback_columns import envelope_of, strongback_columns
from sheetengine.design.strongback_peaks import Beams, peaks
from sheetengine.design.strongbacks import BRACE, MOMENT, OFFSET, SHEAR
from sheetengine.exceptions import InputFaults
from sheetengine.findings import Level
from sheetengine.run import calculate, is_open
from sheetengine.sheets.reading import read_job

UNIT: dict[str, Any] = {
    "Hinge height": 0.0, "Brace height": 3.0, "Brace foot offset": 2.25, "Strongback EI": 4000.0,
    "Strongback moment": 60.0, "Brace capacity": 120.0,
}  # fmt: skip
CALM: dict[str, Any] = {
    "Pressure method": "Full head",
    "Working wind": (0.0, "kPa"),
    "Storm wind": (0.0, "kPa"),
}


def test_a_unit_by_hand() -> None:
    # 3 m of 25 kN/m3 on supports at 0 and 3 m, two strongbacks on 3 m of width: 1.5 m each.
    # brace 37.5 x 1.5 = 56.25, its length 3.75 on a reach of 2.25: 93.75, pull 56.25 x 3 / 2.25 = 75; hinge 112.5;
    # moment w l^2 / (9 sqrt 3) x 1.5 = 64.9519 at 3 - sqrt 3; panel 3.2 m
    c = computed(job=CALM, units=[UNIT], lifts=pile(2))
    s = c.strongbacks
    assert s.share.tolist() == [1.5, 1.5]
    assert s.brace.value[0] == pytest.approx(56.25)
    assert s.axial[0] == pytest.approx(93.75)
    assert s.pull[0] == pytest.approx(75.0)
    assert s.hinge.value[0] == pytest.approx(112.5)
    assert s.moment.value[0] == pytest.approx(75.0 * 9.0 / 9.0 / np.sqrt(3.0) * 1.5, rel=1e-12)
    assert s.moment.height[0] == pytest.approx(3.0 - np.sqrt(3.0), abs=1e-9)
    assert s.shear.value[0] == pytest.approx(112.5)
    assert s.ratios[MOMENT][0] == pytest.approx(64.95190528 / 60.0, rel=1e-8)
    assert s.ratios[BRACE][0] == pytest.approx(93.75 / 120.0)
    assert s.governing[0] == MOMENT
    assert s.verdict[0] == "Exceeds"
    assert s.tension_level.tolist() == s.foot_level.tolist() == [3.0, 3.0]
    assert s.lean[0] == pytest.approx(0.0, abs=1e-9)  # the top of the lift is at the brace


def test_lean_in_and_offset_by_the_handbook() -> None:
    # wind of no matter: fluid of 2 m above a brace at 1 m, clamped by nothing; the lean-in set takes the offset away
    units = [UNIT | {"Brace height": 1.5}]
    plain = computed(job=CALM | {"Offset tolerance": (4.0, "mm")}, units=units, lifts=pile(2))
    lean = float(plain.strongbacks.lean[0])
    one = np.ones(1)
    by_formula = deflection(
        maximum_pressure=75.0 * one, weight_density=25.0 * one, concrete_level=3.0 * one, wind_pressure=0.0 * one,
        hinge_height=0.0 * one, brace_height=1.5 * one, panel_height=3.2 * one,
        bending_stiffness=4000.0 / 1.5 * one, height=3.0 * one,
    )  # fmt: skip
    assert lean == pytest.approx(float(by_formula[0]) * 1000.0)
    assert lean > 0.0
    assert plain.strongbacks.offset[0] == lean
    assert plain.strongbacks.ratios[OFFSET][0] == pytest.approx(lean / 4.0)
    lifts = pile(2)
    lifts[0]["Lean-in set"] = lean
    lifts[1]["Lean-in set"] = lean - 3.0
    leant = computed(job=CALM | {"Offset tolerance": (4.0, "mm")}, units=units, lifts=lifts)
    np.testing.assert_allclose(leant.strongbacks.offset, [0.0, 3.0], atol=1e-9)
    assert leant.strongbacks.ratios[OFFSET].tolist() == pytest.approx([0.0, 0.75], abs=1e-9)


def test_an_offset_beyond_the_tolerance_says_what_to_set() -> None:
    units = [
        UNIT
        | {"Brace height": 1.5, "Strongback EI": 1500.0, "Strongback moment": 900.0, "Brace capacity": 900.0}
    ]
    c = computed(job=CALM | {"Offset tolerance": (1.0, "mm")}, units=units, lifts=pile(1))
    assert c.strongbacks.governing[0] == OFFSET
    assert c.strongbacks.verdict[0] == "Exceeds"
    (flag,) = [flag for flag in all_flags(c) if flag.heading == "Lean-in set"]
    assert flag.level is Level.STOP
    assert flag.at.sheet == "Lifts"
    assert "Lean the panel in" in flag.clears
    assert f"{c.strongbacks.lean[0]:.3g} mm" in flag.clears


def test_more_strongbacks_share_the_load_and_the_flag_says_how_many() -> None:
    c = computed(job=CALM, units=[UNIT | {"Strongback moment": 25.0}], lifts=pile(1))
    (flag,) = [flag for flag in all_flags(c) if flag.heading == MOMENT]
    assert "Take 6 strongbacks" in flag.clears  # 64.95 / 25 x 2 = 5.2
    enough = computed(
        job=CALM, units=[UNIT | {"Strongback moment": 25.0, "Strongbacks per unit": 6}], lifts=pile(1)
    )
    fewer = computed(
        job=CALM, units=[UNIT | {"Strongback moment": 25.0, "Strongbacks per unit": 5}], lifts=pile(1)
    )
    assert enough.strongbacks.ratios[MOMENT][0] < 1.0 < fewer.strongbacks.ratios[MOMENT][0]


@pytest.mark.parametrize(
    ("blank", "lost", "verdict"),
    [
        ("Hinge height", ("Hinge reaction [kN]", "Brace force [kN]", "Lean-in [mm]"), "Not computed"),
        ("Brace height", ("Hinge reaction [kN]", "Greatest moment [kN*m]", "Lean-in [mm]"), "Not computed"),
        ("Brace foot offset", ("Brace force [kN]", "Brace ratio"), "Not computed"),
        ("Strongback EI", ("Lean-in [mm]", "Deflection top [mm]", "Offset [mm]"), "Within"),
        ("Strongback moment", ("Moment ratio",), "Not computed"),
        ("Brace capacity", ("Brace ratio",), "Not computed"),
    ],
)
def test_a_blank_takes_away_what_rests_on_it_and_nothing_else(
    blank: str, lost: tuple[str, ...], verdict: str
) -> None:
    unit = UNIT | {"Strongback moment": 90.0, "Brace capacity": 150.0}
    whole = computed(job=CALM, units=[unit], lifts=pile(3))
    c = computed(job=CALM, units=[unit | {blank: None}], lifts=pile(3))
    columns, before = strongback_columns(c), strongback_columns(whole)
    for heading in lost:
        assert np.isnan(columns[heading]).all(), heading
        assert np.isfinite(before[heading]).all(), heading
    if blank not in ("Hinge height", "Brace height"):
        np.testing.assert_array_equal(columns["Hinge reaction [kN]"], before["Hinge reaction [kN]"])
    assert set(c.strongbacks.verdict) == {verdict}
    notes = [flag for flag in all_flags(c) if flag.heading == "Strongbacks"]
    assert [flag.level for flag in notes] == [Level.NOTE]
    assert blank in notes[0].message
    np.testing.assert_array_equal(c.demand.ratio, whole.demand.ratio)
    assert not [flag for flag in all_flags(whole) if flag.heading == "Strongbacks"]


def test_what_was_not_asked_for_leaves_nothing_open() -> None:
    results = calculate(job(lifts=pile(2)))
    assert set(results.frames["Strongbacks"]["Verdict"]) == {"Not computed"}
    for name in ("Pressures", "Anchor demand", "Strength ready", "Readiness board", "Programme"):
        results.frames[name]["Verdict"] = "Within"
    results.findings.clear()
    assert not is_open(results)
    results.frames["Strongbacks"].loc[0, "Verdict"] = "Exceeds"
    assert is_open(results)


def test_a_ratio_above_one_exceeds_though_another_is_blank_and_a_blank_never_passes() -> None:
    c = computed(
        job=CALM, units=[UNIT | {"Brace capacity": None}, UNIT | {"Unit": "U2", "Strongback moment": 90.0, "Brace capacity": None}],
        lifts=[*pile(1), *pile(1, block="B2", Unit="U2")],
    )  # fmt: skip
    assert c.strongbacks.verdict.tolist() == ["Exceeds", "Not computed"]
    asked = computed(
        job=CALM, units=[UNIT | {"Strongback moment": 90.0, "Strongback shear": 100.0}], lifts=pile(1)
    )
    assert asked.strongbacks.ratios[SHEAR][0] == pytest.approx(1.125)
    assert asked.strongbacks.verdict[0] == "Exceeds"


@pytest.mark.parametrize(
    ("changes", "heading", "words"),
    [
        ({"Hinge height": 3.1}, "Hinge height", "not below Brace height"),
        ({"Brace height": 3.3}, "Brace height", "above the top of the panel"),
        ({"Brace foot height": 3.0}, "Brace foot height", "not below its upper end"),
    ],
)
def test_impossible_geometry_is_refused_by_cell_with_what_was_understood(
    changes: dict[str, Any], heading: str, words: str
) -> None:
    with pytest.raises(InputFaults) as refused:
        read_job(grids(units=[UNIT | changes]))
    found = [fault for fault in refused.value.findings if fault.heading == heading]
    assert len(found) == 1
    assert found[0].at.sheet == "Form units"
    assert words in found[0].message
    assert "top of the panel +3.2 m" in found[0].message


def test_loads_are_the_same_by_every_safety_basis() -> None:
    ratios = [
        computed(job={"Safety basis": basis}, units=[UNIT], lifts=pile(1)).strongbacks.ratio[0]
        for basis in ("EN partial factors", "ACI service load", "ACI strength")
    ]
    assert ratios[0] == ratios[1] == ratios[2]


def drawn(seed: int, rows: int) -> Beams:
    rng = np.random.default_rng(seed)
    a = rng.uniform(-0.3, 0.8, rows)
    b = np.maximum(a, 0.0) + rng.uniform(0.4, 2.5, rows)
    L = b + rng.uniform(0.0, 1.8, rows)
    gamma = rng.uniform(20.0, 26.0, rows)
    p = gamma * rng.uniform(0.2, 4.0, rows)
    W = np.where(rng.uniform(size=rows) < 0.3, 0.0, rng.uniform(0.0, 2.0, rows))
    return Beams(a, b, L, L * rng.uniform(0.15, 1.0, rows), p, gamma, W, W * rng.uniform(1.0, 3.0, rows))


def sampled(b: Beams, formula: Any, heights: np.ndarray | None, levels: int) -> np.ndarray:
    """Return the greatest amount over levels, heights (rows by places) and winds."""
    rows = b.lift.size
    share = np.linspace(0.0, 1.0, levels)
    best = np.zeros(rows)
    for level, wind in [
        *((b.lift * part, sign * b.working) for part in share for sign in (1.0, -1.0)),
        (0.0 * b.lift, b.storm),
        (0.0 * b.lift, -b.storm),
    ]:
        load = b.load(level, wind)
        if heights is None:
            found = np.abs(formula(**load))
        else:
            wide = {name: np.repeat(column, heights.shape[1]) for name, column in load.items()}
            found = np.abs(formula(height=heights.ravel(), **wide)).reshape(rows, -1).max(axis=1)
        best = np.maximum(best, found)
    return best


def test_no_sampled_level_or_height_is_worse_than_the_peaks() -> None:
    b = drawn(4, 60)
    found = peaks(b)
    low = np.minimum(b.hinge, 0.0)
    even = low[:, np.newaxis] + np.linspace(0.0, 1.0, 161) * (b.panel - low)[:, np.newaxis]
    sides = np.stack([b.hinge, b.brace, np.nextafter(b.hinge, -9.0), np.nextafter(b.brace, -9.0)], axis=1)
    whole = np.concatenate([even, sides], axis=1)
    span = b.hinge[:, np.newaxis] + np.linspace(0.0, 1.0, 161) * (b.brace - b.hinge)[:, np.newaxis]

    def bent(**columns: Any) -> np.ndarray:
        return np.asarray(deflection(bending_stiffness=np.ones_like(columns["height"]), **columns))

    for peak, formula, heights, levels in (
        (found.hinge, hinge_reaction, None, 1601),
        (found.brace, brace_reaction, None, 1601),
        (found.moment, moment, whole, 201),
        (found.shear, shear, whole, 201),
        (found.top, bent, b.panel[:, np.newaxis], 1601),
        (found.span, bent, span, 201),
    ):
        amount, dense = np.abs(peak.value), sampled(b, formula, heights, levels)
        assert (dense <= amount * (1.0 + 1e-6)).all()
        # and the peak is no more than what stands at its own level and height, wind the worst way
        assert (amount <= dense * (1.0 + 2e-3)).all()
        at_peak = np.zeros(amount.size)
        for wind in (b.working, -b.working, b.storm, -b.storm):
            calm = np.where(np.abs(wind) > b.working, 0.0, peak.level)
            more = {} if heights is None else {"height": peak.height}
            at_peak = np.maximum(at_peak, np.abs(formula(**b.load(calm, wind), **more)))
            if heights is not None:
                below = {"height": np.nextafter(peak.height, -9.0)}
                at_peak = np.maximum(at_peak, np.abs(formula(**b.load(calm, wind), **below)))
        np.testing.assert_allclose(at_peak, amount, rtol=1e-9)


def test_the_worst_level_is_not_always_the_full_lift() -> None:
    # brace at 0.8 m, fluid over 1 m: the hinge is worst at 0.8 + 0.5 m, the lift is 2.8 m high
    one = np.ones(1)
    b = Beams(0.2 * one, 0.8 * one, 3.0 * one, 2.8 * one, 25.0 * one, 25.0 * one, 0.0 * one, 0.0 * one)
    found = peaks(b)
    full = abs(float(hinge_reaction(**b.load(b.lift, 0.0 * one))[0]))
    assert abs(found.hinge.value[0]) >= full
    assert found.brace.level[0] == 2.8


def test_bracketing_finds_a_narrow_peak_that_sampling_would_miss() -> None:
    # two bumps, the higher one narrow: 1 / (1 + (x - 1)^2) and 1.1 / (1 + 1e4 (x - 3.0007)^2); f'' > -2.2e4
    def bumps(row: np.ndarray, at: list[np.ndarray]) -> np.ndarray:
        x = at[0]
        return np.maximum(1.0 / (1.0 + (x - 1.0) ** 2), 1.1 / (1.0 + 1e4 * (x - 3.0007) ** 2))

    value, place = greatest(bumps, [np.zeros(1)], [np.full(1, 4.0)], [np.full(1, 2.3e4)])
    assert value[0] == pytest.approx(1.1, rel=1e-8)
    assert place[0][0] == pytest.approx(3.0007, abs=1e-5)


def test_bracketing_leaves_a_blank_blank() -> None:
    def line(row: np.ndarray, at: list[np.ndarray]) -> np.ndarray:
        return np.where(row == 1, np.nan, at[0])

    value, place = greatest(line, [np.zeros(3)], [np.array([1.0, 2.0, 3.0])], [np.zeros(3)])
    np.testing.assert_array_equal(value, [1.0, np.nan, 3.0])
    np.testing.assert_array_equal(place[0], [1.0, np.nan, 3.0])


def test_the_envelope_touches_the_peaks() -> None:
    c = computed(units=[UNIT | {"Hinge height": 0.4, "Brace height": 2.1}], lifts=pile(2))
    envelope = envelope_of(c)
    assert envelope is not None
    name, columns = envelope
    assert name == "B1/1"
    bow = np.maximum(columns["Moment, outward bow [kN*m]"], -columns["Moment, inward bow [kN*m]"])
    assert bow.max() == pytest.approx(abs(c.strongbacks.moment.value[0]), rel=1e-12)
    forces = np.maximum(columns["Shear, greatest [kN]"], -columns["Shear, least [kN]"])
    assert forces.max() == pytest.approx(abs(c.strongbacks.shear.value[0]), rel=1e-12)
    assert envelope_of(computed(lifts=pile(1))) is None
