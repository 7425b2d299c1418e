"""What must hold of a package into which result sheets were put, and the sheets that the tests put in."""

from __future__ import annotations

import datetime as dt
import functools
import io
import re
import struct
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.cell import Cell
from packages import parts_of

from sheetengine.books import graft, saving
from sheetengine.books.graft import write_into
from sheetengine.books.parts import TYPES, open_package
from sheetengine.books.render import render_results
from sheetengine.books.xml_splice import Document
from sheetengine.content import ChartContent, ColumnLook, Curve, Link, Look, SheetContent, TableContent

NAMES = ["Flags", "Anchor demand", "Run record"]
MOMENT = dt.datetime(2031, 4, 2, 7, 30)


def demand(word: str = "Within") -> SheetContent:
    columns = [
        ColumnLook("Block", note="Which block."),
        ColumnLook("Ratio", Look.NUMBER, group="Checks"),
        ColumnLook("Verdict", Look.VERDICT, group="Checks"),
        ColumnLook("Hung", Look.MOMENT, width=18),
        ColumnLook("Where", Look.LINK),
        ColumnLook("Initials", Look.ENTRY),
    ]
    rows = [
        ["A & <B>", 0.5, word, MOMENT, Link("Lifts!A1", "Lifts!A1"), None],
        ["=1+1", 1.25, "Exceeds", MOMENT, None, " AB "],
    ]
    chart = ChartContent(
        "Ratio", "Ratio", "Ratio", [Curve("R", "Anchor_demand", "Ratio", "Ratio")], alt_text='Curve "R"'
    )
    table = TableContent("Anchor_demand", columns, rows)
    return SheetContent(
        "Anchor demand", "Anchor demand", ["Line."], [table], [chart], footer="Works", freeze_columns=1
    )


def flags() -> SheetContent:
    columns = [ColumnLook("Flag"), ColumnLook("Level", Look.LEVEL), ColumnLook("Count", Look.COUNT)]
    table = TableContent("Flags", columns, [["EXC-1", "Blocks issue", 3], ["NOT-2", "For information", None]])
    return SheetContent("Flags", "Flags", [], [table], freeze_columns=1)


def run(source: Path, target: Path | None = None, *contents: SheetContent) -> Path:
    out = target or source
    write_into(source, out, contents or [flags(), demand()], result_names=NAMES)
    return out


def raw_members(path: Path) -> dict[str, tuple[Any, ...]]:
    """Return what a zip file holds of each member, its compressed bytes among it."""
    found = {}
    content = path.read_bytes()
    with zipfile.ZipFile(path) as archive:
        for info in archive.infolist():
            name, extra = struct.unpack_from("<HH", content, info.header_offset + 26)
            start = info.header_offset + 30 + name + extra
            found[info.filename] = (
                content[start : start + info.compress_size],
                info.compress_type,
                info.CRC,
                info.file_size,
                info.date_time,
                info.external_attr,
            )
    return found


def may_change(path: Path) -> set[str]:
    with open_package(path) as package:
        book = package.workbook
        folder, _, name = book.rpartition("/")
        rels = f"{folder}/_rels/{name}.rels" if folder else f"_rels/{name}.rels"
        return {
            package.member(part)
            for part in (
                TYPES, book, rels, package.target_of(book, "styles"),
                package.target_of("", "extended-properties"), package.target_of("", "extendedProperties"),
            )
        }  # fmt: skip


def assert_office_untouched(before: Path, after: Path) -> None:
    old, new = raw_members(before), raw_members(after)
    changing = may_change(before)
    assert [name for name in new if name in old] == list(old)
    for name, member in old.items():
        if name not in changing:
            assert new[name] == member, name


def assert_sound(path: Path) -> None:
    """Check the package as the conventions ask: ECMA-376 part 2, and part 1, 18.2 and 18.5."""
    with zipfile.ZipFile(path) as archive:
        names = archive.namelist()
        assert archive.testzip() is None
    folded = [name.casefold() for name in names]
    assert len(set(folded)) == len(folded)
    types = Document(parts_of(path)[TYPES]).root
    overrides = [node.get("PartName").casefold() for node in types.all("Override")]
    assert len(set(overrides)) == len(overrides)
    defaults = {node.get("Extension").casefold() for node in types.all("Default")}
    for name in names:
        if name != TYPES and not name.endswith("/"):
            assert f"/{name}".casefold() in overrides or name.rpartition(".")[2].casefold() in defaults, name
    with open_package(path) as package:
        for part in ["", *package.names]:
            relations = package.relations(part)
            assert len({relation.id for relation in relations}) == len(relations)
            for relation in relations:
                if part == "" or any(word in part for word in ("workbook", "worksheets/", "drawings/")):
                    assert relation.external or relation.target in package, (part, relation)
        root = Document(package.read(package.workbook)).root
        sheets = root.find("sheets")
        assert sheets is not None
        identifiers = [node.get("sheetId") for node in sheets.children]
        assert len(set(identifiers)) == len(identifiers)
        seen = set()
        for node in (root.find("definedNames") or sheets).all("definedName"):
            key = (node.get("name").casefold(), node.get("localSheetId"))
            assert key not in seen
            seen.add(key)
            assert int(node.get("localSheetId", "0")) < len(identifiers)
        tables = [
            package.tree(relation.target)
            for sheet in package.sheets
            for relation in package.relations(sheet.part)
            if relation.kind == "table"
        ]
        assert len({table.get("id") for table in tables}) == len(tables)
        assert len({table.get("displayName", "").casefold() for table in tables}) == len(tables)
        marked = [sheet.name for sheet in package.sheets if sheet.ours]
        assert set(marked) == {"Flags", "Anchor demand"}


def assert_styles_appended(before: Path, after: Path) -> None:
    with open_package(before) as one, open_package(after) as other:
        part = one.target_of(one.workbook, "styles")
        if not part:
            return
        old, new = Document(one.read(part)), Document(other.read(part))
    for section in old.root.children:
        again = new.root.find(section.local)
        assert again is not None
        kept = [new.raw(node) for node in again.children[: len(section.children)]]
        assert kept == [old.raw(node) for node in section.children], section.name
        if "count" in section.attributes:
            assert int(again.get("count")) == len(again.children), section.name
    for name in ("fonts", "fills", "borders", "cellXfs", "dxfs"):
        again = new.root.find(name)
        assert again is not None
        entries = [
            re.sub(rb"\s+", b" ", new.raw(node))
            for node in again.children[len(getattr(old.root.find(name), "children", [])) :]
        ]
        assert len(set(entries)) == len(entries), f"{name} piles up"


def colour(value: Any) -> Any:
    if value is None:
        return None
    return value.rgb[-6:] if value.type == "rgb" else (value.type, value.value)


def look_of(cell: Any) -> tuple[Any, ...]:
    """Return all that shows of a cell; programs that spell a colour or a plain fill otherwise mean the same."""
    link, note, font, fill, place = cell.hyperlink, cell.comment, cell.font, cell.fill, cell.alignment
    sides = [getattr(cell.border, side) for side in ("left", "right", "top", "bottom")]
    return (
        getattr(cell.value, "text", cell.value),
        cell.number_format,
        cell.quotePrefix,
        (font.name, font.sz, font.b, font.i, font.u, font.strike, font.vertAlign, colour(font.color)),
        (fill.patternType, colour(fill.fgColor)),
        [(side.style, colour(side.color)) if side else (None, None) for side in sides],
        (place.horizontal, place.vertical, place.wrap_text, place.indent),
        (link.location, link.target, link.display) if link else None,
        (note.text, note.width, note.height) if note else None,
    )


def sheet_facts(sheet: Any) -> dict[str, Any]:
    return {
        "cells": {cell.coordinate: look_of(cell) for row in sheet.iter_rows() for cell in row if cell.has_style and type(cell) is Cell},
        "widths": {key: (c.width, c.hidden) for key, c in sheet.column_dimensions.items()},
        "heights": {key: row.height for key, row in sheet.row_dimensions.items()},
        "rules": [
            (str(area.sqref), rule.formula, rule.stopIfTrue, repr(rule.dxf))
            for area in sheet.conditional_formatting
            for rule in area.rules
        ],
        "tables": [
            (table.displayName, table.ref, [column.name for column in table.tableColumns])
            for table in sheet.tables.values()
        ],
        "charts": [(repr(c.anchor._from), c.series[0].yVal.numRef.f) for c in sheet._charts],
        "print": (sheet.print_title_rows, sheet.print_area, sheet.page_setup.orientation, sheet.oddFooter.left.text),
        "panes": sheet.freeze_panes,
        "merged": sorted(str(area) for area in sheet.merged_cells.ranges),
    }  # fmt: skip


@functools.cache
def facts_alone(taken: frozenset[str], from_1904: bool) -> dict[str, dict[str, Any]]:
    """Return what shows of our sheets in a book of their own."""
    content = saving.package_of(render_results([flags(), demand()], taken=taken, from_1904=from_1904))
    return {
        sheet.title: sheet_facts(sheet) for sheet in openpyxl.load_workbook(io.BytesIO(content)).worksheets
    }


def assert_ours_arrive(there: Any, taken: set[str], from_1904: bool = False) -> None:
    """Compare our sheets in the office's book with the same sheets in a book of their own."""
    for name, facts in facts_alone(frozenset(taken), from_1904).items():
        assert sheet_facts(there[name]) == facts


def render_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the same result sheets be rendered once in all tests: where they are put is what is tested."""

    def rendered(contents: Any, *, taken: Any, from_1904: bool) -> Any:
        return repr(contents) if len(contents) > 1 else id(contents[0]), frozenset(taken), from_1904, contents

    def packed(key: Any) -> bytes:
        if key[:3] not in _RENDERED:
            _RENDERED[key[:3]] = saving.package_of(render_results(key[3], taken=key[1], from_1904=key[2]))
        return _RENDERED[key[:3]]

    monkeypatch.setattr(graft, "render_results", rendered)
    monkeypatch.setattr(graft, "package_of", packed)


_RENDERED: dict[Any, bytes] = {}
