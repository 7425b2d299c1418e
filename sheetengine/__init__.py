"""Plans one-sided formwork on mass-concrete lifts from a workbook.

``read_book`` reads a workbook into a job, ``calculate`` computes it, ``write_results`` puts the results back.
"""

from sheetengine.exceptions import (
    BookUnreadable,
    BookUnwritable,
    InputFaults,
    SheetEngineError,
)
from sheetengine.findings import Code, Finding, Level
from sheetengine.job import Job, Results
from sheetengine.run import calculate, read_book, write_results

__all__ = [
    "BookUnreadable",
    "BookUnwritable",
    "Code",
    "Finding",
    "InputFaults",
    "Job",
    "Level",
    "Results",
    "SheetEngineError",
    "calculate",
    "read_book",
    "write_results",
]
