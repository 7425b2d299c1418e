"""The check of the units made again with the anchors as they were found, and too few anchors for the units of the next lift."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from sheetengine.columns import Column, Texts, texts
from sheetengine.design.anchor_demand import anchor_demand
from sheetengine.design.anchor_survey import (
    LAYOUT,
    Found,
    all_planned,
    shared_lower_rows,
    survey,
)
from sheetengine.design.copies import with_rows
from sheetengine.design.layout import Index, anchor_spots, lay_out, lower_anchor, positions_by_lift
from sheetengine.design.verdicts import verdicts
from sheetengine.job import Job

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation

NONE_LEFT = "no anchor left"


@dataclass(frozen=True, slots=True)
class AsBuilt:
    """The survey, and the check as built: one entry a case of the units that hang on a lift that differs.

    Attributes
    ----------
    found
        The anchors.
    case
        Row among the cases.
    anchors, left
        Number of anchors planned and counted.
    planned, ratio, required
        Greatest ratio as planned and as built, and the strength needed as built; of several types in one row the worst
        counts for all. [-], [-], [MPa]
    governing, verdict
        Mode that governs as built, and how it is judged.
    ready
        Hour at which the concrete has that strength, ``nan`` for the foundation. [h]
    """

    found: Found
    case: Index
    anchors: Column
    left: Column
    planned: Column
    ratio: Column
    required: Column
    governing: Texts
    verdict: Texts
    ready: Column


def with_anchors(job: Job, keep: Index, holder: Index, position: Column, depth: Column) -> Job:
    """Return the job with some rows of ``Anchor positions`` kept, and further anchors listed: their lifts, positions and depths. [m]."""
    lifts, kept = job.table("Lifts"), with_rows(job.table(LAYOUT), keep)
    own = {"position": position, "depth": depth}
    listed = replace(
        kept,
        numbers={name: np.r_[column, own[name]] for name, column in kept.numbers.items()},
        labels={name: texts([*column, *lifts.label(name)[holder]]) for name, column in kept.labels.items()},
        raw={name: texts([*column, *lifts.raw[name][holder]]) for name, column in kept.raw.items()},
        given={name: np.r_[column, np.ones(holder.size, dtype=bool)] for name, column in kept.given.items()},
        rows=np.r_[kept.rows, np.full(holder.size, kept.head_row, dtype=np.int64)],
    )
    return replace(job, tables={**job.tables, LAYOUT: listed})


@dataclass(frozen=True, slots=True)
class _Again:
    """One row of anchors to be proved again: the lift whose units it holds, the survey's entries of it, and those that count."""

    holder: int
    lower: bool
    rows: Index
    there: Index


def _again(c: Calculation, found: Found) -> list[_Again]:
    """Return the rows of anchors in which something is not as planned; a lower row may be an earlier upper row."""
    told, counts = found.told, ~found.lost & (found.kind >= 0)
    rows: list[_Again] = []
    for lower in (False, True):
        for holder in np.unique(found.holder[told & (found.lower == lower)]).tolist():
            mine = np.flatnonzero((found.holder == holder) & (found.lower == lower))
            rows.append(_Again(holder, lower, mine, mine[counts[mine]]))
    changed = {row.holder: row for row in rows if not row.lower}
    if changed:
        planned = c.job.table("Form units").number("anchor_depth")[c.layout.unit]
        tolerance = c.job.number("Anchor place tolerance") / 1000.0 + 1e-9
        for holder, before in shared_lower_rows(c.job, c.layout).items():
            if before in changed:
                row = changed[before]
                # a lower row is as deep as its case says: an anchor at another depth counts as missing
                level = np.abs(found.depth[row.there] - planned[before]) <= tolerance
                rows.append(_Again(holder, True, row.rows, row.there[level]))
    return rows


def _relisted(c: Calculation, found: Found, rows: list[_Again]) -> Job:
    """Return the job with rows of anchors listed as they were found; all of them upper rows, or all lower ones."""
    holders = np.array([row.holder for row in rows], dtype=np.int64)
    keep = np.flatnonzero(~np.isin(c.job.lift_of(LAYOUT), holders)).astype(np.int64)
    entries = np.concatenate([row.there for row in rows])
    holder = np.repeat(holders, [row.there.size for row in rows])
    job, depth = c.job, found.depth[entries]
    if rows[0].lower:  # the case says how deep a lower row is; what is listed is the place of its brackets
        depth = job.table("Form units").number("anchor_depth")[c.layout.unit[holder]]
        lifts = job.table("Lifts")
        of_upper = replace(lifts, labels={**lifts.labels, "lower_anchor": texts([""] * len(lifts))})
        job = replace(job, tables={**job.tables, "Lifts": of_upper})
    return with_anchors(job, keep, holder, found.position[entries], depth)


def _type_rounds(c: Calculation, found: Found, rows: list[_Again]) -> list[Index]:
    """Return the anchor type of every lift, for as many rounds as the most mixed row has types."""
    by_holder = {row.holder: np.unique(found.kind[row.there]) for row in rows}
    most = max((kinds.size for kinds in by_holder.values()), default=0)
    rounds = []
    for number in range(most):
        kinds = (lower_anchor(c.job, c.layout) if rows[0].lower else c.layout.anchor).copy()
        for holder, own in by_holder.items():
            if own.size:
                kinds[holder] = own[min(number, own.size - 1)]
        rounds.append(kinds)
    return rounds


def _proved(c: Calculation, found: Found, rows: list[_Again], case: Index) -> tuple[Column, Column, Texts]:
    """Return ratio, strength needed and governing mode of some cases with the anchors of their rows as they were found."""
    ratio, required = np.full(case.size, -np.inf), np.full(case.size, -np.inf)
    governing = np.full(case.size, "", dtype=object)
    job = _relisted(c, found, rows)
    layout = lay_out(job)
    loads, strength = c.proof.loads.of(case), c.proof.strength[case]
    for kinds in _type_rounds(c, found, rows):
        own = replace(layout, anchor=kinds)
        cases = replace(c.cases.at(case), anchor=kinds[c.cases.holder[case]])
        tried = anchor_demand(job, own, cases, anchor_spots(job, own), loads, strength)
        worse = np.isnan(tried.ratio) | (tried.ratio > ratio)
        ratio[worse], governing[worse] = tried.ratio[worse], tried.governing[worse]
        required = np.maximum(required, tried.required)
    return ratio, required, governing


def as_built(c: Calculation) -> AsBuilt:
    """Return the survey, and the check of the units of every lift whose anchors differ from their layout.

    Anchors that count as missing are left out, those out of line stand where they were found. Where types differ within
    a row, the row is judged with each of them throughout, and the worst counts: no worse than the truth.
    """
    found = survey(c)
    again, size = _again(c, found), c.cases.holder.size
    asked, planned, left = np.zeros(size, dtype=bool), np.zeros(size), np.zeros(size)
    ratio, required = np.full(size, np.inf), np.full(size, np.inf)
    governing = np.full(size, NONE_LEFT, dtype=object)
    for lower in (False, True):
        rows = [row for row in again if row.lower == lower]
        of_row = c.cases.lower == lower
        for row in rows:
            mine = of_row & (c.cases.holder == row.holder)
            asked |= mine
            planned[mine], left[mine] = (
                float((~np.isnan(found.planned[row.rows])).sum()),
                float(row.there.size),
            )
        some = np.flatnonzero(asked & of_row & (left > 0.0)).astype(np.int64)
        if some.size:
            holding = [row for row in rows if row.there.size]
            ratio[some], required[some], governing[some] = _proved(c, found, holding, some)
    case = np.flatnonzero(asked).astype(np.int64)
    planned, left, ratio, required = planned[case], left[case], ratio[case], required[case]
    bare = left == 0.0
    outside = (c.demand.below[case] & (not c.job.text("Below-range accepted by"))) | c.demand.above[case]
    outside |= c.case_needs_tests[case]
    word = verdicts(
        ratio,
        c.job.number("Review threshold"),
        outside=outside & ~np.isnan(ratio) & ~bare,
        withheld=c.withheld[case] & ~bare,
    )
    in_lift = c.cases.carrier[case] >= 0
    ready = np.where(in_lift, c.history.hour(np.maximum(c.cases.carrier[case], 0), required), np.nan)
    return AsBuilt(
        found, case, planned, left, np.where(c.withheld[case], np.nan, c.demand.ratio[case]), ratio, required,
        texts(governing[case]), word, ready,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Ahead:
    """Anchors cast in each lift against those that the units on it need; one entry a unit that is short.

    Attributes
    ----------
    lift, holder
        Row of the lift in which they are cast, -1 for the foundation, and of the one whose units they hold.
    unit
        Number of the unit along the face, from 1.
    begin, end
        Where it stands. [m]
    needs, planned, has
        Anchors of a unit, of the layout, and those found (as planned where nothing was surveyed).
    """

    lift: Index
    holder: Index
    unit: Index
    begin: Column
    end: Column
    needs: Column
    planned: Column
    has: Column


def anchors_ahead(c: Calculation, found: Found) -> Ahead:
    """Return the units that have fewer anchors in the lift below than they need, by unit along the face.

    Units stand side by side from the left end; the last is cut by the end of the face and needs its part, rounded up.
    """
    lifts, units = c.job.table("Lifts"), c.job.table("Form units")
    lines: list[tuple[int, int, int, float, float, float, float, float]] = []
    upper = ~found.lower & ~np.isnan(found.planned)
    surveyed, listed = set(found.holder[upper].tolist()), set(positions_by_lift(c.job)[0].tolist())
    # an even row is judged by its spacing
    asked = [
        (int(below), holder)
        for holder, below in enumerate(c.layout.below.tolist())
        if holder in surveyed or (below >= 0 and holder in listed)
    ]
    layout = all_planned(c.job, c.layout, [holder for _, holder in asked])
    for lift, holder in sorted(asked):
        position, _ = layout[holder]
        there = (
            found.planned[upper & (found.holder == holder) & ~found.lost] if holder in surveyed else position
        )
        width, length = (
            float(units.number("width")[c.layout.unit[holder]]),
            float(lifts.number("face_length")[holder]),
        )
        each = float(units.number("anchors_per_unit")[c.layout.unit[holder]])
        for number in range(int(np.ceil(length / width - 1e-6))):
            begin, end = number * width, min((number + 1) * width, length)
            needs = float(np.ceil(each * (end - begin) / width - 1e-6))
            inside = [float(((at >= begin - 1e-9) & (at < end - 1e-9)).sum()) for at in (position, there)]
            if inside[1] < needs and (inside[1] < inside[0] or holder in listed):
                lines.append((lift, holder, number + 1, begin, end, needs, inside[0], inside[1]))
    columns = list(zip(*lines, strict=True)) if lines else [()] * 8
    whole = [np.array(columns[place], dtype=np.int64) for place in range(3)]
    real = [np.array(columns[place], dtype=np.float64) for place in range(3, 8)]
    return Ahead(*whole, *real)  # type: ignore[arg-type]
