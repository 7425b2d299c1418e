"""Fresh-concrete pressure on every lift by the chosen method, with its scope and its bounds."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from sheetengine.clauses import (
    aci347r_factors,
    aci347r_inch_pound,
    aci347r_si,
    ciria108,
    din18218,
    fluid_pressure,
    gb50666,
    jgj162,
)
from sheetengine.clauses.record import outside, record_of
from sheetengine.columns import Column, Flags, Texts, taken, taken_texts, texts
from sheetengine.design import customary
from sheetengine.design.faces import lateral_allowance, normal_maximum
from sheetengine.design.filling import BY_LAYER, layer_head
from sheetengine.design.layout import Layout
from sheetengine.job import Job
from sheetengine.sources import Source

STANDARD_GRAVITY = 9.80665
COLUMN_SIDE = 2.0
"""A face and a lift no longer than this, in m, make a column to the methods that tell columns from walls."""
REFERENCE_SET = 5.0
"""Final set, in h, to which the lines of DIN 18218 refer; taken for an unretarded mix that states none."""


@dataclass(frozen=True, slots=True)
class Face:
    """What the methods ask of a face, one entry a lift, in base units."""

    rise: Column
    temperature: Column
    height: Column
    panel_height: Column
    weight_density: Column
    is_column: Column
    cement_group: Texts
    retarder: Column
    consistency: Texts
    slump: Column
    final_set: Column
    vibration_depth: Column
    permissible: Column


@dataclass(frozen=True, slots=True)
class Limit:
    """Lifts at which one input lies outside the method: where it stands, the bound, and the unit of the bound."""

    sheet: str
    key: str
    rows: Flags
    text: str


@dataclass(frozen=True, slots=True)
class Pressures:
    """Fresh-concrete pressure of every lift.

    Attributes
    ----------
    maximum
        Design maximum; the full head where the method does not apply. [kPa]
    governed_by
        Which bound or equation gives it.
    full_head_depth
        Depth to which the concrete acts as a fluid. [m]
    resultant, resultant_height
        Force on a metre of face and its height above the joint. [kN/m], [m]
    greatest_rise
        Rate of rise up to which the permissible pressure is kept; ``inf``: any, 0: none. [m/h]
    outside
        Lifts outside the method's scope.
    limits
        What put them outside.
    by_layer
        Lifts placed in layers so deep that one placed at once presses more than the method says.
    """

    method: str
    source: Source
    maximum: Column
    governed_by: Texts
    full_head_depth: Column
    resultant: Column
    resultant_height: Column
    greatest_rise: Column
    outside: Flags
    panel_ratio: Column
    limits: list[Limit] = field(default_factory=list)
    by_layer: Flags = field(default_factory=lambda: np.zeros(0, dtype=bool))


@dataclass(frozen=True, slots=True)
class MethodResult:
    """What one method gives before the profile is drawn."""

    maximum: Column
    bound: Column
    greatest_rise: Column
    limits: list[Limit]
    source: Source
    names: Texts | None = None


def face_of(job: Job, layout: Layout) -> Face:
    """Return what the methods ask of every lift's face."""
    lifts, mixes, units = job.table("Lifts"), job.table("Mixes"), job.table("Form units")
    small = (lifts.number("face_length") <= COLUMN_SIDE) & (lifts.number("thickness") <= COLUMN_SIDE)
    mix = layout.mix
    return Face(
        rise=layout.rise,
        temperature=lifts.number("concrete_temperature"),
        height=lifts.number("height"),
        panel_height=taken(units.number("panel_height"), layout.unit),
        weight_density=taken(mixes.number("unit_weight"), mix),
        is_column=small.astype(np.float64),
        cement_group=taken_texts(mixes.label("cement_group"), mix),
        retarder=taken(mixes.number("retarder"), mix),
        consistency=taken_texts(mixes.label("consistency_class"), mix),
        slump=taken(mixes.number("slump"), mix),
        final_set=taken(mixes.number("final_set"), mix),
        vibration_depth=taken(mixes.number("vibration_depth"), mix),
        permissible=lateral_allowance(job, layout, taken(units.number("permissible_pressure"), layout.unit)),
    )


def _limits(
    formula: Callable[..., Column],
    where: Mapping[str, tuple[str, str, Callable[[float], str]]],
    **columns: Column,
) -> list[Limit]:
    """Return the inputs outside the formula's recorded range, by the cell they come from."""
    takes = record_of(formula).takes
    found = []
    for name, rows in outside(formula, **{name: columns[name] for name in where}).items():
        if rows.any():
            sheet, key, wording = where[name]
            found.append(Limit(sheet, key, rows, wording(takes[name].at_most)))
    return found


def _aci_si(face: Face) -> MethodResult:
    mass_density = face.weight_density / STANDARD_GRAVITY * 1000.0
    common = {
        "concrete_temperature": face.temperature,
        "placement_height": face.height,
        "weight_density": face.weight_density,
        "weight_factor": aci347r_si.weight_factor(mass_density=mass_density),
        "chemistry_factor": aci347r_factors.chemistry_factor(
            cement_group=face.cement_group, retarder=face.retarder
        ),
        "is_column": face.is_column,
        "slump": face.slump,
        "vibration_depth": face.vibration_depth,
    }
    chosen = aci347r_si.equation(
        rate_of_rise=face.rise, placement_height=face.height, is_column=face.is_column, slump=face.slump,
        vibration_depth=face.vibration_depth,
    )  # fmt: skip
    where = {
        "rate_of_rise": ("Lifts", "rise_rate", lambda top: f"at most {top:g} m/h"),
        "slump": ("Mixes", "slump", lambda top: f"at most {top:g} mm"),
        "vibration_depth": ("Mixes", "vibration_depth", lambda top: f"at most {top:g} m"),
    }
    return MethodResult(
        aci347r_si.design_pressure(rate_of_rise=face.rise, **common),
        aci347r_si.governing_bound(rate_of_rise=face.rise, **common),
        aci347r_si.greatest_rate_of_rise(permissible_pressure=face.permissible, **common),
        _limits(aci347r_si.design_pressure, where, rate_of_rise=face.rise, **common),
        aci347r_si.SOURCE,
        texts(aci347r_factors.EQUATION_NAMES.get(value, "") for value in chosen.tolist()),
    )


def _whole(values: Column) -> Column:
    """Take off what a conversion there and back leaves behind, so that 7 in is 7 in at a limit of 7 in."""
    return np.asarray(np.round(values, 10))


def _aci_inch_pound(face: Face) -> MethodResult:
    density = _whole(customary.to_lb_ft3(face.weight_density))
    height, slump = _whole(face.height / customary.FOOT), _whole(face.slump / customary.INCH_MM)
    vibration, rise = _whole(face.vibration_depth / customary.FOOT), _whole(face.rise / customary.FOOT)
    common = {
        "concrete_temperature_degf": customary.to_degf(face.temperature),
        "placement_height_ft": height,
        "density_lb_ft3": density,
        "weight_factor": aci347r_inch_pound.weight_factor(density_lb_ft3=density),
        "chemistry_factor": aci347r_factors.chemistry_factor(
            cement_group=face.cement_group, retarder=face.retarder
        ),
        "is_column": face.is_column,
        "slump_in": slump,
        "vibration_depth_ft": vibration,
    }
    chosen = aci347r_inch_pound.equation(
        rate_of_rise_ft_h=rise, placement_height_ft=height, is_column=face.is_column, slump_in=slump,
        vibration_depth_ft=vibration,
    )  # fmt: skip
    where = {
        "rate_of_rise_ft_h": ("Lifts", "rise_rate", lambda top: f"at most {top:g} ft/h"),
        "slump_in": ("Mixes", "slump", lambda top: f"at most {top:g} in"),
        "vibration_depth_ft": ("Mixes", "vibration_depth", lambda top: f"at most {top:g} ft"),
    }
    permissible = face.permissible / customary.PSF_KPA
    return MethodResult(
        aci347r_inch_pound.design_pressure(rate_of_rise_ft_h=rise, **common) * customary.PSF_KPA,
        aci347r_inch_pound.governing_bound(rate_of_rise_ft_h=rise, **common),
        aci347r_inch_pound.greatest_rate_of_rise(permissible_pressure_psf=permissible, **common)
        * customary.FOOT,
        _limits(aci347r_inch_pound.design_pressure, where, rate_of_rise_ft_h=rise, **common),
        aci347r_inch_pound.SOURCE,
        texts(aci347r_factors.EQUATION_NAMES.get(value, "") for value in chosen.tolist()),
    )


def _din(face: Face) -> MethodResult:
    final_set = np.where(np.isnan(face.final_set) & (face.retarder == 0.0), REFERENCE_SET, face.final_set)
    common = {
        "consistency_class": face.consistency,
        "final_set": final_set,
        "weight_density": face.weight_density,
        "placement_height": face.height,
        "temperature_factor": din18218.temperature_factor(concrete_temperature=face.temperature),
    }
    where = {"rate_of_rise": ("Lifts", "rise_rate", lambda top: f"at most {top:g} m/h")}
    limits = _limits(din18218.design_pressure, where, rate_of_rise=face.rise)
    if (unknown := face.consistency == "").any():
        limits.append(Limit("Mixes", "consistency_class", unknown, "a consistency class"))
    if (unset := np.isnan(final_set)).any():
        limits.append(Limit("Mixes", "final_set", unset, "a final set, since the mix is retarded"))
    return MethodResult(
        din18218.design_pressure(rate_of_rise=face.rise, **common),
        din18218.governing_bound(rate_of_rise=face.rise, **common),
        din18218.greatest_rate_of_rise(permissible_pressure=face.permissible, **common),
        limits,
        din18218.PLACE,
    )


def _ciria(face: Face) -> MethodResult:
    common = {
        "weight_density": face.weight_density,
        "form_height": face.panel_height,
        "placement_height": face.height,
        "concrete_temperature": face.temperature,
        "shape_coefficient": ciria108.shape_coefficient(is_column=face.is_column),
        "mix_coefficient": ciria108.mix_coefficient(cement_group=face.cement_group, retarder=face.retarder),
    }
    return MethodResult(
        ciria108.design_pressure(rate_of_rise=face.rise, **common),
        ciria108.governing_bound(rate_of_rise=face.rise, **common),
        ciria108.greatest_rate_of_rise(permissible_pressure=face.permissible, **common),
        [],
        ciria108.EXPRESSION,
    )


def _set_time(untested: Column, final_set: Column) -> Column:
    """Return the setting time of the GB and JGJ expressions: the final set, which is no shorter, where it is given."""
    return np.where(np.isnan(final_set), untested, np.maximum(untested, final_set))


def _gb(face: Face) -> MethodResult:
    common = {
        "weight_density": face.weight_density,
        "placement_height": face.height,
        "initial_set": _set_time(gb50666.initial_set(concrete_temperature=face.temperature), face.final_set),
        "slump_factor": gb50666.slump_factor(slump=face.slump),
        "slump": face.slump,
    }
    where = {
        "rate_of_rise": ("Lifts", "rise_rate", lambda top: f"at most {top:g} m/h"),
        "slump": ("Mixes", "slump", lambda top: f"at most {top:g} mm"),
    }
    return MethodResult(
        gb50666.design_pressure(rate_of_rise=face.rise, **common),
        gb50666.governing_bound(rate_of_rise=face.rise, **common),
        gb50666.greatest_rate_of_rise(permissible_pressure=face.permissible, **common),
        _limits(gb50666.design_pressure, where, rate_of_rise=face.rise, slump=face.slump),
        gb50666.PLACE,
    )


def _jgj(face: Face) -> MethodResult:
    common = {
        "weight_density": face.weight_density,
        "placement_height": face.height,
        "initial_set": _set_time(jgj162.initial_set(concrete_temperature=face.temperature), face.final_set),
        "admixture_factor": jgj162.admixture_factor(retarder=face.retarder),
        "slump_factor": jgj162.slump_factor(slump=face.slump),
        "slump": face.slump,
    }
    where = {"slump": ("Mixes", "slump", lambda top: f"at most {top:g} mm")}
    return MethodResult(
        jgj162.design_pressure(rate_of_rise=face.rise, **common),
        jgj162.governing_bound(rate_of_rise=face.rise, **common),
        jgj162.greatest_rate_of_rise(permissible_pressure=face.permissible, **common),
        _limits(jgj162.design_pressure, where, slump=face.slump),
        jgj162.PLACE,
    )


def _full_head(face: Face) -> MethodResult:
    head = fluid_pressure.full_head(weight_density=face.weight_density, depth_below_surface=face.height)
    carried = np.where(head <= face.permissible, np.inf, 0.0)
    return MethodResult(
        head,
        np.full(head.shape, fluid_pressure.FULL_HEAD),
        np.where(np.isnan(face.permissible), np.nan, carried),
        [],
        record_of(fluid_pressure.full_head).source,
    )


METHODS: Mapping[str, Callable[[Face], MethodResult]] = {
    "ACI 347R-14 SI": _aci_si,
    "ACI 347R-14 inch-pound": _aci_inch_pound,
    "DIN 18218:2010": _din,
    "CIRIA R108": _ciria,
    "GB 50666-2011": _gb,
    "JGJ 162-2008": _jgj,
    "Full head": _full_head,
}


def pressures(job: Job, layout: Layout, *, permissible: Column | None = None) -> Pressures:
    """Return the fresh-concrete pressure of every lift by the job's method.

    Where the set is not confirmed by test, and where the method does not apply, the full head is taken.

    Parameters
    ----------
    job, layout
        The job and its lifts.
    permissible
        Lateral pressure that the greatest rate of rise is to keep; that of the panels if none is given. [kPa]
    """
    method = job.text("Pressure method")
    face = face_of(job, layout)
    if permissible is not None:
        face = replace(face, permissible=permissible)
    result = METHODS[method](face)
    fluid = _full_head(face)
    confirmed = taken(job.table("Mixes").number("set_confirmed"), layout.mix)
    unset = confirmed == 0.0
    beyond = result.bound == fluid_pressure.OUTSIDE_SCOPE
    for limit in result.limits:
        beyond |= limit.rows
    beyond &= ~unset
    use_head = unset | beyond
    maximum = np.where(use_head, fluid.maximum, result.maximum)
    greatest = np.where(unset, fluid.greatest_rise, result.greatest_rise)
    layer = layer_head(job, layout)
    by_layer = layer > maximum
    maximum = np.where(by_layer, layer, maximum)
    greatest = np.where(layer > face.permissible, 0.0, greatest)
    equation = result.names if result.names is not None else texts([""] * maximum.size)
    governed = texts(
        "full head (set not confirmed)"
        if no_set
        else "full head (outside scope)"
        if off
        else (name or fluid_pressure.BOUND_NAMES.get(code, ""))
        if code == fluid_pressure.FORMULA
        else fluid_pressure.BOUND_NAMES.get(code, "")
        for no_set, off, name, code in zip(
            unset.tolist(), beyond.tolist(), equation.tolist(), result.bound.tolist(), strict=True
        )
    )
    governed = texts(np.where(by_layer, BY_LAYER, governed))
    density, height = face.weight_density, face.height
    profile = {"maximum_pressure": maximum, "weight_density": density, "placement_height": height}
    return Pressures(
        method=method,
        source=result.source,
        maximum=maximum,
        governed_by=governed,
        full_head_depth=fluid_pressure.full_head_depth(**profile),
        resultant=fluid_pressure.resultant(**profile),
        resultant_height=fluid_pressure.resultant_height(**profile),
        greatest_rise=greatest,
        outside=beyond,
        panel_ratio=normal_maximum(job, layout, maximum)
        / taken(job.table("Form units").number("permissible_pressure"), layout.unit),
        limits=result.limits,
        by_layer=by_layer,
    )
