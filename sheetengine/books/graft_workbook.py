"""Changes the workbook part and the list of sheet titles for result sheets that come and go."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from sheetengine.books.parts import MARK
from sheetengine.books.xml_splice import Document, Node, attribute

_AFTER_NAMES = (
    "calcPr",
    "oleSize",
    "customWorkbookViews",
    "pivotCaches",
    "smartTagPr",
    "smartTagTypes",
    "webPublishing",
    "fileRecoveryPr",
    "webPublishObjects",
    "extLst",
)
"""ECMA-376 part 1, 18.2.27: the children of ``workbook`` behind ``definedNames``, in their order."""
_OWN_NAMES = frozenset(
    name.casefold()
    for name in (
        MARK,
        "_xlnm.Print_Area",
        "_xlnm.Print_Titles",
        "_xlnm._FilterDatabase",
    )
)
"""Local names of a result sheet that go with it, whoever wrote them: they say where things stand on it."""


@dataclass(frozen=True, slots=True)
class Seat:
    """A place in the new order of sheets: one of the office's, by its old place, or one of ours, by its name."""

    old: int | None
    new: str = ""


@dataclass(frozen=True, slots=True)
class NewSheet:
    """One of our sheets as the workbook part lists it, with the names that are local to it."""

    name: str
    relation: str
    local_names: Sequence[tuple[str, Mapping[str, str]]]
    """Text and attributes of each name."""


def seats(office: Sequence[str], leaving: frozenset[int], ours: Sequence[str]) -> list[Seat]:
    """Return the new order of sheets.

    A sheet of ours takes the place of the one it replaces; one that was not there stands behind the one before it in
    our order; where none of ours was there, ours stand behind the office's.

    Parameters
    ----------
    office
        Names of the sheets that are there.
    leaving
        Places of those that an earlier run wrote.
    ours
        Names of the new ones, in their order.
    """
    wanted = {name.casefold(): name for name in ours}
    order: list[Seat] = []
    for place, name in enumerate(office):
        if place not in leaving:
            order.append(Seat(place))
        elif name.casefold() in wanted:
            order.append(Seat(None, wanted[name.casefold()]))
    there = [seat.new for seat in order]
    first_old = min(leaving, default=len(office))
    behind = sum(1 for seat in order if seat.old is not None and seat.old < first_old)
    for name in ours:
        if name in there:
            behind = there.index(name) + 1
            continue
        order.insert(behind, Seat(None, name))
        there.insert(behind, name)
        behind += 1
    return order


def changed_workbook(
    document: Document,
    order: Sequence[Seat],
    leaving: frozenset[int],
    new: Mapping[str, NewSheet],
    relations: str,
) -> bytes:
    """Return the workbook part with the sheets in a new order.

    Parameters
    ----------
    document
        The workbook part as it is.
    order
        The new order.
    leaving
        Places of the sheets that go.
    new
        Our sheets by name.
    relations
        Namespace of the attribute that holds a relation's identifier.
    """
    root = document.root
    sheets = root.find("sheets")
    if sheets is None:
        raise ValueError("the workbook part lists no sheets")
    nodes = sheets.all("sheet")
    replaced = {nodes[place].get("name").casefold(): place for place in leaving}
    numbers = [int(node.get("sheetId", "0")) for node in nodes]
    last = max(numbers, default=0)
    content = []
    for seat in order:
        if seat.old is not None:
            content.append(document.raw(nodes[seat.old]))
            continue
        old = replaced.get(seat.new.casefold())
        if old is None:
            last += 1
        number = last if old is None else numbers[old]
        content.append(_sheet(document, nodes[0], new[seat.new], number, relations))
    sheets.content = b"".join(content)
    place_of = {seat.old: place for place, seat in enumerate(order) if seat.old is not None}
    new_place = {seat.new.casefold(): place for place, seat in enumerate(order) if seat.old is None}
    successor = {old: new_place[name] for name, old in replaced.items() if name in new_place}
    _names(document, order, place_of, leaving, successor, new)
    for views in root.all("bookViews"):
        for view in views.children:
            for name in ("activeTab", "firstSheet"):
                if name in view.attributes:
                    view.set(name, str(_moved(int(view.get(name)), nodes, order, place_of)))
    calculation = root.find("calcPr")
    if calculation is None:
        _insert(root, f'<{root.prefix}calcPr fullCalcOnLoad="1"/>'.encode(), _AFTER_NAMES[1:])
    else:
        calculation.set("fullCalcOnLoad", "1")
    return document.changed()


def _sheet(document: Document, model: Node, sheet: NewSheet, number: int, relations: str) -> bytes:
    key = next((name for name in model.attributes if name.endswith(":id")), "r:id")
    prefix = key.partition(":")[0]
    bound = document.root.get(f"xmlns:{prefix}") == relations
    space = "" if bound else f' xmlns:{prefix}="{relations}"'
    return (
        f'<{model.name}{space} name="{attribute(sheet.name)}" sheetId="{number}" {key}="{sheet.relation}"/>'
    ).encode()


def _names(
    document: Document,
    order: Sequence[Seat],
    place_of: Mapping[int, int],
    leaving: frozenset[int],
    successor: Mapping[int, int],
    new: Mapping[str, NewSheet],
) -> None:
    """Renumber the names that are local to a sheet, and add those of our sheets.

    A name that the office made local to one of our sheets goes to the sheet that replaces it.
    """
    root = document.root
    ours = _OWN_NAMES | {
        attributes["name"].casefold() for sheet in new.values() for _, attributes in sheet.local_names
    }
    names = root.find("definedNames")
    kept = 0
    for node in names.children if names else ():
        if "localSheetId" not in node.attributes:
            kept += 1
            continue
        old = int(node.get("localSheetId"))
        if old in leaving:
            node.removed = old not in successor or node.get("name").casefold() in ours
            if not node.removed:
                kept += 1
                node.set("localSheetId", str(successor[old]))
        else:
            kept += 1
            node.set("localSheetId", str(place_of.get(old, old)))
    added = []
    for place, seat in enumerate(order):
        for text, attributes in new[seat.new].local_names if seat.old is None else ():
            stated = {**attributes, "localSheetId": str(place)}
            listed = "".join(f' {key}="{attribute(value)}"' for key, value in stated.items())
            tag = f"{root.prefix}definedName"
            added.append(f"<{tag}{listed}>{escape(text)}</{tag}>".encode())
    if names is None:
        if added:
            section = f"{root.prefix}definedNames".encode()
            _insert(root, b"<%b>%b</%b>" % (section, b"".join(added), section), _AFTER_NAMES)
    elif kept or added:
        names.append(b"".join(added))
    else:
        names.removed = True


def _insert(root: Node, xml: bytes, later: Sequence[str]) -> None:
    follower = next((child for child in root.children if child.local in later), None)
    if follower is None:
        root.append(xml)
    else:
        follower.before.append(xml)


def _moved(old: int, nodes: Sequence[Node], order: Sequence[Seat], place_of: Mapping[int, int]) -> int:
    """Return the new place of a sheet; of the sheet that replaces it; or of the first that can be seen."""
    if old in place_of:
        return place_of[old]
    if old < len(nodes):
        name = nodes[old].get("name").casefold()
        for place, seat in enumerate(order):
            if seat.old is None and seat.new.casefold() == name:
                return place
    for place, seat in enumerate(order):
        if seat.old is None or nodes[seat.old].get("state", "visible") == "visible":
            return place
    return 0


def changed_titles(part: bytes, before: Sequence[str], after: Sequence[str]) -> bytes:
    """Return the part of application properties with a new list of worksheet titles.

    Where the part lists no titles, or lists others than the book holds, it is returned as it is.
    """
    document = Document(part)
    pairs, titles = document.root.find("HeadingPairs"), document.root.find("TitlesOfParts")
    if pairs is None or titles is None or not pairs.children or not titles.children:
        return part
    vector, listed = pairs.children[0], titles.children[0]
    counts = [variant.children[0] for variant in vector.children if variant.children][1::2]
    texts = [node.text for node in listed.children]
    first = 0
    for node in counts:
        count = int(node.text or 0)
        if texts[first : first + count] == list(before):
            own = listed.children[first : first + count]
            if not own:
                return part
            tag = own[0].name
            own[0].before.append(b"".join(f"<{tag}>{escape(name)}</{tag}>".encode() for name in after))
            for title in own:
                title.removed = True
            node.content = str(len(after)).encode()
            listed.set("size", str(len(texts) - count + len(after)))
            return document.changed()
        first += count
    return part
