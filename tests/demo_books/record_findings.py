"""Records what each demo book gives when it is run: ``python tests/demo_books/record_findings.py``.

The records are no proof. They show which findings a change of the engine adds, moves or removes; read the
difference before you commit it. What a demo is there to show is asserted by hand in the tests beside this file.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from sheetengine.demos import DEMOS, Demo, demo_file
from sheetengine.exceptions import InputFaults
from sheetengine.findings import Finding
from sheetengine.job import Results
from sheetengine.run import calculate, read_book

HERE = Path(__file__).parent
Record = dict[str, Any]


def record_file(demo: Demo) -> Path:
    """Return the file that holds the record of a demo."""
    return HERE / f"{Path(demo.file).stem}_findings.toml"


def verdict_counts(results: Results) -> dict[str, dict[str, int]]:
    """Return how often each verdict stands in each result sheet."""
    return {
        name: dict(sorted(Counter(frame["Verdict"].tolist()).items()))
        for name, frame in results.frames.items()
        if "Verdict" in frame.columns
    }


def as_record(findings: Sequence[Finding]) -> list[dict[str, str]]:
    """Return what is recorded of each finding, in a lasting order."""
    rows = [
        {"flag": f.identifier, "code": f.code.value, "cell": str(f.at), "level": f.level.value}
        for f in findings
    ]
    return sorted(rows, key=lambda row: (row["level"], row["cell"], row["flag"]))


def run_demo(demo: Demo) -> Record:
    """Run a demo book and return what is recorded of it."""
    try:
        results = calculate(read_book(demo_file(demo)))
    except InputFaults as faults:
        return {"verdicts": {}, "finding": as_record(faults.findings)}
    return {"verdicts": verdict_counts(results), "finding": as_record(results.findings)}


def recorded(demo: Demo) -> Record:
    """Return the record of a demo as it stands in its file."""
    return tomllib.loads(record_file(demo).read_text(encoding="utf-8"))


def as_toml(record: Record) -> str:
    """Return a record as the text of its file."""
    lines = ["# A record of the engine's own output, not a proof. Written by record_findings.py."]
    for sheet, counts in record["verdicts"].items():
        lines += [
            "",
            f'[verdicts."{sheet}"]',
            *(f'"{verdict}" = {count}' for verdict, count in counts.items()),
        ]
    if not record["verdicts"]:
        lines += ["", "[verdicts]"]
    for finding in record["finding"]:
        lines += ["", "[[finding]]", *(f'{name} = "{value}"' for name, value in finding.items())]
    return "\n".join(lines) + "\n"


def main() -> None:
    """Write the record of every demo."""
    for demo in DEMOS:
        record_file(demo).write_text(as_toml(run_demo(demo)), encoding="utf-8")
        print(record_file(demo))


if __name__ == "__main__":
    main()
