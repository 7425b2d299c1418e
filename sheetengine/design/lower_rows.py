"""Where the anchors of lower rows sit, and which of them are those of an upper row."""

from __future__ import annotations

import numpy as np

from sheetengine.columns import taken
from sheetengine.design.embeds import LowerRows
from sheetengine.design.faces import seats
from sheetengine.design.layout import Layout, lower_anchor, positions_by_lift
from sheetengine.design.stages import anchored_below, hang_hours
from sheetengine.job import Job

SAME_PLACE = 0.05
"""Difference in depth, in m, within which the lower row uses the anchors of the upper row that is there; common practice."""


def lower_rows(job: Job, layout: Layout) -> LowerRows:
    """Return the lower row of every lift whose units have one anchored.

    It uses the anchors that held the units of an earlier lift where these sit at its depth, are of the same type and as
    many, spaced alike; else it is cast in for itself. A lower row has one anchor a bracket.
    """
    lifts, units = job.table("Lifts"), job.table("Form units")
    every = np.arange(len(lifts), dtype=np.int64)
    held = (layout.below >= 0) | (not np.isnan(job.number("Foundation strength")))
    holder = every[held & anchored_below(job, layout, every)]
    seat = seats(job, layout, holder, layout.below[holder])
    sits, kind = seat.foot_lift, lower_anchor(job, layout)[holder]
    listed, order = positions_by_lift(job)
    has_list = np.zeros(every.size, dtype=bool)
    has_list[listed] = True
    place = job.table("Anchor positions").number("position")[order]
    brackets = np.array(
        [np.unique(np.round(place[listed == item], 3)).size for item in holder.tolist()], dtype=np.float64
    )
    number = np.where(has_list[holder], brackets, layout.anchors[holder])
    base = holder.copy()
    while (layout.below[base] >= 0).any():
        base = np.where(layout.below[base] >= 0, layout.below[base], base)
    # the lift above the one it sits in is whose units hung there before
    user = np.where(sits >= 0, layout.above[np.maximum(sits, 0)], base)
    depth = taken(units.number("anchor_depth"), layout.unit)
    spacing, length = lifts.number("anchor_spacing"), lifts.number("face_length")
    there = (
        (user >= 0)
        & (layout.anchor[user] == kind)
        & (layout.anchors[user] == number)
        & ~has_list[user]
        & ~has_list[holder]
        & (np.abs(spacing[user] - spacing[holder]) <= 1e-6)
        & (np.abs(length[user] - length[holder]) <= 1e-6)
        & (np.abs(depth[user] - seat.foot_joint) <= SAME_PLACE + 1e-9)
    )
    inside = np.maximum(sits, 0)
    rise = np.maximum(lifts.number("height")[inside] - seat.foot_joint, 0.0) / layout.rise[inside]
    hung = hang_hours(job, layout)
    return LowerRows(
        holder=holder, base=base, cast_in=sits, kind=kind, number=number, there=np.asarray(there),
        set_by=np.where(sits >= 0, lifts.number("placed")[inside] + rise, np.nan),
        hung=np.where(layout.below[holder] >= 0, taken(hung, layout.below[holder]), np.nan), released=hung[holder],
    )  # fmt: skip
