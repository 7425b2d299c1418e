"""What the anchor standards are asked, and the ratios they give, one entry an anchor and case."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import elementwise

from sheetengine.clauses.aci318_17_shear_factors import trilinear_interaction
from sheetengine.clauses.en1992_4_interaction import concrete_interaction
from sheetengine.columns import Column, Flags

LEAST_STRENGTH, GREATEST_STRENGTH = 1e-6, 1e4
"""Strengths, in MPa, between which a required strength is looked for."""


@dataclass(frozen=True, slots=True)
class Anchors:
    """Anchors of every case: loads, steel, head, and the concrete round them.

    Lengths in mm, areas in mm2, strengths in MPa, forces in kN.

    Attributes
    ----------
    tension, shear
        Design values of one anchor; a negative tension presses and counts as none.
    service_tension, service_shear
        Unfactored values.
    strength
        Cylinder strength of the concrete at the stage's hour.
    up
        Distance to the free joint above.
    left, right
        Distance to the end of the block, or half the distance to the neighbour.
    left_is_edge, right_is_edge
        Where that is an end.
    thickness
        Thickness of the concrete behind the face.
    people
        Where the anchors carry people.
    upward
        That part of the shear which points to the free joint above.
    """

    tension: Column
    shear: Column
    service_tension: Column
    service_shear: Column
    strength: Column
    up: Column
    left: Column
    right: Column
    left_is_edge: Flags
    right_is_edge: Flags
    thickness: Column
    people: Flags
    embedment: Column
    shank: Column
    bearing_area: Column
    net_area: Column
    tensile: Column
    yield_: Column
    ductile: Flags
    stand_off: Column
    rated_tension: Column
    rated_shear: Column
    upward: Column = field(default_factory=lambda: np.zeros(1))

    @property
    def end(self) -> Column:
        """Distance to the nearer end of the block, ``inf`` where none is beside the anchor. [mm]."""
        left = np.where(self.left_is_edge, self.left, np.inf)
        right = np.where(self.right_is_edge, self.right, np.inf)
        return np.minimum(left, right)

    @property
    def spacing(self) -> Column:
        """Distance to the nearer neighbour, ``inf`` where the anchor is alone. [mm]."""
        left = np.where(self.left_is_edge, np.inf, 2.0 * self.left)
        right = np.where(self.right_is_edge, np.inf, 2.0 * self.right)
        return np.minimum(left, right)

    @property
    def close_edges(self) -> dict[str, Column]:
        """What the reduced embedment depth of both families asks of edges nearer than 1.5 h_ef, by its arguments."""
        reach = 1.5 * self.embedment
        edges = [self.up, np.where(self.left_is_edge, self.left, np.inf),
                 np.where(self.right_is_edge, self.right, np.inf)]  # fmt: skip
        close = sum((edge < reach).astype(np.float64) for edge in edges)
        greatest = np.max([np.where(edge < reach, edge, 0.0) for edge in edges], axis=0)
        spacing = np.where(np.isfinite(self.spacing), np.minimum(self.spacing, 2.0 * reach), 0.0)
        return {
            "embedment_depth": self.embedment,
            "close_edges": np.asarray(close),
            "greatest_edge_distance": greatest,
            "greatest_spacing": spacing,
        }


@dataclass(frozen=True, slots=True)
class Ratios:
    """Demand ratios of one standard at a reference strength, and how they change with strength.

    ``sqrt_tension`` and ``sqrt_shear`` are the greatest concrete ratios that fall with the root of the
    strength, ``direct_tension`` the one that falls with the strength itself, all at 1 MPa. The modes carry
    the ratios at the stage's strength.
    """

    modes: dict[str, Column]
    steel_tension: Column
    steel_shear: Column
    sqrt_tension: Column
    direct_tension: Column
    sqrt_shear: Column
    three_lines: bool
    """Interaction of ACI 318 over all modes; otherwise that of EN 1992-4 over the concrete modes."""
    ceiling: float = np.inf
    """Strength in MPa beyond which more strength does not count."""


def concrete_measure(ratios: Ratios, strength: Column) -> Column:
    """Return the greatest ratio of the modes that depend on the concrete, interaction included, at a strength."""
    root = np.sqrt(strength)
    tension = np.maximum(ratios.sqrt_tension / root, ratios.direct_tension / strength)
    shear = ratios.sqrt_shear / root
    if ratios.three_lines:
        return trilinear_interaction(
            tension_ratio=np.maximum(tension, ratios.steel_tension),
            shear_ratio=np.maximum(shear, ratios.steel_shear),
        )
    return concrete_interaction(tension_ratio=tension, shear_ratio=shear)


def required_strength(ratios: Ratios) -> Column:
    """Return the least strength at which every concrete mode and the interaction are at most 1.

    ``inf`` where no strength is enough, because the steel takes part and is itself overloaded; ``nan``
    where a ratio is missing. [MPa]
    """
    alone = np.maximum(
        np.maximum(ratios.sqrt_tension, ratios.sqrt_shear) ** 2, np.maximum(ratios.direct_tension, 0.0)
    )
    alone = np.maximum(alone, LEAST_STRENGTH)
    found = np.array(alone)
    with np.errstate(invalid="ignore"):
        together = concrete_measure(ratios, alone) > 1.0 + 1e-12
    never = concrete_measure(ratios, np.full_like(alone, GREATEST_STRENGTH)) > 1.0
    rows = np.flatnonzero(together & ~never)
    if rows.size:
        part = Ratios(
            {}, ratios.steel_tension[rows], ratios.steel_shear[rows], ratios.sqrt_tension[rows],
            ratios.direct_tension[rows], ratios.sqrt_shear[rows], ratios.three_lines,
        )  # fmt: skip

        def excess(log_strength: Column, *picked: Column) -> Column:
            steel_n, steel_v, root_n, direct_n, root_v = picked
            trial = Ratios({}, steel_n, steel_v, root_n, direct_n, root_v, ratios.three_lines)
            return concrete_measure(trial, np.exp(log_strength)) - 1.0

        solved = elementwise.find_root(
            excess,
            (np.log(alone[rows]), np.full(rows.size, np.log(GREATEST_STRENGTH))),
            args=(
                part.steel_tension,
                part.steel_shear,
                part.sqrt_tension,
                part.direct_tension,
                part.sqrt_shear,
            ),
            tolerances={"xatol": 1e-13, "xrtol": 1e-13},
        )
        found[rows] = np.where(solved.success, np.exp(solved.x), np.nan)
    return np.where(never | (found > ratios.ceiling), np.inf, found)
