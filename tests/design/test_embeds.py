"""Counts of what is cast in, against take-offs made by hand and a sweep made hour by hour."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetengine.cells import CellRef
from sheetengine.columns import Table, hours_of, texts
from sheetengine.design.embeds import embed_counts
from sheetengine.design.take_off import greatest_in_use, parts_of, totals, whole_up
from sheetengine.findings import Code, Level
from sheetengine.job import Item, Job

DAY = 24.0
SPRING = 8760.0 * 131.0
"""Some hour far from 1899; a month boundary is not near unless a test puts it there."""


def table(
    sheet: str,
    *,
    numbers: Mapping[str, Sequence[float]] | None = None,
    labels: Mapping[str, Sequence[str]] | None = None,
    raw: Mapping[str, Sequence[Any]] | None = None,
) -> Table:
    """A table as the reader would hand it over: headings in row 3, items from row 4 on."""
    numbers, labels, raw = numbers or {}, labels or {}, raw or {}
    size = len(next(iter([*numbers.values(), *labels.values()]), ()))
    keys = [*labels, *numbers]
    return Table(
        sheet,
        numbers={key: np.array(values, dtype=float) for key, values in numbers.items()},
        labels={key: texts(values) for key, values in labels.items()},
        raw={key: texts(raw.get(key, values)) for key, values in labels.items()},
        rows=np.arange(4, 4 + size),
        at_columns={key: place for place, key in enumerate(keys, start=1)},
        given={key: np.ones(size, dtype=bool) for key in keys},
        head_row=3,
    )


LIFTS = {
    "block": ["7", "7", "7", "8", "8"],
    "lift": ["1", "2", "3", "1", "2"],
    "mix": ["M1", "M2", "M2", "M1", "M2"],
    "anchor": ["FA", "FA", "FB", "FA", "FA"],
}
PLACED = [SPRING + DAY * day for day in (0, 7, 14, 3, 10)]


def job(
    *,
    lost: Sequence[str] = ("1", "cast-in head; 2 x spacer"),
    recovered: Sequence[str] = ("1", "bolt"),
    embeds: Table | None = None,
    stock: Table | None = None,
    waste: float = 0.0,
) -> Job:
    """Two blocks, three and two lifts, two anchor types."""
    whole = [int(number) for number in LIFTS["lift"]]
    return Job(
        items={"Embed waste": Item("Embed waste", f"{waste}", waste, CellRef("Job", 4, 2), True)},
        tables={
            "Lifts": table("Lifts", labels=LIFTS, numbers={"placed": PLACED}, raw={"lift": whole}),
            "Anchor types": table(
                "Anchor types",
                labels={"anchor": ["FA", "FB"], "lost_parts": lost, "recovered_parts": recovered},
            ),
            "Embeds": embeds
            or table("Embeds", labels={"block": [], "lift": [], "item": [], "fate": []},
                     numbers={"count": [], "for_payment": []}),
            "Stock": stock or table("Stock", labels={"item": []}, numbers={"on_hand": []}),
        },
    )  # fmt: skip


def layout(**changed: Any) -> dict[str, Any]:
    """Anchors of the job: each lift holds the anchors of the units of the lift above it, the top lifts none."""
    said: dict[str, Any] = {
        "anchors_cast": np.array([10.0, 12.0, 0.0, 8.0, 0.0]),
        "anchor_items": np.array([0, 1, -1, 0, -1]),
        "set_by": np.array([PLACED[0] + 5.0, PLACED[1] + 5.0, math.nan, PLACED[3] + 5.0, math.nan]),
        "released": np.array([PLACED[2], math.nan, math.nan, math.nan, math.nan]),
    }
    return said | changed


SLEEVES = table(
    "Embeds",
    labels={
        "block": ["8", "7", "7"],
        "lift": ["2", "2", "1"],
        "item": ["Sleeve DN 50", "Sleeve DN 50", "Thermometer well"],
        "fate": ["lost", "lost", "recovered"],
    },
    numbers={"count": [4.0, 6.0, 2.0], "for_payment": [1.0, 0.0, 1.0]},
)


def rows_of(columns: dict[str, Any], *headings: str) -> list[tuple[Any, ...]]:
    return list(zip(*(columns[name].tolist() for name in headings), strict=True))


def test_take_off_by_hand() -> None:
    # Arithmetic, own geometry. Lift 7/1 holds 10 FA: 10 lost parts, 10 recovered. Lift 7/2 holds 12 FB:
    # 12 heads, 12 x 2 = 24 spacers, 12 bolts. Lift 8/1 holds 8 FA. The sheet adds sleeves and a well.
    counts = embed_counts(job(embeds=SLEEVES), **layout())
    assert rows_of(counts.columns, "Block", "Lift", "Item", "Fate", "Count", "Source", "Mix") == [
        ("7", 1, "FA, lost part", "lost", 10.0, "layout", "M1"),
        ("7", 1, "FA, recovered part", "recovered", 10.0, "layout", "M1"),
        ("7", 1, "Thermometer well", "recovered", 2.0, "Embeds sheet", "M1"),
        ("7", 2, "FB, cast-in head", "lost", 12.0, "layout", "M2"),
        ("7", 2, "FB, spacer", "lost", 24.0, "layout", "M2"),
        ("7", 2, "FB, bolt", "recovered", 12.0, "layout", "M2"),
        ("7", 2, "Sleeve DN 50", "lost", 6.0, "Embeds sheet", "M2"),
        ("8", 1, "FA, lost part", "lost", 8.0, "layout", "M1"),
        ("8", 1, "FA, recovered part", "recovered", 8.0, "layout", "M1"),
        ("8", 2, "Sleeve DN 50", "lost", 4.0, "Embeds sheet", "M2"),
    ]
    assert list(counts.columns)[:9] == [
        "Block", "Lift", "Item", "Fate", "Count", "With waste", "For payment", "Set by", "Month",
    ]  # fmt: skip
    assert counts.lifts.tolist() == [0, 0, 0, 1, 1, 1, 1, 3, 3, 4]
    assert counts.findings == []


def test_only_embeds_rows_that_are_measured_are_paid() -> None:
    counts = embed_counts(job(embeds=SLEEVES), **layout())
    paid = {row[:3]: row[3] for row in rows_of(counts.columns, "Block", "Lift", "Item", "For payment")}
    assert paid.pop(("7", 1, "Thermometer well")) == 2.0
    assert paid.pop(("8", 2, "Sleeve DN 50")) == 4.0
    assert set(paid.values()) == {0.0}  # form anchors are temporary works; 7/2's sleeves say no


def test_waste_goes_on_lost_items_only_and_is_rounded_up_once() -> None:
    # Arithmetic: 18 FA x 1.05 = 18.9, so 19 to order; lift by lift 10.5 + 8.4, which would be 11 + 9 = 20.
    counts = embed_counts(job(waste=5.0), **layout())
    waste = {row[:3]: row[3] for row in rows_of(counts.columns, "Block", "Lift", "Item", "With waste")}
    assert waste["7", 1, "FA, lost part"] == pytest.approx(10.5, abs=1e-12)
    assert waste["8", 1, "FA, lost part"] == pytest.approx(8.4, abs=1e-12)
    assert waste["7", 1, "FA, recovered part"] == 10.0
    order = dict(rows_of(counts.by_item, "Item", "To order"))
    assert order["FA, lost part"] == 19.0
    assert order["FB, spacer"] == 26.0  # 24 x 1.05 = 25.2


def test_rounding_up_does_not_add_one_for_the_machine() -> None:
    assert 50 * 1.1 > 55.0  # what a plain ceiling would make 56 of
    assert whole_up(np.array([50 * 1.1, 3 * 1.1, 55.001, 0.0])).tolist() == [55.0, 4.0, 56.0, 0.0]


def test_sums_by_lift_item_block_and_month_agree() -> None:
    # Property: two estimators who add in another order must reach one figure.
    counts = embed_counts(
        job(embeds=SLEEVES, waste=7.5), **layout(), foundation_anchors=np.array([9.0, 0, 0, 7.0, 0])
    )
    by_lift = totals(counts.columns, ("Block", "Lift"), ("Count", "With waste", "For payment"))
    by_mix = totals(counts.columns, ("Mix",), ("Count", "With waste", "For payment"))
    for heading in ("Count", "With waste", "For payment"):
        whole = math.fsum(counts.columns[heading])
        for sums in (by_lift, by_mix, counts.by_item, counts.by_item_and_month, counts.by_block):
            assert math.fsum(sums[heading]) == pytest.approx(whole, rel=1e-12)
    assert math.fsum(counts.columns["Count"]) == 10 * 2 + 12 * 4 + 8 * 2 + 6 + 4 + 2 + 9 * 2 + 7 * 2


def test_month_is_that_of_the_hour_the_concrete_arrives() -> None:
    import datetime as dt

    last_evening = hours_of(dt.datetime(2031, 4, 30, 22, 0))
    counts = embed_counts(
        job(), **layout(set_by=np.array([last_evening, last_evening + 3.0, math.nan, math.nan, math.nan]))
    )
    months = {row[:2]: row[2] for row in rows_of(counts.columns, "Block", "Lift", "Month")}
    assert months == {("7", 1): "2031-04", ("7", 2): "2031-05", ("8", 1): ""}


def test_foundation_anchors_stand_first_in_their_block_without_a_date() -> None:
    counts = embed_counts(job(), **layout(), foundation_anchors=np.array([9.0, 0, 0, 7.0, 0]))
    rows = rows_of(counts.columns, "Block", "Lift", "Item", "Count", "Month", "Mix")
    assert rows[0] == ("7", "foundation", "FA, lost part", 9.0, "", "")
    assert rows[2][:2] == ("7", 1)
    assert rows[-4][:4] == ("8", "foundation", "FA, lost part", 7.0)
    assert math.isnan(counts.columns["Set by"][0])


def test_unknown_type_or_number_is_not_counted_and_told() -> None:
    said = layout(anchor_items=np.array([-1, 1, -1, 0, -1]))
    said["anchors_cast"] = np.array([10.0, math.nan, 0.0, 8.0, 0.0])
    counts = embed_counts(job(), **said)
    count = {row[:3]: row[3] for row in rows_of(counts.columns, "Block", "Lift", "Item", "Count")}
    assert math.isnan(count["7", 1, "form anchor of unknown type"])
    assert math.isnan(count["7", 2, "FB, bolt"])
    assert count["8", 1, "FA, lost part"] == 8.0
    assert [(f.level, f.code, str(f.at)) for f in counts.findings] == [
        (Level.STOP, Code.NOT_COMPUTED, "Lifts!D4"),
        (Level.STOP, Code.NOT_COMPUTED, "Lifts!D5"),
    ]


def test_a_parts_cell_that_cannot_be_read_is_never_zero() -> None:
    counts = embed_counts(job(lost=("-1", "cast-in head; 20 mm spacer")), **layout())
    count = {row[:3]: row[3] for row in rows_of(counts.columns, "Block", "Lift", "Item", "Count")}
    assert math.isnan(count["7", 1, "FA, lost part"])
    assert count["7", 2, "FB, cast-in head"] == 12.0
    assert math.isnan(count["7", 2, "FB, 20 mm spacer"])
    assert count["7", 1, "FA, recovered part"] == 10.0
    totals_by_item = dict(rows_of(counts.by_item, "Item", "To order"))
    assert math.isnan(totals_by_item["FA, lost part"])
    assert [(f.code, f.level, str(f.at)) for f in counts.findings] == [
        (Code.PLAUSIBILITY, Level.STOP, "Anchor types!B4"),
        (Code.PLAUSIBILITY, Level.STOP, "Anchor types!B5"),
    ]


def test_a_faulty_type_that_is_not_used_is_not_told() -> None:
    said = layout(anchors_cast=np.array([10.0, 0, 0, 8.0, 0]))
    assert embed_counts(job(lost=("1", "-3")), **said).findings == []


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("1", [("", 1)]),
        ("3.0", [("", 3)]),
        ("0", []),
        ("none", []),
        ("cast-in head", [("cast-in head", 1)]),
        ("cast-in head; 2 x spacer", [("cast-in head", 1), ("spacer", 2)]),
        ("cast-in head\n2x spacer", [("cast-in head", 1), ("spacer", 2)]),
        ("2xspacer, cone", [("spacer", 2), ("cone", 1)]),
        ("2 × spacer", [("spacer", 2)]),
        ("spacer x 2", [("spacer", 2)]),
        ("spacer x2; spacer", [("spacer", 3)]),
        ("2 spacer", [("spacer", 2)]),
        ("4 X-braces", [("X-braces", 4)]),
        ("2 xenon lamps", [("xenon lamps", 2)]),
        ("bolt M20", [("bolt M20", 1)]),
        ("1 x bolt M20 x 300; 2 x spacer 50 mm", [("bolt M20 x 300", 1), ("spacer 50 mm", 2)]),
        ("0 x plate; head", [("head", 1)]),
    ],
)  # fmt: skip
def test_parts_are_read(text: str, parts: list[tuple[str, int]]) -> None:
    assert [(part.name, part.each) for part in parts_of(text)] == parts


@pytest.mark.parametrize(
    "text",
    ["-1", "1.5", "", ";", "-2 x head", "1.5 x head", "bolt M20 x 300", "plate 100 x 100", "100 x 100 plate",
     "20 mm spacer", "20mm spacer", "spacer 50", "spacer (2)", "spacer: 2", "spacerx2", "2x", "2 x", "?", "2, 5"],
)  # fmt: skip
def test_what_can_be_read_in_two_ways_is_not_guessed(text: str) -> None:
    parts = parts_of(text)
    assert any(math.isnan(part.each) and part.fault for part in parts)


def test_shortfall_of_recovered_parts_at_the_stock_cell() -> None:
    # Arithmetic: block 7's 10 FA from day 0 to day 14, block 8's 8 FA from day 3 on: 18 at once from day 3.
    stock = table("Stock", labels={"item": ["fa,  Recovered part", "FA, lost part", "Cone"]},
                  numbers={"on_hand": [12.0, 20.0, 3.0]})  # fmt: skip
    said = layout(anchors_cast=np.array([10.0, 0, 0, 8.0, 0]))
    counts = embed_counts(job(stock=stock, waste=20.0), **said)
    by_item = {
        row[:2]: row[2:] for row in rows_of(counts.by_item, "Item", "Fate", "To order", "Reached", "Short")
    }
    assert by_item["FA, recovered part", "recovered"] == (18.0, PLACED[3] + 5.0, 6.0)
    assert by_item["FA, lost part", "lost"][0] == 22.0  # 18 x 1.2 = 21.6
    assert [(f.level, f.code, str(f.at), f.found, f.limit) for f in counts.findings] == [
        (Level.NOTE, Code.PLAUSIBILITY, "Stock!B5", 20.0, "22"),
        (Level.ACCEPT, Code.EXCEEDS, "Stock!B4", 12.0, "18"),
        (Level.NOTE, Code.UNKNOWN_NAME, "Stock!A6", "Cone", "an item of Embed counts"),
    ]


def test_an_item_the_store_does_not_list_is_pointed_at_its_anchor() -> None:
    stock = table("Stock", labels={"item": ["FA, lost part"]}, numbers={"on_hand": [99.0]})
    counts = embed_counts(job(stock=stock), **layout(anchors_cast=np.array([10.0, 0, 0, 0, 0])))
    assert [(f.level, str(f.at)) for f in counts.findings] == [(Level.ACCEPT, "Anchor types!C4")]


def test_without_a_stock_sheet_nothing_is_set_against_it() -> None:
    counts = embed_counts(job(), **layout())
    assert np.isnan(counts.by_item["On hand"]).all() and np.isnan(counts.by_item["Short"]).all()


def test_anchors_that_come_free_before_they_are_cast_stay_in_use() -> None:
    counts = embed_counts(
        job(), **layout(released=np.array([SPRING - DAY, math.nan, math.nan, math.nan, math.nan]))
    )
    greatest = dict(rows_of(counts.by_item, "Item", "Greatest in use"))
    assert greatest["FA, recovered part"] == 18.0
    assert [(f.level, f.code, str(f.at)) for f in counts.findings] == [
        (Level.ACCEPT, Code.PLAUSIBILITY, "Lifts!E4")
    ]


def test_an_embed_in_an_unknown_lift_is_counted_and_told() -> None:
    embeds = table("Embeds", labels={"block": ["9"], "lift": ["1"], "item": ["Plate"], "fate": ["lost"]},
                   numbers={"count": [2.5], "for_payment": [math.nan]})  # fmt: skip
    counts = embed_counts(job(embeds=embeds), **layout())
    assert rows_of(counts.columns, "Block", "Item", "Count", "For payment", "Month")[-1] == (
        "9",
        "Plate",
        2.5,
        0.0,
        "",
    )
    assert [(f.level, f.code) for f in counts.findings] == [
        (Level.STOP, Code.UNKNOWN_NAME),
        (Level.NOTE, Code.PLAUSIBILITY),
    ]


def test_inputs_stay_as_they_were() -> None:
    said, given_job = layout(), job(embeds=SLEEVES)
    before = {name: values.copy() for name, values in said.items()}
    raw = given_job.table("Embeds").raw["block"].copy()
    embed_counts(given_job, **said)
    assert all(np.array_equal(said[name], before[name], equal_nan=True) for name in said)
    assert (given_job.table("Embeds").raw["block"] == raw).all()


SPAN = st.tuples(
    st.integers(0, 20), st.one_of(st.none(), st.integers(0, 30)), st.one_of(st.none(), st.integers(0, 15)),
    st.integers(0, 2),
)  # fmt: skip


@given(st.lists(SPAN, max_size=25))
def test_greatest_in_use_against_a_count_at_every_hour(
    spans: list[tuple[int, int | None, int | None, int]],
) -> None:
    # Property: at each whole hour count what is in use, both ends included; the sweep must find the greatest.
    start = np.array([math.nan if s is None else s for _, s, _, _ in spans], dtype=float)
    last = [math.nan if length is None else (s or 0) + length for _, s, length, _ in spans]
    group = np.array([g for _, _, _, g in spans], dtype=np.int64)
    greatest, when = greatest_in_use(
        number=np.array([n for n, _, _, _ in spans], dtype=float),
        start=start, end=np.array(last, dtype=float), group=group, groups=3,
    )  # fmt: skip
    for wanted in range(3):
        in_use = [
            sum(
                n
                for (n, s, _, g), end in zip(spans, last, strict=True)
                if g == wanted and (s is None or s <= hour) and (math.isnan(end) or end >= hour)
            )
            for hour in range(-1, 47)
        ]
        assert greatest[wanted] == max(in_use)
        if not math.isnan(when[wanted]):
            assert in_use.index(max(in_use)) == when[wanted] + 1
        elif max(in_use):
            assert in_use[0] == max(in_use)


def test_an_unknown_number_makes_its_own_item_unknown_only() -> None:
    greatest, when = greatest_in_use(
        number=np.array([math.nan, 4.0]), start=np.zeros(2), end=np.ones(2), group=np.array([0, 1]), groups=2
    )
    assert math.isnan(greatest[0]) and math.isnan(when[0])
    assert greatest[1] == 4.0
