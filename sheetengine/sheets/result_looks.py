"""How the columns of the result sheets look, and what they mean."""

from __future__ import annotations

from dataclasses import dataclass

from sheetengine.content import Look
from sheetengine.units import MEASURES, Measure


@dataclass(frozen=True, slots=True)
class ResultColumn:
    """One column of a result sheet; ``measure_name`` says what its numbers are and in which units they go out."""

    name: str
    look: Look = Look.TEXT
    measure_name: str = "number"
    decimals: int = 2
    width: float = 12.0
    note: str = ""
    group: str = ""

    @property
    def measure(self) -> Measure:
        """The measure of the column's numbers."""
        return MEASURES[self.measure_name]

    def heading(self, us: bool) -> str:
        """Return the heading with its unit in brackets."""
        unit = self.measure.us if us else self.measure.metric
        return f"{self.name} [{unit}]" if unit and self.look is Look.NUMBER else self.name


_T, _N, _C, _M, _V = Look.TEXT, Look.NUMBER, Look.COUNT, Look.MOMENT, Look.VERDICT
_BLOCK = ResultColumn("Block", _T, width=8)
_LIFT = ResultColumn("Lift", _T, width=7)
_MONTH = ResultColumn("Month", _T, width=9, note="Month in which the lift is placed.")
_SLACK_NOTE = "Planned less ready; negative: too early by that much."

PRESSURES = (
    _BLOCK,
    _LIFT,
    ResultColumn("Method", _T, width=25),
    ResultColumn("Maximum pressure", _N, "pressure", 1, 12, "Design maximum, before any load factor."),
    ResultColumn("Governed by", _T, width=30, note="Equation or bound that gives the maximum."),
    ResultColumn("Full-head depth", _N, "length", 2, 10, "Depth to which the concrete acts as a fluid; constant below."),
    ResultColumn("Resultant", _N, "line load", 1, 11, "On one unit of face length, whatever its direction."),
    ResultColumn("Resultant height", _N, "length", 2, 11, "Above the joint, where its line meets the face."),
    ResultColumn(
        "Greatest rise rate", _N, "rate of rise", 2, 12,
        "Rate up to which the permissible pressure of the panel is kept. any: the panel carries the full head; 0: no rate "
        "is slow enough.",
    ),
    ResultColumn("Panel ratio", _N, decimals=2, width=9, note="Maximum pressure over permissible pressure of the unit."),
    ResultColumn("Verdict", _V, width=14),
    ResultColumn("Rise rate", _N, "rate of rise", 2, 10),
    ResultColumn("Permissible pressure", _N, "pressure", 1, 12),
    ResultColumn("Full head", _N, "pressure", 1, 10, "Pressure of a fluid over the height of the lift."),
    ResultColumn("Face inclination", _N, "angle", 1, 11, "From vertical, positive overhanging.", "Inclined face"),
    ResultColumn("Normal pressure", _N, "pressure", 1, 10,
                 "Greatest stress normal to the face; held against the permissible pressure.", "Inclined face"),
    ResultColumn("Tangential stress", _N, "pressure", 1, 11, "Greatest, down an overhang.", "Inclined face"),
    ResultColumn("Horizontal part", _N, "line load", 1, 11, "Of the resultant, outward.", "Inclined face"),
    ResultColumn("Uplift", _N, "line load", 1, 10,
                 "Vertical part of the resultant, upward; negative: the weight of concrete above an overhang.", "Inclined face"),
    ResultColumn("Resultant direction", _N, "angle", 1, 11,
                 "Below the horizontal; negative: upward.", "Inclined face"),
)  # fmt: skip

DEMAND = (
    _BLOCK,
    _LIFT,
    ResultColumn("Stage", _T, width=30),
    ResultColumn("Tension", _N, "force", 1, 10, "Of one anchor, design value; negative: the upper support bears.", "Forces"),
    ResultColumn("Shear", _N, "force", 1, 9, "Of one anchor, down the face, design value; negative: up, to the joint.", "Forces"),
    ResultColumn("Foot force", _N, "force", 1, 10, "Of the foot bearing, for one anchor, with that tension.", "Forces"),
    ResultColumn("Concrete strength", _N, "strength", 1, 11, "Cylinder strength at the anchors at the stage's hour."),
    ResultColumn("Governing mode", _T, width=22),
    ResultColumn("Demand ratio", _N, decimals=2, width=9, note="Greatest ratio of all modes, for the worst anchor."),
    ResultColumn(
        "Required strength", _N, "strength", 1, 11,
        "Least concrete strength at which every concrete mode and the interaction are at most 1. Blank: none is enough.",
    ),
    ResultColumn("Verdict", _V, width=14),
    ResultColumn(
        "Least foot force", _N, "force", 1, 10,
        "Wind towards the face, no people, no concrete yet. Blank: the foot lifts off, see Flags.", "Basis",
    ),
    ResultColumn("Safety factor", _N, decimals=1, width=8, group="Basis",
                 note="Divides the strengths: 2.0, or 3.0 where people are carried (ACI 347R). Blank: partial factors or "
                 "strength reduction factors."),
    ResultColumn("Stage begins", _M, width=17, group="Basis"),
    ResultColumn("Concrete of", _T, width=12, group="Basis", note="Lift, or foundation, that holds the anchors."),
    ResultColumn("Age", _N, "age", 1, 8, "Of that concrete at the anchors.", "Basis"),
    ResultColumn("Strength reached", _M, width=17, group="Basis", note="Hour at which the required strength is reached."),
    ResultColumn("Anchor", _T, width=13, group="Basis", note="Which anchor of the row is the worst."),
    ResultColumn("Width carried", _N, "length", 2, 9, "Width of face on that anchor.", "Basis"),
    ResultColumn("Combination", _T, width=34, group="Basis", note="What the forces of the row are the greatest of."),
    ResultColumn("Equilibrium residual", _N, "line load", 9, 12, "What loads and reactions leave over; 0 but for rounding.",
                 "Basis"),
    ResultColumn("Accepted by", _T, width=44, group="Basis"),
)  # fmt: skip

READY = (
    _BLOCK,
    _LIFT,
    ResultColumn("Gate", _T, width=12),
    ResultColumn("Required strength", _N, "strength", 1, 11, "Blank: no strength asked, or none is enough."),
    ResultColumn("Predicted strength", _N, "strength", 1, 11, "Cylinder strength at the planned hour."),
    ResultColumn("Planned", _M, width=17),
    ResultColumn(
        "Ready at",
        _M,
        width=17,
        note="First hour at which the gate may be opened, if tests confirm the strength.",
    ),
    ResultColumn("Margin", _N, "time", 0, 9, _SLACK_NOTE),
    ResultColumn("Governed by", _T, width=48),
    ResultColumn("Verdict", _V, width=14),
    ResultColumn("Temperature from", _T, width=20),
)

PROGRAMME = (
    _BLOCK,
    _LIFT,
    ResultColumn("Placed", _M, width=17, note="Planned start of placing."),
    ResultColumn(
        "Earliest placing", _M, width=17, note="By the lift below: strength, and interval between lifts."
    ),
    ResultColumn("Stripped", _M, width=17),
    ResultColumn("Strip ready", _M, width=17),
    ResultColumn("Hung", _M, width=17),
    ResultColumn("Hang ready", _M, width=17),
    ResultColumn("Next lift ready", _M, width=17),
    ResultColumn("Binding gate", _T, width=48, note="The gate with the least slack, and what it depends on."),
    ResultColumn("Slack", _N, "time", 0, 9, _SLACK_NOTE),
    ResultColumn("Verdict", _V, width=14),
    _MONTH,
    ResultColumn(
        "Height step", _N, "length", 2, 10, "Greatest step to a neighbouring block when this lift is placed."
    ),
)

EMBEDS = (
    _BLOCK,
    ResultColumn("Lift", _T, width=11, note="Lift into which the item is cast."),
    ResultColumn("Item", _T, width=34),
    ResultColumn("Fate", _T, width=10),
    ResultColumn(
        "Count",
        _N,
        decimals=0,
        width=9,
        note="For procurement and checking: every one that must be in place.",
    ),
    ResultColumn("With waste", _N, decimals=1, width=10, note="Exact; round only the sum you order."),
    ResultColumn(
        "For payment", _N, decimals=0, width=10, note="Form anchors are temporary works and not measured."
    ),
    ResultColumn(
        "Set by",
        _M,
        width=17,
        note="The rising concrete reaches them at this hour; they must be in place before.",
    ),
    _MONTH,
    ResultColumn("Mix", _T, width=16),
    ResultColumn("Source", _T, width=14),
)

EMBED_TOTALS = (
    _BLOCK,
    _LIFT,
    ResultColumn("Item", _T, width=34),
    ResultColumn("Fate", _T, width=10),
    _MONTH,
    ResultColumn("Count", _N, decimals=0, width=9),
    ResultColumn("With waste", _N, decimals=1, width=10),
    ResultColumn("For payment", _N, decimals=0, width=10),
    ResultColumn(
        "To order",
        _N,
        decimals=0,
        width=9,
        note="Lost: with waste, rounded up here. Recovered: the greatest number in use; items of the sheet Embeds count as in use to the end.",
    ),
    ResultColumn("Greatest in use", _N, decimals=0, width=10),
    ResultColumn("Reached", _M, width=17, note="When the greatest number is in use."),
    ResultColumn("On hand", _N, decimals=0, width=9),
    ResultColumn("Short", _N, decimals=0, width=8),
)

BARS = (
    _BLOCK,
    _LIFT,
    ResultColumn("Bar mark", _T, width=10),
    ResultColumn("Size", _T, width=7),
    ResultColumn("Shape code", _T, width=8),
    ResultColumn("Cutting length", _N, "short length", 0, 11, "Rounded up as the bar standard says."),
    ResultColumn("Number", _N, decimals=0, width=9),
    ResultColumn("Mass", _N, "mass", 1, 11),
    _MONTH,
    ResultColumn("Mix", _T, width=16),
    ResultColumn("Exact length", _N, "short length", 1, 11),
    ResultColumn("Mass per length", _N, "mass per length", 3, 11),
    ResultColumn("Length", _N, "length", 1, 11),
    ResultColumn("Concrete", _N, "volume", 1, 11),
    ResultColumn("Reinforcement", _N, "mass concentration", 1, 13),
)

FLAGS = (
    ResultColumn("Flag", _T, width=15, note="Stays the same from run to run while the finding does."),
    ResultColumn("Level", Look.LEVEL, width=17),
    ResultColumn("Where", Look.LINK, width=18, note="Leads to the cell."),
    ResultColumn("Finding", _T, width=62),
    ResultColumn("Value", _T, width=13),
    ResultColumn("Limit", _T, width=16),
    ResultColumn("Source", _T, width=30),
    ResultColumn("What would clear it", _T, width=46),
    ResultColumn(
        "Initials", Look.ENTRY, width=9, note="For the reviewer; kept at the next run while the flag stands."
    ),
    ResultColumn(
        "Remark", Look.ENTRY, width=30, note="For the reviewer; kept at the next run while the flag stands."
    ),
    _BLOCK,
    _LIFT,
    ResultColumn("Cell", _T, width=16, note="The input sheets mark a cell that is listed here."),
)

BY_SHEET = {
    "Pressures": PRESSURES,
    "Anchor demand": DEMAND,
    "Strength ready": READY,
    "Programme": PROGRAMME,
    "Embed counts": EMBEDS,
    "Bar counts": BARS,
    "Flags": FLAGS,
}


def look_of(columns: tuple[ResultColumn, ...], heading: str) -> ResultColumn:
    """Return the look of a column by its heading in base units; a mode's ratio has a look of its own."""
    for column in columns:
        if heading in (column.name, column.heading(us=False)):
            return column
    if heading.startswith("Ratio: "):
        return ResultColumn(heading, _N, decimals=2, width=10, group="Ratio of each mode")
    return ResultColumn(heading, _N if "[" in heading else _T)
