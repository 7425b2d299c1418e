"""Reinforcement by bar mark: cutting lengths, numbers and masses, with their totals."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sheetengine.clauses import bar_masses, bs8666
from sheetengine.columns import Column, Rows, Table, months_of, taken, taken_texts, texts
from sheetengine.design.bar_checks import bar_findings
from sheetengine.design.bar_shapes import (
    LEGS,
    Schedule,
    bent_beyond,
    computed_codes,
    missing_legs_of,
    shape_codes_of,
    sizes_of,
)
from sheetengine.design.take_off import Columns, grouped, totals
from sheetengine.findings import Finding
from sheetengine.job import Job

SUMS = ("Number", "Mass [kg]")
MM_PER_M = 1000.0


@dataclass(frozen=True, slots=True)
class BarCounts:
    """Bars of every lift, their totals, and what should be looked at.

    Attributes
    ----------
    columns
        ``Block``, ``Lift``, ``Bar mark``, ``Size``, ``Shape code``, ``Cutting length [mm]`` (rounded up as
        the standard schedules it), ``Number``, ``Mass [kg]`` (of the cutting lengths), ``Month``, ``Mix``;
        behind them ``Exact length [mm]`` and ``Mass per length [kg/m]``.
    lifts
        Item of ``Lifts`` that each row belongs to, -1 where the lift is not known.
    items
        Item of ``Bars`` that each row shows.
    by_size, by_lift, by_month, by_size_and_month
        Totals; ``by_size`` from thin to thick with ``Length [m]``; ``by_lift`` with ``Concrete [m3]`` and
        ``Reinforcement [kg/m3]``, ``nan`` where plan area or height is not known.
    findings
        What the counting noticed.
    """

    columns: Columns
    lifts: Rows
    items: Rows
    by_size: Columns
    by_lift: Columns
    by_month: Columns
    by_size_and_month: Columns
    findings: list[Finding]


def bar_counts(job: Job) -> BarCounts:
    """Count the bars of the ``Bars`` sheet by the edition that the item ``Bar standard`` names.

    Parameters
    ----------
    job
        The job as read; ``Bars``, ``Lifts`` and the item ``Bar standard``.

    Returns
    -------
    BarCounts
        Rows by block and lift as they stand in ``Lifts``; totals; findings. What cannot be computed is
        ``nan``, never 0.
    """
    bars, lifts = job.table("Bars"), job.table("Lifts")
    plan = schedule_of(bars, job.text("Bar standard"))
    at = job.lift_of("Bars")
    found = at >= 0
    block, lift = bars.raw["block"].copy(), bars.raw["lift"].copy()
    block[found], lift[found] = lifts.raw["block"][at[found]], lifts.raw["lift"][at[found]]
    cut = bs8666.scheduled_length(cut_length=plan.length)
    number = bars.number("members") * bars.number("bars_per_member")
    unsorted: Columns = {
        "Block": block,
        "Lift": lift,
        "Bar mark": bars.raw["bar_mark"],
        "Size": plan.size,
        "Shape code": texts(
            code or said for code, said in zip(plan.code.tolist(), bars.label("shape_code"), strict=True)
        ),
        "Cutting length [mm]": cut,
        "Number": number,
        "Mass [kg]": number * cut / MM_PER_M * plan.mass_per_metre,
        "Month": months_of(taken(lifts.number("placed"), at)),
        "Mix": taken_texts(lifts.label("mix"), at),
        "Exact length [mm]": plan.length,
        "Mass per length [kg/m]": plan.mass_per_metre,
    }
    items = np.asarray(np.argsort(np.where(found, at, len(lifts)), kind="stable"), dtype=np.int64)
    columns = {name: values[items] for name, values in unsorted.items()}
    return BarCounts(
        columns=columns,
        lifts=at[items],
        items=items,
        by_size=_by_size(columns, plan.diameter[items]),
        by_lift=_by_lift(columns, lifts, at[items]),
        by_month=totals(columns, ("Month",), SUMS),
        by_size_and_month=totals(columns, ("Size", "Month"), SUMS),
        findings=bar_findings(bars, plan, us=job.text("Result units") == "US"),
    )


def schedule_of(bars: Table, edition: str) -> Schedule:
    """Return what the ``Bars`` sheet says of every bar, and the exact length by an edition of the standard."""
    size, diameter, bar_number = sizes_of(bars.label("size"))
    code = shape_codes_of(bars.label("shape_code"))
    legs = np.stack([bars.number(f"{letter.lower()}_dim") for letter in LEGS], axis=1)
    given = bars.number("bend_radius")
    least = bs8666.minimum_scheduling_radius(bar_diameter=diameter)
    radius = np.where(np.isnan(given), least, given)
    by_expression = bs8666.cutting_length(
        edition=edition,
        shape_code=np.where(np.isin(code, computed_codes(edition)), code, ""),
        bar_diameter=diameter,
        bend_radius=radius,
        dimension_a=legs[:, 0],
        dimension_b=legs[:, 1],
        dimension_c=legs[:, 2],
        dimension_d=legs[:, 3],
        dimension_e=legs[:, 4],
        dimension_f=np.full(len(bars), np.nan),
    )
    computed = np.where(code == bs8666.SKETCH, _sum_of_legs(legs), by_expression)
    allowed = (computed > 0.0) & ~missing_legs_of(edition, code, legs) & ~bent_beyond(code, diameter)
    us = ~np.isnan(bar_number)
    return Schedule(
        edition=edition,
        size=size,
        diameter=diameter,
        mass_per_metre=np.where(
            us,
            bar_masses.us_bar_mass(bar_number=bar_number),
            bar_masses.metric_bar_mass(bar_diameter=diameter),
        ),
        us=us,
        code=code,
        legs=legs,
        radius=radius,
        given_radius=given,
        computed=computed,
        length=np.where(allowed, computed, np.nan),
    )


def _sum_of_legs(legs: NDArray[np.float64]) -> Column:
    """Return the sum of the legs that are given, ``nan`` where none is."""
    given = legs > 0.0
    return np.where(given.any(axis=1), np.where(given, legs, 0.0).sum(axis=1), np.nan)


def _by_size(columns: Columns, diameter: Column) -> Columns:
    """Return the totals by size, from thin to thick."""
    lengths = columns["Number"] * columns["Cutting length [mm]"] / MM_PER_M
    result = totals({**columns, "Length [m]": lengths}, ("Size",), ("Number", "Length [m]", "Mass [kg]"))
    first, _ = grouped(columns["Size"])
    order = np.argsort(diameter[first], kind="stable")
    return {name: values[order] for name, values in result.items()}


def _by_lift(columns: Columns, lifts: Table, at: Rows) -> Columns:
    """Return the totals by lift, with the concrete of the lift and the reinforcement in it."""
    result = totals(columns, ("Block", "Lift"), SUMS)
    first, _ = grouped(columns["Block"], columns["Lift"])
    concrete = taken(lifts.number("plan_area") * lifts.number("height"), at[first])
    return {**result, "Concrete [m3]": concrete, "Reinforcement [kg/m3]": result["Mass [kg]"] / concrete}
