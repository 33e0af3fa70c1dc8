"""Torque through a coupling at start, by hand, and what motors of the trade do."""

import numpy as np
import pytest

from wetpath.physics.electrical.motor_start import ring_inertia, rotor_inertia, start_torque_curve
from wetpath.rating.start_state import inertias_of, peak_torque
from wetpath.services.demo import demo_pump


def pump_of(drive, pump):
    """A 15 kW driver at 2950 r/min with given inertias."""
    base = demo_pump("medium")
    return base.model_copy(update={
        "driver": base.driver.model_copy(update={"rated_power": 15e3, "speed": 2950 * np.pi / 30}),
        "inner_ring": base.inner_ring.model_copy(update={"inertia": pump}),
        "outer_ring": base.outer_ring.model_copy(update={"inertia": drive})})


@pytest.mark.published("two-inertias", status="derived")
@pytest.mark.parametrize(("pump", "expected"), [(0.020, 37.35), (0.050, 63.89)])
def test_share_of_a_pump_file(against, pump, expected):
    """15 kW at 2950 r/min gives 48.556 N m; peak 2.5 times that; no load."""
    machine = pump_of(0.045, pump)
    inertias = inertias_of(machine)
    share = peak_torque(machine.driver) * inertias.pump / (inertias.pump + inertias.drive)
    against("two-inertias", "derived", f"starting torque through the coupling, pump side {pump} kg m2", share, expected,
            abs=0.006, unit="N m")


@pytest.mark.common_practice
@pytest.mark.parametrize(("power", "pairs", "low", "high"), [
    (3e3, 1, 0.0020, 0.0050), (15e3, 1, 0.030, 0.070), (45e3, 1, 0.15, 0.35), (110e3, 1, 0.5, 1.6),
    (15e3, 2, 0.06, 0.13), (55e3, 2, 0.4, 0.9)])
def test_rotor_inertia_is_at_the_low_end_of_motor_lists(power, pairs, low, high):
    """Ranges recalled from lists of three-phase motors; the law stays at or below their middle."""
    assert low * 0.95 <= rotor_inertia(power, pairs) <= (low + high) / 2


def test_start_curve_has_the_points_of_its_kind():
    speeds, torques = start_torque_curve(50.0, 125.0, 308.9, 314.16)
    assert (np.diff(speeds) > 0).all()
    assert torques[0] == pytest.approx(100.0)
    assert torques.max() == 125.0
    assert torques[1:5].min() < torques[0], "a saddle after locked rotor"
    assert torques[-1] == 0


def test_inertia_of_a_disc_and_of_a_thin_hoop():
    """Textbook: m r^2 / 2 and m r^2."""
    assert ring_inertia(3.0, 0.0, 0.2) == pytest.approx(3.0 * 0.04 / 2)
    assert ring_inertia(3.0, 0.2, 0.2) == pytest.approx(3.0 * 0.04)
