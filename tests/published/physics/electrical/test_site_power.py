"""What a motor gives at its site and speed, its losses at part load, and the classes of its efficiency."""

from math import log10, pi

import numpy as np
import pytest

from wetpath.edge.tables import motor_ratings
from wetpath.physics.electrical.motor import reference_ambient
from wetpath.physics.electrical.motor_loss import motor_loss
from wetpath.physics.electrical.site_power import (
    ambient_power_share,
    efficiency_class_asked,
    speed_power_share,
    synchronous_speed,
)

# Derating over the temperature of the air, as motor lists of the trade print it, up to 1000 m; remembered, no page
# named. They scatter by 0.01 to 0.02 among each other.
DERATING = {40: 1.00, 45: 0.96, 50: 0.92, 55: 0.87, 60: 0.82}
# IEC 60034-30-1, coefficients of class IE4 at 50 Hz, as for IE3 in test_edge_tables_rows. Recalled.
IE4_50_HZ = {2: (0.3400, -3.0479, 10.2930, 84.8208), 4: (0.2412, -2.3608, 8.4460, 86.8321)}


@pytest.mark.common_practice
@pytest.mark.parametrize("celsius", DERATING)
def test_derating_in_warm_air_is_that_of_the_trade(against, celsius):
    against("winding-rise-balance", "common practice", f"power share of a motor in air of {celsius} degC",
            ambient_power_share(celsius + 273.15, reference_ambient(0.0)), DERATING[celsius], abs=0.015)


@pytest.mark.common_practice
def test_derating_at_altitude_is_that_of_the_trade(against):
    """Motor lists print some 0.94 for 2000 m and 0.86 for 3000 m at 40 degC; remembered."""
    for altitude, printed in ((2000.0, 0.94), (3000.0, 0.86)):
        against("winding-rise-balance", "common practice", f"power share of a motor at {altitude:.0f} m and 40 degC",
                ambient_power_share(313.15, reference_ambient(altitude)), printed, abs=0.015)


def test_cold_air_gives_no_more_and_hot_air_nothing():
    assert ambient_power_share(253.15, 313.15) == 1.0
    assert ambient_power_share(313.15 + 80.0, 313.15) == 0.0
    assert np.isnan(ambient_power_share(300.0, reference_ambient(5000.0)))
    assert np.all(np.diff(ambient_power_share(np.linspace(310.0, 370.0, 30), 313.15)) <= 0)


@pytest.mark.published("iec-60034-1", status="recalled")
@pytest.mark.parametrize(("frequency", "poles", "rpm"), [(50, 2, 3000), (50, 4, 1500), (60, 2, 3600), (60, 6, 1200)])
def test_field_speeds(against, frequency, poles, rpm):
    against("iec-60034-1", "recalled", f"synchronous speed, {frequency} Hz, {poles} poles",
            synchronous_speed(frequency, poles) * 30 / pi, rpm, rel=1e-12, unit="rpm")


def test_power_on_an_inverter_follows_torque_times_speed():
    rated = 300.0
    for speed in (100.0, 250.0):
        assert speed_power_share(speed, rated, False) == pytest.approx(speed / rated)
        assert speed_power_share(speed, rated, True) / (speed / rated) == pytest.approx((speed / rated) ** 2)
    assert speed_power_share(360.0, rated, True) == speed_power_share(360.0, rated, False) == 1.0


@pytest.mark.published("iec-60034-30-1", status="recalled")
@pytest.mark.parametrize("poles", [2, 4])
def test_better_class_follows_the_formula_of_the_standard(against, poles):
    a, b, c, d = IE4_50_HZ[poles]
    for rating in motor_ratings(poles, "IE4"):
        if 750 <= rating.power <= 200e3:
            x = log10(rating.power / 1e3)
            against("iec-60034-30-1", "recalled", f"IE4 efficiency, {poles} poles, {rating.power / 1e3:g} kW",
                    100 * rating.efficiency, a * x**3 + b * x**2 + c * x + d, abs=0.11, unit="%")


def test_better_class_is_better():
    for poles in (2, 4):
        for usual, better in zip(motor_ratings(poles), motor_ratings(poles, "IE4"), strict=True):
            assert better.efficiency > usual.efficiency
            assert better.power == usual.power


@pytest.mark.published("eu-2019-1781", status="recalled")
@pytest.mark.parametrize(("kilowatt", "protected", "asked"), [
    (0.55, False, ""), (0.75, False, "IE3"), (55, False, "IE3"), (75, False, "IE4"), (75, True, "IE3"),
    (200, False, "IE4"), (250, False, "IE3"), (1100, False, "")])
def test_classes_of_the_european_rule(kilowatt, protected, asked):
    assert efficiency_class_asked(kilowatt * 1e3, 2, protected) == asked


@pytest.mark.common_practice
def test_efficiency_is_flat_from_half_load_up():
    """Motors of some 15 kW lose less than 1.5 points from full to half load; common knowledge of the trade."""
    rated, efficiency = 15e3, 0.919
    for load in (0.5, 0.75, 1.0):
        power = load * rated
        assert power / (power + motor_loss(power, rated, efficiency)) == pytest.approx(efficiency, abs=0.015)


def test_loss_at_rated_power_is_that_of_the_nameplate():
    assert motor_loss(15e3, 15e3, 0.919) == pytest.approx(15e3 / 0.919 - 15e3)
    assert motor_loss(0.0, 15e3, 0.919) == pytest.approx(0.35 * (15e3 / 0.919 - 15e3))


def test_copper_loss_goes_with_the_square_of_load():
    still, half, full = (motor_loss(load * 15e3, 15e3, 0.919) for load in (0.0, 0.5, 1.0))
    assert (half - still) / (full - still) == pytest.approx(0.25)
