"""Readings of temperature loggers from CSV files: separators, encodings, dates, units, channels; every fault by line."""

from __future__ import annotations

import codecs
import csv
import io
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from sheetengine.cells import CellRef
from sheetengine.columns import Column, Flags, Rows, Texts, texts
from sheetengine.findings import Code, Finding, Level
from sheetengine.logger_times import times_of
from sheetengine.sheets.declarations import nearest, plain

TOP_LINES = 60
SEPARATORS = (";", "\t", ",")
MOST_TOLD = 20
"""Lines that one kind of fault is told for."""

KNOWN: dict[str, tuple[str, ...]] = {
    "Time": ("time", "date time", "datetime", "date/time", "timestamp", "date and time"),
    "Date": ("date",),
    "Temperature": ("temperature", "temp"),
    "Block": ("block",),
    "Lift": ("lift",),
    "Probe": ("probe", "sensor"),
    "Depth from face": ("depth from face",),
    "Depth from joint": ("depth from joint",),
}
"""What can be mapped, and the headings that are taken for it without being told."""

_UNIT = re.compile(
    r"^(.*?)\s*(?:[\[(]\s*(.+?)\s*[\])]|\s(?:in\s+)?(°\s*[CF]|deg\s?[CF]|[CF]))?\s*$", re.IGNORECASE
)
_DEPTH = re.compile(r"(\d+(?:\.\d+)?)\s*(m|cm|mm|ft|in)?")
LENGTHS = {"m": 1.0, "cm": 0.01, "mm": 0.001, "ft": 0.3048, "in": 0.0254}


@dataclass(frozen=True, slots=True)
class Channel:
    """One column of a file that holds the readings of one probe."""

    heading: str
    block: str
    lift: str
    probe: str
    face: float
    joint: float


@dataclass(frozen=True, slots=True)
class Asked:
    """How the files are to be read: headings by what they hold, channels, unit (``C``, ``F`` or none), order of dates."""

    headings: Mapping[str, str] = field(default_factory=dict)
    channels: Sequence[Channel] = ()
    unit: str = ""
    dates: str = ""


@dataclass(frozen=True, slots=True)
class Readings:
    """Readings of a file, one entry each: texts, hours as written, offset from UTC or ``nan``, degC, m, line."""

    block: Texts
    lift: Texts
    probe: Texts
    time: Column
    offset: Column
    temperature: Column
    face: Column
    joint: Column
    line: Rows

    def __len__(self) -> int:
        """Return the number of readings."""
        return int(self.time.size)

    def where(self, kept: Flags) -> Readings:
        """Return some of the readings."""
        if kept.all():
            return self
        return Readings(
            self.block[kept], self.lift[kept], self.probe[kept], self.time[kept], self.offset[kept], self.temperature[kept],
            self.face[kept], self.joint[kept], self.line[kept],
        )  # fmt: skip


def channel_of(text: str) -> Channel:
    """Return a channel from ``CH1=Block/Lift/Probe/depth face/depth joint``.

    Raises
    ------
    ValueError
        The text is none; depths are metres unless a unit is given.

    >>> channel_of("T 1=B1/3/P1/200mm/0.4")
    Channel(heading='T 1', block='B1', lift='3', probe='P1', face=0.2, joint=0.4)
    """
    heading, is_there, place = text.rpartition("=")
    parts = [part.strip() for part in place.split("/")]
    if not is_there or not heading.strip() or len(parts) != 5 or not parts[0] or not parts[1]:
        raise ValueError(
            f"“{text}” is no channel; write it as CH1=Block/Lift/Probe/depth from face/depth from joint"
        )
    depths = []
    for part in parts[3:]:
        found = _DEPTH.fullmatch(part)
        if part and found is None:
            raise ValueError(f"“{part}” in “{text}” is no depth; write it as 0.25 or 250mm")
        depths.append(float(found[1]) * LENGTHS[found[2] or "m"] if found else math.nan)
    return Channel(heading.strip(), parts[0], parts[1], parts[2], *depths)


def decoded(content: bytes) -> str:
    """Return the text of a file in UTF-8, UTF-16 or Latin-1."""
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return content.decode("utf-16", "replace")
    head = content[:200]
    if len(head) >= 4 and head.count(0) * 3 > len(head):
        return content.decode("utf-16-le" if head[1:2] == b"\0" else "utf-16-be", "replace")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("latin-1")


class _Faults:
    """Gathers the faults of a file; the place is the file's name and the line."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.findings: list[Finding] = []
        self._told: dict[str, int] = {}

    def __call__(
        self, code: Code, line: int, message: str, clears: str, found: object = None, kind: str = ""
    ) -> None:
        self._told[kind] = self._told.get(kind, 0) + 1
        if kind and self._told[kind] > MOST_TOLD:
            return
        self.findings.append(
            Finding(Level.FAULT, code, CellRef(self.name, line, 1), f"Line {line}: {message}", found=found, clears=clears,
                    keys=(self.name, str(line), message))
        )  # fmt: skip

    def close(self) -> list[Finding]:
        """Return the faults, with the number of those that were not told one by one."""
        for kind, number in self._told.items():
            if kind and number > MOST_TOLD:
                self.findings.append(
                    Finding(Level.FAULT, Code.NOT_A_NUMBER, CellRef(self.name, 1, 1),
                            f"{number - MOST_TOLD} more lines have the same fault: {kind}.", clears="", keys=(self.name, kind))
                )  # fmt: skip
        return self.findings


def split_unit(heading: str) -> tuple[str, str]:
    """Return a heading without its unit, and the unit.

    >>> split_unit("Temp (°C)"), split_unit("Depth from face [mm]"), split_unit("Time")
    (('Temp', '°C'), ('Depth from face', 'mm'), ('Time', ''))
    """
    found = _UNIT.match(heading.strip())
    return (found[1].strip(), (found[2] or found[3] or "").strip()) if found else (heading.strip(), "")


def _scale(unit: str) -> str:
    """Return C or F of a unit of temperature, or nothing."""
    letters = re.sub(r"[^a-z]", "", unit.casefold().replace("deg", ""))
    return {"c": "C", "celsius": "C", "f": "F", "fahrenheit": "F"}.get(letters, "")


def _columns(head: Sequence[str], asked: Asked) -> dict[str, list[int]]:
    """Return, for what can be mapped, the columns whose headings say it."""
    names = [plain(split_unit(cell)[0]) for cell in head]
    whole = [plain(cell) for cell in head]
    columns = {}
    for what, guesses in KNOWN.items():
        if what in asked.headings:
            wanted = plain(asked.headings[what])
            columns[what] = [place for place, cell in enumerate(whole) if cell == wanted] or [
                place for place, cell in enumerate(names) if cell == wanted
            ]
        else:
            columns[what] = [place for place, cell in enumerate(names) if cell in guesses]
    return columns


def _layout(text: str, asked: Asked) -> tuple[str, int]:
    """Return the separator and the place of the heading row; nothing and -1 where none names the time."""
    best: tuple[int, str, int] = (0, "", -1)
    top = text[: TOP_LINES * 4096].splitlines()[:TOP_LINES]
    for separator in SEPARATORS:
        for place, cells in enumerate(csv.reader(top, delimiter=separator)):
            found = _columns(cells, asked)
            if (found["Time"] or found["Date"]) and len(cells) > max(best[0], 1):
                best = (len(cells), separator, place)
                break
    return best[1], best[2]


def _rows(text: str, separator: str, place: int) -> tuple[list[list[str]], list[int], int]:
    """Return rows that hold anything, their lines, and which of them holds the headings, -1 where none does."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator or ",")
    rows: list[list[str]] = []
    at: list[int] = []
    head, line = -1, 0
    for number, cells in enumerate(reader):
        line, begin = reader.line_num, line + 1
        if number == place and separator:
            head = len(rows)
        if any(cells):
            rows.append(cells)
            at.append(begin)
    return rows, at, head


def _even_columns(
    text: str, separator: str, place: int
) -> tuple[list[str], list[list[str]], list[int]] | None:
    """Return headings, columns and lines of a file without quotes whose lines have as many cells as it has headings.

    Most loggers write such files; for others ``None``.
    """
    if not separator or '"' in text or "\r" in text.replace("\r\n", ""):
        return None
    lines = text.replace("\r\n", "\n").split("\n")
    while lines and not lines[-1]:
        lines.pop()
    heading, body = lines[place].split(separator), lines[place + 1 :]
    commas = len(heading) - 1
    if not body or not heading[-1].strip() or not all(line.count(separator) == commas for line in body):
        return None
    cells = separator.join(body).split(separator)
    columns = [cells[column :: commas + 1] for column in range(commas + 1)]
    if any(not line.strip(separator) for line in body):
        return None
    return heading, columns, list(range(place + 2, len(lines) + 1))


def read_readings(content: bytes, name: str, asked: Asked) -> tuple[Readings, list[Finding]]:
    """Return the readings of a logger file, and every fault of it.

    Parameters
    ----------
    content
        The file.
    name
        Its name, for the faults.
    asked
        How it is to be read.
    """
    faults = _Faults(name)
    text = decoded(content)
    separator, place = _layout(text, asked)
    even = _even_columns(text, separator, place)
    if even is not None:
        heading = [cell.strip() for cell in even[0]]
        return _read(heading, even[1], even[2], asked, faults, place + 1), faults.close()
    rows, lines, head = _rows(text, separator, place)
    if head < 0 or len(rows) <= head + 1:
        listed = (
            ", ".join(f"“{cell.strip()}”" for cell in (rows[0] if rows else []) if cell.strip()) or "none"
        )
        wanted = asked.headings.get("Time", "")
        what = f"No heading “{wanted}” was found" if wanted else "No heading names the time of the readings"
        if head >= 0:
            what = "The file holds no readings"
        faults(Code.MISSING_HEADING, lines[0] if lines else 1, f"{what}; the headings found are {listed}.",
               "Say --map Time=HEADING with one of them.")  # fmt: skip
        return _none(), faults.findings
    heading, body, at = [cell.strip() for cell in rows[head]], rows[head + 1 :], lines[head + 1 :]
    width = len(heading)
    while width and not heading[width - 1]:
        width -= 1
    odd = [place for place, cells in enumerate(body) if len(cells) < width or any(cells[width:])]
    for place in odd:
        faults(Code.MISSING_VALUE, at[place], f"{len(body[place])} cells stand under {width} headings.",
               "Put decimal commas into quotes, or part the cells by semicolons or tabs.", kind="number of cells")  # fmt: skip
    if odd:
        bad = set(odd)
        body = [cells for place, cells in enumerate(body) if place not in bad]
        at = [line for place, line in enumerate(at) if place not in bad]
    columns = (
        [list(column) for column in zip(*[cells[:width] for cells in body], strict=True)] if body else []
    )
    return _read(heading[:width], columns, at, asked, faults, lines[head]), faults.close()


def _read(
    heading: list[str], columns: list[list[str]], at: list[int], asked: Asked, faults: _Faults, line: int
) -> Readings:
    places = _settled(heading, _columns(heading, asked), asked, faults, line)
    return (
        _gathered(heading, columns, at, places, asked, faults, line)
        if columns and places is not None
        else _none()
    )


def _none() -> Readings:
    empty, no = texts([]), np.zeros(0)
    return Readings(empty, empty, empty, no, no, no, no, no, np.zeros(0, dtype=np.int64))


def _settled(
    heading: list[str], found: dict[str, list[int]], asked: Asked, faults: _Faults, line: int
) -> dict[str, int] | None:
    """Return the column of everything that is needed; report what is missing or named twice."""
    listed = ", ".join(f"“{cell}”" for cell in heading if cell)
    needed = ["Time"] if found["Time"] or not found["Date"] else ["Date"]
    if not asked.channels:
        needed += ["Temperature", "Block", "Lift"]
    settled, sound = {}, True
    for what, columns in found.items():
        if asked.channels and what not in ("Time", "Date"):
            continue
        if len(columns) > 1:
            faults(Code.DUPLICATE_HEADING, line, f"{what} could be any of "
                   f"{', '.join(f'“{heading[place]}”' for place in columns)}.", f"Say which: --map \"{what}=HEADING\".")  # fmt: skip
            sound = False
        elif columns:
            settled[what] = columns[0]
        elif what in needed or what in asked.headings:
            near = nearest(asked.headings.get(what, what), heading)
            faults(Code.MISSING_HEADING, line, f"No heading is {asked.headings.get(what, what)}; the headings found are {listed}.",
                   (f"Is “{near}” meant? " if near else "") + f"Say --map \"{what}=HEADING\" with one of them, or --channel for a "
                   "column that holds one probe.")  # fmt: skip
            sound = False
    return settled if sound else None


def _stripped(cells: list[str]) -> Texts:
    """Return texts without spaces around them; each spelling is worked on once."""
    known = {cell: cell.strip() for cell in set(cells)}
    return texts(map(known.__getitem__, cells))


def _gathered(
    heading: list[str], columns: list[list[str]], at: list[int], places: dict[str, int], asked: Asked, faults: _Faults,
    head_line: int,
) -> Readings:  # fmt: skip
    count = len(at)
    moments = columns[places.get("Time", places.get("Date", 0))]
    if "Time" in places and "Date" in places:
        moments = [
            f"{day.strip()} {hour.strip()}"
            for day, hour in zip(columns[places["Date"]], moments, strict=True)
        ]
    time, offset = times_of(moments, at, asked.dates, faults)
    line = np.array(at, dtype=np.int64)
    if not asked.channels:
        value = _temperatures(
            heading[places["Temperature"]], columns[places["Temperature"]], at, asked, faults, head_line
        )
        names = {
            what: _stripped(columns[places[what]]) if what in places else texts([""] * count)
            for what in ("Block", "Lift", "Probe")
        }
        for what in ("Block", "Lift"):
            for item in np.flatnonzero(names[what] == "").tolist():
                faults(
                    Code.MISSING_VALUE,
                    at[item],
                    f"{what} is blank.",
                    "Fill it in, or take the line out.",
                    kind=f"{what} is blank",
                )
        face, joint = (
            _depths(heading[places[what]], columns[places[what]], at, faults, head_line)
            if what in places
            else np.full(count, np.nan)
            for what in ("Depth from face", "Depth from joint")
        )
        everything = Readings(
            names["Block"], names["Lift"], names["Probe"], time, offset, value, face, joint, line
        )
        return everything.where(~np.isnan(value))
    gathered: list[tuple[Any, ...]] = []
    whole, short = [plain(cell) for cell in heading], [plain(split_unit(cell)[0]) for cell in heading]
    for channel in asked.channels:
        wanted = plain(channel.heading)
        where = [place for place, cell in enumerate(whole) if cell == wanted] or [
            place for place, cell in enumerate(short) if cell == wanted
        ]
        if len(where) != 1 or where[0] >= len(columns):
            faults(Code.MISSING_HEADING, head_line, f"{len(where) or 'No'} heading{'s are' if len(where) > 1 else ' is'} the channel "
                   f"“{channel.heading}”; the headings found are {', '.join(f'“{cell}”' for cell in heading if cell)}.",
                   "Name a channel as the file does.")  # fmt: skip
            continue
        value = _temperatures(heading[where[0]], columns[where[0]], at, asked, faults, head_line)
        kept = ~np.isnan(value)
        size = int(kept.sum())
        gathered.append(
            (texts([channel.block] * size), texts([channel.lift] * size), texts([channel.probe] * size), time[kept],
             offset[kept], value[kept], np.full(size, channel.face), np.full(size, channel.joint), line[kept])
        )  # fmt: skip
    return (
        Readings(*(np.concatenate(parts) for parts in zip(*gathered, strict=True))) if gathered else _none()
    )


def _numbers(cells: list[str], at: list[int], what: str, faults: _Faults) -> Column:
    """Return numbers with a decimal point or comma, ``nan`` for blanks; report what is none."""
    try:
        values = np.array(list(map(float, cells)))
        if np.isfinite(values).all():
            return values
    except ValueError:
        pass
    point, comma = any("." in cell for cell in cells), any("," in cell for cell in cells)
    values = np.full(len(cells), np.nan)
    for item, cell in enumerate(cells):
        text = cell.strip()
        if not text:
            continue
        if comma and not point:
            text = text.replace(",", ".", 1)
        try:
            values[item] = (
                float(text) if re.fullmatch(r"[-+\u2212]?[\d.]+(?:[eE][-+]?\d+)?", text) else math.nan
            )
        except ValueError:
            values[item] = math.nan
        if math.isnan(values[item]):
            both = "; the column holds decimal points and commas" if comma and point else ""
            faults(Code.NOT_A_NUMBER, at[item], f"{what} is “{cell.strip()}”, which is no number{both}.",
                   "Correct it, or leave the cell blank where the logger has no reading.", cell, f"{what} is no number")  # fmt: skip
    return values


def _temperatures(
    heading: str, cells: list[str], at: list[int], asked: Asked, faults: _Faults, head_line: int
) -> Column:
    stated = _scale(split_unit(heading)[1])
    if not stated and not asked.unit:
        faults(Code.WRONG_UNIT, head_line, f"The heading “{heading}” does not say whether it is degrees C or F.",
               "Say --unit C or --unit F.", heading)  # fmt: skip
    elif stated and asked.unit and stated != asked.unit:
        faults(Code.WRONG_UNIT, head_line, f"The heading “{heading}” says degrees {stated}, and --unit {asked.unit} was given.",
               "Leave --unit out, or correct the heading.", heading)  # fmt: skip
    value = _numbers(cells, at, heading, faults)
    return np.asarray((value - 32.0) / 1.8) if (stated or asked.unit) == "F" else value


def _depths(heading: str, cells: list[str], at: list[int], faults: _Faults, head_line: int) -> Column:
    unit = split_unit(heading)[1]
    if unit not in LENGTHS:
        faults(Code.WRONG_UNIT, head_line, f"The heading “{heading}” carries no unit of length that is known.",
               "Write it with m, cm, mm, ft or in in brackets.", heading)  # fmt: skip
    return _numbers(cells, at, heading, faults) * LENGTHS.get(unit, math.nan)
