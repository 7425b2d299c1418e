"""How wide texts are, in the widest letters that a machine may put in the place of ours, and where their lines end."""

from __future__ import annotations

POINTS = 72.0 / 25.4
"""Of a millimetre."""
_BOLD = 1.14
"""How much wider bold letters are."""
_NARROW_LETTERS = frozenset("ijltfr.,:;|!'`()[]{}/\\-· ")
_WIDE_LETTERS = frozenset("mwMW@%—…&")


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Return about how wide a text is, in mm, in the widest letters that a machine may put in the place of ours.

    >>> text_width("", 9.0)
    0.0
    >>> text_width("illi", 9.0) < text_width("nooo", 9.0) < text_width("WWWW", 9.0)
    True
    """
    ems = 0.0
    for letter in text:
        if letter in _NARROW_LETTERS:
            ems += 0.36
        elif letter in _WIDE_LETTERS:
            ems += 0.95
        elif letter.isdigit():
            ems += 0.64
        elif letter.isupper() or ord(letter) > 0x2000:
            ems += 0.70
        else:
            ems += 0.61
    return ems * size / POINTS * (_BOLD if bold else 1.0)


def wrapped(text: str, width: float, size: float, *, bold: bool = False) -> list[str]:
    """Return a text as lines that are no wider than ``width`` mm; words wider than that are cut.

    >>> wrapped("one two", 100.0, 9.0), wrapped("one two", 8.0, 9.0)
    (['one two'], ['one', 'two'])
    >>> "".join(wrapped("x" * 50, 20.0, 9.0)) == "x" * 50
    True
    """
    lines = []
    for paragraph in text.split("\n"):
        line = ""
        for word in paragraph.split():
            rest = word
            tried = f"{line} {rest}" if line else rest
            if text_width(tried, size, bold=bold) <= width:
                line = tried
                continue
            if line:
                lines.append(line)
            while text_width(rest, size, bold=bold) > width and len(rest) > 1:
                cut = next(
                    n
                    for n in range(len(rest) - 1, 0, -1)
                    if n == 1 or text_width(rest[:n], size, bold=bold) <= width
                )
                lines.append(rest[:cut])
                rest = rest[cut:]
            line = rest
        lines.append(line)
    return lines
