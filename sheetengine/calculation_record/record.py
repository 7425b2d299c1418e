"""Puts the parts of a calculation record together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sheetengine.calculation_record.governing import governing_part
from sheetengine.calculation_record.inputs import inputs_part
from sheetengine.calculation_record.parts import CalculationRecord, Part, RecordTable
from sheetengine.calculation_record.site import site_part
from sheetengine.content import ChartContent, ColumnLook, Look, SheetContent, TableContent
from sheetengine.findings import Finding
from sheetengine.job import Job, Results
from sheetengine.sheets.results import CAUTION
from sheetengine.sheets.signing import OPEN, OPEN_AGAIN, SIGNED, Entry, Event
from sheetengine.sources import Source

CAUTIONS = (
    CAUTION,
    "The record tells what was computed from the inputs printed here. It is no release: gates are released on site, by the person "
    "named for it, on tests of the concrete at the anchors.",
    "The engine does not choose the design check category and approves nothing. Names and signatures below are those of people.",
)
SIGNATURES = ("Prepared by", "Checked by", "Approved by")
_GROUPS = (
    ("Safety basis, actions and combinations", ("Safety", "Factors", "Combinations")),
    ("Methods", ("Pressure method", "Anchor method", "Scope")),
    (
        "Concrete and its strength",
        ("Strength", "What the bound", "Heat", "Temperature", "Probe", "Logged", "Margin", "Gate"),
    ),
    ("Wind and lifting", ("Wind", "Storm", "Net wind", "Working wind", "Crane", "Air")),
    ("Assumptions", ("Assumption",)),
    ("Defaults taken for blank cells", ("Default taken",)),
)
_ELSEWHERE = ("Engine", "Time of the run", "Digest of the inputs", "Project", "Revision", "Caution")


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a record comes from and when: name of the workbook, time of its results, time of printing, its warning."""

    book: str
    run_at: str
    printed_at: str
    warning: str = ""


def methods_part(record: Sequence[tuple[str, str]]) -> Part:
    """Return the lines of the run record by subject; what fits no subject stands last."""
    left = [(name, text) for name, text in record if name not in _ELSEWHERE]
    tables = []
    for title, starts in _GROUPS:
        own = [(name, text) for name, text in left if name.startswith(starts)]
        left = [line for line in left if line not in own]
        if not own:
            continue
        if len({name for name, _ in own}) == 1 and len(own) > 1:
            columns = [ColumnLook("No.", Look.COUNT, 5.0), ColumnLook("Text", Look.TEXT, 91.0)]
            rows: list[list[str | int]] = [[number, text] for number, (_, text) in enumerate(own, start=1)]
        else:
            columns = [ColumnLook("What", Look.TEXT, 22.0), ColumnLook("Record", Look.TEXT, 74.0)]
            rows = [list(line) for line in own]
        tables.append(RecordTable(title, columns, rows))
    if left:
        columns = [ColumnLook("What", Look.TEXT, 22.0), ColumnLook("Record", Look.TEXT, 74.0)]
        tables.append(RecordTable("Further", columns, [list(line) for line in left]))
    return Part(
        "Methods, factors, assumptions",
        ["By these the results were made; each source says how it is known."],
        tables,
    )


def _said(one: str, other: str) -> str:
    return " / ".join(filter(None, (one, other)))


def flags_part(findings: Sequence[Finding], entries: Sequence[Entry], events: Sequence[Event]) -> Part:
    """Return the flags with their signatures, and the history of those that are gone.

    Parameters
    ----------
    findings, entries
        Of the run, in the same order.
    events
        Newest first.
    """
    levels = Counter(entry.now.level for entry in entries)
    stand = Counter(entry.state for entry in entries)
    rows = []
    for finding, entry in zip(findings, entries, strict=True):
        text = finding.message
        if finding.clears:
            text += f"\nWould clear it: {finding.clears}"
        if finding.source is not None:
            text += f"\nSource: {finding.source}"
        signed = "\n".join(
            filter(
                None,
                (entry.initials or "not signed", entry.remark, entry.before and f"before: {entry.before}"),
            )
        )
        state = f"{entry.state}: {entry.why}" if entry.why else entry.state
        rows.append([
            f"{entry.identifier}\n{finding.at}", entry.now.level, text, _said(entry.now.value, entry.now.limit), signed, state,
        ])  # fmt: skip
    columns = [
        ColumnLook("Flag and cell", Look.TEXT, 15.0), ColumnLook("Level", Look.LEVEL, 10.0), ColumnLook("Finding", Look.TEXT, 37.0),
        ColumnLook("Value / limit", Look.TEXT, 12.0), ColumnLook("Initials and remark", Look.TEXT, 13.0),
        ColumnLook("State", Look.TEXT, 9.0),
    ]  # fmt: skip
    tables = [RecordTable("Flags", columns, rows)]
    if events:
        gone = [
            [event.time, event.identifier, event.what, event.finding, _said(event.stand.value, event.stand.limit),
             "\n".join(filter(None, (event.initials, event.remark)))]
            for event in events
        ]  # fmt: skip
        heads = [
            ColumnLook("Time", Look.TEXT, 12.0), ColumnLook("Flag", Look.TEXT, 12.0), ColumnLook("What happened", Look.TEXT, 11.0),
            ColumnLook("Finding", Look.TEXT, 37.0), ColumnLook("Value / limit", Look.TEXT, 12.0),
            ColumnLook("Initials and remark", Look.TEXT, 12.0),
        ]  # fmt: skip
        tables.append(RecordTable("History of flags", heads, gone))
    told = ", ".join(f"{number} {word}" for word, number in levels.items()) or "None"
    states = ", ".join(f"{stand[word]} {word.lower()}" for word in (OPEN, SIGNED, OPEN_AGAIN))
    return Part("Flags and signatures", [f"{told}. {states}."], tables)


def sources_part(formulas: Sequence[tuple[Source, str]]) -> Part:
    """Return what was evaluated, by document and place, with how the wording is known.

    Parameters
    ----------
    formulas
        Source of every formula that the run evaluated, with what the formula gives.
    """
    by_document: dict[str, dict[tuple[str, str], list[str]]] = {}
    for source, about in formulas:
        places = by_document.setdefault(source.document, {})
        places.setdefault((source.place, source.known.value), []).append(
            about.partition(":math:")[0].rstrip(" ,;:.")
        )
    rows = []
    for document, places in sorted(by_document.items()):
        for (place, known), abouts in sorted(places.items()):
            rows.append([document, place, "; ".join(dict.fromkeys(abouts)), known])
    columns = [
        ColumnLook("Document", Look.TEXT, 20.0), ColumnLook("Place", Look.TEXT, 24.0),
        ColumnLook("What it gives here", Look.TEXT, 36.0), ColumnLook("Known", Look.TEXT, 16.0),
    ]  # fmt: skip
    return Part(
        "Sources",
        ["Every formula that this run evaluated. What is from memory or from a second source is to be held against the licensed text "
         "before the record is relied on."],
        [RecordTable("Formulas evaluated", columns, rows)],
    )  # fmt: skip


def charts_part(sheets: Sequence[SheetContent]) -> tuple[Part, Mapping[str, TableContent]]:
    """Return the charts of the result sheets, and the tables they are drawn from."""
    charts: list[ChartContent] = [chart for sheet in sheets for chart in sheet.charts]
    wanted = {curve.table for chart in charts for curve in chart.curves}
    tables = {table.name: table for sheet in sheets for table in sheet.tables if table.name in wanted}
    lines = ["One lift for each chart: the one that governs, unless a line of Job names another."]
    return Part("Charts", lines, (), charts), tables


def calculation_record(
    job: Job,
    results: Results,
    flags: tuple[Sequence[Entry], Sequence[Event]],
    sheets: Sequence[SheetContent],
    origin: Origin,
    paper: str = "",
) -> CalculationRecord:
    """Return the record of a run.

    Parameters
    ----------
    job, results
        The run.
    flags
        Its flags with what the reviewer gave them, and their history.
    sheets
        What its result sheets hold; the charts are taken from there.
    origin
        Workbook and times.
    paper
        ``A4`` or ``Letter``; by the units of the results if none is given.
    """
    us = results.result_units == "US"
    charts, data = charts_part(sheets)
    stand = Counter(entry.state for entry in flags[0])
    state = ", ".join(f"{stand[word]} {word.lower()}" for word in (OPEN, SIGNED, OPEN_AGAIN))
    revision = job.text("Revision") or "not stated"
    facts = [
        ("Project", job.text("Project")),
        ("Structure", job.text("Structure")),
        ("Revision", revision),
        ("Workbook", origin.book),
        ("Results written", origin.run_at),
        ("Record printed", origin.printed_at),
        ("Engine", dict(results.record).get("Engine", "")),
        ("Digest of the inputs", results.digest),
        ("Safety basis", job.text("Safety basis")),
        ("Pressure method", job.text("Pressure method")),
        ("Anchor method", job.text("Anchor method")),
        ("Flags", state),
        ("Prepared by, as in the workbook", job.text("Prepared by")),
        ("Checked by, as in the workbook", job.text("Checked by")),
    ]
    parts = [
        inputs_part(job, us),
        methods_part(results.record),
        governing_part(results, us),
        site_part(results),
        flags_part(results.findings, *flags),
        charts,
        sources_part(results.formulas),
    ]
    return CalculationRecord(
        "Calculation record",
        [(name, text) for name, text in facts if text],
        SIGNATURES,
        CAUTIONS,
        (job.text("Project"), origin.warning, f"Revision {revision}   ·   digest {results.digest[:16]}"),
        parts,
        data,
        paper or ("Letter" if us else "A4"),
        origin.warning,
    )
