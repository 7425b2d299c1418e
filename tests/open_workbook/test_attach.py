"""Setting a book up for the run button of the xlwings add-in."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest
import xlwings

from sheetengine import BookUnreadable, BookUnwritable, calculate, read_book
from sheetengine.__main__ import main
from sheetengine.attach import SETTINGS, attach
from sheetengine.demos import demo_file, demo_named
from sheetengine.sheets.results import RESULT_SHEETS

ROOT = Path(__file__).parents[2]
PYTHON = r"C:\Python\python.exe"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    path = tmp_path / "upper_basin.xlsx"
    shutil.copyfile(demo_file(demo_named("lock-wall")), path)
    return path


def test_attaching_twice_changes_nothing(book: Path) -> None:
    before = book.read_bytes()
    first = attach(book, platform="win32", interpreter=PYTHON)
    assert [path.name for path in first.written] == ["upper_basin.py", SETTINGS]
    stamps = {path: (path.stat().st_mtime_ns, path.read_bytes()) for path in first.written}
    second = attach(book, platform="win32", interpreter=PYTHON)
    assert second.written == ()
    assert {path: (path.stat().st_mtime_ns, path.read_bytes()) for path in first.written} == stamps
    assert book.read_bytes() == before
    assert sorted(path.name for path in book.parent.iterdir()) == [
        "upper_basin.py",
        "upper_basin.xlsx",
        SETTINGS,
    ]


@pytest.mark.parametrize(("platform", "key"), [("win32", "INTERPRETER_WIN"), ("darwin", "INTERPRETER_MAC")])
def test_the_settings_are_read_by_xlwings_as_the_interpreter(
    platform: str, key: str, book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """xlwings' own reader of settings files; its add-in reads pairs in quotes parted by a comma too (addin/Config.bas)."""
    attach(book, platform=platform, interpreter=PYTHON)
    monkeypatch.setattr(xlwings, "USER_CONFIG_FILE", str(book.with_name(SETTINGS)))
    assert xlwings.utils.read_user_config()[key.lower()] == PYTHON


def test_another_interpreter_is_written_anew_where_the_settings_are_ours(book: Path) -> None:
    attach(book, platform="win32", interpreter=PYTHON)
    again = attach(book, platform="win32", interpreter=r"D:\Python\python.exe")
    assert [path.name for path in again.written] == [SETTINGS]
    assert r"D:\Python" in book.with_name(SETTINGS).read_text(encoding="utf-8")


def refused(book: Path, match: str) -> None:
    before = {path.name: path.read_bytes() for path in book.parent.iterdir()}
    with pytest.raises(BookUnwritable, match=match):
        attach(book, platform="win32", interpreter=PYTHON)
    assert {path.name: path.read_bytes() for path in book.parent.iterdir()} == before


def test_a_module_of_somebody_else_is_left(book: Path) -> None:
    book.with_suffix(".py").write_text("print('mine')\n", encoding="utf-8")
    refused(book, "not written by sheetengine attach")


def test_settings_of_somebody_else_are_left(book: Path) -> None:
    settings = book.with_name(SETTINGS)
    settings.write_text('"SHOW CONSOLE","True"\n', encoding="utf-8")
    refused(book, "Add this line")
    settings.write_text(f'"interpreter_win","{PYTHON}"\n', encoding="utf-8")
    assert [path.name for path in attach(book, platform="win32", interpreter=PYTHON).written] == [
        "upper_basin.py"
    ]
    settings.write_text('"INTERPRETER_WIN","python"\n', encoding="utf-8")
    refused(book, "another Python, python")
    settings.write_text('"ADD_WORKBOOK_TO_PYTHONPATH","False"\n', encoding="utf-8")
    refused(book, "ADD_WORKBOOK_TO_PYTHONPATH")


@pytest.mark.parametrize(
    ("name", "proper"),
    [
        ("gravity-dam", "gravity_dam"),
        ("dam v2.1", "dam_v2_1"),
        ("7th lift", "book_7th_lift"),
        ("class", "book_class"),
        ("json", "json_book"),
        ("numpy", "numpy_book"),
        ("sheetengine", "sheetengine_book"),
        ("ﬁll", "fill"),
    ],
)
def test_a_name_that_python_cannot_load_is_refused_with_one_that_it_can(
    name: str, proper: str, book: Path
) -> None:
    """The add-in runs ``import NAME;NAME.main()`` with the workbook's name as it is (addin/RibbonXlwings.bas)."""
    other = book.rename(book.with_name(f"{name}.xlsx"))
    refused(other, f"to {proper}.xlsx")
    renamed = other.rename(other.with_name(f"{proper}.xlsx"))
    attach(renamed, platform="win32", interpreter=PYTHON)


def test_sheets_that_turn_the_add_in_away_are_told(book: Path) -> None:
    office = openpyxl.load_workbook(book)
    office.create_sheet("notes.py")
    office.save(book)
    refused(book, "ends in .py")
    del office["notes.py"]
    office.create_sheet(SETTINGS).append(["INTERPRETER_WIN", "python"])
    office.save(book)
    refused(book, "another Python, python")


def test_only_workbooks_are_attached(book: Path) -> None:
    refused(book.rename(book.with_suffix(".xltx")), "end in .xlsx or .xlsm")
    with pytest.raises(BookUnreadable, match="no such file"):
        attach(book.with_name("nothing.xlsx"))


def test_a_macro_book_is_attached(book: Path) -> None:
    macro = book.rename(book.with_suffix(".xlsm"))
    assert attach(macro, platform="win32", interpreter=PYTHON).module == macro.with_name("upper_basin.py")


def test_the_command(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["attach", str(book), "--json"]) == 0
    caught = capsys.readouterr()
    told = json.loads(caught.out)
    assert told["status"] == 0
    assert str(book.with_suffix(".py")) in told["files"]
    assert "Excel" in caught.err
    assert main(["attach", str(book)]) == 0
    assert "nothing was written" in capsys.readouterr().err
    book.with_suffix(".py").write_text("", encoding="utf-8")
    assert main(["attach", str(book)]) == 3
    assert "not written by sheetengine attach" in capsys.readouterr().err


START = """
import sys
sys.path.insert(0, {tests!r})
from open_workbook.memory_engine import open_book
book = open_book({book!r})
book.set_mock_caller()
import xlwings.utils;xlwings.utils.prepare_sys_path("true;{book};;;;;"); import upper_basin;upper_basin.main()
book.impl.file.save({out!r})
for alert in book.app.impl.alerts:
    print(alert)
"""


def press(book: Path, start: str = START) -> subprocess.CompletedProcess[str]:
    """Start Python as the add-in does (addin/Main.bas), with a mock caller in the place of Excel."""
    code = start.format(book=str(book), out=str(book.with_name("saved.xlsx")), tests=str(ROOT / "tests"))
    return subprocess.run(
        [sys.executable, "-B", "-c", code, f"--wb={book.name}", "--from_xl=1", "--app=Excel", "--hwnd=1"],
        capture_output=True, text=True, check=False, timeout=240, cwd=book.parent,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip


def test_the_module_runs_as_the_add_in_starts_it(book: Path) -> None:
    attach(book)
    done = press(book)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    saved = openpyxl.load_workbook(book.with_name("saved.xlsx"))
    assert set(RESULT_SHEETS) <= set(saved.sheetnames)
    rows = [[cell.value for cell in row[:2]] for row in saved["Run record"].iter_rows()]
    assert ["Digest of the inputs", calculate(read_book(book)).digest] in rows


def test_faults_come_as_a_message_when_the_button_is_pressed(book: Path) -> None:
    shutil.copyfile(demo_file(demo_named("faults")), book)
    attach(book)
    done = press(book)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("The inputs cannot be used")


def test_a_python_without_the_engine_is_told_in_words(book: Path) -> None:
    """What stands on standard error is what the add-in shows in its message box."""
    attach(book)
    block = "import sys; sys.modules['sheetengine'] = None; sys.path.insert(0, '.')\nimport upper_basin;upper_basin.main()"
    done = press(book, block)
    assert done.returncode == 1
    assert done.stderr.startswith("sheetengine could not be loaded by")
    assert "Traceback" not in done.stderr


def test_a_button_that_excel_did_not_press_is_told_in_words(book: Path) -> None:
    attach(book)
    done = press(book, "import sys; sys.path.insert(0, '.')\nimport upper_basin;upper_basin.main()")
    assert done.returncode == 1
    assert "Press the run button" in done.stderr
    assert "Traceback" not in done.stderr


def test_the_engine_loads_without_xlwings() -> None:
    code = "import sys, sheetengine, sheetengine.__main__, sheetengine.open_workbook; print('xlwings' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == "False"
