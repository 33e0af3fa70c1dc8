"""Balances of a coupling that slips, and its means against averages over the slip cycle."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from wetpath.coupling.geometry import CouplingGeometry
from wetpath.coupling.response import coupling_response
from wetpath.coupling.slip import Sheath, catching_slip, magnet_loss, slip_state
from wetpath.errors import InputError
from wetpath.physics.magnetics.eddy_loss import endless_wall_loss
from wetpath.physics.magnetics.magnet_loss import magnet_loss_density

GEOMETRY = CouplingGeometry(
    pole_pairs=6, inner_back_radius=0.052, inner_face_radius=0.060, outer_face_radius=0.065, outer_back_radius=0.073,
    inner_length=0.06, outer_length=0.06, shell_inner_radius=0.0622, shell_thickness=0.0015, shell_start=-0.045,
    shell_end=0.045, inner_arc=0.9, outer_arc=0.8)
RESPONSE = coupling_response(GEOMETRY)
REMANENCE = (1.05, 1.1)
STEEL = Sheath(0.061, 1 / 0.74e-6)
SAMARIUM = (1 / 0.85e-6, 1 / 0.85e-6)
LONG = 1000.0                    # m: what ends do is lost in it
#: A thin wall between endless rings, whose currents are too weak to change the field: closed forms are exact.
THIN, WEAK = 2e-5, 1e3
ENDLESS = replace(GEOMETRY, inner_length=LONG, outer_length=LONG, shell_start=-LONG / 2, shell_end=LONG / 2,
                  shell_thickness=THIN)


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
        "slip heats solid yokes by eddy currents that are not computed, and the circulation stops with the impeller: "
        "stop the driver at once",)
    with pytest.raises(InputError) as caught:
        slip(inner_speed=300.0)
    assert str(caught.value) == ("inner_speed = 300 rad/s must be below outer_speed\n"
                                 "  why: in slip the driven outer ring runs ahead of the inner ring")


def test_power_balance_with_currents_in_the_magnets():
    """Driver power = all heat + what the inner ring passes on, heat of both rings' magnets in it."""
    state = slip(inner_speed=120.0, magnet_conductivity=SAMARIUM)
    assert min(state.magnet_loss) > 0
    assert state.driving_torque * 300.0 == pytest.approx(
        state.shell_loss.sum() + state.sheath_loss + sum(state.magnet_loss) + state.inner_torque * 120.0)


def test_rings_that_all_but_keep_step_lose_the_mean_over_all_load_angles():
    """The slower the slip, the nearer a slip cycle comes to a slow walk through the load angles."""
    angles = np.linspace(0, 2 * np.pi, 64, endpoint=False)
    walked = np.mean([RESPONSE.cell_loss(angle, 300.0, 1 / 1.3e-6, *REMANENCE) for angle in angles], axis=0)
    np.testing.assert_allclose(slip(inner_speed=300.0 * (1 - 1e-9)).shell_loss, walked, rtol=1e-7)


@pytest.mark.parametrize("inner_speed", [0.0, 70.0, 200.0, 290.0])
def test_loss_of_one_harmonic_is_that_of_both_fields_by_themselves(inner_speed):
    response = coupling_response(ENDLESS, cells=1, highest=1)
    inner, outer = REMANENCE * response.shell_field[:, 0]
    radius = ENDLESS.wall.mean_radius
    by_hand = np.pi * WEAK * THIN * radius**3 * ((inner_speed * inner) ** 2 + (300.0 * outer) ** 2)
    assert by_hand == pytest.approx(endless_wall_loss(inner, radius, THIN, WEAK, inner_speed)
                                    + endless_wall_loss(outer, radius, THIN, WEAK, 300.0))
    ours = slip_state(ENDLESS, response, REMANENCE, outer_speed=300.0, inner_speed=inner_speed, shell_conductivity=WEAK)
    assert ours.shell_loss.sum() / LONG == pytest.approx(by_hand, rel=1e-3)


@pytest.mark.parametrize("inner_speed", [60.0, 200.0])
def test_loss_and_mean_torques_are_averages_over_the_slip_cycle(inner_speed):
    """Currents and forces in the wall at every place and at every moment of a slip cycle, from both fields as waves."""
    response = coupling_response(ENDLESS, cells=1)
    fields = np.array(REMANENCE)[:, None] * response.shell_field
    order, radius = 6 * response.loss_orders, ENDLESS.wall.mean_radius
    place = np.linspace(0, 2 * np.pi / 6, 400, endpoint=False)
    times = np.linspace(0, 2 * np.pi / (6 * 20.0), 512, endpoint=False)    # both speeds are multiples of 20 rad/s
    heat, on_inner, on_outer, between = [], [], [], []
    for time in times:
        waves = [field @ np.cos(order[:, None] * (place - speed * time))
                 for field, speed in zip(fields, (inner_speed, 300.0), strict=True)]
        strength = radius * (inner_speed * waves[0] + 300.0 * waves[1])
        area = 2 * np.pi * radius * THIN
        heat.append(area * np.mean(WEAK * strength**2))
        on_inner.append(-area * radius * np.mean(WEAK * strength * waves[0]))
        on_outer.append(-area * radius * np.mean(WEAK * strength * waves[1]))
        between.append(response.static_torque(6 * (300.0 - inner_speed) * time, *REMANENCE))
    ours = slip_state(ENDLESS, response, REMANENCE, outer_speed=300.0, inner_speed=inner_speed, shell_conductivity=WEAK)
    assert np.ptp(heat) > 0.2 * np.mean(heat)       # it swings within the cycle
    assert ours.shell_loss.sum() / LONG == pytest.approx(np.mean(heat), rel=2e-3)
    assert abs(np.mean(between)) < 1e-9 * max(between)
    assert ours.inner_torque / LONG == pytest.approx((np.mean(on_inner) + np.mean(between) / LONG), rel=2e-3)
    assert ours.driving_torque / LONG == pytest.approx(-np.mean(on_outer), rel=2e-3)
    assert max(between) == pytest.approx(ours.swinging_torque, rel=1e-3)


@pytest.mark.parametrize(("half_angle", "orders"), [(0.2, (6.0,)), (0.23, (6.0, 18.0, 30.0)), (0.05, (6.0, 18.0))])
def test_loss_in_a_magnet_is_the_mean_of_its_currents(half_angle, orders):
    """Field strength at every place and moment, less its mean over the piece, so that no current leaves it."""
    field, order = 0.3 / np.array(orders), np.array(orders)
    place = (np.arange(2000) + 0.5) / 1000 * half_angle - half_angle
    times = np.linspace(0, 2 * np.pi / (6 * 280.0), 256, endpoint=False)
    heat = []
    for time in times:
        strength = 0.056 * 280.0 * (field @ np.cos(order[:, None] * (place - 280.0 * time)))
        heat.append(1.2e6 * np.mean((strength - strength.mean()) ** 2))
    ours = magnet_loss_density(field, order, 0.056, half_angle, 1.2e6, 280.0)
    assert ours == pytest.approx(np.mean(heat), rel=1e-5)
    assert ours < magnet_loss_density(field, order, 0.056, np.inf, 1.2e6, 280.0)


def test_magnet_loss_falls_with_more_pieces_and_grows_with_the_square_of_slip():
    cut = replace(GEOMETRY, inner_segments=4)
    whole, pieces = (magnet_loss(one, 0, 1.1, 1e6, 200.0) for one in (GEOMETRY, cut))
    touching = magnet_loss(GEOMETRY, 0, 1.1, 1e6, 200.0, touching=True)
    assert pieces < 0.2 * whole < 0.2 * touching
    assert magnet_loss(GEOMETRY, 0, 1.1, 1e6, 100.0) == pytest.approx(whole / 4)
    assert magnet_loss(cut, 0, 1.1, 1e6, 200.0, touching=True) == pytest.approx(touching)


@pytest.mark.parametrize(("share", "caught"), [(0.98, True), (1.02, False)])
def test_rings_are_caught_below_the_catching_slip_and_not_above(share, caught):
    """The swinging of both inertias solved in time, from facing poles."""
    amplitudes, drive, pump = RESPONSE.torque_series(*REMANENCE), 0.08, 0.03

    def swing(_time, state):
        torque = RESPONSE.static_torque(state[0], *REMANENCE)
        return [6 * (state[1] - state[2]), -torque / drive, torque / pump]

    start = share * catching_slip(RESPONSE.torque_orders, amplitudes, 6, drive, pump)
    angle = solve_ivp(swing, (0.0, 0.5), [0.0, 300.0, 300.0 - start], rtol=1e-9, atol=1e-9).y[0]
    assert (np.abs(angle).max() < np.pi) == caught
