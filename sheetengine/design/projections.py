"""Projections cast on a soffit that the bracket frame carries, with no shores below: floor edges, corbels, flares."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sheetengine.clauses.load_factors import EN_PARTIAL
from sheetengine.clauses.projection_loads import (
    part_moment,
    part_weight,
    working_load_aci347r,
    working_load_en12812,
)
from sheetengine.columns import Column, Flags, taken
from sheetengine.design.layout import Layout
from sheetengine.job import Job


def has_projection(job: Job) -> Flags:
    """Return the lifts that carry a projection."""
    return np.asarray(job.table("Lifts").number("projection_reach") > 0.0)


@dataclass(frozen=True, slots=True)
class Projections:
    """Projection of every lift; lifts without one reach 0 m.

    Attributes
    ----------
    reach
        Out from the face. [m]
    root, tip
        Thickness at the face and at the tip; the top is level. [m]
    density
        Weight density of the fresh concrete. [kN/m3]
    work
        Load of people, tools and heaped concrete on the soffit. [kPa]
    """

    reach: Column
    root: Column
    tip: Column
    density: Column
    work: Column

    def part(self, begin: Column, end: Column) -> tuple[Column, Column]:
        """Return weight and moment of the concrete between two distances from the face. [kN/m], [kN*m/m]."""
        some = self.reach > 0.0
        body = {
            "weight_density": np.where(some, self.density, 1.0),
            "root_thickness": np.where(some, self.root, 0.0),
            "tip_thickness": np.where(some, self.tip, 0.0),
            "projection_reach": np.where(some, self.reach, 1.0),
            "part_from": begin,
            "part_to": end,
        }
        return part_weight(**body), part_moment(**body)

    def working(self, begin: Column, end: Column) -> tuple[Column, Column]:
        """Return the working load between two distances from the face, and its moment. [kN/m], [kN*m/m]."""
        load = np.where(self.reach > 0.0, self.work, 0.0)
        return load * (end - begin), load * (end**2 - begin**2) / 2.0


def projections(job: Job, layout: Layout) -> Projections:
    """Return the projection of every lift, with the working load of the safety basis' document."""
    lifts = job.table("Lifts")
    reach = np.where(has_projection(job), lifts.number("projection_reach"), 0.0)
    root = lifts.number("projection_thickness")
    tip = np.where(lifts.given["projection_tip_thickness"], lifts.number("projection_tip_thickness"), root)
    density = taken(job.table("Mixes").number("unit_weight"), layout.mix)
    if job.text("Safety basis") == EN_PARTIAL:
        work = working_load_en12812(slab_weight=density * np.maximum(root, tip))
    else:
        work = working_load_aci347r(slab_weight=density * np.minimum(root, tip))
    return Projections(reach, root, tip, density, work)


def worst_part(*, reach: Column, at_face: Column, by_distance: Column) -> tuple[Column, Column]:
    """Return from where to where a projection is filled for the greatest effect. [m].

    A vertical load at the distance x has the effect ``at_face + by_distance x`` on what is looked at; the
    worst order fills wherever that is above 0. The effect changes its sign once at most, so the worst part
    goes from the face outward, from the tip inward, or over the whole reach.

    Examples
    --------
    A load tips the unit from 0.5 m on, over a reach of 2 m: filled from the tip inward to 0.5 m. The other
    way about: from the face out to 0.5 m.

    >>> worst_part(reach=np.full(2, 2.0), at_face=np.array([-0.5, 0.5]), by_distance=np.array([1.0, -1.0]))
    (array([0.5, 0. ]), array([2. , 0.5]))
    """
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        turn = np.where(by_distance == 0.0, 0.0, -at_face / by_distance)
    turn = np.minimum(np.maximum(turn, 0.0), reach)
    grows, falls = by_distance > 0.0, by_distance < 0.0
    level = np.where(at_face >= 0.0, reach, 0.0)
    begin = np.where(grows, turn, 0.0)
    end = np.where(grows, reach, np.where(falls, turn, level))
    return begin, end


def order_words(reach: float, begin: float, end: float) -> str:
    """Return the order of placing in words; empty without a projection."""
    if not reach > 0.0:
        return ""
    if end - begin >= reach - 1e-9:
        return "projection full"
    if end - begin <= 1e-9:
        return "projection empty"
    if begin > 0.0:
        return f"projection from the tip inward to {begin:.2f} m"
    return f"projection from the face out to {end:.2f} m"
