"""What would open a gate earlier, and by how many hours: one change at a time, all else as planned."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from sheetengine.columns import Column, Texts, texts
from sheetengine.design.anchor_demand import anchor_demand
from sheetengine.design.anchor_scope import anchors_outside
from sheetengine.design.copies import with_column
from sheetengine.design.gate_requirements import guarded_gates
from sheetengine.design.layout import Layout, anchor_spots, end_distance, even_count, positions_by_lift
from sheetengine.design.lift_heat import asked
from sheetengine.design.readiness import strength_history
from sheetengine.design.temperatures import temperatures
from sheetengine.design.wording import Wording
from sheetengine.job import Job

if TYPE_CHECKING:
    from sheetengine.design.calculate import Calculation

WARMER, DEEPER, CLOSER = "Warmer mix", "Deeper anchors", "Closer anchors"
INSULATED = "Insulated form"
LEAST_GAIN = 0.05
"""Gains below this, in h, are not spoken of."""


@dataclass(frozen=True)
class EarlierGates:
    """One entry a gate, in the order of the gates.

    Attributes
    ----------
    gains
        By the name of the change: hours by which the gate opens earlier; ``inf`` where it opens at all only
        with the change, ``nan`` where either is not known or the gate stays shut. [h]
    rest
        Hours by which the planned hour would have to be put off; 0 where the gate is met, ``nan`` where
        waiting does not open it or no hour is planned. [h]
    """

    gains: dict[str, Column]
    rest: Column

    @cached_property
    def best(self) -> tuple[Texts, Column]:
        """Return the change with the greatest gain of each gate, empty where none gains, and its hours."""
        names = list(self.gains)
        table = np.stack([np.nan_to_num(self.gains[name], nan=0.0, posinf=np.inf) for name in names])
        most = np.argmax(table, axis=0)
        hours = np.take_along_axis(table, most[None, :], axis=0)[0]
        gained = hours >= LEAST_GAIN
        return (
            texts(names[place] if any_ else "" for place, any_ in zip(most, gained, strict=True)),
            np.where(gained, hours, np.nan),
        )


def _with_warmer_mix(c: Calculation) -> Column:
    """Return the hours at which the gates open with concrete placed warmer by the step the job sets."""
    step = c.job.number("Warmer mix tried")
    job = with_column(
        c.job, "Lifts", concrete_temperature=c.job.table("Lifts").number("concrete_temperature") + step
    )
    return _in_other_heat(c, job)


def _in_other_heat(c: Calculation, job: Job) -> Column:
    """Return the hours at which the gates open with the temperatures of a changed job, and all else as it is."""
    hours = c.temperature.nodes.shape[1] - 1
    temperature = temperatures(job, c.layout, hours, c.temperature.readings)
    return c.gates_in(strength_history(job, c.layout, c.curves, temperature)).ready


def _with_insulated_form(c: Calculation) -> Column:
    """Return the hours at which the gates open with every form at least as warm as the job sets; ``nan`` without heat."""
    if not asked(c.job):
        return np.full(c.gates.ready.shape, np.nan)
    tried = np.maximum(c.job.table("Form units").number("form_insulation"), c.job.number("Insulation tried"))
    return _in_other_heat(c, with_column(c.job, "Form units", form_insulation=tried))


def _with_anchors(c: Calculation, job: Job, layout: Layout) -> Column:
    """Return the hours at which the gates open with other anchors in the same concrete under the same loads."""
    spots = anchor_spots(job, layout)
    demand = anchor_demand(job, layout, c.cases, spots, c.proof.loads, c.demand.strength)
    withheld = c.withheld | anchors_outside(job, layout, c.cases, spots)
    return guarded_gates(
        job, layout, c.cases, demand, c.history, withheld=withheld, lifts_off=c.foot_lifts
    ).ready


def _with_deeper_anchors(c: Calculation) -> Column:
    """Return the hours at which the gates open with every anchor embedded deeper by the step the job sets."""
    depth = c.job.table("Anchor types").number("embedment") + c.job.number("Deeper anchors tried")
    return _with_anchors(c, with_column(c.job, "Anchor types", embedment=depth), c.layout)


def _with_closer_anchors(c: Calculation) -> Column:
    """Return the hours at which the gates open with anchors closer by the share the job sets; listed ones stay."""
    lifts = c.job.table("Lifts")
    spacing = lifts.number("anchor_spacing") * (1.0 - c.job.number("Closer anchors tried") / 100.0)
    job = with_column(c.job, "Lifts", anchor_spacing=spacing)
    number = even_count(face_length=lifts.number("face_length"), spacing=spacing, end=end_distance(job))
    listed = np.zeros(len(lifts), dtype=bool)
    listed[positions_by_lift(job)[0]] = True
    layout = replace(c.layout, anchors=np.where(listed, c.layout.anchors, number))
    return _with_anchors(c, job, layout)


TRIALS = {WARMER: _with_warmer_mix, DEEPER: _with_deeper_anchors, CLOSER: _with_closer_anchors,
          INSULATED: _with_insulated_form}  # fmt: skip


def gained(planned: Column, changed: Column) -> Column:
    """Return the hours between two hours of opening; ``inf`` from never to some hour, ``nan`` for never twice."""
    with np.errstate(invalid="ignore"):
        return np.asarray(planned - changed)


def earlier_gates(c: Calculation) -> EarlierGates:
    """Return the gain of every change at every gate.

    Loads, pressures and planned hours stay as they are: a warmer mix presses less, which is not counted.
    Measured temperatures stay as measured, so a lift whose probe has spoken gains only from then on.
    """
    ready, margin = c.gates.ready, c.gates.margin
    return EarlierGates(
        {name: gained(ready, trial(c)) for name, trial in TRIALS.items()},
        np.where(np.isinf(margin), np.nan, np.maximum(-margin, 0.0)),
    )


def step_text(c: Calculation, say: Wording, name: str) -> str:
    """Write a change with its step."""
    if name == WARMER:
        return f"concrete placed {say.temperature_step(c.job.number('Warmer mix tried'))} warmer"
    if name == INSULATED:
        return f"a form of at least {c.job.number('Insulation tried'):.3g} m2K/W"
    if name == CLOSER:
        return f"anchors {c.job.number('Closer anchors tried'):.3g} % closer"
    return f"anchors embedded {say.small_length(c.job.number('Deeper anchors tried'))} deeper"
