"""The pour card: one page for the crew, of a lift chosen from a list, and the data that it picks from."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from sheetengine.content import (
    Choice,
    ColumnLook,
    Formula,
    Look,
    SheetContent,
    TableContent,
    cell_of,
    column_of,
)

if TYPE_CHECKING:
    import pandas as pd

CARD, CARD_DATA = "Pour card", "Pour card data"
CARD_SHEETS = (CARD, CARD_DATA)
_CHOICE, _DATA = "Pour_card_choice", "Pour_card_data"
CHOSEN = "Lift"
"""What stands before the cell with the drop-down list."""
BOX = "☐"
_TEXT, _NUMBER, _ENTRY = Look.TEXT, Look.NUMBER, Look.ENTRY
_WIDTHS = (27.0, 50.0, 12.0, 12.0, 12.0, 12.0)
FACTS = ("Placing starts", "Height", "Volume", "Planned rise", "Anchors to set", "Anchors set by")
STOP_RULES = (
    ("The level is above the greatest rate for the temperature measured",
     "Stop until it is back below that line. Take the line of the temperature measured, or the next colder one."),
    ("The concrete is colder than planned, or colder than the lowest line",
     "Place by the line of that temperature; below the lowest line stop. Tell the temporary-works co-ordinator (TWC): the hours at "
     "which the lift may be stripped and loaded move too."),
    ("A stop lasts longer than the time for which a layer may stay open",
     "Stop. The joint and the rate are decided by the engineer. A release in writing comes before placing goes on, and the rate "
     "begins anew at no more than the line says: what was lost is not made up."),
    ("Slump, mix, admixture or dose is not as assumed, or the concrete does not set",
     "Stop. Count the concrete as a fluid over the whole height placed. Clear the front of the form and tell the TWC."),
    ("An anchor is missing, replaced, out of line or loose; the form moves, opens or lifts",
     "Stop. Nobody on or below the unit. No other bolt or anchor without the designer."),
    ("The wind is above the limit on this card", "Stop. Clear the platforms and secure the form as planned."),
)  # fmt: skip
"""When placing stops, and what is done then; common practice."""
SIGNED_BY = ("Card given out by (TWC)", "Received by (foreman)", "Placing begun / ended")


def chosen_lift_before(rows: Sequence[Sequence[Any]]) -> str:
    """Return the lift that stands chosen in an earlier card, empty where none does."""
    found = (str(row[1]) for row in rows if len(row) > 1 and row[0] == CHOSEN and row[1] is not None)
    return next(found, "")


class _Picked:
    """Reads the data of the lift that is shown, as live formulas or as plain values."""

    def __init__(self, data: pd.DataFrame, shown: str, *, live: bool) -> None:
        self.data, self.live = data, live
        names = [str(name) for name in data["Lift"]]
        self.row = names.index(shown) if shown in names else 0
        self.place = cell_of(_CHOICE, 0, "Row")

    def value(self, heading: str) -> Any:
        """Return the value of the lift shown, ``None`` for a number that is not known."""
        value = self.data[heading].iloc[self.row]
        if isinstance(value, str):
            return value
        return None if math.isnan(float(value)) else float(value)

    def cell(self, heading: str) -> Any:
        """Return what goes into a cell that shows a value of the data."""
        value = self.value(heading)
        if not self.live:
            return value
        found = f"INDEX({column_of(_DATA, heading)},{self.place})"
        return Formula(f'IF({self.place}>0,IF({found}="","",{found}),"")', "" if value is None else value)

    def product(self, first: str, second: str, divisor: str = "") -> Any:
        """Return the cell of a product of two values, over a third, blank where one of them is no number."""
        names = [name for name in (first, second, divisor) if name]
        values = [self.value(name) for name in names]
        result: Any = None
        if all(isinstance(value, float) for value in values):
            result = values[0] * values[1] / (values[2] if divisor else 1.0)
        if not self.live:
            return result
        places = [f"INDEX({column_of(_DATA, name)},{self.place})" for name in names]
        text = "*".join(places[:2]) + (f"/{places[2]}" if divisor else "")
        guard = f"COUNT({','.join(places)})={len(places)}"
        return Formula(f'IF({self.place}>0,IF({guard},{text},""),"")', "" if result is None else result)


def _looks(*columns: tuple[str, Look] | tuple[str, Look, int]) -> list[ColumnLook]:
    return [
        ColumnLook(column[0], column[1], width, column[2] if len(column) > 2 else 2)
        for column, width in zip(columns, _WIDTHS, strict=False)
    ]


def _lines(data: pd.DataFrame) -> int:
    return sum(str(name).startswith("Line ") for name in data.columns)


def _rates(picked: _Picked, *, us: bool) -> TableContent:
    rate, volume = ("ft/h", "yd3/h") if us else ("m/h", "m3/h")
    rows = [
        [
            picked.cell(f"Line {line}"), picked.cell(f"Reads {line}"), picked.cell(f"Greatest {line}"),
            picked.product(f"Greatest {line}", "Area"), picked.product(f"Greatest {line}", "Area", "Load"), picked.cell(f"Held by {line}"),
        ]
        for line in range(_lines(picked.data))
    ]  # fmt: skip
    least = [
        "Not slower than", "so that no layer stays open longer than the mix allows; blank: not asked", picked.cell("Least"),
        picked.product("Least", "Area"), picked.product("Least", "Area", "Load"), "layers",
    ]  # fmt: skip
    return TableContent(
        "How_fast_it_may_rise",
        _looks(("Concrete as measured", _TEXT), ("Reads", _TEXT), (f"Rise [{rate}]", _NUMBER), (f"Concrete [{volume}]", _NUMBER, 1),
               ("Loads an hour", _NUMBER, 1), ("Held by", _TEXT)),
        [*rows, least],
    )  # fmt: skip


def card_sheet(
    data: pd.DataFrame,
    shown: str,
    caution: str,
    *,
    us: bool,
    live: bool,
    facts: Sequence[tuple[str, Any]],
    footer: str,
    paper: str,
) -> SheetContent:
    """Return the card of the lift shown; ``live`` makes it follow the drop-down list.

    Parameters
    ----------
    data
        A row for each lift, as :func:`sheetengine.design.pour_cards.card_columns` gives it.
    shown
        Name of the lift, ``Block/Lift``; the first where there is no such lift.
    caution
        What stands on every sheet.
    us, live
        Units of the data; whether the cells are formulas.
    facts, footer, paper
        As on the other result sheets.
    """
    picked = _Picked(data, shown, live=live)
    name = str(data["Lift"].iloc[picked.row])
    match = f"MATCH({cell_of(_CHOICE, 0, 'Choice')},{column_of(_DATA, 'Lift')},0)"
    row: Any = Formula(f"IF(ISNUMBER({match}),{match},0)", picked.row + 1.0) if live else picked.row + 1.0
    looks = [
        ColumnLook("What", _TEXT, _WIDTHS[0]),
        ColumnLook("Choice", _ENTRY, _WIDTHS[1], note="Choose a lift from the list."),
        ColumnLook("Row", Look.COUNT, _WIDTHS[2], note="Row in the sheet Pour card data; 0: no such lift."),
    ]
    columns = 3 if live else 2
    choice = TableContent(_CHOICE, looks[:columns], [[CHOSEN, name, row][:columns]])
    lift = TableContent(
        "The_lift", _looks(("What", _TEXT), ("Planned", _TEXT)), [[fact, picked.cell(fact)] for fact in FACTS]
    )
    assumed = [str(heading) for heading in data.columns if str(heading).startswith("Assumed: ")]
    boxes = TableContent(
        "What_the_design_assumed",
        _looks(("What", _TEXT), ("Assumed", _TEXT), ("Agrees", _ENTRY), ("Found", _ENTRY)),
        [[heading.removeprefix("Assumed: "), picked.cell(heading), BOX, ""] for heading in assumed],
    )
    stops = TableContent(
        "Stop_when",
        _looks(("When", _TEXT), ("Then", _TEXT), ("Happened", _ENTRY)),
        [[*rule, BOX] for rule in STOP_RULES],
    )
    signed = TableContent(
        "Signed",
        _looks(("What", _TEXT), ("Name, date and hour", _ENTRY)),
        [[role, "\n"] for role in SIGNED_BY],
    )
    choices = [Choice(_CHOICE, 0, "Choice", (_DATA, "Lift"))] if live else []
    return SheetContent(
        CARD, CARD if live else f"{CARD} {name}",
        ["Greatest rates are rounded down, least rates up. They keep panel, anchors and strongbacks within their limits with the "
         "concrete, the anchors and the hours as planned; between two temperatures the colder line counts.", caution],
        [choice, lift, _rates(picked, us=us), boxes, stops, signed],
        footer=footer, landscape=False, paper=paper, freeze_columns=1, facts=facts, choices=choices, one_page=True,
    )  # fmt: skip


def card_sheets(
    data: pd.DataFrame,
    shown: str,
    facts: Sequence[tuple[str, Any]],
    caution: str,
    footer: str,
    paper: str,
    *,
    us: bool,
) -> list[SheetContent]:
    """Return the card and its data."""
    looks = [
        ColumnLook(str(heading), _NUMBER if data[heading].dtype.kind == "f" else _TEXT, 14.0)
        for heading in data.columns
    ]
    rows = [
        [None if isinstance(value, float) and math.isnan(value) else value for value in row]
        for row in data.astype(object).to_numpy().tolist()
    ]
    return [
        card_sheet(data, shown, caution, us=us, live=True, facts=facts, footer=footer, paper=paper),
        SheetContent(
            CARD_DATA, CARD_DATA, ["What the pour card picks from: a row for each lift.", "The rows below do not go to paper with the book.", caution],
            [TableContent(_DATA, looks, rows)], footer=footer, paper=paper, freeze_columns=1, facts=facts, prints=False,
        ),
    ]  # fmt: skip
