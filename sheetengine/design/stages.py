"""The stages in which the anchors are loaded: when, in which concrete."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from sheetengine.columns import Column, Flags, Texts, taken, texts
from sheetengine.design.faces import seats
from sheetengine.design.layout import Index, Layout, lower_anchor
from sheetengine.design.projections import has_projection
from sheetengine.design.wind import wind_on_cases
from sheetengine.job import Job

PLACING, STANDING, SET_BACK, HUNG, PROJECTION = range(5)
STAGE_NAMES = ("Placing", "Standing closed", "Set back", "Hung on the new lift", "Placing the projection")
SHOWN_ORDER = np.array([0, 2, 3, 4, 1])
"""Place of each stage among the rows of its lift."""
LOWER_ROW = ", lower row"
"""What the stage's name ends with where the lower row of anchors is meant."""
FILLED = (PLACING, PROJECTION)
"""Stages in which fresh concrete presses on the panel."""
FOUNDATION = -1


@dataclass(frozen=True, slots=True)
class Cases:
    """Every lift, stage and row of anchors, sorted by lift, then stage, the lower row behind the upper.

    Attributes
    ----------
    lift, stage
        Row of the lift that the result row belongs to, and the stage.
    holder
        Row whose units, anchors and spacing act: the lift itself, or the one above it for the stage Hung.
    carrier
        Row of the lift whose concrete holds the anchors, -1 for the foundation.
    seat
        Row of the lift on whose top the unit hangs, -1 for the foundation: the carrier of the upper row.
    lower
        Whether the anchors are those of the lower row.
    joint
        Lower row: from its anchors up to the joint above them; ``nan`` where the unit's anchor depth counts. [m]
    lean
        Inclination of the face that holds the anchors. [deg]
    anchor
        Row in ``Anchor types``.
    hour
        Hour from which the stage may begin; ``nan`` where no date says so. [h]
    people
        Where people stand on the platform.
    """

    lift: Index
    stage: Index
    holder: Index
    carrier: Index
    seat: Index
    lower: Flags
    joint: Column
    lean: Column
    anchor: Index
    hour: Column
    people: Flags

    def names(self) -> Texts:
        """Return the stage of every case in words."""
        return texts(
            STAGE_NAMES[stage] + (LOWER_ROW if lower else "")
            for stage, lower in zip(self.stage.tolist(), self.lower.tolist(), strict=True)
        )

    def at(self, rows: Index) -> Cases:
        """Return the cases at some rows."""
        return Cases(*(getattr(self, field.name)[rows] for field in fields(self)))


def hang_hours(job: Job, layout: Layout) -> Column:
    """Return the hour at which units are hung on each lift: Hung, else Stripped, else ``nan``, in hours.

    A unit hangs on a lift before the next lift is placed with it, so an hour after that placing (flagged
    elsewhere) counts as the hour of the placing.
    """
    lifts = job.table("Lifts")
    planned = np.where(np.isnan(lifts.number("hung")), lifts.number("stripped"), lifts.number("hung"))
    next_placed = taken(lifts.number("placed"), layout.above)
    return np.where(planned > next_placed, next_placed, planned)


def cases(job: Job, layout: Layout) -> Cases:
    """Return every lift and stage that has anchors.

    Placing begins at the planned hour of placing. The closed unit may meet the storm as soon as it hangs
    on the lift below. It is set back once the lift is stripped, or, where no hour of stripping is given,
    as early as at placing. First lifts rest on the foundation where its strength is given, and have no
    anchor rows otherwise. A projection is placed with its lift. Where the lower row is anchored, its anchors
    have cases of their own, in the lift in which the foot depth lands.
    """
    lifts, units = job.table("Lifts"), job.table("Form units")
    count = len(lifts)
    every = np.arange(count, dtype=np.int64)
    has_foundation = not np.isnan(job.number("Foundation strength"))
    held = (layout.below >= 0) | has_foundation
    placed, stripped, hung = lifts.number("placed"), lifts.number("stripped"), hang_hours(job, layout)
    hung_below = np.where(layout.below >= 0, taken(hung, layout.below), placed)
    after = np.where(np.isnan(stripped), placed, stripped)
    goes_on = (layout.above >= 0) | lifts.given["hung"]
    juts = held & has_projection(job)
    holder_above = np.where(layout.above >= 0, layout.above, every)
    parts = [
        (every[held], PLACING, every[held], layout.below[held], placed[held]),
        (every[held], STANDING, every[held], layout.below[held], hung_below[held]),
        (every[held], SET_BACK, every[held], layout.below[held], after[held]),
        (every[goes_on], HUNG, holder_above[goes_on], every[goes_on], hung[goes_on]),
        (every[juts], PROJECTION, every[juts], layout.below[juts], placed[juts]),
    ]
    lift = np.concatenate([part[0] for part in parts])
    stage = np.concatenate([np.full(part[0].size, part[1], dtype=np.int64) for part in parts])
    holder = np.concatenate([part[2] for part in parts])
    carrier = np.concatenate([part[3] for part in parts])
    hour = np.concatenate([part[4] for part in parts])
    platform = taken(units.number("platform_width"), layout.unit)[holder]
    people = ((platform > 0.0) & (stage != STANDING)) | (stage == PROJECTION)
    upper = Cases(
        lift, stage, holder, carrier, carrier, np.zeros(lift.size, dtype=bool), np.full(lift.size, np.nan),
        seats(job, layout, holder, carrier).carrier_inclination, layout.anchor[holder], hour, people,
    )  # fmt: skip
    return _with_lower_rows(job, layout, upper)


def anchored_below(job: Job, layout: Layout, holder: Index) -> Flags:
    """Return where the lower row of a lift's units is anchored."""
    anchored = np.array(
        [text == "anchored" for text in job.table("Form units").label("lower_row")], dtype=bool
    )
    return anchored[layout.unit[holder]]


def _with_lower_rows(job: Job, layout: Layout, upper: Cases) -> Cases:
    """Return the cases sorted by lift, stage and row, with those of anchored lower rows."""
    rows = np.flatnonzero(anchored_below(job, layout, upper.holder))
    own = upper.at(rows)
    seat = seats(job, layout, own.holder, own.seat)
    lower = replace(
        own,
        carrier=seat.foot_lift,
        lower=np.ones(rows.size, dtype=bool),
        joint=seat.foot_joint,
        lean=seat.foot_inclination,
        anchor=lower_anchor(job, layout)[own.holder],
    )
    both = Cases(*(np.concatenate([getattr(upper, f.name), getattr(lower, f.name)]) for f in fields(Cases)))
    return both.at(np.lexsort((both.lower, SHOWN_ORDER[both.stage], both.lift)))


def platform_offset(job: Job) -> Column:
    """Return the platform's centre out from the face; mass offset plus half its width where blank, in metres."""
    units = job.table("Form units")
    default = units.number("mass_offset") + units.number("platform_width") / 2.0
    return np.where(units.given["platform_offset"], units.number("platform_offset"), default)


def wind_pressure(job: Job, layout: Layout, found: Cases) -> Column:
    """Return the net wind pressure of every case: the storm on the closed unit, else the working wind. [kPa]."""
    return wind_on_cases(job, layout, holder=found.holder, standing=found.stage == STANDING)
