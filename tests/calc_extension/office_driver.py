"""Drives one LibreOffice from outside. Run by a Python that has ``uno``; takes a JSON line, gives a JSON line.

Usage: office_driver.py SOFFICE PROFILE_ADDRESS PIPE
"""

from __future__ import annotations

import json
import subprocess
import sys
import time
from typing import Any


class Driver:
    def __init__(self, program: str, profile: str, pipe: str) -> None:
        import uno

        self.uno = uno
        self.process = subprocess.Popen(
            [program, f"-env:UserInstallation={profile}", "--headless", "--norestore", "--nologo",
             f"--accept=pipe,name={pipe};urp;"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        local = uno.getComponentContext()
        resolver = local.ServiceManager.createInstance("com.sun.star.bridge.UnoUrlResolver")
        for left in range(480, -1, -1):
            try:
                self.context = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
                break
            except Exception:
                if not left or self.process.poll() not in (None, 81):
                    raise
                time.sleep(0.25)
        self.desktop = self.made("com.sun.star.frame.Desktop")
        self.document: Any = None

    def made(self, service: str) -> Any:
        return self.context.ServiceManager.createInstanceWithContext(service, self.context)

    def value(self, name: str, value: Any) -> Any:
        entry = self.uno.createUnoStruct("com.sun.star.beans.PropertyValue")
        entry.Name, entry.Value = name, value
        return entry

    def open(self, path: str) -> None:
        self.document = self.desktop.loadComponentFromURL(self.uno.systemPathToFileUrl(path), "_blank", 0, ())
        assert self.document is not None, path

    def close_all(self) -> None:
        open_ones = self.desktop.Components.createEnumeration()
        while open_ones.hasMoreElements():
            open_ones.nextElement().close(True)

    def store(self, path: str, kind: str) -> None:
        self.document.storeToURL(self.uno.systemPathToFileUrl(path), (self.value("FilterName", kind),))

    def cell(self, sheet: str, a1: str) -> Any:
        return self.document.Sheets.getByName(sheet).getCellRangeByName(a1)

    def set(self, sheet: str, a1: str, content: Any) -> None:
        if isinstance(content, str):
            self.cell(sheet, a1).Formula = content
        else:
            self.cell(sheet, a1).Value = content

    def get(self, sheet: str, a1: str) -> list[str]:
        return [self.cell(sheet, a1).Formula, self.cell(sheet, a1).String]

    def add_sheet(self, name: str, place: int) -> None:
        self.document.Sheets.insertNewByName(name, place)

    def sheets(self) -> list[str]:
        return list(self.document.Sheets.ElementNames)

    def rows(self, sheet: str) -> list[list[Any]]:
        held = self.document.Sheets.getByName(sheet)
        cursor = held.createCursor()
        cursor.gotoEndOfUsedArea(False)
        end = cursor.RangeAddress
        return [
            list(row) for row in held.getCellRangeByPosition(0, 0, end.EndColumn, end.EndRow).getDataArray()
        ]

    def view(self) -> list[Any]:
        controller = self.document.CurrentController
        return [
            controller.ActiveSheet.Name,
            self.document.CurrentSelection.AbsoluteName,
            controller.FirstVisibleRow,
        ]

    def select(self, sheet: str, a1: str) -> None:
        controller = self.document.CurrentController
        controller.setActiveSheet(self.document.Sheets.getByName(sheet))
        controller.select(self.cell(sheet, a1))

    def modified(self) -> bool:
        return bool(self.document.isModified())

    def tables(self) -> list[str]:
        return list(self.document.DatabaseRanges.ElementNames)

    def looks(self, sheet: str) -> dict[str, Any]:
        held = self.document.Sheets.getByName(sheet)
        charts = [
            sorted(
                part.Values.SourceRangeRepresentation
                for part in held.Charts.getByIndex(place).EmbeddedObject.getDataSequences()
                if part.Values
            )
            for place in range(held.Charts.Count)
        ]
        return {
            "charts": charts,
            "formats": len(held.ConditionalFormats.getConditionalFormats()),
            "notes": held.Annotations.Count,
            "areas": len(held.getPrintAreas()),
            "landscape": bool(
                self.document.StyleFamilies.getByName("PageStyles").getByName(held.PageStyle).IsLandscape
            ),
            "widths": [held.Columns.getByIndex(column).Width for column in range(len(self.rows(sheet)[0]))],
            "heights": [held.Rows.getByIndex(row).Height for row in range(30)],
        }

    def links(self, sheet: str, a1: str) -> list[str]:
        fields = self.cell(sheet, a1).getTextFields()
        return [fields.getByIndex(place).URL for place in range(fields.Count)]

    def dispatch(self, command: str) -> list[Any]:
        helper = self.made("com.sun.star.frame.DispatchHelper")
        frame = self.document.CurrentController.Frame
        told = helper.executeDispatch(
            frame, f"sheetengine.calc:{command}", "", 0, (self.value("Quiet", True),)
        )
        return [told.State == 1, told.Result]

    def end(self) -> None:
        try:
            self.desktop.terminate()
        except Exception:
            self.process.terminate()
        self.process.wait(60)


def main() -> None:
    driver = Driver(*sys.argv[1:4])
    print(json.dumps({"ready": True}), flush=True)
    for line in sys.stdin:
        wish = json.loads(line)
        try:
            answer: dict[str, Any] = {"answer": getattr(driver, wish["do"])(*wish["with"])}
        except Exception as error:
            answer = {"error": f"{type(error).__name__}: {error}"}
        print(json.dumps(answer), flush=True)
        if wish["do"] == "end":
            return


if __name__ == "__main__":
    main()
