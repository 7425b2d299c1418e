"""Harnfold Power Station on the river Osk, an invented plant: two blocks of its substructure from summer into autumn."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

from filling import BookData

DAY, HOUR = dt.timedelta(days=1), dt.timedelta(hours=1)
FIRST_DAY = dt.datetime(2033, 8, 29, 7, 0)
BLOCKS = {"T1": (0, 18.0, 12.0), "T2": (4, 16.0, 4.4)}
"""Days after the first day, length of the face and thickness in m; T2 is the pier between the draft tubes."""
HEIGHTS = (2.0, 2.5, 3.0, 3.0, 3.0, 2.5)
CYCLES = (7, 8, 9, 9, 9, 9)
"""Days from a lift to the next one."""
BODY, RICH = "B25 fly ash", "B35 rapid"

JOB = {
    "Project": "Harnfold Power Station, river Osk",
    "Structure": "Substructure blocks T1 and T2, downstream face, lifts 1 to 6",
    "Prepared by": "N. A.",
    "Revision": "A",
    "Safety basis": "EN partial factors",
    "Pressure method": "ACI 347R-14 SI",
    "Anchor method": "EN 1992-4:2018",
    "Concrete cracked": "yes",
    "Below-range strength": "indicate",
    "Below-range accepted by": "Pull-out tests PO-3, engineer's letter of 22 August 2033",
    "Working wind": 0.2,
    "Storm wind": 0.6,
    "Stripping strength": 3,
    "Least interval between lifts": 5,
    "Foundation strength": 30,
    "Embed waste": 3,
    "Greatest height difference": 8,
    "Review threshold": 0.90,
    "Heat of hydration": "compute",
    "Heat shown for": "T1/4",
    "Rock temperature": 11,
    "Greatest peak temperature": 65,
    "Greatest core-to-face difference": 25,
    "Greatest cooling after stripping": 18,
    "Insulation tried": 0.8,
}

MIXES = (
    {
        "Mix": BODY, "Unit weight": 23.7, "Strength 28 d": 25, "Strength kind": "cylinder, characteristic",
        "Strength curve": "Hyperbolic", "Ultimate strength": 34, "Rate constant": 0.25, "Strength starts": 14,
        "Cement group": "blend", "Retarder": "yes", "Slump": 70, "Final set": 14, "Set confirmed": "yes",
        "Exposure window": 5, "Vibration depth": 0.5, "Activation temperature": 4600, "Adiabatic rise": 30,
        "Hydration time": 30, "Hydration shape": 0.8, "Cement content": 270, "Conductivity": 2.4, "Specific heat": 1.0,
    },
    {
        "Mix": RICH, "Unit weight": 23.9, "Strength 28 d": 35, "Strength kind": "cylinder, characteristic",
        "Strength curve": "Hyperbolic", "Ultimate strength": 46, "Rate constant": 0.55, "Strength starts": 8,
        "Cement group": "plain", "Retarder": "no", "Slump": 90, "Final set": 8, "Set confirmed": "yes",
        "Exposure window": 3, "Vibration depth": 0.5, "Activation temperature": 4900, "Adiabatic rise": 46,
        "Hydration time": 15, "Hydration shape": 1.0, "Cement content": 370, "Conductivity": 2.4, "Specific heat": 1.0,
    },
)  # fmt: skip

UNITS = (
    {
        "Unit": "S31", "Width": 2.4, "Panel height": 3.15, "Anchors per unit": 2, "Anchor depth": 1.00,
        "Foot depth": 3.90, "Mass": 2700, "Mass offset": 1.2, "Hinge height": 0.3, "Brace height": 2.3,
        "Brace foot offset": 1.6, "Platform width": 1.2, "Platform class": 2, "Permissible pressure": 60,
        "Strongbacks per unit": 2, "Strongback EI": 3200, "Strongback moment": 70, "Strongback shear": 200,
        "Brace capacity": 190, "Lifting capacity": 50, "Form insulation": 0.12,
    },
)  # fmt: skip

ANCHORS = (
    {
        "Anchor": "A36", "Embedment": 700, "Shank diameter": 36, "Head diameter": 120, "Net area": 817,
        "Tensile strength": 1000, "Yield strength": 900, "Rated tension": 250, "Rated shear": 110,
        "Lost parts": "cast-in head; 1 x tie rod 560 mm", "Recovered parts": "anchor bolt; recess former",
    },
)  # fmt: skip

CHANGES: dict[str, dict[str, Any]] = {
    "T1/5": {"Mix": RICH, "Note": "Rapid mix to make up two days"},
    "T2/4": {"Stripped after": 44 * HOUR, "Note": "Units wanted at T1: stripped on the second morning"},
    "T2/6": {"Concrete temperature": 26, "Note": "Ice plant out of order"},
}


def air_on(day: dt.datetime) -> float:
    """Return the daily mean of the air, to half a degree: from 19 degC at the end of August down to 8 degC in October."""
    share = (day - FIRST_DAY) / (56 * DAY)
    return round(2.0 * (19.0 - 11.0 * min(share, 1.0))) / 2.0


def lifts() -> list[dict[str, Any]]:
    """Return the rows of ``Lifts``: the regular programme, then what differs."""
    rows = []
    for block, (start, length, thickness) in BLOCKS.items():
        placed, level = FIRST_DAY + start * DAY, 96.0
        for place, (height, cycle) in enumerate(zip(HEIGHTS, CYCLES, strict=True)):
            changes = dict(CHANGES.get(f"{block}/{place + 1}", {}))
            air = air_on(placed)
            row = {
                "Block": block, "Lift": place + 1, "Height": height, "Face length": length, "Mix": BODY, "Unit": "S31",
                "Anchor": "A36", "Anchor spacing": 1.2, "Placed": placed, "Bottom level": level, "Thickness": thickness,
                "Plan area": length * thickness, "Rise rate": 0.4, "Layer depth": 0.5,
                "Concrete temperature": round(max(air - 1.0, 14.0), 1), "Air temperature": air, "Air swing": 10,
                "End distance": 0.9, "Stripped": placed + changes.pop("Stripped after", 3 * DAY),
                "Hung": placed + (cycle - 2) * DAY if place + 1 < len(HEIGHTS) else None,
            }  # fmt: skip
            rows.append(row | changes)
            placed, level = placed + cycle * DAY, level + height
    return rows


def probe_log() -> list[dict[str, Any]]:
    """Return two probes beside the anchors of lift T1/4, every two hours for three days and a half: colder than computed."""
    placed = next(row["Placed"] for row in lifts() if (row["Block"], row["Lift"]) == ("T1", 4))
    rows = []
    for probe, face, colder in (("P7", 0.35, 0.0), ("P8", 0.40, 0.8)):
        for hour in range(8, 86, 2):
            warmed = 11.0 * (1.0 - math.exp(-((hour / 26.0) ** 1.7))) - 0.08 * max(hour - 52, 0)
            day = 0.5 * math.cos((hour + 7 - 18) * math.pi / 12.0)
            rows.append({
                "Block": "T1", "Lift": 4, "Time": placed + hour * HOUR, "Temperature": round(13.6 + warmed + day - colder, 1),
                "Depth from face": face, "Depth from joint": 0.95, "Probe": probe,
            })  # fmt: skip
    return rows


def book() -> BookData:
    """Return the data of the book."""
    return BookData(
        us=False,
        job=JOB,
        sheets={
            "Mixes": MIXES,
            "Form units": UNITS,
            "Anchor types": ANCHORS,
            "Lifts": lifts(),
            "Probe log": probe_log(),
        },
    )
