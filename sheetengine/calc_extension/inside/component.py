"""The commands of the extension, as LibreOffice calls them. Standard library and uno alone."""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
import threading
from pathlib import Path
from typing import Any, Callable, Dict, Tuple  # noqa: UP035 - read by Python 3.8 too

import sheetengine_calc_book as book_work
import uno
import unohelper
from com.sun.star.awt import XCallback
from com.sun.star.beans import PropertyValue
from com.sun.star.frame import DispatchResultEvent, XDispatchProvider, XNotifyingDispatch
from com.sun.star.lang import XInitialization, XServiceInfo
from sheetengine_calc_engine import REBUILD, STATES, Answer, Settings, call_engine, fault_words, result_words

NAME = "sheetengine.calc.Commands"
PROTOCOL = "sheetengine.calc:"
TITLE = "Lift formwork and form anchors"
XLSX = "Calc MS Excel 2007 XML"
_UNSAVED = "It is not saved yet; the run cannot be undone, so close the book without saving to go back."
_DONE, _NOT_DONE = 1, 0
_INFO, _WARNING = "INFOBOX", "WARNINGBOX"


def _value(name: str, value: Any) -> Any:
    entry = PropertyValue()
    entry.Name, entry.Value = name, value
    return entry


class Commands(unohelper.Base, XServiceInfo, XInitialization, XDispatchProvider, XNotifyingDispatch):
    """Takes the commands ``run``, ``verify`` and ``next`` for the document of a frame."""

    busy = False
    shown: Dict[str, str] = {}  # noqa: UP006, RUF012 - the flag last gone to, by document

    def __init__(self, context: Any, *_: Any) -> None:
        self.context = context
        self.frame: Any = None

    # the interfaces

    def initialize(self, arguments: Tuple[Any, ...]) -> None:  # noqa: UP006, D102
        if arguments:
            self.frame = arguments[0]

    def getImplementationName(self) -> str:  # noqa: N802, D102
        return NAME

    def supportsService(self, name: str) -> bool:  # noqa: N802, D102
        return name in self.getSupportedServiceNames()

    def getSupportedServiceNames(self) -> Tuple[str, ...]:  # noqa: N802, UP006, D102
        return (NAME, "com.sun.star.frame.ProtocolHandler")

    def queryDispatch(self, url: Any, _target: str, _flags: int) -> Any:  # noqa: N802, D102
        return self if url.Protocol == PROTOCOL else None

    def queryDispatches(self, requests: Tuple[Any, ...]) -> Tuple[Any, ...]:  # noqa: N802, UP006, D102
        return tuple(self.queryDispatch(r.FeatureURL, r.FrameName, r.SearchFlags) for r in requests)

    def addStatusListener(self, _listener: Any, _url: Any) -> None:  # noqa: N802, D102
        return

    def removeStatusListener(self, _listener: Any, _url: Any) -> None:  # noqa: N802, D102
        return

    def dispatch(self, url: Any, arguments: Tuple[Any, ...]) -> None:  # noqa: UP006, D102
        self._work(url.Path, arguments)

    def dispatchWithNotification(self, url: Any, arguments: Any, listener: Any) -> None:  # noqa: N802, D102
        def work() -> None:
            good, words = self._work(url.Path, arguments)
            if listener is not None:
                event = DispatchResultEvent()
                event.Source = self
                event.State = _DONE if good else _NOT_DONE
                event.Result = words
                listener.dispatchFinished(event)

        if _on_the_main_thread():
            work()
        else:  # a call from another process: sheets may not change while the main thread paints them
            later = self.context.ServiceManager.createInstanceWithContext(
                "com.sun.star.awt.AsyncCallback", self.context
            )
            later.addCallback(_Later(work), None)

    # the work

    def _work(self, command: str, arguments: Tuple[Any, ...]) -> Tuple[bool, str]:  # noqa: UP006
        """Do a command and tell its outcome; ``Quiet`` among the arguments keeps the message box away."""
        quiet = any(entry.Name == "Quiet" and entry.Value for entry in arguments or ())
        if Commands.busy:
            return False, "A calculation is running already."
        Commands.busy = True
        try:
            good, words = self._do(command)
        except (
            Exception
        ) as error:  # whatever goes wrong, the user is told in words and the office program goes on
            good, words = (
                False,
                f"The command did not end well ({type(error).__name__}: {error}). Close the book without saving if its result sheets look wrong. {REBUILD}",
            )
        finally:
            Commands.busy = False
        if words and not quiet:
            self._tell(good, words)
        return good, words

    def _do(self, command: str) -> Tuple[bool, str]:  # noqa: UP006
        document = self.frame.Controller.Model if self.frame and self.frame.Controller else None
        if document is None or not document.supportsService("com.sun.star.sheet.SpreadsheetDocument"):
            return False, "This command works on a spreadsheet. Open the book of lifts first."
        if command == "next":
            return self._next_flag(document)
        if command not in ("run", "verify"):
            return False, f"There is no command {command}."
        if command == "run" and document.isReadonly():
            return (
                False,
                "The book is open for reading only. Open it for editing, or save a copy, and run again.",
            )
        if command == "run" and document.isProtected():
            return (
                False,
                "The sheets of the book are protected (Tools, Protect Spreadsheet Structure). Take it off and run again.",
            )
        folder = Path(tempfile.mkdtemp(prefix="sheetengine-"))
        status = self.frame.createStatusIndicator()
        status.start("Storing a copy of the book …", 100)
        try:
            return self._compute(document, command, folder, status)
        finally:
            status.end()
            shutil.rmtree(str(folder), ignore_errors=True)

    def _compute(self, document: Any, command: str, folder: Path, status: Any) -> Tuple[bool, str]:  # noqa: UP006
        copy = folder / "book.xlsx"
        document.storeToURL(uno.systemPathToFileUrl(str(copy)), (_value("FilterName", XLSX),))
        settings = Settings.read(Path(__file__).parent)
        window = self.frame.ContainerWindow
        window.setEnable(False)  # no edits and no second command while events are let through
        try:
            status.setText("Computing lifts and anchors …")
            answer = call_engine(
                settings, command, copy, document.Title, lambda gone: status.setValue(min(80, 5 + int(10 * gone)))
            )  # fmt: skip
        finally:
            window.setEnable(True)
        if command == "verify":
            return self._verified(answer)
        if answer.kind == "faults":
            with _Apart(document):
                name = book_work.write_faults(document, answer.faults)
            return (
                False,
                f'{answer.words}\n\nThe whole list, with links to the cells, is in the sheet "{name}".',
            )
        if answer.kind != "done":
            return False, answer.words
        status.setText("Bringing in the result sheets …")
        status.setValue(85)
        return self._bring_in(document, copy, answer)

    def _bring_in(self, document: Any, copy: Path, answer: Answer) -> Tuple[bool, str]:  # noqa: UP006
        desktop = self.context.ServiceManager.createInstanceWithContext(
            "com.sun.star.frame.Desktop", self.context
        )
        book_work.narrow_titles(copy)
        results = desktop.loadComponentFromURL(
            uno.systemPathToFileUrl(str(copy)), "_blank", 0,
            (_value("Hidden", True), _value("ReadOnly", False), _value("MacroExecutionMode", 0), _value("UpdateDocMode", 0)),
        )  # fmt: skip
        try:
            with _Apart(document):
                names = book_work.take_results(document, results)
        except book_work.NotOurs as taken:
            return False, (
                f'The book has a sheet "{taken}" that this engine did not write, under the name of a result sheet. It was left '
                "as it is. Rename that sheet and run again."
            )
        finally:
            results.close(True)
        return True, f"{result_words(answer.data)}\n{len(names)} result sheets stand in the book. {_UNSAVED}"

    def _verified(self, answer: Answer) -> Tuple[bool, str]:  # noqa: UP006
        if answer.kind == "done":
            state = str(answer.data["results"])
            return state == "current", f"{STATES[state]}\n{result_words(answer.data)}"
        if answer.kind == "faults":
            return (
                False,
                f"{fault_words(answer.faults)}\n\nRun the calculation to get the whole list as a sheet.",
            )
        return False, answer.words

    def _next_flag(self, document: Any) -> Tuple[bool, str]:  # noqa: UP006
        flags = book_work.unsigned_flags(document)
        if not flags:
            return (
                True,
                "No flag without initials stands in the book. If it has not been run yet, run the calculation.",
            )
        names = [name for name, _, _ in flags]
        last = Commands.shown.get(document.RuntimeUID, "")
        place = (names.index(last) + 1) % len(names) if last in names else 0
        name, cell, words = flags[place]
        Commands.shown[document.RuntimeUID] = name
        there = book_work.go_to(document, cell)
        gone = "" if there else "\nThat place is no longer in the book."
        return there, f"Flag {name} ({place + 1} of {len(names)} without initials), {cell}\n{words}{gone}"

    def _tell(self, good: bool, words: str) -> None:
        window = self.frame.ContainerWindow if self.frame else None
        if window is None:
            return
        kind = uno.Enum("com.sun.star.awt.MessageBoxType", _INFO if good else _WARNING)
        window.Toolkit.createMessageBox(window, kind, 1, TITLE, words).execute()


class _Later(unohelper.Base, XCallback):
    """Work that the office program does when it comes to it, on its main thread."""

    def __init__(self, work: Callable[[], None]) -> None:
        self.work = work

    def notify(self, _: Any) -> None:
        self.work()


def _on_the_main_thread() -> bool:
    """Return whether this is the thread of menus and windows; taken for granted where it cannot be told."""
    return sys.platform != "linux" or threading.get_native_id() == os.getpid()


class _Apart:
    """Keeps the list of what can be undone out of a change that the office program cannot undo whole.

    Earlier entries of that list name places as they were before, so the list begins anew afterwards. An action
    lock is not set here: under one, copied charts lose their cells.
    """

    def __init__(self, document: Any) -> None:
        self.document = document

    def __enter__(self) -> None:
        document = self.document
        self.automatic = document.isAutomaticCalculationEnabled()
        document.enableAutomaticCalculation(False)  # once at the end is enough
        document.lockControllers()
        document.IsUndoEnabled = False

    def __exit__(self, *_: object) -> None:
        document = self.document
        document.IsUndoEnabled = True
        document.UndoManager.clear()
        document.unlockControllers()
        document.enableAutomaticCalculation(self.automatic)


g_ImplementationHelper = unohelper.ImplementationHelper()  # noqa: N816 - the name that the loader looks for
g_ImplementationHelper.addImplementation(Commands, NAME, ("com.sun.star.frame.ProtocolHandler",))
