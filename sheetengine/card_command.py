"""The command ``card``: the pour card of one lift, one page to hand to the crew."""

from __future__ import annotations

import argparse
import re
from pathlib import Path
from typing import Any

from sheetengine.books.printing import office_program, sheets_as_pdf
from sheetengine.books.saving import check_writable, replace_file
from sheetengine.exceptions import BookUnwritable
from sheetengine.run import calculate, is_open, read_book, told_facts
from sheetengine.sheets.hold_point_page import hold_point_page
from sheetengine.sheets.pour_card import card_sheet
from sheetengine.sheets.results import CAUTION
from sheetengine.terminal import Terminal, summary

NOTHING_EXCEEDS, FLAGGED = 0, 1


def add_card(commands: Any, common: argparse.ArgumentParser) -> None:
    """Add the command to the parser."""
    card = commands.add_parser(
        "card",
        parents=[common],
        help="print the pour card of a lift: rates by temperature, assumptions, when to stop",
        description="One page as PDF, or two with the hold points, through LibreOffice, of the inputs as they stand. Exit status: 0 printed and nothing exceeds "
        "in the book; 1 printed and something is flagged; 2 the inputs cannot be used; 3 nothing was printed.",
    )
    card.add_argument("book", type=Path)
    card.add_argument("--lift", required=True, metavar="BLOCK/LIFT", help="lift, such as B1/7")
    card.add_argument(
        "--to", type=Path, default=None, metavar="FILE.pdf", help="file to write; beside the book if none"
    )
    card.add_argument(
        "--paper",
        choices=("A4", "Letter"),
        default="",
        help="A4, or Letter where the results are in US units",
    )
    card.add_argument(
        "--hold-points", action="store_true", help="a second page with the hold points of the lift, to sign"
    )
    card.set_defaults(work=_card)


def _card(arguments: argparse.Namespace, terminal: Terminal) -> int:
    book: Path = arguments.book
    program = office_program()
    if program is None:
        raise BookUnwritable(
            f"{book}: a PDF needs LibreOffice, which was not found. Install it, or print the sheet Pour card from the book."
        )
    with terminal.steps(3) as step:
        step("Read the book")
        job = read_book(book)
        item = job.lift_called(arguments.lift)
        if item < 0:
            names = ", ".join(job.lift_name(place) for place in range(len(job.table("Lifts"))))
            raise BookUnwritable(f"{book}: it holds no lift {arguments.lift}. Its lifts are: {names}.")
        name = job.lift_name(item)
        target = arguments.to or book.with_name(
            f"{book.stem} pour card {re.sub(r'[^A-Za-z0-9]+', '-', name)}.pdf"
        )
        if target.suffix.lower() != ".pdf":
            raise BookUnwritable(f"{target}: the name of the file to write must end in .pdf.")
        check_writable(target)
        step("Compute")
        results = calculate(job)
        step("Print")
        us = results.result_units == "US"
        facts = told_facts(results)
        common: dict[str, Any] = {
            "facts": facts, "footer": str(dict(facts).get("Project", "")), "paper": arguments.paper or ("Letter" if us else "A4"),
        }  # fmt: skip
        sheets = [card_sheet(results.series["cards"], name, CAUTION, us=us, live=False, **common)]
        if arguments.hold_points:
            sheets.append(hold_point_page(results.frames["Hold points"], name, CAUTION, **common))
        content = sheets_as_pdf(sheets, program, f"Pour card {name}")
        replace_file(target, lambda stream: stream.write(content))
    terminal.say(f"{target}: written.")
    status = FLAGGED if is_open(results) else NOTHING_EXCEEDS
    if status:
        terminal.say(
            "Flags are open in this book. A card goes to the crew when those of its lift are cleared."
        )
    terminal.say(CAUTION)
    terminal.give(summary(str(book), results, status) | {"card": str(target), "lift": name})
    return status
