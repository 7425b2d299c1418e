"""The corpus of awkward office books: written, operated on, spelt and zipped in every way known, and mixed.

A book is a `Recipe`: who writes it first, what XlsxWriter puts into it, what is put into its package by hand, how the
package is spelt, how the zip file is written. `CORPUS` holds one book for each way; `mixed` gives any number of others.
"""

from __future__ import annotations

import random
import warnings
from dataclasses import dataclass
from pathlib import Path

import openpyxl
import xlsxwriter
from awkward_parts import PUT_IN
from awkward_spelling import SPELT
from awkward_written import WRITTEN
from awkward_zips import ZIPPED
from office_books import lifts
from package_surgery import Surgery
from packages import parts_of, write_parts

MACROS = ("macros", "macro sheet")
_ALONE = (
    "sixty sheets",
    "thousands of formats",
    "zip64 by the writer",
    "dates from 1904 with checks",
    "texts written in place",
    "cells at the far end",
)
"""What is slow, or says how the whole book is written."""
_APART = [
    {"form control", "old control", "threaded comments and persons", "embedded objects", "notes and buttons on many sheets"},
    {"group of shapes", "connector", "diagram", "newer chart", "linked text boxes, chart sheets", "charts of every kind", "pictures in cells"},
    {"printer settings", "pictures in headers, page breaks", "page views"},
    {"names that mislead", "long sheet names"},
    {"styles without borders and differences", "styles with much beside formats", "newer conditional formats", "table"},
    {"rich data types and linked pictures", "pictures in cells", "array formulas old and new"},
    {"table", "slicer of a table", "filters and hidden rows"},
    {"protected book and sheet", "manual calculation, read-only advised"},
    {"no theme", "theme of an odd name"},
    {"no properties", "custom properties"},
]  # fmt: skip
"""Of each of these a mixed book takes one at most, since both would want the same place in the package."""


@dataclass(frozen=True)
class Recipe:
    """How a book is made."""

    written: tuple[str, ...] = ()
    put_in: tuple[str, ...] = ()
    spelt: tuple[str, ...] = ()
    zipped: str = ""
    library: str = "xlsxwriter"

    @property
    def suffix(self) -> str:
        return ".xlsm" if set(MACROS) & set(self.put_in) else ".xlsx"

    @property
    def labels(self) -> list[str]:
        return [*self.written, *self.put_in, *self.spelt, self.zipped]


def _by_openpyxl(path: Path) -> Path:
    book = openpyxl.Workbook()
    book.active.title = "Lifts"
    book.active.append(["Block", "Lift", "Height"])
    for row in range(1, 8):
        book.active.append([f"B{row}", row, row / 7])
    book.active["C9"] = "=SUM(C2:C8)"
    book.save(path)
    return path


def _by_xlsxwriter(path: Path, written: tuple[str, ...]) -> Path:
    options = {"in_memory": True} | {
        key: value for name in written for key, value in WRITTEN[name][1].items()
    }
    if options.pop("use_zip64", False):
        book = xlsxwriter.Workbook(str(path), options)
        book.use_zip64()
    else:
        book = xlsxwriter.Workbook(str(path), options)
    sheet = lifts(book)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # charts may refer to sheets that are not there
        for name in written:
            WRITTEN[name][0](book, sheet)
        book.close()
    path.with_name("dot.png").unlink(missing_ok=True)
    return path


def build(recipe: Recipe, folder: Path, stem: str = "office") -> Path:
    """Make a book in a folder."""
    path = folder / f"{stem}{recipe.suffix}"
    plain = folder / f"{stem}-plain.xlsx"
    if recipe.library == "openpyxl":
        _by_openpyxl(plain)
    else:
        _by_xlsxwriter(plain, recipe.written)
    if not (recipe.put_in or recipe.spelt or recipe.zipped):
        return plain.rename(path)
    surgery = Surgery(parts_of(plain))
    plain.unlink()
    for name in recipe.put_in:
        PUT_IN[name](surgery)
    for name in recipe.spelt:
        SPELT[name](surgery)
    if recipe.zipped:
        ZIPPED[recipe.zipped](path, surgery.parts)
        return path
    return write_parts(path, surgery.parts)


def mixed(seed: int) -> Recipe:
    """Return a book that mixes ways."""
    chance = random.Random(seed)

    def some(names: list[str], most: int) -> list[str]:
        return chance.sample(names, chance.randint(0, most))

    library = chance.choice(("xlsxwriter", "xlsxwriter", "xlsxwriter", "openpyxl"))
    written = some([name for name in WRITTEN if name not in _ALONE], 5) if library == "xlsxwriter" else []
    put_in = some(list(PUT_IN), 7)
    for group in _APART:
        for name in [name for name in (*written, *put_in) if name in group][1:]:
            (written if name in written else put_in).remove(name)
    spelt = some(list(SPELT), 1)
    return Recipe(
        tuple(name for name in WRITTEN if name in written), tuple(name for name in PUT_IN if name in put_in), tuple(spelt),
        chance.choice(("", *ZIPPED)), library,
    )  # fmt: skip


CORPUS: dict[str, Recipe] = {
    **{name: Recipe((name,)) for name in WRITTEN},
    **{name: Recipe(put_in=(name,)) for name in PUT_IN},
    **{name: Recipe(("names local and global",), spelt=(name,)) for name in SPELT},
    **{name: Recipe(("names local and global",), zipped=name) for name in ZIPPED},
    "written by openpyxl": Recipe(library="openpyxl"),
    "written by openpyxl, all prefixes": Recipe(library="openpyxl", spelt=("prefixes on everything",)),
    "strict with prefixes": Recipe(("names local and global",), spelt=("strict", "prefixes on everything")),
    "strict with dates from 1904": Recipe(("dates from 1904 with checks",), spelt=("strict",)),
}  # fmt: skip
