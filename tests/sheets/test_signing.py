"""Flags from run to run: they stay themselves while rows move, and a signature holds for what was signed."""

from __future__ import annotations

import datetime as dt
import shutil
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest
from builders import days, grids, job, pile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from sheetengine.cells import CellRef
from sheetengine.exceptions import InputFaults
from sheetengine.findings import Code, Finding, Level
from sheetengine.grids import Grid
from sheetengine.job import Results
from sheetengine.run import calculate, flags_now, read_book, write_results
from sheetengine.sheets.flag_frames import flag_frame, history_frame
from sheetengine.sheets.reading import read_job
from sheetengine.sheets.signing import (
    CAME_BACK,
    CLEARED,
    OPEN,
    OPEN_AGAIN,
    REOPENED,
    SIGNED,
    Entry,
    Event,
    Stand,
    got_worse,
    lived,
    named,
    read_entries,
    read_events,
)

FIRST, SECOND, THIRD = (f"2031-04-0{day} 06:00" for day in (7, 8, 9))


def finding(value: object = 1.1, limit: str = "1", **changes: Any) -> Finding:
    given: dict[str, Any] = {
        "level": Level.STOP, "code": Code.EXCEEDS, "at": CellRef("Lifts", 5, 9), "message": "Too much.", "found": value,
        "limit": limit, "keys": ("B1", "2", "Placing"), "heading": "Rise rate",
    } | changes  # fmt: skip
    return Finding(**given)


def sheets_of(
    entries: Sequence[Entry], findings: Sequence[Finding], events: Sequence[Event] = ()
) -> dict[str, Grid]:
    """Return the two sheets as a later run finds them, under a title."""
    found = {}
    for name, frame in (("Flags", flag_frame(findings, entries)), ("Flag history", history_frame(events))):
        rows = [tuple(map(str, frame.columns)), *(tuple(row) for row in frame.itertuples(index=False))]
        found[name] = Grid(name, [("A title",), (), *rows])
    return found


def signed(grid: Grid, identifier: str, initials: Any = "KL", remark: Any = "seen") -> Grid:
    """Return the sheet ``Flags`` after the reviewer wrote beside one flag."""
    head = next(place for place, row in enumerate(grid.rows) if "Initials" in row)
    at = {name: list(grid.rows[head]).index(name) for name in ("Flag", "Initials", "Remark")}
    rows = [list(row) for row in grid.rows]
    for row in rows[head + 1 :]:
        if row[at["Flag"]] == identifier:
            row[at["Initials"]], row[at["Remark"]] = initials, remark
    return Grid(grid.sheet, [tuple(row) for row in rows])


def run(
    findings: Sequence[Finding], before: dict[str, Grid] | None = None, time: str = SECOND, **changes: Any
) -> tuple[list[Entry], list[Event]]:
    before = before or {}
    return lived(
        findings,
        read_entries(before["Flags"].rows) if before else {},
        read_events(before["Flag history"].rows) if before else (),
        time=time,
        **changes,
    )


def signed_once(**changes: Any) -> tuple[Finding, dict[str, Grid]]:
    """Return a flag and the sheets after it was signed."""
    flag = finding(**changes)
    sheets = sheets_of(*run([flag], time=FIRST)[:1], [flag])
    return flag, sheets | {"Flags": signed(sheets["Flags"], flag.identifier)}


def test_a_signature_holds_while_the_value_gets_no_worse_than_the_amount() -> None:
    _, sheets = signed_once(value=1.10)
    for value in (1.10, 1.05, 1.12):
        ((entry,), events) = run([finding(value)], sheets)
        assert (entry.state, entry.initials, entry.remark, entry.before) == (SIGNED, "KL", "seen", "")
        assert entry.raised == FIRST
        assert events == []


def test_a_value_that_got_worse_opens_its_flag_again_and_says_so() -> None:
    _, sheets = signed_once(value=1.10)
    ((entry,), (event,)) = run([finding(1.13)], sheets)
    assert (entry.state, entry.initials, entry.remark) == (OPEN_AGAIN, "", "seen")
    assert entry.why == "the value signed was 1.1"
    assert entry.before == "KL at 1.1 (limit 1)"
    assert (event.what, event.initials, event.time) == (REOPENED, "KL", SECOND)
    # it stays open until it is signed anew, and then for the new value
    sheets = sheets_of([entry], [finding(1.13)], [event])
    ((still,), events) = run([finding(1.13)], sheets, THIRD)
    assert (still.state, still.initials, len(events)) == (OPEN_AGAIN, "", 1)
    again = signed(sheets["Flags"], entry.identifier, "MN")
    ((entry,), _) = run([finding(1.14)], sheets | {"Flags": again}, THIRD)
    assert (entry.state, entry.initials, entry.before) == (SIGNED, "MN", "KL at 1.1 (limit 1)")


def test_worse_by_little_at_every_run_adds_up() -> None:
    _, sheets = signed_once(value=1.10)
    values, states = (1.11, 1.12, 1.13), []
    for value in values:
        flag = finding(value)
        ((entry,), events) = run([flag], sheets, THIRD)
        states.append(entry.state)
        sheets = sheets_of([entry], [flag], events)
    assert states == [SIGNED, SIGNED, OPEN_AGAIN]


@pytest.mark.parametrize(
    ("code", "was", "now", "opens"),
    [
        (Code.EXCEEDS, Stand("", "1.1", "1"), Stand("", "1.0", "1"), False),
        (Code.EXCEEDS, Stand("", "8 MPa", "10 MPa"), Stand("", "7.7 MPa", "10 MPa"), True),
        (Code.EXCEEDS, Stand("", "8 MPa", "10 MPa"), Stand("", "9 MPa", "10 MPa"), False),
        (Code.EXCEEDS, Stand("", "8 MPa", "10 MPa"), Stand("", "8 MPa", "11 MPa"), True),
        (Code.EXCEEDS, Stand("", "1.1", "1"), Stand("", "1.1", "0.9"), True),
        (Code.EXCEEDS, Stand("", "8 MPa", "10 MPa"), Stand("", "1160 psi", "1450 psi"), True),
        (Code.NEAR_LIMIT, Stand("", "0.92", "1"), Stand("", "0.96", "1"), True),
        (Code.NEAR_LIMIT, Stand("", "0.96", "1"), Stand("", "0.92", "1"), False),
        (Code.PLAUSIBILITY, Stand("", "12 m/h", "0.2 to 5 m/h"), Stand("", "14 m/h", "0.2 to 5 m/h"), True),
        (Code.PLAUSIBILITY, Stand("", "12 m/h", "0.2 to 5 m/h"), Stand("", "12 m/h", "0.2 to 5 m/h"), False),
        (Code.EXCEEDS, Stand("", "1.1", "1"), Stand("", "nan", "1"), True),
        (Code.EXCEEDS, Stand("", "1.1", "1"), Stand("", "", "1"), True),
        (Code.EXCEEDS, Stand("", "1.1", "1"), Stand("", "1.1", ""), True),
        (Code.DEFAULT_TAKEN, Stand(about="B1/1; B1/2"), Stand(about="B1/2"), False),
        (Code.DEFAULT_TAKEN, Stand(about="B1/1; B1/2"), Stand(about="B1/1; B1/3"), True),
        (Code.PROBE_FAULT, Stand(about="12 readings"), Stand(about="13 readings"), True),
        (Code.PROBE_FAULT, Stand(about="12 readings"), Stand(about="2 readings"), False),
        (Code.EXCEEDS, Stand("Needs acceptance", "1", "2"), Stand("Blocks issue", "1", "2"), True),
        (Code.EXCEEDS, Stand("Blocks issue", "1", "2"), Stand("Needs acceptance", "1", "2"), False),
    ],
)  # fmt: skip
def test_what_counts_as_worse(code: Code, was: Stand, now: Stand, opens: bool) -> None:
    assert bool(got_worse(code, was, now, 0.02)) is opens


@given(
    was=st.floats(0.1, 5.0), limit=st.floats(0.1, 5.0), step=st.floats(-1.0, 1.0), amount=st.floats(0.0, 0.5)
)
def test_on_one_side_of_the_limit_only_the_way_outward_opens(
    was: float, limit: float, step: float, amount: float
) -> None:
    outward = 1.0 if float(f"{was:.6g}") >= float(f"{limit:.6g}") else -1.0
    now = was + step
    opens = got_worse(
        Code.EXCEEDS, Stand("", f"{was:.6g}", f"{limit:.6g}"), Stand("", f"{now:.6g}", f"{limit:.6g}"), amount
    )
    worse = outward * step
    if worse < amount * max(was, limit) - 1e-4:
        assert not opens
    if worse > amount * max(was, limit) + 1e-4:
        assert opens


def test_a_cleared_flag_goes_to_the_history_with_its_signature_and_comes_back_open() -> None:
    flag, sheets = signed_once(value=1.10)
    (none, (gone,)) = run([], sheets, digest="0f0f")
    assert none == []
    assert (gone.what, gone.identifier, gone.initials, gone.remark) == (
        CLEARED,
        flag.identifier,
        "KL",
        "seen",
    )
    assert (gone.stand.value, gone.digest) == ("1.1", "0f0f")
    later = sheets_of([], [], [gone])
    ((entry,), events) = run([finding(1.10)], later, THIRD)
    assert (entry.state, entry.initials, entry.remark) == (OPEN_AGAIN, "", "seen")
    assert entry.before == "KL at 1.1 (limit 1)"
    assert [event.what for event in events] == [CAME_BACK, CLEARED]
    # and once it is there again the history says nothing new
    ((entry,), events) = run([finding(1.10)], sheets_of([entry], [finding(1.10)], events), THIRD)
    assert len(events) == 2


def test_flags_that_share_an_identifier_are_told_apart_and_never_signed_together() -> None:
    one, two = finding(message="Row 5: bar G1."), finding(message="Row 9: bar G2.")
    ids = {flag.message: name for name, flag in named([one, two])}
    moved = [finding(message="Row 7: bar G2."), finding(message="Row 8: bar G1.")]
    again = {flag.message[-3:]: name for name, flag in named(moved)}
    assert len(set(ids.values())) == 2
    assert {text[-3:]: name for text, name in ids.items()} == again
    # one that was signed alone is signed for neither of two
    _, sheets = signed_once()
    entries, events = run([one, two], sheets)
    assert [entry.state for entry in entries] == [OPEN, OPEN]
    assert [event.what for event in events] == [CLEARED]


@pytest.mark.parametrize("initials", [" KL ", 7, 7.0, "=1+1", "+KL", "@KL"])
def test_initials_are_text_whatever_was_typed(initials: Any) -> None:
    flag = finding()
    sheets = sheets_of(run([flag], time=FIRST)[0], [flag])
    written = signed(sheets["Flags"], flag.identifier, initials, "-1")
    ((entry,), _) = run([flag], sheets | {"Flags": written})
    wanted = str(initials).strip().removesuffix(".0")
    assert (entry.initials, entry.remark, entry.state) == (wanted, "-1", SIGNED)


def test_a_sheet_of_an_older_version_and_one_in_another_order_are_read() -> None:
    flags = [finding(keys=("B1", str(lift), "Placing"), message=f"Lift {lift}.") for lift in range(1, 6)]
    sheets = sheets_of(run(flags, time=FIRST)[0], flags)
    grid = signed(sheets["Flags"], flags[2].identifier)
    head = 2
    shuffled = Grid("Flags", [*grid.rows[: head + 1], *reversed(grid.rows[head + 1 :])])
    few = [
        list(grid.rows[head]).index(name)
        for name in ("Flag", "Level", "Finding", "Value", "Limit", "Initials", "Remark")
    ]
    older = Grid(
        "Flags", [tuple(row[column] if len(row) > column else None for column in few) for row in grid.rows]
    )
    for given_ in (grid, shuffled, older):
        entries, _ = run(flags, sheets | {"Flags": given_})
        assert [entry.initials for entry in entries] == ["", "", "KL", "", ""]
        assert entries[2].state == SIGNED
    lost = Grid("Flags", [row for row in grid.rows if flags[2].identifier not in row])
    entries, _ = run(flags, sheets | {"Flags": lost})
    assert all(not entry.initials for entry in entries)


# rows that move

BOOK: dict[str, list[dict[str, Any]]] = {
    "lifts": [
        *pile(3, Rise_rate=3.0, Air_temperature=8.0),
        *pile(3, block="B2", Concrete_temperature=6.0, Anchor_spacing=1.4, hang=2.0),
        *pile(3, block="B3", Mix="M2", Unit="U2", Concrete_temperature=34.0, Stripped=None, Hung=None),
    ],
    "mixes": [{"Mix": "M1"}, {"Mix": "M2", "Set confirmed": None, "Unit weight": 27.5}],
    "units": [{"Unit": "U1"}, {"Unit": "U2", "Permissible pressure": 30.0, "Mass": 4000.0}],
}  # fmt: skip
LOG = [
    {"Block": "B1", "Lift": 1, "Time": days(0.5 + hour / 24.0), "Temperature": value, "Depth from face": 2.0,
     "Depth from joint": 0.4}
    for hour, value in enumerate((12.0, 13.0, 14.0, 15.0))
]  # fmt: skip


def results(book: dict[str, Any], optional: dict[str, list[dict[str, Any]]]) -> Results:
    return calculate(job(**book, optional=optional))


def things(found: Results) -> dict[str, tuple[Any, ...]]:
    """Return what every flag is, by identifier, without the place and the words that name it."""
    return {
        name: (
            flag.level,
            flag.code,
            flag.found,
            flag.limit,
            tuple(sorted(flag.about)),
            flag.keys,
            flag.heading,
        )
        for name, flag in named(found.findings)
    }


FOUND = results(BOOK, {"Probe log": LOG})


def test_the_book_of_moving_rows_has_flags_of_many_kinds() -> None:
    assert len(FOUND.findings) >= 12
    assert len({flag.code for flag in FOUND.findings}) >= 6
    assert len({name for name, _ in named(FOUND.findings)}) == len(FOUND.findings)


def mixed(draw: Callable[..., Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the book with its rows moved: blocks interleaved, each in its own order; other sheets in any order."""
    order = draw(st.permutations([row["Block"] for row in BOOK["lifts"]]))
    left = {block: [row for row in BOOK["lifts"] if row["Block"] == block] for block in ("B1", "B2", "B3")}
    lifts: list[dict[str, Any]] = []
    for block in order:
        if draw(st.booleans()):
            lifts.append({})
        lifts.append(left[block].pop(0))
    moved = {
        "lifts": lifts,
        "mixes": draw(st.permutations(BOOK["mixes"])),
        "units": draw(st.permutations(BOOK["units"])),
    }
    log = list(LOG)
    for _ in range(draw(st.integers(0, 2))):
        log.insert(draw(st.integers(0, len(log))), {})
    return moved, {"Probe log": log}


@settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_moved_and_blank_rows_change_no_flag_and_no_signature(data: st.DataObject) -> None:
    book, optional = mixed(data.draw)
    moved = calculate(read_job(_with_blanks(book, optional)))
    assert things(moved) == things(FOUND)
    first = flags_now(FOUND, None, dt.datetime(2031, 4, 7))
    chosen = data.draw(st.sampled_from([entry.identifier for entry in first.entries]))
    sheets = sheets_of(first.entries, FOUND.findings)
    sheets["Flags"] = signed(sheets["Flags"], chosen)
    after = flags_now(moved, sheets, dt.datetime(2031, 4, 8))
    assert {entry.identifier for entry in after.entries if entry.initials} == {chosen}
    assert {entry.state for entry in after.entries} == {SIGNED, OPEN}
    assert after.events == []


def _with_blanks(book: dict[str, Any], optional: dict[str, Any]) -> dict[str, Grid | None]:
    """Return the grids; an empty row stays empty."""
    full = {name: [row for row in rows if row] for name, rows in book.items()}
    made = dict(
        grids(**full, optional={name: [row for row in rows if row] for name, rows in optional.items()})
    )
    for name, rows in (("Lifts", book["lifts"]), ("Probe log", optional["Probe log"])):
        grid = made[name]
        assert grid is not None
        body = iter(grid.rows[1:])
        made[name] = Grid(name, [grid.rows[0], *(next(body) if row else () for row in rows)])
    return made


@settings(max_examples=15, suppress_health_check=[HealthCheck.too_slow])
@given(gone=st.sampled_from(["B1", "B2", "B3"]))
def test_rows_taken_out_clear_their_flags_and_touch_no_other(gone: str) -> None:
    first = flags_now(FOUND, None, dt.datetime(2031, 4, 7))
    sheets = sheets_of(first.entries, FOUND.findings)
    for entry in first.entries:
        sheets["Flags"] = signed(sheets["Flags"], entry.identifier, f"K{entry.identifier}", entry.identifier)
    rest = {
        "lifts": [row for row in BOOK["lifts"] if row["Block"] != gone],
        "mixes": BOOK["mixes"],
        "units": BOOK["units"],
    }
    optional = {"Probe log": LOG} if gone != "B1" else {}
    fewer = results(rest, optional)
    after = flags_now(fewer, sheets, dt.datetime(2031, 4, 8))
    for entry in after.entries:
        if entry.remark:
            assert entry.remark == entry.identifier
        if entry.initials:
            assert entry.initials == f"K{entry.identifier}"
    kept = {entry.identifier for entry in after.entries}
    assert {event.identifier for event in after.events if event.what == CLEARED} == {
        entry.identifier for entry in first.entries if entry.identifier not in kept
    }


# through a real file


def test_through_a_file_signed_worsened_cleared_and_back(tmp_path: Path) -> None:
    book = tmp_path / "book.xlsx"
    shutil.copy(Path(__file__).parents[2] / "demo_books" / "gravity_dam_metric.xlsx", book)
    before = write_results(book, calculate(read_book(book)), moment=dt.datetime(2031, 4, 7))
    assert before[SIGNED] == before[CLEARED] == 0

    def cells(name: str, sheet: str = "Flags") -> tuple[Any, Any, dict[str, int], list[list[Any]]]:
        workbook = load_workbook(book)
        page = workbook[sheet]
        rows = [list(row) for row in page.iter_rows(values_only=True)]
        head = next(place for place, row in enumerate(rows) if name in row)
        return (
            workbook,
            page,
            {str(text): at for at, text in enumerate(rows[head]) if text},
            [rows[head], *rows[head + 1 :]],
        )

    def row_of(page: Any, words: str) -> int:
        return next(row[0].row for row in page.iter_rows() if any(words in str(cell.value) for cell in row))

    workbook, page, at, _ = cells("Initials")
    row = row_of(page, "presses with 50.58 kPa")
    page.cell(row, at["Initials"] + 1, "KL")
    page.cell(row, at["Remark"] + 1, "=agreed").data_type = "s"
    workbook["Lifts"].sheet_state = "visible"
    workbook.save(book)
    held = write_results(book, calculate(read_book(book)), moment=dt.datetime(2031, 4, 8))
    assert held[SIGNED] == 1

    def set_rate(value: float) -> dict[str, int]:
        workbook = load_workbook(book)
        lifts = workbook["Lifts"]
        lifts["N22"] = value
        workbook.save(book)
        return write_results(book, calculate(read_book(book)), moment=dt.datetime(2031, 4, 9))

    rate = load_workbook(book)["Lifts"]["N22"].value
    worse = set_rate(rate * 1.5)
    assert (worse[SIGNED], worse[OPEN_AGAIN]) == (0, 1)
    _, page, at, _ = cells("Initials")
    row = row_of(page, "Lift M7/6: the fresh concrete presses")
    assert page.cell(row, at["Initials"] + 1).value in (None, "")
    assert page.cell(row, at["Remark"] + 1).value == "=agreed"
    assert page.cell(row, at["Remark"] + 1).data_type == "s"
    assert str(page.cell(row, at["State"] + 1).value).startswith("Open again: the value signed was 50.58 kPa")
    assert str(page.cell(row, at["Signed before"] + 1).value).startswith("KL at 50.58 kPa")
    cleared = set_rate(rate * 0.4)
    assert cleared[CLEARED] >= 1
    _, page, at, rows = cells("Event", "Flag history")
    events = [(line[at["Event"]], line[at["Initials"]]) for line in rows[1:] if line[at["Event"]]]
    assert (REOPENED, "KL") in events
    assert any(what == CLEARED for what, _ in events)


def test_an_amount_beyond_its_bounds_is_refused() -> None:
    with pytest.raises(InputFaults):
        job(job={"Flag reopens at": -0.1})
