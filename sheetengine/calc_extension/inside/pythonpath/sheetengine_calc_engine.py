"""Calls the engine in a process of its own and puts what it said into words. Standard library alone.

LibreOffice brings its own Python, which may be as old as 3.8 and has none of the engine's packages.
"""

from __future__ import annotations

import json
import os
import subprocess
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Callable, Dict, List, Mapping, Sequence  # noqa: UP035 - read by Python 3.8 too

REBUILD = (
    "Write the extension again with the engine that is to be used (sheetengine extension --to FILE.oxt) and install it in "
    "place of this one."
)
_POLL = 0.05
_LISTED = 10
_STALE_NOTE = "The result sheets of the earlier run were left as they are."


@dataclass(frozen=True)
class Settings:
    """Where the engine is, as recorded when the extension was written."""

    python: str
    home: str
    patience: float
    version: str

    @staticmethod
    def read(folder: Path) -> Settings:
        """Read the settings beside the component."""
        held = json.loads((folder / "engine.json").read_text(encoding="utf-8"))
        return Settings(str(held["python"]), str(held["home"]), float(held["patience"]), str(held["version"]))


@dataclass(frozen=True)
class Answer:
    """What came of a call: ``done``, ``faults``, ``refused`` (the engine said why) or ``failed``."""

    kind: str
    words: str
    data: Dict[str, Any] = field(default_factory=dict)  # noqa: UP006

    @property
    def faults(self) -> List[Dict[str, str]]:  # noqa: UP006
        """The input faults, in the order of sheets and cells."""
        return list(self.data.get("faults", []))


def call_engine(
    settings: Settings, command: str, book: Path, title: str, tick: Callable[[float], None] = lambda _: None
) -> Answer:
    """Run a command of the engine on a copy of the book.

    Parameters
    ----------
    settings
        Where the engine is.
    command
        ``run`` or ``verify``.
    book
        The copy, in a folder of its own.
    title
        What the user calls the book.
    tick
        Told the seconds gone, again and again while the engine works.
    """
    if not os.path.isfile(settings.python):
        return Answer(
            "failed",
            f"The engine was not found: there is no {settings.python}. Install sheetengine there. {REBUILD}",
        )
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        try:
            process = subprocess.Popen(
                [settings.python, "-m", "sheetengine", command, str(book), "--json"],
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=err,
                cwd=str(book.parent),
                env=surroundings(os.environ, settings.home),
                creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
            )
        except OSError as error:
            return Answer("failed", f"The engine could not be started ({error}). {REBUILD}")
        start = time.monotonic()
        try:
            while process.poll() is None:
                gone = time.monotonic() - start
                if gone > settings.patience:
                    return Answer(
                        "failed",
                        f"The engine gave no answer within {settings.patience:g} s and was stopped. Nothing was changed. Save "
                        "the book, try again, and if it happens once more run it from a command line to see how far it comes.",
                    )
                tick(gone)
                time.sleep(_POLL)
        finally:
            if process.poll() is None:
                process.kill()
                process.wait()
        out.seek(0)
        err.seek(0)
        return told(
            process.returncode, out.read().decode("utf-8", "replace"), err.read().decode("utf-8", "replace"), book, title
        )  # fmt: skip


def surroundings(environment: Mapping[str, str], home: str) -> Dict[str, str]:  # noqa: UP006
    """Return the environment for the engine: without what the office program set for its own Python.

    >>> surroundings({"PATH": "/bin", "PYTHONHOME": "/office"}, "/engine")
    {'PATH': '/bin', 'PYTHONPATH': '/engine', 'PYTHONUTF8': '1', 'PYTHONDONTWRITEBYTECODE': '1'}
    """
    kept = {
        name: value
        for name, value in environment.items()
        if not name.startswith("PYTHON") and name != "LD_LIBRARY_PATH"
    }
    return {**kept, "PYTHONPATH": home, "PYTHONUTF8": "1", "PYTHONDONTWRITEBYTECODE": "1"}


def told(status: int, out: str, err: str, book: Path, title: str) -> Answer:
    """Return what the engine's exit status and its two streams say.

    >>> told(3, '{"status": 3, "problem": "/t/copy.xlsx: no."}', "", Path("/t/copy.xlsx"), "Dam").words
    'Dam: no.'
    """
    try:
        data = json.loads(out)
    except ValueError:
        data = None
    if not isinstance(data, dict) or data.get("status") != status:
        return Answer("failed", _unknown(status, err))
    if status == 2:
        return Answer("faults", fault_words(data["faults"]), data)
    if status == 3:
        return Answer("refused", str(data["problem"]).replace(str(book), title), data)
    if status in (0, 1):
        return Answer("done", "", data)
    return Answer("failed", _unknown(status, err))


def _unknown(status: int, err: str) -> str:
    lines = [line.strip() for line in err.splitlines() if line.strip()]
    last = f" Its last words: {lines[-1][:300]}" if lines else ""
    if "No module named sheetengine" in err:
        return f"The Python that this extension calls no longer has the engine. {REBUILD}"
    ended = f"was stopped by signal {-status}" if status < 0 else f"ended with status {status}"
    return (
        f"The engine {ended} and gave no result. Nothing was changed.{last} Save the book and try again; if it happens once "
        "more, run it from a command line (sheetengine run) and pass on what it prints."
    )


def fault_words(faults: Sequence[Mapping[str, Any]]) -> str:
    """Return the input faults as lines, the first few of them."""
    number = len(faults)
    lines = [f"The inputs cannot be used: {number} fault{'s' if number > 1 else ''}."]
    for fault in list(faults)[:_LISTED]:
        lines.append(f"{fault['sheet']} {fault['cell']}: {fault['message']}".replace(" :", ":"))
    if number > _LISTED:
        lines.append(f"… and {number - _LISTED} more.")
    return "\n".join(lines)


def tally(counts: Mapping[str, int]) -> str:
    """Return counts as words.

    >>> tally({"Exceeds": 2, "Within": 0})
    '2 Exceeds'
    """
    return ", ".join(f"{number} {word}" for word, number in counts.items() if number) or "none"


def result_words(data: Mapping[str, Any]) -> str:
    """Return what a run found, in a few lines."""
    lines = [f"{sheet}: {tally(counts)}" for sheet, counts in data["verdicts"].items()]
    lines.append(f"Flags: {tally(data['flags'])}")
    if data["status"] == 0:
        lines.append("Nothing exceeds.")
    else:
        lines.append("Something exceeds, lies outside scope or was not computed: see the sheet Flags.")
    return "\n".join(lines)


STATES = {
    "none": "The inputs are usable. The book holds no results yet; run the calculation.",
    "edited": "Cells of the result sheets were changed by hand. Run the calculation again.",
    "current": "The inputs are usable and the results belong to them.",
    "stale": "The inputs are usable, but they have changed since the results were written. Run the calculation again.",
}
