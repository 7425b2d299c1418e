"""The input sheets a book may do without, and the list of all declarations."""

from __future__ import annotations

from sheetengine.sheets.declarations import Heading, Kind, SheetDeclaration, of_lift
from sheetengine.sheets.inputs import ANCHOR_TYPES, FORM_UNITS, LIFTS, MIXES, STRENGTH_KINDS
from sheetengine.sheets.site_inputs import SITE_SHEETS

_T, _N, _C, _Y, _M = Kind.TEXT, Kind.NUMBER, Kind.CHOICE, Kind.YES_NO, Kind.MOMENT
_K, _R = Kind.KEY, Kind.REFERENCE


ANCHOR_POSITIONS = SheetDeclaration(
    "Anchor positions",
    "Anchors that hold the units of a lift where they are not evenly spaced: one row an anchor.",
    (
        *of_lift("Block of the lift whose units hang from the anchor."),
        Heading("Position", "position", _N, "Along the face, from its left end.", "length", required=True,
                above=0.0),
        Heading("Depth", "depth", _N,
                "Below the joint. Anchors within 50 mm along the face hang one bracket and share its load by their "
                "levers about the foot.", "length", above=0.0,
                default_text="the unit's anchor depth"),
    ),
    keys=("block", "lift", "position", "depth"),
)  # fmt: skip

PROBE_LOG = SheetDeclaration(
    "Probe log",
    "Temperatures measured in a lift: one row a reading.",
    (
        *of_lift("Block of the lift in which the probe sits."),
        Heading("Time", "time", _M, "Time of the reading, by the logger's clock.", required=True, width=17),
        Heading("Temperature", "temperature", _N, "Reading of the probe.", "temperature", required=True),
        Heading("Depth from face", "depth_from_face", _N, "Probe from the formed face. Stated on one row of a named probe it holds for its rows of the lift that leave it blank.", "length",
                at_least=0.0),
        Heading("Depth from joint", "depth_from_joint", _N, "Probe below the top joint of the lift. Stated once it holds as the other depth does.", "length",
                at_least=0.0),
        Heading("Probe", "probe", _K, "Name of the probe, where a lift has several. Blank: probes are told apart by their place.",
                width=14),
        Heading("Clock ahead", "clock_ahead", _N, "By how much the logger's clock is ahead of the plan's, as with another time "
                "zone or summer time; negative: behind.", "time", at_least=-26.0, at_most=26.0, default=0.0,
                default_text="0: the clock of the plan"),
    ),
    keys=("block", "lift", "time", "depth_from_face", "depth_from_joint", "probe"),
)  # fmt: skip

BARS = SheetDeclaration(
    "Bars",
    "Reinforcement by bar mark: size, shape code, dimensions and number.",
    (
        *of_lift("Block in which the bar is fixed."),
        Heading("Bar mark", "bar_mark", _K, "Mark on the schedule.", required=True),
        Heading("Size", "size", Kind.AMOUNT_OR_TEXT, "Nominal diameter in mm (16), or a bar number (#5).",
                required=True),
        Heading("Shape code", "shape_code", Kind.AMOUNT_OR_TEXT, "Shape code of BS 8666 / ISO 3766.",
                required=True),
        *(Heading(letter, letter.lower() + "_dim", _N, f"Bending dimension {letter}.", "short length",
                  at_least=0.0) for letter in "ABCDE"),
        Heading("Bend radius", "bend_radius", _N, "Inside radius of bends.", "short length", above=0.0,
                default_text="the least radius of the bar standard"),
        Heading("Members", "members", _N, "Number of like members.", required=True, at_least=0.0, whole=True),
        Heading("Bars per member", "bars_per_member", _N, "Bars of this mark in one member.", required=True,
                at_least=0.0, whole=True),
    ),
    keys=("block", "lift", "bar_mark"),
)  # fmt: skip

EMBEDS = SheetDeclaration(
    "Embeds",
    "Other things cast into a lift: waterstops' fixings, sleeves, plates, pipes.",
    (
        *of_lift("Block into which it is cast."),
        Heading("Item", "item", _K, "What it is.", required=True, width=24),
        Heading("Count", "count", _N, "How many.", required=True, at_least=0.0),
        Heading("Fate", "fate", _C, "Whether it stays in the concrete.", choices=("lost", "recovered"),
                default="lost", default_text="lost"),
        Heading("Measured for payment", "for_payment", _Y, "Whether the contract pays for it.", default=0.0,
                default_text="no"),
    ),
    keys=("block", "lift", "item"),
)  # fmt: skip

STOCK = SheetDeclaration(
    "Stock",
    "What lies in the store, to set against the counts.",
    (
        Heading("Item", "item", _K, "Item as Embed counts names it.", required=True, width=30),
        Heading("On hand", "on_hand", _N, "How many lie ready.", required=True, at_least=0.0),
    ),
    keys=("item",),
)

CRANES = SheetDeclaration(
    "Cranes",
    "Rated capacity of each crane by radius: several rows a crane, from the smallest radius outwards.",
    (
        Heading("Crane", "crane", _K, "Name of the crane with its set-up; Lifts refers to it.", required=True, width=18),
        Heading("Radius", "radius", _N, "Radius from the slewing axis. Between two rows the capacity goes in a straight "
                "line; outside them nothing is taken.", "length", required=True, above=0.0, at_most=200.0),
        Heading("Capacity", "capacity", _N, "Rated capacity at that radius, from the crane's own chart.", "crane load",
                required=True, above=0.0, likely=(100.0, 200000.0)),
    ),
    keys=("crane", "radius"),
)  # fmt: skip

SPECIMENS = SheetDeclaration(
    "Specimens",
    "Strength tests of the mixes: one row a specimen, or one row for the mean of several at one age.",
    (
        Heading("Mix", "mix", _R, "Concrete of the specimen.", required=True, refers=("Mixes", "mix"), width=16),
        Heading("Age", "age", _N, "Age at the test, from placing.", "age", required=True, above=0.0, at_most=24000.0),
        Heading("Curing temperature", "curing_temperature", _N,
                "Temperature at which the specimen was kept up to its test. Tests at three temperatures or more give "
                "the mix's datum or activation temperature as well.", "temperature", required=True, above=0.0,
                at_most=80.0, likely=(4.0, 45.0)),
        Heading("Strength", "strength", _N, "Compressive strength found.", "strength", required=True, above=0.0,
                at_most=150.0, likely=(0.5, 90.0)),
        Heading("Strength kind", "strength_kind", _C,
                "Cylinder or cube; measured (mean), or a characteristic value worked out from tests. The rows of one "
                "mix are all measured, or all characteristic.", choices=STRENGTH_KINDS,
                default_text="the shape of Strength kind in Mixes, measured", width=22),
        Heading("Count", "count", _N, "Specimens whose mean the row is.", at_least=1.0, at_most=100.0, whole=True,
                default=1.0, default_text="1, a single specimen"),
        Heading("Specimen", "specimen", _K, "Mark of the specimen, so that none is counted twice.",
                default_text="none"),
        Heading("Note", "note", _T, "Batch, laboratory, remark.", width=24),
    ),
    keys=("mix", "age", "curing_temperature", "strength"),
)  # fmt: skip

REQUIRED_SHEETS = (MIXES, FORM_UNITS, ANCHOR_TYPES, LIFTS)
OPTIONAL_SHEETS = (ANCHOR_POSITIONS, PROBE_LOG, BARS, EMBEDS, STOCK, CRANES, SPECIMENS, *SITE_SHEETS)
INPUT_SHEETS = REQUIRED_SHEETS + OPTIONAL_SHEETS
