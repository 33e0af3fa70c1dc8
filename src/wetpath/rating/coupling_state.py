"""The magnetic coupling in every case: what its magnets stand, what happens out of step, how the model was scaled."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.constants import ZERO_CELSIUS
from wetpath.physics.magnetics.demagnetisation import at_temperature
from wetpath.physics.validity import Limit, limit
from wetpath.rating.machine_arrays import response_for, scale_for, shell_conductivity
from wetpath.rating.magnet_field import OPPOSING, field_shares, hot_remanences
from wetpath.rating.measured_scale import MeasuredScale
from wetpath.rating.per_pump import once_per_pump
from wetpath.words import told

if TYPE_CHECKING:
    from wetpath.rating.situation import Situation

Array = NDArray[np.float64]

#: Up to here remanence and coercivity are taken as straight lines over temperature [K]. Common practice.
HOTTEST_STRAIGHT = ZERO_CELSIUS + 200.0
#: What everybody has to know of a coupling that has let go.
OUT_OF_STEP = ("rings that have let go do not catch again at speed: stop the driver at once, for the circulation stops "
               "with the impeller")


@dataclass(frozen=True, eq=False)
class CouplingState:
    """Magnets and slip; SI, first axis the case."""

    field_running: tuple[Array, Array]     # demagnetising field over intrinsic coercivity, inner and outer ring
    field_opposing: tuple[Array, Array]    # the same with equal poles facing each other, met at every slipped pole
    slip_loss: Array                       # in the shell with the inner ring at rest, wall as warm as in the case
    slip_share: Array                      # of the loss in step; NaN where there is none
    scale: MeasuredScale
    limits: tuple[Limit, ...]


def coupling_state(situation: Situation) -> CouplingState:
    """State of the coupling in every case."""
    pump, scalars = situation.pump, situation.scalars
    temperatures = (scalars[:, solve.INNER_RING], scalars[:, solve.OUTER_RING])
    _, outer = hot_remanences(pump, temperatures)
    slope = max(pump.shell_material.resistivity_coefficient, 0.0)
    conductivity = shell_conductivity(pump) / at_temperature(1.0, slope, scalars[:, solve.MEAN_WALL])
    slip = conductivity * situation.solved.inputs.speed**2 * outer**2 * _loss_alone(pump)
    eddy = situation.losses.eddy
    heated = (slip > 0) & (eddy > 0)
    ratio, angle = situation.losses.coupling_ratio, situation.solved.load_angle
    inner_field, outer_field = field_shares(pump, np.array([angle, np.full(angle.size, OPPOSING)]), temperatures)
    return CouplingState(
        field_running=(inner_field[0], outer_field[0]), field_opposing=(inner_field[1], outer_field[1]),
        slip_loss=slip, slip_share=np.where(heated, slip / np.where(heated, eddy, 1.0), np.nan),
        scale=scale_for(pump),
        limits=(
            limit(told("in some case the running torque is above pull-out: the rings fall out of step and the pump "
                       "stops; what is shown holds for rings in step; {consequence}", consequence=OUT_OF_STEP),
                  ratio < 1),
            limit(told("magnets warmer than {warmest:.0f} degC: remanence and coercivity are taken as "
                       "straight lines over temperature; above it ask for the certificate's curve",
                       warmest=HOTTEST_STRAIGHT - ZERO_CELSIUS),
                  np.maximum(*temperatures) > HOTTEST_STRAIGHT),
            limit("the wall conducts along its fibres: its eddy loss is an upper bound, all fibres taken around the "
                  "shell", pump.shell_material.conduction == "partly" and not scale_for(pump).measured_loss)))


@once_per_pump
def _loss_alone(pump: PumpFile) -> float:
    """Loss of the shell in the field of the outer ring alone, for unit conductivity, speed and remanence [W].

    One solve at those: the reaction of the wall's currents is under half a per cent.
    """
    return float(response_for(pump).cell_loss(0.0, 1.0, 1.0, 0.0, 1.0).sum())


def coupling_findings(situation: Situation) -> tuple[str, ...]:
    """How measured points scale the model, in words."""
    return situation.coupling.scale.findings(situation.pump.shell_material.conduction == "partly")
