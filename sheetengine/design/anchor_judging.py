"""From resistances, which the stage does not change, to the ratios of every stage."""

from __future__ import annotations

from dataclasses import dataclass, field, fields

import numpy as np

from sheetengine.clauses import en1992_4_interaction, en1992_4_steel
from sheetengine.clauses.aci318_17_shear_factors import trilinear_interaction
from sheetengine.clauses.rows import factors
from sheetengine.columns import Column, Flags
from sheetengine.design.anchor_modes import GREATEST_BOND_STRENGTH, Anchors, Ratios
from sheetengine.design.layout import Index

TENSION, SHEAR, UPWARD = "tension", "shear", "upward shear"
STEEL_TENSION, STEEL_SHEAR = "Steel tension", "Steel shear"
CONE, PULL_OUT, BLOW_OUT, PRY_OUT, EDGE, EDGE_UP = (
    "Concrete cone", "Head pull-out", "Side-face blow-out", "Pry-out", "Concrete edge", "Concrete edge, upward",
)  # fmt: skip
BAR_STEEL, BAR_BOND = "Supplementary bars, steel", "Supplementary bars, anchorage"
ACTION_OF = {CONE: TENSION, PULL_OUT: TENSION, BLOW_OUT: TENSION, BAR_STEEL: TENSION, BAR_BOND: TENSION,
             PRY_OUT: SHEAR, EDGE: SHEAR, EDGE_UP: UPWARD}  # fmt: skip
"""Which force of the anchor a mode is judged by."""


@dataclass(frozen=True, slots=True)
class Loads:
    """Design forces of an anchor at a stage, in kN, with the concrete strength in MPa.

    ``upward`` is that part of the shear which points to the joint above, ``None`` where none does. ``safety`` divides all resistances where the safety basis says so; ``None``: factors by mode.
    """

    tension: Column
    shear: Column
    strength: Column
    safety: Column | None = None
    upward: Column | None = None


@dataclass(frozen=True, slots=True)
class Resistances:
    """Characteristic (nominal) resistances of one anchor, in kN, and what divides each of them.

    Concrete modes are at a cylinder strength of 1 MPa and grow by the power in ``growth``. Where the anchor stands in
    a group, a mode is the lesser of its own and of its part of the group's, a part as great as that of its load.
    The edge at the joint is among them only where some shear points to it.
    ``nan`` where the mode does not exist for the anchor, ``inf`` where it need not be checked.
    """

    steel: dict[str, Column]
    concrete: dict[str, Column]
    divisors: dict[str, Column]
    basic_bending: Column
    lever_arm: Column
    stand_off: Column
    growth: dict[str, float]
    barred: Flags
    three_lines: bool = False
    ceiling: float = np.inf
    by_group: dict[str, Flags] = field(default_factory=dict)

    def at(self, rows: Index) -> Resistances:
        """Return the resistances of the anchors at ``rows``."""

        def picked(columns: dict[str, Column]) -> dict[str, Column]:
            return {name: column[rows] for name, column in columns.items()}

        return Resistances(
            picked(self.steel), picked(self.concrete), picked(self.divisors), self.basic_bending[rows],
            self.lever_arm[rows], self.stand_off[rows], self.growth, self.barred[rows], self.three_lines, self.ceiling,
            {name: flags[rows] for name, flags in self.by_group.items()},
        )  # fmt: skip


def bending_of(anchors: Anchors) -> tuple[Column, Column]:
    """Return the bolt's basic bending resistance in kNm and the lever arm in mm, for a bolt that stands off."""
    diameter = np.sqrt(4.0 * anchors.net_area / np.pi)
    basic = en1992_4_steel.basic_bending_resistance(
        section_modulus=en1992_4_steel.round_section_modulus(shank_diameter=diameter),
        tensile_strength=anchors.tensile,
    )
    return basic, en1992_4_steel.shear_lever_arm(stand_off=anchors.stand_off, shank_diameter=anchors.shank)


def bending_resistance_of(held: Resistances, pull: Column, design_tension: Column) -> Column:
    """Return the characteristic resistance to a shear on the lever arm beside a tension. [kN]."""
    bending = en1992_4_steel.bending_resistance(
        basic_bending=held.basic_bending, anchor_tension=pull, steel_design_resistance=design_tension
    )
    return en1992_4_steel.steel_shear_resistance_lever_arm(
        restraint_factor=np.ones_like(bending) * factors("en1992_4")["restraint_factor"]["free_to_turn"],
        bending=bending,
        lever_arm=held.lever_arm,
    )


def _bending_ratio(held: Resistances, loads: Loads, pull: Column, divisors: dict[str, Column]) -> Column:
    """Return the ratio of shear on a lever arm, 0 where the bolt does not stand off."""
    none = np.where(np.isnan(loads.shear), np.nan, 0.0)
    if not (held.stand_off > 0.0).any():
        return none
    resistance = bending_resistance_of(held, pull, held.steel[STEEL_TENSION] / divisors[STEEL_TENSION])
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = loads.shear / (resistance / divisors[STEEL_SHEAR])
    ratio = np.where(np.isnan(ratio) & (loads.shear == 0.0), 0.0, ratio)
    return np.where(held.stand_off > 0.0, ratio, none)


def grown_strength(strength: Column, power: float, ceiling: float) -> Column:
    """Return what a resistance at 1 MPa is multiplied by at a strength in MPa."""
    counted = np.minimum(strength, ceiling)
    if power == 1.0:
        return counted
    if power == 0.5:
        return np.sqrt(counted)
    return np.asarray(np.minimum(counted, GREATEST_BOND_STRENGTH) ** power)


def judged(held: Resistances, loads: Loads) -> Ratios:
    """Return every mode's ratio at the strength of the stage's hour."""
    pull = np.maximum(loads.tension, 0.0)
    force = {TENSION: pull, SHEAR: loads.shear, UPWARD: 0.0 if loads.upward is None else loads.upward}
    divisors = held.divisors
    if loads.safety is not None:
        divisors = dict.fromkeys(divisors, loads.safety)
    modes = {
        STEEL_TENSION: pull / (held.steel[STEEL_TENSION] / divisors[STEEL_TENSION]),
        STEEL_SHEAR: loads.shear / (held.steel[STEEL_SHEAR] / divisors[STEEL_SHEAR]),
        "Bolt bending": _bending_ratio(held, loads, pull, divisors),
    }
    at_1_mpa: dict[str, Column] = {}
    grown = {
        power: grown_strength(loads.strength, power, held.ceiling)
        for power in sorted(set(held.growth.values()))
    }
    no_strength = np.where(np.isnan(loads.strength), np.nan, 0.0)
    has_bars = BAR_STEEL in held.concrete
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for name, resistance in held.concrete.items():
            ratio = force[ACTION_OF[name]] / (resistance / divisors[name])
            at_1_mpa[name] = ratio
            shown = (
                np.where(ratio == 0.0, no_strength, ratio / grown[held.growth[name]])
                if held.growth[name]
                else ratio
            )
            if has_bars and name in (CONE, BAR_STEEL, BAR_BOND):
                shown = np.where(held.barred == (name != CONE), shown, -np.inf)
                at_1_mpa[name] = np.where(held.barred == (name != CONE), ratio, 0.0)
            modes[name] = shown
            if name == EDGE and EDGE_UP not in held.concrete:
                modes[EDGE_UP] = np.where(np.isnan(loads.shear), np.nan, no_strength)
    tension = np.maximum(np.maximum(modes[CONE], modes[PULL_OUT]), modes[BLOW_OUT])
    bond = bars = None
    sqrt_tension = np.maximum(at_1_mpa[CONE], at_1_mpa[BLOW_OUT])
    if has_bars:
        tension = np.maximum(tension, np.maximum(modes[BAR_STEEL], modes[BAR_BOND]))
        bars = at_1_mpa[BAR_STEEL]
        if held.growth[BAR_BOND] == 0.5:
            sqrt_tension, bond = np.maximum(sqrt_tension, at_1_mpa[BAR_BOND]), np.zeros_like(pull)
        else:
            bond = at_1_mpa[BAR_BOND]
    shear = np.maximum(modes[PRY_OUT], modes[EDGE])
    sqrt_shear = np.maximum(at_1_mpa[PRY_OUT], at_1_mpa[EDGE])
    if EDGE_UP in held.concrete:
        shear, sqrt_shear = np.maximum(shear, modes[EDGE_UP]), np.maximum(sqrt_shear, at_1_mpa[EDGE_UP])
    _interactions(modes, held, tension, shear)
    return Ratios(
        modes, modes[STEEL_TENSION], modes[STEEL_SHEAR], sqrt_tension, at_1_mpa[PULL_OUT],
        sqrt_shear, three_lines=held.three_lines, ceiling=held.ceiling,
        bond_tension=bond, bar_tension=bars, barred=held.barred if has_bars else None,
    )  # fmt: skip


def _interactions(modes: dict[str, Column], held: Resistances, tension: Column, shear: Column) -> None:
    """Add the interactions of tension and shear to the modes."""
    if held.three_lines:
        modes["Interaction"] = trilinear_interaction(
            tension_ratio=np.maximum(modes[STEEL_TENSION], tension),
            shear_ratio=np.maximum(modes[STEEL_SHEAR], shear),
        )
        return
    modes["Interaction, steel"] = en1992_4_interaction.steel_interaction(
        tension_ratio=modes[STEEL_TENSION], shear_ratio=modes[STEEL_SHEAR]
    )
    together = en1992_4_interaction.concrete_interaction(tension_ratio=tension, shear_ratio=shear)
    if held.barred.any():
        with_bars = en1992_4_interaction.barred_interaction(tension_ratio=tension, shear_ratio=shear)
        together = np.where(held.barred, with_bars, together)
    modes["Interaction, concrete"] = together


def loads_of(anchors: Anchors, safety: Column | None) -> Loads:
    """Return the loads that the anchors carry with them."""
    return Loads(anchors.tension, anchors.shear, anchors.strength, safety, anchors.upward)


def anchors_at(anchors: Anchors, rows: Index) -> Anchors:
    """Return the anchors at ``rows``."""
    return Anchors(*(
        column[rows] if (column := getattr(anchors, entry.name)).size != 1 or anchors.tension.size == 1 else column
        for entry in fields(Anchors)
    ))  # fmt: skip
