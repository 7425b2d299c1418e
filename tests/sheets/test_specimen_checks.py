"""Faults of the sheet Specimens: each by its cell, with what to do."""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy as np
import pytest
from builders import grids, job

from sheetengine.exceptions import InputFaults
from sheetengine.findings import Code, Finding

ROW = {"Mix": "M1", "Age": 3.0, "Curing temperature": 20.0, "Strength": 12.0, "Strength kind": "cylinder, mean", "Count": 1,
       "Specimen": "a"}  # fmt: skip
COLUMN = dict(zip(ROW, "ABCDEFG", strict=True))


def rows(*changes: dict[str, Any]) -> dict[str, list[dict[str, Any]]]:
    marked = [ROW | {"Specimen": f"s{place}"} | change for place, change in enumerate(changes)]
    return {"Specimens": marked}


def faults(**changes: Any) -> list[Finding]:
    with pytest.raises(InputFaults) as caught:
        job(**changes)
    return list(caught.value.findings)


@pytest.mark.parametrize(
    ("change", "heading", "code"),
    [
        ({"Mix": "M9"}, "Mix", Code.UNKNOWN_NAME),
        ({"Mix": None}, "Mix", Code.MISSING_VALUE),
        ({"Age": None}, "Age", Code.MISSING_VALUE),
        ({"Age": 0.0}, "Age", Code.IMPOSSIBLE_VALUE),
        ({"Age": -1.0}, "Age", Code.IMPOSSIBLE_VALUE),
        ({"Age": "3 days"}, "Age", Code.NOT_A_NUMBER),
        ({"Age": dt.datetime(2031, 4, 10)}, "Age", Code.NOT_A_NUMBER),
        ({"Curing temperature": None}, "Curing temperature", Code.MISSING_VALUE),
        ({"Curing temperature": 0.0}, "Curing temperature", Code.IMPOSSIBLE_VALUE),
        ({"Curing temperature": 95.0}, "Curing temperature", Code.IMPOSSIBLE_VALUE),
        ({"Strength": 0.0}, "Strength", Code.IMPOSSIBLE_VALUE),
        ({"Strength": "12,5"}, "Strength", Code.NOT_A_NUMBER),
        ({"Strength": 120.0, "Strength kind": "cube, mean"}, "Strength", Code.IMPOSSIBLE_VALUE),
        ({"Strength kind": "prism"}, "Strength kind", Code.NOT_ON_LIST),
        ({"Strength kind": "cube, characteristic"}, "Strength kind", Code.IMPOSSIBLE_VALUE),
        ({"Count": 0}, "Count", Code.IMPOSSIBLE_VALUE),
        ({"Count": 2.5}, "Count", Code.IMPOSSIBLE_VALUE),
        ({"Specimen": "S0"}, "Specimen", Code.DUPLICATE_ROW),
    ],
)
def test_a_fault_names_its_cell_and_what_to_do(change: dict[str, Any], heading: str, code: Code) -> None:
    found = faults(optional=rows({}, {}, change))
    (fault,) = found
    assert fault.code is code and fault.clears
    assert str(fault.at) == f"Specimens!{COLUMN[heading]}4"


def test_every_fault_is_told_at_once() -> None:
    found = faults(optional=rows({"Mix": "M9"}, {"Age": 0.0}, {"Strength": None}, {"Count": 0}))
    assert {str(fault.at) for fault in found} == {
        "Specimens!A2",
        "Specimens!B3",
        "Specimens!D4",
        "Specimens!F5",
    }


def test_a_mix_that_asks_for_a_fit_needs_rows() -> None:
    mixes = [
        {"Strength curve": "Fitted to specimens"},
        {"Mix": "M2", "Strength curve": "Fitted to specimens"},
    ]
    (fault,) = faults(mixes=mixes, optional=rows({}))
    assert fault.code is Code.MISSING_VALUE and fault.at.sheet == "Mixes" and fault.at.row == 3
    assert "mix M2" in fault.message
    both = faults(mixes=mixes)
    assert [found.at.row for found in both] == [2, 3]


def test_the_chart_cannot_show_a_mix_without_tests() -> None:
    (fault,) = faults(job={"Fit shown for": "M"}, optional=rows({}))
    assert fault.code is Code.UNKNOWN_NAME and fault.at.sheet == "Job"
    assert "Specimens" in fault.clears
    assert job(job={"Fit shown for": "m1"}, optional=rows({})).text("Fit shown for") == "m1"


@pytest.mark.parametrize("share", [0.4, 1.0, 95.0])
def test_a_confidence_is_a_share(share: float) -> None:
    (fault,) = faults(job={"Strength confidence": share})
    assert fault.code is Code.IMPOSSIBLE_VALUE and "Strength confidence" in fault.message


def test_units_of_the_headings_are_read_and_the_rest_has_defaults() -> None:
    book = {"Mix": "M1", "Age": 48.0, "Curing temperature": 68.0, "Strength": 1450.377}
    read = job(
        optional={"Specimens": [book, book]},
        written_in={"Specimens": {"Age": "h", "Curing temperature": "degF", "Strength": "psi"}},
    )
    table = read.table("Specimens")
    np.testing.assert_allclose(table.number("age"), 48.0)
    np.testing.assert_allclose(table.number("curing_temperature"), 20.0)
    np.testing.assert_allclose(table.number("strength"), 10.0, rtol=1e-6)
    np.testing.assert_array_equal(table.number("count"), 1.0)
    assert table.label("strength_kind").tolist() == ["", ""]
    assert read.digest != job().digest


def test_unlikely_values_want_acceptance() -> None:
    read = job(optional=rows({"Curing temperature": 2.0}, {"Strength": 0.3, "Age": 0.5}))
    places = {str(flag.at) for flag in read.findings if flag.code is Code.PLAUSIBILITY}
    assert {"Specimens!C2", "Specimens!D3"} <= places


def test_the_grid_has_the_declared_headings() -> None:
    grid = grids(optional=rows({}))["Specimens"]
    assert grid is not None
    assert [str(title) for title in grid.rows[0]][:4] == [
        "Mix",
        "Age [d]",
        "Curing temperature [degC]",
        "Strength [MPa]",
    ]
