"""The columns of the sheets that go to the site and come back from it, in base units."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from sheetengine.columns import taken_texts, texts
from sheetengine.design.anchor_survey import NOT_SURVEYED, lowest_of_block, surveyed_foundations
from sheetengine.design.as_built import Ahead, AsBuilt, anchors_ahead, as_built
from sheetengine.design.flags import Places
from sheetengine.design.hold_points import (
    HOLD_POINTS,
    HoldPointRows,
    hold_point_flags,
    hold_points,
    names_of,
)
from sheetengine.design.lift_records import (
    Corrections,
    Layers,
    corrections,
    layers,
    record_flags,
    recorded,
)
from sheetengine.design.result_columns import Columns, keys_of
from sheetengine.design.robustness import PLANNED, SCENARIOS, Robustness, robustness
from sheetengine.design.verdicts import OPEN_VERDICTS
from sheetengine.design.wording import Wording
from sheetengine.findings import Code, Finding, Level
from sheetengine.job import FOUNDATION_NAME
from sheetengine.sources import Known, Source

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation

AHEAD = Source("Anchors cast in a lift against those of the units on it", "counted by unit", Known.PRACTICE)
AS_BUILT = Source("The anchor method of the job", "with the anchors as they were found", Known.PRACTICE)


@dataclass(frozen=True)
class Site:
    """What the site needs to know and what it answered, of one calculation; each part is found when it is asked for."""

    c: Calculation

    @cached_property
    def built(self) -> AsBuilt:
        """Return the anchors as built."""
        return as_built(self.c)

    @cached_property
    def ahead(self) -> Ahead:
        """Return the units that have too few anchors in the lift below."""
        return anchors_ahead(self.c, self.built.found)

    @cached_property
    def layers(self) -> Layers:
        """Return the records of the lifts."""
        return layers(self.c)

    @cached_property
    def corrections(self) -> Corrections:
        """Return what the records propose."""
        return corrections(self.c, self.layers)

    @cached_property
    def points(self) -> HoldPointRows:
        """Return the hold points."""
        return hold_points(self.c, self.built, self.ahead, recorded(self.c, self.layers))

    @cached_property
    def robustness(self) -> Robustness:
        """Return what fails first."""
        return robustness(self.c)

    def flags(self) -> Iterator[Finding]:
        """Return every finding of the site."""
        say, places = Wording(self.c.job.text("Result units") == "US"), Places(self.c.job.table("Lifts"))
        yield from _built_flags(self.c, self.built, say, places)
        yield from _ahead_flags(self.c, self.ahead, say, places)
        yield from record_flags(self.c, self.layers, places)
        yield from hold_point_flags(self.c, self.points, places)


def _built_flags(c: Calculation, built: AsBuilt, say: Wording, places: Places) -> Iterator[Finding]:
    """Return a finding for every anchor that differs, with what the check as built comes to."""
    found, table = built.found, c.job.table("As built")
    for place in np.flatnonzero(found.differs).tolist():
        row, lift, holder = int(found.row[place]), int(found.lift[place]), int(found.holder[place])
        if row < 0:
            continue
        own = (c.cases.holder[built.case] == holder) & (c.cases.lower[built.case] == found.lower[place])
        cases = np.flatnonzero(own & (holder >= 0))
        told, stop = "", False
        if cases.size:
            worst = int(cases[np.argmax(np.where(np.isnan(built.ratio[cases]), np.inf, built.ratio[cases]))])
            word = str(built.verdict[worst])
            stop = word in OPEN_VERDICTS
            stage = str(c.cases.names()[built.case[worst]])
            told = (
                f" The units on {places.name(holder)} were checked again with the {built.left[worst]:.0f} of {built.anchors[worst]:.0f} anchors "
                f"that count: {stage}, {built.governing[worst]}, ratio {say.ratio(float(built.ratio[worst]))} in place of "
                f"{say.ratio(float(built.planned[worst]))}, {word}."
            )
        at = float(table.number("position")[row])
        yield Finding(
            Level.STOP if stop else Level.ACCEPT, Code.AS_BUILT, table.at(row, "state"),
            f"{_place(c, lift, holder)}, anchor{' of the lower row' if found.lower[place] else ''} at {say.length(at)}: {found.words[place]}."
            f"{told}",
            found=str(table.label("state")[row]), limit="as planned", source=AS_BUILT,
            clears="Set it right before the units hang from it, change the layout in Anchor positions, or let the designer accept the "
            "check as built and enter a re-check in Releases (HP2).",
            keys=_keys(places, lift, holder, f"{at:.3f}", str(found.words[place]).split(",")[0]), heading="State",
        )  # fmt: skip
    unseen = found.words == NOT_SURVEYED
    bases = surveyed_foundations(c.job, c.layout)
    groups = {
        (int(lift), int(holder) if lift < 0 else -1): None
        for lift, holder in zip(found.lift[unseen], found.holder[unseen], strict=True)
    }
    for lift, base in sorted(groups):
        mine = np.flatnonzero(unseen & (found.lift == lift) & ((lift >= 0) | (found.holder == base)))
        where = ", ".join(say.length(float(found.planned[place])) for place in mine[:6].tolist())
        speaks = c.job.lift_of("As built") == lift if lift >= 0 else bases == lowest_of_block(c.layout, base)
        first = int(np.flatnonzero(speaks)[0])
        yield Finding(
            Level.ACCEPT, Code.AS_BUILT, table.at(first, "position"),
            f"{_place(c, lift, base)}: {mine.size} planned anchor{'s' if mine.size > 1 else ''} have no row in As built (at {where}"
            f"{' …' if mine.size > 6 else ''}); they count as planned.",
            found=f"{mine.size} not surveyed", limit="every anchor", source=AS_BUILT,
            clears="Survey them and enter a row for each.", keys=_keys(places, lift, base, "survey"), heading="Position",
        )  # fmt: skip


def _place(c: Calculation, lift: int, holder: int) -> str:
    """Return where an anchor is cast, in words."""
    if lift >= 0:
        return f"Lift {c.job.lift_name(lift)}"
    return f"Foundation of block {c.job.table('Lifts').label('block')[holder]}"


def _keys(places: Places, lift: int, holder: int, *more: str) -> tuple[str, ...]:
    """Return what tells findings about anchors apart: the lift in which they are cast, and more of it."""
    return places.keys(lift, *more) if lift >= 0 else places.keys(holder, FOUNDATION_NAME, *more)


def _ahead_flags(c: Calculation, ahead: Ahead, say: Wording, places: Places) -> Iterator[Finding]:
    """Return a finding for every unit of the next lift that has too few anchors in the lift that is to be placed."""
    lifts = places.lifts
    for holder in dict.fromkeys(ahead.holder.tolist()):
        rows = np.flatnonzero(ahead.holder == holder)
        lift = int(ahead.lift[rows[0]])
        before = (
            f"{places.name(lift)} is placed, by the hour on its pour card" if lift >= 0 else f"the units of {places.name(holder)} are hung"
        )  # fmt: skip
        units = "; ".join(
            f"unit {ahead.unit[row]} ({say.length(float(ahead.begin[row]))} to {say.length(float(ahead.end[row]))}) {ahead.has[row]:.0f} of {ahead.needs[row]:.0f}"
            for row in rows[:6].tolist()
        )
        lost = bool(
            (ahead.has[rows] < ahead.planned[rows]).any()
        )  # else the layout itself has fewer, and is proved as it is
        yield Finding(
            Level.STOP if lost else Level.ACCEPT, Code.ANCHORS_AHEAD, lifts.at(holder, "unit"),
            f"{_place(c, lift, holder)} is to hold the units on {places.name(holder)} and has too few anchors for them: {units}"
            f"{' …' if rows.size > 6 else ''}.",
            found=f"{ahead.has[rows].sum():.0f}", limit=f"{ahead.needs[rows].sum():.0f} for these units", source=AHEAD,
            clears=f"Set them before {before}; or correct Anchor positions or Anchors per unit; "
            "a layout that is meant so is accepted with initials.",
            keys=_keys(places, lift, holder, "ahead"), heading="Unit",
        )  # fmt: skip


def built_columns(site: Site) -> Columns:
    """Return the rows of ``As-built check``: a lift and stage whose anchors are not as planned."""
    c, b = site.c, site.built
    names = c.cases.names()
    below = c.cases.carrier[b.case]
    return {
        **keys_of(c, c.cases.lift[b.case]),
        "Stage": names[b.case],
        "Anchors in": texts(
            c.job.lift_name(item) if item >= 0 else FOUNDATION_NAME for item in below.tolist()
        ),
        "Planned": b.anchors,
        "Counted": b.left,
        "Ratio as planned": b.planned,
        "Ratio as built": b.ratio,
        "Governing mode": b.governing,
        "Required strength [MPa]": np.where(np.isinf(b.required), np.nan, b.required),
        "Concrete strength [MPa]": c.proof.strength[b.case],
        "Strength reached": np.where(np.isfinite(b.ready), b.ready, np.nan),
        "Verdict": b.verdict,
    }


def survey_columns(site: Site) -> Columns:
    """Return the anchors of the lifts that were surveyed, one a row."""
    c, found = site.c, site.built.found
    table = c.job.table("As built")
    states = texts("" if row < 0 else table.label("state")[row] for row in found.row.tolist())
    remarks = texts("" if row < 0 else table.label("remark")[row] for row in found.row.tolist())
    angle = table.number("angle")
    lifts = c.job.table("Lifts")
    any_lift = np.where(found.lift >= 0, found.lift, found.holder)
    return {
        **keys_of(c, any_lift),
        "Lift": np.where(found.lift >= 0, lifts.raw["lift"][any_lift], FOUNDATION_NAME),
        "Row": np.where(found.lower, "lower", "upper"),
        "State": states,
        "Anchor": taken_texts(c.job.table("Anchor types").label("anchor"), found.kind),
        "Planned at [m]": found.planned,
        "Counts at [m]": np.where(found.lost, np.nan, found.position),
        "Depth [m]": np.where(found.lost, np.nan, found.depth),
        "Angle [deg]": np.array([np.nan if row < 0 else float(angle[row]) for row in found.row.tolist()]),
        "Difference": found.words,
        "Remark": remarks,
    }


def hold_point_columns(site: Site) -> Columns:
    """Return the rows of ``Hold points``."""
    c, h = site.c, site.points
    names = names_of(c)
    return {
        **keys_of(c, h.lift),
        "Hold point": texts(f"HP{point}" for point in h.point.tolist()),
        "Name": texts(names[point] for point in h.point.tolist()),
        "State": h.state,
        "Needs": texts(HOLD_POINTS[point].needs for point in h.point.tolist()),
        "On file": h.evidence,
        "What the engine knows": h.knows,
        "Against": h.against,
        "Released by": h.released_by,
        "Released": h.time,
    }


def robustness_columns(site: Site) -> Columns:
    """Return the rows of ``Robustness``: one a lift, a pair of columns a scenario."""
    c, r = site.c, site.robustness
    columns: Columns = dict(keys_of(c, np.arange(len(c.job.table("Lifts")), dtype=np.int64)))
    for place, name in enumerate(SCENARIOS):
        columns[f"{name}, ratio"] = r.ratio[:, place]
        columns[f"{name}, first to fail"] = texts(
            f"{'FAILS: ' if ratio > 1.0 else ''}{words}"
            for ratio, words in zip(r.ratio[:, place].tolist(), r.first[:, place].tolist(), strict=True)
        )
    tried = r.ratio[:, 1:]
    known = np.where(np.isnan(tried), -np.inf, tried)
    worst = np.argmax(known, axis=1)
    columns["Worst of these"] = texts(
        "" if np.isneginf(known[item, place]) else SCENARIOS[1 + place]
        for item, place in enumerate(worst.tolist())
    )
    return columns


def record_columns(site: Site) -> Columns:
    """Return the rows of ``Lift record check``: a stretch between two readings each."""
    c, found = site.c, site.layers
    lifts = c.job.table("Lifts")
    table = c.job.table("Lift record")
    return {
        **keys_of(c, found.lift),
        "From [m]": found.begin,
        "To [m]": found.end,
        "Since": found.since,
        "Until": found.until,
        "Rise rate [m/h]": found.rate,
        "Planned rise rate [m/h]": c.layout.rise[found.lift],
        "Greatest rise rate [m/h]": found.greatest,
        "Concrete temperature [degC]": found.temperature,
        "Planned temperature [degC]": lifts.number("concrete_temperature")[found.lift],
        "Slump [mm]": found.slump,
        "Pressure [kPa]": found.pressure,
        "Ratio": found.ratio,
        "Open for [h]": found.open_for,
        "Verdict": found.verdict,
        "Remark": texts(table.label("remark")[row] for row in found.row.tolist()),
    }


def correction_columns(site: Site) -> Columns:
    """Return what the records propose, a row each."""
    c, found = site.c, site.corrections
    return {
        "Mix": taken_texts(c.job.table("Mixes").label("mix"), found.mix),
        "What": found.what,
        "Lifts": found.lifts,
        "Assumed": found.assumed,
        "Found": found.found,
        "Proposed": found.proposed,
    }


def higher_category(site: Site) -> list[str]:
    """Return the reasons for a higher design check category; the engine chooses none."""
    c = site.c
    reasons = ["units are moved in a sequence and hang from concrete of the days before"]
    young = c.proof.strength[c.cases.people & (c.cases.carrier >= 0)]
    if young.size and float(np.nanmin(young, initial=np.inf)) < 20.0:
        reasons.append("people stand on units held by anchors in concrete weaker than 20 MPa")
    if (c.demand.below & ~c.withheld).any():
        reasons.append("anchors are loaded in concrete below the range of their standard")
    if (c.job.table("Lifts").number("face_inclination") != 0.0).any():
        reasons.append("faces lean, so that units may be lifted")
    if (c.job.table("Lifts").number("projection_reach") > 0.0).any():
        reasons.append("projections are placed on the bracket frames, with no shores below")
    if c.cases.lower.any():
        reasons.append("lower rows of anchors pull")
    if c.picks.lift.size:
        reasons.append("units are picked by crane")
    if (site.built.found.differs & (site.built.found.row >= 0)).any():
        reasons.append("anchors as built differ from the design")
    if (site.robustness.ratio[:, SCENARIOS.index("One anchor lost")] > 1.0).any():
        reasons.append("the loss of one anchor is not carried by its neighbours everywhere")
    if (site.robustness.ratio[:, SCENARIOS.index(PLANNED)] > 1.0).any():
        reasons.append("checks exceed as planned")
    return reasons
