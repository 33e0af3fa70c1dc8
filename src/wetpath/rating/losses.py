"""Where the power goes: from the liquid pumped to the motor shaft."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.pump.hydraulic_power import hydraulic_power
from wetpath.rating.pump_model import Solved

Array = NDArray[np.float64]

#: Windage and rolling-bearing friction of the dry side follow this power of the speed. Common practice.
DRY_SIDE_EXPONENT = 2.0


@dataclass(frozen=True)
class Losses:
    """Powers of a batch of cases [W], first axis the case, and the torques they make [N m]."""

    hydraulic: Array          # given to the liquid pumped
    wet_end: Array            # lost in impeller and casing
    eddy: Array               # in the containment shell, all of it
    eddy_to_air: Array        # of that, to the surroundings
    annulus_drag: Array       # inner ring against the liquid in the annulus
    disc_drag: Array          # faces of the inner ring
    journals: Array
    thrust_faces: Array
    dry_side: Array           # outer ring windage and rolling bearings
    torque: Array             # through the coupling
    pull_out: Array           # at the magnets' temperatures
    load_angle: Array         # [rad], electrical

    @property
    def circulation_heat(self) -> Array:
        """Heat the circulation takes up."""
        return self.eddy - self.eddy_to_air + self.annulus_drag + self.disc_drag + self.journals + self.thrust_faces

    @property
    def shaft(self) -> Array:
        """Power at the motor shaft."""
        return (self.hydraulic + self.wet_end + self.eddy + self.annulus_drag + self.disc_drag + self.journals
                + self.thrust_faces + self.dry_side)

    @property
    def efficiency(self) -> Array:
        """Power given to the liquid over power at the motor shaft."""
        return self.hydraulic / self.shaft

    @property
    def coupling_ratio(self) -> Array:
        """Pull-out torque over running torque."""
        return self.pull_out / self.torque


def losses_of(pump: PumpFile, solved: Solved) -> Losses:
    """Powers and torques of solved cases."""
    scalars, point, inputs = solved.solution.states.scalars, solved.point, solved.inputs
    hydraulic = hydraulic_power(inputs.flow, point.head, scalars[:, solve.DENSITY_IN])
    faster = inputs.speed / pump.impeller.tested.speed
    return Losses(
        hydraulic=hydraulic, wet_end=hydraulic / point.efficiency - hydraulic, eddy=scalars[:, solve.EDDY],
        eddy_to_air=scalars[:, solve.TO_AIR], annulus_drag=scalars[:, solve.WINDAGE],
        disc_drag=scalars[:, solve.DISCS], journals=scalars[:, solve.JOURNALS], thrust_faces=scalars[:, solve.THRUSTS],
        dry_side=pump.coupling_housing.friction_power * faster**DRY_SIDE_EXPONENT,
        torque=scalars[:, solve.TORQUE], pull_out=scalars[:, solve.PULL_OUT], load_angle=scalars[:, solve.ANGLE])
