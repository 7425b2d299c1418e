"""The sheets of the hand check: a chooser, a sheet of live formulas for each chain, and the data they start from."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

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
from sheetengine.hand_check.chains import Chain, Given, Step
from sheetengine.hand_check.data import KEY, HandCheck
from sheetengine.hand_check.expressions import Value

CHOOSER, DATA = "Hand check", "Hand check data"
CHAIN_SHEETS = tuple(f"{CHOOSER} {name}" for name in ("pressure", "statics", "anchor", "strength"))
HAND_SHEETS = (CHOOSER, *CHAIN_SHEETS, DATA)
CHOICE, SUMMARY = "Hand_check_choice", "Hand_check_summary"
ROWS, GATES = "Hand_check_rows", "Hand_check_gates"
AGREES, DIFFERS, NOT_DONE = "Agrees", "Differs", "Not re-done"
CLOSE = 1e-9
"""Relative difference up to which a number counts as the same."""
CHOSEN = ("Lift and stage", "Lift and gate")
"""What stands before the two cells with drop-down lists."""
_TEXT, _NUMBER = Look.TEXT, Look.NUMBER
_CHAIN_LOOKS = (
    ColumnLook("Symbol", _TEXT, 9.0),
    ColumnLook("What", _TEXT, 52.0),
    ColumnLook(
        "Value", _NUMBER, 16.0, 6, "Live: worked out in this sheet from the cells above it and the inputs."
    ),
    ColumnLook("Unit", _TEXT, 8.0),
    ColumnLook("Engine", _NUMBER, 16.0, 6, "The engine's own number of the last run."),
    ColumnLook("Difference", _NUMBER, 12.0, 12, "Of value and engine, over the engine's number."),
    ColumnLook(
        "How", _TEXT, 66.0, note="The formula in symbols; for a given, the input cell or what it comes from."
    ),
    ColumnLook("Clause", _TEXT, 40.0),
)


def _table_of(chain: Chain) -> str:
    return f"Hand_check_{chain.name.replace(' ', '_')}"


def _data_of(chain: Chain) -> str:
    return GATES if chain.key == "gate" else ROWS


def _row_of(found: Mapping[str, Any], item: int) -> dict[str, Value]:
    """Return one row of the data as plain numbers and words."""
    return {
        name: str(values[item]) if values.dtype.kind in "OU" else float(values[item])
        for name, values in found.items()
    }


def _shown_row(hand: HandCheck, chain: Chain) -> dict[str, Value]:
    found, name = (hand.gates, hand.shown[1]) if chain.key == "gate" else (hand.rows, hand.shown[0])
    keys = list(found[KEY])
    return _row_of(found, keys.index(name)) if name in keys else {}


def _lookup(hand: HandCheck, chain: Chain, given: Given, row: str) -> str:
    """Return the formula that fetches a given: from the office's cell where it holds a number, else from the data."""
    data = f"INDEX({column_of(_data_of(chain), given.heading)},{row})"
    if given.unit != "word":
        data = f'IF(ISNUMBER({data}),{data},"")'  # a blank cell would count as 0
    place = hand.places.get(given.cell) if given.cell else None
    if place is None:
        return data
    at = f"INDEX({column_of(ROWS, f'{place.sheet} row')},{row})"
    name = "'" + place.sheet.replace("'", "''") + "'"
    cell = f"INDEX({name}!${place.letter}$1:${place.letter}${place.last_row},{at})"
    scaled = cell if place.factor == 1.0 else f"{cell}*{place.factor!r}"
    scaled = scaled if place.offset == 0.0 else f"{scaled}+{place.offset!r}"
    return f"IF(ISNUMBER({cell}),{scaled},{data})"


def _blank(value: Value) -> float | str | None:
    return "" if isinstance(value, float) and math.isnan(value) else value


def _difference(value: Value, engine: Value) -> float | str:
    if isinstance(value, str) or isinstance(engine, str) or math.isnan(value) or math.isnan(engine):
        return ""
    return 0.0 if value == engine else abs(value - engine) / max(abs(engine), 1e-9)


def _chain_table(hand: HandCheck, chain: Chain) -> TableContent:
    name, data = _table_of(chain), _data_of(chain)
    shown = _shown_row(hand, chain)
    known = chain.values(shown) if shown else {}
    applies = bool(shown) and (not chain.applies or shown[chain.applies] == 1.0)
    picked = cell_of(CHOICE, 1 if chain.key == "gate" else 0, "Row")
    covered = f"INDEX({column_of(data, chain.applies)},{picked})=1"
    keys = list((hand.gates if chain.key == "gate" else hand.rows)[KEY])
    place = keys.index(hand.shown[1 if chain.key == "gate" else 0]) + 1.0 if shown else 0.0
    rows: list[list[Any]] = [
        ["row", "row of the data; 0: not re-done here", Formula(f"IF({picked}>0,IF({covered},{picked},0),0)", place if applies else 0.0),
         None, None, None, "chosen in the sheet Hand check", None]
    ]  # fmt: skip
    where = {"row": cell_of(name, 0, "Value")}
    numeric: list[str] = []
    for given in chain.givens:
        where[given.symbol] = cell_of(name, len(rows), "Value")
        if given.unit != "word":
            numeric.append(given.symbol)
        fetched = _lookup(hand, chain, given, where["row"])
        value = known.get(given.symbol, math.nan) if applies else math.nan
        source = (
            f"{given.cell[0]}, {given.cell[1].replace('_', ' ')}"
            if given.cell in hand.places and given.cell
            else "as the engine read or derived it"
        )
        rows.append([given.symbol, given.words, Formula(f'IF({where["row"]}>0,{fetched},"")', _blank(value)),
                     "" if given.unit == "word" else given.unit, None, None, source, None])  # fmt: skip
    for step in chain.steps:
        where[step.symbol] = cell_of(name, len(rows), "Value")
        numeric.append(step.symbol)
        rows.append(_step_row(chain, step, where, numeric, known if applies else {}, shown, len(rows)))
    return TableContent(name, _CHAIN_LOOKS, rows)


def _step_row(
    chain: Chain,
    step: Step,
    where: Mapping[str, str],
    numeric: Sequence[str],
    known: Mapping[str, Value],
    shown: Mapping[str, Value],
    row: int,
) -> list[Any]:
    """Return symbol, words, live formula, unit, the engine's number, difference, the formula in symbols, clause."""
    name, data = _table_of(chain), _data_of(chain)
    value = known.get(step.symbol, math.nan)
    needed = [where[symbol] for symbol in step.formula.symbols() if symbol in numeric]
    formula = step.formula.formula(where)
    live = (
        f'IF(COUNT({",".join(needed)})<{len(needed)},"",IFERROR({formula},""))'
        if needed
        else f'IF({where["row"]}>0,{formula},"")'
    )
    engine: Any = None
    difference: Any = None
    if step.engine:
        fetched = f"INDEX({column_of(data, step.engine)},{where['row']})"
        own = shown.get(step.engine, math.nan) if known else math.nan
        engine = Formula(f'IF({where["row"]}>0,IF(ISNUMBER({fetched}),{fetched},""),"")', _blank(own))
        mine, theirs = cell_of(name, row, "Value"), cell_of(name, row, "Engine")
        difference = Formula(
            f'IF(COUNT({mine},{theirs})<2,"",ABS({mine}-{theirs})/MAX(ABS({theirs}),0.000000001))',
            _difference(value, own),
        )
    return [step.symbol, step.words, Formula(live, _blank(value)), step.unit, engine, difference,
            step.formula.words(), step.clause]  # fmt: skip


def chosen_before(rows: Sequence[Sequence[Any]]) -> tuple[str, str]:
    """Return the lift and stage, and the gate, that stand chosen in an earlier sheet; empty where none does.

    Parameters
    ----------
    rows
        Of the sheet ``Hand check``, as they were read.
    """
    found = {row[0]: str(row[1]) for row in rows if len(row) > 1 and row[0] in CHOSEN and row[1] is not None}
    return found.get(CHOSEN[0], ""), found.get(CHOSEN[1], "")


def _chooser(hand: HandCheck, chains: Sequence[Chain]) -> tuple[list[TableContent], list[Choice]]:
    rows: list[list[Any]] = []
    choices = []
    for place, (what, data, shown, found) in enumerate((
        (CHOSEN[0], ROWS, hand.shown[0], hand.rows), (CHOSEN[1], GATES, hand.shown[1], hand.gates),
    )):  # fmt: skip
        keys = list(found[KEY])
        match = f"MATCH({cell_of(CHOICE, place, 'Choice')},{column_of(data, KEY)},0)"
        row = keys.index(shown) + 1.0 if shown in keys else 0.0
        rows.append([what, shown, Formula(f"IF(ISNUMBER({match}),{match},0)", row)])
        choices.append(Choice(CHOICE, place, "Choice", (data, KEY)))
    chooser = TableContent(
        CHOICE,
        [ColumnLook("What", _TEXT, 22.0), ColumnLook("Choice", Look.ENTRY, 44.0, note="Choose from the list."),
         ColumnLook("Row", Look.COUNT, 10.0, note="Row in the sheet Hand check data; 0: no such row.")],
        rows,
    )  # fmt: skip
    lines: list[list[Any]] = []
    for chain in chains:
        name = _table_of(chain)
        at = (
            1
            + len(chain.givens)
            + next(place for place, step in enumerate(chain.steps) if step.symbol == chain.last)
        )
        shown_row = _shown_row(hand, chain)
        applies = bool(shown_row) and shown_row[chain.applies] == 1.0
        value = chain.values(shown_row)[chain.last] if applies else math.nan
        step = next(step for step in chain.steps if step.symbol == chain.last)
        own = shown_row.get(step.engine, math.nan) if applies else math.nan
        apart = _difference(value, own)
        word = NOT_DONE if apart == "" else AGREES if float(apart) <= CLOSE else DIFFERS
        mine, theirs, off = (cell_of(name, at, heading) for heading in ("Value", "Engine", "Difference"))
        lines.append([
            chain.title, step.words, Formula(mine, _blank(value)), step.unit, Formula(theirs, _blank(own)),
            Formula(off, apart),
            Formula(f'IF(ISNUMBER({off}),IF({off}<={CLOSE:.9f},"{AGREES}","{DIFFERS}"),"{NOT_DONE}")', word), chain.covers,
        ])  # fmt: skip
    summary = TableContent(
        SUMMARY,
        [ColumnLook("Chain", _TEXT, 22.0), ColumnLook("Last quantity", _TEXT, 44.0), ColumnLook("Re-done", _NUMBER, 14.0, 6),
         ColumnLook("Unit", _TEXT, 8.0), ColumnLook("Engine", _NUMBER, 14.0, 6), ColumnLook("Difference", _NUMBER, 14.0, 12),
         ColumnLook("Finding", _TEXT, 14.0), ColumnLook("Left out", _TEXT, 70.0)],
        lines,
    )  # fmt: skip
    return [chooser, summary], choices


def _data_table(
    name: str, found: Mapping[str, Any], chains: Sequence[Chain], more: Sequence[str]
) -> TableContent:
    """Return the columns of the data that the chains ask for."""
    wanted = dict.fromkeys([KEY, *more])
    for chain in chains:
        if _data_of(chain) == name:
            wanted |= dict.fromkeys([chain.applies, *(given.heading for given in chain.givens)])
            wanted |= dict.fromkeys(step.engine for step in chain.steps if step.engine)
    headings = [heading for heading in wanted if heading in found]
    looks = [
        ColumnLook(
            heading,
            _TEXT if found[heading].dtype.kind in "OU" else _NUMBER,
            34.0 if heading == KEY else 12.0,
            6,
        )
        for heading in headings
    ]
    return TableContent(
        name,
        looks,
        [list(row) for row in zip(*(found[heading].tolist() for heading in headings), strict=True)],
    )


def hand_sheets(
    hand: HandCheck, facts: Sequence[tuple[str, Any]], caution: str, footer: str, paper: str
) -> list[SheetContent]:
    """Return the chooser, a sheet for each chain, and the data.

    Parameters
    ----------
    hand
        What the check rests on.
    facts, caution, footer, paper
        As on the other result sheets.
    """
    chains = hand.chains
    tables, choices = _chooser(hand, chains)
    common: dict[str, Any] = {"footer": footer, "paper": paper, "facts": facts}
    sheets = [
        SheetContent(
            CHOOSER, CHOOSER,
            ["One lift and stage worked out anew in live formulas, a second opinion declared apart from the engine. Choose below; "
             "the sheets that follow show every step.", caution],
            tables, freeze_columns=1, choices=choices, one_page=True, **common,
        )
    ]  # fmt: skip
    sheets += [
        SheetContent(
            f"{CHOOSER} {chain.name}", chain.title,
            ["Every value is a formula over the cells above it; the inputs are read from the input sheets. Units: kN, m, kPa, MPa, mm, h; "
             "1,000,000,000 mm stands for no edge or neighbour. "
             + chain.covers, caution],
            [_chain_table(hand, chain)], freeze_columns=2, **common,
        )
        for chain in chains
    ]  # fmt: skip
    sheets.append(
        SheetContent(
            DATA, DATA,
            ["What the hand check starts from where no input cell holds it, and the engine's numbers, in the engine's units.",
             "The rows below do not go to paper with the book.", caution],
            [_data_table(ROWS, hand.rows, chains, ("Lifts row", "Mixes row", "Form units row", "Anchor types row")),
             _data_table(GATES, hand.gates, chains, ())],
            freeze_columns=1, prints=False, **common,
        )
    )  # fmt: skip
    return sheets
