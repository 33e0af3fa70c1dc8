"""The study of a coupling: its parts agree with each other, with the rating, and with balances."""

import numpy as np
import pytest

import wetpath as wp
from wetpath.circulation import solve
from wetpath.questions.coupling_study.conditions import Conditions, conditions_of
from wetpath.questions.coupling_study.study import study_coupling
from wetpath.rating.machine_arrays import response_for, rings_of
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
    """Inner ring at rest: what the motor gives is heat in shell and sheath."""
    slip = study.slip
    assert slip.driving_torque * study.conditions.speed == pytest.approx(slip.shell_loss + slip.sheath_loss)
    assert slip.swinging_torque == pytest.approx(study.point.pull_out)
    assert slip.loss_share == pytest.approx(slip.shell_loss / study.point.shell_loss)


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
