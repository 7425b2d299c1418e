"""Puts result sheets into the office's book as parts of its package; every part of the office's stays as it is."""

from __future__ import annotations

import contextlib
import io
import itertools
import os
import re
import zipfile
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from sheetengine.books.graft_parts import (
    FreeNames,
    Parts,
    relation_entry,
    take_parts,
)
from sheetengine.books.graft_styles import StyleGraft
from sheetengine.books.graft_workbook import NewSheet, changed_titles, changed_workbook, seats
from sheetengine.books.marks import not_ours
from sheetengine.books.new_from_grids import workbook_of
from sheetengine.books.parts import TYPES, Package, SheetPart, open_package, relations_part
from sheetengine.books.reading import all_grids, check_readable, is_open_document
from sheetengine.books.render import render_results
from sheetengine.books.saving import check_writable, package_of, packed, replace_file
from sheetengine.books.xml_splice import Document, attribute
from sheetengine.books.zip_copy import write_copy
from sheetengine.content import SheetContent
from sheetengine.exceptions import BookUnreadable, BookUnwritable

_TRANSITIONAL = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_STRICT = "http://purl.oclc.org/ooxml/officeDocument/relationships"
_STYLES_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.styles+xml"
_RELATIONS_TYPE = "application/vnd.openxmlformats-package.relationships+xml"
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s/>]")
_SUFFIXES = {".xlsx": "sheet", ".xltx": "template", ".xlsm": "sheet", ".xltm": "template"}


@dataclass(frozen=True, slots=True)
class Office:
    """What must be known of the office's book before result sheets are made for it."""

    package: Package
    workbook: Document
    leaving: frozenset[int]
    """Places of the result sheets of an earlier run."""
    removed: frozenset[str]
    """Their parts."""
    names: frozenset[str]
    """Names of tables and other names that are taken."""
    tables: dict[str, int]
    """Numbers of the tables that stay, by name."""
    own_tables: dict[str, int]
    """Numbers of the tables of those earlier result sheets, by name."""
    from_1904: bool
    """Whether its days are counted from 1904."""


@dataclass(frozen=True, slots=True)
class Change:
    """What becomes of a package: members with new content, members that go, members that come."""

    changed: dict[str, bytes]
    removed: frozenset[str]
    added: dict[str, bytes]


def write_into(
    book: str | os.PathLike[str],
    target: str | os.PathLike[str],
    contents: Sequence[SheetContent],
    *,
    result_names: Collection[str],
    step: Callable[[str], None] = lambda _: None,
) -> None:
    """Write the office's book with result sheets in it: all of it, or nothing.

    Result sheets of an earlier run, told by their mark, go with all that belongs to them alone, and the new ones
    take their places. All else of the book keeps every byte, as it is compressed. Of an OpenDocument spreadsheet the
    values of its sheets are put into a new workbook, and it stays as it is itself.

    Parameters
    ----------
    book
        The office's book.
    target
        File to write; it may be the book itself.
    contents
        What the sheets hold.
    result_names
        Every name that result sheets of this engine may have, so that one no longer made is removed too.
    step
        Told of each step as it begins.

    Raises
    ------
    BookUnreadable
        The book could not be read.
    BookUnwritable
        It is signed, is an OpenDocument spreadsheet and the target is itself, holds a sheet of the office's own under the name of a result sheet, or the target could not be
        written; the target is as it was.
    """
    source, file = Path(book), Path(target)
    check_readable(source)
    check_writable(file)
    with _office_package(source, file) as package:
        with _taking_apart(source):
            office_kind(package, file)
            office = office_of(package, [content.name for content in contents], result_names)
        step("Write the result sheets")
        results = package_of(render_results(contents, taken=office.names, from_1904=office.from_1904))
        with _taking_apart(source):
            change = grafted(office, results, suffix=file.suffix.lower())
            step("Save")

            def write(stream: IO[bytes]) -> None:
                write_copy(
                    package.archive,
                    stream,
                    changed=change.changed,
                    removed=change.removed,
                    added=change.added,
                )

            replace_file(file, write, before_replacing=package.close)


def _office_package(source: Path, file: Path) -> Package:
    if not is_open_document(source):
        return open_package(source)
    check_takes_results(source, file)
    with _taking_apart(source):
        return Package(zipfile.ZipFile(io.BytesIO(packed(workbook_of(all_grids(source))))))


def check_takes_results(source: Path, file: Path) -> None:
    """Check that result sheets of a book can go into a file: those of an OpenDocument spreadsheet need a workbook.

    Raises
    ------
    BookUnreadable
        The book could not be read.
    BookUnwritable
        The file is no workbook; the message says what to do.
    """
    if is_open_document(source) and file.suffix.lower() != ".xlsx":
        raise BookUnwritable(
            f"{source}: this is an OpenDocument spreadsheet (.ods), which takes no result sheets, so nothing was written. "
            f"Name a workbook for them: sheetengine run {source.name} --out {source.stem}.xlsx. It gets the values of "
            "every sheet and the results; or save the book as .xlsx in the spreadsheet program and run that, to keep "
            "formulas and formats too."
        )


@contextlib.contextmanager
def _taking_apart(source: Path) -> Iterator[None]:
    try:
        yield
    except (BookUnreadable, BookUnwritable):
        raise
    except Exception as error:  # a damaged file fails in as many ways as it can be damaged
        raise BookUnreadable(
            f"{source}: the workbook could not be taken apart ({type(error).__name__}: {error}), so nothing was "
            "written. Open it in the spreadsheet program, save it under a new name and run again."
        ) from error


def office_kind(package: Package, file: Path) -> None:
    """Check that a book is not signed and that its name may stand for what it holds."""
    if any(relation.kind == "origin" for relation in package.relations("")):
        raise BookUnwritable(
            "The book carries a digital signature, which any change would break, so nothing was written. Save an "
            "unsigned copy in the spreadsheet program (File, Info, View Signatures, Remove) and run on that."
        )
    suffix = file.suffix.lower()
    macros = "macroenabled" in package.content_type(package.workbook).casefold()
    if macros and suffix not in (".xlsm", ".xltm"):
        raise BookUnwritable(f"{file}: the book may hold macros, so its name must end in .xlsm.")
    if not macros and suffix not in (".xlsx", ".xltx"):
        raise BookUnwritable(f"{file}: the name of the file to write must end in .xlsx.")


def office_of(package: Package, new_names: Sequence[str], result_names: Collection[str]) -> Office:
    """Return what must be known of the office's book.

    Parameters
    ----------
    package
        The office's book.
    new_names
        Names of the result sheets to come.
    result_names
        Every name that result sheets of this engine may have.

    Raises
    ------
    BookUnwritable
        The book holds a sheet of the office's own under the name of a result sheet.
    """
    leaving = _leaving(package.sheets, new_names, result_names)
    removed = _own_parts(package, frozenset(package.sheets[place].part for place in leaving))
    kept = [sheet for place, sheet in enumerate(package.sheets) if place not in leaving]
    tables = _tables(package, kept)
    own_tables = _tables(package, [package.sheets[place] for place in sorted(leaving)])
    workbook = Document(package.read(package.workbook))
    names = frozenset({*tables, *_global_names(workbook), *_spent_names(own_tables)})
    return Office(package, workbook, leaving, removed, names, tables, own_tables, from_1904(workbook))


def grafted(office: Office, results: bytes, *, suffix: str = ".xlsx") -> Change:
    """Return what becomes of the office's package when result sheets are put into it.

    Parameters
    ----------
    office
        The office's book.
    results
        A book of result sheets, as a file.
    suffix
        Ending of the file to write, which settles whether it is a book or a template of books.

    Raises
    ------
    BookUnwritable
        The book holds more cell formats than the programs can open.
    """
    package, workbook = office.package, office.workbook
    is_strict = workbook.namespace(workbook.root.prefix).startswith("http://purl.oclc.org/")
    space = _STRICT if is_strict else _TRANSITIONAL
    listed = Document(package.read(TYPES)).root
    listed_parts = {node.get("PartName").lstrip("/") for node in listed.all("Override")}
    names = FreeNames({*package.names, *listed_parts} - office.removed)
    styles_part = package.target_of(package.workbook, "styles")
    office_styles = package.read(styles_part) if styles_part else _empty_styles(workbook)
    with Package(zipfile.ZipFile(io.BytesIO(results))) as ours:
        styles = StyleGraft(office_styles, ours.read(ours.target_of(ours.workbook, "styles")))
        parts = take_parts(
            ours,
            styles,
            names,
            tables=_free_numbers(office),
            selected=_active(package, workbook),
            is_strict=is_strict,
        )
        local_names = _local_names(ours)
    changed: dict[str, bytes] = {}
    added: dict[str, bytes] = {}
    types: dict[str, str] = {}
    new_styles_part = "" if styles_part else names.like("xl/styles.xml")
    (changed if styles_part else added)[styles_part or new_styles_part] = styles.changed()
    if new_styles_part:
        types[new_styles_part] = _STYLES_TYPE
    added |= parts.content
    types |= parts.types
    if not any(node.get("Extension").casefold() == "rels" for node in listed.all("Default")):
        types |= {name: _RELATIONS_TYPE for name in parts.content if name.endswith(".rels")}

    removed = office.removed
    chain = package.target_of(package.workbook, "calcChain")
    old = [package.sheets[place].part for place in office.leaving]
    if chain and any(_FORMULA.search(package.read(part)) for part in old if part in package):
        removed |= {chain}  # it would name cells that are no more; the programs make it anew
    relations, identifiers = _book_relations(package, removed, parts, space, new_styles_part)
    changed[package.member(relations_part(package.workbook))] = relations
    new = {
        name: NewSheet(name, identifier, own)
        for (name, own), identifier in zip(local_names.items(), identifiers, strict=True)
    }
    order = seats([sheet.name for sheet in package.sheets], office.leaving, list(new))
    changed[package.workbook] = changed_workbook(workbook, order, office.leaving, new, space)
    changed[TYPES] = _changed_types(package, removed, types, suffix)
    application = package.target_of("", "extended-properties") or package.target_of("", "extendedProperties")
    if application:
        before = [sheet.name for sheet in package.sheets if sheet.is_worksheet]
        after = [
            package.sheets[seat.old].name if seat.old is not None else seat.new
            for seat in order
            if seat.old is None or package.sheets[seat.old].is_worksheet
        ]
        changed[application] = changed_titles(package.read(application), before, after)
    changed = {name: content for name, content in changed.items() if content != package.read(name)}
    return Change(changed, removed, added)


def _leaving(
    sheets: Sequence[SheetPart], new_names: Sequence[str], result_names: Collection[str]
) -> frozenset[int]:
    """Return the places of the result sheets of an earlier run."""
    new = {name.casefold() for name in new_names}
    ours = new | {name.casefold() for name in result_names}
    for sheet in sheets:
        if sheet.name.casefold() in new and not sheet.ours:
            raise not_ours(sheet.name)
    return frozenset(
        place for place, sheet in enumerate(sheets) if sheet.ours and sheet.name.casefold() in ours
    )


def _own_parts(package: Package, sheets: frozenset[str]) -> frozenset[str]:
    """Return the sheets and the parts that nothing but them refers to, with their parts of relations."""
    living = package.reached([""], apart=sheets)
    own = package.reached(sorted(sheets)) - living
    relations = {package.member(relations_part(part)) for part in own}
    return frozenset(own | {name for name in relations if name in package})


def _tables(package: Package, sheets: Sequence[SheetPart]) -> dict[str, int]:
    """Return the numbers of the tables of some sheets, by name and by displayed name."""
    numbers: dict[str, int] = {}
    for sheet in sheets:
        for relation in package.relations(sheet.part):
            if relation.kind == "table" and relation.target in package:
                root = package.tree(relation.target)
                for name in (root.get("name"), root.get("displayName")):
                    if name:
                        numbers[name] = int(root.get("id", "0"))
    return numbers


def _spent_names(tables: Collection[str]) -> set[str]:
    """Return names that must not be given, so that tables of an earlier run get the numbered names they had.

    Formulas of the office go by these names, also when the name that was taken then has become free.
    """
    there = {name.casefold() for name in tables}
    spent: set[str] = set()
    for name in tables:
        numbered = re.fullmatch(r"(.+)_(\d{1,3})", name)
        if numbered and numbered[1].casefold() not in there:
            spent |= {numbered[1], *(f"{numbered[1]}_{number}" for number in range(2, int(numbered[2])))}
    return spent


def _free_numbers(office: Office) -> Callable[[str], int]:
    """Return what gives the number of a table of ours: the one it had, or the next free one."""
    taken = set(office.tables.values())
    next_free = itertools.count(max([0, *taken, *office.own_tables.values()]) + 1)

    def number(name: str) -> int:
        old = office.own_tables.get(name)
        if old is None or old in taken:
            old = next(next_free)
        taken.add(old)
        return old

    return number


def _global_names(workbook: Document) -> set[str]:
    names = workbook.root.find("definedNames")
    return {
        node.get("name")
        for node in (names.children if names else ())
        if "localSheetId" not in node.attributes
    }


def from_1904(workbook: Document) -> bool:
    """Return whether the days of a workbook are counted from 1904."""
    properties = workbook.root.find("workbookPr")
    return properties is not None and properties.get("date1904") in ("1", "true")


def _active(package: Package, workbook: Document) -> str:
    """Return the name of the sheet that the book opens on."""
    views = workbook.root.find("bookViews")
    place = int(views.children[0].get("activeTab", "0")) if views and views.children else 0
    return package.sheets[place].name if place < len(package.sheets) else ""


def _empty_styles(workbook: Document) -> bytes:
    space = workbook.namespace(workbook.root.prefix)
    return (
        b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
        b'<styleSheet xmlns="%b"></styleSheet>' % space.encode()
    )


def _local_names(ours: Package) -> dict[str, list[tuple[str, dict[str, str]]]]:
    """Return our sheets by name, each with the text and attributes of the names that are local to it."""
    listed: dict[str, list[tuple[str, dict[str, str]]]] = {sheet.name: [] for sheet in ours.sheets}
    names = Document(ours.read(ours.workbook)).root.find("definedNames")
    for node in names.children if names else ():
        sheet = ours.sheets[int(node.get("localSheetId", "0"))]
        listed[sheet.name].append((node.text, node.attributes))
    return listed


def _book_relations(
    package: Package, removed: frozenset[str], parts: Parts, space: str, styles_part: str
) -> tuple[bytes, list[str]]:
    """Return the relations of the workbook part, and the identifiers of those to our sheets."""
    relations = package.relations(package.workbook)
    document = Document(package.read(package.member(relations_part(package.workbook))))
    taken: set[str] = set()
    for node, relation in zip(document.root.all("Relationship"), relations, strict=True):
        if not relation.external and relation.target in removed:
            node.removed = True
        else:
            taken.add(relation.id)
    identifiers = []
    number = 0
    wanted = [(f"{space}/styles", styles_part)] if styles_part else []
    wanted += [(f"{space}/worksheet", part) for part in parts.sheets]
    for kind, part in wanted:
        number += 1
        while f"rId{number}" in taken:
            number += 1
        identifiers.append(f"rId{number}")
        document.root.append(relation_entry(f"rId{number}", kind, f"/{part}", prefix=document.root.prefix))
    return document.changed(), identifiers[len(wanted) - len(parts.sheets) :]


def _changed_types(package: Package, removed: frozenset[str], types: dict[str, str], suffix: str) -> bytes:
    document = Document(package.read(TYPES))
    root = document.root
    gone = {f"/{name}".casefold() for name in removed}
    book = f"/{package.workbook}".casefold()
    was = package.content_type(package.workbook)
    kind = re.sub(r"\b(sheet|template)(?=\.(?:macroEnabled\.)?main)", _SUFFIXES[suffix], was)
    if kind != was and not any(node.get("PartName").casefold() == book for node in root.all("Override")):
        types = {**types, package.workbook: kind}
    for node in root.all("Override"):
        if node.get("PartName").casefold() in gone:
            node.removed = True
        elif node.get("PartName").casefold() == book:
            node.set("ContentType", kind)
    for name, kind in types.items():
        root.append(f'<{root.prefix}Override PartName="/{name}" ContentType="{attribute(kind)}"/>'.encode())
    return document.changed()
