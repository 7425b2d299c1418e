"""Random books, and every line of the hand check held against the engine."""

from __future__ import annotations

import math
from collections import Counter
from typing import Any

import numpy as np
import pytest
from builders import pile

from sheetengine.design.hand_rows import first_shown, gate_rows, hand_rows
from sheetengine.hand_check.data import HandCheck

CLOSE = 1e-9
PRESSURES = (
    "ACI 347R-14 SI", "ACI 347R-14 inch-pound", "DIN 18218:2010", "CIRIA R108", "GB 50666-2011", "JGJ 162-2008", "Full head",
)  # fmt: skip
ANCHORS = ("EN 1992-4:2018", "ACI 318-19", "ACI 318M-19")
CLUSTERED_LENGTH = 9.0
"""Length in m of the faces whose anchors stand in clusters."""
BASES = ("EN partial factors", "ACI service load", "ACI strength")


def hand_of(c: Any) -> HandCheck:
    return HandCheck(
        hand_rows(c),
        gate_rows(c),
        {},
        first_shown(c),
        c.job.text("Pressure method"),
        c.job.text("Anchor method"),
    )


def compared(hand: HandCheck) -> Counter[str]:
    """Hold every line of every covered row against the engine; return how many rows each chain covers."""
    covered: Counter[str] = Counter()
    for chain in hand.chains:
        data = hand.gates if chain.key == "gate" else hand.rows
        for item in np.flatnonzero(data[chain.applies] == 1.0).tolist():
            row = {
                name: str(values[item]) if values.dtype.kind in "OU" else float(values[item])
                for name, values in data.items()
            }
            known = chain.values(row)
            for step in chain.steps:
                if not step.engine or step.engine not in row:
                    continue
                engine, value = row[step.engine], known[step.symbol]
                assert isinstance(engine, float) and isinstance(value, float)
                if not math.isnan(engine):
                    assert value == pytest.approx(engine, rel=CLOSE, abs=1e-12), (
                        row["Row of the check"],
                        chain.name,
                        step.symbol,
                    )
            covered[chain.name] += 1
    return covered


def random_book(rng: np.random.Generator, pressures: str, anchors: str, basis: str) -> dict[str, Any]:
    """Return sheets of a book with three blocks of random lifts."""

    def pick(*words: Any) -> Any:
        return words[int(rng.integers(len(words)))]

    lifts = []
    for block in ("B1", "B2", "B3"):
        for lift in pile(4, block=block, interval=float(rng.uniform(4.0, 9.0)), strip=1.5, hang=2.0):
            lifts.append(
                lift
                | {
                    "Height": float(rng.uniform(1.5, 3.1)),
                    "Face length": float(pick(1.8, 9.0, 16.0)),
                    "Thickness": float(pick(1.6, 6.0)),
                    "Rise rate": float(rng.uniform(0.2, 6.0)),
                    "Concrete temperature": float(rng.uniform(6.0, 30.0)),
                    "Anchor spacing": float(rng.uniform(0.7, 1.6)),
                    "End distance": float(rng.uniform(0.12, 0.9)),
                    "Layer depth": pick(None, 0.5),
                    "Mix": pick("M1", "M2", "M3"),
                    "Unit": pick("U1", "U2"),
                    "Anchor": pick("A1", "A2", "A3"),
                }
            )
    mixes = [
        {
            "Mix": f"M{number}",
            "Unit weight": float(rng.uniform(21.0, 25.5)),
            "Cement group": pick("plain", "blend", "high blend"),
            "Retarder": pick("yes", "no"),
            "Slump": float(rng.uniform(20.0, 170.0)),
            "Consistency class": pick("F1", "F2", "F3", "F4", "F5", "F6", "SCC"),
            "Final set": pick(6.0, 9.5),
            "Strength class": pick("S", "N", "R"),
            "Strength 28 d": float(rng.uniform(20.0, 40.0)),
            "Set confirmed": pick("yes", "yes", "no"),
        }
        for number in (1, 2, 3)
    ]
    units = [
        {
            "Unit": f"U{number}",
            "Mass": float(rng.uniform(600.0, 3000.0)),
            "Mass offset": float(rng.uniform(0.0, 1.2)),
            "Anchor depth": float(rng.uniform(0.15, 0.6)),
            "Foot depth": float(rng.uniform(1.2, 2.6)),
            "Platform class": int(rng.integers(1, 7)),
            "Platform width": float(pick(0.0, 0.8, 1.4)),
            "Set-back travel": float(pick(0.0, 0.7)),
        }
        for number in (1, 2)
    ]
    types = [
        {
            "Anchor": f"A{number}",
            "Embedment": float(rng.uniform(50.0, 700.0)),
            "Shank diameter": diameter,
            "Head diameter": diameter * float(rng.uniform(1.8, 3.2)),
            "Net area": 0.75 * diameter**2,
            "Tensile strength": float(pick(450.0, 800.0, 1000.0)),
            "Yield strength": float(pick(300.0, 440.0)),
            "Rated tension": pick(None, 120.0),
            "Rated shear": pick(None, 60.0),
        }
        for number, diameter in enumerate((16.0, 26.0, 36.0), start=1)
    ]
    settings = {
        "Pressure method": pressures, "Anchor method": anchors, "Safety basis": basis, "Concrete cracked": pick("yes", "no"),
        "Foundation strength": (25.0, "MPa"), "Working wind": (float(rng.uniform(0.0, 0.5)), "kPa"),
    }  # fmt: skip
    return {"job": settings, "lifts": lifts, "mixes": mixes, "units": units, "anchors": types}


def leaning_book(
    rng: np.random.Generator, anchors: str, basis: str, pressures: str = "ACI 347R-14 SI"
) -> dict[str, Any]:
    """Return a random book whose faces, units and bolts are those that the upright books have not."""
    book = random_book(rng, pressures, anchors, basis)
    for number, lift in enumerate(book["lifts"]):
        lift["Face inclination"] = float(rng.uniform(-40.0, 40.0)) if rng.random() < 0.75 else 0.0
        if number % 4 == 2:
            lift |= {
                "Projection reach": float(rng.uniform(0.4, 2.0)), "Projection thickness": float(rng.uniform(0.3, 0.7)),
                "Projection tip thickness": float(rng.uniform(0.1, 0.3)),
            }  # fmt: skip
    for unit in book["units"]:
        unit["Lower row"] = ("bearing", "anchored")[int(rng.integers(2))]
    for kind in book["anchors"]:
        kind |= {"Stand-off": float(rng.uniform(5.0, 60.0)) if rng.random() < 0.4 else 0.0}
        if rng.random() < 0.5:
            kind |= {
                "Supplementary bars": int(rng.integers(2, 5)), "Supplementary diameter": float((12.0, 16.0)[int(rng.integers(2))]),
                "Supplementary length": float(rng.uniform(100.0, 300.0)), "Supplementary yield": 500.0,
            }  # fmt: skip
    return book


def clustered(rng: np.random.Generator, depth: float) -> list[tuple[float, float]]:
    """Return position and depth of anchors in clusters of two to four along a face; one beside an end of it."""
    found = []
    for middle in (float(rng.uniform(0.12, 0.3)), 3.0, 6.0, CLUSTERED_LENGTH - float(rng.uniform(0.3, 0.6))):
        for _ in range(int(rng.integers(2, 5))):
            along = float(np.clip(middle + rng.uniform(-0.3, 0.3), 0.08, CLUSTERED_LENGTH - 0.08))
            found.append((round(along, 3), round(depth + float(rng.uniform(-0.08, 0.08)), 3)))
    return found


def clustered_book(rng: np.random.Generator, anchors: str, basis: str) -> dict[str, Any]:
    """Return a random book whose anchors are listed in clusters, some of its faces leaning, some of its bolts with bars."""
    book = random_book(rng, "ACI 347R-14 SI", anchors, basis)
    rows = []
    for lift in book["lifts"]:
        lift |= {"Face length": CLUSTERED_LENGTH, "Thickness": float(rng.uniform(1.0, 4.0))}
        if rng.random() < 0.4:
            lift["Face inclination"] = float(rng.uniform(-35.0, 35.0))
        for along, depth in clustered(rng, float(rng.uniform(0.12, 0.5))):
            rows.append({"Block": lift["Block"], "Lift": lift["Lift"], "Position": along, "Depth": depth})
    for kind in book["anchors"]:
        kind["Embedment"] = float(rng.uniform(150.0, 600.0))
        if rng.random() < 0.3:
            kind |= {
                "Supplementary bars": 2, "Supplementary diameter": 12.0, "Supplementary length": 150.0, "Supplementary yield": 500.0,
            }  # fmt: skip
    return book | {"optional": {"Anchor positions": rows}}
