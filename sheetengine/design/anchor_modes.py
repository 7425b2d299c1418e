"""What the anchor standards are asked, and the ratios they give, one entry an anchor and case."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import elementwise

from sheetengine.clauses.aci318_17_shear_factors import trilinear_interaction
from sheetengine.clauses.en1992_4_interaction import barred_interaction, concrete_interaction
from sheetengine.columns import Column, Flags
from sheetengine.design.layout import Index

LEAST_STRENGTH, GREATEST_STRENGTH = 1e-6, 1e4
"""Strengths, in MPa, between which a required strength is looked for."""
GREATEST_BOND_STRENGTH = 50.0
"""Cylinder strength, in MPa, up to which the tensile strength behind EN 1992-1-1 Eq. (8.2) grows by Table 3.1."""


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
    above, below
        Half the distance to an anchor above or below, ``inf`` where there is none.
    upward
        That part of the shear which points to the free joint above.
    bars, bar_diameter, bar_length, bar_yield
        Supplementary bars beside one anchor: legs, diameter, length of each within the cone, yield strength.
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
    above: Column = field(default_factory=lambda: np.array([np.inf]))
    below: Column = field(default_factory=lambda: np.array([np.inf]))
    bars: Column = field(default_factory=lambda: np.array([0.0]))
    bar_diameter: Column = field(default_factory=lambda: np.array([np.nan]))
    bar_length: Column = field(default_factory=lambda: np.array([np.nan]))
    bar_yield: Column = field(default_factory=lambda: np.array([np.nan]))

    @property
    def share_up(self) -> Column:
        """Distance up to the joint, or half way to an anchor above. [mm]."""
        return np.minimum(self.up, self.above)

    @property
    def share_down(self) -> Column:
        """Distance half way to an anchor below. [mm]."""
        return np.minimum(self.below, 1e9)

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
    def row_spacing(self) -> Column:
        """Distance to the nearer anchor above or below, ``inf`` where there is none. [mm]."""
        return np.asarray(2.0 * np.minimum(self.above, self.below) * np.ones_like(self.embedment))

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
    the ratios at the stage's strength. Where supplementary bars hold the cone, ``bond_tension`` falls with
    the strength to the power 2/3 and ``bar_tension`` not at all.
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
    bond_tension: Column | None = None
    bar_tension: Column | None = None
    barred: Flags | None = None
    """Where supplementary bars hold the cone."""


def concrete_measure(ratios: Ratios, strength: Column) -> Column:
    """Return the greatest ratio of the modes that depend on the concrete, interaction included, at a strength."""
    root = np.sqrt(strength)
    tension = np.maximum(ratios.sqrt_tension / root, ratios.direct_tension / strength)
    shear = ratios.sqrt_shear / root
    if ratios.bond_tension is not None and ratios.bar_tension is not None:
        bond = np.minimum(strength, GREATEST_BOND_STRENGTH) ** (2.0 / 3.0)
        tension = np.maximum(tension, np.maximum(ratios.bond_tension / bond, ratios.bar_tension))
    if ratios.three_lines:
        return trilinear_interaction(
            tension_ratio=np.maximum(tension, ratios.steel_tension),
            shear_ratio=np.maximum(shear, ratios.steel_shear),
        )
    plain = concrete_interaction(tension_ratio=tension, shear_ratio=shear)
    if ratios.barred is None:
        return plain
    with_bars: Column = barred_interaction(tension_ratio=tension, shear_ratio=shear)
    return np.where(ratios.barred, with_bars, plain)


def _quadratic(square: Column, line: Column, sum_: Column | float) -> Column:
    """Return the positive u at which ``square u^2 + line u`` is ``sum_``; ``inf`` where nothing depends on u."""
    with np.errstate(divide="ignore", invalid="ignore"):
        found: Column = 2.0 * sum_ / (line + np.sqrt(line**2 + 4.0 * square * sum_))
    return np.asarray(found)


def _alone(ratios: Ratios) -> Column:
    alone = np.maximum(
        np.maximum(ratios.sqrt_tension, ratios.sqrt_shear) ** 2, np.maximum(ratios.direct_tension, 0.0)
    )
    if ratios.bond_tension is not None:
        alone = np.maximum(alone, np.asarray(np.maximum(ratios.bond_tension, 0.0) ** 1.5))
    return np.asarray(np.maximum(alone, LEAST_STRENGTH))


def _together(ratios: Ratios) -> Column:
    """Return the least strength at which the interaction is met, without supplementary bars.

    With u the inverse root of the strength every ratio is a u, d u^2 or steel, so that each line of the
    interaction is a quadratic in u, and the power curve of EN 1992-4 one in u^1.5.
    """
    root, direct, shear = ratios.sqrt_tension, np.maximum(ratios.direct_tension, 0.0), ratios.sqrt_shear
    none = np.zeros_like(root)
    if ratios.three_lines:
        left_v, left_n = 1.2 - ratios.steel_shear, 1.2 - ratios.steel_tension
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            u = np.minimum(
                np.minimum(_quadratic(none, root + shear, 1.2), _quadratic(direct, shear, 1.2)),
                np.minimum(
                    np.minimum(_quadratic(none, root, left_v), _quadratic(direct, none, left_v)),
                    _quadratic(none, shear, left_n),
                ),
            )
            return np.asarray(u**-2.0)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        # the better of line and curve holds, for each of the two kinds of tension mode by itself
        by_root = (root * np.sqrt(root) + shear * np.sqrt(shear)) ** (4.0 / 3.0)
        by_curve = _quadratic(direct * np.sqrt(direct), shear * np.sqrt(shear), 1.0) ** (-4.0 / 3.0)
        by_line = _quadratic(direct, shear, 1.2) ** -2.0
        return np.maximum(np.minimum(((root + shear) / 1.2) ** 2, by_root), np.minimum(by_line, by_curve))


def required_strength(ratios: Ratios) -> Column:
    """Return the least strength at which every concrete mode and the interaction are at most 1.

    ``inf`` where no strength is enough, because the steel takes part and is itself overloaded; ``nan``
    where a ratio is missing. [MPa]
    """
    found = np.maximum(_alone(ratios), _together(ratios))
    never = concrete_measure(ratios, np.full_like(found, GREATEST_STRENGTH)) > 1.0
    barred = (
        np.flatnonzero(ratios.barred & ~never) if ratios.barred is not None else np.zeros(0, dtype=np.int64)
    )
    if barred.size:
        found[barred] = _with_bars(ratios, barred)
    return np.where(never | (found > ratios.ceiling), np.inf, found)


def _with_bars(ratios: Ratios, rows: Index) -> Column:
    """Return the strength required where supplementary bars hold the cone, by bracketing; ratios at ``rows``."""
    picked = (ratios.steel_tension, ratios.steel_shear, ratios.sqrt_tension, ratios.direct_tension,
              ratios.sqrt_shear, ratios.bond_tension, ratios.bar_tension)  # fmt: skip
    columns = tuple(
        np.broadcast_to(0.0 if column is None else column, ratios.sqrt_shear.shape)[rows] for column in picked
    )

    def part(steel_n: Column, steel_v: Column, root_n: Column, direct_n: Column, root_v: Column, bond: Column,
             bars: Column) -> Ratios:  # fmt: skip
        return Ratios({}, steel_n, steel_v, root_n, direct_n, root_v, ratios.three_lines, bond_tension=bond,
                      bar_tension=bars, barred=np.ones_like(bond, dtype=bool))  # fmt: skip

    def excess(log_strength: Column, *own: Column) -> Column:
        return concrete_measure(part(*own), np.exp(log_strength)) - 1.0

    alone = _alone(part(*columns))
    found = np.array(alone)
    search = np.flatnonzero(excess(np.log(alone), *columns) > 1e-12)
    if search.size:
        solved = elementwise.find_root(
            excess,
            (np.log(alone[search]), np.full(search.size, np.log(GREATEST_STRENGTH))),
            args=tuple(column[search] for column in columns),
            tolerances={"xatol": 1e-13, "xrtol": 1e-13},
        )
        found[search] = np.where(solved.success, np.exp(solved.x), np.nan)
    return np.where(np.isnan(excess(np.log(alone), *columns)), np.nan, found)
