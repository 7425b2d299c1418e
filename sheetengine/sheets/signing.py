"""The life of a flag from run to run: who signed it, for which value, when it opens again, and what became of it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from sheetengine.findings import LEVEL_ORDER, Code, Finding, Level

OPEN, SIGNED, OPEN_AGAIN = "Open", "Signed", "Open again"
"""Words in the column State of ``Flags``."""
CLEARED, CAME_BACK, REOPENED = "Cleared", "Came back", "Opened again"
"""Words in the column Event of ``Flag history``."""
REOPENS_AT = 0.02
"""By which part of its size a signed value may get worse before the flag opens again."""

_NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?")
_COUNTED = re.compile(r"(\d+) (\D+)")


@dataclass(frozen=True, slots=True)
class Stand:
    """What a flag said at one moment: level, value, limit and what it was about, as texts."""

    level: str = ""
    value: str = ""
    limit: str = ""
    about: str = ""


@dataclass(frozen=True, slots=True)
class Entry:
    """One row of ``Flags``.

    Attributes
    ----------
    now
        What the flag says.
    signed, signed_by
        What it said when it was signed, and the initials; empty where it is not.
    before
        Signatures that no longer hold.
    raised
        Time of the run that raised it first.
    """

    identifier: str
    now: Stand
    finding: str = ""
    initials: str = ""
    remark: str = ""
    state: str = OPEN
    why: str = ""
    before: str = ""
    raised: str = ""
    signed: Stand = field(default_factory=Stand)
    signed_by: str = ""


@dataclass(frozen=True, slots=True)
class Event:
    """One row of ``Flag history``."""

    time: str
    identifier: str
    what: str
    stand: Stand
    finding: str
    initials: str
    remark: str
    digest: str = ""


ENTRY_HEADINGS = (
    "Flag", "Level", "Finding", "Value", "Limit", "Initials", "Remark", "State", "Signed before", "First raised",
    "About", "Signed by", "Signed level", "Signed value", "Signed limit", "Signed about",
)  # fmt: skip
EVENT_HEADINGS = (
    "Time", "Flag", "Event", "Level", "Finding", "Value", "Limit", "Initials", "Remark", "About", "Digest",
)  # fmt: skip

Rows = Sequence[Sequence[object]]


def _text(cell: object) -> str:
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    return "" if cell is None else str(cell).strip()


def _rows_under(rows: Rows, wanted: set[str], headings: Sequence[str]) -> Iterator[dict[str, str]]:
    """Yield the rows under a heading row that holds the wanted headings, as texts by heading; absent ones are empty."""
    head = next((place for place, row in enumerate(rows) if wanted <= set(map(_text, row))), None)
    if head is None:
        return
    at = {_text(name): column for column, name in reversed(list(enumerate(rows[head])))}
    for row in rows[head + 1 :]:
        yield {name: _text(row[at[name]]) if name in at and at[name] < len(row) else "" for name in headings}


def read_entries(rows: Rows) -> dict[str, Entry]:
    """Return the flags of an earlier ``Flags`` sheet by identifier, whatever order the reviewer put them in.

    Of a flag that stands there twice the row with initials counts. Columns that an older sheet lacks are empty.
    """
    found: dict[str, Entry] = {}
    for row in _rows_under(rows, {"Flag", "Initials", "Remark"}, ENTRY_HEADINGS):
        name = row["Flag"]
        if not name or (name in found and (found[name].initials or not row["Initials"])):
            continue
        found[name] = Entry(
            name, Stand(row["Level"], row["Value"], row["Limit"], row["About"]), row["Finding"], row["Initials"],
            row["Remark"], row["State"].split(":")[0], "", row["Signed before"], row["First raised"],
            Stand(row["Signed level"], row["Signed value"], row["Signed limit"], row["Signed about"]), row["Signed by"],
        )  # fmt: skip
    return found


def read_events(rows: Rows) -> list[Event]:
    """Return the rows of an earlier ``Flag history``, as they stand."""
    return [
        Event(row["Time"], row["Flag"], row["Event"], Stand(row["Level"], row["Value"], row["Limit"], row["About"]),
              row["Finding"], row["Initials"], row["Remark"], row["Digest"])
        for row in _rows_under(rows, {"Flag", "Event", "Time"}, EVENT_HEADINGS)
        if row["Flag"]
    ]  # fmt: skip


def named(findings: Sequence[Finding]) -> list[tuple[str, Finding]]:
    """Return every finding with an identifier of its own.

    Findings that would share one are told apart by a number, in the order of their texts without places, so that
    moving rows exchanges nothing.
    """
    shared = {name for name, count in Counter(f.identifier for f in findings).items() if count > 1}
    order: dict[str, list[str]] = {name: [] for name in shared}
    for finding in findings:
        if finding.identifier in shared:
            order[finding.identifier].append(_without_places(finding.message))
    out = []
    taken: Counter[tuple[str, str]] = Counter()
    for finding in findings:
        name = finding.identifier
        if name in shared:
            words = _without_places(finding.message)
            place = sorted(order[name]).index(words) + taken[name, words]
            taken[name, words] += 1
            name = f"{name}-{place + 1}"
        out.append((name, finding))
    return out


def _without_places(message: str) -> str:
    return re.sub(r"\brows? [\d, …]+|![A-Z]{1,3}\d+\b", "", message, flags=re.IGNORECASE)


def value_text(found: object) -> str:
    """Return what was found, as it stands in the column Value."""
    if found is None:
        return ""
    return f"{found:.6g}" if isinstance(found, float) else str(found)


def _number(text: str) -> tuple[float, str] | None:
    """Return the only number of a text and the rest of it, ``None`` where there is none or several."""
    numbers = _NUMBER.findall(text)
    if len(numbers) != 1:
        return None
    return float(numbers[0]), " ".join(_NUMBER.sub(" ", text).split())


def _more_things(signed: str, now: str) -> bool:
    """Return whether a flag is about something that it was not signed for; fewer things are no more."""

    def parts(text: str) -> tuple[set[str], dict[str, int]]:
        names, numbers = set(), {}
        for part in filter(None, (piece.strip() for piece in text.split(";"))):
            counted = _COUNTED.fullmatch(part)
            if counted:
                numbers[counted[2]] = int(counted[1])
            else:
                names.add(part)
        return names, numbers

    (had, counted), (has, counts) = parts(signed), parts(now)
    return bool(has - had) or any(number > counted.get(what, 0) for what, number in counts.items())


def got_worse(code: Code, signed: Stand, now: Stand, amount: float) -> str:
    """Return in words why a signature no longer holds, empty where it does.

    A value gets worse away from its limit, and one that is near its limit towards it. Where that cannot be told, as for
    a value that is not one number, or a limit of two, any change opens the flag.

    Parameters
    ----------
    code
        Kind of finding.
    signed, now
        What was signed, and what the flag says.
    amount
        Part of the limit's size, or of the value's where that is greater, by which the value may get worse. [-]
    """
    order = {level.value: LEVEL_ORDER[level] for level in Level}
    if signed.level and order.get(now.level, 0) < order.get(signed.level, 0):
        return f"it was signed as “{signed.level}”"
    if _more_things(signed.about, now.about):
        return "it is about more than was signed"
    was, is_, limit, bound = (_number(text) for text in (signed.value, now.value, signed.limit, now.limit))
    if was is None or is_ is None or was[1] != is_[1]:
        if signed.value != now.value:
            return f"the value signed was {signed.value or 'blank'}"
        return f"the limit was {signed.limit or 'blank'}" if signed.limit != now.limit else ""
    if limit is None or bound is None or limit[1] != bound[1]:
        if signed.limit != now.limit:
            return f"the limit was {signed.limit or 'blank'}"
        slack = amount * abs(was[0])
        return f"the value signed was {signed.value}" if abs(is_[0] - was[0]) > slack else ""
    outward = 1.0 if was[0] >= limit[0] else -1.0
    if code is Code.NEAR_LIMIT:
        outward = -outward
    slack = amount * max(abs(limit[0]), abs(was[0]))
    moved = outward * ((is_[0] - bound[0]) - (was[0] - limit[0]))
    if not moved <= slack:
        changed = "" if signed.limit == now.limit else f" against {signed.limit}"
        return f"the value signed was {signed.value}{changed}"
    return ""


def lived(
    findings: Sequence[Finding],
    earlier: Mapping[str, Entry],
    history: Sequence[Event],
    *,
    time: str,
    digest: str = "",
    amount: float = REOPENS_AT,
) -> tuple[list[Entry], list[Event]]:
    """Return the flags of this run with what the reviewer gave them, and the history with what happened to them.

    Parameters
    ----------
    findings
        Every finding of this run.
    earlier
        The flags of the run before, as the reviewer left them.
    history
        The history as the run before left it, newest first.
    time, digest
        Of this run.
    amount
        See :func:`got_worse`.

    Returns
    -------
    tuple
        One entry a finding, in the order given; the history, newest first.
    """
    entries, news = [], []
    last = {event.identifier: event for event in reversed(history)}
    for name, finding in named(findings):
        now = Stand(
            finding.level.value, value_text(finding.found), finding.limit, "; ".join(sorted(finding.about))
        )
        entry = Entry(name, now, finding.message, raised=time)
        old = earlier.get(name)
        if old is None:
            gone = last.get(name)
            if gone is not None and gone.what == CLEARED:
                news.append(
                    Event(time, name, CAME_BACK, now, finding.message, gone.initials, gone.remark, digest)
                )
                entry = replace(
                    entry, remark=gone.remark, state=OPEN_AGAIN, before=_told(gone.initials, gone.stand),
                    why="it had been cleared and came back",
                )  # fmt: skip
            entries.append(entry)
            continue
        entry = replace(entry, remark=old.remark, before=old.before, raised=old.raised or time)
        if old.initials:
            kept = old.signed_by == old.initials and old.state == SIGNED
            signed = old.signed if kept else old.now
            why = got_worse(finding.code, signed, now, amount)
            if why:
                before = "; ".join(filter(None, (_told(old.initials, signed), old.before)))
                entry = replace(entry, state=OPEN_AGAIN, why=why, before=before)
                news.append(
                    Event(time, name, REOPENED, now, finding.message, old.initials, old.remark, digest)
                )
            else:
                entry = replace(
                    entry, initials=old.initials, state=SIGNED, signed=signed, signed_by=old.initials
                )
        elif old.state == OPEN_AGAIN:
            entry = replace(entry, state=OPEN_AGAIN, why="its earlier signature no longer holds")
        entries.append(entry)
    here = {entry.identifier for entry in entries}
    for name, old in earlier.items():
        if name not in here:
            told = old.initials or old.before
            news.append(Event(time, name, CLEARED, old.now, old.finding, told, old.remark, digest))
    return entries, [*news, *history]


def _told(initials: str, stand: Stand) -> str:
    """Return a signature with what it was given for."""
    if not initials:
        return ""
    value = f" at {stand.value}" if stand.value else ""
    limit = f" (limit {stand.limit})" if stand.limit else ""
    return f"{initials}{value}{limit}"


def states(entries: Sequence[Entry], events: Sequence[Event], time: str) -> dict[str, int]:
    """Return how many flags are open, signed and open again, and how many this run cleared."""
    tally = Counter(entry.state for entry in entries)
    cleared = sum(event.what == CLEARED and event.time == time for event in events)
    return {OPEN: tally[OPEN], SIGNED: tally[SIGNED], OPEN_AGAIN: tally[OPEN_AGAIN], CLEARED: cleared}
