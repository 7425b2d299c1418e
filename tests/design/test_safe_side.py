"""Slips of a site's book that must never end in a quiet Within: dates, seats of anchors, probes, waivers, names."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import numpy as np
import openpyxl
import pandas as pd
import pytest
from builders import START, computed, days, grids, job, pile

from sheetengine import calculate
from sheetengine.__main__ import main
from sheetengine.demos import copy_demo, demo_named
from sheetengine.design.calculate import Calculation
from sheetengine.design.flags import all_flags
from sheetengine.design.stages import HUNG, PLACING, STANDING
from sheetengine.findings import Code, Finding, Level
from sheetengine.sheets.reading import read_job


def told(c: Calculation, code: Code, *words: str) -> list[Finding]:
    return [
        flag for flag in all_flags(c) if flag.code is code and all(word in flag.message for word in words)
    ]


@pytest.mark.parametrize("key", ["Hung", "Stripped"])
def test_hanging_after_the_next_placing_is_told_and_not_counted_on(key: str) -> None:
    late = pile(2)
    late[0][key] = days(60)
    if key == "Stripped":
        late[0]["Hung"] = None
    c = computed(lifts=late)
    (flag,) = told(c, Code.OUT_OF_ORDER, key, "after the next lift is placed")
    assert flag.level is Level.STOP
    hung = (c.cases.lift == 0) & (c.cases.stage == HUNG)
    standing = (c.cases.lift == 1) & (c.cases.stage == STANDING)
    placing = (c.cases.lift == 1) & (c.cases.stage == PLACING)
    assert c.cases.hour[hung] == c.cases.hour[placing]
    assert c.cases.hour[standing] == c.cases.hour[placing]


def test_a_lift_is_not_placed_while_the_one_below_is_rising() -> None:
    lifts = pile(2)
    lifts[1]["Placed"] = START + dt.timedelta(hours=1)  # 3 m at 1 m/h take 3 h
    lifts[0] |= {"Stripped": None, "Hung": None}
    assert told(computed(lifts=lifts), Code.OUT_OF_ORDER, "still being placed")


def test_a_slip_of_the_century_is_questioned() -> None:
    lifts = pile(2)
    lifts[0] |= {"Placed": START.replace(year=1931), "Stripped": None, "Hung": None}
    assert told(computed(lifts=lifts), Code.PLAUSIBILITY, "more than a year")


def test_anchors_that_do_not_sit_in_their_concrete_are_not_computed() -> None:
    c = computed(lifts=pile(2, Thickness=0.3))
    placing = (c.cases.lift == 1) & (c.cases.stage == PLACING)
    assert c.demand_verdict[placing] == "Not computed"
    assert told(c, Code.LAYOUT_DIFFERS, "does not sit in the concrete")


@pytest.mark.parametrize("places", [{}, {"Depth from joint": 0.4}], ids=["nowhere", "only the joint"])
def test_a_probe_of_unknown_place_never_makes_concrete_stronger(places: dict[str, float]) -> None:
    def with_log(temperature: float | None) -> Calculation:
        readings = [
            {"Block": "B1", "Lift": 1, "Time": START + dt.timedelta(hours=hour), "Temperature": temperature} | places
            for hour in range(0, 160, 4)
        ]  # fmt: skip
        return computed(optional={"Probe log": readings} if temperature is not None else None)

    none, warm, cold = with_log(None), with_log(40.0), with_log(3.0)
    np.testing.assert_array_equal(warm.demand.strength, none.demand.strength)
    assert (cold.demand.strength <= none.demand.strength).all()
    assert (cold.demand.strength < none.demand.strength).any()


@pytest.mark.parametrize("words", ["none", "No", "n/a", " - ", "TBD"])
def test_nobody_is_no_acceptance(words: str) -> None:
    early = pile(2, hang=3.2)
    blank, said = (
        computed(job={"Below-range accepted by": text} if text else {}, mixes=[{"Strength 28 d": 15.0}], lifts=early)
        for text in ("", words)
    )  # fmt: skip
    assert said.demand_verdict.tolist() == blank.demand_verdict.tolist()
    assert "Outside scope" in said.demand_verdict.tolist()


def test_uncracked_concrete_wants_initials() -> None:
    (flag,) = told(computed(job={"Concrete cracked": "no"}), Code.PLAUSIBILITY, "uncracked")
    assert flag.level is Level.ACCEPT


def test_a_foot_that_lifts_off_keeps_the_gates_shut() -> None:
    c = computed(units=[{"Mass": 0.0}])
    assert c.foot_lifts.any()
    guarded = np.isin(c.gates.gate, (1, 2))
    assert (c.gate_verdict[guarded] == "Exceeds").all()


def test_names_of_sheets_that_are_nearly_ours_or_not_read_are_told() -> None:
    book = grids()
    names = [*book, "Anchor position", "Calendar", "Our notes"]
    flags = {flag.at.sheet: flag for flag in read_job(book, names).findings}
    assert "Anchor positions" in flags["Anchor position"].message
    assert "not read by this version" in flags["Calendar"].message
    assert "Our notes" not in flags


def test_endless_ratios_do_not_read_like_a_harmless_word() -> None:
    cold = pile(2, Concrete_temperature=5.0, Air_temperature=-20.0)
    results = calculate(job(lifts=cold))
    assert np.isinf(results.frames["Anchor demand"]["Demand ratio"]).any()
    from sheetengine.sheets.results import contents

    (demand,) = (sheet for sheet in contents(results, None, ()) if sheet.name == "Anchor demand")
    place = [column.heading for column in demand.tables[0].columns].index("Demand ratio")
    assert "no resistance" in [row[place] for row in demand.tables[0].rows]


def test_verify_sees_a_verdict_that_was_typed_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = copy_demo(demo_named("lock-wall"), tmp_path)
    assert main(["run", str(book)]) == 1
    opened = openpyxl.load_workbook(book)
    sheet = opened["Anchor demand"]
    cell = next(cell for row in sheet.iter_rows() for cell in row if cell.value == "Exceeds")
    cell.value = "Within"
    opened.save(book)
    capsys.readouterr()
    assert main(["verify", str(book)]) == 1
    assert (
        "1 result cell was changed by hand. Run the book again.   Anchor demand!"
        in capsys.readouterr().err.replace("\n", " ")
    )


def test_books_are_counted_once_and_in_one_set_of_units(tmp_path: Path) -> None:
    books = [copy_demo(demo_named(name), tmp_path) for name in ("gravity-dam", "lock-wall")]
    main(["takeoff", str(books[0]), str(books[0]), str(books[1]), "--to", str(tmp_path / "out")])
    bars = pd.read_csv(tmp_path / "out" / "bar_counts.csv")
    assert bars["Mass [kg]"].notna().all()
    assert not any("[lb]" in heading for heading in bars.columns)
    assert not bars.duplicated(["Book", "Block", "Lift", "Bar mark"]).any()
