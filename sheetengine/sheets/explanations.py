"""What every heading, line of ``Job``, flag code and word of the results means, from the declarations."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from sheetengine.content import Look
from sheetengine.findings import Code
from sheetengine.sheets.declarations import Heading, ItemDeclaration, Kind, plain
from sheetengine.sheets.guide import LEVEL_WORDS, VERDICT_WORDS
from sheetengine.sheets.job_items import JOB_ITEMS, JOB_SHEET
from sheetengine.sheets.optional_inputs import INPUT_SHEETS
from sheetengine.sheets.result_looks import BY_SHEET

INPUT_HEADING, JOB_LINE, RESULT_HEADING, FLAG_CODE, WORD = (
    "Heading of an input sheet", "Line of Job", "Heading of a result sheet", "Flag", "Word of the results",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Explanation:
    """One thing that the workbook or a flag says: what kind it is, where it stands, what it means, and its facts."""

    name: str
    kind: str
    sheet: str
    meaning: str
    facts: tuple[tuple[str, str], ...] = ()


CODES: dict[Code, tuple[str, str]] = {
    Code.MISSING_SHEET: ("A sheet that the engine needs is not in the book.", "Add the sheet under its name, or begin from a new book."),
    Code.MISSING_HEADING: ("A heading that must be there was not found.", "Write it into the heading row, with its unit in brackets."),
    Code.DUPLICATE_HEADING: ("A heading stands twice, and it is not known which column counts.", "Take one out, or rename it."),
    Code.MISSING_VALUE: ("A cell that must hold a value is blank.", "Fill it in."),
    Code.NOT_A_NUMBER: ("A cell that must hold a number holds a text.", "Type the number alone; its unit stands in the heading."),
    Code.NOT_A_DATE: ("A cell that must hold a date and time holds something else.", "Type date and time, as 2031-04-07 06:00."),
    Code.NOT_ON_LIST: ("A cell holds a word that is not on its list.", "Choose a word from the drop-down list."),
    Code.WRONG_UNIT: ("A unit is missing, unknown, or of another dimension.", "Correct the unit in the brackets of the heading."),
    Code.IMPOSSIBLE_VALUE: ("A value, or several together, cannot be: out of bounds, or a geometry that cannot stand.", "Correct the cell named; the message says what was understood."),
    Code.UNKNOWN_NAME: ("A cell names a mix, unit, anchor, crane or lift that its sheet does not hold.", "Correct the name, or add the row."),
    Code.DUPLICATE_ROW: ("Two rows are of the same thing.", "Take one out, or give it a name of its own."),
    Code.OUT_OF_ORDER: ("Dates or lifts are in an order that cannot be.", "Correct the date, or sort the lifts from the bottom up."),
    Code.NOT_RECALCULATED: ("A formula has no stored value, so its number is not known.", "Open the book in the spreadsheet program, let it calculate, and save it."),
    Code.CELL_ERROR: ("A cell shows an error such as #DIV/0!.", "Mend the formula, or type the value."),
    Code.MERGED_CELLS: ("Cells of the table are merged, so it is not known which row holds the value.", "Take the merge apart and fill each cell."),
    Code.PROBE_FAULT: ("A temperature log holds readings that do not count: misplaced, doubtful, or of an uncertain clock.", "Check probe and clock; what is doubtful never raises a strength."),
    Code.OUTSIDE_SCOPE: ("The document does not cover this case, so no number settles it.", "Bring the input into the document's range, choose another method, or bring evidence."),
    Code.BELOW_RANGE: ("The concrete is weaker than the anchor standard begins; ratios are an indication only.", "Load later, or prove the anchors by pull-out tests and name who accepted it."),
    Code.EXCEEDS: ("A ratio is above 1: pressure, anchor, strongback, pick or another check.", "Change the arrangement; the flag names the change that costs the programme least."),
    Code.NEAR_LIMIT: ("A ratio is at or above the review threshold.", "Accept it with initials, or leave more in hand."),
    Code.NOT_COMPUTED: ("A check could not be made, since something it needs is missing.", "Give what the flag names; never read it as Within."),
    Code.FOOT_LIFTS: ("The foot of the bracket frame lifts off at some stage.", "Tie it, take a heavier unit or a longer frame, or anchor the lower row."),
    Code.GATE_NOT_MET: ("A gate is planned before the strength it asks for is reached.", "Plan it later; or warm, insulate, or deepen as the sheet Earlier gates says. Confirm by test before release."),
    Code.NEEDS_TESTS: ("A strength rests on a curve that may not speak so early.", "Test specimens or pull-outs at that age."),
    Code.PLANNED_EARLY: ("Something is planned earlier than what must go before it.", "Move it, or what goes before it."),
    Code.SET_NOT_STATED: ("Whether setting was confirmed by test is not said, or is denied; the pressure of a method rests on it.", "Write yes after a test on this mix at this temperature; no gives the full head."),
    Code.UNCONFIRMED_SOURCE: ("A rule is common practice, or was not read in its licensed text, or is borrowed outside its purpose.", "Hold it against the licensed text, and accept it with initials."),
    Code.PLAUSIBILITY: ("A value lies outside its usual band; a slip of the decimal mark or of the unit looks like this.", "Correct it, or accept it with initials and the reason."),
    Code.MIXED_STANDARDS: ("Actions and resistances come from different families of standards.", "Choose methods of one family, or accept the mixture with initials."),
    Code.LAYOUT_DIFFERS: ("Spacing, positions or depths of anchors do not agree with the unit that hangs on them.", "Make them agree, or accept the layout with initials."),
    Code.PANEL_SHORT: ("The panel does not reach the top of the lift.", "Take a higher panel, or a lower lift."),
    Code.BAR_RADIUS: ("A bar is bent more tightly than its standard allows.", "Bend to the least radius, or take a thinner bar."),
    Code.BAR_SHAPE: ("The dimensions of a bar do not make its shape.", "Correct the dimensions or the shape code."),
    Code.HEIGHT_STEP: ("Neighbouring blocks, or lifts of one, differ in height by more than the job allows.", "Change the order of placing, or the limit."),
    Code.HIDDEN_INPUT: ("Rows or columns of an input sheet are hidden, and count all the same.", "Show them and look at them; take out what should not count."),
    Code.AS_BUILT: ("An anchor was found missing, replaced, out of line or outside the layout; the check of its units was made again with what is there.", "Put it right, or let the designer accept the check as built and enter a re-check in Releases."),
    Code.ANCHORS_AHEAD: ("Fewer anchors are in the lift than the units of the lift above need.", "Set what is missing before the lift is placed, or change the units' layout."),
    Code.HOLD_POINT: ("A hold point was released out of turn, or what it rests on no longer holds.", "Stop, put right what the flag names, and release again."),
    Code.AS_PLACED: ("A lift was placed faster, colder, softer or with longer stops than the design assumed.", "Do what the flag says before the next stage; then correct the plan of the lifts to come."),
    Code.DEFAULT_TAKEN: ("A blank was filled by a default that matters.", "Give the value, or accept the default with initials."),
}  # fmt: skip
"""Meaning of every flag code, and what to do."""


def _limits(entry: Heading | ItemDeclaration) -> str:
    unit = f" {entry.measure.base}" if entry.measure.base else ""
    parts = []
    if math.isfinite(entry.above):
        parts.append(f"above {entry.above:g}{unit}")
    if math.isfinite(entry.at_least):
        parts.append(f"at least {entry.at_least:g}{unit}")
    if math.isfinite(entry.at_most):
        parts.append(f"at most {entry.at_most:g}{unit}")
    return ", ".join(parts)


def _facts(entry: Heading | ItemDeclaration) -> tuple[tuple[str, str], ...]:
    units = (
        [unit for unit in (entry.measure.metric, entry.measure.us) if unit]
        if entry.kind is Kind.NUMBER
        else []
    )
    default = entry.default_text or ("" if entry.default is None else str(entry.default))
    told = (
        ("Unit", " or ".join(f"[{unit}]" for unit in dict.fromkeys(units))),
        ("Must be given", "yes" if entry.required else "no"),
        ("If blank", default if not entry.required else ""),
        ("Words", ", ".join(entry.choices)),
        ("Bounds", _limits(entry)),
    )
    return tuple(fact for fact in told if fact[1])


def explanations() -> Iterator[Explanation]:
    """Yield everything that can be explained."""
    for item in JOB_ITEMS:
        yield Explanation(item.name, JOB_LINE, JOB_SHEET, item.meaning, _facts(item))
    for sheet in INPUT_SHEETS:
        for heading in sheet.headings:
            yield Explanation(heading.name, INPUT_HEADING, sheet.name, heading.meaning, _facts(heading))
    for name, looks in BY_SHEET.items():
        for look in looks:
            measure = look.measure
            units = (
                [unit for unit in (measure.metric, measure.us) if unit] if look.look is Look.NUMBER else []
            )
            facts = (("Unit", " or ".join(f"[{unit}]" for unit in dict.fromkeys(units))),) if units else ()
            yield Explanation(look.name, RESULT_HEADING, name, look.note, facts)
    for code, (meaning, cure) in CODES.items():
        yield Explanation(code.value, FLAG_CODE, "Flags", meaning, (("What to do", cure),))
    for word, meaning in VERDICT_WORDS.items():
        yield Explanation(word, WORD, "Verdict", meaning)
    for level, meaning in LEVEL_WORDS.items():
        yield Explanation(level.value, WORD, "Level", meaning)


def explained(word: str) -> list[Explanation]:
    """Return what a word, a heading with or without its unit, or the name of a flag may mean."""
    name = plain(word.split(" [", maxsplit=1)[0])
    prefix = word.strip().split("-")[0].upper()
    return [
        entry
        for entry in explanations()
        if plain(entry.name) == name or (entry.kind == FLAG_CODE and entry.name == prefix)
    ]


def markdown() -> str:
    """Return a reference of all sheets and columns, of every flag code and word."""
    lines = ["# Sheets, columns and flags", ""]
    groups: dict[tuple[str, str], list[Explanation]] = {}
    for entry in explanations():
        groups.setdefault((entry.kind, entry.sheet), []).append(entry)
    for (kind, sheet), entries in groups.items():
        lines += [f"## {sheet} ({kind.lower()})", "", "| name | meaning | more |", "|---|---|---|"]
        for entry in entries:
            more = "; ".join(f"{name.lower()}: {text}" for name, text in entry.facts)
            cells = (
                text.replace("|", "\\|").replace("\n", " ") for text in (entry.name, entry.meaning, more)
            )
            lines.append(f"| {' | '.join(cells)} |")
        lines.append("")
    return "\n".join(lines)
