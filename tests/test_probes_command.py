"""Logger files into the probe log, as the command is called from a shell."""

from __future__ import annotations

import datetime as dt
import json
import zipfile
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
from builders import START, pile
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from openpyxl.worksheet.table import Table as SheetTable
from test_commands import CLEAN, write

from sheetengine.__main__ import main
from sheetengine.logger_files import Asked, channel_of, decoded, read_readings
from sheetengine.run import read_book

FIRST = {
    "Block": "B1",
    "Lift": 1,
    "Time": START,
    "Temperature": 20.0,
    "Depth from face": 0.2,
    "Depth from joint": 0.4,
    "Probe": "P1",
}
HEAD = "Time,Temperature [degC],Block,Lift,Probe,Depth from face [m],Depth from joint [m]\n"


def moments(count: int, start: dt.datetime = START + dt.timedelta(hours=1)) -> list[dt.datetime]:
    return [start + dt.timedelta(hours=hour) for hour in range(count)]


def long_lines(count: int = 5) -> str:
    return HEAD + "".join(
        f"{moment:%Y-%m-%d %H:%M},{21 + place / 10:.1f},B1,1,P1,0.2,0.4\n"
        for place, moment in enumerate(moments(count))
    )


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return write(tmp_path / "book.xlsx", **CLEAN, optional={"Probe log": [FIRST]})


def logger(tmp_path: Path, text: str, name: str = "log.csv", encoding: str = "utf-8") -> Path:
    path = tmp_path / name
    path.write_bytes(text.encode(encoding))
    return path


def log_of(path: Path) -> Any:
    return read_book(path).table("Probe log")


def test_readings_are_added_below_the_log_and_the_rest_keeps_every_byte(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with zipfile.ZipFile(book) as opened:
        before = {name: opened.read(name) for name in opened.namelist()}
    assert main(["probes", str(book), str(logger(tmp_path, long_lines())), "--json"]) == 0
    caught = capsys.readouterr()
    assert json.loads(caught.out) == {
        "book": str(book), "files": [str(tmp_path / "log.csv")], "added": 5, "there_already": 0, "first_row": 3, "last_row": 7,
        "status": 0,
    }  # fmt: skip
    assert "5 readings added" in caught.err
    with zipfile.ZipFile(book) as opened:
        after = {name: opened.read(name) for name in opened.namelist()}
    changed = [name for name in before if before[name] != after[name]]
    assert list(before) == list(after)
    assert len(changed) == 1
    old, new = before[changed[0]], after[changed[0]]
    head, tail = old.split(b"</sheetData>")
    assert new.endswith(b"</sheetData>" + tail)
    assert head.split(b"<sheetData>")[1] in new
    log = log_of(book)
    assert log.number("temperature").tolist() == pytest.approx([20.0, 21.0, 21.1, 21.2, 21.3, 21.4])
    assert np.diff(log.number("time")).tolist() == pytest.approx([1.0] * 5)
    assert log.label("probe").tolist() == ["P1"] * 6
    sheet = openpyxl.load_workbook(book)["Probe log"]
    assert sheet["C7"].value == START + dt.timedelta(hours=5)
    assert sheet["B7"].value == 1
    assert main(["run", str(book)]) in (0, 1)


def test_readings_that_are_there_are_not_added_twice(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = logger(tmp_path, long_lines())
    assert main(["probes", str(book), str(file)]) == 0
    bytes_of_it = book.read_bytes()
    assert main(["probes", str(book), str(file)]) == 0
    assert book.read_bytes() == bytes_of_it
    assert "there already; nothing was written" in capsys.readouterr().err
    more = logger(tmp_path, long_lines(8), "more.csv")
    assert main(["probes", str(book), str(more), str(more), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["added"] == 3
    assert len(log_of(book)) == 9


def test_an_out_file_leaves_the_book_as_it_is(book: Path, tmp_path: Path) -> None:
    before, out = book.read_bytes(), tmp_path / "more.xlsx"
    assert main(["probes", str(book), str(logger(tmp_path, long_lines())), "--out", str(out)]) == 0
    assert book.read_bytes() == before
    assert len(log_of(out)) == 6


@pytest.mark.parametrize("from_1904", [False, True])
def test_an_empty_log_gets_dates_in_both_date_systems(tmp_path: Path, from_1904: bool) -> None:
    book = write(tmp_path / "book.xlsx", **CLEAN, optional={"Probe log": [FIRST]})
    opened = openpyxl.load_workbook(book)
    opened["Probe log"].delete_rows(2)
    if from_1904:
        opened.epoch = CALENDAR_MAC_1904
    opened.save(book)
    assert main(["probes", str(book), str(logger(tmp_path, long_lines()))]) == 0
    log = log_of(book)
    assert log.rows.tolist() == [2, 3, 4, 5, 6]
    placed = read_book(book).table("Lifts").number("placed")[0]
    assert (log.number("time") - placed).tolist() == pytest.approx([1.0, 2.0, 3.0, 4.0, 5.0])
    assert openpyxl.load_workbook(book)["Probe log"]["C2"].value == START + dt.timedelta(hours=1)


def test_a_table_grows_and_rows_that_hold_formats_alone_make_room(book: Path, tmp_path: Path) -> None:
    opened = openpyxl.load_workbook(book)
    sheet = opened["Probe log"]
    sheet.add_table(SheetTable(displayName="Log", ref="A1:G2"))
    for row in (3, 4, 20):
        sheet.cell(row, 9).number_format = "0.00"
    opened.save(book)
    assert main(["probes", str(book), str(logger(tmp_path, long_lines()))]) == 0
    sheet = openpyxl.load_workbook(book)["Probe log"]
    assert sheet.tables["Log"].ref == "A1:G7"
    assert [row[0].row for row in sheet.iter_rows() if row[0].value == "B1"] == [2, 3, 4, 5, 6, 7]
    assert sheet.cell(20, 9).number_format == "0.00"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "latin-1"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_separators_encodings_and_decimal_commas(separator: str, encoding: str) -> None:
    text = (
        "Logger Nº 7\n\n"
        + separator.join(["Date", "Time", "Temp (°C)", "Block", "Lift"])
        + "\n"
        + separator.join(["31.03.2031", "06:30", '"21,5"', "B1", "1"])
        + "\n"
    )
    found, faults = read_readings(text.encode(encoding), "a.csv", Asked())
    assert faults == []
    assert found.temperature.tolist() == [21.5]
    assert found.line.tolist() == [4]
    assert np.mod(found.time, 24.0).tolist() == [6.5]
    assert "Nº" in decoded(text.encode(encoding))


@pytest.mark.parametrize(
    ("spelled", "dates", "hour"),
    [
        ("2031-04-07 06:00", "", 6.0),
        ("2031-04-07T06:00:30", "", 6.0 + 30 / 3600),
        ("2031/04/07 06:00", "", 6.0),
        ("07/04/2031 06:00", "day-first", 6.0),
        ("04/07/2031 6:00 PM", "month-first", 18.0),
        ("7.4.2031 12:15 am", "day-first", 0.25),
    ],
)
def test_dates_as_loggers_spell_them(spelled: str, dates: str, hour: float) -> None:
    text = f"Time,Temp C,Block,Lift\n{spelled},20,B1,1\n"
    found, faults = read_readings(text.encode(), "a.csv", Asked(dates=dates))
    assert faults == []
    day = (dt.datetime(2031, 4, 7) - dt.datetime(1899, 12, 30)).days
    assert found.time[0] == pytest.approx(24.0 * day + hour)


def test_dates_that_can_be_read_two_ways_are_refused_unless_one_shows_the_order() -> None:
    head = "Time,Temp C,Block,Lift\n"
    _, faults = read_readings((head + "07/04/2031 06:00,20,B1,1\n").encode(), "a.csv", Asked())
    assert [fault.at.row for fault in faults] == [2]
    assert "--dates" in faults[0].clears
    shown, faults = read_readings(
        (head + "07/04/2031 06:00,20,B1,1\n14/04/2031 06:00,20,B1,1\n").encode(), "a.csv", Asked()
    )
    assert faults == []
    assert np.diff(shown.time).tolist() == [7 * 24.0]
    _, faults = read_readings(
        (head + "14/04/2031 06:00,20,B1,1\n04/14/2031 06:00,20,B1,1\n").encode(), "a.csv", Asked()
    )
    assert len(faults) == 1


def test_channels_stand_in_columns_of_their_own(book: Path, tmp_path: Path) -> None:
    text = "Stamp;CH1;CH2\n" + "".join(
        f"{moment:%d/%m/%Y %H:%M};{68 + place};{'' if place == 1 else '50,0'}\n"
        for place, moment in enumerate(moments(3))
    ).replace("50,0", "50")
    command = ["probes", str(book), str(logger(tmp_path, text)), "--map", "Time=Stamp", "--dates", "day-first", "--unit", "F",
               "--channel", "CH1=B1/1/P7/250mm/0.4", "--channel", "CH2=B1/2/P8/0.2/0.4"]  # fmt: skip
    assert main(command) == 0
    log = log_of(book)
    assert log.label("probe").tolist() == ["P1", "P7", "P7", "P7", "P8", "P8"]
    assert log.number("temperature")[1:].tolist() == pytest.approx(
        [20.0, 20.5556, 21.1111, 10.0, 10.0], abs=1e-4
    )
    assert log.number("depth_from_face")[1] == pytest.approx(0.25)


def test_every_fault_is_told_by_file_and_line_and_nothing_is_written(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = book.read_bytes()
    text = (
        long_lines(3)
        + "yesterday,20,B1,1,P1,0.2,0.4\n2031-04-08 06:00,warm,B1,1,P1,0.2,0.4\n2031-04-08 07:00,20,B9,1,P1,0.2,0.4\n"
    )
    text += "2031-04-08 08:00,20,5,B1,1,P1,0.2,0.4\n"
    text += f"{START:%Y-%m-%d %H:%M},33,B1,1,P1,0.2,0.4\n"
    other = logger(tmp_path, "Stamp,Value\n2031-04-08 06:00,20\n", "other.csv")
    assert main(["probes", str(book), str(logger(tmp_path, text)), str(other), "--json"]) == 2
    caught = capsys.readouterr()
    told = json.loads(caught.out)["faults"]
    assert {(fault["sheet"], fault["cell"]) for fault in told} == {
        ("log.csv", "A5"), ("log.csv", "A6"), ("log.csv", "A7"), ("log.csv", "A8"), ("log.csv", "A9"), ("other.csv", "A1"),
    }  # fmt: skip
    (heads,) = (fault for fault in told if fault["sheet"] == "other.csv")
    assert "“Stamp”, “Value”" in heads["message"]
    assert "Line 8" in caught.err
    assert book.read_bytes() == before


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("Time,Temperature,Block,Lift\n2031-04-07 07:00,20,B1,1\n", "C or F"),
        ("Time,Temp C,Temperature C,Block,Lift\n2031-04-07 07:00,20,20,B1,1\n", "could be any of"),
        ("Time,Temp C,Block\n2031-04-07 07:00,20,B1\n", "No heading is Lift"),
        ("Time,Temp C,Block,Lift,Depth from face\n2031-04-07 07:00,20,B1,1,0.2\n", "unit of length"),
        ("Time,Temp C,Block,Lift\n", "no readings"),
        (
            'Time,Temp C,Block,Lift\n2031-04-07 07:00,1.234,B1,1\n2031-04-07 08:00,"20,5",B1,1\n',
            "points and commas",
        ),
        ("Time,Temp C,Block,Lift\n2031-04-07 07:00+02:00,20,B1,1\n", "in which time the plan is"),
    ],
)
def test_what_is_not_clear_is_refused(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str, word: str
) -> None:
    assert main(["probes", str(book), str(logger(tmp_path, text))]) == 2
    assert word in capsys.readouterr().err.replace("\n", " ")


def test_times_with_an_offset_stay_as_they_are_and_count_in_the_time_of_the_plan(tmp_path: Path) -> None:
    made = CLEAN | {"job": CLEAN["job"] | {"Time zone of the plan": "+01:00"}}
    book = write(tmp_path / "book.xlsx", **made, optional={"Probe log": [FIRST]})
    text = "Time,Temp C,Block,Lift,Probe\n2031-04-07T07:00Z,21,B1,1,P1\n2031-04-07T06:00+01:00,20,B1,1,P1\n"
    assert main(["probes", str(book), str(logger(tmp_path, text))]) == 0
    log = log_of(book)
    assert len(log) == 2  # 06:00 +01:00 is there already
    assert np.diff(log.number("time")).tolist() == pytest.approx([2.0])
    assert openpyxl.load_workbook(book)["Probe log"]["C3"].value == "2031-04-07T07:00:00+00:00"


def test_a_book_or_file_that_is_not_there_is_status_3(book: Path, tmp_path: Path) -> None:
    file = logger(tmp_path, long_lines())
    assert main(["probes", str(tmp_path / "none.xlsx"), str(file)]) == 3
    assert main(["probes", str(book), str(tmp_path / "none.csv")]) == 3


def test_a_book_without_the_sheet_or_the_column_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = logger(tmp_path, long_lines())
    bare = write(tmp_path / "bare.xlsx", **CLEAN)
    assert main(["probes", str(bare), str(file)]) == 2
    assert "no sheet Probe log" in capsys.readouterr().err
    narrow = write(
        tmp_path / "narrow.xlsx",
        **CLEAN,
        optional={"Probe log": [{k: v for k, v in FIRST.items() if k != "Probe"}]},
    )
    assert main(["probes", str(narrow), str(file)]) == 2
    assert "Add a column Probe" in capsys.readouterr().err


@pytest.mark.parametrize(
    "wrong", ["--map=Tim=Stamp", "--map=Time", "--channel=CH1=B1/1", "--channel=CH1=B1/1/P/deep/0.4"]
)
def test_a_mapping_that_is_none_is_told_by_the_parser(
    book: Path, capsys: pytest.CaptureFixture[str], wrong: str
) -> None:
    with pytest.raises(SystemExit):
        main(["probes", str(book), "log.csv", wrong])
    assert "“" in capsys.readouterr().err
    assert channel_of("a=b=B1/1///").heading == "a=b"
    assert pile(1)
