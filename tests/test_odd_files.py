"""Files that no command can use: each is told in words, with status 3, and stays as it was."""

from __future__ import annotations

import shutil
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
import xlsxwriter
from packages import Injection, inject, parts_of, write_parts

from sheetengine.__main__ import main
from sheetengine.demos import DEMOS, demo_file

Convert = Callable[[Path, str], Path]
Make = Callable[[Path], None]
SHEET = "xl/worksheets/sheet2.xml"


def demo(path: Path) -> None:
    shutil.copy(demo_file(DEMOS[0]), path)


def compound(*streams: str) -> Make:
    """Return a maker of a compound file whose directory names the streams."""

    def make(path: Path) -> None:
        entries = b"".join(name.encode("utf-16-le").ljust(64, b"\0") + bytes(64) for name in streams)
        path.write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(504) + entries + bytes(4096))

    return make


def binary_book(path: Path) -> None:
    relation = '<Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="{}"/>'
    write_parts(
        path,
        {
            "[Content_Types].xml": b'<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>',
            "_rels/.rels": (
                '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
                + relation.format("odd/book.bin")
                + "</Relationships>"
            ).encode(),
            "odd/book.bin": b"\x83\x01\x00",
        },
    )


def cut(share: float) -> Make:
    def make(path: Path) -> None:
        demo(path)
        content = path.read_bytes()
        path.write_bytes(content[: int(len(content) * share)])

    return make


def spoilt(part: str, *, stored: bool) -> Make:
    """Return a maker of a book in which the middle of a member was overwritten: its check sum no longer fits."""

    def make(path: Path) -> None:
        kind = zipfile.ZIP_STORED if stored else zipfile.ZIP_DEFLATED
        with zipfile.ZipFile(demo_file(DEMOS[0])) as source, zipfile.ZipFile(path, "w", kind) as archive:
            for name in source.namelist():
                archive.writestr(name, source.read(name))
        with zipfile.ZipFile(path) as archive:
            info = archive.getinfo(part)
        content = bytearray(path.read_bytes())
        middle = info.header_offset + 30 + len(part) + info.compress_size // 2
        content[middle : middle + 8] = bytes(byte ^ 0xFF for byte in content[middle : middle + 8])
        path.write_bytes(content)

    return make


def declared(part: str, size: int) -> Make:
    """Return a maker of a book that says of a member that it unpacks to so many bytes."""

    def make(path: Path) -> None:
        demo(path)
        content = bytearray(path.read_bytes())
        at = content.find(b"PK\x01\x02")
        while content[at + 46 : at + 46 + len(part)] != part.encode():
            at = content.find(b"PK\x01\x02", at + 4)
        struct.pack_into("<L", content, at + 24, size)
        path.write_bytes(content)

    return make


def packed_tight(path: Path) -> None:
    """A member of 80 MB of blanks in 80 kB."""
    parts = parts_of(demo_file(DEMOS[0]))
    parts[SHEET] = parts[SHEET].replace(b"<sheetData>", b"<sheetData>" + b" " * 80_000_000)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)


def names_in_names(path: Path) -> None:
    """An XML part whose names stand for names, ten times each, nine deep."""
    lines = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 10))
    parts = parts_of(demo_file(DEMOS[0]))
    text = f'<!DOCTYPE worksheet [<!ENTITY a0 "0123456789">{lines}]>'
    parts[SHEET] = (
        text + '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
        '<row r="1"><c r="A1" t="inlineStr"><is><t>&a9;</t></is></c></row></sheetData></worksheet>'
    ).encode()
    write_parts(path, parts)


def locked_member(path: Path) -> None:
    """A zip file whose members say that they are under a password."""
    demo(path)
    content = bytearray(path.read_bytes())
    at = content.find(b"PK\x01\x02")
    while at >= 0:
        content[at + 8] |= 1
        at = content.find(b"PK\x01\x02", at + 4)
    path.write_bytes(content)


FILES: dict[str, tuple[str, Make, str]] = {
    "xlsb": ("book.xlsb", binary_book, "binary workbook (.xlsb). Save it as .xlsx"),
    "xls": ("book.xls", compound("Root Entry", "Workbook"), "the old .xls kind"),
    "password": (
        "book.xlsx",
        compound("Root Entry", "EncryptionInfo", "EncryptedPackage"),
        "protected by a password",
    ),
    "password of the zip file": ("book.xlsx", locked_member, "damaged"),
    "cut early": ("book.xlsx", cut(0.3), "damaged or only partly copied"),
    "cut late": ("book.xlsx", cut(0.99), "damaged or only partly copied"),
    "check sum": ("book.xlsx", spoilt(SHEET, stored=True), "Bad CRC-32"),
    "broken packing": ("book.xlsx", spoilt(SHEET, stored=False), "damaged"),
    "broken packing of the book": ("book.xlsx", spoilt("xl/workbook.xml", stored=False), "damaged"),
    "huge by its own word": ("book.xlsx", declared(SHEET, 4_000_000_000), "would unpack to 4,000 MB"),
    "smaller by its own word": ("book.xlsx", declared(SHEET, 50), "damaged"),
    "packed tight": ("book.xlsx", packed_tight, "would unpack to 80 MB"),
    "names in names": ("book.xlsx", names_in_names, "damaged"),
}


@pytest.mark.parametrize("kind", FILES)
def test_each_command_says_what_is_wrong(
    kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    name, make, words = FILES[kind]
    book = tmp_path / name
    make(book)
    before = book.read_bytes()
    for arguments in (
        ["verify", str(book)],
        ["run", str(book)],
        ["run", str(book), "--out", str(tmp_path / "out.xlsx")],
        ["takeoff", str(book), "--to", str(tmp_path / "counts")],
    ):
        assert main(arguments) == 3, arguments
        told = capsys.readouterr().err
        assert words in told
        assert str(book) in told
    assert book.read_bytes() == before
    assert [path.name for path in tmp_path.iterdir()] == [name]


def test_a_book_in_the_old_format_by_another_program(
    tmp_path: Path, convert: Convert, capsys: pytest.CaptureFixture[str]
) -> None:
    xlsxwriter.Workbook(tmp_path / "book.xlsx").close()
    book = convert(tmp_path / "book.xlsx", "xls")
    before = book.read_bytes()
    assert main(["run", str(book)]) == 3
    assert "the old .xls kind" in capsys.readouterr().err
    assert book.read_bytes() == before


def test_a_signed_book_is_read_and_not_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    signature = "http://schemas.openxmlformats.org/package/2006/relationships/digital-signature/origin"
    book = inject(
        demo_file(DEMOS[0]),
        tmp_path / "book.xlsx",
        Injection(
            parts={"_xmlsignatures/origin.sigs": ""},
            relations=[("", signature, "_xmlsignatures/origin.sigs")],
        ),
    )
    before = book.read_bytes()
    for more in ([], ["--out", str(tmp_path / "out.xlsx")]):
        assert main(["run", str(book), *more]) == 3
        assert "digital signature" in capsys.readouterr().err
    assert main(["verify", str(book)]) == 1
    assert main(["takeoff", str(book), "--to", str(tmp_path / "counts")]) == 1
    assert book.read_bytes() == before
    assert not (tmp_path / "out.xlsx").exists()


def test_a_vast_part_that_is_not_read_is_no_fault(tmp_path: Path) -> None:
    """A film or a picture in the office's book is copied as it is packed."""
    parts = parts_of(demo_file(DEMOS[0])) | {"xl/media/film.bin": bytes(80_000_000)}
    book = tmp_path / "book.xlsx"
    with zipfile.ZipFile(book, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    assert main(["run", str(book)]) == 1
    assert len(parts_of(book)["xl/media/film.bin"]) == 80_000_000
