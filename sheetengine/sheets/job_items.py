"""The lines of the ``Job`` sheet."""

from __future__ import annotations

from sheetengine.sheets.declarations import ItemDeclaration, Kind
from sheetengine.sheets.heat_items import HEAT_ITEMS
from sheetengine.sheets.site_items import SITE_ITEMS

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
WIND_BASES = ("given pressure", "EN 1991-1-4", "ASCE 7-16")
TERRAIN = {"EN 1991-1-4": ("0", "I", "II", "III", "IV"), "ASCE 7-16": ("B", "C", "D")}
WIND_ZONES = ("A", "B", "C", "D")
HOISTING_CLASSES = ("HC1", "HC2", "HC3", "HC4")

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
        default_text="blank: by Basic wind speed; without it the stage Standing closed is not computed",
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
        "Flag reopens at",
        _N,
        "Part of its limit, or of the value, by which a signed value may get worse before its flag is open again.",
        default=0.02,
        default_text="0.02",
        at_least=0.0,
        at_most=1.0,
    ),
    ItemDeclaration(
        "Offset tolerance",
        _N,
        "Greatest offset of the finished face between two lifts. Blank: not checked. To choose from, all held "
        "from memory: 4 mm (EN 13670:2009 Annex G, local flatness of a moulded face over 0.2 m); 3, 6, 13 or "
        "25 mm (ACI 117-10 4.8.3, abrupt offset, classes A to D).",
        "short length",
        default_text="blank: not checked",
        above=0.0,
        at_most=200.0,
    ),
    ItemDeclaration(
        "Filling shown for",
        _T,
        "Lift whose filling is shown hour by hour, written as block/lift. Blank: the lift whose panel is used "
        "most.",
    ),
    ItemDeclaration(
        "Sensitivity shown for",
        _T,
        "Block/Lift whose ratios are shown against rise rate and concrete temperature, such as B1/3.",
        default_text="the lift with the greatest ratio while it is placed",
    ),
    ItemDeclaration(
        "Fit shown for",
        _T,
        "Mix whose specimens, fitted curve and bound the chart on Strength fits shows.",
        default_text="the mix that follows its specimens and has most of them",
    ),
    ItemDeclaration(
        "Warmer mix tried",
        _N,
        "By how much warmer the concrete is placed when its gain of hours at every gate is asked.",
        "temperature difference",
        default=5.0,
        default_text="5 K",
        above=0.0,
        at_most=30.0,
    ),
    ItemDeclaration(
        "Deeper anchors tried",
        _N,
        "By how much deeper the anchors are embedded when their gain of hours at every gate is asked.",
        "short length",
        default=50.0,
        default_text="50 mm",
        above=0.0,
        at_most=1000.0,
    ),
    ItemDeclaration(
        "Closer anchors tried",
        _N,
        "By how much closer the anchors stand when their gain of hours at every gate is asked.",
        "share",
        default=20.0,
        default_text="20 %",
        above=0.0,
        at_most=80.0,
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
        "Strength confidence",
        _N,
        "Confidence of the one-sided lower prediction bound with which a curve fitted to specimens is designed: the share of "
        "further tests that lie above it. 0.95 as the 5 % fractile of EN 1992-1-1 and EN 1992-4; the practice of ACI also "
        "knows 0.90.",
        default=0.95,
        default_text="0.95 (5 % fractile, EN 1992-1-1)",
        at_least=0.5,
        at_most=0.999,
    ),
    # wind from a speed
    ItemDeclaration(
        "Wind basis",
        _C,
        "Document by which Basic wind speed becomes the storm wind. A pressure given under Storm wind goes before it.",
        choices=WIND_BASES,
        default="EN 1991-1-4",
        default_text="EN 1991-1-4, used where Basic wind speed is given and Storm wind is blank",
    ),
    ItemDeclaration(
        "Basic wind speed",
        _N,
        "EN 1991-1-4: mean of 10 minutes, 10 m above open country, once in 50 years. ASCE 7-16: gust of 3 s.",
        "speed",
        default_text="blank: the storm wind is not computed",
        above=0.0,
        at_most=120.0,
    ),
    ItemDeclaration(
        "Terrain category",
        _C,
        "EN 1991-1-4: 0 open sea, I lakes and bare country, II low vegetation, III suburb or forest, IV town. "
        "ASCE 7-16: exposure B, C or D.",
        choices=TERRAIN["EN 1991-1-4"] + TERRAIN["ASCE 7-16"],
        default_text="0 or D, the most exposed",
    ),
    ItemDeclaration(
        "Wind exposure time",
        _N,
        "Longest time for which the stage lasts. It sets the return period by EN 1991-1-6 (2, 5, 10, 50 years up to 3 days, "
        "3 months, a year, longer; up to 3 days only with a reliable forecast), or the velocity factor by ASCE 37-14.",
        "age",
        default_text="blank: no reduction",
        above=0.0,
    ),
    ItemDeclaration(
        "Wind season factor",
        _N,
        "EN 1991-1-4 4.2(2): factor on the wind speed for works within one season, from the national annex.",
        default=1.0,
        default_text="1.0",
        above=0.0,
        at_most=1.0,
    ),
    ItemDeclaration(
        "Wind direction factor",
        _N,
        "EN 1991-1-4 4.2(2): factor on the wind speed by direction, from the national annex.",
        default=1.0,
        default_text="1.0",
        above=0.0,
        at_most=1.0,
    ),
    ItemDeclaration(
        "Ground level",
        _N,
        "Level of the ground from which the wind height counts, on the datum of Bottom level.",
        "length",
        default_text="blank: Height above ground is used",
    ),
    ItemDeclaration(
        "Height above ground",
        _N,
        "Height of the lowest joint of each block above the ground, where no levels are given.",
        "length",
        default_text="blank: Ground level and Bottom level are used",
        at_least=0.0,
    ),
    ItemDeclaration(
        "Net wind coefficient",
        _N,
        "Pressure of both faces together over the velocity pressure. EN 1991-1-4 Table 7.9, solid wall without return "
        "corners, length to height 3 / 5 / 10: zone A (0.3 h at the free end) 2.3 / 2.9 / 3.4, B (to 2 h) 1.4 / 1.8 / 2.1, "
        "C (to 4 h) 1.2 / 1.4 / 1.7, D 1.2. With return corners: A 2.1, B 1.8, C 1.4, D 1.2. ASCE 7-16: G times Cf.",
        default_text="by EN 1991-1-4 Table 7.9 from face length and panel height; none by ASCE 7-16",
        above=0.0,
        at_most=6.0,
    ),
    ItemDeclaration(
        "Wind zone",
        _C,
        "Zone of Table 7.9 that is taken for every unit of a face.",
        choices=WIND_ZONES,
        default="A",
        default_text="A (the free end, the greatest)",
    ),
    ItemDeclaration(
        "Wind return corners",
        _Y,
        "Whether every row of panels returns at its ends by at least its height.",
        default=0.0,
        default_text="no",
    ),
    ItemDeclaration(
        "Orography factor",
        _N,
        "On the mean velocity by EN 1991-1-4 (c_o), on the velocity pressure by ASCE 7-16 (K_zt).",
        default=1.0,
        default_text="1.0 (flat country)",
        at_least=0.5,
        at_most=3.0,
    ),
    ItemDeclaration(
        "Air density",
        _N,
        "Density of the air; it also turns pressures into speeds.",
        "mass density",
        default=1.25,
        default_text="1.25 kg/m3 (EN 1991-1-4 4.5)",
        at_least=0.7,
        at_most=1.6,
    ),
    # crane picks
    ItemDeclaration(
        "Hook dynamic factor",
        _N,
        "On the weight of everything on the hook, for hoisting and slewing.",
        default_text="by Hoisting class; 1.3 without it (CEN/TR 15728, tower, portal and mobile cranes, from memory)",
        at_least=1.0,
        at_most=5.0,
    ),
    ItemDeclaration(
        "Hoisting class",
        _C,
        "Class of the crane for the dynamic factor of EN 1991-3 Table 2.5, with Hoisting speed.",
        choices=HOISTING_CLASSES,
        default_text="blank: not used",
    ),
    ItemDeclaration(
        "Hoisting speed",
        _N,
        "Steady hoisting speed, for EN 1991-3 Table 2.5.",
        "speed",
        default_text="blank: not used",
        at_least=0.0,
        at_most=5.0,
    ),
    ItemDeclaration(
        "Rigging mass",
        _N,
        "Hook block, slings, chains and spreader of one pick, as far as the capacities do not allow for them.",
        "mass",
        default=0.0,
        default_text="0 kg",
        at_least=0.0,
    ),
    ItemDeclaration(
        "Crane wind limit",
        _N,
        "Gust up to which the crane may work with an ordinary load, from its manual.",
        "speed",
        default_text="blank: the greatest wind of a pick is not computed",
        above=0.0,
        at_most=40.0,
    ),
    ItemDeclaration(
        "Pick wind coefficient",
        _N,
        "Force coefficient of a hanging panel.",
        default=1.8,
        default_text="1.8 (EN 1991-1-4 7.4.3, signboard clear of the ground)",
        above=0.0,
        at_most=4.0,
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
    *HEAT_ITEMS,
    *SITE_ITEMS,
)

JOB_SHEET = "Job"
JOB_HEADINGS = ("Item", "Value", "Unit")
