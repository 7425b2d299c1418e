"""Command line: new, run, verify, compare, report, card, explain, probes, takeoff, attach, extension, demo."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from sheetengine.attach import attach, next_steps
from sheetengine.books.reading import is_open_document, read_grids
from sheetengine.calc_extension.build import write_extension
from sheetengine.card_command import add_card
from sheetengine.compare_command import add_compare, cells_apart, inputs_since
from sheetengine.demos import DEMOS, copy_demo, demo_named
from sheetengine.exceptions import BookUnreadable, BookUnwritable, InputFaults
from sheetengine.explain_command import add_explain
from sheetengine.job import Job, Results
from sheetengine.new_book import build_template
from sheetengine.probe_command import add_probes
from sheetengine.report_command import add_report
from sheetengine.run import calculate, is_open, read_book, recorded_line, write_results
from sheetengine.sheets.job_items import SAFETY_BASES
from sheetengine.sheets.results import CAUTION
from sheetengine.take_off import counts_of, write_counts
from sheetengine.terminal import Terminal, fault_lines, finding_data, state_line, summary, summary_lines
from sheetengine.version import engine_version

CELLS_NAMED = 12
NOTHING_EXCEEDS, FLAGGED, UNUSABLE, NO_FILE = range(4)


def _compute(book: Path, step: Callable[[str], None]) -> tuple[Job, Results]:
    step("Read the book")
    job = read_book(book)
    step("Compute")
    return job, calculate(job)


def _run(arguments: argparse.Namespace, terminal: Terminal) -> int:
    book: Path = arguments.book
    out: Path | None = arguments.out
    with terminal.steps(5) as step:
        _, results = _compute(book, step)
        flags = write_results(book, results, out, step=step)
    status = FLAGGED if is_open(results) else NOTHING_EXCEEDS
    target = out or book
    terminal.say(f"{target}: result sheets written.")
    if is_open_document(book):
        terminal.say(
            f"It holds the values of its sheets as they stand in {book}, without formulas and formats."
        )
    for line in summary_lines(results):
        terminal.say(line)
    terminal.say(f"  {state_line(flags)}")
    terminal.say(CAUTION)
    terminal.give(summary(str(target), results, status) | {"states": flags})
    return status


def _new(arguments: argparse.Namespace, terminal: Terminal) -> int:
    book: Path = arguments.book
    if book.exists():
        raise BookUnwritable(f"{book} is there already and was left as it is. Choose another name.")
    us = arguments.units == "us"
    build_template(
        book, us=us, safety=arguments.safety or ("ACI service load" if us else "EN partial factors")
    )
    terminal.say(
        f"{book}: written. Fill in Job, Mixes, Form units, Anchor types and Lifts, then: sheetengine run {book}"
    )
    terminal.give({"book": str(book), "status": NOTHING_EXCEEDS})
    return NOTHING_EXCEEDS


def _recorded_digest(book: Path) -> str:
    digest = recorded_line(read_grids(book, ["Run record"]).get("Run record"), "Digest of the inputs")
    return digest if len(digest) > 16 else ""


def _verify(arguments: argparse.Namespace, terminal: Terminal) -> int:
    book: Path = arguments.book
    with terminal.steps(3) as step:
        job, results = _compute(book, step)
        recorded = _recorded_digest(book)
        apart = cells_apart(book, results) if recorded else []
        changed = inputs_since(book, job) if recorded != job.digest else []
    if not recorded:
        state, word = "none", "The inputs are usable. The book holds no results yet; run it."
    elif apart and recorded == job.digest:
        state, word = (
            "edited",
            f"{len(apart)} result cell{'s were' if len(apart) > 1 else ' was'} changed by hand. Run the book again.",
        )
    elif recorded == job.digest:
        state, word = "current", "The inputs are usable and the results belong to them."
    else:
        state, word = (
            "stale",
            "The inputs are usable, but they have changed since the results were written. Run the book again.",
        )
    terminal.say(f"{book}: {word}")
    for difference, at in changed[:CELLS_NAMED]:
        terminal.say(f"  changed since: {difference}{f' ({at})' if at else ''}")
    if len(changed) > CELLS_NAMED:
        terminal.say(f"  and {len(changed) - CELLS_NAMED} more inputs")
    if state == "stale" and apart:
        sheets = ", ".join(dict.fromkeys(cell.at.sheet for cell in apart))
        terminal.say(f"  {len(apart)} result cells would change, in: {sheets}")
    for cell in apart[:CELLS_NAMED]:
        terminal.say(f"  {cell}")
    if len(apart) > CELLS_NAMED:
        terminal.say(f"  and {len(apart) - CELLS_NAMED} more cells")
    status = FLAGGED if state != "current" or is_open(results) else NOTHING_EXCEEDS
    for line in summary_lines(results, most=0):
        terminal.say(line)
    cells = [
        {"sheet": cell.at.sheet, "cell": cell.at.a1, "key": cell.key, "heading": cell.heading, "stands": cell.stands,
         "computed": cell.computed}
        for cell in apart
    ]  # fmt: skip
    inputs = [
        {
            "sheet": d.sheet,
            "cell": at,
            "key": d.key,
            "heading": d.heading,
            "what": d.what,
            "old": d.old,
            "new": d.new,
        }
        for d, at in changed
    ]
    terminal.give(
        summary(str(book), results, status)
        | {"results": state, "recorded_digest": recorded, "cells": cells, "inputs": inputs}
    )
    return status


def _takeoff(arguments: argparse.Namespace, terminal: Terminal) -> int:
    frames, stale, status = [], [], NOTHING_EXCEEDS
    books = list({book.resolve(): book for book in arguments.books}.values())
    if len(books) < len(arguments.books):
        terminal.say("A book that is named twice is counted once.")
    taken: list[tuple[Path, Job, Results]] = []
    with terminal.steps(2 * len(books) + 1) as step:
        for book in books:
            job, results = _compute(book, step)
            twin = next((other for other, _, held in taken if held.digest == results.digest), None)
            if twin is not None:
                terminal.say(
                    f"{book} holds the same inputs as {twin}; both are counted. Leave one out if it is a copy."
                )
            taken.append((book, job, results))
        us = all(results.result_units == "US" for _, _, results in taken)
        same_name = len({book.name for book in books}) < len(books)
        for book, job, results in taken:
            recorded = _recorded_digest(book)
            if recorded and recorded != results.digest:
                stale.append(str(book))
            frames.append(counts_of(job, results, str(book) if same_name else book.name, us=us))
            status = max(status, FLAGGED if is_open(results) else NOTHING_EXCEEDS)
        step("Write the counts")
        written = write_counts(frames, arguments.to)
    for path in written:
        terminal.say(f"{path}: written.")
    for name in stale:
        terminal.say(
            f"{name}: its result sheets are older than its inputs. The counts are of the inputs as they stand; run the book to "
            "bring its sheets up to date."
        )
    if status == FLAGGED:
        terminal.say("Flags are open in these books; the counts may change when they are cleared.")
    terminal.give({"files": [str(path) for path in written], "stale": stale, "status": status})
    return status


def _attach(arguments: argparse.Namespace, terminal: Terminal) -> int:
    book: Path = arguments.book
    attached = attach(book)
    for path in attached.written:
        terminal.say(f"{path}: written.")
    if not attached.written:
        terminal.say(f"{book}: all is set up already; nothing was written.")
    for line in next_steps(attached, book):
        terminal.say(line)
    files = [path for path in (attached.module, attached.settings) if path is not None]
    terminal.give(
        {
            "book": str(book),
            "files": [str(path) for path in files],
            "written": [str(path) for path in attached.written],
            "status": NOTHING_EXCEEDS,
        }
    )
    return NOTHING_EXCEEDS


def _demo(arguments: argparse.Namespace, terminal: Terminal) -> int:
    demo = demo_named(arguments.name)
    book = copy_demo(demo, Path.cwd())
    terminal.say(f"{demo.about}\nCopied to {book}.")
    try:
        status = _run(argparse.Namespace(book=book, out=None), terminal)
    except InputFaults as faults:
        status = _tell_faults(faults, terminal)
    terminal.say(f"Open {book} and look at:")
    for line in demo.look_at:
        terminal.say(f"  {line}")
    others = ", ".join(entry.name for entry in DEMOS if entry is not demo)
    terminal.say(f"Other demo books: {others}.")
    return status


def _extension(arguments: argparse.Namespace, terminal: Terminal) -> int:
    target: Path = arguments.to
    write_extension(target)
    terminal.say(
        f"{target}: written. It calls the engine at {sys.executable}; write it again if the engine moves.\n"
        f"Install it with: unopkg add {target} (or Tools, Extensions, Add in LibreOffice), then start LibreOffice anew."
    )
    terminal.give({"extension": str(target), "python": sys.executable, "status": NOTHING_EXCEEDS})
    return NOTHING_EXCEEDS


def _tell_faults(faults: InputFaults, terminal: Terminal) -> int:
    terminal.say(
        f"The inputs cannot be used: {len(faults.findings)} fault{'s' if len(faults.findings) > 1 else ''}. Nothing was written."
    )
    for line in fault_lines(faults.findings):
        terminal.say(line)
    terminal.give({"status": UNUSABLE, "faults": [finding_data(finding) for finding in faults.findings]})
    return UNUSABLE


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="sheetengine",
        description="Plans one-sided formwork on mass-concrete lifts from a workbook.",
        epilog="Exit status: 0 nothing exceeds; 1 something is flagged; 2 the inputs cannot be used, nothing written; "
        "3 the file could not be read or written.",
    )
    parser.add_argument("--version", action="version", version=f"sheetengine {engine_version()}")
    common = argparse.ArgumentParser(add_help=False)
    common.add_argument(
        "--json", action="store_true", help="print a machine-readable summary on standard output"
    )
    commands = parser.add_subparsers(dest="command", required=True)

    new = commands.add_parser("new", parents=[common], help="write an empty book to fill in")
    new.add_argument("book", type=Path)
    new.add_argument("--units", choices=("metric", "us"), default="metric")
    new.add_argument(
        "--safety",
        choices=SAFETY_BASES,
        default=None,
        help="safety basis to begin with (EN partial factors for metric, ACI service load for us)",
    )
    new.set_defaults(work=_new)

    run = commands.add_parser("run", parents=[common], help="compute a book and write its result sheets")
    run.add_argument("book", type=Path)
    run.add_argument(
        "--out",
        type=Path,
        default=None,
        help="write to this file and leave the book as it is; needed for .ods",
    )
    run.set_defaults(work=_run)

    verify = commands.add_parser(
        "verify", parents=[common], help="are the inputs usable, are the results current?"
    )
    verify.add_argument("book", type=Path)
    verify.set_defaults(work=_verify)

    add_compare(commands, common, _recorded_digest)
    add_report(commands, common, _recorded_digest)
    add_card(commands, common)
    add_explain(commands, common)
    add_probes(commands, common)

    takeoff = commands.add_parser("takeoff", parents=[common], help="embed and bar counts as CSV and Parquet")
    takeoff.add_argument("books", type=Path, nargs="+", metavar="BOOK")
    takeoff.add_argument("--to", type=Path, required=True, metavar="FOLDER")
    takeoff.set_defaults(work=_takeoff)

    attach_book = commands.add_parser(
        "attach", parents=[common], help="set a book up for the run button of the xlwings add-in in Excel"
    )
    attach_book.add_argument("book", type=Path)
    attach_book.set_defaults(work=_attach)

    demo = commands.add_parser(
        "demo", parents=[common], help="copy out a demo book, run it, say where to look"
    )
    names = [entry.name for entry in DEMOS]
    demo.add_argument(
        "name", nargs="?", choices=names, default=names[0], metavar="NAME", help=", ".join(names)
    )
    demo.set_defaults(work=_demo)

    extension = commands.add_parser(
        "extension",
        parents=[common],
        help="write the extension that runs the engine from inside LibreOffice Calc",
    )
    extension.add_argument("--to", type=Path, required=True, metavar="FILE.oxt")
    extension.set_defaults(work=_extension)
    return parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command and return its exit status."""
    chosen = _parser().parse_args(arguments)
    terminal = Terminal(chosen.json)
    work: Callable[[argparse.Namespace, Terminal], int] = chosen.work
    try:
        return work(chosen, terminal)
    except InputFaults as faults:
        return _tell_faults(faults, terminal)
    except (BookUnreadable, BookUnwritable) as problem:
        terminal.say(str(problem))
        terminal.give({"status": NO_FILE, "problem": str(problem)})
        return NO_FILE


if __name__ == "__main__":
    raise SystemExit(main())
