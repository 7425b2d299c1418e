"""How the lifts stand on each other, and where the anchors of each lift's units are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sheetengine.columns import Column, Flags, taken
from sheetengine.job import Job

Index = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Layout:
    """Places in the pile of lifts, one entry a row of ``Lifts``.

    Attributes
    ----------
    below, above
        Row of the lift below and above in the same block, -1 where there is none.
    mix, unit, anchor
        Row in ``Mixes``, ``Form units`` and ``Anchor types``.
    rise
        Rate of rise, given or from placing rate and plan area. [m/h]
    top_hour
        Hour at which the concrete reaches the top of the lift. [h]
    anchor_hour
        Hour at which the rising concrete reaches the level of the anchors cast in this lift; the top hour
        where none are cast. [h]
    anchors
        Number of anchors that hold the row's units.
    """

    below: Index
    above: Index
    mix: Index
    unit: Index
    anchor: Index
    rise: Column
    top_hour: Column
    anchor_hour: Column
    anchors: Column


@dataclass(frozen=True, slots=True)
class AnchorSpots:
    """Anchors to be proved, sorted by lift: one entry an anchor, or two that stand for an even row.

    Attributes
    ----------
    lift
        Row of the lift whose units hang from the anchor.
    width
        Width of face that the anchor carries. [m]
    left, right
        Distance to the middle towards the neighbour, or to the end of the block. [m]
    left_is_edge, right_is_edge
        Where that distance is to an end and not to a neighbour.
    depth
        Anchor axis below the joint. [m]
    position
        Along the face from its left end, ``nan`` for an even row. [m]
    first
        First spot of each lift, with one more entry for the end.
    """

    lift: Index
    width: Column
    left: Column
    right: Column
    left_is_edge: Flags
    right_is_edge: Flags
    depth: Column
    position: Column
    first: Index


def _neighbours(blocks: list[str]) -> tuple[Index, Index]:
    below = np.full(len(blocks), -1, dtype=np.int64)
    above = np.full(len(blocks), -1, dtype=np.int64)
    last: dict[str, int] = {}
    for item, block in enumerate(blocks):
        under = last.get(block.casefold(), -1)
        below[item] = under
        if under >= 0:
            above[under] = item
        last[block.casefold()] = item
    return below, above


def end_distance(job: Job) -> Column:
    """Return the distance from the outermost anchor to the end of the block; half a spacing where blank, in metres."""
    lifts = job.table("Lifts")
    return np.where(
        lifts.given["end_distance"], lifts.number("end_distance"), lifts.number("anchor_spacing") / 2.0
    )


def even_count(*, face_length: Column, spacing: Column, end: Column) -> Column:
    """Return how many evenly spaced anchors hold a face so that none carries more than its spacing.

    >>> even_count(face_length=np.array([15.0, 16.0, 0.8]), spacing=np.array([1.5, 1.5, 1.5]),
    ...     end=np.array([0.75, 0.75, 0.75]))
    array([10., 11.,  1.])
    """
    between = np.maximum(face_length - 2.0 * end, 0.0) / spacing
    return np.asarray(np.ceil(between - 1e-6) + 1.0)


def lay_out(job: Job) -> Layout:
    """Return the places of every lift and the hours at which its concrete rises."""
    lifts, units = job.table("Lifts"), job.table("Form units")
    below, above = _neighbours([str(block) for block in lifts.label("block")])
    unit = units.spread("unit", lifts.label("unit"))
    with np.errstate(divide="ignore", invalid="ignore"):
        from_placing = lifts.number("placing_rate") / lifts.number("plan_area")
    rise = np.where(lifts.given["rise_rate"], lifts.number("rise_rate"), from_placing)
    height, placed = lifts.number("height"), lifts.number("placed")
    top_hour = placed + height / rise
    depth_above = taken(units.number("anchor_depth"), np.where(above >= 0, unit[above], unit))
    depth_above = depth_above * np.cos(np.radians(lifts.number("face_inclination")))
    anchor_hour = placed + np.maximum(height - depth_above, 0.0) / rise
    anchors = even_count(
        face_length=lifts.number("face_length"), spacing=lifts.number("anchor_spacing"), end=end_distance(job)
    )
    listed, _ = positions_by_lift(job)
    if listed.size:
        listed_count = np.bincount(listed, minlength=len(lifts)).astype(np.float64)
        anchors = np.where(listed_count > 0, listed_count, anchors)
    return Layout(
        below=below,
        above=above,
        mix=job.table("Mixes").spread("mix", lifts.label("mix")),
        unit=unit,
        anchor=job.table("Anchor types").spread("anchor", lifts.label("anchor")),
        rise=rise,
        top_hour=top_hour,
        anchor_hour=anchor_hour,
        anchors=anchors,
    )


def lift_of(job: Job, sheet: str) -> Index:
    """Return, for each row of an optional sheet, the row of its lift."""
    lifts, table = job.table("Lifts"), job.table(sheet)
    index = {
        (str(block).casefold(), str(lift).casefold()): item
        for item, (block, lift) in enumerate(zip(lifts.label("block"), lifts.label("lift"), strict=True))
    }
    return np.array(
        [
            index.get((str(block).casefold(), str(lift).casefold()), -1)
            for block, lift in zip(table.label("block"), table.label("lift"), strict=True)
        ],
        dtype=np.int64,
    )


def positions_by_lift(job: Job) -> tuple[Index, Index]:
    """Return lift and row of every listed anchor, sorted by lift and position."""
    table = job.table("Anchor positions")
    lift = lift_of(job, "Anchor positions")
    order = np.lexsort((table.number("position"), lift))
    return lift[order], order.astype(np.int64)


def anchor_spots(job: Job, layout: Layout) -> AnchorSpots:
    """Return the anchors to be proved: those listed in ``Anchor positions``, else two for each even row.

    The two are the outermost anchor, with an end of the block beside it, and one with a neighbour on each
    side; a row of one anchor has an end on each side.
    """
    lifts, units = job.table("Lifts"), job.table("Form units")
    listed, order = positions_by_lift(job)
    has_list = np.zeros(len(lifts), dtype=bool)
    has_list[listed] = True
    depth_of_unit = taken(units.number("anchor_depth"), layout.unit)
    even = np.flatnonzero(~has_list)
    spacing, end = lifts.number("anchor_spacing")[even], end_distance(job)[even]
    alone, pair = layout.anchors[even] == 1.0, layout.anchors[even] == 2.0
    length = lifts.number("face_length")[even]
    alone_end = length / 2.0
    apart = (length - 2.0 * end) / np.maximum(layout.anchors[even] - 1.0, 1.0)
    half = np.where(alone, spacing, apart) / 2.0
    outer_left = np.where(alone, np.minimum(end, alone_end), end)
    outer_right = np.where(alone, length - outer_left, half)
    parts = [
        (even, np.where(alone, length, np.maximum(spacing, end + half)), outer_left, outer_right,
         np.ones(even.size, bool), alone, depth_of_unit[even], np.full(even.size, np.nan)),
        (even, np.where(alone, length, spacing), np.where(alone | pair, outer_left, half),
         np.where(alone | pair, outer_right, half), alone | pair, alone, depth_of_unit[even],
         np.full(even.size, np.nan)),
    ]  # fmt: skip
    if listed.size:
        parts.append(_listed_spots(job, depth_of_unit, listed, order))
    columns = [np.concatenate(column) for column in zip(*parts, strict=True)]
    sort = np.argsort(columns[0], kind="stable")
    lift, width, left, right, left_edge, right_edge, depth, position = (column[sort] for column in columns)
    first = np.searchsorted(lift, np.arange(len(lifts) + 1)).astype(np.int64)
    return AnchorSpots(lift, width, left, right, left_edge, right_edge, depth, position, first)


def _listed_spots(
    job: Job, depth_of_unit: Column, listed: Index, order: Index
) -> tuple[Index, Column, Column, Column, Flags, Flags, Column, Column]:
    table, lifts = job.table("Anchor positions"), job.table("Lifts")
    position = table.number("position")[order]
    depth = np.where(table.given["depth"][order], table.number("depth")[order], depth_of_unit[listed])
    is_first = np.r_[True, listed[1:] != listed[:-1]]
    is_last = np.r_[listed[1:] != listed[:-1], True]
    gap_before = np.r_[np.nan, np.diff(position)]
    gap_after = np.r_[np.diff(position), np.nan]
    left = np.where(is_first, position, gap_before / 2.0)
    right = np.where(is_last, lifts.number("face_length")[listed] - position, gap_after / 2.0)
    return listed, left + right, left, right, is_first, is_last, depth, position
