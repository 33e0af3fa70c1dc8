"""Round numbers along the axes of a window, in the units shown."""

from __future__ import annotations

from math import floor, log10

import numpy as np
from numpy.typing import NDArray

from wetpath.edge.quantities import Kind
from wetpath.edge.units import UnitSet, convert

Array = NDArray[np.float64]


def round_values(low: float, high: float, most: int) -> Array:
    """Round numbers from ``low`` to ``high``, at most ``most`` of them, in steps of 1, 2 or 5 times a power of ten.

    >>> round_values(3.4, 71.0, 4).tolist()
    [20.0, 40.0, 60.0]
    """
    room = (high - low) / most
    power = 10.0 ** floor(log10(room))
    for step in (power, 2 * power, 5 * power, 10 * power, 20 * power):
        first, last = int(np.ceil(low / step - 1e-9)), int(np.floor(high / step + 1e-9))
        if last - first + 1 <= most:
            break
    return np.arange(first, last + 1, dtype=np.float64) * step


def round_in_units(values: Array, kind: Kind, units: UnitSet, most: int) -> Array:
    """Values, SI, that are round numbers in the units shown, between the ends of an axis."""
    unit = units.unit(kind)
    low, high = (float(convert(end, kind, unit.name)) for end in (values[0], values[-1]))
    return np.clip(round_values(low, high, most) * unit.factor + unit.offset, values[0], values[-1])
