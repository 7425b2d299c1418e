"""Packs the extension for LibreOffice Calc."""

from __future__ import annotations

import io
import json
import os
import sys
import zipfile
from importlib import resources
from pathlib import Path

from sheetengine.calc_extension.icons import MARKS, SIZES, icon
from sheetengine.exceptions import BookUnwritable
from sheetengine.version import engine_version

PATIENCE = 600.0
"""Seconds after which a run is given up."""
_DAY = (2000, 1, 1, 0, 0, 0)
SETTINGS = "engine.json"
"""Member that tells the extension where the engine is."""


def extension_members(
    *, python: str | None = None, home: str | None = None, patience: float = PATIENCE
) -> dict[str, bytes]:
    """Return the members of the extension's file, in their order.

    Parameters
    ----------
    python
        The interpreter that has the engine; the running one if none is given.
    home
        The folder that holds the package; that of the running engine if none is given.
    patience
        Seconds after which a run is given up.
    """
    version = engine_version()
    settings = {
        "python": python or sys.executable,
        "home": home or str(_package().parent),
        "patience": patience,
        "version": version,
    }
    members = {}
    for path, content in _sources():
        members[path] = content.replace(b"@VERSION@", (version if version[:1].isdigit() else "0").encode())
    for command in MARKS:
        for pixels in SIZES:
            members[f"icons/{command}_{pixels}.png"] = icon(command, pixels)
    members[SETTINGS] = (json.dumps(settings, ensure_ascii=False, indent=2) + "\n").encode()
    return dict(sorted(members.items()))


def _package() -> Path:
    return Path(str(resources.files("sheetengine"))).resolve()


def _sources() -> list[tuple[str, bytes]]:
    root = _package() / "calc_extension" / "inside"
    files = (path for path in sorted(root.rglob("*")) if path.is_file())
    return [
        (path.relative_to(root).as_posix(), path.read_bytes())
        for path in files
        if "__pycache__" not in path.parts
    ]


def write_extension(
    target: str | os.PathLike[str],
    *,
    python: str | None = None,
    home: str | None = None,
    patience: float = PATIENCE,
) -> None:
    """Write the extension's file. The same engine at the same place gives the same bytes.

    Parameters
    ----------
    target
        File to write, ``.oxt``; one that is there is replaced.
    python, home, patience
        As in :func:`extension_members`.

    Raises
    ------
    BookUnwritable
        The file could not be written.
    """
    file = Path(target)
    if file.suffix.lower() != ".oxt":
        raise BookUnwritable(f"{file}: the name of an extension for LibreOffice must end in .oxt.")
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in extension_members(python=python, home=home, patience=patience).items():
            member = zipfile.ZipInfo(name, _DAY)
            member.compress_type = zipfile.ZIP_DEFLATED
            member.external_attr = 0o644 << 16
            archive.writestr(member, content)
    try:
        file.write_bytes(packed.getvalue())
    except OSError as error:
        raise BookUnwritable(f"{file}: the extension could not be written ({error.strerror}).") from error
