"""Builds the demo books from the template and their data: ``python demo_books/build.py``."""

from __future__ import annotations

import argparse
from pathlib import Path

import faults
import gravity_dam
import lock_wall
import power_station
from filling import MADE, fill_template

from sheetengine.books.saving import save_atomically


def build(folder: Path) -> list[Path]:
    """Write the four demo books into a folder and return their paths; two builds have the same contents."""
    books = {
        "gravity_dam_metric.xlsx": fill_template(gravity_dam.book()),
        "lock_wall_us.xlsx": fill_template(lock_wall.book()),
        "power_station_metric.xlsx": fill_template(power_station.book()),
        "book_of_faults.xlsx": fill_template(faults.book()),
    }
    faults.damage(books["book_of_faults.xlsx"])
    paths = []
    for name, workbook in books.items():
        save_atomically(workbook, folder / name, moment=MADE)
        paths.append(folder / name)
    return paths


def main() -> None:
    """Build the books, beside this file unless another folder is named."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--to", type=Path, default=Path(__file__).parent, help="folder to write into")
    for path in build(parser.parse_args().to):
        print(path)


if __name__ == "__main__":
    main()
