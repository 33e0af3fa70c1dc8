"""Measured values of one pump over time, as every source gives them and the watch takes them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


class Signal(StrEnum):
    """What is measured, SI; pressures absolute, motor current in ampere."""

    SUCTION_PRESSURE = "suction_pressure"
    DISCHARGE_PRESSURE = "discharge_pressure"
    FLOW = "flow"
    MOTOR_POWER = "motor_power"
    MOTOR_CURRENT = "motor_current"
    SUCTION_TEMPERATURE = "suction_temperature"
    SHELL_TEMPERATURE = "shell_temperature"
    SPEED = "speed"
    LEVEL = "level"
    RETURN_TEMPERATURE = "return_temperature"


@dataclass(frozen=True, eq=False)
class Samples:
    """Samples of one pump: UTC seconds since 1970, strictly rising, and values by signal; NaN: no usable value."""

    time: Array
    values: Mapping[Signal, Array]

    def __post_init__(self) -> None:
        if self.time.ndim != 1 or not (np.diff(self.time) > 0).all():
            raise ValueError("times of samples have to rise")
        for signal, value in self.values.items():
            if value.shape != self.time.shape:
                raise ValueError(f"{signal} has {value.size} values for {self.time.size} times")

    @property
    def count(self) -> int:
        """Number of samples."""
        return int(self.time.size)

    @classmethod
    def joined(cls, parts: Sequence[Samples]) -> Samples:
        """Parts behind each other; a signal that a part does not have is NaN there."""
        signals = [one for one in Signal if any(one in part.values for part in parts)]
        return cls(np.concatenate([np.zeros(0), *(part.time for part in parts)]), {
            one: np.concatenate([np.zeros(0), *(part.values.get(one, np.full(part.count, np.nan)) for part in parts)])
            for one in signals})

    def between(self, begin: float, end: float) -> Samples:
        """Samples from a time up to, not including, another."""
        first, last = np.searchsorted(self.time, [begin, end])
        return Samples(self.time[first:last], {one: value[first:last] for one, value in self.values.items()})
