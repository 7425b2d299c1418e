"""The command that pulls logger files into a book: what is added, what is left alone, and what is refused."""

from __future__ import annotations

import json
import subprocess
import zipfile
from pathlib import Path

import openpyxl
import pytest
from builders import START
from python_calamine import CalamineWorkbook
from test_commands import CLEAN, write

from sheetengine.__main__ import main
from sheetengine.demos import copy_demo, demo_named
from sheetengine.run import read_book

LOG = "Time;Temperature [degC]\n" + "".join(
    f"{START.replace(hour=hour):%Y-%m-%d %H:%M};{15.0 + hour / 10.0:.2f}\n" for hour in range(8, 20)
)
PLACE = [
    "--set",
    "Block=T1",
    "--set",
    "Lift=4",
    "--set",
    "Probe=P1",
    "--set",
    "Depth from face=0.4 m",
    "--set",
    "Depth from joint=0.95 m",
]


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A demo book with an empty log: its cells are blank and keep their formats."""
    path = copy_demo(demo_named("power-station"), tmp_path)
    workbook = openpyxl.load_workbook(path)
    sheet = workbook["Probe log"]
    head = next(row for row in range(1, 20) if sheet.cell(row, 1).value == "Block")
    for row in sheet.iter_rows(min_row=head + 1):
        for cell in row:
            cell.value = None
    workbook.save(path)
    return path


@pytest.fixture
def log(tmp_path: Path) -> Path:
    path = tmp_path / "logger.csv"
    path.write_text(LOG)
    return path


def parts(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_readings_come_into_the_log_and_nothing_else_changes(
    book: Path, log: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = parts(book)
    assert main(["probes", str(book), str(log), *PLACE, "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert (said["added"], said["lifts"]) == (12, ["T1/4"])
    after = parts(book)
    assert after.keys() == before.keys()
    changed = {name for name in before if before[name] != after[name]}
    sheet = openpyxl.load_workbook(book)["Probe log"]
    assert all(name.startswith(("xl/worksheets/", "xl/styles", "xl/tables/")) for name in changed)
    assert len([name for name in changed if name.startswith("xl/worksheets/")]) == 1
    table = read_book(book).table("Probe log")
    assert len(table) == 12
    assert table.number("temperature").tolist() == [15.0 + hour / 10.0 for hour in range(8, 20)]
    assert set(table.number("depth_from_joint").tolist()) == {0.95}
    assert set(table.label("probe").tolist()) == {"P1"}
    head = next(row for row in range(1, 20) if sheet.cell(row, 1).value == "Block")
    assert sheet.cell(head + 1, 3).is_date
    # the next row of the template is still blank, with its formats
    assert sheet.cell(head + 13, 3).value is None


def test_a_second_pull_adds_only_what_is_new(
    book: Path, log: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["probes", str(book), str(log), *PLACE]) == 0
    whole = book.read_bytes()
    assert main(["probes", str(book), str(log), *PLACE]) == 0
    assert book.read_bytes() == whole
    assert "12 readings stood there already" in capsys.readouterr().err
    log.write_text(
        LOG
        + f"{START.replace(hour=21):%Y-%m-%d %H:%M};16.9\n"
        + f"{START.replace(hour=8):%Y-%m-%d %H:%M};11.0\n"
    )
    assert main(["probes", str(book), str(log), *PLACE, "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert (said["added"], said["known"], said["differing"]) == (2, 12, 1)
    assert len(read_book(book).table("Probe log")) == 14


def test_readings_of_two_files_stand_below_those_that_are_there(tmp_path: Path, log: Path) -> None:
    book = copy_demo(demo_named("gravity-dam"), tmp_path)
    count = len(read_book(book).table("Probe log"))
    other = tmp_path / "other.csv"
    other.write_text(LOG.replace("15.", "14.").replace("16.", "13."))
    names = [
        "--set",
        "Block=M8",
        "--set",
        "Lift=5",
        "--set",
        "Depth from face=0.4 m",
        "--set",
        "Depth from joint=0.95 m",
    ]
    assert main(["probes", str(book), str(log), *names, "--set", "Probe=a"]) == 0
    assert main(["probes", str(book), str(other), *names, "--set", "Probe=b"]) == 0
    table = read_book(book).table("Probe log")
    assert len(table) == count + 24
    assert table.label("block").tolist()[-24:] == ["M8"] * 24
    assert table.number("lift").tolist()[-1] if "lift" in table.numbers else table.raw["lift"][-1] == 5


@pytest.mark.parametrize("reader", ["openpyxl", "calamine", "soffice"])
def test_other_readers_see_the_same(book: Path, log: Path, tmp_path: Path, reader: str) -> None:
    assert main(["probes", str(book), str(log), *PLACE]) == 0
    if reader == "openpyxl":
        rows = list(openpyxl.load_workbook(book)["Probe log"].values)
    elif reader == "calamine":
        rows = CalamineWorkbook.from_path(str(book)).get_sheet_by_name("Probe log").to_python()
    else:
        subprocess.run(
            ["soffice", f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to", "xlsx:Calc MS Excel 2007 XML",
             "--outdir", str(tmp_path / "out"), str(book)], check=True, capture_output=True, timeout=180,
        )  # fmt: skip
        rows = list(openpyxl.load_workbook(tmp_path / "out" / book.name)["Probe log"].values)
    head = next(place for place, row in enumerate(rows) if row[0] == "Block")
    first = rows[head + 1]
    assert (first[0], int(str(first[1]).split(".")[0])) == ("T1", 4)
    assert str(first[2]).startswith(f"{START:%Y-%m-%d} 08:00")
    assert first[3] == pytest.approx(15.8)


def test_text_that_looks_like_a_formula_stays_text(book: Path, log: Path) -> None:
    assert main(["probes", str(book), str(log), *PLACE[:4], "--set", "Probe==1+1", *PLACE[6:]]) == 0
    sheet = openpyxl.load_workbook(book)["Probe log"]
    names = {cell.value: cell.data_type for row in sheet.iter_rows() for cell in row if cell.value == "=1+1"}
    assert names == {"=1+1": "s"} or set(names.values()) <= {"s", "inlineStr"}
    assert set(read_book(book).table("Probe log").label("probe").tolist()) == {"=1+1"}


def test_us_units_and_the_calendar_from_1904(tmp_path: Path, log: Path) -> None:
    path = write(tmp_path / "us.xlsx", **CLEAN)
    wb = openpyxl.load_workbook(path)
    wb.epoch = openpyxl.utils.datetime.MAC_EPOCH
    sheet = wb.create_sheet("Probe log")
    sheet.append(
        ["Block", "Lift", "Time", "Temperature [degF]", "Depth from face [in]", "Depth from joint [ft]"]
    )
    wb.save(path)
    names = [
        "--set",
        "Block=B1",
        "--set",
        "Lift=1",
        "--set",
        "Depth from face=0.254 m",
        "--set",
        "Depth from joint=16 in",
    ]
    assert main(["probes", str(path), str(log), *names]) == 0
    raw = list(openpyxl.load_workbook(path)["Probe log"].values)
    assert raw[1][2] == START.replace(hour=8)
    assert raw[1][3] == pytest.approx(15.8 * 1.8 + 32.0)
    assert raw[1][4] == pytest.approx(10.0)
    table = read_book(path).table("Probe log")
    assert table.number("temperature")[0] == pytest.approx(15.8)
    assert table.number("depth_from_joint")[0] == pytest.approx(0.4064)


def test_every_fault_is_told_and_nothing_is_written(
    book: Path, log: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = book.read_bytes()
    bad = tmp_path / "bad.csv"
    bad.write_text(LOG.replace("16.00", "wet"))
    status = main(["probes", str(book), str(bad), "--set", "Block=T1", "--set", "Lift=99", "--json"])
    out = json.loads(capsys.readouterr().out)
    assert status == out["status"] == 2
    assert "“wet”" in out["faults"][0]
    assert main(["probes", str(book), str(log), "--set", "Block=T1", "--set", "Lift=99", "--json"]) == 2
    assert "no lift T1/99" in json.loads(capsys.readouterr().out)["faults"][0]
    options = ["--map", "Zeit=x", "--set", "Lift", "--zone", "noon", "--every", "-1", "--channel", "CH1"]
    assert main(["probes", str(book), str(log), *options, "--json"]) == 2
    assert len(json.loads(capsys.readouterr().out)["faults"]) == 5
    assert main(["probes", str(book), str(tmp_path / "none.csv"), *PLACE]) == 3
    assert book.read_bytes() == before


def test_a_heading_that_is_missing_is_asked_for(
    tmp_path: Path, log: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(tmp_path / "plain.xlsx", **CLEAN)
    names = ["--set", "Block=B1", "--set", "Lift=1"]
    assert main(["probes", str(path), str(log), *names]) == 3
    assert "has no sheet Probe log" in capsys.readouterr().err
    wb = openpyxl.load_workbook(path)
    wb.create_sheet("Probe log").append(["Block", "Lift", "Time", "Temperature [degC]"])
    wb.save(path)
    before = path.read_bytes()
    assert (
        main(["probes", str(path), str(log), *names, "--set", "Probe=P1", "--set", "Depth from face=0.3 m"])
        == 2
    )
    told = capsys.readouterr().err
    assert "no column Probe" in told
    assert "no column Depth from face" in told
    assert path.read_bytes() == before
    assert main(["probes", str(path), str(log), *names]) == 0


def test_only_the_coldest_of_each_interval_is_kept(book: Path, log: Path) -> None:
    assert main(["probes", str(book), str(log), *PLACE, "--every", "240"]) == 0
    table = read_book(book).table("Probe log")
    # from 8:00 on: 8, 12 and 16 begin the intervals, and the log warms
    assert table.number("temperature").tolist() == [15.8, 16.2, 16.6]


def test_a_note_of_the_office_beside_the_log_stays(book: Path, log: Path) -> None:
    wb = openpyxl.load_workbook(book)
    sheet = wb["Probe log"]
    head = next(row for row in range(1, 20) if sheet.cell(row, 1).value == "Block")
    sheet.cell(head + 3, 9).value = "a note of the office"
    wb.save(book)
    assert main(["probes", str(book), str(log), *PLACE]) == 0
    assert openpyxl.load_workbook(book)["Probe log"].cell(head + 3, 9).value == "a note of the office"


def test_a_table_reaches_to_the_new_last_row(tmp_path: Path, log: Path) -> None:
    path = write(tmp_path / "tabled.xlsx", **CLEAN)
    wb = openpyxl.load_workbook(path)
    sheet = wb.create_sheet("Probe log")
    sheet.append(["Block", "Lift", "Time", "Temperature [degC]"])
    sheet.append(["B1", 1, START, 14.0])
    sheet.cell(2, 3).number_format = "yyyy-mm-dd hh:mm"
    sheet.add_table(openpyxl.worksheet.table.Table(displayName="Log", ref="A1:D2"))
    sheet.cell(30, 6).value = "far below"
    wb.save(path)
    assert main(["probes", str(path), str(log), "--set", "Block=B1", "--set", "Lift=1"]) == 0
    sheet = openpyxl.load_workbook(path)["Probe log"]
    assert sheet.tables["Log"].ref == "A1:D14"
    assert sheet.cell(30, 6).value == "far below"
    assert sheet.cell(14, 3).number_format == "yyyy-mm-dd hh:mm"
