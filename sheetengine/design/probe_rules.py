"""The numbers by which a temperature log is judged."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cache

from sheetengine.clauses.rows import factors


@dataclass(frozen=True, slots=True)
class ProbeRules:
    """Limits of a temperature log; common practice, no source.

    Attributes
    ----------
    longest_gap
        Hours between two readings beyond which they are not joined by a straight line.
    least_possible, greatest_possible
        Band outside which a reading is that of a broken probe or cable. [degC]
    off_anchor_level, behind_heads
        How far a probe may sit above or below the anchors, and behind their heads. [m]
    spike, spike_readings
        Leap off both neighbours and back, and the most readings of one leap. [K]
    jump, jump_rate
        Step that stays [K], and its rate [K/h], beyond both of which it is none that concrete makes.
    settled_after
        Hours after the concrete reached the anchors until which a probe may rise from air to concrete.
    stuck_for, stuck_readings
        Hours and number of readings without any change.
    clock_step, clock_tolerance
        Hours by which clocks are set twice a year, and how exactly a step must be of that length.
    longest_step_back, few_steps_back
        Longest step back in time, and most of them in a log, that are told apart as clocks set back. [h]
    recent, excess_lasts
        Hours before the last reading over which log and model are compared, and hours in which an excess over the
        model falls to its e-th part.
    """

    longest_gap: float
    least_possible: float
    greatest_possible: float
    off_anchor_level: float
    behind_heads: float
    spike: float
    spike_readings: int
    jump: float
    jump_rate: float
    settled_after: float
    stuck_for: float
    stuck_readings: int
    clock_step: float
    clock_tolerance: float
    longest_step_back: float
    few_steps_back: int
    recent: float
    excess_lasts: float


@cache
def probe_rules() -> ProbeRules:
    """Return the limits."""
    given = factors("probe_log")
    return ProbeRules(**{field.name: given[field.name] for field in fields(ProbeRules)})
