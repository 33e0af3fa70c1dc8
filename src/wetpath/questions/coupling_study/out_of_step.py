"""A coupling that has let go: losses in shell and sheath while the inner ring stands."""

from __future__ import annotations

from dataclasses import dataclass

from wetpath.coupling.slip import Sheath, slip_state
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.magnetics.demagnetisation import at_temperature
from wetpath.questions.coupling_study.conditions import Conditions
from wetpath.questions.coupling_study.curves import WorkingPoint
from wetpath.rating.machine_arrays import coupling_geometry, response_for, rings_of
from wetpath.rating.magnet_field import hot_remanences


@dataclass(frozen=True)
class OutOfStep:
    """Mean losses and torques with the inner ring at rest; the first are those of warm metal, before it heats up."""

    shell_loss: float          # [W]
    loss_share: float          # of the shell's loss in step at the same load; NaN: no loss
    sheath_loss: float         # [W], heats the inner ring
    driving_torque: float      # [N m], mean
    swinging_torque: float     # [N m], to either side
    swinging_frequency: float  # [Hz]
    warnings: tuple[str, ...]


def out_of_step(pump: PumpFile, conditions: Conditions, point: WorkingPoint) -> OutOfStep:
    """State with the inner ring at rest and the outer one at speed."""
    inner, outer = hot_remanences(pump, conditions.magnets)
    ring, metal = pump.inner_ring, pump.sheath_material
    sheath = None
    if metal.conduction == "metal":
        resistivity = at_temperature(metal.resistivity, metal.resistivity_coefficient, conditions.liquid)
        sheath = Sheath(ring.sheath_diameter / 2, float(1 / resistivity))
    state = slip_state(coupling_geometry(pump), response_for(pump), (float(inner), float(outer)),
                       outer_speed=conditions.speed, sheath=sheath,
                       shell_conductivity=rings_of(pump).conductivity_at(conditions.liquid))
    loss = float(state.shell_loss.sum())
    return OutOfStep(loss, loss / point.shell_loss if point.shell_loss > 0 else float("nan"), state.sheath_loss,
                     state.driving_torque, state.swinging_torque, state.swinging_frequency, state.warnings)
