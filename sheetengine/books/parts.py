"""The workbook file as a package: its parts, and how they refer to each other."""

from __future__ import annotations

import os
import posixpath
import zipfile
from dataclasses import dataclass
from functools import cached_property
from typing import Self
from xml.etree import ElementTree

from sheetengine.exceptions import BookUnreadable

_REL_ID = (
    "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id",
    "{http://purl.oclc.org/ooxml/officeDocument/relationships}id",
)
TYPES = "[Content_Types].xml"
MARK = "_sheetengine_result"
"""Hidden name, local to a sheet, that marks it as a result; its value is the sheet's own name as a text."""
_MOST_OF_A_PART = 512 << 20
_MOST_OF_A_BOOK = 1 << 30
_SMALL = 64 << 20
_MOST_TIMES = 250
"""A part beyond the small size that is packed tighter than this is no table: sheets pack about ten to one."""


@dataclass(frozen=True, slots=True)
class Relation:
    """One reference from a part to another, or to something outside the package."""

    id: str
    kind: str
    """Last word of the relationship's type."""
    target: str
    external: bool
    type: str


@dataclass(frozen=True, slots=True)
class SheetPart:
    """A sheet of the book: its name, its part, and whether an earlier run of ours wrote it."""

    name: str
    part: str
    ours: bool
    is_worksheet: bool


class Package:
    """A workbook file opened as a zip of parts. Use as a context manager."""

    def __init__(self, archive: zipfile.ZipFile) -> None:
        self.archive = archive
        self.names = tuple(info.filename for info in archive.infolist() if not info.is_dir())
        self._members = {name.casefold(): name for name in reversed(self.names)}
        self._relations: dict[str, tuple[Relation, ...]] = {}
        self._unpacked: dict[str, int] = {}

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        self.archive.close()

    def __contains__(self, part: str) -> bool:
        return self._members.get(part.casefold()) == part

    def member(self, part: str) -> str:
        """Return the name of a part as the file spells it; names of parts do not differ by letter case."""
        return self._members.get(part.casefold(), part)

    def read(self, part: str) -> bytes:
        """Return the bytes of a part.

        Raises
        ------
        BookUnreadable
            The part, or all parts read so far, would take more room than any real book.
        """
        member = self.archive.getinfo(part)
        self._unpacked[part] = member.file_size
        if (
            member.file_size > _MOST_OF_A_PART
            or sum(self._unpacked.values()) > _MOST_OF_A_BOOK
            or member.file_size > max(_SMALL, _MOST_TIMES * member.compress_size)
        ):
            raise BookUnreadable(
                f"{self.archive.filename or 'the book'}: its part {part} would unpack to {member.file_size / 1e6:,.0f} MB, "
                "far more than a table of lifts needs, so it was not opened. If the book is your own, copy its sheets into "
                "a new book; if not, do not open it."
            )
        return self.archive.read(member)

    def tree(self, part: str) -> ElementTree.Element:
        """Return a part as an XML tree."""
        return ElementTree.fromstring(self.read(part))

    def relations(self, part: str) -> tuple[Relation, ...]:
        """Return what a part refers to; the empty name stands for the package itself."""
        if part not in self._relations:
            rels = self.member(relations_part(part))
            folder = posixpath.dirname(part)
            self._relations[part] = self._read_relations(rels, folder) if rels in self else ()
        return self._relations[part]

    def _read_relations(self, rels: str, folder: str) -> tuple[Relation, ...]:
        found = []
        for node in self.tree(rels):
            external = node.get("TargetMode") == "External"
            target = node.get("Target", "")
            if not external:
                absolute = target if target.startswith("/") else posixpath.join("/", folder, target)
                target = self.member(posixpath.normpath(absolute).lstrip("/"))
            kind = node.get("Type", "")
            found.append(Relation(node.get("Id", ""), kind.rsplit("/", 1)[-1], target, external, kind))
        return tuple(found)

    def target_of(self, part: str, kind: str) -> str:
        """Return the part that a part refers to by a kind of relation, empty where there is none."""
        for relation in self.relations(part):
            if relation.kind == kind and not relation.external and relation.target in self:
                return relation.target
        return ""

    def content_type(self, part: str) -> str:
        """Return what the package says a part holds."""
        name, ending = f"/{part}".casefold(), posixpath.splitext(part)[1].lstrip(".").casefold()
        default = ""
        for node in self.tree(TYPES):
            if node.get("PartName", "").casefold() == name:
                return node.get("ContentType", "")
            if node.get("Extension", "").casefold() == ending:
                default = node.get("ContentType", "")
        return default

    @cached_property
    def workbook(self) -> str:
        """Name of the workbook part, empty where the package holds none."""
        return self.target_of("", "officeDocument")

    @cached_property
    def sheets(self) -> tuple[SheetPart, ...]:
        """The sheets in their order, chart sheets among them."""
        root = self.tree(self.workbook)
        relations = {relation.id: relation for relation in self.relations(self.workbook)}
        marks: dict[int, str] = {}
        nodes: list[ElementTree.Element] = []
        for child in root:
            if local(child.tag) == "sheets":
                nodes += child
            elif local(child.tag) == "definedNames":
                marks |= {
                    int(node.get("localSheetId", "")): (node.text or "").strip()
                    for node in child
                    if node.get("name") == MARK and node.get("localSheetId")
                }
        found = []
        for place, node in enumerate(nodes):
            name = node.get("name", "")
            relation = relations.get(next((node.get(key, "") for key in _REL_ID if node.get(key)), ""))
            part, kind = (relation.target, relation.kind) if relation else ("", "")
            found.append(SheetPart(name, part, marks.get(place) == marked(name), kind == "worksheet"))
        return tuple(found)

    def reached(self, starts: list[str], *, apart: frozenset[str] = frozenset()) -> set[str]:
        """Return every part that can be reached from ``starts`` without passing through ``apart``."""
        seen: set[str] = set()
        waiting = list(starts)
        while waiting:
            part = waiting.pop()
            if part in seen or part in apart:
                continue
            seen.add(part)
            waiting += [rel.target for rel in self.relations(part) if not rel.external and rel.target in self]
        return seen


def open_package(path: str | os.PathLike[str]) -> Package:
    """Open a workbook file as a package."""
    return Package(zipfile.ZipFile(path))


def relations_part(part: str) -> str:
    """Return the name of the part that holds the relations of a part."""
    folder, name = posixpath.split(part)
    return posixpath.join(folder, "_rels", f"{name}.rels")


def marked(name: str) -> str:
    """Return the text of the mark of a result sheet with this name."""
    return '"' + name.replace('"', '""') + '"'


def local(tag: str) -> str:
    """Return an XML name without its namespace."""
    return tag.rsplit("}", 1)[-1]
