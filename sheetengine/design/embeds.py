"""What is cast into each lift: form anchors from the layout and the things of the ``Embeds`` sheet."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from sheetengine.cells import CellRef
from sheetengine.columns import Column, Flags, Rows, Table, Texts, months_of, taken, taken_texts, texts
from sheetengine.design.take_off import (
    Columns,
    against_stock,
    greatest_in_use,
    grouped,
    object_column,
    parts_of,
    plain_key,
    totals,
    whole_up,
)
from sheetengine.findings import Code, Finding, Level
from sheetengine.job import Job

FOUNDATION = "foundation"
"""Lift key of what is cast below the first lift of a block."""

LOWER_ROW = "layout, lower row"
"""Source of what lower rows of anchors ask for."""

FATES = ("lost", "recovered")
SUMS = ("Count", "With waste", "For payment")

_PARTS = ((FATES[0], "lost_parts", "Lost parts"), (FATES[1], "recovered_parts", "Recovered parts"))
_PART_KEYS = {fate: key for fate, key, _ in _PARTS}
_PARTS_CLEAR = "Write a number, or counts and names that start with a letter: cast-in head; 2 x spacer 50 mm."


@dataclass(frozen=True, slots=True)
class EmbedCounts:
    """Embeds of every lift, their totals, and what should be looked at.

    Attributes
    ----------
    columns
        ``Block``, ``Lift``, ``Item``, ``Fate``, ``Count``, ``With waste`` (not rounded), ``For payment``,
        ``Set by`` (hours since 30 December 1899), ``Month``, ``Mix``, ``Source``.
    lifts
        Item of ``Lifts`` that each row belongs to; for the foundation the first lift of its block; -1 where
        the lift is not known.
    by_item
        Totals by ``Item`` and ``Fate``, with ``To order`` (rounded up here and nowhere before; the greatest
        number in use of recovered items), ``Greatest in use`` and ``Reached`` (hours) of recovered items,
        ``On hand`` and ``Short`` where a stock is given.
    by_item_and_month, by_block
        Totals, ``With waste`` not rounded.
    findings
        What the counting noticed.
    """

    columns: Columns
    lifts: Rows
    by_item: Columns
    by_item_and_month: Columns
    by_block: Columns
    findings: list[Finding]


@dataclass(frozen=True, slots=True)
class _Parts:
    """Parts of the anchor types: type, name, fate and number of each; cells that cannot be read."""

    owner: Rows
    names: Texts
    fates: Texts
    each: Column
    faults: list[tuple[int, str, str, str, str]]


@dataclass(frozen=True, slots=True)
class _Rows:
    """Rows of one origin before they are put in order.

    ``lifts``, ``mixed`` and ``types`` are items of ``Lifts``, of the lift whose mix it is, and of ``Anchor
    types``, -1 where there is none; rows are sorted by ``order``.
    """

    block: Texts
    lift: Texts
    item: Texts
    fate: Texts
    count: Column
    paid: Column
    start: Column
    end: Column
    lifts: Rows
    mixed: Rows
    types: Rows
    order: Column
    source: Texts

    def sorted_with(self, *others: _Rows) -> _Rows:
        """Return these rows and the others in one order."""
        sets = (self, *others)
        order = np.argsort(np.concatenate([rows.order for rows in sets]), kind="stable")
        names = [part.name for part in fields(self)]
        return _Rows(*(np.concatenate([getattr(rows, name) for rows in sets])[order] for name in names))


def _parts_of_types(types: Table) -> _Parts:
    """Return every part of every anchor type, in the order of the types, and the faults of their cells."""
    read = [
        (item, fate, key, heading, str(types.label(key)[item]), parts_of(str(types.label(key)[item])))
        for item in range(len(types))
        for fate, key, heading in _PARTS
    ]
    anchors = types.label("anchor") if len(types) else texts([])
    flat = [(item, fate, part) for item, fate, _, _, _, parts in read for part in parts]
    return _Parts(
        owner=np.array([item for item, _, _ in flat], dtype=np.int64),
        names=texts(f"{anchors[item]}, {part.name or f'{fate} part'}" for item, fate, part in flat),
        fates=texts(fate for _, fate, _ in flat),
        each=np.array([part.each for _, _, part in flat], dtype=np.float64),
        faults=[
            (item, key, heading, text, told)
            for item, _, key, heading, text, parts in read
            if (told := "; ".join(part.fault for part in parts if part.fault))
        ],
    )


def _anchor_rows(
    lifts: Table, parts: _Parts, *, number: Column, types: Rows, start: Column, end: Column, below: bool
) -> _Rows:
    """Return a row for each lift and part of the form anchors cast into the lifts, or below them."""
    cast = ~(number == 0.0)
    known = np.flatnonzero(cast & (types >= 0))
    unknown = np.flatnonzero(cast & (types < 0))
    first = np.searchsorted(parts.owner, types[known], side="left")
    kinds = np.searchsorted(parts.owner, types[known], side="right") - first
    at = np.repeat(known, kinds)
    part = np.repeat(first - np.cumsum(kinds) + kinds, kinds) + np.arange(at.size)
    rows = np.concatenate((at, unknown))
    return _Rows(
        block=lifts.raw["block"][rows],
        lift=object_column(FOUNDATION, rows.size) if below else lifts.raw["lift"][rows],
        item=np.concatenate((parts.names[part], object_column("form anchor of unknown type", unknown.size))),
        fate=np.concatenate((parts.fates[part], object_column(FATES[0], unknown.size))),
        count=np.concatenate((number[at] * parts.each[part], np.full(unknown.size, np.nan))),
        paid=np.zeros(rows.size),
        start=start[rows],
        end=end[rows],
        lifts=rows,
        mixed=np.full(rows.size, -1) if below else rows,
        types=types[rows],
        order=np.asarray(rows - (0.6 if below else 0.2), dtype=np.float64),
        source=object_column("layout", rows.size),
    )


@dataclass(frozen=True, slots=True)
class LowerRows:
    """Lower rows of anchors, one entry a lift whose units have one.

    Attributes
    ----------
    holder, base, cast_in
        Row in ``Lifts`` of the lift whose units they hold, of the first lift of its block, and of the lift that they sit
        in; -1 for the foundation.
    kind, number
        Row in ``Anchor types``, and anchors in the row.
    there
        Whether they are the anchors of an upper row that is cast in and counted already.
    set_by, hung, released
        Hours at which the concrete reaches them, at which the units come onto them, and at which they leave; ``nan``: not
        known. [h]
    """

    holder: Rows
    base: Rows
    cast_in: Rows
    kind: Rows
    number: Column
    there: Flags
    set_by: Column
    hung: Column
    released: Column


def _lower_anchor_rows(lifts: Table, parts: _Parts, lower: LowerRows) -> _Rows:
    """Return a row for each part of the lower rows: lost ones where they are cast in for it, recovered ones always."""
    first = np.searchsorted(parts.owner, lower.kind, side="left")
    kinds = np.searchsorted(parts.owner, lower.kind, side="right") - first
    at = np.repeat(np.arange(lower.kind.size), kinds)
    part = np.repeat(first - np.cumsum(kinds) + kinds, kinds) + np.arange(at.size)
    keep = ~(lower.there[at] & (parts.fates[part] == FATES[0]))
    at, part = at[keep], part[keep]
    sits = lower.cast_in[at]
    below = sits < 0
    rows = np.where(below, lower.base[at], sits)
    return _Rows(
        block=lifts.raw["block"][rows],
        lift=np.where(below, object_column(FOUNDATION, rows.size), lifts.raw["lift"][rows]),
        item=parts.names[part],
        fate=parts.fates[part],
        count=lower.number[at] * parts.each[part],
        paid=np.zeros(rows.size),
        start=np.where(lower.there[at], lower.hung[at], lower.set_by[at]),
        end=lower.released[at],
        lifts=rows,
        mixed=np.where(below, -1, rows),
        types=lower.kind[at],
        order=np.asarray(rows - np.where(below, 0.5, 0.1), dtype=np.float64),
        source=object_column(LOWER_ROW, rows.size),
    )


def _embed_rows(job: Job) -> _Rows:
    """Return the rows of the ``Embeds`` sheet; they must be in place when placing starts."""
    lifts, embeds = job.table("Lifts"), job.table("Embeds")
    rows = len(embeds)
    if not rows:
        no_texts, no_numbers, no_items = texts([]), np.zeros(0), np.zeros(0, dtype=np.int64)
        return _Rows(*(no_texts,) * 4, *(no_numbers,) * 4, *(no_items,) * 3, no_numbers, no_texts)
    at = job.lift_of("Embeds")
    found = at >= 0
    block, lift = embeds.raw["block"].copy(), embeds.raw["lift"].copy()
    block[found], lift[found] = lifts.raw["block"][at[found]], lifts.raw["lift"][at[found]]
    count = embeds.number("count")
    return _Rows(
        block=block,
        lift=lift,
        item=embeds.raw["item"],
        fate=embeds.label("fate"),
        count=count,
        paid=np.where(embeds.yes("for_payment"), count, 0.0),
        start=taken(lifts.number("placed"), at),
        end=np.full(rows, np.nan),
        lifts=at,
        mixed=at,
        types=np.full(rows, -1),
        order=np.where(found, at, len(lifts)).astype(np.float64),
        source=object_column("Embeds sheet", rows),
    )


def _part_findings(types: Table, parts: _Parts, used: Rows) -> list[Finding]:
    """Return a finding for each parts cell, of a type in use, that cannot be read."""
    return [
        Finding(
            Level.STOP,
            Code.PLAUSIBILITY,
            types.at(item, key),
            f"{heading.lower()} of anchor {types.label('anchor')[item]} cannot be counted: {told}.",
            found=text,
            limit="a whole number of parts, or names with counts",
            clears=_PARTS_CLEAR,
            keys=(str(types.label("anchor")[item]),),
            heading=heading,
        )
        for item, key, heading, text, told in parts.faults
        if item in used
    ]


def _lift_findings(lifts: Table, where: Flags, heading: str) -> list[Finding]:
    """Return a finding for each lift with an unknown number or type of anchors cast in it or below it."""
    where_cast, complete = (
        ("below this lift", "this lift")
        if heading == "Foundation anchors"
        else ("into this lift", "the lift above")
    )
    return [
        Finding(
            Level.STOP,
            Code.NOT_COMPUTED,
            lifts.at(item, "anchor"),
            f"the form anchors to be cast {where_cast} are not counted: their number or type is not known.",
            clears=f"Complete the row of {complete} in the same block: anchor, anchor spacing, face length.",
            keys=(str(lifts.label("block")[item]), str(lifts.label("lift")[item])),
            heading=heading,
        )
        for item in np.flatnonzero(where).tolist()
    ]


def _early_findings(lifts: Table, early: Flags) -> list[Finding]:
    """Return a finding for each lift whose anchors are said to come free before they are set."""
    return [
        Finding(
            Level.ACCEPT,
            Code.PLAUSIBILITY,
            lifts.at(item, "placed"),
            "the units leave the anchors of this lift before the anchors are cast in; the recovered parts are "
            "counted as in use to the end.",
            clears="Put the dates of this lift and of the lifts above it in order.",
            keys=(str(lifts.label("block")[item]), str(lifts.label("lift")[item])),
            heading="Anchors come free",
        )
        for item in np.flatnonzero(early).tolist()
    ]


def _embed_findings(embeds: Table, built: _Rows) -> list[Finding]:
    """Return what should be looked at in the ``Embeds`` sheet."""
    findings = []
    in_foundation = np.array(
        [str(lift).strip().casefold() == FOUNDATION for lift in built.lift], dtype=np.bool_
    )
    for item in np.flatnonzero((built.lifts < 0) & ~in_foundation).tolist():
        findings.append(
            Finding(
                Level.STOP,
                Code.UNKNOWN_NAME,
                embeds.at(item, "lift"),
                f"lift {built.lift[item]} of block {built.block[item]} is not in Lifts, so this item has no month.",
                found=built.lift[item],
                limit="a block and lift of Lifts",
                clears="Name a lift of the Lifts sheet.",
                keys=(str(built.block[item]), str(built.lift[item]), str(built.item[item])),
                heading="Lift",
            )
        )
    broken = np.isfinite(built.count) & (built.count != np.floor(built.count))
    for item in np.flatnonzero(broken).tolist():
        findings.append(
            Finding(
                Level.NOTE,
                Code.PLAUSIBILITY,
                embeds.at(item, "count"),
                f"count {built.count[item]:g} is no whole number; the total is rounded up, the rows are not.",
                found=float(built.count[item]),
                limit="a whole number",
                clears="Give a whole number, or leave it where a length or an area is meant.",
                keys=(str(built.block[item]), str(built.lift[item]), str(built.item[item])),
                heading="Count",
            )
        )
    return findings


def embed_counts(
    job: Job,
    *,
    anchors_cast: Column,
    anchor_items: Rows,
    set_by: Column,
    released: Column,
    foundation_anchors: Column | None = None,
    foundation_released: Column | None = None,
    lower_rows: LowerRows | None = None,
) -> EmbedCounts:
    """Count what is cast into every lift, by item.

    Parameters
    ----------
    job
        The job as read; ``Lifts``, ``Anchor types``, ``Embeds``, ``Stock`` and the item ``Embed waste``.
    anchors_cast
        Form anchors cast into each lift; 0 where there are none. [-]
    anchor_items
        Item of ``Anchor types`` that is cast into each lift, -1 where there is none.
    set_by
        Hour at which the rising concrete reaches those anchors; they must be in place before. [h]
    released
        Hour at which the units leave those anchors; ``nan``: not known, in use to the end. [h]
    foundation_anchors
        Anchors cast below each lift, into the foundation; of the type of the lift's own units. [-]
    foundation_released
        Hour at which the units leave those; ``nan``: not known. [h]
    lower_rows
        Lower rows of anchors.

    Returns
    -------
    EmbedCounts
        Rows by block and lift as they stand in ``Lifts``; totals; findings. A count that cannot be made
        is ``nan``, never 0.
    """
    lifts, types, embeds = job.table("Lifts"), job.table("Anchor types"), job.table("Embeds")
    none = np.full(len(lifts), np.nan)
    early = released < set_by
    below_number = np.zeros(len(lifts)) if foundation_anchors is None else foundation_anchors
    parts = _parts_of_types(types)
    cast = _anchor_rows(
        lifts,
        parts,
        number=anchors_cast,
        types=anchor_items,
        start=set_by,
        end=np.where(early, np.nan, released),
        below=False,
    )
    below = _anchor_rows(
        lifts,
        parts,
        number=below_number,
        types=types.spread("anchor", lifts.label("anchor")),
        start=none,
        end=none if foundation_released is None else foundation_released,
        below=True,
    )
    other = _embed_rows(job)
    more = [] if lower_rows is None else [_lower_anchor_rows(lifts, parts, lower_rows)]
    rows = below.sorted_with(cast, *more, other)
    lost = np.asarray(rows.fate == FATES[0], dtype=np.bool_)
    columns: Columns = {
        "Block": rows.block,
        "Lift": rows.lift,
        "Item": rows.item,
        "Fate": rows.fate,
        "Count": rows.count,
        "With waste": np.where(lost, rows.count * (100.0 + job.number("Embed waste")) / 100.0, rows.count),
        "For payment": rows.paid,
        "Set by": rows.start,
        "Month": months_of(rows.start),
        "Mix": taken_texts(lifts.label("mix"), rows.mixed),
        "Source": rows.source,
    }
    by_item, first = _items(columns, rows.end)
    held, short = against_stock(job.table("Stock"), by_item, _places(job, rows, first))
    findings = [
        *_part_findings(types, parts, rows.types),
        *_lift_findings(
            lifts, np.isnan(anchors_cast) | ((anchors_cast > 0.0) & (anchor_items < 0)), "Anchors cast in"
        ),
        *_lift_findings(lifts, np.isnan(below_number), "Foundation anchors"),
        *_early_findings(lifts, early & (anchors_cast > 0.0)),
        *_embed_findings(embeds, other),
        *short,
    ]
    return EmbedCounts(
        columns=columns,
        lifts=rows.lifts,
        by_item={**by_item, **held},
        by_item_and_month=totals(columns, ("Item", "Fate", "Month"), SUMS),
        by_block=totals(columns, ("Block", "Item", "Fate"), SUMS),
        findings=findings,
    )


def _places(job: Job, rows: _Rows, first: Rows) -> list[CellRef]:
    """Return the cell of each item, at its anchor type or in the ``Embeds`` sheet."""
    lifts, types, embeds = job.table("Lifts"), job.table("Anchor types"), job.table("Embeds")
    named = {plain_key(name): row for row, name in reversed(list(enumerate(embeds.raw.get("item", ()))))}
    places = []
    for row in first.tolist():
        kind = int(rows.types[row])
        if kind >= 0:
            places.append(types.at(kind, _PART_KEYS[str(rows.fate[row])]))
        elif str(rows.source[row]).startswith("layout"):
            places.append(lifts.at(int(rows.lifts[row]), "anchor"))
        else:
            places.append(embeds.at(named[plain_key(rows.item[row])], "item"))
    return places


def _items(columns: Columns, end: Column) -> tuple[Columns, Rows]:
    """Return the totals by item, with what must be ordered or kept in use, and the first row of each item."""
    result = totals(columns, ("Item", "Fate"), SUMS)
    first, group = grouped(columns["Item"], columns["Fate"])
    greatest, reached = greatest_in_use(
        number=columns["Count"], start=columns["Set by"], end=end, group=group, groups=first.size
    )
    lost = result["Fate"] == FATES[0]
    result["To order"] = np.where(lost, whole_up(result["With waste"]), whole_up(greatest))
    result["Greatest in use"] = np.where(lost, np.nan, greatest)
    result["Reached"] = np.where(lost, np.nan, reached)
    return result, first
