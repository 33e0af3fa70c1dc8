"""Balances and limits of a start through the coupling."""

import numpy as np
import pytest

from wetpath.coupling.driver_torque import direct_on_line, frequency_converter, soft_start, star_delta
from wetpath.coupling.starting import Train, run_up, smallest_ramp
from wetpath.errors import InputError, LimitError
from wetpath.physics.electrical.motor import starting_share

SPEEDS = np.array([0.0, 60.0, 240.0, 300.0, 314.16])
TORQUES = np.array([110.0, 95.0, 140.0, 60.0, 0.0])


def train(pull_out=100.0, **change):
    values = {"pole_pairs": 6, "drive_inertia": 0.045, "pump_inertia": 0.020, "orders": np.array([1.0, 3.0]),
              "amplitudes": pull_out * np.array([1.0, 0.03]), "rated_speed": 308.0, "rated_load": 0.0} | change
    return Train(**values)


def test_a_sudden_torque_swings_to_twice_its_share():
    """Linear swing of two inertias on a spring: (1 - cos) reaches 2."""
    result = run_up(train(pull_out=2000.0), lambda time, speed: 10.0, 0.2)
    assert result.peak_torque == pytest.approx(2 * starting_share(10.0, 0.045, 0.020), rel=2e-3)


def test_swing_has_the_natural_frequency():
    stiff = train(pull_out=2000.0)
    result = run_up(stiff, lambda time, speed: 10.0, 0.1)
    share = starting_share(10.0, 0.045, 0.020)
    expected = share * (1 - np.cos(stiff.natural_frequency * result.time))
    np.testing.assert_allclose(result.torque, expected, atol=0.01 * share)


def test_a_torque_that_comes_slowly_passes_its_share():
    result = run_up(train(pull_out=200.0), lambda time, speed: 40.0 * min(time / 1.0, 1.0), 1.0)
    assert result.peak_torque == pytest.approx(starting_share(40.0, 0.045, 0.020), rel=0.02)


def test_work_of_the_driver_is_found_again():
    """Kinetic energy, work done on the load, and co-energy of the load angle."""
    machine = train(pull_out=120.0, rated_load=30.0)
    driver = direct_on_line(SPEEDS, TORQUES, rise=0.05)
    result = run_up(machine, driver, 0.5)
    assert not result.slipped
    given = np.trapezoid([driver(t, w) * w for t, w in zip(result.time, result.outer_speed, strict=True)], result.time)
    taken = np.trapezoid([machine.load(w) * w for w in result.inner_speed], result.time)
    kinetic = 0.5 * (0.045 * result.outer_speed[-1] ** 2 + 0.020 * result.inner_speed[-1] ** 2)
    held = np.sum(machine.amplitudes / machine.orders * (1 - np.cos(machine.orders * result.angle[-1]))) / 6
    assert given == pytest.approx(taken + kinetic + held, rel=2e-3)      # trapezoids


def test_a_weak_coupling_slips_and_a_strong_one_holds():
    driver = direct_on_line(SPEEDS, TORQUES)
    weak, strong = run_up(train(pull_out=30.0), driver, 1.0), run_up(train(pull_out=200.0), driver, 1.0)
    assert weak.slipped
    assert weak.margin == 0
    assert weak.peak_torque == pytest.approx(weak.pull_out, rel=2e-3)
    assert not strong.slipped
    assert strong.margin > 1.3
    assert strong.inner_speed[-1] == pytest.approx(314.16, rel=0.02)


def test_star_delta_gives_a_third_first():
    driver = star_delta(SPEEDS, TORQUES, switch_over=2.0, rise=0.0001)
    assert driver(1.0, 0.0) == pytest.approx(110.0 / 3)
    assert driver(3.0, 0.0) == pytest.approx(110.0)


def test_soft_starter_torque_follows_the_square_of_its_voltage():
    driver = soft_start(SPEEDS, TORQUES, ramp=4.0, first_voltage=0.5)
    assert driver(0.0, 0.0) == pytest.approx(110.0 / 4)
    assert driver(2.0, 0.0) == pytest.approx(110.0 * 0.75**2)
    assert driver(9.0, 0.0) == pytest.approx(110.0)


def test_frequency_converter_holds_its_limit():
    driver = frequency_converter(300.0, 2.0, 1000.0, torque_limit=50.0)
    assert driver(1.0, 150.0) == 0
    assert driver(1.0, 147.0) == pytest.approx(10.0)
    assert driver(2.0, 0.0) == 50.0


def test_smallest_ramp_holds_and_a_shorter_one_does_not():
    machine = train(pull_out=60.0, rated_load=25.0)
    ramp = smallest_ramp(machine, 1.25)
    for factor, holds in ((1.0, True), (0.93, False)):
        driver = frequency_converter(machine.rated_speed, factor * ramp, machine.rated_load / 0.02)
        result = run_up(machine, driver, 1.05 * factor * ramp + 20 / machine.natural_frequency)
        assert (result.margin >= 1.25) is holds
    rigid = machine.pump_inertia * machine.rated_speed / (60.0 / 1.25 - 25.0)
    assert 0.5 * rigid < ramp < 3 * rigid     # the driver lags behind its field, and the rings swing


def test_load_is_breakaway_at_rest_and_the_square_law_at_speed():
    machine = train(rated_load=20.0, breakaway=4.0)
    assert machine.load(0.01 * 308.0) == pytest.approx(4.0 * np.exp(-0.2), rel=2e-3)
    assert machine.load(308.0) == pytest.approx(20.0)
    assert machine.load(154.0) == pytest.approx(5.0, rel=1e-3)


def test_messages():
    with pytest.raises(LimitError) as caught:
        smallest_ramp(train(pull_out=60.0, rated_load=55.0), 1.25)
    assert str(caught.value) == (
        "the coupling pulls out at 58.2 N m, which is not 1.25 times the 55 N m that the pump takes at rated speed: "
        "no ramp is slow enough")
    with pytest.raises(InputError) as wrong:
        direct_on_line(np.array([0.0, 100.0, 100.0]), np.array([1.0, 2.0, 3.0]))
    assert str(wrong.value) == (
        "speeds must rise from 0, with one torque for each\n"
        "  why: the torque-speed curve of the driver is read between its points\n"
        "  do:  give locked rotor, saddle, breakdown and synchronous speed at least")
