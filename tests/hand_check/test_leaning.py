"""The chains against the engine where faces lean, projections jut, lower rows pull, bolts stand off, and bars hold the cone."""

from __future__ import annotations

from collections import Counter

import numpy as np
from builders import computed
from hand_books import ANCHORS, BASES, compared, hand_of, leaning_book

SEEDS = range(12)


def test_random_books() -> None:
    met: Counter[str] = Counter()
    for seed in SEEDS:
        rng = np.random.default_rng(4400 + seed)
        c = computed(**leaning_book(rng, ANCHORS[seed % 3], BASES[seed // 3 % 3]))
        hand = hand_of(c)
        covered = compared(hand)
        rows = hand.rows
        forces, anchor = rows["Statics covered"] == 1.0, rows["Anchor covered"] == 1.0
        assert covered["statics"] == forces.sum() == (~c.withheld).sum()
        leans = (rows["Face lean [deg]"] != 0.0) | (rows["Carrier lean [deg]"] != 0.0)
        for case, here in (
            ("rows", forces),
            ("leaning", forces & leans),
            ("leaning anchors", anchor & leans),
            ("projections", forces & (rows["Projection reach [m]"] > 0.0)),
            ("lower rows", anchor & (rows["Is lower row"] == 1.0)),
            ("shear up", anchor & (rows["Shear [kN]"] < 0.0)),
            ("partly filled", forces & (rows["Filled to [m]"] < rows["Height [m]"])),
            ("levers", anchor & (rows["Stand-off [mm]"] > 0.0)),
            ("bars", anchor & (rows["Bars"] > 0.0)),
        ):
            met[case] += int(here.sum())
    assert met["rows"] > 300
    assert min(met.values()) >= 10, met


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
