"""Office books of many kinds, built by the tests themselves."""

from __future__ import annotations

import datetime as dt
import re
import struct
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import xlsxwriter
from packages import BOOK, MICROSOFT, SHEET, Injection, drawing, inject, parts_of, write_parts

Maker = Callable[[Any], None]
"""Fills a workbook of XlsxWriter."""


def png(path: Path) -> Path:
    """Write a picture of one white dot."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", 1, 1, 8, 2, 0, 0, 0)
    path.write_bytes(
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0\xff\xff\xff"))
        + chunk(b"IEND", b"")
    )
    return path


def lifts(book: Any, name: str = "Lifts") -> Any:
    """Add the table of lifts that every book begins with."""
    sheet = book.add_worksheet(name)
    bold = book.add_format({"bold": True, "bg_color": "#EDE6D6", "num_format": "0.000"})
    sheet.write_row(0, 0, ["Block", "Lift", "Height"], bold)
    for row in range(1, 8):
        sheet.write_row(row, 0, [f"B{row}", row, row / 7])
    sheet.write_formula(8, 2, "=SUM(C2:C8)", bold, 4.0)
    return sheet


def _text_boxes(book: Any) -> None:
    sheet = lifts(book)
    sheet.insert_textbox("E2", "A remark", {"fill": {"color": "#FFF0D0"}})
    sheet.insert_shape("E9", "rect") if hasattr(sheet, "insert_shape") else None


def _pictures(book: Any) -> None:
    sheet = lifts(book)
    picture = str(png(Path(book.filename).with_name("dot.png")))
    sheet.insert_image("E2", picture, {"description": "A dot", "url": "https://example.org/"})
    sheet.set_header("&L&G", {"image_left": picture})
    sheet.set_background(picture)
    sheet.embed_image("A12", picture)


def _sparklines(book: Any) -> None:
    lifts(book).add_sparkline("E2", {"range": "Lifts!C2:C8"})


def _controls(book: Any) -> None:
    sheet = lifts(book)
    sheet.insert_button("E2", {"caption": "Press"})
    sheet.insert_checkbox("E5", True)


def _charts(book: Any) -> None:
    lifts(book)
    chart = book.add_chart({"type": "column"})
    chart.add_series({"values": "=Lifts!$C$2:$C$8"})
    book.worksheets()[0].insert_chart("E2", chart)


def _chart_sheet(book: Any) -> None:
    lifts(book)
    chart = book.add_chart({"type": "line"})
    chart.add_series({"values": "=Lifts!$C$2:$C$8"})
    book.add_chartsheet("Curve").set_chart(chart)
    lifts(book, "Behind")


def _conditions(book: Any) -> None:
    sheet = lifts(book)
    sheet.conditional_format("C2:C8", {"type": "data_bar", "data_bar_2010": True})
    sheet.conditional_format("C2:C8", {"type": "icon_set", "icon_style": "3_arrows"})
    sheet.conditional_format(
        "B2:B8", {"type": "cell", "criteria": ">", "value": 3, "format": book.add_format({"italic": True})}
    )
    sheet.data_validation("A2:A8", {"validate": "list", "source": ["A", "B"]})


def _notes(book: Any) -> None:
    sheet = lifts(book)
    sheet.write_comment("A1", "Which block", {"visible": True, "color": "#00FF00", "author": "AB"})
    sheet.write_rich_string("E1", "plain ", book.add_format({"bold": True}), "bold")


def _tables(book: Any) -> None:
    sheet = lifts(book)
    sheet.add_table("E1:F4", {"name": "Flags", "columns": [{"header": "One"}, {"header": "Two"}]})
    sheet.add_table("H1:I4", {"name": "Anchor_demand"})
    book.define_name("Rate", "=Lifts!$C$2")
    hidden = lifts(book, "Kept away")
    hidden.hide()
    printed = lifts(book, "Printed")
    printed.repeat_rows(0, 1)
    printed.print_area("A1:C9")
    printed.autofilter("A1:C8")
    book.define_name("Printed!Own", "=Printed!$A$1")
    printed.activate()


def _spilling(book: Any) -> None:
    lifts(book).write_dynamic_array_formula("E1:E7", "=UNIQUE(A2:A8)")


def _protected(book: Any) -> None:
    sheet = lifts(book)
    sheet.protect("word", {"format_cells": True})
    sheet.unprotect_range("A1:A2", "ours")
    sheet.ignore_errors({"number_stored_as_text": "A1:A9"})
    sheet.outline_settings(True, False, True, False)
    sheet.set_row(3, None, None, {"level": 1})


def _dates(book: Any) -> None:
    sheet = lifts(book)
    sheet.write_datetime(
        "E1", dt.datetime(2031, 4, 2, 7, 30), book.add_format({"num_format": "yyyy-mm-dd hh:mm"})
    )


def _external(book: Any) -> None:
    sheet = lifts(book)
    sheet.write_url("E1", "https://example.org/a?b=1&c=2", string="out")
    sheet.write_url("E2", "internal:Lifts!A1")


_WRITTEN: dict[str, tuple[Maker, dict[str, Any]]] = {
    "text boxes and shapes": (_text_boxes, {}),
    "pictures": (_pictures, {}),
    "sparklines": (_sparklines, {}),
    "buttons and check boxes": (_controls, {}),
    "charts": (_charts, {}),
    "chart sheet": (_chart_sheet, {}),
    "conditions and checks": (_conditions, {}),
    "notes and rich text": (_notes, {}),
    "tables and names": (_tables, {}),
    "spilling formulas": (_spilling, {}),
    "protection and outline": (_protected, {}),
    "dates from 1904": (_dates, {"date_1904": True}),
    "dates from 1900": (_dates, {}),
    "links": (_external, {}),
}


def _written(name: str, path: Path) -> Path:
    maker, options = _WRITTEN[name]
    book = xlsxwriter.Workbook(str(path), options)
    maker(book)
    book.close()
    return path


def _openpyxl(path: Path) -> Path:
    book = openpyxl.Workbook()
    book.active.title = "Lifts"
    for row in range(9):
        book.active.append([f"B{row}", row, row / 7])
    book.active["C3"].number_format = "0.0000"
    book.save(path)
    return path


def _no_styles(path: Path) -> Path:
    parts = parts_of(_openpyxl(path))
    del parts["xl/styles.xml"]
    del parts["docProps/app.xml"]
    for name in ("[Content_Types].xml", "xl/_rels/workbook.xml.rels", "_rels/.rels"):
        parts[name] = re.sub(rb"<(Override|Relationship) [^>]*(styles|app)\.xml[^>]*/>", b"", parts[name])
    parts[SHEET] = re.sub(rb' s="\d+"', b"", parts[SHEET])
    return write_parts(path, parts)


def _odd_spelling(path: Path) -> Path:
    """Unusual places, prefixes and encodings: all allowed by the conventions."""
    parts = parts_of(_written("tables and names", path))
    book, styles, rels = (
        parts.pop("xl/workbook.xml"),
        parts["xl/styles.xml"],
        parts.pop("xl/_rels/workbook.xml.rels"),
    )
    book = re.sub(rb"<(/?)(?=[a-z])", rb"<\1x:", book).replace(b"xmlns=", b"xmlns:x=", 1)
    styles = re.sub(rb"<(/?)(?=[a-z])", rb"<\1s:", styles).replace(b"xmlns=", b"xmlns:s=", 1)
    parts |= {
        "[Content_Types].xml": parts["[Content_Types].xml"].replace(b"/xl/workbook.xml", b"/Book/main.xml"),
        "_rels/.rels": parts["_rels/.rels"].replace(b"xl/workbook.xml", b"/Book/main.xml"),
        "Book/main.xml": book.replace(b"xmlns:r=", b"xmlns:rel=").replace(b"r:id=", b"rel:id="),
        "Book/_rels/main.xml.rels": rels.replace(b'Target="', b'Target="../xl/'),
        "xl/styles.xml": styles.decode().replace('encoding="UTF-8"', 'encoding="UTF-16"').encode("utf-16"),
    }
    return write_parts(path, parts)


def _letter_case(path: Path) -> Path:
    """Names that differ from those of the parts by letter case, which tells no parts apart."""
    parts = parts_of(_written("tables and names", path))
    parts["_rels/.rels"] = parts["_rels/.rels"].replace(b"xl/workbook.xml", b"XL/Workbook.xml")
    rels = "xl/_rels/workbook.xml.rels"
    parts[rels] = parts[rels].replace(b"worksheets/sheet1.xml", b"Worksheets/Sheet1.xml")
    return write_parts(path, parts)


_OTHERWISE: dict[str, Callable[[Path], Path]] = {
    "openpyxl": _openpyxl,
    "no styles": _no_styles,
    "odd spelling": _odd_spelling,
}

_HARD = {"letter case": _letter_case}
BOOKS = [*_WRITTEN, *_OTHERWISE]
HARD_BOOKS = [*_HARD]
"""Books that openpyxl does not read as they are meant."""


def make(name: str, folder: Path) -> Path:
    """Build one of the books in a folder."""
    path = folder / "office.xlsx"
    made = _written(name, path) if name in _WRITTEN else (_OTHERWISE | _HARD)[name](path)
    (folder / "dot.png").unlink(missing_ok=True)
    return made


def part(name: str, kind: str, source: str = SHEET, content: str = "<x/>", tail: str = "") -> Injection:
    """Return a part put into a book, and XML that refers to it."""
    return Injection({name: content}, [(source, kind, name)], {source: tail} if tail else {})


def extension(content: str) -> Injection:
    """Return an extension at the end of a sheet."""
    return Injection(tails={SHEET: f'<extLst><ext uri="{{0}}">{content}</ext></extLst>'})


_SP = (
    '<xdr:sp macro="" textlink=""><xdr:nvSpPr><xdr:cNvPr id="2" name="Box"/><xdr:cNvSpPr/></xdr:nvSpPr>'
    '<xdr:spPr><a:prstGeom prst="rect"><a:avLst/></a:prstGeom></xdr:spPr></xdr:sp>'
)
_CONTENT: dict[str, Injection] = {
    "shape": drawing(_SP),
    "group": drawing("<xdr:grpSp/>"),
    "connector": drawing("<xdr:cxnSp/>"),
    "newer object": drawing('<mc:AlternateContent><mc:Choice Requires="a14"/></mc:AlternateContent>'),
    "form control": part("xl/ctrlProps/ctrlProp1.xml", "ctrlProp", tail="<controls/>"),
    "old drawing": part("xl/drawings/vmlDrawing1.vml", "vmlDrawing"),
    "slicer": part("xl/slicers/slicer1.xml", f"{MICROSOFT}/slicer"),
    "slicer cache": part("xl/slicerCaches/slicerCache1.xml", f"{MICROSOFT}/slicerCache", BOOK),
    "timeline": part("xl/timelines/timeline1.xml", f"{MICROSOFT}/timeline"),
    "sparkline extension": extension("<x14:sparklineGroups/>"),
    "checks of another sheet": extension("<x14:dataValidations/>"),
    "unknown extension": extension("<x14:novelty/>"),
    "threaded comments": part("xl/threadedComments/threadedComment1.xml", f"{MICROSOFT}/threadedComment"),
    "persons": part("xl/persons/person.xml", f"{MICROSOFT}/person", BOOK),
    "custom data": part("customXml/item1.xml", "customXml", BOOK),
    "connections": part("xl/connections.xml", "connections", BOOK),
    "query": part("xl/queryTables/queryTable1.xml", "queryTable"),
    "printer settings": part("xl/printerSettings/printerSettings1.bin", "printerSettings", tail="<pageSetup/>"),
    "linked data types": part("xl/richData/rdrichvalue.xml", "rdRichValue", BOOK),
    "web add-in": part("xl/webextensions/taskpanes.xml", "webextensiontaskpanes", ""),
    "embedded object": part("xl/embeddings/oleObject1.bin", "oleObject"),
    "data model": part("xl/model/item.data", "powerPivotData", BOOK),
    "ribbon": part("customUI/customUI.xml", "extensibility", ""),
    "label": part("docMetadata/LabelInfo.xml", "classificationlabels", ""),
    "unknown part": part("xl/novelty.xml", "novelty", BOOK),
    "external link": part("xl/externalLinks/externalLink1.xml", "externalLink", BOOK),
    "pivot table": part("xl/pivotTables/pivotTable1.xml", "pivotTable"),
    "pivot cache": part("xl/pivotCache/pivotCacheDefinition1.xml", "pivotCacheDefinition", BOOK),
    "calculation chain": part("xl/calcChain.xml", "calcChain", BOOK, '<calcChain><c r="A1" i="1"/></calcChain>'),
    "volatile data": part("xl/volatileDependencies.xml", "volatileDependencies", BOOK),
    "preview": part("docProps/thumbnail.wmf", "thumbnail", ""),
    "parts that nothing names": Injection({"xl/worksheets/sheet2.xml": "<x/>", "loose.xml": "<x/>"}),
    "custom views": Injection(tails={BOOK: '<customWorkbookViews><customWorkbookView name="A"/></customWorkbookViews>'}),
    "macros": part("xl/vbaProject.bin", "vbaProject", BOOK, "no true macros"),
    "digital signature": part("_xmlsignatures/origin.sigs", "http://schemas.openxmlformats.org/package/2006/relationships/digital-signature/origin", ""),
}  # fmt: skip
INJECTED = [name for name in _CONTENT if name != "digital signature"]


def injected(name: str, folder: Path, *, refused: bool = False) -> Path:
    """Build a book with parts put in by hand."""
    assert refused == (name == "digital signature")
    plain = _openpyxl(folder / "plain.xlsx")
    suffix = ".xlsm" if name == "macros" else ".xlsx"
    path = inject(plain, folder / f"office{suffix}", _CONTENT[name])
    plain.unlink()
    parts = parts_of(path)
    endings = {"bin", "vml", "data", "wmf", "sigs"}
    defaults = "".join(
        f'<Default Extension="{ending}" ContentType="application/octet-stream"/>'
        for ending in sorted(endings)
        if f'Extension="{ending}"'.encode() not in parts["[Content_Types].xml"]
    )
    types = parts["[Content_Types].xml"].replace(b"</Types>", defaults.encode() + b"</Types>")
    if name == "macros":
        types = types.replace(
            b"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml",
            b"application/vnd.ms-excel.sheet.macroEnabled.main+xml",
        )
    return write_parts(path, parts | {"[Content_Types].xml": types})
