"""Findings of the crane picks: what exceeds, what lies outside a crane's table, what was not checked."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from sheetengine.clauses.crane_pick import STANDARD_GRAVITY
from sheetengine.columns import Column, Flags
from sheetengine.design.crane_picks import chart_of, crane_names
from sheetengine.design.layout import Index
from sheetengine.design.wording import To
from sheetengine.findings import Code, Finding, Level

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation
    from sheetengine.design.flags import Places
    from sheetengine.design.wording import Wording


def pick_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    """Return the findings of the crane picks."""
    yield from _chart_flags(c, say)
    yield from _crane_flags(c, say, places)
    yield from _point_flags(c, say, places)
    yield from _unchecked_flags(c, places)


def greatest_radius(radii: Column, capacities: Column, load_kg: float) -> float:
    """Return the greatest radius up to which every capacity carries a load; ``nan`` where even the smallest does not.

    >>> float(greatest_radius(np.array([10.0, 20.0]), np.array([8000.0, 4000.0]), 5000.0))
    17.5
    """
    short = np.flatnonzero(~(capacities >= load_kg))
    if not short.size:
        return float(radii[-1])
    first = int(short[0])
    if first == 0:
        return float("nan")
    share = (capacities[first - 1] - load_kg) / (capacities[first - 1] - capacities[first])
    return float(radii[first - 1] + share * (radii[first] - radii[first - 1]))


def _groups(c: Calculation, rows: Flags) -> Iterator[Index]:
    """Return the picks of one cause, one crane and units of one mass; the pick that uses the crane most comes first."""
    p, crane = c.picks, c.job.table("Lifts").label("crane")
    alike: dict[tuple[str, int, float], list[int]] = {}
    for row in np.flatnonzero(rows).tolist():
        item = int(p.lift[row])
        kind = (str(crane[item]), int(c.layout.unit[item]), float(p.mass[row]))
        alike.setdefault(kind, []).append(row)
    for found in alike.values():
        listed = np.array(found, dtype=np.int64)
        worst = int(np.argmax(np.where(np.isnan(p.crane_ratio[listed]), -1.0, p.crane_ratio[listed])))
        yield np.r_[listed[worst], np.delete(listed, worst)]


def _chart_flags(c: Calculation, say: Wording) -> Iterator[Finding]:
    cranes = c.job.table("Cranes")
    names = np.array([str(name).casefold() for name in cranes.label("crane")], dtype=object)
    for name in crane_names(c.job):
        radii, capacities = chart_of(c.job, name)
        rises = np.flatnonzero(np.diff(capacities) > 0.0)
        if rises.size:
            at = int(np.flatnonzero((names == name) & (cranes.number("radius") == radii[rises[0] + 1]))[0])
            yield Finding(
                Level.ACCEPT, Code.PLAUSIBILITY, cranes.at(at, "capacity"),
                f"Crane {cranes.label('crane')[at]}: the capacity rises at a radius of {say.length(float(radii[rises[0] + 1]))}; "
                "a crane carries less further out.",
                found=f"{capacities[rises[0] + 1]:g} kg", limit=f"at most {capacities[rises[0]]:g} kg",
                clears="Compare with the crane's chart.", keys=(name, "rises"), heading="Capacity",
            )  # fmt: skip


def _crane_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    p, lifts = c.picks, places.lifts
    threshold = c.job.number("Review threshold")
    radius, crane = lifts.number("pick_radius"), lifts.label("crane")
    over = p.has_crane & (p.crane_ratio > 1.0)
    near = p.has_crane & (p.crane_ratio >= threshold) & (p.crane_ratio <= 1.0)
    for name in dict.fromkeys(crane[p.lift[p.outside]].tolist()):
        items = p.lift[p.outside & (crane[p.lift] == name)]
        radii, _ = chart_of(c.job, name.casefold())
        band = f"{say.length(float(radii[0]))} to {say.length(float(radii[-1]))}"
        low, high = say.length(float(np.min(radius[items]))), say.length(float(np.max(radius[items])))
        found = low if low == high else f"{low} to {high}"
        yield Finding(
            Level.STOP, Code.OUTSIDE_SCOPE, lifts.at(int(items[0]), "pick_radius"),
            f"Lifts {places.some(items)}: the pick radius of {found} lies outside the table of crane “{name}”; no capacity is "
            "taken from beyond it.",
            found=found, limit=band, clears="Correct the radius, or add the row of the crane's chart.", about=places.names(items), keys=(name, "radius"),
            heading="Pick radius",
        )  # fmt: skip
    for rows in (*_groups(c, over), *_groups(c, near)):
        row = int(rows[0])
        item = int(p.lift[row])
        name, unit = str(crane[item]), str(c.job.table("Form units").label("unit")[c.layout.unit[item]])
        exceeds = bool(over[row])
        needed = float(p.load[row]) * 1000.0 / STANDARD_GRAVITY
        reach = greatest_radius(*chart_of(c.job, name.casefold()), needed)
        clears = (
            "Measure the radius on site, and leave more in hand."
            if not exceeds
            else f"Pick within {say.length(reach, To.AT_MOST)}, fewer units at once, or by a stronger crane."
            if np.isfinite(reach)
            else "Pick fewer units at once, or by a stronger crane: no radius of this one carries them."
        )
        worst = "" if rows.size == 1 else f", the most on {places.name(item)}"
        yield Finding(
            Level.STOP if exceeds else Level.ACCEPT, Code.EXCEEDS if exceeds else Code.NEAR_LIMIT,
            lifts.at(item, "pick_radius"),
            f"Lifts {places.some(np.sort(p.lift[rows]))}, unit {unit}: the hook load of {say.force(float(p.load[row]))} is "
            f"{say.ratio(float(p.crane_ratio[row]))} of the capacity of crane “{name}” at "
            f"{say.length(float(radius[item]))}{worst}.",
            found=say.force(float(p.load[row])), limit=say.force(float(p.capacity[row])), clears=clears,
            about=places.names(np.sort(p.lift[rows])), keys=(name, unit, f"{p.mass[row]:.4g}"), heading="Pick radius",
        )  # fmt: skip


def _point_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    p, units = c.picks, c.job.table("Form units")
    threshold = c.job.number("Review threshold")
    of_row = c.layout.unit[p.lift]
    for unit in np.unique(of_row).tolist():
        rows = np.flatnonzero(of_row == unit)
        name, ratio = str(units.label("unit")[unit]), float(p.point_ratio[rows[0]])
        if p.has_crane[rows].any() and np.isnan(units.number("lifting_capacity")[unit]):
            yield Finding(
                Level.ACCEPT, Code.NOT_COMPUTED, units.at(unit, "lifting_capacity"),
                f"Unit {name} states no lifting capacity, so its lifting points were not checked for lifts "
                f"{places.some(p.lift[rows])}.",
                clears="Give the rated load of the lifting points, from the supplier's data.", about=places.names(p.lift[rows]), keys=(name, "lifting"),
                heading="Lifting capacity",
            )  # fmt: skip
        if ratio >= threshold:
            load, rated = float(p.point_load[rows[0]]), float(units.number("lifting_capacity")[unit])
            over = ratio > 1.0
            yield Finding(
                Level.STOP if over else Level.ACCEPT, Code.EXCEEDS if over else Code.NEAR_LIMIT,
                units.at(unit, "lifting_capacity"),
                f"Unit {name}: its lifting points carry {say.force(load)} with the dynamic factor, {say.ratio(ratio)} of their "
                "rating.",
                found=say.force(load), limit=say.force(rated),
                clears="Lift it at stronger points or by more of them, or take platforms off before the pick.",
                keys=(name, "points"), heading="Lifting capacity",
            )  # fmt: skip


def _unchecked_flags(c: Calculation, places: Places) -> Iterator[Finding]:
    p, lifts = c.picks, places.lifts
    without = np.flatnonzero(lifts.label("crane") == "")
    if without.size:
        bare = np.setdiff1d(without, p.lift)
        points = (
            " Their lifting points alone are checked."
            if not bare.size
            else f" For lifts {places.some(bare)} the units state no lifting capacity either, and nothing of the pick is checked."
        )
        yield Finding(
            Level.NOTE, Code.DEFAULT_TAKEN, lifts.at(int(without[0]), "crane"),
            f"Lifts {places.some(without)} name no crane, so no pick is checked against a crane.{points}",
            clears="Fill in the sheet Cranes, and Crane and Pick radius in Lifts.", about=places.names(without), keys=("all", "crane"), heading="Crane",
        )  # fmt: skip
    if not p.has_crane.any():
        return
    for name, text in (
        ("Crane wind limit", "Crane wind limit is blank, so the greatest wind of the picks is not computed."),
        (
            "Rigging mass",
            "Rigging mass is blank; nothing is added to the units for hook block, slings and spreader.",
        ),
    ):
        if not c.job.items[name].given:
            yield Finding(
                Level.ACCEPT, Code.NOT_COMPUTED if name == "Crane wind limit" else Code.DEFAULT_TAKEN, c.job.items[name].at,
                text, clears=f"Give {name}, or accept it with initials.", keys=("pick", name), heading=name,
            )  # fmt: skip
