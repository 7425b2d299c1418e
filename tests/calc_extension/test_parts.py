"""The extension's file and its call of the engine, without LibreOffice."""

from __future__ import annotations

import ast
import doctest
import importlib.util
import json
import struct
import sys
import zipfile
from pathlib import Path
from types import ModuleType
from xml.etree import ElementTree

import pytest

import sheetengine
from sheetengine.__main__ import main
from sheetengine.books.palette import INDIGO, INK, SAND
from sheetengine.books.parts import MARK, marked
from sheetengine.calc_extension.build import extension_members, write_extension
from sheetengine.calc_extension.icons import MARKS, SIZES
from sheetengine.sheets.faults import FAULT_SHEET

INSIDE = Path(sheetengine.__file__).parent / "calc_extension" / "inside"
COMMANDS = {"sheetengine.calc:run", "sheetengine.calc:verify", "sheetengine.calc:next"}


@pytest.fixture
def engine() -> ModuleType:
    path = INSIDE / "pythonpath" / "sheetengine_calc_engine.py"
    spec = importlib.util.spec_from_file_location("sheetengine_calc_engine", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def stand_in(folder: Path, code: str) -> Path:
    """Make a package of the engine's name that does what the code says."""
    (folder / "home" / "sheetengine").mkdir(parents=True)
    (folder / "home" / "sheetengine" / "__init__.py").write_text("", encoding="utf-8")
    (folder / "home" / "sheetengine" / "__main__.py").write_text(code, encoding="utf-8")
    (folder / "book.xlsx").write_bytes(b"")
    return folder / "home"


@pytest.mark.parametrize(
    ("code", "kind", "says"),
    [
        ("import os, signal; os.kill(os.getpid(), 9)", "failed", "was stopped by signal 9"),
        ("import time; time.sleep(60)", "failed", "gave no answer within 1.5 s"),
        ("raise KeyError('a')", "failed", "Its last words: KeyError: 'a'"),
        ("print('{')", "failed", "ended with status 0 and gave no result"),
        ("print('{\"status\": 1}')", "failed", "ended with status 0 and gave no result"),
        ("import sys; print('{\"status\": 3, \"problem\": \"' + sys.argv[2] + ': no.\"}'); sys.exit(3)", "refused", "Dam: no."),
    ],
)  # fmt: skip
@pytest.mark.skipif(sys.platform == "win32", reason="signals")
def test_whatever_the_engine_does_is_told_in_words(
    engine: ModuleType, tmp_path: Path, code: str, kind: str, says: str
) -> None:
    patience = 1.5 if "sleep" in code else 60.0
    settings = engine.Settings(sys.executable, str(stand_in(tmp_path, code)), patience, "0")
    answer = engine.call_engine(settings, "run", tmp_path / "book.xlsx", "Dam")
    assert answer.kind == kind
    assert says in answer.words
    assert "Traceback" not in answer.words


def test_the_examples_of_the_call_run(engine: ModuleType) -> None:
    tried = doctest.testmod(engine)
    assert tried.attempted >= 3
    assert tried.failed == 0


@pytest.mark.parametrize("path", sorted(INSIDE.rglob("*.py")), ids=lambda path: path.name)
def test_the_component_is_read_by_older_pythons_and_needs_nothing_else(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"), feature_version=(3, 8))
    tops = {
        name.split(".")[0]
        for node in ast.walk(tree)
        for name in (
            [alias.name for alias in node.names]
            if isinstance(node, ast.Import)
            else [node.module or ""]
            if isinstance(node, ast.ImportFrom)
            else []
        )
    }
    own = {"sheetengine_calc_book", "sheetengine_calc_engine"}
    assert tops <= set(sys.stdlib_module_names) | {"uno", "unohelper", "com"} | own


def test_the_component_knows_mark_names_and_colours_of_the_engine() -> None:
    text = (INSIDE / "pythonpath" / "sheetengine_calc_book.py").read_text(encoding="utf-8")
    assert f'MARK = "{MARK}"' in text
    assert f'FAULT_SHEET = "{FAULT_SHEET}"' in text
    assert f"_INK, _INDIGO, _SAND = 0x{INK}, 0x{INDIGO}, 0x{SAND}" in text
    assert marked('a"b') == '"a""b"'


def test_the_file_is_whole_and_the_same_each_time(tmp_path: Path) -> None:
    write_extension(tmp_path / "a.oxt")
    write_extension(tmp_path / "b.oxt")
    assert (tmp_path / "a.oxt").read_bytes() == (tmp_path / "b.oxt").read_bytes()
    with zipfile.ZipFile(tmp_path / "a.oxt") as archive:
        names = set(archive.namelist())
        for name in names:
            if name.endswith((".xml", ".xcu")):
                ElementTree.fromstring(archive.read(name))
        addons = archive.read("Addons.xcu").decode()
        manifest = archive.read("META-INF/manifest.xml").decode()
        settings = json.loads(archive.read("engine.json"))
    assert settings["python"] == sys.executable
    assert (Path(settings["home"]) / "sheetengine" / "__main__.py").is_file()
    assert {word for word in COMMANDS if addons.count(f"<value>{word}</value>") == 3} == COMMANDS
    for name in ("component.py", "Addons.xcu", "CalcWindowState.xcu", "ProtocolHandler.xcu"):
        assert name in names
        assert f'full-path="{name}"' in manifest


def test_every_icon_is_a_picture_of_its_size() -> None:
    members = extension_members()
    pictures = {name: content for name, content in members.items() if name.startswith("icons/")}
    assert set(pictures) == {f"icons/{command}_{size}.png" for command in MARKS for size in SIZES}
    assert len(set(pictures.values())) == len(pictures)
    for name, content in pictures.items():
        size = int(name.removesuffix(".png").split("_")[1])
        assert struct.unpack(">II", content[16:24]) == (size, size)


def test_the_command_writes_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["extension", "--to", str(tmp_path / "lifts.oxt"), "--json"]) == 0
    caught = capsys.readouterr()
    assert json.loads(caught.out)["python"] == sys.executable
    assert "unopkg add" in caught.err
    assert zipfile.is_zipfile(tmp_path / "lifts.oxt")
    assert main(["extension", "--to", str(tmp_path / "lifts.zip")]) == 3
    assert main(["extension", "--to", str(tmp_path / "none" / "lifts.oxt")]) == 3
