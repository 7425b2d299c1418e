"""Planned dates against the hours at which the gates open, lift by lift."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sheetengine.columns import Column, Flags, Texts, texts
from sheetengine.design.layout import Layout
from sheetengine.design.readiness import (
    AFTER_STRIPPING_ABOVE,
    GATE_NAMES,
    HANG,
    PLACE_NEXT,
    SETTING_BACK,
    STRIP,
    Gates,
)
from sheetengine.design.verdicts import EXCEEDS, NEAR_LIMIT, NOT_COMPUTED, OUTSIDE_SCOPE, WITHIN
from sheetengine.job import Job

OF_THE_LIFT_BELOW = {
    PLACE_NEXT: "Placing, after the lift below",
    SETTING_BACK: "Setting back, on the lift below",
}
GRAVITY_OF = {WITHIN: 0, NEAR_LIMIT: 1, OUTSIDE_SCOPE: 2, NOT_COMPUTED: 3, EXCEEDS: 4}


@dataclass(frozen=True, slots=True)
class Programme:
    """One entry a lift.

    Attributes
    ----------
    ready
        Hours at which the lift may be stripped, hung on, and built upon; ``nan`` where there is no such gate.
    earliest
        Hour from which the lift itself may be placed, by the lift below; ``nan`` for a first lift. [h]
    slack
        Least margin of the gates that the lift's own hours meet: its placing and the setting back of its
        unit, by the gates of the lift below, its stripping, and the hanging on it. [h]
    binding
        The gate with that margin and what governs it.
    verdict
        The gravest verdict among those gates.
    """

    strip_ready: Column
    hang_ready: Column
    next_ready: Column
    earliest: Column
    slack: Column
    binding: Texts
    verdict: Texts


def programme(job: Job, layout: Layout, gates: Gates, verdict: Texts) -> Programme:
    """Return planned against ready hours of every lift."""
    count = len(job.table("Lifts"))
    ready = np.full((len(GATE_NAMES), count), np.nan)
    ready[gates.gate, gates.lift] = gates.ready
    slack = np.full(count, np.inf)
    by_lift_below = np.isin(gates.gate, (PLACE_NEXT, SETTING_BACK))
    owner = np.where(by_lift_below, layout.above[gates.lift], gates.lift)
    # a gate without a planned hour has no margin to give; its verdict says so
    judged = ~np.isnan(gates.margin) & (gates.governed_by != AFTER_STRIPPING_ABOVE)
    np.minimum.at(slack, owner[judged], gates.margin[judged])
    binding = texts([""] * count)
    worst = texts([WITHIN] * count)
    for item, gate, margin, counts, words, said in zip(
        owner.tolist(),
        gates.gate.tolist(),
        gates.margin.tolist(),
        judged.tolist(),
        gates.governed_by.tolist(),
        verdict.tolist(),
        strict=True,
    ):
        if counts and margin == slack[item] and not binding[item]:
            binding[item] = f"{OF_THE_LIFT_BELOW.get(gate, GATE_NAMES[gate])}: {words}"
        if GRAVITY_OF[said] > GRAVITY_OF[worst[item]]:
            worst[item] = said
    below = layout.below
    earliest = np.where(below >= 0, ready[PLACE_NEXT][np.maximum(below, 0)], np.nan)
    return Programme(
        ready[STRIP], ready[HANG], ready[PLACE_NEXT], earliest, np.where(np.isinf(slack) & (slack > 0), np.nan, slack),
        binding, worst,
    )  # fmt: skip


def height_steps(job: Job) -> tuple[Column, Flags]:
    """Return, at each placing, the greatest difference in level to a neighbouring block's top, and where it is too great.

    Blocks neighbour each other in the order in which they first appear. A neighbour that
    is not begun stands at its lowest joint. ``nan`` where a level is missing; nothing is too great where the job sets no limit.
    """
    lifts = job.table("Lifts")
    limit = job.number("Greatest height difference")
    placed, top = lifts.number("placed"), lifts.number("bottom_level") + lifts.number("height")
    names = [str(block).casefold() for block in lifts.label("block")]
    order = {name: place for place, name in enumerate(dict.fromkeys(names))}
    block = np.array([order[name] for name in names], dtype=np.int64)
    step = np.full(len(lifts), np.nan)
    for neighbour in (-1, 1):
        for own in range(len(order)):
            mine, other = np.flatnonzero(block == own), np.flatnonzero(block == own + neighbour)
            if not mine.size or not other.size:
                continue
            other = other[np.argsort(placed[other], kind="stable")]
            done = np.searchsorted(placed[other], placed[mine], side="right")
            reached = np.where(
                done > 0, top[other[np.maximum(done - 1, 0)]], lifts.number("bottom_level")[other[0]]
            )
            apart = np.abs(top[mine] - reached)
            step[mine] = np.where(np.isnan(step[mine]), apart, np.maximum(step[mine], apart))
    return step, np.asarray(step > limit)
