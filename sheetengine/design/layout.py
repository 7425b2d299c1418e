"""How the lifts stand on each other, and where the anchors of each lift's units are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sheetengine.columns import Column, Flags, taken
from sheetengine.design.anchor_areas import near_pairs
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
        Distance to the middle towards the neighbour, or to the end of the block; ``inf`` where neither is in
        reach of the cone. [m]
    left_is_edge, right_is_edge
        Where that distance is to an end and not to a neighbour.
    above, below
        Distance to the middle towards an anchor above or below, ``inf`` where there is none. [m]
    pull
        Width of face whose tension, at the anchor depth of the unit, is that of the anchor. [m]
    foot_pull
        What the tension of the anchors at one position exceeds that of their width by, as a width of face, for
        each of them. [m]
    bracket
        Number of the bracket on which a listed anchor hangs, -1 for an even row.
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
    above: Column
    below: Column
    pull: Column
    foot_pull: Column
    bracket: Index


ONE_BRACKET = 0.05
"""Anchors no further apart along the face than this, in m, hang one bracket: they share its load by the lever."""


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
    below = lifts.before("block")
    above = np.full(below.size, -1, dtype=np.int64)
    above[below[below >= 0]] = np.flatnonzero(below >= 0)
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


def positions_by_lift(job: Job) -> tuple[Index, Index]:
    """Return lift and row of every listed anchor, sorted by lift and position."""
    table = job.table("Anchor positions")
    lift = job.lift_of("Anchor positions")
    order = np.lexsort((table.number("position"), lift))
    return lift[order], order.astype(np.int64)


def lower_anchor(job: Job, layout: Layout) -> Index:
    """Return the row in ``Anchor types`` of each lift's lower row: the type named for it, else that of the upper row."""
    named = job.table("Anchor types").spread("anchor", job.table("Lifts").label("lower_anchor"))
    return np.where(named >= 0, named, layout.anchor)


def anchor_spots(job: Job, layout: Layout, *, lower: bool = False) -> AnchorSpots:
    """Return the anchors to be proved: those listed in ``Anchor positions``, else two for each even row.

    The two are the outermost anchor, with an end of the block beside it, and one with a neighbour on each
    side; a row of one anchor has an end on each side. A ``lower`` row has one anchor at the place of each bracket;
    how deep it stands is said by the case.
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
    far, none = np.full(2 * even.size, np.inf), np.zeros(2 * even.size)
    width = np.concatenate([part[1] for part in parts])
    columns = [np.concatenate(column) for column in zip(*parts, strict=True)]
    further: list[NDArray[Any]] = [far, far, width, none, np.full(2 * even.size, -1, dtype=np.int64)]
    if listed.size:
        own, beyond = _listed_spots(job, layout, depth_of_unit, listed, order, lower=lower)
        columns = [np.concatenate(pair) for pair in zip(columns, own, strict=True)]
        further = [np.concatenate(pair) for pair in zip(further, beyond, strict=True)]
    sort = np.argsort(columns[0], kind="stable")
    lift, width, left, right, left_edge, right_edge, depth, position = (column[sort] for column in columns)
    above, below, pull, foot_pull, bracket = (column[sort] for column in further)
    first = np.searchsorted(lift, np.arange(len(lifts) + 1)).astype(np.int64)
    return AnchorSpots(lift, width, left, right, left_edge, right_edge, depth, position, first,
                       above, below, pull, foot_pull, bracket)  # fmt: skip


def brackets(lift: Index, position: Column) -> tuple[Index, Column]:
    """Return the bracket that each anchor hangs, and the place of every bracket: the mean of its anchors. [m].

    ``lift`` and ``position`` are those of the anchors, sorted by both.
    """
    begins = np.r_[True, lift[1:] != lift[:-1]] | (np.diff(position, prepend=-np.inf) > ONE_BRACKET)
    bracket = (np.cumsum(begins) - 1).astype(np.int64)
    return bracket, np.bincount(bracket, weights=position) / np.bincount(bracket)


def _listed_spots(
    job: Job, layout: Layout, depth_of_unit: Column, listed: Index, order: Index, *, lower: bool
) -> tuple[list[NDArray[Any]], list[NDArray[Any]]]:
    """Return the spots of the listed anchors: those of :class:`AnchorSpots` up to the position, and the others.

    Anchors at one position hang one bracket, which turns about its foot as a rigid body: each takes a tension
    in proportion to its lever about the foot, so that together they hold the moment that one anchor at the
    unit's anchor depth would hold, and an equal part of the shear. A lower row has one anchor a bracket.
    """
    table, lifts = job.table("Anchor positions"), job.table("Lifts")
    position = table.number("position")[order]
    depth = np.where(table.given["depth"][order], table.number("depth")[order], depth_of_unit[listed])
    column, place = brackets(listed, position)
    many = np.bincount(column).astype(np.float64)
    of = np.zeros(many.size, dtype=np.int64)
    of[column] = listed
    if lower:
        listed, position, depth = of, place, depth_of_unit[of]
        column, many = np.arange(of.size), np.ones(of.size)
    length = lifts.number("face_length")[listed]
    is_first = np.r_[True, of[1:] != of[:-1]]
    is_last = np.r_[of[1:] != of[:-1], True]
    gap_before, gap_after = np.r_[np.nan, np.diff(place)], np.r_[np.diff(place), np.nan]
    full = lifts.number("face_length")[of]
    width = np.where(is_first, place, gap_before / 2.0) + np.where(is_last, full - place, gap_after / 2.0)
    lever = taken(job.table("Form units").number("foot_depth"), layout.unit)[listed] - depth
    lever = np.where(lever > 0.0, lever, np.nan)
    at_unit = taken(job.table("Form units").number("foot_depth"), layout.unit)[listed] - depth_of_unit[listed]
    pull = width[column] * at_unit * lever / np.bincount(column, weights=lever**2)[column]
    if lower:
        pull = width
    more = (np.bincount(column, weights=pull) - width)[column] / many[column]
    kind = lower_anchor(job, layout) if lower else layout.anchor
    embedment = taken(job.table("Anchor types").number("embedment"), kind)[listed] / 1000.0
    beside = _half_gaps(listed, position, depth, 1.5 * embedment)
    reach = 3.0 * embedment
    left_edge = is_first[column] | (np.isinf(beside[0]) & (position < reach))
    right_edge = is_last[column] | (np.isinf(beside[1]) & (length - position < reach))
    spot = [listed, width[column] / many[column], np.where(left_edge, position, beside[0]),
            np.where(right_edge, length - position, beside[1]), left_edge, right_edge, depth, position]  # fmt: skip
    return spot, [beside[2], beside[3], pull, more, column.astype(np.int64)]


def _half_gaps(
    lift: Index, position: Column, depth: Column, half: Column
) -> tuple[Column, Column, Column, Column]:
    """Return half the distance to the nearest neighbour to the left, right, above and below, ``inf`` for none. [m].

    Two anchors whose cones overlap part them half way, along the face or down it, whichever way they stand
    further apart; so no piece of concrete is counted for two.
    """
    one, two = near_pairs(lift, position, depth, half)
    along, down = position[two] - position[one], depth[two] - depth[one]
    beside = along >= np.abs(down)
    gaps = tuple(np.full(lift.size, np.inf) for _ in range(4))
    for way, sooner, later, gap in (
        ((1, 0), one[beside], two[beside], along[beside]),
        ((3, 2), one[~beside & (down > 0.0)], two[~beside & (down > 0.0)], down[~beside & (down > 0.0)]),
        ((3, 2), two[~beside & (down < 0.0)], one[~beside & (down < 0.0)], -down[~beside & (down < 0.0)]),
    ):
        np.minimum.at(gaps[way[0]], sooner, gap / 2.0)
        np.minimum.at(gaps[way[1]], later, gap / 2.0)
    return gaps[0], gaps[1], gaps[2], gaps[3]
