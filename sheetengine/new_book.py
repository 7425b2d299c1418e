"""Makes an empty book to be filled in."""

from __future__ import annotations

import datetime as dt
import os

from sheetengine.books.saving import save_atomically
from sheetengine.books.template import render_template
from sheetengine.sheets.templates import template_content


def build_template(
    path: str | os.PathLike[str],
    *,
    us: bool,
    safety: str,
    pressure: str = "",
    anchor: str = "",
    moment: dt.datetime | None = None,
) -> None:
    """Write an empty book.

    Parameters
    ----------
    path
        File to write, ``.xlsx``; a file of that name is replaced.
    us
        Whether the headings carry US customary units, on Letter paper, rather than metric ones, on A4.
    safety
        Safety basis, preset on ``Job``.
    pressure, anchor
        Methods, preset on ``Job``; the usual ones of the safety basis where they are empty.
    moment
        Time written into the file; now where it is not given.

    Raises
    ------
    ValueError
        A choice is not one of its list; the message gives the list.
    BookUnwritable
        The file could not be written; it is as it was.
    """
    workbook = render_template(template_content(us=us, safety=safety, pressure=pressure, anchor=anchor))
    when = moment or dt.datetime.now(dt.UTC).replace(tzinfo=None, microsecond=0)
    workbook.properties.created = when
    save_atomically(workbook, path, moment=when)
