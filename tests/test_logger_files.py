"""Text files of loggers: separators, decimal marks, encodings, dates, zones and columns as loggers write them."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetengine.columns import hours_of
from sheetengine.logger_files import Channel, FileFaults, Logged, Wishes, read_loggers

PLACE = {"Block": "B1", "Lift": "2"}
WHEN = dt.datetime(2031, 4, 8, 6, 30)


def log(folder: Path, text: str, encoding: str = "utf-8", name: str = "log.csv") -> Path:
    path = folder / name
    path.write_bytes(text.encode(encoding))
    return path


def read(path: Path, **wishes: Any) -> Logged:
    return read_loggers([path], Wishes(**({"constants": PLACE, "unit": "degC"} | wishes)))


def faults(path: Path, **wishes: Any) -> list[str]:
    with pytest.raises(FileFaults) as caught:
        read(path, **wishes)
    return caught.value.faults


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_separators_and_encodings(tmp_path: Path, separator: str, encoding: str) -> None:
    rows = [
        ["Time", "Temperature [°C]", "Bemerkung"],
        ["2031-04-08 06:30", "18.25", "früh"],
        ["2031-04-08 07:30", "19.5", ""],
    ]
    found = read(log(tmp_path, "\n".join(separator.join(row) for row in rows), encoding), unit="")
    assert found.time.tolist() == [hours_of(WHEN), hours_of(WHEN) + 1.0]
    assert found.temperature.tolist() == [18.25, 19.5]
    assert found.block.tolist() == ["B1", "B1"]
    assert found.line.tolist() == [2, 3]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_decimal_commas_and_line_ends(tmp_path: Path, end: str) -> None:
    found = read(
        log(tmp_path, end.join(["Time;Temperature", "2031-04-08 06:30;18,25", "2031-04-08 07:30;-0,5", ""]))
    )
    assert found.temperature.tolist() == [18.25, -0.5]


def test_a_preamble_is_passed_over_and_lines_keep_their_numbers(tmp_path: Path) -> None:
    text = "Logger;17\nSerial;4711\n\nTime;Temperature\n2031-04-08 06:30;18\n2031-04-08 07:00;wet\n"
    (told,) = faults(log(tmp_path, text))
    assert "line 6" in told
    assert "“wet”" in told


@pytest.mark.parametrize(
    ("written", "dates", "want"),
    [
        ("2031-04-08 06:30", "", WHEN),
        ("2031-04-08T06:30:00", "", WHEN),
        ("2031/04/08 06:30", "", WHEN),
        ("08.04.2031 06:30", "", WHEN),
        ("08/04/2031 06:30", "day-first", WHEN),
        ("04/08/2031 06:30", "month-first", WHEN),
        ("04/08/2031 06:30 AM", "month-first", WHEN),
        ("08/04/31 06:30", "day-first", WHEN),
    ],
)
def test_dates(tmp_path: Path, written: str, dates: str, want: dt.datetime) -> None:
    found = read(log(tmp_path, f"Time;Temperature\n{written};18\n"), dates=dates)
    assert found.time.tolist() == pytest.approx([hours_of(want)])


def test_a_day_above_twelve_tells_the_order(tmp_path: Path) -> None:
    first = read(log(tmp_path, "Time;Temperature\n08/04/2031 06:30;18\n13/04/2031 06:30;18\n"))
    assert first.time[0] == hours_of(WHEN)
    second = read(log(tmp_path, "Time;Temperature\n04/08/2031 06:30;18\n04/13/2031 06:30;18\n"))
    assert second.time[0] == hours_of(WHEN)


def test_a_date_that_may_be_either_is_refused(tmp_path: Path) -> None:
    (told,) = faults(log(tmp_path, "Time;Temperature\n08/04/2031 06:30;18\n"))
    assert "--dates day-first or --dates month-first" in told


def test_date_and_time_of_day_in_two_columns(tmp_path: Path) -> None:
    found = read(
        log(tmp_path, "Date;Clock;T\n08.04.2031;06:30;18\n"),
        columns={"Time": "Date+Clock", "Temperature": "T"},
    )
    assert found.time.tolist() == [hours_of(WHEN)]


def test_zones_are_brought_to_the_clock_of_the_plan(tmp_path: Path) -> None:
    text = "Time;Temperature\n2031-04-08T06:30+02:00;18\n2031-04-08T04:30Z;19\n2031-04-08T06:30;20\n"
    (told,) = faults(log(tmp_path, text))
    assert "--zone" in told
    found = read(log(tmp_path, text), zone=1.0)
    assert found.time.tolist() == pytest.approx([hours_of(WHEN) - 1.0, hours_of(WHEN) - 1.0, hours_of(WHEN)])
    ahead = read(log(tmp_path, "Time;Temperature\n2031-04-08T06:30;18\n"), clock_ahead=1.5)
    assert ahead.time.tolist() == pytest.approx([hours_of(WHEN) - 1.5])


def test_units_of_temperatures(tmp_path: Path) -> None:
    fahrenheit = read(log(tmp_path, "Time;Temperature [degF]\n2031-04-08 06:30;68\n"), unit="")
    assert fahrenheit.temperature.tolist() == pytest.approx([20.0])
    (told,) = faults(log(tmp_path, "Time;Temperature\n2031-04-08 06:30;68\n"), unit="")
    assert "--unit degC or --unit degF" in told
    (wrong,) = faults(log(tmp_path, "Time;Temperature [kPa]\n2031-04-08 06:30;68\n"), unit="")
    assert "--unit" in wrong


def test_a_column_for_each_probe(tmp_path: Path) -> None:
    text = "Timestamp,CH1 [degC],CH2 [degF],Battery\n2031-04-08 06:30,18,68,3.1\n2031-04-08 07:30,,70,3.1\n"
    channels = [Channel("CH1", "B1", "2", "P1", 0.3, 0.4), Channel("CH2", "B1", "2", "", 0.3, 0.9)]
    found = read_loggers([log(tmp_path, text)], Wishes(columns={"Time": "Timestamp"}, channels=channels))
    assert found.probe.tolist() == ["P1", "CH2", "CH2"]
    assert found.temperature.tolist() == pytest.approx([18.0, 20.0, 21.0 + 1.0 / 9.0])
    assert found.joint.tolist() == [0.4, 0.9, 0.9]
    assert found.blank == 1
    with pytest.raises(FileFaults, match="no column CH9"):
        read_loggers(
            [log(tmp_path, text)], Wishes(columns={"Time": "Timestamp"}, channels=[Channel("CH9", "B1", "2")])
        )


def test_depths_from_columns_and_from_constants(tmp_path: Path) -> None:
    text = "Time;Temperature;Depth from face [mm]\n2031-04-08 06:30;18;300\n"
    found = read(log(tmp_path, text), constants=PLACE | {"Depth from joint": "16 in"})
    assert found.face.tolist() == pytest.approx([0.3])
    assert found.joint.tolist() == pytest.approx([0.4064])
    (told,) = faults(log(tmp_path, text), constants=PLACE | {"Depth from joint": "deep"})
    assert "no length" in told


def test_every_fault_of_every_file_is_told_at_once(tmp_path: Path) -> None:
    lines = "".join(f"2031-04-08 0{hour}:30;{'x' if hour in (2, 5) else 18}\n" for hour in range(9))
    first = log(tmp_path, f"Time;Temperature\n{lines}yesterday;18\n;19\n", name="first.csv")
    second = log(tmp_path, "Stamp;Value\n2031-04-08 06:30;18\n", name="second.csv")
    third = log(tmp_path, "Time;Temperature;Temperature\n2031-04-08 06:30;18;19\n", name="third.csv")
    with pytest.raises(FileFaults) as caught:
        read_loggers([first, second, third], Wishes(constants=PLACE, unit="degC", dates="iso"))
    told = "\n".join(caught.value.faults)
    assert "first.csv, lines 4, 7: Temperature is “x”" in told
    assert "first.csv, line 11: Time is “yesterday”" in told
    assert "first.csv, line 12: Time is blank" in told
    assert "second.csv: none of the wanted headings" in told
    assert "Stamp, Value" in told
    assert "third.csv: the heading Temperature stands twice" in told
    assert len(caught.value.faults) == 5


def test_a_missing_lift_is_asked_for(tmp_path: Path) -> None:
    told = faults(log(tmp_path, "Time;Temperature\n2031-04-08 06:30;18\n"), constants={})
    assert len(told) == 2
    assert all("--set" in line for line in told)


def test_text_in_quotes_and_missing_readings(tmp_path: Path) -> None:
    text = 'Time,Temperature,Remark\n"2031-04-08 06:30","18.5","a, b"\n2031-04-08 07:30,---,\n2031-04-08 08:30,NaN,\n\n'
    found = read(log(tmp_path, text))
    assert found.temperature.tolist() == [18.5]
    assert found.blank >= 2


@given(
    st.lists(st.floats(-40.0, 95.0).map(lambda value: round(value, 3)), min_size=1, max_size=40),
    st.sampled_from([";", "\t", "|"]),
    st.booleans(),
)
def test_what_is_written_is_what_is_read(
    tmp_path_factory: pytest.TempPathFactory, values: list[float], separator: str, comma: bool
) -> None:
    """property: numbers come back whatever the separator and the decimal mark."""

    def cell(value: float) -> str:
        return f"{value:.3f}".replace(".", ",") if comma else f"{value:.3f}"

    rows = [
        f"{WHEN + dt.timedelta(minutes=10 * place):%d.%m.%Y %H:%M}{separator}{cell(value)}"
        for place, value in enumerate(values)
    ]
    path = log(tmp_path_factory.mktemp("log"), "\n".join([f"Time{separator}Temperature", *rows]))
    found = read(path)
    assert found.temperature.tolist() == values
    assert np.diff(found.time) == pytest.approx(1.0 / 6.0)


def test_a_date_without_its_hour_is_no_time(tmp_path: Path) -> None:
    (told,) = faults(log(tmp_path, "Time;Temperature\n2031-04-08 06:30;18\n2031-04-09;19\n"))
    assert "line 3" in told
    assert "hour" in told


@pytest.mark.parametrize(
    ("dates", "sound", "turned"),
    [
        ("day-first", "14/04/2031 06:30", "04/14/2031 06:30"),
        ("month-first", "04/14/2031 06:30", "14/04/2031 06:30"),
        ("", "14.04.2031 06:30", "04.14.2031 06:30"),
    ],
)
def test_day_and_month_are_never_turned_round_in_single_lines(
    tmp_path: Path, dates: str, sound: str, turned: str
) -> None:
    (told,) = faults(log(tmp_path, f"Time;Temperature\n{sound};18\n{turned};19\n"), dates=dates)
    assert "line 3" in told
    assert turned in told
