"""How the columns of the result sheets look, and what they mean."""

from __future__ import annotations

from sheetengine.content import Look
from sheetengine.sheets.detail_looks import DETAIL
from sheetengine.sheets.gate_looks import BOARD, EARLIER
from sheetengine.sheets.heat_looks import HEAT
from sheetengine.sheets.result_column import BLOCK, LIFT, SLACK_NOTE, ResultColumn
from sheetengine.sheets.site_looks import SITE_LOOKS
from sheetengine.sheets.specimen_looks import FITS

_T, _N, _C, _M, _V = Look.TEXT, Look.NUMBER, Look.COUNT, Look.MOMENT, Look.VERDICT
_MONTH = ResultColumn("Month", _T, width=9, note="Month in which the lift is placed.")

PRESSURES = (
    BLOCK,
    LIFT,
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
    BLOCK,
    LIFT,
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
    BLOCK,
    LIFT,
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
    ResultColumn("Margin", _N, "time", 0, 9, SLACK_NOTE),
    ResultColumn("Governed by", _T, width=48),
    ResultColumn("Verdict", _V, width=14),
    ResultColumn(
        "Earliest at",
        _M,
        width=17,
        group="By the scatter of the specimens",
        note="By the upper prediction bound; blank where the curve has none.",
    ),
    ResultColumn(
        "Expected at", _M, width=17, group="By the scatter of the specimens", note="By the mean strength."
    ),
    ResultColumn(
        "Latest at",
        _M,
        width=17,
        group="By the scatter of the specimens",
        note="By the lower prediction bound, by which Ready at is told; blank where the curve has none.",
    ),
    ResultColumn("Temperature from", _T, width=20),
    ResultColumn(
        "Logged until",
        _M,
        width=17,
        note="From there on the model, recalibrated to the log; blank: no probe speaks for the lift.",
    ),
)

PROGRAMME = (
    BLOCK,
    LIFT,
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
    ResultColumn("Slack", _N, "time", 0, 9, SLACK_NOTE),
    ResultColumn("Verdict", _V, width=14),
    _MONTH,
    ResultColumn(
        "Height step", _N, "length", 2, 10, "Greatest step to a neighbouring block when this lift is placed."
    ),
)

LIMITS = (
    BLOCK,
    LIFT,
    ResultColumn("Stage", _T, width=21),
    ResultColumn("Demand ratio", _N, decimals=2, width=9),
    ResultColumn(
        "Greatest rise rate, anchors", _N, "rate of rise", 2, 12,
        "Rate at which the anchors' greatest ratio is 1. any: they carry any rate; 0: no rate is slow enough.", "Placing",
    ),
    ResultColumn("Greatest rise rate, panel", _N, "rate of rise", 2, 12, "As in Pressures.", "Placing"),
    ResultColumn(
        "Greatest rise rate, strongbacks", _N, "rate of rise", 2, 13,
        "Moment, shear and brace within their capacities; blank: none is given. The offset may be met by another lean-in.", "Placing",
    ),
    ResultColumn("Planned rise rate", _N, "rate of rise", 2, 10, group="Placing"),
    ResultColumn(
        "Least rise rate", _N, "rate of rise", 2, 10, "Leaves no layer open longer than the mix allows. Blank: not asked.",
        "Placing",
    ),
    ResultColumn(
        "Window left", _N, "rate of rise", 2, 10,
        "Greatest rate of panel and anchors less the least; any: no greatest rate; negative: no rate serves.", "Placing",
    ),
    ResultColumn(
        "Greatest lift height", _N, "length", 2, 10,
        "Height at which the anchors' greatest ratio is 1. any: the anchors carry the panel's full height.", "Placing",
    ),
    ResultColumn("Planned height", _N, "length", 2, 10, group="Placing"),
    ResultColumn(
        "Greatest anchor spacing", _N, "length", 3, 11,
        "At most the width of a unit. 0: none is close enough. Blank: the anchors are listed one by one.", "Anchors",
    ),
    ResultColumn("Anchors on the face", _N, decimals=0, width=10, note="How many that spacing makes.", group="Anchors"),
    ResultColumn("Planned spacing", _N, "length", 3, 10, group="Anchors"),
    ResultColumn(
        "Least embedment", _N, "short length", 1, 11,
        "Of anchors otherwise alike. none: no depth within the concrete behind the face is enough.", "Anchors",
    ),
    ResultColumn(
        "Least age", _N, "age", 2, 9, "Of the concrete at the anchors. none: not reached in the time followed.", "Anchors",
    ),
    ResultColumn("Change at least cost", _T, width=36, note="To the programme, in hours; it clears the row by itself."),
    ResultColumn("Other changes", _T, width=44, note="Each clears the row by itself."),
)  # fmt: skip

EMBEDS = (
    BLOCK,
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
    BLOCK,
    LIFT,
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
    BLOCK,
    LIFT,
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

WIND = (
    BLOCK,
    LIFT,
    ResultColumn("Storm wind from", _T, width=16, note="A pressure given, or the document that turns the basic wind speed into one."),
    ResultColumn("Storm wind", _N, "pressure", 2, 10, "Net pressure on the closed unit, before any load factor."),
    ResultColumn("Storm gust", _N, "speed", 1, 9, "Gust at the panel that presses so."),
    ResultColumn("Working wind", _N, "pressure", 2, 10, "Net pressure while people work, before any load factor."),
    ResultColumn(
        "Working gust", _N, "speed", 1, 9,
        "Gust at the height of the panel at which work stops: the speed whose pressure, times the net coefficient, is the "
        "working wind.",
    ),
    ResultColumn("Height above ground", _N, "length", 1, 10, "Top of the panel.", "How it was found"),
    ResultColumn("Mean velocity", _N, "speed", 1, 9, "Mean of 10 minutes at that height.", "How it was found"),
    ResultColumn("Turbulence intensity", _N, decimals=3, width=11, group="How it was found"),
    ResultColumn("Peak velocity pressure", _N, "pressure", 3, 10, "At that height.", "How it was found"),
    ResultColumn("Net coefficient", _N, decimals=2, width=11, group="How it was found"),
)  # fmt: skip

PICKS = (
    BLOCK,
    LIFT,
    ResultColumn("Stage", _T, width=11),
    ResultColumn("Hook load", _N, "force", 1, 9, "Units and rigging, with the dynamic factor."),
    ResultColumn("Capacity at radius", _N, "force", 1, 10, "Of the crane, straight between two rows of its table."),
    ResultColumn("Lifting-point ratio", _N, decimals=2, width=9, note="Load of one unit over the rating of its lifting points."),
    ResultColumn("Crane ratio", _N, decimals=2, width=8, note="Hook load over capacity at radius."),
    ResultColumn(
        "Greatest wind", _N, "speed", 1, 9,
        "Gust at which the units are set down: the crane's limit, less where they offer more than 1.2 m2 of wind area a tonne.",
    ),
    ResultColumn("Governing", _T, width=14),
    ResultColumn("Verdict", _V, width=14, note="Of what is checked: blank ratios are not."),
    ResultColumn("Greatest wind pressure", _N, "pressure", 3, 10, "Velocity pressure of that gust.", "Basis"),
    ResultColumn("Crane", _T, width=26, group="Basis"),
    ResultColumn("Pick radius", _N, "length", 1, 8, group="Basis"),
    ResultColumn("Units per pick", _N, decimals=0, width=8, group="Basis"),
    ResultColumn("Mass on the hook", _N, "mass", 0, 9, "Units and rigging.", "Basis"),
    ResultColumn("Lifting-point load", _N, "force", 1, 9, "Of one unit, with the dynamic factor.", "Basis"),
    ResultColumn("Lifting capacity", _N, "force", 1, 9, "Rating of the unit's lifting points.", "Basis"),
    ResultColumn("Dynamic factor", _N, decimals=2, width=9, group="Basis"),
    ResultColumn("Wind area", _N, "area", 1, 8, "Full area of the panels of the pick.", "Basis"),
)  # fmt: skip

_KEPT = "Kept for the next run"
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
        "Initials", Look.ENTRY, width=9,
        note="For the reviewer; kept at the next run while the flag stands and its value gets no worse.",
    ),
    ResultColumn(
        "Remark", Look.ENTRY, width=30, note="For the reviewer; kept at the next run while the flag stands."
    ),
    ResultColumn("State", _T, width=24, note="Open, Signed, or Open again and why: a signature holds for the value it was given for."),
    ResultColumn("Signed before", _T, width=20, note="Signatures that no longer hold, each with the value it was given for."),
    ResultColumn("First raised", _T, width=16, note="Run that found it first."),
    BLOCK,
    LIFT,
    ResultColumn("Cell", _T, width=16, note="The input sheets mark a cell that is listed here."),
    ResultColumn("About", _T, width=16, note="What the flag is told for, where that is several things.", group=_KEPT),
    ResultColumn("Signed by", _T, width=9, note="Initials at the last run.", group=_KEPT),
    ResultColumn("Signed level", _T, width=16, group=_KEPT),
    ResultColumn("Signed value", _T, width=12, note="What the flag said when it was signed.", group=_KEPT),
    ResultColumn("Signed limit", _T, width=12, group=_KEPT),
    ResultColumn("Signed about", _T, width=16, group=_KEPT),
)  # fmt: skip

FLAG_HISTORY = (
    ResultColumn("Time", _T, width=16, note="Of the run."),
    ResultColumn("Flag", _T, width=15),
    ResultColumn("Event", _T, width=14, note="Cleared: the run no longer found it. Came back: a cleared one was found again. Opened "
                 "again: its signature no longer holds."),
    ResultColumn("Level", Look.LEVEL, width=17),
    ResultColumn("Finding", _T, width=62),
    ResultColumn("Value", _T, width=13),
    ResultColumn("Limit", _T, width=16),
    ResultColumn("Initials", _T, width=14, note="Who had signed it, with the value where the signature no longer held."),
    ResultColumn("Remark", _T, width=30),
    ResultColumn("About", _T, width=16),
    ResultColumn("Digest", _T, width=14, note="Of the inputs of that run, its beginning."),
)  # fmt: skip

_LEVEL_NOTE = "Level of the concrete above the joint at which this is greatest; found over the whole rise."
STRONGBACKS = (
    BLOCK,
    LIFT,
    ResultColumn("Hinge reaction", _N, "force", 1, 10, "Across the face, of one strongback, over every level of the concrete "
                 "and wind both ways.", "Forces of one strongback"),
    ResultColumn("Brace reaction", _N, "force", 1, 10, "Across the face.", "Forces of one strongback"),
    ResultColumn("Brace force", _N, "force", 1, 10, "Along the brace, compression positive.", "Forces of one strongback"),
    ResultColumn("Hinge pull", _N, "force", 1, 10, "With which the brace lifts the strongback off its hinge; the weight is not "
                 "taken off.", "Forces of one strongback"),
    ResultColumn("Greatest moment", _N, "moment", 1, 11, "Positive: it bows outward.", "Bending"),
    ResultColumn("Moment at", _N, "length", 2, 9, "Height above the joint.", "Bending"),
    ResultColumn("Greatest shear", _N, "force", 1, 10, group="Bending"),
    ResultColumn("Shear at", _N, "length", 2, 9, "Height above the joint.", "Bending"),
    ResultColumn("Deflection top", _N, "short length", 2, 11, "Of the top of the panel, outward positive; the greatest of the "
                 "whole rise.", "Deflection"),
    ResultColumn("Deflection between supports", _N, "short length", 2, 12, "The greatest of the whole rise.", "Deflection"),
    ResultColumn("Lean-in", _N, "short length", 2, 9, "To set at the top of the lift, so that the full lift finishes plumb there. "
                 "Negative: lean it out.", "Deflection"),
    ResultColumn("Lean-in set", _N, "short length", 2, 9, "As the sheet Lifts has it.", "Deflection"),
    ResultColumn("Offset", _N, "short length", 2, 9, "Of the finished top of the lift from plumb, against which the next lift starts.",
                 "Deflection"),
    ResultColumn("Moment ratio", _N, decimals=2, width=9, group="Demand over capacity"),
    ResultColumn("Shear ratio", _N, decimals=2, width=9, group="Demand over capacity"),
    ResultColumn("Brace ratio", _N, decimals=2, width=9, group="Demand over capacity"),
    ResultColumn("Offset ratio", _N, decimals=2, width=9, group="Demand over capacity"),
    ResultColumn("Governing", _T, width=19),
    ResultColumn("Verdict", _V, width=14),
    ResultColumn("Not checked", _T, width=34, note="No capacity or tolerance is given, or a height or stiffness is blank."),
    ResultColumn("Level: hinge", _N, "length", 2, 10, _LEVEL_NOTE, "Worst level of the concrete"),
    ResultColumn("Level: brace", _N, "length", 2, 10, _LEVEL_NOTE, "Worst level of the concrete"),
    ResultColumn("Level: moment", _N, "length", 2, 10, _LEVEL_NOTE, "Worst level of the concrete"),
    ResultColumn("Level: shear", _N, "length", 2, 10, _LEVEL_NOTE, "Worst level of the concrete"),
    ResultColumn("Level: deflection top", _N, "length", 2, 11, _LEVEL_NOTE, "Worst level of the concrete"),
    ResultColumn("Level: deflection between", _N, "length", 2, 11, _LEVEL_NOTE, "Worst level of the concrete"),
    ResultColumn("Level: anchor tension", _N, "length", 2, 10, _LEVEL_NOTE, "Worst level of the concrete"),
    ResultColumn("Level: foot force", _N, "length", 2, 10, _LEVEL_NOTE, "Worst level of the concrete"),
    ResultColumn("Width carried", _N, "length", 2, 9, "Width of face on one strongback."),
)  # fmt: skip

FILLING = (
    BLOCK,
    LIFT,
    ResultColumn("Rise rate", _N, "rate of rise", 2, 10),
    ResultColumn("Hours to fill", _N, "time", 1, 10),
    ResultColumn("Layer depth", _N, "length", 2, 10, "Blank: the lift rises evenly."),
    ResultColumn("Layers", _N, decimals=0, width=9),
    ResultColumn("Layer interval", _N, "time", 2, 10),
    ResultColumn("Longest exposure", _N, "time", 2, 11, "Of the face of a layer, all layers placed over the plan in the same order."),
    ResultColumn("Exposure window", _N, "time", 2, 11, "Of the mix."),
    ResultColumn("Least rise rate", _N, "rate of rise", 2, 10, "At which no layer stays open longer than the window."),
    ResultColumn("Exposure ratio", _N, decimals=2, width=10),
    ResultColumn("Verdict", _V, width=14),
    ResultColumn("Layer pressure", _N, "pressure", 1, 10, "At the foot of a layer placed at once."),
    ResultColumn("Maximum pressure", _N, "pressure", 1, 11, "Design maximum that is taken, the greater of both."),
    ResultColumn("Pressure by", _T, width=20),
)  # fmt: skip

BY_SHEET = {
    "Pressures": PRESSURES,
    "Anchor demand": DEMAND,
    "Strength ready": READY,
    "Anchor detail": DETAIL,
    "Strength fits": FITS,
    "Earlier gates": EARLIER,
    "Readiness board": BOARD,
    "Lift heat": HEAT,
    "Working limits": LIMITS,
    "Programme": PROGRAMME,
    "Embed counts": EMBEDS,
    "Bar counts": BARS,
    "Wind": WIND,
    "Crane picks": PICKS,
    "Strongbacks": STRONGBACKS,
    "Filling": FILLING,
    "Flags": FLAGS,
    "Flag history": FLAG_HISTORY,
    **SITE_LOOKS,
}


def look_of(columns: tuple[ResultColumn, ...], heading: str) -> ResultColumn:
    """Return the look of a column by its heading in base units; a mode's ratio has a look of its own."""
    for column in columns:
        if heading in (column.name, column.heading(us=False)):
            return column
    if heading.startswith("Ratio: "):
        return ResultColumn(heading, _N, decimals=2, width=10, group="Ratio of each mode")
    return ResultColumn(heading, _N if "[" in heading else _T)
