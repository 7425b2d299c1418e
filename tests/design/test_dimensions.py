"""Dimension rows by hand, and totals that a spreadsheet program adds up to the same."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from builders import computed, job, pile

from sheetengine.content import Formula, Link
from sheetengine.design.dimensions import dimension_columns
from sheetengine.run import calculate, result_contents

LIFTS: dict[str, Any] = {"Height": 2.0, "Face_length": 15.0, "Thickness": 4.0}


def rows_of(c: Any, item: str) -> dict[str, np.ndarray[Any, Any]]:
    columns = dimension_columns(c)
    own = columns["Item"] == item
    return {name: values[own] for name, values in columns.items()}


def test_by_hand() -> None:
    """Face 15 x 2 m; leaning by 60 degrees from vertical twice as long down the slope; joint 15 x 4 m; concrete 15 x 4 x 2 m."""
    c = computed(
        lifts=[
            *pile(2, **LIFTS),
            *pile(1, block="B2", Face_inclination=60.0, Joint="designated", Drawing="D-7", **LIFTS),
        ]
    )
    face, joint, concrete = (rows_of(c, item) for item in ("Formed face", "Lift joint", "Concrete"))
    assert face["Area [m2]"] == pytest.approx([30.0, 30.0, 60.0])
    assert face["Height or width [m]"] == pytest.approx([2.0, 2.0, 4.0])
    assert joint["Area [m2]"] == pytest.approx([60.0] * 3)
    assert joint["Area for payment [m2]"] == pytest.approx([0.0, 0.0, 60.0])
    assert joint["Joint"].tolist() == ["contractor's choice", "contractor's choice", "designated"]
    assert concrete["Volume [m3]"] == pytest.approx([120.0] * 3)
    assert concrete["Volume for payment [m3]"] == pytest.approx([120.0] * 3)
    assert face["Drawing"].tolist() == ["", "", "D-7"]
    for own in (face, joint, concrete):
        known = own["Area [m2]"] if own is not concrete else own["Volume [m3]"]
        third = np.where(np.isnan(own["Depth [m]"]), 1.0, own["Depth [m]"])
        assert own["Timesing"] * own["Length [m]"] * own["Height or width [m]"] * third == pytest.approx(
            known
        )


def test_a_given_plan_area_counts_and_an_unknown_one_is_said() -> None:
    given = rows_of(computed(lifts=pile(1, Plan_area=55.0, **LIFTS)), "Lift joint")
    assert given["Area [m2]"] == pytest.approx([55.0]) and given["Remark"].tolist() == ["plan area as given"]
    assert math.isnan(given["Length [m]"][0])
    c = computed(lifts=pile(1))
    for item in ("Lift joint", "Concrete"):
        own = rows_of(c, item)
        assert np.isnan(own["Area [m2]"]).all() and np.isnan(own["Volume [m3]"]).all()
        assert own["Remark"].tolist() == ["give Plan area, or Thickness, in Lifts"]
        assert np.isnan(own["Area for payment [m2]"]).all()


@pytest.mark.parametrize("us", [False, True])
def test_totals_are_live_and_lead_back(us: bool) -> None:
    blocks = ("B1", "*", ">5", '=1"x')
    lifts = [
        lift
        for place, block in enumerate(blocks)
        for lift in pile(place + 1, block=block, Joint="designated" if place else None, **LIFTS)
    ]
    units = {"Result units": "US"} if us else {}
    results = calculate(job(lifts=lifts, job=units))
    sheet = next(content for content in result_contents(results) if content.name == "Dimension rows")
    rows, totals = sheet.tables
    headings = [look.heading for look in totals.columns]
    assert headings[4].startswith("Area [ft2]" if us else "Area [m2]")
    scale = 1.0 / 0.3048**2 if us else 1.0
    faces = {str(row[0]): row for row in totals.rows if row[1] == "Formed face"}
    assert list(faces) == [*blocks, "all"]
    for place, block in enumerate(blocks):
        assert isinstance(faces[block][4], Formula)
        assert faces[block][4].value == pytest.approx(30.0 * (place + 1) * scale)
        assert isinstance(faces[block][3], Link) and faces[block][3].text == f"first of {place + 1}"
    assert faces["all"][4].value == pytest.approx(300.0 * scale)
    joints = {(row[0], row[2]): row[6].value for row in totals.rows if row[1] == "Lift joint"}
    assert joints["all", "contractor's choice"] == 0.0 and joints["all", "designated"] == pytest.approx(
        60.0 * 9 * scale
    )
    assert len(rows.rows) == 3 * 10
