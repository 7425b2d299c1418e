"""Colours, fonts and borders of all sheets: indigo, ochre, plum and slate on warm paper.

A state is always a word. Its look only repeats the word, and does so three times over: by lightness, so that it
reads in grey print and without colour vision; by the cut of the letters; and by the line round the cell.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from openpyxl.styles import Alignment, Border, Color, Font, PatternFill, Side
from openpyxl.styles.differential import DifferentialStyle

INK = "262430"
FAINT_INK = "5A5666"
PAPER = "FBF8F1"
SAND = "EDE6D6"
SAND_LINE = "B9AE97"
HAIRLINE = "DCD5C6"
INDIGO = "2B2C66"
INDIGO_MIST = "DDDCEA"
OCHRE = "D9AE4C"
OCHRE_MIST = "F6EBCF"
PLUM = "74416F"
PLUM_MIST = "EBDDE9"
SLATE = "46525E"
SLATE_MIST = "DDE3E8"
WHITE = "FFFFFF"

BODY_FONT = "Calibri"
TITLE_FONT = "Cambria"


@dataclass(frozen=True, slots=True)
class StateLook:
    """How a verdict or a level looks, and the light mark that it lends to the keys of its row."""

    fill: str
    text: str
    bold: bool = False
    italic: bool = False
    underline: bool = False
    line: Any = ""
    """Kind of line round the cell; only thin kinds show in a conditional format."""
    hatch: Any = ""
    """Kind of hatch, drawn in ``hatch_colour`` over the fill where the program draws hatches."""
    hatch_colour: str = ""
    mark: str = ""
    """Fill of the row's keys."""


STATES = {
    "Within": StateLook(PAPER, INK),
    "Near limit": StateLook(OCHRE, INK, bold=True, line="thin", mark=OCHRE_MIST),
    "Exceeds": StateLook(INDIGO, WHITE, bold=True, underline=True, line="thin", mark=INDIGO_MIST),
    "Outside scope": StateLook(
        PLUM,
        WHITE,
        bold=True,
        italic=True,
        line="dashed",
        hatch="lightUp",
        hatch_colour="8B5A86",
        mark=PLUM_MIST,
    ),
    "Not computed": StateLook(
        SLATE_MIST,
        SLATE,
        italic=True,
        line="dotted",
        hatch="lightGray",
        hatch_colour="C6CFD6",
        mark=SLATE_MIST,
    ),
    "Input fault": StateLook(
        PLUM,
        WHITE,
        bold=True,
        italic=True,
        line="dashed",
        hatch="lightUp",
        hatch_colour="8B5A86",
        mark=PLUM_MIST,
    ),
    "Blocks issue": StateLook(INDIGO, WHITE, bold=True, underline=True, line="thin", mark=INDIGO_MIST),
    "Needs acceptance": StateLook(OCHRE, INK, bold=True, line="thin", mark=OCHRE_MIST),
    "For information": StateLook(SLATE_MIST, SLATE, italic=True, line="dotted"),
}
"""Verdicts, then levels of flags."""

VERDICTS = ("Within", "Near limit", "Exceeds", "Outside scope", "Not computed")
LEVELS = ("Input fault", "Blocks issue", "Needs acceptance", "For information")

CURVE_COLOURS = (INDIGO, "A87412", PLUM, "4F7C8A", "8A5A3C", SLATE)
CURVE_DASHES = ("solid", "dash", "sysDot", "dashDot", "lgDash", "lgDashDotDot")
CURVE_MARKS = ("circle", "diamond", "square", "triangle", "x", "plus")
LIMIT_COLOUR = "8C2F5B"
GRIDLINE = "E4DED2"

TAB_INPUT = OCHRE
TAB_OPTIONAL = SAND_LINE
TAB_RESULT = INDIGO
TAB_GUIDE = SLATE


def solid(colour: str) -> PatternFill:
    """Return a plain fill."""
    return PatternFill("solid", fgColor=colour)


def side(style: Any, colour: str) -> Side:
    """Return one line of a border."""
    return Side(style=style, color=colour)


def box(style: Any, colour: str) -> Border:
    """Return the same line on all four sides."""
    line = side(style, colour)
    return Border(left=line, right=line, top=line, bottom=line)


TITLE = Font(name=TITLE_FONT, size=17, bold=True, color=INDIGO)
SUBTITLE = Font(name=TITLE_FONT, size=12, bold=True, color=INDIGO)
BODY = Font(name=BODY_FONT, size=10, color=INK)
FAINT = Font(name=BODY_FONT, size=10, italic=True, color=FAINT_INK)
STRONG = Font(name=BODY_FONT, size=10, bold=True, color=INK)
HEADING = Font(name=BODY_FONT, size=10, bold=True, color=INK)
LIGHT_HEADING = Font(name=BODY_FONT, size=10, color=INK)
BAND = Font(name=BODY_FONT, size=9, bold=True, color=WHITE)
LINKED = Font(name=BODY_FONT, size=10, underline="single", color=INDIGO)

HEADING_FILL = solid(SAND)
BAND_FILL = solid(SLATE)
ENTRY_FILL = solid(WHITE)
HEADING_BORDER = Border(bottom=side("medium", INDIGO), top=side("thin", SAND_LINE), left=side("thin", HAIRLINE),
                        right=side("thin", HAIRLINE))  # fmt: skip
REQUIRED_BORDER = Border(bottom=side("thick", INDIGO), top=side("thin", SAND_LINE), left=side("thin", HAIRLINE),
                         right=side("thin", HAIRLINE))  # fmt: skip
OPTIONAL_BORDER = Border(bottom=side("thin", SAND_LINE), top=side("thin", SAND_LINE), left=side("thin", HAIRLINE),
                         right=side("thin", HAIRLINE))  # fmt: skip
CELL_BORDER = box("hair", SAND_LINE)
ENTRY_BORDER = box("thin", SAND_LINE)
BAND_BORDER = box("thin", WHITE)

HEADING_PLACE = Alignment(horizontal="left", vertical="bottom", wrap_text=True)
TEXT_PLACE = Alignment(horizontal="left", vertical="top", wrap_text=True, indent=1)
LINE_PLACE = Alignment(horizontal="left", vertical="top")
NUMBER_PLACE = Alignment(horizontal="right", vertical="top")
CENTRE_PLACE = Alignment(horizontal="center", vertical="top")
BAND_PLACE = Alignment(horizontal="left", vertical="center")


def state_style(look: StateLook) -> DifferentialStyle:
    """Return the conditional style of a state's own cell."""
    if look.hatch:
        fill = PatternFill(look.hatch, fgColor=Color(look.hatch_colour), bgColor=Color(look.fill))
    else:
        fill = PatternFill("solid", fgColor=Color(look.fill), bgColor=Color(look.fill))
    font = Font(
        bold=look.bold, italic=look.italic, underline="single" if look.underline else None, color=look.text
    )
    border = box(look.line, look.text if look.text != WHITE else INK) if look.line else None
    return DifferentialStyle(font=font, fill=fill, border=border)


def mark_style(look: StateLook) -> DifferentialStyle:
    """Return the conditional style that a state lends to the keys of its row."""
    fill = PatternFill("solid", fgColor=Color(look.mark), bgColor=Color(look.mark))
    return DifferentialStyle(font=Font(bold=look.bold or None, italic=look.italic or None), fill=fill)


def flag_style() -> DifferentialStyle:
    """Return the conditional style of an input cell that the flags name: hatched, boxed, bold."""
    fill = PatternFill("lightUp", fgColor=Color("C79A3A"), bgColor=Color("F4E2B8"))
    return DifferentialStyle(font=Font(bold=True, color=INDIGO), fill=fill, border=box("dashed", INDIGO))


def ruled_style() -> DifferentialStyle:
    """Return the conditional style that rules the rows in use, so that blank rows do not print."""
    line = side("thin", HAIRLINE)
    return DifferentialStyle(border=Border(bottom=line, left=line, right=line))


def _linear(channel: int) -> float:
    share = channel / 255.0
    return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4


def luminance(colour: str) -> float:
    """Return the relative luminance of a colour (WCAG 2.1, definition of relative luminance).

    >>> luminance("FFFFFF"), luminance("000000")
    (1.0, 0.0)
    """
    red, green, blue = (_linear(int(colour[place : place + 2], 16)) for place in (0, 2, 4))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours (WCAG 2.1, definition of contrast ratio).

    >>> contrast("FFFFFF", "000000")
    21.0
    """
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)
