"""All that is worked out for the magnetic coupling of one pump, and the demands it is held against."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.edge.practice import Practice, default_practice
from wetpath.edge.quantities import RATIO, TEMPERATURE, TEMPERATURE_DIFFERENCE
from wetpath.edge.tables import ROOM_TEMPERATURE, material_warnings
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.constants import STANDARD_ATMOSPHERE, ZERO_CELSIUS
from wetpath.physics.heat.shell_wall import wall_gradient_drop
from wetpath.physics.strength.thermal_stress import heated_wall_stress
from wetpath.questions.coupling_study.conditions import Conditions
from wetpath.questions.coupling_study.curves import (
    LossMap,
    OverTemperature,
    TorqueCurve,
    WorkingPoint,
    loss_map,
    over_temperature,
    torque_curve,
    working_point,
)
from wetpath.questions.coupling_study.model_limits import ModelLimit, limit_warnings, model_limits
from wetpath.questions.coupling_study.out_of_step import OutOfStep, out_of_step
from wetpath.questions.coupling_study.starts import Start, starts
from wetpath.rating.check import Check, check
from wetpath.rating.coupling_state import HOTTEST_STRAIGHT
from wetpath.rating.machine_arrays import remanences, response_for, rings_of, scale_for, shell_conductivity
from wetpath.rating.magnet_field import OPPOSING, field_shares, hot_remanences
from wetpath.rating.measured_scale import MeasuredScale
from wetpath.rating.shell_strength import ShellStrength, shell_strength
from wetpath.rating.start_state import Inertias
from wetpath.words import joined, told

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Magnets:
    """Demagnetising field over intrinsic coercivity at the conditions, inner and outer ring."""

    running: tuple[float, float]
    opposing: tuple[float, float]


@dataclass(frozen=True, eq=False)
class ShellRating:
    """The shell as a pressure part at the conditions."""

    strength: ShellStrength
    gradient: float            # drop through the wall where it is heated most [K]
    thermal_stress: float      # by it [Pa]


@dataclass(frozen=True, eq=False)
class CouplingStudy:
    """The coupling of one pump at one load and temperature, SI."""

    pump: PumpFile
    conditions: Conditions
    practice: Practice
    torque: TorqueCurve
    point: WorkingPoint
    temperature: OverTemperature
    loss: LossMap
    slip: OutOfStep
    starts: tuple[Start, ...]
    inertias: Inertias
    magnets: Magnets
    shell: ShellRating
    scale: MeasuredScale
    limits: tuple[ModelLimit, ...]
    checks: tuple[Check, ...]
    warnings: tuple[str, ...]

    @property
    def holds(self) -> bool:
        """Whether every demand is met."""
        return all(bool(one.holds.all()) for one in self.checks)

    @property
    def own_start(self) -> Start:
        """The start with the starter of the pump file."""
        return next(start for start in self.starts if start.own)


def study_coupling(pump: PumpFile, conditions: Conditions, practice: Practice | None = None, *,
                   slip_loss_factor: float = 1.0) -> CouplingStudy:
    """Work out the coupling of a pump.

    Parameters
    ----------
    pump : PumpFile
    conditions : Conditions
        See `wetpath.questions.coupling_study.conditions`.
    practice : Practice, optional
        The limits in force; the defaults without it.
    slip_loss_factor : float
        On the shell's loss out of step.
    """
    limits = practice or default_practice()
    point = working_point(pump, conditions)
    found, inertias = starts(pump, conditions, limits["coupling_margin_running"].value)
    magnets = _magnets(pump, conditions, point)
    own = next(start for start in found if start.own)
    shell = _shell(pump, conditions, point, limits)
    validity = model_limits(pump, conditions)
    return CouplingStudy(
        pump=pump, conditions=conditions, practice=limits, torque=torque_curve(pump, conditions), point=point,
        temperature=over_temperature(pump, conditions), loss=loss_map(pump, conditions, point),
        slip=out_of_step(pump, conditions, point, inertias, slip_loss_factor), starts=found, inertias=inertias,
        magnets=magnets, shell=shell, scale=scale_for(pump), limits=validity,
        checks=_checks(pump, conditions, limits, point, magnets, own),
        warnings=_warnings(pump, conditions, inertias, point, shell, validity))


def _magnets(pump: PumpFile, conditions: Conditions, point: WorkingPoint) -> Magnets:
    running = field_shares(pump, point.pull_out_angle if np.isnan(point.angle) else point.angle, conditions.magnets)
    opposing = field_shares(pump, OPPOSING, conditions.magnets)
    return Magnets((float(running[0]), float(running[1])), (float(opposing[0]), float(opposing[1])))


def _shell(pump: PumpFile, conditions: Conditions, point: WorkingPoint, limits: Practice) -> ShellRating:
    part, material = pump.containment_shell, pump.shell_material
    response = response_for(pump)
    hot = hot_remanences(pump, conditions.magnets)
    heat = response.cell_loss(point.pull_out_angle if np.isnan(point.angle) else point.angle, conditions.speed,
                              rings_of(pump).conductivity_at(conditions.liquid), float(hot[0]), float(hot[1]))
    flux = float((heat / (np.pi * part.bore * np.diff(response.cell_edges))).max())
    gradient = float(wall_gradient_drop(flux, part.wall, material.thermal_conductivity))
    return ShellRating(
        shell_strength(pump, np.array([conditions.liquid]), STANDARD_ATMOSPHERE,
                       limits["hydrostatic_test_ratio"].value),
        gradient, float(heated_wall_stress(gradient, material.elastic_modulus, material.thermal_expansion)))


def _checks(pump: PumpFile, conditions: Conditions, limits: Practice, point: WorkingPoint, magnets: Magnets, own: Start
            ) -> tuple[Check, ...]:
    found = [check("coupling_margin_running", "pull-out torque over running torque", RATIO,
                   point.pull_out / conditions.torque, limits["coupling_margin_running"], where="magnet rings"),
             check("coupling_margin_starting", "pull-out torque over the peak while starting", RATIO, own.course.margin,
                   limits["coupling_margin_starting"], where=told("magnet rings, {starter}",
                                                                  starter=own.course.starter))]
    for name, title, pair in (
            ("demagnetisation_running", "field against the magnets over their coercivity", magnets.running),
            ("demagnetisation_slip", "the same when they slip", magnets.opposing)):
        found.append(check(name, title, RATIO, max(pair), limits[name],
                           where=("inner ring", "outer ring")[int(np.argmax(pair))]))
    margin = limits["magnet_temperature_margin"]
    for which, magnet, temperature in (("inner", pump.inner_magnet, conditions.inner_magnets),
                                       ("outer", pump.outer_magnet, conditions.outer_magnets)):
        highest, origin = magnet.highest_temperature - margin.value, magnet.origins["highest_temperature"]
        found.append(check(
            f"{which}_magnets", f"temperature of the {which} magnets", TEMPERATURE, temperature, highest,
            sense="at most", scale=highest - ROOM_TEMPERATURE, difference_kind=TEMPERATURE_DIFFERENCE,
            where=told("{which} ring", which=which), source=origin.source, status=origin.status,
            meaning=told("limit of {magnet} less the margin of the practice", magnet=magnet.name),
            remedy=margin.remedy))
    return tuple(found)


def _warnings(pump: PumpFile, conditions: Conditions, inertias: Inertias, point: WorkingPoint, shell: ShellRating,
              validity: tuple[ModelLimit, ...]) -> tuple[str, ...]:
    response = response_for(pump)
    found = [*response.warnings,
             *response.operating_warnings(conditions.speed, shell_conductivity(pump), *remanences(pump)),
             *limit_warnings(validity), *scale_for(pump).findings(pump.shell_material.conduction == "partly"),
             *material_warnings(pump.shell_material, conditions.liquid)]
    if min(float(shell.strength.cylinder[0]), float(shell.strength.end[0])) < float(shell.strength.bears[0]):
        found.append("the maker's rating of the shell is above what the formulas give for its wall or end: ask for its "
                     "calculation or its test")
    if np.isnan(point.angle):
        found.append("the torque is above pull-out: the rings are out of step; fields and stresses are those at "
                     "pull-out")
    if inertias.estimated:
        found.append(told("moments of inertia are estimated from the drawing, to a factor of two: {names}",
                          names=joined(", ", inertias.estimated)))
    if max(conditions.magnets) > HOTTEST_STRAIGHT:
        found.append(told("magnets warmer than {warmest:.0f} degC: remanence and coercivity are taken as "
                          "straight lines over temperature; above it ask for the certificate's curve",
                          warmest=HOTTEST_STRAIGHT - ZERO_CELSIUS))
    if pump.shell_material.conduction == "partly" and not scale_for(pump).measured_loss:
        found.append("the wall conducts along its fibres: its eddy loss is an upper bound, all fibres taken around the "
                     "shell")
    return tuple(dict.fromkeys(found))
