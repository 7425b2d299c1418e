"""Fixtures that several folders of tests share."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

# New examples at every run at the desk; the same ones in every run of the build, so that it fails for a change and not by chance.
settings.register_profile("desk", deadline=None)
settings.register_profile("build", deadline=None, derandomize=True)
settings.load_profile("build" if os.environ.get("CI") else "desk")

Convert = Callable[[Path, str], Path]


@pytest.fixture
def convert(tmp_path: Path) -> Convert:
    """Convert a book with LibreOffice and return the new file.

    Where SHEETENGINE_OFFICE=required the program must be there; elsewhere these tests need it installed.
    """
    program = shutil.which("soffice")
    if program is None:
        if os.environ.get("SHEETENGINE_OFFICE") == "required":
            pytest.fail("LibreOffice is required and not installed")
        pytest.skip("LibreOffice is not installed")

    def run(book: Path, kind: str) -> Path:
        out = tmp_path / "converted"
        done = subprocess.run(
            [program, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to", kind,
             "--outdir", str(out), str(book)],
            capture_output=True, check=False, timeout=240,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        made = out / book.with_suffix(f".{kind}").name
        assert made.is_file(), done.stdout
        return made

    return run
