"""A LibreOffice of the tests' own, with the extension in it."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from sheetengine.calc_extension.build import write_extension

DRIVER = Path(__file__).with_name("office_driver.py")
NOBODY = 65534


def passed_over(why: str) -> None:
    if os.environ.get("SHEETENGINE_OFFICE") == "required":
        pytest.fail(why)
    pytest.skip(why)


def python_with_uno(program: str) -> str | None:
    """Return a Python that can talk to LibreOffice: its own, or that of the system."""
    own = [Path(program).resolve().with_name(name) for name in ("python", "python.exe", "python.bin")]
    for candidate in [*map(str, own), "/usr/bin/python3", shutil.which("python3") or ""]:
        if candidate and os.path.isfile(candidate):
            done = subprocess.run([candidate, "-c", "import uno"], capture_output=True, check=False)
            if done.returncode == 0:
                return candidate
    return None


def outside_environment() -> dict[str, str]:
    """Return the environment without the folder of this Python first: LibreOffice starts the Python that it finds there."""
    own = Path(sys.executable).parent
    folders = [folder for folder in os.environ.get("PATH", "").split(os.pathsep) if Path(folder) != own]
    return os.environ | {"PATH": os.pathsep.join(folders)}


class Office:
    """One running LibreOffice."""

    def __init__(self, program: str, python: str, profile: Path) -> None:
        self.profile = profile
        self.process = subprocess.Popen(
            [python, str(DRIVER), program, profile.as_uri(), f"se{uuid.uuid4().hex}"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, encoding="utf-8", env=outside_environment(),
        )  # fmt: skip
        assert self._read() == {"ready": True}

    def _read(self) -> dict[str, Any]:
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        assert line, "the office program is gone"
        return json.loads(line)

    def __call__(self, wish: str, *what: Any) -> Any:
        assert self.process.stdin is not None
        self.process.stdin.write(json.dumps({"do": wish, "with": what}) + "\n")
        self.process.stdin.flush()
        answer = self._read()
        assert "error" not in answer, f"{wish}: {answer['error']}"
        return answer["answer"]

    def end(self) -> None:
        """Close LibreOffice and the pipes to its driver."""
        with self.process:
            self("end")
            self.process.wait(60)

    @property
    def settings(self) -> Path:
        """The settings of the installed extension."""
        (found,) = self.profile.rglob("engine.json")
        return found


def install(extension: Path, profile: Path) -> None:
    """Install the extension with unopkg, which does not work for root: then as nobody."""
    program = shutil.which("unopkg")
    assert program is not None
    profile.mkdir()
    more: dict[str, Any] = {}
    if os.name == "posix" and os.geteuid() == 0:
        os.chown(profile, NOBODY, NOBODY)
        more = {"user": NOBODY, "group": NOBODY, "extra_groups": []}
    done = subprocess.run(
        [program, "add", "--suppress-license", f"-env:UserInstallation={profile.as_uri()}", str(extension)],
        capture_output=True, text=True, check=False, timeout=240, env=os.environ | {"HOME": str(profile)}, **more,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.fixture(scope="session")
def running() -> Iterator[Office]:
    program = shutil.which("soffice")
    if program is None:
        passed_over("LibreOffice is not installed")
    assert program is not None
    python = python_with_uno(program)
    if python is None:
        passed_over("no Python with the uno module is installed")
    assert python is not None
    folder = Path("/tmp" if os.name == "posix" else os.environ["TEMP"]) / f"sheetengine-{uuid.uuid4().hex}"
    folder.mkdir()
    try:
        folder.chmod(0o755)
        write_extension(folder / "lifts.oxt", python=sys.executable)
        install(folder / "lifts.oxt", folder / "profile")
        office = Office(program, python, folder / "profile")
        try:
            yield office
        finally:
            office.end()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def office(running: Office) -> Iterator[Office]:
    """The running LibreOffice; what a test opened is closed, and the settings are as they were."""
    before = running.settings.read_bytes()
    yield running
    running.settings.write_bytes(before)
    running("close_all")
