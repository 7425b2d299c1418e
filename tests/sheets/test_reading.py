"""Reading grids into a job: every fault with its cell and what to do, and what is forgiven."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from builders import ANCHOR, LIFT, MIX, UNIT, days, grids, job, job_sheet, pile, sheet
from builders import JOB as JOB_ITEMS

from sheetengine.cells import RangeRef
from sheetengine.exceptions import InputFaults
from sheetengine.findings import Code, Finding, Level
from sheetengine.grids import Grid
from sheetengine.job import Job
from sheetengine.run import calculate
from sheetengine.sheets.optional_inputs import INPUT_SHEETS
from sheetengine.sheets.reading import read_job

Book = dict[str, Grid | None]


def faults(book: Book) -> list[Finding]:
    with pytest.raises(InputFaults) as caught:
        read_job(book)
    found = caught.value.findings
    for finding in found:
        assert finding.level is Level.FAULT
        assert finding.at.sheet
        assert finding.message.strip() and finding.clears.strip()
        assert finding.message.rstrip().endswith((".", "?"))
    return found


def only(book: Book) -> Finding:
    found = faults(book)
    assert len(found) == 1, [str(finding) for finding in found]
    return found[0]


def placed_in(book: Book, name: str, heading: str, row: int, value: object) -> Book:
    """Return the book with another value under a heading, in the row counted from the first below the headings."""
    grid = book[name]
    assert grid is not None
    rows = [list(cells) for cells in grid.rows]
    column = next(place for place, text in enumerate(rows[0]) if str(text).split(" [")[0] == heading)
    rows[row][column] = value
    return book | {name: replace(grid, rows=rows)}


def column_of(book: Book, name: str, heading: str) -> str:
    grid = book[name]
    assert grid is not None
    place = next(place for place, text in enumerate(grid.rows[0]) if str(text).split(" [")[0] == heading)
    return chr(ord("A") + place)


def same_numbers(one: Job, other: Job) -> None:
    for name, table in one.tables.items():
        for key, values in table.numbers.items():
            np.testing.assert_array_equal(values, other.tables[name].numbers[key], err_msg=f"{name} {key}")
        for key, words in table.labels.items():
            assert words.tolist() == other.tables[name].labels[key].tolist(), f"{name} {key}"


CELL_FAULTS: list[tuple[str, str, object, Code, str, str]] = [
    ("Lifts", "Height", None, Code.MISSING_VALUE, "Height is blank", "Fill it in"),
    ("Lifts", "Height", "  ", Code.MISSING_VALUE, "Height is blank", "Fill it in"),
    ("Lifts", "Height", "three", Code.NOT_A_NUMBER, "“three”", "plain number"),
    ("Lifts", "Height", "3,0", Code.NOT_A_NUMBER, "“3,0”", "comma"),
    ("Lifts", "Height", True, Code.NOT_A_NUMBER, "no number", "plain number"),
    ("Lifts", "Height", dt.datetime(2031, 1, 3), Code.NOT_A_NUMBER, "no number", "formatted as a date"),
    ("Lifts", "Height", 0.0, Code.IMPOSSIBLE_VALUE, "more than 0 m", "Check the value"),
    ("Lifts", "Height", -2.0, Code.IMPOSSIBLE_VALUE, "-2 m", "Check the value"),
    ("Lifts", "Height", 3000.0, Code.IMPOSSIBLE_VALUE, "at most 15 m", "Check the value"),
    ("Lifts", "Placed", 54321.25, Code.NOT_A_DATE, "plain number", "2031-04-07 06:00"),
    ("Lifts", "Placed", "next week", Code.NOT_A_DATE, "no date", "2031-04-07 06:00"),
    ("Lifts", "Mix", "M9", Code.UNKNOWN_NAME, "“M9” is not in the sheet Mixes", "Mixes"),
    ("Lifts", "Unit", "U", Code.UNKNOWN_NAME, "not in the sheet Form units", "Form units"),
    ("Lifts", "Anchor", 5.0, Code.UNKNOWN_NAME, "“5” is not in the sheet Anchor types", "Anchor types"),
    ("Lifts", "Stripped", days(-1), Code.OUT_OF_ORDER, "Stripped is not after Placed", "Correct"),
    ("Lifts", "Hung", days(0), Code.OUT_OF_ORDER, "Hung is not after Placed", "Correct"),
    ("Lifts", "Rise rate", None, Code.MISSING_VALUE, "Neither Rise rate nor Placing rate", "rate of rise"),
    ("Mixes", "Strength class", "Q", Code.NOT_ON_LIST, "“Q”", "Choose one of: S, N, R"),
    ("Mixes", "Retarder", "maybe", Code.NOT_ON_LIST, "neither yes nor no", "yes or no"),
    ("Mixes", "Retarder", 1.0, Code.NOT_ON_LIST, "neither yes nor no", "yes or no"),
    ("Mixes", "Unit weight", 2500.0, Code.IMPOSSIBLE_VALUE, "at most 60 kN/m3", "unit in the heading"),
    ("Form units", "Anchors per unit", 2.5, Code.IMPOSSIBLE_VALUE, "a whole number", "Check the value"),
    ("Form units", "Foot depth", 0.3, Code.IMPOSSIBLE_VALUE, "Foot depth is not below Anchor depth", "foot bearing"),
    ("Anchor types", "Head diameter", 26.0, Code.IMPOSSIBLE_VALUE, "bears on nothing", "Bearing area"),
    ("Anchor types", "Head diameter", None, Code.MISSING_VALUE, "Neither Head diameter nor Bearing area", "one of the two"),
    ("Anchor types", "Yield strength", 900.0, Code.IMPOSSIBLE_VALUE, "above Tensile strength", "Correct"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "heading", "value", "code", "says", "clears"), CELL_FAULTS)
def test_one_wrong_cell_is_one_fault_at_that_cell(
    name: str, heading: str, value: object, code: Code, says: str, clears: str
) -> None:
    book = grids(lifts=pile(2))
    finding = only(placed_in(book, name, heading, 1, value))
    assert finding.code is code
    assert str(finding.at) == f"{name}!{column_of(book, name, heading)}2"
    assert says in finding.message
    assert clears in finding.clears


@pytest.mark.parametrize("value", [math.inf, math.nan])
def test_a_number_that_is_not_finite_is_a_fault(value: float) -> None:
    finding = only(placed_in(grids(lifts=pile(2)), "Form units", "Mass", 1, value))
    assert finding.code is Code.NOT_A_NUMBER


def test_every_fault_of_a_book_is_told_at_once() -> None:
    book = grids(lifts=pile(3))
    wrong = [
        ("Mixes", "Unit weight", 1, "heavy"),
        ("Form units", "Width", 1, None),
        ("Anchor types", "Embedment", 1, -5.0),
        ("Lifts", "Height", 1, "x"),
        ("Lifts", "Height", 3, 99.0),
        ("Lifts", "Mix", 2, "M7"),
        ("Lifts", "Placed", 3, 12.0),
    ]
    for name, heading, row, value in wrong:
        book = placed_in(book, name, heading, row, value)
    book["Job"] = job_sheet(JOB_ITEMS | {"Anchor method": "none", "Storm wind": (0.8, "m")})
    found = faults(book)
    places = {str(finding.at) for finding in found}
    expected = {f"{name}!{column_of(book, name, heading)}{row + 1}" for name, heading, row, _ in wrong} | {
        "Job!B6",
        "Job!C7",
    }
    assert places == expected
    assert len(found) == len(expected)


def test_missing_sheets_are_named() -> None:
    book = grids()
    for name in ("Job", "Mixes", "Form units", "Anchor types", "Lifts"):
        finding = next(f for f in faults(book | {name: None}) if f.code is Code.MISSING_SHEET)
        assert str(finding.at) == name
        assert name in finding.message
    assert len([f for f in faults({}) if f.code is Code.MISSING_SHEET]) == 5


def test_an_empty_sheet_and_a_sheet_without_rows() -> None:
    book = grids()
    assert any("No heading row" in f.message for f in faults(book | {"Mixes": Grid("Mixes", [])}))
    bare = book["Lifts"]
    assert bare is not None
    finding = only(book | {"Lifts": replace(bare, rows=bare.rows[:1])})
    assert "has no rows" in finding.message


def test_a_required_heading_that_is_missing_and_its_near_miss() -> None:
    book = grids(lifts=pile(2))
    grid = book["Lifts"]
    assert grid is not None
    head = ["Heigth [m]" if text == "Height [m]" else text for text in grid.rows[0]]
    finding = only(book | {"Lifts": replace(grid, rows=[tuple(head), *grid.rows[1:]])})
    assert finding.code is Code.MISSING_HEADING
    assert "Height is missing" in finding.message
    assert "“Heigth”" in finding.clears
    assert str(finding.at) == f"Lifts!{column_of(book, 'Lifts', 'Height')}1"
    place = head.index("Heigth [m]")
    without = [tuple(cell for at, cell in enumerate(row) if at != place) for row in grid.rows]
    finding = only(book | {"Lifts": replace(grid, rows=without)})
    assert finding.code is Code.MISSING_HEADING
    assert "Add a column Height [m]" in finding.clears


@pytest.mark.parametrize("spelled", ["Face inclnation [deg]", "Air temprature [degC]", "Stiped"])
def test_a_near_miss_of_an_optional_heading_is_told(spelled: str) -> None:
    book = grids(lifts=pile(2, Face_inclination=10.0, Air_temperature=4.0))
    grid = book["Lifts"]
    assert grid is not None
    right = {"F": "Face inclination [deg]", "A": "Air temperature [degC]", "S": "Stripped"}[spelled[0]]
    head = tuple(spelled if text == right else text for text in grid.rows[0])
    try:
        read = read_job(book | {"Lifts": replace(grid, rows=[head, *grid.rows[1:]])})
    except InputFaults as told:
        assert any(spelled.split(" [", maxsplit=1)[0] in str(finding) for finding in told.findings)
    else:
        assert any(spelled.split(" [", maxsplit=1)[0] in finding.message for finding in read.findings)


def test_a_near_miss_of_an_optional_item_is_told() -> None:
    items = {key: value for key, value in JOB_ITEMS.items() if key != "Storm wind"}
    try:
        read = read_job(grids() | {"Job": job_sheet(items | {"Strom wind": (0.8, "kPa")})})
    except InputFaults as told:
        assert any("Strom wind" in str(finding) for finding in told.findings)
    else:
        assert any("Strom wind" in finding.message for finding in read.findings)


def test_a_heading_that_stands_twice() -> None:
    book = grids(lifts=pile(2))
    grid = book["Lifts"]
    assert grid is not None
    rows = [(*row, "Height [ft]" if place == 0 else 9.8) for place, row in enumerate(grid.rows)]
    finding = only(book | {"Lifts": replace(grid, rows=rows)})
    assert finding.code is Code.DUPLICATE_HEADING
    assert f"{column_of(book, 'Lifts', 'Height')}1" in finding.message


@pytest.mark.parametrize(
    ("unit", "says"),
    [
        ("kPa", "measures something else"),
        ("foot-ish", "not known"),
        ("", "something else"),
        (None, "carries no unit"),
    ],
)
def test_a_unit_that_does_not_fit(unit: str | None, says: str) -> None:
    book = grids(lifts=pile(2))
    grid = book["Lifts"]
    assert grid is not None
    wrong = "Height" if unit is None else f"Height [{unit}]"
    head = tuple(wrong if text == "Height [m]" else text for text in grid.rows[0])
    finding = only(book | {"Lifts": replace(grid, rows=[head, *grid.rows[1:]])})
    assert finding.code is Code.WRONG_UNIT
    assert says in finding.message
    assert finding.at.row == 1
    assert "[m]" in str(finding) and "[ft]" in str(finding)


@pytest.mark.parametrize(
    ("unit", "value"),
    [
        ("m", 3.0),
        ("cm", 300.0),
        ("mm", 3000.0),
        ("ft", 3.0 / 0.3048),
        ("in", 3.0 / 0.0254),
        ("yd", 3.0 / 0.9144),
    ],
)
def test_any_unit_of_the_dimension_is_read(unit: str, value: float) -> None:
    lifts = [{**lift, "Height": value} for lift in pile(2)]
    read = job(lifts=lifts, written_in={"Lifts": {"Height": unit}})
    np.testing.assert_allclose(read.table("Lifts").number("height"), 3.0, rtol=1e-12)


def test_densities_turn_into_weights_by_standard_gravity() -> None:
    for unit, value in (
        ("kg/m3", 2400.0),
        ("lb/ft3", 2400.0 / 16.01846337396),
        ("kN/m3", 2400.0 * 9.80665e-3),
    ):
        read = job(mixes=[{"Unit weight": value}], written_in={"Mixes": {"Unit weight": unit}})
        np.testing.assert_allclose(read.table("Mixes").number("unit_weight"), 23.53596, rtol=1e-9)


def test_headings_are_found_wherever_they_stand_in_any_case_and_spacing() -> None:
    plain = grids(lifts=pile(2))
    moved: Book = {}
    rng = np.random.default_rng(3)
    for name, grid in plain.items():
        assert grid is not None
        if name == "Job":
            moved[name] = grid
            continue
        order = rng.permutation(len(grid.rows[0])).tolist()
        rows = [[row[place] for place in order] for row in grid.rows]
        rows[0] = [f"  {str(text).upper().split(' [')[0].replace(' ', '   ')} [{str(text).split('[')[1]}" if "[" in str(text)
                   else str(text).lower() for text in rows[0]]  # fmt: skip
        wide = [[None, *row, None, "office"] for row in rows]
        title = [["Form work of the upper basin"], [], ["Sheet 3", None, "rev B"]]
        moved[name] = Grid(name, [*title, *wide])
    one, other = read_job(plain), read_job(moved)
    same_numbers(one, other)
    assert other.table("Lifts").head_row == 4
    assert other.table("Lifts").rows.tolist() == [5, 6]


def test_blank_rows_and_extra_columns_are_passed_over_and_rows_keep_their_numbers() -> None:
    book = grids(lifts=pile(2))
    grid = book["Lifts"]
    assert grid is not None
    head, first, second = grid.rows
    blank: tuple[object, ...] = tuple(None for _ in head)
    spaced = [
        (*head, "Remark of the office"),
        (*blank, None),
        (*first, "=HYPERLINK"),
        (*["  "] * len(head), "only a remark"),
        (*second, 7),
        (*blank, "below the table"),
    ]
    read = read_job(book | {"Lifts": replace(grid, rows=spaced)})
    same_numbers(read_job(book), read)
    assert read.table("Lifts").rows.tolist() == [3, 5]
    assert str(read.table("Lifts").at(1, "height")) == f"Lifts!{column_of(book, 'Lifts', 'Height')}5"


def test_a_name_is_the_same_as_number_and_as_text() -> None:
    lifts = pile(2, block=7.0)
    lifts[1] |= {"Block": "7", "Lift": "2"}
    read = job(
        lifts=lifts,
        optional={"Embeds": [{"Block": " 7 ", "Lift": 2, "Item": "Sleeve", "Count": 3}]},
    )
    assert read.table("Lifts").label("block").tolist() == ["7", "7"]
    assert read.table("Lifts").raw["block"].tolist() == [7, "7"]
    mixed = job(mixes=[{"Mix": 30.0}], lifts=[lift | {"Mix": "30"} for lift in pile(2)])
    assert mixed.table("Lifts").label("mix").tolist() == ["30", "30"]
    cased = job(mixes=[{"Mix": "Mass A"}], lifts=[lift | {"Mix": "MASS a"} for lift in pile(2)])
    assert cased.table("Lifts").label("mix").tolist() == ["Mass A", "Mass A"]


def test_rows_that_stand_twice() -> None:
    lifts = pile(2)
    lifts[1]["Lift"] = 1
    finding = only(grids(lifts=lifts))
    assert finding.code is Code.DUPLICATE_ROW
    assert "row 2" in finding.message
    assert finding.at.row == 3
    assert only(grids(mixes=[{}, {"Mix": "m1"}])).code is Code.DUPLICATE_ROW
    twice = [{"Block": "B1", "Lift": 1, "Position": 2.0}] * 2
    assert only(grids(lifts=pile(2), optional={"Anchor positions": twice})).code is Code.DUPLICATE_ROW


def test_a_blank_key_is_one_fault() -> None:
    lifts = [lift | {"Lift": None} for lift in pile(2)]
    assert [finding.code for finding in faults(grids(lifts=lifts))] == [Code.MISSING_VALUE] * 2


def test_formulas_without_value_errors_and_merged_cells() -> None:
    book = grids(lifts=pile(2))
    grid = book["Lifts"]
    assert grid is not None
    place = ord(column_of(book, "Lifts", "Height")) - ord("A") + 1
    rows = [list(row) for row in grid.rows]
    rows[1][place - 1] = None
    found = faults(book | {"Lifts": replace(grid, rows=rows, uncached=frozenset({(2, place)}))})
    assert [finding.code for finding in found] == [Code.NOT_RECALCULATED]
    assert "recalculate" in found[0].clears
    rows[1][place - 1] = "#DIV/0!"
    found = faults(book | {"Lifts": replace(grid, rows=rows, errors=frozenset({(2, place)}))})
    assert [finding.code for finding in found] == [Code.CELL_ERROR]
    assert "#DIV/0!" in found[0].message
    merged = replace(grid, merged=(RangeRef("Lifts", 2, place, 3, place),))
    found = faults(book | {"Lifts": merged})
    assert Code.MERGED_CELLS in {finding.code for finding in found}
    elsewhere = replace(grid, merged=(RangeRef("Lifts", 2, 60, 3, 61),), uncached=frozenset({(2, 60)}))
    read_job(book | {"Lifts": elsewhere})


def test_lifts_of_a_block_out_of_order() -> None:
    lifts = pile(2)
    lifts[1]["Placed"] = days(-1)
    lifts[1]["Stripped"], lifts[1]["Hung"] = days(2), days(3)
    finding = only(grids(lifts=lifts))
    assert finding.code is Code.OUT_OF_ORDER
    assert finding.at.row == 3
    assert "row 2" in finding.message


def test_rates_that_contradict_each_other() -> None:
    agree = pile(2, Rise_rate=1.0, Placing_rate=40.0, Plan_area=40.5)
    job(lifts=agree)
    finding = only(grids(lifts=[agree[0] | {"Placing rate": 60.0}, agree[1]]))
    assert finding.code is Code.IMPOSSIBLE_VALUE
    assert "contradict" in finding.message
    no_area = pile(2, Rise_rate=None, Placing_rate=40.0)
    assert {f.code for f in faults(grids(lifts=no_area))} == {Code.MISSING_VALUE}


def test_names_of_lifts_in_optional_sheets() -> None:
    found = faults(
        grids(
            lifts=pile(2),
            optional={
                "Embeds": [
                    {"Block": "B1", "Lift": 9, "Item": "Sleeve", "Count": 1},
                    {"Block": "B1", "Lift": 9, "Item": "Plate", "Count": 1},
                    {"Block": "B7", "Lift": 1, "Item": "Plate", "Count": 1},
                ],
                "Anchor positions": [{"Block": "B1", "Lift": 2, "Position": 15.0}],
            },
        )
    )
    assert [str(finding.at) for finding in found] == ["Anchor positions!C2", "Embeds!B2", "Embeds!B4"]


def test_a_hyperbola_needs_its_parameters_and_a_datum_lies_below_its_reference() -> None:
    found = faults(grids(mixes=[{"Strength curve": "Hyperbolic"}]))
    assert [finding.heading for finding in found] == ["Ultimate strength", "Rate constant"]
    cold = {"Maturity function": "Nurse-Saul", "Datum temperature": 12.0, "Reference temperature": 12.0}
    assert only(grids(mixes=[cold])).heading == "Datum temperature"


@pytest.mark.parametrize(
    ("item", "entry", "code", "cell"),
    [
        ("Storm wind", (0.8, None), Code.WRONG_UNIT, "C"),
        ("Storm wind", (0.8, "m/s"), Code.WRONG_UNIT, "C"),
        ("Storm wind", ("strong", "kPa"), Code.NOT_A_NUMBER, "B"),
        ("Storm wind", (50.0, "kPa"), Code.IMPOSSIBLE_VALUE, "B"),
        ("Safety basis", ("EN", ""), Code.NOT_ON_LIST, "B"),
        ("Safety basis", (None, ""), Code.MISSING_VALUE, "B"),
        ("Project", (None, ""), Code.MISSING_VALUE, "B"),
    ],
)
def test_faults_of_the_job_sheet(item: str, entry: tuple[Any, Any], code: Code, cell: str) -> None:
    items = JOB_ITEMS | {item: entry}
    grid = job_sheet({key: value for key, value in items.items() if key != item})
    grid = replace(grid, rows=[*grid.rows, (item, *entry)])
    finding = only(grids() | {"Job": grid})
    assert finding.code is code
    assert str(finding.at) == f"Job!{cell}{len(grid.rows)}"


def test_a_required_item_that_is_missing_or_misspelt() -> None:
    items = {key: value for key, value in JOB_ITEMS.items() if key != "Anchor method"}
    assert "Anchor method" in only(grids() | {"Job": job_sheet(items)}).message
    found = faults(grids() | {"Job": job_sheet(items | {"Anchor methd": "ACI 318-19"})})
    assert any("“Anchor methd”" in finding.message for finding in found)


@pytest.mark.parametrize(
    ("value", "unit", "base"),
    [(0.8, "kPa", 0.8), (800.0, "Pa", 0.8), (0.8, "kN/m2", 0.8), (16.70834, "psf", 0.8), (0.8, "[kPa]", 0.8)],
)
def test_units_beside_job_items(value: float, unit: str, base: float) -> None:
    assert job(job={"Storm wind": (value, unit)}).number("Storm wind") == pytest.approx(base, rel=1e-6)


def test_job_items_stand_twice_and_in_any_order_under_a_title() -> None:
    grid = job_sheet(JOB_ITEMS)
    head, *rows = grid.rows
    turned = Grid("Job", [("Upper basin",), (), (None, *head), *[(None, *row) for row in reversed(rows)]])
    read, plain = read_job(grids() | {"Job": turned}), read_job(grids())
    for name, item in plain.items.items():
        other = read.items[name]
        assert (item.text, item.given) == (other.text, other.given)
        assert item.number == other.number or (math.isnan(item.number) and math.isnan(other.number))
    twice = Grid("Job", [*grid.rows, ("project", "Another", None)])
    finding = only(grids() | {"Job": twice})
    assert finding.code is Code.DUPLICATE_ROW


def test_defaults_taken_are_recorded_with_what_they_are() -> None:
    read = job(lifts=pile(3))
    said = {(entry.sheet, entry.heading): (entry.value, entry.blanks) for entry in read.defaults}
    assert said["Job", "Working wind"] == ("0.2 kPa (EN 12811-1 6.2.7.4.2)", 1)
    assert said["Lifts", "Thickness"] == ("thick enough that no mode feels the far side", 3)
    assert said["Form units", "Set-back travel"][0] == "0.75 m (common practice)"
    assert ("Lifts", "Height") not in said
    assert ("Job", "Storm wind") not in said
    record = "\n".join(f"{what}: {line}" for what, line in calculate(read).record)
    for _, heading in said:
        assert heading in record
    partly = pile(3)
    partly[1]["Thickness"] = 4.0
    counts = {entry.heading: entry.blanks for entry in job(lifts=partly).defaults if entry.sheet == "Lifts"}
    assert counts["Thickness"] == 2


def test_every_default_that_means_something_says_what() -> None:
    for declared in INPUT_SHEETS:
        for heading in declared.headings:
            if heading.default is not None:
                assert heading.default_text, f"{declared.name} {heading.name}"
                assert not heading.required


def test_unlikely_numbers_are_questioned_in_their_own_unit() -> None:
    read = job(lifts=[lift | {"Height": 20.0} for lift in pile(1)], written_in={"Lifts": {"Height": "ft"}})
    flags = [flag for flag in read.findings if flag.code is Code.PLAUSIBILITY]
    assert [flag.heading for flag in flags] == ["Height"]
    assert "20 ft" in flags[0].message
    assert "15.0919 ft" in flags[0].limit  # 4.6 m
    assert flags[0].level is Level.ACCEPT


def digest(**changes: Any) -> str:
    return job(**changes).digest


def test_the_digest_does_not_feel_what_the_results_do_not_depend_on() -> None:
    book = grids(lifts=pile(2))
    plain = read_job(book).digest
    grid = book["Lifts"]
    assert grid is not None
    turned = [tuple(reversed(row)) for row in grid.rows]
    titled = [("Lifts of the upper basin",), (), *grid.rows]
    office = [(*row, "office" if place == 0 else place) for place, row in enumerate(grid.rows)]
    spaced = [grid.rows[0], (), grid.rows[1], (None, "  "), grid.rows[2]]
    whole = [
        tuple(int(v) if isinstance(v, float) and v.is_integer() else v for v in row) for row in grid.rows
    ]
    shouted = [
        tuple(str(text).upper().replace("[M", "[m") for text in grid.rows[0][:0]) or grid.rows[0],
        *grid.rows[1:],
    ]
    for rows in (turned, titled, office, spaced, whole, shouted):
        assert read_job(book | {"Lifts": replace(grid, rows=rows)}).digest == plain
    assert read_job(book | {"Calendar": Grid("Calendar", [("x",)])}).digest == plain
    noted = grids(lifts=[lift | {"Note": "anything"} for lift in pile(2)])
    assert read_job(noted).digest == plain
    assert len(plain) == 64


CHANGES: list[dict[str, Any]] = [
    {"job": {"Storm wind": (0.81, "kPa")}},
    {"job": {"Storm wind": (0.8, "psf")}},
    {"job": {"Revision": "B"}},
    {"job": {"Anchor method": "ACI 318M-19"}},
    {"mixes": [{"Strength 28 d": 30.001}]},
    {"mixes": [{"Retarder": "yes"}]},
    {"mixes": [{}, {"Mix": "M2"}]},
    {"units": [{"Mass": 1501.0}]},
    {"units": [{"Lower row": "anchored"}]},
    {"anchors": [{"Embedment": 301.0}]},
    {"anchors": [{"Lost parts": "2 x head"}]},
    {"lifts": pile(2, Rise_rate=1.01)},
    {"lifts": pile(2, strip=3.01)},
    {"lifts": pile(2), "written_in": {"Lifts": {"Rise rate": "ft/h"}}},
    {"lifts": pile(2), "optional": {"Stock": [{"Item": "A1 lost part", "On hand": 5}]}},
    {"lifts": pile(2), "optional": {"Embeds": [{"Block": "B1", "Lift": 1, "Item": "Sleeve", "Count": 5}]}},
]


@pytest.mark.parametrize("change", CHANGES)
def test_the_digest_feels_any_input(change: dict[str, Any]) -> None:
    assert digest(**({"lifts": pile(2)} | change)) != digest(lifts=pile(2))


@pytest.mark.parametrize("sheet_name", ["Mixes", "Form units", "Anchor types", "Lifts"])
def test_the_digest_feels_every_cell_of_the_basic_sheets(sheet_name: str) -> None:
    basic = {"Mixes": MIX, "Form units": UNIT, "Anchor types": ANCHOR, "Lifts": LIFT}[sheet_name]
    argument = {"Mixes": "mixes", "Form units": "units", "Anchor types": "anchors", "Lifts": "lifts"}[
        sheet_name
    ]
    plain = grids(lifts=[{}])
    before = read_job(plain).digest
    for heading, value in basic.items():
        if heading in ("Mix", "Unit", "Anchor") or not isinstance(value, (int, float)):
            continue
        if heading in ("Lift", "Platform class", "Anchors per unit"):
            other: Any = value + 1
        else:
            other = value * 1.0001
        assert read_job(grids(**{"lifts": [{}], argument: [{heading: other}]})).digest != before, heading


def moved_job(change: Callable[[dict[str, Any]], dict[str, Any]]) -> Job:
    """Return a job whose Job table stands further right, beside a column of the office."""
    head, *rows = job_sheet(change(dict(JOB_ITEMS))).rows
    wide = [("Office", None, None, *head), *[(None, None, None, *row) for row in rows]]
    return read_job(grids() | {"Job": Grid("Job", wide)})


def test_the_digest_feels_job_items_that_stand_further_right() -> None:
    one = moved_job(lambda items: items)
    other = moved_job(lambda items: items | {"Storm wind": (3.0, "kPa")})
    assert one.number("Storm wind") != other.number("Storm wind")
    assert one.digest != other.digest


def test_the_digest_does_not_feel_the_offices_lines_on_job() -> None:
    grid = job_sheet(JOB_ITEMS)
    titled = Grid("Job", [("Upper basin, sheet 1",), (), *grid.rows])
    assert read_job(grids() | {"Job": titled}).digest == read_job(grids()).digest


def test_a_job_sheet_without_a_unit_column_reads_no_units_elsewhere() -> None:
    rows = [("Item", "Value", "Remark")] + [
        (name, entry[0] if isinstance(entry, tuple) else entry, "see memo 4")
        for name, entry in JOB_ITEMS.items()
    ]
    finding = only(grids() | {"Job": Grid("Job", rows)})
    assert "memo" not in finding.message


def test_titles_of_the_builder_do_not_disturb() -> None:
    assert sheet("Mixes", [MIX], title_rows=2).rows[2][0] == "Mix"


def test_units_are_not_hung_on_a_lift_before_it_is_stripped() -> None:
    lifts = pile(2)
    lifts[0]["Stripped"], lifts[0]["Hung"] = days(5), days(3)
    try:
        told = [str(finding) for finding in calculate(job(lifts=lifts)).findings]
    except InputFaults as faulty:
        told = [str(finding) for finding in faulty.findings]
    assert any("Hung" in text and "Stripped" in text for text in told)
