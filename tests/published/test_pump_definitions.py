"""Power, affinity, specific speed, temperature rise: definitions evaluated by hand to four digits or five."""

import numpy as np
import pytest

from wetpath.physics.pump.affinity import at_speed, trim_limits, trimmed
from wetpath.physics.pump.hydraulic_power import hydraulic_power, shaft_power
from wetpath.physics.pump.specific_speed import (
    specific_speed_metric,
    specific_speed_us,
    suction_specific_speed_metric,
    suction_specific_speed_us,
    type_number,
)
from wetpath.physics.pump.temperature_rise import (
    bulk_temperature_rise,
    enthalpy_rise,
    heating_rate_shut_in,
    least_thermal_flow,
)
from wetpath.physics.validity import messages

RPM, HOURLY = np.pi / 30, 1 / 3600
HAND = "handbook-affinity-arithmetic"


def test_hydraulic_and_shaft_power(against):
    against(
        HAND,
        "computed",
        "H1 hydraulic power",
        hydraulic_power(50 * HOURLY, 60.0, 1000.0),
        8172,
        rel=1e-4,
        unit="W",
    )
    against(
        HAND,
        "computed",
        "H2 shaft power",
        shaft_power(50 * HOURLY, 60.0, 1000.0, 0.65),
        12573,
        rel=1e-4,
        unit="W",
    )


def test_affinity_and_trim(against):
    for name, ours, want in zip(
        ("flow", "head", "power"),
        at_speed(50.0, 60.0, 15.0, 1450 / 2950),
        (24.576, 14.496, 1.7813),
        strict=True,
    ):
        against("affinity-laws", "computed", f"H3 {name} at 1450 r/min", ours, want, rel=1e-4)
    for name, ours, want in zip(
        ("flow", "head", "power"), trimmed(50.0, 60.0, 15.0, 190 / 209), (45.455, 49.587, 11.270), strict=True
    ):
        against("impeller-trim", "computed", f"H4 {name} at 190 mm", ours, want, rel=1e-4)


@pytest.mark.common_practice
@pytest.mark.parametrize(("ratio", "count"), [(1.0, 0), (0.901, 0), (0.899, 1), (0.851, 1), (0.849, 2), (1.01, 1)])
def test_deep_trims_are_flagged(ratio, count):
    assert len(messages(*trim_limits(ratio))) == count


@pytest.mark.parametrize(
    ("case", "speed", "flow", "head", "want"),
    [("H5", 2950, 50, 50, 18.490), ("H6", 2950, 110, 77, 19.838), ("H7", 1475, 100, 20, 25.994)],
)
def test_specific_speed(case, speed, flow, head, want, against):
    against(
        "specific-speed",
        "computed",
        f"{case} nq",
        specific_speed_metric(speed * RPM, flow * HOURLY, head),
        want,
        rel=5e-4,
    )


def test_specific_speed_in_its_other_forms(against):
    point = (2950 * RPM, 50 * HOURLY, 50.0)
    against("specific-speed", "computed", "H5 US", specific_speed_us(*point), 954.9, rel=5e-4)
    against("specific-speed", "computed", "H5 type number", type_number(*point), 0.34939, rel=5e-4)
    against(
        "specific-speed",
        "computed",
        "US over metric",
        specific_speed_us(*point) / specific_speed_metric(*point),
        51.645,
        rel=2e-5,
    )
    against(
        "specific-speed",
        "computed",
        "metric over type number",
        specific_speed_metric(*point) / type_number(*point),
        52.919,
        rel=2e-5,
    )
    suction = (2950 * RPM, 50 * HOURLY, 3.0)
    against(
        "specific-speed",
        "computed",
        "H8 suction, metric",
        suction_specific_speed_metric(*suction),
        152.5,
        rel=1e-3,
    )
    against("specific-speed", "computed", "H8 suction, US", suction_specific_speed_us(*suction), 7876, rel=1e-3)


@pytest.mark.parametrize(
    ("case", "head", "efficiency", "heat_capacity", "want"),
    [("H9", 60.0, 0.20, 4184.4, 0.5625), ("H10", 120.0, 0.10, 2666.2, 3.972)],
)
def test_bulk_temperature_rise(case, head, efficiency, heat_capacity, want, against):
    against(
        "energy-balance",
        "computed",
        f"{case} temperature rise",
        bulk_temperature_rise(head, efficiency, heat_capacity),
        want,
        rel=1e-3,
        unit="K",
    )


def test_enthalpy_rise_splits_into_head_and_heat():
    head, efficiency, heat_capacity = 60.0, 0.2, 4184.4
    heat = bulk_temperature_rise(head, efficiency, heat_capacity) * heat_capacity
    assert enthalpy_rise(head, efficiency) == pytest.approx(heat + 9.80665 * head, rel=1e-12)


def test_least_thermal_flow_and_shut_in_heating(against):
    against(
        "energy-balance",
        "computed",
        "T1 least thermal flow, propane",
        least_thermal_flow(4000.0, 500.06, 2666.2, 2.0) * 3600,
        5.400,
        rel=1e-3,
        unit="m3/h",
    )
    against(
        "energy-balance",
        "computed",
        "T2 least thermal flow, water",
        least_thermal_flow(3000.0, 998.16, 4184.4, 8.0) * 3600,
        0.3232,
        rel=1e-3,
        unit="m3/h",
    )
    against(
        "energy-balance",
        "computed",
        "T10 shut in",
        heating_rate_shut_in(5500.0, 12 * 4184.0 + 40 * 480.0) * 60,
        4.754,
        rel=1e-3,
        unit="K/min",
    )


@pytest.mark.parametrize(("rise_fahrenheit", "divisor"), [(15, 2.95), (20, 3.93), (10, 1.96)])
def test_least_thermal_flow_in_the_customary_form(rise_fahrenheit, divisor, against):
    # Public engineering pages print US gal/min = BHP/(divisor x cp x s); water at 8.33 lb/gal.
    flow = least_thermal_flow(100 * 745.69987, 998.0, 4186.8, rise_fahrenheit / 1.8)
    against(
        "customary-thermal-flow",
        "read",
        f"T3 divisor at {rise_fahrenheit} degF",
        100 / (flow / (0.003785411784 / 60)),
        divisor,
        rel=5e-3,
    )
