"""The demo books: what each shows, and where it is found."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from importlib import resources
from pathlib import Path

from sheetengine.exceptions import BookUnreadable, BookUnwritable


@dataclass(frozen=True, slots=True)
class Demo:
    """One demo book, and where to look once it has run."""

    name: str
    file: str
    about: str
    look_at: tuple[str, ...]


DEMOS = (
    Demo(
        "gravity-dam",
        "gravity_dam_metric.xlsx",
        "Three blocks of a gravity dam, metric units, EN partial factors, retarded fly-ash mix, a winter probe log.",
        (
            "Flags: what blocks issue, each with the cell and what would clear it",
            "Anchor demand: governing mode and required strength of every lift and stage",
            "Strength ready: hours of margin of the gates; the chart shows the tightest lift",
            "Embed counts: what to order, and by when the anchors must be in place",
        ),
    ),
    Demo(
        "lock-wall",
        "lock_wall_us.xlsx",
        "Lock wall monoliths, US customary units, ACI service-load basis: strengths over 2.0, or 3.0 with people.",
        (
            "Pressures: the inch-pound form of ACI 347R-14 and the greatest rate of rise",
            "Anchor demand: the safety factor that each stage's use of the anchors asks for",
            "Bar counts: US bar sizes, cutting lengths and masses",
            "Hold points and As-built check: lift L-14/3 hangs from an anchor that stands at an angle",
            "Pour card: choose a lift; sheetengine card prints it",
        ),
    ),
    Demo(
        "power-station",
        "power_station_metric.xlsx",
        "Substructure of a power station, metric units, the heat of hydration computed for every lift.",
        (
            "Lift heat: peak and differences of every lift; the chart and the small table speak of lift T1/4",
            "Strength ready: gates on the computed temperature at the anchors and at the top of the face",
            "Earlier gates: hours that an insulated form or a warmer mix would gain",
        ),
    ),
    Demo(
        "faults",
        "book_of_faults.xlsx",
        "A book full of input faults: nothing is written, and every fault is listed with sheet and cell.",
        ("the cells named above; correct them one by one and run the book again",),
    ),
)


def demo_named(name: str) -> Demo:
    """Return the demo with the name.

    Raises
    ------
    KeyError
        There is no such demo.
    """
    return {demo.name: demo for demo in DEMOS}[name]


def demo_file(demo: Demo) -> Path:
    """Return the file of a demo book, from the installed package or the source tree.

    Raises
    ------
    BookUnreadable
        The file is not there.
    """
    package = Path(str(resources.files("sheetengine")))
    for folder in (package / "_shipped" / "demo_books", package.parent / "demo_books"):
        if (folder / demo.file).is_file():
            return folder / demo.file
    raise BookUnreadable(
        f"The demo book {demo.file} is not part of this installation. Install sheetengine again."
    )


def copy_demo(demo: Demo, folder: Path) -> Path:
    """Copy a demo book into a folder and return the copy; a file that is already there is never overwritten.

    Raises
    ------
    BookUnreadable, BookUnwritable
        The demo is missing, or the copy could not be written.
    """
    source, target = demo_file(demo), folder / demo.file
    number = 1
    while target.exists():
        number += 1
        target = folder / f"{Path(demo.file).stem}_{number}.xlsx"
    try:
        shutil.copyfile(source, target)
    except OSError as error:
        raise BookUnwritable(
            f"{target}: the demo could not be written ({error.strerror}). Change to a folder of your own."
        ) from error
    return target
