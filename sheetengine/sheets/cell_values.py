"""What one column of raw cells holds: numbers, names, choices, dates, and every fault in them."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from sheetengine.cells import CellRef
from sheetengine.columns import Column, hours_of
from sheetengine.findings import Code, Finding, Level
from sheetengine.job import Item
from sheetengine.sheets.declarations import Heading, ItemDeclaration, Kind, nearest, plain
from sheetengine.units import from_base, to_base

Report = Callable[[Finding], None]
Declared = Heading | ItemDeclaration

_YES = {"yes": 1.0, "y": 1.0, "true": 1.0, "no": 0.0, "n": 0.0, "false": 0.0}


def fault(
    code: Code, at: CellRef, message: str, clears: str, found: object = None, heading: str = ""
) -> Finding:
    """Return an input fault."""
    return Finding(Level.FAULT, code, at, message, found=found, clears=clears, heading=heading)


def near_miss(name: str, meant: str, default: str, at: CellRef) -> Finding:
    """Return the flag of a name that is not ours and nearly one that is missing and has a default."""
    return Finding(
        Level.STOP,
        Code.MISSING_HEADING,
        at,
        f"“{name}” is not read, and {meant} is missing; {default or 'a blank'} is taken for it.",
        found=name,
        limit=meant,
        clears=f"Rename it to {meant} if that is meant, or accept that it is a column or line of your own.",
        keys=(at.sheet, name),
        heading=meant,
    )


def unknown_name(item: Item, name: str, names: Sequence[str], is_not: str, otherwise: str) -> Finding:
    """Return the fault of a line of ``Job`` that names what is not there.

    Parameters
    ----------
    item, name
        The line, and what it is called.
    names
        What it could name.
    is_not
        What is wrong, behind the text of the line.
    otherwise
        What to do where nothing of a similar name is there.
    """
    near = nearest(item.text, names)
    return fault(
        Code.UNKNOWN_NAME,
        item.at,
        f"{name} “{item.text}”: {is_not}",
        f"Did you mean {near}?" if near else otherwise,
        item.text,
        name,
    )


def is_blank(value: object) -> bool:
    """Return whether a cell holds nothing, or nothing but spaces."""
    return value is None or (isinstance(value, str) and not value.strip())


def shown(value: object) -> str:
    """Return a raw value as a message quotes it."""
    if isinstance(value, str):
        return f"“{value}”" if len(value) <= 60 else f"“{value[:57]}…”"
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, dt.datetime):
        return f"{value:%Y-%m-%d %H:%M}"
    return str(value)


def name_text(value: object) -> str:
    """Return a key or a name as text: 7 and 7.0 and “ 7 ” are one name."""
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value).strip()


def _example(declared: Declared) -> str:
    if declared.kind is Kind.MOMENT:
        return "Type a date with its hour, for example 2031-04-07 06:00."
    if declared.kind is Kind.YES_NO:
        return "Type yes or no."
    if declared.kind is Kind.CHOICE:
        return "Choose one of: " + ", ".join(declared.choices) + "."
    return "Type a plain number; the unit stands in the heading."


def number_of(declared: Declared, value: object, at: CellRef, report: Report) -> float:
    """Return a cell's number; report what is no number and return ``nan``."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        if isinstance(value, (dt.datetime, dt.date, dt.time)):
            hint = "The cell is formatted as a date. Set its format to Number and type the value again."
        elif isinstance(value, str) and "," in value:
            hint = "It is stored as text, perhaps because of a comma. Type the number again with this program's decimal mark."
        else:
            hint = _example(declared)
        report(
            fault(
                Code.NOT_A_NUMBER,
                at,
                f"{declared.name} is {shown(value)}, which is no number.",
                hint,
                value,
                declared.name,
            )
        )
        return math.nan
    if not math.isfinite(value):
        report(
            fault(
                Code.NOT_A_NUMBER,
                at,
                f"{declared.name} is not finite.",
                _example(declared),
                value,
                declared.name,
            )
        )
        return math.nan
    return float(value)


def moment_hours(declared: Declared, value: object, at: CellRef, report: Report) -> float:
    """Return a cell's date and time in hours; report what is none and return ``nan``."""
    if isinstance(value, dt.datetime):
        return hours_of(value)
    if isinstance(value, dt.date):
        return hours_of(dt.datetime(value.year, value.month, value.day))
    what = "a plain number" if isinstance(value, (int, float)) and not isinstance(value, bool) else "no date"
    report(
        fault(
            Code.NOT_A_DATE,
            at,
            f"{declared.name} is {shown(value)}, which is {what}.",
            _example(declared),
            value,
            declared.name,
        )
    )
    return math.nan


def choice_of(declared: Declared, value: object, at: CellRef, report: Report) -> str:
    """Return the list entry that a cell names; report one that is not on the list and return an empty text."""
    for choice in declared.choices:
        if plain(choice) == plain(name_text(value)):
            return choice
    near = nearest(name_text(value), declared.choices)
    hint = f"Did you mean {near}? " if near else ""
    report(
        fault(
            Code.NOT_ON_LIST,
            at,
            f"{declared.name} is {shown(value)}, which is not on its list.",
            hint + _example(declared),
            value,
            declared.name,
        )
    )
    return ""


def yes_no_of(declared: Declared, value: object, at: CellRef, report: Report) -> float:
    """Return 1.0 for yes and 0.0 for no; report anything else and return ``nan``."""
    if isinstance(value, bool):
        return float(value)
    if isinstance(value, str) and plain(value) in _YES:
        return _YES[plain(value)]
    report(
        fault(
            Code.NOT_ON_LIST,
            at,
            f"{declared.name} is {shown(value)}, which is neither yes nor no.",
            _example(declared),
            value,
            declared.name,
        )
    )
    return math.nan


def _limit_text(declared: Declared, base_value: float, unit: str) -> str:
    value = base_value
    if declared.kind is Kind.NUMBER and unit:
        value = float(from_base(np.array([base_value]), unit, declared.measure)[0])
    return f"{value:.6g}" + (f" {unit}" if unit else "")


def bound_fault(
    declared: Declared, base_value: float, shown_value: str, at: CellRef, unit: str
) -> Finding | None:
    """Return the fault of a number that is impossible, ``None`` where it is possible."""
    if math.isnan(base_value):
        return None
    if base_value < declared.at_least:
        bound = f"at least {_limit_text(declared, declared.at_least, unit)}"
    elif base_value <= declared.above:
        bound = f"more than {_limit_text(declared, declared.above, unit)}"
    elif base_value > declared.at_most:
        bound = f"at most {_limit_text(declared, declared.at_most, unit)}"
    elif isinstance(declared, Heading) and declared.whole and not float(base_value).is_integer():
        bound = "a whole number"
    else:
        return None
    return fault(
        Code.IMPOSSIBLE_VALUE,
        at,
        f"{declared.name} is {shown_value}; it must be {bound}.",
        "Check the value and the unit in the heading.",
        shown_value,
        declared.name,
    )


def read_numbers(
    heading: Heading, values: Sequence[object], places: Sequence[CellRef], unit: str, report: Report
) -> Column:
    """Return a column of numbers in the engine's unit, ``nan`` for blanks; report every fault."""
    if set(map(type, values)) <= {int, float} and np.isfinite(np.array(values, dtype=np.float64)).all():
        raw = np.array(values, dtype=np.float64)
    else:
        raw = np.array(
            [
                math.nan if is_blank(value) else number_of(heading, value, at, report)
                for value, at in zip(values, places, strict=True)
            ],
            dtype=np.float64,
        )
    column = to_base(raw, unit, heading.measure) if heading.measure.base else raw
    bad = (column < heading.at_least) | (column <= heading.above) | (column > heading.at_most)
    if heading.whole:
        bad |= ~np.isnan(column) & (column != np.round(column))
    for item in np.flatnonzero(bad).tolist():
        found = bound_fault(heading, float(column[item]), f"{raw[item]:g} {unit}".strip(), places[item], unit)
        if found is not None:
            report(found)
    return column


def questionable(
    heading: Heading, column: Column, places: Sequence[CellRef], keys: Sequence[tuple[str, ...]], unit: str
) -> list[Finding]:
    """Return a flag for each number outside the heading's likely band."""
    if heading.likely is None:
        return []
    low, high = heading.likely
    flags = []
    for item in np.flatnonzero((column < low) | (column > high)).tolist():
        value = _limit_text(heading, float(column[item]), unit)
        band = f"{_limit_text(heading, low, unit)} to {_limit_text(heading, high, unit)}"
        flags.append(
            Finding(
                Level.ACCEPT,
                Code.PLAUSIBILITY,
                places[item],
                f"{heading.name} is {value}, outside the usual {band}; a slip of the decimal mark or of the unit looks like this.",
                found=value,
                limit=band,
                clears="Correct the value, or accept it with initials and the reason.",
                keys=keys[item],
                heading=heading.name,
            )
        )
    return flags


def read_texts(
    heading: Heading, values: Sequence[object], places: Sequence[CellRef], report: Report
) -> list[Any]:
    """Return a column of texts, empty for blanks; report choices that are not on the list."""
    found: list[Any] = []
    for value, at in zip(values, places, strict=True):
        if is_blank(value):
            found.append("")
        elif heading.kind is Kind.CHOICE:
            found.append(choice_of(heading, value, at, report))
        else:
            found.append(name_text(value))
    return found
