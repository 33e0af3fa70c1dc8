"""A tested curve carried to the speed, the diameter and the viscosity of many flows, compiled."""

from typing import Any, NamedTuple

import numpy as np

from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.published import compiled
from wetpath.physics.pump.performance_curve import CurveArrays, head_at, npsh_required_at, power_over_density_at
from wetpath.physics.pump.specific_speed import specific_speed_metric, suction_specific_speed_metric
from wetpath.physics.pump.viscosity_correction import (
    efficiency_factor,
    flow_factor,
    head_factor,
    viscosity_parameter,
    viscous_npsh_required,
)

Numeric = Any

#: Efficiency is not taken below this, so that a case beyond the end of the curve still has a power.
LEAST_EFFICIENCY = 0.02
#: Head is not taken below this [m].
LEAST_HEAD = 0.1
#: Beyond B = 40 there is no method: the correction at its end is used.
LARGEST_PARAMETER = 39.99

# Rows of what is found.
(HEAD, EFFICIENCY, POWER_OVER_DENSITY, STILL_POWER_OVER_DENSITY, NPSH_REQUIRED, SHUT_OFF_HEAD, BEST_FLOW, FLOW_SHARE,
 SPECIFIC_SPEED, SUCTION_SPECIFIC_SPEED, VISCOSITY_PARAMETER, TESTED_FLOW) = range(12)
ROWS = 12


class CarriedCurve(NamedTuple):
    """A tested curve and the diameter it is carried to; SI."""

    curves: CurveArrays
    speed: float              # of the test [rad/s]
    trim_flow: float          # flow at the diameter over flow at the tested one
    trim_head: float          # the same of the head
    best_flow: float          # at test
    best_head: float
    best_npsh: float
    shut_off_head: float
    still_power: float        # over density, at no flow


@compiled
def carried_points(tested: CarriedCurve, flow: Numeric, speed: Numeric, kinematic_viscosity: Numeric) -> Numeric:
    """Head, efficiency, power, NPSH3 and what belongs to them at many flows, (ROWS, flows).

    Parameters
    ----------
    tested : CarriedCurve
    flow, speed, kinematic_viscosity : array (flows,) [m3/s], [rad/s], [m2/s]

    Returns
    -------
    array (ROWS, flows), SI, rows as named in this module.

    Notes
    -----
    Affinity for speed and trim, then the viscosity correction of HI 9.6.7 above B = 1; the sources stand with the
    formulas. Power is carried factor by factor, P = rho g Q H / eta, without the pole of the efficiency at no flow.
    """
    found = np.empty((ROWS, flow.size))
    for i in range(flow.size):
        faster = speed[i] / tested.speed
        per_flow, per_head = faster * tested.trim_flow, faster * faster * tested.trim_head
        water_best_flow, water_best_head = tested.best_flow * per_flow, tested.best_head * per_head
        parameter = viscosity_parameter(kinematic_viscosity[i], water_best_flow, water_best_head, speed[i])
        held = np.minimum(parameter, LARGEST_PARAMETER)
        for_flow = flow_factor(held)
        for_efficiency = efficiency_factor(held)
        water_flow = flow[i] / for_flow
        at_test = water_flow / per_flow
        for_head = head_factor(for_flow, water_flow / water_best_flow)
        head, power = head_at(tested.curves, at_test), power_over_density_at(tested.curves, at_test)
        best_npsh = tested.best_npsh * per_head
        per_power = per_flow * per_head * for_flow / for_efficiency
        found[HEAD, i] = np.maximum(head * per_head * for_head, LEAST_HEAD)
        found[EFFICIENCY, i] = np.maximum(STANDARD_GRAVITY * at_test * head / power * for_efficiency,
                                          LEAST_EFFICIENCY)
        found[POWER_OVER_DENSITY, i] = power * for_head * per_power
        found[STILL_POWER_OVER_DENSITY, i] = tested.still_power * per_power
        found[NPSH_REQUIRED, i] = viscous_npsh_required(npsh_required_at(tested.curves, at_test) * per_head, best_npsh,
                                                        water_best_flow, speed[i], for_head)
        found[SHUT_OFF_HEAD, i] = tested.shut_off_head * per_head
        found[BEST_FLOW, i] = water_best_flow * for_flow
        found[FLOW_SHARE, i] = flow[i] / found[BEST_FLOW, i]
        found[SPECIFIC_SPEED, i] = specific_speed_metric(speed[i], water_best_flow, water_best_head)
        found[SUCTION_SPECIFIC_SPEED, i] = suction_specific_speed_metric(speed[i], water_best_flow, best_npsh)
        found[VISCOSITY_PARAMETER, i] = parameter
        found[TESTED_FLOW, i] = at_test
    return found
