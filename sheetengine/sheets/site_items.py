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
    ItemDeclaration(
        "Anchor place tolerance",
        _N,
        "Distance, along the face or in depth, up to which an anchor counts as where it was planned.",
        "short length",
        default=25.0,
        default_text="25 mm (common practice)",
        at_least=0.0,
        at_most=300.0,
    ),
    ItemDeclaration(
        "Greatest anchor angle",
        _N,
        "Angle to the normal of the face above which an anchor counts as missing.",
        "angle",
        default=5.0,
        default_text="5 deg (common practice)",
        at_least=0.0,
        at_most=45.0,
    ),
    ItemDeclaration(
        "Faster rise tried",
        _N,
        "By how much faster the lifts rise when it is asked what fails first.",
        "share",
        default=20.0,
        default_text="20 %",
        at_least=0.0,
        at_most=400.0,
    ),
    ItemDeclaration(
        "Colder tried",
        _N,
        "By how much colder concrete and air are when it is asked what fails first.",
        "temperature difference",
        default=5.0,
        default_text="5 K",
        at_least=0.0,
        at_most=30.0,
    ),
    ItemDeclaration(
        "Weaker concrete tried",
        _N,
        "By how much weaker the concrete is at every hour when it is asked what fails first.",
        "share",
        default=20.0,
        default_text="20 %",
        at_least=0.0,
        at_most=90.0,
    ),
)
