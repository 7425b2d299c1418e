"""What the run record says of the probe logs."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sheetengine.columns import moment_of
from sheetengine.design.probe_rules import probe_rules

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation


def log_lines(c: Calculation) -> list[tuple[str, str]]:
    """Return how the logs are used, and for each lift where the history goes over to the model."""
    temperature = c.temperature
    if not len(c.job.table("Probe log")):
        return []
    rules = probe_rules()
    lines = [
        (
            "Probe log",
            "the coldest probe counts at each hour, from its first to its last reading; between two readings lies a straight line. "
            f"Across a gap of more than {rules.longest_gap:g} h the colder of its ends and of the model is taken. Probes in the core or "
            "far from the joint are no evidence for an anchor at the face; readings of a probe of no stated place, or of one that "
            "does not change, or that stands warmer since a rise which concrete does not make, only lower the temperature.",
        ),
        (
            "Probe log",
            "after the last reading the model goes on, shifted by the lesser of its difference from the log over the "
            f"{rules.recent:g} h before and at the end: where the log was colder it stays that much colder, where it was warmer the "
            f"excess falls to its e-th part in {rules.excess_lasts:g} h. The numbers are common practice, with no source.",
        ),
    ]
    counted = np.bincount(temperature.readings.lift, minlength=temperature.switch.size)
    out = temperature.readings.left_out
    for item in np.flatnonzero((counted > 0) | (out > 0)).tolist():
        until = moment_of(float(temperature.switch[item]))
        if until is None:
            said = "no reading counts; the model alone"
        else:
            offset = float(temperature.offset[item])
            said = f"measured until {until:%Y-%m-%d %H:%M}, from there the model, which was {abs(offset):.1f} K {'colder' if offset > 0.0 else 'warmer'} than the log"
        lines.append(
            (
                f"Probe log, {c.job.lift_name(item)}",
                f"{counted[item]} readings count, {out[item]} do not; {said}.",
            )
        )
    return lines
