"""Findings of inclined faces, projections and anchored lower rows."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from sheetengine.clauses.inclined_faces import ON_PLANES, STEEPEST, TRANSFORMED
from sheetengine.design.projections import has_projection
from sheetengine.design.stages import PLACING, PROJECTION
from sheetengine.findings import Code, Finding, Level

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation
    from sheetengine.design.flags import Places
    from sheetengine.design.wording import Wording


def face_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    """Return the findings of inclined faces, projections and anchored lower rows."""
    yield from _steep_flags(c, places)
    yield from _lean_flags(c, places)
    yield from _uplift_flags(c, say, places)
    yield from _projection_flags(c, places)
    yield from _lower_row_flags(c)


def _steep_flags(c: Calculation, places: Places) -> Iterator[Finding]:
    lifts = places.lifts
    for item in np.flatnonzero(c.too_steep).tolist():
        lean = float(lifts.number("face_inclination")[item])
        yield Finding(
            Level.STOP, Code.OUTSIDE_SCOPE, lifts.at(item, "face_inclination"),
            f"Lift {places.name(item)}: the face leans by {lean:g} deg. Pressure and anchors are computed up to {STEEPEST:g} deg "
            "either way; neither this lift nor the units that hang or bear on it are computed.",
            found=f"{lean:g} deg", limit=f"{STEEPEST:g} deg", source=ON_PLANES,
            clears="Prove this lift by other means, or form it as a soffit.", keys=places.keys(item, "steep"),
            heading="Face inclination",
        )  # fmt: skip


def _lean_flags(c: Calculation, places: Places) -> Iterator[Finding]:
    lifts = places.lifts
    leaning = (lifts.number("face_inclination") != 0.0) & ~c.too_steep
    items = np.flatnonzero(leaning)
    if items.size:
        yield Finding(
            Level.ACCEPT, Code.UNCONFIRMED_SOURCE, lifts.at(int(items[0]), "face_inclination"),
            f"Lifts {places.some(items)}: the methods of fresh-concrete pressure are written for vertical faces. On an overhang "
            "the weight of the concrete above is combined with their lateral pressure by the transformation of stress, on a "
            "batter their pressure is taken normal to the face.",
            source=TRANSFORMED,
            clears="Accept it with initials, and see that Mass offset and Platform offset are those of the unit set to this "
            "inclination.",
            about=places.names(items), keys=("all", "inclined"), heading="Face inclination",
        )  # fmt: skip


def _uplift_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    lifts = places.lifts
    lifting = (c.uplift > 0.0) & ~c.withheld
    for item in np.unique(c.cases.lift[lifting]).tolist():
        rows = np.flatnonzero(lifting & (c.cases.lift == item))
        worst = int(rows[np.argmax(c.uplift[rows])])
        stage = str(c.cases.at(np.array([worst])).names()[0])
        force = say.force(float(c.uplift[worst] * c.demand.width[worst]))
        pressed = "the fresh concrete lifts" if c.cases.stage[worst] == PLACING else "the loads lift"
        yield Finding(
            Level.ACCEPT, Code.PLAUSIBILITY, lifts.at(item, "face_inclination"),
            f"Lift {places.name(item)}, {stage}: {pressed} the unit with more than its weight; up to {force} of shear on one "
            "anchor point to the free joint above it, and edge break-out is checked that way.",
            found=force, limit="uplift less than the weight of the unit", source=ON_PLANES,
            clears="Tie the unit down, take a heavier one, or accept the upward shear with initials.",
            keys=places.keys(item, "uplift"), heading="Face inclination",
        )  # fmt: skip


def _projection_flags(c: Calculation, places: Places) -> Iterator[Finding]:
    lifts = places.lifts
    items = np.flatnonzero(has_projection(c.job))
    if items.size:
        yield Finding(
            Level.ACCEPT, Code.DEFAULT_TAKEN, lifts.at(int(items[0]), "projection_reach"),
            f"Lifts {places.some(items)} carry a projection on the bracket frame. The anchors are proved for it; the soffit, the "
            "form at its edge and the members of the frame are not.",
            clears="Prove soffit and frame by the supplier's data, and accept it with initials.",
            about=places.names(items), keys=("all", "projection"), heading="Projection reach",
        )  # fmt: skip
    held = np.isin(items, c.cases.lift[c.cases.stage == PROJECTION])
    for item in items[~held].tolist():
        yield Finding(
            Level.STOP, Code.NOT_COMPUTED, lifts.at(item, "projection_reach"),
            f"Lift {places.name(item)} carries a projection, but stands on a foundation whose strength is not given: its anchors "
            "are not computed.",
            limit="a Foundation strength", clears="Give Foundation strength, or prove this lift by other means.",
            keys=places.keys(item, "projection"), heading="Projection reach",
        )  # fmt: skip


def _lower_row_flags(c: Calculation) -> Iterator[Finding]:
    units = c.job.table("Form units")
    unit = c.layout.unit[c.cases.holder]
    for kind in np.unique(unit[c.cases.lower]).tolist():
        name = str(units.label("unit")[kind])
        yield Finding(
            Level.ACCEPT, Code.DEFAULT_TAKEN, units.at(kind, "lower_row"),
            f"Unit {name}: its lower row is proved with anchors at the places of the upper row, in the lift that the foot depth "
            "reaches and no nearer than that to the joint above them, which counts as a free edge. They are not in the embed "
            "counts.",
            clears="List the lower row's anchors in Embeds, and accept it with initials.", keys=(name, "lower row"),
            heading="Lower row",
        )  # fmt: skip
