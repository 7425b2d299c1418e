"""The commands, as they are called from a shell: exit status, the two streams, files written and left alone."""

from __future__ import annotations

import json
import os
import re
import stat
from pathlib import Path
from typing import Any

import openpyxl
import pandas as pd
import pytest
from builders import grids, pile

from sheetengine.__main__ import main
from sheetengine.demos import DEMOS
from sheetengine.run import read_book
from sheetengine.sheets.inputs import MIXES
from sheetengine.sheets.job_items import SAFETY_BASES
from sheetengine.sheets.results import RESULT_SHEETS

STRONG = {"Net area": 2000.0, "Head diameter": 120.0, "Embedment": 500.0, "Shank diameter": 45.0}
TESTED = {"Strength curve": "Hyperbolic", "Ultimate strength": 40.0, "Rate constant": 0.2}
CLEAN: dict[str, Any] = {
    "job": {"Storm wind": (0.2, "kPa")},
    "mixes": [TESTED],
    "anchors": [STRONG],
    "lifts": pile(2, Height=2.0, Anchor_spacing=1.0, Concrete_temperature=20.0),
}
"""A book in which nothing exceeds."""


def write(path: Path, **changes: Any) -> Path:
    """Write a book from grids."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, grid in grids(**changes).items():
        sheet = book.create_sheet(name)
        for row in grid.rows if grid else ():
            sheet.append(list(row))
        for cell in (cell for row in sheet.iter_rows() for cell in row if cell.data_type == "f"):
            cell.data_type = "s"  # a text that looks like a formula
    book.save(path)
    return path


@pytest.fixture
def clean(tmp_path: Path) -> Path:
    return write(tmp_path / "clean.xlsx", **CLEAN)


@pytest.fixture
def flagged(tmp_path: Path) -> Path:
    return write(tmp_path / "flagged.xlsx", lifts=pile(2))


@pytest.fixture
def faulty(tmp_path: Path) -> Path:
    lifts = pile(2)
    lifts[1]["Height"] = "high"
    lifts[0]["Mix"] = "M9"
    return write(tmp_path / "faulty.xlsx", lifts=lifts)


def streams(capsys: pytest.CaptureFixture[str]) -> tuple[str, str]:
    caught = capsys.readouterr()
    return caught.out, caught.err


def test_a_run_in_place_in_which_nothing_exceeds(clean: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["run", str(clean)]) == 0
    out, err = streams(capsys)
    assert out == ""
    assert "result sheets written" in err
    assert "competent temporary-works engineer" in err
    names = openpyxl.load_workbook(clean).sheetnames
    assert names[:5] == ["Job", "Mixes", "Form units", "Anchor types", "Lifts"]
    assert set(RESULT_SHEETS) <= set(names)


def test_a_run_into_another_file_leaves_the_book_as_it_is(
    flagged: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = flagged.read_bytes()
    out = tmp_path / "issued.xlsx"
    assert main(["run", str(flagged), "--out", str(out)]) == 1
    assert flagged.read_bytes() == before
    assert set(RESULT_SHEETS) <= set(openpyxl.load_workbook(out).sheetnames)
    assert "Exceeds" in streams(capsys)[1]


def test_json_stands_alone_on_standard_output(flagged: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["run", str(flagged), "--json"]) == 1
    out, err = streams(capsys)
    data = json.loads(out)
    assert data["status"] == 1
    assert data["book"] == str(flagged)
    assert data["digest"] == read_book(flagged).digest
    assert set(data["verdicts"]) == {
        "Pressures", "Filling", "Strongbacks", "Anchor demand", "Strength ready", "Readiness board", "Lift heat", "Programme",
        "Crane picks",
        "As-built check",
        "Lift record check",
    }  # fmt: skip
    assert sum(data["verdicts"]["Anchor demand"].values()) == 5
    assert data["flags"]["Blocks issue"] == sum(f["level"] == "Blocks issue" for f in data["findings"])
    for finding in data["findings"]:
        assert set(finding) == {
            "flag", "level", "code", "sheet", "cell", "found", "limit", "message", "clears", "source"
        }  # fmt: skip
        assert finding["message"]
    assert "{" not in err


def test_unusable_inputs_are_status_2_with_every_fault_and_nothing_written(
    faulty: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = faulty.read_bytes()
    for command in (["run"], ["verify"]):
        assert main([*command, str(faulty), "--json"]) == 2
        out, err = streams(capsys)
        data = json.loads(out)
        assert data["status"] == 2
        assert {(entry["sheet"], entry["cell"]) for entry in data["faults"]} == {
            ("Lifts", "C3"),
            ("Lifts", "E2"),
        }
        assert "C3: Height is “high”, which is no number." in err
        assert "E2:" in err
    assert main(["takeoff", str(faulty), "--to", str(tmp_path / "counts")]) == 2
    assert main(["run", str(faulty), "--out", str(tmp_path / "out.xlsx")]) == 2
    assert faulty.read_bytes() == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["faulty.xlsx"]


def test_files_that_cannot_be_read_or_written_are_status_3(
    clean: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    missing = tmp_path / "nowhere.xlsx"
    text = tmp_path / "notes.xlsx"
    text.write_text("not a workbook")
    for path in (missing, text, tmp_path):
        for command in (["run"], ["verify"]):
            assert main([*command, str(path), "--json"]) == 3
            out, err = streams(capsys)
            assert json.loads(out)["status"] == 3
            assert path.name in err.replace("\n", "")
    assert text.read_text() == "not a workbook"
    assert not missing.exists()
    before = clean.read_bytes()
    assert main(["run", str(clean), "--out", str(tmp_path / "no folder" / "out.xlsx")]) == 3
    assert clean.read_bytes() == before


def test_a_book_that_is_open_elsewhere_or_read_only_is_left_alone(
    clean: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = clean.read_bytes()
    lock = clean.with_name(f"~${clean.name}")
    lock.write_bytes(b"\x05Editor")
    assert main(["run", str(clean)]) == 3
    assert clean.name in streams(capsys)[1]
    lock.unlink()
    if os.geteuid() != 0:  # nothing is read-only to the administrator
        clean.parent.chmod(stat.S_IRUSR | stat.S_IXUSR)
        try:
            assert main(["run", str(clean)]) == 3
        finally:
            clean.parent.chmod(stat.S_IRWXU)
    clean.chmod(stat.S_IRUSR)
    assert main(["run", str(clean)]) == 3
    assert "read" in streams(capsys)[1]
    assert clean.read_bytes() == before


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("safety", [None, *SAFETY_BASES])
def test_a_new_book_opens_with_its_presets_and_asks_for_rows(
    units: str, safety: str | None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = tmp_path / "new.xlsx"
    asked = ["--safety", safety] if safety else []
    assert main(["new", str(book), "--units", units, *asked, "--json"]) == 0
    assert json.loads(streams(capsys)[0])["status"] == 0
    sheets = openpyxl.load_workbook(book)
    job = {row[0]: row[1] for row in sheets["Job"].iter_rows(values_only=True)}
    usual = "ACI service load" if units == "us" else "EN partial factors"
    assert job["Safety basis"] == (safety or usual)
    head = next(
        row for row in sheets["Lifts"].iter_rows(values_only=True) if "Block" in row and "Lift" in row
    )
    assert ("Height [ft]" if units == "us" else "Height [m]") in head
    assert main(["verify", str(book), "--json"]) == 2
    faults = json.loads(streams(capsys)[0])["faults"]
    assert {fault["sheet"] for fault in faults} == {"Job", "Mixes", "Form units", "Anchor types", "Lifts"}
    assert all(fault["code"] == "MVA" for fault in faults), (
        "an empty book lacks values and has no other fault"
    )


def test_a_new_book_never_replaces_one_that_is_there(clean: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = clean.read_bytes()
    assert main(["new", str(clean)]) == 3
    assert clean.read_bytes() == before


def test_a_new_book_that_is_filled_in_runs(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = tmp_path / "filled.xlsx"
    main(["new", str(book)])
    sheets = openpyxl.load_workbook(book)
    for row in sheets["Job"].iter_rows(min_row=1, max_row=60):
        if row[0].value == "Project":
            row[1].value = "Upper basin"
        if row[0].value == "Storm wind":
            row[1].value = 0.2
        if row[0].value == "Pressure method":
            row[1].value = "ACI 347R-14 SI"
    for name, grid in grids(**CLEAN).items():
        if name == "Job" or grid is None:
            continue
        sheet = sheets[name]
        head = next(
            number
            for number, row in enumerate(sheet.iter_rows(values_only=True), 1)
            if grid.rows[0][0] in row and grid.rows[0][1] in row
        )
        column = {sheet.cell(head, place).value: place for place in range(1, sheet.max_column + 1)}
        for number, cells in enumerate(grid.rows[1:], head + 1):
            for heading, value in zip(grid.rows[0], cells, strict=True):
                sheet.cell(number, column[heading], value)
    sheets.save(book)
    capsys.readouterr()
    assert main(["run", str(book), "--json"]) == 0, streams(capsys)[1]
    assert json.loads(streams(capsys)[0])["verdicts"]["Anchor demand"] == {"Within": 5}
    assert main(["verify", str(book)]) == 0


def test_verify_tells_none_current_and_stale(clean: Path, capsys: pytest.CaptureFixture[str]) -> None:
    def state() -> tuple[int, str, str]:
        before = clean.read_bytes()
        status = main(["verify", str(clean), "--json"])
        data = json.loads(streams(capsys)[0])
        assert clean.read_bytes() == before
        return status, data["results"], data["recorded_digest"]

    assert state() == (1, "none", "")
    main(["run", str(clean)])
    digest = read_book(clean).digest
    streams(capsys)
    assert state() == (0, "current", digest)
    book = openpyxl.load_workbook(clean)
    book["Lifts"]["C3"] = 2.1
    book.save(clean)
    assert state() == (1, "stale", digest)
    main(["run", str(clean)])
    streams(capsys)
    assert state()[1] == "current"


def test_formatting_and_office_columns_do_not_make_results_stale(
    clean: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["run", str(clean)])
    book = openpyxl.load_workbook(clean)
    book["Lifts"]["C3"].number_format = "0.000"
    book["Lifts"].cell(1, 30, "Foreman")
    book["Lifts"].cell(2, 30, "W.")
    book.create_sheet("Office")["A1"] = 1
    book.save(clean)
    streams(capsys)
    assert main(["verify", str(clean), "--json"]) == 0
    assert json.loads(streams(capsys)[0])["results"] == "current"


def test_reviewer_initials_and_remark_stay_while_the_flag_does(
    flagged: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["run", str(flagged)])
    book = openpyxl.load_workbook(flagged)
    sheet = book["Flags"]
    head = next(
        number for number, row in enumerate(sheet.iter_rows(values_only=True), 1) if "Initials" in row
    )
    column = {sheet.cell(head, place).value: place for place in range(1, sheet.max_column + 1)}
    flags = {
        sheet.cell(number, column["Flag"]).value: number
        for number in range(head + 1, sheet.max_row + 1)
        if sheet.cell(number, column["Flag"]).value
    }
    chosen = list(flags)[-1]
    sheet.cell(flags[chosen], column["Initials"], "K.L.")
    sheet.cell(flags[chosen], column["Remark"], "=not a formula")
    sheet.cell(flags[chosen], column["Remark"]).data_type = "s"
    book["Lifts"].insert_rows(3)
    book.save(flagged)
    main(["run", str(flagged)])
    again = openpyxl.load_workbook(flagged)["Flags"]
    rows = {
        row[column["Flag"] - 1]: row for row in again.iter_rows(min_row=head + 1, values_only=True) if row[0]
    }
    assert rows[chosen][column["Initials"] - 1] == "K.L."
    assert rows[chosen][column["Remark"] - 1] == "=not a formula"
    others = [row for key, row in rows.items() if key != chosen and key in flags]
    assert others
    assert not any(row[column["Initials"] - 1] for row in others)


def counted(path: Path) -> dict[str, pd.DataFrame]:
    return {
        file.name: pd.read_csv(file, dtype=str, keep_default_na=False, encoding="utf-8-sig")
        if file.suffix == ".csv"
        else pd.read_parquet(file)
        for file in sorted(path.iterdir())
    }


HOSTILE = ("=1+1", "+49 30", "-5", "@SUM(A1)", "\tTAB", "＝cmd()")


def test_counts_leave_with_their_revision_in_every_row(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    optional = {
        "Embeds": [
            {"Block": "B1", "Lift": 1, "Item": name, "Count": 2 + place} for place, name in enumerate(HOSTILE)
        ],
        "Bars": [
            {"Block": "B1", "Lift": 2, "Bar mark": "01", "Size": 16, "Shape code": "00", "A": 3000.0, "Members": 1,
             "Bars per member": 10}
        ],
    }  # fmt: skip
    one = write(tmp_path / "one.xlsx", **CLEAN, optional=optional)
    two = write(
        tmp_path / "two.xlsx",
        **(CLEAN | {"job": CLEAN["job"] | {"Revision": "C"}, "lifts": pile(2, block="B9", Height=2.0, Anchor_spacing=1.0)}),
    )  # fmt: skip
    folder = tmp_path / "counts"
    status = main(["takeoff", str(one), str(two), "--to", str(folder), "--json"])
    data = json.loads(streams(capsys)[0])
    assert data["status"] == status
    assert sorted(Path(name).name for name in data["files"]) == sorted(path.name for path in folder.iterdir())
    found = counted(folder)
    assert set(found) == {
        f"{name}.{kind}"
        for name in ("bar_counts", "embed_counts", "dimension_rows")
        for kind in ("csv", "parquet")
    }
    digests = {path.name: read_book(path).digest[:16] for path in (one, two)}
    for name, frame in found.items():
        assert len(frame)
        assert set(frame["Digest"]) <= set(digests.values())
        for book, revision in (("one.xlsx", "A"), ("two.xlsx", "C")):
            own = frame[frame["Book"] == book]
            assert set(own["Revision"]) <= {revision}
            assert set(own["Digest"]) <= {digests[book]}
            assert len(own) or name.startswith("bar")
        assert set(frame["Project"]) == {"Upper basin"}
    csv, parquet = found["embed_counts.csv"], found["embed_counts.parquet"]
    assert len(csv) == len(parquet)
    assert set(HOSTILE) <= set(parquet["Item"])
    for cell in csv.to_numpy().ravel().tolist():
        assert not str(cell).startswith(("=", "+", "@", "\t", "＝"))
        assert not str(cell).startswith("-") or str(cell)[1:].replace(".", "").isdigit()
    assert {f"'{name}" for name in HOSTILE} <= set(csv["Item"])
    assert float(csv.loc[csv["Item"] == "'=1+1", "Count"].iloc[0]) == 2.0
    bars = found["bar_counts.parquet"]
    assert bars["Number"].tolist() == [10]
    assert bars["Bar mark"].tolist() == ["01"]
    raw = (folder / "embed_counts.csv").read_bytes()
    assert raw.startswith(b"\xef\xbb\xbf")  # so that spreadsheet programs read it as UTF-8


def test_counts_of_stale_results_are_of_the_inputs_and_say_so(
    clean: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["run", str(clean)])
    book = openpyxl.load_workbook(clean)
    book["Lifts"]["D3"] = 30.0
    book.save(clean)
    streams(capsys)
    assert main(["takeoff", str(clean), "--to", str(tmp_path / "c"), "--json"]) == 0
    out, err = streams(capsys)
    assert json.loads(out)["stale"] == [str(clean)]
    assert "older than its inputs" in err
    embeds = counted(tmp_path / "c")["embed_counts.parquet"]
    assert embeds.loc[embeds["Lift"] == "1", "Count"].max() == 30.0  # 30 m at 1.0 m from half a metre


def test_counts_into_a_folder_that_cannot_be_made(
    clean: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "file").write_text("in the way")
    assert main(["takeoff", str(clean), "--to", str(tmp_path / "file"), "--json"]) == 3
    assert json.loads(streams(capsys)[0])["status"] == 3
    assert (tmp_path / "file").read_text() == "in the way"


def test_a_demo_is_copied_and_run_and_never_replaces_a_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["demo", "faults", "--json"]) == 2
    out, err = streams(capsys)
    assert json.loads(out)["faults"]
    assert all(line in err for demo in DEMOS if demo.name == "faults" for line in demo.look_at)
    assert [path.name for path in tmp_path.iterdir()] == ["book_of_faults.xlsx"]
    main(["demo", "faults"])
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "book_of_faults.xlsx",
        "book_of_faults_2.xlsx",
    ]


def test_a_demo_without_a_name_is_the_first_and_names_the_others(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    status = main(["demo", "--json"])
    out, err = streams(capsys)
    data = json.loads(out)
    assert data["status"] == status == 1
    assert data["verdicts"]["Anchor demand"]
    assert all(demo.name in err for demo in DEMOS[1:])
    assert [path.name for path in tmp_path.iterdir()] == [DEMOS[0].file]
    assert set(RESULT_SHEETS) <= set(openpyxl.load_workbook(tmp_path / DEMOS[0].file).sheetnames)


@pytest.mark.parametrize(
    "arguments", [[], ["fly"], ["run"], ["demo", "none"], ["new", "x.xlsx", "--units", "si"]]
)
def test_a_command_that_is_not_understood_says_how_it_is_called(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert ended.value.code == 2
    out, err = streams(capsys)
    assert out == ""
    assert "usage: sheetengine" in err


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["--version"])
    assert ended.value.code == 0
    assert streams(capsys)[0].startswith("sheetengine ")


def test_a_second_run_writes_the_same_results(flagged: Path, capsys: pytest.CaptureFixture[str]) -> None:
    def shown() -> dict[str, list[tuple[Any, ...]]]:
        book = openpyxl.load_workbook(flagged)
        return {
            name: list(book[name].iter_rows(values_only=True))
            for name in RESULT_SHEETS
            if name != "Run record"
        }

    main(["run", str(flagged)])
    first, order = shown(), openpyxl.load_workbook(flagged).sheetnames
    main(["run", str(flagged)])
    second = shown()
    assert openpyxl.load_workbook(flagged).sheetnames == order
    for name, rows in first.items():
        timeless = [
            [[re.sub(r"Run: \d{4}-\d\d-\d\d \d\d:\d\d", "", str(cell)) for cell in row] for row in table]
            for table in (rows, second[name])
        ]
        assert timeless[0] == timeless[1], name


def test_inputs_are_never_changed_by_a_run(clean: Path, capsys: pytest.CaptureFixture[str]) -> None:
    def inputs() -> dict[str, list[tuple[Any, ...]]]:
        book = openpyxl.load_workbook(clean)
        return {
            name: [tuple(cell.value for cell in row) for row in book[name].iter_rows()]
            for name in ("Job", MIXES.name, "Form units", "Anchor types", "Lifts")
        }

    before = inputs()
    main(["run", str(clean)])
    assert inputs() == before
