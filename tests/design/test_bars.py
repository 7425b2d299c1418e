"""Bar counts, against take-offs made by hand and the published lengths by shape code."""

from __future__ import annotations

import datetime as dt
import math
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from sheetengine.cells import CellRef
from sheetengine.columns import Table, hours_of, texts
from sheetengine.design.bars import BarCounts, bar_counts
from sheetengine.findings import Code, Level
from sheetengine.job import Item, Job

PUBLISHED = Path(__file__).parent.parent / "published"
PRINTED_WEIGHTS = {3: 0.376, 5: 1.043, 11: 5.313, 18: 13.6}  # lb/ft, ASTM A615/A615M Table 1
HEADINGS = ("block", "lift", "bar_mark", "size", "shape_code", "a_dim", "b_dim", "c_dim", "d_dim", "e_dim",
            "bend_radius", "members", "bars_per_member")  # fmt: skip

Bar = dict[str, Any]


def bar(size: object, code: object, *legs: float, radius: float = math.nan, number: tuple[int, int] = (1, 1),
        lift: tuple[str, str] = ("7", "1"), mark: str = "01") -> Bar:  # fmt: skip
    """One row of the sheet; legs A, B, C, D, E, ``nan`` where blank."""
    dims = dict(zip("abcde", (*legs, *[math.nan] * 5), strict=False))
    return {
        "block": lift[0], "lift": lift[1], "bar_mark": mark, "size": str(size), "shape_code": str(code),
        **{f"{letter}_dim": value for letter, value in dims.items()},
        "bend_radius": radius, "members": float(number[0]), "bars_per_member": float(number[1]),
    }  # fmt: skip


def job(*bars: Bar, edition: str = "BS 8666:2020") -> Job:
    """Bars of two blocks; row 4 is the first item, columns in the order of ``HEADINGS``."""
    text_columns = HEADINGS[:5]
    labels = {key: texts(row[key] for row in bars) for key in text_columns}
    numbers = {key: np.array([row[key] for row in bars], dtype=float) for key in HEADINGS[5:]}
    lifts = {"block": ["7", "7", "8"], "lift": ["1", "2", "1"], "mix": ["M1", "M2", "M1"]}
    placed = [dt.datetime(2031, 4, 28, 7), dt.datetime(2031, 5, 6, 7), dt.datetime(2031, 5, 1, 7)]
    return Job(
        items={
            "Bar standard": Item("Bar standard", edition, math.nan, CellRef("Job", 21, 2), True),
            "Result units": Item("Result units", "metric", math.nan, CellRef("Job", 22, 2), False),
        },
        tables={
            "Bars": Table(
                "Bars",
                numbers=numbers,
                labels=labels,
                raw={key: texts(labels[key]) for key in text_columns[:3]},
                rows=np.arange(4, 4 + len(bars)),
                at_columns={key: place for place, key in enumerate(HEADINGS, start=1)},
            ),
            "Lifts": Table(
                "Lifts",
                numbers={
                    "placed": np.array([hours_of(moment) for moment in placed]),
                    "plan_area": np.array([50.0, 50.0, math.nan]),
                    "height": np.array([2.0, 1.5, 2.0]),
                },
                labels={key: texts(values) for key, values in lifts.items()},
                raw={"block": texts(lifts["block"]), "lift": texts([1, 2, 1])},
                rows=np.arange(4, 7),
            ),
        },
    )


def told(counts: BarCounts) -> list[tuple[Level, Code, str]]:
    return [(finding.level, finding.code, str(finding.at)) for finding in counts.findings]


def rows_of(columns: dict[str, Any], *headings: str) -> list[tuple[Any, ...]]:
    return list(zip(*(columns[name].tolist() for name in headings), strict=True))


SCHEDULE = (
    bar(16, 0, 6000.0, number=(2, 10), mark="01"),
    bar("H12", "11", 800.0, 600.0, number=(3, 8), mark="02"),
    bar(20, 21, 500.0, 1200.0, 500.0, number=(4, 5), lift=("7", "2"), mark="03"),
    bar(10, "51", 300.0, 400.0, 130.0, number=(1, 12), lift=("8", "1"), mark="04"),
    bar(16, "00.0", 5980.0, number=(1, 7), lift=("7", "1"), mark="05"),
)


def test_take_off_by_hand() -> None:
    # Arithmetic, own geometry; lengths by BS 8666:2020 Table 5, rounded up to 25 mm; kg/m by EN 10080.
    # 01: 6000;                        20 x 6.000 x 1.58  = 189.6
    # 02: 800+600-0.5x24-12 = 1376;    24 x 1.400 x 0.888 = 29.8368
    # 05: 5980, up to 6000;             7 x 6.000 x 1.58  = 66.36
    # 03: 500+1200+500-70-2x20 = 2090; 20 x 2.100 x 2.47  = 103.74
    # 04: 2(300+400+130)-2.5x20-5x10 = 1560; 12 x 1.575 x 0.617 = 11.6613
    counts = bar_counts(job(*SCHEDULE))
    rows = rows_of(
        counts.columns,
        "Block",
        "Lift",
        "Bar mark",
        "Size",
        "Shape code",
        "Cutting length [mm]",
        "Number",
        "Month",
        "Mix",
    )
    assert rows == [
        ("7", 1, "01", "16", "00", 6000.0, 20.0, "2031-04", "M1"),
        ("7", 1, "02", "12", "11", 1400.0, 24.0, "2031-04", "M1"),
        ("7", 1, "05", "16", "00", 6000.0, 7.0, "2031-04", "M1"),
        ("7", 2, "03", "20", "21", 2100.0, 20.0, "2031-05", "M2"),
        ("8", 1, "04", "10", "51", 1575.0, 12.0, "2031-05", "M1"),
    ]
    assert counts.columns["Mass [kg]"] == pytest.approx([189.6, 29.8368, 66.36, 103.74, 11.6613], rel=1e-12)
    assert counts.columns["Exact length [mm]"].tolist() == [6000.0, 1376.0, 5980.0, 2090.0, 1560.0]
    assert list(counts.columns)[:9] == [
        "Block", "Lift", "Bar mark", "Size", "Shape code", "Cutting length [mm]", "Number", "Mass [kg]", "Month",
    ]  # fmt: skip
    assert counts.lifts.tolist() == [0, 0, 0, 1, 2]
    assert counts.items.tolist() == [0, 1, 4, 2, 3]
    assert counts.findings == []


def test_totals_by_hand() -> None:
    # Arithmetic on the take-off above; 16 mm: 27 x 6 m = 162 m, 189.6 + 66.36 = 255.96 kg.
    # Lift 7/1: 285.7968 kg in 50 x 2 = 100 m3; 7/2: 103.74 kg in 75 m3; 8/1 has no plan area.
    counts = bar_counts(job(*SCHEDULE))
    assert counts.by_size["Size"].tolist() == ["10", "12", "16", "20"]
    assert counts.by_size["Length [m]"] == pytest.approx([18.9, 33.6, 162.0, 42.0], rel=1e-12)
    assert counts.by_size["Mass [kg]"] == pytest.approx([11.6613, 29.8368, 255.96, 103.74], rel=1e-12)
    assert rows_of(counts.by_lift, "Block", "Lift") == [("7", 1), ("7", 2), ("8", 1)]
    assert counts.by_lift["Reinforcement [kg/m3]"] == pytest.approx(
        [2.857968, 1.3832, math.nan], rel=1e-12, nan_ok=True
    )
    assert dict(rows_of(counts.by_month, "Month", "Number")) == {"2031-04": 51.0, "2031-05": 32.0}


def test_sums_by_size_lift_and_month_agree() -> None:
    # Property: two estimators who add in another order must reach one figure.
    counts = bar_counts(job(*SCHEDULE))
    for heading in ("Number", "Mass [kg]"):
        whole = math.fsum(counts.columns[heading])
        for sums in (counts.by_size, counts.by_lift, counts.by_month, counts.by_size_and_month):
            assert math.fsum(sums[heading]) == pytest.approx(whole, rel=1e-12)


def published(name: str) -> list[dict[str, Any]]:
    cases: list[dict[str, Any]] = tomllib.loads((PUBLISHED / f"{name}.toml").read_text(encoding="utf-8"))[
        "case"
    ]
    return cases


CASES = [
    (edition, case)
    for edition, name in (("BS 8666:2005", "bars_bs8666_2005"), ("BS 8666:2020", "bars_bs8666_2020"))
    for case in published(name)
    if "shape" in case["inputs"]
    and "L" in case["expected"]
    and case["inputs"]["shape"]["value"] not in ("64", "77")
]


@pytest.mark.parametrize(("edition", "case"), CASES, ids=[case["id"] for _, case in CASES])
def test_published_lengths_come_through_the_whole_count(edition: str, case: dict[str, Any]) -> None:
    said = {name: entry["value"] for name, entry in case["inputs"].items()}
    legs = [float(said.get(letter, math.nan)) for letter in "ABCDE"]
    counts = bar_counts(job(bar(said["d"], said["shape"], *legs, radius=float(said["r"])), edition=edition))
    assert counts.columns["Exact length [mm]"][0] == pytest.approx(
        case["expected"]["L"]["value"], rel=case["rel_tol"]
    )
    if "L_sched" in case["expected"]:
        assert counts.columns["Cutting length [mm]"][0] == case["expected"]["L_sched"]["value"]
    assert not [f for f in counts.findings if f.code in (Code.BAR_RADIUS, Code.NOT_ON_LIST)]


def test_there_are_published_cases() -> None:
    assert len(CASES) >= 30


def test_editions_are_not_mixed() -> None:
    # Shape 14: A + C - 4d by the 2005 edition, A + C by that of 2020. 1000 + 500 - 4 x 12 = 1452.
    row = bar(12, 14, 1000.0, math.nan, 500.0)
    assert bar_counts(job(row, edition="BS 8666:2005")).columns["Exact length [mm]"][0] == 1452.0
    assert bar_counts(job(row, edition="BS 8666:2020")).columns["Exact length [mm]"][0] == 1500.0


@pytest.mark.parametrize(("number", "text"), [(3, "#3"), (5, "No. 5"), (11, "no.11"), (18, "# 18")])
def test_us_bars_from_printed_weights(number: int, text: str) -> None:
    # lb/ft of ASTM A615 by 1 lb = 0.45359237 kg and 1 ft = 0.3048 m, both exact by definition.
    counts = bar_counts(job(bar(text, "00", 3048.0)))
    assert counts.columns["Size"].tolist() == [f"#{number}"]
    assert counts.columns["Mass per length [kg/m]"][0] == pytest.approx(
        PRINTED_WEIGHTS[number] * 0.45359237 / 0.3048, rel=1e-12
    )
    assert counts.columns["Cutting length [mm]"][0] == 3050.0
    assert counts.findings == []


@pytest.mark.parametrize("text", ["16", "16.0", "T16", "H16", "B16", "h 16", " 16 mm", "Ø16"])
def test_sizes_are_forgiven(text: str) -> None:
    counts = bar_counts(job(bar(text, "00", 1000.0)))
    assert counts.columns["Size"].tolist() == ["16"]
    assert counts.columns["Mass [kg]"][0] == pytest.approx(1.58)  # EN 10080 Table 6


@pytest.mark.parametrize("text", ["17", "#2", "16x", "-16", "K16", "thick", "1,6"])
def test_an_unknown_size_has_no_mass(text: str) -> None:
    counts = bar_counts(job(bar(text, "00", 1000.0)))
    assert math.isnan(counts.columns["Mass [kg]"][0])
    assert counts.columns["Size"].tolist() == [text]
    assert told(counts) == [(Level.STOP, Code.NOT_ON_LIST, "Bars!D4")]


@pytest.mark.parametrize("text", ["0", "00", "0.0", "00.0"])
def test_straight_in_every_spelling(text: str) -> None:
    assert bar_counts(job(bar(16, text, 1000.0))).columns["Shape code"].tolist() == ["00"]


@pytest.mark.parametrize("text", ["64", "77", "37", "ring", "100", "11.5", "-11"])
def test_a_shape_that_cannot_be_computed_has_no_length(text: str) -> None:
    counts = bar_counts(job(bar(16, text, 1000.0, 1000.0, 3.0, 1000.0, 1000.0)))
    assert math.isnan(counts.columns["Cutting length [mm]"][0]) and math.isnan(counts.columns["Mass [kg]"][0])
    assert (Level.STOP, Code.BAR_SHAPE, "Bars!E4") in told(counts)


def test_code_48_is_of_the_2020_edition_only() -> None:
    row = bar(12, 48, 500.0, 600.0, 300.0)
    assert told(bar_counts(job(row, edition="BS 8666:2005"))) == [(Level.STOP, Code.BAR_SHAPE, "Bars!E4")]
    assert told(bar_counts(job(row))) == [(Level.ACCEPT, Code.UNCONFIRMED_SOURCE, "Bars!E4")]


def test_shape_99_adds_up_its_legs_and_asks_for_a_sketch() -> None:
    counts = bar_counts(job(bar(16, 99, 500.0, math.nan, 700.0, 0.0, 33.0)))
    assert counts.columns["Exact length [mm]"][0] == 1233.0  # 500 + 700 + 33
    assert told(counts) == [(Level.NOTE, Code.BAR_SHAPE, "Bars!E4")]
    nothing = bar_counts(job(bar(16, 99)))
    assert math.isnan(nothing.columns["Cutting length [mm]"][0])
    assert (Level.STOP, Code.BAR_SHAPE, "Bars!F4") in told(nothing)


def test_radius_below_the_least() -> None:
    # Least scheduling radius of 20 mm: 70 mm (BS 8666:2020 Table 2). Length with the given radius:
    # 800 + 600 - 0.5 x 60 - 20 = 1350.
    counts = bar_counts(job(bar(20, 11, 800.0, 600.0, radius=60.0)))
    assert told(counts) == [(Level.STOP, Code.BAR_RADIUS, "Bars!K4")]
    finding = counts.findings[0]
    assert (finding.found, finding.limit) == (60.0, "at least 70 mm")
    assert str(finding.source).startswith("BS 8666")
    assert "70 mm" in finding.message and "60 mm" in finding.message
    assert counts.columns["Exact length [mm]"][0] == 1350.0


@pytest.mark.parametrize(
    ("size", "least"),
    zip((6, 8, 10, 12, 16, 20, 25, 32, 40), (12, 16, 20, 24, 32, 70, 87, 112, 140), strict=True),
)
def test_printed_least_radius_passes_and_two_less_does_not(size: int, least: int) -> None:
    # BS 8666:2020 Table 2, minimum scheduling radius as printed; 25 mm prints 87 where 3.5 d is 87.5.
    good = bar_counts(job(bar(size, 11, 1000.0, 1000.0, radius=float(least))))
    bad = bar_counts(job(bar(size, 11, 1000.0, 1000.0, radius=least - 2.0)))
    assert good.findings == []
    assert told(bad) == [(Level.STOP, Code.BAR_RADIUS, "Bars!K4")]


def test_a_straight_bar_has_no_radius_to_check() -> None:
    assert bar_counts(job(bar(20, 0, 1000.0, radius=5.0))).findings == []


def test_a_missing_leg_leaves_the_bar_uncounted() -> None:
    for missing in (math.nan, 0.0):
        counts = bar_counts(
            job(bar(16, 21, 500.0, 1000.0, missing, number=(2, 3)), bar(16, 0, 1000.0, mark="02"))
        )
        assert math.isnan(counts.columns["Cutting length [mm]"][0])
        assert counts.columns["Number"][0] == 6.0
        assert math.isnan(counts.by_size["Mass [kg]"][0]) and math.isnan(
            counts.by_lift["Reinforcement [kg/m3]"][0]
        )
        assert told(counts) == [(Level.STOP, Code.BAR_SHAPE, "Bars!H4")]


def test_a_leg_outside_the_length_is_noted_and_left_out() -> None:
    counts = bar_counts(job(bar(12, 11, 800.0, 600.0, 300.0)))
    assert counts.columns["Exact length [mm]"][0] == 1376.0
    assert told(counts) == [(Level.NOTE, Code.BAR_SHAPE, "Bars!H4")]


@pytest.mark.parametrize(
    ("size", "least"),
    [(6, 110), (8, 115), (10, 120), (12, 125), (16, 140), (20, 190), (25, 235), (32, 305), (40, 380)],
)
def test_printed_end_projection_passes_and_five_less_does_not(size: int, least: int) -> None:
    # BS 8666:2020 Table 2, general end projection as printed in steps of 5 mm. 5 mm below the printed value
    # lies below the rule as well, as the printed one is at most 2.5 mm above it.
    good = bar_counts(job(bar(size, 11, float(least), 1000.0)))
    bad = bar_counts(job(bar(size, 11, least - 5.0, 1000.0)))
    assert good.findings == []
    assert told(bad) == [(Level.ACCEPT, Code.BAR_SHAPE, "Bars!F4")]


def test_links_need_the_longer_end() -> None:
    # BS 8666:2020 Table 2, links: 12 mm 155 mm; the general 125 mm is too short for a link.
    assert bar_counts(job(bar(12, 51, 400.0, 400.0, 155.0))).findings == []
    assert told(bar_counts(job(bar(12, 51, 400.0, 400.0, 125.0)))) == [
        (Level.ACCEPT, Code.BAR_SHAPE, "Bars!H4")
    ]


def test_dimension_between_two_bends() -> None:
    # 2 x 32 + 2 x 16 + 4 x 16 = 160 mm for 16 mm (from memory; 10 d for bars to 16 mm agrees).
    assert bar_counts(job(bar(16, 21, 500.0, 160.0, 500.0))).findings == []
    assert told(bar_counts(job(bar(16, 21, 500.0, 155.0, 500.0)))) == [
        (Level.ACCEPT, Code.BAR_SHAPE, "Bars!G4")
    ]


def test_width_across_a_half_circle() -> None:
    # Hook size of 16 mm: 115 mm as printed; the widest is 400 + 2 x 16 = 432.
    for width in (115.0, 432.0):
        assert bar_counts(job(bar(16, 13, 600.0, width, 600.0))).findings == []
    for width in (110.0, 440.0):
        counts = bar_counts(job(bar(16, 13, 600.0, width, 600.0)))
        assert told(counts) == [(Level.ACCEPT, Code.BAR_RADIUS, "Bars!G4")]


def test_longer_than_the_stock() -> None:
    assert bar_counts(job(bar(32, 0, 12000.0))).findings == []
    assert told(bar_counts(job(bar(32, 0, 12010.0)))) == [(Level.NOTE, Code.BAR_SHAPE, "Bars!C4")]


def test_a_length_of_nothing_is_no_length() -> None:
    # Shape 11, 40 mm: 50 + 60 - 0.5 x 140 - 40 = 0.
    counts = bar_counts(job(bar(40, 11, 50.0, 60.0)))
    assert math.isnan(counts.columns["Cutting length [mm]"][0]) and math.isnan(counts.columns["Mass [kg]"][0])
    assert (Level.STOP, Code.BAR_SHAPE, "Bars!F4") in told(counts)


def test_a_bent_bar_beyond_the_standard_has_no_length() -> None:
    # #18 is 2.257 in = 57.3 mm; the rules for bends go to 50 mm.
    counts = bar_counts(job(bar("#18", 11, 2000.0, 2000.0, radius=300.0)))
    assert math.isnan(counts.columns["Cutting length [mm]"][0])
    assert (Level.STOP, Code.OUTSIDE_SCOPE, "Bars!D4") in told(counts)


def test_bent_us_bars_are_told_once() -> None:
    counts = bar_counts(
        job(bar(16, 11, 800.0, 600.0), bar("#5", 11, 800.0, 600.0), bar("#6", 11, 800.0, 600.0))
    )
    assert told(counts) == [(Level.ACCEPT, Code.MIXED_STANDARDS, "Bars!D5")]


def test_shape_12_without_its_radius() -> None:
    counts = bar_counts(job(bar(16, 12, 800.0, 600.0)))
    assert told(counts) == [(Level.ACCEPT, Code.BAR_SHAPE, "Bars!K4")]
    # 800 + 600 - 0.43 x 200 - 1.2 x 16 = 1294.8
    given = bar_counts(job(bar(16, 12, 800.0, 600.0, radius=200.0)))
    assert given.columns["Exact length [mm]"][0] == pytest.approx(1294.8, abs=1e-9)
    assert given.findings == []


def test_an_unknown_lift_is_counted_without_a_month() -> None:
    counts = bar_counts(job(bar(16, 0, 1000.0, lift=("9", "4"))))
    assert rows_of(counts.columns, "Block", "Lift", "Month", "Number") == [("9", "4", "", 1.0)]
    assert counts.lifts.tolist() == [-1]


def test_a_sheet_without_bars_gives_empty_tables() -> None:
    counts = bar_counts(job())
    assert counts.columns["Mass [kg]"].size == 0 and counts.by_size["Size"].size == 0
    assert counts.findings == []


def test_columns_give_what_rows_alone_give() -> None:
    # Property: no bar changes another one's figures.
    rows: Sequence[Bar] = [
        *SCHEDULE,
        bar(16, 21, 500.0, 1000.0),
        bar("#5", 33, 300.0, 200.0, 300.0),
        bar("x", 99, 1.0),
    ]
    together = bar_counts(job(*rows))
    for place, item in enumerate(together.items.tolist()):
        alone = bar_counts(job(rows[item]))
        for heading in (
            "Cutting length [mm]",
            "Number",
            "Mass [kg]",
            "Exact length [mm]",
            "Mass per length [kg/m]",
        ):
            assert np.array_equal(together.columns[heading][place], alone.columns[heading][0], equal_nan=True)


def test_every_flag_has_a_name_of_its_own() -> None:
    bars = [
        bar(16, 21, 50.0, 100.0, 60.0, 70.0, radius=10.0, mark="a"),
        bar(16, 21, 50.0, 100.0, 60.0, mark="b"),
    ]
    names = [finding.identifier for finding in bar_counts(job(*bars)).findings]
    assert len(names) == len(set(names)) > 6


def test_inputs_stay_as_they_were() -> None:
    given = job(*SCHEDULE)
    before = {name: values.copy() for name, values in given.table("Bars").numbers.items()}
    block = given.table("Bars").raw["block"].copy()
    bar_counts(given)
    assert all(
        np.array_equal(given.table("Bars").numbers[name], before[name], equal_nan=True) for name in before
    )
    assert (given.table("Bars").raw["block"] == block).all()
