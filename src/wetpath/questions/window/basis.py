"""What a window stands on: one operating case, its speed, and the suction that its points have."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wetpath.liquids.liquid import Liquid
from wetpath.questions.parts import Cancelled as Cancelled
from wetpath.questions.parts import Progress as Progress
from wetpath.rating.flow_limits import at_inputs
from wetpath.rating.pump_model import Inputs, PumpModel
from wetpath.rating.situation import Situation

Array = NDArray[np.float64]

#: Points solved at a time; bounds the memory that a window of any size takes.
CHUNK = 2048


@dataclass(frozen=True)
class Suction:
    """Pressure at the suction flange of the points of a window [Pa].

    Absolute, or above the vapour pressure at the temperature of each point.
    """

    pressure: float
    above_vapour: bool = False

    def at(self, vapour_pressure: Array) -> Array:
        """Absolute pressure at the suction flange where the liquid has these vapour pressures."""
        return vapour_pressure + self.pressure if self.above_vapour else np.full_like(vapour_pressure, self.pressure)


@dataclass(frozen=True, eq=False)
class Basis:
    """The operating case that lends a window its liquid, site and demands; speed and suction may be others.

    A point of the window is not a rated or normal case: the preferred region is not asked of it, nor is the head that
    the service asks for at the flow of the case. Its suction pressure is that of the window, not what a vessel gives.
    """

    situation: Situation
    case: int
    speed: float
    suction: Suction

    @property
    def model(self) -> PumpModel:
        """The pump with the liquid of the case."""
        return self.situation.models[self.situation.model_of[self.case]]

    @property
    def liquid(self) -> Liquid:
        """The liquid of the case."""
        return self.model.liquid

    @property
    def flow(self) -> float:
        """Flow of the case [m3/s]."""
        return float(self.situation.solved.inputs.flow[self.case])

    @property
    def temperature(self) -> float:
        """Temperature of the case at the suction flange [K]."""
        return float(self.situation.solved.inputs.temperature[self.case])

    @property
    def bare(self) -> Basis:
        """The same without what was worked out of it on demand: little to send."""
        return replace(self, situation=replace(self.situation))

    def inputs(self, flow: Array, temperature: Array, pressure: Array) -> Inputs:
        """Conditions of points, at the speed of the window and in the air of the case."""
        return Inputs.of(flow, temperature, pressure, self.speed, self.situation.solved.inputs.air[self.case])

    def at(self, inputs: Inputs) -> Situation:
        """Points, solved, with the demands on them."""
        found = at_inputs(self.situation, np.full(inputs.flow.size, self.case), inputs)
        return replace(found, demands=replace(found.demands, head=np.full(found.count, np.nan), vessels=None))
