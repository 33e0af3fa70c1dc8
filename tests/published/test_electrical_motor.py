"""Motors: margin rule of API 610, torque, start, tolerance and altitude of IEC 60034-1 (recalled)."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetpath.physics.electrical.motor import (
    least_efficiency,
    margin_asked,
    motor_limits,
    rated_power_needed,
    reference_ambient,
    shaft_torque,
    starting_share,
)
from wetpath.physics.validity import messages

API, IEC = "api-610-motor-margin", "iec-60034-1"
# IEC 60072-1, recalled
SERIES = 1e3 * np.array(
    [
        0.37,
        0.55,
        0.75,
        1.1,
        1.5,
        2.2,
        3,
        4,
        5.5,
        7.5,
        11,
        15,
        18.5,
        22,
        30,
        37,
        45,
        55,
        75,
        90,
        110,
        132,
        160,
        200,
        250,
        315,
        355,
    ]
)


@pytest.mark.published(API, status="recalled")
@pytest.mark.parametrize(
    ("case", "pump", "want"),
    [("M1", 12.6, 18.5), ("M2: 22 kW is in the 1.15 band", 17.7, 22), ("M3: floor", 2.0, 4)],
)
def test_motor_needed(case, pump, want, against):
    against(API, "computed", case, rated_power_needed(pump * 1e3, SERIES) / 1e3, want, rel=1e-12, unit="kW")


@pytest.mark.published(API, status="recalled")
def test_margins_at_the_breaks(against):
    for rated, want in ((4, 1.25), (18.5, 1.25), (22, 1.15), (55, 1.15), (75, 1.10)):
        against(API, "recalled", f"margin of a {rated} kW motor", margin_asked(rated * 1e3), want, rel=1e-12)


@given(st.floats(0.1e3, 300e3))
def test_motor_needed_is_the_least_that_carries(pump):
    rated = float(rated_power_needed(pump, SERIES))
    assert rated >= margin_asked(rated) * pump * (1 - 1e-9)
    smaller = SERIES[(rated > SERIES) & (SERIES >= 4e3)]
    assert np.all(smaller < margin_asked(smaller) * pump)


def test_series_that_ends_too_early_gives_no_motor():
    assert np.isinf(rated_power_needed(400e3, SERIES))
    assert rated_power_needed(np.array([2e3, 400e3]), SERIES).tolist() == [4e3, np.inf]


def test_other_breaks_can_be_set():
    assert rated_power_needed(12.6e3, SERIES, 0.0, (15e3, 55e3)) == 15e3


@pytest.mark.published("rotating-mass", status="exact")
def test_torque_and_start(against):
    torque = shaft_torque(15e3, 2950 * np.pi / 30)
    against("rotating-mass", "computed", "M4 torque", torque, 48.556, rel=1e-4, unit="N m")
    against(
        "rotating-mass",
        "computed",
        "M5 share",
        starting_share(2.5 * torque, 0.045, 0.020),
        37.35,
        rel=2e-4,
        unit="N m",
    )
    against(
        "rotating-mass",
        "computed",
        "M5 share, heavier rotor",
        starting_share(2.5 * torque, 0.045, 0.050),
        63.89,
        rel=2e-4,
        unit="N m",
    )


@given(st.floats(10, 500), st.floats(0.001, 1), st.floats(0.001, 1), st.floats(0, 1))
def test_both_sides_accelerate_alike(motor, drive, pump, load_share):
    load = load_share * motor
    through = starting_share(motor, drive, pump, load)
    assert (motor - through) / drive == pytest.approx((through - load) / pump, rel=1e-6, abs=1e-6 * motor / drive)


@pytest.mark.published(IEC, status="recalled")
def test_tolerance_on_efficiency(against):
    against(
        IEC,
        "recalled",
        "M6: 91.9 % at 15 kW",
        100 * least_efficiency(0.919, 15e3),
        90.685,
        abs=1e-9,
        unit="%",
    )
    against(IEC, "recalled", "95.8 % at 200 kW", 100 * least_efficiency(0.958, 200e3), 95.38, abs=1e-9, unit="%")


@pytest.mark.published(IEC, status="recalled")
def test_altitude(against):
    for height, want in ((0, 40.0), (1000, 40.0), (2000, 32.0), (3000, 24.0), (4000, 16.0)):
        against(
            IEC,
            "recalled",
            f"reference ambient at {height} m",
            reference_ambient(height) - 273.15,
            want,
            abs=1e-9,
            unit="degC",
        )
    assert np.isnan(reference_ambient(4500.0))
    assert messages(*motor_limits(500.0, 303.15)) == ()
    assert messages(*motor_limits(2000.0, 308.15)) == (
        "ambient temperature above that of the motor's rating at this altitude: derate or take the maker's figure",
    )
    assert messages(*motor_limits(4500.0, 308.15)) == (
        "altitude above 4000 m: outside IEC 60034-1, ask the motor's maker",
    )


def test_conditions_outside_the_rating_are_named():
    assert messages(*motor_limits(0.0, 273.15 - 14.9)) == ()
    assert messages(*motor_limits(0.0, 273.15 - 15.1)) == (
        "ambient temperature below -15 degC: outside the usual conditions of IEC 60034-1",
    )
    assert messages(*motor_limits(1000.0, 273.15 + 39.9)) == ()
    assert len(messages(*motor_limits(1000.0, 273.15 + 40.1))) == 1
    assert np.isfinite(reference_ambient(3999.0))
