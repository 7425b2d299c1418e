"""The input sheets in which the site answers: anchors as built, releases, the record of each lift."""

from __future__ import annotations

from sheetengine.sheets.declarations import Heading, Kind, SheetDeclaration, of_lift

_T, _N, _C, _M = Kind.TEXT, Kind.NUMBER, Kind.CHOICE, Kind.MOMENT
_R = Kind.REFERENCE

ANCHOR_STATES = ("placed", "missing", "replaced", "out of line")
HOLD_POINTS = tuple(f"HP{number}" for number in range(11))
EVIDENCE = (
    "brief",
    "check certificate",
    "survey",
    "re-check",
    "maturity",
    "specimens",
    "pull-out test",
    "inspection",
    "count",
    "permit",
    "record",
    "other",
)


AS_BUILT = SheetDeclaration(
    "As built",
    "Form anchors as they were found before placing: one row an anchor, under the lift in which it is cast.",
    (
        *of_lift("Block in whose lift the anchor is cast; it holds the units of the lift above.",
                 "Lift of that block; foundation for anchors in what the first lift stands on."),
        Heading("Position", "position", _N, "Along the face, from its left end.", "length", required=True,
                above=0.0),
        Heading("Depth", "depth", _N, "Below the joint on top of that lift; it tells the anchors of an anchored lower row from those above.", "length", above=0.0,
                default_text="the planned depth"),
        Heading("Anchor", "anchor", _R, "Type that was found. Needed where it was replaced.",
                refers=("Anchor types", "anchor"), default_text="the planned type", width=14),
        Heading("State", "state", _C, "placed as planned or nearly so; missing; replaced by another type; out of line.",
                required=True, choices=ANCHOR_STATES, width=13),
        Heading("Angle", "angle", _N, "Between the anchor and the normal to the face.", "angle", at_least=0.0,
                at_most=90.0, default=0.0, default_text="0 deg"),
        Heading("Remark", "remark", _T, "Damage, reason, who found it.", width=30),
    ),
    keys=("block", "lift", "position", "depth"),
)  # fmt: skip

RELEASES = SheetDeclaration(
    "Releases",
    "Hold points: the evidence on file, and who released them. The engine releases nothing.",
    (
        *of_lift("Block of the lift whose hold point it is."),
        Heading("Hold point", "hold_point", _C, "HP0 to HP10, as the sheet Hold points lists them.", required=True,
                choices=HOLD_POINTS, width=11),
        Heading("Evidence", "evidence", _C, "Kind of evidence that the row stands for.", required=True,
                choices=EVIDENCE, width=17),
        Heading("Value", "value", _N, "Strength that the evidence shows at the anchors, where it is about strength.",
                "strength", at_least=0.0, at_most=150.0),
        Heading("Released by", "released_by", _T, "Name of who released the hold point. Blank: evidence only.",
                width=18),
        Heading("Time", "time", _M, "When it was released, or when the evidence was taken.", width=17),
        Heading("Reference", "reference", _T, "Number of the certificate, report or permit.", width=20),
    ),
    keys=("block", "lift", "hold_point", "evidence", "time"),
)  # fmt: skip

LIFT_RECORD = SheetDeclaration(
    "Lift record",
    "Each lift as it was placed: one row a reading of its level, the first at the beginning.",
    (
        *of_lift("Block that was placed."),
        Heading("Time", "time", _M, "Time of the reading.", required=True, width=17),
        Heading("Level", "level", _N, "Level of the concrete above the joint of the lift.", "length", required=True,
                at_least=0.0),
        Heading("Concrete temperature", "concrete_temperature", _N, "Of the concrete as placed.", "temperature",
                at_least=-5.0, at_most=60.0, likely=(5.0, 35.0)),
        Heading("Slump", "slump", _N, "Slump as placed.", "short length", at_least=0.0, at_most=300.0),
        Heading("Remark", "remark", _T, "Stops, weather, what was done.", width=30),
    ),
    keys=("block", "lift", "time"),
)  # fmt: skip

HOLD_POINT_NAMES = SheetDeclaration(
    "Hold point names",
    "The office's own names for the hold points.",
    (
        Heading("Hold point", "hold_point", _C, "HP0 to HP10.", required=True, choices=HOLD_POINTS, width=11),
        Heading("Name", "name", _T, "What the office calls it.", required=True, width=40),
    ),
    keys=("hold_point",),
)

SITE_SHEETS = (AS_BUILT, LIFT_RECORD, RELEASES, HOLD_POINT_NAMES)
