"""Units and anchors that cannot be where the book says: refused by cell, with what was understood in words."""

from __future__ import annotations

from typing import Any

import pytest
from builders import grids, job, pile

from sheetengine.exceptions import InputFaults
from sheetengine.findings import Code, Finding

PLACES = {"Block": "B1", "Lift": 2, "Position": 1.0}


def faults(**changes: Any) -> list[Finding]:
    with pytest.raises(InputFaults) as caught:
        job(**changes)
    return list(caught.value.findings)


def place(sheet: str, heading: str, row: int, **changes: Any) -> str:
    """Return the cell of a heading."""
    grid = grids(**changes)[sheet]
    assert grid is not None
    column = [str(title).split(" [")[0] for title in grid.rows[0]].index(heading)
    return f"{chr(ord('A') + column)}{row}"


@pytest.mark.parametrize(
    ("changes", "sheet", "heading", "row", "words"),
    [
        ({"units": [{"Foot depth": 0.3}]}, "Form units", "Foot depth", 2,
         ("cannot resist tipping", "joint 0, foot bearing -0.3 m, anchors -0.4 m")),
        ({"units": [{"Foot depth": 0.4}]}, "Form units", "Foot depth", 2, ("cannot resist tipping",)),
        ({"units": [{"Hinge height": 2.0, "Brace height": 0.4}]}, "Form units", "Hinge height", 2,
         ("no span", "top of the panel +3.2 m, hinge +2 m, brace +0.4 m, joint 0")),
        ({"units": [{"Hinge height": 1.0, "Brace height": 1.0}]}, "Form units", "Hinge height", 2, ("no span",)),
        ({"units": [{"Anchor depth": 1.2}], "lifts": pile(2, Height=1.0)}, "Lifts", "Unit", 3,
         ("1.2 m below the joint", "(row 2) is only 1 m high", "joint 0, anchors -1.2 m, foot bearing -2.4 m")),
        ({"lifts": pile(2), "optional": {"Anchor positions": [PLACES | {"Depth": 2.5}]}}, "Anchor positions", "Depth", 2,
         ("2.5 m below the joint, but the foot bears 2.4 m below it",)),
        ({"lifts": pile(2, Height=2.0), "optional": {"Anchor positions": [PLACES | {"Depth": 2.2}]}}, "Anchor positions",
         "Depth", 2, ("the lift below (row 2) is only 2 m high",)),
        ({"lifts": pile(2, Anchor_spacing=3.2)}, "Lifts", "Anchor spacing", 2,
         ("units of 3 m without one", "3 m each with 2 anchors, so one for every 1.5 m")),
        ({"lifts": pile(1, Projection_reach=1.0)}, "Lifts", "Projection thickness", 2, ("leaves the face by 1 m",)),
        ({"lifts": pile(1, Projection_tip_thickness=0.3)}, "Lifts", "Projection reach", 2, ("weight is not known",)),
    ],
)  # fmt: skip
def test_it_is_refused_at_its_cell_with_a_sketch(
    changes: dict[str, Any], sheet: str, heading: str, row: int, words: tuple[str, ...]
) -> None:
    found = [flag for flag in faults(**changes) if flag.at.row == row and flag.heading == heading]
    (flag,) = found
    assert flag.at.sheet == sheet
    given = grids(**changes)[sheet]
    assert given is not None
    if any(str(title).startswith(heading) for title in given.rows[0]):
        assert flag.at.a1 == place(sheet, heading, row, **changes)
    for text in words:
        assert text in flag.message
    assert flag.code in (Code.IMPOSSIBLE_VALUE, Code.MISSING_VALUE)
    assert flag.clears


def test_what_just_fits_is_taken() -> None:
    job(units=[{"Hinge height": 0.3, "Brace height": 0.31, "Foot depth": 0.41}])
    job(lifts=pile(2, Anchor_spacing=3.0))
    job(units=[{"Anchor depth": 0.99}], lifts=pile(2, Height=1.0))
    job(lifts=pile(2), optional={"Anchor positions": [PLACES | {"Depth": 2.3}]})
    # listed anchors stand where the list says, whatever the spacing
    job(
        lifts=pile(2, Anchor_spacing=3.2),
        optional={"Anchor positions": [PLACES | {"Lift": lift} for lift in (1, 2)]},
    )
    # in the foundation there is no lift to lie in
    job(job={"Foundation strength": (20.0, "MPa")}, units=[{"Anchor depth": 1.2}], lifts=pile(1, Height=1.0))


def test_a_leaning_lift_is_as_high_as_its_slope() -> None:
    # 1 m at 45 degrees are 1.414 m along the face
    job(units=[{"Anchor depth": 1.3}], lifts=pile(2, Height=1.0, Face_inclination=45.0))
    assert faults(units=[{"Anchor depth": 1.42}], lifts=pile(2, Height=1.0, Face_inclination=45.0))


def test_every_lift_whose_anchors_hang_in_the_air_is_named() -> None:
    found = faults(units=[{"Anchor depth": 1.2}], lifts=pile(4, Height=1.0))
    assert [flag.at.row for flag in found] == [3, 4, 5]
