"""Inclined faces: what the fresh concrete does to them, and where anchors and foot sit on the lifts below."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sheetengine.clauses.fluid_pressure import resultant, resultant_height
from sheetengine.clauses.inclined_faces import (
    STEEPEST,
    action_height,
    downward_force,
    face_moment,
    force_direction,
    normal_stress,
    tangential_stress,
)
from sheetengine.columns import Column, Flags, taken
from sheetengine.design.layout import Index, Layout
from sheetengine.job import Job

if TYPE_CHECKING:
    from sheetengine.design.pressure import Pressures


def leans(job: Job) -> Column:
    """Return the inclination of every lift's face from vertical, positive overhanging. [deg]."""
    return job.table("Lifts").number("face_inclination")


def too_steep(job: Job) -> Flags:
    """Return lifts whose face leans further than the rules for inclined faces go."""
    return np.asarray(np.abs(leans(job)) > STEEPEST)


def slope_height(job: Job) -> Column:
    """Return the length of every lift's face from joint to joint, along its slope. [m]."""
    height: Column = job.table("Lifts").number("height") / np.cos(np.radians(leans(job)))
    return height


def head_rise(lean: Column, embedment: Column) -> Column:
    """Return by how much the head of an anchor square to a face stands nearer to the joint above than its mouth.

    On an overhang the anchor rises into the concrete; on a batter it falls, and nothing is taken for that.

    Examples
    --------
    0.6 m into a face overhanging by 45 degrees: 0.6 m nearer, measured along the face.

    >>> head_rise(np.array([45.0, 0.0, -45.0]), np.full(3, 0.6)).round(6)
    array([0.6, 0. , 0. ])
    """
    return np.asarray(embedment * np.tan(np.radians(np.maximum(lean, 0.0))))


def normal_maximum(job: Job, layout: Layout, maximum: Column) -> Column:
    """Return the greatest pressure normal to every face, at its foot, from the lateral maximum. [kPa]."""
    density = taken(job.table("Mixes").number("unit_weight"), layout.mix)
    return normal_stress(
        lateral_stress=maximum,
        vertical_stress=density * job.table("Lifts").number("height"),
        face_inclination=leans(job),
    )


def lateral_allowance(job: Job, layout: Layout, permissible: Column) -> Column:
    """Return the lateral pressure at which the pressure normal to the face is the permissible one, at least 0. [kPa]."""
    over = np.sin(np.radians(np.maximum(leans(job), 0.0))) ** 2
    density = taken(job.table("Mixes").number("unit_weight"), layout.mix)
    left = permissible - density * job.table("Lifts").number("height") * over
    return np.asarray(np.maximum(left, 0.0) / (1.0 - over))


@dataclass(frozen=True, slots=True)
class FaceLoads:
    """Fresh concrete on every lift's face.

    Attributes
    ----------
    outward, downward, moment
        Horizontal and vertical part of the resultant, and its moment about the joint on the face; less than
        0 downward is uplift. [kN/m], [kN*m/m]
    force, direction, height
        The resultant, its angle below the horizontal, and the height above the joint at which its line meets
        the face. [kN/m], [deg], [m]
    normal, tangential
        Greatest stress normal to the face and along it. [kPa]
    """

    outward: Column
    downward: Column
    moment: Column
    force: Column
    direction: Column
    height: Column
    normal: Column
    tangential: Column


def face_loads(
    job: Job, layout: Layout, pressure: Pressures, lift: Index | None = None, level: Column | None = None
) -> FaceLoads:
    """Return what the fresh concrete does to every lift's face, or to those of some lifts filled to a level. [m]."""
    rows: Index = np.arange(layout.mix.size, dtype=np.int64) if lift is None else lift
    lean = leans(job)[rows]
    height = job.table("Lifts").number("height")[rows] if level is None else level
    density = taken(job.table("Mixes").number("unit_weight"), layout.mix)[rows]
    body = {"weight_density": density, "placement_height": height, "face_inclination": lean}
    profile = {
        "maximum_pressure": np.minimum(pressure.maximum[rows], density * height),
        "weight_density": density,
        "placement_height": height,
    }
    outward = resultant(**profile)
    downward = downward_force(pressure_force=outward, **body)
    moment = face_moment(pressure_force=outward, pressure_force_height=resultant_height(**profile), **body)
    stresses = {
        "lateral_stress": profile["maximum_pressure"],
        "vertical_stress": density * height,
        "face_inclination": lean,
    }
    return FaceLoads(
        outward=outward,
        downward=downward,
        moment=moment,
        force=np.hypot(outward, downward),
        direction=force_direction(pressure_force=outward, vertical_force=downward),
        height=action_height(
            pressure_force=outward, vertical_force=downward, tipping_moment=moment, face_inclination=lean
        ),
        normal=normal_stress(**stresses),
        tangential=tangential_stress(**stresses),
    )


@dataclass(frozen=True, slots=True)
class Seats:
    """Where a unit hangs and bears, one entry a case.

    Attributes
    ----------
    inclination, carrier_inclination, foot_inclination
        Of the face being formed, of the one that holds the anchors, of the one under the foot. [deg]
    anchor_depth
        Along the face of the lift below. [m]
    foot_out, foot_level
        Place of the foot, from the joint. [m]
    foot_lift
        Row of the lift under the foot, -1 for the foundation.
    foot_joint
        From the foot up the face to the joint on top of that lift. [m]
    """

    inclination: Column
    carrier_inclination: Column
    foot_inclination: Column
    anchor_depth: Column
    foot_out: Column
    foot_level: Column
    foot_lift: Index
    foot_joint: Column

    @property
    def leans(self) -> Flags:
        """Where one of the three faces is not vertical."""
        return np.asarray(
            (self.inclination != 0.0) | (self.carrier_inclination != 0.0) | (self.foot_inclination != 0.0)
        )

    @property
    def too_steep(self) -> Flags:
        """Where one of the three faces leans further than the rules for inclined faces go."""
        steepest = np.maximum(
            np.abs(self.inclination),
            np.maximum(np.abs(self.carrier_inclination), np.abs(self.foot_inclination)),
        )
        return np.asarray(steepest > STEEPEST)


def seats(job: Job, layout: Layout, holder: Index, seat: Index) -> Seats:
    """Return where the units of ``holder`` hang on ``seat`` and where their feet bear.

    The foot is looked for down the faces of the lifts below, joint by joint; a foundation is taken to go on
    vertically.
    """
    lean, height, slope = leans(job), job.table("Lifts").number("height"), slope_height(job)
    units = job.table("Form units")
    depth = taken(units.number("foot_depth"), layout.unit[holder])
    at, left = seat.copy(), depth.copy()
    out, level = np.zeros_like(depth), np.zeros_like(depth)
    for _ in range(height.size + 1):
        here = np.maximum(at, 0)
        passes = (at >= 0) & (left > slope[here] + 1e-9)
        if not passes.any():
            break
        out = out - np.where(passes, height[here] * np.tan(np.radians(lean[here])), 0.0)
        level = level - np.where(passes, height[here], 0.0)
        left = left - np.where(passes, slope[here], 0.0)
        at = np.where(passes, layout.below[here], at)

    def lean_of(lift: Index) -> Column:
        return np.where(lift >= 0, lean[np.maximum(lift, 0)], 0.0)

    foot = lean_of(at)
    return Seats(
        inclination=lean[holder],
        carrier_inclination=lean_of(seat),
        foot_inclination=foot,
        anchor_depth=taken(units.number("anchor_depth"), layout.unit[holder]),
        foot_out=out - left * np.sin(np.radians(foot)),
        foot_level=level - left * np.cos(np.radians(foot)),
        foot_lift=at,
        foot_joint=left,
    )
