"""The record of a study of a magnetic coupling: typed, versioned, in SI units; what is not known is null."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from wetpath.services.record import Entry
from wetpath.services.standing import Standing

FORMAT: Literal["coupling/1"] = "coupling/1"


class ConditionsRecord(Entry):
    """Load, speed and temperatures."""

    torque_n_m: float
    speed_rad_per_s: float
    liquid_k: float = Field(description="the shell wall and the inner magnets are taken as warm")
    inner_magnets_k: float
    outer_magnets_k: float


class TorqueCurveRecord(Entry):
    """Torque and axial force over the electrical load angle."""

    angle_deg: tuple[float, ...]
    torque_cold_n_m: tuple[float, ...] = Field(description="magnets at 20 degC")
    torque_n_m: tuple[float, ...]
    axial_force_n: tuple[float, ...] = Field(description="on the inner ring, towards the rear")


class WorkingPointRecord(Entry):
    """The coupling at its torque; null where it does not carry it."""

    load_angle_electrical_deg: float | None
    load_angle_mechanical_deg: float | None
    pull_out_angle_electrical_deg: float
    pull_out_torque_n_m: float
    pull_out_torque_cold_n_m: float
    pull_out_over_torque: float
    shell_loss_w: float | None
    drag_inner_n_m: float | None
    drag_outer_n_m: float | None
    axial_force_n: float | None


class OverTemperatureRecord(Entry):
    """Both rings at one temperature; fields against the magnets over their intrinsic coercivity."""

    temperature_k: tuple[float, ...]
    remanence_inner_t: tuple[float, ...]
    remanence_outer_t: tuple[float, ...]
    pull_out_torque_n_m: tuple[float, ...]
    field_running_inner: tuple[float | None, ...]
    field_running_outer: tuple[float | None, ...]
    field_opposing_inner: tuple[float | None, ...]
    field_opposing_outer: tuple[float | None, ...]


class LossRecord(Entry):
    """Loss of the shell over speed and over the load angle."""

    speed_rad_per_s: tuple[float, ...]
    no_load_w: tuple[float, ...]
    at_load_angle_w: tuple[float | None, ...]
    angle_deg: tuple[float, ...]
    over_angle_w: tuple[float, ...] = Field(description="at the speed of the conditions")
    end_share: float = Field(description="of the loss without load, in the closed end, at most")


class SlipTableRecord(Entry):
    """Means over a slip cycle, one row for every speed of the inner ring; the first is in step at the load angle."""

    inner_speed_rad_per_s: tuple[float, ...]
    outer_speed_rad_per_s: tuple[float, ...]
    shell_loss_w: tuple[float | None, ...]
    loss_over_loss_in_step: tuple[float | None, ...]
    sheath_loss_w: tuple[float, ...]
    inner_magnet_loss_w: tuple[float, ...] = Field(description="pieces insulated from each other, at most")
    outer_magnet_loss_w: tuple[float, ...]
    driving_torque_n_m: tuple[float | None, ...] = Field(description="mean at the driver")
    inner_torque_n_m: tuple[float | None, ...] = Field(description="mean on the inner ring")
    swinging_torque_n_m: tuple[float, ...] = Field(description="to either side, between the rings")
    swinging_frequency_hz: tuple[float, ...]
    wall_heating_k_per_s: tuple[float | None, ...] = Field(
        description="hottest piece of wall, dry, at the beginning, with the factor on the loss")
    wall_time_to_limit_s: tuple[float | None, ...] = Field(description="dry; null: never, or no limit known")
    inner_ring_heating_k_per_s: tuple[float, ...] = Field(description="inner magnets and sheath, no heat given off")
    inner_magnets_time_to_limit_s: tuple[float | None, ...] = Field(description="null: never")


class SlipRecord(Entry):
    """Out of step, the inner ring at rest; the table goes there from rings in step."""

    shell_loss_w: float
    loss_over_loss_in_step: float | None
    loss_factor: float = Field(description="given by the user; on the heating of the wall out of step")
    shell_loss_with_factor_w: float
    sheath_loss_w: float
    inner_magnet_loss_w: float = Field(description="pieces insulated from each other, at most")
    outer_magnet_loss_w: float
    inner_magnet_loss_touching_w: float = Field(description="currents pass from piece to piece, at most")
    outer_magnet_loss_touching_w: float
    driving_torque_n_m: float
    swinging_torque_n_m: float
    swinging_frequency_hz: float
    drifting_speed_rad_per_s: float = Field(description="of a pump that the mean torque alone turns, at most")
    catching_slip_rad_per_s: float = Field(description="largest slip from which unloaded rings come back into step")
    catches_again: bool
    wall_limit_k: float | None
    table: SlipTableRecord


class StartRecord(Entry):
    """One kind of start, solved in time."""

    starter: str
    of_the_pump_file: bool
    ramp_s: float
    in_step: bool
    reaches_speed: bool
    peak_torque_n_m: float
    peak_angle_electrical_deg: float
    pull_out_over_peak: float = Field(description="0 when the rings lose step")
    run_up_time_s: float | None
    simple_torque_n_m: float = Field(description="both sides turning as one, the motor's largest torque, full load")
    shortest_ramp_s: float | None = Field(description="that keeps the margin of the practice; 0: any; null: none")


class ShellRecord(Entry):
    """The shell as a pressure part; pressures above the outside."""

    temperature_k: float
    sound_wall_m: float
    allowable_stress_pa: float | None
    cylinder_pa: float | None
    cylinder_en_pa: float | None
    end_pa: float | None
    bears_inside_pa: float | None
    bears_outside_pa: float | None
    test_pressure_pa: float | None
    test_stress_over_yield: float | None
    wall_temperature_drop_k: float | None
    thermal_stress_pa: float | None


class MeasuredRecord(Entry):
    """What was measured, and the factor on the model."""

    torque_factor: float
    loss_factor: float
    measured_torque_n_m: tuple[float, ...]
    model_torque_n_m: tuple[float, ...]
    measured_loss_w: tuple[float, ...]
    model_loss_w: tuple[float, ...]


class DemandRecord(Entry):
    """One demand, in the SI unit of its quantity."""

    name: str
    title: str
    unit: str
    sense: Literal["at least", "at most"]
    actual: float | None
    limit: float
    holds: bool
    standing: Standing
    where: str
    source: str
    status: str


class ModelLimitRecord(Entry):
    """One limit of validity of the model, in the SI unit of its quantity."""

    name: str
    title: str
    unit: str
    actual: float | None
    lower: float | None
    upper: float
    holds: bool = Field(description="false: doubtful, and a warning says so")
    reason: str


class CouplingStudyRecord(Entry):
    """The magnetic coupling of one pump."""

    wetpath: Literal["coupling/1"] = FORMAT
    program_version: str
    pump: str
    holds: bool
    conditions: ConditionsRecord
    working_point: WorkingPointRecord
    torque: TorqueCurveRecord
    over_temperature: OverTemperatureRecord
    loss: LossRecord
    slip: SlipRecord
    drive_inertia_kg_m2: float
    pump_inertia_kg_m2: float
    estimated_inertias: tuple[str, ...]
    starts: tuple[StartRecord, ...]
    shell: ShellRecord
    measured: MeasuredRecord | None
    demands: tuple[DemandRecord, ...]
    model_limits: tuple[ModelLimitRecord, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
