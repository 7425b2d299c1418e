"""Lifts written once more, so that one input of each can be changed without the others feeling it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sheetengine.columns import Column, Table, Texts, texts
from sheetengine.design.layout import Index, Layout
from sheetengine.job import Job


def with_rows(table: Table, rows: Index, **labels: Texts) -> Table:
    """Return the rows picked as a table of their own, with some labels given anew."""
    return replace(
        table,
        numbers={name: column[rows] for name, column in table.numbers.items()},
        labels={name: column[rows] for name, column in table.labels.items()} | labels,
        raw={name: column[rows] for name, column in table.raw.items()},
        rows=table.rows[rows],
        given={name: column[rows] for name, column in table.given.items()},
    )


def with_column(job: Job, sheet: str, **columns: Column) -> Job:
    """Return the job with some numeric columns of a sheet replaced, as if the cells held them."""
    table = job.table(sheet)
    given = dict(table.given)
    for name in columns:
        given[name] = np.ones(len(table), dtype=bool)
    changed = replace(table, numbers={**table.numbers, **columns}, given=given)
    return replace(job, tables={**job.tables, sheet: changed})


def repeated(job: Job, layout: Layout, items: Index) -> tuple[Job, Layout, Index]:
    """Return a job with some lifts written once more below the others, and the rows of these copies.

    A copy stands in a block of its own by name, on the same lift below by its place, and keeps its listed
    anchors.
    """
    lifts, positions = job.table("Lifts"), job.table("Anchor positions")
    count = len(lifts)
    every = np.r_[np.arange(count, dtype=np.int64), items]
    names = texts(f"{lifts.label('block')[item]}\n{place}" for place, item in enumerate(items.tolist()))
    block = texts([*lifts.label("block"), *names])
    tables = {**job.tables, "Lifts": with_rows(lifts, every, block=block)}
    if len(positions):
        of_lift = job.lift_of("Anchor positions")
        order = np.argsort(of_lift, kind="stable").astype(np.int64)
        first = np.searchsorted(of_lift[order], items)
        number = np.searchsorted(of_lift[order], items, side="right") - first
        start = np.repeat(first - np.r_[0, np.cumsum(number)[:-1]], number)
        rows = order[np.arange(int(number.sum())) + start]
        own = texts([*positions.label("block"), *np.repeat(names, number)])
        more = np.r_[np.arange(len(positions), dtype=np.int64), rows]
        tables["Anchor positions"] = with_rows(positions, more, block=own)
    wider = Layout(**{name: getattr(layout, name)[every] for name in Layout.__slots__})
    return replace(job, tables=tables), wider, np.arange(count, every.size, dtype=np.int64)
