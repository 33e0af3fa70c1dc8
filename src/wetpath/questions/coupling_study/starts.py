"""The start of a pump through its coupling with every kind of starter."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wetpath.machine.drive_end import Starter
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.electrical.motor import shaft_torque, starting_share
from wetpath.physics.electrical.motor_start import start_torque_curve
from wetpath.questions.coupling_study.conditions import Conditions
from wetpath.questions.coupling_study.start_course import Course, Drive, Rotors, shortest_ramp, start_course
from wetpath.rating.machine_arrays import TORQUE_ORDERS, response_for
from wetpath.rating.magnet_field import hot_remanences
from wetpath.rating.start_state import PEAK_TORQUE, RAMP_TIME, Inertias, inertias_of, peak_torque

STARTERS: tuple[Starter, ...] = ("direct on line", "star-delta", "soft start", "inverter")
#: Time in star before delta [s] where the pump file gives none. Common practice.
TIME_IN_STAR = 4.0
#: Slip at rated torque where the rated speed does not tell it. Common practice.
USUAL_SLIP = 0.02


@dataclass(frozen=True, eq=False)
class Start:
    """A start with one kind of starter."""

    course: Course
    own: bool                  # it is the starter of the pump file
    driver_torque: float       # largest of the motor with it [N m], by the simple estimate
    simple_torque: float       # through the coupling, both sides turning as one [N m]
    shortest_ramp: float       # that keeps the margin [s]; 0: any, NaN: none, or no ramp to choose


def starts(pump: PumpFile, conditions: Conditions, margin: float) -> tuple[tuple[Start, ...], Inertias]:
    """Every start, the load that of the conditions; ``margin`` is pull-out over peak torque for the shortest ramps."""
    driver, inertias = pump.driver, inertias_of(pump)
    response = response_for(pump)
    inner, outer = (float(value) for value in hot_remanences(pump, conditions.magnets))
    series = np.zeros(TORQUE_ORDERS)
    own_series = response.torque_series(inner, outer)[:TORQUE_ORDERS]
    series[:own_series.size] = own_series
    rotors = Rotors(pump.inner_ring.poles // 2, inertias.drive, inertias.pump, series,
                    response.pull_out(inner, outer)[1], conditions.torque, conditions.speed)
    drive = drive_of(pump)
    found = []
    for starter in STARTERS:
        own = starter == driver.start
        ramp = _ramp(starter, driver.ramp_time if own else None)
        largest = peak_torque(driver, starter)
        simple = float(starting_share(max(largest, conditions.torque), inertias.drive, inertias.pump,
                                      conditions.torque))
        if starter == "inverter":
            simple = min(simple, conditions.torque + inertias.pump * conditions.speed / ramp)
        shortest = (shortest_ramp(rotors, drive, starter, margin) if starter in ("soft start", "inverter")
                    else float("nan"))
        found.append(Start(start_course(rotors, drive, starter, ramp), own, largest, simple, shortest))
    return tuple(found), inertias


def drive_of(pump: PumpFile) -> Drive:
    """The motor at full voltage, and behind an inverter."""
    driver = pump.driver
    rated = float(shaft_torque(driver.rated_power, driver.speed))
    field_speed = _field_speed(driver.speed, driver.poles)
    full = peak_torque(driver, "direct on line") if driver.start in ("direct on line", "star-delta") \
        else PEAK_TORQUE["direct on line"] * rated
    speeds, torques = start_torque_curve(rated, full, driver.speed, field_speed)
    slip = 1 - driver.speed / field_speed
    return Drive(speeds, torques, field_speed, rated / slip, peak_torque(driver, "inverter"))


def _field_speed(rated: float, poles: int) -> float:
    """Speed of the field at 50 or 60 Hz that fits the rated speed of a motor, else a usual slip above it [rad/s]."""
    for frequency in (50.0, 60.0):
        field = 4 * np.pi * frequency / poles
        if 0.9 * field < rated < 0.999 * field:
            return float(field)
    return rated / (1 - USUAL_SLIP)


def _ramp(starter: Starter, given: float | None) -> float:
    if starter == "direct on line":
        return 0.0
    return given or (TIME_IN_STAR if starter == "star-delta" else RAMP_TIME)
