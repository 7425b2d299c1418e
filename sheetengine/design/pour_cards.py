"""The pour card of every lift: how fast it may rise at which temperature, what that rests on, and when to stop."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from sheetengine.columns import Column, Texts, taken, taken_texts, texts
from sheetengine.design import customary
from sheetengine.design.copies import with_column
from sheetengine.design.faces import lateral_allowance
from sheetengine.design.pressure import pressures
from sheetengine.design.rise_window import anchor_rise, rise_window
from sheetengine.design.stages import PLACING
from sheetengine.design.strongback_rise import carried_pressure
from sheetengine.design.wording import To, Wording

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation

METRIC_LINES = (5.0, 10.0, 15.0, 20.0, 25.0, 30.0)
"""Temperatures of the card's lines, in degC, below that of the plan."""
US_LINES = (40.0, 50.0, 60.0, 70.0, 80.0, 90.0)
"""The same in degF."""
LINES = 1 + len(METRIC_LINES)
ANY, NONE, NOT_KNOWN = "any", "none", "not known"
HOLDERS = ("panel", "anchors", "strongbacks")
ASSUMED = (
    "Mix", "Retarder", "Slump", "Consistency class", "Final set", "Set confirmed by test", "Concrete at least", "Air", "Layers",
    "Vibrator into", "Face", "Anchors that hold the units", "Strength of their concrete", "Wind while people work",
)  # fmt: skip
"""What the design assumed, in the order of the card."""


@dataclass(frozen=True, slots=True)
class RatesByTemperature:
    """Greatest rates of rise; lifts by temperatures.

    Attributes
    ----------
    temperature
        Of the concrete as placed. [degC]
    greatest
        Rate up to which panel, anchors and strongbacks carry; ``inf``: any, 0: none, ``nan``: not known, as where the
        anchors are not computed. [m/h]
    without_anchors
        The same of panel and strongbacks alone where the anchors are not computed, ``nan`` elsewhere. [m/h]
    held_by
        What allows no more; empty where any rate serves, or none is known.
    """

    temperature: Column
    greatest: NDArray[np.float64]
    without_anchors: NDArray[np.float64]
    held_by: Texts


def _carried(c: Calculation) -> NDArray[np.float64]:
    """Return the lateral pressure up to which panel, anchors and strongbacks carry: those by lifts; ``nan``: not asked. [kPa].

    That of the anchors is the pressure at their greatest rate of rise, so that the card and the flags have one source.
    """
    units = c.job.table("Form units")
    panel = lateral_allowance(c.job, c.layout, taken(units.number("permissible_pressure"), c.layout.unit))
    slowest = anchor_rise(c)
    tried = np.where(np.isfinite(slowest) & (slowest > 0.0), slowest, 1.0)
    at_rate = pressures(c.job, replace(c.layout, rise=tried)).maximum
    anchors = np.where(np.isinf(slowest), np.inf, np.where(slowest == 0.0, 0.0, at_rate))
    anchors = np.where(np.isnan(slowest), np.nan, anchors)
    return np.stack([panel, anchors, carried_pressure(c.job, c.layout, c.pressure, c.too_steep)])


def rates_by_temperature(c: Calculation, temperature: Column) -> RatesByTemperature:
    """Return the greatest rate of rise of every lift at each of some temperatures.

    Parameters
    ----------
    c
        The calculation.
    temperature
        Lifts by temperatures. [degC]
    """
    carried = _carried(c)
    panel, anchors, strongbacks = carried
    unknown = np.isnan(anchors)
    carries = np.fmin(np.fmin(panel, strongbacks), anchors)  # a strongback that is not stated is not asked
    rate = _rates(c, temperature, carries, panel)
    with_anchors = np.where(unknown[:, np.newaxis], np.nan, rate)
    without = np.where(unknown[:, np.newaxis], rate, np.nan)
    first = np.argmin(np.where(np.isnan(carried), np.inf, carried), axis=0)
    first = np.where(c.filling.step > panel, 0, first)
    names = np.array(HOLDERS, dtype=object)[first]
    held = np.where(np.isfinite(with_anchors), names[:, np.newaxis], "")
    return RatesByTemperature(temperature, with_anchors, without, np.asarray(held, dtype=object))


def _rates(c: Calculation, temperature: Column, carried: Column, panel: Column) -> NDArray[np.float64]:
    """Return the greatest rates, lifts by temperatures, for the pressure that a lift's form carries; ``nan``: not known. [m/h]."""
    known = ~np.isnan(carried) & ~c.too_steep
    limit = np.where(np.isfinite(carried), np.maximum(carried, 1e-6), 1e9)
    found = np.full(temperature.shape, np.nan)
    for place in range(temperature.shape[1]):
        warm = with_column(c.job, "Lifts", concrete_temperature=temperature[:, place])
        rate = pressures(warm, c.layout, permissible=limit).greatest_rise
        rate = np.where(np.isinf(carried), np.inf, np.where(carried == 0.0, 0.0, rate))
        rate = np.where(c.filling.step > panel, 0.0, rate)
        found[:, place] = np.where(known, rate, np.nan)
    return found


def _area(c: Calculation) -> tuple[Column, Texts]:
    """Return the plan area of every lift, ``nan`` where it is not known, and where it comes from. [m2]."""
    lifts = c.job.table("Lifts")
    given, length, thick = (lifts.given[key] for key in ("plan_area", "face_length", "thickness"))
    product = lifts.number("face_length") * lifts.number("thickness")
    area = np.where(given, lifts.number("plan_area"), np.where(length & thick, product, np.nan))
    said = texts(
        "Plan area" if own else "face length times thickness" if both else "give Plan area in Lifts"
        for own, both in zip(given.tolist(), (length & thick).tolist(), strict=True)
    )  # fmt: skip
    return area, said


def _down(value: float, decimals: int = 2) -> float:
    return float(np.floor(value * 10.0**decimals + 1e-9) / 10.0**decimals)


def _up(value: float, decimals: int = 2) -> float:
    return float(np.ceil(value * 10.0**decimals - 1e-9) / 10.0**decimals)


def _shown(greatest: float, factor: float) -> float | str:
    """Return a greatest rate as the card has it, rounded down."""
    if np.isnan(greatest):
        return NOT_KNOWN
    if np.isinf(greatest):
        return ANY
    rate = _down(greatest / factor)
    return rate if rate > 0.0 else NONE


def _reads(greatest: float | str, without: float | str, least: float, unit: str) -> str:
    """Return what a line of the card comes to, in words; ``without``: the greatest rate without the anchors."""
    if greatest == NOT_KNOWN:
        said = f"{without:g} {unit}" if isinstance(without, float) else without
        more = (
            ""
            if without == NOT_KNOWN
            else f"; the anchors are not computed (panel and strongbacks alone: {said})"
        )
        return f"not known: do not place by this line{more}"
    if greatest == NONE:
        return "NO RATE is slow enough: do not place"
    asked = not np.isnan(least)
    if isinstance(greatest, str):
        return f"the form carries any rate{f'; from {least:g} {unit} on' if asked else ''}"
    if asked and greatest < least:
        return f"NO RATE SERVES: at most {greatest:g} for the form, at least {least:g} {unit} for the layers"
    return f"from {least:g} to {greatest:g} {unit}" if asked else f"up to {greatest:g} {unit}"


def card_columns(c: Calculation) -> dict[str, NDArray[Any]]:
    """Return the data of the pour cards, one entry a lift, in the units of the result sheets.

    Numbers that the crew must keep are rounded to the safe side: greatest rates down, least rates up.
    """
    us = c.job.text("Result units") == "US"
    say = Wording(us)
    lifts, count = c.job.table("Lifts"), len(c.job.table("Lifts"))
    planned = lifts.number("concrete_temperature")
    lines = np.array(US_LINES if us else METRIC_LINES)
    base = (lines - 32.0) / 1.8 if us else lines
    temperature = np.column_stack([planned, np.broadcast_to(base, (count, base.size))])
    rates = rates_by_temperature(c, temperature)
    factor = customary.FOOT if us else 1.0
    least = rise_window(c).least / factor
    area, said = _area(c)
    columns: dict[str, NDArray[Any]] = {"Lift": texts(c.job.lift_name(item) for item in range(count))}
    least_shown = [_up(value) if np.isfinite(value) else value for value in least.tolist()]
    for place in range(LINES):
        at = temperature[:, place]
        names = [say.temperature(value) for value in at.tolist()]
        greatest = [_shown(value, factor) for value in rates.greatest[:, place].tolist()]
        columns[f"Line {place}"] = texts(f"{name}, as planned" if place == 0 else name for name in names)
        form = [_shown(value, factor) for value in rates.without_anchors[:, place].tolist()]
        columns[f"Greatest {place}"] = np.array(greatest, dtype=object)
        columns[f"Held by {place}"] = np.asarray(rates.held_by[:, place], dtype=object)
        columns[f"Reads {place}"] = texts(
            _reads(most, alone, low, "ft/h" if us else "m/h")
            for most, alone, low in zip(greatest, form, least_shown, strict=True)
        )
    columns["Least"] = np.array(least_shown)
    volume = customary.CUBIC_YARD if us else 1.0
    # area in the unit that turns the rate shown into the volume shown
    columns["Area"] = area * factor / volume
    columns["Area from"] = said
    columns["Load"] = np.full(count, c.job.number("Truck load") / volume)
    return columns | _facts(c, say, area) | _assumed(c, say)


def _facts(c: Calculation, say: Wording, area: Column) -> dict[str, NDArray[Any]]:
    """Return what stands at the head of the card, and the hours of the anchors."""
    lifts, layout = c.job.table("Lifts"), c.layout
    height = lifts.number("height")
    placed = lifts.number("placed")
    hours = layout.anchor_hour - placed
    window = rise_window(c)
    fastest = np.where(np.isfinite(window.greatest) & (window.greatest > 0.0), window.greatest, layout.rise)
    soonest = hours * layout.rise / np.maximum(fastest, layout.rise)
    above = layout.above
    kinds = taken_texts(c.job.table("Anchor types").label("anchor"), layout.anchor)
    anchors, by_hour = [], []
    for item in range(height.size):
        over = int(above[item])
        if over < 0:
            anchors.append("no lift of this book stands on it")
            by_hour.append("")
            continue
        anchors.append(f"{layout.anchors[over]:.0f} x {kinds[over]} for the units of {c.job.lift_name(over)}")
        early = "" if soonest[item] > hours[item] - 0.05 else f"; {soonest[item]:.1f} h at the greatest rate"
        by_hour.append(
            f"{say.planned(float(np.floor(layout.anchor_hour[item] * 4.0) / 4.0))}, {hours[item]:.1f} h after the start at the "
            f"planned rate{early}"
        )
    volume = area * height
    return {
        "Placing starts": texts(say.planned(hour) for hour in placed.tolist()),
        "Height": texts(say.length(value) for value in height.tolist()),
        "Volume": texts(say.volume(value) for value in volume.tolist()),
        "Planned rise": texts(
            f"{say.rate(rate)}, filled in {time:.1f} h"
            for rate, time in zip(layout.rise.tolist(), c.filling.hours.tolist(), strict=True)
        ),
        "Anchors to set": texts(anchors),
        "Anchors set by": texts(by_hour),
    }


def _assumed(c: Calculation, say: Wording) -> dict[str, NDArray[Any]]:
    """Return what the design assumed of mix, placing and weather, in words."""
    lifts, mixes, units = c.job.table("Lifts"), c.job.table("Mixes"), c.job.table("Form units")
    mix, unit = c.layout.mix, c.layout.unit

    def of_mix(key: str) -> list[float]:
        return [float(value) for value in taken(mixes.number(key), mix)]

    def yes_no(values: list[float]) -> Texts:
        return texts("not stated" if np.isnan(v) else "yes" if v else "NO: full head" for v in values)

    kinds = taken_texts(c.job.table("Anchor types").label("anchor"), c.layout.anchor)
    embedment = taken(c.job.table("Anchor types").number("embedment"), c.layout.anchor)
    retarder = of_mix("retarder")
    window = c.filling.window
    placing = {
        int(lift): place
        for place, lift in enumerate(c.cases.lift.tolist())
        if c.cases.stage[place] == PLACING
    }
    needs = []
    for item in range(len(lifts)):
        case = placing.get(item, -1)
        if case < 0:
            needs.append("no anchors are proved for this lift")
            continue
        needs.append(
            f"{say.strength(float(c.demand.required[case]), To.AT_LEAST)} needed, "
            f"{say.strength(float(c.demand.strength[case]), To.AT_MOST)} expected when placing starts"
        )
    names = taken_texts(units.label("unit"), unit)
    found = {
        "Mix": taken_texts(mixes.label("mix"), mix),
        "Retarder": texts("not stated" if np.isnan(v) else "yes, dosed as ordered" if v else "none" for v in retarder),
        "Slump": texts("not stated" if np.isnan(v) else f"at most {say.small_length(v)}" for v in of_mix("slump")),
        "Consistency class": texts(text or "not stated" for text in taken_texts(mixes.label("consistency_class"), mix).tolist()),
        "Final set": texts("not stated" if np.isnan(v) else f"{v:.3g} h at most" for v in of_mix("final_set")),
        "Set confirmed by test": yes_no(of_mix("set_confirmed")),
        "Concrete at least": texts(say.temperature(v) for v in lifts.number("concrete_temperature").tolist()),
        "Air": texts(
            "not stated" if np.isnan(v) else f"daily mean {say.temperature(v)}, swing {say.temperature_step(swing)}"
            for v, swing in zip(lifts.number("air_temperature").tolist(), lifts.number("air_swing").tolist(), strict=True)
        ),
        "Layers": texts(
            "none stated: it rises evenly" if np.isnan(depth)
            else f"{say.length(depth)} deep, covered within {open_for:.3g} h" if np.isfinite(open_for)
            else f"{say.length(depth)} deep"
            for depth, open_for in zip(c.filling.depth.tolist(), window.tolist(), strict=True)
        ),
        "Vibrator into": texts(f"{say.length(v)} below the surface at most" for v in of_mix("vibration_depth")),
        "Face": texts(
            f"{name}, {'vertical' if lean == 0.0 else f'{abs(lean):.3g} deg ' + ('overhanging' if lean > 0.0 else 'battered')}"
            for name, lean in zip(names.tolist(), lifts.number("face_inclination").tolist(), strict=True)
        ),
        "Anchors that hold the units": texts(
            f"{number:.0f} x {kind}, {say.small_length(deep)} deep"
            for number, kind, deep in zip(c.layout.anchors.tolist(), kinds.tolist(), embedment.tolist(), strict=True)
        ),
        "Strength of their concrete": texts(needs),
        "Wind while people work": texts(f"gusts up to {say.speed(v, To.AT_MOST)}" for v in c.wind.working_gust.tolist()),
    }  # fmt: skip
    return {f"Assumed: {name}": found[name] for name in ASSUMED}
