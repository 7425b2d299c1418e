"""Other spellings of a package that mean the same: places of parts, targets, content types, encodings, prefixes."""

from __future__ import annotations

import codecs
import posixpath
import re
from collections.abc import Callable
from typing import Any

from lxml import etree
from package_surgery import BOOK, CONTENT_TYPES, MAIN, SHEET, TYPES, Surgery
from packages import STRICT

Change = Callable[[Surgery], None]
STYLES = "xl/styles.xml"
WORKBOOK_RELATIONS = "xl/_rels/workbook.xml.rels"
_XML = (".xml", ".rels")


def _each(change: Callable[[str, bytes], bytes], apart: str = "") -> Change:
    """Return what changes every XML part."""

    def run(s: Surgery) -> None:
        for name, content in s.parts.items():
            if name.endswith(_XML) and content.lstrip(codecs.BOM_UTF8).startswith(b"<") and name != apart:
                s.parts[name] = change(name, content)

    return run


def _prefixed(name: str, content: bytes) -> bytes:
    root = etree.fromstring(content)
    space = root.nsmap.get(None)
    if space is None:
        return content
    again = etree.Element(
        root.tag,
        dict(root.attrib),
        nsmap={"p" if key is None else key: value for key, value in root.nsmap.items()},
    )
    again.text = root.text
    again.extend(list(root))
    etree.cleanup_namespaces(
        again, top_nsmap={"p": space}, keep_ns_prefixes=["mc", "r", "x15ac", "xr", "xr2"]
    )
    done: bytes = etree.tostring(again, xml_declaration=True, encoding="UTF-8", standalone=True)
    return done


def _sixteen(codec: str, bom: bytes, word: str) -> Callable[[str, bytes], bytes]:
    def change(name: str, content: bytes) -> bytes:
        text = content.removeprefix(codecs.BOM_UTF8).decode()
        text = re.sub(r"""(?i)(encoding=["'])utf-8""", rf"\g<1>{word}", text)
        return bom + text.encode(codec)

    return change


def _latin(name: str, content: bytes) -> bytes:
    root = etree.fromstring(content)
    done: bytes = etree.tostring(root, xml_declaration=True, encoding="ISO-8859-1", standalone=True)
    return done


def _bom(name: str, content: bytes) -> bytes:
    return codecs.BOM_UTF8 + content.removeprefix(codecs.BOM_UTF8)


def _without_head(name: str, content: bytes) -> bytes:
    return re.sub(rb"^<\?xml[^>]*\?>\s*", b"", content.removeprefix(codecs.BOM_UTF8))


def _spread(name: str, content: bytes) -> bytes:
    """Write every tag over several lines, with single quotes, and comments between the elements of the book."""

    def tag(match: re.Match[bytes]) -> bytes:
        text = re.sub(rb'="([^"\']*)"', rb" =\r\n  '\1'", match[0])
        return text.replace(b"/>", b" />") if text.endswith(b"/>") else text[:-1] + b"\n>"

    if name in (SHEET, "xl/sharedStrings.xml"):
        return content
    changed = re.sub(rb"<[A-Za-z][^>]*>", tag, content.removeprefix(codecs.BOM_UTF8))
    if name in (BOOK, STYLES, TYPES, WORKBOOK_RELATIONS):
        changed = re.sub(
            rb"(<(?:bookViews|sheets|fonts|cellXfs|Override|Relationship)[\s>])",
            rb"<!-- <sheets> & --><?own a='>'?>\n\1",
            changed,
            count=3,
        )
    return changed


def _strict(s: Surgery) -> None:
    for name in s.parts:
        if name.endswith(_XML):
            for transitional, strict in STRICT.items():
                s.parts[name] = s.parts[name].replace(transitional.encode(), strict.encode())


def _targets(spell: Callable[[str, str], str]) -> Change:
    def run(s: Surgery) -> None:
        for rels in [name for name in s.parts if name.endswith(".rels")]:
            folder = posixpath.dirname(posixpath.dirname(rels))

            def change(root: Any, folder: str = folder) -> None:
                for node in root:
                    if node.get("TargetMode") != "External":
                        full = posixpath.normpath(posixpath.join("/", folder, node.get("Target")))
                        node.set("Target", spell(folder, full))

            s.edit(rels, change)

    return run


def _roundabout(folder: str, full: str) -> str:
    back = "../" * len([word for word in folder.split("/") if word])
    return f"./{back}_rels/..{full}"


def _internal_said(s: Surgery) -> None:
    for rels in [name for name in s.parts if name.endswith(".rels")]:
        s.edit(
            rels,
            lambda root: (
                [node.set("TargetMode", node.get("TargetMode", "Internal")) for node in root] and None
            ),
        )


def _other_places(s: Surgery) -> None:
    s.rename(BOOK, "Pläne/main.book.xml".replace("ä", "ae"))
    s.rename(STYLES, "look/everything.xml")
    s.rename(SHEET, "sheet1.xml")


def _taken_places(s: Surgery) -> None:
    """Put the office's sheet where our first part would stand, in other letters."""
    s.rename(SHEET, "xl/Worksheets/SHEET1.XML")
    s.ending("XML", "application/xml")
    s.add("xl/worksheets/Sheet3.xml", "<loose/>", "application/x-loose")


def _percent(s: Surgery) -> None:
    s.rename(SHEET, "xl/worksheets/lift%20plan%20(1).xml")


def _by_default(s: Surgery) -> None:
    """State as much as can be by endings: every part gets an ending of its own."""
    for number, node in enumerate(etree.fromstring(s.parts[TYPES])):
        if node.get("PartName") and not node.get("PartName").startswith("/docProps"):
            part, ending = node.get("PartName").lstrip("/"), f"x{number}"
            s.rename(part, f"{posixpath.splitext(part)[0]}.{ending}")
            s.ending(ending, node.get("ContentType"))
    s.edit(
        TYPES,
        lambda root: (
            [
                root.remove(n)
                for n in root
                if (n.get("PartName") or "/docProps").startswith("/docProps") is False
            ]
            and None
        ),
    )


def _book_by_default(s: Surgery) -> None:
    def change(root: Any) -> None:
        kind = next(node for node in root if node.get("PartName") == f"/{BOOK}")
        root.remove(kind)
        for node in root:
            if node.get("Extension") == "xml":
                node.set("ContentType", kind.get("ContentType"))

    s.edit(TYPES, change)


def _by_override(s: Surgery) -> None:
    kinds = {
        "rels": "application/vnd.openxmlformats-package.relationships+xml",
        "vml": "application/vnd.openxmlformats-officedocument.vmlDrawing",
        "xml": "application/xml",
    }

    def change(root: Any) -> None:
        stated = {node.get("PartName") for node in root}
        endings = {node.get("Extension"): node.get("ContentType") for node in root if node.get("Extension")}
        for node in [node for node in root if node.get("Extension")]:
            root.remove(node)
        for name in s.parts:
            ending = name.rpartition(".")[2]
            kind = endings.get(ending) or kinds.get(ending, "application/octet-stream")
            if name != TYPES and f"/{name}" not in stated:
                etree.SubElement(root, f"{{{CONTENT_TYPES}}}Override", PartName=f"/{name}", ContentType=kind)

    s.edit(TYPES, change)


def _endings_in_capitals(s: Surgery) -> None:
    s.edit(
        TYPES,
        lambda root: (
            [n.set("Extension", n.get("Extension").upper()) for n in root if n.get("Extension")] and None
        ),
    )


def _no_counts(s: Surgery) -> None:
    for part in (STYLES, BOOK):
        s.parts[part] = re.sub(rb' (?:unique)?[cC]ount="\d+"', b"", s.parts[part])


def _prefix_at_the_sheet(s: Surgery) -> None:
    """Bind the prefix of relations at each sheet element, under another name."""
    space = b' xmlns:rel="http://schemas.openxmlformats.org/officeDocument/2006/relationships"'
    s.parts[BOOK] = re.sub(rb"(<sheet )([^>]*?)r:id=", rb"\1" + space[1:] + rb" \2rel:id=", s.parts[BOOK])


def _no_calculation(s: Surgery) -> None:
    s.parts[BOOK] = re.sub(rb"<bookViews>.*?</bookViews>|<calcPr[^>]*/>", b"", s.parts[BOOK])


def _strange_identifiers(s: Surgery) -> None:
    ids: dict[str, str] = {}

    def change(root: Any) -> None:
        for place, node in enumerate(root):
            ids[node.get("Id")] = f"rId{900 - place}" if place % 2 else f"Übersicht-{place}"
            node.set("Id", ids[node.get("Id")])

    s.edit(WORKBOOK_RELATIONS, change)
    s.edit(BOOK, lambda root: [
        n.set(key, ids[value]) for n in root.iter() for key, value in list(n.attrib.items()) if key.endswith("/relationships}id")
    ] and None)  # fmt: skip
    s.parts[BOOK] = s.parts[BOOK].replace(b'sheetId="1"', b'sheetId="65000"', 1)


def _names_empty(s: Surgery) -> None:
    if b"definedNames" not in s.parts[BOOK]:
        s.put(BOOK, "<definedNames/>")


def _read_by_all(s: Surgery) -> None:
    """State the main namespace at the root by a prefix and by default alike."""
    s.parts[BOOK] = s.parts[BOOK].replace(b"<workbook ", f'<workbook xmlns:m="{MAIN}" '.encode(), 1)


SPELT: dict[str, Change] = {
    "prefixes on everything": _each(_prefixed, apart="docProps/core.xml"),
    "utf-16 of the usual order": _each(_sixteen("utf-16-le", codecs.BOM_UTF16_LE, "UTF-16"), apart=TYPES),
    "utf-16 of the other order": _each(_sixteen("utf-16-be", codecs.BOM_UTF16_BE, "UTF-16"), apart=TYPES),
    "utf-16 everywhere": _each(_sixteen("utf-16-le", codecs.BOM_UTF16_LE, "UTF-16")),
    "latin letters": _each(_latin),
    "byte order marks": _each(_bom),
    "no head of xml": _each(_without_head),
    "tags over several lines, comments": _each(_spread),
    "strict": _strict,
    "absolute targets": _targets(lambda folder, full: full),
    "roundabout targets": _targets(_roundabout),
    "targets said to be internal": _internal_said,
    "parts in other places": _other_places,
    "our places taken": _taken_places,
    "percent signs in names of parts": _percent,
    "content types by ending alone": _by_default,
    "type of the book by ending": _book_by_default,
    "content types by part alone": _by_override,
    "endings in capitals": _endings_in_capitals,
    "no counts": _no_counts,
    "prefix bound at the sheet": _prefix_at_the_sheet,
    "no calculation and no views": _no_calculation,
    "strange identifiers": _strange_identifiers,
    "empty list of names": _names_empty,
    "two prefixes for one namespace": _read_by_all,
}
