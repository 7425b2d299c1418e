"""Findings of the wind: heights that are not known, limits of the documents, what rests on memory or on a forecast."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from sheetengine.clauses.en1991_1_4 import free_standing_wall_coefficient
from sheetengine.clauses.en1991_1_6 import SOURCE as EXECUTION_SOURCE
from sheetengine.clauses.record import record_of
from sheetengine.design.wind import AMERICAN, EUROPEAN, FORECAST_DAYS, GIVEN, GREATEST_HEIGHT
from sheetengine.findings import Code, Finding, Level
from sheetengine.sources import Known, Source

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation
    from sheetengine.design.flags import Places
    from sheetengine.design.wording import Wording

AMERICAN_SOURCE = Source(AMERICAN, "26.10, 26.11", Known.MEMORY)


def wind_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    """Return the findings of the wind."""
    job, w = c.job, c.wind
    if job.items["Basic wind speed"].given and w.route not in GREATEST_HEIGHT:
        why = (
            "a pressure is given under Storm wind and goes before it"
            if w.route == GIVEN
            else "Wind basis is given pressure"
        )
        yield Finding(
            Level.NOTE, Code.DEFAULT_TAKEN, job.items["Basic wind speed"].at,
            f"Basic wind speed is not used: {why}.", clears="Leave one of the two blank.", keys=("wind", "unused"),
            heading="Basic wind speed",
        )  # fmt: skip
    if w.route not in GREATEST_HEIGHT:
        return
    yield from _height_flags(c, say, places)
    yield from _coefficient_flags(c, places)
    if not job.text("Terrain category") and w.reduction is not None:
        yield Finding(
            Level.ACCEPT, Code.DEFAULT_TAKEN, job.items["Terrain category"].at,
            f"Terrain category is blank; {w.reduction.terrain}, the most exposed of {w.route}, is taken.",
            found=w.reduction.terrain, clears="Give the category of the site, or accept the most exposed.",
            keys=("wind", "terrain"), heading="Terrain category",
        )  # fmt: skip
    days = job.number("Wind exposure time") / 24.0
    if w.route == EUROPEAN and days <= FORECAST_DAYS:
        yield Finding(
            Level.ACCEPT, Code.PLAUSIBILITY, job.items["Wind exposure time"].at,
            f"Wind exposure time is {days:.3g} d, and the storm of 2 years is taken. That rests on a reliable weather forecast "
            "for each stage, and on what is done when it turns out otherwise.",
            found=f"{days:.3g} d", limit=f"more than {FORECAST_DAYS:g} d", source=EXECUTION_SOURCE,
            clears="Name the forecast and the measures with initials, or give the longer time.", keys=("wind", "forecast"),
            heading="Wind exposure time",
        )  # fmt: skip
    if w.route == AMERICAN:
        yield Finding(
            Level.ACCEPT, Code.UNCONFIRMED_SOURCE, job.items["Wind basis"].at,
            f"The velocity pressure of {AMERICAN} and the velocity factors of ASCE 37-14 are held from memory.",
            source=AMERICAN_SOURCE, clears="Compare the pressure of one lift with the licensed text and initial it.",
            keys=("wind", "source"), heading="Wind basis",
        )  # fmt: skip


def _height_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    w, lifts = c.wind, places.lifts
    unknown = np.flatnonzero(np.isnan(w.height))
    if unknown.size:
        yield Finding(
            Level.STOP, Code.NOT_COMPUTED, c.job.items["Height above ground"].at,
            f"Lifts {places.some(unknown)}: the height above the ground is not known, so their storm wind is not computed.",
            clears="Give Ground level with a Bottom level in the block, or Height above ground.", about=places.names(unknown), keys=("wind", "height"),
            heading="Height above ground",
        )  # fmt: skip
    high = np.flatnonzero(w.outside)
    if high.size:
        limit, top = say.length(GREATEST_HEIGHT[w.route]), say.length(float(np.max(w.height[high])))
        key = "bottom_level" if lifts.given["bottom_level"][high[0]] else "height"
        yield Finding(
            Level.STOP, Code.OUTSIDE_SCOPE, lifts.at(int(high[0]), key),
            f"Lifts {places.some(high)}: their panels reach up to {top} above the ground, higher than {w.route} goes. Their storm "
            "wind is not computed.",
            found=top, limit=limit, clears="Give the pressure of a site study under Storm wind.", about=places.names(high), keys=("wind", "high"),
            heading="Bottom level",
        )  # fmt: skip


def _coefficient_flags(c: Calculation, places: Places) -> Iterator[Finding]:
    job, w = c.job, c.wind
    item = job.items["Net wind coefficient"]
    if item.given:
        return
    if w.route == AMERICAN:
        yield Finding(
            Level.STOP, Code.NOT_COMPUTED, item.at,
            f"Net wind coefficient is blank, and none is held for {AMERICAN}, so the storm wind is not computed.",
            clears="Give gust factor times force coefficient of the solid freestanding wall (ASCE 7-16 29.3).",
            keys=("wind", "coefficient"), heading="Net wind coefficient",
        )  # fmt: skip
        return
    source = record_of(free_standing_wall_coefficient).source
    low, high = float(np.min(w.coefficient)), float(np.max(w.coefficient))
    found = f"{low:.2f}" if low == high else f"{low:.2f} to {high:.2f}"
    yield Finding(
        Level.ACCEPT, Code.UNCONFIRMED_SOURCE, item.at,
        f"The net wind coefficient of {found} is that of zone {job.text('Wind zone')} of a free-standing wall, taken for every "
        "unit of a face; the table is held from memory.",
        found=found, source=source, clears="Compare with the licensed text and initial it, or give Net wind coefficient.",
        keys=("wind", "coefficient"), heading="Net wind coefficient",
    )  # fmt: skip
