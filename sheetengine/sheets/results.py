"""From result frames to the sheets of the book, in the user's units."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pandas as pd

from sheetengine.columns import moment_of
from sheetengine.content import ChartContent, ColumnLook, Curve, Look, SheetContent, TableContent
from sheetengine.findings import counts
from sheetengine.job import Results
from sheetengine.sheets.dimension_sheet import DIMENSIONS, dimension_sheet
from sheetengine.sheets.fit_charts import fit_charts
from sheetengine.sheets.flag_frames import flag_frame, history_frame
from sheetengine.sheets.gate_charts import board_chart
from sheetengine.sheets.hand_sheets import HAND_SHEETS, hand_sheets
from sheetengine.sheets.heat_charts import heat_chart, trial_table
from sheetengine.sheets.inputs_as_run import INPUTS_AS_RUN, NOT_PRINTED, as_run_sheet
from sheetengine.sheets.pour_card import CARD_SHEETS, card_sheets
from sheetengine.sheets.result_column import ResultColumn
from sheetengine.sheets.result_looks import (
    BARS,
    BY_SHEET,
    EMBED_TOTALS,
    look_of,
)
from sheetengine.sheets.signing import OPEN, OPEN_AGAIN, SIGNED, Entry, Event, lived
from sheetengine.sheets.site_looks import SITE_TABLES
from sheetengine.sheets.specimen_looks import FIT_TESTS
from sheetengine.units import MEASURES, from_base, to_base

CHART_DATA = "Chart data"
RESULT_SHEETS = (
    "Flags",
    "Flag history",
    "Pressures",
    "Filling",
    "Filling profile",
    "Strongbacks",
    "Anchor demand",
    "Strength ready",
    "Readiness board",
    "Earlier gates",
    "Strength fits",
    "Lift heat",
    "Working limits",
    "Programme",
    "Robustness",
    "Hold points",
    "As-built check",
    "Lift record check",
    "Wind",
    "Crane picks",
    "Embed counts",
    "Bar counts",
    "Run record",
    "Anchor detail",
    CHART_DATA,
    INPUTS_AS_RUN,
    DIMENSIONS,
    *CARD_SHEETS,
    *HAND_SHEETS,
)
HIGHER_CATEGORY = "Reason for a higher design check category"
"""What the lines of the run record begin with that tell why a check of a higher category may be due."""
NO_RESISTANCE = "no resistance"
"""What stands for an endless ratio."""
ENDLESS = {
    "Greatest rise rate": "any",
    "Window left": "any",
    "Greatest lift height": "any",
    "Least embedment": "none",
    "Least age": "none",
    "Warmer mix": "opens",
    "Deeper anchors": "opens",
    "Closer anchors": "opens",
    "Insulated form": "opens",
}
"""What stands for an endless value under other headings, by how the heading begins."""
CAUTION = (
    "These figures support a competent temporary-works engineer and never replace one. Local codes and the supplier's data "
    "govern. Confirm in-place strength by test before any gate is released. Nobody stands on or below a unit while anchors "
    "are released."
)
PURPOSE = {
    "Flags": "What blocks issue, what needs acceptance, what informs. Follow Where to the cell; write initials and remark.",
    "Flag history": "Flags that were cleared, came back or opened again, newest first, with who had signed them.",
    "Pressures": "Fresh-concrete pressure on each lift, before load factors.",
    "Filling": "How each lift fills, in layers or evenly, and how long the face of a layer stays open.",
    "Filling profile": "One lift while it fills: pressure by height and hour with its envelope, and by hour the even rise beside the layers. Pressures are normal to the face.",
    "Strongbacks": "One strongback and its brace at service level, at the worst level of the concrete, and how to set the panel.",
    "Anchor demand": "Forces of one anchor and demand ratios in the concrete of each stage's hour. A row for each lift and stage.",
    "Strength ready": "The gates strip, hang, place next, and set back with people on the platform. A row for each lift and gate.",
    "Readiness board": "The hours of margin of every lift at its gates. A row for each lift.",
    "Earlier gates": "What would open a gate earlier, one change at a time, all else as planned. A row for each lift and gate.",
    "Strength fits": "Strength laws fitted to the mixes' own specimens, and every test with its residual. A row for each mix and form.",
    "Lift heat": "Peak and differences of temperature in each lift, where the heat of hydration is computed. A row for each lift.",
    "Working limits": "How far one input may go, all else as planned, with every ratio of the row at most 1.",
    "Programme": "Planned dates against the hours at which the gates open.",
    "Embed counts": "What is cast into each lift. Lost and recovered parts apart; procurement and payment apart.",
    "Bar counts": "Reinforcement by bar mark.",
    "Robustness": "What fails first in each lift when one thing goes wrong and all else is as planned; how much is tried stands in Job. "
    "A row for each lift.",
    "Hold points": "From brief to close-out: what each hold point of a lift needs, what the engine knows of it, what is on file. The engine "
    "releases nothing and chooses no design check category.",
    "As-built check": "The check of the units made again with the anchors as they were found, where these differ from the layout; below, "
    "every anchor of the lifts that were surveyed.",
    "Lift record check": "Lifts as they were placed, against the assumptions; below, what three lifts of a mix propose. Nothing of it is applied.",
    "Wind": "Wind on the units of each lift, and the gust at which work stops. A row for each lift.",
    "Crane picks": "Units on the hook against the crane at its radius and their lifting points. A row for each lift that names a crane "
    "or whose unit states a lifting capacity.",
    "Run record": "What was computed, by which methods, with which defaults.",
    "Anchor detail": "Every mode's intermediate values for the anchors of Anchor demand, to check a row by hand. The notes on "
    "the headings give symbol and clause; a blank does not apply.",
    "Dimension rows": "Faces, lift joints and concrete of every lift by their dimensions, with drawing and revision; the totals below are live "
    "sums that lead back to the rows. Rounded in the look only. What is measured is for the contract to say.",
    "Chart data": "The numbers behind the charts of the other sheets.",
}
KEY_COLUMNS = {
    "Anchor demand": 3,
    "Filling profile": 1,
    "Anchor detail": 3,
    "Strength ready": 3,
    "Hold points": 3,
    "As-built check": 3,
    "Earlier gates": 3,
    "Crane picks": 3,
    "Strength fits": 3,
    "Working limits": 3,
    "Flags": 2,
    "Flag history": 2,
    "Embed counts": 3,
    "Bar counts": 3,
    "Run record": 1,
}


def moments(hours: Sequence[float]) -> list[dt.datetime | None]:
    """Return date-times of hours since 30 December 1899."""
    return [moment_of(value) for value in hours]


def shown_frame(
    sheet: str, frame: pd.DataFrame, us: bool, columns: tuple[ResultColumn, ...] = ()
) -> pd.DataFrame:
    """Return a result frame with headings and numbers in the units of the result sheets.

    Raises
    ------
    UnitFault
        A declared unit does not fit its measure.
    """
    looks = columns or BY_SHEET[sheet]
    out: dict[str, Any] = {}
    for heading in frame.columns:
        look = look_of(looks, str(heading))
        values = frame[heading]
        if us and look.look is Look.NUMBER and look.measure.base and look.measure.us != look.measure.metric:
            measure = look.measure
            in_base = to_base(values.to_numpy(dtype=np.float64), measure.metric, measure)
            out[look.heading(us=True)] = from_base(in_base, measure.us, measure)
        else:
            out[str(heading)] = values
    return pd.DataFrame(out)


def _cells(values: pd.Series[Any]) -> list[Any]:
    if pd.api.types.is_datetime64_any_dtype(values):
        return [None if pd.isna(value) else value.to_pydatetime() for value in values]
    return values.tolist()


def _table(
    name: str, sheet: str, frame: pd.DataFrame, us: bool, columns: tuple[ResultColumn, ...] = ()
) -> TableContent:
    looks = columns or BY_SHEET[sheet]
    shown = shown_frame(sheet, frame, us, looks)
    specs = []
    for base_heading, heading in zip(frame.columns, shown.columns, strict=True):
        look = look_of(looks, str(base_heading))
        specs.append(ColumnLook(str(heading), look.look, look.width, look.decimals, look.note, look.group))
    for base_heading, heading in zip(frame.columns, shown.columns, strict=True):
        if pd.api.types.is_float_dtype(shown[heading]):
            endless = np.isposinf(shown[heading].to_numpy(dtype=np.float64))
            if endless.any():
                starts = (word for start, word in ENDLESS.items() if str(base_heading).startswith(start))
                word = next(starts, NO_RESISTANCE)
                shown[heading] = shown[heading].astype(object).where(~endless, word)
    rows = (
        list(zip(*(_cells(shown[heading]) for heading in shown.columns), strict=True)) if len(shown) else []
    )
    return TableContent(name, specs, [list(row) for row in rows])


def _plain_table(name: str, frame: pd.DataFrame, decimals: int = 2) -> TableContent:
    specs = [
        ColumnLook(
            str(heading),
            Look.NUMBER if pd.api.types.is_numeric_dtype(frame[heading]) else Look.TEXT,
            11.0,
            decimals,
        )
        for heading in frame.columns
    ]
    return TableContent(name, specs, [list(row) for row in frame.itertuples(index=False)])


def _in_us(frame: pd.DataFrame, us: bool, measures: Mapping[str, str]) -> pd.DataFrame:
    """Return a chart's frame with the named columns turned into US units."""
    if not us:
        return frame
    out = {}
    for heading in frame.columns:
        name = str(heading).split(" [", maxsplit=1)[0]
        measure = MEASURES.get(measures.get(name, ""))
        if measure is None:
            out[str(heading)] = frame[heading].to_numpy()
        else:
            out[f"{name} [{measure.us}]"] = from_base(
                frame[heading].to_numpy(dtype=np.float64), measure.us, measure
            )
    return pd.DataFrame(out)


def _degrees_fahrenheit(heading: str) -> str:
    """Return a heading such as ``10 degC`` in degrees Fahrenheit, any other as it is."""
    number, _, unit = heading.partition(" ")
    if unit != "degC":
        return heading
    measure = MEASURES["temperature"]
    return f"{from_base(np.array([float(number)]), measure.us, measure)[0]:.4g} {measure.us}"


def _charts(results: Results, us: bool) -> dict[str, tuple[list[TableContent], list[ChartContent]]]:
    found: dict[str, tuple[list[TableContent], list[ChartContent]]] = {}
    series = results.series
    if "profile" in series:
        lift = str(series["profile"].attrs["lift"])
        data = _in_us(
            series["profile"],
            us,
            {
                "Height": "length",
                "Design pressure": "pressure",
                "Full head": "pressure",
                "Permissible": "pressure",
            },
        )
        height, *curves = [str(heading) for heading in data.columns]
        unit = curves[0].split("[")[1].rstrip("]")
        found["Pressures"] = (
            [_plain_table("Profile_data", data)],
            [
                ChartContent(
                    f"Pressure on lift {lift}, the panel used most",
                    f"Pressure [{unit}]", height,
                    [Curve(curve.split(" [", maxsplit=1)[0], "Profile_data", curve, height) for curve in curves],
                    alt_text=f"Design pressure normal to the face, full head and permissible pressure against height above the joint, lift {lift}.",
                )
            ],
        )  # fmt: skip
    if "growth" in series:
        lift = str(series["growth"].attrs["lift"])
        growth = _in_us(
            series["growth"].dropna(axis=1, how="all"), us,
            {"Strength": "strength", "Mean": "strength", "Upper bound": "strength"},
        )  # fmt: skip
        gates = _in_us(
            series["gates"], us, {"Required strength": "strength", "Predicted strength": "strength"}
        )
        age, strength, *others = (str(heading) for heading in growth.columns)
        _, planned, required, predicted = (str(heading) for heading in gates.columns)
        found["Strength ready"] = (
            [_plain_table("Growth_data", growth), _plain_table("Gate_data", gates)],
            [
                ChartContent(
                    f"Strength at the anchors of lift {lift}, the least margin",
                    age, strength,
                    [
                        Curve("Predicted strength", "Growth_data", age, strength),
                        *(Curve(name.split(" [", maxsplit=1)[0], "Growth_data", age, name) for name in others),
                        Curve("Required at the planned hour", "Gate_data", planned, required, "markers"),
                        Curve("Predicted at the planned hour", "Gate_data", planned, predicted, "markers"),
                    ],
                    alt_text=f"Predicted strength against age with the strengths that the gates require, lift {lift}.",
                )
            ],
        )  # fmt: skip
    if "board" in series and len(series["board"]):
        found["Readiness board"] = board_chart(series["board"], len(results.frames["Readiness board"]))
    if "sensitivity" in series:
        lift = str(series["sensitivity"].attrs["lift"])
        data = _in_us(series["sensitivity"], us, {"Rise rate": "rate of rise"})
        if us:
            data = data.rename(columns=_degrees_fahrenheit)
        rate, *temperatures = [str(heading) for heading in data.columns]
        found["Working limits"] = (
            [_plain_table("Sensitivity_data", data, decimals=3)],
            [
                ChartContent(
                    f"Lift {lift}: ratio against rise rate and concrete temperature",
                    rate, "Greatest ratio of panel and anchors",
                    [Curve(temperature, "Sensitivity_data", rate, temperature) for temperature in temperatures],
                    alt_text=f"Greatest ratio of panel and anchors against rise rate at five temperatures, lift {lift}.",
                    limit=1.0,
                )
            ],
        )  # fmt: skip
    if "demand" in series:
        data = series["demand"]
        number = "No."
        stages = [str(heading) for heading in data.columns if heading not in ("Lift", number)]
        found["Anchor demand"] = (
            [_plain_table("Ratio_data", data)],
            [
                ChartContent(
                    "Demand ratio of the anchors by lift", "Lift, in the order of the sheet Lifts", "Demand ratio",
                    [Curve(stage, "Ratio_data", number, stage, "markers") for stage in stages],
                    alt_text="Greatest demand ratio of every lift for each stage, with the limit of 1.",
                    limit=1.0,
                )
            ],
        )  # fmt: skip
    return found


_MEASURE_OF_UNIT = {"m": "length", "kPa": "pressure", "kN/m": "line load", "kN": "force", "kN*m": "moment"}


def _by_unit(frame: pd.DataFrame, us: bool) -> pd.DataFrame:
    """Return a chart's frame in the units of the result sheets, each column by the unit in its heading."""
    named = (str(heading).rstrip("]").split(" [") for heading in frame.columns)
    return _in_us(frame, us, {name: _MEASURE_OF_UNIT.get(unit, "") for name, unit in named})


def _rise_charts(results: Results, us: bool) -> dict[str, tuple[list[TableContent], list[ChartContent]]]:
    """Return tables and charts of ``Filling`` and ``Strongbacks``."""
    found: dict[str, tuple[list[TableContent], list[ChartContent]]] = {}
    lift = str(results.series["filling, by hour"].attrs["lift"])
    by_hour = _by_unit(results.series["filling, by hour"], us)
    by_height = _by_unit(results.series["filling, by height"], us)
    hour, *levels = [str(heading) for heading in by_hour.columns]
    levels = [heading for heading in levels if heading.startswith("Level")]
    height, *hours = [str(heading) for heading in by_height.columns]
    shown = [*hours[: -1 : -(-(len(hours) - 1) // 4)], hours[-1]]
    found["Filling profile"] = (
        [_plain_table("Filling_by_height", by_height), _plain_table("Filling_by_hour", by_hour)],
        [
            ChartContent(
                f"Pressure on lift {lift} while it fills", f"Pressure [{hours[0].split('[')[1]}", height,
                [Curve(curve.split(" [", maxsplit=1)[0], "Filling_by_height", curve, height) for curve in shown],
                alt_text=f"Pressure against height above the joint at some hours of the filling, and their envelope, lift {lift}.",
            ),
            ChartContent(
                f"Level of the concrete in lift {lift}", hour, f"Level [{levels[0].split('[')[1]}",
                [
                    Curve(curve.split(" [", maxsplit=1)[0].split(", ")[1], "Filling_by_hour", hour, curve,
                          "steps" if "layers" in curve else "line")
                    for curve in levels
                ],
                alt_text=f"Level of the concrete against the hour of the filling, lift {lift}.",
            ),
        ],
    )  # fmt: skip
    if "envelope" in results.series:
        lift = str(results.series["envelope"].attrs["lift"])
        data = _by_unit(results.series["envelope"], us)
        height, *curves = [str(heading) for heading in data.columns]
        charts = [
            ChartContent(
                f"{name} of a strongback of lift {lift}, every level", f"{name} [{own[0].split('[')[1]}", height,
                [Curve(curve.split(" [", maxsplit=1)[0].split(", ")[1], "Envelope_data", curve, height) for curve in own],
                alt_text=f"Greatest and least {name.lower()} over every level of the concrete against height, lift {lift}.",
            )
            for name, own in (("Moment", curves[:2]), ("Shear force", curves[2:]))
        ]  # fmt: skip
        found["Strongbacks"] = ([_plain_table("Envelope_data", data)], charts)
    return found


def _verdict_line(frame: pd.DataFrame) -> str:
    tally = frame["Verdict"].value_counts()
    words = ("Within", "Near limit", "Exceeds", "Outside scope", "Not computed")
    return "Rows: " + ", ".join(f"{int(tally.get(word, 0))} {word}" for word in words) + "."


def contents(
    results: Results,
    flags: tuple[Sequence[Entry], Sequence[Event]] | None,
    facts: Sequence[tuple[str, Any]],
) -> list[SheetContent]:
    """Return every result sheet.

    Parameters
    ----------
    results
        What was computed.
    flags
        The flags with what the reviewer gave them, and their history; ``None`` at a first run.
    facts
        Project, revision, digest and time, shown on top of every sheet.
    """
    us = results.result_units == "US"
    paper = "Letter" if us else "A4"
    charts = _charts(results, us) | _rise_charts(results, us) | fit_charts(results, us)
    if "heat" in results.series:
        charts["Lift heat"] = heat_chart(results.series["heat"], us)
    sheets = []
    for name in RESULT_SHEETS[: RESULT_SHEETS.index(CHART_DATA)]:
        lines = [PURPOSE[name], CAUTION]
        if name == "Flags":
            entries, events = flags or lived(results.findings, {}, (), time="")
            frame = flag_frame(results.findings, entries)
            tally = counts(results.findings)
            told = [f"{number} {level}" for level, number in tally.items() if level != "Input fault"]
            stand = Counter(entry.state for entry in entries)
            lines.insert(1, ", ".join(told) + ".")
            lines.insert(2, ", ".join(f"{stand[word]} {word}" for word in (OPEN, SIGNED, OPEN_AGAIN)) + ".")
        elif name == "Flag history":
            frame = history_frame(events)
        elif name == "Run record":
            frame = pd.DataFrame(results.record, columns=["What", "Record"])
        else:
            frame = results.frames.get(name, pd.DataFrame())
        if "Verdict" in frame.columns:
            lines.insert(1, _verdict_line(frame))
        if name == "Hold points":
            reasons = [text for what, text in results.record if what == HIGHER_CATEGORY]
            lines.insert(1, f"{HIGHER_CATEGORY}: {'; '.join(reasons)}.")
        if name == "Run record":
            table = TableContent("Run_record", [ColumnLook("What", Look.TEXT, 30.0), ColumnLook("Record", Look.TEXT, 110.0)],
                                 [list(row) for row in results.record])  # fmt: skip
        elif name != "Filling profile":
            table = _table(name.replace(" ", "_"), name, frame, us)
        beside, drawn = charts.get(name, ([], []))
        tables = beside if name == "Filling profile" else [table]
        for key, title, looks in (
            ("Embed counts", "Embed_totals", EMBED_TOTALS),
            ("Bar counts", "Bar_totals", BARS),
            ("Strength fits", "Strength_fits", FIT_TESTS),
            *SITE_TABLES,
        ):
            if name == key:
                tables += [
                    _table(f"{title}_{suffix.split(', ')[1].replace(' ', '_')}", name, total, us, looks)
                    for suffix, total in results.frames.items()
                    if suffix.startswith(f"{name}, ") and len(total)
                ]
        if name == "Lift heat" and "heat trials" in results.series:
            tables.append(trial_table(results.series["heat trials"], us))
        if name == "Working limits" and "sensitivity" in results.series:
            (grid,) = charts[name][0]
            tables.append(TableContent("Sensitivity", grid.columns, grid.rows))
        sheets.append(
            SheetContent(
                name, name, lines, tables, drawn, footer=f"{dict(facts).get('Project', '')}", landscape=True, paper=paper,
                freeze_columns=KEY_COLUMNS.get(name, 2), facts=facts,
            )
        )  # fmt: skip
    data = [table for key, (tables, _) in charts.items() if key != "Filling profile" for table in tables]
    name = CHART_DATA
    sheets.append(
        SheetContent(
            name,
            name,
            [PURPOSE[name], NOT_PRINTED, CAUTION],
            data,
            footer=sheets[0].footer,
            paper=paper,
            facts=facts,
            prints=False,
        )
    )
    if results.inputs:
        sheets.append(as_run_sheet(results.inputs, facts=facts, footer=sheets[0].footer, paper=paper))
    if DIMENSIONS in results.frames:
        frame = results.frames[DIMENSIONS].reset_index(drop=True)
        sheets.append(
            dimension_sheet(
                _table("Dimension_rows", DIMENSIONS, frame, us), shown_frame(DIMENSIONS, frame, us), facts,
                [PURPOSE[DIMENSIONS], CAUTION], sheets[0].footer, paper,
            )
        )  # fmt: skip
    if "cards" in results.series:
        cards = results.series["cards"]
        shown = str(cards.attrs.get("shown", ""))
        sheets += card_sheets(cards, shown, facts, CAUTION, sheets[0].footer, paper, us=us)
    if results.hand is not None:
        sheets += hand_sheets(results.hand, facts, CAUTION, sheets[0].footer, paper)
    return sheets
