"""The chains against the engine where anchors stand so near each other that their concrete overlaps."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from builders import computed, pile
from hand_books import ANCHORS, BASES, clustered_book, compared, hand_of

SEEDS = range(18)
BESIDE = {"bGt": "bc", "bGp": "bcp", "bGj": "bbj", "bGe": "bbe", "bGs": "be", "bGu": "beu"}
"""Ratio in the group, and by itself, of each mode."""


def test_random_books() -> None:
    met: Counter[str] = Counter()
    for seed in SEEDS:
        rng = np.random.default_rng(7100 + seed)
        hand = hand_of(computed(**clustered_book(rng, ANCHORS[seed % 3], BASES[seed // 3 % 3])))
        compared(hand)
        chain = next(chain for chain in hand.chains if chain.name == "anchor")
        for item in np.flatnonzero(hand.rows[chain.applies] == 1.0).tolist():
            known = chain.values({name: values[item] for name, values in hand.rows.items()})
            met.update(["rows", ANCHORS[seed % 3]])
            for symbol, own in BESIDE.items():
                met[symbol] += float(known[symbol]) > 0.0
                met["worse as a group"] += float(known[symbol]) > float(known[own])
            met["governs"] += known["r"] in {known[symbol] for symbol in BESIDE}
    assert met["rows"] > 300
    for method in ANCHORS:
        assert met[method] > 60
    for case in (*BESIDE, "worse as a group", "governs"):
        assert met[case] >= 10, (case, met)


@pytest.mark.parametrize("method", ANCHORS)
def test_the_steps_are_there_only_with_groups(method: str) -> None:
    """A book without groups has no lines of groups; in one with groups the anchors by themselves have 0 in all of them."""
    alone = hand_of(computed(job={"Anchor method": method}))
    own = next(chain for chain in alone.chains if chain.name == "anchor")
    assert not {step.symbol for step in own.steps} & set(BESIDE)
    near = [{"Block": "B1", "Lift": 2, "Position": place} for place in (1.0, 4.0, 4.2, 7.0, 10.0, 13.0)]
    hand = hand_of(computed(job={"Anchor method": method}, optional={"Anchor positions": near}))
    chain = next(chain for chain in hand.chains if chain.name == "anchor")
    assert compared(hand)["anchor"] > 0
    first = {name: values[-1] for name, values in hand.rows.items()}
    assert first["Group cone anchors"] == 0.0
    assert {chain.values(first)[symbol] for symbol in BESIDE} == {0.0}


@pytest.mark.parametrize(("place", "asked"), [(1.9, True), (2.3, False)])
def test_an_end_further_off_than_the_standard_asks_is_left_out(place: float, asked: bool) -> None:
    """EN 1992-4 7.2.2.5(1): none beyond 10 h_ef and 60 d, here 2,000 and 2,160 mm; two anchors above each other, no other edge near."""
    rows = [{"Block": "B1", "Lift": 2, "Position": place, "Depth": deep} for deep in (0.4, 0.9)]
    hand = hand_of(
        computed(
            job={"Anchor method": "EN 1992-4:2018"},
            optional={"Anchor positions": rows},
            lifts=pile(2, Thickness=30.0),
            anchors=[{"Embedment": 200.0, "Shank diameter": 36.0}],
        )
    )
    compared(hand)
    chain = next(chain for chain in hand.chains if chain.name == "anchor")
    held = [
        {name: values[item] for name, values in hand.rows.items()}
        for item in np.flatnonzero(hand.rows[chain.applies] == 1.0).tolist()
    ]
    beside = [row for row in held if row["Group edge shear anchors"] == 2.0]
    assert [row["Group edge shear edge distance [mm]"] for row in beside] == pytest.approx(
        [place * 1000.0] * len(beside)
    )
    assert {float(chain.values(row)["bGs"]) > 0.0 for row in beside} == {asked}
