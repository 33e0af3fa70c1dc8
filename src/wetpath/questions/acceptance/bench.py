"""What a pump should show on the test bench with water, and the losses of its magnetic drive there."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation.outcome import Outcome
from wetpath.errors import LimitError
from wetpath.liquids.liquid import Liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.losses import Losses, losses_of
from wetpath.rating.operating_point import OperatingPoint
from wetpath.rating.pump_model import Inputs, PumpModel

Array = NDArray[np.float64]

#: Below this share of the best-efficiency flow the heat balance of the pump is not solved: only head is predicted.
LEAST_FLOW_SHARE = 0.05
#: Drive losses depend a little on the power through the coupling; their search ends at this change of efficiency.
EFFICIENCY_RESOLUTION = 1e-6


@dataclass(frozen=True)
class Bench:
    """Conditions on the bench: speed to which everything is brought [rad/s], water [K], suction flange [Pa]."""

    speed: float
    temperature: float
    suction_pressure: float


@dataclass(frozen=True, eq=False)
class Prediction:
    """What the bench should show at some flows; NaN where it is not solved."""

    flow: Array             # [m3/s]
    head: Array             # [m]
    power: Array            # at the motor shaft [W]
    efficiency: Array       # over that power [-]
    npsh: Array             # NPSH3 [m]
    drive: Array            # lost in the magnetic drive, wet and dry side [W]
    coupling_ratio: Array   # pull-out torque over running torque [-]
    liquid: NDArray[np.bool_]      # whether the circulation has a solution there


@dataclass(frozen=True, eq=False)
class MeasuredModel(PumpModel):
    """A pump whose head and wet-end efficiency at the cases are given, not read from its curves."""

    head: Array
    efficiency: Array

    def point(self, inputs: Inputs) -> OperatingPoint:
        """Hydraulics of the cases, as given."""
        return replace(super().point(inputs), head=self.head, efficiency=self.efficiency)


def predict(pump: PumpFile, water: Liquid, bench: Bench, flow: Array) -> Prediction:
    """Rate the pump on water at the flows of a bench.

    Parameters
    ----------
    pump : PumpFile
    water : Liquid
        Loaded; any liquid that is tested with.
    bench : Bench
    flow : array [m3/s]
    """
    flow = np.asarray(flow, np.float64)
    model = PumpModel(pump, water)
    point = model.point(inputs_of(bench, flow))
    runs = flow > LEAST_FLOW_SHARE * point.best_flow
    nothing = np.full(flow.size, np.nan)
    power, drive, ratio, liquid = nothing.copy(), nothing.copy(), nothing.copy(), np.zeros(flow.size, bool)
    efficiency = np.where(flow == 0, 0.0, np.nan)
    if runs.any():
        solved = model.solve(inputs_of(bench, flow[runs]))
        losses = losses_of(pump, solved)
        power[runs], efficiency[runs], ratio[runs] = losses.shaft, losses.efficiency, losses.coupling_ratio
        drive[runs] = drive_of(losses)
        liquid[runs] = solved.solution.outcome != Outcome.NO_SOLUTION
    return Prediction(flow, point.head, power, efficiency, point.npsh_required, drive, ratio, liquid)


def drive_losses(pump: PumpFile, water: Liquid, bench: Bench, flow: Array, head: Array, shaft_power: Array) -> Array:
    """Power lost in the magnetic drive at measured points [W]: all that is neither pump output nor lost in the wet end.

    The eddy loss follows the load angle, and so the power through the coupling, which is the measured power less these
    losses: solved by repetition. NaN at flows too small for a heat balance or without a measured power.

    Raises
    ------
    LimitError
        When the losses computed for the drive leave less than the pump output: measurement and pump do not belong
        together.
    """
    model = PumpModel(pump, water)
    point = model.point(inputs_of(bench, flow))
    runs = (flow > LEAST_FLOW_SHARE * point.best_flow) & np.isfinite(shaft_power)
    found = np.full(flow.size, np.nan)
    if not runs.any():
        return found
    inputs, measured_head, power = inputs_of(bench, flow[runs]), head[runs], shaft_power[runs]
    efficiency = point.efficiency[runs]
    for _ in range(20):
        losses = losses_of(pump, MeasuredModel(pump, water, measured_head, efficiency).solve(inputs))
        drive = drive_of(losses)
        wet_end = power - drive
        if not (wet_end > losses.hydraulic).all():
            raise LimitError(
                "The measured power less the computed losses of the magnetic drive is below the power given to the "
                "water. Check that power is that at the motor shaft, its unit, and that the pump file is that of the "
                "pump tested.")
        improved = losses.hydraulic / wet_end
        change = float(np.max(np.abs(improved - efficiency)))
        efficiency = improved
        if change < EFFICIENCY_RESOLUTION:
            break
    found[runs] = drive
    return found


def drive_of(losses: Losses) -> Array:
    """Losses of the magnetic drive [W]: everything at the motor shaft besides pump output and wet end."""
    return losses.shaft - losses.hydraulic - losses.wet_end


def inputs_of(bench: Bench, flow: Array) -> Inputs:
    """Cases of the solve at the flows of a bench."""
    return Inputs.of(flow, bench.temperature, bench.suction_pressure, bench.speed, bench.temperature)
