"""Dimension rows of every lift: formed face, lift joint and concrete, each with its drawing, for whoever measures."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sheetengine.columns import months_of, texts
from sheetengine.design.faces import slope_height
from sheetengine.design.result_columns import Columns, keys_of

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation

FACE, JOINT, CONCRETE = "Formed face", "Lift joint", "Concrete"
ITEMS = (FACE, JOINT, CONCRETE)
DESIGNATED = "designated"
NO_AREA = "give Plan area, or Thickness, in Lifts"


def dimension_columns(c: Calculation) -> Columns:
    """Return the rows of ``Dimension rows``, in base units: three a lift, in the order of ``Lifts``.

    A face is measured along its slope, a joint over the plan area of the lift, concrete as plan area times height, net. A
    joint counts for payment where it is designated; the others always, if the contract measures them.
    """
    lifts = c.job.table("Lifts")
    count = len(lifts)
    lift = np.repeat(np.arange(count, dtype=np.int64), len(ITEMS))
    item = np.tile(np.arange(len(ITEMS)), count)
    face, joint, concrete = (item == place for place in range(len(ITEMS)))
    length, height, slope = lifts.number("face_length"), lifts.number("height"), slope_height(c.job)
    given = lifts.given["plan_area"]
    thick = np.where(lifts.given["thickness"], lifts.number("thickness"), np.nan)
    plan = np.where(given, lifts.number("plan_area"), length * thick)
    on_plan = ~face & ~given[lift]
    area = np.where(face, (length * slope)[lift], np.where(joint, plan[lift], np.nan))
    volume = np.where(concrete, (plan * height)[lift], np.nan)
    kind = lifts.label("joint")[lift]
    paid = ~joint | np.array([text == DESIGNATED for text in kind.tolist()], dtype=bool)
    tags = [
        NO_AREA if not known and place != 0 else ("plan area as given" if direct and place != 0 else "")
        for known, direct, place in zip(
            (~np.isnan(plan))[lift].tolist(), given[lift].tolist(), item.tolist(), strict=True
        )
    ]
    return {
        **keys_of(c, lift),
        "Item": texts(ITEMS[place] for place in item.tolist()),
        "Timesing": np.ones(lift.size),
        "Length [m]": np.where(face | on_plan, length[lift], np.nan),
        "Height or width [m]": np.where(face, slope[lift], np.where(on_plan, thick[lift], np.nan)),
        "Depth [m]": np.where(concrete, height[lift], np.nan),
        "Area [m2]": area,
        "Volume [m3]": volume,
        "Area for payment [m2]": np.where(paid, area, 0.0 * area),
        "Volume for payment [m3]": np.where(paid, volume, 0.0 * volume),
        "Joint": texts(
            text if is_joint else "" for text, is_joint in zip(kind.tolist(), joint.tolist(), strict=True)
        ),
        "Remark": texts(tags),
        "Drawing": lifts.label("drawing")[lift],
        "Drawing revision": lifts.label("drawing_revision")[lift],
        "Month": months_of(lifts.number("placed"))[lift],
    }
