"""The strength curves read by their mean or by their upper bound, where design reads the lower one."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Protocol

from sheetengine.columns import Column, Flags
from sheetengine.design.layout import Index
from sheetengine.design.strength_curves import StrengthCurves


class Strengths(Protocol):
    """Strength of mixes at an equivalent age, and the age at a strength."""

    def strength_at(self, mix: Index, age: Column) -> Column:
        """Return the strength at equivalent ages in hours. [MPa]."""

    def age_at(self, mix: Index, strength: Column) -> Column:
        """Return the equivalent age at which strengths are reached. [h]."""

    def wants_tests(self, mix: Index, age: Column) -> Flags:
        """Return where strength must rest on tests."""


class By(Enum):
    """What is read of a curve."""

    MEAN = "mean"
    UPPER = "upper bound"


@dataclass(frozen=True, slots=True)
class CurvesReadBy:
    """Strength curves of which another value than that of design is read."""

    curves: StrengthCurves
    by: By

    def strength_at(self, mix: Index, age: Column) -> Column:
        """Return mean or upper strength at equivalent ages in hours; ``nan`` where there is none. [MPa]."""
        return (self.curves.mean_at if self.by is By.MEAN else self.curves.upper_at)(mix, age)

    def age_at(self, mix: Index, strength: Column) -> Column:
        """Return the equivalent age at which mean or upper bound reach strengths; ``nan`` where there is none. [h]."""
        return (self.curves.age_at_mean if self.by is By.MEAN else self.curves.age_at_upper)(mix, strength)

    def wants_tests(self, mix: Index, age: Column) -> Flags:
        """Return where strength must rest on tests."""
        return self.curves.wants_tests(mix, age)
