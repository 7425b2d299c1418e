"""Sets a workbook up for the run button of the xlwings add-in in Excel: a module and a settings file beside the book.

The button runs ``main()`` of the module that has the workbook's name, with the interpreter that the add-in's settings
name. The workbook itself is not touched.
"""

from __future__ import annotations

import importlib.util
import keyword
import os
import re
import sys
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from sheetengine.books.parts import open_package
from sheetengine.books.reading import check_readable, read_grids
from sheetengine.books.saving import check_writable, replace_file
from sheetengine.exceptions import BookUnwritable

SETTINGS = "xlwings.conf"
_OURS = "Written by sheetengine attach; it may be written anew at any time."
_WRITER = '"WRITTEN BY","sheetengine attach"'
_PAIR = re.compile(r'"([^"]*)"\s*,\s*"([^"]*)"')
_INTERPRETERS = {"win32": "INTERPRETER_WIN", "darwin": "INTERPRETER_MAC"}

_MODULE = '''"""Runs sheetengine on the open workbook {book}. {ours}"""

import sys


def main():
    """Compute the open workbook; the run button of the xlwings add-in calls this."""
    try:
        from sheetengine.open_workbook import run_caller
    except ImportError as missing:
        raise SystemExit(
            f"sheetengine could not be loaded by {{sys.executable}} ({{missing}}). Install it there, or run "
            "sheetengine attach again with the Python that has it."
        ) from None
    run_caller()
'''


@dataclass(frozen=True, slots=True)
class Attached:
    """What was set up.

    Attributes
    ----------
    module, settings
        The two files; no settings where the system has no Excel.
    written
        Those of them that were written; none where all stood there already.
    """

    module: Path
    settings: Path | None
    written: tuple[Path, ...]


def attach(book: Path, *, platform: str = sys.platform, interpreter: str = sys.executable) -> Attached:
    """Write the module and the settings beside a workbook, where they are not there yet.

    Parameters
    ----------
    book
        The workbook, ``.xlsx`` or ``.xlsm``.
    platform
        The system, as Python names it.
    interpreter
        The Python that runs the engine.

    Raises
    ------
    BookUnreadable
        The file is no workbook that can be read.
    BookUnwritable
        The add-in could not run a workbook of this name or with these sheets, or a file of somebody else's is in the
        way; nothing was written.
    """
    check_readable(book)
    _check_kind(book)
    module = book.with_name(f"{book.stem}.py")
    settings = book.with_name(SETTINGS)
    _check_name(book, module)
    wanted = {module: _MODULE.format(book=book.name, ours=_OURS).encode()}
    _check_ours(module, _OURS.encode())
    key = _INTERPRETERS.get(platform, "")
    if key:
        _check_sheets(book, key, interpreter)
        content = _settings(settings, key, interpreter)
        if content is not None:
            wanted[settings] = content
    for file in wanted:
        check_writable(file)
    written = []
    for file, content in wanted.items():
        if not file.exists() or file.read_bytes() != content:
            replace_file(file, lambda stream, content=content: stream.write(content))  # type: ignore[misc]
            written.append(file)
    return Attached(module, settings if key else None, tuple(written))


def _check_kind(book: Path) -> None:
    if book.suffix.lower() not in (".xlsx", ".xlsm"):
        raise BookUnwritable(
            f"{book}: only workbooks that end in .xlsx or .xlsm can be set up. Save a template as a workbook first."
        )


def _check_name(book: Path, module: Path) -> None:
    """Check that Python can load a module of the workbook's name, which is all that the add-in's button can start."""
    name = book.stem
    proper = re.sub(r"\W+", "_", unicodedata.normalize("NFKC", name)).strip("_")
    proper = (
        proper if proper.isidentifier() and not keyword.iskeyword(proper) else f"book_{proper}".rstrip("_")
    )
    if name.isidentifier() and not keyword.iskeyword(name) and unicodedata.normalize("NFKC", name) == name:
        if not _is_taken(name, module):
            return
        why, proper = f"there is a Python module {name} already, which it would hide", f"{name}_book"
    else:
        why = "letters, digits and underscores, no digit first, and no word of Python, are all that a module's name may be"
    raise BookUnwritable(
        f"{book}: the add-in's run button loads a Python module of the workbook's name, and {why}. Nothing was written. "
        f"Rename the workbook, for example to {proper}{book.suffix}, and attach it then."
    )


def _is_taken(name: str, module: Path) -> bool:
    """Return whether a module of the name is there already that is not the one beside the book."""
    if name in sys.stdlib_module_names or name in sys.builtin_module_names:
        return True
    try:
        found = importlib.util.find_spec(name)
    except (ImportError, ValueError):
        return True
    if found is None or found.origin is None:
        return False
    return Path(found.origin).resolve() != module.resolve()


def _check_ours(file: Path, mark: bytes) -> None:
    if file.is_dir() or (file.exists() and mark not in file.read_bytes()):
        raise BookUnwritable(
            f"{file}: this file was not written by sheetengine attach, so it was left as it is, and nothing was written. "
            "Move it elsewhere, or rename the workbook, and attach again."
        )


def _check_sheets(book: Path, key: str, interpreter: str) -> None:
    """Check that no sheet turns the add-in's button away from the module beside the book."""
    with open_package(book) as package:
        names = [sheet.name for sheet in package.sheets]
    code = next((name for name in names if name.endswith(".py")), None)
    if code is not None:
        raise BookUnwritable(
            f'{book}: the sheet "{code}" has a name that ends in .py, so the add-in would look for Python in the sheets, not '
            "beside the book. Nothing was written. Rename that sheet and attach again."
        )
    grid = read_grids(book, [SETTINGS]).get(SETTINGS)
    if grid is not None:
        pairs = [(str(row[0]), str(row[1])) for row in grid.rows if len(row) > 1]
        _check_pairs(f'{book}, sheet "{SETTINGS}"', pairs, key, interpreter)


def _check_pairs(where: str, pairs: Sequence[tuple[str, str]], key: str, interpreter: str) -> bool:
    """Check settings that are not ours; return whether they name our interpreter."""
    told = {name.upper(): value for name, value in pairs}
    if told.get("ADD_WORKBOOK_TO_PYTHONPATH", "true").lower() != "true":
        raise BookUnwritable(
            f"{where}: the settings keep the add-in from finding modules beside the book. Nothing was written. Take out "
            "ADD_WORKBOOK_TO_PYTHONPATH and attach again."
        )
    if key in told and told[key] != interpreter:
        raise BookUnwritable(
            f"{where}: the settings name another Python, {told[key]}. They were left as they are, and nothing was written. "
            f"Set {key} to {interpreter} there, or install sheetengine in that Python and attach with it."
        )
    return key in told


def _settings(file: Path, key: str, interpreter: str) -> bytes | None:
    """Return what the settings file is to hold; ``None`` where one of the office's own holds it already."""
    line = f'"{key}","{interpreter}"'
    lines = [_WRITER, line, ""]
    try:
        # the add-in reads the file in the encoding of the system, and so does xlwings itself
        content = os.linesep.join(lines).encode("mbcs" if os.name == "nt" else "utf-8")
    except UnicodeEncodeError:
        raise BookUnwritable(
            f"{interpreter}: the add-in cannot read this path, since it has letters outside the system's code page. Nothing "
            "was written. Install Python and sheetengine in a folder with a plain name and attach with it."
        ) from None
    if not file.exists():
        return content
    there = file.read_bytes().decode("mbcs" if os.name == "nt" else "utf-8", "replace")
    if _WRITER in there:
        return content
    pairs = [(name, value) for name, value in _PAIR.findall(there)]
    if _check_pairs(str(file), pairs, key, interpreter):
        return None
    raise BookUnwritable(
        f"{file}: these settings were not written by sheetengine attach, so they were left as they are, and nothing was "
        f"written. Add this line to them and attach again: {line}"
    )


def next_steps(attached: Attached, book: Path, interpreter: str = sys.executable) -> list[str]:
    """Return what is to be done next, for people."""
    if attached.settings is None:
        return [
            "Excel does not run on this system, so its Python could not be named. Attach the workbook on the computer that has "
            "Excel.",
        ]
    return [
        f'Once on this computer: close Excel, then: "{interpreter}" -m xlwings.cli addin install',
        f"Then open {book.name} in Excel and press the run button (Run main) of the tab xlwings.",
        "It computes the workbook as it stands, saved or not, and saves nothing itself. Attach it again where it is renamed, "
        "or copied to another folder.",
    ]
