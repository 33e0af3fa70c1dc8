"""One pump with one liquid, ready to be solved for any batch of cases."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wetpath.circulation.continuation import Solution, solve_cases
from wetpath.circulation.solve import CaseArrays, MachineArrays
from wetpath.liquids.liquid import Liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.machine_arrays import machine_arrays
from wetpath.rating.operating_point import OperatingPoint, operating_point

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Inputs:
    """Conditions of a batch of cases at the suction flange; SI, absolute, all of one shape (cases,)."""

    flow: Array
    temperature: Array
    pressure: Array
    speed: Array
    air: Array

    @classmethod
    def of(cls, flow: ArrayLike, temperature: ArrayLike, pressure: ArrayLike, speed: ArrayLike,
           air: ArrayLike) -> Inputs:
        """Broadcast scalars and arrays to one batch."""
        given = (flow, temperature, pressure, speed, air)
        columns = np.broadcast_arrays(*(np.asarray(column, float) for column in given))
        return cls(*(np.atleast_1d(column).astype(float) for column in columns))

    def changed(self, **columns: Array) -> Inputs:
        """The same cases with some columns replaced."""
        return Inputs(**{**{name: getattr(self, name) for name in self.__dataclass_fields__}, **columns})

    def chosen(self, which: NDArray[np.int64] | NDArray[np.bool_]) -> Inputs:
        """Some of the cases."""
        return Inputs(*(getattr(self, name)[which] for name in self.__dataclass_fields__))


@dataclass(frozen=True)
class Solved:
    """A batch that has been solved: hydraulics and circulation."""

    inputs: Inputs
    point: OperatingPoint
    solution: Solution


@dataclass(frozen=True, eq=False)
class PumpModel:
    """A pump and a liquid; `solve` takes any number of cases at once."""

    pump: PumpFile
    liquid: Liquid

    @cached_property
    def machine(self) -> MachineArrays:
        """Arrays of the coupled solve."""
        return machine_arrays([self.pump])

    def point(self, inputs: Inputs) -> OperatingPoint:
        """Hydraulics of the cases."""
        state = self.liquid.state(inputs.temperature, inputs.pressure)
        return operating_point(self.pump, inputs.flow, inputs.speed, state.viscosity / state.density)

    def solve(self, inputs: Inputs, *, place_losses: bool = False) -> Solved:
        """Solve the cases; ``place_losses`` also tells where flashing cases lose their liquid first."""
        point = self.point(inputs)
        count = inputs.flow.size
        cases = CaseArrays(
            pump=np.zeros(count, np.int64), flow=inputs.flow, temperature=inputs.temperature, pressure=inputs.pressure,
            speed=inputs.speed, head=point.head, efficiency=point.efficiency, air=inputs.air, heat_scale=np.ones(count))
        solution = solve_cases(self.pump.network.topology, self.machine, self.liquid.arrays, cases,
                               place_losses=place_losses)
        return Solved(inputs, point, solution)
