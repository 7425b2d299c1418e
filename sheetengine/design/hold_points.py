"""The hold points of every lift: which are open, what evidence each needs, what the engine knows, who released it.

Nothing here releases anything. A hold point can only read as open to release while every earlier one is released, what
the engine knows does not speak against it, and the evidence it needs is on file.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sheetengine.columns import Column, Texts, texts
from sheetengine.design.anchor_survey import own_lower_rows
from sheetengine.design.as_built import Ahead, AsBuilt
from sheetengine.design.layout import Index
from sheetengine.design.readiness import HANG, PLACE_NEXT, STRIP
from sheetengine.design.rise_window import anchor_rise, rise_window
from sheetengine.design.stages import STANDING
from sheetengine.design.verdicts import EXCEEDS, NOT_COMPUTED, OPEN_VERDICTS
from sheetengine.design.wording import To, Wording
from sheetengine.findings import Code, Finding, Level
from sheetengine.sources import Known, Source

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation
    from sheetengine.design.flags import Places

CHAIN = Source(
    "BS 5975:2019 and BS 5975-1:2024", "permits and hold points, set out for one lift", Known.PRACTICE
)
SHEET, NAMES = "Releases", "Hold point names"
RELEASED, OPEN_AGAIN, OUT_OF_TURN, HELD, LACKS, MAY, WAITS = (
    "Released", "Open again", "Released out of turn", "Held", "Evidence lacking", "May be released", "Waits",
)  # fmt: skip
STATES = (RELEASED, OPEN_AGAIN, OUT_OF_TURN, HELD, LACKS, MAY, WAITS)
RIPENING, TESTS = ("maturity",), ("specimens", "pull-out test")
"""The two kinds of evidence about strength: one of each is needed."""


@dataclass(frozen=True, slots=True)
class HoldPoint:
    """A hold point: its name, what is to be on file, and the kinds of evidence of which each group needs one."""

    name: str
    needs: str
    evidence: tuple[tuple[str, ...], ...] = ()


STRENGTH_EVIDENCE = (RIPENING, TESTS)
HOLD_POINTS = (
    HoldPoint("Design brief complete", "every input filled in with its source; what was assumed accepted", (("brief",),)),
    HoldPoint("Design checked", "design check certificate with category, checker and revision", (("check certificate",),)),
    HoldPoint("Anchors as built in the lift below", "each anchor surveyed: number, type, position, angle, damage", (("survey",),)),
    HoldPoint("Strength of the lift below", "two kinds at the anchors: maturity, and specimens or pull-out tests", STRENGTH_EVIDENCE),
    HoldPoint("Form raised, secured, stable while empty", "inspection: locks, foot, base restraint, wind", (("inspection",),)),
    HoldPoint("Pre-pour check", "embeds and bars of this lift and anchors for the next counted against the schedule", (("count",),)),
    HoldPoint("Permit to load or proceed (bring into use)", "the permit, with the pour card given out", (("permit",),)),
    HoldPoint("Watch during the pour", "rate, temperature, slump and stops as placed", (("record",),)),
    HoldPoint("Permit to strike (take out of use)", "strength at the face, wind, order of the last restraints", (("permit",),)),
    HoldPoint("Release for the climb", "crane or lock engaged before anything is freed, nobody on the form", (("inspection",),)),
    HoldPoint("Close-out", "recesses filled, defects, lift record, quantities as built", (("record",),)),
)  # fmt: skip
BRIEF, CHECKED, SURVEYED, STRONG, RAISED, COUNTED, PERMIT, POURED, STRUCK, CLIMB, CLOSED = range(
    len(HOLD_POINTS)
)


@dataclass(frozen=True, slots=True)
class HoldPointRows:
    """One entry a lift and hold point, in order.

    Attributes
    ----------
    lift, point
        Row of the lift, and number of the hold point.
    knows
        What the engine knows of it.
    evidence
        What is on file.
    against
        What speaks against it; empty where nothing does.
    state
        One of :data:`STATES`.
    released_by, time
        As entered; ``nan`` hours where there is none.
    release
        Row of ``Releases`` that releases it, -1 where none does.
    """

    lift: Index
    point: Index
    knows: Texts
    evidence: Texts
    against: Texts
    state: Texts
    released_by: Texts
    time: Column
    release: Index


@dataclass(frozen=True, slots=True)
class _Known:
    """What the engine knows of one hold point of one lift, and what speaks against it."""

    text: str
    against: str = ""


def names_of(c: Calculation) -> list[str]:
    """Return the names of the hold points, the office's own where it gives them."""
    table = c.job.table(NAMES)
    own = dict(zip(table.label("hold_point").tolist(), table.label("name").tolist(), strict=True))
    return [own.get(f"HP{number}") or point.name for number, point in enumerate(HOLD_POINTS)]


class _Engine:
    """Answers what the engine knows, lift by lift."""

    def __init__(
        self, c: Calculation, built: AsBuilt, ahead: Ahead, recorded: Sequence[tuple[str, str]]
    ) -> None:
        self.c, self.built = c, built
        self.say = Wording(c.job.text("Result units") == "US")
        self.ahead = ahead
        self.window, self.anchors_carry = rise_window(c), anchor_rise(c)
        self.recorded = recorded
        self.own_lower = np.zeros(len(c.job.table("Lifts")))
        for row in own_lower_rows(c.job, c.layout):
            self.own_lower[row.holder] = row.position.size
        log = c.job.table("Probe log")
        self.refused = {
            finding.keys: finding
            for finding in c.temperature.readings.findings
            if finding.level is Level.STOP and len(log)
        }

    def gate(self, lift: int, *gates: int) -> Index:
        """Return the rows of some gates of a lift."""
        g = self.c.gates
        return np.flatnonzero((g.lift == lift) & np.isin(g.gate, gates))

    def brief(self, lift: int) -> _Known:
        """Tell of the inputs."""
        taken = len(self.c.job.defaults)
        return _Known(f"inputs read without fault; {taken} kinds of blanks took a default, see Run record" if taken
                      else "inputs read without fault, no default taken")  # fmt: skip

    def checked(self, lift: int) -> _Known:
        """Tell of the checks of a lift."""
        c = self.c
        rows = np.flatnonzero(c.cases.lift == lift)
        words = [*c.demand_verdict[rows].tolist(), str(c.pressure_verdict[lift])]
        bad = [word for word in words if word in OPEN_VERDICTS]
        text = f"{len(words)} checks, {len(words) - len(bad)} within"
        if not bad:
            return _Known(text)
        kinds = ", ".join(f"{bad.count(word)} {word}" for word in dict.fromkeys(bad))
        return _Known(text, kinds)

    def bare(self, lift: int) -> bool:
        """Return whether a lift stands on a foundation that no anchors are proved in."""
        return bool(self.c.layout.below[lift] < 0 and np.isnan(self.c.job.number("Foundation strength")))

    def surveyed(self, lift: int) -> _Known:
        """Tell of the anchors that hold the units, in the lift below or the foundation."""
        c, found = self.c, self.built.found
        if self.bare(lift):
            return _Known(
                "the lift stands on a foundation of unknown strength; no anchors in it are among the inputs"
            )
        mine = found.holder == lift
        planned = int(c.layout.anchors[lift] + self.own_lower[lift])
        if not mine.any():
            return _Known(f"none of {planned} anchors surveyed", "no row of As built speaks of them")
        seen = int(((found.row >= 0) & mine & ~np.isnan(found.planned)).sum())
        told = f"{seen} of {planned} anchors surveyed, {int((mine & found.lost).sum())} count as missing"
        rows = self.built.case[c.cases.holder[self.built.case] == lift]
        place = np.flatnonzero(np.isin(self.built.case, rows))
        if place.size:
            worst = place[
                np.argmax(np.where(np.isnan(self.built.ratio[place]), np.inf, self.built.ratio[place]))
            ]
            told += f"; ratio as built {self.say.ratio(float(self.built.ratio[worst]))}, planned {self.say.ratio(float(self.built.planned[worst]))}"
            if self.built.verdict[worst] in OPEN_VERDICTS:
                return _Known(told, f"as built: {self.built.verdict[worst]}")
        if seen < planned:
            return _Known(told, f"{planned - seen} anchors are not surveyed")
        return _Known(told)

    def differs(self, lift: int) -> bool:
        """Return whether any anchor of the units of a lift differs from its layout."""
        found = self.built.found
        return bool((found.differs & (found.holder == lift) & (found.row >= 0)).any())

    def needed(self, lift: int) -> tuple[float, str]:
        """Return the strength that the units of a lift ask of the lift below [MPa], and for what."""
        below = int(self.c.layout.below[lift])
        rows = self.gate(below, HANG, PLACE_NEXT) if below >= 0 else np.zeros(0, dtype=np.int64)
        need = self.c.gates.required[rows]
        own = self.c.cases.carrier[self.built.case] == below
        built = (
            self.built.required[own & (self.c.cases.holder[self.built.case] == lift)]
            if below >= 0
            else np.zeros(0)
        )
        return float(
            np.max(np.r_[need[~np.isnan(need)], built], initial=0.0)
        ), "as built" if built.size else "as planned"

    def strong(self, lift: int) -> _Known:
        """Tell of the strength of the lift below."""
        c, below = self.c, int(self.c.layout.below[lift])
        if below < 0:
            return _Known("the lift stands on the foundation, whose strength is stated")
        rows = self.gate(below, HANG, PLACE_NEXT)
        need, by = self.needed(lift)
        known = np.nan_to_num(c.gates.required[rows], nan=-1.0)
        predicted = (
            float(c.gates.predicted[rows[np.argmax(known)]]) if rows.size else np.nan
        )  # of the gate that asks most
        margin = float(np.min(c.gates.margin[rows], initial=np.inf))
        text = f"needs {self.say.strength(need, To.AT_LEAST)} {by}"
        if np.isfinite(predicted):
            text += f", {self.say.strength(predicted, To.AT_MOST)} predicted at the planned hour"
        finding = next((f for keys, f in self.refused.items() if keys[:2] == self._keys(below)), None)
        if finding is not None:
            text += f"; {finding.heading[0].lower()}{finding.heading[1:]}"
        if np.isnan(c.gates.required[rows]).any():
            return _Known(text, "what is needed is not computed")
        if margin < 0.0:
            return _Known(text, f"planned {-margin:.0f} h before the gate opens")
        mine = np.flatnonzero(np.isin(self.built.case, np.flatnonzero(c.cases.holder == lift)))
        if (self.built.required[mine] > c.proof.strength[self.built.case[mine]] + 1e-9).any():
            return _Known(text, "too weak for the anchors as built at the planned hour")
        return _Known(text)

    def _keys(self, lift: int) -> tuple[str, str]:
        lifts = self.c.job.table("Lifts")
        return str(lifts.label("block")[lift]), str(lifts.label("lift")[lift])

    def raised(self, lift: int) -> _Known:
        """Tell of the closed unit in the wind."""
        c = self.c
        rows = np.flatnonzero((c.cases.lift == lift) & (c.cases.stage == STANDING))
        gust = float(c.wind.working_gust[lift])
        text = (
            f"work stops at gusts of {self.say.speed(gust, To.AT_MOST)}"
            if np.isfinite(gust)
            else "no limit of the wind is known"
        )
        bad = [str(word) for word in c.demand_verdict[rows] if word in OPEN_VERDICTS]
        return _Known(text, f"Standing closed: {bad[0]}" if bad else "")

    def counted(self, lift: int) -> _Known:
        """Tell of the anchors for the units of the next lift."""
        c, above = self.c, int(self.c.layout.above[lift])
        embeds = c.job.table("Embeds")
        own = c.job.lift_of("Embeds") == lift
        bars = c.job.table("Bars")
        marks = c.job.lift_of("Bars") == lift
        number = float((bars.number("members") * bars.number("bars_per_member"))[marks].sum())
        text = f"{embeds.number('count')[own].sum():.0f} embeds, {number:.0f} bars"
        if above < 0:
            return _Known(f"{text}; no units of this book hang on this lift")
        kind = c.job.table("Anchor types").label("anchor")[c.layout.anchor[above]]
        text += f"; {c.layout.anchors[above]:.0f} x {kind} for the next units"
        short = np.flatnonzero((self.ahead.lift == lift) & (self.ahead.has < self.ahead.planned))
        if short.size:
            first = int(short[0])
            return _Known(text, f"unit {self.ahead.unit[first]} of the next lift has {self.ahead.has[first]:.0f} of "
                          f"{self.ahead.needs[first]:.0f} anchors")  # fmt: skip
        mine = (self.built.found.lift == lift) & self.built.found.lost & ~np.isnan(self.built.found.planned)
        return _Known(text, f"{int(mine.sum())} of them count as missing" if mine.any() else "")

    def permit(self, lift: int) -> _Known:
        """Tell of the window of the rate of rise."""
        greatest = float(self.window.greatest[lift])
        if np.isnan(greatest):
            return _Known("no greatest rate is known: panel and anchors state no limit")
        if np.isnan(self.anchors_carry[lift]):
            return _Known(
                "the anchors are not computed", "the rate of rise that the anchors carry is not known"
            )
        text = "any rate of rise" if np.isinf(greatest) else f"at most {self.say.rate(greatest, To.AT_MOST)}"
        if greatest == 0.0:
            return _Known("no rate of rise is slow enough", "no rate of rise is slow enough")
        if self.window.empty[lift]:
            return _Known(text, "no rate of rise serves layers and form")
        over = self.c.layout.rise[lift] > greatest
        return _Known(text, "the planned rate is above it" if over else "")

    def poured(self, lift: int) -> _Known:
        """Tell of the record of the lift."""
        return _Known(*self.recorded[lift])

    def struck(self, lift: int) -> _Known:
        """Tell of the strength at the face."""
        rows = self.gate(lift, STRIP)
        if not rows.size:
            return _Known("no gate")
        row = int(rows[0])
        g = self.c.gates
        text = f"needs {self.say.strength(float(g.required[row]), To.AT_LEAST)}, ready {self.say.hour(float(g.ready[row]))}"
        if np.isnan(g.planned[row]):
            return _Known(text, "no hour of stripping is planned")
        return _Known(text, f"planned {-g.margin[row]:.0f} h before that" if g.margin[row] < 0.0 else "")

    def climb(self, lift: int) -> _Known:
        """Tell of the pick of the units."""
        picks = self.c.picks
        rows = np.flatnonzero(picks.lift == lift)
        if not rows.size:
            return _Known("the pick is not checked: no crane is named")
        word = str(picks.verdict[int(rows[0])])
        return _Known(f"pick: {word}", word if word in (EXCEEDS, NOT_COMPUTED) else "")

    def closed(self, lift: int) -> _Known:
        """Tell of the anchors cast in the lift."""
        above = int(self.c.layout.above[lift])
        seen = int(((self.built.found.lift == lift) & (self.built.found.row >= 0)).sum())
        if above < 0:
            return _Known("no anchors of this book are cast in it")
        return _Known(f"{seen} rows of As built for its {self.c.layout.anchors[above]:.0f} anchors")

    def answers(self) -> tuple[Callable[[int], _Known], ...]:
        """Return what answers for each hold point."""
        return (self.brief, self.checked, self.surveyed, self.strong, self.raised, self.counted, self.permit, self.poured,
                self.struck, self.climb, self.closed)  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Filed:
    """What ``Releases`` holds for one hold point of one lift."""

    rows: list[int]
    kinds: list[str]
    release: int


def _filed(c: Calculation) -> dict[tuple[int, int], _Filed]:
    """Return what is on file, by lift and hold point; released is what names who and when, the last of these."""
    table, of_lift = c.job.table(SHEET), c.job.lift_of(SHEET)
    found: dict[tuple[int, int], _Filed] = {}
    time = table.number("time")
    for row in np.argsort(np.where(np.isnan(time), -np.inf, time), kind="stable").tolist():
        point = int(str(table.label("hold_point")[row])[2:])
        key = (int(of_lift[row]), point)
        before = found.get(key, _Filed([], [], -1))
        signed = bool(table.label("released_by")[row]) and not np.isnan(time[row])
        found[key] = _Filed(
            [*before.rows, row],
            [*before.kinds, str(table.label("evidence")[row])],
            row if signed else before.release,
        )
    return found


def _lacking(engine: _Engine, lift: int, point: int, filed: _Filed | None) -> str:
    """Return what evidence is lacking or does not count; empty where all that is needed is on file."""
    kinds = filed.kinds if filed else []
    wanted = HOLD_POINTS[point].evidence
    lacks = [" or ".join(group) for group in wanted if not set(group) & set(kinds)]
    if point == SURVEYED and engine.differs(lift) and "re-check" not in kinds:
        lacks.append("re-check of the anchors that differ")
    if point == SURVEYED and engine.bare(lift):
        return ""
    if point == STRONG:
        if engine.c.layout.below[lift] < 0:
            return ""
        lacks += _too_weak(engine, lift, filed)
    return "; ".join(lacks)


def _too_weak(engine: _Engine, lift: int, filed: _Filed | None) -> list[str]:
    """Return which evidence about strength does not count, and why."""
    table, need = engine.c.job.table(SHEET), engine.needed(lift)[0]
    below = int(engine.c.layout.below[lift])
    said = []
    for row in filed.rows if filed else []:
        kind, value = str(table.label("evidence")[row]), float(table.number("value")[row])
        if kind not in (*RIPENING, *TESTS):
            continue
        if np.isnan(value):
            said.append(f"{kind} states no strength")
        elif value < need - 1e-9:
            said.append(
                f"{kind} shows {engine.say.strength(value)}, {engine.say.strength(need, To.AT_LEAST)} are needed"
            )
        if kind in RIPENING and any(keys[:2] == engine._keys(below) for keys in engine.refused):
            said.append("maturity rests on a probe that is no evidence for anchors at the face")
    return said


def hold_points(
    c: Calculation, built: AsBuilt, ahead: Ahead, recorded: Sequence[tuple[str, str]]
) -> HoldPointRows:
    """Return the hold points of every lift.

    Parameters
    ----------
    c, built, ahead
        The calculation, the anchors as built, and the units that have too few.
    recorded
        What is known of the pour of each lift, and what speaks against it.
    """
    engine = _Engine(c, built, ahead, recorded)
    answers, filed = engine.answers(), _filed(c)
    table = c.job.table(SHEET)
    lines = []
    for lift in range(len(c.job.table("Lifts"))):
        open_before, last_time = -1, -np.inf
        for point, answer in enumerate(answers):
            known, own = answer(lift), filed.get((lift, point))
            lacks = _lacking(engine, lift, point, own)
            release = own.release if own else -1
            time = float(table.number("time")[release]) if release >= 0 else np.nan
            against = "; ".join(
                text for text in (known.against, f"lacking: {lacks}" if lacks else "") if text
            )
            if release >= 0:
                state = (
                    OUT_OF_TURN
                    if open_before >= 0 or time < last_time
                    else OPEN_AGAIN
                    if against
                    else RELEASED
                )
                if state == OUT_OF_TURN:
                    early = (
                        f"HP{open_before} is open"
                        if open_before >= 0
                        else "released before an earlier one was"
                    )
                    against = "; ".join(text for text in (early, against) if text)
            elif open_before >= 0:
                state = WAITS
            else:
                state = HELD if known.against else LACKS if lacks else MAY
            if state == RELEASED:
                last_time = max(last_time, time)
            elif open_before < 0:
                open_before = point
            kinds = ", ".join(dict.fromkeys(own.kinds)) if own else ""
            who = str(table.label("released_by")[release]) if release >= 0 else ""
            shown = f"{WAITS} for HP{open_before}" if state == WAITS else state
            lines.append((lift, point, known.text, kinds, against, shown, who, time, release))
    columns = list(zip(*lines, strict=True)) if lines else [()] * 9
    knows, on_file, against_, states, names = (texts(columns[place]) for place in range(2, 7))
    return HoldPointRows(
        np.array(columns[0], dtype=np.int64), np.array(columns[1], dtype=np.int64), knows, on_file, against_, states, names,
        np.array(columns[7], dtype=np.float64), np.array(columns[8], dtype=np.int64),
    )  # fmt: skip


def hold_point_flags(c: Calculation, found: HoldPointRows, places: Places) -> Iterator[Finding]:
    """Return a finding for every hold point that was released out of turn, or is open again."""
    table, names = c.job.table(SHEET), names_of(c)
    wrong = np.isin(found.state, (OPEN_AGAIN, OUT_OF_TURN))
    for lift in np.unique(found.lift[wrong]).tolist():
        rows = np.flatnonzero(wrong & (found.lift == lift))
        first = int(rows[0])
        point = int(found.point[first])
        how = "was released out of turn" if found.state[first] == OUT_OF_TURN else "is open again"
        later = ", ".join(f"HP{found.point[row]}" for row in rows[1:].tolist())
        more = f" Released after it, and open with it: {later}." if later else ""
        yield Finding(
            Level.STOP, Code.HOLD_POINT, table.at(int(found.release[first]), "hold_point"),
            f"Lift {places.name(lift)}: HP{point}, {names[point]}, {how}: {found.against[first]}.{more}",
            found=str(found.released_by[first]), limit=HOLD_POINTS[point].needs, source=CHAIN,
            clears="Stop the work that rests on it, put right what is named, and release it again in its turn.",
            keys=places.keys(lift, f"HP{point}"), heading="Hold point",
        )  # fmt: skip
