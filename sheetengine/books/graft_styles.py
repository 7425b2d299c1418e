"""Adds the styles of the result sheets behind the office's own; nothing of the office's changes its number."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from openpyxl.styles.numbers import BUILTIN_FORMATS

from sheetengine.books.xml_splice import Document, Node, attribute
from sheetengine.exceptions import BookUnwritable

_ORDER = (
    "numFmts",
    "fonts",
    "fills",
    "borders",
    "cellStyleXfs",
    "cellXfs",
    "cellStyles",
    "dxfs",
    "tableStyles",
    "colors",
    "extLst",
)
"""ECMA-376 part 1, 18.8.39: the order of the children of ``styleSheet``."""
_FONT_ORDER = (
    "b",
    "i",
    "strike",
    "condense",
    "extend",
    "outline",
    "shadow",
    "u",
    "vertAlign",
    "sz",
    "color",
    "name",
    "family",
    "charset",
    "scheme",
)
"""The order in which Excel writes the children of ``font``, the one that every checker of the format accepts."""
_OWN_FORMATS_FROM = 164
_MOST_CELL_FORMATS = 65_430
"""Cell formats that Excel holds, from its specifications (65,490), less a few."""

Shape = tuple[str, tuple[tuple[str, str], ...], tuple[Any, ...]]
"""An element without its place: name, attributes in order of their names, children."""


def shape_of(node: Node) -> Shape:
    """Return an element without prefixes, so that two may be compared."""
    attributes = (
        (name, value) for name, value in node.attributes.items() if name.partition(":")[0] != "xmlns"
    )
    return node.local, tuple(sorted(attributes)), tuple(shape_of(child) for child in node.children)


def written(shape: Shape, prefix: str) -> bytes:
    """Return the XML of an element, its names under a prefix."""
    name, attributes, children = shape
    tag = prefix + name + "".join(f' {key}="{attribute(value)}"' for key, value in attributes)
    if not children:
        return f"<{tag}/>".encode()
    if name == "font":
        children = tuple(sorted(children, key=lambda child: _FONT_ORDER.index(child[0])))
    inside = b"".join(written(child, prefix) for child in children)
    return b"<%b>%b</%b>" % (tag.encode(), inside, (prefix + name).encode())


_FIRST: dict[str, tuple[Shape, ...]] = {
    "fonts": (
        (
            "font",
            (),
            (
                ("sz", (("val", "11"),), ()),
                ("color", (("theme", "1"),), ()),
                ("name", (("val", "Calibri"),), ()),
            ),
        ),
    ),
    "fills": tuple(
        ("fill", (), (("patternFill", (("patternType", kind),), ()),)) for kind in ("none", "gray125")
    ),
    "borders": (("border", (), ()),),
    "cellXfs": (("xf", (("borderId", "0"), ("fillId", "0"), ("fontId", "0"), ("numFmtId", "0")), ()),),
}
"""What the first entries of a list must be where the office's book does not have the list."""


_ON = frozenset({"b", "i", "strike", "outline", "shadow", "condense", "extend"})
_LINES = frozenset({"left", "right", "top", "bottom", "diagonal", "start", "end", "vertical", "horizontal"})
_WITHOUT_LOOK = frozenset({"family", "charset"})
_USUAL = {
    "alignment": {("horizontal", "general"), ("vertical", "bottom")},
    "u": {("val", "single")},
    "scheme": {("val", "none")},
    "protection": {("locked", "1")},
    "patternFill": {("patternType", "none")},
} | {name: {("style", "none")} for name in _LINES}
_MAY_BE_EMPTY = frozenset({"u", "font", "fill", "patternFill", "border", "xf", "dxf", "color"}) | _ON


def _same_look(shape: Shape) -> Shape | None:
    """Return an element in the one spelling that all elements of the same look share; ``None`` where it says nothing.

    The spreadsheet programs spell one style in many ways when they save a book, and our styles must be found again.
    """
    name, attributes, children = shape
    if name in _WITHOUT_LOOK:
        return None
    said = {(key, _plain(key, value)) for key, value in attributes} - _USUAL.get(name, set())
    if name in _ON:
        if ("val", "0") in said:
            return None
        said.discard(("val", "1"))
    elif name in ("alignment", "protection", "border"):
        said = {(key, value) for key, value in said if value != "0"}
    elif name == "xf":
        said = {
            (key, value)
            for key, value in said
            if (key not in ("pivotButton", "quotePrefix") or value != "0")
            and (not key.startswith("apply") or value == "0")
            and key != "applyProtection"
        }
    inside = [child for child in map(_same_look, children) if child is not None]
    if ("patternType", "solid") in said:
        inside = [child for child in inside if child != ("bgColor", (("indexed", "64"),), ())]
    if not said and not inside and name not in _MAY_BE_EMPTY:
        return None
    return name, tuple(sorted(said)), tuple(sorted(inside))


def _plain(key: str, value: str) -> str:
    if key == "rgb":
        return value[-6:].upper()
    return {"true": "1", "false": "0"}.get(value, value)


class _Section:
    """One list of the styles part, read once, to which entries are added."""

    def __init__(self, styles: Document, name: str, entry: str) -> None:
        self.styles, self.name = styles, name
        self.node = styles.root.find(name)
        self.known: dict[Shape | None, int] = {}
        self.count = 0
        for child in self.node.all(entry) if self.node else ():
            self.known.setdefault(_same_look(shape_of(child)), self.count)
            self.count += 1
        self.new: list[Shape] = []
        if self.count == 0:
            for shape in _FIRST.get(name, ()):
                self._add(shape)
            self.base = list(self.new)
        else:
            self.base = []

    def number(self, shape: Shape) -> int:
        """Return the number of an entry, which is added where the list does not hold it."""
        found = self.known.get(_same_look(shape))
        return self._add(shape) if found is None else found

    def _add(self, shape: Shape) -> int:
        self.known[_same_look(shape)] = self.count
        self.new.append(shape)
        self.count += 1
        return self.count - 1

    def write(self) -> None:
        """Note what was added in the part."""
        if len(self.new) == len(self.base):
            return
        root = self.styles.root
        entries = b"".join(written(shape, root.prefix) for shape in self.new)
        if self.node is not None:
            self.node.append(entries)
            self.node.set("count", str(self.count))
            return
        name = (root.prefix + self.name).encode()
        section = b'<%b count="%d">%b</%b>' % (name, self.count, entries, name)
        later = _ORDER[_ORDER.index(self.name) + 1 :]
        follower = next((child for child in root.children if child.local in later), None)
        if follower is None:
            root.append(section)
        else:
            follower.before.append(section)


class StyleGraft:
    """Numbers that the styles of a book of result sheets have in the office's book.

    An entry that the office's book already holds is used again, so that a second run adds nothing.

    Parameters
    ----------
    office
        Styles part of the office's book.
    ours
        Styles part of the book of result sheets.
    """

    def __init__(self, office: bytes, ours: bytes) -> None:
        self._office = Document(office)
        root = Document(ours).root
        self._ours = {name: _entries(root, name) for name in _ORDER}
        self._formats = {node.get("numFmtId"): node.get("formatCode") for node in self._ours["numFmts"]}
        self._fonts = _Section(self._office, "fonts", "font")
        self._fills = _Section(self._office, "fills", "fill")
        self._borders = _Section(self._office, "borders", "border")
        self._cells = _Section(self._office, "cellXfs", "xf")
        self._differences = _Section(self._office, "dxfs", "dxf")
        self._codes = _Section(self._office, "numFmts", "numFmt")
        self._code_numbers: dict[str, str] = {}
        for node in _entries(self._office.root, "numFmts"):
            self._code_numbers.setdefault(node.get("formatCode"), node.get("numFmtId", "0"))
        self._normal = _normal(self._office.root)
        self._cell_numbers: dict[int, int] = {0: 0}
        self._difference_numbers: dict[int, int] = {}

    def cell(self, number: int) -> int:
        """Return the office's number of one of our cell formats; 0, no format at all, stays 0."""
        if number not in self._cell_numbers:
            self._cell_numbers[number] = self._cells.number(self._cell_shape(self._ours["cellXfs"][number]))
        return self._cell_numbers[number]

    def difference(self, number: int) -> int:
        """Return the office's number of one of our differential formats."""
        if number not in self._difference_numbers:
            shape = shape_of(self._ours["dxfs"][number])
            self._difference_numbers[number] = self._differences.number(shape)
        return self._difference_numbers[number]

    def changed(self) -> bytes:
        """Return the office's styles part with what was asked for added.

        Raises
        ------
        BookUnwritable
            The book would hold more cell formats than the programs can open.
        """
        if self._cells.count > _MOST_CELL_FORMATS:
            raise BookUnwritable(
                f"The book holds {self._cells.count:,} cell formats, more than a spreadsheet program opens with the "
                "result sheets added. It was left as it is. Copy the sheets into a new book, which drops formats "
                "that nothing uses, and run again."
            )
        sections = (
            self._codes,
            self._fonts,
            self._fills,
            self._borders,
            self._cells,
            self._differences,
        )
        for section in sections:
            section.write()
        return self._office.changed()

    def _cell_shape(self, node: Node) -> Shape:
        attributes = {
            "numFmtId": self._code(node.get("numFmtId", "0")),
            "fontId": str(self._fonts.number(shape_of(self._ours["fonts"][int(node.get("fontId", "0"))]))),
            "fillId": str(self._fills.number(shape_of(self._ours["fills"][int(node.get("fillId", "0"))]))),
            "borderId": str(
                self._borders.number(shape_of(self._ours["borders"][int(node.get("borderId", "0"))]))
            ),
            **{f"apply{what}": "1" for what in ("NumberFormat", "Font", "Fill", "Border", "Alignment")},
        }
        if self._normal is not None:
            attributes["xfId"] = self._normal
        if node.get("quotePrefix") in ("1", "true"):
            attributes["quotePrefix"] = "1"
        return "xf", tuple(sorted(attributes.items())), tuple(shape_of(n) for n in node.all("alignment"))

    def _code(self, number: str) -> str:
        code = self._formats.get(number)
        if code is None:
            return number if int(number) in BUILTIN_FORMATS else "0"
        if code not in self._code_numbers:
            taken = (int(known) for known in self._code_numbers.values())
            free = str(max([_OWN_FORMATS_FROM - 1, *taken]) + 1)
            self._code_numbers[code] = free
            self._codes.number(("numFmt", (("formatCode", code), ("numFmtId", free)), ()))
        return self._code_numbers[code]


def _entries(root: Node, name: str) -> list[Node]:
    section = root.find(name)
    return section.children if section else []


def _normal(root: Node) -> str | None:
    """Return the number of the style ``Normal``, or ``None`` where the book has no styles of cells."""
    if not _entries(root, "cellStyleXfs"):
        return None
    styles: Iterable[Node] = _entries(root, "cellStyles")
    return next((node.get("xfId", "0") for node in styles if node.get("builtinId") == "0"), "0")
