"""The formulas of a sheet, with their cached values, from one pass over its XML."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from xml.parsers import expat

from sheetengine.cells import column_number


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula cell as stored: its text, and type and text of the cached value, ``None`` where it has none."""

    text: str
    kind: str
    cached: str | None


@dataclass(slots=True)
class SheetScan:
    """What one pass over a sheet part finds."""

    formulas: dict[tuple[int, int], Formula] = field(default_factory=dict)


def scan_sheet(xml: bytes) -> SheetScan:
    """Return the formulas in the XML of a sheet."""
    scan = SheetScan()
    reader = _Reader(scan)
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.ordered_attributes = False
    parser.StartElementHandler = reader.first_element(parser)
    parser.EndElementHandler = reader.end
    parser.Parse(xml, True)
    return scan


class _Reader:
    """Callbacks of one pass."""

    def __init__(self, scan: SheetScan) -> None:
        self.scan = scan
        self.columns: dict[str, int] = {}
        self.texts: list[str] = []
        self.row = self.column = 0
        self.kind = "n"
        self.formula: str | None = None
        self.value: str | None = None

    def first_element(self, parser: expat.XMLParserType) -> Callable[[str, dict[str, str]], None]:
        """Return the handler of the first element, which settles the prefix of all others."""

        def handler(tag: str, _: dict[str, str]) -> None:
            prefix = tag[: tag.rfind(":") + 1]
            self.cell_tag, self.value_tag, self.formula_tag = prefix + "c", prefix + "v", prefix + "f"
            self.row_tag = prefix + "row"
            self.parser = parser
            parser.StartElementHandler = self.start

        return handler

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """Take the start of an element."""
        if tag == self.cell_tag:
            self._start_cell(attributes)
        elif tag in (self.value_tag, self.formula_tag):
            self.texts.clear()
            self.parser.CharacterDataHandler = self.texts.append
        elif tag == self.row_tag:
            number = attributes.get("r")
            self.row = int(number) if number else self.row + 1
            self.column = 0

    def _start_cell(self, attributes: dict[str, str]) -> None:
        reference = attributes.get("r")
        if reference:
            letters = reference.rstrip("0123456789")
            column = self.columns.get(letters)
            if column is None:
                column = self.columns[letters] = column_number(letters)
            self.column = column
        else:
            self.column += 1
        self.kind = attributes.get("t", "n")
        self.formula = self.value = None

    def end(self, tag: str) -> None:
        """Take the end of an element."""
        if tag == self.value_tag:
            self.value = "".join(self.texts)
            self.parser.CharacterDataHandler = None
        elif tag == self.formula_tag:
            self.formula = "".join(self.texts)
            self.parser.CharacterDataHandler = None
        elif tag == self.cell_tag and self.formula is not None:
            blank = self.value is None or (self.value == "" and self.kind != "str")
            place = (self.row, self.column)
            self.scan.formulas[place] = Formula(self.formula, self.kind, None if blank else self.value)
