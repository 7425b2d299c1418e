"""Content of an empty book: every input sheet from its declaration, in metric or US units."""

from __future__ import annotations

import numpy as np

from sheetengine.sheets.declarations import Heading, ItemDeclaration, Kind, SheetDeclaration
from sheetengine.sheets.guide import guide_sections
from sheetengine.sheets.job_items import (
    ANCHOR_METHODS,
    JOB_HEADINGS,
    JOB_ITEMS,
    JOB_SHEET,
    PRESSURE_METHODS,
    SAFETY_BASES,
)
from sheetengine.sheets.optional_inputs import INPUT_SHEETS, OPTIONAL_SHEETS
from sheetengine.template_content import Check, ColumnList, EntryColumn, EntrySheet, TemplateContent
from sheetengine.units import from_base

BLANK_ROWS = {"Mixes": 40, "Form units": 40, "Anchor types": 40, "Lifts": 200}
_OTHER_BLANK_ROWS = 200
YES_NO = ("yes", "no")
_MOMENT_FORMAT = "yyyy-mm-dd hh:mm"
_MEANING = "What it means"

_METHODS = {
    ("EN partial factors", False): ("DIN 18218:2010", "EN 1992-4:2018"),
    ("EN partial factors", True): ("DIN 18218:2010", "EN 1992-4:2018"),
    ("ACI service load", False): ("ACI 347R-14 SI", "ACI 318M-19"),
    ("ACI service load", True): ("ACI 347R-14 inch-pound", "ACI 318-19"),
    ("ACI strength", False): ("ACI 347R-14 SI", "ACI 318M-19"),
    ("ACI strength", True): ("ACI 347R-14 inch-pound", "ACI 318-19"),
}


def usual_methods(safety: str, *, us: bool) -> tuple[str, str]:
    """Return the pressure method and the anchor method that usually go with a safety basis.

    >>> usual_methods("ACI strength", us=True)
    ('ACI 347R-14 inch-pound', 'ACI 318-19')

    Raises
    ------
    ValueError
        The safety basis is not one of the list.
    """
    _must_be_one_of(safety, SAFETY_BASES, "safety basis")
    return _METHODS[safety, us]


def template_content(*, us: bool, safety: str, pressure: str = "", anchor: str = "") -> TemplateContent:
    """Return the content of an empty book.

    Parameters
    ----------
    us
        Whether headings carry US customary units.
    safety
        Safety basis, preset on ``Job``.
    pressure, anchor
        Methods, preset on ``Job``; the usual ones of the safety basis where they are empty.

    Returns
    -------
    TemplateContent
        Guide, input sheets and lists.

    Raises
    ------
    ValueError
        A choice is not one of its list; the message gives the list.
    """
    usual = usual_methods(safety, us=us)
    pressure, anchor = pressure or usual[0], anchor or usual[1]
    _must_be_one_of(pressure, PRESSURE_METHODS, "pressure method")
    _must_be_one_of(anchor, ANCHOR_METHODS, "anchor method")
    preset = {
        "Safety basis": safety,
        "Pressure method": pressure,
        "Anchor method": anchor,
        "Result units": "US" if us else "metric",
    }
    return TemplateContent(
        title="Mass-concrete lifts: forms, anchors and readiness",
        guide=guide_sections(us=us, safety=safety, pressure=pressure, anchor=anchor),
        sheets=[_job_sheet(us, preset), *(_entry_sheet(sheet, us) for sheet in INPUT_SHEETS)],
        paper="Letter" if us else "A4",
        words=_words(),
        lists=_lists(),
    )


def _must_be_one_of(text: str, among: tuple[str, ...], what: str) -> None:
    if text not in among:
        raise ValueError(f"{text!r} is no {what}; it is one of: {', '.join(among)}")


def _list_name(key: str) -> str:
    return f"List_{key}"


def _words() -> dict[str, tuple[str, ...]]:
    words = {_list_name(item.name.lower().replace(" ", "_").replace("-", "_")): item.choices
             for item in JOB_ITEMS if item.choices}  # fmt: skip
    for sheet in INPUT_SHEETS:
        words.update(
            {_list_name(heading.key): heading.choices for heading in sheet.headings if heading.choices}
        )
    return words


def _lists() -> list[ColumnList]:
    """Return the lists of names that other sheets refer to."""
    targets = {heading.refers for sheet in INPUT_SHEETS for heading in sheet.headings if heading.refers}
    return [
        ColumnList(_names_of(sheet.name, heading.key), sheet.name, column)
        for sheet in INPUT_SHEETS
        for column, heading in enumerate(sheet.headings, start=1)
        if (sheet.name, heading.key) in targets
    ]


def _names_of(sheet: str, key: str) -> str:
    return f"Names_{sheet.replace(' ', '_')}_{key}"


def _entry_sheet(sheet: SheetDeclaration, us: bool) -> EntrySheet:
    leading = 0
    while leading < len(sheet.headings) and sheet.headings[leading].kind is Kind.KEY:
        leading += 1
    return EntrySheet(
        name=sheet.name,
        title=sheet.name,
        purpose=sheet.purpose,
        table=f"In_{sheet.name.replace(' ', '_')}",
        columns=[_column(heading, us) for heading in sheet.headings],
        keys=max(leading, 1),
        blank_rows=BLANK_ROWS.get(sheet.name, _OTHER_BLANK_ROWS),
        optional=sheet in OPTIONAL_SHEETS,
    )


def _column(heading: Heading, us: bool) -> EntryColumn:
    title = heading.title(us)
    longest_word = max(len(word) for word in title.split())
    number_format = "General"
    if heading.kind is Kind.MOMENT:
        number_format = _MOMENT_FORMAT
    elif heading.key == "shape_code":
        number_format = "00"
    return EntryColumn(
        heading=title,
        note=_note(heading, us),
        width=max(heading.width, longest_word + 3.0),
        required=heading.required,
        number_format=number_format,
        right=heading.kind is Kind.NUMBER,
        check=_check(heading, us, _list_name(heading.key)),
    )


def _note(heading: Heading, us: bool) -> str:
    lines = [heading.meaning]
    if heading.choices:
        lines.append(f"One of: {'; '.join(heading.choices)}.")
    if heading.kind is Kind.YES_NO:
        lines.append("yes or no.")
    if heading.refers:
        lines.append(f"A name from {heading.refers[0]}.")
    lines.append("Required." if heading.required else _blank_means(heading, us))
    return "\n".join(line for line in lines if line)


def _blank_means(what: Heading | ItemDeclaration, us: bool) -> str:
    if not what.default_text:
        return "May stay blank."
    text = what.default_text
    text = text if text.startswith("blank:") else f"blank: {text}"
    if us and isinstance(what.default, float) and what.kind is Kind.NUMBER and what.measure.base:
        unit = what.measure.us
        if unit != what.measure.metric and what.default:
            text += f", that is {_figure(_in_unit(what.default, what, us))} {unit}"
    return text[0].upper() + text[1:] + "."


def _in_unit(value: float, what: Heading | ItemDeclaration, us: bool) -> float:
    unit = what.measure.us if us else what.measure.metric
    return float(from_base(np.array([value]), unit, what.measure)[0])


def _figure(value: float) -> str:
    return f"{value:.4g}" if abs(value) < 1e4 else f"{value:.0f}"


def _check(what: Heading | ItemDeclaration, us: bool, list_name: str) -> Check | None:
    if what.kind is Kind.CHOICE:
        return Check(
            "list", f"{what.name} is one of the list. Pick a word from the arrow beside the cell.", list_name
        )
    if what.kind is Kind.YES_NO:
        return Check("list", f"{what.name}: write yes or no.", words=YES_NO)
    if what.kind is Kind.MOMENT:
        return Check("moment", f"{what.name}: write date and time, for example 2031-04-01 07:30.")
    if isinstance(what, Heading) and what.refers:
        sheet, key = what.refers
        return Check(
            "list",
            f"This name is not on the sheet {sheet}. Add it there, or pick one from the arrow beside the cell.",
            _names_of(sheet, key),
            strict=False,
        )
    if what.kind is Kind.NUMBER:
        return _number_check(what, us)
    return None


def _number_check(what: Heading | ItemDeclaration, us: bool) -> Check:
    bounds = {name: _in_unit(getattr(what, name), what, us) for name in ("at_least", "above", "at_most")
              if np.isfinite(getattr(what, name))}  # fmt: skip
    unit = what.measure.us if us else what.measure.metric
    words = {"at_least": "at least", "above": "above", "at_most": "at most"}
    said = " and ".join(f"{words[name]} {_figure(value)}" for name, value in bounds.items())
    whole = isinstance(what, Heading) and what.whole
    number = "whole number" if whole else "number"
    band = f" {said}" if said else ""
    of_unit = f", in {unit}" if unit else ""
    place = "beside it" if isinstance(what, ItemDeclaration) else "in its heading"
    way_out = f" If you changed the unit {place}, choose Yes or Ignore." if unit and said else ""
    return Check(
        "whole" if whole else "number",
        f"{what.name}: write a {number}{band}{of_unit}. Leave the unit out of the cell.{way_out}",
        at_least=bounds.get("at_least"),
        above=bounds.get("above"),
        at_most=bounds.get("at_most"),
        strict=not (unit and said),
    )


def _job_sheet(us: bool, preset: dict[str, str]) -> EntrySheet:
    rows = []
    checks = []
    for item in JOB_ITEMS:
        rows.append((item.name, preset.get(item.name), item.unit(us) or None, _item_meaning(item, us)))
        checks.append(_check(item, us, _list_name(item.name.lower().replace(" ", "_").replace("-", "_"))))
    name, value, unit = JOB_HEADINGS
    columns = [
        EntryColumn(name, "Name of the setting. Leave the names as they are.", 30.0, required=True),
        EntryColumn(value, "Write the value here. An item in bold must have one.", 28.0, required=True),
        EntryColumn(
            unit,
            "Unit of the value. It may be changed to another unit of the same kind, such as kPa to psf.",
            9.0,
        ),
        EntryColumn(_MEANING, "What the item does, and what holds where it stays blank. Not read.", 84.0),
    ]
    return EntrySheet(
        name=JOB_SHEET,
        title="Job",
        purpose="One row a setting: the project, the safety basis, the methods and the limits of this book.",
        table="In_Job",
        columns=columns,
        keys=1,
        rows=rows,
        checks=checks,
        checked_column=2,
        emphasised=[item.required for item in JOB_ITEMS],
    )


def _item_meaning(item: ItemDeclaration, us: bool) -> str:
    if item.required:
        return f"{item.meaning} Required."
    blank = _blank_means(item, us)
    return item.meaning if "Blank:" in item.meaning else f"{item.meaning} {blank}"
