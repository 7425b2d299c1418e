"""A demo book with some of its blocks only, where the whole of it would take long and show no more."""

from __future__ import annotations

import shutil
from pathlib import Path

import openpyxl

from sheetengine.demos import demo_file, demo_named

BY_BLOCK = ("Lifts", "Anchor positions", "Probe log", "Bars", "Embeds")


def demo_of_blocks(name: str, folder: Path, *blocks: str) -> Path:
    """Copy a demo book and keep the rows of some blocks, moved together."""
    source = demo_file(demo_named(name))
    book = Path(shutil.copy(source, folder / source.name))
    workbook = openpyxl.load_workbook(book)
    for sheet in (workbook[sheet] for sheet in BY_BLOCK):
        head = next(row[0].row for row in sheet.iter_rows(max_row=20) if row[0].value == "Block")
        rows = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=head + 1)]
        kept = [row for row in rows if row[0] is not None and str(row[0]) in blocks]
        for place, row in enumerate(sheet.iter_rows(min_row=head + 1)):
            for column, cell in enumerate(row):
                value = kept[place][column] if place < len(kept) else None
                cell.value = value
                if isinstance(value, str):
                    cell.data_type = "s"  # a remark may begin as a formula does
    workbook.save(book)
    return book
