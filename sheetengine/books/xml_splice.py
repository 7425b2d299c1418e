"""Changes single places of an XML part and leaves every other byte of it as it stands.

A part is read once for the places of its elements. Changes are noted on the elements and spliced into the bytes, so
that prefixes, order, comments and extensions that are unknown here stay as the office's program wrote them.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.parsers import expat
from xml.sax.saxutils import escape

_DECLARED = re.compile(rb"""^<\?xml[^>]*?\bencoding\s*=\s*["']([\w.:-]+)["']""")
_START_TAG = re.compile(rb"""<[^>"']*(?:"[^"]*"[^>"']*|'[^']*'[^>"']*)*>""")
_ATTRIBUTE = re.compile(rb"""\s([^\s=>"'/]+)\s*=\s*(?:"[^"]*"|'[^']*')""")

Edit = tuple[int, int, bytes]


@dataclass(slots=True, eq=False)
class Node:
    """An element: where it stands in the part, and what is to become of it."""

    name: str
    attributes: dict[str, str]
    begin: int
    """Place of its first byte."""
    inside: int
    """Place after its start tag."""
    close: int = 0
    """Place of its end tag; ``inside`` where the element is empty and has none."""
    end: int = 0
    """Place after its last byte."""
    empty: bool = False
    children: list[Node] = field(default_factory=list)
    text: str = ""
    """Its own text, without that of its children."""
    before: list[bytes] = field(default_factory=list)
    tail: list[bytes] = field(default_factory=list)
    changes: dict[str, str] = field(default_factory=dict)
    content: bytes | None = None
    removed: bool = False

    @property
    def local(self) -> str:
        """Name without the prefix."""
        return self.name.rpartition(":")[2]

    @property
    def prefix(self) -> str:
        """Prefix of the name with its colon, or nothing."""
        return self.name[: self.name.rfind(":") + 1]

    def get(self, name: str, default: str = "") -> str:
        """Return an attribute."""
        return self.attributes.get(name, default)

    def find(self, local: str) -> Node | None:
        """Return the first child of a name."""
        return next((child for child in self.children if child.local == local), None)

    def all(self, local: str) -> list[Node]:
        """Return the children of a name."""
        return [child for child in self.children if child.local == local]

    def set(self, name: str, value: str) -> None:
        """Give an attribute a value."""
        if self.attributes.get(name) != value:
            self.changes[name] = value

    def append(self, xml: bytes) -> None:
        """Put XML behind the children."""
        self.tail.append(xml)


class Document:
    """An XML part that is to be changed in places."""

    def __init__(self, part: bytes) -> None:
        self.bytes = as_utf8(part)
        self.root = _tree(self.bytes)

    def namespace(self, prefix: str = "") -> str:
        """Return the namespace that a prefix (with its colon) stands for at the root."""
        return self.root.get(f"xmlns:{prefix[:-1]}" if prefix else "xmlns")

    def raw(self, node: Node) -> bytes:
        """Return an element as it stands."""
        return self.bytes[node.begin : node.end]

    def changed(self) -> bytes:
        """Return the part with every change made."""
        pieces, at = [], 0
        for begin, end, xml in self._edits(self.root):
            pieces += [self.bytes[at:begin], xml]
            at = end
        return b"".join([*pieces, self.bytes[at:]])

    def _edits(self, node: Node) -> Iterator[Edit]:
        if node.before:
            yield node.begin, node.begin, b"".join(node.before)
        if node.removed:
            yield node.begin, node.end, b""
            return
        tail = b"".join(node.tail) if node.content is None else node.content + b"".join(node.tail)
        opened = node.empty and bool(tail)
        if node.changes or opened:
            yield node.begin, node.inside, self._start_tag(node, opened)
        if opened:
            yield node.inside, node.inside, tail + b"</" + node.name.encode() + b">"
        elif node.content is not None:
            yield node.inside, node.close, tail
        else:
            for child in node.children:
                yield from self._edits(child)
            if tail:
                yield node.close, node.close, tail

    def _start_tag(self, node: Node, opened: bool) -> bytes:
        tag = self.bytes[node.begin : node.inside]
        for name, value in node.changes.items():
            entry = f' {name}="{attribute(value)}"'.encode()
            stated = _ATTRIBUTE.finditer(
                tag
            )  # one after the other: a value may hold what reads as an attribute
            place = next((found for found in stated if found[1] == name.encode()), None)
            if place:
                tag = tag[: place.start()] + entry + tag[place.end() :]
            else:
                stop = len(tag) - (2 if node.empty else 1)
                tag = tag[:stop].rstrip() + entry + tag[stop:]
        return tag[:-2].rstrip() + b">" if opened else tag


def _tree(part: bytes) -> Node:
    parser = expat.ParserCreate()
    parser.buffer_text = True
    top = Node("", {}, 0, 0)
    open_nodes = [top]

    def start(name: str, attributes: dict[str, str]) -> None:
        begin = parser.CurrentByteIndex
        tag = _START_TAG.match(part, begin)
        inside = tag.end() if tag else begin
        node = Node(name, attributes, begin, inside, empty=part[inside - 2 : inside] == b"/>")
        open_nodes[-1].children.append(node)
        open_nodes.append(node)

    def end(_: str) -> None:
        node = open_nodes.pop()
        node.close = node.inside if node.empty else parser.CurrentByteIndex
        node.end = node.inside if node.empty else part.index(b">", node.close) + 1

    def text(letters: str) -> None:
        open_nodes[-1].text += letters

    parser.StartElementHandler, parser.EndElementHandler, parser.CharacterDataHandler = start, end, text
    parser.Parse(part, True)
    return top.children[0]


def as_utf8(part: bytes) -> bytes:
    """Return an XML part in UTF-8, whatever it was written in."""
    if part.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        text = part.decode("utf-16")
    elif part.startswith((b"<\0", b"\0<")):
        text = part.decode("utf-16-le" if part.startswith(b"<") else "utf-16-be")
    elif part.startswith(codecs.BOM_UTF8):
        return part[len(codecs.BOM_UTF8) :]
    else:
        declared = _DECLARED.match(part)
        if declared is None or declared[1].lower() in (b"utf-8", b"us-ascii", b"ascii"):
            return part
        text = part.decode(declared[1].decode())
    return re.sub(r"""(^<\?xml[^>]*?\bencoding\s*=\s*["'])[\w.:-]+""", r"\g<1>UTF-8", text).encode()


def attribute(text: str) -> str:
    """Return a text as it stands between the quotes of an attribute."""
    return escape(text, {'"': "&quot;", "\n": "&#10;", "\r": "&#13;", "\t": "&#9;"})
