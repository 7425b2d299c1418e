"""The lines of the ``Job`` sheet for what goes to the site and comes back from it."""

from __future__ import annotations

from sheetengine.sheets.declarations import ItemDeclaration, Kind

_N = Kind.NUMBER

SITE_ITEMS: tuple[ItemDeclaration, ...] = (
    ItemDeclaration(
        "Truck load",
        _N,
        "Concrete that one truck brings; turns the rates of the pour card into loads an hour.",
        "volume",
        default=6.0,
        default_text="6 m3 (common practice)",
        above=0.0,
        at_most=20.0,
    ),
)
