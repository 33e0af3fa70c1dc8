"""Drag of discs and cylinders: scaling, limits, continuity, rings; NaN in, NaN out."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wetpath.physics.drag.cylinder_drag import couette_torque_coefficient, cylinder_torque, thrust_land_torque
from wetpath.physics.drag.disc_friction import disc_torque_coefficient, ring_face_torque

QUICK = settings(max_examples=60, deadline=None)
reynolds = st.floats(1e-2, 1e7)
gap = st.floats(1e-3, 0.3)


@QUICK
@given(reynolds, gap)
def test_cylinder_never_below_the_laminar_torque(re, ratio):
    laminar = 8 * (1 + ratio) ** 2 / ((2 + ratio) * re)
    assert couette_torque_coefficient(re, ratio) >= laminar * (1 - 1e-12)


@QUICK
@given(st.floats(0.5, 5.0), st.floats(1e-4, 1e-2))
def test_cylinder_torque_obeys_similarity(scale, viscosity):
    """Sizes times s, speed over s^2: the same Reynolds number, torque over length^3 times s^-2."""
    ours = cylinder_torque(900.0, viscosity, 300.0, 0.05, 0.001, 0.06)
    similar = cylinder_torque(900.0, viscosity, 300.0 / scale**2, 0.05 * scale, 0.001 * scale, 0.06 * scale)
    assert similar == pytest.approx(ours * scale, rel=1e-10)


@QUICK
@given(st.floats(1.01, 3.0))
def test_turbulent_windage_power_rises_with_the_power_2_8_of_the_speed(faster):
    """Coefficient Re^-0.2 on rho w^2, times w."""
    slow = 300.0 * cylinder_torque(980.0, 4.6e-4, 300.0, 0.042, 0.0011, 0.05)
    fast = 300.0 * faster * cylinder_torque(980.0, 4.6e-4, 300.0 * faster, 0.042, 0.0011, 0.05)
    assert fast / slow == pytest.approx(faster**2.8, rel=1e-10)


@QUICK
@given(gap, st.floats(1e3, 1e7))
def test_disc_torque_is_continuous_and_rises_with_speed(ratio, re):
    """C_M Re^2 is the torque at given size and liquid."""
    step = re * np.array([1.0, 1.0001])
    coefficient = disc_torque_coefficient(step, ratio)
    assert coefficient[1] / coefficient[0] == pytest.approx(1.0, abs=1.1e-4)
    assert coefficient[1] * step[1] ** 2 > coefficient[0] * step[0] ** 2


@QUICK
@given(st.floats(0.0, 0.09))
def test_ring_and_missing_centre_make_the_whole(hole):
    whole = ring_face_torque(900.0, 3e-4, 300.0, 0.1, 0.0, 0.005)
    ring = ring_face_torque(900.0, 3e-4, 300.0, 0.1, hole, 0.005)
    assert ring / whole == pytest.approx(1 - (hole / 0.1) ** 5, rel=1e-10)


def test_one_face_has_half_the_torque_of_both():
    reynolds = 900.0 * 300.0 * 0.01 / 3e-4
    both = 0.5 * disc_torque_coefficient(reynolds, 0.05) * 900.0 * 300.0**2 * 0.1**5
    assert ring_face_torque(900.0, 3e-4, 300.0, 0.1, 0.0, 0.005) == pytest.approx(both / 2)


def test_thrust_land_is_linear_in_viscosity_speed_and_land():
    one = thrust_land_torque(3e-4, 300.0, 0.015, 0.021, 2e-5, 0.4)
    assert thrust_land_torque(6e-4, 600.0, 0.015, 0.021, 2e-5, 0.8) == pytest.approx(8 * one)
    assert thrust_land_torque(3e-4, 300.0, 0.015, 0.021, 1e-5, 0.4) == pytest.approx(2 * one)


@pytest.mark.parametrize("value", [
    couette_torque_coefficient(np.nan, 0.03), couette_torque_coefficient(1e3,
                                                                         np.nan), disc_torque_coefficient(np.nan, 0.05),
    disc_torque_coefficient(1e5, np.nan), cylinder_torque(np.nan, 1e-3, 300.0, 0.05, 0.001, 0.06)])
def test_nan_in_nan_out(value):
    assert np.isnan(value)
