"""Brennoch Dam on the river Aldevin, an invented gravity dam: three blocks from autumn into winter."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

from filling import BookData

DAY = dt.timedelta(days=1)
HANG_AT = dt.timedelta(hours=7)
"""Units are hung two days before the next placing, this long after the hour of placing."""
FIRST_DAY = dt.datetime(2031, 10, 20, 7, 0)
BLOCKS = {"M8": (0, 16.0), "M7": (3, 15.0), "M9": (4, 17.0)}
"""Days after the first day, and length of the face in m."""
HEIGHTS = (1.5, 1.5, 3.0, 3.0, 3.0, 2.5, 2.5, 2.5, 2.5, 2.5, 2.5, 1.5)
CYCLES = (11, 8, 8, 9, 8, 7, 7, 7, 8, 9, 9, 9)
"""Days from a lift to the next one."""
BREAK_FROM, BREAK_TO = dt.datetime(2031, 12, 23), dt.datetime(2032, 1, 5)
"""Nothing is placed, stripped or hung between these days."""
FOUNDED_ON = {"M8": 212.0, "M7": 212.0, "M9": 213.5}

MASS, FACING = "M20 mass", "F35 facing"

JOB = {
    "Project": "Brennoch Dam, river Aldevin",
    "Structure": "Gravity blocks M7 to M9, upstream face, lifts 1 to 12",
    "Prepared by": "E. T.",
    "Revision": "C",
    "Safety basis": "EN partial factors",
    "Pressure method": "DIN 18218:2010",
    "Anchor method": "EN 1992-4:2018",
    "Concrete cracked": "yes",
    "Below-range strength": "indicate",
    "Working wind": 0.2,
    "Storm wind": 0.65,
    "Stripping strength": 2.5,
    "Least interval between lifts": 5,
    "Foundation strength": 25,
    "Embed waste": 3,
    "Greatest height difference": 9,
    "Crane hours per move": 0.6,
    "Offset tolerance": 6,
    "Review threshold": 0.90,
    "Rigging mass": 200,
    "Crane wind limit": 14,
}

MIXES = (
    {
        "Mix": MASS, "Unit weight": 23.6, "Strength 28 d": 20, "Strength kind": "cylinder, characteristic",
        "Strength curve": "Fitted to specimens", "Cement group": "high blend", "Retarder": "yes", "Consistency class": "F2",
        "Slump": 60, "Final set": 17, "Set confirmed": "yes", "Exposure window": 6, "Vibration depth": 0.5,
        "Activation temperature": 4800, "Adiabatic rise": 26, "Cement content": 220,
    },
    {
        "Mix": FACING, "Unit weight": 23.8, "Strength 28 d": 35, "Strength kind": "cylinder, characteristic",
        "Strength curve": "Hyperbolic", "Ultimate strength": 42, "Rate constant": 0.40,
        "Strength starts": 12, "Cement group": "blend", "Retarder": "yes", "Consistency class": "F2",
        "Slump": 80, "Final set": 14, "Set confirmed": "yes", "Exposure window": 5, "Vibration depth": 0.5,
        "Activation temperature": 4800, "Adiabatic rise": 38, "Cement content": 330,
    },
)  # fmt: skip

UNITS = (
    {
        "Unit": "P25", "Width": 3.0, "Panel height": 2.6, "Anchors per unit": 3, "Anchor depth": 0.90,
        "Foot depth": 3.40, "Mass": 2500, "Mass offset": 1.15, "Hinge height": 0.3, "Brace height": 1.9,
        "Brace foot offset": 1.4, "Platform width": 1.2, "Platform class": 2, "Permissible pressure": 48,
        "Strongbacks per unit": 2, "Strongback EI": 2500, "Strongback moment": 55, "Strongback shear": 160,
        "Brace capacity": 140, "Lifting capacity": 50,
    },
    {
        "Unit": "P30", "Width": 2.7, "Panel height": 3.1, "Anchors per unit": 3, "Anchor depth": 1.00,
        "Foot depth": 3.95, "Mass": 3200, "Mass offset": 1.25, "Hinge height": 0.3, "Brace height": 2.3,
        "Brace foot offset": 1.6, "Platform width": 1.2, "Platform class": 2, "Permissible pressure": 48,
        "Strongbacks per unit": 2, "Strongback EI": 2500, "Strongback moment": 55, "Strongback shear": 160,
        "Brace capacity": 170, "Lifting capacity": 60,
    },
)  # fmt: skip

ANCHORS = (
    {
        "Anchor": "A30", "Embedment": 600, "Shank diameter": 30, "Head diameter": 110, "Net area": 561,
        "Tensile strength": 1000, "Yield strength": 900, "Rated tension": 150, "Rated shear": 80,
        "Lost parts": "cast-in head; 1 x tie rod 480 mm", "Recovered parts": "anchor bolt; recess former",
    },
    {
        "Anchor": "A36", "Embedment": 700, "Shank diameter": 36, "Head diameter": 120, "Net area": 817,
        "Tensile strength": 1000, "Yield strength": 900, "Rated tension": 220, "Rated shear": 110,
        "Lost parts": "cast-in head; 1 x tie rod 560 mm", "Recovered parts": "anchor bolt; recess former",
    },
)  # fmt: skip


CRANE = "T1, jib 50 m"
CRANES = tuple(
    {"Crane": CRANE, "Radius": radius, "Capacity": tonnes}
    for radius, tonnes in ((15, 12.0), (25, 7.0), (35, 4.6), (45, 3.2))
)
PICK_RADII = {"M8": 28, "M7": 22, "M9": 41}
"""From the crane's axis to the far end of each block, in m; M9 is at the edge of what it reaches."""

CHANGES: dict[str, dict[str, Any]] = {
    "M9/1": {"Hung": dt.datetime(2031, 10, 30, 14, 0), "Note": "Hung early: crane free on 30 October only"},
    "M7/6": {
        "Plan area": 105,
        "Rise rate": 1.4,
        "Note": "Upstream part of the block only, at full plant output",
    },
    "M7/8": {"Layer depth": 1.6, "Note": "Placed in deep layers, one buggy crew only"},
    "M8/7": {"Air temperature": 1, "Air swing": 8, "Note": "Cold spell forecast; joint not covered"},
    "M8/9": {"Mix": MASS, "Note": "Mass mix up to the face; probe at the anchors"},
    "M7/9": {"Mix": MASS, "Note": "Mass mix up to the face; probe at the anchors"},
    "M9/9": {"Mix": MASS, "Note": "Mass mix up to the face; probe left in the core"},
    "M9/10": {"Anchor spacing": 0.8, "Note": "Spacing closed up over the drain niche"},
    "M8/5": {"Lean-in set": -3, "Note": "Gallery opening: see Anchor positions"},
    "M8/12": {"Face inclination": -5, "Note": "Crest: face battered back by 5 degrees"},
    "M7/12": {
        "Air temperature": -2,
        "Air swing": 10,
        "Stripped": dt.datetime(2032, 2, 16, 7, 0),
        "Projection reach": 0.9,
        "Projection thickness": 0.45,
        "Projection tip thickness": 0.25,
        "Note": "Footway bracket out of the crest; hard frost, stripped after ten days or later",
    },
    "M9/12": {
        "Air temperature": -2,
        "Air swing": 10,
        "Stripped": dt.datetime(2032, 2, 17, 7, 0),
        "Rise rate": 8.0,
        "Face length": 4.0,
        "Thickness": 1.5,
        "Plan area": 6.0,
        "Note": "Closure at the crest, filled by pump in a quarter of an hour",
    },
}


def worked(day: dt.datetime) -> dt.datetime:
    """Return the day, moved behind the winter break where it falls into it or after it."""
    return day if day < BREAK_FROM else day + (BREAK_TO - BREAK_FROM)


def air_on(day: dt.datetime) -> float:
    """Return the daily mean of the air, to half a degree: from 12 degC in October down to 2 degC in January."""
    share = (day - FIRST_DAY) / (90 * DAY)
    return round(2.0 * (12.0 - 10.0 * min(share, 1.0))) / 2.0


def lifts() -> list[dict[str, Any]]:
    """Return the rows of ``Lifts``: the regular programme, then what differs."""
    rows = []
    for block, (start, length) in BLOCKS.items():
        day, level = FIRST_DAY + start * DAY, FOUNDED_ON[block]
        for place, (height, cycle) in enumerate(zip(HEIGHTS, CYCLES, strict=True)):
            tall = height > 2.5
            placed = worked(day)
            air = air_on(placed)
            row = {
                "Block": block, "Lift": place + 1, "Height": height, "Face length": length,
                "Mix": MASS if place == 0 else FACING, "Unit": "P30" if tall else "P25",
                "Anchor": "A36" if height > 1.5 else "A30", "Anchor spacing": 0.9 if tall else 1.0, "Placed": placed,
                "Bottom level": level, "Plan area": length * (28.0 - place),
                "Rise rate": 0.30 if height > 1.5 else 0.25, "Layer depth": 0.5, "Concrete temperature": max(air + 4, 12),
                "Air temperature": air, "Air swing": 8 if air > 6 else 6, "End distance": 0.75,
                "Stripped": worked(day + 3 * DAY),
                "Hung": worked(day + (cycle - 2) * DAY + HANG_AT) if place + 1 < len(HEIGHTS) else None,
                "Crane": CRANE, "Pick radius": PICK_RADII[block],
            }  # fmt: skip
            rows.append(row | CHANGES.get(f"{block}/{place + 1}", {}))
            day, level = day + cycle * DAY, level + height
    return rows


def probe_log() -> list[dict[str, Any]]:
    """Return hourly readings: warm concrete cooling to the air, with a gap and a broken reading in the first log."""
    placed = {f"{row['Block']}/{row['Lift']}": (row["Placed"], row["Air temperature"]) for row in lifts()}
    rows: list[dict[str, Any]] = []
    for name, (face, joint, rise) in {
        "M8/9": (0.55, 0.95, 19.0), "M7/9": (0.50, 0.90, 18.0), "M9/9": (4.00, 1.20, 28.0),
    }.items():  # fmt: skip
        block, lift = name.split("/")
        start, air = placed[name]
        for hour in range(9, 226):
            if name == "M8/9" and 100 <= hour < 109:
                continue
            age = hour / 40.0
            heat = rise * age * math.exp(1.0 - age) if age < 1.0 else rise * math.exp(-((hour - 40) / 600.0))
            swing = 0.6 * math.cos((hour + 7 - 17) * math.pi / 12.0)
            reading = round(air + 4.0 + heat + swing, 1)
            if name == "M8/9" and hour == 61:
                reading = 850.0
            rows.append({
                "Block": block, "Lift": int(lift), "Time": start + dt.timedelta(hours=hour),
                "Temperature": reading, "Depth from face": face, "Depth from joint": joint,
            })  # fmt: skip
    return rows


CURED_AT = {8: (2, 3, 5, 7, 14, 28, 56), 20: (1, 2, 3, 5, 7, 14, 28, 90), 35: (1, 2, 3, 5, 7, 14, 28)}
"""Ages in days of the mass mix's trial specimens, by curing temperature in degC; two cubes each."""


def specimens() -> list[dict[str, Any]]:
    """Return cubes of the mass mix: a hyperbola at 20 degC, ripening by Arrhenius, with a scatter of about a megapascal."""
    rows: list[dict[str, Any]] = []
    for bath, ages in CURED_AT.items():
        rate = math.exp(-4700.0 * (1.0 / (bath + 273.15) - 1.0 / 293.15))
        for age in ages:
            for twin in "ab":
                hardened = 0.22 * max(age * rate - 0.6, 0.0)
                scatter = 0.9 * math.sin(37.0 * len(rows) + 1.0)
                rows.append({
                    "Mix": MASS, "Age": age, "Curing temperature": bath,
                    "Strength": round(33.0 * hardened / (1.0 + hardened) + scatter * min(1.0, 0.4 + age * rate / 7.0), 1),
                    "Strength kind": "cube, mean", "Specimen": f"TM-{bath}-{age}{twin}", "Note": "Trial mix, batch 2",
                })  # fmt: skip
    return rows


def anchor_positions() -> list[dict[str, Any]]:
    """Return the anchors of lift M8/5: a row from each end, and a gap of 2 m at the gallery opening."""
    from_end = [0.75 + 6.25 / 7.0 * place for place in range(8)]
    along = from_end + [16.0 - position for position in reversed(from_end)]
    return [{"Block": "M8", "Lift": 5, "Position": round(position, 3)} for position in along]


def bars() -> list[dict[str, Any]]:
    """Return the bar schedule: starters, face mesh from the gallery up, gallery frames, crest."""
    rows: list[dict[str, Any]] = []

    def bar(
        block: str, lift: int, mark: str, size: int, shape: int, members: int, each: int, **legs: float
    ) -> None:
        rows.append({"Block": block, "Lift": lift, "Bar mark": mark, "Size": size, "Shape code": shape,
                     "Members": members, "Bars per member": each,
                     **{name.replace("_", " "): value for name, value in legs.items()}})  # fmt: skip

    for block, (_, length) in BLOCKS.items():
        each = round(length / 0.25)
        bar(block, 1, "1S", 25, 11, 1, each, A=1200, B=600)
        bar(block, 2, "2V", 20, 0, 1, each, A=3000)
        for lift in (3, 4, 6, 8, 10):
            bar(block, lift, f"{lift}V", 20, 0, 1, each, A=4100 if lift < 5 else 3600)
            bar(block, lift, f"{lift}H", 16, 0, 2, 10, A=round(length * 500) + 350)
        closure = block == "M9"
        bar(block, 12, "12U", 20, 21, 1, 16 if closure else each, A=1200, B=900, C=1200)
        bar(block, 12, "12H", 16, 0, 2, 4, A=3900 if closure else round(length * 500) + 350)
    bar("M8", 4, "G1", 25, 21, 2, 12, A=2400, B=3200, C=2400)
    bar("M8", 4, "G2", 16, 0, 2, 14, A=5900)
    bar("M8", 5, "G3", 32, 11, 2, 10, A=3000, B=1100)
    bar("M8", 5, "G4", 25, 12, 2, 8, A=1500, B=1500, Bend_radius=60)
    bar("M8", 5, "G5", 12, 51, 2, 26, A=450, B=300, C=160)
    bar("M8", 5, "G6", 16, 99, 1, 12, A=900, B=500, C=900, D=450)
    bar("M9", 10, "N1", 16, 26, 2, 9, A=700, B=420, C=900)
    bar("M9", 10, "N2", 12, 51, 2, 14, A=350, B=250, C=160)
    return rows


def embeds() -> list[dict[str, Any]]:
    """Return what is cast in besides the anchors."""
    rows = []
    for block in BLOCKS:
        for lift, height in enumerate(HEIGHTS, start=1):
            rows.append(
                {"Block": block, "Lift": lift, "Item": "waterstop clip", "Count": math.ceil(2 * height / 0.3)}
            )
            if lift % 2:
                rows.append({"Block": block, "Lift": lift, "Item": "drain sleeve DN 150", "Count": 5,
                             "Measured for payment": "yes"})  # fmt: skip
            if 3 <= lift <= 9:
                rows.append({"Block": block, "Lift": lift, "Item": "cooling-pipe end", "Count": 4})
            if block != "M9":
                rows.append({"Block": block, "Lift": lift, "Item": "contraction-joint key", "Count": 2,
                             "Fate": "recovered"})  # fmt: skip
    return rows


STOCK = (
    {"Item": "A30, cast-in head", "On hand": 200},
    {"Item": "A30, tie rod 480 mm", "On hand": 200},
    {"Item": "A30, anchor bolt", "On hand": 120},
    {"Item": "A30, recess former", "On hand": 120},
    {"Item": "A36, cast-in head", "On hand": 500},
    {"Item": "A36, tie rod 560 mm", "On hand": 700},
    {"Item": "A36, anchor bolt", "On hand": 160},
    {"Item": "A36, recess former", "On hand": 160},
    {"Item": "waterstop clip", "On hand": 650},
    {"Item": "drain sleeve DN 150", "On hand": 100},
    {"Item": "cooling-pipe end", "On hand": 84},
    {"Item": "contraction-joint key", "On hand": 60},
)


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
            "Anchor positions": anchor_positions(),
            "Probe log": probe_log(),
            "Bars": bars(),
            "Embeds": embeds(),
            "Stock": STOCK,
            "Cranes": CRANES,
            "Specimens": specimens(),
        },
    )
