"""The command ``explain``: what a heading, a line of ``Job``, a flag or a word of the results means."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from sheetengine.books.saving import check_writable, replace_file
from sheetengine.sheets.declarations import nearest
from sheetengine.sheets.explanations import Explanation, explained, explanations, markdown
from sheetengine.terminal import Terminal

FOUND, NOT_FOUND = 0, 1


def add_explain(commands: Any, common: argparse.ArgumentParser) -> None:
    """Add the command to the parser."""
    explain = commands.add_parser(
        "explain",
        parents=[common],
        help="what a heading, a line of Job, a flag code or a word of the results means",
        description="Exit status: 0 it is explained, 1 there is no such word, 3 the file could not be written.",
    )
    explain.add_argument(
        "word",
        nargs="?",
        default="",
        metavar="CODE",
        help='such as EXC-7625C1AE, "Rise rate" or "Near limit"',
    )
    explain.add_argument(
        "--markdown", type=Path, default=None, metavar="FILE", help="write a reference of all of them"
    )
    explain.set_defaults(work=_explain)


def _explain(arguments: argparse.Namespace, terminal: Terminal) -> int:
    if arguments.markdown is not None:
        target: Path = arguments.markdown
        check_writable(target)
        content = markdown().encode()
        replace_file(target, lambda stream: stream.write(content))
        terminal.say(f"{target}: written.")
        if not arguments.word:
            terminal.give({"written": str(target), "status": FOUND})
            return FOUND
    every = list(explanations())
    found = explained(arguments.word) if arguments.word else []
    for entry in found:
        _tell(entry, terminal)
    if not arguments.word:
        names = sorted({entry.name for entry in every}, key=str.casefold)
        terminal.say(f"{len(names)} words can be explained: " + ", ".join(names))
    elif not found:
        near = nearest(arguments.word, sorted({entry.name for entry in every}))
        terminal.say(f"Nothing is called {arguments.word}." + (f" Is it {near}?" if near else ""))
    status = FOUND if found or not arguments.word else NOT_FOUND
    terminal.give({
        "status": status,
        "explained": [
            {"name": e.name, "kind": e.kind, "sheet": e.sheet, "meaning": e.meaning} | dict(e.facts) for e in found
        ],
    })  # fmt: skip
    return status


def _tell(entry: Explanation, terminal: Terminal) -> None:
    terminal.say(f"{entry.name} ({entry.kind.lower()}, {entry.sheet})")
    if entry.meaning:
        terminal.say(f"  {entry.meaning}")
    for name, text in entry.facts:
        terminal.say(f"  {name}: {text}")
