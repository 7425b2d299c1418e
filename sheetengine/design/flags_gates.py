"""Findings of the strength gates."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from sheetengine.design.earlier_gates import step_text
from sheetengine.design.gate_requirements import GUARDED
from sheetengine.design.readiness import (
    AFTER_STRIPPING_ABOVE,
    GATE_NAMES,
    HANG,
    PLACE_NEXT,
    SETTING_BACK,
    STRIP,
)
from sheetengine.design.verdicts import EXCEEDS, NEAR_LIMIT, NOT_COMPUTED, OUTSIDE_SCOPE
from sheetengine.findings import Code, Finding, Level

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation
    from sheetengine.design.flags import Places
    from sheetengine.design.wording import Wording

HEADINGS = {
    STRIP: ("stripped", "Stripped"),
    HANG: ("hung", "Hung"),
    PLACE_NEXT: ("placed", "Placed"),
    SETTING_BACK: ("stripped", "Stripped"),
}


def _told_by_anchors(c: Calculation, item: int, gate: int) -> bool:
    """Return whether an anchor case that the gate guards is flagged itself, with the hour that clears it."""
    guarded = (c.cases.seat == item) & np.isin(c.cases.stage, GUARDED.get(gate, ()))
    return bool((guarded & ((c.demand.ratio > 1.0) | c.foot_lifts)).any())


def _what_clears(c: Calculation, say: Wording, row: int) -> str:
    """Return the hour from which the gate is met, and the change that opens it earlier by most."""
    ready = float(c.gates.ready[row])
    text = (
        f"Plan it for {say.hour(ready)} or later, and confirm the strength by test before release."
        if np.isfinite(ready)
        else "Waiting does not open it."
    )
    names, hours = c.earlier.best
    if not names[row]:
        return text
    gain = f"opens it {hours[row]:.0f} h earlier" if np.isfinite(hours[row]) else "opens it"
    change = step_text(c, say, str(names[row]))
    return f"{text} {change[0].upper()}{change[1:]} {gain}."


def gate_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    """Return the findings of the gates that are not met, are close, or could not be judged."""
    lifts = places.lifts
    gates = c.gates
    blank: dict[int, list[int]] = {STRIP: [], HANG: [], PLACE_NEXT: []}
    by_range = np.array(
        [str(text).startswith("Least strength") for text in gates.governed_by.tolist()], dtype=bool
    )
    # planned too early, on a curve that may not speak so early: told as well, but where only the range keeps the gate shut
    unscoped = (c.gate_verdict == OUTSIDE_SCOPE) & (gates.margin < 0.0) & ~by_range
    told = np.isin(c.gate_verdict, (EXCEEDS, NEAR_LIMIT, NOT_COMPUTED)) | unscoped
    for row in np.flatnonzero(told).tolist():
        item, gate = int(gates.lift[row]), int(gates.gate[row])
        key, heading = HEADINGS[gate]
        holder = int(c.layout.above[item]) if gate in (PLACE_NEXT, SETTING_BACK) else item
        if c.gate_verdict[row] == NOT_COMPUTED:
            if np.isnan(gates.planned[row]) and gate != SETTING_BACK:  # the lift above is told for Strip
                blank[gate].append(item)
            continue
        if gates.governed_by[row] == AFTER_STRIPPING_ABOVE:
            continue  # the gate Strip of the lift above says it
        over = c.gate_verdict[row] != NEAR_LIMIT
        by_anchors = str(gates.governed_by[row]).startswith("Anchors")
        if (over and by_anchors and _told_by_anchors(c, item, gate)) or (not over and by_anchors):
            continue
        planned, ready = float(gates.planned[row]), float(gates.ready[row])
        late = f"{ready - planned:.0f} h before" if np.isfinite(ready) else "although it never comes to"
        yield Finding(
            Level.STOP if over else Level.ACCEPT, Code.GATE_NOT_MET if over else Code.NEAR_LIMIT, lifts.at(holder, key),
            f"Lift {places.name(item)}, gate {GATE_NAMES[gate]}: planned for {say.planned(planned)}, "
            + (f"{late} the gate opens" if over else "close to the hour at which the gate opens")
            + f" ({gates.governed_by[row]}; predicted {say.strength(float(gates.predicted[row]))}, required "
            f"{say.strength(float(gates.required[row]))}).",
            found=say.planned(planned), limit=say.hour(ready),
            clears=_what_clears(c, say, row),
            keys=places.keys(item, GATE_NAMES[gate]), heading=heading,
        )  # fmt: skip
    for gate, items in blank.items():
        if items:
            key, heading = HEADINGS[gate]
            listed = np.array(items, dtype=np.int64)
            yield Finding(
                Level.STOP, Code.NOT_COMPUTED, lifts.at(items[0], key),
                f"Lifts {places.some(listed)} state no hour for the gate {GATE_NAMES[gate]}, so it could not be judged.",
                clears=f"Give the planned hour under {heading}.", about=places.names(listed), keys=("all", GATE_NAMES[gate]), heading=heading,
            )  # fmt: skip
    for item in np.flatnonzero(lifts.number("hung") < lifts.number("stripped")).tolist():
        hung, stripped = float(lifts.number("hung")[item]), float(lifts.number("stripped")[item])
        yield Finding(
            Level.STOP, Code.OUT_OF_ORDER, lifts.at(item, "hung"),
            f"Lift {places.name(item)}: Hung is planned before Stripped, but units hang on a lift only once it is stripped.",
            found=say.planned(hung), limit=say.planned(stripped), clears="Correct one of the two dates.",
            keys=places.keys(item, "order"), heading="Hung",
        )  # fmt: skip
