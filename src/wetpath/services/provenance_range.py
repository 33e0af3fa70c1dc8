"""Between which values a number of a rating may lie over the spreads of the inputs, by the key of the number."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import annulus_cells, solve
from wetpath.questions.uncertainty.numbers import NumberRange, SampledCase
from wetpath.rating.rate import Rating

Array = NDArray[np.float64]


def range_of_number(rating: Rating, sampled: SampledCase, key: str) -> NumberRange | None:
    """Range of the number with a key of `wetpath.services.provenance`; None where it cannot be told."""
    _, _, rest = key.partition("/")
    quantity, _, place = rest.partition("/")
    values = _values(rating, sampled, quantity, place)
    return None if values is None else sampled.range_of(values)


def _values(rating: Rating, sampled: SampledCase, quantity: str, place: str) -> Array | None:
    found = sampled.found
    states, losses, point = found.states, found.losses, found.point
    network = rating.pump.network
    stations = list(network.stations)
    if quantity in ("pressure", "temperature", "vapour", "margin"):
        if place not in stations:
            return None
        at = stations.index(place)
        return np.asarray({"pressure": states.pressure, "temperature": states.temperature, "vapour": states.saturation,
                           "margin": found.pressure_margin}[quantity][:, at])
    if quantity == "flow":
        names = [branch.name for branch in network.branches]
        return np.abs(states.flow[:, names.index(place)]) if place in names else None
    known = {"wall": lambda: states.cells[:, annulus_cells.CELL_WALL].max(axis=1),
             "wall-margin": lambda: found.wall_margin.min(axis=1), "eddy": lambda: states.scalars[:, solve.EDDY],
             "head": lambda: point.head, "hydraulic": lambda: losses.hydraulic, "efficiency": lambda: losses.efficiency,
             "shaft": lambda: losses.shaft, "npsha": lambda: found.npsh_available, "npshr": lambda: point.npsh_required,
             "torque": lambda: losses.torque, "angle": lambda: losses.load_angle,
             "pull-out": lambda: losses.coupling_ratio}
    return np.asarray(known[quantity]()) if quantity in known else None
