"""One lift whose temperatures are drawn, and what another placing temperature and a longer wait do to it."""

from __future__ import annotations

from typing import Any

import numpy as np

from sheetengine.columns import Column, Texts, texts
from sheetengine.design.copies import with_column
from sheetengine.design.corner_heat import PLACES
from sheetengine.design.heat_checks import heat_sums
from sheetengine.design.lift_heat import LiftHeat, lift_heat
from sheetengine.job import Job

WARMER = (-10.0, -5.0, 0.0, 5.0)
"""Changes of the placing temperature of all lifts, in K."""
WAITS = (24.0, 72.0)
"""Hours by which the next lift comes later."""
LAST = 336
"""Hour, from the start of the lift, up to which the temperature at the anchors is averaged."""
Columns = dict[str, Column | Texts]


def lift_shown(job: Job, found: LiftHeat) -> int:
    """Return the lift under ``Heat shown for``, or the one with the highest peak; -1 where none is computed."""
    if not found.lift.size:
        return -1
    named = job.text("Heat shown for")
    item = job.lift_called(named) if named else -1
    return item if item in found.lift else int(found.lift[found.core.max(axis=1).argmax()])


def heat_history(found: LiftHeat, item: int, counted: Column) -> Columns:
    """Return the temperatures of the lift against its age: computed, and counted for the strength at the anchors.

    Parameters
    ----------
    counted
        Temperature that counts at the anchors of the lift, hour by hour: logged, then modelled. [degC]
    """
    row = int(np.flatnonzero(found.lift == item)[0])
    hours = found.core.shape[1]
    shown = np.full(hours, np.nan)
    shown[: counted.size] = counted[:hours]
    return {
        "Age [d]": np.arange(hours) / 24.0,
        **{f"{name.capitalize()} [degC]": getattr(found, name)[row] for name in PLACES},
        "Counted at the anchors [degC]": shown,
    }


def heat_trials(job: Job, start: Column, item: int) -> Columns:
    """Return the sums of the lift with each change, one at a time, all else as planned."""
    placed = job.table("Lifts").number("concrete_temperature")
    tried: list[tuple[str, Any, float]] = [(_said(step), step, 0.0) for step in WARMER]
    tried += [(f"next lift {wait:g} h later", 0.0, wait) for wait in WAITS]
    found = []
    for _, step, wait in tried:
        changed = with_column(job, "Lifts", concrete_temperature=placed + step)
        heat = lift_heat(changed, start, only=item, wait=wait)
        found.append((heat_sums(changed, heat), float(heat.anchor[0, : LAST + 1].mean())))
    return {
        "Lift": texts([job.lift_name(item)] * len(tried)),
        "Change": texts(name for name, *_ in tried),
        "Peak [degC]": np.array([sums.peak[item] for sums, _ in found]),
        "Core to face [K]": np.array([sums.difference[item] for sums, _ in found]),
        "Core to joint [K]": np.array([sums.joint[item] for sums, _ in found]),
        "Mean at anchors, 14 d [degC]": np.array([mean for _, mean in found]),
    }


def _said(step: float) -> str:
    if step == 0.0:
        return "as planned"
    return f"placed {abs(step):g} K {'warmer' if step > 0.0 else 'colder'}"
