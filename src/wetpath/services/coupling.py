"""The magnetic coupling as a use case: pump file and conditions in, study and record out."""

from __future__ import annotations

import math
import os

import numpy as np
from numpy.typing import NDArray

from wetpath import __version__
from wetpath.edge import quantities as q
from wetpath.edge.files import load_document
from wetpath.edge.quantities import Kind
from wetpath.edge.ranges import Within
from wetpath.edge.units import parse
from wetpath.errors import InputError
from wetpath.machine.pump_file import PumpFile
from wetpath.questions.coupling_study.conditions import LIQUID, conditions_of
from wetpath.questions.coupling_study.model_limits import ModelLimit
from wetpath.questions.coupling_study.starts import Start
from wetpath.questions.coupling_study.study import CouplingStudy, study_coupling
from wetpath.rating.check import Check
from wetpath.rating.coupling_state import OUT_OF_STEP
from wetpath.services import coupling_record as r
from wetpath.services.standing import standing_of

Array = NDArray[np.float64]
FilePath = str | os.PathLike[str]

CAUTIONS = (
    "An aid for a competent engineer, who answers for the selection; local codes, the maker's instructions and "
    "licensed practice come first.",
    "Magnet rings attract strongly, also at rest: they crush hands, and they disturb pacemakers. Use the guides and "
    "jacking screws of the maker.",
    f"{OUT_OF_STEP[:1].upper()}{OUT_OF_STEP[1:]}. Shell and inner ring get hot; with flammable or toxic liquid that is "
    "a hazard of its own.")


def study_pump_file(pump_file: FilePath, *, liquid_temperature: str | None = None, torque: str | None = None,
                    speed: str | None = None, slip_loss_factor: str | None = None) -> CouplingStudy:
    """Read a pump file and study its coupling; conditions are texts with units."""
    pump = load_document(pump_file, PumpFile)
    return study_coupling(pump, conditions_of(
        pump, liquid=_read(liquid_temperature, q.TEMPERATURE, "liquid-temperature",
                           Within(lower="-200 degC", upper="450 degC")) or LIQUID,
        torque=_read(torque, q.TORQUE, "torque", Within(above="0 N m")),
        speed=_read(speed, q.ROTATIONAL_SPEED, "speed", Within(above="1 rpm", upper="20000 rpm"))),
        slip_loss_factor=_read(slip_loss_factor, q.RATIO, "slip-loss-factor", Within(lower=0.5, upper=10.0)) or 1.0)


def record_of_coupling(study: CouplingStudy) -> r.CouplingStudyRecord:
    """Return the record of a study."""
    conditions, curve, heat, loss = study.conditions, study.torque, study.temperature, study.loss
    return r.CouplingStudyRecord(
        program_version=__version__, pump=study.pump.name, holds=study.holds,
        conditions=r.ConditionsRecord(
            torque_n_m=conditions.torque, speed_rad_per_s=conditions.speed, liquid_k=conditions.liquid,
            inner_magnets_k=conditions.inner_magnets, outer_magnets_k=conditions.outer_magnets),
        working_point=_point(study),
        torque=r.TorqueCurveRecord(angle_deg=_degrees(curve.angle), torque_cold_n_m=_row(curve.cold),
                                   torque_n_m=_row(curve.hot), axial_force_n=_row(curve.axial_force)),
        over_temperature=r.OverTemperatureRecord(
            temperature_k=_row(heat.temperature), remanence_inner_t=_row(heat.remanence[0]),
            remanence_outer_t=_row(heat.remanence[1]), pull_out_torque_n_m=_row(heat.pull_out),
            field_running_inner=_gaps(heat.field_running[0]), field_running_outer=_gaps(heat.field_running[1]),
            field_opposing_inner=_gaps(heat.field_opposing[0]), field_opposing_outer=_gaps(heat.field_opposing[1])),
        loss=r.LossRecord(speed_rad_per_s=_row(loss.speed), no_load_w=_row(loss.no_load),
                          at_load_angle_w=_gaps(loss.working), angle_deg=_degrees(loss.angle),
                          over_angle_w=_row(loss.over_angle), end_share=loss.end_share),
        slip=_slip(study),
        drive_inertia_kg_m2=study.inertias.drive, pump_inertia_kg_m2=study.inertias.pump,
        estimated_inertias=study.inertias.estimated, starts=tuple(_start(one) for one in study.starts),
        shell=_shell(study), measured=_measured(study), demands=tuple(_demand(one) for one in study.checks),
        model_limits=tuple(_model_limit(one) for one in study.limits),
        warnings=study.warnings, cautions=CAUTIONS)


def _point(study: CouplingStudy) -> r.WorkingPointRecord:
    point, pairs = study.point, study.pump.inner_ring.poles // 2
    angle = math.degrees(point.angle)
    return r.WorkingPointRecord(
        load_angle_electrical_deg=_known(angle), load_angle_mechanical_deg=_known(angle / pairs),
        pull_out_angle_electrical_deg=math.degrees(point.pull_out_angle), pull_out_torque_n_m=point.pull_out,
        pull_out_torque_cold_n_m=point.pull_out_cold, pull_out_over_torque=point.pull_out / study.conditions.torque,
        shell_loss_w=_known(point.shell_loss), drag_inner_n_m=_known(point.drag[0]),
        drag_outer_n_m=_known(point.drag[1]), axial_force_n=_known(point.axial_force))


def _slip(study: CouplingStudy) -> r.SlipRecord:
    slip, table = study.slip, study.slip.table
    return r.SlipRecord(
        shell_loss_w=slip.shell_loss, loss_over_loss_in_step=_known(slip.loss_share), loss_factor=slip.loss_factor,
        shell_loss_with_factor_w=slip.shell_loss * slip.loss_factor, sheath_loss_w=slip.sheath_loss,
        inner_magnet_loss_w=slip.magnet_loss[0], outer_magnet_loss_w=slip.magnet_loss[1],
        inner_magnet_loss_touching_w=slip.magnet_loss_touching[0],
        outer_magnet_loss_touching_w=slip.magnet_loss_touching[1], driving_torque_n_m=slip.driving_torque,
        swinging_torque_n_m=slip.swinging_torque, swinging_frequency_hz=slip.swinging_frequency,
        drifting_speed_rad_per_s=slip.drifting_speed, catching_slip_rad_per_s=slip.catching_slip,
        catches_again=slip.catches_again, wall_limit_k=_known(slip.wall_limit),
        table=r.SlipTableRecord(
            inner_speed_rad_per_s=_row(table.inner_speed), outer_speed_rad_per_s=_row(table.outer_speed),
            shell_loss_w=_gaps(table.shell_loss), loss_over_loss_in_step=_gaps(table.loss_share),
            sheath_loss_w=_row(table.sheath_loss), inner_magnet_loss_w=_row(table.inner_magnet_loss),
            outer_magnet_loss_w=_row(table.outer_magnet_loss), driving_torque_n_m=_gaps(table.driving_torque),
            inner_torque_n_m=_gaps(table.inner_torque), swinging_torque_n_m=_row(table.swinging_torque),
            swinging_frequency_hz=_row(table.swinging_frequency), wall_heating_k_per_s=_gaps(table.wall_rate),
            wall_time_to_limit_s=_gaps(table.wall_time), inner_ring_heating_k_per_s=_row(table.ring_rate),
            inner_magnets_time_to_limit_s=_gaps(table.ring_time)))


def _model_limit(one: ModelLimit) -> r.ModelLimitRecord:
    return r.ModelLimitRecord(name=one.name, title=one.title, unit=one.kind.si.name, actual=_known(one.actual),
                              lower=one.lower, upper=one.upper, holds=one.holds, reason=one.reason)


def _start(start: Start) -> r.StartRecord:
    course = start.course
    return r.StartRecord(
        starter=course.starter, of_the_pump_file=start.own, ramp_s=course.ramp, in_step=course.in_step,
        reaches_speed=course.reaches_speed, peak_torque_n_m=course.peak_torque,
        peak_angle_electrical_deg=math.degrees(course.peak_angle), pull_out_over_peak=course.margin,
        run_up_time_s=_known(course.run_up_time), simple_torque_n_m=start.simple_torque,
        shortest_ramp_s=_known(start.shortest_ramp))


def _shell(study: CouplingStudy) -> r.ShellRecord:
    strength = study.shell.strength
    return r.ShellRecord(
        temperature_k=study.conditions.liquid, sound_wall_m=strength.sound_wall,
        allowable_stress_pa=_known(strength.allowable_stress[0]), cylinder_pa=_known(strength.cylinder[0]),
        cylinder_en_pa=_known(strength.cylinder_en[0]), end_pa=_known(strength.end[0]),
        bears_inside_pa=_known(strength.bears[0]), bears_outside_pa=_known(strength.bears_outside),
        test_pressure_pa=_known(strength.test_pressure), test_stress_over_yield=_known(strength.test_stress_share),
        wall_temperature_drop_k=_known(study.shell.gradient), thermal_stress_pa=_known(study.shell.thermal_stress))


def _measured(study: CouplingStudy) -> r.MeasuredRecord | None:
    if study.pump.measured is None:
        return None
    scale = study.scale
    return r.MeasuredRecord(
        torque_factor=scale.torque, loss_factor=scale.loss, measured_torque_n_m=scale.measured_torque,
        model_torque_n_m=scale.model_torque, measured_loss_w=scale.measured_loss, model_loss_w=scale.model_loss)


def _demand(one: Check) -> r.DemandRecord:
    return r.DemandRecord(
        name=one.name, title=one.title, unit=one.kind.si.name, sense=one.sense, actual=_known(one.actual[0]),
        limit=float(one.limit[0]), holds=bool(one.holds[0]), standing=standing_of(one, 0), where=one.where[0],
        source=one.source, status=one.status)


def _read(text: str | None, kind: Kind, option: str, within: Within) -> float | None:
    if text is None:
        return None
    try:
        return parse(text, kind, within=within)
    except InputError as error:
        told = error.problem
        raise InputError(told.text, field=f"--{option}", value=told.value, why=told.why, do=told.do) from None


def _row(values: Array) -> tuple[float, ...]:
    return tuple(float(value) for value in values)


def _gaps(values: Array) -> tuple[float | None, ...]:
    return tuple(_known(value) for value in values)


def _degrees(values: Array) -> tuple[float, ...]:
    return _row(np.degrees(values))


def _known(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None
