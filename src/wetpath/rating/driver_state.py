"""The motor at its site and the power the pump may ask of it, over the whole curve and with water."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.edge.quantities import POWER
from wetpath.edge.tables import EfficiencyClass, motor_ratings
from wetpath.edge.units import express
from wetpath.errors import LimitError
from wetpath.machine.drive_end import Driver
from wetpath.machine.impeller import TEST_WATER
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.constants import ZERO_CELSIUS
from wetpath.physics.electrical.motor import least_efficiency, motor_limits, rated_power_needed, reference_ambient
from wetpath.physics.electrical.motor_loss import motor_loss
from wetpath.physics.electrical.site_power import (
    ambient_power_share,
    efficiency_class_asked,
    speed_power_share,
    synchronous_speed,
)
from wetpath.physics.validity import Limit, limit
from wetpath.rating.machine_arrays import cold_pull_out
from wetpath.rating.operating_point import operating_point
from wetpath.rating.per_pump import once_per_pump
from wetpath.words import told

if TYPE_CHECKING:
    from wetpath.rating.situation import Situation

Array = NDArray[np.float64]

#: Flows at which the power is looked at, from shut-off to the end of the curve.
POINTS = 41
SHARES = np.linspace(0.0, 1.0, POINTS)
#: A case at another speed than that of a motor without inverter by more than this is pointed out.
SPEED_ROOM = 0.03


@dataclass(frozen=True, eq=False)
class DriverState:
    """Powers at the motor shaft and what the motor can give; SI, first axis the case."""

    rated_power: float             # on the nameplate
    off_synchronous: float         # distance of rated speed from that of the supply's field, as a share; 0: inverter
    air_share: float               # what the motor gives in the air of the site over its rated power
    available: Array               # what it gives there at the speed of the case
    highest_power: Array           # largest shaft power from shut-off to the end of the curve
    highest_power_flow: Array      # where
    shut_off_power: Array          # shaft power at zero flow
    recommended: float             # rated power with margin and over the whole curve, of the series; inf: beyond it
    efficiency: float              # at rated power, NaN when not known
    class_asked: str               # of motor efficiency, by the enquiry; empty: none
    efficiency_asked: float        # NaN when none is asked or known
    input_power: Array             # from the supply, without inverter
    largest_input_power: Array     # with the motor at the tolerance of its efficiency
    water_power: Array             # shaft power of the same flow with water at the works test; NaN where it is one
    water_coupling_ratio: Array    # pull-out torque of cold magnets over running torque then
    limits: tuple[Limit, ...]


def driver_state(situation: Situation) -> DriverState:
    """Powers and limits of the motor in every case.

    Notes
    -----
    Along the curve the losses of coupling, bearings and drags are those of the case: they hardly change with
    flow, and the eddy loss falls a little as the load angle grows.
    """
    demands, losses, driver = situation.demands, situation.losses, situation.pump.driver
    available = power_available(situation)
    flows, powers = _along_the_curve(situation)
    highest = powers.argmax(axis=1)
    cases = np.arange(situation.count)
    efficiency = driver.efficiency or tabled_efficiency(driver, driver.efficiency_class)
    asked = _class_asked(situation)
    loss = motor_loss(losses.shaft, driver.rated_power, efficiency)
    at_worst = motor_loss(losses.shaft, driver.rated_power, least_efficiency(efficiency, driver.rated_power))
    water_power, water_ratio = _on_water(situation)
    highest_power = powers[cases, highest]
    return DriverState(
        rated_power=driver.rated_power, off_synchronous=_off_synchronous(driver, demands.site.frequency),
        air_share=_air_share(situation), available=available, highest_power=highest_power,
        highest_power_flow=flows[cases, highest], shut_off_power=powers[:, 0],
        recommended=_recommended(situation, highest_power, available / driver.rated_power), efficiency=efficiency,
        class_asked=asked, efficiency_asked=tabled_efficiency(driver, asked), input_power=losses.shaft + loss,
        largest_input_power=losses.shaft + at_worst, water_power=water_power, water_coupling_ratio=water_ratio,
        limits=_limits(situation, efficiency, available, water_power, water_ratio))


def power_available(situation: Situation) -> Array:
    """What the motor gives continuously in the air of the site and at the speed of every case [W]."""
    driver = situation.pump.driver
    share = np.full(situation.count, driver.rated_power * _air_share(situation))
    if driver.inverter is not None:
        share = share * speed_power_share(situation.solved.inputs.speed, driver.speed,
                                          driver.inverter.cooling == "fan on the shaft")
    return share


def _air_share(situation: Situation) -> float:
    return _air_share_at(situation.demands.air_highest, max(situation.demands.site.altitude, 0.0))


@lru_cache(maxsize=512)
def _air_share_at(air: float, altitude: float) -> float:
    return float(ambient_power_share(air, reference_ambient(altitude)))


def tabled_efficiency(driver: Driver, efficiency_class: str) -> float:
    """Least efficiency of a class at the rating of the motor; between two ratings that of the larger, else NaN."""
    name: EfficiencyClass
    for name in ("IE3", "IE4"):
        if name == efficiency_class:
            try:
                series = motor_ratings(driver.poles, name)
            except LimitError:
                return float("nan")
            return next((one.efficiency for one in series if one.power >= driver.rated_power * (1 - 1e-9)),
                        float("nan"))
    return float("nan")


def _along_the_curve(situation: Situation) -> tuple[Array, Array]:
    """Flows from shut-off to the end of the curve, and the shaft power at each; (cases, POINTS)."""
    pump, inputs, losses = situation.pump, situation.solved.inputs, situation.losses
    impeller = pump.impeller
    faster = inputs.speed / impeller.tested.speed
    end = (impeller.tested.curve.last_flow * impeller.diameter / impeller.tested.diameter
           if impeller.highest_flow is None else impeller.highest_flow) * faster
    flows = end[:, None] * SHARES
    kinematic = situation.solved.point.kinematic_viscosity
    point = operating_point(pump, flows.ravel(), np.repeat(inputs.speed, POINTS), np.repeat(kinematic, POINTS))
    wet_end = situation.scalars[:, solve.DENSITY_IN, None] * point.power_over_density.reshape(flows.shape)
    others = losses.shaft - losses.hydraulic - losses.wet_end
    return flows, wet_end + others[:, None]


def _recommended(situation: Situation, highest_power: Array, share: Array) -> float:
    """Smallest rating of the series with the margin over rated and normal cases, and no less than any case may take."""
    practice, demands = situation.practice, situation.demands
    series = _rated_powers()
    floor = practice["motor_rating_least"].value if demands.service == "hydrocarbon" else 0.0
    with_margin = floor
    if demands.in_preferred.any():
        with_margin = float(rated_power_needed(
            (situation.losses.shaft / share)[demands.in_preferred].max(), series, floor,
            (practice["motor_margin_first_break"].value, practice["motor_margin_second_break"].value),
            (practice["motor_margin_small"].value, practice["motor_margin_medium"].value,
             practice["motor_margin_large"].value)))
    most = float((np.where(demands.supervised, situation.losses.shaft, highest_power) / share).max())
    enough = series[series >= max(most, floor) * (1 - 1e-9)]
    return max(with_margin, float(enough[0]) if enough.size else float("inf"))


@lru_cache(maxsize=1)
def _rated_powers() -> Array:
    return np.array([one.power for one in motor_ratings(2)])


def _off_synchronous(driver: Driver, frequency: float) -> float:
    if driver.inverter is not None:
        return 0.0
    return abs(1 - driver.speed / synchronous_speed(frequency, driver.poles))


def _class_asked(situation: Situation) -> str:
    site, driver = situation.demands.site, situation.pump.driver
    if site.motor_efficiency == "EU 2019/1781":
        return str(efficiency_class_asked(driver.rated_power, driver.poles, site.temperature_class != "none"))
    return "" if site.motor_efficiency == "none" else site.motor_efficiency


def _on_water(situation: Situation) -> tuple[Array, Array]:
    """Shaft power, and pull-out of cold magnets over torque, at the same flow with water; NaN at works tests.

    What the impeller takes goes with the density; eddy loss and drags are those of the case.
    """
    losses, pump = situation.losses, situation.pump
    heavier = TEST_WATER / situation.scalars[:, solve.DENSITY_IN]
    more = (heavier - 1) * (losses.hydraulic + losses.wet_end)
    _, pull_out = cold_pull_out(pump)
    ratio = pull_out / (losses.torque + more / situation.solved.inputs.speed)
    tested = situation.demands.works_test
    return np.where(tested, np.nan, losses.shaft + more), np.where(tested, np.nan, ratio)


def _limits(situation: Situation, efficiency: float, available: Array, water_power: Array, water_ratio: Array
            ) -> tuple[Limit, ...]:
    demands, driver, inputs = situation.demands, situation.pump.driver, situation.solved.inputs
    asked = demands.in_preferred & ~demands.works_test.any()
    rated = _rated_shown(situation.pump)
    too_strong, too_near = (asked & (water_power > driver.rated_power),
                            asked & (water_ratio < situation.practice["coupling_margin_running"].value))
    other = np.abs(inputs.speed / driver.speed - 1) > SPEED_ROOM
    return (
        *motor_limits(demands.site.altitude, demands.air_highest),
        limit("lowest temperature of the air below -15 degC: outside the usual conditions of IEC 60034-1",
              demands.air_lowest < ZERO_CELSIUS - 15),
        limit(told("no efficiency is tabled here for a motor of {rated} with {poles} poles: its losses are not "
                   "computed", rated=rated, poles=driver.poles), np.isnan(efficiency)),
        limit("a case runs at another speed than the motor, and the pump file has no inverter",
              other & (driver.inverter is None)),
        *([limit(told("a works test with water at the flow of a rated or normal case would take up to {water_power}, "
                      "more than the {rated} of the motor: limit flow or speed of the test, or test with another "
                      "motor", water_power=express(_most(water_power, asked), POWER), rated=rated), too_strong)]
          if too_strong.any() else []),
        *([limit(told("a works test with water at the flow of a rated or normal case would load the coupling to "
                      "{share:.0%} of the pull-out torque of cold magnets, too near for the margin of the practice: "
                      "limit flow or speed of the test", share=1 / max(_least(water_ratio, asked), 1e-9)), too_near)]
          if too_near.any() else []),
        limit("the motor can give nothing in the air of this site", available <= 0))


@once_per_pump
def _rated_shown(pump: PumpFile) -> str:
    """Rated power of the motor, in words."""
    return express(pump.driver.rated_power, POWER)


def _most(values: Array, chosen: NDArray[np.bool_]) -> float:
    return float(np.nanmax(values[chosen])) if chosen.any() else float("nan")


def _least(values: Array, chosen: NDArray[np.bool_]) -> float:
    return float(np.nanmin(values[chosen])) if chosen.any() else float("nan")
