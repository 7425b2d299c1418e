"""Demand ratio of the anchors for every lift and stage, the worst anchor of each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace

import numpy as np

from sheetengine.clauses.aci318_17_factors import head_bearing_area
from sheetengine.clauses.aci347r_loads import form_anchor_safety_factor
from sheetengine.clauses.load_factors import ACI_SERVICE
from sheetengine.clauses.rows import factors
from sheetengine.columns import Column, Flags, Texts, taken, texts
from sheetengine.design import anchors_aci, anchors_en, customary
from sheetengine.design.anchor_modes import Anchors, Ratios, required_strength
from sheetengine.design.combinations import Forces, greatest_by_case, worst_of
from sheetengine.design.faces import head_rise
from sheetengine.design.layout import AnchorSpots, Index, Layout
from sheetengine.design.stages import Cases
from sheetengine.job import Job
from sheetengine.sources import Source

EN_METHOD, INCH_METHOD, SI_METHOD = "EN 1992-4:2018", "ACI 318-19", "ACI 318M-19"
MODE_SOURCES: dict[str, dict[str, str]] = {
    EN_METHOD: {
        "Steel tension": "7.2.1.3", "Concrete cone": "7.2.1.4", "Head pull-out": "7.2.1.5",
        "Side-face blow-out": "7.2.1.8", "Steel shear": "7.2.2.3.1", "Bolt bending": "7.2.2.3.2",
        "Pry-out": "7.2.2.4", "Concrete edge": "7.2.2.5",
        "Concrete edge, upward": "7.2.2.5", "Interaction, steel": "7.2.3 Eq. (7.54)",
        "Interaction, concrete": "7.2.3 Eq. (7.55)",
    },
    INCH_METHOD: {
        "Steel tension": "17.6.1", "Concrete cone": "17.6.2", "Head pull-out": "17.6.3",
        "Side-face blow-out": "17.6.4", "Steel shear": "17.7.1",
        "Bolt bending": "no rule; EN 1992-4 7.2.2.3.2", "Pry-out": "17.7.3", "Concrete edge": "17.7.2", "Concrete edge, upward": "17.7.2",
        "Interaction": "17.8",
    },
}  # fmt: skip
MODE_SOURCES[SI_METHOD] = MODE_SOURCES[INCH_METHOD]
RATED_MODES = ("Rated tension", "Rated shear")


def source_of(method: str, mode: str) -> Source:
    """Return the clause that a mode is judged by."""
    if mode in RATED_MODES:
        return Source("Supplier's rated working load", "as given in Anchor types")
    return Source(method, MODE_SOURCES[method].get(mode, ""))


def strength_range(method: str) -> tuple[float, float]:
    """Return the least and greatest cylinder strength that the anchor standard covers, in MPa."""
    if method == EN_METHOD:
        band = factors("en1992_4")["concrete_strength"]
        return float(band["least"]), float(band["greatest"])
    if method == SI_METHOD:
        numbers, unit = factors("aci318_19")["si"], 1.0
    else:
        numbers, unit = factors("aci318_19")["inch_pound"], customary.PSI_MPA
    return float(numbers["least_strength"]) * unit, float(numbers["greatest_strength"]) * unit


@dataclass(frozen=True, slots=True)
class AnchorDemand:
    """One entry a case: the forces of its worst anchor, every mode's ratio, and the strength it needs.

    Attributes
    ----------
    tension, shear, foot, least_foot
        Forces on the width that the worst anchor carries, design values. [kN]
    strength
        Concrete strength at the stage's hour. [MPa]
    modes
        Ratio of every mode, by its name.
    ratio, governing
        Greatest ratio, and its mode.
    required
        Least strength at which every concrete mode and the interaction are at most 1; ``inf``: none is
        enough. [MPa]
    safety_factor
        Where strengths are divided by one, the factor that the use of the anchor asks for; else ``nan``.
    below, above
        Where the strength lies outside the range of the anchor standard.
    end
        Whether the worst anchor stands at an end of the block.
    width
        Width of face that it carries. [m]
    """

    tension: Column
    shear: Column
    foot: Column
    least_foot: Column
    strength: Column
    modes: dict[str, Column]
    ratio: Column
    governing: Texts
    required: Column
    safety_factor: Column
    below: Flags
    above: Flags
    end: Flags
    width: Column
    position: Column


def _expand(cases: Cases, spots: AnchorSpots) -> tuple[Index, Index]:
    """Return case and spot of every anchor of every case."""
    first, last = spots.first[cases.holder], spots.first[cases.holder + 1]
    count = last - first
    case = np.repeat(np.arange(cases.lift.size, dtype=np.int64), count)
    start = np.repeat(first - np.r_[0, np.cumsum(count)[:-1]], count)
    return case, (np.arange(case.size, dtype=np.int64) + start)


def build_anchors(
    job: Job,
    layout: Layout,
    cases: Cases,
    spots: AnchorSpots,
    forces: Forces,
    strength: Column,
    case: Index,
    spot: Index,
) -> Anchors:
    """Return the anchors of every case in the units of the anchor standards."""
    types, lifts = job.table("Anchor types"), job.table("Lifts")
    holder = cases.holder[case]
    kind = cases.anchor[case]
    width = spots.width[spot]
    behind = np.where(cases.carrier[case] >= 0, cases.carrier[case], holder)

    def of_type(key: str) -> Column:
        return taken(types.number(key), kind)

    mouth = np.where(cases.lower[case], cases.joint[case], spots.depth[spot]) * 1000.0
    up = mouth - head_rise(cases.lean[case], of_type("embedment"))
    round_head = head_bearing_area(
        head_diameter=np.maximum(of_type("head_diameter"), of_type("shank_diameter")),
        shank_diameter=of_type("shank_diameter"),
    )
    return Anchors(
        tension=forces.tension[case] * width,
        shear=np.abs(forces.shear[case]) * width,
        service_tension=forces.service_tension[case] * width,
        service_shear=np.abs(forces.service_shear[case]) * width,
        strength=strength[case],
        upward=np.maximum(-forces.shear[case], 0.0) * width,
        up=np.where(up > 0.0, up, np.nan),
        left=spots.left[spot] * 1000.0,
        right=spots.right[spot] * 1000.0,
        left_is_edge=spots.left_is_edge[spot],
        right_is_edge=spots.right_is_edge[spot],
        thickness=taken(lifts.number("thickness"), behind) * 1000.0,
        people=cases.people[case],
        embedment=of_type("embedment"),
        shank=of_type("shank_diameter"),
        bearing_area=np.where(np.isnan(of_type("bearing_area")), round_head, of_type("bearing_area")),
        net_area=of_type("net_area"),
        tensile=of_type("tensile_strength"),
        yield_=of_type("yield_strength"),
        ductile=of_type("ductile_steel") == 1.0,
        stand_off=of_type("stand_off"),
        rated_tension=of_type("rated_tension"),
        rated_shear=of_type("rated_shear"),
    )


def _rated(anchors: Anchors) -> dict[str, Column]:
    """Return the ratios against the supplier's rated working loads, at service level; blank ratings give none."""
    pulls = np.maximum(anchors.service_tension, 0.0)
    found = {}
    for name, load, rating in (
        (RATED_MODES[0], pulls, anchors.rated_tension),
        (RATED_MODES[1], anchors.service_shear, anchors.rated_shear),
    ):
        found[name] = np.where(np.isnan(rating), -np.inf, load / rating)
    return found


def anchor_demand(
    job: Job, layout: Layout, cases: Cases, spots: AnchorSpots, forces: Forces, strength: Column
) -> AnchorDemand:
    """Return the demand ratios of every case by the job's anchor method and safety basis.

    ``strength`` is that of the concrete at each case's hour, in MPa.
    """
    method = job.text("Anchor method")
    case, spot = _expand(cases, spots)
    anchors = build_anchors(job, layout, cases, spots, forces, strength, case, spot)
    safety = None
    if job.text("Safety basis") == ACI_SERVICE:
        safety = form_anchor_safety_factor(carries_people=anchors.people.astype(np.float64))
    cracked = job.yes("Concrete cracked")
    judge: Callable[..., Ratios] = anchors_en.ratios
    if method == EN_METHOD:
        ratios = judge(anchors, cracked=cracked, safety_factor=safety)
    else:
        ratios = anchors_aci.ratios(anchors, method=method, cracked=cracked, safety_factor=safety)
    modes = ratios.modes | _rated(anchors)
    stack = np.stack(list(modes.values()))
    ratio = np.max(stack, axis=0)  # nan stays
    required = required_strength(ratios)
    count = cases.lift.size
    first = np.searchsorted(case, np.arange(count))
    worst = _worst(ratio, case, first, count)
    required_case = np.full(count, -np.inf)
    with np.errstate(invalid="ignore"):
        np.maximum.at(required_case, case, required)  # keeps nan
    names = list(modes)
    leading = np.argmax(np.where(np.isnan(stack[:, worst]), np.inf, stack[:, worst]), axis=0)
    low, high = strength_range(method)
    width = spots.width[spot[worst]]
    one_width = {name: getattr(forces, name) * width for name in ("foot", "least_foot")}
    return AnchorDemand(
        tension=anchors.tension[worst],
        shear=anchors.shear[worst],
        foot=one_width["foot"],
        least_foot=one_width["least_foot"],
        strength=strength,
        modes={
            name: np.where(np.isneginf(values[worst]), np.nan, values[worst])
            for name, values in modes.items()
        },
        ratio=ratio[worst],
        governing=texts(names[place] for place in leading.tolist()),
        required=required_case,
        safety_factor=np.full(count, np.nan) if safety is None else safety[worst],
        below=strength < low,
        above=strength > high,
        end=(anchors.left_is_edge | anchors.right_is_edge)[worst],
        width=width,
        position=spots.position[spot[worst]],
    )


def _worst(ratio: Column, case: Index, first: Index, count: int) -> Index:
    """Return the anchor with the greatest ratio of each case; one that could not be computed comes first."""
    judged = np.where(np.isnan(ratio), np.inf, ratio)
    greatest = np.full(count, -np.inf)
    np.maximum.at(greatest, case, judged)
    place = np.full(count, case.size, dtype=np.int64)
    hit = np.flatnonzero(judged == greatest[case])
    np.minimum.at(place, case[hit], hit)
    return np.minimum(place, np.maximum(case.size - 1, 0)) if case.size else first[:0]


def worst_combinations(
    tried: AnchorDemand, forces: Forces, case: Index, count: int
) -> tuple[AnchorDemand, Index]:
    """Return the demand of every case, and the combination that governs it.

    Every mode has its greatest ratio of the combinations, the forces are those of the governing one, and
    shear up the face is negative.
    """
    worst = worst_of(tried.ratio, case, count)
    picked = {
        field.name: getattr(tried, field.name)[worst] for field in fields(tried) if field.name != "modes"
    }
    modes = {name: greatest_by_case(values, case, count) for name, values in tried.modes.items()}
    up = forces.shear[worst] < 0.0
    governed = AnchorDemand(**picked, modes=modes)
    return (
        replace(
            governed,
            shear=np.where(up, -governed.shear, governed.shear),
            required=greatest_by_case(tried.required, case, count),
        ),
        worst,
    )
