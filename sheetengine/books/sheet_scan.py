"""What the table reader does not tell of a sheet: formulas without a cached value, errors, and stray cells far off."""

from __future__ import annotations

import codecs
import re
from collections.abc import Sequence
from xml.etree import ElementTree

from sheetengine.books.parts import local
from sheetengine.cells import column_letters, column_number

Place = tuple[int, int]
"""Row and column, from 1."""

_ODD_CELL = re.compile(rb'<c(?! r="[A-Z]+[1-9][0-9]*")[\s/>]')
_LETTERS = re.compile(rb'<c r="([A-Z]+)')
_WIDE_SHEETS = ((26, re.compile(rb'<c r="[A-Z]{2}')), (702, re.compile(rb'<c r="[A-Z]{3}')))
"""Greatest width of a sheet where the pattern is not found in it."""
_CELL = re.compile(rb'<c r="([A-Z]+)([0-9]+)"([^>]*?)(/>|>.*?</c>)', re.DOTALL)
_ERROR = re.compile(rb'<c r="([A-Z]+)([0-9]+)"[^>]*?\st=["\']e["\'][^>/]*>(.*?)</c>', re.DOTALL)
_KNOWN_ERRORS = frozenset({b"#NULL!", b"#DIV/0!", b"#VALUE!", b"#REF!", b"#NAME?", b"#NUM!", b"#N/A"})
"""Error values of ISO/IEC 29500-1, 18.18.11; younger programs write more, such as #SPILL! and #CALC!."""
_VALUE = re.compile(rb"<v[^>]*>([^<]*)</v>")
_UNCACHED = re.compile(
    rb'<c r="([A-Z]+)([0-9]+)"([^>]*)>\s*<f(?:\s[^>]*)?(?:/>|>[^<]*</f>)\s*'
    rb"(</c>|<v(?:\s[^>]*)?(?:/>|></v>))"
)
_FORMULA_TEXT = re.compile(rb"\st=[\"']str[\"']")
_NEGATIVE = re.compile(
    rb'<c r="([A-Z]+)([0-9]+)"[^>]*>\s*(?:<f(?:\s[^>]*)?(?:/>|>[^<]*</f>)\s*)?<v(?:\s[^>]*)?>\s*(-[^<]*)</v>'
)
_VAST = re.compile(
    rb'(<c r="[A-Z]+[0-9]+"[^>]*?)\ss=["\'][0-9]+["\']([^>]*>(?:\s*<f(?:\s[^>]*)?(?:/>|>[^<]*</f>))?\s*'
    rb"<v[^>]*>-?(?:[0-9]{9,}|[0-9.]+[eE]\+?[0-9]+))"
)
"""A number under a cell format, at or beyond 1e8 or with an exponent: as a date or a duration beyond every calendar."""

_DIMENSION = re.compile(rb"<dimension[^>]*?(?:/>|>[^<]*</dimension>)")
_WIDE = 64
_SPARSE_AREA = 2_000_000
_SPARSE_TIMES = 16


def plain_xml(xml: bytes) -> bytes:
    """Return the XML of a sheet in the spelling that the searches below rely on.

    UTF-8, elements without prefix, no comment, no marked section, and every cell with its address first. Almost every
    program writes so already.
    """
    start = re.search(rb"<(?:([\w.-]+):)?worksheet[\s>]", xml[:100_000])
    if start is None or _is_odd(xml):
        return _spelled_anew(xml)
    if start[1]:
        xml = xml.replace(b"<" + start[1] + b":", b"<").replace(b"</" + start[1] + b":", b"</")
    return _spelled_anew(xml) if _ODD_CELL.search(xml) else xml


def without_dimension(xml: bytes) -> bytes:
    """Return the sheet without what it says of its used range, which need not be true."""
    start = xml.find(b"<dimension", 0, max(xml.find(b"<sheetData"), 0))
    return xml if start < 0 else xml[:start] + _DIMENSION.sub(b"", xml[start:], count=1)


def plain_part(xml: bytes) -> bytes:
    """Return the XML of texts or formats in UTF-8, without prefix, comment or marked section where it held one."""
    if not _is_odd(xml):
        return xml
    spelled: bytes = ElementTree.tostring(_without_prefixes(xml), encoding="utf-8")
    return spelled


def _is_odd(xml: bytes) -> bool:
    """Return whether a part is in another encoding than UTF-8, or holds comments or marked sections."""
    said = re.match(rb'<\?xml[^>]*?encoding=["\']([\w.-]+)', xml[:200].removeprefix(codecs.BOM_UTF8))
    encoded = said is not None and said[1].lower() not in (b"utf-8", b"us-ascii", b"ascii")
    return (
        encoded
        or b"\0" in xml[:4]
        or xml.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
        or b"<!" in xml
    )


def _without_prefixes(xml: bytes) -> ElementTree.Element:
    root = ElementTree.fromstring(xml)
    for node in root.iter():
        node.tag = local(node.tag)
    return root


def _spelled_anew(xml: bytes) -> bytes:
    root = _without_prefixes(xml)
    row = 0
    for node in root.iterfind("sheetData/row"):
        row = int(node.get("r") or row + 1)
        column = 0
        for cell in node.iterfind("c"):
            letters = (cell.get("r") or "").rstrip("0123456789").replace("$", "").upper()
            column = column_number(letters) if letters else column + 1
            others = {key: value for key, value in cell.attrib.items() if key != "r"}
            cell.attrib.clear()
            cell.attrib.update({"r": f"{column_letters(column)}{row}", **others})
    spelled: bytes = ElementTree.tostring(root, encoding="utf-8")
    return spelled


def _place(letters: bytes, digits: bytes) -> Place:
    return int(digits), column_number(letters.decode())


_HIDDEN = re.compile(rb"""\shidden=["'](?:1|true)["']""")
_ROW_START = re.compile(rb'<row\s[^>]*?\br="([0-9]+)"[^>]*>')
_COLUMNS = re.compile(rb"<col\s[^>]*>")
_SPAN = {name: re.compile(rb"\s" + name + rb"""=["']([0-9]+)["']""") for name in (b"min", b"max")}


def hidden_rows(xml: bytes) -> frozenset[int]:
    """Return the rows that are not shown, in a sheet as :func:`plain_xml` gives it; rows without a number are passed over."""
    if not _HIDDEN.search(xml):
        return frozenset()
    return frozenset(int(row[1]) for row in _ROW_START.finditer(xml) if _HIDDEN.search(row[0]))


def hidden_columns(xml: bytes) -> frozenset[int]:
    """Return the columns that are not shown."""
    found: set[int] = set()
    for column in _COLUMNS.findall(xml):
        if _HIDDEN.search(column):
            ends = [pattern.search(column) for pattern in _SPAN.values()]
            if all(ends):
                first, last = (int(end[1]) for end in ends if end)
                found.update(range(first, min(last, 16_384) + 1))
    return frozenset(found)


def uncached(xml: bytes) -> frozenset[Place]:
    """Return the places of formulas without a cached value, in a sheet as :func:`plain_xml` gives it."""
    return frozenset(
        _place(letters, digits)
        for letters, digits, attributes, tail in _UNCACHED.findall(xml)
        if tail == b"</c>" or not _FORMULA_TEXT.search(attributes)
    )


def errors(xml: bytes) -> dict[Place, str]:
    """Return places and texts of error values, in a sheet as :func:`plain_xml` gives it."""
    if b't="e"' not in xml and b"t='e'" not in xml:
        return {}
    found = {}
    for letters, digits, content in _ERROR.findall(xml):
        text = _VALUE.search(content)
        found[_place(letters, digits)] = text[1].decode() if text else ""
    return found


def with_known_errors(xml: bytes) -> bytes:
    """Return the sheet with error values younger than ISO/IEC 29500 in the spelling of an old one.

    The table reader knows only the old ones; :func:`errors` has taken the true text before.
    """

    def spelled(cell: re.Match[bytes]) -> bytes:
        return _VALUE.sub(lambda value: value[0] if value[1] in _KNOWN_ERRORS else b"<v>#VALUE!</v>", cell[0])

    return _ERROR.sub(spelled, xml)


def negatives(xml: bytes) -> dict[Place, bytes]:
    """Return places and digits of values with a minus before them, in a sheet as :func:`plain_xml` gives it."""
    if b">-" not in xml:
        return {}
    return {_place(letters, digits): value for letters, digits, value in _NEGATIVE.findall(xml)}


def without_vast_dates(xml: bytes) -> bytes:
    """Return the sheet with vast numbers under no format, so that none is taken for a date or a duration."""
    return _VAST.sub(rb"\1\2", xml)


def is_sparse(xml: bytes) -> bool:
    """Return whether the rectangle around the cells is large, and hardly filled."""
    last = _last_row(xml)
    if last * 16384 <= _SPARSE_AREA:
        return False
    filled = xml.count(b"</v>") + xml.count(b"</is>")
    bearable = max(_SPARSE_AREA, _SPARSE_TIMES * filled)
    if any(last * most <= bearable and not wider.search(xml) for most, wider in _WIDE_SHEETS):
        return False
    width = max(map(column_number, {found[1].decode() for found in _LETTERS.finditer(xml)}), default=0)
    return last * width > bearable


def _last_row(xml: bytes) -> int:
    value = max(xml.rfind(b"</v>"), xml.rfind(b"</is>"))
    cell = xml.rfind(b'<c r="', 0, max(value, 0))
    found = _CELL.match(xml, cell) if cell >= 0 else None
    return int(found[2]) if found else 0


def pushed_together(xml: bytes) -> tuple[bytes, Sequence[Place]]:
    """Return the sheet with its cells side by side in a small block, and the place that each came from.

    Cell number ``n``, from 0, stands in row ``n // 64 + 1`` and column ``n % 64 + 1`` of the block.
    """
    places: list[Place] = []
    pieces: list[bytes] = []
    for letters, digits, attributes, content in _CELL.findall(xml):
        if b"</v>" not in content and b"</is>" not in content:
            continue
        row, column = divmod(len(places), _WIDE)
        places.append(_place(letters, digits))
        if column == 0:
            pieces.append(b'</row><row r="%d">' % (row + 1) if row else b'<row r="1">')
        pieces.append(
            b'<c r="%b%d"%b%b' % (column_letters(column + 1).encode(), row + 1, attributes, content)
        )
    head, tail = xml.find(b"<sheetData"), xml.find(b"</sheetData>")
    body = b"".join([*pieces, b"</row>"]) if pieces else b""
    return b"".join((xml[:head], b"<sheetData>", body, xml[tail:])), places


def spread(block: Sequence[Sequence[object]], places: Sequence[Place]) -> list[list[object]]:
    """Return rows from A1 on, with the cells of the block where they came from."""
    rows: list[list[object]] = [[] for _ in range(max((row for row, _ in places), default=0))]
    for number, (row, column) in enumerate(places):
        at, across = divmod(number, _WIDE)
        value = block[at][across] if at < len(block) and across < len(block[at]) else ""
        if value != "":
            cells = rows[row - 1]
            cells.extend([""] * (column - len(cells)))
            cells[column - 1] = value
    return rows
