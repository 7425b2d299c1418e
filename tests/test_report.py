"""The calculation record: whole, in order, true to the results, and readable on paper."""

from __future__ import annotations

import json
import math
import re
import shutil
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import lxml.html
import numpy as np
import openpyxl
import pandas as pd
import pytest
from builders import job, pile
from matplotlib import font_manager
from matplotlib.ft2font import FT2Font
from pypdf import PdfReader

from sheetengine.__main__ import main
from sheetengine.books import printing
from sheetengine.books.lettering import text_width
from sheetengine.books.paper import _BODY, GRID, _composed, laid_out
from sheetengine.calculation_record.governing import CHECKS, SEVERITY, governing_rows, lift_table
from sheetengine.calculation_record.inputs import WIDEST, inputs_part
from sheetengine.calculation_record.page import as_page
from sheetengine.calculation_record.parts import CalculationRecord
from sheetengine.calculation_record.record import Origin, calculation_record
from sheetengine.clauses import din18218
from sheetengine.clauses.record import record_of
from sheetengine.demos import demo_file, demo_named
from sheetengine.job import Job, Results
from sheetengine.run import calculate, flags_now, read_book, result_contents, write_results

needs_office = pytest.mark.usefixtures("convert")


def recorded(one: Job, results: Results, paper: str = "", warning: str = "") -> CalculationRecord:
    flags = flags_now(results)
    return calculation_record(
        one, results, (flags.entries, flags.events), result_contents(results, flags),
        Origin("book.xlsx", "2031-05-01 08:00", "2031-05-02 09:00", warning), paper,
    )  # fmt: skip


def of_demo(name: str, **more: str) -> tuple[Job, Results, CalculationRecord]:
    one = read_book(demo_file(demo_named(name)))
    results = calculate(one)
    return one, results, recorded(one, results, **more)


@pytest.fixture(scope="module")
def dam() -> tuple[Job, Results, CalculationRecord]:
    return of_demo("gravity-dam")


@pytest.fixture
def ran(tmp_path: Path) -> Path:
    """A demo book with results, and a flag that somebody signed."""
    book = tmp_path / "power.xlsx"
    shutil.copy(demo_file(demo_named("lock-wall")), book)
    write_results(book, calculate(read_book(book)))
    opened = openpyxl.load_workbook(book)
    flags: Any = opened["Flags"]
    head = next(row for row in flags.iter_rows() if any(cell.value == "Initials" for cell in row))
    places = {cell.value: cell.column for cell in head}
    first = head[0].row + 1
    flags.cell(first, places["Initials"], "Q. Z.")
    flags.cell(first, places["Remark"], "seen on site <ok>")
    opened.save(book)
    return book


def words_of(page: Any) -> str:
    return re.sub(r"\s+", " ", page.extract_text())


@needs_office
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_printed_record_is_what_an_office_files(
    ran: Path, tmp_path: Path, paper: str, capsys: Any
) -> None:
    target = tmp_path / "record.pdf"
    assert main(["report", str(ran), "--to", str(target), "--paper", paper, "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert told["record"] == str(target) and told["states"]["Signed"] == 1
    one = read_book(ran)
    reader = PdfReader(target)
    pages = [words_of(page) for page in reader.pages]
    width, height = {"A4": (595.3, 841.9), "Letter": (612.0, 792.0)}[paper]
    for number, (page, text) in enumerate(zip(reader.pages, pages, strict=True), start=1):
        assert float(page.mediabox.width) == pytest.approx(width, abs=1.0)
        assert float(page.mediabox.height) == pytest.approx(height, abs=1.0)
        assert one.text("Project") in text
        assert f"Revision {one.text('Revision')}" in text and one.digest[:16] in text
        assert f"Page {number} of {len(pages)}" in text
        assert len(text) > 120, f"page {number} is empty"
    # the list of contents tells the truth, and so does the outline
    outline = {item.title: reader.get_destination_page_number(item) + 1 for item in reader.outline}  # type: ignore[union-attr, arg-type]
    assert [title.split(" ", 1)[1] for title in outline] == [
        "Inputs", "Methods, factors, assumptions", "Governing rows", "Robustness and hold points", "Flags and signatures",
        "Charts", "Sources",
    ]  # fmt: skip
    for title, page_number in outline.items():
        assert f"{title.split(' ', 1)[1]} page {page_number}" in pages[0]
        assert re.search(
            rf"{title.split(' ')[0]} +{re.escape(title.split(' ', 1)[1])}", pages[page_number - 1]
        )
    whole = " ".join(pages)
    assert one.digest in pages[0].replace(" ", "")
    assert "Q. Z." in whole and "seen on site" in whole and "Signature" in pages[0]
    assert "never replace" in pages[0]
    for name in ("Pressure method", "Anchor method", "Safety basis"):
        assert one.text(name) in pages[0]
    assert str(reader.metadata.title).endswith(one.text("Project"))  # type: ignore[union-attr]
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]  # tagged, for readers that speak  # type: ignore[index]


def test_stale_and_edited_results_are_not_filed(ran: Path, tmp_path: Path, capsys: Any) -> None:
    bare = tmp_path / "bare.xlsx"
    shutil.copy(demo_file(demo_named("lock-wall")), bare)
    target = tmp_path / "out.html"
    stale = tmp_path / "stale.xlsx"
    edited = tmp_path / "edited.xlsx"
    opened = openpyxl.load_workbook(ran)
    lifts: Any = opened["Lifts"]
    head = next(
        row for row in lifts.iter_rows() if any(str(cell.value).startswith("Air temperature") for cell in row)
    )
    column = next(cell.column for cell in head if str(cell.value).startswith("Air temperature"))
    lifts.cell(head[0].row + 1, column, 61.0)
    opened.save(stale)
    opened = openpyxl.load_workbook(ran)
    pressures: Any = opened["Pressures"]
    head = next(row for row in pressures.iter_rows() if any(cell.value == "Panel ratio" for cell in row))
    column = next(cell.column for cell in head if cell.value == "Panel ratio")
    pressures.cell(head[0].row + 1, column, 0.11)
    opened.save(edited)
    for book, word in ((bare, "NOT RUN"), (stale, "STALE"), (edited, "EDITED")):
        assert main(["report", str(book), "--to", str(target)]) == 3
        assert word in capsys.readouterr().err and not target.exists()
        assert main(["report", str(book), "--to", str(target), "--stale"]) == 1
        page = lxml.html.fromstring(target.read_bytes())
        heads = page.xpath("//td[@class='head']")
        assert len(heads) == 8 and all(word in head.text_content() for head in heads)
        assert word in page.xpath("//p[@class='warning']")[0].text
        target.unlink()
        capsys.readouterr()


def test_without_the_office_program_it_is_a_page(
    ran: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    monkeypatch.setenv(printing.OFFICE_VARIABLE, "no-such-program")
    assert main(["report", str(ran)]) == 1
    made = ran.with_name("power calculation record.html")
    assert made.is_file() and "browser" in capsys.readouterr().err
    assert main(["report", str(ran), "--to", str(ran.with_name("x.pdf"))]) == 3
    assert "LibreOffice" in capsys.readouterr().err
    assert main(["report", str(ran), "--to", str(ran.with_name("x.docx"))]) == 3


class _Balance(HTMLParser):
    """Finds tags that are not closed in order."""

    VOID = frozenset({"meta", "col", "br", "path", "use", "rect", "image"})

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.ids: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.ids += [value for name, value in attrs if name == "id" and value]
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.ids += [value for name, value in attrs if name == "id" and value]

    def handle_endtag(self, tag: str) -> None:
        if tag not in self.VOID:
            assert self.open.pop() == tag


def test_the_page_is_whole_and_needs_nothing_from_elsewhere(
    dam: tuple[Job, Results, CalculationRecord],
) -> None:
    one, results, record = dam
    text = as_page(record)
    parser = _Balance()
    parser.feed(text)
    assert parser.open == []
    page = lxml.html.fromstring(text)
    assert page.get("lang") == "en"
    targets = {link.get("href") for link in page.xpath("//ol//a")}
    assert targets == {f"#part{number}" for number in range(1, 8)} <= {f"#{name}" for name in parser.ids}
    outside = re.findall(r"""(?:src|href)=["'](?!#)([^"']+)""", text)
    assert outside == [] and "<script" not in text and "@import" not in text
    figures = page.xpath("//figure[@role='img']")
    assert len(figures) == len(record.parts[5].charts) >= 9
    assert all(
        len(figure.get("aria-label")) > 30 and figure.xpath(".//*[local-name()='svg']") for figure in figures
    )
    for table in page.xpath("//table[@class='rows']"):
        assert table.xpath(".//th[@scope='col']") and table.xpath("./caption")
    told = page.text_content()
    for finding in results.findings:
        assert finding.message in told
    for source, _ in results.formulas:
        assert source.document in told and source.place in told
    for lift in one.table("Lifts").label("lift"):
        assert str(lift) in told


def test_text_of_a_cell_stays_text(tmp_path: Path) -> None:
    hostile = '<img src=x onerror="alert(1)"> & =1+1'
    one = job(job={"Project": hostile, "Revision": "<b>2</b>"})
    record = recorded(one, calculate(one))
    page = lxml.html.fromstring(as_page(record))
    assert not page.xpath("//img") and not page.xpath("//b")
    assert hostile in page.text_content()
    for sheet in laid_out(record).workbook.worksheets:
        for row in sheet.iter_rows():
            assert all(cell.data_type != "f" for cell in row)


def test_the_governing_row_is_the_worst(dam: tuple[Job, Results, CalculationRecord]) -> None:
    _, results, _ = dam
    for check in CHECKS:
        frame = results.frames[check.sheet]
        if frame.empty:
            continue
        shown = governing_rows(check, frame)
        groups = frame.groupby(check.group, sort=False) if check.group else [("all", frame)]
        for name, rows in groups:
            own = shown[shown[check.group] == name] if check.group else shown.head(1)
            worst = max(rows["Verdict"], key=SEVERITY.index)
            assert own["Verdict"].iloc[0] == worst
            alike = rows[rows["Verdict"] == worst]
            for names, pick in ((check.ratios, np.nanmax), (check.margins, np.nanmin)):
                headings = [h for h in frame.columns if h.split(" [")[0] in names]
                values = alike[headings].to_numpy(dtype=float)
                if headings and not np.isnan(values).all():
                    assert pick(own[headings].to_numpy(dtype=float)[0]) == pick(values)


def test_every_lift_shows_its_worst(dam: tuple[Job, Results, CalculationRecord]) -> None:
    one, results, _ = dam
    table = lift_table(results)
    heads = [look.heading for look in table.columns]
    shown = pd.DataFrame(list(map(list, table.rows)), columns=heads)
    lifts = one.table("Lifts")
    assert list(zip(shown["Block"], shown["Lift"], strict=True)) == [
        (str(block), str(lift)) for block, lift in zip(lifts.label("block"), lifts.label("lift"), strict=True)
    ]
    anchors = results.frames["Anchor demand"]
    for row in shown.itertuples(index=False):
        own = anchors[(anchors["Block"] == row[0]) & (anchors["Lift"] == row[1])]
        if own["Verdict"].isin(["Within"]).all() and len(own):
            assert row[heads.index("Anchor ratio")] == own["Demand ratio"].max()
        gates = results.frames["Strength ready"]
        gates = gates[(gates["Block"] == row[0]) & (gates["Lift"] == row[1])]
        if gates["Verdict"].isin(["Within"]).all() and len(gates):
            assert row[heads.index("Least margin [h]")] == gates["Margin [h]"].min()


def test_departures_from_the_plan_and_hold_points() -> None:
    """Counted again row by row from the result sheets."""
    _, results, record = of_demo("lock-wall")
    part = next(part for part in record.parts if part.title == "Robustness and hold points")
    robust, points = part.tables
    frame = results.frames["Robustness"].to_dict("records")
    assert robust.rows[0][0] == "As planned" and len(robust.rows) == 6
    for name, failing, missing, lift, ratio, first in robust.rows:
        ratios = [row[f"{name}, ratio"] for row in frame]
        assert failing == sum(value > 1.0 for value in ratios) > 0
        assert missing == sum(value != value for value in ratios)  # noqa: PLR0124
        worst = next(row for row in frame if f"{row['Block']}/{row['Lift']}" == lift)
        assert worst[f"{name}, ratio"] == max(value for value in ratios if value == value)  # noqa: PLR0124
        assert ratio == ("never enough" if worst[f"{name}, ratio"] == math.inf else worst[f"{name}, ratio"])
        assert worst[f"{name}, first to fail"] == f"FAILS: {first}"
    states: dict[tuple[str, str], list[Any]] = {}
    for row in results.frames["Hold points"].to_dict("records"):
        states.setdefault((row["Block"], row["Lift"]), []).append(row)
    touched = [key for key, rows in states.items() if any(row["Released by"] for row in rows)]
    assert [tuple(row[:2]) for row in points.rows] == touched and touched
    assert f"{len(states) - len(touched)} lifts" in points.note
    for row in points.rows:
        own = states[row[0], row[1]]
        assert row[2].startswith(f"{sum(one['State'] == 'Released' for one in own)} of {len(own)}")
        following = next(one for one in own if one["State"] != "Released")
        assert row[4:] == [
            f"{following['Hold point']} {following['Name']}",
            following["State"],
            following["Against"],
        ]


def test_inputs_are_all_there_in_the_units_of_the_results() -> None:
    """A US book shows what was typed: its own numbers, in its own units."""
    book = demo_file(demo_named("lock-wall"))
    one = read_book(book)
    part = inputs_part(one, us=True)
    table = next(table for table in part.tables if table.title == "Form units")
    opened: Any = openpyxl.load_workbook(book, data_only=True)["Form units"]
    head = next(row for row in opened.iter_rows() if any(str(cell.value) == "Unit" for cell in row))
    typed = {
        str(cell.value): [opened.cell(row, cell.column).value for row in range(cell.row + 1, cell.row + 4)]
        for cell in head if cell.value
    }  # fmt: skip
    shown = {row[0]: list(row[1:]) for row in table.rows}
    seen = 0
    for heading, values in typed.items():
        if heading in shown:
            for value, text in zip(values, shown[heading], strict=True):
                if isinstance(value, (int, float)):
                    assert float(text) == pytest.approx(value, rel=1e-6), heading
                    seen += 1
    assert seen > 30


def test_wide_and_long_sheets_are_split_and_nothing_is_lost() -> None:
    lifts = pile(30)
    one = job(lifts=lifts)
    part = inputs_part(one, us=False)
    pieces = [table for table in part.tables if table.title.startswith("Lifts")]
    for table in pieces:
        assert len(table.rows) == 30 and sum(look.width for look in table.columns) <= WIDEST + 1e-6
        assert [look.heading for look in table.columns[:2]] == ["Block", "Lift"]
    headings = {look.heading for table in pieces for look in table.columns}
    assert {"Height [m]", "Rise rate [m/h]", "Placed", "Mix", "Unit"} <= headings


@pytest.mark.parametrize("name", ["gravity-dam", "lock-wall"])
def test_lines_fit_in_the_widest_letters(name: str) -> None:
    """The letters of DejaVu Sans, the widest that stand in for ours, measured by FreeType: no line leaves its cell."""
    record = of_demo(name)[2]
    pages, _ = _composed(record)
    faces = {
        bold: FT2Font(font_manager.findfont(font_manager.FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal")))
        for bold in (False, True)
    }  # fmt: skip
    unit = (210.0 if record.paper == "A4" else 215.9) - 30.0
    over, seen = [], 0
    for page in pages:
        for row in page.rows:
            for cell in row.cells:
                if "title" in cell.look.place or cell.look.font.size > _BODY + 0.5:
                    continue
                face = faces[bool(cell.look.font.b)]
                face.set_size(cell.look.font.size, 72.0)
                for line in cell.text.split("\n"):
                    face.set_text(line)
                    wide = face.get_width_height()[0] / 64.0 * 25.4 / 72.0
                    seen += 1
                    if wide > unit / GRID * (cell.last - cell.first + 1) and " " in line:
                        over.append((line, wide))
    assert seen > 1500
    assert len(over) <= seen // 500, over[:5]


def test_width_of_a_text_is_never_far_below_the_true_one() -> None:
    face = FT2Font(font_manager.findfont("DejaVu Sans"))
    face.set_size(9.0, 72.0)
    for text in (
        "Anchors in lift M8/7 are loaded (M8/7 Hung on the new lift)",
        "EN 1992-4:2018, 7.2.1.4 Eq. (7.2)",
        "2031-12-13 07:00",
    ):
        face.set_text(text)
        true = face.get_width_height()[0] / 64.0 * 25.4 / 72.0
        assert 0.95 * true <= text_width(text, 9.0) <= 1.2 * true


def test_pages_are_not_overfull(dam: tuple[Job, Results, CalculationRecord]) -> None:
    pages, begins = _composed(dam[2])
    for page in pages:
        assert sum(row.height for row in page.rows) <= (297.0 - 22.0 - 17.0) * 72.0 / 25.4
        assert all(row.height <= 409.0 for row in page.rows)
    assert begins == sorted(begins) and begins[0] >= 2


def test_only_what_was_evaluated_is_named_as_a_source() -> None:
    """A book by ACI names no clause of DIN 18218, and one by DIN 18218 does."""
    aci = calculate(job(job={"Pressure method": "ACI 347R-14 SI"}))
    din = calculate(job(job={"Pressure method": "DIN 18218:2010"}))
    document = record_of(din18218.temperature_factor).source.document
    assert document in {source.document for source, _ in din.formulas}
    assert document not in {source.document for source, _ in aci.formulas}
    assert any("ACI 347R" in source.document for source, _ in aci.formulas)
