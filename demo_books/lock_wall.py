"""Pellamere Lock on the Dunnavale River, an invented lock: three wall monoliths in spring, US units."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

from filling import BookData

DAY = dt.timedelta(days=1)
FIRST_DAY = dt.datetime(2032, 3, 29, 6, 30)
MONOLITHS = {"L-14": (0, 48.0, 46.0), "L-15": (3, 54.0, 48.0), "L-16": (5, 48.0, 46.0)}
"""Days after the first day, length of the face and thickness at the base in ft."""
HEIGHTS = (5.0, 7.5, 7.5, 10.0, 9.0, 7.5, 7.5, 5.0)
CYCLES = (6, 6, 9, 9, 7, 6, 6, 6)
"""Days from a lift to the next one."""
HURRIED = {("L-16", 3): 5}
"""Cycles that the programme shortens, by monolith and lift."""
WALL, CROWN = "W50 Type II", "C40 slag"

JOB = {
    "Project": "Pellamere Lock, Dunnavale River",
    "Structure": "Land wall monoliths L-14 to L-16, chamber face, lifts 1 to 8",
    "Prepared by": "R. M.",
    "Checked by": "K. O.",
    "Revision": "2",
    "Safety basis": "ACI service load",
    "Pressure method": "ACI 347R-14 inch-pound",
    "Anchor method": "ACI 318-19",
    "Concrete cracked": "yes",
    "Below-range strength": "indicate",
    "Below-range accepted by": "Pull-out tests PT-07, engineer's letter of 12 March 2032",
    "Working wind": 4.2,
    "Storm wind": 16,
    "Stripping strength": 350,
    "Least interval between lifts": 5,
    "Foundation strength": 4000,
    "Embed waste": 5,
    "Greatest height difference": 30,
    "Review threshold": 0.90,
}

MIXES = (
    {
        "Mix": WALL, "Unit weight": 148, "Strength 28 d": 5000, "Strength kind": "cylinder, characteristic",
        "Strength curve": "ACI 209R", "Constant a": 4.0, "Constant b": 0.85, "Cement group": "plain",
        "Retarder": "yes", "Slump": 3, "Final set": 9, "Set confirmed": "yes", "Exposure window": 3,
        "Vibration depth": 3, "Maturity function": "Nurse-Saul", "Datum temperature": 32, "Reference temperature": 73,
        "Cement content": 520,
    },
    {
        "Mix": CROWN, "Unit weight": 146, "Strength 28 d": 4000, "Strength kind": "cylinder, characteristic",
        "Strength curve": "Hyperbolic", "Ultimate strength": 4900, "Rate constant": 0.28,
        "Strength starts": 10, "Cement group": "blend", "Retarder": "yes", "Slump": 4, "Final set": 11,
        "Set confirmed": "yes", "Exposure window": 4, "Vibration depth": 3, "Activation temperature": 5000,
        "Reference temperature": 73, "Cement content": 560,
    },
)  # fmt: skip

UNITS = (
    {
        "Unit": "W8", "Width": 9, "Panel height": 8, "Anchors per unit": 3, "Anchor depth": 3.0,
        "Foot depth": 11.0, "Mass": 5600, "Mass offset": 3.8, "Platform width": 4, "Platform class": 3,
        "Hinge height": 1.0, "Brace height": 6.0, "Brace foot offset": 4.5, "Strongbacks per unit": 3,
        "Strongback EI": 9000, "Strongback moment": 30, "Brace capacity": 30,
        "Set-back travel": 2.5, "Permissible pressure": 1000, "Lifting capacity": 14,
    },
    {
        "Unit": "W10", "Width": 9, "Panel height": 10.5, "Anchors per unit": 3, "Anchor depth": 3.5,
        "Foot depth": 13.5, "Mass": 7400, "Mass offset": 4.2, "Platform width": 4, "Platform class": 3,
        "Hinge height": 1.0, "Brace height": 8.0, "Brace foot offset": 5.5, "Strongbacks per unit": 3,
        "Strongback EI": 9000, "Strongback moment": 30, "Brace capacity": 35,
        "Set-back travel": 2.5, "Permissible pressure": 1000, "Lifting capacity": 18,
    },
    {
        "Unit": "L5", "Width": 9, "Panel height": 5.5, "Anchors per unit": 3, "Anchor depth": 2.0,
        "Foot depth": 7.0, "Mass": 1500, "Mass offset": 1.9, "Set-back travel": 2.0,
        "Permissible pressure": 900, "Lifting capacity": 5,
    },
)  # fmt: skip

ANCHORS = (
    {
        "Anchor": "H125", "Embedment": 20, "Shank diameter": 1.25, "Head diameter": 4.0, "Net area": 0.969,
        "Tensile strength": 120, "Yield strength": 92, "Ductile steel": "yes", "Rated tension": 30,
        "Rated shear": 15, "Lost parts": "cast-in head; 1 x tie rod 18 in",
        "Recovered parts": "anchor bolt; recess former",
    },
    {
        "Anchor": "H150", "Embedment": 25, "Shank diameter": 1.5, "Head diameter": 4.75, "Net area": 1.405,
        "Tensile strength": 120, "Yield strength": 92, "Ductile steel": "yes", "Rated tension": 45,
        "Rated shear": 20, "Lost parts": "cast-in head; 1 x tie rod 23 in",
        "Recovered parts": "anchor bolt; recess former",
    },
)  # fmt: skip

CHANGES: dict[str, dict[str, Any]] = {
    "L-14/3": {"Note": "=1+1"},
    "L-15/7": {"Placing rate": 230, "Note": "Two conveyors at once"},
    "L-16/4": {"Note": "Placed four days sooner to free the crane"},
    "L-16/2": {
        "Stripped": dt.datetime(2032, 4, 9, 18, 30),
        "Note": "Night shift asks to strip after 12 hours",
    },
    "L-16/6": {"Placing rate": None, "Rise rate": 2.5, "Note": "Culvert: rate of rise set by the engineer"},
}


def air_on(day: dt.datetime) -> float:
    """Return the daily mean of the air in degF: from 52 at the end of March to 68 in the middle of May."""
    return round(52.0 + 16.0 * min((day - FIRST_DAY) / (48 * DAY), 1.0))


def unit_of(height: float) -> tuple[str, str]:
    """Return unit and anchor for a lift of the height in ft."""
    if height > 8.0:
        return "W10", "H150"
    return ("W8", "H150") if height > 5.0 else ("L5", "H125")


def lifts() -> list[dict[str, Any]]:
    """Return the rows of ``Lifts``: the regular programme, then what differs."""
    rows = []
    for monolith, (start, length, base) in MONOLITHS.items():
        placed, level = FIRST_DAY + start * DAY, 402.0
        for place, (height, cycle) in enumerate(zip(HEIGHTS, CYCLES, strict=True)):
            thick = base - 4.5 * place
            unit, anchor = unit_of(height)
            air = air_on(placed)
            row = {
                "Block": monolith, "Lift": place + 1, "Height": height, "Face length": length,
                "Mix": CROWN if place >= 6 else WALL, "Unit": unit, "Anchor": anchor, "Anchor spacing": 3.0,
                "Placed": placed, "Bottom level": level, "Thickness": thick, "Plan area": length * thick,
                "Placing rate": 100, "Layer depth": 1.5, "Concrete temperature": max(air + 3, 60), "Air temperature": air,
                "Air swing": 18, "End distance": 2.5 if height > 5.0 else 1.75,
                "Stripped": placed + 36 * DAY / 24,
                "Hung": placed + 3 * DAY if place + 1 < len(HEIGHTS) else None,
            }  # fmt: skip
            rows.append(row | CHANGES.get(f"{monolith}/{place + 1}", {}))
            placed += HURRIED.get((monolith, place + 1), cycle) * DAY
            level += height
    return rows


def bars() -> list[dict[str, Any]]:
    """Return the bar schedule: dowels, face bars, culvert frames, crown; lengths in inches."""
    rows: list[dict[str, Any]] = []

    def bar(
        block: str, lift: int, mark: str, size: str, shape: int, members: int, each: int, **legs: float
    ) -> None:
        rows.append({"Block": block, "Lift": lift, "Bar mark": mark, "Size": size, "Shape code": shape,
                     "Members": members, "Bars per member": each,
                     **{name.replace("_", " "): value for name, value in legs.items()}})  # fmt: skip

    for monolith, (_, length, _) in MONOLITHS.items():
        each = round(length)
        bar(monolith, 1, "D1", "#8", 11, 1, each, A=72, B=20)
        for lift in range(2, 8):
            bar(monolith, lift, f"V{lift}", "#8", 0, 1, each, A=round(12 * HEIGHTS[lift - 1]) + 48)
            bar(
                monolith, lift, f"H{lift}", "#6", 0, 2, math.ceil(HEIGHTS[lift - 1]), A=round(6 * length) + 22
            )
        bar(monolith, 8, "C1", "#6", 21, 1, each, A=52, B=40, C=52)
        bar(monolith, 8, "C2", "#5", 0, 2, 5, A=round(6 * length) + 18)
    bar("L-16", 6, "K1", "#8", 21, 2, 10, A=96, B=84, C=96)
    bar("L-16", 6, "K2", "#5", 51, 2, 18, A=24, B=18, C=9)
    bar("L-16", 6, "K3", "#6", 11, 4, 12, A=60, B=30, Bend_radius=1.5)
    return rows


def embeds() -> list[dict[str, Any]]:
    """Return what is cast in besides the anchors."""
    rows = []
    for monolith in MONOLITHS:
        for lift, height in enumerate(HEIGHTS, start=1):
            rows.append(
                {"Block": monolith, "Lift": lift, "Item": "waterstop clip", "Count": math.ceil(2 * height)}
            )
            if lift in (3, 6):
                rows.append({"Block": monolith, "Lift": lift, "Item": "line hook recess plate", "Count": 2,
                             "Measured for payment": "yes"})  # fmt: skip
            if lift > 1:
                rows.append({"Block": monolith, "Lift": lift, "Item": "wall armor strip", "Count": 3,
                             "Measured for payment": "yes"})  # fmt: skip
        rows.append(
            {
                "Block": monolith,
                "Lift": 8,
                "Item": "handrail socket",
                "Count": 9,
                "Measured for payment": "yes",
            }
        )
    return rows


STOCK = (
    {"Item": "H125, cast-in head", "On hand": 120},
    {"Item": "H125, tie rod 18 in", "On hand": 120},
    {"Item": "H125, anchor bolt", "On hand": 60},
    {"Item": "H125, recess former", "On hand": 60},
    {"Item": "H150, cast-in head", "On hand": 400},
    {"Item": "H150, tie rod 23 in", "On hand": 400},
    {"Item": "H150, anchor bolt", "On hand": 80},
    {"Item": "H150, recess former", "On hand": 120},
    {"Item": "waterstop clip", "On hand": 400},
    {"Item": "line hook recess plate", "On hand": 13},
    {"Item": "wall armor strip", "On hand": 70},
    {"Item": "handrail socket", "On hand": 30},
)


POSITIONS = tuple(round(2.5 + 43.0 / 15.0 * number, 2) for number in range(16))
"""Where the anchors of L-14 stand, in ft from the left end."""
LEVELS = {
    1: ((0.0, 0.0), (1.5, 1.8), (3.0, 3.7), (4.1, 5.0)),
    2: ((0.0, 0.0), (1.5, 2.1), (3.0, 4.1), (4.5, 6.2), (5.5, 7.5)),
    3: ((0.0, 0.0), (1.5, 2.2), (3.0, 4.6), (4.6, 4.6), (5.0, 7.5)),
}
"""Hours and levels of the first lifts of L-14 in ft; the third stopped and was then placed too fast."""


def as_built() -> list[dict[str, Any]]:
    """Return the survey of the anchors in the first lifts of L-14: one stands at an angle."""
    rows = [
        {"Block": "L-14", "Lift": lift, "Position": place, "State": "placed"}
        for lift in (1, 2)
        for place in POSITIONS
    ]
    rows[16 + 6] |= {"State": "out of line", "Angle": 9, "Remark": "pushed by the vibrator, head not reached"}
    return rows


def lift_record() -> list[dict[str, Any]]:
    """Return levels and temperatures of the first lifts of L-14 as they were placed."""
    starts = {row["Lift"]: row["Placed"] for row in lifts() if row["Block"] == "L-14"}
    return [
        {"Block": "L-14", "Lift": lift, "Time": starts[lift] + dt.timedelta(hours=hour), "Level": level, "Concrete temperature": 64,
         "Slump": 2.5, "Remark": "pump blocked" if (lift, hour) == (3, 4.6) else None}
        for lift, levels in LEVELS.items()
        for hour, level in levels
    ]  # fmt: skip


def releases() -> list[dict[str, Any]]:
    """Return what is on file for the second and the third lift of L-14."""
    starts = {row["Lift"]: row["Placed"] for row in lifts() if row["Block"] == "L-14"}
    points = (("HP0", "brief"), ("HP1", "check certificate"), ("HP2", "survey"), ("HP3", "maturity"), ("HP3", "specimens"),
              ("HP4", "inspection"), ("HP5", "count"), ("HP6", "permit"))  # fmt: skip
    rows = []
    for lift, last in ((2, 8), (3, 6)):
        for place, (point, evidence) in enumerate(points[:last]):
            proof = {"maturity": 2250, "specimens": 2310}.get(evidence)
            rows.append({
                "Block": "L-14", "Lift": lift, "Hold point": point, "Evidence": evidence, "Value": proof,
                "Released by": None if evidence == "maturity" else "T. O.", "Reference": f"{point}-14/{lift}",
                "Time": starts[lift] - dt.timedelta(hours=2 * (len(points) - place)),
            })  # fmt: skip
    return rows


def book() -> BookData:
    """Return the data of the book."""
    return BookData(
        us=True,
        job=JOB,
        sheets={
            "Mixes": MIXES,
            "Form units": UNITS,
            "Anchor types": ANCHORS,
            "Lifts": lifts(),
            "Bars": bars(),
            "Embeds": embeds(),
            "Stock": STOCK,
            "As built": as_built(),
            "Lift record": lift_record(),
            "Releases": releases(),
        },
    )
