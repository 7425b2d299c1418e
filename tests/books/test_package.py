"""What a save would lose is named, and what is not named is really kept.

Every kind is put into a book by hand, the book is loaded and saved, and the packages are compared.
"""

from __future__ import annotations

import importlib.util
import io
import sys
from pathlib import Path

import openpyxl
import pytest
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont
from openpyxl.chart import BarChart, Reference
from openpyxl.comments import Comment
from openpyxl.formatting.rule import CellIsRule
from openpyxl.styles import PatternFill
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.table import Table

from sheetengine.books.keeping import load_book
from sheetengine.books.marks import mark_result
from sheetengine.books.package import parts_at_risk
from sheetengine.books.saving import save_atomically

_spec = importlib.util.spec_from_file_location("book_packages", Path(__file__).with_name("packages.py"))
assert _spec is not None and _spec.loader is not None
packages = importlib.util.module_from_spec(_spec)
sys.modules["book_packages"] = packages
_spec.loader.exec_module(packages)
Injection, SHEET, BOOK, drawing = packages.Injection, packages.SHEET, packages.BOOK, packages.drawing


def part(name: str, kind: str, source: str = SHEET, content: str = "<x/>") -> object:
    return Injection(parts={name: content}, relations=[(source, kind, name)])


def extension(content: str) -> object:
    return Injection(tails={SHEET: f'<extLst><ext uri="{{0}}">{content}</ext></extLst>'})


_SP = (
    '<xdr:sp macro="" textlink=""><xdr:nvSpPr><xdr:cNvPr id="2" name="Box"/><xdr:cNvSpPr/></xdr:nvSpPr>'
    '<xdr:spPr><a:prstGeom prst="rect"><a:avLst/></a:prstGeom></xdr:spPr></xdr:sp>'
)
_SMART_ART = (
    '<xdr:graphicFrame macro=""><xdr:nvGraphicFramePr><xdr:cNvPr id="2" name="D"/><xdr:cNvGraphicFramePr/>'
    '</xdr:nvGraphicFramePr><xdr:xfrm><a:off x="0" y="0"/><a:ext cx="9" cy="9"/></xdr:xfrm><a:graphic>'
    '<a:graphicData uri="http://schemas.openxmlformats.org/drawingml/2006/diagram"/></a:graphic></xdr:graphicFrame>'
)
_SMART_ART_BOOK = drawing(_SMART_ART, **{"xl/diagrams/data1.xml": "<x/>"})
_SMART_ART_BOOK.relations.append(("xl/drawings/drawing1.xml", "diagramData", "xl/diagrams/data1.xml"))
_ALTERNATE = '<mc:AlternateContent><mc:Choice Requires="a14"/></mc:AlternateContent>'

_VML = '<xml xmlns:v="urn:schemas-microsoft-com:vml" xmlns:x="urn:schemas-microsoft-com:office:excel">{shape}</xml>'
_BUTTON = _VML.format(shape='<v:shape style="width:9pt"><x:ClientData ObjectType="Button"/></v:shape>')
_NOTE = _VML.format(
    shape='<v:shape fillcolor="#00ff00" style="width:9pt"><x:ClientData ObjectType="Note"><x:Row>0</x:Row>'
    "<x:Column>0</x:Column></x:ClientData></v:shape>"
)
_COMMENTS = (
    '<comments xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><authors><author>AB</author></authors>'
    '<commentList><comment ref="A1" authorId="0"><text>{runs}</text></comment></commentList></comments>'
)
_RUN = '<r><rPr><b/><sz val="9"/></rPr><t>{text}</t></r>'

AT_RISK = {
    "shape or text box": (drawing(_SP), "xdr:sp "),
    "group of shapes": (drawing("<xdr:grpSp/>"), "grpSp"),
    "connector": (drawing("<xdr:cxnSp/>"), "cxnSp"),
    "SmartArt": (_SMART_ART_BOOK, "xl/diagrams/data1.xml"),
    "object of a newer kind": (drawing(_ALTERNATE), "AlternateContent"),
    "form control": (part("xl/ctrlProps/ctrlProp1.xml", "ctrlProp"), "xl/ctrlProps/ctrlProp1.xml"),
    "form or ActiveX controls": (Injection(tails={SHEET: "<controls/>"}), "controls"),
    "form controls or old drawing": (
        part("xl/drawings/vmlDrawing1.vml", "vmlDrawing", content=_BUTTON),
        '"Button"',
    ),
    "ActiveX control": (part("xl/activeX/activeX1.xml", "control"), "xl/activeX/activeX1.xml"),
    "slicer": (part("xl/slicers/slicer1.xml", f"{packages.MICROSOFT}/slicer"), "xl/slicers/slicer1.xml"),
    "slicer settings": (part("xl/slicerCaches/slicerCache1.xml", "slicerCache", BOOK), "slicerCache1"),
    "timeline": (part("xl/timelines/timeline1.xml", "timeline"), "xl/timelines/timeline1.xml"),
    "sparklines": (extension("<x14:sparklineGroups/>"), "sparklineGroups"),
    "conditional formats of the newer": (
        extension("<x14:conditionalFormattings/>"),
        "conditionalFormattings",
    ),
    "drop-down lists": (extension("<x14:dataValidations/>"), "dataValidations"),
    "extension of a newer kind": (extension("<x14:novelty/>"), "novelty"),
    "comments with replies": (
        part("xl/threadedComments/threadedComment1.xml", "threadedComment"),
        "threadedComment1",
    ),
    "people named": (part("xl/persons/person.xml", "person", BOOK), "xl/persons/person.xml"),
    "custom data part": (part("customXml/item1.xml", "customXml", BOOK), "customXml/item1.xml"),
    "data connections": (part("xl/connections.xml", "connections", BOOK), "xl/connections.xml"),
    "query to outside data": (part("xl/queryTables/queryTable1.xml", "queryTable"), "queryTable1"),
    "printer settings": (
        part("xl/printerSettings/printerSettings1.bin", "printerSettings"),
        "printerSettings1",
    ),
    "spilling formulas": (part("xl/metadata.xml", "sheetMetadata", BOOK), "xl/metadata.xml"),
    "linked data types": (part("xl/richData/rdrichvalue.xml", "rdRichValue", BOOK), "rdrichvalue"),
    "web add-in": (part("xl/webextensions/taskpanes.xml", "webextensiontaskpanes", ""), "taskpanes"),
    "macros": (part("xl/vbaProject.bin", "vbaProject", BOOK), "xl/vbaProject.bin"),
    "digital signature": (part("_xmlsignatures/origin.sigs", "origin", ""), "origin.sigs"),
    "embedded object": (part("xl/embeddings/oleObject1.bin", "oleObject"), "oleObject1"),
    "data model": (part("xl/model/item.data", "powerPivotData", BOOK), "xl/model/item.data"),
    "custom ribbon": (part("customUI/customUI.xml", "extensibility", ""), "customUI/customUI.xml"),
    "sensitivity label": (part("docMetadata/LabelInfo.xml", "classificationlabels", ""), "LabelInfo"),
    "a kind that is not known here": (part("xl/novelty.xml", "novelty", BOOK), "xl/novelty.xml"),
    "error marks": (Injection(tails={SHEET: "<ignoredErrors/>"}), "ignoredErrors"),
    "ranges that named users": (Injection(tails={SHEET: "<protectedRanges/>"}), "protectedRanges"),
    "picture behind the sheet": (Injection(tails={SHEET: '<picture r:id="rId1"/>'}), "<picture"),
    "picture in the header": (Injection(tails={SHEET: '<legacyDrawingHF r:id="rId1"/>'}), "legacyDrawingHF"),
    "colour of a note": (part("xl/drawings/vmlDrawing1.vml", "vmlDrawing", content=_NOTE), "#00ff00"),
    "note that is always shown": (
        part("xl/drawings/vmlDrawing1.vml", "vmlDrawing", content=_NOTE),
        "#00ff00",
    ),
    "bold, italic or underlined": (
        part("xl/comments1.xml", "comments", content=_COMMENTS.format(runs=_RUN.format(text="See drawing"))),
        "<b/>",
    ),
}


def _holds(path: Path, trace: str) -> bool:
    """Return whether a part's name or content holds the trace."""
    return any(
        trace in name or trace.encode() in content for name, content in packages.parts_of(path).items()
    )


@pytest.mark.parametrize("words", AT_RISK)
def test_what_is_lost_is_named(tmp_path: Path, words: str) -> None:
    injection, trace = AT_RISK[words]
    book = packages.inject(packages.plain_book(tmp_path / "plain.xlsx"), tmp_path / "book.xlsx", injection)
    assert _holds(book, trace)
    named = parts_at_risk(book)
    assert any(words in line for line in named), named
    loaded = load_book(book)
    save_atomically(loaded.workbook, tmp_path / "saved.xlsx", kept=loaded.kept)
    assert not _holds(tmp_path / "saved.xlsx", trace)


@pytest.mark.parametrize("words", AT_RISK)
def test_parts_of_our_own_result_sheets_do_not_count(tmp_path: Path, words: str) -> None:
    injection, _ = AT_RISK[words]
    sources = {source for source, _, _ in injection.relations} | set(injection.tails)
    if sources & {BOOK, ""}:
        pytest.skip("belongs to the book, not to a sheet")
    plain = openpyxl.Workbook()
    plain.active.title = "Flags"
    plain.create_sheet("Lifts")
    mark_result(plain["Flags"])
    plain.save(tmp_path / "plain.xlsx")
    book = packages.inject(tmp_path / "plain.xlsx", tmp_path / "book.xlsx", injection)
    assert parts_at_risk(book) == []


def test_charts_are_named_as_rewritten(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    for row in range(1, 5):
        sheet.append([row])
    chart = BarChart()
    chart.add_data(Reference(sheet, min_col=1, min_row=1, max_row=4))
    sheet.add_chart(chart, "C2")
    book.create_chartsheet("Curve").add_chart(BarChart())
    book.save(tmp_path / "a.xlsx")
    named = parts_at_risk(tmp_path / "a.xlsx")
    assert any(line.startswith("Sheet: chart (would be rewritten") for line in named)
    assert any(line.startswith("Curve: chart sheet") for line in named)


def test_macros_of_a_macro_book_are_kept(tmp_path: Path) -> None:
    plain = packages.plain_book(tmp_path / "plain.xlsx")
    parts = packages.parts_of(packages.inject(plain, tmp_path / "raw.xlsm", AT_RISK["macros"][0]))
    types = parts["[Content_Types].xml"]
    sheet_type = b"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
    parts["[Content_Types].xml"] = types.replace(
        sheet_type, b"application/vnd.ms-excel.sheet.macroEnabled.main+xml"
    )
    book = packages.write_parts(tmp_path / "book.xlsm", parts)
    assert parts_at_risk(book) == []
    loaded = load_book(book)
    save_atomically(loaded.workbook, tmp_path / "saved.xlsm", kept=loaded.kept)
    loaded.workbook.vba_archive.close()  # the library leaves it open, and it then fails wherever it is collected
    assert packages.parts_of(tmp_path / "saved.xlsm")["xl/vbaProject.bin"] == b"<x/>"


def test_what_is_not_named_is_kept(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Lifts"
    for row in (["Block", "Lift"], ["A", 1], ["A", 2]):
        sheet.append(row)
    sheet.add_table(Table(displayName="Office", ref="A1:B3"))
    sheet["D1"] = CellRichText("plain ", TextBlock(InlineFont(b=True), "bold"))
    sheet["D2"] = "=SUM(B2:B3)"
    sheet["D3"].hyperlink = "https://example.org/"
    sheet["A1"].comment = Comment("Which block", "AB", width=333, height=111)
    rule = CellIsRule(
        operator="greaterThan", formula=["1"], fill=PatternFill(bgColor="00AABBCC", fill_type="solid")
    )
    sheet.conditional_formatting.add("B2:B3", rule)
    check = DataValidation(type="list", formula1='"A,B"')
    check.add("A2:A3")
    sheet.add_data_validation(check)
    sheet.merge_cells("F1:G1")
    sheet.freeze_panes = "A2"
    sheet.print_title_rows = "1:1"
    book.save(tmp_path / "plain.xlsx")
    parts = packages.parts_of(tmp_path / "plain.xlsx")
    parts[SHEET] = parts[SHEET].replace(b"<f>SUM(B2:B3)</f><v />", b"<f>SUM(B2:B3)</f><v>3</v>")
    parts[SHEET] = parts[SHEET].replace(b"<f>SUM(B2:B3)</f><v></v>", b"<f>SUM(B2:B3)</f><v>3</v>")
    parts["docProps/app.xml"] = parts["docProps/app.xml"].replace(
        b"</Properties>", b"<Company>Example Works &amp; Co</Company></Properties>"
    )
    path = packages.write_parts(tmp_path / "book.xlsx", parts)

    assert parts_at_risk(path) == []
    loaded = load_book(path)
    save_atomically(loaded.workbook, tmp_path / "saved.xlsx", kept=loaded.kept)
    again = load_book(tmp_path / "saved.xlsx")
    kept = again.workbook["Lifts"]
    assert list(kept.tables) == ["Office"]
    assert isinstance(kept["D1"].value, CellRichText)
    assert kept["D2"].value == "=SUM(B2:B3)"
    assert again.kept.cached["Lifts"]["D2"].cached == "3"
    assert again.kept.properties == {"Company": "Example Works & Co"}
    assert kept["D3"].hyperlink.target == "https://example.org/"
    assert (kept["A1"].comment.width, kept["A1"].comment.height) == (333, 111)
    assert len(kept.conditional_formatting) == 1
    assert kept.data_validations.dataValidation[0].formula1 == '"A,B"'
    assert (kept.freeze_panes, kept.print_title_rows) == ("A2", "$1:$1")
    assert [str(merged) for merged in kept.merged_cells.ranges] == ["F1:G1"]
    assert parts_at_risk(tmp_path / "saved.xlsx") == []


def test_a_plain_picture_is_kept_and_a_cropped_one_is_named(tmp_path: Path) -> None:
    image = pytest.importorskip("PIL.Image")
    from openpyxl.drawing.image import Image

    image.new("RGB", (8, 8), "white").save(tmp_path / "dot.png")
    book = openpyxl.Workbook()
    book.active.add_image(Image(io.BytesIO((tmp_path / "dot.png").read_bytes())), "B2")
    book.save(tmp_path / "a.xlsx")
    assert parts_at_risk(tmp_path / "a.xlsx") == []
    loaded = load_book(tmp_path / "a.xlsx")
    save_atomically(loaded.workbook, tmp_path / "saved.xlsx", kept=loaded.kept)
    before, after = packages.parts_of(tmp_path / "a.xlsx"), packages.parts_of(tmp_path / "saved.xlsx")
    assert before["xl/media/image1.png"] == after["xl/media/image1.png"]
    parts = packages.parts_of(tmp_path / "a.xlsx")
    name = "xl/drawings/drawing1.xml"
    start = parts[name].index(b"<a:stretch")
    parts[name] = parts[name][:start] + b'<a:srcRect l="20000"/>' + parts[name][start:]
    packages.write_parts(tmp_path / "cropped.xlsx", parts)
    assert any("cropping of a picture" in line for line in parts_at_risk(tmp_path / "cropped.xlsx"))
