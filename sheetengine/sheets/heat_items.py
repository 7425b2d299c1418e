"""The lines of the ``Job`` sheet for the heat of the lift."""

from __future__ import annotations

from sheetengine.sheets.declarations import ItemDeclaration, Kind

_T, _N, _C = Kind.TEXT, Kind.NUMBER, Kind.CHOICE

HEAT_ITEMS: tuple[ItemDeclaration, ...] = (
    ItemDeclaration(
        "Heat of hydration",
        _C,
        "leave out: without a probe the anchors' concrete is as cold as the air. compute: the temperature of every lift is "
        "computed from the hydration of its mix.",
        choices=("leave out", "compute"),
        default="leave out",
        default_text="leave out (the cold side)",
    ),
    ItemDeclaration(
        "Heat shown for",
        _T,
        "Block/Lift whose temperatures are drawn, and tried with other placing temperatures and a longer wait.",
        default_text="the lift with the highest peak",
    ),
    ItemDeclaration(
        "Bare surface coefficient",
        _N,
        "Heat that a bare concrete surface gives to the air.",
        "surface coefficient",
        default=23.1,
        default_text="23.1 W/m2/K (ETL 1110-2-365 Appendix A, wind of 10 mph)",
        above=0.0,
        at_most=200.0,
    ),
    ItemDeclaration(
        "Sun on the surface",
        _N,
        "What the sun at noon is worth on every surface, as warmer air; half a wave from 6 to 18 h. Leave it out for the gates in doubt.",
        "temperature difference",
        default=0.0,
        default_text="none",
        at_least=0.0,
        at_most=40.0,
    ),
    ItemDeclaration(
        "Margin on computed temperature",
        _N,
        "Taken off the temperature computed at the anchors and at the top, for what the hydration curve misses in the first day.",
        "temperature difference",
        default=2.5,
        default_text="2.5 K (open calorimeter data: 20 J/g off at most, 300 kg of binder)",
        at_least=0.0,
        at_most=20.0,
    ),
    ItemDeclaration(
        "Insulation tried",
        _N,
        "Thermal resistance of the form when its gain of hours at every gate is asked, where the heat is computed.",
        "thermal resistance",
        default=0.5,
        default_text="0.5 m2*K/W",
        above=0.0,
        at_most=10.0,
    ),
    ItemDeclaration(
        "Rock temperature",
        _N,
        "Temperature of what the first lift of each block stands on.",
        "temperature",
        default_text="the colder of air and placing temperature",
        at_least=-20.0,
        at_most=50.0,
    ),
    ItemDeclaration(
        "Greatest peak temperature",
        _N,
        "Limit on the warmest concrete of a lift.",
        "temperature",
        default=70.0,
        default_text="70 degC (common practice)",
        above=0.0,
        at_most=120.0,
    ),
    ItemDeclaration(
        "Greatest core-to-face difference",
        _N,
        "Limit on the warmest of a lift less the surface of its face.",
        "temperature difference",
        default=20.0,
        default_text="20 K (common practice)",
        above=0.0,
        at_most=100.0,
    ),
    ItemDeclaration(
        "Greatest joint difference",
        _N,
        "Limit on the warmest of a lift less its joint. Blank: not checked.",
        "temperature difference",
        default_text="blank: not checked",
        above=0.0,
        at_most=100.0,
    ),
    ItemDeclaration(
        "Greatest cooling after stripping",
        _N,
        "Limit on the fall of the face in the 24 h after stripping. Blank: not checked.",
        "temperature difference",
        default_text="blank: not checked",
        above=0.0,
        at_most=100.0,
    ),
)
