"""Change every constant of the clause modules in turn and tell which changes no test of the clauses notices.

    python tests/mutation/score.py [MODULE ...] [--kinds formula data limit] [--jobs 2]

A change counts as noticed by a printed value where a test that takes a published case fails, else as noticed otherwise
where any other test of the clauses (by hand, closed form, property) does, else by the hand check.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import importlib.abc
import importlib.machinery
import importlib.util
import io
import os
import sys
import tomllib
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from types import CodeType, ModuleType
from typing import Any

import numpy  # noqa: F401  # read once before the forks
import pandas  # noqa: F401
import pytest
import scipy.optimize
import scipy.special  # noqa: F401

sys.path.insert(0, str(Path(__file__).parents[1]))
from mutation.constants import CLAUSES, DATA, FACTORS, FORMULA, LIMIT, Constant, in_data, in_module

TESTS = Path(__file__).parents[1]
PRINTED, OTHERWISE, BY_HAND, SURVIVES, NO_OTHER = (
    "printed",
    "otherwise",
    "hand check",
    "survives",
    "no other answer",
)
EQUIVALENT = Path(__file__).with_name("no_other_answer.toml")
"""Constants whose change alters no answer, and why."""

NOT_ASKED = ("test_register_is_up_to_date", "test_docstring")


class _Changed(importlib.machinery.SourceFileLoader):
    """Loads a module from a tree."""

    def __init__(self, name: str, path: str, tree: ast.Module) -> None:
        super().__init__(name, path)
        self._tree = tree

    def get_code(self, fullname: str) -> CodeType:
        """Return the code of the changed tree."""
        return compile(self._tree, self.path, "exec")


class _Finder(importlib.abc.MetaPathFinder):
    """Finds one module as it was changed."""

    def __init__(self, name: str, path: Path, tree: ast.Module) -> None:
        self._name, self._path, self._tree = name, path, tree

    def find_spec(self, fullname: str, path: Any = None, target: ModuleType | None = None) -> Any:
        """Return the changed module for its name."""
        if fullname != self._name:
            return None
        loader = _Changed(fullname, str(self._path), self._tree)
        return importlib.util.spec_from_loader(fullname, loader, origin=str(self._path))


class _Chosen:
    """Keeps the tests that take a published case, or the others."""

    def __init__(self, *, printed: bool) -> None:
        self._printed = printed

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Drop the tests of the other sort."""
        items[:] = [item for item in items if self._wanted(item)]

    def _wanted(self, item: pytest.Item) -> bool:
        if any(item.name.startswith(name) for name in NOT_ASKED):
            return False
        code = getattr(getattr(item, "function", None), "__code__", None)
        words = set(code.co_names) | set(code.co_varnames) if code else set()
        takes = bool(words & {"case", "cases", "published_case", "published"}) or "case" in getattr(
            item, "fixturenames", ()
        )
        return takes == self._printed


def _files(constant: Constant) -> list[str]:
    """Return the test files that may notice: those that name the module, and those of printed values."""
    users = {constant.module}
    if constant.kind == DATA:
        users |= {
            path.stem for path in CLAUSES.glob("*.py") if f'"{constant.module}"' in path.read_text("utf-8")
        }
    # and what imports those
    for path in CLAUSES.glob("*.py"):
        text = path.read_text("utf-8")
        if any(f"clauses.{user} import" in text or f"import {user}\n" in text for user in set(users)):
            users.add(path.stem)
    found = []
    for path in sorted((TESTS / "clauses").glob("test_*.py")):
        text = path.read_text("utf-8")
        general = path.name.startswith(("test_printed", "test_worked", "test_register", "test_another"))
        if general or any(user in text for user in users):
            found.append(str(path))
    return found


def _noticed(constant: Constant, change: Any) -> str:
    """Return, in a process of its own, who notices a change."""
    sys.path[:0] = [str(TESTS), str(TESTS.parent)]
    if isinstance(change, ast.Module):
        name = f"sheetengine.clauses.{constant.module}"
        sys.meta_path.insert(0, _Finder(name, CLAUSES / f"{constant.module}.py", change))
    else:
        read = tomllib.loads
        original = read((FACTORS / f"{constant.module}.toml").read_text(encoding="utf-8"))

        def loads(text: str, **options: Any) -> dict[str, Any]:
            found = read(text, **options)
            return change if found == original else found

        tomllib.loads = loads
    files = _files(constant)
    for printed, told in ((True, PRINTED), (False, OTHERWISE)):
        options = ["-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", "--no-header", *files]
        status = pytest.main(options, plugins=[_Chosen(printed=printed)])
        if status not in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED):
            return told
    status = pytest.main([*options[: -len(files)], str(TESTS / "hand_check")])
    return SURVIVES if status == pytest.ExitCode.OK else BY_HAND


def _in_a_fork(constant: Constant, change: Any) -> str:
    reads, writes = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reads)
        told = PRINTED
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
            try:
                told = _noticed(constant, change)
            except BaseException as failed:  # the tool's own failure is no test's success
                told = f"failed: {failed!r}"[:900]
        os.write(writes, told.encode())
        os._exit(0)
    os.close(writes)
    with os.fdopen(reads) as pipe:
        told = pipe.read()
    os.waitpid(child, 0)
    if told not in (PRINTED, OTHERWISE, BY_HAND, SURVIVES):
        raise RuntimeError(f"{constant.name}: {told or 'the process ended early'}")
    return told


def unchanged_survives() -> bool:
    """Return whether a module that is not changed passes, without which no score means anything."""
    path = CLAUSES / "ciria108.py"
    same = Constant(path.stem, "unchanged", FORMULA, 0.0)
    return _in_a_fork(same, ast.parse(path.read_text(encoding="utf-8"))) == SURVIVES


def changes(modules: Sequence[str]) -> Iterator[tuple[Constant, Any]]:
    """Yield every change of the modules and data files named, or of all."""
    for path in sorted(CLAUSES.glob("*.py")):
        if not modules or path.stem in modules:
            yield from in_module(path)
    for path in sorted(FACTORS.glob("*.toml")):
        if not modules or path.stem in modules:
            yield from in_data(path)


def reasons() -> dict[tuple[str, str, float], str]:
    """Return, by module, text of the line and value, why the change of a constant alters no answer."""
    entries = tomllib.loads(EQUIVALENT.read_text(encoding="utf-8"))["constant"]
    return {(entry["module"], entry["line"], float(entry["value"])): entry["why"] for entry in entries}


def line_of(constant: Constant) -> str:
    """Return the text of a constant's line; its place where it stands in a data file."""
    if constant.kind == DATA:
        return constant.place
    number = int(constant.place.split()[1].rstrip(","))
    return (CLAUSES / f"{constant.module}.py").read_text(encoding="utf-8").splitlines()[number - 1].strip()


def main() -> int:
    """Run the changes, print the score of every module and the survivors."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("modules", nargs="*")
    parser.add_argument("--kinds", nargs="*", default=[FORMULA, DATA], choices=[FORMULA, DATA, LIMIT])
    parser.add_argument("--again", type=Path, help="output of an earlier run: only its survivors are tried")
    parser.add_argument("--jobs", type=int, default=2)
    arguments = parser.parse_args()
    if not unchanged_survives():
        print("The tests fail without any change; mend them first.")
        return 2
    tried = [one for one in changes(arguments.modules) if one[0].kind in arguments.kinds]
    if arguments.again:
        lines = arguments.again.read_text(encoding="utf-8").splitlines()
        left = {line.removeprefix("survives: ") for line in lines if line.startswith("survives: ")}
        tried = [one for one in tried if one[0].name in left]
    excused = reasons()
    scores: dict[tuple[str, str], Counter[str]] = {}
    survivors = []
    with ThreadPoolExecutor(arguments.jobs) as pool:
        for (constant, _), found in zip(tried, pool.map(lambda one: _in_a_fork(*one), tried), strict=True):
            told = found
            if told == SURVIVES and (constant.module, line_of(constant), constant.value) in excused:
                told = NO_OTHER
            scores.setdefault((constant.module, constant.kind), Counter())[told] += 1
            if told == SURVIVES:
                survivors.append(constant.name)
                print("survives:", constant.name, flush=True)
    total: Counter[str] = Counter()
    for (module, kind), score in sorted(scores.items()):
        print(f"{module:28} {kind:8} {dict(score)}")
        total += score
    print("all", dict(total))
    return 1 if survivors else 0


if __name__ == "__main__":
    raise SystemExit(main())
