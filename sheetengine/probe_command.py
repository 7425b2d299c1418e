"""The command ``probes``: what its options say, and what it tells."""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from sheetengine.logger_files import DATES, HEADINGS, Channel, FileFaults, Wishes
from sheetengine.probe_import import Pulled, pull_in
from sheetengine.sheets.declarations import plain
from sheetengine.terminal import Terminal
from sheetengine.units import MEASURES, UnitFault, to_base

NOTHING_EXCEEDS, UNUSABLE = 0, 2
_ZONE = re.compile(r"^([+-]?)(\d{1,2})(?::?(\d{2}))?$")


def add_probes(commands: Any, common: argparse.ArgumentParser) -> None:
    """Add the command to the parser."""
    probes = commands.add_parser(
        "probes", parents=[common], help="pull temperature logs from text files into the sheet Probe log"
    )
    probes.add_argument("book", type=Path)
    probes.add_argument("files", type=Path, nargs="+", metavar="FILE")
    probes.add_argument(
        "--map",
        action="append",
        default=[],
        metavar="HEADING=COLUMN",
        dest="columns",
        help="which column of the files stands for a heading of Probe log; join date and time of day as Time=Date+Clock",
    )
    probes.add_argument(
        "--set",
        action="append",
        default=[],
        metavar="HEADING=VALUE",
        dest="constants",
        help='one value for all readings, as in Lift=7 or "Depth from face=0.3 m"',
    )
    probes.add_argument(
        "--channel",
        action="append",
        default=[],
        metavar="COLUMN=BLOCK/LIFT,PROBE,FACE,JOINT",
        dest="channels",
        help='a column that is a probe of its own, as in "CH1=M8/9, P1, 0.30 m, 0.90 m"; once for each probe',
    )
    probes.add_argument("--unit", choices=("degC", "degF"), default="", help="unit of the temperatures")
    probes.add_argument(
        "--dates", choices=DATES, default="", help="how the files write dates, where they do not tell"
    )
    probes.add_argument(
        "--clock-ahead",
        type=float,
        default=0.0,
        metavar="HOURS",
        help="by how much the loggers' clocks are ahead of the plan's",
    )
    probes.add_argument(
        "--zone",
        default="",
        metavar="+HH:MM",
        help="by how much the clock of the plan is ahead of UTC, for times that carry a zone",
    )
    probes.add_argument(
        "--every",
        type=float,
        default=0.0,
        metavar="MINUTES",
        help="keep only the coldest reading of each probe in every interval",
    )
    probes.add_argument(
        "--out", type=Path, default=None, help="write to this file and leave the book as it is"
    )
    probes.set_defaults(work=work)


def work(arguments: argparse.Namespace, terminal: Terminal) -> int:
    """Pull the files in and tell what was done."""
    book: Path = arguments.book
    try:
        wishes = _wishes(arguments)
        pulled = pull_in(book, arguments.files, wishes, arguments.out, every=arguments.every / 60.0)
    except FileFaults as faults:
        many = "s" if len(faults.faults) > 1 else ""
        terminal.say(f"The readings cannot be used: {len(faults.faults)} fault{many}. Nothing was written.")
        for line in faults.faults:
            terminal.say(f"  {line}")
        terminal.give({"status": UNUSABLE, "faults": faults.faults})
        return UNUSABLE
    target = arguments.out or book
    for line in told(pulled, target):
        terminal.say(line)
    terminal.give(
        {"book": str(target), "status": NOTHING_EXCEEDS, "added": pulled.added, "known": pulled.known, "thinned": pulled.thinned,
         "blank": pulled.blank, "differing": pulled.differing, "lifts": list(pulled.lifts)}
    )  # fmt: skip
    return NOTHING_EXCEEDS


def told(pulled: Pulled, target: Path) -> list[str]:
    """Return what the command says of its work."""
    lines = [
        f"{target}: {pulled.added:,} readings added to Probe log"
        + (f", for {', '.join(pulled.lifts)}." if pulled.lifts else ".")
    ]
    if pulled.known:
        lines.append(f"{pulled.known:,} readings stood there already and were not added again.")
    if pulled.differing:
        lines.append(
            f"{pulled.differing:,} of those added stand there with another temperature at the same time; the colder counts."
        )
    if pulled.thinned:
        lines.append(f"{pulled.thinned:,} were left out for a colder one of the same interval.")
    if pulled.blank:
        lines.append(f"{pulled.blank:,} lines or cells hold no reading.")
    if pulled.added:
        lines.append(f"Its results are older than its inputs now: sheetengine run {target}")
    return lines


def _pairs(given: Sequence[str], option: str, faults: list[str]) -> dict[str, str]:
    """Return heading and value of every ``HEADING=VALUE``."""
    known = {plain(name): name for name in HEADINGS}
    pairs = {}
    for text in given:
        name, mark, value = text.partition("=")
        heading = known.get(plain(name))
        if not mark or heading is None or not value.strip():
            faults.append(
                f"{option} {text}: write HEADING=VALUE, with one of the headings {', '.join(HEADINGS)}."
            )
        else:
            pairs[heading] = value.strip()
    return pairs


def _length(text: str) -> float:
    found = re.fullmatch(r"([-+]?\d+(?:\.\d+)?)\s*([A-Za-z]*)", text)
    if found is None:
        raise ValueError
    return float(to_base(np.array([float(found[1])]), found[2] or "m", MEASURES["length"])[0])


def _channel(text: str, faults: list[str]) -> Channel | None:
    column, mark, rest = text.rpartition("=")
    parts = [part.strip() for part in rest.split(",")]
    block, slash, lift = parts[0].partition("/")
    try:
        if not mark or not slash or not block or not lift or len(parts) > 4:
            raise ValueError
        depths = [_length(part) if part else np.nan for part in parts[2:4]] + [np.nan, np.nan]
    except (ValueError, UnitFault):
        faults.append(
            f"--channel {text}: write COLUMN=BLOCK/LIFT,PROBE,FACE,JOINT with the depths from face and joint, as in "
            '"CH1=M8/9, P1, 0.30 m, 0.90 m"; what is not known may be left out from the end.'
        )
        return None
    return Channel(
        column.strip(), block.strip(), lift.strip(), parts[1] if len(parts) > 1 else "", depths[0], depths[1]
    )


def _zone(text: str, faults: list[str]) -> float:
    if not text:
        return float("nan")
    found = _ZONE.match(text.strip())
    if found is None or int(found[2]) > 14 or int(found[3] or 0) > 59:
        faults.append(f"--zone {text}: write it as +01:00 or -07:00.")
        return float("nan")
    hours = int(found[2]) + int(found[3] or 0) / 60.0
    return -hours if found[1] == "-" else hours


def _wishes(arguments: argparse.Namespace) -> Wishes:
    """Return what the options say; every fault of them at once."""
    faults: list[str] = []
    columns = _pairs(arguments.columns, "--map", faults)
    constants = _pairs(arguments.constants, "--set", faults)
    for name in constants:
        if name in ("Time", "Temperature"):
            faults.append(
                f"--set {name}=…: a log holds more than one. Name its column with --map {name}=COLUMN."
            )
    for name in columns.keys() & constants.keys():
        faults.append(f"--map and --set both speak of {name}. Leave one out.")
    channels = [channel for text in arguments.channels if (channel := _channel(text, faults)) is not None]
    if channels:
        spoken = sorted((columns.keys() | constants.keys()) - {"Time"})
        if spoken:
            faults.append(
                f"--channel says where each probe sits; leave out {' and '.join(spoken)} of --map and --set."
            )
    if arguments.every < 0.0 or not np.isfinite(arguments.every):
        faults.append("--every: write the length of the intervals in minutes, as in --every 15.")
    if not np.isfinite(arguments.clock_ahead) or abs(arguments.clock_ahead) > 26.0:
        faults.append("--clock-ahead: write hours between -26 and 26.")
    zone = _zone(arguments.zone, faults)
    if faults:
        raise FileFaults(faults)
    return Wishes(columns, constants, channels, arguments.unit, arguments.dates, arguments.clock_ahead, zone)
