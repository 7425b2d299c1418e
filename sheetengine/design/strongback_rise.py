"""The rate of rise up to which strongbacks and braces carry the concrete."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sheetengine.columns import Column, Flags, taken
from sheetengine.design.crossings import crossing
from sheetengine.design.layout import Index, Layout
from sheetengine.design.leaning_strongbacks import brace_of, lean_of, under_head
from sheetengine.design.pressure import Pressures, pressures
from sheetengine.design.strongback_peaks import carrying
from sheetengine.design.strongbacks import BRACE, MOMENT, SHEAR, beams_of
from sheetengine.job import Job

CARRYING = (MOMENT, SHEAR, BRACE)
"""What limits the pressure; the offset depends on the lean-in, which may be set anew."""


def carried_pressure(job: Job, layout: Layout, pressure: Pressures, steep: Flags) -> Column:
    """Return the pressure of the method up to which moment, shear and brace of every lift are within their capacities.

    ``inf`` where they are at the full head too, 0 where they are not without concrete, ``nan`` where no capacity is given
    or nothing is computed. [kPa]
    """
    units = job.table("Form units")

    def of_unit(key: str) -> Column:
        return taken(units.number(key), layout.unit)

    share = of_unit("width") / of_unit("strongbacks")
    capacity = np.stack([of_unit(key) for key in ("brace_capacity", "strongback_moment", "strongback_shear")])
    beams, leans = beams_of(job, layout, pressure, steep), lean_of(job, layout)
    most = taken(job.table("Mixes").number("unit_weight"), layout.mix) * job.table("Lifts").number("height")
    along = brace_of(
        np.ones(most.size), hinge=beams.hinge, brace=beams.brace, foot_height=of_unit("brace_foot_height"),
        reach=of_unit("brace_foot_offset"), turned=leans.turned,
    )[0]  # fmt: skip
    shown = ~np.isnan(np.sum([getattr(beams, name) for name in beams.__dataclass_fields__], axis=0))
    known = shown & ~np.isnan(capacity).all(axis=0)
    # lifts that are alike are asked once
    table = np.stack([*(getattr(beams, name) for name in beams.__dataclass_fields__ if name != "maximum"),
                      share, *capacity, along, leans.head, most])  # fmt: skip
    ask = np.flatnonzero(known)
    _, first, alike = np.unique(
        np.nan_to_num(table[:, ask], nan=-1.0), axis=1, return_index=True, return_inverse=True
    )
    rows = ask[first]

    def excess(value: Column, picked: Index) -> Column:
        own = rows[picked]
        method = replace(beams.taken(own), maximum=value)
        part = leans.head[own]
        found = np.abs(np.stack([peak.value for peak in carrying(method)]))
        over = np.flatnonzero(part > 0.0)
        if over.size:
            head = np.abs(np.stack([peak.value for peak in carrying(under_head(method.taken(over)))]))
            found[:, over] = (1.0 - part[over]) * found[:, over] + part[over] * head
        found[0] *= along[own]
        with np.errstate(invalid="ignore"):
            ratio = found * share[own] / capacity[:, own]
        return np.asarray(np.max(np.where(np.isnan(ratio), -np.inf, ratio), axis=0) - 1.0)

    every = np.arange(rows.size, dtype=np.int64)
    full = most[rows]
    none = full * 1e-9
    at_none, at_full = excess(none, every), excess(full, every)
    carried = np.where(at_full <= 0.0, np.inf, 0.0)
    between = np.flatnonzero((at_none <= 0.0) & (at_full > 0.0))
    carried[between] = crossing(excess, none[between], full[between], between)
    result = np.full(most.size, np.nan)
    result[ask] = carried[alike.reshape(-1)]
    return result


def greatest_rise(job: Job, layout: Layout, pressure: Pressures, steep: Flags) -> Column:
    """Return the rate of rise up to which strongbacks and braces are within their capacities; ``inf``: any, 0: none. [m/h]."""
    carried = carried_pressure(job, layout, pressure, steep)
    limit = np.where(np.isfinite(carried), np.maximum(carried, 1e-6), 1e9)
    found = pressures(job, layout, permissible=limit).greatest_rise
    found = np.where(np.isinf(carried), np.inf, np.where(carried == 0.0, 0.0, found))
    return np.asarray(np.where(np.isnan(carried), np.nan, found))
