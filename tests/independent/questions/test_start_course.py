"""The compiled start against the same equations solved by a library, and against closed forms."""

import numpy as np
import pytest

from wetpath.coupling.driver_torque import direct_on_line, frequency_converter, soft_start, star_delta
from wetpath.coupling.starting import Train, run_up
from wetpath.physics.electrical.motor_start import start_torque_curve
from wetpath.physics.magnetics.torque import pull_out
from wetpath.questions.coupling_study.start_course import Drive, Rotors, shortest_ramp, start_course

RATED, FIELD, SPEED = 50.0, 314.16, 308.9
SPEEDS, TORQUES = start_torque_curve(RATED, 125.0, SPEED, FIELD)
DRIVE = Drive(SPEEDS, TORQUES, FIELD, RATED / (1 - SPEED / FIELD), 75.0)


def rotors(height=85.0, load=25.0, pump=0.031):
    series = np.array([height, 0.0, 0.03 * height])
    return Rotors(6, 0.085, pump, series, pull_out(np.arange(1.0, 4.0), series)[1], load, SPEED)


@pytest.mark.parametrize(("starter", "ramp", "theirs"), [
    ("direct on line", 0.0, direct_on_line(SPEEDS, TORQUES)), ("star-delta", 1.2, star_delta(SPEEDS, TORQUES, 1.2)),
    ("soft start", 1.5, soft_start(SPEEDS, TORQUES, 1.5)),
    ("inverter", 0.5, frequency_converter(FIELD, 0.5, DRIVE.torque_per_slip, 75.0))])
def test_course_is_that_of_an_adaptive_solver(against, starter, ramp, theirs):
    """scipy's solve_ivp with tight tolerances on equations of motion written apart from the compiled loop."""
    machine = rotors()
    ours = start_course(machine, DRIVE, starter, ramp)
    train = Train(6, machine.drive_inertia, machine.pump_inertia, np.arange(1.0, 4.0), machine.series, SPEED,
                  machine.load)
    other = run_up(train, theirs, float(ours.time[-1]))
    against("two-inertias", "computed", f"peak torque through the coupling, {starter}", ours.peak_torque,
            other.peak_torque, rel=1e-3, unit="N m")
    np.testing.assert_allclose(np.interp(ours.time, other.time, other.inner_speed), ours.inner_speed, atol=0.3)
    assert ours.in_step
    assert not other.slipped


def test_weak_coupling_loses_step_and_is_stopped_there():
    course = start_course(rotors(height=30.0), DRIVE, "direct on line")
    assert not course.in_step
    assert course.margin == 0
    assert course.peak_torque == pytest.approx(course.pull_out, rel=1e-3)
    assert np.isnan(course.run_up_time)


def test_a_stalled_pump_does_not_count_as_started():
    """No motor brings up a load above its largest torque."""
    course = start_course(rotors(load=160.0, height=400.0), DRIVE, "soft start", 1.0)
    assert course.in_step
    assert not course.reaches_speed


def test_slow_ramp_carries_the_load_and_the_acceleration():
    """Torque at the end of a slow ramp: load and inertia times the rate, both from Newton's law."""
    course = start_course(rotors(), DRIVE, "inverter", 5.0)
    expected = 25.0 * (course.inner_speed.max() / SPEED) ** 2 + 0.031 * FIELD / 5.0
    assert course.peak_torque == pytest.approx(expected, rel=0.02)
    assert course.run_up_time == pytest.approx(0.97 * 5.0, rel=0.02)


def test_shortest_ramp_is_the_edge():
    machine = rotors(height=36.0)
    edge = shortest_ramp(machine, DRIVE, "inverter", 1.25)
    assert start_course(machine, DRIVE, "inverter", edge).margin >= 1.25
    assert start_course(machine, DRIVE, "inverter", 0.9 * edge).margin < 1.25
    assert shortest_ramp(rotors(height=500.0), DRIVE, "inverter", 1.25) == 0
    assert np.isnan(shortest_ramp(rotors(height=30.0), DRIVE, "inverter", 1.25))
