"""A small book of an invented pier, then damaged: one fault after the other, each of a kind that happens."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import gravity_dam
from filling import BookData, headings_of, put, row_of
from openpyxl.workbook import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from sheetengine.books.template import HEAD_ROW

JOB = gravity_dam.JOB | {
    "Project": "A book of faults",
    "Structure": "Invented pier, two blocks: every fault in it is meant",
}
HYPERBOLA = {
    "Strength curve": "Hyperbolic",
    "Ultimate strength": 24.5,
    "Rate constant": 0.20,
    "Strength starts": 18,
}
"""In place of the mass mix's specimens, which this book does not have."""


def book() -> BookData:
    """Return the data of the book before it is damaged."""
    lifts = [row for row in gravity_dam.lifts() if row["Block"] in ("M7", "M8") and row["Lift"] <= 4]
    return BookData(
        us=False,
        job=JOB,
        sheets={
            "Mixes": (gravity_dam.MIXES[0] | HYPERBOLA, *gravity_dam.MIXES[1:]),
            "Form units": gravity_dam.UNITS,
            "Anchor types": gravity_dam.ANCHORS,
            "Lifts": lifts,
            "Bars": [row for row in gravity_dam.bars() if row["Block"] == "M8" and row["Lift"] <= 3],
            "Embeds": [row for row in gravity_dam.embeds() if row["Block"] == "M8" and row["Lift"] <= 3],
            "Stock": gravity_dam.STOCK,
            "Cranes": gravity_dam.CRANES,
        },
    )


def damage(workbook: Workbook) -> None:
    """Put the faults into the filled book; the tables become plain ranges, as in a book that was pasted together."""
    for sheet in workbook.worksheets:
        sheet.tables.clear()
    for harm in (_job, _mixes, _units_and_anchors, _lift_headings, _lift_cells, _other_sheets):
        harm(workbook)


def _setter(sheet: Worksheet, heading: str) -> Callable[[int, Any], None]:
    column = headings_of(sheet)[heading]

    def set_cell(row: int, value: Any) -> None:
        put(sheet, row, column, value)

    return set_cell


def _blank(sheet: Worksheet, row: int, heading: str) -> None:
    sheet.cell(row, headings_of(sheet)[heading]).value = None


def _rename(sheet: Worksheet, heading: str, title: str) -> None:
    sheet.cell(HEAD_ROW, headings_of(sheet)[heading]).value = title


def _job(workbook: Workbook) -> None:
    sheet = workbook["Job"]
    rows = {sheet.cell(row, 1).value: row for row in range(HEAD_ROW + 1, sheet.max_row + 1)}
    put(sheet, rows["Anchor method"], 1, "Ancor method")  # a required item that is missing, with a near miss
    put(sheet, rows["Safety basis"], 2, "EN partial factor")  # not on its list, with a near miss
    put(sheet, rows["Concrete cracked"], 2, "maybe")  # neither yes nor no
    put(sheet, rows["Review threshold"], 2, 1.5)  # beyond its bound
    put(sheet, rows["Foundation strength"], 2, "twenty-five")  # a word for a number
    sheet.cell(rows["Storm wind"], 3).value = None  # no unit
    put(sheet, rows["Stripping strength"], 3, "m3")  # a unit of another dimension
    put(sheet, rows["Crane hours per move"], 1, "Revision")  # an item that stands twice


def _mixes(workbook: Workbook) -> None:
    sheet = workbook["Mixes"]
    first, second = HEAD_ROW + 1, HEAD_ROW + 2
    _rename(sheet, "Unit weight", "Unit weight [kN/ft9]")  # an unknown unit
    _blank(sheet, first, "Ultimate strength")  # a hyperbolic curve without its parameter
    _setter(sheet, "Retarder")(first, "perhaps")  # neither yes nor no
    _setter(sheet, "Maturity function")(second, "Nurse-Saul")
    _setter(sheet, "Datum temperature")(second, 12)
    _setter(sheet, "Reference temperature")(second, 10)  # not above the datum


def _units_and_anchors(workbook: Workbook) -> None:
    units, anchors = workbook["Form units"], workbook["Anchor types"]
    first, second = HEAD_ROW + 1, HEAD_ROW + 2
    _rename(units, "Permissible pressure", "Permissible pressure [m]")  # a length for a pressure
    _setter(units, "Foot depth")(first, 0.6)  # foot above the anchors
    _setter(units, "Anchors per unit")(second, 2.5)  # not a whole number
    column = headings_of(units)["Mass"]
    units.merge_cells(start_row=first, end_row=second, start_column=column, end_column=column)
    _setter(anchors, "Yield strength")(first, 1100)  # above the tensile strength
    _blank(anchors, second, "Head diameter")  # neither head diameter nor bearing area


def _lift_headings(workbook: Workbook) -> None:
    sheet = workbook["Lifts"]
    _rename(sheet, "Face length", "Face lenght [m]")  # missing, with a near miss
    _rename(sheet, "Placing rate", "Rise rate [m/h]")  # a heading that stands twice
    _rename(sheet, "Air temperature", "Air temperature")  # no unit


def _lift_cells(workbook: Workbook) -> None:
    sheet = workbook["Lifts"]
    m7, m8 = ({lift: row_of(sheet, Block=block, Lift=lift) for lift in range(1, 5)} for block in ("M7", "M8"))
    _setter(sheet, "Height")(m8[1], -1.5)  # negative
    _setter(sheet, "Concrete temperature")(m8[2], "12,5")  # text for a number
    _setter(sheet, "Mix")(m8[2], "F35 facng")  # unknown, with a near miss
    _setter(sheet, "Placed")(m8[3], "12 November 2031, 7 am")  # a date as text
    _setter(sheet, "Unit")(m8[3], "P33X")  # unknown
    _setter(sheet, "Lift")(m8[4], 3)  # a lift that stands twice
    column = headings_of(sheet)["Concrete temperature"]
    sheet.cell(m7[1], column).value = "=12+3"  # never recalculated
    error = sheet.cell(m7[2], column)
    error._value, error.data_type = "#DIV/0!", "e"
    _setter(sheet, "Placed")(m7[3], dt.datetime(2031, 10, 25, 7, 0))  # before the lift below
    _setter(sheet, "Stripped")(m7[2], dt.datetime(2031, 11, 1, 7, 0))  # before it is placed
    _blank(sheet, m7[4], "Anchor spacing")  # a required value
    _setter(sheet, "End distance")(m7[4], 0)  # not above its bound


def _other_sheets(workbook: Workbook) -> None:
    bars, embeds, stock = workbook["Bars"], workbook["Embeds"], workbook["Stock"]
    first = HEAD_ROW + 1
    _setter(bars, "Members")(first, 1.5)  # not a whole number
    _setter(bars, "A")(first + 1, "3,000")  # text for a number
    _setter(embeds, "Lift")(first, 17)  # a lift that is not there
    _setter(embeds, "Fate")(first + 1, "lent")  # not on its list
    _setter(stock, "On hand")(first, -5)  # negative
