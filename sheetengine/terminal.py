"""What the commands print: progress and messages on standard error, JSON on standard output."""

from __future__ import annotations

import json
import sys
import threading
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from sheetengine.findings import Finding, counts
from sheetengine.job import Results

PATIENCE = 1.0
"""Seconds after which a progress bar appears."""


class Steps:
    """Progress of one command: a bar on standard error once it has taken longer than a second."""

    def __init__(self, console: Console, total: int) -> None:
        self._progress = Progress(
            TextColumn("{task.description}"),
            BarColumn(),
            TimeElapsedColumn(),
            console=console,
            transient=True,
        )
        self._task = self._progress.add_task("Start", total=total)
        self._timer = threading.Timer(PATIENCE, self._progress.start)
        self._timer.daemon = True

    def __call__(self, description: str) -> None:
        """Tell of the next step."""
        self._progress.update(self._task, description=description, advance=1)

    def start(self) -> None:
        """Begin to wait for the bar to be worth showing."""
        self._timer.start()

    def stop(self) -> None:
        """Take the bar away."""
        self._timer.cancel()
        self._progress.stop()


class Terminal:
    """The two streams of a command: words on standard error, data on standard output."""

    def __init__(self, as_json: bool) -> None:
        self.as_json = as_json
        self.console = Console(stderr=True, highlight=False, soft_wrap=True)

    def say(self, text: str) -> None:
        """Print a message on standard error."""
        self.console.print(text, markup=False)

    def give(self, data: dict[str, Any]) -> None:
        """Print data on standard output, as JSON, where JSON was asked for."""
        if self.as_json:
            sys.stdout.write(json.dumps(data, ensure_ascii=False, indent=2, default=str) + "\n")

    @contextmanager
    def steps(self, total: int) -> Iterator[Steps]:
        """Show progress while the body runs."""
        shown = Steps(self.console, total)
        shown.start()
        try:
            yield shown
        finally:
            shown.stop()


def finding_data(finding: Finding) -> dict[str, Any]:
    """Return a finding as plain data."""
    return {
        "flag": finding.identifier,
        "level": finding.level.value,
        "code": finding.code.value,
        "sheet": finding.at.sheet,
        "cell": finding.at.a1 if finding.at.row else "",
        "found": None if finding.found is None else str(finding.found),
        "limit": finding.limit,
        "message": finding.message,
        "clears": finding.clears,
        "source": "" if finding.source is None else str(finding.source),
    }


def verdict_counts(results: Results) -> dict[str, dict[str, int]]:
    """Return how often each verdict stands on each result sheet."""
    return {
        name: dict(Counter(frame["Verdict"]))
        for name, frame in results.frames.items()
        if "Verdict" in frame.columns
    }


def summary(book: str, results: Results, status: int) -> dict[str, Any]:
    """Return what a run found, as plain data."""
    return {
        "book": book,
        "status": status,
        "digest": results.digest,
        "verdicts": verdict_counts(results),
        "flags": counts(results.findings),
        "findings": [finding_data(finding) for finding in results.findings],
    }


def summary_lines(results: Results, most: int = 8) -> list[str]:
    """Return what a run found, for people: verdicts by sheet and the gravest flags."""
    lines = []
    for name, tally in verdict_counts(results).items():
        if tally:
            lines.append(f"  {name}: " + ", ".join(f"{number} {word}" for word, number in tally.items()))
    tally = counts(results.findings)
    lines.append("  Flags: " + ", ".join(f"{number} {level}" for level, number in tally.items() if number))
    worst = [finding for finding in results.findings if finding.level.value == "Blocks issue"]
    lines += [f"    {finding}" for finding in worst[:most]]
    if len(worst) > most:
        lines.append(f"    and {len(worst) - most} more that block issue, in the sheet Flags")
    return lines


def state_line(states: Mapping[str, int]) -> str:
    """Return how many flags are open, signed and open again, and how many the run cleared."""
    told = [f"{number} {state.lower()}" for state, number in states.items() if state != "Cleared"]
    return f"Reviewed: {', '.join(told)}; {states['Cleared']} cleared since the last run"


def fault_lines(findings: Sequence[Finding]) -> list[str]:
    """Return input faults, one a line, grouped by sheet."""
    lines = []
    sheet = ""
    for finding in sorted(findings, key=lambda entry: (entry.at.sheet, entry.at.row, entry.at.column)):
        if finding.at.sheet != sheet:
            sheet = finding.at.sheet
            lines.append(f"{sheet}:")
        place = finding.at.a1 if finding.at.row else "sheet"
        lines.append(f"  {place}: {finding.message} {finding.clears}")
    return lines
