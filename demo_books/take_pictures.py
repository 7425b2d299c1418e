"""Takes the pictures of the README: pages of the gravity-dam demo and its record, and a card of the lock-wall demo.

Needs LibreOffice (soffice) and pdftoppm. Usage: python demo_books/take_pictures.py
"""

from __future__ import annotations

import datetime as dt
import subprocess
import tempfile
from pathlib import Path

from sheetengine import calculate, read_book, write_results
from sheetengine.__main__ import main as command

HERE = Path(__file__).parent
RESOLUTION = 90
PICTURES = {
    "flags": "Flags",
    "anchor_demand": "Anchor demand",
    "strength_ready": "Strength at the anchors",
}
"""Name of each picture, and the text with which its page begins."""
RECORD = {"record_front": "Calculation record", "record_governing": "Governing rows worse verdict"}
"""The same for the calculation record, and the text that its page holds."""
CARD = ("L-14/3", "pour_card", "hold_points")
"""Lift of the lock-wall demo whose card is printed, and the names of the two pictures."""
CROP = {"strength_ready": (40, 110, 640, 420)}
"""Left, top, width and height of what is kept of a page, in pixels; the whole page elsewhere."""


def pages_of(pdf: Path) -> list[str]:
    """Return the text of every page."""
    done = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True)
    return done.stdout.split("\f")


def take(pdf: Path, number: int, picture: Path, crop: list[str]) -> None:
    """Write a page of a PDF as a picture."""
    subprocess.run(
        ["pdftoppm", "-r", str(RESOLUTION), "-f", str(number), "-l", str(number), "-png", "-singlefile", *crop, str(pdf),
         str(picture)], check=True,
    )  # fmt: skip
    print(picture.with_suffix(".png"))


def main() -> None:
    """Write the pictures into ``demo_books/pictures``."""
    folder = HERE / "pictures"
    folder.mkdir(exist_ok=True)
    source = HERE / "gravity_dam_metric.xlsx"
    with tempfile.TemporaryDirectory() as name:
        work = Path(name)
        book = work / "demo.xlsx"
        write_results(source, calculate(read_book(source)), book, moment=dt.datetime(2031, 10, 1, 8))
        subprocess.run(
            ["soffice", f"-env:UserInstallation=file://{name}/profile", "--headless", "--convert-to", "pdf",
             "--outdir", name, str(book)], check=True, capture_output=True,
        )  # fmt: skip
        pages = pages_of(work / "demo.pdf")
        for picture, begins in PICTURES.items():
            number = next(place for place, text in enumerate(pages, 1) if text.strip().startswith(begins))
            left, top, width, height = CROP.get(picture, (0, 0, -1, -1))
            crop = ["-x", str(left), "-y", str(top), "-W", str(width), "-H", str(height)] if width > 0 else []
            take(work / "demo.pdf", number, folder / picture, crop)
        command(["report", str(book), "--to", str(work / "record.pdf")])
        pages = pages_of(work / "record.pdf")
        for picture, holds in RECORD.items():
            words = holds.split()
            number = next(
                place for place, text in enumerate(pages, 1) if all(word in text.split() for word in words)
            )
            take(work / "record.pdf", number, folder / picture, [])
        lift, *names = CARD
        card = work / "card.pdf"
        command(["card", str(HERE / "lock_wall_us.xlsx"), "--lift", lift, "--hold-points", "--to", str(card)])
        for number, picture in enumerate(names, start=1):
            take(card, number, folder / picture, [])


if __name__ == "__main__":
    main()
