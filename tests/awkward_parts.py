"""Contents of office books that no library writes: parts and elements put into the package as the programs do it."""

from __future__ import annotations

import struct
from collections.abc import Callable

from package_surgery import BOOK, MAIN, OFFICE, SHEET, TYPES, Surgery, xml

Change = Callable[[Surgery], None]
_MS = "http://schemas.microsoft.com/office"
_CT = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_MSCT = "application/vnd.ms-excel"
_DRAWING = "application/vnd.openxmlformats-officedocument.drawing+xml"
_HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_GUID = "{7A3C1E52-9B04-4D6F-8E21-5C0A9F3B1D47}"


def compound_file() -> bytes:
    """Return the smallest compound file: a header, its table of sectors, and a folder without entries."""
    head = (
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
        + bytes(16)
        + struct.pack("<HHHHH", 0x3E, 3, 0xFFFE, 9, 6)
        + bytes(6)
    )
    head += struct.pack("<IIIIIIIII", 0, 1, 1, 0, 4096, 0xFFFFFFFE, 0, 0xFFFFFFFE, 0)
    head += struct.pack("<I", 0) + b"\xff" * 432
    table = struct.pack("<II", 0xFFFFFFFD, 0xFFFFFFFE) + b"\xff" * 504
    name = "Root Entry".encode("utf-16-le") + b"\0\0"
    entry = name.ljust(64, b"\0") + struct.pack(
        "<HBBIII", len(name), 5, 1, 0xFFFFFFFF, 0xFFFFFFFF, 0xFFFFFFFF
    )
    entry += bytes(36) + struct.pack("<IQ", 0xFFFFFFFE, 0)
    empty = bytes(68) + b"\xff" * 12 + bytes(48)
    return head + table + entry + empty * 3


def _vml(shape: str) -> str:
    return (
        '<xml xmlns:v="urn:schemas-microsoft-com:vml" xmlns:o="urn:schemas-microsoft-com:office:office" '
        'xmlns:x="urn:schemas-microsoft-com:office:excel"><o:shapelayout v:ext="edit"><o:idmap v:ext="edit" data="1"/>'
        '</o:shapelayout><v:shape id="_x0000_s1025" type="#_x0000_t201" style="position:absolute;width:90pt;height:20pt">'
        f"{shape}</v:shape></xml>"
    )


def _drawing(content: str) -> str:
    return xml(
        "<xdr:wsDr><xdr:twoCellAnchor><xdr:from><xdr:col>5</xdr:col><xdr:colOff>0</xdr:colOff><xdr:row>1</xdr:row>"
        "<xdr:rowOff>0</xdr:rowOff></xdr:from><xdr:to><xdr:col>8</xdr:col><xdr:colOff>0</xdr:colOff><xdr:row>9</xdr:row>"
        f"<xdr:rowOff>0</xdr:rowOff></xdr:to>{content}<xdr:clientData/></xdr:twoCellAnchor></xdr:wsDr>"
    )


def _draw(s: Surgery, content: str, number: int) -> str:
    part = f"xl/drawings/drawing9{number}.xml"
    identifier = s.add(part, _drawing(content), _DRAWING, SHEET, "drawing")
    s.put(SHEET, f'<drawing r:id="{identifier}"/>')
    return part


def _form_control(s: Surgery) -> None:
    s.ending("vml", "application/vnd.openxmlformats-officedocument.vmlDrawing")
    drawing = s.add(
        "xl/drawings/vmlDrawing91.vml",
        _vml('<x:ClientData ObjectType="Drop"><x:Anchor>5,0,1,0,7,0,2,0</x:Anchor><x:Sel>1</x:Sel></x:ClientData>'),
        "", SHEET, "vmlDrawing",
    )  # fmt: skip
    control = s.add(
        "xl/ctrlProps/ctrlProp91.xml",
        f'{_HEAD}<formControlPr xmlns="{_MS}/spreadsheetml/2009/9/main" objectType="Drop" fmlaLink="$E$1" fmlaRange="Flags!$A$4:$A$5" sel="1"/>',
        f"{_MSCT}.controlproperties+xml", SHEET, "ctrlProp",
    )  # fmt: skip
    s.put(SHEET, f'<legacyDrawing r:id="{drawing}"/>')
    s.put(SHEET, f'<controls><control shapeId="1025" r:id="{control}" name="Drop 1"/></controls>')


def _active_x(s: Surgery) -> None:
    binary = "xl/activeX/activeX91.bin"
    control = s.add(
        "xl/activeX/activeX91.xml",
        f'{_HEAD}<ax:ocx xmlns:ax="{_MS}/2006/activeX" xmlns:r="{OFFICE}" ax:classid="{{8BD21D40-EC42-11CE-9E0D-00AA006002F3}}" ax:persistence="persistStreamInit" r:id="rIdX1"/>',
        f"{_MSCT.replace('excel', 'office')}.activeX+xml", SHEET, "control",
    )  # fmt: skip
    s.add(
        binary,
        compound_file(),
        f"{_MSCT.replace('excel', 'office')}.activeX",
        "xl/activeX/activeX91.xml",
        f"{_MS}/2006/relationships/activeXControlBinary",
    )
    s.put(SHEET, f'<controls><control shapeId="1026" r:id="{control}" name="CheckBox1"/></controls>')


def _table(s: Surgery, number: int = 91) -> None:
    identifier = s.add(
        f"xl/tables/table{number}.xml",
        f'{_HEAD}<table xmlns="{MAIN}" id="{number}" name="Plan{number}" displayName="Plan{number}" ref="A1:C8" totalsRowShown="0"><autoFilter ref="A1:C8"/><tableColumns count="3"><tableColumn id="1" name="Block"/><tableColumn id="2" name="Lift"/><tableColumn id="3" name="Height"/></tableColumns></table>',
        f"{_CT}.table+xml", SHEET, "table",
    )  # fmt: skip
    s.into(SHEET, "tableParts", f'<tablePart r:id="{identifier}"/>')


def _slicer(s: Surgery) -> None:
    _table(s, 92)
    cache = s.add(
        "xl/slicerCaches/slicerCache91.xml",
        f'{_HEAD}<slicerCacheDefinition xmlns="{_MS}/spreadsheetml/2009/9/main" name="Slicer_Block" sourceName="Block"><extLst><x:ext xmlns:x="{MAIN}" xmlns:x15="{_MS}/spreadsheetml/2010/11/main" uri="{{2F2917AC-EB37-4324-AD4E-5DD8C200BD13}}"><x15:tableSlicerCache tableId="92" column="1"/></x:ext></extLst></slicerCacheDefinition>',
        f"{_MSCT}.slicerCache+xml", BOOK, f"{_MS}/2007/relationships/slicerCache",
    )  # fmt: skip
    slicer = s.add(
        "xl/slicers/slicer91.xml",
        f'{_HEAD}<slicers xmlns="{_MS}/spreadsheetml/2009/9/main"><slicer name="Block" cache="Slicer_Block" caption="Block" rowHeight="241300"/></slicers>',
        f"{_MSCT}.slicer+xml", SHEET, f"{_MS}/2007/relationships/slicer",
    )  # fmt: skip
    s.extend(
        BOOK,
        "{46BE6895-7355-4a93-B00E-2C351335B9C9}",
        f'<x15:slicerCaches><x14:slicerCache r:id="{cache}"/></x15:slicerCaches>',
    )
    s.extend(
        SHEET,
        "{3A4CF648-6AED-40f4-86FF-DC5316D8AED3}",
        f'<x14:slicerList><x14:slicer r:id="{slicer}"/></x14:slicerList>',
    )
    s.name("Slicer_Block", "#N/A")


def pivot(s: Surgery, sheet: str = "Lifts", area: str = "A1:C8", number: int = 91) -> None:
    """Put in a pivot table with its cache; the source may be a sheet that is not there yet."""
    folder = "xl/pivotCache/pivotCache"
    fields = "".join(
        f'<cacheField name="{name}" numFmtId="0"><sharedItems/></cacheField>'
        for name in ("Block", "Lift", "Height")
    )
    cache = s.add(
        f"{folder}Definition{number}.xml",
        f'{_HEAD}<pivotCacheDefinition xmlns="{MAIN}" xmlns:r="{OFFICE}" r:id="rIdX1" refreshOnLoad="1" refreshedBy="AB" recordCount="1"><cacheSource type="worksheet"><worksheetSource ref="{area}" sheet="{sheet}"/></cacheSource><cacheFields count="3">{fields}</cacheFields></pivotCacheDefinition>',
        f"{_CT}.pivotCacheDefinition+xml", BOOK, "pivotCacheDefinition",
    )  # fmt: skip
    s.add(
        f"{folder}Records{number}.xml",
        f'{_HEAD}<pivotCacheRecords xmlns="{MAIN}" count="1"><r><s v="B1"/><n v="1"/><n v="0.5"/></r></pivotCacheRecords>',
        f"{_CT}.pivotCacheRecords+xml", f"{folder}Definition{number}.xml", "pivotCacheRecords",
    )  # fmt: skip
    s.into(BOOK, "pivotCaches", f'<pivotCache cacheId="{number}" r:id="{cache}"/>')
    table = f"xl/pivotTables/pivotTable{number}.xml"
    s.add(
        table,
        f'{_HEAD}<pivotTableDefinition xmlns="{MAIN}" name="Pivot{number}" cacheId="{number}" dataCaption="Values" updatedVersion="6" createdVersion="6"><location ref="H{number}:I{number + 3}" firstHeaderRow="1" firstDataRow="1" firstDataCol="1"/><pivotFields count="3"><pivotField/><pivotField/><pivotField dataField="1"/></pivotFields><dataFields count="1"><dataField name="Sum of Height" fld="2"/></dataFields></pivotTableDefinition>',
        f"{_CT}.pivotTable+xml", SHEET, "pivotTable",
    )  # fmt: skip
    s.relate(table, "pivotCacheDefinition", f"../pivotCache/pivotCacheDefinition{number}.xml")


def _pivot_of_results(s: Surgery) -> None:
    pivot(s, "Anchor demand", "A6:C8", 92)


def _timeline(s: Surgery) -> None:
    pivot(s, number=93)
    cache = s.add(
        "xl/timelineCaches/timelineCache91.xml",
        f'{_HEAD}<timelineCacheDefinition xmlns="{_MS}/spreadsheetml/2010/11/main" name="Timeline_Date" sourceName="Date"><state minimalRefreshVersion="6" lastRefreshVersion="6" pivotCacheId="93" filterType="unknown"><bounds startDate="2031-01-01T00:00:00" endDate="2032-01-01T00:00:00"/></state></timelineCacheDefinition>',
        f"{_MSCT}.timelineCache+xml", BOOK, f"{_MS}/2011/relationships/timelineCache",
    )  # fmt: skip
    line = s.add(
        "xl/timelines/timeline91.xml",
        f'{_HEAD}<timelines xmlns="{_MS}/spreadsheetml/2010/11/main"><timeline name="Date" cache="Timeline_Date" caption="Date" level="2" selectionLevel="2" scrollPosition="2031-01-01T00:00:00"/></timelines>',
        f"{_MSCT}.timeline+xml", SHEET, f"{_MS}/2011/relationships/timeline",
    )  # fmt: skip
    s.extend(
        BOOK,
        "{D0CA8CA8-9F24-4464-BF8E-62219DCF47F9}",
        f'<x15:timelineCacheRefs><x15:timelineCacheRef r:id="{cache}"/></x15:timelineCacheRefs>',
    )
    s.extend(
        SHEET,
        "{7E03D99C-DC04-49d9-9315-930204A7B6E9}",
        f'<x15:timelineRefs><x15:timelineRef r:id="{line}"/></x15:timelineRefs>',
    )


def _threaded_comments(s: Surgery) -> None:
    s.add(
        "xl/persons/person.xml",
        f'{_HEAD}<personList xmlns="{_MS}/spreadsheetml/2018/threadedcomments"><person displayName="A. Reader" id="{_GUID}" userId="a" providerId="None"/></personList>',
        f"{_MSCT}.person+xml", BOOK, f"{_MS}/2017/10/relationships/person",
    )  # fmt: skip
    s.add(
        "xl/threadedComments/threadedComment91.xml",
        f'{_HEAD}<ThreadedComments xmlns="{_MS}/spreadsheetml/2018/threadedcomments"><threadedComment ref="A2" dT="2031-04-02T07:30:00.00" personId="{_GUID}" id="{{0D2C5E17-1111-4A6B-9B1E-000000000001}}"><text>Why?</text></threadedComment></ThreadedComments>',
        f"{_MSCT}.threadedcomments+xml", SHEET, f"{_MS}/2017/10/relationships/threadedComment",
    )  # fmt: skip
    s.ending("vml", "application/vnd.openxmlformats-officedocument.vmlDrawing")
    s.add(
        "xl/comments91.xml",
        f'{_HEAD}<comments xmlns="{MAIN}"><authors><author>tc={_GUID}</author></authors><commentList><comment ref="A2" authorId="0" shapeId="0"><text><t>[Threaded comment] Why?</t></text></comment></commentList></comments>',
        f"{_CT}.comments+xml", SHEET, "comments",
    )  # fmt: skip
    note = '<x:ClientData ObjectType="Note"><x:Row>1</x:Row><x:Column>0</x:Column></x:ClientData>'
    drawing = s.add("xl/drawings/vmlDrawing92.vml", _vml(note), "", SHEET, "vmlDrawing")
    s.put(SHEET, f'<legacyDrawing r:id="{drawing}"/>')


def _macros(s: Surgery) -> None:
    s.type(BOOK, f"{_MSCT}.sheet.macroEnabled.main+xml")
    s.ending("bin", f"{_MSCT.replace('excel', 'office')}.vbaProject")
    s.add(
        "xl/vbaProject.bin",
        compound_file(),
        f"{_MSCT.replace('excel', 'office')}.vbaProject",
        BOOK,
        f"{_MS}/2006/relationships/vbaProject",
    )
    s.add(
        "xl/vbaProjectSignature.bin",
        b"signed \x00\xff",
        f"{_MSCT.replace('excel', 'office')}.vbaProjectSignature",
        "xl/vbaProject.bin",
        f"{_MS}/2006/relationships/vbaProjectSignature",
    )


def _printer(s: Surgery) -> None:
    for part, number in ((SHEET, 91),):
        identifier = s.add(
            f"xl/printerSettings/printerSettings{number}.bin",
            bytes(range(256)) * 8,
            f"{_CT}.printerSettings",
            part,
            "printerSettings",
        )
        s.put(part, f'<pageSetup paperSize="9" orientation="landscape" r:id="{identifier}"/>')


def _custom_xml(s: Surgery) -> None:
    s.add(
        "customXml/item91.xml",
        '<plan xmlns="urn:pours"><lift n="1"/></plan>',
        "application/xml",
        BOOK,
        "customXml",
    )
    s.add(
        "customXml/itemProps91.xml",
        f'<ds:datastoreItem xmlns:ds="http://schemas.openxmlformats.org/officeDocument/2006/customXml" ds:itemID="{_GUID}"><ds:schemaRefs/></ds:datastoreItem>',
        "application/vnd.openxmlformats-officedocument.customXmlProperties+xml", "customXml/item91.xml", "customXmlProps",
    )  # fmt: skip


def _xml_map(s: Surgery) -> None:
    s.add(
        "xl/xmlMaps.xml",
        xml(
            '<MapInfo SelectionNamespaces=""><Schema ID="S1"><x xmlns=""/></Schema><Map ID="1" Name="plan" RootElement="plan" SchemaID="S1" ShowImportExportValidationErrors="0" AutoFit="1" Append="0" PreserveSortAFLayout="1" PreserveFormat="1"/></MapInfo>'
        ),
        "application/xml",
        BOOK,
        "xmlMaps",
    )
    s.add(
        "xl/tables/tableSingleCells91.xml",
        f'{_HEAD}<singleXmlCells xmlns="{MAIN}"><singleXmlCell id="99" r="C2" connectionId="0"><xmlCellPr id="1"><xmlPr mapId="1" xpath="/plan/lift" xmlDataType="string"/></xmlCellPr></singleXmlCell></singleXmlCells>',
        f"{_CT}.tableSingleCells+xml",
        SHEET,
        "tableSingleCells",
    )


def _web_extension(s: Surgery) -> None:
    panes = "xl/webextensions/taskpanes.xml"
    s.add(
        panes,
        f'<wetp:taskpanes xmlns:wetp="{_MS}/webextensions/taskpanes/2010/11"><wetp:taskpane dockstate="right" visibility="0" width="350" row="1"><wetp:webextensionref xmlns:r="{OFFICE}" r:id="rIdX1"/></wetp:taskpane></wetp:taskpanes>',
        "application/vnd.ms-office.webextensiontaskpanes+xml",
        "/",
        f"{_MS}/2011/relationships/webextensiontaskpanes",
    )
    s.add(
        "xl/webextensions/webextension1.xml",
        f'<we:webextension xmlns:we="{_MS}/webextensions/webextension/2010/11" id="{_GUID}"><we:reference id="x" version="1.0.0.0" store="EXCatalog" storeType="EXCatalog"/><we:alternateReferences/><we:properties/><we:bindings/></we:webextension>',
        "application/vnd.ms-office.webextension+xml",
        panes,
        f"{_MS}/2011/relationships/webextension",
    )


def _query(s: Surgery) -> None:
    s.add(
        "xl/connections.xml",
        f'{_HEAD}<connections xmlns="{MAIN}"><connection id="1" name="Query - Plan" type="5" refreshedVersion="6" background="1"><dbPr connection="Provider=X;Data Source=$Workbook$" command="SELECT * FROM [Flags]"/></connection></connections>',
        f"{_CT}.connections+xml",
        BOOK,
        "connections",
    )
    s.add(
        "xl/queryTables/queryTable91.xml",
        f'{_HEAD}<queryTable xmlns="{MAIN}" name="Plan" connectionId="1" autoFormatId="16"/>',
        f"{_CT}.queryTable+xml",
        SHEET,
        "queryTable",
    )
    s.name("Plan", "Lifts!$A$1:$C$8", localSheetId="0")


def _data_model(s: Surgery) -> None:
    s.add(
        "xl/model/item.data",
        bytes(range(256)) * 64,
        "application/vnd.openxmlformats-officedocument.model+data",
        BOOK,
        f"{OFFICE}/powerPivotData",
    )
    s.extend(
        BOOK,
        "{FCE2AD5D-F65C-4FA6-A056-5C36A1767C68}",
        '<x15:dataModel><x15:modelTables><x15:modelTable id="Flags" name="Flags" connection="WorksheetConnection_Book!Flags"/></x15:modelTables></x15:dataModel>',
    )


def _outside(s: Surgery, number: int, content: str) -> str:
    part = f"xl/externalLinks/externalLink{number}.xml"
    identifier = s.add(
        part, xml(f"<externalLink>{content}</externalLink>"), f"{_CT}.externalLink+xml", BOOK, "externalLink"
    )
    s.into(BOOK, "externalReferences", f'<externalReference r:id="{identifier}"/>')
    return part


def _external_link(s: Surgery) -> None:
    part = _outside(
        s,
        91,
        '<externalBook r:id="rIdX1"><sheetNames><sheetName val="Flags"/></sheetNames><sheetDataSet><sheetData sheetId="0"><row r="1"><cell r="A1"><v>3</v></cell></row></sheetData></sheetDataSet></externalBook>',
    )
    s.relate(part, "externalLinkPath", "file:///c:/plans/other%20book.xlsx", external=True)
    s.name("Outside", "[1]Flags!$A$1")


def _dde(s: Surgery) -> None:
    _outside(
        s,
        92,
        '<ddeLink ddeService="gauge" ddeTopic="level"><ddeItems><ddeItem name="now" advise="1"><values><value><val>3</val></value></values></ddeItem></ddeItems></ddeLink>',
    )


def _ole_link(s: Surgery) -> None:
    part = _outside(
        s,
        93,
        '<oleLink r:id="rIdX1" progId="Word.Document.12"><oleItems><oleItem name="x" icon="1"/></oleItems></oleLink>',
    )
    s.relate(part, "oleObject", "file:///c:/plans/method.docx", external=True)


def _ole_object(s: Surgery) -> None:
    s.ending("vml", "application/vnd.openxmlformats-officedocument.vmlDrawing")
    part = s.add(
        "xl/embeddings/oleObject91.bin",
        compound_file(),
        "application/vnd.openxmlformats-officedocument.oleObject",
        SHEET,
        "oleObject",
    )
    drawing = s.add(
        "xl/drawings/vmlDrawing93.vml",
        _vml('<x:ClientData ObjectType="Pict"><x:CF>Pict</x:CF></x:ClientData>'),
        "",
        SHEET,
        "vmlDrawing",
    )
    s.put(SHEET, f'<legacyDrawing r:id="{drawing}"/>')
    s.put(SHEET, f'<oleObjects><oleObject progId="Package" shapeId="1025" r:id="{part}"/></oleObjects>')
    s.add(
        "xl/embeddings/Microsoft_Excel_Worksheet.xlsx",
        b"PK\x05\x06" + bytes(18),
        "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        SHEET,
        "package",
    )


def _chain(s: Surgery) -> None:
    s.add(
        "xl/calcChain.xml",
        f'{_HEAD}<calcChain xmlns="{MAIN}"><c r="C9" i="1"/></calcChain>',
        f"{_CT}.calcChain+xml",
        BOOK,
        "calcChain",
    )


def _cells(rows: str) -> Change:
    def change(s: Surgery) -> None:
        s.parts[SHEET] = s.parts[SHEET].replace(b"</sheetData>", rows.encode() + b"</sheetData>")

    return change


_shared_formula = _cells(
    '<row r="60"><c r="A60"><f t="shared" ref="A60:A62" si="0">B2*2</f><v>2</v></c></row><row r="61"><c r="A61"><f t="shared" si="0"/><v>4</v></c></row>'
    '<row r="62"><c r="A62"><f t="shared" si="0"/><v>6</v></c><c r="B62"><f>COUNTA(Flags!A:A)</f><v>0</v></c></row>'
)
_data_table = _cells(
    '<row r="70"><c r="A70"><f t="dataTable" ref="A70:A71" dt2D="0" dtr="0" r1="B2"/><v>1</v></c></row><row r="71"><c r="A71"><v>2</v></c></row>'
)
_cell_kinds = _cells(
    '<row r="80" spans="1:9"><c r="A80" t="b"><v>1</v></c><c r="B80" t="e"><v>#N/A</v></c><c r="C80" t="str"><f>"a"&amp;"b"</f><v>ab</v></c>'
    '<c r="D80" t="d"><v>2031-04-02T07:30:00</v></c><c r="E80" t="inlineStr"><is><r><t xml:space="preserve"> in </t></r><r><t>place</t></r></is></c></row>'
)


def _revisions(s: Surgery) -> None:
    heads = "xl/revisions/revisionHeaders.xml"
    s.add(
        heads,
        f'{_HEAD}<headers xmlns="{MAIN}" xmlns:r="{OFFICE}" guid="{_GUID}"><header guid="{_GUID}" dateTime="2031-04-02T07:30:00" maxSheetId="2" userName="AB" r:id="rIdX1"><sheetIdMap count="1"><sheetId val="1"/></sheetIdMap></header></headers>',
        f"{_CT}.revisionHeaders+xml",
        BOOK,
        "revisionHeaders",
    )
    s.add(
        "xl/revisions/revisionLog91.xml",
        f'{_HEAD}<revisions xmlns="{MAIN}"/>',
        f"{_CT}.revisionLog+xml",
        heads,
        "revisionLog",
    )
    s.add(
        "xl/revisions/userNames.xml",
        f'{_HEAD}<users xmlns="{MAIN}" count="0"/>',
        f"{_CT}.userNames+xml",
        BOOK,
        "usernames",
    )


def _custom_views(s: Surgery) -> None:
    s.put(
        BOOK,
        f'<customWorkbookViews><customWorkbookView name="For issue" guid="{_GUID}" maximized="1" xWindow="0" yWindow="0" windowWidth="1920" windowHeight="1080" activeSheetId="1"/></customWorkbookViews>',
    )
    s.put(
        SHEET,
        f'<customSheetViews><customSheetView guid="{_GUID}" scale="80" state="hidden"><pageMargins left="0.7" right="0.7" top="0.75" bottom="0.75" header="0.3" footer="0.3"/></customSheetView></customSheetViews>',
    )
    s.name(
        f"Z_{_GUID[1:-1].replace('-', '_')}_.wvu.PrintArea", "Lifts!$A$1:$C$8", localSheetId="0", hidden="1"
    )


def _dialog_sheet(s: Surgery) -> None:
    s.sheet(
        "Ask",
        "xl/dialogsheets/sheet91.xml",
        xml('<dialogsheet><sheetViews><sheetView workbookViewId="0"/></sheetViews></dialogsheet>'),
        f"{_CT}.dialogsheet+xml",
        "dialogsheet",
    )


def _macro_sheet(s: Surgery) -> None:
    s.sheet(
        "Old macros",
        "xl/macrosheets/sheet91.xml",
        f'{_HEAD}<xm:macrosheet xmlns="{MAIN}" xmlns:xm="{_MS}/excel/2006/main"><sheetData><row r="1"><c r="A1"><f>RETURN()</f><v>0</v></c></row></sheetData></xm:macrosheet>',
        f"{_MSCT}.macrosheet+xml",
        f"{_MS}/2006/relationships/xlMacrosheet",
        state="veryHidden",
    )
    s.type(BOOK, f"{_MSCT}.sheet.macroEnabled.main+xml")


def _book_protection(s: Surgery) -> None:
    s.put(
        BOOK,
        '<workbookProtection workbookAlgorithmName="SHA-512" workbookHashValue="q7Y=" workbookSaltValue="q7Y=" workbookSpinCount="100000" lockStructure="1" lockWindows="1"/>',
    )
    s.put(
        BOOK,
        '<fileSharing readOnlyRecommended="1" userName="AB" algorithmName="SHA-512" hashValue="q7Y=" saltValue="q7Y=" spinCount="100000"/>',
    )
    s.put(
        SHEET,
        '<sheetProtection algorithmName="SHA-512" hashValue="q7Y=" saltValue="q7Y=" spinCount="100000" sheet="1" objects="1" scenarios="1"/>',
    )
    s.put(
        SHEET,
        '<protectedRanges><protectedRange sqref="A2:A8" name="Ours" securityDescriptor="O:WDG:WDD:(A;;CC;;;WD)"/></protectedRanges>',
    )


def _windows(s: Surgery) -> None:
    s.into(
        BOOK,
        "bookViews",
        '<workbookView xWindow="30" yWindow="30" windowWidth="9000" windowHeight="6000" activeTab="0" firstSheet="0"/>',
    )
    s.into(SHEET, "sheetViews", '<sheetView workbookViewId="1" zoomScale="60" showFormulas="1"/>')


def _rich_types(s: Surgery) -> None:
    space = f"{_MS}/spreadsheetml/2017/richdata"
    for name, content, kind, relation in (
        ("rdrichvalue.xml", f'<rvData xmlns="{space}" count="1"><rv s="0"><v>Concrete</v></rv></rvData>', "rdrichvalue", "rdRichValue"),
        ("rdrichvaluestructure.xml", f'<rvStructures xmlns="{space}" count="1"><s t="_entity"><k n="_DisplayString" t="s"/></s></rvStructures>', "rdrichvaluestructure", "rdRichValueStructure"),
        ("rdRichValueTypes.xml", f'<rvTypesInfo xmlns="{space}2" />', "rdrichvaluetypes", "rdRichValueTypes"),
    ):  # fmt: skip
        s.add(
            f"xl/richData/{name}",
            _HEAD + content,
            f"{_MSCT}.{kind}+xml",
            BOOK,
            f"{_MS}/2017/06/relationships/{relation}",
        )
    s.add(
        "xl/richData/rdRichValueWebImage.xml",
        f'{_HEAD}<webImagesSrd xmlns="{_MS}/spreadsheetml/2020/richdatawebimage" xmlns:r="{OFFICE}"><webImageSrd><address r:id="rIdX1"/></webImageSrd></webImagesSrd>',
        f"{_MSCT}.rdrichvaluewebimage+xml",
        BOOK,
        f"{_MS}/2020/07/relationships/rdRichValueWebImage",
    )
    s.relate("xl/richData/rdRichValueWebImage.xml", "hyperlink", "https://example.org/dot.png", external=True)
    s.add(
        "xl/metadata.xml",
        f'{_HEAD}<metadata xmlns="{MAIN}" xmlns:xlrd="{space}"><metadataTypes count="1"><metadataType name="XLRICHVALUE" minSupportedVersion="120000" copy="1" pasteAll="1"/></metadataTypes><futureMetadata name="XLRICHVALUE" count="1"><bk><extLst><ext uri="{{3e2802c4-a4d2-4d8b-9148-e3be6c30e623}}"><xlrd:rvb i="0"/></ext></extLst></bk></futureMetadata><valueMetadata count="1"><bk><rc t="1" v="0"/></bk></valueMetadata></metadata>',
        f"{_CT}.sheetMetadata+xml",
        BOOK,
        "sheetMetadata",
    )
    _cells('<row r="90"><c r="A90" t="e" vm="1"><v>#VALUE!</v></c></row>')(s)


def _newer_extensions(s: Surgery) -> None:
    s.extend(
        SHEET,
        "{CCE6A557-97BC-4b89-ADB6-D9C93CAAB3DF}",
        '<x14:dataValidations count="1"><x14:dataValidation type="list" allowBlank="1"><x14:formula1><xm:f>Flags!$A$4:$A$5</xm:f></x14:formula1><xm:sqref>E5</xm:sqref></x14:dataValidation></x14:dataValidations>',
    )
    s.extend(
        SHEET,
        "{78C0D931-6437-407d-A8EE-F0AAD7539E65}",
        f'<x14:conditionalFormattings><x14:conditionalFormatting><x14:cfRule type="expression" priority="9" id="{_GUID}"><xm:f>Flags!$C$4&gt;2</xm:f><x14:dxf><font><b/></font></x14:dxf></x14:cfRule><xm:sqref>A2:A8</xm:sqref></x14:conditionalFormatting></x14:conditionalFormattings>',
    )
    s.extend(
        SHEET,
        "{05C60535-1F16-4fd2-B633-F4F36F0B64E0}",
        "<x14:sparklineGroups><x14:sparklineGroup><x14:sparklines><x14:sparkline><xm:f>'Anchor demand'!B7:B8</xm:f><xm:sqref>F9</xm:sqref></x14:sparkline></x14:sparklines></x14:sparklineGroup></x14:sparklineGroups>",
    )


def _unknown_extensions(s: Surgery) -> None:
    s.extend(
        SHEET, "{11111111-2222-3333-4444-555555555555}", '<n:thing xmlns:n="urn:of-tomorrow" mark="a&gt;b"/>'
    )
    s.extend(
        BOOK,
        "{11111111-2222-3333-4444-555555555556}",
        '<n:thing xmlns:n="urn:of-tomorrow"><n:sheets/><n:definedNames/></n:thing>',
    )
    s.add("xl/tomorrow/thing91.dat", b"\0\1\2", "application/x-tomorrow", BOOK, "urn:of-tomorrow/thing")


def _alternate_content(s: Surgery) -> None:
    for part, root in ((BOOK, b"<workbook "), (SHEET, b"<worksheet ")):
        more = b'xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006" mc:Ignorable="xr xr2 x15ac" xmlns:x15ac="http://schemas.microsoft.com/office/spreadsheetml/2010/11/ac" xmlns:xr="http://schemas.microsoft.com/office/spreadsheetml/2014/revision" xmlns:xr2="http://schemas.microsoft.com/office/spreadsheetml/2015/revision2" '
        if b"xr:uid" not in s.parts[part] and b"mc:Ignorable" not in s.parts[part]:
            for prefix in (b"mc", b"x15ac", b"xr", b"xr2"):  # a prefix must not be bound twice
                if b"xmlns:" + prefix + b"=" in s.parts[part].split(b">", 2)[1]:
                    more = b" ".join(
                        word for word in more.split(b" ") if not word.startswith(b"xmlns:" + prefix + b"=")
                    )
            s.parts[part] = s.parts[part].replace(root, root + more, 1)
    s.parts[BOOK] = s.parts[BOOK].replace(
        b"<bookViews>",
        b'<mc:AlternateContent xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006"><mc:Choice Requires="x15"><x15ac:absPath url="C:\\plans\\sheets\\" xmlns:x15ac="http://schemas.microsoft.com/office/spreadsheetml/2010/11/ac"/></mc:Choice></mc:AlternateContent><xr:revisionPtr xmlns:xr="http://schemas.microsoft.com/office/spreadsheetml/2014/revision" revIDLastSave="0" documentId="13_ncr:1_{7A3C1E52-9B04-4D6F-8E21-5C0A9F3B1D47}" xr6:coauthVersionLast="47" xr6:coauthVersionMax="47" xmlns:xr6="http://schemas.microsoft.com/office/spreadsheetml/2016/revision6" xr10:uidLastSave="{00000000-0000-0000-0000-000000000000}" xmlns:xr10="http://schemas.microsoft.com/office/spreadsheetml/2016/revision10"/><bookViews>',
        1,
    )


def _drawn(content: str, number: int) -> Change:
    return lambda s: _draw(s, content, number) and None


_PLACE = '<a:xfrm><a:off x="0" y="0"/><a:ext cx="900" cy="900"/></a:xfrm>'


def _smart_art(s: Surgery) -> None:
    part = _draw(
        s,
        f'<xdr:graphicFrame macro=""><xdr:nvGraphicFramePr><xdr:cNvPr id="4" name="Diagram"/><xdr:cNvGraphicFramePr/></xdr:nvGraphicFramePr><xdr:xfrm><a:off x="0" y="0"/><a:ext cx="0" cy="0"/></xdr:xfrm><a:graphic><a:graphicData uri="http://schemas.openxmlformats.org/drawingml/2006/diagram"><dgm:relIds xmlns:dgm="http://schemas.openxmlformats.org/drawingml/2006/diagram" xmlns:r="{OFFICE}" r:dm="rIdX1" r:lo="rIdX2" r:qs="rIdX3" r:cs="rIdX4"/></a:graphicData></a:graphic></xdr:graphicFrame>',
        3,
    )
    for name, root, kind in (
        ("data", "dataModel", "Data"),
        ("layout", "layoutDef", "Layout"),
        ("quickStyle", "styleDef", "Style"),
        ("colors", "colorsDef", "Colors"),
    ):
        inside = "<dgm:ptLst/><dgm:cxnLst/>" if name == "data" else ""
        s.add(
            f"xl/diagrams/{name}91.xml",
            f'<dgm:{root} xmlns:dgm="http://schemas.openxmlformats.org/drawingml/2006/diagram">{inside}</dgm:{root}>',
            f"application/vnd.openxmlformats-officedocument.drawingml.diagram{kind}+xml",
            part,
            f"diagram{name[0].upper()}{name[1:]}",
        )


def _newer_chart(s: Surgery) -> None:
    part = _draw(
        s,
        f'<mc:AlternateContent><mc:Choice xmlns:cx1="{_MS}/drawing/2015/9/8/chartex" Requires="cx1"><xdr:graphicFrame macro=""><xdr:nvGraphicFramePr><xdr:cNvPr id="5" name="Waterfall"/><xdr:cNvGraphicFramePr/></xdr:nvGraphicFramePr><xdr:xfrm><a:off x="0" y="0"/><a:ext cx="0" cy="0"/></xdr:xfrm><a:graphic><a:graphicData uri="{_MS}/drawing/2014/chartex"><cx:chart xmlns:cx="{_MS}/drawing/2014/chartex" r:id="rIdX1"/></a:graphicData></a:graphic></xdr:graphicFrame></mc:Choice><mc:Fallback/></mc:AlternateContent>',
        4,
    )
    s.add(
        "xl/charts/chartEx91.xml",
        f'<cx:chartSpace xmlns:cx="{_MS}/drawing/2014/chartex"><cx:chartData><cx:data id="0"><cx:numDim type="val"><cx:f>Flags!$C$4:$C$5</cx:f></cx:numDim></cx:data></cx:chartData><cx:chart><cx:plotArea><cx:plotAreaRegion/></cx:plotArea></cx:chart></cx:chartSpace>',
        "application/vnd.ms-office.chartex+xml",
        part,
        f"{_MS}/2014/relationships/chartEx",
    )


def _ribbon(s: Surgery) -> None:
    s.add(
        "customUI/customUI14.xml",
        f'<customUI xmlns="{_MS}/2009/07/customui"><ribbon/></customUI>',
        "application/xml",
        "/",
        f"{_MS}/2007/relationships/ui/extensibility",
    )
    s.add(
        "docMetadata/LabelInfo.xml",
        f'<clbl:labelList xmlns:clbl="{_MS}/2020/mipLabelMetadata"/>',
        f"{_MSCT.replace('excel', 'office')}.classificationlabels+xml",
        "/",
        f"{_MS}/2020/02/relationships/classificationlabels",
    )
    s.ending("wmf", "image/x-wmf")
    s.add(
        "docProps/thumbnail.wmf",
        b"\xd7\xcd\xc6\x9a" + bytes(60),
        "",
        "/",
        "http://schemas.openxmlformats.org/package/2006/relationships/metadata/thumbnail",
    )


def _live_data(s: Surgery) -> None:
    s.add(
        "xl/volatileDependencies.xml",
        f'{_HEAD}<volTypes xmlns="{MAIN}"><volType type="realTimeData"><main first="gauge"><tp t="n"><v>1</v><stp/><tr r="A1" s="1"/></tp></main></volType></volTypes>',
        f"{_CT}.volatileDependencies+xml",
        BOOK,
        "volatileDependencies",
    )


def _named_views(s: Surgery) -> None:
    s.add(
        "xl/namedSheetViews/namedSheetView91.xml",
        f'<namedSheetViews xmlns="{_MS}/spreadsheetml/2019/namedsheetviews"><namedSheetView name="Mine" id="{_GUID}"/></namedSheetViews>',
        f"{_MSCT}.namedsheetviews+xml",
        SHEET,
        f"{_MS}/2019/04/relationships/namedSheetView",
    )


def _sheet_odds(s: Surgery) -> None:
    s.put(
        SHEET,
        '<scenarios current="0"><scenario name="Cold" locked="1" count="1" user="AB"><inputCells r="B2" val="9"/></scenario></scenarios>',
    )
    s.put(SHEET, '<cellWatches><cellWatch r="C9"/></cellWatches>')
    s.put(SHEET, '<phoneticPr fontId="0" type="Hiragana"/>')
    identifier = s.add("xl/customProperty91.bin", b"x\0y\0", f"{_CT}.customProperty", SHEET, "customProperty")
    s.put(SHEET, f'<customProperties><customPr name="Plan" r:id="{identifier}"/></customProperties>')
    s.put(
        SHEET,
        '<dataConsolidate><dataRefs count="1"><dataRef ref="A4:C5" sheet="Flags"/></dataRefs></dataConsolidate>',
    )


def _book_odds(s: Surgery) -> None:
    s.put(BOOK, '<functionGroups builtInGroupCount="17"><functionGroup name="Pours"/></functionGroups>')
    s.put(BOOK, '<oleSize ref="A1:C9"/>')
    s.put(BOOK, '<smartTagPr embed="1" show="noIndicator"/>')
    s.put(BOOK, '<webPublishing css="0" codePage="1252"/>')
    s.put(BOOK, '<fileRecoveryPr repairLoad="0" dataExtractLoad="0"/>')
    s.put(
        BOOK,
        '<webPublishObjects count="1"><webPublishObject id="1" divId="x" destinationFile="x.htm"/></webPublishObjects>',
    )


def _names_that_mislead(s: Surgery) -> None:
    s.name("Misleads", "Lifts!$A$1", localSheetId="0", comment="was localSheetId='7' hidden='1' before")
    s.name("_xlnm.Print_Area", "Lifts!$A$1:$C$9", localSheetId="0")
    s.name("_sheetengine_result", "&quot;Other&quot;", localSheetId="0", hidden="1")
    s.parts[BOOK] = s.parts[BOOK].replace(b"""comment="was localSheetId='7' hidden='1' before" """, b"""comment='was localSheetId="7" hidden="1" before' """).replace(
        b"""comment="was localSheetId='7' hidden='1' before">""", b"""comment='was localSheetId="7" hidden="1" before'>"""
    )  # fmt: skip


def _no_properties(s: Surgery) -> None:
    gone = [name for name in s.parts if name.startswith("docProps/")]
    for name in gone:
        del s.parts[name]
    s.edit(
        TYPES,
        lambda root: [root.remove(n) for n in root if (n.get("PartName") or "").lstrip("/") in gone] and None,
    )
    s.edit(
        "_rels/.rels",
        lambda root: [root.remove(n) for n in root if n.get("Target").lstrip("/") in gone] and None,
    )


def _no_theme(s: Surgery) -> None:
    del s.parts["xl/theme/theme1.xml"]
    s.edit(
        TYPES, lambda root: [root.remove(n) for n in root if "theme" in (n.get("PartName") or "")] and None
    )
    s.edit(
        "xl/_rels/workbook.xml.rels",
        lambda root: [root.remove(n) for n in root if "theme" in n.get("Target")] and None,
    )


def _odd_theme(s: Surgery) -> None:
    s.parts["xl/theme/theme1.xml"] = s.parts["xl/theme/theme1.xml"].replace(
        b'name="Office Theme"', 'name="Thème ‘été’ &amp; 打設"'.encode()
    )
    s.rename("xl/theme/theme1.xml", "xl/theme/theme of the office.xml".replace(" ", "_"))


def _poor_styles(s: Surgery) -> None:
    s.parts["xl/styles.xml"] = (
        f'{_HEAD}<styleSheet xmlns="{MAIN}"><fonts count="1"><font><sz val="10"/><name val="Arial"/></font></fonts><cellXfs count="9">{"<xf/>" * 9}</cellXfs></styleSheet>'.encode()
    )


def _rich_styles(s: Surgery) -> None:
    part = "xl/styles.xml"
    s.extend(
        part,
        "{EB79DEF2-80B8-43e5-95BD-54CBDDF9020C}",
        '<x14:slicerStyles defaultSlicerStyle="SlicerStyleLight1"/>',
    )
    if b"colors>" not in s.parts[part]:
        s.put(
            part,
            '<colors><indexedColors><rgbColor rgb="00112233"/></indexedColors><mruColors><color rgb="FFEDE6D6"/></mruColors></colors>',
        )
    s.into(
        part,
        "tableStyles",
        '<tableStyle name="Office&apos;s own" pivot="0" count="1"><tableStyleElement type="wholeTable" dxfId="0"/></tableStyle>',
    )
    s.into(
        part, "dxfs", '<dxf><font><b/></font><numFmt numFmtId="170" formatCode="0.0&quot; m&quot;"/></dxf>'
    )
    s.into(part, "numFmts", '<numFmt numFmtId="4000" formatCode="0.000&quot;&lt;m&gt;&quot;"/>')
    s.into(part, "cellStyles", '<cellStyle name="Pour &amp; lift" xfId="0"/>')
    s.into(
        part,
        "fills",
        '<fill><gradientFill degree="90"><stop position="0"><color theme="0"/></stop><stop position="1"><color theme="4" tint="0.4"/></stop></gradientFill></fill>',
    )


def _no_relations_of_sheet(s: Surgery) -> None:
    s.add(
        "xl/worksheets/_rels/sheet1.xml.rels",
        '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"/>',
    )


PUT_IN: dict[str, Change] = {
    "form control": _form_control,
    "old control": _active_x,
    "table": _table,
    "slicer of a table": _slicer,
    "pivot table": pivot,
    "pivot table of the results": _pivot_of_results,
    "timeline of a pivot table": _timeline,
    "threaded comments and persons": _threaded_comments,
    "macros": _macros,
    "printer settings": _printer,
    "custom xml": _custom_xml,
    "xml map and single cells": _xml_map,
    "web extension": _web_extension,
    "query table and connections": _query,
    "data model": _data_model,
    "external link": _external_link,
    "dde link": _dde,
    "ole link": _ole_link,
    "embedded objects": _ole_object,
    "calculation chain": _chain,
    "shared formulas": _shared_formula,
    "data table": _data_table,
    "cells of every kind": _cell_kinds,
    "log of revisions": _revisions,
    "custom views": _custom_views,
    "dialog sheet": _dialog_sheet,
    "macro sheet": _macro_sheet,
    "protected book and sheet": _book_protection,
    "several windows": _windows,
    "rich data types and linked pictures": _rich_types,
    "extensions of 2010 that refer to the results": _newer_extensions,
    "extensions of tomorrow": _unknown_extensions,
    "alternate content and revision numbers": _alternate_content,
    "group of shapes": _drawn(f'<xdr:grpSp><xdr:nvGrpSpPr><xdr:cNvPr id="2" name="G"/><xdr:cNvGrpSpPr/></xdr:nvGrpSpPr><xdr:grpSpPr/><xdr:sp macro="[0]!press" textlink="Flags!$A$4"><xdr:nvSpPr><xdr:cNvPr id="3" name="Box"/><xdr:cNvSpPr/></xdr:nvSpPr><xdr:spPr>{_PLACE}<a:prstGeom prst="rect"><a:avLst/></a:prstGeom></xdr:spPr></xdr:sp></xdr:grpSp>', 1),
    "connector": _drawn(f'<xdr:cxnSp macro=""><xdr:nvCxnSpPr><xdr:cNvPr id="3" name="Line"/><xdr:cNvCxnSpPr/></xdr:nvCxnSpPr><xdr:spPr>{_PLACE}<a:prstGeom prst="line"><a:avLst/></a:prstGeom></xdr:spPr></xdr:cxnSp>', 2),
    "diagram": _smart_art,
    "newer chart": _newer_chart,
    "ribbon, label and preview": _ribbon,
    "live data": _live_data,
    "named sheet views": _named_views,
    "scenarios, watches and own properties": _sheet_odds,
    "elements of the book seldom seen": _book_odds,
    "names that mislead": _names_that_mislead,
    "no properties": _no_properties,
    "no theme": _no_theme,
    "theme of an odd name": _odd_theme,
    "styles without borders and differences": _poor_styles,
    "styles with much beside formats": _rich_styles,
    "empty part of relations": _no_relations_of_sheet,
}  # fmt: skip
