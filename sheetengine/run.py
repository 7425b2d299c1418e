"""Read, check, compute, write: the main job, without a command line."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from sheetengine.books.graft import check_takes_results, write_into
from sheetengine.books.reading import read_grids, sheet_names
from sheetengine.books.saving import check_writable
from sheetengine.clauses.record import clauses_evaluated
from sheetengine.columns import frame_of
from sheetengine.content import Look, SheetContent
from sheetengine.design.calculate import Calculation, calculate_columns
from sheetengine.design.crane_picks import pick_columns
from sheetengine.design.dimensions import dimension_columns
from sheetengine.design.flags import all_flags
from sheetengine.design.gate_columns import board_columns, board_of, earlier_columns
from sheetengine.design.hand_rows import first_shown, gate_rows, hand_rows
from sheetengine.design.heat_checks import heat_columns
from sheetengine.design.heat_shown import heat_history, heat_trials, lift_shown
from sheetengine.design.limit_columns import grid_columns, limit_columns
from sheetengine.design.pour_cards import card_columns
from sheetengine.design.result_columns import (
    bars_of,
    demand_by_lift,
    demand_columns,
    detail_rows,
    embeds_of,
    growth_of,
    pressure_columns,
    profile_of,
    programme_columns,
    ready_columns,
)
from sheetengine.design.sensitivity import sensitivity
from sheetengine.design.site_columns import (
    Site,
    built_columns,
    correction_columns,
    higher_category,
    hold_point_columns,
    record_columns,
    robustness_columns,
    survey_columns,
)
from sheetengine.design.specimen_columns import fit_columns, fit_points, fit_test_columns
from sheetengine.design.strongback_columns import (
    envelope_of,
    filling_columns,
    filling_of,
    strongback_columns,
)
from sheetengine.design.verdicts import NOT_COMPUTED, OPEN_VERDICTS
from sheetengine.design.wind import wind_columns
from sheetengine.findings import in_order
from sheetengine.grids import Grid
from sheetengine.hand_check.data import HandCheck
from sheetengine.job import Job, Results
from sheetengine.run_record import record_lines
from sheetengine.sheets.detail_looks import in_order as in_sheet_order
from sheetengine.sheets.faults import FAULT_SHEET
from sheetengine.sheets.flag_frames import flag_frame
from sheetengine.sheets.hand_places import hand_places
from sheetengine.sheets.hand_sheets import CHOOSER, chosen_before
from sheetengine.sheets.inputs_as_run import input_lines
from sheetengine.sheets.pour_card import CARD, chosen_lift_before
from sheetengine.sheets.reading import SHEET_NAMES, read_job
from sheetengine.sheets.result_column import ResultColumn
from sheetengine.sheets.result_looks import BY_SHEET, EMBED_TOTALS, look_of
from sheetengine.sheets.results import HIGHER_CATEGORY, RESULT_SHEETS, contents
from sheetengine.sheets.signing import Entry, Event, lived, read_entries, read_events, states
from sheetengine.sheets.site_looks import CORRECTIONS, SURVEY
from sheetengine.sheets.specimen_looks import FIT_TESTS

EPOCH = np.datetime64("1899-12-30", "s")
Path_ = str | os.PathLike[str]
Step = Callable[[str], None]
OFFERED = ("Filling", "Strongbacks")
"""Sheets whose checks rest on optional capacities: what was not asked for there leaves nothing open."""


NOTED_SHEETS = ("Flags", "Flag history", CHOOSER, CARD)
"""Result sheets in which the reviewer writes or chooses."""


def _silent(_: str) -> None:
    return None


def read_book(path: Path_) -> Job:
    """Return the job that a workbook holds.

    Raises
    ------
    InputFaults
        The inputs cannot be used; every fault is listed by sheet and cell.
    BookUnreadable
        The file could not be read as a workbook.
    """
    grids = _grids(path)
    return read_job(grids, sheet_names(path))


def _grids(path: Path_) -> Mapping[str, Grid | None]:
    return read_grids(path, SHEET_NAMES)


def _frame(columns: Mapping[str, Any], looks: tuple[ResultColumn, ...]) -> pd.DataFrame:
    """Return a frame whose hours under date headings have become date-times."""
    out = {}
    for heading, values in columns.items():
        if look_of(looks, heading).look is Look.MOMENT:
            seconds = np.round(np.asarray(values, dtype=np.float64) * 3600.0)
            known = np.where(np.isnan(seconds), 0.0, seconds).astype("timedelta64[s]")
            out[heading] = np.where(np.isnan(seconds), np.datetime64("NaT"), EPOCH + known)
        else:
            out[heading] = values
    return frame_of(out)


def _frames(c: Calculation, site: Site) -> tuple[dict[str, pd.DataFrame], list[Any]]:
    embeds, bars = embeds_of(c), bars_of(c)
    built = {
        "Pressures": pressure_columns(c),
        "Filling": filling_columns(c),
        "Strongbacks": strongback_columns(c),
        "Anchor demand": demand_columns(c),
        "Strength ready": ready_columns(c),
        "Earlier gates": earlier_columns(c),
        "Readiness board": board_columns(c),
        "Strength fits": fit_columns(c),
        "Lift heat": heat_columns(c.job, c.temperature.heat),
        "Working limits": limit_columns(c),
        "Programme": programme_columns(c),
        "Embed counts": embeds.columns,
        "Bar counts": bars.columns,
        "Wind": wind_columns(c),
        "Crane picks": pick_columns(c),
        "Robustness": robustness_columns(site),
        "Hold points": hold_point_columns(site),
        "As-built check": built_columns(site),
        "Lift record check": record_columns(site),
        "Dimension rows": dimension_columns(c),
    }
    detail = detail_rows(c)
    built["Anchor detail"] = {name: detail[name] for name in in_sheet_order(list(detail))}
    frames = {name: _frame(columns, BY_SHEET[name]) for name, columns in built.items()}
    for name, columns in (
        ("by item", embeds.by_item),
        ("by month", embeds.by_item_and_month),
        ("by block", embeds.by_block),
    ):
        every = ["all"] * len(columns["Item"])
        placed = {"Block": columns.get("Block", every), "Lift": every, **columns}
        frames[f"Embed counts, {name}"] = _frame(placed, EMBED_TOTALS)
    for name, columns in (
        ("by size", bars.by_size),
        ("by lift", bars.by_lift),
        ("by month", bars.by_size_and_month),
    ):
        frames[f"Bar counts, {name}"] = _frame(columns, BY_SHEET["Bar counts"])
    frames["Strength fits, tests"] = _frame(fit_test_columns(c), FIT_TESTS)
    frames["As-built check, anchors"] = _frame(survey_columns(site), SURVEY)
    frames["Lift record check, corrections"] = _frame(correction_columns(site), CORRECTIONS)
    return frames, [*embeds.findings, *bars.findings]


def calculate(job: Job) -> Results:
    """Return the results of a job: frames in base units, findings, run record. No file is needed.

    The frames are ``Pressures``, ``Filling``, ``Strongbacks``, ``Anchor demand``, ``Strength ready``, ``Strength fits``,
    ``Readiness board``, ``Earlier gates``, ``Lift heat``, ``Programme``, ``Embed counts``, ``Bar counts`` and their totals, ``Wind`` and
    ``Crane picks``; headings carry the units.
    """
    with clauses_evaluated() as evaluated:
        results = _calculate(job)
    results.formulas = [(record.source, record.about) for _, record in sorted(evaluated.items())]
    return results


def _calculate(job: Job) -> Results:
    c = calculate_columns(job)
    site = Site(c)
    frames, counted = _frames(c, site)
    findings = in_order([*all_flags(c), *site.flags(), *counted])
    frames["Flags"] = flag_frame(findings)
    series = {}
    lift, profile = profile_of(c)
    series["profile"] = frame_of(profile)
    series["profile"].attrs["lift"] = lift
    if c.gates.lift.size:
        lift, growth, gates = growth_of(c)
        series["growth"], series["gates"] = frame_of(growth), frame_of(gates)
        series["growth"].attrs["lift"] = lift
    series["board"] = frame_of(board_of(c))
    if (shown := fit_points(c)) is not None:
        for name, columns in (("fit, tests", shown[2]), ("fit, curves", shown[3])):
            series[name] = frame_of(columns)
            series[name].attrs |= {"mix": shown[0], "form": shown[1]}
    series["cards"] = frame_of(card_columns(c))
    grid = sensitivity(c)
    series["sensitivity"] = frame_of(grid_columns(grid))
    series["sensitivity"].attrs["lift"] = job.lift_name(grid.lift)
    if (item := lift_shown(job, c.temperature.heat)) >= 0:
        for name, columns in (
            ("heat", heat_history(c.temperature.heat, item, c.temperature.nodes[item])),
            ("heat trials", heat_trials(job, c.temperature.start, item)),
        ):
            series[name] = frame_of(columns)
            series[name].attrs["lift"] = job.lift_name(item)
    series["demand"] = frame_of(demand_by_lift(c))
    lift, by_hour, by_height = filling_of(c)
    for name, columns in (("filling, by hour", by_hour), ("filling, by height", by_height)):
        series[name] = frame_of(columns)
        series[name].attrs["lift"] = lift
    if (envelope := envelope_of(c)) is not None:
        series["envelope"] = frame_of(envelope[1])
        series["envelope"].attrs["lift"] = envelope[0]
    return Results(
        frames,
        findings,
        [*record_lines(c), *((HIGHER_CATEGORY, reason) for reason in higher_category(site))],
        series,
        job.digest,
        result_units=job.text("Result units") or "metric",
        reopens_at=job.number("Flag reopens at"),
        inputs=input_lines(job),
        hand=HandCheck(
            hand_rows(c),
            gate_rows(c),
            hand_places(job),
            first_shown(c),
            job.text("Pressure method"),
            job.text("Anchor method"),
        ),
    )


def recorded_line(grid: Grid | None, name: str) -> str:
    """Return the text that a run record holds under a name, empty where it holds none."""
    rows = grid.rows if grid is not None else ()
    return next((str(row[1]) for row in rows if len(row) > 1 and row[0] == name and row[1] is not None), "")


def is_open(results: Results) -> bool:
    """Return whether a row exceeds, lies outside scope or was not computed, or a finding blocks issue."""
    for name, frame in results.frames.items():
        words = [word for word in OPEN_VERDICTS if not (name in OFFERED and word == NOT_COMPUTED)]
        if "Verdict" in frame.columns and frame["Verdict"].isin(words).any():
            return True
    return any(finding.level.value == "Blocks issue" for finding in results.findings)


def write_results(
    path: Path_,
    results: Results,
    out: Path_ | None = None,
    *,
    moment: dt.datetime | None = None,
    step: Step = _silent,
) -> dict[str, int]:
    """Write the result sheets into the book, or into a copy of it. Everything else in the book stays as it is.

    Parameters
    ----------
    path
        The book that the results were computed from.
    results
        What :func:`calculate` returned.
    out
        File to write; the book itself if none is given. Needed for an OpenDocument spreadsheet, whose values go with
        the results into a new workbook.
    moment
        Time to state in the run record; now if none is given.
    step
        Told of each step as it begins.

    Returns
    -------
    dict
        How many flags are open, signed and open again, and how many this run cleared.

    Raises
    ------
    BookUnreadable, BookUnwritable
        The book could not be read or written; it is as it was.
    """
    target = Path(path if out is None else out)
    check_takes_results(Path(path), target)
    check_writable(target)
    step("Read the reviewer's notes")
    flags = flags_now(results, read_grids(path, NOTED_SHEETS), moment)
    sheets = result_contents(results, flags)
    write_into(path, target, sheets, result_names=(*RESULT_SHEETS, FAULT_SHEET), step=step)
    return states(flags.entries, flags.events, flags.told)


@dataclass(frozen=True, slots=True)
class FlagsNow:
    """The flags of a run with what the reviewer gave them, their history, the time of the run, and what was chosen for hand check and pour card."""

    entries: list[Entry]
    events: list[Event]
    when: dt.datetime
    chosen: tuple[str, str] = ("", "")
    card: str = ""

    @property
    def told(self) -> str:
        """Return the time as the sheets write it."""
        return f"{self.when:%Y-%m-%d %H:%M}"


def flags_now(
    results: Results, earlier: Mapping[str, Grid | None] | None = None, moment: dt.datetime | None = None
) -> FlagsNow:
    """Return the flags of a run, each with the initials and the remark that it keeps.

    Parameters
    ----------
    results
        What :func:`calculate` returned.
    earlier
        The sheets ``Flags``, ``Flag history``, ``Hand check`` and ``Pour card`` of the run before.
    moment
        Time of the run; now if none is given.
    """
    when = moment or dt.datetime.now().astimezone().replace(tzinfo=None)
    flags, history, chooser, card = ((earlier or {}).get(name) for name in NOTED_SHEETS)
    entries, events = lived(
        results.findings,
        read_entries(flags.rows) if flags is not None else {},
        read_events(history.rows) if history is not None else (),
        time=f"{when:%Y-%m-%d %H:%M}",
        digest=results.digest[:16],
        amount=results.reopens_at,
    )
    return FlagsNow(
        entries, events, when, chosen_before(chooser.rows if chooser is not None else ()),
        chosen_lift_before(card.rows if card is not None else ()),
    )  # fmt: skip


def told_facts(results: Results, run: str = "") -> tuple[tuple[str, str], ...]:
    """Return what stands at the head of every result sheet; ``run``: the time of the run, now if none is given."""
    stated = dict(results.record)
    return (
        ("Project", stated.get("Project", "")),
        ("Revision", stated.get("Revision", "")),
        ("Run", run or f"{dt.datetime.now().astimezone():%Y-%m-%d %H:%M}"),
        ("Digest of the inputs", results.digest[:16]),
    )


def result_contents(results: Results, flags: FlagsNow | None = None) -> list[SheetContent]:
    """Return what the result sheets hold.

    Parameters
    ----------
    results
        What :func:`calculate` returned.
    flags
        The flags of the run; as at a first run if none are given.
    """
    flags = flags or flags_now(results)
    lines = list(results.record)
    lines.insert(1, ("Time of the run", flags.told))
    facts = told_facts(results, flags.told)
    hand = results.hand and results.hand.showing(flags.chosen)
    series = dict(results.series)
    if flags.card and "cards" in series:
        series["cards"] = series["cards"].copy()
        series["cards"].attrs["shown"] = flags.card
    return contents(
        replace(results, record=lines, hand=hand, series=series), (flags.entries, flags.events), facts
    )
