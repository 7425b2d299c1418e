"""Strongbacks of every lift: worst loads while it fills, utilisation, lean-in and the offset between lifts."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sheetengine.clauses.strongback import load_integral
from sheetengine.clauses.unit_statics import anchor_tension, foot_force
from sheetengine.columns import Column, Flags, Texts, taken, texts
from sheetengine.design.bracketing import greatest
from sheetengine.design.layout import Index, Layout
from sheetengine.design.leaning_strongbacks import Lean, brace_of, joined, lean_of, under_head
from sheetengine.design.pressure import Pressures
from sheetengine.design.strongback_peaks import Beams, Peak, Peaks, peaks
from sheetengine.design.verdicts import verdicts
from sheetengine.job import Job

MOMENT, SHEAR, BRACE, OFFSET = "Strongback moment", "Strongback shear", "Brace force", "Offset"
CHECKS = (MOMENT, SHEAR, BRACE, OFFSET)
MILLIMETRES = 1000.0


@dataclass(frozen=True, slots=True)
class Strongbacks:
    """What each lift asks of one strongback and its brace; forces in kN and kN*m, deflections in mm, heights in m.

    Attributes
    ----------
    beams
        Strongbacks on a metre of face.
    share
        Metres of face that one strongback carries. [m]
    hinge, brace, moment, shear, top, span
        Peaks of one strongback; ``brace`` is the horizontal reaction.
    axial, pull
        Force along the brace, and its lift at the hinge.
    lean
        Lean-in at the top of the lift with which the full lift finishes in its plane there. [mm]
    offset
        How far the top of the lift finishes out of plumb with the lean-in that is set. [mm]
    tension_level, foot_level
        Level of the concrete at which anchor tension and foot force are greatest; ``nan`` for leaning faces. [m]
    ratios
        Demand over capacity by check.
    """

    beams: Beams
    share: Column
    hinge: Peak
    brace: Peak
    moment: Peak
    shear: Peak
    top: Peak
    span: Peak
    axial: Column
    pull: Column
    lean: Column
    offset: Column
    tension_level: Column
    foot_level: Column
    ratios: dict[str, Column]
    governing: Texts
    ratio: Column
    verdict: Texts
    leans: Lean


def _where(rows: Flags, b: Beams) -> Beams:
    """Return the beams of some rows, and none in the others."""
    return replace(b, lift=np.where(rows, b.lift, np.nan))


def _times(peak: Peak, factor: Column) -> Peak:
    return Peak(peak.value * factor, peak.level, peak.height)


def beams_of(job: Job, layout: Layout, pressure: Pressures, withheld: Flags) -> Beams:
    """Return the strongbacks of every lift on a metre of face under the pressure of the method, lengths along them.

    ``nan`` stands where something is missing or withheld.
    """
    lifts, units, mixes = job.table("Lifts"), job.table("Form units"), job.table("Mixes")
    panel = taken(units.number("panel_height"), layout.unit)
    lean = lean_of(job, layout)
    height = lifts.number("height") / np.cos(lean.angle)
    shown = np.where(withheld | (height > panel + 1e-9), np.nan, 1.0)
    working = np.full(height.size, job.number("Working wind"))
    storm = working if np.isnan(job.number("Storm wind")) else np.full(height.size, job.number("Storm wind"))
    return Beams(
        hinge=taken(units.number("hinge_height"), layout.unit),
        brace=taken(units.number("brace_height"), layout.unit),
        panel=panel,
        lift=np.minimum(height, panel) * shown,
        maximum=pressure.maximum,
        density=taken(mixes.number("unit_weight"), layout.mix) * np.cos(lean.angle),
        working=working + np.abs(lean.weight),
        storm=storm + np.abs(lean.weight),
    )


def _alike(b: Beams) -> tuple[Beams, Index]:
    """Return the beams that differ, and for each row the one it is."""
    table = np.stack([getattr(b, name) for name in b.__dataclass_fields__], axis=1)
    rows, place = np.unique(table, axis=0, return_inverse=True)
    return Beams(*np.ascontiguousarray(rows.T)), place.reshape(-1).astype(np.int64)


def _peaks(b: Beams) -> Peaks:
    """Return the peaks of every row; what is missing in a row leaves the others alone."""
    blank = np.isnan(np.sum([getattr(b, name) for name in b.__dataclass_fields__], axis=0))
    different, place = _alike(b.taken(np.flatnonzero(~blank)))
    found = peaks(different)

    def spread(column: Column) -> Column:
        whole = np.full(blank.size, np.nan)
        whole[~blank] = column[place]
        return whole

    def own(peak: Peak) -> Peak:
        return Peak(spread(peak.value), spread(peak.level), spread(peak.height))

    return Peaks(
        own(found.hinge), own(found.brace), own(found.moment), own(found.shear), own(found.top),
        own(found.span), spread(found.plumb), spread(found.plumb_of_wind),
    )  # fmt: skip


def anchor_levels(job: Job, layout: Layout, b: Beams) -> tuple[Column, Column]:
    """Return the level of the concrete at which anchor tension and foot force of placing are greatest, in metres.

    Both are the pressure times a lever that grows with the height, so that their second derivative in the
    level is nowhere below nothing, and only the ends of the rise come into question.
    """
    units = job.table("Form units")
    anchor, foot = (taken(units.number(key), layout.unit) for key in ("anchor_depth", "foot_depth"))
    none = np.zeros_like(b.lift)

    def tension(row: Index, level: Column) -> tuple[Column, Column]:
        own = b.taken(row)
        load = {
            "maximum_pressure": own.maximum, "weight_density": own.density, "concrete_level": level,
            "wind_pressure": np.zeros_like(level), "height": level,
        }  # fmt: skip
        force = load_integral(1, **load)
        moment = level * force - load_integral(2, **load)
        pull = anchor_tension(
            anchor_depth=anchor[row], foot_depth=foot[row], pressure_force=force,
            pressure_force_height=np.where(force > 0.0, moment / np.where(force > 0.0, force, 1.0), 0.0 * force),
            weight_moment=0.0 * level, wind_force=0.0 * level, wind_force_height=0.0 * level,
        )  # fmt: skip
        return pull, foot_force(tension_force=pull, pressure_force=force, wind_force=0.0 * level)

    levels = []
    for which in (0, 1):

        def amount(row: Index, at: list[Column], which: int = which) -> Column:
            return tension(row, at[0])[which]

        levels.append(greatest(amount, [none], [b.lift], [none])[1][0])
    return levels[0], levels[1]


def strongbacks(job: Job, layout: Layout, pressure: Pressures, withheld: Flags) -> Strongbacks:
    """Return what every lift asks of one strongback, at service level, over every level of its concrete.

    The strongbacks of a unit share its width evenly and each has a brace of its own. Capacities are
    permissible values, as the permissible pressure is, so that no load factor enters.
    """
    lifts, units = job.table("Lifts"), job.table("Form units")

    def of_unit(key: str) -> Column:
        return taken(units.number(key), layout.unit)

    b = beams_of(job, layout, pressure, withheld)
    leans = lean_of(job, layout)
    share = of_unit("width") / of_unit("strongbacks")
    found = _peaks(b)
    overhanging = leans.head > 0.0
    if overhanging.any():
        found = joined(found, _peaks(_where(overhanging, under_head(b))), leans)
    else:
        found = joined(found, found, leans)
    brace = _times(found.brace, share)
    axial, pull = brace_of(
        brace.value, hinge=b.hinge, brace=b.brace, foot_height=of_unit("brace_foot_height"),
        reach=of_unit("brace_foot_offset"), turned=leans.turned,
    )  # fmt: skip
    bend = share / of_unit("strongback_ei") * MILLIMETRES
    lean = (found.plumb + leans.weight * found.plumb_of_wind) * bend
    offset = lean - lifts.number("lean_in_set")
    moment, shear = _times(found.moment, share), _times(found.shear, share)
    ratios = {
        MOMENT: np.abs(moment.value) / of_unit("strongback_moment"),
        SHEAR: np.abs(shear.value) / of_unit("strongback_shear"),
        BRACE: np.abs(axial) / of_unit("brace_capacity"),
        OFFSET: np.abs(offset) / job.number("Offset tolerance"),
    }
    asked = {
        MOMENT: np.ones(share.size, dtype=bool),
        SHEAR: ~np.isnan(of_unit("strongback_shear")),
        BRACE: np.ones(share.size, dtype=bool),
        OFFSET: np.full(share.size, not np.isnan(job.number("Offset tolerance"))),
    }
    ratio, governing, verdict = _judge(ratios, asked, job.number("Review threshold"))
    upright = (leans.angle == 0.0) & (leans.turned == 0.0)
    tension_level, foot_level = anchor_levels(job, layout, _where(upright, b))
    return Strongbacks(
        beams=b, share=share, hinge=_times(found.hinge, share), brace=brace, moment=moment, shear=shear,
        top=_times(found.top, bend), span=_times(found.span, bend), axial=axial,
        pull=pull, lean=lean, offset=offset, leans=leans,
        tension_level=tension_level, foot_level=foot_level, ratios=ratios, governing=governing, ratio=ratio,
        verdict=verdict,
    )  # fmt: skip


def _judge(
    ratios: dict[str, Column], asked: dict[str, Flags], threshold: float
) -> tuple[Column, Texts, Texts]:
    """Return the greatest ratio, its check, and the verdict.

    Moment and brace are always asked, shear and offset where a capacity or tolerance is given. A ratio
    above 1 exceeds whatever else is blank; otherwise a row with a blank among those asked is not computed.
    """
    table = np.stack([np.where(np.isnan(ratios[check]), -np.inf, ratios[check]) for check in CHECKS])
    best = np.max(table, axis=0)
    ratio = np.where(np.isinf(best), np.nan, best)
    names = texts(CHECKS[place] for place in np.argmax(table, axis=0).tolist())
    missing = np.any(np.stack([asked[check] & np.isnan(ratios[check]) for check in CHECKS]), axis=0)
    word = verdicts(ratio, threshold, withheld=missing & ~(ratio > 1.0))
    return ratio, texts(np.where(np.isnan(ratio), "", names)), word
