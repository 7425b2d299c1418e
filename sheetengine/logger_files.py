"""Reads temperature logs from text files of any logger: separators, encodings, dates and columns as they come."""

from __future__ import annotations

import codecs
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from sheetengine.columns import Column, Flags, Rows, Texts, texts
from sheetengine.exceptions import BookUnreadable
from sheetengine.sheets.declarations import plain
from sheetengine.units import MEASURES, UnitFault, check, split_heading, to_base

HEADINGS = ("Block", "Lift", "Probe", "Time", "Temperature", "Depth from face", "Depth from joint")
NEEDED = ("Block", "Lift", "Time", "Temperature")
NUMBERS = {"Temperature": "temperature", "Depth from face": "length", "Depth from joint": "length"}
"""Headings that hold numbers, and what they measure."""
DATES = ("iso", "day-first", "month-first")
_PREAMBLE = 60
"""Lines at the top of a file among which the headings are looked for."""
_NAMED = 8
_SEPARATORS = (";", "\t", ",", "|")
_MISSING = ("", "nan", "na", "n/a", "null", "none", "-", "--", "---", "----")
_PARTS = r"^\s*(\d{1,2})([./-])(\d{1,2})\2(\d{2}|\d{4})\b"


@dataclass(frozen=True, slots=True)
class Channel:
    """One column of a file that holds the readings of one probe, and where that probe sits."""

    column: str
    block: str
    lift: str
    probe: str = ""
    face: float = np.nan
    joint: float = np.nan


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the user says of the files.

    Attributes
    ----------
    columns
        By heading of ``Probe log``: the file's heading, or two joined by ``+`` for date and time of day.
    constants
        By heading: one value for all readings.
    channels
        Columns that are probes of their own; then no column of temperatures is looked for.
    unit
        Unit of the temperatures; empty: as a heading states it.
    dates
        One of ``DATES``; empty: as the files tell.
    clock_ahead
        By how much the loggers' clocks are ahead of the plan's, where times carry no zone. [h]
    zone
        By how much the plan's clock is ahead of UTC, for times that carry a zone; ``nan``: not stated. [h]
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    constants: Mapping[str, str] = field(default_factory=dict)
    channels: Sequence[Channel] = ()
    unit: str = ""
    dates: str = ""
    clock_ahead: float = 0.0
    zone: float = np.nan


@dataclass(slots=True)
class Logged:
    """Readings of files, one entry a reading, in file order; depths in m, temperatures in degC, hours by the plan's clock."""

    block: Texts
    lift: Texts
    probe: Texts
    time: Column
    temperature: Column
    face: Column
    joint: Column
    line: Rows
    file: Texts
    blank: int = 0
    """Lines without a reading."""

    def __len__(self) -> int:
        """Return the number of readings."""
        return int(self.time.size)


class FileFaults(Exception):
    """Files cannot be used; ``faults`` names every one by file and line."""

    def __init__(self, faults: Sequence[str]) -> None:
        self.faults = list(faults)
        super().__init__("\n".join(self.faults))


def read_loggers(files: Sequence[Path], wishes: Wishes) -> Logged:
    """Return the readings of all files.

    Raises
    ------
    BookUnreadable
        A file is not there or cannot be opened.
    FileFaults
        A file cannot be understood; every fault of every file is told.
    """
    faults: list[str] = []
    parts = [part for file in files if (part := _one(file, wishes, faults)) is not None]
    if faults:
        raise FileFaults(faults)
    return _together(parts)


def _together(parts: Sequence[Logged]) -> Logged:
    def joined(name: str) -> Any:
        return np.concatenate([getattr(part, name) for part in parts]) if parts else np.zeros(0)

    names = ("block", "lift", "probe", "time", "temperature", "face", "joint", "line", "file")
    return Logged(**{name: joined(name) for name in names}, blank=sum(part.blank for part in parts))


def _text_of(file: Path) -> str:
    try:
        raw = file.read_bytes()
    except OSError as error:
        raise BookUnreadable(f"{file}: {error.strerror or error}. Name a file that can be read.") from error
    for mark, name in (
        (codecs.BOM_UTF8, "utf-8-sig"),
        (codecs.BOM_UTF16_LE, "utf-16"),
        (codecs.BOM_UTF16_BE, "utf-16"),
    ):
        if raw.startswith(mark):
            return raw.decode(name, errors="replace")
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace")


def _separator(lines: Sequence[str]) -> str:
    """Return the separator that parts most lines into an equal number of cells."""

    def agreement(mark: str) -> tuple[int, int]:
        counts = [line.count(mark) for line in lines if line.strip()]
        common = max(set(counts), key=lambda number: (counts.count(number) * (number > 0), number), default=0)
        return (counts.count(common) if common else 0, common)

    return max(_SEPARATORS, key=agreement)


def _wanted(wishes: Wishes) -> dict[str, list[str]]:
    """Return, for every heading that must come from a column, the file's headings that may stand for it."""
    wanted = {name: [name] for name in HEADINGS if name not in wishes.constants}
    if wishes.channels:
        for name in ("Temperature", "Block", "Lift", "Probe", "Depth from face", "Depth from joint"):
            wanted.pop(name, None)
    wanted |= {name: given.split("+") for name, given in wishes.columns.items()}
    return wanted


def _heading_line(rows: Sequence[Sequence[str]], wishes: Wishes) -> int:
    """Return the row among the top ones that holds most of the wanted headings; -1 if none holds any."""
    wanted = {plain(split_heading(part)[0]) for parts in _wanted(wishes).values() for part in parts}
    wanted |= {plain(part) for parts in wishes.columns.values() for part in parts.split("+")}
    wanted |= {plain(split_heading(channel.column)[0]) for channel in wishes.channels} | {
        plain(channel.column) for channel in wishes.channels
    }

    def held(row: Sequence[str]) -> int:
        return len(wanted & ({plain(cell) for cell in row} | {plain(split_heading(cell)[0]) for cell in row}))

    best = max(range(len(rows)), key=lambda place: held(rows[place]), default=-1)
    return best if best >= 0 and held(rows[best]) else -1


def _place(headings: Sequence[str], name: str) -> int:
    """Return the column of a heading: as it is spelled, else without its unit; -1 for none, -2 for several."""
    for known in ([plain(text) for text in headings], [plain(split_heading(text)[0]) for text in headings]):
        places = [place for place, text in enumerate(known) if text == plain(name)]
        if places:
            return places[0] if len(places) == 1 else -2
    return -1


def _table(file: Path, wishes: Wishes, faults: list[str]) -> tuple[pd.DataFrame, list[str], int, str] | None:
    """Return cells as text, headings, number of the first data line, and decimal mark."""
    text = _text_of(file)
    lines = text.splitlines()
    separator = _separator(lines[:_PREAMBLE])
    rows = [[cell.strip().strip('"') for cell in line.split(separator)] for line in lines[:_PREAMBLE]]
    head = _heading_line(rows, wishes)
    if head < 0:
        wordy = max(rows, key=lambda row: sum(bool(re.search("[A-Za-z]", cell)) for cell in row), default=[])
        shown = ", ".join(wordy) or "none"
        faults.append(
            f"{file}: none of the wanted headings stands in the first {_PREAMBLE} lines. Its columns may be: {shown}. Say which is "
            "which, as in --map Time=Timestamp --map Temperature=Value."
        )
        return None
    headings = rows[head]
    frame = pd.read_csv(
        io.StringIO(text), sep=separator, skiprows=head + 1, header=None, names=list(range(len(headings))), dtype=str,
        keep_default_na=False, index_col=False, skip_blank_lines=False, on_bad_lines="skip", engine="c", quotechar='"',
        usecols=list(range(len(headings))),
    )  # fmt: skip
    frame = frame.fillna("")
    sample = frame.iloc[:2000]
    decimal = (
        ","
        if separator != ","
        and any(sample[column].str.fullmatch(r"\s*[-+]?\d+,\d+\s*").any() for column in sample)
        else "."
    )
    return frame, headings, head + 2, decimal


def _lines_named(at: Sequence[int]) -> str:
    shown = ", ".join(str(line) for line in at[:_NAMED])
    return f"line{'s' if len(at) > 1 else ''} {shown}{f' and {len(at) - _NAMED} more' if len(at) > _NAMED else ''}"


def _numbers(
    file: Path, cells: Any, decimal: str, first: int, what: str, faults: list[str]
) -> tuple[Column, Flags]:
    """Return numbers and where there are none; tell of what is neither."""
    bare = cells.str.strip()
    missing = bare.str.lower().isin(_MISSING).to_numpy()
    if decimal == ",":
        bare = bare.str.replace(",", ".", regex=False)
    values = pd.to_numeric(bare, errors="coerce").to_numpy(dtype=np.float64, copy=True)
    wrong = np.flatnonzero(~np.isfinite(values) & ~missing)
    if wrong.size:
        faults.append(
            f"{file}, {_lines_named((wrong + first).tolist())}: {what} is “{cells.iloc[int(wrong[0])]}”, which is no number. "
            "Correct or take out these lines; leave the cell blank where there is no reading."
        )
        values[wrong] = np.nan
    return values, missing


def _moments(file: Path, cells: Any, wishes: Wishes, first: int, faults: list[str]) -> tuple[Column, Flags]:
    """Return hours by the plan's clock since 30 December 1899, and where there is no time; tell of what is no date."""
    bare = cells.str.strip()
    missing = (bare == "").to_numpy()
    hours = np.full(bare.size, np.nan)
    good = bare[~missing]
    if not good.size:
        return hours, missing
    order = wishes.dates or ("iso" if _year_first(good) else _order(file, good, first, faults))
    if not order:
        return hours, missing
    clock = good.str.slice(10)
    zoned = (
        clock.str.contains("+", regex=False) | clock.str.contains("-", regex=False) | clock.str.endswith("Z")
    ).to_numpy(dtype=bool)
    if zoned.any() and np.isnan(wishes.zone):
        faults.append(
            f"{file}: its times carry a time zone, as in “{good[zoned].iloc[0]}”. Say by how much the clock of the plan is ahead of "
            "UTC, as in --zone +01:00."
        )
        return hours, missing
    if order == "iso":
        found = pd.to_datetime(good, format="ISO8601", utc=True, errors="coerce")
    else:
        found = pd.to_datetime(good, dayfirst=order == "day-first", format="mixed", utc=True, errors="coerce")
    moment = found.to_numpy(dtype="datetime64[ns]", copy=True)
    moment[~_with_hour_and_month(good, order)] = np.datetime64("NaT")
    wrong = np.isnat(moment)
    if wrong.any():
        places = np.flatnonzero(~missing)[wrong]
        faults.append(
            f"{file}, {_lines_named((places + first).tolist())}: Time is “{good[wrong].iloc[0]}”, which is no date with its hour by "
            f"{order}. Correct these lines, or say --dates iso, day-first or month-first."
        )
    since = (moment - np.datetime64("1899-12-30", "ns")) / np.timedelta64(1, "h")
    shift = np.where(zoned, np.nan_to_num(wishes.zone), -wishes.clock_ahead)
    hours[~missing] = since + shift
    return hours, missing


def _with_hour_and_month(cells: Any, order: str) -> Flags:
    """Return where a time states its hour, and a month where the order has it.

    The library would read a date without an hour as midnight, and turn day and month round where only that makes a date.
    """
    sound = cells.str.contains(":", regex=False)
    if order != "iso":
        month = pd.to_numeric(cells.str.extract(_PARTS)[2 if order == "day-first" else 0], errors="coerce")
        sound &= ~(month > 12)
    return np.asarray(sound.to_numpy(dtype=bool))


def _year_first(cells: Any) -> bool:
    return bool((cells.str.slice(0, 4).str.isdigit() & cells.str.slice(4, 5).isin(["-", "/", "."])).all())


def _order(file: Path, cells: Any, first: int, faults: list[str]) -> str:
    """Return the order of day and month, where the cells tell."""
    parts = cells.str.extract(_PARTS)
    if parts[0].isna().any():
        wrong = np.flatnonzero(parts[0].isna().to_numpy())
        faults.append(
            f"{file}, {_lines_named((wrong + first).tolist())}: Time is “{cells.iloc[int(wrong[0])]}”, which is no date. Say which "
            "column holds it, as in --map Time=Date+Clock, or correct these lines."
        )
        return ""
    if (parts[1] == ".").all():
        return "day-first"
    one, two = (parts[place].astype(int).to_numpy() for place in (0, 2))
    if (one > 12).any() and not (two > 12).any():
        return "day-first"
    if (two > 12).any() and not (one > 12).any():
        return "month-first"
    faults.append(
        f"{file}: “{cells.iloc[0]}” may be day or month first, and no line of the file tells. Say --dates day-first or "
        "--dates month-first."
    )
    return ""


def _degrees(file: Path, unit: str, wishes: Wishes, what: str, faults: list[str]) -> str:
    """Return the unit of temperatures: the user's word, else the heading's bracket."""
    stated = wishes.unit or unit
    measure = MEASURES["temperature"]
    if not stated:
        faults.append(
            f"{file}: {what} states no unit. Say --unit degC or --unit degF, or write the unit in brackets into the heading."
        )
        return measure.base
    try:
        check(stated, measure)
    except UnitFault as wrong:
        faults.append(f"{file}: {what}: {wrong}. Say --unit degC or --unit degF.")
        return measure.base
    return stated


def _constant(name: str, wishes: Wishes, faults: list[str]) -> float:
    """Return a depth that holds for all readings. [m]."""
    text = wishes.constants[name].strip()
    found = re.fullmatch(r"([-+]?\d+(?:[.,]\d+)?)\s*([A-Za-z]*)", text)
    if found is None:
        faults.append(
            f'{name}={text}: this is no length. Write it with its unit, as in --set "{name}=0.3 m".'
        )
        return np.nan
    try:
        value = np.array([float(found[1].replace(",", "."))])
        return float(to_base(value, found[2] or "m", MEASURES["length"])[0])
    except UnitFault as wrong:
        faults.append(f"{name}={text}: {wrong}.")
        return np.nan


def _one(file: Path, wishes: Wishes, faults: list[str]) -> Logged | None:
    """Return the readings of one file; add its faults to the list."""
    began = len(faults)
    read = _table(file, wishes, faults)
    if read is None:
        return None
    frame, headings, first, decimal = read
    columns: dict[str, Any] = {}
    units: dict[str, str] = {}
    for name, parts in _wanted(wishes).items():
        places = [_place(headings, part) for part in parts]
        if all(place >= 0 for place in places):
            cells = frame[places[0]]
            for place in places[1:]:
                cells = cells.str.strip() + " " + frame[place].str.strip()
            columns[name], units[name] = cells, split_heading(headings[places[0]])[1] or ""
        elif -2 in places:
            faults.append(
                f"{file}: the heading {' and '.join(parts)} stands twice. Rename one of the two columns."
            )
        elif name in wishes.columns or name in NEEDED:
            faults.append(
                f"{file}: no column {' and '.join(parts)} for {name}. It has: {', '.join(headings)}. Say --map {name}=COLUMN"
                + ("" if name in ("Time", "Temperature") else f" or --set {name}=VALUE") + "."
            )  # fmt: skip
    if len(faults) > began or "Time" not in columns:
        return None
    time, untimed = _moments(file, columns["Time"], wishes, first, faults)
    if wishes.channels:
        return _wide(file, wishes, frame, headings, first, decimal, time, untimed, faults)
    count = len(frame)
    degrees = _degrees(file, units["Temperature"], wishes, "the column of temperatures", faults)
    values, missing = _numbers(file, columns["Temperature"], decimal, first, "Temperature", faults)
    depths = {}
    for name in ("Depth from face", "Depth from joint"):
        if name in wishes.constants:
            depths[name] = np.full(count, _constant(name, wishes, faults))
        elif name in columns:
            given, _ = _numbers(file, columns[name], decimal, first, name, faults)
            depths[name] = to_base(given, units[name] or "m", MEASURES["length"])
        else:
            depths[name] = np.full(count, np.nan)
    words = {
        name: columns[name].str.strip().to_numpy(dtype=object) if name in columns
        else texts([wishes.constants.get(name, "")] * count)
        for name in ("Block", "Lift", "Probe")
    }  # fmt: skip
    empty = np.all([(cells.str.strip() == "").to_numpy() for _, cells in frame.items()], axis=0)
    for name, bare in (("Time", untimed), *((name, words[name] == "") for name in ("Block", "Lift"))):
        wrong = np.flatnonzero(bare & ~missing & ~empty)
        if wrong.size:
            faults.append(
                f"{file}, {_lines_named((wrong + first).tolist())}: {name} is blank. Fill it in or take these lines out."
            )
    keep = ~missing & ~empty
    temperature = to_base(values, degrees, MEASURES["temperature"])
    lines = np.arange(count) + first
    return Logged(
        words["Block"][keep], words["Lift"][keep], words["Probe"][keep], time[keep], temperature[keep],
        depths["Depth from face"][keep], depths["Depth from joint"][keep], lines[keep], texts([str(file)] * int(keep.sum())),
        blank=int((~keep).sum()),
    )  # fmt: skip


def _wide(
    file: Path, wishes: Wishes, frame: pd.DataFrame, headings: Sequence[str], first: int, decimal: str, time: Column,
    untimed: Flags, faults: list[str],
) -> Logged:  # fmt: skip
    """Return the readings of a file with a column for each probe."""
    parts = []
    for channel in wishes.channels:
        place = _place(headings, channel.column)
        if place < 0:
            faults.append(
                f"{file}: no column {channel.column} for --channel. It has: {', '.join(headings)}."
                if place == -1
                else f"{file}: the heading {channel.column} stands twice. Rename one of the two columns."
            )
            continue
        unit = split_heading(headings[place])[1] or ""
        degrees = _degrees(file, unit, wishes, f"the column {channel.column}", faults)
        values, missing = _numbers(file, frame[place], decimal, first, channel.column, faults)
        wrong = np.flatnonzero(untimed & ~missing)
        if wrong.size:
            faults.append(
                f"{file}, {_lines_named((wrong + first).tolist())}: Time is blank. Fill it in or take these lines out."
            )
        keep = ~missing
        count = int(keep.sum())
        parts.append(
            Logged(
                texts([channel.block] * count), texts([channel.lift] * count), texts([channel.probe or channel.column] * count),
                time[keep], to_base(values, degrees, MEASURES["temperature"])[keep], np.full(count, channel.face),
                np.full(count, channel.joint), (np.arange(len(frame)) + first)[keep], texts([str(file)] * count),
                blank=int(missing.sum()),
            )
        )  # fmt: skip
    return _together(parts)
