"""Loads a workbook for adding sheets to it, and holds what the spreadsheet library would drop on the way."""

from __future__ import annotations

import os
import re
import warnings
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from xml.etree import ElementTree
from xml.sax.saxutils import escape

import openpyxl
from openpyxl.utils import get_column_letter
from openpyxl.workbook import Workbook

from sheetengine.books.marks import is_result
from sheetengine.books.parts import Package, local, open_package
from sheetengine.books.reading import check_takes_sheets
from sheetengine.books.sheet_xml import Formula, scan_sheet
from sheetengine.exceptions import BookUnreadable

MACRO_BOOKS = (".xlsm", ".xltm")
_APP = "docProps/app.xml"
_OFFICE_PROPERTIES = ("Manager", "Company", "HyperlinkBase")


@dataclass(frozen=True, slots=True)
class Kept:
    """What the spreadsheet library drops from a loaded book and a save puts back.

    Attributes
    ----------
    cached
        Cached values of the formulas: sheet, then cell in A1 text.
    properties
        Document properties such as the company.
    """

    cached: Mapping[str, Mapping[str, Formula]] = field(default_factory=dict)
    properties: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class OfficeBook:
    """A workbook loaded for adding sheets, and what must be put back when it is saved."""

    workbook: Workbook
    kept: Kept


def load_book(path: str | os.PathLike[str]) -> OfficeBook:
    """Load a workbook so that saving it keeps as much as the library can keep.

    Texts with several fonts, macros, sizes of notes and cached values of formulas stay.

    Raises
    ------
    BookUnreadable
        The file is missing, no workbook, protected by a password or damaged.
    BookUnwritable
        The file is of a kind that takes no sheets.
    """
    file = Path(path)
    check_takes_sheets(file)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what a save would lose is named by parts_at_risk
            workbook = openpyxl.load_workbook(
                file, keep_vba=file.suffix.lower() in MACRO_BOOKS, rich_text=True, keep_links=True
            )
        with open_package(str(file)) as package:
            kept = Kept(_cached(package), _properties(package))
            _restore_note_sizes(package, workbook)
    except Exception as error:  # a damaged file fails in as many ways as it can be damaged
        raise BookUnreadable(
            f"{file}: the workbook could not be loaded ({type(error).__name__}: {error}). Open it in the spreadsheet "
            "program, save it under a new name and run again."
        ) from error
    for sheet in workbook.worksheets:
        sheet.page_setup.id = None  # the printer settings it points to are not carried over
    return OfficeBook(workbook, kept)


def _cached(package: Package) -> dict[str, dict[str, Formula]]:
    cached = {}
    for sheet in package.sheets:
        if sheet.ours or sheet.part not in package:
            continue
        formulas = scan_sheet(package.read(sheet.part)).formulas
        if formulas:
            cached[sheet.name] = {
                f"{get_column_letter(c)}{r}": formula for (r, c), formula in formulas.items()
            }
    return cached


def _properties(package: Package) -> dict[str, str]:
    if _APP not in package:
        return {}
    found = {local(node.tag): node.text or "" for node in package.tree(_APP)}
    return {name: found[name] for name in _OFFICE_PROPERTIES if found.get(name)}


_PIXELS = {"px": 1.0, "pt": 96.0 / 72.0, "in": 96.0, "mm": 96.0 / 25.4, "cm": 96.0 / 2.54}


def _restore_note_sizes(package: Package, workbook: Workbook) -> None:
    """Give every note the size of its box, which the library does not read."""
    for sheet in package.sheets:
        drawings = [
            r.target for r in package.relations(sheet.part) if r.kind == "vmlDrawing" and r.target in package
        ]
        for xml in map(package.read, drawings):
            for shape in re.findall(rb"<\w+:shape\b.*?</\w+:shape>", xml, re.DOTALL):
                row, column = (re.search(rb"<\w+:" + tag + rb">(\d+)<", shape) for tag in (b"Row", b"Column"))
                if row is None or column is None:
                    continue
                place = (int(row[1]) + 1, int(column[1]) + 1)
                cell = workbook[sheet.name]._cells.get(place)
                sizes = dict(
                    re.findall(
                        r"\b(width|height):([\d.]+(?:px|pt|in|mm|cm))", shape.decode("utf-8", "replace")
                    )
                )
                if cell is None or cell.comment is None or len(sizes) < 2:
                    continue
                cell.comment.width, cell.comment.height = (
                    round(float(sizes[side][:-2]) * _PIXELS[sizes[side][-2:]]) for side in ("width", "height")
                )


def with_properties(app: bytes, properties: Mapping[str, str]) -> bytes:
    """Return the part of extended properties with ours as the program, and the office's own put back."""
    root = ElementTree.fromstring(app)
    space = root.tag[: root.tag.find("}") + 1]
    ElementTree.register_namespace("", space.strip("{}"))
    for node in root:
        if local(node.tag) == "Application":
            node.text = "sheetengine"
    for name, text in properties.items():
        node = ElementTree.SubElement(root, f"{space}{name}")
        node.text = text
    order = ("Manager", "Company", "HyperlinkBase", "AppVersion")
    root[:] = sorted(root, key=lambda node: order.index(local(node.tag)) if local(node.tag) in order else -1)
    return b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n' + ElementTree.tostring(root)


def still_true(
    workbook: Workbook, cached: Mapping[str, Mapping[str, Formula]]
) -> Mapping[str, Mapping[str, Formula]]:
    """Return the cached values of sheets whose formulas look at no result sheet, neither directly nor by another sheet.

    The results are new, so a value that was looked up in them may be old; such a cell stays without a cached
    value until the spreadsheet program computes it.
    """
    doubtful = {
        sheet.title for sheet in workbook.worksheets if sheet.title not in cached and is_result(sheet)
    }
    words = {title: (f"{title}!".casefold(), f"{title}'!".casefold()) for title in (*doubtful, *cached)}
    tables = [
        name.casefold() for sheet in workbook.worksheets if sheet.title in doubtful for name in sheet.tables
    ]
    names = [name.casefold() for name in workbook.defined_names]
    texts = {
        title: "\n".join(f.text for f in formulas.values()).casefold() for title, formulas in cached.items()
    }
    unclear = ("indirect(", *(f"{table}[" for table in tables))
    for title, text in texts.items():
        if any(word in text for word in unclear) or any(
            _names(text, name, workbook, doubtful) for name in names
        ):
            doubtful.add(title)
    spreading = True
    while spreading:
        reached = {
            title
            for title, text in texts.items()
            if title not in doubtful
            and any(word in text for other in doubtful for word in words.get(other, ()))
        }
        doubtful |= reached
        spreading = bool(reached)
    return {title: formulas for title, formulas in cached.items() if title not in doubtful}


def _names(text: str, name: str, workbook: Workbook, doubtful: set[str]) -> bool:
    """Return whether the formulas use a defined name that leads to a doubtful sheet."""
    if name not in text:
        return False
    target = next(
        (n.attr_text or "" for key, n in workbook.defined_names.items() if key.casefold() == name), ""
    )
    return any(
        f"{title}!".casefold() in target.casefold() or f"{title}'!".casefold() in target.casefold()
        for title in doubtful
    )


_FORMULA_CELL = re.compile(
    rb'<c r="([A-Z]+[0-9]+)"([^>]*)>(<f(?:\s[^>]*)?(?:/>|>[^<]*</f>))(?:<v\s*/>|<v></v>)</c>'
)


def with_values(sheet: bytes, cached: Mapping[str, Formula]) -> bytes:
    """Return the sheet part with the cached values of its formulas put back."""

    def put_back(match: re.Match[bytes]) -> bytes:
        formula = cached.get(match[1].decode())
        if formula is None or formula.cached is None:
            return match[0]
        kind = b"" if formula.kind == "n" else f' t="{formula.kind}"'.encode()
        value = escape(formula.cached).encode()
        return b'<c r="%b"%b%b>%b<v>%b</v></c>' % (match[1], match[2], kind, match[3], value)

    return _FORMULA_CELL.sub(put_back, sheet)
