"""Names what loading and saving a workbook through the spreadsheet library would lose or rewrite."""

from __future__ import annotations

import os
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

from openpyxl.drawing import image as library_image

from sheetengine.books.parts import Package, SheetPart, local, open_package

_MACROS = (".xlsm", ".xltm", ".xlam")

_KEPT = frozenset({
    "officeDocument", "core-properties", "extended-properties", "custom-properties", "worksheet", "theme",
    "styles", "sharedStrings", "calcChain", "externalLink", "externalLinkPath", "externalLinkLongPath", "hyperlink",
    "table", "comments", "vmlDrawing", "drawing", "image", "pivotCacheRecords",
})  # fmt: skip
"""Kinds of relations that a save keeps, or whose parts are looked into one by one."""

_WORDS = {
    "chart": "chart (would be rewritten: fonts, styles and labels may change)",
    "chartEx": "chart of a newer kind (waterfall, treemap and such)",
    "chartStyle": "",
    "chartColorStyle": "",
    "chartUserShapes": "shapes drawn inside a chart",
    "themeOverride": "chart with a theme of its own",
    "chartsheet": "chart sheet (would be rewritten)",
    "dialogsheet": "dialog sheet",
    "macrosheet": "macro sheet",
    "xlMacrosheet": "macro sheet",
    "pivotTable": "pivot table (would be rewritten)",
    "pivotCacheDefinition": "data behind a pivot table (would be rewritten)",
    "ctrlProp": "form control (button, check box, list or such)",
    "control": "ActiveX control",
    "activeXControlBinary": "",
    "slicer": "slicer",
    "slicerCache": "slicer settings",
    "timeline": "timeline",
    "timelineCache": "timeline settings",
    "diagramData": "SmartArt",
    "diagramLayout": "",
    "diagramQuickStyle": "",
    "diagramColors": "",
    "diagramDrawing": "",
    "threadedComment": "comments with replies",
    "person": "people named in comments",
    "customXml": "custom data part",
    "customXmlProps": "",
    "connections": "data connections",
    "queryTable": "query to outside data",
    "printerSettings": "printer settings of the page set-up",
    "customProperty": "custom property of a sheet",
    "metadata": "cell data of the newer kind (spilling formulas, linked data types)",
    "sheetMetadata": "cell data of the newer kind (spilling formulas, linked data types)",
    "rdRichValue": "linked data types",
    "rdRichValueStructure": "",
    "rdRichValueTypes": "",
    "rdSupportingPropertyBag": "",
    "rdSupportingPropertyBagStructure": "",
    "richStyles": "",
    "richValueRel": "pictures in cells",
    "webextension": "web add-in",
    "taskpane": "web add-in",
    "webextensiontaskpanes": "web add-in",
    "vbaProject": "macros",
    "vbaProjectSignature": "signature of the macros",
    "wordVbaData": "macros",
    "origin": "digital signature",
    "signature": "",
    "oleObject": "embedded object",
    "package": "embedded object",
    "powerPivotData": "data model",
    "dataModel": "data model",
    "extensibility": "custom ribbon",
    "customUI": "custom ribbon",
    "userCustomization": "custom ribbon",
    "volatileDependencies": "live data feeds",
    "xmlMaps": "map to XML data",
    "tableSingleCells": "cells mapped to XML data",
    "revisionHeaders": "tracked changes of a shared workbook",
    "usernames": "users of a shared workbook",
    "attachedToolbars": "attached toolbars",
    "classificationlabels": "sensitivity label",
    "thumbnail": "preview picture",
    "media": "sound or film",
    "namedSheetView": "named sheet views",
    "FeaturePropertyBag": "check boxes in cells",
    "ink": "drawing by pen",
}

_SHEET_ELEMENTS = {
    "protectedRanges": "ranges that named users may edit",
    "dataConsolidate": "consolidation settings",
    "customSheetViews": "custom views",
    "cellWatches": "watched cells",
    "ignoredErrors": "error marks that were switched off",
    "smartTags": "smart tags",
    "legacyDrawingHF": "picture in the header or footer",
    "drawingHF": "picture in the header or footer",
    "picture": "picture behind the sheet",
    "oleObjects": "embedded object",
    "controls": "form or ActiveX controls",
    "webPublishItems": "web publishing settings",
}

_EXTENSIONS = {
    "conditionalFormattings": "conditional formats of the newer kind (data bars, icon sets, rules on other sheets)",
    "dataValidations": "drop-down lists or checks that look at another sheet",
    "sparklineGroups": "sparklines",
    "slicerList": "",
    "timelineRefs": "",
    "ignoredErrors": "error marks that were switched off",
    "protectedRanges": "ranges that named users may edit",
    "webExtensions": "web add-in",
}

_WORKBOOK_ELEMENTS = {
    "fileSharing": "read-only recommendation or write password",
    "customWorkbookViews": "custom views",
    "webPublishing": "web publishing settings",
    "functionGroups": "groups of user functions",
}

_SHAPES = {
    "sp": "shape or text box",
    "grpSp": "group of shapes",
    "cxnSp": "connector",
    "contentPart": "drawing by pen",
}


def parts_at_risk(path: str | os.PathLike[str]) -> list[str]:
    """Return what saving the book through the spreadsheet library would lose or rewrite.

    Parts that belong only to result sheets of an earlier run do not count, since these sheets are made anew.

    Parameters
    ----------
    path
        The workbook.

    Returns
    -------
    list[str]
        One line a part or kind of part: the sheet or ``Workbook``, what it is, how often, and its name in the file.
        Empty where nothing would be lost.
    """
    file = Path(path)
    with open_package(str(file)) as package:
        found = Counter(_risks(package, file.suffix.lower() in _MACROS))
    return [
        f"{where}: {what}{f', {count} times' if count > 1 else ''} ({part})"
        for (where, what, part), count in sorted(found.items())
    ]


Risk = tuple[str, str, str]
"""Sheet or ``Workbook``, what it is, name of the part."""


def _risks(package: Package, macros: bool) -> Iterator[Risk]:
    office = [sheet for sheet in package.sheets if not sheet.ours and sheet.part in package]
    sheets = frozenset(sheet.part for sheet in package.sheets)
    owner: dict[str, str] = {}
    for sheet in office:
        own = package.reached([sheet.part], apart=sheets - {sheet.part} | {package.workbook})
        for part in sorted(own):
            owner.setdefault(part, sheet.name)
    shared = package.reached([package.workbook], apart=sheets)
    for relation in package.relations(""):
        if not relation.external and relation.target in package and relation.target != package.workbook:
            shared |= package.reached([relation.target], apart=sheets | {package.workbook})
    for part in sorted(shared):
        owner.setdefault(part, "Workbook")

    for part in ("", *owner):
        for relation in package.relations(part):
            if relation.external or relation.target not in owner or relation.kind in _KEPT:
                continue
            if relation.kind in ("vbaProject", "extensibility") and macros:
                continue
            what = _WORDS.get(relation.kind, f"part of a kind that is not known here ({relation.kind})")
            if what:
                yield owner[relation.target], what, relation.target
    for sheet in office:
        kind = next(
            (r.kind for r in package.relations(package.workbook) if r.target == sheet.part), "worksheet"
        )
        if kind != "worksheet":
            yield sheet.name, _WORDS.get(kind, f"sheet of another kind ({kind})"), sheet.part
        else:
            yield from _in_sheet(package, sheet)
    for part, where in owner.items():
        kinds = {r.kind for parent in ("", *owner) for r in package.relations(parent) if r.target == part}
        if "drawing" in kinds:
            yield from _in_drawing(package, part, where)
        elif "vmlDrawing" in kinds:
            yield from _in_old_drawing(package, part, where)
        elif "comments" in kinds:
            yield from _in_notes(package, part, where)
        elif "sharedStrings" in kinds and b"rPh" in package.read(part):
            yield where, "reading aids of Asian text", part
    for node in package.tree(package.workbook):
        what = _WORKBOOK_ELEMENTS.get(local(node.tag), "")
        if what:
            yield "Workbook", what, package.workbook


def _in_sheet(package: Package, sheet: SheetPart) -> Iterator[Risk]:
    xml = package.read(sheet.part)
    cells = max(xml.find(b"sheetData"), 0), max(xml.rfind(b"sheetData"), 0)
    around = xml[: cells[0]] + xml[cells[1] :]  # the cells may be many, and none of this stands among them
    for name, what in _SHEET_ELEMENTS.items():
        if re.search(rb"<(?:\w+:)?" + name.encode() + rb"[\s/>]", around):
            yield sheet.name, what, sheet.part
    if b"extLst" not in around:
        return
    for child in ElementTree.fromstring(xml):
        if local(child.tag) != "extLst":
            continue
        for extension in child:
            for content in extension:
                name = local(content.tag)
                what = _EXTENSIONS.get(name, f"extension of a newer kind ({name})")
                if what:
                    yield sheet.name, what, sheet.part


def _in_drawing(package: Package, part: str, where: str) -> Iterator[Risk]:
    for anchor in package.tree(part):
        for node in anchor:
            name = local(node.tag)
            if name in _SHAPES:
                yield where, _SHAPES[name], part
            elif name == "pic":
                yield from _in_picture(package, part, where, node)
            elif name == "AlternateContent":
                yield where, "object of a newer kind (slicer, control, chart or such)", part
            elif name == "graphicFrame" and not _frames_known(node):
                yield where, "graphic of a kind that is not known here", part


def _frames_known(frame: ElementTree.Element) -> bool:
    uris = [node.get("uri", "") for node in frame.iter() if local(node.tag) == "graphicData"]
    return all(uri.endswith(("/chart", "/diagram")) for uri in uris)


def _in_picture(package: Package, part: str, where: str, picture: ElementTree.Element) -> Iterator[Risk]:
    """Yield what a save changes of a picture; a plain one, without any of this, is kept."""
    if not library_image.PILImage:
        yield where, "picture (the library that keeps pictures, Pillow, is not installed)", part
        return
    targets = {relation.id: relation.target for relation in package.relations(part)}
    for node in picture.iter():
        name = local(node.tag)
        if name == "cNvPr" and node.get("descr", "Picture") != "Picture":  # the library's own words
            yield where, "alternative text of a picture", part
        elif name == "hlinkClick":
            yield where, "link on a picture", part
        elif name == "srcRect" and any(node.get(side, "0") != "0" for side in "lrtb"):
            yield where, "cropping of a picture", part
        elif name in ("effectLst", "scene3d", "sp3d", "style", "svgBlip", "duotone", "lum", "alphaModFix"):
            if len(node) or name not in ("effectLst", "style"):
                yield where, "effects of a picture", part
        elif name == "prstGeom" and node.get("prst") != "rect":
            yield where, "shape of a picture", part
        elif name == "xfrm" and any(
            node.get(key, "0") not in ("0", "false") for key in ("rot", "flipH", "flipV")
        ):
            yield where, "turning of a picture", part
        elif name == "ln" and any(local(child.tag) == "solidFill" for child in node):
            yield where, "frame of a picture", part
        elif name == "blip":
            image = next((target for key, target in targets.items() if key in node.attrib.values()), "")
            if not image.lower().endswith((".png", ".jpg", ".jpeg", ".gif")):
                yield where, "picture of a kind that cannot be saved", image or part


def _in_old_drawing(package: Package, part: str, where: str) -> Iterator[Risk]:
    xml = package.read(part)
    kinds = re.findall(rb'ObjectType="(\w+)"', xml)
    if any(kind not in (b"Note",) for kind in kinds):
        yield where, "form controls or old drawing objects", part
    notes = re.findall(rb"<v:shape\b(?:(?!</v:shape>).)*?ObjectType=\"Note\"", xml, re.DOTALL)
    if any(b"visibility:hidden" not in re.sub(rb"\s", b"", note) for note in notes):
        yield where, "note that is always shown (it would be hidden)", part
    fills = set(re.findall(rb'<v:shape\b[^>]*?fillcolor="([^"\s]+)', xml))
    if fills - {b"#ffffe1", b"infoBackground", b"window"}:
        yield where, "colour of a note", part


def _in_notes(package: Package, part: str, where: str) -> Iterator[Risk]:
    """Yield formatted text of notes; the author's name in bold, which the program itself writes, does not count."""
    for note in (node for node in package.tree(part).iter() if local(node.tag) == "comment"):
        runs = [node for node in note.iter() if local(node.tag) == "r"]
        for run in runs:
            text = "".join(node.text or "" for node in run if local(node.tag) == "t").strip()
            marks = {
                local(node.tag) for properties in run if local(properties.tag) == "rPr" for node in properties
            }
            if marks & {"b", "i", "u", "strike"} and text and not (run is runs[0] and text.endswith(":")):
                yield where, "bold, italic or underlined text in a note", part
                break
