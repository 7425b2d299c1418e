"""What the run record says of the probes: the rule, and for each lift where the model takes over."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sheetengine.columns import moment_of
from sheetengine.design.probe_rules import probe_rules

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation

PROBE_RULE = (
    "A probe log is used between its first and last reading, the coldest probe at each hour: a straight line from reading to "
    f"reading, across a gap of more than {probe_rules().longest_gap:g} h the colder of its ends and of the model. From the last "
    f"reading on the model is shifted by the least excess of the measured over the modelled in the last {probe_rules().window:g} h: "
    "where the concrete is colder than the model the lack is kept, where it is warmer the excess fades by the time constant of the "
    f"concrete in front of the anchor heads (embedment squared over {probe_rules().diffusivity:g} m2/h). Readings of dead "
    "sensors, after an upward jump, and of probes of unknown place only lower the temperature."
)


def probe_lines(c: Calculation) -> list[tuple[str, str]]:
    """Return one line for each lift that has a usable log: the hour from which it is forecast, and by how much it was shifted."""
    lines = []
    for item in np.flatnonzero(~np.isnan(c.temperature.switch)).tolist():
        hour, shift = float(c.temperature.switch[item]), float(c.temperature.offset[item])
        moment = moment_of(hour)
        told = "as modelled" if abs(shift) < 0.005 else f"the model {shift:+.2f} K" + (
            ", which is kept" if shift < 0.0 else ", which fades"
        )  # fmt: skip
        lines.append(
            (
                f"Temperature of {c.job.lift_name(item)}",
                f"measured until {moment:%Y-%m-%d %H:%M} ({hour - c.temperature.start[item]:.1f} h after the concrete reached the "
                f"anchors); from there on forecast: {told}",
            )
        )
    return lines
