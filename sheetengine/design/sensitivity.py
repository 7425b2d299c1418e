"""How the ratios of one lift answer to rise rate and concrete temperature."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from sheetengine.columns import Column
from sheetengine.design.copies import repeated, with_column
from sheetengine.design.limits import Proof
from sheetengine.design.pressure import pressures
from sheetengine.design.stages import PLACING

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation

SHARES_OF_RISE = np.array([0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0])
"""Rates of rise that are tried, as shares of the planned one."""
STEPS_OF_TEMPERATURE = np.array([-10.0, -5.0, 0.0, 5.0, 10.0])
"""Temperatures that are tried, as differences from the planned one, in K."""
SHOWN_FOR = "Sensitivity shown for"


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """Greatest ratio of panel and anchors while one lift is placed.

    Attributes
    ----------
    lift
        Row of the lift.
    rise
        Rates of rise, one a row of the grid. [m/h]
    temperature
        Temperatures of the concrete as placed, one a column of the grid. [degC]
    ratio
        The grid, shape (rise, temperature); ``nan`` where neither panel nor anchors are computed.
    """

    lift: int
    rise: Column
    temperature: Column
    ratio: Column


def chosen_lift(c: Calculation) -> int:
    """Return the lift that the job names, else the one with the greatest ratio while it is placed."""
    name = c.job.text(SHOWN_FOR)
    if name:
        return c.job.lift_called(name)
    worst = np.where(np.isnan(c.pressure.panel_ratio), -np.inf, c.pressure.panel_ratio)
    placing = (c.cases.stage == PLACING) & ~np.isnan(c.demand.ratio) & ~c.withheld
    np.maximum.at(worst, c.cases.lift[placing], c.demand.ratio[placing])
    return int(np.argmax(worst))


def sensitivity(c: Calculation) -> Sensitivity:
    """Return the grid for the chosen lift. Hours, and the strength of the concrete below, stay as planned."""
    item = chosen_lift(c)
    rise = c.layout.rise[item] * SHARES_OF_RISE
    temperature = c.job.table("Lifts").number("concrete_temperature")[item] + STEPS_OF_TEMPERATURE
    shape = (rise.size, temperature.size)
    job, layout, copies = repeated(
        c.job, c.layout, np.full(rise.size * temperature.size, item, dtype=np.int64)
    )
    warmth, rates = job.table("Lifts").number("concrete_temperature").copy(), layout.rise.copy()
    warmth[copies], rates[copies] = np.tile(temperature, rise.size), np.repeat(rise, temperature.size)
    job, layout = with_column(job, "Lifts", concrete_temperature=warmth), replace(layout, rise=rates)
    ratio = pressures(job, layout).panel_ratio[copies]
    own = np.flatnonzero((c.cases.lift == item) & (c.cases.stage == PLACING) & ~c.withheld)
    if own.size:
        several = np.full(copies.size, own[0], dtype=np.int64)
        cases = replace(c.cases.at(several), lift=copies, holder=copies)
        proof = Proof(job, layout, cases, c.proof.strength[several], c.factors)
        anchors = proof.ratio(np.arange(copies.size, dtype=np.int64))
        ratio = np.where(np.isnan(ratio), anchors, np.maximum(ratio, anchors))
    return Sensitivity(item, rise, temperature, ratio.reshape(shape))
