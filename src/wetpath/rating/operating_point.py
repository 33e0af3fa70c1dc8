"""The operating point: head, efficiency, NPSH3 and power of a pump at the flows and speeds of the cases."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.machine.pump_file import PumpFile
from wetpath.physics.pump.affinity import trim_limits
from wetpath.physics.pump.carried_curve import LEAST_EFFICIENCY, CarriedCurve, carried_points
from wetpath.physics.pump.viscosity_correction import viscosity_correction_limits
from wetpath.physics.validity import Limit, limit
from wetpath.rating.per_pump import once_per_pump
from wetpath.words import told

Array = NDArray[np.float64]

#: Exponents with which flow and head follow the diameter of a trimmed impeller. Common practice.
TRIM_FLOW_EXPONENT, TRIM_HEAD_EXPONENT = 1.0, 2.0


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
    carried = _fitted(pump) if diameter is None else _carried(pump, diameter)
    if not flow.shape == speed.shape == kinematic_viscosity.shape:
        flow, speed, kinematic_viscosity = (one.copy() for one in np.broadcast_arrays(flow, speed, kinematic_viscosity))
    shape = flow.shape
    rows = carried_points(carried, np.ravel(flow), np.ravel(speed), np.ravel(kinematic_viscosity))
    (head, efficiency, power, still_power, npsh, shut_off, best_flow, share, specific_speed, suction_specific_speed,
     parameter, at_test) = rows if len(shape) == 1 else rows.reshape(-1, *shape)
    return OperatingPoint(flow, head, efficiency, power, still_power, npsh, shut_off, best_flow, share, specific_speed,
                          suction_specific_speed, parameter, at_test, kinematic_viscosity)


def _carried(pump: PumpFile, diameter: float) -> CarriedCurve:
    tested = pump.impeller.tested
    curve, trim = tested.curve, diameter / tested.diameter
    return CarriedCurve(
        curves=curve.arrays, speed=float(tested.speed), trim_flow=float(trim**TRIM_FLOW_EXPONENT),
        trim_head=float(trim**TRIM_HEAD_EXPONENT), best_flow=float(curve.best_flow), best_head=float(curve.best_head),
        best_npsh=float(curve.best_npsh_required), shut_off_head=float(curve.shut_off_head),
        still_power=float(curve.still_power_over_density))


@once_per_pump
def _fitted(pump: PumpFile) -> CarriedCurve:
    return _carried(pump, pump.impeller.diameter)


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
            *_trim_limits(pump),
            *viscosity_correction_limits(point.kinematic_viscosity, tested.curve.best_flow * per_flow,
                                         tested.curve.best_head * per_head, speed),
            limit(told("efficiency fell below {least_efficiency:.0%} and was held there; flow too small or too large",
                       least_efficiency=LEAST_EFFICIENCY),
                  point.efficiency <= LEAST_EFFICIENCY))


@once_per_pump
def _trim_limits(pump: PumpFile) -> tuple[Limit, ...]:
    return trim_limits(pump.impeller.diameter / pump.impeller.tested.diameter)


def _per_tested(pump: PumpFile, speed: Array, diameter: float) -> tuple[Array, Array]:
    """Flow and head at a speed and diameter over those tested."""
    tested = pump.impeller.tested
    faster, trim = np.asarray(speed) / tested.speed, diameter / tested.diameter
    return faster * trim**TRIM_FLOW_EXPONENT, faster**2 * trim**TRIM_HEAD_EXPONENT
