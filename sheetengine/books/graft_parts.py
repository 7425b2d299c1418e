"""Takes the sheets of a book of result sheets, with everything they refer to, as parts for another package."""

from __future__ import annotations

import posixpath
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from sheetengine.books.graft_styles import StyleGraft
from sheetengine.books.parts import Package, relations_part
from sheetengine.books.xml_splice import Document, attribute

RELATIONS_XML = "http://schemas.openxmlformats.org/package/2006/relationships"
_TRANSITIONAL = "http://schemas.openxmlformats.org/"
_STRICT = "http://purl.oclc.org/ooxml/"
_STRICT_NAMES = {
    "officeDocument/2006/relationships": "officeDocument/relationships",
    "spreadsheetml/2006/main": "spreadsheetml/main",
    "drawingml/2006/main": "drawingml/main",
    "drawingml/2006/chart": "drawingml/chart",
    "drawingml/2006/spreadsheetDrawing": "drawingml/spreadsheetDrawing",
}
"""ISO/IEC 29500-1 annex A against ECMA-376: the namespaces that a result sheet uses."""
_CELL_STYLE = re.compile(rb'(<c r="\w+" s="|<(?:c|row|col) (?:[^>]*? )?(?:s|style)=")(\d+)(?=")')
_DIFFERENCE = re.compile(rb'(<cfRule (?:[^>]*? )?dxfId=")(\d+)(?=")')
_SELECTED = re.compile(rb' tabSelected="\w+"')
_SHARE = re.compile(rb'(<(?:\w+:)?(?:gapWidth|overlap) val="-?\d+)(?=")')


@dataclass(slots=True)
class Parts:
    """New parts, with the content type of each that is no part of relations."""

    content: dict[str, bytes] = field(default_factory=dict)
    types: dict[str, str] = field(default_factory=dict)
    sheets: list[str] = field(default_factory=list)
    """Part of each of our sheets, in their order."""


class FreeNames:
    """Names of parts that the package does not use; letter case does not tell two names apart."""

    def __init__(self, taken: Iterable[str]) -> None:
        self._taken = {name.casefold() for name in taken}

    def like(self, part: str) -> str:
        """Return a free name with the folder, stem and ending of ``part``, and take it."""
        stem, ending = posixpath.splitext(part)
        plain = stem.rstrip("0123456789")
        free, number = (part, 1) if plain == stem else (f"{plain}1{ending}", 2)
        while free.casefold() in self._taken:
            free = f"{plain}{number}{ending}"
            number += 1
        self._taken |= {free.casefold(), relations_part(free).casefold()}
        return free


def strict(xml: bytes) -> bytes:
    """Return an XML part of ours in the namespaces, and the spelling of shares, of the strict form."""
    for name, other in _STRICT_NAMES.items():
        for ending in ('"', "/"):
            xml = xml.replace(f"{_TRANSITIONAL}{name}{ending}".encode(), f"{_STRICT}{other}{ending}".encode())
    return _SHARE.sub(rb"\g<1>%", xml)


def take_parts(
    ours: Package,
    styles: StyleGraft,
    names: FreeNames,
    *,
    tables: Callable[[str], int],
    selected: str,
    is_strict: bool,
) -> Parts:
    """Return the sheets of our book as parts for the office's package.

    Parameters
    ----------
    ours
        The book of result sheets.
    styles
        Gives the numbers of our styles in the office's book.
    names
        Gives the names of the new parts.
    tables
        Gives the number of a table in the office's book, by its name.
    selected
        Name of the sheet whose tab is the selected one, if it is one of ours.
    is_strict
        Whether the office's book is in the strict form.
    """
    own_types = _types(ours)
    renamed: dict[str, str] = {}
    found = Parts()
    sheets = [sheet.part for sheet in ours.sheets]
    for part in _in_order(ours, sheets):
        renamed[part] = names.like(part)
    selected_part = next((sheet.part for sheet in ours.sheets if sheet.name == selected), "")
    for part, name in renamed.items():
        content = ours.read(part)
        if part in sheets:
            content = _sheet(content, styles, selected=part == selected_part)
        elif own_types[part].endswith("table+xml"):
            document = Document(content)
            document.root.set("id", str(tables(document.root.get("displayName"))))
            content = document.changed()
        found.content[name] = strict(content) if is_strict else content
        found.types[name] = own_types[part]
        relations = _relations(ours, part, renamed)
        if relations:
            found.content[relations_part(name)] = strict(relations) if is_strict else relations
    found.sheets = [renamed[part] for part in sheets]
    return found


def _in_order(ours: Package, sheets: Sequence[str]) -> list[str]:
    """Return the sheets and all that they refer to, each once, what belongs together side by side."""
    found: list[str] = []
    waiting = list(reversed(sheets))
    while waiting:
        part = waiting.pop()
        if part not in found:
            found.append(part)
            waiting += [
                relation.target for relation in reversed(ours.relations(part)) if not relation.external
            ]
    return found


def _types(ours: Package) -> dict[str, str]:
    root = Document(ours.read("[Content_Types].xml")).root
    defaults = {node.get("Extension"): node.get("ContentType") for node in root.all("Default")}
    types = {name: defaults.get(posixpath.splitext(name)[1].lstrip("."), "") for name in ours.names}
    return types | {
        node.get("PartName").lstrip("/"): node.get("ContentType") for node in root.all("Override")
    }


def _renumbered(pattern: re.Pattern[bytes], xml: bytes, number: Callable[[int], int]) -> bytes:
    """Return the XML with the second group of every match, a number, replaced by the number it has become."""
    pieces = pattern.split(xml)
    old = pieces[2::3]
    known = {text: b"%d" % number(int(text)) for text in dict.fromkeys(old)}
    pieces[2::3] = [known[text] for text in old]
    return b"".join(pieces)


def _sheet(xml: bytes, styles: StyleGraft, *, selected: bool) -> bytes:
    start = xml.index(b"<sheetData")
    head, rest = xml[:start], xml[start:]
    head = _SELECTED.sub(b"", head)
    if selected:
        head = head.replace(b"<sheetView ", b'<sheetView tabSelected="1" ', 1)
    cells, end, tail = rest.rpartition(b"</sheetData>")
    cells = _renumbered(_CELL_STYLE, head + cells, styles.cell)
    return cells + end + _renumbered(_DIFFERENCE, tail, styles.difference)


def _relations(ours: Package, part: str, renamed: dict[str, str]) -> bytes:
    entries = [
        relation_entry(
            relation.id,
            relation.type,
            relation.target if relation.external else f"/{renamed[relation.target]}",
            external=relation.external,
        )
        for relation in ours.relations(part)
    ]
    if not entries:
        return b""
    return (
        b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
        b'<Relationships xmlns="%b">%b</Relationships>' % (RELATIONS_XML.encode(), b"".join(entries))
    )


def relation_entry(
    identifier: str, kind: str, target: str, *, external: bool = False, prefix: str = ""
) -> bytes:
    """Return the XML of a relation."""
    mode = ' TargetMode="External"' if external else ""
    return (
        f'<{prefix}Relationship Id="{attribute(identifier)}" Type="{attribute(kind)}" '
        f'Target="{attribute(target)}"{mode}/>'
    ).encode()
