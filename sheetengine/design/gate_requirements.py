"""What the anchors ask of the concrete before a gate may open."""

from __future__ import annotations

import numpy as np

from sheetengine.columns import Column, Flags, Texts, texts
from sheetengine.design.anchor_demand import AnchorDemand, strength_range
from sheetengine.design.layout import Index, Layout
from sheetengine.design.readiness import HANG, PLACE_NEXT, SETTING_BACK, Gates, StrengthHistory, gates
from sheetengine.design.stages import FILLED, HUNG, SET_BACK, STANDING, Cases, hang_hours
from sheetengine.job import Job

GUARDED: dict[int, tuple[int, ...]] = {HANG: (HUNG, STANDING), PLACE_NEXT: FILLED, SETTING_BACK: (SET_BACK,)}
"""Stages whose anchors must hold before the gate opens."""


def _asked(
    found: Cases, required: Column, governing: Texts, lift: Index, rows: Index
) -> tuple[Index, Column, Texts]:
    """Return, for cases that a gate guards, the lift told, the strength required, and the words for it."""
    words = texts(
        f"Anchors, {stage}: {mode}"
        for stage, mode in zip(found.at(rows).names().tolist(), governing[rows].tolist(), strict=True)
    )
    return lift[rows], required[rows], words


def guarded_gates(
    job: Job,
    layout: Layout,
    found: Cases,
    demand: AnchorDemand,
    history: StrengthHistory,
    *,
    withheld: Flags,
    lifts_off: Flags,
) -> Gates:
    """Return every gate, each asking for the strength that the anchors it guards need.

    Parameters
    ----------
    job, layout, found, demand, history
        The job, its lifts, the anchor cases, what they need, and the strength of the lifts.
    withheld
        Cases whose required strength is not known.
    lifts_off
        Cases whose foot lifts off: no strength is enough.

    Notes
    -----
    Anchors of a unit's lower row that sit in the concrete of another lift are waited for by the hour at which
    that concrete is strong enough. Below the least strength of the anchor standard no gate opens unless the
    job names who accepted it.
    """
    required = np.where(lifts_off, np.inf, np.where(withheld, np.nan, demand.required))
    governing = texts(np.where(lifts_off, "Foot lift-off", demand.governing))
    standard = job.text("Anchor method")
    least = (0.0, "")
    if not job.text("Below-range accepted by"):
        least = (strength_range(standard)[0], f"Least strength of {standard}")
    on_seat, same = found.seat >= 0, found.carrier == found.seat
    here, elsewhere = {}, {}
    for gate, stages in GUARDED.items():
        guarded = on_seat & np.isin(found.stage, stages)
        here[gate] = _asked(found, required, governing, found.carrier, np.flatnonzero(guarded & same))
        rows = np.flatnonzero(guarded & ~same)
        lift, needed, words = _asked(found, required, governing, found.seat, rows)
        elsewhere[gate] = (lift, history.hour(found.carrier[rows], np.maximum(needed, least[0])), words)
    return gates(
        job,
        layout,
        history,
        hang_hour=hang_hours(job, layout),
        asked=here,
        least_strength=least,
        elsewhere=elsewhere,
    )
