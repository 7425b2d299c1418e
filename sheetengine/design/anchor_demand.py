"""Demand ratio of the anchors for every lift and stage, the worst anchor of each."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

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
)
from sheetengine.design.anchor_judging import BAR_BOND, BAR_STEEL, EDGE_UP, Loads, Resistances, judged
from sheetengine.design.anchor_modes import Anchors, required_strength
from sheetengine.design.anchors_en import Parts
from sheetengine.design.combinations import Combined, Forces, greatest_by_case, worst_of
from sheetengine.design.faces import head_rise, seats
from sheetengine.design.layout import AnchorSpots, Index, Layout, anchor_spots
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
        "Interaction, concrete": "7.2.3 Eq. (7.55)", BAR_STEEL: "7.2.1.9", BAR_BOND: "7.2.1.9; EN 1992-1-1 8.4.2",
    },
    INCH_METHOD: {
        "Steel tension": "17.6.1", "Concrete cone": "17.6.2", "Head pull-out": "17.6.3",
        "Side-face blow-out": "17.6.4", "Steel shear": "17.7.1",
        "Bolt bending": "no rule; EN 1992-4 7.2.2.3.2", "Pry-out": "17.7.3", "Concrete edge": "17.7.2",
        "Concrete edge, upward": "17.7.2",
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
class AnchorProof:
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
        Forces on the width that the worst anchor carries, design values; shear less than 0 points up the face. [kN]
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
    pull, foot_pull
        Width of face whose tension goes to it, and foot force for a kN/m of tension beyond that of its width. [m]
    spot
        The worst anchor among the spots of its row, upper or lower.
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
    pull: Column
    foot_pull: Column
    position: Column
    spot: Index
    group: Column
    row: Index
    proof: AnchorProof


def _expand(holder: Index, spots: AnchorSpots) -> tuple[Index, Index]:
    """Return entry and spot of every anchor that holds the units of each ``holder``."""
    first, last = spots.first[holder], spots.first[holder + 1]
    count = last - first
    entry = np.repeat(np.arange(holder.size, dtype=np.int64), count)
    start = np.repeat(first - np.r_[0, np.cumsum(count)[:-1]], count)
    return entry, (np.arange(entry.size, dtype=np.int64) + start)


@dataclass(frozen=True, slots=True)
class Seated:
    """The anchors of every seat: those of one row of a lift's units in one concrete.

    Their resistances are the same at every stage.

    Attributes
    ----------
    cases
        A case of each seat.
    seat
        Seat of every case.
    spots
        Anchors of every seat, ``lift`` being the seat and ``depth`` the way up from the head to the joint, along the face.
    origin
        The anchor among those of the upper rows, or among those of the lower rows.
    upward
        Seats in which some shear points to the joint.
    """

    cases: Cases
    seat: Index
    spots: AnchorSpots
    origin: Index
    upward: Flags


def seats_of(cases: Cases) -> tuple[Index, Index]:
    """Return a case of every seat, and the seat of each case.

    Cases share a seat where lift, row, anchor type, concrete, joint and lean of the concrete are the same.
    """
    keys = (cases.lean, np.nan_to_num(cases.joint, nan=-1.0), cases.anchor, cases.lower, cases.seat, cases.carrier,
            cases.holder)  # fmt: skip
    order = np.lexsort(keys)
    begins = np.zeros(order.size, dtype=bool)
    begins[:1] = True
    for key in keys:
        begins[1:] |= np.diff(key[order].astype(np.float64)) != 0.0
    seat = np.empty(order.size, dtype=np.int64)
    seat[order] = np.cumsum(begins) - 1
    return order[begins].astype(np.int64), seat


def seated(job: Job, layout: Layout, cases: Cases, spots: AnchorSpots, shear: Column) -> Seated:
    """Return the anchors of every seat; ``spots`` are those of the upper rows, ``shear`` less than 0 points to the joint."""
    some, seat = seats_of(cases)
    own = cases.at(some)
    entry, origin = _expand(own.holder, spots)
    picked = [getattr(spots, entry_.name) for entry_ in fields(AnchorSpots)]
    if own.lower.any():
        below = anchor_spots(job, layout, lower=True)
        entry, origin = _expand_rows(own, spots, below)
        more = spots.lift.size
        picked = [np.concatenate([column, getattr(below, entry_.name)])
                  for column, entry_ in zip(picked, fields(AnchorSpots), strict=True)]  # fmt: skip
        place = origin + np.where(own.lower[entry], more, 0)
    else:
        place = origin
    kept = {entry_.name: column[place] for entry_, column in zip(fields(AnchorSpots), picked, strict=True)
            if entry_.name != "first"}  # fmt: skip
    embedment = taken(job.table("Anchor types").number("embedment"), own.anchor)[entry] / 1000.0
    mouth = np.where(own.lower[entry], own.joint[entry], kept["depth"])
    kept |= {
        "lift": entry,
        "depth": mouth - head_rise(own.lean[entry], embedment),
        "first": np.searchsorted(entry, np.arange(some.size + 1)).astype(np.int64),
    }
    at_seats = _by_true_levers(job, layout, own, AnchorSpots(**kept), mouth)
    upward = np.zeros(some.size, dtype=bool)
    upward[seat[shear < 0.0]] = True
    return Seated(own, seat, at_seats, origin, upward)


def _expand_rows(own: Cases, upper: AnchorSpots, lower: AnchorSpots) -> tuple[Index, Index]:
    """Return entry and spot as :func:`_expand` does, the spots of lower rows among those of ``lower``."""
    parts = []
    for rows, spots in ((np.flatnonzero(~own.lower), upper), (np.flatnonzero(own.lower), lower)):
        entry, spot = _expand(own.holder[rows], spots)
        parts.append((rows[entry], spot))
    entry, spot = (np.concatenate(pair) for pair in zip(*parts, strict=True))
    order = np.argsort(entry, kind="stable")
    return entry[order], spot[order]


def _by_true_levers(job: Job, layout: Layout, own: Cases, spots: AnchorSpots, depth: Column) -> AnchorSpots:
    """Return the spots with the tension of listed anchors by their levers where the faces below are kinked.

    The lever is counted down the face that holds the anchors, to where the line of the foot's force meets it. On a
    straight face that is the foot depth, which the spots hold already. ``depth``: from the joint to each anchor.
    """
    at = seats(job, layout, own.holder, own.seat)
    lean, foot = np.radians(at.carrier_inclination), np.radians(at.foot_inclination)
    kinked = ~own.lower & (at.carrier_inclination != at.foot_inclination)
    rows = np.flatnonzero(kinked[spots.lift] & (spots.bracket >= 0))
    if not rows.size:
        return spots
    meets = (0.0 - at.foot_out * np.sin(foot) - at.foot_level * np.cos(foot)) / np.cos(lean - foot)
    seat = spots.lift[rows]
    lever, at_unit = meets[seat] - depth[rows], (meets - at.anchor_depth)[seat]
    lever, at_unit = (np.where(value > 0.0, value, np.nan) for value in (lever, at_unit))
    starts = np.r_[True, (np.diff(seat) != 0) | (np.diff(spots.bracket[rows]) != 0)]
    bracket = np.cumsum(starts) - 1
    many = np.bincount(bracket)[bracket]
    width = np.bincount(bracket, weights=spots.width[rows])[bracket]
    pull, foot_pull = spots.pull.copy(), spots.foot_pull.copy()
    pull[rows] = width * at_unit * lever / np.bincount(bracket, weights=lever**2)[bracket]
    more = (np.bincount(bracket, weights=pull[rows])[bracket] - width) / many
    foot_pull[rows] = more / np.cos(lean - foot)[seat]
    return replace(spots, pull=pull, foot_pull=foot_pull)


def build_anchors(job: Job, held: Seated) -> Anchors:
    """Return anchors in the units of the anchor standards, each under what 1 kN on a metre of face gives it."""
    types, lifts, spots, own = job.table("Anchor types"), job.table("Lifts"), held.spots, held.cases
    seat = spots.lift
    kind = own.anchor[seat]
    behind = np.where(own.carrier >= 0, own.carrier, own.holder)[seat]

    def of_type(key: str) -> Column:
        return taken(types.number(key), kind)

    round_head = head_bearing_area(
        head_diameter=np.maximum(of_type("head_diameter"), of_type("shank_diameter")),
        shank_diameter=of_type("shank_diameter"),
    )
    return Anchors(
        tension=spots.pull,
        shear=spots.width,
        service_tension=spots.pull,
        service_shear=spots.width,
        strength=np.ones(seat.size),
        upward=np.where(held.upward[seat], spots.width, 0.0),
        up=np.where(spots.depth > 0.0, spots.depth * 1000.0, np.nan),
        left=spots.left * 1000.0,
        right=spots.right * 1000.0,
        left_is_edge=spots.left_is_edge,
        right_is_edge=spots.right_is_edge,
        thickness=taken(lifts.number("thickness"), behind) * 1000.0,
        people=np.zeros(seat.size, dtype=bool),
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
        above=spots.above * 1000.0,
        below=spots.below * 1000.0,
        bars=of_type("bars"),
        bar_diameter=of_type("bar_diameter"),
        bar_length=of_type("bar_length"),
        bar_yield=of_type("bar_yield"),
    )


def seat_groups(job: Job, held: Seated) -> Groups | None:
    """Return the groups of the listed anchors by the job's anchor method, ``None`` where there are none."""
    en = job.text("Anchor method") == EN_METHOD
    spots, own = held.spots, held.cases
    return groups_of(
        replace(spots, depth=np.maximum(np.nan_to_num(spots.depth), 0.0)),
        face_length=job.table("Lifts").number("face_length")[own.holder][spots.lift] * 1000.0,
        embedment=taken(job.table("Anchor types").number("embedment"), own.anchor)[spots.lift],
        blow_out_needed=0.5 if en else 0.4,
        blow_out_reach=EN_BLOW_OUT_REACH if en else ACI_BLOW_OUT_REACH,
        upward=held.upward[spots.lift],
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


def anchor_demand(
    job: Job,
    layout: Layout,
    cases: Cases,
    spots: AnchorSpots,
    forces: Forces | Combined,
    strength: Column,
    *,
    with_required: bool = True,
) -> AnchorDemand:
    """Return the demand ratios of every case by the job's anchor method and safety basis.

    ``spots`` are the anchors of the upper rows. ``strength`` is that of the concrete at each case's hour, in MPa.
    Without ``with_required`` the required strength is left ``nan``. Of several combinations of forces the worst
    counts.
    """
    if isinstance(forces, Combined):
        tried = anchor_demand(
            job, layout, cases.at(forces.case), spots, forces.forces, strength[forces.case],
            with_required=with_required,
        )  # fmt: skip
        return worst_combinations(tried, forces.case, cases.lift.size)[0]
    method = job.text("Anchor method")
    places = seated(job, layout, cases, spots, forces.shear)
    anchors, groups = build_anchors(job, places), seat_groups(job, places)
    held = resistances_of(job, anchors, groups)
    safety = None
    if job.text("Safety basis") == ACI_SERVICE:
        safety = form_anchor_safety_factor(carries_people=cases.people.astype(np.float64))
    count, own = cases.lift.size, places.spots
    parts = [
        _judge(anchors, held, forces, strength, safety, places, some, with_required=with_required)
        for some in _in_pieces(np.diff(own.first)[places.seat])
    ]
    names = list(parts[0].modes)
    modes = {name: np.concatenate([part.modes[name] for part in parts]) for name in names}
    row = np.concatenate([part.row for part in parts])
    at_worst = np.stack(list(modes.values()))
    leading = np.argmax(np.where(np.isnan(at_worst), np.inf, at_worst), axis=0)
    low, high = strength_range(method)
    in_group = np.full(count, np.nan)
    for number, name in enumerate(names):
        if name in held.by_group and groups is not None:
            here = (leading == number) & held.by_group[name][row]
            of = groups.edge_up if name == EDGE_UP else groups.cones
            in_group = np.where(here, of.count[row], in_group)
    return AnchorDemand(
        tension=forces.tension * own.pull[row],
        shear=forces.shear * own.width[row],
        foot=forces.foot * own.width[row] + forces.tension * own.foot_pull[row],
        least_foot=forces.least_foot * own.width[row],
        strength=strength,
        modes={name: np.where(np.isneginf(values), np.nan, values) for name, values in modes.items()},
        ratio=np.max(at_worst, axis=0),  # nan stays
        governing=texts(names[number] for number in leading.tolist()),
        required=np.concatenate([part.required for part in parts]),
        safety_factor=np.full(count, np.nan) if safety is None else safety,
        below=strength < low,
        above=strength > high,
        end=(anchors.left_is_edge | anchors.right_is_edge)[row],
        width=own.width[row],
        pull=own.pull[row],
        foot_pull=own.foot_pull[row],
        position=own.position[row],
        spot=places.origin[row],
        group=in_group,
        row=row,
        proof=AnchorProof(anchors, held, groups),
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
    places: Seated,
    some: Index,
    *,
    with_required: bool,
) -> _Judged:
    """Return the worst anchor of the cases ``some``."""
    part, row = _expand(places.seat[some], places.spots)
    case = some[part]
    pull, width = anchors.tension[row], anchors.shear[row]
    upward = np.maximum(-forces.shear, 0.0)[case] * width if places.upward.any() else None
    loads = Loads(
        forces.tension[case] * pull, np.abs(forces.shear)[case] * width, strength[case],
        None if safety is None else safety[case], upward,
    )  # fmt: skip
    ratios = judged(held.at(row), loads)
    modes = ratios.modes | _rated(
        forces.service_tension[case] * pull, np.abs(forces.service_shear)[case] * width, anchors, row
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


def worst_combinations(tried: AnchorDemand, case: Index, count: int) -> tuple[AnchorDemand, Index]:
    """Return the demand of every case, and the combination that governs it.

    Every mode has its greatest ratio of the combinations, the forces are those of the governing one.
    """
    worst = worst_of(tried.ratio, case, count)
    whole = ("modes", "proof")
    picked = {
        entry.name: getattr(tried, entry.name)[worst] for entry in fields(tried) if entry.name not in whole
    }
    modes = {name: greatest_by_case(values, case, count) for name, values in tried.modes.items()}
    governed = AnchorDemand(**picked, modes=modes, proof=tried.proof)
    return replace(governed, required=greatest_by_case(tried.required, case, count)), worst
