"""The one change that clears a flag of the anchors, and what each change costs the programme."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sheetengine.design.stages import FILLED
from sheetengine.design.wording import To, Wording

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation


@dataclass(frozen=True, slots=True)
class Way:
    """A change that by itself brings every ratio of the case to 1, in words, and the hours it costs."""

    text: str
    hours: float
    """Hours by which the programme grows; ``nan``: not known from the planned dates."""


def _waiting(c: Calculation, say: Wording, case: int) -> Way | None:
    ready, planned = float(c.case_ready[case]), float(c.cases.hour[case])
    if c.cases.carrier[case] < 0 or not np.isfinite(ready) or np.isnan(planned) or ready <= planned:
        return None
    required = say.strength(float(c.demand.required[case]), To.AT_LEAST)
    return Way(f"not before {say.hour(ready)}, when {required} is reached", ready - planned)


def _foundation(c: Calculation, say: Wording, case: int) -> Way | None:
    required = float(c.demand.required[case])
    if c.cases.carrier[case] >= 0 or not np.isfinite(required):
        return None
    return Way(f"the foundation must have {say.strength(required, To.AT_LEAST)}", np.nan)


def _spacing(c: Calculation, say: Wording, case: int) -> Way | None:
    limits, holder = c.proof.limits, int(c.cases.holder[case])
    spacing, now = float(limits.spacing[case]), float(c.job.table("Lifts").number("anchor_spacing")[holder])
    if not 0.0 < spacing < now:
        return None
    count, present = int(limits.spacing_anchors[case]), int(c.layout.anchors[holder])
    return Way(
        f"anchors at no more than {say.length(spacing, To.AT_MOST)} ({count} on the face instead of {present})",
        0.0,
    )


def _embedment(c: Calculation, say: Wording, case: int) -> Way | None:
    least = float(c.proof.limits.embedment[case])
    if not np.isfinite(least):
        return None
    return Way(f"anchors of the same kind embedded at least {say.small_length(least, To.AT_LEAST)}", 0.0)


def _rise(c: Calculation, say: Wording, case: int) -> Way | None:
    if c.cases.stage[case] not in FILLED:
        return None
    holder = int(c.cases.holder[case])
    greatest, now = float(c.proof.limits.rise[case]), float(c.layout.rise[holder])
    if not 0.0 < greatest < now:
        return None
    height = float(c.job.table("Lifts").number("height")[holder])
    return Way(f"rise at no more than {say.rate(greatest, To.AT_MOST)}", height / greatest - height / now)


def _height(c: Calculation, say: Wording, case: int) -> Way | None:
    if c.cases.stage[case] not in FILLED:
        return None
    lifts, holder = c.job.table("Lifts"), int(c.cases.holder[case])
    greatest, now = float(c.proof.limits.height[case]), float(lifts.number("height")[holder])
    if not 0.0 < greatest < now:
        return None
    above = int(c.layout.above[holder])
    placed = lifts.number("placed")
    cycle = float(placed[above] - placed[holder]) if above >= 0 else np.nan
    return Way(f"a lift no higher than {say.length(greatest, To.AT_MOST)}", (now / greatest - 1.0) * cycle)


def ways(c: Calculation, say: Wording, case: int) -> list[Way]:
    """Return the changes that clear a case, the cheapest for the programme first; unknown costs last.

    Each leaves all other inputs, hours and strengths as planned. A lower lift costs its share of the planned
    cycle again, since the height left over must be placed in a lift of its own.
    """
    found = [
        way
        for make in (_spacing, _embedment, _rise, _waiting, _height, _foundation)
        if (way := make(c, say, case)) is not None
    ]
    return sorted(found, key=lambda way: np.inf if np.isnan(way.hours) else way.hours)


def cost_text(hours: float) -> str:
    """Write the hours that a change costs the programme."""
    if np.isnan(hours):
        return "cost not known"
    if hours == 0.0:
        return "no hours"
    return f"{hours:.1f} h" if hours < 9.95 else f"{np.ceil(hours):.0f} h"


def way_out(c: Calculation, say: Wording, case: int) -> str:
    """Return what would clear the case: the change at least cost to the programme, then the others."""
    found = ways(c, say, case)
    if not found:
        placing = c.cases.stage[case] in FILLED
        lighter = "a slower rise and a lower lift" if placing else "a lighter unit or less wind"
        return (
            "No change of one input alone clears it: a larger anchor, or closer spacing together with "
            f"{lighter}."
        )
    first, *others = found
    text = f"At least cost to the programme ({cost_text(first.hours)}): {first.text}."
    if others:
        text += " Or: " + "; ".join(f"{way.text} ({cost_text(way.hours)})" for way in others) + "."
    return text
