"""The lines of the ``Job`` sheet."""

from __future__ import annotations

from sheetengine.sheets.declarations import ItemDeclaration, Kind

SAFETY_BASES = ("EN partial factors", "ACI service load", "ACI strength")
PRESSURE_METHODS = (
    "ACI 347R-14 SI",
    "ACI 347R-14 inch-pound",
    "DIN 18218:2010",
    "CIRIA R108",
    "GB 50666-2011",
    "JGJ 162-2008",
    "Full head",
)
ANCHOR_METHODS = ("EN 1992-4:2018", "ACI 318-19", "ACI 318M-19")
BAR_STANDARDS = ("BS 8666:2020", "BS 8666:2005")
RESULT_UNITS = ("metric", "US")

_T, _N, _C, _Y = Kind.TEXT, Kind.NUMBER, Kind.CHOICE, Kind.YES_NO

JOB_ITEMS: tuple[ItemDeclaration, ...] = (
    ItemDeclaration("Project", _T, "Name of the project, printed on every result sheet.", required=True),
    ItemDeclaration("Structure", _T, "Part of the works that this book covers."),
    ItemDeclaration("Prepared by", _T, "Initials of the engineer who filled in the book."),
    ItemDeclaration("Checked by", _T, "Initials of the checker, once the check is done."),
    ItemDeclaration("Revision", _T, "Revision of this book; goes with every count that leaves it."),
    ItemDeclaration(
        "Safety basis",
        _C,
        "Partial factors on actions and resistances (EN), service loads against divided strengths "
        "(ACI 347R: 2.0, or 3.0 where people are carried), or factored loads (ACI strength).",
        required=True,
        choices=SAFETY_BASES,
    ),
    ItemDeclaration(
        "Pressure method",
        _C,
        "Document whose expression gives the fresh-concrete pressure. The two forms of ACI 347R-14 are "
        "published apart and are not conversions of each other.",
        required=True,
        choices=PRESSURE_METHODS,
    ),
    ItemDeclaration(
        "Anchor method",
        _C,
        "Standard by which the form anchors are proved in the young concrete.",
        required=True,
        choices=ANCHOR_METHODS,
    ),
    ItemDeclaration(
        "Concrete cracked",
        _Y,
        "Whether the concrete round the anchors may be cracked. No only with a reason on file.",
        default=1.0,
        default_text="yes",
    ),
    ItemDeclaration(
        "Below-range strength",
        _C,
        "Concrete weaker than the anchor standard covers: show the ratio as an indication, or withhold it.",
        choices=("indicate", "refuse"),
        default="indicate",
        default_text="indicate",
    ),
    ItemDeclaration(
        "Below-range accepted by",
        _T,
        "Reference to the evidence (proof-test report) or to the acceptance on which anchors below the "
        "standard's strength range rest. Blank: none, and the verdict stays Outside scope.",
    ),
    ItemDeclaration(
        "Working wind",
        _N,
        "Net wind pressure on the panel while people work on it.",
        "pressure",
        default=0.2,
        default_text="0.2 kPa (EN 12811-1 6.2.7.4.2)",
        at_least=0.0,
        at_most=5.0,
    ),
    ItemDeclaration(
        "Storm wind",
        _N,
        "Net wind pressure on the closed panel in the storm that must be stood through.",
        "pressure",
        default_text="blank: the stage Standing closed is not computed",
        at_least=0.0,
        at_most=10.0,
    ),
    ItemDeclaration(
        "Stripping strength",
        _N,
        "Least in-place cylinder strength at which the face may be stripped.",
        "strength",
        default=2.0,
        default_text="2 MPa (common practice, guards the face only)",
        above=0.0,
        at_most=60.0,
    ),
    ItemDeclaration(
        "Least interval between lifts",
        _N,
        "Least time from the placing of a lift to the placing of the next one on it.",
        "age",
        default=0.0,
        default_text="none",
        at_least=0.0,
        at_most=8760.0,
    ),
    ItemDeclaration(
        "Foundation strength",
        _N,
        "Strength of the concrete that holds the anchors of the first lift of each block. Blank: the first "
        "lift is formed otherwise and has no anchor rows.",
        "strength",
        default_text="blank: first lifts have no anchor rows",
        above=0.0,
        at_most=120.0,
    ),
    ItemDeclaration(
        "Embed waste",
        _N,
        "Allowance on lost parts and counted embeds.",
        "share",
        default=0.0,
        default_text="0 %",
        at_least=0.0,
        at_most=100.0,
    ),
    ItemDeclaration(
        "Greatest height difference",
        _N,
        "Greatest difference in level between the tops of neighbouring blocks (blocks neighbour each other "
        "in the order in which they first appear in Lifts). Blank: not checked.",
        "length",
        default_text="blank: not checked",
        above=0.0,
    ),
    ItemDeclaration(
        "Crane hours per move",
        _N,
        "Crane time for moving one unit; kept for the planning of the cycle.",
        "time",
        default=0.5,
        default_text="0.5 h",
        at_least=0.0,
    ),
    ItemDeclaration(
        "Review threshold",
        _N,
        "Ratio from which a row reads Near limit.",
        default=0.90,
        default_text="0.90",
        above=0.0,
        at_most=1.0,
    ),
    ItemDeclaration(
        "Bar standard",
        _C,
        "Edition of the shape codes and cutting lengths. The editions differ.",
        choices=BAR_STANDARDS,
        default="BS 8666:2020",
        default_text="BS 8666:2020",
    ),
    ItemDeclaration(
        "Result units",
        _C,
        "Units of the result sheets.",
        choices=RESULT_UNITS,
        default="metric",
        default_text="metric",
    ),
    ItemDeclaration(
        "Least lateral load",
        _C,
        "Least load at the top of wall forms by ACI 347R-14 (the greater of 100 lb/ft and a wind of 15 psf), while the "
        "panel stands at the face.",
        choices=("as the safety basis", "ACI 347R", "none"),
        default="as the safety basis",
        default_text="as the safety basis (counted with those of ACI)",
    ),
)

JOB_SHEET = "Job"
JOB_HEADINGS = ("Item", "Value", "Unit")
