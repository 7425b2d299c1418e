"""The guide on the first sheet of an empty book, worded from the declarations."""

from __future__ import annotations

from collections.abc import Iterator

from sheetengine.findings import Level
from sheetengine.sheets.job_items import JOB_SHEET
from sheetengine.sheets.optional_inputs import OPTIONAL_SHEETS, REQUIRED_SHEETS
from sheetengine.template_content import GuideRow, GuideSection
from sheetengine.units import MEASURES

RESULT_SHEETS = {
    "Flags": "Everything to look at: what it is, where it is (follow the link), the limit, its source, what would "
    "clear it. The reviewer writes initials and a remark here; both are carried to the next run, while what was signed gets no worse.",
    "Flag history": "Flags that were cleared, came back or opened again, with who had signed them.",
    "Pressures": "One row a lift: the pressure of the fresh concrete, what governs it, its resultant and the greatest "
    "rate of rise.",
    "Filling": "One row a lift: hours, layers, how long their faces stay open, and the least rate of rise.",
    "Filling profile": "One lift while it fills: pressure by height and hour, and level by hour.",
    "Strongbacks": "One row a lift: reactions, brace, moment, shear and deflection at the worst level of the concrete, "
    "the lean-in to set, and the offset between lifts.",
    "Anchor demand": "One row a lift and stage: forces on one anchor, strength of the concrete round it, governing "
    "mode, ratio, and the strength it would take.",
    "Strength ready": "One row a lift and gate: required and predicted strength, planned hour, hour of readiness.",
    "Strength fits": "One row a mix that has tests and law: parameters with their errors, lower bound at 1, 3 and 7 days, which law is "
    "used, or why it is refused; below, every test with its residual.",
    "Working limits": "One row a lift and stage: how fast, how high, how far apart, how deep and how old it may be, one "
    "input at a time, and which change clears a flag at least cost. Below, one lift against rise rate and temperature.",
    "Embed counts": "What is cast into each lift, what stays in and what comes out again, by month.",
    "Bar counts": "Cutting lengths, numbers and masses of the reinforcement, by lift and month.",
    "Programme": "The planned hours lift by lift against the hours at which the concrete is ready.",
    "Robustness": "One row a lift: what fails first with one anchor lost, a faster rise, colder and weaker concrete, and the full head.",
    "Hold points": "Eleven rows a lift, from brief to close-out: what each needs, what the engine knows, what is on file in Releases, who "
    "released it.",
    "As-built check": "The check made again with the anchors as found, from the sheet As built; every anchor that was surveyed.",
    "Lift record check": "Rate, pressure and stops of each lift as placed, from the sheet Lift record; corrections that three lifts propose.",
    "Wind": "One row a lift: storm and working wind as pressure and as the gust that an anemometer shows, and how they were "
    "found.",
    "Crane picks": "One row a lift: load on the hook against the crane at its radius, the lifting points, and the wind at which "
    "the units are set down.",
    "Run record": "Version, time, digest of the inputs, methods, every default that was taken, and cautions.",
    "Anchor detail": "Intermediate values of every anchor mode, to check a row by hand.",
    "Chart data": "The numbers behind the charts.",
    "Inputs as run": "What the results rest on, so that the command verify can name what has changed since.",
    "Dimension rows": "Three rows a lift, formed face, joint and concrete: timesing, dimensions, product, drawing and revision; totals that lead "
    "back to them.",
    "Pour card": "One page for the crew, of a lift chosen from the list: how fast it may rise at which temperature, what the design "
    "assumed, by when its anchors are set, and when to stop. Printed alone by sheetengine card.",
    "Hand check": "Choose a lift and stage: the sheets that follow work it out anew in live formulas, step by step with clause, beside the "
    "engine's numbers.",
}

VERDICT_WORDS = {
    "Within": "The ratio is below the review threshold.",
    "Near limit": "The ratio is at or above the review threshold (0.90 unless Job says otherwise), and not above 1.",
    "Exceeds": "The ratio is above 1. The arrangement must change.",
    "Outside scope": "The document does not cover this case (for example, concrete weaker than its range). No number "
    "settles it: evidence or another method is needed.",
    "Not computed": "Something it needs is missing; the flag says what. It is never to be read as Within.",
}

LEVEL_WORDS = {
    Level.FAULT: "An input cannot be used. Nothing is computed and nothing is written until it is put right.",
    Level.STOP: "A check exceeds, is outside its scope or could not be made. The design is not to be issued.",
    Level.ACCEPT: "A named person accepts it in the Initials column of Flags, or the input changes.",
    Level.NOTE: "Nothing to do; it should be known.",
}


def guide_sections(*, us: bool, safety: str, pressure: str, anchor: str) -> list[GuideSection]:
    """Return the guide of an empty book."""
    system = "US customary units" if us else "metric units"
    return [
        GuideSection(
            "What this book is for",
            [
                GuideRow(
                    "Purpose",
                    "Plans one-sided forms on mass concrete that is placed lift by lift: pressure of the fresh "
                    "concrete, forces on the form anchors in the young lift below, the hour at which the concrete "
                    "carries them, and counts of embeds and bars.",
                ),
                GuideRow(
                    "Set up for",
                    f"{safety}; pressure by {pressure}; anchors by {anchor}; {system}. Change it on Job.",
                ),
                GuideRow(
                    "Not for",
                    "The permanent works, the form's own panel and frame members, or concrete that is not normal "
                    "weight. It does not replace the checks of the responsible engineer.",
                ),
            ],
        ),
        GuideSection("Fill in, in this order", list(_order())),
        GuideSection("Run it", _running()),
        GuideSection("Rules of the sheets", _rules()),
        GuideSection(
            "How a verdict reads", [GuideRow(word, text, state=word) for word, text in VERDICT_WORDS.items()]
        ),
        GuideSection(
            "How a flag reads",
            [GuideRow(level.value, text, state=level.value) for level, text in LEVEL_WORDS.items()],
        ),
        GuideSection("What comes back", [GuideRow(name, text) for name, text in RESULT_SHEETS.items()]),
        GuideSection("Units that a heading may carry", list(_units())),
        GuideSection("Cautions", _cautions()),
    ]


def _order() -> Iterator[GuideRow]:
    yield GuideRow(f"1  {JOB_SHEET}", "Project, safety basis, methods and settings.", sheet=JOB_SHEET)
    for place, sheet in enumerate(REQUIRED_SHEETS, start=2):
        yield GuideRow(f"{place}  {sheet.name}", sheet.purpose, sheet=sheet.name)
    for sheet in OPTIONAL_SHEETS:
        yield GuideRow(f"–  {sheet.name}", f"{sheet.purpose} Leave it empty, or delete the sheet, if you have none.",
                       sheet=sheet.name)  # fmt: skip


def _running() -> list[GuideRow]:
    return [
        GuideRow("Before", "Save the book and close it in the spreadsheet program."),
        GuideRow(
            "Run",
            "sheetengine run BOOK      writes the result sheets behind yours; add --out FILE for a copy.",
        ),
        GuideRow(
            "Check", "sheetengine verify BOOK      says whether the results still belong to the inputs."
        ),
        GuideRow(
            "Correct and repeat",
            "Cells named by a flag stand hatched, boxed and bold on these sheets until the next run finds them put "
            "right. Every run makes the result sheets anew; your own sheets, columns and formulas stay.",
        ),
    ]


def _rules() -> list[GuideRow]:
    return [
        GuideRow(
            "Which anchors",
            "A row of Lifts describes a lift and the unit that forms it. That unit hangs from anchors cast in the "
            "lift below, so Anchor and Anchor spacing of the row are those of the lift below, and the strength that "
            "counts is the strength there. The first lift of a block hangs from the foundation.",
        ),
        GuideRow(
            "Order of rows",
            "The lift below is the row before it in the same block: list each block from the bottom up.",
        ),
        GuideRow(
            "Required",
            "A heading in bold under the word required, with a thick line below it, must be filled in every row.",
        ),
        GuideRow(
            "Blank cells",
            "A blank cell takes the default that the note on its heading names. The run record lists every default.",
        ),
        GuideRow(
            "Units",
            "The unit stands in brackets in the heading and holds for the whole column. Change it there, for example "
            "Height [m] to Height [ft], and write the values in it; on Job change the Unit cell. The number checks of "
            "the cells stay in the unit the book was made with.",
        ),
        GuideRow(
            "Names",
            "Blocks, lifts, mixes, units and anchors go by their names: write them alike on every sheet.",
        ),
        GuideRow(
            "Dates",
            "Date and time in one cell, local time without summer-time jumps, for example 2031-04-01 07:30.",
        ),
        GuideRow(
            "Formulas",
            "Cells may hold your own formulas. Save once in the spreadsheet program so that their values are stored.",
        ),
        GuideRow(
            "Your own",
            "Add columns and sheets as you like. Do not merge cells within a table, nor rename a heading.",
        ),
    ]


def _units() -> Iterator[GuideRow]:
    shown = ("length", "short length", "area", "small area", "mass", "force", "pressure", "strength", "steel strength",
             "weight density", "rate of rise", "placing rate", "temperature", "age", "line load")  # fmt: skip
    for name in shown:
        measure = MEASURES[name]
        units = dict.fromkeys((measure.metric, measure.us, measure.base))
        more = " A mass density, [kg/m3] or [lb/ft3], is turned into a weight." if measure.density else ""
        listed = ", ".join(f"[{unit}]" for unit in units)
        yield GuideRow(name.capitalize(), f"{listed}, or any other unit of the same kind.{more}")


def _cautions() -> list[GuideRow]:
    return [
        GuideRow(
            "Young concrete",
            "The anchor standards were written for hardened concrete. Below their strength range a ratio is an "
            "indication at most, and the verdict stays Outside scope until evidence is named on Job.",
        ),
        GuideRow(
            "Strength curves",
            "A generic curve is not your mix. Fit the curve to specimens of the mix, and measure the concrete at the "
            "anchors, near the face and the top, before anything is hung on it.",
        ),
        GuideRow(
            "Setting",
            "Every pressure below the full head rests on concrete that sets in time. Where that is not confirmed by "
            "test, take the full head.",
        ),
        GuideRow(
            "Wind",
            "Give a storm as a pressure, or a basic wind speed with terrain and height above ground. Work stops at the "
            "gust of the sheet Wind, measured at the height of the panels.",
        ),
        GuideRow(
            "Crane picks",
            "Capacities come from the crane's own chart for the set-up in use. A lift plan, its radius measured on site, "
            "and the crane's manual go before these figures.",
        ),
        GuideRow(
            "Dates",
            "A readiness hour is a forecast. A lift may be placed later than planned, never earlier than ready.",
        ),
    ]
