"""Balances of a coupling that slips."""

import numpy as np
import pytest

from wetpath.coupling.geometry import CouplingGeometry
from wetpath.coupling.response import coupling_response
from wetpath.coupling.slip import Sheath, slip_state
from wetpath.errors import InputError

GEOMETRY = CouplingGeometry(
    pole_pairs=6, inner_back_radius=0.052, inner_face_radius=0.060, outer_face_radius=0.065, outer_back_radius=0.073,
    inner_length=0.06, outer_length=0.06, shell_inner_radius=0.0622, shell_thickness=0.0015, shell_start=-0.045,
    shell_end=0.045, inner_arc=0.9, outer_arc=0.8)
RESPONSE = coupling_response(GEOMETRY)
REMANENCE = (1.05, 1.1)
STEEL = Sheath(0.061, 1 / 0.74e-6)


def slip(**change):
    values = {"outer_speed": 300.0, "shell_conductivity": 1 / 1.3e-6, "sheath": STEEL} | change
    return slip_state(GEOMETRY, RESPONSE, REMANENCE, **values)


def test_driver_power_is_the_heat_while_the_inner_ring_stands():
    state = slip()
    assert state.driving_torque * 300.0 == pytest.approx(state.shell_loss.sum() + state.sheath_loss)
    assert state.inner_torque * 300.0 == pytest.approx(state.sheath_loss)
    assert state.swinging_frequency == pytest.approx(6 * 300.0 / (2 * np.pi))
    assert state.swinging_torque == pytest.approx(RESPONSE.pull_out(*REMANENCE)[1])


def test_power_balance_while_the_inner_ring_lags():
    """Driver power = all heat + what the inner ring passes on to the pump."""
    state = slip(inner_speed=120.0)
    assert state.driving_torque * 300.0 == pytest.approx(
        state.shell_loss.sum() + state.sheath_loss + state.inner_torque * 120.0)


def test_shell_is_heated_less_than_in_normal_running_and_only_by_the_outer_ring():
    running = RESPONSE.cell_loss(0.6, 300.0, 1 / 1.3e-6, *REMANENCE).sum()
    assert 0.2 * running < slip().shell_loss.sum() < 0.7 * running


def test_without_metal_there_is_no_mean_torque():
    state = slip(shell_conductivity=0.0, sheath=None)
    assert state.shell_loss.sum() == 0
    assert state.driving_torque == state.inner_torque == state.sheath_loss == 0


def test_messages():
    assert slip().warnings == (
        "slip heats the inner magnets and their yoke by eddy currents that are not computed, and the circulation "
        "stops with the impeller: stop the driver at once",)
    with pytest.raises(InputError) as caught:
        slip(inner_speed=300.0)
    assert str(caught.value) == ("inner_speed = 300 rad/s must be below outer_speed\n"
                                 "  why: in slip the driven outer ring runs ahead of the inner ring")
