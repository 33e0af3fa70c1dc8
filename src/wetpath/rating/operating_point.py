"""The operating point: head, efficiency, NPSH3 and power of a pump at the flows and speeds of the cases."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.machine.pump_file import PumpFile
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.pump.affinity import trim_limits
from wetpath.physics.pump.specific_speed import specific_speed_metric, suction_specific_speed_metric
from wetpath.physics.pump.viscosity_correction import (
    efficiency_factor,
    flow_factor,
    head_factor,
    viscosity_correction_limits,
    viscosity_parameter,
    viscous_npsh_required,
)
from wetpath.physics.validity import Limit, limit

Array = NDArray[np.float64]

#: Exponents with which flow and head follow the diameter of a trimmed impeller. Common practice.
TRIM_FLOW_EXPONENT, TRIM_HEAD_EXPONENT = 1.0, 2.0
#: Efficiency is not taken below this, so that a case beyond the end of the curve still has a power.
LEAST_EFFICIENCY = 0.02


@dataclass(frozen=True)
class OperatingPoint:
    """Hydraulics of a batch of cases; SI, first axis the case."""

    flow: Array
    head: Array
    efficiency: Array          # of the wet end, without coupling losses
    power_over_density: Array  # taken by the wet end over the density of the liquid, finite at zero flow [m5/s3]
    still_power_over_density: Array  # the same at zero flow
    npsh_required: Array
    shut_off_head: Array
    best_flow: Array           # flow of best efficiency at the case's speed, diameter and viscosity
    flow_share: Array          # flow over best_flow
    specific_speed: Array      # metric, at best efficiency
    suction_specific_speed: Array
    viscosity_parameter: Array
    tested_flow: Array         # flow of the test that the case corresponds to
    kinematic_viscosity: Array


def operating_point(pump: PumpFile, flow: Array, speed: Array, kinematic_viscosity: Array,
                    diameter: float | None = None) -> OperatingPoint:
    """Carry the tested curves to the speed, the fitted diameter and the viscosity of every case.

    Parameters
    ----------
    pump : PumpFile
    flow : array [m3/s]
    speed : array [rad/s]
    kinematic_viscosity : array [m2/s]
        Of the liquid at the suction.
    diameter : float [m], optional
        Another impeller diameter than the fitted one.

    Notes
    -----
    Affinity for speed, simple exponents for trim, the viscosity correction of HI 9.6.7 above B = 1;
    `operating_limits` tells where they are used outside their limits.
    """
    impeller, tested = pump.impeller, pump.impeller.tested
    curve = tested.curve
    per_flow, per_head = _per_tested(pump, speed, diameter or impeller.diameter)
    water_best_flow, water_best_head = curve.best_flow * per_flow, curve.best_head * per_head
    parameter = viscosity_parameter(kinematic_viscosity, water_best_flow, water_best_head, speed)
    # beyond B = 40 there is no method: the correction at its end is used, and the limit is reported
    held = np.minimum(parameter, 39.99)
    for_flow = flow_factor(held)
    water_flow = flow / for_flow
    at_test = water_flow / per_flow
    for_head = head_factor(for_flow, water_flow / water_best_flow)
    tested_head, tested_power = curve.head(at_test), curve.power(at_test, 1.0)
    head = np.maximum(tested_head * per_head * for_head, 0.1)
    for_efficiency = efficiency_factor(held)
    efficiency = np.maximum(STANDARD_GRAVITY * at_test * tested_head / tested_power * for_efficiency,
                            LEAST_EFFICIENCY)
    # P = rho g Q H / eta, each factor carried along, but without the pole of the efficiency at zero flow
    per_power = per_flow * per_head * for_flow / for_efficiency
    npsh_water = curve.npsh_required(at_test) * per_head
    best_npsh = curve.best_npsh_required * per_head
    npsh = viscous_npsh_required(npsh_water, best_npsh, water_best_flow, speed, for_head)
    best_flow = water_best_flow * for_flow
    return OperatingPoint(
        flow=flow, head=head, efficiency=efficiency, power_over_density=np.asarray(tested_power * for_head * per_power),
        still_power_over_density=curve.still_power_over_density * per_power, npsh_required=npsh,
        shut_off_head=curve.shut_off_head * per_head * np.ones_like(flow), best_flow=best_flow,
        flow_share=flow / best_flow, specific_speed=specific_speed_metric(speed, water_best_flow, water_best_head),
        suction_specific_speed=suction_specific_speed_metric(speed, water_best_flow, best_npsh),
        viscosity_parameter=parameter, tested_flow=at_test, kinematic_viscosity=kinematic_viscosity)


def operating_limits(pump: PumpFile, point: OperatingPoint, speed: Array) -> tuple[Limit, ...]:
    """Where tested flows, trim and viscosity correction are used outside their limits, element by element.

    Parameters
    ----------
    pump : PumpFile
    point : OperatingPoint
        Of the fitted impeller.
    speed : array [rad/s]
    """
    impeller, tested = pump.impeller, pump.impeller.tested
    per_flow, per_head = _per_tested(pump, speed, impeller.diameter)
    return (*tested.curve.limits(point.tested_flow),
            *trim_limits(np.full_like(point.tested_flow, impeller.diameter / tested.diameter)),
            *viscosity_correction_limits(point.kinematic_viscosity, tested.curve.best_flow * per_flow,
                                         tested.curve.best_head * per_head, speed),
            limit(f"efficiency fell below {LEAST_EFFICIENCY:.0%} and was held there; flow too small or too large",
                  point.efficiency <= LEAST_EFFICIENCY))


def _per_tested(pump: PumpFile, speed: Array, diameter: float) -> tuple[Array, Array]:
    """Flow and head at a speed and diameter over those tested."""
    tested = pump.impeller.tested
    faster, trim = np.asarray(speed) / tested.speed, diameter / tested.diameter
    return faster * trim**TRIM_FLOW_EXPONENT, faster**2 * trim**TRIM_HEAD_EXPONENT
