"""The few ways in which the engine cannot go on."""

from __future__ import annotations

from sheetengine.findings import Finding, in_order


class SheetEngineError(Exception):
    """Base of every error the engine raises on purpose."""


class InputFaults(SheetEngineError):
    """The inputs cannot be used; ``findings`` lists every fault of the book."""

    def __init__(self, findings: list[Finding]) -> None:
        self.findings = in_order(findings)
        super().__init__("\n".join(str(finding) for finding in self.findings))


class BookUnreadable(SheetEngineError):
    """The file could not be read as a workbook; the message says why and what to do."""


class BookUnwritable(SheetEngineError):
    """The file could not be written; it is as it was."""


class LossNotAccepted(BookUnwritable):
    """Saving would lose or rewrite parts of the office's book; ``parts`` names them."""

    def __init__(self, parts: list[str]) -> None:
        self.parts = parts
        listed = "\n".join(f"  {part}" for part in parts)
        super().__init__(
            "Saving this book would lose or rewrite the parts below, so nothing was written.\n"
            f"{listed}\n"
            "Write to a copy with --out FILE --accept-loss, or run on the book itself with --accept-loss "
            "once you have decided that these parts may go."
        )
