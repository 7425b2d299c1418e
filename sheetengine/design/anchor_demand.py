"""Demand ratio of the anchors for every lift and stage, the worst anchor of each."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sheetengine.clauses.aci318_17_factors import head_bearing_area
from sheetengine.clauses.aci347r_loads import form_anchor_safety_factor
from sheetengine.clauses.load_factors import ACI_SERVICE
from sheetengine.clauses.rows import factors
from sheetengine.columns import Column, Flags, Texts, taken, texts
from sheetengine.design import anchors_aci, anchors_en, customary
from sheetengine.design.anchor_groups import (
    ACI_BLOW_OUT_REACH,
    EN_BLOW_OUT_REACH,
    Groups,
    groups_of,
    of_rows,
)
from sheetengine.design.anchor_judging import BAR_BOND, BAR_STEEL, Loads, Resistances, judged
from sheetengine.design.anchor_modes import Anchors, required_strength
from sheetengine.design.anchors_en import Parts
from sheetengine.design.layout import AnchorSpots, Index, Layout
from sheetengine.design.stages import Cases, Forces
from sheetengine.job import Job
from sheetengine.sources import Source

EN_METHOD, INCH_METHOD, SI_METHOD = "EN 1992-4:2018", "ACI 318-19", "ACI 318M-19"
MODE_SOURCES: dict[str, dict[str, str]] = {
    EN_METHOD: {
        "Steel tension": "7.2.1.3", "Concrete cone": "7.2.1.4", "Head pull-out": "7.2.1.5",
        "Side-face blow-out": "7.2.1.8", "Steel shear": "7.2.2.3.1", "Bolt bending": "7.2.2.3.2",
        "Pry-out": "7.2.2.4", "Concrete edge": "7.2.2.5", "Interaction, steel": "7.2.3 Eq. (7.54)",
        "Interaction, concrete": "7.2.3 Eq. (7.55)", BAR_STEEL: "7.2.1.9", BAR_BOND: "7.2.1.9; EN 1992-1-1 8.4.2",
    },
    INCH_METHOD: {
        "Steel tension": "17.6.1", "Concrete cone": "17.6.2", "Head pull-out": "17.6.3",
        "Side-face blow-out": "17.6.4", "Steel shear": "17.7.1",
        "Bolt bending": "no rule; EN 1992-4 7.2.2.3.2", "Pry-out": "17.7.3", "Concrete edge": "17.7.2",
        "Interaction": "17.8", BAR_STEEL: "17.5.2.1", BAR_BOND: "17.5.2.1; Table 25.4.2.3",
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
class Proof:
    """What the ratios rest on: anchors of every seat, their resistances and their groups."""

    anchors: Anchors
    held: Resistances
    groups: Groups | None


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
    spot
        The worst anchor among the spots.
    group
        Anchors of its group where the governing mode is that of the group, else ``nan``.
    row, proof
        The worst anchor among the anchors and resistances behind the ratios, and these.
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
    spot: Index
    group: Column
    row: Index
    proof: Proof


def _expand(holder: Index, spots: AnchorSpots) -> tuple[Index, Index]:
    """Return entry and spot of every anchor that holds the units of each ``holder``."""
    first, last = spots.first[holder], spots.first[holder + 1]
    count = last - first
    entry = np.repeat(np.arange(holder.size, dtype=np.int64), count)
    start = np.repeat(first - np.r_[0, np.cumsum(count)[:-1]], count)
    return entry, (np.arange(entry.size, dtype=np.int64) + start)


def build_anchors(
    job: Job, layout: Layout, holder: Index, carrier: Index, spots: AnchorSpots, spot: Index
) -> Anchors:
    """Return anchors in the units of the anchor standards, each under what 1 kN on a metre of face gives it.

    ``holder``, ``carrier`` and ``spot`` have an entry for each anchor; ``carrier`` is -1 for the foundation.
    """
    types, lifts = job.table("Anchor types"), job.table("Lifts")
    kind = layout.anchor[holder]
    behind = np.where(carrier >= 0, carrier, holder)

    def of_type(key: str) -> Column:
        return taken(types.number(key), kind)

    round_head = head_bearing_area(
        head_diameter=np.maximum(of_type("head_diameter"), of_type("shank_diameter")),
        shank_diameter=of_type("shank_diameter"),
    )
    return Anchors(
        tension=spots.pull[spot],
        shear=spots.width[spot],
        service_tension=spots.pull[spot],
        service_shear=spots.width[spot],
        strength=np.ones(spot.size),
        up=spots.depth[spot] * 1000.0,
        left=spots.left[spot] * 1000.0,
        right=spots.right[spot] * 1000.0,
        left_is_edge=spots.left_is_edge[spot],
        right_is_edge=spots.right_is_edge[spot],
        thickness=taken(lifts.number("thickness"), behind) * 1000.0,
        people=np.zeros(spot.size, dtype=bool),
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
        above=spots.above[spot] * 1000.0,
        below=spots.below[spot] * 1000.0,
        bars=of_type("bars"),
        bar_diameter=of_type("bar_diameter"),
        bar_length=of_type("bar_length"),
        bar_yield=of_type("bar_yield"),
    )


def spot_groups(job: Job, layout: Layout, spots: AnchorSpots) -> Groups | None:
    """Return the groups of the listed anchors by the job's anchor method, ``None`` where there are none."""
    en = job.text("Anchor method") == EN_METHOD
    embedment = taken(job.table("Anchor types").number("embedment"), layout.anchor)[spots.lift]
    return groups_of(
        spots,
        face_length=job.table("Lifts").number("face_length")[spots.lift] * 1000.0,
        embedment=embedment,
        blow_out_needed=0.5 if en else 0.4,
        blow_out_reach=EN_BLOW_OUT_REACH if en else ACI_BLOW_OUT_REACH,
    )


def resistances_of(
    job: Job, anchors: Anchors, groups: Groups | None, parts: dict[str, Parts] | None = None
) -> Resistances:
    """Return the resistances of anchors by the job's anchor method; ``parts`` takes the intermediate values."""
    method, cracked = job.text("Anchor method"), job.yes("Concrete cracked")
    if method == EN_METHOD:
        return anchors_en.resistances(anchors, cracked=cracked, groups=groups, parts=parts)
    return anchors_aci.resistances(anchors, method=method, cracked=cracked, groups=groups, parts=parts)


def _rated(pull: Column, shear: Column, anchors: Anchors, rows: Index) -> dict[str, Column]:
    """Return the ratios against the supplier's rated working loads, at service level; blank ratings give none."""
    found = {}
    for name, load, rating in (
        (RATED_MODES[0], np.maximum(pull, 0.0), anchors.rated_tension),
        (RATED_MODES[1], shear, anchors.rated_shear),
    ):
        found[name] = np.full(load.shape, -np.inf)
        if not np.isnan(rating).all():
            found[name] = np.where(np.isnan(rating[rows]), -np.inf, load / rating[rows])
    return found


def seats_of(cases: Cases) -> tuple[Index, Index, Index]:
    """Return holder and carrier of every seat, and the seat of each case.

    A seat is the anchors of one lift's units in one concrete: their resistances are the same at every stage.
    """
    key = cases.holder * (np.max(cases.carrier, initial=0) + 2) + cases.carrier + 1
    _, first, seat = np.unique(key, return_index=True, return_inverse=True)
    return cases.holder[first], cases.carrier[first], np.asarray(seat, dtype=np.int64)


def anchor_demand(
    job: Job,
    layout: Layout,
    cases: Cases,
    spots: AnchorSpots,
    forces: Forces,
    strength: Column,
    *,
    with_required: bool = True,
) -> AnchorDemand:
    """Return the demand ratios of every case by the job's anchor method and safety basis.

    ``strength`` is that of the concrete at each case's hour, in MPa. Without ``with_required`` the required
    strength is left ``nan``.
    """
    method = job.text("Anchor method")
    holder, carrier, seat = seats_of(cases)
    entry, seat_spot = _expand(holder, spots)
    anchors = build_anchors(job, layout, holder[entry], carrier[entry], spots, seat_spot)
    groups = spot_groups(job, layout, spots)
    held = resistances_of(job, anchors, None if groups is None else of_rows(groups, seat_spot))
    safety = None
    if job.text("Safety basis") == ACI_SERVICE:
        safety = form_anchor_safety_factor(carries_people=cases.people.astype(np.float64))
    start = np.searchsorted(entry, np.arange(holder.size))[seat]
    count = cases.lift.size
    parts = [
        _judge(
            anchors,
            held,
            forces,
            strength,
            safety,
            start,
            spots,
            cases.holder,
            some,
            with_required=with_required,
        )
        for some in _in_pieces(spots.first[cases.holder + 1] - spots.first[cases.holder])
    ]
    names = list(parts[0].modes)
    modes = {name: np.concatenate([part.modes[name] for part in parts]) for name in names}
    row = np.concatenate([part.row for part in parts])
    at_worst = np.stack(list(modes.values()))
    leading = np.argmax(np.where(np.isnan(at_worst), np.inf, at_worst), axis=0)
    low, high = strength_range(method)
    place = seat_spot[row]
    by_group = np.zeros(count, dtype=bool)
    for number, name in enumerate(names):
        if name in held.by_group:
            by_group |= (leading == number) & held.by_group[name][row]
    return AnchorDemand(
        tension=forces.tension * spots.pull[place],
        shear=forces.shear * spots.width[place],
        foot=forces.foot * spots.width[place] + forces.tension * spots.foot_pull[place],
        least_foot=forces.least_foot * spots.width[place],
        strength=strength,
        modes={name: np.where(np.isneginf(values), np.nan, values) for name, values in modes.items()},
        ratio=np.max(at_worst, axis=0),  # nan stays
        governing=texts(names[number] for number in leading.tolist()),
        required=np.concatenate([part.required for part in parts]),
        safety_factor=np.full(count, np.nan) if safety is None else safety,
        below=strength < low,
        above=strength > high,
        end=(anchors.left_is_edge | anchors.right_is_edge)[row],
        width=spots.width[place],
        position=spots.position[place],
        spot=place,
        group=np.where(by_group, groups.cones.count[place] if groups is not None else np.nan, np.nan),
        row=row,
        proof=Proof(anchors, held, None if groups is None else of_rows(groups, seat_spot)),
    )


PIECE = 32_768
"""Anchors judged at once: as many as the caches of a processor hold the columns of."""


def _in_pieces(count: Index) -> list[Index]:
    """Return the cases in pieces of about :data:`PIECE` anchors; ``count``: anchors of each case."""
    piece = (np.cumsum(count) - 1) // PIECE
    return [np.flatnonzero(piece == number) for number in np.unique(piece)] or [np.zeros(0, dtype=np.int64)]


@dataclass(frozen=True, slots=True)
class _Judged:
    """The worst anchor of each of some cases: its row among the resistances, its ratios, the strength required."""

    row: Index
    modes: dict[str, Column]
    required: Column


def _judge(
    anchors: Anchors,
    held: Resistances,
    forces: Forces,
    strength: Column,
    safety: Column | None,
    start: Index,
    spots: AnchorSpots,
    holder: Index,
    some: Index,
    *,
    with_required: bool,
) -> _Judged:
    """Return the worst anchor of the cases ``some``; ``start`` is the row of each case's first anchor."""
    first_spot = spots.first[holder[some]]
    part, spot = _expand(holder[some], spots)
    case = some[part]
    row = start[case] + spot - first_spot[part]
    pull, width = anchors.tension[row], anchors.shear[row]
    loads = Loads(
        forces.tension[case] * pull, forces.shear[case] * width, strength[case],
        None if safety is None else safety[case],
    )  # fmt: skip
    ratios = judged(held.at(row), loads)
    modes = ratios.modes | _rated(
        forces.service_tension[case] * pull, forces.service_shear[case] * width, anchors, row
    )
    ratio = np.array(next(iter(modes.values())))
    for values in modes.values():
        np.maximum(ratio, values, out=ratio)  # nan stays
    first = np.searchsorted(part, np.arange(some.size))
    worst = _worst(ratio, part, first)
    required = np.full(some.size, np.nan)
    if with_required and some.size:
        required = np.maximum.reduceat(required_strength(ratios), first)  # nan stays
    return _Judged(row[worst], {name: values[worst] for name, values in modes.items()}, required)


def _worst(ratio: Column, case: Index, first: Index) -> Index:
    """Return the anchor with the greatest ratio of each case; one that could not be computed comes first."""
    if not ratio.size:
        return first
    judged_ratio = np.where(np.isnan(ratio), np.inf, ratio)
    greatest = np.maximum.reduceat(judged_ratio, first)
    hit = np.flatnonzero(judged_ratio == greatest[case])
    return np.asarray(hit[np.searchsorted(case[hit], np.arange(first.size))], dtype=np.int64)
