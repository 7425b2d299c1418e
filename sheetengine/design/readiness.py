"""Strength at any hour, and the gates: strip, hang, place next, set back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from sheetengine.clauses.astm_c1074 import arrhenius_rate, nurse_saul_rate
from sheetengine.columns import Column, Flags, Texts, taken, taken_texts, texts
from sheetengine.design.curve_readings import By, CurvesReadBy, Strengths
from sheetengine.design.layout import Index, Layout
from sheetengine.design.maturity import Matrix, Maturity, maturity_of
from sheetengine.design.specimens import SpecimenFits
from sheetengine.design.strength_curves import StrengthCurves
from sheetengine.design.temperatures import Temperatures
from sheetengine.job import Job

STRIP, HANG, PLACE_NEXT, SETTING_BACK = range(4)
GATE_NAMES = ("Strip", "Hang", "Place next", "Set back")
AFTER_STRIPPING_ABOVE = "Stripping of the lift above"
"""What governs a unit that the anchors would carry set back before its lift may be stripped."""
FREEZING = 0.0
"""At and below this temperature, in degC, nothing is taken to be gained; EN 1992-1-1 B.10 begins here."""


@dataclass(frozen=True, slots=True)
class StrengthHistory:
    """Strength of every lift at its anchors, at any hour.

    Attributes
    ----------
    curves, maturity, top
        Strength law of the mixes, and equivalent age of the lifts at the anchors and at the top of the face, from the
        same hour on.
    mix
        Row in ``Mixes`` of every lift.
    foundation
        Strength of the foundation; ``nan`` where none is given. [MPa]
    """

    curves: Strengths
    maturity: Maturity
    top: Maturity
    mix: Index
    foundation: float

    def read_by(self, curves: StrengthCurves, by: By) -> StrengthHistory:
        """Return the same history with the mean or the upper bound of the curves."""
        return replace(self, curves=CurvesReadBy(curves, by))

    def strength(self, lift: Index, hour: Column) -> Column:
        """Return the strength of the lifts at the hours; the foundation's for lift -1. [MPa]."""
        age = self.maturity.age_at(lift, hour)
        grown = self.curves.strength_at(self._mix(lift), age)
        return np.where(lift >= 0, grown, self.foundation)

    def hour(self, lift: Index, strength: Column) -> Column:
        """Return the hour at which the lifts reach the strengths; ``inf`` where they do not within the history."""
        age = self.curves.age_at(self._mix(lift), strength)
        hour = np.where(
            np.isfinite(age), self.maturity.hour_of(lift, np.where(np.isfinite(age), age, 0.0)), age
        )
        return np.where(lift >= 0, hour, np.where(strength <= self.foundation, -np.inf, np.inf))

    def wants_tests(self, lift: Index, hour: Column) -> Flags:
        """Return where strength at the hours must rest on tests and the mix has none."""
        return self.curves.wants_tests(self._mix(lift), self.maturity.age_at(lift, hour))

    def _mix(self, lift: Index) -> Index:
        return np.where(lift >= 0, self.mix[np.maximum(lift, 0)], -1)


def maturity_rates(job: Job, layout: Layout, nodes: Matrix, fits: SpecimenFits) -> Matrix:
    """Return the equivalent hours gained in an hour at every node of temperatures, by each mix's function.

    Nothing is gained below the datum (Nurse-Saul), nor at or below freezing. Datum and activation temperature are
    those of ``fits``, from the mix's specimens where they tell.
    """
    mixes = job.table("Mixes")
    function = taken_texts(mixes.label("maturity_function"), layout.mix)
    reference = taken(mixes.number("reference_temperature"), layout.mix)[:, None]
    rate = np.full_like(nodes, np.nan)
    arrhenius, linear = function == "Arrhenius", function == "Nurse-Saul"
    if arrhenius.any():
        rate[arrhenius] = arrhenius_rate(
            concrete_temperature=nodes[arrhenius],
            activation_temperature=taken(fits.activation, layout.mix)[arrhenius, None],
            reference_temperature=reference[arrhenius],
        )
    if linear.any():
        rate[linear] = nurse_saul_rate(
            concrete_temperature=nodes[linear],
            datum_temperature=taken(fits.datum, layout.mix)[linear, None],
            reference_temperature=reference[linear],
        )
    return np.where(nodes <= FREEZING, 0.0, rate)


def strength_history(
    job: Job, layout: Layout, curves: StrengthCurves, temperature: Temperatures
) -> StrengthHistory:
    """Return the strength of every lift at its anchors and at its top, at any hour of the history."""
    maturity, top = (
        maturity_of(temperature.start, maturity_rates(job, layout, nodes, curves.fits))
        for nodes in (temperature.nodes, temperature.top)
    )
    return StrengthHistory(curves, maturity, top, layout.mix, job.number("Foundation strength"))


@dataclass(frozen=True, slots=True)
class Gates:
    """One entry a lift and gate, sorted by lift, then gate.

    Attributes
    ----------
    lift, gate
        Row of the lift, and the gate.
    required, predicted
        Strength that the gate asks for, and strength at the planned hour. [MPa]
    by_anchors
        The part of the requirement that the stripping strength or the anchor ratios make; less than
        ``required`` where the anchor standard begins at a higher strength. [MPa]
    planned, ready
        Hours; ``nan`` planned where no date is given, ``inf`` ready where the strength is not reached. [h]
    margin
        Planned less ready; negative: too early. [h]
    governed_by
        What the ready hour depends on.
    needs_tests
        Where the strength rests on a curve that may not speak so early.
    """

    lift: Index
    gate: Index
    required: Column
    by_anchors: Column
    predicted: Column
    planned: Column
    ready: Column
    margin: Column
    governed_by: Texts
    needs_tests: Flags


def _greatest_for_each(
    count: int, lift: Index, required: Column, wording: Texts
) -> tuple[Column, Texts, Flags]:
    """Return, for each lift, the greatest requirement and its wording, and whether it has any; ``nan`` stays."""
    value = np.full(count, -np.inf)
    with np.errstate(invalid="ignore"):
        np.maximum.at(value, lift, required)  # keeps nan
    said = texts([""] * count)
    has = np.zeros(count, dtype=bool)
    has[lift] = True
    unknown = np.isnan(required)
    for item, needed, words, missing in zip(
        lift.tolist(), required.tolist(), wording.tolist(), unknown.tolist(), strict=True
    ):
        if missing or (needed == value[item] and not said[item]):
            said[item] = words
    return np.where(has, value, np.nan), said, has


def _not_before(
    rows: Index, ready: Column, said: Texts, hour: Column, words: Texts, has: Flags
) -> tuple[Column, Texts]:
    """Return hour and words of a gate that does not open before another hour; one that is not known stays so."""
    with np.errstate(invalid="ignore"):
        later = has[rows] & ((hour[rows] > ready) | np.isnan(hour[rows]))
    return np.where(later & ~np.isnan(ready), hour[rows], ready), texts(np.where(later, words[rows], said))


def gates(
    job: Job,
    layout: Layout,
    history: StrengthHistory,
    *,
    hang_hour: Column,
    asked: Mapping[int, tuple[Index, Column, Texts]],
    least_strength: tuple[float, str],
    elsewhere: Mapping[int, tuple[Index, Column, Texts]],
) -> Gates:
    """Return every gate of every lift.

    Parameters
    ----------
    job, layout, history
        The job, its lifts, and their strength.
    hang_hour
        Hour at which units are hung on each lift. [h]
    asked
        By gate: the lift whose concrete is asked, the strength required, and the words for it, for each anchor
        case that the gate guards.
    least_strength
        Strength at which the anchor standard begins, and the words for it; 0 where strengths below it are
        accepted. A gate that guards anchors does not open below it.
    elsewhere
        By gate: lift, hour and words for anchors of its units that sit in the concrete of another lift, in
        which the strength is reached at that hour. [h]

    Notes
    -----
    The strip gate speaks of the youngest concrete, at the top of the lift, with the temperature at the top of its face
    where the heat is computed, else with that at the anchors; the others of the concrete at the anchors. A unit hangs on a lift only after the lift is
    stripped, so the gate Hang opens no earlier than the gate Strip. Set back speaks of the lift on which the
    unit hangs while people clean it, after the lift above is stripped.
    """
    lifts = job.table("Lifts")
    count = len(lifts)
    every = np.arange(count, dtype=np.int64)
    placed = lifts.number("placed")
    top_age = history.top.age_at(every, layout.top_hour)
    strength = np.full(count, job.number("Stripping strength"))
    strip_age = history.curves.age_at(layout.mix, strength) + top_age
    finite = np.isfinite(strip_age)
    strip_ready = np.where(finite, history.top.hour_of(every, np.where(finite, strip_age, 0.0)), strip_age)
    stripped = lifts.number("stripped")
    strip_planned_age = np.maximum(history.top.age_at(every, stripped) - top_age, 0.0)
    parts = [
        (
            every, STRIP, strength, strength, history.curves.strength_at(layout.mix, strip_planned_age), stripped,
            np.maximum(strip_ready, layout.top_hour), texts(["Stripping strength"] * count),
            history.curves.wants_tests(layout.mix, np.where(np.isnan(stripped), strip_age - top_age, strip_planned_age)),
        )
    ]  # fmt: skip
    above = layout.above
    next_placed = taken(placed, above)
    interval = placed + job.number("Least interval between lifts")
    plans = {HANG: hang_hour, PLACE_NEXT: next_placed, SETTING_BACK: taken(stripped, above)}
    for gate, planned in plans.items():
        by_anchors, words, has = _greatest_for_each(count, *asked[gate])
        rows = every[has | ((gate == PLACE_NEXT) & (above >= 0))]
        least, least_words = least_strength
        required = np.where(has, np.maximum(by_anchors, least), np.nan)
        words = texts(np.where(has & (by_anchors < least), least_words, words))
        ready = history.hour(rows, required[rows])
        ready = np.where(has[rows], np.maximum(ready, layout.top_hour[rows]), layout.top_hour[rows])
        said = texts(
            "Anchors, not computed" if missing else text
            for missing, text in zip(np.isnan(required[rows]) & has[rows], words[rows].tolist(), strict=True)
        )
        ready, said = _not_before(rows, ready, said, *_greatest_for_each(count, *elsewhere[gate]))
        if gate == HANG:
            stripping = strip_ready[rows] > ready
            said = texts(np.where(stripping, "Stripping of this lift", said))
            ready = np.where(np.isnan(ready), ready, np.maximum(ready, strip_ready[rows]))
        if gate == PLACE_NEXT:
            later = interval[rows] > ready
            said = texts(
                "Least interval between lifts" if wait else (text or "no anchors in this lift")
                for wait, text in zip(later.tolist(), said.tolist(), strict=True)
            )
            ready = np.where(np.isnan(ready), ready, np.maximum(ready, interval[rows]))
        if gate == SETTING_BACK:
            above_stripped = taken(strip_ready, above)[rows]
            said = texts(np.where(above_stripped > ready, AFTER_STRIPPING_ABOVE, said))
            ready = np.where(np.isnan(ready), ready, np.maximum(ready, above_stripped))
        parts.append(
            (
                rows, gate, required[rows], by_anchors[rows], history.strength(rows, planned[rows]), planned[rows], ready, said,
                history.wants_tests(rows, np.where(np.isnan(planned[rows]), ready, planned[rows])) & has[rows],
            )
        )  # fmt: skip
    lift = np.concatenate([part[0] for part in parts])
    gate_of = np.concatenate([np.full(part[0].size, part[1], dtype=np.int64) for part in parts])
    columns = [np.concatenate([part[place_] for part in parts]) for place_ in range(2, 9)]
    order = np.lexsort((gate_of, lift))
    required, by_anchors, predicted, planned, ready, governed, tests = (column[order] for column in columns)
    with np.errstate(invalid="ignore"):
        margin = planned - ready
    return Gates(
        lift[order],
        gate_of[order],
        required,
        by_anchors,
        predicted,
        planned,
        ready,
        margin,
        texts(governed),
        tests,
    )
