"""How a sheet is declared: headings, kinds, units, keys, lists and notes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from sheetengine.units import MEASURES, Measure


class Kind(Enum):
    """What the cells under a heading hold."""

    NUMBER = "number"
    TEXT = "text"
    CHOICE = "one of a list"
    YES_NO = "yes or no"
    MOMENT = "date and time"
    KEY = "name"
    """A name that identifies the row, alone or with others; number or text."""
    REFERENCE = "name from another sheet"
    AMOUNT_OR_TEXT = "number or text"


def plain(text: str) -> str:
    """Return a heading's name with letter case and spacing forgiven.

    >>> plain("  Anchors  per Unit ")
    'anchors per unit'
    """
    return re.sub(r"\s+", " ", text.replace("\u00a0", " ")).strip().casefold()


@dataclass(frozen=True, slots=True)
class Heading:
    """One column of an input sheet.

    Attributes
    ----------
    name
        Heading without its unit.
    key
        Name of the column inside the engine.
    kind
        What its cells hold.
    meaning
        What the column means; the note on the heading cell and the guide say this.
    measure
        Name of the measure of a number, see :data:`sheetengine.units.MEASURES`.
    required
        The sheet cannot be used without the heading, nor a row without a value.
    default
        Value, in the base unit, of a blank cell; ``None``: a blank stays blank.
    default_text
        What the run record says of a blank; needed where a blank means something.
    choices
        The list of a ``CHOICE``.
    refers
        Sheet and heading key that a ``REFERENCE`` must be found in.
    at_least, above, at_most
        Bounds, in the base unit, beyond which a number is impossible: a fault.
    likely
        Band, in the base unit, outside which a number is questioned: a flag.
    width
        Column width in characters.
    """

    name: str
    key: str
    kind: Kind
    meaning: str
    measure_name: str = "number"
    required: bool = False
    default: float | str | None = None
    default_text: str = ""
    choices: tuple[str, ...] = ()
    refers: tuple[str, str] | None = None
    at_least: float = -np.inf
    above: float = -np.inf
    at_most: float = np.inf
    likely: tuple[float, float] | None = None
    whole: bool = False
    width: float = 12.0

    @property
    def measure(self) -> Measure:
        """The measure of a numeric column."""
        return MEASURES[self.measure_name]

    @property
    def is_numeric(self) -> bool:
        """Whether the column is stored as numbers."""
        return self.kind in (Kind.NUMBER, Kind.YES_NO, Kind.MOMENT)

    def title(self, us: bool) -> str:
        """Return the heading as a template writes it, with the unit in brackets."""
        unit = (self.measure.us if us else self.measure.metric) if self.kind is Kind.NUMBER else ""
        return f"{self.name} [{unit}]" if unit else self.name


def of_lift(meaning: str, lift: str = "Lift of that block.") -> tuple[Heading, Heading]:
    """Return the headings Block and Lift of a sheet whose rows belong to lifts, with the meanings of both."""
    return (
        Heading("Block", "block", Kind.KEY, meaning, required=True, width=9),
        Heading("Lift", "lift", Kind.KEY, lift, required=True, width=7),
    )


@dataclass(frozen=True, slots=True)
class SheetDeclaration:
    """One input sheet: its purpose, headings, and what makes a row unique."""

    name: str
    purpose: str
    headings: tuple[Heading, ...]
    keys: tuple[str, ...]
    required: bool = False

    def heading(self, key: str) -> Heading:
        """Return the heading with the key.

        Raises
        ------
        KeyError
            The sheet has no such heading.
        """
        for heading in self.headings:
            if heading.key == key:
                return heading
        raise KeyError(f"{self.name} has no heading {key}")

    @property
    def bold(self) -> tuple[Heading, ...]:
        """The headings that a heading row must hold."""
        return tuple(heading for heading in self.headings if heading.required)


@dataclass(frozen=True, slots=True)
class ItemDeclaration:
    """One line of the ``Job`` sheet."""

    name: str
    kind: Kind
    meaning: str
    measure_name: str = "number"
    required: bool = False
    default: float | str | None = None
    default_text: str = ""
    choices: tuple[str, ...] = ()
    at_least: float = -np.inf
    above: float = -np.inf
    at_most: float = np.inf

    @property
    def measure(self) -> Measure:
        """The measure of a numeric item."""
        return MEASURES[self.measure_name]

    def unit(self, us: bool) -> str:
        """Return the unit a template writes for the item."""
        if self.kind is not Kind.NUMBER:
            return ""
        return self.measure.us if us else self.measure.metric


def nearest(name: str, among: Sequence[str]) -> str | None:
    """Return the text of ``among`` that ``name`` was probably meant to be, if any is near.

    >>> nearest("Heigth", ["Height", "Mix"])
    'Height'
    """
    from difflib import get_close_matches  # noqa: PLC0415 - used only when a message is worded

    by_plain = {plain(text): text for text in among}
    close = get_close_matches(plain(name), list(by_plain), n=1, cutoff=0.72)
    return by_plain[close[0]] if close else None
