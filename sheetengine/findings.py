"""Findings: things the engineer should look at, each with its place."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from sheetengine.cells import CellRef
from sheetengine.sources import Source


class Level(Enum):
    """What a finding asks for; the words stand in the ``Level`` column of ``Flags``."""

    FAULT = "Input fault"
    """The book cannot be used until it is put right; nothing is written."""
    STOP = "Blocks issue"
    """A check failed, was outside its scope, or could not be made."""
    ACCEPT = "Needs acceptance"
    """A named person must accept it, or the input must change."""
    NOTE = "For information"


LEVEL_ORDER = {level: place for place, level in enumerate(Level)}


class Code(Enum):
    """Kind of finding; the value is the prefix of the flag's identifier."""

    MISSING_SHEET = "MSH"
    MISSING_HEADING = "MHD"
    DUPLICATE_HEADING = "DHD"
    MISSING_VALUE = "MVA"
    NOT_A_NUMBER = "NAN"
    NOT_A_DATE = "NDT"
    NOT_ON_LIST = "NLS"
    WRONG_UNIT = "UNT"
    IMPOSSIBLE_VALUE = "IMP"
    UNKNOWN_NAME = "UNK"
    DUPLICATE_ROW = "DUP"
    OUT_OF_ORDER = "ORD"
    NOT_RECALCULATED = "NRC"
    CELL_ERROR = "ERR"
    MERGED_CELLS = "MRG"
    PROBE_FAULT = "PRB"

    OUTSIDE_SCOPE = "OSC"
    BELOW_RANGE = "BLR"
    EXCEEDS = "EXC"
    NEAR_LIMIT = "NRL"
    NOT_COMPUTED = "NCO"
    FOOT_LIFTS = "FTL"
    GATE_NOT_MET = "GAT"
    NEEDS_TESTS = "TST"
    PLANNED_EARLY = "EAR"
    SET_NOT_STATED = "SET"
    UNCONFIRMED_SOURCE = "USR"
    PLAUSIBILITY = "PLS"
    MIXED_STANDARDS = "MIX"
    LAYOUT_DIFFERS = "LAY"
    PANEL_SHORT = "PNL"
    BAR_RADIUS = "RAD"
    BAR_SHAPE = "SHP"
    HEIGHT_STEP = "HGT"
    DEFAULT_TAKEN = "DEF"
    HIDDEN_INPUT = "HID"
    AS_BUILT = "ASB"
    ANCHORS_AHEAD = "AHD"
    HOLD_POINT = "HLD"
    AS_PLACED = "PLD"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing the engineer should look at, and where.

    ``keys`` and ``heading`` name the thing itself, so that the identifier stays while rows move;
    ``at`` is the cell as it stood when the book was read. ``about`` names the things that one finding is told for,
    where it is told for several: lifts by name, or a number of things as ``12 readings``.
    """

    level: Level
    code: Code
    at: CellRef
    message: str
    found: object = None
    limit: str = ""
    clears: str = ""
    source: Source | None = None
    keys: tuple[str, ...] = ()
    heading: str = ""
    about: tuple[str, ...] = ()

    @property
    def identifier(self) -> str:
        """Flag identifier, the same from run to run while the finding is the same thing."""
        name = "\x1f".join((self.code.value, self.at.sheet, *self.keys, self.heading))
        if not self.keys:
            name += f"\x1f{self.at.a1}"
        return f"{self.code.value}-{hashlib.sha256(name.encode()).hexdigest()[:8].upper()}"

    def __str__(self) -> str:
        """Return the finding in one line: place, what, and what to do."""
        what_next = f" {self.clears}" if self.clears else ""
        return f"{self.at}: {self.message}{what_next}"


def in_order(findings: Iterable[Finding]) -> list[Finding]:
    """Return the findings without repeats, most serious first, then by place."""
    kept: dict[str, Finding] = {}
    for finding in findings:
        kept.setdefault(finding.identifier + finding.message, finding)
    return sorted(
        kept.values(), key=lambda f: (LEVEL_ORDER[f.level], f.at.sheet, f.at.row, f.at.column, f.code.value)
    )


def counts(findings: Iterable[Finding]) -> dict[str, int]:
    """Return how many findings each level has."""
    tally = Counter(finding.level.value for finding in findings)
    return {level.value: tally.get(level.value, 0) for level in Level}
