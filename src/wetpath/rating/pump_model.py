"""One pump with one liquid, ready to be solved for any batch of cases."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wetpath.circulation import solve
from wetpath.circulation.batch import BatchArrays
from wetpath.circulation.continuation import Solution, solve_cases
from wetpath.circulation.solve import CaseArrays, MachineArrays
from wetpath.liquids.liquid import Liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.machine_arrays import own_machine_arrays
from wetpath.rating.operating_point import OperatingPoint, operating_point

Array = NDArray[np.float64]
Selection = NDArray[np.int64]


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
        given = [np.asarray(column, float) for column in (flow, temperature, pressure, speed, air)]
        columns = np.broadcast_arrays(*given)
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

    @property
    def load_angle(self) -> Array:
        """Electrical load angle of the rings [rad]; 0 beyond pull-out, where there is none."""
        angle = self.solution.states.scalars[:, solve.ANGLE]
        return np.where(np.isnan(angle), 0.0, angle)


def per_group(group_of: Selection, evaluate: Callable[[int, Selection], ArrayLike]) -> Array:
    """Evaluate a function of a group and the cases in it, group by group, into one array in the order of the cases."""
    if (group_of == group_of[0]).all():
        return np.asarray(evaluate(int(group_of[0]), np.arange(group_of.size)))
    result: Array | None = None
    for group in np.unique(group_of):
        chosen = np.flatnonzero(group_of == group)
        values = np.asarray(evaluate(int(group), chosen))
        if result is None:
            result = np.zeros((group_of.size, *values.shape[1:]), values.dtype)
        result[chosen] = values
    assert result is not None
    return result


@dataclass(frozen=True, eq=False)
class PumpModel:
    """A pump and a liquid; `solve` takes any number of cases at once."""

    pump: PumpFile
    liquid: Liquid

    @cached_property
    def machine(self) -> MachineArrays:
        """Arrays of the coupled solve."""
        return own_machine_arrays(self.pump)

    def point(self, inputs: Inputs) -> OperatingPoint:
        """Hydraulics of the cases."""
        state = self.liquid.state(inputs.temperature, inputs.pressure)
        return operating_point(self.pump, inputs.flow, inputs.speed, state.viscosity / state.density)

    def solve(self, inputs: Inputs, *, place_losses: bool = False, prove: bool = True) -> Solved:
        """Solve the cases; ``place_losses`` also tells where flashing cases lose their liquid first.

        Without ``prove`` a case that does not close at once counts as without solution.
        """
        point = self.point(inputs)
        count = inputs.flow.size
        cases = CaseArrays(
            pump=np.zeros(count, np.int64), flow=inputs.flow, temperature=inputs.temperature, pressure=inputs.pressure,
            speed=inputs.speed, head=point.head, efficiency=point.efficiency, air=inputs.air, heat_scale=np.ones(count))
        solution = solve_cases(self.pump.network.topology, self.machine, self.liquid.arrays, cases,
                               place_losses=place_losses, prove=prove)
        return Solved(inputs, point, solution)


def solve_each(models: Sequence[PumpModel], model_of: Selection, inputs: Inputs, *, place_losses: bool = False,
               prove: bool = True) -> Solved:
    """Solve cases that belong to different models of one pump; the result is in the order of the cases."""
    if len(models) == 1:
        return models[0].solve(inputs, place_losses=place_losses, prove=prove)
    parts = {int(group): models[group].solve(inputs.chosen(model_of == group), place_losses=place_losses,
                                            prove=prove)
             for group in np.unique(model_of)}

    if len(parts) == 1:
        return next(iter(parts.values()))

    def merged(column: Callable[[Solved], ArrayLike]) -> Array:
        return per_group(model_of, lambda group, _: column(parts[group]))

    point = OperatingPoint(
        **{name.name: merged(lambda part, name=name: getattr(part.point, name.name))  # type: ignore[misc]
           for name in fields(OperatingPoint)})
    states = BatchArrays(*(merged(lambda part, place=place: part.solution.states[place])  # type: ignore[misc]
                           for place in range(len(BatchArrays._fields))))
    solution = Solution(states, merged(lambda part: part.solution.outcome),  # type: ignore[arg-type]
                        merged(lambda part: part.solution.lost_share), merged(lambda part: part.solution.lost_at))  # type: ignore[arg-type]
    return Solved(inputs, point, solution)
