"""Where a formula or a figure comes from, and how it is known."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Known(Enum):
    """How the wording of a source came to be known."""

    TEXT = "read in the text"
    SECOND_SOURCE = "as reproduced in a second source"
    MEMORY = "from memory, to be confirmed in the licensed text"
    MECHANICS = "derived from statics or physics"
    PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Source:
    """Document with its edition, the place in it, and how it is known."""

    document: str
    place: str
    known: Known = Known.SECOND_SOURCE

    def __str__(self) -> str:
        """Return document and place in the one fixed wording: ``document, place``."""
        return f"{self.document}, {self.place}" if self.place else self.document
