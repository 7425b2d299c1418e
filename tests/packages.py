"""Handmade workbook files for the tests: parts put into a package as the office's programs would."""

from __future__ import annotations

import re
import zipfile
from dataclasses import dataclass, field
from pathlib import Path

import openpyxl

OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
MICROSOFT = "http://schemas.microsoft.com/office/2017/10/relationships"
SHEET = "xl/worksheets/sheet1.xml"
BOOK = "xl/workbook.xml"
NAMESPACES = (
    'xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships" '
    'xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006" '
    'xmlns:x14="http://schemas.microsoft.com/office/spreadsheetml/2009/9/main" '
    'xmlns:xm="http://schemas.microsoft.com/office/excel/2006/main"'
)
DRAWING = (
    '<xdr:wsDr xmlns:xdr="http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing" '
    'xmlns:a="http://schemas.openxmlformats.org/drawingml/2006/main" '
    'xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006" '
    'xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><xdr:twoCellAnchor>'
    "<xdr:from><xdr:col>1</xdr:col><xdr:colOff>0</xdr:colOff><xdr:row>1</xdr:row><xdr:rowOff>0</xdr:rowOff></xdr:from>"
    "<xdr:to><xdr:col>4</xdr:col><xdr:colOff>0</xdr:colOff><xdr:row>9</xdr:row><xdr:rowOff>0</xdr:rowOff></xdr:to>"
    "{content}<xdr:clientData/></xdr:twoCellAnchor></xdr:wsDr>"
)


@dataclass
class Injection:
    """What is put into a package: parts, relations of a part, and XML at the end of a part's root."""

    parts: dict[str, str] = field(default_factory=dict)
    relations: list[tuple[str, str, str]] = field(default_factory=list)
    """Part that refers, kind (last word or full address), target."""
    tails: dict[str, str] = field(default_factory=dict)


def plain_book(path: Path, *names: str) -> Path:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name in names or ("Lifts",):
        book.create_sheet(name).append(["Block", "Lift"])
    book.save(path)
    return path


def parts_of(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def write_parts(path: Path, parts: dict[str, bytes]) -> Path:
    with zipfile.ZipFile(path, "w") as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return path


def _rels_of(part: str) -> str:
    folder, _, name = part.rpartition("/")
    return f"{folder}/_rels/{name}.rels" if folder else f"_rels/{name}.rels"


def inject(source: Path, path: Path, what: Injection) -> Path:
    parts = parts_of(source)
    for name, content in what.parts.items():
        parts[name] = content.encode()
    for place, (part, kind, target) in enumerate(what.relations):
        address = kind if "://" in kind else f"{OFFICE}/{kind}"
        rels = parts.get(
            _rels_of(part),
            b'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"></Relationships>',
        )
        entry = f'<Relationship Id="rIdX{place}" Type="{address}" Target="/{target}"/>'
        parts[_rels_of(part)] = rels.replace(b"</Relationships>", entry.encode() + b"</Relationships>")
    for part, tail in what.tails.items():
        root = re.search(rb"<(worksheet|workbook|styleSheet|sst)\b", parts[part])
        assert root is not None
        spaces = NAMESPACES.encode()
        if re.search(rb"<%b[^>]*xmlns:r=" % root[1], parts[part]):
            spaces = re.sub(rb'xmlns:r="[^"]*" ', b"", spaces)
        opened = parts[part].replace(root[0], root[0] + b" " + spaces, 1)
        parts[part] = opened.replace(b"</" + root[1] + b">", tail.encode() + b"</" + root[1] + b">")
    return write_parts(path, parts)


def drawing(content: str, **more: str) -> Injection:
    return Injection(
        parts={"xl/drawings/drawing1.xml": DRAWING.format(content=content), **more},
        relations=[(SHEET, "drawing", "xl/drawings/drawing1.xml")],
        tails={SHEET: '<drawing r:id="rIdX0"/>'},
    )


STRICT = {
    "http://schemas.openxmlformats.org/officeDocument/2006/relationships/extended-properties": "http://purl.oclc.org/ooxml/officeDocument/relationships/extendedProperties",
    "http://schemas.openxmlformats.org/officeDocument/2006/relationships": "http://purl.oclc.org/ooxml/officeDocument/relationships",
    "http://schemas.openxmlformats.org/spreadsheetml/2006/main": "http://purl.oclc.org/ooxml/spreadsheetml/main",
    "http://schemas.openxmlformats.org/drawingml/2006/main": "http://purl.oclc.org/ooxml/drawingml/main",
    "http://schemas.openxmlformats.org/drawingml/2006/chart": "http://purl.oclc.org/ooxml/drawingml/chart",
    "http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing": "http://purl.oclc.org/ooxml/drawingml/spreadsheetDrawing",
    "http://schemas.openxmlformats.org/officeDocument/2006/extended-properties": "http://purl.oclc.org/ooxml/officeDocument/extendedProperties",
    "http://schemas.openxmlformats.org/officeDocument/2006/docPropsVTypes": "http://purl.oclc.org/ooxml/officeDocument/docPropsVTypes",
}


def strict_form(source: Path, path: Path) -> Path:
    """Write a book again under the namespaces of the strict form."""
    parts = parts_of(source)
    for name in parts:
        if name.endswith((".xml", ".rels")):
            for transitional, strict in STRICT.items():
                parts[name] = parts[name].replace(transitional.encode(), strict.encode())
    return write_parts(path, parts)
