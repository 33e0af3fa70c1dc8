"""The study of a coupling: its parts agree with each other, with the rating, and with balances."""

import numpy as np
import pytest

import wetpath as wp
from wetpath.circulation import solve
from wetpath.coupling.response import coupling_response
from wetpath.questions.coupling_study.conditions import Conditions, conditions_of
from wetpath.questions.coupling_study.study import study_coupling
from wetpath.rating.machine_arrays import coupling_geometry, remanences, response_for, rings_of
from wetpath.rating.magnet_field import hot_remanences
from wetpath.services.demo import demo_enquiry, demo_pump, demo_pumps

PUMP = demo_pump("medium")


@pytest.fixture(scope="module")
def study():
    return study_coupling(PUMP, conditions_of(PUMP, liquid=353.15, torque=40.0))


def test_working_point_lies_on_the_curve_of_torque(study):
    remanence = [float(value) for value in hot_remanences(PUMP, study.conditions.magnets)]
    assert response_for(PUMP).static_torque(study.point.angle, *remanence) == pytest.approx(40.0, rel=1e-9)
    assert study.torque.hot.max() == pytest.approx(study.point.pull_out, rel=1e-3)       # 5 deg apart
    assert study.torque.cold.max() == pytest.approx(study.point.pull_out_cold, rel=1e-3)
    assert study.point.pull_out < study.point.pull_out_cold


def test_drag_of_both_rings_is_the_loss_over_the_speed(study):
    """Energy: the wall stands still, so braking power is heat."""
    assert sum(study.point.drag) * study.conditions.speed == pytest.approx(study.point.shell_loss, rel=1e-9)


def test_pull_out_over_temperature_goes_with_both_remanences(study):
    heat = study.temperature
    product = heat.remanence[0] * heat.remanence[1]
    np.testing.assert_allclose(heat.pull_out / heat.pull_out[0], product / product[0], rtol=2e-3)
    assert (np.diff(heat.temperature) > 0).all()
    assert heat.temperature[0] == 293.15
    assert heat.temperature[-1] == PUMP.inner_magnet.highest_temperature


def test_loss_goes_with_the_square_of_speed_and_falls_with_load(study):
    loss = study.loss
    np.testing.assert_allclose(loss.no_load / loss.speed**2, loss.no_load[0] / loss.speed[0] ** 2, rtol=2e-3)
    assert (np.diff(loss.over_angle) < 0).all()
    assert loss.over_angle[0] == pytest.approx(np.interp(study.conditions.speed, loss.speed, loss.no_load))
    assert (loss.working < loss.no_load).all()


def test_slip_power_balance(study):
    """Inner ring at rest: what the motor gives is heat in shell, sheath and magnets."""
    slip = study.slip
    assert slip.driving_torque * study.conditions.speed == pytest.approx(
        slip.shell_loss + slip.sheath_loss + sum(slip.magnet_loss))
    assert slip.swinging_torque == pytest.approx(study.point.pull_out)
    assert slip.loss_share == pytest.approx(slip.shell_loss / study.point.shell_loss)


def test_slip_table_goes_from_rings_in_step_to_an_inner_ring_at_rest(study):
    slip, table = study.slip, study.slip.table
    assert table.inner_speed.size == 11
    assert (table.inner_speed[0], table.inner_speed[-1]) == (study.conditions.speed, 0.0)
    assert table.shell_loss[0] == pytest.approx(study.point.shell_loss)
    assert table.shell_loss[-1] == pytest.approx(slip.shell_loss)
    remanence = [float(value) for value in hot_remanences(PUMP, study.conditions.magnets)]
    conductivity = rings_of(PUMP).conductivity_at(study.conditions.liquid)
    assert slip.shell_loss == pytest.approx(
        response_for(PUMP).cell_loss(0.0, study.conditions.speed, conductivity, 0.0, remanence[1]).sum())
    assert (np.diff(table.shell_loss) < 0).all()
    assert table.driving_torque[0] - table.inner_torque[0] == pytest.approx(
        study.point.shell_loss / study.conditions.speed)


def test_every_row_of_the_slip_table_balances(study):
    """Driver power = power passed to the pump + heat; in step and out of it."""
    table = study.slip.table
    heat = table.shell_loss + table.sheath_loss + table.inner_magnet_loss + table.outer_magnet_loss
    np.testing.assert_allclose(table.driving_torque * table.outer_speed, table.inner_torque * table.inner_speed + heat,
                               rtol=1e-9)


def test_heating_of_the_wall_is_heat_over_mass_and_heat_capacity(study):
    """By hand: the hottest piece, its mass by its outside, no air; then the loss made larger by the user."""
    still = PUMP.model_copy(update={"containment_shell": PUMP.containment_shell.model_copy(
        update={"air_side_coefficient": 0.0})})
    found = study_coupling(still, study.conditions).slip
    part, metal, response = still.containment_shell, still.shell_material, response_for(still)
    remanence = [float(value) for value in hot_remanences(still, study.conditions.magnets)]
    heat = response.cell_loss(0.0, study.conditions.speed, rings_of(still).conductivity_at(study.conditions.liquid),
                              0.0, remanence[1])
    mass = metal.density * np.pi * (part.bore + 2 * part.wall) * part.wall * np.diff(response.cell_edges)
    rate = (heat / (mass * metal.heat_capacity)).max()
    assert found.table.wall_rate[-1] == pytest.approx(rate)
    assert found.table.wall_time[-1] == pytest.approx((found.wall_limit - study.conditions.liquid) / rate)
    raised = study_coupling(still, study.conditions, slip_loss_factor=1.5).slip
    assert raised.table.wall_rate[-1] == pytest.approx(1.5 * rate)
    assert raised.table.wall_rate[0] == pytest.approx(found.table.wall_rate[0])      # in step no factor
    assert raised.shell_loss == pytest.approx(found.shell_loss)
    assert (study.slip.table.wall_time > found.table.wall_time).all()        # air takes some of it


def test_heating_of_the_inner_ring_is_heat_over_its_mass(study):
    ring, metal, slip = PUMP.inner_ring, PUMP.sheath_material, study.slip
    magnets = ring.arc * np.pi / 4 * (ring.outer_diameter**2 - ring.inner_diameter**2) * ring.length
    sheath = np.pi / 4 * (ring.sheath_diameter**2 - ring.outer_diameter**2) * ring.length
    capacity = 3.0e6 * magnets + metal.density * metal.heat_capacity * sheath
    rate = (slip.sheath_loss + slip.magnet_loss[0]) / capacity
    assert slip.table.ring_rate[-1] == pytest.approx(rate)
    left = PUMP.inner_magnet.highest_temperature - study.conditions.inner_magnets
    assert slip.table.ring_time[-1] == pytest.approx(left / rate)
    assert np.isinf(slip.table.ring_time[0])


def test_pump_that_slips_turns_where_drag_and_load_balance(study):
    slip, conditions = study.slip, study.conditions
    speeds, torques = slip.table.inner_speed[1:][::-1], slip.table.inner_torque[1:][::-1]
    load = conditions.torque * (slip.drifting_speed / conditions.speed) ** 2
    assert np.interp(slip.drifting_speed, speeds, torques) == pytest.approx(load, rel=5e-3)
    assert 0 < slip.drifting_speed < 0.5 * conditions.speed
    assert not slip.catches_again
    idle = study_coupling(PUMP, conditions_of(PUMP, torque=0.01))
    assert idle.slip.drifting_speed > slip.drifting_speed


def test_shell_that_insulates_heats_only_the_rings():
    ceramic = demo_pump("medium_ceramic")
    slip = study_coupling(ceramic, conditions_of(ceramic, torque=40.0)).slip
    assert (slip.table.shell_loss == 0).all()
    assert (slip.table.wall_rate == 0).all()
    assert np.isinf(slip.table.wall_time).all()
    assert slip.table.ring_rate[-1] > 0


def changed(ring, **change):
    return PUMP.model_copy(update={ring: getattr(PUMP, ring).model_copy(update=change)})


@pytest.mark.parametrize(("name", "words", "pump", "liquid", "speed"), [
    ("inner_arc", "arc of the inner magnets over pole pitch is 0.65", changed("inner_ring", arc=0.65), 293.15, None),
    ("outer_arc", "arc of the outer magnets over pole pitch is 0.5", changed("outer_ring", arc=0.5), 293.15, None),
    ("skin_depth", "skin depths", PUMP, 293.15, 9000.0),
    ("inner_yoke", "inner yoke would carry", changed("inner_ring", yoke_thickness=0.003), 293.15, None),
    ("outer_yoke", "outer yoke would carry", changed("outer_ring", yoke_thickness=0.003), 293.15, None),
    ("magnet_temperature", "magnets warmer than 200 degC", PUMP, 493.15, None)])
def test_limit_of_the_model_that_is_crossed_is_doubtful_and_warned_of(name, words, pump, liquid, speed):
    inside, outside = (study_coupling(one, conditions_of(one, torque=20.0, liquid=at, speed=turning))
                       for one, at, turning in ((PUMP, 293.15, None), (pump, liquid, speed)))
    assert all(one.holds for one in inside.limits)
    assert [one.name for one in outside.limits if not one.holds] == [name]
    assert not any(words in text for text in inside.warnings)
    assert any(words in text for text in outside.warnings)


def test_harmonic_left_out_is_that_of_a_longer_series():
    inner, outer = remanences(PUMP)
    longer = coupling_response(coupling_geometry(PUMP), cells=1, highest=17, keep=0.0)
    found = {one.name: one for one in study_coupling(PUMP, conditions_of(PUMP, torque=20.0)).limits}
    loss = (inner**2 * longer.loss_inner + outer**2 * longer.loss_outer).sum(axis=1)
    assert response_for(PUMP).loss_orders[-1] == 15
    assert found["loss_harmonics"].actual == pytest.approx(loss[8] / loss[0], rel=1e-6)
    # air between magnets, which only the longer series has at this order, is a second-order part of it
    assert found["torque_harmonics"].actual == pytest.approx(abs(longer.torque[16] / longer.torque[0]), rel=0.5)


def test_study_at_the_state_of_a_rating_finds_its_coupling():
    """Same torque and magnets; the shell loss at the mean wall instead of its profile, to 2 %."""
    rating = wp.rate(demo_enquiry(), pump=PUMP)
    for case in range(len(rating.case_names)):
        scalars = rating.situation.scalars[case]
        state = Conditions(torque=scalars[solve.TORQUE], speed=rating.inputs.speed[case],
                           liquid=scalars[solve.MEAN_WALL], inner_magnets=scalars[solve.INNER_RING],
                           outer_magnets=scalars[solve.OUTER_RING])
        found = study_coupling(PUMP, state)
        assert found.point.pull_out == pytest.approx(rating.losses.pull_out[case], rel=1e-6)
        assert found.point.angle == pytest.approx(rating.losses.load_angle[case], rel=1e-4)
        assert found.point.shell_loss == pytest.approx(rating.losses.eddy[case], rel=0.02)
        fields = [float(one[case]) for one in rating.situation.coupling.field_running]
        assert found.magnets.running == pytest.approx(fields, rel=1e-3)


def test_shell_of_the_study_is_that_of_the_rating_at_its_temperature():
    rating = wp.rate(demo_enquiry(), pump=PUMP)
    shell = rating.situation.shell
    found = study_coupling(PUMP, conditions_of(PUMP, liquid=float(shell.temperature[0]), torque=20.0))
    assert found.shell.strength.cylinder[0] == pytest.approx(shell.cylinder[0])
    assert found.shell.strength.end[0] == pytest.approx(shell.end[0])
    assert found.shell.strength.bears_outside == pytest.approx(shell.bears_outside)


def test_a_load_above_pull_out_is_told_and_fails():
    found = study_coupling(PUMP, conditions_of(PUMP, torque=120.0))
    assert not found.holds
    assert np.isnan(found.point.angle)
    assert np.isnan(found.point.shell_loss)
    assert any("out of step" in text for text in found.warnings)
    assert not found.own_start.course.in_step


def test_hot_magnets_fail_the_demands_one_by_one():
    def failing(celsius):
        found = study_coupling(PUMP, conditions_of(PUMP, liquid=celsius + 273.15, torque=30.0))
        return {one.name for one in found.checks if not one.holds[0]}

    assert failing(80.0) == set()
    assert failing(240.0) == {"demagnetisation_slip"}
    assert {"demagnetisation_slip", "demagnetisation_running", "inner_magnets"} <= failing(310.0)


@pytest.mark.parametrize("name", demo_pumps())
def test_every_demo_pump_can_be_studied(name):
    pump = demo_pump(name)
    found = study_coupling(pump, conditions_of(pump))
    assert found.conditions.torque == pytest.approx(pump.driver.rated_power / pump.driver.speed)
    assert [start.own for start in found.starts].count(True) == 1
    assert rings_of(pump).conductivity >= 0


def test_shell_without_a_rating_bears_the_least_of_its_parts():
    bare = PUMP.model_copy(update={"containment_shell": PUMP.containment_shell.model_copy(
        update={"pressure_rating": None})})
    strength = study_coupling(bare, conditions_of(bare)).shell.strength
    assert strength.bears[0] == min(strength.cylinder[0], strength.end[0])
    ratio = study_coupling(bare, conditions_of(bare)).practice["hydrostatic_test_ratio"].value
    assert strength.test_pressure == pytest.approx(ratio * strength.bears[0])        # the wall is at test temperature
