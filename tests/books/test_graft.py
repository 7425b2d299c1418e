"""Result sheets go into the office's book, and nothing else in it changes: books of every kind, compared by bytes."""

from __future__ import annotations

import os
import random
import re
import signal
import struct
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
from awkward_zips import Pipe
from office_books import BOOKS, HARD_BOOKS, INJECTED, injected, make
from package_checks import (
    MOMENT,
    assert_office_untouched,
    assert_ours_arrive,
    assert_sound,
    assert_styles_appended,
    demand,
    flags,
    look_of,
    may_change,
    raw_members,
    render_once,
    run,
)
from packages import parts_of, strict_form, write_parts

from sheetengine.books import saving
from sheetengine.books.parts import TYPES, open_package
from sheetengine.books.reading import read_grids
from sheetengine.books.xml_splice import Document
from sheetengine.content import SheetContent
from sheetengine.exceptions import BookUnreadable, BookUnwritable

pytestmark = pytest.mark.filterwarnings(
    "ignore::UserWarning:openpyxl"
)  # what openpyxl cannot keep of the office's


@pytest.mark.parametrize("name", BOOKS)
def test_the_office_keeps_every_byte_and_ours_arrive_right(tmp_path: Path, name: str) -> None:
    before = make(name, tmp_path)
    after = run(before, tmp_path / f"after{before.suffix}")
    assert_office_untouched(before, after)
    assert_sound(after)
    assert_styles_appended(before, after)
    old, new = openpyxl.load_workbook(before), openpyxl.load_workbook(after)
    assert new.sheetnames == [*old.sheetnames, "Flags", "Anchor demand"]
    taken = {table for sheet in old.worksheets for table in sheet.tables} | set(old.defined_names)
    assert_ours_arrive(new, taken, old.epoch.year == 1904)
    assert new.active.title == old.active.title
    assert new.calculation.fullCalcOnLoad
    for sheet in old.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                assert look_of(new[sheet.title][cell.coordinate]) == look_of(cell)
        for what in ("print_title_rows", "print_area"):
            assert getattr(new[sheet.title], what) == getattr(sheet, what)


@pytest.mark.parametrize("name", [*INJECTED, *HARD_BOOKS])
def test_parts_put_in_by_hand_keep_every_byte(tmp_path: Path, name: str) -> None:
    before = injected(name, tmp_path) if name in INJECTED else make(name, tmp_path)
    after = run(before, tmp_path / f"after{before.suffix}")
    assert_office_untouched(before, after)
    assert_sound(after)
    assert read_grids(after, ["Flags"])["Flags"].rows[-1][0] == "NOT-2"


@pytest.mark.parametrize("name", [*BOOKS, *HARD_BOOKS, *INJECTED])
def test_ten_runs_are_one_run(tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    render_once(monkeypatch)
    book = injected(name, tmp_path) if name in INJECTED else make(name, tmp_path)
    once = run(book).read_bytes()
    for _ in range(3):
        run(book)
        assert book.read_bytes() == once
    other = run(book, None, flags(), demand("Near limit"))
    for _ in range(6):
        run(other)
    assert other.read_bytes() == once


@pytest.mark.parametrize("name", ["text boxes and shapes", "charts", "tables and names"])
def test_strict_books(tmp_path: Path, name: str, convert: Callable[[Path, str], Path]) -> None:
    before = strict_form(make(name, tmp_path), tmp_path / "strict.xlsx")
    after = run(before, tmp_path / "after.xlsx")
    assert_office_untouched(before, after)
    assert_sound(after)
    new = set(parts_of(after)) - set(parts_of(before))
    assert not any(
        b"http://schemas.openxmlformats.org/spreadsheetml" in parts_of(after)[part] for part in new
    )
    assert not any(b"/officeDocument/2006/" in parts_of(after)[part] for part in new)
    once = after.read_bytes()
    assert run(after).read_bytes() == once
    assert read_grids(after, ["Flags"])["Flags"].rows[-1][0] == "NOT-2"
    opened = openpyxl.load_workbook(convert(after, "xlsx"))
    assert opened.sheetnames[-2:] == ["Flags", "Anchor demand"]
    texts = [cell.value for row in opened["Anchor demand"].iter_rows() for cell in row]
    assert "A & <B>" in texts
    assert MOMENT in texts
    assert len(opened["Anchor demand"]._charts) == 1


@pytest.mark.parametrize("name", ["text boxes and shapes", "tables and names", "pictures", "odd spelling"])
def test_libreoffice_opens_the_book_and_its_own_book_is_kept(
    tmp_path: Path, name: str, convert: Callable[[Path, str], Path]
) -> None:
    first = convert(run(make(name, tmp_path), tmp_path / "first.xlsx"), "xlsx")
    opened = openpyxl.load_workbook(first)
    assert opened.sheetnames[-2:] == ["Flags", "Anchor demand"]
    head = next(row for row in opened["Anchor demand"].iter_rows() if row[0].value == "Block")
    below = opened["Anchor demand"][head[0].row + 1]
    assert [cell.value for cell in below[:4]] == ["A & <B>", 0.5, "Within", MOMENT]
    assert below[1].number_format == "#,##0.00"
    assert head[0].font.b
    # what LibreOffice saved is the office's book now, our old sheets in it
    kept = set(parts_of(first))
    again = run(first, tmp_path / "again.xlsx")
    assert_sound(again)
    old, new = raw_members(first), raw_members(again)
    with open_package(first) as package:
        ours = {sheet.part for sheet in package.sheets if sheet.ours}
        own = package.reached(sorted(ours)) - package.reached([""], apart=frozenset(ours))
    changing = may_change(first)
    for part in kept - changing:
        belongs = part in own or re.sub(r"_rels/|\.rels$", "", part) in own
        assert belongs or new[part] == old[part], part
    once = again.read_bytes()
    assert run(again).read_bytes() == once


def test_the_sheets_of_an_earlier_run_go_with_all_that_is_theirs(tmp_path: Path) -> None:
    book = make("tables and names", tmp_path)
    before = set(parts_of(book))
    run(book)
    run(book, None, SheetContent("Run record", "Run record", [], []))
    new = set(parts_of(book)) - before
    assert len(new) == 1
    assert openpyxl.load_workbook(book).sheetnames[-1] == "Run record"
    types = parts_of(book)[TYPES].decode()
    assert types.count("worksheet+xml") == len(openpyxl.load_workbook(book).sheetnames)
    names = parts_of(book)["xl/workbook.xml"].decode()
    assert names.count("_sheetengine_result") == 1


def test_new_sheets_stand_where_the_old_ones_were_and_names_follow_their_sheets(tmp_path: Path) -> None:
    book = run(make("tables and names", tmp_path))
    moved = openpyxl.load_workbook(book)
    moved.move_sheet("Flags", -moved.sheetnames.index("Flags"))
    moved.move_sheet("Anchor demand", -1)
    moved.active = moved.sheetnames.index("Printed")
    moved.save(book)
    names = openpyxl.load_workbook(book).sheetnames
    run(book, None, SheetContent("Run record", "Run record", [], []), demand(), flags())
    after = openpyxl.load_workbook(book)
    assert names[0] == "Flags"
    assert after.sheetnames == ["Run record", *names], "what is new stands before the first of ours"
    assert after["Printed"].print_title_rows == "$1:$2"
    assert after["Printed"].print_area == "'Printed'!$A$1:$C$9"
    assert after.active.title == "Printed"
    assert after["Flags"].print_title_rows


def test_a_book_that_opens_on_one_of_our_sheets_still_does(tmp_path: Path) -> None:
    book = run(make("tables and names", tmp_path))
    opened = openpyxl.load_workbook(book)
    opened.active = opened.sheetnames.index("Anchor demand")
    for sheet in opened.worksheets:
        sheet.sheet_view.tabSelected = sheet is opened.active
    opened.save(book)
    again = openpyxl.load_workbook(run(book))
    assert again.active.title == "Anchor demand"
    assert [s.title for s in again.worksheets if s.sheet_view.tabSelected] == ["Anchor demand"]


def test_titles_in_the_properties_follow(tmp_path: Path) -> None:
    book = make("tables and names", tmp_path)
    run(book)
    root = Document(parts_of(book)["docProps/app.xml"]).root
    titles = root.find("TitlesOfParts")
    assert titles is not None
    texts = [node.text for node in titles.children[0].children]
    sheets = openpyxl.load_workbook(book).sheetnames
    assert texts[: len(sheets)] == sheets
    assert int(titles.children[0].get("size")) == len(texts)
    pairs = root.find("HeadingPairs")
    assert pairs is not None
    assert pairs.children[0].children[1].children[0].text == str(len(sheets))


def test_a_calculation_chain_goes_only_where_it_would_name_cells_that_are_gone(tmp_path: Path) -> None:
    book = run(injected("calculation chain", tmp_path))
    assert "xl/calcChain.xml" in parts_of(run(book))
    parts = parts_of(book)
    with open_package(book) as package:
        part = next(sheet.part for sheet in package.sheets if sheet.name == "Flags")
    parts[part] = parts[part].replace(
        b"</sheetData>", b'<row r="99"><c r="A99"><f>1+1</f><v>2</v></c></row></sheetData>'
    )
    write_parts(book, parts)
    run(book)
    assert "xl/calcChain.xml" not in parts_of(book)
    assert_sound(book)


@pytest.mark.parametrize("name", ["Flags", "FLAGS", "anchor demand"])
def test_a_sheet_of_the_office_under_our_name_is_refused(tmp_path: Path, name: str) -> None:
    book = openpyxl.Workbook()
    book.create_sheet(name)["A1"] = "the office's own"
    book.save(tmp_path / "a.xlsx")
    before = (tmp_path / "a.xlsx").read_bytes()
    with pytest.raises(BookUnwritable, match=f'sheet "{name}" that this engine did not write'):
        run(tmp_path / "a.xlsx")
    assert (tmp_path / "a.xlsx").read_bytes() == before
    assert [entry.name for entry in tmp_path.iterdir()] == ["a.xlsx"]


def test_a_signed_book_is_refused(tmp_path: Path) -> None:
    book = injected("digital signature", tmp_path, refused=True)
    before = book.read_bytes()
    with pytest.raises(BookUnwritable, match="digital signature, which any change would break"):
        run(book)
    assert book.read_bytes() == before


def test_the_ending_must_fit_the_macros(tmp_path: Path) -> None:
    macros = injected("macros", tmp_path)
    with pytest.raises(BookUnwritable, match=r"must end in \.xlsm"):
        run(macros, tmp_path / "out.xlsx")
    plain = make("charts", tmp_path)
    with pytest.raises(BookUnwritable, match=r"must end in \.xlsx"):
        run(plain, tmp_path / "out.xlsm")
    out = run(plain, tmp_path / "out.xltx")
    assert b"spreadsheetml.template.main+xml" in parts_of(out)[TYPES]
    assert b"spreadsheetml.sheet.main+xml" in parts_of(run(out, tmp_path / "back.xlsx"))[TYPES]


@pytest.mark.parametrize(
    ("part", "content"),
    [("xl/styles.xml", b"<styleSheet><fonts>"), ("xl/_rels/workbook.xml.rels", b"no xml"), (TYPES, b"")],
)
def test_a_damaged_part_is_told_and_nothing_is_written(tmp_path: Path, part: str, content: bytes) -> None:
    book = make("charts", tmp_path)
    write_parts(book, parts_of(book) | {part: content})
    before = book.read_bytes()
    with pytest.raises(BookUnreadable):
        run(book)
    assert book.read_bytes() == before
    assert sorted(entry.name for entry in tmp_path.iterdir()) == [book.name]


@pytest.mark.parametrize("fails", ["replace", "fsync"])
def test_a_full_disk_leaves_the_book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fails: str) -> None:
    book = make("charts", tmp_path)
    before = book.read_bytes()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(saving.os, fails, full)
    with pytest.raises(BookUnwritable, match=r"No space left.*as it was"):
        run(book)
    assert book.read_bytes() == before
    assert [entry.name for entry in tmp_path.iterdir()] == [book.name]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="processes that are killed")
def test_a_run_killed_at_any_moment_leaves_the_old_book_or_the_new_one(tmp_path: Path) -> None:
    book = make("charts", tmp_path)
    old = book.read_bytes()
    begun = time.perf_counter()
    new = run(book, tmp_path / "new.xlsx").read_bytes()
    took = time.perf_counter() - begun
    chance = random.Random(7)
    moments = [0.0, *(chance.uniform(0.0, 1.5 * took) for _ in range(40)), None]
    for moment in moments:
        book.write_bytes(old)
        child = os.fork()
        if child == 0:
            try:
                run(book)
            finally:
                os._exit(0)
        if moment is not None:
            time.sleep(moment)
            os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        assert book.read_bytes() in (old, new)
    assert book.read_bytes() == new, "the last one ran to its end"


@pytest.mark.skipif(not hasattr(os, "fork"), reason="processes side by side")
def test_two_runs_at_once_leave_the_book_of_one_of_them(tmp_path: Path) -> None:
    book = make("charts", tmp_path)
    contents = [(flags(), demand(word)) for word in ("Within", "Near limit")]
    each = {run(book, tmp_path / f"{place}.xlsx", *c).read_bytes() for place, c in enumerate(contents)}
    for _ in range(5):
        children = []
        for some in contents:
            child = os.fork()
            if child == 0:
                try:
                    run(book, None, *some)
                finally:
                    os._exit(0)
            children.append(child)
        for child in children:
            os.waitpid(child, 0)
        assert book.read_bytes() in each


@pytest.mark.skipif(os.name != "posix", reason="permission bits and links")
def test_permission_bits_and_links_stay(tmp_path: Path) -> None:
    book = make("charts", tmp_path)
    book.chmod(0o640)
    link = tmp_path / "link.xlsx"
    link.symlink_to(book)
    run(link)
    assert link.is_symlink()
    assert book.stat().st_mode & 0o777 == 0o640
    assert "Flags" in openpyxl.load_workbook(book).sheetnames


def test_zip_members_of_every_make_are_copied(tmp_path: Path) -> None:
    """Members with sizes behind the data, extra fields, comments, and not compressed at all."""
    plain = make("charts", tmp_path)

    pipe = Pipe()
    with zipfile.ZipFile(pipe, "w", zipfile.ZIP_DEFLATED) as archive:  # type: ignore[arg-type]
        archive.comment = b"kept"
        for place, (name, content) in enumerate(parts_of(plain).items()):
            info = zipfile.ZipInfo(name, (2031, 4, 2, 7, 30, 2 * (place % 30)))
            info.compress_type = (zipfile.ZIP_DEFLATED, zipfile.ZIP_STORED)[place % 2]
            info.comment = b"note"
            info.extra = struct.pack("<HHHH", 0xA220, 4, place, 0)
            with archive.open(info, "w", force_zip64=place % 3 == 0) as stream:
                stream.write(content)
    book = tmp_path / "piped.xlsx"
    book.write_bytes(pipe.content)
    after = run(book, tmp_path / "after.xlsx")
    assert_office_untouched(book, after)
    assert_sound(after)
    with zipfile.ZipFile(after) as archive:
        assert archive.comment == b"kept"
        assert archive.getinfo("docProps/core.xml").comment == b"note"
    assert openpyxl.load_workbook(after).sheetnames[-1] == "Anchor demand"


def test_reviewed_styles_do_not_pile_up_after_another_program_saved_the_book(tmp_path: Path) -> None:
    book = run(make("charts", tmp_path))
    sizes = []
    for _ in range(4):
        openpyxl.load_workbook(book).save(book)
        run(book)
        with open_package(book) as package:
            sizes.append(len(package.read(package.target_of(package.workbook, "styles"))))
    assert sizes[-1] == sizes[1]


def test_large_books_cost_the_copy_of_our_sheets_only(tmp_path: Path) -> None:
    """A book of 20 MB that cannot be compressed is copied in blocks: property, memory stays far below its size."""
    import tracemalloc

    book = make("charts", tmp_path)
    parts = parts_of(book)
    heavy = tmp_path / "heavy.xlsx"
    write_parts(heavy, parts)
    with zipfile.ZipFile(heavy, "a") as archive:
        archive.writestr("xl/media/film.xml", random.Random(1).randbytes(20_000_000))
    run(heavy, tmp_path / "warm.xlsx")
    tracemalloc.start()
    run(heavy, tmp_path / "after.xlsx")
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 8_000_000
    assert_office_untouched(heavy, tmp_path / "after.xlsx")


def test_a_stale_entry_of_the_types_gives_no_second_one(tmp_path: Path) -> None:
    book = make("charts", tmp_path)
    parts = parts_of(book)
    stale = b'<Override PartName="/xl/worksheets/sheet9.xml" ContentType="application/x-old"/></Types>'
    for number in range(2, 9):
        stale = stale.replace(
            b"</Types>",
            b'<Override PartName="/xl/tables/table%d.xml" ContentType="application/x-old"/></Types>' % number,
        )
    parts[TYPES] = parts[TYPES].replace(b"</Types>", stale)
    write_parts(book, parts)
    assert_sound(run(book))
