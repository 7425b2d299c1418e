"""Write REGISTER.md: every formula, its source, and the published values it is tested against."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import sys
import tomllib
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

from support import Case, cases  # noqa: E402

import sheetengine.clauses  # noqa: E402

KINDS = ("read", "another program", "recomputed", "from memory")


def written(value: Any) -> str:
    """Return a value as it stands in the register."""
    if isinstance(value, list):
        return ", ".join(written(item) for item in value)
    return str(value)


def expected(published: Case) -> str:
    """Return the expected values of a case with their units."""
    parts = []
    for name, entry in published.expected.items():
        unit = "" if entry["unit"] in {"-", ""} else f" {entry['unit']}"
        parts.append(f"{name} = {written(entry['value'])}{unit}")
    return "; ".join(parts).replace("|", "/")


def formulas() -> dict[str, Any]:
    """Return every formula with a record, by ``module.function``."""
    found = {}
    for entry in pkgutil.walk_packages(sheetengine.clauses.__path__, "sheetengine.clauses."):
        module = importlib.import_module(entry.name)
        for name, member in inspect.getmembers(module, inspect.isfunction):
            if member.__module__ == module.__name__ and hasattr(member, "clause"):
                found[f"{entry.name.removeprefix('sheetengine.clauses.')}.{name}"] = member.clause
    return found


def table(heads: list[str], rows: list[list[str]]) -> list[str]:
    """Return the lines of a table."""
    lines = ["| " + " | ".join(heads) + " |", "|" + " --- |" * len(heads)]
    return lines + ["| " + " | ".join(row) + " |" for row in rows]


def register() -> str:
    """Return the text of the register."""
    published = cases()
    reasons = tomllib.loads((HERE / "without_case.toml").read_text(encoding="utf-8"))
    clauses = formulas()

    counts = []
    for kind in KINDS:
        of_kind = [case for case in published.values() if case.known == kind]
        independent = sum(case.values() for case in of_kind if case.independent)
        total = sum(case.values() for case in of_kind)
        counts.append([kind, str(len(of_kind)), str(total), str(independent)])

    by_formula, none = [], []
    for name, clause in clauses.items():
        source = f"{clause.source} ({clause.source.known.value})".replace("|", "/")
        against = [case for case in published.values() if name in case.clause]
        for case in against:
            yes = "yes" if case.independent else "no"
            by_formula.append([name, source, case.id, expected(case), f"{case.rel_tol:g}", case.known, yes])
        if not against:
            none.append([name, source, reasons.get(name, "")])
    elsewhere = [
        [", ".join(case.clause), case.id, f"{case.document}, {case.place}".replace("|", "/"), expected(case)]
        for case in published.values()
        if not any(name in clauses for name in case.clause)
    ]
    return "\n".join(
        [
            "# Register of published values",
            "",
            "Made by `make_register.py` from the case files beside it; do not edit.",
            "",
            "How a value is known: *read*, printed in a text that was read; *another program*, computed by an",
            "open-source program that is named and that this project has no part in; *recomputed*, the equation or",
            "the data were read and the value worked out from them; *from memory*, the equation, the constant or the",
            "table entry is held from memory and waits for the licensed text. *Independent*: the value was also",
            "reached a second way. Only the first two come from outside.",
            "",
            *table(["how known", "cases", "expected values", "of these independent"], counts),
            "",
            "## Formulas and their cases",
            "",
            *table(
                ["formula", "source", "case", "expected", "relative tolerance", "how known", "independent"],
                by_formula,
            ),
            "",
            "## Cases of rules and tables that are no formulas",
            "",
            *table(["function", "case", "source", "expected"], elsewhere),
            "",
            "## Formulas without a published case",
            "",
            *table(["formula", "source", "why, and what it is tested against instead"], none),
            "",
        ]
    )


if __name__ == "__main__":
    if "--print" in sys.argv:
        sys.stdout.buffer.write(register().encode("utf-8"))
    else:
        (HERE / "REGISTER.md").write_text(register(), encoding="utf-8", newline="\n")
