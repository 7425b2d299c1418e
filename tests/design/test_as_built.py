"""Anchors as built: the check made again is that of a book whose layout lists what is there, by the whole calculation."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from builders import computed, pile

from sheetengine.design.anchor_survey import planned_anchors
from sheetengine.design.as_built import as_built
from sheetengine.design.site_columns import Site, built_columns, survey_columns
from sheetengine.exceptions import InputFaults
from sheetengine.findings import Code, Level

JOB = {"Foundation strength": (30.0, "MPa")}
TYPES = [
    {"Anchor": "A1", "Embedment": 400.0, "Shank diameter": 40.0, "Head diameter": 120.0, "Net area": 1000.0},
    {"Anchor": "A2", "Embedment": 200.0, "Shank diameter": 20.0, "Head diameter": 45.0, "Net area": 240.0},
]
LIFTS: dict[str, Any] = {"Height": 2.2, "Anchor_spacing": 1.5, "Face_length": 15.0}
# ten anchors 1.5 m apart, the first at 0.75 m; those in lift 2 hold the units of lift 3
PLACES = [0.75 + 1.5 * number for number in range(10)]


def book(as_built_rows: list[dict[str, Any]], **changes: Any) -> dict[str, Any]:
    rows = [{"Block": "B1", "Lift": 2, "State": "placed"} | row for row in as_built_rows]
    given: dict[str, Any] = {
        "job": JOB,
        "anchors": TYPES,
        "lifts": pile(4, **LIFTS),
        "units": [{"Foot depth": 2.8}],
    }
    return given | {"optional": {"As built": rows}} | changes


def surveyed(**changed: dict[str, Any]) -> list[dict[str, Any]]:
    """Return a row for every anchor of lift 2; ``at_3``: the fourth is not as planned."""
    return [{"Position": place} | changed.get(f"at_{number}", {}) for number, place in enumerate(PLACES)]


def listed(places: list[tuple[float, float]], kind: str = "A1") -> Any:
    """Return the calculation of a book that lists the anchors of the units on lift 3."""
    lifts = pile(4, **LIFTS)
    lifts[2]["Anchor"] = kind
    rows = [{"Block": "B1", "Lift": 3, "Position": place, "Depth": depth} for place, depth in places]
    return computed(
        job=JOB, anchors=TYPES, lifts=lifts, units=[{"Foot depth": 2.8}], optional={"Anchor positions": rows}
    )


def stages_of(c: Any, holder: int, *, lower: bool = False) -> dict[str, float]:
    rows = np.flatnonzero((c.cases.holder == holder) & (c.cases.lower == lower))
    return dict(zip(c.cases.names()[rows].tolist(), c.demand.ratio[rows].tolist(), strict=True))


def found(rows: list[dict[str, Any]], **changes: Any) -> tuple[Any, Any, dict[str, float]]:
    c = computed(**book(rows, **changes))
    built = as_built(c)
    return c, built, dict(zip(c.cases.names()[built.case].tolist(), built.ratio.tolist(), strict=True))


def test_where_the_planned_anchors_are() -> None:
    c = computed(**book([{"Position": 0.75}]))
    position, depth = planned_anchors(c.job, c.layout, 2)
    assert position == pytest.approx(PLACES) and set(depth) == {0.4}


def test_all_as_planned_changes_nothing() -> None:
    near = surveyed(at_2={"Position": PLACES[2] + 0.02, "Depth": 0.41, "Angle": 3.0}, at_5={"Anchor": "A1"})
    c, built, ratio = found(near)
    assert not ratio and not built.found.differs.any()
    assert not [finding for finding in Site(c).flags() if finding.code in (Code.AS_BUILT, Code.ANCHORS_AHEAD)]


@pytest.mark.parametrize("out", [0, 3, 9])
@pytest.mark.parametrize(
    "row", [{"State": "missing"}, {"State": "out of line", "Angle": 12.0}, {"State": "placed", "Angle": 5.1}, {"State": "replaced"}],
    ids=["missing", "at an angle", "at an angle, called placed", "replaced by nobody knows what"],
)  # fmt: skip
def test_an_anchor_that_counts_as_missing(row: dict[str, Any], out: int) -> None:
    _, built, ratio = found(surveyed(**{f"at_{out}": row}))
    wanted = stages_of(listed([(place, 0.4) for number, place in enumerate(PLACES) if number != out]), 2)
    assert ratio == pytest.approx(wanted)
    assert set(built.left) == {9.0} and set(built.anchors) == {10.0}
    planned = stages_of(computed(**book([{"Position": 0.75}])), 2)
    assert all(ratio[stage] > planned[stage] for stage in planned)


def test_an_anchor_out_of_line_stands_where_it_was_found() -> None:
    moved = {"State": "out of line", "Position": PLACES[4] + 0.4, "Depth": 0.25, "Angle": 2.0}
    _, built, ratio = found(surveyed(at_4=moved))
    places = [(place, 0.4) for place in PLACES]
    places[4] = (PLACES[4] + 0.4, 0.25)
    assert ratio == pytest.approx(stages_of(listed(places), 2))
    words = built.found.words[built.found.differs]
    assert words.tolist() == ["400 mm aside, 150 mm in depth"]


@pytest.mark.parametrize("state", ["replaced", "placed"])
def test_a_swapped_anchor_counts_for_the_row_whatever_it_is_called(state: str) -> None:
    _, built, ratio = found(surveyed(at_6={"State": state, "Anchor": "A2"}))
    assert ratio == pytest.approx(stages_of(listed([(place, 0.4) for place in PLACES], "A2"), 2))
    assert built.found.words[built.found.differs].tolist() == ["A2 in place of A1"]
    assert set(built.verdict) & {"Exceeds", "Outside scope"}


def test_none_left() -> None:
    c, built, ratio = found(surveyed(**{f"at_{number}": {"State": "missing"} for number in range(10)}))
    assert set(ratio.values()) == {np.inf} and set(built.governing) == {"no anchor left"}
    assert set(built.verdict) == {"Exceeds"}
    assert np.isinf(built.ready).all()
    flags = [finding for finding in Site(c).flags() if finding.code is Code.AS_BUILT]
    assert len(flags) == 10 and all(finding.level is Level.STOP for finding in flags)


def test_the_flag_names_lift_stage_mode_and_both_ratios() -> None:
    c, built, _ = found(surveyed(at_3={"State": "missing"}))
    flag = next(finding for finding in Site(c).flags() if finding.code is Code.AS_BUILT)
    assert flag.at.sheet == "As built"
    worst = int(np.argmax(built.ratio))
    for words in ("Lift B1/2", "5.25 m", "missing", "B1/3", "9 of 10 anchors", str(built.governing[worst]), str(built.verdict[worst]),
                  f"{built.ratio[worst]:.2f}", f"{built.planned[worst]:.2f}"):  # fmt: skip
        assert words in flag.message, words


def test_what_was_not_surveyed_is_said() -> None:
    c, built, ratio = found(surveyed()[:7])
    assert not ratio
    flags = [finding for finding in Site(c).flags() if finding.code is Code.AS_BUILT]
    assert (
        len(flags) == 1 and "3 planned anchors have no row" in flags[0].message and "11.2" in flags[0].message
    )
    assert (built.found.words == "not surveyed").sum() == 3


def test_an_anchor_outside_the_layout_holds_nothing() -> None:
    c, built, ratio = found([*surveyed(), {"Position": 14.99, "Depth": 0.4}, {"Position": 7.6, "Depth": 1.6}])
    assert not ratio
    outside = built.found.words == "outside the layout"
    assert outside.sum() == 2 and built.found.lost[outside].all()
    assert sum(finding.code is Code.AS_BUILT for finding in Site(c).flags()) == 2


def test_a_lift_on_which_nothing_stands() -> None:
    c, built, ratio = found([{"Lift": 4, "Position": 1.0}])
    assert not ratio and built.found.words.tolist() == ["no lift of this book stands on it"]
    assert sum(finding.code is Code.AS_BUILT for finding in Site(c).flags()) == 1


def test_too_few_for_a_unit_is_told_before_the_lift_is_placed() -> None:
    """By hand: units 3 m wide with 2 anchors each; the third stands from 6 to 9 m and has the anchors at 6.75 and 8.25 m."""
    c, _, _ = found(surveyed(at_4={"State": "missing"}))
    flag = next(finding for finding in Site(c).flags() if finding.code is Code.ANCHORS_AHEAD)
    assert flag.level is Level.STOP
    assert (
        "Lift B1/2 is to hold the units on B1/3" in flag.message
        and "unit 3 (6 m to 9 m) 1 of 2" in flag.message
    )
    assert "before B1/2 is placed" in flag.clears


def test_a_listed_layout_with_too_few_for_a_unit_is_told_without_a_survey() -> None:
    places = [(place, 0.4) for number, place in enumerate(PLACES) if number != 7]
    c = listed(places)
    flag = next(finding for finding in Site(c).flags() if finding.code is Code.ANCHORS_AHEAD)
    assert flag.level is Level.ACCEPT  # the layout is meant so and proved as it is
    # the anchor at 11.25 m is that of the fourth unit, 9 to 12 m
    assert "unit 4 (9 m to 12 m) 1 of 2" in flag.message


def test_an_anchor_missing_in_the_foundation() -> None:
    """The check of the first lift made again is that of a book that lists nine anchors for it."""
    rows = [row | {"Lift": "Foundation"} for row in surveyed(at_3={"State": "missing"})]
    c, built, ratio = found(rows)
    lifts = pile(4, **LIFTS)
    nine = [
        {"Block": "B1", "Lift": 1, "Position": place, "Depth": 0.4}
        for number, place in enumerate(PLACES)
        if number != 3
    ]
    other = computed(
        job=JOB, anchors=TYPES, lifts=lifts, units=[{"Foot depth": 2.8}], optional={"Anchor positions": nine}
    )
    assert ratio == pytest.approx(stages_of(other, 0)) and len(ratio) >= 2
    assert all(ratio[stage] > planned for stage, planned in stages_of(c, 0).items())
    assert set(built.found.lift) == {-1} and set(built.found.holder) == {0}
    assert np.isnan(built.ready[c.cases.carrier[built.case] < 0]).all()
    site = Site(c)
    flags = {
        finding.code: finding
        for finding in site.flags()
        if finding.code in (Code.AS_BUILT, Code.ANCHORS_AHEAD)
    }
    assert flags[Code.AS_BUILT].message.startswith("Foundation of block B1, anchor at 5.25 m: missing.")
    # by hand: the second unit stands from 3 to 6 m and has the anchors at 3.75 and 5.25 m
    ahead = flags[Code.ANCHORS_AHEAD]
    assert (
        "Foundation of block B1 is to hold the units on B1/1" in ahead.message
        and "unit 2 (3 m to 6 m) 1 of 2" in ahead.message
    )
    assert "before the units of B1/1 are hung" in ahead.clears
    assert set(built_columns(site)["Anchors in"]) == {"foundation"}
    assert set(survey_columns(site)["Lift"]) == {"foundation"}


def test_the_foundation_of_each_block_is_its_own() -> None:
    lifts = [lift for block in ("B1", "B2") for lift in pile(2, block=block, **LIFTS)]
    rows = [row | {"Block": "b2", "Lift": "foundation"} for row in surveyed()[:4]]
    c, built, _ = found(rows, lifts=lifts)
    assert set(built.found.holder) == {2}
    flag = next(finding for finding in Site(c).flags() if finding.code is Code.AS_BUILT)
    assert flag.message.startswith("Foundation of block B2: 6 planned anchors have no row")


LOWER = [{"Foot depth": 2.8, "Lower row": "anchored"}]
# 2.8 m below the joint of lift 2 is 0.6 m below that of lift 1, where no upper row is: the lower row of lift 3's units is its own
DEEP = 0.6


def both_rows(**changed: dict[str, Any]) -> list[dict[str, Any]]:
    """Return a row for every anchor of lift 1: upper ones of the units on lift 2, lower ones of those on lift 3."""
    rows = [{"Lift": 1, "Position": place, "Depth": depth} for depth in (0.4, DEEP) for place in PLACES]
    return [row | changed.get(f"at_{number}", {}) for number, row in enumerate(rows)]


def without(lift: int, number: int, **changes: Any) -> Any:
    """Return the calculation of a book that lists the anchors of a lift's units but for one."""
    rows = [
        {"Block": "B1", "Lift": lift, "Position": place, "Depth": 0.4}
        for at, place in enumerate(PLACES)
        if at != number
    ]
    given = {"job": JOB, "anchors": TYPES, "lifts": pile(4, **LIFTS), "units": LOWER} | changes
    return computed(**given, optional={"Anchor positions": rows})


def test_an_anchor_missing_in_a_lower_row_of_its_own() -> None:
    c, built, _ = found(both_rows(at_14={"State": "missing"}), units=LOWER)
    assert c.cases.lower[built.case].all() and set(c.cases.holder[built.case]) == {2}
    ratio = dict(zip(c.cases.names()[built.case].tolist(), built.ratio.tolist(), strict=True))
    wanted = stages_of(without(3, 4), 2, lower=True)
    assert ratio == pytest.approx(wanted) and len(wanted) >= 2
    assert max(ratio.values()) > max(stages_of(c, 2, lower=True).values())
    assert set(built.left) == {9.0} and set(built.anchors) == {10.0}
    flag = next(finding for finding in Site(c).flags() if finding.code is Code.AS_BUILT)
    assert flag.message.startswith("Lift B1/1, anchor of the lower row at 6.75 m: missing. The units on B1/3")
    shown = survey_columns(Site(c))
    assert shown["Row"].tolist() == ["upper"] * 10 + ["lower"] * 10


def test_an_anchor_of_a_lower_row_at_another_depth_counts_as_missing() -> None:
    c, built, _ = found(both_rows(at_14={"State": "out of line", "Depth": 0.72}), units=LOWER)
    assert built.found.lost.sum() == 1 and built.found.lower[built.found.lost].all()
    ratio = dict(zip(c.cases.names()[built.case].tolist(), built.ratio.tolist(), strict=True))
    assert ratio == pytest.approx(stages_of(without(3, 4), 2, lower=True))


def test_a_swapped_anchor_of_a_lower_row() -> None:
    c, built, _ = found(both_rows(at_17={"State": "replaced", "Anchor": "A2"}), units=LOWER)
    lifts = pile(4, **LIFTS)
    lifts[2]["Lower anchor"] = "A2"
    ratio = dict(zip(c.cases.names()[built.case].tolist(), built.ratio.tolist(), strict=True))
    listed_all = without(3, -1, lifts=lifts)
    assert ratio == pytest.approx(stages_of(listed_all, 2, lower=True))


def test_a_lower_row_that_is_an_earlier_upper_row_is_checked_again_with_it() -> None:
    """2.6 m below the joint is 0.4 m below the one before: the anchors of lift 2's units hold those of lift 3 once more."""
    same = [{"Foot depth": 2.6, "Lower row": "anchored"}]
    rows = [{"Lift": 1, "Position": place} for place in PLACES]
    rows[6] |= {"State": "missing"}
    c, built, _ = found(rows, units=same)
    assert built.found.lower.sum() == 0
    upper, lower = ~c.cases.lower[built.case], c.cases.lower[built.case]
    assert set(c.cases.holder[built.case][upper]) == {1} and set(c.cases.holder[built.case][lower]) == {2}
    names = c.cases.names()[built.case]
    for which, holder, other in (
        (upper, 1, without(2, 6, units=same)),
        (lower, 2, without(3, 6, units=same)),
    ):
        ratio = dict(zip(names[which].tolist(), built.ratio[which].tolist(), strict=True))
        assert ratio == pytest.approx(stages_of(other, holder, lower=holder == 2)) and ratio


def test_an_upper_anchor_at_another_depth_is_no_anchor_of_a_later_lower_row() -> None:
    same = [{"Foot depth": 2.6, "Lower row": "anchored"}]
    rows = [{"Lift": 1, "Position": place} for place in PLACES]
    rows[6] |= {"State": "out of line", "Depth": 0.5}
    c, built, _ = found(rows, units=same)
    lower = c.cases.lower[built.case]
    names = c.cases.names()[built.case]
    ratio = dict(zip(names[lower].tolist(), built.ratio[lower].tolist(), strict=True))
    assert ratio == pytest.approx(stages_of(without(3, 6, units=same), 2, lower=True)) and ratio
    assert set(built.left[lower]) == {9.0} and set(built.left[~lower]) == {10.0}


def test_foundation_is_a_lift_in_as_built_alone() -> None:
    with pytest.raises(InputFaults) as told:
        computed(**book([], optional={
            "As built": [{"Block": "B9", "Lift": "foundation", "Position": 1.0, "State": "placed"}],
            "Releases": [{"Block": "B1", "Lift": "foundation", "Hold point": "HP2", "Evidence": "survey"}],
        }))  # fmt: skip
    faults = [fault.message for fault in told.value.findings]
    assert faults == [
        "Block B9, lift foundation is not in Lifts.",
        "Block B1, lift foundation is not in Lifts.",
    ]
