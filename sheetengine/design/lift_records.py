"""Lifts as they were placed: rate by layer, the pressure that followed, and what three lifts say of the assumptions."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from sheetengine.columns import Column, Texts, texts
from sheetengine.design.copies import repeated, with_column
from sheetengine.design.layout import Index
from sheetengine.design.limits import Proof
from sheetengine.design.pour_cards import rates_by_temperature
from sheetengine.design.pressure import pressures
from sheetengine.design.stages import PLACING
from sheetengine.design.verdicts import OPEN_VERDICTS, verdicts
from sheetengine.design.wording import To, Wording
from sheetengine.findings import Code, Finding, Level

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation
    from sheetengine.design.flags import Places

SHEET = "Lift record"
LEAST_LIFTS = 3
"""Lifts of a mix after which a correction is proposed."""
BIAS = 0.05
"""Part by which what was found must differ from what was assumed before a correction is proposed; common practice."""
WARMTH_BIAS = 1.0
"""The same for temperatures, in K."""


@dataclass(frozen=True, slots=True)
class Layers:
    """One entry a stretch between two rows of the record of a lift.

    Attributes
    ----------
    lift
        Row of the lift.
    row
        Row of ``Lift record`` at its end.
    begin, end
        Level above the joint. [m]
    since, until
        Hours.
    rate
        Rate of rise. [m/h]
    temperature
        The colder of both rows; that of the plan where none is recorded. [degC]
    slump
        The greater of both rows. [mm]
    greatest
        Greatest rate at that temperature. [m/h]
    pressure, ratio
        Pressure of the method at rate and temperature, and the greatest ratio of panel and anchors under it. [kPa], [-]
    open_for
        Time for which the surface below stayed open, from row to row. [h]
    verdict
        How the ratio is judged.
    """

    lift: Index
    row: Index
    begin: Column
    end: Column
    since: Column
    until: Column
    rate: Column
    temperature: Column
    slump: Column
    greatest: Column
    pressure: Column
    ratio: Column
    open_for: Column
    verdict: Texts


def _stretches(c: Calculation) -> tuple[Index, Index, Index]:
    """Return lift, row at the beginning and row at the end of every stretch."""
    of_lift, table = c.job.lift_of(SHEET), c.job.table(SHEET)
    order = np.lexsort((table.number("time"), of_lift)).astype(np.int64)
    lift = of_lift[order]
    same = np.flatnonzero((lift[1:] == lift[:-1]) & (lift[1:] >= 0))
    return lift[same], order[same], order[same + 1]


def layers(c: Calculation) -> Layers:
    """Return every stretch of every record, with the pressure that followed; strengths stay as planned."""
    table = c.job.table(SHEET)
    lift, first, last = _stretches(c)
    time, level = table.number("time"), table.number("level")
    hours, rise = time[last] - time[first], level[last] - level[first]
    with np.errstate(divide="ignore", invalid="ignore"):
        rate = np.where(hours > 0.0, rise / hours, np.nan)
    warmth = np.fmin(table.number("concrete_temperature")[first], table.number("concrete_temperature")[last])
    warmth = np.where(np.isnan(warmth), c.job.table("Lifts").number("concrete_temperature")[lift], warmth)
    slump = np.fmax(table.number("slump")[first], table.number("slump")[last])
    rising = rate > 0.0
    pressure, ratio = np.full(lift.size, np.nan), np.full(lift.size, np.nan)
    some = np.flatnonzero(rising)
    if some.size:
        pressure[some], ratio[some] = _pressed(c, lift[some], rate[some], warmth[some])
    greatest = np.full(lift.size, np.nan)
    if lift.size:
        greatest = _greatest(c, lift, warmth)
    pause = np.where(rise <= 1e-9, hours, 0.0)
    return Layers(
        lift, last, level[first], level[last], time[first], time[last], rate, warmth, slump, greatest, pressure, ratio,
        hours + _paused_before(lift, pause),
        verdicts(np.where(rising, ratio, 0.0), c.job.number("Review threshold")),
    )  # fmt: skip


def _paused_before(lift: Index, pause: Column) -> Column:
    """Return how long placing had stopped just before each stretch. [h]."""
    before = np.r_[0.0, pause[:-1]]
    return np.where(np.r_[False, lift[1:] == lift[:-1]], before, 0.0)


def _greatest(c: Calculation, lift: Index, warmth: Column) -> Column:
    """Return the greatest rate of each stretch at its temperature. [m/h]."""
    place = np.zeros(lift.size, dtype=np.int64)
    seen: dict[int, int] = {}
    for item, own in enumerate(lift.tolist()):
        place[item] = seen.get(own, 0)
        seen[own] = place[item] + 1
    grid = np.tile(
        c.job.table("Lifts").number("concrete_temperature")[:, np.newaxis], (1, int(place.max()) + 1)
    )
    grid[lift, place] = warmth
    return rates_by_temperature(c, grid).greatest[lift, place]


def _pressed(c: Calculation, lift: Index, rate: Column, warmth: Column) -> tuple[Column, Column]:
    """Return pressure [kPa] and greatest ratio of panel and anchors of lifts placed at a rate and temperature."""
    job, layout, copies = repeated(c.job, c.layout, lift)
    temperature, rise = job.table("Lifts").number("concrete_temperature").copy(), layout.rise.copy()
    temperature[copies], rise[copies] = warmth, rate
    job, layout = with_column(job, "Lifts", concrete_temperature=temperature), replace(layout, rise=rise)
    pressed = pressures(job, layout)
    ratio = pressed.panel_ratio[copies]
    case = np.full(len(c.job.table("Lifts")), -1, dtype=np.int64)
    rows = np.flatnonzero((c.cases.stage == PLACING) & ~c.cases.lower & ~c.withheld)
    case[c.cases.lift[rows]] = rows
    held = np.flatnonzero(case[lift] >= 0)
    if held.size:
        own = case[lift[held]]
        cases = replace(c.cases.at(own), lift=copies[held], holder=copies[held])
        anchors = Proof(job, layout, cases, c.proof.strength[own], c.factors).ratio(
            np.arange(held.size, dtype=np.int64)
        )
        ratio[held] = np.where(np.isnan(ratio[held]), anchors, np.maximum(ratio[held], anchors))
    return pressed.maximum[copies], ratio


def recorded(c: Calculation, found: Layers) -> list[tuple[str, str]]:
    """Return, for every lift, what the record says in words, and what speaks against it."""
    say = Wording(c.job.text("Result units") == "US")
    said = []
    for lift in range(len(c.job.table("Lifts"))):
        rows = np.flatnonzero(found.lift == lift)
        if not rows.size:
            said.append(("no record of the lift", "no row of Lift record speaks of it"))
            continue
        fastest = rows[int(np.argmax(np.nan_to_num(found.rate[rows], nan=-np.inf)))]
        text = (
            f"{rows.size} stretches, up to {say.length(float(np.max(found.end[rows])))}; at most "
            f"{say.rate(float(found.rate[fastest]), To.AT_LEAST)}, coldest {say.temperature(float(np.min(found.temperature[rows])))}"
        )
        over = int(np.isin(found.verdict[rows], OPEN_VERDICTS).sum())
        said.append(
            (
                text,
                f"{over} stretch{'' if over == 1 else 'es'} went beyond what panel or anchors carry"
                if over
                else "",
            )
        )
    return said


def record_flags(c: Calculation, found: Layers, places: Places) -> Iterator[Finding]:
    """Return a finding for every stretch that went too far, fell, stayed open too long, or was not as assumed."""
    say, table = Wording(c.job.text("Result units") == "US"), c.job.table(SHEET)
    window = c.filling.window
    mixes = c.job.table("Mixes")
    planned = c.job.table("Lifts").number("concrete_temperature")
    height = c.job.table("Lifts").number("height")
    for place in range(found.lift.size):
        lift, row = int(found.lift[place]), int(found.row[place])
        name, keys = places.name(lift), places.keys(lift, f"{found.until[place]:.3f}")
        if found.verdict[place] in OPEN_VERDICTS:
            yield Finding(
                Level.STOP, Code.AS_PLACED, table.at(row, "level"),
                f"Lift {name} rose {say.rate(float(found.rate[place]), To.AT_LEAST)} at {say.temperature(float(found.temperature[place]))} up to "
                f"{say.length(float(found.end[place]))}: the pressure of {say.pressure(float(found.pressure[place]))} was "
                f"{say.ratio(float(found.ratio[place]))} of what panel or anchors carry.",
                found=say.rate(float(found.rate[place]), To.AT_LEAST), limit=say.rate(float(found.greatest[place]), To.AT_MOST),
                source=c.pressure.source,
                clears="Look at panel and anchors before anything else is hung on them; place the next lift by its pour card.",
                keys=keys, heading="Level",
            )  # fmt: skip
        if found.end[place] < found.begin[place] - 1e-9 or found.end[place] > height[lift] + 0.05:
            yield Finding(
                Level.ACCEPT, Code.PLAUSIBILITY, table.at(row, "level"),
                f"Lift {name}: the level of {say.length(float(found.end[place]))} is "
                f"{'below the one before it' if found.end[place] < found.begin[place] else 'above the top of the lift'}.",
                found=say.length(float(found.end[place])), limit=say.length(float(height[lift])),
                clears="Correct level or time; levels are above the joint.", keys=(*keys, "level"), heading="Level",
            )  # fmt: skip
        if found.open_for[place] > window[lift] + 1e-9:
            yield Finding(
                Level.ACCEPT, Code.AS_PLACED, table.at(row, "time"),
                f"Lift {name}: the surface at {say.length(float(found.begin[place]))} stayed open for {found.open_for[place]:.1f} h.",
                found=f"{found.open_for[place]:.1f} h", limit=f"{window[lift]:.3g} h",
                clears="Treat it as a cold joint, or accept it with initials and the reason.", keys=(*keys, "open"), heading="Time",
            )  # fmt: skip
        if found.temperature[place] < planned[lift] - 1e-9:
            yield Finding(
                Level.ACCEPT, Code.AS_PLACED, table.at(row, "concrete_temperature"),
                f"Lift {name}: the concrete came with {say.temperature(float(found.temperature[place]))}, colder than the plan's "
                f"{say.temperature(float(planned[lift]))}: it ripens later than computed.",
                found=say.temperature(float(found.temperature[place])), limit=say.temperature(float(planned[lift])),
                clears="Write the temperature into Lifts and run again, so that the gates of the lift follow.",
                keys=places.keys(lift, "cold"), heading="Concrete temperature",
            )  # fmt: skip
        most = float(mixes.number("slump")[c.layout.mix[lift]])
        if found.slump[place] > most + 1e-9:
            yield Finding(
                Level.ACCEPT, Code.AS_PLACED, table.at(row, "slump"),
                f"Lift {name}: a slump of {say.small_length(float(found.slump[place]))} came, more than the mix states.",
                found=say.small_length(float(found.slump[place])), limit=say.small_length(most),
                clears="Find out why; until the set is confirmed count the full head.", keys=(*keys, "slump"), heading="Slump",
            )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Corrections:
    """What the records of several lifts of a mix say against the assumptions; nothing of it is applied.

    Attributes
    ----------
    mix
        Row of the mix.
    what
        Rate of rise, temperature, strength.
    lifts
        Number of lifts, or of tests, behind it.
    assumed, found
        Means, in words.
    proposed
        What the user may enter, in words.
    """

    mix: Index
    what: Texts
    lifts: Column
    assumed: Texts
    found: Texts
    proposed: Texts


def corrections(c: Calculation, found: Layers) -> Corrections:
    """Return the corrections that the records propose, for mixes with :data:`LEAST_LIFTS` lifts on record or more."""
    say = Wording(c.job.text("Result units") == "US")
    planned = c.job.table("Lifts").number("concrete_temperature")
    lines: list[tuple[int, str, int, str, str, str]] = []
    recorded_lifts = np.unique(found.lift)
    mean_rate, warmth = np.full(planned.size, np.nan), np.full(planned.size, np.nan)
    for lift in recorded_lifts.tolist():
        rows = np.flatnonzero((found.lift == lift) & (found.rate > 0.0))
        if rows.size:
            hours = found.until[rows] - found.since[rows]
            mean_rate[lift] = float(np.sum(found.end[rows] - found.begin[rows]) / np.sum(hours))
            warmth[lift] = float(np.mean(found.temperature[rows]))
    for mix in np.unique(c.layout.mix[recorded_lifts]).tolist() if recorded_lifts.size else []:
        own = recorded_lifts[(c.layout.mix[recorded_lifts] == mix) & ~np.isnan(mean_rate[recorded_lifts])]
        if own.size < LEAST_LIFTS:
            continue
        ratio = float(np.mean(mean_rate[own] / c.layout.rise[own]))
        if abs(ratio - 1.0) > BIAS:
            lines.append((mix, "Rate of rise", own.size, say.rate(float(np.mean(c.layout.rise[own]))),
                          say.rate(float(np.mean(mean_rate[own]))),
                          f"plan the next lifts with {ratio:.2f} times the rate, or hold them to the plan"))  # fmt: skip
        apart = float(np.mean(warmth[own] - planned[own]))
        if abs(apart) > WARMTH_BIAS:
            way = "colder" if apart < 0.0 else "warmer"
            lines.append((mix, "Concrete temperature", own.size, say.temperature(float(np.mean(planned[own]))),
                          say.temperature(float(np.mean(warmth[own]))),
                          f"plan the next lifts {say.temperature_step(abs(apart))} {way}"))  # fmt: skip
    lines += _strength_lines(c, say)
    columns = list(zip(*lines, strict=True)) if lines else [()] * 6
    return Corrections(
        np.array(columns[0], dtype=np.int64), texts(columns[1]), np.array(columns[2], dtype=np.float64), texts(columns[3]),
        texts(columns[4]), texts(columns[5]),
    )  # fmt: skip


def _strength_lines(c: Calculation, say: Wording) -> list[tuple[int, str, int, str, str, str]]:
    """Return the bias of the predicted strength against the tests that ``Releases`` names, by mix."""
    table, of_lift = c.job.table("Releases"), c.job.lift_of("Releases")
    tests = np.isin(table.label("evidence"), ("specimens", "pull-out test")) & (
        table.label("hold_point") == "HP3"
    )
    rows = np.flatnonzero(
        tests & ~np.isnan(table.number("value")) & ~np.isnan(table.number("time")) & (of_lift >= 0)
    )
    below = c.layout.below[of_lift[rows]]
    rows, below = rows[below >= 0], below[below >= 0]
    lines = []
    if not rows.size:
        return []
    predicted = c.history.strength(below, table.number("time")[rows])
    value = table.number("value")[rows]
    for mix in np.unique(c.layout.mix[below]).tolist():
        own = np.flatnonzero((c.layout.mix[below] == mix) & (predicted > 0.0))
        if np.unique(below[own]).size < LEAST_LIFTS:
            continue
        ratio = float(np.mean(value[own] / predicted[own]))
        if abs(ratio - 1.0) > BIAS:
            lines.append((mix, "Strength", int(np.unique(below[own]).size), say.strength(float(np.mean(predicted[own]))),
                          say.strength(float(np.mean(value[own]))),
                          f"tests show {ratio:.2f} times the prediction: enter them in Specimens and fit the mix anew"))  # fmt: skip
    return lines
