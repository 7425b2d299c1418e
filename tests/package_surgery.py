"""Puts parts, relations and elements into a workbook package where the schema wants them."""

from __future__ import annotations

import posixpath
from collections.abc import Callable
from typing import Any

from lxml import etree

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
CONTENT_TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
SPACES = {
    None: MAIN,
    "r": OFFICE,
    "mc": "http://schemas.openxmlformats.org/markup-compatibility/2006",
    "x14": "http://schemas.microsoft.com/office/spreadsheetml/2009/9/main",
    "x15": "http://schemas.microsoft.com/office/spreadsheetml/2010/11/main",
    "x15ac": "http://schemas.microsoft.com/office/spreadsheetml/2010/11/ac",
    "xm": "http://schemas.microsoft.com/office/excel/2006/main",
    "xr": "http://schemas.microsoft.com/office/spreadsheetml/2014/revision",
    "xdr": "http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing",
    "a": "http://schemas.openxmlformats.org/drawingml/2006/main",
}
BOOK, SHEET, TYPES = "xl/workbook.xml", "xl/worksheets/sheet1.xml", "[Content_Types].xml"
_ORDERS = {
    root: children.split()
    for root, children in {
        "workbook": """
            fileVersion fileSharing workbookPr AlternateContent revisionPtr workbookProtection bookViews sheets
            functionGroups externalReferences definedNames calcPr oleSize customWorkbookViews pivotCaches smartTagPr
            smartTagTypes webPublishing fileRecoveryPr webPublishObjects extLst""",
        "worksheet": """
            sheetPr dimension sheetViews sheetFormatPr cols sheetData sheetCalcPr sheetProtection protectedRanges
            scenarios autoFilter sortState dataConsolidate customSheetViews mergeCells phoneticPr conditionalFormatting
            dataValidations hyperlinks printOptions pageMargins pageSetup headerFooter rowBreaks colBreaks
            customProperties cellWatches ignoredErrors smartTags drawing legacyDrawing legacyDrawingHF drawingHF
            picture oleObjects controls webPublishItems tableParts extLst""",
        "styleSheet": "numFmts fonts fills borders cellStyleXfs cellXfs cellStyles dxfs tableStyles colors extLst",
    }.items()
}
"""ECMA-376 part 1, 18.2.27, 18.3.1.99 and 18.8.39."""


def xml(inside: str) -> str:
    """Return a document of one element, with the namespaces it may use declared."""
    spaces = "".join(
        f' xmlns:{key}="{value}"' if key else f' xmlns="{value}"' for key, value in SPACES.items()
    )
    stop = min(place for place in (inside.find(sign) for sign in (" ", ">", "/")) if place > 0)
    return f'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n{inside[:stop]}{spaces}{inside[stop:]}'


def _parsed(content: bytes | str) -> Any:
    return etree.fromstring(content.encode() if isinstance(content, str) else content)


def _bytes(root: Any) -> bytes:
    written: bytes = etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True)
    return written


def _local(node: Any) -> str:
    return etree.QName(node).localname if isinstance(node.tag, str) else ""


class Surgery:
    """The parts of a package, and what can be done to them."""

    def __init__(self, parts: dict[str, bytes]) -> None:
        self.parts = parts

    def edit(self, part: str, change: Callable[[Any], None]) -> None:
        """Change the tree of a part."""
        root = _parsed(self.parts[part])
        change(root)
        self.parts[part] = _bytes(root)

    def add(
        self, part: str, content: str | bytes, kind: str = "", source: str = "", relation: str = ""
    ) -> str:
        """Add a part with its content type, and a relation to it from ``source``; return the relation's identifier.

        ``relation`` is the last word of the relation's type or the whole of it; ``source`` is a part, and ``/`` the
        package.
        """
        self.parts[part] = content.encode() if isinstance(content, str) else content
        if kind:
            self.type(part, kind)
        return self.relate(source.strip("/"), relation, f"/{part}") if relation else ""

    def type(self, part: str, kind: str) -> None:
        """State the content type of a part."""

        def change(root: Any) -> None:
            for node in root:
                if node.get("PartName") == f"/{part}":
                    node.set("ContentType", kind)
                    return
            etree.SubElement(root, f"{{{CONTENT_TYPES}}}Override", PartName=f"/{part}", ContentType=kind)

        self.edit(TYPES, change)

    def ending(self, ending: str, kind: str) -> None:
        """State the content type of an ending."""

        def change(root: Any) -> None:
            if all(node.get("Extension") != ending for node in root):
                root.insert(
                    0, etree.Element(f"{{{CONTENT_TYPES}}}Default", Extension=ending, ContentType=kind)
                )

        self.edit(TYPES, change)

    def relations_of(self, part: str) -> str:
        """Return the name of the part of relations of a part, which is made if it is not there."""
        name = posixpath.join(posixpath.dirname(part), "_rels", f"{posixpath.basename(part)}.rels")
        self.parts.setdefault(name, f'<Relationships xmlns="{RELATIONS}"/>'.encode())
        return name

    def relate(self, source: str, kind: str, target: str, *, external: bool = False) -> str:
        """Add a relation and return its identifier."""
        rels = self.relations_of(source)
        taken = {node.get("Id") for node in _parsed(self.parts[rels])}
        identifier = next(f"rIdX{number}" for number in range(1, 999) if f"rIdX{number}" not in taken)

        def change(root: Any) -> None:
            node = etree.SubElement(root, f"{{{RELATIONS}}}Relationship", Id=identifier, Target=target)
            node.set("Type", kind if ":" in kind else f"{OFFICE}/{kind}")
            if external:
                node.set("TargetMode", "External")

        self.edit(rels, change)
        return identifier

    def put(self, part: str, inside: str) -> None:
        """Put an element among the children of a part's root, where the schema wants it."""

        def change(root: Any) -> None:
            order = _ORDERS[_local(root)]
            node = _parsed(xml(inside))
            place = order.index(_local(node))
            follower = next((c for c in root if _local(c) in order and order.index(_local(c)) > place), None)
            if follower is None:
                root.append(node)
            else:
                follower.addprevious(node)
            etree.cleanup_namespaces(root, keep_ns_prefixes=["mc", "r", "x15ac", "xr", "xr2"])

        self.edit(part, change)

    def into(self, part: str, section: str, inside: str) -> None:
        """Put an element at the end of a child of a part's root, which is made if it is not there."""
        if not any(_local(node) == section for node in _parsed(self.parts[part])):
            self.put(part, f"<{section}/>")

        def change(root: Any) -> None:
            found = next(node for node in root if _local(node) == section)
            found.append(_parsed(xml(inside)))
            if found.get("count"):
                found.set("count", str(len(found)))
            etree.cleanup_namespaces(root, keep_ns_prefixes=["mc", "r", "x15ac", "xr", "xr2"])

        self.edit(part, change)

    def extend(self, part: str, uri: str, inside: str) -> None:
        """Put an extension into the list of extensions of a part."""
        self.into(part, "extLst", f'<ext uri="{uri}">{inside}</ext>')

    def name(self, name: str, text: str, **more: str) -> None:
        """Define a name."""
        listed = "".join(f' {key}="{value}"' for key, value in more.items())
        self.into(BOOK, "definedNames", f'<definedName name="{name}"{listed}>{text}</definedName>')

    def sheet(self, name: str, part: str, content: str, kind: str, relation: str, **more: str) -> None:
        """Add a sheet of any kind behind the others."""
        identifier = self.add(part, content, kind, BOOK, relation)
        last = max(int(node.get("sheetId")) for node in _parsed(self.parts[BOOK]).iter(f"{{{MAIN}}}sheet"))
        listed = "".join(f' {key}="{value}"' for key, value in more.items())
        self.into(BOOK, "sheets", f'<sheet name="{name}" sheetId="{last + 1}"{listed} r:id="{identifier}"/>')

    def rename(self, part: str, other: str) -> None:
        """Give a part another place, its relations with it; those to and from it are rewritten."""
        rels, new_rels = self.relations_of(part), posixpath.join(
            posixpath.dirname(other), "_rels", f"{posixpath.basename(other)}.rels"
        )  # fmt: skip
        moved = {part: other, rels: new_rels}
        for name in [name for name in self.parts if name.endswith(".rels")]:
            folder = posixpath.dirname(posixpath.dirname(name))

            def change(root: Any, folder: str = folder) -> None:
                for node in root:
                    if node.get("TargetMode") != "External":
                        full = posixpath.normpath(posixpath.join("/", folder, node.get("Target"))).lstrip("/")
                        node.set("Target", f"/{moved.get(full, full)}")

            self.edit(name, change)
        self.parts = {moved.get(name, name): content for name, content in self.parts.items()}
        if len(_parsed(self.parts[new_rels])) == 0:
            del self.parts[new_rels]

        def retype(root: Any) -> None:
            for node in root:
                if node.get("PartName") == f"/{part}":
                    node.set("PartName", f"/{other}")

        self.edit(TYPES, retype)
