"""Pump curves and laws: exact limits, groups, inverses, monotony, same answer in the kernel."""

import fluids
import numba
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetpath.physics.piecewise_polynomial import least_squares, slope, through_points, value
from wetpath.physics.pump import acceptance, affinity, guarantee_point, npsh, radial_thrust, viscosity_correction
from wetpath.physics.pump.hydraulic_power import differential_pressure, efficiency_from_power, shaft_power
from wetpath.physics.pump.performance_curve import efficiency_at, head_at, npsh_required_at, performance_curve
from wetpath.physics.pump.specific_speed import specific_speed_metric
from wetpath.physics.validity import messages

POSITIVE = st.floats(0.1, 10.0)
Q = np.array([0.0, 10, 20, 30, 40, 50, 60, 70]) / 3600
HEAD = 70 - 0.0035 * (Q * 3600) ** 2
ETA = np.where(Q > 0, 0.66 * (1 - (Q * 3600 / 52 - 1) ** 2), 0.0)


def usual_curve(**more):
    return performance_curve(Q, HEAD, efficiency=ETA, npsh_required=1 + 3e-4 * (Q * 3600) ** 2, **more)


@given(POSITIVE, POSITIVE, POSITIVE, POSITIVE, POSITIVE)
def test_affinity_is_a_group(flow, head, power, first, second):
    once = affinity.at_speed(*affinity.at_speed(flow, head, power, first), second)
    assert once == pytest.approx(affinity.at_speed(flow, head, power, first * second), rel=1e-12)


@given(POSITIVE, POSITIVE)
def test_affinity_keeps_efficiency_and_specific_speed(flow, ratio):
    duty = affinity.at_speed(flow, 40.0, shaft_power(flow, 40.0, 1000.0, 0.6), ratio)
    assert efficiency_from_power(duty.flow, duty.head, 1000.0, duty.power) == pytest.approx(0.6, rel=1e-12)
    assert specific_speed_metric(300 * ratio, duty.flow, duty.head) == pytest.approx(
        specific_speed_metric(300.0, flow, 40.0), rel=1e-12
    )


@given(st.floats(0.85, 0.99), st.floats(0.5, 4.0))
def test_trim_exponent_gives_back_the_exponent(ratio, exponent):
    head = affinity.trimmed(1.0, 50.0, 1.0, ratio, head_exponent=exponent).head
    assert float(affinity.trim_exponent(0.2, 50.0, 0.2 * ratio, head)) == pytest.approx(exponent, rel=1e-9)


@given(st.floats(5, 300), st.floats(5, 150), st.floats(100, 4000))
def test_specific_speed_against_another_library(hourly, head, rpm):
    # the library takes Q and H in any unit and n in r/min
    other = fluids.pump.specific_speed(hourly / 3600, head, rpm)
    assert specific_speed_metric(rpm * np.pi / 30, hourly / 3600, head) == pytest.approx(other, rel=1e-9)


@given(st.floats(1.0, 39.0), st.floats(1.01, 2.0))
def test_viscosity_factors_fall_with_the_parameter(parameter, factor):
    larger = min(parameter * factor, 39.9)
    assert 0 < viscosity_correction.flow_factor(larger) <= viscosity_correction.flow_factor(parameter) <= 1
    assert (
        0
        < viscosity_correction.efficiency_factor(larger)
        <= viscosity_correction.efficiency_factor(parameter)
        <= 1
    )


def test_viscosity_factors_start_without_a_step():
    for factor in (viscosity_correction.flow_factor, viscosity_correction.efficiency_factor):
        assert float(factor(1.0 + 1e-9)) == pytest.approx(1.0, abs=1e-9)
        assert float(factor(0.2)) == 1.0


def test_viscous_shut_off_head_is_the_water_head_and_npsh_never_gains():
    assert float(viscosity_correction.head_factor(0.8, 0.0)) == 1.0
    assert float(viscosity_correction.viscous_npsh_required(3.0, 3.0, 0.03, 300.0, 1.0)) == 3.0
    assert float(viscosity_correction.viscous_npsh_required(3.0, 3.0, 0.03, 300.0, 0.9)) > 3.0


@given(
    st.floats(1e5, 2e6),
    st.floats(1e3, 9e4),
    st.floats(400, 1800),
    st.floats(0, 4),
    st.floats(-3, 9),
    st.floats(0, 2),
)
def test_suction_pressure_needed_inverts_npsh(pressure, vapour, density, velocity, elevation, loss):
    available = npsh.npsh_available(pressure, vapour, density, velocity, elevation, loss)
    again = npsh.suction_pressure_needed(available, vapour, density, velocity, elevation, loss)
    assert again == pytest.approx(pressure, rel=1e-9)


@given(st.floats(0.1, 20.0), st.floats(100, 300), st.booleans())
def test_npsh_rules_ask_for_more_than_npsh3_and_never_less_for_hydrocarbons(required, number, inside):
    chemical = npsh.npsh_needed_chemical(required, number, inside)
    assert chemical >= required + 0.6
    assert npsh.npsh_needed_hydrocarbon(required) >= npsh.npsh_needed_chemical(required, 100.0, True)


@given(st.floats(0.0, 1.5))
def test_radial_factors_stay_above_the_residual(share):
    assert radial_thrust.single_volute_factor(share) >= 0.05
    assert radial_thrust.double_volute_factor(share) <= 0.2 * 0.36 + 1e-12
    with_two = radial_thrust.single_volute_factor_by_exponent(share, 0.36, 2.0)
    assert with_two == pytest.approx(radial_thrust.single_volute_factor(share))


def test_curve_goes_through_its_points_and_repeats_a_parabola_between():
    curve = usual_curve()
    assert curve.head(Q) == pytest.approx(HEAD, rel=1e-12)
    assert curve.efficiency(Q[1:]) == pytest.approx(ETA[1:], rel=1e-12)
    between = np.linspace(0, 70, 71) / 3600
    assert curve.head(between) == pytest.approx(70 - 0.0035 * (between * 3600) ** 2, rel=1e-12)
    assert curve.head_slope(between) == pytest.approx(-0.007 * between * 3600**2, rel=1e-9, abs=1e-9)
    assert curve.npsh_required(between) == pytest.approx(1 + 3e-4 * (between * 3600) ** 2, rel=1e-12)


def test_best_point_lies_between_the_tested_ones():
    curve = usual_curve()
    # Power here is H/(104 - q): the spline's error, h^4 times the fourth derivative over 384, is 1.6e-4
    # of it, which at a flat maximum is 0.25 % of flow.
    assert curve.best_flow * 3600 == pytest.approx(52.0, rel=0.0025)
    assert curve.best_efficiency == pytest.approx(0.66, rel=1.7e-4)
    assert curve.best_head == pytest.approx(70 - 0.0035 * 52**2, abs=0.05)
    assert curve.shut_off_head == 70.0
    assert float(curve.rise_to_shut_off(50 / 3600)) == pytest.approx(70 / 61.25 - 1)


def test_power_is_finite_at_shut_off_and_efficiency_zero():
    curve = usual_curve()
    assert float(curve.efficiency(0.0)) == 0.0
    assert 0 < float(curve.power(0.0, 1000.0)) < float(curve.power(Q[1], 1000.0))
    assert float(curve.power(Q[3], 500.0)) == pytest.approx(
        shaft_power(Q[3], HEAD[3], 500.0, ETA[3]), rel=1e-12
    )


def test_tested_shut_off_power_is_kept():
    power = np.concatenate([[2.0], 9.80665 * (Q * HEAD)[1:] / ETA[1:]])
    curve = performance_curve(Q, HEAD, power_over_density=power)
    assert float(curve.power(0.0, 1.0)) == 2.0
    assert curve.warnings == ()
    assert np.isnan(curve.npsh_required(0.01))


def test_flows_outside_the_test_are_flagged_and_continued_straight():
    curve = usual_curve()
    assert messages(*curve.limits(np.array([0.0, 0.01]))) == ()
    assert messages(*curve.limits(np.array([0.01, 0.021]))) == (
        "flow beyond the last tested point: head and power are extrapolated",
        "flow outside the points at which NPSH3 was tested: NPSH3 is extrapolated",
    )
    assert curve.head(Q[-1] + 2e-3) - curve.head(Q[-1] + 1e-3) == pytest.approx(
        1e-3 * curve.head_slope(Q[-1])
    )


def test_shut_off_power_is_never_extrapolated_to_nothing():
    nearly_flat = [0.0, 0.60, 0.62, 0.64, 0.66, 0.66, 0.65, 0.60]
    curve = performance_curve(Q, HEAD, efficiency=nearly_flat)
    assert float(curve.power(0.0, 1.0)) == pytest.approx(0.5 * float(curve.power(Q[1], 1.0)))


def test_unstable_curve_is_named():
    head = np.array([60.0, 62.0, 63.0, 61.0, 57.0, 50.0, 42.0, 32.0])
    curve = performance_curve(Q, head, efficiency=ETA)
    assert not curve.is_stable
    flow, highest = curve.highest_head
    assert 60.0 < highest < 64.0
    assert Q[1] < flow < Q[3]
    assert curve.warnings[-1] == "the head curve is not stable: head does not fall all the way from shut-off"
    assert "flow on a rising part" in messages(*curve.limits(Q[1] / 2))[0]


def test_dip_after_a_falling_start_is_unstable_too():
    head = np.array([70.0, 66.0, 63.0, 62.0, 62.5, 61.0, 56.0, 48.0])
    assert not performance_curve(Q, head, efficiency=ETA).is_stable


def test_rising_efficiency_at_the_last_point_is_named():
    curve = performance_curve(Q[:5], HEAD[:5], efficiency=ETA[:5])
    assert curve.best_flow == Q[4]
    assert "the flow at best efficiency is not known" in curve.warnings[1]


@pytest.mark.parametrize(
    "head", [[50.0, 50.0, 50.0, 50.0, 10.0, 9.0, 8.0, 7.0], [60.0, 59.9, 59.8, 59.7, 30.0, 29.9, 29.8, 29.7]]
)
def test_steps_in_the_data_make_no_waves(head):
    curve = through_points(Q, head)
    between = value(curve, np.linspace(Q[0], Q[-1], 701))
    assert np.all(np.diff(between) <= 1e-9)


@given(
    st.lists(st.floats(0.01, 8.0), min_size=4, max_size=12),
    st.lists(st.floats(0.05, 3.0), min_size=4, max_size=12),
)
def test_falling_points_give_a_falling_curve(drops, steps):
    count = min(len(drops), len(steps))
    x = np.concatenate([[0.0], np.cumsum(steps[:count])])
    y = 100.0 - np.concatenate([[0.0], np.cumsum(drops[:count])])
    curve = through_points(x, y)
    assert value(curve, x) == pytest.approx(y, rel=1e-9)
    assert np.all(np.diff(value(curve, np.linspace(x[0], x[-1], 500))) < 1e-6)


def test_slope_is_the_derivative_of_the_value():
    for curve in (through_points(Q, HEAD + np.sin(Q * 400)), least_squares(Q, ETA, 4)):
        x, step = np.linspace(Q[0] + 1e-5, Q[-1] - 1e-5, 57), 1e-8
        numeric = (value(curve, x + step) - value(curve, x - step)) / (2 * step)
        assert slope(curve, x) == pytest.approx(numeric, rel=1e-4, abs=1e-3)


@pytest.mark.parametrize("degree", [1, 2, 3, 4])
def test_least_squares_is_numpys(degree):
    scattered = HEAD + np.array([0.3, -0.2, 0.1, -0.4, 0.2, 0.1, -0.3, 0.2])
    expected = np.polyval(np.polyfit(Q * 3600, scattered, degree), Q * 3600)
    assert value(least_squares(Q, scattered, degree), Q) == pytest.approx(expected, rel=1e-9)


def test_kernel_and_array_code_give_the_same_curve():
    arrays = usual_curve().arrays
    compiled = numba.njit(lambda a, q: (head_at(a, q), efficiency_at(a, q), npsh_required_at(a, q)))
    for flow in (0.0, Q[3], 0.0123, Q[-1], 0.03):
        array = [float(f(arrays, flow)) for f in (head_at, efficiency_at, npsh_required_at)]
        assert compiled(arrays, flow) == pytest.approx(array, rel=1e-14)
    assert np.isnan(compiled(arrays, np.nan)[0])


@pytest.mark.parametrize(
    ("change", "text"),
    [
        ({"efficiency": None}, "one of the two"),
        ({"efficiency": ETA * 2}, "between 0 and 1"),
        ({"head": -HEAD}, "heads more than zero"),
        ({"flow": Q[::-1]}, "rise strictly"),
    ],
)
def test_impossible_points_are_refused(change, text):
    given_points = {"flow": Q, "head": HEAD, "efficiency": ETA} | change
    with pytest.raises(ValueError, match=text):
        performance_curve(given_points.pop("flow"), given_points.pop("head"), **given_points)


@given(st.sampled_from(sorted(acceptance.GRADES)), st.floats(0.8, 1.25))
def test_the_guaranteed_curve_itself_always_passes(name, steepness):
    def exact(flow):
        return 60.0 - steepness * 500 * (flow - 0.0139)

    assert guarantee_point.judge_head(exact, 0.0139, 60.0, acceptance.GRADES[name]).passed


def test_pressure_of_a_head_of_water():
    assert differential_pressure(10.0, 1000.0) == pytest.approx(98066.5)
