"""The rates of rise between cold joints and overload."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sheetengine.columns import Column, Flags, Texts, taken, texts
from sheetengine.design.faces import lateral_allowance
from sheetengine.design.stages import PLACING
from sheetengine.design.wording import To
from sheetengine.findings import Code, Finding, Level
from sheetengine.sources import Known, Source

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation
    from sheetengine.design.flags import Places
    from sheetengine.design.wording import Wording

WINDOW = Source(
    "Rates of rise between exposure of layers and pressure", "both limits on one line", Known.MECHANICS
)


@dataclass(frozen=True, slots=True)
class RiseWindow:
    """One entry a lift.

    Attributes
    ----------
    least
        Rate that leaves no layer open longer than the mix allows; ``nan``: not asked. [m/h]
    greatest
        Rate up to which panel, anchors and strongbacks carry the pressure; ``inf``: any, 0: none. [m/h]
    held_by
        What allows no more.
    empty
        Where no rate serves both.
    """

    least: Column
    greatest: Column
    held_by: Texts
    empty: Flags


def anchor_rise(c: Calculation) -> Column:
    """Return the rate of rise up to which the anchors of every lift carry; ``inf``: any, 0: none, ``nan``: not known. [m/h]."""
    rows = np.flatnonzero((c.cases.stage == PLACING) & ~c.withheld)
    count = len(c.job.table("Lifts"))
    for_lift, has = np.full(count, np.inf), np.zeros(count, dtype=bool)
    with np.errstate(invalid="ignore"):
        np.minimum.at(for_lift, c.cases.lift[rows], c.proof.limits.rise[rows])  # keeps nan
    has[c.cases.lift[rows]] = True
    return np.where(has, for_lift, np.nan)


def rise_window(c: Calculation) -> RiseWindow:
    """Return the window of the rate of rise of every lift, of those limits that are known."""
    permissible = lateral_allowance(
        c.job, c.layout, taken(c.job.table("Form units").number("permissible_pressure"), c.layout.unit)
    )
    panel = np.where(
        c.filling.step > permissible, 0.0, c.pressure.greatest_rise
    )  # nan: no layers, or no limit
    panel = np.where(c.too_steep, np.nan, panel)
    anchors = anchor_rise(c)
    bent = c.strongback_rise
    # of those that are known; a row that is not computed is flagged elsewhere
    greatest = np.fmin(np.fmin(panel, anchors), bent)
    held = texts(
        ""
        if np.isnan(most) or np.isinf(most)
        else "anchors"
        if most == own
        else "strongbacks"
        if most == beams
        else "panel"
        for most, own, beams in zip(greatest.tolist(), anchors.tolist(), bent.tolist(), strict=True)
    )
    least = c.filling.least_rise
    with np.errstate(invalid="ignore"):
        return RiseWindow(least, greatest, held, np.asarray(least > greatest))


def window_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    """Return a finding for every lift that no rate of rise serves."""
    if np.isnan(c.filling.least_rise).all():
        return
    window = rise_window(c)
    for item in np.flatnonzero(window.empty).tolist():
        least = say.rate(float(window.least[item]), To.AT_LEAST)
        greatest = say.rate(float(window.greatest[item]), To.AT_MOST)
        yield Finding(
            Level.STOP, Code.EXCEEDS, places.lifts.at(item, "layer_depth"),
            f"Lift {places.name(item)}: no rate of rise serves. The layers ask for {least} at least, and the "
            f"{window.held_by[item]} allow{'s' if window.held_by[item] == 'panel' else ''} {greatest} at most.",
            found=least, limit=greatest, source=WINDOW,
            clears="Shallower layers or a later set; or a stronger unit, closer anchors, a lower lift.",
            keys=places.keys(item, "window"), heading="Layer depth",
        )  # fmt: skip
