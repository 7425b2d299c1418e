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
