"""The operating point: head, efficiency, NPSH3 and power of a pump at the flows and speeds of the cases."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.machine.pump_file import PumpFile
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
    npsh_required: Array
    shut_off_head: Array
    best_flow: Array           # flow of best efficiency at the case's speed, diameter and viscosity
    flow_share: Array          # flow over best_flow
    specific_speed: Array      # metric, at best efficiency
    suction_specific_speed: Array
    viscosity_parameter: Array
    limits: tuple[Limit, ...]


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
    Affinity for speed, simple exponents for trim, the viscosity correction of HI 9.6.7 above B = 1; the limits of
    each, and of the tested flows, are in ``limits``, element by element.
    """
    impeller, tested = pump.impeller, pump.impeller.tested
    curve = tested.curve
    faster = np.asarray(speed) / tested.speed
    trim = (diameter or impeller.diameter) / tested.diameter
    per_flow = faster * trim**TRIM_FLOW_EXPONENT
    per_head = faster**2 * trim**TRIM_HEAD_EXPONENT
    water_best_flow, water_best_head = curve.best_flow * per_flow, curve.best_head * per_head
    parameter = viscosity_parameter(kinematic_viscosity, water_best_flow, water_best_head, speed)
    # beyond B = 40 there is no method: the correction at its end is used, and the limit is reported
    held = np.minimum(parameter, 39.99)
    for_flow = flow_factor(held)
    water_flow = flow / for_flow
    at_test = water_flow / per_flow
    for_head = head_factor(for_flow, water_flow / water_best_flow)
    head = np.maximum(curve.head(at_test) * per_head * for_head, 0.1)
    for_efficiency = efficiency_factor(held)
    efficiency = np.maximum(curve.efficiency(at_test) * for_efficiency, LEAST_EFFICIENCY)
    # P = rho g Q H / eta, each factor carried along, but without the pole of the efficiency at zero flow
    power = curve.power(at_test, 1.0) * per_flow * per_head * for_flow * for_head / for_efficiency
    npsh_water = curve.npsh_required(at_test) * per_head
    best_npsh = float(curve.npsh_required(curve.best_flow)) * per_head
    npsh = viscous_npsh_required(npsh_water, best_npsh, water_best_flow, speed, for_head)
    best_flow = water_best_flow * for_flow
    limits = (*curve.limits(at_test), *trim_limits(np.full_like(at_test, trim)),
              *viscosity_correction_limits(kinematic_viscosity, water_best_flow, water_best_head, speed),
              limit(f"efficiency fell below {LEAST_EFFICIENCY:.0%} and was held there; flow too small or too large",
                    efficiency <= LEAST_EFFICIENCY))
    return OperatingPoint(
        flow=flow, head=head, efficiency=efficiency, power_over_density=np.asarray(power), npsh_required=npsh,
        shut_off_head=curve.shut_off_head * per_head * np.ones_like(flow), best_flow=best_flow,
        flow_share=flow / best_flow, specific_speed=specific_speed_metric(speed, water_best_flow, water_best_head),
        suction_specific_speed=suction_specific_speed_metric(speed, water_best_flow, best_npsh),
        viscosity_parameter=parameter, limits=limits)
