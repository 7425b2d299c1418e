"""Anchors whose concrete overlaps, taken together: what a group covers, and how unevenly it is loaded.

Everything here follows from the layout alone, since the tension of every anchor of a row grows with the same
force on a metre of face. Evenly spaced rows are not looked at: there the share of the outermost anchor is never
the better for being counted in a group. Lengths in mm.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TypeVar

import numpy as np

from sheetengine.clauses.en1992_4_tension import reduced_embedment_depth
from sheetengine.columns import Column, Flags
from sheetengine.design.anchor_areas import Index, linked, near_pairs, union_areas, union_lengths
from sheetengine.design.layout import AnchorSpots

GroupT = TypeVar("GroupT", "Cones", "Edges")
EN_BLOW_OUT_REACH, ACI_BLOW_OUT_REACH, EDGE_REACH = 2.0, 3.0, 1.5
"""Reach to each side along an edge, in edge distances: half of 4 c_1 (EN 1992-4 7.2.1.8), of 6 c_a1 (ACI 318-19
17.6.4.2), of 3 c_1 in shear (both)."""


@dataclass(frozen=True, slots=True)
class Cones:
    """The group of each anchor for breakout in tension and for pry-out; ``nan`` where the anchor is by itself.

    Attributes
    ----------
    count
        Anchors in the group. [-]
    depth
        Embedment depth to count, reduced between three close edges. [mm]
    area
        Projected area of all its cones together. [mm2]
    edge
        Least edge distance of any of its anchors. [mm]
    pull, shear
        Part of the group's tension, and of its shear, that the anchor carries. [-]
    pull_along, pull_down, shear_along, shear_down
        Eccentricity of the resultant against the middle of the anchors, along the face and down it. [mm]
    pull_mean, shear_mean
        Mean over greatest force of its anchors: no eccentricity lowers a group below the resistance it has with
        every anchor loaded like the most loaded one. [-]
    """

    count: Column
    depth: Column
    area: Column
    edge: Column
    pull: Column
    shear: Column
    pull_along: Column
    pull_down: Column
    shear_along: Column
    shear_down: Column
    pull_mean: Column
    shear_mean: Column


@dataclass(frozen=True, slots=True)
class Edges:
    """The group of each anchor beside one edge, for blow-out or in shear; ``nan`` where it is by itself.

    Attributes
    ----------
    count
        Anchors in the group. [-]
    distance
        Least distance of its anchors to the edge. [mm]
    length
        Length along the edge that the group draws upon. [mm]
    corner
        Least distance along the edge to its end. [mm]
    spacing, outer
        Greatest distance between neighbours, and between the outermost. [mm]
    part
        Part of the group's force that the anchor carries. [-]
    eccentricity
        Of the resultant along the edge. [mm]
    mean
        Mean over greatest force of its anchors. [-]
    """

    count: Column
    distance: Column
    length: Column
    corner: Column
    spacing: Column
    outer: Column
    part: Column
    eccentricity: Column
    mean: Column


@dataclass(frozen=True, slots=True)
class Groups:
    """The groups of every spot: cones, blow-out towards joint and end of block, edge in shear at the end and at the joint."""

    cones: Cones
    blow_out_up: Edges
    blow_out_end: Edges
    edge_end: Edges
    edge_up: Edges


def taken_rows(group: GroupT, rows: Index) -> GroupT:
    """Return the groups of the anchors at ``rows``."""
    return type(group)(*(getattr(group, field.name)[rows] for field in fields(group)))


def of_rows(groups: Groups, rows: Index) -> Groups:
    """Return every kind of group of the anchors at ``rows``."""
    return Groups(
        taken_rows(groups.cones, rows), taken_rows(groups.blow_out_up, rows),
        taken_rows(groups.blow_out_end, rows), taken_rows(groups.edge_end, rows),
        taken_rows(groups.edge_up, rows),
    )  # fmt: skip


def _greatest(values: Column, group: Index, count: int) -> Column:
    found = np.full(count, -np.inf)
    with np.errstate(invalid="ignore"):
        np.maximum.at(found, group, values)  # nan stays
    return found


def _part_and_mean(force: Column, group: Index, size: Column) -> tuple[Column, Column]:
    total = np.bincount(group, weights=force, minlength=size.size)
    greatest = _greatest(force, group, size.size)
    return force / total[group], (total / size / greatest)[group]


def _eccentricity(place: Column, part: Column, group: Index, size: Column) -> Column:
    resultant = np.bincount(group, weights=place * part, minlength=size.size)
    middle = np.bincount(group, weights=place, minlength=size.size) / size
    return np.abs(resultant - middle)[group]


def _widest_gap(place: Column, group: Index, count: int) -> Column:
    """Return the greatest distance between neighbours along one axis in each group."""
    order = np.lexsort((place, group))
    gap = np.diff(place[order], prepend=0.0)
    same = np.append(False, np.diff(group[order]) == 0)
    return np.maximum(_greatest(np.where(same, gap, 0.0), group[order], count), 0.0)


def cone_groups(
    lift: Index, x: Column, y: Column, length: Column, embedment: Column, pulls: Column, widths: Column
) -> Cones:
    """Return the groups whose cones overlap, of anchors sorted by lift and position.

    ``x`` along the face, ``y`` down from the joint, ``length`` of the face, ``embedment``: one an anchor, in mm; ``pulls`` and
    ``widths``: its relative tension and shear.
    """
    half = 1.5 * embedment
    group = linked(x.size, *near_pairs(lift, x, y, half))
    size = np.bincount(group).astype(np.float64)
    count = size.size
    pull, pull_mean = _part_and_mean(pulls, group, size)
    shear, shear_mean = _part_and_mean(widths, group, size)
    up, left, right = (-_greatest(-column, group, count)[group] for column in (y, x, length - x))
    edges = np.stack([up, left, right])
    close = edges < half
    depth = reduced_embedment_depth(
        embedment_depth=embedment,
        close_edges=np.sum(close, axis=0).astype(np.float64),
        greatest_edge_distance=np.max(np.where(close, edges, 0.0), axis=0),
        greatest_spacing=np.maximum(_widest_gap(x, group, count), _widest_gap(y, group, count))[group],
    )
    area = union_areas(
        group,
        x,
        -y,
        1.5 * depth,
        left=np.zeros_like(x),
        right=length,
        low=np.full_like(x, -np.inf),
        high=0.0 * x,
    )[group]
    return Cones(
        count=size[group], depth=depth, area=area, edge=np.min(edges, axis=0), pull=pull, shear=shear,
        pull_along=_eccentricity(x, pull, group, size), pull_down=_eccentricity(y, pull, group, size),
        shear_along=_eccentricity(x, shear, group, size), shear_down=_eccentricity(y, shear, group, size),
        pull_mean=pull_mean, shear_mean=shear_mean,
    )  # fmt: skip


def edge_groups(
    lift: Index,
    along: Column,
    other: Column,
    distance: Column,
    force: Column,
    *,
    reach: float,
    start: Column,
    end: Column,
) -> Edges:
    """Return the groups of anchors beside one edge, sorted by lift and ``along``.

    Parameters
    ----------
    lift
        Lift of every anchor. [-]
    along, other
        Position along the edge; position square to it, which does not part a group. [mm]
    distance
        To the edge. [mm]
    force
        Relative force of every anchor. [-]
    reach
        To each side along the edge, in edge distances. [-]
    start, end
        Where the edge begins and ends. [mm]
    """
    group = linked(along.size, *near_pairs(lift, along, 0.0 * other, reach * distance))
    size = np.bincount(group).astype(np.float64)
    count = size.size
    nearest = -_greatest(-distance, group, count)
    part, mean = _part_and_mean(force, group, size)
    low, high = -_greatest(-along, group, count), _greatest(along, group, count)
    covered = union_lengths(group, along, (np.minimum(reach, 2.0) * nearest)[group], left=start, right=end)
    corner = -_greatest(-np.minimum(along - start, end - along), group, count)
    return Edges(
        count=size[group], distance=nearest[group], length=covered[group], corner=corner[group],
        spacing=_widest_gap(along, group, count)[group], outer=(high - low)[group], part=part,
        eccentricity=_eccentricity(along, part, group, size), mean=mean,
    )  # fmt: skip


def _spread(group: GroupT, rows: Index, size: int) -> GroupT:
    """Return the groups laid onto ``size`` spots, ``nan`` where a spot is not in ``rows`` or has no neighbour."""
    columns = []
    for field in fields(group):
        column = np.full(size, np.nan)
        column[rows] = np.where(group.count > 1.0, getattr(group, field.name), np.nan)
        columns.append(column)
    return type(group)(*columns)


def _no_edges(size: int) -> Edges:
    return Edges(*(np.full(size, np.nan) for _ in fields(Edges)))


def _sorted_edges(
    spots: AnchorSpots,
    rows: Index,
    along: Column,
    distance: Column,
    force: Column,
    reach: float,
    start: Column,
    end: Column,
) -> Edges:
    """Return the groups beside one edge of the spots at ``rows``, whichever way these lie along it."""
    size = spots.lift.size
    if not rows.size:
        return _no_edges(size)
    rows = rows[np.lexsort((along[rows], spots.lift[rows]))]
    found = edge_groups(
        spots.lift[rows],
        along[rows],
        along[rows],
        distance[rows],
        force[rows],
        reach=reach,
        start=start[rows],
        end=end[rows],
    )
    return _spread(found, rows, size)


def groups_of(
    spots: AnchorSpots,
    *,
    face_length: Column,
    embedment: Column,
    blow_out_needed: float,
    blow_out_reach: float,
    upward: Flags | None = None,
) -> Groups | None:
    """Return the groups of the listed anchors; ``None`` where no two of them are near each other.

    Parameters
    ----------
    spots
        Anchors to be proved.
    face_length, embedment
        Of every spot's lift and anchor type. [mm]
    blow_out_needed
        Blow-out is looked at up to this edge distance, in embedment depths. [-]
    blow_out_reach
        Its reach along the edge, in edge distances. [-]
    upward
        Where some shear points to the joint; ``None``: nowhere.
    """
    is_listed = ~np.isnan(spots.position) & (
        spots.depth > 0.0
    )  # a head that leans out over the joint holds nothing
    listed = np.flatnonzero(is_listed)
    if not listed.size:
        return None
    size = spots.lift.size
    x, y = spots.position * 1000.0, spots.depth * 1000.0
    own = cone_groups(
        spots.lift[listed], x[listed], y[listed], face_length[listed], embedment[listed], spots.pull[listed],
        spots.width[listed],
    )  # fmt: skip
    cones = _spread(own, listed, size)
    zero, far = np.zeros(size), np.full(size, np.inf)
    up = np.flatnonzero(is_listed & upward) if upward is not None else listed[:0]
    edge_up = _sorted_edges(spots, up, x, y, spots.width, EDGE_REACH, zero, face_length)
    if np.isnan(cones.count).all() and np.isnan(edge_up.count).all():
        return None
    end_left = np.where(spots.left_is_edge, spots.left * 1000.0, np.inf)
    end_right = np.where(spots.right_is_edge, spots.right * 1000.0, np.inf)
    nearer = np.minimum(end_left, end_right)
    at_end = is_listed & np.isfinite(nearer)
    side = np.where(end_right < end_left, 1, 0)
    near_up = is_listed & (y <= blow_out_needed * embedment)
    near_end = at_end & (nearer <= blow_out_needed * embedment)
    by_side = replace(spots, lift=2 * spots.lift + side)
    return Groups(
        cones=cones,
        blow_out_up=_sorted_edges(
            spots, np.flatnonzero(near_up), x, y, spots.pull, blow_out_reach, zero, face_length
        ),
        blow_out_end=_sorted_edges(
            by_side, np.flatnonzero(near_end), y, nearer, spots.pull, blow_out_reach, zero, far
        ),
        edge_end=_sorted_edges(
            by_side, np.flatnonzero(at_end), y, nearer, spots.width, EDGE_REACH, zero, far
        ),
        edge_up=edge_up,
    )
