"""Findings of strongbacks, braces, offsets, layers and their exposure."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from sheetengine.clauses.strongback import REACTIONS
from sheetengine.design.strongbacks import BRACE, MOMENT, OFFSET, SHEAR
from sheetengine.design.verdicts import EXCEEDS, NEAR_LIMIT
from sheetengine.design.wording import To
from sheetengine.findings import Code, Finding, Level
from sheetengine.sources import Source

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation
    from sheetengine.design.flags import Places
    from sheetengine.design.wording import Wording

NEEDS = (
    ("hinge_height", "Hinge height"),
    ("brace_height", "Brace height"),
    ("brace_foot_offset", "Brace foot offset"),
    ("strongback_ei", "Strongback EI"),
    ("strongback_moment", "Strongback moment"),
    ("brace_capacity", "Brace capacity"),
)
"""Columns of ``Form units`` that the check of strongbacks and braces rests on."""


def strongback_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    """Return the findings of strongbacks and of the filling."""
    yield from _blank_flags(c, places)
    yield from _use_flags(c, say, places)
    yield from _offset_flags(c, say, places)
    yield from _layer_flags(c, say, places)
    yield from _exposure_flags(c, say, places)


def _blank_flags(c: Calculation, places: Places) -> Iterator[Finding]:
    units = c.job.table("Form units")
    for unit in np.unique(c.layout.unit).tolist():
        blank = [(key, name) for key, name in NEEDS if np.isnan(units.number(key)[unit])]
        if not blank:
            continue
        own = np.flatnonzero(c.layout.unit == unit)
        names = ", ".join(name for _, name in blank)
        yield Finding(
            Level.NOTE, Code.DEFAULT_TAKEN, units.at(unit, blank[0][0]),
            f"Unit {units.label('unit')[unit]} does not state {names}, so what rests on it is not computed in Strongbacks for lifts "
            f"{places.some(own)}.",
            clears="Give the heights of the unit and the supplier's values for strongback and brace, if they are to be checked.",
            about=places.names(own), keys=(str(units.label("unit")[unit]), "strongback"), heading="Strongbacks",
        )  # fmt: skip


def _use_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    s, units = c.strongbacks, c.job.table("Form units")
    threshold = c.job.number("Review threshold")
    for check, key, what in (
        (MOMENT, "strongback_moment", "the moment of a strongback"),
        (SHEAR, "strongback_shear", "the shear force of a strongback"),
        (BRACE, "brace_capacity", "the force of a brace"),
    ):
        ratio = s.ratios[check]
        peak = {MOMENT: s.moment, SHEAR: s.shear, BRACE: s.brace}[check]
        number = units.number("strongbacks")[c.layout.unit]
        for item in np.flatnonzero(ratio >= threshold).tolist():
            over = bool(ratio[item] > 1.0)
            enough = math.ceil(float(ratio[item] * number[item]) - 1e-9)
            way = (
                f"Take {enough} strongbacks a unit or stronger ones, or let the concrete rise more slowly."
                if check != BRACE
                else f"Take {enough} braces a unit, a stronger or a flatter one, or let the concrete rise more slowly."
            )
            yield Finding(
                Level.STOP if over else Level.ACCEPT, Code.EXCEEDS if over else Code.NEAR_LIMIT,
                units.at(int(c.layout.unit[item]), key),
                f"Lift {places.name(item)}: {what} is {say.ratio(float(ratio[item]))} of what it carries, with the concrete at "
                f"{say.length(float(peak.level[item]))} above the joint.",
                found=say.ratio(float(ratio[item])), limit="1.00" if over else f"{threshold:.2f}", source=REACTIONS,
                clears=way if over else "Accept it with initials, or leave more in hand.",
                keys=places.keys(item, check), heading=check,
            )  # fmt: skip


def _offset_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    s, lifts = c.strongbacks, places.lifts
    tolerance, threshold = c.job.number("Offset tolerance"), c.job.number("Review threshold")
    ratio = s.ratios[OFFSET]
    for item in np.flatnonzero(ratio >= threshold).tolist():
        over = bool(ratio[item] > 1.0)
        away = "outward" if s.offset[item] > 0.0 else "inward"
        lean = say.small_length(float(s.lean[item]))
        yield Finding(
            Level.STOP if over else Level.ACCEPT, Code.EXCEEDS if over else Code.NEAR_LIMIT,
            lifts.at(item, "lean_in_set"),
            f"Lift {places.name(item)}: its top finishes {say.small_length(abs(float(s.offset[item])))} {away} of plumb.",
            found=say.small_length(float(s.offset[item])), limit=say.small_length(tolerance),
            clears=f"Lean the panel in by {lean} at the top of the lift before placing, and enter it in Lean-in set.",
            keys=places.keys(item, "offset"), heading="Lean-in set",
        )  # fmt: skip


def _layer_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    f = c.filling
    for item in np.flatnonzero(f.by_layer & ~c.too_steep).tolist():
        yield Finding(
            Level.NOTE, Code.DEFAULT_TAKEN, places.lifts.at(item, "layer_depth"),
            f"Lift {places.name(item)}: a layer of {say.length(float(f.depth[item]))} placed at once presses with "
            f"{say.pressure(float(f.step[item]))}, more than {c.pressure.method} gives for the even rise; it is taken instead.",
            found=say.pressure(float(f.step[item])),
            source=Source("Hydrostatics", "a layer placed at once is fluid over its depth", REACTIONS.known),
            clears="Place shallower layers, or leave it.", keys=places.keys(item, "layer"), heading="Layer depth",
        )  # fmt: skip
    no_depth = ~np.isnan(f.window) & np.isnan(f.depth)
    if no_depth.any():
        rows = np.flatnonzero(no_depth)
        yield Finding(
            Level.NOTE, Code.DEFAULT_TAKEN, places.lifts.at(int(rows[0]), "layer_depth"),
            f"Lifts {places.some(rows)} have a mix with an Exposure window and no Layer depth, so the exposure of their layers is "
            "not computed.",
            clears="Give the depth of the layers.", about=places.names(rows), keys=("all", "layer depth"), heading="Layer depth",
        )  # fmt: skip


def _exposure_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    f, lifts = c.filling, places.lifts
    for item in np.flatnonzero(np.isin(f.verdict, (EXCEEDS, NEAR_LIMIT))).tolist():
        over = bool(f.ratio[item] > 1.0)
        key = "rise_rate" if lifts.given["rise_rate"][item] else "placing_rate"
        shallow = float(c.layout.rise[item] * f.window[item])
        yield Finding(
            Level.STOP if over else Level.ACCEPT, Code.EXCEEDS if over else Code.NEAR_LIMIT, lifts.at(item, key),
            f"Lift {places.name(item)}: the face of a layer stays open for {f.exposure[item]:.3g} h, and the mix allows "
            f"{f.window[item]:.3g} h; a cold joint may form.",
            found=f"{f.exposure[item]:.3g} h", limit=f"{f.window[item]:.3g} h",
            clears=f"Rise at no less than {say.rate(float(f.least_rise[item]), To.AT_LEAST)}, place layers of no more than "
            f"{say.length(shallow, To.AT_MOST)}, or delay the set.",
            keys=places.keys(item, "exposure"), heading="Layer depth",
        )  # fmt: skip
