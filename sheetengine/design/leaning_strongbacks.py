"""Strongbacks of leaning faces: what presses normal to them, along their own length, and the brace turned with them.

Lengths run along the strongback, so a level of the concrete is longer by 1/cos and the pressure grows with the weight
density times cos. On a batter the pressure of the method stands normal to the face. On an overhang the normal stress is
that of the method by cos^2 and the full head by sin^2; the two are two loads on the same beam, and the greatest amount
of their sum is at most the sum of their greatest amounts, which is what is taken. The weight of the unit, spread evenly
over the panel, has a part normal to the face; it counts with the wind, both ways.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sheetengine.clauses.brace import brace_force, hinge_pull
from sheetengine.columns import Column, taken
from sheetengine.design.faces import leans
from sheetengine.design.layout import Layout
from sheetengine.design.strongback_peaks import Beams, Peak, Peaks, moment_range, shear_range
from sheetengine.job import Job

GRAVITY = 9.80665


@dataclass(frozen=True, slots=True)
class Lean:
    """How the face of every lift leans, and what follows for its strongbacks.

    Attributes
    ----------
    angle, turned
        Of the face from vertical, and of the face against the face below, positive overhanging. [rad]
    head
        Part of the full head in the normal stress, sin^2 of an overhang.
    weight
        Part of the unit's weight that stands normal to the face on a square metre of panel, positive away from the
        concrete. [kPa]
    """

    angle: Column
    turned: Column
    head: Column
    weight: Column


def lean_of(job: Job, layout: Layout) -> Lean:
    """Return how every lift leans."""
    units = job.table("Form units")
    angle = np.radians(leans(job))
    below = np.where(layout.below >= 0, angle[np.maximum(layout.below, 0)], 0.0)
    area = taken(units.number("width"), layout.unit) * taken(units.number("panel_height"), layout.unit)
    mass = taken(units.number("mass"), layout.unit)
    return Lean(
        angle, angle - below, np.sin(np.maximum(angle, 0.0)) ** 2,
        mass / 1000.0 * GRAVITY * np.sin(angle) / area,
    )  # fmt: skip


def under_head(beams: Beams) -> Beams:
    """Return the same beams under the full head."""
    return replace(beams, maximum=beams.density * beams.lift)


def joined(method: Peaks, head: Peaks, lean: Lean) -> Peaks:
    """Return the peaks of both loads together; levels are heights of the concrete's surface, not lengths."""
    part = lean.head

    def both(one: Peak, other: Peak) -> Peak:
        amount = (1.0 - part) * np.abs(one.value) + np.where(part > 0.0, part * np.abs(other.value), 0.0)
        value = np.where(part > 0.0, np.where(one.value < 0.0, -amount, amount), one.value)
        return Peak(value, one.level * np.cos(lean.angle), one.height)

    def sum_of(one: Column, other: Column) -> Column:
        return np.where(part > 0.0, (1.0 - part) * one + part * other, one)

    return Peaks(
        hinge=both(method.hinge, head.hinge), brace=both(method.brace, head.brace),
        moment=both(method.moment, head.moment), shear=both(method.shear, head.shear), top=both(method.top, head.top),
        span=both(method.span, head.span), plumb=sum_of(method.plumb, head.plumb), plumb_of_wind=method.plumb_of_wind,
    )  # fmt: skip


def envelope(method: Beams, part: float, heights: Column) -> tuple[Column, Column, Column, Column]:
    """Return greatest and least moment, and greatest and least shear force, at heights of one beam.

    Parameters
    ----------
    method
        The beam under the method's pressure, once for every height.
    part
        Part of the full head.
    heights
        Along the strongback. [m]
    """
    head = under_head(method)
    found = []
    for ranges in (moment_range, shear_range):
        for one, other in zip(ranges(method, heights), ranges(head, heights), strict=True):
            found.append((1.0 - part) * one.value + part * other.value if part > 0.0 else one.value)
    most, least, up, down = found
    return most, least, up, down


def brace_of(
    reaction: Column, *, hinge: Column, brace: Column, foot_height: Column, reach: Column, turned: Column
) -> tuple[Column, Column]:
    """Return the force along the brace and its lift along the strongback; ``nan`` where the foot is not outside the panel.

    The foot stands in the bracket frame, which is in line with the face below; the strongback turns about its hinge.

    Parameters
    ----------
    reaction
        Reaction normal to the strongback. [kN]
    hinge, brace
        Hinge and upper end of the brace, along the strongback. [m]
    foot_height, reach
        Lower end of the brace above the joint, and out from a panel in line with the face below. [m]
    turned
        Angle of the face against the face below, positive outward. [rad]
    """
    up, out = foot_height - hinge, reach
    along = up * np.cos(turned) + out * np.sin(turned)
    away = out * np.cos(turned) - up * np.sin(turned)
    geometry = {
        "brace_height": brace - hinge,
        "brace_foot_height": along,
        "brace_reach": np.where(away > 0.0, away, np.nan),
    }
    return (
        brace_force(brace_reaction_force=reaction, **geometry),
        hinge_pull(brace_reaction_force=reaction, **geometry),
    )
