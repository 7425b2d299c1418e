"""Writes the two empty books that stand beside this file."""

from __future__ import annotations

import datetime as dt
import sys
from pathlib import Path

from sheetengine.new_book import build_template

MOMENT = dt.datetime(2026, 1, 1)
BOOKS = {
    "lift_plan_metric.xlsx": (False, "EN partial factors"),
    "lift_plan_us.xlsx": (True, "ACI service load"),
}


def build(folder: Path) -> None:
    """Write both books into a folder."""
    for name, (us, safety) in BOOKS.items():
        build_template(folder / name, us=us, safety=safety, moment=MOMENT)


if __name__ == "__main__":
    build(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
