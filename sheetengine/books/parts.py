"""The workbook file as a package: its parts, and how they refer to each other."""

from __future__ import annotations

import posixpath
import zipfile
from dataclasses import dataclass
from functools import cached_property
from typing import Self
from xml.etree import ElementTree

_REL_ID = (
    "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id",
    "{http://purl.oclc.org/ooxml/officeDocument/relationships}id",
)
MARK = "_sheetengine_result"
"""Hidden name, local to a sheet, that marks it as a result; its value is the sheet's own name as a text."""


@dataclass(frozen=True, slots=True)
class Relation:
    """One reference from a part to another, or to something outside the package."""

    id: str
    kind: str
    """Last word of the relationship's type."""
    target: str
    external: bool


@dataclass(frozen=True, slots=True)
class SheetPart:
    """A sheet of the book: its name, its part, and whether an earlier run of ours wrote it."""

    name: str
    part: str
    ours: bool


class Package:
    """A workbook file opened as a zip of parts. Use as a context manager."""

    def __init__(self, archive: zipfile.ZipFile) -> None:
        self._archive = archive
        self.names = tuple(info.filename for info in archive.infolist() if not info.is_dir())
        self._present = frozenset(self.names)
        self._relations: dict[str, tuple[Relation, ...]] = {}

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._archive.close()

    def __contains__(self, part: str) -> bool:
        return part in self._present

    def read(self, part: str) -> bytes:
        """Return the bytes of a part."""
        return self._archive.read(part)

    def tree(self, part: str) -> ElementTree.Element:
        """Return a part as an XML tree."""
        return ElementTree.fromstring(self.read(part))

    def relations(self, part: str) -> tuple[Relation, ...]:
        """Return what a part refers to; the empty name stands for the package itself."""
        if part not in self._relations:
            folder, name = posixpath.split(part)
            rels = posixpath.join(folder, "_rels", f"{name}.rels")
            self._relations[part] = self._read_relations(rels, folder) if rels in self else ()
        return self._relations[part]

    def _read_relations(self, rels: str, folder: str) -> tuple[Relation, ...]:
        found = []
        for node in self.tree(rels):
            external = node.get("TargetMode") == "External"
            target = node.get("Target", "")
            if not external:
                absolute = target if target.startswith("/") else posixpath.join("/", folder, target)
                target = posixpath.normpath(absolute).lstrip("/")
            kind = node.get("Type", "").rsplit("/", 1)[-1]
            found.append(Relation(node.get("Id", ""), kind, target, external))
        return tuple(found)

    @cached_property
    def workbook(self) -> str:
        """Name of the workbook part, empty where the package holds none."""
        for relation in self.relations(""):
            if relation.kind == "officeDocument" and relation.target in self:
                return relation.target
        return ""

    @cached_property
    def sheets(self) -> tuple[SheetPart, ...]:
        """The sheets in their order, chart sheets among them."""
        root = self.tree(self.workbook)
        targets = {relation.id: relation.target for relation in self.relations(self.workbook)}
        marks: dict[int, str] = {}
        nodes = []
        for node in root.iter():
            tag = local(node.tag)
            if tag == "sheet":
                nodes.append(node)
            elif tag == "definedName" and node.get("name") == MARK and node.get("localSheetId"):
                marks[int(node.get("localSheetId", ""))] = (node.text or "").strip()
        found = []
        for place, node in enumerate(nodes):
            name = node.get("name", "")
            rel_id = next((node.get(key, "") for key in _REL_ID if node.get(key)), "")
            found.append(SheetPart(name, targets.get(rel_id, ""), marks.get(place) == marked(name)))
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


def open_package(path: str) -> Package:
    """Open a workbook file as a package."""
    return Package(zipfile.ZipFile(path))


def marked(name: str) -> str:
    """Return the text of the mark of a result sheet with this name."""
    return '"' + name.replace('"', '""') + '"'


def local(tag: str) -> str:
    """Return an XML name without its namespace."""
    return tag.rsplit("}", 1)[-1]
