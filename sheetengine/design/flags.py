"""Findings of the calculation: what is flagged, where, and what would clear it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sheetengine.cells import CellRef
from sheetengine.clauses.fluid_pressure import greatest_height
from sheetengine.columns import Flags, Table, taken
from sheetengine.design.calculate import Calculation, foot_on_nothing
from sheetengine.design.faces import slope_height
from sheetengine.design.flags_anchors import anchor_flags
from sheetengine.design.flags_faces import face_flags
from sheetengine.design.flags_gates import gate_flags
from sheetengine.design.flags_picks import pick_flags
from sheetengine.design.flags_specimens import specimen_flags
from sheetengine.design.flags_strongbacks import strongback_flags
from sheetengine.design.flags_wind import wind_flags
from sheetengine.design.heat_checks import heat_flags
from sheetengine.design.layout import Index
from sheetengine.design.rise_window import window_flags
from sheetengine.design.specimens import FITTED
from sheetengine.design.verdicts import EXCEEDS, NEAR_LIMIT
from sheetengine.design.wording import To, Wording
from sheetengine.findings import Code, Finding, Level
from sheetengine.sources import Known, Source

LONGEST_TABLED_SET = 20.0
"""Longest final set, in h, for which the setting factor of DIN 18218 is held as a printed table entry."""
LONGEST_IN_FORM = 90.0 * 24.0
"""Hours from placing to stripping beyond which the dates are questioned; common practice."""
MIXED = {
    "EN partial factors": ("EN 1992-4:2018",),
    "ACI strength": ("ACI 318-19", "ACI 318M-19"),
}


@dataclass(frozen=True, slots=True)
class Places:
    """Names and cells of the lifts, for the wording of findings."""

    lifts: Table

    def name(self, item: int) -> str:
        """Return block and lift as a reader says them."""
        return f"{self.lifts.label('block')[item]}/{self.lifts.label('lift')[item]}"

    def keys(self, item: int, *more: str) -> tuple[str, ...]:
        """Return what makes a finding of a lift the same thing from run to run."""
        return (str(self.lifts.label("block")[item]), str(self.lifts.label("lift")[item]), *more)

    def some(self, items: Index, most: int = 6) -> str:
        """Return the names of some lifts, with the number of the others."""
        named = ", ".join(self.name(item) for item in items[:most].tolist())
        return named if items.size <= most else f"{named} and {items.size - most} more"

    def names(self, items: Index) -> tuple[str, ...]:
        """Return the names of all of some lifts, each once."""
        return tuple(dict.fromkeys(self.name(item) for item in items.tolist()))


def all_flags(c: Calculation) -> list[Finding]:
    """Return every finding of the calculation, in no order."""
    say = Wording(c.job.text("Result units") == "US")
    places = Places(c.job.table("Lifts"))
    return [
        *c.job.findings,
        *c.temperature.readings.findings,
        *_scope_flags(c, say, places),
        *_panel_flags(c, say, places),
        *_mix_flags(c),
        *_face_flags(c, say, places),
        *face_flags(c, say, places),
        *_job_flags(c),
        *_temperature_flags(c, places),
        *anchor_flags(c, say, places),
        *gate_flags(c, say, places),
        *wind_flags(c, say, places),
        *pick_flags(c, say, places),
        *strongback_flags(c, say, places),
        *window_flags(c, say, places),
        *specimen_flags(c, say, places),
        *heat_flags(c.job, c.temperature.heat, np.flatnonzero(c.temperature.source == 3)),
    ]


def _scope_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    for limit in c.pressure.limits:
        table = c.job.table(limit.sheet)
        rows = np.flatnonzero(limit.rows & c.pressure.outside)
        if limit.sheet == "Lifts":
            for item in rows.tolist():
                rate = say.rate(float(c.layout.rise[item]))
                yield Finding(
                    Level.STOP, Code.OUTSIDE_SCOPE, table.at(item, _rate_key(table, item)),
                    f"Lift {places.name(item)}: the rise rate of {rate} is outside what {c.pressure.method} covers. "
                    f"The full head of {say.pressure(float(c.pressure.maximum[item]))} is taken.",
                    found=rate, limit=limit.text, source=c.pressure.source,
                    clears="Lower the rate to the limit, or set the pressure method to Full head and design for it.",
                    keys=places.keys(item, "scope"), heading="Rise rate",
                )  # fmt: skip
            continue
        for mix in np.unique(c.layout.mix[rows]).tolist():
            own = rows[c.layout.mix[rows] == mix]
            name = str(table.label("mix")[mix])
            value = (
                table.number(limit.key)[mix] if limit.key in table.numbers else table.label(limit.key)[mix]
            )
            yield Finding(
                Level.STOP, Code.OUTSIDE_SCOPE, table.at(mix, limit.key),
                f"Mix {name}: {c.pressure.method} asks for {limit.text}. The full head is taken for lifts "
                f"{places.some(own)}.",
                found=value, limit=limit.text, source=c.pressure.source,
                clears="Give or correct the value, or set the pressure method to Full head and design for it.",
                about=places.names(own), keys=(name, limit.key), heading=limit.key,
            )  # fmt: skip


def _rate_key(lifts: Table, item: int) -> str:
    """Return the column that gives the lift's rate of rise."""
    return "rise_rate" if lifts.given["rise_rate"][item] else "placing_rate"


def _panel_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    units, lifts = c.job.table("Form units"), places.lifts
    permissible = units.number("permissible_pressure")
    for unit in np.unique(c.layout.unit).tolist():
        if np.isnan(permissible[unit]):
            own = np.flatnonzero(c.layout.unit == unit)
            yield Finding(
                Level.STOP, Code.NOT_COMPUTED, units.at(unit, "permissible_pressure"),
                f"Unit {units.label('unit')[unit]} states no permissible pressure, so the panels of lifts "
                f"{places.some(own)} were not checked.",
                clears="Give the pressure that panel and strongbacks carry, from the supplier's data.",
                about=places.names(own), keys=(str(units.label("unit")[unit]),), heading="Permissible pressure",
            )  # fmt: skip
    ratio = c.pressure.panel_ratio
    for item in np.flatnonzero(~c.too_steep & np.isin(c.pressure_verdict, (EXCEEDS, NEAR_LIMIT))).tolist():
        over = bool(ratio[item] > 1.0)
        greatest = float(c.pressure.greatest_rise[item])
        limit = float(permissible[c.layout.unit[item]])
        if np.isinf(greatest):
            clears = "The panel carries the full head; leave more in hand."
        elif greatest > 0.0:
            clears = f"Rise at no more than {say.rate(greatest, To.AT_MOST)}."
        else:
            density = c.job.table("Mixes").number("unit_weight")[c.layout.mix[item : item + 1]]
            height = greatest_height(permissible_pressure=np.array([limit]), weight_density=density)
            clears = f"No rate clears it: lower the lift to {say.length(float(height[0]), To.AT_MOST)}, or take a stronger unit."
        yield Finding(
            Level.STOP if over else Level.ACCEPT, Code.EXCEEDS if over else Code.NEAR_LIMIT,
            lifts.at(item, _rate_key(lifts, item)),
            f"Lift {places.name(item)}: the fresh concrete presses with {say.pressure(float(c.face.normal[item]))} "
            f"({c.pressure.governed_by[item]}), {say.ratio(float(ratio[item]))} of what the panel carries.",
            found=say.pressure(float(c.face.normal[item])), limit=say.pressure(limit),
            source=c.pressure.source,
            clears=clears if over else f"{clears} Or accept it with initials.",
            keys=places.keys(item, "panel"), heading="Rise rate",
        )  # fmt: skip


def _ripening_tested(c: Calculation, mix: int) -> bool:
    """Return whether a mix's own tests gave its activation temperature."""
    fit = c.curves.fits.by_mix.get(mix)
    return fit is not None and fit.wanted and fit.ripening.from_tests


def _mix_flags(c: Calculation) -> Iterator[Finding]:
    mixes = c.job.table("Mixes")
    retarded = mixes.yes("retarder")
    for mix in np.unique(c.layout.mix).tolist():
        name = str(mixes.label("mix")[mix])
        confirmed = float(mixes.number("set_confirmed")[mix])
        if np.isnan(confirmed) and c.pressure.method != "Full head":
            yield Finding(
                Level.ACCEPT, Code.SET_NOT_STATED, mixes.at(mix, "set_confirmed"),
                f"Mix {name}: it is not stated whether setting was confirmed by test on this mix at this temperature. "
                "Pressure below the full head rests on it.",
                limit="yes or no", clears="Test and write yes; or write no, and the full head is taken.",
                keys=(name,), heading="Set confirmed",
            )  # fmt: skip
        if confirmed == 0.0:
            yield Finding(
                Level.NOTE, Code.SET_NOT_STATED, mixes.at(mix, "set_confirmed"),
                f"Mix {name}: setting is not confirmed by test, so the full head is taken.", found="no",
                clears="Test the set on this mix at this temperature.", keys=(name, "no"), heading="Set confirmed",
            )  # fmt: skip
        if (
            c.pressure.method in ("GB 50666-2011", "JGJ 162-2008")
            and retarded[mix]
            and not mixes.given["final_set"][mix]
        ):
            yield Finding(
                Level.ACCEPT, Code.SET_NOT_STATED, mixes.at(mix, "final_set"),
                f"Mix {name} is retarded and states no set; the setting time 200/(T + 15) of {c.pressure.method} "
                "knows no retarder.",
                source=c.pressure.source, clears="Give Final set from a test at the placing temperature.",
                keys=(name,), heading="Final set",
            )  # fmt: skip
        if c.pressure.method == "DIN 18218:2010" and mixes.number("final_set")[mix] > LONGEST_TABLED_SET:
            yield Finding(
                Level.ACCEPT, Code.PLAUSIBILITY, mixes.at(mix, "final_set"),
                f"Mix {name} sets after {mixes.number('final_set')[mix]:g} h; the setting factors of DIN 18218 are held from memory for "
                f"up to {LONGEST_TABLED_SET:g} h and carried on from there.",
                found=f"{mixes.number('final_set')[mix]:g} h", limit=f"{LONGEST_TABLED_SET:g} h", source=c.pressure.source,
                clears="Compare with the licensed text, or design for full head.", keys=(name, "long set"), heading="Final set",
            )  # fmt: skip
        if mixes.label("strength_curve")[mix] not in ("Hyperbolic", FITTED):
            yield Finding(
                Level.ACCEPT, Code.UNCONFIRMED_SOURCE, mixes.at(mix, "strength_curve"),
                f"Mix {name}: strength follows the generic curve of {mixes.label('strength_curve')[mix]}, not this mix.",
                found=mixes.label("strength_curve")[mix],
                clears="Enter the mix's own tests in Specimens and choose Fitted to specimens, or accept the generic curve.",
                keys=(name,), heading="Strength curve",
            )  # fmt: skip
        guessed = (
            mixes.label("maturity_function")[mix] == "Arrhenius"
            and not mixes.given["activation_temperature"][mix]
            and mixes.label("cement_group")[mix] != "plain"
            and not _ripening_tested(c, mix)
        )
        if guessed:
            yield Finding(
                Level.ACCEPT, Code.DEFAULT_TAKEN, mixes.at(mix, "activation_temperature"),
                f"Mix {name} is a blend, and 4000 K is taken for its activation temperature. Slag-rich mixes have more "
                "(about 7200 K at 70 % slag), and then gain less in the cold than computed.",
                found="4000 K", source=Source("Barnett et al., Cement and Concrete Research 36 (2006)", "abstract", Known.TEXT),
                clears="Give the activation temperature from tests of this mix.", keys=(name,),
                heading="Activation temperature",
            )  # fmt: skip


def _face_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    lifts, units = places.lifts, c.job.table("Form units")
    panel = units.number("panel_height")[c.layout.unit]
    slope = slope_height(c.job)
    for item in np.flatnonzero(panel < slope - 1e-9).tolist():
        along = " along its slope" if lifts.number("face_inclination")[item] else ""
        yield Finding(
            Level.STOP, Code.PANEL_SHORT, lifts.at(item, "height"),
            f"Lift {places.name(item)} is {say.length(float(slope[item]))} high{along}, more than the panel of "
            f"{say.length(float(panel[item]))}.",
            found=say.length(float(slope[item])), limit=say.length(float(panel[item])),
            clears="Lower the lift or take a higher unit.", keys=places.keys(item, "panel"), heading="Height",
        )  # fmt: skip
    for item in np.flatnonzero(c.height_too_great).tolist():
        limit = c.job.number("Greatest height difference")
        yield Finding(
            Level.STOP, Code.HEIGHT_STEP, lifts.at(item, "placed"),
            f"When lift {places.name(item)} is placed its top stands {say.length(float(c.height_step[item]))} from that "
            "of a neighbouring block.",
            found=say.length(float(c.height_step[item])), limit=say.length(limit),
            clears="Place the neighbouring block first.", keys=places.keys(item, "step"), heading="Placed",
        )  # fmt: skip
    yield from _layout_flags(c, say, places)
    yield from _seat_flags(c, say, places)
    yield from _date_flags(c, say, places)
    yield from _top_flags(c, places)


def _seat_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    lifts = places.lifts
    for holder in np.unique(c.cases.holder[c.anchors_outside]).tolist():
        yield Finding(
            Level.STOP, Code.LAYOUT_DIFFERS, lifts.at(holder, "anchor"),
            f"Lift {places.name(holder)}: an anchor of its units does not sit in the concrete that is to hold it: it lies deeper "
            "than the lift below is high, or not above the foot, or the concrete behind the face is no thicker than the "
            "embedment, or its head, which rises into an overhanging lift, stands out of the joint. Its rows are not computed.",
            limit="depth below the joint less than the height of the lift below and than Foot depth; embedment less than Thickness",
            clears="Correct Anchor depth, Depth, Height, Thickness, Embedment or Face inclination.",
            keys=places.keys(holder, "seat"), heading="Anchor",
        )  # fmt: skip
    for item in np.flatnonzero(foot_on_nothing(c.job, c.layout)).tolist():
        foot = float(c.job.table("Form units").number("foot_depth")[c.layout.unit[item]])
        yield Finding(
            Level.ACCEPT, Code.LAYOUT_DIFFERS, lifts.at(item, "unit"),
            f"Lift {places.name(item)}: the foot bears {say.length(foot)} below the joint, under all lifts of the block, and no "
            "foundation is stated that could carry it.",
            found=say.length(foot), limit="the lifts below, or a Foundation strength",
            clears="Give Foundation strength, take a unit with a higher foot, or accept with initials what the foot bears on.",
            keys=places.keys(item, "foot"), heading="Unit",
        )  # fmt: skip


def _top_flags(c: Calculation, places: Places) -> Iterator[Finding]:
    lifts = places.lifts
    tops = np.flatnonzero((c.layout.above < 0) & ~lifts.given["hung"])
    if tops.size:
        yield Finding(
            Level.NOTE, Code.DEFAULT_TAKEN, lifts.at(int(tops[0]), "hung"),
            f"Lifts {places.some(tops)} are the tops of their blocks and state no Hung: no units go on from there, and no form anchors "
            "are counted in them.",
            clears="Give Hung where units are to go on.", about=places.names(tops), keys=("all", "tops"), heading="Hung",
        )  # fmt: skip


def _date_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    lifts = places.lifts
    placed = lifts.number("placed")
    following = taken(placed, c.layout.above)
    for key, name in (("stripped", "Stripped"), ("hung", "Hung")):
        planned = lifts.number(key)
        for item in np.flatnonzero(planned > following).tolist():
            yield Finding(
                Level.STOP, Code.OUT_OF_ORDER, lifts.at(item, key),
                f"Lift {places.name(item)}: {name} is planned after the next lift is placed on it; the hour of that placing is "
                "taken for the hanging.",
                found=say.planned(float(planned[item])), limit=say.planned(float(following[item])),
                clears="Correct one of the two dates.", keys=places.keys(item, name), heading=name,
            )  # fmt: skip
    for item in np.flatnonzero(following < c.layout.top_hour).tolist():
        yield Finding(
            Level.STOP, Code.OUT_OF_ORDER, lifts.at(int(c.layout.above[item]), "placed"),
            f"Lift {places.name(int(c.layout.above[item]))} is planned while lift {places.name(item)} below it is still being placed, "
            f"until {say.hour(float(c.layout.top_hour[item]))}.",
            found=say.planned(float(following[item])), limit=say.hour(float(c.layout.top_hour[item])),
            clears="Place it later, or let the lift below rise faster.",
            keys=places.keys(int(c.layout.above[item]), "rising"), heading="Placed",
        )  # fmt: skip
    stripped = lifts.number("stripped")
    for item in np.flatnonzero(stripped - placed > LONGEST_IN_FORM).tolist():
        yield Finding(
            Level.ACCEPT, Code.PLAUSIBILITY, lifts.at(item, "stripped"),
            f"Lift {places.name(item)} is stripped {(stripped[item] - placed[item]) / 24.0:.0f} d after it is placed.",
            found=say.planned(float(stripped[item])), limit=f"{LONGEST_IN_FORM / 24.0:.0f} d",
            clears="Correct month or year, or accept the long stay with initials.", keys=places.keys(item, "long in form"), heading="Stripped",
        )  # fmt: skip
    for item in np.flatnonzero(following - placed > 366.0 * 24.0).tolist():
        above = int(c.layout.above[item])
        yield Finding(
            Level.ACCEPT, Code.PLAUSIBILITY, lifts.at(above, "placed"),
            f"Lift {places.name(above)} is planned more than a year after the lift below it.",
            found=say.planned(float(placed[above])), limit="a year",
            clears="Correct the year, or accept the break with initials.", keys=places.keys(above, "year"), heading="Placed",
        )  # fmt: skip


def _layout_flags(c: Calculation, say: Wording, places: Places) -> Iterator[Finding]:
    lifts, units = places.lifts, c.job.table("Form units")
    spacing, unit = lifts.number("anchor_spacing"), c.layout.unit
    by_unit = units.number("width")[unit] / units.number("anchors_per_unit")[unit]
    listed = np.zeros(len(lifts), dtype=bool)
    listed[c.spots.lift[~np.isnan(c.spots.position)]] = True
    differs = ~listed & (np.abs(spacing - by_unit) > 0.05 * by_unit)
    seen: set[tuple[int, float]] = set()
    for item in np.flatnonzero(differs).tolist():
        kind = (int(unit[item]), round(float(spacing[item]), 3))
        if kind in seen:
            continue
        seen.add(kind)
        own = np.flatnonzero(differs & (unit == unit[item]) & (np.abs(spacing - spacing[item]) < 5e-4))
        yield Finding(
            Level.ACCEPT, Code.LAYOUT_DIFFERS, lifts.at(item, "anchor_spacing"),
            f"Lifts {places.some(own)}: anchors stand every {say.length(float(spacing[item]))}, but unit "
            f"{units.label('unit')[unit[item]]} has one for every {say.length(float(by_unit[item]))} of its width.",
            found=say.length(float(spacing[item])), limit=say.length(float(by_unit[item])),
            clears="Make spacing and unit agree, or accept the layout with initials.",
            about=places.names(own), keys=(str(units.label("unit")[unit[item]]), f"{spacing[item]:.3f}"), heading="Anchor spacing",
        )  # fmt: skip


def _job_flags(c: Calculation) -> Iterator[Finding]:
    basis, method = c.job.text("Safety basis"), c.job.text("Anchor method")
    if basis in MIXED and method not in MIXED[basis]:
        yield Finding(
            Level.ACCEPT, Code.MIXED_STANDARDS, c.job.items["Anchor method"].at,
            f"Actions are factored by {basis} and anchors proved by {method}: two safety formats are mixed.",
            found=method, limit=" or ".join(MIXED[basis]),
            clears="Choose basis and anchor method of one family, or accept the mixture.", keys=("mixed",),
            heading="Anchor method",
        )  # fmt: skip
    if not c.job.yes("Concrete cracked"):
        yield Finding(
            Level.ACCEPT, Code.PLAUSIBILITY, c.job.items["Concrete cracked"].at,
            "The concrete round the anchors is taken for uncracked, which raises every concrete resistance.",
            found="no", limit="yes, unless there is a reason on file",
            clears="Write yes, or accept it with initials and name the reason.", keys=("cracked",), heading="Concrete cracked",
        )  # fmt: skip
    if c.pressure.source.known is Known.MEMORY:
        yield Finding(
            Level.ACCEPT, Code.UNCONFIRMED_SOURCE, c.job.items["Pressure method"].at,
            f"The expressions of {c.pressure.method} are held from memory but for the line of self-compacting concrete.",
            source=c.pressure.source, clears="Compare the pressure of one lift with the licensed text and initial it.",
            keys=("pressure",), heading="Pressure method",
        )  # fmt: skip
    if not c.wind.route:
        yield Finding(
            Level.STOP, Code.NOT_COMPUTED, c.job.items["Storm wind"].at,
            "Storm wind is blank, so the stage Standing closed is not computed for any lift.",
            clears="Give the net pressure of the storm that the closed units must stand through, or a basic wind speed.", keys=("storm",),
            heading="Storm wind",
        )  # fmt: skip


def _temperature_flags(c: Calculation, places: Places) -> Iterator[Finding]:
    lifts = places.lifts
    needed = np.zeros(len(lifts), dtype=bool)
    needed[c.gates.lift] = True

    def one(
        rows: Flags, code: Code, level: Level, heading: str, key: str, text: str, clears: str
    ) -> Iterator[Finding]:
        items = np.flatnonzero(rows & needed)
        if items.size:
            at: CellRef = lifts.at(int(items[0]), key)
            yield Finding(level, code, at, text.format(lifts=places.some(items)), clears=clears,
                          about=places.names(items), keys=("all", heading), heading=heading)  # fmt: skip

    yield from one(
        c.temperature.source == 0, Code.DEFAULT_TAKEN, Level.ACCEPT, "Air temperature", "air_temperature",
        "Lifts {lifts}: no air temperature and no probe, so the anchors' concrete is taken to stay at its placing "
        "temperature.",
        "Give the daily mean and the swing of the air, or log a probe at the anchors.",
    )  # fmt: skip
    window = c.temperature.nodes[:, : 7 * 24]
    yield from one(
        np.min(window, axis=1) <= 0.0, Code.PLAUSIBILITY, Level.ACCEPT, "Frost", "air_temperature",
        "Lifts {lifts}: the concrete at the anchors may freeze within its first week; nothing is counted as gained at "
        "or below 0 degC.",
        "Protect the joint and the face, and log a probe at the anchors.",
    )  # fmt: skip
