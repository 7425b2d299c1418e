"""Format, lint and strict types, run as the contributor guide says."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


@pytest.mark.parametrize(
    "command",
    [
        ("ruff", "format", "--check", "--quiet", "."),
        ("ruff", "check", "--quiet", "."),
        ("mypy", "--no-incremental", "--cache-dir", "/dev/null") if sys.platform != "win32" else ("mypy",),
    ],
    ids=["format", "lint", "types"],
)
def test_the_source_passes(command: tuple[str, ...]) -> None:
    done = subprocess.run(
        [sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
