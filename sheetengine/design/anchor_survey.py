"""Anchors as they were found, held against the layout: upper rows, lower rows of their own, and those in the foundation."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sheetengine.columns import Column, Flags, Texts, texts
from sheetengine.design.faces import seats
from sheetengine.design.layout import Index, Layout, brackets, end_distance, positions_by_lift
from sheetengine.design.lower_rows import lower_rows
from sheetengine.job import FOUNDATION_NAME, Job

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation

MISSING, REPLACED = "missing", "replaced"
SHEET, LAYOUT = "As built", "Anchor positions"
NOT_SURVEYED, OUTSIDE = "not surveyed", "outside the layout"
FOUNDATION = -1
"""Stands for the foundation where a row of ``Lifts`` is asked for."""


@dataclass(frozen=True, slots=True)
class Found:
    """One entry a planned anchor of a lift or foundation that was surveyed, and one for each anchor found outside the layout.

    Attributes
    ----------
    lift
        Row of the lift in which it is cast, -1 for the foundation.
    holder
        Row of the lift whose units it holds, -1 where there is none.
    lower
        Whether it stands in the lower row of these units.
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
    lower: Flags
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

    @property
    def told(self) -> Flags:
        """Where a row of the survey says that a planned anchor is not as planned."""
        return self.differs & (self.row >= 0) & (self.holder >= 0) & ~np.isnan(self.planned)


@dataclass(frozen=True, slots=True)
class PlannedRow:
    """Anchors that hold the units of one lift, in one lift or foundation.

    Attributes
    ----------
    cast_in, holder
        Rows in ``Lifts``; -1 for the foundation.
    lower
        Whether it is their lower row.
    position, depth
        Along the face from its left end, and below the joint. [m]
    kind
        Row in ``Anchor types``.
    """

    cast_in: int
    holder: int
    lower: bool
    position: Column
    depth: Column
    kind: int


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
    """Return position along the face and depth of the upper anchors of the units of a lift, from the left end. [m]."""
    return all_planned(job, layout, [holder])[holder]


def own_lower_rows(job: Job, layout: Layout) -> list[PlannedRow]:
    """Return the lower rows that are cast in for themselves: one anchor a bracket."""
    rows = lower_rows(job, layout)
    own = np.flatnonzero(~rows.there)
    holders = rows.holder[own]
    joint = seats(job, layout, holders, layout.below[holders]).foot_joint
    upper = all_planned(job, layout, holders.tolist())
    found = []
    for place, holder in enumerate(holders.tolist()):
        hung = upper[holder][0]
        _, at = brackets(np.full(hung.size, holder), hung)
        found.append(PlannedRow(int(rows.cast_in[own[place]]), holder, True, at, np.full(at.size, joint[place]),
                                int(rows.kind[own[place]])))  # fmt: skip
    return found


def shared_lower_rows(job: Job, layout: Layout) -> dict[int, int]:
    """Return, for every lift whose units have a lower row that uses an earlier upper row, the lift whose units that row held."""
    rows = lower_rows(job, layout)
    user = np.where(rows.cast_in >= 0, layout.above[np.maximum(rows.cast_in, 0)], rows.base)
    return {
        int(holder): int(before)
        for holder, before, there in zip(rows.holder, user, rows.there, strict=True)
        if there and before >= 0
    }


def lowest_of_block(layout: Layout, lift: int) -> int:
    """Return the row of the first lift of a lift's block."""
    while layout.below[lift] >= 0:
        lift = int(layout.below[lift])
    return lift


def surveyed_foundations(job: Job, layout: Layout) -> Index:
    """Return, for each row of ``As built`` about the foundation, the row of the first lift of its block; -1 for other rows."""
    table, lifts = job.table(SHEET), job.table("Lifts")
    first = {
        str(lifts.label("block")[lift]).casefold(): lift
        for lift in np.flatnonzero(layout.below < 0).tolist()[::-1]
    }
    in_lift = job.lift_of(SHEET) >= 0
    return np.array(
        [
            first.get(str(block).casefold(), -1)
            if str(lift).casefold() == FOUNDATION_NAME and not known
            else -1
            for block, lift, known in zip(table.label("block"), table.label("lift"), in_lift.tolist(), strict=True)
        ],
        dtype=np.int64,
    )  # fmt: skip


def _matched(position: Column, depth: Column, at: Column, deep: Column, reach: Column) -> Index:
    """Return, for each anchor found, the planned one that it is, -1 where none is near; the nearest pairs first.

    ``reach``: of every planned one along the face. [m]
    """
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


@dataclass(slots=True)
class _Line:
    """One entry of :class:`Found`, in its order."""

    lift: int
    holder: int
    lower: bool
    planned: float
    row: int
    position: float
    depth: float
    kind: int
    lost: bool
    words: str


class _Surveyor:
    """Judges the rows of ``As built``, lift by lift."""

    def __init__(self, c: Calculation) -> None:
        self.job, self.table = c.job, c.job.table(SHEET)
        self.tolerance = c.job.number("Anchor place tolerance") / 1000.0
        self.steepest = c.job.number("Greatest anchor angle")
        self.named = c.job.table("Anchor types").spread("anchor", self.table.label("anchor"))
        self.spacing = c.job.table("Lifts").number("anchor_spacing")

    def lines(self, lift: int, rows: Index, planned: list[PlannedRow]) -> list[_Line]:
        """Return the entries of one lift or foundation."""
        if not planned:
            return [
                _Line(lift, -1, False, np.nan, int(row), np.nan, np.nan, -1, False, "no lift of this book stands on it")
                for row in rows
            ]  # fmt: skip
        at, deep = self.table.number("position")[rows], self.table.number("depth")[rows]
        reach = [
            np.full(own.position.size, max(float(np.min(np.diff(np.unique(own.position)),
                                                        initial=float(self.spacing[own.holder]))) / 2.0, self.tolerance))
            for own in planned
        ]  # fmt: skip
        match = _matched(
            np.concatenate([own.position for own in planned]), np.concatenate([own.depth for own in planned]), at, deep,
            np.concatenate(reach),
        )  # fmt: skip
        found, place = [], 0
        for own in planned:
            for x, y in zip(own.position.tolist(), own.depth.tolist(), strict=True):
                mine = np.flatnonzero(match == place)
                place += 1
                row = int(rows[mine[0]]) if mine.size else -1
                found.append(self._line(lift, own, x, y, row))
        for left in np.flatnonzero(match < 0).tolist():
            found.append(
                _Line(lift, planned[0].holder, False, np.nan, int(rows[left]), float(at[left]), np.nan, -1, True, OUTSIDE)
            )  # fmt: skip
        return found

    def _line(self, lift: int, own: PlannedRow, x: float, y: float, row: int) -> _Line:
        """Return the entry of one planned anchor and the row that speaks of it, -1 where none does."""
        if row < 0:
            return _Line(lift, own.holder, own.lower, x, row, x, y, own.kind, False, NOT_SURVEYED)
        at, deep = float(self.table.number("position")[row]), float(self.table.number("depth")[row])
        deep = y if np.isnan(deep) else deep
        lost, kind, words = self._judged(row, own.kind)
        aside, below = abs(at - x), abs(deep - y)
        moved = max(aside, below) > self.tolerance + 1e-9
        if moved and not lost:
            words = [*words, f"{aside * 1000.0:.0f} mm aside, {below * 1000.0:.0f} mm in depth"]
            if own.lower and below > self.tolerance + 1e-9:
                lost, words = True, [*words, "of a lower row: counts as missing"]
        elif not words and not moved and self.table.label("state")[row] == "out of line":
            words = ["out of line, within the tolerance of place and angle"]
        if lost or not moved:
            at, deep = x, y
        return _Line(lift, own.holder, own.lower, x, row, at, deep, kind, lost, ", ".join(words))

    def _judged(self, row: int, planned: int) -> tuple[bool, int, list[str]]:
        """Return whether a surveyed anchor counts as missing, its type, and how it differs in words."""
        state, named = str(self.table.label("state")[row]), int(self.named[row])
        names = self.job.table("Anchor types").label("anchor")
        if state == MISSING:
            return True, planned, ["missing"]
        words = []
        angle = float(self.table.number("angle")[row])
        if angle > self.steepest:
            words.append(f"{angle:g} deg to the normal, more than {self.steepest:g}: counts as missing")
        if state == REPLACED and named < 0:
            words.append("replaced by a type that is not named: counts as missing")
        if words:
            return True, planned, words
        if named >= 0 and named != planned:
            return False, named, [f"{names[named]} in place of {names[planned]}"]
        if state == REPLACED:
            return False, planned, [f"replaced by another {names[planned]}"]
        return False, planned, []


def survey(c: Calculation) -> Found:
    """Return every anchor of the lifts and foundations that were surveyed, as it counts."""
    layout = c.layout
    of_lift, of_base = c.job.lift_of(SHEET), surveyed_foundations(c.job, layout)
    lower = own_lower_rows(c.job, layout) if of_lift.size else []
    lifts, bases = np.unique(of_lift[of_lift >= 0]).tolist(), np.unique(of_base[of_base >= 0]).tolist()
    holders = [int(layout.above[lift]) for lift in lifts] + bases
    upper = all_planned(c.job, layout, [holder for holder in holders if holder >= 0])
    surveyor, lines = _Surveyor(c), []
    places = [(lift, np.flatnonzero(of_lift == lift)) for lift in lifts]
    places += [(FOUNDATION, np.flatnonzero(of_base == base)) for base in bases]
    for (lift, rows), holder in zip(places, holders, strict=True):
        planned = []
        if holder >= 0:
            planned.append(PlannedRow(lift, holder, False, *upper[holder], int(layout.anchor[holder])))
        planned += [
            own for own in lower
            if own.cast_in == lift and (lift >= 0 or lowest_of_block(layout, own.holder) == holder)
        ]  # fmt: skip
        lines += surveyor.lines(lift, rows.astype(np.int64), planned)

    def whole(name: str) -> Index:
        return np.array([getattr(line, name) for line in lines], dtype=np.int64)

    def real(name: str) -> Column:
        return np.array([getattr(line, name) for line in lines], dtype=np.float64)

    def said(name: str) -> Flags:
        return np.array([getattr(line, name) for line in lines], dtype=bool)

    return Found(
        whole("lift"), whole("holder"), said("lower"), real("planned"), whole("row"), real("position"), real("depth"),
        whole("kind"), said("lost"), texts(line.words for line in lines),
    )  # fmt: skip
