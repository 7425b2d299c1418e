"""Anchors as they were found, held against the layout, and the check of their units made again with what is there."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from sheetengine.columns import Column, Flags, Table, Texts, texts
from sheetengine.design.anchor_demand import anchor_demand
from sheetengine.design.copies import with_rows
from sheetengine.design.layout import Index, Layout, anchor_spots, end_distance, lay_out, positions_by_lift
from sheetengine.design.verdicts import verdicts
from sheetengine.job import Job

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation

MISSING, REPLACED = "missing", "replaced"
SHEET, LAYOUT = "As built", "Anchor positions"
NONE_LEFT = "no anchor left"


@dataclass(frozen=True, slots=True)
class Found:
    """One entry a planned anchor of a lift that was surveyed, and one for each anchor found outside the layout.

    Attributes
    ----------
    lift
        Row of the lift in which it is cast.
    holder
        Row of the lift whose units it holds.
    planned
        Planned position, ``nan`` outside the layout. [m]
    row
        Row of ``As built``, -1 where none speaks of it.
    position, depth
        Where it counts: as found, or as planned. [m]
    kind
        Row in ``Anchor types``.
    lost
        Whether it counts as missing.
    words
        How it differs; empty where it does not.
    """

    lift: Index
    holder: Index
    planned: Column
    row: Index
    position: Column
    depth: Column
    kind: Index
    lost: Flags
    words: Texts

    @property
    def differs(self) -> Flags:
        """Where something is not as planned."""
        return np.array([bool(text) for text in self.words.tolist()], dtype=bool)


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
        Hour at which the concrete has that strength. [h]
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


def all_planned(job: Job, layout: Layout, holders: Iterable[int]) -> dict[int, tuple[Column, Column]]:
    """Return position along the face and depth of the anchors that hold the units of some lifts, from the left end. [m]."""
    lifts, units, table = job.table("Lifts"), job.table("Form units"), job.table(LAYOUT)
    depth = units.number("anchor_depth")[layout.unit]
    listed, order = positions_by_lift(job)
    end = end_distance(job)
    found = {}
    for holder in holders:
        first, last = np.searchsorted(listed, [holder, holder + 1])
        rows = order[first:last]
        if rows.size:
            deep = np.where(table.given["depth"][rows], table.number("depth")[rows], depth[holder])
            found[holder] = table.number("position")[rows], deep
            continue
        length, count = float(lifts.number("face_length")[holder]), int(layout.anchors[holder])
        out = length / 2.0 if count == 1 else float(end[holder])
        found[holder] = np.linspace(out, length - out, count), np.full(count, depth[holder])
    return found


def planned_anchors(job: Job, layout: Layout, holder: int) -> tuple[Column, Column]:
    """Return position along the face and depth of the anchors that hold the units of a lift, from the left end. [m]."""
    return all_planned(job, layout, [holder])[holder]


def _matched(position: Column, depth: Column, at: Column, deep: Column, reach: float) -> Index:
    """Return, for each anchor found, the planned one that it is, -1 where none is near; the nearest pairs first."""
    found = np.full(at.size, -1, dtype=np.int64)
    if not at.size or not position.size:
        return found
    along = np.abs(at[:, np.newaxis] - position)
    down = np.where(np.isnan(deep)[:, np.newaxis], 0.0, np.abs(deep[:, np.newaxis] - depth))
    apart = np.where(along <= reach, np.hypot(along, down), np.inf)
    for flat in np.argsort(apart, axis=None, kind="stable").tolist():
        one, other = divmod(flat, position.size)
        if np.isinf(apart[one, other]):
            break
        if found[one] < 0 and other not in found:
            found[one] = other
    return found


def survey(c: Calculation) -> Found:
    """Return every anchor of the lifts that were surveyed, as it counts."""
    table, layout = c.job.table(SHEET), c.layout
    of_lift = c.job.lift_of(SHEET)
    tolerance, steepest = (
        c.job.number("Anchor place tolerance") / 1000.0,
        c.job.number("Greatest anchor angle"),
    )
    named = c.job.table("Anchor types").spread("anchor", table.label("anchor"))
    spacing = c.job.table("Lifts").number("anchor_spacing")
    lines: list[tuple[int, int, float, int, float, float, int, bool, str]] = []
    above = layout.above[np.unique(of_lift[of_lift >= 0])]
    layouts = all_planned(c.job, layout, above[above >= 0].tolist())
    for lift in np.unique(of_lift[of_lift >= 0]).tolist():
        holder = int(layout.above[lift])
        rows = np.flatnonzero(of_lift == lift)
        if holder < 0:
            lines += [
                (lift, -1, np.nan, int(row), np.nan, np.nan, -1, False, "no lift of this book stands on it")
                for row in rows
            ]
            continue
        position, depth = layouts[holder]
        at, deep = table.number("position")[rows], table.number("depth")[rows]
        gap = float(np.min(np.diff(np.unique(position)), initial=float(spacing[holder])))
        match = _matched(position, depth, at, deep, max(gap / 2.0, tolerance))
        kind = int(layout.anchor[holder])
        for place in range(position.size):
            mine = np.flatnonzero(match == place)
            if not mine.size:
                lines.append(
                    (
                        lift,
                        holder,
                        position[place],
                        -1,
                        position[place],
                        depth[place],
                        kind,
                        False,
                        "not surveyed",
                    )
                )
                continue
            row = int(rows[mine[0]])
            x = float(at[mine[0]])
            y = float(depth[place] if np.isnan(deep[mine[0]]) else deep[mine[0]])
            lost, own, words = _judged(c, table, row, kind, int(named[row]), steepest)
            aside, below = x - float(position[place]), y - float(depth[place])
            moved = max(abs(aside), abs(below)) > tolerance + 1e-9
            if moved and not lost:
                words = [*words, f"{abs(aside) * 1000.0:.0f} mm aside, {abs(below) * 1000.0:.0f} mm in depth"]
            elif not words and not moved and table.label("state")[row] == "out of line":
                words = ["out of line, within the tolerance of place and angle"]
            if lost or not moved:
                x, y = float(position[place]), float(depth[place])
            lines.append((lift, holder, position[place], row, x, y, own, lost, ", ".join(words)))
        for place in np.flatnonzero(match < 0).tolist():
            lines.append(
                (
                    lift,
                    holder,
                    np.nan,
                    int(rows[place]),
                    float(at[place]),
                    np.nan,
                    -1,
                    True,
                    "outside the layout",
                )
            )
    columns = list(zip(*lines, strict=True)) if lines else [()] * 9

    def whole(place: int) -> Index:
        return np.array(columns[place], dtype=np.int64)

    def real(place: int) -> Column:
        return np.array(columns[place], dtype=np.float64)

    return Found(whole(0), whole(1), real(2), whole(3), real(4), real(5), whole(6), np.array(columns[7], dtype=bool),
                 texts(columns[8]))  # fmt: skip


def _judged(
    c: Calculation, table: Table, row: int, planned: int, named: int, steepest: float
) -> tuple[bool, int, list[str]]:
    """Return whether a surveyed anchor counts as missing, its type, and how it differs in words."""
    state = str(table.label("state")[row])
    names = c.job.table("Anchor types").label("anchor")
    if state == MISSING:
        return True, planned, ["missing"]
    words = []
    angle = float(table.number("angle")[row])
    if angle > steepest:
        words.append(f"{angle:g} deg to the normal, more than {steepest:g}: counts as missing")
    if state == REPLACED and named < 0:
        words.append("replaced by a type that is not named: counts as missing")
    if words:
        return True, planned, words
    if named >= 0 and named != planned:
        return False, named, [f"{names[named]} in place of {names[planned]}"]
    if state == REPLACED:
        return False, planned, [f"replaced by another {names[planned]}"]
    return False, planned, []


def _with_positions(job: Job, found: Found, holders: Index) -> Job:
    """Return the job with the anchors of some lifts listed as they were found."""
    keep = np.flatnonzero(~np.isin(job.lift_of(LAYOUT), holders)).astype(np.int64)
    rows = np.flatnonzero(np.isin(found.holder, holders) & ~found.lost & (found.kind >= 0))
    return with_anchors(job, keep, found.holder[rows], found.position[rows], found.depth[rows])


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


def as_built(c: Calculation) -> AsBuilt:
    """Return the survey, and the check of the units on every lift that differs from its layout.

    Anchors that count as missing are left out, those out of line stand where they were found. Where types differ within
    a row, the row is judged with each of them throughout, and the worst counts: no worse than the truth.
    """
    found = survey(c)
    changed = found.differs & (found.words != "not surveyed") & (found.holder >= 0) & (found.row >= 0)
    changed &= ~np.isnan(found.planned)  # an anchor outside the layout holds nothing
    holders = np.unique(found.holder[changed])
    case = np.flatnonzero(np.isin(c.cases.holder, holders) & ~c.cases.lower & (c.cases.carrier >= 0)).astype(
        np.int64
    )
    count = len(c.job.table("Lifts"))
    left = np.bincount(found.holder[(found.holder >= 0) & ~found.lost], minlength=count).astype(np.float64)
    ratio, required = np.full(case.size, -np.inf), np.full(case.size, -np.inf)
    governing = np.full(case.size, "", dtype=object)
    bare = left[c.cases.holder[case]] == 0.0
    some = case[~bare]
    if some.size:
        job = _with_positions(c.job, found, holders)
        layout = lay_out(job)
        loads, strength = c.proof.loads.of(some), c.proof.strength[some]
        for kinds in _type_rounds(c, found, holders):
            own = replace(layout, anchor=kinds)
            cases = replace(c.cases.at(some), anchor=kinds[c.cases.holder[some]])
            tried = anchor_demand(job, own, cases, anchor_spots(job, own), loads, strength)
            worse = np.isnan(tried.ratio) | (tried.ratio > ratio[~bare])
            into = np.flatnonzero(~bare)[worse]
            ratio[into], governing[into] = tried.ratio[worse], tried.governing[worse]
            required[~bare] = np.maximum(required[~bare], tried.required)
    ratio[bare], required[bare], governing[bare] = np.inf, np.inf, NONE_LEFT
    outside = (c.demand.below[case] & (not c.job.text("Below-range accepted by"))) | c.demand.above[case]
    outside |= c.case_needs_tests[case]
    word = verdicts(
        ratio,
        c.job.number("Review threshold"),
        outside=outside & ~np.isnan(ratio) & ~bare,
        withheld=c.withheld[case] & ~bare,
    )
    return AsBuilt(
        found, case, c.layout.anchors[c.cases.holder[case]], left[c.cases.holder[case]],
        np.where(c.withheld[case], np.nan, c.demand.ratio[case]), ratio, required, texts(governing), word,
        c.history.hour(c.cases.carrier[case], required),
    )  # fmt: skip


def _type_rounds(c: Calculation, found: Found, holders: Index) -> list[Index]:
    """Return the anchor type of every lift, for as many rounds as the most mixed row has types."""
    by_holder = {
        holder: np.unique(found.kind[(found.holder == holder) & ~found.lost & (found.kind >= 0)])
        for holder in holders.tolist()
    }
    most = max((kinds.size for kinds in by_holder.values()), default=0)
    rounds = []
    for number in range(most):
        kinds = c.layout.anchor.copy()
        for holder, own in by_holder.items():
            if own.size:
                kinds[holder] = own[min(number, own.size - 1)]
        rounds.append(kinds)
    return rounds


@dataclass(frozen=True, slots=True)
class Ahead:
    """Anchors cast in each lift against those that the units on it need; one entry a unit that is short.

    Attributes
    ----------
    lift, holder
        Row of the lift in which they are cast, and of the one whose units they hold.
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
    surveyed, listed = set(found.lift.tolist()), set(positions_by_lift(c.job)[0].tolist())
    asked = [
        int(above)
        for lift, above in enumerate(c.layout.above.tolist())
        if above >= 0 and (lift in surveyed or above in listed)
    ]
    layout = all_planned(c.job, c.layout, asked)
    for lift in np.flatnonzero(c.layout.above >= 0).tolist():
        holder = int(c.layout.above[lift])
        if lift not in surveyed and holder not in listed:
            continue  # an even row is judged by its spacing
        position, _ = layout[holder]
        mine = (found.lift == lift) & ~np.isnan(found.planned)
        there = found.planned[mine & ~found.lost] if lift in surveyed else position
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
