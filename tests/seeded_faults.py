"""Faults seeded into the demo books, of many kinds, and whether the engine says anything new about them.

A seed counts as found where a fault or a flag stands that the sound book does not have, or, for results and signatures,
where the command that is there for it says so. What it says is not judged here; other tests do that.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import itertools
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from sheetengine.books.reading import read_grids
from sheetengine.cells import RangeRef
from sheetengine.demos import demo_file, demo_named
from sheetengine.design.calculate import calculate_columns
from sheetengine.design.flags import all_flags
from sheetengine.design.site_columns import Site
from sheetengine.exceptions import InputFaults
from sheetengine.findings import Finding, in_order
from sheetengine.grids import Grid
from sheetengine.sheets.optional_inputs import INPUT_SHEETS
from sheetengine.sheets.reading import SHEET_NAMES, read_job
from sheetengine.units import split_heading

Grids = dict[str, Grid | None]
DEMOS = ("gravity-dam", "lock-wall")
SHEETS = {sheet.name: sheet for sheet in INPUT_SHEETS}
OTHER_KIND = {"m": "kPa", "ft": "psf", "mm": "MPa", "in": "psi", "kg": "m", "lb": "ft", "kPa": "m", "psf": "ft", "MPa": "mm", "psi": "in",
              "m/h": "kN", "ft/h": "kip", "degC": "m", "degF": "ft", "kN/m3": "m", "lb/ft3": "ft", "mm2": "kN", "in2": "kip", "h": "kg",
              "K": "m", "m2": "h", "ft2": "h"}  # fmt: skip
OTHER_SIZE = {"m": "ft", "ft": "m", "mm": "in", "in": "mm", "kg": "t", "lb": "kg", "kPa": "psf", "psf": "kPa", "MPa": "psi", "psi": "MPa",
              "m/h": "ft/h", "ft/h": "m/h", "degC": "degF", "degF": "degC", "kN/m3": "lb/ft3", "lb/ft3": "kN/m3", "mm2": "in2", "in2": "mm2"}  # fmt: skip


@dataclass(frozen=True)
class Seed:
    """One seeded fault: its kind, where it is, and the book that holds it."""

    kind: str
    demo: str
    where: str
    grids: Grids


@cache
def sound(demo: str) -> Grids:
    """Return the sheets of a demo book as they are read."""
    return dict(read_grids(demo_file(demo_named(demo)), SHEET_NAMES))


def findings_of(grids: Mapping[str, Grid | None]) -> list[Finding]:
    """Return every flag of a book whose inputs can be used."""
    c = calculate_columns(read_job(grids))
    return in_order([*all_flags(c), *Site(c).flags()])


def with_column(demo: str, sheet: str, heading: str, change: Callable[[float], float]) -> Grids:
    """Return a demo book in which every number under a heading is another."""
    grids = sound(demo)
    grid = grids[sheet]
    assert grid is not None
    some = {
        (cell.row, cell.column): grid.value(cell.row, cell.column)
        for cell in cells(demo, sheet)
        if cell.heading == heading
    }
    assert some
    return with_cell(
        grids,
        sheet,
        {place: change(float(value)) for place, value in some.items() if isinstance(value, int | float)},
    )


def told(grids: Mapping[str, Grid | None]) -> set[str]:
    """Return what the engine says of a book: every fault, or every flag, each by its place or name and what it says."""
    try:
        job = read_job(grids)
    except InputFaults as faults:
        return {f"{finding.at}{finding.message}" for finding in faults.findings}
    c = calculate_columns(job)
    return {finding.identifier for finding in (*all_flags(c), *Site(c).flags())}


@cache
def told_of_the_sound_book(demo: str) -> frozenset[str]:
    """Return what the engine says of a demo book without a seed."""
    return frozenset(told(sound(demo)))


def is_found(seed: Seed) -> bool:
    """Return whether the engine says anything that it does not say of the sound book."""
    return bool(told(seed.grids) - told_of_the_sound_book(seed.demo))


# ---------------------------------------------------------------------------- the cells of a demo


def head_of(grid: Grid, first: str) -> int:
    return next(row for row in range(1, 21) if split_heading(str(grid.value(row, 1) or ""))[0] == first)


@dataclass(frozen=True)
class Cell:
    """A cell of an input sheet, from 1."""

    sheet: str
    row: int
    column: int
    heading: str
    unit: str
    key: str


def cells(demo: str, *sheets: str) -> Iterator[Cell]:
    """Yield the cells of the rows that are filled in, of some sheets."""
    for name in sheets:
        grid = sound(demo)[name]
        if grid is None:
            continue
        head = head_of(grid, SHEETS[name].headings[0].name)
        headings = {heading.name: heading for heading in SHEETS[name].headings}
        for row in range(head + 1, len(grid.rows) + 1):
            for column, title in enumerate(grid.rows[head - 1], 1):
                plain, unit = split_heading(str(title or ""))
                if plain in headings and grid.value(row, column) is not None:
                    yield Cell(name, row, column, plain, unit or "", headings[plain].key)


def with_cell(grids: Grids, sheet: str, changes: Mapping[tuple[int, int], object]) -> Grids:
    grid = grids[sheet]
    assert grid is not None
    rows = [list(row) for row in grid.rows]
    for (row, column), value in changes.items():
        rows[row - 1].extend([None] * (column - len(rows[row - 1])))
        rows[row - 1][column - 1] = value
    return {**grids, sheet: dataclasses.replace(grid, rows=rows)}


def with_rows(grids: Grids, sheet: str, head: tuple[str, ...], rows: list[tuple[object, ...]]) -> Grids:
    return {**grids, sheet: Grid(sheet, [head, *rows])}


Pick = Callable[[np.random.Generator, str], tuple[str, Grids]]
"""Returns where a fault was seeded, and the book with it."""
MAIN = ("Mixes", "Form units", "Anchor types", "Lifts")
# numbers that a check rests on; others, such as the number of an anchor's brackets, are looked at by nobody but the reader
WEIGHTY = {"height", "face_length", "anchor_spacing", "rise_rate", "concrete_temperature", "unit_weight", "strength_28", "width", "panel_height",
           "anchor_depth", "foot_depth", "mass", "mass_offset", "embedment", "shank_diameter", "head_diameter", "net_area",
           "tensile_strength", "yield_strength", "permissible_pressure", "slump", "final_set", "exposure_window", "layer_depth",
           "plan_area"}  # fmt: skip


def numeric(demo: str, rng: np.random.Generator, *sheets: str) -> tuple[Cell, float]:
    """Return a filled cell of a number on which checks rest, and its value."""
    grids = sound(demo)
    some = [cell for cell in cells(demo, *(sheets or MAIN)) if cell.key in WEIGHTY]
    cell = some[int(rng.integers(len(some)))]
    grid = grids[cell.sheet]
    assert grid is not None
    value = grid.value(cell.row, cell.column)
    assert isinstance(value, int | float), cell
    return cell, float(value)


def _heading_changed(table: Mapping[str, str]) -> Pick:
    def pick(rng: np.random.Generator, demo: str) -> tuple[str, Grids]:
        while True:
            cell, _ = numeric(demo, rng)
            if cell.unit in table:
                break
        grids = sound(demo)
        grid = grids[cell.sheet]
        assert grid is not None
        head = head_of(grid, SHEETS[cell.sheet].headings[0].name)
        title = f"{cell.heading} [{table[cell.unit]}]"
        return f"{cell.sheet}: {title}", with_cell(grids, cell.sheet, {(head, cell.column): title})

    return pick


def _number_changed(change: Callable[[float], object]) -> Pick:
    def pick(rng: np.random.Generator, demo: str) -> tuple[str, Grids]:
        while True:
            cell, value = numeric(demo, rng)
            if value:
                break
        new = change(value)
        return f"{cell.sheet} {cell.heading} row {cell.row}: {value:g} to {new}", with_cell(
            sound(demo), cell.sheet, {(cell.row, cell.column): new}
        )

    return pick


def _misspelled(rng: np.random.Generator, demo: str) -> tuple[str, Grids]:
    some = [cell for cell in cells(demo, "Lifts") if cell.heading in ("Mix", "Unit", "Anchor")]
    cell = some[int(rng.integers(len(some)))]
    grid = sound(demo)["Lifts"]
    assert grid is not None
    word = str(grid.value(cell.row, cell.column))
    return f"Lifts {cell.heading} row {cell.row}", with_cell(
        sound(demo), "Lifts", {(cell.row, cell.column): word[:-1] + "Q"}
    )


def _blank(rng: np.random.Generator, demo: str) -> tuple[str, Grids]:
    needed = {
        (sheet.name, heading.key) for sheet in INPUT_SHEETS for heading in sheet.headings if heading.required
    }
    some = [cell for cell in cells(demo, *MAIN) if (cell.sheet, cell.key) in needed]
    cell = some[int(rng.integers(len(some)))]
    return f"{cell.sheet} {cell.heading} row {cell.row}", with_cell(
        sound(demo), cell.sheet, {(cell.row, cell.column): None}
    )


def _lift_rows(demo: str) -> tuple[Grid, int, dict[str, int], list[int]]:
    grid = sound(demo)["Lifts"]
    assert grid is not None
    head = head_of(grid, "Block")
    columns = {
        split_heading(str(title))[0]: place for place, title in enumerate(grid.rows[head - 1], 1) if title
    }
    return (
        grid,
        head,
        columns,
        [row for row in range(head + 1, len(grid.rows) + 1) if grid.value(row, 1) is not None],
    )


def _copied_row(rng: np.random.Generator, demo: str) -> tuple[str, Grids]:
    grid, _, _, rows = _lift_rows(demo)
    row = rows[int(rng.integers(len(rows)))]
    after = rows[int(rng.integers(len(rows)))]
    new = [list(line) for line in grid.rows]
    new.insert(after, list(grid.rows[row - 1]))
    return f"Lifts row {row} copied below {after}", {
        **sound(demo),
        "Lifts": dataclasses.replace(grid, rows=new),
    }


def _dates_swapped(rng: np.random.Generator, demo: str) -> tuple[str, Grids]:
    grid, _, columns, rows = _lift_rows(demo)
    pairs = [(one, two) for one, two in itertools.pairwise(rows) if grid.value(one, 1) == grid.value(two, 1)]
    one, two = pairs[int(rng.integers(len(pairs)))]
    column = columns["Placed"]
    changed = {(one, column): grid.value(two, column), (two, column): grid.value(one, column)}
    return f"Lifts rows {one} and {two}", with_cell(sound(demo), "Lifts", changed)


def _date_slipped(rng: np.random.Generator, demo: str) -> tuple[str, Grids]:
    grid, _, columns, rows = _lift_rows(demo)
    row = rows[int(rng.integers(len(rows)))]
    heading = ("Placed", "Stripped", "Hung")[int(rng.integers(3))]
    when = grid.value(row, columns[heading])
    if not isinstance(when, dt.datetime):
        return _date_slipped(rng, demo)
    days = int(rng.choice([-365, -31, -10, 365]))
    return f"Lifts {heading} row {row} by {days} d", with_cell(
        sound(demo), "Lifts", {(row, columns[heading]): when + dt.timedelta(days=days)}
    )


def _neighbours_swapped(rng: np.random.Generator, demo: str) -> tuple[str, Grids]:
    grid, _, columns, rows = _lift_rows(demo)
    row = rows[int(rng.integers(len(rows)))]
    one, two = (
        ("Height", "Face length"),
        ("Anchor spacing", "Face length"),
        ("Rise rate", "Concrete temperature"),
    )[int(rng.integers(3))]
    if one not in columns or two not in columns or grid.value(row, columns[one]) is None:
        return _neighbours_swapped(rng, demo)
    changed = {
        (row, columns[one]): grid.value(row, columns[two]),
        (row, columns[two]): grid.value(row, columns[one]),
    }
    return f"Lifts {one} and {two} row {row}", with_cell(sound(demo), "Lifts", changed)


def _hidden(rng: np.random.Generator, demo: str) -> tuple[str, Grids]:
    name = MAIN[int(rng.integers(len(MAIN)))]
    rows = sorted({cell.row for cell in cells(demo, name)})
    row = rows[int(rng.integers(len(rows)))]
    grid = sound(demo)[name]
    assert grid is not None
    return f"{name} row {row}", {**sound(demo), name: dataclasses.replace(grid, hidden_rows=frozenset({row}))}


def _merged(rng: np.random.Generator, demo: str) -> tuple[str, Grids]:
    cell, _ = numeric(demo, rng, "Lifts")
    grid = sound(demo)["Lifts"]
    assert grid is not None
    area = RangeRef("Lifts", cell.row, cell.column, cell.row + 1, cell.column)
    return f"Lifts {cell.heading} rows {cell.row} and {cell.row + 1}", {
        **sound(demo),
        "Lifts": dataclasses.replace(grid, merged=(area,)),
    }


def _not_calculated(rng: np.random.Generator, demo: str) -> tuple[str, Grids]:
    cell, _ = numeric(demo, rng)
    grid = sound(demo)[cell.sheet]
    assert grid is not None
    place = frozenset({(cell.row, cell.column)})
    broken = (
        dataclasses.replace(grid, uncached=place)
        if rng.random() < 0.5
        else dataclasses.replace(grid, errors=place)
    )
    return f"{cell.sheet} {cell.heading} row {cell.row}", {**sound(demo), cell.sheet: broken}


def _repeated_heading(rng: np.random.Generator, demo: str) -> tuple[str, Grids]:
    cell, _ = numeric(demo, rng)
    grid = sound(demo)[cell.sheet]
    assert grid is not None
    head = head_of(grid, SHEETS[cell.sheet].headings[0].name)
    title = grid.value(head, cell.column)
    return f"{cell.sheet} {title} twice", with_cell(
        sound(demo), cell.sheet, {(head, len(grid.rows[head - 1]) + 1): title}
    )


def _held(demo: str) -> list[tuple[object, object, int, int]]:
    """Return block, lift, anchors of the next lift and row of lifts on which another stands, whose anchors stand evenly."""
    job = read_job(sound(demo))
    c = calculate_columns(job)
    lifts = job.table("Lifts")
    listed = set(job.lift_of("Anchor positions").tolist())
    return [
        (lifts.raw["block"][item], lifts.raw["lift"][item], int(c.layout.above[item]), item)
        for item in range(len(lifts))
        if c.layout.above[item] >= 0 and int(c.layout.above[item]) not in listed and c.layout.below[item] >= 0
    ]


@cache
def _survey(demo: str) -> tuple[tuple[object, object, tuple[float, ...], str], ...]:
    from sheetengine.design.anchor_survey import planned_anchors

    job = read_job(sound(demo))
    c = calculate_columns(job)
    kinds = job.table("Anchor types").label("anchor")
    return tuple(
        (
            block,
            lift,
            tuple(planned_anchors(job, c.layout, above)[0].tolist()),
            str(kinds[c.layout.anchor[above]]),
        )
        for block, lift, above, _ in _held(demo)
    )


def _as_built(change: Callable[[np.random.Generator, str, str], tuple[object, ...]]) -> Pick:
    """Return what seeds a survey in which one anchor is not as planned."""

    def pick(rng: np.random.Generator, demo: str) -> tuple[str, Grids]:
        lifts = _survey(demo)
        block, lift, places, kind = lifts[int(rng.integers(len(lifts)))]
        out = int(rng.integers(len(places)))
        rows = [
            (block, lift, place, *(change(rng, demo, kind) if number == out else ("placed", None, 0.0)))
            for number, place in enumerate(places)
        ]
        head = ("Block", "Lift", "Position [m]", "State", "Anchor", "Angle [deg]")
        return f"As built {block}/{lift} at {places[out]:.2f} m", with_rows(
            sound(demo), "As built", head, rows
        )

    return pick


def _other_type(rng: np.random.Generator, demo: str, kind: str) -> tuple[object, ...]:
    grid = sound(demo)["Anchor types"]
    assert grid is not None
    names = [
        str(grid.value(cell.row, cell.column))
        for cell in cells(demo, "Anchor types")
        if cell.heading == "Anchor"
    ]
    others = [name for name in names if name != kind] or [None]
    return ("placed" if rng.random() < 0.5 else "replaced", others[int(rng.integers(len(others)))], 0.0)


def _core(rng: np.random.Generator, demo: str) -> tuple[str, Grids]:
    """Seed the log of a probe that sits in the core, in a lift without one."""
    _, _, columns, rows = _lift_rows(demo)
    grid = sound(demo)["Lifts"]
    assert grid is not None
    row = rows[int(rng.integers(len(rows)))]
    block, lift, placed = (grid.value(row, columns[name]) for name in ("Block", "Lift", "Placed"))
    assert isinstance(placed, dt.datetime)
    deep = float(rng.uniform(1.5, 6.0))
    head = ("Block", "Lift", "Time", "Temperature [degC]", "Depth from face [m]", "Depth from joint [m]")
    log = [(block, lift, placed + dt.timedelta(hours=20.0 + hour), 30.0, deep, 0.4) for hour in range(48)]
    return f"Probe log {block}/{lift}, {deep:.1f} m from the face", with_rows(
        sound(demo), "Probe log", head, log
    )


def _log(rng: np.random.Generator, demo: str, spoil: Callable[[list[list[Any]]], None]) -> tuple[str, Grids]:
    _, _, columns, rows = _lift_rows(demo)
    grid = sound(demo)["Lifts"]
    assert grid is not None
    row = rows[int(rng.integers(len(rows)))]
    block, lift, placed = (grid.value(row, columns[name]) for name in ("Block", "Lift", "Placed"))
    assert isinstance(placed, dt.datetime)
    head = ("Block", "Lift", "Time", "Temperature [degC]", "Depth from face [m]", "Depth from joint [m]")
    log: list[list[Any]] = [
        [block, lift, placed + dt.timedelta(hours=20.0 + hour), 14.0 + 3.0 * np.sin(hour / 4.0), 0.3, 0.4]
        for hour in range(72)
    ]
    spoil(log)
    return f"Probe log {block}/{lift}", with_rows(
        sound(demo), "Probe log", head, [tuple(line) for line in log]
    )


def _clock_back(rng: np.random.Generator, demo: str) -> tuple[str, Grids]:
    def spoil(log: list[list[Any]]) -> None:
        at, by = int(rng.integers(20, 50)), float(rng.uniform(2.0, 8.0))
        for line in log[at:]:
            line[2] -= dt.timedelta(hours=by)

    return _log(rng, demo, spoil)


def _spike(rng: np.random.Generator, demo: str) -> tuple[str, Grids]:
    def spoil(log: list[list[Any]]) -> None:
        log[int(rng.integers(10, 60))][3] += float(rng.choice([-35.0, 30.0, 60.0]))

    return _log(rng, demo, spoil)


def _stuck(rng: np.random.Generator, demo: str) -> tuple[str, Grids]:
    def spoil(log: list[list[Any]]) -> None:
        for line in log[int(rng.integers(5, 30)) :]:
            line[3] = 19.25

    return _log(rng, demo, spoil)


def _out_of_turn(rng: np.random.Generator, demo: str) -> tuple[str, Grids]:
    _, _, columns, rows = _lift_rows(demo)
    grid = sound(demo)["Lifts"]
    assert grid is not None
    row = rows[int(rng.integers(len(rows)))]
    block, lift, placed = (grid.value(row, columns[name]) for name in ("Block", "Lift", "Placed"))
    point = int(rng.integers(1, 11))
    head = ("Block", "Lift", "Hold point", "Evidence", "Released by", "Time")
    line = (block, lift, f"HP{point}", "permit", "A. B.", placed)
    return f"Releases {block}/{lift} HP{point}", with_rows(sound(demo), "Releases", head, [line])


def _placed_too_fast(rng: np.random.Generator, demo: str) -> tuple[str, Grids]:
    job = read_job(sound(demo))
    c = calculate_columns(job)
    from sheetengine.design.rise_window import rise_window

    greatest = rise_window(c).greatest
    some = np.flatnonzero(np.isfinite(greatest) & (greatest > 0.0))
    item = int(some[int(rng.integers(some.size))])
    lifts = job.table("Lifts")
    start = dt.datetime(1899, 12, 30) + dt.timedelta(hours=float(lifts.number("placed")[item]))
    top = 0.9 * float(lifts.number("height")[item])
    hours = top / (float(greatest[item]) * float(rng.uniform(1.2, 2.5)))
    head = ("Block", "Lift", "Time", "Level [m]")
    rows = [
        (lifts.raw["block"][item], lifts.raw["lift"][item], start + dt.timedelta(hours=hour), level)
        for hour, level in ((0.0, 0.0), (hours, top))
    ]
    return f"Lift record {job.lift_name(item)}", with_rows(sound(demo), "Lift record", head, rows)


KINDS: dict[str, Pick] = {
    "unit of another kind": _heading_changed(OTHER_KIND),
    "unit of another size": _heading_changed(OTHER_SIZE),
    "decimal slip, ten times": _number_changed(lambda value: value * 10.0),
    "decimal slip, a tenth": _number_changed(lambda value: value / 10.0),
    "sign lost": _number_changed(lambda value: -value),
    "number as text": _number_changed(
        lambda value: f"{value:g}".replace(".", ",") + (" m" if value == int(value) else "")
    ),
    "name misspelled": _misspelled,
    "required cell blank": _blank,
    "row copied": _copied_row,
    "dates out of order": _dates_swapped,
    "date slipped": _date_slipped,
    "neighbouring cells swapped": _neighbours_swapped,
    "row hidden": _hidden,
    "cells merged": _merged,
    "formula without a value": _not_calculated,
    "heading twice": _repeated_heading,
    "anchor type swapped": _as_built(_other_type),
    "anchor missing": _as_built(lambda *_: ("missing", None, 0.0)),
    "anchor at an angle": _as_built(lambda rng, *_: ("placed", None, float(rng.uniform(6.0, 40.0)))),
    "probe in the core": _core,
    "clock set back": _clock_back,
    "spike in the log": _spike,
    "dead sensor": _stuck,
    "released out of turn": _out_of_turn,
    "placed too fast": _placed_too_fast,
}
"""Kinds of faults in the inputs. Results that are stale or edited, and signatures on values that got worse, are kinds of their own."""
EACH = 8
"""Faults of each kind, in the two demo books by turns."""


def seeds(kind: str) -> Iterator[Seed]:
    """Yield the faults of a kind, always the same."""
    rng = np.random.default_rng([2031, list(KINDS).index(kind)])
    for number in range(EACH):
        demo = DEMOS[number % len(DEMOS)]
        where, grids = KINDS[kind](rng, demo)
        yield Seed(kind, demo, where, grids)
