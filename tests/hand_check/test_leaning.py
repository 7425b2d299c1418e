"""The chains against the engine where faces lean, projections jut, lower rows pull, bolts stand off, and bars hold the cone."""

from __future__ import annotations

from collections import Counter
from typing import Any

import numpy as np
import pytest
from builders import computed
from hand_books import ANCHORS, BASES, compared, hand_of, random_book

SEEDS = range(12)


def leaning_book(rng: np.random.Generator, anchors: str, basis: str) -> dict[str, Any]:
    """Return a random book whose faces, units and bolts are those that the upright books have not."""
    book = random_book(rng, "ACI 347R-14 SI", anchors, basis)
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


@pytest.fixture(scope="module")
def met() -> Counter[str]:
    return Counter()


@pytest.mark.parametrize("seed", SEEDS)
def test_random_books(seed: int, met: Counter[str]) -> None:
    rng = np.random.default_rng(4400 + seed)
    c = computed(**leaning_book(rng, ANCHORS[seed % 3], BASES[seed // 3 % 3]))
    hand = hand_of(c)
    covered = compared(hand)
    rows = hand.rows
    forces, anchor = rows["Statics covered"] == 1.0, rows["Anchor covered"] == 1.0
    assert covered["statics"] == forces.sum() == (~c.withheld).sum()
    leans = (rows["Face lean [deg]"] != 0.0) | (rows["Carrier lean [deg]"] != 0.0)
    met.update(
        {
            "rows": int(forces.sum()),
            "leaning": int((forces & leans).sum()),
            "leaning anchors": int((anchor & leans).sum()),
            "projections": int((forces & (rows["Projection reach [m]"] > 0.0)).sum()),
            "lower rows": int((anchor & (rows["Is lower row"] == 1.0)).sum()),
            "shear up": int((anchor & (rows["Shear [kN]"] < 0.0)).sum()),
            "partly filled": int((forces & (rows["Filled to [m]"] < rows["Height [m]"])).sum()),
            "levers": int((anchor & (rows["Stand-off [mm]"] > 0.0)).sum()),
            "bars": int((anchor & (rows["Bars"] > 0.0)).sum()),
        }
    )


def test_every_case_was_met(met: Counter[str]) -> None:
    """The random books hold enough of each; run with the others of this module."""
    assert met["rows"] > 300
    for case in (
        "leaning",
        "leaning anchors",
        "projections",
        "lower rows",
        "shear up",
        "partly filled",
        "levers",
        "bars",
    ):
        assert met[case] >= 10, (case, met)


def test_listed_anchors_at_several_depths() -> None:
    """Tension goes to listed anchors by their levers, which is not the width that their shear has."""
    rows = [
        {"Block": "B1", "Lift": lift, "Position": place, "Depth": depth}
        for lift in (2, 3)
        for place in (1.5, 4.5, 7.5, 10.5, 13.5)
        for depth in (0.4, 1.0)
    ]
    c = computed(optional={"Anchor positions": rows})
    hand = hand_of(c)
    assert (hand.rows["Width in tension [m]"] != hand.rows["Width of one anchor [m]"]).any()
    assert compared(hand)["statics"] == (~c.withheld).sum()
