"""Measured points of a coupling: what they do to the model, and to everything computed from it."""

import numpy as np
import pytest

import wetpath as wp
from wetpath.circulation import solve
from wetpath.edge.files import dump_document, loads_document
from wetpath.errors import FileProblems
from wetpath.machine.measured import MeasuredCoupling, MeasuredPullOut, MeasuredShellLoss
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.machine_arrays import (
    machine_arrays,
    model_response_for,
    remanences,
    response_for,
    rings_of,
    scale_for,
)
from wetpath.rating.measured_scale import least_squares_factor
from wetpath.services.demo import demo_enquiry, demo_pump

PUMP = demo_pump("medium")
MODEL = model_response_for(PUMP)
SPEED = PUMP.driver.speed


def with_points(*, loss=(), pull_out=(), pump=PUMP):
    return pump.model_copy(update={"measured": MeasuredCoupling(shell_loss=tuple(loss), pull_out=tuple(pull_out))})


def model_loss(angle, temperature=293.15, speed=SPEED):
    rings = rings_of(PUMP)
    conductivity = rings.conductivity_at(temperature)
    return float(MODEL.cell_loss(angle, speed, conductivity, *rings.remanence_at(temperature)).sum())


def test_factor_is_the_least_squares_one():
    """The sum of squares about it grows either way, and at the factor of exact data it is zero."""
    measured, model = np.array([2.3, 4.4, 5.9]), np.array([2.0, 4.0, 6.0])
    factor = least_squares_factor(measured, model)
    squares = [np.sum((measured - f * model) ** 2) for f in (factor - 1e-3, factor, factor + 1e-3)]
    assert squares[1] < min(squares[0], squares[2])
    assert least_squares_factor(1.07 * model, model) == pytest.approx(1.07)


def test_pull_out_points_at_any_temperature_scale_the_torque():
    points = [MeasuredPullOut(torque=0.93 * MODEL.pull_out(*rings_of(PUMP).remanence_at(t))[1], magnet_temperature=t)
              for t in (293.15, 353.15, 423.15)]
    pump = with_points(pull_out=points)
    assert scale_for(pump).torque == pytest.approx(0.93)
    assert scale_for(pump).loss == 1
    weaker, plain = (one.pull_out(*remanences(pump))[1] for one in (response_for(pump), MODEL))
    assert weaker == pytest.approx(0.93 * plain)
    np.testing.assert_array_equal(response_for(pump).loss_cross, MODEL.loss_cross)


def test_loss_points_are_compared_at_their_load_speed_and_temperature():
    series = MODEL.torque_series(*remanences(PUMP))
    carried = float(np.sin(np.multiply.outer(0.5, MODEL.torque_orders)) @ series)
    points = [MeasuredShellLoss(power=1.1 * model_loss(0.0), speed=SPEED),
              MeasuredShellLoss(power=1.1 * model_loss(0.0, speed=SPEED / 2), speed=SPEED / 2),
              MeasuredShellLoss(power=1.1 * model_loss(0.7, 333.15), speed=SPEED, load_angle=0.7,
                                wall_temperature=333.15),
              MeasuredShellLoss(power=1.1 * model_loss(0.5), speed=SPEED, torque=carried)]
    for chosen in (points, *([point] for point in points)):
        assert scale_for(with_points(loss=chosen)).loss == pytest.approx(1.1, rel=1e-9)


def test_load_of_a_loss_point_is_read_off_the_measured_torque_curve():
    """A coupling that is weaker than its model carries the same torque at a larger angle, with less loss."""
    torque, weak = 40.0, 0.8
    series = weak * MODEL.torque_series(*remanences(PUMP))
    angle = np.linspace(0.0, 1.5, 20001)
    larger = float(np.interp(torque, np.sin(np.multiply.outer(angle, MODEL.torque_orders)) @ series, angle))
    pump = with_points(loss=[MeasuredShellLoss(power=model_loss(larger), speed=SPEED, torque=torque)],
                       pull_out=[MeasuredPullOut(torque=weak * MODEL.pull_out(*remanences(PUMP))[1])])
    assert scale_for(pump).loss == pytest.approx(1.0, rel=1e-6)


def test_arrays_of_the_solve_are_those_of_the_model_times_the_factors():
    pump = with_points(loss=[MeasuredShellLoss(power=1.2 * model_loss(0.0), speed=SPEED)],
                       pull_out=[MeasuredPullOut(torque=0.9 * MODEL.pull_out(*remanences(PUMP))[1])])
    plain, scaled = machine_arrays([PUMP]), machine_arrays([pump])
    np.testing.assert_allclose(scaled.torque, 0.9 * plain.torque)
    for name in ("inner", "outer", "cross"):
        np.testing.assert_allclose(getattr(scaled, name), 1.2 * getattr(plain, name))


def test_rating_shows_the_scaled_coupling_and_says_so():
    pump = with_points(loss=[MeasuredShellLoss(power=1.5 * model_loss(0.0), speed=SPEED)],
                       pull_out=[MeasuredPullOut(torque=0.95 * MODEL.pull_out(*remanences(PUMP))[1])])
    enquiry = demo_enquiry()
    plain, scaled = wp.rate(enquiry, pump=PUMP), wp.rate(enquiry, pump=pump)
    ring = scaled.situation.scalars[:, solve.INNER_RING] < plain.situation.scalars[:, solve.INNER_RING] + 60
    assert ring.all()
    assert (scaled.losses.pull_out < 0.96 * plain.losses.pull_out).all()
    assert (scaled.losses.eddy > 1.3 * plain.losses.eddy).all()
    assert "pull-out torque is that of the model times 0.95, from 1 measured point" in scaled.warnings
    assert ("shell loss is that of the model times 1.50, from 1 measured point; outside 0.7 to 1.4: check geometry, "
            "magnet grade and what was measured") in scaled.warnings
    assert not any("measured point" in text for text in plain.warnings)


def test_file_with_points_reads_back_equal_and_refuses_what_cannot_be():
    pump = with_points(loss=[MeasuredShellLoss(power=900.0, speed=SPEED, torque=20.0)],
                       pull_out=[MeasuredPullOut(torque=88.0)])
    assert loads_document(dump_document(pump), PumpFile).measured == pump.measured
    ceramic = dump_document(demo_pump("medium_ceramic"))
    for more, words in (
            ('\n[[measured.shell_loss]]\npower = "50 W"\nspeed = "2950 rpm"\n', "does not conduct"),
            ('\n[[measured.pull_out]]\ntorque = "-3 N m"\n', "0 N"),
            ('\n[measured]\nnote = "none"\n', "holds no point"),
            ('\n[[measured.shell_loss]]\npower = "50 W"\nspeed = "2950 rpm"\ntorque = "9 N m"\nload_angle = "9 deg"\n',
             "besides the load angle")):
        with pytest.raises(FileProblems, match=words):
            loads_document(ceramic + more, PumpFile)
